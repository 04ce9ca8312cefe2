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
            '"' | '“' | '”' | '(' => {
                let (close, kind): (&[char], Kind) =
                    if c == '(' { (&[')'], Kind::Bracketed) } else { (&['"', '“', '”'], Kind::Quoted) };
                let from = end;
                let until = line[from..].find(close).map(|i| from + i);
                let to = until.unwrap_or(line.len());
                let stop = until.map_or(to, |u| u + line[u..].chars().next().map_or(0, char::len_utf8));
                while rest.peek().is_some_and(|(i, _)| *i < stop) {
                    rest.next();
                }
                all.push(token(kind, at..stop, &line[from..to]));
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
        assert_eq!(words("0412 twins: ram 4.3, ewe 3.9."), ["0412", "twins", ":", "ram", "4.3", ",", "ewe", "3.9", ";"]);
        assert_eq!(words("at 4:55 0412/26-1 (bloat, sudden)"), ["at", "4:55", "0412/26-1", "bloat, sudden"]);
        assert_eq!(words("for \"joint ill, left\"; s/c"), ["for", "joint ill, left", ";", "s/c"]);
        assert_eq!(words("“open"), ["open"]);
        assert_eq!(words("é·ß"), ["é", ";", "ß"]);
    }

    #[test]
    fn places_are_those_of_the_line() {
        let line = "0412 to “Long field”, žito";
        for t in cut(line) {
            let there = &line[t.span.clone()];
            assert!(there.contains(&t.text) || t.text == ";", "{there} {t:?}");
        }
    }
}
