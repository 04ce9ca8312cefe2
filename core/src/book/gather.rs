//! Reading the whole book into a flock. Each table is read in the order it lies in, on whichever connection is
//! free, and the rows are brought to their animals afterwards: no join and no sorting in the database.

use super::{journal, load, rows};
use crate::flock::{
    Amendment, Animal, AnimalFile, Birth, Flock, Holding, Identity, Joining, Lambing, Marks, Movement,
    PenMove, Places, Product, RecordRef, Remark, Sire, Treatment, Weighing,
};
use crate::terms::{AnimalId, LambingId};
use rapidhash::RapidHashMap;
use rusqlite::{Connection, Row};

type Result<T> = rusqlite::Result<T>;
/// Records and the animals they are of, in order of the records' ids.
type Pile<T> = Vec<(AnimalId, T)>;
/// One step of the reading.
pub(super) type Step = fn(&Connection) -> Result<Part>;

/// What one step read.
pub(super) enum Part {
    Animals(Vec<Animal>),
    Identities(Pile<(i64, Identity)>, Marks),
    /// Lambs and the rams that may be their sires, with the rams' places.
    PossibleSires(Pile<(i64, AnimalId)>),
    Lambings(Pile<Lambing>, Pile<Birth>),
    Joinings(Pile<Joining>),
    Weighings(Pile<Weighing>),
    Treatments(Pile<Treatment>),
    Moves(Pile<PenMove>, Pile<Movement>),
    Remarks(Pile<Remark>),
    Rest(Vec<Product>, Holding, RapidHashMap<RecordRef, Vec<Amendment>>),
}

/// Every step, those that take longest first.
pub(super) const STEPS: [Step; 10] = [
    |db| records(db, "animal", rows::ANIMAL, rows::animal).map(Part::Animals),
    |db| records(db, "treatment", rows::TREATMENT, rows::treatment).map(Part::Treatments),
    identities,
    |db| records(db, "weighing", rows::WEIGHING, rows::weighing).map(Part::Weighings),
    lambings,
    |db| {
        let pens = records(db, "pen_move", rows::PEN_MOVE, rows::pen_move)?;
        Ok(Part::Moves(pens, records(db, "movement", rows::MOVEMENT, rows::movement)?))
    },
    |db| records(db, "joining", rows::JOINING, rows::joining).map(Part::Joinings),
    |db| records(db, "remark", rows::REMARK, rows::remark).map(Part::Remarks),
    |db| {
        let sire = |r: &Row<'_>| Ok((rows::animal_id(r, 0)?, (r.get(2)?, rows::animal_id(r, 1)?)));
        records(db, "possible_sire", "animal, ram, place", sire).map(Part::PossibleSires)
    },
    |db| Ok(Part::Rest(load::products(db)?, load::holding(db)?, journal::amendments(db)?)),
];

/// All rows of a table, in the order of its key.
fn records<T>(
    db: &Connection,
    table: &str,
    columns: &str,
    read: impl Fn(&Row<'_>) -> Result<T>,
) -> Result<Vec<T>> {
    // Over the table itself: an index would give another order.
    let mut statement = db.prepare(&format!("select {columns} from {table} not indexed"))?;
    let mut rows = statement.query([])?;
    let mut all = Vec::new();
    while let Some(r) = rows.next()? {
        all.push(read(r)?);
    }
    Ok(all)
}

fn identities(db: &Connection) -> Result<Part> {
    let columns = format!("{}, place", rows::IDENTITY);
    let pile = records(db, "identity", &columns, |r| {
        let (animal, identity) = rows::identity(r)?;
        Ok((animal, (r.get(7)?, identity)))
    })?;
    let mut marks = Marks::with_capacity_and_hasher(pile.len(), Default::default());
    marks.extend(
        pile.iter().filter(|(_, (_, i))| i.ended.is_none()).map(|(id, (_, i))| ((i.kind, i.tag.norm()), *id)),
    );
    Ok(Part::Identities(pile, marks))
}

/// Lambings and the births of their lambs.
fn lambings(db: &Connection) -> Result<Part> {
    let mut lambings = records(db, "lambing", rows::LAMBING, rows::lambing)?;
    let mut at: RapidHashMap<LambingId, u32> = RapidHashMap::default();
    at.extend(lambings.iter().zip(0..).map(|((_, l), i)| (l.id, i)));
    let mut births: Pile<Birth> = Vec::new();
    let mut lambs: Vec<(u32, u8, AnimalId)> = Vec::new();
    records(db, "birth", rows::BIRTH, |r| {
        Ok((rows::animal_id(r, 0)?, rows::birth(r, |l| at.get(&l).map(|i| lambings[*i as usize].0))?))
    })?
    .into_iter()
    .for_each(|(lamb, birth)| {
        if let Some(birth) = birth {
            lambs.extend(at.get(&birth.lambing).map(|i| (*i, birth.order, lamb)));
            births.push((lamb, birth));
        }
    });
    lambs.sort();
    for all in lambs.chunk_by(|a, b| a.0 == b.0) {
        lambings[all[0].0 as usize].1.lambs = all.iter().map(|(.., lamb)| *lamb).collect();
    }
    Ok(Part::Lambings(lambings, births))
}

/// Everything read so far.
#[derive(Default)]
pub(super) struct Gathered {
    animals: Vec<Animal>,
    identities: Pile<(i64, Identity)>,
    marks: Marks,
    possible_sires: Pile<(i64, AnimalId)>,
    lambings: Pile<Lambing>,
    births: Pile<Birth>,
    joinings: Pile<Joining>,
    weighings: Pile<Weighing>,
    treatments: Pile<Treatment>,
    pen_moves: Pile<PenMove>,
    movements: Pile<Movement>,
    remarks: Pile<Remark>,
    products: Vec<Product>,
    holding: Holding,
    amendments: RapidHashMap<RecordRef, Vec<Amendment>>,
}

impl Gathered {
    pub(super) fn take(&mut self, part: Part) {
        match part {
            Part::Animals(all) => self.animals = all,
            Part::Identities(all, marks) => (self.identities, self.marks) = (all, marks),
            Part::PossibleSires(all) => self.possible_sires = all,
            Part::Lambings(all, births) => (self.lambings, self.births) = (all, births),
            Part::Joinings(all) => self.joinings = all,
            Part::Weighings(all) => self.weighings = all,
            Part::Treatments(all) => self.treatments = all,
            Part::Moves(pens, standings) => (self.pen_moves, self.movements) = (pens, standings),
            Part::Remarks(all) => self.remarks = all,
            Part::Rest(products, holding, amendments) => {
                (self.products, self.holding, self.amendments) = (products, holding, amendments);
            }
        }
    }

    /// Brings every record to its animal.
    pub(super) fn flock(mut self) -> Flock {
        let mut at = Places::with_capacity_and_hasher(self.animals.len(), Default::default());
        at.extend(self.animals.iter().zip(0..).map(|(a, i)| (a.id, i)));
        let at = At(at);
        for (lamb, mut rams) in at.share_out(self.possible_sires).into_iter().enumerate() {
            if !rams.is_empty() {
                rams.sort_by_key(|(place, _)| *place);
                self.animals[lamb].sire = Sire::OneOf(rams.into_iter().map(|(_, ram)| ram).collect());
            }
        }
        let mut offspring = at.offspring(&self.animals).into_iter();
        let mut identities = at.share_out(self.identities).into_iter();
        let mut births = at.share_out(self.births).into_iter();
        let mut lambings = at.share_out(self.lambings).into_iter();
        let mut joinings = at.share_out(self.joinings).into_iter();
        let mut weighings = at.share_out(self.weighings).into_iter();
        let mut treatments = at.share_out(self.treatments).into_iter();
        let mut pen_moves = at.share_out(self.pen_moves).into_iter();
        let mut movements = at.share_out(self.movements).into_iter();
        let mut remarks = at.share_out(self.remarks).into_iter();
        let files = self.animals.into_iter().map(|mut animal| {
            let mut marks = identities.next().unwrap_or_default();
            marks.sort_by_key(|(place, _)| *place);
            animal.identities = marks.into_iter().map(|(_, identity)| identity).collect();
            let mut file = AnimalFile {
                animal,
                birth: births.next().unwrap_or_default().pop(),
                lambings: lambings.next().unwrap_or_default(),
                joinings: joinings.next().unwrap_or_default(),
                weighings: weighings.next().unwrap_or_default(),
                treatments: treatments.next().unwrap_or_default(),
                pen_moves: pen_moves.next().unwrap_or_default(),
                movements: movements.next().unwrap_or_default(),
                remarks: remarks.next().unwrap_or_default(),
                offspring: offspring.next().unwrap_or_default(),
            };
            load::in_order(&mut file);
            file
        });
        let mut flock = Flock::of(files, at.0, self.marks);
        flock.set_products(self.products);
        flock.set_holding(self.holding);
        flock.set_amendments(self.amendments);
        flock
    }
}

/// Where each animal stands in the order of ids.
struct At(Places);

impl At {
    /// Records by the place of their animal, in the order given, each list as long as it needs to be.
    fn share_out<T>(&self, pile: Pile<T>) -> Vec<Vec<T>> {
        let mut lists: Vec<Vec<T>> = Vec::with_capacity(self.0.len());
        if pile.is_empty() {
            lists.resize_with(self.0.len(), Vec::new);
            return lists;
        }
        let places: Vec<Option<u32>> = pile.iter().map(|(id, _)| self.0.get(id).copied()).collect();
        let mut counts = vec![0usize; self.0.len()];
        places.iter().flatten().for_each(|p| counts[*p as usize] += 1);
        lists.extend(counts.into_iter().map(Vec::with_capacity));
        for (place, (_, record)) in places.into_iter().zip(pile) {
            if let Some(place) = place {
                lists[place as usize].push(record);
            }
        }
        lists
    }

    /// Lambs of each parent, in order of id, which is the order they were written in.
    fn offspring(&self, animals: &[Animal]) -> Vec<Vec<AnimalId>> {
        let mut pile = Vec::with_capacity(animals.len() * 2);
        for a in animals {
            let dams = [a.dam, a.genetic_dam.filter(|d| Some(*d) != a.dam)];
            let sires = a.sire.possible().iter().filter(|s| !dams.contains(&Some(**s)));
            pile.extend(dams.into_iter().flatten().chain(sires.copied()).map(|parent| (parent, a.id)));
        }
        let mut lists = self.share_out(pile);
        lists.iter_mut().for_each(Vec::dedup);
        lists
    }
}
