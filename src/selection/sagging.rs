//! Headroom and output ripple of a regulator at one valley of its reservoir, as the rules have them.
//!
//! Knows no other part of the train and remembers nothing.

use crate::{
    circuit::{operate::OperatingPoint, supply::HeatPath},
    stress::{regulator_point::RegulatorStage, verdict::Unit},
};

use super::search::Search;

impl Search<'_, '_> {
    /// Whether headroom and ripple hold at a valley with a drop-out.
    pub(super) fn holds_with(
        &self,
        seat: &RegulatorStage<'_>,
        point: &OperatingPoint,
        drop_out_v: f64,
    ) -> bool {
        seat.headroom_with(point, drop_out_v) >= self.headroom_v
            && seat.ripple_with(point, drop_out_v).is_some_and(|volts| volts <= self.asked.rail.ripple.0.0)
    }

    /// What a regulator with a way to cool it breaks at a valley.
    pub(super) fn sags(
        &self,
        seat: &RegulatorStage<'_>,
        path: &HeatPath,
        point: &OperatingPoint,
    ) -> Option<(&'static str, f64, f64, Unit, f64)> {
        let (least_v, most_v) = (self.headroom_v, self.asked.rail.ripple.0.0);
        if let Some(volts) = seat.headroom_v(Some(path), point)
            && volts < least_v * (1.0 - 1e-9)
        {
            let utilisation = 1.0 + (least_v - volts) / self.asked.rail.voltage.0;
            return Some(("regulator-headroom", volts, least_v, Unit::Volts, utilisation));
        }
        let volts = seat.output_ripple_v(Some(path), point)?;
        let code = "regulator-output-ripple";
        (volts > most_v * (1.0 + 1e-9)).then(|| (code, volts, most_v, Unit::Volts, volts / most_v))
    }
}
