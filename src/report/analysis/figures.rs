//! Figures of an analysis: circuit, waveforms, where the power goes, switch-on.

use crate::{
    analysis::{Analysed, CircuitFile, CoreAnalysed, CoreFile},
    report::{
        figures::{Figures, Picture, bars_of, circuit_words, core_waveform, switch_on, waveforms},
        schematic,
    },
    review::{
        figure::{Figure, Unit},
        pictures::analysed::{core_pictures, core_voltages, pictures},
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
    let shares: Vec<(String, Figure)> = found
        .shares
        .iter()
        .filter_map(|share| Some((share.what.to_owned(), Figure::new(share.power_w, Unit::Watts)?)))
        .collect();
    if !shares.is_empty() {
        pictures.push(Picture {
            name: String::from("energy-bars"),
            section: "energy",
            title: String::from("Where the power goes"),
            text: String::from("Mean power over a period. The numbers stand in the table above."),
            drawing: bars_of(&shares, "power, W", 1.0),
            table: None,
        });
    }
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
    Figures { pictures }
}
