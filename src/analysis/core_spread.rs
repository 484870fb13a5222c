//! Tolerances, limits and sweeps of a core: all rails solved anew together at every vertex, sample and point.
//!
//! Spectrum and switch-on are solved only where a figure needs them.

use super::{
    core_file::{CoreFile, CoreRail},
    core_name::{CoreFigure, CoreInput},
    core_study::{grid_of, switched_with},
    limits::{self, Limit},
    monte_carlo::{self, Outcome, Plan},
    name::{FigureName, Known},
    sweep::{Axis, Figured, Point, SweepError, walk},
    tolerance::{self, Tolerance},
    vertices::{self, Box as VertexBox},
};
use crate::{
    circuit::{
        figures::NoSteadyState,
        general::core::{self, Core},
    },
    document::{self, Faults, Source, Value},
    quantity::Ohms,
};

/// Tolerances of a core, each with the input it is of, and limits, each with the figure it is of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CoreBounds {
    /// Tolerances, in the order of the file.
    pub tolerances: Vec<(CoreInput, Tolerance)>,
    /// Limits, in the order of the file.
    pub limits: Vec<(CoreFigure, Limit)>,
}

/// Reads the sections `tolerance` and `limits`.
pub(super) fn bounds(
    tolerance: Option<Value<'_>>,
    limits: Option<Value<'_>>,
    rails: &[CoreRail],
    core: &Core,
) -> CoreBounds {
    CoreBounds {
        tolerances: tolerance.and_then(|value| tolerances(value, rails, core)).unwrap_or_default(),
        limits: limits
            .and_then(|value| {
                limits::read_with(value, |key| {
                    CoreFigure::named(key, rails).map(|one| {
                        let figure = one.figure;
                        (one, figure)
                    })
                })
            })
            .unwrap_or_default(),
    }
}

fn tolerances(from: Value<'_>, rails: &[CoreRail], core: &Core) -> Option<Vec<(CoreInput, Tolerance)>> {
    let mut list: Vec<(CoreInput, Tolerance)> = Vec::new();
    for (key, value) in from.entries()? {
        let Some(path) = key.str() else { continue };
        let input = match CoreInput::named(path, rails) {
            Ok(input) => input,
            Err(error) => {
                tolerance::refuse(key, &error);
                continue;
            }
        };
        let Some(nominal) = input.of(core) else {
            key.refuse(format!("the core has no `{path}`"), "an input of this core", None);
            continue;
        };
        if list.iter().any(|(other, _)| other.same_as(&input)) {
            key.refuse(format!("`{path}` has a tolerance already"), "one tolerance for an input", None);
            continue;
        }
        if let Some(range) = tolerance::one(value, input.input, nominal) {
            list.push((input, range));
        }
    }
    tolerance::few(from, list.len());
    Some(list)
}

/// Tolerances and limits of a core, stated in a file of their own.
pub fn read_core_bounds(source: &Source, file: &CoreFile) -> Result<CoreBounds, Faults> {
    document::read(source, |from| {
        let mut fields = from.fields()?;
        let tolerance = fields.required("tolerance", Some);
        let limits = fields.take("limits");
        fields.finish();
        Some(bounds(Some(tolerance?), limits, &file.rails, &file.core()))
    })
}

/// Figures of a core, all rails together; switch-on with the limiter (if any) cold.
fn looked(file: &CoreFile, core: &Core, figures: &[CoreFigure]) -> Figured {
    let solved = core::solve(core)?;
    let rails = solved.rails();
    let grid = figures.iter().any(|one| one.figure.needs_grid()).then(|| grid_of(core, &solved, &rails));
    let limiter = file.limiter.map_or(Ohms(0.0), |(cold, _)| cold);
    let switched = if figures.iter().any(|one| one.figure.needs_switch_on()) {
        switched_with(file, core, limiter)?
    } else {
        Vec::new()
    };
    Ok(figures
        .iter()
        .map(|one| {
            let (figures, switch_on) = (rails.get(one.rail), switched.get(one.rail));
            let known = Known { figures, grid: grid.as_ref(), switch_on };
            one.figure.of(known)
        })
        .collect())
}

fn keyed(figures: &[CoreFigure]) -> Vec<(FigureName, String)> {
    figures.iter().map(|one| (one.figure, one.key.clone())).collect()
}

/// Solves every vertex of the tolerances.
pub(super) fn core_vertices(file: &CoreFile, figures: &[CoreFigure]) -> Result<VertexBox, NoSteadyState> {
    let (core, tolerances) = (file.core(), &file.bounds.tolerances);
    let nominal = looked(file, &core, figures)?;
    let solved = |vertex: u32| {
        let mut core = core.clone();
        for (place, (input, range)) in tolerances.iter().enumerate() {
            let value = if vertex >> place & 1 == 1 { range.high } else { range.low };
            // The file's reader saw that each input exists.
            let _ = input.set(&mut core, value);
        }
        looked(file, &core, figures)
    };
    Ok(vertices::boxed(tolerances.len(), &keyed(figures), &nominal, solved))
}

/// Draws cores from the tolerances and solves them.
pub(super) fn core_samples(
    file: &CoreFile,
    figures: &[CoreFigure],
    plan: Plan,
    done: &(impl Fn(u64) + Sync),
) -> Outcome {
    let (core, bounds) = (file.core(), &file.bounds);
    let mut all = figures.to_vec();
    all.extend(bounds.limits.iter().map(|(figure, _)| figure.clone()));
    let solved = |sample: u32, values: &mut Vec<f64>, held: &mut [bool]| {
        let mut core = core.clone();
        let ranges = bounds.tolerances.iter().map(|(_, range)| range);
        monte_carlo::drawn(ranges, plan.seed, sample, |place, value| {
            if let Some((input, _)) = bounds.tolerances.get(place) {
                // The file's reader saw that each input exists.
                let _ = input.set(&mut core, value);
            }
        });
        let Ok(found) = looked(file, &core, &all) else { return false };
        let (shown, limited) = found.split_at(figures.len().min(found.len()));
        values.extend(shown.iter().map(|value| value.unwrap_or(f64::NAN)));
        for (((_, limit), value), holds) in bounds.limits.iter().zip(limited).zip(held) {
            *holds = value.is_some_and(|value| limit.allows(value));
        }
        true
    };
    monte_carlo::counted(&keyed(figures), bounds.limits.len(), plan, solved, done)
}

/// An input of a core and the values it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreAxis {
    /// Which input.
    pub input: CoreInput,
    /// Its values.
    pub axis: Axis,
}

impl CoreAxis {
    /// From `KEY=FROM..TO/POINTS`.
    pub fn parse(text: &str, file: &CoreFile) -> Result<Self, SweepError> {
        let mut found = None;
        let axis = Axis::parse_with(text, |path| {
            let input = CoreInput::named(path, &file.rails)?;
            let plain = input.input;
            found = Some(input);
            Ok(plain)
        })?;
        let text = document::neutralise(text).into_owned();
        let input = found.ok_or_else(|| SweepError::Text { text, why: String::from("no input") })?;
        Ok(Self { input, axis })
    }
}

/// Steps through all axes, the first outermost.
pub fn core_sweep(
    file: &CoreFile,
    axes: &[CoreAxis],
    figures: &[CoreFigure],
    done: &(impl Fn(u64) + Sync),
) -> Result<Vec<Point>, SweepError> {
    if let [one, other] = axes
        && one.input.same_as(&other.input)
    {
        return Err(SweepError::Twice { path: other.input.path.clone() });
    }
    let core = file.core();
    let plain: Vec<Axis> = axes.iter().map(|one| one.axis).collect();
    let solved = |at: &[f64]| {
        let mut core = core.clone();
        for (axis, value) in axes.iter().zip(at) {
            axis.input.set(&mut core, *value)?;
        }
        Ok(looked(file, &core, figures))
    };
    walk(&plain, solved, done)
}
