//! Every rule, by code, with its page.

use super::{bench::Bench, position::Position, rule, verdict::Verdict};

/// What a rule asks, why, what it says nothing of, and whence its limit comes: printed by `rules` and in reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Page {
    /// Stable code, `position-stress`.
    pub code: &'static str,
    /// What is compared with what.
    pub asks: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// Corner at which it is expected to be worst; the vertex found is in the stress.
    pub worst: &'static str,
    /// What the rule says nothing of.
    pub limits: &'static str,
    /// Where definition and limit come from.
    pub source: &'static str,
}

/// Which choice settles a rule: selection tries the parts of a group against the rules of the group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Transformer and mains alone.
    Transformer,
    /// The coupled choice: transformer, rectifier, reservoir, regulator.
    Train,
    /// Regulator sink and pad, once the train is known.
    RegulatorCooling,
    /// Bleeder.
    Bleeder,
    /// Capacitors and diode beside the regulator.
    Around,
    /// Inrush limiter, and what the switch-on current does to the rectifier.
    Surge,
    /// Mains fuse, once the limiter is known.
    Fuse,
    /// Means against faults: fuse, cut-out, secondary fuse, proof class.
    Protection,
    /// The whole rail; nothing selectable settles it alone.
    Whole,
}

/// One rule.
#[derive(Clone, Copy)]
pub struct Rule {
    /// Its page.
    pub page: Page,
    /// Which choice settles it.
    pub group: Group,
    /// Judges a rail; pushes one verdict or more, a `NotApplicable` where the rule has nothing to judge.
    pub judge: fn(&Bench<'_>, &mut Vec<Verdict>),
}

/// The place of a rule whose verdict concerns a position that the rail does not have.
pub const NOWHERE: Position = Position::Transformer;

/// Every rule, in the order in which reports list them.
pub fn rules() -> &'static [Rule] {
    rule::ALL
}

/// The rule with a code.
pub fn by_code(code: &str) -> Option<&'static Rule> {
    rules().iter().find(|rule| rule.page.code == code)
}

/// All verdicts on a rail.
pub fn judge(bench: &Bench<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::with_capacity(rules().len());
    for rule in rules() {
        (rule.judge)(bench, &mut verdicts);
    }
    verdicts
}

/// Whether all rules of a group hold.
pub fn holds(bench: &Bench<'_>, group: Group, scratch: &mut Vec<Verdict>) -> bool {
    scratch.clear();
    rules().iter().filter(|rule| rule.group == group).all(|rule| {
        let start = scratch.len();
        (rule.judge)(bench, scratch);
        scratch[start..].iter().all(Verdict::holds)
    })
}
