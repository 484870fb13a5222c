//! A train with a second section at the few points at which most fail, before it is judged in full.

use crate::{
    candidate::{bank::BankOption, stage::CoolingOption},
    circuit::{
        corner::{Thermal, Vertex},
        operate::{OperatingPoint, diodes, operate},
        supply::{Body, Drawn, HeatPath, Supply},
    },
    stress::{
        bench::left_of,
        position::Position,
        regulator_point::RegulatorStage,
        resistor::{least_ohm, power_rating},
        ripple,
        surge::overshoot_of,
        verdict::{EQUALITY, Unit},
    },
};

use super::{
    choked::CLEAR_MISS,
    link::Link,
    search::{Search, State},
    sectioned::Train,
    sectioned_ripple::CUTS,
    sectioned_train::burden,
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, VALLEY_COLD, VALLEY_HOT},
};

/// By how much the heat of a resistor must miss for less of it, which passes more ripple, not to mend that.
const HEAT_MISS: f64 = 1.3;
/// Rule on a shorted output.
const SHORT: &str = "section-resistor-short";
/// Share of the rectifier's heat at the lowest mains that any way of cooling it leaves.
const HEAT_SHARE: f64 = 0.9;
/// By how much a regulator must pass too much at the best of a resistor's lesser values for no rectifier to mend that.
const RIPPLE_MISS: f64 = 1.3;

/// What a train that passes leaves to be judged.
pub(super) struct Passed<'a> {
    /// Heat of one package of the rectifier at the least, W.
    pub(super) heat_w: f64,
    /// Average current of one diode at the least, A.
    pub(super) average_a: f64,
    /// Ways of cooling the regulator that its heat leaves, cheapest first, each with its place; none of a raw rail.
    pub(super) coolings: Vec<(usize, CoolingOption<'a>)>,
}

/// Counts what a point misses: code, applied and allowed, utilisation.
type Note<'n> = &'n mut dyn FnMut(&str, (f64, f64), f64, &OperatingPoint);

/// What a few points tell.
pub(super) enum Quick<'a> {
    /// Nothing against it.
    Passes(Passed<'a>),
    /// It ripples too much.
    Ripples,
    /// Its output is too low by the drop over this resistance, Ω, or less of it lets a regulator reject more.
    Drops(f64),
    /// What joins the banks must be less by this factor.
    Heats(f64),
    /// What joins the banks carries too much ripple for any value of it.
    Boils,
    /// Its regulator is hotter than any way of cooling it bears.
    Burdens,
    /// Its first bank bears too much.
    First,
    /// Its regulator rejects too little, which another rectifier may mend.
    Misses,
    /// It fails otherwise, whatever the rectifier.
    Fails,
}

impl<'a> Search<'_, 'a> {
    /// Greatest resistance with which a resistor that is not flameproof bears a shorted output, Ω (nothing before a raw rail), where it
    /// does not; what it misses is counted.
    ///
    /// Before a raw rail: at the current of that power the first bank still has more than the resistor drops, so the short draws
    /// more. Before a regulator: at its limit.
    pub(super) fn burns(&self, train: &Train<'_, 'a>, link: Link<'a>, state: &mut State<'a>) -> Option<f64> {
        let Link::Resistor(choice) = link else { return None };
        let first = train.rectifying.ways.first()?;
        if choice.series.flameproof {
            return None;
        }
        let rating = left_of(self.asked.policy, SHORT, power_rating(self.asked, choice.series));
        let ohm = least_ohm(self.asked, choice);
        let supply = self.numbers_of(train, first.numbers, None);
        let hot = Vertex { thermal: Thermal::Hot, ..CURRENT };
        let mean_v = |amps: f64| {
            operate(&Supply { load_a: Drawn::steady(amps), ..supply }, hot).map_or(0.0, |point| point.mean_v)
        };
        let mut note = |watts: f64| {
            let part = (Position::SectionResistor, choice.series.common.id.0.as_str());
            let figures = (watts, rating, Unit::Watts);
            state.tally.number(SHORT, Depth::Reservoir, part, figures, watts / rating, Some(CURRENT));
        };
        let mut borne_ohm = 0.0;
        if let Some(stage) = train.fit.ready.option.regulation {
            let limit_a = stage.part.limit_max.0;
            let feeds_ohm = mean_v(limit_a) / limit_a;
            borne_ohm = rating / (limit_a * limit_a);
            if ohm < feeds_ohm {
                let watts = limit_a * limit_a * link.greatest_ohm(self.asked).min(feeds_ohm / HEAT_MISS);
                let burns = watts > rating * (1.0 + EQUALITY);
                if burns {
                    note(watts);
                }
                return burns.then_some(borne_ohm);
            }
        }
        let least_w = rating * HEAT_MISS;
        let amps = (least_w / ohm).sqrt();
        let burns = mean_v(amps) > amps * ohm;
        if burns {
            note(least_w);
        }
        burns.then_some(borne_ohm)
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

    /// Whether mean and ripple of a raw rail hold where the mains is low; how it ends where they do not.
    fn raw_holds(
        &self,
        train: &Train<'_, 'a>,
        laden: &OperatingPoint,
        note: Note<'_>,
    ) -> Result<(), Quick<'a>> {
        let (floor_v, most_v) = (self.floor_v(train.fit), train.fit.ready.option.raw_ripple_v);
        if laden.mean_v < floor_v * (1.0 - EQUALITY) {
            note("raw-voltage-window", (laden.mean_v, floor_v), floor_v / laden.mean_v, laden);
            return Err(Quick::Drops((floor_v - laden.mean_v) / laden.load_a.max(1e-9)));
        }
        let ripple_v = laden.crest_v - laden.valley_v;
        if ripple_v > most_v * (1.0 + EQUALITY) {
            note("raw-ripple", (ripple_v, most_v), ripple_v / most_v, laden);
            return Err(if ripple_v > CLEAR_MISS * most_v { Quick::Ripples } else { Quick::Fails });
        }
        Ok(())
    }

    /// Whether headroom and output ripple of a regulator hold where the mains is low, with the least drop-out that any cooling
    /// could bring; how it ends where they do not.
    fn regulator_holds(
        &self,
        seat: &RegulatorStage<'_>,
        link: Link<'a>,
        laden: &OperatingPoint,
        note: Note<'_>,
    ) -> Result<(), Quick<'a>> {
        let (least_v, most_v) = (self.headroom_v, self.asked.rail.ripple.0.0);
        // In the cold state the junction is as cold as the air, whatever cools it.
        let path = HeatPath::Direct(0.0);
        let path = (laden.vertex.thermal == Thermal::Cold).then_some(&path);
        let Some(drop_out) = seat.drop_out(path, laden) else { return Ok(()) };
        let headroom_v = seat.headroom_with(laden, drop_out.volts);
        if headroom_v < least_v * (1.0 - EQUALITY) {
            let utilisation = 1.0 + (least_v - headroom_v) / self.asked.rail.voltage.0;
            note("regulator-headroom", (headroom_v, least_v), utilisation, laden);
            return Err(Quick::Drops((least_v - headroom_v) / laden.load_a.max(1e-9)));
        }
        let Some(ripple_v) = seat.ripple_with(laden, drop_out.volts) else { return Ok(()) };
        if ripple_v <= most_v * (1.0 + EQUALITY) {
            return Ok(());
        }
        note("regulator-output-ripple", (ripple_v, most_v), ripple_v / most_v, laden);
        let raw_v = laden.crest_v - laden.valley_v;
        let whole_ohm = link.greatest_ohm(self.asked);
        // With less of a resistor as much more ripple stands higher, and more of it may be rejected.
        let eased = |less_ohm: f64| {
            let rippling_v = raw_v * whole_ohm / (whole_ohm - less_ohm);
            let more_v = less_ohm * laden.load_a - 0.5 * (rippling_v - raw_v);
            let passed_v = seat.ripple_of(headroom_v + more_v, rippling_v, drop_out.volts);
            (less_ohm, passed_v.unwrap_or(f64::INFINITY) / most_v)
        };
        let cuts = if matches!(link, Link::Resistor(_)) { CUTS } else { 1 };
        let tried: Vec<(f64, f64)> =
            (0..cuts).map(|cut| eased(whole_ohm * f64::from(cut) / f64::from(CUTS))).collect();
        let best = tried.iter().map(|&(_, over)| over).fold(f64::INFINITY, f64::min);
        Err(match tried.into_iter().find(|&(_, over)| over <= 1.0) {
            Some((less_ohm, _)) => Quick::Drops(less_ohm),
            None if best > RIPPLE_MISS => Quick::Ripples,
            None => Quick::Misses,
        })
    }

    /// Ways of cooling a regulator that its least heat leaves, each with its place; what forbids all is counted.
    fn coolings_left(
        &self,
        train: &Train<'_, 'a>,
        laden: &Supply,
        state: &mut State<'a>,
    ) -> Option<Vec<(usize, CoolingOption<'a>)>> {
        const CODE: &str = "regulator-junction-temperature";
        let (fit, ready) = (train.fit, train.fit.ready);
        let Some(stage) = &ready.option.regulation else { return Some(Vec::new()) };
        let supply = Supply { rectifier: train.rectifying.coolest, ..*laden };
        let warm = operate(&supply.lasting(Body::Heavy), DISSIPATION).ok()?;
        let heat_w = ready.heat_w(warm.mean_v);
        let peaks = supply.load_a.peaks().then(|| operate(&supply, DISSIPATION).ok()).flatten();
        let peak_w = peaks.map_or(heat_w, |point| ready.peak_heat_w(point.mean_v));
        let ways = ready.option.coolings.iter().enumerate();
        let bears = |(place, way): &(usize, &CoolingOption<'a>)| {
            fit.cooler().bears_all(*place, way, (heat_w, peak_w, None))
        };
        let left: Vec<_> = ways.filter(bears).map(|(place, way)| (place, *way)).collect();
        if left.is_empty() {
            let part = (Position::Regulator, stage.part.common.id.0.as_str());
            let most_w = fit.cooler().most_w();
            let limit_c = left_of(self.asked.policy, CODE, stage.part.junction_max.0);
            let utilisation = (heat_w.max(peak_w) / most_w.max(1e-9)).max(1.0 + 1e-6);
            let figures = (warm.air_c + (limit_c - warm.air_c) * utilisation, limit_c, Unit::Celsius);
            state.tally.number(CODE, Depth::Cooling, part, figures, utilisation, Some(DISSIPATION));
            return None;
        }
        Some(left)
    }

    /// The few points at which most fail: what the output needs where the mains is low, what banks and regulator bear where it
    /// is high. With the least and the greatest current of any bleeder.
    pub(super) fn quick_sectioned(
        &self,
        train: &Train<'_, 'a>,
        link: Link<'a>,
        (second, [least_a, most_a]): (&BankOption<'a>, [f64; 2]),
        state: &mut State<'a>,
    ) -> Quick<'a> {
        let Some(first) = train.rectifying.ways.first() else { return Quick::Fails };
        let section = Some(link.numbers(self.asked, second.reservoir));
        let bare = self.numbers_of(train, first.numbers, section);
        let part = (Position::SectionCapacitor, second.reservoir.part.common.id.0.as_str());
        let input_v = overshoot_of(&bare, Position::SectionCapacitor);
        let input_limit_v = train.fit.ready.option.input_limit_v;
        if train.fit.seat.is_some() && input_v > input_limit_v * (1.0 + EQUALITY) {
            let figures = (input_v, input_limit_v, Unit::Volts);
            let utilisation = input_v / input_limit_v;
            state.tally.number("regulator-input-voltage", Depth::Reservoir, part, figures, utilisation, None);
            return Quick::Fails;
        }
        let supply = Supply { load_a: bare.load_a.with_more(least_a), ..bare };
        let mut note =
            |code: &str, (applied, limit): (f64, f64), utilisation: f64, point: &OperatingPoint| {
                let figures = (applied, limit, Unit::Volts);
                state.tally.number(code, Depth::Reservoir, part, figures, utilisation, Some(point.vertex));
            };
        let mut hot = None;
        for (vertex, rectifier) in [(VALLEY_COLD, first.numbers), (VALLEY_HOT, train.rectifying.hottest)] {
            let Ok(laden) = operate(&Supply { rectifier, ..supply }, vertex) else { return Quick::Fails };
            let holds = match &train.fit.seat {
                None => self.raw_holds(train, &laden, &mut note),
                Some(seat) => self.regulator_holds(seat, link, &laden, &mut note),
            };
            if let Err(ended) = holds {
                return ended;
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
        let most = Supply { load_a: bare.load_a.with_more(most_a), ..bare };
        let Some(coolings) = self.coolings_left(train, &most, state) else { return Quick::Burdens };
        let packages = f64::from(diodes(self.topology)) / f64::from(supply.rectifier.elements_per_package);
        hot.map_or(Quick::Fails, |laden| {
            let (heat_w, average_a) = burden(&laden, packages);
            let (heat_w, average_a) = (HEAT_SHARE * heat_w, HEAT_SHARE * average_a);
            Quick::Passes(Passed { heat_w, average_a, coolings })
        })
    }
}
