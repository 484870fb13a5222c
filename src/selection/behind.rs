//! Everything behind one source: rectifiers, banks and stages, each loop ended as soon as nothing after it can be better.
//!
//! Builds nothing: a train that passes where most fail goes on to be judged in full.

use crate::{
    quantity::Celsius,
    stress::{convert::air_of, position::Position, verdict::Unit},
};

use super::{
    bounds::{Opened, suits},
    memory::{Memory, Place},
    quick::Train,
    ready::Fit,
    rectifying::Rectifying,
    search::{Search, State},
    tally::Depth,
};

/// What was tried of a source and a rectifier: everything that may be wished for, or no more than the first pass grants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tried {
    All,
    Some,
}

impl<'a> Search<'_, 'a> {
    /// Everything behind one source that could be wished for, with every rectifier or with some by their places.
    ///
    /// Gives the places of the rectifiers that were left before all was tried.
    pub(super) fn source(
        &self,
        opened: &Opened<'_, 'a>,
        places: Option<&[usize]>,
        state: &mut State<'a>,
    ) -> Vec<usize> {
        let mut left = Vec::new();
        let mut fits: Vec<Fit<'_, 'a>> =
            opened.ready.iter().map(|ready| Fit::of(self.asked, ready, opened.peak_v)).collect();
        fits.retain_mut(|fit| {
            self.magnetises(opened, fit, state) && self.stage_holds(opened.source, fit, state)
        });
        let reverse_v = self.reverse_v(opened.peak_v);
        let without = opened.bound - self.least_rectifier;
        let mut memory = Memory::default();
        for (place, rectifying) in self.rectifiers.iter().enumerate() {
            if places.is_some_and(|places| !places.contains(&place)) {
                continue;
            }
            let id = &rectifying.part.common().id.0;
            if without + rectifying.score > state.bound() {
                break;
            }
            if without + rectifying.least_score() > state.bound()
                || state.lacking.contains(&(Position::Rectifier, id.as_str()))
                || state.only.is_some_and(|only| only != id)
            {
                continue;
            }
            let limit_v = rectifying.reverse_limit_v;
            if reverse_v > limit_v * (1.0 + 1e-9) {
                let part = (Position::Rectifier, id.as_str());
                let figures = (reverse_v, limit_v, Unit::Volts);
                let code = "rectifier-reverse-voltage";
                state.tally.number(code, Depth::Source, part, figures, reverse_v / limit_v, None);
                continue;
            }
            if self.pair(opened, &fits, rectifying, &mut memory, state) == Tried::Some {
                left.push(place);
            }
        }
        left
    }

    fn pair(
        &self,
        opened: &Opened<'_, 'a>,
        fits: &[Fit<'_, 'a>],
        rectifying: &Rectifying<'a>,
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> Tried {
        let Some(first) = rectifying.ways.first() else { return Tried::All };
        let line = first.numbers.line.at(Celsius(air_of(self.asked).cold_c));
        let feed = self.feed(opened.source, line.threshold.0, line.slope.0);
        let needs = fits.iter().map(|fit| fit.need_v).filter(|&need_v| feed.can_hold(need_v));
        let Some(need_v) = needs.reduce(f64::min) else { return Tried::All };
        let numbers = (&first.numbers, &rectifying.coolest);
        let need = (need_v, (feed.least_farad(need_v), opened.warm_a));
        let partial = opened.source.score + rectifying.least_score() + opened.rest;
        let banks = (&opened.limits, opened.banks.as_slice(), state.bound() - partial - opened.stage_score);
        let Some(least) = self.least(opened.source, numbers, need, banks, state) else { return Tried::All };
        let mean_v = least.mean_v;
        // Cheapest first, each with the least that bears its heat.
        let mut ranked: Vec<(f64, &Fit<'_, 'a>)> = fits
            .iter()
            .filter(|fit| feed.can_hold(fit.need_v))
            .map(|fit| (fit.least_score(mean_v), fit))
            .filter(|(score, _)| score.is_finite())
            .collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(least_stage, _)) = ranked.first() else {
            self.note_heat(&opened.ready, least.mean_v, state);
            return Tried::All;
        };
        let ranked_least = |figure: fn(&Fit<'_, 'a>) -> f64| {
            ranked.iter().map(|(_, fit)| figure(fit)).fold(f64::INFINITY, f64::min)
        };
        let least_need_v = ranked_least(|fit| fit.need_v);
        let least_load_a = ranked_least(|fit| fit.load_a.high);
        memory.next_rectifier();
        let mut tries = 0;
        for (bank_index, &bank) in opened.banks.iter().enumerate().filter(|(_, bank)| suits(bank, &least)) {
            if partial + bank.score + least_stage > state.bound() {
                break;
            }
            if state.lacking.contains(&(Position::Reservoir, bank.reservoir.part.common.id.0.as_str())) {
                continue;
            }
            if memory.refuses(Place::both(&bank.bank, line, least_load_a), least_need_v) {
                continue;
            }
            memory.bank_dead = false;
            for &(stage_score, fit) in &ranked {
                if memory.bank_dead || partial + bank.score + stage_score > state.bound() {
                    break;
                }
                let regulator = fit.ready.option.regulation.as_ref();
                let lacks = |position, part: &'a str| state.lacking.contains(&(position, part));
                if lacks(Position::Rectifier, &rectifying.part.common().id.0)
                    || regulator.is_some_and(|one| lacks(Position::Regulator, &one.part.common.id.0))
                {
                    continue;
                }
                let partial = partial + bank.score;
                let train = Train { opened, rectifying, bank, bank_index, fit, partial };
                if let Some((places, coolings)) = self.quick(&train, memory, state) {
                    self.train(&train, (places, &coolings), memory, state);
                    tries += 1;
                    if tries >= state.tries_max {
                        return Tried::Some;
                    }
                }
            }
        }
        Tried::All
    }
}
