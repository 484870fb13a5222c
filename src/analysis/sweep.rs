//! One or two inputs stepped through their ranges, figures at each point.
//!
//! Points are solved in parallel and kept in order, so that the same sweep gives the same bytes.

use rayon::prelude::*;

use super::{
    file::Switching,
    input::{Input, InputError},
    name::FigureName,
    study::{Depth, study},
};
use crate::circuit::{figures::NoSteadyState, spec::Spec};

/// An input and the values it takes, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Which input.
    pub input: Input,
    /// First value, SI.
    pub from: f64,
    /// Last value, SI.
    pub to: f64,
    /// How many values, at least two.
    pub points: u32,
}

/// The most points of one sweep.
pub const POINTS_MAX: u64 = 4_000_000;

/// Why there is no sweep.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SweepError {
    /// The text is no axis.
    #[error("`{text}` is no sweep; write `KEY=FROM..TO/POINTS`, such as `filter.c1=1000uF..4700uF/8`: {why}")]
    Text {
        /// What was written.
        text: String,
        /// What is wrong with it.
        why: String,
    },
    /// No such input.
    #[error(transparent)]
    Input(#[from] InputError),
    /// The same input twice.
    #[error("`{path}` is swept twice")]
    Twice {
        /// The path.
        path: String,
    },
    /// Too many axes or points.
    #[error("{found} {what}, at most {allowed}")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many.
        found: u64,
        /// How many are allowed.
        allowed: u64,
    },
}

impl Axis {
    /// From `KEY=FROM..TO/POINTS`.
    pub fn parse(text: &str) -> Result<Self, SweepError> {
        Self::parse_with(text, Input::named)
    }

    /// The same with inputs of one's own.
    pub(super) fn parse_with(
        text: &str,
        named: impl FnOnce(&str) -> Result<Input, InputError>,
    ) -> Result<Self, SweepError> {
        let fail = |why: &str| SweepError::Text {
            text: crate::document::neutralise(text).into_owned(),
            why: crate::document::neutralise(why).into_owned(),
        };
        let (path, rest) = text.split_once('=').ok_or_else(|| fail("no `=`"))?;
        let (range, points) = rest.rsplit_once('/').ok_or_else(|| fail("no `/POINTS`"))?;
        let (from, to) = range.split_once("..").ok_or_else(|| fail("no `..`"))?;
        let input = named(path.trim())?;
        let value = |text: &str| {
            let value = input.measure.parse(text).map_err(|error| fail(&error.to_string()))?;
            let (low, high) = input.range;
            if value >= low && value <= high {
                Ok(value)
            } else {
                let m = input.measure;
                Err(fail(&format!(
                    "found `{}`, allowed {} to {}",
                    text.trim(),
                    m.text(low, 3),
                    m.text(high, 3)
                )))
            }
        };
        let points: u32 = points
            .trim()
            .parse()
            .ok()
            .filter(|points| *points >= 2)
            .ok_or_else(|| fail("the number of points is a whole number, 2 or more"))?;
        Ok(Self { input, from: value(from)?, to: value(to)?, points })
    }

    /// The value at one of its points.
    pub fn at(&self, index: u32) -> f64 {
        if index + 1 >= self.points {
            return self.to;
        }
        self.from + (self.to - self.from) * (f64::from(index) / f64::from(self.points - 1))
    }
}

/// One point.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Values of the axes.
    pub at: Vec<f64>,
    /// Figures in the order asked for, or why there are none.
    pub figures: Result<Vec<Option<f64>>, NoSteadyState>,
}

/// Figures of a circuit, or why there are none.
pub(super) type Figured = Result<Vec<Option<f64>>, NoSteadyState>;

/// Steps through all axes, the first outermost.
pub fn sweep(
    spec: &Spec,
    switching: &Switching,
    axes: &[Axis],
    figures: &[FigureName],
    done: &(impl Fn(u64) + Sync),
) -> Result<Vec<Point>, SweepError> {
    if let [one, other] = axes
        && one.input.same_as(other.input)
    {
        return Err(SweepError::Twice { path: other.input.path.to_owned() });
    }
    let mut probe = *spec;
    for axis in axes {
        axis.input.set(&mut probe, axis.from)?;
    }
    let depth = Depth::for_figures(figures);
    let solved = |at: &[f64]| {
        let mut spec = *spec;
        for (axis, value) in axes.iter().zip(at) {
            axis.input.set(&mut spec, *value)?;
        }
        Ok(study(&spec, switching, depth)
            .map(|study| figures.iter().map(|figure| figure.of(study.known())).collect()))
    };
    walk(axes, solved, done)
}

/// Solves all points of some axes; `solved` is given the value of each axis.
pub(super) fn walk(
    axes: &[Axis],
    solved: impl Fn(&[f64]) -> Result<Figured, InputError> + Sync,
    done: &(impl Fn(u64) + Sync),
) -> Result<Vec<Point>, SweepError> {
    let too_many = |what, found, allowed| Err(SweepError::TooMany { what, found, allowed });
    if axes.len() > 2 {
        return too_many("swept inputs", axes.len() as u64, 2);
    }
    let count: u64 = axes.iter().map(|axis| u64::from(axis.points)).product();
    if count > POINTS_MAX {
        return too_many("points", count, POINTS_MAX);
    }
    let inner = axes.get(1).map_or(1, |axis| u64::from(axis.points));
    let points = (0..count)
        .into_par_iter()
        .map(|index| {
            let indices = [index / inner, index % inner];
            let at: Vec<f64> = axes
                .iter()
                .zip(indices)
                .map(|(axis, index)| axis.at(u32::try_from(index).unwrap_or(u32::MAX)))
                .collect();
            let figures = solved(&at)?;
            done(1);
            Ok(Point { at, figures })
        })
        .collect::<Result<Vec<Point>, InputError>>()?;
    Ok(points)
}
