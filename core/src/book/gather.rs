//! Reading the whole book into a flock. Each table is read in the order it lies in, on whichever connection is
//! free, and its rows are put into the lists of their animals: no join and no sorting in the database.

use super::{blood, cupboard, documents, feed, journal, load, pens, rows, weights};
use crate::flock::{
    AnimalFile, Birth, Crayon, Cupboard, Daybook, Decision, Document, FeedRoom, Flock, GeneTest, Grouping,
    Holding, Identity, Joining, Lambing, Marks, MatingMark, Movement, PenMove, PenPlace, Places, Product,
    Remark, Scan, Scoring, Shelf, Sire, Tick, Treatment, Weighing,
};
use crate::plan::Plan;
use crate::rules::RuleChange;
use crate::terms::{AnimalId, LambingId};
use rapidhash::RapidHashMap;
use rusqlite::{Connection, Row};
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};
use thin_vec::ThinVec;

type Result<T> = rusqlite::Result<T>;
/// Records of each animal, by its place, in order of the records' ids.
type Lists<T> = Vec<ThinVec<T>>;
/// One step of the reading.
pub(super) type Step = fn(&Connection, &At) -> Result<Part>;

/// The places of the animals, which are read while other tables are: whoever needs them waits for them.
#[derive(Default)]
pub(super) struct At(OnceLock<Option<Arc<Places>>>);

impl At {
    /// Tells the places of the animals that `read` reads, or that there are none to wait for.
    pub(super) fn tell(&self, read: impl FnOnce() -> Result<(Shelf, Places)>) -> Result<Shelf> {
        /// Nobody waits for ever, even if the reading panics.
        struct Told<'a>(&'a At);
        impl Drop for Told<'_> {
            fn drop(&mut self) {
                self.0.0.get_or_init(|| None);
            }
        }
        let told = Told(self);
        let (files, places) = read()?;
        told.0.0.get_or_init(|| Some(Arc::new(places)));
        Ok(files)
    }

    /// The places, once they are told.
    fn places(&self) -> Result<&Places> {
        // Without animals nothing is read; what was wrong with them is told by whoever read them.
        self.0.wait().as_deref().ok_or(rusqlite::Error::QueryReturnedNoRows)
    }

    /// The places that were told, if they were.
    pub(super) fn told(&self) -> Arc<Places> {
        self.0.get().cloned().flatten().unwrap_or_default()
    }
}

/// What one step read.
#[allow(clippy::large_enum_variant)] // a handful of them a book, each moved once
pub(super) enum Part {
    Identities(Lists<Identity>, Marks),
    /// The rams that may be a lamb's sires, with their places among each other.
    PossibleSires(Lists<(i64, AnimalId)>),
    Lambings(Lists<Lambing>, Vec<Option<Birth>>),
    Joinings(Lists<Joining>),
    Weighings(Lists<Weighing>),
    Treatments(Lists<Treatment>),
    Moves(Lists<PenMove>, Lists<Movement>),
    Remarks(Lists<Remark>),
    Ticks(Lists<Tick>),
    Mating(Lists<MatingMark>, Lists<Scan>, Lists<Crayon>),
    Tests(Lists<GeneTest>),
    Scores(Lists<Scoring>),
    Kept(Lists<Decision>, Lists<Grouping>),
    Trail(journal::Trail),
    Rest(Box<Rest>),
}

/// What belongs to no animal.
#[derive(Default)]
pub(super) struct Rest {
    products: Vec<Product>,
    cupboard: Cupboard,
    documents: Vec<Document>,
    daybook: Daybook,
    feedroom: FeedRoom,
    rule_changes: Vec<RuleChange>,
    pen_places: Vec<PenPlace>,
    holding: Holding,
    plan: Plan,
}

/// Every step, those that take longest first.
pub(super) const STEPS: [Step; 15] = [
    |db, at| lists(db, at, "treatment", rows::TREATMENT, rows::treatment).map(Part::Treatments),
    identities,
    |db, at| lists(db, at, "weighing", rows::WEIGHING, rows::weighing).map(Part::Weighings),
    lambings,
    |db, at| {
        let pens = lists(db, at, "pen_move", rows::PEN_MOVE, rows::pen_move)?;
        Ok(Part::Moves(pens, lists(db, at, "movement", rows::MOVEMENT, rows::movement)?))
    },
    |db, _| journal::amendments(db).map(Part::Trail),
    |db, at| lists(db, at, "joining", rows::JOINING, rows::joining).map(Part::Joinings),
    |db, at| lists(db, at, "remark", rows::REMARK, rows::remark).map(Part::Remarks),
    |db, at| lists(db, at, "tick", rows::TICK, rows::tick).map(Part::Ticks),
    |db, at| {
        let marks = lists(db, at, "mating_mark", blood::MATING_MARK, blood::mating_mark)?;
        let scans = lists(db, at, "scan", blood::SCAN, blood::scan)?;
        Ok(Part::Mating(marks, scans, lists(db, at, "crayon", blood::CRAYON, blood::crayon)?))
    },
    |db, at| lists(db, at, "gene_test", blood::GENE_TEST, blood::gene_test).map(Part::Tests),
    |db, at| lists(db, at, "scoring", weights::SCORING, weights::scoring).map(Part::Scores),
    |db, at| {
        let decisions = lists(db, at, "decision", weights::DECISION, weights::decision)?;
        Ok(Part::Kept(decisions, lists(db, at, "grouping", weights::GROUPING, weights::grouping)?))
    },
    |db, at| {
        let sire = |r: &Row<'_>| Ok((rows::animal_id(r, 0)?, (r.get(2)?, rows::animal_id(r, 1)?)));
        lists(db, at, "possible_sire", "animal, ram, place", sire).map(Part::PossibleSires)
    },
    |db, _| {
        Ok(Part::Rest(Box::new(Rest {
            products: cupboard::products(db)?,
            cupboard: cupboard::read(db)?,
            documents: documents::read(db)?,
            daybook: weights::read_daybook(db)?,
            feedroom: feed::read_room(db)?,
            rule_changes: cupboard::rule_changes(db)?,
            pen_places: pens::read_places(db)?,
            holding: load::holding(db)?,
            plan: load::plan(db)?,
        })))
    },
];

/// All rows of a table, in the order of its key.
fn each(
    db: &Connection,
    table: &str,
    columns: &str,
    mut row: impl FnMut(&Row<'_>) -> Result<()>,
) -> Result<()> {
    // Over the table itself: an index would give another order.
    let mut statement = db.prepare(&format!("select {columns} from {table} not indexed"))?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        row(r).map_err(|e| named(e, table, r))?;
    }
    Ok(())
}

/// A value that cannot be, with the table and the column where it stands.
fn named(error: rusqlite::Error, table: &str, row: &Row<'_>) -> rusqlite::Error {
    match error {
        rusqlite::Error::FromSqlConversionFailure(at, kind, why) => {
            let column = row.as_ref().column_name(at).unwrap_or_default();
            let (table, column) = (table.replace('_', " "), super::trail::field_words(column));
            rusqlite::Error::FromSqlConversionFailure(
                at,
                kind,
                format!("{column} of a {table}: {why}").into(),
            )
        }
        other => other,
    }
}

/// Every animal's file with its standing facts alone, and where it stands: read before all else.
pub(super) fn animals(db: &Connection) -> Result<(Shelf, Places)> {
    let (mut files, mut n) = (Shelf::default(), 0);
    each(db, "animal", rows::ANIMAL, |r| {
        files.push(AnimalFile::of(rows::animal(r)?));
        n += 1;
        Ok(())
    })?;
    let mut at = Places::with_capacity_and_hasher(n, Default::default());
    at.extend(files.iter().zip(0..).map(|(f, place)| (f.animal.id, place)));
    Ok((files, at))
}

/// Lambs of each parent, in order of id, which is the order they were written in; without the sires that are only
/// possible.
pub(super) fn offspring(files: &Shelf, at: &Places) -> Lists<AnimalId> {
    let mut pile = Pile(Vec::new());
    for a in files.iter().map(|f| &f.animal) {
        for parent in [a.dam, a.genetic_dam].into_iter().flatten().chain(a.sire.possible().iter().copied()) {
            pile.add(parent, a.id);
        }
    }
    let mut lists = pile.lists(at, |_, lamb| lamb);
    // A lamb may have one parent twice over.
    lists.iter_mut().for_each(ThinVec::dedup);
    lists
}

/// Records as they are read, in chunks: one long row of them would be moved about while it grows. Their animals are
/// looked up afterwards, all at once, which is quicker than between two rows of the database.
struct Pile<T>(Vec<Vec<(AnimalId, T)>>);

impl<T> Pile<T> {
    /// Records in a chunk. Chunks are small enough that the memory of one is soon used again.
    const CHUNK: usize = 1 + 64 * 1024 / size_of::<(AnimalId, T)>();

    fn add(&mut self, animal: AnimalId, record: T) {
        match self.0.last_mut() {
            Some(last) if last.len() < Self::CHUNK => last.push((animal, record)),
            _ => {
                let mut chunk = Vec::with_capacity(Self::CHUNK);
                chunk.push((animal, record));
                self.0.push(chunk);
            }
        }
    }

    fn iter(&self) -> impl Iterator<Item = &(AnimalId, T)> {
        self.0.iter().flatten()
    }

    /// The list of each animal, as long as it needs to be, of what `each` makes of the records.
    fn lists<U>(self, at: &Places, mut each: impl FnMut(u32, T) -> U) -> Lists<U> {
        let mut counts = vec![0u32; at.len()];
        let places: Vec<Option<u32>> = self.iter().map(|(id, _)| at.get(id).copied()).collect();
        places.iter().flatten().for_each(|p| counts[*p as usize] += 1);
        let mut lists: Lists<U> = counts.into_iter().map(|n| ThinVec::with_capacity(n as usize)).collect();
        for (place, (_, record)) in places.into_iter().zip(self.0.into_iter().flatten()) {
            if let Some(place) = place {
                lists[place as usize].push(each(place, record));
            }
        }
        lists
    }
}

fn pile<T>(
    db: &Connection,
    table: &str,
    columns: &str,
    read: impl Fn(&Row<'_>) -> Result<(AnimalId, T)>,
) -> Result<Pile<T>> {
    let mut all = Pile(Vec::new());
    each(db, table, columns, |r| {
        let (animal, record) = read(r)?;
        all.add(animal, record);
        Ok(())
    })?;
    Ok(all)
}

fn lists<T>(
    db: &Connection,
    at: &At,
    table: &str,
    columns: &str,
    read: impl Fn(&Row<'_>) -> Result<(AnimalId, T)>,
) -> Result<Lists<T>> {
    let pile = pile(db, table, columns, read)?;
    Ok(pile.lists(at.places()?, |_, record| record))
}

fn identities(db: &Connection, at: &At) -> Result<Part> {
    let all = pile(db, "identity", &format!("{}, place", rows::IDENTITY), |r| {
        let (animal, identity) = rows::identity(r)?;
        Ok((animal, (r.get::<_, i64>(7)?, identity)))
    })?;
    let at = at.places()?;
    let worn = all.iter().filter(|(_, (_, i))| i.ended.is_none());
    let mut marks = Marks::with_room(at.len() * 2);
    for (place, i) in worn.filter_map(|(id, (_, i))| Some((*at.get(id)?, i))) {
        marks.add(i.kind, i.tag.as_str(), place);
    }
    let mut last = vec![i64::MIN; at.len()];
    let mut out_of_order = BTreeSet::new();
    let mut lists = all.lists(at, |at, (place, identity)| {
        if std::mem::replace(&mut last[at as usize], place) > place {
            out_of_order.insert(at);
        }
        identity
    });
    for (id, at) in at.iter().filter(|(_, at)| out_of_order.contains(at)) {
        lists[*at as usize] = load::identities(db, *id)?;
    }
    Ok(Part::Identities(lists, marks))
}

/// Lambings and the births of their lambs.
fn lambings(db: &Connection, at: &At) -> Result<Part> {
    let mut all: Vec<(AnimalId, Lambing)> = Vec::new();
    each(db, "lambing", rows::LAMBING, |r| {
        all.push(rows::lambing(r)?);
        Ok(())
    })?;
    let mut nth: RapidHashMap<LambingId, u32> = RapidHashMap::default();
    nth.extend(all.iter().zip(0..).map(|((_, l), i)| (l.id, i)));
    let at = at.places()?;
    let mut births: Vec<Option<Birth>> = vec![None; at.len()];
    let mut lambs: Vec<(u32, u8, AnimalId)> = Vec::new();
    each(db, "birth", rows::BIRTH, |r| {
        let lamb = rows::animal_id(r, 0)?;
        let mut of = None;
        let birth = rows::birth(r, |lambing| {
            of = nth.get(&lambing).copied();
            of.map(|i| all[i as usize].0)
        })?;
        lambs.extend(of.zip(birth.as_ref()).map(|(i, b)| (i, b.order, lamb)));
        if let Some(place) = at.get(&lamb) {
            births[*place as usize] = birth;
        }
        Ok(())
    })?;
    lambs.sort();
    for litter in lambs.chunk_by(|a, b| a.0 == b.0) {
        all[litter[0].0 as usize].1.lambs = litter.iter().map(|(.., lamb)| *lamb).collect();
    }
    Ok(Part::Lambings(Pile(vec![all]).lists(at, |_, lambing| lambing), births))
}

/// Everything read so far.
#[derive(Default)]
pub(super) struct Gathered {
    identities: Lists<Identity>,
    marks: Marks,
    possible_sires: Lists<(i64, AnimalId)>,
    lambings: Lists<Lambing>,
    births: Vec<Option<Birth>>,
    joinings: Lists<Joining>,
    weighings: Lists<Weighing>,
    treatments: Lists<Treatment>,
    pen_moves: Lists<PenMove>,
    movements: Lists<Movement>,
    remarks: Lists<Remark>,
    ticks: Lists<Tick>,
    marks_seen: Lists<MatingMark>,
    scans: Lists<Scan>,
    crayons: Lists<Crayon>,
    tests: Lists<GeneTest>,
    scores: Lists<Scoring>,
    decisions: Lists<Decision>,
    groups: Lists<Grouping>,
    trail: journal::Trail,
    rest: Rest,
}

impl Gathered {
    pub(super) fn take(&mut self, part: Part) {
        match part {
            Part::Identities(all, marks) => (self.identities, self.marks) = (all, marks),
            Part::PossibleSires(all) => self.possible_sires = all,
            Part::Lambings(all, births) => (self.lambings, self.births) = (all, births),
            Part::Joinings(all) => self.joinings = all,
            Part::Weighings(all) => self.weighings = all,
            Part::Treatments(all) => self.treatments = all,
            Part::Moves(pens, standings) => (self.pen_moves, self.movements) = (pens, standings),
            Part::Remarks(all) => self.remarks = all,
            Part::Ticks(all) => self.ticks = all,
            Part::Mating(marks, scans, crayons) => {
                (self.marks_seen, self.scans, self.crayons) = (marks, scans, crayons)
            }
            Part::Tests(all) => self.tests = all,
            Part::Scores(all) => self.scores = all,
            Part::Kept(decisions, groups) => (self.decisions, self.groups) = (decisions, groups),
            Part::Trail(trail) => self.trail = trail,
            Part::Rest(rest) => self.rest = *rest,
        }
    }

    /// Puts every animal's file together.
    pub(super) fn flock(self, mut files: Shelf, mut offspring: Lists<AnimalId>, at: Arc<Places>) -> Flock {
        let mut more = BTreeSet::new();
        for (file, mut rams) in files.iter_mut().zip(self.possible_sires) {
            if !rams.is_empty() {
                rams.sort_by_key(|(place, _)| *place);
                for ram in rams.iter().filter_map(|(_, ram)| at.get(ram)) {
                    offspring[*ram as usize].push(file.animal.id);
                    more.insert(*ram);
                }
                file.animal.sire = Sire::OneOf(rams.into_iter().map(|(_, ram)| ram).collect());
            }
        }
        for ram in more {
            let lambs = &mut offspring[ram as usize];
            lambs.sort_unstable();
            lambs.dedup();
        }
        let mut offspring = offspring.into_iter();
        let mut identities = self.identities.into_iter();
        let mut births = self.births.into_iter();
        let mut lambings = self.lambings.into_iter();
        let mut joinings = self.joinings.into_iter();
        let mut weighings = self.weighings.into_iter();
        let mut treatments = self.treatments.into_iter();
        let mut pen_moves = self.pen_moves.into_iter();
        let mut movements = self.movements.into_iter();
        let mut remarks = self.remarks.into_iter();
        let mut ticks = self.ticks.into_iter();
        let mut marks_seen = self.marks_seen.into_iter();
        let mut scans = self.scans.into_iter();
        let mut crayons = self.crayons.into_iter();
        let mut tests = self.tests.into_iter();
        let mut scores = self.scores.into_iter();
        let mut decisions = self.decisions.into_iter();
        let mut groups = self.groups.into_iter();
        for file in files.iter_mut() {
            file.animal.identities = identities.next().unwrap_or_default();
            file.birth = births.next().flatten();
            file.lambings = lambings.next().unwrap_or_default();
            file.joinings = joinings.next().unwrap_or_default();
            file.weighings = weighings.next().unwrap_or_default();
            file.treatments = treatments.next().unwrap_or_default();
            file.pen_moves = pen_moves.next().unwrap_or_default();
            file.movements = movements.next().unwrap_or_default();
            file.remarks = remarks.next().unwrap_or_default();
            file.ticks = ticks.next().unwrap_or_default();
            file.marks = marks_seen.next().unwrap_or_default();
            file.scans = scans.next().unwrap_or_default();
            file.crayons = crayons.next().unwrap_or_default();
            file.tests = tests.next().unwrap_or_default();
            file.scores = scores.next().unwrap_or_default();
            file.decisions = decisions.next().unwrap_or_default();
            file.groups = groups.next().unwrap_or_default();
            file.offspring = offspring.next().unwrap_or_default();
            load::in_order(file);
        }
        let mut flock = Flock::of(files, at, self.marks);
        flock.set_products(self.rest.products);
        flock.set_cupboard(self.rest.cupboard);
        flock.set_documents(self.rest.documents);
        flock.set_daybook(self.rest.daybook);
        flock.set_feedroom(self.rest.feedroom);
        flock.set_holding(self.rest.holding);
        flock.set_rule_changes(self.rest.rule_changes);
        flock.set_pen_places(self.rest.pen_places);
        flock.set_plan(self.rest.plan);
        flock.set_amendments(self.trail.amendments);
        flock.set_strikes(self.trail.strikes);
        flock
    }
}
