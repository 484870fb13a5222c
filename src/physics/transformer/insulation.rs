//! Thermal classes of winding insulation and the temperatures allowed to their windings.
//!
//! Figures of IEC 61558-1 and IEC 60085 as the field knows them; the current edition of the standard decides.

use super::super::formula::Known;
use crate::quantity::Celsius;

/// Thermal class by its letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThermalClass {
    /// 105 °C material.
    A,
    /// 120 °C material.
    E,
    /// 130 °C material.
    B,
    /// 155 °C material.
    F,
    /// 180 °C material.
    H,
}

/// How the winding limits of [`ThermalClass::normal_limit`] are known (classes A and B corroborated by a second witness).
pub const NORMAL_LIMIT_KNOWN: Known = Known::Memory;
/// How the overload limits of [`ThermalClass::overload_limit`] are known.
pub const OVERLOAD_LIMIT_KNOWN: Known = Known::Memory;
/// How the material limits of [`ThermalClass::material_limit`] are known.
pub const MATERIAL_LIMIT_KNOWN: Known = Known::SeenSecond;

impl ThermalClass {
    /// All classes, coolest first.
    pub const ALL: [Self; 5] = [Self::A, Self::E, Self::B, Self::F, Self::H];

    /// The class of a letter.
    pub fn from_letter(letter: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.letter() == letter)
    }

    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::E => "E",
            Self::B => "B",
            Self::F => "F",
            Self::H => "H",
        }
    }

    /// Greatest mean winding temperature in normal use. Source: IEC 61558-1 (from memory; A and B agree with ITE test
    /// reports to IEC 60950, seen in a second witness).
    pub const fn normal_limit(self) -> Celsius {
        Celsius(match self {
            Self::A => 100.0,
            Self::E => 115.0,
            Self::B => 120.0,
            Self::F => 140.0,
            Self::H => 165.0,
        })
    }

    /// Greatest winding temperature in overload or short circuit, inherently protected. Source: IEC 61558-1 (from memory).
    pub const fn overload_limit(self) -> Celsius {
        Celsius(match self {
            Self::A => 150.0,
            Self::E => 165.0,
            Self::B => 175.0,
            Self::F => 190.0,
            Self::H => 210.0,
        })
    }

    /// Temperature of the class of material. Source: IEC 60085 (seen in a second witness, erea.be).
    pub const fn material_limit(self) -> Celsius {
        Celsius(match self {
            Self::A => 105.0,
            Self::E => 120.0,
            Self::B => 130.0,
            Self::F => 155.0,
            Self::H => 180.0,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: ITE test report to IEC 60950 (second witness): rises of 75 K (A) and 95 K (B) allowed at 25 °C.
    #[test]
    fn classes_a_and_b_agree_with_the_rises_of_a_test_report() {
        assert_eq!(ThermalClass::A.normal_limit(), Celsius(25.0 + 75.0));
        assert_eq!(ThermalClass::B.normal_limit(), Celsius(25.0 + 95.0));
    }

    #[test]
    fn normal_lies_below_material_and_material_below_overload_in_every_class() {
        for class in ThermalClass::ALL {
            assert!(class.normal_limit() < class.material_limit());
            assert!(class.material_limit() < class.overload_limit());
            assert_eq!(ThermalClass::from_letter(class.letter()), Some(class));
        }
        assert_eq!(ThermalClass::from_letter("C"), None);
    }
}
