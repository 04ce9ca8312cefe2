//! Two animals that are one: every reference to the one goes to the other. Which columns refer to an animal is read
//! from the schema's foreign keys, so that no table can be forgotten. Taken back by inverting the journal's line.

use super::put::{put_animal, put_identities, run};
use super::{Book, Failed, Written, journal};
use crate::flock::Animal;
use crate::terms::{AnimalId, EntryId};
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::{Map, Value};

type Result<T> = rusqlite::Result<T>;

/// Two animals that were made one, as the journal has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// The line of the journal, in order of time.
    pub seq: i64,
    /// Its id, to take it back by.
    pub entry: EntryId,
    /// When, `2026-04-03 21:10:05`.
    pub at: String,
    /// Who.
    pub who: String,
    /// One plain sentence, with the tags of both.
    pub what: String,
    /// Why.
    pub reason: Option<String>,
    /// The one whose records went to the other. It is in the flock again when the merge was taken back.
    pub gone: AnimalId,
    /// The one that has them now.
    pub keep: Option<AnimalId>,
}

/// Gives everything of `gone` to `keep`, which stands as it is given here.
pub(super) fn put(db: &Connection, keep: &Animal, gone: AnimalId, birth: Option<AnimalId>) -> Result<()> {
    // Its parents were chosen; what was left of its own goes with its row.
    run(db, "delete from possible_sire where animal = ?1", [gone.bytes()])?;
    if let Some(left) = birth {
        run(db, "delete from birth where id = ?1", [left.bytes()])?;
    }
    for (table, column) in journal::References::read(db)?.all() {
        let (columns, key) = journal::columns(db, table)?;
        let to = params![keep.id.bytes(), gone.bytes()];
        if column != key {
            run(db, &format!("update {table} set {column} = ?1 where {column} = ?2"), to)?;
            continue;
        }
        // A row's key is what the journal knows it by: it is written anew rather than changed.
        let names: Vec<&str> = columns.iter().map(|c| c.name.as_str()).collect();
        let values: Vec<&str> = names.iter().map(|n| if *n == key { "?1" } else { n }).collect();
        let (names, values) = (names.join(", "), values.join(", "));
        run(db, &format!("insert into {table} ({names}) select {values} from {table} where {key} = ?2"), to)?;
        run(db, &format!("delete from {table} where {key} = ?1"), [gone.bytes()])?;
    }
    once_each(db, keep.id)?;
    run(db, "delete from animal where id = ?1", [gone.bytes()])?;
    put_animal(db, keep, false)?;
    put_identities(db, keep.id, &keep.identities)
}

/// A lamb that may be by either of the two has the one ram once; if no other is left, he is the sire.
fn once_each(db: &Connection, ram: AnimalId) -> Result<()> {
    run(
        db,
        "delete from possible_sire where ram = ?1 and exists
           (select 1 from possible_sire o where o.animal = possible_sire.animal and o.ram = ?1
             and (o.place, o.id) < (possible_sire.place, possible_sire.id))",
        [ram.bytes()],
    )?;
    let only = "select animal from possible_sire group by animal having count(*) = 1 and max(ram) = ?1";
    run(db, &format!("update animal set sire = ?1 where id in ({only})"), [ram.bytes()])?;
    run(db, &format!("delete from possible_sire where animal in ({only})"), [ram.bytes()])
}

/// Field of an amendment, its old and its new value.
type Told = (String, String, String);

/// A mark that went from one animal to the other, for the trail of the one that has all records of both, or had them
/// until they were parted.
pub(super) fn mark_moved(
    db: &Connection,
    (table, key): (&str, &str),
    old: &Map<String, Value>,
    new: &Map<String, Value>,
    parted: bool,
) -> Result<Option<(AnimalId, Told)>> {
    let (Some(Value::String(from)), Some(Value::String(to))) = (old.get("animal"), new.get("animal")) else {
        return Ok(None);
    };
    let Some(holder) = id(if parted { from } else { to }).filter(|_| table == "identity") else {
        return Ok(None);
    };
    let tag: Option<String> = db
        .prepare_cached("select tag from identity where id = unhex(?1)")?
        .query_row([key], |r| r.get(0))
        .optional()?;
    let mark = format!("mark {}", tag.unwrap_or_else(|| "that is gone".into()));
    let (before, after) = ("on another animal".to_string(), "on this one".to_string());
    let told = if parted { (mark, after, before) } else { (mark, before, after) };
    Ok(Some((holder, told)))
}

fn id(hex: &str) -> Option<AnimalId> {
    let bytes = u128::from_str_radix(hex, 16).ok().filter(|_| hex.len() == 32)?.to_be_bytes();
    Some(AnimalId::from_bytes(bytes))
}

impl Book {
    /// Animals that were made one, in order of time, of lines after `after` (0: all). Those that were undone or parted
    /// again are among them: their `gone` is in the flock again.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn merges(&self, after: i64) -> std::result::Result<Vec<Merged>, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(&self.path, &e);
        let mut statement = self
            .db
            .prepare_cached(
                "select e.seq, e.id, e.at, e.who, e.what, e.reason, c.key,
                   (select i.new ->> 'animal' from journal_change i where i.entry = e.seq and i.tbl = 'identity'
                     and i.old ->> 'animal' = c.key limit 1)
                 from journal_entry e cross join journal_change c on c.entry = e.seq
                 where e.kind = 'merge' and e.seq > ?1 and c.tbl = 'animal' and c.new is null order by e.seq",
            )
            .map_err(sql)?;
        let read = |r: &rusqlite::Row<'_>| {
            let gone: String = r.get(6)?;
            Ok(id(&gone).map(|gone| -> Result<Merged> {
                Ok(Merged {
                    seq: r.get(0)?,
                    entry: EntryId::from_bytes(r.get(1)?),
                    at: r.get(2)?,
                    who: r.get(3)?,
                    what: r.get(4)?,
                    reason: r.get(5)?,
                    gone,
                    keep: r.get::<_, Option<String>>(7)?.as_deref().and_then(id),
                })
            }))
        };
        let all =
            statement.query_map([after], read).map_err(sql)?.collect::<Result<Vec<_>>>().map_err(sql)?;
        all.into_iter().flatten().collect::<Result<_>>().map_err(sql)
    }

    /// Parts two animals again that were made one, whenever that was; nothing when they are two already. What was
    /// written of the one since stays with it. It is itself a line of the journal that can be undone.
    ///
    /// # Errors
    /// What the merge changed was changed since ([`Failed::ChangedSince`] names it), or the file could not be written.
    pub fn part_again(&mut self, merge: EntryId) -> std::result::Result<Option<Written>, Failed> {
        let all = self.merges(0)?;
        let Some(found) = all.iter().find(|m| m.entry == merge) else { return Ok(None) };
        let last = all.iter().rfind(|m| m.gone == found.gone).is_some_and(|m| m.entry == merge);
        if !last || self.flock.animal(found.gone).is_some() {
            return Ok(None);
        }
        let sentence = format!("Parted again: {}", found.what);
        self.invert(found.seq, &sentence, "part", None, None, &found.what)
    }
}

#[cfg(test)]
mod tests;
