//! Makes hostile characters visible, so that text of a file cannot steer a terminal.
//!
//! The one place for it: diagnostics, tables and reports all call this.

use std::borrow::Cow;

/// Whether a character may stand in a name, a description or a message.
pub(super) fn is_hostile(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
}

/// The text with control, bidirectional and invisible characters written as `\u{1b}`.
pub fn neutralise(text: &str) -> Cow<'_, str> {
    let plain = text.bytes().all(|byte| (b' '..0x7f).contains(&byte));
    if plain || !text.chars().any(is_hostile) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_hostile(c) {
            out.extend(c.escape_default());
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escape_sequences_become_visible() {
        assert_eq!(neutralise("\u{1b}[31mred\u{9b}1m\u{202e}x"), "\\u{1b}[31mred\\u{9b}1m\\u{202e}x");
        assert_eq!(neutralise("a\r\nb"), "a\\r\\nb");
    }

    #[test]
    fn the_letters_of_the_trade_stay() {
        assert!(matches!(neutralise("2200 µF, 4 Ω, 45 °C, A²s"), Cow::Borrowed(_)));
    }
}
