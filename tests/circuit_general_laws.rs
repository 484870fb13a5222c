//! Laws that every rectifier obeys, on random circuits and in limits.

use crate::support::random::{self, Dice, Loads};
use railwright::circuit::figures::{Figures, NoSteadyState};
use railwright::circuit::general::core::{self, Core};
use railwright::circuit::general::solve;
use railwright::circuit::reservoir;
use railwright::circuit::spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts, Watts};

fn close(found: f64, expected: f64, relative: f64, what: &str) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{what}: {found:e} against {expected:e}");
}

fn reservoir(capacitance_f: f64, esr_ohm: f64) -> Filter {
    Filter::Reservoir(Capacitor { capacitance: Farads(capacitance_f), esr: Ohms(esr_ohm) })
}

fn supply(topology: Topology, resistance: f64, common: f64, filter: Filter, load: Load) -> Spec {
    Spec {
        topology,
        winding: Winding {
            emf_peak: Volts(25.0),
            frequency: Hertz(50.0),
            resistance: Ohms(resistance),
            common_resistance: Ohms(common),
            leakage: Henries(0.0),
        },
        diode: Diode { threshold: Volts(0.75), slope: Ohms(0.04) },
        output: Branch { filter, load },
        negative: None,
    }
}

fn same(a: &Figures, b: &Figures, relative: f64) {
    let (x, y) = (&a.output, &b.output);
    close(x.load_mean_v, y.load_mean_v, relative, "mean");
    close(x.load_min_v, y.load_min_v, relative, "least");
    close(x.load_max_v, y.load_max_v, relative, "greatest");
    close(x.diode_rms_a, y.diode_rms_a, relative, "diode rms");
    close(x.diode_peak_a, y.diode_peak_a, relative, "diode peak");
}

/// The figure in which two answers lie furthest apart, against its scale.
fn apart(spec: &Spec, a: &Figures, b: &Figures) -> (f64, &'static str) {
    let (peak_v, peak_a) = (spec.winding.emf_peak.0, a.output.diode_peak_a);
    let pairs = [
        ("mean", a.output.load_mean_v, b.output.load_mean_v, peak_v),
        ("least", a.output.load_min_v, b.output.load_min_v, peak_v),
        ("greatest", a.output.load_max_v, b.output.load_max_v, peak_v),
        ("ripple", a.output.ripple_rms_v, b.output.ripple_rms_v, peak_v),
        ("peak", a.output.diode_peak_a, b.output.diode_peak_a, peak_a),
        ("rms", a.output.diode_rms_a, b.output.diode_rms_a, peak_a),
        ("average", a.output.diode_avg_a, b.output.diode_avg_a, peak_a),
        ("winding", a.winding_rms_a, b.winding_rms_a, peak_a),
        ("primary", a.primary_rms_a, b.primary_rms_a, peak_a),
        ("inverse", a.output.diode_piv_v, b.output.diode_piv_v, peak_v),
        ("input", a.input_power_w, b.input_power_w, peak_v * peak_a),
        ("terminal", a.va_terminal_va, b.va_terminal_va, peak_v * peak_a),
        ("conduction", a.output.diode_conduction_deg, b.output.diode_conduction_deg, 360.0),
    ];
    pairs
        .into_iter()
        .map(|(name, x, y, scale)| ((x - y).abs() / scale, name))
        .fold((0.0, ""), |most, one| if one.0 > most.0 { one } else { most })
}

/// Law: energy is conserved; and every circuit of the domain is solved, collapses, or is refused with a reason.
#[test]
fn five_thousand_random_circuits_are_solved_and_balance_their_energy() {
    let (mut solved, mut collapsed, mut refused, mut fallen_back) = (0, 0, 0, 0);
    for seed in 0..5000 {
        let spec = random::circuit(&mut Dice::new(seed), Loads::Linear);
        match solve(&spec) {
            Ok(steady) => {
                solved += 1;
                fallen_back += u32::from(steady.fallbacks() > 0);
                let f = steady.figures();
                let bound = 1e-9 + random::rounding_of_energy(&spec, f.input_power_w);
                assert!(f.energy_residual.abs() < bound, "seed {seed}: {:e}", f.energy_residual);
                let o = f.output;
                let slack = 1e-12 * spec.winding.emf_peak.0;
                assert!(
                    o.load_min_v <= o.load_mean_v + slack && o.load_mean_v <= o.load_max_v + slack,
                    "seed {seed}"
                );
            }
            Err(NoSteadyState::Collapsed) => {
                assert!(
                    [Some(spec.output), spec.negative]
                        .iter()
                        .flatten()
                        .any(|b| matches!(b.load, Load::Current(_))),
                    "seed {seed}: only a constant current collapses here"
                );
                collapsed += 1;
            }
            Err(NoSteadyState::NotACircuit { why }) => {
                assert!(spec.diode.slope.0 == 0.0, "seed {seed}: {why}");
                refused += 1;
            }
            Err(other) => panic!("seed {seed}: {other}"),
        }
    }
    println!("{solved} solved, {collapsed} collapsed, {refused} refused, {fallen_back} by a fallback");
    assert!(solved > 4800 && refused < 60 && fallen_back < 60);
}

/// Law: energy is conserved under constant power too.
#[test]
fn random_constant_power_circuits_balance_their_energy_or_collapse() {
    let (mut solved, mut collapsed) = (0, 0);
    for seed in 0..60 {
        let spec = random::circuit(&mut Dice::new(seed), Loads::Power);
        match solve(&spec) {
            Ok(steady) => {
                solved += 1;
                let f = steady.figures();
                let bound = 1e-9 + random::rounding_of_energy(&spec, f.input_power_w);
                assert!(f.energy_residual.abs() < bound, "seed {seed}: {:e}", f.energy_residual);
                if let Load::Power(watts) = spec.output.load {
                    close(f.output.load_power_w, watts.0, 1e-10, "power");
                }
            }
            Err(NoSteadyState::Collapsed) => collapsed += 1,
            Err(other) => panic!("seed {seed}: {other}"),
        }
    }
    println!("{solved} solved, {collapsed} collapsed");
    assert!(solved > 40);
}

/// Second method: the closed form of single-reservoir circuits, with and without leakage and ESR.
#[test]
fn the_general_engine_agrees_with_the_closed_form_on_random_reservoir_circuits() {
    let (mut compared, mut leaky, mut with_esr) = (0, 0, 0);
    // Beyond the first ones: ringing pulses that dip below zero, or have several crests, between two looks; a bridge
    // whose pairs take over without rest.
    let telling = [581_382, 667_269, 756_513, 750_661, 624_082, 435_404];
    let mut worst = (0.0_f64, String::new());
    for seed in (0..12_000).chain(telling) {
        let spec = random::circuit(&mut Dice::new(seed), Loads::Linear);
        let Ok(closed) = reservoir::steady(&spec) else { continue };
        let steady = match solve(&spec) {
            Ok(steady) => steady,
            Err(NoSteadyState::NotACircuit { .. }) => continue,
            Err(other) => panic!("seed {seed}: {other}"),
        };
        compared += 1;
        leaky += u32::from(spec.winding.leakage.0 > 0.0);
        with_esr += u32::from(matches!(spec.output.filter, Filter::Reservoir(part) if part.esr.0 > 0.0));
        let found = apart(&spec, &reservoir::figures(&closed), &steady.figures());
        if found.0 > worst.0 {
            worst = (found.0, format!("seed {seed} {} {spec:?}", found.1));
        }
    }
    println!("{compared} compared, {leaky} leaky, {with_esr} with ESR, worst {worst:?}");
    assert!(compared > 1700 && leaky > 600 && with_esr > 400);
    assert!(worst.0 < 1e-10, "{worst:?}");
}

/// Where rounding divided a Newton step of a capacitor that nothing feeds, the search once went the wrong way.
#[test]
fn a_capacitor_that_nothing_feeds_is_drained_until_something_does() {
    for seed in [25_422, 38_690, 50_849] {
        let steady = solve(&random::circuit(&mut Dice::new(seed), Loads::Linear)).expect("a steady state");
        assert!(steady.figures().energy_residual.abs() < 1e-9 && steady.fallbacks() == 0, "seed {seed}");
    }
}

/// Law: with equal loads each rail of a dual complementary circuit is a centre-tapped one whose source resistance is the
/// half's own and twice the primary's (both halves draw at once).
#[test]
fn equal_rails_about_a_tap_are_two_centre_tapped_ones() {
    for load in [Load::Resistance(Ohms(20.0)), Load::Current(Amps(1.1)), Load::Power(Watts(18.0))] {
        let filter = reservoir(3.3e-3, 0.03);
        let mut dual = supply(Topology::DualComplementary, 0.3, 0.2, filter, load);
        dual.negative = Some(dual.output);
        let single = supply(Topology::CentreTap, 0.3 + 2.0 * 0.2, 0.0, filter, load);
        let (both, one) = (solve(&dual).expect("dual").figures(), solve(&single).expect("single").figures());
        same(&both, &one, 1e-9);
        same(&Figures { output: both.negative.expect("a negative output"), ..both }, &one, 1e-9);
    }
}

/// Law: without a common resistance the halves of a dual supply and the rails of a core do not know of one another.
#[test]
fn without_a_common_resistance_nothing_couples() {
    let filter = reservoir(2.2e-3, 0.02);
    let mut dual = supply(Topology::DualComplementary, 0.4, 0.0, filter, Load::Resistance(Ohms(15.0)));
    dual.negative = Some(Branch { load: Load::Current(Amps(0.1)), ..dual.output });
    let light = solve(&dual).expect("light").figures();
    dual.negative = Some(Branch { load: Load::Current(Amps(2.0)), ..dual.output });
    let heavy = solve(&dual).expect("heavy").figures();
    same(&light, &heavy, 1e-10);
    let bridge = supply(Topology::Bridge, 0.3, 0.0, filter, Load::Current(Amps(1.0)));
    let mut doubler =
        supply(Topology::FullWaveDoubler, 2.0, 0.0, reservoir(4.7e-4, 0.1), Load::Resistance(Ohms(900.0)));
    doubler.winding.emf_peak = Volts(60.0);
    let half = supply(Topology::HalfWave, 5.0, 0.0, reservoir(1e-4, 0.0), Load::Current(Amps(0.02)));
    let rails = vec![bridge, doubler, half];
    let together =
        core::solve(&Core { rails: rails.clone(), primary_resistance: Ohms(0.0) }).expect("a core").rails();
    for (spec, found) in rails.iter().zip(together) {
        // A half-wave rail makes the engine follow the whole period of all: the halves come out alike by themselves.
        same(&found, &solve(spec).expect("alone").figures(), 1e-9);
    }
}

/// Law: two equal rails on one core are one rail at twice the primary's resistance, and the primary carries their sum.
#[test]
fn equal_rails_of_a_core_see_twice_the_primary_resistance() {
    let spec = supply(Topology::Bridge, 0.3, 0.0, reservoir(2.2e-3, 0.02), Load::Current(Amps(1.0)));
    let core = Core { rails: vec![spec, spec], primary_resistance: Ohms(0.15) };
    let together = core::solve(&core).expect("a core").rails();
    let alone = solve(&supply(Topology::Bridge, 0.6, 0.0, reservoir(2.2e-3, 0.02), Load::Current(Amps(1.0))));
    let alone = alone.expect("alone").figures();
    for rail in &together {
        same(rail, &alone, 1e-9);
        close(rail.primary_rms_a, 2.0 * alone.primary_rms_a, 1e-9, "primary");
    }
    // The pulse of a second rail lowers the first.
    let single =
        core::solve(&Core { rails: vec![spec], primary_resistance: Ohms(0.15) }).expect("a core").rails();
    assert!(single[0].output.load_mean_v > together[0].output.load_mean_v);
}

/// Law: voltages of a circuit do not change when all impedances grow alike, or when frequency rises and all capacitors and
/// inductors shrink alike.
#[test]
fn impedance_and_frequency_scale() {
    let mut checked = 0;
    for seed in 0..200 {
        let spec = random::circuit(&mut Dice::new(seed + 70_000), Loads::Linear);
        let Ok(steady) = solve(&spec) else { continue };
        let f = steady.figures();
        let (impedance, speed) = (3.7, 1.9);
        let scaled = solve(&scaled(&spec, impedance, speed)).expect("scaled").figures();
        checked += 1;
        let volts = 1e-9 * spec.winding.emf_peak.0;
        assert!((scaled.output.load_mean_v - f.output.load_mean_v).abs() < volts, "seed {seed}");
        assert!((scaled.output.load_min_v - f.output.load_min_v).abs() < volts, "seed {seed}");
        close(scaled.output.diode_rms_a * impedance, f.output.diode_rms_a, 1e-8, &format!("seed {seed} rms"));
        assert!(
            (scaled.output.diode_conduction_deg - f.output.diode_conduction_deg).abs() < 1e-6,
            "seed {seed}"
        );
    }
    assert!(checked > 180);
}

fn scaled(spec: &Spec, impedance: f64, speed: f64) -> Spec {
    let r = |ohm: Ohms| ohm * impedance;
    let cap = |c: Capacitor| Capacitor { capacitance: c.capacitance / (impedance * speed), esr: r(c.esr) };
    let choke = |l: railwright::circuit::spec::Choke| railwright::circuit::spec::Choke {
        inductance: l.inductance * impedance / speed,
        resistance: r(l.resistance),
    };
    let branch = |b: &Branch| Branch {
        filter: match b.filter {
            Filter::None => Filter::None,
            Filter::Reservoir(a) => Filter::Reservoir(cap(a)),
            Filter::Crc(a, s, b) => Filter::Crc(cap(a), r(s), cap(b)),
            Filter::Clc(a, l, b) => Filter::Clc(cap(a), choke(l), cap(b)),
            Filter::Lc(l, b) => Filter::Lc(choke(l), cap(b)),
            Filter::Rc(s, b) => Filter::Rc(r(s), cap(b)),
        },
        load: match b.load {
            Load::Resistance(ohm) => Load::Resistance(r(ohm)),
            Load::Current(amps) => Load::Current(amps / impedance),
            Load::Power(watts) => Load::Power(watts / impedance),
        },
    };
    let w = spec.winding;
    Spec {
        winding: Winding {
            frequency: w.frequency * speed,
            resistance: r(w.resistance),
            common_resistance: r(w.common_resistance),
            leakage: w.leakage * impedance / speed,
            ..w
        },
        diode: Diode { slope: r(spec.diode.slope), ..spec.diode },
        output: branch(&spec.output),
        negative: spec.negative.as_ref().map(branch),
        ..*spec
    }
}

/// Laws: ripple falls as the reservoir grows; the output falls as the source resistance grows.
#[test]
fn ripple_falls_with_capacitance_and_output_falls_with_resistance() {
    for topology in
        [Topology::HalfWave, Topology::Bridge, Topology::FullWaveDoubler, Topology::HalfWaveDoubler]
    {
        let ripple = |c: f64| {
            let spec = supply(topology, 0.5, 0.1, reservoir(c, 0.0), Load::Resistance(Ohms(80.0)));
            solve(&spec).expect("solved").figures().output.ripple_pp_v
        };
        let mean = |r: f64| {
            let spec = supply(topology, r, 0.0, reservoir(1e-3, 0.01), Load::Resistance(Ohms(80.0)));
            solve(&spec).expect("solved").figures().output.load_mean_v
        };
        for k in 0..12 {
            let (c, r) = (1e-4 * 1.6_f64.powi(k), 0.1 * 1.6_f64.powi(k));
            assert!(ripple(c * 1.6) < ripple(c), "{topology:?} {c}");
            assert!(mean(r * 1.6) < mean(r), "{topology:?} {r}");
        }
    }
}

/// Limit: without resistance to speak of and without load each topology stands at its peak: one, or two in a doubler, less
/// the thresholds. Common practice, no source.
#[test]
fn without_load_each_reservoir_stands_at_its_peak() {
    for (topology, peaks, thresholds) in [
        (Topology::HalfWave, 1.0, 1.0),
        (Topology::CentreTap, 1.0, 1.0),
        (Topology::Bridge, 1.0, 2.0),
        (Topology::FullWaveDoubler, 2.0, 2.0),
        (Topology::HalfWaveDoubler, 2.0, 2.0),
    ] {
        let spec = supply(topology, 0.5, 0.0, reservoir(1e-3, 0.02), Load::Current(Amps(0.0)));
        let mean = solve(&spec).expect("no load").figures().output.load_mean_v;
        close(mean, peaks * 25.0 - thresholds * 0.75, 1e-6, "no load");
    }
}

/// Limit: a vanishing reservoir leaves the bare rectifier, whose mean over the half waves is `2 V̂/π` of a full-wave circuit
/// less what thresholds take.
#[test]
fn a_vanishing_reservoir_is_none() {
    for topology in [Topology::HalfWave, Topology::CentreTap, Topology::Bridge] {
        let load = Load::Resistance(Ohms(50.0));
        let with = solve(&supply(topology, 0.5, 0.0, reservoir(1e-11, 0.0), load)).expect("with").figures();
        let without = solve(&supply(topology, 0.5, 0.0, Filter::None, load)).expect("without").figures();
        close(with.output.load_mean_v, without.output.load_mean_v, 1e-6, "mean");
        close(with.output.diode_rms_a, without.output.diode_rms_a, 1e-6, "rms");
    }
}
