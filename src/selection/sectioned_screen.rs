//! The stages behind a source, and what a first bank leaves for a second section.

use crate::{
    candidate::bank::BankOption,
    circuit::{
        operate::{OperatingPoint, operate},
        supply::{Bank, Body, Rectifier, Section, Span, Supply},
    },
    numeric::few::Few,
    requirement::Regulation,
    stress::{convert::air_of, position::Position, ripple, verdict::Unit},
};

use super::{
    leaf::SCORE_TIE,
    list::Fed,
    ready::Fit,
    search::{Search, State},
    sectioned::Train,
    sectioned_ripple::Before,
    tally::Depth,
    vertices::{CURRENT, VALLEY_HOT},
};

/// By how much a first bank may miss as if nothing followed it and still pass: measured, a second section moves its mean and its
/// ripple current by less.
const ROOM: f64 = 1.05;
/// By how much the crest of a first bank rises with something behind it: measured, by less.
const CREST_ROOM: f64 = 1.005;
/// The greatest mean that a first bank may have with something behind it, by what it has without, V: a section only takes ripple
/// off it, and what is least rises.
pub(super) fn most_mean_v(alone: &OperatingPoint) -> f64 {
    (alone.mean_v * ROOM).min(alone.crest_v * CREST_ROOM)
}

/// The greatest bank of all, without ESR.
pub(super) fn greatest_bank(banks: &[&BankOption<'_>]) -> Bank {
    let farad = banks.iter().map(|bank| bank.bank.farad.high).fold(0.0, f64::max);
    Bank {
        farad: Span { low: farad, nominal: farad, high: farad },
        esr_ohm: Span { low: 0.0, nominal: 0.0, high: 0.0 },
        esr_cold_ratio: 1.0,
        farad_cold_ratio: 1.0,
    }
}

/// Whether whatever a stage with a regulator costs and asks the other costs and asks no more: the same part, with dearer resistors
/// that serve no better.
fn no_better(other: &Fit<'_, '_>, fit: &Fit<'_, '_>) -> bool {
    let (Some(seat), Some(own)) = (&other.seat, &fit.seat) else { return false };
    if !std::ptr::eq(seat.part(), own.part()) {
        return false;
    }
    let heats = |mean_v: f64| other.ready.heat_w(mean_v) <= fit.ready.heat_w(mean_v);
    other.ready.base < fit.ready.base - SCORE_TIE
        && other.need_v <= fit.need_v
        && seat.output.high_v <= own.output.high_v
        && seat.output.low_v >= own.output.low_v
        && other.load_a.high <= fit.load_a.high
        && heats(fit.need_v)
        && heats(2.0 * fit.need_v)
}

impl<'a> Search<'_, 'a> {
    /// Every stage that bears the no-load peak of a source and keeps the rules that both settle, the cheapest first; what
    /// forbids all of them is counted.
    pub(super) fn fits_behind<'t>(
        &'t self,
        fed: &Fed<'a>,
        peak_v: f64,
        state: &mut State<'a>,
    ) -> Vec<Fit<'t, 'a>> {
        let single = || {
            self.stages.iter().filter(|one| {
                let stage = one.option.regulation.as_ref();
                stage.is_none_or(|stage| stage.pass.is_none() && state.may_use(&stage.part.common))
            })
        };
        let most_v = single().map(|one| one.option.input_limit_v).fold(0.0, f64::max);
        let stages = single().filter(|one| peak_v <= one.option.input_limit_v * (1.0 + 1e-9));
        let mut fits: Vec<Fit<'t, 'a>> = stages.map(|ready| Fit::of(self.asked, ready, peak_v)).collect();
        if fits.is_empty() && most_v > 0.0 {
            let code = match self.asked.rail.regulation {
                Regulation::None => "raw-voltage-window",
                _ => "regulator-input-voltage",
            };
            let part = (Position::Transformer, fed.option.transformer.common.id.0.as_str());
            let figures = (peak_v, most_v, Unit::Volts);
            state.tally.number(code, Depth::Source, part, figures, peak_v / most_v, None);
        }
        fits.retain_mut(|fit| {
            fit.load_a.high <= fed.direct_a * (1.0 + 1e-9) && self.stage_holds(&fed.option, fit, state)
        });
        fits.sort_by(|a, b| {
            let score = |one: &Fit<'_, '_>| one.least_score(one.need_v);
            score(a).total_cmp(&score(b)).then_with(|| a.ready.index.cmp(&b.ready.index))
        });
        let beaten: Vec<bool> =
            fits.iter().map(|fit| fits.iter().any(|other| no_better(other, fit))).collect();
        let mut beaten = beaten.into_iter();
        fits.retain(|_| !beaten.next().unwrap_or(false));
        fits
    }

    /// Whether the regulator of a stage lacks a rating that some rule needs.
    pub(super) fn lacks(fit: &Fit<'_, 'a>, state: &State<'a>) -> bool {
        let stage = fit.ready.option.regulation.as_ref();
        stage.is_some_and(|one| state.lacking.contains(&(Position::Regulator, one.part.common.id.0.as_str())))
    }

    /// What the mean of the output of a section must not fall below, V: the lower end of a raw rail's window, or the least input
    /// that a regulator could do with.
    pub(super) fn floor_v(&self, fit: &Fit<'_, 'a>) -> f64 {
        let rail = self.asked.rail;
        if fit.ready.option.regulation.is_some() {
            fit.need_v
        } else {
            rail.voltage.0 * (1.0 - rail.tolerance.0)
        }
    }

    /// A train as plain numbers, without a bleeder.
    pub(super) fn numbers_of(
        &self,
        train: &Train<'_, 'a>,
        rectifier: Rectifier,
        section: Option<Section>,
    ) -> Supply {
        Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: train.fed.option.source,
            rectifier,
            bank: train.bank.bank,
            section,
            load_a: train.fit.load_a,
            air: air_of(self.asked),
            beside: Few::NONE,
        }
    }

    /// Whether the mean falls below what a stage needs with a rectifier even before the greatest bank of all, without ESR; what
    /// it misses is counted.
    pub(super) fn falls_short(
        &self,
        train: &Train<'_, 'a>,
        rectifier: Rectifier,
        banks: &[&BankOption<'a>],
        state: &mut State<'a>,
    ) -> bool {
        let floor_v = self.floor_v(train.fit);
        let supply = Supply { bank: greatest_bank(banks), ..self.numbers_of(train, rectifier, None) };
        let Ok(point) = operate(&supply, VALLEY_HOT) else { return true };
        let misses = most_mean_v(&point) < floor_v;
        if misses {
            let part = (Position::Transformer, train.fed.option.transformer.common.id.0.as_str());
            let figures = (point.mean_v, floor_v, Unit::Volts);
            let utilisation = floor_v / point.mean_v;
            let code = self.headroom_code();
            state.tally.number(code, Depth::Source, part, figures, utilisation, Some(VALLEY_HOT));
        }
        misses
    }

    /// What a first bank leaves for a second section. Where it cannot stand before one that is counted, and told whether it lets
    /// the mean sag too far, as every smaller one would.
    pub(super) fn before(&self, train: &Train<'_, 'a>, state: &mut State<'a>) -> Result<Before, bool> {
        let at_source = (Position::Transformer, train.fed.option.transformer.common.id.0.as_str());
        let at_bank = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
        let floor_v = self.floor_v(train.fit);
        let mut note = |code, depth, place, (applied, limit, unit), utilisation, vertex| {
            state.tally.number(code, depth, place, (applied, limit, unit), utilisation, vertex);
        };
        let first = train.rectifying.ways.first().ok_or(false)?;
        let rectifiers = (first.numbers, train.rectifying.hottest);
        let before = match self.left_by(train, train.bank.bank, rectifiers) {
            Ok(before) => before,
            Err(None) => return Err(true),
            Err(Some((mean_v, vertex))) => {
                let figures = (mean_v, floor_v, Unit::Volts);
                let code = self.headroom_code();
                note(code, Depth::Reservoir, at_bank, figures, floor_v / mean_v, Some(vertex));
                return Err(true);
            }
        };
        let supply = self.numbers_of(train, first.numbers, None);
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
        Ok(before)
    }
}
