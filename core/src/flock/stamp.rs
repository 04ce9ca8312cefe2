//! Which book, and how far it has been written.

use crate::terms::EntryId;

/// What tells a later writing of a book from an earlier one, for files that are read again elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// The first line of the journal: the same in every copy of the book, and in no other book.
    pub book: EntryId,
    /// The highest clock of the journal: it rises with every line, undo and redo as well, and with every line that is
    /// brought in from another copy.
    pub clock: u32,
    /// When the last line was written, in seconds since 1970 (UTC).
    pub at: i64,
}
