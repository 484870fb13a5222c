//! The warnings that fit this design, gravest first; their texts are data in `cautions.yaml`.
//!
//! The texts are built into the program and not read with a catalog: a catalog folder can neither lose nor soften a
//! caution. Judges nothing.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::{
    dossier::Caution,
    figure::{Figure, Unit},
    parts::designators,
    points,
    recompute::{Inputs, RailReview},
};
use crate::{
    catalog::family::{protection::FuseSystem, regulator::Tab},
    circuit::spec::Topology,
    document::{self, Source},
    physics::bleeder,
    quantity::{Farads, Ohms, Quantity, Volts},
    record::Record,
    requirement::ProtectionClass,
    stress::{
        assembly::Section,
        overload::{shorted_second_w, shorted_section_w},
        position::Position,
        resistor,
        surge::overshoot_v,
    },
};

/// Greatest direct voltage of energy source class 1, V. Source: IEC 62368-1 (from memory).
const EXTRA_LOW_V: f64 = 60.0;

/// One text.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wording {
    title: String,
    text: String,
    standards: Vec<String>,
}

/// All texts by id.
struct Texts(BTreeMap<String, Wording>);

impl Texts {
    fn load() -> Self {
        let source = Source::new("cautions.yaml", include_str!("cautions.yaml"));
        // A test reads the file; should it ever not parse, each caution still prints its id and its figures.
        Self(document::from_yaml(&source).unwrap_or_default())
    }

    fn caution(&self, id: &str, values: &[(&str, String)]) -> Caution {
        let bare = || Wording {
            title: id.to_owned(),
            text: values
                .iter()
                .map(|(name, value)| format!("{name}: {value}"))
                .collect::<Vec<_>>()
                .join("; "),
            standards: Vec::new(),
        };
        let text = self.0.get(id).cloned().unwrap_or_else(bare);
        Caution {
            id: id.to_owned(),
            title: text.title,
            text: filled(&text.text, values),
            standards: text.standards,
        }
    }
}

/// A text with its places filled, each in one pass: a value is never searched for places.
fn filled(text: &str, values: &[(&str, String)]) -> String {
    let mut out = String::with_capacity(text.len() + 32);
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let (name, tail) = after.split_once('}').unwrap_or((after, ""));
        match values.iter().find(|(known, _)| *known == name) {
            Some((_, value)) => out.push_str(value),
            None => out.push_str(name),
        }
        rest = tail;
    }
    out.push_str(rest);
    out
}

/// To whom a report defers.
pub fn deferral() -> String {
    Texts::load().caution("deferral", &[]).text
}

fn text(value: f64, unit: Unit) -> String {
    Figure::new(value, unit).map_or_else(|| String::from("no finite value"), Figure::text)
}

/// `T1`, `C1 to C3`, `R2, R7`: designators in words; the position where the record names none.
fn named(rail: &RailReview<'_>, position: Position) -> String {
    let names = designators(rail, position);
    match names.as_slice() {
        [] => format!("the {}", position.words()),
        [one] => one.clone(),
        [first, .., last] => format!("{first} to {last}"),
    }
}

/// Transformers as the record names them, also those of rails that could not be solved: what was not judged carries mains too.
fn transformers(record: &Record) -> String {
    let key = Position::Transformer.key();
    let own = record.rails.iter().flat_map(|rail| &rail.parts).filter(|part| part.position == key);
    let mut names: Vec<&str> = Vec::new();
    for name in own.flat_map(|part| &part.designators).map(|name| name.trim()).filter(|name| !name.is_empty())
    {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() { format!("the {}", Position::Transformer.words()) } else { names.join(", ") }
}

/// Cautions of a design.
pub(super) fn cautions(inputs: Inputs<'_>, rails: &[RailReview<'_>]) -> Vec<Caution> {
    let texts = Texts::load();
    let mains = &inputs.requirement.mains;
    // What two rails share is cautioned of once.
    let first = |rail: &&RailReview<'_>| !rail.bench.assembly.is_second();
    let names = transformers(inputs.record);
    let transformers = || ("transformers", names.clone());
    let mut all = vec![texts.caution(
        "mains",
        &[
            transformers(),
            ("mains", text(mains.voltage.0, Unit::Volts)),
            ("mains_high", text(mains.voltage.0 * (1.0 + mains.high.0), Unit::Volts)),
        ],
    )];
    let class = match inputs.requirement.protection {
        ProtectionClass::I => "earth",
        ProtectionClass::II => "double",
    };
    all.push(texts.caution(class, &[transformers()]));
    for rail in rails.iter().filter(first) {
        all.push(fuse(&texts, rail));
    }
    for rail in rails {
        all.push(stored(&texts, rail));
        all.extend(voltages(&texts, rail));
    }
    all.extend(hot(&texts, inputs, rails));
    for rail in rails {
        all.extend(live_sink(&texts, rail));
    }
    for rail in rails.iter().filter(first) {
        all.extend(restarts(&texts, rail));
        if rail.bench.assembly.limiter.is_some() {
            all.push(texts.caution("limiter", &[("limiter", named(rail, Position::InrushLimiter))]));
        }
    }
    if !rails.is_empty() {
        let banks = rails.iter().flat_map(|rail| rail.bench.assembly.banks().map(|(at, _)| named(rail, at)));
        let names = banks.collect::<Vec<_>>().join(", ");
        all.push(texts.caution("polarity", &[("reservoirs", names)]));
    }
    all
}

fn fuse(texts: &Texts, rail: &RailReview<'_>) -> Caution {
    let Some(fuse) = rail.bench.assembly.primary_fuse else {
        return texts.caution("no-fuse", &[("transformers", named(rail, Position::Transformer))]);
    };
    let system = match fuse.system {
        FuseSystem::Iec60127Sheet3 => "IEC 60127-2 sheet 3, time-lag, low breaking capacity",
        FuseSystem::Iec60127Sheet5 => "IEC 60127-2 sheet 5, time-lag, high breaking capacity",
        FuseSystem::Ul248 => "UL 248-14, time-delay",
    };
    let rating = format!("{}, {}, {system}", fuse.rated.to_exact_text(), fuse.voltage.to_exact_text());
    texts.caution("fuse", &[("fuse", named(rail, Position::PrimaryFuse)), ("fuse_rating", rating)])
}

fn stored(texts: &Texts, rail: &RailReview<'_>) -> Caution {
    let bench = &rail.bench;
    let peak = Volts(bench.no_load_peak_v());
    let farads = Farads(bench.stored_farad());
    let banks: Vec<String> = bench.assembly.banks().map(|(at, _)| named(rail, at)).collect();
    let mut values = vec![
        ("rail", rail.record.rail.clone()),
        ("reservoir", banks.join(", ")),
        ("energy", text(bleeder::stored_energy(farads, peak).0, Unit::Joules)),
        ("peak", text(peak.0, Unit::Volts)),
    ];
    let Some(choice) = bench.assembly.bleeder else {
        return texts.caution("stored-no-bleeder", &values);
    };
    let ohms = Ohms(resistor::greatest_ohm(bench.asked, choice));
    let target = bench.asked.policy.parameters.discharge_voltage;
    let time = resistor::discharge_time(bench, ohms, peak, target);
    values.push(("time", text(time.0.max(0.0), Unit::Seconds)));
    values.push(("voltage", text(target.0, Unit::Volts)));
    texts.caution("stored", &values)
}

fn voltages(texts: &Texts, rail: &RailReview<'_>) -> Vec<Caution> {
    let bench = &rail.bench;
    let peak_v = bench.no_load_peak_v();
    let output = bench.supply.second_bank().map_or(Position::Reservoir, |_| Position::SectionCapacitor);
    let crest_v = overshoot_v(bench, output);
    let output_v = bench.output.map_or(peak_v, |output| output.high_v);
    let values = [
        ("rail", rail.record.rail.clone()),
        ("output", text(output_v, Unit::Volts)),
        ("peak", text(peak_v, Unit::Volts)),
        ("limit", text(EXTRA_LOW_V, Unit::Volts)),
        ("crest", text(crest_v, Unit::Volts)),
    ];
    let mut ids = Vec::new();
    if output_v > EXTRA_LOW_V {
        ids.push("output-high");
    } else if peak_v > EXTRA_LOW_V {
        ids.push("raw-high");
    }
    ids.push(if bench.output.is_some() { "fails-high" } else { "rises" });
    if crest_v > peak_v && bench.output.is_none() {
        ids.push("overshoots");
    }
    let mut all: Vec<Caution> = ids.into_iter().map(|id| texts.caution(id, &values)).collect();
    if let Some(watts) = shorted_section_w(bench) {
        let at = bench.assembly.choke().map_or(Position::SectionResistor, |_| Position::SectionChoke);
        let values = [
            ("rail", rail.record.rail.clone()),
            ("part", named(rail, at)),
            ("power", text(watts, Unit::Watts)),
            ("capacitors", named(rail, Position::SectionCapacitor)),
            ("shorted", text(shorted_second_w(bench).unwrap_or(watts), Unit::Watts)),
        ];
        let opens =
            bench.assembly.section.and_then(Section::resistor).is_some_and(|one| one.series.flameproof);
        all.push(texts.caution(if opens { "section-opens" } else { "section-heats" }, &values));
        if bench.output.is_some() {
            all.push(texts.caution("section-capacitor", &values));
        }
    }
    if bench.supply.topology == Topology::HalfWaveDoubler {
        let values = [
            ("rail", rail.record.rail.clone()),
            ("capacitors", named(rail, Position::Reservoir)),
            ("diodes", named(rail, Position::Rectifier)),
            ("voltage", text(0.5 * bench.emf_peak_v(), Unit::Volts)),
        ];
        all.push(texts.caution("coupling", &values));
    }
    all
}

/// Surfaces above the policy's touch temperature, with their temperatures.
fn hot(texts: &Texts, inputs: Inputs<'_>, rails: &[RailReview<'_>]) -> Option<Caution> {
    let touch = inputs.policy.parameters.touch_temperature;
    let mut places = Vec::new();
    for rail in rails {
        for place in points::hot_places(rail).iter().filter(|place| place.surface) {
            if place.worst.value > touch.0 {
                let celsius = text(place.worst.value, Unit::Celsius);
                places.push(format!("{} (rail {}) {celsius}", place.place, rail.record.rail));
            }
        }
    }
    if places.is_empty() {
        return None;
    }
    Some(texts.caution("hot", &[("touch", text(touch.0, Unit::Celsius)), ("places", places.join(", "))]))
}

fn live_sink(texts: &Texts, rail: &RailReview<'_>) -> Option<Caution> {
    let stage = rail.bench.assembly.regulation.as_ref()?;
    let potential = match stage.part.tab {
        Tab::Input => "input",
        Tab::Output => "output",
        Tab::Ground | Tab::Insulated => return None,
    };
    if stage.cooling?.pad.isolation.is_some() {
        return None;
    }
    Some(texts.caution(
        "live-sink",
        &[
            ("rail", rail.record.rail.clone()),
            ("part", named(rail, Position::Regulator)),
            ("potential", potential.to_owned()),
        ],
    ))
}

fn restarts(texts: &Texts, rail: &RailReview<'_>) -> Option<Caution> {
    let assembly = &rail.bench.assembly;
    let name = match assembly.cut_out {
        Some(part) if part.resets => named(rail, Position::CutOut),
        Some(_) => return None,
        None => {
            assembly.transformer.cut_out?;
            format!("The cut-out inside {}", named(rail, Position::Transformer))
        }
    };
    Some(texts.caution("restart", &[("cut_out", name)]))
}

#[cfg(test)]
mod tests {
    use super::*;

    const IDS: [&str; 22] = [
        "mains",
        "earth",
        "double",
        "fuse",
        "no-fuse",
        "restart",
        "stored",
        "stored-no-bleeder",
        "hot",
        "output-high",
        "raw-high",
        "rises",
        "fails-high",
        "overshoots",
        "section-heats",
        "section-opens",
        "section-capacitor",
        "coupling",
        "live-sink",
        "polarity",
        "limiter",
        "deferral",
    ];

    #[test]
    fn every_caution_has_its_text_and_no_text_is_left_over() {
        let texts = Texts::load();
        let mut ids: Vec<&str> = IDS.to_vec();
        ids.sort_unstable();
        assert_eq!(texts.0.keys().map(String::as_str).collect::<Vec<_>>(), ids);
    }

    #[test]
    fn no_text_promises_what_nobody_can() {
        for (id, text) in &Texts::load().0 {
            let all = format!("{} {}", text.title, text.text).to_lowercase();
            for word in ["safe", "compliant", "compliance", "guarantee"] {
                assert!(!all.contains(word), "{id}: {word}");
            }
        }
    }

    #[test]
    fn a_value_that_looks_like_a_place_is_left_as_it_is() {
        let values = [("a", String::from("{b}")), ("b", String::from("x"))];
        assert_eq!(filled("1 {a} 2 {b} 3 {c", &values), "1 {b} 2 x 3 c");
    }
}
