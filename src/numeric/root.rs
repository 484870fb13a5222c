//! Roots of one function between two points of opposite sign: Newton's steps inside a shrinking bracket.

/// A bracket halves at worst each second step, so 200 steps exhaust any interval of `f64`.
const MAX_STEPS: u32 = 200;

/// Whether the function passes from minus to plus or the reverse.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crossing {
    /// Negative at the lower end.
    Upward,
    /// Positive at the lower end.
    Downward,
}

/// The root of `f` in `low..=high`, `f` giving value and slope.
///
/// Newton's step is taken where it stays inside the bracket, the midpoint otherwise. Ends when a Newton step is
/// shorter than `step_tolerance` (that step is still taken, so the error is of the order of its square) or when the
/// bracket is exhausted. The sign at the ends is the caller's claim; where it does not hold an end is returned.
#[inline]
pub fn newton_between(
    low: f64,
    high: f64,
    start: f64,
    crossing: Crossing,
    step_tolerance: f64,
    mut f: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut at = if start > low && start < high { start } else { 0.5 * (low + high) };
    for _ in 0..MAX_STEPS {
        let (value, slope) = f(at);
        if value == 0.0 {
            return at;
        }
        if (value < 0.0) == (crossing == Crossing::Upward) {
            low = at;
        } else {
            high = at;
        }
        let next = at - value / slope;
        if next > low && next < high {
            let step = (next - at).abs();
            at = next;
            if step <= step_tolerance {
                return at;
            }
        } else {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                return middle;
            }
            at = middle;
            if high - low <= f64::EPSILON * (low.abs() + high.abs()) {
                return at;
            }
        }
    }
    at
}

/// The stationary value of `f` between `low` and `high`, `f` giving value and three derivatives.
///
/// Halley's step on the slope where it stays inside the bracket, the midpoint otherwise; `crossing` is that of the
/// slope. Ends when a step is shorter than `step_tolerance`; the value is then extrapolated to the third order, with an
/// error of the order of the fourth power of that step.
#[inline]
pub fn stationary_between(
    low: f64,
    high: f64,
    start: f64,
    crossing: Crossing,
    step_tolerance: f64,
    mut f: impl FnMut(f64) -> [f64; 4],
) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut at = if start > low && start < high { start } else { 0.5 * (low + high) };
    let mut value = 0.0;
    for _ in 0..MAX_STEPS {
        let [height, slope, bend, twist] = f(at);
        if (slope < 0.0) == (crossing == Crossing::Upward) {
            low = at;
        } else {
            high = at;
        }
        let step = -slope / (bend - 0.5 * slope * twist / bend);
        let next = at + step;
        if step.abs() <= step_tolerance {
            return height + step * (slope + step * (0.5 * bend + step * twist / 6.0));
        }
        value = height;
        if next > low && next < high {
            at = next;
        } else {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            at = middle;
        }
    }
    value
}

/// The root of a function without slope, by the secant rule of Illinois inside the bracket and halving where it stalls.
///
/// `f(low)` must not have the sign of `f(high)`; ends when the bracket is a few units in the last place wide.
pub fn bracketed(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    let mut side = 0_i8;
    for step in 0..MAX_STEPS {
        if fa == 0.0 {
            return a;
        }
        if fb == 0.0 {
            return b;
        }
        let middle = 0.5 * (a + b);
        if (b - a).abs() <= 2.0 * f64::EPSILON * (a.abs() + b.abs())
            || middle <= a.min(b)
            || middle >= a.max(b)
        {
            return middle;
        }
        let secant = (a * fb - b * fa) / (fb - fa);
        let inside = secant > a.min(b) && secant < a.max(b);
        let next = if inside && step % 3 != 2 { secant } else { middle };
        let value = f(next);
        if (value < 0.0) == (fa < 0.0) {
            a = next;
            fa = value;
            if side == 1 {
                fb *= 0.5;
            }
            side = 1;
        } else {
            b = next;
            fb = value;
            if side == -1 {
                fa *= 0.5;
            }
            side = -1;
        }
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the Dottie number, OEIS A003957: cos x = x at 0.739085133215160641…
    #[test]
    fn both_methods_find_where_the_cosine_equals_its_argument() {
        let dottie = 0.739_085_133_215_160_6;
        let newton =
            newton_between(0.0, 1.0, 0.1, Crossing::Downward, 1e-6, |x| (x.cos() - x, -x.sin() - 1.0));
        assert!((newton - dottie).abs() < 2e-12);
        assert!((bracketed(0.0, 1.0, |x| x.cos() - x) - dottie).abs() < 1e-15);
    }

    /// Source: elementary calculus, `x e⁻ˣ` is greatest at 1.
    #[test]
    fn the_stationary_value_is_found_from_either_side() {
        for start in [0.1, 2.9] {
            let value = stationary_between(0.0, 3.0, start, Crossing::Downward, 1e-4, |x| {
                let kept = (-x).exp();
                [x * kept, (1.0 - x) * kept, (x - 2.0) * kept, (3.0 - x) * kept]
            });
            assert!((value - (-1.0_f64).exp()).abs() < 1e-15);
        }
    }

    #[test]
    fn a_slope_that_lies_cannot_leave_the_bracket() {
        let root = newton_between(0.0, 1.0, 0.5, Crossing::Upward, 1e-12, |x| (x - 0.3, -1.0));
        assert!((root - 0.3).abs() < 1e-12);
    }
}
