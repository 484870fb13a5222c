//! What the heat of a regulator costs: the greatest heat each cooling bears, cheapest first.
//!
//! Knows only the limits of junction, sink and dissipation; every cooling is still judged by the rules.

use crate::{
    candidate::stage::{CoolingOption, StageOption},
    circuit::supply::HeatPath,
    physics::pass::OperatingArea,
    quantity::{Celsius, Volts},
    stress::{
        bench::{Asked, Bench, left_of},
        convert::air_of,
        pass_point::PassNumbers,
        verdict::EQUALITY,
    },
};

/// What each cooling of a stage bears.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Cooler {
    /// Greatest heat of each, in the order of the stage, W.
    bears_w: Vec<f64>,
    /// Score and greatest heat, W, of those that bear more than every cheaper one: both ascending.
    steps: Vec<(f64, f64)>,
    /// Limit of the junction and air, °C.
    junction_c: f64,
    air_c: f64,
}

/// What the solved heat may be above the true one, relative.
const SLACK: f64 = 1e-6;
/// Newton steps; they come from below and stop by themselves.
const STEPS: u32 = 40;

impl Cooler {
    /// Of one stage.
    pub(super) fn of(asked: Asked<'_>, stage: &StageOption<'_>) -> Self {
        let Some(regulation) = &stage.regulation else {
            return Self { steps: vec![(0.0, f64::INFINITY)], junction_c: f64::INFINITY, ..Self::default() };
        };
        let air_c = air_of(asked).hot_c;
        let junction_c =
            left_of(asked.policy, "regulator-junction-temperature", regulation.part.junction_max.0);
        let own_w = regulation
            .part
            .junction_air
            .map_or(f64::INFINITY, |to_air| (regulation.part.junction_max.0 - air_c) / to_air.0);
        let bears_w: Vec<f64> = stage
            .coolings
            .iter()
            .map(|option| {
                let most_w = option
                    .cooling
                    .map_or(own_w, |one| one.sink.power_max.map_or(f64::INFINITY, |watts| watts.0));
                let stated_w = left_of(asked.policy, "regulator-dissipation", most_w) * (1.0 + SLACK);
                bears_w(asked, option, air_c, junction_c).min(stated_w)
            })
            .collect();
        Self { steps: steps(&stage.coolings, &bears_w), bears_w, junction_c, air_c }
    }

    /// The same where a cooling must not have more than some other heat either.
    pub(super) fn with(
        &self,
        coolings: &[CoolingOption<'_>],
        most_w: impl Fn(&CoolingOption<'_>) -> f64,
    ) -> Self {
        let pairs = self.bears_w.iter().zip(coolings);
        let bears_w: Vec<f64> = pairs.map(|(&watts, option)| watts.min(most_w(option))).collect();
        Self { steps: steps(coolings, &bears_w), bears_w, ..*self }
    }

    /// Whether the cooling of a place keeps junction and sink within their limits at a heat.
    pub(super) fn bears(&self, place: usize, heat_w: f64) -> bool {
        self.bears_w.get(place).is_none_or(|&most_w| heat_w <= most_w)
    }

    /// Whether the cooling of a place bears a heat that lasts, that of the peak itself, and that of a regulator beside pass transistors.
    pub(super) fn bears_all(
        &self,
        place: usize,
        option: &CoolingOption<'_>,
        (heat_w, peak_w, own_w): (f64, f64, Option<f64>),
    ) -> bool {
        self.bears(place, heat_w)
            && self.bears_peak(option, (heat_w, peak_w))
            && own_w.is_none_or(|own_w| self.bears_own(option, (heat_w, own_w)))
    }

    /// Whether a cooling keeps the junction of a regulator beside pass transistors within its limit at the heat of all and its own.
    fn bears_own(&self, option: &CoolingOption<'_>, (all_w, own_w): (f64, f64)) -> bool {
        let HeatPath::Sink { to_sink, .. } = option.path else { return true };
        let junction_c = option.bearing.junction_c(all_w, self.air_c) + to_sink * own_w;
        junction_c <= self.junction_c * (1.0 + SLACK)
    }

    /// Whether a cooling keeps the junction within its limit at the heat that lasts and that of the peak itself.
    fn bears_peak(&self, option: &CoolingOption<'_>, (lasting_w, peak_w): (f64, f64)) -> bool {
        peak_w <= lasting_w
            || junction_at_least_c(&option.bearing, (lasting_w, peak_w), self.air_c)
                <= self.junction_c * (1.0 + SLACK)
    }

    /// Least score of whatever bears a heat; infinite where nothing does.
    pub(super) fn least_score(&self, heat_w: f64) -> f64 {
        self.steps.iter().find(|step| step.1 >= heat_w).map_or(f64::INFINITY, |step| step.0)
    }

    /// Greatest heat that anything bears, W.
    pub(super) fn most_w(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.1)
    }
}

/// Score and greatest heat of those that bear more than every cheaper one.
fn steps(coolings: &[CoolingOption<'_>], bears_w: &[f64]) -> Vec<(f64, f64)> {
    let mut steps: Vec<(f64, f64)> = Vec::new();
    for (option, &bears_w) in coolings.iter().zip(bears_w) {
        if steps.last().is_none_or(|last| bears_w > last.1) {
            steps.push((option.score, bears_w));
        }
    }
    steps
}

/// Greatest heat of pass transistors and regulator with which the short of one transistor stays inside its operating area on a
/// cooling, a hair generous, W; `None` where the stage has none or states none.
///
/// The case of the shorted one stands on the sink of all: `T_air + ΔT_sink(P) + R_cs V I`, and what the area allows falls with it.
pub(super) fn short_bears_w<'b>(bench: &'b Bench<'_>) -> Option<impl Fn(&CoolingOption<'_>) -> f64 + 'b> {
    const CODE: &str = "pass-operating-area";
    let pass = bench.assembly.regulation.as_ref()?.pass.as_ref()?;
    let area =
        OperatingArea::new(&pass.part.operating_area, pass.part.area_case, pass.part.junction_max).ok()?;
    let (volts, amps) = (bench.no_load_peak_v(), PassNumbers::of(bench.asked, pass).limit_each_a());
    let hot_c = bench.supply.air.hot_c;
    let holds = |case_c: f64| {
        let allowed = area.current_at(Volts(volts), Celsius(case_c)).map_or(0.0, |allowed| allowed.0);
        amps <= left_of(bench.asked.policy, CODE, allowed) * (1.0 + EQUALITY)
    };
    // From the warmest case that does not hold downward: what is left between both ends counts as holding.
    let (mut cool, mut warm) = (hot_c, pass.part.junction_max.0);
    for _ in 0..STEPS {
        let middle = 0.5 * (cool + warm);
        if holds(middle) { cool = middle } else { warm = middle }
    }
    let room_k = warm - hot_c;
    Some(move |option: &CoolingOption<'_>| {
        let HeatPath::Sink { sink, rise_k, exponent, .. } = option.bearing else { return f64::INFINITY };
        let package = &pass.part.common.package;
        let to_case = option.cooling.and_then(|one| one.pad.resistance.get(package)).map_or(0.0, |one| one.0);
        let left_k = (room_k - to_case * volts * amps).max(0.0);
        left_k.powf(1.0 + exponent) / (sink * rise_k.powf(exponent)) * (1.0 + SLACK)
    })
}

/// Least junction temperature with a heat that lasts and that of the peak itself, °C: the sink has the one, the way from junction
/// to sink the greater of both.
pub(super) fn junction_at_least_c(path: &HeatPath, (lasting_w, peak_w): (f64, f64), air_c: f64) -> f64 {
    match *path {
        HeatPath::Sink { to_sink, .. } => {
            path.junction_c(lasting_w, air_c) + to_sink * (peak_w - lasting_w).max(0.0)
        }
        HeatPath::Direct(_) => path.junction_c(lasting_w, air_c),
    }
}

/// Greatest heat a cooling bears, a hair generous, W.
fn bears_w(asked: Asked<'_>, option: &CoolingOption<'_>, air_c: f64, junction_c: f64) -> f64 {
    let room_k = junction_c - air_c;
    if room_k <= 0.0 {
        return 0.0;
    }
    match option.bearing {
        HeatPath::Direct(resistance) => room_k / resistance * (1.0 + SLACK),
        HeatPath::Sink { to_sink, sink, rise_k, exponent } => {
            let power = 1.0 / (1.0 + exponent);
            let reach = sink * rise_k.powf(exponent);
            // Both shares at half the room: the sum cannot exceed it.
            let mut watts = (0.5 * room_k / to_sink).min((0.5 * room_k).powf(1.0 + exponent) / reach);
            for _ in 0..STEPS {
                let rise_k = (watts * reach).powf(power);
                let step = (room_k - to_sink * watts - rise_k) / (to_sink + power * rise_k / watts);
                watts += step;
                if step.is_nan() || step <= 1e-9 * watts {
                    break;
                }
            }
            let hottest_c = option.cooling.map_or(f64::INFINITY, |cooling| {
                left_of(asked.policy, "sink-temperature", cooling.sink.common.temperature_max.0)
            });
            let by_sink_w = (hottest_c - air_c).max(0.0).powf(1.0 + exponent) / reach;
            watts.min(by_sink_w) * (1.0 + SLACK)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_cheapest_cooling_that_bears_a_heat_is_found() {
        let steps = vec![(0.0, 1.0), (0.5, 4.0), (2.0, 9.0)];
        let cooler = Cooler { bears_w: vec![1.0, 4.0, 9.0], steps, ..Cooler::default() };
        assert_relative_eq!(cooler.least_score(0.5), 0.0);
        assert_relative_eq!(cooler.least_score(3.0), 0.5);
        assert_relative_eq!(cooler.least_score(9.0), 2.0);
        assert!(cooler.least_score(9.1).is_infinite());
        assert_relative_eq!(cooler.most_w(), 9.0);
        assert!(cooler.bears(1, 4.0) && !cooler.bears(1, 4.1));
    }
}
