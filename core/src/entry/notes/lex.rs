//! A note cut into words, numbers, marks and quoted texts, each with its place.

use std::ops::Range;

/// One piece of a note.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    /// What it is.
    pub kind: Kind,
    /// As written, without quotes.
    pub text: String,
    /// In small letters, to compare.
    pub low: String,
    /// Where it stands in the line, in bytes.
    pub span: Range<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A word, a tag or a number.
    Word,
    /// Words in quotes, taken as they stand.
    Quoted,
    /// A comma.
    Comma,
    /// A colon.
    Colon,
    /// In brackets, without them.
    Bracketed,
    /// A semicolon, a full stop, a dash between blanks: another clause begins.
    Stop,
}

impl Token {
    pub fn is_word(&self) -> bool {
        self.kind == Kind::Word
    }

    /// A number alone: `4.3`, `4,3` is two tokens.
    pub fn number(&self) -> Option<f64> {
        self.is_word().then(|| self.low.parse().ok()).flatten().filter(|n: &f64| n.is_finite())
    }
}

/// Cuts one line. Nothing is lost: whatever is no mark is a word.
pub(super) fn cut(line: &str) -> Vec<Token> {
    let mut all: Vec<Token> = Vec::new();
    let mut rest = line.char_indices().peekable();
    let token = |kind, span: Range<usize>, text: &str| Token {
        kind,
        text: text.trim().to_string(),
        low: text.trim().to_lowercase(),
        span,
    };
    while let Some((at, c)) = rest.next() {
        let end = at + c.len_utf8();
        match c {
            c if c.is_whitespace() => {}
            ',' => all.push(token(Kind::Comma, at..end, ",")),
            ':' => all.push(token(Kind::Colon, at..end, ":")),
            ';' | '·' | '—' => all.push(token(Kind::Stop, at..end, ";")),
            '"' | '“' | '(' => {
                let (text, kind, stop) = if c == '(' { bracketed(line, end) } else { quoted(line, end, c) };
                while rest.peek().is_some_and(|(i, _)| *i < stop) {
                    rest.next();
                }
                let low = text.trim().to_lowercase();
                all.push(Token { kind, text, low, span: at..stop });
            }
            _ => {
                let mut stop = end;
                while let Some(&(i, n)) = rest.peek() {
                    let ends = n.is_whitespace() || matches!(n, ',' | ';' | '"' | '“' | '”' | '(' | '·' | '—')
                        // A colon ends a word but not a clock time.
                        || (n == ':' && !(clock_digit(c, &line[at..i]) && digit_after(line, i)))
                        // A full stop ends the clause but not a number.
                        || (n == '.' && !digit_after(line, i) && blank_after(line, i));
                    if ends {
                        break;
                    }
                    rest.next();
                    stop = i + n.len_utf8();
                }
                let text = &line[at..stop];
                if text == "." || text == "-" || text == "–" {
                    all.push(token(Kind::Stop, at..stop, ";"));
                } else {
                    all.push(token(Kind::Word, at..stop, text));
                }
                if let Some(&(i, '.')) = rest.peek() {
                    rest.next();
                    all.push(token(Kind::Stop, i..i + 1, ";"));
                }
            }
        }
    }
    all
}

/// A text in quotes from behind the first; a quote written twice is part of it. What has no end goes to the end.
fn quoted(line: &str, from: usize, open: char) -> (String, Kind, usize) {
    let mut text = String::new();
    let mut rest = line[from..].char_indices().peekable();
    while let Some((i, c)) = rest.next() {
        match (open, c) {
            ('"', '"') if rest.peek().is_some_and(|(_, n)| *n == '"') => {
                rest.next();
                text.push('"');
            }
            ('"', '"') | ('“', '”' | '“') => return (text, Kind::Quoted, from + i + c.len_utf8()),
            _ => text.push(c),
        }
    }
    (text, Kind::Quoted, line.len())
}

/// A text in brackets from behind the first; one in quotes within may hold brackets itself.
fn bracketed(line: &str, from: usize) -> (String, Kind, usize) {
    if line[from..].starts_with('"') {
        let (text, _, stop) = quoted(line, from + 1, '"');
        if line[stop..].starts_with(')') {
            return (text, Kind::Bracketed, stop + 1);
        }
    }
    match line[from..].find(')') {
        Some(i) => (line[from..from + i].trim().to_string(), Kind::Bracketed, from + i + 1),
        None => (line[from..].trim().to_string(), Kind::Bracketed, line.len()),
    }
}

fn clock_digit(first: char, so_far: &str) -> bool {
    first.is_ascii_digit() && so_far.len() <= 2 && so_far.bytes().all(|b| b.is_ascii_digit())
}

fn digit_after(line: &str, i: usize) -> bool {
    line.as_bytes().get(i + 1).is_some_and(u8::is_ascii_digit)
}

fn blank_after(line: &str, i: usize) -> bool {
    line[i + 1..].chars().next().is_none_or(char::is_whitespace)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_where_people_mean_it() {
        let words = |line: &str| cut(line).into_iter().map(|t| t.text).collect::<Vec<_>>();
        assert_eq!(
            words("0412 twins: ram 4.3, ewe 3.9."),
            ["0412", "twins", ":", "ram", "4.3", ",", "ewe", "3.9", ";"]
        );
        assert_eq!(words("at 4:55 0412/26-1 (bloat, sudden)"), ["at", "4:55", "0412/26-1", "bloat, sudden"]);
        assert_eq!(words("for \"joint ill, left\"; s/c"), ["for", "joint ill, left", ";", "s/c"]);
        assert_eq!(words("“open"), ["open"]);
        assert_eq!(words(r#""the ""old"" one" (a) ("b (c)")"#), [r#"the "old" one"#, "a", "b (c)"]);
        assert_eq!(words("é·ß"), ["é", ";", "ß"]);
    }

    #[test]
    fn places_are_those_of_the_line() {
        let line = "0412 to “Long field”, žito";
        for t in cut(line) {
            let there = &line[t.span.clone()];
            assert!(there.contains(&t.text) || t.text == ";", "{there} {t:?}");
            assert!(line.is_char_boundary(t.span.end));
        }
    }
}
