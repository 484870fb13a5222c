//! Text in HTML: what stands between grave accents is a code or a part number.
//!
//! Everything is escaped.

use maud::{Markup, html};

/// Text with its codes marked; a lone accent stays what it is.
pub(super) fn words(text: &str) -> Markup {
    let pieces: Vec<&str> = text.split('`').collect();
    if pieces.len() < 3 || pieces.len().is_multiple_of(2) {
        return html! { (text) };
    }
    html! {
        @for (index, piece) in pieces.iter().enumerate() {
            @if index % 2 == 1 { code { (piece) } } @else { (piece) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn codes_are_marked_and_nothing_opens_a_tag() {
        assert_eq!(words("`A-1` fits <b>").into_string(), "<code>A-1</code> fits &lt;b&gt;");
        assert_eq!(words("a ` alone").into_string(), "a ` alone");
        assert_eq!(words("`<i>`").into_string(), "<code>&lt;i&gt;</code>");
    }
}
