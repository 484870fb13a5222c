//! Records that make no circuit, or fail as they stand: whoever reviews or buys is told so, and no part is said to fit.

use std::fs;

use assert_cmd::Command;
use railwright::document::{Source, to_yaml};
use railwright::policy::waiver;
use railwright::report::{Page, csv, terminal};
use railwright::review::ratings::ratings;
use railwright::review::substitute::{Trial, family, place, substitute, together};

use super::bench::{Bench, REQUIREMENTS, designed, sound};

/// The sound record with a word for its wiring that means nothing.
fn sideways() -> Bench {
    let mut bench = sound();
    bench.record.rails[0].wiring = String::from("sideways");
    bench
}

/// The sound record with a transformer that no catalog has.
fn without_transformer() -> Bench {
    let mut bench = sound();
    bench.part("transformer").part = String::from("NOPE-1");
    bench
}

/// A part tried at a place.
fn tried(bench: &Bench, at: &str, part: &str) -> Trial {
    let at = place(&bench.record, at).expect("there");
    substitute(bench.inputs(), &[], &at, &[part.to_owned()]).trials.remove(0)
}

fn codes(trial: &Trial) -> Vec<&str> {
    trial.fails_here.iter().chain(&trial.fails_elsewhere).map(|one| one.code.as_str()).collect()
}

#[test]
fn no_part_fits_a_record_that_cannot_be_solved_and_the_reason_is_told() {
    for (bench, word) in [(sideways(), "`sideways` is no wiring"), (without_transformer(), "no `NOPE-1`")] {
        let at = place(&bench.record, "C1").expect("there");
        let parts = family(&bench.catalog, &bench.record, &at);
        let found = substitute(bench.inputs(), &[], &at, &parts[..20]);
        assert!(found.allowed().is_empty() && found.found_without.iter().any(|one| one.text.contains(word)));
        for trial in &found.trials {
            assert!(!trial.fits && !trial.solved() && trial.moved.is_empty(), "{}", trial.part);
            assert_eq!(codes(trial), ["record-unresolved"], "{}", trial.part);
        }
        let look = terminal::Look { width: 200, colour: false };
        let page = terminal::render(&Page::of_substitution(&found, 20, 1), look);
        assert!(page.contains("0 of 20 parts tried fit") && page.contains(word), "{page}");
        let page = terminal::render(&Page::of_substitutions(&[found]), look);
        assert!(page.contains("0 of 1 positions") && page.contains(word), "{page}");
        let swaps = [(at, String::from("QS35-6800"))];
        let why = together(bench.inputs(), &[], &swaps);
        assert!(why.iter().any(|one| one.code == "record-unresolved"), "{why:?}");
    }
}

/// The part that was missing may be put in its place, and then fits: the record with it is the sound one.
#[test]
fn a_part_that_cures_an_unsolvable_record_fits() {
    let bench = without_transformer();
    let own = sound().part("transformer").part.clone();
    let trial = tried(&bench, "T1", &own);
    assert!(trial.fits && trial.solved(), "{:?}", codes(&trial));
    assert_eq!(trial.cured.iter().map(|one| one.code.as_str()).collect::<Vec<_>>(), ["record-unresolved"]);
    assert!(!tried(&bench, "T1", "NOPE-2").fits);
}

/// A rail that cannot be solved leaves unsaid what it heats and loads: nothing fits on the others either.
#[test]
fn a_part_on_a_sound_rail_does_not_fit_beside_one_that_cannot_be_solved() {
    let mut bench = designed("modular-rack");
    let own =
        bench.record.rails[0].parts.iter().find(|part| part.position == "reservoir").expect("there").clone();
    let at = format!("reservoir:{}", bench.record.rails[0].rail);
    assert!(tried(&bench, &at, &own.part).fits);
    bench.record.rails[1].topology = String::from("moebius");
    let trial = tried(&bench, &at, &own.part);
    assert!(!trial.fits && !trial.solved() && trial.fails_here.is_empty(), "{:?}", codes(&trial));
    assert_eq!(codes(&trial), ["record-unresolved"]);
    let mut bench = designed("modular-rack");
    bench.record.rails[1].rail = String::from("nobody asked");
    assert_eq!(codes(&tried(&bench, &at, &own.part)).len(), 2, "one rail too few and one too many");
}

/// What fails at the position itself must be gone: a part as bad as the recorded one does not fit for being no worse.
#[test]
fn a_part_that_fails_as_the_recorded_one_does_is_no_substitute_for_it() {
    let mut bench = sound();
    let good = bench.part("reservoir").part.clone();
    bench.part("reservoir").part = String::from("TS50-2200");
    bench.freshen();
    let before = bench.found();
    assert!(!before.is_empty());
    let same = tried(&bench, "C1", "TS50-2200");
    assert!(!same.fits && same.moved.is_empty() && same.fails_elsewhere.is_empty());
    assert!(same.fails_here.iter().all(|one| before.contains(&one.code)), "{:?}", codes(&same));
    let cured = tried(&bench, "C1", &good);
    assert!(cured.fits && !cured.cured.is_empty(), "{:?}", codes(&cured));
}

/// A fault elsewhere is no fault of the part, unless it goes farther with it. The lowest rated voltage of a whole family of
/// transformers starves the regulator, one winding step more starves it less.
#[test]
fn a_fault_elsewhere_counts_against_a_part_only_where_it_goes_farther_with_it() {
    let mut bench = sound();
    let id = bench.part("regulator").part.clone();
    let part = bench.catalog.regulators.iter_mut().find(|part| part.common.id.0 == id).expect("there");
    part.input_max = Some(railwright::quantity::Volts(20.0));
    bench.freshen();
    assert!(bench.found().contains(&String::from("regulator-input-voltage")));
    let at = place(&bench.record, "C1").expect("there");
    let found = substitute(bench.inputs(), &[], &at, &family(&bench.catalog, &bench.record, &at));
    assert!(found.trials.iter().any(|trial| trial.fits), "a reservoir does not touch the peak without load");
    for trial in found.trials.iter().filter(|trial| trial.fits) {
        assert!(trial.remains.iter().any(|one| one.code == "regulator-input-voltage"), "{}", trial.part);
    }
    let at = place(&bench.record, "T1").expect("there");
    let parts = family(&bench.catalog, &bench.record, &at);
    let mut counted = 0;
    for trial in substitute(bench.inputs(), &[], &at, &parts).trials.iter().filter(|trial| trial.solved()) {
        let moved = trial.moved.iter().find(|row| row.stress == "regulator-input-voltage");
        let Some((before, after)) = moved.and_then(|row| row.used_before.zip(row.used_after)) else {
            continue;
        };
        let told = trial.fails_elsewhere.iter().any(|one| one.code == "regulator-input-voltage");
        assert_eq!(told, after.value() > before.value(), "{}", trial.part);
        counted += usize::from(told);
    }
    assert!(counted > 10, "{counted} transformers of more volts");
}

/// As an audit lets a waived stress pass, so does a trial.
#[test]
fn a_waived_stress_does_not_keep_a_part_from_fitting() {
    let mut bench = sound();
    let id = bench.part("reservoir").part.clone();
    let part = bench.catalog.electrolytics.iter_mut().find(|part| part.common.id.0 == id).expect("there");
    part.rated = railwright::quantity::Volts(25.0);
    bench.freshen();
    bench.today = Some("2027-01-15");
    let stresses: Vec<String> =
        bench.found().into_iter().filter(|code| code.starts_with("reservoir-")).collect();
    assert_eq!(stresses, bench.found(), "only the reservoir is at fault");
    let one = |stress: &String| {
        format!(
            "  - {{rail: main, position: reservoir, stress: {stress}, limit: 60 V, reason: trial, role: head of design, \
             expires: 2027-06-30}}\n"
        )
    };
    let text = stresses.iter().map(one).collect::<Vec<_>>().concat();
    let waivers = waiver::read(&Source::new("waivers.yaml", format!("waivers:\n{text}"))).expect("sound");
    let at = place(&bench.record, "C1").expect("there");
    let fits = |waivers: &[railwright::policy::Waiver]| {
        substitute(bench.inputs(), waivers, &at, std::slice::from_ref(&id)).trials[0].fits
    };
    assert!(fits(&waivers) && !fits(&[]));
}

#[test]
fn a_quotation_sheet_says_which_rail_could_not_be_solved_and_why() {
    for (bench, word) in [(sideways(), "`sideways` is no wiring"), (without_transformer(), "no `NOPE-1`")] {
        let sheet = ratings(bench.inputs());
        assert!(sheet.rows.is_empty() && sheet.quoted.is_empty());
        assert!(sheet.unsolved.len() == 1 && sheet.unsolved[0].contains("`main`"), "{:?}", sheet.unsolved);
        assert!(sheet.unsolved[0].contains(word), "{:?}", sheet.unsolved);
        let look = terminal::Look { width: 200, colour: false };
        let page = terminal::render(&Page::of_ratings(&sheet), look);
        assert!(page.contains("Nothing can be quoted") && page.contains(word), "{page}");
        let rows = csv::named(&Page::of_whole_ratings(&sheet), "ratings");
        assert!(rows.contains("NOT SOLVED") && rows.contains(word), "{rows}");
    }
    let mut bench = designed("modular-rack");
    bench.record.rails[1].wiring = String::from("sideways");
    let sheet = ratings(bench.inputs());
    assert!(!sheet.rows.is_empty() && sheet.rows.iter().all(|row| row.rail != bench.record.rails[1].rail));
    let page = Page::of_ratings(&sheet);
    let page = terminal::render(&page, terminal::Look { width: 200, colour: false });
    assert!(page.contains("This sheet is not whole") && page.contains(&bench.record.rails[1].rail), "{page}");
}

#[test]
fn cautions_of_a_record_that_cannot_be_solved_name_its_transformer_and_its_sums_are_left_out() {
    let mut bare = without_transformer();
    bare.record.rails[0].parts.retain(|part| part.position != "transformer");
    for (bench, name) in [(sideways(), "T1"), (without_transformer(), "T1"), (bare, "the mains transformer")]
    {
        let dossier = bench.audited();
        assert!(!dossier.passes() && dossier.cautions.len() >= 2);
        for caution in &dossier.cautions {
            assert!(caution.text.contains(name), "{}", caution.text);
            assert!(!caution.text.contains("  ") && !caution.text.contains(" ,"), "{}", caution.text);
        }
        let totals = &dossier.totals;
        assert_eq!((totals.output, totals.loss, totals.volume, totals.mass), (None, None, None, None));
    }
    let mut half = designed("modular-rack");
    let all = half.audited().cautions[0].text.clone();
    half.record.rails[1].wiring = String::from("sideways");
    assert_eq!(half.audited().cautions[0].text, all, "mains is where it was");
}

#[test]
fn the_commands_answer_no_and_why_on_a_record_that_makes_no_circuit() {
    let here = tempfile::tempdir().expect("a folder");
    fs::write(here.path().join("requirements.yaml"), REQUIREMENTS).expect("written");
    let path = here.path().join("record.yaml");
    let record = path.display().to_string();
    let list = here.path().join("allowed.yaml").display().to_string();
    for (bench, word) in [(sideways(), "`sideways` is no wiring"), (without_transformer(), "no `NOPE-1`")] {
        fs::write(&path, to_yaml(&bench.record).expect("a record")).expect("written");
        for arguments in [
            vec!["substitute", &record, "--position", "C1"],
            vec!["substitute", &record, "--position", "C1", "--part", "QS35-6800"],
            vec!["substitute", &record, "--position", "C1", "--allowed", &list],
            vec!["ratings", &record],
            vec!["ratings", &record, "--format", "csv"],
            vec!["order", &record],
            vec![
                "order",
                &record,
                "--substitutes",
                "designs/tea-kettle-clock/substitutes.yaml",
                "--format",
                "json",
            ],
            vec!["audit", &record],
        ] {
            let mut command = Command::cargo_bin("railwright").expect("built");
            command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(&arguments);
            let output = command.args(["--width", "200"]).output().expect("runs");
            let text = String::from_utf8(output.stdout).expect("UTF-8");
            assert_eq!(output.status.code(), Some(1), "{arguments:?}: {text}");
            assert!(text.contains(word) && output.stderr.is_empty(), "{arguments:?}: {text}");
        }
    }
}
