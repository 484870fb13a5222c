//! Failure rates by MIL-HDBK-217F Notice 2, part stress beside parts count: a comparison between variants, never a promise.
//!
//! Stresses and temperatures are those of each part's hottest vertex, so every rate is an upper one of its model. Parts of
//! which the handbook has no model here are named, not guessed.

mod pass;

use serde::Serialize;

use super::{
    figure::{Figure, Unit},
    parts::designators,
    recompute::{Inputs, RailReview, recompute},
};
use crate::{
    catalog::{SmallCapacitor, family::capacitor::Dielectric},
    physics::{
        parts_count as count,
        reliability::{
            self as law, CapacitorStyle, DiodeKind, Environment, POWER_TRANSFORMER_BASE, PerMillionHours,
            ResistorStyle,
        },
    },
    quantity::{Celsius, Ratio, Watts},
    stress::{
        assembly::{Line, RectifierPart, ResistorChoice, Section},
        position::Position,
        verdict::{Unit as StressUnit, Verdict},
    },
};

/// Quality factors of commercial parts. Source: MIL-HDBK-217F Notice 2 (from memory).
mod quality {
    /// Plastic diodes and transistors.
    pub(super) const DISCRETE: f64 = 8.0;
    /// Commercial diodes and transistors in metal cans.
    pub(super) const CAN: f64 = 5.5;
    /// Commercial microcircuits.
    pub(super) const CIRCUIT: f64 = 10.0;
    /// Commercial capacitors.
    pub(super) const CAPACITOR: f64 = 10.0;
    /// Commercial resistors.
    pub(super) const RESISTOR: f64 = 10.0;
    /// Transformers of lower quality.
    pub(super) const MAGNETIC: f64 = 3.0;
}

/// Pins of a power package.
const REGULATOR_PINS: u32 = 3;

/// One position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RateRow {
    /// Rail.
    pub rail: String,
    /// Designators.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Elements counted: pieces, of a bridge four diodes each.
    pub elements: u32,
    /// What the model was given.
    pub given: String,
    /// Failures per million hours of all elements by part stress, ground benign.
    pub benign: Option<Figure>,
    /// The same, ground fixed.
    pub fixed: Option<Figure>,
    /// Failures per million hours of all elements by parts count, ground benign.
    pub counted_benign: Option<Figure>,
    /// The same, ground fixed.
    pub counted_fixed: Option<Figure>,
}

/// Failure rates of a record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reliability {
    /// What these figures are worth.
    pub label: String,
    /// Positions with a model.
    pub rows: Vec<RateRow>,
    /// Sum by part stress, ground benign, per million hours.
    pub benign: Option<Figure>,
    /// Sum by part stress, ground fixed.
    pub fixed: Option<Figure>,
    /// Sum by parts count, ground benign, per million hours.
    pub counted_benign: Option<Figure>,
    /// Sum by parts count, ground fixed.
    pub counted_fixed: Option<Figure>,
    /// Positions that are not counted, each with the reason.
    pub without: Vec<String>,
}

/// Failure rates of all rails.
pub fn reliability(inputs: Inputs<'_>) -> Reliability {
    let mut rows = Vec::new();
    let mut without = Vec::new();
    let recomputed = recompute(inputs);
    for rail in &recomputed.rails {
        let mut leads = 0;
        for line in rail.bench.assembly.lines() {
            leads += line.count * leads_of(rail, line.position);
            let name = designators(rail, line.position).join(" ");
            if let Some(model) = of_line(rail, &line) {
                rows.push(row(rail, &line, model));
            } else {
                let why = why_none(line.position);
                without.push(format!("{name} ({}): {why}", line.position.words()));
            }
        }
        let joints = Model {
            elements: leads,
            given: String::from("soldered by hand"),
            rate: Box::new(law::solder_joint),
            count: Box::new(law::solder_joint),
        };
        rows.push(RateRow {
            position: String::from("connections"),
            designators: Vec::new(),
            ..bare(rail, joints)
        });
    }
    without.extend(recomputed.findings.iter().map(|one| format!("{}: {}", one.rail, one.text)));
    let sum = |of: fn(&RateRow) -> Option<Figure>| {
        Figure::new(rows.iter().filter_map(of).map(Figure::value).sum(), Unit::Ratio)
    };
    Reliability {
        label: String::from(
            "By MIL-HDBK-217F Notice 2 (1995), constants recalled, commercial quality. Part stress: each part at its own hottest \
             vertex. Parts count (appendix A): the same parts at the handbook's usual conditions, half stress and air of 30 °C \
             (benign) or 40 °C (fixed); where part stress stands above it, heat and stress of this circuit cost that much. The \
             handbook is superseded as a prediction: these figures compare variants with each other and promise nothing.",
        ),
        benign: sum(|row| row.benign),
        fixed: sum(|row| row.fixed),
        counted_benign: sum(|row| row.counted_benign),
        counted_fixed: sum(|row| row.counted_fixed),
        rows,
        without,
    }
}

/// A model with everything but the environment filled in.
struct Model<'m> {
    elements: u32,
    given: String,
    rate: Box<dyn Fn(Environment) -> PerMillionHours + 'm>,
    count: Box<dyn Fn(Environment) -> PerMillionHours + 'm>,
}

#[expect(clippy::needless_pass_by_value, reason = "callers build the model in place")]
fn bare(rail: &RailReview<'_>, model: Model<'_>) -> RateRow {
    let times = |one: PerMillionHours| Figure::new(one.0 * f64::from(model.elements), Unit::Ratio);
    RateRow {
        rail: rail.record.rail.clone(),
        designators: Vec::new(),
        position: String::new(),
        elements: model.elements,
        given: model.given.clone(),
        benign: times((model.rate)(Environment::GroundBenign)),
        fixed: times((model.rate)(Environment::GroundFixed)),
        counted_benign: times((model.count)(Environment::GroundBenign)),
        counted_fixed: times((model.count)(Environment::GroundFixed)),
    }
}

fn row(rail: &RailReview<'_>, line: &Line<'_>, model: Model<'_>) -> RateRow {
    RateRow {
        designators: designators(rail, line.position),
        position: line.position.words().to_owned(),
        ..bare(rail, model)
    }
}

/// A generic rate at a quality.
fn of_quality(generic: PerMillionHours, quality: f64) -> PerMillionHours {
    PerMillionHours(generic.0 * quality)
}

/// Soldered leads of one piece.
fn leads_of(rail: &RailReview<'_>, position: Position) -> u32 {
    match position {
        Position::RectifierSink
        | Position::RectifierPad
        | Position::RegulatorSink
        | Position::RegulatorPad => 0,
        Position::Rectifier => match rail.bench.assembly.rectifier {
            RectifierPart::Bridge(_) => 4,
            RectifierPart::Diodes(_) => 2,
        },
        Position::Regulator => REGULATOR_PINS,
        Position::PassTransistor | Position::LimitTransistor => 3,
        Position::Transformer => {
            let windings = 1 + rail.bench.assembly.transformer.secondaries.len();
            2 * u32::try_from(windings).unwrap_or(1)
        }
        _ => 2,
    }
}

/// Applied and rating of a rule at a position, in a unit.
fn found(
    rail: &RailReview<'_>,
    code: &str,
    position: Position,
    unit: StressUnit,
) -> Option<(f64, Option<f64>)> {
    rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(one) if one.code == code && one.position == position && one.unit == unit => {
            Some((one.applied, one.rating))
        }
        _ => None,
    })
}

/// Applied over rating.
fn share(rail: &RailReview<'_>, code: &str, position: Position, unit: StressUnit) -> Option<f64> {
    let (applied, rating) = found(rail, code, position, unit)?;
    Some(applied / rating?)
}

fn text(value: f64, unit: Unit) -> String {
    Figure::new(value, unit).map_or_else(String::new, Figure::text)
}

/// The model of a line; `None` where there is none or a figure is missing.
fn of_line<'m>(rail: &'m RailReview<'_>, line: &Line<'_>) -> Option<Model<'m>> {
    let assembly = &rail.bench.assembly;
    let air = Celsius(rail.bench.supply.air.hot_c);
    let position = line.position;
    let volts = StressUnit::Volts;
    match position {
        Position::Rectifier => {
            let junction = found(rail, "rectifier-junction-temperature", position, StressUnit::Celsius)?.0;
            let reverse = share(rail, "rectifier-reverse-voltage", position, volts)?;
            let each = match assembly.rectifier {
                RectifierPart::Bridge(_) => 4,
                RectifierPart::Diodes(_) => 1,
            };
            Some(diode(line.count * each, Celsius(junction), reverse))
        }
        Position::ReverseDiode => {
            Some(diode(line.count, air, share(rail, "regulator-reverse-diode", position, volts)?))
        }
        Position::ClampDiode => Some(diode(line.count, air, share(rail, "output-clamp", position, volts)?)),
        Position::Reservoir | Position::SectionCapacitor => {
            let part = assembly.banks().find(|(at, _)| *at == position)?.1.part;
            let used = share(rail, "reservoir-voltage", position, volts)?;
            Some(capacitor(line.count, CapacitorStyle::Electrolytic, air, part.capacitance.0, used))
        }
        Position::InputCapacitor => {
            small(rail, line, assembly.regulation?.input?, air, "regulator-input-capacitor")
        }
        Position::OutputCapacitor => {
            small(rail, line, assembly.regulation?.output?, air, "regulator-output-capacitor")
        }
        Position::Regulator => {
            let junction = found(rail, "regulator-junction-temperature", position, StressUnit::Celsius)?.0;
            Some(Model {
                elements: line.count,
                given: format!("junction {}, {REGULATOR_PINS} pins", text(junction, Unit::Celsius)),
                rate: Box::new(move |environment| {
                    law::linear_circuit(Celsius(junction), REGULATOR_PINS, quality::CIRCUIT, environment)
                }),
                count: Box::new(|environment| {
                    of_quality(count::linear_circuit(environment), quality::CIRCUIT)
                }),
            })
        }
        Position::Bleeder => resistor(rail, line, assembly.bleeder?, air, "bleeder-power"),
        Position::SectionResistor => {
            resistor(rail, line, assembly.section.and_then(Section::resistor)?, air, "resistor-power")
        }
        Position::Ballast => resistor(rail, line, assembly.regulation?.pass?.ballast, air, "resistor-power"),
        Position::Drive => resistor(rail, line, assembly.regulation?.pass?.drive, air, "resistor-power"),
        Position::SetUpper => resistor(rail, line, assembly.regulation?.set?.0, air, "resistor-power"),
        Position::SetLower => resistor(rail, line, assembly.regulation?.set?.1, air, "resistor-power"),
        Position::MinimumLoad => {
            resistor(rail, line, assembly.regulation?.minimum_load?, air, "resistor-power")
        }
        Position::Transformer => {
            let winding = found(rail, "transformer-winding-temperature", position, StressUnit::Celsius)?.0;
            let spot = law::hot_spot(air, winding - air.0);
            let rated_k = assembly.transformer.rated_rise.0;
            Some(Model {
                elements: line.count,
                given: format!("hot spot {}", text(spot.0, Unit::Celsius)),
                rate: Box::new(move |environment| {
                    law::magnetic(POWER_TRANSFORMER_BASE, spot, quality::MAGNETIC, environment)
                }),
                count: Box::new(move |environment| {
                    of_quality(count::power_transformer(rated_k, environment), quality::MAGNETIC)
                }),
            })
        }
        Position::PrimaryFuse | Position::SecondaryFuse => {
            let given = String::from("none");
            Some(Model { elements: line.count, given, rate: Box::new(law::fuse), count: Box::new(law::fuse) })
        }
        Position::PassTransistor => pass::transistor(rail, line),
        Position::LimitTransistor => pass::limiter(rail, line, air),
        Position::SectionChoke
        | Position::InrushLimiter
        | Position::CutOut
        | Position::RectifierSink
        | Position::RectifierPad
        | Position::RegulatorSink
        | Position::RegulatorPad => None,
    }
}

/// Why a position is not counted.
fn why_none(position: Position) -> &'static str {
    match position {
        Position::RectifierSink
        | Position::RectifierPad
        | Position::RegulatorSink
        | Position::RegulatorPad => "the handbook has no model of sinks and pads",
        Position::InrushLimiter => {
            "no model here: of thermistors the handbook's factors for heat and load are not known"
        }
        Position::CutOut => "no model here: of thermal switches the handbook's figures are not known",
        Position::SectionChoke => "no model here: of chokes the handbook's figures are not known",
        _ => "no model here, or the review has no figure that its model needs",
    }
}

fn diode<'m>(elements: u32, junction: Celsius, reverse: f64) -> Model<'m> {
    Model {
        elements,
        given: format!(
            "junction {}, {} of reverse voltage",
            text(junction.0, Unit::Celsius),
            text(reverse, Unit::Percent)
        ),
        rate: Box::new(move |environment| {
            law::diode(DiodeKind::PowerRectifier, junction, Ratio(reverse), quality::DISCRETE, environment)
        }),
        count: Box::new(|environment| of_quality(count::power_rectifier(environment), quality::DISCRETE)),
    }
}

fn capacitor<'m>(elements: u32, style: CapacitorStyle, air: Celsius, farad: f64, used: f64) -> Model<'m> {
    Model {
        elements,
        given: format!("air {}, {} of rated voltage", text(air.0, Unit::Celsius), text(used, Unit::Percent)),
        rate: Box::new(move |environment| {
            law::capacitor(style, air, farad * 1e6, Ratio(used), quality::CAPACITOR, environment)
        }),
        count: Box::new(move |environment| {
            of_quality(count::generic_capacitor(style, farad * 1e6, environment), quality::CAPACITOR)
        }),
    }
}

fn small<'m>(
    rail: &RailReview<'_>,
    line: &Line<'_>,
    part: &SmallCapacitor,
    air: Celsius,
    code: &str,
) -> Option<Model<'m>> {
    let style = match part.dielectric {
        Dielectric::Film => CapacitorStyle::Film,
        Dielectric::Ceramic => CapacitorStyle::Ceramic,
        Dielectric::Aluminium => CapacitorStyle::Electrolytic,
        Dielectric::Tantalum => return None,
    };
    let used = share(rail, code, line.position, StressUnit::Volts)?;
    Some(capacitor(line.count, style, air, part.capacitance.0, used))
}

fn resistor<'m>(
    rail: &RailReview<'_>,
    line: &Line<'_>,
    choice: ResistorChoice<'_>,
    air: Celsius,
    code: &str,
) -> Option<Model<'m>> {
    let power = Watts(found(rail, code, line.position, StressUnit::Watts)?.0);
    let rated = choice.series.power;
    Some(Model {
        elements: line.count,
        given: format!(
            "air {}, {} of {}, film",
            text(air.0, Unit::Celsius),
            text(power.0, Unit::Watts),
            text(rated.0, Unit::Watts)
        ),
        rate: Box::new(move |environment| {
            law::resistor(ResistorStyle::Film, air, power, rated, quality::RESISTOR, environment)
        }),
        count: Box::new(move |environment| {
            of_quality(count::film_resistor(rated, environment), quality::RESISTOR)
        }),
    })
}
