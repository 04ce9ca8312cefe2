//! The treatment log: what an inspector asks for, in order of time, with totals for each product; of all animals, or of
//! some.
//!
//! It is the register of treatments and nothing else, so that the log alone and the one in the inspector's folder never
//! differ. Columns: the union of what Regulation (EU) 2019/6 art 108 and the British VMR 2013 regs 17 to 19 ask to be
//! written and what American advice adds (reason, route, who gave it), as gathered in the project's rules notes, 1.1.

use super::sheet::{Paper, SheetSize};
use super::{PaperFailed, Watch, register};
use crate::flock::Flock;
use crate::registers::{RegisterKind, Span, log_of};
use crate::terms::{AnimalId, Day};

/// How the treatment log is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TreatmentLogOptions {
    /// The sheet; the log lies across it.
    pub sheet: SheetSize,
    /// First day of treatment; none is from the beginning.
    pub from: Option<Day>,
    /// Last day of treatment; none is to the end.
    pub to: Option<Day>,
}

/// Lays out the log of the chosen animals, or of all that the book knows (sold and dead ones too) for `None`. A time
/// without treatments gives a log that says so.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so.
pub fn treatment_log(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &TreatmentLogOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let span = Span { from: options.from, to: options.to };
    let log = match animals {
        Some(animals) => log_of(flock, animals, span, today),
        None => RegisterKind::TreatmentLog.make(flock, span, today),
    };
    register(flock.holding(), &log, options.sheet, today, watch)
}

#[cfg(test)]
mod tests;
