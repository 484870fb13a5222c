//! Distinct alternatives to a design: on one rail the best with another transformer, with another regulator, and in each
//! other topology; the other rails kept.

use rust_decimal::Decimal;

use crate::{
    quantity::Money,
    requirement::Requirement,
    review::{Alternative, Figure, Unit},
    selection::{
        choose::{Inputs, RailOutcome, Searches},
        joint::Joint,
        leaf::{Found, order_of},
        search::Circuit,
        share,
    },
    stress::assembly::Assembly,
};

use super::explain::{circuit_key, cost, volume_m3};

/// How many are shown.
const COUNT: usize = 3;

/// A whole supply as it is weighed.
struct Weighed {
    cost: Money,
    loss_w: f64,
    volume_m3: f64,
    mass_kg: Option<f64>,
}

/// The best distinct alternatives over all rails, best first by the objective; of equal ones the first by rail and part ids.
pub(super) fn alternatives<'a>(
    inputs: Inputs<'a>,
    searches: &Searches<'_, 'a>,
    rails: &[RailOutcome<'a>],
    chosen: &[Found<'a>],
    apart: Option<&Joint<'a>>,
) -> Vec<Alternative> {
    let requirement = inputs.requirement;
    let mut ranked: Vec<(f64, usize, Found<'_>)> = Vec::new();
    let without = searches.without(rails, chosen);
    for rail in rails {
        // Of several on one transformer none is exchanged alone.
        let single = |found: &&Found<'_>| found.assembly.is_alone();
        let Some(own) = chosen.get(rail.rail).filter(single) else { continue };
        let topologies = rail.topologies.iter().filter(|one| one.circuit != circuit_of(&own.assembly));
        let mut found: Vec<Found<'_>> = topologies.filter_map(|one| one.best.clone()).collect();
        for (_, other) in without.iter().filter(|(index, _)| *index == rail.rail) {
            if !found.iter().any(|known| order_of(&known.assembly) == order_of(&other.assembly)) {
                found.push(other.clone());
            }
        }
        for other in found {
            let with = replaced(chosen, rail.rail, &other);
            let score = share::score(requirement, with.iter().map(|one| (one.assembly, one.loss_w)));
            ranked.push((score, rail.rail, other));
        }
    }
    ranked.sort_by(|a, b| {
        a.0.total_cmp(&b.0)
            .then(a.1.cmp(&b.1))
            .then_with(|| order_of(&a.2.assembly).cmp(&order_of(&b.2.assembly)))
    });
    let Some(own) = weigh(requirement, chosen) else { return Vec::new() };
    apart
        .and_then(|joint| separate(requirement, chosen, &own, joint))
        .into_iter()
        .chain(one_by_one(requirement, chosen, &own, ranked))
        .take(COUNT)
        .collect()
}

/// The circuit of an assembly.
pub(super) fn circuit_of(assembly: &Assembly<'_>) -> Circuit {
    Circuit {
        topology: assembly.topology,
        second: assembly.section.map(crate::stress::assembly::Section::kind),
    }
}

/// A transformer for each rail instead of one for several.
fn separate(
    requirement: &Requirement,
    chosen: &[Found<'_>],
    own: &Weighed,
    joint: &Joint<'_>,
) -> Option<Alternative> {
    let with = weigh(requirement, &joint.rails)?;
    let (gains, losses) = balance(own, &with)?;
    let shared = |(rail, found): (&crate::requirement::Rail, &Found<'_>)| {
        (!found.assembly.is_alone()).then(|| rail.name.clone())
    };
    let names: Vec<String> = requirement.rails.iter().zip(chosen).filter_map(shared).collect();
    let ids = joint.rails.iter().zip(chosen).filter(|(_, own)| !own.assembly.is_alone());
    let ids: Vec<&str> = ids.map(|(found, _)| found.assembly.transformer.common.id.0.as_str()).collect();
    let all = if names.len() > 2 { "all" } else { "both" };
    Some(Alternative {
        rail: names.join(", "),
        differs: vec![format!("a transformer each ({}) instead of one for {all}", ids.join(", "))],
        gains,
        losses,
        cost: with.cost,
        loss: Figure::new(with.loss_w, Unit::Watts)?,
        volume: Figure::new(with.volume_m3, Unit::CubicMetres)?,
        mass: with.mass_kg.and_then(|mass| Figure::new(mass, Unit::Kilograms)),
    })
}

/// What another train of one rail would gain and lose.
fn one_by_one<'r>(
    requirement: &'r Requirement,
    chosen: &'r [Found<'_>],
    own: &'r Weighed,
    ranked: Vec<(f64, usize, Found<'r>)>,
) -> impl Iterator<Item = Alternative> {
    ranked.into_iter().take(COUNT).filter_map(|(_, rail, other)| {
        let name = requirement.rails.get(rail)?.name.clone();
        let with = weigh(requirement, &replaced(chosen, rail, &other))?;
        let (gains, losses) = balance(own, &with)?;
        Some(Alternative {
            rail: name,
            differs: differs(&chosen.get(rail)?.assembly, &other.assembly),
            gains,
            losses,
            cost: with.cost,
            loss: Figure::new(with.loss_w, Unit::Watts)?,
            volume: Figure::new(with.volume_m3, Unit::CubicMetres)?,
            mass: with.mass_kg.and_then(|mass| Figure::new(mass, Unit::Kilograms)),
        })
    })
}

fn replaced<'a>(chosen: &[Found<'a>], rail: usize, other: &Found<'a>) -> Vec<Found<'a>> {
    let mut with = chosen.to_vec();
    if let Some(place) = with.get_mut(rail) {
        *place = other.clone();
    }
    with
}

fn weigh(requirement: &Requirement, rails: &[Found<'_>]) -> Option<Weighed> {
    let assemblies: Vec<Assembly<'_>> = rails.iter().map(|found| found.assembly).collect();
    let mass_kg = assemblies
        .iter()
        .flat_map(Assembly::lines)
        .map(|line| line.common.mass.map(|mass| mass.0 * f64::from(line.count)))
        .sum();
    Some(Weighed {
        cost: cost(requirement, &assemblies)?,
        loss_w: rails.iter().map(|found| found.loss_w).sum(),
        volume_m3: volume_m3(&assemblies),
        mass_kg,
    })
}

/// What is gained and what is lost, in words and figures.
fn balance(own: &Weighed, with: &Weighed) -> Option<(Vec<String>, Vec<String>)> {
    let (mut gains, mut losses) = (Vec::new(), Vec::new());
    let dearer = with.cost.amount.checked_sub(own.cost.amount)?.round_dp(2);
    let price = Money { amount: dearer.abs(), currency: own.cost.currency };
    match dearer.cmp(&Decimal::ZERO) {
        std::cmp::Ordering::Less => gains.push(format!("{price} cheaper")),
        std::cmp::Ordering::Greater => losses.push(format!("{price} dearer")),
        std::cmp::Ordering::Equal => {}
    }
    let mut weigh = |more: f64, of: f64, unit: Unit, words: (&str, &str)| {
        let Some(figure) = Figure::new(more.abs(), unit) else { return };
        if more.abs() <= LEAST_DIFFERENCE * of.abs() {
            return;
        }
        let (list, word) = if more < 0.0 { (&mut gains, words.0) } else { (&mut losses, words.1) };
        list.push(format!("{} {word}", figure.text()));
    };
    weigh(with.loss_w - own.loss_w, own.loss_w, Unit::Watts, ("less loss", "more loss"));
    weigh(with.volume_m3 - own.volume_m3, own.volume_m3, Unit::CubicMetres, ("smaller", "larger"));
    if let (Some(with), Some(own)) = (with.mass_kg, own.mass_kg) {
        weigh(with - own, own, Unit::Kilograms, ("lighter", "heavier"));
    }
    Some((gains, losses))
}

/// Relative difference that is worth a word.
const LEAST_DIFFERENCE: f64 = 0.005;

/// Where two rails differ: topology and main parts.
fn differs(own: &Assembly<'_>, other: &Assembly<'_>) -> Vec<String> {
    let mut found = Vec::new();
    if circuit_of(own) != circuit_of(other) {
        found.push(format!("{} instead of {}", circuit_key(circuit_of(other)), circuit_key(circuit_of(own))));
    }
    let main = |assembly: &Assembly<'_>| {
        [
            ("transformer", assembly.transformer.common.id.0.clone()),
            ("rectifier", assembly.rectifier.common().id.0.clone()),
            (
                "reservoir",
                format!("{} × {}", assembly.reservoir_count(), assembly.reservoir.part.common.id.0),
            ),
            (
                "regulator",
                assembly.regulation.as_ref().map_or_else(String::new, |one| one.part.common.id.0.clone()),
            ),
        ]
    };
    for ((position, own), (_, other)) in main(own).into_iter().zip(main(other)) {
        if own != other {
            found.push(format!("{position}: {other} instead of {own}"));
        }
    }
    found
}
