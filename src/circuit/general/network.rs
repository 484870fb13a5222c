//! A rectifier circuit as meshes and branches: which current flows through which element.
//!
//! One mesh a diode path, one through each second section, one through each load. Knows nothing of modes or of time.

use super::domain;
use super::mirror::{self, Mirror};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Branch, Capacitor, Filter, Load, Spec, Topology};
use crate::quantity::{Amps, Ohms, Watts};
use std::f64::consts::TAU;

/// Reactances of the last capacitor that stand for a load without current.
const LEAK: f64 = 1e10;
/// Least slope of the diodes of a ± pair over the winding's resistance: the currents are those of the limit of small slopes.
const LOOP_RESISTANCE: f64 = 1e-6;

/// One diode path: of a bridge two diodes in series, elsewhere one.
#[derive(Clone, Debug)]
pub(super) struct DiodePath {
    /// Threshold of the path, V.
    pub(super) threshold_v: f64,
    /// Diodes in series.
    pub(super) in_series: f64,
}

/// One winding or half winding.
#[derive(Clone, Debug)]
pub(super) struct WindingRow {
    /// EMF over the reference EMF; negative for the second half.
    pub(super) gain: f64,
    pub(super) resistance: f64,
    /// Meshes through it.
    pub(super) row: Vec<f64>,
    /// Its leakage among the inductors.
    pub(super) inductor: Option<usize>,
}

/// A capacitor with its series resistance.
#[derive(Clone, Debug)]
pub(super) struct CapacitorRow {
    pub(super) farads: f64,
    pub(super) esr: f64,
    pub(super) row: Vec<f64>,
}

/// An inductance: a leakage or a choke.
#[derive(Clone, Debug)]
pub(super) struct InductorRow {
    pub(super) henries: f64,
    pub(super) row: Vec<f64>,
}

/// What draws the load current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LoadPlace {
    /// In series with the diodes: no capacitor anywhere.
    OnRectifier,
    /// A mesh of its own through the last capacitors.
    Mesh(usize),
}

/// One output and where its figures are read.
#[derive(Clone, Debug)]
pub(super) struct Output {
    pub(super) diodes: Vec<usize>,
    pub(super) load: Load,
    pub(super) place: LoadPlace,
    /// Capacitors whose terminal voltages add up to the load voltage.
    pub(super) load_caps: Vec<usize>,
    /// Capacitors whose terminal voltages add up to the reservoir voltage, where a second section follows.
    pub(super) reservoir_caps: Vec<usize>,
    /// Every first capacitor (two in a doubler).
    pub(super) first_caps: Vec<usize>,
    /// The second capacitor.
    pub(super) second_cap: Option<usize>,
    /// The choke among the inductors.
    pub(super) choke: Option<usize>,
    /// Filter resistor or choke winding: resistance and meshes through it.
    pub(super) section: Option<(f64, Vec<f64>)>,
}

/// The windings and outputs of one rail.
#[derive(Clone, Debug)]
pub(super) struct Rail {
    pub(super) windings: Vec<usize>,
    pub(super) outputs: Vec<usize>,
    pub(super) topology: Topology,
}

/// All elements and where they sit.
#[derive(Clone, Debug)]
pub(super) struct Network {
    pub(super) omega: f64,
    /// Reference EMF, V peak.
    pub(super) emf_peak: f64,
    pub(super) meshes: usize,
    pub(super) diodes: Vec<DiodePath>,
    /// Slope resistance of one diode path belongs to `resistors`; kept for the losses.
    pub(super) diode_slope: Vec<f64>,
    pub(super) windings: Vec<WindingRow>,
    pub(super) inductors: Vec<InductorRow>,
    pub(super) capacitors: Vec<CapacitorRow>,
    pub(super) outputs: Vec<Output>,
    pub(super) rails: Vec<Rail>,
    /// Common resistance and the referred primary current.
    pub(super) common: f64,
    pub(super) primary_row: Vec<f64>,
    pub(super) mirror: Option<Mirror>,
}

impl Network {
    /// Number of state variables before any constraint.
    pub(super) fn order(&self) -> usize {
        self.inductors.len() + self.capacitors.len()
    }

    /// Mains period, s.
    pub(super) fn period(&self) -> f64 {
        TAU / self.omega
    }

    /// Resistance of a diode path: its slope and the windings it goes through, ohm.
    pub(super) fn path_resistance(&self, diode: usize) -> f64 {
        self.diode_slope[diode] + self.windings.iter().map(|w| w.row[diode].abs() * w.resistance).sum::<f64>()
    }

    /// A current of the size of the loads', A.
    pub(super) fn load_scale(&self) -> f64 {
        let of = |output: &Output| match output.load {
            Load::Resistance(ohm) => self.emf_peak / ohm.0,
            Load::Current(amps) => amps.0,
            Load::Power(watts) => watts.0 / self.emf_peak,
        };
        self.outputs.iter().map(of).sum()
    }

    /// Whether a load draws constant power.
    pub(super) fn draws_power(&self) -> bool {
        self.outputs.iter().any(|output| matches!(output.load, Load::Power(_)))
    }

    /// Joins the rails to one network; `common` is referred to one half of the first rail.
    pub(super) fn of(rails: &[Spec], common: f64) -> Result<Self, NoSteadyState> {
        let first = rails.first().ok_or(NoSteadyState::NotACircuit { why: "a core without a winding" })?;
        for spec in rails {
            domain::check(spec)?;
            if spec.winding.frequency != first.winding.frequency {
                return Err(NoSteadyState::NotACircuit { why: "one core has one mains frequency" });
            }
        }
        let meshes = rails.iter().map(mesh_count).sum();
        let mut net = Self {
            omega: TAU * first.winding.frequency.0,
            emf_peak: first.winding.emf_peak.0,
            meshes,
            diodes: Vec::new(),
            diode_slope: Vec::new(),
            windings: Vec::new(),
            inductors: Vec::new(),
            capacitors: Vec::new(),
            outputs: Vec::new(),
            rails: Vec::new(),
            common,
            primary_row: vec![0.0; meshes],
            mirror: None,
        };
        let mut next_diode = 0;
        let mut next_mesh = rails.iter().map(|spec| paths(spec.topology)).sum();
        for spec in rails {
            net.join(spec, &mut next_diode, &mut next_mesh);
        }
        for winding in &net.windings {
            for (into, &share) in net.primary_row.iter_mut().zip(&winding.row) {
                *into += winding.gain * share;
            }
        }
        net.mirror = mirror::find(&net);
        Ok(net)
    }

    fn row(&self, entries: &[(usize, f64)]) -> Vec<f64> {
        let mut row = vec![0.0; self.meshes];
        for &(mesh, share) in entries {
            row[mesh] += share;
        }
        row
    }

    fn join(&mut self, spec: &Spec, next_diode: &mut usize, next_mesh: &mut usize) {
        let d = *next_diode;
        let count = paths(spec.topology);
        *next_diode += count;
        let in_series = if spec.topology == Topology::Bridge { 2.0 } else { 1.0 };
        // All four diodes of a ± pair conducting close a loop: without a slope the current round it would be undetermined.
        let paired = spec.topology == Topology::DualComplementary;
        let trace = if paired { LOOP_RESISTANCE * spec.winding.resistance.0 } else { 0.0 };
        for _ in 0..count {
            self.diodes.push(DiodePath { threshold_v: in_series * spec.diode.threshold.0, in_series });
            self.diode_slope.push((in_series * spec.diode.slope.0).max(trace));
        }
        let gain = spec.winding.emf_peak.0 / self.emf_peak;
        let halves: Vec<(f64, Vec<(usize, f64)>)> = match spec.topology {
            Topology::HalfWave => vec![(gain, vec![(d, 1.0)])],
            Topology::CentreTap => vec![(gain, vec![(d, 1.0)]), (-gain, vec![(d + 1, 1.0)])],
            Topology::Bridge | Topology::FullWaveDoubler => vec![(gain, vec![(d, 1.0), (d + 1, -1.0)])],
            Topology::HalfWaveDoubler => vec![(gain, vec![(d, -1.0), (d + 1, 1.0)])],
            Topology::DualComplementary => {
                vec![(gain, vec![(d, 1.0), (d + 2, -1.0)]), (-gain, vec![(d + 1, 1.0), (d + 3, -1.0)])]
            }
        };
        let mut rail = Rail { windings: Vec::new(), outputs: Vec::new(), topology: spec.topology };
        for (gain, through) in halves {
            let row = self.row(&through);
            let inductor = (spec.winding.leakage.0 > 0.0).then(|| {
                self.inductors.push(InductorRow { henries: spec.winding.leakage.0, row: row.clone() });
                self.inductors.len() - 1
            });
            rail.windings.push(self.windings.len());
            self.windings.push(WindingRow { gain, resistance: spec.winding.resistance.0, row, inductor });
        }
        let (positive, negative): (Vec<usize>, Vec<usize>) = match spec.topology {
            Topology::HalfWave => (vec![d], Vec::new()),
            Topology::DualComplementary => (vec![d, d + 1], vec![d + 2, d + 3]),
            _ => (vec![d, d + 1], Vec::new()),
        };
        rail.outputs.push(self.output(spec.topology, &spec.output, &positive, next_mesh));
        if let Some(branch) = &spec.negative {
            rail.outputs.push(self.output(spec.topology, branch, &negative, next_mesh));
        }
        self.rails.push(rail);
    }

    fn cap(&mut self, part: Capacitor, entries: &[(usize, f64)]) -> usize {
        let row = self.row(entries);
        self.capacitors.push(CapacitorRow { farads: part.capacitance.0, esr: part.esr.0, row });
        self.capacitors.len() - 1
    }

    fn output(
        &mut self,
        topology: Topology,
        branch: &Branch,
        diodes: &[usize],
        next_mesh: &mut usize,
    ) -> usize {
        let mut take = || {
            *next_mesh += 1;
            *next_mesh - 1
        };
        let section_mesh = matches!(branch.filter, Filter::Crc(..) | Filter::Clc(..)).then(&mut take);
        let place =
            if branch.filter == Filter::None { LoadPlace::OnRectifier } else { LoadPlace::Mesh(take()) };
        let load_mesh = match place {
            LoadPlace::Mesh(mesh) => Some(mesh),
            LoadPlace::OnRectifier => None,
        };
        // What leaves the first capacitors: the second section, or the load itself.
        let onward: Vec<(usize, f64)> = section_mesh.or(load_mesh).iter().map(|&mesh| (mesh, -1.0)).collect();
        let with = |through: &[(usize, f64)]| -> Vec<(usize, f64)> { [through, &onward].concat() };
        let rectified: Vec<(usize, f64)> = diodes.iter().map(|&d| (d, 1.0)).collect();
        let mut out = Output {
            diodes: diodes.to_vec(),
            load: drained(branch, self.omega),
            place,
            load_caps: Vec::new(),
            reservoir_caps: Vec::new(),
            first_caps: Vec::new(),
            second_cap: None,
            choke: None,
            section: None,
        };
        if let Filter::Reservoir(first) | Filter::Crc(first, ..) | Filter::Clc(first, ..) = branch.filter {
            match topology {
                Topology::FullWaveDoubler => {
                    let upper = self.cap(first, &with(&[(diodes[0], 1.0)]));
                    let lower = self.cap(first, &with(&[(diodes[1], 1.0)]));
                    out.first_caps = vec![upper, lower];
                    out.load_caps.clone_from(&out.first_caps);
                }
                Topology::HalfWaveDoubler => {
                    let coupling = self.cap(first, &[(diodes[0], 1.0), (diodes[1], -1.0)]);
                    let reservoir = self.cap(first, &with(&[(diodes[1], 1.0)]));
                    out.first_caps = vec![reservoir, coupling];
                    out.load_caps = vec![reservoir];
                }
                _ => {
                    out.first_caps = vec![self.cap(first, &with(&rectified))];
                    out.load_caps.clone_from(&out.first_caps);
                }
            }
        }
        let through_section = section_mesh.map_or_else(|| rectified.clone(), |mesh| vec![(mesh, 1.0)]);
        let second = match branch.filter {
            Filter::Crc(_, _, second)
            | Filter::Clc(_, _, second)
            | Filter::Lc(_, second)
            | Filter::Rc(_, second) => Some(second),
            Filter::None | Filter::Reservoir(_) => None,
        };
        match branch.filter {
            Filter::Crc(_, series, _) | Filter::Rc(series, _) => {
                out.section = Some((series.0, self.row(&through_section)));
            }
            Filter::Clc(_, choke, _) | Filter::Lc(choke, _) => {
                let row = self.row(&through_section);
                self.inductors.push(InductorRow { henries: choke.inductance.0, row: row.clone() });
                out.choke = Some(self.inductors.len() - 1);
                out.section = Some((choke.resistance.0, row));
            }
            Filter::None => {
                if let Load::Resistance(load) = branch.load {
                    out.section = Some((load.0, self.row(&through_section)));
                }
            }
            Filter::Reservoir(_) => {}
        }
        if let Some(part) = second {
            let mut entries = through_section;
            entries.extend(load_mesh.map(|mesh| (mesh, -1.0)));
            let cap = self.cap(part, &entries);
            out.second_cap = Some(cap);
            out.reservoir_caps = std::mem::replace(&mut out.load_caps, vec![cap]);
        }
        self.outputs.push(out);
        self.outputs.len() - 1
    }
}

/// A load without any current is taken as a leak so small that its sag is a ten-thousand-millionth: without it every voltage
/// above the peak would be a steady state.
fn drained(branch: &Branch, omega: f64) -> Load {
    match (branch.load, branch.filter) {
        (Load::Current(Amps(0.0)) | Load::Power(Watts(0.0)), filter) => {
            let part = match filter {
                Filter::Crc(_, _, part)
                | Filter::Clc(_, _, part)
                | Filter::Lc(_, part)
                | Filter::Rc(_, part)
                | Filter::Reservoir(part) => part,
                Filter::None => return branch.load,
            };
            Load::Resistance(Ohms(LEAK / (omega * part.capacitance.0)))
        }
        (load, _) => load,
    }
}

fn paths(topology: Topology) -> usize {
    match topology {
        Topology::HalfWave => 1,
        Topology::DualComplementary => 4,
        _ => 2,
    }
}

fn mesh_count(spec: &Spec) -> usize {
    let of = |branch: &Branch| match branch.filter {
        Filter::None => 0,
        Filter::Crc(..) | Filter::Clc(..) => 2,
        Filter::Reservoir(_) | Filter::Lc(..) | Filter::Rc(..) => 1,
    };
    paths(spec.topology) + of(&spec.output) + spec.negative.as_ref().map_or(0, of)
}
