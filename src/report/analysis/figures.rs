//! Figures of an analysis: circuit, waveforms, where the power goes, switch-on.

use crate::{
    analysis::{Analysed, CircuitFile, CoreAnalysed, CoreFile, grid::GridLimits},
    report::{
        figures::{
            Figures, Picture, bars_of, circuit_words, core_waveform, harmonic_picture, switch_on, waveforms,
        },
        schematic,
    },
    review::{
        figure::{Figure, Unit},
        pictures::{
            analysed::{core_harmonics, core_pictures, core_voltages, pictures},
            core_switch_on::core_switch_on,
            model::HarmonicRow,
        },
    },
};

/// Figures of an analysis, in the order of its page.
pub fn figures(file: &CircuitFile, found: &Analysed) -> Figures {
    let drawn = pictures(file, found);
    let rails = [drawn];
    let mut pictures = vec![Picture {
        name: String::from("schematic"),
        section: "circuit",
        title: String::from("Circuit"),
        text: circuit_words(&rails[0]),
        drawing: schematic::draw(&rails),
        table: None,
    }];
    if let Some(waves) = &rails[0].waves {
        pictures.extend(waveforms("1", "", "figures", waves, "the steady state"));
    }
    pictures.extend(energy(found.shares.iter().map(|share| (share.what, share.power_w))));
    pictures.extend(primary(&rails[0].harmonics, &found.grid_limits));
    if let Some(switched) = &rails[0].switch_on {
        pictures.extend(switch_on("1", "", "switch-on", switched));
    }
    Figures { pictures }
}

/// Figures of a core with several rails.
pub fn core_figures(file: &CoreFile, found: &CoreAnalysed) -> Figures {
    let rails = core_pictures(file, found);
    let words: Vec<String> = rails.iter().map(circuit_words).collect();
    let mut pictures = vec![Picture {
        name: String::from("schematic"),
        section: "circuit",
        title: String::from("Circuit: every rail with its winding; T1 is one core for all"),
        text: words.join(" "),
        drawing: schematic::draw(&rails),
        table: None,
    }];
    pictures.extend(core_voltages(file, found).map(|curves| core_waveform(&curves)));
    let shares = found.shares.iter().map(|share| (share.what, share.power_w));
    pictures.extend(energy(shares));
    pictures.extend(primary(&core_harmonics(file, found), &found.grid_limits));
    if let Some(switched) = &core_switch_on(file, found) {
        pictures.extend(switch_on("1", "", "switch-on", switched));
    }
    Figures { pictures }
}

/// Where the power goes.
fn energy<'a>(shares: impl Iterator<Item = (&'a str, f64)>) -> Option<Picture> {
    let shares: Vec<(String, Figure)> = shares
        .filter_map(|(what, power_w)| Some((what.to_owned(), Figure::new(power_w, Unit::Watts)?)))
        .collect();
    (!shares.is_empty()).then(|| Picture {
        name: String::from("energy-bars"),
        section: "energy",
        title: String::from("Where the power goes"),
        text: String::from("Mean power over a period. The numbers stand in the table above."),
        drawing: bars_of(&shares, "power, W", 1.0),
        table: None,
    })
}

/// Harmonics of the primary current, against their limits where the mains are known.
fn primary(rows: &[HarmonicRow], limits: &GridLimits) -> Option<Picture> {
    let (title, said) = match limits {
        GridLimits::NoMains => (
            "Harmonics of the primary current, turns ratio 1 to one half",
            "No limits are drawn: they are of currents at the mains, and the circuit does not state `mains_rms`.",
        ),
        GridLimits::BelowFloor => (
            "Harmonics of the mains current against class A",
            "The limits are drawn for comparison: the circuit takes no more than the power from which they are written.",
        ),
        GridLimits::LowMains(_) => (
            "Harmonics of the mains current against class A",
            "The limits are drawn for comparison: they are not written for mains below 220 V.",
        ),
        GridLimits::LargeCurrent(_) => (
            "Harmonics of the mains current against class A",
            "The limits are drawn for comparison: they end at 16 A a phase.",
        ),
        GridLimits::Compared(_) => {
            ("Harmonics of the mains current against class A", "The limits apply at this power.")
        }
    };
    let mut text = format!("Core loss and magnetising current left out; logarithmic axis. {said}");
    if !matches!(limits, GridLimits::NoMains) {
        text.push_str(" Limits: IEC 61000-3-2, class A.");
    }
    let limited = matches!(limits, GridLimits::Compared(_));
    let words = (String::from(title), text);
    (!rows.is_empty()).then(|| harmonic_picture(String::from("harmonics-1"), "primary", words, rows, limited))
}
