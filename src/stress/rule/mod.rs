//! One file a rule, and in it the rule's page.

mod bleeder_discharge_time;
mod bleeder_power;
mod choke_continuity;
mod choke_peak_current;
mod choke_rms_current;
mod choke_winding_temperature;
mod cut_out_margin;
mod fuse_breaking_capacity;
mod fuse_clears_diode;
mod fuse_clears_short;
mod fuse_inrush;
mod fuse_rating;
mod fuse_steady_current;
mod fuse_voltage;
mod grid_harmonic;
mod inrush_energy;
mod inrush_hot_restart;
mod inrush_steady_current;
#[cfg(test)]
mod laws;
mod output_clamp;
mod output_extra_low_voltage;
mod overload_protection;
mod pass_base_current;
mod pass_collector_current;
mod pass_collector_voltage;
mod pass_junction_temperature;
mod pass_operating_area;
mod pass_sharing;
mod raw_ripple;
mod raw_voltage_window;
mod rectifier_average_current;
mod rectifier_fault_i2t;
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
mod regulator_input_capacitor;
mod regulator_input_voltage;
mod regulator_junction_temperature;
mod regulator_minimum_load;
mod regulator_output_capacitor;
mod regulator_output_current;
mod regulator_output_ripple;
mod regulator_reverse_diode;
mod regulator_short_dissipation;
mod regulator_start_up;
mod reservoir_core_temperature;
mod reservoir_hold_up;
mod reservoir_life;
mod reservoir_low_temperature;
mod reservoir_reverse_voltage;
mod reservoir_ripple_current;
mod reservoir_surge_voltage;
mod reservoir_voltage;
mod resistor_power;
mod resistor_tolerance;
mod resistor_voltage;
mod section_resistor_short;
mod sink_air;
mod sink_temperature;
mod stored_energy;
mod transformer_ambient;
mod transformer_copper_loss;
mod transformer_dc_magnetisation;
mod transformer_flux;
mod transformer_insulation;
mod transformer_overload_temperature;
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
    choke_rms_current::RULE,
    choke_peak_current::RULE,
    choke_winding_temperature::RULE,
    choke_continuity::RULE,
    reservoir_voltage::RULE,
    reservoir_reverse_voltage::RULE,
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
    regulator_input_capacitor::RULE,
    regulator_output_capacitor::RULE,
    regulator_reverse_diode::RULE,
    output_clamp::RULE,
    // Pass transistors.
    pass_operating_area::RULE,
    pass_junction_temperature::RULE,
    pass_sharing::RULE,
    pass_collector_voltage::RULE,
    pass_collector_current::RULE,
    pass_base_current::RULE,
    // Sinks and resistors.
    sink_temperature::RULE,
    sink_air::RULE,
    resistor_power::RULE,
    resistor_voltage::RULE,
    resistor_tolerance::RULE,
    // Fuses, faults, limiter.
    fuse_steady_current::RULE,
    fuse_rating::RULE,
    fuse_voltage::RULE,
    fuse_breaking_capacity::RULE,
    fuse_inrush::RULE,
    fuse_clears_short::RULE,
    fuse_clears_diode::RULE,
    rectifier_fault_i2t::RULE,
    overload_protection::RULE,
    section_resistor_short::RULE,
    transformer_overload_temperature::RULE,
    cut_out_margin::RULE,
    inrush_energy::RULE,
    inrush_steady_current::RULE,
    inrush_hot_restart::RULE,
    // Bleeder.
    bleeder_discharge_time::RULE,
    bleeder_power::RULE,
    // Whole.
    stored_energy::RULE,
    output_extra_low_voltage::RULE,
    grid_harmonic::RULE,
];
