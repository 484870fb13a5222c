//! Pass transistors beside a regulator: what each carries, what the regulator keeps, what the stage drops and where it limits.
//!
//! Knows no operating point and no limit. Every figure is the one at its own worst end of resistors, base-emitter voltages and
//! gain; the laws are in [`crate::physics::pass`].

use crate::{
    catalog::Transistor,
    physics::pass::{drive_voltage, regulator_share, sensed_limit},
    quantity::{Amps, Ohms, Ratio, Volts},
};

use super::{assembly::Pass, bench::Asked, convert::air_of, resistor};

/// Fall of a base-emitter voltage per kelvin, V/K. Common practice, no source.
const FALL_V_PER_K: f64 = 2e-3;
/// Junction temperature at which base-emitter voltages are stated, °C.
const STATED_AT_C: f64 = 25.0;

/// Least and greatest base-emitter voltage between two junction temperatures, V.
fn base_emitter_v(part: &Transistor, cold_c: f64, hot_c: f64) -> (f64, f64) {
    (
        (part.base_emitter_min.0 - FALL_V_PER_K * (hot_c - STATED_AT_C).max(0.0)).max(0.0),
        part.base_emitter_max.0 + FALL_V_PER_K * (STATED_AT_C - cold_c).max(0.0),
    )
}

/// The stage as plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PassNumbers {
    count: u32,
    ballast_ohm: (f64, f64),
    drive_ohm: (f64, f64),
    base_emitter_v: (f64, f64),
    spread_v: f64,
    gain_min: f64,
    /// Base-emitter voltage of the limit transistor, which stands in the air inside.
    sense_v: (f64, f64),
}

impl PassNumbers {
    /// Of transistors and resistors over their tolerances.
    pub fn of(asked: Asked<'_>, pass: &Pass<'_>) -> Self {
        let cold_c = air_of(asked).cold_c;
        let ends = |choice| (resistor::least_ohm(asked, choice), resistor::greatest_ohm(asked, choice));
        Self {
            count: pass.count,
            ballast_ohm: ends(pass.ballast),
            drive_ohm: ends(pass.drive),
            base_emitter_v: base_emitter_v(pass.part, cold_c, pass.part.junction_max.0),
            spread_v: pass.part.base_emitter_spread.0,
            gain_min: pass.part.gain_min.0,
            sense_v: base_emitter_v(pass.limiter, cold_c, air_of(asked).hot_c),
        }
    }

    /// Voltage over the drive resistor with all transistors alike, V.
    fn alike_v(&self, total_a: f64, base_emitter_v: f64, ballast_ohm: f64, drive_ohm: f64) -> f64 {
        let units = [(self.count, Volts(base_emitter_v), Ohms(ballast_ohm))];
        drive_voltage(Amps(total_a), Ohms(drive_ohm), &units).0
    }

    /// Greatest voltage between the stage's input and the regulator's, V.
    pub fn drop_v(&self, total_a: f64) -> f64 {
        self.alike_v(total_a, self.base_emitter_v.1, self.ballast_ohm.1, self.drive_ohm.1)
    }

    /// Greatest current of the regulator itself, with the voltage over the drive resistor there, A and V.
    pub fn regulator(&self, total_a: f64) -> (f64, f64) {
        let drive_ohm = self.drive_ohm.0;
        let volts = self.alike_v(total_a, self.base_emitter_v.1, self.ballast_ohm.1, drive_ohm);
        (regulator_share(Amps(total_a), Volts(volts), Ohms(drive_ohm), Ratio(self.gain_min)).0, volts)
    }

    /// Emitter currents of the most loaded transistor and of all, A: it low in base-emitter voltage and ballast, the others high.
    pub fn most_loaded(&self, total_a: f64) -> (f64, f64) {
        let (low_v, (low_ohm, high_ohm)) = (self.base_emitter_v.0, self.ballast_ohm);
        let high_v = low_v + self.spread_v;
        let units =
            [(1, Volts(low_v), Ohms(low_ohm)), (self.count.saturating_sub(1), Volts(high_v), Ohms(high_ohm))];
        let volts = drive_voltage(Amps(total_a), Ohms(self.drive_ohm.1), &units).0;
        let most = ((volts - low_v) / low_ohm).max(0.0);
        let others = f64::from(self.count.saturating_sub(1)) * ((volts - high_v) / high_ohm).max(0.0);
        (most, most + others)
    }

    /// Most loaded transistor over the equal share; 1 where none conducts.
    pub fn imbalance(&self, total_a: f64) -> f64 {
        let (most, all) = self.most_loaded(total_a);
        if all > 0.0 { most * f64::from(self.count) / all } else { 1.0 }
    }

    /// Least voltage that ballast and drive resistors take from every part of the current, V: their heat is not the sink's.
    pub fn resistors_v(&self, total_a: f64) -> f64 {
        let high_v = self.base_emitter_v.1;
        (self.alike_v(total_a, high_v, self.ballast_ohm.0, self.drive_ohm.0) - high_v).max(0.0)
    }

    /// Greatest voltage across one ballast resistor of greatest value, V: what the limit transistor must not yet answer to.
    pub fn sensed_v(&self, total_a: f64) -> f64 {
        let units = [(self.count, Volts(self.base_emitter_v.0), Ohms(self.ballast_ohm.1))];
        let alike = drive_voltage(Amps(total_a), Ohms(self.drive_ohm.1), &units).0 - self.base_emitter_v.0;
        // The one that is sensed may be the low one.
        (alike + self.spread_v).max(self.most_loaded(total_a).0 * self.ballast_ohm.0)
    }

    /// Least base-emitter voltage at which the limit transistor conducts, V.
    pub fn least_sense_v(&self) -> f64 {
        self.sense_v.0
    }

    /// Greatest of all over temperature, V: of the pass transistors, and of the limit transistor.
    pub fn greatest_base_emitter_v(&self) -> (f64, f64) {
        (self.base_emitter_v.1, self.sense_v.1)
    }

    /// Greatest emitter current of any transistor in an overload, A.
    pub fn limit_each_a(&self) -> f64 {
        sensed_limit(Volts(self.sense_v.1), Volts(self.spread_v), Ohms(self.ballast_ohm.0)).0
    }

    /// Greatest current of the whole stage in an overload, A: all transistors at their limit and the regulator at its own.
    pub fn limit_total_a(&self, regulator_limit_a: f64) -> f64 {
        f64::from(self.count) * self.limit_each_a() + regulator_limit_a
    }

    /// Greatest base current of one transistor, A.
    pub fn base_a(&self, total_a: f64) -> f64 {
        self.most_loaded(total_a).0 / (self.gain_min + 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand, resistors without tolerance: 8 A, three of 0.35 V (0.6 V less 2 mV/K to 150 °C) to 0.9 V (0.85 V and 2 mV/K
    /// to 0 °C), 0.05 V apart, behind 0.2 Ω; drive 2 Ω; gain 29. Drop: (8 + 3·0.9/0.2)/(0.5 + 15) = 21.5/15.5 = 1.387097 V; regulator 0.693548 + 7.306452/30 = 0.937097 A.
    /// Most loaded: (8 + 0.35/0.2 + 2·0.4/0.2)/15.5 = 13.75/15.5 = 0.887097 V, 2.685484 A; the others 2.435484 A each.
    /// Limit: (0.9 + 0.05)/0.2 = 4.75 A each; 14.25 A and the regulator's 4 A.
    #[test]
    fn a_stage_of_three_is_what_the_circuit_equations_say() {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        let pass = fixture.assembly().regulation.unwrap().pass.unwrap();
        let numbers = PassNumbers::of(fixture.asked(), &pass);
        assert_relative_eq!(numbers.drop_v(8.0), 21.5 / 15.5, max_relative = 1e-9);
        assert_relative_eq!(numbers.regulator(8.0).0, 0.937_097, max_relative = 1e-5);
        let (most, all) = numbers.most_loaded(8.0);
        assert_relative_eq!(most, 2.685_484, max_relative = 1e-6);
        assert_relative_eq!(all, 2.685_484 + 2.0 * 2.435_484, max_relative = 1e-6);
        assert_relative_eq!(numbers.imbalance(8.0), 2.685_484 * 3.0 / 7.556_452, max_relative = 1e-6);
        assert_relative_eq!(numbers.limit_each_a(), 4.75, max_relative = 1e-9);
        assert_relative_eq!(numbers.limit_total_a(4.0), 18.25, max_relative = 1e-9);
        assert_relative_eq!(numbers.base_a(8.0), 2.685_484 / 30.0, max_relative = 1e-6);
        // Resistors: V_B − 0.9 V at least.
        assert_relative_eq!(numbers.resistors_v(8.0), 21.5 / 15.5 - 0.9, max_relative = 1e-9);
    }
}
