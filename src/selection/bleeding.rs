//! Bleeders of a bank, cheapest first.

use crate::{
    candidate::{bank::BankOption, shop::Priced},
    catalog::ResistorSeries,
    circuit::spec::Topology,
    quantity::{Farads, Ohms, Volts},
    stress::{
        assembly::{Reservoir, ResistorChoice},
        bench::{discharged_farad, left_of},
        convert::air_of,
        resistor::{choose_bleeder, choose_bleeder_of_two, least_ohm, power_rating},
        verdict::EQUALITY,
    },
};

use super::{around::stands_in, search::Search};

/// One way to discharge a bank.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bleeding<'a> {
    /// The resistor; `None` where none is needed.
    pub(super) choice: Option<ResistorChoice<'a>>,
    pub(super) score: f64,
    /// Greatest current, A.
    pub(super) amps: f64,
}

/// Greatest capacitance that a bleeder across the output of a topology discharges, F.
fn most_farad(reservoir: &Reservoir<'_>, topology: Topology) -> f64 {
    let part = reservoir.part;
    discharged_farad(
        topology,
        part.capacitance.0 * f64::from(reservoir.count) * (1.0 + part.tolerance_plus.0),
    )
}

impl<'a> Search<'_, 'a> {
    /// Greatest current that a bleeder of any of some banks may draw, A: least value of any series where it has one at all.
    pub(super) fn most_bleeder_a(&self, banks: &[&BankOption<'a>], peak_v: f64) -> f64 {
        if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
            return 0.0;
        }
        let farad = banks.iter().map(|bank| most_farad(&bank.reservoir, self.topology)).fold(0.0, f64::max);
        let drawn = |series: &Priced<'a, ResistorSeries>| {
            let least = ResistorChoice { series: series.part, value: series.part.from };
            let choice = choose_bleeder(self.asked, series.part, Farads(farad), Volts(peak_v));
            peak_v / least_ohm(self.asked, choice.unwrap_or(least))
        };
        self.shop.resistors.iter().map(drawn).fold(0.0, f64::max)
    }

    /// Every bleeder that discharges the bank, cheapest first; one without a resistor where none is needed.
    pub(super) fn bleeders(&self, reservoir: &Reservoir<'a>, peak_v: f64) -> Vec<Bleeding<'a>> {
        self.bleeders_by((reservoir, None), (Ohms(0.0), Volts(peak_v)))
    }

    /// The same of a bank and a second one behind a resistance.
    pub(super) fn bleeders_by(
        &self,
        (first, second): (&Reservoir<'a>, Option<&Reservoir<'a>>),
        (between, peak): (Ohms, Volts),
    ) -> Vec<Bleeding<'a>> {
        if peak.0 <= self.asked.policy.parameters.discharge_voltage.0 {
            return vec![Bleeding { choice: None, score: 0.0, amps: 0.0 }];
        }
        let farad = |bank| Farads(most_farad(bank, self.topology));
        let air = air_of(self.asked);
        self.shop
            .resistors
            .iter()
            .filter(|series| stands_in(&air, series.common))
            .filter(|series| {
                let limit_v = left_of(self.asked.policy, "resistor-voltage", series.part.voltage_max.0);
                peak.0 <= limit_v * (1.0 + EQUALITY)
            })
            .filter_map(|series| {
                let choice = match second {
                    None => choose_bleeder(self.asked, series.part, farad(first), peak),
                    Some(second) => {
                        let banks = (farad(first), farad(second));
                        choose_bleeder_of_two(self.asked, series.part, banks, between, peak)
                    }
                }?;
                let amps = peak.0 / least_ohm(self.asked, choice);
                let limit_w =
                    left_of(self.asked.policy, "bleeder-power", power_rating(self.asked, series.part));
                let bleeding = Bleeding { choice: Some(choice), score: series.score(1), amps };
                (peak.0 * amps <= limit_w * (1.0 + EQUALITY)).then_some(bleeding)
            })
            .collect()
    }
}
