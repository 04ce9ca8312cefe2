//! The day a ewe was served, as well as it is known: a mating seen, a mark, the age at scanning, the time with the ram.

use super::breeding::Breeding;
use super::{DueWindow, Length};
use crate::flock::{AnimalFile, Crayon, Flock, Joining, MatingMark};
use crate::handbook::tupping;
use crate::phrase;
use crate::terms::{AnimalId, Day, MarkKind, counted};
use rapidhash::RapidHashMap;

/// What tells of a service, in order of trust.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// The mating was watched.
    Seen,
    /// Served by hand or inseminated, on the one day of that joining; how, where it is written.
    Hand(Option<String>),
    /// A crayon mark.
    Crayon {
        /// The day it was seen.
        on: Day,
        /// Its colour.
        colour: Option<String>,
    },
    /// The age of the lambs at scanning.
    Scan {
        /// The day of the scan.
        on: Day,
        /// Days since service, as the scanner put it.
        age: u16,
    },
    /// The time with the ram.
    Joined,
}

impl Evidence {
    /// 0 is the most trusted: a day that is known, a mark, a scan, the time with the ram.
    pub fn trust(&self) -> u8 {
        match self {
            Self::Seen | Self::Hand(_) => 0,
            Self::Crayon { .. } => 1,
            Self::Scan { .. } => 2,
            Self::Joined => 3,
        }
    }
}

/// A service: its day or the days between which it lies, and the ram.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Service {
    /// The ewe.
    pub ewe: AnimalId,
    /// First day it can have been.
    pub from: Day,
    /// Last day it can have been; none while the ram is still with her.
    pub to: Option<Day>,
    /// The day the usual day of lambing is counted from.
    pub day: Day,
    /// The ram; several where more than one may have served her, none where it is not known.
    pub rams: Vec<AnimalId>,
    /// What tells of it.
    pub by: Evidence,
}

impl Service {
    /// The day, where it is known to the day.
    pub fn on(&self) -> Option<Day> {
        (self.to == Some(self.from)).then_some(self.from)
    }

    /// When she may lamb to it.
    pub fn window(&self, length: &Length) -> DueWindow {
        DueWindow {
            early: self.from.plus(length.early),
            due: self.day.plus(length.usual),
            late: self.to.map(|t| t.plus(length.late)),
        }
    }

    /// The evidence as a sentence without its full stop: `Marked red on 20 Nov 2025, so served 18 Nov to 20 Nov 2025,
    /// by R1 or R7`.
    pub fn words(&self, flock: &Flock) -> String {
        let by = match rams_words(flock, &self.rams) {
            Some(rams) => phrase!(", by {rams}"),
            None => String::new(),
        };
        let to = self.to.unwrap_or(self.from);
        let days =
            if to == self.from { String::new() } else { phrase!("{} to {}", self.from.short(), to.words()) };
        match &self.by {
            Evidence::Seen => phrase!("Mating seen on {}{by}", self.day.words()),
            Evidence::Hand(Some(how)) => phrase!("Served on {} ({how}){by}", self.day.words()),
            Evidence::Hand(None) => phrase!("Served on {}{by}", self.day.words()),
            Evidence::Crayon { on, colour } => {
                let colour = colour.as_ref().map(|c| format!(" {c}")).unwrap_or_default();
                let marked = phrase!("Marked{colour} on {}", on.words());
                match days.as_str() {
                    "" if to == *on => format!("{marked}{by}"),
                    "" => phrase!("{marked}, so served on {}{by}", to.words()),
                    days => phrase!("{marked}, so served {days}{by}", days = &days),
                }
            }
            Evidence::Scan { on, age } => {
                let age = counted(usize::from(*age), "day");
                let days = if days.is_empty() { phrase!("on {}", to.words()) } else { days };
                phrase!("By the scan of {} at {age} served {days}{by}", on.words())
            }
            Evidence::Joined => {
                let with = rams_words(flock, &self.rams).unwrap_or_else(|| phrase!("a ram"));
                match self.to {
                    Some(to) => phrase!("With {with} from {} to {}", self.from.words(), to.words()),
                    None => phrase!("With {with} since {}", self.from.words()),
                }
            }
        }
    }
}

/// `R1`, `R1 or R7`; none where no ram is known.
pub fn rams_words(flock: &Flock, rams: &[AnimalId]) -> Option<String> {
    let tags: Vec<&str> = rams.iter().map(|r| flock.tag(*r)).collect();
    match tags.as_slice() {
        [] => None,
        [one] => Some((*one).to_string()),
        [first @ .., last] => Some(phrase!("{} or {last}", first.join(", "))),
    }
}

/// A ewe that was served again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// The service that did not hold.
    pub before: Service,
    /// The day of the next.
    pub on: Day,
    /// One or two cycles after it; none where the days are no whole cycles.
    pub cycles: Option<u8>,
}

impl Again {
    /// Days from one to the other.
    pub fn days(&self) -> i64 {
        self.on.since(self.before.day)
    }
}

/// Days on which the ewes of a ram were looked at: one of them was marked then, or his crayon was changed.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub(crate) struct Looks(RapidHashMap<AnimalId, Vec<Day>>);

impl Looks {
    /// What one animal's file tells: of a ram's crayons, of a ewe's marks.
    pub fn told(f: &AnimalFile) -> impl Iterator<Item = (AnimalId, Day)> {
        let crayons = f.crayons.iter().filter(|c| c.struck.is_none()).map(|c| (c.ram, c.on));
        let marks = f.marks.iter().filter(|m| m.struck.is_none());
        crayons.chain(marks.flat_map(|m| about(f, m).into_iter().map(|ram| (ram, m.on))))
    }

    /// Of what all files tell.
    pub fn of<'a>(told: impl Iterator<Item = &'a (AnimalId, Day)>) -> Self {
        let mut all: RapidHashMap<AnimalId, Vec<Day>> = RapidHashMap::default();
        told.for_each(|(ram, on)| all.entry(*ram).or_default().push(*on));
        for days in all.values_mut() {
            days.sort_unstable();
            days.dedup();
        }
        Self(all)
    }

    /// The last look before a day.
    fn before(&self, ram: AnimalId, day: Day) -> Option<Day> {
        let days = self.0.get(&ram)?;
        days[..days.partition_point(|d| *d < day)].last().copied()
    }

    /// The rams whose days differ.
    pub fn differ<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = AnimalId> + 'a {
        self.0.keys().chain(other.0.keys()).copied().filter(|r| self.0.get(r) != other.0.get(r))
    }
}

fn standing(ewe: &AnimalFile) -> impl Iterator<Item = &Joining> {
    ewe.joinings.iter().filter(|j| j.struck.is_none())
}

fn covers(j: &Joining, from: Day, to: Day) -> bool {
    j.from <= to && j.to.is_none_or(|t| t >= from)
}

/// The ram a mark names and those that were with her then.
fn about(ewe: &AnimalFile, m: &MatingMark) -> Vec<AnimalId> {
    let with = standing(ewe).filter(|j| covers(j, m.on, m.on)).map(|j| j.ram);
    let mut all: Vec<AnimalId> = m.ram.into_iter().chain(with).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Rams with her on one of these days, in order of joining.
fn with(ewe: &AnimalFile, from: Day, to: Day) -> Vec<AnimalId> {
    let mut joinings: Vec<&Joining> = standing(ewe).filter(|j| covers(j, from, to)).collect();
    joinings.sort_by_key(|j| (j.from, j.id));
    distinct(joinings.into_iter().map(|j| j.ram))
}

fn distinct(rams: impl Iterator<Item = AnimalId>) -> Vec<AnimalId> {
    let mut all = Vec::new();
    for ram in rams {
        if !all.contains(&ram) {
            all.push(ram);
        }
    }
    all
}

/// The service a mark tells of. A mating seen is of its day. A mark was made since the ewes of that ram were last looked
/// at, since she was put to him, and no more than a cycle ago; where it bears a colour he no longer wore, it was made
/// before the change.
pub(super) fn of_mark(flock: &Flock, ewe: &AnimalFile, m: &MatingMark, looks: &Looks) -> Service {
    let service = |from: Day, to: Day, by| {
        let rams = m.ram.map_or_else(|| with(ewe, from, to), |r| vec![r]);
        Service { ewe: ewe.animal.id, from, to: Some(to), day: to, rams, by }
    };
    if m.kind == MarkKind::Seen {
        return service(m.on, m.on, Evidence::Seen);
    }
    let by = Evidence::Crayon { on: m.on, colour: m.colour.as_deref().map(String::from) };
    let rams = about(ewe, m);
    let worn = m.colour.as_ref().and_then(|c| colours(flock, &rams, m.on, c));
    // Seen after he changed to another colour: it was made before that.
    let to = worn.and_then(|(_, until)| until).unwrap_or(m.on);
    let joined = standing(ewe).filter(|j| m.ram.is_none_or(|r| j.ram == r));
    let (mut since, mut left) = (None, None);
    for j in joined {
        if covers(j, to, to) {
            since = Some(since.map_or(j.from, |s: Day| s.min(j.from)));
        } else if j.to.is_some_and(|t| t < to) {
            left = left.max(j.to);
        }
    }
    let cycle = to.plus(1 - tupping::cycle_days());
    // A mark seen soon after the ram left is his.
    let to = left.filter(|l| since.is_none() && *l >= cycle).unwrap_or(to);
    let looked = rams.iter().filter_map(|r| looks.before(*r, to)).filter(|_| to == m.on).max();
    let coloured = worn.map(|(from, _)| from);
    let from = [Some(cycle), since, looked, coloured].into_iter().flatten().max().unwrap_or(to).min(to);
    service(from, to, by)
}

/// Since when one of these rams wore a crayon of a colour by a day, and until when if he wears another by then.
fn colours(flock: &Flock, rams: &[AnimalId], day: Day, colour: &str) -> Option<(Day, Option<Day>)> {
    let of = |ram: &AnimalId| {
        let mut all: Vec<&Crayon> =
            flock.file(*ram)?.crayons.iter().filter(|c| c.struck.is_none() && c.on <= day).collect();
        all.sort_by_key(|c| (c.on, c.id));
        let at = all.iter().rposition(|c| c.colour.trim().to_lowercase() == colour.trim().to_lowercase())?;
        Some((all[at].on, all.get(at + 1).map(|c| c.on)))
    };
    // One who wears it still comes before one who wore it.
    rams.iter().filter_map(of).max_by_key(|(from, until)| (until.is_none(), *until, *from))
}

/// A joining of one day.
pub(super) fn of_hand(ewe: &AnimalFile, j: &Joining) -> Option<Service> {
    let by = Evidence::Hand(j.method.as_deref().map(String::from));
    let hand = Service { ewe: ewe.animal.id, from: j.from, to: j.to, day: j.from, rams: vec![j.ram], by };
    (j.to == Some(j.from)).then_some(hand)
}

/// The service a breeding comes to, what came before it, and what speaks against it.
#[derive(Debug)]
pub(super) struct Found {
    pub service: Service,
    pub again: Vec<Again>,
    /// The age at scanning tells of another day.
    pub other: Option<Day>,
}

pub(super) fn found(flock: &Flock, ewe: &AnimalFile, b: &Breeding<'_>, looks: &Looks) -> Found {
    let marks = b.marks.iter().map(|m| of_mark(flock, ewe, m, looks));
    let hands = b.joinings.iter().filter_map(|j| of_hand(ewe, j));
    let mut known: Vec<Service> = marks.chain(hands).collect();
    known.sort_by_key(|s| (s.day, s.by.trust()));
    let mut kept: Vec<Service> = Vec::new();
    let mut again: Vec<Again> = Vec::new();
    for s in &known {
        let Some(last) = kept.last_mut() else {
            kept.push(s.clone());
            continue;
        };
        let days = s.day.since(last.day);
        if days >= tupping::cycle_early_days() {
            again.push(Again { before: last.clone(), on: s.day, cycles: cycles(days) });
            kept.push(s.clone());
        } else if s.by.trust() < last.by.trust() || (s.by.trust() == 0 && days > HEAT_DAYS) {
            // Within a cycle the better evidence counts; a ewe that stands again later has come back early.
            *last = s.clone();
        }
    }
    let aged: Vec<(Day, u16)> = b.scans.iter().rev().filter_map(|s| Some((s.on, s.age_days?))).collect();
    let day_of = |(on, age): &(Day, u16)| on.plus(-i64::from(*age));
    let served = aged.first().map(day_of);
    let held = kept.iter().rposition(|s| served.is_none_or(|d| agrees(s, d)));
    if let Some(last) = kept.len().checked_sub(1) {
        // Lambs of an age that fits an earlier service are of that one.
        let at = held.unwrap_or(last);
        again.truncate(at);
        let other = served.filter(|_| held.is_none());
        let mut service = kept.swap_remove(at);
        aged.iter().for_each(|s| narrow(&mut service, day_of(s)));
        return Found { service, again, other };
    }
    let joined = joined(ewe, b);
    let Some(((on, age), served)) = aged.first().copied().zip(served) else {
        return Found { service: joined, again, other: None };
    };
    let error = tupping::scan_error_days();
    let (from, to) = (served.plus(-error), served.plus(error));
    let (inside, until) = (from.max(joined.from), joined.to.map_or(to, |t| t.min(to)));
    // An age that no joining explains stands by itself.
    let (from, to) = if inside <= until { (inside, until) } else { (from, to) };
    let (ewe_id, by) = (ewe.animal.id, Evidence::Scan { on, age });
    let mut service =
        Service { ewe: ewe_id, from, to: Some(to), day: served.max(from).min(to), rams: joined.rams, by };
    aged.iter().for_each(|s| narrow(&mut service, day_of(s)));
    let there = with(ewe, service.from, service.to.unwrap_or(to));
    if !there.is_empty() {
        service.rams = there;
    }
    Found { service, again, other: None }
}

/// Whether the day told by an age at scanning is that of a service, as well as both are known.
fn agrees(s: &Service, scanned: Day) -> bool {
    let error = tupping::scan_error_days();
    scanned >= s.from.plus(-error) && s.to.is_none_or(|to| scanned <= to.plus(error))
}

/// What both a service and an age at scanning allow, where they agree.
fn narrow(s: &mut Service, scanned: Day) {
    if agrees(s, scanned) {
        let error = tupping::scan_error_days();
        let to = scanned.plus(error);
        let to = s.to.map_or(to, |t| t.min(to));
        s.from = s.from.max(scanned.plus(-error));
        (s.to, s.day) = (Some(to), s.day.max(s.from).min(to));
    }
}

/// A ewe in heat stands for two days at the most.
const HEAT_DAYS: i64 = 2;

/// One or two cycles.
fn cycles(days: i64) -> Option<u8> {
    let (early, late) = (tupping::cycle_early_days(), tupping::cycle_late_days());
    (1..=2).find(|n| (early * n..=late * n).contains(&days)).and_then(|n| u8::try_from(n).ok())
}

/// The whole time with rams.
fn joined(ewe: &AnimalFile, b: &Breeding<'_>) -> Service {
    let open = b.joinings.iter().any(|j| j.to.is_none());
    let to = b.joinings.iter().filter_map(|j| j.to).max();
    let to = if open { None } else { Some(to.unwrap_or(b.last).max(b.first)) };
    let rams = distinct(b.joinings.iter().map(|j| j.ram));
    Service { ewe: ewe.animal.id, from: b.first, to, day: b.first, rams, by: Evidence::Joined }
}
