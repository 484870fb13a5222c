//! The capacitances between which a source and a rectifier can work at all, and the least they then ask of everything else.
//!
//! Rests on the measured order of figures along capacitance and ESR (`DEVELOPERS.md`, "Bounds"): more capacitance and less
//! ESR raise turn-on voltage, mean and all currents.

use crate::{
    candidate::bank::BankOption,
    circuit::{
        operate::operate,
        supply::{Bank, Span, Supply},
    },
};

use super::vertices::{CURRENT, DISSIPATION, HEAT, VALLEY_COLD};

/// What all banks that a source may take have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limits {
    /// Least product of capacitance and ESR at the cold valley, Ω·F.
    valley_seconds: f64,
    /// Greatest product of capacitance and ESR where currents are greatest, Ω·F.
    current_seconds: f64,
    /// Least ratio of a bank's greatest capacitance to its least at the cold valley.
    spread: f64,
    /// Least and greatest capacitance at the cold valley, F.
    farad: (f64, f64),
}

/// What a source and a rectifier ask with the least capacitance that holds the valley.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Least {
    /// Least capacitance at the cold valley, F.
    pub(super) farad: f64,
    /// Least rms current of the path, A.
    pub(super) path_rms_a: f64,
    /// Least rms ripple current of the bank, A.
    pub(super) bank_rms_a: f64,
    /// Least winding temperature, °C.
    pub(super) winding_c: f64,
    /// Least mean reservoir voltage where the regulator is hottest, V.
    pub(super) mean_v: f64,
}

/// What a bound may be off by, because temperatures follow from currents: relative.
const MARGIN: f64 = 0.002;
/// Halvings of the capacitance interval: leaves a thousandth of a decade.
const HALVINGS: u32 = 12;

impl Limits {
    /// Over some banks; `None` where there is none.
    pub(super) fn of(banks: &[&BankOption<'_>]) -> Option<Self> {
        banks.first()?;
        let start = Self {
            valley_seconds: f64::INFINITY,
            current_seconds: 0.0,
            spread: f64::INFINITY,
            farad: (f64::INFINITY, 0.0),
        };
        Some(banks.iter().fold(start, |so_far, option| {
            let bank = &option.bank;
            let low = bank.farad.low * bank.farad_cold_ratio;
            Self {
                valley_seconds: so_far.valley_seconds.min(low * bank.esr_ohm.high * bank.esr_cold_ratio),
                // Hot and cold: the greater ESR of the two is the cold one.
                current_seconds: so_far
                    .current_seconds
                    .max(bank.farad.high * bank.esr_ohm.low * bank.esr_cold_ratio),
                spread: so_far.spread.min(bank.farad.high * bank.farad_cold_ratio / low),
                farad: (so_far.farad.0.min(low), so_far.farad.1.max(low)),
            }
        }))
    }

    /// A bank of a capacitance at the cold valley, with the least ESR any has there.
    fn valley_bank(&self, farad: f64) -> Bank {
        flat(farad, self.valley_seconds / farad)
    }

    /// The least bank of them where currents are greatest, with the greatest ESR any has there.
    fn current_bank(&self, farad: f64) -> Bank {
        let high = farad * self.spread;
        flat(high, self.current_seconds / high)
    }

    /// What is asked at the least; `None` where even the greatest capacitance leaves the valley below the need.
    ///
    /// `calm` is the supply with the drop and slope that lower its currents most; `supply` with those that lift its valley.
    /// `warm_a` is the greatest that anything behind the source draws beside the least load: it lowers the mean.
    pub(super) fn least(&self, supply: &Supply, calm: &Supply, need_v: f64, warm_a: f64) -> Option<Least> {
        let holds = |farad: f64| {
            let tried = Supply { bank: self.valley_bank(farad), ..*supply };
            operate(&tried, VALLEY_COLD).is_ok_and(|point| point.turn_on_v >= need_v * (1.0 - MARGIN))
        };
        let (mut low, mut high) = self.farad;
        if !holds(high) {
            return None;
        }
        if holds(low) {
            high = low;
        }
        for _ in 0..HALVINGS {
            if high <= low * (1.0 + MARGIN) {
                break;
            }
            let middle = (low * high).sqrt();
            if holds(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        let tried = Supply { bank: self.current_bank(low), ..*calm };
        let current = operate(&tried, CURRENT).ok()?;
        let heat = operate(&tried, HEAT).ok()?;
        let laden = Span { high: calm.load_a.high + warm_a, ..calm.load_a };
        // Where the reservoir cannot hold that much at all, nothing is known of its mean.
        let warm_v =
            operate(&Supply { load_a: laden, ..tried }, DISSIPATION).map_or(0.0, |point| point.mean_v);
        let rise = heat.winding_c - heat.air_c;
        Some(Least {
            farad: low * (1.0 - MARGIN),
            path_rms_a: current.path_rms_a * (1.0 - MARGIN),
            bank_rms_a: current.bank_rms_a * (1.0 - MARGIN),
            winding_c: heat.air_c + rise * (1.0 - 4.0 * MARGIN),
            mean_v: warm_v * (1.0 - MARGIN),
        })
    }
}

/// A bank alike at all its ends and temperatures.
fn flat(farad: f64, esr_ohm: f64) -> Bank {
    Bank {
        farad: Span { low: farad, nominal: farad, high: farad },
        esr_ohm: Span { low: esr_ohm, nominal: esr_ohm, high: esr_ohm },
        esr_cold_ratio: 1.0,
        farad_cold_ratio: 1.0,
    }
}
