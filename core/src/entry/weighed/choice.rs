//! Decisions what an animal is kept for, and contemporary groups mended by hand.

use super::{WeighedRefused, WeighedUnusual};
use crate::entry::standing::{before_birth, names};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Animal, Decision, Flock, Grouping};
use crate::terms::{AnimalId, Day, Decided, DecisionId, GroupingId, MeantFor, Sex};
use std::collections::HashMap;

/// A decision as taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecisionDraft {
    /// The animal.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// What.
    pub what: Decided,
    /// Why.
    pub reason: Option<String>,
}

/// What an animal is meant for after a decision; none where the decision does not touch it.
fn meant(what: Decided) -> Option<MeantFor> {
    match what {
        Decided::Entire | Decided::Breed | Decided::Show | Decided::Stay => Some(MeantFor::Breeding),
        // Sold to breed from: a ram lamb must stay entire.
        Decided::Sell => Some(MeantFor::Breeding),
        Decided::Castrate | Decided::Market | Decided::Cull => Some(MeantFor::Market),
        Decided::Later => Some(MeantFor::Undecided),
    }
}

/// Checks decisions; rows of faults count the drafts. What the animals are meant for follows the last of them, and with
/// it their jobs.
///
/// # Errors
/// Every refusal with its row.
pub fn decisions(drafts: Vec<DecisionDraft>, flock: &Flock, today: Day) -> Check {
    checked(drafts, flock, today, false)
}

/// Checks decisions of the past, of animals as they were then: a wether may have been a ram.
///
/// # Errors
/// Every refusal with its row.
pub fn past_decisions(drafts: Vec<DecisionDraft>, flock: &Flock, today: Day) -> Check {
    checked(drafts, flock, today, true)
}

fn checked(drafts: Vec<DecisionDraft>, flock: &Flock, today: Day, is_past: bool) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut animals: Vec<Animal> = Vec::new();
    let mut last: HashMap<AnimalId, Day> = HashMap::new();
    for d in &drafts {
        let on = last.entry(d.animal).or_insert(d.on);
        *on = d.on.max(*on);
    }
    for (row, d) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let Some(a) = flock.animal(d.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        before_birth(&mut faults, Field::row("on", row), a, d.on);
        let was_ram = a.sex == Sex::Ram || (is_past && a.sex == Sex::Wether);
        if matches!(d.what, Decided::Entire | Decided::Castrate) && !was_ram {
            let is = format!("a {}", a.sex.words());
            let why = WeighedRefused::NotForThis { tag: a.tag().into(), is, what: d.what.words() };
            faults.refuse(Field::row("what", row), why.into());
        }
        if !a.status.is_here() {
            let what = WeighedUnusual::NotHere { tag: a.tag().into(), status: a.status.words() };
            faults.question(Field::row("tag", row), what.into());
        }
        // One written later may be of an earlier day: the last day holds.
        let later = last.get(&d.animal).is_some_and(|on| *on > d.on);
        let held = flock.file(a.id).and_then(|f| f.decided(today)).is_some_and(|h| h.on > d.on);
        if let Some(meant) = meant(d.what).filter(|_| !held && !later) {
            animals.retain(|o| o.id != a.id);
            if meant != a.meant_for {
                animals.push(Animal { meant_for: meant, ..a.clone() });
            }
        }
    }
    faults.or(|| {
        let ids: Vec<AnimalId> = drafts.iter().map(|d| d.animal).collect();
        let sentence = match drafts.split_first() {
            Some((first, rest)) if rest.iter().all(|d| d.what == first.what) => {
                format!("Decided on {}: {}", names(flock, &ids), first.what.words())
            }
            _ => format!("Decisions on {}", names(flock, &ids)),
        };
        let made = |d: DecisionDraft| Decision {
            id: DecisionId::new(),
            animal: d.animal,
            on: d.on,
            what: d.what,
            reason: words(&d.reason),
            struck: None,
        };
        let decisions = drafts.into_iter().map(made).collect();
        (Entry::Decisions { decisions, animals }, sentence)
    })
}

/// An animal put into a group by hand; without a name it goes back to the group of the rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GroupingDraft {
    /// The animal.
    pub animal: AnimalId,
    /// The age in days whose weights are meant.
    pub age_days: u16,
    /// The group; none: as by the rule.
    pub group: Option<String>,
}

/// Checks groups mended by hand; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn groupings(drafts: Vec<GroupingDraft>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let (mut put, mut drop): (Vec<Grouping>, Vec<GroupingId>) = (Vec::new(), Vec::new());
    for (row, d) in drafts.iter().enumerate() {
        let Some(f) = flock.file(d.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        let held: Vec<GroupingId> =
            f.groups.iter().filter(|g| g.age_days == d.age_days).map(|g| g.id).collect();
        match words(&d.group) {
            Some(group) => {
                let id = held.first().copied().unwrap_or_else(GroupingId::new);
                put.push(Grouping { id, animal: d.animal, age_days: d.age_days, group });
                drop.extend(held.into_iter().skip(1));
            }
            None if d.group.is_some() => {
                faults.refuse(Field::row("group", row), WeighedRefused::NoGroup.into());
            }
            None if held.is_empty() => faults.refuse(Field::row("group", row), Refused::NothingChanged),
            None => drop.extend(held),
        }
    }
    faults.or(|| {
        let ids: Vec<AnimalId> = drafts.iter().map(|d| d.animal).collect();
        (Entry::Groupings { put, drop }, format!("Group of {} by hand", names(flock, &ids)))
    })
}
