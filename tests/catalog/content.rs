//! What the demo catalog offers: counts, makers, suppliers, coverage, gaps, invented names.

use std::collections::BTreeSet;

use railwright::catalog::{
    Catalog, Common,
    family::{
        capacitor::LifeBasis,
        protection::FuseSystem,
        regulator::Setting,
        transformer::{Construction, Insulation, Joining, ShortCircuitClass},
    },
    part::Lifecycle,
};

use super::{demo, demo_files};

/// The commons of each family.
fn families(catalog: &Catalog) -> Vec<(&'static str, Vec<&Common>)> {
    macro_rules! of {
        ($($list:ident),*) => {
            vec![$((stringify!($list), catalog.$list.iter().map(|part| &part.common).collect())),*]
        };
    }
    of!(
        transformers,
        diodes,
        bridges,
        electrolytics,
        small_capacitors,
        regulators,
        transistors,
        chokes,
        sinks,
        pads,
        fuses,
        cut_outs,
        limiters,
        resistors
    )
}

#[test]
fn the_demo_catalog_is_large_enough_to_choose_from() {
    let catalog = demo();
    let counts = [
        (catalog.transformers.len(), 150),
        (catalog.diodes.len() + catalog.bridges.len(), 70),
        (catalog.electrolytics.len(), 180),
        (catalog.regulators.len(), 40),
        (catalog.transistors.len(), 9),
        (catalog.chokes.len(), 30),
        (catalog.sinks.len(), 30),
        (catalog.pads.len(), 8),
        (catalog.fuses.len(), 30),
        (catalog.cut_outs.len(), 8),
        (catalog.limiters.len(), 10),
        (catalog.resistors.len(), 10),
        (catalog.small_capacitors.len(), 30),
        (catalog.commons().count(), 600),
    ];
    for (found, least) in counts {
        assert!(found >= least, "{found} is below {least} in {counts:?}");
    }
}

#[test]
fn every_family_has_three_makers_and_three_suppliers_with_terms_of_their_own() {
    let catalog = demo();
    for (family, parts) in families(&catalog) {
        let makers: BTreeSet<_> = parts.iter().map(|part| part.maker.as_str()).collect();
        assert!(makers.len() >= 3, "{family}: {makers:?}");
        let offers: Vec<_> = parts.iter().flat_map(|part| &part.offers).collect();
        let terms: BTreeSet<_> = offers
            .iter()
            .map(|offer| (offer.supplier.as_str(), offer.pack, offer.minimum_order, offer.lead_days))
            .collect();
        let suppliers: BTreeSet<_> = terms.iter().map(|(supplier, ..)| *supplier).collect();
        assert!(suppliers.len() >= 3, "{family}: {suppliers:?}");
        let differ: BTreeSet<_> = terms.iter().map(|(_, pack, least, lead)| (*pack, *least, *lead)).collect();
        assert!(differ.len() >= 3, "{family}: {terms:?}");
        assert!(offers.iter().all(|offer| offer.currency == "EUR"), "{family}");
        assert!(parts.iter().all(|part| !part.offers.is_empty()), "{family}");
    }
}

/// Common practice, no source: more pieces cost less each.
#[test]
fn prices_fall_with_quantity_in_every_offer() {
    for part in demo().commons() {
        for offer in &part.offers {
            assert!(offer.breaks.len() >= 2, "{} of {}", part.id, offer.supplier);
            assert!(offer.breaks.windows(2).all(|pair| pair[0].each > pair[1].each), "{}", part.id);
        }
    }
}

#[test]
fn some_parts_leave_the_programme_and_some_are_out_of_stock() {
    let catalog = demo();
    let count =
        |wanted: fn(&Lifecycle) -> bool| catalog.commons().filter(|part| wanted(&part.lifecycle)).count();
    assert!(count(|state| matches!(state, Lifecycle::NotForNewDesigns)) >= 5);
    assert!(count(|state| matches!(state, Lifecycle::LastOrder(_))) >= 3);
    assert!(count(|state| matches!(state, Lifecycle::Withdrawn)) >= 2);
    assert!(count(|state| matches!(state, Lifecycle::Active)) >= 600);
    let unsold = catalog.commons().filter(|part| part.offers.iter().all(|offer| offer.stock == 0)).count();
    assert!(unsold >= 5, "{unsold}");
}

#[test]
fn transformers_cover_the_mains_of_the_world_and_every_construction() {
    let catalog = demo();
    for volts in [100.0, 115.0, 120.0, 230.0, 240.0] {
        let fits = |at_50_hz: bool| {
            let one = |primary: &railwright::catalog::family::transformer::Primary| {
                (primary.rated.0 - volts).abs() < 0.5
                    && primary.max.0 >= 1.0999 * volts
                    && (!at_50_hz || primary.frequency_min.0 <= 48.0)
            };
            catalog.transformers.iter().filter(|part| part.primaries.iter().any(one)).count()
        };
        assert!(fits(true) >= 20, "{volts} V 50 Hz: {}", fits(true));
    }
    let only_60_hz = catalog
        .transformers
        .iter()
        .filter(|part| part.primaries.iter().all(|one| one.frequency_min.0 > 50.0));
    assert!(only_60_hz.count() >= 10);
    for wanted in [Construction::Laminated, Construction::Toroid, Construction::RCore, Construction::Potted] {
        assert!(catalog.transformers.iter().filter(|part| part.construction == wanted).count() >= 12);
    }
    for wanted in [
        ShortCircuitClass::NotProof,
        ShortCircuitClass::NonInherentlyProof,
        ShortCircuitClass::InherentlyProof,
        ShortCircuitClass::FailSafe,
    ] {
        assert!(catalog.transformers.iter().any(|part| part.short_circuit == wanted), "{wanted:?}");
    }
    for wanted in [Insulation::Basic, Insulation::Reinforced] {
        assert!(catalog.transformers.iter().any(|part| part.insulation == wanted), "{wanted:?}");
    }
    let ratings = || catalog.transformers.iter().map(|part| part.rating.0);
    assert!(ratings().fold(f64::INFINITY, f64::min) <= 2.0 && ratings().fold(0.0, f64::max) >= 1000.0);
    let dual = catalog.transformers.iter().filter(|part| part.secondaries.len() == 2).count();
    assert!(dual >= 50 && catalog.transformers.len() - dual >= 50);
}

/// Two equal primary windings in series have four times the resistance they have in parallel: Ohm's law.
#[test]
fn the_primary_resistance_follows_the_connection() {
    let catalog = demo();
    let mut seen = 0;
    for part in &catalog.transformers {
        let of = |joining| part.primaries.iter().find(|one| one.joining == joining)?.resistance_hot;
        if let (Some(series), Some(parallel)) = (of(Joining::Series), of(Joining::Parallel)) {
            assert!((series / parallel - 4.0).abs() < 1e-12, "{}", part.common.id);
            seen += 1;
        }
    }
    assert!(seen >= 50, "{seen}");
}

#[test]
fn the_other_families_span_their_ranges() {
    let catalog = demo();
    let span = |values: Vec<f64>| {
        (values.iter().copied().fold(f64::INFINITY, f64::min), values.iter().copied().fold(0.0, f64::max))
    };
    let (least, most) = span(catalog.electrolytics.iter().map(|part| part.capacitance.0 * 1e6).collect());
    assert!(least <= 10.0 && most >= 47_000.0, "{least} {most}");
    for volts in [10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 80.0, 100.0] {
        assert!(catalog.electrolytics.iter().any(|part| (part.rated.0 - volts).abs() < 0.1), "{volts} V");
    }
    for basis in [LifeBasis::WithRipple, LifeBasis::WithoutRipple] {
        assert!(catalog.electrolytics.iter().any(|part| part.life_basis == basis));
    }
    let (least, most) = span(catalog.regulators.iter().map(|part| part.output_current.0).collect());
    assert!(least <= 0.1 && most >= 10.0, "{least} {most}");
    for volts in [3.3, 5.0, 6.0, 8.0, 9.0, 10.0, 12.0, 15.0, 18.0, 20.0, 24.0] {
        let makes = |setting: &Setting| matches!(setting, Setting::Fixed { output } if (output.0 - volts).abs() < 1e-9);
        assert!(catalog.regulators.iter().any(|part| part.positive && makes(&part.setting)), "{volts} V");
    }
    assert!(catalog.regulators.iter().filter(|part| !part.positive).count() >= 5);
    let (least, most) = span(catalog.sinks.iter().map(|part| part.resistance.0).collect());
    assert!(least <= 0.25 && most >= 25.0, "{least} {most}");
    for system in [FuseSystem::Iec60127Sheet3, FuseSystem::Iec60127Sheet5, FuseSystem::Ul248] {
        assert!(catalog.fuses.iter().any(|part| part.system == system), "{system:?}");
    }
    let (least, most) = span(catalog.fuses.iter().map(|part| part.rated.0).collect());
    assert!(least <= 0.032 && most >= 10.0, "{least} {most}");
}

/// What is missing on purpose, so that a rule can be seen to refuse a part for it.
#[test]
fn makers_leave_ratings_unstated_and_nothing_stands_in_for_them() {
    let catalog = demo();
    let gaps = [
        (
            "primary resistance",
            catalog.transformers.iter().any(|part| part.primaries[0].resistance_hot.is_none()),
        ),
        ("core inrush", catalog.transformers.iter().any(|part| part.inrush.is_none())),
        (
            "leakage",
            catalog.transformers.iter().filter(|part| part.secondaries[0].leakage.is_some()).count() < 40,
        ),
        ("diode rms", catalog.diodes.iter().any(|part| part.element.rms_max.is_none())),
        ("repetitive peak", catalog.diodes.iter().any(|part| part.element.peak_repetitive.is_none())),
        ("hot leakage", catalog.diodes.iter().any(|part| part.element.leakage_hot.is_none())),
        ("heating integral", catalog.bridges.iter().any(|part| part.element.i2t.is_none())),
        ("capacitive factor", catalog.bridges.iter().any(|part| part.capacitive_factor.is_none())),
        ("junction to air", catalog.bridges.iter().any(|part| part.thermal.junction_air.is_none())),
        ("surge voltage", catalog.electrolytics.iter().any(|part| part.surge.is_none())),
        ("rejection", catalog.regulators.iter().any(|part| part.rejection.is_none())),
        (
            "greatest voltage",
            catalog.regulators.iter().any(|part| part.input_max.is_none() && part.differential_max.is_none()),
        ),
        ("limiter energy", catalog.limiters.iter().any(|part| part.energy_max.is_none())),
        ("fuse resistance", catalog.fuses.iter().any(|part| part.cold_resistance.is_none())),
        ("small capacitor ESR", catalog.small_capacitors.iter().any(|part| part.esr_max.is_none())),
    ];
    for (rating, missing) in gaps {
        assert!(missing, "{rating}");
    }
}

/// Marks of well-known series; a demo part number holds none of them.
#[test]
fn no_part_number_resembles_a_real_series() {
    let catalog = demo();
    let marks = [
        "LM", "LT", "LD1", "TL4", "UA7", "MC7", "L78", "KA7", "NCP", "AMS", "MIC", "TPS", "TIP", "BD1",
        "MJE", "IRF", "KBP", "GBU", "GBP", "KBU", "KBL", "DB10", "BR10", "MUR", "MBR", "BYV", "BYW", "UF4",
        "SB5", "STP", "VS-", "1N", "2N", "2SC", "2SD", "BC5", "0034", "0218", "SL2", "EKY", "UHE", "NTC",
        "B57", "B41", "MAL", "FK2", "SK1", "TO-",
    ];
    for part in catalog.commons() {
        let id = part.id.0.to_uppercase();
        for mark in marks {
            assert!(!id.starts_with(mark), "{id} begins like `{mark}`");
        }
        let digits: String = id.chars().filter(char::is_ascii_digit).collect();
        assert!(!digits.starts_with("78") && !digits.starts_with("79"), "{id}");
        assert!(!digits.contains("317") && !digits.contains("337"), "{id}");
    }
}

/// The trap of a 25 V reservoir on a 14 V secondary, which reaches 0.95 of its rating, can be met.
#[test]
fn the_parts_of_the_known_traps_are_there() {
    let catalog = demo();
    assert!(
        catalog
            .transformers
            .iter()
            .any(|part| { (part.secondaries[0].rated.0 - 14.0).abs() < 0.1 && part.secondaries.len() == 1 })
    );
    let bank = |volts: f64| {
        let fits = |rated: f64| (rated - volts).abs() < 0.1;
        catalog.electrolytics.iter().any(|part| fits(part.rated.0) && part.capacitance.0 >= 2200e-6)
    };
    assert!(bank(25.0) && bank(35.0));
    assert!(catalog.bridges.iter().any(|part| part.output.rated.0 <= 1.0 && part.element.surge.0 < 50.0));
    assert!(catalog.transformers.iter().any(|part| part.rating.0 >= 500.0));
    assert!(catalog.regulators.iter().any(|part| part.input_max.is_some_and(|most| most.0 >= 91.0)));
}

#[test]
fn the_order_of_the_files_does_not_matter() {
    let mut files = demo_files();
    let forward = format!("{:?}", demo());
    files.reverse();
    let backward = format!("{:?}", railwright::catalog::read(&files).unwrap());
    assert_eq!(forward, backward);
}

#[test]
fn a_part_is_found_by_its_id_in_its_family() {
    let catalog = demo();
    for part in &catalog.transformers {
        assert_eq!(catalog.transformer(&part.common.id).map(|found| &found.common.id), Some(&part.common.id));
    }
    assert!(catalog.fuse(&catalog.transformers[0].common.id).is_none());
    assert_eq!(catalog.digests.len(), demo_files().len());
}

/// The chain of drop-out, secondary voltage and heat. A 12 V, 1.5 A rail at ±10 % mains and 45 °C: the mean input at high
/// mains is at least 1.1/0.9 times the least input at low mains, so the regulator's heat is at least the product below,
/// whatever transformer and reservoir; the ripple still comes on top. Junction 25 K below its limit, air 45 °C.
#[test]
fn twelve_volts_and_an_amp_and_a_half_at_45_celsius_need_a_low_drop_out() {
    let catalog = demo();
    let (output, current, air, ripple_half) = (12.0, 1.5, 45.0, 1.0);
    let mut ordinary = 0;
    let mut low = 0;
    for part in &catalog.regulators {
        let fixed = matches!(part.setting, Setting::Fixed { output: at } if (at.0 - output).abs() < 1e-9);
        if !fixed
            || !part.positive
            || part.output_current.0 * 0.8 < current
            || part.common.package != "TO-220"
        {
            continue;
        }
        // At the current the curve is a straight line between two points of the hottest set.
        let hottest = part.drop_out.iter().map(|point| point.junction.0).fold(f64::NEG_INFINITY, f64::max);
        let curve: Vec<_> = part.drop_out.iter().filter(|point| point.junction.0 >= hottest).collect();
        let pair = curve
            .windows(2)
            .find(|pair| pair[0].current.0 <= current && current <= pair[1].current.0)
            .unwrap();
        let share = (current - pair[0].current.0) / (pair[1].current.0 - pair[0].current.0);
        let drop = pair[0].voltage.0 + share * (pair[1].voltage.0 - pair[0].voltage.0);
        let need = output * (1.0 + part.accuracy.0) + drop + 0.5;
        let heat = (1.1 / 0.9 * (need + ripple_half) - output * (1.0 - part.accuracy.0)) * current;
        let budget = (part.junction_max.0 - 25.0 - air) / heat;
        let pad = catalog
            .pads
            .iter()
            .filter(|pad| pad.isolation.is_some())
            .filter_map(|pad| pad.resistance.get("TO-220"))
            .map(|at| at.0)
            .fold(f64::INFINITY, f64::min);
        let left = budget - part.junction_case.0 - pad;
        if drop > 2.0 {
            ordinary += 1;
            assert!(left < 0.0, "{} leaves {left} K/W for its sink", part.common.id);
        } else {
            low += 1;
            assert!(left > 1.0, "{} leaves {left} K/W for its sink", part.common.id);
        }
    }
    assert!(ordinary >= 1 && low >= 1, "{ordinary} {low}");
}

/// A regulator or rectifier that needs a sink finds one and a pad for it; the others state their way through air.
#[test]
fn every_hot_part_can_lose_its_heat() {
    let catalog = demo();
    let cooled = |package: &str, insulating: bool| {
        catalog.sinks.iter().any(|sink| sink.mounts.iter().any(|mount| mount == package))
            && catalog
                .pads
                .iter()
                .any(|pad| pad.resistance.contains_key(package) && (!insulating || pad.isolation.is_some()))
    };
    for part in &catalog.regulators {
        let large = part.junction_case.0 < 5.0;
        assert!(!large || cooled(&part.common.package, true), "{}", part.common.id);
        assert!(large || part.junction_air.is_some(), "{}", part.common.id);
    }
    for part in &catalog.diodes {
        let alone = part.thermal.junction_air.is_some();
        assert!(alone || cooled(&part.common.package, true), "{}", part.common.id);
    }
    for part in &catalog.bridges {
        let alone = part.thermal.junction_air.is_some();
        assert!(alone || cooled(&part.common.package, part.isolation.is_none()), "{}", part.common.id);
    }
}

/// What a regulator asks of its output capacitor is sold: capacitance left at the low end of its tolerance, ESR inside the
/// window, the output at most at 0.8 of the rated voltage.
#[test]
fn every_regulator_finds_an_output_capacitor() {
    let catalog = demo();
    for part in &catalog.regulators {
        let Some(window) = part.output_capacitor else { continue };
        let output = match part.setting {
            Setting::Fixed { output } => output.0,
            Setting::Adjustable { output_max, .. } => output_max.0,
        };
        let fits = |one: &&railwright::catalog::SmallCapacitor| {
            let low =
                one.capacitance.0 * (1.0 - one.tolerance.0) * one.bias_factor.map_or(1.0, |left| left.0);
            one.rated.0 * 0.8 >= output
                && low >= window.min.0
                && window.esr_min.is_none_or(|least| one.esr_min.is_some_and(|at| at >= least))
                && window.esr_max.is_none_or(|most| one.esr_max.is_some_and(|at| at <= most))
        };
        let found = catalog.small_capacitors.iter().find(fits);
        assert!(found.is_some(), "{} at {output} V: {window:?}", part.common.id);
    }
}
