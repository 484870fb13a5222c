//! Random circuits over the domain, the same every time.

use railwright::circuit::spec::{Branch, Capacitor, Choke, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts, Watts};

/// A small generator of pseudo-random numbers (xorshift with multiplication), so that a seed names a circuit for ever.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03);
        for _ in 0..3 {
            dice.next();
        }
        dice
    }
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }
    /// Uniform in 0..1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// Log-uniform.
    pub(crate) fn log(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }
    /// One of `count`.
    pub(crate) fn pick(&mut self, count: u32) -> usize {
        let below = (self.next() >> 33) % u64::from(count);
        usize::try_from(below).unwrap_or(0)
    }
    /// Zero half of the time.
    fn maybe(&mut self, value: f64) -> f64 {
        if self.pick(2) == 0 { 0.0 } else { value }
    }
}

/// Loads a random circuit may have.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Loads {
    Linear,
    Power,
}

/// A random circuit: every topology and filter, sources from stiff to soft, reservoirs from useless to huge, leakage from none
/// to three times the source resistance, chokes far below and far above critical.
pub(crate) fn circuit(dice: &mut Dice, loads: Loads) -> Spec {
    let topology = [
        Topology::HalfWave,
        Topology::CentreTap,
        Topology::Bridge,
        Topology::FullWaveDoubler,
        Topology::HalfWaveDoubler,
        Topology::DualComplementary,
    ][dice.pick(6)];
    let doubler = matches!(topology, Topology::FullWaveDoubler | Topology::HalfWaveDoubler);
    let frequency = [50.0, 60.0, 400.0][dice.pick(3)];
    let omega = std::f64::consts::TAU * frequency;
    let emf = dice.log(3.0, 600.0);
    let load = dice.log(1.0, 1e4);
    let source = load * dice.log(1e-4, 0.5);
    let winding = Winding {
        emf_peak: Volts(emf),
        frequency: Hertz(frequency),
        resistance: Ohms(source),
        common_resistance: Ohms(dice.unit() * source).max(Ohms(0.0)) * f64::from(u8::from(dice.pick(2) == 0)),
        leakage: Henries({
            let size = source * dice.log(0.01, 3.0) / omega;
            dice.maybe(size)
        }),
    };
    let diode = Diode {
        threshold: Volts({
            let size = emf * dice.log(0.002, 0.15);
            dice.maybe(size)
        }),
        slope: Ohms({
            let size = source * dice.unit();
            dice.maybe(size)
        }),
    };
    let output = branch(dice, doubler, loads, (omega, emf, load, source));
    let negative = (topology == Topology::DualComplementary).then(|| {
        let other = load * dice.log(0.3, 3.0);
        branch(dice, doubler, loads, (omega, emf, other, source))
    });
    Spec { topology, winding, diode, output, negative }
}

fn branch(
    dice: &mut Dice,
    doubler: bool,
    loads: Loads,
    (omega, emf, load, source): (f64, f64, f64, f64),
) -> Branch {
    let capacitor = |dice: &mut Dice, low: f64, high: f64| Capacitor {
        capacitance: Farads(dice.log(low, high) / (omega * load)),
        esr: Ohms({
            let size = source * dice.log(0.01, 1.0);
            dice.maybe(size)
        }),
    };
    let choke = |dice: &mut Dice| Choke {
        inductance: Henries(load * dice.log(0.02, 10.0) / omega),
        resistance: Ohms(load * dice.log(1e-3, 0.1)),
    };
    let first = capacitor(dice, 0.3, 3000.0);
    let second = capacitor(dice, 1.0, 3000.0);
    let series = Ohms(load * dice.log(1e-2, 0.3));
    let choke = choke(dice);
    let filter = match dice.pick(if doubler { 3 } else { 6 }) {
        0 => Filter::Reservoir(first),
        1 => Filter::Crc(first, series, second),
        2 => Filter::Clc(first, choke, second),
        3 => Filter::Lc(choke, second),
        4 => Filter::Rc(series, second),
        _ => Filter::None,
    };
    let load = if loads == Loads::Power && filter != Filter::None {
        Load::Power(Watts(emf * emf / load * 0.3 * dice.unit()))
    } else if filter == Filter::None || dice.pick(2) == 0 {
        Load::Resistance(Ohms(load))
    } else {
        Load::Current(Amps(emf / load * 0.5 * dice.unit()))
    };
    Branch { filter, load }
}

/// What rounding of the stored charge alone can make of the energy balance: tiny loads on large capacitors.
pub(crate) fn rounding_of_energy(spec: &Spec, input_w: f64) -> f64 {
    let of = |branch: &Branch| match branch.filter {
        Filter::None => 0.0,
        Filter::Reservoir(a) | Filter::Lc(_, a) | Filter::Rc(_, a) => a.capacitance.0,
        Filter::Crc(a, _, b) | Filter::Clc(a, _, b) => a.capacitance.0 + b.capacitance.0,
    };
    let farads = of(&spec.output) + spec.negative.as_ref().map_or(0.0, of);
    let omega = std::f64::consts::TAU * spec.winding.frequency.0;
    16.0 * f64::EPSILON * omega * farads * spec.winding.emf_peak.0.powi(2) / input_w
}
