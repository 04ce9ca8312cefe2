//! Tables in, in the window: any table is read, looked at, mended and brought in as one write, by keyboard.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::entry::{self, WeighingDraft};
use hirsel_core::terms::{Moment, Sex, Units, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, press, retype, says, type_in, wait_for};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

/// The page over a book, with this file beside it read.
fn read(folder: &flocks::Folder, book: hirsel_core::book::Book, name: &str, text: &str) -> Page {
    std::fs::write(folder.path().join(name), text).expect("a table");
    let mut h = desk_sized(folder, book, day(TODAY), [1240.0, 1100.0]);
    ctrl(&mut h, Key::Num0);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    // A bare name lies beside the book.
    retype(&mut h, "File", name);
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the table", |h| {
        says(h, "Read, not yet brought in")
            || says(h, "choose a file of rows and columns")
            || says(h, "check its name")
    });
    h.run();
    h
}

fn click(h: &mut Page, name: &str) {
    h.get_by_role_and_label(Role::Button, name).click();
    h.run();
}

fn animals(h: &Page) -> Option<usize> {
    h.state().flock().map(|f| f.len())
}

const THEIRS: &str = "Thornley flock\n\nEartag;DOB;Gender;Mother;Birth wt (lb);Wool\n\
    0500;03/04/2024;gimmer;412;10;fine\n0501;05/04/2024;M;0417;11;\n0412;;F;;;\n0433;11/04/2023;F;;9;\n";

#[test]
fn any_table_is_looked_at_and_then_brought_in_as_one_write() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = read(&folder, book, "theirs.csv", THEIRS);
    assert!(says(&h, "Which day is '03/04/2024' on line 4?"), "never guessed");
    let first = "3 Apr 2024 (day, month, year)";
    assert!(flocks::has_keyboard(&h, Role::Button, first));
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the rows", |h| {
        says(h, "2 animals new, 1 with other facts, left as the book has them, 1 the same")
    });
    h.run();
    assert!(says(&h, "412 is read as 0412"));
    assert!(says(&h, "birth weight kg: nothing → 4.082"), "what would change is shown");
    shot::check(&mut h, "book_tables_in");
    assert_eq!(animals(&h), Some(4), "nothing is written yet");
    click(&mut h, "Bring them in");
    assert_eq!(animals(&h), Some(6));
    assert!(says(&h, "Brought in 2 animals from theirs.csv"));
    let weight = |h: &Page| {
        let f = h.state().flock().cloned()?;
        f.animal(f.by_tag("0433")?)?.birth_weight
    };
    assert_eq!(weight(&h), None, "what the book holds is left alone");
    ctrl(&mut h, Key::Z);
    assert_eq!(animals(&h), Some(4), "one undo takes all of it back");
    // Read again: the order of days is remembered; now the table may change the book.
    retype(&mut h, "File", "theirs.csv");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the rows", |h| says(h, "Columns as you said of such a table before"));
    h.get_by_role_and_label(Role::CheckBox, "Let the table change what the book holds").click();
    wait_for(&mut h, "the change", |h| says(h, "2 animals new, 1 changed"));
    click(&mut h, "Bring them in");
    assert_eq!(weight(&h).map(|w| w.grams()), Some(4_082));
    ctrl(&mut h, Key::Z);
    assert_eq!((animals(&h), weight(&h)), (Some(4), None));
}

#[test]
fn rows_to_mend_are_left_out_knowingly() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = read(&folder, book, "more.csv", "tag,sex,born\n0500,ewe,2024-03-01\n0501,grey,2024-03-31\n");
    assert!(says(&h, "1 row is to mend"));
    assert!(says(&h, "sex 'grey'"), "every bad row is named");
    h.get_by_role_and_label(
        Role::CheckBox,
        "Leave out what is to mend or in doubt (1), and bring in the others",
    )
    .click();
    wait_for(&mut h, "the choice", |h| says(h, "1 to mend, left out"));
    click(&mut h, "Bring them in");
    assert_eq!(animals(&h), Some(5));
    assert!(says(&h, "1 row left out"), "and it is said");
}

#[test]
fn what_looks_unlikely_needs_a_word() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    let lamb = flocks::add(&mut book, "0501", Sex::Ewe, "2026-04-01", day(TODAY));
    let first = WeighingDraft {
        animal: lamb,
        at: Moment { day: day("2026-04-02"), time: None },
        weight: Weight::parse("4", Units::Metric).expect("a weight"),
        note: None,
    };
    let check = entry::weighings(vec![first], &book.flock(), day(TODAY));
    flocks::write(&mut book, check);
    let mut h = read(&folder, book, "scale.csv", "Date,Tag,Weight kg\n2026-04-03,0501,14\n");
    assert!(says(&h, "1 weighing new"));
    assert!(flocks::has_keyboard(&h, Role::TextInput, "Why"));
    press(&mut h, Key::Enter);
    assert!(says(&h, "A word is needed"));
    let weighings = |h: &Page| h.state().flock().and_then(|f| f.file(lamb).map(|f| f.weighings.len()));
    assert_eq!(weighings(&h), Some(1));
    type_in(&mut h, "another scale");
    shot::check(&mut h, "book_cautions");
    press(&mut h, Key::Enter);
    assert_eq!(weighings(&h), Some(2));
    h.get_by_role_and_label(Role::RadioButton, "Journal").click();
    h.run();
    assert!(says(&h, "another scale; imported from scale.csv"), "the word is kept");
}

#[test]
fn a_file_that_is_no_table_is_said_plainly() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = read(&folder, book, "x.pdf", "%PDF-1.7");
    assert!(says(&h, "it is a PDF, no table"));
    retype(&mut h, "File", "nowhere.csv");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the answer", |h| {
        says(h, "nowhere.csv could not be read (no such file or directory): check its name")
    });
}
