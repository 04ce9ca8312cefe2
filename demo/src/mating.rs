//! What the keeper sees at joining time: crayons on the rams, marks on the ewes, matings watched; and what the
//! scanner finds in winter. Dice of their own: the other facts stay what they are without these.

use crate::joining::Coming;
use crate::litters::Litter;
use crate::maker::{Maker, WORD};
use crate::sheep::At;
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, CrayonDraft, MarkDraft, ScanDraft};
use hirsel_core::terms::{Day, MarkKind, Scanned};
use std::collections::HashMap;

/// Colours of a ram's crayons from light to dark, so that a later mark shows over an earlier one.
const COLOURS: [&str; 3] = ["yellow", "red", "blue"];
/// Days after which the colour is changed: 16, then 17, so that a ewe that comes back shows another one.
const CHANGES: [i64; 3] = [0, 16, 33];
/// The crayon of a ram that follows another.
const BACK_UP_COLOUR: &str = "green";
/// The scanner comes so many days before the day lambing ends about.
const SCANNED: i64 = -100;

/// A ram with his ewes, from one day to another.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub(crate) ram: At,
    pub(crate) from: i64,
    pub(crate) to: i64,
    pub(crate) back_up: bool,
}

/// How a ewe was served.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum How {
    /// She ran with a ram that wore a crayon.
    Running,
    /// Held for the ram, and watched.
    ByHand,
    /// Inseminated.
    Inseminated,
}

/// A ewe that was put to a ram. Days count from the season's base day.
#[derive(Debug, Clone)]
pub(crate) struct Heat {
    pub(crate) ewe: At,
    /// The ram she was put to first, with the last day he was there.
    pub(crate) first: (At, i64),
    /// The ram that served her in the end.
    pub(crate) ram: At,
    /// The day she took the ram, or would have.
    pub(crate) served: i64,
    /// Rams went in.
    pub(crate) from: i64,
    /// How she was served.
    pub(crate) how: How,
}

/// What the crayons and the scanner say of one season.
#[derive(Debug, Default)]
pub(crate) struct Seen {
    pub(crate) runs: Vec<Run>,
    pub(crate) heats: Vec<Heat>,
}

impl Maker<'_> {
    /// A large flock is written up in its last season only.
    fn is_seen(&self, season: usize) -> bool {
        !self.is_lean() || season == self.last
    }

    /// Crayons and marks of the autumn, in two lines of the journal.
    pub(crate) fn crayons_and_marks(&mut self, season: usize, base: Day) -> Result<(), Failed> {
        if !self.is_seen(season) {
            return Ok(());
        }
        let flock = self.flock();
        let year = base.year() - 1;
        let mut crayons = Vec::new();
        for run in &self.seen.runs {
            let ram = self.sheep[run.ram].id;
            for (n, day) in CHANGES.iter().enumerate().filter(|(_, d)| run.from + **d <= run.to) {
                let colour = if run.back_up { BACK_UP_COLOUR } else { COLOURS[n] };
                if !run.back_up || n == 0 {
                    let on = base.plus(run.from + day);
                    crayons.push(CrayonDraft { ram, on, colour: colour.into() });
                }
            }
            crayons.push(CrayonDraft { ram, on: base.plus(run.to + 1), colour: String::new() });
        }
        // One ram may follow another on the day his own ewes are taken from him.
        crayons.sort_by_key(|c| (c.on, !c.colour.is_empty()));
        if !crayons.is_empty() {
            self.push(entry::crayons(crayons, &flock, self.today), WORD);
            self.flush(&format!("Crayons of the rams, autumn {year}"))?;
        }
        let mut marks = Vec::new();
        let heats = self.seen.heats.clone();
        for heat in &heats {
            self.marks_of(heat, base, &mut marks);
        }
        marks.sort_by_key(|(n, m)| (m.on, *n));
        let marks: Vec<MarkDraft> = marks.into_iter().map(|(_, m)| m).collect();
        if !marks.is_empty() {
            self.push(entry::marks(marks, &flock, self.today), WORD);
            self.flush(&format!("Marks of the crayon and matings seen, autumn {year}"))?;
        }
        Ok(())
    }

    /// Every heat of a ewe from the day the rams went in to the day she held, most of them with their mark.
    fn marks_of(&mut self, heat: &Heat, base: Day, marks: &mut Vec<(usize, MarkDraft)>) {
        let draft = |m: &Self, ram: At, on: i64, kind, colour: Option<&str>, note: Option<&str>| MarkDraft {
            ewe: m.sheep[heat.ewe].id,
            ram: Some(m.sheep[ram].id),
            on: base.plus(on),
            kind,
            colour: colour.map(Into::into),
            note: note.map(Into::into),
        };
        if heat.how == How::Inseminated {
            return;
        }
        if heat.how == How::ByHand {
            if self.more.chance(0.85) {
                let note = self.more.chance(0.3).then_some("stood well, served twice");
                marks.push((heat.ewe, draft(self, heat.ram, heat.served, MarkKind::Seen, None, note)));
            }
            return;
        }
        let last = heat.first.1;
        let mut on = heat.served;
        let mut days = Vec::new();
        while on >= heat.from {
            days.push(on);
            // Heat comes about every 17 days (reference: husbandry, ewe's year).
            on -= self.more.between(16, 18);
        }
        days.reverse();
        for day in days {
            let ram = if day == heat.served { heat.ram } else { heat.first.0 };
            let follows = ram != heat.first.0;
            if day > last && !follows || !self.more.chance(0.93) {
                continue;
            }
            let nth = CHANGES.iter().rposition(|c| heat.from + c <= day).unwrap_or(0);
            let colour = if follows { BACK_UP_COLOUR } else { COLOURS[nth] };
            let returned = (day == heat.served && day - heat.from > 20).then_some("came back to the ram");
            let note = if self.more.chance(0.05) { Some("faint mark") } else { returned };
            marks.push((heat.ewe, draft(self, ram, day, MarkKind::Crayon, Some(colour), note)));
            if self.more.chance(0.04) {
                marks.push((heat.ewe, draft(self, ram, day, MarkKind::Seen, None, None)));
            }
        }
    }

    /// The scanner's day: who is empty, who carries how many, and how old the lambs are. A count is not always what
    /// is born.
    pub(crate) fn scans(
        &mut self,
        season: usize,
        base: Day,
        litters: &[Litter],
        coming: &[Coming],
    ) -> Result<(), Failed> {
        let seen = std::mem::take(&mut self.seen);
        if !self.is_seen(season) {
            return Ok(());
        }
        let born: HashMap<At, usize> = litters.iter().map(|l| (l.coming.ewe, l.young.len())).collect();
        let to_come: HashMap<At, &Coming> = coming.iter().map(|c| (c.ewe, c)).collect();
        let flock = self.flock();
        let on = base.plus(SCANNED);
        let mut drafts = Vec::new();
        for heat in &seen.heats {
            if !self.sheep[heat.ewe].is_here(on) {
                continue;
            }
            let (mut found, mut age_days, mut note) = (Scanned::Empty, None, None);
            if to_come.contains_key(&heat.ewe) {
                let n = born.get(&heat.ewe).copied();
                let n = n.unwrap_or_else(|| self.more.weighted(&[(1, 34.0), (2, 55.0), (3, 11.0)]));
                found = self.counted(n);
                if self.more.chance(0.75) {
                    let age = SCANNED - heat.served + self.more.between(-2, 2);
                    age_days = u16::try_from(age).ok();
                }
                if found == Scanned::Three {
                    note = Some("feed with the triplets");
                }
            }
            drafts.push(ScanDraft {
                ewe: self.sheep[heat.ewe].id,
                on,
                found,
                age_days,
                note: note.map(Into::into),
            });
        }
        if !drafts.is_empty() {
            self.push(entry::scans(drafts, &flock, self.today), WORD);
            self.flush(&format!("Scans in the winter before the lambing of {}", base.year()))?;
        }
        Ok(())
    }

    /// What the scanner makes of so many lambs.
    fn counted(&mut self, n: usize) -> Scanned {
        use Scanned::{InLamb, One, Three, Two};
        let found = match n {
            1 => [(One, 96.0), (Two, 3.0), (InLamb, 1.0)],
            2 => [(Two, 94.0), (One, 4.0), (Three, 2.0)],
            _ => [(Three, 82.0), (Two, 17.0), (InLamb, 1.0)],
        };
        self.more.weighted(&found)
    }
}
