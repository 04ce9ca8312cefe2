//! Papers kept in the book, and the way from a question to the record it is about.

use super::{Desk, Stage};
use crate::look::Kind;
use crate::pages::PageId;
use hirsel_core::flock::{DocumentOf, Link};
use hirsel_core::terms::{Day, DocumentId};
use std::path::PathBuf;

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

    /// Reads a picture or PDF and keeps it in the book.
    pub(super) fn keep_paper(&mut self, _ctx: &egui::Context, _of: DocumentOf, _path: Option<PathBuf>) {
        self.say(Kind::Refuse, "papers cannot be kept yet");
    }

    /// Shows a kept paper in the system's viewer.
    pub(super) fn show_paper(&mut self, _ctx: &egui::Context, _id: DocumentId) {
        self.say(Kind::Refuse, "papers cannot be shown yet");
    }
}
