//! The inputs of a circuit by the path they have in its file, for sweeps and tolerances.
//!
//! Every name and range stands here once. Knows nothing of what an input does.

use std::f64::consts::SQRT_2;

use super::measure::Measure;
use crate::{
    circuit::spec::{Branch, Filter, Load, Spec},
    document::suggestion,
};

/// Which element of the winding or of a branch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Element {
    EmfPeak,
    EmfRms,
    Frequency,
    WindingResistance,
    CommonResistance,
    Leakage,
    Threshold,
    Slope,
    C1,
    Esr1,
    Series,
    Choke,
    ChokeResistance,
    C2,
    Esr2,
    LoadResistance,
    LoadCurrent,
    LoadPower,
}

/// One input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// Its path in a circuit file: `filter.c1`.
    pub path: &'static str,
    /// Its unit.
    pub measure: Measure,
    /// Least and greatest value, SI.
    pub range: (f64, f64),
    element: Element,
    negative: bool,
}

const fn input(path: &'static str, measure: Measure, low: f64, high: f64, element: Element) -> Input {
    Input { path, measure, range: (low, high), element, negative: false }
}

const fn mirrored(path: &'static str, of: Input) -> Input {
    Input { path, negative: true, ..of }
}

/// Peak of the open-circuit EMF.
pub const EMF_PEAK: Input = input("winding.emf_peak", Measure::Volts, 1e-3, 1e5, Element::EmfPeak);
/// rms of the open-circuit EMF.
pub const EMF_RMS: Input = input("winding.emf_rms", Measure::Volts, 1e-3, 7e4, Element::EmfRms);
/// Mains frequency.
pub const FREQUENCY: Input = input("winding.frequency", Measure::Hertz, 1.0, 1e5, Element::Frequency);
/// Winding resistance.
pub const RESISTANCE: Input =
    input("winding.resistance", Measure::Ohms, 0.0, 1e6, Element::WindingResistance);
/// Resistance common to all halves.
pub const COMMON: Input =
    input("winding.common_resistance", Measure::Ohms, 0.0, 1e6, Element::CommonResistance);
/// Leakage inductance.
pub const LEAKAGE: Input = input("winding.leakage", Measure::Henries, 0.0, 100.0, Element::Leakage);
/// Diode threshold.
pub const THRESHOLD: Input = input("diode.threshold", Measure::Volts, 0.0, 1e3, Element::Threshold);
/// Diode slope resistance.
pub const SLOPE: Input = input("diode.slope", Measure::Ohms, 0.0, 1e5, Element::Slope);
/// First capacitor.
pub const C1: Input = input("filter.c1", Measure::Farads, 1e-12, 1e3, Element::C1);
/// ESR of the first capacitor.
pub const ESR1: Input = input("filter.esr1", Measure::Ohms, 0.0, 1e5, Element::Esr1);
/// Resistance between the capacitors.
pub const SERIES: Input = input("filter.resistance", Measure::Ohms, 1e-4, 1e7, Element::Series);
/// Choke.
pub const CHOKE: Input = input("filter.choke", Measure::Henries, 1e-7, 1e4, Element::Choke);
/// Winding resistance of the choke.
pub const CHOKE_RESISTANCE: Input =
    input("filter.choke_resistance", Measure::Ohms, 0.0, 1e6, Element::ChokeResistance);
/// Second capacitor.
pub const C2: Input = input("filter.c2", Measure::Farads, 1e-12, 1e3, Element::C2);
/// ESR of the second capacitor.
pub const ESR2: Input = input("filter.esr2", Measure::Ohms, 0.0, 1e5, Element::Esr2);
/// Load resistance.
pub const LOAD_RESISTANCE: Input =
    input("load.resistance", Measure::Ohms, 1e-4, 1e12, Element::LoadResistance);
/// Load current.
pub const LOAD_CURRENT: Input = input("load.current", Measure::Amps, 0.0, 1e5, Element::LoadCurrent);
/// Load power.
pub const LOAD_POWER: Input = input("load.power", Measure::Watts, 0.0, 1e7, Element::LoadPower);

/// Every input.
pub const ALL: [Input; 28] = [
    EMF_PEAK,
    EMF_RMS,
    FREQUENCY,
    RESISTANCE,
    COMMON,
    LEAKAGE,
    THRESHOLD,
    SLOPE,
    C1,
    ESR1,
    SERIES,
    CHOKE,
    CHOKE_RESISTANCE,
    C2,
    ESR2,
    LOAD_RESISTANCE,
    LOAD_CURRENT,
    LOAD_POWER,
    mirrored("negative.filter.c1", C1),
    mirrored("negative.filter.esr1", ESR1),
    mirrored("negative.filter.resistance", SERIES),
    mirrored("negative.filter.choke", CHOKE),
    mirrored("negative.filter.choke_resistance", CHOKE_RESISTANCE),
    mirrored("negative.filter.c2", C2),
    mirrored("negative.filter.esr2", ESR2),
    mirrored("negative.load.resistance", LOAD_RESISTANCE),
    mirrored("negative.load.current", LOAD_CURRENT),
    mirrored("negative.load.power", LOAD_POWER),
];

/// Why a name or value is no input.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InputError {
    /// No such path.
    #[error("no input is called `{path}`{}; allowed are {allowed}", hint(.near.as_deref()))]
    Unknown {
        /// What was asked for.
        path: String,
        /// A name that looks like it.
        near: Option<String>,
        /// All names.
        allowed: String,
    },
    /// The circuit has no such element.
    #[error("the circuit has no `{path}`")]
    Absent {
        /// The path.
        path: &'static str,
    },
}

fn hint(near: Option<&str>) -> String {
    near.map(|near| format!(" (did you mean `{near}`?)")).unwrap_or_default()
}

impl Input {
    /// The input of this path.
    pub fn named(path: &str) -> Result<Self, InputError> {
        ALL.into_iter().find(|input| input.path == path).ok_or_else(|| InputError::Unknown {
            path: crate::document::neutralise(path).into_owned(),
            near: suggestion(path, ALL.iter().map(|input| input.path)).map(str::to_owned),
            allowed: ALL.iter().map(|input| format!("`{}`", input.path)).collect::<Vec<_>>().join(", "),
        })
    }

    /// Its value in a circuit; `None` where the circuit has no such element.
    pub fn of(self, spec: &Spec) -> Option<f64> {
        let mut copy = *spec;
        let value = *self.place(&mut copy)?;
        Some(if self.element == Element::EmfRms { value / SQRT_2 } else { value })
    }

    /// Gives it a value.
    pub fn set(self, spec: &mut Spec, value: f64) -> Result<(), InputError> {
        let factor = if self.element == Element::EmfRms { SQRT_2 } else { 1.0 };
        let place = self.place(spec).ok_or(InputError::Absent { path: self.path })?;
        *place = factor * value;
        Ok(())
    }

    /// Whether two inputs are the same element, as the peak and the rms of the EMF are.
    pub fn same_as(self, other: Self) -> bool {
        let emf = |input: Self| matches!(input.element, Element::EmfPeak | Element::EmfRms);
        self.path == other.path || (emf(self) && emf(other))
    }

    fn place(self, spec: &mut Spec) -> Option<&mut f64> {
        let winding = &mut spec.winding;
        Some(match self.element {
            Element::EmfPeak | Element::EmfRms => &mut winding.emf_peak.0,
            Element::Frequency => &mut winding.frequency.0,
            Element::WindingResistance => &mut winding.resistance.0,
            Element::CommonResistance => &mut winding.common_resistance.0,
            Element::Leakage => &mut winding.leakage.0,
            Element::Threshold => &mut spec.diode.threshold.0,
            Element::Slope => &mut spec.diode.slope.0,
            element => {
                let branch = if self.negative { spec.negative.as_mut()? } else { &mut spec.output };
                return of_branch(branch, element);
            }
        })
    }
}

fn of_branch(branch: &mut Branch, element: Element) -> Option<&mut f64> {
    match (element, &mut branch.load) {
        (Element::LoadResistance, Load::Resistance(ohms)) => return Some(&mut ohms.0),
        (Element::LoadCurrent, Load::Current(amps)) => return Some(&mut amps.0),
        (Element::LoadPower, Load::Power(watts)) => return Some(&mut watts.0),
        _ => {}
    }
    let (first, series, choke, second) = match &mut branch.filter {
        Filter::None => (None, None, None, None),
        Filter::Reservoir(first) => (Some(first), None, None, None),
        Filter::Crc(first, series, second) => (Some(first), Some(series), None, Some(second)),
        Filter::Clc(first, choke, second) => (Some(first), None, Some(choke), Some(second)),
        Filter::Lc(choke, second) => (None, None, Some(choke), Some(second)),
        Filter::Rc(series, second) => (None, Some(series), None, Some(second)),
    };
    match element {
        Element::C1 => first.map(|part| &mut part.capacitance.0),
        Element::Esr1 => first.map(|part| &mut part.esr.0),
        Element::Series => series.map(|ohms| &mut ohms.0),
        Element::Choke => choke.map(|part| &mut part.inductance.0),
        Element::ChokeResistance => choke.map(|part| &mut part.resistance.0),
        Element::C2 => second.map(|part| &mut part.capacitance.0),
        Element::Esr2 => second.map(|part| &mut part.esr.0),
        _ => None,
    }
}
