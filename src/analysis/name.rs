//! Every figure by its key: the name says what it is, its end the SI unit.
//!
//! The one list that files, options, tables and JSON share.

use super::grid::Grid;
use crate::{
    circuit::{
        figures::{Figures, OutputFigures},
        general::switch_on::SwitchOn,
    },
    document::suggestion,
};

/// Unit of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Volt-amperes.
    VoltAmps,
    /// Degrees of the mains period.
    Degrees,
    /// Ampere-squared seconds.
    AmpsSquaredSeconds,
    /// A ratio.
    Ratio,
    /// A count; yes and no are 1 and 0.
    Count,
}

/// Where a figure is read.
#[derive(Clone, Copy)]
enum Reading {
    Output(fn(&OutputFigures) -> Option<f64>),
    Whole(fn(&Figures) -> f64),
    Grid(fn(&Grid) -> f64),
    Switch(fn(&SwitchOn) -> Option<f64>),
}

/// A row of the list.
pub struct Row {
    key: &'static str,
    label: &'static str,
    unit: Unit,
    reading: Reading,
}

const fn output(
    key: &'static str,
    label: &'static str,
    unit: Unit,
    of: fn(&OutputFigures) -> Option<f64>,
) -> Row {
    Row { key, label, unit, reading: Reading::Output(of) }
}

const fn whole(key: &'static str, label: &'static str, unit: Unit, of: fn(&Figures) -> f64) -> Row {
    Row { key, label, unit, reading: Reading::Whole(of) }
}

const fn grid(key: &'static str, label: &'static str, unit: Unit, of: fn(&Grid) -> f64) -> Row {
    Row { key, label, unit, reading: Reading::Grid(of) }
}

const fn switch(key: &'static str, label: &'static str, unit: Unit, of: fn(&SwitchOn) -> Option<f64>) -> Row {
    Row { key, label, unit, reading: Reading::Switch(of) }
}

use Unit::{Amps, AmpsSquaredSeconds, Count, Degrees, Ratio, VoltAmps, Volts, Watts};

/// All figures.
static ROWS: [Row; 45] = [
    output("load_mean_v", "load voltage, mean", Volts, |o| Some(o.load_mean_v)),
    output("load_min_v", "load voltage, least", Volts, |o| Some(o.load_min_v)),
    output("load_max_v", "load voltage, greatest", Volts, |o| Some(o.load_max_v)),
    output("ripple_pp_v", "ripple, peak to peak", Volts, |o| Some(o.ripple_pp_v)),
    output("ripple_rms_v", "ripple, rms of the ac part", Volts, |o| Some(o.ripple_rms_v)),
    output("load_current_mean_a", "load current, mean", Amps, |o| Some(o.load_current_mean_a)),
    output("load_power_w", "load power, mean", Watts, |o| Some(o.load_power_w)),
    output("reservoir_mean_v", "reservoir voltage, mean", Volts, |o| o.reservoir_mean_v),
    output("reservoir_min_v", "reservoir voltage, least", Volts, |o| o.reservoir_min_v),
    output("reservoir_max_v", "reservoir voltage, greatest", Volts, |o| o.reservoir_max_v),
    output("c1_ripple_current_rms_a", "first capacitor, ripple current rms", Amps, |o| {
        o.c1_ripple_current_rms_a
    }),
    output("c2_ripple_current_rms_a", "second capacitor, ripple current rms", Amps, |o| {
        o.c2_ripple_current_rms_a
    }),
    output("choke_mean_a", "choke current, mean", Amps, |o| o.choke_mean_a),
    output("choke_rms_a", "choke current, rms", Amps, |o| o.choke_rms_a),
    output("choke_min_a", "choke current, least", Amps, |o| o.choke_min_a),
    output("choke_max_a", "choke current, greatest", Amps, |o| o.choke_max_a),
    output("choke_continuous", "choke current is continuous (1 yes)", Count, |o| {
        o.choke_continuous.map(|yes| f64::from(u8::from(yes)))
    }),
    output("diode_avg_a", "one diode, average current", Amps, |o| Some(o.diode_avg_a)),
    output("diode_rms_a", "one diode, rms current", Amps, |o| Some(o.diode_rms_a)),
    output("diode_peak_a", "one diode, peak current", Amps, |o| Some(o.diode_peak_a)),
    output("diode_conduction_deg", "one diode, conduction", Degrees, |o| Some(o.diode_conduction_deg)),
    output("diode_piv_v", "one diode, peak reverse voltage", Volts, |o| Some(o.diode_piv_v)),
    whole("winding_rms_a", "winding (half) current, rms", Amps, |f| f.winding_rms_a),
    whole("winding_mean_a", "winding (half) current, mean", Amps, |f| f.winding_mean_a),
    whole("va_emf_va", "apparent power at the EMF", VoltAmps, |f| f.va_emf_va),
    whole("va_terminal_va", "apparent power at the terminals", VoltAmps, |f| f.va_terminal_va),
    whole("primary_rms_a", "primary current at ratio 1, rms", Amps, |f| f.primary_rms_a),
    whole("input_power_w", "input power at the EMF", Watts, |f| f.input_power_w),
    whole("power_factor_emf", "power factor at the EMF", Ratio, |f| f.power_factor_emf),
    whole("power_factor_primary", "power factor of the primary", Ratio, |f| f.power_factor_primary),
    whole("energy_residual", "energy balance, residual", Ratio, |f| f.energy_residual),
    grid("displacement_factor", "displacement factor, fundamental", Ratio, |g| g.displacement_factor),
    grid("distortion", "distortion of the primary current", Ratio, |g| g.distortion),
    grid("primary_peak_a", "primary current at ratio 1, peak", Amps, |g| g.primary_peak_a),
    grid("crest_factor", "crest factor of the primary current", Ratio, |g| g.crest_factor),
    grid("primary_fundamental_rms_a", "primary fundamental at ratio 1, rms", Amps, |g| g.rms_a(1)),
    grid("primary_third_rms_a", "primary third harmonic at ratio 1, rms", Amps, |g| g.rms_a(3)),
    switch("inrush_peak_a", "switch-on, greatest diode current", Amps, |s| Some(s.peak_a)),
    switch("inrush_peak_phase_deg", "switch-on, phase of that current", Degrees, |s| {
        Some(s.peak_phase_rad.to_degrees())
    }),
    switch("inrush_i2t_half_cycle_a2s", "switch-on, I²t of the first half cycle", AmpsSquaredSeconds, |s| {
        Some(s.i2t_half_cycle_a2s)
    }),
    switch("inrush_i2t_cycle_a2s", "switch-on, I²t of the first cycle", AmpsSquaredSeconds, |s| {
        Some(s.i2t_cycle_a2s)
    }),
    switch("inrush_primary_peak_a", "switch-on, primary current, peak", Amps, |s| {
        s.primary.map(|one| one.peak_a)
    }),
    switch(
        "inrush_primary_i2t_half_cycle_a2s",
        "switch-on, primary I²t, half cycle",
        AmpsSquaredSeconds,
        |s| s.primary.map(|one| one.i2t_half_cycle_a2s),
    ),
    switch("inrush_primary_i2t_cycle_a2s", "switch-on, primary I²t, first cycle", AmpsSquaredSeconds, |s| {
        s.primary.map(|one| one.i2t_cycle_a2s)
    }),
    switch("settle_cycles", "switch-on, cycles until within 1 %", Count, |s| s.settle_cycles.map(f64::from)),
];

/// Before the key of a figure of the negative output.
const NEGATIVE: &str = "neg_";

/// One figure.
#[derive(Clone, Copy)]
pub struct FigureName {
    row: &'static Row,
    negative: bool,
}

impl std::fmt::Debug for FigureName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.key())
    }
}

impl PartialEq for FigureName {
    fn eq(&self, other: &Self) -> bool {
        self.row.key == other.row.key && self.negative == other.negative
    }
}

/// What figures are read from.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known<'a> {
    /// The steady state.
    pub figures: Option<&'a Figures>,
    /// The primary current, where it was asked for.
    pub grid: Option<&'a Grid>,
    /// Switch-on, where it was asked for.
    pub switch_on: Option<&'a SwitchOn>,
}

/// A key that names no figure.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("no figure is called `{key}`{}; allowed are {allowed}", self.hint().map(|hint| format!(" ({hint})")).unwrap_or_default())]
pub struct UnknownFigure {
    /// What was asked for.
    pub key: String,
    /// A key that looks like it.
    pub near: Option<String>,
    /// What may stand there.
    pub allowed: String,
}

impl UnknownFigure {
    /// What was probably meant, in words.
    pub fn hint(&self) -> Option<String> {
        self.near.as_ref().map(|near| format!("did you mean `{near}`?"))
    }
}

impl FigureName {
    /// The figure of a key.
    pub fn named(key: &str) -> Result<Self, UnknownFigure> {
        let find = |key: &str| ROWS.iter().find(|row| row.key == key);
        if let Some(row) = find(key) {
            return Ok(Self { row, negative: false });
        }
        let negative = key.strip_prefix(NEGATIVE).and_then(find);
        if let Some(row) = negative.filter(|row| matches!(row.reading, Reading::Output(_))) {
            return Ok(Self { row, negative: true });
        }
        Err(UnknownFigure {
            near: suggestion(key, ROWS.iter().map(|row| row.key)).map(str::to_owned),
            key: crate::document::neutralise(key).into_owned(),
            allowed: format!(
                "{}, and those of an output behind `{NEGATIVE}` for the negative one",
                ROWS.iter().map(|row| format!("`{}`", row.key)).collect::<Vec<_>>().join(", ")
            ),
        })
    }

    /// All figures in the order of reports, those of the negative output after the positive ones where there is one.
    pub fn all(with_negative: bool) -> Vec<Self> {
        let positive = ROWS.iter().map(|row| Self { row, negative: false });
        let negative = ROWS
            .iter()
            .filter(|row| with_negative && matches!(row.reading, Reading::Output(_)))
            .map(|row| Self { row, negative: true });
        positive.chain(negative).collect()
    }

    /// The key.
    pub fn key(&self) -> String {
        format!("{}{}", if self.negative { NEGATIVE } else { "" }, self.row.key)
    }

    /// In words.
    pub const fn label(&self) -> &'static str {
        self.row.label
    }

    /// Its unit.
    pub const fn unit(&self) -> Unit {
        self.row.unit
    }

    /// Whether it is of one output.
    pub const fn of_output(&self) -> bool {
        matches!(self.row.reading, Reading::Output(_))
    }

    /// Whether it is of the whole core where several rails share one.
    pub fn of_core(&self) -> bool {
        self.needs_grid()
            || [
                "primary_rms_a",
                "power_factor_primary",
                "energy_residual",
                "inrush_primary_peak_a",
                "inrush_primary_i2t_half_cycle_a2s",
                "inrush_primary_i2t_cycle_a2s",
            ]
            .contains(&self.row.key)
    }

    /// Whether it is of the negative output.
    pub const fn is_negative(&self) -> bool {
        self.negative
    }

    /// Whether it needs the spectrum.
    pub const fn needs_grid(&self) -> bool {
        matches!(self.row.reading, Reading::Grid(_))
    }

    /// Whether it needs switch-on.
    pub const fn needs_switch_on(&self) -> bool {
        matches!(self.row.reading, Reading::Switch(_))
    }

    /// Its value; `None` where the circuit has no such figure or it was not asked for.
    pub fn of(&self, known: Known<'_>) -> Option<f64> {
        let value = match self.row.reading {
            Reading::Output(of) if self.negative => of(known.figures?.negative.as_ref()?),
            Reading::Output(of) => of(&known.figures?.output),
            Reading::Whole(of) => Some(of(known.figures?)),
            Reading::Grid(of) => Some(of(known.grid?)),
            Reading::Switch(of) => of(known.switch_on?),
        };
        value.filter(|value| value.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_names_the_figure_that_carries_it() {
        for figure in FigureName::all(true) {
            assert_eq!(FigureName::named(&figure.key()), Ok(figure));
        }
    }

    #[test]
    fn a_misspelt_key_is_suggested_and_only_outputs_have_a_negative_figure() {
        let error = FigureName::named("load_men_v").unwrap_err();
        assert_eq!(error.near.as_deref(), Some("load_mean_v"));
        assert!(FigureName::named("neg_load_mean_v").is_ok());
        assert!(FigureName::named("neg_primary_rms_a").is_err());
    }
}
