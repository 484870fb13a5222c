//! Regulators with pass transistors beside them: for rails that one regulator cannot carry, or hardly cool.
//!
//! Offered only where no single regulator carries the current, or none of those that do could bear twice the least heat that
//! the rail must bring; every other rail is searched as if there were none. Each regulator stands here once, with the cheapest
//! set and minimum-load resistors; ballast and drive resistors follow a rule and take the cheapest series that bears them.

use crate::{
    catalog::{Regulator, Transistor},
    circuit::supply::{HeatPath, Span},
    physics::pass::OperatingArea,
    quantity::{Celsius, Volts},
    requirement::{Polarity, Regulation as Wish},
    stress::{
        assembly::{Cooling, Pass, Regulation, ResistorChoice},
        bench::{Asked, left_of},
        convert::{air_of, sink_path},
        pass_choice::{bears, carries, choose_pass, currents, limits},
        pass_point::PassNumbers,
        position::Position,
        stage::{auxiliary_of, load_high_a, output_of},
        verdict::EQUALITY,
    },
};

use super::{
    shop::{PASS_MAX, Priced, Shop},
    stage::{CoolingOption, StageOption, tab_may_touch},
};

/// Heat that a single regulator must be able to bear over the least estimated, so that pass transistors are not offered.
const AMPLE: f64 = 2.0;

/// Whether pass transistors are offered beside some stages of single regulators.
///
/// ```text
/// P = I (V_need · mains high/mains low − V_out)
/// ```
/// `I` greatest load · `V_need` least input at mains low. An estimate of what the rail must bring, not a bound: it decides what
/// is offered, and nothing is lost of what is.
pub fn offered(asked: Asked<'_>, single: &[StageOption<'_>]) -> bool {
    if asked.rail.regulation == Wish::None {
        return false;
    }
    let mains = &asked.requirement.mains;
    let ratio = (1.0 + mains.high.0) / (1.0 - mains.low.0);
    let air_c = air_of(asked).hot_c;
    let ample = |stage: &StageOption<'_>| {
        let watts = load_high_a(asked.rail) * (stage.need_v * ratio - stage.set_v).max(0.0);
        let limit_c = stage.regulation.map_or(f64::INFINITY, |one| {
            left_of(asked.policy, "regulator-junction-temperature", one.part.junction_max.0)
        });
        stage.coolings.iter().any(|way| way.path.junction_c(AMPLE * watts, air_c) <= limit_c)
    };
    !single.iter().any(ample)
}

/// Every stage with pass transistors, from the stages of all regulators whatever they carry, cheapest first.
pub fn with_transistors<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    regulators: &[StageOption<'a>],
) -> Vec<StageOption<'a>> {
    let mut seen: Vec<&str> = Vec::new();
    let mut found = Vec::new();
    for stage in regulators {
        let Some(regulation) = &stage.regulation else { continue };
        let part = regulation.part;
        if seen.contains(&part.common.id.0.as_str()) || !part.foldback.is_empty() || !part.thermal_shutdown {
            continue;
        }
        seen.push(&part.common.id.0);
        let polarity = asked.rail.polarity == Polarity::Positive;
        for transistor in shop.transistors.iter().filter(|one| one.part.pnp == polarity) {
            let ways = ways(asked, shop, part, transistor.part);
            found.extend((1..=PASS_MAX).filter_map(|count| {
                let mut option = option(asked, shop, stage, (transistor, count))?;
                let pads = |way: &CoolingOption<'a>| {
                    let cooling = way.cooling?;
                    let score = shop.sinks.iter().find(|one| std::ptr::eq(one.part, cooling.sink))?.score(1)
                        + shop.pads.iter().find(|one| std::ptr::eq(one.part, cooling.pad))?.score(count + 1);
                    score.is_finite().then_some(CoolingOption { score, ..*way })
                };
                option.coolings = ways.iter().filter_map(pads).collect();
                sort(&mut option.coolings);
                option.cooling_score = option.coolings.first()?.score;
                Some(option)
            }));
        }
    }
    found
}

/// Coolings of a stage with pass transistors, scored for its count.
pub fn ways_of<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    part: &Regulator,
    pass: &Pass<'a>,
) -> Vec<CoolingOption<'a>> {
    let mut found = ways(asked, shop, part, pass.part);
    for way in &mut found {
        let Some(cooling) = way.cooling else { continue };
        way.score =
            shop.score_of(&cooling.sink.common.id, 1) + shop.score_of(&cooling.pad.common.id, pass.count + 1);
    }
    found.retain(|way| way.score.is_finite());
    sort(&mut found);
    found
}

fn sort(ways: &mut [CoolingOption<'_>]) {
    let ids = |way: &CoolingOption<'_>| {
        way.cooling.map(|one| (one.sink.common.id.0.clone(), one.pad.common.id.0.clone()))
    };
    ways.sort_by(|a, b| a.score.total_cmp(&b.score).then_with(|| ids(a).cmp(&ids(b))));
}

/// Sinks and insulating pads that take both packages, unscored.
fn ways<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    part: &Regulator,
    transistor: &Transistor,
) -> Vec<CoolingOption<'a>> {
    let packages = [part.common.package.as_str(), transistor.common.package.as_str()];
    let mut found = Vec::new();
    for sink in &shop.sinks {
        if !packages.iter().all(|package| sink.part.mounts.iter().any(|mount| mount == package)) {
            continue;
        }
        for pad in shop.pads.iter().filter(|pad| pad.part.isolation.is_some()) {
            if !packages.iter().all(|package| pad.part.resistance.contains_key(*package)) {
                continue;
            }
            let cooling = Cooling { sink: sink.part, pad: pad.part };
            let position = Position::RegulatorSink;
            let path = sink_path(part.junction_case.0, packages[0], &cooling, asked.requirement, position);
            let Ok(path) = path else { continue };
            // All the heat warms the sink, and no junction is cooler than that.
            let bearing = match path {
                HeatPath::Sink { sink, rise_k, exponent, .. } => {
                    HeatPath::Sink { to_sink: 0.0, sink, rise_k, exponent }
                }
                direct @ HeatPath::Direct(_) => direct,
            };
            found.push(CoolingOption { cooling: Some(cooling), score: 0.0, path, bearing });
        }
    }
    // The pad that lets a regulator's tab touch its sink insulates all the same.
    debug_assert!(tab_may_touch(part) || found.iter().all(|way| way.cooling.is_some()));
    found
}

/// A stage with so many transistors of a kind; `None` where no resistor does or a current is too great.
fn option<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    stage: &StageOption<'a>,
    (transistor, count): (&Priced<'a, Transistor>, u32),
) -> Option<StageOption<'a>> {
    let regulation = stage.regulation?;
    let part = regulation.part;
    let volts = asked.rail.voltage.0;
    let narrow = Span { low: volts, nominal: volts, high: volts };
    let output = output_of(asked, part, regulation.set, narrow).ok()?;
    let beside_a = auxiliary_of(asked, Some((&regulation, &output)), None, volts).through_regulator_a();
    let (lasting_a, through_a) = currents(asked, beside_a);
    let limiter = shop.transistors.iter().find(|one| {
        one.part.pnp == transistor.part.pnp && limits(part, one.part) && one.score(1).is_finite()
    })?;
    let kinds = (transistor.part, limiter.part, count);
    let least = |choice: ResistorChoice<'_>| crate::stress::resistor::least_ohm(asked, choice);
    let mut ballasts: Vec<&Priced<'a, _>> =
        shop.resistors.iter().filter(|one| one.score(count).is_finite()).collect();
    ballasts.sort_by(|a, b| {
        a.score(count).total_cmp(&b.score(count)).then_with(|| a.common.id.cmp(&b.common.id))
    });
    let (pass, resistors) = ballasts.iter().find_map(|ballast| {
        let mut drives = shop.resistors.iter();
        loop {
            let drive = drives.next()?;
            let Some(pass) = choose_pass(asked, kinds, (ballast.part, drive.part), through_a) else {
                continue;
            };
            let numbers = PassNumbers::of(asked, &pass);
            // The drive hardly moves what the ballast carries.
            if !bears(asked, pass.ballast, numbers.most_loaded(lasting_a).0 * least(pass.ballast)) {
                return None;
            }
            if bears(asked, pass.drive, numbers.drop_v(lasting_a)) {
                return Some((pass, ballast.score(count) + drive.score(1)));
            }
        }
    })?;
    if !carries(asked, part, &pass, through_a) {
        return None;
    }
    let numbers = PassNumbers::of(asked, &pass);
    let need_v = stage.need_v + numbers.drop_v(load_high_a(asked.rail));
    // A source that holds the valley at mains low stands at least so high at mains high, without load.
    let mains = &asked.requirement.mains;
    let least_peak_v = need_v * (1.0 + mains.high.0) / (1.0 - mains.low.0);
    let area = OperatingArea::new(
        &transistor.part.operating_area,
        transistor.part.area_case,
        transistor.part.junction_max,
    );
    let allowed = area.ok()?.current_at(Volts(least_peak_v), Celsius(air_of(asked).hot_c))?;
    if numbers.limit_each_a() > left_of(asked.policy, "pass-operating-area", allowed.0) * (1.0 + EQUALITY)
        || least_peak_v > stage.input_limit_v * (1.0 + EQUALITY)
    {
        return None;
    }
    let collector_v =
        left_of(asked.policy, "pass-collector-voltage", transistor.part.collector_emitter_max.0);
    Some(StageOption {
        regulation: Some(Regulation { pass: Some(pass), ..regulation }),
        need_v,
        input_limit_v: stage.input_limit_v.min(collector_v),
        score: stage.score + transistor.score(count) + limiter.score(1) + resistors,
        coolings: Vec::new(),
        ..stage.clone()
    })
}
