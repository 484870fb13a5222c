//! Figures of an earlier run, to set beside those of the present one.
//!
//! They were taken on one machine, whose speed they share: a ratio to them says something there alone. `kept.tsv` is written by
//! hand from what a benchmark prints.

/// What was kept: benchmark, what was timed, its figure.
const KEPT: &str = include_str!("kept.tsv");

/// The kept figure of something timed and how many times it the present one is; nothing where none is kept.
pub(crate) fn beside(benchmark: &str, what: &str, now: f64) -> String {
    let row = KEPT.lines().filter(|line| !line.starts_with('#')).find_map(|line| {
        let mut cells = line.split('\t');
        let of = (cells.next()?, cells.next()?);
        (of == (benchmark, what)).then(|| cells.next()?.parse::<f64>().ok()).flatten()
    });
    row.map_or_else(String::new, |kept| format!(" (kept {kept}, ratio {:.2})", now / kept))
}
