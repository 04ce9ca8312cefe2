//! The board of open jobs of the open book, kept up with its writes and the day.

use super::{OpenBook, worker::Job};
use hirsel_core::reckon::due::Board;
use hirsel_core::terms::{AnimalId, Day};
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 5_000;

/// The board, or the job that makes it.
#[derive(Default)]
pub(super) struct Kept {
    board: Option<Board>,
    job: Option<Job<Board>>,
}

impl Kept {
    /// The board, if it is reckoned.
    pub(super) fn get(&self) -> Option<&Board> {
        self.board.as_ref()
    }
}

impl OpenBook {
    /// Brings the board and kinship up to a write that moved these animals; none named means any.
    pub(super) fn follow(&mut self, touched: &[AnimalId]) {
        self.follow_blood(touched);
        let quick = !touched.is_empty() || self.flock.len() <= SMALL;
        if let Some(board) = self.jobs.board.as_mut().filter(|_| quick) {
            board.follow(&self.flock, touched);
        }
    }

    /// Makes it anew where it is not of this flock and day.
    pub(super) fn keep_board(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(board) = self.jobs.job.as_ref().and_then(Job::take) {
            self.jobs.board = Some(board);
            self.jobs.job = None;
        }
        let fits = |b: &Board| b.version() == self.flock.version() && b.day() == today;
        if self.jobs.board.as_ref().is_some_and(fits) || self.jobs.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.jobs.board = Some(Board::new(&self.flock, today));
        } else {
            let flock = Arc::clone(&self.flock);
            self.jobs.job = Some(Job::start(ctx, move |_| Board::new(&flock, today)));
        }
    }
}
