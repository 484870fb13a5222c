//! Waivers: what they let pass, and each way in which they fail.

use railwright::document::Source;
use railwright::policy::waiver;
use railwright::quantity::Amps;
use railwright::review::{Dossier, dossier::Weight, waive};

use super::bench::{Bench, sound};

/// A record whose reservoir takes more ripple than the policy leaves; what is applied, A.
fn overworked() -> (Bench, f64) {
    let mut bench = sound();
    let applied = bench
        .audited()
        .stresses
        .iter()
        .find(|row| row.stress == "reservoir-ripple-current")
        .expect("judged")
        .applied
        .value();
    let id = bench.part("reservoir").part.clone();
    let part = bench.catalog.electrolytics.iter_mut().find(|part| part.common.id.0 == id).expect("there");
    part.ripple = Amps(applied * 1.05);
    bench.freshen();
    (bench, applied)
}

fn waived(bench: &Bench, today: Option<&str>, change: impl Fn(String) -> String) -> Dossier {
    let text = change(String::from(
        "waivers:\n  - {rail: main, position: reservoir, stress: reservoir-ripple-current, limit: 99 A, \
         reason: short duty, role: head of design, expires: 2027-06-30}\n",
    ));
    let waivers = waiver::read(&Source::new("waivers.yaml", text)).expect("sound waivers");
    let mut dossier = bench.audited();
    waive(&mut dossier, &waivers, today);
    dossier
}

fn codes(dossier: &Dossier, weight: Weight) -> Vec<&str> {
    dossier.findings.iter().filter(|one| one.weight == weight).map(|one| one.code.as_str()).collect()
}

#[test]
fn a_waived_stress_passes_and_still_shows_its_true_utilisation() {
    let (bench, applied) = overworked();
    assert_eq!(bench.found(), ["reservoir-ripple-current"]);
    let grant = format!("{} A", applied * 1.01);
    let dossier = waived(&bench, Some("2027-06-30"), |text| text.replace("99 A", &grant));
    assert!(dossier.passes(), "{:?}", codes(&dossier, Weight::Finding));
    let row = dossier.stresses.iter().find(|row| row.stress == "reservoir-ripple-current").expect("there");
    assert!(
        !row.holds && row.waived.as_deref().is_some_and(|text| text.contains("head of design: short duty"))
    );
    let before = bench.audited();
    let same = before.stresses.iter().find(|row| row.stress == "reservoir-ripple-current").expect("there");
    assert_eq!((row.utilisation, row.limit, row.applied), (same.utilisation, same.limit, same.applied));
    assert!(row.utilisation.is_some_and(|used| used.value() > 1.0));
    assert!(codes(&dossier, Weight::Note).contains(&"reservoir-ripple-current"));
    assert!(!codes(&dossier, Weight::Note).contains(&"waiver-beyond-rating"));
}

#[test]
fn an_expired_waiver_is_a_finding_beside_the_stress_and_so_is_one_without_a_day_of_review() {
    let (bench, _) = overworked();
    for today in [Some("2027-07-01"), None] {
        let dossier = waived(&bench, today, |text| text);
        assert_eq!(codes(&dossier, Weight::Finding), ["reservoir-ripple-current", "waiver-expired"]);
        assert!(dossier.stresses.iter().all(|row| row.waived.is_none()));
    }
}

#[test]
fn a_waiver_that_grants_too_little_is_exceeded() {
    let (bench, applied) = overworked();
    let grant = format!("{} A", applied * 0.999);
    let dossier = waived(&bench, Some("2026-01-01"), |text| text.replace("99 A", &grant));
    assert_eq!(codes(&dossier, Weight::Finding), ["reservoir-ripple-current", "waiver-exceeded"]);
}

#[test]
fn a_waiver_that_matches_nothing_is_a_finding_by_rail_position_code_and_unit() {
    let (bench, _) = overworked();
    let today = Some("2026-01-01");
    for (from, to) in [
        ("rail: main", "rail: other"),
        ("position: reservoir,", "position: bleeder,"),
        ("stress: reservoir-ripple-current", "stress: reservoir-ripple"),
        ("99 A", "99 V"),
    ] {
        let dossier = waived(&bench, today, |text| text.replace(from, to));
        assert_eq!(
            codes(&dossier, Weight::Finding),
            ["reservoir-ripple-current", "waiver-unmatched"],
            "{to}"
        );
    }
}

#[test]
fn a_waiver_of_a_stress_that_holds_is_noted_and_one_beyond_the_rating_too() {
    let dossier = waived(&sound(), Some("2026-01-01"), |text| text);
    assert!(dossier.passes() && codes(&dossier, Weight::Note).contains(&"waiver-not-needed"));
    let (bench, _) = overworked();
    let dossier = waived(&bench, Some("2026-01-01"), |text| text);
    assert!(dossier.passes() && codes(&dossier, Weight::Note).contains(&"waiver-beyond-rating"));
}

/// A minimum in hours is granted in hours.
#[test]
fn a_life_too_short_is_waived_down_to_what_is_granted() {
    let mut bench = sound();
    bench.requirement.life = railwright::quantity::Hours(10_000_000.0);
    let life = |dossier: &Dossier| {
        dossier.stresses.iter().find(|row| row.stress == "reservoir-life").expect("judged").clone()
    };
    let found = life(&bench.audited());
    assert!(!found.holds && found.at_least);
    let grant = |hours: f64| {
        waived(&bench, Some("2026-01-01"), |text| {
            text.replace("reservoir-ripple-current", "reservoir-life").replace("99 A", &format!("{hours} h"))
        })
    };
    assert!(life(&grant(found.applied.value() * 0.99)).waived.is_some());
    let dossier = grant(found.applied.value() * 1.01);
    assert!(codes(&dossier, Weight::Finding).contains(&"waiver-exceeded"));
}
