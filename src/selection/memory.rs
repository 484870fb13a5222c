//! What failed behind one source: whatever is worse in every respect is not solved again.
//!
//! Knows no part. The order of candidates along each element is measured, not proven: see `DEVELOPERS.md`, "Bounds".

use crate::{circuit::supply::Bank, physics::diode::Line};

/// A failure is remembered only where it misses by this much, so that what is left out of the order of two candidates
/// (temperatures that follow from the currents) cannot turn it into a pass.
pub(super) const MEMORY_MARGIN: f64 = 1.02;
/// The same in the cold state, where no temperature follows from a current: what is left is how far a valley with ESR is from
/// the turn-on voltage.
pub(super) const COLD_MARGIN: f64 = 1.002;
/// Failures remembered of each kind.
const MEMORY_MAX: usize = 24;

/// A bank behind a rectifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) farad: f64,
    pub(super) esr_ohm: f64,
    pub(super) threshold_v: f64,
    pub(super) slope_ohm: f64,
    pub(super) load_a: f64,
}

/// What failed behind one source. The order of candidates along each element is measured, not proven: see `DEVELOPERS.md`,
/// "Bounds"; the test against the plain search holds it to account.
#[derive(Clone, Debug, Default)]
pub(super) struct Memory {
    /// Turn-on voltage below this need: less capacitance, more ESR, drop and load fail too.
    pub(super) valley: Vec<(Place, f64)>,
    /// Winding current too great: more capacitance, less ESR and slope, more load fail too.
    pub(super) current: Vec<Place>,
    /// Regulator too hot, by stage: more capacitance, less ESR and drop fail too.
    pub(super) heat: Vec<(Place, f64)>,
    /// Rectifier worked too hard, the present one: more capacitance, less ESR, more load fail too.
    pub(super) rectifier: Vec<Place>,
    /// Whether the bank last looked at fails whatever the stage.
    pub(super) bank_dead: bool,
    /// Headroom or output ripple failed behind the present rectifier, by stage: less capacitance, more ESR fail too.
    pub(super) sag: Vec<(Place, f64)>,
}

/// Where a train is worked hardest, and where its reservoir sags most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Places {
    pub(super) low: Place,
    pub(super) high: Place,
    pub(super) stage_key: f64,
    /// Least score of what follows rectifier, bank and stage and what stands around it.
    pub(super) rest: f64,
    /// Greatest current of a diode, A.
    pub(super) peak_a: f64,
    /// Least heat of one rectifier package where it is hottest, W, and average current of one element there, A.
    pub(super) rectifier_w: f64,
    pub(super) average_a: f64,
}

/// Stresses that grow as the reservoir sags.
const OF_SAG: [&str; 2] = ["regulator-headroom", "regulator-output-ripple"];

/// Stresses of the transformer that grow with its current.
const OF_TRANSFORMER: [&str; 4] = [
    "transformer-secondary-current",
    "transformer-primary-current",
    "transformer-copper-loss",
    "transformer-winding-temperature",
];
/// Stresses of the rectifier that grow with its current, however it is cooled.
const OF_RECTIFIER: [&str; 4] =
    ["rectifier-rms-current", "rectifier-repetitive-peak", "rectifier-surge-current", "rectifier-surge-i2t"];
/// Stresses of the rectifier that grow with its current and fall with its cooling.
const OF_JUNCTION: [&str; 2] = ["rectifier-average-current", "rectifier-junction-temperature"];

impl Memory {
    /// Whether a bank fails whatever the stage: its places are those of the least load, `need_v` the least need.
    pub(super) fn refuses(&self, (low, high): (Place, Place), need_v: f64) -> bool {
        let worked = |failed: &Place| high.more_current(failed);
        self.valley.iter().any(|failed| valley_follows(&(low, need_v), failed))
            || self.current.iter().any(worked)
            || self.rectifier.iter().any(worked)
    }

    /// Forgets what concerned the rectifier before.
    pub(super) fn next_rectifier(&mut self) {
        self.rectifier.clear();
        self.sag.clear();
    }

    /// Keeps what a train with a bleeder of some current fell by, if it says something of others; `coolest` where no cooling
    /// of the rectifier leaves it cooler.
    pub(super) fn learn(
        &mut self,
        places: Places,
        bleeder_a: f64,
        coolest: bool,
        code: &str,
        utilisation: f64,
    ) {
        if utilisation < MEMORY_MARGIN {
            return;
        }
        // Others are compared without their bleeder, which only adds to their load.
        let laden = |place: Place| Place { load_a: place.load_a + bleeder_a, ..place };
        let (low, high, stage_key) = (laden(places.low), laden(places.high), places.stage_key);
        if OF_TRANSFORMER.contains(&code) {
            remember(&mut self.current, high, Place::more_current);
        } else if OF_RECTIFIER.contains(&code) || (coolest && OF_JUNCTION.contains(&code)) {
            remember(&mut self.rectifier, high, Place::more_current);
        } else if OF_SAG.contains(&code) {
            remember(&mut self.sag, (low, stage_key), sag_follows);
        }
    }
}

impl Place {
    /// Where a bank behind a cold rectifier sags most, and where it draws most.
    pub(super) fn both(bank: &Bank, line: Line, load_a: f64) -> (Self, Self) {
        let (threshold_v, slope_ohm) = (line.threshold.0, line.slope.0);
        let at = |farad: f64, esr_ohm: f64| Self {
            farad: farad * bank.farad_cold_ratio,
            esr_ohm: esr_ohm * bank.esr_cold_ratio,
            threshold_v,
            slope_ohm,
            load_a,
        };
        (at(bank.farad.low, bank.esr_ohm.high), at(bank.farad.high, bank.esr_ohm.low))
    }

    pub(super) fn lower_valley(&self, than: &Self) -> bool {
        self.farad <= than.farad
            && self.esr_ohm >= than.esr_ohm
            && self.threshold_v >= than.threshold_v
            && self.slope_ohm >= than.slope_ohm
            && self.load_a >= than.load_a
    }

    pub(super) fn more_current(&self, than: &Self) -> bool {
        self.farad >= than.farad
            && self.esr_ohm <= than.esr_ohm
            && self.slope_ohm <= than.slope_ohm
            && self.load_a >= than.load_a
    }

    pub(super) fn higher_mean(&self, than: &Self) -> bool {
        self.farad >= than.farad
            && self.esr_ohm <= than.esr_ohm
            && self.threshold_v <= than.threshold_v
            && self.slope_ohm <= than.slope_ohm
            && self.load_a <= than.load_a * LOAD_SLACK
    }
}

/// What a load may be above another and still not lower the mean as far as [`MEMORY_MARGIN`] reaches: bleeders of different
/// banks differ.
const LOAD_SLACK: f64 = 1.002;

/// Keeps a failure, and forgets those that follow from it; a full memory forgets the oldest.
pub(super) fn remember<T>(list: &mut Vec<T>, item: T, follows: impl Fn(&T, &T) -> bool) {
    list.retain(|known| !follows(known, &item));
    if list.len() >= MEMORY_MAX {
        list.remove(0);
    }
    list.push(item);
}

/// Whether a valley failure follows from another.
pub(super) fn valley_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1 >= from.1 && one.0.lower_valley(&from.0)
}

/// Whether a failure by sag follows from another of the same stage.
pub(super) fn sag_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1.total_cmp(&from.1).is_eq() && one.0.lower_valley(&from.0)
}

/// Whether a failure of heat follows from another of the same stage.
pub(super) fn heat_follows(one: &(Place, f64), from: &(Place, f64)) -> bool {
    one.1.total_cmp(&from.1).is_eq() && one.0.higher_mean(&from.0)
}
