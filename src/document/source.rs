//! A named text and places in it.
//!
//! Does not know where the text came from; the name is what messages print.

use super::{Fault, Faults};

/// Largest text that is read, in bytes: spans are 32 bits wide, and a larger file is no catalog.
const LARGEST: usize = 64 << 20;

/// A half-open range of bytes of a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    pub(super) fn new(start: usize, end: usize) -> Self {
        let narrow = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self { start: narrow(start), end: narrow(end.max(start)) }
    }
    pub(super) fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// The text of a file and the name it has in messages.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// Name for messages.
    pub name: String,
    /// Text, without a byte-order mark.
    pub text: String,
}

impl Source {
    /// A text under a name. A byte-order mark is dropped.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let mut text = text.into();
        if text.starts_with('\u{feff}') {
            text.drain(..'\u{feff}'.len_utf8());
        }
        Self { name: name.into(), text }
    }

    /// The text of these bytes, or a fault that says where they stop being UTF-8.
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Faults> {
        let name = name.into();
        if bytes.len() > LARGEST {
            return Err(Faults::of_file(
                name,
                &format!("the file is {} bytes long", bytes.len()),
                &format!("at most {LARGEST} bytes"),
            ));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, text)),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let bytes = error.into_bytes();
                let (valid, rest) = bytes.split_at_checked(at).unwrap_or((&bytes, &[]));
                let byte = rest.first().copied().unwrap_or_default();
                // The line is shown with the bad byte replaced; places before it are the same.
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let start =
                    if valid.starts_with("\u{feff}".as_bytes()) { at - '\u{feff}'.len_utf8() } else { at };
                let fault =
                    Fault::new(Span::new(start, start + '\u{fffd}'.len_utf8()), "this is not UTF-8 text")
                        .found(format!("byte 0x{byte:02X} at offset {at}"))
                        .allowed("UTF-8")
                        .hint("save the file as UTF-8");
                Err(Faults::new(Self::new(name, text), vec![fault]))
            }
        }
    }

    /// Line and column of a byte, both from 1; the column counts characters.
    pub fn line_column(&self, at: u32) -> (usize, usize) {
        let before = self.before(at);
        let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |newline| newline + 1);
        (line, before.get(start..).unwrap_or("").chars().count() + 1)
    }

    /// The text before a byte; a place inside a character counts as its beginning.
    pub(super) fn before(&self, at: u32) -> &str {
        let mut end = (at as usize).min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        self.text.get(..end).unwrap_or("")
    }

    pub(super) fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }
}
