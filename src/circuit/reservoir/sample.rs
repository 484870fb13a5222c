//! Waveforms: the circuit at one angle of the mains.

use std::f64::consts::{FRAC_PI_2, PI};

use super::pulse::Pulse;
use super::wave::Wave;
use super::{Kind, Steady};

/// Voltages and currents at one instant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Instant {
    /// Load voltage, V.
    pub load_v: f64,
    /// Current of the rectifier (the conducting diode's), A.
    pub rectifier_a: f64,
    /// Current into the reservoir, A; zero without one.
    pub capacitor_a: f64,
    /// Current of the winding, A: signed in a bridge; in a centre-tap first half less second.
    pub winding_a: f64,
}

impl Pulse {
    /// Current and level at `ψ` in the pulse.
    fn state(&self, psi: f64) -> (f64, f64) {
        let trig = psi.sin_cos();
        (self.current(psi, trig), self.level(psi, trig))
    }
}

/// Angles of turn-on and turn-off in the first half of the mains period, rad, the EMF being `V̂ sin θ`; a full-wave
/// circuit repeats them `π` later.
pub fn events(steady: &Steady) -> (f64, f64) {
    let (lead, lag) = match &steady.kind {
        Kind::Reservoir(pulse) => (pulse.angles.lead, pulse.angles.lag),
        Kind::Leaky(leaky) => (leaky.lead, leaky.lag),
        Kind::Direct(direct) => (direct.lead, direct.lag),
    };
    (FRAC_PI_2 - lead, FRAC_PI_2 + lag)
}

/// The circuit at mains angle `theta_rad`, the EMF of the (first) winding being `V̂ sin θ`.
pub fn sample(steady: &Steady, theta_rad: f64) -> Instant {
    let theta = theta_rad.rem_euclid(2.0 * PI);
    let full_wave = steady.wiring.full_wave();
    let cycle = if full_wave { PI } else { 2.0 * PI };
    let (on, off) = events(steady);
    let turns = ((theta - on) / cycle).floor();
    let at = theta - turns * cycle;
    let conducts = at < off;
    let psi = at - FRAC_PI_2;
    let (scale, (current, level)) = match &steady.kind {
        Kind::Reservoir(pulse) if conducts => (&pulse.scale, pulse.state(psi)),
        Kind::Reservoir(pulse) => (&pulse.scale, (0.0, pulse.level_after(at - off))),
        Kind::Leaky(leaky) if conducts => (&leaky.scale, leaky.state(psi)),
        Kind::Leaky(leaky) => (&leaky.scale, (0.0, leaky.level_after(at - off))),
        Kind::Direct(direct) if conducts => (&direct.scale, direct.state(psi)),
        Kind::Direct(direct) => (&direct.scale, (0.0, 0.0)),
    };
    let current = current.max(0.0);
    let load_v = (level + scale.rho * current) * scale.volts;
    let rectifier_a = current * scale.amps;
    let second = full_wave && turns.rem_euclid(2.0) >= 1.0;
    let capacitor_a = match steady.kind {
        Kind::Direct(_) => 0.0,
        _ => rectifier_a - scale.draw.current_a - scale.draw.conductance_s * load_v,
    };
    Instant { load_v, rectifier_a, capacitor_a, winding_a: if second { -rectifier_a } else { rectifier_a } }
}
