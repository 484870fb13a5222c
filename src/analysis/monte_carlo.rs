//! Seeded samples of the tolerance box: percentiles of figures, and how many circuits keep all limits.
//!
//! Samples are drawn by counting and kept in order: the same seed gives the same bytes on any number of threads.

use rayon::prelude::*;

use super::{
    file::Switching,
    limits::Limit,
    name::FigureName,
    random::Draws,
    study::{Depth, study},
    tolerance::{Distribution, Tolerance},
};
use crate::circuit::spec::Spec;

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plan {
    /// How many circuits.
    pub samples: u32,
    /// Seed.
    pub seed: u64,
}

/// The most circuits of one run.
pub const SAMPLES_MAX: u32 = 20_000_000;
/// The percentiles that are reported.
pub const PERCENTILES: [f64; 7] = [0.1, 1.0, 5.0, 50.0, 95.0, 99.0, 99.9];
/// Circuits one task draws.
const CHUNK: u32 = 4096;
/// Standard deviations from the middle to an end of a normal tolerance.
const SIGMAS: f64 = 3.0;

/// How one figure is spread.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Which figure.
    pub figure: FigureName,
    /// Its key; on a core behind the name of its rail.
    pub key: String,
    /// Samples in which it exists.
    pub count: u32,
    /// Mean.
    pub mean: f64,
    /// Standard deviation, of the samples.
    pub deviation: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
    /// Values at [`PERCENTILES`], each the sample of nearest rank.
    pub percentiles: Vec<f64>,
}

/// What the samples say.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What was drawn.
    pub plan: Plan,
    /// Circuits without a steady state.
    pub unsolved: u32,
    /// Each figure.
    pub spreads: Vec<Spread>,
    /// How many keep each limit.
    pub kept: Vec<u32>,
    /// How many keep all limits.
    pub kept_all: u32,
}

/// Samples of one task.
struct Chunk {
    /// Figures, sample by sample; not a number where a figure does not exist.
    values: Vec<f64>,
    unsolved: u32,
    kept: Vec<u32>,
    kept_all: u32,
}

/// Draws the values of one sample and hands each on with the place of its tolerance.
pub(super) fn drawn<'t>(
    tolerances: impl Iterator<Item = &'t Tolerance>,
    seed: u64,
    sample: u32,
    mut set: impl FnMut(usize, f64),
) {
    let mut draws = Draws::of(seed, u64::from(sample));
    for (place, one) in tolerances.enumerate() {
        let (middle, half) = (f64::midpoint(one.low, one.high), 0.5 * (one.high - one.low));
        let value = match one.distribution {
            Distribution::Uniform => one.low + (one.high - one.low) * draws.uniform(),
            Distribution::Normal => middle + half / SIGMAS * draws.normal_within(SIGMAS),
        };
        set(place, value);
    }
}

/// The circuit of one sample.
pub fn draw(spec: &Spec, tolerances: &[Tolerance], seed: u64, sample: u32) -> Spec {
    let mut spec = *spec;
    drawn(tolerances.iter(), seed, sample, |place, value| {
        if let Some(one) = tolerances.get(place) {
            // The file's reader saw that each input exists.
            let _ = one.input.set(&mut spec, value);
        }
    });
    spec
}

/// Draws and solves.
pub fn monte_carlo(
    spec: &Spec,
    switching: &Switching,
    tolerances: &[Tolerance],
    (figures, limits): (&[FigureName], &[Limit]),
    plan: Plan,
    done: &(impl Fn(u64) + Sync),
) -> Outcome {
    let limited: Vec<FigureName> = limits.iter().map(|limit| limit.figure).collect();
    let (one, other) = (Depth::for_figures(figures), Depth::for_figures(&limited));
    let depth = Depth { grid: one.grid || other.grid, switch_on: one.switch_on || other.switch_on };
    let keyed: Vec<(FigureName, String)> = figures.iter().map(|figure| (*figure, figure.key())).collect();
    let solved = |sample: u32, values: &mut Vec<f64>, held: &mut [bool]| {
        let Ok(study) = study(&draw(spec, tolerances, plan.seed, sample), switching, depth) else {
            return false;
        };
        let known = study.known();
        values.extend(figures.iter().map(|figure| figure.of(known).unwrap_or(f64::NAN)));
        for (limit, holds) in limits.iter().zip(held) {
            *holds = limit.figure.of(known).is_some_and(|value| limit.allows(value));
        }
        true
    };
    counted(&keyed, limits.len(), plan, solved, done)
}

/// Solves every sample of a plan and counts; `solved` adds the figures of a sample, not a number where one does not exist,
/// says which limits hold, and whether there is a steady state.
pub(super) fn counted(
    figures: &[(FigureName, String)],
    limits: usize,
    plan: Plan,
    solved: impl Fn(u32, &mut Vec<f64>, &mut [bool]) -> bool + Sync,
    done: &(impl Fn(u64) + Sync),
) -> Outcome {
    let chunks: Vec<Chunk> = (0..plan.samples.div_ceil(CHUNK))
        .into_par_iter()
        .map(|nth| {
            let begin = nth * CHUNK;
            let end = plan.samples.min(begin + CHUNK);
            let mut chunk = Chunk {
                values: Vec::with_capacity((end - begin) as usize * figures.len()),
                unsolved: 0,
                kept: vec![0; limits],
                kept_all: 0,
            };
            let mut held = vec![false; limits];
            for sample in begin..end {
                if !solved(sample, &mut chunk.values, &mut held) {
                    chunk.unsolved += 1;
                    continue;
                }
                for (kept, holds) in chunk.kept.iter_mut().zip(&held) {
                    *kept += u32::from(*holds);
                }
                chunk.kept_all += u32::from(held.iter().all(|holds| *holds));
            }
            done(u64::from(end - begin));
            chunk
        })
        .collect();
    let spreads = figures
        .par_iter()
        .enumerate()
        .filter_map(|(column, (figure, key))| {
            let values =
                chunks.iter().flat_map(|chunk| chunk.values.iter().skip(column).step_by(figures.len()));
            spread(*figure, key, values.copied().filter(|value| !value.is_nan()).collect())
        })
        .collect();
    let mut kept = vec![0; limits];
    for chunk in &chunks {
        kept.iter_mut().zip(&chunk.kept).for_each(|(all, some)| *all += some);
    }
    Outcome {
        plan,
        unsolved: chunks.iter().map(|chunk| chunk.unsolved).sum(),
        spreads,
        kept,
        kept_all: chunks.iter().map(|chunk| chunk.kept_all).sum(),
    }
}

/// Sums in the order of the samples, then sorts.
fn spread(figure: FigureName, key: &str, mut values: Vec<f64>) -> Option<Spread> {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    values.sort_unstable_by(f64::total_cmp);
    let rank = |percent: f64| {
        let rank = (percent / 100.0 * count).ceil().max(1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "1 to the count of samples"
        )]
        values.get(rank as usize - 1).copied()
    };
    Some(Spread {
        figure,
        key: key.to_owned(),
        count: u32::try_from(values.len()).unwrap_or(u32::MAX),
        mean,
        deviation: if count > 1.0 { (squares / (count - 1.0)).sqrt() } else { 0.0 },
        min: *values.first()?,
        max: *values.last()?,
        percentiles: PERCENTILES.into_iter().map(rank).collect::<Option<_>>()?,
    })
}
