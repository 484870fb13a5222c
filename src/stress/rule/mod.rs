//! One file a rule, and in it the rule's page.

mod reservoir_ripple_current;
mod transformer_primary_voltage;

use super::registry::Rule;

/// Every rule, in the order in which reports list them.
pub(super) const ALL: &[Rule] = &[transformer_primary_voltage::RULE, reservoir_ripple_current::RULE];
