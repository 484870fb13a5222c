//! What is known of a solved circuit: figures over one mains period in the steady state.
//!
//! Knows nothing of how they were found.

/// Figures of one output (load side).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutputFigures {
    /// Mean load voltage, V.
    pub load_mean_v: f64,
    /// Least load voltage in the period, V.
    pub load_min_v: f64,
    /// Greatest load voltage in the period, V.
    pub load_max_v: f64,
    /// Peak-to-peak ripple, `load_max_v − load_min_v`, V.
    pub ripple_pp_v: f64,
    /// rms of the ac part of the load voltage, V.
    pub ripple_rms_v: f64,
    /// Mean load current, A.
    pub load_current_mean_a: f64,
    /// Mean of load voltage times load current, W.
    pub load_power_w: f64,
    /// Mean current of one diode, A.
    pub diode_avg_a: f64,
    /// rms current of one diode, A.
    pub diode_rms_a: f64,
    /// Peak current of one diode, A.
    pub diode_peak_a: f64,
    /// Time one diode conducts in a mains period, degrees of the mains.
    pub diode_conduction_deg: f64,
    /// Greatest reverse voltage of one diode, V.
    pub diode_piv_v: f64,
    /// rms ripple current of the first capacitor, A; `None` without one.
    pub c1_ripple_current_rms_a: Option<f64>,
    /// rms ripple current of the second capacitor, A; `None` without one.
    pub c2_ripple_current_rms_a: Option<f64>,
    /// Mean voltage of the first capacitor's terminals where a second section follows, V.
    pub reservoir_mean_v: Option<f64>,
    /// Least voltage of the first capacitor's terminals where a second section follows, V.
    pub reservoir_min_v: Option<f64>,
    /// Greatest voltage of the first capacitor's terminals where a second section follows, V.
    pub reservoir_max_v: Option<f64>,
    /// Mean choke current, A.
    pub choke_mean_a: Option<f64>,
    /// rms choke current, A.
    pub choke_rms_a: Option<f64>,
    /// Least choke current, A.
    pub choke_min_a: Option<f64>,
    /// Greatest choke current, A.
    pub choke_max_a: Option<f64>,
    /// Whether the choke carries current throughout the period.
    pub choke_continuous: Option<bool>,
}

/// All figures of a steady state but the harmonics.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// The output; of a dual complementary circuit the positive one.
    pub output: OutputFigures,
    /// The negative output of a dual complementary circuit, in magnitudes.
    pub negative: Option<OutputFigures>,
    /// rms current of one winding (one half where there are two), A.
    pub winding_rms_a: f64,
    /// Mean current of one winding (one half), A.
    pub winding_mean_a: f64,
    /// Sum over the halves of EMF rms times current rms, VA.
    pub va_emf_va: f64,
    /// Sum over the halves of terminal voltage rms times current rms, VA.
    pub va_terminal_va: f64,
    /// rms of the current referred to one half, its mean removed, A.
    pub primary_rms_a: f64,
    /// Mean of EMF times current, W: winding loss included, iron excluded.
    pub input_power_w: f64,
    /// `input_power_w / va_emf_va`.
    pub power_factor_emf: f64,
    /// `input_power_w / (EMF rms · primary_rms_a)`.
    pub power_factor_primary: f64,
    /// Input power less load and all losses, as a fraction of the input power: zero but for rounding.
    pub energy_residual: f64,
    /// Cycle-map residual relative to the EMF peak.
    pub residual: f64,
    /// Newton iterations taken.
    pub iterations: u32,
}

/// Why a circuit has no figures.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoSteadyState {
    /// More current is asked than the source can give: the output falls to zero.
    #[error("the load takes more than the source can give: the output collapses")]
    Collapsed,
    /// The circuit has no finite steady state or lies outside the documented domain.
    #[error("{what} is `{value}`, outside `{low}` to `{high}`")]
    OutsideDomain {
        /// Which input.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least value solved.
        low: f64,
        /// Greatest value solved.
        high: f64,
    },
    /// The combination of topology and filter is not built.
    #[error("no such circuit: {why}")]
    NotACircuit {
        /// Why.
        why: &'static str,
    },
    /// More events in a period than are followed.
    #[error(
        "the diodes open and close thousands of times in a period: something rings that much faster than the mains"
    )]
    Restless,
    /// The iteration ended without meeting its tolerance; no figure is given.
    #[error(
        "the steady state was not found to tolerance: residual {residual:e} after {iterations} iterations"
    )]
    NotFound {
        /// Residual reached.
        residual: f64,
        /// Iterations spent.
        iterations: u32,
    },
}
