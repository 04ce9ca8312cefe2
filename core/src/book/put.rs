//! Records to rows: one function for each table, for a new row or new values of an old one.

use crate::flock::{
    Animal, Birth, Ended, Identity, Joining, Lambing, Movement, Outcome, PenMove, Remark, Sire, Struck, Tick,
    Treatment, Weighing,
};
use crate::plan::PlanStep;
use crate::terms::{AnimalId, Day, Dose, MeantFor, Rearing};
use rusqlite::{Connection, params};

type Result<T> = rusqlite::Result<T>;

pub(super) fn run(db: &Connection, sql: &str, values: impl rusqlite::Params) -> Result<()> {
    db.prepare_cached(sql)?.execute(values).map(|_| ())
}

/// `insert` or `update … where id = ?1`, over the same numbered columns with the id first.
pub(super) fn put(
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

/// Columns as a list of them is written.
pub(super) fn columns(list: &str) -> Vec<&str> {
    list.split(", ").collect()
}

/// A table has a row of this id.
pub(super) fn known(db: &Connection, table: &str, id: [u8; 16]) -> Result<bool> {
    db.prepare_cached(&format!("select 1 from {table} where id = ?1"))?.exists([id])
}

pub(super) fn text(d: Option<Day>) -> Option<String> {
    d.map(|d| d.to_string())
}

pub(super) fn put_animal(db: &Connection, a: &Animal, new: bool) -> Result<()> {
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
            "meant_for",
            "prefix",
            "section",
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
            (a.meant_for != MeantFor::Undecided).then(|| a.meant_for.word()),
            a.prefix,
            a.section,
        ],
    )?;
    put_possible_sires(db, a)?;
    if new { put_identities(db, a.id, &a.identities) } else { Ok(()) }
}

pub(super) fn put_possible_sires(db: &Connection, a: &Animal) -> Result<()> {
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

pub(super) fn put_identities(db: &Connection, animal: AnimalId, all: &[Identity]) -> Result<()> {
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

pub(super) fn struck(s: &Option<Box<Struck>>) -> (Option<&str>, Option<String>) {
    s.as_ref().map_or((None, None), |s| (Some(s.reason.as_str()), Some(s.on.to_string())))
}

pub(super) fn put_lambing(db: &Connection, l: &Lambing, new: bool) -> Result<()> {
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

pub(super) fn put_birth(db: &Connection, lamb: AnimalId, b: &Birth, new: bool) -> Result<()> {
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

pub(super) fn put_joining(db: &Connection, j: &Joining, new: bool) -> Result<()> {
    let (why, when) = struck(&j.struck);
    put(
        db,
        "joining",
        &["id", "ewe", "ram", "from_on", "to_on", "method", "struck", "struck_on", "herd"],
        new,
        params![
            j.id.bytes(),
            j.ewe.bytes(),
            j.ram.bytes(),
            j.from.to_string(),
            text(j.to),
            j.method,
            why,
            when,
            j.group
        ],
    )
}

pub(super) fn put_weighing(db: &Connection, w: &Weighing, new: bool) -> Result<()> {
    let (why, when) = struck(&w.struck);
    put(
        db,
        "weighing",
        &["id", "animal", "on_day", "at_time", "weight_g", "note", "struck", "struck_on", "session"],
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
            w.session.map(|s| s.bytes()),
        ],
    )
}

pub(super) fn put_treatment(db: &Connection, t: &Treatment, new: bool) -> Result<()> {
    let (why, when) = struck(&t.struck);
    let (kind, dose) = amount(t.dose);
    let course = t.more.course;
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
            "export",
            "vet_gave",
            "off_label",
            "prescription",
            "course",
            "course_nth",
            "course_of",
            "course_hours",
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
            t.more.export.text(),
            t.more.vet_gave,
            t.more.off_label,
            t.more.prescription.map(|p| p.bytes()),
            course.map(|c| c.id.bytes()),
            course.map(|c| c.nth),
            course.map(|c| c.of),
            course.map(|c| c.every_hours),
        ],
    )
}

/// An amount as it lies in two columns: its kind and how much.
pub(super) fn amount(dose: Option<Dose>) -> (Option<&'static str>, Option<i64>) {
    match dose {
        Some(Dose::Volume(ul)) => (Some("ul"), Some(i64::from(ul))),
        Some(Dose::Mass(ug)) => (Some("ug"), i64::try_from(ug).ok()),
        Some(Dose::Pieces(n)) => (Some("pieces"), Some(i64::from(n))),
        None => (None, None),
    }
}

pub(super) fn put_pen_move(db: &Connection, p: &PenMove, new: bool) -> Result<()> {
    let (why, when) = struck(&p.struck);
    put(
        db,
        "pen_move",
        &["id", "animal", "on_day", "pen", "struck", "struck_on"],
        new,
        params![p.id.bytes(), p.animal.bytes(), p.on.to_string(), p.pen, why, when],
    )
}

pub(super) fn put_movement(db: &Connection, m: &Movement, new: bool) -> Result<()> {
    let (why, when) = struck(&m.struck);
    let d = &m.details;
    put(
        db,
        "movement",
        &[
            "id",
            "animal",
            "on_day",
            "status",
            "other",
            "reason",
            "struck",
            "struck_on",
            "number",
            "address",
            "carrier",
            "vehicle",
            "document",
            "cause",
            "disposal",
            "receipt",
        ],
        new,
        params![
            m.id.bytes(),
            m.animal.bytes(),
            m.on.to_string(),
            m.to.word(),
            m.other,
            m.reason,
            why,
            when,
            d.number,
            d.address,
            d.carrier,
            d.vehicle,
            d.document,
            d.cause,
            d.disposal,
            d.receipt,
        ],
    )
}

pub(super) fn put_remark(db: &Connection, r: &Remark, new: bool) -> Result<()> {
    let (why, when) = struck(&r.struck);
    put(
        db,
        "remark",
        &["id", "animal", "on_day", "text", "struck", "struck_on"],
        new,
        params![r.id.bytes(), r.animal.bytes(), r.on.to_string(), r.text, why, when],
    )
}

pub(super) fn put_tick(db: &Connection, t: &Tick, new: bool) -> Result<()> {
    let (why, when) = struck(&t.struck);
    let (outcome, until) = match t.outcome {
        Outcome::Done => ("done", None),
        Outcome::Skipped => ("skipped", None),
        Outcome::PutOff(until) => ("put off", Some(until.to_string())),
    };
    put(
        db,
        "tick",
        &[
            "id",
            "animal",
            "step",
            "anchor_on",
            "round",
            "outcome",
            "until_on",
            "on_day",
            "at_time",
            "note",
            "struck",
            "struck_on",
        ],
        new,
        params![
            t.id.bytes(),
            t.animal.bytes(),
            t.step,
            t.anchor.to_string(),
            t.round,
            outcome,
            until,
            t.at.day.to_string(),
            t.at.time.map(|m| m.to_string()),
            t.note,
            why,
            when
        ],
    )
}

pub(super) fn put_plan_step(db: &Connection, s: &PlanStep) -> Result<()> {
    run(
        db,
        "insert into plan_step (id, season, step, toml) values (?1, ?2, ?3, ?4)
         on conflict (id) do update set season = ?2, step = ?3, toml = ?4 where toml is not ?4",
        params![s.id.bytes(), s.season, s.step.key, s.step.to_toml()],
    )
}
