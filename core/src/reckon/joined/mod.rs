//! Joining groups: ewes that run with the same ram, or under one name, season by season; who of them is marked, who
//! came back, and where two rams ran with the same ewes.

mod lines;
mod tally;

use crate::phrase;
pub use lines::{DueLine, due_lines, return_words};
pub use tally::{ScanTally, tally};

use crate::entry::crayon_on;
use crate::flock::{AnimalFile, Flock, Joining, MatingMark, natural};
use crate::reckon::gestation;
use crate::terms::{AnimalId, Day, JoiningId, counted};
use std::collections::BTreeMap;

/// Ewes with their ram or rams in one season.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Its first joining: tells it from others as long as that one stands.
    pub key: JoiningId,
    /// The year its lambs are due, by the first day.
    pub season: i32,
    /// Its name, where it has one; else it is all that one ram ran with.
    pub name: Option<String>,
    /// Its rams, the first that came first.
    pub rams: Vec<AnimalId>,
    /// Its ewes, by tag.
    pub ewes: Vec<AnimalId>,
    /// Its joinings, each with its ewe.
    pub joinings: Vec<(AnimalId, JoiningId)>,
    /// First day.
    pub from: Day,
    /// Last day; none while a ram is still with one of the ewes.
    pub to: Option<Day>,
    /// Ewes that were marked or seen mated.
    pub marked: Vec<AnimalId>,
    /// Ewes that came back to the ram.
    pub back: Vec<AnimalId>,
    /// Where two rams ran with the same ewes.
    pub both: Vec<Overlap>,
}

impl Group {
    /// What it is called: its name, or its rams.
    pub fn title(&self, flock: &Flock) -> String {
        self.name.clone().unwrap_or_else(|| phrase!("Ewes of {}", self.rams_words(flock)))
    }

    /// Its rams in words: `R7, R9`.
    pub fn rams_words(&self, flock: &Flock) -> String {
        self.rams.iter().map(|r| flock.tag(*r)).collect::<Vec<_>>().join(", ")
    }

    /// A ram is with one of its ewes.
    pub fn runs(&self) -> bool {
        self.to.is_none()
    }

    /// Its rams that are with a ewe now.
    pub fn rams_now(&self, flock: &Flock) -> Vec<AnimalId> {
        let open = |ram: &AnimalId| self.standing(flock).any(|j| j.ram == *ram && j.to.is_none());
        self.rams.iter().copied().filter(open).collect()
    }

    /// Its joinings as they stand.
    pub fn standing<'a>(&'a self, flock: &'a Flock) -> impl Iterator<Item = &'a Joining> {
        self.joinings.iter().filter_map(|(ewe, id)| flock.file(*ewe)?.joinings.iter().find(|j| j.id == *id))
    }

    /// The crayons its rams wear: `R7 blue`; empty where none wears one.
    pub fn crayons(&self, flock: &Flock, on: Day) -> String {
        let rams = if self.runs() { self.rams_now(flock) } else { self.rams.clone() };
        let worn = |r: &AnimalId| flock.file(*r).and_then(|f| crayon_on(f, on));
        match rams.as_slice() {
            [one] => worn(one).unwrap_or_default().to_string(),
            many => many
                .iter()
                .filter_map(|r| worn(r).map(|c| format!("{} {c}", flock.tag(*r))))
                .collect::<Vec<_>>()
                .join(", "),
        }
    }
}

/// Days on which two rams were with the same ewes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overlap {
    /// The two, the first that came first.
    pub rams: [AnimalId; 2],
    /// The ewes.
    pub ewes: Vec<AnimalId>,
    /// First day of both.
    pub from: Day,
    /// Last day of both; none while both are with them.
    pub to: Option<Day>,
}

impl Overlap {
    /// In a sentence, with the days of birth that stay in doubt.
    pub fn words(&self, flock: &Flock) -> String {
        let ewes = match self.ewes.as_slice() {
            few if few.len() <= 3 => few.iter().map(|e| flock.tag(*e)).collect::<Vec<_>>().join(", "),
            many => counted(many.len(), "ewe"),
        };
        let [a, b] = self.rams.map(|r| flock.tag(r));
        let days = match self.to {
            Some(to) if to == self.from => phrase!("on {}", self.from.words()),
            Some(to) => phrase!("from {} to {}", self.from.words(), to.words()),
            None => phrase!("since {}", self.from.words()),
        };
        let early = self.from.plus(gestation::early()).words();
        let born = match self.to {
            Some(to) => phrase!("between {early} and {}", to.plus(gestation::late()).words()),
            None => phrase!("from {early} on"),
        };
        phrase!(
            "{a} and {b} are both with {ewes} {days}: lambs born {born} have two possible sires",
            a = &a,
            b = &b
        )
    }
}

/// Days two spans have in common.
fn common(a: (Day, Option<Day>), b: (Day, Option<Day>)) -> Option<(Day, Option<Day>)> {
    let from = a.0.max(b.0);
    let to = match (a.1, b.1) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (one, other) => one.or(other),
    };
    to.is_none_or(|t| from <= t).then_some((from, to))
}

/// Where a ram, put to these ewes from a day to another, would run beside other rams.
pub fn overlaps(flock: &Flock, ram: AnimalId, ewes: &[AnimalId], from: Day, to: Option<Day>) -> Vec<Overlap> {
    let mut all: Vec<Overlap> = Vec::new();
    for f in ewes.iter().filter_map(|e| flock.file(*e)) {
        for j in f.joinings.iter().filter(|j| j.struck.is_none() && j.ram != ram) {
            let Some((from, to)) = common((from, to), (j.from, j.to)) else { continue };
            add(&mut all, [j.ram, ram], f.animal.id, from, to);
        }
    }
    all
}

fn add(all: &mut Vec<Overlap>, rams: [AnimalId; 2], ewe: AnimalId, from: Day, to: Option<Day>) {
    match all.iter_mut().find(|o| o.rams == rams && o.from == from && o.to == to) {
        // Ewes come one after another.
        Some(o) if o.ewes.last() == Some(&ewe) => {}
        Some(o) => o.ewes.push(ewe),
        None => all.push(Overlap { rams, ewes: vec![ewe], from, to }),
    }
}

/// Marks and matings of a ewe that belong to a joining: by its ram or by one not known, up to the day after its end
/// (a mark is read in the morning).
pub fn marks_of<'a>(ewe: &'a AnimalFile, j: &'a Joining) -> impl Iterator<Item = &'a MatingMark> {
    ewe.marks.iter().filter(|m| {
        m.struck.is_none()
            && m.ram.is_none_or(|r| r == j.ram)
            && m.on >= j.from
            && j.to.is_none_or(|t| m.on <= t.plus(1))
    })
}

/// All groups: those that run first, then the newest season first, by name.
pub fn groups(flock: &Flock) -> Vec<Group> {
    let mut found: BTreeMap<(i32, String), Vec<(&AnimalFile, &Joining)>> = BTreeMap::new();
    for f in flock.files() {
        for j in f.joinings.iter().filter(|j| j.struck.is_none()) {
            let season = j.from.plus(gestation::usual()).year();
            // Names are told apart without regard to case; a nameless joining goes by its ram.
            let key = match &j.group {
                Some(name) => format!("n{}", name.trim().to_lowercase()),
                None => format!("r{}", j.ram.0),
            };
            found.entry((season, key)).or_default().push((f, j));
        }
    }
    let mut all: Vec<Group> =
        found.into_iter().filter_map(|((season, _), rows)| group(season, rows)).collect();
    all.sort_by(|a, b| {
        b.runs()
            .cmp(&a.runs())
            .then(b.season.cmp(&a.season))
            .then_with(|| natural(&a.title(flock), &b.title(flock)))
            .then(a.key.cmp(&b.key))
    });
    all
}

fn group(season: i32, mut rows: Vec<(&AnimalFile, &Joining)>) -> Option<Group> {
    rows.sort_by(|(a, ja), (b, jb)| {
        (ja.from, ja.id).cmp(&(jb.from, jb.id)).then_with(|| natural(a.animal.tag(), b.animal.tag()))
    });
    let first = rows.first()?.1;
    let mut rams: Vec<AnimalId> = Vec::new();
    for (_, j) in &rows {
        if !rams.contains(&j.ram) {
            rams.push(j.ram);
        }
    }
    let mut ewes: Vec<&AnimalFile> = rows.iter().map(|(f, _)| *f).collect();
    ewes.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    ewes.dedup_by_key(|f| f.animal.id);
    let to = rows.iter().try_fold(first.from, |last, (_, j)| j.to.map(|t| t.max(last)));
    let mut marked = Vec::new();
    let mut back = Vec::new();
    let mut of_ewe: BTreeMap<AnimalId, Vec<&Joining>> = BTreeMap::new();
    for (f, j) in &rows {
        of_ewe.entry(f.animal.id).or_default().push(j);
    }
    let mut both: Vec<Overlap> = Vec::new();
    for f in &ewes {
        let mine = of_ewe.get(&f.animal.id).map_or(&[][..], Vec::as_slice);
        for (i, a) in mine.iter().enumerate() {
            for b in mine.iter().skip(i + 1).filter(|b| b.ram != a.ram) {
                if let Some((from, to)) = common((a.from, a.to), (b.from, b.to)) {
                    add(&mut both, [a.ram, b.ram], f.animal.id, from, to);
                }
            }
        }
        if mine.iter().any(|j| marks_of(f, j).next().is_some()) {
            marked.push(f.animal.id);
        }
        let within = |on: Day| mine.iter().any(|j| on >= j.from && j.to.is_none_or(|t| on <= t.plus(1)));
        if lines::came_back(f).iter().any(|(on, _)| within(*on)) {
            back.push(f.animal.id);
        }
    }
    Some(Group {
        key: first.id,
        season,
        name: rows.iter().find_map(|(_, j)| j.group.clone()).map(Into::into),
        rams,
        ewes: ewes.iter().map(|f| f.animal.id).collect(),
        joinings: rows.iter().map(|(f, j)| (f.animal.id, j.id)).collect(),
        from: first.from,
        to,
        marked,
        back,
        both,
    })
}

/// A share as a percentage with one decimal, halves rounded up: a sixteenth is `6.3 %`.
pub fn percent(share: f64) -> String {
    format!("{:.1} %", (share * 1000.0).round() / 10.0)
}

#[cfg(test)]
mod tests;
