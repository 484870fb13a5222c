//! The first half cycle of charging after switch-on.
//!
//! Knows no limit of policy; the rules on rectifier surge and on restart share it. `first_half_cycle` alone says how the
//! figure is found.

use std::fmt::Write;

use crate::{
    circuit::{
        general::switch_on::{self, Conditions},
        spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding},
        supply::{Bank, Beside, BesideParts, Section, Supply},
    },
    physics::{
        choke::{clc_crests, switch_on_crest},
        copper,
        diode::{Line, surge_on_basis},
    },
    quantity::{Amps, Celsius, Farads, Henries, Hertz, Ohms, Seconds, Volts},
};

use super::{
    bench::{Bench, Worst, emf_peak_v},
    junction,
    position::Position,
};

/// State of the inrush limiter at switch-on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limiter {
    /// Cold, at the lower end of its tolerance.
    Cold,
    /// Hot, as when the mains returns at once.
    Hot,
}

/// What the rectifier carries in the first half cycle, and whether it is a bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FirstHalfCycle {
    /// Peak of one diode, A.
    pub(super) peak_a: f64,
    /// Heating integral of one diode, A²s.
    pub(super) integral_a2s: f64,
    /// Whether the integral is an upper bound rather than the exact worst over all phases.
    pub(super) bound: bool,
}

/// Remark on an integral that is a bound.
pub(super) const BOUND_NOTE: &str = "upper bound: neither phase nor charging taken into account";

/// Shortest and longest half-sine of a surge rating, s.
const PULSE: (f64, f64) = (0.0083, 0.01);

/// Load voltage below which the load counts as a resistance, V: so low that it draws its whole current nearly at once.
const KNEE_V: f64 = 1.0;

/// Peak and integral of the first half cycle at mains high, EMF high, windings cold, reservoir empty: the bound where it is
/// enough, else the exact worst over all phases.
pub(super) fn first_half_cycle(
    bench: &Bench<'_>,
    limiter: Limiter,
    enough: impl Fn(&FirstHalfCycle) -> bool,
) -> FirstHalfCycle {
    let path = Path::of(&bench.supply, source_ohm(bench, &bench.supply, limiter));
    let bound = path.bound(bench);
    // Of a half-wave doubler the worst is no first half cycle but a return of the mains.
    let settled = enough(&bound) || bench.supply.topology == Topology::HalfWaveDoubler;
    if settled { bound } else { path.exact(bench).unwrap_or(bound) }
}

/// What limits the current, all at the end that lets most through.
struct Path {
    /// Diodes in series.
    count: f64,
    /// Least threshold of one, V.
    threshold_v: f64,
    /// Least slope of one, Ω.
    slope_ohm: f64,
    /// Windings at the least ambient, mains and limiter, referred to the path, Ω.
    source_ohm: f64,
}

impl Path {
    fn of(supply: &Supply, source_ohm: f64) -> Self {
        // Between two temperatures the line is straight, so the least of each lies at an end.
        let ends = [Celsius(supply.air.cold_c), supply.rectifier.line.temperatures().1];
        let least = |figure: fn(Line) -> f64| {
            ends.iter().map(|&end| figure(supply.rectifier.line.at(end))).fold(f64::INFINITY, f64::min)
        };
        Self {
            count: junction::in_series(supply.topology),
            threshold_v: least(|line| line.threshold.0) * supply.rectifier.drop_low_factor,
            slope_ohm: least(|line| line.slope.0),
            source_ohm,
        }
    }

    /// ```text
    /// i_pk = (V_pk − n V_0 + r I)/R,   ∫i² ≤ min(i_pk² T/4, i_pk (C V_pk + I T/2))
    /// ```
    /// `V_pk` no-load peak · `n V_0` thresholds in the path · `r` least ESR (beside it a second section's least resistance and the
    /// ESR behind it) · `I` greatest load · `R` source, slopes and `r` · `T` longest period · `C` greatest capacitance (of a
    /// second section both banks). Leakage inductance is left out, as at the low end of the box; so the peak is
    /// attained, at the peak of the mains, and the integral is an upper bound at every phase. Source: Ohm; derived.
    fn bound(&self, bench: &Bench<'_>) -> FirstHalfCycle {
        let supply = &bench.supply;
        let peak_v = bench.emf_peak_v();
        let (esr_ohm, load_a) = (least_esr_ohm(supply), supply.load_a.high);
        // The load of a doubler may charge a capacitor backwards by as much as a diode's drop before its diode conducts.
        let backwards_v = (supply.multiple() - 1.0) * self.threshold_v;
        let driving_v = (peak_v - self.count * self.threshold_v + backwards_v).max(0.0);
        // Of a half-wave doubler, where the mains returns, the coupling capacitor adds a peak to that of the EMF.
        let (driving_v, esr_ohm) = match supply.topology {
            Topology::HalfWaveDoubler => (driving_v + peak_v, 2.0 * esr_ohm),
            _ => (driving_v, esr_ohm),
        };
        let ohms = self.source_ohm + self.count * self.slope_ohm + esr_ohm;
        let peak_a = (driving_v + esr_ohm * load_a) / ohms;
        let half_s = 0.5 / supply.frequency_hz.low;
        let farad = supply.bank.farad.high + supply.second_bank().map_or(0.0, |bank| bank.farad.high);
        let charge = farad * peak_v + load_a * half_s;
        FirstHalfCycle { peak_a, integral_a2s: peak_a * (peak_a * half_s / 2.0).min(charge), bound: true }
    }

    /// The exact worst over all phases; `None` where the engine finds none.
    fn exact(&self, bench: &Bench<'_>) -> Option<FirstHalfCycle> {
        let conditions = Conditions::discharged(Ohms(0.0), Volts(KNEE_V));
        let found = switch_on::worst_surge(&self.spec(bench), &conditions).ok()?;
        Some(FirstHalfCycle { peak_a: found.peak_a, integral_a2s: found.i2t_half_cycle_a2s, bound: false })
    }

    /// The circuit that is switched on.
    fn spec(&self, bench: &Bench<'_>) -> Spec {
        let supply = &bench.supply;
        Spec {
            // The other rail of a transformer charges from the same primary and only takes from this one: it is left out.
            topology: match supply.topology {
                Topology::DualComplementary => Topology::CentreTap,
                other => other,
            },
            winding: Winding {
                emf_peak: Volts(bench.emf_peak_v()),
                frequency: Hertz(supply.frequency_hz.low),
                resistance: Ohms(self.source_ohm),
                common_resistance: Ohms(0.0),
                leakage: Henries(0.0),
            },
            diode: Diode { threshold: Volts(self.threshold_v), slope: Ohms(self.slope_ohm) },
            output: Branch { filter: charged(supply), load: Load::Current(Amps(supply.load_a.high)) },
            negative: None,
        }
    }
}

/// Least resistance between rectifier and charge, Ω: the bank's ESR, beside it that of a second bank and what stands before it.
fn least_esr_ohm(supply: &Supply) -> f64 {
    let own = supply.bank.esr_ohm.low;
    let beside = section_ohm(supply).map(|(ohm, second)| ohm + second.esr_ohm.low);
    beside.map_or(own, |beside| own * beside / (own + beside))
}

/// Least resistance before a second bank, Ω, and the bank; a choke saturates and leaves its winding at the least ambient.
pub(super) fn section_ohm(supply: &Supply) -> Option<(f64, Bank)> {
    match supply.section? {
        Section::ChokeInput(_) => None,
        Section::Crc(ohm, second) => Some((ohm.low, second)),
        Section::Clc(choke, second) => {
            Some((choke.ohm_20 * copper::factor(Celsius(supply.air.cold_c)), second))
        }
    }
}

/// The capacitors as they charge fastest. A choke between rectifier and reservoir saturates and is left out, of one behind
/// the reservoir its resistance is left.
fn charged(supply: &Supply) -> Filter {
    let most = |bank: &Bank| Capacitor { capacitance: Farads(bank.farad.high), esr: Ohms(bank.esr_ohm.low) };
    let first = most(&supply.bank);
    section_ohm(supply)
        .map_or(Filter::Reservoir(first), |(ohm, second)| Filter::Crc(first, Ohms(ohm), most(&second)))
}

/// The circuit as it is switched on at its worst: mains high, EMF high, windings cold, reservoir empty, diodes at their least;
/// and how the load takes current below its knee.
pub fn switched(bench: &Bench<'_>, limiter: Limiter) -> (Spec, Conditions) {
    (
        Path::of(&bench.supply, source_ohm(bench, &bench.supply, limiter)).spec(bench),
        Conditions::discharged(Ohms(0.0), Volts(KNEE_V)),
    )
}

/// Integral of the path's current over the whole charging of the reservoir, all cycles, A²s: an upper bound at every phase.
///
/// ```text
/// ∫i² dt = ∫i dq ≤ ∫(V_pk − q/C)/R dq = C V_pk²/(2R),   ∫(Σi_j)² dt ≤ (Σ√∫i_j²)²
/// ```
/// `V_pk` no-load peak · `C` greatest capacitance · `R` source, slopes and least ESR. The load's own current is left out: it flows
/// only once the reservoir is charged. `i_j` the rails of one transformer, each bounded as if alone: what they share only
/// lowers each. Derived; Minkowski.
pub(super) fn whole_charging_a2s(bench: &Bench<'_>, limiter: Limiter) -> f64 {
    let alone = |supply: &Supply| {
        let path = Path::of(supply, source_ohm(bench, supply, limiter));
        let ohms = path.source_ohm + path.count * path.slope_ohm + least_esr_ohm(supply);
        let peak_v = emf_peak_v(&supply.source, supply.mains_v);
        let second_farad = supply.second_bank().map_or(0.0, |bank| bank.farad.high);
        // Of a doubler each of the two is charged through the winding.
        (supply.charged_banks() * supply.bank.farad.high + second_farad) * peak_v * peak_v / (2.0 * ohms)
    };
    let own = alone(&bench.supply);
    let other = |(beside, turns): (&Beside, f64)| {
        let Some(BesideParts { topology, source, rectifier, bank }) = beside.parts else { return own };
        // Its current counts in the path's turns.
        let supply = Supply { topology, source, rectifier, bank, section: None, ..bench.supply };
        turns * turns * alone(&supply)
    };
    let others = bench.supply.beside.iter().zip(bench.supply.source.other_turns).map(other);
    (own.sqrt() + others.map(f64::sqrt).sum::<f64>()).powi(2)
}

/// What a choke may charge the bank at a position to at switch-on, V; nothing without a choke.
pub fn overshoot_v(bench: &Bench<'_>, at: Position) -> f64 {
    overshoot_of(&bench.supply, at)
}

/// The same of a rail as plain numbers.
pub(crate) fn overshoot_of(supply: &Supply, at: Position) -> f64 {
    let emf_v = emf_peak_v(&supply.source, supply.mains_v);
    let (peak, mains) = (Volts(emf_v), Hertz(supply.frequency_hz.low));
    let farad = Farads(supply.bank.farad.low * supply.bank.farad_cold_ratio.min(1.0));
    match supply.section {
        Some(Section::ChokeInput(choke)) => switch_on_crest(peak, Henries(choke.henry.low), farad, mains).0,
        Some(Section::Clc(choke, second)) => {
            let cold = copper::factor(Celsius(supply.air.cold_c));
            let ring = (Henries(choke.henry.high), Ohms(choke.ohm_20 * cold + second.esr_ohm.low));
            let banks = (farad, Farads(second.farad.high));
            let [before, behind] = clc_crests(peak, ring, banks);
            if at == Position::SectionCapacitor { behind.0 } else { before.0 }
        }
        Some(Section::Crc(..)) | None => 0.0,
    }
}

/// Greatest voltage at the input of a regulator, V: the no-load peak, or what a choke behind the reservoir lets the second bank rise
/// to at switch-on.
pub(super) fn input_peak(bench: &Bench<'_>) -> Worst {
    let no_load = bench.no_load(1.0);
    let at = bench.supply.second_bank().map_or(Position::Reservoir, |_| Position::SectionCapacitor);
    Worst { value: no_load.value.max(overshoot_v(bench, at)), ..no_load }
}

/// Greatest voltage by which the coupling capacitor of a half-wave doubler is charged backwards, V: what the diode across it drops
/// where the mains comes on at the peak that it should block.
///
/// ```text
/// v = V_0 + r V_pk/(R + 2 r + r_C)
/// ```
/// `V_0`, `r` threshold and slope as cold as the air, at their greatest · `V_pk` no-load peak of the EMF · `R` source · `r_C` least ESR of
/// the reservoir: the current of two diodes in series that charge it, threshold left out. Source: Ohm; derived.
pub(super) fn coupling_reverse_v(bench: &Bench<'_>) -> f64 {
    let supply = &bench.supply;
    let line = supply.rectifier.line.at(Celsius(supply.air.cold_c));
    let slope_ohm = line.slope.0;
    let ohms = source_ohm(bench, supply, Limiter::Hot) + 2.0 * slope_ohm + supply.bank.esr_ohm.low;
    line.threshold.0 + slope_ohm * bench.emf_peak_v() / ohms
}

/// Resistance of windings at the least ambient, mains and limiter, referred to the path, Ω.
fn source_ohm(bench: &Bench<'_>, supply: &Supply, limiter: Limiter) -> f64 {
    let source = &supply.source;
    let windings =
        (source.secondary_20_ohm + source.primary_20_ohm) * copper::factor(Celsius(bench.supply.air.cold_c));
    let turns = source.primary_per_path;
    let limiting = bench.assembly.limiter.map_or(0.0, |part| match limiter {
        Limiter::Cold => part.cold.0 * (1.0 - part.tolerance.0),
        Limiter::Hot => part.hot.0,
    });
    windings + source.mains_ohm + limiting * turns * turns
}

/// Surge rating on the half period of the nominal mains, by `I²t` constant between 8.3 ms and 10 ms, A.
pub(super) fn rating_a(bench: &Bench<'_>) -> f64 {
    let element = junction::element(bench);
    let half_s = (0.5 / bench.supply.frequency_hz.nominal).clamp(PULSE.0, PULSE.1);
    surge_on_basis(Amps(element.surge.0), element.surge_pulse, Seconds(half_s)).0
}

/// Remark of a surge verdict: what the figure is, and what a cold limiter makes of it.
pub(super) fn note(how: &str, cold: Option<(f64, &str)>) -> String {
    let mut text = how.to_owned();
    if let Some((value, unit)) = cold {
        let gap = if text.is_empty() { "" } else { "; " };
        // Writing to a string cannot fail.
        let _ = write!(text, "{gap}limiter hot, as at a restart; cold {value:.1} {unit}");
    }
    text
}
