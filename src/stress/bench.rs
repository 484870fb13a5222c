//! One rail on the bench: its parts, its numbers, and the points at which it was solved.
//!
//! Rules read it and nothing else. It knows no rule and chooses no part.

use std::f64::consts::SQRT_2;

use rayon::prelude::*;

use crate::{
    circuit::{
        corner::Vertex,
        figures::NoSteadyState,
        operate::{OperatingPoint, in_closed_form, operate},
        spec::Topology,
        supply::{Beside, BesideParts, Body, Drawn, Source, Span, Supply, multiple, stack},
    },
    numeric::{few::Few, tie},
    policy::{LimitKind, Policy},
    requirement::{Rail, Requirement},
};

use super::{
    assembly::{Assembly, Mate, Wiring},
    convert::{Unbuildable, supply_of},
    known::Known,
    position::Position,
    stage::{Auxiliary, Output, auxiliary_of, load_span, output_of},
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// What is asked and allowed, for one rail.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The whole requirement.
    pub requirement: &'a Requirement,
    /// The rail.
    pub rail: &'a Rail,
    /// The policy.
    pub policy: &'a Policy,
    /// Rise of the air inside over the room, K.
    pub inside_rise_k: f64,
}

/// One rail, ready to be judged.
#[derive(Clone, Debug)]
pub struct Bench<'a> {
    /// What is asked and allowed.
    pub asked: Asked<'a>,
    /// Parts.
    pub assembly: Assembly<'a>,
    /// The same as plain numbers.
    pub supply: Supply,
    /// Output of the regulator with its accuracy; `None` for a raw rail.
    pub output: Option<Output>,
    /// What the supply itself draws from the reservoir beside the load.
    pub auxiliary: Auxiliary,
    /// Points at which the rail was solved; at least one.
    pub points: Vec<OperatingPoint>,
    /// The same with the loads that heat light and heavy bodies; `None` without a peak.
    pub lasting: Option<Box<[Vec<OperatingPoint>; 2]>>,
    /// What was found from them already.
    pub known: Known,
}

/// A value at the vertex where it is worst.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Value.
    pub value: f64,
    /// Vertex; of those that tie ([`tie::TIE_RELATIVE`]) the first.
    pub vertex: Vertex,
}

/// Why a rail cannot be put on the bench.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The parts cannot become numbers.
    #[error(transparent)]
    Unbuildable(#[from] Unbuildable),
    /// No steady state at a vertex.
    #[error("no steady state ({}): {reason}", vertex.text())]
    NoSteadyState {
        /// Where.
        vertex: Vertex,
        /// Why.
        reason: NoSteadyState,
    },
}

/// Peak of the output of a topology at no load, V: of a doubler twice that of the EMF; see [`emf_peak_v`].
pub fn no_load_peak_v(topology: Topology, source: &Source, mains_v: Span) -> f64 {
    multiple(topology) * emf_peak_v(source, mains_v)
}

/// Capacitance of the banks of a topology that a bleeder across the output discharges, each bank of a capacitance, F.
///
/// ```text
/// half-wave doubler: t = R C (ln 2 + 2 ln(V̂/V_d)) ≤ R 2C ln(2 V̂/V_d);   full-wave doubler: C/2
/// ```
/// `R` bleeder, Ω · `C` one bank, F · `V̂` peak of the EMF, `V_d < V̂` voltage to be reached, V: the reservoir falls alone to `V̂`, from
/// there the coupling capacitor empties with it. An upper bound, at most twice the exact time. Source: discharge of a capacitor; derived.
pub fn discharged_farad(topology: Topology, bank_farad: f64) -> f64 {
    if topology == Topology::HalfWaveDoubler { 2.0 * bank_farad } else { bank_farad / stack(topology) }
}

/// Peak of a source at no load: high mains, EMF at its upper tolerance, diode drop not counted, V.
pub fn emf_peak_v(source: &Source, mains_v: Span) -> f64 {
    SQRT_2 * source.emf_rms_v * mains_v.high / mains_v.nominal * (1.0 + source.emf_tolerance)
}

/// The range over which a regulator's line regulation is counted: from the output to the reservoir's no-load peak, V.
pub fn input_span(rail: &Rail, no_load_peak_v: f64) -> Span {
    Span { low: rail.voltage.0, nominal: rail.voltage.0, high: no_load_peak_v }
}

/// A rail's parts as plain numbers.
pub fn numbers(
    asked: Asked<'_>,
    assembly: &Assembly<'_>,
) -> Result<(Supply, Option<Output>, Auxiliary), Unbuildable> {
    let nothing = Drawn::steady(0.0);
    let mut supply = supply_of(asked, assembly, nothing)?;
    let peak_v = no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
    let output = assembly
        .regulation
        .as_ref()
        .map(|stage| output_of(asked, stage.part, stage.set, input_span(asked.rail, peak_v)))
        .transpose()?;
    let stage = assembly.regulation.as_ref().zip(output.as_ref());
    let auxiliary = auxiliary_of(asked, stage, assembly.bleeder, peak_v);
    supply.load_a = load_span(asked, &auxiliary);
    let others: Result<Vec<Beside>, _> =
        assembly.mates.into_iter().map(|mate| beside(asked, assembly, mate)).collect();
    supply.beside = Few::of(others?);
    Ok((supply, output, auxiliary))
}

/// Another rail of a shared transformer, taken as alike but for its turns and its load, beside one that is wired in some way.
pub fn assumed(asked: Asked<'_>, wiring: Wiring, mate: Mate<'_>) -> Beside {
    let auxiliary = Auxiliary { ground_a: mate.assumed_a, ..Auxiliary::default() };
    let load_a = load_span(Asked { rail: mate.rail, ..asked }, &auxiliary);
    Beside { of_tap: mate.shares_tap(wiring), load_a, parts: None }
}

/// Another rail of a shared transformer as plain numbers.
fn beside(asked: Asked<'_>, assembly: &Assembly<'_>, mate: Mate<'_>) -> Result<Beside, Unbuildable> {
    let wiring = assembly.wiring;
    let Some(other) = assembly.other(&mate) else { return Ok(assumed(asked, wiring, mate)) };
    let (Supply { topology, source, rectifier, bank, load_a, .. }, ..) =
        numbers(Asked { rail: mate.rail, ..asked }, &other)?;
    let parts = Some(BesideParts { topology, source, rectifier, bank });
    Ok(Beside { of_tap: mate.shares_tap(wiring), load_a, parts })
}

/// What a policy leaves of a rating that is an upper limit; the rating itself where the policy names no limit.
pub fn left_of(policy: &Policy, code: &str, rating: f64) -> f64 {
    match policy.limits.get(code).map(|limit| limit.kind) {
        Some(LimitKind::Ratio(ratio)) => rating * ratio.0,
        Some(LimitKind::BelowMaximum(below)) => rating - below.0,
        Some(LimitKind::Ceiling { at_most, below }) => at_most.0.min(rating - below.0),
        Some(LimitKind::AtMost(most)) => most.min(rating),
        Some(LimitKind::AtLeast(_)) | None => rating,
    }
}

/// A plain figure the policy sets for a rule (headroom volts, a factor); `None` where it sets none.
pub fn figure_of(policy: &Policy, code: &str) -> Option<f64> {
    policy.limits.get(code).map(|limit| match limit.kind {
        LimitKind::AtLeast(value) | LimitKind::AtMost(value) => value,
        LimitKind::Ratio(ratio) => ratio.0,
        LimitKind::BelowMaximum(below) => below.0,
        LimitKind::Ceiling { at_most, .. } => at_most.0,
    })
}

/// The greatest of some values, with the first vertex that ties with it; `None` of none.
pub(super) fn worst_of(values: impl Iterator<Item = (f64, Vertex)>) -> Option<Worst> {
    tie::greatest(values).map(|found| Worst { value: found.figure, vertex: found.first })
}

/// A rail at each of some vertices; of those without a steady state the first is told.
fn solved(supply: &Supply, vertices: Vec<Vertex>) -> Result<Vec<OperatingPoint>, Refusal> {
    let at = |vertex| operate(supply, vertex).map_err(|reason| Refusal::NoSteadyState { vertex, reason });
    if in_closed_form(supply) {
        return vertices.into_iter().map(at).collect();
    }
    // Without a closed form each takes a hundred times as long: worth sharing out.
    let points: Vec<_> = vertices.into_par_iter().map(at).collect();
    points.into_iter().collect()
}

impl<'a> Bench<'a> {
    /// Turns parts into numbers and solves the rail at each vertex given.
    pub fn build(
        asked: Asked<'a>,
        assembly: Assembly<'a>,
        vertices: impl Iterator<Item = Vertex>,
    ) -> Result<Self, Refusal> {
        let (supply, output, auxiliary) = numbers(asked, &assembly)?;
        Self::solve(asked, assembly, supply, output, auxiliary, vertices)
    }

    /// The rail at every vertex of its box.
    pub fn build_whole(asked: Asked<'a>, assembly: Assembly<'a>) -> Result<Self, Refusal> {
        let leakage = assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some());
        Self::build(asked, assembly, Vertex::all(leakage, !assembly.is_alone()))
    }

    /// Solves a rail whose numbers are known at each vertex given.
    pub fn solve(
        asked: Asked<'a>,
        assembly: Assembly<'a>,
        supply: Supply,
        output: Option<Output>,
        auxiliary: Auxiliary,
        vertices: impl Iterator<Item = Vertex>,
    ) -> Result<Self, Refusal> {
        let points = solved(&supply, vertices.collect())?;
        let lasting = if supply.load_a.peaks() {
            let of = |body| solved(&supply.lasting(body), points.iter().map(|point| point.vertex).collect());
            Some(Box::new([of(Body::Light)?, of(Body::Heavy)?]))
        } else {
            None
        };
        Ok(Self { asked, assembly, supply, output, auxiliary, points, lasting, known: Known::default() })
    }

    /// The points as a body sees their load.
    pub fn points_of(&self, body: Body) -> &[OperatingPoint] {
        match (&self.lasting, body) {
            (Some(lasting), Body::Light) => &lasting[0],
            (Some(lasting), Body::Heavy) => &lasting[1],
            (None, _) | (_, Body::Instant) => &self.points,
        }
    }

    /// Peak of the reservoir at no load: high mains, EMF at its upper tolerance, diode drop not counted, V.
    ///
    /// `V_pk = √2 · k · V_rated · (1 + tolerance) · mains high`, of a doubler twice that. A diode's threshold is a working-current figure; at leakage
    /// currents it vanishes, so it is not taken off.
    pub fn no_load_peak_v(&self) -> f64 {
        no_load_peak_v(self.supply.topology, &self.supply.source, self.supply.mains_v)
    }

    /// The same of the EMF alone: what each capacitor of a full-wave doubler sees, and what reverse voltages are multiples of, V.
    pub fn emf_peak_v(&self) -> f64 {
        emf_peak_v(&self.supply.source, self.supply.mains_v)
    }

    /// Greatest capacitance that a bleeder discharges, F: of two in series half of one, of a second section both banks; of a
    /// half-wave doubler both, as if the coupling capacitor, which joins in from half the voltage on, did so from the first.
    pub fn discharged_farad(&self) -> f64 {
        discharged_farad(self.supply.topology, self.supply.bank.farad.high) + self.second_farad()
    }

    /// Capacitance that holds at the no-load peak what all banks hold, F.
    pub fn stored_farad(&self) -> f64 {
        let (banks, peaks) = (self.supply.charged_banks(), self.supply.multiple());
        self.supply.bank.farad.high * banks / (peaks * peaks) + self.second_farad()
    }

    /// Greatest capacitance of a second bank, F; none without one.
    fn second_farad(&self) -> f64 {
        self.supply.second_bank().map_or(0.0, |bank| bank.farad.high)
    }

    /// Capacitance charged at switch-on, F, as if to the EMF's peak: of a doubler both capacitors, of a second section both banks, of a shared transformer
    /// those of the other rails too.
    pub fn charged_farad(&self) -> f64 {
        let others = self.supply.beside.iter().zip(self.supply.source.other_turns);
        // Referred to the path by its turns, so that it holds the same energy at the path's voltage.
        let referred = |(beside, turns): (&Beside, f64)| {
            beside.parts.map_or(0.0, |parts| parts.bank.farad.high * turns * turns)
        };
        self.supply.charged_banks() * self.supply.bank.farad.high
            + self.second_farad()
            + others.map(referred).sum::<f64>()
    }

    /// The greatest of a figure over all points, with its vertex.
    pub fn greatest(&self, figure: impl Fn(&OperatingPoint) -> f64) -> Worst {
        self.greatest_of(Body::Instant, figure)
    }

    /// The greatest of a figure over all points as a body sees their load, with its vertex.
    pub fn greatest_of(&self, body: Body, figure: impl Fn(&OperatingPoint) -> f64) -> Worst {
        let values = self.points_of(body).iter().map(|point| (figure(point), point.vertex));
        worst_of(values).unwrap_or(Worst { value: f64::NAN, vertex: Vertex::at(0) })
    }

    /// The least of a figure over all points, with its vertex.
    pub fn least(&self, figure: impl Fn(&OperatingPoint) -> f64) -> Worst {
        let worst = self.greatest(|point| -figure(point));
        Worst { value: -worst.value, ..worst }
    }

    /// What the policy leaves of a rating that is an upper limit.
    pub fn upper(&self, code: &'static str, rating: f64) -> (f64, Origin) {
        let origin = self.asked.policy.limits.get(code).map_or(Origin::Rating, |limit| Origin::Policy {
            clause: limit.clause.clone(),
            known: limit.known,
        });
        (left_of(self.asked.policy, code, rating), origin)
    }

    /// A plain figure the policy sets for a rule (headroom volts, a factor); `fallback` where it sets none.
    pub fn figure(&self, code: &'static str, fallback: f64) -> (f64, Origin) {
        let limit = self.asked.policy.limits.get(code).zip(figure_of(self.asked.policy, code));
        limit.map_or((fallback, Origin::Rating), |(limit, value)| {
            (value, Origin::Policy { clause: limit.clause.clone(), known: limit.known })
        })
    }

    /// A stress that must not exceed what the policy leaves of a rating.
    pub fn at_most(
        &self,
        code: &'static str,
        position: Position,
        worst: Worst,
        rating: f64,
        unit: Unit,
    ) -> Verdict {
        let stress = self.against(code, position, worst.value, rating, unit);
        Verdict::Stress(Stress { vertex: Some(worst.vertex), ..stress })
    }

    /// A temperature that must stay below what the policy leaves of a part's greatest.
    pub fn temperature(
        &self,
        code: &'static str,
        position: Position,
        worst: Worst,
        rating_c: f64,
        reference_c: f64,
    ) -> Verdict {
        let stress = self.against(code, position, worst.value, rating_c, Unit::Celsius);
        let sense = Sense::Temperature { reference_c };
        Verdict::Stress(Stress { sense, vertex: Some(worst.vertex), ..stress })
    }
}
