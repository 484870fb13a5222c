//! One candidate train, judged in full and completed with the cheapest parts around it that pass.
//!
//! Everything is judged at every vertex by the same rules that review uses.

use std::cell::{Cell, RefCell};

use crate::{
    candidate::{shop::Shop, stage::CoolingOption},
    circuit::{
        corner::{End, Thermal},
        operate::operate_nominal,
        supply::Body,
    },
    stress::{
        assembly::{Assembly, Cooling},
        bench::{Asked, Bench, Refusal, left_of},
        junction, loss,
        pass_point::PassNumbers,
        position::Position,
        registry::{Group, rules},
        regulator_point::{headroom_bound, output_ripple_bound},
        stage::{load_high_a, load_of},
        verdict::{EQUALITY, Unit, Verdict},
    },
};

use super::{
    cooler::junction_at_least_c,
    fallen::Fallen,
    protect::Fusing,
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

/// What stands in one position: part id, value in bits, how many; nothing comes before everything.
pub type Seat<'a> = Option<(&'a str, u64, u32)>;

/// Part ids by position: decides between candidates of equal score.
pub fn identity<'a>(assembly: &Assembly<'a>) -> [Seat<'a>; Position::ALL.len()] {
    let mut seats = [None; Position::ALL.len()];
    for line in assembly.lines() {
        if let Some(index) = Position::ALL.iter().position(|one| *one == line.position) {
            let value = line.value.map_or(0, |ohms| ohms.0.to_bits());
            seats[index] = Some((line.common.id.0.as_str(), value, line.count));
        }
    }
    seats
}

/// Decides between assemblies of equal score: part ids by position, then primary connection and wiring.
pub type Order<'a> = ([Seat<'a>; Position::ALL.len()], usize, u8);

/// The order of an assembly among those of equal score.
pub fn order_of<'a>(assembly: &Assembly<'a>) -> Order<'a> {
    (identity(assembly), assembly.primary, assembly.wiring as u8)
}

impl Found<'_> {
    /// Whether this rail is to be preferred: with a mains fuse before without, then by score, then by part ids.
    pub fn before(&self, other: &Self) -> bool {
        let bare = |one: &Self| one.assembly.primary_fuse.is_none();
        if bare(self) != bare(other) {
            return bare(other);
        }
        self.score < other.score - SCORE_TIE
            || (self.score <= other.score + SCORE_TIE && order_of(&self.assembly) < order_of(&other.assembly))
    }
}

/// Whether the transformer states leakage inductance.
fn leaks(assembly: &Assembly<'_>) -> bool {
    assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some())
}

/// Headroom asked for where the policy names none, V. Common practice, no source; the rule has the same.
pub(super) const HEADROOM_V: f64 = 0.5;

/// Ids of sink and pad; free air comes first.
fn cooling_ids(cooling: Option<Cooling<'_>>) -> Option<(&str, &str)> {
    cooling.map(|one| (one.sink.common.id.0.as_str(), one.pad.common.id.0.as_str()))
}

/// Judges and completes trains of one rail.
pub(super) struct Completer<'s, 'a> {
    /// What is asked and allowed.
    pub asked: Asked<'a>,
    /// What may be bought.
    pub shop: &'s Shop<'a>,
    /// Whether a mains fuse is looked for.
    pub(super) fusing: Fusing,
    /// What the last train fell by.
    pub(super) fell: Cell<Fallen<'a>>,
    /// What each cooling of the regulator fell by, by its place.
    pub(super) coolings_fell: RefCell<Vec<(usize, Fallen<'a>)>>,
    /// Heat of one package of the rectifier where it is greatest, W.
    pub(super) rectifier_w: Cell<f64>,
}

impl<'s, 'a> Completer<'s, 'a> {
    /// Before anything is judged.
    pub(super) fn of(asked: Asked<'a>, shop: &'s Shop<'a>, fusing: Fusing) -> Self {
        Self {
            asked,
            shop,
            fusing,
            fell: Cell::new(Fallen::Otherwise),
            coolings_fell: RefCell::default(),
            rectifier_w: Cell::new(0.0),
        }
    }

    /// The cheapest completion of a train that passes everything, if its score does not exceed `most`.
    ///
    /// `score` is what the train itself costs, `coolings` every way to cool its regulator, cheapest first. The vertices
    /// where most fail are looked at first: what fails there, or is too dear there, is so at all of them.
    pub(super) fn complete(
        &self,
        train: &Assembly<'a>,
        coolings: &[(usize, CoolingOption<'a>)],
        score: f64,
        most: f64,
        tally: &mut Tally,
    ) -> Result<Found<'a>, Fallen<'a>> {
        let mut scratch = Vec::with_capacity(32);
        self.complete_or_not(train, coolings, score, most, &mut scratch, tally).ok_or_else(|| self.fell.get())
    }

    fn complete_or_not(
        &self,
        train: &Assembly<'a>,
        coolings: &[(usize, CoolingOption<'a>)],
        score: f64,
        most: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<Found<'a>> {
        let few = self.bench(
            Bench::build(self.asked, *train, named(leaks(train), !train.is_alone())),
            train,
            tally,
        )?;
        self.fill(few, coolings, score, most, scratch, tally)?;
        let whole = self.bench(Bench::build_whole(self.asked, *train), train, tally)?;
        let found = self.fill(whole, coolings, score, most, scratch, tally)?;
        Some(found)
    }

    /// The cheapest cooling and protection of a train that pass every rule at the points of the bench.
    fn fill(
        &self,
        mut bench: Bench<'a>,
        coolings: &[(usize, CoolingOption<'a>)],
        score: f64,
        most: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<Found<'a>> {
        let packages = junction::packages(&bench);
        let hot = bench.points_of(Body::Light).iter().filter(|point| point.vertex.thermal == Thermal::Hot);
        self.rectifier_w.set(hot.map(|point| point.diode_w / packages).fold(0.0, f64::max));
        let coupled = [Group::Transformer, Group::Train, Group::Bleeder];
        if !self.passes(&bench, &coupled, Depth::Regulator, scratch, tally) {
            return None;
        }
        let nominal = operate_nominal(&bench.supply).ok()?;
        let load_a = self.asked.rail.current_max.0;
        let raw_w = nominal.mean_v * nominal.load_a;
        let mut total = score + self.asked.requirement.objective.loss * loss::at(&bench, &nominal, load_a);
        self.fell.set(Fallen::Otherwise);
        if total > most + SCORE_TIE {
            return None;
        }
        total += self.cool(&mut bench, coolings, most - total, scratch, tally)?;
        total += self.protect(&mut bench, &nominal, most - total, scratch, tally)?;
        // Every other group was judged when its last part was put in; review judges all of them once more.
        let rest = [Group::Around, Group::Whole];
        self.passes(&bench, &rest, Depth::Rest, scratch, tally).then(|| Found {
            assembly: bench.assembly,
            score: total,
            loss_w: loss::at(&bench, &nominal, load_a),
            raw_w,
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
                self.fell.set(Fallen::Otherwise);
                tally.refusal(&refusal, Depth::Regulator, &train.transformer.common.id.0);
                None
            }
        }
    }

    /// The regulator's cheapest cooling that passes; zero score for a raw rail.
    fn cool(
        &self,
        bench: &mut Bench<'a>,
        coolings: &[(usize, CoolingOption<'a>)],
        room: f64,
        scratch: &mut Vec<Verdict>,
        tally: &mut Tally,
    ) -> Option<f64> {
        let (Some(stage), Some(output)) = (bench.assembly.regulation, bench.output) else { return Some(0.0) };
        let limit_c = left_of(self.asked.policy, "regulator-junction-temperature", stage.part.junction_max.0);
        // Any output is at most the set value, so the rules find at least this heat at some point.
        let pairs = bench.points_of(Body::Heavy).iter().zip(&bench.points);
        let hot = pairs.filter(|(point, _)| point.vertex.thermal == Thermal::Hot);
        let lasting_a = load_of(self.asked.rail, Body::Heavy);
        // What ballast and drive resistors take at the least is not counted, as the rules have it.
        let before_v = stage.pass.as_ref().map_or(0.0, |pass| {
            PassNumbers::of(self.asked, pass).resistors_v(lasting_a + bench.auxiliary.through_regulator_a())
        });
        let at_peak_a = if stage.pass.is_some() { 0.0 } else { load_high_a(self.asked.rail) };
        let watts = |volts: f64, amps: f64| (volts - before_v - output.set_v).max(0.0) * amps;
        let (heat_w, peak_w, air_c) = hot
            .map(|(point, peak)| (watts(point.mean_v, lasting_a), watts(peak.mean_v, at_peak_a), point))
            .filter(|(.., point)| point.vertex.load == End::High)
            .fold((0.0, 0.0, bench.supply.air.hot_c), |most: (f64, f64, f64), (heat, peak, point)| {
                if heat > most.0 { (heat, peak, point.air_c) } else { most }
            });
        if !self.worth_cooling(bench, tally) {
            return None;
        }
        let mut best: Option<(f64, Option<Cooling<'a>>)> = None;
        let mut failed = self.coolings_fell.borrow_mut();
        for (index, option) in coolings {
            if option.score > best.map_or(room, |known| known.0) + SCORE_TIE {
                break;
            }
            if junction_at_least_c(&option.bearing, (heat_w, peak_w), air_c) > limit_c + 1e-9 {
                let code = "regulator-junction-temperature";
                failed.push((*index, Fallen::Worked { code, utilisation: 1.0, vertex: None }));
                continue;
            }
            if best.is_some_and(|known| cooling_ids(known.1) <= cooling_ids(option.cooling)) {
                continue;
            }
            if let Some(regulation) = &mut bench.assembly.regulation {
                regulation.cooling = option.cooling;
            }
            if self.passes(bench, &[Group::RegulatorCooling], Depth::Cooling, scratch, tally) {
                best = Some((option.score, option.cooling));
            } else if scratch.iter().any(|one| one.position() == Position::RectifierSink && !one.holds()) {
                // No other cooling of the regulator mends the rectifier's sink.
                return None;
            } else if stage.part.rejection.is_none()
                && matches!(self.fell.get(), Fallen::Lacking(Position::Regulator, _))
            {
                // No cooling and no train gives it the rating it lacks.
                return None;
            } else {
                failed.push((*index, self.fell.get()));
            }
        }
        let Some((score, cooling)) = best else {
            self.fell.set(Fallen::Otherwise);
            return None;
        };
        if let Some(regulation) = &mut bench.assembly.regulation {
            regulation.cooling = cooling;
        }
        Some(score)
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
                self.fell.set(Fallen::Worked {
                    code: "regulator-headroom",
                    utilisation,
                    vertex: Some(worst.vertex),
                });
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
                self.fell.set(Fallen::Worked { code: "regulator-output-ripple", utilisation, vertex });
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
                    Verdict::Stress(stress) => Fallen::Worked {
                        code: stress.code,
                        utilisation: stress.utilisation(),
                        vertex: stress.vertex,
                    },
                    Verdict::Fact { .. } | Verdict::NotApplicable { .. } => Fallen::Otherwise,
                });
                return false;
            }
        }
        true
    }
}
