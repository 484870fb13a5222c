//! Waveforms: the circuit at one angle of the mains.

use std::f64::consts::{FRAC_PI_2, PI};

use super::pulse::Pulse;
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
    /// Output level and current at `ψ`, counted from the crest of the pulse, `−lead ≤ ψ < cycle − lead`.
    fn at(&self, psi: f64) -> (f64, f64) {
        if psi < self.angles.lag {
            let trig = psi.sin_cos();
            (self.level(psi, trig), self.current(psi, trig).max(0.0))
        } else {
            (self.level_after(psi - self.angles.lag), 0.0)
        }
    }
}

/// The circuit at mains angle `theta_rad`, the EMF of the (first) winding being `V̂ sin θ`.
pub fn sample(steady: &Steady, theta_rad: f64) -> Instant {
    let theta = theta_rad.rem_euclid(2.0 * PI);
    match &steady.kind {
        Kind::Reservoir(pulse) => {
            let lead = pulse.angles.lead;
            let since_on = theta - FRAC_PI_2 + lead;
            let turns = (since_on / pulse.form.cycle).floor();
            let psi = since_on - turns * pulse.form.cycle - lead;
            let (level, current) = pulse.at(psi);
            let scale = &pulse.scale;
            let load_v = (level + scale.rho * current) * scale.volts;
            let rectifier_a = current * scale.amps;
            let second = steady.wiring.full_wave() && turns.rem_euclid(2.0) >= 1.0;
            Instant {
                load_v,
                rectifier_a,
                capacitor_a: rectifier_a - scale.draw.current_a - scale.draw.conductance_s * load_v,
                winding_a: if second { -rectifier_a } else { rectifier_a },
            }
        }
    }
}
