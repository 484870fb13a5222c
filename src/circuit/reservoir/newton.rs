//! The two angles of the current pulse: a ripple-free guess, Newton's method, a bracket where it fails.
//!
//! Angles are counted from the crest of the EMF, `lead` before it and `lag` after it, so that short pulses keep their
//! digits. Knows nothing of figures; the facts that make the bracket certain are in `derivation.md`.

use super::Unsolved;
use super::form::{Form, cosine_difference};
use crate::numeric::decay;
use crate::numeric::root::{Crossing, bracketed, newton_between};

/// Newton's method gives way to the bracket after this many iterations.
const MAX_ITERATIONS: u32 = 12;
/// A step below this part of the pulse width is the last: convergence is quadratic, the next error is rounding.
const LAST_STEP: f64 = 1e-7;
/// A step that leaves the proven box goes this far to the wall.
const TO_WALL: f64 = 0.8;

/// The solved angles and how they were found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Angles {
    /// Turn-on before the crest, rad.
    pub lead: f64,
    /// Turn-off after the crest, rad.
    pub lag: f64,
    /// Sine and cosine of the lead.
    pub on: (f64, f64),
    /// Sine and cosine of the lag.
    pub off: (f64, f64),
    /// Newton iterations.
    pub iterations: u32,
    /// Whether the bracket was needed.
    pub bracketed: bool,
}

/// Residuals of the pulse: current at turn-off, and level at the next turn-on less the EMF there.
#[derive(Clone, Copy, Debug)]
struct Residuals {
    on: (f64, f64),
    off: (f64, f64),
    current: f64,
    level: f64,
    slopes: [f64; 4],
}

#[inline]
fn residuals(form: &Form, lead: f64, lag: f64) -> Residuals {
    let (sp, cp) = lead.sin_cos();
    let (sq, cq) = lag.sin_cos();
    let rise = cosine_difference((sq, cq), (sp, cp));
    let lost = -(-form.b * (lead + lag)).exp_m1();
    let start = form.c0 + form.s * cp + form.q * sp;
    let current = form.s * rise - form.q * (sp + sq) + start * lost;

    let off = form.cycle - lead - lag;
    let u = form.ag * off;
    let mean = decay::first(u);
    let (fall_on, fall_off) = (form.fall(cp - form.t), form.fall(cq - form.t));
    let level = rise - fall_off * off * mean;
    let kept = 1.0 - u * mean;
    Residuals {
        on: (sp, cp),
        off: (sq, cq),
        current,
        level,
        slopes: [
            (sp + fall_on) * (1.0 - lost),
            fall_off - sq - form.b * current,
            sp + fall_off * kept,
            (fall_off - sq) * kept,
        ],
    }
}

/// Half the width of the pulse into an infinite reservoir: `2 sin f − 2 f cos f = D (j + g (cos f − t))`.
#[inline]
fn half_width(form: &Form) -> f64 {
    let asked = form.j + form.g * (1.0 - form.t);
    let mut f = (1.5 * form.cycle * asked).cbrt().min(1.5);
    for _ in 0..2 {
        let (sin, cos) = f.sin_cos();
        let excess = 2.0 * (sin - f * cos) - form.cycle * (form.j + form.g * (cos - form.t));
        f -= excess / (sin * (2.0 * f + form.cycle * form.g));
        f = f.clamp(1e-12, 1.5);
    }
    f
}

/// First guess of lead and lag.
#[inline]
pub(super) fn guess(form: &Form) -> (f64, f64) {
    let f = half_width(form);
    let level = f.cos();
    let above = (level - form.t).max(0.0);
    let sag = if form.ag * form.cycle > 0.3 {
        above * -(-form.ag * form.cycle).exp_m1() + form.a * form.j * form.cycle
    } else {
        form.fall(above) * (form.cycle - 2.0 * f).max(0.3)
    };
    // 1 − cos of the two angles, so that short pulses keep their digits.
    let dip = 2.0 * (0.5 * f).sin().powi(2);
    let on = (dip + 0.5 * sag).min(0.98 * (1.0 - form.t));
    let off = (dip - 0.5 * sag).max(0.5 * dip);
    (2.0 * (0.5 * on).sqrt().asin(), (2.0 * (0.5 * off).sqrt().asin()).min(0.98 * form.wall))
}

/// Solves the circuit, or says that the load takes more than the source gives.
#[inline]
pub(super) fn solve(form: &Form) -> Result<Angles, Unsolved> {
    let wall = form.wall;
    // Even an output held at zero draws no more than this from the source.
    if form.cycle * form.j > 2.0 * (wall.sin() - wall * form.t) {
        return Err(Unsolved::Collapsed);
    }
    let (mut lead, mut lag) = guess(form);
    for iteration in 1..=MAX_ITERATIONS {
        let at = residuals(form, lead, lag);
        let [a, b, c, d] = at.slopes;
        let determinant = a * d - b * c;
        let step_lead = (b * at.level - d * at.current) / determinant;
        let step_lag = (c * at.current - a * at.level) / determinant;
        if !(step_lead.is_finite() && step_lag.is_finite()) {
            break;
        }
        let small = step_lead.abs().max(step_lag.abs()) < LAST_STEP * (lead + lag);
        let (to_lead, to_lag) = (lead + step_lead, lag + step_lag);
        let boxed = to_lead > 0.0 && to_lead <= wall && to_lag > 0.0 && to_lag <= wall;
        lead = inside(lead, to_lead, wall);
        lag = inside(lag, to_lag, wall);
        if small && boxed {
            let (on, off) = (turned(at.on, step_lead), turned(at.off, step_lag));
            return Ok(Angles { lead, lag, on, off, iterations: iteration, bracketed: false });
        }
    }
    bracket(form)
}

/// Sine and cosine after the last step, whose cube is below rounding.
#[inline]
fn turned((sin, cos): (f64, f64), step: f64) -> (f64, f64) {
    let fall = 0.5 * step * step;
    (sin + (step * cos - fall * sin), cos - (step * sin + fall * cos))
}

/// One coordinate's step, kept inside `0..wall`.
#[inline]
fn inside(from: f64, to: f64, wall: f64) -> f64 {
    if to <= 0.0 {
        from * (1.0 - TO_WALL)
    } else if to > wall {
        from + TO_WALL * (wall - from)
    } else {
        to
    }
}

/// Lag at which the current that began at `lead` falls through zero, or `None` if it still flows where the EMF falls
/// below the threshold, which an output above zero forbids.
fn turn_off(form: &Form, lead: f64) -> Option<f64> {
    if residuals(form, lead, form.wall).current > 0.0 {
        return None;
    }
    Some(newton_between(0.0, form.wall, lead, Crossing::Downward, 1e-13 * lead, |lag| {
        let at = residuals(form, lead, lag);
        (at.current, at.slopes[1])
    }))
}

/// One root-find inside another: the change of level over a cycle rises strictly with the lead, because the circuit is
/// incrementally passive and its cycle map contracts.
#[cold]
fn bracket(form: &Form) -> Result<Angles, Unsolved> {
    let change = |lead: f64| turn_off(form, lead).map_or(-1.0, |lag| residuals(form, lead, lag).level);
    let lead = if change(form.wall) >= 0.0 {
        bracketed(0.0, form.wall, |lead| if lead > 0.0 { change(lead) } else { -1.0 })
    } else if form.j > 0.0 {
        return Err(Unsolved::Collapsed);
    } else {
        // A source loaded by a resistance alone cannot be pulled below zero: the sign is rounding.
        form.wall
    };
    let lag = match turn_off(form, lead) {
        Some(lag) => lag,
        None if form.j > 0.0 => return Err(Unsolved::Collapsed),
        None => form.wall,
    };
    let (on, off) = (lead.sin_cos(), lag.sin_cos());
    Ok(Angles { lead, lag, on, off, iterations: MAX_ITERATIONS, bracketed: true })
}

#[cfg(test)]
mod tests {
    use super::super::form::{Bank, Draw, Source};
    use super::*;

    /// Source: second method. The bracket uses no slope and no guess.
    #[test]
    fn newton_and_the_bracket_find_the_same_pulse_or_the_same_collapse() {
        let (mut compared, mut collapsed) = (0, 0);
        for number in 0..3000_u32 {
            let part = |step: f64| (f64::from(number) * step).fract();
            let (omega_cr, ratio) =
                (10_f64.powf(3.0 * part(0.618034) - 0.5), 10_f64.powf(4.0 * part(0.414214) - 4.0));
            let source = Source {
                emf_peak_v: 1.0,
                omega_rad_s: 1.0,
                resistance_ohm: 1.0,
                drop_v: 0.4 * part(0.732051),
                full_wave: number % 2 == 0,
            };
            let bank = Bank { capacitance_f: omega_cr, esr_ohm: 0.0 };
            let draw = if number % 3 == 0 { Draw::resistance(1.0 / ratio) } else { Draw::current(ratio) };
            let (form, _) = Form::of(&source, &bank, draw).expect("in the domain");
            match (solve(&form), bracket(&form)) {
                (Ok(a), Ok(b)) => {
                    compared += 1;
                    assert!(!a.bracketed, "{form:?}");
                    let width = a.lead + a.lag;
                    assert!((a.lead - b.lead).abs() < 1e-9 * width && (a.lag - b.lag).abs() < 1e-9 * width);
                }
                (Err(a), Err(b)) => {
                    collapsed += 1;
                    assert_eq!(a, b);
                }
                (a, b) => panic!("{a:?} {b:?} {form:?}"),
            }
        }
        assert!(compared > 1500 && collapsed > 100, "{compared} {collapsed}");
    }
}
