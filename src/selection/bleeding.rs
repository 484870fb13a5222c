//! Bleeders of a bank, cheapest first.

use crate::{
    quantity::{Farads, Volts},
    stress::{
        assembly::{Reservoir, ResistorChoice},
        bench::left_of,
        resistor::{choose_bleeder, least_ohm, power_rating},
        verdict::EQUALITY,
    },
};

use super::search::Search;

impl<'a> Search<'_, 'a> {
    /// Every bleeder that discharges the bank, cheapest first; one `None` where none is needed.
    pub(super) fn bleeders(
        &self,
        reservoir: &Reservoir<'a>,
        peak_v: f64,
    ) -> Vec<(Option<ResistorChoice<'a>>, f64)> {
        if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
            return vec![(None, 0.0)];
        }
        let part = reservoir.part;
        let farad = part.capacitance.0 * f64::from(reservoir.count) * (1.0 + part.tolerance_plus.0);
        self.shop
            .resistors
            .iter()
            .filter_map(|series| {
                let choice = choose_bleeder(self.asked, series.part, Farads(farad), Volts(peak_v))?;
                let heat_w = peak_v * peak_v / least_ohm(self.asked, choice);
                let limit_w =
                    left_of(self.asked.policy, "bleeder-power", power_rating(self.asked, series.part));
                (heat_w <= limit_w * (1.0 + EQUALITY)).then_some((Some(choice), series.score(1)))
            })
            .collect()
    }
}
