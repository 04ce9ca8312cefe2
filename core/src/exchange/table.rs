//! CSV text, out and in: quoting, the guard against spreadsheet formulas, line numbers.
//!
//! Text that a spreadsheet would take for a formula (it begins with `=`, `+`, `-` or `@`) is written with a
//! single quote before it, and that quote is taken off again when the file is read, so `-12` stays `-12`.
//! Text that already reads as quotes before such a sign gets one more, so nothing is ever lost.

use super::Unfit;

/// Any list as CSV: a header line and rows, comma between values, each line ended by a line feed. Plain numbers
/// are left as they are; other text that looks like a formula is guarded (see the module).
pub fn csv_text(headers: &[&str], rows: &[Vec<String>]) -> String {
    let mut out = String::new();
    line(&mut out, headers.iter().copied(), |c| !is_number(c));
    for row in rows {
        line(&mut out, row.iter().map(String::as_str), |c| !is_number(c));
    }
    out
}

/// As [`csv_text`] for files that are read back: numbers are guarded too, since a tag may read `-12`.
pub(super) fn guarded(headers: &[&str], rows: &[Vec<String>]) -> String {
    let mut out = String::new();
    line(&mut out, headers.iter().copied(), |_| true);
    for row in rows {
        line(&mut out, row.iter().map(String::as_str), |_| true);
    }
    out
}

fn line<'a>(out: &mut String, cells: impl Iterator<Item = &'a str>, guard: impl Fn(&str) -> bool) {
    let start = out.len();
    for (i, cell) in cells.enumerate() {
        if i > 0 {
            out.push(',');
        }
        let quoted = cell.contains(['"', ',', ';', '\t', '\n', '\r'])
            || cell.starts_with(char::is_whitespace)
            || cell.ends_with(char::is_whitespace);
        if quoted {
            out.push('"');
        }
        if guard(cell) && is_formula(cell) {
            out.push('\'');
        }
        if quoted {
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(cell);
        }
    }
    if out.len() == start {
        out.push_str("\"\""); // a line of one empty value is no empty line
    }
    out.push('\n');
}

/// Any number of single quotes, then a sign that starts a formula.
fn is_formula(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(['=', '+', '-', '@'])
}

fn is_number(cell: &str) -> bool {
    let figures = cell.strip_prefix('-').unwrap_or(cell);
    figures.starts_with(|c: char| c.is_ascii_digit())
        && figures.chars().all(|c| c.is_ascii_digit() || c == '.')
}

/// Takes the guard off.
fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if is_formula(rest) => rest,
        _ => cell,
    }
}

/// One line of a file: the number of its first line as an editor counts, and its values without blanks around.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub number: usize,
    pub cells: Vec<String>,
}

impl Line {
    fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }
}

/// The text of a file, without its byte-order mark.
pub(super) fn text(bytes: &[u8]) -> Result<&str, Unfit> {
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err(Unfit::Spreadsheet);
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(Unfit::NotUtf8 { line: 1, seen: "it is UTF-16".into() });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|e| {
        let good = &bytes[..e.valid_up_to()];
        let line = 1 + good.iter().filter(|b| **b == b'\n').count();
        let good = std::str::from_utf8(good).unwrap_or_default();
        let after: String = good.rsplit('\n').next().unwrap_or_default().chars().rev().take(12).collect();
        let after: String = after.chars().rev().collect();
        let byte = bytes.get(e.valid_up_to()).copied().unwrap_or_default();
        let seen = if after.is_empty() {
            format!("byte {byte:02X} at its start")
        } else {
            format!("byte {byte:02X} after '{after}'")
        };
        Unfit::NotUtf8 { line, seen }
    })
}

/// Splits text into lines of values. Blank lines are left out. Line ends may be LF, CRLF or CR.
pub(super) fn split(text: &str, between: char) -> Result<Vec<Line>, Unfit> {
    let mut lines = Vec::new();
    let mut chars = text.chars().peekable();
    let mut number = 1;
    while chars.peek().is_some() {
        let mut line = Line { number, cells: Vec::new() };
        loop {
            let (cell, end) = cell(&mut chars, between, &mut number, line.number)?;
            line.cells.push(unguarded(cell.trim()).to_string());
            match end {
                End::Cell => {}
                End::Line => break,
            }
        }
        if !line.is_blank() {
            lines.push(line);
        }
    }
    Ok(lines)
}

enum End {
    Cell,
    Line,
}

fn cell(
    chars: &mut std::iter::Peekable<std::str::Chars<'_>>,
    between: char,
    number: &mut usize,
    line: usize,
) -> Result<(String, End), Unfit> {
    let mut cell = String::new();
    let mut blanks = false;
    while chars.next_if(|c| *c == ' ').is_some() {
        blanks = true;
    }
    let quoted = chars.next_if_eq(&'"').is_some();
    if quoted {
        let opened = *number;
        loop {
            match chars.next() {
                None => return Err(Unfit::OpenQuote { line: opened }),
                Some('"') if chars.next_if_eq(&'"').is_some() => cell.push('"'),
                Some('"') => break,
                Some('\n') => {
                    *number += 1;
                    cell.push('\n');
                }
                Some('\r') => {
                    // A line end within a value is kept as one line feed.
                    if chars.peek() != Some(&'\n') {
                        *number += 1;
                        cell.push('\n');
                    }
                }
                Some(c) => cell.push(c),
            }
        }
    } else if blanks {
        cell.push(' ');
    }
    loop {
        match chars.next() {
            None => return Ok((cell, End::Line)),
            Some('\n') => {
                *number += 1;
                return Ok((cell, End::Line));
            }
            Some('\r') => {
                chars.next_if_eq(&'\n');
                *number += 1;
                return Ok((cell, End::Line));
            }
            Some(c) if c == between => return Ok((cell, End::Cell)),
            Some(c) if quoted && !c.is_whitespace() => return Err(Unfit::AfterQuote { line }),
            Some(c) => cell.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        split(text, ',').unwrap().into_iter().map(|l| l.cells).collect()
    }

    #[test]
    fn values_lines_and_quotes() {
        assert_eq!(cells("a,b\n1,\"x, \"\"y\"\"\"\n"), [vec!["a", "b"], vec!["1", "x, \"y\""]]);
        assert_eq!(cells("a,b\r\n1,2\r\n"), [["a", "b"], ["1", "2"]]);
        assert_eq!(cells("a,b\r1,2"), [["a", "b"], ["1", "2"]]);
        assert_eq!(cells("a, \"b\" , c \n"), [["a", "b", "c"]]);
        assert_eq!(cells("6\" nail,b\n"), [["6\" nail", "b"]]);
        assert_eq!(cells(",\n\n , \na,\n"), [["a", ""]]);
    }

    #[test]
    fn lines_are_counted_as_an_editor_counts_them() {
        let lines = split("a,b\n\n\"x\ny\",2\r\n\r\n3,4\n", ',').unwrap();
        assert_eq!(lines.iter().map(|l| l.number).collect::<Vec<_>>(), [1, 3, 6]);
        assert_eq!(lines[1].cells[0], "x\ny");
        assert_eq!(split("a\n\"b\nc\n", ','), Err(Unfit::OpenQuote { line: 2 }));
        assert_eq!(split("a\n\"b\" c\n", ','), Err(Unfit::AfterQuote { line: 2 }));
    }

    #[test]
    fn formulas_are_guarded_and_come_back() {
        for tag in ["-12", "=1+1", "@x", "+7", "'-12", "''=a", "'abc", "plain", "", "a\"b", "x\ny"] {
            let text = guarded(&["tag", "x"], &[vec![tag.into(), "1".into()]]);
            assert_eq!(split(&text, ',').unwrap()[1].cells[0], tag, "{text}");
        }
        assert_eq!(guarded(&["t"], &[vec!["-12".into()]]), "t\n'-12\n");
        assert_eq!(csv_text(&["gain"], &[vec!["-12".into()], vec!["-12+3".into()]]), "gain\n-12\n'-12+3\n");
    }

    #[test]
    fn text_that_is_not_utf8_is_placed() {
        assert_eq!(text(b"\xef\xbb\xbftag").unwrap(), "tag");
        let e = text(b"tag,name\n1,Br\xe9a\n").unwrap_err();
        assert_eq!(e, Unfit::NotUtf8 { line: 2, seen: "byte E9 after '1,Br'".into() });
        assert!(matches!(text(b"PK\x03\x04..."), Err(Unfit::Spreadsheet)));
        assert!(matches!(text(b"\xff\xfet\0"), Err(Unfit::NotUtf8 { line: 1, .. })));
    }
}
