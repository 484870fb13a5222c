//! A page as Markdown with pipe tables.
//!
//! Knows no other format. Foreign text is escaped: it can neither open a tag nor end a cell.

use super::{
    figures::Figures,
    page::{Block, Formula, Page, Step, Table, of_rail},
};

/// Renders a page without figures.
pub fn render(page: &Page) -> String {
    render_with(page, &Figures::default(), "")
}

/// Renders a page that links the files of its figures and of their numbers, which stand beside it under names that begin
/// with a prefix.
pub fn render_with(page: &Page, figures: &Figures, prefix: &str) -> String {
    let mut out = format!("# {}\n", escape(&page.title));
    let mut section = "";
    for block in &page.blocks {
        if let Block::Heading { anchor, .. } = block {
            push_figures(&mut out, figures, section, prefix);
            section = anchor;
        }
        out.push('\n');
        push(&mut out, block);
    }
    push_figures(&mut out, figures, section, prefix);
    out
}

/// Links to the figures that close a section.
fn push_figures(out: &mut String, figures: &Figures, section: &str, prefix: &str) {
    for picture in figures.of_section(section) {
        put(out, format_args!("\n![{}]({prefix}{})\n\n", escape(&picture.title), picture.file()));
        put(out, format_args!("{}. {}\n", escape(&picture.title), escape(&picture.text)));
        if picture.table.is_some() {
            put(out, format_args!("\n[Numbers of this figure]({prefix}{})\n", picture.numbers_file()));
        }
    }
}

fn push(out: &mut String, block: &Block) {
    match block {
        Block::Heading { anchor, text } => {
            put(out, format_args!("<a id=\"{anchor}\"></a>\n\n## {}\n", escape(text)));
        }
        Block::Subheading(text) => put(out, format_args!("### {}\n", escape(text))),
        Block::Paragraph(text) => put(out, format_args!("{}\n", escape(text))),
        Block::Conclusion { text, .. } => put(out, format_args!("**{}**\n", escape(text))),
        Block::Caution { title, text } => {
            put(out, format_args!("> **{}.** {}\n", escape(title), escape(text)));
        }
        Block::Pairs(pairs) => {
            for (name, value) in pairs {
                put(out, format_args!("- {}: {}\n", escape(name), escape(value)));
            }
        }
        Block::List(items) => {
            for item in items {
                put(out, format_args!("- {}\n", escape(item)));
            }
        }
        Block::Table(table) => push_table(out, table),
        Block::Formula(formula) => push_formula(out, formula),
        Block::Step(step) => push_step(out, step),
    }
}

fn push_table(out: &mut String, table: &Table) {
    put(out, format_args!("{}\n\n|", escape(&table.caption)));
    for column in &table.columns {
        put(out, format_args!(" {} |", escape(&column.head)));
    }
    out.push_str("\n|");
    for column in &table.columns {
        out.push_str(if column.kind.right_aligned() { " ---: |" } else { " :--- |" });
    }
    out.push('\n');
    for row in &table.rows {
        out.push('|');
        for cell in row {
            put(out, format_args!(" {} |", escape(&cell.text)));
        }
        out.push('\n');
    }
}

fn push_formula(out: &mut String, formula: &Formula) {
    put(out, format_args!("**{}**\n\n", escape(&formula.purpose)));
    put(out, format_args!("- {}\n", escape(&formula.equation)));
    for (rail, text) in &formula.substituted {
        put(out, format_args!("- {}\n", escape(&of_rail(rail, text))));
    }
    let symbols: Vec<String> =
        formula.symbols.iter().map(|(name, meaning)| format!("{name} {meaning}")).collect();
    put(out, format_args!("- where {}\n", escape(&symbols.join(" · "))));
    put(out, format_args!("- domain: {} · source: {}\n", escape(&formula.domain), escape(&formula.source)));
}

fn push_step(out: &mut String, step: &Step) {
    put(out, format_args!("**{}**\n\n", escape(&step.title)));
    for line in &step.lines {
        put(out, format_args!("- {}\n", escape(line)));
    }
    for case in &step.cases {
        put(out, format_args!("- {}\n", escape(&of_rail(&case.rail, &case.substituted))));
    }
    let symbols: Vec<String> =
        step.symbols.iter().map(|(name, meaning)| format!("{name} {meaning}")).collect();
    if !symbols.is_empty() {
        put(out, format_args!("- where {}\n", escape(&symbols.join(" · "))));
    }
    let (before, after) = step.heads;
    for case in &step.cases {
        let said = format!("{before} {} · {after} {}", case.textbook, case.exact);
        put(out, format_args!("- {}\n", escape(&of_rail(&case.rail, &said))));
    }
    put(out, format_args!("- {}\n", escape(&step.change)));
    put(out, format_args!("- domain: {} · source: {}\n", escape(&step.domain), escape(&step.source)));
}

fn put(out: &mut String, text: std::fmt::Arguments<'_>) {
    use std::fmt::Write as _;
    // Writing to a string cannot fail.
    let _ = out.write_fmt(text);
}

/// Text that Markdown and the HTML inside it show as it is.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for (index, c) in text.char_indices() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '!' | '$' => {
                out.push('\\');
                out.push(c);
            }
            '+' | '-' | '=' | '#' if index == 0 => {
                out.push('\\');
                out.push(c);
            }
            '.' | ')' if ends_list_mark(text, index) => {
                out.push('\\');
                out.push(c);
            }
            // A bare address would become a link.
            ':' if text.get(index..).is_some_and(|rest| rest.starts_with("://")) => out.push_str("&#58;"),
            '@' => out.push_str("&#64;"),
            _ => out.push(c),
        }
    }
    out
}

/// Whether what stands at `index` ends a number that would begin a numbered list.
fn ends_list_mark(text: &str, index: usize) -> bool {
    let (before, rest) = text.split_at_checked(index).unwrap_or((text, ""));
    let digits = !before.is_empty() && before.bytes().all(|byte| byte.is_ascii_digit());
    digits && rest.get(1..).is_none_or(|after| after.is_empty() || after.starts_with(' '))
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn text_cannot_become_a_tag_a_cell_a_list_or_a_link() {
        assert_eq!(escape("<script>|x"), "&lt;script&gt;\\|x");
        assert_eq!(escape("- one"), "\\- one");
        assert_eq!(escape("1. one"), "1\\. one");
        assert_eq!(escape("1.5 A"), "1.5 A");
        assert_eq!(escape("[a](https://b)"), "\\[a\\](https&#58;//b)");
    }
}
