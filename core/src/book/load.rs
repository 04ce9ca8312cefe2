//! Reading one animal's file after a write, and what is read alike then and on opening.

use super::{blood, gather, rows, weights};
use crate::flock::{AnimalFile, Flock, Holding, Identity, Sire};
use crate::plan::Plan;
use crate::terms::{AnimalId, LambingId};
use rusqlite::{Connection, Row};
use thin_vec::ThinVec;

type Result<T> = rusqlite::Result<T>;

/// Runs `each` over the rows of a select about one animal.
fn each(
    db: &Connection,
    sql: &str,
    one: AnimalId,
    mut each: impl FnMut(&Row<'_>) -> Result<()>,
) -> Result<()> {
    let mut statement = db.prepare_cached(sql)?;
    let mut rows = statement.query([one.bytes()])?;
    while let Some(r) = rows.next()? {
        each(r)?;
    }
    Ok(())
}

/// One animal's file as it stands, or none if it was taken away.
pub(super) fn one(db: &Connection, id: AnimalId) -> Result<Option<AnimalFile>> {
    let mut read = None;
    each(db, &format!("select {} from animal where id = ?1", rows::ANIMAL), id, |r| {
        read = Some(rows::animal(r)?);
        Ok(())
    })?;
    let Some(animal) = read else { return Ok(None) };
    let mut file = AnimalFile::of(animal);
    let f = &mut file;
    f.animal.identities = identities(db, id)?;
    let mut rams = Vec::new();
    each(db, "select ram from possible_sire where animal = ?1 order by place, id", id, |r| {
        rams.push(rows::animal_id(r, 0)?);
        Ok(())
    })?;
    if !rams.is_empty() {
        f.animal.sire = Sire::OneOf(rams);
    }
    events(db, f)?;
    offspring(db, f)?;
    in_order(f);
    Ok(Some(file))
}

/// Every mark of an animal.
pub(super) fn identities(db: &Connection, id: AnimalId) -> Result<ThinVec<Identity>> {
    let mut all = ThinVec::new();
    each(
        db,
        &format!("select {} from identity where animal = ?1 order by place, id", rows::IDENTITY),
        id,
        |r| {
            all.push(rows::identity(r)?.1);
            Ok(())
        },
    )?;
    Ok(all)
}

fn events(db: &Connection, f: &mut AnimalFile) -> Result<()> {
    let id = f.animal.id;
    macro_rules! take {
        ($table:literal, $cols:expr, $by:literal, $read:path, $list:ident) => {
            each(db, &format!("select {} from {} where {} = ?1", $cols, $table, $by), id, |r| {
                f.$list.push($read(r)?.1);
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
    take!("mating_mark", blood::MATING_MARK, "ewe", blood::mating_mark, marks);
    take!("scan", blood::SCAN, "ewe", blood::scan, scans);
    take!("crayon", blood::CRAYON, "ram", blood::crayon, crayons);
    take!("gene_test", blood::GENE_TEST, "animal", blood::gene_test, tests);
    take!("scoring", weights::SCORING, "animal", weights::scoring, scores);
    take!("decision", weights::DECISION, "animal", weights::decision, decisions);
    take!("grouping", weights::GROUPING, "animal", weights::grouping, groups);
    let birth = format!(
        "select {}, (select ewe from lambing where lambing.id = birth.lambing) from birth where id = ?1",
        rows::BIRTH
    );
    each(db, &birth, id, |r| {
        let ewe = rows::animal_opt(r, 8)?;
        f.birth = rows::birth(r, |_| ewe)?;
        Ok(())
    })?;
    let lambs = "select b.lambing, b.id from birth b join lambing l on l.id = b.lambing where l.ewe = ?1 order by b.lambing, b.place, b.id";
    each(db, lambs, id, |r| {
        let (lambing, lamb) = (LambingId::from_bytes(r.get(0)?), rows::animal_id(r, 1)?);
        if let Some(l) = f.lambings.iter_mut().find(|l| l.id == lambing) {
            l.lambs.push(lamb);
        }
        Ok(())
    })
}

/// Lambs of a parent, in order of id, which is the order they were written in.
fn offspring(db: &Connection, f: &mut AnimalFile) -> Result<()> {
    for sql in [
        "select id from animal where dam = ?1",
        "select id from animal where genetic_dam = ?1",
        "select id from animal where sire = ?1",
        "select animal from possible_sire where ram = ?1",
    ] {
        each(db, sql, f.animal.id, |r| {
            f.offspring.push(rows::animal_id(r, 0)?);
            Ok(())
        })?;
    }
    f.offspring.sort_unstable();
    f.offspring.dedup();
    Ok(())
}

/// Records of a file in order of time.
pub(super) fn in_order(f: &mut AnimalFile) {
    f.lambings.sort_by_key(|l| (l.at, l.id));
    f.joinings.sort_by_key(|j| (j.from, j.id));
    f.weighings.sort_by_key(|w| (w.at, w.id));
    f.treatments.sort_by_key(|t| (t.at, t.id));
    f.pen_moves.sort_by_key(|p| (p.on, p.id));
    f.movements.sort_by_key(|m| (m.on, m.id));
    f.remarks.sort_by_key(|n| (n.on, n.id));
    f.ticks.sort_by_key(|t| (t.at, t.id));
    f.marks.sort_by_key(|m| (m.on, m.id));
    f.scans.sort_by_key(|s| (s.on, s.id));
    f.crayons.sort_by_key(|c| (c.on, c.id));
    f.tests.sort_by_key(|t| (t.on, t.id));
    f.scores.sort_by_key(|s| (s.at, s.id));
    f.decisions.sort_by_key(|d| (d.on, d.id));
    f.groups.sort_by_key(|g| (g.age_days, g.id));
}

/// The whole flock, read over this one connection.
pub(super) fn everything(db: &Connection) -> Result<Flock> {
    let at = gather::At::default();
    let files = at.tell(|| gather::animals(db))?;
    let offspring = gather::offspring(&files, &at.told());
    let mut all = gather::Gathered::default();
    for step in gather::STEPS {
        all.take(step(db, &at)?);
    }
    Ok(all.flock(files, offspring, at.told()))
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
