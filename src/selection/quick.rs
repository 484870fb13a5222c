//! A train at the few vertices where most fail, before it is judged in full.
//!
//! Each test is one that the rules make again at every vertex, with a bound no rule can undercut. What failed is remembered,
//! so that whatever is worse in every respect is not solved again.

use crate::{
    candidate::{bank::BankOption, source::SourceOption},
    circuit::{
        operate::{OperatingPoint, operate},
        spec::Topology,
        supply::{HeatPath, Supply},
    },
    quantity::{Amps, Celsius},
    stress::{
        bench::left_of, convert::air_of, position::Position, ripple, stage::load_high_a, verdict::Unit,
    },
};

use super::{
    memory::{MEMORY_MARGIN, Memory, Place, Places, heat_follows, remember, sag_follows, valley_follows},
    ready::Fit,
    search::{Rectifying, Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, VALLEY_COLD, VALLEY_HOT},
};

/// The coupled choice.
#[derive(Clone, Copy)]
pub(super) struct Train<'t, 'a> {
    pub(super) source: &'t SourceOption<'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
    pub(super) fit: &'t Fit<'t, 'a>,
    /// Peak of the reservoir at no load, V.
    pub(super) peak_v: f64,
    /// Score of source, rectifier and bank, with the least of fuse and bleeder.
    pub(super) partial: f64,
    /// Least score of a fuse.
    pub(super) fuse_score: f64,
}

/// What a bleeder may take off the mean reservoir voltage, relative.
const BLEEDER_SHARE: f64 = 0.002;

impl<'a> Search<'_, 'a> {
    /// The train as plain numbers, without bleeder and with the rectifier's cheapest cooling.
    fn numbers(&self, train: &Train<'_, 'a>) -> Option<Supply> {
        Some(Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: train.source.source,
            rectifier: train.rectifying.ways.first()?.numbers,
            bank: train.bank.bank,
            load_a: train.fit.load_a,
            air: air_of(self.asked),
        })
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
        let supply = self.numbers(train)?;
        let line = supply.rectifier.line.at(Celsius(supply.air.cold_c));
        let low = Place {
            farad: supply.bank.farad.low * supply.bank.farad_cold_ratio,
            esr_ohm: supply.bank.esr_ohm.high * supply.bank.esr_cold_ratio,
            threshold_v: line.threshold.0,
            slope_ohm: line.slope.0,
            load_a: supply.load_a.high,
        };
        let need_v = train.fit.need_v;
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
        // The stage itself: its place in the list.
        let stage_key = train.fit.ready.index as f64;
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
            let figures = (valley.valley_v, need_v, Unit::Volts);
            let utilisation = need_v / valley.valley_v.max(1e-9);
            Self::note_sag(train, self.headroom_code(), figures, utilisation, &valley, state);
            return None;
        }
        let sag = (low, stage_key);
        if !self.smooth(train, &valley, sag, memory, state) {
            return None;
        }
        let current = operate(&supply, CURRENT).ok()?;
        if !self.carries(train, &current, high, memory, state) {
            return None;
        }
        let cooling_score = self.cooling_score(train, &supply, (high, stage_key), memory, state)?;
        let ready = train.fit.ready;
        if train.partial + ready.base + cooling_score > state.bound() {
            return None;
        }
        if train.fit.seat.is_some() {
            let warm = operate(&supply, VALLEY_HOT).ok()?;
            if !self.smooth(train, &warm, sag, memory, state) {
                return None;
            }
        }
        let rest = ready.base - ready.option.score + cooling_score + train.fuse_score;
        Some(Places { low, high, stage_key, rest })
    }

    /// Whether headroom and ripple hold at a valley, with the least drop-out that any cooling could bring.
    fn smooth(
        &self,
        train: &Train<'_, 'a>,
        point: &OperatingPoint,
        sag: (Place, f64),
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> bool {
        let most = self.asked.rail.ripple.0.0;
        let Some(seat) = &train.fit.seat else {
            let ripple_v = point.crest_v - point.valley_v;
            let holds = ripple_v <= train.fit.ready.option.raw_ripple_v * (1.0 + 1e-9);
            if !holds {
                let utilisation = ripple_v / train.fit.ready.option.raw_ripple_v;
                if utilisation > MEMORY_MARGIN {
                    remember(&mut memory.sag, sag, sag_follows);
                }
                let figures = (ripple_v, train.fit.ready.option.raw_ripple_v, Unit::Volts);
                Self::note_sag(train, self.ripple_code(), figures, utilisation, point, state);
            }
            return holds;
        };
        // In the cold state the junction is as cold as the air, whatever cools it.
        let path = HeatPath::Direct(0.0);
        let path = (point.vertex.thermal == VALLEY_COLD.thermal).then_some(&path);
        let least = self.headroom_v;
        if let Some(headroom_v) = seat.headroom_v(path, point)
            && headroom_v < least * (1.0 - 1e-9)
        {
            let utilisation = 1.0 + (least - headroom_v) / self.asked.rail.voltage.0;
            if utilisation > MEMORY_MARGIN {
                remember(&mut memory.sag, sag, sag_follows);
            }
            let figures = (headroom_v, least, Unit::Volts);
            Self::note_sag(train, "regulator-headroom", figures, utilisation, point, state);
            return false;
        }
        if let Some(ripple_v) = seat.output_ripple_v(path, point)
            && ripple_v > most * (1.0 + 1e-9)
        {
            let utilisation = ripple_v / most;
            if utilisation > MEMORY_MARGIN {
                remember(&mut memory.sag, sag, sag_follows);
            }
            let figures = (ripple_v, most, Unit::Volts);
            Self::note_sag(train, "regulator-output-ripple", figures, utilisation, point, state);
            return false;
        }
        true
    }

    fn note_sag(
        train: &Train<'_, 'a>,
        code: &str,
        figures: (f64, f64, Unit),
        utilisation: f64,
        point: &OperatingPoint,
        state: &mut State<'a>,
    ) {
        let part = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
        state.tally.number(code, Depth::Reservoir, part, figures, utilisation, Some(point.vertex));
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

    /// Least score of whatever bears the regulator's heat; `None` where nothing does.
    fn cooling_score(
        &self,
        train: &Train<'_, 'a>,
        supply: &Supply,
        (high, stage_key): (Place, f64),
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> Option<f64> {
        const CODE: &str = "regulator-junction-temperature";
        let ready = train.fit.ready;
        let Some(regulation) = &ready.option.regulation else { return Some(0.0) };
        let warm = operate(supply, DISSIPATION).ok()?;
        let share_v =
            if train.rectifying.ways.len() > 1 { self.way_v(train.rectifying, warm.junction_c) } else { 0.0 };
        let mean_v = warm.mean_v * (1.0 - BLEEDER_SHARE) - share_v;
        let heat_w = ready.heat_w(mean_v);
        let score = ready.cooler.least_score(heat_w);
        if score.is_finite() {
            return Some(score);
        }
        let most_w = ready.cooler.most_w();
        if heat_w > MEMORY_MARGIN * most_w {
            remember(&mut memory.heat, (high, stage_key), heat_follows);
        }
        let coolings = ready.option.coolings.iter();
        let junction_c =
            coolings.map(|way| way.path.junction_c(heat_w, warm.air_c)).fold(f64::INFINITY, f64::min);
        let limit_c = left_of(self.asked.policy, CODE, regulation.part.junction_max.0);
        let utilisation = (junction_c - warm.air_c) / (limit_c - warm.air_c).max(1e-9);
        let place = (Position::Regulator, regulation.part.common.id.0.as_str());
        let figures = (junction_c, limit_c, Unit::Celsius);
        let utilisation = utilisation.max(1.0 + 1e-6);
        state.tally.number(CODE, Depth::Cooling, place, figures, utilisation, Some(DISSIPATION));
        None
    }

    /// What a better cooling of the rectifier could take off the reservoir voltage, V: cooler diodes drop more.
    pub(super) fn way_v(&self, rectifying: &Rectifying<'a>, junction_c: f64) -> f64 {
        let Some(first) = rectifying.ways.first() else { return 0.0 };
        let in_series = if self.topology == Topology::Bridge { 2.0 } else { 1.0 };
        let (cool, hot) = (
            first.numbers.line.at(Celsius(air_of(self.asked).hot_c)),
            first.numbers.line.at(Celsius(junction_c)),
        );
        // Ten times the load is above any mean of a pulse that a sound reservoir draws.
        let slope_v = 10.0 * (cool.slope.0 - hot.slope.0).max(0.0) * load_high_a(self.asked.rail);
        in_series * ((cool.threshold.0 - hot.threshold.0).max(0.0) + slope_v)
    }
}

impl SourceOption<'_> {
    /// rms current of one secondary from that of the path.
    pub(super) fn wiring_current(&self, path_rms_a: f64) -> f64 {
        self.wiring.current_of_one(Amps(path_rms_a)).0
    }
}
