//! A reservoir circuit as plain differential equations for a general integrator: the second method.
//!
//! Written from the circuit, not from its reduction: capacitor voltage, winding current, and running integrals.

use ode_solvers::{Dopri5, OutputType, SVector, System, Vector2, Vector6};
use railwright::circuit::spec::{Filter, Load, Spec, Topology};

/// Capacitor voltage, rectifier current (with leakage).
pub(crate) type Short = Vector2<f64>;
/// The same, and integrals over the angle that are all of the order of the EMF peak `V̂`, so that one absolute tolerance
/// serves: `∫v`, `V̂ ∫i/I`, `V̂ ∫(i/I)²`, `∫v²/V̂`, `I` being [`Circuit::unit`].
pub(crate) type Long = Vector6<f64>;

/// Largest step unless said otherwise, of the mains period.
const LARGEST_STEP: f64 = 0.02;

/// The circuit with plain numbers.
#[derive(Clone, Copy)]
pub(crate) struct Circuit {
    pub(crate) peak: f64,
    omega: f64,
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
    /// Largest step, of the mains period: a longer one can pass over a whole pulse without noticing it.
    pub(crate) largest_step: f64,
    /// One winding whose current passes from pair to pair without rest: the current is signed.
    pub(crate) commutating: bool,
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
            largest_step: LARGEST_STEP,
            commutating: false,
        })
    }

    /// The state at `until`, or `None` where the integrator gives up.
    pub(crate) fn integrate<const N: usize>(
        self,
        from: f64,
        until: f64,
        state: SVector<f64, N>,
        tolerance: f64,
    ) -> Option<SVector<f64, N>>
    where
        Self: System<f64, SVector<f64, N>>,
    {
        // Defaults but for the largest step.
        let largest = (until - from).min(self.largest_step * self.mains_period());
        let mut stepper = Dopri5::from_param(
            self,
            from,
            until,
            until - from,
            state,
            tolerance,
            tolerance * self.peak,
            0.9,
            0.04,
            0.2,
            10.0,
            largest,
            0.0,
            100_000,
            1000,
            OutputType::Sparse,
        );
        stepper.integrate().ok()?;
        stepper.y_out().last().copied()
    }

    /// The current against which the integrals are taken, A.
    pub(crate) fn unit(&self) -> f64 {
        self.current + self.conductance * self.peak
    }

    /// One period, s.
    pub(crate) fn mains_period(&self) -> f64 {
        2.0 * std::f64::consts::PI / self.omega
    }

    /// One mains period from angle zero on, with integrals.
    pub(crate) fn period(self, from: Long, tolerance: f64) -> Option<Long> {
        self.integrate(0.0, self.mains_period(), from, tolerance)
    }

    /// Goes through one mains period and tells whether the load voltage was found below zero at one of `looks` instants.
    pub(crate) fn dips_below_zero(self, state: &mut Short, looks: u32, tolerance: f64) -> bool {
        let step = self.mains_period() / f64::from(looks);
        (0..looks).any(|look| {
            let time = f64::from(look) * step;
            match self.integrate(time, time + step, *state, tolerance) {
                Some(end) => *state = end,
                None => return false,
            }
            self.slopes(time + step, state[0], state[1])[3] <= 0.0
        })
    }
}

impl Circuit {
    /// Slopes of capacitor voltage and rectifier current, that current, and the load voltage.
    fn slopes(&self, time: f64, stored: f64, flowing: f64) -> [f64; 4] {
        let (sin, cos) = (self.omega * time).sin_cos();
        let sine = self.peak * sin;
        let share = 1.0 + self.esr * self.conductance;
        let asked = if self.knee > 0.0 && stored < self.knee {
            self.current * stored / self.knee
        } else {
            self.current
        };
        let open = (stored - self.esr * asked) / share;
        let back = self.drop + open;
        let (current, growth) = if self.commutating {
            let current = flowing.abs();
            let opposing = back + (self.resistance + self.esr / share) * current;
            (current, (sine - opposing.copysign(flowing)) / self.leakage)
        } else if self.leakage > 0.0 {
            let current = flowing.max(0.0);
            // Current left over after the zero of the EMF is the other half's.
            let late = self.full_wave && sin * cos > 0.0 && sine.abs() < back;
            let emf = if !self.full_wave {
                sine
            } else if late {
                -sine.abs()
            } else {
                sine.abs()
            };
            let drive = emf - back - (self.resistance + self.esr / share) * current;
            (current, if current > 0.0 || drive > 0.0 { drive / self.leakage } else { 0.0 })
        } else {
            let emf = if self.full_wave { sine.abs() } else { sine };
            (((emf - back) / (self.resistance + self.esr / share)).max(0.0), 0.0)
        };
        let voltage = open + self.esr * current / share;
        [(current - asked - self.conductance * voltage) / self.capacitance, growth, current, voltage]
    }
}

impl System<f64, Short> for Circuit {
    fn system(&self, time: f64, state: &Short, slope: &mut Short) {
        let [charging, growth, ..] = self.slopes(time, state[0], state[1]);
        slope[0] = charging;
        slope[1] = growth;
    }
}

impl System<f64, Long> for Circuit {
    fn system(&self, time: f64, state: &Long, slope: &mut Long) {
        let [charging, growth, current, voltage] = self.slopes(time, state[0], state[1]);
        let part = current / self.unit();
        let (volts, amps) = (self.omega * voltage, self.omega * self.peak * part);
        *slope = Long::new(charging, growth, volts, amps, amps * part, volts * voltage / self.peak);
    }
}
