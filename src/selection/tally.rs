//! What stood in the way: for each rule the candidate that came nearest to passing it.

use std::collections::BTreeMap;

use crate::{
    circuit::corner::Vertex,
    numeric::tie::{coarse, exceeds},
    stress::{
        bench::Refusal,
        position::Position,
        verdict::{Unit, Verdict},
    },
};

/// How far into the train a candidate came before it fell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Depth {
    /// One part by itself, while others of its family are left.
    Part,
    /// Transformer and mains.
    Source,
    /// Transformer and rectifier.
    Rectifier,
    /// The bank.
    Reservoir,
    /// The regulator without its sink.
    Regulator,
    /// The regulator's sink.
    Cooling,
    /// Everything else.
    Rest,
}

/// The candidate that came nearest to passing a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Miss {
    /// How far candidates came before this rule stopped them.
    pub depth: Depth,
    /// Position judged.
    pub position: Position,
    /// Part judged.
    pub part: String,
    /// Applied and allowed, with their unit; `None` where the rule is a fact or a missing rating.
    pub figures: Option<(f64, f64, Unit)>,
    /// Utilisation; above 1.
    pub utilisation: f64,
    /// Vertex, where one enters.
    pub vertex: Option<Vertex>,
    /// Words of a fact or of a refusal; empty for a stress.
    pub text: String,
    /// Candidates that fell by this rule.
    pub count: u64,
}

/// Misses by rule code.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// By code.
    pub misses: BTreeMap<String, Miss>,
}

impl Tally {
    /// Counts a candidate that fell.
    pub fn note(&mut self, code: &str, miss: Miss) {
        if let Some(known) = self.misses.get_mut(code) {
            known.count += miss.count;
            let deeper = miss.depth > known.depth;
            let nearer = miss.depth == known.depth
                && (exceeds(known.utilisation, miss.utilisation)
                    || (!exceeds(miss.utilisation, known.utilisation) && miss.part < known.part));
            if deeper || nearer {
                *known = Miss { count: known.count, ..miss };
            }
        } else {
            self.misses.insert(code.to_owned(), miss);
        }
    }

    /// Counts a candidate that fell by a number.
    pub fn number(
        &mut self,
        code: &str,
        depth: Depth,
        (position, part): (Position, &str),
        (applied, allowed, unit): (f64, f64, Unit),
        utilisation: f64,
        vertex: Option<Vertex>,
    ) {
        // The name is copied only where the miss is kept.
        let keep = self.misses.get(code).is_none_or(|known| {
            depth > known.depth || (depth == known.depth && !exceeds(utilisation, known.utilisation))
        });
        if !keep {
            if let Some(known) = self.misses.get_mut(code) {
                known.count += 1;
            }
            return;
        }
        let miss = Miss {
            depth,
            position,
            part: part.to_owned(),
            figures: Some((applied, allowed, unit)),
            utilisation,
            vertex,
            text: String::new(),
            count: 1,
        };
        self.note(code, miss);
    }

    /// Counts a candidate that fell by a verdict.
    pub fn verdict(&mut self, verdict: &Verdict, depth: Depth, part: &str) {
        let position = verdict.position();
        match verdict {
            Verdict::Stress(stress) => self.number(
                stress.code,
                depth,
                (position, part),
                (stress.applied, stress.limit, stress.unit),
                stress.utilisation(),
                stress.vertex,
            ),
            Verdict::MissingRating { code, rating, .. } => {
                self.words(code, depth, (position, part), format!("states no {rating}"));
            }
            Verdict::Fact { code, text, .. } => self.words(code, depth, (position, part), text.clone()),
            Verdict::NotApplicable { .. } => {}
        }
    }

    /// Counts a candidate that could not be solved.
    pub fn refusal(&mut self, refusal: &Refusal, depth: Depth, part: &str) {
        let position = match refusal {
            Refusal::Unbuildable(_) => Position::Transformer,
            Refusal::NoSteadyState { .. } => Position::Reservoir,
        };
        self.words("no-steady-state", depth, (position, part), refusal.to_string());
    }

    fn words(&mut self, code: &str, depth: Depth, (position, part): (Position, &str), text: String) {
        self.note(
            code,
            Miss {
                depth,
                position,
                part: part.to_owned(),
                figures: None,
                utilisation: f64::INFINITY,
                vertex: None,
                text,
                count: 1,
            },
        );
    }

    /// Moves every miss to a depth.
    pub(super) fn raise(&mut self, depth: Depth) {
        for miss in self.misses.values_mut() {
            miss.depth = depth;
        }
    }

    /// What binds: of the rules that stopped the candidates that came furthest, the one most nearly passed; of equals the
    /// first by code.
    pub fn binding(&self) -> Option<(&str, &Miss)> {
        self.misses
            .iter()
            .min_by(|a, b| {
                let used = |miss: &Miss| coarse(miss.utilisation);
                b.1.depth.cmp(&a.1.depth).then(used(a.1).total_cmp(&used(b.1))).then(a.0.cmp(b.0))
            })
            .map(|(code, miss)| (code.as_str(), miss))
    }

    /// Adds what another search met.
    pub fn absorb(&mut self, other: &Self) {
        for (code, miss) in &other.misses {
            self.note(code, miss.clone());
        }
    }
}
