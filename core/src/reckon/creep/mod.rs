//! The creeps on a day: which lambs eat there, what is in them and what the rules ask for, how full they are, what is
//! eaten as it is seen from the refills, how long it lasts, and which looks at the pen are due.
//!
//! Knows the flock and a moment. Intake is never below nothing, and what is eaten between two known levels is what was
//! there and was filled in, less what is left.

mod board;
mod checks;
mod intake;
mod lambs;
mod past;
mod steps;
#[cfg(test)]
pub(crate) mod tests;
mod words;

pub use board::{Board, InIt, Lasts, PenCreep, Trough, Without, board, feed_in};
pub use checks::{Check, Fault, check_words};
pub use intake::{How, Rate, Spell};
pub use lambs::AtTheCreep;
pub use past::{DayIntake, Past};
pub use steps::{Asked, Steps, Verdict};
pub use words::part_of_day;

use crate::terms::{Day, Minute, Moment};

/// Minutes from the beginning of a day to a moment; a moment without a time is noon.
fn minutes(at: Moment, zero: Day) -> i64 {
    at.day.since(zero) * DAY + at.time.map_or(NOON, Minute::of_day)
}

/// The moment of so many minutes after the beginning of a day.
fn moment(minutes: i64, zero: Day) -> Moment {
    let (day, rest) = (minutes.div_euclid(DAY), minutes.rem_euclid(DAY));
    Moment { day: zero.plus(day), time: Minute::new((rest / 60) as u32, (rest % 60) as u32) }
}

/// Minutes of a day.
const DAY: i64 = 24 * 60;
/// What has no time of day happened at noon.
const NOON: i64 = 12 * 60;
