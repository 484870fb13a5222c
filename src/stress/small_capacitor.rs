//! A small capacitor beside a regulator against what the regulator and the voltage ask of it.
//!
//! Knows no policy of its own; the rules on input and output capacitor share it.

use crate::{
    catalog::{SmallCapacitor, family::regulator::CapacitorWindow},
    quantity::Farads,
};

use super::{
    bench::Bench,
    position::Position,
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// What is asked of one capacitor.
pub(super) struct Place {
    /// Code of the rule.
    pub(super) code: &'static str,
    /// Where.
    pub(super) position: Position,
    /// What the regulator asks for; `None` where it asks for none.
    pub(super) window: Option<CapacitorWindow>,
    /// Greatest voltage across it, V.
    pub(super) volts: f64,
    /// Capacitance that stands beside it, F: counts against the greatest allowed.
    pub(super) beside: Farads,
}

/// Least capacitance: tolerance, and what bias at the working voltage leaves, straight between none and rated voltage.
fn least_farad(part: &SmallCapacitor, volts: f64) -> f64 {
    let share = (volts / part.rated.0).clamp(0.0, 1.0);
    let bias = part.bias_factor.map_or(1.0, |left| 1.0 - share * (1.0 - left.0));
    part.capacitance.0 * (1.0 - part.tolerance.0) * bias
}

impl Place {
    /// Judges what is fitted.
    pub(super) fn judge(
        &self,
        bench: &Bench<'_>,
        fitted: Option<&SmallCapacitor>,
        verdicts: &mut Vec<Verdict>,
    ) {
        let Some(part) = fitted else {
            verdicts.push(if self.window.is_none() {
                tell::idle(self.code, self.position, "the regulator asks for none")
            } else {
                let text = "the regulator needs a capacitor here and none is fitted".to_owned();
                tell::fact(self.code, self.position, false, text)
            });
            return;
        };
        let (limit, origin) = bench.upper(self.code, part.rated.0);
        let volts = self.stress(Unit::Volts, Sense::AtMost, self.volts, limit);
        verdicts.push(Verdict::Stress(Stress { rating: Some(part.rated.0), origin, ..volts }));
        let Some(window) = self.window else { return };
        let least = least_farad(part, self.volts);
        verdicts.push(Verdict::Stress(self.stress(Unit::Farads, Sense::AtLeast, least, window.min.0)));
        if let Some(max) = window.max {
            let greatest = part.capacitance.0 * (1.0 + part.tolerance.0) + self.beside.0;
            verdicts.push(Verdict::Stress(self.stress(Unit::Farads, Sense::AtMost, greatest, max.0)));
        }
        if let Some(max) = window.esr_max {
            verdicts.push(match part.esr_max {
                Some(esr) => Verdict::Stress(self.stress(Unit::Ohms, Sense::AtMost, esr.0, max.0)),
                None => tell::missing(self.code, self.position, "greatest ESR"),
            });
        }
        if let Some(min) = window.esr_min {
            verdicts.push(match part.esr_min {
                Some(esr) => Verdict::Stress(self.stress(Unit::Ohms, Sense::AtLeast, esr.0, min.0)),
                None => tell::missing(self.code, self.position, "least ESR"),
            });
        }
    }

    fn stress(&self, unit: Unit, sense: Sense, applied: f64, limit: f64) -> Stress {
        tell::stress(self.code, self.position, unit, sense, applied, limit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Ratio, Volts},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: 10 µF less 10 %, and of a dielectric that keeps 40 % at 50 V 70 % at 25 V.
    #[test]
    fn bias_takes_its_share_of_the_capacitance() {
        let mut part = Fixture::regulated().small;
        assert_relative_eq!(least_farad(&part, 25.0), 9e-6, max_relative = 1e-12);
        part.bias_factor = Some(Ratio(0.4));
        assert_relative_eq!(least_farad(&part, 25.0), 9e-6 * 0.7, max_relative = 1e-12);
        part.rated = Volts(25.0);
        assert_relative_eq!(least_farad(&part, 30.0), 9e-6 * 0.4, max_relative = 1e-12);
    }
}
