//! The plain search: scores that only add up and bounds with a proof, over catalogs far larger than brute force can go
//! through.
//!
//! It shares the lists of candidates, the rules and the circuit with the search, and of its bounds only those of `screen`,
//! which are proven. It remembers nothing, and takes no figure to be ordered along capacitance, ESR, drop or load.

use std::f64::consts::{PI, SQRT_2};

use rayon::prelude::*;

use railwright::candidate::{
    rectifier::{RectifierOption, rectifiers},
    shop::{Priced, Shop, View},
    source::{SourceOption, circuit_topology, sources},
    stage::{StageOption, raw, stages},
};
use railwright::catalog::{Catalog, Electrolytic};
use railwright::circuit::{operate::operate, spec::Topology};
use railwright::physics::copper;
use railwright::quantity::{Celsius, Farads, Volts};
use railwright::requirement::{Objective, Regulation as Wish, Requirement};
use railwright::selection::{
    choose::Inputs,
    leaf::{Found, SCORE_TIE},
    screen::Feed,
    search::Search,
    vertices::{NAMED, VALLEY_COLD},
};
use railwright::stress::assembly::{Assembly, Regulation, Reservoir, ResistorChoice, Wiring};
use railwright::stress::bench::{Asked, Bench, no_load_peak_v, numbers};
use railwright::stress::registry::{Group, judge};
use railwright::stress::resistor::choose_bleeder;

use super::{
    all::{coupled, holds},
    dice::Dice,
    small,
};
use crate::support::world;

/// A least score and its parts.
type Best<'a> = Option<(f64, Assembly<'a>)>;

/// One rail in one topology.
struct Plain<'s, 'a> {
    asked: Asked<'a>,
    shop: &'s Shop<'a>,
    topology: Topology,
    rectifiers: Vec<RectifierOption<'a>>,
    banks: Vec<(f64, Reservoir<'a>)>,
    stages: Vec<StageOption<'a>>,
}

/// A train while it is put together: all but the cooling of its rectifier.
#[derive(Clone, Copy)]
struct Begun<'t, 'a> {
    score: f64,
    assembly: Assembly<'a>,
    stage: &'t StageOption<'a>,
}

fn above(best: &Best<'_>, score: f64) -> bool {
    best.as_ref().is_some_and(|known| score > known.0 + SCORE_TIE)
}

impl<'s, 'a> Plain<'s, 'a> {
    fn of(asked: Asked<'a>, shop: &'s Shop<'a>, topology: Topology) -> Self {
        let most = asked.requirement.preferences.parallel_max;
        let of_part = |one: &Priced<'a, Electrolytic>| -> Vec<(f64, Reservoir<'a>)> {
            let part = one.part;
            (1..=most).map(|count| (one.score(count), Reservoir { part, count })).collect()
        };
        let mut banks: Vec<_> = shop.electrolytics.iter().flat_map(of_part).collect();
        banks.retain(|bank| bank.0.is_finite());
        banks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let stages = if asked.rail.regulation == Wish::None { vec![raw(asked)] } else { stages(asked, shop) };
        Self { asked, shop, topology, rectifiers: rectifiers(shop, topology), banks, stages }
    }

    /// The least score up to one that is known.
    fn best(&self, known: &Found<'a>) -> Best<'a> {
        let (rectifier, bank) = (self.rectifiers.first()?, self.banks.first()?);
        let blank = Assembly {
            transformer: self.shop.transformers.first()?.part,
            primary: 0,
            wiring: Wiring::Single,
            topology: self.topology,
            rectifier: rectifier.part,
            rectifier_cooling: None,
            section: None,
            reservoir: bank.1,
            bleeder: None,
            regulation: None,
            primary_fuse: None,
            limiter: None,
            secondary_fuse: None,
            cut_out: None,
            mates: railwright::numeric::few::Few::NONE,
        };
        let mut best = Some((known.score, known.assembly));
        for source in sources(self.asked, self.shop, self.topology, &blank, None) {
            if above(&best, source.score) {
                break;
            }
            let Source { transformer, primary, wiring } = Source::of(&source);
            self.behind(&source, &Assembly { transformer, primary, wiring, ..blank }, &mut best);
        }
        best
    }

    fn behind(&self, source: &SourceOption<'a>, blank: &Assembly<'a>, best: &mut Best<'a>) {
        for rectifier in &self.rectifiers {
            let partial = source.score + rectifier.score;
            if above(best, partial) {
                break;
            }
            let blank = Assembly { rectifier: rectifier.part, ..*blank };
            let Ok((supply, ..)) = numbers(self.asked, &blank) else { continue };
            let peak_v = no_load_peak_v(self.topology, &supply.source, supply.mains_v);
            let cold = Celsius(supply.air.cold_c);
            let line = supply.rectifier.line.at(cold);
            let in_series = if self.topology == Topology::Bridge { 2.0 } else { 1.0 };
            let feed = Feed {
                emf_peak_v: SQRT_2 * supply.source.emf_rms_v * supply.mains_v.low / supply.mains_v.nominal
                    * (1.0 - supply.source.emf_tolerance)
                    * supply.peak_factor,
                threshold_v: in_series * line.threshold.0,
                resistance_ohm: (supply.source.secondary_20_ohm + supply.source.primary_20_ohm)
                    * copper::factor(cold)
                    + supply.source.mains_ohm
                    + in_series * line.slope.0,
                omega: 2.0 * PI * supply.frequency_hz.low,
                pulses: if self.topology == Topology::HalfWave { 1.0 } else { 2.0 },
                others: 0.0,
                load_a: self.asked.rail.peak.map_or(self.asked.rail.current_max, |peak| peak.current).0,
            };
            let fits: Vec<&StageOption<'a>> = self
                .stages
                .iter()
                .filter(|stage| peak_v <= stage.input_limit_v * (1.0 + 1e-9) && feed.can_hold(stage.need_v))
                .collect();
            let farad = fits.iter().map(|stage| feed.least_farad(stage.need_v)).fold(f64::INFINITY, f64::min);
            for &(bank_score, reservoir) in &self.banks {
                if above(best, partial + bank_score) {
                    break;
                }
                let blank = Assembly { reservoir, ..blank };
                let Ok((supply, ..)) = numbers(self.asked, &blank) else { continue };
                let own = supply.bank.farad.low * supply.bank.farad_cold_ratio;
                if own < farad {
                    continue;
                }
                for &stage in fits.iter().filter(|stage| own >= feed.least_farad(stage.need_v)) {
                    let score = partial + bank_score + stage.score;
                    if above(best, score) {
                        break;
                    }
                    let assembly = Assembly { regulation: stage.regulation, ..blank };
                    self.bleed(&Begun { score, assembly, stage }, peak_v, &rectifier.coolings, best);
                }
            }
        }
    }

    /// With each bleeder and each cooling of the rectifier. Nothing is warm at the cold valley, so no cooling alters it.
    fn bleed(
        &self,
        begun: &Begun<'_, 'a>,
        peak_v: f64,
        coolings: &[(Option<railwright::stress::assembly::Cooling<'a>>, f64)],
        best: &mut Best<'a>,
    ) {
        let Reservoir { part, count } = begun.assembly.reservoir;
        let farad = Farads(part.capacitance.0 * f64::from(count) * (1.0 + part.tolerance_plus.0));
        let choose = |one: &Priced<'a, railwright::catalog::ResistorSeries>| {
            choose_bleeder(self.asked, one.part, farad, Volts(peak_v))
                .map(|choice| (one.score(1), Some(choice)))
        };
        let bleeders: Vec<(f64, Option<ResistorChoice<'a>>)> =
            if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
                vec![(0.0, None)]
            } else {
                self.shop.resistors.iter().filter_map(choose).collect()
            };
        for (bleeder_score, bleeder) in bleeders {
            let score = begun.score + bleeder_score;
            if above(best, score) {
                continue;
            }
            let assembly = Assembly { bleeder, ..begun.assembly };
            let Ok((supply, ..)) = numbers(self.asked, &assembly) else { continue };
            let valley = operate(&supply, VALLEY_COLD);
            if !valley.is_ok_and(|point| point.valley_v >= begun.stage.need_v * (1.0 - 1e-9)) {
                continue;
            }
            for &(rectifier_cooling, cooling_score) in coolings {
                let score = score + cooling_score;
                if above(best, score) {
                    break;
                }
                self.settle(
                    &Begun { score, assembly: Assembly { rectifier_cooling, ..assembly }, ..*begun },
                    best,
                );
            }
        }
    }

    /// The least completion of a train, judged by every rule at every vertex.
    fn settle(&self, begun: &Begun<'_, 'a>, best: &mut Best<'a>) {
        // What fails at a few vertices fails; what does not is judged at all.
        let Ok(mut few) = Bench::build(self.asked, begun.assembly, NAMED.into_iter()) else { return };
        if !holds(&few, &coupled)
            || begun
                .assembly
                .regulation
                .is_some_and(|bare| self.around(&mut few, bare, begun.stage, (begun.score, best)).is_none())
        {
            return;
        }
        let Ok(mut bench) = Bench::build_whole(self.asked, begun.assembly) else { return };
        if !holds(&bench, &coupled) {
            return;
        }
        let mut score = begun.score;
        if let Some(bare) = begun.assembly.regulation {
            let Some((more, stage)) = self.around(&mut bench, bare, begun.stage, (score, best)) else {
                return;
            };
            score += more;
            bench.assembly.regulation = Some(stage);
        }
        let Some((more, assembly)) = self.protect(&mut bench, score, best) else { return };
        bench.assembly = assembly;
        let wrong = judge(&bench).into_iter().find(|verdict| !verdict.holds());
        assert!(wrong.is_none(), "parts that pass one by one do not together: {wrong:?}");
        *best = Some((score + more, assembly));
    }

    /// The least cooling, capacitors and diode of a regulator: each has rules of its own.
    fn around(
        &self,
        bench: &mut Bench<'a>,
        bare: Regulation<'a>,
        option: &StageOption<'a>,
        (so_far, best): (f64, &Best<'a>),
    ) -> Option<(f64, Regulation<'a>)> {
        let mut stage = bare;
        let mut passes = |stage: Regulation<'a>, codes: &[&str], cooled: bool| {
            bench.assembly.regulation = Some(stage);
            holds(bench, &|rule| {
                codes.contains(&rule.page.code) || (cooled && rule.group == Group::RegulatorCooling)
            })
        };
        let mut score = 0.0;
        let mut room = option.coolings.iter().take_while(|way| !above(best, so_far + way.score));
        let way = room.find(|way| passes(Regulation { cooling: way.cooling, ..stage }, &[], true))?;
        stage.cooling = way.cooling;
        score += way.score;
        let capacitors = || {
            let each = self.shop.small_capacitors.iter().map(|one| (one.score(1), Some(one.part)));
            std::iter::once((0.0, None)).chain(each)
        };
        let (input_score, input) = capacitors().find(|&(_, input)| {
            passes(Regulation { input, ..stage }, &["regulator-input-capacitor"], false)
        })?;
        stage.input = input;
        let mut least: Option<(f64, Regulation<'a>)> = None;
        for (output_score, output) in capacitors() {
            let codes = ["regulator-output-capacitor"];
            if least.is_some_and(|known| known.0 <= output_score)
                || !passes(Regulation { output, ..stage }, &codes, false)
            {
                continue;
            }
            let diodes = self.shop.diodes.iter().map(|one| (one.score(1), Some(one.part)));
            let found = std::iter::once((0.0, None)).chain(diodes).find(|&(_, reverse_diode)| {
                let stage = Regulation { output, reverse_diode, ..stage };
                passes(stage, &["regulator-reverse-diode"], false)
            });
            if let Some((diode_score, reverse_diode)) = found
                && least.is_none_or(|known| output_score + diode_score < known.0)
            {
                least = Some((output_score + diode_score, Regulation { output, reverse_diode, ..stage }));
            }
        }
        let (pair_score, mut stage) = least?;
        let diodes = self.shop.diodes.iter().map(|one| (one.score(1), Some(one.part)));
        let (clamp_score, clamp_diode) =
            std::iter::once((0.0, None)).chain(diodes).find(|&(_, clamp_diode)| {
                passes(Regulation { clamp_diode, ..stage }, &["output-clamp"], false)
            })?;
        stage.clamp_diode = clamp_diode;
        let score = score + input_score + pair_score + clamp_score;
        (!above(best, so_far + score)).then_some((score, stage))
    }

    /// The least limiter, mains fuse and cut-out that pass together.
    fn protect(&self, bench: &mut Bench<'a>, so_far: f64, best: &Best<'a>) -> Option<(f64, Assembly<'a>)> {
        let before = bench.assembly;
        let limiters = self.shop.limiters.iter().map(|one| (one.score(1), Some(one.part)));
        let mut least: Option<(f64, Assembly<'a>)> = None;
        for (limiter_score, limiter) in std::iter::once((0.0, None)).chain(limiters) {
            for fuse in &self.shop.fuses {
                let cut_outs = self.shop.cut_outs.iter().map(|one| (one.score(1), Some(one.part)));
                for (cut_out_score, cut_out) in std::iter::once((0.0, None)).chain(cut_outs) {
                    let score = limiter_score + fuse.score(1) + cut_out_score;
                    if above(best, so_far + score) || least.is_some_and(|known| known.0 <= score) {
                        break;
                    }
                    let assembly = Assembly { limiter, primary_fuse: Some(fuse.part), cut_out, ..before };
                    bench.assembly = assembly;
                    let groups = [Group::Surge, Group::Fuse, Group::Protection];
                    if holds(bench, &|rule| groups.contains(&rule.group)) {
                        least = Some((score, assembly));
                    }
                }
            }
        }
        bench.assembly = before;
        least
    }
}

/// What a source puts into an assembly.
struct Source<'a> {
    transformer: &'a railwright::catalog::Transformer,
    primary: usize,
    wiring: Wiring,
}

impl<'a> Source<'a> {
    fn of(option: &SourceOption<'a>) -> Self {
        Self { transformer: option.transformer, primary: option.primary, wiring: option.wiring }
    }
}

/// Every part of a catalog with a chance of one in `of`.
fn thinned(whole: &Catalog, of: usize, dice: &mut Dice) -> Catalog {
    fn thin<T: Clone>(list: &[T], of: usize, dice: &mut Dice) -> Vec<T> {
        list.iter().filter(|_| dice.of(of) == 0).cloned().collect()
    }
    Catalog {
        transformers: thin(&whole.transformers, of, dice),
        diodes: thin(&whole.diodes, of, dice),
        bridges: thin(&whole.bridges, of, dice),
        electrolytics: thin(&whole.electrolytics, of, dice),
        regulators: thin(&whole.regulators, of, dice),
        sinks: thin(&whole.sinks, of, dice),
        ..whole.clone()
    }
}

/// Chances of one in so many with which a part is kept, one round of every rail each.
const THINNED: [usize; 2] = [10, 12];
/// At least so many rails that can be built are compared.
const COMPARED: usize = 12;

/// Second method: the plain search, on parts of the whole demo catalog that hold thousands of millions of combinations.
#[test]
fn the_search_finds_what_the_plain_search_finds_on_large_catalogs() {
    let (whole, house) = (small::whole(), world::policy("house"));
    let rounds: Vec<(Requirement, Catalog)> = small::seeds()
        .iter()
        .enumerate()
        .flat_map(|(number, seed)| THINNED.map(|of| (number, seed, of)))
        .filter_map(|(number, seed, of)| {
            let mut dice = Dice((number * 31 + of) as u64);
            let mut requirement = seed.as_asked()?;
            requirement.objective = Objective { cost: 1.0, loss: 0.0, volume: 0.0, mass: 0.0 };
            Some((requirement, thinned(&whole, of, &mut dice)))
        })
        .collect();
    let compared: Vec<Option<String>> = rounds
        .par_iter()
        .flat_map_iter(|(requirement, catalog)| {
            let inputs = Inputs { requirement, catalog, policy: &house };
            let asked = inputs.asked(0).expect("one rail");
            let shop = Shop::open(catalog, requirement, View::Alone);
            let topologies = requirement.topologies.iter().map(|&one| circuit_topology(one));
            let single =
                |one: &Topology| matches!(one, Topology::HalfWave | Topology::CentreTap | Topology::Bridge);
            topologies
                .filter(single)
                .filter_map(|topology| {
                    let found = Search::new(asked, &shop, topology).run(f64::INFINITY).found;
                    // A rail that may stand without a mains fuse is for brute force to compare, as is one that has no design.
                    let found = found.into_iter().next().filter(|one| one.assembly.primary_fuse.is_some())?;
                    let plain = Plain::of(asked, &shop, topology).best(&found)?;
                    let agree = (plain.0 - found.score).abs() <= 1e-8 * plain.0.max(1.0);
                    let name = (&requirement.name, &requirement.rails[0].name);
                    Some((!agree).then(|| format!("{name:?} {topology:?}: {} and {}", plain.0, found.score)))
                })
                .collect::<Vec<_>>()
        })
        .collect();
    let wrong: Vec<&str> = compared.iter().filter_map(Option::as_deref).collect();
    assert!(wrong.is_empty(), "{} of {} disagree\n{}", wrong.len(), compared.len(), wrong.join("\n"));
    assert!(compared.len() >= COMPARED, "only {} rails can be built", compared.len());
}
