//! Reads catalog files: tree of text to typed parts, every fault of every file at once.
//!
//! Knows the layout of the files and the range of every rating; whether ratings agree with one another is for
//! [`consistency`](super::consistency()) to say. The layout is described in `catalogs/README.md`.

mod choke;
mod common;
mod electrolytic;
mod file;
mod heat;
mod offers;
mod protection;
pub mod raw;
mod rectifier;
mod regulator;
mod resistor;
mod row;
mod small_capacitor;
mod text;
mod transformer;
mod transistor;

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use super::{Catalog, Common, PartId};
use crate::document::{Fault, Faults, Source, Span};

/// Reads a catalog from its files, in any order; the files are read side by side.
pub fn read(files: &[Source]) -> Result<Catalog, Faults> {
    let read: Vec<_> = files.par_iter().map(file::read).collect();
    let mut catalog = Catalog::default();
    let mut seen: BTreeMap<PartId, (usize, Span)> = BTreeMap::new();
    let mut all: Option<Faults> = None;
    for (at, (source, result)) in files.iter().zip(read).enumerate() {
        let mut faults = Vec::new();
        match result {
            Ok(part) => {
                for (id, span) in &part.places {
                    let Some((first, before)) = seen.get(id) else {
                        seen.insert(id.clone(), (at, *span));
                        continue;
                    };
                    faults.push(duplicate(id, *span, (*first == at).then_some(*before), files.get(*first)));
                }
                append(&mut catalog, part.parts);
                catalog.digests.insert(source.name.clone(), digest(&source.text));
            }
            Err(found) => match &mut all {
                Some(all) => all.absorb(found),
                none => *none = Some(found),
            },
        }
        if !faults.is_empty() {
            let found = Faults::new(source.clone(), faults);
            match &mut all {
                Some(all) => all.absorb(found),
                none => *none = Some(found),
            }
        }
    }
    sort(&mut catalog);
    all.map_or(Ok(catalog), Err)
}

fn duplicate(id: &PartId, span: Span, same_file: Option<Span>, first: Option<&Source>) -> Fault {
    let fault = Fault::new(span, format!("part `{id}` is listed twice"))
        .found(format!("`{id}` a second time"))
        .allowed("each part once in a catalog, whatever its family");
    match (same_file, first) {
        (Some(before), _) => fault.other(before, "first here"),
        (None, Some(first)) => fault.hint(format!("it stands in `{}` too", first.name)),
        (None, None) => fault,
    }
}

fn digest(text: &str) -> String {
    use std::fmt::Write as _;
    Sha256::digest(text.as_bytes()).iter().fold(String::with_capacity(64), |mut hex, byte| {
        // Writing to a string does not fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// Calls a macro once for each list of the catalog.
macro_rules! each_list {
    ($do:ident) => {
        $do!(
            transformers,
            diodes,
            bridges,
            electrolytics,
            small_capacitors,
            regulators,
            transistors,
            chokes,
            sinks,
            pads,
            fuses,
            cut_outs,
            limiters,
            resistors
        );
    };
}

fn append(catalog: &mut Catalog, mut parts: Catalog) {
    macro_rules! append {
        ($($list:ident),*) => { $(catalog.$list.append(&mut parts.$list);)* };
    }
    each_list!(append);
}

fn sort(catalog: &mut Catalog) {
    macro_rules! sort {
        ($($list:ident),*) => { $(catalog.$list.sort_by(|a, b| a.common.id.cmp(&b.common.id));)* };
    }
    each_list!(sort);
}

impl Catalog {
    /// Adds the parts of another catalog; an id that stands in both is returned, and nothing is added.
    pub fn take(&mut self, more: Self) -> Result<(), PartId> {
        let known: BTreeSet<&PartId> = self.commons().map(|common| &common.id).collect();
        if let Some(twice) = more.commons().find(|common| known.contains(&common.id)) {
            return Err(twice.id.clone());
        }
        append(self, more);
        sort(self);
        Ok(())
    }

    /// What every part has, of all parts, family by family.
    pub fn commons(&self) -> impl Iterator<Item = &Common> {
        let mut all: Vec<&Common> = Vec::new();
        macro_rules! collect {
            ($($list:ident),*) => { $(all.extend(self.$list.iter().map(|part| &part.common));)* };
        }
        each_list!(collect);
        all.into_iter()
    }
}
