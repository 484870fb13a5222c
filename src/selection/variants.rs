//! Every way to cool, surround and protect a train that passes, within a margin of score: what several rails may share.
//!
//! Judges as `leaf` does, at every vertex; combines nothing over rails.

use crate::{
    candidate::{shop::Shop, stage::CoolingOption},
    catalog::{CutOut, DiodePart, Fuse, InrushLimiter, SmallCapacitor},
    circuit::operate::{OperatingPoint, operate_nominal},
    stress::{
        assembly::{Assembly, Cooling, Line, Regulation},
        bench::{Asked, Bench},
        loss,
        position::Position,
        registry::{Group, rules},
        verdict::Verdict,
    },
};

use super::leaf::{Found, SCORE_TIE};

/// One way to fill some positions.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fill<'a> {
    /// What is filled.
    pub(super) what: What<'a>,
    /// Score in the view of the shop.
    pub(super) score: f64,
}

/// Positions that are chosen together.
#[derive(Clone, Copy, Debug)]
pub(super) enum What<'a> {
    /// Cooling of the regulator.
    Cooling(Option<Cooling<'a>>),
    /// Input capacitor.
    Input(Option<&'a SmallCapacitor>),
    /// Output capacitor with reverse diode.
    Output(Option<&'a SmallCapacitor>, Option<&'a DiodePart>),
    /// Clamp diode.
    Clamp(Option<&'a DiodePart>),
    /// Inrush limiter, mains fuse and cut-out.
    Guard(Option<&'a InrushLimiter>, Option<&'a Fuse>, Option<&'a CutOut>),
}

impl<'a> What<'a> {
    /// An assembly with these positions filled so.
    pub(super) fn put(&self, mut assembly: Assembly<'a>) -> Assembly<'a> {
        let mut around = |change: &dyn Fn(&mut Regulation<'a>)| {
            if let Some(regulation) = &mut assembly.regulation {
                change(regulation);
            }
        };
        match *self {
            Self::Cooling(cooling) => around(&|one| one.cooling = cooling),
            Self::Input(part) => around(&|one| one.input = part),
            Self::Output(part, diode) => {
                around(&|one| (one.output, one.reverse_diode) = (part, diode));
            }
            Self::Clamp(diode) => around(&|one| one.clamp_diode = diode),
            Self::Guard(limiter, fuse, cut_out) => {
                (assembly.limiter, assembly.primary_fuse, assembly.cut_out) = (limiter, fuse, cut_out);
            }
        }
        assembly
    }

    /// Whether a position is one of those filled.
    fn fills(&self, position: Position) -> bool {
        match self {
            Self::Cooling(_) => matches!(position, Position::RegulatorSink | Position::RegulatorPad),
            Self::Input(_) => position == Position::InputCapacitor,
            Self::Output(..) => matches!(position, Position::OutputCapacitor | Position::ReverseDiode),
            Self::Clamp(_) => position == Position::ClampDiode,
            Self::Guard(..) => {
                matches!(position, Position::InrushLimiter | Position::PrimaryFuse | Position::CutOut)
            }
        }
    }
}

/// The lines of the positions that `what` fills.
pub(super) fn lines_of<'a>(what: &What<'a>, assembly: &Assembly<'a>) -> Vec<Line<'a>> {
    let mut lines = what.put(*assembly).lines();
    lines.retain(|line| what.fills(line.position));
    lines
}

/// What is tried on one train.
pub(super) struct Fitter<'s, 'a> {
    shop: &'s Shop<'a>,
    bench: Bench<'a>,
    nominal: OperatingPoint,
    scratch: Vec<Verdict>,
}

impl<'s, 'a> Fitter<'s, 'a> {
    /// For a train that passes; `None` where it cannot be put on the bench again.
    pub(super) fn of(asked: Asked<'a>, shop: &'s Shop<'a>, found: &Found<'a>) -> Option<Self> {
        let bench = Bench::build_whole(asked, found.assembly).ok()?;
        let nominal = operate_nominal(&bench.supply).ok()?;
        Some(Self { shop, bench, nominal, scratch: Vec::new() })
    }

    /// Whether an assembly that differs in cooling, surround and protection only passes every rule.
    pub(super) fn passes(&mut self, assembly: &Assembly<'a>) -> bool {
        self.bench.assembly = *assembly;
        rules().iter().all(|rule| self.rule(rule))
    }

    /// Loss of the inrush limiter of an assembly at nominal mains and full load, W.
    pub(super) fn limiter_loss_w(&mut self, assembly: &Assembly<'a>) -> f64 {
        self.bench.assembly = *assembly;
        loss::of_limiter_w(&self.bench, &self.nominal)
    }

    fn rule(&mut self, rule: &crate::stress::registry::Rule) -> bool {
        self.scratch.clear();
        (rule.judge)(&self.bench, &mut self.scratch);
        self.scratch.iter().all(Verdict::holds)
    }

    fn holds(&mut self, groups: &[Group]) -> bool {
        rules().iter().filter(|rule| groups.contains(&rule.group)).all(|rule| self.rule(rule))
    }

    /// Whether the rules around the regulator find nothing wrong at some positions.
    fn around(&mut self, positions: &[Position]) -> bool {
        rules().iter().filter(|rule| rule.group == Group::Around).all(|rule| {
            self.scratch.clear();
            (rule.judge)(&self.bench, &mut self.scratch);
            self.scratch.iter().all(|verdict| verdict.holds() || !positions.contains(&verdict.position()))
        })
    }

    /// For each set of positions every filling that passes and scores at most `room` above the cheapest.
    pub(super) fn fills(
        &mut self,
        found: &Found<'a>,
        coolings: &[CoolingOption<'a>],
        room: f64,
    ) -> Vec<Vec<Fill<'a>>> {
        let base = found.assembly;
        let mut sets = vec![self.guards(&base, room)];
        if base.regulation.is_some() {
            sets.push(self.coolings(&base, coolings, room));
            sets.push(self.inputs(&base, room));
            sets.push(self.outputs(&base, room));
            sets.push(self.clamps(&base, room));
        }
        self.bench.assembly = base;
        sets
    }

    fn coolings(&mut self, base: &Assembly<'a>, coolings: &[CoolingOption<'a>], room: f64) -> Vec<Fill<'a>> {
        let mut fills = Fills::new(room);
        for option in coolings {
            if option.score > fills.most() {
                break;
            }
            let what = What::Cooling(option.cooling);
            self.bench.assembly = what.put(*base);
            if self.holds(&[Group::RegulatorCooling]) {
                fills.push(what, option.score);
            }
        }
        fills.all
    }

    fn inputs(&mut self, base: &Assembly<'a>, room: f64) -> Vec<Fill<'a>> {
        let mut fills = Fills::new(room);
        let shop = self.shop;
        let options = shop.small_capacitors.iter().map(|one| (Some(one.part), one.score(1)));
        for (part, score) in std::iter::once((None, 0.0)).chain(options) {
            if score > fills.most() {
                break;
            }
            let what = What::Input(part);
            self.bench.assembly = what.put(*base);
            if self.around(&[Position::InputCapacitor]) {
                fills.push(what, score);
            }
        }
        fills.all
    }

    /// Where none is asked for, none is fitted.
    fn clamps(&mut self, base: &Assembly<'a>, room: f64) -> Vec<Fill<'a>> {
        let mut fills = Fills::new(room);
        let diodes = self.shop.diodes.iter().map(|one| (Some(one.part), one.score(1)));
        for (diode, score) in std::iter::once((None, 0.0)).chain(diodes) {
            if score > fills.most() {
                break;
            }
            let what = What::Clamp(diode);
            self.bench.assembly = what.put(*base);
            if self.around(&[Position::ClampDiode]) {
                fills.push(what, score);
            }
        }
        fills.all
    }

    fn outputs(&mut self, base: &Assembly<'a>, room: f64) -> Vec<Fill<'a>> {
        let mut fills = Fills::new(room);
        let shop = self.shop;
        let capacitors = shop.small_capacitors.iter().map(|one| (Some(one.part), one.score(1)));
        for (part, score) in std::iter::once((None, 0.0)).chain(capacitors) {
            if score > fills.most() {
                break;
            }
            self.bench.assembly = What::Output(part, None).put(*base);
            if !self.around(&[Position::OutputCapacitor]) {
                continue;
            }
            let diodes = shop.diodes.iter().map(|one| (Some(one.part), one.score(1)));
            for (diode, diode_score) in std::iter::once((None, 0.0)).chain(diodes) {
                let score = score + diode_score;
                if score > fills.most() {
                    break;
                }
                let what = What::Output(part, diode);
                self.bench.assembly = what.put(*base);
                if self.around(&[Position::ReverseDiode]) {
                    fills.push(what, score);
                }
            }
        }
        fills.done()
    }

    fn guards(&mut self, base: &Assembly<'a>, room: f64) -> Vec<Fill<'a>> {
        let mut fills = Fills::new(room);
        let shop = self.shop;
        let limiters = shop.limiters.iter().map(|one| (Some(one.part), one.score(1)));
        let loss_weight = self.bench.asked.requirement.objective.loss;
        for (limiter, price) in std::iter::once((None, 0.0)).chain(limiters) {
            if price > fills.most() {
                break;
            }
            let with = What::Guard(limiter, None, None).put(*base);
            let limiter_score = price + loss_weight * self.limiter_loss_w(&with);
            self.bench.assembly = with;
            if !self.holds(&[Group::Surge]) {
                continue;
            }
            let fuses = shop.fuses.iter().map(|one| (Some(one.part), one.score(1)));
            for (fuse, fuse_score) in std::iter::once((None, 0.0)).chain(fuses) {
                let fused = limiter_score + fuse_score;
                if fused > fills.most() {
                    break;
                }
                // Where a fuse can be had, going without is no variant.
                if fuse.is_none() != base.primary_fuse.is_none() {
                    continue;
                }
                self.bench.assembly = What::Guard(limiter, fuse, None).put(*base);
                if !self.holds(&[Group::Fuse]) {
                    continue;
                }
                let cut_outs = shop.cut_outs.iter().map(|one| (Some(one.part), one.score(1)));
                for (cut_out, score) in std::iter::once((None, 0.0)).chain(cut_outs) {
                    let score = fused + score;
                    if score > fills.most() {
                        break;
                    }
                    let what = What::Guard(limiter, fuse, cut_out);
                    self.bench.assembly = what.put(*base);
                    if self.holds(&[Group::Protection]) {
                        fills.push(what, score);
                    }
                }
            }
        }
        fills.done()
    }
}

/// Fillings within a margin of the cheapest.
struct Fills<'a> {
    room: f64,
    least: f64,
    all: Vec<Fill<'a>>,
}

impl<'a> Fills<'a> {
    fn new(room: f64) -> Self {
        Self { room, least: f64::INFINITY, all: Vec::new() }
    }

    fn most(&self) -> f64 {
        self.least + self.room + SCORE_TIE
    }

    fn push(&mut self, what: What<'a>, score: f64) {
        self.least = self.least.min(score);
        self.all.push(Fill { what, score });
    }

    fn done(mut self) -> Vec<Fill<'a>> {
        let most = self.most();
        self.all.retain(|fill| fill.score <= most);
        self.all
    }
}
