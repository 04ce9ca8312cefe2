//! What a row is by all the lines that wrote it. Lines follow one another by their clocks, those of one clock by their
//! ids: every copy that knows the same lines comes to the same row, whichever order it learnt them in.

use super::super::journal::json;
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::{Map, Value};

/// Columns and values of a row, ids in hex.
pub(in super::super) type Fields = Map<String, Value>;

/// Lines that only bring lines, and their undoing, write no facts of their own.
pub(in crate::book) const NO_FACTS: &str = "('unite', 'part copies')";

/// The same of one kind of line.
pub(in super::super) fn writes_no_facts(kind: &str) -> bool {
    matches!(kind, "unite" | "part copies")
}

/// A row before and after a change.
pub(in super::super) type Change = (Option<Fields>, Option<Fields>);

/// A row as the journal has it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(in super::super) struct Row {
    /// Its columns as they were last written, also of one that is gone.
    pub fields: Fields,
    /// It is there.
    pub is_there: bool,
}

impl Row {
    fn take(&mut self, (old, new): Change) {
        match (old, new) {
            (_, Some(new)) => {
                // A change of a row says that it is there, also where another copy took it back.
                self.is_there = true;
                self.fields.extend(new);
            }
            (Some(old), None) => {
                self.is_there = false;
                // What it was when it went, for those that still name it.
                for (column, value) in old {
                    self.fields.entry(column).or_insert(value);
                }
            }
            (None, None) => {}
        }
    }
}

/// The row that these changes make, one after the other.
pub(in super::super) fn played(changes: impl Iterator<Item = Change>) -> Row {
    let mut row = Row::default();
    changes.for_each(|c| row.take(c));
    row
}

/// The row of this key by every line of the journal.
pub(in crate::book) fn row(db: &Connection, table: &str, key: &str) -> rusqlite::Result<Row> {
    let mut row = Row::default();
    let mut statement = db.prepare_cached(&format!(
        "select c.old, c.new from journal_change c join journal_entry e on e.seq = c.entry
         where c.tbl = ?1 and c.key = ?2 and e.kind not in {NO_FACTS} order by e.clock, e.id, c.seq"
    ))?;
    let mut rows = statement.query(params![table, key])?;
    while let Some(r) = rows.next()? {
        row.take((json(r.get(0)?), json(r.get(1)?)));
    }
    Ok(row)
}

/// The last line that touched a column of a row among these of the journal, and the value it gave; a row taken back
/// touches every column. `among` is a condition on `e`, the lines.
pub(in crate::book) fn last_touch(
    db: &Connection,
    (table, key): (&str, &str),
    column: &str,
    among: &str,
) -> rusqlite::Result<Option<(i64, Value)>> {
    let path = format!("$.{column}");
    db.prepare_cached(&format!(
        "select e.seq, c.new -> ?3 from journal_change c join journal_entry e on e.seq = c.entry
         where c.tbl = ?1 and c.key = ?2 and json_type(c.new, ?3) is not null
           and e.kind not in {NO_FACTS} and {among}
         order by e.clock desc, e.id desc, c.seq desc limit 1"
    ))?
    .query_row(params![table, key, path], |r| {
        let text: Option<String> = r.get(1)?;
        let value = text.and_then(|t| serde_json::from_str(&t).ok()).unwrap_or(Value::Null);
        Ok((r.get(0)?, value))
    })
    .optional()
}
