//! The catalog as one requirement sees it: what may be used, what it scores, cheapest first.
//!
//! Knows nothing of circuits. Every list is sorted by score and then by part id, so that ties fall the same way everywhere.

use crate::{
    catalog::{
        BridgePart, Catalog, Common, CutOut, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter,
        InterfacePad, Regulator, ResistorSeries, SmallCapacitor, Transformer,
    },
    requirement::Requirement,
};

use super::price;

/// Which price list a search goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// Each part ordered for its one position.
    Alone,
    /// The least any sharing with other positions could make of it, up to this many pieces a supply.
    Optimistic {
        /// Most pieces of one part in one supply.
        most: u32,
    },
}

/// Most parts of one kind that one position takes.
pub const COUNT_MAX: u32 = 8;

/// A part with its scores.
#[derive(Clone, Debug)]
pub struct Priced<'a, T> {
    /// The part.
    pub part: &'a T,
    /// What every part has.
    pub common: &'a Common,
    /// Score of 1, 2, … pieces a supply; `None` from where nobody delivers.
    scores: Vec<f64>,
}

impl<T> Priced<'_, T> {
    /// Score of `count` pieces; infinite where nobody delivers them.
    pub fn score(&self, count: u32) -> f64 {
        count
            .checked_sub(1)
            .and_then(|index| self.scores.get(index as usize))
            .copied()
            .unwrap_or(f64::INFINITY)
    }
}

/// Everything that may be used, cheapest first.
#[derive(Clone, Debug)]
pub struct Shop<'a> {
    /// Price view of all scores.
    pub view: View,
    /// Mains transformers.
    pub transformers: Vec<Priced<'a, Transformer>>,
    /// Single diodes.
    pub diodes: Vec<Priced<'a, DiodePart>>,
    /// Bridges.
    pub bridges: Vec<Priced<'a, BridgePart>>,
    /// Electrolytics.
    pub electrolytics: Vec<Priced<'a, Electrolytic>>,
    /// Small capacitors.
    pub small_capacitors: Vec<Priced<'a, SmallCapacitor>>,
    /// Regulators.
    pub regulators: Vec<Priced<'a, Regulator>>,
    /// Heat sinks.
    pub sinks: Vec<Priced<'a, HeatSink>>,
    /// Interface pads.
    pub pads: Vec<Priced<'a, InterfacePad>>,
    /// Fuses.
    pub fuses: Vec<Priced<'a, Fuse>>,
    /// Cut-outs.
    pub cut_outs: Vec<Priced<'a, CutOut>>,
    /// Inrush limiters.
    pub limiters: Vec<Priced<'a, InrushLimiter>>,
    /// Resistor series.
    pub resistors: Vec<Priced<'a, ResistorSeries>>,
}

impl<'a> Shop<'a> {
    /// The catalog under a requirement, scored by a view.
    pub fn open(catalog: &'a Catalog, requirement: &Requirement, view: View) -> Self {
        let lists = Lists { requirement, view };
        let banks = requirement.preferences.parallel_max.clamp(1, COUNT_MAX);
        Self {
            view,
            transformers: lists.of(&catalog.transformers, |part| &part.common, 1),
            diodes: lists.of(&catalog.diodes, |part| &part.common, 4),
            bridges: lists.of(&catalog.bridges, |part| &part.common, 1),
            electrolytics: lists.of(&catalog.electrolytics, |part| &part.common, banks),
            small_capacitors: lists.of(&catalog.small_capacitors, |part| &part.common, 1),
            regulators: lists.of(&catalog.regulators, |part| &part.common, 1),
            sinks: lists.of(&catalog.sinks, |part| &part.common, 4),
            pads: lists.of(&catalog.pads, |part| &part.common, 4),
            fuses: lists.of(&catalog.fuses, |part| &part.common, 1),
            cut_outs: lists.of(&catalog.cut_outs, |part| &part.common, 1),
            limiters: lists.of(&catalog.limiters, |part| &part.common, 1),
            resistors: lists.of(&catalog.resistors, |part| &part.common, 1),
        }
    }
}

/// How one list is made.
struct Lists<'r> {
    requirement: &'r Requirement,
    view: View,
}

impl Lists<'_> {
    fn of<'a, T>(&self, parts: &'a [T], common: fn(&T) -> &Common, count_max: u32) -> Vec<Priced<'a, T>> {
        let mut priced: Vec<Priced<'a, T>> = parts
            .iter()
            .filter(|part| price::admissible(common(part), self.requirement))
            .map(|part| Priced {
                part,
                common: common(part),
                scores: (1..=count_max).map_while(|count| self.score(common(part), count)).collect(),
            })
            .filter(|one| !one.scores.is_empty())
            .collect();
        priced.sort_by(|a, b| a.score(1).total_cmp(&b.score(1)).then_with(|| a.common.id.cmp(&b.common.id)));
        priced
    }

    fn score(&self, common: &Common, count: u32) -> Option<f64> {
        match self.view {
            View::Alone => price::score(common, self.requirement, count),
            View::Optimistic { most } => price::optimistic(common, self.requirement, count, most),
        }
    }
}
