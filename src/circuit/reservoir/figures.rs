//! All figures of a solved circuit, from the integrals and extremes of one pulse.
//!
//! Knows nothing of how the pulse was found; the definitions stand at [`Figures`].

use std::f64::consts::{PI, SQRT_2};

use super::form::Scale;
use super::pulse::Pulse;
use super::sums::Sums;
use super::wiring::{Connection, Wiring};
use super::{Kind, Steady};
use crate::circuit::figures::{Figures, OutputFigures};

/// What every kind of pulse gives, in units of `V̂` and `V̂/R'`, integrals over the angle of one cycle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    pub scale: Scale,
    /// Angle of one cycle, `π` or `2π`.
    pub cycle: f64,
    pub threshold: f64,
    pub sums: Sums,
    pub valley: f64,
    pub crest: f64,
    pub peak: f64,
    pub width: f64,
    pub reverse: f64,
    /// `∫ (2 l x cos θ + l² x'²)`: what the leakage adds to the square of the winding's terminal voltage.
    pub inductive: f64,
    /// Series resistance of the reservoir; `None` without one.
    pub esr_ohm: Option<f64>,
    pub residual: f64,
    pub iterations: u32,
}

impl Pulse {
    fn shape(&self, wiring: &Wiring) -> Shape {
        Shape {
            scale: self.scale,
            cycle: self.form.cycle,
            threshold: self.form.t,
            sums: self.sums(),
            valley: self.valley(),
            crest: self.crest(),
            peak: self.peak(),
            width: self.width(),
            reverse: self.reverse(wiring),
            inductive: 0.0,
            esr_ohm: Some(self.scale.esr_ohm()),
            residual: self.residual(),
            iterations: self.iterations(),
        }
    }

    /// Greatest reverse voltage of one diode.
    ///
    /// Half-wave: output less EMF near the trough. Two pulses a period: in conduction, where the idle path sees the
    /// output and the EMF of its own half (centre-tap; less the drop in what the halves share), or the output and the
    /// drop of one conducting diode (bridge). Before turn-on it is always less: `fall < cos θ` there.
    pub(super) fn reverse(&self, wiring: &Wiring) -> f64 {
        let part = 1.0 - self.scale.rho;
        let ohms = self.scale.ohms;
        match wiring.connection {
            Connection::HalfWave => self.trough(),
            Connection::CentreTap => self.greatest(2.0, part + wiring.common_ohm / ohms) - self.form.t,
            Connection::Bridge if self.width() > 0.0 => {
                self.greatest(1.0, part - wiring.slope_ohm / ohms) - 0.5 * self.form.t
            }
            Connection::Bridge => 1.0 - 0.5 * self.form.t,
        }
    }
}

/// All figures but the harmonics.
pub fn figures(steady: &Steady) -> Figures {
    match &steady.kind {
        Kind::Reservoir(pulse) => assemble(&pulse.shape(&steady.wiring), &steady.wiring),
        Kind::Leaky(leaky) => assemble(&leaky.shape(&steady.wiring), &steady.wiring),
        Kind::Direct(direct) => assemble(&direct.shape(&steady.wiring), &steady.wiring),
    }
}

/// The figures that heat and headroom need, at a fraction of the cost of all of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Load voltage at turn-on; with leakage inductance the least load voltage stands for it, V.
    pub turn_on_v: f64,
    /// Least load voltage, V.
    pub valley_v: f64,
    /// Greatest load voltage, V.
    pub crest_v: f64,
    /// Mean load voltage, V.
    pub mean_v: f64,
    /// Average current of one diode, A.
    pub diode_avg_a: f64,
    /// rms current of one diode, A.
    pub diode_rms_a: f64,
    /// Peak current of one diode, A.
    pub diode_peak_a: f64,
    /// Conduction angle of one diode, degrees of the mains.
    pub conduction_deg: f64,
}

/// Average and rms current of one diode, A, with the other figures as far as they come along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiodeCurrents {
    /// Average, A.
    pub avg_a: f64,
    /// rms, A.
    pub rms_a: f64,
    /// All of them, where the currents alone cost as much.
    all: Option<Measures>,
}

/// What heats, first of all.
pub fn diode_currents(steady: &Steady) -> DiodeCurrents {
    if let Kind::Reservoir(pulse) = &steady.kind {
        return DiodeCurrents { avg_a: pulse.diode_avg_a(), rms_a: pulse.diode_rms_a(), all: None };
    }
    let all = measures(steady);
    DiodeCurrents { avg_a: all.diode_avg_a, rms_a: all.diode_rms_a, all: Some(all) }
}

/// The figures that heat and headroom need, once the currents are known.
pub fn measures_with(steady: &Steady, currents: &DiodeCurrents) -> Measures {
    currents.all.unwrap_or_else(|| measures_given(steady, Some(currents)))
}

/// The figures that heat and headroom need.
pub fn measures(steady: &Steady) -> Measures {
    measures_given(steady, None)
}

fn measures_given(steady: &Steady, currents: Option<&DiodeCurrents>) -> Measures {
    let shape = match &steady.kind {
        Kind::Reservoir(pulse) => {
            return Measures {
                turn_on_v: pulse.turn_on_v(),
                valley_v: pulse.min_v(),
                crest_v: pulse.max_v(),
                mean_v: pulse.mean_v(),
                diode_avg_a: currents.map_or_else(|| pulse.diode_avg_a(), |one| one.avg_a),
                diode_rms_a: currents.map_or_else(|| pulse.diode_rms_a(), |one| one.rms_a),
                diode_peak_a: pulse.diode_peak_a(),
                conduction_deg: pulse.width().to_degrees(),
            };
        }
        Kind::Leaky(leaky) => leaky.measured(),
        Kind::Direct(direct) => direct.shape(&steady.wiring),
    };
    let (volts, amps) = (shape.scale.volts, shape.scale.amps);
    let period = 2.0 * PI;
    Measures {
        turn_on_v: shape.valley * volts,
        valley_v: shape.valley * volts,
        crest_v: shape.crest * volts,
        mean_v: shape.sums.mean * volts,
        diode_avg_a: shape.sums.charge / period * amps,
        diode_rms_a: (shape.sums.heat / period).sqrt() * amps,
        diode_peak_a: shape.peak * amps,
        conduction_deg: shape.width.to_degrees(),
    }
}

/// A quotient that is zero where nothing flows.
fn ratio(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

/// Turns a shape into volts, amperes and watts.
pub(super) fn assemble(shape: &Shape, wiring: &Wiring) -> Figures {
    let Shape { scale, cycle, sums, .. } = *shape;
    let Scale { volts, amps, k, draw, .. } = scale;
    let watts = volts * amps;
    let period = 2.0 * PI;

    let mean_v = sums.mean * volts;
    let mean_square_v2 = mean_v * mean_v + sums.ripple_square * volts * volts;
    let load_power_w = draw.current_a * mean_v + draw.conductance_s * mean_square_v2;
    let diode_avg_a = sums.charge / period * amps;
    let diode_rms_a = (sums.heat / period).sqrt() * amps;
    let rectified_square = sums.heat / cycle;
    let capacitor_rms_a = k * (sums.swing_square.max(0.0) / cycle).sqrt() * amps;

    let (winding_rms_a, winding_mean_a, primary_rms_a) = match wiring.connection {
        Connection::HalfWave => {
            // The swing about the mean, so that long pulses keep their digits.
            let square = rectified_square - (sums.charge / cycle).powi(2);
            (diode_rms_a, diode_avg_a, square.max(0.0).sqrt() * amps)
        }
        Connection::CentreTap => (diode_rms_a, diode_avg_a, rectified_square.sqrt() * amps),
        Connection::Bridge => (rectified_square.sqrt() * amps, 0.0, rectified_square.sqrt() * amps),
    };
    let emf_rms_v = volts / SQRT_2;
    let halves = if wiring.connection == Connection::CentreTap { 2.0 } else { 1.0 };
    let va_emf_va = halves * emf_rms_v * winding_rms_a;
    let terminal_rms_v = (terminal_square(shape, wiring) / period).max(0.0).sqrt() * volts;
    let input_power_w = sums.work / cycle * watts;

    let rectified_square_a2 = rectified_square * amps * amps;
    let series_ohm = wiring.winding_ohm + wiring.diodes() * wiring.slope_ohm;
    let threshold_w = shape.threshold * sums.charge / cycle * watts;
    let esr_w = shape.esr_ohm.unwrap_or(0.0) * capacitor_rms_a * capacitor_rms_a;
    let lost_w = rectified_square_a2 * series_ohm + threshold_w + esr_w;

    Figures {
        output: OutputFigures {
            load_mean_v: mean_v,
            load_min_v: shape.valley * volts,
            load_max_v: shape.crest * volts,
            ripple_pp_v: (shape.crest - shape.valley) * volts,
            ripple_rms_v: sums.ripple_square.max(0.0).sqrt() * volts,
            load_current_mean_a: draw.current_a + draw.conductance_s * mean_v,
            load_power_w,
            diode_avg_a,
            diode_rms_a,
            diode_peak_a: shape.peak * amps,
            diode_conduction_deg: shape.width.to_degrees(),
            diode_piv_v: shape.reverse * volts,
            c1_ripple_current_rms_a: shape.esr_ohm.map(|_| capacitor_rms_a),
            ..OutputFigures::default()
        },
        negative: None,
        winding_rms_a,
        winding_mean_a,
        va_emf_va,
        va_terminal_va: halves * terminal_rms_v * winding_rms_a,
        primary_rms_a,
        input_power_w,
        power_factor_emf: ratio(input_power_w, va_emf_va),
        power_factor_primary: ratio(input_power_w, emf_rms_v * primary_rms_a),
        energy_residual: ratio(input_power_w - load_power_w - lost_w, input_power_w),
        residual: shape.residual,
        iterations: shape.iterations,
    }
}

/// `∫ v²` of one winding's (one half's) terminals over the period, in units of `V̂²`.
fn terminal_square(shape: &Shape, wiring: &Wiring) -> f64 {
    let sums = &shape.sums;
    let drop = |ohms: f64| {
        let share = ohms / shape.scale.ohms;
        share * share * sums.heat - 2.0 * share * sums.work
    };
    let own = drop(wiring.winding_ohm) + shape.inductive;
    PI + match wiring.connection {
        Connection::HalfWave => own,
        Connection::CentreTap => own + drop(wiring.common_ohm),
        Connection::Bridge => 2.0 * own,
    }
}
