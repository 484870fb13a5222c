//! Faults as text: file, line, column, the line itself, found, allowed, hint.
//!
//! Only the lines concerned go to the renderer, and nothing hostile passes.

use std::fmt::Write as _;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::{Fault, Faults, Source, Span, neutral};

/// Faults of one file that are shown in full.
const MOST_SHOWN: usize = 60;
/// Width at which long lines are cut around the place.
const WIDTH: usize = 110;

impl Faults {
    /// All faults as text with a final line end; coloured for a terminal if asked.
    pub fn render(&self, coloured: bool) -> String {
        let renderer = if coloured { Renderer::styled() } else { Renderer::plain() }.term_width(WIDTH);
        let mut out = String::new();
        for (source, faults) in &self.files {
            for fault in faults.iter().take(MOST_SHOWN) {
                out.push_str(&one(&renderer, source, fault));
                out.push_str("\n\n");
            }
            if faults.len() > MOST_SHOWN {
                let more = faults.len() - MOST_SHOWN;
                // Writing to a string does not fail.
                let _ = writeln!(out, "{more} more faults in {}\n", neutral::neutralise(&source.name));
            }
        }
        let count = self.iter().count();
        let noun = if count == 1 { "fault" } else { "faults" };
        out + &format!("{count} {noun} found\n")
    }
}

fn one(renderer: &Renderer, source: &Source, fault: &Fault) -> String {
    let name = neutral::neutralise(&source.name);
    let mut group = Group::with_title(Level::ERROR.primary_title(fault.message.as_str()));
    if source.text.is_empty() {
        group = group.element(annotate_snippets::Origin::path(name.as_ref()));
    } else {
        let excerpt = Excerpt::around(source, fault.span, fault.other.as_ref().map(|(span, _)| *span));
        let label = fault.found.as_ref().map(|found| format!("found {found}"));
        let mut snippet = Snippet::source(excerpt.text)
            .line_start(excerpt.line)
            .path(name.as_ref())
            .annotation(AnnotationKind::Primary.span(excerpt.place).label(label));
        if let (Some(place), Some((_, label))) = (excerpt.other, &fault.other) {
            snippet = snippet.annotation(AnnotationKind::Context.span(place).label(label.as_str()));
        }
        group = group.element(snippet);
    }
    group = notes(group, fault);
    renderer.render(&[group])
}

fn notes<'a>(mut group: Group<'a>, fault: &'a Fault) -> Group<'a> {
    if let Some(allowed) = &fault.allowed {
        group = group.element(Level::NOTE.with_name("allowed").message(allowed.as_str()));
    }
    if let Some(hint) = &fault.hint {
        group = group.element(Level::HELP.with_name("hint").message(hint.as_str()));
    }
    group
}

/// The lines concerned, made harmless, and the places in them.
struct Excerpt {
    text: String,
    line: usize,
    place: std::ops::Range<usize>,
    other: Option<std::ops::Range<usize>>,
}

impl Excerpt {
    fn around(source: &Source, span: Span, other: Option<Span>) -> Self {
        let first = span.start.min(other.map_or(u32::MAX, |other| other.start));
        let last = span.start.max(other.map_or(0, |other| other.start));
        let start = source.before(first).rfind('\n').map_or(0, |newline| newline + 1);
        let rest = source.text.get(source.before(last).len()..).unwrap_or("");
        let end = source.before(last).len() + rest.find('\n').unwrap_or(rest.len());
        let mut text = String::new();
        let mut cuts = Cuts::new(span, other, end);
        for (at, c) in source.text.get(start..end).unwrap_or("").char_indices() {
            cuts.pass(start + at, text.len());
            // One sign for one character keeps the columns true.
            text.push(if c == '\n' || !neutral::is_hostile(c) { c } else { '\u{fffd}' });
        }
        cuts.pass(usize::MAX, text.len());
        let (place, other) = cuts.places();
        let line = source.line_column(u32::try_from(start).unwrap_or(u32::MAX)).0;
        Self { text, line, place, other }
    }
}

/// Maps offsets of the source to offsets of the excerpt while it is copied.
struct Cuts {
    from: [usize; 4],
    to: [Option<usize>; 4],
    two: bool,
}

impl Cuts {
    fn new(span: Span, other: Option<Span>, end: usize) -> Self {
        let second = other.unwrap_or(span);
        let within = |at: u32| (at as usize).min(end);
        // A span over several lines is marked on its first line only, where the eye should go.
        Self {
            from: [within(span.start), within(span.end), within(second.start), within(second.end)],
            to: [None; 4],
            two: other.is_some(),
        }
    }
    fn pass(&mut self, at: usize, written: usize) {
        for (from, to) in self.from.iter().zip(&mut self.to) {
            if at >= *from && to.is_none() {
                *to = Some(written);
            }
        }
    }
    fn places(&self) -> (std::ops::Range<usize>, Option<std::ops::Range<usize>>) {
        let [a, b, c, d] = self.to.map(Option::unwrap_or_default);
        (a..b.max(a), self.two.then_some(c..d.max(c)))
    }
}
