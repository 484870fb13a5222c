//! Several rails on one core.

use std::fs;

use serde_json::Value;

use super::{answered, run, solved};

const WINDING: &str = "winding: {emf_rms: 20 V, frequency: 50 Hz, resistance: 0.3 Ω}";
const BRIDGE: &str = "diode: {threshold: 0.75 V, slope: 40 mΩ}, filter: {kind: reservoir, c1: 4700 uF, esr1: 20 mΩ}, load: {current: 1 A}";

fn rail(name: &str, topology: &str) -> String {
    format!("  - {{name: {name}, topology: {topology}, {WINDING}, {BRIDGE}}}\n")
}

fn core(ohms: &str, rails: &[String]) -> String {
    format!(
        "circuit: 1\nname: two\ncore: {{primary_resistance: {ohms}, mains_rms: 230 V}}\nrails:\n{}",
        rails.concat()
    )
}

fn number(found: &Value, key: &str) -> f64 {
    found[key].as_f64().unwrap_or_else(|| panic!("{key} in {found}"))
}

/// Law: two equal rails are one at twice the primary's resistance; the primary carries their sum; without a resistance in
/// common a rail stands as it does alone.
#[test]
fn equal_rails_are_one_at_twice_the_shared_resistance() {
    let two = [rail("a", "bridge"), rail("b", "bridge")];
    let found = solved(&core("0.2 Ω", &two), &[]);
    let single = format!(
        "{{circuit: 1, topology: bridge, winding: {{emf_rms: 20 V, frequency: 50 Hz, resistance: 0.3 Ω, common_resistance: 0.4 Ω}}, {BRIDGE}}}"
    );
    let alone = solved(&single, &[]);
    for rail in found["rails"].as_array().unwrap() {
        for key in ["load_mean_v", "load_min_v", "diode_peak_a", "winding_rms_a", "c1_ripple_current_rms_a"] {
            let (one, other) = (number(rail, key), number(&alone, key));
            assert!((one - other).abs() < 1e-9 * other, "{key}: {one} {other}");
        }
        assert!(number(rail, "alone_mean_v") > number(rail, "load_mean_v"));
    }
    let sum = 2.0 * number(&alone, "primary_rms_a");
    assert!((number(&found, "primary_rms_a") - sum).abs() < 1e-9 * sum);
    let third = number(&found, "primary_third_rms_a");
    assert!((third - 2.0 * number(&alone, "primary_third_rms_a")).abs() < 1e-9 * third);
    let apart = solved(&core("0 Ω", &two), &[]);
    let rail = &apart["rails"][0];
    assert!((number(rail, "alone_mean_v") - number(rail, "load_mean_v")).abs() < 1e-9);
    assert!(number(&found, "energy_residual").abs() < 1e-9);
}

/// Law: switched on together, two equal rails are one at twice the primary's resistance and twice the limiter; without a
/// resistance in common each is as it is alone.
#[test]
fn equal_rails_are_switched_on_as_one_at_twice_the_shared_resistance() {
    let close = |one: &Value, other: &Value, what: &str| {
        for key in ["inrush_peak_a", "inrush_i2t_half_cycle_a2s", "inrush_i2t_cycle_a2s", "settle_cycles"] {
            let (a, b) = (number(one, key), number(other, key));
            assert!((a - b).abs() < 1e-6 * b && b > 0.0, "{what}, {key}: {a} {b}");
        }
    };
    let single = |ohms: &str, limiter: &str| {
        solved(
            &format!(
                "{{circuit: 1, topology: bridge, winding: {{emf_rms: 20 V, frequency: 50 Hz, resistance: 0.3 Ω, common_resistance: {ohms}}}, {BRIDGE}, limiter: {{cold: {limiter}, hot: 10 mΩ}}}}"
            ),
            &["--switch-on"],
        )["switch_on"]
            .clone()
    };
    let pair = |ohms: &str, limiter: &str, second: &str| {
        let shared = format!("{ohms}, limiter: {{cold: {limiter}, hot: 10 mΩ}}");
        solved(&core(&shared, &[rail("a", "bridge"), rail("b", second)]), &["--switch-on"])
    };
    let (found, one) = (pair("0.2 Ω", "1 Ω", "bridge"), single("0.4 Ω", "2 Ω"));
    for rail in found["rails"].as_array().unwrap() {
        close(&rail["switch_on"]["without_limiter"], &one["without_limiter"], "together");
        close(&rail["switch_on"]["limiter_cold"], &one["limiter_cold"], "together, limited");
    }
    let surge = |case: &str| number(&one[case], "inrush_peak_a");
    assert!(surge("limiter_cold") < 0.5 * surge("without_limiter"), "the limiter limits");
    // Nothing shared, nothing felt; and behind a limiter a bridge has its worst in the half in which half-wave idles.
    let (apart, alone) = (pair("0 Ω", "1 Ω", "half-wave"), single("0 Ω", "1 Ω"));
    close(&apart["rails"][0]["switch_on"]["without_limiter"], &alone["without_limiter"], "apart");
    let peak = |found: &Value| number(&found["limiter_cold"], "inrush_peak_a");
    let (beside, alone) = (peak(&apart["rails"][0]["switch_on"]), peak(&alone));
    assert!((beside - alone).abs() < 1e-6 * alone, "{beside} {alone}");
    let both = peak(&pair("0 Ω", "1 Ω", "bridge")["rails"][0]["switch_on"]);
    assert!(both < 0.8 * alone, "{both} {alone}");
}

/// Law: what all elements of a core take is what it draws from the EMF, half-wave rails with the mean they leave in the primary
/// among them; and a rail's share of its ripple rating is what it is alone where nothing is shared.
#[test]
fn the_power_of_a_core_adds_up_and_ripple_is_weighed_rail_by_rail() {
    let rating = ", c1_ripple: {rated: 3 A, multipliers: [[50 Hz, 0.8], [1 kHz, 1.2]]}}";
    let rated = rail("a", "bridge").replace("1 A}}", &format!("1 A}}{rating}"));
    for second in ["half-wave", "centre-tap", "full-wave-doubler", "half-wave-doubler"] {
        let found = solved(&core("0.2 Ω", &[rated.clone(), rail("b", second)]), &[]);
        let shares = found["energy"].as_object().unwrap();
        let sum: f64 = shares.values().map(|one| one.as_f64().unwrap()).sum();
        let input: f64 =
            found["rails"].as_array().unwrap().iter().map(|one| number(one, "input_power_w")).sum();
        assert!(
            (sum - input).abs() < 1e-9 * input && shares["primary_w"].as_f64().unwrap() > 0.5,
            "{second}: {found}"
        );
        assert!(
            number(&found["rails"][0]["c1_ripple"], "use") > 0.3 && found["rails"][1]["c1_ripple"].is_null()
        );
    }
    let apart = solved(&core("0 Ω", &[rail("b", "half-wave"), rated]), &[]);
    let alone = format!("{{circuit: 1, topology: bridge, {WINDING}, {BRIDGE}{rating}");
    let alone = solved(&alone, &[]);
    let (one, other) = (&apart["rails"][1]["c1_ripple"], &alone["c1_ripple"]);
    assert!((number(one, "use") - number(other, "use")).abs() < 1e-9, "{one} {other}");
    let page =
        answered(&core("0.2 Ω", &[rail("main", "bridge"), rail("aux", "half-wave")]), &["--width", "80"]);
    assert!(page.contains("primary and source") && page.contains("Where the power goes"), "{page}");
}

/// Where IEC 61000-3-2 sets no limits, it is said: mains below 220 V and currents above 16 A a phase (from memory), up to 75 W.
#[test]
fn where_class_a_says_nothing_the_reason_is_told() {
    let why = |text: &str| solved(text, &[])["class_a"]["why"].as_str().unwrap_or("compared").to_owned();
    let two = core("0.2 Ω", &[rail("a", "bridge"), rail("b", "bridge")]).replace("1 A", "3 A");
    assert_eq!(why(&two), "compared");
    assert!(why(&two.replace("230 V", "120 V")).contains("below 220 V"));
    assert_eq!(why(&two.replace("230 V", "207 V")), "compared", "230 V less a tenth");
    assert!(why(&core("0.2 Ω", &[rail("a", "bridge")])).contains("75 W"));
    let large =
        rail("a", "bridge").replace("20 V", "200 V").replace("1 A", "12 A").replace("0.3 Ω", "0.01 Ω");
    assert!(why(&core("0.01 Ω", &[large])).contains("16 A"));
}

#[test]
fn a_core_is_shown_on_a_page_in_csv_and_as_waveforms() {
    let text = core("0.2 Ω", &[rail("main", "bridge"), rail("=aux", "half-wave")]);
    for width in [80, 120] {
        let page = answered(&text, &["--width", &width.to_string(), "--plot"]);
        assert!(
            page.contains("alone on the core") && page.contains("main") && page.contains("winding current")
        );
        assert!(page.lines().all(|line| line.chars().count() <= width), "{page}");
    }
    let html = answered(&text, &["--format", "html", "--switch-on"]);
    for said in ["Switch-on: diode current", "main, diodes", "=aux, reservoir", "Where the power goes"] {
        assert!(html.contains(said), "no {said:?}");
    }
    let csv = answered(&text, &["--format", "csv"]);
    assert!(csv.contains("main,load_mean_v,") && csv.contains("_aux,load_mean_v,") && !csv.contains("=aux"));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wave.csv");
    answered(&text, &["--waveforms", path.to_str().unwrap(), "--points", "101"]);
    let written = fs::read_to_string(path).unwrap();
    let head = written.lines().next().unwrap();
    assert!(
        head.contains("winding_2_a,primary_a")
            && head.contains("main.load_v")
            && head.contains("_aux.load_v")
    );
    assert!(written.lines().count() > 101);
}

#[test]
fn faults_of_a_core_are_told_in_words() {
    for (text, said) in [
        (core("0.2 Ω", &[rail("a", "bridge"), rail("a", "bridge")]), "duplicate rail `a`"),
        (core("0.2", &[rail("a", "bridge")]), "primary_resistance"),
        (core("0.2 Ω", &[rail("a", "brigde")]), "did you mean `bridge`?"),
        (core("0.2 Ω", &[rail("a", "bridge").replace("0.3 Ω}", "0.3 Ω, mains_rms: 230 V}")]), "`mains_rms`"),
        (
            core("0.2 Ω", &[rail("a", "bridge"), rail("b", "bridge").replace("50 Hz", "60 Hz")]),
            "one mains frequency",
        ),
        (core("0.2 Ω", &[rail("a", "bridge").replace("1 A", "90 A")]), "of the loads would be borne"),
        ("circuit: 1\ncore: {primary_resistance: 1 Ω}\nrails: []\n".to_owned(), "at least one item"),
    ] {
        let (code, out, err) = run(&text, &[]);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{text}");
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
    let text = core("0.2 Ω", &[rail("a", "bridge")]);
    for (option, said) in [
        (&["--samples", "10"][..], "none are stated"),
        (&["--sweep", "filter.c1=1uF..2uF/3"], "did you mean `a.filter.c1`?"),
        (&["--sweep", "a.winding.frequency=45Hz..55Hz/3"], "`core.frequency`"),
        (&["--sweep", "core.emf_rms=18V..22V/2", "--sweep", "a.winding.emf_peak=20V..30V/2"], "swept twice"),
        (&["--sweep", "a.filter.c1=1mF..2mF/2", "--figures", "load_mean_v"], "did you mean `a.load_mean_v`?"),
        (
            &["--sweep", "a.filter.c1=1mF..2mF/2", "--figures", "a.inrush_primary_peak_a"],
            "no figure is called",
        ),
    ] {
        let (code, _, err) = run(&text, option);
        assert_eq!(code, Some(2));
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
    for (more, said) in [
        ("tolerance: {a.filter.c3: 10 %}\n", "an input of a rail behind its name, such as `a.filter.c1`"),
        ("tolerance: {core.emf_rms: 10 %, a.winding.emf_rms: 5 %}\n", "has a tolerance already"),
        ("limits: {a.load_men_v: {min: 1}}\n", "did you mean `a.load_mean_v`?"),
    ] {
        let (code, _, err) = run(&format!("{text}{more}"), &[]);
        assert_eq!(code, Some(2));
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
}

/// Second method: every point of a sweep and every vertex of the tolerances is what the file gives with those values written
/// into it.
#[test]
fn points_and_vertices_of_a_core_are_the_files_with_these_values() {
    let rails = |load: &str| [rail("main", "bridge").replace("1 A", load), rail("aux", "centre-tap")];
    let text = core("0.2 Ω", &rails("1 A"));
    let figures = [
        "--figures",
        "aux.load_mean_v,main.ripple_pp_v,crest_factor,main.inrush_peak_a,aux.settle_cycles,inrush_primary_peak_a",
    ];
    let swept = solved(&text, &[&["--sweep", "main.load.current=0.4A..1.6A/3"][..], &figures].concat());
    let points = swept["points"].as_array().unwrap();
    assert_eq!(points.len(), 3);
    for (point, load) in points.iter().zip(["0.4 A", "1 A", "1.6 A"]) {
        let plain = solved(&core("0.2 Ω", &rails(load)), &["--switch-on"]);
        let surge = |rail: usize| &plain["rails"][rail]["switch_on"]["without_limiter"];
        let pairs = [
            (number(point, "main.inrush_peak_a"), number(surge(0), "inrush_peak_a")),
            (number(point, "aux.settle_cycles"), number(surge(1), "settle_cycles")),
            (
                number(point, "inrush_primary_peak_a"),
                number(&plain["switch_on"]["without_limiter"], "inrush_primary_peak_a"),
            ),
            (number(point, "aux.load_mean_v"), number(&plain["rails"][1], "load_mean_v")),
            (number(point, "main.ripple_pp_v"), number(&plain["rails"][0], "ripple_pp_v")),
            (number(point, "crest_factor"), number(&plain, "crest_factor")),
        ];
        for (one, other) in pairs {
            assert!((one - other).abs() <= 1e-12 * other.abs(), "{load}: {one} {other}");
        }
    }
    // More load on one rail takes from the other.
    assert!(number(&points[0], "aux.load_mean_v") > number(&points[2], "aux.load_mean_v"));
    let bounds = "tolerance: {core.emf_rms: 10 %, main.load.current: {from: 0.4 A, to: 1.6 A}}\n\
                  limits: {aux.load_mean_v: {min: 20}}\n";
    let toleranced = format!("{text}{bounds}");
    let found = solved(&toleranced, &["--samples", "40", "--seed", "5"]);
    assert_eq!(found["vertices"]["count"], 4);
    let aux = &found["vertices"]["figures"]["aux.load_mean_v"];
    let high = core("0.2 Ω", &rails("0.4 A")).replace("20 V", "22 V");
    let low = core("0.2 Ω", &rails("1.6 A")).replace("20 V", "18 V");
    for (key, text, at) in [
        ("max", high, "core.emf_rms +, main.load.current −"),
        ("min", low, "core.emf_rms −, main.load.current +"),
    ] {
        let plain = number(&solved(&text, &[])["rails"][1], "load_mean_v");
        assert!((number(aux, key) - plain).abs() <= 1e-9 * plain, "{key}: {aux} {plain}");
        assert_eq!(aux[format!("{key}_at")], at);
    }
    let drawn = &found["samples"]["figures"]["aux.load_mean_v"];
    assert!(number(drawn, "min") >= number(aux, "min") && number(drawn, "max") <= number(aux, "max"));
    assert_eq!(found["samples"]["kept"]["aux.load_mean_v"], found["samples"]["kept_all"]);
    assert_eq!(
        found,
        solved(&toleranced, &["--samples", "40", "--seed", "5"]),
        "the same seed, the same bytes"
    );
    for width in [80, 120] {
        let page = answered(&toleranced, &["--width", &width.to_string(), "--samples", "40"]);
        assert!(page.contains("all 4 vertices") && page.contains("kept by"), "{page}");
        assert!(page.lines().all(|line| line.chars().count() <= width), "{page}");
    }
    let csv = answered(&text, &["--sweep", "core.primary_resistance=0Ω..1Ω/2", "--format", "csv"]);
    assert!(csv.starts_with("core.primary_resistance_ohm,main.load_mean_v"), "{csv}");
}

/// Law: without a resistance in common the textbook stands beside each rail as beside the rail alone. Limits are judged by the figures
/// of the same answer.
#[test]
fn the_textbook_stands_beside_each_rail_and_limits_are_judged() {
    let rails = [rail("a", "bridge"), rail("b", "centre-tap")];
    let apart = core("0 Ω", &rails) + "limits: {a.load_mean_v: {min: 20}, b.ripple_pp_v: {max: 0.1}}\n";
    let found = solved(&apart, &[]);
    for (nth, topology) in ["bridge", "centre-tap"].into_iter().enumerate() {
        let alone = solved(&format!("{{circuit: 1, topology: {topology}, {WINDING}, {BRIDGE}}}"), &[]);
        let rules = |found: &Value| found["textbook"].as_array().expect("rules").clone();
        let (own, single) = (rules(&found["rails"][nth]), rules(&alone));
        assert!(own.len() == single.len() && own.len() > 5, "{} of {}", own.len(), single.len());
        for (own, single) in own.iter().zip(&single) {
            assert_eq!(own["figure"], single["figure"]);
            for key in ["textbook", "exact"] {
                let (one, other) = (number(own, key), number(single, key));
                assert!((one - other).abs() < 1e-7 * other.abs(), "{}: {one} {other}", own["figure"]);
            }
        }
    }
    let limits = found["limits"].as_array().expect("limits");
    for (limit, (rail, key, holds)) in
        limits.iter().zip([(0, "load_mean_v", true), (1, "ripple_pp_v", false)])
    {
        assert_eq!(number(limit, "value").to_bits(), number(&found["rails"][rail], key).to_bits());
        assert_eq!(limit["holds"], holds, "{limit}");
    }
}
