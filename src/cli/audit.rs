//! `audit`: a record recomputed and judged, trusting no number in it.

use std::path::PathBuf;

use clap::Args;
use railwright::{
    document::Faults,
    policy::Policy,
    report::{self, Figures, Page},
    review::{self, Dossier},
};

use super::{
    args::{Format, Places},
    case::{Beside, Case},
    files,
    outcome::Outcome,
    show::{self, Sheet},
};

/// Options of `audit`.
#[derive(Args, Debug)]
pub(crate) struct AuditOptions {
    /// Records, YAML
    #[arg(value_name = "RECORD", required = true)]
    records: Vec<PathBuf>,
    /// Policy to judge by, by name; may be given several times: each judges alone. The requirement's if not given
    #[arg(long, value_name = "POLICY")]
    policy: Vec<String>,
    /// Also say what moves the tightest margins, and how far mains, air, load and capacitance may go
    #[arg(long)]
    sensitivity: bool,
    /// Also give failure rates by MIL-HDBK-217F Notice 2, to compare variants
    #[arg(long)]
    reliability: bool,
    /// Folder of catalogs as they were when the record was made: says what changed in the rows it uses
    #[arg(long, value_name = "DIR")]
    made_from: Option<PathBuf>,
    #[command(flatten)]
    beside: Beside,
    /// Format of the report on standard output
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
    /// Folder for the report, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    output: Option<PathBuf>,
}

/// Runs `audit`.
pub(crate) fn run(options: &AuditOptions, places: &Places) -> anyhow::Result<Outcome> {
    let mut dossiers = Vec::new();
    let mut sheets: Vec<Sheet> = Vec::new();
    for path in &options.records {
        let case = Case::open(path, &options.beside, places)?;
        let own = [case.requirement.policy.clone()];
        let names: &[String] = if options.policy.is_empty() { &own } else { &options.policy };
        let policies = Faults::gather(names.iter().map(|name| files::policy(&places.catalogs, name)))?;
        let then =
            options.made_from.as_ref().map(|root| files::catalogs(root, &case.requirement)).transpose()?;
        let mut found: Vec<Dossier> = policies.iter().map(|policy| audited(options, &case, policy)).collect();
        if let Some(then) = &then {
            for dossier in &mut found {
                review::changed::explain(dossier, &case.record, then, &case.catalog);
            }
        }
        if let [_, _, ..] = found.as_slice() {
            sheets.push(Page::side_by_side(&case.name, names, &found).into());
        }
        sheets.extend(found.iter().map(|one| Sheet { page: Page::of(one), figures: Figures::of(one) }));
        dossiers.extend(found);
    }
    let data = |_| {
        Ok(match dossiers.as_slice() {
            [one] => report::json::render(one)?,
            several => report::json::render_all(several)?,
        })
    };
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(if dossiers.iter().all(Dossier::passes) { Outcome::Clean } else { Outcome::Negative })
}

fn audited(options: &AuditOptions, case: &Case, policy: &Policy) -> Dossier {
    let inputs = case.inputs(policy);
    let mut dossier = review::audit(inputs, None);
    dossier.margins = options.sensitivity.then(|| review::sensitivity::sensitivity(inputs));
    dossier.reliability = options.reliability.then(|| review::reliability::reliability(inputs));
    review::waive(&mut dossier, &case.waivers, case.today.as_deref());
    dossier
}
