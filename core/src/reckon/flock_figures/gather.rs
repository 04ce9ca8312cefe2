//! The lines figures are counted from: a line for each ewe of a season, and one for each lamb born in it.

use super::settings::Settings;
use crate::flock::{AnimalFile, Flock, Outcome};
use crate::reckon::gestation::{Pregnancy, State, history, late};
use crate::reckon::{figures, growth};
use crate::terms::{AnimalId, Day, Fate, Rearing, Scanned, Sex, Status, Weight};
use std::collections::{BTreeMap, HashMap};

/// Key of the care plan's step that weans.
const WEAN: &str = "wean";
/// A ewe whose ram was never taken out is looked for so many days past her usual day (common practice, no source).
const OPEN_DAYS: i64 = 60;
/// Deaths and culls of joined ewes are counted for a year from joining.
const YEAR_DAYS: i64 = 365;

/// What took a ewe out before she lambed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// Sold, culled or lent away.
    Sold,
    /// Died, or went missing.
    Died,
}

/// A ewe in one season.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EweLine {
    /// The ewe.
    pub ewe: AnimalId,
    /// Her age in the season: its year less the year of her birth.
    pub age: Option<i32>,
    /// The ram, where one is known.
    pub ram: Option<AnimalId>,
    /// Her breed.
    pub breed: Option<String>,
    /// The group she ran with, or the pen she was in when the ram came to her.
    pub group: Option<String>,
    /// First day with a ram.
    pub joined: Option<Day>,
    /// Never joined and never lambed in a season before.
    pub first: bool,
    /// Bought in lamb.
    pub bought: bool,
    /// She lambed, and no joining of hers is written.
    pub unwritten: bool,
    /// Left before she lambed.
    pub left: Option<Left>,
    /// She may still lamb.
    pub open: bool,
    /// The last scan.
    pub scan: Option<Scanned>,
    /// The first day she lambed.
    pub lambed: Option<Day>,
    /// Culled within a year of joining.
    pub culled: bool,
    /// Died within a year of joining.
    pub died: bool,
}

/// When a lamb was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// Born dead.
    BornDead,
    /// On its first day.
    Day0,
    /// From 1 to 7 days old.
    Week1,
    /// From 8 to 30 days old.
    Month1,
    /// Later, before weaning.
    Later,
    /// Its day is not written.
    Unknown,
}

impl Band {
    /// All, in order of age.
    pub const ALL: [Self; 6] =
        [Self::BornDead, Self::Day0, Self::Week1, Self::Month1, Self::Later, Self::Unknown];

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::BornDead => "born dead",
            Self::Day0 => "first day",
            Self::Week1 => "1 to 7 days",
            Self::Month1 => "8 to 30 days",
            Self::Later => "to weaning",
            Self::Unknown => "age not known",
        }
    }

    fn of(age: Option<i64>) -> Self {
        match age {
            None => Self::Unknown,
            Some(..=0) => Self::Day0,
            Some(1..=7) => Self::Week1,
            Some(8..=30) => Self::Month1,
            Some(_) => Self::Later,
        }
    }
}

/// Why a lamb was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CauseAt {
    /// A cause of the list, by its place.
    Of(usize),
    /// A cause was written that is not on the list.
    Other,
    /// No cause was written.
    NotKnown,
}

/// A lamb lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loss {
    /// When.
    pub band: Band,
    /// Why.
    pub cause: CauseAt,
}

/// How far a lamb came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// Weaned, or sold alive before.
    Weaned,
    /// With its ewe or on the bottle still.
    Growing,
    /// Lost before weaning.
    Lost(Loss),
}

/// A lamb born in a season.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LambLine {
    /// The lamb.
    pub lamb: AnimalId,
    /// Place of its dam among the ewes.
    pub dam: usize,
    /// Place of the ewe that reared it; none on the bottle.
    pub rearer: Option<usize>,
    /// How far it came.
    pub came: Came,
    /// Lived to the age of the handbook: yes, no, or too young to tell.
    pub reared: Option<bool>,
    /// Sold by the day.
    pub sold: bool,
    /// Its sex.
    pub sex: Sex,
    /// How many were born together.
    pub litter: u8,
    /// Birth weight.
    pub birth: Option<Weight>,
    /// Weight at 60 days.
    pub sixty: Option<Weight>,
    /// Weight at weaning.
    pub weaning: Option<Weight>,
}

impl LambLine {
    /// Born alive.
    pub fn alive(&self) -> bool {
        !matches!(self.came, Came::Lost(Loss { band: Band::BornDead, .. }))
    }

    /// Daily gain to 60 days in grams.
    pub fn gain(&self) -> Option<i64> {
        Some((self.sixty?.grams() - self.birth?.grams()) / 60)
    }
}

/// One season: the ewes and the lambs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Season {
    /// Its ewes: joined, lambed, or rearing another's lamb.
    pub ewes: Vec<EweLine>,
    /// Its lambs.
    pub lambs: Vec<LambLine>,
    /// The first lambing.
    pub first_lambing: Option<Day>,
    /// Age at weaning it is reckoned with, and whether it is that of its own lambs.
    pub weaning: (i64, bool),
    /// A season before it is in the book: replacements can be told.
    pub follows: bool,
    places: HashMap<AnimalId, usize>,
}

/// The season of a day, by the month a season begins with.
pub fn season_of(day: Day, month: u32) -> i32 {
    if month > 1 && day.month() >= month { day.year() + 1 } else { day.year() }
}

/// The day and standing by which an animal was gone, on a day.
fn gone(f: &AnimalFile, on: Day) -> Option<(Option<Day>, Status)> {
    let a = &f.animal;
    match a.status {
        Status::Present | Status::Outside | Status::Lent => None,
        _ if a.status_on.is_some_and(|d| d > on) => None,
        s => Some((a.status_on, s)),
    }
}

/// Every season with a joining or a lambing by a day.
pub(super) fn seasons(flock: &Flock, on: Day, s: &Settings) -> BTreeMap<i32, Season> {
    let mut all: BTreeMap<i32, Season> = BTreeMap::new();
    let mut files: Vec<&AnimalFile> = flock
        .files()
        .filter(|f| {
            f.animal.sex == Sex::Ewe
                && !(f.joinings.is_empty() && f.marks.is_empty() && f.lambings.is_empty())
        })
        .collect();
    files.sort_by_key(|f| f.animal.id);
    for f in &files {
        for p in history(flock, f, on) {
            joined(f, &p, on, s, &mut all);
        }
        for l in f.lambings_standing().filter(|l| l.at.day <= on) {
            let season = all.entry(season_of(l.at.day, s.month)).or_default();
            let first = season.first_lambing.map_or(l.at.day, |d| d.min(l.at.day));
            season.first_lambing = Some(first);
            let line = season.line(f, season_of(l.at.day, s.month));
            if line.joined.is_none() && line.lambed.is_none() {
                line.bought = bought(f, l.at.day);
                line.unwritten = !line.bought;
                line.scan = f
                    .scans
                    .iter()
                    .rfind(|c| c.struck.is_none() && c.on <= l.at.day)
                    .and_then(|c| (l.at.day.since(c.on) < late()).then_some(c.found));
            }
            line.lambed = Some(line.lambed.map_or(l.at.day, |d| d.min(l.at.day)));
            line.ram = l.ram.or(line.ram);
            line.left = None;
            line.open = false;
        }
    }
    // Lambs after all ewes: a foster ewe may come later in the list than the dam.
    for f in &files {
        for l in f.lambings_standing().filter(|l| l.at.day <= on) {
            let year = season_of(l.at.day, s.month);
            let Some(season) = all.get_mut(&year) else { continue };
            let Some(dam) = season.places.get(&f.animal.id).copied() else { continue };
            for lamb in l.lambs.iter().filter_map(|id| flock.file(*id)) {
                let rearer = match lamb.animal.rearing {
                    Rearing::Dam => Some(dam),
                    Rearing::Foster(ewe) => flock.file(ewe).map(|e| season.place(e, year)),
                    Rearing::Bottle => None,
                };
                let litter = u8::try_from(l.lambs.len()).unwrap_or(u8::MAX);
                season.lambs.push(born(lamb, l.at.day, on, (dam, rearer, litter)));
            }
        }
    }
    let mut seen = std::collections::HashSet::new();
    for (n, season) in all.values_mut().enumerate() {
        season.follows = n > 0;
        for e in &mut season.ewes {
            if e.joined.is_some() || e.lambed.is_some() {
                e.first = seen.insert(e.ewe);
            }
        }
        season.settle(flock, on, s);
    }
    all
}

impl Season {
    fn place(&mut self, f: &AnimalFile, year: i32) -> usize {
        *self.places.entry(f.animal.id).or_insert_with(|| {
            self.ewes.push(EweLine {
                ewe: f.animal.id,
                age: f.animal.born.year().map(|b| year - b),
                ram: None,
                breed: f.animal.breed.as_ref().map(ToString::to_string),
                group: None,
                joined: None,
                first: false,
                bought: false,
                unwritten: false,
                left: None,
                open: false,
                scan: None,
                lambed: None,
                culled: false,
                died: false,
            });
            self.ewes.len() - 1
        })
    }

    fn line(&mut self, f: &AnimalFile, year: i32) -> &mut EweLine {
        let place = self.place(f, year);
        &mut self.ewes[place]
    }

    /// The place of a ewe among its ewes.
    pub fn place_of(&self, ewe: AnimalId) -> Option<usize> {
        self.places.get(&ewe).copied()
    }

    /// What can only be told once all lambs are there: the age at weaning, and with it who was weaned.
    fn settle(&mut self, flock: &Flock, on: Day, s: &Settings) {
        let ticked = |l: &LambLine| {
            let f = flock.file(l.lamb)?;
            let born = f.animal.born.day()?;
            Some(weaned(f, on)?.since(born))
        };
        let mut ages: Vec<i64> = self.lambs.iter().filter_map(ticked).filter(|a| *a > 0).collect();
        ages.sort_unstable();
        self.weaning = ages.get(ages.len() / 2).map_or((s.weaning_days, false), |a| (*a, true));
        let age = self.weaning.0;
        for l in &mut self.lambs {
            if let Some(f) = flock.file(l.lamb) {
                come(l, f, on, age, s);
            }
        }
    }
}

/// The day a lamb was ticked as weaned.
fn weaned(f: &AnimalFile, on: Day) -> Option<Day> {
    let done = f.ticks_standing().filter(|t| t.step == WEAN && t.outcome == Outcome::Done);
    done.map(|t| t.at.day).filter(|d| *d <= on).max()
}

fn bought(f: &AnimalFile, lambed: Day) -> bool {
    f.birth.is_none()
        && f.movements.iter().any(|m| {
            m.struck.is_none()
                && m.to == Status::Present
                && (m.other.is_some() || m.details.number.is_some())
                && m.on <= lambed
                && lambed.since(m.on) <= late()
        })
}

fn joined(f: &AnimalFile, p: &Pregnancy, on: Day, s: &Settings, all: &mut BTreeMap<i32, Season>) {
    let year = match p.state {
        State::Lambed(day) => season_of(day, s.month),
        _ => season_of(p.window.due, s.month),
    };
    let line = all.entry(year).or_default().line(f, year);
    let last = p.window.late.unwrap_or_else(|| p.window.due.plus(OPEN_DAYS));
    line.joined = Some(line.joined.map_or(p.first, |d| d.min(p.first)));
    if line.group.is_none() {
        let standing =
            f.joinings.iter().filter(|j| j.struck.is_none() && j.from >= p.first && j.from <= last);
        line.group = standing
            .clone()
            .find_map(|j| j.group.clone())
            .or_else(|| {
                let moved = f.pen_moves.iter().rfind(|m| m.struck.is_none() && m.on <= p.first);
                moved.map_or_else(|| f.animal.pen.clone(), |m| m.pen.clone())
            })
            .map(Into::into);
    }
    if let [ram] = p.service.rams.as_slice() {
        line.ram = line.ram.or(Some(*ram));
    }
    if let Some((_, found)) = p.scan {
        line.scan = Some(found);
    }
    let gone = gone(f, on);
    let within = |d: Option<Day>| d.is_some_and(|d| d >= p.first && d.since(p.first) <= YEAR_DAYS);
    if let Some((day, status)) = gone.filter(|g| within(g.0)) {
        line.culled |= status == Status::Culled;
        line.died |= matches!(status, Status::Dead | Status::Missing);
        if matches!(p.state, State::Expected | State::Past | State::Empty(_))
            && day.is_some_and(|d| d <= last)
        {
            let died = matches!(status, Status::Dead | Status::Missing);
            line.left = Some(if died { Left::Died } else { Left::Sold });
        }
    }
    line.open = p.state == State::Expected && on <= last && gone.is_none();
}

/// A lamb as it was born; how far it came is settled later.
fn born(f: &AnimalFile, born: Day, on: Day, (dam, rearer, litter): (usize, Option<usize>, u8)) -> LambLine {
    let dead = f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
    let gone = gone(f, on);
    let until = gone.map_or(on, |(day, _)| day.unwrap_or(born));
    let old = until.since(born) >= figures::reared_at();
    let reared = match gone {
        _ if dead => Some(false),
        _ if old => Some(true),
        None => None,
        Some((_, Status::Sold)) => Some(true), // left alive
        Some(_) => Some(false),
    };
    LambLine {
        lamb: f.animal.id,
        dam,
        rearer,
        came: Came::Growing,
        reared,
        sold: gone.is_some_and(|(_, s)| s == Status::Sold),
        sex: f.animal.sex,
        litter,
        birth: f.animal.birth_weight,
        sixty: growth::sixty_day(f).map(|s| s.weight),
        weaning: None,
    }
}

/// Settles how far a lamb came, and its weight at weaning.
fn come(l: &mut LambLine, f: &AnimalFile, on: Day, age: i64, s: &Settings) {
    let born = f.animal.born.day();
    if f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead) {
        let written = written(f).filter(|w| w.trim().to_lowercase() != "born dead");
        let cause = cause(s, written.or(Some("born dead")));
        l.came = Came::Lost(Loss { band: Band::BornDead, cause });
        return;
    }
    let ticked = weaned(f, on);
    let gone = gone(f, on);
    let at = |day: Option<Day>| Some(day?.since(born?));
    l.came = match gone {
        None if ticked.is_some() || at(Some(on)).is_some_and(|a| a >= age) => Came::Weaned,
        None => Came::Growing,
        Some((_, Status::Sold)) => Came::Weaned,
        Some((day, _)) if ticked.is_some() || at(day).is_some_and(|a| a >= age) => Came::Weaned,
        Some((day, _)) => Came::Lost(Loss { band: Band::of(at(day)), cause: cause(s, written(f)) }),
    };
    if l.came == Came::Weaned {
        let target = ticked.or_else(|| born.map(|b| b.plus(age)));
        l.weaning = target.and_then(|t| {
            let near = f
                .weighings
                .iter()
                .filter(|w| w.struck.is_none() && w.at.day <= on && w.at.day.since(t).abs() <= s.weaning_near)
                .min_by_key(|w| w.at.day.since(t).abs())
                .map(|w| w.weight);
            let at_sixty = born.is_some_and(|b| (t.since(b) - 60).abs() <= s.weaning_near);
            near.or(l.sixty.filter(|_| at_sixty))
        });
    }
}

/// The cause or reason written of an animal that is gone.
fn written(f: &AnimalFile) -> Option<&str> {
    let last = f.movements.iter().rfind(|m| m.struck.is_none() && m.to == f.animal.status);
    let cause = last.and_then(|m| m.details.cause.as_deref().or(m.reason.as_deref()));
    cause.or(f.animal.status_reason.as_deref()).map(str::trim).filter(|w| !w.is_empty())
}

fn cause(s: &Settings, written: Option<&str>) -> CauseAt {
    match written {
        None => CauseAt::NotKnown,
        Some(w) if ["unknown", "not known", "?"].contains(&w.to_lowercase().as_str()) => CauseAt::NotKnown,
        Some(w) => s.cause_of(w).map_or(CauseAt::Other, CauseAt::Of),
    }
}
