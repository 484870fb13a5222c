//! `design`.

use railwright::{requirement, selection::choose};

use super::{
    args::{DesignOptions, Places},
    files,
    outcome::Outcome,
    output,
};

pub(crate) fn run(options: &DesignOptions, places: &Places) -> anyhow::Result<Outcome> {
    let file = files::read(&options.requirements)?;
    let requirement = requirement::read(&file.source)?;
    let t0 = std::time::Instant::now();
    let catalog = files::catalogs(&places.catalogs, &requirement)?;
    let policy = files::policy(&places.catalogs, &requirement.policy)?;
    let t1 = std::time::Instant::now();
    let inputs = choose::Inputs { requirement: &requirement, catalog: &catalog, policy: &policy };
    let shop = choose::open(inputs);
    let t2 = std::time::Instant::now();
    let rails = choose::solo(inputs, &shop, &Default::default());
    let t3 = std::time::Instant::now();
    let mut text = String::new();
    use std::fmt::Write;
    for rail in &rails {
        for t in &rail.topologies {
            writeln!(text, "{:?}: {:?}", t.topology, t.best.as_ref().map(|f| (f.score, f.loss_w)))?;
            if let Some(f) = &t.best {
                for l in f.assembly.lines() {
                    writeln!(text, "   {} {} x{} {:?}", l.position.key(), l.common.id, l.count, l.value)?;
                }
            }
            for (c, m) in &t.tally.misses {
                writeln!(
                    text,
                    "      {c} {:?} n={} u={:.3} {} {:?} {}",
                    m.depth, m.count, m.utilisation, m.part, m.figures, m.text
                )?;
            }
        }
    }
    writeln!(text, "read {:?} shop {:?} search {:?}", t1 - t0, t2 - t1, t3 - t2)?;
    output::answer(&text)?;
    Ok(Outcome::Clean)
}
