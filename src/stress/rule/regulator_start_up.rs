//! Whether the output can rise against its load.

use crate::{
    physics::regulator::foldback::{LimitCurve, StartLoad},
    quantity::{Amps, Ohms, Volts},
    stress::{
        bench::Bench,
        pass_point::PassNumbers,
        position::Position,
        registry::{Group, Page, Rule},
        stage, tell,
        verdict::{Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-start-up",
        asks: "while the output rises the least current limit exceeds what the load draws, by the policy's factor",
        why: "a limit that falls with the voltage across the part (foldback) can hang a supply half way up",
        worst: "input at its no-load peak, mains +, which is the greatest voltage across the part; load +",
        limits: "the load is taken as a resistance; one that draws its whole current at once may hang where this does not; what a choke adds to the input at switch-on does not last and is left out; pass transistors take no regulator that folds back",
        source: "m = min(I_lim(V)/I_load(V)); curve: the part's row, straight between points",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some((regulation, output)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(tell::idle(code, Position::Regulator, "the rail has no regulator"));
    };
    let part = regulation.part;
    let load_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    if regulation.pass.is_some() && !part.foldback.is_empty() {
        let text =
            "a regulator that folds back would starve its pass transistors while they start".to_owned();
        return verdicts.push(tell::fact(code, Position::Regulator, false, text));
    }
    let load_a = regulation
        .pass
        .as_ref()
        .map_or(load_a, |pass| PassNumbers::of(bench.asked, pass).regulator(load_a).0);
    if load_a <= 0.0 {
        return verdicts.push(tell::idle(code, Position::Regulator, "the rail has no load"));
    }
    let input_v = bench.no_load_peak_v();
    // The curve over the output voltage: the stated points, from the greatest differential down; beyond its ends it is flat.
    let points = part.foldback.iter().rev().map(|point| (input_v - point.differential.0, point.limit));
    let at_zero = part
        .foldback
        .windows(2)
        .find_map(|pair| match pair {
            [a, b] if a.differential.0 <= input_v && input_v <= b.differential.0 => {
                let share = (input_v - a.differential.0) / (b.differential.0 - a.differential.0);
                Some(Amps(a.limit.0 + share * (b.limit.0 - a.limit.0)))
            }
            _ => None,
        })
        .or_else(|| part.foldback.last().filter(|last| input_v > last.differential.0).map(|last| last.limit))
        .unwrap_or(part.limit_min);
    let mut curve = vec![(Volts(0.0), at_zero)];
    curve.extend(points.filter(|(volts, _)| *volts > 1e-9).map(|(volts, limit)| (Volts(volts), limit)));
    let Ok(curve) = LimitCurve::new(&curve) else {
        return verdicts.push(tell::missing(
            code,
            Position::Regulator,
            "foldback curve with rising voltages",
        ));
    };
    let load = StartLoad::Resistive(Ohms(output.high_v / load_a));
    let margin = curve.start_margin(load, Volts(output.high_v)).0;
    let (limit, origin) = bench.figure(code, 1.0);
    let stress = tell::stress(code, Position::Regulator, Unit::Percent, Sense::AtLeast, margin, limit);
    let no_load = bench.no_load(1.0);
    verdicts.push(Verdict::Stress(Stress { vertex: Some(no_load.vertex), origin, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::family::regulator::Foldback;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    fn folding(differential: f64, limit: f64) -> Foldback {
        Foldback { differential: Volts(differential), limit: Amps(limit) }
    }

    /// By hand: 2.2 A of constant limit over 1.5 A.
    #[test]
    fn a_constant_limit_starts_any_resistance_it_can_feed() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 2.2 / 1.5, max_relative = 1e-9);
        assert!(stress.holds());
    }

    /// By hand: 26.438 V at the input. At 6.438 V out the part sees 20 V and gives 0.5 A; the load draws
    /// 1.5 A · 6.438/12.24 = 0.789 A.
    #[test]
    fn foldback_hangs_a_supply_half_way_up() {
        let mut fixture = Fixture::regulated();
        fixture.regulator.as_mut().unwrap().foldback =
            vec![folding(5.0, 2.2), folding(12.0, 2.0), folding(20.0, 0.5), folding(40.0, 0.3)];
        let stress = fixture.stress(&RULE);
        let output = 26.438 - 20.0;
        assert_relative_eq!(stress.applied, 0.5 / (1.5 * output / 12.24), max_relative = 1e-3);
        assert!(!stress.holds());
        fixture.regulator.as_mut().unwrap().foldback = vec![folding(5.0, 2.2), folding(30.0, 1.6)];
        assert!(fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}
