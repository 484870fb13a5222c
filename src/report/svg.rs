//! A drawing surface: lines, boxes, paths and texts become SVG; every text leaves a box behind, for the tests of overlap.
//!
//! Knows no circuit and no plot. Coordinates are printed to a tenth, so that the same drawing has the same bytes.

use std::fmt::Write as _;

use super::page::clean;

/// Height of a line of text.
pub const LINE: f64 = 13.0;
/// Width of one character: the fixed-pitch faces named in the style are 0.60 to 0.61 em wide, at 11 px.
pub const CHARACTER: f64 = 6.8;
/// Width of a character that a fixed-pitch face may lack.
const WIDE: f64 = 13.0;

/// What the classes of a figure look like; `--` colours come from the page, or from `ALONE`.
pub const STYLE: &str = "\
.fig{color:var(--ink)}\
.fig text{font:11px ui-monospace,'DejaVu Sans Mono','Liberation Mono',Menlo,Consolas,monospace;fill:var(--ink)}\
.fig text.b{font-weight:700}.fig text.q{fill:var(--soft)}.fig text.n{fill:var(--a)}.fig text.x{fill:var(--c)}\
.fig path{fill:none;stroke:currentColor;stroke-width:1.4;stroke-linejoin:round}\
.fig path.g{stroke:var(--rule);stroke-width:1}.fig path.f{fill:currentColor}.fig path.p{fill:var(--paper)}\
.fig path.a{stroke:var(--a);stroke-width:2}.fig path.s2{stroke:var(--b);stroke-width:2;stroke-dasharray:7 3}\
.fig path.c{stroke:var(--c);stroke-width:2;stroke-dasharray:2 3}\
.fig path.d{stroke:var(--ink);stroke-width:1.4;stroke-dasharray:10 3 2 3}\
.fig path.e{stroke:var(--soft);stroke-width:1.4;stroke-dasharray:1.5 4}\
.fig path.bar{fill:var(--a);stroke:none}.fig path.bad{fill:var(--paper);stroke:var(--c);stroke-width:2}\
.fig path.shade{fill:var(--shade);stroke:none}";

/// Colours of a figure that stands alone.
const ALONE: &str = "svg{background:var(--paper);--ink:#20262b;--soft:#545c63;--rule:#d5d2c8;--paper:#fbfaf6;--a:#0a5a68;--b:#7a3e9a;--c:#a33a12;--shade:#ddd3b8}\
@media(prefers-color-scheme:dark){svg{--ink:#e8e5dd;--soft:#a9b0b6;--rule:#3a4248;--paper:#15191c;--a:#74c7d4;--b:#cfa4e6;--c:#ffa274;--shade:#3d4034}}";

/// A box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Extent {
    /// Whether two boxes share more than an edge.
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

/// Where a text stands from its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// To the right of it.
    Start,
    /// About it.
    Middle,
    /// To the left of it.
    End,
}

/// A drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    body: String,
    /// Boxes of the texts.
    pub texts: Vec<Extent>,
    /// Boxes of the symbols.
    pub symbols: Vec<Extent>,
    /// Boxes of the wires, without thickness.
    pub wires: Vec<Extent>,
}

/// Width of a text, never too small.
pub fn width(text: &str) -> f64 {
    text.chars().map(|c| if plain(c) { CHARACTER } else { WIDE }).sum()
}

/// Whether a fixed-pitch face surely has the character.
fn plain(c: char) -> bool {
    matches!(c, ' '..='~' | '\u{a0}'..='\u{24f}' | '\u{370}'..='\u{3ff}' | '–' | '—' | '…' | '−' | '≤' | '≥' | '√')
}

/// At most `most` characters of a text, the last an ellipsis where some are left out.
pub fn short(text: &str, most: usize) -> String {
    let text = clean(text);
    if text.chars().count() <= most {
        return text;
    }
    let mut kept: String = text.chars().take(most.saturating_sub(1)).collect();
    kept.push('…');
    kept
}

/// Text as XML shows it as it is.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // XML 1.0 has no place for these.
            c if c.is_control() && c != '\n' && c != '\t' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A coordinate, to a tenth.
pub fn at(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    String::from(if text == "-0" { "0" } else { text })
}

impl Drawing {
    /// An empty drawing of a width; its height follows.
    pub fn wide(width: f64) -> Self {
        Self { width, ..Self::default() }
    }

    /// A path of a class; `d` is SVG path data.
    pub fn path(&mut self, class: &str, d: &str) {
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        let _ = write!(self.body, "<path{class} d=\"{d}\"/>");
    }

    /// A line of points.
    pub fn line(&mut self, class: &str, points: &[(f64, f64)]) {
        let mut d = String::new();
        for (index, (x, y)) in points.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if index == 0 { 'M' } else { 'L' }, at(*x), at(*y));
        }
        self.path(class, &d);
    }

    /// A box of a class.
    pub fn area(&mut self, class: &str, (x, y): (f64, f64), (wide, high): (f64, f64)) {
        self.path(class, &format!("M{} {}h{}v{}h{}z", at(x), at(y), at(wide), at(high), at(-wide)));
    }

    /// A wire through points, each straight up, down or across from the last.
    pub fn wire(&mut self, points: &[(f64, f64)]) {
        for pair in points.windows(2) {
            if let [(x1, y1), (x2, y2)] = *pair {
                self.wires.push(Extent {
                    left: x1.min(x2),
                    top: y1.min(y2),
                    right: x1.max(x2),
                    bottom: y1.max(y2),
                });
            }
        }
        self.line("", points);
    }

    /// A dot where wires join.
    pub fn dot(&mut self, x: f64, y: f64) {
        self.path("f", &format!("M{} {}a2 2 0 1 0 4 0a2 2 0 1 0 -4 0z", at(x - 2.0), at(y)));
    }

    /// Remembers the box of a symbol.
    pub fn symbol(&mut self, extent: Extent) {
        self.symbols.push(extent);
    }

    /// A text; foreign text is made harmless.
    pub fn text(&mut self, class: &str, anchor: Anchor, (x, y): (f64, f64), text: &str) {
        let text = clean(text);
        if text.is_empty() {
            return;
        }
        let wide = width(&text);
        let (left, word) = match anchor {
            Anchor::Start => (x, ""),
            Anchor::Middle => (x - wide / 2.0, " text-anchor=\"middle\""),
            Anchor::End => (x - wide, " text-anchor=\"end\""),
        };
        self.texts.push(Extent { left, top: y - 9.5, right: left + wide, bottom: y + 2.5 });
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        let _ =
            write!(self.body, "<text{class}{word} x=\"{}\" y=\"{}\">{}</text>", at(x), at(y), escape(&text));
    }

    /// The drawing as an `svg` element; `id` makes the names of its title and description unique in a page.
    pub fn element(&self, id: &str, title: &str, description: &str, alone: bool) -> String {
        let (id, wide, high) = (escape(id), at(self.width), at(self.height));
        let (space, style) = if alone {
            (" xmlns=\"http://www.w3.org/2000/svg\"", format!("<style>{ALONE}{STYLE}</style>"))
        } else {
            ("", String::new())
        };
        let size = if alone { format!(" width=\"{wide}\" height=\"{high}\"") } else { String::new() };
        format!(
            "<svg{space} class=\"fig\"{size} viewBox=\"0 0 {wide} {high}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\">\
             <title id=\"{id}-t\">{}</title><desc id=\"{id}-d\">{}</desc>{style}{}</svg>",
            escape(title),
            escape(description),
            self.body
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: W3C, Extensible Markup Language 1.0, sections 2.2 and 2.4.
    #[test]
    fn text_opens_no_tag_and_holds_no_control_character() {
        assert_eq!(escape("<a b=\"c\">&'\u{1b}"), "&lt;a b=&quot;c&quot;&gt;&amp;&#39;\u{fffd}");
    }

    #[test]
    fn coordinates_have_one_spelling() {
        assert_eq!([at(-0.04), at(12.0), at(3.25), at(-7.5)], ["0", "12", "3.2", "-7.5"]);
    }

    #[test]
    fn boxes_that_share_an_edge_do_not_meet() {
        let one = Extent { left: 0.0, top: 0.0, right: 2.0, bottom: 2.0 };
        assert!(!one.meets(&Extent { left: 2.0, right: 3.0, ..one }));
        assert!(one.meets(&Extent { left: 1.9, right: 3.0, ..one }));
    }
}
