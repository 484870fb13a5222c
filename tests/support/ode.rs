//! A reservoir circuit as plain differential equations for a general integrator: the second method.
//!
//! Written from the circuit, not from its reduction: capacitor voltage, winding current, and running integrals.

use ode_solvers::{Dopri5, System, Vector6};
use railwright::circuit::spec::{Filter, Load, Spec, Topology};

/// Capacitor voltage, rectifier current (with leakage), `∫v`, `∫i`, `∫i²`, `∫v²`.
pub(crate) type State = Vector6<f64>;

/// The circuit with plain numbers.
#[derive(Clone, Copy)]
pub(crate) struct Circuit {
    peak: f64,
    pub(crate) omega: f64,
    full_wave: bool,
    drop: f64,
    resistance: f64,
    leakage: f64,
    capacitance: f64,
    esr: f64,
    current: f64,
    conductance: f64,
    /// Below this load voltage a constant current becomes a resistance: a discharged reservoir would never charge.
    pub(crate) knee: f64,
    /// Whether the running integrals are wanted.
    pub(crate) integrals: bool,
}

impl Circuit {
    pub(crate) fn of(spec: &Spec) -> Option<Self> {
        let Filter::Reservoir(part) = spec.output.filter else { return None };
        let diodes = if spec.topology == Topology::Bridge { 2.0 } else { 1.0 };
        let (current, conductance) = match spec.output.load {
            Load::Resistance(ohms) => (0.0, 1.0 / ohms.0),
            Load::Current(amps) => (amps.0, 0.0),
            Load::Power(_) => return None,
        };
        Some(Self {
            peak: spec.winding.emf_peak.0,
            omega: 2.0 * std::f64::consts::PI * spec.winding.frequency.0,
            full_wave: spec.topology != Topology::HalfWave,
            drop: diodes * spec.diode.threshold.0,
            resistance: spec.winding.resistance.0
                + spec.winding.common_resistance.0
                + diodes * spec.diode.slope.0,
            leakage: spec.winding.leakage.0,
            capacitance: part.capacitance.0,
            esr: part.esr.0,
            current,
            conductance,
            knee: 0.0,
            integrals: true,
        })
    }

    /// One mains period from `time` on; `None` where the integrator gives up.
    pub(crate) fn period(self, time: f64, from: State, tolerance: f64) -> Option<State> {
        let period = 2.0 * std::f64::consts::PI / self.omega;
        let mut stepper =
            Dopri5::new(self, time, time + period, 0.01 * period, from, tolerance, tolerance * self.peak);
        stepper.integrate().ok()?;
        stepper.y_out().last().copied()
    }

    /// Periods from a discharged reservoir until one repeats to `repeat` of the EMF peak.
    pub(crate) fn settle(self, tolerance: f64, repeat: f64, most: u32) -> Option<(State, u32)> {
        let period = 2.0 * std::f64::consts::PI / self.omega;
        let mut state = State::zeros();
        for count in 0..most {
            let next = self.period(f64::from(count) * period, state, tolerance)?;
            let change = (next[0] - state[0]).abs();
            state = next;
            if change < repeat * self.peak {
                return Some((state, count + 1));
            }
        }
        None
    }
}

impl System<f64, State> for Circuit {
    fn system(&self, time: f64, state: &State, slope: &mut State) {
        let sine = self.peak * (self.omega * time).sin();
        let emf = if self.full_wave { sine.abs() } else { sine };
        let share = 1.0 + self.esr * self.conductance;
        let asked = if state[0] < self.knee { self.current * state[0] / self.knee } else { self.current };
        let open = (state[0] - self.esr * asked) / share;
        let (current, voltage);
        if self.leakage > 0.0 {
            current = state[1].max(0.0);
            voltage = open + self.esr * current / share;
            let drive = emf - self.drop - self.resistance * current - voltage;
            slope[1] = if current > 0.0 || drive > 0.0 { drive / self.leakage } else { 0.0 };
        } else {
            current = ((emf - self.drop - open) / (self.resistance + self.esr / share)).max(0.0);
            voltage = open + self.esr * current / share;
            slope[1] = 0.0;
        }
        slope[0] = (current - asked - self.conductance * voltage) / self.capacitance;
        let counted = f64::from(u8::from(self.integrals));
        slope[2] = counted * voltage;
        slope[3] = counted * current;
        slope[4] = counted * current * current;
        slope[5] = counted * voltage * voltage;
    }
}
