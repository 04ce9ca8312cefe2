//! A session at the scale by the keyboard alone: begun, the next one proposed, scores, who is missing, gone on with.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, PenMoveDraft, SessionDraft, SessionPick, WeighedRow};
use hirsel_core::flock::{AnimalFile, Flock, Holding};
use hirsel_core::terms::{AnimalId, Born, Gut, Moment, Sex, Tag, Units, Weight};
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, desk_sized, empty_book, enter, has_keyboard, press, retype, says, type_in, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-05-20";

type Page = Harness<'static, Desk>;

/// Six lambs of March, born at 4 kg, weighed on 1 May in another order than that of their tags; two ewes in a field.
fn book(folder: &Folder) -> Book {
    let today = day(TODAY);
    let mut book = empty_book(folder);
    let mut ids: Vec<AnimalId> = Vec::new();
    for n in 1..=6u32 {
        let mut draft = AnimalDraft::new(Tag::parse(&format!("060{n}")).expect("a tag"), lamb_sex(n));
        draft.born = Born::parse(&format!("2026-03-0{n}")).expect("a day");
        draft.birth_weight = Weight::from_grams(4_000);
        ids.push(draft.id);
        let check = entry::animals(vec![draft], &book.flock(), today);
        write(&mut book, check);
    }
    for tag in ["0412", "0417"] {
        let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
        draft.born = Born::parse("2022-03-20").expect("a day");
        let id = draft.id;
        let check = entry::animals(vec![draft], &book.flock(), today);
        write(&mut book, check);
        let draft = PenMoveDraft { animals: vec![id], on: day("2026-04-02"), pen: Some("Bank field".into()) };
        let check = entry::pen_move(draft, &book.flock(), today);
        write(&mut book, check);
    }
    let row = |n: usize, grams: i64| WeighedRow {
        animal: ids[n],
        at: Moment::day(day("2026-05-01")),
        weight: Weight::from_grams(grams),
        scores: Vec::new(),
        note: None,
    };
    let rows = [(2, 14_100), (0, 15_200), (1, 13_000), (3, 16_000), (5, 12_400), (4, 15_000)];
    let rows = rows.into_iter().map(|(n, g)| row(n, g)).collect();
    let draft = SessionDraft {
        group: Some("all lambs of this season".into()),
        gut: Some(Gut::Full),
        ..SessionDraft::default()
    };
    let check = entry::weighed(SessionPick::New(draft), rows, &book.flock(), today);
    write(&mut book, check);
    book
}

fn lamb_sex(n: u32) -> Sex {
    if n.is_multiple_of(2) { Sex::Ewe } else { Sex::Ram }
}

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn file<'a>(flock: &'a Flock, tag: &str) -> &'a AnimalFile {
    flock.by_tag(tag).and_then(|id| flock.file(id)).unwrap_or_else(|| panic!("no {tag}"))
}

/// What stands in the field.
fn held(h: &Page, label: &str) -> String {
    h.get_by_role_and_label(Role::TextInput, label).value().unwrap_or_default()
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

/// Begins a session of a group; what stands in the form else is left.
fn begin(h: &mut Page, group: &str) {
    ctrl(h, Key::Num7);
    // From whatever part of the page.
    ctrl(h, Key::PageDown);
    ctrl(h, Key::E);
    assert!(has_keyboard(h, Role::TextInput, "Group"));
    ctrl(h, Key::A);
    type_in(h, group);
    ctrl(h, Key::Enter);
    assert!(has_keyboard(h, Role::TextInput, "Animal"), "one weighs at once");
}

#[test]
fn six_lambs_by_keyboard_alone() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    begin(&mut h, "all lambs of this season");
    assert!(says(&h, "All lambs of this season, 20 May 2026"));
    assert!(says(&h, "0 of 6 weighed") && says(&h, "Missing: 6"));
    assert_eq!(held(&h, "Animal"), "0603", "the first of the last race");
    assert_eq!(flock(&h).daybook().sessions.len(), 1, "an empty session is not written");
    // Enter takes the proposal; typing over it takes another.
    enter(&mut h, &["", "19.8"]);
    // (19.8 − 4.0) kg in 78 days, (19.8 − 14.1) kg in 19.
    let told = "0603: 19.8 kg, 203 g a day since birth, 300 g a day over the last 19 days";
    h.get_by_role_and_label(Role::Status, told);
    assert_eq!(held(&h, "Animal"), "0601");
    enter(&mut h, &["0602", "17.7"]);
    assert_eq!(held(&h, "Animal"), "0604", "the one after the last written");
    assert!(says(&h, "2 of 6 weighed") && says(&h, "Missing: 4"));
    enter(&mut h, &["", "21.1", "", "16.8", "", "20.2"]);
    assert_eq!(held(&h, "Animal"), "0601", "who was passed over comes round again");
    enter(&mut h, &["", "20"]);
    assert!(says(&h, "6 of 6 weighed") && says(&h, "Nobody is missing"));
    assert_eq!(held(&h, "Animal"), "");
    assert!(says(&h, "least 16.8 kg, 0606") && says(&h, "most 21.1 kg, 0604"));
    let f = flock(&h);
    assert_eq!(f.daybook().sessions.len(), 2, "one session for all");
    let id = f.daybook().sessions.iter().map(|s| s.id).max();
    for n in 1..=6 {
        assert_eq!(file(&f, &format!("060{n}")).weighings.last().and_then(|w| w.session), id);
    }
    let race: Vec<String> = rows(&h).into_iter().filter(|r| r.contains("kg")).collect();
    assert!(race[0].starts_with("6, 0601, 20.0 kg, 253 g, 19"), "the last on top: {}", race[0]);
    assert!(race[5].starts_with("1, 0603, 19.8 kg"), "{}", race[5]);
}

#[test]
fn undo_takes_the_last_row_back_and_proposes_it_again() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    begin(&mut h, "lambs");
    enter(&mut h, &["", "19.8", "", "20"]);
    assert_eq!(held(&h, "Animal"), "0602");
    ctrl(&mut h, Key::Z);
    assert_eq!(file(&flock(&h), "0601").weighings.len(), 1);
    assert_eq!(held(&h, "Animal"), "0601", "who was undone comes next");
    assert!(says(&h, "1 of 6 weighed"));
    // The first row takes the session with it; weighing on makes a new one.
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).daybook().sessions.len(), 1);
    type_in(&mut h, "0604");
    enter(&mut h, &["", "21"]);
    let f = flock(&h);
    assert_eq!((f.daybook().sessions.len(), file(&f, "0604").weighings.len()), (2, 2));
    assert!(says(&h, "1 of 6 weighed"));
}

#[test]
fn a_slip_is_seen_before_enter_and_asked_about_after_it() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    begin(&mut h, "lambs");
    enter(&mut h, &[""]);
    assert!(says(&h, "78 days old") || says(&h, "weighed 14.1 kg on 1 May 2026, 19 days before"));
    type_in(&mut h, "91.8");
    assert!(says(&h, "it would have gained"), "said as it is typed");
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Why"), "and asked");
    press(&mut h, Key::Escape);
    for _ in 0..6 {
        h.run();
    }
    assert_eq!(file(&flock(&h), "0603").weighings.len(), 1, "nothing is written");
    assert_eq!(held(&h, "Weight"), "91.8", "what was typed stays");
    retype(&mut h, "Weight", "19.8");
    press(&mut h, Key::Enter);
    assert_eq!(file(&flock(&h), "0603").weighings.len(), 2);
    // The same animal once more in one session: it is asked whether the tag is right.
    enter(&mut h, &["0603"]);
    type_in(&mut h, "19.9");
    assert!(says(&h, "0603 was weighed in this session already"));
    press(&mut h, Key::Enter);
    enter(&mut h, &["weighed again"]);
    assert!(says(&h, "0603 was weighed twice"), "and stands among what to look at");
}

#[test]
fn scores_beside_weights_and_alone() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::E);
    enter(&mut h, &["ewe lambs"]);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Scores"));
    enter(&mut h, &["cond, x"]);
    assert!(says(&h, "'x' is not a score") && has_keyboard(&h, Role::TextInput, "Scores"));
    retype(&mut h, "Scores", "cond dag");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "0 of 3 weighed"));
    enter(&mut h, &["", "17.5", "2,5", "3"]);
    // Scores alone, the weight left out; and a weight alone.
    enter(&mut h, &["", "", "3", ""]);
    enter(&mut h, &["", "16.9", "", ""]);
    let f = flock(&h);
    let scores =
        |tag: &str| -> Vec<String> { file(&f, tag).scores.iter().map(|s| s.score.words()).collect() };
    assert_eq!(scores("0602"), ["condition 2.5", "dag 3"]);
    assert_eq!((scores("0604"), file(&f, "0604").weighings.len()), (vec!["condition 3".into()], 1));
    assert_eq!((scores("0606").len(), file(&f, "0606").weighings.len()), (0, 2));
    assert!(says(&h, "3 of 3 weighed"));
    // Nothing at all is refused.
    enter(&mut h, &["0602", "", "", ""]);
    assert!(says(&h, "type its weight, or a score"));
    // A row of scores alone opens as a score on the leaf, where it is amended.
    let score = rows(&h).into_iter().find(|r| r.starts_with("2, 0604")).expect("the row");
    h.get_by_role_and_label(Role::Row, &score).click();
    h.run();
    press(&mut h, Key::Enter);
    assert!(says(&h, "Score of 0604") && says(&h, "20 May 2026, ewe lambs"));
    press(&mut h, Key::A);
    retype(&mut h, "Score", "6");
    retype(&mut h, "Reason", "misheard");
    press(&mut h, Key::Enter);
    assert!(says(&h, "'6' is not a score of condition"));
    retype(&mut h, "Score", "3.25");
    h.get_by_role_and_label(Role::TextInput, "Reason").focus();
    h.run();
    press(&mut h, Key::Enter);
    assert_eq!(file(&flock(&h), "0604").scores[0].score.to_string(), "3.25");
    ctrl(&mut h, Key::Num7);
    assert!(rows(&h).iter().any(|r| r.contains("condition 3.25") && r.contains("amended")), "{:?}", rows(&h));
}

#[test]
fn a_day_of_condition_scoring_without_the_scale() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::E);
    enter(&mut h, &["ewes"]);
    type_in(&mut h, "s");
    press(&mut h, Key::Enter);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "which scores?"), "which ones is asked");
    type_in(&mut h, "condition");
    ctrl(&mut h, Key::Enter);
    assert!(h.query_by_role_and_label(Role::TextInput, "Weight").is_none());
    assert!(says(&h, "0 of 2 scored"));
    enter(&mut h, &["", "3", "", "2.75"]);
    let f = flock(&h);
    assert_eq!(file(&f, "0412").scores[0].score.to_string(), "3");
    assert!(file(&f, "0417").weighings.is_empty());
    assert!(says(&h, "2 of 2 scored"));
    ctrl(&mut h, Key::Z);
    assert!(says(&h, "1 of 2 scored") && held(&h, "Animal") == "0417");
}

#[test]
fn who_is_missing_is_taken_next_or_marked_away() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    begin(&mut h, "lambs");
    ctrl(&mut h, Key::ArrowDown);
    assert_eq!(held(&h, "Animal"), "0601");
    ctrl(&mut h, Key::ArrowUp);
    assert_eq!(held(&h, "Animal"), "0603");
    // Not there: the next one stands in its place, and typing replaces it.
    ctrl(&mut h, Key::Delete);
    assert_eq!(held(&h, "Animal"), "0601");
    assert!(says(&h, "Missing: 5") && says(&h, "0 of 5 weighed"));
    enter(&mut h, &["0604", "20.5"]);
    assert_eq!(file(&flock(&h), "0604").weighings.len(), 2);
    h.get_by_label("0603 came after all").click();
    h.run();
    assert!(says(&h, "Missing: 5") && says(&h, "1 of 6 weighed"));
    let row = rows(&h).into_iter().find(|r| r.starts_with("0603")).expect("it is missing");
    h.get_by_role_and_label(Role::Row, &row).click();
    h.run();
    press(&mut h, Key::End);
    press(&mut h, Key::Enter);
    assert!(held(&h, "Animal") == "0605" && has_keyboard(&h, Role::TextInput, "Animal"));
    // One that is away and comes over the scale after all is counted.
    ctrl(&mut h, Key::Delete);
    enter(&mut h, &["0605", "19.1"]);
    assert!(says(&h, "2 of 6 weighed"));
    // One of no such group is weighed as well, and told apart.
    enter(&mut h, &["0412", "66"]);
    assert!(says(&h, "2 of 6 weighed") && says(&h, "and 1 of no such group"));
}

#[test]
fn a_session_is_gone_on_with_and_several_stand_side_by_side() {
    let folder = Folder::new();
    let book = book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    begin(&mut h, "lambs");
    enter(&mut h, &["", "19.8"]);
    h.get_by_label("Close the session").click();
    h.run();
    // Another one on the same day: a pen.
    begin(&mut h, "bank");
    assert!(says(&h, "Bank field, 20 May 2026") && says(&h, "0 of 2 weighed"));
    enter(&mut h, &["", "66"]);
    h.run_steps(3);
    drop(h);
    // The window closed in between: the session stands as it was left.
    let mut h = desk(&folder, Book::open_plain(&path).expect("opens"), day(TODAY));
    assert!(says(&h, "1 of 2 weighed"));
    enter(&mut h, &["0417", "61"]);
    h.get_by_label("Close the session").click();
    h.run();
    let list: Vec<String> = rows(&h);
    assert!(list[0].contains("Bank field, 2, 63.5 kg"), "the newest first: {list:?}");
    assert!(list[1].contains("all lambs of this season, 1, 19.8 kg"));
    let first = list[1].clone();
    h.get_by_role_and_label(Role::Row, &first).click();
    h.run();
    press(&mut h, Key::Enter);
    assert!(says(&h, "1 of 6 weighed") && held(&h, "Animal") == "0601");
    enter(&mut h, &["", "20.1"]);
    let f = flock(&h);
    let sessions: Vec<_> =
        ["0603", "0601", "0412"].map(|t| file(&f, t).weighings.last().and_then(|w| w.session)).into();
    assert!(sessions[0] == sessions[1] && sessions[0] != sessions[2]);
    assert_eq!(f.daybook().sessions.len(), 3);
    // The next evening no session is gone on with unasked.
    h.run_steps(3);
    drop(h);
    let h = desk(&folder, Book::open_plain(&path).expect("opens"), day("2026-05-21"));
    assert!(says(&h, "Weighed on 21 May 2026"));
}

#[test]
fn the_particulars_of_a_session_are_changed() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    begin(&mut h, "lambs");
    enter(&mut h, &["", "19.8"]);
    h.get_by_label("Change the session").click();
    h.run();
    retype(&mut h, "Scale", "crate in the yard");
    retype(&mut h, "Time", "0815");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "20 May 2026, 08:15") && says(&h, "crate in the yard"));
    let f = flock(&h);
    let s = f.daybook().sessions.last().expect("the session");
    assert_eq!(
        (s.scale.as_deref(), s.time.map(|t| t.to_string())),
        (Some("crate in the yard"), Some("08:15".into()))
    );
    enter(&mut h, &["0601", "20"]);
    assert!(says(&h, "2 of 6 weighed"));
}

#[test]
fn pounds_and_ounces_all_along() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let holding = Holding { units: Units::Imperial, ..book.flock().holding().clone() };
    let check = entry::holding(holding, &book.flock());
    write(&mut book, check);
    let mut h = desk(&folder, book, day(TODAY));
    begin(&mut h, "lambs");
    enter(&mut h, &[""]);
    assert!(says(&h, "weighed 31 lb 1 oz on 1 May 2026"));
    type_in(&mut h, "43 10");
    assert!(says(&h, "0.66 lb a day over the last 19 days"));
    press(&mut h, Key::Enter);
    assert_eq!(file(&flock(&h), "0603").weighings[1].weight.grams(), 19_788);
    assert!(says(&h, "mean 43 lb 10 oz") && rows(&h).iter().any(|r| r.contains("43 lb 10 oz, 0.66 lb")));
}

#[test]
fn the_session_looks_right() {
    let folder = Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    ctrl(&mut h, Key::Num7);
    shot::check(&mut h, "weights_singly");
    ctrl(&mut h, Key::E);
    enter(&mut h, &["lambs"]);
    press(&mut h, Key::ArrowRight);
    enter(&mut h, &["", "cond dag", ""]);
    type_in(&mut h, "crate in the yard");
    shot::check(&mut h, "weights_begin");
    ctrl(&mut h, Key::Enter);
    enter(&mut h, &["", "19.8", "3", "1", "", "20", "2.5", "2", "", "12.9", "2"]);
    type_in(&mut h, "4");
    retype(&mut h, "Remark", "thin");
    press(&mut h, Key::Enter);
    enter(&mut h, &[""]);
    type_in(&mut h, "61.1");
    shot::check(&mut h, "weights_session");
}

#[test]
fn the_session_has_room_on_a_small_screen() {
    let folder = Folder::new();
    let mut h = desk_sized(&folder, book(&folder), day(TODAY), [1024.0, 700.0]);
    begin(&mut h, "lambs");
    enter(&mut h, &["", "19.8", "", "20", ""]);
    shot::check(&mut h, "weights_session_small");
}
