//! The days along the drawing: where lines and words stand, by how many days are shown.

use crate::terms::Day;

/// What the counts are gathered by, and the arrows move by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// One day.
    Day,
    /// Monday to Sunday.
    Week,
    /// A calendar month.
    Month,
}

impl Unit {
    /// The word for one of them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Day => "day",
            Self::Week => "week",
            Self::Month => "month",
        }
    }

    /// The first day of the unit that holds a day.
    pub fn start(self, day: Day) -> Day {
        match self {
            Self::Day => day,
            Self::Week => day.plus(-weekday(day)),
            Self::Month => Day::new(day.year(), day.month(), 1).unwrap_or(day),
        }
    }

    /// The first day of the next.
    pub fn next(self, day: Day) -> Day {
        match self {
            Self::Day => day.plus(1),
            Self::Week => day.plus(7 - weekday(day)),
            Self::Month => self.start(self.start(day).plus(32)),
        }
    }
}

/// Days since Monday.
fn weekday(day: Day) -> i64 {
    // 1 January 1900 was a Monday.
    Day::new(1900, 1, 1).map_or(0, |monday| day.since(monday).rem_euclid(7))
}

/// Days, weeks or months, by how many days are shown.
pub fn unit_for(days: i64) -> Unit {
    match days {
        ..=45 => Unit::Day,
        46..=400 => Unit::Week,
        _ => Unit::Month,
    }
}

/// A line across the drawing, and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// The day at whose start it stands.
    pub day: Day,
    /// The words under it.
    pub words: String,
    /// The first day of a month or a year.
    pub strong: bool,
}

/// Lines from a day to a day, at least `least` days apart: days, weeks, months, quarters or years. The first of a year
/// names the year.
pub fn ticks(start: Day, end: Day, least: f64) -> Vec<Tick> {
    let mut all = Vec::new();
    let mut day = step_start(start, least);
    let mut named = 0;
    // The bound holds whatever the days are.
    for _ in 0..400 {
        if day > end {
            break;
        }
        if day >= start {
            let words = if least > 200.0 {
                day.year().to_string()
            } else if least > 7.0 {
                let month = day.short().split(' ').nth(1).unwrap_or_default().to_string();
                if named == day.year() { month } else { format!("{month} {}", day.year()) }
            } else if named == day.year() {
                day.short()
            } else {
                day.words()
            };
            named = day.year();
            let strong = if least > 7.0 { day.month() == 1 } else { day.day() <= 7 && least > 1.0 };
            all.push(Tick { day, words, strong });
        }
        let next = step_next(day, least);
        if next <= day {
            break;
        }
        day = next;
    }
    all
}

fn step_start(day: Day, least: f64) -> Day {
    match least {
        ..=1.0 => day,
        ..=7.0 => Unit::Week.start(day),
        ..=28.0 => Unit::Month.start(day),
        ..=200.0 => {
            let month = day.month() - (day.month() - 1) % 3;
            Day::new(day.year(), month, 1).unwrap_or(day)
        }
        _ => Day::new(day.year(), 1, 1).unwrap_or(day),
    }
}

fn step_next(day: Day, least: f64) -> Day {
    match least {
        ..=1.0 => day.plus(1),
        ..=7.0 => day.plus(7),
        ..=28.0 => Unit::Month.next(day),
        ..=200.0 => Unit::Month.next(Unit::Month.next(Unit::Month.next(day))),
        _ => Day::new(day.year() + 1, 1, 1).unwrap_or_else(|| day.plus(366)),
    }
}
