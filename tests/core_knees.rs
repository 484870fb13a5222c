//! Knees of the loads of a core at switch-on, where its rails have turns of very different numbers.

use railwright::circuit::general::core::{Core, switch_on};
use railwright::circuit::general::switch_on::Outset;
use railwright::circuit::spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts};

fn rail(peak_v: f64, amps: f64, farad: f64) -> Spec {
    Spec {
        topology: Topology::Bridge,
        winding: Winding {
            emf_peak: Volts(peak_v),
            frequency: Hertz(50.0),
            resistance: Ohms(0.01 * peak_v / amps),
            common_resistance: Ohms(0.0),
            leakage: Henries(0.0),
        },
        diode: Diode { threshold: Volts(0.7), slope: Ohms(0.02) },
        output: Branch {
            filter: Filter::Reservoir(Capacitor { capacitance: Farads(farad), esr: Ohms(0.02) }),
            load: Load::Current(Amps(amps)),
        },
        negative: None,
    }
}

/// Law: it is one core whichever rail is written first, its primary referred to that rail by the square of the turns. The knee
/// of the rail of ten times the turns lies far above the peak of the other.
#[test]
fn a_rail_of_many_turns_keeps_its_knee_whichever_rail_stands_first() {
    let (low, high) = (rail(9.0, 1.0, 4.7e-3), rail(90.0, 0.2, 220e-6));
    let (at_low, at_high) = (
        Outset { knee: Volts(6.0), residual: Volts(0.0) },
        Outset { knee: Volts(60.0), residual: Volts(0.0) },
    );
    let primary = 0.2;
    let one = Core { rails: vec![low, high], primary_resistance: Ohms(primary) };
    let other = Core { rails: vec![high, low], primary_resistance: Ohms(primary * 100.0) };
    let first = switch_on(&one, Ohms(0.1), &[at_low, at_high]).unwrap();
    let turned = switch_on(&other, Ohms(10.0), &[at_high, at_low]).unwrap();
    for (rail, swapped) in [(0, 1), (1, 0)] {
        let (a, b) = (&first[rail], &turned[swapped]);
        for (found, expected) in [
            (a.peak_a, b.peak_a),
            (a.i2t_half_cycle_a2s, b.i2t_half_cycle_a2s),
            (a.i2t_cycle_a2s, b.i2t_cycle_a2s),
        ] {
            assert!((found - expected).abs() < 1e-6 * expected, "{found:e} against {expected:e}");
        }
        assert_eq!(a.settle_cycles, b.settle_cycles);
    }
}
