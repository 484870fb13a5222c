//! Seeded faults: each is found under its code, and a sound record gives none.

use railwright::catalog::part::Lifecycle;
use railwright::quantity::{Amps, Ohms, Quantity as _, Volts};
use railwright::requirement::ProtectionClass;
use railwright::review::dossier::Weight;

use super::bench::sound;

#[test]
fn a_sound_record_has_no_finding() {
    assert_eq!(sound().found(), Vec::<String>::new());
    assert!(sound().audited().passes());
}

#[test]
fn a_changed_requirements_file_is_found() {
    let mut bench = sound();
    bench.digest = "0".repeat(64);
    assert_eq!(bench.found(), ["digest-requirements"]);
}

#[test]
fn a_changed_policy_and_another_policy_are_found() {
    let mut bench = sound();
    bench.policy.digest = "0".repeat(64);
    assert_eq!(bench.found(), ["digest-policy"]);
    bench.policy.id = String::from("another");
    assert!(bench.found().is_empty() && bench.noted().contains(&String::from("digest-policy")), "asked for");
    bench.requirement.policy = String::from("another");
    assert_eq!(
        bench.found(),
        ["digest-policy"],
        "the requirement names it, the record was made under another"
    );
}

#[test]
fn changed_lost_and_new_catalog_files_are_found() {
    let mut bench = sound();
    let names: Vec<String> = bench.catalog.digests.keys().cloned().collect();
    bench.catalog.digests.insert(names[0].clone(), "0".repeat(64));
    bench.catalog.digests.remove(&names[1]);
    bench.catalog.digests.insert(String::from("demo/new.yaml"), "0".repeat(64));
    assert_eq!(bench.found(), ["digest-catalog"; 3]);
}

#[test]
fn a_changed_row_is_found_even_where_no_stress_moves() {
    let mut bench = sound();
    let id = bench.part("transformer").part.clone();
    let part = bench.catalog.transformers.iter_mut().find(|part| part.common.id.0 == id).expect("there");
    part.common.approvals.push(String::from("new mark"));
    assert_eq!(bench.found(), ["digest-row"]);
    let mut dossier = bench.audited();
    railwright::review::changed::explain(&mut dossier, &bench.record, &sound().catalog, &bench.catalog);
    let found = dossier.findings.iter().find(|one| one.code == "digest-row").expect("found");
    assert!(found.text.contains("common.approvals") && found.text.contains("→ new mark"), "{}", found.text);
    railwright::review::changed::explain(&mut dossier, &bench.record, &bench.catalog, &bench.catalog);
    let found = dossier.findings.iter().find(|one| one.code == "digest-row").expect("found");
    assert!(found.text.contains("is not the recorded one either"), "{}", found.text);
}

#[test]
fn a_wrong_maker_and_a_wrong_count_are_found() {
    let mut bench = sound();
    bench.part("reservoir").maker = String::from("Somebody");
    assert_eq!(bench.found(), ["record-maker"]);
    let mut bench = sound();
    bench.part("rectifier").count = 4;
    assert_eq!(bench.found(), ["record-count"]);
}

#[test]
fn a_part_that_no_catalog_has_leaves_the_rail_unresolved() {
    let mut bench = sound();
    bench.part("regulator").part = String::from("NOPE-1");
    assert_eq!(bench.found(), ["record-unresolved"]);
    let dossier = bench.audited();
    assert!(dossier.stresses.is_empty() && !dossier.passes());
}

#[test]
fn a_part_without_a_place_is_found() {
    let mut bench = sound();
    let mut stray = bench.part("bleeder").clone();
    stray.position = String::from("set-upper");
    bench.record.rails[0].parts.push(stray);
    assert_eq!(bench.found(), ["record-part-unused"]);
}

#[test]
fn rails_that_are_missing_or_that_nobody_asked_for_are_found() {
    let mut bench = sound();
    bench.record.rails[0].rail = String::from("other");
    let mut found = bench.found();
    found.sort();
    assert_eq!(found, ["record-rail-missing", "record-rail-unknown"]);
}

#[test]
fn a_rail_that_asks_more_than_the_source_can_give_is_a_finding_and_no_panic() {
    let mut bench = sound();
    bench.requirement.rails[0].current_max = Amps(500.0);
    assert_eq!(bench.found(), ["record-unsolved"]);
}

#[test]
fn parts_that_go_away_are_found_by_the_day_of_the_review() {
    let mut bench = sound();
    bench.reservoir(|part| part.lifecycle = Lifecycle::Withdrawn);
    assert_eq!(bench.found(), ["part-withdrawn"]);
    let mut bench = sound();
    bench.reservoir(|part| part.lifecycle = Lifecycle::LastOrder(String::from("2031-05-31")));
    assert_eq!(bench.found(), ["part-last-order"], "no day given");
    bench.today = Some("2031-06-01");
    assert_eq!(bench.found(), ["part-last-order"], "the day after");
    bench.today = Some("2031-05-31");
    assert!(bench.found().is_empty() && bench.noted().contains(&String::from("part-last-order")), "the day");
    let mut bench = sound();
    bench.reservoir(|part| part.lifecycle = Lifecycle::NotForNewDesigns);
    assert_eq!(bench.found(), ["part-not-for-new-designs"]);
    bench.requirement.preferences.allow_not_for_new_designs = true;
    assert!(bench.found().is_empty());
}

#[test]
fn a_single_supplier_is_a_note_and_none_at_all_another() {
    let mut bench = sound();
    bench.reservoir(|part| part.offers.truncate(1));
    let codes: Vec<(String, String)> = bench
        .audited()
        .findings
        .into_iter()
        .filter(|one| one.position == "reservoir" && one.weight == Weight::Note)
        .map(|one| (one.code, one.rail))
        .collect();
    assert_eq!(codes, [(String::from("part-single-source"), String::from("main"))]);
    bench.reservoir(|part| part.offers.clear());
    assert!(bench.noted().contains(&String::from("part-no-offer")));
    assert_eq!(bench.audited().totals.unpriced.len(), 1);
}

/// The stress rules have tests of their own; here each position's spoilt part must reach the findings.
#[test]
fn a_part_too_small_for_its_place_fails_under_the_code_of_its_rule() {
    type Spoil = fn(&mut super::bench::Bench);
    let seeds: [(&str, Spoil); 5] = [
        ("reservoir-voltage", |bench| {
            let id = bench.part("reservoir").part.clone();
            let part = bench.catalog.electrolytics.iter_mut().find(|part| part.common.id.0 == id);
            part.expect("there").rated = Volts(25.0);
        }),
        ("rectifier-reverse-voltage", |bench| {
            let id = bench.part("rectifier").part.clone();
            let part = bench.catalog.bridges.iter_mut().find(|part| part.common.id.0 == id);
            part.expect("there").element.reverse_repetitive = Volts(30.0);
        }),
        ("regulator-input-voltage", |bench| {
            let id = bench.part("regulator").part.clone();
            let part = bench.catalog.regulators.iter_mut().find(|part| part.common.id.0 == id);
            part.expect("there").input_max = Some(Volts(20.0));
        }),
        ("fuse-steady-current", |bench| {
            let id = bench.part("primary-fuse").part.clone();
            let part = bench.catalog.fuses.iter_mut().find(|part| part.common.id.0 == id);
            part.expect("there").rated = Amps(0.1);
        }),
        ("bleeder-power", |bench| {
            bench.part("bleeder").value = Some(Ohms(100.0).to_text(3));
        }),
    ];
    for (code, spoil) in seeds {
        let mut bench = sound();
        spoil(&mut bench);
        bench.freshen();
        let found = bench.found();
        assert!(found.contains(&String::from(code)), "{code} in {found:?}");
    }
}

#[test]
fn a_rating_that_a_rule_needs_and_the_part_does_not_state_fails() {
    let mut bench = sound();
    let id = bench.part("reservoir").part.clone();
    let part = bench.catalog.electrolytics.iter_mut().find(|part| part.common.id.0 == id);
    part.expect("there").ripple_multipliers.clear();
    bench.freshen();
    let dossier = bench.audited();
    let found = dossier.findings.iter().find(|one| one.code == "reservoir-ripple-current").expect("found");
    assert!(found.text.contains("states no"), "{}", found.text);
}

#[test]
fn cautions_are_those_of_this_design() {
    let ids = |bench: &super::bench::Bench| {
        bench.audited().cautions.iter().map(|caution| caution.id.clone()).collect::<Vec<_>>()
    };
    let mut bench = sound();
    let first = ids(&bench);
    assert_eq!(first[..3], ["mains", "earth", "fuse"]);
    assert!(first.contains(&String::from("stored")) && first.contains(&String::from("hot")));
    assert!(!first.contains(&String::from("output-high")));
    bench.requirement.protection = ProtectionClass::II;
    bench.record.rails[0].parts.retain(|part| part.position != "bleeder" && part.position != "primary-fuse");
    let second = ids(&bench);
    assert_eq!(second[..3], ["mains", "double", "no-fuse"]);
    assert!(second.contains(&String::from("stored-no-bleeder")));
}

#[test]
fn cautions_name_the_figures_of_the_design_and_leave_no_place_empty() {
    for caution in sound().audited().cautions {
        assert!(!caution.text.contains(['{', '}']), "{}", caution.text);
        assert!(!caution.text.to_lowercase().contains("safe"), "{}", caution.text);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 64, ..proptest::prelude::ProptestConfig::default() })]

    /// Law: whatever stands in a record, the review answers; only the sound one passes.
    #[test]
    fn whatever_stands_in_a_record_the_review_answers(
        index in 0_usize..10,
        field in 0_usize..5,
        word in "[ -~µΩ\u{1b}]{0,12}",
        count in proptest::num::u32::ANY,
    ) {
        let mut bench = sound();
        let rail = &mut bench.record.rails[0];
        let before = rail.clone();
        let part = &mut rail.parts[index];
        match field {
            0 => part.position = word,
            1 => part.part = word,
            2 => part.value = Some(word),
            3 => part.count = count,
            _ => rail.topology = word,
        }
        let changed = bench.record.rails[0] != before;
        let dossier = bench.audited();
        let page = railwright::report::Page::of(&dossier);
        let text = railwright::report::terminal::render(&page, railwright::report::terminal::Look { width: 80, colour: false });
        proptest::prop_assert!(!text.contains('\u{1b}'), "the page steers the terminal");
        // A value on a part that has none changes nothing that is judged.
        proptest::prop_assert!(!dossier.passes() || !changed || field == 2);
    }
}
