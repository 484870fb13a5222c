//! The figures of a steady state: rms, means, extremes, conduction, powers and the energy balance.
//!
//! Definitions of every figure are those of [`crate::circuit::figures`]. Knows nothing of how the state was found.

use super::network::{Output, Rail};
use super::places::{LOAD_I, LOAD_V, PER_OUTPUT, Places, RESERVOIR_V, SECTION_I};
use super::steady::Steady;
use super::tally::{Tally, Wish, gather};
use crate::circuit::figures::{Figures, OutputFigures};
use std::f64::consts::FRAC_1_SQRT_2;

/// A choke carries current throughout if its least current is above this share of its greatest.
const CONTINUOUS_SHARE: f64 = 1e-9;

impl Steady {
    /// The figures; of a core with several rails those of the first.
    pub fn figures(&self) -> Figures {
        self.rail_figures(true).into_iter().next().unwrap_or_default()
    }

    /// The figures of every rail, least and greatest values only where `with_extremes`; primary current, input power and energy balance are those of the whole core.
    pub(super) fn rail_figures(&self, with_extremes: bool) -> Vec<Figures> {
        let net = &self.net;
        let places = Places::of(net);
        let mut extremes: Vec<usize> = (0..2 * net.diodes.len()).collect();
        let mut products: Vec<(usize, usize)> =
            (0..net.windings.len()).map(|w| (places.emf, places.winding + w)).collect();
        for (o, output) in net.outputs.iter().enumerate() {
            let at = places.output + PER_OUTPUT * o;
            extremes.push(at + LOAD_V);
            if !output.reservoir_caps.is_empty() {
                extremes.push(at + RESERVOIR_V);
            }
            if output.choke.is_some() {
                extremes.push(at + SECTION_I);
            }
            products.push((at + LOAD_V, at + LOAD_I));
        }
        if !with_extremes {
            extremes.clear();
        }
        let rows = |mode: usize| places.rows(net, self.cache.entry(mode));
        // Of EMF and reverse voltages nothing is integrated.
        let integrals: Vec<usize> = (0..places.count)
            .filter(|&signal| signal != places.emf && !(places.reverse..places.winding).contains(&signal))
            .collect();
        let wish = Wish { rows: &rows, integrals: &integrals, extremes: &extremes, products: &products };
        let mut tally = gather(&self.cache, net.omega, &self.stretches, &wish);
        let mut conduction: Vec<f64> = (0..net.diodes.len())
            .map(|d| {
                let on = |mode: usize| self.cache.entry(mode).key.conducts(d);
                self.stretches.iter().filter(|s| on(s.mode)).map(|s| s.length).sum::<f64>() / self.span
            })
            .collect();
        self.unfold(&places, &mut tally, &mut conduction);
        let reading = Reading { steady: self, places: &places, tally: &tally, conduction: &conduction };
        let (input, lost) = reading.powers();
        net.rails.iter().map(|rail| reading.rail(rail, input, lost)).collect()
    }

    /// Where only half a period was followed, the other half is its mirror image: each of a pair gets the mean of both.
    fn unfold(&self, places: &Places, tally: &mut Tally, conduction: &mut [f64]) {
        let Some(mirror) = &self.net.mirror else { return };
        let pair = |list: &mut [f64], at: usize, a: usize, b: usize, join: fn(f64, f64) -> f64| {
            if b > a {
                let joined = join(list[at + a], list[at + b]);
                list[at + a] = joined;
                list[at + b] = joined;
            }
        };
        let mean = |a: f64, b: f64| 0.5 * (a + b);
        for (a, &b) in mirror.diodes.iter().enumerate() {
            for at in [places.diode, places.reverse] {
                pair(&mut tally.sum, at, a, b, mean);
                pair(&mut tally.square, at, a, b, mean);
                pair(&mut tally.max, at, a, b, f64::max);
                pair(&mut tally.min, at, a, b, f64::min);
            }
            pair(conduction, 0, a, b, mean);
        }
        for (a, &b) in mirror.capacitors.iter().enumerate() {
            pair(&mut tally.square, places.capacitor, a, b, mean);
            pair(&mut tally.sum, places.capacitor, a, b, mean);
        }
        tally.sum[places.primary] = 0.0;
        for rail in &self.net.rails {
            match rail.windings[..] {
                [only] => tally.sum[places.winding + only] = 0.0,
                [a, b] => {
                    for at in [places.winding, places.terminal] {
                        pair(&mut tally.sum, at, a, b, mean);
                        pair(&mut tally.square, at, a, b, mean);
                    }
                    // The products carry the EMF's sign within themselves once the gain is applied.
                    let joined = 0.5 * (tally.product[a] - tally.product[b]);
                    tally.product[a] = joined;
                    tally.product[b] = -joined;
                }
                _ => {}
            }
        }
    }
}

struct Reading<'a> {
    steady: &'a Steady,
    places: &'a Places,
    tally: &'a Tally,
    conduction: &'a [f64],
}

impl Reading<'_> {
    fn mean(&self, signal: usize) -> f64 {
        self.tally.sum[signal] / self.steady.span
    }
    fn mean_square(&self, signal: usize) -> f64 {
        self.tally.square[signal] / self.steady.span
    }
    fn rms(&self, signal: usize) -> f64 {
        self.mean_square(signal).max(0.0).sqrt()
    }
    fn rms_about_mean(&self, signal: usize) -> f64 {
        let (span, tally) = (self.steady.span, self.tally);
        let offset = self.mean(signal) - tally.centre[signal];
        (tally.departure_square[signal] / span - offset * offset).max(0.0).sqrt()
    }

    /// Power at the EMF, and what loads and resistances take of it.
    fn powers(&self) -> (f64, f64) {
        let (net, places) = (&self.steady.net, self.places);
        let mut input = 0.0;
        let mut taken = net.common * self.mean_square(places.primary);
        for (w, winding) in net.windings.iter().enumerate() {
            input += winding.gain * self.tally.product[w] / self.steady.span;
            taken += winding.resistance * self.mean_square(places.winding + w);
        }
        for (d, path) in net.diodes.iter().enumerate() {
            taken += path.threshold_v * self.mean(places.diode + d)
                + net.diode_slope[d] * self.mean_square(places.diode + d);
        }
        for (c, capacitor) in net.capacitors.iter().enumerate() {
            taken += capacitor.esr * self.mean_square(places.capacitor + c);
        }
        for (o, output) in net.outputs.iter().enumerate() {
            taken += self.load_power(o);
            // Without capacitors the section is the load itself.
            if let Some((ohm, _)) = &output.section
                && !output.load_caps.is_empty()
            {
                taken += ohm * self.mean_square(places.output + PER_OUTPUT * o + SECTION_I);
            }
        }
        (input, taken)
    }

    fn load_power(&self, output: usize) -> f64 {
        self.tally.product[self.steady.net.windings.len() + output] / self.steady.span
    }

    fn rail(&self, rail: &Rail, core_input: f64, core_taken: f64) -> Figures {
        let (net, places) = (&self.steady.net, self.places);
        let mut outputs = rail.outputs.iter().map(|&o| self.output(o, &net.outputs[o]));
        let output = outputs.next().unwrap_or_default();
        let negative = outputs.next();
        let Some(&first) = rail.windings.first() else { return Figures::default() };
        let emf_rms = net.emf_peak * net.windings[first].gain.abs() * FRAC_1_SQRT_2;
        let over = |of: &dyn Fn(usize) -> f64| rail.windings.iter().map(|&w| of(w)).sum::<f64>();
        let va_emf_va = over(&|w| emf_rms * self.rms(places.winding + w));
        let input_power_w = over(&|w| net.windings[w].gain * self.tally.product[w] / self.steady.span);
        let primary_rms_a = if net.mirror.is_some() {
            // Half of it is the other half reversed: no mean.
            self.rms(places.primary)
        } else {
            self.rms_about_mean(places.primary)
        };
        let ratio = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
        Figures {
            output,
            negative,
            winding_rms_a: self.rms(places.winding + first),
            winding_mean_a: self.mean(places.winding + first),
            va_emf_va,
            va_terminal_va: over(&|w| self.rms(places.terminal + w) * self.rms(places.winding + w)),
            primary_rms_a,
            input_power_w,
            power_factor_emf: ratio(input_power_w, va_emf_va),
            power_factor_primary: ratio(core_input, net.emf_peak * FRAC_1_SQRT_2 * primary_rms_a),
            energy_residual: ratio(core_input - core_taken, core_input),
            residual: self.steady.residual,
            iterations: self.steady.iterations,
        }
    }

    fn output(&self, index: usize, out: &Output) -> OutputFigures {
        let (places, tally) = (self.places, self.tally);
        let at = places.output + PER_OUTPUT * index;
        let most = |of: &dyn Fn(usize) -> f64| out.diodes.iter().map(|&d| of(d)).fold(0.0, f64::max);
        let cap = |index: usize| self.rms(places.capacitor + index);
        let load = at + LOAD_V;
        let reservoir = (!out.reservoir_caps.is_empty()).then_some(at + RESERVOIR_V);
        let choke = out.choke.map(|_| at + SECTION_I);
        let second = out.second_cap.map(cap);
        OutputFigures {
            load_mean_v: self.mean(load),
            load_min_v: tally.min[load],
            load_max_v: tally.max[load],
            ripple_pp_v: tally.max[load] - tally.min[load],
            ripple_rms_v: self.rms_about_mean(load),
            load_current_mean_a: self.mean(at + LOAD_I),
            load_power_w: self.load_power(index),
            diode_avg_a: most(&|d| self.mean(places.diode + d)),
            diode_rms_a: most(&|d| self.rms(places.diode + d)),
            diode_peak_a: most(&|d| tally.max[places.diode + d]),
            diode_conduction_deg: 360.0 * most(&|d| self.conduction[d]),
            diode_piv_v: most(&|d| tally.max[places.reverse + d]),
            // Of two in a doubler the more stressed one.
            c1_ripple_current_rms_a: out.first_caps.iter().map(|&c| cap(c)).reduce(f64::max),
            c2_ripple_current_rms_a: second,
            reservoir_mean_v: reservoir.map(|signal| self.mean(signal)),
            reservoir_min_v: reservoir.map(|signal| tally.min[signal]),
            reservoir_max_v: reservoir.map(|signal| tally.max[signal]),
            choke_mean_a: choke.map(|signal| self.mean(signal)),
            choke_rms_a: choke.map(|signal| self.rms(signal)),
            choke_min_a: choke.map(|signal| tally.min[signal]),
            choke_max_a: choke.map(|signal| tally.max[signal]),
            choke_continuous: choke.map(|signal| tally.min[signal] > CONTINUOUS_SHARE * tally.max[signal]),
        }
    }
}
