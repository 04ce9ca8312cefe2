//! Who is to be weighed: a kind of animals, a pen or field, or anyone.

use crate::flock::{AnimalFile, Flock, natural};
use crate::terms::{AnimalId, Day, Sex};

/// Who is to be weighed, as it is written into the session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Group {
    /// Whoever comes: nobody is missed.
    Anyone,
    /// Lambs of the newest season.
    Lambs,
    /// Ram lambs of the newest season.
    RamLambs,
    /// Ewe lambs of the newest season.
    EweLambs,
    /// Wether lambs of the newest season.
    WetherLambs,
    /// Ewes of a year and more.
    Ewes,
    /// Rams of a year and more.
    Rams,
    /// Everyone in a pen or field now.
    Pen(String),
    /// A word of the keeper's that names no pen: nobody is known to be missing.
    Named(String),
}

/// Kinds of animals in the order shown.
const KINDS: [(Group, &str); 7] = [
    (Group::Lambs, "all lambs of this season"),
    (Group::RamLambs, "ram lambs"),
    (Group::EweLambs, "ewe lambs"),
    (Group::WetherLambs, "wether lambs"),
    (Group::Ewes, "ewes"),
    (Group::Rams, "rams"),
    (Group::Anyone, "anyone"),
];

/// Lambs born within so many days before the youngest are of its season (common practice, no source).
const SEASON_DAYS: i64 = 150;
/// A lamb is no lamb any more after so many days.
const YEAR: i64 = 365;

impl Group {
    /// Kinds of animals, as words.
    pub fn kinds() -> impl Iterator<Item = &'static str> {
        KINDS.iter().map(|(_, words)| *words)
    }

    /// What a text means: a kind, a pen that holds an animal, else a word of the keeper's; nothing is anyone.
    pub fn read(flock: &Flock, text: &str) -> Self {
        let low = text.trim().to_lowercase();
        if low.is_empty() {
            return Self::Anyone;
        }
        let alias = |low: &str| match low {
            "lambs" | "all lambs" => Some(Self::Lambs),
            "everyone" | "all" => Some(Self::Anyone),
            _ => None,
        };
        let kind = KINDS.iter().find(|(_, words)| *words == low).map(|(g, _)| g.clone());
        if let Some(kind) = kind.or_else(|| alias(&low)) {
            return kind;
        }
        let pen = flock.present().find_map(|f| f.animal.pen.as_ref().filter(|p| p.to_lowercase() == low));
        match pen {
            Some(pen) => Self::Pen(pen.to_string()),
            None => Self::Named(text.trim().to_string()),
        }
    }

    /// As it is written into the session; nothing for anyone.
    pub fn text(&self) -> Option<String> {
        match self {
            Self::Anyone => None,
            Self::Pen(name) | Self::Named(name) => Some(name.clone()),
            kind => KINDS.iter().find(|(g, _)| g == kind).map(|(_, words)| (*words).to_string()),
        }
    }

    /// As people read it.
    pub fn words(&self) -> String {
        self.text().unwrap_or_else(|| "anyone".into())
    }

    /// Whether it is known who belongs to it.
    pub fn is_known(&self) -> bool {
        !matches!(self, Self::Anyone | Self::Named(_))
    }

    /// Who belongs to it on a day, by tag: animals of the flock born by then.
    pub fn members(&self, flock: &Flock, on: Day) -> Vec<AnimalId> {
        if !self.is_known() {
            return Vec::new();
        }
        let born = |f: &&AnimalFile| f.animal.born.day().is_none_or(|b| b <= on);
        if let Self::Pen(name) = self {
            let there = flock.in_pen(name).into_iter();
            return there.filter(|id| flock.file(*id).as_ref().is_some_and(born)).collect();
        }
        let season = Season::of(flock, on);
        let is = |f: &AnimalFile| season.kind(f) == Some(self) || (*self == Self::Lambs && season.has(f));
        let mut all: Vec<&AnimalFile> = flock.present().filter(born).filter(|f| is(f)).collect();
        all.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
        all.into_iter().map(|f| f.animal.id).collect()
    }
}

/// The lambs of the newest season on a day.
struct Season {
    on: Day,
    newest: Option<Day>,
}

impl Season {
    fn of(flock: &Flock, on: Day) -> Self {
        let born = flock.present().filter_map(|f| f.animal.born.day()).filter(|b| *b <= on);
        Self { on, newest: born.max() }
    }

    fn has(&self, f: &AnimalFile) -> bool {
        match (f.animal.born.day(), self.newest) {
            (Some(b), Some(newest)) => self.on.since(b) < YEAR && newest.since(b) < SEASON_DAYS,
            _ => false,
        }
    }

    /// The kind of an animal; none of a lamb of another season.
    fn kind(&self, f: &AnimalFile) -> Option<&'static Group> {
        let lamb = f.animal.age_days(self.on).is_some_and(|d| d < YEAR);
        Some(match (self.has(f), lamb, f.animal.sex) {
            (true, _, Sex::Ram) => &Group::RamLambs,
            (true, _, Sex::Ewe) => &Group::EweLambs,
            (true, _, Sex::Wether) => &Group::WetherLambs,
            (false, false, Sex::Ewe) => &Group::Ewes,
            (false, false, Sex::Ram) => &Group::Rams,
            _ => return None,
        })
    }
}

/// Groups to choose from: kinds that have animals on a day with how many, then pens with how many.
pub fn due_for_session(flock: &Flock, on: Day) -> Vec<(String, usize)> {
    let season = Season::of(flock, on);
    let mut counts = [0usize; KINDS.len()];
    let mut count = |group: &Group| {
        if let Some(at) = KINDS.iter().position(|(g, _)| g == group) {
            counts[at] += 1;
        }
    };
    for f in flock.present().filter(|f| f.animal.born.day().is_none_or(|b| b <= on)) {
        season.kind(f).into_iter().for_each(&mut count);
        if season.has(f) {
            count(&Group::Lambs);
        }
        count(&Group::Anyone);
    }
    let kinds = KINDS.iter().zip(counts).filter(|((g, _), n)| *n > 0 && g.is_known());
    let kinds = kinds.map(|((_, words), n)| ((*words).to_string(), n));
    let pens = flock.pens().into_iter().map(|(pen, animals)| (pen, animals.len()));
    let mut all: Vec<(String, usize)> = kinds.chain(pens).collect();
    all.push(("anyone".into(), counts[KINDS.len() - 1]));
    all
}
