//! Workings of the pass transistors: drive voltage, what the regulator keeps, the limit of an overload.
//!
//! Computes with the laws beside the formulas; judges nothing.

use super::Sheet;
use crate::{
    circuit::operate::OperatingPoint,
    physics::pass::{DRIVE_VOLTAGE, REGULATOR_SHARE, SENSED_LIMIT},
    review::figure::Unit,
    stress::{pass_point::PassNumbers, regulator_point::RegulatorStage, resistor},
};

/// The stage at the load of its hottest point.
pub(super) fn pass(sheet: &mut Sheet<'_, '_>, stage: &RegulatorStage<'_>, point: &OperatingPoint) {
    let Some(pass) = &stage.regulation.pass else { return };
    let asked = sheet.rail.bench.asked;
    let numbers = PassNumbers::of(asked, pass);
    let through_a = stage.through_a(point.vertex.load);
    let ((high_v, sense_v), spread_v) = (numbers.greatest_base_emitter_v(), pass.part.base_emitter_spread.0);
    let greatest = |choice| resistor::greatest_ohm(asked, choice);
    sheet.put(
        "Greatest voltage over drive resistor and ballast with base-emitter junction",
        &DRIVE_VOLTAGE,
        &[
            ("I", through_a, Unit::Amps),
            ("V_BE_k", high_v, Unit::Volts),
            ("R_E_k", greatest(pass.ballast), Unit::Ohms),
            ("R_B", greatest(pass.drive), Unit::Ohms),
        ],
        (numbers.drop_v(through_a), Unit::Volts),
    );
    let (own_a, drive_v) = numbers.regulator(through_a);
    sheet.put(
        "Greatest current that is left to the regulator",
        &REGULATOR_SHARE,
        &[
            ("V_B", drive_v, Unit::Volts),
            ("R_B", resistor::least_ohm(asked, pass.drive), Unit::Ohms),
            ("I", through_a, Unit::Amps),
            ("h", pass.part.gain_min.0, Unit::Ratio),
        ],
        (own_a, Unit::Amps),
    );
    sheet.put(
        "Greatest current of any pass transistor with the output shorted",
        &SENSED_LIMIT,
        &[
            ("V_BE_s", sense_v, Unit::Volts),
            ("ΔV_BE", spread_v, Unit::Volts),
            ("R_E", resistor::least_ohm(asked, pass.ballast), Unit::Ohms),
        ],
        (numbers.limit_each_a(), Unit::Amps),
    );
}
