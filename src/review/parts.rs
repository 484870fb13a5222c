//! The parts list: designators, headline ratings, who sells each at what, and the sums.
//!
//! Parts and counts are those of the circuit; only designators are taken from the record. Pieces of one part and value are
//! ordered together, whichever rail they stand in.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{
    dossier::{PartRow, Totals},
    figure::{Figure, Unit},
    recompute::{Inputs, RailReview},
};
use crate::{
    candidate::price,
    catalog::family::{
        capacitor::Dielectric,
        protection::FuseSystem,
        regulator::Setting,
        transformer::{Construction, Secondary},
    },
    quantity::{Currency, Money, Quantity},
    record::{RailRecord, write::value_text},
    stress::{
        assembly::{Assembly, Line, RectifierPart, Section},
        loss,
        position::Position,
    },
};

/// Pieces of a part and value in one supply.
type Needs = BTreeMap<(String, Option<String>), u32>;

fn key(line: &Line<'_>) -> (String, Option<String>) {
    (line.common.id.0.clone(), line.value.map(value_text))
}

/// Rows of the parts list, and the sums.
pub(super) fn parts(inputs: Inputs<'_>, rails: &[RailReview<'_>]) -> (Vec<PartRow>, Totals) {
    let currency = Currency::new(&inputs.requirement.currency);
    let mut needs = Needs::new();
    for line in rails.iter().flat_map(|rail| rail.bench.assembly.lines()) {
        *needs.entry(key(&line)).or_insert(0) += line.count;
    }
    let mut rows = Vec::new();
    let mut ordered: BTreeMap<(String, Option<String>), String> = BTreeMap::new();
    // Without every rail there is no cost of the whole.
    let mut sum = (rails.len() >= inputs.record.rails.len()).then_some(Decimal::ZERO);
    let mut unpriced = Vec::new();
    for rail in rails {
        for line in rail.bench.assembly.lines() {
            let designators = designators(rail, line.position);
            let mut row = PartRow {
                rail: rail.record.rail.clone(),
                designators,
                position: line.position.words().to_owned(),
                part: line.common.id.0.clone(),
                value: headline(&rail.bench.assembly, &line),
                maker: line.common.maker.clone(),
                count: line.count,
                unit_cost: None,
                batch_cost: None,
                ordered: None,
                supplier: None,
                ordered_with: None,
            };
            let name = row.designators.join(" ");
            let pieces =
                price::need(inputs.requirement, needs.get(&key(&line)).copied().unwrap_or(line.count));
            let best = price::best_offer(line.common, inputs.requirement, pieces);
            if let (Some((offer, purchase)), Some(currency)) = (best, currency) {
                let money = |amount| Money { amount, currency };
                row.unit_cost = Some(money(purchase.each));
                row.supplier = Some(offer.supplier.clone());
                if let Some(first) = ordered.get(&key(&line)) {
                    row.ordered_with = Some(first.clone());
                } else {
                    row.batch_cost = Some(money(purchase.total));
                    row.ordered = Some(purchase.ordered);
                    sum = sum.and_then(|sum| sum.checked_add(purchase.total));
                    ordered.insert(key(&line), name);
                }
            } else {
                unpriced.push(format!("{name} ({})", row.part));
            }
            rows.push(row);
        }
    }
    let batch = sum.zip(currency).map(|(amount, currency)| Money { amount, currency });
    let unit = batch.and_then(|money| {
        let amount = money.amount.checked_div(Decimal::from(inputs.requirement.build_quantity))?;
        Some(Money { amount, ..money })
    });
    let whole = rails.len() >= inputs.record.rails.len().max(inputs.requirement.rails.len());
    let mut totals = totals(rails, batch, unit, unpriced);
    if !whole {
        // Sums of the rest would be read as those of the whole.
        totals = Totals { output: None, loss: None, volume: None, mass: None, without_mass: 0, ..totals };
    }
    (rows, totals)
}

fn totals(
    rails: &[RailReview<'_>],
    batch_cost: Option<Money>,
    unit_cost: Option<Money>,
    unpriced: Vec<String>,
) -> Totals {
    let (mut output_w, mut loss_w) = (0.0, 0.0);
    let (mut volume_m3, mut mass_kg, mut without_mass) = (0.0, 0.0, 0);
    for rail in rails {
        let load_a = rail.bench.asked.rail.current_max.0;
        // Without a nominal state there is no sum to show.
        let (delivered, lost) = rail.nominal.as_ref().map_or((f64::NAN, f64::NAN), |point| {
            (loss::output_v(&rail.bench, point) * load_a, loss::at(&rail.bench, point, load_a))
        });
        output_w += delivered;
        loss_w += lost;
        for line in rail.bench.assembly.lines() {
            let pieces = f64::from(line.count);
            volume_m3 += pieces * line.common.volume().0;
            match line.common.mass {
                Some(mass) => mass_kg += pieces * mass.0,
                None => without_mass += line.count,
            }
        }
    }
    Totals {
        batch_cost,
        unit_cost,
        unpriced,
        output: Figure::new(output_w, Unit::Watts),
        loss: Figure::new(loss_w, Unit::Watts),
        volume: Figure::new(volume_m3, Unit::CubicMetres),
        mass: Figure::new(mass_kg, Unit::Kilograms),
        without_mass,
    }
}

/// Designators of a position as the record names them, of what is shared in the list of the other rail.
pub(super) fn designators(rail: &RailReview<'_>, position: Position) -> Vec<String> {
    let of = |record: &RailRecord| record.parts.iter().find(|part| part.position == position.key()).cloned();
    of(rail.record).or_else(|| rail.host.and_then(of)).map_or_else(Vec::new, |part| part.designators)
}

/// The ratings a buyer looks for first, as the catalog states them.
fn headline(assembly: &Assembly<'_>, line: &Line<'_>) -> String {
    fn exact(quantity: impl Quantity) -> String {
        quantity.to_exact_text()
    }
    let resistor = |series: &crate::catalog::ResistorSeries| {
        format!(
            "{}, {}, ±{}",
            line.value.map_or_else(String::new, value_text),
            exact(series.power),
            exact(series.tolerance)
        )
    };
    let stage = assembly.regulation.as_ref();
    let small = |part: &crate::catalog::SmallCapacitor| {
        let dielectric = match part.dielectric {
            Dielectric::Film => "film",
            Dielectric::Ceramic => "ceramic",
            Dielectric::Tantalum => "tantalum",
            Dielectric::Aluminium => "aluminium",
        };
        format!("{}, {}, {}", exact(part.capacitance), exact(part.rated), dielectric)
    };
    let diode = |part: &crate::catalog::DiodePart| {
        format!("diode, {}, {}", exact(part.element.reverse_repetitive), exact(part.average.rated))
    };
    let fuse = |part: &crate::catalog::Fuse| {
        let system = match part.system {
            FuseSystem::Iec60127Sheet3 => "IEC 60127-2 sheet 3",
            FuseSystem::Iec60127Sheet5 => "IEC 60127-2 sheet 5",
            FuseSystem::Ul248 => "UL 248-14",
        };
        format!("{} time-lag, {}, {system}", exact(part.rated), exact(part.voltage))
    };
    let transistor = |part: &crate::catalog::Transistor| {
        let kind = if part.pnp { "pnp" } else { "npn" };
        format!("{kind}, {}, {}", exact(part.collector_emitter_max), exact(part.collector_current))
    };
    let sink =
        |part: &crate::catalog::HeatSink| format!("{} at {}", exact(part.resistance), exact(part.rise));
    let text = match line.position {
        Position::Transformer => {
            let part = assembly.transformer;
            let kind = match part.construction {
                Construction::Laminated => "laminated",
                Construction::Toroid => "toroid",
                Construction::RCore => "R-core",
                Construction::Potted => "potted",
            };
            Some(format!("{}, {}, {kind}", exact(part.rating), windings(&part.secondaries)))
        }
        Position::Rectifier => Some(match assembly.rectifier {
            RectifierPart::Bridge(part) => {
                format!("bridge, {}, {}", exact(part.element.reverse_repetitive), exact(part.output.rated))
            }
            RectifierPart::Diodes(part) => {
                format!("diode, {}, {}", exact(part.element.reverse_repetitive), exact(part.average.rated))
            }
        }),
        Position::RectifierSink => assembly.rectifier_cooling.map(|cooling| sink(cooling.sink)),
        Position::RegulatorSink => stage.and_then(|stage| stage.cooling).map(|cooling| sink(cooling.sink)),
        Position::RectifierPad => assembly.rectifier_cooling.map(|cooling| cooling.pad.material.clone()),
        Position::RegulatorPad => {
            stage.and_then(|stage| stage.cooling).map(|cooling| cooling.pad.material.clone())
        }
        Position::Reservoir | Position::SectionCapacitor => {
            assembly.banks().find(|(at, _)| *at == line.position).map(|(_, bank)| {
                let part = bank.part;
                format!("{}, {}, {}", exact(part.capacitance), exact(part.rated), exact(part.t_max))
            })
        }
        Position::SectionResistor => {
            assembly.section.and_then(Section::resistor).map(|choice| resistor(choice.series))
        }
        Position::Bleeder => assembly.bleeder.map(|choice| resistor(choice.series)),
        Position::PassTransistor => stage.and_then(|stage| stage.pass).map(|pass| transistor(pass.part)),
        Position::LimitTransistor => stage.and_then(|stage| stage.pass).map(|pass| transistor(pass.limiter)),
        Position::Ballast => stage.and_then(|stage| stage.pass).map(|pass| resistor(pass.ballast.series)),
        Position::Drive => stage.and_then(|stage| stage.pass).map(|pass| resistor(pass.drive.series)),
        Position::SetUpper => stage.and_then(|stage| stage.set).map(|(upper, _)| resistor(upper.series)),
        Position::SetLower => stage.and_then(|stage| stage.set).map(|(_, lower)| resistor(lower.series)),
        Position::MinimumLoad => {
            stage.and_then(|stage| stage.minimum_load).map(|choice| resistor(choice.series))
        }
        Position::SectionChoke => assembly.choke().map(|part| {
            format!("{}, {}, {}", exact(part.inductance), exact(part.current), exact(part.resistance))
        }),
        Position::Regulator => stage.map(|stage| match stage.part.setting {
            Setting::Fixed { output } => format!("{}, {}", exact(output), exact(stage.part.output_current)),
            Setting::Adjustable { .. } => format!("adjustable, {}", exact(stage.part.output_current)),
        }),
        Position::InputCapacitor => stage.and_then(|stage| stage.input).map(small),
        Position::OutputCapacitor => stage.and_then(|stage| stage.output).map(small),
        Position::ReverseDiode => stage.and_then(|stage| stage.reverse_diode).map(diode),
        Position::ClampDiode => stage.and_then(|stage| stage.clamp_diode).map(diode),
        Position::PrimaryFuse => assembly.primary_fuse.map(fuse),
        Position::SecondaryFuse => assembly.secondary_fuse.map(fuse),
        Position::InrushLimiter => {
            assembly.limiter.map(|part| format!("{} cold, {}", exact(part.cold), exact(part.current_max)))
        }
        Position::CutOut => {
            assembly.cut_out.map(|part| format!("opens at {}, {}", exact(part.opens_at), exact(part.current)))
        }
    };
    text.unwrap_or_default()
}
/// Rated voltages of windings: those alike as one, `2 × 15 V and 8 V`.
fn windings(all: &[Secondary]) -> String {
    let unlike = !all.windows(2).all(|two| matches!(two, [one, other] if one == other));
    let runs: Vec<String> = all
        .chunk_by(|one, other| one == other)
        .filter_map(|run| {
            let rated = run.first()?.rated.to_exact_text();
            Some(if unlike && run.len() == 1 { rated } else { format!("{} × {rated}", run.len()) })
        })
        .collect();
    match runs.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => runs.join(", "),
    }
}
