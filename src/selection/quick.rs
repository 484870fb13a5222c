//! A train at the few vertices where most fail, before it is judged in full.
//!
//! Each test is one that the rules make again at every vertex, with a bound no rule can undercut.

use crate::{
    candidate::{bank::BankOption, source::SourceOption, stage::StageOption},
    circuit::{operate::operate, supply::Supply},
    quantity::Amps,
    stress::{
        assembly::Assembly,
        bench::{input_span, left_of},
        convert::air_of,
        position::Position,
        stage::{auxiliary_of, load_high_a, load_span, output_of},
        verdict::Unit,
    },
};

use super::{
    search::{Rectifying, Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION, VALLEY_COLD},
};

/// The coupled choice.
#[derive(Clone, Copy)]
pub(super) struct Train<'t, 'a> {
    pub(super) source: &'t SourceOption<'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
    pub(super) stage: &'t StageOption<'a>,
    /// Peak of the reservoir at no load, V.
    pub(super) peak_v: f64,
}

impl<'a> Search<'_, 'a> {
    /// Whether a train passes where most fail, solved at a few vertices with its own auxiliaries.
    pub(super) fn quick(
        &self,
        train: &Train<'_, 'a>,
        assembly: &Assembly<'a>,
        state: &mut State<'a>,
    ) -> bool {
        let Train { source, rectifying, bank, stage, peak_v } = *train;
        let output = stage.regulation.as_ref().and_then(|one| {
            let span = input_span(self.asked.rail, peak_v);
            output_of(self.asked, one.part, one.set, span).ok()
        });
        let auxiliary = auxiliary_of(
            self.asked,
            stage.regulation.as_ref().zip(output.as_ref()),
            assembly.bleeder,
            peak_v,
        );
        let supply = Supply {
            topology: self.topology,
            mains_v: self.mains_v,
            peak_factor: self.asked.requirement.mains.peak_factor.0,
            frequency_hz: self.frequency_hz,
            source: source.source,
            rectifier: rectifying.numbers,
            bank: bank.bank,
            load_a: load_span(self.asked, &auxiliary),
            air: air_of(self.asked),
        };
        let bank_id = bank.reservoir.part.common.id.0.as_str();
        let transformer_id = source.transformer.common.id.0.as_str();
        let Ok(valley) = operate(&supply, VALLEY_COLD) else { return false };
        if valley.valley_v < stage.need_v * (1.0 - 1e-9) {
            state.tally.number(
                "regulator-headroom",
                Depth::Reservoir,
                (Position::Reservoir, bank_id),
                (valley.valley_v, stage.need_v, Unit::Volts),
                stage.need_v / valley.valley_v.max(1e-9),
                Some(VALLEY_COLD),
            );
            return false;
        }
        let Ok(current) = operate(&supply, CURRENT) else { return false };
        if current.bank_rms_a > bank.ripple_limit_a {
            state.tally.number(
                "reservoir-ripple-current",
                Depth::Reservoir,
                (Position::Reservoir, bank_id),
                (current.bank_rms_a, bank.ripple_limit_a, Unit::Amps),
                current.bank_rms_a / bank.ripple_limit_a,
                Some(CURRENT),
            );
            return false;
        }
        let rated_a = source.transformer.secondaries.first().map_or(0.0, |winding| winding.current.0);
        let limit_a = left_of(self.asked.policy, "transformer-secondary-current", rated_a);
        let one_a = source.wiring_current(current.path_rms_a);
        if one_a > limit_a * (1.0 + 1e-9) {
            state.tally.number(
                "transformer-secondary-current",
                Depth::Reservoir,
                (Position::Transformer, transformer_id),
                (one_a, limit_a, Unit::Amps),
                one_a / limit_a,
                Some(CURRENT),
            );
            return false;
        }
        let Some(regulation) = &stage.regulation else { return true };
        let Ok(warm) = operate(&supply, DISSIPATION) else { return false };
        // Any output is at most the set value, so this heat is a lower bound.
        let set_v = output.map_or(0.0, |one| one.set_v);
        let heat_w = (warm.mean_v - set_v).max(0.0) * load_high_a(self.asked.rail);
        let junction_c =
            stage.paths.iter().map(|path| path.junction_c(heat_w, warm.air_c)).fold(f64::INFINITY, f64::min);
        let limit_c =
            left_of(self.asked.policy, "regulator-junction-temperature", regulation.part.junction_max.0);
        if junction_c > limit_c + 1e-9 {
            state.tally.number(
                "regulator-junction-temperature",
                Depth::Cooling,
                (Position::Regulator, &regulation.part.common.id.0),
                (junction_c, limit_c, Unit::Celsius),
                (junction_c - warm.air_c) / (limit_c - warm.air_c).max(1e-9),
                Some(DISSIPATION),
            );
            return false;
        }
        true
    }
}

impl SourceOption<'_> {
    /// rms current of one secondary from that of the path.
    pub(super) fn wiring_current(&self, path_rms_a: f64) -> f64 {
        self.wiring.current_of_one(Amps(path_rms_a)).0
    }
}
