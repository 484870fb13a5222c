//! The least score over all trains of one rail in one topology: branch and bound with bounds that lose nothing.
//!
//! Sources, rectifiers, banks and stages are each sorted by score; a loop ends as soon as nothing after it can be better.

use std::{
    cell::Cell,
    collections::BTreeSet,
    f64::consts::{PI, SQRT_2},
};

use crate::{
    candidate::{
        bank::{BankOption, banks},
        rectifier::rectifiers,
        shop::Shop,
        source::{SourceOption, sources},
        stage::{StageOption, raw, stages},
    },
    circuit::{
        spec::Topology,
        supply::{Rectifier, Span, Supply},
    },
    physics::{copper, transformer::core::dc_magnetisation},
    quantity::{Amps, Celsius, Farads, Ratio, Volts},
    requirement::Regulation,
    stress::{
        assembly::{Assembly, Cooling, RectifierPart, Reservoir, ResistorChoice},
        bench::{Asked, Bench, left_of, no_load_peak_v},
        convert::{air_of, rectifier_of},
        position::Position,
        registry::{Group, rules},
        resistor::{choose_bleeder, least_ohm, power_rating},
        stage::{Auxiliary, load_high_a, load_span},
        verdict::{EQUALITY, Unit},
        winding,
    },
};

use super::{
    leaf::{Completer, Fallen, Found, SCORE_TIE, identity},
    quick::{Memory, Places, Train},
    screen::Feed,
    tally::{Depth, Tally},
    vertices::{CURRENT, DISSIPATION, HEAT, VALLEY_COLD},
    window::{Least, Limits},
};

/// Trains judged in full for one pair in the first pass.
const PROBE_TRIES: u32 = 2;

/// Part ids that a search must not use.
pub type Banned = BTreeSet<String>;

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
    pub(super) part: RectifierPart<'a>,
    pub(super) score: f64,
    /// Ways to cool it that the least loss of any circuit does not rule out, cheapest first.
    pub(super) ways: Vec<Way<'a>>,
    reverse_limit_v: f64,
}

/// One way to cool a rectifier.
pub(super) struct Way<'a> {
    pub(super) cooling: Option<Cooling<'a>>,
    pub(super) score: f64,
    pub(super) numbers: Rectifier,
}

impl<'a> Rectifying<'a> {
    /// Score of the part with its cheapest cooling.
    fn least_score(&self) -> f64 {
        self.score + self.ways.first().map_or(f64::INFINITY, |way| way.score)
    }
}

/// What changes while a search runs.
pub(super) struct State<'a> {
    best: Option<Found<'a>>,
    most: f64,
    pub(super) tally: Tally,
    /// Parts that lack a rating some rule needs of them, whatever the rest of the train.
    lacking: BTreeSet<(Position, &'a str)>,
    /// Trains judged in full for one source and rectifier before going on to the next.
    tries_max: u32,
}

impl<'a> State<'a> {
    /// Keeps a rail if it beats the best so far; of equal scores the first by part ids.
    fn keep(&mut self, found: Found<'a>) {
        let better = self.best.as_ref().is_none_or(|known| {
            found.score < known.score - SCORE_TIE
                || (found.score <= known.score + SCORE_TIE
                    && identity(&found.assembly) < identity(&known.assembly))
        });
        if better && found.score <= self.most + SCORE_TIE {
            self.best = Some(found);
        }
    }

    /// The score that a candidate must not exceed.
    fn bound(&self) -> f64 {
        self.best.as_ref().map_or(self.most, |found| found.score.min(self.most)) + SCORE_TIE
    }
}

/// A source and a rectifier with what could follow them.
#[derive(Clone, Copy)]
struct Pair<'t, 'a> {
    source: &'t SourceOption<'a>,
    rectifying: &'t Rectifying<'a>,
    stages: &'t [&'t StageOption<'a>],
    banks: &'t [&'t BankOption<'a>],
    limits: &'t Limits,
    peak_v: f64,
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
    least_threshold_v: f64,
    least_slope_ohm: f64,
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
            least_threshold_v: 0.0,
            least_slope_ohm: 0.0,
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
            let cold = Celsius(air_of(asked).cold_c);
            let lines: Vec<_> = search
                .rectifiers
                .iter()
                .flat_map(|one| one.ways.first())
                .map(|way| way.numbers.line.at(cold))
                .collect();
            search.least_threshold_v =
                lines.iter().map(|line| line.threshold.0).fold(f64::INFINITY, f64::min);
            search.least_slope_ohm = lines.iter().map(|line| line.slope.0).fold(f64::INFINITY, f64::min);
            search.sources = search.list_sources(&blank, banned);
        }
        search
    }

    /// Any assembly at all, whose fields are then replaced; `None` where a family is empty.
    fn blank(&self) -> Option<Assembly<'a>> {
        let rectifier = rectifiers(self.shop, self.topology).into_iter().next()?;
        Some(Assembly {
            transformer: self.shop.transformers.first()?.part,
            primary: 0,
            wiring: crate::stress::assembly::Wiring::Single,
            topology: self.topology,
            rectifier: rectifier.part,
            rectifier_cooling: rectifier.coolings.first()?.0,
            reservoir: self.banks.first()?.reservoir,
            bleeder: None,
            regulation: None,
            primary_fuse: None,
            limiter: None,
            secondary_fuse: None,
            cut_out: None,
        })
    }

    /// Rectifiers that can be converted, each with the coolings that the least loss of any circuit does not rule out.
    fn list_rectifiers(&mut self, blank: &Assembly<'a>, banned: &Banned) -> Vec<Rectifying<'a>> {
        let air_c = air_of(self.asked).hot_c;
        let mut found = Vec::new();
        for option in rectifiers(self.shop, self.topology) {
            let id = &option.part.common().id.0;
            if banned.contains(id) {
                continue;
            }
            let (element, junction_max) = match option.part {
                RectifierPart::Bridge(part) => (&part.element, part.thermal.junction_max),
                RectifierPart::Diodes(part) => (&part.element, part.thermal.junction_max),
            };
            let limit_c = left_of(self.asked.policy, "rectifier-junction-temperature", junction_max.0);
            let mut ways = Vec::new();
            for (cooling, score) in option.coolings {
                let assembly = Assembly { rectifier: option.part, rectifier_cooling: cooling, ..*blank };
                let Ok(numbers) = rectifier_of(self.asked, &assembly) else { continue };
                let least_c = numbers.path.junction_c(self.least_loss_w(&numbers, limit_c), air_c);
                if least_c <= limit_c {
                    ways.push(Way { cooling, score, numbers });
                } else {
                    self.listed.number(
                        "rectifier-junction-temperature",
                        Depth::Source,
                        (Position::Rectifier, id),
                        (least_c, limit_c, Unit::Celsius),
                        (least_c - air_c) / (limit_c - air_c).max(1e-9),
                        None,
                    );
                }
            }
            let reverse_limit_v =
                left_of(self.asked.policy, "rectifier-reverse-voltage", element.reverse_repetitive.0);
            if !ways.is_empty() {
                found.push(Rectifying { part: option.part, score: option.score, ways, reverse_limit_v });
            }
        }
        found
    }

    /// Least loss of one package in any circuit, W: mean current through the threshold at the limit, where it is least.
    fn least_loss_w(&self, numbers: &Rectifier, limit_c: f64) -> f64 {
        let least_v = numbers.line.at(Celsius(limit_c)).threshold.0;
        let load_a = load_high_a(self.asked.rail);
        match self.topology {
            Topology::Bridge if numbers.elements_per_package == 4 => 2.0 * least_v * load_a,
            Topology::HalfWave => least_v * load_a,
            _ => 0.5 * least_v * load_a,
        }
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
            if !failed && self.magnetises(&bench) {
                found.push(option);
            }
        }
        found
    }

    /// Whether the core bears the direct current of a half-wave load, whatever feeds it: its mean is the load.
    fn magnetises(&mut self, bench: &Bench<'a>) -> bool {
        const CODE: &str = "transformer-dc-magnetisation";
        if self.topology != Topology::HalfWave {
            return true;
        }
        let turns = Ratio(bench.supply.source.primary_per_path);
        let magnetising = Amps(winding::rated_magnetising_a(bench));
        let applied = dc_magnetisation(Amps(load_high_a(self.asked.rail)), turns, magnetising).0;
        let (limit, _) = bench.figure(CODE, f64::INFINITY);
        let holds = applied <= limit * (1.0 + EQUALITY);
        if !holds {
            let part = (Position::Transformer, bench.assembly.transformer.common.id.0.as_str());
            self.listed.number(
                CODE,
                Depth::Source,
                part,
                (applied, limit, Unit::Percent),
                applied / limit,
                None,
            );
        }
        holds
    }

    /// Runs the search; nothing whose score exceeds `most` is looked at.
    pub fn run(&self, most: f64) -> Outcome<'a> {
        let mut state = State {
            best: None,
            most,
            tally: self.listed.clone(),
            lacking: BTreeSet::new(),
            tries_max: PROBE_TRIES,
        };
        // A first pass that gives up early on each pair finds some design; the second, complete one need not look at what
        // is dearer.
        self.pass(&mut state);
        state.tries_max = u32::MAX;
        self.pass(&mut state);
        Outcome { best: state.best, tally: state.tally }
    }

    /// All sources, cheapest first, until nothing after can be better.
    fn pass(&self, state: &mut State<'a>) {
        let least_rest =
            self.banks.first().map_or(f64::INFINITY, |bank| bank.score) + least_score(self.stages.iter());
        let least_rectifier =
            self.rectifiers.iter().map(Rectifying::least_score).fold(f64::INFINITY, f64::min);
        for source in &self.sources {
            if source.score + least_rectifier + least_rest > state.bound() {
                break;
            }
            self.source(source, least_rest, state);
        }
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
        let Some(least) = self.screen_source(source, &stages, state) else { return };
        let banks: Vec<&BankOption<'a>> = self
            .banks
            .iter()
            .filter(|bank| peak_v <= bank.voltage_limit_v * (1.0 + 1e-9) && least <= bank.ripple_limit_a)
            .collect();
        let Some(limits) = Limits::of(&banks) else { return };
        let reverse_v = if self.topology == Topology::Bridge { peak_v } else { 2.0 * peak_v };
        let mut memory = Memory::default();
        for rectifying in &self.rectifiers {
            if source.score + rectifying.score + least_rest > state.bound() {
                break;
            }
            if source.score + rectifying.least_score() + least_rest > state.bound() {
                continue;
            }
            if reverse_v > rectifying.reverse_limit_v * (1.0 + 1e-9) {
                state.tally.number(
                    "rectifier-reverse-voltage",
                    Depth::Source,
                    (Position::Rectifier, &rectifying.part.common().id.0),
                    (reverse_v, rectifying.reverse_limit_v, Unit::Volts),
                    reverse_v / rectifying.reverse_limit_v,
                    None,
                );
                continue;
            }
            if state.lacking.contains(&(Position::Rectifier, rectifying.part.common().id.0.as_str())) {
                continue;
            }
            let pair = Pair { source, rectifying, stages: &stages, banks: &banks, limits: &limits, peak_v };
            self.pair(pair, &mut memory, state);
        }
    }

    /// Bounds that the source fails or meets with the best rectifier there is; returns the least ripple current of any bank.
    fn screen_source(
        &self,
        source: &SourceOption<'a>,
        stages: &[&StageOption<'a>],
        state: &mut State<'a>,
    ) -> Option<f64> {
        let id = source.transformer.common.id.0.as_str();
        let feed = self.feed(source, self.least_threshold_v, self.least_slope_ohm);
        let need_v = stages.iter().map(|stage| stage.need_v).fold(f64::INFINITY, f64::min);
        if !feed.can_hold(need_v) {
            let at_hand = feed.emf_peak_v - feed.threshold_v;
            state.tally.number(
                self.headroom_code(),
                Depth::Source,
                (Position::Transformer, id),
                (at_hand, need_v, Unit::Volts),
                (need_v / at_hand.max(1e-9)).max(1.0 + 1e-6),
                Some(VALLEY_COLD),
            );
            return None;
        }
        let least_rms_a = feed.least_rms_a(need_v);
        let per_path_a =
            if self.topology == Topology::CentreTap { least_rms_a / SQRT_2 } else { least_rms_a };
        let one_a = source.wiring_current(per_path_a);
        let limit_a = self.secondary_limit_a(source);
        if one_a > limit_a {
            state.tally.number(
                "transformer-secondary-current",
                Depth::Source,
                (Position::Transformer, id),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(VALLEY_COLD),
            );
            return None;
        }
        Some((least_rms_a * least_rms_a - feed.load_a * feed.load_a).max(0.0).sqrt())
    }

    /// What the policy leaves of the rated current of one secondary, A.
    pub(super) fn secondary_limit_a(&self, source: &SourceOption<'a>) -> f64 {
        let rated_a = source.transformer.secondaries.first().map_or(0.0, |winding| winding.current.0);
        left_of(self.asked.policy, "transformer-secondary-current", rated_a)
    }

    /// Rule that too much ripple breaks.
    pub(super) fn ripple_code(&self) -> &'static str {
        match self.asked.rail.regulation {
            Regulation::None => "raw-ripple",
            _ => "regulator-output-ripple",
        }
    }

    /// Rule that a reservoir valley too low breaks.
    pub(super) fn headroom_code(&self) -> &'static str {
        match self.asked.rail.regulation {
            Regulation::None => "raw-voltage-window",
            _ => "regulator-headroom",
        }
    }

    /// The source and rectifier at the cold valley, as the bounds see them.
    fn feed(&self, source: &SourceOption<'a>, threshold_v: f64, slope_ohm: f64) -> Feed {
        let cold_c = air_of(self.asked).cold_c;
        let in_series = if self.topology == Topology::Bridge { 2.0 } else { 1.0 };
        let numbers = &source.source;
        let copper_ohm = (numbers.secondary_20_ohm + numbers.primary_20_ohm)
            * copper::factor(Celsius(cold_c))
            + numbers.mains_ohm;
        Feed {
            emf_peak_v: SQRT_2 * numbers.emf_rms_v * self.mains_v.low / self.mains_v.nominal
                * (1.0 - numbers.emf_tolerance)
                * self.asked.requirement.mains.peak_factor.0,
            threshold_v: in_series * threshold_v,
            resistance_ohm: copper_ohm + in_series * slope_ohm,
            omega: 2.0 * PI * self.frequency_hz.low,
            pulses: if self.topology == Topology::HalfWave { 1.0 } else { 2.0 },
            load_a: load_high_a(self.asked.rail),
        }
    }

    fn pair(&self, pair: Pair<'_, 'a>, memory: &mut Memory, state: &mut State<'a>) {
        let Pair { source, rectifying, stages, banks, limits, peak_v } = pair;
        let Some(first) = rectifying.ways.first() else { return };
        let line = first.numbers.line.at(Celsius(air_of(self.asked).cold_c));
        let feed = self.feed(source, line.threshold.0, line.slope.0);
        let stages: Vec<&StageOption<'a>> =
            stages.iter().copied().filter(|stage| feed.can_hold(stage.need_v)).collect();
        let least_stage = least_score(stages.iter().copied());
        let least_bank = banks.first().map_or(f64::INFINITY, |bank| bank.score);
        if source.score + rectifying.least_score() + least_bank + least_stage > state.bound() {
            return;
        }
        let Some(least) = self.least(source, &first.numbers, &stages, limits, state) else { return };
        let stages: Vec<&StageOption<'a>> =
            stages.into_iter().filter(|stage| self.stays_cool(stage, least.mean_v, state)).collect();
        let least_stage = least_score(stages.iter().copied());
        let partial = source.score + rectifying.least_score();
        memory.next_rectifier();
        let mut tries = 0;
        for bank in banks {
            if partial + bank.score + least_stage > state.bound() {
                break;
            }
            // The bank's low capacitance at the cold end is the least it ever has.
            if bank.bank.farad.low * bank.bank.farad_cold_ratio < least.farad
                || bank.ripple_limit_a < least.bank_rms_a
            {
                continue;
            }
            memory.bank_dead = false;
            for stage in &stages {
                if memory.bank_dead {
                    break;
                }
                let score = partial + bank.score + stage.score;
                if score > state.bound() {
                    break;
                }
                let lacks = |position, part: &'a str| state.lacking.contains(&(position, part));
                let fit = !lacks(Position::Reservoir, &bank.reservoir.part.common.id.0)
                    && !lacks(Position::Rectifier, &rectifying.part.common().id.0)
                    && stage
                        .regulation
                        .as_ref()
                        .is_none_or(|one| !lacks(Position::Regulator, &one.part.common.id.0));
                if fit && score + stage.cooling_score <= state.bound() {
                    let train = Train { source, rectifying, bank, stage, peak_v };
                    if let Some(places) = self.quick(&train, memory, state) {
                        self.train(&train, places, memory, state);
                        tries += 1;
                        if tries >= state.tries_max {
                            return;
                        }
                    }
                }
            }
        }
    }

    /// What any bank asks at the least behind a source and a rectifier; `None` where that is too much already.
    fn least(
        &self,
        source: &SourceOption<'a>,
        rectifier: &Rectifier,
        stages: &[&StageOption<'a>],
        limits: &Limits,
        state: &mut State<'a>,
    ) -> Option<Least> {
        let need_v = stages.iter().map(|stage| stage.need_v).reduce(f64::min)?;
        let id = source.transformer.common.id.0.as_str();
        // Without auxiliaries the load is the least it can be.
        let supply = Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: source.source,
            rectifier: *rectifier,
            bank: self.banks.first()?.bank,
            load_a: load_span(self.asked, &Auxiliary::default()),
            air: air_of(self.asked),
        };
        let place = (Position::Transformer, id);
        let Some(least) = limits.least(&supply, &supply, need_v) else {
            let feed = self.feed(source, 0.0, 0.0);
            let figures = (feed.emf_peak_v, need_v, Unit::Volts);
            let code = self.headroom_code();
            state.tally.number(code, Depth::Rectifier, place, figures, 1.0 + 1e-3, Some(VALLEY_COLD));
            return None;
        };
        let one_a = source.wiring_current(least.path_rms_a);
        let limit_a = self.secondary_limit_a(source);
        if one_a > limit_a {
            let figures = (one_a, limit_a, Unit::Amps);
            let code = "transformer-secondary-current";
            state.tally.number(code, Depth::Rectifier, place, figures, one_a / limit_a, Some(CURRENT));
            return None;
        }
        let code = "transformer-winding-temperature";
        let class_c = winding::normal_limit(source.transformer.thermal_class).0;
        let limit_c = left_of(self.asked.policy, code, class_c);
        if least.winding_c > limit_c {
            let air_c = supply.air.hot_c;
            let figures = (least.winding_c, limit_c, Unit::Celsius);
            let utilisation = (least.winding_c - air_c) / (limit_c - air_c).max(1e-9);
            state.tally.number(
                code,
                Depth::Rectifier,
                place,
                figures,
                utilisation.max(1.0 + 1e-6),
                Some(HEAT),
            );
            return None;
        }
        Some(least)
    }

    /// Whether some cooling there is keeps a stage's junction within its limit at a mean input.
    fn stays_cool(&self, stage: &StageOption<'a>, mean_v: f64, state: &mut State<'a>) -> bool {
        const CODE: &str = "regulator-junction-temperature";
        let Some(regulation) = &stage.regulation else { return true };
        let heat_w = (mean_v - stage.set_v).max(0.0) * load_high_a(self.asked.rail);
        let air_c = air_of(self.asked).hot_c;
        let coolest =
            stage.coolings.iter().map(|way| way.path.junction_c(heat_w, air_c)).fold(f64::INFINITY, f64::min);
        let limit_c = left_of(self.asked.policy, CODE, regulation.part.junction_max.0);
        let holds = coolest <= limit_c;
        if !holds {
            let place = (Position::Regulator, regulation.part.common.id.0.as_str());
            let utilisation = (coolest - air_c) / (limit_c - air_c).max(1e-9);
            let figures = (coolest, limit_c, Unit::Celsius);
            state.tally.number(CODE, Depth::Rectifier, place, figures, utilisation, Some(DISSIPATION));
        }
        holds
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
                let heat_w = peak_v * peak_v / least_ohm(self.asked, choice);
                let limit_w =
                    left_of(self.asked.policy, "bleeder-power", power_rating(self.asked, series.part));
                (heat_w <= limit_w * (1.0 + EQUALITY)).then_some((Some(choice), series.score(1)))
            })
            .collect()
    }

    /// The train with each bleeder and each cooling of the rectifier, cheapest first.
    fn train(&self, train: &Train<'_, 'a>, places: Places, memory: &mut Memory, state: &mut State<'a>) {
        let Train { source, rectifying, bank, stage, peak_v, .. } = *train;
        let base = source.score + rectifying.score + bank.score + stage.score;
        let rest = stage.cooling_score;
        for (bleeder, bleeder_score) in self.bleeders(&bank.reservoir, peak_v) {
            for way in &rectifying.ways {
                let score = base + bleeder_score + way.score;
                if score + rest > state.bound() {
                    break;
                }
                let assembly = Assembly {
                    transformer: source.transformer,
                    primary: source.primary,
                    wiring: source.wiring,
                    topology: self.topology,
                    rectifier: rectifying.part,
                    rectifier_cooling: way.cooling,
                    reservoir: bank.reservoir,
                    bleeder,
                    regulation: stage.regulation,
                    primary_fuse: None,
                    limiter: None,
                    secondary_fuse: None,
                    cut_out: None,
                };
                let completer =
                    Completer { asked: self.asked, shop: self.shop, fell: Cell::new(Fallen::Otherwise) };
                let bound = state.bound();
                match completer.complete(assembly, &stage.coolings, score, bound, &mut state.tally) {
                    Ok(found) => {
                        state.keep(found);
                        break;
                    }
                    Err(Fallen::Lacking(position, part)) => {
                        state.lacking.insert((position, part));
                        return;
                    }
                    Err(Fallen::Worked { code, utilisation }) => memory.learn(places, code, utilisation),
                    Err(Fallen::Otherwise) => {}
                }
            }
        }
    }
}

/// Least score of a stage with its cooling.
fn least_score<'r, 'a: 'r>(stages: impl Iterator<Item = &'r StageOption<'a>>) -> f64 {
    stages.map(|stage| stage.score + stage.cooling_score).fold(f64::INFINITY, f64::min)
}
