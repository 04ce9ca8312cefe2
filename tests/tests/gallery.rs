//! Every page, part, form of the leaf and paper, in each form of the window, on sheets that are compared: what looks
//! otherwise than before is seen here first.

use egui::Theme;
use hirsel_app::pages::PageId;
use hirsel_app::pages::papers::{PaperKind, RegisterAsk};
use hirsel_core::registers::{RegisterKind, Span};
use hirsel_tests::flocks::{Folder, day};
use hirsel_tests::gallery::{Form, Gallery};
use hirsel_tests::walk;

const TODAY: &str = "2026-04-10";

const SMALL: [f32; 2] = [1024.0, 700.0];
const WIDE: [f32; 2] = [1440.0, 900.0];

/// Walks through all pages in a form. Returns how many were seen.
fn pages(form: Form) {
    let folder = Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let mut h = form.desk(&folder, book, day(TODAY));
    let mut gallery = Gallery::new(form);
    walk::everywhere(&mut h, |h, at| gallery.take(h, at));
    gallery.compare();
}

#[test]
fn by_day() {
    pages(Form { name: "day", window: SMALL, scale: 1.0, theme: Theme::Light, high: false });
}

#[test]
fn by_lamp() {
    pages(Form { name: "lamp", window: WIDE, scale: 1.0, theme: Theme::Dark, high: false });
}

#[test]
fn at_twice_the_size() {
    pages(Form { name: "twice", window: SMALL, scale: 2.0, theme: Theme::Light, high: false });
}

#[test]
fn with_high_contrast() {
    pages(Form { name: "contrast", window: WIDE, scale: 1.0, theme: Theme::Light, high: true });
}

/// Every paper as it is shown before it is printed.
#[test]
fn papers() {
    let form = Form { name: "papers", window: WIDE, scale: 1.0, theme: Theme::Light, high: false };
    let folder = Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let mut h = form.desk(&folder, book, day(TODAY));
    let ewe = walk::a_ewe(&h);
    let mut gallery = Gallery::new(form);
    let kinds = PaperKind::ALL.into_iter().chain(RegisterKind::ALL.into_iter().map(PaperKind::Register));
    for kind in kinds {
        let pages = h.state_mut().pages().expect("a book is open");
        let of_one = matches!(kind, PaperKind::Pedigree | PaperKind::Ancestors | PaperKind::Growth);
        match kind {
            PaperKind::Register(_) => pages.papers.show_register(RegisterAsk::of(kind, Span::default(), &[])),
            _ => pages.papers.show(kind, if of_one { vec![ewe] } else { Vec::new() }),
        }
        walk::show(&mut h, PageId::Papers, None);
        gallery.take(&mut h, kind.words());
    }
    gallery.compare();
}
