//! A formula as it is printed, and one filled in: what the report's workings are made of.
//!
//! Computes nothing and formats no number: the caller supplies the text of each value. Every law of this storey keeps
//! its [`Formula`] beside its function.

/// How a published figure is known to this project.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Read in the source itself.
    Seen,
    /// Read in a second witness that quotes the source.
    SeenSecond,
    /// Recalled, not read.
    Memory,
    /// Usual in the trade; nobody published it for us.
    CommonPractice,
}

impl Known {
    /// The words printed beside a figure.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::SeenSecond => "seen in a second witness",
            Self::Memory => "from memory",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// Whence a formula comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Printed somewhere.
    Published {
        /// Author, title, edition.
        title: &'static str,
        /// Section, equation, table or page.
        place: &'static str,
        /// How we know it.
        known: Known,
    },
    /// Follows from the premises named.
    Derived {
        /// The premises, in a line.
        from: &'static str,
    },
    /// Usual in the trade, without a source.
    CommonPractice,
}

impl std::fmt::Display for Source {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Published { title, place, known: Known::Seen } => write!(out, "{title}, {place}"),
            Self::Published { title, place, known } => write!(out, "{title}, {place} ({})", known.text()),
            Self::Derived { from } => write!(out, "derived: {from}"),
            Self::CommonPractice => write!(out, "{}", Known::CommonPractice.text()),
        }
    }
}

/// One symbol of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// As it stands in the text, one word.
    pub name: &'static str,
    /// SI unit, empty for a ratio.
    pub unit: &'static str,
    /// What it means, with rms, peak, average, min or max where it matters.
    pub meaning: &'static str,
}

/// A law on the page: `symbol = text`, what the symbols mean, where it holds and whence it comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Formula {
    /// Stable name, lower case with hyphens.
    pub id: &'static str,
    /// Symbol of the result.
    pub symbol: &'static str,
    /// Unit of the result, empty for a ratio.
    pub unit: &'static str,
    /// Right-hand side.
    pub text: &'static str,
    /// Symbols of the right-hand side.
    pub symbols: &'static [Symbol],
    /// Where it is valid, and how it fails beyond.
    pub domain: &'static str,
    /// Whence it comes.
    pub source: Source,
}

/// One symbol, short to write.
pub(super) const fn sym(name: &'static str, unit: &'static str, meaning: &'static str) -> Symbol {
    Symbol { name, unit, meaning }
}

impl Formula {
    pub(super) const fn new(
        id: &'static str,
        (symbol, unit): (&'static str, &'static str),
        text: &'static str,
        symbols: &'static [Symbol],
        domain: &'static str,
        source: Source,
    ) -> Self {
        Self { id, symbol, unit, text, symbols, domain, source }
    }

    /// This formula with values put in; the texts carry their units.
    pub fn working(&'static self, values: &[(&'static str, String)], result: impl Into<String>) -> Working {
        Working { formula: self, substitution: values.to_vec(), result: result.into() }
    }

    /// The words (symbols and function names) of the right-hand side, in order.
    pub fn words(&self) -> Vec<&'static str> {
        pieces(self.text).into_iter().filter(|(_, is_word)| *is_word).map(|(piece, _)| piece).collect()
    }
}

/// A formula with the values that went in and the value that came out, as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Working {
    /// The law.
    pub formula: &'static Formula,
    /// Symbol and value, in the order they are to be read.
    pub substitution: Vec<(&'static str, String)>,
    /// The result with its unit.
    pub result: String,
}

impl Working {
    /// The equation in symbols: `ΔV = I / (2 f C)`.
    pub fn equation(&self) -> String {
        format!("{} = {}", self.formula.symbol, self.formula.text)
    }

    /// The equation with each symbol replaced by its value in parentheses, and the result:
    /// `ΔV = (1 A) / (2 (50 Hz) (1 mF)) = 10 V`. Symbols without a value stay as they are.
    pub fn substituted(&self) -> String {
        let mut line = format!("{} = ", self.formula.symbol);
        for (piece, is_word) in pieces(self.formula.text) {
            match self.substitution.iter().find(|(name, _)| is_word && *name == piece) {
                Some((_, value)) => {
                    line.push('(');
                    line.push_str(value);
                    line.push(')');
                }
                None => line.push_str(piece),
            }
        }
        line.push_str(" = ");
        line.push_str(&self.result);
        line
    }
}

/// Cuts a text into words (which begin with a letter) and what stands between them.
fn pieces(text: &'static str) -> Vec<(&'static str, bool)> {
    let belongs = |c: char| (c.is_alphanumeric() && !matches!(c, '²' | '³')) || matches!(c, '_' | '\'');
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let is_token = belongs(first);
        let end = rest.find(|c: char| belongs(c) != is_token).unwrap_or(rest.len());
        let (piece, tail) = rest.split_at(end);
        found.push((piece, is_token && first.is_alphabetic()));
        rest = tail;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const RIPPLE: Formula = Formula::new(
        "test-ripple",
        ("ΔV", "V"),
        "I / (2 f C)",
        &[sym("I", "A", "load"), sym("f", "Hz", "mains"), sym("C", "F", "capacitance")],
        "small ripple",
        Source::CommonPractice,
    );

    #[test]
    fn a_working_shows_symbols_then_values_then_the_result() {
        let values = [("I", "1 A".to_owned()), ("f", "50 Hz".to_owned()), ("C", "1 mF".to_owned())];
        let working = RIPPLE.working(&values, "10 V");
        assert_eq!(working.equation(), "ΔV = I / (2 f C)");
        assert_eq!(working.substituted(), "ΔV = (1 A) / (2 (50 Hz) (1 mF)) = 10 V");
    }

    #[test]
    fn a_symbol_without_a_value_stays_a_symbol_and_numbers_are_never_replaced() {
        let working = RIPPLE.working(&[("2", "9".to_owned()), ("I", "1 A".to_owned())], "10 V");
        assert_eq!(working.substituted(), "ΔV = (1 A) / (2 f C) = 10 V");
    }

    #[test]
    fn a_source_says_how_it_is_known() {
        let recalled = Source::Published { title: "A Book", place: "p. 1", known: Known::Memory };
        assert_eq!(recalled.to_string(), "A Book, p. 1 (from memory)");
        assert_eq!(Source::CommonPractice.to_string(), "common practice, no source");
    }
}
