//! Whether the records that are bought for make circuits, and whether what the purchaser adds to them concerns them at all:
//! goods for a record that makes none would lie in a store, and a misspelt name would be passed over in silence.
//!
//! Judges no stress; whether a circuit holds is for a review to say.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    catalog::{Catalog, PartId},
    document::suggestion,
    quantity::{Ohms, Quantity as _},
    record::{RecordedPart, couple::each},
    stress::position::Position,
};

use super::{
    lines::{Line, Wanted, shelf},
    order::Unresolved,
    terms::{Substitute, SupplierTerms},
};

/// What of the records does not make a circuit, each record once.
pub(super) fn unresolved(wanted: &[Wanted<'_>], catalog: &Catalog) -> Vec<Unresolved> {
    let mut all = Vec::new();
    for one in wanted {
        let mut tell = |rail: &str, why: String| {
            let found = Unresolved { supply: one.record.supply.clone(), rail: rail.to_owned(), why };
            if !all.contains(&found) {
                all.push(found);
            }
        };
        if one.record.rails.is_empty() {
            tell("", String::from("the record has no rail"));
        }
        for (rail, parts) in one.record.rails.iter().zip(each(one.record, catalog)) {
            for why in parts.err().into_iter().flatten() {
                tell(&rail.rail, why.to_string());
            }
            for part in &rail.parts {
                let position = Position::ALL.into_iter().find(|position| position.key() == part.position);
                match position {
                    None => tell(&rail.rail, format!("`{}` is no position", part.position)),
                    Some(position) if part.count == 0 => {
                        tell(&rail.rail, format!("0 pieces of the {} are recorded", position.words()));
                    }
                    Some(position) => {
                        if let Some(why) = no_such_value(catalog, part) {
                            tell(&rail.rail, format!("{}: {why}", position.words()));
                        }
                    }
                }
            }
        }
    }
    all
}

/// Why a resistor of the recorded value cannot be had of its series; `None` where it can, or where that is told otherwise.
fn no_such_value(catalog: &Catalog, part: &RecordedPart) -> Option<String> {
    let series = catalog.resistors.iter().find(|series| series.common.id.0 == part.part)?;
    let ohms = Ohms::from_text(part.value.as_deref()?).ok()?;
    let slack = 1.0 + 1e-9;
    let made = ohms.0 >= series.from.0 / slack && ohms.0 <= series.to.0 * slack;
    (!made).then(|| {
        format!(
            "`{}` is made from {} to {}, not as {}",
            part.part,
            series.from.to_exact_text(),
            series.to.to_exact_text(),
            part.value.as_deref().unwrap_or_default()
        )
    })
}

/// What of the purchaser's substitutes and terms concerns nothing that is bought here.
pub(super) fn idle(
    wanted: &[Wanted<'_>],
    lines: &[Line],
    catalog: &Catalog,
    substitutes: &[Substitute],
    terms: &BTreeMap<String, SupplierTerms>,
) -> Vec<String> {
    let mut notes = Vec::new();
    let concerns = |rule: &Substitute, line: &Line| {
        let supply = wanted.get(line.design).map(|one| &one.record.supply);
        line.designed.part.0 == rule.part
            && rule.rail.as_ref().is_none_or(|rail| *rail == line.rail)
            && rule.position.as_ref().is_none_or(|position| *position == line.position)
            && rule.supply.as_ref().is_none_or(|name| Some(name) == supply)
    };
    let left: Vec<&str> = substitutes
        .iter()
        .filter(|rule| !lines.iter().any(|line| concerns(rule, line)))
        .map(|rule| rule.part.as_str())
        .collect();
    if let Some(first) = left.first() {
        let (count, all) = (left.len(), substitutes.len());
        notes.push(format!(
            "{count} of {all} rules of the substitutes concern no part of these designs, the first that of `{first}`"
        ));
    }
    let shelf = shelf(catalog);
    let unknown: BTreeSet<&String> = substitutes
        .iter()
        .flat_map(|rule| &rule.allowed)
        .filter(|part| !shelf.contains_key(&PartId((*part).clone())))
        .collect();
    if let Some(first) = unknown.first() {
        let count = unknown.len();
        notes.push(format!("the catalog has not {count} of the substitutes allowed, the first `{first}`"));
    }
    let sellers: BTreeSet<&str> =
        catalog.commons().flat_map(|common| &common.offers).map(|offer| offer.supplier.as_str()).collect();
    for name in terms.keys().filter(|name| !sellers.contains(name.as_str())) {
        let near = suggestion(name, sellers.iter().copied());
        let hint = near.map(|near| format!("; is `{near}` meant?")).unwrap_or_default();
        notes.push(format!("terms are stated of `{name}`, who offers nothing in the catalog{hint}"));
    }
    notes
}
