//! Checks of regulators: drop-out, limits and input against the rated output.

use super::Judge;
use crate::catalog::{Catalog, Regulator, family::regulator::Setting};

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.regulators {
        drop_out(part, judge);
        currents(part, judge);
        voltages(part, judge);
        let path = part.junction_air.is_none_or(|air| part.junction_case < air);
        judge.holds(&part.common, "regulator-thermal", path, || {
            "junction to case is not below junction to air".to_owned()
        });
    }
}

/// Drop-out is never extrapolated: the curve reaches the guaranteed current at every temperature it is given for.
fn drop_out(part: &Regulator, judge: &mut Judge) {
    for point in &part.drop_out {
        let reach = part
            .drop_out
            .iter()
            .filter(|other| other.junction == point.junction)
            .fold(0.0, |most: f64, other| most.max(other.current.0));
        judge.holds(&part.common, "regulator-drop-out", reach >= part.output_current.0, || {
            format!("drop-out at {} °C is stated up to {reach} A only", point.junction.0)
        });
    }
}

fn currents(part: &Regulator, judge: &mut Judge) {
    let order = part.limit_min <= part.limit_typ && part.limit_typ <= part.limit_max;
    judge.holds(&part.common, "regulator-limit", order && part.limit_min >= part.output_current, || {
        format!("current limit from {} A does not pass {} A", part.limit_min.0, part.output_current.0)
    });
    let ground = part.ground_current_max.0 / part.output_current.0;
    let what = ("greatest ground current over output current", "");
    judge.within(&part.common, "regulator-ground", what, ground, 0.0..=0.15);
    if let (Some(typical), Some(greatest)) = (part.minimum_load_typ, part.minimum_load_max) {
        judge.holds(&part.common, "regulator-minimum-load", typical <= greatest, || {
            "typical minimum load is above the greatest".to_owned()
        });
    }
    let most = part.differential_max.or(part.input_max);
    if let (Some(last), Some(most)) = (part.foldback.last(), most) {
        judge.holds(&part.common, "regulator-foldback", last.differential <= most, || {
            format!("foldback is stated to {} V, beyond the greatest voltage", last.differential.0)
        });
    }
}

/// The greatest input leaves room for output and drop-out.
fn voltages(part: &Regulator, judge: &mut Judge) {
    let drop = part.drop_out.iter().fold(0.0, |most: f64, point| most.max(point.voltage.0));
    let (least, greatest) = match part.setting {
        Setting::Fixed { output } => (output.0, output.0),
        Setting::Adjustable { output_min, output_max, .. } => (output_min.0, output_max.0),
    };
    if let Some(input) = part.input_max {
        judge.holds(&part.common, "regulator-input", input.0 >= greatest + drop, || {
            format!("greatest input {} V does not reach output and drop-out", input.0)
        });
    }
    if let Some(differential) = part.differential_max {
        judge.holds(&part.common, "regulator-differential", differential.0 > drop, || {
            format!("greatest differential {} V is below the drop-out", differential.0)
        });
    }
    judge.within(&part.common, "regulator-output", ("output", "V"), least, 0.2..=greatest);
}
