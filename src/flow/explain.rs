//! From what a search found to what a reader is told: topologies side by side, alternatives, notes.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::{
    candidate::price,
    circuit::spec::Topology,
    quantity::{Currency, Money},
    record::write::topology_key,
    requirement::{self, Requirement},
    review::{Choice, Figure, Outcome, SearchNote, TopologyRow, Unit},
    selection::{
        choose::{Inputs, RailOutcome, Searches, TopologyOutcome},
        joint::Joint,
        leaf::Found,
        search::{Circuit, follows},
        tally::Tally,
    },
    stress::assembly::{Assembly, Wiring},
};

use super::{
    alternatives::{alternatives, circuit_of},
    coupled::{Shared, names},
    refuse::miss_text,
};

/// Cost of one supply at the build quantity, each kind of part ordered once for all the rails given.
pub(super) fn cost(requirement: &Requirement, rails: &[Assembly<'_>]) -> Option<Money> {
    let mut counts: BTreeMap<(String, u64), (u32, &crate::catalog::Common)> = BTreeMap::new();
    for line in rails.iter().flat_map(Assembly::lines) {
        let value = line.value.map_or(0, |ohms| ohms.0.to_bits());
        counts.entry((line.common.id.0.clone(), value)).or_insert((0, line.common)).0 += line.count;
    }
    let mut total = Decimal::ZERO;
    for (count, common) in counts.into_values() {
        total =
            total.checked_add(price::batch_cost(common, requirement, price::need(requirement, count))?)?;
    }
    let amount = total.checked_div(Decimal::from(requirement.build_quantity))?;
    Some(Money { amount, currency: Currency::new(&requirement.currency)? })
}

/// Volume of all parts, m³.
pub(super) fn volume_m3(rails: &[Assembly<'_>]) -> f64 {
    let lines = rails.iter().flat_map(Assembly::lines);
    lines.map(|line| line.common.volume().0 * f64::from(line.count)).sum()
}

fn best(requirement: &Requirement, found: &Found<'_>, chosen: bool) -> Option<Outcome> {
    let assembly = &found.assembly;
    let rating = assembly.transformer.rating.0;
    let rail_w = found.raw_w;
    Some(Outcome::Best {
        cost: cost(requirement, &[*assembly])?,
        loss: Figure::new(found.loss_w, Unit::Watts)?,
        volume: Figure::new(volume_m3(&[*assembly]), Unit::CubicMetres)?,
        rating: Figure::new(rating, Unit::VoltAmps)?,
        utilisation: Figure::new(rail_w / rating, Unit::Percent)?,
        parts: assembly.lines().iter().map(|line| line.common.id.0.clone()).collect(),
        chosen,
    })
}

/// What came of one topology.
fn outcome(requirement: &Requirement, one: &TopologyOutcome<'_>) -> Outcome {
    one.best
        .as_ref()
        .and_then(|found| best(requirement, found, false))
        .unwrap_or_else(|| impossible(&one.tally))
}

fn impossible(tally: &Tally) -> Outcome {
    tally.binding().map_or_else(
        || Outcome::Impossible {
            position: String::from("transformer"),
            stress: String::from("no candidate"),
            by: String::from("the catalog has no combination of transformer, rectifier and reservoir for it"),
        },
        |(code, miss)| Outcome::Impossible {
            position: miss.position.words().to_owned(),
            stress: code.to_owned(),
            by: miss_text(miss),
        },
    )
}

/// A circuit in words.
pub(super) fn circuit_key(circuit: Circuit) -> String {
    let topology = topology_key(circuit.topology);
    match circuit.second {
        None => topology.to_owned(),
        Some(requirement::Section::ChokeInput) => format!("{topology} with choke input"),
        Some(requirement::Section::Crc) => format!("{topology} with CRC section"),
        Some(requirement::Section::Clc) => format!("{topology} with CLC section"),
    }
}

/// Every topology on every rail, those not allowed and not built included.
///
/// `chosen` is what was chosen of each rail: bought together with the others it may differ from the best alone.
pub(super) fn topologies(
    requirement: &Requirement,
    rails: &[RailOutcome<'_>],
    chosen: &[Found<'_>],
) -> Vec<TopologyRow> {
    const ALL: [requirement::Topology; 6] = [
        requirement::Topology::HalfWave,
        requirement::Topology::CentreTap,
        requirement::Topology::Bridge,
        requirement::Topology::FullWaveDoubler,
        requirement::Topology::HalfWaveDoubler,
        requirement::Topology::DualComplementary,
    ];
    let mut rows = Vec::new();
    for rail in rails {
        let Some(name) = requirement.rails.get(rail.rail).map(|one| one.name.clone()) else { continue };
        let chosen = chosen.get(rail.rail);
        let each = ALL.into_iter().flat_map(|one| {
            let of = crate::candidate::source::circuit_topology(one);
            let sections = requirement.sections.iter().copied().filter(move |&section| follows(section, of));
            std::iter::once(None).chain(sections.map(Some)).map(move |second| (one, of, second))
        });
        for (topology, topology_of, second) in each {
            let circuit = Circuit { topology: topology_of, second };
            let known = rail.topologies.iter().find(|one| one.circuit == circuit);
            let outcome = match known {
                _ if !requirement.topologies.contains(&topology) => Outcome::NotAllowed,
                Some(one) => chosen
                    .filter(|found| circuit_of(&found.assembly) == one.circuit)
                    .and_then(|found| best(requirement, found, true))
                    .unwrap_or_else(|| match topology {
                        requirement::Topology::DualComplementary => Outcome::NoPair,
                        _ if one.best.is_none() && one.tally.misses.is_empty() => Outcome::NotBuilt,
                        _ => outcome(requirement, one),
                    }),
                None => Outcome::NotBuilt,
            };
            rows.push(TopologyRow { rail: name.clone(), topology: circuit_key(circuit), outcome });
        }
    }
    rows
}

fn parts<'a>(rails: &[Found<'a>]) -> Vec<Assembly<'a>> {
    rails.iter().map(|one| one.assembly).collect()
}

/// What was asked for that this version does not design, and why.
pub(super) fn unbuilt(requirement: &Requirement) -> Option<SearchNote> {
    let regulated = requirement.rails.iter().any(|rail| rail.regulation != requirement::Regulation::None);
    (regulated && requirement.sections.contains(&requirement::Section::ChokeInput)).then(|| {
        let text = "a choke input before a regulator is not designed: without load its reservoir rises to the peak of the EMF, and at \
                    switch-on it may ring to twice that, which the regulator would have to bear";
        SearchNote { text: String::from(text) }
    })
}

/// What the search adds to a design of which some rails share a transformer.
pub(super) fn coupled<'a>(
    inputs: Inputs<'a>,
    searches: &Searches<'_, 'a>,
    rails: &[RailOutcome<'a>],
    shared: &Shared<'a>,
    apart: Option<&Joint<'a>>,
) -> Choice {
    let requirement = inputs.requirement;
    let found = shared.group.first().and_then(|&first| shared.rails.get(first));
    let tapped = found.is_some_and(|found| found.assembly.topology == Topology::DualComplementary);
    let unlike = matches!(
        found.map(|found| found.assembly.wiring),
        Some(Wiring::First | Wiring::Second | Wiring::Third)
    );
    let several = shared.group.len() > 2;
    let how = match (tapped, unlike, several) {
        (true, _, false) => "a tapped winding and one rectifier",
        (true, _, true) => "a tapped winding with one rectifier and a third winding with another",
        (false, true, false) => "two unlike secondaries and a rectifier each",
        (false, _, true) => "a secondary and a rectifier each",
        (false, false, false) => "two equal secondaries and a rectifier each",
    };
    let alike = match (unlike, several) {
        (_, true) => "their turns and their loads",
        (true, _) => "its turns and its load",
        _ => "its load",
    };
    let (both, other, group) = if several {
        ("all are", "the other rails", "no other")
    } else {
        ("both are", "the other rail", "no pair")
    };
    let mut notes = vec![SearchNote {
        text: format!(
            "{} share one transformer, by {how}; {both} solved together at every vertex, {other} idle and \
             fully laden. Trains were sought with {other} taken as alike but for {alike}: that {group} scores less \
             was not proven",
            names(requirement, &shared.group)
        ),
    }];
    if let Some(saved) = apart.and_then(|joint| {
        Some((cost(requirement, &parts(&shared.rails))?, cost(requirement, &parts(&joint.rails))?))
    }) {
        let (own, with) = saved;
        let amount = |money: Money| Money { amount: money.amount.round_dp(2), ..money };
        notes.push(SearchNote {
            text: format!(
                "the best with a transformer for each rail costs {}, this one {}",
                amount(with),
                amount(own)
            ),
        });
    }
    notes.extend(unbuilt(requirement));
    Choice {
        topologies: topologies(requirement, rails, &shared.rails),
        alternatives: alternatives(inputs, searches, rails, &shared.rails, apart),
        notes,
    }
}

/// What the search adds to a design.
pub(super) fn choice<'a>(
    inputs: Inputs<'a>,
    searches: &Searches<'_, 'a>,
    rails: &[RailOutcome<'a>],
    joint: &Joint<'a>,
    refused: usize,
) -> Choice {
    let requirement = inputs.requirement;
    let mut notes = vec![SearchNote {
        text: String::from(
            "everything else in the catalog was turned down by a rule, or by a bound that no rule undercuts, or costs \
             more; every rule holds for the design at every vertex",
        ),
    }];
    if !joint.proven {
        let percent = 100.0 * (joint.score - joint.bound) / joint.score;
        notes.push(SearchNote {
            text: format!(
                "over all rails together, with the price breaks they share, no combination scores less than {percent:.2} % \
                 below this one: nearer the search did not prove it"
            ),
        });
    }
    let searched = |choke_input: bool| {
        let mut seconds = rails.iter().flat_map(|rail| &rail.topologies).filter_map(|one| one.circuit.second);
        seconds.any(|one| (one == requirement::Section::ChokeInput) == choke_input)
    };
    let measured = "trains were let go unsolved where one like them missed a limit by more than 2 %, or where nothing protected a \
                    dozen in a row: that another would miss too is measured, not proven";
    if searched(true) {
        notes.push(SearchNote { text: format!("behind a choke input, {measured}") });
    }
    if searched(false) {
        let text = format!(
            "before a second section, {measured}; nor is what room its first bank leaves it, nor that half of an estimated ripple is a bound; at most 20 000 trains of \
             each circuit were solved"
        );
        notes.push(SearchNote { text });
    }
    notes.extend(unbuilt(requirement));
    let passes =
        joint.rails.iter().any(|one| one.assembly.regulation.is_some_and(|stage| stage.pass.is_some()));
    if passes && searched(false) {
        let text = "pass transistors were looked at behind a reservoir alone, not behind a second section";
        notes.push(SearchNote { text: String::from(text) });
    }
    if rails.len() > 1 && joint.rails.iter().any(|one| one.assembly.section.is_some()) {
        let text = "a rail with a second section stays as it is best alone: another with one, which might share more with the other \
                    rails, was not weighed";
        notes.push(SearchNote { text: String::from(text) });
    }
    if refused > 0 {
        notes.push(SearchNote {
            text: format!(
                "{refused} better combination{} failed the audit of the whole supply and {} left out",
                if refused == 1 { "" } else { "s" },
                if refused == 1 { "was" } else { "were" }
            ),
        });
    }
    Choice {
        topologies: topologies(requirement, rails, &joint.rails),
        alternatives: alternatives(inputs, searches, rails, &joint.rails, None),
        notes,
    }
}
