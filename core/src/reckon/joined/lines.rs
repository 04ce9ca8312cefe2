//! What is expected of each joined ewe, in lines for the due list; what a mark says beside the one before it.

use crate::flock::{AnimalFile, Flock, MatingMark, Scan};
use crate::handbook::tupping::{cycle_early_days, cycle_late_days};
use crate::phrase;
use crate::reckon::gestation::{DueWindow, Pregnancy, State, pregnancies, rams_words};
use crate::terms::{AnimalId, Day, counted};

/// A ewe that is expected to lamb.
#[derive(Debug, Clone, PartialEq)]
pub struct DueLine {
    /// The ewe.
    pub ewe: AnimalId,
    /// Every ram it may be of; none where it is not known.
    pub rams: Vec<AnimalId>,
    /// When.
    pub window: DueWindow,
    /// The evidence in a sentence.
    pub why: String,
    /// All that is known, a sentence each.
    pub all: Vec<String>,
    /// Her last scan of this pregnancy.
    pub scan: Option<Scan>,
}

impl DueLine {
    /// How long until then, or how long past: `from 25 Mar, in 12 days`, `any day now`, `3 days past her last day`.
    pub fn when(&self, today: Day) -> String {
        let w = &self.window;
        let until = w.early.since(today);
        match w.late {
            _ if until == 1 => phrase!("from tomorrow"),
            _ if until > 0 => phrase!("from {}, in {until} days", w.early.short()),
            Some(late) if today > late => {
                phrase!("{} past her last day", counted(days(today.since(late)), "day"))
            }
            _ => phrase!("any day now"),
        }
    }

    /// Her window has gone by.
    pub fn is_past(&self, today: Day) -> bool {
        self.window.late.is_some_and(|l| today > l)
    }

    /// The ram: `R7`, `R7 or R9`, `not known`.
    pub fn rams_words(&self, flock: &Flock) -> String {
        rams_words(flock, &self.rams).unwrap_or_else(|| phrase!("not known"))
    }

    /// The scan in a word or two: `twins`, `twins, 80 days gone`.
    pub fn scan_words(&self) -> String {
        let Some(s) = &self.scan else { return String::new() };
        let age = s.age_days.map(|d| phrase!(", {d} days gone")).unwrap_or_default();
        phrase!("{}{age}", s.found.words())
    }
}

fn days(n: i64) -> usize {
    usize::try_from(n).unwrap_or_default()
}

/// Every ewe that is expected to lamb, by the usual day.
pub fn due_lines(flock: &Flock, today: Day) -> Vec<DueLine> {
    let expected = pregnancies(flock, today).into_iter().filter(|p| p.state == State::Expected);
    expected.map(|p| due_line(flock, p)).collect()
}

fn due_line(flock: &Flock, p: Pregnancy) -> DueLine {
    DueLine {
        ewe: p.ewe,
        window: p.window,
        why: p.service.words(flock),
        all: p.words(flock),
        scan: scan_of(flock, &p),
        rams: p.service.rams,
    }
}

/// The record of a pregnancy's last scan.
pub(super) fn scan_of(flock: &Flock, p: &Pregnancy) -> Option<Scan> {
    let (on, found) = p.scan?;
    let mut scans = flock.file(p.ewe)?.scans.iter().rev().filter(|s| s.struck.is_none());
    scans.find(|s| s.on == on && s.found == found).cloned()
}

/// How many cycles so many days are: one, two, or no whole one.
fn cycles(days: i64) -> Option<i64> {
    [1, 2].into_iter().find(|n| (cycle_early_days() * n..=cycle_late_days() * n).contains(&days))
}

/// Marks of a ewe that came a cycle or two after the one before: the day, and the days between.
pub(super) fn came_back(ewe: &AnimalFile) -> Vec<(Day, i64)> {
    let mut days: Vec<Day> = ewe.marks.iter().filter(|m| m.struck.is_none()).map(|m| m.on).collect();
    days.sort_unstable();
    let gaps = days.windows(2).map(|w| (w[1], w[1].since(w[0])));
    gaps.filter(|(_, gap)| cycles(*gap).is_some()).collect()
}

/// What a mark says beside the one before it: `came back after 17 days`; nothing of a first mark of a season.
pub fn return_words(ewe: &AnimalFile, mark: &MatingMark) -> Option<String> {
    let earlier = ewe.marks.iter().filter(|m| m.struck.is_none() && m.on < mark.on).map(|m| m.on).max()?;
    let gap = mark.on.since(earlier);
    match cycles(gap) {
        Some(1) => Some(phrase!("came back after {gap} days")),
        Some(_) => Some(phrase!("came back after {gap} days, two cycles")),
        None if gap <= 2 * cycle_late_days() => Some(phrase!("again after {}", counted(days(gap), "day"))),
        None => None,
    }
}
