//! Reading how far the book has been written.

use super::{Book, Failed};
use crate::flock::Stamp;
use crate::terms::EntryId;
use chrono::{Local, NaiveDateTime, TimeZone as _};

impl Book {
    /// Which book this is, and how far it has been written.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn stamp(&self) -> Result<Stamp, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(&self.path, &e);
        let ask =
            "select (select id from journal_entry order by seq limit 1), coalesce(max(clock), 0), max(at)
                   from journal_entry";
        let (book, clock, at): ([u8; 16], i64, String) =
            self.db.query_row(ask, [], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).map_err(sql)?;
        // Lines are written by the local clock. A time that was skipped or came twice as clocks were changed is
        // within an hour of what is taken for it.
        let at = NaiveDateTime::parse_from_str(&at, "%Y-%m-%d %H:%M:%S").unwrap_or_default();
        let at =
            Local.from_local_datetime(&at).earliest().map_or(at.and_utc().timestamp(), |t| t.timestamp());
        let clock = u32::try_from(clock).unwrap_or(u32::MAX);
        Ok(Stamp { book: EntryId::from_bytes(book), clock, at })
    }
}
