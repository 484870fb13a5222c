//! Feeds the events of the YAML parser to the builder.
//!
//! Places of that parser count characters; ours count bytes.

use saphyr_parser::{Event, Marker, Parser, ScalarStyle};

use super::{
    Fault, Source, Span,
    builder::Builder,
    tree::{Kind, Text},
};

/// Feeds a whole document; a fault that ends the reading is returned.
pub(super) fn feed(source: &Source, builder: &mut Builder<'_>) -> Result<(), Box<Fault>> {
    let places = Places::new(&source.text);
    let mut parser = Parser::new_from_str(&source.text);
    while let Some(event) = parser.next_event() {
        let (event, marks) = event.map_err(|error| syntax(source, &places, *error.marker(), error.info()))?;
        let span = places.span(marks.start, marks.end);
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                refuse_extras(span, anchor, tag.is_some())?;
                let span = Span { end: closing_quote(source, span, style).unwrap_or(span.end), ..span };
                scalar(source, builder, span, text.into_owned(), style);
            }
            Event::SequenceStart(anchor, tag) => {
                refuse_extras(span, anchor, tag.is_some())?;
                builder.open(Kind::List, span)?;
            }
            Event::MappingStart(anchor, tag) => {
                refuse_extras(span, anchor, tag.is_some())?;
                builder.open(Kind::Map, span)?;
            }
            Event::SequenceEnd | Event::MappingEnd => {
                // A block has no closing bracket: it ends with its last child. Spaces and a comment count to a bracket here.
                let closed = marks.end.index() > marks.start.index();
                builder.close(closed.then_some(span.start.saturating_add(1)))?;
            }
            Event::Alias(_) => {
                return Err(Fault::new(span, "an alias (`*name`) stands here")
                    .found(format!("`{}`", super::value::excerpt(source.slice(span))))
                    .allowed("the value itself")
                    .hint("write the value out; anchors and aliases are not read")
                    .into());
            }
            Event::DocumentStart(_) if !builder.is_empty() => {
                return Err(Fault::new(span, "a second document begins here")
                    .found("`---`")
                    .allowed("one document in a file")
                    .into());
            }
            Event::DocumentStart(_)
            | Event::DocumentEnd
            | Event::StreamStart
            | Event::StreamEnd
            | Event::Nothing => {}
        }
    }
    Ok(())
}

fn scalar(source: &Source, builder: &mut Builder<'_>, span: Span, text: String, style: ScalarStyle) {
    let kind = if style == ScalarStyle::Plain { Kind::Plain } else { Kind::Quoted };
    if source.slice(span) == text {
        builder.scalar(kind, span, Text::Source(span));
        return;
    }
    let inner = Span { start: span.start.saturating_add(1), end: span.end.saturating_sub(1) };
    if kind == Kind::Quoted && inner.start <= inner.end && source.slice(inner) == text {
        builder.scalar(kind, span, Text::Source(inner));
    } else {
        builder.owned_scalar(kind, span, text);
    }
}

/// The parser counts spaces and a comment behind a quoted scalar to it; ours ends at its quote.
fn closing_quote(source: &Source, span: Span, style: ScalarStyle) -> Option<u32> {
    let quote = match style {
        ScalarStyle::SingleQuoted => '\'',
        ScalarStyle::DoubleQuoted => '"',
        _ => return None,
    };
    let mut signs = source.slice(span).char_indices().skip(1).peekable();
    while let Some((at, sign)) = signs.next() {
        if sign == '\\' && quote == '"' {
            signs.next();
        } else if sign == quote {
            if quote == '\'' && signs.next_if(|(_, next)| *next == quote).is_some() {
                continue;
            }
            return span.start.checked_add(u32::try_from(at + 1).ok()?);
        }
    }
    None
}

fn refuse_extras(span: Span, anchor: usize, tagged: bool) -> Result<(), Box<Fault>> {
    if anchor != 0 {
        let fault = Fault::new(span, "an anchor (`&name`) stands before this value");
        return Err(fault
            .allowed("a value")
            .hint("write the value where it is needed; anchors and aliases are not read")
            .into());
    }
    if tagged {
        return Err(Fault::new(span, "a tag (`!name`) stands before this value")
            .allowed("a value without a tag")
            .into());
    }
    Ok(())
}

fn syntax(source: &Source, places: &Places<'_>, mark: Marker, info: &str) -> Fault {
    let span = places.span(mark, mark);
    // The parser looks ahead and gives up on its own count before ours is reached.
    if info.contains("recursion limit") {
        return super::builder::too_deep(span);
    }
    let line = source.before(span.start).rsplit('\n').next().unwrap_or("");
    let rest = source.text.get(span.start as usize..).unwrap_or("");
    let tab = rest.starts_with('\t') || (!line.is_empty() && line.contains('\t') && line.trim().is_empty());
    let mut fault = Fault::new(span, format!("this is not valid YAML: {info}"));
    if let Some(next) = rest.chars().next().filter(|next| *next != '\n') {
        fault = fault.found(format!("`{next}`"));
    }
    if tab {
        return fault.allowed("spaces for indentation").hint("replace the tab by spaces");
    }
    fault.allowed("`key: value`, one a line, nested by two spaces")
}

/// Turns counts of characters into offsets in bytes.
struct Places<'s> {
    text: &'s str,
    /// Offset of every `STRIDE`-th character; empty when the text is ASCII and the two counts agree.
    marks: Vec<u32>,
}

const STRIDE: usize = 64;

impl<'s> Places<'s> {
    fn new(text: &'s str) -> Self {
        let mut marks = Vec::new();
        if !text.is_ascii() {
            marks = text
                .char_indices()
                .step_by(STRIDE)
                .map(|(at, _)| u32::try_from(at).unwrap_or(u32::MAX))
                .collect();
        }
        Self { text, marks }
    }

    fn span(&self, start: Marker, end: Marker) -> Span {
        Span::new(self.byte(start.index()), self.byte(end.index()))
    }

    fn byte(&self, characters: usize) -> usize {
        if self.marks.is_empty() {
            return characters.min(self.text.len());
        }
        let Some(mark) = self.marks.get(characters / STRIDE) else { return self.text.len() };
        let from = *mark as usize;
        let rest = self.text.get(from..).unwrap_or("");
        rest.char_indices().nth(characters % STRIDE).map_or(self.text.len(), |(at, _)| from + at)
    }
}
