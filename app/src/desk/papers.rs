//! Papers kept in the book, and the way from a question to the record it is about.

use super::worker::{Job, Reins};
use super::{Desk, Stage, files};
use crate::look::Kind;
use crate::pages::{Intent, PageId, Then};
use hirsel_core::entry::{self, CupboardRefused, DocumentDraft};
use hirsel_core::exchange::picture_in::{Taking, take_in};
use hirsel_core::flock::{DocumentOf, Link, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, DocumentId};
use std::path::{Path, PathBuf};

/// So many files are taken in at once.
const MOST: usize = 100;

/// What files are chosen for, how they are taken in, and the dialog.
type Choosing = (DocumentOf, Taking, Job<Option<Vec<PathBuf>>>);

/// Files on their way into the book.
#[derive(Default)]
pub(super) struct Coming {
    reading: Option<Job<Read>>,
    choosing: Option<Choosing>,
}

impl Coming {
    /// How far they are taken in, 0 to 100; none when there are none.
    pub(super) fn percent(&self) -> Option<u32> {
        self.reading.as_ref().map(Job::percent)
    }
}

/// Files read to be kept, what was done with them, and why others could not be read.
#[derive(Default)]
struct Read {
    drafts: Vec<DocumentDraft>,
    told: Vec<String>,
    wrong: Vec<String>,
}

impl Desk {
    /// Opens the page on which a record is kept, with the record open.
    pub(super) fn follow_link(&mut self, link: Link) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        match link {
            Link::Animal(id) => {
                open.pages.leaf.show(id);
                open.pages.at = PageId::Flock;
            }
            Link::Record(id, record) => {
                open.pages.leaf.show_record(id, record);
                open.pages.at = PageId::Flock;
            }
            Link::Cupboard(record) => {
                let mut pages = std::mem::take(&mut open.pages);
                pages.treatments.show_record(record, &open.ctx(today));
                pages.at = PageId::Treatments;
                open.pages = pages;
            }
            Link::Daybook(RecordRef::Session(id)) => {
                open.pages.weights.show_session(id);
                open.pages.at = PageId::Weights;
            }
            Link::Daybook(_) => {
                open.pages.figures.show_money();
                open.pages.at = PageId::Figures;
            }
            Link::Feedroom(record) => {
                open.pages.feed.show_record(record);
                open.pages.at = PageId::Feed;
            }
            Link::Holding => open.pages.at = PageId::Book,
        }
    }

    /// Takes out for good what need no longer be kept.
    pub(super) fn purge(&mut self, before: Day) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        match open.book.purge(before, today) {
            Ok(done) => {
                open.refresh();
                open.follow(&[]);
                let mut pages = std::mem::take(&mut open.pages);
                pages.book.purged();
                open.pages = pages;
                self.say(Kind::Good, done.words());
            }
            Err(e) => self.say(Kind::Refuse, e.to_string()),
        }
    }

    /// Reads pictures and PDFs on a thread and keeps them in the book; without a path the keeper chooses.
    pub(super) fn keep_papers(
        &mut self,
        ctx: &egui::Context,
        of: DocumentOf,
        paths: Vec<PathBuf>,
        how: Taking,
    ) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        if open.coming_papers.reading.is_some() {
            self.say(Kind::Caution, "others are being taken in: wait until they are in the book");
            return;
        }
        if paths.len() > MOST {
            let words = phrase!("{} files at once are too many: take at most {MOST}", paths.len());
            self.say(Kind::Refuse, words);
            return;
        }
        if paths.is_empty() {
            let folder = open.path.parent().map(Path::to_path_buf).unwrap_or_default();
            let job = Job::start(ctx, move |_| {
                rfd::FileDialog::new()
                    .set_title("Keep pictures or papers in the book")
                    .set_directory(folder)
                    .add_filter("PDF or picture", &["pdf", "png", "jpg", "jpeg"])
                    .pick_files()
            });
            open.coming_papers.choosing = Some((of, how, job));
            return;
        }
        let paths: Vec<PathBuf> =
            paths.iter().map(|p| files::absolute(&p.to_string_lossy(), &open.path)).collect();
        open.coming_papers.reading = Some(Job::start(ctx, move |reins| read(of, &paths, how, today, reins)));
    }

    /// Stops taking in; nothing of what was read is kept.
    pub(super) fn stop_papers(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        open.coming_papers.reading = None;
        self.say(Kind::Plain, "stopped: nothing was kept");
    }

    /// Keeps files that were dropped onto the window with the animal or record that is open.
    pub(super) fn take_dropped(&mut self, ctx: &egui::Context) {
        let dropped: Vec<PathBuf> =
            ctx.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_path_buf()).collect());
        if dropped.is_empty() {
            return;
        }
        let Stage::Open(open) = &mut self.stage else { return };
        match open.pages.paper_target() {
            Some((of, how)) => self.keep_papers(ctx, of, dropped, how),
            None => self.say(
                Kind::Caution,
                "open the animal, the record, the batch or the prescription it belongs to first, then drop it again",
            ),
        }
    }

    /// Takes in papers that were read: they are checked and written like any entry.
    pub(super) fn poll_paper(&mut self, ctx: &egui::Context) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        open.thumbs.poll(ctx);
        let coming = &mut open.coming_papers;
        let chosen = coming.choosing.as_ref().and_then(|(of, how, job)| job.answer().map(|a| (*of, *how, a)));
        if let Some((of, how, answer)) = chosen {
            coming.choosing = None;
            match answer.ok().flatten() {
                Some(paths) if !paths.is_empty() => self.keep_papers(ctx, of, paths, how),
                _ => self.say(Kind::Refuse, "no file was chosen: type a name in the field beside it"),
            }
            return;
        }
        let Some(answer) = coming.reading.as_ref().and_then(Job::answer) else { return };
        coming.reading = None;
        let Ok(read) = answer else {
            self.say(Kind::Refuse, "the paper could not be read: try again");
            return;
        };
        if read.drafts.is_empty() {
            self.say(Kind::Refuse, read.wrong.join("; "));
            return;
        }
        match entry::documents(read.drafts, &open.flock, today) {
            Ok(checked) => {
                let mut words = vec![checked.sentence().to_string()];
                words.extend(read.told);
                words.extend(read.wrong);
                let checked = Box::new(checked);
                self.apply(ctx, Intent::Write { checked, then: Then::PaperDone(words.join("; ")) });
            }
            Err(refusals) => {
                let first = refusals.first().map(ToString::to_string).unwrap_or_default();
                self.say(Kind::Refuse, first);
            }
        }
    }

    /// Shows a kept paper in the system's viewer, by way of a file among the papers.
    pub(super) fn show_paper(&mut self, ctx: &egui::Context, id: DocumentId) {
        let Stage::Open(open) = &mut self.stage else { return };
        let name = open.flock.documents().get(id);
        let name = name.map(|d| (d.name.clone(), d.kind.clone()));
        let (Some((name, kind)), Ok(Some(bytes))) = (name, open.book.document(id)) else {
            self.say(Kind::Refuse, "the paper was not found in this book: it may have been undone");
            return;
        };
        let folder = self.kept.folder().join("papers");
        let Stage::Open(open) = &mut self.stage else { return };
        open.told = Some(Job::start(ctx, move |_| {
            let path = super::printing::laid_by(&folder, &name, &kind, &bytes)?;
            open::that_detached(&path).map_err(|e| {
                phrase!("no viewer could be opened ({e}): the paper is saved as {}", path.display())
            })?;
            Ok(phrase!("{name} handed to the viewer"))
        }));
    }
}

/// Reads files one after the other. Stopped, it gives what nobody waits for any more.
fn read(of: DocumentOf, paths: &[PathBuf], how: Taking, today: Day, reins: &Reins) -> Read {
    let mut all = Read::default();
    for (n, path) in paths.iter().enumerate() {
        let percent = u32::try_from(n * 100 / paths.len().max(1)).unwrap_or(0);
        if !reins.go_on(percent) {
            return Read::default();
        }
        match one(of, path, how, today) {
            Ok((draft, told)) => {
                let several = paths.len() > 1;
                let name = draft.name.clone();
                all.told.extend(told.into_iter().map(|t| if several { format!("{name} {t}") } else { t }));
                all.drafts.push(draft);
            }
            Err(why) => all.wrong.push(why),
        }
    }
    all
}

/// Reads a file and takes it in; one that is far too large is not read at all.
fn one(of: DocumentOf, path: &Path, how: Taking, today: Day) -> Result<(DocumentDraft, Vec<String>), String> {
    let (name, bytes) = files::contents(path)?;
    if entry::paper_kind(&bytes).is_none() {
        return Err(CupboardRefused::NoPaper(name).to_string());
    }
    let taken = take_in(&name, bytes, how, today).map_err(|e| e.to_string())?;
    Ok((DocumentDraft { of, name, bytes: taken.bytes.into(), on: taken.on }, taken.told))
}
