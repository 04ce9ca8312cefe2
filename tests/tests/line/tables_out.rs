//! Tables out, end to end: the command line's spreadsheets and its ZIP of everything, read by other libraries (calamine,
//! zip, csv); any list of the window saved under a typed name; all of it from The book.

use calamine::{Data, Reader as _, Xlsx};
use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::exchange::Kind;
use hirsel_tests::cli::{hirsel, run, said, state};
use hirsel_tests::flocks::{self, Folder, ctrl, day, desk, press, retype, says};
use hirsel_tests::shot;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Cursor, Read as _};
use std::path::Path;
use std::process::{Output, Stdio};

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn call(folder: &Path, words: &[&str]) -> Output {
    let mut c = hirsel(folder);
    c.args(words).stdin(Stdio::null());
    run(c)
}

fn done(folder: &Path, words: &[&str]) -> String {
    let output = call(folder, words);
    assert!(output.status.success(), "{words:?}: {} {}", output.status, said(&output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn refused(folder: &Path, words: &[&str], code: i32, why: &str) {
    let before = state(folder);
    let output = call(folder, words);
    assert_eq!(output.status.code(), Some(code), "{words:?}: {}", said(&output));
    assert!(said(&output).contains(why), "{words:?}: {}", said(&output));
    assert_eq!(state(folder), before, "{words:?} changed something");
}

fn started() -> Folder {
    let folder = Folder::new();
    done(folder.path(), &["demo", "flock.hirsel", "--ewes", "12", "--seasons", "2", "--on", TODAY]);
    folder
}

/// The cells of the first sheet.
fn sheet(path: &Path) -> Vec<Vec<Data>> {
    let mut book: Xlsx<_> =
        calamine::open_workbook(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let range = book.worksheet_range_at(0).expect("a sheet").expect("its cells");
    range.rows().map(<[Data]>::to_vec).collect()
}

/// Heads and rows of CSV, by another reader than ours.
fn rows(bytes: &[u8]) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(bytes);
    let heads = reader.headers().expect("heads").iter().map(String::from).collect();
    let rows = reader.records().map(|r| r.expect("a row").iter().map(String::from).collect());
    (heads, rows.collect())
}

fn unzipped(path: &Path) -> BTreeMap<String, Vec<u8>> {
    let bytes = std::fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).expect("a ZIP");
    let mut all = BTreeMap::new();
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).expect("a file");
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).expect("its bytes");
        all.insert(file.name().expect("its name").to_string(), bytes);
    }
    all
}

#[test]
fn a_spreadsheet_says_what_the_csv_says() {
    let folder = started();
    let at = |name: &str| folder.path().join(name);
    let said = done(folder.path(), &["export", "flock.hirsel", "weighings", "-o", "w.xlsx", "--on", TODAY]);
    assert_eq!(said, "Wrote the weighings to w.xlsx\n");
    let (heads, csv) = rows(done(folder.path(), &["export", "flock.hirsel", "weighings"]).as_bytes());
    let cells = sheet(&at("w.xlsx"));
    assert_eq!(cells[0].iter().map(ToString::to_string).collect::<Vec<_>>(), heads);
    assert_eq!(cells.len() - 1, csv.len());
    for (row, want) in cells[1..].iter().zip(&csv) {
        assert_eq!(row[0], Data::String(want[0].clone()), "a tag is text");
        assert!(matches!(row[1], Data::DateTime(_)), "{:?}", row[1]);
        assert_eq!(row[2], Data::Float(want[2].parse().expect("a weight")));
    }
    // Twice the same, and the ending of any case.
    done(folder.path(), &["export", "flock.hirsel", "weighings", "-o", "again.XLSX", "--on", TODAY]);
    assert!(std::fs::read(at("w.xlsx")).ok() == std::fs::read(at("again.XLSX")).ok());
    for words in [
        &["register", "flock.hirsel", "movement-register", "-o", "moves.xlsx", "--on", TODAY][..],
        &["register", "flock.hirsel", "treatment-log", "--format", "xlsx", "-o", "log.xlsx", "--on", TODAY],
        &["reckon", "flock.hirsel", "growth", "-o", "growth.xlsx", "--on", TODAY],
        &["reckon", "flock.hirsel", "figures", "--format", "xlsx", "-o", "figures.xlsx", "--on", TODAY],
        &["reckon", "flock.hirsel", "kinship", "--matrix", "-o", "matrix.xlsx", "--on", TODAY],
    ] {
        done(folder.path(), words);
        let name = words.iter().find(|w| w.ends_with(".xlsx")).expect("a name");
        assert!(sheet(&at(name)).len() > 2, "{name} is empty");
    }
    let growth = sheet(&at("growth.xlsx"));
    assert!(matches!(growth[1][1], Data::DateTime(_)) && matches!(growth[1][2], Data::Float(_)));
    // As before: text of any kind into a file.
    let text = done(folder.path(), &["reckon", "flock.hirsel", "growth", "--format", "csv", "--on", TODAY]);
    let said = done(
        folder.path(),
        &["reckon", "flock.hirsel", "growth", "--format", "csv", "-o", "growth.csv", "--on", TODAY],
    );
    assert_eq!(std::fs::read_to_string(at("growth.csv")).ok(), Some(text));
    assert!(said.starts_with("Wrote ") && said.ends_with("rows of growth to growth.csv\n"), "{said}");
}

#[test]
fn what_cannot_be_taken_out_is_refused() {
    let folder = started();
    let at = folder.path();
    refused(at, &["export", "flock.hirsel", "everything"], 2, "name it with -o FLOCK.zip");
    refused(at, &["export", "flock.hirsel", "sheep"], 2, "pen-checks, everything");
    refused(at, &["export", "flock.hirsel", "everything", "-o", "flock.hirsel"], 2, "is the book itself");
    refused(at, &["export", "flock.hirsel", "everything", "-o", "no/where.zip"], 2, "could not be written");
    refused(at, &["reckon", "flock.hirsel", "growth", "--format", "xlsx"], 2, "-o FILE.xlsx");
    refused(at, &["register", "flock.hirsel", "stock", "--format", "xlsx"], 2, "-o FILE.xlsx");
    let json = ["register", "flock.hirsel", "stock", "--format", "json", "-o", "x.xlsx"];
    refused(at, &json, 2, "x.xlsx is the name of a spreadsheet: leave --format out");
    refused(at, &["reckon", "flock.hirsel", "growth", "-o", "flock.hirsel"], 2, "is the book itself");
}

#[test]
fn everything_is_told_summed_and_comes_in_again() {
    let folder = started();
    let at = folder.path();
    let said = done(at, &["export", "flock.hirsel", "everything", "-o", "all.zip", "--on", TODAY]);
    assert!(said.starts_with("Wrote everything to all.zip: "), "{said}");
    let files = unzipped(&at.join("all.zip"));
    let (_, told) = rows(&files["dictionary.csv"]);
    let whole: BTreeSet<&String> = told.iter().filter(|r| r[1].is_empty()).map(|r| &r[0]).collect();
    assert_eq!(whole, files.keys().collect());
    for (name, bytes) in files.iter().filter(|(name, _)| name.ends_with(".csv")) {
        let columns: Vec<&String> =
            told.iter().filter(|r| r[0] == *name && !r[1].is_empty()).map(|r| &r[1]).collect();
        assert_eq!(rows(bytes).0.iter().collect::<Vec<_>>(), columns, "{name}");
    }
    assert!(rows(&files["more/pens.csv"]).1.len() > 5 && rows(&files["more/journal.csv"]).1.len() > 5);
    // Into a book of its own, in the order of their names: the same tables come out of that.
    done(at, &["new", "again.hirsel", "--flock", "Again"]);
    for (i, kind) in Kind::ALL.into_iter().enumerate() {
        let name = format!("tables/{:02}-{}.csv", i + 1, kind.word());
        std::fs::write(at.join("one.csv"), &files[&name]).expect("written");
        done(at, &["import", "again.hirsel", kind.word(), "one.csv", "--on", TODAY]);
    }
    for (i, kind) in Kind::ALL.into_iter().enumerate() {
        let name = format!("tables/{:02}-{}.csv", i + 1, kind.word());
        let again = done(at, &["export", "again.hirsel", kind.word()]);
        assert_eq!(again.as_bytes(), files[&name], "{}", kind.word());
    }
    // Handed on through a pipe it holds the same.
    let output = call(at, &["export", "flock.hirsel", "everything", "-o", "-", "--on", TODAY]);
    std::fs::write(at.join("piped.zip"), &output.stdout).expect("written");
    assert_eq!(unzipped(&at.join("piped.zip")), files);
    done(at, &["export", "flock.hirsel", "everything", "-o", "again.zip", "--on", TODAY]);
    assert!(std::fs::read(at.join("again.zip")).ok() == std::fs::read(at.join("all.zip")).ok());
}

fn wait(h: &mut Page, text: &str) {
    for _ in 0..6_000 {
        if says(h, text) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
        h.run();
    }
    panic!("'{text}' did not show");
}

#[test]
fn any_list_is_saved_under_a_typed_name() {
    let folder = Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    h.get_by_role_and_label(Role::Button, "Save as a table…").click();
    h.run();
    assert!(says(&h, "Save as a table") && flocks::has_keyboard(&h, Role::TextInput, "Name"));
    shot::check(&mut h, "save_table");
    // The ending typed says what it becomes.
    retype(&mut h, "Name", "mine.xlsx");
    press(&mut h, Key::Enter);
    wait(&mut h, "Saved as");
    let path = folder.path().join("mine.xlsx");
    let cells = sheet(&path);
    assert!(cells.iter().skip(1).any(|r| r.contains(&Data::String("0412".into()))), "{cells:?}");
    assert!(cells.iter().flatten().any(|c| matches!(c, Data::DateTime(_))), "days are days: {cells:?}");
    // What is there already is left alone.
    h.get_by_role_and_label(Role::Button, "Save as a table…").click();
    h.run();
    retype(&mut h, "Name", "mine.xlsx");
    press(&mut h, Key::Enter);
    wait(&mut h, "mine.xlsx is there already: choose another name");
    retype(&mut h, "Name", "nowhere/mine.csv");
    press(&mut h, Key::Enter);
    wait(&mut h, "there is no folder");
    press(&mut h, Key::Escape);
    assert!(h.query_by_role_and_label(Role::TextInput, "Name").is_none(), "Esc leaves it");
}

#[test]
fn ctrl_s_saves_the_table_that_has_the_keyboard() {
    let folder = Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    h.get_by_role_and_label(Role::Grid, "Animals, 4 rows").focus();
    h.run();
    ctrl(&mut h, Key::S);
    h.run();
    assert!(says(&h, "Animals: 4 rows"), "the dialog names the table");
    retype(&mut h, "Name", "by hand.csv");
    press(&mut h, Key::Enter);
    wait(&mut h, "Saved as");
    let (heads, all) = rows(&std::fs::read(folder.path().join("by hand.csv")).expect("the file"));
    assert_eq!(heads[0], "Tag");
    assert_eq!(all.len(), 4);
    assert!(all.iter().any(|r| r[0] == "0412"));
}

fn tables_out(h: &mut Page) {
    ctrl(h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Tables out").click();
    h.run();
}

#[test]
fn the_window_takes_out_spreadsheets_and_everything() {
    let folder = Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    tables_out(&mut h);
    h.get_by_role_and_label(Role::RadioButton, "spreadsheet (XLSX)").click();
    h.run();
    h.get_by_role_and_label(Role::Button, "All of them").click();
    h.run();
    wait(&mut h, &format!("{} tables taken out", Kind::ALL.len()));
    for kind in Kind::ALL {
        let cells = sheet(&folder.path().join(format!("{}.xlsx", kind.word())));
        let heads: Vec<String> = cells[0].iter().map(ToString::to_string).collect();
        assert_eq!(heads, kind.columns().iter().map(|c| c.name).collect::<Vec<_>>());
    }
    h.get_by_role_and_label(Role::Button, "Everything as one ZIP").click();
    h.run();
    wait(&mut h, "Everything taken out to");
    let zip = std::fs::read_dir(folder.path()).expect("the folder").flatten();
    let zips: Vec<_> = zip.map(|e| e.path()).filter(|p| p.extension().is_some_and(|e| e == "zip")).collect();
    assert_eq!(zips.len(), 1);
    let files = unzipped(&zips[0]);
    assert!(files.contains_key("more/journal.csv") && files.contains_key("tables/01-animals.csv"));
    // Nothing half is left.
    let half = std::fs::read_dir(folder.path()).expect("the folder").flatten();
    assert!(half.map(|e| e.path()).all(|p| !p.to_string_lossy().ends_with(".part")));
    assert!(h.query_by_role_and_label(Role::Button, "Show the folder").is_some());
    // The path of the test's own folder would change the picture.
    retype(&mut h, "Into the folder", "nowhere");
    h.get_by_role_and_label(Role::Button, "Everything as one ZIP").click();
    h.run();
    wait(&mut h, "there is no folder");
}

#[test]
fn tables_out_as_it_is_seen() {
    let folder = Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    tables_out(&mut h);
    retype(&mut h, "Into the folder", "stick/flock");
    shot::check(&mut h, "tables_out");
}
