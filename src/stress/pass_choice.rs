//! Ballast and drive resistors of pass transistors, chosen by rule: what a designer would take.
//!
//! Knows no price: the series are given. Used by selection; review judges what it finds.

use crate::{
    catalog::{Regulator, ResistorSeries, Transistor},
    policy::LimitKind,
    quantity::Ohms,
};

use super::{
    assembly::{Pass, ResistorChoice},
    bench::{Asked, left_of},
    pass_point::PassNumbers,
    resistor::{self, values_of},
    stage,
    verdict::EQUALITY,
};

/// Share of the limit transistor's least base-emitter voltage that full load may put across it. House practice.
pub const SENSE_SHARE: f64 = 0.9;
/// Least current of the drive resistor over all base currents: it also turns the transistors off. House practice.
const DRIVE_OVER_BASE: f64 = 1.0;

/// Ballast and drive resistors for some transistors behind a regulator; `None` where no value does.
///
/// Ballast: the largest preferred value across which full load leaves the limit transistor asleep; sharing is then the best and
/// the limit the tightest there is. Drive: the largest preferred value that carries at least as much as all bases, so that the
/// regulator is loaded as little as its drive needs. `through_a`: greatest current of the whole stage.
pub fn choose_pass<'a>(
    asked: Asked<'_>,
    (part, limiter, count): (&'a Transistor, &'a Transistor, u32),
    (ballasts, drives): (&'a ResistorSeries, &'a ResistorSeries),
    through_a: f64,
) -> Option<Pass<'a>> {
    let pass = |ballast: f64, drive: f64| Pass {
        part,
        count,
        ballast: ResistorChoice { series: ballasts, value: Ohms(ballast) },
        drive: ResistorChoice { series: drives, value: Ohms(drive) },
        limiter,
    };
    let n = f64::from(count);
    // Above this no current can wake the limit transistor less: a place to start from.
    let (ballast_values, drive_values) = (values_of(ballasts)?, values_of(drives)?);
    let base_a = through_a / (part.gain_min.0 + 1.0);
    let drive_for = |ballast: f64| {
        let wanted = (part.base_emitter_min.0 + ballast * through_a / n) / (DRIVE_OVER_BASE * base_a);
        let value = drive_values.at_or_below(wanted.min(drives.to.0))?;
        (value >= drives.from.0 * (1.0 - 1e-9)).then_some(value)
    };
    let mut bound = (2.0 * limiter.base_emitter_min.0 * n / through_a).min(ballasts.to.0);
    loop {
        let ballast = ballast_values.at_or_below(bound)?;
        if ballast < ballasts.from.0 * (1.0 - 1e-9) {
            return None;
        }
        let found = pass(ballast, drive_for(ballast)?);
        let numbers = PassNumbers::of(asked, &found);
        if numbers.sensed_v(through_a) <= SENSE_SHARE * numbers.least_sense_v() {
            return Some(found);
        }
        bound = ballast * (1.0 - 1e-6);
    }
}

/// Whether resistors bear their power, and regulator and transistors their currents: what no train can mend.
pub fn carries(asked: Asked<'_>, regulator: &Regulator, pass: &Pass<'_>, through_a: f64) -> bool {
    let numbers = PassNumbers::of(asked, pass);
    let (most_a, _) = numbers.most_loaded(through_a);
    let (own_a, _) = numbers.regulator(through_a);
    let left = |code, rating| left_of(asked.policy, code, rating) * (1.0 + EQUALITY);
    let share = match asked.policy.limits.get("pass-sharing").map(|limit| limit.kind) {
        Some(LimitKind::AtMost(most)) => most,
        _ => f64::INFINITY,
    };
    own_a <= left("regulator-output-current", regulator.output_current.0)
        && most_a <= left("pass-collector-current", pass.part.collector_current.0)
        && most_a <= pass.part.gain_current.0
        && numbers.base_a(through_a) <= left("pass-base-current", pass.part.base_current.0)
        && numbers.imbalance(through_a) <= share
        && limits(regulator, pass.limiter)
}

/// Whether a transistor can take what a regulator draws through it in a short, its gain stated so far.
pub fn limits(regulator: &Regulator, limiter: &Transistor) -> bool {
    regulator.limit_max <= limiter.collector_current && regulator.limit_max <= limiter.gain_current
}

/// Whether a series bears the power of a ballast or drive resistor of some volts.
pub fn bears(asked: Asked<'_>, choice: ResistorChoice<'_>, volts: f64) -> bool {
    let watts = volts * volts / resistor::least_ohm(asked, choice);
    watts <= left_of(asked.policy, "resistor-power", resistor::power_rating(asked, choice.series))
}

/// Current that heats the resistors of a stage over the load's profile, A, and the greatest at any instant.
pub fn currents(asked: Asked<'_>, beside_a: f64) -> (f64, f64) {
    let light = stage::load_of(asked.rail, crate::circuit::supply::Body::Light);
    (light + beside_a, stage::load_high_a(asked.rail) + beside_a)
}
