//! One candidate train, judged in full and completed with the cheapest parts around it that pass.
//!
//! Everything is judged at every vertex by the same rules that review uses.

use std::cell::Cell;

use crate::{
    candidate::{shop::Shop, stage::CoolingOption},
    circuit::{
        corner::{End, Thermal},
        operate::{OperatingPoint, operate_nominal},
    },
    stress::{
        assembly::Assembly,
        bench::{Asked, Bench, Refusal, left_of},
        position::Position,
        registry::{Group, rules},
        regulator_point::{headroom_bound, output_ripple_bound},
        stage::load_high_a,
        verdict::{EQUALITY, Unit, Verdict},
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
    /// Power the rectifier delivers at nominal mains and full load, W.
    pub raw_w: f64,
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

/// Why a train could not be completed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fallen<'a> {
    /// A part states no rating that a rule needs; no other train with it in that position can do better.
    Lacking(Position, &'a str),
    /// A stress of the coupled choice was too great.
    Worked {
        /// Code of its rule.
        code: &'static str,
        /// Its utilisation.
        utilisation: f64,
    },
    /// Anything else.
    Otherwise,
}

/// Headroom asked for where the policy names none, V. Common practice, no source; the rule has the same.
pub(super) const HEADROOM_V: f64 = 0.5;

/// Judges and completes trains of one rail.
pub struct Completer<'s, 'a> {
    /// What is asked and allowed.
    pub asked: Asked<'a>,
    /// What may be bought.
    pub shop: &'s Shop<'a>,
    /// What the last train fell by.
    pub fell: Cell<Fallen<'a>>,
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
    /// `score` is what the train itself costs, `coolings` every way to cool its regulator, cheapest first. The vertices
    /// where most fail are looked at first: what fails there, or is too dear there, is so at all of them.
    pub fn complete(
        &self,
        train: Assembly<'a>,
        coolings: &[CoolingOption<'a>],
        score: f64,
        most: f64,
        tally: &mut Tally,
    ) -> Result<Found<'a>, Fallen<'a>> {
        let mut scratch = Vec::with_capacity(32);
        self.complete_or_not(train, coolings, score, most, &mut scratch, tally).ok_or_else(|| self.fell.get())
    }

    fn complete_or_not(
        &self,
        train: Assembly<'a>,
        coolings: &[CoolingOption<'a>],
        score: f64,
        most: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<Found<'a>> {
        let few = Self::bench(Bench::build(self.asked, train, named(leaks(&train))), &train, tally)?;
        self.fill(few, coolings, score, most, scratch, tally)?;
        let whole = Self::bench(Bench::build_whole(self.asked, train), &train, tally)?;
        self.fill(whole, coolings, score, most, scratch, tally)
    }

    /// The cheapest parts around a train that pass every rule at the points of the bench.
    fn fill(
        &self,
        mut bench: Bench<'a>,
        coolings: &[CoolingOption<'a>],
        score: f64,
        most: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<Found<'a>> {
        let coupled = [Group::Transformer, Group::Train, Group::Bleeder];
        if !self.passes(&bench, &coupled, Depth::Regulator, scratch, tally) {
            return None;
        }
        let nominal = operate_nominal(&bench.supply).ok()?;
        let loss = loss_w(&bench, &nominal);
        let raw_w = nominal.mean_v * nominal.load_a;
        let mut total = score + self.asked.requirement.objective.loss * loss;
        total += self.cool(&mut bench, coolings, most - total, scratch, tally)?;
        total += self.surround(&mut bench, most - total, scratch, tally)?;
        total += self.protect(&mut bench, most - total, scratch, tally)?;
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
        self.passes(&bench, &all, Depth::Rest, scratch, tally).then_some(Found {
            assembly: bench.assembly,
            score: total,
            loss_w: loss,
            raw_w,
        })
    }

    /// The bench, or a note of why there is none.
    fn bench(
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
        coolings: &[CoolingOption<'a>],
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let (Some(stage), Some(output)) = (bench.assembly.regulation, bench.output) else { return Some(0.0) };
        let limit_c = left_of(self.asked.policy, "regulator-junction-temperature", stage.part.junction_max.0);
        // Any output is at most the set value, so the rules find at least this heat at some point.
        let hot = bench.points.iter().filter(|point| point.vertex.thermal == Thermal::Hot);
        let (heat_w, air_c) = hot
            .map(|point| ((point.mean_v - output.set_v).max(0.0) * load_high_a(self.asked.rail), point))
            .filter(|(_, point)| point.vertex.load == End::High)
            .fold(
                (0.0, bench.supply.air.hot_c),
                |most: (f64, f64), (heat, point)| {
                    if heat > most.0 { (heat, point.air_c) } else { most }
                },
            );
        if !self.worth_cooling(bench, tally) {
            return None;
        }
        for option in coolings {
            if option.score > room + SCORE_TIE {
                break;
            }
            if option.path.junction_c(heat_w, air_c) > limit_c + 1e-9 {
                continue;
            }
            if let Some(regulation) = &mut bench.assembly.regulation {
                regulation.cooling = option.cooling;
            }
            if self.passes(bench, &[Group::RegulatorCooling], Depth::Cooling, scratch, tally) {
                return Some(option.score);
            }
        }
        self.fell.set(Fallen::Otherwise);
        None
    }

    /// Whether headroom and output ripple hold with the least drop-out any cooling could bring.
    fn worth_cooling(&self, bench: &Bench<'a>, tally: &mut Tally) -> bool {
        let part = bench.assembly.reservoir.part.common.id.0.as_str();
        if let Some(worst) = headroom_bound(bench) {
            let (least, _) = bench.figure("regulator-headroom", HEADROOM_V);
            if worst.value < least * (1.0 - EQUALITY) {
                let figures = (worst.value, least, Unit::Volts);
                // A headroom at or below nothing is as far from passing as the volts it lacks.
                let utilisation = 1.0 + (least - worst.value) / bench.asked.rail.voltage.0;
                let place = (Position::Regulator, part);
                self.fell.set(Fallen::Worked { code: "regulator-headroom", utilisation });
                tally.number(
                    "regulator-headroom",
                    Depth::Regulator,
                    place,
                    figures,
                    utilisation,
                    Some(worst.vertex),
                );
                return false;
            }
        }
        if let Some(worst) = output_ripple_bound(bench) {
            let most = self.asked.rail.ripple.0.0;
            if worst.value > most * (1.0 + EQUALITY) {
                let figures = (worst.value, most, Unit::Volts);
                let place = (Position::Regulator, part);
                let vertex = Some(worst.vertex);
                let utilisation = worst.value / most;
                self.fell.set(Fallen::Worked { code: "regulator-output-ripple", utilisation });
                tally.number(
                    "regulator-output-ripple",
                    Depth::Regulator,
                    place,
                    figures,
                    utilisation,
                    vertex,
                );
                return false;
            }
        }
        true
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
        self.fell.set(Fallen::Otherwise);
        None
    }

    /// Whether all rules of some groups hold; the first that does not is counted.
    pub(super) fn passes(
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
                let lines = bench.assembly.lines();
                let line = lines.iter().find(|line| line.position == verdict.position());
                let part = line.map_or("", |line| line.common.id.0.as_str());
                tally.verdict(verdict, depth, part);
                self.fell.set(match verdict {
                    Verdict::MissingRating { position, .. } => Fallen::Lacking(*position, part),
                    Verdict::Stress(stress) => {
                        Fallen::Worked { code: stress.code, utilisation: stress.utilisation() }
                    }
                    Verdict::Fact { .. } | Verdict::NotApplicable { .. } => Fallen::Otherwise,
                });
                return false;
            }
        }
        true
    }
}
