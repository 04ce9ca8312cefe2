//! Gaps of treatments brought together for paper: what is said alike of many doses of one batch stands once, with every
//! animal by its day.

use super::{Gap, Question, Sort};
use crate::flock::{AnimalFile, Flock, Link, RecordRef, Treatment};
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

/// Doses of one product and batch that lack the same.
struct Group<'a> {
    sort: (Sort, bool),
    product: &'a str,
    batch: Option<&'a str>,
    lacks: String,
    /// The first of them, told as it is when it stays alone.
    first: &'a Gap,
    /// Tags by day; of what is no treatment none.
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
        let batch = self.batch.map(|b| phrase!(", batch {}", &b)).unwrap_or_default();
        // A day is not parted at the end of a line.
        let whole = |day: &Day| day.words().replace(' ', "\u{a0}");
        let days: Vec<String> =
            self.days.iter().map(|(day, tags)| format!("{}: {}", whole(day), tags.join(", "))).collect();
        let what = format!("{}{batch}: {}", self.product, self.lacks);
        format!("{what}. {}: {}", counted(n, "treatment"), days.join("; "))
    }
}

/// The treatment a gap is about.
fn treatment<'a>(flock: &'a Flock, gap: &Gap) -> Option<(&'a AnimalFile, &'a Treatment)> {
    let Link::Record(animal, RecordRef::Treatment(id)) = gap.link else { return None };
    let file = flock.file(animal)?;
    Some((file, file.treatments.iter().find(|t| t.id == id)?))
}

/// The gaps of a question in their order, those of treatments that say the same of the same product and batch as one.
pub fn gathered(flock: &Flock, question: &Question) -> Vec<Gathered> {
    let mut all: Vec<Group<'_>> = Vec::new();
    for gap in &question.gaps {
        let sort = (gap.sort, gap.asked);
        let found = treatment(flock, gap).and_then(|(f, t)| {
            let lacks = gap.words.strip_prefix(&named(f, t))?;
            Some((f, t, lacks.to_owned()))
        });
        let Some((f, t, lacks)) = found else {
            let lacks = gap.words.clone();
            all.push(Group { sort, product: "", batch: None, lacks, first: gap, days: Vec::new() });
            continue;
        };
        let (product, batch) = (t.product.as_str(), t.batch.as_deref());
        let alike = |g: &&mut Group<'_>| {
            g.sort == sort && g.product == product && g.batch == batch && g.lacks == lacks
        };
        match all.iter_mut().find(alike) {
            Some(group) => match group.days.iter_mut().find(|(day, _)| *day == t.at.day) {
                Some((_, tags)) => tags.push(f.animal.tag()),
                None => group.days.push((t.at.day, vec![f.animal.tag()])),
            },
            None => {
                let days = vec![(t.at.day, vec![f.animal.tag()])];
                all.push(Group { sort, product, batch, lacks, first: gap, days });
            }
        }
    }
    let one =
        |g: &Group<'_>| Gathered { sort_words: g.first.sort_words(), words: g.words(), count: g.count() };
    all.iter().map(one).collect()
}
