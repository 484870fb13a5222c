//! Where the power goes on a core, element by element and rail by rail.
//!
//! Every element by its own integral: behind half-wave rails the halves of the others part, and no figure of the most loaded
//! diode or winding would do.

use super::core::CoreSteady;
use super::places::{LOAD_I, LOAD_V, PER_OUTPUT, Places, SECTION_I};
use super::tally::{Wish, gather};

/// Powers of one rail, W; zero where it has no such element.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RailPowers {
    /// Windings.
    pub winding_w: f64,
    /// Diodes.
    pub diodes_w: f64,
    /// First capacitors, the coupling capacitor of a cascade among them.
    pub c1_w: f64,
    /// Filter resistors.
    pub filter_w: f64,
    /// Chokes.
    pub choke_w: f64,
    /// Second capacitors.
    pub c2_w: f64,
    /// Loads.
    pub load_w: f64,
    /// Taken from the EMF.
    pub input_w: f64,
}

/// Powers of a core.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CorePowers {
    /// In what all rails share, W.
    pub primary_w: f64,
    /// Mean of the primary current, referred to one half of the first winding, A: what half-wave rails leave.
    pub primary_mean_a: f64,
    /// Each rail.
    pub rails: Vec<RailPowers>,
}

impl CoreSteady {
    /// Where the power goes.
    pub fn powers(&self) -> CorePowers {
        let steady = &self.steady;
        let net = &steady.net;
        let places = Places::of(net);
        let at = |output: usize, signal: usize| places.output + PER_OUTPUT * output + signal;
        let emf = (0..net.windings.len()).map(|w| (places.winding + w, places.emf));
        let loads = (0..net.outputs.len()).map(|o| (at(o, LOAD_V), at(o, LOAD_I)));
        let products: Vec<(usize, usize)> = emf.chain(loads).collect();
        let rows = |mode: usize| places.rows(net, steady.cache.entry(mode));
        let integrals: Vec<usize> = (0..places.count).collect();
        let wish = Wish { rows: &rows, integrals: &integrals, extremes: &[], products: &products };
        // Of half a period that mirrors the other the powers are those of both.
        let tally = gather(&steady.cache, net.omega, &steady.stretches, &wish);
        let mean = |signal: usize| tally.sum[signal] / steady.span;
        let square = |signal: usize| tally.square[signal] / steady.span;
        let product = |nth: usize| tally.product[nth] / steady.span;
        let capacitor = |&c: &usize| net.capacitors[c].esr * square(places.capacitor + c);
        let rails = net.rails.iter().map(|rail| {
            let mut one = RailPowers::default();
            for &w in &rail.windings {
                one.winding_w += net.windings[w].resistance * square(places.winding + w);
                one.input_w += net.windings[w].gain * product(w);
            }
            for &o in &rail.outputs {
                let output = &net.outputs[o];
                for &d in &output.diodes {
                    let (signal, slope) = (places.diode + d, net.diode_slope[d]);
                    one.diodes_w += net.diodes[d].threshold_v * mean(signal) + slope * square(signal);
                }
                one.c1_w += output.first_caps.iter().map(capacitor).sum::<f64>();
                one.c2_w += output.second_cap.iter().map(capacitor).sum::<f64>();
                // Without capacitors the section is the load itself.
                if let Some((ohm, _)) = output.section.as_ref().filter(|_| !output.load_caps.is_empty()) {
                    let lost = ohm * square(at(o, SECTION_I));
                    *if output.choke.is_some() { &mut one.choke_w } else { &mut one.filter_w } += lost;
                }
                one.load_w += product(net.windings.len() + o);
            }
            one
        });
        CorePowers {
            primary_w: net.common * square(places.primary),
            primary_mean_a: if net.mirror.is_some() { 0.0 } else { mean(places.primary) },
            rails: rails.collect(),
        }
    }
}
