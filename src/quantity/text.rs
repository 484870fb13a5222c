//! Reads a number with its unit from text: `12 V`, `2200 uF`, `4k7`, `45 degC`, `-20 %`.
//!
//! The prefix joins the number as a decimal exponent and the whole is parsed once, so that `2200 uF` is the
//! same value as the literal `2200e-6`. Knows nothing of files or of what range a value may have.

use super::unit::{Quantity, Unit};

/// Text that is not the quantity it should be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found `{found}`, allowed {allowed}{}", .hint.as_ref().map(|hint| format!(" (hint: {hint})")).unwrap_or_default())]
pub struct TextError {
    /// The text that was found.
    pub found: String,
    /// What would have been allowed.
    pub allowed: String,
    /// The remedy, where there is one to name.
    pub hint: Option<String>,
}

/// Decimal prefixes; µ is read as U+00B5 and as U+03BC.
const PREFIXES: [(&str, i32); 9] = [
    ("p", -12),
    ("n", -9),
    ("u", -6),
    ("\u{b5}", -6),
    ("\u{3bc}", -6),
    ("m", -3),
    ("k", 3),
    ("M", 6),
    ("G", 9),
];

/// Letters of the resistance code of IEC 60062, which stand for the decimal point.
const LETTERS: [(char, i32); 4] = [('R', 0), ('k', 3), ('K', 3), ('M', 6)];

/// Longest text worth looking at; a longer one is no quantity.
const LONGEST: usize = 64;

/// Reads a quantity.
pub fn read<Q: Quantity>(text: &str) -> Result<Q, TextError> {
    let trimmed = text.trim_ascii();
    if trimmed.len() > LONGEST {
        return Err(refusal::<Q>(trimmed, Some("write one number and one unit".to_owned())));
    }
    if Q::LETTER_CODE
        && let Some(value) = letter_code(trimmed)
    {
        return finite::<Q>(trimmed, value);
    }
    let Some(number) = Number::split(trimmed) else {
        return Err(refusal::<Q>(trimmed, hint_without_number::<Q>(trimmed)));
    };
    let word = number.rest.trim_start_matches(is_gap).trim_end();
    if word.is_empty() {
        return Err(refusal::<Q>(trimmed, Some(format!("add the unit: `{trimmed} {}`", Q::UNITS[0].word))));
    }
    let Some((unit, prefix)) = find_unit(Q::UNITS, word) else {
        return Err(refusal::<Q>(trimmed, Some(hint_on_unit::<Q>(&number, word))));
    };
    let Some(value) = join(&number, prefix + unit.exponent) else {
        return Err(refusal::<Q>(trimmed, Some("the exponent is too large".to_owned())));
    };
    // Most units are powers of ten; a product with one is exact and the branch spares nothing.
    finite::<Q>(trimmed, Scaled { value: value.value * unit.factor, ..value })
}

/// A value and whether any of its digits is other than zero.
#[derive(Clone, Copy)]
struct Scaled {
    value: f64,
    nonzero: bool,
}

fn finite<Q: Quantity>(text: &str, scaled: Scaled) -> Result<Q, TextError> {
    if !scaled.value.is_finite() {
        return Err(refusal::<Q>(text, Some("the number is too large to be held".to_owned())));
    }
    if scaled.nonzero && scaled.value == 0.0 {
        return Err(refusal::<Q>(text, Some("the number is so small that it would become zero".to_owned())));
    }
    // `-0 V` reads as zero, so that equal values print equally.
    Ok(Q::from_si(scaled.value + 0.0))
}

/// The parts of a decimal number and what follows it.
struct Number<'t> {
    mantissa: &'t str,
    negative: bool,
    exponent: i32,
    rest: &'t str,
}

impl<'t> Number<'t> {
    fn split(text: &'t str) -> Option<Self> {
        let (negative, text) = match text.chars().next()? {
            sign @ ('-' | '\u{2212}') => (true, text.get(sign.len_utf8()..)?),
            '+' => (false, text.get(1..)?),
            _ => (false, text),
        };
        let digits = |from: &str| from.bytes().take_while(u8::is_ascii_digit).count();
        let whole = digits(text);
        let mut end = whole;
        let after = text.get(whole..)?;
        let mut decimals = 0;
        if let Some(fraction) = after.strip_prefix('.') {
            decimals = digits(fraction);
            end += 1 + decimals;
        }
        if whole + decimals == 0 {
            return None;
        }
        let (mantissa, mut rest) = text.split_at_checked(end)?;
        let mut exponent = 0;
        if let Some(power) = rest.strip_prefix(['e', 'E']) {
            let signed = usize::from(power.starts_with(['+', '-']));
            let count = power.get(signed..).map_or(0, digits);
            if count > 0 {
                let (figures, behind) = power.split_at_checked(signed + count)?;
                exponent = figures.parse().unwrap_or(if power.starts_with('-') { -9999 } else { 9999 });
                rest = behind;
            }
        }
        Some(Self { mantissa, negative, exponent, rest })
    }
}

/// Joins number and power of ten into one text and parses that once.
fn join(number: &Number<'_>, power: i32) -> Option<Scaled> {
    let exponent = number.exponent.checked_add(power)?;
    let nonzero = number.mantissa.bytes().any(|digit| (b'1'..=b'9').contains(&digit));
    let joined = Joined::new(number.mantissa, exponent);
    let value: f64 = joined.as_str().parse().ok()?;
    Some(Scaled { value: if number.negative { -value } else { value }, nonzero })
}

/// Text on the stack: mantissa, `e`, exponent. A catalog holds tens of thousands of quantities.
struct Joined {
    bytes: [u8; LONGEST + 8],
    len: usize,
}

impl Joined {
    fn new(mantissa: &str, exponent: i32) -> Self {
        use std::io::Write as _;
        let mut bytes = [0; LONGEST + 8];
        let room = bytes.len();
        let mut free = bytes.as_mut_slice();
        // A text that does not fit stays cut off and fails to parse; `LONGEST` keeps it from happening.
        let fits = if exponent == 0 {
            free.write_all(mantissa.as_bytes())
        } else {
            write!(free, "{mantissa}e{exponent}")
        };
        let len = if fits.is_ok() { room - free.len() } else { 0 };
        Self { bytes, len }
    }
    fn as_str(&self) -> &str {
        self.bytes.get(..self.len).and_then(|bytes| std::str::from_utf8(bytes).ok()).unwrap_or("")
    }
}

/// `4k7`, `4R7`, `47R`, `R47`, `2M2`, `4.7k`: IEC 60062 and its everyday relatives.
fn letter_code(text: &str) -> Option<Scaled> {
    let at = text.find(|c: char| LETTERS.iter().any(|(letter, _)| *letter == c))?;
    let (before, from) = text.split_at_checked(at)?;
    let after = from.get(1..)?;
    let letter = from.chars().next()?;
    let (_, power) = LETTERS.iter().find(|(known, _)| *known == letter)?;
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let before = before.trim_end_matches(is_gap);
    if before.len() + after.len() == 0 || !digits(after) {
        return None;
    }
    let joined = if after.is_empty() {
        // A letter at the end may follow a decimal point.
        let number = Number::split(before)?;
        return if number.rest.is_empty() { join(&number, *power) } else { None };
    } else if digits(before) {
        format!("{before}.{after}")
    } else {
        return None;
    };
    join(&Number { mantissa: &joined, negative: false, exponent: 0, rest: "" }, *power)
}

fn find_unit(units: &'static [Unit], word: &str) -> Option<(&'static Unit, i32)> {
    if let Some(unit) = units.iter().find(|unit| unit.word == word) {
        return Some((unit, 0));
    }
    PREFIXES.iter().find_map(|(prefix, power)| {
        let bare = word.strip_prefix(prefix)?;
        units.iter().find(|unit| unit.prefixed && unit.word == bare).map(|unit| (unit, *power))
    })
}

fn is_gap(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\u{a0}' | '\u{202f}' | '\u{2009}')
}

fn refusal<Q: Quantity>(found: &str, hint: Option<String>) -> TextError {
    let mut shown: String = found.chars().take(LONGEST).collect();
    if shown.len() < found.len() {
        shown.push('…');
    }
    TextError { found: shown, allowed: format!("{} such as `{}`", Q::NOUN, Q::EXAMPLE), hint }
}

fn hint_without_number<Q: Quantity>(text: &str) -> Option<String> {
    let low = text.trim_start_matches(['-', '+', '.']).to_ascii_lowercase();
    if low.starts_with("nan") || low.starts_with("inf") {
        return Some("a finite number is needed".to_owned());
    }
    if text.is_empty() {
        return None;
    }
    Some(format!("begin with the number: `{}`", Q::EXAMPLE))
}

fn hint_on_unit<Q: Quantity>(number: &Number<'_>, word: &str) -> String {
    if word.starts_with(',') {
        return "write a decimal point, and no separator between thousands".to_owned();
    }
    if word.starts_with(|c: char| c.is_ascii_digit()) {
        return "write the number without gaps".to_owned();
    }
    let sign = if number.negative { "-" } else { "" };
    // Case alone is wrong, as in `5 v` or `50 HZ`: say the word as it should be. Never turn M into m.
    let near = Q::UNITS.iter().find(|unit| unit.word.eq_ignore_ascii_case(word));
    let near = near.or_else(|| match word {
        "C" | "degrees" | "deg" => Q::UNITS.iter().find(|unit| unit.word == "°C"),
        "percent" => Q::UNITS.iter().find(|unit| unit.word == "%"),
        "hours" | "hrs" | "hour" => Q::UNITS.iter().find(|unit| unit.word == "h"),
        _ => None,
    });
    let number_text = format!("{sign}{}", number.mantissa);
    near.map_or_else(
        || format!("the unit `{word}` does not measure {}; use `{}`", Q::NOUN, Q::UNITS[0].word),
        |unit| format!("write `{number_text} {}`", unit.word),
    )
}

#[cfg(test)]
mod tests;
