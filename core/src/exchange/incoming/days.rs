//! Days in a table: alone, with a time behind them, or as a spreadsheet counts them.

use crate::exchange::days::{self, DateOrder};
pub(super) use crate::exchange::days::{Written, time as clock};
use crate::terms::{Day, Minute};

/// The last year one in two figures may mean: a ewe may be born in the last century, and a batch expire in twenty years.
pub(super) fn last_year(today: Day) -> i32 {
    today.year() + 20
}

/// A day, with its time where one stands behind it.
pub(super) fn read(text: &str, today: Day) -> Option<(Written, Option<Minute>)> {
    let text = text.trim();
    if text.len() > 40 {
        return None;
    }
    let day = |text: &str| days::day(text, true, last_year(today));
    if let Some(found) = day(text) {
        return Some((found, None));
    }
    let (d, t) = days::parted(text)?;
    let time = clock(t)?;
    // Midnight is how a spreadsheet writes a day alone.
    let time = (Some(time) != Minute::new(0, 0)).then_some(time);
    Some((day(d)?, time))
}

/// A day as a spreadsheet counts it, where the number came without its dress: days since 30 December 1899, for the years
/// 1954 to 2119 (a year alone, or a weight, is no such number).
pub(super) fn serial(text: &str) -> Option<Day> {
    let n: i64 = text.parse().ok().filter(|n| (20_000..80_000).contains(n))?;
    Some(Day::new(2000, 1, 1)?.plus(n - 36_526))
}

/// Which orders the written days allow: those under which the most of them are days not after `latest`.
pub(super) fn orders(all: &[Written], today: Day, latest: Option<Day>) -> Vec<DateOrder> {
    days::orders(all, last_year(today), latest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn days_in_any_dress() {
        let today = iso("2026-04-10");
        for text in [
            "2024-04-03",
            "2024/4/3",
            "3 Apr 2024",
            "3-Apr-24",
            "Apr 3, 2024",
            "20240403",
            "3rd April 2024",
            "3. April 2024",
            "3 avr. 2024",
            "3 abril 2024",
            "Wednesday, 3 Apr 2024",
            "2024 Apr 3",
        ] {
            assert_eq!(read(text, today), Some((Written::Sure(iso("2024-04-03")), None)), "{text}");
        }
        assert_eq!(
            read("2024-04-03T06:40:00", today),
            Some((Written::Sure(iso("2024-04-03")), Minute::new(6, 40)))
        );
        assert_eq!(read("2024-04-03 00:00", today), Some((Written::Sure(iso("2024-04-03")), None)));
        assert_eq!(read("3/4/2024 6:40 pm", today).and_then(|d| d.1), Minute::new(18, 40));
        for text in ["", "0412", "38.5", "UK 12 34", "2024-13-03", "40/40/2024", "1.2.3.4", "x/y/z"] {
            assert_eq!(read(text, today), None, "{text}");
        }
        // Microsoft's own documentation of DATEVALUE: 22 August 2011 is 40777 (from memory).
        assert_eq!(serial("40777"), Some(iso("2011-08-22")));
        assert_eq!((serial("2024"), serial("0412"), serial("x")), (None, None, None));
    }

    #[test]
    fn the_order_is_found_or_left_open() {
        use DateOrder::{DayFirst, MonthFirst, YearFirst};
        let today = iso("2026-11-20");
        let all = |texts: &[&str]| {
            let w: Vec<Written> = texts.iter().filter_map(|t| read(t, today)).map(|w| w.0).collect();
            orders(&w, today, Some(today))
        };
        assert_eq!(all(&["03/04/2026", "05/06/2026"]), [DayFirst, MonthFirst]);
        assert_eq!(all(&["03/04/2026", "13/04/2026"]), [DayFirst]);
        assert_eq!(all(&["03/04/2026", "04/13/2026"]), [MonthFirst]);
        assert_eq!(all(&["04/04/2026"]), [DayFirst]);
        assert_eq!(all(&["05/12/2026"]), [MonthFirst], "the other is after today");
        assert_eq!(all(&["26-04-08"]), [DayFirst, YearFirst]);
        // A year in two figures.
        assert_eq!(
            read("13/04/98", today).and_then(|w| w.0.day(DayFirst, last_year(today))),
            Some(iso("1998-04-13"))
        );
        assert_eq!(
            read("13/04/24", today).and_then(|w| w.0.day(DayFirst, last_year(today))),
            Some(iso("2024-04-13"))
        );
    }
}
