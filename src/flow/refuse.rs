//! From what stood in the way to what a reader is told when nothing fits.

use crate::{
    requirement::Requirement,
    review::{self, Binding, Figure, Infeasible, Relaxation, SearchNote, Unit},
    selection::{
        choose::{Inputs, RailOutcome},
        relax,
        tally::{Depth, Miss, Tally},
    },
    stress::registry,
};

use super::{Asked, explain};

/// Links shown of the chain that leads to what binds.
const CHAIN_LENGTH: usize = 5;

/// How far the best part misses, in words and figures.
pub(super) fn miss_text(miss: &Miss) -> String {
    let mut text = match miss.figures {
        Some((applied, allowed, unit)) => {
            let print = |value: f64| {
                Figure::new(value, Unit::from(unit)).map_or_else(|| "—".to_owned(), Figure::text)
            };
            let by = if miss.utilisation.is_finite() {
                format!(", {:.0} % of the limit", 100.0 * miss.utilisation)
            } else {
                String::new()
            };
            format!("`{}`: {} applied, {} allowed{by}", miss.part, print(applied), print(allowed))
        }
        None => format!("`{}`: {}", miss.part, miss.text),
    };
    if let Some(vertex) = miss.vertex {
        text = format!("{text} ({})", vertex.text());
    }
    text
}

/// What a depth means in the chain of decisions.
fn depth_words(depth: Depth) -> &'static str {
    match depth {
        Depth::Part => "the part by itself",
        Depth::Source => "transformer and mains",
        Depth::Rectifier => "transformer with rectifier",
        Depth::Reservoir => "reservoir",
        Depth::Regulator => "transformer, rectifier, reservoir and regulator together",
        Depth::Cooling => "regulator with its heat sink",
        Depth::Rest => "protection and the parts around the regulator",
    }
}

/// What binds one rail.
fn binding(requirement: &Requirement, outcome: &RailOutcome<'_>, tally: &Tally) -> Option<Binding> {
    let rail = requirement.rails.get(outcome.rail)?.name.clone();
    let (code, miss) = tally.binding()?;
    let mut links: Vec<(&String, &Miss)> = tally.misses.iter().collect();
    links.sort_by(|a, b| b.1.count.cmp(&a.1.count).then(a.0.cmp(b.0)));
    let mut chain: Vec<String> = links
        .iter()
        .take(CHAIN_LENGTH)
        .map(|(code, miss)| {
            let asks = registry::by_code(code).map_or("", |rule| rule.page.asks);
            format!(
                "{} candidates fell at {} by {code} ({asks}); nearest {}",
                miss.count,
                depth_words(miss.depth),
                miss_text(miss)
            )
        })
        .collect();
    chain.push(ended_by(code).to_owned());
    Some(Binding {
        rail,
        position: miss.position.words().to_owned(),
        stress: code.to_owned(),
        best_part: miss.part.clone(),
        misses_by: miss_text(miss),
        chain,
    })
}

/// Whether apparent power, input voltage or heat ended the search.
fn ended_by(code: &str) -> &'static str {
    match code {
        "transformer-secondary-current"
        | "transformer-primary-current"
        | "transformer-copper-loss"
        | "transformer-winding-temperature" => {
            "what ends here is the apparent power of the transformers at hand"
        }
        "regulator-input-voltage"
        | "regulator-differential-voltage"
        | "raw-voltage-window"
        | "reservoir-voltage"
        | "rectifier-reverse-voltage" => "what ends here is the voltage the parts at hand withstand",
        "regulator-junction-temperature"
        | "sink-temperature"
        | "rectifier-junction-temperature"
        | "regulator-dissipation" => "what ends here is heat",
        _ => "what ends here is the rule named above",
    }
}

/// The smallest change of each requirement alone that lets every rail be built.
fn relaxations(asked: Asked<'_>, rails: &[RailOutcome<'_>]) -> Vec<Relaxation> {
    let requirement = asked.requirement;
    let inputs = Inputs { requirement, catalog: asked.catalog, policy: asked.policy };
    let failed: Vec<usize> =
        rails.iter().filter(|outcome| outcome.best().is_none()).map(|outcome| outcome.rail).collect();
    relax::relaxations(inputs, &failed)
        .into_iter()
        .map(|change| Relaxation {
            key: requirement.knob_key(change.knob),
            from: requirement.knob_text(change.knob, requirement.asked(change.knob)),
            to: requirement.knob_text(change.knob, change.value),
            feasible: change.feasible,
        })
        .collect()
}

/// The answer when nothing fits.
pub(super) fn infeasible(asked: Asked<'_>, rails: &[RailOutcome<'_>]) -> Infeasible {
    let requirement = asked.requirement;
    let bindings = rails
        .iter()
        .filter(|outcome| outcome.best().is_none())
        .filter_map(|outcome| binding(requirement, outcome, &outcome.tally()))
        .collect();
    Infeasible {
        supply: requirement.name.clone(),
        description: requirement.description.clone(),
        bindings,
        topologies: explain::topologies(requirement, rails, &[]),
        relaxations: relaxations(asked, rails),
        notes: notes(requirement),
        assumptions: review::assumptions(requirement),
    }
}

/// What was proven of an answer that nothing fits, and what was not.
fn notes(requirement: &Requirement) -> Vec<SearchNote> {
    let ruled_out =
        "every combination of catalog parts was ruled out by a rule or by a bound that no rule undercuts";
    let but = if requirement.sections.is_empty() {
        ""
    } else {
        ", but for those with a second section or a choke input: of them some were let go by what was measured, not proven"
    };
    let sought = format!(
        "each change was sought by solving, with no more than {} trains of a topology judged in full at each \
         value: where more were left, a smaller change may do",
        relax::JUDGED_MAX
    );
    let texts = [format!("{ruled_out}{but}"), sought];
    texts.into_iter().map(|text| SearchNote { text }).chain(explain::unbuilt(requirement)).collect()
}
