//! The dimensionless form: any reservoir circuit with ESR, threshold, constant current and resistance in four numbers.
//!
//! Knows nothing of diodes per path or of halves; the derivation is in `derivation.md`.

use std::f64::consts::PI;

use super::Unsolved;

/// What feeds the reservoir, all of one conducting path: EMF, series resistance and threshold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Peak of the sinusoidal EMF, V.
    pub emf_peak_v: f64,
    /// Angular mains frequency, rad/s.
    pub omega_rad_s: f64,
    /// Resistance of the conducting path: winding and slope of all diodes in series, Ω.
    pub resistance_ohm: f64,
    /// Threshold of all diodes in series, V.
    pub drop_v: f64,
    /// Two pulses a period (bridge, centre-tap) or one.
    pub full_wave: bool,
}

/// The reservoir: capacitance and series resistance of the whole bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank {
    /// Capacitance, F.
    pub capacitance_f: f64,
    /// Equivalent series resistance, Ω.
    pub esr_ohm: f64,
}

/// What the load takes at the reservoir's terminals: `i = current + conductance · v`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// Constant current, A.
    pub current_a: f64,
    /// Conductance, S.
    pub conductance_s: f64,
}

impl Draw {
    /// A constant current.
    #[inline]
    pub const fn current(current_a: f64) -> Self {
        Self { current_a, conductance_s: 0.0 }
    }

    /// A resistance; infinite means none.
    #[inline]
    pub fn resistance(resistance_ohm: f64) -> Self {
        Self { current_a: 0.0, conductance_s: 1.0 / resistance_ohm }
    }
}

/// `ωC'R'` is solved between these: outside them the figures lose their digits to cancellation.
pub const OMEGA_CR: (f64, f64) = (1e-6, 1e8);
/// `R'/RL'` is solved up to this.
pub const CONDUCTANCE_MAX: f64 = 1e4;
/// `I'R'/V̂ + R'/RL'` is solved from this on; exactly zero is the closed no-load case.
pub const DRAW_MIN: f64 = 1e-12;

/// The circuit with its units removed.
///
/// With `r` the ESR, `k = 1/(1 + r G)`, `w` the terminal voltage the load would see were the diode off:
/// the circuit with ESR is the one without it for `R' = R + k r`, `C' = C/k²`, `G' = G/k`, `I' = I/k`, and the terminal
/// voltage is `w + k r i_d`. In units of `V̂` and `V̂/R'`, with `θ = ωt`, `y = w/V̂`, `x = i_d R'/V̂`:
///
/// ```text
/// on :  y = sin θ − t − x,   x' + b x = cos θ + a g sin θ + a (j − g t)
/// off:  x = 0,               y' = −a (j + g y)
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Form {
    /// `1/(ωC'R')`.
    pub a: f64,
    /// `R' G'`.
    pub g: f64,
    /// `I'R'/V̂`.
    pub j: f64,
    /// Threshold over `V̂`.
    pub t: f64,
    /// `a (1 + g)`, the decay of the transient while the diode conducts.
    pub b: f64,
    /// `ag`, the decay while it does not.
    pub ag: f64,
    /// Constant of the forced current.
    pub c0: f64,
    /// Sine part of the forced current.
    pub s: f64,
    /// Cosine part of the forced current.
    pub q: f64,
    /// `1 − s` without cancellation.
    pub lift: f64,
    /// Angle from pulse to pulse, `π` or `2π`.
    pub cycle: f64,
    /// Largest lead or lag of the crest at which the EMF still exceeds the threshold.
    pub wall: f64,
}

/// From dimensionless figures back to volts and amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    /// `V̂`.
    pub volts: f64,
    /// `V̂/R'`.
    pub amps: f64,
    /// `R'`.
    pub ohms: f64,
    /// `k r / R'`.
    pub rho: f64,
    /// `1/(1 + r G)`.
    pub k: f64,
    /// The load as given.
    pub draw: Draw,
}

impl Scale {
    /// Series resistance of the reservoir.
    #[inline]
    pub(super) fn esr_ohm(&self) -> f64 {
        self.rho * self.ohms / self.k
    }
}

/// Refuses a value outside `low..=high` and NaN.
#[inline]
pub(super) fn within(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, Unsolved> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(Unsolved::OutsideDomain { what, value, low, high })
    }
}

impl Form {
    /// Reduces ESR, removes units, checks the domain.
    #[inline]
    pub(super) fn of(source: &Source, bank: &Bank, draw: Draw) -> Result<(Self, Scale), Unsolved> {
        let volts = within("emf peak", source.emf_peak_v, f64::MIN_POSITIVE, 1e300)?;
        let omega = within("angular frequency", source.omega_rad_s, f64::MIN_POSITIVE, 1e300)?;
        let resistance = within("source resistance", source.resistance_ohm, 0.0, 1e300)?;
        let t = within("threshold over emf peak", source.drop_v / volts, 0.0, 1.0 - 1e-9)?;
        let esr = within("ESR", bank.esr_ohm, 0.0, 1e300)?;
        let capacitance = within("capacitance", bank.capacitance_f, f64::MIN_POSITIVE, 1e300)?;
        within("load current", draw.current_a, 0.0, 1e300)?;
        within("load conductance", draw.conductance_s, 0.0, 1e300)?;

        let k = 1.0 / (1.0 + esr * draw.conductance_s);
        let ohms = resistance + k * esr;
        let omega_cr = within("omega C R", omega * capacitance * ohms / (k * k), OMEGA_CR.0, OMEGA_CR.1)?;
        let a = 1.0 / omega_cr;
        let g = within("source over load resistance", ohms * draw.conductance_s / k, 0.0, CONDUCTANCE_MAX)?;
        let j = draw.current_a * ohms / (k * volts);
        if j + g > 0.0 {
            within("source resistance times load current over emf peak", j + g, DRAW_MIN, f64::INFINITY)?;
        }
        let (b, ag) = (a * (1.0 + g), a * g);
        let size = 1.0 / (1.0 + b * b);
        let form = Self {
            a,
            g,
            j,
            t,
            b,
            ag,
            c0: (j - g * t) / (1.0 + g),
            s: (1.0 + ag * b) * size,
            q: a * size,
            lift: a * b * size,
            cycle: if source.full_wave { PI } else { 2.0 * PI },
            wall: t.acos(),
        };
        Ok((form, Scale { volts, amps: volts / ohms, ohms, rho: k * esr / ohms, k, draw }))
    }

    /// Rate at which the reservoir would fall at level `y` with the diode off: `a j + a g y`.
    #[inline]
    pub(super) fn fall(&self, y: f64) -> f64 {
        self.a * self.j + self.ag * y
    }
}

/// `cos p − cos q`, digits kept where both angles are small; the angles are given by sine and cosine.
#[inline]
pub(super) fn cosine_difference((sin_p, cos_p): (f64, f64), (sin_q, cos_q): (f64, f64)) -> f64 {
    let sum = cos_p + cos_q;
    if sum > 0.5 { (sin_q - sin_p) * (sin_q + sin_p) / sum } else { cos_p - cos_q }
}
