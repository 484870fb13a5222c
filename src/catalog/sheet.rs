//! A sheet of comma-separated values (RFC 4180) as rows of cells with their line numbers.
//!
//! Knows nothing of what the cells mean.

/// A row of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetRow {
    /// Line in the file on which it begins, from 1.
    pub line: usize,
    /// Cells, without the spaces around them.
    pub cells: Vec<String>,
}

/// A quote that is never closed, by the line on which it opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a quote opened on line {line} is never closed")]
pub struct OpenQuote {
    /// Line, from 1.
    pub line: usize,
}

/// The rows of a sheet; rows without any text are left out.
pub fn rows(text: &str, separator: char) -> Result<Vec<SheetRow>, OpenQuote> {
    let mut all = Vec::new();
    let mut row = SheetRow { line: 1, cells: Vec::new() };
    let mut cell = String::new();
    let (mut line, mut quoted) = (1, None);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        if letter == '\n' {
            line += 1;
        }
        match letter {
            '"' if quoted.is_some() && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' if quoted.is_some() => quoted = None,
            _ if quoted.is_some() => cell.push(letter),
            '"' if cell.trim().is_empty() => {
                cell.clear();
                quoted = Some(line);
            }
            '\n' => {
                row.cells.push(cell.trim().to_owned());
                cell.clear();
                all.push(std::mem::replace(&mut row, SheetRow { line, cells: Vec::new() }));
            }
            _ if letter == separator => {
                row.cells.push(cell.trim().to_owned());
                cell.clear();
            }
            _ => cell.push(letter),
        }
    }
    if let Some(line) = quoted {
        return Err(OpenQuote { line });
    }
    row.cells.push(cell.trim().to_owned());
    all.push(row);
    all.retain(|row| row.cells.iter().any(|cell| !cell.is_empty()));
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<(usize, Vec<String>)> {
        rows(text, ',').unwrap().into_iter().map(|row| (row.line, row.cells)).collect()
    }

    /// Source: RFC 4180, section 2, rules 1 to 7.
    #[test]
    fn quotes_hold_separators_line_ends_and_doubled_quotes() {
        let read = cells("a,b\r\n\"x, \"\"y\"\"\",\"two\nlines\"\r\n\r\nlast, 1 \r\n");
        let row = |line, cells: [&str; 2]| (line, cells.map(str::to_owned).to_vec());
        assert_eq!(read, [row(1, ["a", "b"]), row(2, ["x, \"y\"", "two\nlines"]), row(5, ["last", "1"])]);
    }

    #[test]
    fn a_quote_that_is_never_closed_is_named_by_its_line() {
        assert_eq!(rows("a,b\n\"x", ','), Err(OpenQuote { line: 2 }));
    }
}
