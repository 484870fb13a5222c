//! What heats a rail in closed form: rms currents of its parts from those of one diode.
//!
//! Knows no temperature.

use super::{operate::Electrical, share::Share, spec::Topology, supply::Supply};

/// Currents that heat, and the losses they make.
pub(super) struct Losses {
    pub(super) path_rms_a: f64,
    pub(super) primary_path_rms_a: f64,
    pub(super) bank_rms_a: f64,
    pub(super) copper_w: f64,
    pub(super) diode_w: f64,
}

impl Losses {
    /// `beside`: loads of the alike rails on the same transformer over the rail's own; all their currents are so much greater.
    pub(super) fn of(
        supply: &Supply,
        electrical: &Electrical,
        avg_a: f64,
        rms_a: f64,
        beside: Share,
    ) -> Self {
        let half_wave = supply.topology == Topology::HalfWave;
        let bridge = supply.topology == Topology::Bridge;
        let both = bridge || supply.topology == Topology::FullWaveDoubler;
        let paired = supply.topology == Topology::DualComplementary;
        let pulses = if half_wave { 1.0 } else { 2.0 };
        let in_series = if bridge { 2.0 } else { 1.0 };
        let all_rms2 = pulses * rms_a * rms_a;
        let mean = if half_wave { avg_a } else { 0.0 };
        let primary_rms2 = (all_rms2 - mean * mean).max(0.0) * (1.0 + beside.sum).powi(2);
        // Each bank of a doubler has a diode of its own.
        let of_bank = if supply.topology == Topology::FullWaveDoubler { 1.0 } else { pulses };
        let bank_rms2 = (of_bank * rms_a * rms_a - (of_bank * avg_a).powi(2)).max(0.0);
        let squares = 1.0 + beside.squares;
        // The four diodes of a ± pair are one rectifier; of two bridges each rail has its own.
        let of_tap = if paired { beside.of_tap } else { 0.0 };
        let (with_avg, with_squares) = (1.0 + of_tap, 1.0 + of_tap * of_tap);
        Self {
            // Both polarities of a bridge or a doubler flow through its one winding; each half of a tapped one carries one polarity, and
            // where the other rail hangs on the same tap its current in the other.
            path_rms_a: if both { all_rms2.sqrt() } else { rms_a * with_squares.sqrt() },
            primary_path_rms_a: primary_rms2.sqrt(),
            bank_rms_a: bank_rms2.sqrt(),
            // The mean of a half-wave current heats the secondary only.
            copper_w: electrical.secondary_ohm * all_rms2 * squares + electrical.primary_ohm * primary_rms2,
            diode_w: pulses
                * in_series
                * (electrical.threshold_v * avg_a * with_avg
                    + electrical.slope_ohm * rms_a * rms_a * with_squares),
        }
    }
}
