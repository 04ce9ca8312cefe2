//! The day and the hour a clause tells, wherever it tells them.

use super::lex::Token;
use crate::terms::{Day, DayOrder, Minute, Moment, speech};

/// The day and hour that hold for a clause.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct When {
    pub day: Day,
    pub time: Option<Minute>,
    /// The last day of what lasts: `until 12 mar`.
    pub until: Option<Day>,
}

impl When {
    pub fn moment(self) -> Moment {
        Moment { day: self.day, time: self.time }
    }
}

/// Takes days and hours out of a clause.
pub(super) fn take(tokens: &[Token], today: Day, at: &mut When) -> Vec<Token> {
    let mut left = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let rest = &tokens[i..];
        let word = rest[0].is_word().then_some(rest[0].low.as_str());
        if word == Some("until")
            && let Some((day, n)) = day(&rest[1..], today, true)
        {
            at.until = Some(day);
            i += 1 + n;
            continue;
        }
        // 'died at 2 days' tells an age, no hour.
        let age = rest.get(2).is_some_and(|t| matches!(t.low.as_str(), "day" | "days"));
        let lead = usize::from(matches!(word, Some("on" | "at")) && !age);
        if let Some((day, n)) = day(&rest[lead..], today, lead == 1 && word == Some("on")) {
            at.day = day;
            i += lead + n;
        } else if let Some(time) = time(&rest[lead..], lead == 1 && word == Some("at")) {
            at.time = Some(time);
            i += lead + 1;
        } else {
            left.push(rest[0].clone());
            i += 1;
        }
    }
    left
}

/// A day at the start: `yesterday`, `2026-03-12`, `12 mar`, `12 mar 2026`; after 'on' also `mon` and `12/3`.
fn day(tokens: &[Token], today: Day, on: bool) -> Option<(Day, usize)> {
    let word = |i: usize| tokens.get(i).filter(|t| t.is_word()).map(|t| t.low.as_str());
    let first = word(0)?;
    let full =
        ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "yesterday", "today"];
    let iso = first.len() == 10 && first.as_bytes().get(4) == Some(&b'-');
    let letters = |t: &str| t.len() >= 3 && t.bytes().all(|b| b.is_ascii_alphabetic());
    let month_first = month_first(tokens);
    if !month_first && (full.contains(&first) || iso || (on && (letters(first) || first.contains('/')))) {
        return Day::parse_typed(first, today).ok().map(|d| (d, 1));
    }
    let figures = |t: &str| !t.is_empty() && t.len() <= 4 && t.bytes().all(|b| b.is_ascii_digit());
    if month_first && let Some(of_month) = word(1) {
        if let Some(year) = word(2).filter(|y| figures(y) && y.len() == 4)
            && let Ok(day) = Day::parse_typed(&format!("{first} {of_month} {year}"), today)
        {
            return Some((day, 3));
        }
        return Day::parse_typed(&format!("{first} {of_month}"), today).ok().map(|d| (d, 2));
    }
    if !figures(first) || first.len() > 2 {
        return None;
    }
    let month = word(1).filter(|m| letters(m))?;
    if let Some(year) = word(2).filter(|y| figures(y) && y.len() == 4)
        && let Ok(day) = Day::parse_typed(&format!("{first} {month} {year}"), today)
    {
        return Some((day, 3));
    }
    Day::parse_typed(&format!("{first} {month}"), today).ok().map(|d| (d, 2))
}

/// Whether they begin with a month and a day of it, `apr 3`, where days are written so.
fn month_first(tokens: &[Token]) -> bool {
    let word = |i: usize| tokens.get(i).filter(|t| t.is_word()).map_or("", |t| t.low.as_str());
    let month = word(0).len() >= 3 && word(0).bytes().all(|b| b.is_ascii_alphabetic());
    let day = matches!(word(1).len(), 1 | 2) && word(1).bytes().all(|b| b.is_ascii_digit());
    speech::days() != DayOrder::DayFirst
        && month
        && day
        && Day::new(2024, 1, 1)
            .is_some_and(|end| Day::parse_typed(&format!("{} {}", word(0), word(1)), end).is_ok())
}

/// `4:55`; after 'at' also `0455` and `5pm`.
fn time(tokens: &[Token], at: bool) -> Option<Minute> {
    let t = tokens.first().filter(|t| t.is_word())?;
    let clock = t.low.as_bytes().first().is_some_and(u8::is_ascii_digit) && (at || t.low.contains(':'));
    if clock { Minute::parse(&t.low).ok() } else { None }
}
