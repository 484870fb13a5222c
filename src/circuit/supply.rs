//! One rail as plain numbers: everything a corner needs, nothing of the catalog.
//!
//! All values are referred to the path that conducts: one winding, two in series or parallel, or one half of a tapped one.

use crate::{
    numeric::few::{Few, MOST},
    physics::diode::WarmLine,
};

use super::spec::Topology;

/// Low, nominal and high value of one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lower end.
    pub low: f64,
    /// Nominal value.
    pub nominal: f64,
    /// Upper end.
    pub high: f64,
}

/// What a load heats: how long a peak must last before it counts in full.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Body {
    /// Nothing that has mass: voltages, ripple, peak currents. A peak counts as it is.
    Instant,
    /// A package in free air, a fuse wire, a thermistor.
    Light,
    /// A winding, a heat sink, the core of a reservoir, the air inside.
    Heavy,
}

/// Current drawn from the reservoir, auxiliaries included, A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Least.
    pub low: f64,
    /// Greatest continuous one.
    pub nominal: f64,
    /// Greatest at any instant.
    pub high: f64,
    /// Steady current that heats a light body as the profile does; `high` without a peak.
    pub light: f64,
    /// Steady current that heats a heavy body as the profile does; `high` without a peak.
    pub heavy: f64,
}

impl Drawn {
    /// One current at all times.
    pub fn steady(amps: f64) -> Self {
        Self { low: amps, nominal: amps, high: amps, light: amps, heavy: amps }
    }

    /// The same with more at the high end.
    #[must_use]
    pub fn with_more(self, amps: f64) -> Self {
        Self { high: self.high + amps, light: self.light + amps, heavy: self.heavy + amps, ..self }
    }

    /// The high end as a body counts it.
    pub fn high_of(&self, body: Body) -> f64 {
        match body {
            Body::Instant => self.high,
            Body::Light => self.light,
            Body::Heavy => self.heavy,
        }
    }

    /// The same with a steady high end that heats a body as the profile does.
    fn lasting(self, body: Body) -> Self {
        let amps = self.high_of(body);
        Self { high: amps, light: amps, heavy: amps, ..self }
    }

    /// Its ends, a peak as if it lasted.
    pub fn span(&self) -> Span {
        Span { low: self.low, nominal: self.nominal, high: self.high }
    }

    /// Whether the high end lasts too short to heat in full.
    pub fn peaks(&self) -> bool {
        self.heavy < self.high || self.light < self.high
    }
}

/// The transformer as the rectifier and the winding's heat see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Open-circuit rms EMF of the conducting path at nominal mains and nominal secondary voltage, V.
    pub emf_rms_v: f64,
    /// Tolerance of the EMF, both ways.
    pub emf_tolerance: f64,
    /// Secondary resistance of the path at 20 °C, Ω.
    pub secondary_20_ohm: f64,
    /// Primary resistance referred to the path at 20 °C, Ω.
    pub primary_20_ohm: f64,
    /// Source resistance of the mains referred to the path, Ω; has no temperature.
    pub mains_ohm: f64,
    /// Leakage inductance referred to the path, H; zero where none is stated.
    pub leakage_h: f64,
    /// Primary amperes per ampere of the path.
    pub primary_per_path: f64,
    /// Turns of the windings that feed the other rails over those of the path, in their order; one where they are alike or there
    /// is none.
    pub other_turns: [f64; MOST],
    /// Copper loss at rating, W.
    pub copper_rated_w: f64,
    /// Core loss at rated voltage and frequency, W.
    pub iron_rated_w: f64,
    /// Rated primary voltage, V rms.
    pub primary_rated_v: f64,
    /// Frequency of the iron loss, Hz.
    pub iron_frequency_hz: f64,
    /// Winding rise at rated load, K.
    pub rated_rise_k: f64,
    /// No-load primary current at rated voltage, A.
    pub no_load_a: f64,
    /// No-load primary current at 1.1 times rated voltage, A.
    pub no_load_high_a: f64,
}

/// How heat leaves a junction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatPath {
    /// A fixed resistance to air, K/W.
    Direct(f64),
    /// Through case, interface and a sink whose resistance falls with its rise.
    Sink {
        /// Junction to sink, K/W.
        to_sink: f64,
        /// Sink to air at `rise_k`, altitude included, K/W.
        sink: f64,
        /// Rise at which `sink` holds, K.
        rise_k: f64,
        /// Exponent of the dependence on rise.
        exponent: f64,
    },
}

/// The rectifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rectifier {
    /// Threshold and slope of one element between the catalog's two junction temperatures.
    pub line: WarmLine,
    /// Lower end of the threshold over the catalog's greatest.
    pub drop_low_factor: f64,
    /// How the heat of one package leaves.
    pub path: HeatPath,
    /// Elements that share one package: 4 for a bridge, 1 for single diodes.
    pub elements_per_package: u32,
    /// Reverse leakage at greatest junction temperature and rated reverse voltage, A; zero where none is stated.
    pub leakage_hot_a: f64,
}

/// A choke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChokeNumbers {
    /// Inductance: low holds tolerance and saturation, H. It stands at the end of the capacitance.
    pub henry: Span,
    /// Winding resistance at 20 °C, Ω.
    pub ohm_20: f64,
    /// Rise of the winding over the air once warmed up, by the square of its mean current, K/A².
    pub rise_per_a2: f64,
}

/// What stands between rectifier and output beside the bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Section {
    /// A choke before the bank: choke input.
    ChokeInput(ChokeNumbers),
    /// A resistor behind the bank, Ω, and a second bank: CRC. The high end stands where the diodes' threshold is high.
    Crc(Span, Bank),
    /// A choke behind the bank, and a second bank: CLC.
    Clc(ChokeNumbers, Bank),
}

impl Section {
    /// Its choke.
    pub fn choke(&self) -> Option<&ChokeNumbers> {
        match self {
            Self::ChokeInput(choke) | Self::Clc(choke, _) => Some(choke),
            Self::Crc(..) => None,
        }
    }

    /// Its bank, where that is a second one.
    pub fn second(&self) -> Option<&Bank> {
        match self {
            Self::ChokeInput(_) => None,
            Self::Crc(_, bank) | Self::Clc(_, bank) => Some(bank),
        }
    }
}

/// The reservoir bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank {
    /// Capacitance of the bank: low holds tolerance and end of life, F.
    pub farad: Span,
    /// ESR of the bank at 20 °C and above: low new, high greatest at end of life, Ω.
    pub esr_ohm: Span,
    /// ESR at the least ambient over that at 20 °C.
    pub esr_cold_ratio: f64,
    /// Capacitance at the least ambient over that at 20 °C.
    pub farad_cold_ratio: f64,
}

/// Another rail on another secondary of the same transformer, or on the other side of the same tapped winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Whether it hangs on the other side of the rail's own tap.
    pub of_tap: bool,
    /// Current drawn from its reservoir, auxiliaries included, A.
    pub load_a: Drawn,
    /// What it is made of. `None`: it is alike but for its turns and its load, its pulses as long as the rail's own;
    /// then the closed form holds, with the primary's resistance counted `1 + Σ n I_other/I_own` times (`R_s + 2R_p'` of two at
    /// equal turns and loads).
    pub parts: Option<BesideParts>,
}

/// What another rail is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BesideParts {
    /// Topology.
    pub topology: Topology,
    /// Its winding.
    pub source: Source,
    /// Its rectifier.
    pub rectifier: Rectifier,
    /// Its bank.
    pub bank: Bank,
}

/// Air around the parts, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Least room temperature, nothing heated.
    pub cold_c: f64,
    /// Inside, nominal.
    pub nominal_c: f64,
    /// Inside, greatest room temperature.
    pub hot_c: f64,
}

/// One rail as plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Topology.
    pub topology: Topology,
    /// Mains rms voltage, V.
    pub mains_v: Span,
    /// Peak over √2 rms of the mains; counts at the low end only.
    pub peak_factor: f64,
    /// Mains frequency, Hz.
    pub frequency_hz: Span,
    /// Transformer.
    pub source: Source,
    /// Rectifier.
    pub rectifier: Rectifier,
    /// Reservoir bank: the first that the rectifier charges.
    pub bank: Bank,
    /// What stands before or behind it.
    pub section: Option<Section>,
    /// Current drawn from the reservoir, auxiliaries included, A.
    pub load_a: Drawn,
    /// Air.
    pub air: Air,
    /// What else the transformer feeds.
    pub beside: Few<Beside>,
}

impl Supply {
    /// The same with a steady high load that heats a body as the profile does.
    #[must_use]
    pub fn lasting(&self, body: Body) -> Self {
        let beside = self.beside.map(|one| Beside { load_a: one.load_a.lasting(body), ..one });
        Self { load_a: self.load_a.lasting(body), beside, ..*self }
    }

    /// A choke input.
    pub fn choke_input(&self) -> Option<&ChokeNumbers> {
        match &self.section {
            Some(Section::ChokeInput(choke)) => Some(choke),
            _ => None,
        }
    }

    /// The second bank.
    pub fn second_bank(&self) -> Option<&Bank> {
        self.section.as_ref().and_then(Section::second)
    }

    /// Capacitors in series across the output, each a bank: two in a full-wave doubler.
    pub fn stack(&self) -> f64 {
        stack(self.topology)
    }

    /// Peaks of the EMF in the peak without load.
    pub fn multiple(&self) -> f64 {
        multiple(self.topology)
    }

    /// Energy of all banks without load over that of one bank at the EMF's peak: two alike in a full-wave doubler; in a half-wave
    /// doubler one at it and one at twice it.
    ///
    /// ```text
    /// (C V̂²/2 + C (2 V̂)²/2)/(C V̂²/2) = 5
    /// ```
    /// `V̂` peak of the EMF, V · `C` capacitance of one bank, F. Source: energy of a capacitor; derived.
    pub fn charged_banks(&self) -> f64 {
        match self.topology {
            Topology::FullWaveDoubler => 2.0,
            Topology::HalfWaveDoubler => 5.0,
            _ => 1.0,
        }
    }

    /// Capacitance across the output of a capacitance of each bank, F.
    pub fn across_farad(&self, bank_farad: f64) -> f64 {
        bank_farad / self.stack()
    }
}

/// Capacitors in series across the output of a topology.
pub fn stack(topology: Topology) -> f64 {
    if topology == Topology::FullWaveDoubler { 2.0 } else { 1.0 }
}

/// Peaks of the EMF in the peak without load of a topology, and banks that it takes.
pub fn multiple(topology: Topology) -> f64 {
    match topology {
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 2.0,
        _ => 1.0,
    }
}

impl HeatPath {
    /// Junction temperature at a power, °C. The sink's rise solves `ΔT = P·R·(rise/ΔT)^n` in closed form.
    ///
    /// `ΔT^(1+n) = P·R·rise^n`. Source: derived; the exponent is the part's.
    pub fn junction_c(&self, power_w: f64, air_c: f64) -> f64 {
        match *self {
            Self::Direct(resistance) => air_c + resistance * power_w,
            Self::Sink { to_sink, .. } => air_c + to_sink * power_w + self.sink_rise_k(power_w),
        }
    }

    /// Rise of the sink over air, K; zero without a sink.
    pub fn sink_rise_k(&self, power_w: f64) -> f64 {
        match *self {
            Self::Direct(_) => 0.0,
            Self::Sink { sink, rise_k, exponent, .. } => {
                if power_w <= 0.0 {
                    0.0
                } else {
                    (power_w * sink * rise_k.powf(exponent)).powf(1.0 / (1.0 + exponent))
                }
            }
        }
    }
}
