//! Counting withdrawal: worked examples, and the same rule told a second time by clock arithmetic.
//! Sources and the house rule stand in `reference/withdrawal.toml`.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::terms::{Day, Minute, Moment, Withdrawal};
use hirsel_tests::book::day;
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    on: String,
    time: Option<String>,
    period: String,
    clear: String,
}

#[test]
fn worked_examples() {
    for r in rows::<Given>("withdrawal", "given") {
        let time = r.time.as_deref().map(|t| Minute::parse(t).expect("a time"));
        let period = Withdrawal::parse(&r.period).expect("a period");
        let clear = clear_after(Moment { day: day(&r.on), time }, period);
        assert_eq!(clear.text(), r.clear, "{} {:?} + {period}", r.on, r.time);
        let on = day(&r.on);
        let first = (0..5000).map(|n| on.plus(n)).find(|d| clear.is_clear(*d)).map(|d| d.to_string());
        let wanted = (!matches!(r.clear.as_str(), "unknown" | "never")).then_some(r.clear);
        assert_eq!(first, wanted, "the first day on which it is clear");
    }
}

/// The rule once more, by the clock: the first midnight at or after the end of the period, and never that of the
/// very day the dose was given on.
fn by_the_clock(given: NaiveDateTime, hours: i64, on: NaiveDate) -> NaiveDate {
    let end = given + TimeDelta::hours(hours);
    let mut first = on + TimeDelta::days(1);
    while first.and_hms_opt(0, 0, 0).is_some_and(|midnight| midnight < end) {
        first += TimeDelta::days(1);
    }
    first
}

#[test]
fn the_same_by_clock_arithmetic() {
    let mut rng = fastrand::Rng::with_seed(1784);
    let start = NaiveDate::from_ymd_opt(2019, 1, 1).expect("a day");
    for _ in 0..20_000 {
        let on = start + TimeDelta::days(rng.i64(0..4000));
        // Round times, where the period ends at midnight, as often as any other.
        let time = match rng.u32(..4) {
            0 => None,
            1 => Some((rng.u32(..24), 0)),
            2 => Some((0, 0)),
            _ => Some((rng.u32(..24), rng.u32(..60))),
        };
        let (period, hours) = if rng.bool() {
            let n = rng.u16(..120);
            (Withdrawal::Days(n), i64::from(n) * 24)
        } else {
            let n = rng.u16(..400);
            (Withdrawal::Hours(n), i64::from(n))
        };
        let given = match time {
            Some((h, m)) => on.and_hms_opt(h, m, 0),
            None => (on + TimeDelta::days(1)).and_hms_opt(0, 0, 0),
        };
        let wanted = by_the_clock(given.expect("a time"), hours, on);
        let moment = Moment {
            day: Day::parse_iso(&on.to_string()).expect("a day"),
            time: time.and_then(|(h, m)| Minute::new(h, m)),
        };
        assert_eq!(clear_after(moment, period).text(), wanted.to_string(), "{on} {time:?} + {period}");
    }
}
