//! How long the general engine takes for each topology and filter, and against a general integrator in the same run.

#![expect(clippy::print_stdout, reason = "a benchmark answers on standard output")]

#[path = "../support/by_hand.rs"]
#[expect(dead_code, reason = "the settled values are for the tests")]
mod by_hand;
#[path = "kept.rs"]
mod kept;
#[path = "../support/random.rs"]
#[expect(dead_code, reason = "the convergence benchmark needs more of it")]
mod random;

use by_hand::ByHand;
use railwright::circuit::general::{Steady, solve, switch_on};
use railwright::circuit::spec::{Filter, Load, Spec, Topology};
use railwright::quantity::{Ohms, Volts};
use random::{Dice, Loads};
use std::hint::black_box;
use std::time::Instant;

/// Passes of which the median is printed, and circuits in a pass.
const PASSES: usize = 15;
const CIRCUITS: usize = 60;
/// Tolerance of the integrator; the largest step sees every pulse.
const INTEGRATOR: (f64, f64) = (1e-7, 0.02);

/// Median time of one job, microseconds.
fn time<T>(items: &[T], mut job: impl FnMut(&T)) -> f64 {
    let mut passes: Vec<f64> = (0..PASSES)
        .map(|_| {
            let begin = Instant::now();
            items.iter().for_each(&mut job);
            begin.elapsed().as_secs_f64() * 1e6 / items.len() as f64
        })
        .collect();
    passes.sort_by(f64::total_cmp);
    passes[PASSES / 2]
}

const TOPOLOGIES: [Topology; 6] = [
    Topology::HalfWave,
    Topology::CentreTap,
    Topology::Bridge,
    Topology::FullWaveDoubler,
    Topology::HalfWaveDoubler,
    Topology::DualComplementary,
];

fn name(filter: &Filter) -> &'static str {
    match filter {
        Filter::None => "none",
        Filter::Reservoir(_) => "reservoir",
        Filter::Crc(..) => "CRC",
        Filter::Clc(..) => "CLC",
        Filter::Lc(..) => "LC",
        Filter::Rc(..) => "RC",
    }
}

/// Random circuits that have a steady state, of one topology and filter; diodes with a slope.
fn circuits(topology: Topology, filter: &str, leaky: bool, loads: Loads) -> Vec<Spec> {
    let count = if loads == Loads::Power { CIRCUITS / 6 } else { CIRCUITS };
    (0..200_000)
        .map(|seed| random::circuit(&mut Dice::new(seed), loads))
        .filter(|spec| {
            spec.topology == topology
                && name(&spec.output.filter) == filter
                && spec.negative.is_none_or(|branch| name(&branch.filter) == filter)
                && (spec.winding.leakage.0 > 0.0) == leaky
                && spec.diode.slope.0 > 0.0
                && (loads == Loads::Linear || matches!(spec.output.load, Load::Power(_)))
        })
        .filter(|spec| solve(spec).is_ok())
        .take(count)
        .collect()
}

/// Periods from nearly discharged until one repeats to a millionth of the EMF peak.
fn periods(circuit: ByHand, (tolerance, largest_step): (f64, f64)) -> Option<u32> {
    let mut y = by_hand::State::new(1.0, 1.0, 0.0, 0.0, 0.0, 0.0);
    for lap in 0..2000 {
        let next = circuit.period(lap, y, tolerance, largest_step)?;
        let change = (next[0] - y[0]).abs().max((next[1] - y[1]).abs());
        y = next;
        if change < 1e-6 * by_hand::EMF {
            return Some(lap + 1);
        }
    }
    None
}

fn main() {
    println!("microseconds, median: steady state | with all figures | runs of the cycle map");
    for topology in TOPOLOGIES {
        for filter in ["none", "reservoir", "CRC", "CLC", "LC", "RC"] {
            for leaky in [false, true] {
                let set = circuits(topology, filter, leaky, Loads::Linear);
                if set.is_empty() {
                    continue;
                }
                let alone = time(&set, |spec| {
                    black_box(solve(spec).is_ok());
                });
                let all = time(&set, |spec| {
                    black_box(solve(spec).map(|steady| steady.figures()).is_ok());
                });
                let runs =
                    set.iter().filter_map(|spec| solve(spec).ok()).map(|s| s.iterations()).sum::<u32>();
                let runs = f64::from(runs) / set.len() as f64;
                let leak = if leaky { "leakage" } else { "" };
                let what = format!("{topology:?} {filter} {leak}");
                let kept = kept::beside("general", what.trim_end(), alone);
                println!(
                    "{:18} {filter:10} {leak:8} {alone:8.1} {all:8.1} {runs:6.2}{kept}",
                    format!("{topology:?}")
                );
            }
        }
    }
    let bridges = circuits(Topology::Bridge, "CLC", true, Loads::Linear);
    let steady: Vec<Steady> = bridges.iter().filter_map(|spec| solve(spec).ok()).collect();
    let forty = time(&steady, |steady| {
        black_box(steady.harmonics(40));
    });
    let wave = time(&steady, |steady| {
        black_box(steady.waveform(500));
    });
    println!("bridge CLC with leakage: 40 harmonics {forty:.1}, waveform of 500 points {wave:.1}");
    let reservoirs = circuits(Topology::Bridge, "reservoir", false, Loads::Linear);
    let surge = time(&reservoirs[..10.min(reservoirs.len())], |spec| {
        let knee = Volts(0.2 * spec.winding.emf_peak.0);
        black_box(switch_on::worst(spec, Ohms(0.0), knee).is_ok());
    });
    let kept = kept::beside("general", "switch-on", surge);
    println!("bridge reservoir: switch-on at the worst phase and settling {surge:.0}{kept}");
    let powers = circuits(Topology::Bridge, "reservoir", false, Loads::Power);
    let power = time(&powers, |spec| {
        black_box(solve(spec).map(|steady| steady.figures()).is_ok());
    });
    let kept = kept::beside("general", "constant power", power);
    println!("bridge reservoir of constant power: {power:.0}{kept}");
    for circuit in ByHand::ALL {
        let spec = circuit.spec();
        let own = time(&[spec], |spec| {
            black_box(solve(spec).map(|steady| steady.figures()).is_ok());
        });
        let begin = Instant::now();
        let periods = periods(circuit, INTEGRATOR).unwrap_or(0);
        let integrator = begin.elapsed().as_secs_f64() * 1e6;
        println!(
            "{circuit:?}: {own:.1}, integrator {integrator:.0} over {periods} periods, ratio {:.0}",
            integrator / own
        );
    }
}
