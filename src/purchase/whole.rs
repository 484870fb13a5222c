//! Whether the records that are bought for make circuits: goods for one that does not would lie in a store.
//!
//! Judges no stress; whether a circuit holds is for a review to say.

use crate::{
    catalog::Catalog,
    quantity::{Ohms, Quantity as _},
    record::{RecordedPart, couple::each},
    stress::position::Position,
};

use super::{lines::Wanted, order::Unresolved};

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
            ohms.to_exact_text()
        )
    })
}
