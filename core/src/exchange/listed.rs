//! A list on its way out: typed values under heads, from which CSV and spreadsheet are both made.

use super::table;
use crate::terms::Day;

/// One value of a list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Value {
    /// Nothing is known.
    #[default]
    Nothing,
    /// Words and tags: never taken for a number or a formula, leading zeros kept.
    Text(String),
    /// A number as it is printed: figures, a decimal point, perhaps a minus.
    Number(String),
    /// A day.
    Day(Day),
}

impl Value {
    /// Words; nothing for none.
    pub fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::Nothing } else { Self::Text(text) }
    }

    /// A number if it is written as one, else words.
    pub fn number(text: impl Into<String>) -> Self {
        let text = text.into();
        if is_number(&text) { Self::Number(text) } else { Self::text(text) }
    }

    /// A day if it is written `2026-04-03`, else words.
    pub fn day(text: impl Into<String>) -> Self {
        let text = text.into();
        iso_day(&text).map_or_else(|| Self::text(text), Self::Day)
    }

    /// A day that may not be known.
    pub fn on(day: Option<Day>) -> Self {
        day.map_or(Self::Nothing, Self::Day)
    }

    /// How many.
    pub fn count(n: impl ToString) -> Self {
        Self::number(n.to_string())
    }

    /// As it stands in a table of text.
    pub fn plain(&self) -> String {
        match self {
            Self::Nothing => String::new(),
            Self::Text(t) | Self::Number(t) => t.clone(),
            Self::Day(d) => d.to_string(),
        }
    }
}

/// A number that a spreadsheet takes without changing it: no leading zeros; at most 15 figures, of a decimal number the
/// 17 that tell any two apart.
pub(super) fn is_number(text: &str) -> bool {
    let figures = text.strip_prefix('-').unwrap_or(text);
    let (whole, rest) = figures.split_once('.').map_or((figures, None), |(w, r)| (w, Some(r)));
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let most = if rest.is_some() { 17 } else { 15 };
    let short = text.bytes().filter(u8::is_ascii_digit).count() <= most;
    short && digits(whole) && (whole == "0" || !whole.starts_with('0')) && rest.is_none_or(digits)
}

/// `2026-04-03` and nothing else.
pub(super) fn iso_day(text: &str) -> Option<Day> {
    Day::parse_iso(text).ok().filter(|d| d.to_string() == text)
}

/// What stands in a column of a list of texts, as far as who made it knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Holds {
    /// Words, tags, marks: text whatever it looks like.
    #[default]
    Text,
    /// Numbers where they are written as such.
    Numbers,
    /// Days where they are written as such.
    Days,
}

impl Holds {
    /// A text of such a column as a value.
    pub fn value(self, text: impl Into<String>) -> Value {
        match self {
            Self::Text => Value::text(text),
            Self::Numbers => Value::number(text),
            Self::Days => Value::day(text),
        }
    }
}

/// A list: its name, heads, and rows of as many values.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Listed {
    /// What it is of, in a word or a few.
    pub name: String,
    /// Heads of its columns.
    pub heads: Vec<String>,
    /// Its rows.
    pub rows: Vec<Vec<Value>>,
}

impl Listed {
    /// A list of texts, each column as it is said to hold.
    pub fn of(name: &str, heads: &[&str], holds: &[Holds], rows: Vec<Vec<String>>) -> Self {
        let holds = |i: usize| holds.get(i).copied().unwrap_or_default();
        let row =
            |row: Vec<String>| row.into_iter().enumerate().map(|(i, text)| holds(i).value(text)).collect();
        Self {
            name: name.into(),
            heads: heads.iter().map(ToString::to_string).collect(),
            rows: rows.into_iter().map(row).collect(),
        }
    }

    /// As CSV text: a header line and rows, a comma between values, each line ended by a line feed. Text that looks
    /// like a formula has a single quote before it, numbers and days have none.
    pub fn csv(&self) -> String {
        let mut out = table::Text::default();
        out.heads(&self.heads);
        for row in &self.rows {
            out.row(row);
        }
        out.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_what_they_are_written_as() {
        for number in ["0", "12", "-12", "12.30", "0.5", "-0.25", "123456789012345"] {
            assert_eq!(Value::number(number), Value::Number(number.into()));
        }
        // Numbers a spreadsheet would change are words: leading zeros, sixteen figures, other signs.
        for words in
            ["0412", "00", "826012345678901234", "1e5", "+3", "1.", ".5", "1,5", "12 kg", "-", "1.2.3"]
        {
            assert_eq!(Value::number(words), Value::Text(words.into()), "{words}");
        }
        let day = Day::new(2026, 4, 3).unwrap();
        assert_eq!(Value::day("2026-04-03"), Value::Day(day));
        for words in ["~2026-04-03", "2026", "2026-4-3", "2026-02-30", "2026-04-03 1"] {
            assert_eq!(Value::day(words), Value::Text(words.into()), "{words}");
        }
        assert_eq!((Value::number(""), Value::day(""), Value::text("")), Default::default());
        assert_eq!(Value::on(Some(day)).plain(), "2026-04-03");
    }

    #[test]
    fn text_is_guarded_and_numbers_are_not() {
        let rows = vec![vec!["-12".into(), "-12".into(), "2026-04-03".into()]];
        let holds = [Holds::Text, Holds::Numbers, Holds::Days];
        let list = Listed::of("gains", &["tag", "gain", "=on"], &holds, rows);
        assert_eq!(list.csv(), "tag,gain,'=on\n'-12,-12,2026-04-03\n");
        assert_eq!(list.rows[0][0], Value::Text("-12".into()));
    }
}
