//! Days and times as readers and scale heads write them. 3/4 is the third of April or the fourth of March: where a file
//! does not say, it is asked, never guessed.

use crate::terms::{Day, Minute, Moment};
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
}

impl Written {
    /// The day in an order, if there is such a day.
    pub(super) fn day(self, order: DateOrder) -> Option<Day> {
        let Self::Figures(a, b, c) = self else {
            let Self::Sure(day) = self else { return None };
            return Some(day);
        };
        let (d, m, y) = match order {
            DateOrder::DayFirst => (a, b, c),
            DateOrder::MonthFirst => (b, a, c),
            DateOrder::YearFirst if c < 100 => (c, b, a),
            DateOrder::YearFirst => return None,
        };
        Day::new(year(y)?, m, d)
    }
}

fn year(y: u32) -> Option<i32> {
    i32::try_from(if y < 100 { 2000 + y } else { y }).ok()
}

/// The month of a name or its first three letters.
pub(super) fn month(text: &str) -> Option<u32> {
    const NAMES: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let low = text.trim_matches([',', '.']).to_lowercase();
    let full = low.len() < 10 && low.chars().all(|c| c.is_ascii_alphabetic());
    let at = NAMES.iter().position(|n| full && low.starts_with(n))?;
    Some(at as u32 + 1)
}

/// A day alone; figures without a sign between them only where `compact`.
pub(super) fn day(text: &str, compact: bool) -> Option<Written> {
    let text = text.trim();
    let number = |t: &str| t.bytes().all(|b| b.is_ascii_digit()).then(|| t.parse::<u32>().ok()).flatten();
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        let n = |from, to| text.get(from..to).and_then(number);
        let y = i32::try_from(n(0, 4)?).ok()?;
        let by_year = Day::new(y, n(4, 6)?, n(6, 8)?).filter(|_| (1990..2100).contains(&y));
        return compact.then_some(by_year).flatten().map(Written::Sure);
    }
    let parts: Vec<&str> =
        text.split(['/', '.', '-', ' ', ',']).map(str::trim).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    if let Some(m) = month(b) {
        return Day::new(year(number(c)?)?, m, number(a)?).map(Written::Sure);
    }
    if let Some(m) = month(a) {
        return Day::new(year(number(c)?)?, m, number(b.trim_end_matches(char::is_alphabetic))?)
            .map(Written::Sure);
    }
    let (x, y, z) = (number(a)?, number(b)?, number(c)?);
    if a.len() == 4 {
        return Day::new(i32::try_from(x).ok()?, y, z).map(Written::Sure);
    }
    let short = a.len() < 3 && b.len() < 3 && (c.len() == 2 || c.len() == 4);
    let can = Written::Figures(x, y, z);
    (short && DateOrder::ALL.into_iter().any(|o| can.day(o).is_some())).then_some(can)
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

/// A day and a time in one.
pub(super) fn both(text: &str) -> Option<(Written, Minute)> {
    let text = text.trim();
    let (d, t) =
        text.split_once('T').filter(|(d, _)| d.ends_with(|c: char| c.is_ascii_digit())).or_else(|| {
            // The last blank before the first colon parts them.
            let colon = text.find(':')?;
            let at = text.get(..colon)?.rfind(' ')?;
            Some((text.get(..at)?, text.get(at + 1..)?))
        })?;
    // A zone after a minus: the time as the clock showed it.
    let t = match t.rfind('-') {
        Some(at) if t.get(..at).is_some_and(|h| h.contains(':')) => t.get(..at)?,
        _ => t,
    };
    Some((day(d.trim_end_matches(','), true)?, time(t)?))
}

/// A moment in an order.
pub(super) fn moment(day: Day, time: Option<Minute>) -> Moment {
    Moment { day, time }
}

/// Which orders the written days allow: those under which the most of them are days not after today.
pub(super) fn orders(all: &[Written], today: Day) -> Vec<DateOrder> {
    let open: Vec<Written> = all.iter().copied().filter(|w| matches!(w, Written::Figures(..))).collect();
    let fits = |o: DateOrder| open.iter().filter(|w| w.day(o).is_some_and(|d| d <= today)).count();
    let most = DateOrder::ALL.into_iter().map(fits).max().unwrap_or(0);
    let mut best: Vec<DateOrder> =
        DateOrder::ALL.into_iter().filter(|o| !open.is_empty() && fits(*o) == most && most > 0).collect();
    // 4/4 is the same both ways.
    if let [first, rest @ ..] = best.as_slice() {
        let first = *first;
        if rest.iter().all(|o| open.iter().all(|w| w.day(*o) == w.day(first))) {
            best.truncate(1);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn days_that_can_be_one_only() {
        for text in
            ["2026-04-08", "2026/4/8", "8 Apr 2026", "08-Apr-26", "Apr 8, 2026", "20260408", "8 April 2026"]
        {
            assert_eq!(day(text, true), Some(Written::Sure(iso("2026-04-08"))), "{text}");
        }
        for text in
            ["20260408", "20261408", "38.5", "0412", "2026-13-08", "40/40/2026", "1.2.3", "", "8 Apx 2026"]
        {
            assert_eq!(day(text, false), None, "{text}");
        }
    }

    #[test]
    fn figures_are_left_open_until_the_file_says() {
        let today = iso("2026-11-20");
        let all = |texts: &[&str]| -> Vec<DateOrder> {
            orders(&texts.iter().filter_map(|t| day(t, false)).collect::<Vec<_>>(), today)
        };
        use DateOrder::{DayFirst, MonthFirst, YearFirst};
        assert_eq!(all(&["03/04/2026", "05/06/2026"]), [DayFirst, MonthFirst]);
        assert_eq!(all(&["03/04/2026", "13/04/2026"]), [DayFirst]);
        assert_eq!(all(&["03/04/2026", "04/13/2026"]), [MonthFirst]);
        assert_eq!(all(&["04/04/2026"]), [DayFirst]);
        assert_eq!(all(&["13/04/2026", "04/13/2026"]), [DayFirst, MonthFirst]);
        // The other order would be after today.
        assert_eq!(all(&["12/12/2026"]), []);
        assert_eq!(all(&["05/12/2026"]), [MonthFirst]);
        assert_eq!(all(&["26-04-08"]), [DayFirst, YearFirst]);
        assert_eq!(all(&["2026-04-08"]), []);
        assert_eq!(day("8.4.26", false).and_then(|w| w.day(DayFirst)), Some(iso("2026-04-08")));
    }

    #[test]
    fn times_and_both_in_one() {
        let at = |h, m| Minute::new(h, m);
        for (text, want) in [
            ("6:40", at(6, 40)),
            ("06:40:12", at(6, 40)),
            ("6:40 pm", at(18, 40)),
            ("12:05am", at(0, 5)),
            ("18:40:12.250", at(18, 40)),
            ("18:40Z", at(18, 40)),
            ("25:00", None),
            ("6", None),
            ("13:00 pm", None),
            ("a:b", None),
        ] {
            assert_eq!(time(text), want, "{text}");
        }
        let day = Written::Sure(iso("2026-04-08"));
        for text in [
            "2026-04-08T06:40:12",
            "2026-04-08 06:40",
            "8 Apr 2026 6:40 am",
            "20260408 6:40",
            "2026-04-08T06:40:12-05:00",
            "2026-04-08T06:40+01:00",
        ] {
            assert_eq!(both(text), at(6, 40).map(|m| (day, m)), "{text}");
        }
        assert_eq!(both("08/04/2026 6:40"), at(6, 40).map(|m| (Written::Figures(8, 4, 2026), m)));
        assert_eq!(both("6:40"), None);
    }
}
