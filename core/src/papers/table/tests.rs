use super::*;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare};
use crate::papers::sheet::{Mark, Page, Paper, SheetSize, Turn};
use proptest::prelude::*;

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Given on", Width::Mm(18.0)),
            Column::new("Reason in the keeper's words", Width::Share(2.0)),
            Column::figures("ml", Width::Share(1.0)),
        ],
        size_pt: 8.0,
        between: Between::Hairline,
    }
}

fn paper(rows: Vec<Row>) -> Paper {
    let head = |page: &mut Page, _: usize| {
        page.text(10.0, 15.0, Look::new(Face::SerifStrong, 12.0), "HEAD");
        20.0
    };
    let mut flow = Flow::new(SheetSize::A4, Turn::Landscape, [10.0, 12.0, 10.0, 14.0], &head);
    table().flow(&mut flow, rows.into_iter(), &carry_on).unwrap();
    let pages = flow.finish(Look::new(Face::Sans, 7.0), "foot");
    Paper { pages, ..Paper::default() }
}

fn row(words: &str) -> Row {
    Row { cells: vec![Cell::new("3 Apr"), Cell::new(words), Cell::new("2.5")], ..Row::default() }
}

#[test]
fn headings_repeat_and_pages_are_counted() {
    let paper = paper((0..200).map(|i| row(&format!("row{i}."))).collect());
    assert!(paper.pages.len() > 3);
    for (i, page) in paper.pages.iter().enumerate() {
        let words: Vec<&str> = page.words().collect();
        assert!(words.contains(&"Given on"), "page {i}");
        assert!(words.contains(&format!("Page {} of {}", i + 1, paper.pages.len()).as_str()), "page {i}");
    }
    let all = paper.words().collect::<Vec<_>>();
    assert!((0..200).all(|i| all.iter().filter(|w| **w == format!("row{i}.")).count() == 1));
    assert_same_bytes(&paper);
}

#[test]
fn a_row_is_kept_whole_if_a_page_can_hold_it() {
    let long = "sheep ".repeat(300);
    let paper = paper((0..12).map(|_| row(&long)).collect());
    for page in &paper.pages {
        let words = page.words().map(|w| w.matches("sheep").count()).sum::<usize>();
        assert_eq!(words % 300, 0);
    }
}

#[test]
fn a_row_taller_than_a_page_is_split_and_nothing_is_cut_off() {
    let long = (0..6000).map(|i| format!("w{i}")).collect::<Vec<_>>().join(" ");
    let paper = paper(vec![row("before"), row(&long), row("after")]);
    assert!(paper.pages.len() > 3);
    assert_inside(&paper, 8.0);
    let column = paper.pages.iter().flat_map(|p| &p.marks).filter_map(|mark| match mark {
        Mark::Text { x_mm, text, .. } if *x_mm > 28.0 && text.starts_with('w') => Some(text.as_str()),
        _ => None,
    });
    assert_eq!(bare(&column.collect::<String>()), bare(&long));
}

#[test]
fn struck_rows_carry_a_line_through_each_line_of_words() {
    let plain = paper(vec![row("one two")]);
    let struck =
        paper(vec![Row { struck: true, notes: vec!["Struck out: typed twice".into()], ..row("one two") }]);
    let lines = |p: &Paper| p.pages[0].marks.iter().filter(|m| matches!(m, Mark::Line { .. })).count();
    // Three cells of one line each, and the bar beside the note.
    assert_eq!(lines(&struck), lines(&plain) + 4);
    assert!(struck.words().any(|w| w == "Struck out: typed twice"));
}

#[test]
fn it_stops_when_asked() {
    let head = |_: &mut Page, _: usize| 20.0;
    let mut flow = Flow::new(SheetSize::A4, Turn::Portrait, [10.0; 4], &head);
    let rows = (0..500).map(|_| row("x")).collect::<Vec<_>>();
    let asked = std::cell::Cell::new(0);
    let answer = table().flow(&mut flow, rows.into_iter(), &|done, total| {
        asked.set(asked.get() + 1);
        assert_eq!(total, 500);
        done < 200
    });
    assert_eq!(answer, Err(PaperFailed::Stopped));
    assert_eq!(asked.get(), 3);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn no_word_is_lost_or_outside(
        words in prop::collection::vec("[a-zé-]{0,60}( [A-Z]{1,90}){0,6}", 1..30),
        note in "[a-z ]{0,200}",
    ) {
        let rows = words.iter().map(|w| Row {
            cells: vec![Cell::strong(w.clone()).under(w.clone()), Cell::new(w.clone()).was("old").remark(w.clone()), Cell::new(w.clone())],
            struck: w.len() % 3 == 0,
            notes: vec![note.clone()],
        }).collect();
        let paper = paper(rows);
        assert_inside(&paper, 8.0);
        let count = |text: &str| { let mut n = [0usize; 128]; for c in text.bytes() { n[(c & 127) as usize] += 1; } n };
        let all: String = paper.words().filter(|w| !w.starts_with("Page ") && *w != "foot" && *w != "HEAD").collect();
        let heads = bare("Given onReason in the keeper's wordsml").repeat(paper.pages.len());
        let expected = words.iter().map(|w| format!("{}old{note}", w.repeat(5))).collect::<String>() + &heads;
        prop_assert_eq!(count(&bare(&all)), count(&bare(&expected)));
    }
}

/// A heading, what is said below it and the first row stand on one page, wherever the heading falls.
#[test]
fn a_heading_never_stands_without_its_first_row() {
    for start in 0..60 {
        let head = |_: &mut Page, _: usize| 20.0;
        let mut flow = Flow::new(SheetSize::A4, Turn::Portrait, [10.0, 12.0, 10.0, 14.0], &head);
        flow.y = flow.body().bottom() - start as f32;
        flow.paragraph(Look::new(Face::SerifStrong, 12.0), "Bank field");
        flow.paragraph(Look::new(Face::Sans, 9.0), "1 lamb");
        flow.y += 1.5;
        let first =
            Row { cells: vec![Cell::strong("3 Apr").under("a").under("b").under("c")], ..Row::default() };
        table().flow(&mut flow, vec![first].into_iter(), &carry_on).unwrap();
        let page = |words: &str| flow.pages.iter().position(|p| p.words().any(|w| w == words));
        assert!(page("3 Apr").is_some());
        for words in ["Bank field", "1 lamb", "Given on"] {
            assert_eq!(page(words), page("3 Apr"), "{words}, {start} mm above the foot");
            let n = flow.pages.iter().flat_map(Page::words).filter(|w| *w == words).count();
            assert_eq!(n, 1, "{words} stands once");
        }
    }
}
