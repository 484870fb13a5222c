//! Fuse, inrush limiter and cut-out of a train that is otherwise complete.

use crate::{
    candidate::shop::Priced,
    catalog::{Common, CutOut, Fuse, InrushLimiter},
    circuit::operate::OperatingPoint,
    stress::{assembly::Assembly, bench::Bench, loss, registry::Group, verdict::Verdict},
};

use super::{
    around::stands_in,
    fallen::Fallen,
    leaf::{Completer, SCORE_TIE},
    tally::{Depth, Tally},
};

/// What is looked for ahead of the transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fusing {
    /// A mains fuse, always.
    Fitted,
    /// None: asked for only where no design has a fuse that passes.
    Without,
}

/// The best protection so far: score, fuse, limiter and cut-out by id, the assembly.
struct Best<'a> {
    score: f64,
    ids: [String; 3],
    assembly: Assembly<'a>,
}

fn with_none<'a, T>(
    parts: &[Priced<'a, T>],
    usable: impl Fn(&Common) -> bool,
) -> Vec<(Option<&'a T>, &'a str, f64)> {
    let some = parts.iter().filter(|one| usable(one.common));
    std::iter::once((None, "", 0.0))
        .chain(some.map(|one| (Some(one.part), one.common.id.0.as_str(), one.score(1))))
        .collect()
}

impl<'a> Completer<'_, 'a> {
    /// The cheapest fuse, inrush limiter and cut-out that pass together; of equal scores the first by ids.
    ///
    /// The limiter settles the surge, limiter and fuse settle the fuse, all three settle the faults: what fails early is not
    /// combined further.
    pub(super) fn protect(
        &self,
        bench: &mut Bench<'a>,
        nominal: &OperatingPoint,
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let air = bench.supply.air;
        let usable = |common: &Common| stands_in(&air, common);
        let limiters: Vec<(Option<&'a InrushLimiter>, &str, f64)> = with_none(&self.shop.limiters, usable);
        let mut fuses: Vec<(Option<&'a Fuse>, &str, f64)> = with_none(&self.shop.fuses, usable);
        match self.fusing {
            Fusing::Fitted => drop(fuses.remove(0)),
            Fusing::Without => fuses.truncate(1),
        }
        let cut_outs: Vec<(Option<&'a CutOut>, &str, f64)> = with_none(&self.shop.cut_outs, usable);
        let mut best: Option<Best<'a>> = None;
        let most = |best: &Option<Best<'a>>| best.as_ref().map_or(room, |known| room.min(known.score));
        // Where no limiter tames the surge, the surge is the reason; any other failure is not the train's own.
        let mut surge: Option<Fallen<'a>> = None;
        for &(limiter, limiter_id, price) in &limiters {
            let tamed = matches!(surge, Some(Fallen::Otherwise));
            if price > most(&best) + SCORE_TIE && tamed {
                break;
            }
            bench.assembly.limiter = limiter;
            bench.assembly.cut_out = None;
            bench.assembly.primary_fuse = None;
            let limiter_score =
                price + self.asked.requirement.objective.loss * loss::of_limiter_w(bench, nominal);
            // One that is too dear here still tells whether the surge is the train's own: others may have room for it.
            let dear = limiter_score > most(&best) + SCORE_TIE;
            if dear && tamed {
                continue;
            }
            if !self.passes(bench, &[Group::Surge], Depth::Rest, scratch, tally) {
                surge = Some(match (surge, self.fell.get()) {
                    (None, fell) => fell,
                    (Some(before), fell) => before.milder(fell),
                });
                continue;
            }
            surge = Some(Fallen::Otherwise);
            if dear {
                continue;
            }
            for &(fuse, fuse_id, fuse_score) in &fuses {
                let fused = limiter_score + fuse_score;
                if fused > most(&best) + SCORE_TIE {
                    break;
                }
                bench.assembly.primary_fuse = fuse;
                bench.assembly.cut_out = None;
                if !self.passes(bench, &[Group::Fuse], Depth::Rest, scratch, tally) {
                    continue;
                }
                for &(cut_out, cut_out_id, cut_out_score) in &cut_outs {
                    let score = fused + cut_out_score;
                    if score > most(&best) + SCORE_TIE {
                        break;
                    }
                    let ids = [fuse_id, limiter_id, cut_out_id];
                    let later = best.as_ref().is_some_and(|known| {
                        score >= known.score - SCORE_TIE && ids >= known.ids.each_ref().map(String::as_str)
                    });
                    if later {
                        continue;
                    }
                    bench.assembly.cut_out = cut_out;
                    if self.passes(bench, &[Group::Protection], Depth::Rest, scratch, tally) {
                        let ids = ids.map(str::to_owned);
                        best = Some(Best { score, ids, assembly: bench.assembly });
                    }
                }
            }
        }
        self.fell.set(surge.unwrap_or(Fallen::Otherwise));
        let best = best?;
        bench.assembly = best.assembly;
        Some(best.score)
    }
}
