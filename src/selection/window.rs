//! The capacitances between which a source and a rectifier can work at all, and the least they then ask of everything else.
//!
//! Rests on the measured order of figures along capacitance and ESR (`DEVELOPERS.md`, "Bounds"): more capacitance and less
//! ESR raise turn-on voltage, mean and all currents.

use crate::{
    candidate::bank::BankOption,
    circuit::supply::{Bank, Body, Span, Supply},
};

use super::vertices::{CURRENT, DISSIPATION, HEAT, VALLEY_COLD, at};

/// What all banks that a source may take have in common.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Limits {
    /// Least product of capacitance and ESR at the cold valley, Ω·F.
    valley_seconds: f64,
    /// Greatest product of capacitance and ESR where currents are greatest, Ω·F.
    current_seconds: f64,
    /// Least ratio of a bank's greatest capacitance to its least at the cold valley.
    spread: f64,
    /// Capacitances at the cold valley, F, ascending.
    farads: Vec<f64>,
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

impl Limits {
    /// Over some banks; `None` where there is none.
    pub(super) fn of(banks: &[&BankOption<'_>]) -> Option<Self> {
        banks.first()?;
        let mut farads: Vec<f64> = banks.iter().map(|one| cold_farad(&one.bank)).collect();
        farads.sort_by(f64::total_cmp);
        farads.dedup();
        let start =
            Self { valley_seconds: f64::INFINITY, current_seconds: 0.0, spread: f64::INFINITY, farads };
        Some(banks.iter().fold(start, |so_far, option| {
            let bank = &option.bank;
            let low = cold_farad(bank);
            Self {
                valley_seconds: so_far.valley_seconds.min(low * bank.esr_ohm.high * bank.esr_cold_ratio),
                // Hot and cold: the greater ESR of the two is the cold one.
                current_seconds: so_far
                    .current_seconds
                    .max(bank.farad.high * bank.esr_ohm.low * bank.esr_cold_ratio),
                spread: so_far.spread.min(bank.farad.high * bank.farad_cold_ratio / low),
                ..so_far
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

    /// Least capacitance of any bank that holds the valley, F; `None` where even the greatest leaves it below the need.
    ///
    /// `supply` has the drop and slope that lift its valley; no capacitance below `from` holds it.
    pub(super) fn least_farad(&self, supply: &Supply, need_v: f64, from: f64) -> Option<f64> {
        let holds = |farad: f64| {
            let tried = Supply { bank: self.valley_bank(farad), ..*supply };
            at(&tried, VALLEY_COLD).is_ok_and(|point| point.turn_on_v >= need_v * (1.0 - MARGIN))
        };
        // Mostly the first that is not ruled out or one near it.
        let mut low = self.farads.partition_point(|&farad| farad < from * (1.0 - MARGIN));
        let mut stride = 1;
        let mut high = low;
        while !holds(*self.farads.get(high)?) {
            low = high + 1;
            if low >= self.farads.len() {
                return None;
            }
            high = (high + stride).min(self.farads.len() - 1);
            stride *= 2;
        }
        while low < high {
            let middle = usize::midpoint(low, high);
            if self.farads.get(middle).is_some_and(|&farad| holds(farad)) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        self.farads.get(high).copied()
    }

    /// What is asked at the least by banks of at least a capacitance.
    ///
    /// `calm` is the supply with the drop and slope that lower its currents most. `warm_a` is the greatest that anything
    /// behind the source draws beside the least load: it lowers the mean.
    pub(super) fn least(&self, calm: &Supply, farad: f64, warm_a: f64) -> Option<Least> {
        // What heats is counted at the load that lasts.
        let tried = Supply { bank: self.current_bank(farad), ..calm.lasting(Body::Heavy) };
        let current = at(&tried, CURRENT).ok()?;
        let heat = at(&tried, HEAT).ok()?;
        let laden = tried.load_a.with_more(warm_a);
        // Where the reservoir cannot hold that much at all, nothing is known of its mean.
        let warm_v = at(&Supply { load_a: laden, ..tried }, DISSIPATION).map_or(0.0, |point| point.mean_v);
        let rise = heat.winding_c - heat.air_c;
        Some(Least {
            farad,
            path_rms_a: current.path_rms_a * (1.0 - MARGIN),
            bank_rms_a: current.bank_rms_a * (1.0 - MARGIN),
            winding_c: heat.air_c + rise * (1.0 - 4.0 * MARGIN),
            mean_v: warm_v * (1.0 - MARGIN),
        })
    }
}

/// Least capacitance of a bank at the cold valley, F.
pub(super) fn cold_farad(bank: &Bank) -> f64 {
    bank.farad.low * bank.farad_cold_ratio
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
