//! A train at the few vertices where most fail, before it is judged in full.
//!
//! Each test is one that the rules make again at every vertex, with a bound no rule can undercut. What failed is remembered,
//! so that whatever is worse in every respect is not solved again.

use crate::{
    candidate::{bank::BankOption, source::SourceOption, stage::StageOption},
    circuit::{
        operate::{OperatingPoint, operate},
        supply::Supply,
    },
    quantity::{Amps, Celsius},
    stress::{
        bench::{input_span, left_of},
        convert::air_of,
        position::Position,
        ripple,
        stage::{auxiliary_of, load_high_a, load_span, output_of},
        verdict::Unit,
    },
};

use super::{
    search::{Rectifying, Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, VALLEY_COLD},
};

/// The coupled choice.
#[derive(Clone, Copy)]
pub(super) struct Train<'t, 'a> {
    pub(super) source: &'t SourceOption<'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
    pub(super) stage: &'t StageOption<'a>,
    /// Peak of the reservoir at no load, V.
    pub(super) peak_v: f64,
}

/// A failure is remembered only where it misses by this much, so that what is left out of the order of two candidates
/// (temperatures that follow from the currents) cannot turn it into a pass.
const MEMORY_MARGIN: f64 = 1.02;
/// Failures remembered of each kind.
const MEMORY_MAX: usize = 24;

/// A bank behind a rectifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    farad: f64,
    esr_ohm: f64,
    threshold_v: f64,
    slope_ohm: f64,
    load_a: f64,
}

/// What failed behind one source. The order of candidates along each element is measured, not proven: see `DEVELOPERS.md`,
/// "Bounds"; the test against the plain search holds it to account.
#[derive(Clone, Debug, Default)]
pub(super) struct Memory {
    /// Turn-on voltage below this need: less capacitance, more ESR, drop and load fail too.
    valley: Vec<(Place, f64)>,
    /// Winding current too great: more capacitance, less ESR and slope, more load fail too.
    current: Vec<Place>,
    /// Regulator too hot, by stage: more capacitance, less ESR and drop fail too.
    heat: Vec<(Place, f64)>,
    /// Rectifier worked too hard, the present one: more capacitance, less ESR, more load fail too.
    rectifier: Vec<Place>,
    /// Whether the bank last looked at fails whatever the stage.
    pub(super) bank_dead: bool,
    /// Headroom or output ripple failed behind the present rectifier, by stage: less capacitance, more ESR fail too.
    sag: Vec<(Place, f64)>,
}

/// Where a train is worked hardest, and where its reservoir sags most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Places {
    low: Place,
    high: Place,
    stage_key: f64,
}

/// Stresses that grow as the reservoir sags.
const OF_SAG: [&str; 2] = ["regulator-headroom", "regulator-output-ripple"];

/// Stresses of the transformer that grow with its current.
const OF_TRANSFORMER: [&str; 4] = [
    "transformer-secondary-current",
    "transformer-primary-current",
    "transformer-copper-loss",
    "transformer-winding-temperature",
];
/// Stresses of the rectifier that grow with its current.
const OF_RECTIFIER: [&str; 6] = [
    "rectifier-average-current",
    "rectifier-rms-current",
    "rectifier-repetitive-peak",
    "rectifier-junction-temperature",
    "rectifier-surge-current",
    "rectifier-surge-i2t",
];

impl Memory {
    /// Forgets what concerned the rectifier before.
    pub(super) fn next_rectifier(&mut self) {
        self.rectifier.clear();
        self.sag.clear();
    }

    /// Keeps what a train fell by, if it says something of others.
    pub(super) fn learn(&mut self, places: Places, code: &str, utilisation: f64) {
        let Places { low, high, stage_key } = places;
        if utilisation < MEMORY_MARGIN {
            return;
        }
        if OF_TRANSFORMER.contains(&code) {
            remember(&mut self.current, high, Place::more_current);
        } else if OF_RECTIFIER.contains(&code) {
            remember(&mut self.rectifier, high, Place::more_current);
        } else if OF_SAG.contains(&code) {
            remember(&mut self.sag, (low, stage_key), sag_follows);
        }
    }
}

impl Place {
    fn lower_valley(&self, than: &Self) -> bool {
        self.farad <= than.farad
            && self.esr_ohm >= than.esr_ohm
            && self.threshold_v >= than.threshold_v
            && self.slope_ohm >= than.slope_ohm
            && self.load_a >= than.load_a
    }

    fn more_current(&self, than: &Self) -> bool {
        self.farad >= than.farad
            && self.esr_ohm <= than.esr_ohm
            && self.slope_ohm <= than.slope_ohm
            && self.load_a >= than.load_a
    }

    fn higher_mean(&self, than: &Self) -> bool {
        self.farad >= than.farad
            && self.esr_ohm <= than.esr_ohm
            && self.threshold_v <= than.threshold_v
            && self.slope_ohm <= than.slope_ohm
            && self.load_a <= than.load_a
    }
}

/// Keeps a failure, and forgets those that follow from it; a full memory forgets the oldest.
fn remember<T>(list: &mut Vec<T>, item: T, follows: impl Fn(&T, &T) -> bool) {
    list.retain(|known| !follows(known, &item));
    if list.len() >= MEMORY_MAX {
        list.remove(0);
    }
    list.push(item);
}

/// Whether a valley failure follows from another.
fn valley_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1 >= from.1 && one.0.lower_valley(&from.0)
}

/// Whether a failure by sag follows from another of the same stage.
fn sag_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1.total_cmp(&from.1).is_eq() && one.0.lower_valley(&from.0)
}

/// Whether a failure of heat follows from another of the same stage.
fn heat_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1.total_cmp(&from.1).is_eq() && one.0.higher_mean(&from.0)
}

impl<'a> Search<'_, 'a> {
    /// The train as plain numbers, without bleeder and with the rectifier's cheapest cooling.
    fn numbers(&self, train: &Train<'_, 'a>) -> Option<(Supply, f64)> {
        let Train { source, rectifying, bank, stage, peak_v, .. } = *train;
        let output = stage.regulation.as_ref().and_then(|one| {
            output_of(self.asked, one.part, one.set, input_span(self.asked.rail, peak_v)).ok()
        });
        let auxiliary =
            auxiliary_of(self.asked, stage.regulation.as_ref().zip(output.as_ref()), None, peak_v);
        let supply = Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: source.source,
            rectifier: rectifying.ways.first()?.numbers,
            bank: bank.bank,
            load_a: load_span(self.asked, &auxiliary),
            air: air_of(self.asked),
        };
        Some((supply, output.map_or(0.0, |one| one.set_v)))
    }

    /// Whether a train passes where most fail.
    ///
    /// Gives the places at which it works hardest, for the memory.
    pub(super) fn quick(
        &self,
        train: &Train<'_, 'a>,
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> Option<Places> {
        let (supply, set_v) = self.numbers(train)?;
        let line = supply.rectifier.line.at(Celsius(supply.air.cold_c));
        let low = Place {
            farad: supply.bank.farad.low * supply.bank.farad_cold_ratio,
            esr_ohm: supply.bank.esr_ohm.high * supply.bank.esr_cold_ratio,
            threshold_v: line.threshold.0,
            slope_ohm: line.slope.0,
            load_a: supply.load_a.high,
        };
        let need_v = train.stage.need_v;
        if memory.valley.iter().any(|failed| valley_follows(&(low, need_v), failed)) {
            return None;
        }
        let high = Place {
            farad: supply.bank.farad.high * supply.bank.farad_cold_ratio,
            esr_ohm: supply.bank.esr_ohm.low * supply.bank.esr_cold_ratio,
            ..low
        };
        let worked = |failed: &Place| high.more_current(failed);
        if memory.current.iter().any(worked) || memory.rectifier.iter().any(worked) {
            return None;
        }
        let stage_key = train.stage.need_v + set_v * 1e3;
        if memory.heat.iter().any(|failed| heat_follows(&(high, stage_key), failed)) {
            return None;
        }
        if memory.sag.iter().any(|failed| sag_follows(&(low, stage_key), failed)) {
            return None;
        }
        let Ok(valley) = operate(&supply, VALLEY_COLD) else {
            remember(&mut memory.valley, (low, need_v), valley_follows);
            return None;
        };
        if valley.valley_v < need_v * (1.0 - 1e-9) {
            if valley.turn_on_v * MEMORY_MARGIN.sqrt() < need_v {
                remember(&mut memory.valley, (low, need_v), valley_follows);
            }
            let part = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
            let figures = (valley.valley_v, need_v, Unit::Volts);
            let utilisation = need_v / valley.valley_v.max(1e-9);
            state.tally.number(
                self.headroom_code(),
                Depth::Reservoir,
                part,
                figures,
                utilisation,
                Some(VALLEY_COLD),
            );
            return None;
        }
        let ripple_v = valley.crest_v - valley.valley_v;
        if ripple_v > train.stage.raw_ripple_v * (1.0 + 1e-9) {
            let utilisation = ripple_v / train.stage.raw_ripple_v;
            if utilisation > MEMORY_MARGIN {
                remember(&mut memory.sag, (low, stage_key), sag_follows);
            }
            let part = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
            let figures = (ripple_v, train.stage.raw_ripple_v, Unit::Volts);
            state.tally.number(
                self.ripple_code(),
                Depth::Reservoir,
                part,
                figures,
                utilisation,
                Some(VALLEY_COLD),
            );
            return None;
        }
        let current = operate(&supply, CURRENT).ok()?;
        if !self.carries(train, &current, high, memory, state) {
            return None;
        }
        self.cool_enough(train, &supply, set_v, (high, stage_key), memory, state).then_some(Places {
            low,
            high,
            stage_key,
        })
    }

    /// Whether winding and bank carry their currents.
    fn carries(
        &self,
        train: &Train<'_, 'a>,
        current: &OperatingPoint,
        high: Place,
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> bool {
        let bank = train.bank;
        let part = bank.reservoir.part;
        let equivalent_a = bank.multipliers.as_ref().and_then(|table| ripple::at(part, table, current));
        if let Some(applied) = equivalent_a
            && applied > bank.equivalent_limit_a * (1.0 + 1e-9)
        {
            let utilisation = applied / bank.equivalent_limit_a;
            // Other stages draw a little more or less: only a clear miss rules the bank out for all of them.
            memory.bank_dead = utilisation > MEMORY_MARGIN;
            state.tally.number(
                "reservoir-ripple-current",
                Depth::Reservoir,
                (Position::Reservoir, &part.common.id.0),
                (applied, bank.equivalent_limit_a, Unit::Amps),
                utilisation,
                Some(CURRENT),
            );
            return false;
        }
        let limit_a = self.secondary_limit_a(train.source);
        let one_a = train.source.wiring_current(current.path_rms_a);
        if one_a > limit_a * (1.0 + 1e-9) {
            if one_a > limit_a * MEMORY_MARGIN.sqrt() {
                remember(&mut memory.current, high, Place::more_current);
            }
            state.tally.number(
                "transformer-secondary-current",
                Depth::Reservoir,
                (Position::Transformer, &train.source.transformer.common.id.0),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(CURRENT),
            );
            return false;
        }
        true
    }

    /// Whether any cooling there is could keep the regulator's junction within its limit.
    fn cool_enough(
        &self,
        train: &Train<'_, 'a>,
        supply: &Supply,
        set_v: f64,
        (high, stage_key): (Place, f64),
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> bool {
        let Some(regulation) = &train.stage.regulation else { return true };
        let Ok(warm) = operate(supply, DISSIPATION) else { return false };
        // Any output is at most the set value, so this heat is a lower bound.
        let heat_w = (warm.mean_v - set_v).max(0.0) * load_high_a(self.asked.rail);
        let junction_c = train
            .stage
            .coolings
            .iter()
            .map(|way| way.path.junction_c(heat_w, warm.air_c))
            .fold(f64::INFINITY, f64::min);
        let limit_c =
            left_of(self.asked.policy, "regulator-junction-temperature", regulation.part.junction_max.0);
        // The bleeder and another cooling of the rectifier move the mean a little: a quarter of a kelvin is left for that.
        if junction_c <= limit_c + 0.25 {
            return true;
        }
        let utilisation = (junction_c - warm.air_c) / (limit_c - warm.air_c).max(1e-9);
        if utilisation > MEMORY_MARGIN {
            remember(&mut memory.heat, (high, stage_key), heat_follows);
        }
        state.tally.number(
            "regulator-junction-temperature",
            Depth::Cooling,
            (Position::Regulator, &regulation.part.common.id.0),
            (junction_c, limit_c, Unit::Celsius),
            utilisation,
            Some(DISSIPATION),
        );
        false
    }
}

impl SourceOption<'_> {
    /// rms current of one secondary from that of the path.
    pub(super) fn wiring_current(&self, path_rms_a: f64) -> f64 {
        self.wiring.current_of_one(Amps(path_rms_a)).0
    }
}
