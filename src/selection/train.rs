//! A train that passed where most fail, with every bleeder and every cooling of its rectifier.

use crate::{
    candidate::{source::SourceOption, stage::CoolingOption},
    stress::{
        assembly::{Assembly, Regulation, Reservoir, Section},
        bench::{Bench, numbers},
        known::Known,
        position::Position,
    },
};

use super::{
    around::{Around, around, stage_fault},
    cooler::short_bears_w,
    fallen::{Blocks, Fallen},
    leaf::Completer,
    memory::{Memory, Places},
    quick::Train,
    ready::Fit,
    search::{Search, State},
    tally::Depth,
};

/// What stands around a raw rail.
const NOTHING: Around<'static> =
    Around { input: None, output: None, reverse_diode: None, clamp_diode: None, score: 0.0 };

impl<'a> Search<'_, 'a> {
    /// A stage behind its source, and a second section if there is one, without operating points; `None` for a raw rail or parts
    /// that make no numbers.
    fn stage_bench(
        &self,
        source: &SourceOption<'a>,
        fit: &Fit<'_, 'a>,
        before: Option<(Reservoir<'a>, Section<'a>)>,
    ) -> Option<Bench<'a>> {
        let blank = self.blank?;
        let assembly = Assembly {
            transformer: source.transformer,
            primary: source.primary,
            wiring: source.wiring,
            mates: source.seated(&self.mates),
            bleeder: None,
            regulation: Some(Regulation { cooling: fit.ready.best_pad, ..fit.ready.option.regulation? }),
            reservoir: before.map_or(blank.reservoir, |(reservoir, _)| reservoir),
            section: before.map(|(_, section)| section),
            ..blank
        };
        let (supply, output, auxiliary) = numbers(self.asked, &assembly).ok()?;
        Some(Bench {
            asked: self.asked,
            assembly,
            supply,
            output,
            auxiliary,
            points: Vec::new(),
            lasting: None,
            known: Known::default(),
        })
    }

    /// Whether a stage keeps the rules that it and the source settle.
    pub(super) fn stage_holds(
        &self,
        source: &SourceOption<'a>,
        fit: &mut Fit<'_, 'a>,
        state: &mut State<'a>,
    ) -> bool {
        let Some(bench) = self.stage_bench(source, fit, None) else { return true };
        let Some(verdict) = stage_fault(&bench, &mut Vec::new()) else {
            let coolings = &fit.ready.option.coolings;
            fit.cooler = short_bears_w(&bench).map(|most_w| fit.ready.cooler.with(coolings, most_w));
            return true;
        };
        let part = bench.assembly.regulation.map_or("", |one| one.part.common.id.0.as_str());
        state.tally.verdict(&verdict, Depth::Rectifier, part);
        false
    }

    /// What stands around a stage behind its source; `None` where nothing passes.
    fn around_of(
        &self,
        source: &SourceOption<'a>,
        fit: &Fit<'_, 'a>,
        state: &mut State<'a>,
    ) -> Option<Around<'a>> {
        *fit.around.get_or_init(|| self.around_behind(source, fit, None, state))
    }

    /// The same behind a second section.
    pub(super) fn around_section(
        &self,
        source: &SourceOption<'a>,
        fit: &Fit<'_, 'a>,
        (reservoir, section): (Reservoir<'a>, Section<'a>),
        state: &mut State<'a>,
    ) -> Option<Around<'a>> {
        match section {
            // Behind a choke the input may rise above the peak, the more the smaller the first bank.
            Section::Clc(..) => self.around_behind(source, fit, Some((reservoir, section)), state),
            Section::Crc(..) | Section::ChokeInput(_) => self.around_of(source, fit, state),
        }
    }

    fn around_behind(
        &self,
        source: &SourceOption<'a>,
        fit: &Fit<'_, 'a>,
        before: Option<(Reservoir<'a>, Section<'a>)>,
        state: &mut State<'a>,
    ) -> Option<Around<'a>> {
        if fit.ready.option.regulation.is_none() {
            return Some(NOTHING);
        }
        let mut bench = self.stage_bench(source, fit, before)?;
        let tally = &mut state.tally;
        let mut miss = |verdict: &_, part: &str| tally.verdict(verdict, Depth::Reservoir, part);
        around(self.shop, &mut bench, &mut Vec::new(), &mut miss)
    }

    /// The train with each bleeder and each cooling of the rectifier, cheapest first.
    pub(super) fn train(
        &self,
        train: &Train<'_, 'a>,
        (places, coolings): (Places, &[CoolingOption<'a>]),
        memory: &mut Memory,
        state: &mut State<'a>,
    ) {
        let Train { opened, rectifying, bank, bank_index, fit, .. } = *train;
        let (source, stage) = (opened.source, &fit.ready.option);
        let Some(around) = self.around_of(source, fit, state) else { return };
        let base = source.score + rectifying.score + bank.score + stage.score + around.score;
        // What quick left room for: cooling, fuse.
        let rest = places.rest;
        let falls = rectifying.drop_falls(self.asked, places.peak_a * PEAK_MARGIN);
        let mut blocks = Blocks::default();
        for bleeding in opened.bleeders(self, bank_index) {
            for (index, way) in rectifying.ways.iter().enumerate() {
                let score = base + bleeding.score + way.score;
                if score + rest > state.bound() {
                    break;
                }
                let place = (index, bleeding.amps);
                let floor_w = if falls { blocks.least_heat_w(rectifying, index) } else { 0.0 };
                if !rectifying.bears(self.asked, way, places.rectifier_w.max(floor_w), places.average_a)
                    || blocks.block(rectifying, place, None)
                {
                    continue;
                }
                let left: Vec<(usize, CoolingOption<'a>)> = coolings
                    .iter()
                    .copied()
                    .enumerate()
                    .filter(|(cooling, _)| !blocks.block(rectifying, place, Some(*cooling)))
                    .collect();
                if left.is_empty() && !coolings.is_empty() {
                    continue;
                }
                let assembly = Assembly {
                    transformer: source.transformer,
                    primary: source.primary,
                    wiring: source.wiring,
                    topology: self.topology,
                    rectifier: rectifying.part,
                    rectifier_cooling: way.cooling,
                    section: None,
                    reservoir: bank.reservoir,
                    bleeder: bleeding.choice,
                    regulation: stage.regulation.map(|one| around.about(one)),
                    primary_fuse: None,
                    limiter: None,
                    secondary_fuse: None,
                    cut_out: None,
                    mates: source.seated(&self.mates),
                };
                let completer = Completer::of(self.asked, self.shop, state.fusing);
                let bound = state.bound();
                state.judge_one();
                match completer.complete(&assembly, &left, score, bound, &mut state.tally) {
                    Ok(found) => state.keep(found),
                    Err(Fallen::Lacking(position, part)) if main(position) => {
                        state.lacking.insert((position, part));
                        return;
                    }
                    Err(fallen) => {
                        let coolest = rectifying.coolest_way == Some(index);
                        if let Fallen::Worked { code, utilisation, .. } = fallen {
                            memory.learn(places, bleeding.amps, coolest, code, utilisation);
                        }
                        blocks.add(&fallen, falls, place, None);
                        blocks.heat(index, completer.rectifier_w.get());
                        for (cooling, fallen) in completer.coolings_fell.borrow().iter() {
                            blocks.add(fallen, falls, place, Some(*cooling));
                        }
                    }
                }
            }
        }
    }
}

/// What the greatest current of a diode may be above that at the corner where it is expected.
const PEAK_MARGIN: f64 = 1.2;

/// Whether a part in this position is the same for every completion of a train.
fn main(position: Position) -> bool {
    matches!(
        position,
        Position::Transformer | Position::Rectifier | Position::Reservoir | Position::Regulator
    )
}
