//! A million random circuits each: how many are solved, collapse, need the bracket, and the worst residuals.

#[path = "../support/draw.rs"]
mod draw;

use draw::{Dice, EXTREME, Ranges, USUAL, circuit};
use railwright::circuit::reservoir::{Pulse, Unsolved};

const CIRCUITS: u32 = 1_000_000;

fn survey(name: &str, ranges: Ranges, constant_current: bool) {
    let mut dice = Dice(11);
    let (mut solved, mut collapsed, mut outside, mut bracketed) = (0_u32, 0_u32, 0_u32, 0_u32);
    let (mut iterations, mut worst, mut width) = ([0_u32; 13], 0.0_f64, (f64::MAX, 0.0_f64));
    let mut disorder = 0_u32;
    for _ in 0..CIRCUITS {
        let (source, bank, draw) = circuit(&mut dice, ranges, constant_current);
        match Pulse::solve(&source, &bank, draw) {
            Ok(pulse) => {
                solved += 1;
                bracketed += u32::from(pulse.bracketed());
                iterations[pulse.iterations() as usize] += 1;
                worst = worst.max(pulse.residual());
                width = (width.0.min(pulse.width()), width.1.max(pulse.width()));
                let (low, mean, high) = (pulse.min_v(), pulse.mean_v(), pulse.max_v());
                let slack = 1e-12 * source.emf_peak_v;
                disorder += u32::from(!(low <= mean + slack && mean <= high + slack && low > -slack));
            }
            Err(Unsolved::Collapsed) => collapsed += 1,
            Err(_) => outside += 1,
        }
    }
    println!(
        "{name}: solved {solved}, collapsed {collapsed}, outside {outside}, bracketed {bracketed}, \
         iterations {iterations:?}, worst residual {worst:.1e}, pulse {:.2}..{:.2} deg, out of order {disorder}",
        width.0.to_degrees(),
        width.1.to_degrees()
    );
}

fn main() {
    survey("resistance, usual", USUAL, false);
    survey("current, usual", USUAL, true);
    survey("resistance, extreme", EXTREME, false);
    survey("current, extreme", EXTREME, true);
}
