//! The least score over all trains of one rail in one topology: branch and bound with bounds that lose nothing.
//! Sources, rectifiers, banks and stages are each sorted by score; a loop ends as soon as nothing after it can be better.

use std::collections::{BTreeSet, BinaryHeap};

use crate::{
    candidate::{
        bank::{BankOption, banks},
        shop::Shop,
        source::{circuit_topology, unseated},
        stage::{raw, stages},
    },
    circuit::{
        spec::Topology,
        supply::{Beside, Rectifier, Span},
    },
    numeric::few::Few,
    quantity::Celsius,
    requirement::{Rail, Regulation, Requirement, Section},
    stress::{
        assembly::{Assembly, Mate, banks_of},
        bench::{Asked, assumed, figure_of},
        convert::air_of,
        position::Position,
    },
};

use super::{
    bounds::Opened,
    keep::{Kept, Wish},
    leaf::{Found, HEADROOM_V},
    list::Fed,
    protect::Fusing,
    queue::Waiting,
    ready::Ready,
    rectifying::{Rectifying, Way, flat},
    tally::Tally,
};

/// What stands between winding and output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Circuit {
    /// Topology.
    pub topology: Topology,
    /// What stands there beside the reservoir.
    pub second: Option<Section>,
}

/// Whether a second section is built behind a rectifier: a choke input behind a full-wave one, the others behind any but doublers
/// and pairs.
pub fn follows(section: Section, topology: Topology) -> bool {
    match topology {
        Topology::Bridge | Topology::CentreTap => true,
        Topology::HalfWave => section != Section::ChokeInput,
        _ => false,
    }
}

/// Every circuit that a requirement allows one of its rails, in the order of its topologies; each with a section after it without.
///
/// A choke input feeds an unregulated rail.
pub fn circuits(requirement: &Requirement, rail: &Rail) -> Vec<Circuit> {
    let raw = rail.regulation == Regulation::None;
    let sections = requirement.sections.iter().copied();
    let sections: Vec<Section> = sections.filter(|&one| raw || one != Section::ChokeInput).collect();
    let each = |topology| {
        let built = sections.iter().copied().filter(move |&section| follows(section, topology));
        std::iter::once(None).chain(built.map(Some)).map(move |second| Circuit { topology, second })
    };
    requirement.topologies.iter().map(|&one| circuit_topology(one)).flat_map(each).collect()
}

/// Trains judged in full for one pair in the first pass.
const PROBE_TRIES: u32 = 2;

/// What a search found, and what stood in the way of the rest.
#[derive(Clone, Debug)]
pub struct Outcome<'a> {
    /// What was wished for, best first.
    pub found: Vec<Found<'a>>,
    /// What stopped the others.
    pub tally: Tally,
}

/// What changes while a search runs.
pub(super) struct State<'a> {
    pub(super) kept: Kept<'a>,
    pub(super) tally: Tally,
    /// Parts that lack a rating some rule needs of them, whatever the rest of the train.
    pub(super) lacking: BTreeSet<(Position, &'a str)>,
    /// Trains judged in full for one source and rectifier before going on to the next.
    pub(super) tries_max: u32,
    /// Whether a mains fuse is looked for.
    pub(super) fusing: Fusing,
    /// Trains that may still be judged in full before the search is given up.
    pub(super) left: u32,
    /// Transformer or regulator that must not be used.
    pub(super) without: Option<&'a str>,
    /// The only rectifier to be used, if there is one.
    pub(super) only: Option<&'a str>,
}

impl<'a> State<'a> {
    /// Whether a transformer or regulator may be used.
    pub(super) fn may_use(&self, part: &crate::catalog::Common) -> bool {
        self.without.is_none_or(|without| part.id.0 != without)
    }

    /// Keeps a rail if it is wished for.
    pub(super) fn keep(&mut self, found: Found<'a>) {
        self.kept.keep(found);
    }

    /// The score that a candidate must not exceed.
    pub(super) fn bound(&self) -> f64 {
        if self.left == 0 { f64::NEG_INFINITY } else { self.kept.bound() }
    }

    /// What was found, and what stood in the way.
    pub(super) fn into_outcome(self) -> Outcome<'a> {
        Outcome { found: self.kept.into_found(), tally: self.tally }
    }

    /// Whether any design will do, so that few are judged.
    pub(super) fn seeks_any(&self) -> bool {
        self.left != u32::MAX
    }

    /// Counts a train that is judged in full.
    pub(super) fn judge_one(&mut self) {
        self.left = self.left.saturating_sub(1);
    }
}

/// Everything one search of one topology goes through.
pub struct Search<'s, 'a> {
    pub(super) asked: Asked<'a>,
    pub(super) shop: &'s Shop<'a>,
    pub(super) topology: Topology,
    pub(super) sources: Vec<Fed<'a>>,
    pub(super) rectifiers: Vec<Rectifying<'a>>,
    pub(super) banks: Vec<BankOption<'a>>,
    pub(super) stages: Vec<Ready<'a>>,
    pub(super) least_threshold_v: f64,
    pub(super) least_slope_ohm: f64,
    /// Least score of a rectifier with its cooling.
    pub(super) least_rectifier: f64,
    /// Headroom the policy asks for, V.
    pub(super) headroom_v: f64,
    /// Two that do not exist: with the least drop of all, and with the greatest.
    pub(super) extremes: (Rectifier, Rectifier),
    pub(super) mains_v: Span,
    pub(super) frequency_hz: Span,
    pub(super) listed: Tally,
    /// Any assembly at all, whose fields are then replaced.
    pub(super) blank: Option<Assembly<'a>>,
    /// What stands between winding and output beside the reservoir.
    pub(super) second: Option<Section>,
    /// The other rails of the transformer, where it is to feed several.
    pub(super) mates: Few<Mate<'a>>,
    /// The same as plain numbers.
    pub(super) beside: Few<Beside>,
    /// Topologies of all rails on the transformer, where it is to feed several, and the place of this one.
    pub(super) group: Option<(Vec<Topology>, usize)>,
}

impl<'s, 'a> Search<'s, 'a> {
    /// Lists everything that could serve a rail in one topology.
    pub fn new(asked: Asked<'a>, shop: &'s Shop<'a>, topology: Topology) -> Self {
        Self::among(asked, shop, topology, (Few::NONE, None))
    }

    /// The same of a rail in one circuit.
    pub fn of(asked: Asked<'a>, shop: &'s Shop<'a>, circuit: Circuit) -> Self {
        Self { second: circuit.second, ..Self::new(asked, shop, circuit.topology) }
    }

    /// The same of a rail that shares its transformer with others, which are taken as alike but for turns and load: the place in
    /// a group of rails, each of a topology.
    pub(super) fn beside(
        asked: Asked<'a>,
        shop: &'s Shop<'a>,
        (topologies, place): (&[Topology], usize),
        mates: &Few<Mate<'a>>,
    ) -> Self {
        let topology = topologies.get(place).copied().unwrap_or(Topology::Bridge);
        Self::among(asked, shop, topology, (*mates, Some((topologies.to_vec(), place))))
    }

    fn among(
        asked: Asked<'a>,
        shop: &'s Shop<'a>,
        topology: Topology,
        (mates, group): (Few<Mate<'a>>, Option<(Vec<Topology>, usize)>),
    ) -> Self {
        let mains = &asked.requirement.mains;
        let (nominal, frequency) = (mains.voltage.0, mains.frequency.0);
        let mut search = Self {
            asked,
            shop,
            topology,
            sources: Vec::new(),
            rectifiers: Vec::new(),
            banks: banks(asked, shop, banks_of(topology)),
            stages: Vec::new(),
            least_rectifier: f64::INFINITY,
            headroom_v: figure_of(asked.policy, "regulator-headroom").unwrap_or(HEADROOM_V),
            blank: None,
            extremes: (flat(0.0, 0.0), flat(0.0, 0.0)),
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
            second: None,
            mates,
            beside: mates.map(|mate| assumed(asked, unseated(topology), mate)),
            group,
        };
        let options = match asked.rail.regulation {
            Regulation::None => vec![raw(asked)],
            _ => stages(asked, shop),
        };
        search.stages =
            options.into_iter().enumerate().map(|(index, option)| Ready::of(asked, option, index)).collect();
        search.blank = search.any_assembly();
        if let Some(blank) = search.blank {
            search.rectifiers = search.list_rectifiers(&blank);
            search.bound_rectifiers();
            search.sources = search.list_sources(&blank);
            if let Some(first) = search.sources.first() {
                let source = &first.option;
                let assembly = Assembly {
                    transformer: source.transformer,
                    primary: source.primary,
                    wiring: source.wiring,
                    mates: source.seated(&mates),
                    ..blank
                };
                for ready in &mut search.stages {
                    ready.add_around(asked, shop, &assembly);
                }
            }
        }
        search
    }

    /// Least and greatest drop and slope over all rectifiers and both ends of temperature, and the least score.
    fn bound_rectifiers(&mut self) {
        let cold = Celsius(air_of(self.asked).cold_c);
        let firsts: Vec<&Way<'a>> = self.rectifiers.iter().filter_map(|one| one.ways.first()).collect();
        let at_cold = || firsts.iter().map(|way| way.numbers.line.at(cold));
        let at_hot = || firsts.iter().map(|way| way.numbers.line.at(way.numbers.line.temperatures().1));
        let least = |figures: &mut dyn Iterator<Item = f64>| figures.fold(f64::INFINITY, f64::min);
        self.least_threshold_v = least(&mut at_cold().map(|line| line.threshold.0));
        self.least_slope_ohm = least(&mut at_cold().map(|line| line.slope.0));
        let all = || at_cold().chain(at_hot());
        let most_v = all().map(|line| line.threshold.0).fold(0.0, f64::max);
        let most_ohm = all().map(|line| line.slope.0).fold(0.0, f64::max);
        if !firsts.is_empty() {
            let (low, high) = (flat(self.least_threshold_v, self.least_slope_ohm), flat(most_v, most_ohm));
            let factor = self.asked.policy.parameters.diode_drop_low_factor;
            let with = |one: Rectifier| Rectifier { drop_low_factor: factor, ..one };
            self.extremes = (with(low), with(high));
        }
        self.least_rectifier =
            self.rectifiers.iter().map(Rectifying::least_score).fold(f64::INFINITY, f64::min);
    }

    /// The circuit.
    pub fn circuit(&self) -> Circuit {
        Circuit { topology: self.topology, second: self.second }
    }

    /// Runs the search for the best, with a mains fuse, that does without a transformer or a regulator.
    pub fn run_without(&self, part: &str, most: f64) -> Outcome<'a> {
        let transformers = self.sources.iter().map(|fed| fed.option.transformer.common.id.0.as_str());
        let regulators = self.stages.iter().filter_map(|ready| ready.option.regulation);
        let regulators = regulators.map(|stage| stage.part.common.id.0.as_str());
        let without = transformers.chain(regulators).find(|id| *id == part);
        self.go_through(State { without, ..self.state(Wish::Best, most, Fusing::Fitted) })
    }

    /// Runs the search for the best; nothing whose score exceeds `most` is looked at.
    pub fn run(&self, most: f64) -> Outcome<'a> {
        self.look(Wish::Best, most)
    }

    /// Any design at all, with a mains fuse or where none has one without, for which no more than `most` trains are judged
    /// in full each; `None` where there is none or none was found by then.
    pub fn any(&self, most: u32) -> Option<Found<'a>> {
        [Fusing::Fitted, Fusing::Without].into_iter().find_map(|fusing| {
            let state = self.state(Wish::Any, f64::INFINITY, fusing);
            self.go_through(State { left: most, ..state }).found.into_iter().next()
        })
    }

    /// Runs the search for what is wished, with a mains fuse; only where no design has one that passes, without.
    pub fn look(&self, wish: Wish, most: f64) -> Outcome<'a> {
        let fused = self.look_for(wish, most, Fusing::Fitted);
        if !fused.found.is_empty() || most.is_finite() || !self.sources.iter().any(|fed| fed.proof) {
            return fused;
        }
        let mut bare = self.look_for(wish, most, Fusing::Without);
        bare.tally.absorb(&fused.tally);
        bare
    }

    /// Runs the search for what is wished, with or without a mains fuse; nothing whose score exceeds `most` is looked at.
    pub(super) fn look_for(&self, wish: Wish, most: f64, fusing: Fusing) -> Outcome<'a> {
        self.go_through(self.state(wish, most, fusing))
    }

    fn go_through(&self, mut state: State<'a>) -> Outcome<'a> {
        match self.second {
            Some(Section::ChokeInput) => return self.go_through_chokes(state),
            Some(Section::Crc | Section::Clc) => return self.go_through_sections(state),
            None => {}
        }
        // Sources by the least that anything complete behind them comes to, each opened only once its parts alone are the
        // least; of equal ones in the order of the list. A first pass that gives up early on each pair finds some design.
        let fed: Vec<&Fed<'a>> = self
            .sources
            .iter()
            .filter(|fed| state.fusing == Fusing::Fitted || fed.proof)
            .filter(|fed| state.may_use(&fed.option.transformer.common))
            .collect();
        let mut waiting: BinaryHeap<Waiting<'_, 'a>> = fed
            .iter()
            .enumerate()
            .map(|(place, fed)| Waiting { least: self.least_behind(fed), place, opened: None })
            .collect();
        let mut opened: Vec<(Opened<'_, 'a>, Vec<usize>)> = Vec::new();
        while let Some(next) = waiting.pop() {
            if next.least > state.bound() {
                break;
            }
            if let Some(one) = next.opened {
                let left = self.source(&one, None, &mut state);
                if !left.is_empty() {
                    opened.push((one, left));
                }
            } else if let Some(one) = fed.get(next.place).and_then(|fed| self.open(fed, &mut state)) {
                waiting.push(Waiting {
                    least: one.bound.max(next.least),
                    place: next.place,
                    opened: Some(one),
                });
            }
        }
        // The second, complete pass need not look at what is dearer, nor again at what the first went through.
        state.tries_max = u32::MAX;
        for (one, left) in &opened {
            if one.bound > state.bound() {
                break;
            }
            self.source(one, Some(left), &mut state);
        }
        state.into_outcome()
    }

    /// Before anything is found.
    pub(super) fn state(&self, wish: Wish, most: f64, fusing: Fusing) -> State<'a> {
        State {
            kept: Kept::new(wish, most),
            tally: if fusing == Fusing::Fitted { self.listed.clone() } else { Tally::default() },
            lacking: BTreeSet::new(),
            tries_max: PROBE_TRIES,
            fusing,
            left: u32::MAX,
            without: None,
            only: None,
        }
    }

    /// Least score of anything complete behind a source, nothing solved.
    pub(super) fn least_behind(&self, fed: &Fed<'a>) -> f64 {
        let bank = self.banks.first().map_or(f64::INFINITY, |bank| bank.score);
        let stage = self.stages.iter().map(|one| one.least_score(0.0)).fold(f64::INFINITY, f64::min);
        fed.option.score + self.least_rectifier + bank + stage
    }
}
