//! What is due, as a calendar other programs read: iCalendar (RFC 5545, September 2009).
//!
//! Out only. Every entry is of a whole day and leaves the day free. What is to be done is gathered ([`gather`]), put
//! together by pen and day or left one by one ([`entry`]), and written ([`write`]).
//!
//! A file that is read a second time must change the entries of the first and add none: that hangs on three things.
//!
//! * The identity (UID) is made from what the entry is of (the book, the animal, the step of the plan and its round,
//!   the season), never from its day, so that a job that moves keeps it. Entries by pen and day are of that pen and
//!   day; what is late stands in one entry a pen that moves on with the days.
//! * The revision (SEQUENCE) must rise when the entry changes, and the book keeps no list of what was sent where. So it
//!   is the journal's clock, which rises with every write, and the days since 1 January 2020, which rise with every
//!   day, added up: nothing changes an entry but a write or a new day, and neither ever falls. It also rises where an
//!   entry stays as it was, which does no harm. It does not rise when only the choice of alarms is another.
//! * What is no longer to be done is withdrawn (STATUS:CANCELLED) where the book knows that it would have been in an
//!   earlier file: jobs done, left out or missed whose day lies in the days asked for, or that were late until a
//!   fortnight ago; jobs of animals that left within two months; ewes that lambed or were scanned empty. Left out
//!   without a word are: clear days that came to nothing because a treatment was struck out, feed that need no longer
//!   be ordered, batches that are used up, and entries of a pen whose animals went to another one.

mod entry;
mod gather;
#[cfg(test)]
mod tests;
mod write;

use crate::flock::{Flock, Stamp};
use crate::terms::Day;

/// What is put into the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Jobs of the care plan.
    Jobs,
    /// Ewes due to lamb, on their usual day.
    Lambings,
    /// The first day on which meat or milk may be used again.
    Clear,
    /// The last day to order a feed.
    Feed,
    /// The last day a batch of a medicine may be used.
    Expiry,
}

impl Kind {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 5] = [Self::Jobs, Self::Lambings, Self::Clear, Self::Feed, Self::Expiry];

    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Jobs => "jobs",
            Self::Lambings => "lambings",
            Self::Clear => "clear",
            Self::Feed => "feed",
            Self::Expiry => "expiry",
        }
    }

    /// On screen, and as the category of its entries.
    pub fn words(self) -> &'static str {
        match self {
            Self::Jobs => "Jobs of the care plan",
            Self::Lambings => "Ewes due to lamb",
            Self::Clear => "Clear days after treatment",
            Self::Feed => "Feed to order",
            Self::Expiry => "Batches that expire",
        }
    }

    /// By the word of the command line, in any case.
    ///
    /// # Errors
    /// Names the words there are.
    pub fn parse(word: &str) -> Result<Self, String> {
        let word = word.trim();
        Self::ALL.into_iter().find(|k| k.word().eq_ignore_ascii_case(word)).ok_or_else(|| {
            let all: Vec<&str> = Self::ALL.iter().map(|k| k.word()).collect();
            format!("'{word}' is nothing the calendar holds: write some of {}", all.join(", "))
        })
    }
}

/// When the calendar reminds of an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Alarm {
    /// Never.
    #[default]
    None,
    /// At seven in the evening of the day before.
    Evening,
    /// At seven in the morning of the day.
    Morning,
}

impl Alarm {
    /// All of them, in the order they are offered.
    pub const ALL: [Self; 3] = [Self::None, Self::Evening, Self::Morning];

    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Evening => "evening",
            Self::Morning => "morning",
        }
    }

    /// On screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Evening => "the evening before, at 7",
            Self::Morning => "in the morning, at 7",
        }
    }
}

/// Usual days ahead.
pub const DAYS_AHEAD: i64 = 60;

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// What.
    pub kinds: Vec<Kind>,
    /// When it reminds.
    pub alarm: Alarm,
    /// As things to do (VTODO), which some programs show as a list and many not at all; else as days (VEVENT).
    pub todo: bool,
    /// An entry for each animal and job; else one for each pen and day.
    pub each: bool,
}

impl Ask {
    /// The usual one: jobs and lambings of the next sixty days, by pen and day, without alarms.
    pub fn usual(today: Day) -> Self {
        Self {
            from: today,
            to: today.plus(DAYS_AHEAD),
            kinds: vec![Kind::Jobs, Kind::Lambings],
            alarm: Alarm::None,
            todo: false,
            each: false,
        }
    }
}

/// A written calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    /// The file: iCalendar text.
    pub text: String,
    /// Entries that stand.
    pub entries: usize,
    /// Entries that withdraw an earlier one.
    pub withdrawn: usize,
}

impl Calendar {
    /// `12 entries, and 3 withdrawn`.
    pub fn words(&self) -> String {
        let entries =
            if self.entries == 1 { "1 entry".to_string() } else { format!("{} entries", self.entries) };
        match self.withdrawn {
            0 => entries,
            n => format!("{entries}, and {n} withdrawn"),
        }
    }
}

/// Why there is no calendar.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoCalendar {
    /// Nothing is due in those days.
    #[error("nothing is due from {} to {}: choose more days, or other things", .0.words(), .1.words())]
    Nothing(Day, Day),
    /// It was asked to stop.
    #[error("making the calendar was stopped")]
    Stopped,
}

/// Makes the calendar of a flock. `watch` is told how many of how many animals are done, and says whether to go on.
///
/// # Errors
/// [`NoCalendar::Nothing`] where there is no entry at all; [`NoCalendar::Stopped`] when `watch` says so.
pub fn calendar(
    flock: &Flock,
    today: Day,
    ask: &Ask,
    stamp: &Stamp,
    watch: &dyn Fn(usize, usize) -> bool,
) -> Result<Calendar, NoCalendar> {
    let things = gather::things(flock, today, ask, watch).ok_or(NoCalendar::Stopped)?;
    let entries = entry::entries(&things, ask, stamp);
    if entries.is_empty() {
        return Err(NoCalendar::Nothing(ask.from, ask.to));
    }
    let withdrawn = entries.iter().filter(|e| e.withdrawn).count();
    let text = write::text(&flock.holding().flock, &entries, ask, stamp, today);
    Ok(Calendar { text, entries: entries.len() - withdrawn, withdrawn })
}
