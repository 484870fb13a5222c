//! The circuit of a rail as it is drawn: how it is joined, what stands where, voltages at nominal.

use super::model::{Drawing, DrawnPart, DrawnRectifier, DrawnWinding};
use crate::{
    catalog::SmallCapacitor,
    circuit::spec::Topology,
    quantity::Quantity as _,
    requirement::{Polarity, ProtectionClass},
    review::{
        dossier::PartRow,
        figure::{Figure, Unit},
        recompute::{Inputs, RailReview},
    },
    stress::{
        assembly::{Assembly, RectifierPart, Wiring},
        position::Position,
    },
};

/// Whether a capacitor that must not be reversed stands there.
fn polarised(assembly: &Assembly<'_>, position: Position) -> bool {
    let small = |part: &SmallCapacitor| part.dielectric.polarised();
    let stage = assembly.regulation.as_ref();
    match position {
        // Reservoirs are aluminium electrolytics.
        Position::Reservoir | Position::SectionCapacitor => true,
        Position::InputCapacitor => stage.and_then(|stage| stage.input).is_some_and(small),
        Position::OutputCapacitor => stage.and_then(|stage| stage.output).is_some_and(small),
        _ => false,
    }
}

/// The drawing of one rail.
pub(super) fn drawing(inputs: Inputs<'_>, rail: &RailReview<'_>, parts: &[PartRow]) -> Drawing {
    let bench = &rail.bench;
    let asked = bench.asked.rail;
    let mains = &inputs.requirement.mains;
    let volts = |value: f64| Figure::new(value, Unit::Volts);
    let nominal = rail.nominal.as_ref();
    let choked = bench.assembly.choke_input().is_some();
    let sectioned = bench.assembly.section.is_some();
    let cascade = bench.assembly.topology == Topology::HalfWaveDoubler;
    let rows = parts.iter().filter(|part| part.rail == rail.record.rail);
    Drawing {
        rectifier: match bench.assembly.topology {
            Topology::HalfWave => DrawnRectifier::HalfWave,
            Topology::HalfWaveDoubler => DrawnRectifier::HalfWaveDoubler,
            Topology::CentreTap => DrawnRectifier::CentreTap,
            Topology::Bridge => DrawnRectifier::Bridge,
            Topology::FullWaveDoubler => DrawnRectifier::FullWaveDoubler,
            Topology::DualComplementary => DrawnRectifier::Dual,
        },
        winding: match bench.assembly.wiring {
            Wiring::Single | Wiring::First | Wiring::Second | Wiring::Third => DrawnWinding::Single,
            Wiring::Series => DrawnWinding::Series,
            Wiring::Parallel => DrawnWinding::Parallel,
            Wiring::CentreTap | Wiring::Complementary => DrawnWinding::Tapped,
        },
        one_package: matches!(bench.assembly.rectifier, RectifierPart::Bridge(_)),
        negative: asked.polarity == Polarity::Negative,
        earth: inputs.requirement.protection == ProtectionClass::I,
        parts: rail
            .bench
            .assembly
            .lines()
            .iter()
            .zip(rows)
            .flat_map(|(line, row)| {
                let whole = DrawnPart {
                    position: drawn_at(line.position, choked).to_owned(),
                    designators: row.designators.clone(),
                    ratings: row.value.split(", ").map(str::to_owned).collect(),
                    part: row.part.clone(),
                    count: row.count,
                    polarised: polarised(&rail.bench.assembly, line.position),
                };
                let parted = cascade && line.position == Position::Reservoir;
                if parted { halves(&whole) } else { vec![whole] }
            })
            .collect(),
        mains: format!("{}, {}", mains.voltage.to_exact_text(), mains.frequency.to_exact_text()),
        emf_rms: nominal.and_then(|point| volts(point.emf_peak_v / std::f64::consts::SQRT_2)),
        // Behind a section what is known of the output is its own, not that of the raw voltage before it.
        raw_mean: nominal.filter(|_| !sectioned).and_then(|point| volts(point.mean_v)),
        ripple_pp: nominal.filter(|_| !sectioned).and_then(|point| volts(point.crest_v - point.valley_v)),
        output: match &bench.output {
            Some(output) => volts(output.set_v),
            None => nominal.and_then(|point| volts(point.mean_v)),
        },
        current_max: Figure::new(asked.current_max.0, Unit::Amps),
        negative_side: None,
        transformer_of: rail.record.transformer_of.clone(),
    }
}

/// Of the capacitors of a half-wave doubler the first half couples, the other is the reservoir.
fn halves(whole: &DrawnPart) -> Vec<DrawnPart> {
    let half = whole.designators.len() / 2;
    let (coupling, reservoir) = whole.designators.split_at(half);
    let part = |position: &str, designators: &[String]| DrawnPart {
        position: position.to_owned(),
        designators: designators.to_vec(),
        count: whole.count / 2,
        ..whole.clone()
    };
    vec![part("coupling-capacitor", coupling), part("reservoir", reservoir)]
}

/// Where a part is drawn: behind a choke input the reservoir is the capacitor of the section.
fn drawn_at(position: Position, choked: bool) -> &'static str {
    if choked && position == Position::Reservoir { "section-capacitor" } else { position.key() }
}
