//! How long one steady state takes, and how that compares with a general ODE integrator in the same run.

#![expect(clippy::print_stdout, reason = "a benchmark answers on standard output")]

#[path = "../support/draw.rs"]
#[expect(dead_code, reason = "the ranges beyond practice are for the survey")]
mod draw;
#[path = "kept.rs"]
mod kept;
#[path = "../support/ode.rs"]
#[expect(dead_code, reason = "the integrals are for the tests")]
mod ode;

use std::hint::black_box;
use std::time::Instant;

use draw::{Dice, USUAL, circuit, spec};
use railwright::circuit::reservoir::{Bank, Draw, Pulse, Source, figures, harmonics, steady};
use railwright::circuit::spec::Spec;

/// Passes over the circuits of which the median is printed.
const PASSES: usize = 200;
/// Tolerance of the integrator, of the EMF peak, and how well a period has to repeat for the steady state.
const INTEGRATOR: (f64, f64) = (1e-7, 1e-6);

/// Median and 95th percentile of passes over `items`, in nanoseconds an item.
fn time<T>(items: &[T], mut job: impl FnMut(&T)) -> (f64, f64) {
    let mut passes: Vec<f64> = (0..PASSES)
        .map(|_| {
            let begin = Instant::now();
            items.iter().for_each(&mut job);
            begin.elapsed().as_secs_f64() * 1e9 / items.len() as f64
        })
        .collect();
    passes.sort_by(f64::total_cmp);
    (passes[PASSES / 2], passes[PASSES * 95 / 100])
}

/// Part of the EMF peak below which the integrator's constant current becomes a resistance, so that it can start.
const KNEE: f64 = 0.1;

/// Keeps a result from being optimised away.
fn keep<T: Copy>(value: T) {
    black_box(value);
}

/// A hundred circuits that have a steady state, plain and as parts, with leakage or without.
fn circuits(constant_current: bool, leaky: bool) -> (Vec<(Source, Bank, Draw)>, Vec<Spec>) {
    let mut dice = Dice(5);
    let (mut plain, mut parts) = (Vec::new(), Vec::new());
    while plain.len() < 100 {
        let drawn = circuit(&mut dice, USUAL, constant_current);
        let part = spec(&drawn, if leaky { dice.log(0.01, 3.0) } else { 0.0 }, false);
        if steady(&part).is_ok() {
            plain.push(drawn);
            parts.push(part);
        }
    }
    (plain, parts)
}

fn say(load: &str, what: &str, (median, high): (f64, f64)) {
    let kept = kept::beside("steady", &format!("{load}, {what}"), median);
    println!("{load:10} {what:42} {median:8.0} ns (p95 {high:.0}){kept}");
}

/// Periods from a discharged reservoir until one repeats.
fn settle(circuit: ode::Circuit) -> Option<u32> {
    let (tolerance, repeat) = INTEGRATOR;
    let mut state = ode::Short::zeros();
    for count in 1..5000 {
        let next = circuit.integrate(0.0, circuit.mains_period(), state, tolerance)?;
        let change = (next[0] - state[0]).abs();
        state = next;
        if change < repeat * circuit.peak {
            return Some(count);
        }
    }
    None
}

/// Prints the integrator's median time from a discharged reservoir to a repeating period, and how many times `all` it is:
/// once with steps of any length, which may pass over short pulses, once with steps that see them all.
fn compare(load: &str, parts: &[Spec], all: f64) {
    for (what, largest_step) in [("any step", 1.0), ("steps of 2 %", 0.02)] {
        let mut runs: Vec<(f64, u32)> = parts
            .iter()
            .filter_map(|part| {
                let mut circuit = ode::Circuit::of(part)?;
                circuit.knee = KNEE * part.winding.emf_peak.0;
                circuit.largest_step = largest_step;
                let begin = Instant::now();
                let periods = settle(circuit)?;
                Some((begin.elapsed().as_secs_f64() * 1e9, periods))
            })
            .collect();
        runs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (nanoseconds, periods) = runs.get(runs.len() / 2).copied().unwrap_or_default();
        let what = format!("integrator, {what}, {periods} periods");
        println!("{load:10} {what:42} {nanoseconds:8.0} ns, ratio to all figures {:.0}", nanoseconds / all);
    }
}

fn main() {
    for (load, constant_current) in [("current", true), ("resistance", false)] {
        let (plain, parts) = circuits(constant_current, false);
        say(load, "solve", time(&plain, |(s, b, d)| keep(Pulse::solve(s, b, *d))));
        say(
            load,
            "solve; min, mean, max, rms, average, peak",
            time(&plain, |(s, b, d)| {
                if let Ok(p) = Pulse::solve(s, b, *d) {
                    black_box((p.min_v(), p.mean_v(), p.max_v()));
                    black_box((p.diode_rms_a(), p.diode_avg_a(), p.diode_peak_a()));
                }
            }),
        );
        let all = time(&parts, |part| keep(steady(part).map(|s| figures(&s))));
        say(load, "all figures but harmonics", all);
        say(
            load,
            "40 harmonics more",
            time(&parts, |part| {
                black_box(steady(part).map(|s| harmonics(&s, 40)).is_ok());
            }),
        );
        compare(load, &parts, all.0);

        let (_, parts) = circuits(constant_current, true);
        say(load, "with leakage: solve", time(&parts, |part| keep(steady(part))));
        let all = time(&parts, |part| keep(steady(part).map(|s| figures(&s))));
        say(load, "with leakage: all figures but harmonics", all);
        compare(load, &parts, all.0);
    }
}
