//! The least score over all trains of one rail in one topology: branch and bound with bounds that lose nothing.
//!
//! Sources, rectifiers, banks and stages are each sorted by score; a loop ends as soon as nothing after it can be better.

use std::f64::consts::{PI, SQRT_2};

use crate::{
    candidate::{
        bank::{BankOption, banks},
        rectifier::{RectifierOption, rectifiers},
        shop::Shop,
        source::{SourceOption, sources},
        stage::{StageOption, raw, stages},
    },
    circuit::{
        spec::Topology,
        supply::{Rectifier, Span},
    },
    physics::copper,
    quantity::{Celsius, Farads, Volts},
    requirement::Regulation,
    stress::{
        assembly::{Assembly, Reservoir, ResistorChoice},
        bench::{Asked, Bench, left_of, no_load_peak_v},
        convert::{air_of, rectifier_of},
        position::Position,
        registry::{Group, rules},
        resistor::choose_bleeder,
        stage::load_high_a,
        verdict::Unit,
    },
};

use super::{
    leaf::{Completer, Found, SCORE_TIE, identity},
    quick::Train,
    screen::Feed,
    tally::{Depth, Tally},
    vertices::VALLEY_COLD,
};

/// Part ids that a search must not use.
pub type Banned = std::collections::BTreeSet<String>;

/// What a search found, and what stood in the way of the rest.
#[derive(Clone, Debug)]
pub struct Outcome<'a> {
    /// The best rail, if any.
    pub best: Option<Found<'a>>,
    /// What stopped the others.
    pub tally: Tally,
}

/// A rectifier with its numbers.
pub(super) struct Rectifying<'a> {
    pub(super) option: RectifierOption<'a>,
    pub(super) numbers: Rectifier,
    reverse_limit_v: f64,
}

/// What changes while a search runs.
pub(super) struct State<'a> {
    best: Option<Found<'a>>,
    most: f64,
    pub(super) tally: Tally,
}

impl State<'_> {
    /// The score that a candidate must not exceed.
    fn bound(&self) -> f64 {
        self.best.as_ref().map_or(self.most, |found| found.score.min(self.most)) + SCORE_TIE
    }
}

/// Everything one search of one topology goes through.
pub struct Search<'s, 'a> {
    pub(super) asked: Asked<'a>,
    shop: &'s Shop<'a>,
    pub(super) topology: Topology,
    sources: Vec<SourceOption<'a>>,
    rectifiers: Vec<Rectifying<'a>>,
    banks: Vec<BankOption<'a>>,
    stages: Vec<StageOption<'a>>,
    least_fuse: f64,
    pub(super) mains_v: Span,
    pub(super) frequency_hz: Span,
    listed: Tally,
}

impl<'s, 'a> Search<'s, 'a> {
    /// Lists everything that could serve a rail in one topology; parts in `banned` are left out.
    pub fn new(asked: Asked<'a>, shop: &'s Shop<'a>, topology: Topology, banned: &Banned) -> Self {
        let mains = &asked.requirement.mains;
        let (nominal, frequency) = (mains.voltage.0, mains.frequency.0);
        let free = |id: &crate::catalog::PartId| !banned.contains(&id.0);
        let mut search = Self {
            asked,
            shop,
            topology,
            sources: Vec::new(),
            rectifiers: Vec::new(),
            banks: banks(asked, shop)
                .into_iter()
                .filter(|bank| free(&bank.reservoir.part.common.id))
                .collect(),
            stages: match asked.rail.regulation {
                Regulation::None => vec![raw(asked)],
                _ => stages(asked, shop),
            },
            least_fuse: shop.fuses.first().map_or(f64::INFINITY, |fuse| fuse.score(1)),
            mains_v: Span {
                low: nominal * (1.0 - mains.low.0),
                nominal,
                high: nominal * (1.0 + mains.high.0),
            },
            frequency_hz: Span {
                low: frequency * (1.0 - mains.frequency_tolerance.0),
                nominal: frequency,
                high: frequency * (1.0 + mains.frequency_tolerance.0),
            },
            listed: Tally::default(),
        };
        search.stages.retain(|stage| stage.regulation.as_ref().is_none_or(|one| free(&one.part.common.id)));
        if let Some(blank) = search.blank() {
            search.rectifiers = search.list_rectifiers(&blank, banned);
            search.sources = search.list_sources(&blank, banned);
        }
        search
    }

    /// Any assembly at all, whose fields are then replaced; `None` where a family is empty.
    fn blank(&self) -> Option<Assembly<'a>> {
        let rectifier = rectifiers(self.shop, self.topology).first().copied()?;
        Some(Assembly {
            transformer: self.shop.transformers.first()?.part,
            primary: 0,
            wiring: crate::stress::assembly::Wiring::Single,
            topology: self.topology,
            rectifier: rectifier.part,
            rectifier_cooling: rectifier.cooling,
            reservoir: self.banks.first()?.reservoir,
            bleeder: None,
            regulation: None,
            primary_fuse: None,
            limiter: None,
            secondary_fuse: None,
            cut_out: None,
        })
    }

    /// Rectifiers that can be converted and whose junction could stay cool at the least loss any circuit makes.
    fn list_rectifiers(&mut self, blank: &Assembly<'a>, banned: &Banned) -> Vec<Rectifying<'a>> {
        let air_c = air_of(self.asked).hot_c;
        let load_a = load_high_a(self.asked.rail);
        let mut found = Vec::new();
        for option in rectifiers(self.shop, self.topology) {
            let id = &option.part.common().id.0;
            if banned.contains(id) {
                continue;
            }
            let assembly = Assembly { rectifier: option.part, rectifier_cooling: option.cooling, ..*blank };
            let Ok(numbers) = rectifier_of(self.asked, &assembly) else { continue };
            let (element, junction_max) = match option.part {
                crate::stress::assembly::RectifierPart::Bridge(part) => {
                    (&part.element, part.thermal.junction_max)
                }
                crate::stress::assembly::RectifierPart::Diodes(part) => {
                    (&part.element, part.thermal.junction_max)
                }
            };
            let limit_c = left_of(self.asked.policy, "rectifier-junction-temperature", junction_max.0);
            // The threshold falls with temperature: at the limit it is least. rms is at least the mean.
            let least_v = numbers.line.at(Celsius(limit_c)).threshold.0;
            let loss = match self.topology {
                Topology::Bridge if numbers.elements_per_package == 4 => 2.0 * least_v * load_a,
                Topology::HalfWave => least_v * load_a,
                _ => 0.5 * least_v * load_a,
            };
            let least_c = numbers.path.junction_c(loss, air_c);
            if least_c > limit_c {
                self.listed.number(
                    "rectifier-junction-temperature",
                    Depth::Source,
                    (Position::Rectifier, id),
                    (least_c, limit_c, Unit::Celsius),
                    (least_c - air_c) / (limit_c - air_c).max(1e-9),
                    None,
                );
                continue;
            }
            let reverse_limit_v =
                left_of(self.asked.policy, "rectifier-reverse-voltage", element.reverse_repetitive.0);
            found.push(Rectifying { option, numbers, reverse_limit_v });
        }
        found
    }

    /// Sources that pass every rule on transformer and mains alone.
    fn list_sources(&mut self, blank: &Assembly<'a>, banned: &Banned) -> Vec<SourceOption<'a>> {
        let mut scratch = Vec::new();
        let mut found = Vec::new();
        for option in sources(self.asked, self.shop, self.topology, blank) {
            if banned.contains(&option.transformer.common.id.0) {
                continue;
            }
            let assembly = Assembly {
                transformer: option.transformer,
                primary: option.primary,
                wiring: option.wiring,
                ..*blank
            };
            let Ok(bench) = Bench::build(self.asked, assembly, std::iter::empty()) else { continue };
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
            if !failed {
                found.push(option);
            }
        }
        found
    }

    /// Runs the search; nothing whose score exceeds `most` is looked at.
    pub fn run(&self, most: f64) -> Outcome<'a> {
        let mut state = State { best: None, most, tally: self.listed.clone() };
        let least_rest = self.banks.first().map_or(f64::INFINITY, |bank| bank.score)
            + least_score(self.stages.iter())
            + self.least_fuse;
        let least_rectifier = self.rectifiers.first().map_or(f64::INFINITY, |one| one.option.score);
        for source in &self.sources {
            if source.score + least_rectifier + least_rest > state.bound() {
                break;
            }
            self.source(source, least_rest, &mut state);
        }
        Outcome { best: state.best, tally: state.tally }
    }

    fn source(&self, source: &SourceOption<'a>, least_rest: f64, state: &mut State<'a>) {
        let peak_v = no_load_peak_v(&source.source, self.mains_v);
        let id = source.transformer.common.id.0.as_str();
        let stages: Vec<&StageOption<'a>> =
            self.stages.iter().filter(|stage| peak_v <= stage.input_limit_v * (1.0 + 1e-9)).collect();
        if stages.is_empty() {
            let limit = self.stages.iter().map(|stage| stage.input_limit_v).fold(0.0, f64::max);
            let code = if self.asked.rail.regulation == Regulation::None {
                "raw-voltage-window"
            } else {
                "regulator-input-voltage"
            };
            let figures = (peak_v, limit, Unit::Volts);
            state.tally.number(
                code,
                Depth::Source,
                (Position::Transformer, id),
                figures,
                peak_v / limit,
                None,
            );
            return;
        }
        for rectifying in &self.rectifiers {
            if source.score + rectifying.option.score + least_rest > state.bound() {
                break;
            }
            let reverse_v = if self.topology == Topology::Bridge { peak_v } else { 2.0 * peak_v };
            if reverse_v > rectifying.reverse_limit_v * (1.0 + 1e-9) {
                state.tally.number(
                    "rectifier-reverse-voltage",
                    Depth::Source,
                    (Position::Rectifier, &rectifying.option.part.common().id.0),
                    (reverse_v, rectifying.reverse_limit_v, Unit::Volts),
                    reverse_v / rectifying.reverse_limit_v,
                    None,
                );
                continue;
            }
            self.pair(source, rectifying, &stages, peak_v, state);
        }
    }

    /// The source and rectifier at the cold valley, as the bounds see them.
    fn feed(&self, source: &SourceOption<'a>, rectifying: &Rectifying<'a>) -> Feed {
        let cold_c = air_of(self.asked).cold_c;
        let line = rectifying.numbers.line.at(Celsius(cold_c));
        let in_series = if self.topology == Topology::Bridge { 2.0 } else { 1.0 };
        let numbers = &source.source;
        let copper_ohm = (numbers.secondary_20_ohm + numbers.primary_20_ohm)
            * copper::factor(Celsius(cold_c))
            + numbers.mains_ohm;
        Feed {
            emf_peak_v: SQRT_2 * numbers.emf_rms_v * self.mains_v.low / self.mains_v.nominal
                * (1.0 - numbers.emf_tolerance)
                * self.asked.requirement.mains.peak_factor.0,
            threshold_v: in_series * line.threshold.0,
            resistance_ohm: copper_ohm + in_series * line.slope.0,
            omega: 2.0 * PI * self.frequency_hz.low,
            pulses: if self.topology == Topology::HalfWave { 1.0 } else { 2.0 },
            load_a: load_high_a(self.asked.rail),
        }
    }

    fn pair(
        &self,
        source: &SourceOption<'a>,
        rectifying: &Rectifying<'a>,
        stages: &[&StageOption<'a>],
        peak_v: f64,
        state: &mut State<'a>,
    ) {
        let feed = self.feed(source, rectifying);
        let id = source.transformer.common.id.0.as_str();
        let stages: Vec<&StageOption<'a>> =
            stages.iter().copied().filter(|stage| feed.can_hold(stage.need_v)).collect();
        let Some(need_v) = stages.iter().map(|stage| stage.need_v).reduce(f64::min) else {
            let need = self.stages.iter().map(|stage| stage.need_v).fold(f64::INFINITY, f64::min);
            let at_hand = feed.emf_peak_v - feed.threshold_v;
            state.tally.number(
                "regulator-headroom",
                Depth::Rectifier,
                (Position::Transformer, id),
                (at_hand, need, Unit::Volts),
                (need / at_hand.max(1e-9)).max(1.0 + 1e-6),
                Some(VALLEY_COLD),
            );
            return;
        };
        let least_rms_a = feed.least_rms_a(need_v);
        let per_path_a =
            if self.topology == Topology::CentreTap { least_rms_a / SQRT_2 } else { least_rms_a };
        let one_a = source.wiring_current(per_path_a);
        let rated_a = source.transformer.secondaries.first().map_or(0.0, |winding| winding.current.0);
        let limit_a = left_of(self.asked.policy, "transformer-secondary-current", rated_a);
        if one_a > limit_a {
            state.tally.number(
                "transformer-secondary-current",
                Depth::Rectifier,
                (Position::Transformer, id),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(VALLEY_COLD),
            );
            return;
        }
        let least_farad = feed.least_farad(need_v);
        let least_ripple_a = (least_rms_a * least_rms_a - feed.load_a * feed.load_a).max(0.0).sqrt();
        let least_stage = least_score(stages.iter().copied());
        let partial = source.score + rectifying.option.score + self.least_fuse;
        for bank in &self.banks {
            if partial + bank.score + least_stage > state.bound() {
                break;
            }
            // The bank's low capacitance at the cold end is the least it ever has.
            let farad = bank.bank.farad.low * bank.bank.farad_cold_ratio;
            if peak_v > bank.voltage_limit_v * (1.0 + 1e-9)
                || farad < least_farad
                || least_ripple_a > bank.ripple_limit_a
            {
                continue;
            }
            for stage in &stages {
                let score = partial + bank.score + stage.score;
                if score > state.bound() {
                    break;
                }
                if score + stage.cooling_score <= state.bound() {
                    self.train(source, rectifying, bank, stage, peak_v, state);
                }
            }
        }
    }

    /// Every bleeder that discharges the bank, cheapest first; one `None` where none is needed.
    fn bleeders(&self, reservoir: &Reservoir<'a>, peak_v: f64) -> Vec<(Option<ResistorChoice<'a>>, f64)> {
        if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
            return vec![(None, 0.0)];
        }
        let part = reservoir.part;
        let farad = part.capacitance.0 * f64::from(reservoir.count) * (1.0 + part.tolerance_plus.0);
        self.shop
            .resistors
            .iter()
            .filter_map(|series| {
                let choice = choose_bleeder(self.asked, series.part, Farads(farad), Volts(peak_v))?;
                Some((Some(choice), series.score(1)))
            })
            .collect()
    }

    fn train(
        &self,
        source: &SourceOption<'a>,
        rectifying: &Rectifying<'a>,
        bank: &BankOption<'a>,
        stage: &StageOption<'a>,
        peak_v: f64,
        state: &mut State<'a>,
    ) {
        let base = source.score + rectifying.option.score + bank.score + stage.score;
        for (bleeder, bleeder_score) in self.bleeders(&bank.reservoir, peak_v) {
            let score = base + bleeder_score;
            if score + stage.cooling_score + self.least_fuse > state.bound() {
                return;
            }
            let assembly = Assembly {
                transformer: source.transformer,
                primary: source.primary,
                wiring: source.wiring,
                topology: self.topology,
                rectifier: rectifying.option.part,
                rectifier_cooling: rectifying.option.cooling,
                reservoir: bank.reservoir,
                bleeder,
                regulation: stage.regulation,
                primary_fuse: None,
                limiter: None,
                secondary_fuse: None,
                cut_out: None,
            };
            let train = Train { source, rectifying, bank, stage, peak_v };
            if !self.quick(&train, &assembly, state) {
                continue;
            }
            let completer = Completer { asked: self.asked, shop: self.shop };
            let bound = state.bound();
            let Some(found) = completer.complete(assembly, score, bound, &mut state.tally) else { continue };
            let better = state.best.as_ref().is_none_or(|known| {
                found.score < known.score - SCORE_TIE
                    || (found.score <= known.score + SCORE_TIE
                        && identity(&found.assembly) < identity(&known.assembly))
            });
            if better && found.score <= state.most + SCORE_TIE {
                state.best = Some(found);
            }
            return;
        }
    }
}

/// Least score of a stage with its cooling.
fn least_score<'r, 'a: 'r>(stages: impl Iterator<Item = &'r StageOption<'a>>) -> f64 {
    stages.map(|stage| stage.score + stage.cooling_score).fold(f64::INFINITY, f64::min)
}
