//! One page for every renderer: headings, paragraphs, tables, pairs, lists, cautions, formulas, all as finished text.
//!
//! Holds no layout of any format. Foreign text is made harmless here, once; numbers arrive as text from their figures.

use crate::{document::neutralise, quantity::Money, review::Figure};

/// Something to read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// What it is, above the title where there is room.
    pub kind: &'static str,
    /// Title.
    pub title: String,
    /// What follows, in order.
    pub blocks: Vec<Block>,
}

/// One piece of a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A section begins.
    Heading {
        /// Stable name, for links.
        anchor: &'static str,
        /// Text.
        text: String,
    },
    /// A smaller heading inside a section.
    Subheading(String),
    /// Running text.
    Paragraph(String),
    /// The answer in one line; `good` says which, the text says it too.
    Conclusion {
        /// Whether nothing was found.
        good: bool,
        /// In words.
        text: String,
    },
    /// A warning.
    Caution {
        /// A few words.
        title: String,
        /// Text.
        text: String,
    },
    /// Names and values.
    Pairs(Vec<(String, String)>),
    /// A list.
    List(Vec<String>),
    /// A table.
    Table(Table),
    /// A formula worked out.
    Formula(Formula),
    /// A step of a lesson: for pages that can be projected, left out where text is all there is.
    Step(Step),
}

/// A step of a lesson.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is derived.
    pub title: String,
    /// Equations, one a line.
    pub lines: Vec<String>,
    /// Symbols: name and meaning.
    pub symbols: Vec<(String, String)>,
    /// Under what name the textbook's result stands, and the exact one.
    pub heads: (&'static str, &'static str),
    /// Results, one for each rail that it is derived for.
    pub cases: Vec<Case>,
    /// What changes.
    pub change: String,
    /// Where it holds, whence it comes.
    pub domain: String,
    /// Whence it comes.
    pub source: String,
}

/// What a step comes to for one rail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// Rail; empty where there is one.
    pub rail: String,
    /// With values.
    pub substituted: String,
    /// What the textbook makes of it.
    pub textbook: String,
    /// What the exact solution makes of it.
    pub exact: String,
}

/// A formula worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Formula {
    /// What it is worked for.
    pub purpose: String,
    /// In symbols.
    pub equation: String,
    /// With values, one for each rail that it is worked for; the rail is empty where there is one.
    pub substituted: Vec<(String, String)>,
    /// Symbols: name and meaning.
    pub symbols: Vec<(String, String)>,
    /// Where it holds.
    pub domain: String,
    /// Whence it comes.
    pub source: String,
}

/// A text with the rail that it is of before it.
pub(super) fn of_rail(rail: &str, text: &str) -> String {
    if rail.is_empty() { text.to_owned() } else { format!("{rail}: {text}") }
}

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Running text; may wrap.
    Text,
    /// A part number, code or designator; stays whole where there is room.
    Code,
    /// Words that belong on one line; never wraps.
    Whole,
    /// A figure with its unit; never wraps.
    Figure,
    /// Money; never wraps.
    Money,
    /// A count; never wraps.
    Count,
    /// Holds or fails, in words.
    Verdict,
}

impl Kind {
    /// Whether cells stay on one line where there is room for all that do.
    pub const fn stiff(self) -> bool {
        self.right_aligned() || matches!(self, Self::Verdict | Self::Whole)
    }

    /// Whether cells stand at the right edge of the column.
    pub const fn right_aligned(self) -> bool {
        matches!(self, Self::Figure | Self::Money | Self::Count)
    }
}

/// Which table of a split one a column goes to where all do not fit side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Repeated in both: it says which row is which.
    Key,
    /// In the first.
    First,
    /// In the second.
    Second,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Head.
    pub head: String,
    /// What its cells are.
    pub kind: Kind,
    /// Where it goes when the table is split.
    pub place: Place,
}

/// A cell: its text, and the value behind it for formats that keep values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// As it is read.
    pub text: String,
    /// Value behind the text.
    pub value: Value,
}

/// Value behind a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Value {
    /// The text is all there is.
    #[default]
    Text,
    /// A figure.
    Figure(Figure),
    /// Money.
    Money(Money),
    /// A count.
    Count(u32),
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Stable name, for files and links.
    pub name: &'static str,
    /// Caption.
    pub caption: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows, each as long as `columns`.
    pub rows: Vec<Vec<Cell>>,
    /// Column by whose text a page shows rows together; as they stand where there is none.
    pub together: Option<usize>,
}

/// What a cell with nothing to say reads.
pub const DASH: &str = "–";

/// Foreign text, made harmless.
pub fn clean(text: &str) -> String {
    neutralise(text).into_owned()
}

impl Cell {
    /// Text.
    pub fn text(text: &str) -> Self {
        Self { text: clean(text), value: Value::Text }
    }

    /// A figure, or a dash.
    pub fn figure(figure: Option<Figure>) -> Self {
        figure.map_or_else(Self::dash, |figure| Self { text: figure.text(), value: Value::Figure(figure) })
    }

    /// Money, or a dash.
    pub fn money(money: Option<Money>) -> Self {
        money.map_or_else(Self::dash, |money| Self { text: money.to_string(), value: Value::Money(money) })
    }

    /// A count.
    pub fn count(count: u32) -> Self {
        Self { text: count.to_string(), value: Value::Count(count) }
    }

    /// Nothing to say.
    pub fn dash() -> Self {
        Self { text: String::from(DASH), value: Value::Text }
    }
}

impl Table {
    /// An empty table; a column is its head, kind and place.
    pub fn new(name: &'static str, caption: &str, columns: &[(&str, Kind, Place)]) -> Self {
        Self {
            name,
            caption: clean(caption),
            columns: columns
                .iter()
                .map(|&(head, kind, place)| Column { head: clean(head), kind, place })
                .collect(),
            rows: Vec::new(),
            together: None,
        }
    }

    /// Adds a row.
    pub fn push(&mut self, cells: Vec<Cell>) {
        self.rows.push(cells);
    }

    /// Keeps the columns that a test keeps; it is given the head and all cells of a column.
    pub fn retain_columns(&mut self, keep: impl Fn(&str, &[&Cell]) -> bool) {
        let kept: Vec<bool> = self
            .columns
            .iter()
            .enumerate()
            .map(|(index, column)| {
                let cells: Vec<&Cell> = self.rows.iter().filter_map(|row| row.get(index)).collect();
                keep(&column.head, &cells)
            })
            .collect();
        let mut verdicts = kept.iter().copied();
        self.columns.retain(|_| verdicts.next().unwrap_or(true));
        for row in &mut self.rows {
            let mut verdicts = kept.iter().copied();
            row.retain(|_| verdicts.next().unwrap_or(true));
        }
    }
}

impl Page {
    /// An empty page.
    pub fn new(title: &str) -> Self {
        Self { kind: "", title: clean(title), blocks: Vec::new() }
    }

    /// The same page with what it is.
    #[must_use]
    pub fn as_kind(mut self, kind: &'static str) -> Self {
        self.kind = kind;
        self
    }

    /// Begins a section.
    pub fn heading(&mut self, anchor: &'static str, text: &str) {
        self.blocks.push(Block::Heading { anchor, text: clean(text) });
    }

    /// Adds a paragraph of foreign or own text.
    pub fn paragraph(&mut self, text: &str) {
        if !text.is_empty() {
            self.blocks.push(Block::Paragraph(clean(text)));
        }
    }

    /// Adds a list, if it has items.
    pub fn list(&mut self, items: &[String]) {
        if !items.is_empty() {
            self.blocks.push(Block::List(items.iter().map(|item| clean(item)).collect()));
        }
    }

    /// Adds a table, if it has rows.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table));
        }
    }

    /// Without columns in which no cell says anything, and without the rail's name in tables where it says nothing: where
    /// there is one rail.
    pub(super) fn tidy(&mut self, rails: usize) {
        for block in &mut self.blocks {
            let Block::Table(table) = block else { continue };
            let lists_rails = table.name == "rails";
            table.retain_columns(|head, cells| {
                let blank = cells.iter().all(|cell| cell.text.is_empty() || cell.text == DASH);
                !blank && (head != "Rail" || rails > 1 || lists_rails)
            });
        }
    }

    /// Takes columns out of a table, by their heads.
    pub(super) fn without_columns(&mut self, table: &str, heads: &[&str]) {
        for block in &mut self.blocks {
            if let Block::Table(one) = block
                && one.name == table
            {
                one.retain_columns(|head, _| !heads.contains(&head));
            }
        }
    }

    /// All tables, in order.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        })
    }
}
