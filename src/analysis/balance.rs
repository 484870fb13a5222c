//! Where the input power goes, element by element.
//!
//! What stands between the capacitors takes the rest where its own current is no figure; the engine's residual, which sums
//! every element exactly, stands beside it.

use crate::circuit::{
    figures::{Figures, OutputFigures},
    general::core_powers::{CorePowers, RailPowers},
    spec::{Branch, Filter, Spec, Topology},
};

/// One taker of power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// What takes it.
    pub what: &'static str,
    /// As a key.
    pub key: &'static str,
    /// How much, W.
    pub power_w: f64,
}

/// One taker of power on a core.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreShare {
    /// What takes it.
    pub what: &'static str,
    /// As a key.
    pub key: &'static str,
    /// How much in each rail, W; `None` where the rail has no such element, or where all share it.
    pub by_rail: Vec<Option<f64>>,
    /// How much in all, W.
    pub power_w: f64,
}

/// The shares of the power that the rails of a core take together; what they share stands first.
pub fn core_balance(powers: &CorePowers) -> Vec<CoreShare> {
    type Element = (&'static str, &'static str, fn(&RailPowers) -> f64);
    const ELEMENTS: [Element; 7] = [
        ("windings", "winding_w", |one| one.winding_w),
        ("diodes", "diodes_w", |one| one.diodes_w),
        ("first capacitors", "c1_w", |one| one.c1_w),
        ("filter resistors", "filter_w", |one| one.filter_w),
        ("chokes", "choke_w", |one| one.choke_w),
        ("second capacitors", "c2_w", |one| one.c2_w),
        ("loads", "load_w", |one| one.load_w),
    ];
    let mut list = vec![CoreShare {
        what: "primary and source",
        key: "primary_w",
        by_rail: vec![None; powers.rails.len()],
        power_w: powers.primary_w,
    }];
    for (what, key, of) in ELEMENTS {
        let by_rail: Vec<f64> = powers.rails.iter().map(of).collect();
        list.push(CoreShare {
            what,
            key,
            by_rail: by_rail.iter().map(|&watts| Some(watts).filter(|watts| *watts != 0.0)).collect(),
            power_w: by_rail.iter().sum(),
        });
    }
    list.retain(|one| one.power_w != 0.0 || one.key == "load_w");
    list
}

/// The shares of the input power, in the order of the current's way.
pub fn balance(spec: &Spec, figures: &Figures) -> Vec<Share> {
    let halves = match spec.topology {
        Topology::CentreTap | Topology::DualComplementary => 2.0,
        _ => 1.0,
    };
    let outputs = || {
        std::iter::once((&spec.output, &figures.output)).chain(spec.negative.iter().zip(&figures.negative))
    };
    let sum = |of: &dyn Fn(&Branch, &OutputFigures) -> f64| -> f64 {
        outputs().map(|(branch, out)| of(branch, out)).sum()
    };
    let diodes = match spec.topology {
        Topology::HalfWave => 1.0,
        Topology::Bridge => 4.0,
        // Of a dual complementary circuit: per output.
        _ => 2.0,
    };
    let square = |amps: Option<f64>| amps.map_or(0.0, |amps| amps * amps);
    let firsts = if spec.topology == Topology::FullWaveDoubler { 2.0 } else { 1.0 };
    // The dc part of a half-wave current flows in the secondary; the resistance it shares carries what the winding carries.
    let common_rms2 = if spec.topology == Topology::HalfWave {
        figures.winding_rms_a.powi(2)
    } else {
        figures.primary_rms_a.powi(2)
    };
    let winding = spec.winding.resistance.0 * halves * figures.winding_rms_a.powi(2)
        + spec.winding.common_resistance.0 * common_rms2;
    let diode = diodes
        * sum(&|_, out| {
            spec.diode.threshold.0 * out.diode_avg_a + spec.diode.slope.0 * out.diode_rms_a.powi(2)
        });
    let first = sum(&|branch, out| match branch.filter {
        Filter::Reservoir(c1) | Filter::Crc(c1, ..) | Filter::Clc(c1, ..) => {
            firsts * c1.esr.0 * square(out.c1_ripple_current_rms_a)
        }
        _ => 0.0,
    });
    let second = sum(&|branch, out| match branch.filter {
        Filter::Crc(_, _, c2) | Filter::Clc(_, _, c2) | Filter::Lc(_, c2) | Filter::Rc(_, c2) => {
            c2.esr.0 * square(out.c2_ripple_current_rms_a)
        }
        _ => 0.0,
    });
    let choke = sum(&|branch, out| match branch.filter {
        Filter::Clc(_, choke, _) | Filter::Lc(choke, _) => choke.resistance.0 * square(out.choke_rms_a),
        _ => 0.0,
    });
    let load = sum(&|_, out| out.load_power_w);
    let mut shares = vec![
        Share { what: "winding", key: "winding_w", power_w: winding },
        Share { what: "diodes", key: "diodes_w", power_w: diode },
        Share { what: "first capacitor", key: "c1_w", power_w: first },
        Share { what: "choke", key: "choke_w", power_w: choke },
        Share { what: "second capacitor", key: "c2_w", power_w: second },
        Share { what: "load", key: "load_w", power_w: load },
    ];
    let by_difference = outputs()
        .any(|(branch, _)| matches!(branch.filter, Filter::Crc(..) | Filter::Rc(..)))
        || spec.topology == Topology::HalfWaveDoubler;
    if by_difference {
        let what = if spec.topology == Topology::HalfWaveDoubler {
            "coupling capacitor and filter resistance, by difference"
        } else {
            "filter resistance, by difference"
        };
        let known: f64 = shares.iter().map(|share| share.power_w).sum();
        shares.push(Share { what, key: "rest_w", power_w: figures.input_power_w - known });
    }
    shares.retain(|share| share.power_w != 0.0 || share.key == "load_w");
    shares
}
