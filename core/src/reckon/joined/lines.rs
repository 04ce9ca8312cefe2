//! What is expected of each joined ewe, in lines for the due list.

use crate::flock::{AnimalFile, Flock, MatingMark, Scan};
use crate::reckon::gestation::{self, DueWindow};
use crate::terms::{AnimalId, Day, counted};

/// A ewe that is expected to lamb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueLine {
    /// The ewe.
    pub ewe: AnimalId,
    /// Every ram it may be of.
    pub rams: Vec<AnimalId>,
    /// When.
    pub window: DueWindow,
    /// From what that is known.
    pub why: String,
    /// Her last scan since she was joined.
    pub scan: Option<Scan>,
}

impl DueLine {
    /// How long until then, or how long past: `from 25 Mar, in 12 days`, `any day now`, `3 days past her last day`.
    pub fn when(&self, today: Day) -> String {
        let w = &self.window;
        let until = w.early.since(today);
        match w.late {
            _ if until > 0 => format!("from {}, {}", w.early.short(), in_days(until)),
            Some(late) if today > late => {
                format!("{} past her last day: look into it", counted(days(today.since(late)), "day"))
            }
            _ => "any day now".into(),
        }
    }

    /// Her window has gone by.
    pub fn is_past(&self, today: Day) -> bool {
        self.window.late.is_some_and(|l| today > l)
    }

    /// The scan in a word or two: `twins`, `twins, 80 days`.
    pub fn scan_words(&self) -> String {
        let Some(s) = &self.scan else { return String::new() };
        let age = s.age_days.map(|d| format!(", {d} days gone")).unwrap_or_default();
        format!("{}{age}", s.found.words())
    }
}

fn days(n: i64) -> usize {
    usize::try_from(n).unwrap_or_default()
}

fn in_days(n: i64) -> String {
    if n == 1 { "tomorrow".into() } else { format!("in {n} days") }
}

/// Every ewe that is expected to lamb, by the usual day.
pub fn due_lines(flock: &Flock, today: Day) -> Vec<DueLine> {
    let mut all: Vec<DueLine> = flock.present().filter_map(|f| due_line(flock, f, today)).collect();
    all.sort_by_key(|l| (l.window.due, l.window.early, l.ewe));
    all
}

fn due_line(flock: &Flock, f: &AnimalFile, today: Day) -> Option<DueLine> {
    let e = gestation::expected_of(f, today)?;
    let last = f.joinings.iter().filter(|j| j.struck.is_none() && j.from <= today).max_by_key(|j| j.from)?;
    let scan =
        f.scans.iter().filter(|s| s.struck.is_none() && s.on >= last.from).max_by_key(|s| (s.on, s.id));
    let mut rams = vec![e.ram];
    let others = f.joinings.iter().filter(|j| {
        j.struck.is_none() && j.from <= today && j.to.is_none_or(|t| t >= last.from) && j.ram != e.ram
    });
    rams.extend(others.map(|j| j.ram));
    let to = last.to.map_or("on".into(), |t| format!("to {}", t.short()));
    let why = format!("with {} from {} {to}", flock.tag(e.ram), last.from.short());
    Some(DueLine { ewe: f.animal.id, rams, window: e.window, why, scan: scan.cloned() })
}

/// Days between two heats at the least: the cycle is 17 days, 14 to 19 (New Mexico State University, Normal breeding
/// habits of sheep).
const CYCLE_LEAST: i64 = 14;

/// Marks of a ewe that came so long after the one before that she had not held: the day, and the days between.
pub(super) fn came_back(ewe: &AnimalFile) -> Vec<(Day, i64)> {
    let mut days: Vec<Day> = ewe.marks.iter().filter(|m| m.struck.is_none()).map(|m| m.on).collect();
    days.sort_unstable();
    let gaps = days.windows(2).map(|w| (w[1], w[1].since(w[0])));
    gaps.filter(|(_, gap)| (CYCLE_LEAST..=60).contains(gap)).collect()
}

/// What a mark says beside the one before it: `came back after 17 days`; nothing of a first mark.
pub fn return_words(ewe: &AnimalFile, mark: &MatingMark) -> Option<String> {
    let earlier = ewe.marks.iter().filter(|m| m.struck.is_none() && m.on < mark.on).map(|m| m.on).max()?;
    let gap = mark.on.since(earlier);
    match gap {
        ..CYCLE_LEAST => Some(format!("again after {}", counted(days(gap), "day"))),
        CYCLE_LEAST..=60 => Some(format!("came back after {gap} days")),
        _ => None,
    }
}
