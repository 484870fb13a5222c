//! Energy of one switch-on in the inrush limiter.

use crate::{
    physics::{bleeder::stored_energy, inrush},
    quantity::{Farads, Volts},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "inrush-energy",
        asks: "charging the reservoir takes no more energy, or capacitance at that voltage, than the limiter's maker allows",
        why: "a thermistor cracks when it is heated too far at once",
        worst: "mains +, EMF +, C +",
        limits: "the whole energy of the reservoir, of two rails on one transformer of both, is counted; windings and diodes take a part of it",
        source: "C V²/2 at the peak; capacitance at equal energy: derived; rating: the part's row",
    },
    group: Group::Surge,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(part) = bench.assembly.limiter else {
        return verdicts.push(tell::idle(code, Position::InrushLimiter, "no inrush limiter"));
    };
    let mut put = |unit, applied, rating| {
        let stress = bench.against(code, Position::InrushLimiter, applied, rating, unit);
        verdicts.push(Verdict::Stress(stress));
    };
    if let Some(rating) = part.energy_max {
        // Each capacitor is charged to the peak of the EMF.
        put(
            Unit::Joules,
            stored_energy(Farads(bench.charged_farad()), Volts(bench.emf_peak_v())).0,
            rating.0,
        );
    } else if let Some((stated, at)) = part.capacitance_max.zip(part.energy_voltage) {
        let turns = bench.supply.source.primary_per_path;
        let allowed = inrush::capacitance_max(stated, at, Volts(bench.supply.mains_v.high));
        put(Unit::Farads, bench.charged_farad() * turns * turns, allowed.0);
    } else {
        verdicts.push(tell::missing(code, Position::InrushLimiter, "surge energy or greatest capacitance"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Joules;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 12 mF at 26.438 V: 4.19 J of 15 J; referred by (16.5/230)²: 61.8 µF of 300 µF · (230/253)² = 248 µF.
    #[test]
    fn the_reservoirs_energy_is_counted_whole() {
        let mut fixture = Fixture::regulated().limited();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 0.006 * 26.438 * 26.438, max_relative = 1e-4);
        assert!(stress.holds());
        fixture.limiter.as_mut().unwrap().energy_max = Some(Joules(4.0));
        assert!(!fixture.holds(&RULE));
        fixture.limiter.as_mut().unwrap().energy_max = None;
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 0.012 * (16.5_f64 / 230.0).powi(2), max_relative = 1e-9);
        assert_relative_eq!(stress.limit, 3e-4 / 1.21, max_relative = 1e-9);
        fixture.limiter.as_mut().unwrap().capacitance_max = None;
        assert!(fixture.misses(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}
