//! When each record was written and last changed: read from the journal when it is asked for.

use super::{Book, Failed};
use crate::flock::Stamps;

impl Book {
    /// When each record that has an id was written and last changed.
    ///
    /// # Errors
    /// The journal could not be read.
    pub fn stamps(&self) -> Result<Stamps, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(&self.path, &e);
        let mut stamps = Stamps::default();
        // Keys are the hexadecimal digits of ids; those of settings and plans are words.
        let mut lines = self
            .db
            .prepare(
                "select unhex(c.key), e.at, e.who from journal_change c join journal_entry e on e.seq = c.entry
                 where length(c.key) = 32 order by c.seq",
            )
            .map_err(sql)?;
        let mut rows = lines.query([]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            let Some(id) = row.get::<_, Option<[u8; 16]>>(0).map_err(sql)? else { continue };
            let text = |n| row.get_ref(n).map_err(sql).map(|t| t.as_str().unwrap_or_default());
            stamps.note(id, text(1)?, text(2)?);
        }
        Ok(stamps)
    }
}
