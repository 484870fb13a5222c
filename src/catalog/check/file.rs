//! One catalog file: its head, its series, its rows.
//!
//! ```yaml
//! family: fuse
//! currency: EUR                                   # of every offer that states none
//! suppliers:                                      # terms of every offer that states none
//!   Corvane: {pack: 1, minimum_order: 10, lead: 3 days}
//! series:
//!   - maker: Fenlow                               # what the rows share
//!     each: {voltage: 250 V}                      # the same, on fewer lines
//!     rows:
//!       - {id: FL-T1, rated: 1 A, offers: {Corvane: {price: "10: 0.12, 100: 0.09", stock: 800}}}
//!       - each: {rated: 2 A}                      # a group of rows within the series
//!         rows: [...]
//! ```

use super::{
    choke, common, electrolytic, heat,
    offers::Terms,
    protection, rectifier, regulator, resistor,
    row::{Row, Shelf},
    small_capacitor, transformer, transistor,
};
use crate::{
    catalog::{Catalog, Common, PartId},
    document::{Fault, Faults, Reader, Source, Span, Tree, Value},
};

/// What one file holds.
#[derive(Debug, Default)]
pub(super) struct FileParts {
    pub(super) parts: Catalog,
    /// Where each part id stands.
    pub(super) places: Vec<(PartId, Span)>,
}

#[derive(Clone, Copy, Debug)]
enum Family {
    Transformer,
    Diode,
    Bridge,
    Electrolytic,
    SmallCapacitor,
    Regulator,
    Transistor,
    Choke,
    HeatSink,
    Pad,
    Fuse,
    CutOut,
    InrushLimiter,
    ResistorSeries,
}

const FAMILIES: [(&str, Family); 14] = [
    ("transformer", Family::Transformer),
    ("diode", Family::Diode),
    ("bridge", Family::Bridge),
    ("electrolytic", Family::Electrolytic),
    ("small-capacitor", Family::SmallCapacitor),
    ("regulator", Family::Regulator),
    ("transistor", Family::Transistor),
    ("choke", Family::Choke),
    ("heat-sink", Family::HeatSink),
    ("pad", Family::Pad),
    ("fuse", Family::Fuse),
    ("cut-out", Family::CutOut),
    ("inrush-limiter", Family::InrushLimiter),
    ("resistor-series", Family::ResistorSeries),
];

/// Reads one file.
pub(super) fn read(source: &Source) -> Result<FileParts, Faults> {
    let tree = Tree::parse(source)?;
    let reader = Reader::new(&tree);
    let found = whole(reader.root());
    let mut faults = reader.into_faults();
    match found {
        Some(parts) if faults.is_empty() => Ok(parts),
        _ => {
            if faults.is_empty() {
                faults.push(Fault::new(Span::default(), "this file is no catalog"));
            }
            Err(Faults::new(source.clone(), without_repeats(faults)))
        }
    }
}

/// A fault of a series is met once for each of its rows; it is told once.
fn without_repeats(mut faults: Vec<Fault>) -> Vec<Fault> {
    faults.sort_by(|a, b| a.span.cmp(&b.span).then_with(|| a.message.cmp(&b.message)));
    faults.dedup();
    faults
}

fn whole(root: Value<'_>) -> Option<FileParts> {
    let mut map = root.fields()?;
    let family = map.required("family", |v| v.word(&FAMILIES));
    let currency = map.required("currency", Value::currency);
    let terms = map.required("suppliers", |v| Terms::read(v, currency));
    let series = map.required("series", |v| v.list_of_some(Some));
    map.finish();
    let (family, terms) = (family?, terms?);
    let mut found = FileParts::default();
    let mut shelf = Shelf::default();
    for level in series? {
        shelf.walk(level, &mut |row| {
            let Some((common, span)) = common::read(row, &terms) else {
                // Reads on, so that the other faults of the row are told too.
                part(family, row, None, &mut found.parts);
                return;
            };
            found.places.push((common.id.clone(), span));
            part(family, row, Some(common), &mut found.parts);
        });
    }
    Some(found)
}

fn part(family: Family, row: &mut Row<'_, '_>, common: Option<Common>, into: &mut Catalog) {
    match family {
        Family::Transformer => into.transformers.extend(transformer::read(row, common)),
        Family::Diode => into.diodes.extend(rectifier::diode(row, common)),
        Family::Bridge => into.bridges.extend(rectifier::bridge(row, common)),
        Family::Electrolytic => into.electrolytics.extend(electrolytic::read(row, common)),
        Family::SmallCapacitor => into.small_capacitors.extend(small_capacitor::read(row, common)),
        Family::Regulator => into.regulators.extend(regulator::read(row, common)),
        Family::Choke => into.chokes.extend(choke::read(row, common)),
        Family::Transistor => into.transistors.extend(transistor::read(row, common)),
        Family::HeatSink => into.sinks.extend(heat::sink(row, common)),
        Family::Pad => into.pads.extend(heat::pad(row, common)),
        Family::Fuse => into.fuses.extend(protection::fuse(row, common)),
        Family::CutOut => into.cut_outs.extend(protection::cut_out(row, common)),
        Family::InrushLimiter => into.limiters.extend(protection::limiter(row, common)),
        Family::ResistorSeries => into.resistors.extend(resistor::read(row, common)),
    }
}
