//! How the general engine converges over a million random circuits of the whole domain: outcomes, iterations, fallbacks,
//! energy balance; and how far it is from the closed form where that applies.

#![expect(clippy::print_stdout, reason = "a benchmark reports")]

#[path = "../support/random.rs"]
mod random;

use railwright::circuit::figures::{Figures, NoSteadyState};
use railwright::circuit::general::solve;
use railwright::circuit::reservoir;
use railwright::circuit::spec::Spec;
use random::{Dice, Loads};
use rayon::prelude::*;
use std::time::Instant;

/// Circuits of one task.
const CHUNK: u64 = 1000;

/// What happened.
#[derive(Default)]
struct Count {
    solved: u64,
    collapsed: u64,
    refused: u64,
    /// Seeds of circuits whose steady state was not found.
    lost: Vec<u64>,
    runs: u64,
    most_runs: u32,
    fallen_back: u64,
    /// Greatest energy residual and its seed.
    energy: (f64, u64),
    /// Circuits whose residual exceeds 1e-9 and what rounding of their stored charge explains.
    unbalanced: u64,
    compared: u64,
    /// Circuits in which both engines lie further apart than 1e-10.
    apart: u64,
    furthest: (f64, u64),
}

impl Count {
    fn add(mut self, other: Self) -> Self {
        self.solved += other.solved;
        self.collapsed += other.collapsed;
        self.refused += other.refused;
        self.lost.extend(other.lost);
        self.runs += other.runs;
        self.most_runs = self.most_runs.max(other.most_runs);
        self.fallen_back += other.fallen_back;
        self.unbalanced += other.unbalanced;
        if other.energy.0 > self.energy.0 {
            self.energy = other.energy;
        }
        self.compared += other.compared;
        self.apart += other.apart;
        if other.furthest.0 > self.furthest.0 {
            self.furthest = other.furthest;
        }
        self
    }

    fn take(&mut self, seed: u64, loads: Loads) {
        let spec = random::circuit(&mut Dice::new(seed), loads);
        match solve(&spec) {
            Ok(steady) => {
                let figures = steady.figures();
                self.solved += 1;
                self.runs += u64::from(steady.iterations());
                self.most_runs = self.most_runs.max(steady.iterations());
                self.fallen_back += u64::from(steady.fallbacks() > 0);
                let residual = figures.energy_residual.abs();
                let explained = 1e-9 + random::rounding_of_energy(&spec, figures.input_power_w);
                self.unbalanced += u64::from(residual > explained);
                if residual > self.energy.0 {
                    self.energy = (residual, seed);
                }
                if let Ok(closed) = reservoir::steady(&spec) {
                    let error = apart(&spec, &reservoir::figures(&closed), &figures);
                    self.compared += 1;
                    self.apart += u64::from(error > 1e-10);
                    if error > self.furthest.0 {
                        self.furthest = (error, seed);
                    }
                }
            }
            Err(NoSteadyState::Collapsed) => self.collapsed += 1,
            Err(NoSteadyState::NotFound { .. }) => self.lost.push(seed),
            Err(_) => self.refused += 1,
        }
    }
}

/// Voltages against the EMF peak, currents against the diode's peak.
fn apart(spec: &Spec, a: &Figures, b: &Figures) -> f64 {
    let (volts, amps) = (spec.winding.emf_peak.0, a.output.diode_peak_a);
    [
        (a.output.load_mean_v - b.output.load_mean_v) / volts,
        (a.output.load_min_v - b.output.load_min_v) / volts,
        (a.output.load_max_v - b.output.load_max_v) / volts,
        (a.output.diode_piv_v - b.output.diode_piv_v) / volts,
        (a.output.diode_peak_a - b.output.diode_peak_a) / amps,
        (a.output.diode_rms_a - b.output.diode_rms_a) / amps,
        (a.primary_rms_a - b.primary_rms_a) / amps,
    ]
    .into_iter()
    .fold(0.0, |most, error| most.max(error.abs()))
}

fn main() {
    let count: u64 = std::env::args().find_map(|arg| arg.parse().ok()).unwrap_or(1_000_000);
    convergence("resistances and currents", count, Loads::Linear);
    convergence("constant power", count / 50, Loads::Power);
}

/// Solves random circuits and counts what happened.
fn convergence(name: &str, count: u64, loads: Loads) {
    let start = Instant::now();
    let all = (0..count.div_ceil(CHUNK))
        .into_par_iter()
        .map(|nth| {
            let mut counted = Count::default();
            (nth * CHUNK..count.min((nth + 1) * CHUNK)).for_each(|seed| counted.take(seed, loads));
            counted
        })
        .reduce(Count::default, Count::add);
    let each = start.elapsed().as_secs_f64() / count as f64;
    println!(
        "{name}: {count} circuits, {:.1} us each on {} threads: {} solved, {} collapsed, {} refused, {} not found {:?}",
        each * 1e6,
        rayon::current_num_threads(),
        all.solved,
        all.collapsed,
        all.refused,
        all.lost.len(),
        &all.lost[..all.lost.len().min(10)]
    );
    println!(
        "  runs of the cycle map: mean {:.2}, most {}; {} needed a fallback; worst energy residual {:.1e} (seed {}), {} beyond \
         1e-9 and the rounding of the stored charge",
        all.runs as f64 / all.solved.max(1) as f64,
        all.most_runs,
        all.fallen_back,
        all.energy.0,
        all.energy.1,
        all.unbalanced
    );
    if all.compared > 0 {
        println!(
            "  closed form: {} compared, furthest {:.1e} (seed {}), {} beyond 1e-10",
            all.compared, all.furthest.0, all.furthest.1, all.apart
        );
    }
}
