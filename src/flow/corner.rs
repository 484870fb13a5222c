//! The circuit of one corner of a recorded rail, so that anyone can look inside it.
//!
//! Solves and judges nothing of its own: it asks the review for the points and picks one.

use crate::{
    analysis::{
        AnyFile, CircuitFile, CoreFile, Switching, core_file::CoreRail, core_spread::CoreBounds,
        ripple::RippleRating,
    },
    circuit::{
        corner::{End, Thermal},
        operate::OperatingPoint,
        spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding},
        supply::Supply,
    },
    numeric::tie::first_greatest,
    physics::reservoir::ripple::Multipliers,
    quantity::{Amps, Farads, Henries, Hertz, Ohms, Ratio, Volts},
    record::Record,
    review::{
        self,
        recompute::{RailReview, recompute},
    },
    stress::{assembly::Reservoir, bench::Bench},
};

use super::Asked;

/// From here on the first multiplier of a ripple rating is held.
const FLOOR: Hertz = Hertz(1.0);

/// Which corner of a rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// Everything nominal.
    Nominal,
    /// Least reservoir voltage at turn-on, cold or heated.
    WorstHeadroom,
    /// Least reservoir voltage at turn-on, cold.
    HeadroomCold,
    /// Least reservoir voltage at turn-on, heated.
    HeadroomHot,
    /// Greatest reservoir voltage, cold.
    MainsHighCold,
    /// Greatest reservoir voltage, heated.
    MainsHighHot,
    /// Greatest ripple current of the reservoir.
    RippleCurrent,
    /// Hottest winding.
    WindingHot,
    /// Hottest junction of the rectifier.
    JunctionHot,
    /// Greatest repetitive peak of a diode.
    DiodePeak,
}

/// A corner, ready to be analysed.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerCircuit {
    /// Which vertex, in words.
    pub vertex: String,
    /// The circuit: of a rail whose transformer feeds another from its other secondary a core with both, the rail asked for
    /// first; of a rail about a tap with the other side of it as negative output.
    pub file: AnyFile,
}

/// Why there is no such circuit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoCorner {
    /// The record has no such rail.
    #[error("the record has no rail `{rail}`, allowed {allowed}")]
    Rail {
        /// What was asked for.
        rail: String,
        /// The rails there are.
        allowed: String,
    },
    /// The rail could not be rebuilt or solved.
    #[error("rail `{rail}` cannot be solved: {why}")]
    Unsolved {
        /// Which rail.
        rail: String,
        /// What the review says.
        why: String,
    },
}

/// The circuit of a rail at a corner.
pub fn corner(
    asked: Asked<'_>,
    record: &Record,
    rail: &str,
    corner: Corner,
) -> Result<CornerCircuit, NoCorner> {
    if !record.rails.iter().any(|known| known.rail == rail) {
        let known: Vec<String> = record.rails.iter().map(|known| format!("`{}`", known.rail)).collect();
        return Err(NoCorner::Rail { rail: rail.to_owned(), allowed: known.join(", ") });
    }
    let solved = recompute(review::Inputs {
        requirement: asked.requirement,
        requirement_digest: asked.requirement_digest,
        record,
        catalog: asked.catalog,
        policy: asked.policy,
        today: None,
    });
    let Some(found) = solved.rails.iter().find(|found| found.record.rail == rail) else {
        let why: Vec<&str> =
            solved.findings.iter().filter(|one| one.rail == rail).map(|one| one.text.as_str()).collect();
        return Err(NoCorner::Unsolved { rail: rail.to_owned(), why: why.join("; ") });
    };
    circuit_at(found, corner)
}

/// The circuit of a rail that was solved, at a corner.
pub fn circuit_at(found: &RailReview<'_>, corner: Corner) -> Result<CornerCircuit, NoCorner> {
    let rail = &found.record.rail;
    let point = match corner {
        Corner::Nominal => found.nominal.as_ref(),
        _ => pick(&found.bench.points, corner),
    };
    let Some(point) = point else {
        let why = "it has no such operating point".to_owned();
        return Err(NoCorner::Unsolved { rail: rail.clone(), why });
    };
    let vertex = if corner == Corner::Nominal { "nominal".to_owned() } else { point.vertex.text() };
    Ok(CornerCircuit { file: circuit_file(&found.bench, point, corner, rail, &vertex), vertex })
}

/// The circuit of a point with all that its transformer feeds, the rail asked for first, and what it is switched on with.
fn circuit_file(
    bench: &Bench<'_>,
    point: &OperatingPoint,
    corner: Corner,
    rail: &str,
    vertex: &str,
) -> AnyFile {
    let mains_rms = Some(Volts(point.mains_v));
    let limiter = limiter(bench);
    let windings = fed(bench, rail);
    let placed = point.state.placed();
    if let Some(placed) = placed.filter(|placed| placed.core.rails.len() > 1) {
        let rails = windings.iter().zip(&placed.core.rails).map(|(winding, spec)| CoreRail {
            name: winding.name.to_owned(),
            spec: *spec,
            knees: [None, None],
            residual: Volts(0.0),
            ripple_ratings: winding.reservoir.map_or([None, None], |one| ratings(bench, one, spec)),
        });
        let beside: Vec<String> = windings.iter().skip(1).map(Fed::words).collect();
        let own = windings.first().map_or_else(String::new, Fed::words);
        return AnyFile::Core(CoreFile {
            name: format!("{own} beside {} ({vertex})", beside.join(", ")),
            rails: rails.collect(),
            primary_resistance: placed.core.primary_resistance,
            mains_rms,
            limiter,
            bounds: CoreBounds::default(),
        });
    }
    let general = placed.and_then(|placed| {
        let spec = *placed.core.rails.get(placed.rail)?;
        let winding = Winding { common_resistance: placed.core.primary_resistance, ..spec.winding };
        Some(Spec { winding, ..spec })
    });
    let spec = general.unwrap_or_else(|| closed(&bench.supply, point, corner));
    let name = windings.first().map_or_else(String::new, Fed::words);
    AnyFile::One(Box::new(CircuitFile {
        name: format!("{name} ({vertex})"),
        spec,
        switching: Switching { limiter, ..Switching::default() },
        mains_rms,
        ripple_ratings: ratings(bench, bench.assembly.reservoir, &spec),
        tolerances: Vec::new(),
        limits: Vec::new(),
    }))
}

/// What one winding of a transformer, or a tapped one, feeds.
struct Fed<'r> {
    name: &'r str,
    topology: Topology,
    reservoir: Option<Reservoir<'r>>,
    /// The rail on the other side of its tap.
    negative: Option<&'r str>,
}

impl Fed<'_> {
    fn words(&self) -> String {
        let with = self.negative.map(|name| format!(", {name} as `negative`"));
        format!("{}{}", self.name, with.unwrap_or_default())
    }
}

/// What the transformer of a rail feeds, winding by winding, its own first.
fn fed<'r>(bench: &Bench<'r>, rail: &'r str) -> Vec<Fed<'r>> {
    let assembly = &bench.assembly;
    let own =
        Fed { name: rail, topology: assembly.topology, reservoir: Some(assembly.reservoir), negative: None };
    let mut all = vec![own];
    for mate in assembly.mates {
        let name = mate.rail.name.as_str();
        let topology = mate.parts.map_or(assembly.topology, |parts| parts.topology);
        let tap = |one: &&mut Fed<'_>| {
            topology == Topology::DualComplementary && one.topology == Topology::DualComplementary
        };
        if let Some(other) = all.iter_mut().find(tap) {
            other.negative = Some(name);
        } else {
            let reservoir = mate.parts.map(|parts| parts.reservoir);
            all.push(Fed { name, topology, reservoir, negative: None });
        }
    }
    all
}

/// Ripple rating of a bank: as much as its most loaded capacitor allows. Below the maker's table its first multiplier is held,
/// as the rules on ripple do.
fn ratings(bench: &Bench<'_>, bank: Reservoir<'_>, spec: &Spec) -> [Option<RippleRating>; 2] {
    let imbalance = if bank.count > 1 { bench.asked.policy.parameters.parallel_imbalance } else { 1.0 };
    let stated = bank.part.ripple_multipliers.iter().map(|&(hertz, factor)| (hertz, Ratio(factor)));
    let below = stated.clone().next().filter(|(hertz, _)| *hertz > FLOOR).map(|(_, factor)| (FLOOR, factor));
    let rating =
        Multipliers::new(&below.into_iter().chain(stated).collect::<Vec<_>>()).ok().map(|multipliers| {
            RippleRating { rated: bank.part.ripple * (f64::from(bank.count) / imbalance), multipliers }
        });
    match spec.output.filter {
        // Behind a choke input the bank is the second capacitor.
        Filter::Lc(..) => [None, rating],
        _ => [rating, None],
    }
}

/// The inrush limiter referred to the path, cold at the lower end of its tolerance, as the rules on surge take it.
fn limiter(bench: &Bench<'_>) -> Option<(Ohms, Ohms)> {
    let part = bench.assembly.limiter?;
    let turns = bench.supply.source.primary_per_path;
    let at = |ohms: f64| Ohms(ohms * turns * turns);
    Some((at(part.cold.0 * (1.0 - part.tolerance.0)), at(part.hot.0)))
}

fn pick(points: &[OperatingPoint], corner: Corner) -> Option<&OperatingPoint> {
    let (thermal, figure): (Option<Thermal>, fn(&OperatingPoint) -> f64) = match corner {
        Corner::WorstHeadroom => (None, |point| -point.turn_on_v),
        Corner::HeadroomCold => (Some(Thermal::Cold), |point| -point.turn_on_v),
        Corner::HeadroomHot => (Some(Thermal::Hot), |point| -point.turn_on_v),
        Corner::MainsHighCold => (Some(Thermal::Cold), |point| point.crest_v),
        Corner::MainsHighHot => (Some(Thermal::Hot), |point| point.crest_v),
        Corner::RippleCurrent => (None, |point| point.bank_rms_a),
        Corner::WindingHot => (None, |point| point.winding_c),
        Corner::JunctionHot => (None, |point| point.junction_c),
        Corner::DiodePeak | Corner::Nominal => (None, |point| point.diode_peak_a),
    };
    let there = points.iter().filter(|point| thermal.is_none_or(|state| point.vertex.thermal == state));
    first_greatest(there, |point| figure(point))
}

/// The circuit of a point in closed form: what its halves share is counted with the path.
fn closed(supply: &Supply, point: &OperatingPoint, corner: Corner) -> Spec {
    let stated = corner == Corner::Nominal || point.vertex.leakage == End::High;
    let leakage_h = if stated { supply.source.leakage_h } else { 0.0 };
    Spec {
        topology: supply.topology,
        winding: Winding {
            emf_peak: Volts(point.emf_peak_v),
            frequency: Hertz(point.frequency_hz),
            resistance: Ohms(point.source_ohm),
            common_resistance: Ohms(0.0),
            leakage: Henries(leakage_h),
        },
        diode: Diode { threshold: Volts(point.threshold_v), slope: Ohms(point.slope_ohm) },
        output: Branch {
            filter: Filter::Reservoir(Capacitor {
                capacitance: Farads(point.farad),
                esr: Ohms(point.esr_ohm),
            }),
            load: Load::Current(Amps(point.load_a)),
        },
        negative: None,
    }
}
