//! Builds the tree from scalars and brackets as they come, and refuses what no file of ours may hold.
//!
//! Does not know who feeds it.

use super::{
    Fault, Source, Span,
    tree::{Kind, Node, Text, Tree},
};

/// Deepest nesting; the deepest file of ours has six levels.
const DEEPEST: usize = 48;
/// Maps above this size are checked for duplicate keys by sorting.
const SMALL_MAP: usize = 24;
/// Faults of one file after which reading stops.
const MOST_FAULTS: usize = 200;

pub(super) struct Builder<'s> {
    tree: Tree<'s>,
    open: Vec<u32>,
    /// Whether the next node of each open map is a key.
    key_next: Vec<bool>,
    keys: Vec<u32>,
    faults: Vec<Fault>,
}

impl<'s> Builder<'s> {
    pub(super) fn new(source: &'s Source) -> Self {
        // A node for about every eight bytes of a catalog.
        let nodes = Vec::with_capacity(source.text.len() / 8);
        let tree = Tree { source, nodes, owned: Vec::new() };
        Self { tree, open: Vec::new(), key_next: Vec::new(), keys: Vec::new(), faults: Vec::new() }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.tree.nodes.is_empty()
    }

    /// A scalar whose text stands in the source at `text`.
    pub(super) fn scalar(&mut self, kind: Kind, span: Span, text: Text) {
        self.turn();
        let after = self.next_index() + 1;
        self.tree.nodes.push(Node { kind, span, after, text });
    }

    /// A scalar whose text does not stand in the source as it is.
    pub(super) fn owned_scalar(&mut self, kind: Kind, span: Span, text: String) {
        let at = u32::try_from(self.tree.owned.len()).unwrap_or(u32::MAX);
        self.tree.owned.push(text);
        self.scalar(kind, span, Text::Owned(at));
    }

    /// A list or a map begins.
    pub(super) fn open(&mut self, kind: Kind, span: Span) -> Result<(), Box<Fault>> {
        if self.open.len() >= DEEPEST {
            return Err(too_deep(span).into());
        }
        if self.key_next.last() == Some(&true) && self.inside_map() {
            return Err(Fault::new(span, "a key is a list or a map").allowed("a word as key").into());
        }
        self.turn();
        let at = self.next_index();
        self.tree.nodes.push(Node { kind, span, after: at + 1, text: Text::Source(Span::default()) });
        self.open.push(at);
        self.key_next.push(kind == Kind::Map);
        Ok(())
    }

    /// The innermost list or map ends; a bracket, if there is one, ends at `end`.
    pub(super) fn close(&mut self, end: Option<u32>) -> Result<(), Box<Fault>> {
        let Some(at) = self.open.pop() else { return Ok(()) };
        self.key_next.pop();
        let after = self.next_index();
        let last = self.tree.nodes.last().map_or(0, |node| node.span.end);
        let first = self.tree.node(at + 1).map(|node| node.span.start);
        let mut is_map = false;
        if let Some(node) = self.tree.nodes.get_mut(at as usize) {
            node.after = after;
            // A block has no brackets: it spans from its first child to its last.
            node.span.start = if end.is_some() { node.span.start } else { first.unwrap_or(node.span.start) };
            node.span.end = end.unwrap_or(last).max(node.span.start);
            is_map = node.kind == Kind::Map;
        }
        if is_map {
            self.refuse_duplicates(at);
        }
        if self.faults.len() < MOST_FAULTS {
            return Ok(());
        }
        self.faults.pop().map_or(Ok(()), |fault| Err(Box::new(fault)))
    }

    pub(super) fn finish(self) -> (Tree<'s>, Vec<Fault>) {
        (self.tree, self.faults)
    }

    fn next_index(&self) -> u32 {
        u32::try_from(self.tree.nodes.len()).unwrap_or(u32::MAX)
    }

    fn inside_map(&self) -> bool {
        let top = self.open.last().and_then(|at| self.tree.node(*at));
        top.is_some_and(|node| node.kind == Kind::Map)
    }

    fn turn(&mut self) {
        if self.inside_map()
            && let Some(turn) = self.key_next.last_mut()
        {
            *turn = !*turn;
        }
    }

    fn refuse_duplicates(&mut self, map: u32) {
        self.keys.clear();
        self.keys.extend(self.tree.pairs(map).map(|(key, _)| key));
        let tree = &self.tree;
        let mut twice: Vec<(u32, u32)> = Vec::new();
        if self.keys.len() <= SMALL_MAP {
            for (place, key) in self.keys.iter().enumerate() {
                let text = tree.text(*key);
                let first = self.keys.iter().take(place).find(|earlier| tree.text(**earlier) == text);
                twice.extend(first.map(|first| (*first, *key)));
            }
        } else {
            self.keys.sort_by(|a, b| tree.text(*a).cmp(tree.text(*b)).then(a.cmp(b)));
            for pair in self.keys.windows(2) {
                if let [first, second] = pair
                    && tree.text(*first) == tree.text(*second)
                {
                    twice.push((*first, *second));
                }
            }
        }
        for (first, second) in twice {
            if self.faults.len() >= MOST_FAULTS {
                return;
            }
            let name = super::value::excerpt(tree.text(second));
            self.faults.push(
                Fault::new(tree.span(second), format!("duplicate key `{name}`"))
                    .found(format!("`{name}` a second time"))
                    .allowed("each key once")
                    .other(tree.span(first), "first here"),
            );
        }
    }
}

pub(super) fn too_deep(span: Span) -> Fault {
    Fault::new(span, "this is nested too deeply").allowed(format!("at most {DEEPEST} levels"))
}
