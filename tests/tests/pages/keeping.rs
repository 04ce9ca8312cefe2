//! Keep or part by the keyboard: ram lambs decided one by one and undone, the jobs that follow, what counts how much,
//! ewe lambs, ewes to leave, and what is said where there is nothing to compare.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, ScoringDraft, SireDraft, WeighingDraft};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::due::Board;
use hirsel_core::terms::{AnimalId, BirthType, Born, Decided, Moment, Score, ScoreKind, Sex, Tag, Weight};
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, desk_sized, empty_book, has_keyboard, press, retype, says, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

const TODAY: &str = "2026-04-28";

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

struct Put<'a> {
    book: &'a mut Book,
}

impl Put<'_> {
    fn animal(&mut self, tag: &str, sex: Sex, born: &str, parents: Option<(AnimalId, AnimalId)>) -> AnimalId {
        let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex);
        draft.born = Born::parse(born).expect("a day");
        if let Some((dam, sire)) = parents {
            draft.dam = Some(dam);
            draft.sire = SireDraft::Known(sire);
            draft.birth_weight = Weight::from_grams(4_200);
            draft.birth_type = BirthType::new(2);
        }
        let id = draft.id;
        let check = entry::animals(vec![draft], &self.book.flock(), day(TODAY));
        write(self.book, check);
        id
    }

    fn weigh(&mut self, animal: AnimalId, grams: i64, on: &str) {
        let weight = Weight::from_grams(grams).expect("a weight");
        let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight, note: None };
        let check = entry::weighings(vec![draft], &self.book.flock(), day(TODAY));
        write(self.book, check);
    }

    fn score(&mut self, animal: AnimalId, kind: ScoreKind, points: u8, on: &str) {
        let score = Score::new(kind, points * 4).expect("on its scale");
        let draft = ScoringDraft { animal, at: Moment::day(day(on)), score, note: None };
        let check = entry::scorings(vec![draft], &self.book.flock(), day(TODAY));
        write(self.book, check);
    }
}

/// Six ewes, each with a ram lamb and a ewe lamb of early April; weighed on 25 April; 0606 has a bad bite. 0401 is
/// old, 0403 has a bad udder.
fn book(folder: &Folder) -> Book {
    let mut book = empty_book(folder);
    let mut put = Put { book: &mut book };
    let duke = put.animal("R7", Sex::Ram, "2023-03-20", None);
    for i in 0..6_i64 {
        let born = if i == 0 { "2016-04-02" } else { "2021-04-02" };
        let ewe = put.animal(&format!("{:04}", 401 + i), Sex::Ewe, born, None);
        let on = format!("2026-04-0{}", 1 + i % 3);
        let ram = put.animal(&format!("{:04}", 601 + i), Sex::Ram, &on, Some((ewe, duke)));
        let own = put.animal(&format!("{:04}", 701 + i), Sex::Ewe, &on, Some((ewe, duke)));
        put.weigh(ram, 10_000 + 500 * i, "2026-04-25");
        put.weigh(own, 9_500 + 400 * ((i + 3) % 6), "2026-04-25");
        put.score(ram, ScoreKind::Bite, if i == 5 { 4 } else { 1 }, "2026-04-05");
        if i == 2 {
            put.score(ewe, ScoreKind::Udder, 4, "2026-04-20");
        }
    }
    book
}

fn page(h: &mut Page, part: usize) {
    ctrl(h, Key::K);
    for _ in 0..part {
        ctrl(h, Key::PageDown);
    }
    h.run();
}

fn decided(h: &Page, tag: &str) -> Option<Decided> {
    let flock = flock(h);
    let file = flock.by_tag(tag).and_then(|id| flock.file(id)).expect("in the book");
    file.decided(day(TODAY)).map(|d| d.what)
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

fn into_table(h: &mut Page, name: &str) {
    let label = h
        .query_all_by_role(Role::Grid)
        .filter_map(|n| n.accesskit_node().label())
        .find(|l| l.starts_with(name))
        .expect("the table");
    h.get_by_role_and_label(Role::Grid, &label).focus();
    h.run();
}

#[test]
fn six_ram_lambs_are_decided_by_keyboard_and_one_undone() {
    let folder = Folder::new();
    let book = book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1440.0, 860.0]);
    page(&mut h, 0);
    assert!(has_keyboard(&h, Role::TextInput, "Keep"), "the number has the keyboard first");
    let shown = rows(&h);
    assert!(shown[0].contains("0605, above the line, not decided"), "{shown:?}");
    assert!(shown[1].contains("0603, below the line"), "one is proposed: {shown:?}");
    assert!(shown[2].contains("0606, never: bite 4"), "{shown:?}");
    into_table(&mut h, "ram lambs");
    assert!(
        says(&h, "Castration: ") && says(&h, "Label, vet and local law decide."),
        "before a key is pressed"
    );
    assert!(says(&h, "Is the dam boosted against tetanus?"));
    for key in [Key::K, Key::C, Key::C, Key::S, Key::M, Key::L] {
        press(&mut h, key);
    }
    let all: Vec<_> =
        ["0605", "0603", "0606", "0604", "0602", "0601"].iter().map(|t| decided(&h, t)).collect();
    use Decided::{Castrate, Entire, Later, Market, Show};
    assert_eq!(all, [Entire, Castrate, Castrate, Show, Market, Later].map(Some));
    shot::check(&mut h, "keeping_rams");
    ctrl(&mut h, Key::Z);
    assert_eq!(decided(&h, "0601"), None, "the last is undone");
    // Re-decided: the last word counts.
    press(&mut h, Key::Home);
    press(&mut h, Key::M);
    assert_eq!(decided(&h, "0605"), Some(Decided::Market));
    ctrl(&mut h, Key::Z);
    assert_eq!(decided(&h, "0605"), Some(Decided::Entire));
    // The jobs that follow: 0603 is to be castrated, and nobody asks about 0605 any more.
    let flock = flock(&h);
    let board = Board::new(&flock, day(TODAY));
    let open = |tag: &str| -> Vec<String> {
        let id = flock.by_tag(tag).expect("in the book");
        let due = board.of(id).iter().filter(|j| j.state.is_now());
        due.map(|j| j.step.short.clone()).collect()
    };
    assert!(open("0603").contains(&"Castrated, as decided".to_string()), "{:?}", open("0603"));
    assert!(
        !open("0605").iter().any(|s| s.contains("Castrated") || s.contains("Entire")),
        "{:?}",
        open("0605")
    );
    assert!(open("0601").contains(&"Entire or not".to_string()), "{:?}", open("0601"));
    ctrl(&mut h, Key::Num1);
    assert!(
        rows(&h).iter().any(|r| r.contains("Castrated, as decided")),
        "it stands in Tonight: {:?}",
        rows(&h)
    );
}

#[test]
fn several_are_decided_at_once_and_the_number_moves_the_line() {
    let folder = Folder::new();
    let book = book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1440.0, 860.0]);
    page(&mut h, 0);
    retype(&mut h, "Keep", "3");
    h.run();
    let above = rows(&h).iter().filter(|r| r.contains("above the line")).count();
    assert_eq!(above, 3, "{:?}", rows(&h));
    retype(&mut h, "Keep", "some");
    assert!(says(&h, "‘some’ is no number of lambs: write it in figures, or empty the field"));
    retype(&mut h, "Keep", "");
    into_table(&mut h, "ram lambs");
    press(&mut h, Key::End);
    press(&mut h, Key::Space);
    press(&mut h, Key::ArrowUp);
    press(&mut h, Key::Space);
    press(&mut h, Key::C);
    assert_eq!(
        (decided(&h, "0601"), decided(&h, "0602")),
        (Some(Decided::Castrate), Some(Decided::Castrate))
    );
    ctrl(&mut h, Key::Z);
    assert_eq!((decided(&h, "0601"), decided(&h, "0602")), (None, None), "one undo for all");
}

#[test]
fn what_counts_is_moved_by_keys_and_kept_in_the_book() {
    let folder = Folder::new();
    let book = book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1440.0, 900.0]);
    page(&mut h, 0);
    h.get_by_role_and_label(Role::Button, "What counts how much").click();
    h.run();
    h.get_by_role_and_label(Role::Slider, "weight in its group").focus();
    h.run();
    for _ in 0..8 {
        press(&mut h, Key::ArrowLeft);
    }
    assert!(says(&h, "0 not at all"));
    shot::check(&mut h, "keeping_weights");
    h.get_by_role_and_label(Role::Button, "Keep these").click();
    h.run();
    let kept = flock(&h).holding().keeping.clone();
    assert!(kept.contains("key = \"ratio\"") && kept.contains("rams = 0"), "{kept}");
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).holding().keeping, "");
}

#[test]
fn faults_that_bar_and_the_weight_wanted_are_set_in_the_window() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let flock_now = book.flock();
    let id = flock_now.by_tag("0604").expect("in the book");
    let today = day("2026-05-14");
    for (grams, on) in [(7_200, "2026-04-13"), (13_900, "2026-05-04"), (16_400, "2026-05-12")] {
        let (weight, at) = (Weight::from_grams(grams).expect("a weight"), Moment::day(day(on)));
        let draft = WeighingDraft { animal: id, at, weight, note: None };
        let check = entry::weighings(vec![draft], &book.flock(), today);
        write(&mut book, check);
    }
    let mut h = desk_sized(&folder, book, today, [1440.0, 1000.0]);
    page(&mut h, 0);
    assert!(rows(&h).iter().any(|r| r.contains("0606, never: bite 4")));
    assert!(says(&h, "Breeding values are not reckoned") || says(&h, "Value: breeding value of "));
    // 0604 goes to the market, 0603 too: he was weighed once.
    into_table(&mut h, "ram lambs");
    for tag in ["0604", "0603"] {
        press(&mut h, Key::Home);
        while !rows(&h).is_empty() && h.state().flock().is_some() && !cursor_on(&h, tag) {
            press(&mut h, Key::ArrowDown);
        }
        press(&mut h, Key::M);
        assert!(rows(&h).iter().any(|r| r.contains(tag) && r.contains("market")), "{:?}", rows(&h));
    }
    h.get_by_role_and_label(Role::Button, "What counts how much").click();
    h.run();
    h.get_by_role_and_label(Role::CheckBox, "bite scored 3 or more").focus();
    h.run();
    press(&mut h, Key::Space);
    retype(&mut h, "Target weight", "300");
    h.run();
    assert!(says(&h, "is no target for a lamb: 10 to 120 kg"));
    retype(&mut h, "Target weight", "20");
    h.run();
    h.get_by_role_and_label(Role::Button, "Keep these").focus();
    h.run();
    press(&mut h, Key::Enter);
    let kept = flock(&h).holding().keeping.clone();
    assert!(kept.contains("target_kg = 20.0") && kept.contains("off = true"), "{kept}");
    assert!(!rows(&h).iter().any(|r| r.contains("never")), "{:?}", rows(&h));
    let wanted = rows(&h).into_iter().find(|r| r.contains("0604")).expect("its row");
    assert!(wanted.contains("20.0 kg: expected ") && wanted.contains(" May 2026, "), "{wanted}");
    let short = rows(&h).into_iter().find(|r| r.contains("0603")).expect("its row");
    assert!(short.contains("not told: only weighed on "), "{short}");
    shot::check(&mut h, "keeping_target");
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).holding().keeping, "");
}

/// The row the cursor of the list stands on is this animal's.
fn cursor_on(h: &Page, tag: &str) -> bool {
    h.query_all_by_role(Role::Heading).chain(h.query_all_by_role(Role::Label)).any(|n| {
        let said = n.accesskit_node();
        let text = said.value().or_else(|| said.label()).unwrap_or_default();
        text.starts_with(&format!("{tag}, by "))
    })
}

#[test]
fn ewe_lambs_and_ewes_to_leave_have_their_own_lists() {
    let folder = Folder::new();
    let book = book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1440.0, 860.0]);
    page(&mut h, 1);
    assert!(says(&h, "not weaned yet"), "six are too young");
    into_table(&mut h, "ewe lambs");
    press(&mut h, Key::B);
    let first = rows(&h).iter().filter(|r| r.contains("keep for breeding")).count();
    assert_eq!(first, 1);
    shot::check(&mut h, "keeping_ewes");
    ctrl(&mut h, Key::PageDown);
    h.run();
    let shown = rows(&h);
    assert!(shown.iter().any(|r| r.contains("0401, 10 years old, born 2 Apr 2016")), "{shown:?}");
    assert!(shown.iter().any(|r| r.contains("0403, udder 4 on 20 Apr 2026")), "{shown:?}");
    into_table(&mut h, "ewes to leave");
    press(&mut h, Key::C);
    assert_eq!(decided(&h, "0401"), Some(Decided::Cull));
    shot::check(&mut h, "keeping_culls");
    h.get_by_role_and_label(Role::Button, "Rules").click();
    h.run();
    h.get_by_role_and_label(Role::CheckBox, "empty twice though joined").click();
    h.run();
    h.get_by_role_and_label(Role::Button, "Keep these rules").click();
    h.run();
    assert!(flock(&h).holding().keeping.contains("off = true"));
    let shown = rows(&h);
    assert!(shown.iter().any(|r| r.contains("0401")), "decided to leave: she stays on the list: {shown:?}");
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    assert_eq!(decided(&h, "0401"), None);
}

#[test]
fn where_there_is_nothing_it_is_said() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    Put { book: &mut book }.animal("0412", Sex::Ewe, "2021-04-02", None);
    let mut h = desk(&folder, book, day(TODAY));
    page(&mut h, 0);
    assert!(says(&h, "No entire ram lamb is in the flock"));
    ctrl(&mut h, Key::PageDown);
    assert!(says(&h, "No ewe lamb is in the flock"));
    ctrl(&mut h, Key::PageDown);
    assert!(says(&h, "No rule names a ewe"));
}

#[test]
fn lambs_never_weighed_or_all_with_a_fault_are_listed_all_the_same() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let mut put = Put { book: &mut book };
    for i in 1..4 {
        let id = put.animal(&format!("060{i}"), Sex::Ram, "2026-04-01", None);
        put.score(id, ScoreKind::Lids, 4, "2026-04-03");
    }
    let mut h = desk(&folder, book, day(TODAY));
    page(&mut h, 0);
    let shown = rows(&h);
    assert!(shown.len() == 3 && shown.iter().all(|r| r.contains("never: eyelids 4")), "{shown:?}");
    assert!(says(&h, "not weighed yet at an age that tells"), "beside the list");
    retype(&mut h, "Search", "nobody");
    assert!(says(&h, "None fits the search."));
}
