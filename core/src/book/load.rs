//! Reading the book into the flock: everything at once, or one animal's file after a write.

use super::rows;
use crate::flock::{AnimalFile, Flock, Holding, Product, Sire};
use crate::plan::Plan;
use crate::terms::{AnimalId, LambingId};
use rapidhash::RapidHashMap;
use rusqlite::{Connection, Row};

type Result<T> = rusqlite::Result<T>;

/// Runs `each` over the rows of a select, all rows or those of one animal.
fn each(
    db: &Connection,
    sql: &str,
    one: Option<AnimalId>,
    mut each: impl FnMut(&Row<'_>) -> Result<()>,
) -> Result<()> {
    let mut statement = db.prepare_cached(sql)?;
    let mut rows = match one {
        Some(id) => statement.query([id.bytes()])?,
        None => statement.query([])?,
    };
    while let Some(r) = rows.next()? {
        each(r)?;
    }
    Ok(())
}

/// Files under construction, by id.
#[derive(Default)]
struct Files {
    files: Vec<AnimalFile>,
    at: RapidHashMap<AnimalId, usize>,
    lambs: RapidHashMap<LambingId, Vec<AnimalId>>,
}

impl Files {
    fn of(&mut self, id: AnimalId) -> Option<&mut AnimalFile> {
        self.at.get(&id).and_then(|i| self.files.get_mut(*i))
    }
}

fn read(db: &Connection, one: Option<AnimalId>) -> Result<Vec<AnimalFile>> {
    let mut all = Files::default();
    let only = |col: &str| if one.is_some() { format!(" where {col} = ?1") } else { String::new() };
    each(db, &format!("select {} from animal{} order by id", rows::ANIMAL, only("id")), one, |r| {
        let animal = rows::animal(r)?;
        all.at.insert(animal.id, all.files.len());
        all.files.push(AnimalFile {
            animal,
            birth: None,
            lambings: Vec::new(),
            joinings: Vec::new(),
            weighings: Vec::new(),
            treatments: Vec::new(),
            pen_moves: Vec::new(),
            movements: Vec::new(),
            remarks: Vec::new(),
            ticks: Vec::new(),
            offspring: Vec::new(),
        });
        Ok(())
    })?;
    each(
        db,
        &format!("select {} from identity{} order by animal, place", rows::IDENTITY, only("animal")),
        one,
        |r| {
            let (id, identity) = rows::identity(r)?;
            if let Some(f) = all.of(id) {
                f.animal.identities.push(identity);
            }
            Ok(())
        },
    )?;
    each(
        db,
        &format!("select animal, ram from possible_sire{} order by animal, place", only("animal")),
        one,
        |r| {
            let (id, ram) = (AnimalId::from_bytes(r.get(0)?), AnimalId::from_bytes(r.get(1)?));
            if let Some(f) = all.of(id) {
                match &mut f.animal.sire {
                    Sire::OneOf(rams) => rams.push(ram),
                    other => *other = Sire::OneOf(vec![ram]),
                }
            }
            Ok(())
        },
    )?;
    events(db, one, &mut all)?;
    offspring(db, one, &mut all)?;
    for f in &mut all.files {
        for l in &mut f.lambings {
            l.lambs = all.lambs.remove(&l.id).unwrap_or_default();
        }
        f.lambings.sort_by_key(|l| (l.at, l.id));
        f.joinings.sort_by_key(|j| (j.from, j.id));
        f.weighings.sort_by_key(|w| (w.at, w.id));
        f.treatments.sort_by_key(|t| (t.at, t.id));
        f.pen_moves.sort_by_key(|p| (p.on, p.id));
        f.movements.sort_by_key(|m| (m.on, m.id));
        f.remarks.sort_by_key(|n| (n.on, n.id));
        f.ticks.sort_by_key(|t| (t.at, t.id));
    }
    Ok(all.files)
}

fn events(db: &Connection, one: Option<AnimalId>, all: &mut Files) -> Result<()> {
    let only = |col: &str| if one.is_some() { format!(" where {col} = ?1") } else { String::new() };
    let births = format!("select {} from birth b join lambing l on l.id = b.lambing", rows::BIRTH);
    each(db, &format!("{births}{}", only("b.id")), one, |r| {
        let (id, birth) = rows::birth(r)?;
        if let Some(f) = all.of(id) {
            f.birth = Some(birth);
        }
        Ok(())
    })?;
    let by_ewe = if one.is_some() { " where l.ewe = ?1" } else { "" };
    each(
        db,
        &format!(
            "select b.lambing, b.id from birth b join lambing l on l.id = b.lambing{by_ewe} order by b.lambing, b.place"
        ),
        one,
        |r| {
            let (lambing, lamb) = (LambingId::from_bytes(r.get(0)?), AnimalId::from_bytes(r.get(1)?));
            all.lambs.entry(lambing).or_default().push(lamb);
            Ok(())
        },
    )?;
    macro_rules! take {
        ($table:literal, $cols:expr, $by:literal, $read:path, $list:ident) => {
            each(db, &format!("select {} from {}{}", $cols, $table, only($by)), one, |r| {
                let (id, record) = $read(r)?;
                if let Some(f) = all.of(id) {
                    f.$list.push(record);
                }
                Ok(())
            })?;
        };
    }
    take!("lambing", rows::LAMBING, "ewe", rows::lambing, lambings);
    take!("joining", rows::JOINING, "ewe", rows::joining, joinings);
    take!("weighing", rows::WEIGHING, "animal", rows::weighing, weighings);
    take!("treatment", rows::TREATMENT, "animal", rows::treatment, treatments);
    take!("pen_move", rows::PEN_MOVE, "animal", rows::pen_move, pen_moves);
    take!("movement", rows::MOVEMENT, "animal", rows::movement, movements);
    take!("remark", rows::REMARK, "animal", rows::remark, remarks);
    take!("tick", rows::TICK, "animal", rows::tick, ticks);
    Ok(())
}

/// Lambs of each parent, in order of id, which is the order they were written in.
fn offspring(db: &Connection, one: Option<AnimalId>, all: &mut Files) -> Result<()> {
    let only = |col: &str| {
        if one.is_some() { format!(" where {col} = ?1") } else { format!(" where {col} is not null") }
    };
    for (parent, child, table) in [
        ("dam", "id", "animal"),
        ("genetic_dam", "id", "animal"),
        ("sire", "id", "animal"),
        ("ram", "animal", "possible_sire"),
    ] {
        each(db, &format!("select {parent}, {child} from {table}{}", only(parent)), one, |r| {
            let (parent, child) = (AnimalId::from_bytes(r.get(0)?), AnimalId::from_bytes(r.get(1)?));
            if let Some(f) = all.of(parent) {
                f.offspring.push(child);
            }
            Ok(())
        })?;
    }
    for f in &mut all.files {
        f.offspring.sort_unstable();
        f.offspring.dedup();
    }
    Ok(())
}

/// The whole flock.
pub(super) fn everything(db: &Connection, flock: &mut Flock) -> Result<()> {
    for file in read(db, None)? {
        flock.put(file);
    }
    flock.set_products(products(db)?);
    flock.set_holding(holding(db)?);
    flock.set_plan(plan(db)?);
    flock.set_amendments(super::journal::amendments(db)?);
    Ok(())
}

/// One animal's file as it stands, or none if it was taken away.
pub(super) fn one(db: &Connection, id: AnimalId) -> Result<Option<AnimalFile>> {
    Ok(read(db, Some(id))?.into_iter().next())
}

/// The cupboard's products.
pub(super) fn products(db: &Connection) -> Result<Vec<Product>> {
    db.prepare_cached(&format!("select {} from product order by name", rows::PRODUCT))?
        .query_map([], rows::product)?
        .collect()
}

/// The care plan with the keeper's changes.
pub(super) fn plan(db: &Connection) -> Result<Plan> {
    let mut statement =
        db.prepare_cached(&format!("select {} from plan_step order by id", rows::PLAN_STEP))?;
    let changes = statement.query_map([], rows::plan_step)?.collect::<Result<Vec<_>>>()?;
    Ok(Plan::with(changes))
}

/// Who keeps the flock.
pub(super) fn holding(db: &Connection) -> Result<Holding> {
    let mut h = Holding::default();
    let mut statement = db.prepare_cached("select name, value from setting")?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        let name: String = r.get(0)?;
        rows::set(&mut h, &name, r.get(1)?);
    }
    Ok(h)
}
