//! Days and times as other programs and devices write them. 3/4 is the third of April or the fourth of March: where a
//! file does not say, it is asked, never guessed. Knows no table and no device.

use super::incoming::words::DICTIONARY;
use crate::terms::{Day, Minute};
use std::fmt;

/// In which order the figures of a day stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// Day, month, year.
    DayFirst,
    /// Month, day, year.
    MonthFirst,
    /// Year, month, day, the year in two figures.
    YearFirst,
}

impl DateOrder {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::DayFirst, Self::MonthFirst, Self::YearFirst];

    /// `dmy`, `mdy`, `ymd`.
    pub fn word(self) -> &'static str {
        match self {
            Self::DayFirst => "dmy",
            Self::MonthFirst => "mdy",
            Self::YearFirst => "ymd",
        }
    }

    /// As people say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::DayFirst => "day, month, year",
            Self::MonthFirst => "month, day, year",
            Self::YearFirst => "year, month, day",
        }
    }

    /// From the word.
    ///
    /// # Errors
    /// Names the words there are.
    pub fn parse(text: &str) -> Result<Self, crate::terms::Misread> {
        let low = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|o| o.word() == low).ok_or_else(|| {
            crate::terms::Misread::new(format!(
                "'{}' is no order of days: write dmy (3/4 is 3 April), mdy (3/4 is 4 March) or ymd",
                text.trim()
            ))
        })
    }
}

impl fmt::Display for DateOrder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A day as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// It can only be this one.
    Sure(Day),
    /// Three figures.
    Figures(u32, u32, u32),
    /// Three figures with points between, which nobody writes with the year first and short.
    Dotted(u32, u32, u32),
}

impl Written {
    /// The file has to say how it is read.
    pub(super) fn is_open(self) -> bool {
        !matches!(self, Self::Sure(_))
    }

    /// The day in an order, if there is such a day; a year in two figures is not after `last`.
    pub(super) fn day(self, order: DateOrder, last: i32) -> Option<Day> {
        let (a, b, c) = match self {
            Self::Sure(day) => return Some(day),
            Self::Dotted(..) if order == DateOrder::YearFirst => return None,
            Self::Figures(a, b, c) | Self::Dotted(a, b, c) => (a, b, c),
        };
        let (d, m, y) = match order {
            DateOrder::DayFirst => (a, b, c),
            DateOrder::MonthFirst => (b, a, c),
            DateOrder::YearFirst if c < 100 => (c, b, a),
            DateOrder::YearFirst => return None,
        };
        Day::new(year(y, last)?, m, d)
    }
}

/// A year in two figures is of this century unless that is after `last`.
fn year(y: u32, last: i32) -> Option<i32> {
    let y = i32::try_from(y).ok()?;
    Some(match y {
        100.. => y,
        _ if 2000 + y > last => 1900 + y,
        _ => 2000 + y,
    })
}

/// The month of a name or its first three letters, in English or a tongue of `resources/columns.toml`.
pub(super) fn month(text: &str) -> Option<u32> {
    const NAMES: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let low = text.trim_matches([',', '.']).to_lowercase();
    if low.is_empty() || !low.chars().all(char::is_alphabetic) {
        return None;
    }
    let english = NAMES.iter().position(|n| low.len() < 10 && low.is_ascii() && low.starts_with(n));
    // Other tongues first: `mai` is May, and begins like March nowhere.
    DICTIONARY.month(&low).or(english.map(|at| at as u32 + 1))
}

/// A day alone; eight figures without a sign between them only where `compact`. A year in two figures is not after `last`.
pub(super) fn day(text: &str, compact: bool, last: i32) -> Option<Written> {
    let text = text.trim();
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        let n = |from, to| text.get(from..to).and_then(number);
        let y = i32::try_from(n(0, 4)?).ok().filter(|y| (1900..2100).contains(y))?;
        let by_year = Day::new(y, n(4, 6)?, n(6, 8)?);
        return by_year.filter(|_| compact).map(Written::Sure);
    }
    // The name of the weekday before it says nothing more.
    let weekday =
        text.split_once(", ").filter(|(d, _)| month(d).is_none() && d.chars().all(char::is_alphabetic));
    parts(weekday.map_or(text, |(_, rest)| rest), last)
}

fn number(text: &str) -> Option<u32> {
    let few = !text.is_empty() && text.len() < 5 && text.bytes().all(|b| b.is_ascii_digit());
    few.then(|| text.parse().ok()).flatten()
}

fn parts(text: &str, last: i32) -> Option<Written> {
    let parts: Vec<&str> =
        text.split(['/', '.', '-', ' ', ',']).map(str::trim).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    if let Some(m) = month(b) {
        // 3 Apr 2024, or 2024 Apr 3.
        let (d, y) = if a.len() == 4 { (c, a) } else { (a, c) };
        return Day::new(year(number(y)?, last)?, m, number(d.trim_end_matches(char::is_alphabetic))?)
            .map(Written::Sure);
    }
    if let Some(m) = month(a) {
        return Day::new(year(number(c)?, last)?, m, number(b.trim_end_matches(char::is_alphabetic))?)
            .map(Written::Sure);
    }
    let (x, y, z) = (number(a)?, number(b)?, number(c)?);
    if a.len() == 4 {
        return Day::new(i32::try_from(x).ok()?, y, z).map(Written::Sure);
    }
    let short = a.len() < 3 && b.len() < 3 && (c.len() == 2 || c.len() == 4);
    let can = if text.contains('.') { Written::Dotted(x, y, z) } else { Written::Figures(x, y, z) };
    (short && DateOrder::ALL.into_iter().any(|o| can.day(o, last).is_some())).then_some(can)
}

/// A time alone: `6:40`, `06:40:12`, `6:40 pm`, seconds and zone left out.
pub(super) fn time(text: &str) -> Option<Minute> {
    let low = text.trim().to_lowercase();
    let (bare, half) = if let Some(b) = low.strip_suffix("pm") {
        (b, Some(12))
    } else if let Some(b) = low.strip_suffix("am") {
        (b, Some(0))
    } else {
        (low.as_str(), None)
    };
    let bare = bare.trim().trim_end_matches('z');
    let bare = bare.split_once(['+']).map_or(bare, |(t, _)| t);
    let parts: Vec<&str> = bare.split(':').collect();
    let [h, m, rest @ ..] = parts.as_slice() else { return None };
    let figures = |t: &str| !t.is_empty() && t.len() < 3 && t.bytes().all(|b| b.is_ascii_digit());
    let seconds = rest.iter().all(|s| s.split(['.', ',']).next().is_some_and(figures));
    if !figures(h) || !figures(m) || rest.len() > 1 || !seconds {
        return None;
    }
    let mut hour: u32 = h.parse().ok()?;
    if let Some(half) = half {
        if !(1..=12).contains(&hour) {
            return None;
        }
        hour = hour % 12 + half;
    }
    Minute::new(hour, m.parse().ok()?)
}

/// Day and time in one, parted: by the T of ISO 8601, or by the last blank before the first colon.
pub(super) fn parted(text: &str) -> Option<(&str, &str)> {
    let text = text.trim();
    let (day, time) =
        text.split_once('T').filter(|(d, _)| d.ends_with(|c: char| c.is_ascii_digit())).or_else(|| {
            let colon = text.find(':')?;
            let at = text.get(..colon)?.rfind(' ')?;
            Some((text.get(..at)?, text.get(at + 1..)?))
        })?;
    // A zone after a minus: the time as the clock showed it.
    let time = match time.rfind('-') {
        Some(at) if time.get(..at).is_some_and(|h| h.contains(':')) => time.get(..at)?,
        _ => time,
    };
    Some((day.trim_end_matches(','), time))
}

/// Which orders the written days allow: those under which the most of them are days not after `latest`.
pub(super) fn orders(all: &[Written], last: i32, latest: Option<Day>) -> Vec<DateOrder> {
    let open: Vec<Written> = all.iter().copied().filter(|w| w.is_open()).collect();
    let fits = |o: DateOrder| {
        let may = |d: Day| latest.is_none_or(|l| d <= l);
        open.iter().filter(|w| w.day(o, last).is_some_and(may)).count()
    };
    let most = DateOrder::ALL.into_iter().map(fits).max().unwrap_or(0);
    let mut best: Vec<DateOrder> =
        DateOrder::ALL.into_iter().filter(|o| most > 0 && fits(*o) == most).collect();
    // 4/4 is the same both ways.
    if let Some(first) = best.first().copied()
        && best.iter().all(|o| open.iter().all(|w| w.day(*o, last) == w.day(first, last)))
    {
        best.truncate(1);
    }
    best
}
