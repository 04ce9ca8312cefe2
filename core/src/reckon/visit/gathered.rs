//! Gaps of treatments and moves brought together for paper: what is said alike of many doses of one batch, or of many
//! animals that left, stands once, with every animal by its day.

use super::{Gap, Question, Sort};
use crate::flock::{AnimalFile, Flock, Link, Movement, RecordRef, Treatment};
use crate::phrase;
use crate::terms::{Day, counted};

/// Gaps that say the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gathered {
    /// What stands before them.
    pub sort_words: &'static str,
    /// What they say, and of which animals.
    pub words: String,
    /// How many gaps they are.
    pub count: usize,
}

/// What the words of a treatment's gap begin with.
pub(super) fn named(f: &AnimalFile, t: &Treatment) -> String {
    format!("{}, {}, {}: ", f.animal.tag(), t.at.day.words(), t.product)
}

/// What the words of a move's gap begin with.
pub(super) fn named_move(f: &AnimalFile, m: &Movement) -> String {
    format!("{}, {}, ", f.animal.tag(), m.on.words())
}

/// Records that lack the same.
struct Group<'a> {
    sort: (Sort, bool),
    /// The product and its batch; nothing of moves.
    of: String,
    lacks: String,
    /// What is counted.
    unit: &'static str,
    /// The first of them, told as it is when it stays alone.
    first: &'a Gap,
    /// Tags by day; of what cannot be gathered none.
    days: Vec<(Day, Vec<&'a str>)>,
}

impl Group<'_> {
    fn count(&self) -> usize {
        self.days.iter().map(|(_, tags)| tags.len()).sum::<usize>().max(1)
    }

    fn words(&self) -> String {
        let n = self.count();
        if n == 1 {
            return self.first.words.clone();
        }
        // A day is not parted at the end of a line.
        let whole = |day: &Day| day.words().replace(' ', "\u{a0}");
        let days: Vec<String> =
            self.days.iter().map(|(day, tags)| format!("{}: {}", whole(day), tags.join(", "))).collect();
        format!("{}{}. {}: {}", self.of, self.lacks, counted(n, self.unit), days.join("; "))
    }
}

/// The record of an animal that a gap is about, taken apart.
struct Record<'a> {
    tag: &'a str,
    on: Day,
    of: String,
    lacks: String,
    unit: &'static str,
}

/// The treatment or move a gap is about.
fn record<'a>(flock: &'a Flock, gap: &Gap) -> Option<Record<'a>> {
    let Link::Record(animal, record) = gap.link else { return None };
    let f = flock.file(animal)?;
    let lacks = |named: String| Some(gap.words.strip_prefix(&named)?.to_owned());
    let tag = f.animal.tag();
    match record {
        RecordRef::Treatment(id) => {
            let t = f.treatments.iter().find(|t| t.id == id)?;
            let batch = t.batch.as_ref().map(|b| phrase!(", batch {}", b)).unwrap_or_default();
            let of = format!("{}{batch}: ", t.product);
            Some(Record { tag, on: t.at.day, of, lacks: lacks(named(f, t))?, unit: "treatment" })
        }
        RecordRef::Movement(id) => {
            let m = f.movements.iter().find(|m| m.id == id)?;
            Some(Record { tag, on: m.on, of: String::new(), lacks: lacks(named_move(f, m))?, unit: "animal" })
        }
        _ => None,
    }
}

/// The gaps of a question in their order, those of treatments that say the same of the same product and batch as one, and
/// those of moves that say the same.
pub fn gathered(flock: &Flock, question: &Question) -> Vec<Gathered> {
    let mut all: Vec<Group<'_>> = Vec::new();
    for gap in &question.gaps {
        let sort = (gap.sort, gap.asked);
        let Some(r) = record(flock, gap) else {
            let (of, lacks) = (String::new(), gap.words.clone());
            all.push(Group { sort, of, lacks, unit: "", first: gap, days: Vec::new() });
            continue;
        };
        let alike = |g: &&mut Group<'_>| {
            (g.sort, g.unit, &g.of, &g.lacks) == (sort, r.unit, &r.of, &r.lacks) && !g.days.is_empty()
        };
        match all.iter_mut().find(alike) {
            Some(group) => match group.days.iter_mut().find(|(day, _)| *day == r.on) {
                Some((_, tags)) => tags.push(r.tag),
                None => group.days.push((r.on, vec![r.tag])),
            },
            None => {
                let days = vec![(r.on, vec![r.tag])];
                all.push(Group { sort, of: r.of, lacks: r.lacks, unit: r.unit, first: gap, days });
            }
        }
    }
    let one =
        |g: &Group<'_>| Gathered { sort_words: g.first.sort_words(), words: g.words(), count: g.count() };
    all.iter().map(one).collect()
}
