//! Fuse, inrush limiter and cut-out of a train that is otherwise complete.

use crate::stress::{assembly::Assembly, bench::Bench, registry::Group, verdict::Verdict};

use super::{
    leaf::{Completer, Fallen, SCORE_TIE},
    tally::{Depth, Tally},
};

impl<'a> Completer<'_, 'a> {
    /// The cheapest fuse, inrush limiter and cut-out that pass together.
    ///
    /// The limiter settles the surge, limiter and fuse settle the fuse, all three settle the faults: what fails early is not
    /// combined further.
    pub(super) fn protect(
        &self,
        bench: &mut Bench<'a>,
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let limiters = std::iter::once((None, 0.0))
            .chain(self.shop.limiters.iter().map(|priced| (Some(priced.part), priced.score(1))));
        let mut best: Option<(f64, Assembly<'a>)> = None;
        // Where no limiter tames the surge, the surge is the reason; any other failure is not the train's own.
        let mut surge = None;
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
                surge = surge.or(Some(self.fell.get()));
                continue;
            }
            surge = Some(Fallen::Otherwise);
            let fuses = std::iter::once((None, 0.0))
                .chain(self.shop.fuses.iter().map(|priced| (Some(priced.part), priced.score(1))));
            for (fuse, fuse_score) in fuses {
                let fused = limiter_score + fuse_score;
                if fused > bound(&best) + SCORE_TIE {
                    break;
                }
                bench.assembly.primary_fuse = fuse;
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
        self.fell.set(surge.unwrap_or(Fallen::Otherwise));
        let (score, assembly) = best?;
        bench.assembly = assembly;
        Some(score)
    }
}
