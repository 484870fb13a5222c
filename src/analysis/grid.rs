//! The primary current as the mains see it: harmonics, displacement and crest factor, class A.
//!
//! Referred to one half of the winding (turns ratio 1), without magnetising current. Knows no file.

use crate::{
    circuit::{
        figures::Figures,
        general::Sample,
        reservoir::Harmonic,
        solve::Solution,
        spec::{Spec, Topology},
    },
    numeric::tie::coarse,
    physics::grid,
    quantity::{Amps, Volts, Watts},
};
use std::f64::consts::SQRT_2;

/// The primary current.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grid {
    /// Harmonics 1 to 40.
    pub harmonics: Vec<Harmonic>,
    /// Cosine of the angle between EMF and fundamental.
    pub displacement_factor: f64,
    /// `√(I² − I_1²)/I_1`.
    pub distortion: f64,
    /// Greatest magnitude, its mean removed, A.
    pub primary_peak_a: f64,
    /// Peak over rms.
    pub crest_factor: f64,
}

/// One harmonic of the mains current against its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassA {
    /// Order.
    pub order: u32,
    /// rms at the mains, A.
    pub found_a: f64,
    /// Limit, rms, A.
    pub limit_a: f64,
}

/// The comparison with class A.
#[derive(Clone, Debug, PartialEq)]
pub enum GridLimits {
    /// The circuit file does not say what mains stand behind the winding.
    NoMains,
    /// No limit is set at and below 75 W.
    BelowFloor,
    /// No limits are written for mains as low as this, V.
    LowMains(f64),
    /// The standard ends below this mains current, rms, A.
    LargeCurrent(f64),
    /// Every limited harmonic, the worst use of its limit first.
    Compared(Vec<ClassA>),
}

/// Mains stated below this share of the least nominal one are taken as those of a lower system: mains sag by a tenth. Source:
/// IEC 60038, supply voltage within 10 % of nominal (from memory).
const SAG: f64 = 0.9;

/// Samples of a period where the peak is sought; between them it is missed by about `(π/points)²/2`, 1e-7.
pub(super) const POINTS: u32 = 8001;

impl Grid {
    /// Of a solved circuit.
    pub fn of(spec: &Spec, solution: &Solution, figures: &Figures) -> Self {
        let peak = peak(spec, solution, figures);
        Self::from_parts(solution.harmonics(grid::HARMONIC_MAX), figures.primary_rms_a, peak)
    }

    /// From harmonics, rms and peak of a primary current, its mean removed.
    pub(super) fn from_parts(harmonics: Vec<Harmonic>, rms_a: f64, peak_a: f64) -> Self {
        let (fundamental, in_phase) =
            harmonics.first().map_or((0.0, 0.0), |first| (first.rms_a(), first.sine_rms_a));
        let ratio = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
        Self {
            displacement_factor: ratio(in_phase, fundamental),
            distortion: if fundamental > 0.0 {
                grid::distortion(Amps(rms_a), Amps(fundamental)).0
            } else {
                0.0
            },
            primary_peak_a: peak_a,
            crest_factor: ratio(peak_a, rms_a),
            harmonics,
        }
    }

    /// rms of one harmonic, A; zero beyond the 40th.
    pub fn rms_a(&self, order: u32) -> f64 {
        self.harmonics.iter().find(|one| one.order == order).map_or(0.0, Harmonic::rms_a)
    }

    /// Every limited harmonic at the mains against class A, the worst use of its limit first; or why there are no limits.
    ///
    /// `I_mains = I · E/V_mains`. Source: IEC 61000-3-2, as `physics::grid` states it.
    pub fn class_a(&self, spec: &Spec, mains_rms: Option<Volts>, input: Watts, primary: Amps) -> GridLimits {
        let Some(mains_rms) = mains_rms else { return GridLimits::NoMains };
        if mains_rms.0 < SAG * grid::LIMIT_MAINS_MIN.0 {
            return GridLimits::LowMains(mains_rms.0);
        }
        if !grid::class_a_applies(input) {
            return GridLimits::BelowFloor;
        }
        let ratio = spec.winding.emf_peak.0 / SQRT_2 / mains_rms.0;
        if primary.0 * ratio > grid::LIMIT_CURRENT_MAX.0 {
            return GridLimits::LargeCurrent(primary.0 * ratio);
        }
        let mut list: Vec<ClassA> = self
            .harmonics
            .iter()
            .filter_map(|one| {
                let limit_a = grid::class_a_limit(one.order)?.0;
                Some(ClassA { order: one.order, found_a: one.rms_a() * ratio, limit_a })
            })
            .collect();
        list.sort_by(|a, b| {
            let used = |one: &ClassA| coarse(one.found_a / one.limit_a);
            used(b).total_cmp(&used(a)).then(a.order.cmp(&b.order))
        });
        GridLimits::Compared(list)
    }
}

/// Peak of the primary current: of one pulse where pulses never meet in the primary, else sought in the waveform.
fn peak(spec: &Spec, solution: &Solution, figures: &Figures) -> f64 {
    if solution.is_closed_form() {
        let (peak, mean) = (figures.output.diode_peak_a, figures.winding_mean_a);
        return match spec.topology {
            Topology::HalfWave => (peak - mean).max(mean),
            _ => peak,
        };
    }
    let mean = match spec.topology {
        Topology::HalfWave => figures.winding_mean_a,
        _ => 0.0,
    };
    peak_of(&solution.waveform(POINTS), mean)
}

/// Greatest magnitude of the primary current about its mean.
pub(super) fn peak_of(samples: &[Sample], mean: f64) -> f64 {
    samples.iter().map(|sample| (sample.primary_a - mean).abs()).fold(0.0, f64::max)
}
