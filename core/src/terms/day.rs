//! Days and times of day, as written by hand and in ISO 8601. No clock here: today is passed in.

use super::Misread;
use super::speech::{self, DayOrder, said};
use chrono::{Datelike, NaiveDate, NaiveTime, Timelike};
use std::fmt;

/// A calendar day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(NaiveDate);

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

const SHORT_MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

impl Day {
    /// Today by the machine's clock: for the window and the command line only.
    pub fn today() -> Self {
        Self(chrono::Local::now().date_naive())
    }

    /// The day of a year, month and day of the month, if there is one between 1900 and 2200.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Self> {
        if !(1900..2200).contains(&year) {
            return None;
        }
        NaiveDate::from_ymd_opt(year, month, day).map(Self)
    }

    /// ISO 8601, `2026-04-03`.
    ///
    /// # Errors
    /// Says what was read and how a day is written.
    pub fn parse_iso(text: &str) -> Result<Self, Misread> {
        let text = text.trim();
        let digit = |b: u8| b.is_ascii_digit().then(|| u32::from(b - b'0'));
        let read = match *text.as_bytes() {
            [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] => (|| {
                let number = |all: &[u8]| all.iter().try_fold(0, |n, b| Some(n * 10 + digit(*b)?));
                let year = i32::try_from(number(&[y1, y2, y3, y4])?).ok()?;
                Self::new(year, number(&[m1, m2])?, number(&[d1, d2])?)
            })(),
            _ => None,
        };
        read.ok_or_else(|| {
            Misread::new(format!("'{text}' is not a day: write year-month-day, such as 2026-04-03"))
        })
    }

    /// A day as a person types it: `today`, `yesterday`, `-3` (days ago), `3 apr`, `3 april 2026`,
    /// `3/4` and `3.4.2026` (in the order this thread writes days), a weekday name (the last such day), or ISO.
    /// Without a year the latest such day that is not after `today` is meant.
    ///
    /// # Errors
    /// Says what was read and how to write it.
    pub fn parse_typed(text: &str, today: Day) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        let wrong =
            || Misread::new(format!("'{}' is not a day: try today, -1, 3 apr or 2026-04-03", text.trim()));
        match low.as_str() {
            "" => return Err(Misread::new("a day is needed: try today, -1 or 3 apr")),
            "today" | "t" | "0" => return Ok(today),
            "yesterday" | "y" => return Ok(today.plus(-1)),
            "tomorrow" => return Ok(today.plus(1)),
            _ => {}
        }
        if let Some(back) = low.strip_prefix('-')
            && let Ok(n) = back.trim().parse::<i64>()
            && (0..20_000).contains(&n)
        {
            return Ok(today.plus(-n));
        }
        if low.len() == 10 && low.as_bytes().get(4) == Some(&b'-') {
            return Self::parse_iso(&low);
        }
        if let Some(day) = weekday_back(&low, today) {
            return Ok(day);
        }
        let words: Vec<&str> = low.split([' ', '/', '.', '-', ',']).filter(|w| !w.is_empty()).collect();
        let number = |w: &str| w.bytes().all(|b| b.is_ascii_digit());
        let month_first = speech::days() == DayOrder::MonthFirst;
        let (day, month, year) = match words.as_slice() {
            [y, m, d] if y.len() == 4 && number(y) => (*d, *m, Some(*y)),
            [m, d] if month_first && number(m) && number(d) => (*d, *m, None),
            [m, d, y] if month_first && number(m) && number(d) => (*d, *m, Some(*y)),
            [d, m] => (*d, *m, None),
            [d, m, y] => (*d, *m, Some(*y)),
            _ => return Err(wrong()),
        };
        // '3 apr' and 'apr 3' both have one reading.
        let of_month = |w: &str| w.trim_end_matches(|c: char| c.is_alphabetic()).parse::<u32>().ok();
        let (day, month) = match month_number(day) {
            Some(m) if day.parse::<u32>().is_err() => (of_month(month), Some(m)),
            _ => (of_month(day), month_number(month)),
        };
        let (Some(day), Some(month)) = (day, month) else { return Err(wrong()) };
        match year {
            Some(y) => {
                let mut y: i32 = y.parse().map_err(|_| wrong())?;
                if (0..100).contains(&y) {
                    y += 2000;
                }
                Self::new(y, month, day).ok_or_else(wrong)
            }
            None => (0..5)
                .filter_map(|back| Self::new(today.year() - back, month, day))
                .find(|d| *d <= today)
                .ok_or_else(wrong),
        }
    }

    /// This day `days` later (earlier when negative), held within the years 1900 to 2199.
    pub fn plus(self, days: i64) -> Self {
        let moved = chrono::TimeDelta::try_days(days).and_then(|d| self.0.checked_add_signed(d));
        let (first, last) = (NaiveDate::from_ymd_opt(1900, 1, 1), NaiveDate::from_ymd_opt(2199, 12, 31));
        let bound = if days < 0 { first } else { last }.unwrap_or(self.0);
        match moved {
            Some(d) if (1900..2200).contains(&d.year()) => Self(d),
            _ => Self(bound),
        }
    }

    /// Whole days from `earlier` to this day.
    pub fn since(self, earlier: Day) -> i64 {
        (self.0 - earlier.0).num_days()
    }

    /// The calendar year.
    pub fn year(self) -> i32 {
        self.0.year()
    }

    /// The month, 1 to 12.
    pub fn month(self) -> u32 {
        self.0.month()
    }

    /// Day of the month.
    pub fn day(self) -> u32 {
        self.0.day()
    }

    /// As people read it, in the order this thread writes days: `3 Apr 2026`, `Apr 3, 2026`.
    pub fn words(self) -> String {
        let (day, month, year) = (self.day(), self.named(&SHORT_MONTHS), self.year());
        match speech::days() {
            DayOrder::DayFirst => format!("{day} {month} {year}"),
            DayOrder::MonthFirst => format!("{month} {day}, {year}"),
            DayOrder::YearFirst => self.to_string(),
        }
    }

    /// Short, without the year: `3 Apr`, `Apr 3`.
    pub fn short(self) -> String {
        let (day, month) = (self.day(), self.named(&SHORT_MONTHS));
        match speech::days() {
            DayOrder::DayFirst => format!("{day} {month}"),
            DayOrder::MonthFirst | DayOrder::YearFirst => format!("{month} {day}"),
        }
    }

    /// With the weekday: `Friday 3 April 2026`, `Friday, April 3, 2026`.
    pub fn long(self) -> String {
        let weekday = said(WEEKDAYS[self.0.weekday().num_days_from_monday() as usize]);
        let (day, month, year) = (self.day(), self.named(&MONTHS), self.year());
        match speech::days() {
            DayOrder::DayFirst => format!("{weekday} {day} {month} {year}"),
            DayOrder::MonthFirst => format!("{weekday}, {month} {day}, {year}"),
            DayOrder::YearFirst => format!("{weekday} {self}"),
        }
    }

    fn named(self, months: &[&'static str; 12]) -> std::borrow::Cow<'static, str> {
        said(months[self.0.month0() as usize])
    }
}

pub(super) fn month_number(word: &str) -> Option<u32> {
    if let Ok(n) = word.parse::<u32>() {
        return Some(n);
    }
    if word.len() < 3 {
        return None;
    }
    begins(&MONTHS, word).and_then(|i| u32::try_from(i + 1).ok())
}

/// The first of these names that begins so, in English or as this thread says it.
fn begins(names: &[&'static str], word: &str) -> Option<usize> {
    let so = |name: &str| name.to_lowercase().starts_with(word);
    names.iter().position(|n| so(n)).or_else(|| names.iter().position(|n| so(&said(n))))
}

fn weekday_back(word: &str, today: Day) -> Option<Day> {
    if word.len() < 3 {
        return None;
    }
    let wanted = begins(&WEEKDAYS, word)?;
    let now = today.0.weekday().num_days_from_monday() as usize;
    i64::try_from((now + 7 - wanted) % 7).ok().map(|back| today.plus(-back))
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m-%d"))
    }
}

/// A time of day in whole minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Minute(u16);

impl Minute {
    /// The minute of an hour (0–23) and minute (0–59).
    pub fn new(hour: u32, minute: u32) -> Option<Self> {
        (hour < 24 && minute < 60).then(|| Self((hour * 60 + minute) as u16))
    }

    /// The time by the machine's clock.
    pub fn now() -> Self {
        let t: NaiveTime = chrono::Local::now().time();
        Self((t.hour() * 60 + t.minute()) as u16)
    }

    /// `6:40`, `06:40`, `0640`, `6.40`, `6:40 pm`.
    ///
    /// # Errors
    /// Says what was read and how a time is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        // As stored, of which a book holds hundreds of thousands.
        if let [h1, h2, b':', m1, m2] = *text.as_bytes()
            && [h1, h2, m1, m2].iter().all(u8::is_ascii_digit)
        {
            let number = |a: u8, b: u8| u32::from(a - b'0') * 10 + u32::from(b - b'0');
            if let Some(minute) = Self::new(number(h1, h2), number(m1, m2)) {
                return Ok(minute);
            }
        }
        let low = text.trim().to_lowercase();
        let wrong = || Misread::new(format!("'{}' is not a time: write 06:40", text.trim()));
        let (body, add) = if let Some(b) = low.strip_suffix("pm") {
            (b.trim(), 12)
        } else if let Some(b) = low.strip_suffix("am") {
            (b.trim(), 0)
        } else {
            (low.as_str(), 24)
        };
        let (h, m) = if let Some((h, m)) = body.split_once([':', '.', 'h']) {
            (
                h.parse::<u32>().map_err(|_| wrong())?,
                if m.is_empty() { 0 } else { m.parse().map_err(|_| wrong())? },
            )
        } else if body.len() >= 3 && body.is_ascii() {
            let (h, m) = body.split_at(body.len() - 2);
            (h.parse().map_err(|_| wrong())?, m.parse().map_err(|_| wrong())?)
        } else if add != 24 {
            (body.parse::<u32>().map_err(|_| wrong())?, 0)
        } else {
            return Err(wrong());
        };
        let h = match add {
            24 => h,
            _ if h == 0 || h > 12 => return Err(wrong()),
            _ => h % 12 + add,
        };
        Self::new(h, m).ok_or_else(wrong)
    }

    /// Minutes since midnight.
    pub fn of_day(self) -> i64 {
        i64::from(self.0)
    }
}

impl fmt::Display for Minute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

/// A day and, if it was written down, the time of day (local, to the minute).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment {
    /// The day.
    pub day: Day,
    /// The time, if known.
    pub time: Option<Minute>,
}

impl Moment {
    /// A day whose time is not known.
    pub fn day(day: Day) -> Self {
        Self { day, time: None }
    }

    /// As people read it: `3 Apr 2026, 06:40`.
    pub fn words(self) -> String {
        match self.time {
            Some(t) => format!("{}, {t}", self.day.words()),
            None => self.day.words(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn typed_days() {
        let today = day("2026-11-25"); // a Wednesday
        for (typed, meant) in [
            ("today", "2026-11-25"),
            ("-1", "2026-11-24"),
            ("yesterday", "2026-11-24"),
            ("3 apr", "2026-04-03"),
            ("apr 3", "2026-04-03"),
            ("3rd april 2025", "2025-04-03"),
            ("30 dec", "2025-12-30"),
            ("3/4", "2026-04-03"),
            ("3.4.25", "2025-04-03"),
            ("mon", "2026-11-23"),
            ("wed", "2026-11-25"),
            ("29 feb", "2024-02-29"),
            ("2026-01-31", "2026-01-31"),
        ] {
            assert_eq!(Day::parse_typed(typed, today), Ok(day(meant)), "{typed}");
        }
        for wrong in
            ["", "31 feb 2026", "13/13", "soon", "2026-02-30", "99999999999 apr", "é", "--99999999999999"]
        {
            assert!(Day::parse_typed(wrong, today).is_err(), "{wrong}");
        }
        assert_eq!(today.plus(i64::MAX).to_string(), "2199-12-31");
        assert_eq!(today.plus(i64::MIN).to_string(), "1900-01-01");
    }

    #[test]
    fn a_day_is_written_and_read_in_the_order_of_the_region() {
        let speak = |days| crate::terms::speech::Speech { days, ..Default::default() }.during();
        let (d, today) = (day("2026-04-03"), day("2026-11-25"));
        for (order, words, short, long) in [
            (DayOrder::DayFirst, "3 Apr 2026", "3 Apr", "Friday 3 April 2026"),
            (DayOrder::MonthFirst, "Apr 3, 2026", "Apr 3", "Friday, April 3, 2026"),
            (DayOrder::YearFirst, "2026-04-03", "Apr 3", "Friday 2026-04-03"),
        ] {
            let _spoken = speak(order);
            assert_eq!((d.words(), d.short(), d.long()), (words.into(), short.into(), long.into()));
            for typed in [words, short, "3 apr", "apr 3", "april 3rd, 2026", "2026/4/3"] {
                assert_eq!(Day::parse_typed(typed, today), Ok(d), "{order:?}: {typed}");
            }
            assert_eq!(d.to_string(), "2026-04-03", "what is stored is the same everywhere");
            assert_eq!(order.words(), words);
        }
        let _spoken = speak(DayOrder::MonthFirst);
        for typed in ["4/3", "4/3/26", "4.3.2026", "04-03"] {
            assert_eq!(Day::parse_typed(typed, today), Ok(d), "{typed}");
        }
        assert!(Day::parse_typed("13/4", today).is_err(), "there is no thirteenth month");
    }

    #[test]
    fn times() {
        for (typed, meant) in [
            ("6:40", "06:40"),
            ("0640", "06:40"),
            ("18.05", "18:05"),
            ("6:40 pm", "18:40"),
            ("12am", "00:00"),
        ] {
            assert_eq!(Minute::parse(typed).map(|m| m.to_string()), Ok(meant.to_string()), "{typed}");
        }
        for wrong in ["", "25:00", "6:71", "noon", "13pm", "é1"] {
            assert!(Minute::parse(wrong).is_err(), "{wrong}");
        }
    }
}
