//! Finds a part of a family by its id.

use super::{
    BridgePart, Catalog, Choke, CutOut, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter, InterfacePad,
    PartId, Regulator, ResistorSeries, SmallCapacitor, Transformer, Transistor,
};

macro_rules! lookups {
    ($($(#[$doc:meta])* $name:ident, $list:ident, $part:ty;)*) => {
        impl Catalog {$(
            $(#[$doc])*
            pub fn $name(&self, id: &PartId) -> Option<&$part> {
                let at = self.$list.binary_search_by(|part| part.common.id.cmp(id)).ok()?;
                self.$list.get(at)
            }
        )*}
    };
}

lookups! {
    /// The transformer of that id.
    transformer, transformers, Transformer;
    /// The single diode of that id.
    diode, diodes, DiodePart;
    /// The bridge of that id.
    bridge, bridges, BridgePart;
    /// The electrolytic capacitor of that id.
    electrolytic, electrolytics, Electrolytic;
    /// The small capacitor of that id.
    small_capacitor, small_capacitors, SmallCapacitor;
    /// The regulator of that id.
    regulator, regulators, Regulator;
    /// The pass transistor of that id.
    transistor, transistors, Transistor;
    /// The filter choke of that id.
    choke, chokes, Choke;
    /// The heat sink of that id.
    sink, sinks, HeatSink;
    /// The interface pad of that id.
    pad, pads, InterfacePad;
    /// The fuse of that id.
    fuse, fuses, Fuse;
    /// The thermal cut-out of that id.
    cut_out, cut_outs, CutOut;
    /// The inrush limiter of that id.
    limiter, limiters, InrushLimiter;
    /// The resistor series of that id.
    resistor, resistors, ResistorSeries;
}
