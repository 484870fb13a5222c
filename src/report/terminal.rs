//! A page for a terminal of a given width. Colour only repeats what the words say.
//!
//! Knows no environment: width and colour are given. Text arrives harmless; see [`super::page`].

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, TableStyle,
};

use super::page::{Block, Formula, Kind, Page, Place, Table, of_rail};

/// How the terminal looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Columns of the terminal.
    pub width: usize,
    /// Whether colour may be used.
    pub colour: bool,
}

/// Columns of running text may wrap down to this before a table is split in two.
const TEXT_WIDTH: usize = 24;
/// Columns that may wrap get at least this before figures must wrap too.
const CRAMPED_WIDTH: usize = 8;
/// Blank between columns.
const GAP: usize = 2;
/// Where a code may break: behind a hyphen. Foreign text holds none; see [`super::page::clean`].
const SOFT_BREAK: char = '\u{200b}';

/// Narrowest and widest page that is laid out; beyond it lines get hard to follow.
const WIDTHS: std::ops::RangeInclusive<usize> = 40..=200;

const TABLE: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none())
    .header_separator(LineStyle::none().fill('╌').junction('╌'));

/// Renders a page.
pub fn render(page: &Page, look: Look) -> String {
    let mut out = Writer {
        text: String::new(),
        width: look.width.clamp(*WIDTHS.start(), *WIDTHS.end()),
        paint: Paint { on: look.colour },
        section: 0,
    };
    out.styled(&page.title, Paint::bold);
    out.line(&"━".repeat(out.width));
    for block in &page.blocks {
        out.block(block);
    }
    out.text
}

/// Escape sequences, or none.
#[derive(Clone, Copy)]
struct Paint {
    on: bool,
}

impl Paint {
    fn with(self, codes: &str, text: &str) -> String {
        if self.on { format!("\u{1b}[{codes}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
    fn bold(self, text: &str) -> String {
        self.with("1", text)
    }
    fn dim(self, text: &str) -> String {
        self.with("2", text)
    }
    fn warn(self, text: &str) -> String {
        self.with("1;33", text)
    }
    fn bad(self, text: &str) -> String {
        self.with("1;31", text)
    }
    fn good(self, text: &str) -> String {
        self.with("1;32", text)
    }
}

struct Writer {
    text: String,
    width: usize,
    paint: Paint,
    section: u32,
}

impl Writer {
    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    fn blank(&mut self) {
        self.text.push('\n');
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading { text, .. } => {
                self.section += 1;
                self.blank();
                let head = format!("{:>2} ▸ {text} ", self.section);
                let rule = self.width.saturating_sub(head.chars().count());
                let line = format!("{}{}", self.paint.bold(&head), self.paint.dim(&"─".repeat(rule)));
                self.line(&line);
            }
            Block::Subheading(text) => {
                self.blank();
                self.styled(text, Paint::bold);
            }
            Block::Paragraph(text) => {
                self.blank();
                self.wrapped("", text);
            }
            Block::Conclusion { good, text } => {
                self.blank();
                let paint = self.paint;
                let mark = if *good { "=> " } else { "=! " };
                let lines = columns(&[vec![mark.to_owned(), text.clone()]], &[3], self.width);
                for line in lines {
                    let line = if *good { paint.good(&line) } else { paint.bad(&line) };
                    self.line(&line);
                }
            }
            Block::Caution { title, text } => {
                self.blank();
                self.styled(&format!("!! {title}"), Paint::warn);
                self.wrapped("   ", text);
            }
            Block::Pairs(pairs) => {
                self.blank();
                let rows: Vec<Vec<String>> =
                    pairs.iter().map(|(name, value)| vec![name.clone(), value.clone()]).collect();
                let names = pairs.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
                for line in columns(&rows, &[names + 2], self.width) {
                    self.line(&line);
                }
            }
            Block::List(items) => {
                self.blank();
                for item in items {
                    self.hanging(" ▪ ", item);
                }
            }
            Block::Table(table) => self.table(table),
            Block::Formula(formula) => self.formula(formula),
            Block::Step(_) => {}
        }
    }

    /// Running text in one style.
    fn styled(&mut self, text: &str, style: fn(Paint, &str) -> String) {
        for line in columns(&[vec![text.to_owned()]], &[], self.width) {
            let line = style(self.paint, &line);
            self.line(&line);
        }
    }

    /// Running text behind an indent.
    fn wrapped(&mut self, indent: &str, text: &str) {
        let width = self.width.saturating_sub(indent.chars().count());
        for line in columns(&[vec![text.to_owned()]], &[], width) {
            self.line(&format!("{indent}{line}"));
        }
    }

    /// Running text whose first line begins with a mark.
    fn hanging(&mut self, mark: &str, text: &str) {
        let width = mark.chars().count();
        for line in columns(&[vec![mark.to_owned(), text.to_owned()]], &[width], self.width) {
            self.line(&line);
        }
    }

    fn formula(&mut self, formula: &Formula) {
        self.blank();
        self.styled(&formula.purpose, Paint::bold);
        self.wrapped("    ", &formula.equation);
        for (rail, text) in &formula.substituted {
            self.wrapped("    ", &of_rail(rail, text));
        }
        let symbols: Vec<String> =
            formula.symbols.iter().map(|(name, meaning)| format!("{name} {meaning}")).collect();
        self.wrapped("    ", &format!("where {}", symbols.join(" · ")));
        self.wrapped("    ", &format!("domain: {} · source: {}", formula.domain, formula.source));
    }

    fn table(&mut self, table: &Table) {
        let every: Vec<usize> = (0..table.columns.len()).collect();
        let splits = table.columns.iter().any(|column| column.place == Place::Second)
            && table.columns.iter().any(|column| column.place == Place::First);
        if !splits || natural_width(table, &every) <= self.width {
            self.part(table, &every, &table.caption);
            return;
        }
        let of = |place| {
            every
                .iter()
                .copied()
                .filter(|&index| {
                    table
                        .columns
                        .get(index)
                        .is_some_and(|column| column.place == Place::Key || column.place == place)
                })
                .collect::<Vec<usize>>()
        };
        self.part(table, &of(Place::First), &table.caption);
        self.part(table, &of(Place::Second), &format!("{}, continued", table.caption));
    }

    fn part(&mut self, table: &Table, indices: &[usize], caption: &str) {
        self.blank();
        self.styled(caption, Paint::dim);
        let paint = self.paint;
        for line in laid_out(table, indices, self.width) {
            // The word carries the meaning; the colour only helps the eye.
            self.line(&line.replace("FAILS", &paint.bad("FAILS")));
        }
    }
}

/// Greatest width of a column's cells and head.
fn widest(table: &Table, index: usize) -> Option<usize> {
    let head = table.columns.get(index)?.head.chars().count();
    let cells = table.rows.iter().filter_map(|row| row.get(index)).map(|cell| cell.text.chars().count());
    cells.chain([head]).max()
}

/// Width a table takes when only running text wraps.
fn natural_width(table: &Table, indices: &[usize]) -> usize {
    indices
        .iter()
        .filter_map(|&index| {
            let wide = widest(table, index)?;
            let wraps = table.columns.get(index)?.kind == Kind::Text;
            Some(if wraps { wide.min(TEXT_WIDTH) } else { wide } + GAP)
        })
        .sum()
}

/// A table without borders, wrapped to a width.
fn blank_table(width: usize) -> comfy_table::Table {
    let mut sheet = comfy_table::Table::new();
    sheet
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(width).unwrap_or(u16::MAX));
    sheet
}

/// Lines of a table's chosen columns.
fn laid_out(table: &Table, indices: &[usize], width: usize) -> Vec<String> {
    let mut sheet = blank_table(width);
    sheet.load_style(TABLE);
    let chosen: Vec<(usize, &super::page::Column)> =
        indices.iter().filter_map(|&index| Some((index, table.columns.get(index)?))).collect();
    sheet.set_header(chosen.iter().map(|(_, column)| column.head.as_str()));
    for row in &table.rows {
        sheet.add_row(chosen.iter().map(|&(index, column)| {
            let text = row.get(index).map_or("", |cell| cell.text.as_str());
            // A long code may break behind its hyphens; designators and words break at spaces.
            if column.kind == Kind::Code && !text.contains(' ') {
                let breaking = text.replace('-', &format!("-{SOFT_BREAK}"));
                comfy_table::Cell::new(breaking).set_delimiter(SOFT_BREAK)
            } else {
                comfy_table::Cell::new(text)
            }
        }));
    }
    let least: usize = chosen
        .iter()
        .map(|&(index, column)| {
            GAP + if column.kind.stiff() { widest(table, index).unwrap_or(0) } else { CRAMPED_WIDTH }
        })
        .sum();
    for (place, (_, column)) in chosen.iter().enumerate() {
        if let Some(shown) = sheet.column_mut(place) {
            shown.set_padding((0, 1));
            if column.kind.right_aligned() {
                shown.set_cell_alignment(CellAlignment::Right);
            }
            if column.kind.stiff() && least <= width {
                shown.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
    }
    sheet.trim_fmt().lines().map(|line| line.replace(SOFT_BREAK, "")).collect()
}

/// Lines of rows of text without a head; `fixed` are the widths of the first columns, the last takes the rest.
fn columns(rows: &[Vec<String>], fixed: &[usize], width: usize) -> Vec<String> {
    let mut sheet = blank_table(width);
    sheet.load_style(TableStyle::new());
    for row in rows {
        sheet.add_row(row);
    }
    let count = rows.first().map_or(0, Vec::len);
    for index in 0..count {
        if let Some(column) = sheet.column_mut(index) {
            column.set_padding((0, 0));
            if let Some(&fixed) = fixed.get(index) {
                let cells = u16::try_from(fixed).unwrap_or(u16::MAX);
                column.set_constraint(ColumnConstraint::Absolute(comfy_table::Width::Fixed(cells)));
            }
        }
    }
    sheet.trim_fmt().lines().map(str::to_owned).collect()
}
