//! The two angles of a pulse through leakage inductance, and the tests that it is the only pulse.
//!
//! The circuit can ring, and a ringing one may draw several pulses a cycle: a solution is given only where the current
//! stays above zero on a grid finer than the ringing, no diode could conduct in the rest, and charge balances.
//! Everything else is the general engine's ([`Unsolved::NotMine`]).

use std::f64::consts::PI;

use super::Unsolved;
use super::flow::{Flow, Step};
use super::form::{Form, Scale};
use super::leaky::Leaky;
use super::newton;
use super::summit::Summits;
use super::wave::{GRID_MAX, Marks, Wave};
use crate::numeric::decay;

/// Newton's method gives up after this many iterations.
const MAX_ITERATIONS: u32 = 20;
/// A step below this part of the pulse width is the last.
const LAST_STEP: f64 = 1e-7;
/// Charge in less charge out, of what the load takes in a cycle.
const CHARGE_BALANCE: f64 = 1e-10;
/// Step of the march that looks for the turn-off, rad.
const MARCH: f64 = 0.12;
/// Which halves may conduct together or hand over without rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Handover {
    /// One pulse a period.
    Single,
    /// Two separate halves: both could conduct at once.
    Overlapping,
    /// One winding: the next pair takes over when the current reaches zero.
    Commutating,
}

/// Solves the circuit with `l = ωL/R'`.
pub(super) fn solve(form: &Form, scale: &Scale, l: f64, handover: Handover) -> Result<Leaky, Unsolved> {
    let flow = Flow::of(form, l);
    let starts = [Some(newton::guess(form).0), newton::solve(form).ok().map(|angles| angles.lead)];
    for lead in starts.into_iter().flatten() {
        if let Some(leaky) = iterate(form, scale, &flow, lead) {
            if let Some(leaky) = accept(leaky, handover) {
                return sunk(&leaky).map(|()| leaky);
            }
            break;
        }
    }
    if handover == Handover::Commutating
        && let Some(leaky) = unbroken(form, scale, &flow).and_then(|leaky| accept(leaky, handover))
    {
        return sunk(&leaky).map(|()| leaky);
    }
    Err(Unsolved::NotMine)
}

/// A constant current that pulls the output to zero has no steady state here.
fn sunk(leaky: &Leaky) -> Result<(), Unsolved> {
    if leaky.level_on > leaky.form.fall(leaky.level_on) * (leaky.lead + leaky.lag) {
        return Ok(());
    }
    let (rho, marks) = (leaky.scale.rho, leaky.marks);
    let level = leaky.refine(marks.valley, [rho, 1.0, 0.0], crate::numeric::root::Crossing::Upward);
    if leaky.form.j > 0.0 && level <= 0.0 { Err(Unsolved::Collapsed) } else { Ok(()) }
}

/// First zero of the current after a turn-on at `lead`, between two steps of a march; `None` within a whole cycle.
fn march(leaky: &Leaky) -> Option<f64> {
    let step_angle = MARCH.min(0.6 / leaky.flow.ringing.max(1e-9));
    let step = leaky.flow.step(step_angle);
    let (turn_sin, turn_cos) = step_angle.sin_cos();
    let (sin, cos) = leaky.lead.sin_cos();
    let (mut sin, mut cos) = (-sin, cos);
    let (mut free, mut psi, mut before) = (leaky.free, -leaky.lead, 0.0);
    while psi < leaky.form.cycle - leaky.lead {
        free = step.apply(free);
        (sin, cos) = (sin * turn_cos + cos * turn_sin, cos * turn_cos - sin * turn_sin);
        psi += step_angle;
        let current = leaky.flow.forced(cos, -sin).0 + free.0;
        if current <= 0.0 {
            return Some(psi - step_angle * current / (current - before).min(-f64::MIN_POSITIVE));
        }
        before = current;
    }
    None
}

/// Newton's method from a first lead; the lag is found by a march.
fn iterate(form: &Form, scale: &Scale, flow: &Flow, lead: f64) -> Option<Leaky> {
    let mut lead = lead;
    let level = |lead: f64| lead.cos() - form.t;
    let mut lag = march(&Leaky::from_start(form, scale, flow, lead, level(lead)))?;
    for iteration in 1..=MAX_ITERATIONS {
        let mut leaky = Leaky::from_start(form, scale, flow, lead, level(lead));
        let step: Step = flow.step(lead + lag);
        let (sin, cos) = lag.sin_cos();
        let forced = flow.forced(cos, -sin);
        let free = step.apply(leaky.free);
        let (x, y) = (forced.0 + free.0, forced.1 + free.1);
        let off = form.cycle - lead - lag;
        let u = form.ag * off;
        let (mean, fall) = (decay::first(u), form.fall(y));
        let kept = 1.0 - u * mean;
        let residual = (y - leaky.level_on) - fall * off * mean;
        // A later turn-on is the same pulse with its start moved by `lift`.
        let lift = lead.sin() + form.fall(leaky.level_on);
        let (a, b) = (-step.xy * lift, (cos - form.t - x - y) / flow.l);
        let (c, d) = (lead.sin() + kept * (fall - step.yy * lift), form.a * x * kept);
        let determinant = a * d - b * c;
        let step_lead = (b * residual - d * x) / determinant;
        let step_lag = (c * x - a * residual) / determinant;
        if !(step_lead.is_finite() && step_lag.is_finite()) {
            return None;
        }
        let small = step_lead.abs().max(step_lag.abs()) < LAST_STEP * (lead + lag);
        let boxed = |to: f64, from: f64, low: f64, high: f64| {
            if to <= low {
                from + 0.8 * (low - from)
            } else if to > high {
                from + 0.8 * (high - from)
            } else {
                to
            }
        };
        let (to_lead, to_lag) = (lead + step_lead, lag + step_lag);
        let next = (boxed(to_lead, lead, 0.0, form.wall), boxed(to_lag, lag, 0.0, form.cycle - lead));
        let kept_inside = (next.0 - to_lead).abs() + (next.1 - to_lag).abs() <= 0.0;
        // A long step may pass a zero of the ringing current: look for the first one again.
        let far = (next.0 - lead).abs() > 0.1 * (lead + lag);
        (lead, lag) = next;
        if small && kept_inside {
            leaky = Leaky::from_start(form, scale, flow, lead, level(lead));
            leaky.lag = lag;
            let end = leaky.state(lag);
            leaky.level_off = end.1;
            let rest_level = leaky.level_after(leaky.rest()) - leaky.level_on;
            leaky.residual = end.0.abs().max(rest_level.abs());
            leaky.iterations = iteration;
            return Some(leaky);
        }
        if far {
            lag = march(&Leaky::from_start(form, scale, flow, lead, level(lead)))?;
        }
    }
    None
}

/// Conduction handed from pair to pair without rest: `z(α + π) = z(α)` with `x = 0` at both, linear in the sine and
/// cosine of the turn-on.
fn unbroken(form: &Form, scale: &Scale, flow: &Flow) -> Option<Leaky> {
    let p = flow.step(PI);
    // K = (1 − P)⁻¹ (1 + P), z(α) = base − K swing(α)
    let (a, b, c, d) = (1.0 - p.xx, -p.xy, -p.yx, 1.0 - p.yy);
    let size = a * d - b * c;
    let gain = |(x, y): (f64, f64)| {
        let (x, y) = ((1.0 + p.xx) * x + p.xy * y, p.yx * x + (1.0 + p.yy) * y);
        ((d * x - b * y) / size, (a * y - c * x) / size)
    };
    let (with_sin, with_cos) = (gain(flow.swinging(1.0, 0.0)), gain(flow.swinging(0.0, 1.0)));
    let (base_x, base_y) = flow.base();
    // with_sin.0 sin α + with_cos.0 cos α = base_x
    let reach = with_sin.0.hypot(with_cos.0);
    let aside = (base_x / reach).acos();
    let centre = with_sin.0.atan2(with_cos.0);
    [centre - aside, centre + aside].into_iter().find_map(|alpha| {
        let (sin, cos) = alpha.sin_cos();
        let level_on = base_y - with_sin.1 * sin - with_cos.1 * cos;
        if level_on.is_nan() || sin - form.t < level_on {
            return None;
        }
        let lead = std::f64::consts::FRAC_PI_2 - alpha;
        let lead = if lead > PI { lead - 2.0 * PI } else { lead };
        let mut leaky = Leaky::from_start(form, scale, flow, lead, level_on);
        leaky.lag = PI - lead;
        leaky.level_off = level_on;
        let (x, y) = leaky.state(leaky.lag);
        leaky.residual = x.abs().max((y - level_on).abs());
        leaky.iterations = 1;
        (leaky.residual < 1e-10).then_some(leaky)
    })
}

/// The tests that the pulse is whole and alone; marks the extremes on the way.
fn accept(mut leaky: Leaky, handover: Handover) -> Option<Leaky> {
    let form = leaky.form;
    let rho = leaky.scale.rho;
    let two = handover != Handover::Single;
    if two && leaky.lead + leaky.lag > form.cycle + 1e-12 {
        return None;
    }
    if !alone(&leaky, two) {
        return None;
    }
    let taken = form.cycle * (form.j + form.g * leaky.level_on.max(0.0));
    if leaky.residual > CHARGE_BALANCE * form.a * taken {
        return None;
    }
    let count = leaky.grid();
    if count > GRID_MAX {
        return None;
    }
    let (mut whole, mut other) = (true, true);
    let [mut peak, mut valley, mut crest, mut dips] = [Summits::new(); 4];
    let (low, high) = leaky.span();
    let step = (high - low) / f64::from(count);
    leaky.walk(count, |psi, sin, (x, y)| {
        let level = y + rho * x;
        let inner = psi > low + 0.5 * step && psi < high - 0.5 * step;
        if inner {
            whole &= x > 0.0;
        }
        // A dip between two looks can be deeper than they show.
        if let Some((at, height)) = dips.look(-x, psi) {
            whole &= at < low + 0.5 * step || height < 0.0;
        }
        other &= handover != Handover::Overlapping || -sin - form.t <= level;
        peak.look(x, psi);
        valley.look(-level, psi);
        crest.look(level, psi);
    });
    if !(whole && other) {
        return None;
    }
    let mark = |looks: Summits, weights| {
        if looks.contested() { leaky.summit(weights) } else { leaky.near(looks.best.1) }
    };
    leaky.marks = Marks {
        peak: mark(peak, [1.0, 0.0, 0.0]),
        valley: mark(valley, [-rho, -1.0, 0.0]),
        crest: mark(crest, [rho, 1.0, 0.0]),
    };
    Some(leaky)
}

/// Whether no diode could conduct between turn-off and the next turn-on.
///
/// Up to `θ = π` the excess `sin θ − t − y` is concave (`y` falls as an exponential), so its slope at turn-off or its
/// one maximum decides; from a zero of the EMF to the next turn-on it is concave and rises through zero once, since
/// the turn-on lies before the crest.
fn alone(leaky: &Leaky, two: bool) -> bool {
    let form = &leaky.form;
    if leaky.rest() <= 1e-12 {
        return true;
    }
    if leaky.lead < 0.0 || leaky.level_off < 0.0 {
        return false;
    }
    if leaky.lag >= 0.5 * PI {
        // Past the zero of the EMF: the other pair must not be able to conduct already.
        return !two || -leaky.lag.cos() - form.t <= leaky.level_off;
    }
    let excess = |psi: f64| psi.cos() - form.t - leaky.level_after(psi - leaky.lag);
    let slope = form.fall(leaky.level_off) - leaky.lag.sin();
    if slope <= 0.0 {
        return true;
    }
    // The slope falls from here on: walk to where it ends and look at the excess there.
    let at = crate::numeric::root::newton_between(
        leaky.lag,
        0.5 * PI,
        leaky.lag,
        crate::numeric::root::Crossing::Downward,
        1e-6,
        |psi| {
            let fall = form.fall(leaky.level_after(psi - leaky.lag));
            (fall - psi.sin(), -form.ag * fall - psi.cos())
        },
    );
    excess(at) < 0.0
}
