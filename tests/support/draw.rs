//! Random circuits from a counter: the same ones on every run and machine.

use railwright::circuit::reservoir::{Bank, Draw, Source};
use railwright::circuit::spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts};

/// `SplitMix64` (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// Uniform in `0..1`.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform in the logarithm.
    pub(crate) fn log(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }

    /// Uniform.
    pub(crate) fn linear(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// Ranges of the dimensionless numbers of a circuit.
#[derive(Clone, Copy)]
pub(crate) struct Ranges {
    pub(crate) omega_cr: (f64, f64),
    pub(crate) source_over_load: (f64, f64),
    pub(crate) threshold: f64,
    pub(crate) esr: f64,
}

/// What power supplies have.
pub(crate) const USUAL: Ranges =
    Ranges { omega_cr: (0.5, 1000.0), source_over_load: (1e-4, 5.0), threshold: 0.4, esr: 0.5 };
/// Far beyond what anybody builds.
pub(crate) const EXTREME: Ranges =
    Ranges { omega_cr: (0.02, 1e6), source_over_load: (1e-7, 3.0), threshold: 0.95, esr: 0.9 };

/// One circuit of 20 V peak at 50 Hz; the load is a constant current of the same size where `constant_current`.
pub(crate) fn circuit(dice: &mut Dice, ranges: Ranges, constant_current: bool) -> (Source, Bank, Draw) {
    let volts = 20.0;
    let omega = 100.0 * std::f64::consts::PI;
    let total = dice.log(0.05, 50.0);
    let esr = if dice.unit() < 0.5 { 0.0 } else { total * dice.linear(0.0, ranges.esr) };
    let resistance = total - esr;
    let load = total / dice.log(ranges.source_over_load.0, ranges.source_over_load.1);
    let source = Source {
        emf_peak_v: volts,
        omega_rad_s: omega,
        resistance_ohm: resistance,
        drop_v: volts * dice.linear(0.0, ranges.threshold),
        full_wave: dice.unit() < 0.5,
    };
    let bank = Bank {
        capacitance_f: dice.log(ranges.omega_cr.0, ranges.omega_cr.1) / (omega * total),
        esr_ohm: esr,
    };
    let draw = if constant_current { Draw::current(volts / load) } else { Draw::resistance(load) };
    (source, bank, draw)
}

/// The same as a circuit of parts: `leakage` is `ωL` over the source resistance with the ESR, a full-wave source a
/// bridge or a centre-tap; the diodes have a fifth of the source resistance.
pub(crate) fn spec((source, bank, draw): &(Source, Bank, Draw), leakage: f64, centre_tap: bool) -> Spec {
    let (topology, diodes) = match (source.full_wave, centre_tap) {
        (false, _) => (Topology::HalfWave, 1.0),
        (true, true) => (Topology::CentreTap, 1.0),
        (true, false) => (Topology::Bridge, 2.0),
    };
    let total = source.resistance_ohm + bank.esr_ohm;
    Spec {
        topology,
        winding: Winding {
            emf_peak: Volts(source.emf_peak_v),
            frequency: Hertz(source.omega_rad_s / (2.0 * std::f64::consts::PI)),
            resistance: Ohms(0.7 * source.resistance_ohm),
            common_resistance: Ohms(0.1 * source.resistance_ohm),
            leakage: Henries(leakage * total / source.omega_rad_s),
        },
        diode: Diode {
            threshold: Volts(source.drop_v / diodes),
            slope: Ohms(0.2 * source.resistance_ohm / diodes),
        },
        output: Branch {
            filter: Filter::Reservoir(Capacitor {
                capacitance: Farads(bank.capacitance_f),
                esr: Ohms(bank.esr_ohm),
            }),
            load: if draw.conductance_s > 0.0 {
                Load::Resistance(Ohms(1.0 / draw.conductance_s))
            } else {
                Load::Current(Amps(draw.current_a))
            },
        },
        negative: None,
    }
}
