//! Mains transformers.

use crate::{
    catalog::part::Common,
    quantity::{Amps, Celsius, Henries, Hertz, Kelvins, Ohms, Ratio, VoltAmps, Volts, Watts},
};

/// How the core is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Construction {
    /// Stacked E and I laminations.
    Laminated,
    /// Toroidal strip-wound core, no gap.
    Toroid,
    /// Strip-wound core of round section.
    RCore,
    /// Laminations cast in resin, for printed boards.
    Potted,
}

/// How two equal windings are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Joining {
    /// One winding used alone.
    Single,
    /// Two equal windings in series.
    Series,
    /// Two equal windings in parallel.
    Parallel,
}

/// Insulation between primary and secondaries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Insulation {
    /// Basic insulation: protective earth on core or screen needed.
    Basic,
    /// Double or reinforced insulation.
    Reinforced,
}

/// What happens when the output is shorted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ShortCircuitClass {
    /// Not short-circuit-proof.
    NotProof,
    /// Short-circuit-proof by a built-in device, its thermal cut-out.
    NonInherentlyProof,
    /// Short-circuit-proof by its own impedance.
    InherentlyProof,
    /// Fails, without hazard to its surroundings.
    FailSafe,
}

/// Thermal class of the insulation system, IEC 60085.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThermalClass {
    /// 105 °C.
    A,
    /// 120 °C.
    E,
    /// 130 °C.
    B,
    /// 155 °C.
    F,
    /// 180 °C.
    H,
}

/// One way to connect the primary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Primary {
    /// Rated rms voltage.
    pub rated: Volts,
    /// Greatest rms voltage, continuous.
    pub max: Volts,
    /// Least frequency at rated voltage.
    pub frequency_min: Hertz,
    /// Greatest frequency.
    pub frequency_max: Hertz,
    /// How the primary windings are joined for it.
    pub joining: Joining,
    /// Resistance in this connection, windings at rated temperature (40 °C and the rated rise).
    pub resistance_hot: Option<Ohms>,
}

/// One secondary winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Secondary {
    /// Rated rms voltage at rated current, unity-power-factor load, windings at rated temperature.
    pub rated: Volts,
    /// Tolerance of the voltage, both ways.
    pub tolerance: Ratio,
    /// Rated rms current.
    pub current: Amps,
    /// Open-circuit voltage over rated voltage, less one.
    pub regulation: Ratio,
    /// Resistance of this winding alone, windings at rated temperature.
    pub resistance_hot: Option<Ohms>,
    /// Leakage inductance referred to this winding.
    pub leakage: Option<Henries>,
}

/// Core-magnetising inrush as the maker states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreInrush {
    /// Peak primary current at the worst phase.
    pub peak: Amps,
    /// Primary rms voltage at which it was measured, on the first connection listed.
    pub voltage: Volts,
}

/// A mains transformer.
#[derive(Clone, Debug)]
pub struct Transformer {
    /// What every part has.
    pub common: Common,
    /// Rated apparent power of all secondaries together.
    pub rating: VoltAmps,
    /// How the core is built.
    pub construction: Construction,
    /// Ways to connect the primary; never empty.
    pub primaries: Vec<Primary>,
    /// Secondary windings; one, two or three, equal or not. A tap of three lies between the first two, which are then alike.
    pub secondaries: Vec<Secondary>,
    /// Core loss at rated voltage and frequency (the least frequency of the connection).
    pub iron_loss: Watts,
    /// No-load primary current at rated voltage, on the first connection listed.
    pub no_load_current: Amps,
    /// No-load primary current at 1.1 times rated voltage, on the first connection listed.
    pub no_load_current_high: Amps,
    /// Winding rise at rated load.
    pub rated_rise: Kelvins,
    /// Ambient temperature at which the rise is rated.
    pub rise_ambient: Celsius,
    /// Greatest ambient temperature.
    pub max_ambient: Celsius,
    /// Thermal class.
    pub thermal_class: ThermalClass,
    /// Greatest winding temperature in overload.
    pub overload_limit: Celsius,
    /// What happens when the output is shorted.
    pub short_circuit: ShortCircuitClass,
    /// Opening temperature of a built-in thermal cut-out.
    pub cut_out: Option<Celsius>,
    /// Core-magnetising inrush, where stated.
    pub inrush: Option<CoreInrush>,
    /// Insulation between primary and secondaries.
    pub insulation: Insulation,
    /// Dielectric test voltage rms, primary to secondary.
    pub test_voltage: Volts,
    /// Whether an earthed screen stands between primary and secondaries.
    pub screen: bool,
}

impl Transformer {
    /// Whether all its secondaries are alike: only such are joined, or feed two rails alike.
    pub fn has_equal_windings(&self) -> bool {
        self.secondaries.windows(2).all(|two| matches!(two, [one, other] if one == other))
    }

    /// Open-circuit over rated voltage, less one, of all secondaries together: that of each, weighted by its share of the power.
    pub fn regulation(&self) -> Ratio {
        let first = self.secondaries.first().map_or(Ratio(0.0), |one| one.regulation);
        if self.secondaries.iter().all(|one| one.regulation == first) {
            return first;
        }
        let power = |one: &Secondary| one.rated.0 * one.current.0;
        let all: f64 = self.secondaries.iter().map(power).sum();
        Ratio(self.secondaries.iter().map(|one| one.regulation.0 * power(one)).sum::<f64>() / all)
    }
}
