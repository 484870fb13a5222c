//! Workings of a second section: what it drops, what it takes.
//!
//! Computes with the laws beside the formulas; judges nothing.

use super::Sheet;
use crate::{
    numeric::tie::first_greatest,
    physics::filter,
    quantity::{Amps, Ohms, Volts},
    review::figure::Unit,
};

/// Mean where the output is lowest, and heat where it is greatest; nothing without a second bank.
pub(super) fn section(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    if bench.supply.second_bank().is_none() {
        return;
    }
    let what = if bench.assembly.choke().is_some() { "choke" } else { "resistor" };
    let lowest = first_greatest(bench.points.iter(), |point| -point.valley_v);
    let before = lowest.and_then(|point| Some((point, point.state.figures().output.reservoir_mean_v?)));
    if let Some((point, before_v, section)) =
        before.and_then(|(point, before_v)| Some((point, before_v, point.section?)))
    {
        sheet.put(
            &format!("Mean behind the {what} where the output is lowest"),
            &filter::SECTION_DROP,
            &[
                ("V_1", before_v, Unit::Volts),
                ("R", section.ohm, Unit::Ohms),
                ("I", point.load_a, Unit::Amps),
            ],
            (filter::behind_section(Volts(before_v), Ohms(section.ohm), Amps(point.load_a)).0, Unit::Volts),
        );
    }
    let hottest = first_greatest(bench.points.iter(), |point| point.section_w());
    if let Some(section) = hottest.and_then(|point| point.section) {
        sheet.put(
            &format!("Greatest heat of the {what} between the banks"),
            &filter::SECTION_HEAT,
            &[("R", section.ohm, Unit::Ohms), ("I", section.rms_a, Unit::Amps)],
            (filter::section_heat(Ohms(section.ohm), Amps(section.rms_a)).0, Unit::Watts),
        );
    }
}
