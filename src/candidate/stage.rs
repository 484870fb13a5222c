//! Every regulator stage: regulator, set resistors and minimum-load resistor; sinks come later, pass transistors in [`pass`].

use crate::{
    catalog::{
        Regulator,
        family::regulator::{Setting, Tab},
    },
    circuit::supply::{HeatPath, Span},
    requirement::{Polarity, Regulation as Wish},
    stress::{
        assembly::{Cooling, Regulation, ResistorChoice},
        bench::{Asked, left_of},
        convert::sink_path,
        position::Position,
        resistor::{choose_minimum_load, choose_set, missing_minimum_load_a},
        stage::{Output, load_high_a, output_of},
        verdict::EQUALITY,
    },
};

use super::{
    pass,
    rectifier::coolings,
    shop::{Priced, Shop},
};

/// One regulator stage without its sink.
#[derive(Clone, Debug)]
pub struct StageOption<'a> {
    /// Regulator and resistors; sink, capacitors and diode still open. `None` for a raw rail.
    pub regulation: Option<Regulation<'a>>,
    /// Least input voltage that could pass at any corner: least greatest-output, least drop-out, headroom, V.
    pub need_v: f64,
    /// Output with nominal set resistors, V; zero for a raw rail.
    pub set_v: f64,
    /// Greatest raw ripple that its whole rejection could bring within the limit, V peak to peak.
    pub raw_ripple_v: f64,
    /// Greatest no-load input voltage that the policy leaves, V.
    pub input_limit_v: f64,
    /// Score of regulator and resistors.
    pub score: f64,
    /// Least score of whatever cools it.
    pub cooling_score: f64,
    /// Every way its heat could leave, cheapest first.
    pub coolings: Vec<CoolingOption<'a>>,
}

/// One way to cool a regulator.
#[derive(Clone, Copy, Debug)]
pub struct CoolingOption<'a> {
    /// Sink and pad; `None` in free air.
    pub cooling: Option<Cooling<'a>>,
    /// Score of both.
    pub score: f64,
    /// As plain numbers.
    pub path: HeatPath,
    /// The least that stands between all the heat and the junction: the same, but with pass transistors the sink alone.
    pub bearing: HeatPath,
}

/// All stages that could serve a rail, cheapest first; of equal ones by ids.
///
/// Where no single regulator serves with ease, also those with pass transistors; see [`pass::offered`].
pub fn stages<'a>(asked: Asked<'_>, shop: &Shop<'a>) -> Vec<StageOption<'a>> {
    let mut found = singles(asked, shop, load_high_a(asked.rail));
    if pass::offered(asked, &found) {
        let mut all = singles(asked, shop, 0.0);
        all.sort_by(|a, b| a.score.total_cmp(&b.score).then_with(|| key(a).cmp(&key(b))));
        found.extend(pass::with_transistors(asked, shop, &all));
    }
    found.sort_by(|a, b| a.score.total_cmp(&b.score).then_with(|| key(a).cmp(&key(b))));
    found
}

/// Every single regulator that carries a current, unsorted.
fn singles<'a>(asked: Asked<'_>, shop: &Shop<'a>, carried_a: f64) -> Vec<StageOption<'a>> {
    let rail = asked.rail;
    let mut found = Vec::new();
    for priced in &shop.regulators {
        let part = priced.part;
        let fits = match (rail.regulation, part.setting) {
            (Wish::None, _)
            | (Wish::Fixed, Setting::Adjustable { .. })
            | (Wish::Adjustable, Setting::Fixed { .. }) => false,
            (_, Setting::Fixed { output }) => {
                (output.0 - rail.voltage.0).abs() <= rail.tolerance.0 * rail.voltage.0
            }
            (_, Setting::Adjustable { output_min, output_max, .. }) => {
                (output_min.0..=output_max.0).contains(&rail.voltage.0)
            }
        };
        let polarity = part.positive == (rail.polarity == Polarity::Positive);
        let current = left_of(asked.policy, "regulator-output-current", part.output_current.0);
        if !fits || !polarity || current < carried_a * (1.0 - 1e-9) {
            continue;
        }
        match part.setting {
            Setting::Fixed { .. } => with_minimum_load(asked, shop, &mut found, priced, None, 0.0),
            Setting::Adjustable { .. } => {
                for series in &shop.resistors {
                    if let Some(set) = choose_set(asked, part, series.part, series.part) {
                        with_minimum_load(asked, shop, &mut found, priced, Some(set), 2.0 * series.score(1));
                    }
                }
            }
        }
    }
    found.retain(|stage| stage.score.is_finite());
    found
}

/// The one stage of a raw rail.
///
/// The window holds for the mean, so a valley may lie below it: by the ripple that is allowed, and no further, since the mean
/// does not pass the crest.
pub fn raw(asked: Asked<'_>) -> StageOption<'static> {
    let ripple_v = left_of(asked.policy, "raw-ripple", asked.rail.ripple.0.0);
    StageOption {
        regulation: None,
        need_v: asked.rail.voltage.0 * (1.0 - asked.rail.tolerance.0) - ripple_v,
        set_v: 0.0,
        raw_ripple_v: ripple_v,
        input_limit_v: asked.rail.voltage.0 * (1.0 + asked.rail.tolerance.0),
        score: 0.0,
        cooling_score: 0.0,
        coolings: Vec::new(),
    }
}

fn key<'a>(stage: &StageOption<'a>) -> ([&'a str; 4], u32) {
    let id = |choice: Option<ResistorChoice<'a>>| choice.map_or("", |one| one.series.common.id.0.as_str());
    stage.regulation.as_ref().map_or(([""; 4], 0), |regulation| {
        let ids = [
            regulation.part.common.id.0.as_str(),
            regulation.pass.map_or("", |pass| pass.part.common.id.0.as_str()),
            id(regulation.set.map(|(upper, _)| upper)),
            id(regulation.minimum_load),
        ];
        (ids, regulation.pass.map_or(0, |pass| pass.count))
    })
}

/// Adds the stage with each resistor series that could draw the missing minimum load, or without where none is missing.
fn with_minimum_load<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    found: &mut Vec<StageOption<'a>>,
    priced: &Priced<'a, Regulator>,
    set: Option<(ResistorChoice<'a>, ResistorChoice<'a>)>,
    resistors: f64,
) {
    let part = priced.part;
    let narrow =
        Span { low: asked.rail.voltage.0, nominal: asked.rail.voltage.0, high: asked.rail.voltage.0 };
    let Ok(output) = output_of(asked, part, set, narrow) else { return };
    // The line term is still missing, so this is the least error there can be.
    let error = (output.terms.setting + output.terms.spread()) / asked.rail.voltage.0;
    if error > asked.rail.tolerance.0 * (1.0 + EQUALITY) {
        return;
    }
    let mut add = |minimum_load: Option<(ResistorChoice<'a>, f64)>| {
        found.push(option(asked, shop, priced, set, minimum_load, resistors, &output));
    };
    if missing_minimum_load_a(asked, part, set) <= 0.0 {
        add(None);
        return;
    }
    for series in &shop.resistors {
        if let Some(choice) = choose_minimum_load(asked, part, &output, set, series.part) {
            add(Some((choice, series.score(1))));
        }
    }
}

fn option<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    priced: &Priced<'a, Regulator>,
    set: Option<(ResistorChoice<'a>, ResistorChoice<'a>)>,
    minimum_load: Option<(ResistorChoice<'a>, f64)>,
    resistors: f64,
    output: &Output,
) -> StageOption<'a> {
    let part = priced.part;
    let least_drop = part.drop_out.iter().map(|point| point.voltage.0).fold(f64::INFINITY, f64::min);
    let headroom = asked.policy.limits.get("regulator-headroom").map_or(0.0, |limit| match limit.kind {
        crate::policy::LimitKind::AtLeast(volts) => volts,
        _ => 0.0,
    });
    let own = part
        .input_max
        .map_or(f64::INFINITY, |volts| left_of(asked.policy, "regulator-input-voltage", volts.0));
    let across = part
        .differential_max
        .map_or(f64::INFINITY, |volts| left_of(asked.policy, "regulator-differential-voltage", volts.0));
    let ways = ways(asked, shop, part);
    StageOption {
        regulation: Some(Regulation {
            part,
            cooling: None,
            set,
            minimum_load: minimum_load.map(|(choice, _)| choice),
            input: None,
            output: None,
            reverse_diode: None,
            clamp_diode: None,
            pass: None,
        }),
        need_v: output.high_v + least_drop + headroom,
        set_v: output.set_v,
        // A part that states no rejection fails by its rule, not here.
        raw_ripple_v: part
            .rejection
            .map_or(f64::INFINITY, |stated| asked.rail.ripple.0.0 * 10.0_f64.powf(stated.decibels / 20.0)),
        input_limit_v: own.min(across),
        score: priced.score(1) + resistors + minimum_load.map_or(0.0, |(_, score)| score),
        cooling_score: ways.first().map_or(f64::INFINITY, |way| way.score),
        coolings: ways,
    }
}

/// Whether the mounting tab may touch the sink without insulation.
pub fn tab_may_touch(part: &Regulator) -> bool {
    matches!(part.tab, Tab::Ground | Tab::Insulated)
}

/// Every way to cool a stage, cheapest first.
pub fn ways_of<'a>(asked: Asked<'_>, shop: &Shop<'a>, regulation: &Regulation<'a>) -> Vec<CoolingOption<'a>> {
    match &regulation.pass {
        Some(pass) => pass::ways_of(asked, shop, regulation.part, pass),
        None => ways(asked, shop, regulation.part),
    }
}

/// Free air where the maker states it, then each sink that fits over each pad that covers.
fn ways<'a>(asked: Asked<'_>, shop: &Shop<'a>, part: &Regulator) -> Vec<CoolingOption<'a>> {
    let package = &part.common.package;
    let free = part.junction_air.map(|one| CoolingOption {
        cooling: None,
        score: 0.0,
        path: HeatPath::Direct(one.0),
        bearing: HeatPath::Direct(one.0),
    });
    let sunk = coolings(shop, package, 1, tab_may_touch(part)).into_iter().filter_map(|(cooling, score)| {
        let position = Position::RegulatorSink;
        let path = sink_path(part.junction_case.0, package, &cooling, asked.requirement, position).ok()?;
        Some(CoolingOption { cooling: Some(cooling), score, path, bearing: path })
    });
    free.into_iter().chain(sunk).collect()
}
