//! Resistors chosen by rule: the preferred value that does what is asked, and what a value is worth over temperature.
//!
//! Knows no price: the series is given. Used alike by selection and by review.

use crate::{
    catalog::{Regulator, ResistorSeries},
    circuit::supply::{Body, Section, Supply},
    physics::{
        bleeder,
        preferred::Series,
        regulator::set_resistors::{self, Wanted},
        resistor,
    },
    policy::LimitKind,
    quantity::{Amps, Celsius, Farads, Ohms, Ratio, Seconds, Volts, Watts},
};

use super::{
    assembly::ResistorChoice,
    bench::{Asked, Bench},
    pass_point::PassNumbers,
    position::Position,
    stage::{self, Output},
};

/// Set-resistor current that is enough where the regulator needs no minimum load, A. House practice.
const SET_CURRENT_A: f64 = 5e-3;
/// Greatest set-resistor current over the least needed: room for a good pair, little heat. House practice.
const SET_CURRENT_ROOM: f64 = 1.6;
/// Least set-resistor current over the greatest where the minimum load is drawn elsewhere. House practice.
const SET_CURRENT_LEAST: f64 = 0.2;
/// Code of the rule whose policy limit the choice of set resistors keeps.
const POWER_RULE: &str = "resistor-power";

/// Deviation of a value from nominal, both ways: tolerance, and temperature coefficient over the range of the air inside.
///
/// The resistor's own heat is not counted.
pub fn spread(asked: Asked<'_>, series: &ResistorSeries) -> f64 {
    let ambient = &asked.requirement.ambient;
    let drift = |air_c: f64| resistor::drift(series.temperature_coefficient.0, Celsius(air_c)).0.abs();
    let hot = drift(ambient.max.0 + asked.inside_rise_k);
    series.tolerance.0 + hot.max(drift(ambient.min.0))
}

/// Least value of a resistor, Ω.
pub fn least_ohm(asked: Asked<'_>, choice: ResistorChoice<'_>) -> f64 {
    choice.value.0 * (1.0 - spread(asked, choice.series))
}

/// Greatest value of a resistor, Ω.
pub fn greatest_ohm(asked: Asked<'_>, choice: ResistorChoice<'_>) -> f64 {
    choice.value.0 * (1.0 + spread(asked, choice.series))
}

/// The IEC 60063 series of a resistor series; `None` for a count that is none.
pub fn values_of(series: &ResistorSeries) -> Option<Series> {
    Series::ALL.into_iter().find(|values| values.mantissas().len() == series.per_decade as usize)
}

/// Power a resistor may take at the greatest air temperature inside, W; before policy.
pub fn power_rating(asked: Asked<'_>, series: &ResistorSeries) -> f64 {
    let air_c = asked.requirement.ambient.max.0 + asked.inside_rise_k;
    let over_k = (air_c - series.full_to.0).max(0.0);
    let room_k = series.zero_at.0 - series.full_to.0;
    let Watts(full) = series.power;
    if room_k > 0.0 { full * (1.0 - over_k / room_k).max(0.0) } else { full }
}

/// Greatest value of the series not above a bound and not above the series' end.
pub fn largest_value(series: &ResistorSeries, bound_ohm: f64) -> Option<Ohms> {
    let most = bound_ohm.min(series.to.0);
    let value = values_of(series)?.at_or_below(most)?;
    (value >= series.from.0 * (1.0 - 1e-9)).then_some(Ohms(value))
}

/// Set resistors, upper and lower, of least worst-case error.
///
/// The upper one carries the minimum load that the rail does not surely draw, where power allows; otherwise about 1 to 5 mA
/// and a minimum-load resistor is needed. Of equally good pairs the one of greatest upper value, then of greatest lower.
pub fn choose_set<'a>(
    asked: Asked<'_>,
    regulator: &Regulator,
    upper: &'a ResistorSeries,
    lower: &'a ResistorSeries,
) -> Option<(ResistorChoice<'a>, ResistorChoice<'a>)> {
    let (reference, adjust) = stage::reference_of(regulator)?;
    let target = asked.rail.voltage;
    let share = match asked.policy.limits.get(POWER_RULE).map(|limit| limit.kind) {
        Some(LimitKind::Ratio(ratio)) => ratio.0,
        _ => 1.0,
    };
    // Current at which one of the two reaches its derated power, output and reference each at nominal plus ten per cent.
    let lower_v = (target.0 - reference.nom.0).max(1e-3) * 1.1;
    let heat_a = (share * power_rating(asked, lower) / lower_v)
        .min(share * power_rating(asked, upper) / (reference.nom.0 * 1.1));
    let needed_a =
        (regulator.minimum_load_max.map_or(0.0, |amps| amps.0) - asked.rail.current_min.0).max(0.0);
    let most_a = (SET_CURRENT_ROOM * needed_a).max(SET_CURRENT_A).min(heat_a);
    let tolerance = Ratio(spread(asked, upper).max(spread(asked, lower)));
    let wanted = |current_min: f64, current_max: f64| {
        Some(Wanted {
            target,
            reference,
            adjust,
            current_min: Amps(current_min),
            current_max: Amps(current_max),
            series: values_of(upper)?,
            tolerance,
        })
    };
    let carrying = if needed_a > 0.0 { best_pair(&wanted(needed_a, most_a)?, upper, lower) } else { None };
    let relaxed_a = SET_CURRENT_A.min(heat_a);
    carrying.or_else(|| best_pair(&wanted(SET_CURRENT_LEAST * relaxed_a, relaxed_a)?, upper, lower))
}

/// The pair of least worst-case error within the current bounds.
fn best_pair<'a>(
    wanted: &Wanted,
    upper: &'a ResistorSeries,
    lower: &'a ResistorSeries,
) -> Option<(ResistorChoice<'a>, ResistorChoice<'a>)> {
    let tol = wanted.tolerance.0;
    let lower_values = values_of(lower)?;
    let most = (wanted.reference.min.0 / (wanted.current_min.0 * (1.0 + tol))).min(upper.to.0);
    let least = (wanted.reference.max.0 / (wanted.current_max.0 * (1.0 - tol))).max(upper.from.0);
    let mut best: Option<(f64, Ohms, Ohms)> = None;
    for r_1 in wanted.series.between(least, most).into_iter().rev() {
        let balanced = set_resistors::balanced_r_2(wanted, r_1);
        let neighbours = [lower_values.at_or_above(balanced), lower_values.at_or_below(balanced)];
        for r_2 in neighbours.into_iter().flatten().filter(|r_2| *r_2 >= lower.from.0 && *r_2 <= lower.to.0) {
            let divider = crate::physics::regulator::accuracy::Divider {
                r_1: Ohms(r_1),
                r_2: Ohms(r_2),
                tolerance: wanted.tolerance,
            };
            let error = set_resistors::judge(wanted, divider).worst.0;
            if best.is_none_or(|(least_error, ..)| error < least_error - 1e-12) {
                best = Some((error, divider.r_1, divider.r_2));
            }
        }
    }
    let (_, r_1, r_2) = best?;
    Some((ResistorChoice { series: upper, value: r_1 }, ResistorChoice { series: lower, value: r_2 }))
}

/// What the regulator's minimum load lacks at the output's low end, A; zero or less where nothing is missing.
pub fn missing_minimum_load_a(
    asked: Asked<'_>,
    regulator: &Regulator,
    set: Option<(ResistorChoice<'_>, ResistorChoice<'_>)>,
) -> f64 {
    let needed = regulator.minimum_load_max.map_or(0.0, |amps| amps.0);
    let set_a = set.map_or(0.0, |(upper, _)| stage::set_current_a(asked, regulator, upper, false));
    needed - asked.rail.current_min.0 - set_a
}

/// Resistor that draws what the minimum load lacks: the largest preferred value that draws it from the output's low end.
///
/// `R (1 + δ) ≤ V_out,low / I_missing`. `None` where nothing is missing, or no value of the series is small enough.
pub fn choose_minimum_load<'a>(
    asked: Asked<'_>,
    regulator: &Regulator,
    output: &Output,
    set: Option<(ResistorChoice<'_>, ResistorChoice<'_>)>,
    series: &'a ResistorSeries,
) -> Option<ResistorChoice<'a>> {
    let missing_a = missing_minimum_load_a(asked, regulator, set);
    if missing_a <= 0.0 || output.low_v <= 0.0 {
        return None;
    }
    let value = largest_value(series, output.low_v / (missing_a * (1.0 + spread(asked, series))))?;
    Some(ResistorChoice { series, value })
}

/// Bleeder: the largest preferred value that brings the reservoir to the policy's voltage within its time.
///
/// `R (1 + δ) ≤ t / (C ln(V_0 / V_d))` with the greatest capacitance and the no-load peak. `None` where that peak is no
/// higher than the policy's voltage, or no value of the series is small enough.
pub fn choose_bleeder<'a>(
    asked: Asked<'_>,
    series: &'a ResistorSeries,
    capacitance_high: Farads,
    no_load_peak: Volts,
) -> Option<ResistorChoice<'a>> {
    let parameters = &asked.policy.parameters;
    let bound = bleeder::resistance_max(
        parameters.discharge_time,
        capacitance_high,
        no_load_peak,
        parameters.discharge_voltage,
        spread(asked, series),
    )?;
    let value = largest_value(series, bound.0)?;
    Some(ResistorChoice { series, value })
}

/// The same behind a resistance that stands between two banks, their greatest capacitances given: the largest value whose time
/// the law of both allows.
pub fn choose_bleeder_of_two<'a>(
    asked: Asked<'_>,
    series: &'a ResistorSeries,
    banks: (Farads, Farads),
    between: Ohms,
    no_load_peak: Volts,
) -> Option<ResistorChoice<'a>> {
    let parameters = &asked.policy.parameters;
    let mut choice = choose_bleeder(asked, series, Farads(banks.0.0 + banks.1.0), no_load_peak)?;
    loop {
        let across = Ohms(greatest_ohm(asked, choice));
        let to = parameters.discharge_voltage;
        let time = bleeder::discharge_time_of_two(across, between, banks, no_load_peak, to);
        if time.0 <= parameters.discharge_time.0 {
            return Some(choice);
        }
        choice.value = largest_value(series, choice.value.0 * (1.0 - 1e-6))?;
    }
}

/// A resistor in its place, with the greatest voltage across it.
#[derive(Clone, Copy, Debug)]
pub struct Loaded<'a> {
    /// Where.
    pub position: Position,
    /// Which.
    pub choice: ResistorChoice<'a>,
    /// Greatest voltage across it, V.
    pub volts: f64,
}

/// Time within which a resistance across the output alone discharges the banks of a rail; see the two laws it takes.
pub fn discharge_time(bench: &Bench<'_>, across: Ohms, from: Volts, to: Volts) -> Seconds {
    let Some((between, second)) = between_banks(&bench.supply) else {
        return bleeder::discharge_time(across, Farads(bench.discharged_farad()), from, to);
    };
    let banks = (Farads(bench.supply.bank.farad.high), second);
    bleeder::discharge_time_of_two(across, between, banks, from, to)
}

/// Resistance between two banks that a bleeder discharges, and the greatest capacitance of the second; `None` with one bank.
pub fn between_banks(supply: &Supply) -> Option<(Ohms, Farads)> {
    let (ohm, second) = match supply.section {
        Some(Section::Crc(ohm, second)) => (ohm.high, second),
        // The choke's own inductance is soon spent beside the bleeder's resistance.
        Some(Section::Clc(choke, second)) => (choke.ohm_20, second),
        Some(Section::ChokeInput(_)) | None => return None,
    };
    Some((Ohms(ohm), Farads(second.farad.high)))
}

/// The resistors around the regulator, each with its greatest voltage.
pub fn around_regulator<'a>(bench: &Bench<'a>) -> impl Iterator<Item = Loaded<'a>> {
    let stage = bench.assembly.regulation.zip(bench.output);
    let set = stage.and_then(|(regulation, output)| {
        let (reference, _) = stage::reference_of(regulation.part)?;
        let (upper, lower) = regulation.set?;
        let lower_v = output.high_v - reference.min.0;
        Some([
            Loaded { position: Position::SetUpper, choice: upper, volts: reference.max.0 },
            Loaded { position: Position::SetLower, choice: lower, volts: lower_v },
        ])
    });
    let minimum = stage.and_then(|(regulation, output)| {
        let choice = regulation.minimum_load?;
        Some(Loaded { position: Position::MinimumLoad, choice, volts: output.high_v })
    });
    let pass = stage.and_then(|(regulation, _)| {
        let pass = regulation.pass?;
        let numbers = PassNumbers::of(bench.asked, &pass);
        let through_a = stage::load_of(bench.asked.rail, Body::Light) + bench.auxiliary.through_regulator_a();
        let ballast_v = numbers.most_loaded(through_a).0 * least_ohm(bench.asked, pass.ballast);
        Some([
            Loaded { position: Position::Ballast, choice: pass.ballast, volts: ballast_v },
            Loaded { position: Position::Drive, choice: pass.drive, volts: numbers.drop_v(through_a) },
        ])
    });
    set.into_iter().flatten().chain(minimum).chain(pass.into_iter().flatten())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{circuit::supply::Span, physics::regulator::accuracy::Divider, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// Second method: every pair of E96 whose upper value carries 10 mA.
    #[test]
    fn the_set_resistors_are_the_best_pair_that_carries_the_minimum_load() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        fixture.resistors.per_decade = 96;
        fixture.rail().current_min = Amps(0.0);
        let (asked, part) = (fixture.asked(), fixture.regulator.as_ref().unwrap());
        let (upper, lower) = choose_set(asked, part, &fixture.resistors, &fixture.resistors).unwrap();
        let spread = spread(asked, &fixture.resistors);
        assert!(1.225 / (upper.value.0 * (1.0 + spread)) >= 0.01);
        let (reference, adjust) = stage::reference_of(part).unwrap();
        let wanted = Wanted {
            target: Volts(12.0),
            reference,
            adjust,
            current_min: Amps(0.01),
            current_max: Amps(0.016),
            series: Series::E96,
            tolerance: Ratio(spread),
        };
        let error = |r_1: f64, r_2: f64| {
            let divider = Divider { r_1: Ohms(r_1), r_2: Ohms(r_2), tolerance: Ratio(spread) };
            set_resistors::judge(&wanted, divider).worst.0
        };
        let chosen = error(upper.value.0, lower.value.0);
        for r_1 in Series::E96.between(1.275 / (0.016 * (1.0 - spread)), 1.225 / (0.01 * (1.0 + spread))) {
            for r_2 in Series::E96.between(500.0, 2000.0) {
                assert!(error(r_1, r_2) >= chosen - 1e-9);
            }
        }
    }

    #[test]
    fn where_power_forbids_it_the_set_resistors_leave_the_minimum_load_to_another() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        fixture.resistors.per_decade = 96;
        fixture.rail().current_min = Amps(0.0);
        fixture.rail().voltage = Volts(36.0);
        fixture.resistors.power = Watts(0.25);
        let (asked, part) = (fixture.asked(), fixture.regulator.as_ref().unwrap());
        let (upper, lower) = choose_set(asked, part, &fixture.resistors, &fixture.resistors).unwrap();
        let current = 1.25 / upper.value.0;
        assert!(current < 0.01 && current > 0.9e-3);
        assert!(current * current * lower.value.0 <= 0.25);
        let set = Some((upper, lower));
        let input = Span { low: 38.0, nominal: 45.0, high: 50.0 };
        let output = stage::output_of(asked, part, set, input).unwrap();
        let choice = choose_minimum_load(asked, part, &output, set, &fixture.resistors).unwrap();
        let missing = 0.01 - stage::set_current_a(asked, part, upper, false);
        let draws = |ohms: f64| output.low_v / (ohms * 1.01125);
        assert!(draws(choice.value.0) >= missing);
        assert!(draws(Series::E96.at_or_above(choice.value.0 * 1.01).unwrap()) < missing);
    }

    #[test]
    fn a_rail_that_draws_the_minimum_load_needs_no_resistor_for_it() {
        let fixture = Fixture::adjustable(240.0, 2000.0);
        let (asked, part) = (fixture.asked(), fixture.regulator.as_ref().unwrap());
        assert!(missing_minimum_load_a(asked, part, None) <= 0.0);
    }

    /// Hand arithmetic: 60 s / (12 mF · ln(27/10)) = 5034 Ω, less 1.125 %: 4978 Ω, so 4.7 kΩ of E24.
    #[test]
    fn the_bleeder_is_the_largest_value_that_discharges_in_time() {
        let fixture = Fixture::regulated();
        let bleeder =
            |volts| choose_bleeder(fixture.asked(), &fixture.resistors, Farads(12e-3), Volts(volts));
        assert_relative_eq!(bleeder(27.0).unwrap().value.0, 4700.0, max_relative = 1e-12);
        assert!(bleeder(10.0).is_none());
    }

    /// Hand arithmetic: 0.6 W, full to 70 °C, nothing at 155 °C; inside 45 °C, then 112.5 °C.
    #[test]
    fn power_falls_in_warm_air() {
        let mut fixture = Fixture::regulated();
        assert_relative_eq!(power_rating(fixture.asked(), &fixture.resistors), 0.6);
        fixture.requirement.ambient.max = Celsius(107.5);
        assert_relative_eq!(power_rating(fixture.asked(), &fixture.resistors), 0.3, max_relative = 1e-12);
    }
}
