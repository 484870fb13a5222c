//! What a regulator stage delivers, and what the supply draws for itself.
//!
//! Chooses nothing; set resistors are given.

use crate::{
    catalog::{Regulator, family::regulator::Setting},
    circuit::supply::{Body, Drawn, Span},
    physics::{
        duty,
        regulator::accuracy::{Divider, Spread},
    },
    quantity::{Amps, Ohms, Ratio, Seconds, Volts},
    requirement::{Polarity, Rail},
};

use super::{
    assembly::{Regulation, ResistorChoice},
    bench::Asked,
    convert::Unbuildable,
    position::Position,
    resistor,
};

/// Output of a regulator over everything but the ripple, V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Output with nominal set resistors.
    pub set_v: f64,
    /// Least output.
    pub low_v: f64,
    /// Greatest output.
    pub high_v: f64,
    /// Terms of the accuracy, each a magnitude, V.
    pub terms: Accuracy,
}

/// Terms of an output's accuracy: they add as absolute values, V.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Accuracy {
    /// Distance of the set value from what is asked.
    pub setting: f64,
    /// Reference or fixed output, over temperature.
    pub reference: f64,
    /// Set resistors: tolerance and temperature coefficient.
    pub resistors: f64,
    /// Adjust-pin current through the lower resistor.
    pub adjust_current: f64,
    /// Line regulation over the whole range of the input.
    pub line: f64,
    /// Load regulation.
    pub load: f64,
}

impl Accuracy {
    /// Sum of the absolute terms, the distance of the set value apart.
    pub fn spread(&self) -> f64 {
        self.reference + self.resistors + self.adjust_current + self.line + self.load
    }
}

/// What the supply itself draws from the reservoir beside the load, A.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Auxiliary {
    /// Ground current of the regulator at full load, greatest.
    pub ground_a: f64,
    /// Through the set resistors.
    pub set_a: f64,
    /// Through the minimum-load resistor.
    pub minimum_load_a: f64,
    /// Through the bleeder at the highest reservoir voltage.
    pub bleeder_a: f64,
}

impl Auxiliary {
    /// All of it, as counted at greatest load.
    pub fn total_a(&self) -> f64 {
        self.ground_a + self.set_a + self.minimum_load_a + self.bleeder_a
    }

    /// What passes the regulator beside the load.
    pub fn through_regulator_a(&self) -> f64 {
        self.set_a + self.minimum_load_a
    }
}

/// Time constant with which a light body is counted, s: no package in free air and no time-lag fuse warms faster. Common
/// practice, no source.
pub const LIGHT_S: Seconds = Seconds(1.0);
/// Time constant with which a heavy body is counted, s: small sinks, capacitors and windings take some minutes. Common
/// practice, no source.
pub const HEAVY_S: Seconds = Seconds(60.0);

/// Steady load that heats a body as continuous load and peak do, A.
///
/// See [`duty::heating_current`]; the peak repeats with the period that its share of the time leaves.
pub fn load_of(rail: &Rail, body: Body) -> f64 {
    let Some(peak) = rail.peak else { return rail.current_max.0 };
    let time_constant = match body {
        Body::Instant => return load_high_a(rail),
        Body::Light => LIGHT_S,
        Body::Heavy => HEAVY_S,
    };
    let weight = duty::weight(peak.duration, peak.share, time_constant);
    duty::heating_current(rail.current_max, peak.current.max(rail.current_max), weight).0
}

/// Current the load draws at its high end, A: the greater of continuous and peak.
pub fn load_high_a(rail: &Rail) -> f64 {
    rail.peak.map_or(rail.current_max.0, |peak| peak.current.0.max(rail.current_max.0))
}

/// Reference of an adjustable part over temperature, and its adjust current from none to the greatest.
///
/// Makers state the greatest adjust current only; half of it counts as nominal (common practice, no source).
pub fn reference_of(regulator: &Regulator) -> Option<(Spread<Volts>, Spread<Amps>)> {
    let Setting::Adjustable { reference, adjust_current, .. } = regulator.setting else {
        return None;
    };
    let accuracy = regulator.accuracy.0;
    let volts =
        Spread { min: reference * (1.0 - accuracy), nom: reference, max: reference * (1.0 + accuracy) };
    Some((volts, Spread { min: Amps(0.0), nom: adjust_current * 0.5, max: adjust_current }))
}

/// Output with its accuracy, term by term: set value, reference, set resistors, adjust current, line, load.
///
/// `ΔV = Σ|ΔV_i|`. Line: stated change per volt over the whole `input` range. Load: stated change from none to the guaranteed
/// current, in proportion to the load's range. `input` in V; all voltages are magnitudes.
///
/// Source: worst-case sum, common practice, no source; terms of the divider: [`crate::physics::regulator::accuracy`].
pub fn output_of(
    asked: Asked<'_>,
    regulator: &Regulator,
    set: Option<(ResistorChoice<'_>, ResistorChoice<'_>)>,
    input: Span,
) -> Result<Output, Unbuildable> {
    let misfit = |why| Unbuildable::Misfit { position: Position::Regulator, why };
    if regulator.positive != (asked.rail.polarity == Polarity::Positive) {
        return Err(misfit("its polarity is not the rail's"));
    }
    let target = asked.rail.voltage;
    let (set_v, mut terms) = match regulator.setting {
        Setting::Fixed { output } => {
            (output.0, Accuracy { reference: output.0 * regulator.accuracy.0, ..Accuracy::default() })
        }
        Setting::Adjustable { output_min, output_max, .. } => {
            if target < output_min || target > output_max {
                return Err(misfit("the output lies outside its range"));
            }
            let missing = Unbuildable::Missing { position: Position::SetUpper, rating: "set resistors" };
            let (upper, lower) = set.ok_or(missing.clone())?;
            let (reference, adjust) = reference_of(regulator).ok_or(missing)?;
            let divider = divider_of(asked, upper, lower);
            let [_, of_reference, of_resistors, of_adjust] = divider.terms(target, reference, adjust);
            let reach = |term: crate::physics::regulator::accuracy::Term| {
                term.to_max.0.abs().max(term.to_min.0.abs())
            };
            let accuracy = Accuracy {
                reference: reach(of_reference),
                resistors: reach(of_resistors),
                adjust_current: reach(of_adjust),
                ..Accuracy::default()
            };
            (divider.output(reference.nom, adjust.nom, 0.0).0, accuracy)
        }
    };
    terms.setting = (set_v - target.0).abs();
    terms.line = regulator.line_regulation_per_volt.0 * set_v * (input.high - input.low).max(0.0);
    let load_range = load_high_a(asked.rail) - asked.rail.current_min.0;
    terms.load =
        regulator.load_regulation.0 * set_v * (load_range / regulator.output_current.0).clamp(0.0, 1.0);
    let spread = terms.spread();
    Ok(Output { set_v, low_v: set_v - spread, high_v: set_v + spread, terms })
}

/// The divider of two set resistors; of two tolerances the greater counts for both.
pub fn divider_of(asked: Asked<'_>, upper: ResistorChoice<'_>, lower: ResistorChoice<'_>) -> Divider {
    let tolerance = resistor::spread(asked, upper.series).max(resistor::spread(asked, lower.series));
    Divider { r_1: upper.value, r_2: lower.value, tolerance: Ratio(tolerance) }
}

/// Least or greatest current through the set resistors, A.
pub fn set_current_a(
    asked: Asked<'_>,
    regulator: &Regulator,
    upper: ResistorChoice<'_>,
    greatest: bool,
) -> f64 {
    let Some((reference, _)) = reference_of(regulator) else {
        return 0.0;
    };
    let spread = resistor::spread(asked, upper.series);
    let Ohms(nominal) = upper.value;
    if greatest {
        reference.max.0 / (nominal * (1.0 - spread))
    } else {
        reference.min.0 / (nominal * (1.0 + spread))
    }
}

/// What the supply draws for itself, each at its greatest. A floating part's adjust current counts as ground current.
pub fn auxiliary_of(
    asked: Asked<'_>,
    stage: Option<(&Regulation<'_>, &Output)>,
    bleeder: Option<ResistorChoice<'_>>,
    no_load_peak_v: f64,
) -> Auxiliary {
    let drawn = |choice: ResistorChoice<'_>, volts: f64| volts / resistor::least_ohm(asked, choice);
    let bleeder_a = bleeder.map_or(0.0, |choice| drawn(choice, no_load_peak_v));
    let Some((regulation, output)) = stage else {
        return Auxiliary { bleeder_a, ..Auxiliary::default() };
    };
    let part = regulation.part;
    let adjust_a = reference_of(part).map_or(0.0, |(_, adjust)| adjust.max.0);
    Auxiliary {
        ground_a: part.ground_current_max.0.max(adjust_a),
        set_a: regulation.set.map_or(0.0, |(upper, _)| set_current_a(asked, part, upper, true)),
        minimum_load_a: regulation.minimum_load.map_or(0.0, |choice| drawn(choice, output.high_v)),
        bleeder_a,
    }
}

/// Current drawn from the reservoir, A: least load with what passes the regulator beside it; greatest load with everything.
pub fn load_span(asked: Asked<'_>, auxiliary: &Auxiliary) -> Drawn {
    let rail = asked.rail;
    Drawn {
        light: load_of(rail, Body::Light) + auxiliary.total_a(),
        heavy: load_of(rail, Body::Heavy) + auxiliary.total_a(),
        low: rail.current_min.0 + auxiliary.through_regulator_a(),
        nominal: rail.current_max.0 + auxiliary.total_a(),
        high: load_high_a(rail) + auxiliary.total_a(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{requirement::model::PeakLoad, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    const INPUT: Span = Span { low: 14.0, nominal: 20.0, high: 24.0 };

    /// Hand arithmetic: 12 V · (2 % + 10 V · 0.05 %/V + 0.5 % · 1.4/2).
    #[test]
    fn a_fixed_part_adds_reference_line_and_load() {
        let fixture = Fixture::regulated();
        let part = fixture.regulator.as_ref().unwrap();
        let output = output_of(fixture.asked(), part, None, INPUT).unwrap();
        assert_relative_eq!(output.terms.reference, 0.24, max_relative = 1e-12);
        assert_relative_eq!(output.terms.line, 0.06, max_relative = 1e-12);
        assert_relative_eq!(output.terms.load, 0.042, max_relative = 1e-12);
        assert_relative_eq!(output.high_v, 12.342, max_relative = 1e-12);
        assert_relative_eq!(output.low_v, 11.658, max_relative = 1e-12);
    }

    /// Source: R. L. Boylestad and L. Nashelsky, Electronic Devices and Circuit Theory, Example 15.15 (numbers from memory):
    /// 240 Ω and 2.4 kΩ give 13.99 V with 100 µA, so 13.87 V with half of it; the reference alone moves it by 2 % of 13.75 V.
    #[test]
    fn an_adjustable_part_is_set_by_its_resistors() {
        let mut fixture = Fixture::adjustable(240.0, 2400.0);
        fixture.rail().voltage = Volts(13.87);
        let assembly = fixture.assembly();
        let regulation = assembly.regulation.unwrap();
        let output = output_of(fixture.asked(), regulation.part, regulation.set, INPUT).unwrap();
        assert_relative_eq!(output.set_v, 13.87, max_relative = 1e-12);
        assert_relative_eq!(output.terms.reference, 0.275, max_relative = 1e-9);
        // 1 % and 50 ppm/K over 25 K: 1.125 % each way, upper and lower opposed; reference high.
        let spread = 1.275 * (2400.0 * 1.01125 / (240.0 * 0.98875) - 10.0) + 50e-6 * 2400.0 * 0.01125;
        assert_relative_eq!(output.terms.resistors, spread, max_relative = 1e-9);
        assert_relative_eq!(output.terms.adjust_current, 50e-6 * 2427.0, max_relative = 1e-9);
    }

    #[test]
    fn what_does_not_fit_the_rail_is_refused() {
        let mut fixture = Fixture::adjustable(240.0, 2400.0);
        let without = output_of(fixture.asked(), fixture.regulator.as_ref().unwrap(), None, INPUT);
        assert!(matches!(without, Err(Unbuildable::Missing { position: Position::SetUpper, .. })));
        fixture.rail().polarity = Polarity::Negative;
        let negative = output_of(fixture.asked(), fixture.regulator.as_ref().unwrap(), None, INPUT);
        assert!(matches!(negative, Err(Unbuildable::Misfit { position: Position::Regulator, .. })));
        fixture.rail().polarity = Polarity::Positive;
        fixture.rail().voltage = Volts(40.0);
        let above = output_of(fixture.asked(), fixture.regulator.as_ref().unwrap(), None, INPUT);
        assert!(matches!(above, Err(Unbuildable::Misfit { position: Position::Regulator, .. })));
    }

    /// Hand arithmetic: ground 5 mA; bleeder 26.4 V over 2200 Ω less 1.125 %.
    #[test]
    fn the_reservoir_feeds_load_and_auxiliaries() {
        let fixture = Fixture::regulated().staged();
        let bleeder = 2.0_f64.sqrt() * 16.5 * 1.1 * 1.03 / (2200.0 * (1.0 - 0.01125));
        assert_relative_eq!(fixture.auxiliary.bleeder_a, bleeder, max_relative = 1e-9);
        let span = load_span(fixture.asked(), &fixture.auxiliary);
        assert_relative_eq!(span.high, 1.505 + bleeder, max_relative = 1e-9);
        assert_relative_eq!(span.nominal, 1.505 + bleeder, max_relative = 1e-9);
        assert_relative_eq!(span.low, 0.1, max_relative = 1e-9);
        let mut fixture = fixture;
        fixture.rail().peak =
            Some(PeakLoad { current: Amps(1.8), duration: Seconds(1.0), share: Ratio(0.1) });
        let span = load_span(fixture.asked(), &fixture.auxiliary);
        assert_relative_eq!(span.high, 1.805 + bleeder, max_relative = 1e-9);
        // One second in ten. Heavy, 60 s: (1 − e^(−1/60))/(1 − e^(−1/6)) = 0.107665; √(2.25 + 0.107665 · 0.99) = 1.535118 A.
        // Light, 1 s: (1 − 1/e)/(1 − e^(−10)) = 0.632149; √(2.25 + 0.632149 · 0.99) = 1.695827 A.
        assert_relative_eq!(span.heavy, 1.535_118 + 0.005 + bleeder, max_relative = 1e-5);
        assert_relative_eq!(span.light, 1.695_827 + 0.005 + bleeder, max_relative = 1e-5);
        assert!(span.peaks());
        assert_relative_eq!(span.nominal, 1.505 + bleeder, max_relative = 1e-9);
    }
}
