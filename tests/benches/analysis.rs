//! Sweeps and samples: how long a circuit takes when many like it are asked for.
//!
//! Ratios to the plain solution of one circuit in the same run, since wall time is noisy.

#![expect(clippy::print_stdout, reason = "a benchmark reports")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot set itself up must fail loudly")]

#[path = "kept.rs"]
mod kept;

use std::time::{Duration, Instant};

use railwright::{
    analysis::{
        self, CircuitFile, FigureName,
        monte_carlo::{Plan, monte_carlo},
        sweep::{Axis, sweep},
    },
    circuit::solve::solve,
    document::Source,
};

fn timed<T>(what: impl FnOnce() -> T) -> (Duration, T) {
    let began = Instant::now();
    let made = what();
    (began.elapsed(), made)
}

fn figures(keys: &[&str]) -> Vec<FigureName> {
    keys.iter().map(|key| FigureName::named(key).unwrap()).collect()
}

fn main() {
    let text = include_str!("../fixtures/circuits/bench-bridge.yaml");
    let file: CircuitFile = analysis::read(&Source::new("bench-bridge.yaml", text)).unwrap();
    let asked = figures(&["load_mean_v", "load_min_v", "ripple_pp_v", "diode_peak_a", "winding_rms_a"]);
    let (once, ()) = timed(|| {
        for _ in 0..100_000 {
            std::hint::black_box(solve(std::hint::black_box(&file.spec)).unwrap().figures());
        }
    });
    let one = once.as_secs_f64() / 1e5;
    let beside = |what: &str, now: f64| kept::beside("analysis", what, now);
    println!("one steady state with all figures: {:.3} us{}", 1e6 * one, beside("one", 1e6 * one));
    for (name, spec) in [
        ("bridge with reservoir", file.spec),
        ("the same with leakage", leaky(&file)),
        ("clc", second(&file)),
    ] {
        let axes = [
            Axis::parse("filter.c1=1000uF..4700uF/100").unwrap(),
            Axis::parse("load.current=0.2A..1.6A/100").unwrap(),
        ];
        let (took, points) = timed(|| sweep(&spec, &file.switching, &axes, &asked, &|_| {}).unwrap());
        let solved = points.iter().filter(|point| point.figures.is_ok()).count();
        println!(
            "100 x 100 sweep, {name}: {:.1} ms, {solved} solved, {:.2} plain solutions a point{}",
            1e3 * took.as_secs_f64(),
            took.as_secs_f64() / 1e4 / one,
            beside(name, 1e3 * took.as_secs_f64())
        );
    }
    let plan = Plan { samples: 1_000_000, seed: 1 };
    let (took, outcome) = timed(|| {
        monte_carlo(&file.spec, &file.switching, &file.tolerances, (&asked, &file.limits), plan, &|_| {})
    });
    println!(
        "1000000 samples, 5 figures: {:.2} s, {} without steady state, {:.2} plain solutions a sample{}",
        took.as_secs_f64(),
        outcome.unsolved,
        took.as_secs_f64() / 1e6 / one,
        beside("samples", took.as_secs_f64())
    );
}

fn leaky(file: &CircuitFile) -> railwright::circuit::spec::Spec {
    let mut spec = file.spec;
    spec.winding.leakage.0 = 1e-3;
    spec
}

fn second(file: &CircuitFile) -> railwright::circuit::spec::Spec {
    use railwright::{
        circuit::spec::{Choke, Filter},
        quantity::{Henries, Ohms},
    };
    let mut spec = file.spec;
    if let Filter::Reservoir(c1) = spec.output.filter {
        let choke = Choke { inductance: Henries(0.05), resistance: Ohms(0.8) };
        spec.output.filter = Filter::Clc(c1, choke, c1);
    }
    spec
}
