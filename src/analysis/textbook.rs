//! The textbook column: ideal constants and rules of thumb beside the exact figures, with the ratio.
//!
//! Chooses and judges nothing by them. Figures of a tapped winding are of one half; of a dual circuit the positive output.

use super::name::FigureName;
use crate::{
    circuit::{
        figures::Figures,
        spec::{Filter, Load, Spec, Topology},
    },
    physics::{
        filter, rule_of_thumb,
        textbook::{Ideal, choke_input},
    },
    quantity::{Amps, Farads, Volts, Watts},
};
use std::f64::consts::{PI, SQRT_2};

/// What no figure stands for: the ripple of the reservoir, also where a second section follows.
const RESERVOIR_RIPPLE: &str = "reservoir_ripple_pp_v";
const RESERVOIR_RIPPLE_LABEL: &str = "reservoir ripple, peak to peak";

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The figure it is a rule for: a key of the list of figures, or what stands for one.
    pub figure: &'static str,
    /// In words.
    pub label: String,
    /// In symbols.
    pub formula: &'static str,
    /// What the rule gives.
    pub textbook: f64,
    /// The exact figure.
    pub exact: f64,
}

impl Rule {
    /// Exact over textbook.
    pub fn ratio(&self) -> f64 {
        self.exact / self.textbook
    }
}

/// The rules that the books print for a circuit, in the order of the figures.
pub fn rules(spec: &Spec, figures: &Figures) -> Vec<Rule> {
    let found = match spec.output.filter {
        Filter::None => unfiltered(spec, figures),
        Filter::Lc(..) => choke_fed(spec, figures),
        Filter::Reservoir(c1) | Filter::Crc(c1, ..) | Filter::Clc(c1, ..) => {
            reservoir(spec, figures, c1.capacitance)
        }
        Filter::Rc(..) => Vec::new(),
    };
    found
        .into_iter()
        .filter(|(_, _, textbook, exact)| textbook.is_finite() && exact.is_finite() && *textbook > 0.0)
        .map(|(figure, formula, textbook, exact)| Rule {
            figure,
            label: FigureName::named(figure).map_or(RESERVOIR_RIPPLE_LABEL, |name| name.label()).to_owned(),
            formula,
            textbook,
            exact,
        })
        .collect()
}

/// Figure, formula, what it gives, exact.
type Found = (&'static str, &'static str, f64, f64);

const fn ideal(topology: Topology) -> Option<Ideal> {
    match topology {
        Topology::HalfWave => Some(Ideal::HalfWave),
        // Each output of a dual circuit is a centre-tap of its own.
        Topology::CentreTap | Topology::DualComplementary => Some(Ideal::CentreTap),
        Topology::Bridge => Some(Ideal::Bridge),
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler => None,
    }
}

/// Peak EMF less the drops in the path.
fn peak_v(spec: &Spec) -> f64 {
    let drops = if spec.topology == Topology::Bridge { 2.0 } else { 1.0 };
    spec.winding.emf_peak.0 - drops * spec.diode.threshold.0
}

fn unfiltered(spec: &Spec, figures: &Figures) -> Vec<Found> {
    let Some(ideal) = ideal(spec.topology) else { return Vec::new() };
    let emf_v = spec.winding.emf_peak.0 / SQRT_2;
    let (out, load_a) = (&figures.output, figures.output.load_current_mean_a);
    let (mean, reverse) = if ideal == Ideal::HalfWave {
        ("√2/π · E", "√2 E")
    } else {
        ("2√2/π · E", "√2 E or 2√2 E")
    };
    let mut rules = vec![
        ("load_mean_v", mean, ideal.output_per_emf().0 * emf_v, out.load_mean_v),
        ("ripple_rms_v", "√(F² − 1) · V_dc", ideal.ripple_factor().0 * out.load_mean_v, out.ripple_rms_v),
        ("diode_avg_a", "I or I/2", ideal.diode_average().0 * load_a, out.diode_avg_a),
        ("diode_rms_a", "π/2 · I or π/4 · I", ideal.diode_rms().0 * load_a, out.diode_rms_a),
        ("diode_piv_v", reverse, ideal.reverse_voltage().0 * spec.winding.emf_peak.0, out.diode_piv_v),
    ];
    if spec.topology != Topology::DualComplementary {
        rules.push((
            "winding_rms_a",
            "π/2, π/4 or π/(2√2) · I",
            ideal.winding_rms().0 * load_a,
            figures.winding_rms_a,
        ));
        let dc_w = out.load_mean_v * load_a;
        rules.push(("va_emf_va", "P_dc / TUF", dc_w / ideal.utilisation_secondary().0, figures.va_emf_va));
    }
    rules
}

fn reservoir(spec: &Spec, figures: &Figures, capacitance: Farads) -> Vec<Found> {
    let out = &figures.output;
    let (load, peak) = (Amps(out.load_current_mean_a), Volts(peak_v(spec)));
    let mains = spec.winding.frequency;
    // At the reservoir, which is the load's own where no second section follows.
    let mean = out.reservoir_mean_v.unwrap_or(out.load_mean_v);
    let ripple_pp = match (out.reservoir_max_v, out.reservoir_min_v) {
        (Some(max), Some(min)) => max - min,
        _ => out.ripple_pp_v,
    };
    let mean_key = if out.reservoir_mean_v.is_some() { "reservoir_mean_v" } else { "load_mean_v" };
    let Some(ideal) = ideal(spec.topology) else {
        // Each capacitor of a doubler is charged once a period.
        let per_capacitor = rule_of_thumb::ripple_pp(Ideal::HalfWave, load, mains, capacitance);
        let sag = match spec.topology {
            Topology::FullWaveDoubler => per_capacitor * 1.5,
            _ => per_capacitor,
        };
        return vec![
            (mean_key, "2 V_pk", 2.0 * peak.0, mean),
            (RESERVOIR_RIPPLE, "I/(f C), two in series 1.5 I/(f C)", sag.0, ripple_pp),
            ("diode_piv_v", "2 V_pk", 2.0 * spec.winding.emf_peak.0, out.diode_piv_v),
            ("diode_avg_a", "I", load.0, out.diode_avg_a),
        ];
    };
    let thumb = rule_of_thumb::ripple_pp(ideal, load, mains, capacitance);
    let reverse = if ideal == Ideal::Bridge { 1.0 } else { 2.0 };
    let mut rules = vec![
        (mean_key, "V_pk − ΔV/2", rule_of_thumb::mean_output(peak, thumb).0, mean),
        (RESERVOIR_RIPPLE, "I/(n f C)", thumb.0, ripple_pp),
        ("diode_avg_a", "I or I/2", ideal.diode_average().0 * load.0, out.diode_avg_a),
        (
            "diode_peak_a",
            "I (1 + 2π √(2 V_pk/(n² ΔV)))",
            rule_of_thumb::diode_peak(ideal, load, peak, thumb).0,
            out.diode_peak_a,
        ),
        (
            "diode_conduction_deg",
            "√(2 ΔV/V_pk)",
            rule_of_thumb::conduction_deg(peak, thumb),
            out.diode_conduction_deg,
        ),
        ("diode_piv_v", "V_pk or 2 V_pk", reverse * spec.winding.emf_peak.0, out.diode_piv_v),
    ];
    if out.reservoir_mean_v.is_none() {
        rules.insert(2, ("ripple_rms_v", "ΔV/(2√3)", rule_of_thumb::ripple_rms(thumb).0, out.ripple_rms_v));
    }
    if spec.topology != Topology::DualComplementary {
        let rating = rule_of_thumb::rating(ideal, Watts(out.load_power_w), load).0;
        rules.push((
            "winding_rms_a",
            "maker's factor · I",
            rule_of_thumb::winding_rms(ideal, load).0,
            figures.winding_rms_a,
        ));
        rules.push(("va_emf_va", "maker's factor · (P + d I)", rating, figures.va_emf_va));
    }
    rules
}

fn choke_fed(spec: &Spec, figures: &Figures) -> Vec<Found> {
    let (Filter::Lc(choke, capacitor), Some(ideal)) = (spec.output.filter, ideal(spec.topology)) else {
        return Vec::new();
    };
    if ideal == Ideal::HalfWave {
        return Vec::new();
    }
    let (out, load_a) = (&figures.output, figures.output.load_current_mean_a);
    let mains = spec.winding.frequency;
    let factor = filter::lc_ripple_factor(choke.inductance, capacitor.capacitance, mains).0;
    let mut rules = vec![
        ("load_mean_v", "2/π · V_pk", 2.0 / PI * peak_v(spec), out.load_mean_v),
        ("ripple_rms_v", "√2/(12 ω² L C) · V_dc", factor * out.load_mean_v, out.ripple_rms_v),
        ("diode_rms_a", "I/√2", choke_input::DIODE_RMS.0 * load_a, out.diode_rms_a),
    ];
    if spec.topology != Topology::DualComplementary {
        rules.push((
            "power_factor_primary",
            "2√2/π",
            choke_input::POWER_FACTOR.0,
            figures.power_factor_primary,
        ));
        if let (Some(va), Load::Resistance(_) | Load::Current(_)) =
            (choke_input::va_secondary(ideal), spec.output.load)
        {
            rules.push((
                "va_emf_va",
                "π/2 or π/(2√2) · P_dc",
                va.0 * out.load_mean_v * load_a,
                figures.va_emf_va,
            ));
        }
    }
    rules
}
