//! Entries to rows. Only this file, `put` and `undo` write into a book's tables.

use super::blood::{put_crayon, put_gene_test, put_mating_mark, put_scan};
use super::cupboard::{
    put_batch, put_egg_count, put_prescription, put_product, put_rule_change, put_stock_move, put_vet,
};
use super::documents::{put_document, put_facts, put_portrait};
use super::feed::{
    put_creep, put_feed, put_feed_move, put_feed_sheet, put_measure, put_pen_check, put_ration,
};
use super::pens;
use super::put::{
    put_animal, put_birth, put_identities, put_joining, put_lambing, put_movement, put_pen_move,
    put_plan_step, put_remark, put_tick, put_treatment, put_weighing, run,
};
use super::weights::{put_decision, put_grouping, put_money, put_scoring, put_session};
use crate::entry::{Amended, Entry, NewLambing};
use crate::flock::RecordRef;
use crate::terms::{AnimalId, Day, Status};
use rusqlite::{Connection, params};

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
        Entry::Ticks { .. } => "job",
        Entry::Parted(_) => "joining",
        Entry::Plan { .. } => "plan",
        Entry::Strike { .. } => "strike",
        Entry::Holding(_) => "setting",
        Entry::Batches(_) => "batch",
        Entry::Opened(_) => "opened",
        Entry::StockMoves(_) => "stock",
        Entry::Vets(_) => "vet",
        Entry::Prescriptions(_) => "prescription",
        Entry::Documents(_) => "paper",
        Entry::Portrait { .. } => "portrait",
        Entry::EggCounts(_) => "egg count",
        Entry::Rules { .. } => "rules",
        Entry::Marks(_) => "mark",
        Entry::Crayons(_) => "crayon",
        Entry::Scans(_) => "scan",
        Entry::GeneTests { .. } => "test",
        Entry::Merge { .. } => "merge",
        Entry::Weighed { .. } => "weighing",
        Entry::Sessions(_) => "session",
        Entry::Scorings(_) => "score",
        Entry::Decisions { .. } => "decision",
        Entry::Groupings { .. } => "group",
        Entry::Money(_) => "money",
        Entry::Feeds(_) => "feed",
        Entry::FeedMoves { .. } => "feed room",
        Entry::FeedSheets(_) => "analysis",
        Entry::Measures(_) => "measure",
        Entry::Creeps(_) => "creep",
        Entry::Rations(_) => "ration",
        Entry::PenChecks(_) => "check",
        Entry::PenPlaces { .. } => "pen map",
    }
}

/// Writes an entry's rows within the caller's transaction.
pub(super) fn apply(db: &Connection, entry: &Entry) -> Result<()> {
    match entry {
        Entry::Animals { animals, movements } => {
            super::order::parents_first(animals).into_iter().try_for_each(|a| put_animal(db, a, true))?;
            movements.iter().try_for_each(|m| put_movement(db, m, true))?;
            // One that is not in the flock is in no pen, whatever a table says.
            let gone = animals.iter().filter(|a| a.status != Status::Present && a.pen.is_some());
            gone.into_iter().try_for_each(|a| settle(db, a.id))
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
            settle(db, p.animal)
        }),
        Entry::Movements(all) => all.iter().try_for_each(|m| {
            // A register read from a table fills in the standing that came with its animal.
            let known = db.prepare_cached("select 1 from movement where id = ?")?.exists([m.id.bytes()])?;
            put_movement(db, m, !known)?;
            settle(db, m.animal)
        }),
        Entry::Remarks(all) => all.iter().try_for_each(|r| put_remark(db, r, true)),
        Entry::Ticks { ticks, castrated } => {
            ticks.iter().try_for_each(|t| put_tick(db, t, true))?;
            castrated.iter().try_for_each(|a| run(db, "update animal set sex = 'wether' where id = ?1", [a.bytes()]))
        }
        Entry::Parted(all) => all.iter().try_for_each(|j| put_joining(db, j, false)),
        Entry::Plan { put, drop } => {
            put.iter().try_for_each(|s| put_plan_step(db, s))?;
            drop.iter().try_for_each(|id| run(db, "delete from plan_step where id = ?1", [id.bytes()]))
        }
        Entry::Amend(new) => amend(db, new),
        Entry::Strike { record, on, reason } => strike(db, *record, *on, reason),
        Entry::Batches(all) => all.iter().try_for_each(|b| put_batch(db, b)),
        Entry::Opened(b) => put_batch(db, b),
        Entry::StockMoves(all) => all.iter().try_for_each(|m| put_stock_move(db, m)),
        Entry::Vets(all) => all.iter().try_for_each(|v| put_vet(db, v)),
        Entry::Prescriptions(all) => all.iter().try_for_each(|p| put_prescription(db, p)),
        Entry::Documents(all) => all.iter().try_for_each(|d| put_document(db, d)),
        Entry::Portrait { animal, picture } => put_portrait(db, *animal, *picture),
        Entry::EggCounts(all) => all.iter().try_for_each(|e| put_egg_count(db, e)),
        Entry::Rules { put, drop } => {
            put.iter().try_for_each(|c| put_rule_change(db, c))?;
            drop.iter().try_for_each(|id| run(db, "delete from rule_change where id = ?1", [id.bytes()]))
        }
        Entry::Marks(all) => all.iter().try_for_each(|m| put_mating_mark(db, m, true)),
        Entry::Crayons(all) => all.iter().try_for_each(|c| put_crayon(db, c, true)),
        Entry::Scans(all) => all.iter().try_for_each(|s| put_scan(db, s, true)),
        Entry::GeneTests { tests, parents } => {
            tests.iter().try_for_each(|t| put_gene_test(db, t, true))?;
            parents.iter().try_for_each(|a| put_animal(db, a, false))
        }
        Entry::Weighed { session, weighings, scores } => {
            session.iter().try_for_each(|s| put_session(db, s))?;
            weighings.iter().try_for_each(|w| put_weighing(db, w, true))?;
            scores.iter().try_for_each(|s| put_scoring(db, s, true))
        }
        Entry::Sessions(all) => all.iter().try_for_each(|s| put_session(db, s)),
        Entry::Scorings(all) => all.iter().try_for_each(|s| put_scoring(db, s, true)),
        Entry::Decisions { decisions, animals } => {
            decisions.iter().try_for_each(|d| put_decision(db, d))?;
            animals.iter().try_for_each(|a| put_animal(db, a, false))
        }
        Entry::Groupings { put, drop } => {
            put.iter().try_for_each(|g| put_grouping(db, g))?;
            drop.iter().try_for_each(|id| run(db, "delete from grouping where id = ?1", [id.bytes()]))
        }
        Entry::Money(all) => all.iter().try_for_each(|m| put_money(db, m)),
        Entry::Feeds(all) => all.iter().try_for_each(|f| put_feed(db, f)),
        Entry::FeedMoves { moves, treatments } => {
            moves.iter().try_for_each(|m| put_feed_move(db, m))?;
            treatments.iter().try_for_each(|t| put_treatment(db, t, true))
        }
        Entry::FeedSheets(all) => all.iter().try_for_each(|s| put_feed_sheet(db, s)),
        Entry::Measures(all) => all.iter().try_for_each(|m| put_measure(db, m)),
        Entry::Creeps(all) => all.iter().try_for_each(|c| put_creep(db, c)),
        Entry::Rations(all) => all.iter().try_for_each(|r| put_ration(db, r)),
        Entry::PenChecks(all) => all.iter().try_for_each(|c| put_pen_check(db, c)),
        Entry::PenPlaces { put, drop, moves } => {
            drop.iter().try_for_each(|pen| pens::drop_place(db, pen))?;
            put.iter().try_for_each(|p| pens::put_place(db, p))?;
            moves.iter().try_for_each(|m| {
                put_pen_move(db, m, true)?;
                settle(db, m.animal)
            })
        }
        Entry::Merge { keep, gone, birth } => {
            super::merge::put(db, keep, *gone, *birth)?;
            settle(db, keep.id)
        }
        Entry::Holding(h) => super::rows::settings(h).into_iter().try_for_each(|(name, value)| {
            run(
                db,
                "insert into setting (name, value) values (?1, ?2) on conflict (name) do update set value = ?2 where value is not ?2",
                params![name, value],
            )
        }),
    }
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
        settle(db, p.animal)?;
    }
    // An animal that was in a pen before it is written up as born dead is in none.
    l.deaths.iter().try_for_each(|m| {
        put_movement(db, m, true)?;
        settle(db, m.animal)
    })
}

/// Standing and pen of an animal as its records have it. Every write that moves one of them comes here, so that they
/// never hang on the way a book came to be: two copies brought together settle to the same.
pub(super) fn settle(db: &Connection, animal: AnimalId) -> Result<()> {
    settle_standing(db, animal)?;
    settle_pen(db, animal)
}

/// The pen an animal is in: that of its last move that stands, else the one it came into the book with. One that
/// left the flock is in no pen.
fn settle_pen(db: &Connection, animal: AnimalId) -> Result<()> {
    run(
        db,
        "update animal set pen = case
           when status <> 'in the flock' then null
           when exists (select 1 from pen_move where animal = ?1 and struck is null) then
             (select pen from pen_move where animal = ?1 and struck is null order by on_day desc, id desc limit 1)
           else (select new ->> 'pen' from journal_change
                 where tbl = 'animal' and key = hex(?1) and old is null order by seq limit 1)
           end
         where id = ?1",
        [animal.bytes()],
    )
}

/// The standing of an animal: that of its last movement that stands, else the one it came into the book with if that
/// had no movement of its own, else in the flock. One that left is in no pen.
fn settle_standing(db: &Connection, animal: AnimalId) -> Result<()> {
    run(
        db,
        "update animal set (status, status_on, status_reason) =
           (select status, on_day, reason from
             (select 0 as place, status, on_day, reason, id from movement where animal = ?1 and struck is null
              union all
              select 1, new ->> 'status', new ->> 'status_on', new ->> 'status_reason', null from journal_change
              where tbl = 'animal' and key = hex(?1) and old is null
                and (new ->> 'status_on' is null or new ->> 'status' = 'outside')
              union all select 2, 'in the flock', null, null, null)
            order by place, on_day desc, id desc limit 1)
         where id = ?1",
        [animal.bytes()],
    )
}

fn amend(db: &Connection, new: &Amended) -> Result<()> {
    match new {
        Amended::Lambing(l) => {
            // Lambs follow where they held the old day and sire, with the pen and the death of that day.
            let day = l.at.day.to_string();
            for (table, column, which) in [
                ("pen_move", "on_day", "animal"),
                ("movement", "on_day", "animal"),
                ("animal", "status_on", "id"),
            ] {
                let struck = if table == "animal" { "" } else { "and struck is null" };
                run(
                    db,
                    &format!(
                        "update {table} set {column} = ?2 where {which} in
                           (select b.id from birth b join lambing l on l.id = b.lambing join animal a on a.id = b.id
                            where l.id = ?1 and a.born = l.on_day)
                         and {column} = (select on_day from lambing where id = ?1) {struck}"
                    ),
                    params![l.id.bytes(), day],
                )?;
            }
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
            settle(db, p.animal)
        }
        Amended::Movement(m) => {
            put_movement(db, m, false)?;
            settle(db, m.animal)
        }
        Amended::Remark(r) => put_remark(db, r, false),
        Amended::Batch(b) => put_batch(db, b),
        Amended::StockMove(m) => put_stock_move(db, m),
        Amended::Prescription(p) => put_prescription(db, p),
        Amended::EggCount(e) => put_egg_count(db, e),
        Amended::Mark(m) => put_mating_mark(db, m, false),
        Amended::Scan(s) => put_scan(db, s, false),
        Amended::GeneTest(t) => put_gene_test(db, t, false),
        Amended::Scoring(s) => put_scoring(db, s, false),
        Amended::Money(m) => put_money(db, m),
        Amended::FeedMove(m) => put_feed_move(db, m),
        Amended::FeedSheet(s) => put_feed_sheet(db, s),
        Amended::Ration(r) => put_ration(db, r),
        Amended::Document(d) => put_facts(db, d, false),
    }
}

fn strike(db: &Connection, record: RecordRef, on: Day, reason: &str) -> Result<()> {
    if matches!(
        record,
        RecordRef::Animal(_)
            | RecordRef::Product(_)
            | RecordRef::Vet(_)
            | RecordRef::Session(_)
            | RecordRef::Feed(_)
    ) {
        return Ok(());
    }
    let (table, id) = super::trail::row_of(record);
    run(
        db,
        &format!("update {table} set struck = ?2, struck_on = ?3 where id = ?1"),
        params![id, reason, on.to_string()],
    )?;
    if matches!(record, RecordRef::PenMove(_) | RecordRef::Movement(_)) {
        let animal: [u8; 16] = db
            .prepare_cached(&format!("select animal from {table} where id = ?"))?
            .query_row([id], |r| r.get(0))?;
        settle(db, AnimalId::from_bytes(animal))?;
    }
    Ok(())
}
