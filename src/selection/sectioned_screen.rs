//! What a first bank leaves for a second section, and the few points at which most that follows it fails.

use std::f64::consts::PI;

use crate::{
    candidate::bank::BankOption,
    circuit::{
        corner::{Thermal, Vertex},
        operate::{OperatingPoint, diodes, operate},
        spec::Topology,
        supply::{Bank, Body, Drawn, Rectifier, Section, Source, Span, Supply},
    },
    stress::{
        bench::left_of,
        convert::air_of,
        position::Position,
        resistor::{least_ohm, power_rating},
        ripple,
        stage::{Auxiliary, load_high_a, load_of, load_span},
        verdict::{EQUALITY, Unit},
    },
};

use super::{
    choked::CLEAR_MISS,
    link::Link,
    list::Fed,
    search::{Search, State},
    sectioned::{Train, burden},
    tally::Depth,
    vertices::{CURRENT, VALLEY_COLD, VALLEY_HOT},
};

/// By how much a first bank may miss as if nothing followed it and still pass: measured, a second section moves its mean and its
/// ripple current by less.
const ROOM: f64 = 1.05;
/// By how much the crest of a first bank rises with something behind it: measured, by less.
const CREST_ROOM: f64 = 1.005;
/// Share of the estimated ripple that a section leaves at the least: measured.
const RIPPLE_SHARE: f64 = 0.5;
/// By how much the heat of a resistor must miss for less of it, which passes more ripple, not to mend that.
const HEAT_MISS: f64 = 1.3;
/// Rule on a shorted output.
const SHORT: &str = "section-resistor-short";
/// Share of the rectifier's heat at the lowest mains that any way of cooling it leaves.
const HEAT_SHARE: f64 = 0.9;

/// The greatest mean that a first bank may have with something behind it, by what it has without, V: a section only takes ripple
/// off it, and what is least rises.
fn most_mean_v(alone: &OperatingPoint) -> f64 {
    (alone.mean_v * ROOM).min(alone.crest_v * CREST_ROOM)
}

/// What a first bank leaves for what follows it.
pub(super) struct Before {
    /// What the mean may drop, over the greatest current, Ω.
    pub(super) room_ohm: f64,
    /// Mean current that heats a resistor, A.
    pub(super) room_a: f64,
    /// Its own ripple as if nothing followed, peak to peak, V.
    ripple_v: f64,
    /// Least capacitance of the first bank, F.
    farad: f64,
}

/// What a few points tell.
pub(super) enum Quick {
    /// Nothing against it; heat of one package of the rectifier, W, and average current of one diode, A, at the least.
    Passes((f64, f64)),
    /// It ripples too much.
    Ripples,
    /// Its mean is too low by the drop over this resistance, Ω.
    Drops(f64),
    /// What joins the banks must be less by this factor.
    Heats(f64),
    /// What joins the banks carries too much ripple for any value of it.
    Boils,
    /// Its first bank bears too much.
    First,
    /// It fails otherwise.
    Fails,
}

impl<'a> Search<'_, 'a> {
    /// The rail as plain numbers, without a bleeder.
    fn raw_supply(
        &self,
        source: Source,
        rectifier: Rectifier,
        bank: &BankOption<'a>,
        section: Option<Section>,
    ) -> Supply {
        Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source,
            rectifier,
            bank: bank.bank,
            section,
            load_a: load_span(self.asked, &Auxiliary::default()),
            air: air_of(self.asked),
            beside: None,
        }
    }

    /// Whether the mean falls below its window with a rectifier even before the greatest bank of all, without ESR; what it misses
    /// is counted.
    pub(super) fn falls_short(
        &self,
        fed: &Fed<'a>,
        rectifier: Rectifier,
        banks: &[&BankOption<'a>],
        state: &mut State<'a>,
    ) -> bool {
        let rail = self.asked.rail;
        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
        let Some(first) = banks.first() else { return true };
        let farad = banks.iter().map(|bank| bank.bank.farad.high).fold(0.0, f64::max);
        let bank = Bank {
            farad: Span { low: farad, nominal: farad, high: farad },
            esr_ohm: Span { low: 0.0, nominal: 0.0, high: 0.0 },
            esr_cold_ratio: 1.0,
            farad_cold_ratio: 1.0,
        };
        let supply = Supply { bank, ..self.raw_supply(fed.option.source, rectifier, first, None) };
        let Ok(point) = operate(&supply, VALLEY_HOT) else { return true };
        let misses = most_mean_v(&point) < floor_v;
        if misses {
            let part = (Position::Transformer, fed.option.transformer.common.id.0.as_str());
            let figures = (point.mean_v, floor_v, Unit::Volts);
            let utilisation = floor_v / point.mean_v;
            let code = "raw-voltage-window";
            state.tally.number(code, Depth::Source, part, figures, utilisation, Some(VALLEY_HOT));
        }
        misses
    }

    /// Whether the no-load peak of a source lies above the window of the mean; what it misses is counted.
    pub(super) fn peaks(&self, fed: &Fed<'a>, peak_v: f64, state: &mut State<'a>) -> bool {
        let rail = self.asked.rail;
        let most_v = rail.voltage.0 * (1.0 + rail.tolerance.0);
        let misses = peak_v > most_v * (1.0 + EQUALITY);
        if misses {
            let part = (Position::Transformer, fed.option.transformer.common.id.0.as_str());
            let figures = (peak_v, most_v, Unit::Volts);
            let code = "raw-voltage-window";
            state.tally.number(code, Depth::Source, part, figures, peak_v / most_v, None);
        }
        misses
    }

    /// What a first bank leaves for a second section. Where it cannot stand before one that is counted, and told whether it lets
    /// the mean sag too far, as every smaller one would.
    pub(super) fn before(&self, train: &Train<'_, 'a>, state: &mut State<'a>) -> Result<Before, bool> {
        let rail = self.asked.rail;
        let source = train.fed.option.source;
        let at_source = (Position::Transformer, train.fed.option.transformer.common.id.0.as_str());
        let at_bank = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
        let mut note = |code, depth, place, (applied, limit, unit), utilisation, vertex| {
            state.tally.number(code, depth, place, (applied, limit, unit), utilisation, vertex);
        };
        let code = "raw-voltage-window";
        let first = train.rectifying.ways.first().ok_or(false)?;
        let mut room_ohm = f64::INFINITY;
        let mut ripple_v = f64::INFINITY;
        for (vertex, rectifier) in [(VALLEY_COLD, first.numbers), (VALLEY_HOT, train.rectifying.hottest)] {
            let supply = self.raw_supply(source, rectifier, train.bank, None);
            let point = operate(&supply, vertex).map_err(|_| true)?;
            let spare_v = most_mean_v(&point) - floor_v;
            if spare_v <= 0.0 {
                let figures = (point.mean_v, floor_v, Unit::Volts);
                note(code, Depth::Reservoir, at_bank, figures, floor_v / point.mean_v, Some(vertex));
                return Err(true);
            }
            room_ohm = room_ohm.min(spare_v / load_high_a(rail).max(1e-9));
            ripple_v = ripple_v.min(point.crest_v - point.valley_v);
        }
        let supply = self.raw_supply(source, first.numbers, train.bank, None);
        let laden = operate(&supply.lasting(Body::Heavy), CURRENT).map_err(|_| false)?;
        let one_a = train.fed.option.wiring_current(laden.path_rms_a);
        let limit_a = self.secondary_limit_a(&train.fed.option) * ROOM;
        if one_a > limit_a {
            let code = "transformer-secondary-current";
            let figures = (one_a, limit_a, Unit::Amps);
            note(code, Depth::Reservoir, at_source, figures, one_a / limit_a, Some(CURRENT));
            return Err(false);
        }
        let part = train.bank.reservoir.part;
        let table = train.bank.multipliers.as_ref().ok_or(false)?;
        let equivalent_a = ripple::of_bank((Position::Reservoir, part), table, &laden).ok_or(false)?;
        let limit_a = train.bank.equivalent_limit_a * ROOM;
        if equivalent_a > limit_a {
            let figures = (equivalent_a, limit_a, Unit::Amps);
            let utilisation = equivalent_a / limit_a;
            note("reservoir-ripple-current", Depth::Reservoir, at_bank, figures, utilisation, Some(CURRENT));
            return Err(false);
        }
        let room_a = load_of(rail, Body::Light);
        Ok(Before { room_ohm, room_a, ripple_v, farad: train.bank.bank.farad.low })
    }

    /// Whether a section leaves too much ripple by an estimate, of which half counts unless a first design is sought; what it misses is counted.
    ///
    /// ```text
    /// CRC: v_1 T/(8 R C_2), no more than v_1 C_1/(C_1 + C_2), at least v_1 r_2/(R + r_2);   CLC: (2/π) v_1/(1 + ω² L C_2)
    /// ```
    /// `v_1` ripple of the first bank as if nothing followed, a sawtooth of period `T = 2π/ω` · `r_2` ESR. Derived; that half of it is a bound is
    /// measured.
    pub(super) fn ripples_through(
        &self,
        before: &Before,
        link: Link<'a>,
        second: &BankOption<'a>,
        (probe, state): (bool, &mut State<'a>),
    ) -> bool {
        let pulses = if self.topology == Topology::HalfWave { 1.0 } else { 2.0 };
        let period_s = 1.0 / (pulses * self.frequency_hz.high);
        let (farad, esr_ohm) = (second.bank.farad.low, second.bank.esr_ohm.low);
        let estimate_v = match link.numbers(self.asked, second.reservoir) {
            Section::Crc(ohm, _) => {
                let share = (period_s / (8.0 * ohm.high * farad)).min(before.farad / (before.farad + farad));
                before.ripple_v * share.max(esr_ohm / (ohm.high + esr_ohm))
            }
            Section::Clc(choke, _) | Section::ChokeInput(choke) => {
                let angular = 2.0 * PI / period_s;
                2.0 / PI * before.ripple_v / (1.0 + angular * angular * choke.henry.high * farad)
            }
        };
        let share = if probe { 1.0 } else { RIPPLE_SHARE };
        let (least_v, most_v) = (share * estimate_v, self.asked.rail.ripple.0.0);
        let misses = least_v > most_v;
        if misses {
            let part = (Position::SectionCapacitor, second.reservoir.part.common.id.0.as_str());
            let figures = (least_v, most_v, Unit::Volts);
            state.tally.number(
                "raw-ripple",
                Depth::Reservoir,
                part,
                figures,
                least_v / most_v,
                Some(VALLEY_COLD),
            );
        }
        misses
    }

    /// Whether a resistor that is not flameproof takes much more with the output shorted than it bears; what it misses is counted.
    ///
    /// At the current of that power the first bank still has more than the resistor drops: the short draws more.
    pub(super) fn burns(&self, train: &Train<'_, 'a>, link: Link<'a>, state: &mut State<'a>) -> bool {
        let Link::Resistor(choice) = link else { return false };
        let Some(first) = train.rectifying.ways.first() else { return false };
        if choice.series.flameproof {
            return false;
        }
        let rating = left_of(self.asked.policy, SHORT, power_rating(self.asked, choice.series));
        let (least_w, ohm) = (rating * HEAT_MISS, least_ohm(self.asked, choice));
        let amps = (least_w / ohm).sqrt();
        let supply = self.raw_supply(train.fed.option.source, first.numbers, train.bank, None);
        let supply = Supply { load_a: Drawn::steady(amps), ..supply };
        let hot = Vertex { thermal: Thermal::Hot, ..CURRENT };
        let burns = operate(&supply, hot).is_ok_and(|point| point.mean_v > amps * ohm);
        if burns {
            let part = (Position::SectionResistor, choice.series.common.id.0.as_str());
            let figures = (least_w, rating, Unit::Watts);
            state.tally.number(SHORT, Depth::Reservoir, part, figures, HEAT_MISS, Some(CURRENT));
        }
        burns
    }

    /// Heat of a resistor, or rms current of a choke, over what is allowed.
    fn heats(&self, link: Link<'a>, point: &OperatingPoint) -> f64 {
        match link {
            Link::Resistor(choice) => {
                let rating = power_rating(self.asked, choice.series);
                point.section_w() / left_of(self.asked.policy, "resistor-power", rating)
            }
            Link::Choke(choke) => {
                let limit_a = left_of(self.asked.policy, "choke-rms-current", choke.current.0);
                point.section.map_or(0.0, |one| one.rms_a) / limit_a
            }
        }
    }

    /// The few points at which most fail: mean and ripple where the mains is low, what the banks carry where it is high.
    pub(super) fn quick_sectioned(
        &self,
        train: &Train<'_, 'a>,
        link: Link<'a>,
        (second, bleeder_a): (&BankOption<'a>, f64),
        state: &mut State<'a>,
    ) -> Quick {
        let Some(first) = train.rectifying.ways.first() else { return Quick::Fails };
        let rail = self.asked.rail;
        let section = Some(link.numbers(self.asked, second.reservoir));
        let supply = self.raw_supply(train.fed.option.source, first.numbers, train.bank, section);
        let supply = Supply { load_a: supply.load_a.with_more(bleeder_a), ..supply };
        let part = (Position::SectionCapacitor, second.reservoir.part.common.id.0.as_str());
        let mut note = |code, (applied, limit): (f64, f64), utilisation: f64, point: &OperatingPoint| {
            let figures = (applied, limit, Unit::Volts);
            state.tally.number(code, Depth::Reservoir, part, figures, utilisation, Some(point.vertex));
        };
        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
        let most_v = rail.ripple.0.0;
        let ripple_of = |point: &OperatingPoint| point.crest_v - point.valley_v;
        let rippling = |point: &OperatingPoint| ripple_of(point) > most_v * (1.0 + EQUALITY);
        let of_ripple = |point: &OperatingPoint| {
            if ripple_of(point) > CLEAR_MISS * most_v { Quick::Ripples } else { Quick::Fails }
        };
        let mut hot = None;
        for (vertex, rectifier) in [(VALLEY_COLD, first.numbers), (VALLEY_HOT, train.rectifying.hottest)] {
            let Ok(laden) = operate(&Supply { rectifier, ..supply }, vertex) else { return Quick::Fails };
            if laden.mean_v < floor_v * (1.0 - EQUALITY) {
                note("raw-voltage-window", (laden.mean_v, floor_v), floor_v / laden.mean_v, &laden);
                return Quick::Drops((floor_v - laden.mean_v) / laden.load_a.max(1e-9));
            }
            if rippling(&laden) {
                note("raw-ripple", (ripple_of(&laden), most_v), ripple_of(&laden) / most_v, &laden);
                return of_ripple(&laden);
            }
            let heats = self.heats(link, &laden);
            if heats > 1.0 + EQUALITY {
                return if heats > HEAT_MISS { Quick::Boils } else { Quick::Heats(heats) };
            }
            hot = Some(laden);
        }
        let Ok(laden) = operate(&supply.lasting(Body::Heavy), CURRENT) else { return Quick::Fails };
        let banks = [(Position::Reservoir, train.bank), (Position::SectionCapacitor, second)];
        for (at, bank) in banks {
            let (one, table) = (bank.reservoir.part, bank.multipliers.as_ref());
            let Some(applied) = table.and_then(|table| ripple::of_bank((at, one), table, &laden)) else {
                return Quick::Fails;
            };
            let utilisation = applied / bank.equivalent_limit_a;
            if utilisation > 1.0 + EQUALITY {
                let place = (at, one.common.id.0.as_str());
                let figures = (applied, bank.equivalent_limit_a, Unit::Amps);
                let code = "reservoir-ripple-current";
                state.tally.number(code, Depth::Reservoir, place, figures, utilisation, Some(CURRENT));
                return if at == Position::Reservoir { Quick::First } else { Quick::Fails };
            }
        }
        let packages = f64::from(diodes(self.topology)) / f64::from(supply.rectifier.elements_per_package);
        hot.map_or(Quick::Fails, |laden| {
            let (heat_w, average_a) = burden(&laden, packages);
            Quick::Passes((HEAT_SHARE * heat_w, HEAT_SHARE * average_a))
        })
    }
}
