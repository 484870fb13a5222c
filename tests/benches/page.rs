//! The page of the largest demo design: how long it takes and how long it is, beside the review that every report needs and
//! beside the same dossier as JSON.

#![expect(clippy::print_stdout, reason = "a benchmark answers on standard output")]

#[path = "../support/world.rs"]
mod world;

use std::time::Instant;

use railwright::document::{self, Source};
use railwright::record::{Record, write::sha256};
use railwright::report::{Figures, Page, html, json};
use railwright::review::{Inputs, audit};

const ASKED: &str = include_str!("../../designs/modular-rack/requirements.yaml");
const RECORD: &str = include_str!("../../designs/modular-rack/record.yaml");
/// Runs of which the median counts.
const RUNS: usize = 31;

/// Median of many runs, ms.
fn median(mut work: impl FnMut()) -> f64 {
    work();
    let mut took: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            work();
            1e3 * start.elapsed().as_secs_f64()
        })
        .collect();
    took.sort_by(f64::total_cmp);
    took[RUNS / 2]
}

fn main() {
    let requirement = world::asked(ASKED);
    let record: Record =
        document::from_yaml(&Source::new("record.yaml", RECORD)).expect("the record of a demo design");
    let (catalog, policy, digest) = (world::demo(), world::policy("house"), sha256(ASKED.as_bytes()));
    let inputs = Inputs {
        requirement: &requirement,
        requirement_digest: &digest,
        record: &record,
        catalog: &catalog,
        policy: &policy,
        today: None,
    };
    let review = median(|| drop(audit(inputs, None)));
    let dossier = audit(inputs, None);
    let machine = median(|| drop(json::render(&dossier)));
    let mut bytes = 0;
    let page = median(|| bytes = html::render(&Page::of(&dossier), &Figures::of(&dossier)).len());
    println!("modular-rack, three rails, medians of {RUNS} runs");
    println!("review, what figures are drawn from included  {review:9.3} ms");
    println!("the dossier as JSON (baseline)                {machine:9.3} ms");
    println!("the whole page as HTML                        {page:9.3} ms  {bytes} bytes");
    println!("page / JSON {:.2}, page / review {:.3}", page / machine, page / review);
}
