//! Rectifier networks as plain differential equations for a general integrator, each written out from its circuit.

use ode_solvers::{Dopri5, OutputType, System, Vector6};
use railwright::circuit::spec::{Branch, Capacitor, Choke, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Farads, Henries, Hertz, Ohms, Volts, Watts};
use std::f64::consts::TAU;

pub(crate) const EMF: f64 = 30.0;
pub(crate) const OMEGA: f64 = TAU * 50.0;
const DROP: f64 = 0.7;
const SOURCE: f64 = 1.3;
const SLOPE: f64 = 0.1;
const C1: f64 = 2.2e-4;
const C2: f64 = 1.5e-4;
const SERIES: f64 = 12.0;
const CHOKE: f64 = 0.08;
pub(crate) const LOAD: f64 = 120.0;
const POWER: f64 = 4.0;

pub(crate) type State = Vector6<f64>;

/// Circuits written out by hand, capacitors without series resistance. Of each state: three of the circuit, then the
/// integrals of load voltage, of its square, and of the square of the winding current.
#[derive(Clone, Copy, Debug)]
pub(crate) enum ByHand {
    FullWaveDoubler,
    HalfWaveDoubler,
    BridgeCrc,
    BridgeClc,
    BridgePower,
    /// Choke far below critical, so that the current stops in every half wave; source resistance in series with it.
    BridgeLc,
}

impl System<f64, State> for ByHand {
    fn system(&self, time: f64, y: &State, dy: &mut State) {
        let e = EMF * (OMEGA * time).sin();
        let path = |volts: f64, diodes: f64| ((volts - diodes * DROP) / (SOURCE + diodes * SLOPE)).max(0.0);
        let (load_v, winding);
        match self {
            Self::FullWaveDoubler => {
                let (up, down) = (path(e - y[0], 1.0), path(-e - y[1], 1.0));
                load_v = y[0] + y[1];
                winding = up - down;
                dy[0] = (up - load_v / LOAD) / C1;
                dy[1] = (down - load_v / LOAD) / C1;
            }
            Self::HalfWaveDoubler => {
                let (fill, lift) = (path(-e - y[0], 1.0), path(e + y[0] - y[1], 1.0));
                load_v = y[1];
                winding = lift - fill;
                dy[0] = (fill - lift) / C1;
                dy[1] = (lift - load_v / LOAD) / C1;
            }
            Self::BridgeCrc => {
                let current = path(e.abs() - y[0], 2.0);
                let onward = (y[0] - y[1]) / SERIES;
                load_v = y[1];
                winding = current;
                dy[0] = (current - onward) / C1;
                dy[1] = (onward - load_v / LOAD) / C2;
            }
            Self::BridgeClc => {
                let current = path(e.abs() - y[0], 2.0);
                load_v = y[1];
                winding = current;
                dy[0] = (current - y[2]) / C1;
                dy[1] = (y[2] - load_v / LOAD) / C2;
                dy[2] = (y[0] - y[1] - SERIES * y[2]) / CHOKE;
            }
            Self::BridgePower => {
                let current = path(e.abs() - y[0], 2.0);
                load_v = y[0];
                winding = current;
                dy[0] = (current - POWER / load_v) / C1;
            }
            Self::BridgeLc => {
                load_v = y[1];
                winding = y[2].max(0.0);
                let push = e.abs() - 2.0 * DROP - (SOURCE + 2.0 * SLOPE + SERIES) * y[2] - y[1];
                dy[1] = (winding - load_v / LOAD) / C2;
                dy[2] = if y[2] > 0.0 || push > 0.0 { push / (0.1 * CHOKE) } else { 0.0 };
            }
        }
        dy[3] = load_v;
        dy[4] = load_v * load_v;
        dy[5] = winding * winding;
    }
}

impl ByHand {
    pub(crate) const ALL: [Self; 6] = [
        Self::FullWaveDoubler,
        Self::HalfWaveDoubler,
        Self::BridgeCrc,
        Self::BridgeClc,
        Self::BridgePower,
        Self::BridgeLc,
    ];

    pub(crate) fn spec(self) -> Spec {
        let cap = |farads: f64| Capacitor { capacitance: Farads(farads), esr: Ohms(0.0) };
        let choke = |henries: f64| Choke { inductance: Henries(henries), resistance: Ohms(SERIES) };
        let (topology, filter) = match self {
            Self::FullWaveDoubler => (Topology::FullWaveDoubler, Filter::Reservoir(cap(C1))),
            Self::HalfWaveDoubler => (Topology::HalfWaveDoubler, Filter::Reservoir(cap(C1))),
            Self::BridgeCrc => (Topology::Bridge, Filter::Crc(cap(C1), Ohms(SERIES), cap(C2))),
            Self::BridgeClc => (Topology::Bridge, Filter::Clc(cap(C1), choke(CHOKE), cap(C2))),
            Self::BridgePower => (Topology::Bridge, Filter::Reservoir(cap(C1))),
            Self::BridgeLc => (Topology::Bridge, Filter::Lc(choke(0.1 * CHOKE), cap(C2))),
        };
        let load = match self {
            Self::BridgePower => Load::Power(Watts(POWER)),
            _ => Load::Resistance(Ohms(LOAD)),
        };
        supply(topology, filter, load)
    }

    /// The state a period later, the integrals begun anew.
    pub(crate) fn period(self, lap: u32, from: State, tolerance: f64, largest_step: f64) -> Option<State> {
        let period = TAU / OMEGA;
        let start = State::new(from[0], from[1], from[2], 0.0, 0.0, 0.0);
        let begin = f64::from(lap) * period;
        let mut stepper = Dopri5::from_param(
            self,
            begin,
            begin + period,
            period,
            start,
            tolerance,
            tolerance,
            0.9,
            0.04,
            0.2,
            10.0,
            largest_step * period,
            0.0,
            1_000_000,
            1000,
            OutputType::Sparse,
        );
        stepper.integrate().ok()?;
        stepper.y_out().last().copied()
    }

    /// Mean of load voltage, its rms, and the winding's rms over one period after many.
    pub(crate) fn settled(self) -> Option<[f64; 3]> {
        let period = TAU / OMEGA;
        let mut y = State::new(20.0, 20.0, 0.0, 0.0, 0.0, 0.0);
        for lap in 0..60 {
            y = self.period(lap, y, if lap < 50 { 1e-6 } else { 1e-10 }, 0.005)?;
        }
        Some([y[3] / period, (y[4] / period).sqrt(), (y[5] / period).sqrt()])
    }
}

/// A supply with the constants of this page.
pub(crate) fn supply(topology: Topology, filter: Filter, load: Load) -> Spec {
    Spec {
        topology,
        winding: Winding {
            emf_peak: Volts(EMF),
            frequency: Hertz(50.0),
            resistance: Ohms(SOURCE),
            common_resistance: Ohms(0.0),
            leakage: Henries(0.0),
        },
        diode: Diode { threshold: Volts(DROP), slope: Ohms(SLOPE) },
        output: Branch { filter, load },
        negative: None,
    }
}
