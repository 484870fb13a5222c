//! A cursor on one value of a tree: reads it as a quantity, a word, a list, and reports what is wrong with it.
//!
//! A reading that fails has reported its fault and returns `None`.

use std::{cell::RefCell, ops::RangeInclusive};

use rust_decimal::Decimal;

use super::{
    Fault, Fields, Span, Tree, neutral,
    suggest::suggestion,
    tree::{Kind, Node},
};
use crate::quantity::{Currency, Quantity};

/// Longest piece of a file that is quoted in a message, in characters.
const LONGEST_EXCERPT: usize = 48;
/// Significant digits of limits in messages.
const DIGITS: usize = 6;

/// A tree being read, with the faults found so far.
#[derive(Debug)]
pub struct Reader<'t> {
    pub(super) tree: &'t Tree<'t>,
    pub(super) faults: RefCell<Vec<Fault>>,
}

impl<'t> Reader<'t> {
    /// Begins to read.
    pub fn new(tree: &'t Tree<'t>) -> Self {
        Self { tree, faults: RefCell::new(Vec::new()) }
    }
    /// The outermost value.
    pub fn root(&self) -> Value<'_> {
        Value { reader: self, node: 0, key: None, item: false }
    }
    /// What was found wrong.
    pub fn into_faults(self) -> Vec<Fault> {
        self.faults.into_inner()
    }
}

/// One value.
#[derive(Clone, Copy, Debug)]
pub struct Value<'t> {
    pub(super) reader: &'t Reader<'t>,
    pub(super) node: u32,
    /// Node of the key it stands under, if any.
    pub(super) key: Option<u32>,
    /// Whether it is an item of the list under that key.
    pub(super) item: bool,
}

impl<'t> Value<'t> {
    /// Where it stands.
    pub fn span(self) -> Span {
        self.reader.tree.span(self.node)
    }
    /// Where a fault of it is shown: the key, when nothing stands behind it.
    fn place(self) -> Span {
        match self.key {
            Some(key) if self.is_nothing() && !self.item => self.reader.tree.span(key),
            _ => self.span(),
        }
    }
    /// Where it begins: the first key or item of what is nested, else the value.
    pub fn first_span(self) -> Span {
        let first = self.reader.tree.children(self.node).next();
        first.map_or(self.span(), |first| self.reader.tree.span(first))
    }
    /// Line in the file, from 1.
    pub fn line(self) -> usize {
        self.reader.tree.source.line_column(self.span().start).0
    }
    /// Reports a fault at this value; found is what stands there.
    pub fn refuse(self, message: impl AsRef<str>, allowed: impl AsRef<str>, hint: Option<&str>) {
        self.report(Fault::new(self.place(), message).found(self.shown()).allowed(allowed).hint_if(hint));
    }
    /// Reports any fault.
    pub fn report(self, fault: Fault) {
        self.reader.faults.borrow_mut().push(fault);
    }
    /// What messages call it: `` `voltage` `` or `` item of `rails` ``.
    pub fn name(self) -> String {
        match (self.key, self.item) {
            (Some(key), false) => format!("`{}`", excerpt(self.reader.tree.text(key))),
            (Some(key), true) => format!("item of `{}`", excerpt(self.reader.tree.text(key))),
            (None, false) => "this file".to_owned(),
            (None, true) => "item".to_owned(),
        }
    }
    /// What stands there, short and harmless.
    pub fn shown(self) -> String {
        match self.kind() {
            Some(Kind::List) => "a list".to_owned(),
            Some(Kind::Map) => "a map".to_owned(),
            _ if self.is_nothing() => "nothing".to_owned(),
            _ => format!("`{}`", excerpt(self.raw())),
        }
    }
    /// Whether the key has no value (or `null`).
    pub fn is_nothing(self) -> bool {
        self.kind() == Some(Kind::Plain) && matches!(self.raw(), "" | "~" | "null")
    }
    /// Whether it is a list.
    pub fn is_list(self) -> bool {
        self.kind() == Some(Kind::List)
    }
    /// Whether it is a map.
    pub fn is_map(self) -> bool {
        self.kind() == Some(Kind::Map)
    }

    fn kind(self) -> Option<Kind> {
        self.reader.tree.node(self.node).map(|node: &Node| node.kind)
    }
    fn raw(self) -> &'t str {
        self.reader.tree.text(self.node)
    }

    /// The text of a scalar that is not nothing; otherwise reports what was wanted.
    fn scalar(self, wanted: impl FnOnce() -> String) -> Option<&'t str> {
        if self.is_list() || self.is_map() {
            self.refuse(format!("{} is {}", self.name(), self.shown()), wanted(), None);
            return None;
        }
        let text = self.raw();
        if self.is_nothing() || trimmed(text).is_empty() {
            self.refuse(format!("{} has no value", self.name()), wanted(), None);
            return None;
        }
        Some(text)
    }

    /// Text that is not empty and holds no control characters.
    pub fn text(self) -> Option<String> {
        self.str().map(str::to_owned)
    }

    /// The same, borrowed.
    pub fn str(self) -> Option<&'t str> {
        let text = trimmed(self.scalar(|| "text".to_owned())?);
        // Line ends inside a block of text are its layout.
        let plain = text.bytes().all(|byte| (b' '..0x7f).contains(&byte));
        if !plain && text.chars().any(|c| neutral::is_hostile(c) && c != '\n') {
            let message = format!("{} holds control or invisible characters", self.name());
            self.refuse(message, "printable text", None);
            return None;
        }
        Some(text)
    }

    /// One of the listed words.
    pub fn word<T: Clone>(self, words: &[(&str, T)]) -> Option<T> {
        let allowed = || words.iter().map(|(word, _)| format!("`{word}`")).collect::<Vec<_>>().join(", ");
        let found = self.scalar(allowed)?;
        if let Some((_, meaning)) = words.iter().find(|(word, _)| *word == found) {
            return Some(meaning.clone());
        }
        let near = suggestion(found, words.iter().map(|(word, _)| *word));
        let hint = near.map(|near| format!("did you mean `{near}`?"));
        self.refuse(format!("{} is not a known word", self.name()), allowed(), hint.as_deref());
        None
    }

    /// `true` or `false`.
    pub fn flag(self) -> Option<bool> {
        match self.scalar(|| "`true` or `false`".to_owned())? {
            "true" => Some(true),
            "false" => Some(false),
            other => {
                let hint = match other.to_ascii_lowercase().as_str() {
                    "yes" | "y" | "on" | "1" | "true" => Some("write `true`"),
                    "no" | "n" | "off" | "0" | "false" => Some("write `false`"),
                    _ => None,
                };
                self.refuse(format!("{} is neither true nor false", self.name()), "`true` or `false`", hint);
                None
            }
        }
    }

    /// A quantity with its unit, inside a range.
    pub fn quantity<Q: Quantity>(self, range: RangeInclusive<Q>) -> Option<Q> {
        let allowed = || format!("{} to {}", range.start().to_text_short(), range.end().to_text_short());
        let found = self.scalar(|| format!("{} such as `{}`", Q::NOUN, Q::EXAMPLE))?;
        match Q::from_text(found) {
            Ok(value) if range.contains(&value) => Some(value),
            Ok(value) => {
                // Only what is plainly a slip is guessed at.
                let negative = value < *range.start() && found.starts_with(['-', '−']);
                let hint = negative.then_some("look at the sign");
                self.refuse(format!("{} is out of range", self.name()), allowed(), hint);
                None
            }
            Err(error) => {
                let message = format!("{} is not {}", self.name(), Q::NOUN);
                self.refuse(message, format!("{}, {}", error.allowed, allowed()), error.hint.as_deref());
                None
            }
        }
    }

    /// A number without a unit, inside a range.
    pub fn number(self, range: RangeInclusive<f64>) -> Option<f64> {
        let allowed = || format!("a number without unit, {} to {}", range.start(), range.end());
        let found = self.scalar(allowed)?;
        let decimal =
            found.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'.' | b'-' | b'+' | b'e' | b'E'));
        match found.parse::<f64>() {
            Ok(value) if decimal && value.is_finite() => {
                let vanished = value == 0.0 && found.bytes().any(|byte| (b'1'..=b'9').contains(&byte)) && {
                    let mantissa = found.split(['e', 'E']).next().unwrap_or("");
                    mantissa.bytes().any(|byte| (b'1'..=b'9').contains(&byte))
                };
                if range.contains(&value) && !vanished {
                    return Some(value + 0.0);
                }
                self.refuse(format!("{} is out of range", self.name()), allowed(), None);
            }
            _ => self.refuse(format!("{} is not a number", self.name()), allowed(), number_hint(found)),
        }
        None
    }

    /// A whole number inside a range.
    pub fn count(self, range: RangeInclusive<u32>) -> Option<u32> {
        let allowed = || format!("a whole number, {} to {}", range.start(), range.end());
        let found = self.scalar(allowed)?;
        let whole = !found.is_empty() && found.bytes().all(|byte| byte.is_ascii_digit());
        match found.parse::<u32>() {
            Ok(value) if whole && range.contains(&value) => return Some(value),
            _ if whole || found.parse::<i64>().is_ok() => {
                self.refuse(format!("{} is out of range", self.name()), allowed(), None);
            }
            _ => self.refuse(format!("{} is not a whole number", self.name()), allowed(), number_hint(found)),
        }
        None
    }

    /// A decimal amount inside a range, exact.
    pub fn decimal(self, range: RangeInclusive<Decimal>) -> Option<Decimal> {
        let allowed = || format!("a decimal amount, {} to {}", range.start(), range.end());
        let found = self.scalar(allowed)?;
        let decimal = found.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'.' | b'-'));
        match Decimal::from_str_exact(found) {
            Ok(value) if decimal && range.contains(&value) => return Some(value),
            Ok(_) if decimal => self.refuse(format!("{} is out of range", self.name()), allowed(), None),
            _ => {
                self.refuse(
                    format!("{} is not a decimal amount", self.name()),
                    allowed(),
                    number_hint(found),
                );
            }
        }
        None
    }

    /// A currency by its three letters.
    pub fn currency(self) -> Option<Currency> {
        let allowed = "three capital letters such as `EUR`";
        let found = self.scalar(|| allowed.to_owned())?;
        let currency = Currency::new(found);
        if currency.is_none() {
            let upper = found.to_ascii_uppercase();
            let hint = Currency::new(&upper).map(|near| format!("write `{near}`"));
            self.refuse(format!("{} is not a currency", self.name()), allowed, hint.as_deref());
        }
        currency
    }

    /// The items of a list, each read by `read`; items at fault are left out.
    pub fn list<T>(self, read: impl FnMut(Value<'t>) -> Option<T>) -> Option<Vec<T>> {
        Some(self.items()?.filter_map(read).collect())
    }

    /// The items of a list with at least one.
    pub fn list_of_some<T>(self, read: impl FnMut(Value<'t>) -> Option<T>) -> Option<Vec<T>> {
        if self.is_list() && self.reader.tree.children(self.node).next().is_none() {
            self.report(
                Fault::new(self.span(), format!("{} is empty", self.name()))
                    .found("`[]`")
                    .allowed("at least one item"),
            );
            return None;
        }
        self.list(read)
    }

    /// The items of a list as values.
    pub fn items(self) -> Option<impl Iterator<Item = Value<'t>>> {
        if !self.is_list() {
            let hint =
                (!self.is_map() && !self.is_nothing()).then(|| format!("write `[{}]`", excerpt(self.raw())));
            self.refuse(format!("{} is not a list", self.name()), "a list", hint.as_deref());
            return None;
        }
        let Self { reader, key, .. } = self;
        Some(reader.tree.children(self.node).map(move |node| Value { reader, node, key, item: true }))
    }

    /// Keys and values of a map whose keys are data.
    pub fn entries(self) -> Option<impl Iterator<Item = (Value<'t>, Value<'t>)>> {
        self.map_or_refuse()?;
        let reader = self.reader;
        Some(reader.tree.pairs(self.node).map(move |(key, node)| {
            let name = Value { reader, node: key, key: Some(key), item: false };
            (name, Value { reader, node, key: Some(key), item: false })
        }))
    }

    /// A map whose keys are known.
    pub fn fields(self) -> Option<Fields<'t>> {
        self.map_or_refuse()?;
        Some(Fields::new(self))
    }

    fn map_or_refuse(self) -> Option<()> {
        if self.is_map() {
            return Some(());
        }
        self.refuse(format!("{} is not a map", self.name()), "a map of `key: value` lines", None);
        None
    }
}

/// Without the spaces around it; text of a catalog is nearly always ASCII, where that costs less.
fn trimmed(text: &str) -> &str {
    if text.is_ascii() { text.trim_ascii() } else { text.trim() }
}

fn number_hint(found: &str) -> Option<&'static str> {
    if found.contains(',') {
        Some("write a decimal point, and no separator between thousands")
    } else if found.starts_with(|c: char| c.is_ascii_digit()) && found.ends_with(char::is_alphabetic) {
        Some("write the number without a unit")
    } else {
        None
    }
}

/// A piece of a file, short enough for a message and harmless.
pub(super) fn excerpt(text: &str) -> String {
    let mut short: String = text.chars().take(LONGEST_EXCERPT).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    neutral::neutralise(&short).into_owned()
}

/// Limits of a range, without trailing zeros.
trait Short {
    fn to_text_short(&self) -> String;
}

impl<Q: Quantity> Short for Q {
    fn to_text_short(&self) -> String {
        let rounded = Q::from_text(&self.to_text(DIGITS)).unwrap_or(*self);
        rounded.to_exact_text()
    }
}
