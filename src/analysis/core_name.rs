//! Inputs and figures of a core by the path they have in its file: those of a rail behind its name, those that all share.
//!
//! Knows no solution.

use std::f64::consts::SQRT_2;

use super::{
    core_file::CoreRail,
    input::{self, Input, InputError},
    name::{FigureName, UnknownFigure},
};
use crate::{
    circuit::general::core::Core,
    document::{neutralise, suggestion},
    quantity::{Hertz, Ohms},
};

/// Where an input of a core stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    /// Resistance of primary and source.
    Shared,
    /// EMF of the first rail, rms; the others keep their ratio to it.
    Emf,
    /// Frequency of the mains.
    Frequency,
    /// One rail.
    Rail(usize),
}

/// Inputs that all rails share.
const SHARED: [(&str, Place, Input); 3] = [
    ("core.primary_resistance", Place::Shared, input::COMMON),
    ("core.emf_rms", Place::Emf, input::EMF_RMS),
    ("core.frequency", Place::Frequency, input::FREQUENCY),
];

/// One input of a core.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreInput {
    /// Its path: `power.filter.c1`, `core.emf_rms`.
    pub path: String,
    /// What it is in a rail, with unit and range.
    pub input: Input,
    place: Place,
}

/// The rail whose name a path begins with, and what follows; of several the longest name.
fn of_rail<'p>(path: &'p str, rails: &[CoreRail]) -> Option<(usize, &'p str)> {
    rails
        .iter()
        .enumerate()
        .filter_map(|(index, rail)| Some((index, path.strip_prefix(&rail.name)?.strip_prefix('.')?)))
        .min_by_key(|(_, rest)| rest.len())
}

impl CoreInput {
    /// The input of this path.
    pub fn named(path: &str, rails: &[CoreRail]) -> Result<Self, InputError> {
        if let Some((_, place, input)) = SHARED.into_iter().find(|(name, ..)| *name == path) {
            return Ok(Self { path: path.to_owned(), input, place });
        }
        let unknown = || {
            let shared = SHARED.iter().map(|(name, ..)| (*name).to_owned());
            let own = rails.iter().flat_map(|rail| {
                input::ALL
                    .into_iter()
                    .filter(|one| own(*one))
                    .map(|one| format!("{}.{}", rail.name, one.path))
            });
            let all: Vec<String> = shared.chain(own).collect();
            let example = rails.first().map_or("", |rail| rail.name.as_str());
            InputError::Unknown {
                path: neutralise(path).into_owned(),
                near: suggestion(path, all.iter().map(String::as_str))
                    .map(|near| neutralise(near).into_owned()),
                allowed: format!(
                    "{}, or an input of a rail behind its name, such as `{}.filter.c1`",
                    SHARED.map(|(name, ..)| format!("`{name}`")).join(", "),
                    neutralise(example)
                ),
            }
        };
        let (rail, rest) = of_rail(path, rails).ok_or_else(unknown)?;
        match Input::named(rest) {
            Ok(input) if own(input) => Ok(Self { path: path.to_owned(), input, place: Place::Rail(rail) }),
            _ => Err(unknown()),
        }
    }

    /// Its value in a core; `None` where there is no such element.
    pub fn of(&self, core: &Core) -> Option<f64> {
        match self.place {
            Place::Shared => Some(core.primary_resistance.0),
            Place::Emf | Place::Frequency => self.input.of(core.rails.first()?),
            Place::Rail(index) => self.input.of(core.rails.get(index)?),
        }
    }

    /// Gives it a value.
    pub fn set(&self, core: &mut Core, value: f64) -> Result<(), InputError> {
        match self.place {
            Place::Shared => core.primary_resistance = Ohms(value),
            Place::Frequency => {
                for rail in &mut core.rails {
                    rail.winding.frequency = Hertz(value);
                }
            }
            Place::Emf => {
                let first = core.rails.first().map_or(1.0, |rail| rail.winding.emf_peak.0);
                for rail in &mut core.rails {
                    rail.winding.emf_peak = rail.winding.emf_peak * (value * SQRT_2 / first);
                }
            }
            Place::Rail(index) => {
                let absent = InputError::Absent { path: self.input.path };
                return self.input.set(core.rails.get_mut(index).ok_or(absent)?, value);
            }
        }
        Ok(())
    }

    /// Whether two inputs move the same element: the EMF of the core moves that of every rail.
    pub fn same_as(&self, other: &Self) -> bool {
        let emf = |one: &Self| one.input.same_as(input::EMF_RMS);
        match (self.place, other.place) {
            (Place::Emf, _) | (_, Place::Emf) => emf(self) && emf(other),
            (one, another) => one == another && self.input.same_as(other.input),
        }
    }
}

/// Whether a rail has an input of its own: frequency and shared resistance are the core's.
fn own(input: Input) -> bool {
    input != input::FREQUENCY && input != input::COMMON
}

/// One figure of a core.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreFigure {
    /// Its key: `power.load_mean_v`, `crest_factor`.
    pub key: String,
    /// Which figure.
    pub figure: FigureName,
    /// Of which rail; of what all share, the first.
    pub(super) rail: usize,
}

/// Figures of each rail that are shown where none are asked for.
const USUAL: [&str; 4] = ["load_mean_v", "load_min_v", "ripple_pp_v", "diode_peak_a"];

impl CoreFigure {
    /// The figure of a key.
    pub fn named(key: &str, rails: &[CoreRail]) -> Result<Self, UnknownFigure> {
        let found = match of_rail(key, rails) {
            Some((rail, rest)) => {
                FigureName::named(rest).ok().filter(|one| !one.of_core()).map(|one| (rail, one))
            }
            None => FigureName::named(key).ok().filter(FigureName::of_core).map(|one| (0, one)),
        };
        if let Some((rail, figure)) = found {
            return Ok(Self { key: key.to_owned(), figure, rail });
        }
        let all: Vec<String> = Self::all(rails).into_iter().map(|one| one.key).collect();
        Err(UnknownFigure {
            near: suggestion(key, all.iter().map(String::as_str)).map(|near| neutralise(near).into_owned()),
            key: neutralise(key).into_owned(),
            allowed: format!(
                "a figure of a rail behind its name, such as `{}.load_mean_v`, and of what all share: {}",
                rails.first().map_or_else(String::new, |rail| neutralise(&rail.name).into_owned()),
                FigureName::all(false)
                    .iter()
                    .filter(|one| one.of_core())
                    .map(|one| format!("`{}`", one.key()))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
        })
    }

    /// Place of its rail; of what all share, of the first.
    pub const fn rail(&self) -> usize {
        self.rail
    }

    /// Every figure: of each rail, then of what all share.
    pub fn all(rails: &[CoreRail]) -> Vec<Self> {
        let (shared, own): (Vec<FigureName>, Vec<FigureName>) =
            FigureName::all(true).into_iter().partition(FigureName::of_core);
        let of = |(rail, at): (usize, &CoreRail)| {
            own.iter()
                .map(move |figure| Self {
                    key: format!("{}.{}", at.name, figure.key()),
                    figure: *figure,
                    rail,
                })
                .collect::<Vec<_>>()
        };
        let shared = shared.iter().map(|figure| Self { key: figure.key(), figure: *figure, rail: 0 });
        rails.iter().enumerate().flat_map(of).chain(shared).collect()
    }

    /// The usual figures of every rail.
    pub fn usual(rails: &[CoreRail]) -> Vec<Self> {
        Self::all(rails).into_iter().filter(|one| USUAL.contains(&one.figure.key().as_str())).collect()
    }
}
