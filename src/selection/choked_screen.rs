//! What a source and a choke ask at the least, and the few points at which most that follows them fails.

use std::f64::consts::{PI, SQRT_2};

use crate::{
    candidate::bank::BankOption,
    catalog::Choke,
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::{OperatingPoint, diodes, operate},
        spec::Topology,
        supply::{Body, Drawn, Rectifier, Section, Supply},
    },
    numeric::few::Few,
    physics::{choke::least_current, copper},
    quantity::{Celsius, Henries, Hertz, Volts},
    stress::{
        bench::{left_of, no_load_peak_v},
        convert::{air_of, choke_of},
        junction::in_series,
        position::Position,
        stage::{Auxiliary, load_high_a, load_of, load_span},
        verdict::{EQUALITY, Unit},
    },
};

use super::{
    choked::{Behind, CLEAR_MISS, MEAN_MISS},
    list::Fed,
    rectifying::Rectifying,
    search::{Search, State},
    tally::Depth,
    vertices::{CURRENT, VALLEY_COLD, VALLEY_HOT},
};

/// Share of the least current by the rule for a large capacitor that a smaller capacitor may do with: measured, the exact edge
/// lies within a twentieth of the rule.
const PAUSE_MARGIN: f64 = 0.9;
/// Share of the rectifier's heat at the lowest mains that any way of cooling it leaves.
const HEAT_SHARE: f64 = 0.9;
/// Copper of a winding as warm as any class allows, over copper at 20 °C.
const HOT_C: f64 = 200.0;

/// What a few points tell.
pub(super) enum Quick {
    /// Nothing against it; heat of one package of the rectifier, W, and average current of one diode, A, at the least.
    Passes(f64, f64),
    /// It ripples too much.
    Ripples,
    /// Its mean is too low or too high, which no bank moves.
    Misses,
    /// It fails otherwise.
    Fails,
    /// Nothing behind source and choke passes.
    Dead,
}

impl Quick {
    /// Of a mean that misses an end of its window.
    fn of_mean(utilisation: f64) -> Self {
        if utilisation > CLEAR_MISS {
            Self::Dead
        } else if utilisation > MEAN_MISS {
            Self::Misses
        } else {
            Self::Fails
        }
    }
}

/// The least load at high mains, where the choke current pauses first and the mean is greatest.
const IDLE: Vertex =
    Vertex { load: End::Low, frequency: End::Low, capacitance: End::Low, thermal: Thermal::Hot, ..CURRENT };

impl<'a> Search<'_, 'a> {
    /// Whether a source and a choke could hold the rail within its window, the choke's current never pausing; what forbids it
    /// is counted.
    ///
    /// ```text
    /// mean = 2 V̂/π − n V_0 − I (R_s + n r + R_L)
    /// ```
    /// `V̂` peak of the EMF · `n V_0`, `n r` diodes in the path · `R_s`, `R_L` windings of transformer and choke. Every figure is
    /// taken at the end that favours the candidate.
    pub(super) fn suits_choke(&self, fed: &Fed<'a>, choke: &Choke, state: &mut State<'a>) -> bool {
        let (rail, policy) = (self.asked.rail, self.asked.policy);
        let numbers = choke_of(choke);
        let source = &fed.option.source;
        let at_choke = (Position::SectionChoke, choke.common.id.0.as_str());
        let at_source = (Position::Transformer, fed.option.transformer.common.id.0.as_str());
        let mut misses = |code, place, applied: f64, limit: f64, unit, utilisation: f64| {
            let missed = utilisation > 1.0 + EQUALITY;
            if missed {
                state.tally.number(code, Depth::Source, place, (applied, limit, unit), utilisation, None);
            }
            missed
        };
        let lasting_a = load_of(rail, Body::Heavy);
        let limit_a = left_of(policy, "choke-rms-current", choke.current.0);
        if misses("choke-rms-current", at_choke, lasting_a, limit_a, Unit::Amps, lasting_a / limit_a) {
            return false;
        }
        // Its rms is at least its mean; half of the time each half of a tapped winding carries it.
        let halves = if self.topology == Topology::CentreTap { SQRT_2 } else { 1.0 };
        let one_a = fed.option.wiring_current(lasting_a / halves);
        let limit_a = self.secondary_limit_a(&fed.option);
        if misses("transformer-secondary-current", at_source, one_a, limit_a, Unit::Amps, one_a / limit_a) {
            return false;
        }
        let count = in_series(self.topology);
        let air = air_of(self.asked);
        let mean_v = |emf_peak_v: f64, threshold_v: f64, slope_ohm: f64, amps: f64, celsius: f64| {
            let copper = copper::factor(Celsius(celsius));
            let ohms = (source.secondary_20_ohm + source.primary_20_ohm + numbers.ohm_20) * copper
                + source.mains_ohm
                + count * slope_ohm;
            2.0 * emf_peak_v / PI - count * threshold_v - amps * ohms
        };
        let emf_v = |mains_v: f64, tolerance: f64| {
            SQRT_2 * source.emf_rms_v * mains_v / self.mains_v.nominal
                * (1.0 + tolerance * source.emf_tolerance)
        };
        let low_v = emf_v(self.mains_v.low, -1.0) * self.asked.requirement.mains.peak_factor.0;
        let high_v = emf_v(self.mains_v.high, 1.0);
        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
        let (volts, ohms) = (self.least_threshold_v, self.least_slope_ohm);
        let factor = policy.parameters.diode_drop_low_factor;
        let reached_v = mean_v(low_v, volts * factor, ohms, load_high_a(rail), air.cold_c);
        let code = "raw-voltage-window";
        if misses(code, at_source, reached_v, floor_v, Unit::Volts, floor_v / reached_v.max(1e-9)) {
            return false;
        }
        let most_v = rail.voltage.0 * (1.0 + rail.tolerance.0);
        let peak_v = no_load_peak_v(self.topology, source, self.mains_v);
        let banks: Vec<&BankOption<'a>> = self.banks.iter().collect();
        let idle_a = rail.current_min.0 + self.most_bleeder_a(&banks, peak_v);
        let calm = self.extremes.1.line.at(Celsius(HOT_C));
        let idle_v = mean_v(high_v, calm.threshold.0, calm.slope.0, idle_a, HOT_C);
        if misses(code, at_source, idle_v, most_v, Unit::Volts, idle_v / most_v) {
            return false;
        }
        let (henry, hertz) = (Henries(numbers.henry.low), Hertz(self.frequency_hz.low));
        let needed_a = PAUSE_MARGIN * least_current(Volts(high_v), henry, hertz).0;
        let code = "choke-continuity";
        !misses(code, at_choke, idle_a, needed_a, Unit::Amps, needed_a / idle_a.max(1e-9))
    }

    /// Whether a bank ripples too much by the least that it could; what it misses is counted.
    pub(super) fn ripples_clearly(
        &self,
        behind: &Behind<'_, 'a>,
        bank: &BankOption<'a>,
        state: &mut State<'a>,
    ) -> bool {
        let (least_v, most_v) = (self.ripples_at_least_v(behind, bank), self.asked.rail.ripple.0.0);
        let misses = least_v > most_v * (1.0 + EQUALITY);
        if misses {
            let part = (Position::Reservoir, bank.reservoir.part.common.id.0.as_str());
            let figures = (least_v, most_v, Unit::Volts);
            state.tally.number("raw-ripple", Depth::Reservoir, part, figures, least_v / most_v, Some(IDLE));
        }
        misses
    }

    /// What the output ripples at the least where the mains is highest, V.
    ///
    /// ```text
    /// V_pp ≥ (π/2) a,   a = (4 V̂/3π) X/√(R² + (4πfL − X)²),   X = 1/(4πfC)
    /// ```
    /// `a` amplitude of the first harmonic of the ripple while the choke's current never pauses, when the network is linear; of a
    /// wave between two ends it is at most 4/π of half their distance · `V̂` peak of the EMF · `R` everything in series, at its
    /// greatest · `L`, `C` at their low ends. ESR only adds. Source: Fourier series of the rectified sine; derived.
    fn ripples_at_least_v(&self, behind: &Behind<'_, 'a>, bank: &BankOption<'a>) -> f64 {
        let source = &behind.fed.option.source;
        let choke = choke_of(behind.choke.part);
        let peak_v = SQRT_2 * source.emf_rms_v * self.mains_v.high / self.mains_v.nominal
            * (1.0 + source.emf_tolerance);
        let copper = copper::factor(Celsius(HOT_C));
        let ohms = (source.secondary_20_ohm + source.primary_20_ohm + choke.ohm_20) * copper
            + source.mains_ohm
            + in_series(self.topology) * self.extremes.1.line.at(Celsius(HOT_C)).slope.0
            + bank.bank.esr_ohm.high * bank.bank.esr_cold_ratio.max(1.0);
        let ripple = 4.0 * PI * self.frequency_hz.low;
        let reactance = 1.0 / (ripple * bank.bank.farad.low);
        let amplitude_v =
            4.0 * peak_v / (3.0 * PI) * reactance / ohms.hypot(ripple * choke.henry.low - reactance);
        PI / 2.0 * amplitude_v
    }

    /// The rail as plain numbers, without a bleeder.
    fn choked_supply(&self, behind: &Behind<'_, 'a>, rectifier: Rectifier, bank: &BankOption<'a>) -> Supply {
        Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: behind.fed.option.source,
            rectifier,
            section: Some(Section::ChokeInput(choke_of(behind.choke.part))),
            bank: bank.bank,
            load_a: load_span(self.asked, &Auxiliary::default()),
            air: air_of(self.asked),
            beside: Few::NONE,
        }
    }

    /// The few points at which most fail: mean and ripple where the mains is low, mean and pause of the choke at
    /// the least load.
    pub(super) fn quick_choked(
        &self,
        behind: &Behind<'_, 'a>,
        rectifying: &Rectifying<'a>,
        bank: &BankOption<'a>,
        state: &mut State<'a>,
    ) -> Quick {
        let Some(first) = rectifying.ways.first() else { return Quick::Misses };
        let supply = self.choked_supply(behind, first.numbers, bank);
        let rail = self.asked.rail;
        let choke = (Position::SectionChoke, behind.choke.common.id.0.as_str());
        let part = (Position::Reservoir, bank.reservoir.part.common.id.0.as_str());
        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
        let mut note =
            |code, place, applied: f64, limit: f64, unit, utilisation: f64, point: &OperatingPoint| {
                let figures = (applied, limit, unit);
                state.tally.number(code, Depth::Reservoir, place, figures, utilisation, Some(point.vertex));
            };
        // In the cold state the junction is as cold as the air, whatever cools it; in the hot one the least drop of any way of
        // cooling makes the mean the greatest it can be.
        let mut hot = None;
        for (vertex, rectifier) in [(VALLEY_COLD, first.numbers), (VALLEY_HOT, rectifying.hottest)] {
            let Ok(laden) = operate(&Supply { rectifier, ..supply }, vertex) else { return Quick::Fails };
            if laden.mean_v < floor_v * (1.0 - EQUALITY) {
                let utilisation = floor_v / laden.mean_v;
                note("raw-voltage-window", part, laden.mean_v, floor_v, Unit::Volts, utilisation, &laden);
                return Quick::of_mean(utilisation);
            }
            hot = Some(laden);
        }
        let Some(laden) = hot else { return Quick::Fails };
        // Whatever bleeder there is draws at most this beside the least load.
        let bleeder_a =
            self.most_bleeder_a(&[bank], no_load_peak_v(self.topology, &supply.source, self.mains_v));
        let load_a = Drawn { low: supply.load_a.low + bleeder_a, ..supply.load_a };
        // Now the greatest drop makes the mean the least it can be.
        for (thermal, rectifier) in [(Thermal::Cold, first.numbers), (Thermal::Hot, rectifying.coolest)] {
            let supply = Supply { rectifier, load_a, ..supply };
            let Ok(idle) = operate(&supply, Vertex { thermal, ..IDLE }) else { return Quick::Fails };
            let least_a = idle.section.and_then(|one| one.choke_a).map_or(0.0, |[least, _]| least);
            if least_a <= 0.0 {
                note("choke-continuity", choke, 0.0, 1e-3, Unit::Amps, 1.0 + 1e-3, &idle);
                return Quick::Fails;
            }
            // The ripple behind a choke grows with the mains and hardly with the load.
            let (ripple_v, most_v) = (idle.crest_v - idle.valley_v, rail.ripple.0.0);
            if ripple_v > most_v * (1.0 + EQUALITY) {
                note("raw-ripple", part, ripple_v, most_v, Unit::Volts, ripple_v / most_v, &idle);
                return if ripple_v > CLEAR_MISS * most_v { Quick::Ripples } else { Quick::Fails };
            }
            let most_v = rail.voltage.0 * (1.0 + rail.tolerance.0);
            if idle.mean_v > most_v * (1.0 + EQUALITY) {
                let utilisation = idle.mean_v / most_v;
                note("raw-voltage-window", part, idle.mean_v, most_v, Unit::Volts, utilisation, &idle);
                return Quick::of_mean(utilisation);
            }
        }
        let packages = f64::from(diodes(self.topology)) / f64::from(supply.rectifier.elements_per_package);
        Quick::Passes(HEAT_SHARE * laden.diode_w / packages, HEAT_SHARE * laden.diode_avg_a)
    }
}
