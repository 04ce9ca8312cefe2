//! An evening of barn notes: read line by line on the flock as the lines before leave it, shown before it is written,
//! and written as one act.

use super::{Book, Failed, Turn, Written};
use crate::entry::notes::{Doubt, Reader, Reading, Words};
use crate::entry::{Checked, Sure};
use crate::flock::Flock;
use crate::terms::Day;
use rapidhash::RapidHashMap;
use std::ops::Range;
use std::sync::Arc;

/// How a piece of a note stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stands {
    /// It is written as its sentence says.
    Plain,
    /// It is written, but looks unlikely: what is asked about.
    Asked(Vec<String>),
    /// It can mean several things: one is to be chosen.
    Several,
    /// Something is missing, or the book refuses it: why.
    Refused(Vec<String>),
}

/// A piece of a line with its readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its number among the pieces of the line, by which a reading is chosen.
    pub no: usize,
    /// Where it stands in the line, in bytes.
    pub span: Range<usize>,
    /// The ways to understand it.
    pub readings: Vec<Reading>,
    /// The one that is taken.
    pub taken: Option<usize>,
    /// How it stands.
    pub stands: Stands,
}

impl Piece {
    /// The sentence to show: of the reading taken, or of the likeliest.
    pub fn sentence(&self) -> &str {
        self.readings.get(self.taken.unwrap_or_default()).map_or("", |r| r.sentence.as_str())
    }
}

/// A line as it was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The line.
    pub text: String,
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// What can be no entry, and why.
    pub lost: Vec<Doubt>,
}

/// Notes as typed, a line each, with the readings chosen.
#[derive(Debug, Clone, Default)]
pub struct Evening {
    /// The lines.
    pub text: String,
    /// Readings chosen: line, piece, which.
    pub chosen: RapidHashMap<(usize, usize), usize>,
    /// A word for what is asked about.
    pub word: String,
    words: Option<Arc<Words>>,
}

impl Evening {
    /// Notes of this text.
    pub fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// The text with the word or words at its end made whole, if the book knows just one way to go on.
    pub fn completed(&self, text: &str) -> Option<String> {
        self.words.as_ref()?.completed(text)
    }

    /// The words of this flock and day, made anew only when it moved.
    fn words(&mut self, flock: &Flock, today: Day) -> Arc<Words> {
        match &self.words {
            Some(w) if w.fits(flock, today) => Arc::clone(w),
            _ => {
                let made = Arc::new(Words::of(flock, today));
                self.words = Some(Arc::clone(&made));
                made
            }
        }
    }
}

/// Why notes were not written.
enum Stop {
    Failed(Failed),
    Not,
}

impl From<Failed> for Stop {
    fn from(e: Failed) -> Self {
        Self::Failed(e)
    }
}

impl Book {
    /// What the notes would write, line by line. Nothing is written.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn read_notes(&mut self, notes: &mut Evening, today: Day) -> Result<Vec<Line>, Failed> {
        let base = notes.words(&self.flock(), today);
        let mut lines = Vec::new();
        self.rehearse(|turn| {
            lines = in_turn(notes, turn, today)?;
            Ok::<(), Failed>(())
        })?;
        // What was made of a flock that never was is not kept.
        notes.words = Some(base);
        Ok(lines)
    }

    /// Writes the notes as one act if every piece is plain, or unlikely with a word why it is right; else gives the
    /// lines back with what stands in the way.
    ///
    /// # Errors
    /// The file could not be written; nothing is kept.
    pub fn write_notes(
        &mut self,
        notes: &mut Evening,
        today: Day,
    ) -> Result<Result<Written, Vec<Line>>, Failed> {
        let word = !notes.word.trim().is_empty();
        let mut lines = Vec::new();
        let written = self.in_turn(
            |sentences| match sentences {
                [one] => one.clone(),
                many => format!("{} notes: {}", many.len(), shorten(&many.join("; "))),
            },
            |turn| {
                lines = in_turn(notes, turn, today)?;
                let clear =
                    |p: &Piece| p.stands == Stands::Plain || (word && matches!(p.stands, Stands::Asked(_)));
                let all = lines.iter().all(|l| l.lost.is_empty() && l.pieces.iter().all(clear));
                if all { Ok(()) } else { Err(Stop::Not) }
            },
        );
        notes.words = None;
        match written {
            Ok(Some(written)) => Ok(Ok(written)),
            Ok(None) | Err(Stop::Not) => Ok(Err(lines)),
            Err(Stop::Failed(e)) => Err(e),
        }
    }
}

/// Longest sentence of a line in the journal that is made of many.
const LONGEST: usize = 400;

fn shorten(text: &str) -> String {
    match text.char_indices().nth(LONGEST) {
        Some((i, _)) => format!("{} …", &text[..i]),
        None => text.to_string(),
    }
}

/// Reads and writes every line in turn; a line that only tells a day holds for those below it.
fn in_turn(notes: &mut Evening, turn: &mut Turn<'_>, today: Day) -> Result<Vec<Line>, Failed> {
    let text = notes.text.clone();
    let mut day = today;
    let mut lines = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let mut reader = Reader::new(line, today, day);
        let mut out = Line { text: line.to_string(), pieces: Vec::new(), lost: Vec::new() };
        loop {
            let words = notes.words(turn.flock(), today);
            let flock = Arc::clone(turn.flock());
            let Some(clause) = reader.clause(&flock, &words) else { break };
            out.lost.extend(clause.lost);
            for piece in clause.pieces {
                let no = out.pieces.len();
                let taken = match piece.readings.len() {
                    1 => Some(0),
                    n => notes.chosen.get(&(at, no)).copied().filter(|i| *i < n),
                };
                let stands = match taken.and_then(|i| piece.readings.get(i)) {
                    None => Stands::Several,
                    Some(reading) => one(reading, turn, today, &notes.word)?,
                };
                out.pieces.push(Piece { no, span: piece.span, readings: piece.readings, taken, stands });
            }
        }
        if out.pieces.is_empty() && out.lost.is_empty() {
            day = reader.day();
        }
        lines.push(out);
    }
    Ok(lines)
}

/// Writes one reading, if the book takes it.
fn one(reading: &Reading, turn: &mut Turn<'_>, today: Day, word: &str) -> Result<Stands, Failed> {
    let Some(draft) = &reading.draft else {
        return Ok(Stands::Refused(reading.doubts.iter().map(|d| d.says.clone()).collect()));
    };
    let checked: Checked = match draft.check(turn.flock(), today) {
        Ok(checked) => checked,
        Err(all) => return Ok(Stands::Refused(all.iter().map(ToString::to_string).collect())),
    };
    let asked: Vec<String> = checked.questions().iter().map(ToString::to_string).collect();
    let word = if word.trim().is_empty() { "?" } else { word };
    let sure: Sure = match checked.despite(word) {
        Ok(sure) => sure,
        Err(e) => return Ok(Stands::Refused(vec![e.0])),
    };
    turn.write(sure)?;
    Ok(if asked.is_empty() { Stands::Plain } else { Stands::Asked(asked) })
}
