//! Why a job stands where it stands, in words.

use super::{Job, State};
use crate::phrase;
use crate::plan::Anchor;
use crate::terms::{Day, Moment, counted};

impl Job {
    /// Why it is due: 'born 12 Mar, 4 weeks today'.
    pub fn why(&self, today: Day) -> String {
        let mut said = self.since(today);
        if let Some((until, reason)) = self.put_off.as_deref() {
            said.push_str(&phrase!("; put off to {}", until.short()));
            if !reason.is_empty() {
                said.push_str(&format!(": {reason}"));
            }
        }
        match &self.state {
            State::Overdue => {
                if let Some(late) = self.late {
                    said.push_str(&phrase!("; last day was {}", late.day.short()));
                }
            }
            State::Skipped { reason, .. } if !reason.is_empty() => said.push_str(&format!("; {reason}")),
            _ => {}
        }
        said
    }

    /// What its times are counted from, alone: the same for all jobs of an animal with the same anchor.
    pub fn since(&self, today: Day) -> String {
        let on = self.anchor.day;
        let (ago, ahead) = (today.since(on), on.since(today));
        match &self.step.anchor {
            Anchor::Birth if ago == 0 => {
                self.anchor.time.map_or(phrase!("born today"), |t| phrase!("born today, {t}"))
            }
            Anchor::Birth => phrase!("born {}, {} today", on.short(), age(ago)),
            Anchor::Season if ahead >= 0 => phrase!("rams go in {}, {}", on.short(), within(ahead)),
            Anchor::Season => phrase!("rams went in {}", on.short()),
            Anchor::Joining if ago == 0 => phrase!("joined today"),
            Anchor::Lambing if ago == 0 => phrase!("lambed today"),
            Anchor::Weaning if ago == 0 => phrase!("weaned today"),
            Anchor::Joining => phrase!("joined {}, {} ago", on.short(), age(ago)),
            Anchor::Due if ahead >= 0 => phrase!("due to lamb {}, {}", on.short(), within(ahead)),
            Anchor::Due => phrase!("was due {}", on.short()),
            Anchor::LastDue if ahead >= 0 => phrase!("last day to lamb {}, {}", on.short(), within(ahead)),
            Anchor::LastDue => phrase!("last day to lamb was {}, {} ago", on.short(), age(ago)),
            Anchor::Lambing => phrase!("lambed {}, {} ago", on.short(), age(ago)),
            Anchor::Weaning => phrase!("weaned {}, {} ago", on.short(), age(ago)),
            Anchor::After(_) => phrase!("the one before on {}, {} ago", on.short(), age(ago)),
        }
    }

    /// The same for paper, where a lamb's age stands beside its kind: `born 9 Apr, 1 day old`.
    pub fn since_on_paper(&self, today: Day) -> String {
        let (on, ago) = (self.anchor.day, today.since(self.anchor.day));
        match &self.step.anchor {
            Anchor::Birth if ago > 0 => phrase!("born {}, {} old", on.short(), age(ago)),
            _ => self.since(today),
        }
    }

    /// When it is to be done: 'by 10:55', '12 to 16 Mar', 'from 12 Mar'.
    pub fn when(&self) -> String {
        let clock = |m: Moment| m.time.filter(|_| m.day == self.anchor.day || self.due.day == m.day);
        match (clock(self.due), self.late) {
            (Some(time), Some(late)) if late.day.since(self.due.day) <= 1 => {
                format!("{} {time}", self.due.day.short())
            }
            (_, Some(late)) if late.day == self.due.day => self.due.day.short(),
            (_, Some(late)) => phrase!("{} to {}", self.due.day.short(), late.day.short()),
            (_, None) => phrase!("from {}", self.due.day.short()),
        }
    }
}

/// `3 days`, `4 weeks`: weeks where they are whole and more than one.
fn age(days: i64) -> String {
    let n = usize::try_from(days.max(0)).unwrap_or_default();
    if n >= 14 && n.is_multiple_of(7) { counted(n / 7, "week") } else { counted(n, "day") }
}

fn within(days: i64) -> String {
    match days {
        0 => phrase!("today"),
        n => phrase!("in {}", age(n)),
    }
}
