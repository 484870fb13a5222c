//! One file a rule, and in it the rule's page.

mod grid_harmonic;
mod output_extra_low_voltage;
mod raw_ripple;
mod raw_voltage_window;
mod rectifier_average_current;
mod rectifier_junction_temperature;
mod rectifier_repetitive_peak;
mod rectifier_reverse_voltage;
mod rectifier_rms_current;
mod rectifier_surge_current;
mod rectifier_surge_i2t;
mod rectifier_transient_voltage;
mod regulator_accuracy;
mod regulator_differential_voltage;
mod regulator_dissipation;
mod regulator_headroom;
mod regulator_input_voltage;
mod regulator_junction_temperature;
mod regulator_minimum_load;
mod regulator_output_current;
mod regulator_output_ripple;
mod regulator_short_dissipation;
mod regulator_start_up;
mod reservoir_core_temperature;
mod reservoir_hold_up;
mod reservoir_life;
mod reservoir_low_temperature;
mod reservoir_ripple_current;
mod reservoir_surge_voltage;
mod reservoir_voltage;
mod stored_energy;
mod transformer_ambient;
mod transformer_copper_loss;
mod transformer_dc_magnetisation;
mod transformer_flux;
mod transformer_insulation;
mod transformer_primary_current;
mod transformer_primary_voltage;
mod transformer_secondary_current;
mod transformer_winding_temperature;

use super::registry::Rule;

/// Every rule, in the order in which reports list them.
pub(super) const ALL: &[Rule] = &[
    // Transformer.
    transformer_primary_voltage::RULE,
    transformer_flux::RULE,
    transformer_insulation::RULE,
    transformer_ambient::RULE,
    transformer_secondary_current::RULE,
    transformer_primary_current::RULE,
    transformer_copper_loss::RULE,
    transformer_winding_temperature::RULE,
    transformer_dc_magnetisation::RULE,
    // Rectifier.
    rectifier_reverse_voltage::RULE,
    rectifier_transient_voltage::RULE,
    rectifier_average_current::RULE,
    rectifier_rms_current::RULE,
    rectifier_repetitive_peak::RULE,
    rectifier_junction_temperature::RULE,
    rectifier_surge_current::RULE,
    rectifier_surge_i2t::RULE,
    // Reservoir, and the raw rail.
    reservoir_voltage::RULE,
    reservoir_surge_voltage::RULE,
    reservoir_ripple_current::RULE,
    reservoir_core_temperature::RULE,
    reservoir_life::RULE,
    reservoir_low_temperature::RULE,
    reservoir_hold_up::RULE,
    raw_ripple::RULE,
    raw_voltage_window::RULE,
    // Regulator.
    regulator_headroom::RULE,
    regulator_input_voltage::RULE,
    regulator_differential_voltage::RULE,
    regulator_output_current::RULE,
    regulator_dissipation::RULE,
    regulator_junction_temperature::RULE,
    regulator_short_dissipation::RULE,
    regulator_minimum_load::RULE,
    regulator_accuracy::RULE,
    regulator_output_ripple::RULE,
    regulator_start_up::RULE,
    // Whole.
    stored_energy::RULE,
    output_extra_low_voltage::RULE,
    grid_harmonic::RULE,
];
