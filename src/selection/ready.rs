//! A regulator stage with everything that does not depend on the train: what it needs, heats and costs at the least.
//!
//! Every figure is a bound that no train can undercut; the rules still judge each.

use std::cell::OnceCell;

use crate::{
    candidate::{
        shop::Shop,
        stage::{CoolingOption, StageOption},
    },
    circuit::supply::{Body, Drawn, Span},
    quantity::Amps,
    requirement::Regulation,
    stress::{
        assembly::{Assembly, Cooling},
        bench::{Asked, Bench, input_span, numbers},
        convert::air_of,
        known::Known,
        pass_point::PassNumbers,
        position::Position,
        registry::by_code,
        regulator_point::{RegulatorStage, drop_out_table},
        stage::{Auxiliary, Output, auxiliary_of, load_high_a, load_of, load_span, output_of},
    },
};

use super::{
    around::{Around, stands_in},
    cooler::Cooler,
};

/// A stage, ready to be combined.
#[derive(Clone, Debug)]
pub(super) struct Ready<'a> {
    /// The stage.
    pub(super) option: StageOption<'a>,
    /// Place in the list of stages.
    pub(super) index: usize,
    /// Least input that could pass, V.
    pub(super) need_v: f64,
    /// Score of regulator, resistors, and the cheapest capacitors and diode that could stand around it.
    pub(super) base: f64,
    /// What heat costs.
    pub(super) cooler: Cooler,
    /// Of pass transistors the cooling whose pad keeps their cases nearest to the sink.
    pub(super) best_pad: Option<Cooling<'a>>,
    /// What the stage draws from the reservoir beside the load, A.
    pub(super) beside_a: f64,
    heat_a: f64,
    heat_less_w: f64,
    peak_more_a: f64,
    peak_less_w: f64,
    own: Option<(f64, f64)>,
    line_per_volt: f64,
}

impl<'a> Ready<'a> {
    /// A stage before the parts around it are known.
    pub(super) fn of(asked: Asked<'a>, mut option: StageOption<'a>, index: usize) -> Self {
        let air = air_of(asked);
        option.coolings.retain(|way| {
            way.cooling
                .is_none_or(|one| stands_in(&air, &one.sink.common) && stands_in(&air, &one.pad.common))
        });
        let cooler = Cooler::of(asked, &option);
        let pad = |way: &CoolingOption<'a>| {
            let pass = option.regulation.as_ref()?.pass.as_ref()?;
            let cooling = way.cooling?;
            Some((cooling.pad.resistance.get(&pass.part.common.package)?.0, cooling))
        };
        let best_pad = option
            .coolings
            .iter()
            .filter_map(pad)
            .reduce(|a, b| if b.0 < a.0 { b } else { a })
            .map(|(_, cooling)| cooling);
        let mut ready = Self {
            best_pad,
            need_v: option.need_v,
            base: option.score,
            cooler,
            index,
            beside_a: 0.0,
            heat_a: 0.0,
            heat_less_w: 0.0,
            peak_more_a: 0.0,
            peak_less_w: 0.0,
            own: None,
            line_per_volt: 0.0,
            option,
        };
        let volts = asked.rail.voltage.0;
        let narrow = Span { low: volts, nominal: volts, high: volts };
        let Some(regulation) = ready.option.regulation else { return ready };
        let Ok(output) = output_of(asked, regulation.part, regulation.set, narrow) else { return ready };
        let auxiliary = auxiliary_of(asked, Some((&regulation, &output)), None, volts);
        let through_a = load_high_a(asked.rail) + auxiliary.through_regulator_a();
        // A part that states its minimum-load resistor draws most at the output's high end, which the line term moves.
        ready.beside_a = auxiliary.total_a() * (1.0 + asked.rail.tolerance.0);
        // Heat is counted at the load that a sink, a heavy body, sees: never more than any other.
        let lasting_a = load_of(asked.rail, Body::Heavy) + auxiliary.through_regulator_a();
        let pass = regulation.pass.as_ref().map(|pass| PassNumbers::of(asked, pass));
        // What ballast and drive resistors take at the least is not the sink's, as the rules have it.
        let before_v = pass.map_or(0.0, |pass| pass.resistors_v(lasting_a));
        ready.own =
            pass.map(|pass| pass.regulator(lasting_a)).map(|(amps, volts)| (amps, volts + output.low_v));
        ready.heat_a = lasting_a + auxiliary.ground_a;
        ready.heat_less_w = output.low_v * lasting_a + before_v * ready.heat_a;
        if asked.rail.peak.is_some() && pass.is_none() {
            ready.peak_more_a = through_a + auxiliary.ground_a;
            ready.peak_less_w = output.low_v * through_a;
        }
        ready.line_per_volt = regulation.part.line_regulation_per_volt.0 * output.set_v;
        if let Ok(table) = drop_out_table(regulation.part)
            && let Some((least, _)) =
                table.extremes(Amps(pass.map_or(through_a, |pass| pass.regulator(through_a).0)))
        {
            let any =
                regulation.part.drop_out.iter().map(|point| point.voltage.0).fold(f64::INFINITY, f64::min);
            ready.need_v += (least.0 - any).max(0.0);
        }
        ready
    }

    /// Adds the least that capacitors and diode cost; `assembly` is any whose numbers can be made.
    pub(super) fn add_around(&mut self, asked: Asked<'a>, shop: &Shop<'a>, assembly: &Assembly<'a>) {
        self.base += around(asked, shop, assembly, self).unwrap_or(0.0);
    }

    /// Least heat at a mean input, W.
    pub(super) fn heat_w(&self, mean_v: f64) -> f64 {
        (self.heat_a * mean_v - self.heat_less_w).max(0.0)
    }

    /// Least heat of the regulator itself beside pass transistors, W; `None` without.
    pub(super) fn own_heat_w(&self, mean_v: f64) -> Option<f64> {
        self.own.map(|(amps, less_v)| amps * (mean_v - less_v).max(0.0))
    }

    /// Least heat of the peak itself at a mean input under it, W; nothing without a peak.
    pub(super) fn peak_heat_w(&self, mean_v: f64) -> f64 {
        (self.peak_more_a * mean_v - self.peak_less_w).max(0.0)
    }

    /// Least score with what bears the heat of a mean input.
    pub(super) fn least_score(&self, mean_v: f64) -> f64 {
        self.base + self.cooler.least_score(self.heat_w(mean_v))
    }

    /// Least input behind a source of a no-load peak, V: line regulation counted.
    pub(super) fn need_behind_v(&self, asked: Asked<'_>, peak_v: f64) -> f64 {
        self.need_v + self.line_per_volt * (peak_v - asked.rail.voltage.0).max(0.0)
    }
}

/// A stage behind one source.
#[derive(Clone, Debug)]
pub(super) struct Fit<'t, 'a> {
    /// The stage.
    pub(super) ready: &'t Ready<'a>,
    /// Least input that could pass, V.
    pub(super) need_v: f64,
    /// Load of the reservoir without bleeder, A.
    pub(super) load_a: Drawn,
    /// The regulator at an operating point; `None` for a raw rail or a part without drop-out.
    pub(super) seat: Option<RegulatorStage<'t>>,
    /// What stands around the regulator, once asked for; `None` inside where nothing passes.
    pub(super) around: OnceCell<Option<Around<'a>>>,
    /// What heat costs behind the source, where it asks for more than the stage itself.
    pub(super) cooler: Option<Cooler>,
}

impl<'t, 'a> Fit<'t, 'a> {
    /// What heat costs.
    pub(super) fn cooler(&self) -> &Cooler {
        self.cooler.as_ref().unwrap_or(&self.ready.cooler)
    }

    /// Least score with what bears the heat of a mean input.
    pub(super) fn least_score(&self, mean_v: f64) -> f64 {
        self.ready.base + self.cooler().least_score(self.ready.heat_w(mean_v))
    }

    /// Behind a source of a no-load peak.
    pub(super) fn of(asked: Asked<'t>, ready: &'t Ready<'a>, peak_v: f64) -> Self {
        let mut fit = Self {
            ready,
            need_v: ready.need_behind_v(asked, peak_v),
            load_a: load_span(asked, &Auxiliary::default()),
            seat: None,
            around: OnceCell::new(),
            cooler: None,
        };
        if let Some(regulation) = &ready.option.regulation
            && let Ok(output) =
                output_of(asked, regulation.part, regulation.set, input_span(asked.rail, peak_v))
        {
            let auxiliary = auxiliary_of(asked, Some((regulation, &output)), None, peak_v);
            fit.load_a = load_span(asked, &auxiliary);
            fit.seat = RegulatorStage::with(asked, regulation, output, auxiliary).ok();
        }
        fit
    }
}

/// Least score of input capacitor, output capacitor, reverse diode and clamp diode, each by itself, judged at the least input there can be.
fn around<'a>(asked: Asked<'a>, shop: &Shop<'a>, assembly: &Assembly<'a>, ready: &Ready<'a>) -> Option<f64> {
    if asked.rail.regulation == Regulation::None {
        return None;
    }
    let volts = asked.rail.voltage.0;
    let narrow = Span { low: volts, nominal: volts, high: volts };
    let mut bench = {
        let assembly = Assembly { regulation: ready.option.regulation, bleeder: None, ..*assembly };
        let (mut supply, _, auxiliary) = numbers(asked, &assembly).ok()?;
        let regulation = ready.option.regulation?;
        let output: Output = output_of(asked, regulation.part, regulation.set, narrow).ok()?;
        let peak_v = crate::stress::bench::no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
        supply.source.emf_rms_v *= (ready.need_v / peak_v).min(1.0);
        Bench {
            asked,
            assembly,
            supply,
            output: Some(output),
            auxiliary,
            points: Vec::new(),
            lasting: None,
            known: Known::default(),
        }
    };
    let mut total = 0.0;
    let mut scratch = Vec::new();
    for (position, code) in [
        (Position::InputCapacitor, "regulator-input-capacitor"),
        (Position::OutputCapacitor, "regulator-output-capacitor"),
        (Position::ReverseDiode, "regulator-reverse-diode"),
        (Position::ClampDiode, "output-clamp"),
    ] {
        let rule = by_code(code)?;
        let mut passes = |bench: &Bench<'a>| {
            scratch.clear();
            (rule.judge)(bench, &mut scratch);
            scratch.iter().all(crate::stress::verdict::Verdict::holds)
        };
        if passes(&bench) {
            continue;
        }
        let mut least = f64::INFINITY;
        if matches!(position, Position::ReverseDiode | Position::ClampDiode) {
            for priced in &shop.diodes {
                let regulation = bench.assembly.regulation.as_mut()?;
                match position {
                    Position::ReverseDiode => regulation.reverse_diode = Some(priced.part),
                    _ => regulation.clamp_diode = Some(priced.part),
                }
                if passes(&bench) {
                    least = priced.score(1);
                    break;
                }
            }
        } else {
            for priced in &shop.small_capacitors {
                let regulation = bench.assembly.regulation.as_mut()?;
                match position {
                    Position::InputCapacitor => regulation.input = Some(priced.part),
                    _ => regulation.output = Some(priced.part),
                }
                if passes(&bench) {
                    least = priced.score(1);
                    break;
                }
            }
            // The diode is judged with no output capacitor: the least charge it can meet.
            let regulation = bench.assembly.regulation.as_mut()?;
            (regulation.input, regulation.output) = (None, None);
        }
        total += least;
    }
    Some(total)
}
