//! A train with everything else on its transformer laden: what winding, primary and diodes then carry.
//!
//! Each test is one that the rules make again at every vertex.

use crate::{
    circuit::{
        corner::{End, Vertex},
        operate::{OperatingPoint, operate},
        supply::{Body, Supply},
    },
    stress::{assembly::RectifierPart, bench::left_of, position::Position, verdict::Unit, winding},
};

use super::{
    memory::{COLD_MARGIN, Memory, Place, remember},
    quick::Train,
    search::{Search, State},
    tally::Depth,
    vertices::{CURRENT, DISSIPATION},
};

/// The greatest primary current: the magnetising part with it.
const PRIMARY: Vertex = Vertex { frequency: End::Low, ..CURRENT };

/// Code of the copper loss.
const COPPER_CODE: &str = "transformer-copper-loss";
/// What the copper loss with the coolest diodes may be above that with any other, relative.
const COOL_MARGIN: f64 = 2e-3;

impl<'a> Train<'_, 'a> {
    /// Its transformer's id.
    fn transformer(&self) -> &'a str {
        self.opened.source.transformer.common.id.0.as_str()
    }
}

impl<'a> Search<'_, 'a> {
    /// Whether winding, primary and diodes carry their currents; a rail alone is looked at elsewhere.
    pub(super) fn carries_laden(
        &self,
        train: &Train<'_, 'a>,
        supply: &Supply,
        high: Place,
        memory: &mut Memory,
        state: &mut State<'a>,
    ) -> bool {
        if supply.beside.is_empty() {
            return true;
        }
        let supply = supply.lasting(Body::Heavy);
        let at = |vertex| operate(&supply, Vertex { others: Some(End::High), ..vertex });
        let (Ok(current), Ok(primary)) = (at(CURRENT), at(PRIMARY)) else { return false };
        // The coolest diodes leave the least current; what moves the other way with them is within the margin.
        let cool = Supply { rectifier: train.rectifying.coolest, ..supply };
        let warm = |load| operate(&cool, Vertex { others: Some(End::High), load, ..DISSIPATION });
        // One taken as alike to a rail that idles need not lose less than beside a laden one.
        let (Ok(laden), Ok(idle)) = (warm(End::High), warm(End::Low)) else { return false };
        let all = self.currents(train, &current, &primary);
        let (code, position, id) = (COPPER_CODE, Position::Transformer, train.transformer());
        let copper_w = left_of(self.asked.policy, COPPER_CODE, supply.source.copper_rated_w);
        let copper =
            (code, position, id, (laden.copper_w.max(idle.copper_w) * (1.0 - COOL_MARGIN), copper_w));
        for (code, position, part, (applied, limit)) in all.chain([copper]) {
            if applied <= limit * (1.0 + 1e-9) {
                continue;
            }
            if applied > limit * COLD_MARGIN && code != COPPER_CODE && position == Position::Transformer {
                remember(&mut memory.current, high, Place::more_current);
            }
            let unit = if code == COPPER_CODE { Unit::Watts } else { Unit::Amps };
            let figures = (applied, limit, unit);
            state.tally.number(
                code,
                Depth::Reservoir,
                (position, part),
                figures,
                applied / limit,
                Some(CURRENT),
            );
            return false;
        }
        true
    }

    /// Currents, each with its limit.
    fn currents<'t>(
        &self,
        train: &Train<'t, 'a>,
        current: &OperatingPoint,
        primary: &OperatingPoint,
    ) -> impl Iterator<Item = (&'static str, Position, &'a str, (f64, f64))> + use<'t, 'a> {
        const PRIMARY_CODE: &str = "transformer-primary-current";
        const DIODE_CODE: &str = "rectifier-rms-current";
        let option = train.opened.source;
        let transformer = option.transformer;
        let id = train.transformer();
        let secondary = (option.wiring_current(current.path_rms_a), self.secondary_limit_a(option));
        let rating_a = winding::primary_rating_a(transformer, &option.source);
        let of_primary = (
            winding::primary_rms_a(&option.source, primary),
            left_of(self.asked.policy, PRIMARY_CODE, rating_a).min(train.opened.fuse_limit_a),
        );
        let rectifier = train.rectifying.part;
        let rms_max = match rectifier {
            RectifierPart::Bridge(part) => part.element.rms_max,
            RectifierPart::Diodes(part) => part.element.rms_max,
        };
        // Nothing is known of a part that does not state it.
        let limit_a = rms_max.map_or(0.0, |amps| left_of(self.asked.policy, DIODE_CODE, amps.0));
        let id_of = rectifier.common().id.0.as_str();
        let diode = (DIODE_CODE, Position::Rectifier, id_of, (current.diode_rms_a, limit_a));
        [
            ("transformer-secondary-current", Position::Transformer, id, secondary),
            (PRIMARY_CODE, Position::Transformer, id, of_primary),
            diode,
        ]
        .into_iter()
    }
}
