//! Every vertex of the tolerance box: the least and the greatest of each figure, and where.
//!
//! Exact at the vertices. Inside the box a figure that does not rise or fall steadily may go further; samples show that.

use rayon::prelude::*;

use super::{
    file::Switching,
    name::FigureName,
    study::{Depth, study},
    sweep::Figured,
    tolerance::Tolerance,
};
use crate::{
    circuit::{figures::NoSteadyState, spec::Spec},
    numeric::tie,
};

/// One end of a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Value.
    pub value: f64,
    /// Vertex: bit `n` is set where the `n`-th tolerance stands at its upper end.
    pub vertex: u32,
}

/// The range of one figure over all vertices; `None` where it exists at none.
#[derive(Clone, Debug, PartialEq)]
pub struct Extent {
    /// Which figure.
    pub figure: FigureName,
    /// Its key; on a core behind the name of its rail.
    pub key: String,
    /// Nominal value.
    pub nominal: Option<f64>,
    /// Least and greatest; each with the first vertex that ties with it.
    pub ends: Option<(End, End)>,
}

/// What the vertices say.
#[derive(Clone, Debug, PartialEq)]
pub struct Box {
    /// How many were solved.
    pub count: u32,
    /// Each figure.
    pub extents: Vec<Extent>,
    /// Vertices without a steady state, the first of them, and why.
    pub unsolved: Option<(u32, u32, NoSteadyState)>,
}

/// The circuit at one vertex.
pub fn at(spec: &Spec, tolerances: &[Tolerance], vertex: u32) -> Spec {
    let mut spec = *spec;
    for (place, tolerance) in tolerances.iter().enumerate() {
        let value = if vertex >> place & 1 == 1 { tolerance.high } else { tolerance.low };
        // The file's reader saw that each input exists.
        let _ = tolerance.input.set(&mut spec, value);
    }
    spec
}

/// A vertex in words, by the paths of the tolerances: `winding.emf_rms +, filter.c1 −`.
pub fn words(paths: &[&str], vertex: u32) -> String {
    let list: Vec<String> = paths
        .iter()
        .enumerate()
        .map(|(place, path)| format!("{path} {}", if vertex >> place & 1 == 1 { "+" } else { "−" }))
        .collect();
    list.join(", ")
}

/// Solves every vertex.
pub fn vertices(
    spec: &Spec,
    switching: &Switching,
    tolerances: &[Tolerance],
    figures: &[FigureName],
) -> Result<Box, NoSteadyState> {
    let depth = Depth::for_figures(figures);
    let looked = |spec: &Spec| -> Figured {
        let study = study(spec, switching, depth)?;
        Ok(figures.iter().map(|figure| figure.of(study.known())).collect())
    };
    let nominal = looked(spec)?;
    let keyed: Vec<(FigureName, String)> = figures.iter().map(|figure| (*figure, figure.key())).collect();
    Ok(boxed(tolerances.len(), &keyed, &nominal, |vertex| looked(&at(spec, tolerances, vertex))))
}

/// Solves every vertex of as many tolerances; figures with their keys.
pub(super) fn boxed(
    tolerances: usize,
    figures: &[(FigureName, String)],
    nominal: &[Option<f64>],
    solved: impl Fn(u32) -> Figured + Sync + Send,
) -> Box {
    let count = 1_u32 << tolerances.min(super::tolerance::TOLERANCES_MAX);
    let all: Vec<Figured> = (0..count).into_par_iter().map(solved).collect();
    let mut unsolved: Option<(u32, u32, NoSteadyState)> = None;
    for (vertex, result) in (0..count).zip(&all) {
        if let Err(reason) = result {
            let (many, first, why) = unsolved.unwrap_or((0, vertex, *reason));
            unsolved = Some((many + 1, first, why));
        }
    }
    let extents = figures.iter().zip(nominal).enumerate().map(|(at, ((figure, key), nominal))| Extent {
        figure: *figure,
        key: key.clone(),
        nominal: *nominal,
        ends: ends((0..count).zip(&all).filter_map(|(vertex, result)| {
            let value = *result.as_ref().ok()?.get(at)?;
            Some(End { value: value?, vertex })
        })),
    });
    Box { count, extents: extents.collect(), unsolved }
}

/// Least and greatest of a figure, each with the first vertex that ties with it.
fn ends(all: impl Iterator<Item = End> + Clone) -> Option<(End, End)> {
    let low = tie::greatest(all.clone().map(|end| (-end.value, end.vertex)))?;
    let high = tie::greatest(all.map(|end| (end.value, end.vertex)))?;
    Some((End { value: -low.figure, vertex: low.first }, End { value: high.figure, vertex: high.first }))
}
