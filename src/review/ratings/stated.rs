//! Ratings that a rule compares with a stress: applied, and what the policy takes off, turned round.
//!
//! ```text
//! ratio r: rating = applied/r    distance ΔT below: rating = applied + ΔT    no limit in the policy: rating = applied
//! ```
//! Source: derived from the meaning of each limit. Knows no circuit.

use super::{Bound, RatingRow, row};
use crate::{
    policy::{LimitKind, Policy},
    quantity::Quantity as _,
    review::{figure::Figure, recompute::RailReview},
    stress::{
        position::Position,
        verdict::{Sense, Stress, Unit, Verdict},
    },
};

/// Rule, unit, name of the rating, condition under which it is meant.
const NAMES: &[(&str, Unit, &str, &str)] = &[
    ("transformer-primary-voltage", Unit::Volts, "greatest primary voltage, rms", "continuous"),
    ("transformer-flux", Unit::VoltsPerHertz, "greatest primary voltage over least frequency", ""),
    ("transformer-ambient", Unit::Celsius, "greatest ambient temperature", ""),
    ("transformer-secondary-current", Unit::Amps, "rated current of each secondary, rms", "as wired here"),
    ("transformer-primary-current", Unit::Amps, "primary current at rating, rms", "load and no-load parts"),
    (
        "transformer-copper-loss",
        Unit::Watts,
        "copper loss at rating that the windings bear",
        "with these resistances",
    ),
    ("transformer-winding-temperature", Unit::Celsius, "winding limit of the thermal class", "normal use"),
    ("transformer-overload-temperature", Unit::Celsius, "winding limit in overload", "output shorted"),
    ("rectifier-reverse-voltage", Unit::Volts, "repetitive peak reverse voltage", "each diode"),
    ("rectifier-transient-voltage", Unit::Volts, "non-repetitive peak reverse voltage", "each diode"),
    (
        "rectifier-average-current",
        Unit::Amps,
        "average current, capacitive load",
        "at the reference temperature found; of a bridge its output",
    ),
    ("rectifier-rms-current", Unit::Amps, "forward current, rms", "each diode"),
    ("rectifier-repetitive-peak", Unit::Amps, "repetitive peak forward current", "each diode"),
    ("rectifier-junction-temperature", Unit::Celsius, "greatest junction temperature", "with this heat path"),
    ("rectifier-surge-current", Unit::Amps, "surge peak, one half sine", "on the half-period of the mains"),
    ("rectifier-surge-i2t", Unit::AmpsSquaredSeconds, "heating integral", "10 ms basis"),
    ("reservoir-voltage", Unit::Volts, "rated dc voltage", ""),
    ("reservoir-surge-voltage", Unit::Volts, "surge voltage", ""),
    ("reservoir-ripple-current", Unit::Amps, "ripple current, rms", ""),
    ("reservoir-core-temperature", Unit::Celsius, "upper category temperature", "with this core rise"),
    ("regulator-input-voltage", Unit::Volts, "greatest input voltage", "to common"),
    (
        "regulator-differential-voltage",
        Unit::Volts,
        "greatest input-to-output voltage",
        "output shorted or starting",
    ),
    ("regulator-output-current", Unit::Amps, "guaranteed output current", ""),
    ("regulator-dissipation", Unit::Watts, "power", "hot, mains high, full load"),
    ("regulator-junction-temperature", Unit::Celsius, "greatest junction temperature", "with this heat path"),
    ("regulator-input-capacitor", Unit::Volts, "rated dc voltage", ""),
    ("regulator-output-capacitor", Unit::Volts, "rated dc voltage", ""),
    ("regulator-reverse-diode", Unit::Volts, "repetitive peak reverse voltage", ""),
    ("regulator-reverse-diode", Unit::AmpsSquaredSeconds, "heating integral", "10 ms basis"),
    ("choke-rms-current", Unit::Amps, "rated direct current", ""),
    ("choke-peak-current", Unit::Amps, "current up to which the inductance holds", ""),
    ("choke-winding-temperature", Unit::Celsius, "greatest winding temperature", ""),
    ("output-clamp", Unit::Volts, "repetitive peak reverse voltage", ""),
    ("output-clamp", Unit::Amps, "average forward current", "in the air inside"),
    ("pass-operating-area", Unit::Amps, "dc current of the operating area", "at voltage and case found"),
    ("pass-junction-temperature", Unit::Celsius, "greatest junction temperature", "with this heat path"),
    ("pass-collector-voltage", Unit::Volts, "collector-emitter voltage, base open", "output shorted"),
    ("pass-collector-current", Unit::Amps, "collector current, continuous", ""),
    ("pass-base-current", Unit::Amps, "base current, continuous", ""),
    ("sink-temperature", Unit::Celsius, "greatest temperature of the sink", ""),
    ("sink-air", Unit::Celsius, "greatest ambient temperature", ""),
    ("resistor-power", Unit::Watts, "power", "at the air found"),
    ("resistor-voltage", Unit::Volts, "greatest working voltage", ""),
    ("bleeder-power", Unit::Watts, "power", "at the air found"),
    ("fuse-steady-current", Unit::Amps, "rated current", "after the maker's rerating at the air found"),
    ("fuse-voltage", Unit::Volts, "rated voltage, ac rms", ""),
    ("fuse-breaking-capacity", Unit::Amps, "breaking capacity, rms", ""),
    ("inrush-energy", Unit::Joules, "energy of one surge", ""),
    ("inrush-energy", Unit::Farads, "greatest capacitance", "at mains high, referred to the primary"),
    ("inrush-steady-current", Unit::Amps, "greatest steady current, rms", ""),
    ("cut-out-margin", Unit::Celsius, "opening temperature less its tolerance", ""),
    ("cut-out-margin", Unit::Amps, "rated current, rms", ""),
    ("cut-out-margin", Unit::Volts, "rated voltage, ac rms", ""),
];

/// Code under which a policy limits fuses of the UL system.
const UL_FUSE: &str = "fuse-steady-current-ul";

/// Rating that a stress asks for, by what the policy takes off.
fn needed(stress: &Stress, policy: &Policy) -> f64 {
    let codes: &[&str] =
        if stress.code == "fuse-steady-current" { &[stress.code, UL_FUSE] } else { &[stress.code] };
    let Some(rating) = stress.rating else { return stress.applied };
    let kinds = codes.iter().filter_map(|code| policy.limits.get(*code)).map(|limit| limit.kind);
    // Of several codes the one that explains the limit found.
    for kind in kinds {
        let (left, asked) = match kind {
            LimitKind::Ratio(ratio) => (rating * ratio.0, stress.applied / ratio.0),
            LimitKind::BelowMaximum(below) => (rating - below.0, stress.applied + below.0),
            LimitKind::Ceiling { at_most, below } => {
                (at_most.0.min(rating - below.0), stress.applied + below.0)
            }
            LimitKind::AtMost(most) => (most.min(rating), stress.applied),
            LimitKind::AtLeast(_) => (rating, stress.applied),
        };
        if (left - stress.limit).abs() <= 1e-9 * stress.limit.abs() {
            return asked;
        }
    }
    stress.applied
}

/// Rows of one position.
pub(super) fn rows(rail: &RailReview<'_>, position: Position) -> Vec<RatingRow> {
    let policy = rail.bench.asked.policy;
    let mut rows = Vec::new();
    for verdict in &rail.verdicts {
        let Verdict::Stress(stress) = verdict else { continue };
        // The air is the same everywhere; the rule names the part that bears it least.
        let everywhere =
            stress.code == "sink-air" && !matches!(position, Position::Transformer | Position::Reservoir);
        if stress.position != position && !everywhere || stress.sense == Sense::AtLeast {
            continue;
        }
        let named = NAMES.iter().find(|(code, unit, ..)| *code == stress.code && *unit == stress.unit);
        let Some((code, unit, name, condition)) = named else { continue };
        let recorded = if everywhere { None } else { stress.rating };
        rows.push(RatingRow {
            bound: Bound::AtLeast,
            needed: Figure::new(needed(stress, policy), (*unit).into()),
            recorded: recorded.and_then(|rating| Figure::new(rating, (*unit).into())),
            condition: condition_text(rail, code, condition),
            ..row(rail, position, name, code)
        });
    }
    rows
}

fn condition_text(rail: &RailReview<'_>, code: &str, condition: &str) -> String {
    let part = rail.bench.assembly.reservoir.part;
    let unlike = !rail.bench.assembly.transformer.has_equal_windings();
    match code {
        "transformer-secondary-current" if unlike => "the winding of this rail".to_owned(),
        "reservoir-ripple-current" => format!(
            "each, at {} and {}, with these multipliers",
            part.ripple_frequency.to_exact_text(),
            part.t_max.to_exact_text()
        ),
        _ => condition.to_owned(),
    }
}
