//! dc operating area of the pass transistors, in service and with the output shorted.

use crate::{
    circuit::supply::Body,
    physics::pass::OperatingArea,
    quantity::{Celsius, Volts},
    stress::{
        bench::{Bench, Worst},
        pass_point::PassNumbers,
        position::Position,
        registry::{Group, Page, Rule},
        regulator_point::{self, RegulatorStage},
        stage, tell,
        verdict::{Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-operating-area",
        asks: "the most loaded pass transistor stays within its derated dc operating area at its case temperature, in service and in a short",
        why: "second breakdown destroys a transistor whose voltage, current and mean heat are each within their ratings",
        worst: "mains +; shorted: from the no-load peak, at the greatest current that the limit transistor lets pass",
        limits: "dc throughout, as if the short lasted; it ends when the regulator on the same sink shuts down",
        source: "dc line of the part's row, straight in log-log, times (T_j,max − T_c)/(T_j,max − T_s); T_c = T_sink + P R_cs",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    let Some(pass) = bench.assembly.regulation.as_ref().and_then(|one| one.pass.as_ref()) else {
        return verdicts.push(tell::idle(code, at, "the rail has no pass transistors"));
    };
    if bench.points.is_empty() {
        // Nothing is known of the sink but that it is no cooler than the air: the least that the short can be.
        let numbers = PassNumbers::of(bench.asked, pass);
        let (volts, amps) = (bench.no_load_peak_v(), numbers.limit_each_a());
        let cooling = bench.assembly.regulation.as_ref().and_then(|one| one.cooling);
        let to_case =
            cooling.and_then(|one| Some(one.pad.resistance.get(&pass.part.common.package)?.0)).unwrap_or(0.0);
        let case_c = Celsius(bench.supply.air.hot_c + to_case * volts * amps);
        let area = OperatingArea::new(&pass.part.operating_area, pass.part.area_case, pass.part.junction_max);
        let allowed = area.ok().and_then(|area| area.current_at(Volts(volts), case_c));
        let at_least = bench.against(code, at, amps, allowed.map_or(0.0, |allowed| allowed.0), Unit::Amps);
        return verdicts
            .push(Verdict::Stress(Stress { note: "output shorted, sink cold".to_owned(), ..at_least }));
    }
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let path = match stage.heat_path(bench) {
        Err(why) => return verdicts.push(regulator_point::unbuildable(code, &why)),
        Ok(path) => path,
    };
    let Some((_, to_case)) = stage.pass_to_sink() else {
        let text = "sink or insulating pad does not take the transistors' package".to_owned();
        return verdicts.push(tell::fact(code, at, false, text));
    };
    let Ok(area) = OperatingArea::new(&pass.part.operating_area, pass.part.area_case, pass.part.junction_max)
    else {
        return verdicts.push(tell::missing(code, at, "dc operating area"));
    };
    let sink = |point: &_| path.sink_rise_k(stage.sink_heat_w(Body::Heavy, point));
    let Some(rise) = regulator_point::greatest_hot(bench, Body::Heavy, sink) else {
        return verdicts.push(tell::idle(code, at, "no warm point was solved"));
    };
    let numbers = PassNumbers::of(bench.asked, pass);
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    let output_v = bench.output.map_or(0.0, |output| output.low_v);
    let crest = bench.greatest(|point| point.crest_v - output_v);
    let (most_a, _) = numbers.most_loaded(through_a);
    let shorted = Worst { value: bench.no_load_peak_v(), ..bench.no_load(1.0) };
    for (volts, amps, note) in
        [(crest, most_a, "in service"), (shorted, numbers.limit_each_a(), "output shorted")]
    {
        let case_c = bench.supply.air.hot_c + rise.value + to_case * volts.value * amps;
        verdicts.push(match area.current_at(Volts(volts.value), Celsius(case_c)) {
            None => {
                let text = format!("{note}: {:.1} V lie beyond the operating area", volts.value);
                tell::fact(code, at, false, text)
            }
            Some(allowed) => {
                let worst = Worst { value: amps, ..volts };
                match bench.at_most(code, at, worst, allowed.0, Unit::Amps) {
                    Verdict::Stress(stress) => Verdict::Stress(Stress {
                        note: format!("{note}: {:.1} V, case at {case_c:.0} °C", volts.value),
                        ..stress
                    }),
                    other => other,
                }
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Ratio},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    fn exact() -> Fixture {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        fixture
    }

    fn stresses(fixture: &Fixture) -> Vec<Stress> {
        let verdicts = fixture.judged(&RULE).into_iter();
        verdicts
            .filter_map(|one| if let Verdict::Stress(stress) = one { Some(stress) } else { None })
            .collect()
    }

    /// By hand: the 125 W hyperbola at the voltage, derated from 25 °C to 150 °C at the case; the short at (0.9 + 0.05)/0.2 A.
    #[test]
    fn the_line_is_derated_to_the_case_in_service_and_in_a_short() {
        let fixture = exact();
        let found = stresses(&fixture);
        let bench = fixture.bench();
        let [service, short] = found.as_slice() else { panic!("two stresses: {found:?}") };
        assert_relative_eq!(service.applied, 2.685_484, max_relative = 1e-6);
        assert_relative_eq!(short.applied, 4.75, max_relative = 1e-9);
        let hottest = bench.points.iter().map(|point| {
            let watts = (point.mean_v - 11.76 - 0.487_097) * 8.0 + (point.mean_v - 0.487_097) * 0.005;
            if point.vertex.load == crate::circuit::corner::End::High { watts } else { 0.0 }
        });
        let sink_k = (hottest.fold(0.0, f64::max) * 0.2 * 75.0_f64.powf(0.25)).powf(0.8);
        let volts = bench.no_load_peak_v();
        let case_c = 45.0 + sink_k + 0.5 * volts * 4.75;
        let allowed = 125.0 / volts * ((150.0 - case_c) / 125.0).max(0.0);
        assert_relative_eq!(short.limit, allowed, max_relative = 0.02, epsilon = 0.02);
    }

    /// More ballast limits lower: the short then lies inside.
    #[test]
    fn a_short_beyond_the_area_fails() {
        let mut fixture = exact();
        fixture.pass = Some((3, 0.5, 2.0));
        fixture.transistor.operating_area = vec![(Volts(12.5), Amps(100.0)), (Volts(60.0), Amps(60.0))];
        assert!(fixture.holds(&RULE));
        fixture.transistor.operating_area = vec![(Volts(5.0), Amps(10.0)), (Volts(60.0), Amps(0.1))];
        assert!(!fixture.holds(&RULE));
        fixture.transistor.operating_area = vec![(Volts(5.0), Amps(100.0)), (Volts(20.0), Amps(50.0))];
        assert!(matches!(fixture.judged(&RULE).last(), Some(Verdict::Fact { holds: false, .. })));
        fixture.transistor.operating_area.truncate(1);
        assert!(fixture.misses(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}
