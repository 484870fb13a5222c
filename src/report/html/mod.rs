//! A page as one HTML file: nothing is fetched, no script is needed.
//!
//! Foreign text goes through escaping only; what is let through unescaped is our own drawing and our own MathML.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{
    figures::{Figures, Picture},
    mathml,
    page::{Block, Cell, Column, Formula, Kind, Page, Table},
    svg,
};

/// How the page looks.
pub const STYLE: &str = include_str!("style.css");

/// Width from which a drawing is not shrunk to a phone's width.
const BROAD: f64 = 800.0;

/// One section: its heading, if any, and what follows.
struct Section<'a> {
    head: Option<(&'static str, &'a str)>,
    blocks: Vec<&'a Block>,
}

/// Renders a page with its figures.
pub fn render(page: &Page, figures: &Figures) -> String {
    let sections = sections(page);
    let text = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                meta name="referrer" content="no-referrer";
                title { (page.title) }
                style { (PreEscaped(STYLE)) (PreEscaped(svg::STYLE)) }
            }
            body {
                a.skip href="#content" { "Skip to the report" }
                div.sheet {
                    header {
                        p { "Linear mains supply · review sheet" }
                        h1 { (page.title) }
                    }
                    main #content {
                        @for (index, section) in sections.iter().enumerate() {
                            (section_markup(section, figures))
                            @if index == 0 { (contents(&sections)) }
                        }
                    }
                }
            }
        }
    };
    let mut text = text.into_string();
    text.push('\n');
    text
}

fn sections(page: &Page) -> Vec<Section<'_>> {
    let mut sections: Vec<Section<'_>> = Vec::new();
    for block in &page.blocks {
        if let Block::Heading { anchor, text } = block {
            sections.push(Section { head: Some((anchor, text)), blocks: Vec::new() });
            continue;
        }
        if let Some(last) = sections.last_mut() {
            last.blocks.push(block);
        } else {
            sections.push(Section { head: None, blocks: vec![block] });
        }
    }
    sections
}

/// Links to the sections; the cautions stand before them.
fn contents(sections: &[Section<'_>]) -> Markup {
    html! {
        nav aria-label="Sections" {
            ul {
                @for (anchor, text) in sections.iter().filter_map(|section| section.head) {
                    li { a href={ "#" (anchor) } { (text) } }
                }
            }
        }
    }
}

fn section_markup(section: &Section<'_>, figures: &Figures) -> Markup {
    let body = html! {
        @for block in &section.blocks { (block_markup(block)) }
    };
    let Some((anchor, text)) = section.head else { return body };
    html! {
        section id=(anchor) aria-labelledby={ (anchor) "-head" } {
            h2 id={ (anchor) "-head" } { (text) }
            (body)
            @for picture in figures.of_section(anchor) { (figure(picture)) }
        }
    }
}

fn block_markup(block: &Block) -> Markup {
    match block {
        Block::Heading { .. } => html! {},
        Block::Subheading(text) => html! { h3 { (text) } },
        Block::Paragraph(text) => html! { p { (text) } },
        Block::Conclusion { good, text } => html! {
            p.verdict.good[*good].bad[!*good] { @if *good { "✓ " } @else { "✗ " } (text) }
        },
        Block::Caution { title, text } => html! {
            div.caution role="note" { p { strong { "▲ " (title) ". " } (text) } }
        },
        Block::Pairs(pairs) => html! {
            dl.pairs { @for (name, value) in pairs { dt { (name) } dd { (value) } } }
        },
        Block::List(items) => html! { ul { @for item in items { li { (item) } } } },
        Block::Table(one) => table(one),
        Block::Formula(one) => formula(one),
    }
}

fn table(table: &Table) -> Markup {
    html! {
        div.scroll role="region" aria-label=(table.caption) tabindex="0" {
            table {
                caption { (table.caption) }
                thead { tr { @for column in &table.columns { (head(column)) } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (index, (column, cell)) in table.columns.iter().zip(row).enumerate() {
                                (cell_markup(index, column, cell))
                            }
                        }
                    }
                }
            }
        }
    }
}

fn head(column: &Column) -> Markup {
    html! {
        th scope="col" .r[column.kind.right_aligned()] {
            @if column.head.is_empty() { span.vh { "relation" } } @else { (column.head) }
        }
    }
}

fn cell_markup(index: usize, column: &Column, cell: &Cell) -> Markup {
    let right = column.kind.right_aligned();
    let whole = matches!(column.kind, Kind::Whole | Kind::Verdict);
    let long = column.kind == Kind::Text && cell.text.chars().count() > 24;
    let fails = column.kind == Kind::Verdict && cell.text == "FAILS";
    html! {
        @if index == 0 {
            th scope="row" .r[right] .w[whole] { (cell.text) }
        } @else {
            td .r[right] .w[whole] .long[long] .fails[fails] { (cell.text) }
        }
    }
}

fn formula(formula: &Formula) -> Markup {
    html! {
        div.working {
            p.use { (formula.purpose) }
            @match mathml::render(&formula.equation) {
                Some(text) => { (PreEscaped(text)) }
                None => { p.plain { (formula.equation) } }
            }
            p.plain { (formula.substituted) }
            p.small {
                "where "
                @for (index, (name, meaning)) in formula.symbols.iter().enumerate() {
                    @if index > 0 { "; " }
                    (PreEscaped(mathml::symbol(name))) " " (meaning)
                }
            }
            p.small { "Holds for: " (formula.domain) ". Source: " (formula.source) "." }
        }
    }
}

fn figure(picture: &Picture) -> Markup {
    let mut element = picture.inline();
    if picture.drawing.width > BROAD {
        element = element.replacen("class=\"fig\"", "class=\"fig wide\"", 1);
    }
    html! {
        figure id=(picture.name) {
            figcaption { (picture.title) }
            div.scroll role="region" aria-label={ "Figure: " (picture.title) } tabindex="0" { (PreEscaped(element)) }
            p { (picture.text) }
            @if let Some(one) = &picture.table {
                details { summary { "Numbers of this figure" } (table(one)) }
            }
        }
    }
}
