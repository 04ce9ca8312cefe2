//! Entries to rows. Only this file and undo write into a book's tables.

use crate::entry::{Amended, Entry, NewLambing};
use crate::flock::{
    Animal, Birth, Ended, Identity, Joining, Lambing, Movement, PenMove, Product, RecordRef, Remark, Sire,
    Struck, Treatment, Weighing,
};
use crate::terms::{AnimalId, Day, Dose, DoseRule, Rearing};
use rusqlite::{Connection, params};
use std::collections::HashMap;

type Result<T> = rusqlite::Result<T>;

/// The word for an entry's kind in the journal.
pub(super) fn kind(entry: &Entry) -> &'static str {
    match entry {
        Entry::Animals { .. } => "animals",
        // New facts of an animal are an amendment of what was written before.
        Entry::EditAnimal(_) | Entry::Amend(_) => "amend",
        Entry::Retag { .. } => "retag",
        Entry::Lambings(_) => "lambing",
        Entry::Joinings(_) => "joining",
        Entry::Weighings(_) => "weighing",
        Entry::Treatments(_) => "treatment",
        Entry::Products(_) => "product",
        Entry::PenMoves(_) => "pen",
        Entry::Movements(_) => "standing",
        Entry::Remarks(_) => "note",
        Entry::Strike { .. } => "strike",
        Entry::Holding(_) => "setting",
    }
}

/// Writes an entry's rows within the caller's transaction.
pub(super) fn apply(db: &Connection, entry: &Entry) -> Result<()> {
    match entry {
        Entry::Animals { animals, movements } => {
            parents_first(animals).into_iter().try_for_each(|a| put_animal(db, a, true))?;
            movements.iter().try_for_each(|m| put_movement(db, m, true))
        }
        Entry::EditAnimal(a) => put_animal(db, a, false),
        Entry::Retag { animal, identities } => put_identities(db, *animal, identities),
        Entry::Lambings(all) => all.iter().try_for_each(|l| put_new_lambing(db, l)),
        Entry::Joinings(all) => all.iter().try_for_each(|j| put_joining(db, j, true)),
        Entry::Weighings(all) => all.iter().try_for_each(|w| put_weighing(db, w, true)),
        Entry::Treatments(all) => all.iter().try_for_each(|t| put_treatment(db, t, true)),
        Entry::Products(all) => all.iter().try_for_each(|p| put_product(db, p)),
        Entry::PenMoves(all) => all.iter().try_for_each(|p| {
            put_pen_move(db, p, true)?;
            settle_pen(db, p.animal)
        }),
        Entry::Movements(all) => all.iter().try_for_each(|m| {
            put_movement(db, m, true)?;
            settle_standing(db, m.animal)
        }),
        Entry::Remarks(all) => all.iter().try_for_each(|r| put_remark(db, r, true)),
        Entry::Amend(new) => amend(db, new),
        Entry::Strike { record, on, reason } => strike(db, *record, *on, reason),
        Entry::Holding(h) => super::rows::settings(h).into_iter().try_for_each(|(name, value)| {
            run(
                db,
                "insert into setting (name, value) values (?1, ?2) on conflict (name) do update set value = ?2 where value is not ?2",
                params![name, value],
            )
        }),
    }
}

/// New animals in an order in which every parent and foster ewe comes before its lambs. While a key is still
/// missing, SQLite looks for rows that wait for it with every row it takes in, and a large import crawls.
fn parents_first(animals: &[Animal]) -> Vec<&Animal> {
    let at: HashMap<AnimalId, usize> = animals.iter().enumerate().map(|(i, a)| (a.id, i)).collect();
    let above = |a: &Animal| -> Vec<usize> {
        let foster = match a.rearing {
            Rearing::Foster(e) => Some(e),
            _ => None,
        };
        let named = [a.dam, a.genetic_dam, foster].into_iter().flatten();
        named.chain(a.sire.possible().iter().copied()).filter_map(|id| at.get(&id).copied()).collect()
    };
    let mut order = Vec::with_capacity(animals.len());
    let mut seen = vec![false; animals.len()];
    for start in 0..animals.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        // Depth first without recursion; an animal is placed when all above it are.
        let mut path = vec![(start, above(&animals[start]))];
        while let Some((i, left)) = path.last_mut() {
            match left.pop() {
                Some(up) if !std::mem::replace(&mut seen[up], true) => path.push((up, above(&animals[up]))),
                Some(_) => {}
                None => {
                    order.push(&animals[*i]);
                    path.pop();
                }
            }
        }
    }
    order
}

fn run(db: &Connection, sql: &str, values: impl rusqlite::Params) -> Result<()> {
    db.prepare_cached(sql)?.execute(values).map(|_| ())
}

/// `insert` or `update … where id = ?1`, over the same numbered columns with the id first.
fn put(
    db: &Connection,
    table: &str,
    columns: &[&str],
    new: bool,
    values: impl rusqlite::Params,
) -> Result<()> {
    let sql = if new {
        let slots: Vec<String> = (1..=columns.len()).map(|i| format!("?{i}")).collect();
        format!("insert into {table} ({}) values ({})", columns.join(", "), slots.join(", "))
    } else {
        let sets: Vec<String> =
            columns.iter().enumerate().skip(1).map(|(i, c)| format!("{c} = ?{}", i + 1)).collect();
        format!("update {table} set {} where {} = ?1", sets.join(", "), columns[0])
    };
    run(db, &sql, values)
}

fn text(d: Option<Day>) -> Option<String> {
    d.map(|d| d.to_string())
}

fn put_animal(db: &Connection, a: &Animal, new: bool) -> Result<()> {
    let (rearing, foster) = match a.rearing {
        Rearing::Dam => ("dam", None),
        Rearing::Foster(e) => ("foster", Some(e.bytes())),
        Rearing::Bottle => ("bottle", None),
    };
    put(
        db,
        "animal",
        &[
            "id",
            "name",
            "sex",
            "breed",
            "born",
            "dam",
            "sire",
            "genetic_dam",
            "rearing",
            "foster",
            "birth_type",
            "rear_type",
            "birth_weight_g",
            "colour",
            "marks",
            "pen",
            "note",
            "status",
            "status_on",
            "status_reason",
        ],
        new,
        params![
            a.id.bytes(),
            a.name,
            a.sex.word(),
            a.breed.as_ref().map(ToString::to_string),
            a.born.to_string(),
            a.dam.map(|d| d.bytes()),
            a.sire.known().map(|s| s.bytes()),
            a.genetic_dam.map(|d| d.bytes()),
            rearing,
            foster,
            a.birth_type.map(|b| b.count()),
            a.rear_type.map(|b| b.count()),
            a.birth_weight.map(|w| w.grams()),
            a.colour,
            a.marks,
            a.pen,
            a.note,
            a.status.word(),
            text(a.status_on),
            a.status_reason,
        ],
    )?;
    put_possible_sires(db, a)?;
    if new { put_identities(db, a.id, &a.identities) } else { Ok(()) }
}

fn put_possible_sires(db: &Connection, a: &Animal) -> Result<()> {
    let wanted: &[AnimalId] = match &a.sire {
        Sire::OneOf(rams) => rams,
        _ => &[],
    };
    let have: Vec<[u8; 16]> = db
        .prepare_cached("select ram from possible_sire where animal = ? order by place")?
        .query_map([a.id.bytes()], |r| r.get(0))?
        .collect::<Result<_>>()?;
    if have.iter().eq(wanted.iter().map(|w| w.bytes()).collect::<Vec<_>>().iter()) {
        return Ok(());
    }
    run(db, "delete from possible_sire where animal = ?", [a.id.bytes()])?;
    for (place, ram) in wanted.iter().enumerate() {
        let id = crate::terms::EntryId::new().bytes();
        run(
            db,
            "insert into possible_sire (id, animal, ram, place) values (?, ?, ?, ?)",
            params![id, a.id.bytes(), ram.bytes(), place as i64],
        )?;
    }
    Ok(())
}

fn put_identities(db: &Connection, animal: AnimalId, all: &[Identity]) -> Result<()> {
    // Ended marks first: a tag may pass from an ended mark to a worn one within one write.
    let mut order: Vec<(usize, &Identity)> = all.iter().enumerate().collect();
    order.sort_by_key(|(_, i)| i.ended.is_none());
    for (place, i) in order {
        let ended = i.ended.map(|e| match e {
            Ended::Lost => "lost",
            Ended::Replaced => "replaced",
        });
        run(
            db,
            "insert into identity (id, animal, place, kind, tag, norm, from_on, to_on, ended)
             values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)
             on conflict (id) do update set place = ?3, tag = ?5, norm = ?6, from_on = ?7, to_on = ?8, ended = ?9",
            params![
                i.id.bytes(),
                animal.bytes(),
                place as i64,
                i.kind.word(),
                i.tag.as_str(),
                i.tag.norm(),
                text(i.from),
                text(i.to),
                ended
            ],
        )?;
    }
    Ok(())
}

fn put_new_lambing(db: &Connection, l: &NewLambing) -> Result<()> {
    put_lambing(db, &l.lambing, true)?;
    for lamb in &l.lambs {
        put_animal(db, &lamb.animal, lamb.is_new)?;
        put_birth(db, lamb.animal.id, &lamb.birth, true)?;
    }
    for lamb in &l.fostered_on {
        run(
            db,
            "update animal set rearing = 'foster', foster = ?2 where id = ?1",
            params![lamb.bytes(), l.lambing.ewe.bytes()],
        )?;
    }
    for p in &l.moves {
        put_pen_move(db, p, true)?;
        settle_pen(db, p.animal)?;
    }
    l.deaths.iter().try_for_each(|m| put_movement(db, m, true))
}

fn struck(s: &Option<Struck>) -> (Option<&str>, Option<String>) {
    s.as_ref().map_or((None, None), |s| (Some(s.reason.as_str()), Some(s.on.to_string())))
}

fn put_lambing(db: &Connection, l: &Lambing, new: bool) -> Result<()> {
    let (why, when) = struck(&l.struck);
    put(
        db,
        "lambing",
        &["id", "ewe", "on_day", "at_time", "ram", "ease", "help", "note", "struck", "struck_on"],
        new,
        params![
            l.id.bytes(),
            l.ewe.bytes(),
            l.at.day.to_string(),
            l.at.time.map(|t| t.to_string()),
            l.ram.map(|r| r.bytes()),
            l.ease.map(|e| e.word()),
            l.help,
            l.note,
            why,
            when,
        ],
    )
}

fn put_birth(db: &Connection, lamb: AnimalId, b: &Birth, new: bool) -> Result<()> {
    let colostrum = b.colostrum.and_then(|d| match d {
        Dose::Volume(ul) => Some(ul),
        _ => None,
    });
    put(
        db,
        "birth",
        &["id", "lambing", "place", "fate", "ease", "sucked", "navel_dipped", "colostrum_ul"],
        new,
        params![
            lamb.bytes(),
            b.lambing.bytes(),
            b.order,
            b.fate.word(),
            b.ease.map(|e| e.word()),
            b.sucked,
            b.navel_dipped,
            colostrum,
        ],
    )
}

fn put_joining(db: &Connection, j: &Joining, new: bool) -> Result<()> {
    let (why, when) = struck(&j.struck);
    put(
        db,
        "joining",
        &["id", "ewe", "ram", "from_on", "to_on", "method", "struck", "struck_on"],
        new,
        params![
            j.id.bytes(),
            j.ewe.bytes(),
            j.ram.bytes(),
            j.from.to_string(),
            text(j.to),
            j.method,
            why,
            when
        ],
    )
}

fn put_weighing(db: &Connection, w: &Weighing, new: bool) -> Result<()> {
    let (why, when) = struck(&w.struck);
    put(
        db,
        "weighing",
        &["id", "animal", "on_day", "at_time", "weight_g", "note", "struck", "struck_on"],
        new,
        params![
            w.id.bytes(),
            w.animal.bytes(),
            w.at.day.to_string(),
            w.at.time.map(|t| t.to_string()),
            w.weight.grams(),
            w.note,
            why,
            when,
        ],
    )
}

fn put_treatment(db: &Connection, t: &Treatment, new: bool) -> Result<()> {
    let (why, when) = struck(&t.struck);
    let (kind, dose) = match t.dose {
        Some(Dose::Volume(ul)) => (Some("ul"), Some(i64::from(ul))),
        Some(Dose::Mass(ug)) => (Some("ug"), i64::try_from(ug).ok()),
        Some(Dose::Pieces(n)) => (Some("pieces"), Some(i64::from(n))),
        None => (None, None),
    };
    put(
        db,
        "treatment",
        &[
            "id",
            "animal",
            "on_day",
            "at_time",
            "product",
            "batch",
            "dose_kind",
            "dose",
            "route",
            "site",
            "reason",
            "given_by",
            "prescribed_by",
            "meat",
            "milk",
            "struck",
            "struck_on",
        ],
        new,
        params![
            t.id.bytes(),
            t.animal.bytes(),
            t.at.day.to_string(),
            t.at.time.map(|t| t.to_string()),
            t.product,
            t.batch,
            kind,
            dose,
            t.route.map(|r| r.word()),
            t.site,
            t.reason,
            t.given_by,
            t.prescribed_by,
            t.meat.text(),
            t.milk.text(),
            why,
            when,
        ],
    )
}

fn put_pen_move(db: &Connection, p: &PenMove, new: bool) -> Result<()> {
    let (why, when) = struck(&p.struck);
    put(
        db,
        "pen_move",
        &["id", "animal", "on_day", "pen", "struck", "struck_on"],
        new,
        params![p.id.bytes(), p.animal.bytes(), p.on.to_string(), p.pen, why, when],
    )
}

fn put_movement(db: &Connection, m: &Movement, new: bool) -> Result<()> {
    let (why, when) = struck(&m.struck);
    put(
        db,
        "movement",
        &["id", "animal", "on_day", "status", "other", "reason", "struck", "struck_on"],
        new,
        params![m.id.bytes(), m.animal.bytes(), m.on.to_string(), m.to.word(), m.other, m.reason, why, when],
    )
}

fn put_remark(db: &Connection, r: &Remark, new: bool) -> Result<()> {
    let (why, when) = struck(&r.struck);
    put(
        db,
        "remark",
        &["id", "animal", "on_day", "text", "struck", "struck_on"],
        new,
        params![r.id.bytes(), r.animal.bytes(), r.on.to_string(), r.text, why, when],
    )
}

fn put_product(db: &Connection, p: &Product) -> Result<()> {
    let (rule, ul) = match p.rule {
        DoseRule::PerKg(ul) => ("per kg", Some(ul)),
        DoseRule::PerHead(ul) => ("per head", Some(ul)),
        DoseRule::Typed => ("typed", None),
    };
    let known: i64 = db
        .prepare_cached("select count(*) from product where id = ?")?
        .query_row([p.id.bytes()], |r| r.get(0))?;
    put(
        db,
        "product",
        &[
            "id",
            "name",
            "substance",
            "form",
            "ug_per_ml",
            "rule",
            "rule_ul",
            "route",
            "meat",
            "milk",
            "licensed_for",
        ],
        known == 0,
        params![
            p.id.bytes(),
            p.name,
            p.substance,
            p.form,
            p.strength.map(|s| s.0),
            rule,
            ul,
            p.route.map(|r| r.word()),
            p.meat.text(),
            p.milk.text(),
            p.licensed_for,
        ],
    )
}

/// The pen an animal is in: that of its last move that stands.
fn settle_pen(db: &Connection, animal: AnimalId) -> Result<()> {
    run(
        db,
        "update animal set pen = (select pen from pen_move where animal = ?1 and struck is null order by on_day desc, id desc limit 1)
         where id = ?1",
        [animal.bytes()],
    )
}

/// The standing of an animal: that of its last movement that stands, else in the flock. One that left is in no pen.
fn settle_standing(db: &Connection, animal: AnimalId) -> Result<()> {
    run(
        db,
        "update animal set (status, status_on, status_reason) =
           (select coalesce(max(m.status), 'in the flock'), max(m.on_day), max(m.reason) from
             (select status, on_day, reason from movement where animal = ?1 and struck is null
              order by on_day desc, id desc limit 1) m)
         where id = ?1",
        [animal.bytes()],
    )?;
    run(
        db,
        "update animal set pen = null where id = ?1 and status <> 'in the flock' and pen is not null",
        [animal.bytes()],
    )
}

fn amend(db: &Connection, new: &Amended) -> Result<()> {
    match new {
        Amended::Lambing(l) => {
            // Lambs follow where they held the old day and sire.
            let day = l.at.day.to_string();
            run(
                db,
                "update animal set born = ?2 where id in (select id from birth where lambing = ?1)
                 and born = (select on_day from lambing where id = ?1)",
                params![l.id.bytes(), day],
            )?;
            run(
                db,
                "update animal set sire = ?2 where id in (select id from birth where lambing = ?1)
                 and sire is (select ram from lambing where id = ?1)
                 and not exists (select 1 from possible_sire p where p.animal = animal.id)",
                params![l.id.bytes(), l.ram.map(|r| r.bytes())],
            )?;
            put_lambing(db, l, false)
        }
        Amended::Birth(lamb, b) => put_birth(db, *lamb, b, false),
        Amended::Joining(j) => put_joining(db, j, false),
        Amended::Weighing(w) => put_weighing(db, w, false),
        Amended::Treatment(t) => put_treatment(db, t, false),
        Amended::PenMove(p) => {
            put_pen_move(db, p, false)?;
            settle_pen(db, p.animal)
        }
        Amended::Movement(m) => {
            put_movement(db, m, false)?;
            settle_standing(db, m.animal)
        }
        Amended::Remark(r) => put_remark(db, r, false),
    }
}

fn strike(db: &Connection, record: RecordRef, on: Day, reason: &str) -> Result<()> {
    let (table, id) = match record {
        RecordRef::Lambing(id) => ("lambing", id.bytes()),
        RecordRef::Joining(id) => ("joining", id.bytes()),
        RecordRef::Weighing(id) => ("weighing", id.bytes()),
        RecordRef::Treatment(id) => ("treatment", id.bytes()),
        RecordRef::PenMove(id) => ("pen_move", id.bytes()),
        RecordRef::Movement(id) => ("movement", id.bytes()),
        RecordRef::Remark(id) => ("remark", id.bytes()),
        RecordRef::Animal(_) | RecordRef::Product(_) => return Ok(()),
    };
    run(
        db,
        &format!("update {table} set struck = ?2, struck_on = ?3 where id = ?1"),
        params![id, reason, on.to_string()],
    )?;
    if matches!(record, RecordRef::PenMove(_) | RecordRef::Movement(_)) {
        let animal: [u8; 16] = db
            .prepare_cached(&format!("select animal from {table} where id = ?"))?
            .query_row([id], |r| r.get(0))?;
        let animal = AnimalId::from_bytes(animal);
        if table == "pen_move" {
            settle_pen(db, animal)?;
        } else {
            settle_standing(db, animal)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::{AnimalDraft, Entry, animals};
    use crate::flock::Flock;
    use crate::terms::{Sex, Tag};

    #[test]
    fn parents_and_foster_ewes_come_before_their_lambs() {
        let new = |tag: &str, sex| AnimalDraft::new(Tag::parse(tag).unwrap(), sex);
        let (mut lamb, mut dam, ram) = (new("lamb", Sex::Ewe), new("dam", Sex::Ewe), new("ram", Sex::Ram));
        let (foster, grandam) = (new("foster", Sex::Ewe), new("grandam", Sex::Ewe));
        lamb.dam = Some(dam.id);
        lamb.rearing = Rearing::Foster(foster.id);
        dam.sire = Sire::Known(ram.id);
        dam.dam = Some(grandam.id);
        let all = vec![lamb, dam, grandam, ram, foster];
        let checked = animals(all, &Flock::default(), Day::today()).unwrap();
        let Entry::Animals { animals, .. } = checked.entry() else { panic!("animals") };
        let order: Vec<&str> = parents_first(animals).iter().map(|a| a.tag()).collect();
        let at = |tag| order.iter().position(|t| *t == tag).unwrap();
        assert_eq!(order.len(), 5);
        assert_eq!(at("lamb"), 4, "{order:?}");
        assert!(at("dam") > at("ram") && at("dam") > at("grandam"), "{order:?}");
    }
}
