//! Reads a policy file and reports every fault of it at once.
//!
//! Takes any well-formed rule code: whether a rule of that code exists is for the rules to say.
//!
//! ```yaml
//! title: House practice
//! source: common practice, no source      # organisation, document, edition
//! note: Used where no other policy is named.
//! limits:
//!   reservoir-voltage:                    # code of the rule
//!     ratio: 80 %                         # exactly one of: ratio, below_maximum, ceiling, at_least, at_most
//!     condition: steady peak over rated voltage
//!     clause: none
//!     known: common-practice              # seen, second-hand, memory, common-practice
//!   diode-junction-temperature:
//!     ceiling: 110 °C                     # may be joined by below_maximum
//!     below_maximum: 25 K
//!     condition: silicon
//!     clause: table 3
//!     known: seen
//!   regulator-headroom:
//!     at_least: 0.5 V                     # a plain number, or one with the unit of the rule
//!     condition: every corner
//!     clause: none
//!     known: common-practice
//! parameters:
//!   transient_factor: 1.5
//!   ...                                   # every field of `Parameters`, all of them
//! ```

use std::collections::BTreeMap;

use super::{Known, Limit, LimitKind, Parameters, Policy};
use crate::document::{self, Fault, Faults, Fields, Source, Value};
use crate::quantity::{Amps, Celsius, Decibels, Joules, Kelvins, Quantity, Ratio, Seconds, Volts, Watts};

/// Reads a policy; `id` is the stem of the file name and `digest` the SHA-256 of its bytes.
pub fn read(source: &Source, id: &str, digest: &str) -> Result<Policy, Faults> {
    document::read(source, |root| policy(root, id, digest))
}

fn policy(root: Value<'_>, id: &str, digest: &str) -> Option<Policy> {
    let mut map = root.fields()?;
    let title = map.required("title", Value::text);
    let source = map.required("source", Value::text);
    let note = map.required("note", Value::text);
    let limits = map.required("limits", limits);
    let parameters = map.required("parameters", parameters);
    map.finish();
    Some(Policy {
        id: id.to_owned(),
        title: title?,
        source: source?,
        note: note?,
        limits: limits?,
        parameters: parameters?,
        digest: digest.to_owned(),
    })
}

fn limits(value: Value<'_>) -> Option<BTreeMap<String, Limit>> {
    let mut all = BTreeMap::new();
    for (code, value) in value.entries()? {
        let Some(name) = code.str() else { continue };
        if !is_slug(name) {
            let allowed = "lower-case words joined by hyphens, such as `reservoir-voltage`";
            code.refuse(format!("`{name}` is not the code of a rule"), allowed, None);
        }
        if let Some(limit) = limit(value) {
            all.insert(name.to_owned(), limit);
        }
    }
    Some(all)
}

fn is_slug(code: &str) -> bool {
    let word =
        |word: &str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    code.split('-').all(word)
}

fn limit(value: Value<'_>) -> Option<Limit> {
    let mut map = value.fields()?;
    let kind = kind(&mut map);
    let condition = map.required("condition", Value::text);
    let clause = map.required("clause", Value::text);
    let known = map.required("known", |v| {
        v.word(&[
            ("seen", Known::Seen),
            ("second-hand", Known::SecondHand),
            ("memory", Known::Memory),
            ("common-practice", Known::CommonPractice),
        ])
    });
    map.finish();
    Some(Limit { kind: kind?, condition: condition?, clause: clause?, known: known? })
}

fn kind(map: &mut Fields<'_>) -> Option<LimitKind> {
    const KINDS: [&str; 5] = ["ratio", "below_maximum", "ceiling", "at_least", "at_most"];
    let stated: Vec<&str> = KINDS.into_iter().filter(|key| map.get(key).is_some()).collect();
    let ratio = map.optional("ratio", |v| v.quantity(Ratio(0.01)..=Ratio(10.0)));
    let below = map.optional("below_maximum", |v| v.quantity(Kelvins(0.0)..=Kelvins(200.0)));
    let ceiling = map.optional("ceiling", |v| v.quantity(Celsius(0.0)..=Celsius(300.0)));
    let at_least = map.optional("at_least", own_unit);
    let at_most = map.optional("at_most", own_unit);
    match stated.as_slice() {
        ["ratio"] => ratio.map(LimitKind::Ratio),
        ["below_maximum"] => below.map(LimitKind::BelowMaximum),
        ["ceiling"] => ceiling.map(|at_most| LimitKind::Ceiling { at_most, below: Kelvins(0.0) }),
        ["below_maximum", "ceiling"] => Some(LimitKind::Ceiling { at_most: ceiling?, below: below? }),
        ["at_least"] => at_least.map(LimitKind::AtLeast),
        ["at_most"] => at_most.map(LimitKind::AtMost),
        several => {
            let found = several.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(" and ");
            let count = if several.is_empty() { "no limit" } else { "more than one limit" };
            let fault = Fault::new(map.map().first_span(), format!("{} has {count}", map.map().name()));
            let found = if several.is_empty() { "none".to_owned() } else { found };
            map.map().report(
                fault
                    .found(found)
                    .allowed("one of `ratio`, `below_maximum`, `ceiling`, `at_least`, `at_most`"),
            );
            None
        }
    }
}

/// A limit in the unit of its rule, which this storey does not know.
fn own_unit(value: Value<'_>) -> Option<f64> {
    fn si<Q: Quantity>(text: &str) -> Option<f64> {
        Q::from_text(text).ok().map(Quantity::si)
    }
    const UNITS: [fn(&str) -> Option<f64>; 9] = [
        si::<Volts>,
        si::<Amps>,
        si::<Seconds>,
        si::<Ratio>,
        si::<Kelvins>,
        si::<Celsius>,
        si::<Decibels>,
        si::<Watts>,
        si::<Joules>,
    ];
    let text = value.str()?;
    UNITS.iter().find_map(|read| read(text)).or_else(|| value.number(-1e9..=1e9))
}

fn parameters(value: Value<'_>) -> Option<Parameters> {
    let mut map = value.fields()?;
    let factor = |low: f64, high: f64| move |v: Value<'_>| v.number(low..=high);
    let transient_factor = map.required("transient_factor", factor(1.0, 10.0));
    let discharge_voltage = map.required("discharge_voltage", |v| v.quantity(Volts(1.0)..=Volts(120.0)));
    let discharge_time = map.required("discharge_time", |v| v.quantity(Seconds(0.1)..=Seconds(3600.0)));
    let fuse_pulse_factor = map.required("fuse_pulse_factor", factor(1.0, 100.0));
    let typical_rejection_allowance_db = map.required("typical_rejection_allowance", |v| {
        v.quantity(Decibels(0.0)..=Decibels(60.0)).map(|level| level.0)
    });
    let end_capacitance_loss = map.required("end_capacitance_loss", |v| v.quantity(Ratio(0.0)..=Ratio(0.9)));
    let end_esr_factor = map.required("end_esr_factor", factor(1.0, 20.0));
    let parallel_imbalance = map.required("parallel_imbalance", factor(1.0, 3.0));
    let diode_drop_low_factor = map.required("diode_drop_low_factor", factor(0.1, 1.0));
    let esr_low_factor = map.required("esr_low_factor", factor(0.01, 1.0));
    let touch_temperature = map.required("touch_temperature", |v| v.quantity(Celsius(30.0)..=Celsius(120.0)));
    let fault_time = map.required("fault_time", |v| v.quantity(Seconds(0.001)..=Seconds(86_400.0)));
    map.finish();
    Some(Parameters {
        transient_factor: transient_factor?,
        discharge_voltage: discharge_voltage?,
        discharge_time: discharge_time?,
        fuse_pulse_factor: fuse_pulse_factor?,
        typical_rejection_allowance_db: typical_rejection_allowance_db?,
        end_capacitance_loss: end_capacitance_loss?,
        end_esr_factor: end_esr_factor?,
        parallel_imbalance: parallel_imbalance?,
        diode_drop_low_factor: diode_drop_low_factor?,
        esr_low_factor: esr_low_factor?,
        touch_temperature: touch_temperature?,
        fault_time: fault_time?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const POLICY: &str = "\
title: Trial
source: none
note: for tests
limits:
  reservoir-voltage: { ratio: 80 %, condition: steady, clause: none, known: common-practice }
  regulator-headroom: { at_least: 0.5 V, condition: all, clause: none, known: memory }
  diode-junction-temperature: { ceiling: 110 °C, below_maximum: 25 K, condition: all, clause: 4.2, known: seen }
parameters:
  transient_factor: 1.5
  discharge_voltage: 60 V
  discharge_time: 10 s
  fuse_pulse_factor: 3
  typical_rejection_allowance: 6 dB
  end_capacitance_loss: 20 %
  end_esr_factor: 2
  parallel_imbalance: 1.1
  diode_drop_low_factor: 0.8
  esr_low_factor: 0.3
  touch_temperature: 60 °C
  fault_time: 10 min
";

    #[test]
    fn a_policy_keeps_each_limit_with_its_clause() {
        let policy = read(&Source::new("trial.yaml", POLICY), "trial", "00").unwrap();
        assert_eq!(policy.limits["reservoir-voltage"].kind, LimitKind::Ratio(Ratio(0.8)));
        assert_eq!(policy.limits["regulator-headroom"].kind, LimitKind::AtLeast(0.5));
        let junction = &policy.limits["diode-junction-temperature"];
        assert_eq!(junction.kind, LimitKind::Ceiling { at_most: Celsius(110.0), below: Kelvins(25.0) });
        assert_eq!((junction.clause.as_str(), junction.known), ("4.2", Known::Seen));
        assert_eq!(policy.parameters.fault_time, Seconds(600.0));
    }

    #[test]
    fn faults_of_a_policy_are_named_with_their_places() {
        let text = POLICY
            .replace("ratio: 80 %", "at_least: 1, ratio: 80 %")
            .replace("known: memory", "known: memry")
            .replace("  transient_factor: 1.5\n", "")
            .replace("diode-junction-temperature", "Diode_TJ");
        let faults = read(&Source::new("trial.yaml", text), "trial", "00").unwrap_err();
        let found: Vec<_> = faults
            .iter()
            .map(|(s, f)| (s.line_column(f.span.start).0, f.message.as_str(), f.hint.as_deref()))
            .collect();
        assert_eq!(
            found,
            [
                (5, "`reservoir-voltage` has more than one limit", None),
                (6, "`known` is not a known word", Some("did you mean `memory`?")),
                (7, "`Diode_TJ` is not the code of a rule", None),
                (9, "missing key `transient_factor` in `parameters`", Some("add `transient_factor: ...`")),
            ]
        );
    }
}
