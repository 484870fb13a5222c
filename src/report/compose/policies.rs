//! One record under several policies side by side: each judged alone, no limit of one in the other.
//!
//! Knows no format.

use std::collections::BTreeMap;

use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table, clean},
    review::{
        Dossier, Figure,
        dossier::{StressRow, Weight},
    },
};

/// The page; `names` and `dossiers` go together.
pub(super) fn side_by_side(record: &str, names: &[String], dossiers: &[Dossier]) -> Page {
    let mut page = Page::new(&format!("{record}: {} policies side by side", dossiers.len()))
        .as_kind("Linear mains supply · policies compared");
    page.heading("policies", "Each policy alone");
    page.blocks.push(Block::Pairs(
        names
            .iter()
            .zip(dossiers)
            .map(|(name, dossier)| {
                let count = dossier.findings.iter().filter(|one| one.weight == Weight::Finding).count();
                let text = match count {
                    0 => String::from("nothing found"),
                    1 => String::from("1 finding"),
                    more => format!("{more} findings"),
                };
                (clean(name), text)
            })
            .collect(),
    ));
    let mut columns = vec![
        ("Rail", Kind::Code, Place::Key),
        ("Position", Kind::Code, Place::Key),
        ("Stress", Kind::Code, Place::Key),
    ];
    columns.extend(names.iter().map(|name| (name.as_str(), Kind::Figure, Place::First)));
    let mut table = Table::new("policies", "Utilisation under each policy; above 100 % fails", &columns);
    for (key, cells) in rows(dossiers) {
        let mut row = vec![Cell::text(key.0), Cell::text(key.1), Cell::text(key.2)];
        row.extend(cells.into_iter().map(|used| match used {
            Some(Some(used)) => Cell::figure(Some(used)),
            Some(None) => Cell::text("beyond"),
            None => Cell::dash(),
        }));
        table.push(row);
    }
    page.table(table);
    page
}

/// Utilisation by policy; `Some(None)` where no ratio is left to state, `None` where the rule judges without numbers.
type Used = Vec<Option<Option<Figure>>>;
/// Rail, position, stress, and which of several alike.
type Key<'d> = (&'d str, &'d str, &'d str, usize);

/// Rows in the order of the rules, as the first policy that has them lists them.
fn rows(dossiers: &[Dossier]) -> Vec<(Key<'_>, Used)> {
    let mut order: Vec<Key<'_>> = Vec::new();
    let mut found: BTreeMap<Key<'_>, Used> = BTreeMap::new();
    for (at, dossier) in dossiers.iter().enumerate() {
        let mut seen: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
        for row in &dossier.stresses {
            let StressRow { rail, position, stress, .. } = row;
            let nth = seen.entry((rail, position, stress)).or_insert(0);
            let key = (rail.as_str(), position.as_str(), stress.as_str(), *nth);
            *nth += 1;
            let used = found.entry(key).or_insert_with(|| {
                order.push(key);
                vec![None; dossiers.len()]
            });
            if let Some(cell) = used.get_mut(at) {
                *cell = Some(row.utilisation);
            }
        }
    }
    order.into_iter().map(|key| (key, found.remove(&key).unwrap_or_default())).collect()
}
