//! What flows in a fault, and what interrupts it.
//!
//! Knows no limit but the policy's longest fault; the rules on clearing and on overload share it. A fault current is the least
//! that flows: mains low, EMF low, windings hot, thresholds and slopes at their greatest.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use crate::{
    catalog::{
        Choke, Fuse,
        family::{protection::FuseSystem, transformer::ShortCircuitClass},
    },
    circuit::{spec::Topology, supply::Body},
    physics::{copper, fuse::GateTable},
    policy::Known,
    quantity::{Amps, Celsius, Seconds},
};

use super::{
    assembly::Wiring,
    bench::Bench,
    junction,
    position::Position,
    regulator_point::greatest_hot,
    tell,
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// Currents of a fault, rms, A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fault {
    /// In the primary, mean removed, no-load current left out.
    pub(super) primary_a: f64,
    /// In one secondary path: one winding, or one half.
    pub(super) path_a: f64,
}

/// What ends a fault or bears it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Means {
    /// The mains fuse, surely within this time, s.
    PrimaryFuse(f64),
    /// The secondary fuse, surely within this time, s.
    SecondaryFuse(f64),
    /// A fitted thermal cut-out that opens at this temperature, °C.
    FittedCutOut(f64),
    /// The transformer's own thermal cut-out, opening at this temperature where it is stated, °C.
    BuiltInCutOut(Option<f64>),
    /// The transformer's own impedance.
    InherentlyProof,
    /// The transformer fails without hazard to its surroundings.
    FailSafe,
}

impl Means {
    /// The means in words.
    pub(super) fn text(self) -> String {
        match self {
            Self::PrimaryFuse(seconds) => format!("the mains fuse opens within {seconds:.3} s"),
            Self::SecondaryFuse(seconds) => format!("the secondary fuse opens within {seconds:.3} s"),
            Self::FittedCutOut(celsius) => format!("the fitted thermal cut-out opens at {celsius:.0} °C"),
            Self::BuiltInCutOut(Some(celsius)) => {
                format!("the transformer's thermal cut-out opens at {celsius:.0} °C")
            }
            Self::BuiltInCutOut(None) => {
                "the transformer is short-circuit-proof by a built-in device".to_owned()
            }
            Self::InherentlyProof => "the transformer is short-circuit-proof by its own impedance".to_owned(),
            Self::FailSafe => "the transformer fails without hazard to its surroundings".to_owned(),
        }
    }
}

/// Mean and mean square over one half period of `(sin θ − a)` where it is positive, over the whole half period.
///
/// ```text
/// ∫(sin θ − a)² = (π − 2θ_0)(1/2 + a²) − 3 a cos θ_0,   ∫(sin θ − a) = 2 cos θ_0 − a (π − 2θ_0),   sin θ_0 = a
/// ```
/// Derived.
fn pulse(a: f64) -> (f64, f64) {
    if a >= 1.0 {
        return (0.0, 0.0);
    }
    let start = a.asin();
    let (width, cosine) = (2.0 * (FRAC_PI_2 - start), start.cos());
    let mean = (2.0 * cosine - a * width) / PI;
    (mean, ((width * (0.5 + a * a) - 3.0 * a * cosine) / PI).max(0.0))
}

/// Least EMF, greatest resistance of the path less its diodes, greatest threshold and slope of one diode.
struct Loop {
    emf_peak_v: f64,
    secondary_ohm: f64,
    /// Primary, mains, fuse and limiter, referred to the path.
    primary_ohm: f64,
    threshold_v: f64,
    slope_ohm: f64,
}

impl Loop {
    fn of(bench: &Bench<'_>) -> Self {
        let supply = &bench.supply;
        let source = &supply.source;
        let winding_c = greatest_hot(bench, Body::Heavy, |point| point.winding_c)
            .map_or(supply.air.hot_c + source.rated_rise_k, |worst| worst.value);
        let copper = copper::factor(Celsius(winding_c));
        let in_series =
            bench.assembly.primary_fuse.and_then(|fuse| fuse.cold_resistance).map_or(0.0, |r| r.0)
                + bench.assembly.limiter.map_or(0.0, |limiter| limiter.hot.0);
        let line = &supply.rectifier.line;
        let (cold, hot) = (line.at(Celsius(supply.air.cold_c)), line.at(line.temperatures().1));
        Self {
            emf_peak_v: SQRT_2 * source.emf_rms_v * supply.mains_v.low / supply.mains_v.nominal
                * (1.0 - source.emf_tolerance)
                * supply.peak_factor,
            secondary_ohm: source.secondary_20_ohm * copper,
            primary_ohm: source.primary_20_ohm * copper
                + source.mains_ohm
                + in_series * source.primary_per_path * source.primary_per_path,
            threshold_v: cold.threshold.0.max(hot.threshold.0),
            slope_ohm: cold.slope.0.max(hot.slope.0),
        }
    }
}

/// Greatest resistance of a choke between rectifier and reservoir, Ω.
fn choke_ohm(bench: &Bench<'_>) -> f64 {
    let hot = |choke: &Choke| choke.resistance.0 * copper::factor(choke.winding_max);
    bench.assembly.choke_input().map_or(0.0, hot)
}

/// The reservoir shorted; behind a choke input through the choke.
pub(super) fn shorted_reservoir(bench: &Bench<'_>) -> Fault {
    let path = Loop::of(bench);
    let topology = bench.supply.topology;
    // Of a half-wave doubler the diode across the coupling capacitor and that to the output.
    let count = if topology == Topology::HalfWaveDoubler { 2.0 } else { junction::in_series(topology) };
    let ohms = path.secondary_ohm + path.primary_ohm + count * path.slope_ohm;
    let choke_ohm = choke_ohm(bench);
    let ohms = ohms + choke_ohm;
    let (mean, square) = pulse(count * path.threshold_v / path.emf_peak_v);
    // A choke that does not saturate smooths the current down to its mean, which then flows all the time.
    let smooth = (2.0 / PI - count * path.threshold_v / path.emf_peak_v).max(0.0);
    let square = if choke_ohm > 0.0 { square.min(smooth * smooth) } else { square };
    let amps = path.emf_peak_v / ohms;
    // Over a whole period one half path carries half as much; a bridge's winding carries both polarities.
    let (primary_square, path_square) = match topology {
        Topology::Bridge => (square, square),
        // Of a doubler one of the two is shorted: the other half of the period charges the sound one.
        Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => {
            (0.5 * square - 0.25 * mean * mean, 0.5 * square)
        }
        _ => (square, 0.5 * square),
    };
    Fault {
        primary_a: bench.supply.source.primary_per_path * amps * primary_square.sqrt(),
        path_a: amps * path_square.sqrt(),
    }
}

/// One diode shorted: a winding shorted through one sound diode every other half period. `None` where a single diode feeds the
/// reservoir. The dc that saturates the core adds to the primary current and is left out.
pub(super) fn shorted_diode(bench: &Bench<'_>) -> Option<Fault> {
    let path = Loop::of(bench);
    let turns = bench.supply.source.primary_per_path;
    if bench.supply.multiple() > 1.0 {
        return Some(across_capacitor(bench, &path));
    }
    // Both halves of a tapped winding in series: twice the EMF and own resistance, four times the referred one.
    let (emf, ohms, turns) = match (bench.supply.topology, bench.assembly.wiring) {
        (Topology::HalfWave, _) => return None,
        (Topology::CentreTap, _) | (_, Wiring::CentreTap | Wiring::Complementary) => {
            (2.0 * path.emf_peak_v, 2.0 * path.secondary_ohm + 4.0 * path.primary_ohm, 2.0 * turns)
        }
        _ => (path.emf_peak_v, path.secondary_ohm + path.primary_ohm, turns),
    };
    let (mean, square) = pulse(path.threshold_v / emf);
    let amps = emf / (ohms + path.slope_ohm);
    Some(Fault {
        primary_a: turns * amps * (0.5 * square - 0.25 * mean * mean).max(0.0).sqrt(),
        path_a: amps * (0.5 * square).sqrt(),
    })
}

/// One diode of a doubler shorted: the winding lies across a capacitor (of a half-wave doubler across both in series, where it is the
/// diode to the output), whose greatest reactance leaves the least current. What alternating voltage does to an electrolytic soon makes it a short and the current greater.
///
/// ```text
/// I = V̂/√2 / √(R² + 1/(ω C)²)
/// ```
/// Source: Ohm, sinusoidal steady state.
fn across_capacitor(bench: &Bench<'_>, path: &Loop) -> Fault {
    let supply = &bench.supply;
    let reactance = 1.0 / (2.0 * PI * supply.frequency_hz.low * supply.bank.farad.low);
    let in_row = if supply.topology == Topology::HalfWaveDoubler { 2.0 } else { 1.0 };
    let ohms = (path.secondary_ohm + path.primary_ohm).hypot(in_row * reactance);
    let path_a = path.emf_peak_v / SQRT_2 / ohms;
    Fault { primary_a: supply.source.primary_per_path * path_a, path_a }
}

/// Time within which a fuse surely opens; `None` where nothing is promised.
pub(super) fn opens_within(fuse: &Fuse, amps: f64) -> Option<f64> {
    let table = match fuse.system {
        FuseSystem::Iec60127Sheet3 => GateTable::IecSheet3,
        FuseSystem::Iec60127Sheet5 => GateTable::IecSheet5,
        FuseSystem::Ul248 => GateTable::Ul24814Slow,
    };
    table.opens_within(fuse.rated, Amps(amps)).map(|Seconds(seconds)| seconds)
}

/// What ends a fault within the policy's time, or bears it: fuses first, then cut-outs, then the transformer's class.
pub(super) fn means(bench: &Bench<'_>, fault: Fault) -> Option<Means> {
    let limit_s = bench.asked.policy.parameters.fault_time.0;
    let opens = |fuse: Option<&Fuse>, amps| {
        fuse.and_then(|fuse| opens_within(fuse, amps)).filter(|seconds| *seconds <= limit_s * (1.0 + 1e-9))
    };
    opens(bench.assembly.primary_fuse, fault.primary_a)
        .map(Means::PrimaryFuse)
        .or_else(|| opens(bench.assembly.secondary_fuse, fault.path_a).map(Means::SecondaryFuse))
        .or_else(|| thermal(bench))
}

/// What protects the windings by their temperature or their class, whatever the current.
pub(super) fn thermal(bench: &Bench<'_>) -> Option<Means> {
    let part = bench.assembly.transformer;
    let limit_c = part.overload_limit.0;
    if let Some(fitted) =
        bench.assembly.cut_out.filter(|fitted| fitted.opens_at.0 + fitted.tolerance_k.0 <= limit_c)
    {
        return Some(Means::FittedCutOut(fitted.opens_at.0));
    }
    if let Some(own) = part.cut_out.filter(|own| own.0 <= limit_c) {
        return Some(Means::BuiltInCutOut(Some(own.0)));
    }
    match part.short_circuit {
        ShortCircuitClass::NonInherentlyProof => Some(Means::BuiltInCutOut(None)),
        ShortCircuitClass::InherentlyProof => Some(Means::InherentlyProof),
        ShortCircuitClass::FailSafe => Some(Means::FailSafe),
        ShortCircuitClass::NotProof => None,
    }
}

/// Judges whether the mains fuse, or another means, ends a fault in the policy's time; `what` draws the current.
pub(super) fn clearing(bench: &Bench<'_>, code: &'static str, what: &str, found: Fault) -> Verdict {
    let at = Position::PrimaryFuse;
    let draws = || format!("{what} draws {:.2} A", found.primary_a);
    let own = bench.assembly.primary_fuse.map(|fuse| (fuse, opens_within(fuse, found.primary_a)));
    match (own, means(bench, found)) {
        // The fuse opens in time, or nothing else acts and its time is too long.
        (Some((_, Some(seconds))), Some(Means::PrimaryFuse(_)) | None) => {
            let limit = bench.asked.policy.parameters.fault_time.0;
            let stress = tell::stress(code, at, Unit::Seconds, Sense::AtMost, seconds, limit);
            let clause = "parameters: fault_time".to_owned();
            let origin = Origin::Policy { clause, known: Known::CommonPractice };
            Verdict::Stress(Stress { origin, ..stress })
        }
        (Some((fuse, _)), means) => {
            let what = format!("{}, {:.2} times the fuse", draws(), found.primary_a / fuse.rated.0);
            let text = match means {
                Some(means) => format!("{what}, which need not open in time; {}", means.text()),
                None => format!("{what}, which need not open, and nothing else acts"),
            };
            tell::fact(code, at, means.is_some(), text)
        }
        (None, Some(means)) => tell::fact(code, at, true, means.text()),
        (None, None) => tell::fact(code, at, false, format!("{} and nothing interrupts it", draws())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// Second method: the integrals by the midpoint rule. Without threshold: mean 2/π, mean square 1/2 (textbook full wave).
    #[test]
    fn a_pulse_above_a_threshold_has_the_integrals_of_its_samples() {
        assert_relative_eq!(pulse(0.0).0, 2.0 / PI, max_relative = 1e-12);
        assert_relative_eq!(pulse(0.0).1, 0.5, max_relative = 1e-12);
        for a in [0.05, 0.3, 0.8] {
            let samples = (0..200_000).map(|n| ((f64::from(n) + 0.5) / 200_000.0 * PI).sin() - a);
            let (mean, square) = samples
                .filter(|x| *x > 0.0)
                .fold((0.0, 0.0), |(mean, square), x| (mean + x / 2e5, square + x * x / 2e5));
            assert_relative_eq!(pulse(a).0, mean, max_relative = 1e-6);
            assert_relative_eq!(pulse(a).1, square, max_relative = 1e-6);
        }
        assert_eq!(pulse(1.5), (0.0, 0.0));
    }

    /// By hand, of diodes without drop: √(1/4 − 1/π²) over √(1/2) is 0.5461 of the primary current of a shorted reservoir,
    /// which is EMF over resistance; real diodes take more from the second, which has two in its path.
    #[test]
    fn one_shorted_diode_draws_less_than_a_shorted_reservoir() {
        let mut fixture = Fixture::regulated();
        let (short, diode) = both(&fixture);
        assert!(diode.primary_a < 0.75 * short.primary_a && diode.primary_a > 0.5461 * short.primary_a);
        for point in &mut fixture.bridge.element.forward {
            point.voltage.0 = 1e-7 * (1.0 + point.current.0);
        }
        let (short, diode) = both(&fixture);
        let by_hand = (0.25 - 1.0 / (PI * PI)).sqrt() / 0.5_f64.sqrt();
        assert_relative_eq!(diode.primary_a / short.primary_a, by_hand, max_relative = 1e-4);
        // 16.5 V · 0.9 · 0.97 through 0.375 Ω at 95 °C and 0.3 Ω of fuse, (16.5/230)² of it.
        let winding_c = greatest_hot(&fixture.bench(), Body::Heavy, |point| point.winding_c).unwrap().value;
        let ohms = 0.375 * (234.5 + winding_c) / 329.5 + 0.3 * (16.5_f64 / 230.0).powi(2);
        assert_relative_eq!(short.path_a, 16.5 * 0.9 * 0.97 / ohms, max_relative = 0.01);
        assert!(shorted_diode(&Fixture::regulated().half_wave().bench()).is_none());
    }

    fn both(fixture: &Fixture) -> (Fault, Fault) {
        let bench = fixture.bench();
        (shorted_reservoir(&bench), shorted_diode(&bench).unwrap())
    }

    #[test]
    fn a_tapped_winding_is_shorted_end_to_end() {
        let fixture = Fixture::regulated().two_windings(Wiring::CentreTap);
        let bench = fixture.bench();
        let path = Loop::of(&bench);
        let found = shorted_diode(&bench).unwrap();
        let amps =
            2.0 * path.emf_peak_v / (2.0 * path.secondary_ohm + 4.0 * path.primary_ohm + path.slope_ohm);
        let square = pulse(path.threshold_v / (2.0 * path.emf_peak_v)).1;
        assert_relative_eq!(found.path_a, amps * (0.5 * square).sqrt(), max_relative = 1e-12);
    }

    #[test]
    fn means_are_named_in_the_order_in_which_they_act() {
        let bare = |class| {
            let mut fixture = Fixture::regulated();
            fixture.fuse = None;
            fixture.transformer.short_circuit = class;
            let bench = fixture.bench();
            means(&bench, shorted_reservoir(&bench))
        };
        assert_eq!(bare(ShortCircuitClass::NotProof), None);
        assert_eq!(bare(ShortCircuitClass::InherentlyProof), Some(Means::InherentlyProof));
        assert_eq!(bare(ShortCircuitClass::FailSafe), Some(Means::FailSafe));
        assert_eq!(bare(ShortCircuitClass::NonInherentlyProof), Some(Means::BuiltInCutOut(None)));
        let mut fixture = Fixture::regulated().with_cut_out().with_secondary_fuse(4.0);
        let found = |fixture: &Fixture| {
            let bench = fixture.bench();
            means(&bench, shorted_reservoir(&bench))
        };
        assert!(matches!(found(&fixture), Some(Means::PrimaryFuse(_))));
        fixture.fuse = None;
        assert!(matches!(found(&fixture), Some(Means::SecondaryFuse(_))));
        fixture.secondary_fuse = None;
        assert_eq!(found(&fixture), Some(Means::FittedCutOut(120.0)));
        fixture.cut_out.as_mut().unwrap().opens_at = Celsius(175.0);
        assert_eq!(found(&fixture), None);
    }
}
