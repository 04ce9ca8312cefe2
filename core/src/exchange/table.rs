//! CSV text, out and in: quoting, the guard against spreadsheet formulas, line numbers.
//!
//! Text that a spreadsheet would take for a formula (it begins with `=`, `+`, `-`, `@`, a tab or a line end) is written
//! with a single quote before it, and that quote is taken off again when the file is read, so `-12` stays `-12`.
//! Text that already reads as quotes before such a sign gets one more, so nothing is ever lost.

use super::Unfit;
use super::listed::Value;

/// CSV text as it grows: the one writer of all tables.
#[derive(Debug, Default)]
pub(super) struct Text(pub String);

impl Text {
    /// The header line.
    pub fn heads(&mut self, heads: &[String]) {
        self.line(heads.iter().map(|h| (h.as_str(), true)));
    }

    /// One row. Text is guarded, a tag may read `-12`; numbers and days we made ourselves are not.
    pub fn row(&mut self, row: &[Value]) {
        let start = self.0.len();
        for (i, value) in row.iter().enumerate() {
            if i > 0 {
                self.0.push(',');
            }
            match value {
                Value::Nothing => {}
                Value::Text(text) => self.cell(text, true),
                Value::Number(number) => self.cell(number, false),
                Value::Day(day) => self.cell(&day.to_string(), false),
            }
        }
        self.end(start);
    }

    fn line<'a>(&mut self, cells: impl Iterator<Item = (&'a str, bool)>) {
        let start = self.0.len();
        for (i, (cell, guard)) in cells.enumerate() {
            if i > 0 {
                self.0.push(',');
            }
            self.cell(cell, guard);
        }
        self.end(start);
    }

    fn cell(&mut self, cell: &str, guard: bool) {
        let quoted = cell.contains(['"', ',', ';', '\t', '\n', '\r'])
            || cell.starts_with(char::is_whitespace)
            || cell.ends_with(char::is_whitespace);
        if quoted {
            self.0.push('"');
        }
        if guard && is_formula(cell) {
            self.0.push('\'');
        }
        if quoted {
            self.0.push_str(&cell.replace('"', "\"\""));
            self.0.push('"');
        } else {
            self.0.push_str(cell);
        }
    }

    fn end(&mut self, start: usize) {
        if self.0.len() == start {
            self.0.push_str("\"\""); // a line of one empty value is no empty line
        }
        self.0.push('\n');
    }
}

/// Any number of single quotes, then a sign with which a spreadsheet begins a formula: of rules of OWASP on CSV
/// injection, which counts tab and line ends among them.
fn is_formula(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])
}

/// Takes the guard off.
pub(super) fn unguarded(cell: &str) -> &str {
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

    fn written(heads: &[&str], row: &[Value]) -> String {
        let mut text = Text::default();
        text.heads(&heads.iter().map(ToString::to_string).collect::<Vec<_>>());
        text.row(row);
        text.0
    }

    #[test]
    fn formulas_are_guarded_and_come_back() {
        let text = |t: &str| Value::text(t);
        for tag in [
            "-12", "=1+1", "@x", "+7", "'-12", "''=a", "'abc", "plain", "", "a\"b", "x\ny", "\tx", "'\tx",
            "\nx",
        ] {
            let file = written(&["tag", "x"], &[text(tag), text("1")]);
            assert_eq!(split(&file, ',').unwrap()[1].cells[0], tag, "{file}");
        }
        assert_eq!(written(&["t"], &[text("-12")]), "t\n'-12\n");
        assert_eq!(written(&["t"], &[text("\t1")]), "t\n\"'\t1\"\n");
        assert_eq!(written(&["t"], &[text("\r1")]), "t\n\"'\r1\"\n");
        let row = [Value::number("-12"), Value::number("-12+3"), Value::day("2026-04-03")];
        assert_eq!(written(&["gain", "sum", "on"], &row), "gain,sum,on\n-12,'-12+3,2026-04-03\n");
        assert_eq!(written(&["t"], &[Value::Nothing]), "t\n\"\"\n");
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
