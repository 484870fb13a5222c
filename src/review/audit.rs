//! The whole review: recompute, judge, and lay everything down as a dossier.
//!
//! Never fails: what cannot be read, rebuilt or solved is a finding.

use super::{
    cautions,
    choice::Choice,
    dossier::{
        Assumption, Conclusion, Dossier, FactRow, RailSummary, SCHEMA_VERSION, StressRow, Summary, Weight,
    },
    figure::{Figure, Unit},
    findings, lesson, nominal, parts, pictures, points,
    recompute::{Inputs, RailReview, Recomputed, recompute},
    textbook, why, words, workings,
};
use crate::{
    circuit::supply::Body,
    quantity::{Quantity, Seconds},
    record::write::wiring_key,
    requirement::{Enclosure, Requirement},
    stress::{
        stage,
        verdict::{Sense, Verdict},
    },
};

/// Reviews a record; `choice` is what a search adds to it.
pub fn audit(inputs: Inputs<'_>, choice: Option<Choice>) -> Dossier {
    let recomputed = recompute(inputs);
    let rails = &recomputed.rails;
    let (rows, totals) = parts::parts(inputs, rails);
    let watts = |one: Option<Figure>| one.map_or(f64::NAN, Figure::value);
    let taken = Figure::new(watts(totals.output) + watts(totals.loss), Unit::Watts);
    let grid = pictures::grid::of_supply(inputs, rails, taken);
    let mut found = recomputed.findings.clone();
    found.extend(findings::all(inputs, rails));
    // One rail is judged by the rule.
    if let Some(text) = pictures::grid::beyond(&grid).filter(|_| rails.len() > 1) {
        found.push(findings::finding(Weight::Finding, findings::code::GRID, "", "", text));
    }
    found.sort_by_key(|one| one.weight);
    let failing = found.iter().any(|one| one.weight == Weight::Finding);
    let stresses: Vec<StressRow> = rails.iter().flat_map(stress_rows).collect();
    Dossier {
        schema_version: SCHEMA_VERSION,
        tool: format!("railwright {}", env!("CARGO_PKG_VERSION")),
        supply: inputs.requirement.name.clone(),
        description: inputs.requirement.description.clone(),
        conclusion: if failing { Conclusion::Findings } else { Conclusion::NothingFound },
        cautions: cautions::cautions(inputs, rails),
        summary: summary(inputs, &recomputed),
        findings: found,
        grid,
        pictures: rails.iter().map(|rail| pictures::pictures(inputs, rail, &rows)).collect(),
        parts: rows,
        totals,
        why: rails.iter().flat_map(why::why).collect(),
        choice,
        points: rails.iter().flat_map(points::points).collect(),
        stresses,
        facts: rails.iter().flat_map(|rail| fact_rows(rail, true)).collect(),
        not_applicable: rails.iter().flat_map(|rail| fact_rows(rail, false)).collect(),
        margins: None,
        reliability: None,
        heat: points::heat(&recomputed, inputs.requirement.ambient.max.0),
        nominal: rails.iter().flat_map(nominal::nominal).collect(),
        textbook: rails.iter().flat_map(textbook::textbook).collect(),
        lesson: rails.iter().flat_map(lesson::lesson).collect(),
        workings: rails.iter().flat_map(workings::workings).collect(),
        assumptions: assumptions(inputs.requirement),
        notes: notes(rails),
        deferral: cautions::deferral(),
    }
}

impl Dossier {
    /// Whether the record passes: nothing found but notes.
    pub fn passes(&self) -> bool {
        self.conclusion == Conclusion::NothingFound
    }
}

/// Every default that the requirement assumed.
pub fn assumptions(requirement: &Requirement) -> Vec<Assumption> {
    requirement
        .assumed
        .iter()
        .map(|assumed| Assumption {
            key: assumed.key.clone(),
            value: assumed.value.clone(),
            why: assumed.why.to_owned(),
        })
        .collect()
}

fn summary(inputs: Inputs<'_>, recomputed: &Recomputed<'_>) -> Summary {
    let requirement = inputs.requirement;
    let (mains, ambient) = (&requirement.mains, &requirement.ambient);
    let rails = &recomputed.rails;
    let count = |all: usize| u32::try_from(all).unwrap_or(u32::MAX);
    let judged = rails
        .iter()
        .flat_map(|rail| &rail.verdicts)
        .filter(|verdict| !matches!(verdict, Verdict::NotApplicable { .. }))
        .count();
    let enclosure = match ambient.enclosure {
        Enclosure::Rise(_) => "stated",
        Enclosure::Resistance(_) => "from the loss",
    };
    let rise = Figure::new(recomputed.inside_rise_k, Unit::Kelvins).map_or_else(String::new, Figure::text);
    Summary {
        mains: format!(
            "{} −{} +{}, {} ±{}",
            mains.voltage.to_exact_text(),
            mains.low.to_exact_text(),
            mains.high.to_exact_text(),
            mains.frequency.to_exact_text(),
            mains.frequency_tolerance.to_exact_text(),
        ),
        ambient: format!(
            "room {} to {}, inside {rise} above it ({enclosure}), altitude {}",
            ambient.min.to_exact_text(),
            ambient.max.to_exact_text(),
            ambient.altitude.to_exact_text(),
        ),
        policy: format!("{} ({}; {})", inputs.policy.title, inputs.policy.id, inputs.policy.source),
        policy_note: inputs.policy.note.clone(),
        build_quantity: requirement.build_quantity,
        rails: rails.iter().filter_map(rail_summary).collect(),
        checks: count(judged),
        vertices: count(rails.iter().map(|rail| rail.bench.points.len()).sum()),
    }
}

fn rail_summary(rail: &RailReview<'_>) -> Option<RailSummary> {
    let asked = rail.bench.asked.rail;
    Some(RailSummary {
        rail: rail.record.rail.clone(),
        voltage: Figure::new(asked.voltage.0, Unit::Volts)?,
        current_max: Figure::new(asked.current_max.0, Unit::Amps)?,
        current_min: Figure::new(asked.current_min.0, Unit::Amps)?,
        ripple_pp: Figure::new(asked.ripple.0.0, Unit::Volts)?,
        regulation: String::from(if rail.bench.output.is_some() { "regulated" } else { "raw" }),
        topology: words::topology(rail.bench.assembly.topology).to_owned(),
        wiring: wiring_key(rail.bench.assembly.wiring).to_owned(),
        tightest: why::tightest(rail),
    })
}

/// Stresses of a rail whose numbers are finite; the others are findings.
fn stress_rows(rail: &RailReview<'_>) -> Vec<StressRow> {
    rail.verdicts
        .iter()
        .filter_map(|verdict| {
            let Verdict::Stress(stress) = verdict else { return None };
            let unit = stress.unit.into();
            let (clause, known) = words::origin(&stress.origin, &rail.bench.asked.policy.id);
            Some(StressRow {
                rail: rail.record.rail.clone(),
                position: stress.position.key().to_owned(),
                designators: parts::designators(rail, stress.position),
                stress: stress.code.to_owned(),
                applied: Figure::new(stress.applied, unit)?,
                rating: stress.rating.and_then(|rating| Figure::new(rating, unit)),
                limit: Figure::new(stress.limit, unit)?,
                // A reference above the limit makes the limit a least temperature.
                at_least: match stress.sense {
                    Sense::AtLeast => true,
                    Sense::Temperature { reference_c } => reference_c > stress.limit,
                    Sense::AtMost => false,
                },
                utilisation: Figure::new(stress.utilisation(), Unit::Percent),
                holds: stress.holds(),
                vertex: stress.vertex.as_ref().map(words::vertex),
                clause,
                known: known.to_owned(),
                note: stress.note.clone(),
                waived: None,
            })
        })
        .collect()
}

/// Rules that judge without numbers, or those that do not apply.
fn fact_rows(rail: &RailReview<'_>, judging: bool) -> Vec<FactRow> {
    rail.verdicts
        .iter()
        .filter_map(|verdict| {
            let (holds, text) = match verdict {
                Verdict::Fact { holds, text, .. } if judging => (*holds, text.clone()),
                Verdict::MissingRating { rating, .. } if judging => {
                    (false, format!("the part states no {rating}"))
                }
                Verdict::NotApplicable { why, .. } if !judging => (true, (*why).to_owned()),
                _ => return None,
            };
            Some(FactRow {
                rail: rail.record.rail.clone(),
                position: verdict.position().key().to_owned(),
                stress: verdict.code().to_owned(),
                holds,
                text,
            })
        })
        .collect()
}

/// What the method leaves out, as far as it concerns these rails.
/// How a peak load counts; `None` without one.
fn peak_note(rail: &RailReview<'_>) -> Option<String> {
    let asked = rail.bench.asked.rail;
    let peak = asked.peak?;
    let text = |amps: f64| Figure::new(amps, Unit::Amps).map_or_else(String::new, Figure::text);
    let seconds = |one: Seconds| Figure::new(one.0, Unit::Seconds).map_or_else(String::new, Figure::text);
    Some(format!(
        "The peak of rail {} ({} for {}, {} of the time) counts as it is for voltages, ripple, peak currents and between \
         junction and sink; as a steady {} for windings, sinks and reservoirs (time constant {}); as a steady {} for packages \
         in free air, fuses and thermistors (time constant {}). Time constants: common practice, no source.",
        asked.name,
        text(peak.current.0),
        seconds(peak.duration),
        peak.share.to_text(3),
        text(stage::load_of(asked, Body::Heavy)),
        seconds(stage::HEAVY_S),
        text(stage::load_of(asked, Body::Light)),
        seconds(stage::LIGHT_S),
    ))
}

fn notes(rails: &[RailReview<'_>]) -> Vec<String> {
    let mut notes = vec![
        String::from(
            "Stresses are those of the steady state at the vertices of the tolerance box and of the faults named; \
             transients of the mains count only as the policy's factor.",
        ),
        String::from(
            "Wiring, clearances, printed boards, interference and the load itself are not looked at.",
        ),
    ];
    let assumed = rails.iter().any(|rail| {
        let part = rail.bench.assembly.transformer;
        let stated = part.secondaries.iter().all(|one| one.resistance_hot.is_some())
            && part
                .primaries
                .get(rail.bench.assembly.primary)
                .is_some_and(|one| one.resistance_hot.is_some());
        !stated
    });
    notes.extend(rails.iter().filter_map(peak_note));
    if assumed {
        notes.push(String::from(
            "A transformer states no winding resistances: they follow from its regulation, half of the copper loss in \
             the primary (assumed; common practice, no source).",
        ));
    }
    notes
}
