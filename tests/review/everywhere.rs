//! Reviewer's and purchaser's work on every kept design: it answers, and fits a terminal of 80 and of 120 columns.

use assert_cmd::Command;
use railwright::flow::{Answer, Asked, audit, design};
use railwright::report::{Page, csv, markdown, terminal};
use railwright::review::compare::compare;
use railwright::review::ratings::ratings;
use railwright::review::reliability::reliability;
use railwright::review::sensitivity::sensitivity;
use railwright::review::substitute::{every, substitute};

use super::bench::designed;
use crate::support::world;

const DESIGNS: [&str; 6] = [
    "beehive-scale",
    "kiln-controller",
    "modular-rack",
    "practice-amplifier",
    "tea-kettle-clock",
    "workshop-12v",
];

/// No line is wider than the terminal, no cell of a list starts a formula.
fn fits(name: &str, page: &Page) {
    for width in [80, 120] {
        let look = terminal::Look { width, colour: false };
        for line in terminal::render(page, look).lines() {
            assert!(line.chars().count() <= width, "{name}, {width} columns: {line}");
        }
    }
    assert!(markdown::render(page).starts_with("# "), "{name}");
    for table in page.tables() {
        for line in csv::table_text(table).lines() {
            assert!(!line.starts_with(['=', '+', '@', '\t']), "{name}: {line}");
        }
    }
}

/// What `design` hands over passes its own audit, under its own policy, as it stands in its folder.
#[test]
fn every_kept_design_passes_its_own_audit_and_the_report_fits() {
    for name in DESIGNS {
        let bench = designed(name);
        let mut dossier = bench.audited();
        assert!(dossier.passes(), "{name}: {:?}", bench.found());
        dossier.margins = Some(sensitivity(bench.inputs()));
        dossier.reliability = Some(reliability(bench.inputs()));
        fits(name, &Page::of(&dossier));
    }
}

/// Whatever the policy, what is designed under it passes an audit under it.
#[test]
fn a_design_made_under_any_policy_passes_its_own_audit() {
    let mut designs = 0;
    for policy in ["house", "radc-level-3", "src-benign", "ecss-q-st-30-11c"] {
        let bench = designed("tea-kettle-clock");
        let mut requirement = bench.requirement.clone();
        policy.clone_into(&mut requirement.policy);
        let policy = world::policy(policy);
        let asked = Asked {
            requirement: &requirement,
            requirement_digest: &bench.digest,
            catalog: &bench.catalog,
            policy: &policy,
        };
        let Answer::Designed { record, .. } = design(asked) else { continue };
        let dossier = audit(asked, &record, None, Some("2027-01-15"));
        assert!(dossier.passes(), "{}: {:?}", policy.id, dossier.findings);
        designs += 1;
    }
    assert!(designs >= 2, "{designs} policies leave a design");
}

#[test]
fn every_kept_design_is_compared_with_the_next_and_the_comparison_fits() {
    let benches: Vec<_> = DESIGNS.iter().map(|name| (name, designed(name))).collect();
    for (one, other) in benches.iter().zip(benches.iter().skip(1)) {
        let (first, second) = (one.1.audited(), other.1.audited());
        let found = compare((one.0, &one.1.record, &first), (other.0, &other.1.record, &second));
        fits(one.0, &Page::of_comparison(&found));
    }
}

#[test]
fn every_kept_design_has_a_quotation_sheet_that_fits_and_that_its_own_parts_satisfy() {
    for name in DESIGNS {
        let bench = designed(name);
        let sheet = ratings(bench.inputs());
        assert!(sheet.unsolved.is_empty(), "{name}");
        for row in &sheet.rows {
            let (Some(needed), Some(own)) = (row.needed, row.recorded) else { continue };
            let holds = match row.bound {
                railwright::review::ratings::Bound::AtLeast => own.value() >= needed.value() * (1.0 - 1e-9),
                railwright::review::ratings::Bound::AtMost => {
                    own.value() <= needed.value() + 1e-9 * needed.value().abs()
                }
                railwright::review::ratings::Bound::Text => true,
            };
            assert!(holds, "{name}: {} of the {}: {own:?} against {needed:?}", row.rating, row.position);
        }
        fits(name, &Page::of_ratings(&sheet));
        fits(name, &Page::of_whole_ratings(&sheet));
    }
}

/// Law: the recorded part in its own place changes nothing, so it fits, at no extra cost.
#[test]
fn the_recorded_part_of_every_place_fits_there_at_its_own_cost() {
    for name in DESIGNS {
        let bench = designed(name);
        for place in every(&bench.record) {
            let (rail, position) = place.names(&bench.record).expect("there");
            let recorded = bench.record.rails.iter().find(|one| one.rail == rail).expect("there");
            let part = recorded.parts.iter().find(|part| part.position == position).expect("there");
            let found = substitute(bench.inputs(), &place, std::slice::from_ref(&part.part));
            let trial = &found.trials[0];
            assert!(trial.fits && trial.moved.is_empty(), "{name}: {} as {position}", part.part);
            assert!(trial.dearer_by.is_some_and(|more| more.amount.is_zero()), "{name}: {position}");
            fits(name, &Page::of_substitution(&found, 1, 1));
        }
    }
}

#[test]
fn the_commands_answer_on_every_kept_design() {
    for name in DESIGNS {
        let record = format!("designs/{name}/record.yaml");
        for arguments in [
            vec!["audit", &record],
            vec!["audit", &record, "--policy", "house", "--policy", "radc-level-3", "--format", "json"],
            vec!["ratings", &record, "--format", "csv"],
            vec!["compare", &record, "designs/workshop-12v/record.yaml", "--format", "markdown"],
            vec!["order", &record, "--format", "csv"],
            vec!["order", &record, "designs/workshop-12v/record.yaml", "--spare", "all=3"],
        ] {
            let mut command = Command::cargo_bin("railwright").expect("built");
            command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(&arguments);
            let output = command.args(["--width", "80"]).output().expect("runs");
            let several = arguments.iter().filter(|one| **one == "--policy").count() > 1;
            let code = output.status.code();
            assert!(code == Some(0) || (several && code == Some(1)), "{arguments:?}: {code:?}");
            assert!(output.stderr.is_empty() && !output.stdout.is_empty(), "{arguments:?}");
        }
    }
}
