//! The textbook's derivation of the rectifier, step by step, beside the exact result with the reservoir.
//!
//! For teaching: nothing is chosen or judged by it. Figures of a tapped winding are of one half.

use serde::Serialize;

use super::{
    figure::{Figure, Unit},
    recompute::RailReview,
};
use crate::{circuit::spec::Topology, physics::textbook::Ideal};

/// One step of the derivation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Rail.
    pub rail: String,
    /// What is derived.
    pub title: String,
    /// Equations, one a line.
    pub lines: Vec<String>,
    /// With the values of this design and the result.
    pub substituted: String,
    /// Symbols: name and meaning.
    pub symbols: Vec<(String, String)>,
    /// What it comes to without a reservoir.
    pub without_reservoir: Figure,
    /// The exact figure of this design, with the reservoir.
    pub with_reservoir: Figure,
    /// What the reservoir changes, and why.
    pub change: String,
    /// Where the derivation holds.
    pub domain: String,
    /// Whence it comes.
    pub source: String,
}

/// Where all steps hold.
const DOMAIN: &str = "a sine, ideal diodes and winding, a resistance as load, no filter";
/// Whence all steps come.
const SOURCE: &str = "derived: averages of a rectified sine over its period";

/// A step before it has a rail.
struct Draft {
    title: &'static str,
    lines: Vec<String>,
    values: String,
    symbols: &'static [(&'static str, &'static str)],
    figures: (f64, f64, Unit),
    change: &'static str,
}

/// Steps of one rail; empty where the textbooks print no such circuit, or nominal has no steady state.
pub(super) fn lesson(rail: &RailReview<'_>) -> Vec<Step> {
    let ideal = match rail.bench.assembly.topology {
        Topology::HalfWave => Ideal::HalfWave,
        Topology::CentreTap => Ideal::CentreTap,
        Topology::Bridge => Ideal::Bridge,
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler | Topology::DualComplementary => {
            return Vec::new();
        }
    };
    let drafts = drafts(rail, ideal).unwrap_or_default();
    drafts
        .into_iter()
        .filter_map(|draft| {
            let (without, with, unit) = draft.figures;
            Some(Step {
                rail: rail.record.rail.clone(),
                title: draft.title.to_owned(),
                lines: draft.lines,
                substituted: draft.values,
                symbols: draft
                    .symbols
                    .iter()
                    .map(|(name, meaning)| ((*name).to_owned(), (*meaning).to_owned()))
                    .collect(),
                without_reservoir: Figure::new(without, unit)?,
                with_reservoir: Figure::new(with, unit)?,
                change: draft.change.to_owned(),
                domain: DOMAIN.to_owned(),
                source: SOURCE.to_owned(),
            })
        })
        .collect()
}

fn text(value: f64, unit: Unit) -> String {
    Figure::new(value, unit).map_or_else(|| String::from("no finite value"), Figure::text)
}

fn drafts(rail: &RailReview<'_>, ideal: Ideal) -> Option<Vec<Draft>> {
    let point = rail.nominal.as_ref()?;
    let found = point.state.figures();
    let out = &found.output;
    let half = ideal == Ideal::HalfWave;
    let peak_v = point.emf_peak_v;
    let average_v = ideal.average().0 * peak_v;
    let rms_v = ideal.rms().0 * peak_v;
    let ac_v = ideal.ac_component().0 * peak_v;
    let exact_rms_v = out.load_mean_v.hypot(out.ripple_rms_v);
    let ratio = |value: f64| text(value, Unit::Ratio);
    let volts = |value: f64| text(value, Unit::Volts);
    let span = if half { "1/(2 π)" } else { "1/π" };
    let pick = |one: &str, other: &str| String::from(if half { one } else { other });
    let sine: &[(&str, &str)] =
        &[("V_pk", "peak of the EMF of the conducting path"), ("θ", "angle of the mains")];
    Some(vec![
        Draft {
            title: "Average of the rectified sine",
            lines: vec![
                format!("V_avg = {span} ∫_0^π V_pk sin θ dθ"),
                pick("V_avg = V_pk / π", "V_avg = 2 V_pk / π"),
            ],
            values: format!(
                "V_avg = {} · {} = {}",
                ratio(ideal.average().0),
                volts(peak_v),
                volts(average_v)
            ),
            symbols: sine,
            figures: (average_v, out.load_mean_v, Unit::Volts),
            change: "The reservoir holds the voltage near the peak, so the average rises; drops in winding and diodes keep it \
                     below the peak.",
        },
        Draft {
            title: "rms of the rectified sine",
            lines: vec![
                format!("V_rms = √({span} ∫_0^π V_pk² sin² θ dθ)"),
                pick("V_rms = V_pk / 2", "V_rms = V_pk / √2"),
            ],
            values: format!("V_rms = {} · {} = {}", ratio(ideal.rms().0), volts(peak_v), volts(rms_v)),
            symbols: sine,
            figures: (rms_v, exact_rms_v, Unit::Volts),
            change: "With little ripple the rms is hardly more than the average.",
        },
        Draft {
            title: "Form factor",
            lines: vec![pick("F = V_rms / V_avg = π / 2", "F = V_rms / V_avg = π / (2 √2)")],
            values: format!("F = {} / {} = {}", volts(rms_v), volts(average_v), ratio(ideal.form_factor().0)),
            symbols: &[("V_rms", "rms"), ("V_avg", "average")],
            figures: (ideal.form_factor().0, exact_rms_v / out.load_mean_v, Unit::Ratio),
            change: "It falls to nearly one: the output is nearly direct.",
        },
        Draft {
            title: "ac component",
            lines: vec![String::from("V_ac = √(V_rms² − V_avg²)")],
            values: format!("V_ac = √(({})² − ({})²) = {}", volts(rms_v), volts(average_v), volts(ac_v)),
            symbols: &[("V_rms", "rms"), ("V_avg", "average")],
            figures: (ac_v, out.ripple_rms_v, Unit::Volts),
            change: "What is left of it is the ripple, rms.",
        },
        Draft {
            title: "Ripple factor",
            lines: vec![String::from("γ = V_ac / V_avg = √(F² − 1)")],
            values: format!(
                "γ = √({}² − 1) = {}",
                ratio(ideal.form_factor().0),
                ratio(ideal.ripple_factor().0)
            ),
            symbols: &[("V_ac", "ac component, rms"), ("V_avg", "average"), ("F", "form factor")],
            figures: (ideal.ripple_factor().0, out.ripple_rms_v / out.load_mean_v, Unit::Ratio),
            change: "This is what the reservoir is for.",
        },
        Draft {
            title: "Efficiency of rectification",
            lines: vec![pick("η = V_avg² / V_rms² = 4 / π²", "η = V_avg² / V_rms² = 8 / π²")],
            values: format!(
                "η = ({})² / ({})² = {}",
                volts(average_v),
                volts(rms_v),
                text(ideal.efficiency().0, Unit::Percent)
            ),
            symbols: &[("V_avg", "average"), ("V_rms", "rms")],
            figures: (ideal.efficiency().0, (out.load_mean_v / exact_rms_v).powi(2), Unit::Percent),
            change: "Of the power in the load nearly all is direct; it is no efficiency of the supply.",
        },
        Draft {
            title: "Utilisation of the transformer's secondary",
            lines: vec![
                String::from(match ideal {
                    Ideal::CentreTap => "TUF = V_avg I_avg / (2 E I_rms / √2)",
                    Ideal::HalfWave | Ideal::Bridge => "TUF = V_avg I_avg / (E I_rms)",
                }),
                String::from(match ideal {
                    Ideal::HalfWave => "TUF = 2 √2 / π²",
                    Ideal::CentreTap => "TUF = 4 √2 / π²",
                    Ideal::Bridge => "TUF = 8 / π²",
                }),
            ],
            values: format!("TUF = {}", text(ideal.utilisation_secondary().0, Unit::Percent)),
            symbols: &[
                ("E", "EMF of a winding (half), rms"),
                ("I_avg", "load current, average"),
                ("I_rms", "load current, rms"),
            ],
            figures: (ideal.utilisation_secondary().0, out.load_power_w / found.va_emf_va, Unit::Percent),
            change: "The winding now carries short high pulses: more rms for the same average, so a larger transformer for the \
                     same power.",
        },
        Draft {
            title: "Peak current of a diode",
            lines: vec![pick("I_pk = π I_avg", "I_pk = π I_avg / 2")],
            values: format!(
                "I_pk = {} · {} = {}",
                ratio(1.0 / ideal.average().0),
                text(point.load_a, Unit::Amps),
                text(point.load_a / ideal.average().0, Unit::Amps)
            ),
            symbols: &[("I_avg", "load current, average")],
            figures: (point.load_a / ideal.average().0, out.diode_peak_a, Unit::Amps),
            change: "The charge of a whole period has to pass while the EMF stands above the reservoir.",
        },
        Draft {
            title: "Conduction of a diode",
            lines: vec![String::from("Φ = π")],
            values: String::from("Φ = 180°: each diode carries a whole half wave"),
            symbols: &[],
            figures: (180.0, out.diode_conduction_deg, Unit::Degrees),
            change: "It conducts only near the crest; the angle follows from the balance of charge and voltage, which has no \
                     formula and is solved exactly.",
        },
        Draft {
            title: "rms current of the winding",
            lines: vec![String::from(match ideal {
                Ideal::HalfWave => "I_w = π I_avg / 2",
                Ideal::CentreTap => "I_w = π I_avg / 4",
                Ideal::Bridge => "I_w = π I_avg / (2 √2)",
            })],
            values: format!(
                "I_w = {} · {} = {}",
                ratio(ideal.winding_rms().0),
                text(point.load_a, Unit::Amps),
                text(ideal.winding_rms().0 * point.load_a, Unit::Amps)
            ),
            symbols: &[("I_avg", "load current, average")],
            figures: (ideal.winding_rms().0 * point.load_a, found.winding_rms_a, Unit::Amps),
            change: "The same pulses heat the copper more than their average tells.",
        },
    ])
}
