//! `order`: one purchase list for many designs.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use clap::Args;
use railwright::{
    document::Faults,
    flow::{self, Bought},
    policy::Policy,
    purchase::{Wanted, Wishes, lines::FAMILIES, terms},
    quantity::{Currency, Quantity as _, Ratio},
    record::{self, MOST},
    report::{self, Page},
};
use rust_decimal::Decimal;

use super::{
    args::{ListFormat, Places},
    case::{Beside, Case},
    day, files,
    outcome::Outcome,
    output,
    show::{self, Sheet},
};

/// Options of `order`.
#[derive(Args, Debug)]
pub(crate) struct OrderOptions {
    /// Records, each with the supplies to build behind a colon; without it, the build quantity of the record
    #[arg(value_name = "RECORD[:QUANTITY]", required = true)]
    records: Vec<String>,
    /// Suppliers' order charges and minimum order values, YAML; without it suppliers charge for goods alone
    #[arg(long, value_name = "FILE")]
    terms: Option<PathBuf>,
    /// Parts that may stand in for those designed in, YAML as `substitute --allowed` writes it; may be given several times.
    /// What is bought of them is reviewed with all others of its design; what does not hold is left out and named
    #[arg(long, value_name = "FILE")]
    substitutes: Vec<PathBuf>,
    /// Spare pieces of a family in percent, such as `fuse=10`; `all=2` holds for the others. Rounded up, part by part
    #[arg(long, value_name = "FAMILY=PERCENT")]
    spare: Vec<String>,
    /// Most that may be spent, in the currency
    #[arg(long, value_name = "AMOUNT", value_parser = amount)]
    budget: Option<Decimal>,
    /// Days within which everything must arrive: stock at once, the rest after the supplier's lead time
    #[arg(long, value_name = "DAYS")]
    deadline: Option<u32>,
    /// Day by which everything must arrive, counted from today or from the day given with `--on`
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day::day, conflicts_with = "deadline")]
    by: Option<String>,
    /// Day of the order; today if not given
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day::day)]
    on: Option<String>,
    /// Currency; offers in others are left out
    #[arg(long, default_value = "EUR")]
    currency: String,
    /// Format of the answer on standard output
    #[arg(long, value_enum, default_value_t = ListFormat::Terminal)]
    format: ListFormat,
    /// Folder for the order, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    output: Option<PathBuf>,
}

/// Runs `order`.
pub(crate) fn run(options: &OrderOptions, places: &Places) -> anyhow::Result<Outcome> {
    let mut records = Vec::new();
    let mut paths = Vec::new();
    let asked = options.records.iter().map(|text| split(text)).collect::<anyhow::Result<Vec<_>>>()?;
    let read = |path: &str| files::read(Path::new(path)).and_then(|file| record::read(&file.source));
    let found = Faults::gather(asked.iter().map(|(path, _)| read(path)))?;
    for ((path, quantity), record) in asked.into_iter().zip(found) {
        records.push((quantity.unwrap_or(record.build_quantity), record));
        paths.push(PathBuf::from(path));
    }
    let mut spares = BTreeMap::new();
    for text in &options.spare {
        let (family, ppm) = spare(text)?;
        if spares.insert(family, ppm).is_some() {
            bail!("found `{text}`, allowed one percentage a family");
        }
    }
    let wishes = Wishes {
        currency: Currency::new(&options.currency)
            .with_context(|| format!("found `{}`, allowed a currency such as `EUR`", options.currency))?,
        deadline_days: deadline(options)?,
        budget: options.budget,
        spares,
    };
    let supplier_terms = match &options.terms {
        Some(path) => terms::terms(&files::read(path)?.source)?,
        None => terms::Terms::default(),
    };
    let mut substitutes = Vec::new();
    for path in &options.substitutes {
        substitutes.extend(terms::substitutes(&files::read(path)?.source)?);
    }
    // Substitutes are reviewed, so what a review needs is read where there are any.
    let review = |path: &PathBuf| if substitutes.is_empty() { Ok(None) } else { reviewed(path, places) };
    let reviews: Vec<Option<(Case, Policy)>> = paths.iter().map(review).collect::<anyhow::Result<_>>()?;
    let mut names: Vec<&str> = records
        .iter()
        .flat_map(|(_, record)| record.inputs.catalog.keys())
        .filter_map(|name| name.rsplit_once('/').map(|(folder, _)| folder))
        .collect();
    names.sort_unstable();
    names.dedup();
    if names.is_empty() {
        names.push("demo");
    }
    let catalog = files::catalogs_named(&places.catalogs, &names)?;
    let designs: Vec<Bought<'_>> = records
        .iter()
        .zip(&reviews)
        .map(|((quantity, record), review)| Bought {
            wanted: Wanted { record, quantity: *quantity },
            review: review.as_ref().map(|(case, policy)| case.inputs(policy)),
            waivers: review.as_ref().map_or(&[], |(case, _)| &case.waivers),
        })
        .collect();
    let order = flow::buy(&designs, &catalog, &wishes, &supplier_terms, &substitutes)?;
    let data = |format| {
        Ok(match format {
            ListFormat::Csv => report::order::csv(&order),
            _ => report::order::json(&order)?,
        })
    };
    let sheets = [Sheet { page: Page::of_order(&order), figures: report::order::figures(&order) }];
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    if options.format == ListFormat::Csv {
        output::remark(&report::order::remarks(&order));
    }
    Ok(if order.complete() { Outcome::Clean } else { Outcome::Negative })
}

/// Days within which everything must arrive.
fn deadline(options: &OrderOptions) -> anyhow::Result<Option<u32>> {
    let Some(by) = &options.by else { return Ok(options.deadline) };
    let on =
        options.on.clone().or_else(day::today).context("the clock tells no day: give one with `--on`")?;
    let days = day::between(&on, by).with_context(|| format!("`{by}` lies before `{on}`"))?;
    Ok(Some(days))
}

/// What a record is reviewed against; `None` where no requirements file stands beside it.
fn reviewed(path: &Path, places: &Places) -> anyhow::Result<Option<(Case, Policy)>> {
    let beside = Beside { requirements: None, waivers: None, on: None };
    if !path.with_file_name("requirements.yaml").exists() {
        return Ok(None);
    }
    let case = Case::open(path, &beside, places)?;
    let policy = case.policy(places)?;
    Ok(Some((case, policy)))
}

/// An amount of money that can be spent.
fn amount(text: &str) -> Result<Decimal, String> {
    match text.parse::<Decimal>() {
        Ok(amount) if !amount.is_sign_negative() => Ok(amount),
        _ => Err(String::from("allowed an amount such as `2500` or `19.90`, not negative")),
    }
}

/// A path and the quantity behind the last colon, if what stands there is one or is meant to be.
fn split(text: &str) -> anyhow::Result<(&str, Option<u32>)> {
    let Some((path, digits)) = text.rsplit_once(':').filter(|(path, _)| !path.is_empty()) else {
        return Ok((text, None));
    };
    let whole = digits.bytes().all(|byte| byte.is_ascii_digit());
    match digits.parse::<u32>() {
        Ok(quantity) if whole && (1..=MOST).contains(&quantity) => Ok((path, Some(quantity))),
        // A colon may be part of a name.
        _ if !whole && (Path::new(text).exists() || !Path::new(path).exists()) => Ok((text, None)),
        _ => bail!("found quantity `{digits}` of `{path}`, allowed a whole number, 1 to {MOST}"),
    }
}

/// `fuse=10`: a family and its spare pieces, in parts per million.
fn spare(text: &str) -> anyhow::Result<(String, u64)> {
    let allowed =
        || format!("a family and a percentage such as `fuse=10`; families: all, {}", FAMILIES.join(", "));
    let read = || {
        let (family, percent) = text.split_once('=')?;
        let known = family == "all" || FAMILIES.contains(&family);
        let percent = percent.trim().trim_end_matches('%').trim();
        let ratio =
            Ratio::from_text(&format!("{percent} %")).ok().filter(|ratio| (0.0..=10.0).contains(&ratio.0))?;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10 million")]
        known.then_some((family.to_owned(), (ratio.0 * 1e6).round() as u64))
    };
    read().with_context(|| format!("found `{text}`, allowed {}", allowed()))
}
