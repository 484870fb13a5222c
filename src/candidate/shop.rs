//! The catalog as one requirement sees it: what may be used, what it scores, cheapest first.
//!
//! Knows nothing of circuits. Every list is sorted by score and then by part id, so that ties fall the same way everywhere.

use std::collections::BTreeMap;

use crate::{
    catalog::{
        BridgePart, Catalog, Choke, Common, CutOut, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter,
        InterfacePad, PartId, Regulator, ResistorSeries, SmallCapacitor, Transformer, Transistor,
    },
    requirement::Requirement,
};

use super::price;

/// Which price list a search goes by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum View<'v> {
    /// Each part ordered for its one position.
    Alone,
    /// The least that any sharing with other positions of any rail could make of it.
    Shared {
        /// Most pieces of each part, by id, that one supply could use; of a part that is not named no more than its own.
        most: &'v BTreeMap<String, u32>,
        /// Parts of which an order is paid for whoever takes them.
        paid: &'v BTreeMap<String, Paid>,
    },
}

/// An order that is paid for in any case, and what each piece of it adds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Paid {
    /// Pieces a supply that it covers at the least.
    pub least: u32,
    /// Score that every piece taken counts, whether covered or not.
    pub each: f64,
}

/// Most capacitors that one bank takes.
pub const COUNT_MAX: u32 = 8;
/// Most pass transistors beside one regulator.
pub const PASS_MAX: u32 = 8;
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
    /// Pass transistors.
    pub transistors: Vec<Priced<'a, Transistor>>,
    /// Filter chokes.
    pub chokes: Vec<Priced<'a, Choke>>,
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
    pub fn open(catalog: &'a Catalog, requirement: &Requirement, view: View<'_>) -> Self {
        let lists = Lists { requirement, view };
        // Of a doubler two banks.
        let banks = (2 * requirement.preferences.parallel_max).clamp(2, COUNT_MAX);
        Self {
            transformers: lists.of(&catalog.transformers, |part| &part.common, 1),
            diodes: lists.of(&catalog.diodes, |part| &part.common, 4),
            bridges: lists.of(&catalog.bridges, |part| &part.common, 1),
            electrolytics: lists.of(&catalog.electrolytics, |part| &part.common, banks),
            small_capacitors: lists.of(&catalog.small_capacitors, |part| &part.common, 1),
            regulators: lists.of(&catalog.regulators, |part| &part.common, 1),
            transistors: lists.of(&catalog.transistors, |part| &part.common, PASS_MAX),
            chokes: lists.of(&catalog.chokes, |part| &part.common, 1),
            sinks: lists.of(&catalog.sinks, |part| &part.common, 4),
            pads: lists.of(&catalog.pads, |part| &part.common, PASS_MAX + 2),
            fuses: lists.of(&catalog.fuses, |part| &part.common, 1),
            cut_outs: lists.of(&catalog.cut_outs, |part| &part.common, 1),
            limiters: lists.of(&catalog.limiters, |part| &part.common, 1),
            resistors: lists.of(&catalog.resistors, |part| &part.common, PASS_MAX),
        }
    }
}

impl<'a> Shop<'a> {
    /// Score of `count` pieces of a part, whatever its family; infinite where it is not on offer.
    pub fn score_of(&self, id: &PartId, count: u32) -> f64 {
        self.find(&id.0, count).map_or(f64::INFINITY, |(score, _)| score)
    }

    /// What every part has, of the part with an id.
    pub fn common(&self, id: &str) -> Option<&'a Common> {
        self.find(id, 1).map(|(_, common)| common)
    }

    fn find(&self, id: &str, count: u32) -> Option<(f64, &'a Common)> {
        fn of<'a, T>(list: &[Priced<'a, T>], id: &str, count: u32) -> Option<(f64, &'a Common)> {
            list.iter().find(|one| one.common.id.0 == id).map(|one| (one.score(count), one.common))
        }
        of(&self.transformers, id, count)
            .or_else(|| of(&self.diodes, id, count))
            .or_else(|| of(&self.bridges, id, count))
            .or_else(|| of(&self.electrolytics, id, count))
            .or_else(|| of(&self.small_capacitors, id, count))
            .or_else(|| of(&self.regulators, id, count))
            .or_else(|| of(&self.transistors, id, count))
            .or_else(|| of(&self.chokes, id, count))
            .or_else(|| of(&self.sinks, id, count))
            .or_else(|| of(&self.pads, id, count))
            .or_else(|| of(&self.fuses, id, count))
            .or_else(|| of(&self.cut_outs, id, count))
            .or_else(|| of(&self.limiters, id, count))
            .or_else(|| of(&self.resistors, id, count))
    }
}

/// How one list is made.
struct Lists<'r> {
    requirement: &'r Requirement,
    view: View<'r>,
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
            View::Shared { most, paid } => {
                if let Some(paid) = paid.get(&common.id.0) {
                    let bulk = price::bulk_score(common, &self.requirement.objective, count)?;
                    return Some(f64::from(count) * paid.each + bulk);
                }
                let most = most.get(&common.id.0).copied().unwrap_or(0);
                price::optimistic(common, self.requirement, count, most)
            }
        }
    }
}
