//! Workings of the reservoir: least capacitance, core rise, life, energy, discharge.
//!
//! Computes with the laws beside the formulas; judges nothing.

use super::{Sheet, text};
use crate::{
    catalog::family::capacitor::LifeBasis,
    physics::{
        bleeder,
        reservoir::{corner, life, ripple},
    },
    quantity::{Amps, Celsius, Farads, Ohms, Ratio, Volts},
    review::figure::Unit,
    stress::{resistor, verdict::Verdict},
};

/// The bank at its corners, its heat and its life.
pub(super) fn reservoir(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let bank = &bench.assembly.reservoir;
    let part = bank.part;
    let (tolerance, end) = (1.0 - part.tolerance_minus.0, 1.0 - part.end_capacitance_loss.0);
    let least = corner::capacitance(part.capacitance, bank.count, Ratio(tolerance), Ratio(end));
    sheet.put(
        "Least capacitance of the bank, at the end of life",
        &corner::CAPACITANCE_CORNER,
        &[
            ("n", f64::from(bank.count), Unit::Count),
            ("C", part.capacitance.0, Unit::Farads),
            ("δ", part.tolerance_minus.0, Unit::Percent),
            ("e", part.end_capacitance_loss.0, Unit::Percent),
        ],
        (least.0, Unit::Farads),
    );
    let equivalent = sheet.rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == "reservoir-ripple-current" => Some(stress.applied),
        _ => None,
    });
    let Some(equivalent_a) = equivalent else { return };
    let rise = ripple::core_rise(part.core_rise, Amps(equivalent_a), part.ripple);
    sheet.put(
        "Core rise of the most loaded reservoir",
        &ripple::CORE_RISE,
        &[
            ("ΔT_0", part.core_rise.0, Unit::Kelvins),
            ("I_eq", equivalent_a, Unit::Amps),
            ("I_R", part.ripple.0, Unit::Amps),
        ],
        (rise.0, Unit::Kelvins),
    );
    let air_c = bench.supply.air.hot_c;
    let basis = match part.life_basis {
        LifeBasis::WithRipple => life::LifeBasis::WithRipple,
        LifeBasis::WithoutRipple => life::LifeBasis::WithoutRipple,
    };
    let hours = life::life(part.life, basis, part.t_max, Celsius(air_c), part.core_rise, rise);
    let mut values = vec![
        ("L_0", text(part.life.0, Unit::Hours)),
        ("T_max", text(part.t_max.0, Unit::Celsius)),
        ("T_air", text(air_c, Unit::Celsius)),
        ("ΔT", text(rise.0, Unit::Kelvins)),
    ];
    if part.life_basis == LifeBasis::WithRipple {
        values.push(("ΔT_0", text(part.core_rise.0, Unit::Kelvins)));
    }
    let claimed = life::claim(hours);
    let mut result = text(hours.0, Unit::Hours);
    if claimed.capped {
        result.push_str(", of which the model proves no more than ");
        result.push_str(&text(claimed.hours.0, Unit::Hours));
    }
    sheet.put_text(
        "Life of the reservoir at the greatest ambient and full load throughout",
        basis.formula(),
        &values,
        result,
    );
}

/// What is stored, and how the bleeder empties it.
pub(super) fn discharge(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let peak = Volts(bench.no_load_peak_v());
    let (stored, farads) = (Farads(bench.stored_farad()), Farads(bench.discharged_farad()));
    sheet.put(
        "Energy in the reservoir without load at mains high",
        &bleeder::STORED_ENERGY,
        &[("C", stored.0, Unit::Farads), ("V", peak.0, Unit::Volts)],
        (bleeder::stored_energy(stored, peak).0, Unit::Joules),
    );
    let Some(choice) = bench.assembly.bleeder else { return };
    let most = Ohms(resistor::greatest_ohm(bench.asked, choice));
    let target = bench.asked.policy.parameters.discharge_voltage;
    if target < peak {
        let time = resistor::discharge_time(bench, most, peak, target);
        let between = resistor::between_banks(&bench.supply);
        let purpose = "Time in which the bleeder alone discharges it";
        let result = (time.0, Unit::Seconds);
        if let Some((between, second)) = between {
            let first = Farads(bench.supply.bank.farad.high);
            let slowest = bleeder::slowest_of_two(most, between, (first, second));
            let values = [
                ("τ", slowest.0, Unit::Seconds),
                ("V", peak.0, Unit::Volts),
                ("V_low", target.0, Unit::Volts),
                ("R_s", between.0, Unit::Ohms),
                ("C_1", first.0, Unit::Farads),
            ];
            sheet.put(purpose, &bleeder::DISCHARGE_TIME_OF_TWO, &values, result);
        } else {
            let values = [
                ("R", most.0, Unit::Ohms),
                ("C", farads.0, Unit::Farads),
                ("V", peak.0, Unit::Volts),
                ("V_low", target.0, Unit::Volts),
            ];
            sheet.put(purpose, &bleeder::DISCHARGE_TIME, &values, result);
        }
    }
    let least = Ohms(resistor::least_ohm(bench.asked, choice));
    sheet.put(
        "Greatest heat of the bleeder",
        &bleeder::BLEEDER_POWER,
        &[("V", peak.0, Unit::Volts), ("R", least.0, Unit::Ohms)],
        (bleeder::power(peak, least).0, Unit::Watts),
    );
}
