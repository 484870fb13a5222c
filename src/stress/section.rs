//! What stands between rectifier and output beside the reservoir: a choke before it, or a second bank behind it.

use crate::{catalog::Choke, requirement};

use super::assembly::{Reservoir, ResistorChoice};

/// What stands between rectifier and output beside the reservoir.
#[derive(Clone, Copy, Debug)]
pub enum Section<'a> {
    /// A choke between rectifier and reservoir: choke input.
    ChokeInput(&'a Choke),
    /// A resistor behind the reservoir and a second bank: CRC.
    Crc(ResistorChoice<'a>, Reservoir<'a>),
    /// A choke behind the reservoir and a second bank: CLC.
    Clc(&'a Choke, Reservoir<'a>),
}

impl<'a> Section<'a> {
    /// Which of those a requirement may allow.
    pub fn kind(self) -> requirement::Section {
        match self {
            Self::ChokeInput(_) => requirement::Section::ChokeInput,
            Self::Crc(..) => requirement::Section::Crc,
            Self::Clc(..) => requirement::Section::Clc,
        }
    }

    /// Its choke.
    pub fn choke(self) -> Option<&'a Choke> {
        match self {
            Self::ChokeInput(choke) | Self::Clc(choke, _) => Some(choke),
            Self::Crc(..) => None,
        }
    }

    /// Its resistor.
    pub fn resistor(self) -> Option<ResistorChoice<'a>> {
        match self {
            Self::Crc(resistor, _) => Some(resistor),
            Self::ChokeInput(_) | Self::Clc(..) => None,
        }
    }

    /// Its bank, where that is a second one.
    pub fn second(self) -> Option<Reservoir<'a>> {
        match self {
            Self::Crc(_, bank) | Self::Clc(_, bank) => Some(bank),
            Self::ChokeInput(_) => None,
        }
    }
}
