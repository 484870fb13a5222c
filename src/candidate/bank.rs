//! Every reservoir bank: one to a few equal capacitors.

use crate::{
    circuit::supply::Bank,
    physics::reservoir::ripple::Multipliers,
    stress::{
        assembly::Reservoir,
        bench::{Asked, left_of},
        convert::bank_of,
        ripple,
    },
};

use super::shop::{COUNT_MAX, Shop};

/// One bank.
#[derive(Clone, Debug)]
pub struct BankOption<'a> {
    /// Parts.
    pub reservoir: Reservoir<'a>,
    /// As plain numbers.
    pub bank: Bank,
    /// Greatest voltage the policy allows on it, V.
    pub voltage_limit_v: f64,
    /// Greatest rms ripple current of the bank that could pass at any frequency the maker states, A.
    pub ripple_limit_a: f64,
    /// Greatest equivalent ripple current of the bank that the policy leaves, A.
    pub equivalent_limit_a: f64,
    /// Multipliers of its parts; `None` where the maker states none.
    pub multipliers: Option<Multipliers>,
    /// Least multiplier at any frequency the maker states, at most 1.
    pub least_multiplier: f64,
    /// Score of all its parts, in a doubler of both banks.
    pub score: f64,
}

/// All banks, cheapest first; of equal ones by part id, then count. `each` banks stand in one rail: two in a doubler.
pub fn banks<'a>(asked: Asked<'_>, shop: &Shop<'a>, each: u32) -> Vec<BankOption<'a>> {
    let most = asked.requirement.preferences.parallel_max.clamp(1, COUNT_MAX / each);
    let mut found: Vec<BankOption<'a>> = shop
        .electrolytics
        .iter()
        .flat_map(|priced| (1..=most).map(move |count| (priced, count)))
        .filter(|(priced, count)| priced.score(each * *count).is_finite())
        .map(|(priced, count)| {
            let part = priced.part;
            let reservoir = Reservoir { part, count };
            let best = part.ripple_multipliers.iter().map(|(_, factor)| *factor).fold(1.0, f64::max);
            let imbalance = if count > 1 { asked.policy.parameters.parallel_imbalance } else { 1.0 };
            let one_a = left_of(asked.policy, "reservoir-ripple-current", part.ripple.0);
            let all = f64::from(count) / imbalance;
            BankOption {
                reservoir,
                bank: bank_of(asked, &reservoir),
                voltage_limit_v: left_of(asked.policy, "reservoir-voltage", part.rated.0),
                ripple_limit_a: one_a * best * all,
                equivalent_limit_a: one_a * all,
                multipliers: ripple::multipliers(part),
                least_multiplier: part.ripple_multipliers.iter().map(|one| one.1).fold(1.0, f64::min),
                score: priced.score(each * count),
            }
        })
        .collect();
    found.sort_by(|a, b| {
        a.score
            .total_cmp(&b.score)
            .then_with(|| a.reservoir.part.common.id.cmp(&b.reservoir.part.common.id))
            .then_with(|| a.reservoir.count.cmp(&b.reservoir.count))
    });
    found
}
