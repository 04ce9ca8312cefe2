//! Weights at a fixed age: lambs, groups mended by hand, factors of the table and of the flock's own.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, LambDraft, LambingDraft, WeighingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::reckon::growth::rules::{Effect, GrowthRules};
use hirsel_core::terms::{AnimalId, Moment, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, press, says, type_in, write};
use hirsel_tests::shot;

const TODAY: &str = "2026-05-20";

type Page = Harness<'static, Desk>;

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

/// Writes a lambing of a ewe whose joining nobody wrote down.
fn write_sure(book: &mut Book, check: entry::Check) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    let sure = checked.despite("made up").unwrap_or_else(|e| panic!("{e}"));
    book.write(sure).unwrap_or_else(|e| panic!("{e}"));
}

/// Twelve ewes with a single or twins, born 10 to 21 March, all weighed on 12 May.
fn book(folder: &flocks::Folder) -> (Book, Vec<AnimalId>) {
    let (mut book, _) = flocks::shed_book(folder);
    let today = day(TODAY);
    let mut lambs = Vec::new();
    for i in 0..12u32 {
        let ewe = flocks::add(&mut book, &format!("E{i:02}"), Sex::Ewe, "2022-03-10", today);
        let born = day("2026-03-10").plus(i.into());
        let n = if i % 3 == 0 { 1 } else { 2 };
        let drafts: Vec<LambDraft> = (0..n)
            .map(|j| {
                let sex = if (i + j) % 2 == 0 { Sex::Ewe } else { Sex::Ram };
                let mut lamb = LambDraft::new(sex);
                lamb.tag = Tag::parse(&tag(i, j)).ok();
                lamb.weight = Weight::from_grams(4_900 - i64::from(n) * 400 + i64::from(i) * 20);
                lamb
            })
            .collect();
        let check = entry::lambing(lambing(ewe, born, drafts), &book.flock(), today);
        write_sure(&mut book, check);
        for j in 0..n {
            let id = book.flock().by_tag(&tag(i, j)).expect("the lamb");
            let grams = 22_500 - i64::from(n) * 1_500 + i64::from(i) * 130 + i64::from(j) * 600;
            let weight = Weight::from_grams(grams).expect("a weight");
            let draft = WeighingDraft { animal: id, at: Moment::day(day("2026-05-12")), weight, note: None };
            let check = entry::weighings(vec![draft], &book.flock(), today);
            write(&mut book, check);
            lambs.push(id);
        }
    }
    (book, lambs)
}

fn tag(ewe: u32, lamb: u32) -> String {
    format!("{:04}", 700 + ewe * 2 + lamb)
}

fn lambing(ewe: AnimalId, on: hirsel_core::terms::Day, lambs: Vec<LambDraft>) -> LambingDraft {
    let at = Moment::day(on);
    LambingDraft {
        ewe,
        at,
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs,
        foster_on: Vec::new(),
    }
}

fn fixed(folder: &flocks::Folder, book: Book) -> Page {
    let mut h = desk(folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::PageDown);
    ctrl(&mut h, Key::PageDown);
    h
}

#[test]
fn lambs_stand_with_ratio_and_the_factors_they_carry() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = fixed(&folder, book);
    assert!(says(&h, "20 lambs"));
    let first = rows(&h)[0].clone();
    // 4.5 kg at birth, 21.0 kg at 63 days: 4.5 + 16.5 · 60 / 63 = 20.2 kg.
    assert!(first.starts_with("0700, ewe, single/single, 4.5 kg, 21.0 kg, 63, 20.2 kg, 20.2 kg"), "{first}");
    assert!(first.ends_with("1.00 table"), "{first}");
    shot::check(&mut h, "weights_fixed_lambs");
}

#[test]
fn lambs_are_put_into_a_group_by_hand_and_back() {
    let folder = flocks::Folder::new();
    let (book, lambs) = book(&folder);
    let mut h = fixed(&folder, book);
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    enter(&mut h, &["0704"]);
    press(&mut h, Key::Space);
    h.get_by_role_and_label(Role::TextInput, "Into group").focus();
    h.run();
    press(&mut h, Key::Enter);
    assert!(says(&h, "which group? Type its name"));
    enter(&mut h, &["Top field"]);
    let flock = h.state().flock().cloned().expect("a book is open");
    let held = |id: AnimalId| flock.file(id).map(|f| f.groups.len());
    let mended: Vec<AnimalId> = lambs.iter().copied().filter(|id| held(*id) == Some(1)).collect();
    assert_eq!(mended.len(), 1);
    assert_eq!(flock.tag(mended[0]), "0704");
    assert!(rows(&h)[0].contains("group of 1"), "{}", rows(&h)[0]);
    ctrl(&mut h, Key::Z);
    let flock = h.state().flock().cloned().expect("a book is open");
    assert_eq!(flock.file(mended[0]).map(|f| f.groups.len()), Some(0));
}

#[test]
fn groups_are_shown_and_their_rule_is_changed() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = fixed(&folder, book);
    h.get_by_label("Groups").click();
    h.run();
    assert!(rows(&h).iter().any(|r| r.contains("born 10 Mar to 21 Mar, ewe lambs")), "{:?}", rows(&h));
    shot::check(&mut h, "weights_fixed_groups");
    h.get_by_role_and_label(Role::TextInput, "Born within").focus();
    h.run();
    type_in(&mut h, "999");
    h.get_by_label("Write the rule").click();
    h.run();
    assert!(says(&h, "write days from 0 to 365"));
    h.get_by_role_and_label(Role::TextInput, "Born within").focus();
    h.run();
    type_in(&mut h, "7");
    h.get_by_label("Write the rule").click();
    h.run();
    let flock = h.state().flock().cloned().expect("a book is open");
    assert_eq!(GrowthRules::of(&flock).groups.span_days, 7);
    assert!(rows(&h).iter().any(|r| r.contains("born 10 Mar to 16 Mar")), "{:?}", rows(&h));
}

#[test]
fn a_factor_of_the_table_is_changed_beside_the_flocks_own() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = fixed(&folder, book);
    h.get_by_role_and_label(Role::RadioGroup, "Look at").focus();
    h.run();
    type_in(&mut h, "f");
    assert!(says(&h, "no complete published table was found"));
    shot::check(&mut h, "weights_fixed_factors");
    let grid = h.query_all_by_role(Role::Grid).last().map(|n| n.focus());
    assert!(grid.is_some());
    h.run();
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    h.run();
    type_in(&mut h, "9");
    press(&mut h, Key::Enter);
    assert!(says(&h, "a factor lies between 0.5 and 2"));
    ctrl(&mut h, Key::A);
    type_in(&mut h, "0.91");
    press(&mut h, Key::Enter);
    let flock = h.state().flock().cloned().expect("a book is open");
    let rules = GrowthRules::of(&flock);
    assert_eq!(rules.classes(Effect::Sex)[1].factor, 0.91, "{:?}", rules.classes(Effect::Sex));
    assert!(says(&h, "The table: the keeper's."));
}

#[test]
fn it_fits_a_small_window() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = flocks::desk_sized(&folder, book, day(TODAY), [1024.0, 700.0]);
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::PageDown);
    ctrl(&mut h, Key::PageDown);
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    enter(&mut h, &["twin"]);
    h.get_by_label_contains("Carries table: sex 1.00");
    shot::check(&mut h, "weights_fixed_small");
    for _ in 0..2 {
        ctrl(&mut h, Key::PageDown);
    }
    shot::check(&mut h, "weights_fixed_milk_small");
}
