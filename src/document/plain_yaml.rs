//! A quick way through plainly written YAML: block maps and lists, flow maps and lists, scalars on one line.
//!
//! Whatever is not plain makes it give up (`None`), and the full parser decides; so it never reports a fault and
//! never accepts what the full parser would refuse. A test compares the two trees. About eight times as fast.

use super::{
    Source, Span,
    builder::Builder,
    neutral,
    tree::{Kind, Text, Tree},
};

/// Longest key; the full parser has a limit of its own, far above.
const LONGEST_KEY: usize = 120;
/// Column that stands for the end of the text.
const END: i32 = -1;

/// The tree of a plainly written text, or `None` when the full parser must look at it.
pub(super) fn tree(source: &Source) -> Option<Tree<'_>> {
    let text = source.text.as_str();
    // Tabs, carriage returns and other control characters have rules of their own.
    if text.len() >= i32::MAX as usize
        || text.bytes().any(|byte| byte < b' ' && byte != b'\n' || byte == 0x7f)
    {
        return None;
    }
    let mut scan = Scan { text, bytes: text.as_bytes(), at: 0, column: 0, builder: Builder::new(source) };
    scan.blank_lines(0)?;
    if scan.column == END {
        return None;
    }
    if matches!(scan.byte(), b'{' | b'[') {
        scan.flow(END)?;
        scan.end_of_line()?;
    } else {
        scan.block()?;
    }
    if scan.column != END {
        return None;
    }
    let (tree, faults) = scan.builder.finish();
    faults.is_empty().then_some(tree)
}

struct Scan<'s> {
    text: &'s str,
    bytes: &'s [u8],
    at: usize,
    /// Column of `at` when it is the first sign of its line.
    column: i32,
    builder: Builder<'s>,
}

impl Scan<'_> {
    /// The byte at the cursor; zero at the end.
    fn byte(&self) -> u8 {
        self.peek(0)
    }
    fn peek(&self, ahead: usize) -> u8 {
        self.bytes.get(self.at + ahead).copied().unwrap_or(0)
    }
    fn is_gap(byte: u8) -> bool {
        matches!(byte, b' ' | b'\n' | 0)
    }
    fn skip_spaces(&mut self) {
        while self.byte() == b' ' {
            self.at += 1;
        }
    }
    fn rest_of_line(&self) -> usize {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        self.at + rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len())
    }

    /// From the end of a value to the first sign of the next line that says something.
    fn end_of_line(&mut self) -> Option<()> {
        let before = self.at;
        self.skip_spaces();
        match self.byte() {
            b'#' if self.at > before => self.at = self.rest_of_line(),
            b'\n' | 0 => {}
            _ => return None,
        }
        self.blank_lines(1)
    }

    /// Skips lines without content; `newline` is 1 when the cursor stands at the end of a line.
    fn blank_lines(&mut self, newline: usize) -> Option<()> {
        self.at += newline;
        loop {
            let start = self.at;
            self.skip_spaces();
            match self.byte() {
                b'\n' => self.at += 1,
                b'#' => self.at = self.rest_of_line() + 1,
                0 => {
                    self.column = END;
                    return Some(());
                }
                sign => {
                    self.column = i32::try_from(self.at - start).ok()?;
                    // Markers of documents and directives.
                    let marker = matches!(sign, b'-' | b'.') && self.peek(1) == sign && self.peek(2) == sign;
                    return (self.column > 0 || !(marker || sign == b'%')).then_some(());
                }
            }
        }
    }

    /// A list or a map that begins at the cursor, the first sign of its line.
    fn block(&mut self) -> Option<()> {
        if self.at_dash() { self.block_list(self.column) } else { self.block_map(self.column) }
    }

    fn at_dash(&self) -> bool {
        self.byte() == b'-' && Self::is_gap(self.peek(1))
    }

    fn block_map(&mut self, column: i32) -> Option<()> {
        self.builder.open(Kind::Map, Span::new(self.at, self.at)).ok()?;
        loop {
            self.key()?;
            let end = self.at;
            self.skip_spaces();
            if matches!(self.byte(), b'\n' | b'#' | 0) {
                self.at = end;
                self.end_of_line()?;
                if self.column > column {
                    self.block()?;
                } else if self.column == column && self.at_dash() {
                    // A list may stand at the column of its key.
                    self.block_list(column)?;
                } else {
                    return None;
                }
            } else {
                self.value(column)?;
            }
            if self.column < column {
                break;
            }
            if self.column > column || self.at_dash() {
                return None;
            }
        }
        self.builder.close(None).ok()
    }

    fn block_list(&mut self, column: i32) -> Option<()> {
        self.builder.open(Kind::List, Span::new(self.at, self.at)).ok()?;
        loop {
            let dash = self.at;
            self.at += 1;
            let end = self.at;
            self.skip_spaces();
            if matches!(self.byte(), b'\n' | b'#' | 0) {
                self.at = end;
                self.end_of_line()?;
                if self.column <= column {
                    return None;
                }
                self.block()?;
            } else {
                let inner = column + i32::try_from(self.at - dash).ok()?;
                if self.at_dash() {
                    self.block_list(inner)?;
                } else if self.begins_map() {
                    self.block_map(inner)?;
                } else {
                    self.value(column)?;
                }
            }
            if self.column < column || (self.column == column && !self.at_dash()) {
                break;
            }
            if self.column > column {
                return None;
            }
        }
        self.builder.close(None).ok()
    }

    /// Whether the rest of the line is `key: ...`. Where it is not, yet looks so, the scalar gives up later.
    fn begins_map(&self) -> bool {
        if matches!(self.byte(), b'{' | b'[') {
            return false;
        }
        let line = self.bytes.get(self.at..self.rest_of_line()).unwrap_or_default();
        let mut quoted = matches!(self.byte(), b'"' | b'\'').then(|| self.byte());
        line.iter().enumerate().skip(1).any(|(place, byte)| {
            if quoted == Some(*byte) {
                quoted = None;
            }
            quoted.is_none() && *byte == b':' && Self::is_gap(line.get(place + 1).copied().unwrap_or(0))
        })
    }

    /// A key up to and with its colon, which a space or a line end must follow.
    fn key(&mut self) -> Option<()> {
        let start = self.at;
        if matches!(self.byte(), b'"' | b'\'') {
            self.quoted()?;
        } else {
            if !self.may_begin_plain() {
                return None;
            }
            while !(self.byte() == b':' && Self::is_gap(self.peek(1))) {
                if matches!(self.byte(), b'\n' | 0)
                    || (self.byte() == b' ' && matches!(self.peek(1), b'#' | b':'))
                {
                    return None;
                }
                self.at += 1;
            }
            self.plain(start)?;
        }
        if self.byte() != b':' || !Self::is_gap(self.peek(1)) || self.at - start > LONGEST_KEY {
            return None;
        }
        self.at += 1;
        Some(())
    }

    /// A value on the line of its key or dash, and the rest of that line.
    fn value(&mut self, column: i32) -> Option<()> {
        match self.byte() {
            b'{' | b'[' => self.flow(column)?,
            b'"' | b'\'' => self.quoted()?,
            _ => {
                if !self.may_begin_plain() {
                    return None;
                }
                let start = self.at;
                while !matches!((self.byte(), self.peek(1)), (b'\n' | 0, _) | (b' ', b'#')) {
                    if self.byte() == b':' && Self::is_gap(self.peek(1)) {
                        return None;
                    }
                    self.at += 1;
                }
                self.trim(start);
                self.plain(start)?;
            }
        }
        self.end_of_line()
    }

    /// Moves the cursor back over trailing spaces.
    fn trim(&mut self, start: usize) {
        while self.at > start && self.bytes.get(self.at - 1) == Some(&b' ') {
            self.at -= 1;
        }
    }

    /// Whether a plain scalar may begin here; indicators of YAML are left to the full parser.
    fn may_begin_plain(&self) -> bool {
        match self.byte() {
            b'-' => !Self::is_gap(self.peek(1)) && !matches!(self.peek(1), b',' | b'[' | b']' | b'{' | b'}'),
            b'+' | b'.' | b'/' | b'(' | b'<' | b'=' | b'~' | b'_' | b'$' => true,
            byte => byte.is_ascii_alphanumeric() || byte >= 0x80,
        }
    }

    /// Hands over the plain scalar from `start` to the cursor.
    fn plain(&mut self, start: usize) -> Option<()> {
        let span = Span::new(start, self.at);
        self.harmless(span)?;
        self.builder.scalar(Kind::Plain, span, Text::Source(span));
        Some(())
    }

    /// A quoted scalar on one line without escapes.
    fn quoted(&mut self) -> Option<()> {
        let start = self.at;
        let quote = self.byte();
        self.at += 1;
        loop {
            match self.byte() {
                b'\n' | 0 => return None,
                b'\\' if quote == b'"' => return None,
                byte if byte == quote => break,
                _ => self.at += 1,
            }
        }
        if self.peek(1) == quote {
            return None;
        }
        let inner = Span::new(start + 1, self.at);
        self.at += 1;
        self.harmless(inner)?;
        self.builder.scalar(Kind::Quoted, Span::new(start, self.at), Text::Source(inner));
        Some(())
    }

    fn harmless(&self, span: Span) -> Option<()> {
        let bytes = self.bytes.get(span.range())?;
        if bytes.is_ascii() {
            return Some(());
        }
        let text = self.text.get(span.range())?;
        (!text.chars().any(neutral::is_hostile)).then_some(())
    }

    /// A flow list or map; `column` is that of the block around it, beyond which its lines must begin.
    fn flow(&mut self, column: i32) -> Option<()> {
        let (kind, closer) = if self.byte() == b'{' { (Kind::Map, b'}') } else { (Kind::List, b']') };
        self.builder.open(kind, Span::new(self.at, self.at + 1)).ok()?;
        self.at += 1;
        self.flow_gap(column)?;
        while self.byte() != closer {
            if kind == Kind::Map {
                self.flow_scalar()?;
                if self.byte() != b':' || !Self::is_gap(self.peek(1)) {
                    return None;
                }
                self.at += 1;
                self.flow_gap(column)?;
            }
            match self.byte() {
                b'{' | b'[' => self.flow(column)?,
                _ => self.flow_scalar()?,
            }
            self.flow_gap(column)?;
            match self.byte() {
                b',' => {
                    self.at += 1;
                    self.flow_gap(column)?;
                    // A comma before the closer is left to the full parser.
                    if self.byte() == closer {
                        return None;
                    }
                }
                byte if byte == closer => {}
                _ => return None,
            }
        }
        self.at += 1;
        self.builder.close(u32::try_from(self.at).ok()).ok()
    }

    fn flow_scalar(&mut self) -> Option<()> {
        if matches!(self.byte(), b'"' | b'\'') {
            return self.quoted();
        }
        if !self.may_begin_plain() {
            return None;
        }
        let start = self.at;
        loop {
            match self.byte() {
                b'\n' | 0 | b',' | b']' | b'}' => break,
                b'[' | b'{' => return None,
                b'#' if self.bytes.get(self.at.wrapping_sub(1)) == Some(&b' ') => return None,
                b':' if Self::is_gap(self.peek(1)) => break,
                b':' if matches!(self.peek(1), b',' | b'[' | b']' | b'{' | b'}') => return None,
                _ => self.at += 1,
            }
        }
        self.trim(start);
        // A space before the colon of a key is left to the full parser, and so is a key too long.
        if self.at - start > LONGEST_KEY {
            return None;
        }
        self.plain(start)
    }

    /// Skips spaces, line ends and comments inside brackets; a new line must begin far enough to the right.
    fn flow_gap(&mut self, column: i32) -> Option<()> {
        let before = self.at;
        self.skip_spaces();
        match self.byte() {
            b'\n' => self.blank_lines(1)?,
            b'#' if self.at > before => {
                self.at = self.rest_of_line();
                self.blank_lines(1)?;
            }
            b'#' => return None,
            _ => return Some(()),
        }
        let closes = matches!(self.byte(), b']' | b'}');
        let right = self.column > column || (closes && self.column == column);
        (self.column != END && right && !(self.column == 0 && self.byte() == b'-')).then_some(())
    }
}

#[cfg(test)]
mod tests;
