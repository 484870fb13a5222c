//! What a regulator stage delivers, and what the supply draws for itself.
//!
//! Chooses nothing; set resistors are given.

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
