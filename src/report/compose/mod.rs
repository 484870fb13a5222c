//! A dossier, or the answer that nothing fits, laid out as a page: the order of the sections and what each says.
//!
//! Cautions come first. Knows no format.

mod compare;
mod front;
mod margins;
mod none;
mod parts;
mod policies;
mod ratings;
mod search;
mod stresses;
mod substitute;
mod workings;

use super::page::Page;
use crate::review::{Dossier, Infeasible, compare::Comparison, ratings::Sheet, substitute::Substitution};

impl Page {
    /// The page of a dossier.
    pub fn of(dossier: &Dossier) -> Self {
        let mut page = Self::whole(dossier);
        page.tidy(dossier.summary.rails.len());
        page
    }

    /// The page of a dossier with every column of every table, whether or not it says anything.
    pub fn whole(dossier: &Dossier) -> Self {
        let mut page = Self::new(&dossier.supply).as_kind("Linear mains supply · review sheet");
        front::cautions(&mut page, dossier);
        front::summary(&mut page, dossier);
        front::findings(&mut page, dossier);
        parts::parts(&mut page, dossier);
        search::why(&mut page, dossier);
        parts::points(&mut page, dossier);
        stresses::stresses(&mut page, dossier);
        margins::sensitivity(&mut page, dossier.margins.as_deref().unwrap_or_default());
        stresses::heat(&mut page, dossier);
        if let Some(rates) = &dossier.reliability {
            margins::reliability(&mut page, rates);
        }
        workings::nominal(&mut page, dossier);
        workings::textbook(&mut page, dossier);
        workings::workings(&mut page, dossier);
        front::assumptions(&mut page, &dossier.assumptions);
        front::closing(&mut page, dossier);
        page
    }

    /// One record under several policies, each alone; `names` and `dossiers` go together.
    pub fn side_by_side(record: &str, names: &[String], dossiers: &[Dossier]) -> Self {
        let mut page = policies::side_by_side(record, names, dossiers);
        let rails = dossiers.iter().map(|dossier| dossier.summary.rails.len()).max().unwrap_or(0);
        page.tidy(rails);
        page
    }

    /// Two records side by side.
    pub fn of_comparison(comparison: &Comparison) -> Self {
        let mut page = compare::compare(comparison);
        page.tidy(2);
        page
    }

    /// Parts tried in one position; see [`Substitution`]. `tried` were tried, `detailed` are shown with their stresses.
    pub fn of_substitution(found: &Substitution, tried: usize, detailed: usize) -> Self {
        let mut page = substitute::substitute(found, tried, detailed);
        page.tidy(2);
        page
    }

    /// Parts tried in several positions: what fits in each.
    pub fn of_substitutions(found: &[Substitution]) -> Self {
        let mut page = substitute::overview(found);
        page.tidy(2);
        page
    }

    /// A quotation sheet.
    pub fn of_ratings(sheet: &Sheet) -> Self {
        let mut page = ratings::ratings(sheet, false);
        let rails: std::collections::BTreeSet<&str> =
            sheet.quoted.iter().map(|row| row.rail.as_str()).collect();
        // A reader has the positions in the first table; who asks for a rating stays in the formats that keep every column.
        page.without_columns("ratings", &["Position", "Asked by"]);
        page.tidy(rails.len());
        page
    }

    /// A quotation sheet with every column.
    pub fn of_whole_ratings(sheet: &Sheet) -> Self {
        ratings::ratings(sheet, true)
    }

    /// The page that says why nothing fits.
    pub fn of_infeasible(answer: &Infeasible) -> Self {
        let mut page = none::infeasible(answer);
        page.tidy(2);
        page
    }
}
