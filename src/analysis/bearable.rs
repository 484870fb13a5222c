//! How much of its load a source bears where all of it lets the output collapse.
//!
//! Sought between nothing and all of it; tells no figure of the circuit.

use crate::{
    circuit::{
        figures::NoSteadyState,
        general::core::{self, Core},
        solve::solve,
        spec::{Branch, Load, Spec},
    },
    quantity::{Quantity as _, Ratio},
};

/// Steps of the search: the share is known to a millionth.
const STEPS: u32 = 20;
/// Significant digits that are told.
const DIGITS: usize = 3;

/// In words what the source of a circuit bears, where its load is more: `43.5 W`, or a share where there are two loads.
pub fn borne(spec: &Spec, why: NoSteadyState) -> Option<String> {
    let share = share(why, |share| solve(&scaled(spec, share)).is_ok())?;
    Some(match (spec.output.load, spec.negative) {
        (Load::Current(amps), None) => (amps * share).to_text(DIGITS),
        (Load::Power(watts), None) => (watts * share).to_text(DIGITS),
        _ => Ratio(share).to_text(DIGITS) + " of the loads",
    })
}

/// The same of all rails of a core together.
pub fn core_borne(core: &Core, why: NoSteadyState) -> Option<String> {
    let share = share(why, |share| {
        let rails = core.rails.iter().map(|spec| scaled(spec, share)).collect();
        core::solve(&Core { rails, ..*core }).is_ok()
    })?;
    Some(Ratio(share).to_text(DIGITS) + " of the loads")
}

/// Greatest share of the loads that is borne; `None` where it is not the loads that fail, or where hardly any would be borne.
fn share(why: NoSteadyState, borne: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (1e-3, 1.0);
    if why != NoSteadyState::Collapsed || !borne(low) {
        return None;
    }
    for _ in 0..STEPS {
        let middle = 0.5 * (low + high);
        *if borne(middle) { &mut low } else { &mut high } = middle;
    }
    Some(low)
}

fn scaled(spec: &Spec, share: f64) -> Spec {
    let part = |branch: Branch| Branch {
        load: match branch.load {
            Load::Resistance(ohms) => Load::Resistance(ohms),
            Load::Current(amps) => Load::Current(amps * share),
            Load::Power(watts) => Load::Power(watts * share),
        },
        ..branch
    };
    Spec { output: part(spec.output), negative: spec.negative.map(part), ..*spec }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        circuit::spec::{Capacitor, Diode, Filter, Topology, Winding},
        quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts, Watts},
    };

    fn bridge(load: Load) -> Spec {
        Spec {
            topology: Topology::Bridge,
            winding: Winding {
                emf_peak: Volts(20.0),
                frequency: Hertz(50.0),
                resistance: Ohms(1.0),
                common_resistance: Ohms(0.0),
                leakage: Henries(0.0),
            },
            diode: Diode { threshold: Volts(0.0), slope: Ohms(0.0) },
            output: Branch {
                filter: Filter::Reservoir(Capacitor { capacitance: Farads(1.0), esr: Ohms(0.0) }),
                load,
            },
            negative: None,
        }
    }

    /// Law: with a boundless reservoir the output is a constant voltage, which a constant current pulls to nothing at the mean of
    /// the rectified sine over the resistance: `2 V̂/(π R)`.
    #[test]
    fn the_current_that_is_borne_is_the_mean_of_the_rectified_sine_over_the_resistance() {
        let borne = |amps| borne(&bridge(Load::Current(Amps(amps))), NoSteadyState::Collapsed).unwrap();
        assert_eq!((borne(30.0).as_str(), borne(200.0).as_str()), ("12.7 A", "12.7 A"));
    }

    #[test]
    fn only_a_load_that_lets_the_output_collapse_is_told_how_much_would_be_borne() {
        let all = bridge(Load::Power(Watts(500.0)));
        let text = borne(&all, NoSteadyState::Collapsed).unwrap();
        let watts: f64 = text.trim_end_matches(" W").parse().unwrap();
        // At most the mean of `(e − v) v/R` over all constant voltages v.
        assert!(watts > 30.0 && watts < 100.0, "{text}");
        assert!(solve(&bridge(Load::Power(Watts(0.99 * watts)))).is_ok());
        assert!(solve(&bridge(Load::Power(Watts(1.02 * watts)))).is_err());
        assert_eq!(borne(&all, NoSteadyState::NotACircuit { why: "" }), None);
        let core = Core { rails: vec![all], primary_resistance: Ohms(0.0) };
        assert!(core_borne(&core, NoSteadyState::Collapsed).unwrap().ends_with("of the loads"));
    }
}
