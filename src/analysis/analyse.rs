//! Everything about one circuit file at once: the figures, what the books say, where the power goes, tolerances.
//!
//! Gathers what the other files of this storey find. Knows no layout.

use super::{
    balance::{Share, balance},
    file::CircuitFile,
    grid::{Grid, GridLimits},
    monte_carlo::{Outcome, Plan, monte_carlo},
    name::FigureName,
    ripple::{self, RippleRating, RippleUse},
    study::{Study, switched_on},
    textbook::{Rule, rules},
    vertices::{Box as VertexBox, vertices},
};
use crate::{
    circuit::{
        figures::{Figures, NoSteadyState},
        general::{Sample, switch_on::SwitchOn},
        reservoir::Harmonic,
        solve::solve,
    },
    physics::{domain::DomainError, grid::HARMONIC_MAX},
    quantity::{Amps, Hertz, Ohms, Watts},
};

/// What is asked of a circuit beside its steady state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    /// Switch-on.
    pub switch_on: bool,
    /// Samples over a period; none where zero.
    pub points: u32,
    /// Circuits drawn from the tolerances.
    pub samples: Option<Plan>,
    /// Figures whose tolerance is asked for; the usual ones where empty.
    pub figures: Vec<FigureName>,
}

/// Switch-on with and without a limiter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Switched {
    /// Without a limiter.
    pub bare: SwitchOn,
    /// With the limiter cold and hot; `None` where there is none.
    pub limited: Option<(SwitchOn, SwitchOn)>,
}

impl Switched {
    /// What its figures are read from: with the limiter (if any) cold.
    pub fn first(&self) -> SwitchOn {
        self.limited.map_or(self.bare, |(cold, _)| cold)
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysed {
    /// Figures and primary current.
    pub study: Study,
    /// Whether the closed form solved it.
    pub closed_form: bool,
    /// The textbook column.
    pub rules: Vec<Rule>,
    /// Where the power goes.
    pub shares: Vec<Share>,
    /// Switch-on, where asked for.
    pub switched: Option<Switched>,
    /// Class A.
    pub grid_limits: GridLimits,
    /// Harmonics of the first capacitor's current.
    pub c1_harmonics: Option<Vec<Harmonic>>,
    /// Ripple currents against their ratings, where the file states some; an error where a table does not reach down to
    /// the mains.
    pub ripple_uses: Vec<Result<RippleUse, DomainError>>,
    /// A mains period, where asked for.
    pub waveform: Vec<Sample>,
    /// Tolerances at their vertices, where the file states some.
    pub vertices: Option<VertexBox>,
    /// Samples, where asked for and the file states tolerances.
    pub samples: Option<Outcome>,
}

/// Figures whose tolerance is shown where none are asked for.
const USUAL: [&str; 6] =
    ["load_mean_v", "load_min_v", "ripple_pp_v", "diode_peak_a", "diode_piv_v", "winding_rms_a"];

/// The usual figures, and every limited one.
pub fn usual_figures(file: &CircuitFile) -> Vec<FigureName> {
    let mut list: Vec<FigureName> = USUAL.iter().filter_map(|key| FigureName::named(key).ok()).collect();
    for limit in &file.limits {
        if !list.contains(&limit.figure) {
            list.push(limit.figure);
        }
    }
    list
}

/// Analyses a circuit file; `done` is told of samples as they are solved.
pub fn analyse(
    file: &CircuitFile,
    wish: &Wish,
    done: &(impl Fn(u64) + Sync),
) -> Result<Analysed, NoSteadyState> {
    let spec = &file.spec;
    let solution = solve(spec)?;
    let figures = solution.figures();
    let grid = Grid::of(spec, &solution, &figures);
    let switched = if wish.switch_on { Some(switched(file)?) } else { None };
    let (input, primary) = (Watts(figures.input_power_w), Amps(figures.primary_rms_a));
    let grid_limits = grid.class_a(spec, file.mains_rms, input, primary);
    let list = if wish.figures.is_empty() { usual_figures(file) } else { wish.figures.clone() };
    let toleranced = !file.tolerances.is_empty();
    let vertices =
        if toleranced { Some(vertices(spec, &file.switching, &file.tolerances, &list)?) } else { None };
    let samples = wish.samples.filter(|_| toleranced).map(|plan| {
        let (figures, limits) = (list.as_slice(), file.limits.as_slice());
        monte_carlo(spec, &file.switching, &file.tolerances, (figures, limits), plan, done)
    });
    Ok(Analysed {
        closed_form: solution.is_closed_form(),
        rules: rules(spec, &figures),
        shares: balance(spec, &figures),
        ripple_uses: ripple_uses(&file.ripple_ratings, &figures, spec.winding.frequency, |second| {
            solution.capacitor_harmonics(0, second, HARMONIC_MAX)
        }),
        c1_harmonics: solution.capacitor_harmonics(0, false, HARMONIC_MAX),
        waveform: if wish.points > 0 { solution.waveform(wish.points) } else { Vec::new() },
        study: Study { figures, grid: Some(grid), switch_on: switched.as_ref().map(Switched::first) },
        switched,
        grid_limits,
        vertices,
        samples,
    })
}

/// Ripple current of each rated capacitor, weighted by its maker's multipliers; harmonics of the first or the second.
pub(super) fn ripple_uses(
    ratings: &[Option<RippleRating>; 2],
    figures: &Figures,
    frequency: Hertz,
    harmonics: impl Fn(bool) -> Option<Vec<Harmonic>>,
) -> Vec<Result<RippleUse, DomainError>> {
    let totals = [figures.output.c1_ripple_current_rms_a, figures.output.c2_ripple_current_rms_a];
    ["c1", "c2"]
        .into_iter()
        .zip(ratings)
        .zip(totals)
        .enumerate()
        .filter_map(|(nth, ((key, rating), total))| {
            let rating = rating.as_ref()?;
            Some(ripple::weigh(key, rating, total?, &harmonics(nth == 1)?, frequency))
        })
        .collect()
}

fn switched(file: &CircuitFile) -> Result<Switched, NoSteadyState> {
    let with = |ohms| switched_on(&file.spec, &file.switching, ohms);
    let limited = match file.switching.limiter {
        Some((cold, hot)) => Some((with(cold)?, with(hot)?)),
        None => None,
    };
    Ok(Switched { bare: with(Ohms(0.0))?, limited })
}
