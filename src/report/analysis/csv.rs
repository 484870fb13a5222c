//! Waveforms and figures as comma-separated values (RFC 4180), plain numbers in SI units.
//!
//! Holds no text of a stranger.

use crate::{
    analysis::{Analysed, FigureName},
    circuit::general::{OutputSample, Sample},
};

/// A column of an output: what its head begins with, and the value.
type Column = (&'static str, fn(&OutputSample) -> Option<f64>);

const OUTPUT: [Column; 6] = [
    ("load_v", |o| Some(o.load_v)),
    ("load_a", |o| Some(o.load_a)),
    ("reservoir_v", |o| o.reservoir_v),
    ("c1_a", |o| o.c1_a),
    ("c2_a", |o| o.c2_a),
    ("choke_a", |o| o.choke_a),
];

/// One mains period, a line a sample; an event stands twice, just before and just after, marked 1.
pub fn waveform(samples: &[Sample]) -> String {
    named_waveform(samples, &[String::new(), "neg_".to_owned()])
}

/// The same, the heads of each output begun with its name.
pub(super) fn named_waveform(samples: &[Sample], names: &[String]) -> String {
    let Some(first) = samples.first() else { return String::new() };
    let mut heads = vec!["time_s".to_owned(), "event".to_owned(), "emf_v".to_owned()];
    heads.extend((1..=first.winding_a.len()).map(|n| format!("winding_{n}_a")));
    heads.push("primary_a".to_owned());
    heads.extend((1..=first.diode_a.len()).map(|n| format!("diode_{n}_a")));
    for (output, before) in first.outputs.iter().zip(names) {
        heads.extend(
            OUTPUT.iter().filter(|(_, of)| of(output).is_some()).map(|(head, _)| format!("{before}{head}")),
        );
    }
    let mut out = String::new();
    line(&mut out, &heads);
    for sample in samples {
        let mut cells =
            vec![sample.time_s.to_string(), u8::from(sample.event).to_string(), sample.emf_v.to_string()];
        cells.extend(sample.winding_a.iter().map(f64::to_string));
        cells.push(sample.primary_a.to_string());
        cells.extend(sample.diode_a.iter().map(f64::to_string));
        for output in &sample.outputs {
            cells.extend(OUTPUT.iter().filter_map(|(_, of)| of(output)).map(|value| value.to_string()));
        }
        line(&mut out, &cells);
    }
    out
}

/// Every figure that the circuit has: key and value.
pub fn figures(found: &Analysed) -> String {
    let mut out = String::new();
    line(&mut out, &["figure".to_owned(), "value".to_owned()]);
    let known = found.study.known();
    for figure in FigureName::all(true) {
        if let Some(value) = figure.of(known) {
            line(&mut out, &[figure.key(), value.to_string()]);
        }
    }
    for one in found.study.grid.iter().flat_map(|grid| &grid.harmonics) {
        line(&mut out, &[format!("primary_harmonic_{}_rms_a", one.order), one.rms_a().to_string()]);
    }
    out
}

pub(super) fn line(out: &mut String, cells: &[String]) {
    out.push_str(&cells.join(","));
    out.push_str("\r\n");
}
