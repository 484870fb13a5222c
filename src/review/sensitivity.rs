//! What moves the tightest margins, and how far the inputs may go until a margin is gone.
//!
//! Every figure is an exact solution of the rail at every vertex with one input changed; nothing is linearised. On the way to
//! an edge the vertices known to be worst are looked at, the edge itself is held to every vertex. The air inside follows the
//! heat where the enclosure is given by its resistance. Chooses nothing.

use std::{cell::RefCell, collections::BTreeMap, rc::Rc};

use serde::Serialize;

use super::{
    figure::{Figure, Unit},
    probe::{self, Key, Trial, Watch, Where},
    recompute::{Inputs, RailReview, Recomputed, recompute},
};
use crate::{
    circuit::corner::Vertex,
    numeric::tie::coarse,
    quantity::{Amps, Celsius, Ratio},
    requirement::{Rail, Requirement},
    stress::{
        assembly::{Assembly, Reservoir},
        verdict::{EQUALITY, Stress, Verdict},
    },
};

/// Margins looked at in each rail.
const MARGINS: usize = 5;
/// Change of a utilisation below which an input does not move it.
const STILL: f64 = 1e-6;
/// Mains tolerance up to which an edge is searched, upward and downward.
const MAINS_MOST: f64 = 0.5;
/// Room temperature up to which an edge is searched, °C.
const AMBIENT_MOST_C: f64 = 120.0;
/// Multiple of the load up to which an edge is searched.
const LOAD_MOST: f64 = 4.0;
/// Multiple of the capacitance, and its inverse, up to which an edge is searched.
const CAPACITANCE_MOST: f64 = 8.0;

/// What one input does to a margin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mover {
    /// Which input.
    pub input: String,
    /// What was done to it.
    pub change: String,
    /// Utilisation then.
    pub used: Option<Figure>,
    /// Utilisation then less that of the review; negative: the input's spread costs that much.
    pub moved: Option<Figure>,
}

/// How far one input may go.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Edge {
    /// Which input.
    pub input: String,
    /// As asked or recorded.
    pub now: Option<Figure>,
    /// Last value at which the stress holds; of a failing stress the first at which it would hold. Absent where there is none
    /// within the search.
    pub edge: Option<Figure>,
    /// Remark: how far was searched.
    pub note: String,
}

/// One margin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Margin {
    /// Rail.
    pub rail: String,
    /// Position, as records write it.
    pub position: String,
    /// Code of the rule.
    pub stress: String,
    /// Utilisation.
    pub used: Option<Figure>,
    /// Inputs, that which moves it most first; those that do not move it are left out.
    pub movers: Vec<Mover>,
    /// Edges.
    pub edges: Vec<Edge>,
}

/// Margins of all rails, the tightest of each rail first.
pub fn sensitivity(inputs: Inputs<'_>) -> Vec<Margin> {
    let all = recompute(inputs);
    all.rails.iter().flat_map(|rail| of_rail(&all, rail)).collect()
}

fn of_rail(all: &Recomputed<'_>, review: &RailReview<'_>) -> Vec<Margin> {
    let subject = Subject { all, review, solved: RefCell::new(BTreeMap::new()) };
    let mut stresses: Vec<(Key, &Stress)> = probe::keyed(&review.verdicts)
        .into_iter()
        .filter_map(|(key, verdict)| match verdict {
            Verdict::Stress(stress) => Some((key, stress)),
            _ => None,
        })
        .collect();
    // A stable sort: of those that tie the order of the rules stays. A stress that nothing here can move tells nothing.
    stresses.sort_by(|a, b| coarse(b.1.utilisation()).total_cmp(&coarse(a.1.utilisation())));
    let mut margins = Vec::new();
    for (key, stress) in stresses {
        if margins.len() == MARGINS {
            break;
        }
        let movers = movers(&subject, key, stress);
        if movers.is_empty() {
            continue;
        }
        margins.push(Margin {
            rail: review.record.rail.clone(),
            position: stress.position.key().to_owned(),
            stress: stress.code.to_owned(),
            used: Figure::new(stress.utilisation(), Unit::Percent),
            movers,
            edges: edges(&subject, key, stress),
        });
    }
    margins
}

/// A rail with one thing changed.
struct Changed {
    requirement: Requirement,
    rail: Rail,
    transformer: crate::catalog::Transformer,
    reservoir: crate::catalog::Electrolytic,
}

impl Changed {
    fn of(review: &RailReview<'_>) -> Self {
        let bench = &review.bench;
        Self {
            requirement: bench.asked.requirement.clone(),
            rail: bench.asked.rail.clone(),
            transformer: bench.assembly.transformer.clone(),
            reservoir: bench.assembly.reservoir.part.clone(),
        }
    }

    /// Verdicts with the change, of all rules or of one; where there is no steady state the vertex that has none.
    fn judged(
        &self,
        (all, review): (&Recomputed<'_>, &RailReview<'_>),
        looked: Where<'_>,
        code: Option<&str>,
    ) -> Result<Vec<Verdict>, Option<Vertex>> {
        let own = review.bench.assembly;
        let reservoir = Reservoir { part: &self.reservoir, count: own.reservoir.count };
        let assembly = Assembly { transformer: &self.transformer, reservoir, ..own };
        let trial = Trial { requirement: &self.requirement, rail: &self.rail, assembly };
        probe::judged(all, review, &trial, looked, code)
    }
}

/// Utilisation of a stress; `None` where the rule no longer states a ratio.
fn used(verdicts: &[Verdict], key: Key) -> Option<f64> {
    match probe::verdict_of(verdicts, key)? {
        Verdict::Stress(stress) => Some(stress.utilisation()),
        Verdict::Fact { holds: true, .. } | Verdict::NotApplicable { .. } => Some(0.0),
        Verdict::Fact { .. } | Verdict::MissingRating { .. } => None,
    }
}

/// What was solved at every vertex already: margins of one rail ask for the same.
type Solved = Result<Rc<Vec<Verdict>>, Option<Vertex>>;

/// A rail whose margins are sought.
struct Subject<'s, 'a> {
    all: &'s Recomputed<'a>,
    review: &'s RailReview<'a>,
    /// By the input and the value it was given.
    solved: RefCell<BTreeMap<(&'static str, u64), Solved>>,
}

impl Subject<'_, '_> {
    /// All verdicts with an input changed, at every vertex.
    fn whole(&self, input: &'static str, value: f64, change: impl Fn(&mut Changed)) -> Solved {
        let key = (input, value.to_bits());
        if let Some(known) = self.solved.borrow().get(&key) {
            return known.clone();
        }
        let mut changed = Changed::of(self.review);
        change(&mut changed);
        let found = changed.judged((self.all, self.review), Where::Everywhere, None).map(Rc::new);
        self.solved.borrow_mut().insert(key, found.clone());
        found
    }
}

/// Each input brought to its nominal value alone.
fn movers(subject: &Subject<'_, '_>, key: Key, stress: &Stress) -> Vec<Mover> {
    type Change = fn(&mut Changed);
    let changes: [(&str, &str, Change); 10] = [
        ("mains voltage", "tolerance taken away", |changed| {
            changed.requirement.mains.low = Ratio(0.0);
            changed.requirement.mains.high = Ratio(0.0);
        }),
        ("mains frequency", "tolerance taken away", |changed| {
            changed.requirement.mains.frequency_tolerance = Ratio(0.0);
        }),
        ("mains waveform", "flat top taken away", |changed| {
            changed.requirement.mains.peak_factor = Ratio(1.0);
        }),
        ("room temperature", "greatest brought to nominal", |changed| {
            changed.requirement.ambient.max = changed.requirement.ambient.nominal;
        }),
        ("room temperature", "least brought to nominal", |changed| {
            changed.requirement.ambient.min = changed.requirement.ambient.nominal;
        }),
        ("transformer voltage", "tolerance taken away", |changed| {
            for winding in &mut changed.transformer.secondaries {
                winding.tolerance = Ratio(0.0);
            }
        }),
        ("capacitance", "tolerance taken away", |changed| {
            changed.reservoir.tolerance_minus = Ratio(0.0);
            changed.reservoir.tolerance_plus = Ratio(0.0);
        }),
        ("capacitor ageing", "new, and staying so", |changed| {
            changed.reservoir.end_capacitance_loss = Ratio(0.0);
            changed.reservoir.end_esr_factor = 1.0;
        }),
        ("load, greatest", "10 % less", |changed| {
            changed.rail.current_max = changed.rail.current_max * 0.9;
            if let Some(peak) = &mut changed.rail.peak {
                peak.current = peak.current * 0.9;
            }
        }),
        ("load, least", "10 % of the greatest more", |changed| {
            let more = Amps(changed.rail.current_min.0 + 0.1 * changed.rail.current_max.0);
            changed.rail.current_min = more.min(changed.rail.current_max);
        }),
    ];
    let now = stress.utilisation();
    let mut found: Vec<(f64, Mover)> = changes
        .iter()
        .enumerate()
        .filter_map(|(at, (input, what, change))| {
            // Two changes of one input are told apart by their places in the list.
            let used = used(&subject.whole(input, -1.0 - at as f64, change).ok()?, key)?;
            let moved = used - now;
            (moved.abs() > STILL).then(|| {
                let mover = Mover {
                    input: (*input).to_owned(),
                    change: (*what).to_owned(),
                    used: Figure::new(used, Unit::Percent),
                    moved: Figure::new(moved, Unit::Percent),
                };
                (moved.abs(), mover)
            })
        })
        .collect();
    found.sort_by(|a, b| coarse(b.0).total_cmp(&coarse(a.0)));
    found.into_iter().map(|(_, mover)| mover).collect()
}

/// One input that is walked to an edge.
struct Walk {
    input: &'static str,
    unit: Unit,
    now: f64,
    /// Toward more strain, and toward less.
    ends: [f64; 2],
    set: fn(&mut Changed, f64),
}

fn edges(subject: &Subject<'_, '_>, key: Key, stress: &Stress) -> Vec<Edge> {
    let review = subject.review;
    let asked = &review.bench.asked;
    let (mains, ambient) = (&asked.requirement.mains, &asked.requirement.ambient);
    let farad = review.bench.assembly.reservoir.part.capacitance.0;
    let load_a = asked.rail.current_max.0;
    let least_c = ambient.min.0.max(-40.0);
    let walks = [
        Walk {
            input: "mains high, above nominal",
            unit: Unit::Percent,
            now: mains.high.0,
            ends: [MAINS_MOST, 0.0],
            set: |changed, value| changed.requirement.mains.high = Ratio(value),
        },
        Walk {
            input: "mains low, below nominal",
            unit: Unit::Percent,
            now: mains.low.0,
            ends: [MAINS_MOST, 0.0],
            set: |changed, value| changed.requirement.mains.low = Ratio(value),
        },
        Walk {
            input: "room temperature, greatest",
            unit: Unit::Celsius,
            now: ambient.max.0,
            ends: [AMBIENT_MOST_C, least_c],
            set: |changed, value| {
                let ambient = &mut changed.requirement.ambient;
                ambient.max = Celsius(value);
                ambient.nominal = ambient.nominal.min(ambient.max);
            },
        },
        Walk {
            input: "load, greatest",
            unit: Unit::Amps,
            now: load_a,
            ends: [LOAD_MOST * load_a, asked.rail.current_min.0.max(0.01 * load_a)],
            set: |changed, value| {
                // A peak load keeps its share.
                let share = value / changed.rail.current_max.0;
                changed.rail.current_max = Amps(value);
                if let Some(peak) = &mut changed.rail.peak {
                    peak.current = peak.current * share;
                }
            },
        },
        Walk {
            input: "capacitance, less",
            unit: Unit::Farads,
            now: farad,
            ends: [farad / CAPACITANCE_MOST, farad * CAPACITANCE_MOST],
            set: |changed, value| changed.reservoir.capacitance.0 = value,
        },
        Walk {
            input: "capacitance, more",
            unit: Unit::Farads,
            now: farad,
            ends: [farad * CAPACITANCE_MOST, farad / CAPACITANCE_MOST],
            set: |changed, value| changed.reservoir.capacitance.0 = value,
        },
    ];
    walks.iter().map(|walk| walked(subject, key, stress, walk)).collect()
}

fn walked(subject: &Subject<'_, '_>, key: Key, stress: &Stress, walk: &Walk) -> Edge {
    let watch = Watch::of(stress.vertex.into_iter());
    let within = |verdicts: &[Verdict]| used(verdicts, key).is_some_and(|used| used <= 1.0 + EQUALITY);
    let quick = |value: f64| {
        let mut changed = Changed::of(subject.review);
        (walk.set)(&mut changed, value);
        let found = changed.judged((subject.all, subject.review), Where::At(&watch), Some(key.0));
        // Where fewer vertices are solved a rule may say less: that is left to the whole look.
        found.is_ok_and(|verdicts| probe::verdict_of(&verdicts, key).is_none() || within(&verdicts))
    };
    let holds_at = |value: f64| {
        let found = subject.whole(walk.input, value, |changed| (walk.set)(changed, value));
        let holds = found.as_ref().is_ok_and(|verdicts| within(verdicts));
        if !holds {
            let at = match &found {
                Err(vertex) => *vertex,
                Ok(verdicts) => match probe::verdict_of(verdicts, key) {
                    Some(Verdict::Stress(stress)) => stress.vertex,
                    _ => None,
                },
            };
            watch.learn(at.into_iter());
        }
        holds
    };
    let [strain, ease] = walk.ends;
    let text = |value| Figure::new(value, walk.unit).map_or_else(String::new, Figure::text);
    let (edge, note) = if stress.holds() {
        let edge = watch.edge(walk.now, strain, quick, holds_at);
        let note = if edge.is_some() { String::new() } else { format!("holds up to {}", text(strain)) };
        (edge, note)
    } else {
        let edge = probe::edge(walk.now, ease, |value| !holds_at(value));
        let note = if edge.is_some() {
            String::from("fails now; would hold from here")
        } else {
            format!("fails now and down to {}", text(ease))
        };
        (edge, note)
    };
    Edge {
        input: walk.input.to_owned(),
        now: Figure::new(walk.now, walk.unit),
        edge: edge.and_then(|value| Figure::new(value, walk.unit)),
        note,
    }
}
