//! Ewes that came back to the ram, what that says of him, and ewes nobody has seen a mark on.

use super::pregnancy::{Pregnancy, State, pregnancies};
use super::rams_words;
use super::service::Service;
use crate::flock::{AnimalFile, Flock, Joining, natural};
use crate::handbook::tupping;
use crate::phrase;
use crate::terms::{AnimalId, Day, counted};

/// A ewe that came back to the ram.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Returned {
    /// The ewe.
    pub ewe: AnimalId,
    /// The service that did not hold.
    pub before: Service,
    /// The day she was served again.
    pub on: Day,
    /// One cycle later, or two.
    pub cycles: u8,
    /// When she is due by the last service.
    pub due: Day,
}

impl Returned {
    /// `0412 came back to R1 on 18 Nov 2025, 17 days after 1 Nov: one cycle. Now due 14 Apr 2026`.
    pub fn words(&self, flock: &Flock) -> String {
        let to = rams_words(flock, &self.before.rams).unwrap_or_else(|| phrase!("the ram"));
        let cycles = if self.cycles == 1 { "one cycle" } else { "two cycles" };
        let days = self.on.since(self.before.day);
        phrase!(
            "{} came back to {to} on {}, {days} days after {}: {cycles}. Now due {}",
            &flock.tag(self.ewe),
            self.on.words(),
            self.before.day.short(),
            self.due.words()
        )
    }
}

/// How many ewes of a ram came back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RamReturns {
    /// The ram.
    pub ram: AnimalId,
    /// Ewes he alone is known to have served long enough ago to have come back.
    pub served: usize,
    /// Those of them that did.
    pub returned: usize,
    /// What to do, where they are many.
    pub caution: Option<String>,
}

/// Who came back in the season that runs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Returns {
    /// The ewes, the latest return first.
    pub ewes: Vec<Returned>,
    /// The rams with a known service, by tag.
    pub rams: Vec<RamReturns>,
}

/// Ewes that came back to the ram and have not lambed since, and how many of each ram's did.
pub fn returns(flock: &Flock, today: Day) -> Returns {
    let mut all = Returns::default();
    let running = |p: &Pregnancy| matches!(p.state, State::Expected | State::Empty(_));
    for p in pregnancies(flock, today).iter().filter(|p| running(p)) {
        for a in &p.again {
            if let Some(cycles) = a.cycles {
                let (before, on, due) = (a.before.clone(), a.on, p.window.due);
                all.ewes.push(Returned { ewe: p.ewe, before, on, cycles, due });
            }
            count(&mut all.rams, &a.before, a.cycles.is_some());
        }
        // The last service has held so far, if she has had the time to come back.
        let had_time = today.since(p.service.day) > tupping::cycle_late_days();
        if had_time && p.service.by.trust() <= 1 {
            count(&mut all.rams, &p.service, false);
        }
    }
    all.ewes.sort_by(|a, b| {
        b.on.cmp(&a.on).then_with(|| natural(flock.tag(a.ewe), flock.tag(b.ewe))).then(a.ewe.cmp(&b.ewe))
    });
    all.rams.sort_by(|a, b| natural(flock.tag(a.ram), flock.tag(b.ram)).then(a.ram.cmp(&b.ram)));
    for r in &mut all.rams {
        let many = r.returned * 100 >= r.served * tupping::returns_percent();
        if many && r.served >= tupping::returns_least() {
            r.caution = Some(phrase!(
                "{} of {} served by {} came back: look at his feet, condition and testicles, and put in another ram",
                r.returned,
                counted(r.served, "ewe"),
                &flock.tag(r.ram)
            ));
        }
    }
    all
}

/// Counts a service with one known ram.
fn count(rams: &mut Vec<RamReturns>, s: &Service, returned: bool) {
    let [ram] = s.rams.as_slice() else { return };
    let at = rams.iter().position(|r| r.ram == *ram).unwrap_or_else(|| {
        rams.push(RamReturns { ram: *ram, served: 0, returned: 0, caution: None });
        rams.len() - 1
    });
    rams[at].served += 1;
    rams[at].returned += usize::from(returned);
}

/// A ewe that is with a ram who marks others, and has no mark herself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmarked {
    /// The ewe.
    pub ewe: AnimalId,
    /// The rams with her.
    pub rams: Vec<AnimalId>,
    /// Since when.
    pub since: Day,
    /// Days with them up to the day asked.
    pub days: i64,
}

impl Unmarked {
    /// `0412 has been with R1 for 21 days without a mark, more than a cycle: look whether she cycles at all`.
    pub fn words(&self, flock: &Flock) -> String {
        let with = rams_words(flock, &self.rams).unwrap_or_else(|| phrase!("a ram"));
        let days = usize::try_from(self.days).unwrap_or_default();
        let said = phrase!(
            "{} has been with {with} for {} without a mark",
            &flock.tag(self.ewe),
            counted(days, "day")
        );
        if self.days > tupping::cycle_late_days() {
            phrase!("{said}, more than a cycle: look whether she cycles at all")
        } else {
            said
        }
    }
}

/// Ewes with a ram on a day that no mark and no mating was written of by then, the longest with him first. Only where
/// marks are written at all: one of their rams wears a crayon or has marked another ewe by then.
pub fn unmarked(flock: &Flock, by: Day) -> Vec<Unmarked> {
    let with = |f: &'_ AnimalFile| -> Vec<Joining> {
        let on = |j: &&Joining| j.struck.is_none() && j.from <= by && j.to.is_none_or(|t| t >= by);
        f.joinings.iter().filter(on).cloned().collect()
    };
    let mut marking: Vec<(AnimalId, Day)> = Vec::new();
    for f in flock.files() {
        let last = f.crayons.iter().filter(|c| c.struck.is_none() && c.on <= by).max_by_key(|c| (c.on, c.id));
        marking.extend(last.filter(|c| !c.colour.trim().is_empty()).map(|c| (c.ram, by)));
        for m in f.marks.iter().filter(|m| m.struck.is_none() && m.on <= by) {
            match m.ram {
                Some(ram) => marking.push((ram, m.on)),
                None => marking.extend(with(f).iter().map(|j| (j.ram, m.on))),
            }
        }
    }
    marking.sort_unstable();
    let mut all: Vec<Unmarked> = Vec::new();
    for f in flock.present() {
        let joinings = with(f);
        let Some(since) = joinings.iter().map(|j| j.from).min() else { continue };
        let marked = f.marks.iter().any(|m| m.struck.is_none() && m.on >= since && m.on <= by);
        let one_day = joinings.iter().any(|j| j.to == Some(j.from));
        let marks = |j: &Joining| {
            let at = marking.partition_point(|m| *m < (j.ram, j.from));
            marking.get(at).is_some_and(|m| m.0 == j.ram)
        };
        if marked || one_day || !joinings.iter().any(marks) {
            continue;
        }
        let mut rams: Vec<AnimalId> = Vec::new();
        for j in &joinings {
            if !rams.contains(&j.ram) {
                rams.push(j.ram);
            }
        }
        all.push(Unmarked { ewe: f.animal.id, rams, since, days: by.since(since) });
    }
    all.sort_by(|a, b| {
        a.since
            .cmp(&b.since)
            .then_with(|| natural(flock.tag(a.ewe), flock.tag(b.ewe)))
            .then(a.ewe.cmp(&b.ewe))
    });
    all
}
