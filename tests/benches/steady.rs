//! How long one steady state takes, and how that compares with a general ODE integrator.

#[path = "../support/draw.rs"]
mod draw;

use std::hint::black_box;
use std::time::Instant;

use draw::{Dice, USUAL, circuit};
use railwright::circuit::reservoir::{Bank, Draw, Pulse, Source, Steady, figures, steady};
use railwright::circuit::spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts};

/// Median and 95th percentile of `rounds` passes over `items`, in nanoseconds an item.
fn time<T>(items: &[T], rounds: usize, mut job: impl FnMut(&T)) -> (f64, f64) {
    let mut passes: Vec<f64> = (0..rounds)
        .map(|_| {
            let begin = Instant::now();
            items.iter().for_each(&mut job);
            begin.elapsed().as_secs_f64() * 1e9 / items.len() as f64
        })
        .collect();
    passes.sort_by(f64::total_cmp);
    (passes[rounds / 2], passes[rounds * 95 / 100])
}

fn specs(constant_current: bool) -> (Vec<(Source, Bank, Draw)>, Vec<Spec>) {
    let mut dice = Dice(5);
    let mut plain = Vec::new();
    let mut specs = Vec::new();
    while plain.len() < 1000 {
        let (source, bank, draw) = circuit(&mut dice, USUAL, constant_current);
        if Pulse::solve(&source, &bank, draw).is_err() {
            continue;
        }
        plain.push((source, bank, draw));
        let bridge = source.full_wave;
        let paths = if bridge { 2.0 } else { 1.0 };
        specs.push(Spec {
            topology: if bridge { Topology::Bridge } else { Topology::HalfWave },
            winding: Winding {
                emf_peak: Volts(source.emf_peak_v),
                frequency: Hertz(50.0),
                resistance: Ohms(0.8 * source.resistance_ohm),
                common_resistance: Ohms(0.0),
                leakage: Henries(0.0),
            },
            diode: Diode {
                threshold: Volts(source.drop_v / paths),
                slope: Ohms(0.2 * source.resistance_ohm / paths),
            },
            output: Branch {
                filter: Filter::Reservoir(Capacitor {
                    capacitance: Farads(bank.capacitance_f),
                    esr: Ohms(bank.esr_ohm),
                }),
                load: if constant_current {
                    Load::Current(Amps(draw.current_a))
                } else {
                    Load::Resistance(Ohms(1.0 / draw.conductance_s))
                },
            },
            negative: None,
        });
    }
    (plain, specs)
}

fn main() {
    for (name, constant_current) in [("current", true), ("resistance", false)] {
        let (plain, specs) = specs(constant_current);
        let say = |what: &str, (median, high): (f64, f64)| {
            println!("{name:10} {what:34} {median:7.0} ns (p95 {high:.0})")
        };
        say(
            "solve",
            time(&plain, 200, |(s, b, d)| {
                black_box(Pulse::solve(s, b, *d).ok());
            }),
        );
        say(
            "solve, min, mean, max, rms, peak",
            time(&plain, 200, |(s, b, d)| {
                if let Ok(p) = Pulse::solve(s, b, *d) {
                    black_box((
                        p.min_v(),
                        p.mean_v(),
                        p.max_v(),
                        p.diode_rms_a(),
                        p.diode_peak_a(),
                        p.diode_avg_a(),
                    ));
                }
            }),
        );
        say(
            "steady, all figures",
            time(&specs, 200, |spec| {
                black_box(steady(spec).map(|s: Steady| figures(&s)).ok());
            }),
        );
    }
}
