//! Papers kept in the book, and the way from a question to the record it is about.

use super::worker::Job;
use super::{Chosen, Desk, Stage, files};
use crate::look::Kind;
use crate::pages::{Intent, PageId, Then};
use hirsel_core::entry::{self, DocumentDraft};
use hirsel_core::flock::{DocumentOf, Link, RecordRef};
use hirsel_core::terms::{Day, DocumentId};
use std::path::{Path, PathBuf};

/// A file read to be kept, or why it could not be read.
pub(super) type ReadPaper = Result<DocumentDraft, String>;

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

    /// Reads a picture or PDF on a thread and keeps it in the book; without a path the keeper chooses one.
    pub(super) fn keep_paper(&mut self, ctx: &egui::Context, of: DocumentOf, path: Option<PathBuf>) {
        let Stage::Open(open) = &mut self.stage else { return };
        match path {
            Some(path) => {
                let path = files::absolute(&path.to_string_lossy(), &open.path);
                open.paper = Some(Job::start(ctx, move |_| read(of, &path)));
            }
            None => {
                let folder = open.path.parent().map(Path::to_path_buf).unwrap_or_default();
                let job = Job::start(ctx, move |_| {
                    rfd::FileDialog::new()
                        .set_title("Keep a paper in the book")
                        .set_directory(folder)
                        .add_filter("PDF or picture", &["pdf", "png", "jpg", "jpeg"])
                        .pick_file()
                });
                open.chosen_file = Some((Chosen::Paper(of), job));
            }
        }
    }

    /// Takes in a paper that was read: it is checked and written like any entry.
    pub(super) fn poll_paper(&mut self, ctx: &egui::Context) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(answer) = open.paper.as_ref().and_then(Job::answer) else { return };
        open.paper = None;
        let lost = |_| Err("the paper could not be read: try again".to_string());
        match answer.unwrap_or_else(lost) {
            Err(why) => self.say(Kind::Refuse, why),
            Ok(draft) => match entry::documents(vec![draft], &open.flock, today) {
                Ok(checked) => {
                    let checked = Box::new(checked);
                    self.apply(ctx, Intent::Write { checked, then: Then::CupboardDone });
                }
                Err(refusals) => {
                    let first = refusals.first().map(ToString::to_string).unwrap_or_default();
                    self.say(Kind::Refuse, first);
                }
            },
        }
    }

    /// Shows a kept paper in the system's viewer, by way of a file among the papers.
    pub(super) fn show_paper(&mut self, ctx: &egui::Context, id: DocumentId) {
        let Stage::Open(open) = &mut self.stage else { return };
        let name = open.flock.cupboard().documents.iter().find(|d| d.id == id);
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
                format!("no viewer could be opened ({e}): the paper is saved as {}", path.display())
            })?;
            Ok(format!("{name} handed to the viewer"))
        }));
    }
}

/// Reads a file; one that is far too large is not read at all.
fn read(of: DocumentOf, path: &Path) -> ReadPaper {
    let shown = path.display();
    let wrong =
        |e: std::io::Error| format!("{shown} could not be read ({}): look at its name", files::cause(&e));
    let meta = std::fs::metadata(path).map_err(wrong)?;
    if meta.is_dir() {
        return Err(format!("{shown} is a folder: write the name of a file in it"));
    }
    let most = hirsel_core::handbook::stock::paper_most_bytes();
    if meta.len() > most {
        let (size, most) = (meta.len().div_ceil(1_000_000), most / 1_000_000);
        return Err(format!(
            "{shown} is {size} MB large, more than the {most} MB that are kept: make it smaller first"
        ));
    }
    let bytes = std::fs::read(path).map_err(wrong)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Ok(DocumentDraft { of, name, bytes: bytes.into() })
}
