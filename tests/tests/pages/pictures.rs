//! Pictures and papers on the leaf, by the keyboard and dropped onto the window.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::flock::{Document, Flock, RecordRef};
use hirsel_core::terms::{AnimalId, Day};
use hirsel_tests::flocks::{Folder, ctrl, day, desk_sized, enter, press, retype, says, shed_book, wait_for};
use hirsel_tests::photo::{field, file, photo};
use hirsel_tests::shot;
use std::path::{Path, PathBuf};
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn today() -> Day {
    day("2026-04-10")
}

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn kept(h: &Page) -> Vec<Document> {
    flock(h).documents().all().to_vec()
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

fn files(folder: &Folder) {
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).expect("written");
    write("ewe.jpg", &photo(640, 420, [60, 110, 50]));
    write("udder.png", &file(&field(300, 400, [150, 60, 50]), image::ImageFormat::Png));
    write("ticket.pdf", b"%PDF-1.7\na ticket of the scale");
    write("letter.txt", b"no paper");
}

/// The leaf of a ewe that has lambed.
fn leaf(folder: &Folder) -> (Page, AnimalId) {
    leaf_sized(folder, 900.0)
}

fn leaf_sized(folder: &Folder, height: f32) -> (Page, AnimalId) {
    let (book, [ewe, ..]) = shed_book(folder);
    files(folder);
    let mut h = desk_sized(folder, book, today(), [1280.0, height]);
    h.state_mut().pages().expect("open").leaf.show(ewe);
    ctrl(&mut h, Key::Num3);
    (h, ewe)
}

/// A file as the window's system hands it over.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}

fn keep(h: &mut Page, name: &str) {
    let before = kept(h).len();
    press(h, Key::U);
    retype(h, "File to keep", name);
    press(h, Key::Enter);
    wait_for(h, name, |h| h.state().flock().is_some_and(|f| f.documents().all().len() > before));
}

#[test]
fn a_picture_is_kept_seen_mended_and_struck_out_by_keyboard() {
    let folder = Folder::new();
    let (mut h, ewe) = leaf_sized(&folder, 1500.0);
    press(&mut h, Key::U);
    for (name, words) in
        [("nowhere.jpg", "could not be read (no such file"), ("letter.txt", "neither a PDF nor a picture")]
    {
        retype(&mut h, "File to keep", name);
        press(&mut h, Key::Enter);
        wait_for(&mut h, words, |h| says(h, words));
    }
    press(&mut h, Key::Escape);
    keep(&mut h, "ewe.jpg");
    assert!(says(&h, "where it was taken is left out"), "it is told");
    let all = kept(&h);
    assert_eq!((all[0].of, all[0].on), (RecordRef::Animal(ewe).into(), day("2026-04-03")));
    keep(&mut h, "udder.png");
    keep(&mut h, "ticket.pdf");
    assert!(says(&h, "Pictures and papers (3)"));
    let pictures = |h: &Page| {
        h.query_all_by_role(Role::Image)
            .filter(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with("Picture ")))
            .count()
    };
    // The one that stands for her, two small ones, and the large one where the cursor is on a picture.
    assert!(pictures(&h) >= 3, "{}", pictures(&h));
    assert_eq!(flock(&h).documents().portrait(ewe).map(|d| d.name.clone()), Some("udder.png".into()));

    let table = |h: &mut Page| {
        let grid = h
            .query_all_by_role(Role::Grid)
            .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with("Pictures and papers")));
        grid.expect("the list").focus();
        h.run();
        press(h, Key::End);
    };
    table(&mut h);
    click(&mut h, "Let it stand for 0412");
    assert_eq!(flock(&h).documents().portrait(ewe).map(|d| d.name.clone()), Some("ewe.jpg".into()));
    table(&mut h);
    press(&mut h, Key::F2);
    retype(&mut h, "Name", "her head");
    enter(&mut h, &["", "", "a better name"]);
    assert!(kept(&h).iter().any(|d| d.name == "her head"));
    table(&mut h);
    press(&mut h, Key::Delete);
    enter(&mut h, &["of another ewe"]);
    let struck = kept(&h).into_iter().find(|d| d.name == "her head").and_then(|d| d.struck);
    assert_eq!(struck.map(|s| s.reason), Some("of another ewe".into()));
    ctrl(&mut h, Key::Z);
    assert!(kept(&h).iter().all(|d| d.struck.is_none()), "undone");
}

#[test]
fn a_record_has_its_own_papers() {
    let folder = Folder::new();
    let (mut h, ewe) = leaf(&folder);
    let weighing = flock(&h).file(ewe).and_then(|f| f.movements.first().map(|m| RecordRef::Movement(m.id)));
    let record = weighing
        .or_else(|| flock(&h).file(ewe).and_then(|f| f.joinings.first().map(|j| RecordRef::Joining(j.id))));
    let record = record.expect("a record of the ewe");
    h.state_mut().pages().expect("open").leaf.show_record(ewe, record);
    h.run();
    click(&mut h, "Keep a picture or paper with it");
    retype(&mut h, "File to keep", "ticket.pdf");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the ticket", |h| h.state().flock().is_some_and(|f| !f.documents().all().is_empty()));
    assert_eq!(kept(&h)[0].of, record.into());
    assert!(says(&h, "1 paper"), "marked in the list of every record");
    // A file that is dropped goes to the record that is open, without one to the animal.
    let dropped = |h: &mut Page, name: &str| {
        h.input_mut().dropped_files.push(Arc::new(Dropped(folder.path().join(name))));
        h.run();
    };
    dropped(&mut h, "ewe.jpg");
    wait_for(&mut h, "the picture", |h| h.state().flock().is_some_and(|f| f.documents().all().len() == 2));
    assert!(kept(&h).iter().all(|d| d.of == record.into()));
    press(&mut h, Key::Escape);
    dropped(&mut h, "udder.png");
    wait_for(&mut h, "the other", |h| h.state().flock().is_some_and(|f| f.documents().all().len() == 3));
    assert!(kept(&h).iter().any(|d| d.of == RecordRef::Animal(ewe).into()));
    ctrl(&mut h, Key::Num1);
    dropped(&mut h, "ewe.jpg");
    assert!(says(&h, "open the animal, the record"), "on another page it is told what to do");
}

#[test]
fn pictures_on_the_leaf() {
    let folder = Folder::new();
    let (mut h, _) = leaf_sized(&folder, 1300.0);
    for name in ["ewe.jpg", "ticket.pdf", "udder.png"] {
        keep(&mut h, name);
    }
    // Every picture is read and drawn before it is compared.
    hirsel_tests::walk::settle(&mut h);
    shot::check(&mut h, "leaf_pictures");
    press(&mut h, Key::U);
    shot::check(&mut h, "leaf_pictures_form");
}

#[test]
fn papers_of_the_holding() {
    let folder = Folder::new();
    let (book, _) = shed_book(&folder);
    files(&folder);
    let mut h = desk_sized(&folder, book, today(), [1280.0, 1700.0]);
    h.state_mut().pages().expect("open").at = hirsel_app::pages::PageId::Book;
    h.run();
    assert!(says(&h, "under 1 MB with everything in it"));
    click(&mut h, "Keep a picture or paper");
    retype(&mut h, "File to keep", "ticket.pdf");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the paper", |h| says(h, "ticket.pdf, pdf, 30 bytes"));
    click(&mut h, "Strike out ticket.pdf");
    enter(&mut h, &["of another year"]);
    assert!(says(&h, "of another year"));
}
