//! Bytes to text, and text to lines of values: any sign between them, comments left out.

use super::{MOST_BYTES, ScaleUnfit};

/// Bytes of the longest line that is looked at.
const MOST_LINE: usize = 10_000;

/// What stands between values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    Tab,
    Semicolon,
    Comma,
    /// Two blanks or more; single ones belong to values.
    Gaps,
    Blanks,
    /// One value a line.
    None,
}

impl Sign {
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Tab => "values between tabs",
            Self::Semicolon => "values between semicolons",
            Self::Comma => "values between commas",
            Self::Gaps | Self::Blanks => "values between blanks",
            Self::None => "one value a line",
        }
    }
}

/// A line with values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// As an editor counts, from 1.
    pub number: usize,
    pub cells: Vec<String>,
}

/// What was read of a file.
#[derive(Debug)]
pub(super) struct Lines {
    pub lines: Vec<Line>,
    pub sign: Sign,
    pub comments: usize,
    /// The text was no UTF-8.
    pub is_latin: bool,
}

/// UTF-8 or UTF-16 by its mark, else UTF-8 if it is, else Latin-1.
fn decoded(bytes: &[u8]) -> Result<(String, bool), ScaleUnfit> {
    if bytes.len() > MOST_BYTES {
        return Err(ScaleUnfit::TooLarge);
    }
    let wide = |rest: &[u8], big: bool| {
        let units: Vec<u16> = rest
            .chunks_exact(2)
            .map(|c| if big { u16::from_be_bytes([c[0], c[1]]) } else { u16::from_le_bytes([c[0], c[1]]) })
            .collect();
        String::from_utf16_lossy(&units)
    };
    if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        return Ok((wide(rest, false), false));
    }
    if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        return Ok((wide(rest, true), false));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let (text, latin) = match std::str::from_utf8(bytes) {
        Ok(text) => (text.to_string(), false),
        Err(_) => (bytes.iter().map(|b| char::from(*b)).collect(), true),
    };
    // Start and end of text frame what a reader sends.
    let plain = |c: &char| matches!(c, '\n' | '\r' | '\t' | '\u{2}' | '\u{3}');
    let odd = text.chars().filter(|c| c.is_control() && !plain(c)).count();
    if bytes.starts_with(b"PK\x03\x04")
        || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0])
        || odd * 50 > text.len()
    {
        return Err(ScaleUnfit::NoText);
    }
    if text.split(['\n', '\r']).any(|l| l.len() > MOST_LINE) {
        return Err(ScaleUnfit::TooLarge);
    }
    Ok((text, latin))
}

/// Lines of any text with their numbers, blank ones left out.
pub(in crate::exchange) fn plain_lines(bytes: &[u8]) -> Result<Vec<(usize, String)>, ScaleUnfit> {
    let (text, _) = decoded(bytes)?;
    let lines = in_lines(&text);
    let lines = lines.split('\n').enumerate().map(|(n, l)| (n + 1, l.trim().to_string()));
    let lines: Vec<(usize, String)> = lines.filter(|(_, l)| !l.is_empty()).collect();
    if lines.is_empty() { Err(ScaleUnfit::NothingThere) } else { Ok(lines) }
}

/// One sign at the end of each line, whatever it was.
fn in_lines(text: &str) -> String {
    let text = text.replace('\u{2}', "").replace("\r\n", "\n").replace("\u{3}\n", "\n");
    text.replace("\u{3}\r", "\n").replace(['\r', '\u{b}', '\u{c}', '\u{3}'], "\n")
}

pub(super) fn read(bytes: &[u8]) -> Result<Lines, ScaleUnfit> {
    let (text, is_latin) = decoded(bytes)?;
    let text = in_lines(&text);
    let (mut kept, mut comments) = (Vec::new(), 0);
    for (n, line) in text.split('\n').enumerate() {
        let bare = line.trim_matches(|c: char| c == ' ' || c == '\0' || c == '\u{1a}' || c == '\u{a0}');
        if bare.trim().is_empty() {
            continue;
        }
        if is_comment(bare.trim_start()) {
            comments += 1;
            continue;
        }
        kept.push((n + 1, bare));
    }
    let sign = sign(&kept);
    // A line that begins with the sign of a comment in many files, where it is not what stands between values.
    let before = kept.len();
    if sign != Sign::Semicolon {
        kept.retain(|(_, l)| !l.trim_start().starts_with(';'));
    }
    comments += before - kept.len();
    let mut lines: Vec<Line> = kept
        .into_iter()
        .map(|(number, l)| Line { number, cells: split(l, sign) })
        .filter(|l| l.cells.iter().any(|c| !c.is_empty()))
        .collect();
    // A sign at the end of every line adds nothing.
    let ends_blank = |l: &Line| l.cells.len() > 1 && l.cells.last().is_some_and(String::is_empty);
    if lines.iter().filter(|l| l.cells.len() > 1).all(ends_blank) {
        lines.iter_mut().filter(|l| l.cells.len() > 1).for_each(|l| {
            l.cells.pop();
        });
    }
    if lines.is_empty() {
        return Err(ScaleUnfit::NothingThere);
    }
    Ok(Lines { lines, sign, comments, is_latin })
}

fn is_comment(line: &str) -> bool {
    line.starts_with('#') || line.starts_with("//") || line.starts_with('*') || line.starts_with('!')
}

/// The sign under which the most lines have the same number of values, two or more.
fn sign(lines: &[(usize, &str)]) -> Sign {
    let sample: Vec<&str> = lines.iter().take(200).map(|(_, l)| *l).collect();
    let agree = |sign: Sign| {
        let mut counts = std::collections::BTreeMap::new();
        for l in &sample {
            *counts.entry(split(l, sign).len()).or_insert(0usize) += 1;
        }
        counts.into_iter().filter(|(n, _)| *n > 1).map(|(_, c)| c).max().unwrap_or(0)
    };
    let most = |n: usize| n * 10 >= sample.len() * 6 && n > 0;
    if most(agree(Sign::Tab)) {
        return Sign::Tab;
    }
    if most(agree(Sign::Semicolon)) {
        return Sign::Semicolon;
    }
    let blank = if most(agree(Sign::Gaps)) { Sign::Gaps } else { Sign::Blanks };
    let by_blanks = agree(blank);
    // `0412 38,5`: the comma is a decimal one.
    let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let decimal = sample.iter().flat_map(|l| split(l, blank)).filter(|c| c.contains(',')).all(|c| {
        c.split_once(',').is_some_and(|(a, b)| {
            let b = b.trim_end_matches(char::is_alphabetic).trim();
            figures(a.trim_start_matches(['-', '+'])) && b.len() < 4 && figures(b)
        })
    });
    if most(agree(Sign::Comma)) && !(decimal && most(by_blanks)) {
        return Sign::Comma;
    }
    if most(by_blanks) { blank } else { Sign::None }
}

/// The values of a line, without blanks and quotes around them.
fn split(line: &str, sign: Sign) -> Vec<String> {
    match sign {
        Sign::Tab => quoted(line, '\t'),
        Sign::Semicolon => quoted(line, ';'),
        Sign::Comma => quoted(line, ','),
        Sign::Gaps => line
            .trim()
            .replace('\t', "  ")
            .split("  ")
            .map(str::trim)
            .filter(|c| !c.is_empty())
            .map(bare)
            .collect(),
        Sign::Blanks => joined(line.split_whitespace().collect()),
        Sign::None => vec![bare(line.trim())],
    }
}

fn bare(cell: &str) -> String {
    cell.trim().trim_matches('"').trim().to_string()
}

fn quoted(line: &str, sign: char) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut within = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let Some(cell) = cells.last_mut() else { break };
        match c {
            '"' if within && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' if within || cell.trim().is_empty() => within = !within,
            c if c == sign && !within => cells.push(String::new()),
            c => cell.push(c),
        }
    }
    cells.into_iter().map(|c| c.trim().to_string()).collect()
}

/// Words between blanks; those that belong together are put together again: `826 000000000123`, `UK 0123456 00123`,
/// `38.5 kg`, `9 lb 4 oz`, `8 Apr 2026`, `6:40 pm`.
fn joined(words: Vec<&str>) -> Vec<String> {
    let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let mut all: Vec<String> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let word = words[at];
        let mut text = word.to_string();
        let mut next = at + 1;
        let letters = word.chars().take_while(char::is_ascii_alphabetic).count();
        let rest = word.get(letters..).unwrap_or_default();
        let wanted = match letters {
            0 if figures(word) && (word.len() == 3 || word == "0") => 15,
            2 if rest.is_empty() || figures(rest) => 12,
            _ => 0,
        };
        if wanted > 0 {
            let (mut sum, mut end) = (rest.len(), next);
            while sum < wanted && end < words.len() && figures(words[end]) {
                sum += words[end].len();
                end += 1;
            }
            if end > next && (sum == wanted || (sum == 16 && word == "0")) {
                text = words[at..end].join(" ");
                next = end;
            }
        }
        let low = word.to_lowercase();
        let is_unit =
            matches!(low.trim_end_matches('.'), "kg" | "kgs" | "lb" | "lbs" | "oz" | "g" | "am" | "pm");
        let starts_figure = |t: &String| t.starts_with(|c: char| c.is_ascii_digit());
        if is_unit && all.last().is_some_and(starts_figure) {
            let mut before = all.pop().unwrap_or_default();
            if low.starts_with("oz") && all.last().is_some_and(|l| l.to_lowercase().contains("lb")) {
                before = format!("{} {before}", all.pop().unwrap_or_default());
            }
            all.push(format!("{before} {word}"));
            at = next;
            continue;
        }
        // 8 Apr 2026
        if figures(word)
            && word.len() < 3
            && super::days::month(words.get(at + 1).copied().unwrap_or("")).is_some()
            && words.get(at + 2).is_some_and(|y| figures(y))
        {
            text = words[at..at + 3].join(" ");
            next = at + 3;
        }
        all.push(bare(&text));
        at = next;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        read(text.as_bytes()).unwrap().lines.into_iter().map(|l| l.cells).collect()
    }

    #[test]
    fn values_are_told_apart_by_any_sign() {
        let want = [["0412", "38,5"], ["0413", "40,1"]];
        for text in [
            "0412;38,5\n0413;40,1",
            "0412\t38,5\r\n0413\t40,1\r\n",
            "0412 38,5\n0413 40,1",
            "0412   38,5\n0413   40,1",
            "\"0412\",\"38,5\"\n\"0413\",\"40,1\"\n",
            "# scale 1\n0412;38,5;\n\n0413;40,1;\n",
        ] {
            assert_eq!(cells(text), want, "{text:?}");
        }
        assert_eq!(cells("0412,38.5\n0413,40.1"), [["0412", "38.5"], ["0413", "40.1"]]);
        assert_eq!(cells("0412\n0413\n"), [["0412"], ["0413"]]);
        assert_eq!(cells("826 000000000123\n826 000000000124"), [["826 000000000123"], ["826 000000000124"]]);
        assert_eq!(
            cells(
                "826 000000000123 38.5 kg 8 Apr 2026 6:40 pm\nUK 0123456 00123 9 lb 4 oz 9 Apr 2026 7:00 am"
            ),
            [
                ["826 000000000123", "38.5 kg", "8 Apr 2026", "6:40 pm"],
                ["UK 0123456 00123", "9 lb 4 oz", "9 Apr 2026", "7:00 am"]
            ]
        );
    }

    #[test]
    fn any_text_is_read_and_no_text_is_not() {
        let read = |b: &[u8]| read(b).map(|l| (l.lines[0].cells.clone(), l.is_latin));
        assert_eq!(read(b"\xef\xbb\xbf0412;x").unwrap(), (vec!["0412".into(), "x".into()], false));
        assert_eq!(read(b"0412;Br\xe9a").unwrap(), (vec!["0412".into(), "Bréa".into()], true));
        assert_eq!(read(b"\xff\xfe4\x002\x00").unwrap(), (vec!["42".into()], false));
        assert_eq!(read(b"PK\x03\x04zip"), Err(ScaleUnfit::NoText));
        assert_eq!(read(b"\x00\x01\x02\x03\x04"), Err(ScaleUnfit::NoText));
        assert_eq!(read(b"# nothing\n\n"), Err(ScaleUnfit::NothingThere));
    }
}
