//! What is due as a calendar.

use super::on::day;
use super::out::{self, Out};
use super::{Done, Trouble, with};
use clap::{Args, ValueEnum};
use hirsel_core::book::Book;
use hirsel_core::exchange::calendar::{self, Ask, DAYS_AHEAD, Kind};
use hirsel_core::terms::Day;
use std::path::Path;

pub(super) const HELP: &str = "due writes what is to be done as whole days for the calendar of a phone or computer (iCalendar, RFC 5545).\n\
    --kinds chooses what: jobs of the care plan, lambings by joinings, marks and scans, clear days after treatment, feed\n\
    to order, expiry of batches; jobs and lambings if not given. An entry is of a pen and day; --each makes one of every\n\
    job of every animal. What is late stands on today.\n\
    Read in once more, a later file changes the entries of an earlier one: each keeps its identity, and its revision\n\
    rises with every write and day. What is done, or whose animal left, is withdrawn (CANCELLED) as far as the book can\n\
    tell that it was in an earlier file. Label, vet and local law decide.";

/// When the calendar reminds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Alarm {
    /// Never
    None,
    /// At seven in the evening of the day before
    Evening,
    /// At seven in the morning of the day
    Morning,
}

/// What is asked of the calendar.
#[derive(Debug, Args)]
#[group(skip)]
pub(super) struct Asked {
    /// For due: first day; today if not given
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Day>,
    /// For due: last day; sixty days after the first if not given
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Day>,
    /// For due: some of jobs,lambings,clear,feed,expiry
    #[arg(long, value_name = "KIND,…", value_delimiter = ',', value_parser = Kind::parse)]
    kinds: Vec<Kind>,
    /// For due: when the calendar reminds
    #[arg(long, value_enum, value_name = "WHEN")]
    alarm: Option<Alarm>,
    /// For due: as things to do, which some programs show as a list and many not at all
    #[arg(long)]
    todo: bool,
    /// For due: an entry for each job of each animal, not for each pen and day
    #[arg(long)]
    each: bool,
}

impl Asked {
    /// The first of these that was given.
    pub(super) fn stray(&self) -> Option<&'static str> {
        let given = [
            ("--from", self.from.is_some()),
            ("--to", self.to.is_some()),
            ("--kinds", !self.kinds.is_empty()),
            ("--alarm", self.alarm.is_some()),
            ("--todo", self.todo),
            ("--each", self.each),
        ];
        given.into_iter().find(|(_, given)| *given).map(|(name, _)| name)
    }

    fn ask(&self, today: Day) -> Result<Ask, Trouble> {
        let from = self.from.unwrap_or(today);
        let to = self.to.unwrap_or(from.plus(DAYS_AHEAD));
        if to < from {
            return Err(Trouble::World(format!("the last day {to} is before the first {from}: swap them")));
        }
        let usual = Ask::usual(today);
        let alarm = match self.alarm {
            None | Some(Alarm::None) => calendar::Alarm::None,
            Some(Alarm::Evening) => calendar::Alarm::Evening,
            Some(Alarm::Morning) => calendar::Alarm::Morning,
        };
        let kinds = if self.kinds.is_empty() { usual.kinds } else { self.kinds.clone() };
        Ok(Ask { from, to, kinds, alarm, todo: self.todo, each: self.each })
    }
}

/// The calendar.
pub(super) fn made(book: &Book, asked: &Asked, today: Day) -> Result<calendar::Calendar, Trouble> {
    let ask = asked.ask(today)?;
    let go_on = |_: usize, _: usize| true;
    calendar::calendar(&book.flock(), today, &ask, &book.stamp()?, &go_on)
        .map_err(|e| Trouble::Refused(e.to_string()))
}

/// Writes the calendar, or prints it.
pub(super) fn export(out: &mut Out, book: &Path, asked: &Asked, to: Option<&Path>, today: Day) -> Done {
    let made = with(book, |book| made(book, asked, today))?;
    match to {
        None => out.print(&made.text),
        Some(to) => {
            if out::save(out, to, made.text.as_bytes())? {
                out.line(&format!("Wrote {} to {}", made.words(), to.display()))?;
            }
            Ok(())
        }
    }
}
