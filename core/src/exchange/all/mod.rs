//! Everything of a book at once, in one ZIP of plain files that any program opens.
//!
//! `tables/` holds every kind in the order in which a whole flock is imported; `more/` what no kind carries: pens of the
//! past, notes by day, jobs ticked, changed steps and rules, lines that are struck out, amendments, the journal;
//! `papers/` the kept papers themselves. `dictionary.csv` tells every file and column, `manifest.csv` counts them and
//! gives the SHA-256 of each. One file is made after the other and let go again. The same book on the same day makes
//! the same bytes.

mod dictionary;
mod more;
mod pack;
mod struck;
#[cfg(test)]
pub(super) mod tests;

use super::names::Names;
use super::{Kind, Listed, list};
use crate::flock::Flock;
use crate::terms::speech::Speech;
use crate::terms::{Day, DocumentId};
use dictionary::Dictionary;
use pack::Pack;
use std::io::{Seek, Write};

/// A line of the journal on its way out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JournalLine {
    /// Its number.
    pub line: i64,
    /// When, `2026-04-03 21:10:05`.
    pub at: String,
    /// Who.
    pub who: String,
    /// What, as one sentence.
    pub what: String,
    /// The reason.
    pub why: Option<String>,
    /// The line it undoes.
    pub undoes: Option<i64>,
    /// The undo it takes back.
    pub redoes: Option<i64>,
}

/// What of a book the flock does not hold.
pub trait Source {
    /// Lines of the journal after this one, oldest first, at most so many; none after the last.
    ///
    /// # Errors
    /// The book could not be read; says why.
    fn journal(&mut self, after: i64, most: u32) -> Result<Vec<JournalLine>, String>;

    /// The bytes of a kept paper; none when it is no longer there.
    ///
    /// # Errors
    /// The book could not be read; says why.
    fn paper(&mut self, id: DocumentId) -> Result<Option<Vec<u8>>, String>;
}

/// Why not everything could be taken out.
#[derive(Debug, thiserror::Error)]
pub enum Stuck {
    /// The keeper stopped it.
    #[error("taking everything out was stopped")]
    Stopped,
    /// The book could not be read.
    #[error("{0}")]
    Book(String),
    /// The file could not be written.
    #[error("it could not be written: {0}")]
    File(#[from] std::io::Error),
}

impl From<zip::result::ZipError> for Stuck {
    fn from(e: zip::result::ZipError) -> Self {
        Self::File(match e {
            zip::result::ZipError::Io(e) => e,
            e => std::io::Error::other(e.to_string()),
        })
    }
}

/// What was taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Packed {
    /// Files in the ZIP.
    pub files: usize,
    /// Rows of all tables, heads left out.
    pub rows: u64,
    /// Kept papers among the files.
    pub papers: usize,
}

/// Writes everything as a ZIP. `go_on` is told how far it is, 0 to 100, and says whether to go on.
///
/// # Errors
/// It was stopped, the book could not be read, or the ZIP not written. What was written so far is no whole ZIP then, and
/// `to` is not dropped: hand in a reference.
pub fn write<W: Write + Seek>(
    flock: &Flock,
    source: &mut dyn Source,
    today: Day,
    to: W,
    go_on: &mut dyn FnMut(u32) -> bool,
) -> Result<Packed, Stuck> {
    fill(flock, source, Pack::new(zip::ZipWriter::new(to), today), go_on)
}

/// The same to where there is no going back, such as a pipe or an encrypted stream: the sizes stand behind each file.
///
/// # Errors
/// As [`write`].
pub fn stream<W: Write>(
    flock: &Flock,
    source: &mut dyn Source,
    today: Day,
    to: W,
    go_on: &mut dyn FnMut(u32) -> bool,
) -> Result<Packed, Stuck> {
    fill(flock, source, Pack::new(zip::ZipWriter::new_stream(to), today), go_on)
}

/// Where the file of a kind lies: the number tells the order in which they are imported.
fn place(kind: Kind) -> String {
    let n = Kind::ALL.iter().position(|k| *k == kind).unwrap_or(0) + 1;
    format!("tables/{n:02}-{}.csv", kind.word())
}

fn fill<W: Write + Seek>(
    flock: &Flock,
    source: &mut dyn Source,
    mut pack: Pack<W>,
    go_on: &mut dyn FnMut(u32) -> bool,
) -> Result<Packed, Stuck> {
    let _plain = Speech::plain();
    let names = Names::of(flock);
    let mut told = Dictionary::default();
    let mut papers = 0;
    // The first part of the way are the tables, the last the journal and the papers.
    let mut step = |percent: usize| if go_on(percent as u32) { Ok(()) } else { Err(Stuck::Stopped) };
    let readme = dictionary::read_me(flock.holding(), pack.today());
    told.file(dictionary::READ_ME, "what is in this ZIP, and how it is read");
    pack.file(dictionary::READ_ME, readme.as_bytes())?;
    for (i, kind) in Kind::ALL.into_iter().enumerate() {
        step(i * 50 / Kind::ALL.len())?;
        let place = place(kind);
        told.kind(&place, kind);
        pack.table(&place, &list(kind, flock))?;
    }
    for (i, further) in more::all().iter().enumerate() {
        step(50 + i)?;
        let place = further.place();
        told.further(&place, further);
        pack.table(&place, &further.list(flock, &names))?;
    }
    step(60)?;
    for (kind, rows) in struck::lists(flock, &names) {
        let place = format!("more/struck-out-{}.csv", kind.word());
        told.struck(&place, kind);
        pack.table(&place, &rows)?;
    }
    step(70)?;
    let place = more::JOURNAL.place();
    told.further(&place, &more::JOURNAL);
    journal(&mut pack, &place, source, &mut step)?;
    let kept = more::papers(flock);
    for (i, paper) in kept.iter().enumerate() {
        step(80 + i * 19 / kept.len())?;
        if let Some(bytes) = source.paper(paper.id).map_err(Stuck::Book)? {
            told.file(&paper.file, &format!("kept paper: {}", paper.of));
            pack.file(&paper.file, &bytes)?;
            papers += 1;
        }
    }
    step(99)?;
    pack.table(dictionary::DICTIONARY, &told.list())?;
    let (files, rows) = pack.finish()?;
    Ok(Packed { files, rows, papers })
}

/// Lines of the journal that are read at a time.
const LINES: u32 = 2_000;

fn journal<W: Write + Seek>(
    pack: &mut Pack<W>,
    place: &str,
    source: &mut dyn Source,
    step: &mut impl FnMut(usize) -> Result<(), Stuck>,
) -> Result<(), Stuck> {
    let mut open = pack.begin(place, &more::JOURNAL.heads())?;
    let mut after = 0;
    loop {
        let lines = source.journal(after, LINES).map_err(Stuck::Book)?;
        let Some(last) = lines.last() else { break };
        after = last.line;
        for line in &lines {
            open.row(&more::journal_row(line))?;
        }
        step(75)?;
    }
    open.end()
}

/// The name of the ZIP's own list of files.
pub const MANIFEST: &str = "manifest.csv";

/// A list with further columns of words and days behind its own.
fn beside(mut list: Listed, heads: &[&str], values: Vec<Vec<super::Value>>) -> Listed {
    list.heads.extend(heads.iter().map(ToString::to_string));
    for (row, more) in list.rows.iter_mut().zip(values) {
        row.extend(more);
    }
    list
}
