//! When a job of the first days is due, in a few words.

use super::LambJob;
use crate::papers::who;
use crate::phrase;
use crate::rules::RuleSet;
use crate::terms::{Day, Minute};

const HOUR: i64 = 60;
const DAY: i64 = 24 * HOUR;

/// Clock times where the time of birth is known, days where the day is.
pub(super) fn when(job: LambJob, born: Option<Day>, time: Option<Minute>, rules: Option<&RuleSet>) -> String {
    let times = job.times();
    if let Some(late) = times.late.filter(|late| *late < DAY) {
        return hours(times.earliest, times.due, late, born, time);
    }
    // Before its time is over a job is too early: the first whole day after.
    let from = (times.earliest + DAY - 1) / DAY;
    let to = times.late.map(|late| late / DAY).or_else(|| job.last_day(rules));
    match (to, born) {
        (Some(to), Some(day)) => who::span(day.plus(from), day.plus(to)),
        (Some(to), None) => phrase!("day {from} to {to}"),
        (None, Some(day)) => phrase!("from {}", day.plus(from).short()),
        (None, None) => phrase!("from day {from}"),
    }
}

/// A job of the first day: 'at birth', 'by 07:20', 'at 11:20', 'within 2 h', '6 h after birth'.
fn hours(earliest: i64, due: i64, late: i64, born: Option<Day>, time: Option<Minute>) -> String {
    if due < HOUR && late <= HOUR {
        return phrase!("at birth");
    }
    let at_once = earliest == 0;
    match (born, time) {
        (Some(day), Some(time)) => {
            let minutes = time.of_day() + due;
            let clock = format!("{:02}:{:02}", minutes / HOUR % 24, minutes % HOUR);
            let word = if at_once { "by" } else { "at" };
            let next = if minutes >= DAY { format!(", {}", day.plus(1).short()) } else { String::new() };
            phrase!("{word} {clock}{next}")
        }
        _ if at_once => phrase!("within {} h", due / HOUR),
        _ => phrase!("{} h after birth", due / HOUR),
    }
}
