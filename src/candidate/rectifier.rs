//! Every rectifier a topology can take, with its cooling.

use crate::{
    catalog::{HeatSink, InterfacePad, family::rectifier::ThermalPath},
    circuit::{operate::diodes, spec::Topology},
    stress::assembly::{Cooling, RectifierPart, diodes_bought},
};

use super::shop::{Priced, Shop};

/// Most sinks one rectifier gets: the four diodes of a bridge stand in free air.
const SINKS_MAX: u32 = 2;

/// One rectifier, with every way to cool it.
#[derive(Clone, Debug)]
pub struct RectifierOption<'a> {
    /// Part.
    pub part: RectifierPart<'a>,
    /// Score of all packages.
    pub score: f64,
    /// Free air, or sink and pad of each package, with their score; cheapest first, never empty.
    pub coolings: Vec<(Option<Cooling<'a>>, f64)>,
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

/// All rectifiers of a topology, cheapest part first; of equal ones by part id.
pub fn rectifiers<'a>(shop: &Shop<'a>, topology: Topology) -> Vec<RectifierOption<'a>> {
    let mut found = Vec::new();
    if matches!(topology, Topology::Bridge | Topology::DualComplementary) {
        for bridge in &shop.bridges {
            let part = RectifierPart::Bridge(bridge.part);
            let insulated = bridge.part.isolation.is_some();
            let ways = ways(shop, part, &bridge.part.thermal, 1, insulated);
            found.push(RectifierOption { part, score: bridge.score(1), coolings: ways });
        }
    }
    let count = diodes(topology);
    for diode in &shop.diodes {
        let part = RectifierPart::Diodes(diode.part);
        let ways = ways(shop, part, &diode.part.thermal, count, false);
        found.push(RectifierOption { part, score: diode.score(diodes_bought(topology)), coolings: ways });
    }
    found.retain(|option| option.score.is_finite() && !option.coolings.is_empty());
    found.sort_by(|a, b| {
        a.score.total_cmp(&b.score).then_with(|| a.part.common().id.cmp(&b.part.common().id))
    });
    found
}

/// Free air where the maker states it; each sink that fits where the part has a mounting face and is not one of four.
fn ways<'a>(
    shop: &Shop<'a>,
    part: RectifierPart<'a>,
    thermal: &ThermalPath,
    count: u32,
    insulated: bool,
) -> Vec<(Option<Cooling<'a>>, f64)> {
    let mut ways: Vec<_> = thermal.junction_air.map(|_| (None, 0.0)).into_iter().collect();
    if thermal.junction_case.is_some() && count <= SINKS_MAX {
        let sunk = coolings(shop, &part.common().package, count, insulated);
        ways.extend(sunk.into_iter().map(|(cooling, score)| (Some(cooling), score)));
    }
    ways
}
