//! A place in the circuit that takes a part.

/// A place in one rail that takes a part (or several alike).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// Mains fuse in the primary.
    PrimaryFuse,
    /// Inrush-limiting thermistor in the primary.
    InrushLimiter,
    /// Mains transformer.
    Transformer,
    /// Thermal cut-out fitted to the transformer, in the primary.
    CutOut,
    /// Fuse between secondary and rectifier.
    SecondaryFuse,
    /// Rectifier bridge or diodes.
    Rectifier,
    /// Heat sink of the rectifier.
    RectifierSink,
    /// Interface between rectifier and sink.
    RectifierPad,
    /// Filter choke before or behind the reservoir.
    SectionChoke,
    /// Reservoir bank.
    Reservoir,
    /// Resistor between the reservoir and a second bank.
    SectionResistor,
    /// Second bank behind the resistor or choke.
    SectionCapacitor,
    /// Bleeder resistor.
    Bleeder,
    /// Regulator.
    Regulator,
    /// Heat sink of the regulator.
    RegulatorSink,
    /// Interface between regulator and sink.
    RegulatorPad,
    /// Pass transistors beside the regulator.
    PassTransistor,
    /// Transistor that limits their current.
    LimitTransistor,
    /// Ballast resistor of each pass transistor.
    Ballast,
    /// Resistor that feeds the regulator and drives the pass transistors.
    Drive,
    /// Set resistor from output to adjust pin.
    SetUpper,
    /// Set resistor from adjust pin to common.
    SetLower,
    /// Resistor that draws the regulator's minimum load.
    MinimumLoad,
    /// Capacitor at the regulator's input.
    InputCapacitor,
    /// Capacitor at the regulator's output.
    OutputCapacitor,
    /// Diode from output to input.
    ReverseDiode,
    /// Diode from common to output, beside an output of the opposite sign.
    ClampDiode,
}

impl Position {
    /// All positions, in the order of the current's path.
    pub const ALL: [Self; 27] = [
        Self::PrimaryFuse,
        Self::InrushLimiter,
        Self::Transformer,
        Self::CutOut,
        Self::SecondaryFuse,
        Self::Rectifier,
        Self::RectifierSink,
        Self::RectifierPad,
        Self::SectionChoke,
        Self::Reservoir,
        Self::SectionResistor,
        Self::SectionCapacitor,
        Self::Bleeder,
        Self::Regulator,
        Self::RegulatorSink,
        Self::RegulatorPad,
        Self::PassTransistor,
        Self::LimitTransistor,
        Self::Ballast,
        Self::Drive,
        Self::SetUpper,
        Self::SetLower,
        Self::MinimumLoad,
        Self::InputCapacitor,
        Self::OutputCapacitor,
        Self::ReverseDiode,
        Self::ClampDiode,
    ];

    /// Name of the position as a record and a waiver write it.
    pub fn key(self) -> &'static str {
        match self {
            Self::PrimaryFuse => "primary-fuse",
            Self::InrushLimiter => "inrush-limiter",
            Self::Transformer => "transformer",
            Self::CutOut => "cut-out",
            Self::SecondaryFuse => "secondary-fuse",
            Self::Rectifier => "rectifier",
            Self::RectifierSink => "rectifier-sink",
            Self::RectifierPad => "rectifier-pad",
            Self::SectionChoke => "section-choke",
            Self::Reservoir => "reservoir",
            Self::SectionResistor => "section-resistor",
            Self::SectionCapacitor => "section-capacitor",
            Self::Bleeder => "bleeder",
            Self::Regulator => "regulator",
            Self::RegulatorSink => "regulator-sink",
            Self::RegulatorPad => "regulator-pad",
            Self::PassTransistor => "pass-transistor",
            Self::LimitTransistor => "limit-transistor",
            Self::Ballast => "ballast-resistor",
            Self::Drive => "drive-resistor",
            Self::SetUpper => "set-upper",
            Self::SetLower => "set-lower",
            Self::MinimumLoad => "minimum-load",
            Self::InputCapacitor => "input-capacitor",
            Self::OutputCapacitor => "output-capacitor",
            Self::ReverseDiode => "reverse-diode",
            Self::ClampDiode => "clamp-diode",
        }
    }

    /// Letters of the reference designator, by the habits of IEEE 315.
    pub fn letters(self) -> &'static str {
        match self {
            Self::PrimaryFuse | Self::SecondaryFuse => "F",
            Self::InrushLimiter => "RT",
            Self::Transformer => "T",
            Self::CutOut => "S",
            Self::SectionChoke => "L",
            Self::Rectifier | Self::ReverseDiode | Self::ClampDiode => "D",
            Self::RectifierSink | Self::RegulatorSink => "HS",
            Self::RectifierPad | Self::RegulatorPad => "TP",
            Self::Reservoir | Self::SectionCapacitor | Self::InputCapacitor | Self::OutputCapacitor => "C",
            Self::PassTransistor | Self::LimitTransistor => "Q",
            Self::SectionResistor
            | Self::Ballast
            | Self::Drive
            | Self::Bleeder
            | Self::SetUpper
            | Self::SetLower
            | Self::MinimumLoad => "R",
            Self::Regulator => "U",
        }
    }

    /// The position in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::PrimaryFuse => "mains fuse",
            Self::InrushLimiter => "inrush limiter",
            Self::Transformer => "mains transformer",
            Self::CutOut => "thermal cut-out",
            Self::SecondaryFuse => "secondary fuse",
            Self::Rectifier => "rectifier",
            Self::RectifierSink => "rectifier heat sink",
            Self::RectifierPad => "rectifier interface pad",
            Self::SectionChoke => "filter choke",
            Self::Reservoir => "reservoir capacitor",
            Self::SectionResistor => "section resistor",
            Self::SectionCapacitor => "second capacitor",
            Self::Bleeder => "bleeder",
            Self::Regulator => "regulator",
            Self::RegulatorSink => "regulator heat sink",
            Self::RegulatorPad => "regulator interface pad",
            Self::PassTransistor => "pass transistor",
            Self::LimitTransistor => "limit transistor",
            Self::Ballast => "ballast resistor",
            Self::Drive => "drive resistor",
            Self::SetUpper => "upper set resistor",
            Self::SetLower => "lower set resistor",
            Self::MinimumLoad => "minimum-load resistor",
            Self::InputCapacitor => "input capacitor",
            Self::OutputCapacitor => "output capacitor",
            Self::ReverseDiode => "reverse diode",
            Self::ClampDiode => "clamp diode",
        }
    }
}
