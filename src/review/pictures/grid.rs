//! Harmonics of the mains current: of one transformer, and of the whole supply, which is what a standard looks at.

use super::model::{HarmonicRow, SupplyHarmonics};
use crate::{
    circuit::reservoir::Harmonic,
    numeric::tie::first_greatest,
    physics::grid::{HARMONIC_MAX, LIMIT_FLOOR, class_a_applies, class_a_limit},
    quantity::Watts,
    review::{
        figure::{Figure, Unit},
        recompute::{Inputs, RailReview},
    },
};

/// Least nominal mains for which class A is written, V. Source: IEC 61000-3-2 (from memory).
const CLASS_A_MAINS_MIN_V: f64 = 220.0;

/// Harmonics of the current that the primary of a rail draws at nominal, those of a mate on its core in them, A at the mains.
fn drawn(rail: &RailReview<'_>) -> Option<Vec<Harmonic>> {
    let point = rail.nominal.as_ref()?;
    let turns = rail.bench.supply.source.primary_per_path;
    let at_mains = |one: Harmonic| Harmonic {
        sine_rms_a: one.sine_rms_a * turns,
        cosine_rms_a: one.cosine_rms_a * turns,
        ..one
    };
    Some(point.state.harmonics(HARMONIC_MAX).into_iter().filter(|one| one.order > 0).map(at_mains).collect())
}

/// Each beside its limit.
fn rows(harmonics: &[Harmonic]) -> Vec<HarmonicRow> {
    let row = |one: &Harmonic| {
        Some(HarmonicRow {
            order: one.order,
            current_rms: Figure::new(one.rms_a(), Unit::Amps)?,
            limit_rms: class_a_limit(one.order).and_then(|limit| Figure::new(limit.0, Unit::Amps)),
        })
    };
    harmonics.iter().filter_map(row).collect()
}

/// Sum of currents order by order, in phase and in quadrature.
fn summed(currents: &[Vec<Harmonic>]) -> Vec<Harmonic> {
    let mut sum: Vec<Harmonic> = Vec::new();
    for one in currents.iter().flatten() {
        match sum.iter_mut().find(|other| other.order == one.order) {
            Some(other) => {
                other.sine_rms_a += one.sine_rms_a;
                other.cosine_rms_a += one.cosine_rms_a;
            }
            None => sum.push(*one),
        }
    }
    sum
}

/// Harmonics of the primary current of one rail's transformer at nominal, and whether class A limits them.
pub(super) fn of_rail(rail: &RailReview<'_>) -> (Vec<HarmonicRow>, bool) {
    let (Some(point), Some(harmonics)) = (&rail.nominal, drawn(rail)) else { return (Vec::new(), false) };
    let taken_w = point.mean_v * point.load_a
        + point.copper_w
        + point.diode_w
        + point.bank_w
        + point.section_w()
        + point.iron_w;
    let limited = rail.bench.supply.mains_v.nominal >= CLASS_A_MAINS_MIN_V && class_a_applies(Watts(taken_w));
    (rows(&harmonics), limited)
}

/// Harmonics of the whole supply at nominal, every rail at full load; `taken` is the power that it draws.
///
/// Transformers add up order by order with their phases, all windings joined alike; two rails on one core are one current.
pub(in crate::review) fn of_supply(
    inputs: Inputs<'_>,
    rails: &[RailReview<'_>],
    taken: Option<Figure>,
) -> SupplyHarmonics {
    let cores = rails.iter().filter(|rail| rail.record.transformer_of.is_none());
    let currents: Option<Vec<Vec<Harmonic>>> = cores.map(drawn).collect();
    let heavy = taken.is_some_and(|taken| class_a_applies(Watts(taken.value())));
    let (limited, why) = if inputs.requirement.mains.voltage.0 < CLASS_A_MAINS_MIN_V {
        (false, format!("no limit is set for mains below {CLASS_A_MAINS_MIN_V} V"))
    } else if heavy {
        (true, format!("limits are set above {} W", LIMIT_FLOOR.0))
    } else {
        (false, format!("no limit is set up to {} W", LIMIT_FLOOR.0))
    };
    let harmonics = currents.map_or_else(Vec::new, |currents| rows(&summed(&currents)));
    SupplyHarmonics { harmonics, limited, why, taken }
}

/// The harmonic that goes furthest beyond its limit, in words; `None` where none does or no limit applies.
pub(in crate::review) fn beyond(grid: &SupplyHarmonics) -> Option<String> {
    let used = |row: &HarmonicRow| Some(row.current_rms.value() / row.limit_rms?.value());
    let exceeding =
        grid.harmonics.iter().filter(|row| grid.limited && used(row).is_some_and(|used| used > 1.0));
    let worst = first_greatest(exceeding, |row| used(row).unwrap_or(0.0))?;
    Some(format!(
        "all rails together draw {} of harmonic {} at nominal, class A of IEC 61000-3-2 allows {}",
        worst.current_rms.text(),
        worst.order,
        worst.limit_rms?.text()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Limits: IEC 61000-3-2, class A: 2.30 A of the third, 1.14 A of the fifth harmonic (reprinted table seen).
    #[test]
    fn what_goes_furthest_beyond_class_a_is_told_where_it_applies() {
        let drawn =
            [harmonic(1, 9.0, 0.0), harmonic(3, 2.4, 0.0), harmonic(5, 0.0, 1.3), harmonic(7, 0.7, 0.0)];
        let mut grid =
            SupplyHarmonics { harmonics: rows(&drawn), limited: true, ..SupplyHarmonics::default() };
        let text = beyond(&grid).expect("two of them");
        assert!(text.contains("1.300 A of harmonic 5") && text.ends_with("allows 1.140 A"), "{text}");
        grid.limited = false;
        assert_eq!(beyond(&grid), None);
        grid.limited = true;
        grid.harmonics = rows(&[harmonic(3, 2.3, 0.0), harmonic(5, 0.8, 0.8)]);
        assert_eq!(beyond(&grid), None);
    }

    fn harmonic(order: u32, sine_rms_a: f64, cosine_rms_a: f64) -> Harmonic {
        Harmonic { order, sine_rms_a, cosine_rms_a }
    }

    /// Law: sines of one frequency add as vectors. 3 A and 4 A a quarter of a period apart are 5 A; in opposition they are 1 A.
    #[test]
    fn currents_of_several_transformers_add_with_their_phases() {
        let currents = [
            vec![harmonic(1, 3.0, 0.0), harmonic(3, 4.0, 0.0), harmonic(5, 1.0, 1.0)],
            vec![harmonic(1, 0.0, 4.0), harmonic(3, -3.0, 0.0), harmonic(7, 0.0, 2.0)],
        ];
        let sum: Vec<(u32, f64)> = summed(&currents).iter().map(|one| (one.order, one.rms_a())).collect();
        assert_eq!(sum, [(1, 5.0), (3, 1.0), (5, 2.0_f64.sqrt()), (7, 2.0)]);
    }
}
