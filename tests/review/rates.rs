//! Failure rates: pass transistors by the handbook's own formula, and no position of a kept design passed over in silence.

use railwright::review::Figure;
use railwright::review::reliability::reliability;

use super::bench::designed;
use super::everywhere::kept;

/// Source: MIL-HDBK-217F Notice 2, section 6.3, low-frequency bipolar transistors (from memory): base 0.00074, temperature
/// `exp(−2114 (1/(T_j + 273) − 1/298))`, application 1.5 linear, rating P^0.37, voltage 0.045 exp(3.1 V), quality 8
/// plastic and 5.5 in a metal can, environment 1 benign and 6 fixed; appendix A (from memory): power transistors 0.0057 and 0.042. Worked here by hand from
/// the audit's own junction temperature and the part's ratings.
#[test]
fn pass_transistors_have_the_rate_of_their_handbook_model() {
    let bench = designed("print-shop");
    let (rates, dossier) = (reliability(bench.inputs()), bench.audited());
    let row = rates.rows.iter().find(|row| row.position == "pass transistor").expect("a row");
    let recorded =
        bench.record.rails[0].parts.iter().find(|part| part.position == "pass-transistor").expect("there");
    let part = bench.catalog.transistors.iter().find(|one| one.common.id.0 == recorded.part).expect("there");
    assert_eq!(row.elements, recorded.count);
    let applied =
        |code: &str| dossier.stresses.iter().find(|one| one.stress == code).expect("judged").applied.value();
    let junction_k = applied("pass-junction-temperature") + 273.0;
    // The review prints the share of voltage to three digits; a rail of 24 V keeps within 5 %.
    let used: f64 = row
        .given
        .split_once(" % of collector voltage")
        .and_then(|(before, _)| before.rsplit_once(' '))
        .and_then(|(_, text)| text.parse().ok())
        .expect("a share");
    let across =
        |output_v: f64| 100.0 * (applied("pass-collector-voltage") - output_v) / part.collector_emitter_max.0;
    assert!(used > across(24.0 * 1.05) && used < across(24.0 * 0.95), "{used} %");
    let rated_w = (part.junction_max.0 - 25.0) / part.junction_case.0;
    let quality = if part.common.package == "TO-3" { 5.5 } else { 8.0 };
    let each = 0.00074
        * (-2114.0 * (1.0 / junction_k - 1.0 / 298.0)).exp()
        * 1.5
        * rated_w.powf(0.37)
        * 0.045
        * (3.1 * used / 100.0).exp()
        * quality;
    let near = |found: Option<Figure>, wanted: f64| {
        let found = found.expect("a figure").value();
        assert!((found - wanted).abs() < 5e-3 * wanted, "{found} against {wanted}: {}", row.given);
    };
    let count = f64::from(row.elements);
    near(row.benign, count * each);
    near(row.fixed, count * each * 6.0);
    near(row.counted_benign, count * quality * 0.0057);
    near(row.counted_fixed, count * quality * 0.042);
    // The limit transistor rests in cool air with next to nothing across it: its rate is the lower one.
    let limiter = rates.rows.iter().find(|row| row.position == "limit transistor").expect("a row");
    let one = row.benign.expect("a figure").value() / count;
    assert!(limiter.benign.is_some_and(|rate| rate.value() > 0.0 && rate.value() < one), "{limiter:?}");
}

/// Law: every position of every record is counted, or named with the reason why it is not.
#[test]
fn every_position_of_every_kept_design_is_counted_or_named() {
    for name in kept() {
        let bench = designed(&name);
        let rates = reliability(bench.inputs());
        for rail in &bench.record.rails {
            for part in &rail.parts {
                let named = part.designators.join(" ");
                let counted = rates
                    .rows
                    .iter()
                    .filter(|row| row.rail == rail.rail && row.designators == part.designators);
                let told = rates.without.iter().filter(|why| why.starts_with(&format!("{named} ("))).count();
                assert_eq!(counted.count() + told, 1, "{name}: {named} of {}", rail.rail);
            }
        }
        assert!(rates.without.iter().all(|why| why.contains("): ")), "{:?}", rates.without);
        // Only what the handbook has no model for, or no model that is known here, may be left out.
        for why in &rates.without {
            let known = ["heat sink", "pad", "inrush limiter", "cut-out", "filter choke"];
            assert!(known.iter().any(|one| why.contains(one)), "{name}: {why}");
        }
    }
}
