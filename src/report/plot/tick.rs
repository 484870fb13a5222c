//! Where an axis is marked: steps of 1, 2 or 5 times a power of ten.

/// Marks of an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// Lower end of the axis, at or below everything drawn.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Marks with their texts.
    pub marks: Vec<(f64, String)>,
}

impl Ticks {
    /// An axis that holds `low` to `high` with at most about `most` marks.
    pub fn over(low: f64, high: f64, most: f64) -> Self {
        let span = if high > low { high - low } else { 1.0 };
        let raw = span / most.max(1.0);
        let power = raw.log10().floor();
        let unit = 10_f64.powf(power);
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|factor| factor * unit)
            .find(|step| *step >= raw * (1.0 - 1e-9))
            .unwrap_or(10.0 * unit);
        let first = (low / step + 1e-9).floor();
        let last = ((low + span) / step - 1e-9).ceil();
        let digits = if step >= 1.0 { 0.0 } else { (-(step.log10() + 1e-9).floor()).clamp(0.0, 9.0) };
        let mut marks = Vec::new();
        let mut at = first;
        // Bounded: a step is at least a `most`-th of the span.
        while at <= last && marks.len() < 200 {
            let value = at * step;
            marks.push((value, text(value, digits)));
            at += 1.0;
        }
        Self { low: first * step, high: last * step, marks }
    }

    /// Share of the axis below a value.
    pub fn share(&self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }
}

fn text(value: f64, digits: f64) -> String {
    let digits = (0..=9_u8).find(|count| f64::from(*count) >= digits).unwrap_or(9);
    let text = format!("{value:.*}", usize::from(digits));
    text.strip_prefix('-').map_or_else(
        || text.clone(),
        |rest| {
            if rest.bytes().all(|byte| matches!(byte, b'0' | b'.')) {
                rest.to_owned()
            } else {
                format!("−{rest}")
            }
        },
    )
}

#[cfg(test)]
mod tests {
    use super::Ticks;

    #[test]
    fn an_axis_is_marked_at_round_numbers() {
        let texts = |low, high, most| {
            Ticks::over(low, high, most).marks.into_iter().map(|mark| mark.1).collect::<Vec<_>>()
        };
        assert_eq!(texts(0.0, 23.0, 5.0), ["0", "5", "10", "15", "20", "25"]);
        assert_eq!(texts(-0.4, 0.5, 6.0), ["−0.4", "−0.2", "0.0", "0.2", "0.4", "0.6"]);
        assert_eq!(texts(207.0, 253.0, 6.0), ["200", "210", "220", "230", "240", "250", "260"]);
    }

    #[test]
    fn an_axis_holds_what_is_drawn_whatever_it_is() {
        for (low, high) in [(0.0, 0.0), (-3.0, -2.9), (1e-6, 2e-6), (0.0, 1e9)] {
            let ticks = Ticks::over(low, high, 6.0);
            assert!(ticks.low <= low + 1e-12 && ticks.high >= high && ticks.marks.len() >= 2, "{ticks:?}");
            assert!(ticks.marks.len() <= 14, "{ticks:?}");
        }
    }
}
