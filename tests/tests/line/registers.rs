//! Registers: every row of every register stands on the pages of the inspector's folder, word for word.

use hirsel_core::book::Book;
use hirsel_core::papers::{self, FolderOptions, SheetSize, carry_on};
use hirsel_core::registers::{RegisterKind, Span};
use hirsel_tests::flocks::{Folder, day};

/// Without blanks, as a page has other line breaks than a cell.
fn bare(words: &str) -> String {
    words.chars().filter(|c| !c.is_whitespace() && *c != '\u{a0}').collect()
}

/// What a register shows, cell by cell, is found among the words of its pages, row by row in order.
#[test]
fn each_row_of_each_register_is_in_the_folder() {
    let folder = Folder::new();
    let path = folder.path().join("demo.hirsel");
    let today = day("2026-06-01");
    let spec = hirsel_demo::Spec { ewes: 20, seasons: 3, seed: 7 };
    let mut book = Book::create(&path, hirsel_demo::holding()).expect("a book");
    hirsel_demo::make(&mut book, &spec, today, &mut |_| {}).expect("a demo flock");
    let flock = book.flock();
    let span = Span::new(Some(day("2024-01-01")), None).expect("days");
    let options = FolderOptions { span, sheet: SheetSize::A4, ..FolderOptions::default() };
    let paper = papers::inspector_folder(&flock, today, &options, &carry_on).expect("a folder");
    let pdf = papers::to_pdf(&paper).expect("a PDF");
    let doc = lopdf::Document::load_mem(&pdf).expect("a PDF");
    let pages: Vec<u32> = doc.get_pages().into_keys().collect();
    assert_eq!(pages.len(), paper.pages.len());
    let marks: Vec<(usize, &str)> =
        paper.pages.iter().enumerate().filter_map(|(i, p)| Some((i, p.bookmark.as_deref()?))).collect();
    assert_eq!(marks.len(), RegisterKind::ALL.len() + 2, "front page, gaps and each register: {marks:?}");
    for kind in RegisterKind::ALL {
        let register = kind.make(&flock, span, today);
        let at = marks.iter().position(|(_, title)| *title == register.title).expect("a bookmark");
        let first = marks[at].0 + 1;
        let last = marks.get(at + 1).map_or(pages.len(), |(next, _)| *next);
        let of: Vec<u32> = (first..=last).map(|n| n as u32).collect();
        let text = bare(&doc.extract_text(&of).expect("text"));
        if register.rows.is_empty() {
            assert!(text.contains(&bare(&register.empty)), "{kind:?} says that it is empty");
        }
        // Words of a cell may be parted by those of its neighbours where lines wrap: each word is looked for.
        for row in &register.rows {
            let shown = register.columns.iter().zip(&row.cells).filter(|(c, _)| c.is_shown());
            let words =
                shown.flat_map(|(_, v)| [v.shown.clone(), v.under.clone()]).chain(row.remarks.clone());
            for word in
                words.flat_map(|w| w.split([' ', '\n', '\u{a0}']).map(str::to_string).collect::<Vec<_>>())
            {
                assert!(text.contains(&bare(&word)), "{kind:?}: '{word}' of {row:?}");
            }
        }
        for (i, n) in of.iter().enumerate() {
            let page = doc.extract_text(&[*n]).expect("text");
            let says = bare(&page);
            assert!(says.contains(&bare(&format!("Page {n} of {}", pages.len()))), "{kind:?} {n}");
            assert!(says.contains("Printed1Jun2026"), "{kind:?} {n}");
            assert!(says.contains(&bare(&flock.holding().flock)), "{kind:?}: whose it is, page {i}");
        }
    }
    book.close().expect("closed");
}
