//! The requirements that can be relaxed one at a time, and a copy with one of them changed.
//!
//! Does not know whether a relaxed requirement can be met.

use super::Requirement;
use crate::quantity::{Amps, Celsius, Hours, Quantity, Ratio, Volts};

/// One number of the requirement that may be relaxed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Knob {
    /// How far the mains may fall.
    MainsLow,
    /// How far the mains may rise.
    MainsHigh,
    /// Greatest room temperature.
    AmbientMax,
    /// Least life of the reservoirs.
    Life,
    /// Output tolerance of the rail of this index.
    Tolerance(usize),
    /// Ripple of the rail of this index.
    Ripple(usize),
    /// Greatest continuous current of the rail of this index; its peak load, if any, is scaled with it.
    Current(usize),
}

/// Greatest output tolerance that is tried: beyond it the output is hardly the voltage that was asked for.
const TOLERANCE_MAX: f64 = 0.25;

impl Requirement {
    /// Everything that can be relaxed, in a fixed order.
    pub fn knobs(&self) -> Vec<Knob> {
        let mut knobs = vec![Knob::MainsLow, Knob::MainsHigh, Knob::AmbientMax, Knob::Life];
        let of_rail = |rail| [Knob::Tolerance(rail), Knob::Ripple(rail), Knob::Current(rail)];
        knobs.extend((0..self.rails.len()).flat_map(of_rail));
        knobs
    }

    /// Dotted key of the knob in the file.
    pub fn knob_key(&self, knob: Knob) -> String {
        let rail = |index: usize| self.rails.get(index).map_or("?", |rail| rail.name.as_str());
        match knob {
            Knob::MainsLow => "mains.tolerance.low".to_owned(),
            Knob::MainsHigh => "mains.tolerance.high".to_owned(),
            Knob::AmbientMax => "ambient.max".to_owned(),
            Knob::Life => "life".to_owned(),
            Knob::Tolerance(index) => format!("rails.{}.tolerance", rail(index)),
            Knob::Ripple(index) => format!("rails.{}.ripple_pp", rail(index)),
            Knob::Current(index) => format!("rails.{}.current.max", rail(index)),
        }
    }

    /// What the requirement asks, in SI units (lives in hours, temperatures in degrees Celsius).
    pub fn asked(&self, knob: Knob) -> f64 {
        let rail = |index: usize| self.rails.get(index);
        match knob {
            Knob::MainsLow => self.mains.low.0,
            Knob::MainsHigh => self.mains.high.0,
            Knob::AmbientMax => self.ambient.max.0,
            Knob::Life => self.life.0,
            Knob::Tolerance(index) => rail(index).map_or(0.0, |rail| rail.tolerance.0),
            Knob::Ripple(index) => rail(index).map_or(0.0, |rail| rail.ripple.0.0),
            Knob::Current(index) => rail(index).map_or(0.0, |rail| rail.current_max.0),
        }
    }

    /// The slackest value that still means something: no tolerance of the mains, the least ambient, no life, a
    /// quarter of the output voltage, a ripple of the whole tolerance band, the least current.
    pub fn slackest(&self, knob: Knob) -> f64 {
        let rail = |index: usize| self.rails.get(index);
        match knob {
            Knob::MainsLow | Knob::MainsHigh | Knob::Life => 0.0,
            Knob::AmbientMax => self.ambient.min.0,
            Knob::Tolerance(_) => TOLERANCE_MAX.max(self.asked(knob)),
            Knob::Ripple(index) => {
                let band = rail(index).map_or(0.0, |rail| 2.0 * rail.tolerance.0 * rail.voltage.0);
                band.max(self.asked(knob))
            }
            Knob::Current(index) => rail(index).map_or(0.0, |rail| rail.current_min.0),
        }
    }

    /// A value of the knob as it would be written in the file.
    pub fn knob_text(&self, knob: Knob, value: f64) -> String {
        const DIGITS: usize = 3;
        match knob {
            Knob::MainsLow => Ratio(-value).to_text(DIGITS),
            Knob::MainsHigh | Knob::Tolerance(_) => Ratio(value).to_text(DIGITS),
            Knob::AmbientMax => Celsius(value).to_text(DIGITS),
            Knob::Life => Hours(value).to_text(DIGITS),
            Knob::Ripple(_) => Volts(value).to_text(DIGITS),
            Knob::Current(_) => Amps(value).to_text(DIGITS),
        }
    }

    /// A copy with one knob set to a value between [`slackest`](Self::slackest) and [`asked`](Self::asked).
    #[must_use]
    pub fn with(&self, knob: Knob, value: f64) -> Self {
        let mut copy = self.clone();
        match knob {
            Knob::MainsLow => copy.mains.low = Ratio(value),
            Knob::MainsHigh => copy.mains.high = Ratio(value),
            Knob::AmbientMax => {
                copy.ambient.max = Celsius(value);
                copy.ambient.nominal = copy.ambient.nominal.min(copy.ambient.max);
                for part in &mut copy.profile {
                    part.ambient = part.ambient.min(copy.ambient.max);
                }
            }
            Knob::Life => copy.life = Hours(value),
            Knob::Tolerance(index) => {
                if let Some(rail) = copy.rails.get_mut(index) {
                    rail.tolerance = Ratio(value);
                }
            }
            Knob::Ripple(index) => {
                if let Some(rail) = copy.rails.get_mut(index) {
                    rail.ripple.0 = Volts(value);
                }
            }
            Knob::Current(index) => {
                if let Some(rail) = copy.rails.get_mut(index) {
                    // The current asked for is at least 1 mA, so that the share is finite.
                    let share = value / rail.current_max.0;
                    rail.current_max = Amps(value);
                    if let Some(peak) = &mut rail.peak {
                        peak.current = peak.current * share;
                    }
                }
            }
        }
        copy
    }
}
