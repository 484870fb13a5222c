//! What a reader sees first and last: cautions, summary, findings, assumptions, deferral.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table, clean},
    review::{
        Dossier,
        dossier::{Assumption, Finding, Tightest, Weight},
    },
};

/// Cautions, before anything else.
pub(super) fn cautions(page: &mut Page, dossier: &Dossier) {
    page.heading("cautions", "Cautions");
    for caution in &dossier.cautions {
        let mut text = caution.text.clone();
        if !caution.standards.is_empty() {
            text.push_str(" Usually applies: ");
            text.push_str(&caution.standards.join("; "));
            text.push('.');
        }
        page.blocks.push(Block::Caution { title: clean(&caution.title), text: clean(&text) });
    }
}

/// The design in a few lines.
pub(super) fn summary(page: &mut Page, dossier: &Dossier) {
    let summary = &dossier.summary;
    page.heading("summary", "Summary");
    if !dossier.description.is_empty() {
        page.paragraph(&dossier.description);
    }
    let found = dossier.findings.iter().filter(|finding| finding.weight == Weight::Finding).count();
    let good = dossier.passes();
    page.blocks.push(Block::Conclusion {
        good,
        text: if good {
            format!("All {} checks hold at every vertex looked at; nothing else was found.", summary.checks)
        } else {
            format!(
                "{found} {} in {} checks: this record does not pass.",
                if found == 1 { "finding" } else { "findings" },
                summary.checks
            )
        },
    });
    let mut pairs = vec![
        (String::from("Mains"), clean(&summary.mains)),
        (String::from("Air"), clean(&summary.ambient)),
        (String::from("Policy"), clean(&summary.policy)),
        (String::from("Build quantity"), summary.build_quantity.to_string()),
    ];
    let totals = &dossier.totals;
    let mut pair = |name: &str, text: Option<String>| {
        if let Some(text) = text {
            pairs.push((name.to_owned(), text));
        }
    };
    pair("Cost of one supply", totals.unit_cost.map(|money| money.to_string()));
    pair("Cost of the build", totals.batch_cost.map(|money| money.to_string()));
    pair("Output, full load", totals.output.map(crate::review::Figure::text));
    pair("Loss, nominal mains, full load", totals.loss.map(crate::review::Figure::text));
    pair("Volume of the parts", totals.volume.map(crate::review::Figure::text));
    pair(
        "Mass of the parts",
        totals.mass.map(|mass| match totals.without_mass {
            0 => mass.text(),
            1 => format!("{} (one part states none)", mass.text()),
            some => format!("{} ({some} parts state none)", mass.text()),
        }),
    );
    pair("Vertices solved", Some(summary.vertices.to_string()));
    pair("Reviewed by", Some(clean(&dossier.tool)));
    page.blocks.push(Block::Pairs(pairs));
    let mut table = Table::new(
        "rails",
        "Rails",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Output", Kind::Figure, Place::First),
            ("Load min", Kind::Figure, Place::First),
            ("Load max", Kind::Figure, Place::First),
            ("Ripple pp allowed", Kind::Figure, Place::First),
            ("Stage", Kind::Text, Place::Second),
            ("Topology", Kind::Code, Place::Second),
            ("Secondaries", Kind::Code, Place::Second),
            ("Tightest stress", Kind::Text, Place::Second),
        ],
    );
    for rail in &summary.rails {
        table.push(vec![
            Cell::text(&rail.rail),
            Cell::figure(Some(rail.voltage)),
            Cell::figure(Some(rail.current_min)),
            Cell::figure(Some(rail.current_max)),
            Cell::figure(Some(rail.ripple_pp)),
            Cell::text(&rail.regulation),
            Cell::text(&rail.topology),
            Cell::text(&rail.wiring),
            rail.tightest.as_ref().map_or_else(Cell::dash, |tightest| Cell::text(&tightest_text(tightest))),
        ]);
    }
    page.table(table);
    page.paragraph(&summary.policy_note);
}

fn tightest_text(tightest: &Tightest) -> String {
    let utilisation =
        tightest.utilisation.map_or_else(|| String::from("beyond any ratio"), crate::review::Figure::text);
    format!("{} {utilisation}", tightest.stress)
}

/// Findings, then notes.
pub(super) fn findings(page: &mut Page, dossier: &Dossier) {
    page.heading("findings", "Findings");
    let (grave, notes): (Vec<&Finding>, Vec<&Finding>) =
        dossier.findings.iter().partition(|finding| finding.weight == Weight::Finding);
    if grave.is_empty() {
        page.paragraph("None.");
    }
    page.table(finding_table("findings", "Findings", &grave));
    page.table(finding_table("finding-notes", "Notes for the reviewer", &notes));
}

/// A table of findings.
pub(super) fn finding_table(name: &'static str, caption: &str, findings: &[&Finding]) -> Table {
    let mut table = Table::new(
        name,
        caption,
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Position", Kind::Code, Place::Key),
            ("Code", Kind::Code, Place::Key),
            ("Found", Kind::Text, Place::First),
        ],
    );
    for finding in findings {
        table.push(vec![
            Cell::text(&finding.rail),
            Cell::text(&finding.position),
            Cell::text(&finding.code),
            Cell::text(&finding.text),
        ]);
    }
    table
}

/// Assumptions and defaults.
pub(super) fn assumptions(page: &mut Page, assumptions: &[Assumption]) {
    page.heading("assumptions", "Assumptions and defaults");
    if assumptions.is_empty() {
        page.paragraph("The requirements file states everything; no default was assumed.");
    }
    let mut table = Table::new(
        "assumptions",
        "What was assumed because the requirements file does not say",
        &[
            ("Key", Kind::Code, Place::Key),
            ("Assumed", Kind::Text, Place::First),
            ("Why", Kind::Text, Place::First),
        ],
    );
    for assumption in assumptions {
        table.push(vec![
            Cell::text(&assumption.key),
            Cell::text(&assumption.value),
            Cell::text(&assumption.why),
        ]);
    }
    page.table(table);
}

/// Notes and deferral.
pub(super) fn closing(page: &mut Page, dossier: &Dossier) {
    page.heading("notes", "Notes, and whom this report defers to");
    page.list(&dossier.notes);
    page.paragraph(&dossier.deferral);
}
