//! One candidate train, judged in full and completed with the cheapest parts around it that pass.
//!
//! Everything is judged at every vertex by the same rules that review uses.

use crate::{
    candidate::{rectifier::coolings, shop::Shop, stage::tab_may_touch},
    circuit::operate::{OperatingPoint, operate_nominal},
    stress::{
        assembly::{Assembly, Cooling},
        bench::{Asked, Bench, Refusal},
        position::Position,
        registry::{Group, rules},
        verdict::Verdict,
    },
};

use super::{
    tally::{Depth, Tally},
    vertices::named,
};

/// A complete rail that passes every rule at every vertex.
#[derive(Clone, Debug)]
pub struct Found<'a> {
    /// Parts.
    pub assembly: Assembly<'a>,
    /// Score in the price view of the search, loss included.
    pub score: f64,
    /// Loss at nominal mains and full load, W.
    pub loss_w: f64,
}

/// Differences of score below which two candidates count as equal and part ids decide.
pub const SCORE_TIE: f64 = 1e-9;

/// Part ids by position: decides between candidates of equal score.
pub fn identity(assembly: &Assembly<'_>) -> Vec<(Position, String, u64)> {
    assembly
        .lines()
        .iter()
        .map(|line| {
            let value = line.value.map_or(0, |ohms| ohms.0.to_bits());
            (line.position, line.common.id.0.clone(), value.wrapping_add(u64::from(line.count)))
        })
        .collect()
}

/// Whether the transformer states leakage inductance.
fn leaks(assembly: &Assembly<'_>) -> bool {
    assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some())
}

/// Judges and completes trains of one rail.
pub struct Completer<'s, 'a> {
    /// What is asked and allowed.
    pub asked: Asked<'a>,
    /// What may be bought.
    pub shop: &'s Shop<'a>,
}

/// The mean loss of a rail at one point: everything drawn from the mains less what the load gets, W.
pub fn loss_w(bench: &Bench<'_>, point: &OperatingPoint) -> f64 {
    let load_v = bench.output.map_or(point.mean_v, |output| output.set_v);
    let raw_w = point.mean_v * point.load_a;
    let delivered = load_v * bench.asked.rail.current_max.0;
    point.copper_w + point.iron_w + point.diode_w + point.bank_w + raw_w - delivered
}

impl<'a> Completer<'_, 'a> {
    /// The cheapest completion of a train that passes everything, if its score does not exceed `most`.
    ///
    /// `score` is what the train itself costs.
    pub fn complete(
        &self,
        train: Assembly<'a>,
        score: f64,
        most: f64,
        tally: &mut Tally,
    ) -> Option<Found<'a>> {
        let mut bench = match Bench::build_whole(self.asked, train) {
            Ok(bench) => bench,
            Err(refusal) => {
                tally.refusal(&refusal, Depth::Regulator, &train.transformer.common.id.0);
                return None;
            }
        };
        let mut scratch = Vec::with_capacity(32);
        if !self.passes(
            &bench,
            &[Group::Transformer, Group::Train, Group::Bleeder],
            Depth::Regulator,
            &mut scratch,
            tally,
        ) {
            return None;
        }
        let loss = loss_w(&bench, &operate_nominal(&bench.supply).ok()?);
        let mut total = score + self.asked.requirement.objective.loss * loss;
        total += self.cool(&mut bench, most - total, &mut scratch, tally)?;
        total += self.surround(&mut bench, most - total, &mut scratch, tally)?;
        total += self.protect(&mut bench, most - total, &mut scratch, tally)?;
        let all = [
            Group::Transformer,
            Group::Train,
            Group::Bleeder,
            Group::RegulatorCooling,
            Group::Around,
            Group::Surge,
            Group::Fuse,
            Group::Protection,
            Group::Whole,
        ];
        self.passes(&bench, &all, Depth::Rest, &mut scratch, tally).then_some(Found {
            assembly: bench.assembly,
            score: total,
            loss_w: loss,
        })
    }

    /// The bench, or a note of why there is none.
    fn bench(
        &self,
        built: Result<Bench<'a>, Refusal>,
        train: &Assembly<'a>,
        tally: &mut Tally,
    ) -> Option<Bench<'a>> {
        match built {
            Ok(bench) => Some(bench),
            Err(refusal) => {
                tally.refusal(&refusal, Depth::Regulator, &train.transformer.common.id.0);
                None
            }
        }
    }

    /// The regulator's cheapest cooling that passes; zero score for a raw rail.
    fn cool(
        &self,
        bench: &mut Bench<'a>,
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let Some(stage) = bench.assembly.regulation else { return Some(0.0) };
        let part = stage.part;
        let free: Option<(Option<Cooling<'a>>, f64)> = part.junction_air.map(|_| (None, 0.0));
        let sunk = coolings(self.shop, &part.common.package, 1, tab_may_touch(part));
        for (cooling, score) in
            free.into_iter().chain(sunk.into_iter().map(|(one, score)| (Some(one), score)))
        {
            if score > room + SCORE_TIE {
                break;
            }
            if let Some(regulation) = &mut bench.assembly.regulation {
                regulation.cooling = cooling;
            }
            if self.passes(bench, &[Group::RegulatorCooling], Depth::Cooling, scratch, tally) {
                return Some(score);
            }
        }
        None
    }

    /// The cheapest input capacitor, output capacitor and reverse diode that pass, each by itself.
    fn surround(
        &self,
        bench: &mut Bench<'a>,
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        if bench.assembly.regulation.is_none() {
            return Some(0.0);
        }
        let mut total = 0.0;
        for position in [Position::InputCapacitor, Position::OutputCapacitor] {
            let set = |bench: &mut Bench<'a>, part| {
                if let Some(regulation) = &mut bench.assembly.regulation {
                    match position {
                        Position::InputCapacitor => regulation.input = part,
                        _ => regulation.output = part,
                    }
                }
            };
            let options =
                self.shop.small_capacitors.iter().map(|priced| (Some(priced.part), priced.score(1)));
            total += self.first(bench, position, options, room - total, set, scratch, tally)?;
        }
        let set = |bench: &mut Bench<'a>, part| {
            if let Some(regulation) = &mut bench.assembly.regulation {
                regulation.reverse_diode = part;
            }
        };
        let options = self.shop.diodes.iter().map(|priced| (Some(priced.part), priced.score(1)));
        total += self.first(bench, Position::ReverseDiode, options, room - total, set, scratch, tally)?;
        Some(total)
    }

    /// Fills a position with nothing, or with the first part of a list for which the rules of that position hold.
    #[expect(
        clippy::too_many_arguments,
        reason = "one call shape for three positions of different part types"
    )]
    fn first<T: Copy>(
        &self,
        bench: &mut Bench<'a>,
        position: Position,
        options: impl Iterator<Item = (Option<T>, f64)>,
        room: f64,
        set: impl Fn(&mut Bench<'a>, Option<T>),
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        for (part, score) in std::iter::once((None, 0.0)).chain(options) {
            if score > room + SCORE_TIE {
                break;
            }
            set(bench, part);
            scratch.clear();
            for rule in rules().iter().filter(|rule| rule.group == Group::Around) {
                (rule.judge)(bench, scratch);
            }
            let failed = scratch.iter().find(|verdict| verdict.position() == position && !verdict.holds());
            match failed {
                None => return Some(score),
                Some(verdict) => tally.verdict(verdict, Depth::Rest, position.words()),
            }
        }
        None
    }

    /// The cheapest fuse, inrush limiter and cut-out that pass together.
    ///
    /// The limiter settles the surge, limiter and fuse settle the fuse, all three settle the faults: what fails early is not
    /// combined further.
    fn protect(
        &self,
        bench: &mut Bench<'a>,
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let limiters = std::iter::once((None, 0.0))
            .chain(self.shop.limiters.iter().map(|priced| (Some(priced.part), priced.score(1))));
        let mut best: Option<(f64, Assembly<'a>)> = None;
        for (limiter, limiter_score) in limiters {
            let bound = |best: &Option<(f64, Assembly<'a>)>| {
                best.as_ref().map_or(room, |(known, _)| room.min(*known))
            };
            if limiter_score > bound(&best) + SCORE_TIE {
                break;
            }
            bench.assembly.limiter = limiter;
            bench.assembly.cut_out = None;
            bench.assembly.primary_fuse = None;
            if !self.passes(bench, &[Group::Surge], Depth::Rest, scratch, tally) {
                continue;
            }
            for fuse in &self.shop.fuses {
                let fused = limiter_score + fuse.score(1);
                if fused > bound(&best) + SCORE_TIE {
                    break;
                }
                bench.assembly.primary_fuse = Some(fuse.part);
                bench.assembly.cut_out = None;
                if !self.passes(bench, &[Group::Fuse], Depth::Rest, scratch, tally) {
                    continue;
                }
                let cut_outs = std::iter::once((None, 0.0))
                    .chain(self.shop.cut_outs.iter().map(|priced| (Some(priced.part), priced.score(1))));
                for (cut_out, cut_out_score) in cut_outs {
                    let score = fused + cut_out_score;
                    // Of equal scores the first in this order stays: fewer kinds of part, then part ids.
                    let beaten = best.as_ref().is_some_and(|(known, _)| score >= *known);
                    if score > room + SCORE_TIE || beaten {
                        break;
                    }
                    bench.assembly.cut_out = cut_out;
                    if self.passes(bench, &[Group::Protection], Depth::Rest, scratch, tally) {
                        best = Some((score, bench.assembly));
                        break;
                    }
                }
            }
        }
        let (score, assembly) = best?;
        bench.assembly = assembly;
        Some(score)
    }

    /// Whether all rules of some groups hold; the first that does not is counted.
    fn passes(
        &self,
        bench: &Bench<'a>,
        groups: &[Group],
        depth: Depth,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> bool {
        for rule in rules().iter().filter(|rule| groups.contains(&rule.group)) {
            scratch.clear();
            (rule.judge)(bench, scratch);
            if let Some(verdict) = scratch.iter().find(|verdict| !verdict.holds()) {
                let part = bench
                    .assembly
                    .lines()
                    .iter()
                    .find(|line| line.position == verdict.position())
                    .map_or_else(String::new, |line| line.common.id.0.clone());
                tally.verdict(verdict, depth, &part);
                return false;
            }
        }
        true
    }
}
