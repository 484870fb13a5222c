//! Waivers laid over a dossier: a failing stress that somebody let pass no longer counts as a finding, and shows its true
//! utilisation all the same.
//!
//! Changes no number. A waiver that has run out, that matches nothing or that grants too little is itself a finding.

use super::{
    dossier::{Conclusion, Dossier, Finding, StressRow, Weight},
    figure::Figure,
    findings::code,
};
use crate::{policy::Waiver, stress::verdict::EQUALITY};

/// Seconds in an hour.
const HOUR_S: f64 = 3600.0;

/// Lays waivers over a dossier; `today` is the day of the review, `YYYY-MM-DD`, without which none counts.
pub fn waive(dossier: &mut Dossier, waivers: &[Waiver], today: Option<&str>) {
    for waiver in waivers {
        apply(dossier, waiver, today);
    }
    dossier.findings.sort_by_key(|one| one.weight);
    let failing = dossier.findings.iter().any(|one| one.weight == Weight::Finding);
    dossier.conclusion = if failing { Conclusion::Findings } else { Conclusion::NothingFound };
}

fn apply(dossier: &mut Dossier, waiver: &Waiver, today: Option<&str>) {
    let matched = |row: &StressRow| {
        row.rail == waiver.rail && row.position == waiver.position && row.stress == waiver.stress
    };
    let rows = || dossier.stresses.iter().filter(|row| matched(row));
    let mut told: Vec<Finding> = Vec::new();
    let mut tell = |weight, code: &str, text: String| {
        told.push(Finding {
            weight,
            code: code.to_owned(),
            rail: waiver.rail.clone(),
            position: waiver.position.clone(),
            text: format!("waiver of `{}`: {text}", waiver.stress),
        });
    };
    let granted: Vec<Option<Figure>> = rows().map(|row| granted(waiver, row)).collect();
    let failing = rows().filter(|row| !row.holds).count();
    let enough =
        rows().zip(&granted).all(|(row, limit)| row.holds || limit.is_some_and(|limit| covers(row, limit)));
    let mut counts = false;
    if granted.is_empty() {
        tell(Weight::Finding, code::WAIVER_UNMATCHED, String::from("the record has no such stress"));
    } else if granted.contains(&None) {
        let unit = rows().next().map_or("", |row| row.applied.unit().symbol());
        let unit = if unit.is_empty() { "none" } else { unit };
        tell(
            Weight::Finding,
            code::WAIVER_UNMATCHED,
            format!("`{}` is granted, but the unit of the stress is {unit}", waiver.limit_text),
        );
    } else if today.is_none_or(|today| today > waiver.expires.as_str()) {
        let text = match today {
            Some(_) => format!("it expired on {}", waiver.expires),
            None => format!("it expires on {}, and no day of review is given", waiver.expires),
        };
        tell(Weight::Finding, code::WAIVER_EXPIRED, text);
    } else if failing == 0 {
        tell(Weight::Note, code::WAIVER_IDLE, String::from("the stress holds without it"));
    } else if !enough {
        let worst: Vec<String> = rows().filter(|row| !row.holds).map(|row| row.applied.text()).collect();
        tell(
            Weight::Finding,
            code::WAIVER_EXCEEDED,
            format!("{} applied, {} granted", worst.join(" and "), waiver.limit_text),
        );
    } else {
        counts = true;
        let beyond = rows().zip(&granted).find_map(|(row, limit)| {
            let (rating, limit) = row.rating.zip(*limit)?;
            (!row.at_least && limit.value() > rating.value()).then(|| rating.text())
        });
        if let Some(rating) = beyond {
            let text = format!("{} granted, the part's own rating is {rating}", waiver.limit_text);
            tell(Weight::Note, code::WAIVER_BEYOND_RATING, text);
        }
    }
    if counts {
        let words = format!(
            "up to {} until {}, {}: {}",
            waiver.limit_text, waiver.expires, waiver.role, waiver.reason
        );
        for finding in &mut dossier.findings {
            let same = finding.weight == Weight::Finding
                && finding.rail == waiver.rail
                && finding.position == waiver.position
                && finding.code == waiver.stress;
            // A rule may also judge without numbers; what it says then cannot be let pass by a limit.
            if same && finding.text.starts_with("applied ") {
                finding.weight = Weight::Note;
                finding.text = format!("{}; waived {words}", finding.text);
            }
        }
        for row in dossier.stresses.iter_mut().filter(|row| matched(row) && !row.holds) {
            row.waived = Some(words.clone());
        }
    }
    dossier.findings.extend(told);
}

/// What is granted, in the unit of a stress; `None` where the units differ.
fn granted(waiver: &Waiver, row: &StressRow) -> Option<Figure> {
    let unit = row.applied.unit();
    let value = match (waiver.limit.unit, unit.symbol()) {
        ("s", "h") => waiver.limit.value / HOUR_S,
        (ours, theirs) if ours == theirs => waiver.limit.value,
        _ => return None,
    };
    Figure::new(value, unit)
}

/// Whether a stress stays within what is granted.
fn covers(row: &StressRow, limit: Figure) -> bool {
    let (applied, limit) = (row.applied.value(), limit.value());
    let slack = EQUALITY * limit.abs();
    if row.at_least { applied >= limit - slack } else { applied <= limit + slack }
}
