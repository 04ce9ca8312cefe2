//! Tests.

use super::*;
use crate::papers::{carry_on, check, fixture};

#[test]
fn a_folder_names_its_pages_and_is_the_same_on_every_run() {
    let (flock, _, _) = fixture::lambing_shed();
    let today = fixture::day("2026-04-20");
    let paper = inspector_folder(&flock, today, &FolderOptions::default(), &carry_on).unwrap();
    check::assert_inside(&paper, 8.0);
    check::assert_same_bytes(&paper);
    let of = paper.pages.len();
    for (i, page) in paper.pages.iter().enumerate() {
        assert!(page.words().any(|w| w == format!("Page {} of {of}", i + 1)), "page {}", i + 1);
    }
    let file = lopdf::Document::load_mem(&crate::papers::to_pdf(&paper).unwrap()).unwrap();
    assert!(file.catalog().unwrap().has(b"Outlines"));
    let none = FolderOptions { kinds: Vec::new(), ..FolderOptions::default() };
    assert!(matches!(inspector_folder(&flock, today, &none, &carry_on), Err(PaperFailed::Nothing { .. })));
}
