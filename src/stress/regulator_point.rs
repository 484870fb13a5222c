//! The regulator at an operating point: current, drop-out, headroom, ripple; its heat is in `regulator_heat`.
//!
//! Knows no limit; the rules of the regulator and of its sink share it, and so may a screen of trains without sinks.

use crate::{
    catalog::{Regulator, family::regulator::Setting},
    circuit::{
        corner::{End, Thermal},
        operate::OperatingPoint,
        supply::{Body, HeatPath},
    },
    physics::{
        domain::DomainError,
        regulator::{dropout::DropoutTable, rejection},
    },
    quantity::{Amps, Celsius, Volts},
};

use super::{
    assembly::Regulation,
    bench::{Asked, Bench, Worst, worst_of},
    convert::Unbuildable,
    pass_point::PassNumbers,
    position::Position,
    stage::{self, Auxiliary, Output},
    surge, tell,
    verdict::{Unit, Verdict},
};

/// The regulator of a bench, with what its points need.
#[derive(Clone, Debug)]
pub struct RegulatorStage<'b> {
    /// The regulator and what stands around it.
    pub regulation: &'b Regulation<'b>,
    /// Its output with accuracy.
    pub output: Output,
    pub(super) auxiliary: Auxiliary,
    load_low_a: f64,
    /// High end of the load as each body counts it.
    load_high_a: [f64; 3],
    drop_out: DropoutTable,
    rejection_allowance_db: f64,
    /// Pass transistors beside it.
    pub(super) pass: Option<PassNumbers>,
}

/// Drop-out at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropOut {
    /// Greatest drop-out, V.
    pub volts: f64,
    /// Whether the junction lies outside the stated temperatures, so that the largest stated value stands in.
    pub outside: bool,
}

/// The greatest input against one of the two voltage ratings of a regulator; a part that states the other is judged there.
pub(super) fn input_verdict(
    bench: &Bench<'_>,
    code: &'static str,
    ratings: fn(&Regulator) -> [Option<Volts>; 2],
    elsewhere: &'static str,
) -> Verdict {
    let at = Position::Regulator;
    let Some(stage) = &bench.assembly.regulation else {
        return tell::idle(code, at, "the rail has no regulator");
    };
    match ratings(stage.part) {
        [Some(rating), _] => bench.at_most(code, at, surge::input_peak(bench), rating.0, Unit::Volts),
        [None, Some(_)] => tell::idle(code, at, elsewhere),
        [None, None] => tell::missing(code, at, "greatest input or differential voltage"),
    }
}

/// Table of a regulator's drop-out.
pub fn drop_out_table(part: &Regulator) -> Result<DropoutTable, DomainError> {
    let points: Vec<_> =
        part.drop_out.iter().map(|point| (point.current, point.junction, point.voltage)).collect();
    DropoutTable::new(&points)
}

impl<'b> RegulatorStage<'b> {
    /// The stage of a bench; `None` for a raw rail, an error where the part's drop-out makes no table.
    pub fn of(bench: &'b Bench<'_>) -> Option<Result<Self, DomainError>> {
        let regulation = bench.assembly.regulation.as_ref()?;
        let output = bench.output?;
        Some(Self::with(bench.asked, regulation, output, bench.auxiliary))
    }

    /// The stage of a bench; where there is none to judge, the verdicts are told why.
    pub(super) fn judged(
        bench: &'b Bench<'_>,
        code: &'static str,
        verdicts: &mut Vec<Verdict>,
    ) -> Option<Self> {
        match Self::of(bench) {
            Some(Ok(stage)) => return Some(stage),
            Some(Err(_)) => verdicts.push(tell::missing(code, Position::Regulator, "drop-out")),
            None => verdicts.push(tell::idle(code, Position::Regulator, "the rail has no regulator")),
        }
        None
    }

    /// The stage of a regulator whose output and own currents are known.
    pub fn with(
        asked: Asked<'_>,
        regulation: &'b Regulation<'b>,
        output: Output,
        auxiliary: Auxiliary,
    ) -> Result<Self, DomainError> {
        drop_out_table(regulation.part).map(|drop_out| Self {
            regulation,
            output,
            auxiliary,
            load_low_a: asked.rail.current_min.0,
            load_high_a: [Body::Instant, Body::Light, Body::Heavy]
                .map(|body| stage::load_of(asked.rail, body)),
            drop_out,
            rejection_allowance_db: asked.policy.parameters.typical_rejection_allowance_db,
            pass: regulation.pass.as_ref().map(|pass| PassNumbers::of(asked, pass)),
        })
    }

    /// The part.
    pub fn part(&self) -> &'b Regulator {
        self.regulation.part
    }

    /// Current through the pass element at an end of the load, A: load, set resistors, minimum-load resistor.
    pub fn through_a(&self, load: End) -> f64 {
        self.through_of_a(Body::Instant, load)
    }

    /// The same as a body counts the load, A.
    pub fn through_of_a(&self, body: Body, load: End) -> f64 {
        load.of(self.load_low_a, self.load_high_a[body as usize]) + self.auxiliary.through_regulator_a()
    }

    /// Current of the regulator itself, greatest, at a current through the whole stage, A: pass transistors take the rest.
    pub fn regulator_a(&self, through_a: f64) -> f64 {
        self.pass.map_or(through_a, |pass| pass.regulator(through_a).0)
    }

    /// What drive resistor and ballast take before the regulator, greatest, V; nothing without pass transistors.
    pub fn lift_v(&self, load: End) -> f64 {
        self.pass.map_or(0.0, |pass| pass.drop_v(self.through_a(load)))
    }

    /// Drop-out at a point; `None` above every stated current. Without a path the least over all stated temperatures, which
    /// no sink can improve.
    pub fn drop_out(&self, path: Option<&HeatPath>, point: &OperatingPoint) -> Option<DropOut> {
        let current = Amps(self.regulator_a(self.through_a(point.vertex.load)));
        let (least, greatest) = self.drop_out.extremes(current)?;
        let Some(path) = path else {
            return Some(DropOut { volts: least.0, outside: false });
        };
        let junction = Celsius(self.junction_c(path, point));
        Some(match self.drop_out.at(current, junction) {
            Some(volts) => DropOut { volts: volts.0, outside: false },
            None => DropOut { volts: greatest.0, outside: true },
        })
    }

    /// Least headroom at a point, V: valley less the output's high end less drop-out.
    pub fn headroom_v(&self, path: Option<&HeatPath>, point: &OperatingPoint) -> Option<f64> {
        self.drop_out(path, point).map(|drop_out| self.headroom_with(point, drop_out.volts))
    }

    /// Headroom at a point with a drop-out, V.
    pub fn headroom_with(&self, point: &OperatingPoint, drop_out_v: f64) -> f64 {
        point.valley_v - self.output.high_v - self.lift_v(point.vertex.load) - drop_out_v
    }

    /// Greatest drop-out at a point over all stated temperatures, V: no cooling makes it greater.
    pub fn worst_drop_out(&self, point: &OperatingPoint) -> Option<f64> {
        let (_, greatest) =
            self.drop_out.extremes(Amps(self.regulator_a(self.through_a(point.vertex.load))))?;
        Some(greatest.0)
    }

    /// What a rejection stated with an adjust-pin capacitor loses without one, dB; none is ever fitted.
    fn adjust_pin_loss_db(&self) -> f64 {
        let needs = self.part().rejection.is_some_and(|stated| stated.adjust_capacitor.is_some());
        match self.part().setting {
            Setting::Adjustable { reference, .. } if needs => {
                20.0 * (self.output.set_v / reference.0).max(1.0).log10()
            }
            _ => 0.0,
        }
    }

    /// Output ripple at a point, V peak to peak; `None` where drop-out or rejection is not stated.
    ///
    /// `V_r,out = V_r,in · 10^(−A/20)`, with `A` reduced in proportion to the headroom below that at which it is stated.
    /// A rating that needs an adjust-pin capacitor is reduced by what the divider passes back without one,
    /// `20 log(V_out/V_ref)` (derived: the ripple of the output reaches the adjust pin divided). Infinite where no headroom is left: no ripple is claimed. Common practice, no source.
    pub fn output_ripple_v(&self, path: Option<&HeatPath>, point: &OperatingPoint) -> Option<f64> {
        self.part().rejection?;
        self.ripple_with(point, self.drop_out(path, point)?.volts)
    }

    /// Output ripple at a point with a drop-out, V peak to peak; `None` where no rejection is stated.
    pub fn ripple_with(&self, point: &OperatingPoint, drop_out: f64) -> Option<f64> {
        let headroom = self.headroom_with(point, drop_out);
        self.ripple_of(headroom, point.crest_v - point.valley_v, drop_out)
    }

    /// Output ripple of a raw ripple at a headroom with a drop-out, all in V; `None` where no rejection is stated.
    pub fn ripple_of(&self, headroom: f64, raw: f64, drop_out: f64) -> Option<f64> {
        let stated = self.part().rejection?;
        let allowance = if stated.guaranteed { 0.0 } else { self.rejection_allowance_db };
        let decibels = (stated.decibels - allowance - self.adjust_pin_loss_db()).max(0.0);
        // The maker states input less output; the law counts above drop-out.
        let stated_headroom = Volts((stated.headroom.0 - drop_out).max(0.0));
        Some(
            rejection::rejection_at(decibels, stated_headroom, Volts(headroom))
                .map_or(f64::INFINITY, |left| rejection::output_ripple(Volts(raw), left).0),
        )
    }
}

/// Least headroom that any sink can leave, V: the least drop-out over all stated temperatures; for screening.
///
/// `None` for a raw rail or where the current lies above every stated one.
pub fn headroom_bound(bench: &Bench<'_>) -> Option<Worst> {
    let stage = RegulatorStage::of(bench)?.ok()?;
    least(bench, |point| stage.headroom_v(None, point))
}

/// Greatest output ripple at the least that any sink can leave, V peak to peak; for screening. `None` as above.
pub fn output_ripple_bound(bench: &Bench<'_>) -> Option<Worst> {
    let stage = RegulatorStage::of(bench)?.ok()?;
    least(bench, |point| stage.output_ripple_v(None, point).map(|volts| -volts))
        .map(|worst| Worst { value: -worst.value, ..worst })
}

/// The least of a figure that may be missing; `None` if it is missing anywhere or nowhere stated.
pub fn least(bench: &Bench<'_>, figure: impl Fn(&OperatingPoint) -> Option<f64>) -> Option<Worst> {
    let values: Option<Vec<_>> =
        bench.points.iter().map(|point| Some((-figure(point)?, point.vertex))).collect();
    worst_of(values?.into_iter()).map(|worst| Worst { value: -worst.value, ..worst })
}

/// The greatest of a figure over the points in the hot state; `None` where none was solved.
pub fn greatest_hot(bench: &Bench<'_>, body: Body, figure: impl Fn(&OperatingPoint) -> f64) -> Option<Worst> {
    let hot = bench.points_of(body).iter().filter(|point| point.vertex.thermal == Thermal::Hot);
    worst_of(hot.map(|point| (figure(point), point.vertex)))
}

/// What a rule says of parts that cannot be converted.
pub fn unbuildable(code: &'static str, why: &Unbuildable) -> Verdict {
    match why {
        Unbuildable::Missing { position, rating } => {
            Verdict::MissingRating { code, position: *position, rating }
        }
        Unbuildable::Misfit { position, .. } | Unbuildable::Law { position, .. } => {
            Verdict::Fact { code, position: *position, holds: false, text: why.to_string() }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// Hand arithmetic: `(V̄ − 11.76 V)·1.5 A + V̄·5 mA`, then 2.5 K/W to the sink and the sink's own rise.
    #[test]
    fn heat_and_temperature_follow_from_the_mean_input() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        let stage = RegulatorStage::of(&bench).unwrap().unwrap();
        let path = stage.heat_path(&bench).unwrap();
        let point = bench
            .points
            .iter()
            .find(|p| p.vertex.load == End::High && p.vertex.thermal == Thermal::Hot)
            .unwrap();
        let watts = (point.mean_v - 11.76) * 1.5 + point.mean_v * 0.005;
        assert_relative_eq!(stage.dissipation_w(point), watts, max_relative = 1e-12);
        let rise = (watts * 3.0 * 75.0_f64.powf(0.25)).powf(0.8);
        assert_relative_eq!(stage.junction_c(&path, point), 45.0 + 2.5 * watts + rise, max_relative = 1e-12);
    }

    #[test]
    fn a_junction_outside_the_table_gets_the_largest_stated_drop_out() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        let stage = RegulatorStage::of(&bench).unwrap().unwrap();
        let path = stage.heat_path(&bench).unwrap();
        let mut point = bench.points[255].clone();
        let settled = stage.drop_out(Some(&path), &point).unwrap();
        assert!(!settled.outside);
        point.vertex.thermal = Thermal::Cold;
        point.air_c = -30.0;
        let found = stage.drop_out(Some(&path), &point).unwrap();
        // 0.1 A: 0.3 V, 2 A: 0.8 V at both stated temperatures.
        assert!(found.outside);
        assert_relative_eq!(found.volts, 0.3 + 0.5 * 1.4 / 1.9, max_relative = 1e-12);
    }

    #[test]
    fn the_bounds_for_screening_are_never_worse_than_the_exact_figures() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        let stage = RegulatorStage::of(&bench).unwrap().unwrap();
        let path = stage.heat_path(&bench).unwrap();
        for point in &bench.points {
            assert!(stage.headroom_v(None, point).unwrap() >= stage.headroom_v(Some(&path), point).unwrap());
            let ripple = stage.output_ripple_v(Some(&path), point).unwrap();
            assert!(stage.output_ripple_v(None, point).unwrap() <= ripple);
        }
        assert!(headroom_bound(&bench).unwrap().value > 0.3);
        assert!(output_ripple_bound(&bench).unwrap().value > 0.0);
    }

    #[test]
    fn nothing_is_said_above_every_stated_current() {
        let mut fixture = Fixture::regulated();
        fixture.rail().current_max = crate::quantity::Amps(2.1);
        assert_eq!(headroom_bound(&fixture.bench()), None);
    }
}
