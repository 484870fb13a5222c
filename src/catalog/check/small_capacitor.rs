//! Rows of small capacitors.

use super::row::Row;
use crate::{
    catalog::{Common, SmallCapacitor, family::capacitor::Dielectric},
    quantity::{Farads, Ohms, Ratio, Volts},
};

const DIELECTRICS: [(&str, Dielectric); 4] = [
    ("film", Dielectric::Film),
    ("ceramic", Dielectric::Ceramic),
    ("tantalum", Dielectric::Tantalum),
    ("aluminium", Dielectric::Aluminium),
];
const ESR: std::ops::RangeInclusive<Ohms> = Ohms(1e-5)..=Ohms(1e3);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<SmallCapacitor> {
    let capacitance = row.required("capacitance", |v| v.quantity(Farads(1e-12)..=Farads(0.1)));
    let tolerance = row.required("tolerance", |v| v.quantity(Ratio(0.0)..=Ratio(0.9)));
    let rated = row.required("rated", |v| v.quantity(Volts(1.0)..=Volts(1e4)));
    let dielectric = row.required("dielectric", |v| v.word(&DIELECTRICS));
    let esr_max = row.optional("esr_max", |v| v.quantity(ESR));
    let esr_min = row.optional("esr_min", |v| v.quantity(ESR));
    let bias_factor = row.optional("bias_factor", |v| v.quantity(Ratio(0.01)..=Ratio(1.0)));
    if let (Some(min), Some(max)) = (esr_min, esr_max)
        && min > max
    {
        row.refuse("`esr_min` is above `esr_max`", &format!("{} Ω", min.0), "`esr_min` of at most `esr_max`");
    }
    Some(SmallCapacitor {
        common: common?,
        capacitance: capacitance?,
        tolerance: tolerance?,
        rated: rated?,
        dielectric: dielectric?,
        esr_max,
        esr_min,
        bias_factor,
    })
}
