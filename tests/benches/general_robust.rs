//! How the general engine converges over random circuits of the whole domain: outcomes, iterations, fallbacks, balance.

#![expect(clippy::print_stdout, reason = "a benchmark reports")]

#[path = "../support/random.rs"]
mod random;

use railwright::circuit::figures::NoSteadyState;
use railwright::circuit::general::solve;
use random::{Dice, Loads};
use std::collections::BTreeMap;
use std::time::Instant;

fn main() {
    let count: u64 = std::env::args().find_map(|arg| arg.parse().ok()).unwrap_or(100_000);
    convergence(count, Loads::Linear);
    convergence(count / 20, Loads::Power);
}

/// Solves random circuits and counts what happened.
fn convergence(count: u64, loads: Loads) {
    let mut outcome: BTreeMap<&'static str, u64> = BTreeMap::new();
    let (mut runs, mut worst_runs, mut fallen_back, mut worst_energy) = (0_u64, 0, 0_u64, 0.0_f64);
    let mut shown = 0;
    let start = Instant::now();
    for seed in 0..count {
        let spec = random::circuit(&mut Dice::new(seed), loads);
        let began = Instant::now();
        let answer = solve(&spec);
        let took = began.elapsed();
        let name = match &answer {
            Ok(_) => "solved",
            Err(NoSteadyState::Collapsed) => "collapsed",
            Err(NoSteadyState::NotFound { .. }) => "not found",
            Err(_) => "refused",
        };
        *outcome.entry(name).or_default() += 1;
        if let Ok(steady) = &answer {
            let figures = steady.figures();
            runs += u64::from(steady.iterations());
            worst_runs = worst_runs.max(steady.iterations());
            fallen_back += u64::from(steady.fallbacks() > 0);
            worst_energy = worst_energy.max(figures.energy_residual.abs());
            if figures.energy_residual.abs() > 1e-9 && shown < 20 {
                shown += 1;
                println!(
                    "seed {seed} energy {:e} residual {:e} runs {}",
                    figures.energy_residual,
                    figures.residual,
                    steady.iterations()
                );
            }
        }
        if (name == "not found" || took.as_millis() > 50) && shown < 40 {
            shown += 1;
            println!(
                "seed {seed} {name} {answer:.0?} {took:?} {:?} {:?}",
                spec.topology,
                spec.output,
                answer = answer.as_ref().map(|_| ()).err()
            );
        }
    }
    let each = start.elapsed().as_secs_f64() / count as f64;
    println!("{count} circuits, {:.1} us each with figures: {outcome:?}", each * 1e6);
    println!(
        "runs mean {:.2}, most {worst_runs}; {fallen_back} needed a fallback; energy balance {worst_energy:e}",
        runs as f64 / count as f64
    );
}
