//! Every rectifier a topology can take, with its cooling.

use crate::{
    catalog::{HeatSink, InterfacePad, family::rectifier::ThermalPath},
    circuit::{operate::diodes, spec::Topology},
    stress::assembly::{Cooling, RectifierPart},
};

use super::shop::{Priced, Shop};

/// Most sinks one rectifier gets: the four diodes of a bridge stand in free air.
const SINKS_MAX: u32 = 2;

/// One rectifier, with its cooling where it needs one.
#[derive(Clone, Copy, Debug)]
pub struct RectifierOption<'a> {
    /// Part.
    pub part: RectifierPart<'a>,
    /// Sink and pad of each package.
    pub cooling: Option<Cooling<'a>>,
    /// Score of all packages with their cooling.
    pub score: f64,
}

/// Sinks and pads that take a package, `count` of each, cheapest first; of equal ones by ids.
pub fn coolings<'a>(shop: &Shop<'a>, package: &str, count: u32, insulated: bool) -> Vec<(Cooling<'a>, f64)> {
    let fits = |sink: &&Priced<'a, HeatSink>| sink.part.mounts.iter().any(|mount| mount == package);
    let covers = |pad: &&Priced<'a, InterfacePad>| {
        pad.part.resistance.contains_key(package) && (insulated || pad.part.isolation.is_some())
    };
    let pads: Vec<_> = shop.pads.iter().filter(covers).collect();
    let mut found: Vec<(Cooling<'a>, f64)> = shop
        .sinks
        .iter()
        .filter(fits)
        .flat_map(|sink| {
            pads.iter().map(move |pad| {
                (Cooling { sink: sink.part, pad: pad.part }, sink.score(count) + pad.score(count))
            })
        })
        .filter(|(_, score)| score.is_finite())
        .collect();
    found.sort_by(|a, b| {
        a.1.total_cmp(&b.1)
            .then_with(|| a.0.sink.common.id.cmp(&b.0.sink.common.id))
            .then_with(|| a.0.pad.common.id.cmp(&b.0.pad.common.id))
    });
    found
}

/// All rectifiers of a topology, cheapest first; of equal ones by ids.
pub fn rectifiers<'a>(shop: &Shop<'a>, topology: Topology) -> Vec<RectifierOption<'a>> {
    let mut found = Vec::new();
    if topology == Topology::Bridge {
        for bridge in &shop.bridges {
            let part = RectifierPart::Bridge(bridge.part);
            let insulated = bridge.part.isolation.is_some();
            cooled(shop, &mut found, part, &bridge.part.thermal, bridge.score(1), 1, insulated);
        }
    }
    let count = diodes(topology);
    for diode in &shop.diodes {
        let part = RectifierPart::Diodes(diode.part);
        cooled(shop, &mut found, part, &diode.part.thermal, diode.score(count), count, false);
    }
    found.retain(|option| option.score.is_finite());
    found.sort_by(|a, b| a.score.total_cmp(&b.score).then_with(|| key(a).cmp(&key(b))));
    found
}

fn key<'a>(option: &RectifierOption<'a>) -> (&'a str, &'a str, &'a str) {
    let (sink, pad) = option
        .cooling
        .map_or(("", ""), |cooling| (cooling.sink.common.id.0.as_str(), cooling.pad.common.id.0.as_str()));
    (option.part.common().id.0.as_str(), sink, pad)
}

/// Free air where the maker states it; each sink that fits where the part has a mounting face and is not one of four.
fn cooled<'a>(
    shop: &Shop<'a>,
    found: &mut Vec<RectifierOption<'a>>,
    part: RectifierPart<'a>,
    thermal: &ThermalPath,
    score: f64,
    count: u32,
    insulated: bool,
) {
    if thermal.junction_air.is_some() {
        found.push(RectifierOption { part, cooling: None, score });
    }
    if thermal.junction_case.is_some() && count <= SINKS_MAX {
        for (cooling, extra) in coolings(shop, &part.common().package, count, insulated) {
            found.push(RectifierOption { part, cooling: Some(cooling), score: score + extra });
        }
    }
}
