//! A table in HTML: heads for columns and rows; where it is broad it becomes cards on a phone and two-line rows on paper.
//!
//! Widths are guessed from the lengths of the texts; a wrong guess costs looks, never a number.

use maud::{Markup, html};

use super::text::words;
use crate::report::page::{Cell, Column, DASH, Kind, Place, Table};

/// Characters of a row above which a phone shows each row as a card.
const PHONE: usize = 40;
/// Characters of a row above which paper shows each row on two lines.
const PAPER: usize = 104;
/// Characters of a row above which a screen does too.
const SCREEN: usize = 165;
/// Widest column that is reckoned with on paper; longer texts wrap.
const COLUMN_MOST: usize = 30;

/// Rows up to which paper keeps a table on one sheet.
const FEW: usize = 7;
/// Longest code that is never broken.
const CODE_MOST: usize = 14;

/// How broad a table is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Breadth {
    cards: bool,
    two_lines: bool,
    vast: bool,
}

/// The longest text of each column.
fn lengths(table: &Table) -> Vec<usize> {
    let mut lengths: Vec<usize> = table
        .columns
        .iter()
        .map(|column| column.head.split(' ').map(|word| word.chars().count()).max().unwrap_or(0))
        .collect();
    for row in &table.rows {
        for (length, cell) in lengths.iter_mut().zip(row) {
            *length = (*length).max(cell.text.chars().count());
        }
    }
    lengths.iter().map(|length| (*length).clamp(2, COLUMN_MOST)).collect()
}

impl Breadth {
    /// Whether a column has cells of its own; where the table is always on two lines the second line holds the others.
    fn shows(self, column: &Column) -> bool {
        !(self.vast && column.place == Place::Second)
    }
}

fn breadth(table: &Table, lengths: &[usize]) -> Breadth {
    let whole = lengths.iter().map(|length| length + 2).sum::<usize>();
    let second = table.columns.iter().any(|column| column.place == Place::Second);
    Breadth {
        cards: table.columns.len() > 2 && whole > PHONE,
        two_lines: second && whole > PAPER,
        vast: second && whole > SCREEN,
    }
}

/// Parts of the width of paper that the columns of the first line take.
fn template(table: &Table, lengths: &[usize]) -> String {
    let parts: Vec<String> = table
        .columns
        .iter()
        .zip(lengths)
        .filter(|(column, _)| column.place != Place::Second)
        .map(|(_, length)| format!("minmax(0,{}fr)", length + 2))
        .collect();
    format!("--g:{}", parts.join(" "))
}

/// Rows as a page shows them, each with what it shares with the one above and whether the next belongs to it.
struct Shown<'a> {
    row: &'a [Cell],
    /// The row above, where both stand together.
    above: Option<&'a [Cell]>,
    goes_on: bool,
}

/// Rows in their order; those that stand together follow the first of them.
fn shown(table: &Table) -> Vec<Shown<'_>> {
    let key = |row: &'_ [Cell]| table.together.and_then(|at| row.get(at)).map(|cell| cell.text.clone());
    let mut rows: Vec<&[Cell]> = table.rows.iter().map(Vec::as_slice).collect();
    if table.together.is_some() {
        let mut groups: Vec<Option<String>> = Vec::new();
        for row in &rows {
            if !groups.contains(&key(row)) {
                groups.push(key(row));
            }
        }
        rows.sort_by_key(|row| groups.iter().position(|group| *group == key(row)));
    }
    let with = |one: usize, other: usize| {
        let (one, other) = (rows.get(one)?, rows.get(other)?);
        (table.together.is_some() && key(one) == key(other)).then_some(*one)
    };
    (0..rows.len())
        .filter_map(|at| {
            let above = at.checked_sub(1).and_then(|before| with(before, at));
            Some(Shown { row: rows.get(at)?, above, goes_on: with(at, at + 1).is_some() })
        })
        .collect()
}

/// A table; `label` names it where it has no caption.
pub(super) fn table(table: &Table, label: &str) -> Markup {
    let lengths = lengths(table);
    let broad = breadth(table, &lengths);
    let named = if table.caption.is_empty() { label } else { &table.caption };
    let style = if broad.two_lines { Some(template(table, &lengths)) } else { None };
    html! {
        div.scroll.few[table.rows.len() <= FEW] role="region" aria-label={ "Table: " (named) } tabindex="0" {
            table.cards[broad.cards].tog[broad.cards && table.together.is_some()].lines[broad.two_lines].vast[broad.vast] style=[style] {
                caption.vh[table.caption.is_empty()] { (named) }
                thead {
                    tr {
                        @for column in table.columns.iter().filter(|column| broad.shows(column)) { (head(column, broad)) }
                        @if broad.two_lines { th.m scope="col" { span.vh { "details" } } }
                    }
                }
                tbody {
                    @for shown in shown(table) {
                        tr.on[broad.cards && shown.goes_on].by[broad.cards && shown.above.is_some()] {
                            @for (index, (column, cell)) in table.columns.iter().zip(shown.row).enumerate() {
                                @if broad.shows(column) {
                                    @let said = column.kind == Kind::Text && shown.above.and_then(|row| row.get(index)) == Some(cell);
                                    (cell_markup(index, column, cell, broad, (table.together, said)))
                                }
                            }
                            @if broad.two_lines { td.m { (second_line(table, shown.row)) } }
                        }
                    }
                }
            }
        }
    }
}

/// A table of numbers alone, as lean as it can be.
pub(super) fn numbers(table: &Table) -> Markup {
    html! {
        div.scroll role="region" aria-label={ "Numbers: " (table.caption) } tabindex="0" {
            table.n {
                caption { (table.caption) }
                thead { tr { @for column in &table.columns { th scope="col" { (column.head) } } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (index, cell) in row.iter().enumerate() {
                                @if index == 0 { th scope="row" { (cell.text) } } @else { td { (cell.text) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What stands in the second line of a row on paper.
fn second_line(table: &Table, row: &[Cell]) -> String {
    let said: Vec<String> = table
        .columns
        .iter()
        .zip(row)
        .filter(|(column, cell)| column.place == Place::Second && !nothing(cell))
        .map(|(column, cell)| format!("{} {}", column.head, cell.text))
        .collect();
    said.join(" · ")
}

fn nothing(cell: &Cell) -> bool {
    cell.text.is_empty() || cell.text == DASH
}

fn head(column: &Column, broad: Breadth) -> Markup {
    let second = broad.two_lines && column.place == Place::Second;
    html! {
        th scope="col" .r[column.kind.right_aligned()] .s[second] {
            @if column.head.is_empty() { span.vh { "relation" } } @else { (column.head) }
        }
    }
}

/// A cell; `together` is the column by which rows stand together, `said` whether the row above has said the same.
fn cell_markup(
    index: usize,
    column: &Column,
    cell: &Cell,
    broad: Breadth,
    (together, said): (Option<usize>, bool),
) -> Markup {
    let right = column.kind.right_aligned();
    let code = column.kind == Kind::Code && cell.text.chars().count() <= CODE_MOST;
    let whole = code || matches!(column.kind, Kind::Whole | Kind::Verdict);
    let long = column.kind == Kind::Text && cell.text.chars().count() > 24;
    let fails = column.kind == Kind::Verdict && cell.text == "FAILS";
    let second = broad.two_lines && column.place == Place::Second;
    let blank = broad.cards && (nothing(cell) || said);
    // In a card what all rows share stands above them.
    let heads = broad.cards && together.is_some() && column.kind == Kind::Text;
    // In a card the words that say which row it is need no head before them.
    let key = column.place == Place::Key && matches!(column.kind, Kind::Text | Kind::Code | Kind::Whole);
    let name = (broad.cards && !key && !column.head.is_empty()).then_some(column.head.as_str());
    html! {
        @if index == 0 {
            th scope="row" .r[right] .w[whole] data-h=[name] {
                @if cell.text.is_empty() { span.vh { "none" } } @else { (words(&cell.text)) }
            }
        } @else {
            td .r[right] .w[whole] .long[long] .fails[fails] .s[second] .z[blank] .h[heads] data-h=[name] { (words(&cell.text)) }
        }
    }
}
