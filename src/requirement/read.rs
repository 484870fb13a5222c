//! Reads a requirements file: every fault at once, every default noted.
//!
//! Ranges stand here once; what lies outside them is no supply this tool can speak of.

use super::{
    Assumed, Objective, Polarity, Preferences, ProfileShare, ProtectionClass, Rail, RequiredInsulation,
    Requirement, Section as Second, Sharing, Topology,
    assume::{Defaults, Section},
    rail, surroundings,
};
use crate::document::{self, Faults, Fields, Source, Value};
use crate::quantity::{Celsius, Hours, Metres, Quantity, Ratio, Volts};

const TOPOLOGIES: [(&str, Topology); 6] = [
    ("half-wave", Topology::HalfWave),
    ("centre-tap", Topology::CentreTap),
    ("bridge", Topology::Bridge),
    ("full-wave-doubler", Topology::FullWaveDoubler),
    ("half-wave-doubler", Topology::HalfWaveDoubler),
    ("dual-complementary", Topology::DualComplementary),
];
const SECTIONS: [(&str, Second); 3] =
    [("crc", Second::Crc), ("clc", Second::Clc), ("choke-input", Second::ChokeInput)];

/// What a choice over several rails may score above the least there can be.
const PROVEN_WITHIN: Ratio = Ratio(0.02);

/// Reads and checks a requirements file.
pub fn read(source: &Source) -> Result<Requirement, Faults> {
    document::read(source, requirement)
}

fn requirement(root: Value<'_>) -> Option<Requirement> {
    let mut map = root.fields()?;
    let mut defaults = Defaults::default();
    let name = map.required("name", Value::text);
    let description = map.optional("description", Value::text);
    let mains = map.required("mains", |v| surroundings::mains(v, &mut defaults));
    let ambient = surroundings::ambient(&mut map, &mut defaults);
    let rails = map.required("rails", |v| rail::rails(v, &mut defaults));
    let life = map.optional("life", |v| v.quantity(Hours(100.0)..=Hours(500e3)));
    let life =
        defaults.or("life", life, Hours(20_000.0), "about seven years of eight-hour days; common practice");
    let profile = map.optional("profile", |v| profile(v, ambient.min, ambient.max));
    let profile = defaults.or_written(
        "profile",
        profile,
        Vec::new(),
        "none",
        "greatest ambient and full load throughout",
    );
    let (insulation, test_voltage, protection) = insulation(&mut map, &mut defaults);
    let topologies = map.optional("topologies", |v| v.list_of_some(|item| item.word(&TOPOLOGIES)));
    let signs =
        |sign| rails.as_ref().is_some_and(|all: &Vec<Rail>| all.iter().any(|one| one.polarity == sign));
    let both = signs(Polarity::Positive) && signs(Polarity::Negative);
    let single = vec![Topology::HalfWave, Topology::CentreTap, Topology::Bridge];
    let mut topologies = if both {
        let all = single.into_iter().chain([Topology::DualComplementary]).collect();
        let why = "all rectifiers of one output from one winding, and of two from a tapped one";
        let text = "half-wave, centre-tap, bridge, dual-complementary";
        defaults.or_written("topologies", topologies, all, text, why)
    } else {
        let why = "all rectifiers of one output from one winding";
        defaults.or_written("topologies", topologies, single, "half-wave, centre-tap, bridge", why)
    };
    topologies.sort_unstable();
    topologies.dedup();
    let words = [
        ("plus-and-minus", Sharing::PlusAndMinus),
        ("any-two", Sharing::AnyTwo),
        ("any-three", Sharing::AnyThree),
        ("none", Sharing::None),
    ];
    let sharing = map.optional("shared_transformer", |v| v.word(&words));
    let sharing = if both {
        let why = "a positive and a negative rail may hang on one transformer, where that scores less";
        defaults.or_written("shared_transformer", sharing, Sharing::PlusAndMinus, "plus-and-minus", why)
    } else {
        sharing.unwrap_or(Sharing::None)
    };
    let sections = map.optional("second_sections", |v| v.list(|item| item.word(&SECTIONS)));
    let mut sections =
        defaults.or_written("second_sections", sections, Vec::new(), "none", "the plainest supply");
    sections.sort_unstable();
    sections.dedup();
    let mut build = Section::of(&mut map, "build");
    let quantity = build.optional("quantity", |v| v.count(1..=1_000_000));
    let build_quantity = defaults.or_written("build.quantity", quantity, 1, "1", "one supply");
    let currency = build.optional("currency", |v| v.currency().map(|currency| currency.code().to_owned()));
    let currency = defaults.or_written(
        "build.currency",
        currency,
        "EUR".to_owned(),
        "EUR",
        "currency of the demo catalog",
    );
    let spares = build.optional("spares", |v| v.quantity(Ratio(0.0)..=Ratio(1.0)));
    let spares = defaults.or("build.spares", spares, Ratio(0.0), "no spare parts");
    build.finish();
    let objective = map.optional("objective", objective);
    let objective = defaults.or_written("objective", objective, COST, "cost", "the usual question");
    let policy = map.optional("policy", Value::text);
    let why = "the project's own limits, common practice";
    let policy = defaults.or_written("policy", policy, "house".to_owned(), "house", why);
    let catalogs = map.optional("catalogs", |v| v.list_of_some(Value::text));
    let catalogs = defaults.or_written(
        "catalogs",
        catalogs,
        vec!["demo".to_owned()],
        "[demo]",
        "the catalog that is kept here",
    );
    let preferences = preferences(&mut map, &mut defaults);
    let within = map.optional("proven_within", |v| v.quantity(Ratio(0.0)..=Ratio(0.5)));
    let proven_within = if rails.as_ref().is_some_and(|all| all.len() > 1) {
        let why = "a choice over several rails that scores no more than this above the least there can be; 0 % takes longer";
        defaults.or("proven_within", within, PROVEN_WITHIN, why)
    } else {
        within.unwrap_or(PROVEN_WITHIN)
    };
    map.finish();
    Some(Requirement {
        name: name?,
        description: description.unwrap_or_default(),
        mains: mains?,
        ambient,
        rails: rails?,
        life,
        profile,
        insulation,
        test_voltage,
        protection,
        topologies,
        sharing,
        proven_within,
        sections,
        build_quantity,
        currency,
        spares,
        objective,
        policy,
        catalogs,
        preferences,
        assumed: defaults.assumed,
    })
}

/// Source of the two test voltages: 1500 V and 3000 V rms, practice for information equipment on 230 V mains after
/// IEC 60950-1 (from memory; later standards differ).
fn insulation(map: &mut Fields<'_>, defaults: &mut Defaults) -> (RequiredInsulation, Volts, ProtectionClass) {
    let class = map
        .optional("protection_class", |v| v.word(&[("I", ProtectionClass::I), ("II", ProtectionClass::II)]));
    let class =
        defaults.or_written("protection_class", class, ProtectionClass::I, "I", "an earthed enclosure");
    let words = [("basic", RequiredInsulation::Basic), ("reinforced", RequiredInsulation::Reinforced)];
    let read = map.optional("insulation", |v| v.word(&words));
    if let (Some(RequiredInsulation::Basic), ProtectionClass::II, Some(value)) =
        (read, class, map.get("insulation"))
    {
        let hint = "write `reinforced`, or `protection_class: I`";
        value.refuse("basic insulation does not suit protection class II", "`reinforced`", Some(hint));
    }
    let why = "the stricter of the two, since the file does not say";
    let insulation =
        defaults.or_written("insulation", read, RequiredInsulation::Reinforced, "reinforced", why);
    let usual = if insulation == RequiredInsulation::Basic { Volts(1500.0) } else { Volts(3000.0) };
    let volts = map.optional("test_voltage", |v| v.quantity(Volts(500.0)..=Volts(10e3)));
    let why = "practice after IEC 60950-1 at 230 V, from memory; check the standard that applies";
    (insulation, defaults.or("test_voltage", volts, usual, why), class)
}

/// How far the shares of a profile may miss the whole: a third may be written 33.3 %.
const SHARE_SLACK: f64 = 0.002;

fn profile(value: Value<'_>, min: Celsius, max: Celsius) -> Option<Vec<ProfileShare>> {
    let shares = value.list_of_some(|item| {
        let mut map = item.fields()?;
        let share = map.required("share", |v| v.quantity(Ratio(0.0)..=Ratio(1.0)));
        let ambient = map.required("ambient", |v| v.quantity(min.min(max)..=max.max(min)));
        let load = map.required("load", |v| v.quantity(Ratio(0.0)..=Ratio(1.0)));
        map.finish();
        Some(ProfileShare { share: share?, ambient: ambient?, load: load? })
    })?;
    let sum: Ratio = shares.iter().map(|part| part.share).sum();
    if shares.len() == value.items()?.count() && (sum.0 - 1.0).abs() > SHARE_SLACK {
        let fault =
            document::Fault::new(value.first_span(), "the shares of `profile` do not make up the whole");
        value.report(fault.found(format!("a sum of {}", sum.to_text(4))).allowed("a sum of 100 %"));
    }
    Some(shares)
}

const COST: Objective = Objective { cost: 1.0, loss: 0.0, volume: 0.0, mass: 0.0 };

fn objective(value: Value<'_>) -> Option<Objective> {
    let none = Objective { cost: 0.0, ..COST };
    if !value.is_map() {
        return value.word(&[
            ("cost", COST),
            ("loss", Objective { loss: 1.0, ..none }),
            ("volume", Objective { volume: 1.0, ..none }),
            ("mass", Objective { mass: 1.0, ..none }),
        ]);
    }
    let mut map = value.fields()?;
    let mut weight = |key| map.optional(key, |v| v.number(0.0..=1e6)).unwrap_or(0.0);
    let weights = Objective {
        cost: weight("cost"),
        loss: weight("loss"),
        volume: weight("volume"),
        mass: weight("mass"),
    };
    map.finish();
    if weights == none {
        let fault = document::Fault::new(value.first_span(), "every weight of `objective` is zero");
        value.report(
            fault
                .found("no weight above zero")
                .allowed("at least one of `cost`, `loss`, `volume`, `mass` above zero"),
        );
    }
    Some(weights)
}

fn preferences(map: &mut Fields<'_>, defaults: &mut Defaults) -> Preferences {
    let mut section = Section::of(map, "preferences");
    let names = |v: Value<'_>| v.list(Value::text);
    let excluded_makers = section.optional("excluded_makers", names).unwrap_or_default();
    let excluded_parts = section.optional("excluded_parts", names).unwrap_or_default();
    let lead_days_max = section.optional("lead_days_max", |v| v.count(0..=2000));
    let height_max = section.optional("height_max", |v| v.quantity(Metres(0.001)..=Metres(1.0)));
    let old = section.optional("allow_not_for_new_designs", Value::flag);
    let key = "preferences.allow_not_for_new_designs";
    let old = defaults.or_written(key, old, false, "false", "such parts may vanish from the market");
    let parallel = section.optional("parallel_max", |v| v.count(1..=16));
    let parallel =
        defaults.or_written("preferences.parallel_max", parallel, 4, "4", "more share the current unevenly");
    let iec = section.optional("fuses", |v| v.word(&[("iec", true), ("ul", false)]));
    let iec_fuses = defaults.or_written(
        "preferences.fuses",
        iec,
        true,
        "iec",
        "IEC 60127 ratings; UL ratings mean another current",
    );
    section.finish();
    Preferences {
        excluded_makers,
        excluded_parts,
        lead_days_max,
        height_max,
        allow_not_for_new_designs: old,
        parallel_max: parallel,
        iec_fuses,
    }
}

impl Requirement {
    /// The default assumed under a dotted key, if the file did not state it.
    pub fn assumed_at(&self, key: &str) -> Option<&Assumed> {
        self.assumed.iter().find(|assumed| assumed.key == key)
    }
}
