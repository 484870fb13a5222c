//! No filter: the load's resistance sits on the rectifier, with or without leakage inductance.
//!
//! ```text
//! l x' + x = sin θ − t,   l = ωL/(R + RL),   v = i RL
//! ```

use std::f64::consts::{FRAC_PI_2, PI};

use super::Unsolved;
use super::form::{Draw, Scale, Source, within};
use super::leaky_newton::Handover;
use super::spectrum::window;
use super::wave::Wave;
use crate::numeric::complex::Complex;
use crate::numeric::root::{Crossing, newton_between};

/// The steady state of a rectifier loaded by a resistance alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Direct {
    pub scale: Scale,
    pub cycle: f64,
    pub t: f64,
    /// `ωL/(R + RL)`.
    pub l: f64,
    pub lead: f64,
    pub lag: f64,
}

impl Direct {
    pub(super) fn solve(
        source: &Source,
        load_ohm: f64,
        leakage_h: f64,
        handover: Handover,
    ) -> Result<Self, Unsolved> {
        let volts = within("emf peak", source.emf_peak_v, f64::MIN_POSITIVE, 1e300)?;
        let omega = within("angular frequency", source.omega_rad_s, f64::MIN_POSITIVE, 1e300)?;
        let resistance = within("source resistance", source.resistance_ohm, 0.0, 1e300)?;
        let t = within("threshold over emf peak", source.drop_v / volts, 0.0, 1.0 - 1e-9)?;
        let load = within("load resistance", load_ohm, f64::MIN_POSITIVE, 1e300)?;
        let ohms = resistance + load;
        let l = within("omega L over resistance", omega * leakage_h / ohms, 0.0, 1e3)?;
        let scale =
            Scale { volts, amps: volts / ohms, ohms, rho: load / ohms, k: 1.0, draw: Draw::resistance(load) };
        let cycle = if source.full_wave { PI } else { 2.0 * PI };
        let wall = t.acos();
        let mut direct = Self { scale, cycle, t, l, lead: wall, lag: wall };
        if l > 0.0 {
            direct.lag = direct.end();
            if handover != Handover::Single && -direct.lag.cos() > t {
                if handover == Handover::Overlapping {
                    return Err(Unsolved::NotMine);
                }
                // Handed over without rest: x(α) = x(α + π) = 0.
                let phase = l.atan();
                let alpha = phase - (t * (0.5 * PI / l).tanh() / phase.cos()).asin();
                direct.lead = FRAC_PI_2 - alpha;
                direct.lag = PI - direct.lead;
            }
        }
        Ok(direct)
    }

    /// Forced current at `ψ` of this sine and cosine.
    fn forced(&self, sin: f64, cos: f64) -> f64 {
        (cos + self.l * sin) / (1.0 + self.l * self.l) - self.t
    }

    /// Forced current at turn-on.
    fn forced_on(&self) -> f64 {
        let (sin, cos) = self.lead.sin_cos();
        self.forced(-sin, cos)
    }

    /// Turn-off of a pulse that starts where the EMF reaches the threshold: the only zero after the crest, since the
    /// current falls wherever it exceeds `sin θ − t`.
    fn end(&self) -> f64 {
        let high = 2.0 * PI - self.lead;
        newton_between(0.0, high, self.lead, Crossing::Downward, 1e-12, |psi| {
            let (sin, cos) = psi.sin_cos();
            let state = self.state_at(psi, sin, cos);
            (state.0, self.slope_at(sin, cos, state).0)
        })
    }

    /// `∫ x e^(−inθ)` over the pulse: `(1 + inl) z = ∫ (sin θ − t) e^(−inθ)`.
    pub(super) fn transform(&self, order: u32) -> Complex {
        let n = f64::from(order);
        let [at, sine, _] = window(self.lead, self.lag, n);
        (sine - at.scale(self.t)) / Complex::new(1.0, n * self.l)
    }
}

impl Wave for Direct {
    fn span(&self) -> (f64, f64) {
        (-self.lead, self.lag)
    }

    fn state_at(&self, psi: f64, sin: f64, cos: f64) -> (f64, f64) {
        if self.l > 0.0 {
            let forced = self.forced(sin, cos);
            (forced - self.forced_on() * (-(psi + self.lead) / self.l).exp(), 0.0)
        } else {
            (cos - self.t, 0.0)
        }
    }

    fn slope_at(&self, sin: f64, cos: f64, (x, _): (f64, f64)) -> (f64, f64) {
        if self.l > 0.0 { ((cos - self.t - x) / self.l, 0.0) } else { (-sin, 0.0) }
    }

    fn bend_at(&self, sin: f64, cos: f64, (dx, _): (f64, f64)) -> (f64, f64) {
        if self.l > 0.0 { ((-sin - dx) / self.l, 0.0) } else { (-cos, 0.0) }
    }

    fn pace(&self) -> (f64, f64) {
        (if self.l > 0.0 { 1.0 / self.l } else { 1.0 }, 0.0)
    }

    fn walk(&self, count: u32, mut call: impl FnMut(f64, f64, (f64, f64))) {
        let width = (self.lead + self.lag) / f64::from(count);
        for index in 0..=count {
            let psi = f64::from(index) * width - self.lead;
            call(psi, psi.cos(), self.state(psi));
        }
    }
}
