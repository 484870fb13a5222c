//! Heat: the chain from junction to air, and a heat sink that works better the warmer it is.
//!
//! Knows no semiconductor; power comes in as a number. Air is the air the part sees, not the room.

use super::domain::DomainError;
use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Celsius, Kelvins, KelvinsPerWatt, Metres, Ratio, Watts};

/// Exponent of the rise in natural convection, see [`SINK_RISE`].
pub const RISE_EXPONENT: f64 = 0.25;
/// Rise at which sinks are usually stated.
pub const REFERENCE_RISE: Kelvins = Kelvins(75.0);
/// Height in metres at which the linear altitude law would reach nothing.
pub const ALTITUDE_SCALE_M: f64 = 17_500.0;
/// Greatest altitude for which the law is used.
pub const ALTITUDE_MAX: Metres = Metres(5_000.0);

/// What the workings print for [`chain`].
pub const JUNCTION_CHAIN: Formula = Formula::new(
    "junction-chain",
    ("T_j", "°C"),
    "T_air + P (R_jc + R_cs + R_sa)",
    &[
        sym("T_air", "°C", "air at the part"),
        sym("P", "W", "dissipation"),
        sym("R_jc", "K/W", "junction to case"),
        sym("R_cs", "K/W", "case to sink, interface included"),
        sym("R_sa", "K/W", "sink to air at its own rise and altitude"),
    ],
    "steady state",
    Source::Published {
        title: "M. H. Rashid, Power Electronics, 4th ed.",
        place: "Example 4.4",
        known: Known::Seen,
    },
);

/// What the workings print for [`Sink::resistance_at`].
pub const SINK_RESISTANCE: Formula = Formula::new(
    "sink-resistance",
    ("R_sa", "K/W"),
    "R_r (ΔT_r / ΔT)^n / a",
    &[
        sym("R_r", "K/W", "stated resistance"),
        sym("ΔT_r", "K", "rise at which it is stated, usually 75"),
        sym("ΔT", "K", "rise of the sink"),
        sym("n", "", "exponent, 0.25 in natural convection"),
        sym("a", "", "altitude factor of the cooling"),
    ],
    "natural convection, published from 30 to 75 K; n = 0 in forced air",
    Source::Published {
        title: "Aavid, temperature correction of heat-sink resistance",
        place: "table 30 to 75 K",
        known: Known::SeenSecond,
    },
);

/// What the workings print for [`Sink::rise`].
pub const SINK_RISE: Formula = Formula::new(
    "sink-rise",
    ("ΔT", "K"),
    "(P R_r ΔT_r^n / a)^(1 / (1 + n))",
    &[
        sym("P", "W", "all dissipation on the sink"),
        sym("R_r", "K/W", "stated resistance"),
        sym("ΔT_r", "K", "rise at which it is stated"),
        sym("n", "", "exponent"),
        sym("a", "", "altitude factor of the cooling"),
    ],
    "as the resistance law",
    Source::Derived { from: "ΔT = P R_sa(ΔT) solved for ΔT" },
);

/// What the workings print for [`altitude_factor`].
pub const ALTITUDE_FACTOR: Formula = Formula::new(
    "altitude-factor",
    ("a", ""),
    "1 − h / 17500",
    &[sym("h", "m", "altitude")],
    "0 to 5000 m; a sink table from memory (1.00, .95, .90, .86, .80, .75 at 0, 1000, 1500, 2000, 3000, 3500 m) lies up to 7 % lower",
    Source::Published {
        title: "air-cooling note, no address recorded",
        place: "1000 m .943, 2000 m .886, 3000 m .829",
        known: Known::SeenSecond,
    },
);

/// What the workings print for [`required_sink`].
pub const REQUIRED_SINK: Formula = Formula::new(
    "required-sink",
    ("R_sa", "K/W"),
    "(T_j − T_air) / P − R_jc − R_cs",
    &[
        sym("T_j", "°C", "junction temperature allowed"),
        sym("T_air", "°C", "air at the part"),
        sym("P", "W", "dissipation"),
        sym("R_jc", "K/W", "junction to case"),
        sym("R_cs", "K/W", "case to sink"),
    ],
    "at or below zero: no sink is good enough",
    Source::Derived { from: "the junction chain solved for the sink" },
);

/// Junction temperature of a chain; see [`JUNCTION_CHAIN`].
pub fn chain(air: Celsius, power: Watts, resistances: &[KelvinsPerWatt]) -> Celsius {
    air + resistances.iter().copied().sum::<KelvinsPerWatt>() * power
}

/// Greatest power of a chain below a junction temperature.
pub fn power_max(junction_max: Celsius, air: Celsius, resistances: &[KelvinsPerWatt]) -> Watts {
    Watts((junction_max - air).0 / resistances.iter().copied().sum::<KelvinsPerWatt>().0)
}

/// Sink-to-air resistance that keeps a junction at its limit, at that sink's own rise; `None` where no sink is good
/// enough. See [`REQUIRED_SINK`].
pub fn required_sink(
    junction_max: Celsius,
    air: Celsius,
    power: Watts,
    junction_to_sink: KelvinsPerWatt,
) -> Option<KelvinsPerWatt> {
    let needed = (junction_max - air).0 / power.0 - junction_to_sink.0;
    (needed > 0.0).then_some(KelvinsPerWatt(needed))
}

/// Cooling left at an altitude; see [`ALTITUDE_FACTOR`]. Below sea level 1.
pub fn altitude_factor(altitude: Metres) -> Result<Ratio, DomainError> {
    let h = DomainError::within("altitude in m", altitude.0, -500.0, ALTITUDE_MAX.0)?;
    Ok(Ratio((1.0 - h / ALTITUDE_SCALE_M).min(1.0)))
}

/// A heat sink as stated: a resistance at a rise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sink {
    /// Resistance to air at the reference rise, sea level.
    pub resistance: KelvinsPerWatt,
    /// Rise at which it is stated.
    pub reference_rise: Kelvins,
    /// Exponent of the rise: [`RISE_EXPONENT`] in natural convection, 0 in forced air.
    pub exponent: f64,
}

impl Sink {
    /// Resistance at another rise and altitude factor; see [`SINK_RESISTANCE`].
    pub fn resistance_at(&self, rise: Kelvins, altitude: Ratio) -> KelvinsPerWatt {
        self.resistance * ((self.reference_rise / rise).powf(self.exponent) / altitude.0)
    }

    /// Rise above air at a total power: closed form of the feedback; see [`SINK_RISE`]. Zero without power.
    pub fn rise(&self, power: Watts, altitude: Ratio) -> Kelvins {
        let scaled =
            power.0.max(0.0) * self.resistance.0 * self.reference_rise.0.powf(self.exponent) / altitude.0;
        Kelvins(scaled.powf(1.0 / (1.0 + self.exponent)))
    }

    /// Greatest stated resistance (at this reference rise and exponent) that keeps the rise at or below `rise`.
    pub fn required_resistance(&self, rise: Kelvins, power: Watts, altitude: Ratio) -> KelvinsPerWatt {
        KelvinsPerWatt(rise.0 / power.0 * altitude.0 * (rise / self.reference_rise).powf(self.exponent))
    }
}

/// Air inside an enclosure: room plus total loss times the enclosure's thermal resistance.
pub fn inside_air(room: Celsius, loss: Watts, enclosure: KelvinsPerWatt) -> Celsius {
    room + enclosure * loss
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    const R: fn(f64) -> KelvinsPerWatt = KelvinsPerWatt;

    /// Source: M. H. Rashid, Power Electronics, 4th ed., Example 4.4: 150 °C, 25 °C, 0.4 + 0.1 + 0.5 K/W: 125 W, case 100 °C.
    #[test]
    fn the_thermal_chain_of_rashid_4_4_carries_125_watts() {
        let all = [R(0.4), R(0.1), R(0.5)];
        assert_relative_eq!(power_max(Celsius(150.0), Celsius(25.0), &all).0, 125.0, max_relative = 1e-9);
        assert_relative_eq!(chain(Celsius(25.0), Watts(125.0), &all[1..]).0, 100.0, max_relative = 1e-9);
    }

    /// Source: D. A. Neamen, Electronic Circuit Analysis and Design, Example 8.3 (title from memory): 7.5 + 1 + 5 K/W below
    /// 175 °C at 25 °C: 11.1 W.
    #[test]
    fn the_thermal_chain_of_neamen_8_3_carries_11_1_watts() {
        let found = power_max(Celsius(175.0), Celsius(25.0), &[R(7.5), R(1.0), R(5.0)]);
        assert_relative_eq!(found.0, 11.1, max_relative = 0.003);
    }

    /// Source: heat-sink lecture (second witness, slideplayer): 3 + 1 K/W, 5 W, 50 °C air, 150 °C: sink at most 16 K/W.
    #[test]
    fn five_watts_need_a_sink_of_16_kelvin_per_watt() {
        let found = required_sink(Celsius(150.0), Celsius(50.0), Watts(5.0), R(4.0)).unwrap();
        assert_relative_eq!(found.0, 16.0, max_relative = 1e-9);
        assert_eq!(required_sink(Celsius(125.0), Celsius(60.0), Watts(20.0), R(3.5)), None);
    }

    /// Source: Aavid, temperature correction (second witness): 1.000, 1.017, 1.057, 1.106, 1.170, 1.257 at 75 to 30 K.
    #[test]
    fn sink_resistance_follows_the_published_correction() {
        let sink = Sink { resistance: R(1.0), reference_rise: REFERENCE_RISE, exponent: RISE_EXPONENT };
        for (rise, printed) in
            [(75.0, 1.0), (70.0, 1.017), (60.0, 1.057), (50.0, 1.106), (40.0, 1.17), (30.0, 1.257)]
        {
            let found = sink.resistance_at(Kelvins(rise), Ratio(1.0));
            assert_relative_eq!(found.0, printed, max_relative = 0.001);
        }
    }

    /// Source: air-cooling note (second witness): .943, .886, .829 at 1000, 2000, 3000 m.
    #[test]
    fn cooling_falls_with_altitude_as_published() {
        for (metres, printed) in [(0.0, 1.0), (1000.0, 0.943), (2000.0, 0.886), (3000.0, 0.829)] {
            assert_relative_eq!(altitude_factor(Metres(metres)).unwrap().0, printed, max_relative = 0.001);
        }
        assert!(altitude_factor(Metres(9000.0)).is_err());
        assert!(altitude_factor(Metres(f64::NAN)).is_err());
    }

    #[test]
    fn an_enclosure_warms_its_air() {
        assert_eq!(inside_air(Celsius(40.0), Watts(20.0), R(0.5)), Celsius(50.0));
    }

    proptest! {
        /// Second method: repeated substitution of the resistance at the rise.
        #[test]
        fn the_rise_is_where_resistance_and_rise_agree(p in 0.1..100.0_f64, r in 0.2..20.0_f64, a in 0.7..1.0_f64) {
            let sink = Sink { resistance: R(r), reference_rise: REFERENCE_RISE, exponent: RISE_EXPONENT };
            let mut rise = 75.0;
            for _ in 0..200 {
                rise = p * sink.resistance_at(Kelvins(rise), Ratio(a)).0;
            }
            let found = sink.rise(Watts(p), Ratio(a));
            prop_assert!((found.0 - rise).abs() < 1e-6 * rise);
            let needed = sink.required_resistance(found, Watts(p), Ratio(a));
            prop_assert!((needed.0 - r).abs() < 1e-9 * r);
        }

        #[test]
        fn more_power_or_altitude_means_more_rise(p in 0.1..50.0_f64, more in 0.01..5.0_f64) {
            let sink = Sink { resistance: R(5.0), reference_rise: REFERENCE_RISE, exponent: RISE_EXPONENT };
            prop_assert!(sink.rise(Watts(p + more), Ratio(1.0)).0 > sink.rise(Watts(p), Ratio(1.0)).0);
            prop_assert!(sink.rise(Watts(p), Ratio(0.8)).0 > sink.rise(Watts(p), Ratio(1.0)).0);
        }
    }
}
