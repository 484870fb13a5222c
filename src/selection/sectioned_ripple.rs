//! What a first bank leaves for a second section, and the ripple that this leaves, by estimates: nothing is solved with it.

use std::f64::consts::PI;

use crate::{
    candidate::bank::BankOption,
    circuit::{
        corner::{Thermal, Vertex},
        operate::{OperatingPoint, operate},
        spec::Topology,
        supply::{Bank, HeatPath, Rectifier, Supply},
    },
    stress::{convert::choke_of, position::Position, regulator_point::RegulatorStage, verdict::Unit},
};

use super::{
    link::{Link, LinkOption},
    search::{Search, State},
    sectioned::Train,
    sectioned_screen::most_mean_v,
    tally::Depth,
    vertices::{VALLEY_COLD, VALLEY_HOT},
};

/// Parts into which a resistor is cut to see at which of its values a regulator rejects the most.
pub(super) const CUTS: u32 = 16;
/// The same in an estimate: every so manieth of them.
const COARSE: usize = 3;
/// Share of the estimated ripple that a section leaves at the least: measured.
const RIPPLE_SHARE: f64 = 0.5;

/// What a first bank leaves for what follows it.
pub(super) struct Before {
    /// What the mean may drop, over the greatest current, Ω.
    pub(super) room_ohm: f64,
    /// Mean current that heats a resistor, A.
    pub(super) room_a: f64,
    /// Its own ripple as if nothing followed, peak to peak, V.
    ripple_v: f64,
    /// Least capacitance of the first bank, F.
    farad: f64,
    /// Before a regulator, cold and hot: the greatest headroom that no resistance would leave, and the least drop-out, V.
    headrooms: Vec<(f64, f64)>,
    /// Greatest current, A.
    load_a: f64,
}

impl Before {
    /// Output ripple of a regulator at the least, of a ripple before it and behind a resistance, V; the ripple itself before none.
    fn passed_v(&self, seat: Option<&RegulatorStage<'_>>, ripple_v: f64, ohm: f64) -> f64 {
        let Some(seat) = seat else { return ripple_v };
        let rejected = |&(headroom_v, drop_out_v): &(f64, f64)| {
            let left_v = headroom_v - ohm * self.load_a - 0.5 * ripple_v;
            seat.ripple_of(left_v, ripple_v, drop_out_v)
        };
        self.headrooms.iter().filter_map(rejected).fold(0.0, f64::max)
    }
}

/// Greatest capacitance at its low end, F, and least ESR, Ω, of any of some banks.
pub(super) fn best_of(banks: &[&BankOption<'_>]) -> (f64, f64) {
    let farad = banks.iter().map(|bank| bank.bank.farad.low).fold(0.0, f64::max);
    (farad, banks.iter().map(|bank| bank.bank.esr_ohm.low).fold(f64::INFINITY, f64::min))
}

impl<'a> Search<'_, 'a> {
    /// What a bank leaves for a second section, cold with one rectifier and hot with another; an error where it leaves nothing,
    /// with the mean and where, or without where it holds nothing at all.
    pub(super) fn left_by(
        &self,
        train: &Train<'_, 'a>,
        bank: Bank,
        (cold, hot): (Rectifier, Rectifier),
    ) -> Result<Before, Option<(f64, Vertex)>> {
        let (floor_v, load_a) = (self.floor_v(train.fit), train.fit.load_a);
        let mut before = Before {
            room_ohm: f64::INFINITY,
            room_a: load_a.light,
            ripple_v: f64::INFINITY,
            farad: bank.farad.low,
            headrooms: Vec::new(),
            load_a: load_a.high,
        };
        for (vertex, rectifier) in [(VALLEY_COLD, cold), (VALLEY_HOT, hot)] {
            let supply = Supply { bank, ..self.numbers_of(train, rectifier, None) };
            let point = operate(&supply, vertex).map_err(|_| None)?;
            let spare_v = most_mean_v(&point) - floor_v;
            if spare_v <= 0.0 {
                return Err(Some((point.mean_v, vertex)));
            }
            before.room_ohm = before.room_ohm.min(spare_v / load_a.high.max(1e-9));
            before.ripple_v = before.ripple_v.min(point.crest_v - point.valley_v);
            if let Some(seat) = &train.fit.seat {
                let path = HeatPath::Direct(0.0);
                let path = (vertex.thermal == Thermal::Cold).then_some(&path);
                let least = seat.drop_out(path, &point).map(|drop_out| drop_out.volts);
                let smooth = OperatingPoint { valley_v: most_mean_v(&point), ..point };
                before.headrooms.extend(least.map(|volts| (seat.headroom_with(&smooth, volts), volts)));
            }
        }
        Ok(before)
    }

    /// Ripple that a section leaves by an estimate, of which a share counts, V.
    ///
    /// ```text
    /// CRC: v_1 T/(8 R C_2), no more than v_1 C_1/(C_1 + C_2), at least v_1 r_2/(R + r_2);   CLC: (2/π) v_1/(1 + ω² L C_2)
    /// ```
    /// `v_1` ripple of the first bank as if nothing followed, a sawtooth of period `T = 2π/ω` · `r_2` ESR. Derived. Behind a
    /// regulator what that rejects at the headroom that the section leaves, of a resistor at the best of its values.
    fn left_ripple_v(
        &self,
        (train, before): (&Train<'_, 'a>, &Before),
        link: Link<'a>,
        (farad, esr_ohm): (f64, f64),
        share: f64,
    ) -> f64 {
        let pulses = if self.topology == Topology::HalfWave { 1.0 } else { 2.0 };
        let period_s = 1.0 / (pulses * self.frequency_hz.high);
        let seat = train.fit.seat.as_ref();
        let of_resistor = |ohm: f64| {
            let left = (period_s / (8.0 * ohm * farad)).min(before.farad / (before.farad + farad));
            let ripple_v = before.ripple_v * left.max(esr_ohm / (ohm + esr_ohm));
            before.passed_v(seat, share * ripple_v, ohm)
        };
        match link {
            Link::Resistor(_) => {
                let most_ohm = link.greatest_ohm(self.asked);
                // From the whole of it down.
                let cuts =
                    (1..=CUTS).rev().step_by(COARSE).take(if seat.is_some() { CUTS as usize } else { 1 });
                let cuts = cuts.map(|cut| most_ohm * f64::from(cut) / f64::from(CUTS));
                cuts.map(of_resistor).fold(f64::INFINITY, f64::min)
            }
            Link::Choke(choke) => {
                let angular = 2.0 * PI / period_s;
                let left = 2.0 / PI / (1.0 + angular * angular * choke_of(choke).henry.high * farad);
                before.passed_v(seat, share * before.ripple_v * left, choke.resistance.0)
            }
        }
    }

    /// Most ripple that [`Self::left_ripple_v`] may come to, V.
    fn most_ripple_v(&self, train: &Train<'_, 'a>) -> f64 {
        if train.fit.seat.is_some() {
            self.asked.rail.ripple.0.0
        } else {
            train.fit.ready.option.raw_ripple_v
        }
    }

    /// Whether a section leaves too much ripple by half of the estimate, or by the whole of it where a first design is sought. That half of it is a
    /// bound is measured.
    pub(super) fn ripples_through(
        &self,
        known: (&Train<'_, 'a>, &Before),
        link: Link<'a>,
        second: (f64, f64),
        probe: bool,
    ) -> bool {
        let share = if probe { 1.0 } else { RIPPLE_SHARE };
        self.left_ripple_v(known, link, second, share) > self.most_ripple_v(known.0)
    }

    /// Whether nothing that may join a first bank and the best second one leaves little enough ripple; the least miss is counted.
    pub(super) fn ripples_always(
        &self,
        (train, before): (&Train<'_, 'a>, &Before),
        (links, best): (&[LinkOption<'a>], (f64, f64)),
        (probe, state): (bool, &mut State<'a>),
    ) -> bool {
        let share = if probe { 1.0 } else { RIPPLE_SHARE };
        let fitted = links.iter().filter_map(|one| one.fitted(self.asked, before.room_ohm, before.room_a));
        let left = fitted.map(|link| self.left_ripple_v((train, before), link, best, share));
        let (least_v, most_v) = (left.fold(f64::INFINITY, f64::min), self.most_ripple_v(train));
        if least_v.is_finite() && least_v > most_v {
            let part = (Position::Reservoir, train.bank.reservoir.part.common.id.0.as_str());
            let (code, figures) = (self.ripple_code(), (least_v, most_v, Unit::Volts));
            let utilisation = least_v / most_v;
            state.tally.number(code, Depth::Reservoir, part, figures, utilisation, Some(VALLEY_COLD));
        }
        least_v > most_v
    }
}
