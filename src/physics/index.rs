//! Every printed formula, in the order in which a reader meets them.
//!
//! Holds no law; exists so that the report can list the formulas and a test can look at all of them.

use super::formula::Formula;
use super::{
    bleeder, choke, copper, diode, duty, filter, fuse, grid, heat, inrush, junction, mains, parts_count,
    pass, regulator, reliability, reservoir, resistor, rule_of_thumb, textbook, transformer,
};

/// All formulas.
pub const FORMULAS: &[&Formula] = &[
    &mains::MAINS_CORNER,
    &mains::MAINS_PEAK,
    &copper::COPPER_RESISTANCE,
    &transformer::resistance::COPPER_LOSS_RATED,
    &transformer::resistance::SECONDARY_RESISTANCE,
    &transformer::resistance::PRIMARY_RESISTANCE,
    &transformer::resistance::REFERRED_RESISTANCE,
    &transformer::resistance::OPEN_EMF,
    &transformer::wiring::SINGLE,
    &transformer::wiring::SERIES,
    &transformer::wiring::PARALLEL,
    &transformer::wiring::CENTRE_TAP,
    &transformer::wiring::COMPLEMENTARY,
    &transformer::core::CORE_LOSS,
    &transformer::core::RELATIVE_FLUX,
    &transformer::core::NO_LOAD_CURRENT,
    &transformer::core::DC_MAGNETISATION,
    &transformer::current::PRIMARY_CURRENT,
    &transformer::current::PRIMARY_RATING,
    &transformer::current::UTILISATION,
    &transformer::current::COPPER_LOSS,
    &transformer::temperature::WINDING_TEMPERATURE,
    &diode::DIODE_LINE,
    &diode::DIODE_LOSS,
    &diode::SURGE_INTEGRAL,
    &junction::JUNCTION_FIXED_POINT,
    &duty::PEAK_WEIGHT,
    &duty::HEATING_CURRENT,
    &reservoir::corner::CAPACITANCE_CORNER,
    &reservoir::corner::ESR_CORNER,
    &reservoir::corner::ESR_FROM_LOSS,
    &reservoir::corner::HOLD_UP,
    &reservoir::ripple::RIPPLE_EQUIVALENT,
    &reservoir::ripple::CORE_RISE,
    &reservoir::ripple::BANK_SHARE,
    &reservoir::life::LIFE_WITH_RIPPLE,
    &reservoir::life::LIFE_WITHOUT_RIPPLE,
    &reservoir::life::MISSION_LIFE,
    &filter::CRITICAL_INDUCTANCE,
    &filter::CRITICAL_CURRENT,
    &choke::LEAST_CURRENT,
    &choke::SWITCH_ON_CREST,
    &filter::LC_RIPPLE,
    &filter::RC_RIPPLE,
    &filter::SECTION_DROP,
    &filter::SECTION_HEAT,
    &regulator::dropout::HEADROOM,
    &regulator::dropout::DROPOUT_INTERPOLATION,
    &regulator::accuracy::ADJUSTABLE_OUTPUT,
    &regulator::accuracy::ACCURACY_SUM,
    &regulator::set_resistors::R1_MAX,
    &regulator::set_resistors::R2_BALANCED,
    &regulator::rejection::OUTPUT_RIPPLE,
    &regulator::rejection::REJECTION_NEAR_DROPOUT,
    &regulator::heat::REGULATOR_DISSIPATION,
    &regulator::heat::SHORT_DISSIPATION,
    &regulator::heat::REGULATOR_EFFICIENCY,
    &regulator::foldback::START_MARGIN,
    &regulator::foldback::FOLDBACK_SHORT,
    &pass::DRIVE_VOLTAGE,
    &pass::REGULATOR_SHARE,
    &pass::SENSED_LIMIT,
    &pass::AREA_DERATING,
    &pass::SHARING,
    &heat::JUNCTION_CHAIN,
    &heat::SINK_RESISTANCE,
    &heat::SINK_RISE,
    &heat::ALTITUDE_FACTOR,
    &heat::REQUIRED_SINK,
    &fuse::FUSE_RERATED,
    &fuse::FUSE_PULSE,
    &fuse::BREAKING_CAPACITY,
    &inrush::CORE_INRUSH_BOUND,
    &inrush::NTC_CAPACITANCE,
    &inrush::DECAY_INTEGRAL,
    &inrush::CORE_INRUSH_MULTIPLE,
    &resistor::RESISTOR_POWER_RATING,
    &resistor::RESISTOR_VOLTAGE_RATING,
    &bleeder::DISCHARGE_TIME,
    &bleeder::DISCHARGE_TIME_OF_TWO,
    &bleeder::BLEEDER_RESISTANCE,
    &bleeder::BLEEDER_POWER,
    &bleeder::STORED_ENERGY,
    &grid::CLASS_A,
    &grid::POWER_FACTOR,
    &textbook::FORM_FACTOR,
    &textbook::RIPPLE_FACTOR,
    &textbook::EFFICIENCY,
    &textbook::UTILISATION_FACTOR,
    &rule_of_thumb::RIPPLE_PP,
    &rule_of_thumb::MEAN_OUTPUT,
    &rule_of_thumb::RIPPLE_RMS,
    &rule_of_thumb::DIODE_PEAK,
    &rule_of_thumb::WINDING_RMS,
    &rule_of_thumb::RATING,
    &reliability::DIODE_RATE,
    &reliability::TRANSISTOR_RATE,
    &reliability::CAPACITOR_RATE,
    &reliability::CIRCUIT_RATE,
    &parts_count::PARTS_COUNT,
];

/// The formula with an id.
pub fn by_id(id: &str) -> Option<&'static Formula> {
    FORMULAS.iter().copied().find(|formula| formula.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Words of a formula that are operators, not symbols.
    const FUNCTIONS: [&str; 6] = ["ln", "exp", "min", "max", "Σ", "√"];

    #[test]
    fn every_word_of_a_formula_is_one_of_its_symbols_and_every_symbol_is_used() {
        for formula in FORMULAS {
            let words: Vec<&str> =
                formula.words().into_iter().filter(|word| !FUNCTIONS.contains(word)).collect();
            for word in &words {
                assert!(formula.symbols.iter().any(|s| s.name == *word), "{}: `{word}`", formula.id);
            }
            for symbol in formula.symbols {
                assert!(words.contains(&symbol.name), "{}: `{}` unused", formula.id, symbol.name);
            }
        }
    }

    #[test]
    fn every_formula_has_its_own_id_a_domain_and_meanings() {
        let ids: BTreeSet<&str> = FORMULAS.iter().map(|formula| formula.id).collect();
        assert_eq!(ids.len(), FORMULAS.len());
        for formula in FORMULAS {
            assert!(!formula.domain.is_empty() && !formula.symbol.is_empty());
            assert!(formula.symbols.iter().all(|symbol| !symbol.meaning.is_empty()), "{}", formula.id);
            assert_eq!(by_id(formula.id), Some(*formula));
        }
    }

    /// A formula that no list names is one that no reader meets.
    #[test]
    fn the_index_lists_every_formula_of_the_storey() {
        let sources = [
            include_str!("bleeder.rs"),
            include_str!("choke.rs"),
            include_str!("copper.rs"),
            include_str!("diode.rs"),
            include_str!("duty.rs"),
            include_str!("filter.rs"),
            include_str!("fuse.rs"),
            include_str!("grid.rs"),
            include_str!("heat.rs"),
            include_str!("inrush.rs"),
            include_str!("junction.rs"),
            include_str!("mains.rs"),
            include_str!("parts_count.rs"),
            include_str!("pass.rs"),
            include_str!("regulator/accuracy.rs"),
            include_str!("regulator/dropout.rs"),
            include_str!("regulator/foldback.rs"),
            include_str!("regulator/heat.rs"),
            include_str!("regulator/rejection.rs"),
            include_str!("regulator/set_resistors.rs"),
            include_str!("reliability.rs"),
            include_str!("reservoir/corner.rs"),
            include_str!("reservoir/life.rs"),
            include_str!("reservoir/ripple.rs"),
            include_str!("resistor.rs"),
            include_str!("rule_of_thumb.rs"),
            include_str!("textbook.rs"),
            include_str!("transformer/core.rs"),
            include_str!("transformer/current.rs"),
            include_str!("transformer/resistance.rs"),
            include_str!("transformer/temperature.rs"),
            include_str!("transformer/wiring.rs"),
        ];
        let declared: usize = sources.iter().map(|text| text.matches(": Formula =").count()).sum();
        assert_eq!(declared, FORMULAS.len());
    }
}
