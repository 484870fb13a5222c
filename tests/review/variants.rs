//! Comparison, ratings, substitutes, edges and failure rates of a record, each against a second way of saying the same.

use railwright::document::neutralise;
use railwright::quantity::{Amps, Celsius, Farads, Kelvins, KelvinsPerWatt, Ratio, Volts};
use railwright::report::{Page, csv, json, terminal};
use railwright::requirement::Enclosure;
use railwright::review::compare::compare;
use railwright::review::ratings::{Bound, RatingRow, ratings};
use railwright::review::reliability::reliability;
use railwright::review::sensitivity::sensitivity;
use railwright::review::substitute::{family, place, substitute};

use super::bench::{Bench, designed, sound};

fn needed<'s>(rows: &'s [RatingRow], rating: &str, position: &str) -> &'s RatingRow {
    rows.iter()
        .find(|row| row.rating == rating && row.position == position)
        .unwrap_or_else(|| panic!("no {rating} of the {position}"))
}

fn electrolytic<'b>(bench: &'b mut Bench, id: &str) -> &'b mut railwright::catalog::Electrolytic {
    bench.catalog.electrolytics.iter_mut().find(|part| part.common.id.0 == id).expect("in the catalog")
}

#[test]
fn a_record_compared_with_itself_differs_in_nothing() {
    let bench = sound();
    let dossier = bench.audited();
    let same = compare(("a", &bench.record, &dossier), ("b", &bench.record, &dossier));
    assert!(same.parts.is_empty() && same.wiring.is_empty() && same.stresses.is_empty());
    assert!(same.gained.is_empty() && same.lost.is_empty());
}

/// Law: compared the other way round, gains are losses and moves change sign.
#[test]
fn a_comparison_turned_round_is_the_same_turned_round() {
    let (one, mut other) = (sound(), sound());
    other.part("reservoir").part = String::from("QS35-6800");
    other.freshen();
    other.part("bleeder").maker = String::from("Somebody");
    let (first, second) = (one.audited(), other.audited());
    let forth = compare(("a", &one.record, &first), ("b", &other.record, &second));
    let back = compare(("b", &other.record, &second), ("a", &one.record, &first));
    assert_eq!((forth.parts.len(), forth.parts[0].what.as_str()), (1, "reservoir capacitor"));
    assert_eq!(forth.parts[0].before, back.parts[0].after);
    assert_eq!((&forth.gained, &forth.lost), (&back.lost, &back.gained));
    assert!(forth.gained.iter().any(|one| one.code == "record-maker"));
    assert_eq!(forth.stresses.len(), back.stresses.len());
    for (there, again) in forth.stresses.iter().zip(&back.stresses) {
        assert_eq!((there.used_before, there.used_after), (again.used_after, again.used_before));
    }
    assert!(forth.stresses.iter().any(|row| row.stress == "reservoir-voltage"));
}

/// Second method: a reservoir with exactly the rating asked for passes its rule with nothing to spare, one a thousandth
/// smaller fails. Ripple and voltage do not enter the circuit, so the figures are exact.
#[test]
fn a_part_with_just_the_ratings_of_the_sheet_passes_and_one_a_little_smaller_fails() {
    let mut bench = sound();
    let rows = ratings(bench.inputs()).rows;
    let volts = needed(&rows, "rated dc voltage", "reservoir capacitor").needed.expect("a figure").value();
    let amps = needed(&rows, "ripple current, rms", "reservoir capacitor").needed.expect("a figure").value();
    let id = bench.part("reservoir").part.clone();
    for (factor, fails) in [(1.0 + 1e-9, false), (0.999, true)] {
        let part = electrolytic(&mut bench, &id);
        part.rated = Volts(volts * factor);
        part.ripple = Amps(amps * factor);
        bench.freshen();
        let found = bench.found();
        // A smaller ripple rating also shortens life and warms the core: those rules may speak too.
        assert_eq!(found.contains(&String::from("reservoir-voltage")), fails, "{found:?}");
        assert_eq!(found.contains(&String::from("reservoir-ripple-current")), fails, "{found:?}");
    }
}

/// Second method: a transformer at either end of the voltage window passes, a half per cent beyond it something fails.
#[test]
fn the_window_of_the_secondary_voltage_is_where_the_record_begins_to_fail() {
    let bench = sound();
    let rows = ratings(bench.inputs()).rows;
    let ends: Vec<(Bound, f64)> = rows
        .iter()
        .filter(|row| row.rating == "rated secondary voltage, rms")
        .map(|row| (row.bound, row.needed.expect("a figure").value()))
        .collect();
    assert_eq!(ends.len(), 2);
    for (bound, volts) in ends {
        for (factor, fails) in [(1.0, false), (1.005, true)] {
            let factor = if bound == Bound::AtMost { factor } else { 1.0 / factor };
            let mut bench = sound();
            let id = bench.part("transformer").part.clone();
            let part = bench.catalog.transformers.iter_mut().find(|part| part.common.id.0 == id);
            for winding in &mut part.expect("there").secondaries {
                winding.rated = Volts(volts * factor);
            }
            bench.freshen();
            assert_eq!(
                !bench.found().is_empty(),
                fails,
                "{bound:?} {volts} V × {factor}: {:?}",
                bench.found()
            );
        }
    }
}

#[test]
fn a_sheet_has_every_position_and_is_written_as_csv_without_formulas() {
    let bench = sound();
    let sheet = ratings(bench.inputs());
    assert_eq!(sheet.quoted.len(), bench.record.rails[0].parts.len());
    for quoted in &sheet.quoted {
        assert!(sheet.rows.iter().any(|row| row.position == quoted.position), "{}", quoted.position);
    }
    let text = csv::named(&Page::of_whole_ratings(&sheet), "ratings");
    assert_eq!(text.lines().count(), sheet.rows.len() + 1);
    assert!(text.lines().all(|line| !line.starts_with(['=', '+', '-', '@'])));
    json::render_data(&sheet).expect("finite");
    assert!(!neutralise(&text).is_empty());
}

/// Second method: the record rewritten with the part and audited says the same as the trial.
#[test]
fn a_substitute_is_judged_as_the_record_with_it_is() {
    let bench = sound();
    let at = place(&bench.record, "C1").expect("named");
    assert_eq!(Ok(&at), place(&bench.record, "reservoir:main").as_ref());
    for part in ["QS35-6800", "SN50-3300", "TS50-2200"] {
        let trial = &substitute(bench.inputs(), &[], &at, &[part.to_owned()]).trials[0];
        let mut other = sound();
        other.part("reservoir").part = part.to_owned();
        other.freshen();
        let dossier = other.audited();
        assert_eq!(trial.fits, dossier.passes(), "{part}");
        assert_eq!(trial.unit_cost, dossier.totals.unit_cost, "{part}");
        let mut found: Vec<String> =
            trial.fails_here.iter().chain(&trial.fails_elsewhere).map(|one| one.code.clone()).collect();
        let mut expected = other.found();
        found.sort();
        expected.sort();
        assert_eq!(found, expected, "{part}");
    }
}

#[test]
fn the_family_is_ranked_with_what_fits_first_and_by_cost() {
    let bench = sound();
    let at = place(&bench.record, "reservoir").expect("named");
    let parts = family(&bench.catalog, &bench.record, &at);
    assert_eq!(parts.len() + 1, bench.catalog.electrolytics.len());
    let trials = substitute(bench.inputs(), &[], &at, &parts).trials;
    let fitting: Vec<_> = trials.iter().take_while(|trial| trial.fits).collect();
    assert!(!fitting.is_empty() && trials.iter().skip(fitting.len()).all(|trial| !trial.fits));
    let costs: Vec<_> =
        fitting.iter().filter_map(|trial| trial.unit_cost).map(|money| money.amount).collect();
    assert!(costs.is_sorted());
    assert!(trials.iter().skip(fitting.len()).all(|trial| {
        !trial.fails_here.is_empty() || !trial.fails_elsewhere.is_empty() || !trial.excluded.is_empty()
    }));
}

#[test]
fn a_substitute_that_no_catalog_has_or_that_does_not_go_there_is_told_and_not_guessed() {
    let bench = sound();
    let at = place(&bench.record, "U1").expect("named");
    for part in ["NOPE-1", "QS35-6800"] {
        let trial = &substitute(bench.inputs(), &[], &at, &[part.to_owned()]).trials[0];
        assert!(!trial.fits && !trial.excluded.is_empty() && trial.moved.is_empty(), "{part}");
    }
    assert!(place(&bench.record, "C9").is_err());
    assert!(place(&bench.record, "reservoir:other").is_err());
}

/// Second method: a requirement rewritten to just inside an edge holds and just beyond it fails under that rule.
#[test]
fn an_edge_is_where_the_review_begins_to_find_that_stress() {
    let bench = sound();
    let margins = sensitivity(bench.inputs());
    assert_eq!(margins.len(), 5);
    let mut tried = 0;
    for margin in &margins {
        for edge in &margin.edges {
            let Some(value) = edge.edge.map(railwright::review::Figure::value) else { continue };
            let now = edge.now.expect("a figure").value();
            let beyond = now + (value - now) * 1.02 + (value - now).signum() * 1e-4 * now.abs();
            for (at, fails) in [(value, false), (beyond, true)] {
                let mut bench = sound();
                match edge.input.as_str() {
                    "mains high, above nominal" => bench.requirement.mains.high = Ratio(at),
                    "mains low, below nominal" => bench.requirement.mains.low = Ratio(at),
                    "room temperature, greatest" => bench.requirement.ambient.max = Celsius(at),
                    "load, greatest" => bench.requirement.rails[0].current_max = Amps(at),
                    _ => {
                        let id = bench.part("reservoir").part.clone();
                        electrolytic(&mut bench, &id).capacitance = Farads(at);
                        bench.freshen();
                    }
                }
                let dossier = bench.audited();
                let holds = dossier
                    .stresses
                    .iter()
                    .filter(|row| row.stress == margin.stress && row.position == margin.position)
                    .all(|row| row.holds)
                    && !dossier.findings.iter().any(|one| one.code == "record-unsolved");
                assert_eq!(!holds, fails, "{} {}: {at}", margin.stress, edge.input);
            }
            tried += 1;
        }
    }
    assert!(tried >= 5, "{tried} edges");
}

#[test]
fn the_strongest_mover_comes_first_and_a_still_input_is_left_out() {
    for margin in sensitivity(sound().inputs()) {
        let moves: Vec<f64> =
            margin.movers.iter().map(|mover| mover.moved.expect("a figure").value().abs()).collect();
        assert!(!moves.is_empty() && moves.iter().all(|moved| *moved > 0.0));
        assert!(moves.windows(2).all(|pair| pair[0] >= pair[1]), "{}: {moves:?}", margin.stress);
    }
}

/// Second method: with an enclosure given by its resistance the air inside follows the load, and the edge in the load is
/// where a whole review of a requirement rewritten to it begins to find that stress. With the air held it is farther or none.
#[test]
fn in_an_enclosure_the_edges_take_the_heat_with_them() {
    let resistance = |bench: &mut Bench, stated: Enclosure| bench.requirement.ambient.enclosure = stated;
    let closed = Enclosure::Resistance(KelvinsPerWatt(1.2));
    let mut bench = sound();
    resistance(&mut bench, closed);
    let edges_of = |bench: &Bench| -> Vec<(String, String, f64)> {
        let mut found = Vec::new();
        for margin in sensitivity(bench.inputs()) {
            let load = margin.edges.iter().find(|edge| edge.input == "load, greatest").expect("is walked");
            if let (Some(edge), true) = (load.edge, margin.used.expect("a figure").value() <= 1.0) {
                found.push((margin.stress.clone(), margin.position.clone(), edge.value()));
            }
        }
        found
    };
    let edges = edges_of(&bench);
    assert!(!edges.is_empty(), "nothing has an edge in the load");
    for (stress, position, at) in &edges {
        for (load, fails) in [(*at, false), (at * 1.002, true)] {
            let mut bench = sound();
            resistance(&mut bench, closed);
            bench.requirement.rails[0].current_max = Amps(load);
            let dossier = bench.audited();
            let mut rows =
                dossier.stresses.iter().filter(|row| row.stress == *stress && row.position == *position);
            assert_eq!(rows.any(|row| !row.holds), fails, "{stress} at {load}");
        }
    }
    let rise = inside_rise_k(&bench);
    assert!(rise > 5.0, "{rise} K");
    resistance(&mut bench, Enclosure::Rise(Kelvins(rise)));
    let held = edges_of(&bench);
    let mut nearer = 0;
    for (stress, position, at) in &edges {
        let other = held.iter().find(|(one, place, _)| one == stress && place == position);
        nearer += usize::from(other.is_none_or(|(_, _, held)| *at < held * 0.999));
    }
    assert!(nearer > 0, "{edges:?} against {held:?}");
}

/// Rise of the air inside that a review finds.
fn inside_rise_k(bench: &Bench) -> f64 {
    let heat = bench.audited().heat;
    let air = heat.iter().find(|row| row.place == "air inside").expect("the chain begins with the air");
    air.temperature.value() - bench.requirement.ambient.max.0
}

/// Law: renaming the only rail of a record changes nothing of what a comparison finds, but that the pair is told.
#[test]
fn rails_of_other_names_are_compared_where_each_record_has_one_left_over() {
    let (one, mut other) = (sound(), sound());
    other.part("reservoir").part = String::from("QS35-6800");
    other.freshen();
    let first = one.audited();
    let alike = compare(("a", &one.record, &first), ("b", &other.record, &other.audited()));
    assert_eq!(alike.paired, None);
    other.requirement.rails[0].name = String::from("heater");
    other.record.rails[0].rail = String::from("heater");
    let found = compare(("a", &one.record, &first), ("b", &other.record, &other.audited()));
    let pair = found.paired.clone().expect("a pair");
    assert_eq!((pair.before.as_str(), pair.after.as_str()), ("main", "heater"));
    assert_eq!((&found.parts, &found.stresses), (&alike.parts, &alike.stresses));
    let page = terminal::render(&Page::of_comparison(&found), terminal::Look { width: 200, colour: false });
    assert!(page.contains("have no namesake"), "{page}");
    let rack = designed("modular-rack");
    let many = compare(("a", &one.record, &first), ("b", &rack.record, &rack.audited()));
    assert_eq!(many.paired, None);
}

/// Source: MIL-HDBK-217F Notice 2, appendix A (from memory): power rectifiers 0.0028 and 0.022 in quality 8, linear circuits
/// 0.0095 and 0.024 in quality 10.
#[test]
fn a_parts_count_knows_the_parts_and_not_the_circuit() {
    let bench = sound();
    let rates = reliability(bench.inputs());
    let of = |rates: &railwright::review::reliability::Reliability, position: &str| {
        let row = rates.rows.iter().find(|row| row.position == position).expect("a row").clone();
        let value = |figure: Option<railwright::review::Figure>| figure.expect("a figure").value();
        (f64::from(row.elements), value(row.counted_benign), value(row.counted_fixed))
    };
    let (elements, benign, fixed) = of(&rates, "rectifier");
    assert!((benign - elements * 8.0 * 0.0028).abs() < 1e-9 && (fixed - elements * 8.0 * 0.022).abs() < 1e-9);
    let (_, benign, fixed) = of(&rates, "regulator");
    assert!((benign - 0.095).abs() < 1e-9 && (fixed - 0.24).abs() < 1e-9);
    let mut hot = sound();
    hot.requirement.ambient.max = Celsius(45.0);
    let hotter = reliability(hot.inputs());
    assert_eq!(hotter.counted_benign, rates.counted_benign);
    let sum = |all: &railwright::review::reliability::Reliability| all.benign.expect("a figure").value();
    assert!(sum(&hotter) > sum(&rates));
}

/// Source: MIL-HDBK-217F Notice 2 (from memory): a cartridge fuse 0.010, factor 2 from ground benign to ground fixed.
#[test]
fn failure_rates_are_sums_of_their_models_and_grow_with_heat() {
    let bench = sound();
    let rates = reliability(bench.inputs());
    let fuse = rates.rows.iter().find(|row| row.position == "mains fuse").expect("has a fuse");
    assert!((fuse.benign.expect("a figure").value() - 0.010).abs() < 1e-12);
    assert!((fuse.fixed.expect("a figure").value() - 0.020).abs() < 1e-12);
    let sum: f64 =
        rates.rows.iter().filter_map(|row| row.benign).map(railwright::review::Figure::value).sum();
    assert!((sum - rates.benign.expect("a figure").value()).abs() < 1e-12);
    assert!(rates.label.contains("promise nothing"));
    let mut hot = sound();
    hot.requirement.ambient.max = Celsius(45.0);
    let hotter = reliability(hot.inputs()).benign.expect("a figure").value();
    assert!(hotter > sum * 1.02, "{hotter} against {sum}");
}
