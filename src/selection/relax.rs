//! What would have to give: for each requirement the smallest change of it alone that lets a design exist, found by solving.
//!
//! Words nothing. The search answers feasible or not; between the two a bisection narrows the value down to neighbours of a
//! grid of three digits, so that the value as printed is the value solved.

use rayon::prelude::*;

use crate::{
    candidate::shop::Shop,
    requirement::Knob,
    stress::{assembly::Assembly, bench::Bench, registry::judge, verdict::Verdict},
};

use super::{
    choose::{Inputs, open},
    search::{Search, circuits},
};

/// One requirement changed by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Which.
    pub knob: Knob,
    /// Value that would do; where none does, the slackest.
    pub value: f64,
    /// Whether a design exists there.
    pub feasible: bool,
}

/// Trains of one topology judged in full before a value counts as one without a design: a value a little nearer to what is
/// asked may then have one that was not found.
pub const JUDGED_MAX: u32 = 10_000;

/// A design of each of some rails, each part bought for its one position; `None` where one of them has none.
///
/// `known` are designs of a slacker requirement, one a rail: where one still passes every rule at every vertex, nothing is
/// searched.
fn designs<'a>(
    inputs: Inputs<'a>,
    shop: &Shop<'a>,
    rails: &[usize],
    known: &[Assembly<'a>],
) -> Option<Vec<Assembly<'a>>> {
    let design = |(index, &rail): (usize, &usize)| {
        let asked = inputs.asked(rail)?;
        if let Some(&assembly) = known.get(index)
            && Bench::build_whole(asked, assembly).is_ok_and(|bench| judge(&bench).iter().all(Verdict::holds))
        {
            return Some(assembly);
        }
        circuits(inputs.requirement, asked.rail).into_iter().find_map(|circuit| {
            let found = Search::of(asked, shop, circuit).any(JUDGED_MAX)?;
            Some(found.assembly)
        })
    };
    rails.iter().enumerate().map(design).collect()
}

/// For each requirement that concerns `failed`, the rails without a design, its smallest change alone; those already at
/// their slackest are left out.
pub fn relaxations(inputs: Inputs<'_>, failed: &[usize]) -> Vec<Change> {
    // No knob changes what may be bought or what it costs.
    let shop = open(inputs);
    inputs
        .requirement
        .knobs()
        .into_par_iter()
        .filter(|knob| match knob {
            Knob::Tolerance(rail) | Knob::Ripple(rail) | Knob::Current(rail) => failed.contains(rail),
            _ => true,
        })
        .filter_map(|knob| smallest(inputs, &shop, failed, knob))
        .collect()
}

/// The grid value nearest to what is asked that a bisection finds feasible; `None` where nothing can be relaxed.
fn smallest(inputs: Inputs<'_>, shop: &Shop<'_>, failed: &[usize], knob: Knob) -> Option<Change> {
    let requirement = inputs.requirement;
    let grid = Grid::of(knob);
    let asked = requirement.asked(knob);
    let slack = match knob {
        Knob::Current(_) => requirement.slackest(knob).max(CURRENT_MIN_A).min(asked),
        _ => requirement.slackest(knob),
    };
    // What is asked may lie between two grid values: the one no slacker than it fails as well.
    let (fails, holds) = if slack < asked {
        (grid.above(asked), grid.above(slack))
    } else {
        (grid.below(asked), grid.below(slack))
    };
    if fails == holds {
        return None;
    }
    let relaxed = requirement.with(knob, grid.value(holds));
    let slackest = Inputs { requirement: &relaxed, ..inputs };
    let Some(known) = designs(slackest, shop, failed, &[]) else {
        return Some(Change { knob, value: grid.value(holds), feasible: false });
    };
    let range = Range { inputs, shop, failed, knob, grid };
    let found = range.narrow(fails, holds, &known);
    // The rails that had a design before keep one: less is asked of them, but it is solved rather than assumed.
    let others: Vec<usize> = (0..requirement.rails.len()).filter(|rail| !failed.contains(rail)).collect();
    let relaxed = requirement.with(knob, range.grid.value(found));
    let narrowed = Inputs { requirement: &relaxed, ..inputs };
    let feasible = designs(narrowed, shop, &others, &[]).is_some();
    Some(Change { knob, value: range.grid.value(found), feasible })
}

/// One requirement while it is narrowed.
struct Range<'s, 'a> {
    inputs: Inputs<'a>,
    shop: &'s Shop<'a>,
    failed: &'s [usize],
    knob: Knob,
    grid: Grid,
}

impl Range<'_, '_> {
    /// The grid value next to one without a design; `known` are designs at `holds`.
    fn narrow(&self, fails: i64, holds: i64, known: &[Assembly<'_>]) -> i64 {
        if (holds - fails).abs() <= 1 {
            return holds;
        }
        let middle = fails + (holds - fails) / 2;
        let relaxed = self.inputs.requirement.with(self.knob, self.grid.value(middle));
        let inputs = Inputs { requirement: &relaxed, ..self.inputs };
        match designs(inputs, self.shop, self.failed, known) {
            Some(known) => self.narrow(fails, middle, &known),
            None => self.narrow(middle, holds, known),
        }
    }
}

/// Values that are tried: equal steps, or three digits of every decade.
enum Grid {
    Steps(f64),
    Digits,
}

/// Least current that is tried, A.
const CURRENT_MIN_A: f64 = 1e-3;
/// Values of three digits a decade.
const PER_DECADE: i64 = 900;
/// First of them.
const FIRST: i64 = 100;
/// Decade of index 0: values from 0.1 nano-unit up.
const DECADE: i64 = -12;

impl Grid {
    /// Tenths of a per cent of mains and output, tenths of a kelvin, three digits of anything else.
    fn of(knob: Knob) -> Self {
        match knob {
            Knob::MainsLow | Knob::MainsHigh | Knob::Tolerance(_) => Self::Steps(1000.0),
            Knob::AmbientMax => Self::Steps(10.0),
            Knob::Life | Knob::Ripple(_) | Knob::Current(_) => Self::Digits,
        }
    }

    fn value(&self, index: i64) -> f64 {
        match self {
            Self::Steps(per_unit) => index as f64 / per_unit,
            Self::Digits if index <= 0 => 0.0,
            Self::Digits => {
                let (decade, mantissa) = (index / PER_DECADE + DECADE, index % PER_DECADE + FIRST);
                // Parsed, so that 5.43 is the number that a file with 5.43 in it says.
                format!("{mantissa}e{decade}").parse().unwrap_or(0.0)
            }
        }
    }

    /// Least index whose value is not below a value.
    fn above(&self, value: f64) -> i64 {
        let index = self.below(value);
        if self.value(index) < value * (1.0 - 1e-12) { index + 1 } else { index }
    }

    /// Greatest index whose value is not above a value, a hair of rounding apart.
    fn below(&self, value: f64) -> i64 {
        #[expect(clippy::cast_possible_truncation, reason = "a few thousand at most")]
        let floor = |value: f64| (value + 1e-9 * value.abs()).floor() as i64;
        match self {
            Self::Steps(per_unit) => floor(value * per_unit),
            Self::Digits if value < 1e-9 => 0,
            Self::Digits => {
                let decade = floor(value.log10() + 1e-12) - 2;
                let mantissa = floor(value / 10f64.powi(i32::try_from(decade).unwrap_or(0)));
                (decade - DECADE) * PER_DECADE + mantissa - FIRST
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn a_grid_value_is_found_again_and_its_neighbours_lie_on_both_sides() {
        for value in [0.001, 0.00543, 0.999, 1.0, 5.43, 26300.0] {
            let index = Grid::Digits.below(value);
            assert_relative_eq!(Grid::Digits.value(index), value, max_relative = 1e-12);
            assert_eq!(Grid::Digits.above(value), index);
            assert!(Grid::Digits.value(index - 1) < value && value < Grid::Digits.value(index + 1));
        }
        let between = Grid::Digits.below(5.437);
        assert_relative_eq!(Grid::Digits.value(between), 5.43, max_relative = 1e-12);
        assert_eq!(Grid::Digits.above(5.437), between + 1);
        assert_eq!(Grid::Steps(10.0).below(-9.95), -100);
        assert_eq!(Grid::Steps(10.0).above(-9.95), -99);
        assert_eq!(Grid::Digits.below(0.0), 0);
        assert_relative_eq!(Grid::Digits.value(0), 0.0);
    }
}
