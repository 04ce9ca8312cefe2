//! Days and times as readers and scale heads write them: always with a time in one cell, and of this century.

use crate::exchange::days::{self, DateOrder, Written};
pub(super) use crate::exchange::days::{month, time};
use crate::terms::{Day, Minute, Moment};

/// What a device wrote in two figures is a year of this century.
pub(super) const LAST_YEAR: i32 = 2099;

/// A day alone; figures without a sign between them only where `compact`.
pub(super) fn day(text: &str, compact: bool) -> Option<Written> {
    days::day(text, compact, LAST_YEAR)
}

/// A day and a time in one.
pub(super) fn both(text: &str) -> Option<(Written, Minute)> {
    let (d, t) = days::parted(text)?;
    Some((day(d, true)?, time(t)?))
}

/// A moment in an order.
pub(super) fn moment(day: Day, time: Option<Minute>) -> Moment {
    Moment { day, time }
}

/// Which orders the written days allow: those under which the most of them are days not after today.
pub(super) fn orders(all: &[Written], today: Day) -> Vec<DateOrder> {
    days::orders(all, LAST_YEAR, Some(today))
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
        assert_eq!(day("8.4.26", false).and_then(|w| w.day(DayFirst, LAST_YEAR)), Some(iso("2026-04-08")));
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
