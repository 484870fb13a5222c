//! Rows of transformers.
//!
//! A row states one secondary and how many there are; two are equal unless it states the second. It states the resistance of
//! the primary in the first connection listed; that of the other connection of two equal windings follows exactly.

use super::{row::Row, text};
use crate::{
    catalog::{
        Common, Transformer,
        family::transformer::{
            Construction, CoreInrush, Insulation, Joining, Primary, Secondary, ShortCircuitClass,
            ThermalClass,
        },
    },
    document::Value,
    quantity::{Amps, Celsius, Henries, Hertz, Kelvins, Ohms, Ratio, VoltAmps, Volts, Watts},
};

const CONSTRUCTIONS: [(&str, Construction); 4] = [
    ("laminated", Construction::Laminated),
    ("toroid", Construction::Toroid),
    ("r-core", Construction::RCore),
    ("potted", Construction::Potted),
];
const JOININGS: [(&str, Joining); 3] =
    [("single", Joining::Single), ("series", Joining::Series), ("parallel", Joining::Parallel)];
const CLASSES: [(&str, ThermalClass); 5] = [
    ("A", ThermalClass::A),
    ("E", ThermalClass::E),
    ("B", ThermalClass::B),
    ("F", ThermalClass::F),
    ("H", ThermalClass::H),
];
const SHORTS: [(&str, ShortCircuitClass); 4] = [
    ("not proof", ShortCircuitClass::NotProof),
    ("non-inherently proof", ShortCircuitClass::NonInherentlyProof),
    ("inherently proof", ShortCircuitClass::InherentlyProof),
    ("fail-safe", ShortCircuitClass::FailSafe),
];
const INSULATIONS: [(&str, Insulation); 2] =
    [("basic", Insulation::Basic), ("reinforced", Insulation::Reinforced)];

const MAINS: std::ops::RangeInclusive<Volts> = Volts(10.0)..=Volts(1000.0);
const RATED: std::ops::RangeInclusive<Volts> = Volts(0.5)..=Volts(1000.0);
const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(1e3);
const REGULATION: std::ops::RangeInclusive<Ratio> = Ratio(1e-3)..=Ratio(2.0);
const LEAKAGE: std::ops::RangeInclusive<Henries> = Henries(1e-9)..=Henries(1.0);
const RESISTANCE: std::ops::RangeInclusive<Ohms> = Ohms(1e-5)..=Ohms(1e6);
const NO_LOAD: std::ops::RangeInclusive<Amps> = Amps(1e-5)..=Amps(100.0);
const TEMPERATURE: std::ops::RangeInclusive<Celsius> = Celsius(0.0)..=Celsius(300.0);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Transformer> {
    let rating = row.required("rating", |v| v.quantity(VoltAmps(0.1)..=VoltAmps(20e3)));
    let construction = row.required("construction", |v| v.word(&CONSTRUCTIONS));
    let primaries = row.required("primaries", |v| v.list_of_some(primary));
    let primary_resistance = row.optional("primary_resistance", |v| v.quantity(RESISTANCE));
    let secondaries = secondaries(row);
    let iron_loss = row.required("iron_loss", |v| v.quantity(Watts(1e-3)..=Watts(1e3)));
    let no_load_current = row.required("no_load_current", |v| v.quantity(NO_LOAD));
    let no_load_current_high = row.required("no_load_current_high", |v| v.quantity(NO_LOAD));
    let rated_rise = row.required("rise", |v| v.quantity(Kelvins(1.0)..=Kelvins(200.0)));
    let rise_ambient = row.required("rise_ambient", |v| v.quantity(TEMPERATURE));
    let max_ambient = row.required("max_ambient", |v| v.quantity(TEMPERATURE));
    let thermal_class = row.required("thermal_class", |v| v.word(&CLASSES));
    let overload_limit = row.required("overload_limit", |v| v.quantity(TEMPERATURE));
    let short_circuit = row.required("short_circuit", |v| v.word(&SHORTS));
    let cut_out = row.optional("cut_out", |v| v.quantity(TEMPERATURE));
    let inrush = row.optional("inrush", inrush);
    let insulation = row.required("insulation", |v| v.word(&INSULATIONS));
    let test_voltage = row.required("test_voltage", |v| v.quantity(Volts(100.0)..=Volts(20e3)));
    let screen = row.required("screen", Value::flag);
    if short_circuit == Some(ShortCircuitClass::NonInherentlyProof)
        && cut_out.is_none()
        && !row.states("cut_out")
    {
        row.refuse(
            "the device that makes this transformer proof is missing",
            "no `cut_out`",
            "`cut_out` wherever `short_circuit` is `non-inherently proof`",
        );
    }
    let mut primaries = primaries?;
    spread_resistance(&mut primaries, primary_resistance);
    Some(Transformer {
        common: common?,
        rating: rating?,
        construction: construction?,
        primaries,
        secondaries: secondaries?,
        iron_loss: iron_loss?,
        no_load_current: no_load_current?,
        no_load_current_high: no_load_current_high?,
        rated_rise: rated_rise?,
        rise_ambient: rise_ambient?,
        max_ambient: max_ambient?,
        thermal_class: thermal_class?,
        overload_limit: overload_limit?,
        short_circuit: short_circuit?,
        cut_out,
        inrush,
        insulation: insulation?,
        test_voltage: test_voltage?,
        screen: screen?,
    })
}

fn secondaries(row: &mut Row<'_, '_>) -> Option<Vec<Secondary>> {
    let windings = row.required("windings", |v| v.count(1..=3));
    let rated = row.required("secondary", |v| v.quantity(RATED));
    let tolerance = row.required("tolerance", |v| v.quantity(Ratio(0.0)..=Ratio(0.2)));
    let current = row.required("current", |v| v.quantity(CURRENT));
    let regulation = row.required("regulation", |v| v.quantity(REGULATION));
    let resistance_hot = row.optional("secondary_resistance", |v| v.quantity(RESISTANCE));
    let leakage = row.optional("leakage", |v| v.quantity(LEAKAGE));
    let second = row.optional("second_winding", unlike);
    let third = row.optional("third_winding", unlike);
    if row.states("second_winding") && windings == Some(1) {
        let allowed = "`windings: 2` or `windings: 3` wherever `second_winding` stands";
        row.refuse("a second winding is stated", "`windings: 1`", allowed);
    }
    if let (true, Some(found @ 1..=2)) = (row.states("third_winding"), windings) {
        let allowed = "`windings: 3` wherever `third_winding` stands";
        row.refuse("a third winding is stated", &format!("`windings: {found}`"), allowed);
    }
    let winding = Secondary {
        rated: rated?,
        tolerance: tolerance?,
        current: current?,
        regulation: regulation?,
        resistance_hot,
        leakage,
    };
    let mut all: Vec<Secondary> = (0..windings?).map(|_| winding).collect();
    for (place, key, stated) in [(1, "second_winding", second), (2, "third_winding", third)] {
        if row.states(key)
            && let (stated, Some(slot)) = (stated?, all.get_mut(place))
        {
            *slot = Secondary { tolerance: winding.tolerance, ..stated };
        }
    }
    Some(all)
}

/// A winding unlike the first; its tolerance is that of the first.
fn unlike(value: Value<'_>) -> Option<Secondary> {
    let mut map = value.fields()?;
    let rated = map.required("rated", |v| v.quantity(RATED));
    let current = map.required("current", |v| v.quantity(CURRENT));
    let regulation = map.required("regulation", |v| v.quantity(REGULATION));
    let resistance_hot = map.optional("resistance", |v| v.quantity(RESISTANCE));
    let leakage = map.optional("leakage", |v| v.quantity(LEAKAGE));
    map.finish();
    Some(Secondary {
        rated: rated?,
        tolerance: Ratio(0.0),
        current: current?,
        regulation: regulation?,
        resistance_hot,
        leakage,
    })
}

fn primary(value: Value<'_>) -> Option<Primary> {
    let mut map = value.fields()?;
    let rated = map.required("rated", |v| v.quantity(MAINS));
    let max = map.required("max", |v| v.quantity(MAINS));
    let frequency = map.required("frequency", |v| text::ends(v, Hertz(10.0)..=Hertz(1000.0)));
    let joining = map.required("joining", |v| v.word(&JOININGS));
    let (rated, max) = (rated, max);
    if let (Some(rated), Some(max)) = (rated, max)
        && max < rated
    {
        map.map().refuse("`max` is below `rated`", "`max` of at least `rated`", None);
    }
    map.finish();
    let (frequency_min, frequency_max) = frequency?;
    Some(Primary {
        rated: rated?,
        max: max?,
        frequency_min,
        frequency_max,
        joining: joining?,
        resistance_hot: None,
    })
}

/// Two equal windings in series have four times the resistance they have in parallel.
fn spread_resistance(primaries: &mut [Primary], of_first: Option<Ohms>) {
    let Some((first, resistance)) = primaries.first().copied().zip(of_first) else { return };
    for (at, primary) in primaries.iter_mut().enumerate() {
        primary.resistance_hot = match (first.joining, primary.joining) {
            _ if at == 0 => Some(resistance),
            (Joining::Series, Joining::Parallel) => Some(resistance / 4.0),
            (Joining::Parallel, Joining::Series) => Some(resistance * 4.0),
            // A tap: its share of the winding is not known.
            _ => None,
        };
    }
}

fn inrush(value: Value<'_>) -> Option<CoreInrush> {
    let mut map = value.fields()?;
    let peak = map.required("peak", |v| v.quantity(Amps(1e-2)..=Amps(1e4)));
    let voltage = map.required("voltage", |v| v.quantity(MAINS));
    map.finish();
    Some(CoreInrush { peak: peak?, voltage: voltage? })
}
