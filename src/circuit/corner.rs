//! Every vertex of the tolerance box of one rail, in a fixed order.
//!
//! Knows nothing of what is worst where: a rule looks at all vertices and names the one it found.

/// One end of a tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    /// Lower end.
    Low,
    /// Upper end.
    High,
}

impl End {
    /// The value of a pair that stands at this end.
    pub fn of<T>(self, low: T, high: T) -> T {
        match self {
            Self::Low => low,
            Self::High => high,
        }
    }

    fn sign(self) -> &'static str {
        self.of("−", "+")
    }
}

/// The two correlated temperature states; hot windings with cold diodes is not a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thermal {
    /// Least ambient, first seconds, nothing heated.
    Cold,
    /// Greatest ambient, everything self-heated to its fixed point.
    Hot,
}

/// One vertex of the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Vertex {
    /// Mains voltage.
    pub mains: End,
    /// Load current.
    pub load: End,
    /// Mains frequency.
    pub frequency: End,
    /// Temperature state.
    pub thermal: Thermal,
    /// Secondary voltage tolerance.
    pub emf: End,
    /// Capacitance: tolerance, and at the low end the end of life.
    pub capacitance: End,
    /// ESR: new, or the greatest at the end of life.
    pub esr: End,
    /// Diode threshold.
    pub drop: End,
    /// Leakage inductance: none, or as stated.
    pub leakage: End,
    /// Load of the other rail on the same transformer; `None` where there is none.
    pub others: Option<End>,
}

/// Dimensions of the box when leakage is stated.
pub const DIMENSIONS: u32 = 9;

impl Vertex {
    /// What stands as the vertex of a nominal point, which is none.
    pub(super) const NOMINAL: Self = Self {
        mains: End::High,
        load: End::High,
        frequency: End::High,
        thermal: Thermal::Hot,
        emf: End::High,
        capacitance: End::High,
        esr: End::Low,
        drop: End::High,
        leakage: End::Low,
        others: None,
    };

    /// Vertex of index `index` in the lexicographic order (−, +), mains first; leakage low, no other rail.
    pub fn at(index: u32) -> Self {
        let bit = |place: u32| if index >> (DIMENSIONS - 2 - place) & 1 == 0 { End::Low } else { End::High };
        Self {
            mains: bit(0),
            load: bit(1),
            frequency: bit(2),
            thermal: bit(3).of(Thermal::Cold, Thermal::Hot),
            emf: bit(4),
            capacitance: bit(5),
            esr: bit(6),
            drop: bit(7),
            leakage: End::Low,
            others: None,
        }
    }

    /// All vertices, lexicographic; twice as many where leakage is stated, and twice where a transformer is shared.
    pub fn all(leakage_stated: bool, shared: bool) -> impl Iterator<Item = Self> {
        let leakages: &[End] = if leakage_stated { &[End::Low, End::High] } else { &[End::Low] };
        let others: &[Option<End>] = if shared { &[Some(End::Low), Some(End::High)] } else { &[None] };
        (0..1 << (DIMENSIONS - 1)).flat_map(move |index| {
            leakages.iter().flat_map(move |&leakage| {
                others.iter().map(move |&others| Self { leakage, others, ..Self::at(index) })
            })
        })
    }

    /// The vertex in words a report can print.
    pub fn text(&self) -> String {
        let state = match self.thermal {
            Thermal::Cold => "cold",
            Thermal::Hot => "hot",
        };
        format!(
            "{state}, mains {}, load {}, f {}, EMF {}, C {}, ESR {}, drop {}",
            self.mains.sign(),
            self.load.sign(),
            self.frequency.sign(),
            self.emf.sign(),
            self.capacitance.sign(),
            self.esr.sign(),
            self.drop.sign(),
        ) + self.leakage.of("", ", leakage +")
            + self.others.map_or("", |end| end.of(", other rail −", ", other rail +"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_box_has_256_vertices_twice_as_many_with_leakage_or_another_rail_all_distinct_and_sorted() {
        for (leakage, shared, count) in
            [(false, false, 256), (true, false, 512), (false, true, 512), (true, true, 1024)]
        {
            let all: Vec<Vertex> = Vertex::all(leakage, shared).collect();
            assert_eq!(all.len(), count);
            assert!(all.windows(2).all(|pair| pair[0] < pair[1]));
        }
    }
}
