//! The tree of a document: scalars, lists and maps with the places of keys and values.
//!
//! One flat array in reading order; a node knows where the next one outside it begins. Text is borrowed from
//! the source wherever it stands there unchanged. Knows nothing of what the words mean.

use super::{Fault, Faults, Source, Span, builder::Builder, events, plain_yaml};

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A scalar without quotes.
    Plain,
    /// A scalar in quotes or a block scalar.
    Quoted,
    /// A list.
    List,
    /// A map; its children are key, value, key, value.
    Map,
}

/// Where the text of a scalar is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Text {
    /// In the source.
    Source(Span),
    /// In the tree, since the source writes it otherwise.
    Owned(u32),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Node {
    pub(super) kind: Kind,
    pub(super) span: Span,
    /// Index of the first node after this one and its children.
    pub(super) after: u32,
    pub(super) text: Text,
}

/// A document in memory.
#[derive(Debug)]
pub struct Tree<'s> {
    pub(super) source: &'s Source,
    pub(super) nodes: Vec<Node>,
    pub(super) owned: Vec<String>,
}

impl<'s> Tree<'s> {
    /// Reads one YAML or JSON document. Refuses anchors, aliases, tags, depth beyond reason, duplicate keys, keys
    /// that are not scalars, and more than one document.
    pub fn parse(source: &'s Source) -> Result<Self, Faults> {
        if let Some(tree) = plain_yaml::tree(source) {
            return Ok(tree);
        }
        let mut builder = Builder::new(source);
        let fatal = events::feed(source, &mut builder).err();
        let (tree, mut faults) = builder.finish();
        faults.extend(fatal.map(|fault| *fault));
        if faults.is_empty() && tree.nodes.is_empty() {
            faults.push(
                Fault::new(Span::default(), "this file is empty").found("nothing").allowed("a map of keys"),
            );
        }
        if faults.is_empty() { Ok(tree) } else { Err(Faults::new(source.clone(), faults)) }
    }

    pub(super) fn node(&self, at: u32) -> Option<&Node> {
        self.nodes.get(at as usize)
    }

    pub(super) fn span(&self, at: u32) -> Span {
        self.node(at).map_or_else(Span::default, |node| node.span)
    }

    /// The text of a scalar; empty for lists and maps.
    pub(super) fn text(&self, at: u32) -> &str {
        match self.node(at) {
            Some(Node { kind: Kind::Plain | Kind::Quoted, text, .. }) => self.text_of(*text),
            _ => "",
        }
    }

    pub(super) fn text_of(&self, text: Text) -> &str {
        match text {
            Text::Source(span) => self.source.slice(span),
            Text::Owned(at) => self.owned.get(at as usize).map_or("", String::as_str),
        }
    }

    /// The children of a node, in order; of a map, keys and values by turns.
    pub(super) fn children(&self, at: u32) -> Children<'_> {
        let end = match self.node(at) {
            Some(Node { kind: Kind::List | Kind::Map, after, .. }) => *after,
            _ => 0,
        };
        Children { nodes: &self.nodes, next: at + 1, end }
    }

    /// Keys and values of a map.
    pub(super) fn pairs(&self, at: u32) -> impl Iterator<Item = (u32, u32)> + '_ {
        let mut children = self.children(at);
        std::iter::from_fn(move || Some((children.next()?, children.next()?)))
    }
}

/// Walks over the children of one node.
pub(super) struct Children<'t> {
    nodes: &'t [Node],
    next: u32,
    end: u32,
}

impl Iterator for Children<'_> {
    type Item = u32;
    fn next(&mut self) -> Option<u32> {
        if self.next >= self.end {
            return None;
        }
        let at = self.next;
        self.next = self.nodes.get(at as usize)?.after;
        Some(at)
    }
}
