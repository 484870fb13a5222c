//! Equivalent ripple current of the most loaded capacitor of a bank.
//!
//! Knows no limit; the rules on ripple, core temperature and life share it.

use crate::{
    catalog::Electrolytic,
    circuit::{operate::OperatingPoint, spec::Topology, supply::Body},
    numeric::tie::exceeds,
    physics::reservoir::ripple::{self, Multipliers},
    quantity::{Amps, Hertz, Ratio},
};

use super::{
    assembly::Reservoir,
    bench::{Bench, Worst, worst_of},
    position::Position,
};

/// Harmonics counted one by one; what they leave is counted at the multiplier of the highest.
const HARMONICS: u32 = 20;

/// Greatest equivalent ripple current of the most loaded capacitor of the bank at a position over all points, A; `None` where the part states no
/// multipliers.
///
/// A point is computed only where `I_rms / k_min`, an upper bound of its equivalent current, ties with the greatest so far or
/// exceeds it; `k_min` is the least multiplier from the lowest harmonic upward.
pub fn equivalent(bench: &Bench<'_>, at: Position) -> Option<Worst> {
    bench.known.ripple(at, || greatest(bench, at))
}

/// rms ripple current of the bank at a position, A.
pub fn bank_rms_a(point: &OperatingPoint, at: Position) -> f64 {
    match at {
        Position::SectionCapacitor => point.section.and_then(|one| one.second_rms_a).unwrap_or(0.0),
        _ => point.bank_rms_a,
    }
}

fn greatest(bench: &Bench<'_>, at: Position) -> Option<Worst> {
    let (_, bank) = bench.assembly.banks().find(|(position, _)| *position == at)?;
    let part = bank.part;
    let table = multipliers(part)?;
    let least = least_factor(bench, part, &table)?;
    let share = share(bench, &bank);
    let rms_a = |point: &OperatingPoint| bank_rms_a(point, at);
    let mut order: Vec<&OperatingPoint> = bench.points_of(Body::Heavy).iter().collect();
    order.sort_by(|a, b| rms_a(b).total_cmp(&rms_a(a)).then_with(|| a.vertex.cmp(&b.vertex)));
    let mut most = f64::NEG_INFINITY;
    let mut found = Vec::new();
    for point in order {
        if exceeds(most, rms_a(point) / least * share) {
            break;
        }
        let value = of_bank((at, part), &table, point)? * share;
        most = most.max(value);
        found.push((value, point.vertex));
    }
    found.sort_by_key(|(_, vertex)| *vertex);
    worst_of(found.into_iter())
}

/// Least multiplier from the lowest harmonic of any point upward.
fn least_factor(bench: &Bench<'_>, part: &Electrolytic, table: &Multipliers) -> Option<f64> {
    let pulses = match bench.supply.topology {
        Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 1.0,
        _ => 2.0,
    };
    let lowest_hz = pulses * bench.supply.frequency_hz.low;
    let first_hz = part.ripple_multipliers.first()?.0.0;
    let at_lowest = table.at(Hertz(lowest_hz.max(first_hz))).ok()?.0;
    let above = part.ripple_multipliers.iter().filter(|(frequency, _)| frequency.0 >= lowest_hz);
    Some(above.map(|(_, factor)| *factor).fold(at_lowest, f64::min))
}

/// The maker's multipliers as a law; `None` where the part states none.
pub fn multipliers(part: &Electrolytic) -> Option<Multipliers> {
    let points: Vec<(Hertz, Ratio)> =
        part.ripple_multipliers.iter().map(|(frequency, factor)| (*frequency, Ratio(*factor))).collect();
    Multipliers::new(&points).ok()
}

/// Share of the bank's current that the most loaded capacitor takes.
pub fn share(bench: &Bench<'_>, bank: &Reservoir<'_>) -> f64 {
    let count = bank.count;
    let imbalance = if count > 1 { bench.asked.policy.parameters.parallel_imbalance } else { 1.0 };
    imbalance / f64::from(count)
}

/// Equivalent current of the whole bank at one point, A. Below the maker's table its first multiplier is held.
pub fn of_bank(
    (at, part): (Position, &Electrolytic),
    table: &Multipliers,
    point: &OperatingPoint,
) -> Option<f64> {
    let first_hz = part.ripple_multipliers.first()?.0.0;
    let currents = match at {
        Position::SectionCapacitor => point.state.second_harmonics(HARMONICS),
        _ => point.state.capacitor_harmonics(HARMONICS),
    };
    let harmonics: Vec<(Hertz, Amps)> = currents
        .iter()
        .map(|harmonic| {
            let frequency = (f64::from(harmonic.order) * point.frequency_hz).max(first_hz);
            (Hertz(frequency), Amps(harmonic.rms_a()))
        })
        .collect();
    Some(ripple::equivalent(Amps(bank_rms_a(point, at)), &harmonics, table).ok()?.0)
}
