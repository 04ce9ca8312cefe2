//! The map of the shed: every pen where the keeper laid it out, or where it falls by itself, with who stands in it, since
//! when, and what is due there.

mod lay;
mod words;

use super::due::{Board, Job, State};
use super::gestation::expected;
use crate::flock::{AnimalFile, Flock, PenPlace, PenSort, natural, pen_key};
use crate::phrase;
use crate::plan::DoneBy;
use crate::registers::held_of;
use crate::terms::{AnimalId, Day, Minute, Moment, Place, Sex};
use rapidhash::{RapidHashMap, RapidHashSet};

/// A pen that was emptied stays on the map for so many days (a choice of ours, no source).
const EMPTY_DAYS: i64 = 30;
/// Ewes that may lamb within so many days are said to be due (common practice, no source).
const LAMBS_SOON: i64 = 10;
/// Lambs younger than so many days have their age on the map.
const YOUNG_DAYS: i64 = 14;
/// Up to so many hours a lamb's age is said in hours, where the time of its birth is known.
const HOURS: i64 = 72;

/// A ewe with the lambs she rears in the same pen, or an animal by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Family {
    /// The ewe, or the animal.
    pub head: AnimalId,
    /// Its lambs in the same pen, by tag.
    pub young: Vec<AnimalId>,
    /// In this pen since; none where it came into the book with its pen.
    pub since: Option<Day>,
    /// Age of the youngest lamb of the family while it is a few days old: `31 h`, `3 days`.
    pub age: Option<String>,
    /// A ewe that may lamb within ten days, or is past her day: her due day.
    pub lambs_on: Option<Day>,
    /// Jobs that are due or overdue, of head and lambs.
    pub jobs: usize,
    /// Those that are overdue.
    pub overdue: usize,
    /// How many of them are under withdrawal.
    pub held: usize,
}

impl Family {
    /// Head and lambs.
    pub fn all(&self) -> impl Iterator<Item = AnimalId> + '_ {
        std::iter::once(self.head).chain(self.young.iter().copied())
    }
}

/// How many animals of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Heads {
    /// Ewes a year old or more.
    pub ewes: usize,
    /// Rams likewise.
    pub rams: usize,
    /// Wethers likewise.
    pub wethers: usize,
    /// Lambs.
    pub lambs: usize,
}

impl Heads {
    /// All together.
    pub fn all(self) -> usize {
        self.ewes + self.rams + self.wethers + self.lambs
    }
}

/// A pen on the map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pen {
    /// Its name.
    pub name: String,
    /// Where it is drawn.
    pub at: Place,
    /// In the shed or outside.
    pub sort: PenSort,
    /// The keeper laid it out; else it falls where there is room.
    pub laid: bool,
    /// The first pen it lies over: two copies of the book laid both out in the same place.
    pub over: Option<String>,
    /// Who is in it, by tag.
    pub families: Vec<Family>,
    /// How many.
    pub heads: Heads,
    /// The day since which the one that is there longest has been there.
    pub since: Option<Day>,
    /// Jobs that are due or overdue.
    pub jobs: usize,
    /// Those that are overdue.
    pub overdue: usize,
    /// How many animals are under withdrawal.
    pub held: usize,
}

impl Pen {
    /// Every animal in it.
    pub fn animals(&self) -> impl Iterator<Item = AnimalId> + '_ {
        self.families.iter().flat_map(Family::all)
    }

    /// Nobody is in it.
    pub fn is_empty(&self) -> bool {
        self.families.is_empty()
    }

    /// How the keeper's own book would have it.
    pub fn as_laid(&self) -> PenPlace {
        PenPlace { pen: self.name.clone(), at: self.at, sort: self.sort }
    }
}

/// The map.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PenMap {
    /// Every pen, in barn order.
    pub pens: Vec<Pen>,
    /// Animals of the flock that are in no pen, by tag.
    pub loose: Vec<Family>,
    /// Steps of the grid that the map is wide and deep.
    pub size: (u16, u16),
}

impl PenMap {
    /// The map as of today. Without a board no job is counted; `now` is what hours are counted to, where it is known.
    pub fn of(flock: &Flock, board: Option<&Board>, today: Day, now: Option<Minute>) -> Self {
        let mut by_pen: RapidHashMap<String, (String, Vec<&AnimalFile>)> = RapidHashMap::default();
        let mut loose = Vec::new();
        for f in flock.present() {
            match &f.animal.pen {
                Some(pen) => {
                    by_pen.entry(pen_key(pen)).or_insert_with(|| (pen.to_string(), Vec::new())).1.push(f)
                }
                None => loose.push(f),
            }
        }
        let mut known: RapidHashMap<String, String> =
            by_pen.iter().map(|(key, (name, _))| (key.clone(), name.clone())).collect();
        let off: RapidHashSet<String> =
            flock.pen_places().iter().filter(|p| p.sort == PenSort::Off).map(|p| pen_key(&p.pen)).collect();
        for f in flock.present() {
            let late = f.pen_moves.iter().filter(|m| m.struck.is_none() && m.on >= today.plus(-EMPTY_DAYS));
            for pen in late.filter_map(|m| m.pen.as_ref()) {
                let key = pen_key(pen);
                if !known.contains_key(&key) && !off.contains(&key) {
                    known.insert(key, pen.to_string());
                }
            }
        }
        let laid: RapidHashMap<String, &PenPlace> =
            flock.pen_places().iter().map(|p| (pen_key(&p.pen), p)).collect();
        for (key, p) in laid.iter().filter(|(_, p)| p.sort != PenSort::Off) {
            known.insert(key.clone(), p.pen.clone());
        }
        let soon: RapidHashMap<AnimalId, Day> = expected(flock, today)
            .into_iter()
            .filter(|e| e.window.early <= today.plus(LAMBS_SOON))
            .map(|e| (e.ewe, e.window.due))
            .collect();
        let look = Look { flock, board, today, now, soon };
        let mut pens: Vec<Pen> = known
            .into_iter()
            .map(|(key, name)| {
                let there = by_pen.remove(&key).map(|(_, files)| files).unwrap_or_default();
                look.pen(name, there, laid.get(&key).copied())
            })
            .collect();
        pens.sort_by(|a, b| natural(&a.name, &b.name).then_with(|| a.name.cmp(&b.name)));
        lay::lay(&mut pens);
        let size = lay::size(&pens);
        Self { pens, loose: look.families(loose, ""), size }
    }

    /// The pen of this name, whatever the capitals.
    pub fn by_name(&self, name: &str) -> Option<usize> {
        let key = pen_key(name);
        self.pens.iter().position(|p| pen_key(&p.name) == key)
    }

    /// The pen that an animal is in.
    pub fn with(&self, animal: AnimalId) -> Option<usize> {
        self.pens.iter().position(|p| p.animals().any(|a| a == animal))
    }

    /// Where a new pen of a single ewe finds room: the first free place of the shed, row by row, else below everything.
    pub fn room_for(pens: &[Pen], size: (u16, u16)) -> Place {
        lay::free(pens, size)
    }
}

/// What pens are looked at with.
struct Look<'a> {
    flock: &'a Flock,
    board: Option<&'a Board>,
    today: Day,
    now: Option<Minute>,
    soon: RapidHashMap<AnimalId, Day>,
}

impl Look<'_> {
    fn pen(&self, name: String, there: Vec<&AnimalFile>, laid: Option<&PenPlace>) -> Pen {
        let mut heads = Heads::default();
        for f in &there {
            let of = match f.animal.sex {
                _ if f.animal.is_lamb(self.today) => &mut heads.lambs,
                Sex::Ewe => &mut heads.ewes,
                Sex::Ram => &mut heads.rams,
                Sex::Wether => &mut heads.wethers,
            };
            *of += 1;
        }
        let families = self.families(there, &name);
        let sort = match laid.map(|p| p.sort) {
            Some(PenSort::Off) | None => lay::guess(&name),
            Some(sort) => sort,
        };
        Pen {
            at: laid.map(|p| p.at).unwrap_or_default(),
            sort,
            laid: laid.is_some_and(|p| p.sort != PenSort::Off),
            over: None,
            heads,
            since: families.iter().filter_map(|f| f.since).min(),
            jobs: families.iter().map(|f| f.jobs).sum(),
            overdue: families.iter().map(|f| f.overdue).sum(),
            held: families.iter().map(|f| f.held).sum(),
            families,
            name,
        }
    }

    /// Ewes with their lambs, the others by themselves, by tag.
    fn families(&self, there: Vec<&AnimalFile>, pen: &str) -> Vec<Family> {
        let here: RapidHashSet<AnimalId> = there.iter().map(|f| f.animal.id).collect();
        let ewe_of = |f: &AnimalFile| {
            let ewe = f.animal.is_lamb(self.today).then(|| self.flock.reared_by(&f.animal)).flatten();
            ewe.filter(|e| here.contains(e))
        };
        let mut young: RapidHashMap<AnimalId, Vec<&AnimalFile>> = RapidHashMap::default();
        let mut heads: Vec<&AnimalFile> = Vec::new();
        for f in there {
            match ewe_of(f) {
                // A ewe lamb with a lamb of her own stays a head, so that nobody is lost in a chain.
                Some(ewe) if f.lambings_standing().next().is_none() => young.entry(ewe).or_default().push(f),
                _ => heads.push(f),
            }
        }
        let by_tag = |a: &&AnimalFile, b: &&AnimalFile| {
            natural(a.animal.tag(), b.animal.tag()).then_with(|| a.animal.id.cmp(&b.animal.id))
        };
        heads.sort_by(by_tag);
        heads
            .into_iter()
            .map(|head| {
                let mut lambs = young.remove(&head.animal.id).unwrap_or_default();
                lambs.sort_by(by_tag);
                self.family(head, &lambs, pen)
            })
            .collect()
    }

    fn family(&self, head: &AnimalFile, lambs: &[&AnimalFile], pen: &str) -> Family {
        let all = || std::iter::once(head).chain(lambs.iter().copied());
        let open = || all().flat_map(|f| self.open(f.animal.id));
        let youngest = all().filter_map(|f| Some((self.born(f)?, f))).max_by_key(|(at, _)| (at.day, at.time));
        Family {
            head: head.animal.id,
            young: lambs.iter().map(|f| f.animal.id).collect(),
            since: since(head, pen),
            age: youngest.and_then(|(at, _)| self.age(at)),
            lambs_on: self.soon.get(&head.animal.id).copied(),
            jobs: open().count(),
            overdue: open().filter(|j| self.is_overdue(j)).count(),
            held: all().filter(|f| held_of(self.flock, f, self.today).is_some()).count(),
        }
    }

    /// Jobs that stand open today. Waiting for a lambing is no job to tick.
    fn open(&self, animal: AnimalId) -> impl Iterator<Item = &Job> {
        let today = self.today;
        let all = self.board.map_or(&[][..], |b| b.of(animal));
        all.iter().filter(move |j| j.day() <= today && j.close >= today && j.step.done_by != DoneBy::Lambing)
    }

    fn is_overdue(&self, job: &Job) -> bool {
        job.state == State::Overdue || job.late.is_some_and(|l| l.day < self.today)
    }

    /// When a young lamb was born.
    fn born(&self, f: &AnimalFile) -> Option<Moment> {
        let day = f.animal.born.exact().filter(|d| (0..YOUNG_DAYS).contains(&self.today.since(*d)))?;
        let lambing = f.birth.as_ref().and_then(|b| {
            let ewe = self.flock.file(b.ewe)?;
            ewe.lambings.iter().find(|l| l.id == b.lambing && l.at.day == day)
        });
        Some(lambing.map_or(Moment::day(day), |l| l.at))
    }

    /// `31 h`, `3 days`.
    fn age(&self, born: Moment) -> Option<String> {
        let days = self.today.since(born.day);
        if let (Some(now), Some(at)) = (self.now, born.time) {
            let hours = (days * 1440 + now.of_day() - at.of_day()).div_euclid(60);
            if (0..HOURS).contains(&hours) {
                return Some(format!("{hours} h"));
            }
        }
        Some(match days {
            0 => "born today".into(),
            1 => phrase!("1 day"),
            n => phrase!("{n} days"),
        })
    }
}

/// The day of the last move that stands, if it led into this pen.
fn since(f: &AnimalFile, pen: &str) -> Option<Day> {
    let last = f.pen_moves.iter().filter(|m| m.struck.is_none()).max_by_key(|m| (m.on, m.id))?;
    last.pen.as_deref().filter(|p| pen_key(p) == pen_key(pen)).map(|_| last.on)
}

#[cfg(test)]
mod tests;
