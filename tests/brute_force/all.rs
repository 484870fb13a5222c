//! Every combination of a small catalog, judged by every rule at every vertex.
//!
//! Shares the rules and the circuit with the search, and none of its bounds, order or memory. It leaves a combination out for
//! one of three reasons only: a rule of its own parts fails at some vertex, its parts alone cost more than a rail that
//! passed, or a rule that reads one position only fails for the part there.

use railwright::candidate::shop::{Shop, View};
use railwright::candidate::source::CONNECTION_RATIO_MAX;
use railwright::candidate::stage::stages;
use railwright::catalog::{Catalog, Common, family::regulator::Setting};
use railwright::circuit::corner::{End, Vertex};
use railwright::circuit::operate::{diodes, operate_nominal};
use railwright::circuit::spec::Topology;
use railwright::circuit::supply::Span;
use railwright::quantity::{Farads, Volts};
use railwright::requirement::{Regulation as Wish, Requirement};
use railwright::selection::leaf::{SCORE_TIE, identity};
use railwright::stress::assembly::{
    Assembly, Cooling, RectifierPart, Regulation, Reservoir, ResistorChoice, Wiring,
};
use railwright::stress::bench::{Asked, Bench, numbers};
use railwright::stress::registry::{Group, Rule, judge, rules};
use railwright::stress::resistor::{choose_bleeder, choose_minimum_load, choose_set, missing_minimum_load_a};
use railwright::stress::stage::output_of;
use railwright::stress::{loss, verdict::Verdict};

/// A rail that passed: without a mains fuse, score, parts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Best<'a> {
    pub(super) score: f64,
    pub(super) assembly: Assembly<'a>,
}

impl Best<'_> {
    /// The order of preference: with a mains fuse, then cheapest, then by part ids, connection and wiring.
    fn before(&self, other: &Self) -> bool {
        let bare = |one: &Self| one.assembly.primary_fuse.is_none();
        let name = |one: &Self| (one.assembly.primary, one.assembly.wiring);
        let ids =
            || identity(&self.assembly).cmp(&identity(&other.assembly)).then(name(self).cmp(&name(other)));
        match (bare(self), bare(other)) {
            (false, true) => true,
            (true, false) => false,
            _ => {
                self.score < other.score - SCORE_TIE
                    || (self.score <= other.score + SCORE_TIE && ids().is_lt())
            }
        }
    }
}

/// Score of one part in one position, from its price lists and dimensions.
fn score_of(common: &Common, requirement: &Requirement, count: u32) -> f64 {
    let build = requirement.build_quantity;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand at most")]
    let pieces = (f64::from(count * build) * (1.0 + requirement.spares.0) - 1e-9).ceil() as u32;
    let offers = common.offers.iter().filter(|offer| offer.currency == requirement.currency);
    let late = requirement.preferences.lead_days_max;
    let money = offers
        .filter_map(|offer| offer.cheapest(pieces).map(|bought| (offer, bought)))
        .filter(|(offer, bought)| {
            bought.ordered <= offer.stock || late.is_none_or(|most| offer.lead_days <= most)
        })
        .map(|(_, bought)| bought.total.to_string().parse::<f64>().expect("a number"))
        .fold(f64::INFINITY, f64::min);
    let weights = &requirement.objective;
    // Where nobody sells a part it may not be used, whatever the objective.
    let money = if money.is_finite() { weights.cost * money } else { money };
    money / f64::from(build) + f64::from(count) * weights.volume * common.volume().0 * 1e6
}

fn with_none<T>(list: &[T]) -> Vec<Option<&T>> {
    std::iter::once(None).chain(list.iter().map(Some)).collect()
}

/// One topology of one small catalog.
pub(super) struct All<'a> {
    pub(super) asked: Asked<'a>,
    pub(super) catalog: &'a Catalog,
    pub(super) topology: Topology,
}

/// A coupled choice that fails at none of a few vertices, with the score of its parts and its loss.
struct Train<'a> {
    score: f64,
    assembly: Assembly<'a>,
}

impl<'a> All<'a> {
    /// The best rail, if any.
    pub(super) fn best(&self) -> Option<Best<'a>> {
        let mut trains = self.trains();
        trains.sort_by(|a, b| a.score.total_cmp(&b.score));
        let mut best: Option<Best<'a>> = None;
        for train in trains {
            let known = best.filter(|known| known.assembly.primary_fuse.is_some());
            if known.is_some_and(|known| train.score > known.score + SCORE_TIE) {
                break;
            }
            self.complete(&train.assembly, &mut best);
        }
        best
    }

    fn score(&self, assembly: &Assembly<'a>) -> f64 {
        assembly.lines().iter().map(|line| score_of(line.common, self.asked.requirement, line.count)).sum()
    }

    fn coolings(&self) -> Vec<Option<Cooling<'a>>> {
        let catalog = self.catalog;
        let pairs = catalog.sinks.iter().flat_map(|sink| catalog.pads.iter().map(move |pad| (sink, pad)));
        std::iter::once(None).chain(pairs.map(|(sink, pad)| Some(Cooling { sink, pad }))).collect()
    }

    fn regulations(&self) -> Vec<Option<Regulation<'a>>> {
        if self.asked.rail.regulation == Wish::None {
            return vec![None];
        }
        let mut found = Vec::new();
        for part in &self.catalog.regulators {
            let adjustable = matches!(part.setting, Setting::Adjustable { .. });
            match self.asked.rail.regulation {
                Wish::Fixed if adjustable => continue,
                Wish::Adjustable if !adjustable => continue,
                _ => {}
            }
            let sets: Vec<Option<(ResistorChoice<'a>, ResistorChoice<'a>)>> = if adjustable {
                let series = self.catalog.resistors.iter();
                series.filter_map(|one| choose_set(self.asked, part, one, one).map(Some)).collect()
            } else {
                vec![None]
            };
            for set in sets {
                let v = self.asked.rail.voltage.0;
                let narrow = Span { low: v, nominal: v, high: v };
                let Ok(output) = output_of(self.asked, part, set, narrow) else { continue };
                let loads: Vec<Option<ResistorChoice<'a>>> =
                    if missing_minimum_load_a(self.asked, part, set) <= 0.0 {
                        vec![None]
                    } else {
                        let series = self.catalog.resistors.iter();
                        let choose = |one| choose_minimum_load(self.asked, part, &output, set, one);
                        series.filter_map(|one| choose(one).map(Some)).collect()
                    };
                found.extend(loads.into_iter().map(|minimum_load| {
                    let (cooling, input, output, reverse_diode) = (None, None, None, None);
                    Some(Regulation {
                        part,
                        cooling,
                        set,
                        minimum_load,
                        input,
                        output,
                        reverse_diode,
                        clamp_diode: None,
                        pass: None,
                    })
                }));
            }
        }
        // Which transistors and resistors may stand beside a regulator is a rule of the variety, not a bound of the search.
        let shop = Shop::open(self.catalog, self.asked.requirement, View::Alone);
        let listed = stages(self.asked, &shop).into_iter().filter_map(|stage| stage.regulation);
        found.extend(listed.filter(|one| one.pass.is_some()).map(Some));
        found
    }

    /// Every coupled choice that fails at none of a few vertices.
    fn trains(&self) -> Vec<Train<'a>> {
        let (catalog, topology, mut found) = (self.catalog, self.topology, Vec::new());
        let mut rectifiers: Vec<RectifierPart<'a>> =
            catalog.diodes.iter().map(RectifierPart::Diodes).collect();
        if topology == Topology::Bridge {
            rectifiers.extend(catalog.bridges.iter().map(RectifierPart::Bridge));
        }
        let (regulations, coolings) = (self.regulations(), self.coolings());
        let counts = 1..=self.asked.requirement.preferences.parallel_max;
        let mains_v = self.asked.requirement.mains.voltage.0;
        for transformer in &catalog.transformers {
            for (primary, connection) in transformer.primaries.iter().enumerate() {
                let ratio = mains_v / connection.rated.0;
                if ratio.max(1.0 / ratio) > CONNECTION_RATIO_MAX {
                    continue;
                }
                for wiring in [Wiring::Single, Wiring::Series, Wiring::Parallel, Wiring::CentreTap] {
                    if (wiring == Wiring::CentreTap) != (topology == Topology::CentreTap) {
                        continue;
                    }
                    for &rectifier in &rectifiers {
                        // Four single diodes stand in free air: no way of building puts sinks on them.
                        let many = matches!(rectifier, RectifierPart::Diodes(_)) && diodes(topology) > 2;
                        let ways = if many { &coolings[..1] } else { &coolings[..] };
                        for &rectifier_cooling in ways {
                            for part in &catalog.electrolytics {
                                for count in counts.clone() {
                                    for &regulation in &regulations {
                                        let bare = Assembly {
                                            transformer,
                                            primary,
                                            wiring,
                                            topology,
                                            rectifier,
                                            rectifier_cooling,
                                            section: None,
                                            reservoir: Reservoir { part, count },
                                            bleeder: None,
                                            regulation,
                                            primary_fuse: None,
                                            limiter: None,
                                            secondary_fuse: None,
                                            cut_out: None,
                                            mates: railwright::numeric::few::Few::NONE,
                                        };
                                        self.bleed(&bare, &mut found);
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
        found
    }

    /// A coupled choice with each bleeder there is, and without where none is needed.
    fn bleed(&self, bare: &Assembly<'a>, found: &mut Vec<Train<'a>>) {
        let Ok((supply, ..)) = numbers(self.asked, bare) else { return };
        let peak_v =
            railwright::stress::bench::no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
        let Reservoir { part, count } = bare.reservoir;
        // Two in series across the output; a coupling capacitor and a reservoir that it joins in emptying.
        let across = match supply.topology {
            Topology::FullWaveDoubler => 0.5,
            Topology::HalfWaveDoubler => 2.0,
            _ => 1.0,
        };
        let farad = Farads(part.capacitance.0 * f64::from(count) * (1.0 + part.tolerance_plus.0) * across);
        let series = self.catalog.resistors.iter();
        let mut bleeders: Vec<_> = series
            .filter_map(|one| choose_bleeder(self.asked, one, farad, Volts(peak_v)).map(Some))
            .collect();
        if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
            bleeders = vec![None];
        }
        // Two vertices at which much fails: what fails at one of them fails.
        let few = Vertex::all(false, false).filter(|at| {
            let low = at.mains == End::Low && at.emf == End::Low && at.capacitance == End::Low;
            let high = at.mains == End::High && at.emf == End::High && at.capacitance == End::High;
            let ends = |low: bool| if low { End::Low } else { End::High };
            let weak = low && at.esr == End::High && at.drop == End::High && at.frequency == ends(true);
            let strong = high && at.esr == End::Low && at.drop == End::Low && at.frequency == ends(false);
            at.load == End::High && (weak || strong)
        });
        let few: Vec<Vertex> = few.collect();
        for bleeder in bleeders {
            let assembly = Assembly { bleeder, ..*bare };
            let Ok(bench) = Bench::build(self.asked, assembly, few.iter().copied()) else { continue };
            if !holds(&bench, &coupled) {
                continue;
            }
            let Ok(nominal) = operate_nominal(&bench.supply) else { continue };
            let load_a = self.asked.rail.current_max.0;
            let lost = self.asked.requirement.objective.loss * loss::at(&bench, &nominal, load_a);
            let score = self.score(&assembly) + lost;
            if score.is_finite() {
                found.push(Train { score, assembly });
            }
        }
    }

    /// All completions of one coupled choice, in the order of preference: the first that passes is its best.
    fn complete(&self, assembly: &Assembly<'a>, best: &mut Option<Best<'a>>) {
        let Ok(mut bench) = Bench::build_whole(self.asked, *assembly) else { return };
        if !holds(&bench, &coupled) {
            return;
        }
        let Ok(nominal) = operate_nominal(&bench.supply) else { return };
        let mut whole: Vec<Best<'a>> = Vec::new();
        for regulation in self.stages(&mut bench) {
            for (primary_fuse, limiter, cut_out) in self.protections(&mut bench) {
                let assembly = Assembly { regulation, primary_fuse, limiter, cut_out, ..*assembly };
                bench.assembly = assembly;
                let load_a = self.asked.rail.current_max.0;
                let lost = self.asked.requirement.objective.loss * loss::at(&bench, &nominal, load_a);
                let one = Best { score: self.score(&assembly) + lost, assembly };
                if one.score.is_finite() && best.is_none_or(|known| one.before(&known)) {
                    whole.push(one);
                }
            }
            bench.assembly = *assembly;
        }
        whole.sort_by(|a, b| {
            if a.before(b) {
                std::cmp::Ordering::Less
            } else if b.before(a) {
                std::cmp::Ordering::Greater
            } else {
                std::cmp::Ordering::Equal
            }
        });
        for one in whole {
            bench.assembly = one.assembly;
            if judge(&bench).iter().all(Verdict::holds) {
                *best = Some(one);
                return;
            }
        }
    }

    /// The regulator with each cooling, capacitor and diode that its own rule does not refuse.
    fn stages(&self, bench: &mut Bench<'a>) -> Vec<Option<Regulation<'a>>> {
        let Some(bare) = bench.assembly.regulation else { return vec![None] };
        let mut passing = |stage: Regulation<'a>, codes: &[&str], cooled: bool| {
            bench.assembly.regulation = Some(stage);
            let cool = |rule: &Rule| cooled && rule.group == Group::RegulatorCooling;
            holds(bench, &|rule| codes.contains(&rule.page.code) || cool(rule))
        };
        let capacitors = with_none(&self.catalog.small_capacitors);
        let mut coolings = self.coolings();
        coolings.retain(|&cooling| passing(Regulation { cooling, ..bare }, &[], true));
        let mut inputs = capacitors.clone();
        inputs.retain(|&input| passing(Regulation { input, ..bare }, &["regulator-input-capacitor"], false));
        let mut outputs = Vec::new();
        for &output in &capacitors {
            for reverse_diode in with_none(&self.catalog.diodes) {
                let codes = ["regulator-output-capacitor", "regulator-reverse-diode"];
                if passing(Regulation { output, reverse_diode, ..bare }, &codes, false) {
                    outputs.push((output, reverse_diode));
                }
            }
        }
        // Where no diode is asked for, one more never makes a supply better.
        let mut clamp = |clamp_diode| passing(Regulation { clamp_diode, ..bare }, &["output-clamp"], false);
        let mut clamps: Vec<_> = self.catalog.diodes.iter().map(Some).collect();
        if clamp(None) {
            clamps = vec![None];
        } else {
            clamps.retain(|&diode| clamp(diode));
        }
        let mut found = Vec::new();
        for &cooling in &coolings {
            for &input in &inputs {
                for &(output, reverse_diode) in &outputs {
                    found.extend(clamps.iter().map(|&clamp_diode| {
                        Some(Regulation { cooling, input, output, reverse_diode, clamp_diode, ..bare })
                    }));
                }
            }
        }
        bench.assembly.regulation = Some(bare);
        found
    }

    /// Fuse, limiter and cut-out that pass the rules that concern them.
    fn protections(&self, bench: &mut Bench<'a>) -> Vec<Protection<'a>> {
        let before = bench.assembly;
        let groups = [Group::Surge, Group::Fuse, Group::Protection];
        let mut found = Vec::new();
        for primary_fuse in with_none(&self.catalog.fuses) {
            for limiter in with_none(&self.catalog.limiters) {
                for cut_out in with_none(&self.catalog.cut_outs) {
                    bench.assembly = Assembly { primary_fuse, limiter, cut_out, ..before };
                    if holds(bench, &|rule| groups.contains(&rule.group)) {
                        found.push((primary_fuse, limiter, cut_out));
                    }
                }
            }
        }
        bench.assembly = before;
        found
    }
}

type Protection<'a> = (
    Option<&'a railwright::catalog::Fuse>,
    Option<&'a railwright::catalog::InrushLimiter>,
    Option<&'a railwright::catalog::CutOut>,
);

/// Rules that read the coupled choice and its bleeder alone.
pub(super) fn coupled(rule: &Rule) -> bool {
    matches!(rule.group, Group::Transformer | Group::Train | Group::Bleeder)
}

/// Whether some rules hold.
pub(super) fn holds(bench: &Bench<'_>, which: &dyn Fn(&Rule) -> bool) -> bool {
    let mut verdicts = Vec::new();
    rules().iter().filter(|rule| which(rule)).all(|rule| {
        verdicts.clear();
        (rule.judge)(bench, &mut verdicts);
        verdicts.iter().all(Verdict::holds)
    })
}
