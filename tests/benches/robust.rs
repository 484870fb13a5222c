//! A million random circuits of each kind: how many are solved, collapse, need the bracket or the general engine, and
//! the worst residuals.

#![expect(clippy::print_stdout, reason = "a benchmark answers on standard output")]

#[path = "../support/draw.rs"]
mod draw;

use draw::{Dice, EXTREME, Ranges, USUAL, circuit, spec};
use railwright::circuit::reservoir::{Pulse, Unsolved, figures, steady};

const CIRCUITS: u32 = 1_000_000;
/// Circuits with leakage, which are slower.
const LEAKY: u32 = 200_000;

#[derive(Default)]
struct Count {
    solved: u32,
    collapsed: u32,
    elsewhere: u32,
    outside: u32,
    bracketed: u32,
    iterations: [u32; 21],
    residual: f64,
    energy: f64,
    disorder: u32,
}

impl Count {
    fn refused(&mut self, why: Unsolved) {
        match why {
            Unsolved::Collapsed => self.collapsed += 1,
            Unsolved::NotMine => self.elsewhere += 1,
            _ => self.outside += 1,
        }
    }

    fn say(&self, name: &str) {
        println!(
            "{name}: solved {}, collapsed {}, general engine {}, outside {}, bracketed {}, worst residual {:.1e}, \
             worst energy residual {:.1e}, out of order {}, iterations {:?}",
            self.solved,
            self.collapsed,
            self.elsewhere,
            self.outside,
            self.bracketed,
            self.residual,
            self.energy,
            self.disorder,
            self.iterations
        );
    }
}

fn survey(name: &str, ranges: Ranges, constant_current: bool, leakage: Option<(f64, f64)>) {
    let mut dice = Dice(11);
    let mut count = Count::default();
    for number in 0..if leakage.is_some() { LEAKY } else { CIRCUITS } {
        let drawn = circuit(&mut dice, ranges, constant_current);
        let l = leakage.map_or(0.0, |(low, high)| dice.log(low, high));
        let part = spec(&drawn, l, number % 3 == 0);
        match steady(&part) {
            Ok(state) => {
                let f = figures(&state);
                count.solved += 1;
                count.bracketed += u32::from(state.pulse().is_some_and(Pulse::bracketed));
                count.iterations[f.iterations as usize] += 1;
                count.residual = count.residual.max(f.residual);
                count.energy = count.energy.max(f.energy_residual.abs());
                let (o, slack) = (f.output, 1e-12 * part.winding.emf_peak.0);
                let ordered = o.load_min_v <= o.load_mean_v + slack
                    && o.load_mean_v <= o.load_max_v + slack
                    && o.load_min_v > -slack
                    && o.diode_avg_a <= o.diode_rms_a
                    && o.diode_rms_a <= o.diode_peak_a;
                count.disorder += u32::from(!ordered);
            }
            Err(why) => count.refused(why),
        }
    }
    count.say(name);
}

fn main() {
    survey("resistance, usual", USUAL, false, None);
    survey("current, usual", USUAL, true, None);
    survey("resistance, extreme", EXTREME, false, None);
    survey("current, extreme", EXTREME, true, None);
    survey("resistance, leakage", USUAL, false, Some((0.01, 3.0)));
    survey("current, leakage", USUAL, true, Some((0.01, 3.0)));
}
