//! An open book on the desk: what is read beside its flock, and what a page may see of it.

use super::kept::Kept;
use super::worker::Job;
use super::*;

impl OpenBook {
    pub(super) fn new(book: Book, kept: &Kept) -> Self {
        let path = book.path().to_path_buf();
        let drafts = kept.drafts(&path).unwrap_or_default();
        let pages = serde_json::from_str(&drafts).unwrap_or_default();
        let places = places::Kept::of(kept, &path);
        let mut open = Self {
            flock: book.flock(),
            path,
            book,
            pages,
            means: Arc::default(),
            means_for: 0,
            means_job: None,
            history: Vec::new(),
            copies: Vec::new(),
            jobs: board::Kept::default(),
            visit: visit::Kept::default(),
            blood: blood::Kept::default(),
            figures: figures::Kept::default(),
            pairs: pairs::Kept::default(),
            values: values::Kept::default(),
            keeping: keeping::Kept::default(),
            doubts: doubts::Kept::default(),
            watching: watching::Kept::default(),
            feeding: feeding::Kept::default(),
            note: note::NoteState::default(),
            undo: None,
            redo: None,
            ask: None,
            trouble: None,
            sound: false,
            find: PickerState::default(),
            find_wanted: false,
            printing: printing::Printing::default(),
            told: None,
            chosen_file: None,
            coming_papers: papers::Coming::default(),
            thumbs: thumbs::Thumbs::default(),
            room: None,
            file_size: 0,
            coming: tables::Kept::default(),
            saving: None,
            dress: saving::Dress::default(),
            taken: taken::Kept::default(),
            scaled: scale::Kept::default(),
            rolled: roll::Kept::default(),
            scan_opens: !kept.settings().scan_rests,
            other: copies::Kept::default(),
            places,
            arriving: standard::Kept::default(),
            report: None,
            drafts,
            look_at_drafts: false,
        };
        open.refresh();
        open
    }

    /// Reads what stands beside the flock anew after a write.
    pub(super) fn refresh(&mut self) {
        self.flock = self.book.flock();
        // Lines of the journal never change: only what is new is read.
        let known = self.history.first().map_or(0, |p| p.seq);
        let mut new = self.book.history(if known == 0 { 200 } else { 50 }).unwrap_or_default();
        new.retain(|p| p.seq > known);
        self.history.splice(0..0, new);
        self.copies = hirsel_core::book::backups(&self.path);
        self.undo = self.book.undoable();
        self.redo = self.book.redoable();
        self.file_size = self.book.file_size();
        self.other.conflicts = self.book.conflicts().unwrap_or_default();
    }

    /// The same, where lines of the journal came or went otherwise than at its end.
    pub(super) fn refresh_whole(&mut self) {
        self.history.clear();
        self.refresh();
    }

    /// Tells when a large book, looked over whole after it was opened, turns out damaged.
    pub(super) fn keep_looking(&mut self, ctx: &egui::Context) {
        if self.sound {
            return;
        }
        if self.book.is_being_looked_over() {
            // Seldom: what is drawn meanwhile shares the processors with the look.
            ctx.request_repaint_after(std::time::Duration::from_millis(300));
            return;
        }
        self.sound = true;
        if let Err(e) = self.book.soundness() {
            self.trouble = Some(e.to_string());
        }
    }

    /// Measures where the room of the book goes while its page is shown; of a large journal only when it is checked.
    pub(super) fn keep_room(&mut self) {
        let version = self.flock.version();
        if self.pages.at != crate::pages::PageId::Book || self.room.is_some_and(|(of, _)| of == version) {
            return;
        }
        const LARGE: u64 = 32 << 20;
        self.room = match self.file_size.saturating_sub(self.flock.documents().bytes()) < LARGE {
            true => self.book.room().ok().map(|room| (version, room)),
            false => None,
        };
    }

    /// Flock means for this version: at once for a small flock, on a thread for a large one.
    pub(super) fn keep_means(&mut self, ctx: &egui::Context) {
        if let Some(job) = &self.means_job
            && let Some(means) = job.take()
        {
            self.means = Arc::new(means);
            self.means_job = None;
        }
        if self.means_for == self.flock.version() {
            return;
        }
        self.means_for = self.flock.version();
        if self.flock.len() < 5_000 {
            self.means = Arc::new(YearMeans::of(&self.flock));
        } else {
            let flock = Arc::clone(&self.flock);
            self.means_job = Some(Job::start(ctx, move |_| YearMeans::of(&flock)));
        }
    }

    pub(super) fn ctx(&self, today: Day) -> Ctx<'_> {
        Ctx {
            flock: &self.flock,
            today,
            board: self.jobs.get(),
            visit: self.visit.get(),
            kindred: self.blood.get(),
            diversity: self.blood.diversity(),
            years: self.figures.get(),
            pairs: self.pairs.get(),
            values: self.values.get(),
            keeping: self.keeping.get(),
            doubts: self.doubts.get(),
            watching: self.watching.get(),
            feeding: self.feeding.get(),
            merges: self.doubts.merges(),
            means: &self.means,
            path: &self.path,
            history: &self.history,
            copies: &self.copies,
            laid: self.printing.laid(),
            coming: self.coming.shown(),
            taken: &self.taken,
            scaled: self.scaled.shown(),
            rolled: self.rolled.shown(),
            scan_opens: self.scan_opens,
            other: self.other.shown(),
            arriving: self.arriving.shown(),
            conflicts: &self.other.conflicts,
            thumbs: &self.thumbs,
            taking: self.coming_papers.percent(),
            room: self.room.map(|(_, room)| room),
            file_size: self.file_size,
            places: &self.places,
            report: self.report.as_ref(),
        }
    }
}
