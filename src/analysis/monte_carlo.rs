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

/// The circuit of one sample.
pub fn draw(spec: &Spec, tolerances: &[Tolerance], seed: u64, sample: u32) -> Spec {
    let mut draws = Draws::of(seed, u64::from(sample));
    let mut spec = *spec;
    for one in tolerances {
        let (middle, half) = (f64::midpoint(one.low, one.high), 0.5 * (one.high - one.low));
        let value = match one.distribution {
            Distribution::Uniform => one.low + (one.high - one.low) * draws.uniform(),
            Distribution::Normal => middle + half / SIGMAS * draws.normal_within(SIGMAS),
        };
        // The file's reader saw that each input exists.
        let _ = one.input.set(&mut spec, value);
    }
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
    let chunks: Vec<Chunk> = (0..plan.samples.div_ceil(CHUNK))
        .into_par_iter()
        .map(|nth| {
            let begin = nth * CHUNK;
            let end = plan.samples.min(begin + CHUNK);
            let mut chunk = Chunk {
                values: Vec::with_capacity((end - begin) as usize * figures.len()),
                unsolved: 0,
                kept: vec![0; limits.len()],
                kept_all: 0,
            };
            for sample in begin..end {
                let Ok(study) = study(&draw(spec, tolerances, plan.seed, sample), switching, depth) else {
                    chunk.unsolved += 1;
                    continue;
                };
                let known = study.known();
                chunk.values.extend(figures.iter().map(|figure| figure.of(known).unwrap_or(f64::NAN)));
                let mut all = true;
                for (limit, kept) in limits.iter().zip(&mut chunk.kept) {
                    let holds = limit.figure.of(known).is_some_and(|value| limit.allows(value));
                    *kept += u32::from(holds);
                    all &= holds;
                }
                chunk.kept_all += u32::from(all);
            }
            done(u64::from(end - begin));
            chunk
        })
        .collect();
    let spreads = (0..figures.len())
        .into_par_iter()
        .filter_map(|column| {
            let values =
                chunks.iter().flat_map(|chunk| chunk.values.iter().skip(column).step_by(figures.len()));
            spread(*figures.get(column)?, values.copied().filter(|value| !value.is_nan()).collect())
        })
        .collect();
    let mut kept = vec![0; limits.len()];
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
fn spread(figure: FigureName, mut values: Vec<f64>) -> Option<Spread> {
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
        count: u32::try_from(values.len()).unwrap_or(u32::MAX),
        mean,
        deviation: if count > 1.0 { (squares / (count - 1.0)).sqrt() } else { 0.0 },
        min: *values.first()?,
        max: *values.last()?,
        percentiles: PERCENTILES.into_iter().map(rank).collect::<Option<_>>()?,
    })
}
