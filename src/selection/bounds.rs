//! What a source, and a source with a rectifier, ask at the least: most fall here, without a train being built.
//!
//! Every bound is sound by proof (`screen`) or by a measured order with its margin (`window`).

use std::{
    cell::OnceCell,
    f64::consts::{PI, SQRT_2},
};

use crate::{
    candidate::{bank::BankOption, source::SourceOption},
    circuit::{
        spec::Topology,
        supply::{Body, Rectifier, Supply, multiple, stack},
    },
    physics::copper,
    quantity::Celsius,
    requirement::Regulation,
    stress::{
        bench::{left_of, no_load_peak_v},
        convert::air_of,
        position::Position,
        stage::{Auxiliary, load_high_a, load_of, load_span},
        verdict::Unit,
        winding,
    },
};

use super::{
    bleeding::Bleeding,
    list::Fed,
    protect::Fusing,
    ready::Ready,
    screen::Feed,
    search::{Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, HEAT, VALLEY_COLD},
    window::{Least, Limits, cold_farad},
};

/// A source with everything that could follow it.
pub(super) struct Opened<'t, 'a> {
    pub(super) source: &'t SourceOption<'a>,
    /// Peak of the reservoir at no load, V.
    pub(super) peak_v: f64,
    /// Stages that bear the peak.
    pub(super) ready: Vec<&'t Ready<'a>>,
    /// Banks that bear it, cheapest first.
    pub(super) banks: Vec<&'t BankOption<'a>>,
    /// What those banks have in common.
    pub(super) limits: Limits,
    /// Bleeders of each bank, once asked for.
    bleeders: Vec<OnceCell<Vec<Bleeding<'a>>>>,
    /// Greatest that anything behind the source draws beside the least load, A.
    pub(super) warm_a: f64,
    /// Direct current that a half-wave load may take, A.
    pub(super) direct_a: f64,
    /// Least score of a fuse.
    pub(super) fuse_score: f64,
    /// Greatest steady primary current of any, A.
    pub(super) fuse_limit_a: f64,
    /// Least score of fuse and bleeder.
    pub(super) rest: f64,
    /// Least mean of the reservoir where it is greatest, V.
    pub(super) mean_v: f64,
    /// Least score of a stage with what cools and surrounds it.
    pub(super) stage_score: f64,
    /// Least score of anything complete behind this source.
    pub(super) bound: f64,
}

impl<'a> Opened<'_, 'a> {
    /// Bleeders of the bank of an index.
    pub(super) fn bleeders(&self, search: &Search<'_, 'a>, bank: usize) -> &[Bleeding<'a>] {
        let make =
            || self.banks.get(bank).map_or_else(Vec::new, |one| search.bleeders(&one.reservoir, self.peak_v));
        self.bleeders.get(bank).map_or(&[], |cell| cell.get_or_init(make))
    }
}

/// Whether a bank has the least capacitance and bears the least current.
pub(super) fn suits(bank: &BankOption<'_>, least: &Least) -> bool {
    // The bank's low capacitance at the cold end is the least it ever has.
    cold_farad(&bank.bank) >= least.farad && bank.ripple_limit_a >= least.bank_rms_a
}

impl<'a> Search<'_, 'a> {
    /// A source with everything that could follow it, and the least they come to; `None` where nothing can.
    pub(super) fn open<'t>(&'t self, fed: &'t Fed<'a>, state: &mut State<'a>) -> Option<Opened<'t, 'a>> {
        let source = &fed.option;
        let peak_v = no_load_peak_v(self.topology, &source.source, self.mains_v);
        let bank_peak_v = peak_v / stack(self.topology);
        let ready: Vec<&Ready<'a>> = self
            .stages
            .iter()
            .filter(|one| {
                one.option.regulation.as_ref().is_none_or(|stage| state.may_use(&stage.part.common))
            })
            .filter(|one| peak_v <= one.option.input_limit_v * (1.0 + 1e-9))
            .collect();
        let Some(need_v) = ready.iter().map(|one| one.need_behind_v(self.asked, peak_v)).reduce(f64::min)
        else {
            let limit = self.stages.iter().map(|one| one.option.input_limit_v).fold(0.0, f64::max);
            let code = match self.asked.rail.regulation {
                Regulation::None => "raw-voltage-window",
                _ => "regulator-input-voltage",
            };
            let place = (Position::Transformer, source.transformer.common.id.0.as_str());
            let figures = (peak_v, limit, Unit::Volts);
            state.tally.number(code, Depth::Source, place, figures, peak_v / limit, None);
            return None;
        };
        let least_a = self.screen_source(source, need_v, state)?;
        let mut banks: Vec<&BankOption<'a>> = self
            .banks
            .iter()
            .filter(|bank| {
                bank_peak_v <= bank.voltage_limit_v * (1.0 + 1e-9) && least_a <= bank.ripple_limit_a
            })
            .collect();
        let limits = Limits::of(&banks)?;
        let (lively, calm) = (&self.extremes.0, &self.extremes.1);
        let beside_a = ready.iter().map(|one| one.beside_a).fold(0.0, f64::max);
        let warm_a = beside_a + self.most_bleeder_a(&banks, peak_v);
        let feed = self.feed(source, self.least_threshold_v, self.least_slope_ohm);
        let stage = ready.iter().map(|one| one.least_score(0.0)).fold(f64::INFINITY, f64::min);
        let room = state.bound() - source.score - self.least_rectifier - stage;
        let from = (feed.least_farad(need_v), warm_a);
        let least = self.least(source, (lively, calm), (need_v, from), (&limits, &banks, room), state)?;
        banks.retain(|bank| suits(bank, &least));
        let bank_score = banks.first()?.score;
        let stage_score = ready.iter().map(|one| one.least_score(least.mean_v)).fold(f64::INFINITY, f64::min);
        if stage_score.is_infinite() {
            self.note_heat(&ready, least.mean_v, state);
            return None;
        }
        let bleeder_score = if peak_v <= self.asked.policy.parameters.discharge_voltage.0 {
            0.0
        } else {
            self.shop.resistors.first().map_or(0.0, |series| series.score(1))
        };
        let (fuse_score, fuse_limit_a) = match state.fusing {
            Fusing::Without => (0.0, f64::INFINITY),
            Fusing::Fitted => (fed.fuse_score, fed.fuse_limit_a),
        };
        let rest = fuse_score + bleeder_score;
        Some(Opened {
            source,
            peak_v,
            ready,
            bleeders: vec![OnceCell::new(); banks.len()],
            banks,
            limits,
            warm_a,
            direct_a: fed.direct_a,
            fuse_score,
            fuse_limit_a,
            rest,
            mean_v: least.mean_v,
            stage_score,
            bound: source.score + self.least_rectifier + bank_score + stage_score + rest,
        })
    }

    /// Counts a heat that no cooling of any stage bears.
    pub(super) fn note_heat(&self, ready: &[&Ready<'a>], mean_v: f64, state: &mut State<'a>) {
        const CODE: &str = "regulator-junction-temperature";
        let air_c = air_of(self.asked).hot_c;
        for one in ready {
            let Some(regulation) = &one.option.regulation else { continue };
            let heat_w = one.heat_w(mean_v);
            let ways = one.option.coolings.iter();
            let coolest = ways.map(|way| way.bearing.junction_c(heat_w, air_c)).fold(f64::INFINITY, f64::min);
            let limit_c = left_of(self.asked.policy, CODE, regulation.part.junction_max.0);
            let utilisation = (coolest - air_c) / (limit_c - air_c).max(1e-9);
            if utilisation > 1.0 {
                let place = (Position::Regulator, regulation.part.common.id.0.as_str());
                let figures = (coolest, limit_c, Unit::Celsius);
                state.tally.number(CODE, Depth::Rectifier, place, figures, utilisation, Some(DISSIPATION));
            }
        }
    }

    /// Bounds that the source fails or meets with the best rectifier there is; returns the least ripple current of any bank.
    fn screen_source(&self, source: &SourceOption<'a>, need_v: f64, state: &mut State<'a>) -> Option<f64> {
        let id = source.transformer.common.id.0.as_str();
        let feed = self.feed(source, self.least_threshold_v, self.least_slope_ohm);
        if !feed.can_hold(need_v) {
            let at_hand = multiple(self.topology) * (feed.emf_peak_v - feed.threshold_v);
            state.tally.number(
                self.headroom_code(),
                Depth::Source,
                (Position::Transformer, id),
                (at_hand, need_v, Unit::Volts),
                (need_v / at_hand.max(1e-9)).max(1.0 + 1e-6),
                Some(VALLEY_COLD),
            );
            return None;
        }
        let lasting = Feed { load_a: load_of(self.asked.rail, Body::Heavy), ..feed };
        let least_rms_a = lasting.least_rms_a(need_v);
        let per_path_a = match self.topology {
            Topology::CentreTap | Topology::DualComplementary => least_rms_a / SQRT_2,
            // One pulse a period through each diode, both through the winding.
            Topology::FullWaveDoubler | Topology::HalfWaveDoubler => least_rms_a * SQRT_2,
            _ => least_rms_a,
        };
        let one_a = source.wiring_current(per_path_a);
        let limit_a = self.secondary_limit_a(source);
        if one_a > limit_a {
            state.tally.number(
                "transformer-secondary-current",
                Depth::Source,
                (Position::Transformer, id),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(VALLEY_COLD),
            );
            return None;
        }
        Some(match self.topology {
            // The coupling capacitor carries what the winding does.
            Topology::HalfWaveDoubler => per_path_a,
            _ => (least_rms_a * least_rms_a - lasting.load_a * lasting.load_a).max(0.0).sqrt(),
        })
    }

    /// What the policy leaves of the rated current of one secondary, A.
    pub(super) fn secondary_limit_a(&self, source: &SourceOption<'a>) -> f64 {
        let rated_a = source
            .transformer
            .secondaries
            .get(source.wiring.place())
            .map_or(0.0, |winding| winding.current.0);
        left_of(self.asked.policy, "transformer-secondary-current", rated_a)
    }

    /// Rule that too much ripple breaks.
    pub(super) fn ripple_code(&self) -> &'static str {
        match self.asked.rail.regulation {
            Regulation::None => "raw-ripple",
            _ => "regulator-output-ripple",
        }
    }

    /// Rule that a reservoir valley too low breaks.
    pub(super) fn headroom_code(&self) -> &'static str {
        match self.asked.rail.regulation {
            Regulation::None => "raw-voltage-window",
            _ => "regulator-headroom",
        }
    }

    /// The source and rectifier at the cold valley, as the bounds see them.
    pub(super) fn feed(&self, source: &SourceOption<'a>, threshold_v: f64, slope_ohm: f64) -> Feed {
        let cold_c = air_of(self.asked).cold_c;
        let in_series = if self.topology == Topology::Bridge { 2.0 } else { 1.0 };
        let numbers = &source.source;
        let copper_ohm = (numbers.secondary_20_ohm + numbers.primary_20_ohm)
            * copper::factor(Celsius(cold_c))
            + numbers.mains_ohm;
        Feed {
            emf_peak_v: SQRT_2 * numbers.emf_rms_v * self.mains_v.low / self.mains_v.nominal
                * (1.0 - numbers.emf_tolerance)
                * self.asked.requirement.mains.peak_factor.0,
            threshold_v: in_series * threshold_v,
            resistance_ohm: copper_ohm + in_series * slope_ohm,
            omega: 2.0 * PI * self.frequency_hz.low,
            pulses: match self.topology {
                Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 1.0,
                _ => 2.0,
            },
            others: multiple(self.topology) - 1.0,
            load_a: load_high_a(self.asked.rail),
        }
    }

    /// What any bank asks at the least behind a source and a rectifier; `None` where that is too much already, or where every
    /// bank that is large enough scores more than there is room for.
    ///
    /// No capacitance below `from` holds the valley.
    pub(super) fn least(
        &self,
        source: &SourceOption<'a>,
        (rectifier, calm): (&Rectifier, &Rectifier),
        (need_v, (from, warm_a)): (f64, (f64, f64)),
        (limits, banks, room): (&Limits, &[&BankOption<'a>], f64),
        state: &mut State<'a>,
    ) -> Option<Least> {
        let id = source.transformer.common.id.0.as_str();
        // Without auxiliaries the load is the least it can be.
        let supply = Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: source.source,
            rectifier: *rectifier,
            section: None,
            bank: self.banks.first()?.bank,
            load_a: load_span(self.asked, &Auxiliary::default()),
            air: air_of(self.asked),
            beside: self.beside,
        };
        let place = (Position::Transformer, id);
        let Some(farad) = limits.least_farad(&supply, need_v, from) else {
            let feed = self.feed(source, 0.0, 0.0);
            let figures = (feed.emf_peak_v, need_v, Unit::Volts);
            let code = self.headroom_code();
            state.tally.number(code, Depth::Rectifier, place, figures, 1.0 + 1e-3, Some(VALLEY_COLD));
            return None;
        };
        // The banks are sorted by score.
        if banks.iter().find(|one| cold_farad(&one.bank) >= farad).is_none_or(|one| one.score > room) {
            return None;
        }
        let least = limits.least(&Supply { rectifier: *calm, ..supply }, farad, warm_a)?;
        let one_a = source.wiring_current(least.path_rms_a);
        let limit_a = self.secondary_limit_a(source);
        if one_a > limit_a {
            let figures = (one_a, limit_a, Unit::Amps);
            let code = "transformer-secondary-current";
            state.tally.number(code, Depth::Rectifier, place, figures, one_a / limit_a, Some(CURRENT));
            return None;
        }
        let code = "transformer-winding-temperature";
        let class_c = winding::normal_limit(source.transformer.thermal_class).0;
        let limit_c = left_of(self.asked.policy, code, class_c);
        if least.winding_c > limit_c {
            let air_c = supply.air.hot_c;
            let figures = (least.winding_c, limit_c, Unit::Celsius);
            let utilisation = (least.winding_c - air_c) / (limit_c - air_c).max(1e-9);
            state.tally.number(
                code,
                Depth::Rectifier,
                place,
                figures,
                utilisation.max(1.0 + 1e-6),
                Some(HEAT),
            );
            return None;
        }
        Some(least)
    }
}
