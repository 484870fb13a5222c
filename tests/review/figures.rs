//! Numbers of a dossier against a second reckoning, and laws they keep.

use railwright::quantity::{Kelvins, KelvinsPerWatt};
use railwright::report::json;
use railwright::requirement::Enclosure;
use railwright::review::Dossier;

use super::bench::sound;
use crate::support::world;

fn stress(dossier: &Dossier, code: &str) -> f64 {
    dossier
        .stresses
        .iter()
        .find(|row| row.stress == code)
        .unwrap_or_else(|| panic!("no {code}"))
        .applied
        .value()
}

fn nominal(dossier: &Dossier, figure: &str) -> f64 {
    dossier
        .nominal
        .iter()
        .find(|row| row.figure == figure)
        .unwrap_or_else(|| panic!("no {figure}"))
        .value
        .value()
}

#[test]
fn every_number_of_a_dossier_is_finite_and_the_same_twice() {
    let bench = sound();
    let text = json::render(&bench.audited()).expect("finite");
    assert_eq!(text, json::render(&bench.audited()).expect("finite"));
    assert!(!text.contains("no finite value"));
}

#[test]
fn energy_balances_at_every_vertex() {
    let dossier = sound().audited();
    let residual = nominal(&dossier, "energy balance, greatest residual over all vertices");
    assert!(residual < 1e-9, "{residual:e}");
    assert_eq!(dossier.summary.vertices, 256);
}

/// Second method: what the windings take from the core, the core loss, less what the load gets.
#[test]
fn the_loss_of_a_rail_is_its_input_less_its_output() {
    let dossier = sound().audited();
    let input_w = nominal(&dossier, "input power behind the core");
    let copper_w = nominal(&dossier, "copper loss");
    let core_w = nominal(&dossier, "core loss");
    let loss_w = nominal(&dossier, "loss of the whole rail");
    // The path's EMF already stands behind the primary's referred resistance: copper loss is inside the input power.
    let expected = input_w + core_w - 12.0 * 0.6;
    assert!((loss_w - expected).abs() < 1e-6 * expected, "{loss_w} W, {expected} W, copper {copper_w} W");
}

/// Second method: the workings compute with the laws, the stresses with the bench; where both say the same thing they agree.
#[test]
fn workings_end_where_the_stresses_stand() {
    let dossier = sound().audited();
    let result = |purpose: &str| {
        let row = dossier.workings.iter().find(|row| row.purpose == purpose);
        row.unwrap_or_else(|| panic!("no `{purpose}`")).result.clone()
    };
    let printed = |code: &str| {
        dossier
            .stresses
            .iter()
            .find(|row| row.stress == code)
            .unwrap_or_else(|| panic!("no {code}"))
            .applied
            .text()
    };
    assert_eq!(result("Hottest mean winding temperature"), printed("transformer-winding-temperature"));
    assert_eq!(result("Least headroom"), printed("regulator-headroom"));
    let ripple =
        "Greatest output ripple, peak to peak; the rejection is what its headroom leaves of the rating";
    assert_eq!(result(ripple), printed("regulator-output-ripple"));
    assert_eq!(result("Hottest junction of the regulator"), printed("regulator-junction-temperature"));
    assert_eq!(result("Greatest heat of the regulator"), printed("regulator-dissipation"));
    assert_eq!(result("Time in which the bleeder alone discharges it"), printed("bleeder-discharge-time"));
    assert_eq!(result("Greatest heat of the bleeder"), printed("bleeder-power"));
    let life = stress(&dossier, "reservoir-life");
    assert!(life < 131_000.0, "the fixture's life lies inside the model");
    let worked = "Life of the reservoir at the greatest ambient and full load throughout";
    assert_eq!(result(worked), printed("reservoir-life"));
}

/// By hand: 3300 µF · 0.8 · 0.8 or what the part's own end of life leaves; 1.2 upward. 3960 µF at 27.83 V: 1.533 J.
#[test]
fn the_reservoirs_corners_and_energy_are_those_reckoned_by_hand() {
    let bench = sound();
    let part = bench
        .catalog
        .electrolytics
        .iter()
        .find(|part| bench.record.rails[0].parts.iter().any(|one| one.part == part.common.id.0));
    let part = part.expect("in the catalog");
    let dossier = bench.audited();
    let least_uf =
        part.capacitance.0 * 1e6 * (1.0 - part.tolerance_minus.0) * (1.0 - part.end_capacitance_loss.0);
    let row =
        dossier.workings.iter().find(|row| row.formula == "reservoir-capacitance-corner").expect("worked");
    let found: f64 = row.result.trim_end_matches(" µF").parse().expect("a number");
    assert!((found - least_uf).abs() < 0.005 * least_uf, "{found} µF, {least_uf} µF");
    let peak_v =
        dossier.points.iter().find(|row| row.corner.starts_with("no load")).expect("there").reservoir_max;
    let joules = 0.5 * part.capacitance.0 * (1.0 + part.tolerance_plus.0) * peak_v.value().powi(2);
    let stored = dossier.workings.iter().find(|row| row.formula == "stored-energy").expect("worked");
    let found: f64 = stored.result.trim_end_matches(" J").parse().expect("a number");
    assert!((found - joules).abs() < 0.005 * joules, "{found} J, {joules} J");
}

/// Charge balance: each of two paths carries half the load, whatever the reservoir does.
#[test]
fn the_textbook_is_right_about_the_diodes_average_and_wrong_about_its_peak() {
    let dossier = sound().audited();
    let ratio = |figure: &str| {
        let row = dossier.textbook.iter().find(|row| row.figure == figure);
        row.unwrap_or_else(|| panic!("no {figure}")).ratio.expect("not over zero").value()
    };
    assert!((ratio("diode, average") - 1.0).abs() < 1e-9);
    assert!(ratio("diode peak, reservoir") < 0.8);
    assert!(ratio("diode rms, no reservoir") > 1.2);
    assert!(ratio("utilisation of the secondary, no reservoir") < 0.9);
}

/// Law: the fixed point of a thermal resistance is the stated rise that it comes to.
#[test]
fn an_enclosure_by_its_resistance_and_one_by_the_rise_it_comes_to_are_alike() {
    let mut bench = sound();
    bench.requirement.ambient.enclosure = Enclosure::Resistance(KelvinsPerWatt(0.8));
    let by_resistance = bench.audited();
    let air = by_resistance.heat.iter().find(|row| row.place == "air inside").expect("there").temperature;
    let rise_k = air.value() - bench.requirement.ambient.max.0;
    assert!(rise_k > 5.0, "{rise_k}");
    bench.requirement.ambient.enclosure = Enclosure::Rise(Kelvins(rise_k));
    let by_rise = bench.audited();
    let (a, b) = (
        stress(&by_resistance, "regulator-junction-temperature"),
        stress(&by_rise, "regulator-junction-temperature"),
    );
    assert!((a - b).abs() < 1e-6, "{a} °C, {b} °C");
}

#[test]
fn cost_is_the_sum_of_the_orders_and_an_order_covers_its_need() {
    let bench = sound();
    let dossier = bench.audited();
    let sum: rust_decimal::Decimal =
        dossier.parts.iter().filter_map(|row| row.batch_cost).map(|cost| cost.amount).sum();
    assert_eq!(Some(sum), dossier.totals.batch_cost.map(|money| money.amount));
    for row in &dossier.parts {
        assert!(row.ordered.is_some_and(|ordered| ordered >= row.count * 25), "{}", row.part);
    }
}

#[test]
fn every_shipped_policy_reviews_and_none_leaves_another_s_clause() {
    for name in ["house", "ecss-q-st-30-11c", "eee-inst-002", "radc-level-3", "src-benign", "src-severe"] {
        let mut bench = sound();
        bench.policy = world::policy(name);
        bench.freshen();
        let dossier = bench.audited();
        assert!(dossier.stresses.len() > 30, "{name}");
        json::render(&dossier).expect("finite");
        let from_policy = dossier.stresses.iter().filter(|row| !row.known.is_empty());
        assert!(from_policy.clone().all(|row| row.clause.starts_with(name)), "{name}");
        let recalled = from_policy.filter(|row| row.known == "from memory").count();
        let noted = dossier.findings.iter().filter(|one| one.code == "limit-from-memory").count();
        assert_eq!(recalled > 0, noted > 0, "{name}: each recalled limit is noted");
    }
}
