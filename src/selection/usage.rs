//! How many pieces of each part a rail could use within a score: what other rails may hope to share.
//!
//! Bounds only: a part that is named here may still fit nowhere.

use std::collections::BTreeMap;

use crate::{
    catalog::{Common, PartId},
    stress::assembly::{Cooling, RectifierPart, Regulation, diodes_bought},
};

use super::{bounds::Opened, keep::Wish, leaf::SCORE_TIE, protect::Fusing, search::Search};

/// Most pieces of each part, by id.
pub(super) type Usage = BTreeMap<String, u32>;

/// Pieces of one part by position; what stands in several positions adds up.
#[derive(Default)]
struct Places<'a>(BTreeMap<(&'a PartId, u8), u32>);

impl<'a> Places<'a> {
    fn put(&mut self, common: &'a Common, position: u8, count: u32) {
        let known = self.0.entry((&common.id, position)).or_default();
        *known = (*known).max(count);
    }

    fn cooling(&mut self, cooling: Option<Cooling<'a>>, position: u8, count: u32) {
        if let Some(cooling) = cooling {
            self.put(&cooling.sink.common, position, count);
            self.put(&cooling.pad.common, position, count);
        }
    }

    /// A regulator with its pass transistors, the limit transistor among them.
    fn stage(&mut self, regulation: &Regulation<'a>) {
        self.put(&regulation.part.common, 3, 1);
        if let Some(pass) = &regulation.pass {
            self.put(&pass.part.common, 3, pass.count);
            self.put(&pass.limiter.common, 4, 1);
            self.put(&pass.ballast.series.common, 7, pass.count);
            self.put(&pass.drive.series.common, 8, 1);
        }
    }

    /// Its sink, and a pad under each part on it.
    fn stage_cooling(&mut self, regulation: &Regulation<'a>, cooling: Option<Cooling<'a>>) {
        if let Some(cooling) = cooling {
            self.put(&cooling.sink.common, 3, 1);
            self.put(&cooling.pad.common, 3, regulation.pass.map_or(1, |pass| pass.count + 1));
        }
    }

    fn sum(self) -> Usage {
        let mut usage = Usage::new();
        for ((id, _), count) in self.0 {
            *usage.entry(id.0.clone()).or_default() += count;
        }
        usage
    }
}

impl<'a> Search<'_, 'a> {
    /// Most pieces of each part that any train up to a score could use.
    ///
    /// Behind each source the rest costs at least its bound; a part that costs more than the cheapest in its position leaves
    /// that much less.
    pub(super) fn usage(&self, most: f64, fusing: Fusing) -> Usage {
        if most.is_infinite() {
            return self.listed_usage();
        }
        let mut state = self.state(Wish::Any, most, fusing);
        let mut places = Places::default();
        for fed in &self.sources {
            if let Some(opened) = self.open(fed, &mut state)
                && opened.bound <= most + SCORE_TIE
            {
                self.behind(&opened, most - opened.bound + SCORE_TIE, &mut places);
            }
        }
        places.sum()
    }

    /// Most pieces of each part by the lists alone.
    fn listed_usage(&self) -> Usage {
        let mut places = Places::default();
        for fed in &self.sources {
            places.put(&fed.option.transformer.common, 0, 1);
        }
        for one in &self.rectifiers {
            let count = self.packages(one.part);
            places.put(one.part.common(), 1, count);
            for way in &one.ways {
                places.cooling(way.cooling, 1, count);
            }
        }
        for bank in &self.banks {
            places.put(&bank.reservoir.part.common, 2, bank.reservoir.count);
        }
        for ready in &self.stages {
            let Some(regulation) = &ready.option.regulation else { continue };
            places.stage(regulation);
            for option in &ready.option.coolings {
                places.stage_cooling(regulation, option.cooling);
            }
        }
        self.around(&mut places, f64::INFINITY, f64::INFINITY, 0.0);
        places.sum()
    }

    /// Packages of a rectifier.
    fn packages(&self, part: RectifierPart<'_>) -> u32 {
        match part {
            RectifierPart::Bridge(_) => 1,
            RectifierPart::Diodes(_) => diodes_bought(self.topology),
        }
    }

    /// Adds what could surround and protect a train: capacitors and diodes up to `around`, the rest up to `room` beyond the
    /// cheapest.
    fn around(&self, places: &mut Places<'a>, room: f64, around: f64, fuse_score: f64) {
        let regulated = self.stages.iter().any(|ready| ready.option.regulation.is_some());
        if regulated {
            for one in self.shop.small_capacitors.iter().take_while(|one| one.score(1) <= around) {
                places.put(one.common, 4, 2);
            }
            for one in self.shop.diodes.iter().take_while(|one| one.score(1) <= around) {
                places.put(one.common, 4, 1);
            }
        }
        for one in self.shop.fuses.iter().take_while(|one| one.score(1) - fuse_score <= room) {
            places.put(one.common, 5, 1);
        }
        for one in self.shop.limiters.iter().take_while(|one| one.score(1) <= room) {
            places.put(one.common, 5, 1);
        }
        for one in self.shop.cut_outs.iter().take_while(|one| one.score(1) <= room) {
            places.put(one.common, 5, 1);
        }
        let set =
            self.stages.iter().any(|ready| ready.option.regulation.is_some_and(|one| one.set.is_some()));
        let load = self
            .stages
            .iter()
            .any(|ready| ready.option.regulation.is_some_and(|one| one.minimum_load.is_some()));
        let resistors = 1 + 2 * u32::from(set) + u32::from(load);
        for one in &self.shop.resistors {
            places.put(one.common, 6, resistors);
        }
    }

    /// Adds what could follow a source for `room` more than its bound.
    fn behind(&self, opened: &Opened<'_, 'a>, room: f64, places: &mut Places<'a>) {
        places.put(&opened.source.transformer.common, 0, 1);
        for one in &self.rectifiers {
            if one.least_score() - self.least_rectifier > room {
                continue;
            }
            let count = self.packages(one.part);
            places.put(one.part.common(), 1, count);
            for way in &one.ways {
                if one.score + way.score - self.least_rectifier <= room {
                    places.cooling(way.cooling, 1, count);
                }
            }
        }
        let least_bank = opened.banks.first().map_or(0.0, |bank| bank.score);
        for bank in opened.banks.iter().take_while(|bank| bank.score - least_bank <= room) {
            places.put(&bank.reservoir.part.common, 2, bank.reservoir.count);
        }
        let mut around_score: f64 = 0.0;
        for ready in &opened.ready {
            if ready.least_score(opened.mean_v) - opened.stage_score > room {
                continue;
            }
            around_score = around_score.max(ready.base - ready.option.score);
            let Some(regulation) = &ready.option.regulation else { continue };
            places.stage(regulation);
            for option in &ready.option.coolings {
                if ready.base + option.score - opened.stage_score > room {
                    break;
                }
                places.stage_cooling(regulation, option.cooling);
            }
        }
        self.around(places, room, room + around_score, opened.fuse_score);
    }
}
