//! The rows of the season: every animal in barn order, and those of them a filter keeps.

use super::counts::Counts;
use crate::flock::{AnimalFile, Flock};
use crate::reckon::due::{Board, State};
use crate::registers::held_of;
use crate::terms::{AnimalId, Day, Sex, Status, norm};
use rapidhash::RapidHashMap;
use serde::{Deserialize, Serialize};

/// Days for which an animal that left keeps its row.
const GONE_DAYS: i64 = 365;

/// A section of the rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Group {
    /// A pen or field.
    Pen(String),
    /// In the flock and in no pen.
    NoPen,
    /// Left, lent or died within the last year.
    Gone,
}

impl Group {
    /// Its heading.
    pub fn words(&self) -> &str {
        match self {
            Self::Pen(name) => name,
            Self::NoPen => "In no pen",
            Self::Gone => "Gone within the year",
        }
    }
}

/// Every animal of the season in barn order: by pen, then by tag.
#[derive(Debug, Clone, Default)]
pub struct Roll {
    /// The sections in order.
    pub groups: Vec<Group>,
    animals: Vec<(u32, AnimalId)>,
}

/// Which animals have a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
pub enum Which {
    /// All.
    #[default]
    All,
    /// Grown ewes.
    Ewes,
    /// Lambs.
    Lambs,
    /// Those with a job that is overdue.
    Overdue,
    /// Those under withdrawal.
    Held,
}

/// What keeps a row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// Which animals.
    pub which: Which,
    /// Only this pen.
    pub pen: Option<String>,
    /// Only tags or names that hold this.
    pub tag: String,
}

/// One row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Row {
    /// The head of a section: its place among the groups, and how many animals follow.
    Head(u32, u32),
    /// An animal.
    Animal(AnimalId),
}

/// The rows that a filter keeps, and what is counted over them.
#[derive(Debug, Clone)]
pub struct Picked {
    /// Heads and animals.
    pub rows: Vec<Row>,
    /// How many animals.
    pub animals: usize,
    /// Counts by day.
    pub counts: Counts,
    /// Jobs that are overdue, and on how many animals.
    pub overdue: (usize, usize),
    /// Jobs to be done today that are not overdue.
    pub due: usize,
    /// Animals under withdrawal.
    pub held: usize,
}

impl Roll {
    /// Sorts the flock; those that left longer ago than a year have no row, nor have ancestors outside.
    pub fn of(flock: &Flock, day: Day) -> Self {
        let mut pens: RapidHashMap<&str, String> = RapidHashMap::default();
        let mut all: Vec<((u8, String, String), &AnimalFile)> = Vec::new();
        for f in flock.files() {
            let a = &f.animal;
            let (place, pen) = match (a.status, &a.pen) {
                (Status::Present, Some(pen)) => {
                    (0, pens.entry(pen.as_str()).or_insert_with(|| sort_key(pen)).clone())
                }
                (Status::Present, None) => (1, String::new()),
                (Status::Outside, _) => continue,
                _ if a.status_on.is_some_and(|on| day.since(on) <= GONE_DAYS) => (2, String::new()),
                _ => continue,
            };
            all.push(((place, pen, sort_key(a.tag())), f));
        }
        all.sort_by(|(x, a), (y, b)| x.cmp(y).then_with(|| a.animal.id.cmp(&b.animal.id)));
        let mut roll = Self::default();
        for ((place, ..), f) in all {
            let group = match (place, &f.animal.pen) {
                (0, Some(pen)) => Group::Pen(pen.to_string()),
                (1, _) => Group::NoPen,
                _ => Group::Gone,
            };
            if roll.groups.last() != Some(&group) {
                roll.groups.push(group);
            }
            let at = u32::try_from(roll.groups.len().saturating_sub(1)).unwrap_or(u32::MAX);
            roll.animals.push((at, f.animal.id));
        }
        roll
    }

    /// The animals in order.
    pub fn animals(&self) -> impl Iterator<Item = AnimalId> {
        self.animals.iter().map(|(_, id)| *id)
    }

    /// Only these, in the same order.
    #[must_use]
    pub fn only(&self, these: &[AnimalId]) -> Self {
        let wanted: rapidhash::RapidHashSet<AnimalId> = these.iter().copied().collect();
        let animals = self.animals.iter().filter(|(_, id)| wanted.contains(id)).copied().collect();
        Self { groups: self.groups.clone(), animals }
    }

    /// The rows a filter keeps. Without a board no job is known.
    pub fn pick(&self, flock: &Flock, board: Option<&Board>, day: Day, filter: &Filter) -> Picked {
        let tag = norm(&filter.tag);
        let mut out = Picked {
            rows: Vec::new(),
            animals: 0,
            counts: Counts::new(day),
            overdue: (0, 0),
            due: 0,
            held: 0,
        };
        let mut head: Option<(u32, usize)> = None;
        for (group, id) in &self.animals {
            let Some(f) = flock.file(*id) else { continue };
            let jobs = board.map_or(&[][..], |b| b.of(*id));
            let overdue = jobs.iter().filter(|j| j.state == State::Overdue).count();
            let held = || held_of(flock, f, day).is_some();
            let kept =
                (match filter.which {
                    Which::All => true,
                    Which::Ewes => f.animal.sex == Sex::Ewe && !f.animal.is_lamb(day),
                    Which::Lambs => f.animal.is_lamb(day),
                    Which::Overdue => overdue > 0,
                    Which::Held => held(),
                }) && filter.pen.as_ref().is_none_or(
                    |p| matches!(self.groups.get(*group as usize), Some(Group::Pen(q)) if p == q),
                ) && (tag.is_empty() || named(f, &tag));
            if !kept {
                continue;
            }
            match head {
                Some((g, at)) if g == *group => {
                    if let Some(Row::Head(_, n)) = out.rows.get_mut(at) {
                        *n += 1;
                    }
                }
                _ => {
                    head = Some((*group, out.rows.len()));
                    out.rows.push(Row::Head(*group, 1));
                }
            }
            out.rows.push(Row::Animal(*id));
            out.animals += 1;
            out.counts.add(f, jobs);
            out.overdue.0 += overdue;
            out.overdue.1 += usize::from(overdue > 0);
            out.due += jobs.iter().filter(|j| j.state == State::Due).count();
            out.held += usize::from(held());
        }
        out
    }
}

fn named(f: &AnimalFile, wanted: &str) -> bool {
    f.animal.identities.iter().any(|i| i.tag.norm().contains(wanted))
        || f.animal.name.as_ref().is_some_and(|n| norm(n).contains(wanted))
}

/// A text whose plain order is [`crate::flock::natural`]'s: runs of figures begin with how many there are.
fn sort_key(text: &str) -> String {
    let mut key = String::with_capacity(text.len() + 6);
    let mut signs = text.chars().peekable();
    while let Some(c) = signs.next() {
        if !c.is_ascii_digit() {
            key.extend(c.to_lowercase());
            continue;
        }
        let (mut run, mut zeros) = (String::new(), 0u32);
        let mut next = Some(c);
        while let Some(d) = next {
            if d == '0' && run.is_empty() {
                zeros += 1
            } else {
                run.push(d)
            }
            next = signs.next_if(char::is_ascii_digit);
        }
        let length =
            |n: usize| char::from_u32(0x30 + u32::try_from(n).unwrap_or(0).min(0x4000)).unwrap_or('0');
        key.push('0');
        key.push(length(run.len()));
        key.push_str(&run);
        key.push(length(zeros as usize));
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::natural;

    #[test]
    fn the_key_sorts_as_people_sort_tags() {
        let tags =
            ["9", "10", "A2", "a10", "0412", "412", "b1", "12a", "12", "x", "R7", "R-7", "UK 0012", ""];
        for a in tags {
            for b in tags {
                assert_eq!(sort_key(a).cmp(&sort_key(b)), natural(a, b), "{a} {b}");
            }
        }
    }
}
