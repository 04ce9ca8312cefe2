//! The page of the inspection by the keyboard: questions and the way to each gap, the trail, the rules; and what the
//! registers ask in the forms of moves and deaths.

use egui::{Key, Modifiers, Role, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, Amended, DoseDraft, StandingDraft, TreatmentDraft};
use hirsel_core::flock::{Flock, RecordRef};
use hirsel_core::reckon::trail::trail;
use hirsel_core::rules::Kept as KeptBook;
use hirsel_core::terms::{AnimalId, Dose, Moment, Status};
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, retype, says, type_in, write};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn treat(book: &mut Book, id: AnimalId, on: &str, reason: Option<&str>) {
    let draft = TreatmentDraft {
        animals: vec![id],
        at: Moment::day(day(on)),
        product: "levamisole drench".into(),
        batch: None,
        dose: DoseDraft::Typed(Dose::from_ml(5.0)),
        route: None,
        site: None,
        reason: reason.map(Into::into),
        given_by: Some("Tam".into()),
        prescribed_by: None,
        meat: None,
        milk: None,
        more: Default::default(),
    };
    let check = entry::treatments(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

/// The shed's book with two treatments without a batch, one of them amended, one struck out, and a ewe that died.
fn book(folder: &flocks::Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = flocks::shed_book(folder);
    treat(&mut book, ids[0], "2026-03-01", Some("worms"));
    treat(&mut book, ids[1], "2026-03-02", None);
    treat(&mut book, ids[1], "2026-03-03", Some("twice"));
    // The trail shows the hour: on its picture it stands still.
    book.set_clock(Some(&format!("{TODAY} 21:05:00")));
    let mut t = book.flock().file(ids[0]).expect("there").treatments[0].clone();
    t.dose = Dose::from_ml(6.0);
    let check = entry::amend(Amended::Treatment(t), "misread the syringe", &book.flock(), day(TODAY));
    write(&mut book, check);
    let twice = book.flock().file(ids[1]).expect("there").treatments[1].id;
    let check =
        entry::strike(ids[1], RecordRef::Treatment(twice), "written twice", &book.flock(), day(TODAY));
    write(&mut book, check);
    let dead = StandingDraft {
        animals: vec![ids[2]],
        to: Status::Dead,
        on: day("2026-04-05"),
        other: None,
        reason: Some("pneumonia".into()),
        details: Default::default(),
    };
    let check = entry::standing(dead, &book.flock(), day(TODAY));
    write(&mut book, check);
    book.set_clock(None);
    (book, ids)
}

/// The page, with its first part in hand.
fn page(folder: &flocks::Folder, book: Book) -> Page {
    let mut h = desk(folder, book, day(TODAY));
    ctrl(&mut h, Key::I);
    h
}

fn turn(h: &mut Page, by: usize) {
    for _ in 0..by {
        ctrl(h, Key::PageDown);
    }
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

/// The field with lines of its own has another role.
fn role(label: &str) -> Role {
    if label == "Text" { Role::MultilineTextInput } else { Role::TextInput }
}

fn retype_text(h: &mut Page, text: &str) {
    h.get_by_role_and_label(Role::MultilineTextInput, "Text").focus();
    h.run();
    ctrl(h, Key::A);
    press(h, Key::Delete);
    type_in(h, text);
}

fn value(h: &Page, label: &str) -> String {
    h.get_by_role_and_label(role(label), label).accesskit_node().value().unwrap_or_default()
}

/// The tables of the page, by their spoken names.
fn grids(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Grid).filter_map(|n| n.accesskit_node().label()).collect()
}

fn in_grid(h: &Page, begins: &str) -> bool {
    let name = grids(h).into_iter().find(|g| g.starts_with(begins));
    name.is_some_and(|n| has_keyboard(h, Role::Grid, &n))
}

#[test]
fn a_gap_opens_the_very_record_and_goes_when_it_is_filled() {
    let folder = flocks::Folder::new();
    let (book, ids) = book(&folder);
    let mut h = page(&folder, book);
    assert!(in_grid(&h, "Questions"), "{:?}", grids(&h));
    assert!(says(&h, "things are missing"));
    // To question 5: the recall of a batch.
    press(&mut h, Key::Home);
    for _ in 0..4 {
        press(&mut h, Key::ArrowDown);
    }
    assert!(says(&h, "Which animals were given a batch that is recalled?"));
    press(&mut h, Key::Enter);
    h.run();
    assert!(grids(&h).contains(&"Missing, 2 rows".to_string()), "{:?}", grids(&h));
    assert!(in_grid(&h, "Missing"), "Enter leads into what is missing");
    press(&mut h, Key::Enter);
    // Newest first: the second of March, 0417, on its leaf with the treatment open.
    assert!(says(&h, "0417"), "the leaf of 0417");
    assert!(says(&h, "Treatment"));
    let t = flock(&h).file(ids[1]).expect("there").treatments[0].clone();
    assert_eq!(t.at.day, day("2026-03-02"));
    ctrl(&mut h, Key::I);
    // Written in with its batch there is one gap less.
    let before = flock(&h);
    let missing = hirsel_core::reckon::visit::visit(&before, day(TODAY)).missing;
    drop(h);
    let mut book = Book::open_plain(&folder.path().join("flock.hirsel")).expect("opens");
    let mut t = t;
    t.batch = Some("B-9".into());
    let check = entry::amend(Amended::Treatment(t), "on the bottle", &book.flock(), day(TODAY));
    write(&mut book, check);
    let after = hirsel_core::reckon::visit::visit(&book.flock(), day(TODAY));
    // The batch is written now, and that it was bought is not: no purchase stands in the cupboard.
    assert_eq!(after.questions[4].gaps.len(), 1);
    assert_eq!(after.missing, missing, "one gap gone, and a purchase to be written");
}

#[test]
fn tonight_tells_what_is_missing_and_leads_there() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    assert!(says(&h, "Before a visit: "));
    h.get_by_label_contains("Before a visit: ").click();
    h.run();
    assert!(says(&h, "Has every treatment its date, dose and product?"));
    // Nothing is said where nothing is missing.
    let other = flocks::Folder::new();
    let mut book = flocks::empty_book(&other);
    let mut holding = book.flock().holding().clone();
    holding.address = "Fell End".into();
    let check = entry::holding(holding, &book.flock());
    write(&mut book, check);
    let h = desk(&other, book, day(TODAY));
    assert!(!says(&h, "Before a visit: "));
}

#[test]
fn the_trail_shows_old_and_new_and_opens_the_record() {
    let folder = flocks::Folder::new();
    let (mut book, _) = book(&folder);
    // A label that says more than was typed: the old period stays to be seen.
    let p = book.flock().product("levamisole drench").cloned().expect("there");
    let draft = entry::ProductDraft {
        name: p.name.clone(),
        substance: None,
        form: None,
        strength: None,
        rule: p.rule,
        route: p.route,
        meat: hirsel_core::terms::Withdrawal::Days(28),
        milk: p.milk,
        licensed_for: p.licensed_for.clone(),
        more: Default::default(),
    };
    let check = entry::products(vec![draft], &book.flock());
    write(&mut book, check);
    let all = trail(&book.flock());
    let words: Vec<String> = all.iter().map(|c| format!("{}: {}", c.what, c.from_to())).collect();
    assert!(
        words.contains(&"product levamisole drench: meat withdrawal: 21 days → 28 days".to_string()),
        "{words:?}"
    );
    assert!(
        words.contains(&"treatment of 0412, 1 Mar 2026, levamisole drench: dose: 5 ml → 6 ml".to_string()),
        "{words:?}"
    );
    assert!(
        words.contains(&"treatment of 0417, 3 Mar 2026, levamisole drench: struck out".to_string()),
        "{words:?}"
    );
    assert!(all.iter().all(|c| !c.who.is_empty() && c.at.len() == 16), "{all:?}");
    let mut h = page(&folder, book);
    turn(&mut h, 2);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    type_in(&mut h, "syringe");
    press(&mut h, Key::Enter);
    h.run();
    assert!(in_grid(&h, "Changes, 1"), "{:?}", grids(&h));
    assert!(says(&h, "because: misread the syringe."));
    press(&mut h, Key::Enter);
    assert!(says(&h, "0412") && says(&h, "Treatment"));
}

#[test]
fn a_row_of_the_rules_is_mended_for_this_flock_and_goes_back() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    turn(&mut h, 3);
    let years =
        |h: &Page| flock(h).rules().and_then(|r| r.retention_of(KeptBook::Treatment)).map(|k| k.years);
    assert_eq!(years(&h), Some(5));
    retype(&mut h, "Search", "treatment log kept");
    press(&mut h, Key::Enter);
    h.run();
    assert!(in_grid(&h, "Rules, 1"), "{:?}", grids(&h));
    press(&mut h, Key::Enter);
    h.run();
    assert!(has_keyboard(&h, Role::MultilineTextInput, "Text"), "Enter leads into the row's text");
    let text = value(&h, "Text");
    assert!(text.contains("years = 5"), "{text}");
    retype_text(&mut h, &text.replace("years = 5", "years = many"));
    ctrl(&mut h, Key::Enter);
    assert_eq!(years(&h), Some(5), "what cannot be read is not kept");
    retype_text(&mut h, &text.replace("years = 5", "years = 7"));
    assert!(says(&h, "changed, not yet written"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    retype(&mut h, "Why", "our buyer asks for it");
    ctrl(&mut h, Key::Enter);
    assert_eq!(years(&h), Some(7));
    assert!(says(&h, "changed for this flock"));
    h.run();
    assert!(in_grid(&h, "Rules, 1"), "back in the table: {:?}", grids(&h));
    press(&mut h, Key::Enter);
    h.run();
    click(&mut h, "As shipped again");
    assert_eq!(years(&h), Some(5));
    ctrl(&mut h, Key::Z);
    assert_eq!(years(&h), Some(7), "undo goes back to the change");
}

#[test]
fn a_set_of_ones_own_is_added_and_chosen() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    turn(&mut h, 3);
    click(&mut h, "A set of my own…");
    assert_eq!(value(&h, "Short name"), "my-gb");
    retype(&mut h, "Name", "Thornley rules");
    assert!(value(&h, "Text").contains("name = \"Thornley rules\""));
    click(&mut h, "Add the set");
    let all = hirsel_core::rules::known(flock(&h).rule_changes());
    assert!(all.contains(&("my-gb".to_string(), "Thornley rules".to_string())), "{all:?}");
    assert!(says(&h, "Take out ‘Thornley rules’"));
}

#[test]
fn a_death_is_written_with_how_the_body_was_disposed_of() {
    let folder = flocks::Folder::new();
    let (book, ids) = book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    h.run();
    let row = h
        .get_all_by_role(Role::Row)
        .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with("0417")));
    row.expect("0417 is listed").click();
    h.run();
    click(&mut h, "Change standing");
    // Dead is the second choice.
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    assert!(h.query_by_role_and_label(Role::TextInput, "Disposal").is_some(), "the fields fit a death");
    assert!(h.query_by_role_and_label(Role::TextInput, "To or from").is_none());
    retype(&mut h, "Disposal", "collected by Fell Collections");
    retype(&mut h, "Receipt", "R 112");
    ctrl(&mut h, Key::Enter);
    if says(&h, "Is this right as written?") {
        type_in(&mut h, "it is");
        press(&mut h, Key::Enter);
    }
    let f = flock(&h);
    let m = f.file(ids[1]).expect("there").movements.last().cloned().expect("written");
    assert_eq!(m.to, Status::Dead);
    assert_eq!(m.details.disposal.as_deref(), Some("collected by Fell Collections"));
    assert_eq!(m.details.receipt.as_deref(), Some("R 112"));
}

#[test]
fn records_are_taken_out_by_a_day_and_a_typed_word() {
    let folder = flocks::Folder::new();
    let (mut book, ids) = book(&folder);
    treat(&mut book, ids[2], "2026-03-01", Some("worms"));
    let today = day("2032-05-01");
    let mut h = desk(&folder, book, today);
    ctrl(&mut h, Key::Num0);
    turn_book(&mut h);
    assert!(says(&h, "Take out what need no longer be kept"));
    retype(&mut h, "Before", "2031-01-01");
    assert!(says(&h, "must stay"));
    retype(&mut h, "Before", "2027-01-01");
    assert!(says(&h, "Would go: 1 treatment"), "0433 died in April 2026");
    retype(&mut h, "Sure?", "take out");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    assert!(f.file(ids[2]).expect("stays").treatments.is_empty());
    assert_eq!(f.file(ids[0]).expect("stays").treatments.len(), 1, "in the flock: nothing goes");
    assert!(says(&h, "Taken out, from before 1 Jan 2027: 1 treatment"));
    assert_eq!(value(&h, "Before"), "");
}

/// To the part with copies and check.
fn turn_book(h: &mut Page) {
    h.get_by_role_and_label(Role::RadioGroup, "Show").focus();
    h.run();
    for _ in 0..4 {
        press(h, Key::ArrowRight);
    }
    h.run();
}

fn sized(folder: &flocks::Folder, book: Book, theme: Theme, size: [f32; 2]) -> Page {
    let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
    let mut h = shot::themed(theme, size, |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::I);
    h.run();
    h
}

#[test]
fn questions_in_the_light_form() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = sized(&folder, book, Theme::Light, [1240.0, 800.0]);
    press(&mut h, Key::Home);
    for _ in 0..4 {
        press(&mut h, Key::ArrowDown);
    }
    shot::check(&mut h, "inspect_questions_light");
    press(&mut h, Key::Enter);
    h.run();
    shot::check(&mut h, "inspect_question_light");
    turn(&mut h, 3);
    shot::check(&mut h, "inspect_rules_light");
}

#[test]
fn the_trail_in_the_dark_form() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = sized(&folder, book, Theme::Dark, [1024.0, 700.0]);
    turn(&mut h, 2);
    press(&mut h, Key::Enter);
    shot::check(&mut h, "inspect_trail_dark");
}

/// Pictures to look at, with `LOOK=folder`; none is kept.
#[test]
fn pictures_to_look_at() {
    let Ok(to) = std::env::var("LOOK") else { return };
    for (theme, size, word) in
        [(Theme::Light, [1240.0, 800.0], "light"), (Theme::Dark, [1024.0, 700.0], "dark")]
    {
        let folder = flocks::Folder::new();
        let mut book =
            Book::create(&folder.path().join("flock.hirsel"), hirsel_demo::holding()).expect("made");
        hirsel_demo::make(&mut book, &hirsel_demo::Spec::default(), day(TODAY), &mut |_| {}).expect("made");
        let mut h = sized(&folder, book, theme, size);
        flocks::wait_for(&mut h, "the answers", |h| says(h, "missing"));
        let shoot = |h: &mut Page, name: &str| {
            shot::to_png(h, format!("{to}/{name}_{word}.png")).expect("painted");
        };
        shoot(&mut h, "questions");
        press(&mut h, Key::Enter);
        h.run();
        shoot(&mut h, "question");
        press(&mut h, Key::Escape);
        turn(&mut h, 2);
        shoot(&mut h, "trail");
        turn(&mut h, 1);
        shoot(&mut h, "rules");
        press(&mut h, Key::Enter);
        h.run();
        press(&mut h, Key::Enter);
        h.run();
        shoot(&mut h, "rule");
        press(&mut h, Key::Escape);
        h.run();
        click(&mut h, "A set of my own…");
        shoot(&mut h, "own");
        ctrl(&mut h, Key::Num1);
        shoot(&mut h, "tonight");
        ctrl(&mut h, Key::Num0);
        shoot(&mut h, "book");
        turn_book(&mut h);
        shoot(&mut h, "copies");
        retype(&mut h, "Before", "2020-01-01");
        shoot(&mut h, "purge");
    }
}
