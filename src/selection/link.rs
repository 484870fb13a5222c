//! What joins the two banks of a second section: a resistor whose value follows a rule, or a choke.

use crate::{
    candidate::shop::Priced,
    catalog::{Choke, ResistorSeries},
    circuit::supply::{self, Body},
    physics::copper,
    quantity::Celsius,
    stress::{
        assembly::{Reservoir, ResistorChoice, Section},
        bench::{Asked, left_of},
        convert::{air_of, section_of},
        resistor::{greatest_ohm, largest_value, power_rating, spread},
        stage::load_of,
        verdict::EQUALITY,
    },
};

use super::{around::stands_in, search::Search};

/// A resistor or a choke.
#[derive(Clone, Copy, Debug)]
pub(super) enum Link<'a> {
    Resistor(ResistorChoice<'a>),
    Choke(&'a Choke),
}

/// A series of resistors or a choke, with its score.
#[derive(Clone, Copy, Debug)]
pub(super) struct LinkOption<'a> {
    kind: Kind<'a>,
    pub(super) score: f64,
    /// Id of the part, for ties.
    id: &'a str,
}

#[derive(Clone, Copy, Debug)]
enum Kind<'a> {
    Series(&'a ResistorSeries),
    Choke(&'a Choke),
}

impl<'a> Link<'a> {
    /// The section it makes with a second bank.
    pub(super) fn section(self, second: Reservoir<'a>) -> Section<'a> {
        match self {
            Self::Resistor(choice) => Section::Crc(choice, second),
            Self::Choke(choke) => Section::Clc(choke, second),
        }
    }

    /// The same as plain numbers.
    pub(super) fn numbers(self, asked: Asked<'_>, second: Reservoir<'a>) -> supply::Section {
        section_of(asked, self.section(second))
    }

    /// What smooths: greatest resistance, Ω, or inductance of a choke, H.
    pub(super) fn smooths(self, asked: Asked<'_>) -> f64 {
        match self {
            Self::Resistor(choice) => greatest_ohm(asked, choice),
            Self::Choke(choke) => choke.inductance.0,
        }
    }

    /// Greatest resistance, a choke's at 20 °C, Ω.
    pub(super) fn greatest_ohm(self, asked: Asked<'_>) -> f64 {
        match self {
            Self::Resistor(choice) => greatest_ohm(asked, choice),
            Self::Choke(choke) => choke.resistance.0,
        }
    }
}

impl<'a> LinkOption<'a> {
    /// The choke, or the largest value of the series, that drops no more than there is room for and carries the load; `None` where
    /// there is none.
    ///
    /// More resistance only ripples less, so among the values of a series the largest is what a designer takes. `room_ohm`
    /// drop that the mean leaves over the greatest current, Ω; `room_a` mean current, A.
    pub(super) fn fitted(&self, asked: Asked<'_>, room_ohm: f64, room_a: f64) -> Option<Link<'a>> {
        match self.kind {
            Kind::Series(series) => {
                let watts = left_of(asked.policy, "resistor-power", power_rating(asked, series));
                let most = room_ohm.min(watts / (room_a * room_a)) / (1.0 + spread(asked, series));
                largest_value(series, most).map(|value| Link::Resistor(ResistorChoice { series, value }))
            }
            Kind::Choke(choke) => {
                let limit_a = left_of(asked.policy, "choke-rms-current", choke.current.0);
                let cold = copper::factor(Celsius(air_of(asked).cold_c));
                let carries = load_of(asked.rail, Body::Heavy) <= limit_a * (1.0 + EQUALITY);
                (carries && choke.resistance.0 * cold <= room_ohm).then_some(Link::Choke(choke))
            }
        }
    }
}

impl<'a> Search<'_, 'a> {
    /// Everything that may join two banks, cheapest first.
    pub(super) fn links(&self, chokes: bool) -> Vec<LinkOption<'a>> {
        let air = air_of(self.asked);
        let mut all: Vec<LinkOption<'a>> = if chokes {
            let one = |priced: &Priced<'a, Choke>| LinkOption {
                kind: Kind::Choke(priced.part),
                score: priced.score(1),
                id: priced.common.id.0.as_str(),
            };
            self.shop.chokes.iter().map(one).collect()
        } else {
            let one = |priced: &Priced<'a, ResistorSeries>| LinkOption {
                kind: Kind::Series(priced.part),
                score: priced.score(1),
                id: priced.common.id.0.as_str(),
            };
            self.shop.resistors.iter().filter(|priced| stands_in(&air, priced.common)).map(one).collect()
        };
        all.sort_by(|a, b| a.score.total_cmp(&b.score).then_with(|| a.id.cmp(b.id)));
        all
    }
}
