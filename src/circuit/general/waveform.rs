//! One mains period as samples, with every event exactly where it is.
//!
//! Knows nothing of files or plots.

use super::cache::Cache;
use super::matrix::{Matrix, dot};
use super::network::{Network, Output};
use super::places::{LOAD_I, LOAD_V, PER_OUTPUT, Places, RESERVOIR_V, SECTION_I};
use super::propagate::Stretch;
use super::steady::Steady;

/// One output at one instant; magnitudes for a negative output.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutputSample {
    /// Load voltage, V.
    pub load_v: f64,
    /// Load current, A.
    pub load_a: f64,
    /// Terminal voltage of the first capacitor (of both in a doubler), V; where a second section follows.
    pub reservoir_v: Option<f64>,
    /// Current into the first capacitor, A.
    pub c1_a: Option<f64>,
    /// Current into the second capacitor, A.
    pub c2_a: Option<f64>,
    /// Current of the choke, A.
    pub choke_a: Option<f64>,
}

/// Everything at one instant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sample {
    /// Time from the rising zero of the EMF, s.
    pub time_s: f64,
    /// Whether a diode starts or stops here; an event appears twice, just before and just after.
    pub event: bool,
    /// EMF of the (first) winding or half, V.
    pub emf_v: f64,
    /// Current of each winding or half, A.
    pub winding_a: Vec<f64>,
    /// Current referred to one half, A.
    pub primary_a: f64,
    /// Current of each diode path (of a bridge the two pairs), A.
    pub diode_a: Vec<f64>,
    /// The outputs, negative one last.
    pub outputs: Vec<OutputSample>,
}

impl Steady {
    /// A mains period: `points` evenly spaced instants, both ends included, and every event.
    pub fn waveform(&self, points: u32) -> Vec<Sample> {
        let period = self.net.period();
        let places = Places::of(&self.net);
        let own: Vec<(usize, f64)> = (0..places.count).map(|signal| (signal, 1.0)).collect();
        let mirrored = places.mirrored(&self.net);
        let halves: &[(&[(usize, f64)], f64)] = if self.net.mirror.is_some() {
            &[(&own, 0.0), (&mirrored, 0.5 * period)]
        } else {
            &[(&own, 0.0)]
        };
        let step = period / f64::from(points.max(2) - 1);
        let mut samples = Vec::new();
        let mut next = 0_u32;
        for (half, &(map, shift)) in halves.iter().enumerate() {
            for (nth, stretch) in self.stretches.iter().enumerate() {
                let Some(track) = Track::of(&self.net, &self.cache, &places, stretch) else { continue };
                let begin = shift + stretch.start;
                let next_start = self.stretches.get(nth + 1).map(|stretch| shift + stretch.start);
                let last = next_start.is_none();
                let end = next_start.unwrap_or(if half + 1 == halves.len() { period } else { 0.5 * period });
                if nth > 0 {
                    samples.push(track.sample(&places, map, 0.0, begin, true));
                }
                while next < points.max(2) && (f64::from(next) * step).min(period) <= end {
                    let time = (f64::from(next) * step).min(period);
                    next += 1;
                    // A grid point on an event is the event.
                    if time > begin || (nth == 0 && half == 0) {
                        samples.push(track.sample(&places, map, time - begin, time, false));
                    }
                }
                if !last {
                    samples.push(track.sample(&places, map, stretch.length, end, true));
                }
            }
        }
        samples
    }
}

/// All signals along one stretch.
pub(super) struct Track<'a> {
    net: &'a Network,
    cache: &'a Cache,
    stretch: &'a Stretch,
    curves: Matrix,
}

impl<'a> Track<'a> {
    pub(super) fn of(
        net: &'a Network,
        cache: &'a Cache,
        places: &Places,
        stretch: &'a Stretch,
    ) -> Option<Self> {
        let ready = cache.ready(stretch.mode)?;
        let turned = ready.modal.turn(&places.rows(net, cache.entry(stretch.mode)));
        let mut curves = Matrix::zeros(places.count, ready.modal.basis_len());
        for i in 0..places.count {
            ready.modal.curve(turned.row(i), &stretch.amplitudes, curves.row_mut(i));
        }
        Some(Self { net, cache, stretch, curves })
    }

    fn at(&self, s: f64) -> Vec<f64> {
        let mut basis = vec![0.0; self.curves.cols];
        if let Some(ready) = self.cache.ready(self.stretch.mode) {
            ready.modal.basis(s, self.net.omega * (self.stretch.start + s), &mut basis);
        }
        (0..self.curves.rows).map(|i| dot(self.curves.row(i), &basis)).collect()
    }

    /// Everything `s` after the start of the stretch, read through a map of signals.
    pub(super) fn sample(
        &self,
        places: &Places,
        map: &[(usize, f64)],
        s: f64,
        time_s: f64,
        event: bool,
    ) -> Sample {
        let values = self.at(s);
        let signal = |at: usize| {
            let (from, sign) = map[at];
            sign * values[from]
        };
        let net = self.net;
        let output = |(o, out): (usize, &Output)| {
            let at = places.output + PER_OUTPUT * o;
            let capacitor = |index: usize| signal(places.capacitor + index);
            OutputSample {
                load_v: signal(at + LOAD_V),
                load_a: signal(at + LOAD_I),
                reservoir_v: (!out.reservoir_caps.is_empty()).then(|| signal(at + RESERVOIR_V)),
                c1_a: out.first_caps.first().map(|&index| capacitor(index)),
                c2_a: out.second_cap.map(capacitor),
                choke_a: out.choke.map(|_| signal(at + SECTION_I)),
            }
        };
        Sample {
            time_s,
            event,
            emf_v: signal(places.emf),
            winding_a: (0..net.windings.len()).map(|w| signal(places.winding + w)).collect(),
            primary_a: signal(places.primary),
            diode_a: (0..net.diodes.len()).map(|d| signal(places.diode + d)).collect(),
            outputs: net.outputs.iter().enumerate().map(output).collect(),
        }
    }
}
