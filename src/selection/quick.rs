//! A train at the few vertices where most fail, before it is judged in full.
//!
//! Each test is one that the rules make again at every vertex, with a bound no rule can undercut. What failed is remembered,
//! so that whatever is worse in every respect is not solved again.

use crate::{
    candidate::{bank::BankOption, source::SourceOption, stage::CoolingOption},
    circuit::{
        operate::{OperatingPoint, diodes},
        supply::{Body, HeatPath, Supply},
    },
    quantity::{Amps, Celsius},
    stress::{bench::left_of, convert::air_of, position::Position, ripple, verdict::Unit},
};

use super::{
    bounds::Opened,
    cooler::junction_at_least_c,
    memory::{
        COLD_MARGIN, MEMORY_MARGIN, Memory, Place, Places, heat_follows, remember, sag_follows,
        valley_follows,
    },
    ready::Fit,
    rectifying::Rectifying,
    search::{Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, HEAT, VALLEY_COLD, VALLEY_HOT, at},
};

/// The coupled choice.
#[derive(Clone, Copy)]
pub(super) struct Train<'t, 'a> {
    pub(super) opened: &'t Opened<'t, 'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
    /// Place of the bank in the list of its source.
    pub(super) bank_index: usize,
    pub(super) fit: &'t Fit<'t, 'a>,
    /// Score of source, rectifier and bank, with the least of fuse and bleeder.
    pub(super) partial: f64,
}

impl<'a> Search<'_, 'a> {
    /// The train as plain numbers, without bleeder and with the rectifier's cheapest cooling.
    fn numbers(&self, train: &Train<'_, 'a>) -> Option<Supply> {
        Some(Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: train.opened.source.source,
            rectifier: train.rectifying.ways.first()?.numbers,
            section: None,
            bank: train.bank.bank,
            load_a: train.fit.load_a,
            air: air_of(self.asked),
            beside: self.beside,
        })
    }

    /// Whether a train passes where most fail.
    ///
    /// Gives the places at which it works hardest, for the memory, and the coolings of its regulator that are left.
    pub(super) fn quick(
        &self,
        train: &Train<'_, 'a>,
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> Option<(Places, Vec<CoolingOption<'a>>)> {
        let line = train.rectifying.ways.first()?.numbers.line.at(Celsius(air_of(self.asked).cold_c));
        let (low, high) = Place::both(&train.bank.bank, line, train.fit.load_a.high);
        let need_v = train.fit.need_v;
        if memory.refuses((low, high), need_v) {
            return None;
        }
        // The stage itself: its place in the list.
        let stage_key = train.fit.ready.index as f64;
        if !memory.heat.is_empty() {
            let laden = Place { load_a: high.load_a + self.most_bleeder_of(train), ..high };
            if memory.heat.iter().any(|failed| heat_follows(&(laden, stage_key), failed)) {
                return None;
            }
        }
        if memory.sag.iter().any(|failed| sag_follows(&(low, stage_key), failed)) {
            return None;
        }
        let supply = self.numbers(train)?;
        let Ok(valley) = at(&supply, VALLEY_COLD) else {
            remember(&mut memory.valley, (low, need_v), valley_follows);
            return None;
        };
        if valley.valley_v < need_v * (1.0 - 1e-9) {
            if valley.turn_on_v * COLD_MARGIN < need_v {
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
        let at_peak = at(&supply, CURRENT).ok()?;
        let peak_a = at_peak.diode_peak_a;
        let lasts = !supply.load_a.peaks() && !supply.beside.iter().any(|beside| beside.load_a.peaks());
        let current = if lasts { at_peak } else { at(&supply.lasting(Body::Heavy), CURRENT).ok()? };
        if !self.carries(train, &current, high, memory, state)
            || !self.carries_laden(train, &supply, high, memory, state)
        {
            return None;
        }
        let mut reach = None;
        if train.fit.seat.is_some() {
            let hottest = Supply { rectifier: train.rectifying.hottest, ..supply };
            let warm = at(&hottest, VALLEY_HOT).ok()?;
            if !self.smooth(train, &warm, sag, memory, state) {
                return None;
            }
            reach = Some(warm);
        }
        let coolings = self.coolings(train, &supply, reach.as_ref(), (high, stage_key), memory, state)?;
        let ready = train.fit.ready;
        let cooling_score = coolings.first().map_or(0.0, |one| one.score);
        if train.partial + ready.base + cooling_score > state.bound() {
            return None;
        }
        let heated =
            at(&Supply { rectifier: train.rectifying.hottest, ..supply.lasting(Body::Light) }, HEAT).ok()?;
        let packages = f64::from(diodes(self.topology)) / f64::from(supply.rectifier.elements_per_package);
        let places = Places {
            low,
            high,
            stage_key,
            rest: cooling_score + train.opened.fuse_score,
            peak_a,
            rectifier_w: heated.diode_w / packages * (1.0 - HEAT_MARGIN),
            average_a: heated.diode_avg_a * (1.0 - 1e-6),
        };
        Some((places, coolings))
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
        let cold = point.vertex.thermal == VALLEY_COLD.thermal;
        let margin = if cold { COLD_MARGIN } else { MEMORY_MARGIN };
        let Some(seat) = &train.fit.seat else {
            let rail = self.asked.rail;
            let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
            if train.fit.ready.option.regulation.is_none() && point.mean_v < floor_v * (1.0 - 1e-9) {
                let utilisation = floor_v / point.mean_v;
                if utilisation > margin {
                    remember(&mut memory.sag, sag, sag_follows);
                }
                let figures = (point.mean_v, floor_v, Unit::Volts);
                Self::note_sag(train, self.headroom_code(), figures, utilisation, point, state);
                return false;
            }
            let ripple_v = point.crest_v - point.valley_v;
            let holds = ripple_v <= train.fit.ready.option.raw_ripple_v * (1.0 + 1e-9);
            if !holds {
                let utilisation = ripple_v / train.fit.ready.option.raw_ripple_v;
                if utilisation > margin {
                    remember(&mut memory.sag, sag, sag_follows);
                }
                let figures = (ripple_v, train.fit.ready.option.raw_ripple_v, Unit::Volts);
                Self::note_sag(train, self.ripple_code(), figures, utilisation, point, state);
            }
            return holds;
        };
        // In the cold state the junction is as cold as the air, whatever cools it.
        let path = HeatPath::Direct(0.0);
        let path = cold.then_some(&path);
        let least = self.headroom_v;
        if let Some(headroom_v) = seat.headroom_v(path, point)
            && headroom_v < least * (1.0 - 1e-9)
        {
            let utilisation = 1.0 + (least - headroom_v) / self.asked.rail.voltage.0;
            if utilisation > margin {
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
            if utilisation > margin {
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
        // With every harmonic divided by the least multiplier the equivalent current is the greatest it can be.
        let clear = current.bank_rms_a <= bank.equivalent_limit_a * bank.least_multiplier;
        let table = bank.multipliers.as_ref().filter(|_| !clear);
        let equivalent_a =
            table.and_then(|table| ripple::of_bank((Position::Reservoir, part), table, current));
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
        let limit_a = self.secondary_limit_a(train.opened.source);
        let one_a = train.opened.source.wiring_current(current.path_rms_a);
        if one_a > limit_a * (1.0 + 1e-9) {
            if one_a > limit_a * COLD_MARGIN {
                remember(&mut memory.current, high, Place::more_current);
            }
            state.tally.number(
                "transformer-secondary-current",
                Depth::Reservoir,
                (Position::Transformer, &train.opened.source.transformer.common.id.0),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(CURRENT),
            );
            return false;
        }
        true
    }

    /// The coolings of the regulator that its least heat and its least sag do not rule out, cheapest first; `None` where
    /// nothing is left. A raw rail has none and needs none.
    fn coolings(
        &self,
        train: &Train<'_, 'a>,
        supply: &Supply,
        valley: Option<&OperatingPoint>,
        (high, stage_key): (Place, f64),
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> Option<Vec<CoolingOption<'a>>> {
        const CODE: &str = "regulator-junction-temperature";
        let ready = train.fit.ready;
        let Some(regulation) = &ready.option.regulation else { return Some(Vec::new()) };
        // With the greatest bleeder and the coolest diodes the mean is the least it can be.
        let bleeder_a = self.most_bleeder_of(train);
        let load_a = supply.load_a.with_more(bleeder_a);
        let laden = Supply { load_a, rectifier: train.rectifying.coolest, ..*supply };
        let high = Place { load_a: load_a.high, ..high };
        let warm = at(&laden.lasting(Body::Heavy), DISSIPATION).ok()?;
        let heat_w = ready.heat_w(warm.mean_v);
        let peaks = laden.load_a.peaks().then(|| at(&laden, DISSIPATION).ok()).flatten();
        let peak_w = peaks.map_or(heat_w, |point| ready.peak_heat_w(point.mean_v));
        let own_w = ready.own_heat_w(warm.mean_v);
        let bearing = || {
            let coolings = ready.option.coolings.iter().enumerate();
            let borne = |place, one| train.fit.cooler().bears_all(place, one, (heat_w, peak_w, own_w));
            coolings.filter(move |(place, one)| borne(*place, one)).map(|(_, one)| one)
        };
        if train.fit.cooler().least_score(heat_w).is_infinite() || bearing().next().is_none() {
            let most_w = train.fit.cooler().most_w();
            if heat_w > MEMORY_MARGIN * most_w {
                remember(&mut memory.heat, (high, stage_key), heat_follows);
            }
            let coolings = ready.option.coolings.iter();
            let junction_c = coolings
                .map(|way| junction_at_least_c(&way.bearing, (heat_w, peak_w), warm.air_c))
                .fold(f64::INFINITY, f64::min);
            let limit_c = left_of(self.asked.policy, CODE, regulation.part.junction_max.0);
            let utilisation = (junction_c - warm.air_c) / (limit_c - warm.air_c).max(1e-9);
            let place = (Position::Regulator, regulation.part.common.id.0.as_str());
            let figures = (junction_c, limit_c, Unit::Celsius);
            let utilisation = utilisation.max(1.0 + 1e-6);
            state.tally.number(CODE, Depth::Cooling, place, figures, utilisation, Some(DISSIPATION));
            return None;
        }
        let Some((seat, valley)) = train.fit.seat.as_ref().zip(valley) else {
            return Some(bearing().copied().collect());
        };
        // The least mean of any way of cooling the rectifier beside the highest valley of any.
        let least = || {
            let mean_v = at(&laden, VALLEY_HOT).map_or(0.0, |point| point.mean_v.min(valley.mean_v));
            OperatingPoint { mean_v, ..valley.clone() }
        };
        let mut cooler: Option<OperatingPoint> = None;
        let mut left = Vec::new();
        let mut nearest: Option<(&str, f64, f64, Unit, f64)> = None;
        // What is dearer than the bound is not looked at; where even the greatest drop-out leaves enough, nothing is.
        let room = state.bound() - train.partial - ready.base;
        let never = seat.worst_drop_out(valley).is_some_and(|volts| self.holds_with(seat, valley, volts));
        for option in bearing() {
            if option.score > room {
                break;
            }
            if never {
                left.push(*option);
                continue;
            }
            // A junction between the two has a drop-out between theirs, a bend of the table apart: the margin.
            let both = self.sags(seat, &option.path, valley).zip(self.sags(
                seat,
                &option.path,
                cooler.get_or_insert_with(least),
            ));
            match both.map(|(one, other)| if one.4 < other.4 { one } else { other }) {
                Some(miss) if miss.4 > 1.0 + SAG_MARGIN => {
                    if nearest.is_none_or(|known| miss.4 < known.4) {
                        nearest = Some(miss);
                    }
                }
                _ => left.push(*option),
            }
        }
        if left.is_empty() {
            if let Some((code, applied, limit, unit, utilisation)) = nearest {
                let place = (Position::Regulator, regulation.part.common.id.0.as_str());
                let figures = (applied, limit, unit);
                state.tally.number(code, Depth::Cooling, place, figures, utilisation, Some(VALLEY_HOT));
            }
            return None;
        }
        Some(left)
    }

    /// Greatest current of any bleeder of the train's bank, A.
    fn most_bleeder_of(&self, train: &Train<'_, 'a>) -> f64 {
        train.opened.bleeders(self, train.bank_index).iter().map(|one| one.amps).fold(0.0, f64::max)
    }
}

/// What a miss by sag must exceed to rule out a cooling, relative.
const SAG_MARGIN: f64 = 0.002;
/// What the heat of a rectifier may be below the one solved with the least drop, relative.
const HEAT_MARGIN: f64 = 0.02;

impl SourceOption<'_> {
    /// rms current of one secondary from that of the path.
    pub(super) fn wiring_current(&self, path_rms_a: f64) -> f64 {
        self.wiring.current_of_one(Amps(path_rms_a)).0
    }
}
