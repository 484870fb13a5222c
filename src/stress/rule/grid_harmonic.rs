//! Harmonics of the mains current against class A.

use crate::{
    circuit::operate::OperatingPoint,
    numeric::tie::first_greatest,
    physics::grid::{HARMONIC_MAX, class_a_applies, class_a_limit},
    quantity::Watts,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Origin, Sense, Stress, Unit, Verdict},
    },
};

/// Least nominal mains for which the limits are written, V: systems of 220 V and more. Source: IEC 61000-3-2 (from memory).
const MAINS_MIN_V: f64 = 220.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "grid-harmonic",
        asks: "each harmonic of the primary current up to the 40th stays within class A, where more than 75 W are taken",
        why: "a reservoir draws its current at the peak of the mains, as every other one does",
        worst: "the vertex of greatest input power",
        limits: "core loss and magnetising current are left out; one rail alone; whether the standard applies is for its current edition to say",
        source: "closed-form harmonics; IEC 61000-3-2 class A (reprinted table seen), floor 75 W and 220 V systems (from memory)",
    },
    group: Group::Whole,
    judge,
};

/// Power taken from the mains at a point, W.
fn input_w(point: &OperatingPoint) -> f64 {
    point.mean_v * point.load_a
        + point.copper_w
        + point.diode_w
        + point.bank_w
        + point.section_w()
        + point.iron_w
}

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if bench.supply.mains_v.nominal < MAINS_MIN_V {
        verdicts.push(tell::idle(code, Position::Transformer, "no limit is set for mains below 220 V"));
        return;
    }
    let busiest = first_greatest(&bench.points, |point| input_w(point));
    let Some(point) = busiest.filter(|point| class_a_applies(Watts(input_w(point)))) else {
        verdicts.push(tell::idle(code, Position::Transformer, "no limit is set up to 75 W"));
        return;
    };
    let turns = bench.supply.source.primary_per_path;
    let harmonics = point.state.harmonics(HARMONIC_MAX);
    let limited = harmonics.iter().filter_map(|harmonic| {
        let limit = class_a_limit(harmonic.order)?.0;
        Some((harmonic.order, harmonic.rms_a() * turns, limit))
    });
    let Some((order, applied, limit)) = first_greatest(limited, |(_, applied, limit)| applied / limit) else {
        verdicts.push(tell::idle(code, Position::Transformer, "no harmonic is limited"));
        return;
    };
    let plain = tell::stress(code, Position::Transformer, Unit::Amps, Sense::AtMost, applied, limit);
    verdicts.push(Verdict::Stress(Stress {
        vertex: Some(point.vertex),
        origin: Origin::Standard("IEC 61000-3-2, class A"),
        note: format!(
            "harmonic {order} of {:.0} W; core loss and magnetising current left out",
            input_w(point)
        ),
        ..plain
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, KelvinsPerWatt, VoltAmps, Volts},
        stress::fixture::Fixture,
    };

    /// 100 W and more: 240 VA, 15 V, 16 A behind a stiff transformer.
    fn large(load_a: f64) -> Fixture {
        let mut fixture = Fixture::raw();
        fixture.transformer.rating = VoltAmps(240.0);
        fixture.transformer.secondaries[0].current = Amps(16.0);
        fixture.transformer.iron_loss = crate::quantity::Watts(10.0);
        fixture.bridge.thermal.junction_air = Some(KelvinsPerWatt(1.0));
        fixture.requirement.rails[0].current_max = Amps(load_a);
        fixture
    }

    /// Law: with pulses at the peak of the mains the third harmonic is below the fundamental, which is power over voltage.
    #[test]
    fn a_hundred_watts_stay_within_class_a_and_the_harmonic_below_the_fundamental() {
        let fixture = large(5.0);
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let greatest = bench.greatest(input_w);
        assert!(greatest.value > 75.0 && stress.vertex == Some(greatest.vertex));
        assert!(stress.applied < greatest.value / 207.0);
        assert!(stress.holds());
    }

    #[test]
    fn nothing_is_limited_up_to_75_w_or_below_220_v() {
        assert!(Fixture::regulated().idle(&RULE));
        let mut fixture = large(5.0);
        fixture.requirement.mains.voltage = Volts(120.0);
        fixture.transformer.primaries[0].rated = Volts(120.0);
        assert!(fixture.idle(&RULE));
    }

    #[test]
    fn a_kilowatt_behind_a_stiff_winding_exceeds_class_a() {
        let mut fixture = large(30.0);
        fixture.transformer.rating = VoltAmps(1500.0);
        fixture.transformer.secondaries[0].current = Amps(100.0);
        fixture.transformer.secondaries[0].regulation = crate::quantity::Ratio(0.04);
        fixture.transformer.secondaries[0].rated = Volts(50.0);
        fixture.transformer.secondaries[0].current = Amps(30.0);
        fixture.capacitor.capacitance = crate::quantity::Farads(0.05);
        fixture.capacitor.esr = crate::quantity::Ohms(0.005);
        assert!(!fixture.holds(&RULE));
    }
}
