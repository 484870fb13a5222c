//! Reviewer's and purchaser's work on every kept design: it answers, and fits a terminal of 80 and of 120 columns.

use std::sync::OnceLock;

use assert_cmd::Command;
use railwright::document::Source;
use railwright::flow::{Answer, Asked, audit, design};
use railwright::policy::waiver;
use railwright::purchase::lines::FAMILIES;
use railwright::report::{Page, csv, markdown, terminal};
use railwright::review::compare::compare;
use railwright::review::ratings::{Bound, ratings};
use railwright::review::reliability::reliability;
use railwright::review::sensitivity::sensitivity;
use railwright::review::substitute::{every, family, place, substitute};
use railwright::review::{Dossier, audit as reviewed, waive};
use rayon::prelude::*;

use super::bench::{Bench, designed};
use crate::support::world;

/// Every design that has a record: the one that is infeasible on purpose has none.
pub(crate) fn kept() -> Vec<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("designs");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.join("record.yaml").exists())
        .map(|path| path.file_name().expect("a name").to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert!(names.len() >= 11, "{names:?}");
    names
}

/// A kept design and its audit.
pub(crate) struct Kept {
    pub(crate) name: String,
    bench: Bench,
    dossier: Dossier,
    whole: OnceLock<Dossier>,
}

impl Kept {
    /// Whether rails hang on one core: each audit of them solves a thousand circuits without a closed form.
    pub(crate) fn is_shared(&self) -> bool {
        self.bench.record.rails.iter().any(|rail| rail.transformer_of.is_some())
    }

    /// The audit with all that can be added to it, reckoned once for all tests.
    pub(crate) fn whole(&self) -> &Dossier {
        self.whole.get_or_init(|| Dossier {
            margins: Some(sensitivity(self.bench.inputs())),
            reliability: Some(reliability(self.bench.inputs())),
            ..self.dossier.clone()
        })
    }
}

/// Every kept design, audited once for all tests.
pub(crate) fn all() -> &'static [Kept] {
    static ALL: OnceLock<Vec<Kept>> = OnceLock::new();
    ALL.get_or_init(|| {
        let audited = |name: String| {
            let bench = designed(&name);
            Kept { dossier: bench.audited(), whole: OnceLock::new(), name, bench }
        };
        kept().into_par_iter().map(audited).collect()
    })
}

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
    for Kept { name, bench, dossier, .. } in all() {
        assert!(dossier.passes(), "{name}: {:?}", bench.found());
        let dossier = Dossier { reliability: Some(reliability(bench.inputs())), ..dossier.clone() };
        fits(name, &Page::of(&dossier));
    }
}

/// Rails on one core are left out here: the edges of the two kept designs that have them take 50 s and 80 s of processor time.
#[test]
fn the_margins_of_every_kept_design_have_movers_and_fit() {
    for one in all().iter().filter(|one| !one.is_shared()) {
        let margins = one.whole().margins.as_ref().expect("reckoned");
        assert!(margins.len() >= one.bench.record.rails.len(), "{}", one.name);
        assert!(margins.iter().all(|margin| !margin.movers.is_empty() && !margin.edges.is_empty()));
        fits(&one.name, &Page::of(one.whole()));
    }
}

/// Two policies side by side, one of them far stricter; then one failing stress waived, one waiver run out, one for nothing.
#[test]
fn every_kept_design_under_two_policies_and_with_waivers_fits() {
    let strict = world::policy("radc-level-3");
    let mut waived = 0;
    for Kept { name, bench, dossier, .. } in all() {
        let mut under = reviewed(railwright::review::Inputs { policy: &strict, ..bench.inputs() }, None);
        let names = [bench.policy.id.clone(), strict.id.clone()];
        fits(name, &Page::side_by_side(name, &names, &[dossier.clone(), under.clone()]));
        let mut text = String::from("waivers:\n");
        let failing = under.stresses.iter().find(|row| !row.holds && !row.at_least);
        for (row, day) in
            failing.into_iter().chain(under.stresses.iter().find(|row| row.holds)).zip(["2027-06-30"; 2])
        {
            text.push_str(&format!(
                "  - {{rail: {}, position: {}, stress: {}, limit: {} {}, reason: \"{}\", role: head of design, expires: {day}}}\n",
                row.rail,
                row.position,
                row.stress,
                row.applied.value() * 1.5 + 1.0,
                row.applied.unit().symbol(),
                "full load lasts ten minutes a day and the cupboard stands open ".repeat(3).trim(),
            ));
        }
        text.push_str("  - {rail: nobody, position: reservoir, stress: reservoir-voltage, limit: 60 V, reason: none, role: none, expires: 2026-01-01}\n");
        let waivers = waiver::read(&Source::new("waivers.yaml", text.as_str()));
        let waivers = waivers.unwrap_or_else(|faults| panic!("{name}: {}", faults.render(false)));
        waive(&mut under, &waivers, Some("2027-01-15"));
        waived += under.stresses.iter().filter(|row| row.waived.is_some()).count();
        assert!(under.findings.iter().any(|one| one.code == "waiver-unmatched"), "{name}");
        fits(name, &Page::of(&under));
    }
    assert!(waived >= 3, "{waived} stresses waived");
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
    for (one, other) in all().iter().zip(all().iter().skip(1)) {
        let first = (one.name.as_str(), &one.bench.record, &one.dossier);
        let found = compare(first, (&other.name, &other.bench.record, &other.dossier));
        fits(&one.name, &Page::of_comparison(&found));
    }
}

#[test]
fn every_kept_design_has_a_quotation_sheet_that_fits_and_that_its_own_parts_satisfy() {
    for Kept { name, bench, .. } in all() {
        let sheet = ratings(bench.inputs());
        assert!(sheet.unsolved.is_empty(), "{name}");
        for row in &sheet.rows {
            let (Some(needed), Some(own)) = (row.needed, row.recorded) else { continue };
            let holds = match row.bound {
                Bound::AtLeast => own.value() >= needed.value() * (1.0 - 1e-9),
                Bound::AtMost => own.value() <= needed.value() + 1e-9 * needed.value().abs(),
                Bound::Text => true,
            };
            assert!(holds, "{name}: {} of the {}: {own:?} against {needed:?}", row.rating, row.position);
        }
        fits(name, &Page::of_ratings(&sheet));
        fits(name, &Page::of_whole_ratings(&sheet));
    }
}

/// Law: the recorded part in its own place changes nothing, so it fits, at no extra cost. Of rails on one core the transformer
/// alone is tried, which both have.
#[test]
fn the_recorded_part_of_every_place_fits_there_at_its_own_cost() {
    for one in all() {
        let (name, bench) = (&one.name, &one.bench);
        for place in every(&bench.record) {
            let (rail, position) = place.names(&bench.record).expect("there");
            if one.is_shared() && position != "transformer" {
                continue;
            }
            let recorded = bench.record.rails.iter().find(|one| one.rail == rail).expect("there");
            let part = recorded.parts.iter().find(|part| part.position == position).expect("there");
            let found = substitute(bench.inputs(), &[], &place, std::slice::from_ref(&part.part));
            let trial = &found.trials[0];
            assert!(trial.fits && trial.moved.is_empty(), "{name}: {} as {position}", part.part);
            assert!(trial.dearer_by.is_some_and(|more| more.amount.is_zero()), "{name}: {position}");
            assert!(found.found_without.is_empty(), "{name}: {:?}", found.found_without);
            fits(name, &Page::of_substitution(&found, 1, 1));
        }
    }
}

/// The page of a family, and that of one part with its stresses.
#[test]
fn parts_tried_instead_of_the_reservoir_of_every_kept_design_fit_the_terminal() {
    for one in all() {
        let Kept { name, bench, .. } = one;
        let at = place(&bench.record, &format!("reservoir:{}", bench.record.rails[0].rail)).expect("there");
        let parts = family(&bench.catalog, &bench.record, &at);
        let step = parts.len() / if one.is_shared() { 1 } else { 4 };
        let some: Vec<String> = parts.into_iter().step_by(step.max(1)).collect();
        let found = substitute(bench.inputs(), &[], &at, &some);
        assert!(
            found.trials.iter().all(|trial| trial.fits || !trial.solved() || !trial.moved.is_empty()),
            "{name}"
        );
        fits(name, &Page::of_substitution(&found, some.len(), 0));
        fits(name, &Page::of_substitution(&found, some.len(), 2));
        fits(name, &Page::of_substitutions(&[found]));
    }
}

/// Exit code and what is said on standard output, which fits; nothing is said on standard error.
fn said(arguments: &[&str], width: usize) -> (Option<i32>, String) {
    let mut command = Command::cargo_bin("railwright").expect("built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(arguments);
    let output = command.args(["--width", &width.to_string()]).output().expect("runs");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(err.is_empty() && !text.is_empty(), "{arguments:?}: {err}");
    if !arguments.contains(&"--format") {
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{arguments:?}, {width} columns: {line}");
        }
    }
    (output.status.code(), text)
}

#[test]
fn the_commands_answer_on_every_kept_design() {
    for one in all() {
        let record = format!("designs/{}/record.yaml", one.name);
        let quick: [&[&str]; 3] = [
            &["order", &record],
            &["order", &record, "--format", "csv"],
            &["order", &record, "designs/workshop-12v/record.yaml", "--spare", "all=3"],
        ];
        let slow: [&[&str]; 4] = [
            &["audit", &record, "--reliability"],
            &["audit", &record, "--policy", "house", "--policy", "radc-level-3", "--format", "json"],
            &["ratings", &record, "--format", "csv"],
            &["compare", &record, "designs/workshop-12v/record.yaml", "--format", "markdown"],
        ];
        // What is the same command on two rails of one core is seen by one of them.
        let slow = if one.is_shared() { &slow[..1] } else { &slow[..] };
        for arguments in quick.iter().chain(slow) {
            let several = arguments.iter().filter(|word| **word == "--policy").count() > 1;
            for width in [80, 120] {
                let (code, _) = said(arguments, width);
                assert!(code == Some(0) || (several && code == Some(1)), "{arguments:?}: {code:?}");
                if arguments.contains(&"--format") || one.is_shared() {
                    break;
                }
            }
        }
    }
}

#[test]
fn lists_and_checks_of_the_catalog_fit_the_terminal() {
    for width in [80, 120] {
        assert_eq!(said(&["catalog", "check"], width).0, Some(0));
        for family in FAMILIES {
            let (code, text) = said(&["catalog", "list", "--family", family], width);
            assert!(code == Some(0) && text.lines().count() > 3, "{family}");
        }
        let many = ["catalog", "list", "--family", "transformer", "--where", "rating >= 100 VA", "--show"];
        said(
            &[&many[..], &["rating,secondary,current,regulation,primaries,second_winding,offers"]].concat(),
            width,
        );
    }
}
