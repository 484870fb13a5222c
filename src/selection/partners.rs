//! Which rails may hang on one transformer, how they are rectified there, and at what prices they are sought.
//!
//! Knows what the requirement lets, and no circuit.

use std::collections::BTreeMap;

use crate::{
    candidate::{
        shop::{Shop, View},
        source::circuit_topology,
    },
    catalog::Common,
    circuit::spec::Topology,
    requirement::{Polarity, Sharing},
    stress::position::Position,
};

use super::choose::Inputs;

/// Rails that may share: each positive with each negative one, or any two or three, as the requirement lets them.
pub fn candidates(inputs: Inputs<'_>) -> Vec<Vec<usize>> {
    let rails = &inputs.requirement.rails;
    let sharing = inputs.requirement.sharing;
    if sharing == Sharing::None {
        return Vec::new();
    }
    let of = |sign| rails.iter().enumerate().filter(move |(_, rail)| rail.polarity == sign).map(|(at, _)| at);
    let mut all: Vec<Vec<usize>> = of(Polarity::Positive)
        .flat_map(|plus| of(Polarity::Negative).map(move |minus| vec![plus, minus]))
        .collect();
    if sharing == Sharing::PlusAndMinus {
        return all;
    }
    let later = |one: usize| (one + 1..rails.len()).filter(move |&other| !opposite(inputs, one, other));
    all.extend((0..rails.len()).flat_map(|one| later(one).map(move |other| vec![one, other])));
    if sharing == Sharing::AnyThree {
        let count = rails.len();
        let with = |one: usize, two: usize| (two + 1..count).map(move |three| vec![one, two, three]);
        let three = (0..count).flat_map(|one| (one + 1..count).flat_map(move |two| with(one, two)));
        // The more share, the less there is to beat.
        all.splice(0..0, three);
    }
    all
}

/// How rails on one transformer are rectified.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    /// Which rails: first the one that lists what all share, which is a side of the tap where there is one.
    pub(super) rails: Vec<usize>,
    /// Topology of each.
    pub(super) topologies: Vec<Topology>,
}

/// Every way that the requirement allows: a bridge for each, or one for the two sides of a tap and for each other.
pub(super) fn plans(inputs: Inputs<'_>, rails: &[usize]) -> Vec<Plan> {
    let allowed: Vec<Topology> =
        inputs.requirement.topologies.iter().map(|&topology| circuit_topology(topology)).collect();
    let mut found = Vec::new();
    let (bridge, tap) = (Topology::Bridge, Topology::DualComplementary);
    if allowed.contains(&bridge) {
        found.push(Plan { rails: rails.to_vec(), topologies: vec![bridge; rails.len()] });
    }
    if !allowed.contains(&tap) || (rails.len() > 2 && !allowed.contains(&bridge)) {
        return found;
    }
    for (at, &one) in rails.iter().enumerate() {
        for &other in rails.iter().skip(at + 1).filter(|&&other| opposite(inputs, one, other)) {
            let rest = rails.iter().copied().filter(|&rail| rail != one && rail != other);
            let rails: Vec<usize> = [one, other].into_iter().chain(rest).collect();
            let topologies = (0..rails.len()).map(|place| if place < 2 { tap } else { bridge }).collect();
            found.push(Plan { rails, topologies });
        }
    }
    found
}

/// Whether two rails have opposite signs: only then a tap serves both.
fn opposite(inputs: Inputs<'_>, one: usize, other: usize) -> bool {
    let sign = |at: usize| inputs.requirement.rails.get(at).map(|rail| rail.polarity);
    sign(one) != sign(other)
}

/// Most diodes of one rail: four that rectify and one across an output.
const DIODES_MOST: u32 = 5;

/// Most pieces of what stands in a position that so many rails on one transformer take, wherever else in them it may stand.
pub fn pieces_most(inputs: Inputs<'_>, rails: usize, position: Position) -> u32 {
    let each = match position {
        Position::Transformer | Position::PrimaryFuse | Position::CutOut | Position::InrushLimiter => {
            return 1;
        }
        Position::Regulator => 1,
        Position::RegulatorSink | Position::RectifierSink => DIODES_MOST,
        _ => DIODES_MOST.max(inputs.requirement.preferences.parallel_max),
    };
    u32::try_from(rails).unwrap_or(u32::MAX).saturating_mul(each)
}

/// The catalog at prices that no order for so many rails undercuts.
pub(super) fn prices(inputs: Inputs<'_>, rails: usize) -> Shop<'_> {
    let catalog = inputs.catalog;
    let rails = u32::try_from(rails).unwrap_or(u32::MAX);
    let banks = rails.saturating_mul(inputs.requirement.preferences.parallel_max);
    let mut most: BTreeMap<String, u32> = BTreeMap::new();
    let mut put = |common: &Common, count: u32| {
        most.insert(common.id.0.clone(), count);
    };
    catalog.diodes.iter().for_each(|one| put(&one.common, DIODES_MOST * rails));
    catalog.bridges.iter().for_each(|one| put(&one.common, rails));
    catalog.electrolytics.iter().for_each(|one| put(&one.common, banks));
    catalog.small_capacitors.iter().for_each(|one| put(&one.common, 2 * rails));
    catalog.regulators.iter().for_each(|one| put(&one.common, rails));
    catalog.sinks.iter().for_each(|one| put(&one.common, 2 * rails));
    catalog.pads.iter().for_each(|one| put(&one.common, 2 * rails));
    catalog.resistors.iter().for_each(|one| put(&one.common, 4 * rails));
    Shop::open(catalog, inputs.requirement, View::Shared { most: &most, paid: &BTreeMap::new() })
}
