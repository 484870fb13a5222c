//! What the general engine solves: the range of every input, and the combinations that are circuits.
//!
//! Every range is written once. Knows nothing of the solution.

use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Branch, Capacitor, Choke, Filter, Load, Spec, Topology};

/// A named range.
struct Range {
    what: &'static str,
    low: f64,
    high: f64,
}

const fn range(what: &'static str, low: f64, high: f64) -> Range {
    Range { what, low, high }
}

const EMF_PEAK: Range = range("emf peak in V", 1e-3, 1e5);
const FREQUENCY: Range = range("mains frequency in Hz", 1.0, 1e5);
const WINDING: Range = range("winding resistance in ohm", 0.0, 1e6);
const COMMON: Range = range("common resistance in ohm", 0.0, 1e6);
const LEAKAGE: Range = range("leakage inductance in H", 0.0, 1e2);
const THRESHOLD: Range = range("diode threshold in V", 0.0, 1e3);
const SLOPE: Range = range("diode slope in ohm", 0.0, 1e5);
/// Without any resistance in series the conduction current of a rectifier into a capacitor has no finite time constant.
const PATH: Range = range("resistance of a conducting path (winding and diode) in ohm", 1e-5, 1e6);
const CAPACITANCE: Range = range("capacitance in F", 1e-12, 1e3);
const ESR: Range = range("capacitor series resistance in ohm", 0.0, 1e5);
const FILTER_RESISTANCE: Range = range("filter resistance in ohm", 1e-4, 1e7);
const CHOKE: Range = range("choke inductance in H", 1e-7, 1e4);
const CHOKE_RESISTANCE: Range = range("choke resistance in ohm", 0.0, 1e6);
const LOAD_RESISTANCE: Range = range("load resistance in ohm", 1e-4, 1e12);
const LOAD_CURRENT: Range = range("load current in A", 0.0, 1e5);
const LOAD_POWER: Range = range("load power in W", 0.0, 1e7);

fn within(range: &Range, value: f64) -> Result<(), NoSteadyState> {
    if value >= range.low && value <= range.high {
        Ok(())
    } else {
        Err(NoSteadyState::OutsideDomain { what: range.what, value, low: range.low, high: range.high })
    }
}

/// Refuses what is not a circuit or lies outside the ranges above.
pub(super) fn check(spec: &Spec) -> Result<(), NoSteadyState> {
    let winding = &spec.winding;
    within(&EMF_PEAK, winding.emf_peak.0)?;
    within(&FREQUENCY, winding.frequency.0)?;
    within(&WINDING, winding.resistance.0)?;
    within(&COMMON, winding.common_resistance.0)?;
    within(&LEAKAGE, winding.leakage.0)?;
    within(&THRESHOLD, spec.diode.threshold.0)?;
    within(&SLOPE, spec.diode.slope.0)?;
    within(&PATH, winding.resistance.0 + spec.diode.slope.0)?;
    branch(spec.topology, &spec.output)?;
    match (spec.topology, &spec.negative) {
        (Topology::DualComplementary, Some(negative)) => branch(spec.topology, negative),
        (Topology::DualComplementary, None) => {
            Err(NoSteadyState::NotACircuit { why: "a dual complementary circuit has a negative output" })
        }
        (_, Some(_)) => {
            Err(NoSteadyState::NotACircuit { why: "only a dual complementary circuit has a negative output" })
        }
        (_, None) => Ok(()),
    }
}

fn branch(topology: Topology, branch: &Branch) -> Result<(), NoSteadyState> {
    let doubler = matches!(topology, Topology::FullWaveDoubler | Topology::HalfWaveDoubler);
    match branch.filter {
        Filter::None | Filter::Lc(..) | Filter::Rc(..) if doubler => {
            return Err(NoSteadyState::NotACircuit {
                why: "a doubler needs its capacitors at the rectifier",
            });
        }
        Filter::None if !matches!(branch.load, Load::Resistance(_)) => {
            return Err(NoSteadyState::NotACircuit {
                why: "a load of constant current or power needs a capacitor across it",
            });
        }
        Filter::None => {}
        Filter::Reservoir(first) => capacitor(&first)?,
        Filter::Crc(first, series, second) => {
            capacitor(&first)?;
            within(&FILTER_RESISTANCE, series.0)?;
            capacitor(&second)?;
        }
        Filter::Clc(first, series, second) => {
            capacitor(&first)?;
            choke(&series)?;
            capacitor(&second)?;
        }
        Filter::Lc(series, second) => {
            choke(&series)?;
            capacitor(&second)?;
        }
        Filter::Rc(series, second) => {
            within(&FILTER_RESISTANCE, series.0)?;
            capacitor(&second)?;
        }
    }
    match branch.load {
        Load::Resistance(load) => within(&LOAD_RESISTANCE, load.0),
        Load::Current(load) => within(&LOAD_CURRENT, load.0),
        Load::Power(load) => within(&LOAD_POWER, load.0),
    }
}

fn capacitor(part: &Capacitor) -> Result<(), NoSteadyState> {
    within(&CAPACITANCE, part.capacitance.0)?;
    within(&ESR, part.esr.0)
}

fn choke(part: &Choke) -> Result<(), NoSteadyState> {
    within(&CHOKE, part.inductance.0)?;
    within(&CHOKE_RESISTANCE, part.resistance.0)
}
