//! Doubts of the pedigree by the keyboard: listed, opened, put away; two made one and parted again.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Born, Sex, Status, Tag};
use hirsel_tests::flocks::{
    Folder, add, ctrl, day, desk, desk_sized, enter, has_keyboard, joined_book, press, says, type_in, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

/// The page on blood at its doubts, with the keyboard in the search field.
fn doubts(h: &mut Page) {
    ctrl(h, Key::B);
    for _ in 0..4 {
        ctrl(h, Key::PageDown);
    }
}

fn lamb(book: &mut Book, tag: &str, born: &str, dam: Option<AnimalId>, sire: Sire) -> AnimalId {
    let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
    (draft.born, draft.dam, draft.sire) = (Born::parse(born).expect("a birth"), dam, sire);
    let id = draft.id;
    let check = entry::animals(vec![draft], &book.flock(), day("2026-04-10"));
    write(book, check);
    id
}

/// The joined ewes; a lamb of two rams, one dam too young, and 0412 twice: as bought and as somebody's ancestor.
fn doubtful(folder: &Folder) -> Book {
    let today = day("2026-04-10");
    let (mut book, [ewe, second, _, r7]) = joined_book(folder);
    let r9 = add(&mut book, "R9", Sex::Ram, "2022-03-01", today);
    lamb(&mut book, "0501", "2026-03-20", Some(ewe), Sire::OneOf(vec![r7, r9]));
    lamb(&mut book, "0301", "2022-12-30", Some(second), Sire::Unknown);
    let mut other = AnimalDraft::new(Tag::parse("UK 0412").expect("a tag"), Sex::Ewe);
    other.identities.push(entry::IdentityDraft {
        kind: hirsel_core::terms::IdentityKind::Registry,
        tag: Tag::parse("0412").expect("a tag"),
    });
    other.name = Some("Thornley Bracken of the long wall".into());
    other.born = Born::parse("2021-04-02").expect("a birth");
    other.breed = hirsel_core::terms::Breed::parse("Fellside").expect("a breed");
    other.note =
        Some("from the sheet of the ram's breeder, seen at the spring sale with two lambs at foot".into());
    other.status = Status::Outside;
    let check = entry::animals(vec![other], &book.flock(), today);
    write(&mut book, check);
    book
}

#[test]
fn an_empty_list_says_what_was_looked_for() {
    let folder = Folder::new();
    let (book, _) = joined_book(&folder);
    let mut h = desk(&folder, book, day("2026-04-10"));
    doubts(&mut h);
    assert!(says(&h, "Nothing in the pedigree is doubtful"));
}

#[test]
fn a_doubt_is_opened_or_put_away() {
    let folder = Folder::new();
    let mut h = desk(&folder, doubtful(&folder), day("2026-04-10"));
    doubts(&mut h);
    assert!(says(&h, "3 doubts"));
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    shot::check(&mut h, "blood_doubts_list");
    enter(&mut h, &["young"]);
    assert!(says(&h, "1 doubt"));
    press(&mut h, Key::Home);
    assert!(says(&h, "0417 was 277 days old when it lambed for 0301"));
    click(&mut h, "It is right as it is");
    assert!(says(&h, "Put away") && says(&h, "0 doubts"));
    // Kept as a draft: it stays away over writes and sittings.
    let kept = serde_json::to_string(h.state_mut().pages().expect("open")).expect("text");
    assert!(kept.contains("parent very young"), "{kept}");
    h.get_by_role_and_label(Role::CheckBox, "Show the 1 put away").click();
    h.run();
    assert!(says(&h, "1 doubt"));
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    assert!(says(&h, "0301"), "its leaf is open");
    assert!(h.state_mut().pages().expect("open").leaf.open.is_some());
}

#[test]
fn two_are_made_one_and_parted_again_by_keyboard() {
    let folder = Folder::new();
    let mut h = desk(&folder, doubtful(&folder), day("2026-04-10"));
    let other = flock(&h).by_tag("UK 0412").expect("there");
    let ewe = flock(&h)
        .by_tag("0417")
        .and_then(|_| flock(&h).find("0412", 9, |f| f.animal.status == Status::Present).first().map(|f| f.id))
        .expect("there");
    doubts(&mut h);
    enter(&mut h, &["may be one"]);
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Why"), "side by side, only the reason is wanting");
    assert!(says(&h, "Where they differ, choose what is right"));
    shot::check(&mut h, "blood_doubts_merge");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    type_in(&mut h, "the breeder says so");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    assert!(f.animal(other).is_none(), "one of them is gone");
    assert_eq!(
        f.animal(ewe).and_then(|a| a.name.clone()).as_deref(),
        Some("Thornley Bracken of the long wall")
    );
    assert_eq!(f.by_tag("UK 0412"), Some(ewe));
    assert!(says(&h, "2 doubts"), "back at the list");
    h.get_by_role_and_label(Role::RadioGroup, "See").focus();
    h.run();
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    assert!(says(&h, "1 pair"));
    press(&mut h, Key::Enter);
    press(&mut h, Key::ArrowDown);
    assert!(says(&h, "the breeder says so"));
    click(&mut h, "Part them again");
    assert!(says(&h, "Parted again"));
    assert!(flock(&h).animal(other).is_some());
    assert!(says(&h, "They are two again."));
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).animal(other).is_none(), "the parting is undone like anything else");
}

#[test]
fn a_corrected_parent_tells_what_it_changes() {
    let folder = Folder::new();
    let today = day("2026-04-10");
    let (mut book, [ewe, .., ram]) = joined_book(&folder);
    let daughter = lamb(&mut book, "0301", "2023-03-20", Some(ewe), Sire::Known(ram));
    lamb(&mut book, "0501", "2026-03-20", Some(daughter), Sire::Known(ram));
    add(&mut book, "R9", Sex::Ram, "2020-03-01", today);
    let mut edit = book.flock().animal(daughter).expect("there").clone();
    edit.sire = Sire::Known(book.flock().by_tag("R9").expect("there"));
    let check = entry::edit_animal(edit, Some("misread"), &book.flock(), today);
    write(&mut book, check);
    let mut h = desk(&folder, book, today);
    ctrl(&mut h, Key::Z);
    assert!(says(&h, "Undid: New facts of 0301; inbreeding of 1 animal changed, 0501: 0.0 % to 25.0 %"));
    ctrl(&mut h, Key::Y);
    assert!(says(&h, "Did again: New facts of 0301; inbreeding of 1 animal changed, 0501: 25.0 % to 0.0 %"));
}

/// Pictures to look at, in the temporary folder, when asked for.
#[test]
fn pictures() {
    let Some(to) = std::env::var_os("LOOK_AT") else { return };
    let to = std::path::PathBuf::from(to);
    for (name, size) in [("wide", [1240.0, 800.0]), ("small", [1024.0, 700.0])] {
        let folder = Folder::new();
        let mut h = desk_sized(&folder, doubtful(&folder), day("2026-04-10"), size);
        doubts(&mut h);
        press(&mut h, Key::ArrowDown);
        shot::to_png(&mut h, to.join(format!("doubts_{name}.png"))).expect("painted");
        press(&mut h, Key::Home);
        press(&mut h, Key::ArrowDown);
        press(&mut h, Key::Enter);
        shot::to_png(&mut h, to.join(format!("merge_{name}.png"))).expect("painted");
        type_in(&mut h, "the breeder says so");
        ctrl(&mut h, Key::Enter);
        h.get_by_role_and_label(Role::RadioGroup, "See").focus();
        h.run();
        press(&mut h, Key::ArrowRight);
        press(&mut h, Key::ArrowRight);
        press(&mut h, Key::Enter);
        press(&mut h, Key::ArrowDown);
        shot::to_png(&mut h, to.join(format!("past_{name}.png"))).expect("painted");
    }
}
