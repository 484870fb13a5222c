//! What could serve a rail in one topology, each part judged by itself: rectifiers and sources.
//!
//! Combines nothing. What falls here is counted once, whatever the rest of the train.

use crate::{
    candidate::{
        rectifier::rectifiers,
        shop::Priced,
        source::{SourceOption, sources},
    },
    catalog::{Fuse, family::protection::FuseSystem},
    circuit::{
        spec::Topology,
        supply::{Body, Rectifier},
    },
    physics::transformer::core::dc_magnetisation,
    quantity::{Amps, Celsius, Ratio},
    stress::{
        assembly::{Assembly, Cooling, RectifierPart, Wiring},
        bench::{Bench, figure_of, left_of},
        convert::{air_of, rectifier_of},
        fuse_limit,
        position::Position,
        registry::{Group, by_code, rules},
        stage::{load_high_a, load_of},
        verdict::{EQUALITY, Unit, Verdict},
        winding,
    },
};

use super::{
    around::stands_in,
    bounds::Opened,
    ready::Fit,
    rectifying::{Bearing, Rectifying, Way},
    search::{Search, State},
    tally::{Depth, Tally},
};

/// Rule on the direct current in a core.
const DIRECT: &str = "transformer-dc-magnetisation";

/// A source with the least that its mains fuse costs.
pub(super) struct Fed<'a> {
    pub(super) option: SourceOption<'a>,
    pub(super) fuse_score: f64,
    /// Greatest steady primary current of any mains fuse that the transformer's size lets pass, A.
    pub(super) fuse_limit_a: f64,
    /// Whether the transformer may stand without a mains fuse.
    pub(super) proof: bool,
    /// Direct current that a half-wave load may take, A; without end for other topologies.
    pub(super) direct_a: f64,
}

/// Whether the rules of some codes hold.
fn holds(bench: &Bench<'_>, codes: &[&str]) -> bool {
    let mut verdicts = Vec::new();
    for rule in codes.iter().filter_map(|code| by_code(code)) {
        (rule.judge)(bench, &mut verdicts);
    }
    verdicts.iter().all(Verdict::holds)
}

/// Least score and greatest steady current of the mains fuses that the transformer's size lets pass.
fn fused<'a>(bench: &mut Bench<'a>, fuses: &[&Priced<'a, Fuse>]) -> (f64, f64) {
    let mut pass = |fuse: &&&Priced<'a, Fuse>| {
        bench.assembly.primary_fuse = Some(fuse.part);
        holds(bench, &["fuse-rating"])
    };
    let fitting: Vec<&Priced<'a, Fuse>> = fuses.iter().filter(|fuse| pass(fuse)).copied().collect();
    // A source without any fuse is left to the rules, which say why.
    let Some(least) = fitting.first() else {
        return (fuses.first().map_or(0.0, |fuse| fuse.score(1)), f64::INFINITY);
    };
    let limits = fitting.iter().map(|fuse| fuse_limit::limit_a(bench, fuse.part));
    (least.score(1), limits.fold(0.0, f64::max))
}

impl<'s, 'a> Search<'s, 'a> {
    /// Any assembly at all, whose fields are then replaced; `None` where a family is empty.
    pub(super) fn any_assembly(&self) -> Option<Assembly<'a>> {
        let rectifier = rectifiers(self.shop, self.topology).into_iter().next()?;
        Some(Assembly {
            transformer: self.shop.transformers.first()?.part,
            primary: 0,
            wiring: Wiring::Single,
            topology: self.topology,
            rectifier: rectifier.part,
            rectifier_cooling: rectifier.coolings.first()?.0,
            section: None,
            reservoir: self.banks.first()?.reservoir,
            bleeder: None,
            regulation: None,
            primary_fuse: None,
            limiter: None,
            secondary_fuse: None,
            cut_out: None,
            mates: self.mates,
        })
    }

    /// Rectifiers that can be converted, each with the coolings that the least loss of any circuit does not rule out.
    pub(super) fn list_rectifiers(&mut self, blank: &Assembly<'a>) -> Vec<Rectifying<'a>> {
        let air = air_of(self.asked);
        let mut found = Vec::new();
        let mut misses = Tally::default();
        for option in rectifiers(self.shop, self.topology) {
            let id = &option.part.common().id.0;
            let (element, junction_max) = match option.part {
                RectifierPart::Bridge(part) => (&part.element, part.thermal.junction_max),
                RectifierPart::Diodes(part) => (&part.element, part.thermal.junction_max),
            };
            let limit_c = left_of(self.asked.policy, "rectifier-junction-temperature", junction_max.0);
            let bearing = Bearing::of(option.part);
            let mut ways = Vec::new();
            for (cooling, score) in option.coolings {
                let assembly = Assembly { rectifier: option.part, rectifier_cooling: cooling, ..*blank };
                let Ok(numbers) = rectifier_of(self.asked, &assembly) else { continue };
                let stands =
                    |one: Cooling<'a>| stands_in(&air, &one.sink.common) && stands_in(&air, &one.pad.common);
                if !cooling.is_none_or(stands) {
                    continue;
                }
                let heat_w = self.least_loss_w(&numbers, limit_c);
                let pulses = match self.topology {
                    Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 1.0,
                    _ => 2.0,
                };
                let average_a = load_of(self.asked.rail, Body::Light) / pulses;
                match bearing.broken(self.asked, &numbers.path, heat_w, average_a) {
                    None => ways.push(Way { cooling, score, numbers }),
                    Some((code, applied, limit, unit, utilisation)) => {
                        let place = (Position::Rectifier, id.as_str());
                        misses.number(code, Depth::Part, place, (applied, limit, unit), utilisation, None);
                    }
                }
            }
            let reverse_limit_v =
                left_of(self.asked.policy, "rectifier-reverse-voltage", element.reverse_repetitive.0);
            if !ways.is_empty() {
                found.push(Rectifying::of(self.asked, option.part, option.score, ways, reverse_limit_v));
            }
        }
        // What one rectifier misses binds nothing while others are left.
        if found.is_empty() {
            misses.raise(Depth::Source);
        }
        self.listed.absorb(&misses);
        found
    }

    /// Least loss of one package in any circuit, W: mean current through the threshold at the limit, where it is least.
    fn least_loss_w(&self, numbers: &Rectifier, limit_c: f64) -> f64 {
        let least_v = numbers.line.at(Celsius(limit_c)).threshold.0;
        let load_a = load_of(self.asked.rail, Body::Light);
        match self.topology {
            Topology::Bridge if numbers.elements_per_package == 4 => 2.0 * least_v * load_a,
            // Each diode of a doubler carries the whole mean.
            Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => least_v * load_a,
            _ => 0.5 * least_v * load_a,
        }
    }

    /// Reverse voltage of a diode behind a source of a no-load peak, V. Of a doubler the peak is twice the EMF's already.
    pub(super) fn reverse_v(&self, peak_v: f64) -> f64 {
        match self.topology {
            Topology::Bridge | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => peak_v,
            _ => 2.0 * peak_v,
        }
    }

    /// Sources that pass every rule on transformer and mains alone.
    pub(super) fn list_sources(&mut self, blank: &Assembly<'a>) -> Vec<Fed<'a>> {
        let mut scratch = Vec::new();
        let mut found = Vec::new();
        let mut fuses: Option<Vec<&Priced<'a, Fuse>>> = None;
        let group = self.group.as_ref().map(|(topologies, place)| (topologies.as_slice(), *place));
        for option in sources(self.asked, self.shop, self.topology, blank, group) {
            let assembly = Assembly {
                transformer: option.transformer,
                primary: option.primary,
                wiring: option.wiring,
                mates: option.seated(&self.mates),
                ..*blank
            };
            let Ok(mut bench) = Bench::build(self.asked, assembly, std::iter::empty()) else { continue };
            let mut failed = false;
            for rule in rules().iter().filter(|rule| rule.group == Group::Transformer) {
                scratch.clear();
                (rule.judge)(&bench, &mut scratch);
                if let Some(verdict) = scratch.iter().find(|verdict| !verdict.holds()) {
                    self.listed.verdict(verdict, Depth::Source, &option.transformer.common.id.0);
                    failed = true;
                    break;
                }
            }
            if !failed && let Some(direct_a) = self.direct_a(&bench) {
                let fuses = fuses.get_or_insert_with(|| self.list_fuses(&mut bench));
                bench.assembly.primary_fuse = None;
                let proof = holds(&bench, &["fuse-breaking-capacity"]);
                let (fuse_score, fuse_limit_a) = fused(&mut bench, fuses);
                found.push(Fed { option, fuse_score, fuse_limit_a, proof, direct_a });
            }
        }
        found
    }

    /// Fuses that break the mains at all, cheapest first.
    fn list_fuses(&self, bench: &mut Bench<'a>) -> Vec<&'s Priced<'a, Fuse>> {
        let ul = !self.asked.requirement.preferences.iec_fuses;
        let shop = self.shop;
        shop.fuses
            .iter()
            .filter(|fuse| (fuse.part.system == FuseSystem::Ul248) == ul)
            .filter(|fuse| {
                bench.assembly.primary_fuse = Some(fuse.part);
                holds(bench, &["fuse-voltage", "fuse-breaking-capacity"])
            })
            .collect()
    }

    /// Direct current of a half-wave load that the core bears, whatever feeds it, A; `None` where that is less than the load.
    fn direct_a(&mut self, bench: &Bench<'a>) -> Option<f64> {
        if self.topology != Topology::HalfWave {
            return Some(f64::INFINITY);
        }
        let mut verdicts = Vec::new();
        if let Some(rule) = by_code(DIRECT) {
            (rule.judge)(bench, &mut verdicts);
        }
        // A core without gap carries none at all: the one fact among the rule's verdicts.
        let gapless = |one: &&Verdict| matches!(one, Verdict::Fact { holds: false, .. });
        if let Some(fact) = verdicts.iter().find(gapless) {
            self.listed.verdict(fact, Depth::Source, &bench.assembly.transformer.common.id.0);
            return None;
        }
        let turns = Ratio(bench.supply.source.primary_per_path);
        let magnetising = Amps(winding::rated_magnetising_a(&bench.supply.source));
        // The share is as the current: its mean is the load.
        let per_a = dc_magnetisation(Amps(1.0), turns, magnetising).0;
        let load_a = load_high_a(self.asked.rail);
        let (limit, _) = bench.figure(DIRECT, f64::INFINITY);
        let direct_a = limit / per_a * (1.0 + EQUALITY);
        if load_a > direct_a {
            let part = (Position::Transformer, bench.assembly.transformer.common.id.0.as_str());
            let figures = (load_a * per_a, limit, Unit::Percent);
            self.listed.number(DIRECT, Depth::Rectifier, part, figures, load_a * per_a / limit, None);
            return None;
        }
        Some(direct_a)
    }

    /// Whether the core bears the direct current of a stage without bleeder.
    pub(super) fn magnetises(
        &self,
        opened: &Opened<'_, 'a>,
        fit: &Fit<'_, 'a>,
        state: &mut State<'a>,
    ) -> bool {
        let share = fit.load_a.high / opened.direct_a;
        if share > 1.0 {
            let limit = figure_of(self.asked.policy, DIRECT).unwrap_or(1.0);
            let part = (Position::Transformer, opened.source.transformer.common.id.0.as_str());
            let figures = (share * limit, limit, Unit::Percent);
            state.tally.number(DIRECT, Depth::Rectifier, part, figures, share, None);
        }
        share <= 1.0
    }
}
