//! Barn notes: a line of plain trade English read into drafts of entries, and drafts said back as such a line.
//!
//! The grammar stands in `resources/notes.toml`. A line is parted into clauses, each about some animals; whatever a
//! clause holds that is not understood becomes a note on them, so nothing typed is lost. Where a clause can mean several
//! things, several readings are given, never one of them guessed.

mod clause;
mod feeding;
mod grammar;
mod jobs;
mod judged;
mod lambing;
mod lex;
mod mating;
mod predicate;
mod say;
mod subject;
#[cfg(test)]
mod tests;
mod treatment;
mod when;
mod words;

pub use say::say;
pub use words::{Example, Form, Words, forms};

use super::{
    Check, CrayonDraft, DecisionDraft, FeedMoveDraft, JoiningDraft, LambingDraft, MarkDraft, PartDraft,
    PenCheckDraft, PenMoveDraft, RemarkDraft, Retag, ScanDraft, ScoringDraft, StandingDraft, TickDraft,
    TreatmentDraft, WeighingDraft,
};
use crate::flock::{Animal, Flock};
use crate::terms::Day;
use std::ops::Range;

/// What a reading writes.
#[derive(Debug, Clone, PartialEq)]
pub enum Draft {
    /// A lambing.
    Lambing(Box<LambingDraft>),
    /// A treatment of one or many.
    Treatment(Box<TreatmentDraft>),
    /// A move to a pen.
    PenMove(PenMoveDraft),
    /// Weighings.
    Weighings(Vec<WeighingDraft>),
    /// A change of standing.
    Standing(StandingDraft),
    /// A tag lost, put on or both.
    Retag(Retag),
    /// A joining.
    Joining(JoiningDraft),
    /// Rams taken out.
    Part(PartDraft),
    /// Jobs ticked.
    Ticks(TickDraft),
    /// New facts of an animal: who rears it.
    Edit(Box<Animal>),
    /// A note.
    Remark(RemarkDraft),
    /// Marks of the crayon, or matings seen.
    Marks(Vec<MarkDraft>),
    /// Crayons put on or taken off.
    Crayons(Vec<CrayonDraft>),
    /// Scans.
    Scans(Vec<ScanDraft>),
    /// Scores.
    Scorings(Vec<ScoringDraft>),
    /// Decisions what animals are kept for.
    Decisions(Vec<DecisionDraft>),
    /// Creeps filled, or how full they are.
    FeedMoves(Vec<FeedMoveDraft>),
    /// Looks at pens.
    PenChecks(Vec<PenCheckDraft>),
}

impl Draft {
    /// The checks of the entry it makes.
    ///
    /// # Errors
    /// Every refusal.
    pub fn check(&self, flock: &Flock, today: Day) -> Check {
        match self.clone() {
            Self::Lambing(d) => super::lambing(*d, flock, today),
            Self::Treatment(d) => super::treatments(vec![*d], flock, today),
            Self::PenMove(d) => super::pen_move(d, flock, today),
            Self::Weighings(d) => super::weighings(d, flock, today),
            Self::Standing(d) => super::standing(d, flock, today),
            Self::Retag(d) => super::retag(d, flock, today),
            Self::Joining(d) => super::joinings(vec![d], flock, today),
            Self::Part(d) => super::part(d, flock, today),
            Self::Ticks(d) => super::ticks(d, flock, today),
            Self::Edit(a) => super::edit_animal(*a, None, flock, today),
            Self::Remark(d) => super::remark(d, flock, today),
            Self::Marks(d) => super::marks(d, flock, today),
            Self::Crayons(d) => super::crayons(d, flock, today),
            Self::Scans(d) => super::scans(d, flock, today),
            Self::Scorings(d) => super::scorings(d, flock, today),
            Self::Decisions(d) => super::decisions(d, flock, today),
            Self::FeedMoves(d) => super::feed_moves(d, flock, today),
            Self::PenChecks(d) => super::pen_checks(d, flock, today),
        }
    }
}

/// Something missing or doubtful, at its place in the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Where, in bytes of the line.
    pub span: Range<usize>,
    /// What.
    pub says: String,
}

/// One way to understand a piece of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What it writes; none while something is missing.
    pub draft: Option<Draft>,
    /// The same as a sentence that would be read the same way.
    pub sentence: String,
    /// What is missing or doubtful.
    pub doubts: Vec<Doubt>,
}

/// A piece of a line that makes one entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Where it stands, in bytes of the line.
    pub span: Range<usize>,
    /// The ways to understand it, the likeliest first; never none.
    pub readings: Vec<Reading>,
}

/// A line as it was understood.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Understood {
    /// Its pieces in order.
    pub pieces: Vec<Piece>,
    /// What belongs to no animal and so can be no entry.
    pub lost: Vec<Doubt>,
}

impl Understood {
    /// Every piece has one reading, nothing is missing.
    pub fn is_plain(&self) -> bool {
        self.lost.is_empty()
            && self.pieces.iter().all(|p| matches!(p.readings.as_slice(), [one] if one.draft.is_some()))
    }
}

/// Longest line that is read; what is longer is refused whole.
pub const LONGEST_LINE: usize = 2_000;

/// Reads one line of notes, written on a day about that day unless it says another. Each clause is read on the flock as
/// it stands; [`Reader`] reads them one by one.
pub fn read(line: &str, flock: &Flock, words: &Words, day: Day) -> Understood {
    let mut reader = Reader::new(line, day, day);
    let mut all = Understood::default();
    while let Some(clause) = reader.clause(flock, words) {
        all.pieces.extend(clause.pieces);
        all.lost.extend(clause.lost);
    }
    all
}

/// A line read clause by clause, so that what one writes can be read on by the next.
#[derive(Debug)]
pub struct Reader<'a> {
    line: &'a str,
    clauses: std::vec::IntoIter<Vec<lex::Token>>,
    today: Day,
    at: when::When,
    about: Vec<crate::terms::AnimalId>,
}

impl<'a> Reader<'a> {
    /// A line written `today`, about `day` unless it says another.
    pub fn new(line: &'a str, today: Day, day: Day) -> Self {
        let tokens = if line.len() > LONGEST_LINE { Vec::new() } else { lex::cut(line) };
        let clauses: Vec<Vec<lex::Token>> = tokens
            .split(|t| t.kind == lex::Kind::Stop)
            .filter(|c| !c.is_empty())
            .map(<[_]>::to_vec)
            .collect();
        let at = when::When { day, time: None, until: None };
        Self { line, clauses: clauses.into_iter(), today, at, about: Vec::new() }
    }

    /// The day the line is about so far.
    pub fn day(&self) -> Day {
        self.at.day
    }

    /// The next clause; none at the end. A clause that only tells a day is empty.
    pub fn clause(&mut self, flock: &Flock, words: &Words) -> Option<Understood> {
        let mut read = Understood::default();
        if self.line.len() > LONGEST_LINE {
            let says = format!("a line may have {LONGEST_LINE} letters: part it into several");
            read.lost.push(Doubt { span: 0..self.line.len(), says });
            self.line = "";
            return Some(read);
        }
        let tokens = self.clauses.next()?;
        // The hour belongs to its own clause, the day to the line.
        (self.at.time, self.at.until) = (None, None);
        let tokens = when::take(&tokens, self.today, &mut self.at);
        if !tokens.is_empty() {
            let scene = clause::Scene { line: self.line, flock, words, today: self.today, at: self.at };
            clause::read(scene, &tokens, &mut self.about, &mut read);
        }
        Some(read)
    }
}
