//! Times of the standard: UTC with `Z`. A fact of which only the day is known stands at 12:00Z, so that no zone of any
//! reader moves it to another day (our choice).

use crate::terms::{Day, Minute, Misread, Moment};
use chrono::{
    DateTime, Datelike as _, Local, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, TimeZone as _,
    Timelike as _, Utc,
};

/// The zone of the book's times of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Zone {
    /// That of this machine.
    #[default]
    Local,
    /// None: for tests.
    Utc,
}

impl Zone {
    /// A moment of the book. A time of day that falls on 12:00 or 00:00 UTC is written one second later, since those
    /// two stand for the day alone; the book has no seconds.
    pub(super) fn text(self, at: Moment) -> String {
        let Some(time) = at.time else { return noon(at.day) };
        let minutes = TimeDelta::minutes(time.of_day());
        let local = date(at.day).and_time(NaiveTime::MIN) + minutes;
        let utc = self.utc(local);
        let alone = utc.minute() == 0 && (utc.hour() == 12 || utc.hour() == 0);
        written(utc + TimeDelta::seconds(i64::from(alone)))
    }

    /// A time of the journal, `2026-04-03 21:10:05`.
    pub(super) fn journal(self, at: &str) -> Option<String> {
        let local = NaiveDateTime::parse_from_str(at, "%Y-%m-%d %H:%M:%S").ok()?;
        Some(written(self.utc(local)))
    }

    fn utc(self, local: NaiveDateTime) -> NaiveDateTime {
        match self {
            Self::Utc => local,
            Self::Local => {
                let found = Local.from_local_datetime(&local);
                // In the hour that the clocks leap over there is no such time: the offset of the hour before holds.
                let before = || Local.from_local_datetime(&(local - TimeDelta::hours(1))).earliest();
                let later = || before().map(|t| t + TimeDelta::hours(1));
                found.earliest().or_else(later).map_or(local, |t| t.naive_utc())
            }
        }
    }

    /// A moment as others write it: 12:00Z and 00:00Z are the day alone, and so is a bare date.
    pub(super) fn moment(self, text: &str) -> Result<Moment, Misread> {
        let wrong = || Misread::new(format!("'{}' is not a time such as 2026-04-03T12:00:00Z", short(text)));
        let text = text.trim();
        if text.len() == 10 {
            return Day::parse_iso(text).map(Moment::day).map_err(|_| wrong());
        }
        let at = DateTime::parse_from_rfc3339(text).map_err(|_| wrong())?;
        let utc = at.with_timezone(&Utc).naive_utc();
        let alone = utc.time() == NaiveTime::MIN || (utc.hour(), utc.minute(), utc.second()) == (12, 0, 0);
        let local = match self {
            Self::Local if !alone => at.with_timezone(&Local).naive_local(),
            _ => utc,
        };
        let day = Day::new(local.year(), local.month(), local.day()).ok_or_else(wrong)?;
        Ok(Moment { day, time: Minute::new(local.hour(), local.minute()).filter(|_| !alone) })
    }
}

/// The day alone.
pub(super) fn noon(day: Day) -> String {
    format!("{day}T12:00:00Z")
}

fn written(at: NaiveDateTime) -> String {
    at.format("%Y-%m-%dT%H:%M:%SZ").to_string()
}

fn date(day: Day) -> NaiveDate {
    // Every day of ours is a date; the first one stands in for none.
    NaiveDate::from_ymd_opt(day.year(), day.month(), day.day()).unwrap_or_default()
}

/// A value in a sentence, not longer than a line.
pub(super) fn short(text: &str) -> String {
    let mut cut: String =
        text.trim().chars().map(|c| if c.is_control() { ' ' } else { c }).take(60).collect();
    if text.trim().chars().count() > 60 {
        cut.push('…');
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_minute_of_a_day_comes_back() {
        let day = Day::new(2026, 4, 3).unwrap();
        for zone in [Zone::Utc, Zone::Local] {
            for m in 0..1440 {
                let at = Moment { day, time: Minute::new(m / 60, m % 60) };
                assert_eq!(zone.moment(&zone.text(at)), Ok(at));
            }
            assert_eq!(zone.text(Moment::day(day)), "2026-04-03T12:00:00Z");
            assert_eq!(zone.moment("2026-04-03T12:00:00Z"), Ok(Moment::day(day)));
            assert_eq!(zone.moment("2026-04-03T00:00:00.000Z"), Ok(Moment::day(day)));
            assert_eq!(zone.moment("2026-04-03"), Ok(Moment::day(day)));
        }
        let at = Zone::Utc.moment("2026-04-03T23:30:00-02:00").unwrap();
        assert_eq!(at.to_owned().words(), "4 Apr 2026, 01:30");
        for wrong in
            ["", "2026-04-31", "2026-04-03T25:00:00Z", "1850-01-01T10:00:00Z", "soon", "2026-04-03 12:00"]
        {
            assert!(Zone::Utc.moment(wrong).is_err(), "{wrong}");
        }
        assert_eq!(Zone::Utc.journal("2026-04-03 21:10:05").as_deref(), Some("2026-04-03T21:10:05Z"));
        assert_eq!(Zone::Utc.journal("yesterday"), None);
    }
}
