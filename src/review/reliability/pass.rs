//! Pass transistors and the limit transistor beside them: what the model of bipolar transistors is given.
//!
//! The rated power is that of a case at 25 °C, from the greatest junction temperature and the resistance to the case.

use super::{Model, StressUnit, count, found, law, of_quality, quality, text};
use crate::{
    catalog::Transistor,
    quantity::{Celsius, Ratio, Watts},
    review::{figure::Unit, recompute::RailReview},
    stress::{assembly::Line, pass_point::PassNumbers, position::Position, stage},
};

/// Case temperature at which a rated power is meant, °C. Common practice, no source.
const CASE_C: f64 = 25.0;

/// Packages that are metal cans: their parts are of another quality than plastic ones.
const CANS: [&str; 6] = ["TO-3", "TO-5", "TO-18", "TO-39", "TO-46", "TO-66"];

/// Power that warms the junction to its greatest temperature with the case at [`CASE_C`].
fn rated(part: &Transistor) -> Watts {
    Watts((part.junction_max.0 - CASE_C) / part.junction_case.0)
}

fn model<'m>(elements: u32, part: &Transistor, junction_c: f64, volts: f64) -> Model<'m> {
    let (rated, used) = (rated(part), volts / part.collector_emitter_max.0);
    let can = CANS.contains(&part.common.package.as_str());
    let quality = if can { quality::CAN } else { quality::DISCRETE };
    Model {
        elements,
        given: format!(
            "junction {}, {} of collector voltage, {} rated, {}",
            text(junction_c, Unit::Celsius),
            text(used, Unit::Percent),
            text(rated.0, Unit::Watts),
            if can { "metal can" } else { "plastic" }
        ),
        rate: Box::new(move |environment| {
            law::transistor(Celsius(junction_c), rated, Ratio(used), quality, environment)
        }),
        count: Box::new(move |environment| of_quality(count::power_transistor(environment), quality)),
    }
}

/// Transistors that share the load: the junction of the one that carries most, the reservoir's peak without load less the output.
pub(super) fn transistor<'m>(rail: &RailReview<'_>, line: &Line<'_>) -> Option<Model<'m>> {
    let pass = rail.bench.assembly.regulation?.pass?;
    let junction_c =
        found(rail, "pass-junction-temperature", Position::PassTransistor, StressUnit::Celsius)?.0;
    let volts = rail.bench.no_load_peak_v() - rail.bench.output?.low_v;
    Some(model(line.count, pass.part, junction_c, volts.max(0.0)))
}

/// The transistor that takes the drive away in an overload: else it rests, in the air inside, across the drive resistor.
pub(super) fn limiter<'m>(rail: &RailReview<'_>, line: &Line<'_>, air: Celsius) -> Option<Model<'m>> {
    let bench = &rail.bench;
    let pass = bench.assembly.regulation?.pass?;
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    let volts = PassNumbers::of(bench.asked, &pass).drop_v(through_a);
    Some(model(line.count, pass.limiter, air.0, volts))
}
