//! The typed requirement, plain data.

use crate::quantity::{
    Amps, Celsius, Farads, Hertz, Hours, Kelvins, KelvinsPerWatt, Metres, Ohms, Ratio, Seconds, Volts,
};

/// Mains at the inlet of the equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct Mains {
    /// Nominal rms voltage.
    pub voltage: Volts,
    /// How far it may fall, as a fraction of nominal: 0.1 is 10 % below.
    pub low: Ratio,
    /// How far it may rise, as a fraction of nominal: 0.1 is 10 % above.
    pub high: Ratio,
    /// Nominal frequency.
    pub frequency: Hertz,
    /// Tolerance of the frequency, both ways.
    pub frequency_tolerance: Ratio,
    /// Peak over √2 times rms; below 1 for flat-topped mains. Counts only where low is worst.
    pub peak_factor: Ratio,
    /// Source resistance of the mains; never added silently.
    pub source_resistance: Option<Ohms>,
    /// Prospective short-circuit current rms at the inlet, for the breaking capacity of the fuse.
    pub prospective_current: Amps,
}

/// How the air inside the equipment differs from the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Enclosure {
    /// A stated rise over the room.
    Rise(Kelvins),
    /// Rise follows from the total loss.
    Resistance(KelvinsPerWatt),
}

/// Air around the equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct Ambient {
    /// Least room temperature.
    pub min: Celsius,
    /// Nominal room temperature.
    pub nominal: Celsius,
    /// Greatest room temperature.
    pub max: Celsius,
    /// Altitude.
    pub altitude: Metres,
    /// How the air inside differs.
    pub enclosure: Enclosure,
}

/// Topologies a designer may allow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topology {
    /// One winding, one diode.
    HalfWave,
    /// Two half windings, one diode each.
    CentreTap,
    /// One winding, four diodes.
    Bridge,
    /// Two diodes, two capacitors in series.
    FullWaveDoubler,
    /// One secondary, two diodes in cascade, the load on one of two capacitors: one end of the winding is the output's return.
    HalfWaveDoubler,
    /// ± rails from a centre-tapped winding and a bridge.
    DualComplementary,
}

/// Second filter sections a designer may allow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Section {
    /// Resistor and capacitor after the reservoir.
    Crc,
    /// Choke and capacitor after the reservoir.
    Clc,
    /// Choke input.
    ChokeInput,
}

/// Whether rails may hang on one transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sharing {
    /// A positive and a negative rail may, where that scores less than a transformer each.
    PlusAndMinus,
    /// Any two rails may, also of different voltage, where that scores less.
    AnyTwo,
    /// Any two or three rails may, also of different voltage, where that scores less.
    AnyThree,
    /// Each rail has its own.
    None,
}

/// How a rail is regulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regulation {
    /// Any linear regulator of the catalog.
    Any,
    /// A fixed regulator.
    Fixed,
    /// An adjustable regulator with set resistors.
    Adjustable,
    /// No regulator: the load sits on the reservoir.
    None,
}

/// Sign of a rail against its common.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Polarity {
    /// Positive.
    Positive,
    /// Negative.
    Negative,
}

/// A peak load beyond the continuous one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakLoad {
    /// Peak current.
    pub current: Amps,
    /// How long it lasts.
    pub duration: Seconds,
    /// Share of the time it is drawn, on average.
    pub share: Ratio,
}

/// Limit of the output ripple.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ripple(
    /// Peak to peak, at the load.
    pub Volts,
);

/// One output.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// Name, unique in the supply.
    pub name: String,
    /// Nominal output voltage, a magnitude.
    pub voltage: Volts,
    /// Allowed deviation, both ways; of an unregulated rail over all mains and load.
    pub tolerance: Ratio,
    /// Sign.
    pub polarity: Polarity,
    /// Least load current.
    pub current_min: Amps,
    /// Greatest continuous load current.
    pub current_max: Amps,
    /// Peak load, if any.
    pub peak: Option<PeakLoad>,
    /// Greatest peak-to-peak ripple at the load.
    pub ripple: Ripple,
    /// How it is regulated.
    pub regulation: Regulation,
    /// Time the rail must hold after the mains fails at its low end, if any.
    pub hold_up: Option<Seconds>,
    /// Capacitance of the load on the output, beyond the supply's own.
    pub load_capacitance: Farads,
}

/// Insulation the transformer must have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RequiredInsulation {
    /// Basic, with protective earth.
    Basic,
    /// Double or reinforced.
    Reinforced,
}

/// Protection class of the equipment against electric shock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProtectionClass {
    /// Protective earth.
    I,
    /// Double or reinforced insulation, no earth.
    II,
}

/// What is made small: a weighted sum, in currency units per unit of each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Objective {
    /// Weight of the cost of one supply at the build quantity, per currency unit.
    pub cost: f64,
    /// Weight of the loss at nominal mains and full load, per watt.
    pub loss: f64,
    /// Weight of the volume of all parts, per cubic centimetre.
    pub volume: f64,
    /// Weight of the mass of all parts, per gram.
    pub mass: f64,
}

/// Share of the life spent at one room temperature and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfileShare {
    /// Share of the time; the shares of a profile sum to one.
    pub share: Ratio,
    /// Room temperature.
    pub ambient: Celsius,
    /// Load as a fraction of the greatest continuous load.
    pub load: Ratio,
}

/// What may be bought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Preferences {
    /// Makers not to be used.
    pub excluded_makers: Vec<String>,
    /// Parts not to be used.
    pub excluded_parts: Vec<String>,
    /// Greatest lead time of what is not in stock, days.
    pub lead_days_max: Option<u32>,
    /// Greatest height of any part.
    pub height_max: Option<Metres>,
    /// Whether parts not recommended for new designs may be used.
    pub allow_not_for_new_designs: bool,
    /// Most capacitors in parallel in one reservoir.
    pub parallel_max: u32,
    /// Allowed kinds of fuse: `true` for IEC ratings, `false` for UL ratings.
    pub iec_fuses: bool,
}

/// A default that was assumed because the file does not say.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// Key of the file, dotted.
    pub key: String,
    /// Value assumed, as it would be written.
    pub value: String,
    /// Why that value.
    pub why: &'static str,
}

/// Everything that is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirement {
    /// Name of the supply.
    pub name: String,
    /// What it is for.
    pub description: String,
    /// Mains.
    pub mains: Mains,
    /// Air.
    pub ambient: Ambient,
    /// Outputs, at least one.
    pub rails: Vec<Rail>,
    /// Least life of the reservoirs.
    pub life: Hours,
    /// Temperature and load profile for the life; empty: greatest ambient, full load throughout.
    pub profile: Vec<ProfileShare>,
    /// Insulation the transformer must have.
    pub insulation: RequiredInsulation,
    /// Least dielectric test voltage rms of the transformer.
    pub test_voltage: Volts,
    /// Protection class of the equipment.
    pub protection: ProtectionClass,
    /// Allowed topologies, at least one.
    pub topologies: Vec<Topology>,
    /// Whether rails may share a transformer.
    pub sharing: Sharing,
    /// What a choice over several rails may score above the least that the search has proven, as a share.
    pub proven_within: Ratio,
    /// Allowed second sections.
    pub sections: Vec<Section>,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// ISO 4217 code of the currency.
    pub currency: String,
    /// Spare parts bought beyond the need.
    pub spares: Ratio,
    /// What is made small.
    pub objective: Objective,
    /// Name of the derating policy.
    pub policy: String,
    /// Names of the catalog folders.
    pub catalogs: Vec<String>,
    /// What may be bought.
    pub preferences: Preferences,
    /// Every default assumed.
    pub assumed: Vec<Assumed>,
}
