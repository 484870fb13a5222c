//! A rectifier with every way to cool it, and the two that bracket them all.

use crate::{
    catalog::family::rectifier::{CurrentCurve, Reference, ThermalPath},
    circuit::supply::{HeatPath, Rectifier},
    physics::diode::{Line, WarmLine},
    quantity::{Amps, Celsius, Ohms, Volts},
    stress::{
        assembly::{Cooling, RectifierPart},
        bench::{Asked, left_of},
        convert::air_of,
        junction::left_at,
        verdict::{EQUALITY, Unit},
    },
};

use super::fallen::Warmth;

/// A rectifier with its numbers.
pub(super) struct Rectifying<'a> {
    pub(super) part: RectifierPart<'a>,
    pub(super) score: f64,
    /// Ways to cool it that the least loss of any circuit does not rule out, cheapest first.
    pub(super) ways: Vec<Way<'a>>,
    pub(super) reverse_limit_v: f64,
    bearing: Bearing<'a>,
    warmths: Vec<Warmth>,
    /// In the hot state, the least drop and slope that any way could bring; the way itself where there is one.
    pub(super) hottest: Rectifier,
    /// In the hot state, the greatest drop and slope that any way could bring; the way itself where there is one.
    pub(super) coolest: Rectifier,
    /// The way that leaves the junction no warmer than any other, if there is one.
    pub(super) coolest_way: Option<usize>,
}

/// What the rectifier's heat is held against.
#[derive(Clone, Copy)]
pub(super) struct Bearing<'a> {
    thermal: &'a ThermalPath,
    curve: &'a CurrentCurve,
    /// What a capacitive load leaves of the rating, and elements counted together.
    factor: f64,
    elements: f64,
}

/// A rule that a heat breaks: code, applied, allowed, unit, utilisation.
pub(super) type Broken = (&'static str, f64, f64, Unit, f64);

impl<'a> Bearing<'a> {
    /// Of a rectifier.
    pub(super) fn of(part: RectifierPart<'a>) -> Self {
        match part {
            RectifierPart::Bridge(part) => Self {
                thermal: &part.thermal,
                curve: &part.output,
                factor: part.capacitive_factor.unwrap_or(1.0),
                elements: 2.0,
            },
            RectifierPart::Diodes(part) => {
                Self { thermal: &part.thermal, curve: &part.average, factor: 1.0, elements: 1.0 }
            }
        }
    }

    /// The rule that a package breaks whose way of cooling, least heat and least average current of one element are known.
    pub(super) fn broken(
        &self,
        asked: Asked<'_>,
        path: &HeatPath,
        heat_w: f64,
        average_a: f64,
    ) -> Option<Broken> {
        let air_c = air_of(asked).hot_c;
        let junction_c = path.junction_c(heat_w, air_c);
        let code = "rectifier-junction-temperature";
        let limit_c = left_of(asked.policy, code, self.thermal.junction_max.0);
        if junction_c > limit_c {
            let utilisation = (junction_c - air_c) / (limit_c - air_c).max(1e-9);
            return Some((code, junction_c, limit_c, Unit::Celsius, utilisation));
        }
        let reference_c = match (self.curve.reference, self.thermal.junction_case) {
            (Reference::Ambient, _) => air_c,
            (Reference::Case, Some(to_case)) => junction_c - to_case.0 * heat_w,
            _ => junction_c,
        };
        let code = "rectifier-average-current";
        let limit_a = left_of(asked.policy, code, self.factor * left_at(self.curve, reference_c));
        let applied_a = self.elements * average_a;
        let broken = applied_a > limit_a * (1.0 + EQUALITY);
        broken.then(|| (code, applied_a, limit_a, Unit::Amps, applied_a / limit_a.max(1e-9)))
    }
}

/// One way to cool a rectifier.
pub(super) struct Way<'a> {
    pub(super) cooling: Option<Cooling<'a>>,
    pub(super) score: f64,
    pub(super) numbers: Rectifier,
}

impl<'a> Rectifying<'a> {
    /// From its ways, at least one.
    pub(super) fn of(
        asked: Asked<'_>,
        part: RectifierPart<'a>,
        score: f64,
        ways: Vec<Way<'a>>,
        reverse_limit_v: f64,
    ) -> Self {
        let first = ways.first().map_or_else(|| flat(0.0, 0.0), |way| way.numbers);
        let (mut hottest, mut coolest) = (first, first);
        if ways.len() > 1 {
            // A junction in the hot state is at least as warm as the air; beyond its hotter line the drop stays.
            let ends =
                [Celsius(air_of(asked).hot_c), first.line.temperatures().1].map(|end| first.line.at(end));
            let pick = |choose: fn(f64, f64) -> f64| {
                let volts = choose(ends[0].threshold.0, ends[1].threshold.0);
                let ohms = choose(ends[0].slope.0, ends[1].slope.0);
                let level = flat(volts, ohms);
                Rectifier { drop_low_factor: first.drop_low_factor, ..level }
            };
            (hottest, coolest) = (pick(f64::min), pick(f64::max));
        }
        let bearing = Bearing::of(part);
        let warmths: Vec<Warmth> = ways.iter().map(|way| Warmth::of(&way.numbers.path)).collect();
        let warmer = |a: usize, b: usize| warmths[a].as_warm(&warmths[b]);
        let coolest_way = (0..ways.len()).find(|&one| (0..ways.len()).all(|other| warmer(other, one)));
        Self { part, score, ways, reverse_limit_v, bearing, warmths, hottest, coolest, coolest_way }
    }

    /// Score of the part with its cheapest cooling.
    pub(super) fn least_score(&self) -> f64 {
        self.score + self.ways.first().map_or(f64::INFINITY, |way| way.score)
    }

    /// Whether a way of cooling could bear a heat of one package and an average current of one element.
    pub(super) fn bears(&self, asked: Asked<'_>, way: &Way<'_>, heat_w: f64, average_a: f64) -> bool {
        let sink_holds = way.cooling.is_none_or(|cooling| {
            let limit_c = left_of(asked.policy, "sink-temperature", cooling.sink.common.temperature_max.0);
            air_of(asked).hot_c + way.numbers.path.sink_rise_k(heat_w) <= limit_c * (1.0 + EQUALITY)
        });
        sink_holds && self.bearing.broken(asked, &way.numbers.path, heat_w, average_a).is_none()
    }

    /// Whether the drop falls as the junction warms, at every current up to one.
    pub(super) fn drop_falls(&self, asked: Asked<'_>, amps: f64) -> bool {
        let Some(first) = self.ways.first() else { return false };
        let line = &first.numbers.line;
        let (cool, hot) = (line.at(Celsius(air_of(asked).hot_c)), line.at(line.temperatures().1));
        let falls = |line: Line, than: Line| {
            line.threshold.0 <= than.threshold.0
                && line.forward_voltage(Amps(amps)).0 <= than.forward_voltage(Amps(amps)).0
        };
        falls(hot, cool)
    }

    /// Whether one way leaves the junction as warm as another or warmer.
    pub(super) fn warmer(&self, one: usize, other: usize) -> bool {
        let warmth = |index: usize| self.warmths.get(index);
        warmth(one).zip(warmth(other)).is_some_and(|(one, other)| one.as_warm(other))
    }
}

/// A rectifier alike at all temperatures that never warms.
pub(super) fn flat(threshold_v: f64, slope_ohm: f64) -> Rectifier {
    let line = Line { threshold: Volts(threshold_v), slope: Ohms(slope_ohm) };
    Rectifier {
        line: WarmLine::level(line),
        drop_low_factor: 1.0,
        path: HeatPath::Direct(0.0),
        elements_per_package: 1,
        leakage_hot_a: 0.0,
    }
}
