//! The shipped derating policies: that they read, and that the published figures stand as published.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use railwright::document::Source;
use railwright::policy::{self, Known, LimitKind, Policy};
use railwright::quantity::{Celsius, Kelvins, Ratio};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/policies")
}

fn shipped(stem: &str) -> Policy {
    let path = folder().join(format!("{stem}.yaml"));
    let text = std::fs::read_to_string(&path).expect("a shipped policy is readable");
    policy::read(&Source::new(path.display().to_string(), text), stem, "00")
        .expect("a shipped policy has no fault")
}

fn ratio(policy: &Policy, code: &str) -> f64 {
    match policy.limits[code].kind {
        LimitKind::Ratio(Ratio(value)) => value,
        other => panic!("{code}: {other:?}"),
    }
}

fn stems() -> Vec<String> {
    let mut found: Vec<String> = std::fs::read_dir(folder())
        .expect("the folder of policies is readable")
        .map(|entry| entry.expect("an entry of the folder is readable").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .map(|path| path.file_stem().expect("a file has a stem").to_string_lossy().into_owned())
        .collect();
    found.sort();
    found
}

#[test]
fn every_shipped_policy_reads_and_only_house_practice_is_without_a_clause() {
    let stems = stems();
    assert!(stems.len() >= 3);
    for stem in stems {
        let policy = shipped(&stem);
        for (code, limit) in &policy.limits {
            let is_house = limit.known == Known::CommonPractice;
            assert_eq!(stem == "house", is_house, "{stem}: {code}");
            assert_eq!(limit.clause == "none", is_house, "{stem}: {code}");
            assert!(!limit.condition.is_empty(), "{stem}: {code}");
        }
    }
}

/// A published policy is never filled up from house practice, so it names fewer stresses.
#[test]
fn a_published_policy_names_only_codes_that_house_practice_knows_and_fewer() {
    let house: BTreeSet<String> = shipped("house").limits.into_keys().collect();
    for stem in stems().into_iter().filter(|stem| stem != "house") {
        let codes: BTreeSet<String> = shipped(&stem).limits.into_keys().collect();
        assert!(codes.is_subset(&house), "{stem}: {:?}", codes.difference(&house));
        assert!(codes.len() < house.len());
    }
}

/// Source: System Reliability Center, Part Derating Parameters, undated sheet (seen): power rectifier current 0.90 severe,
/// below 1 benign; reverse voltage 0.70, 0.80; junction 95, 115 °C; aluminium electrolytic 0.70, 0.80 and 20 K.
#[test]
fn src_sheet_figures_stand_as_printed() {
    for (stem, current, reverse, junction, reservoir) in
        [("src-severe", 0.9, 0.7, 95.0, 0.7), ("src-benign", 1.0, 0.8, 115.0, 0.8)]
    {
        let policy = shipped(stem);
        let found = ["rectifier-average-current", "rectifier-reverse-voltage", "reservoir-voltage"]
            .map(|code| ratio(&policy, code));
        for (found, printed) in found.into_iter().zip([current, reverse, reservoir]) {
            approx::assert_relative_eq!(found, printed, max_relative = 1e-12);
        }
        let ceiling = LimitKind::Ceiling { at_most: Celsius(junction), below: Kelvins(0.0) };
        assert_eq!(policy.limits["rectifier-junction-temperature"].kind, ceiling);
        assert_eq!(policy.limits["reservoir-core-temperature"].kind, LimitKind::BelowMaximum(Kelvins(20.0)));
        assert!(policy.limits.values().all(|limit| limit.known == Known::Seen));
    }
}

/// Source: side-by-side table of rectifier average current, NASA 0.50 and ECSS 0.75 and level III 0.75 (all from memory).
#[test]
fn the_published_policies_disagree_on_the_rectifier_as_they_do_in_print() {
    let found = ["eee-inst-002", "ecss-q-st-30-11c", "radc-level-3"]
        .map(|stem| ratio(&shipped(stem), "rectifier-average-current"));
    assert_eq!(found.map(|value| format!("{value:.2}")), ["0.50", "0.75", "0.75"]);
}

/// Source: ECSS-Q-ST-30-11C Rev.1 and EEE-INST-002 (from memory): the lower of a ceiling and 40 K below the maker's maximum;
/// neither lists liquid electrolytics.
#[test]
fn space_policies_hold_junctions_by_two_limits_and_say_nothing_of_liquid_electrolytics() {
    for (stem, ceiling) in [("ecss-q-st-30-11c", 110.0), ("eee-inst-002", 125.0)] {
        let policy = shipped(stem);
        let both = LimitKind::Ceiling { at_most: Celsius(ceiling), below: Kelvins(40.0) };
        assert_eq!(policy.limits["rectifier-junction-temperature"].kind, both);
        assert!(policy.limits.keys().all(|code| !code.starts_with("reservoir-")));
        assert!(policy.note.contains("electrolytics are not listed"));
    }
}
