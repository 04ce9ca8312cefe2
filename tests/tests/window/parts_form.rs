//! Forms, fields, choices, pickers and the status line, by name and by key.

use egui::accesskit::Live;
use egui::{Key, Modifiers, Role, Ui};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::look::{self, Kind};
use hirsel_app::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState, status_line};
use hirsel_tests::shot;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    Alive,
    BornDead,
    DiedSince,
}

#[derive(Default)]
struct Lambing {
    ewe: PickerState<u32>,
    weight: String,
    fate: Option<Fate>,
    note: String,
    tag: String,
    submitted: u32,
    asked: std::cell::Cell<u32>,
}

fn weigh(text: &str) -> Result<String, String> {
    text.replace(',', ".")
        .parse::<f32>()
        .map(|kg| format!("{kg:.2} kg"))
        .map_err(|_| format!("‘{text}’ is no weight: type kilograms, like 4.2"))
}

fn nudge(text: &str, by: i32) -> Option<String> {
    text.parse::<i32>().ok().map(|n| (n + by).to_string())
}

fn find(asked: &std::cell::Cell<u32>, text: &str) -> Vec<Found<u32>> {
    asked.set(asked.get() + 1);
    (0..30_u32)
        .map(|n| Found { key: n, label: format!("04{n:02}"), detail: format!("ewe, born {}", 2015 + n % 8) })
        .filter(|f| f.label.contains(text))
        .collect()
}

fn view(ui: &mut Ui, page: &mut Lambing) {
    look::heading(ui, "Lambing");
    let mut form = Form::new(ui, "lambing");
    let asked = &page.asked;
    form.picker(ui, &Picker::new("Ewe", 0), &mut page.ewe, |text| find(asked, text));
    form.field(
        ui,
        &Field::new("Weight").example("4.2").unit("kg").width(90.0).understand(&weigh).nudge(&nudge),
        &mut page.weight,
    );
    let fates = [(Fate::Alive, "alive"), (Fate::BornDead, "born dead"), (Fate::DiedSince, "died since")];
    form.choice(ui, &Choice::new("Fate", &fates).optional(), &mut page.fate);
    form.field(ui, &Field::new("Note").lines(2).width(320.0), &mut page.note);
    let refusal = (page.tag == "0412").then_some("tag 0412 is Bramble’s already: choose another");
    form.field(ui, &Field::new("Tag").refusal(refusal), &mut page.tag);
    if form.finish(ui) == FormEvent::Submitted {
        page.submitted += 1;
    }
    let said = if page.submitted > 0 { "Written up" } else { "" };
    status_line(ui, Kind::Good, said);
}

fn page() -> Harness<'static, Lambing> {
    shot::harness([760.0, 470.0], view, Lambing::default())
}

fn focus(page: &mut Harness<'_, Lambing>, label: &str) {
    page.get_by_role_and_label(Role::TextInput, label).focus();
    page.run();
}

/// Types into whatever has the keyboard.
fn type_in(page: &mut Harness<'_, Lambing>, text: &str) {
    page.event(egui::Event::Text(text.to_owned()));
    page.run();
}

fn press(page: &mut Harness<'_, Lambing>, key: Key) {
    page.key_press(key);
    page.run();
}

fn press_with(page: &mut Harness<'_, Lambing>, held: Modifiers, key: Key) {
    page.key_press_modifiers(held, key);
    page.run();
}

fn has_keyboard(page: &Harness<'_, Lambing>, role: Role, label: &str) -> bool {
    let node = page.get_by_role_and_label(role, label);
    let id = node.accesskit_node().id();
    page.root().accesskit_node().tree_state.focus_id() == Some(id)
}

/// The whole form by the keyboard alone.
#[test]
fn enter_leads_through_the_form() {
    let mut page = page();
    press(&mut page, Key::Tab);
    type_in(&mut page, "0412");
    press(&mut page, Key::Enter);
    assert_eq!(page.state().ewe.chosen(), Some(12));
    type_in(&mut page, "4.2");
    press(&mut page, Key::Enter);
    press(&mut page, Key::ArrowRight);
    press(&mut page, Key::ArrowRight);
    press(&mut page, Key::Enter);
    type_in(&mut page, "slow");
    press(&mut page, Key::Tab);
    type_in(&mut page, "0500");
    press(&mut page, Key::Enter);
    let made = page.state();
    assert_eq!(
        (made.weight.as_str(), made.fate, made.note.as_str(), made.tag.as_str(), made.submitted),
        ("4.2", Some(Fate::BornDead), "slow", "0500", 1)
    );
    page.get_by_role_and_label(Role::Status, "Written up");
}

#[test]
fn shift_enter_goes_back_and_ctrl_enter_submits() {
    let mut page = page();
    focus(&mut page, "Tag");
    press_with(&mut page, Modifiers::SHIFT, Key::Enter);
    assert!(has_keyboard(&page, Role::MultilineTextInput, "Note"));
    focus(&mut page, "Weight");
    press_with(&mut page, Modifiers::SHIFT, Key::Enter);
    assert!(has_keyboard(&page, Role::TextInput, "Ewe"));
    assert_eq!(page.state().submitted, 0);
    press_with(&mut page, Modifiers::COMMAND, Key::Enter);
    assert_eq!(page.state().submitted, 1);
}

/// Tab stops at every field once, in reading order.
#[test]
fn tab_walks_the_form() {
    let mut page = page();
    for (role, label) in [
        (Role::TextInput, "Ewe"),
        (Role::TextInput, "Weight"),
        (Role::RadioGroup, "Fate"),
        (Role::MultilineTextInput, "Note"),
        (Role::TextInput, "Tag"),
    ] {
        press(&mut page, Key::Tab);
        assert!(has_keyboard(&page, role, label), "{label}");
    }
}

#[test]
fn escape_loses_no_text() {
    let mut page = page();
    focus(&mut page, "Weight");
    type_in(&mut page, "4,");
    press(&mut page, Key::Escape);
    assert_eq!(page.state().weight, "4,");
    focus(&mut page, "Ewe");
    type_in(&mut page, "041");
    press(&mut page, Key::Escape); // closes the list
    press(&mut page, Key::Escape); // leaves the field
    assert_eq!(page.state().ewe.text, "041");
}

#[test]
fn a_field_shows_what_it_understood() {
    let mut page = page();
    focus(&mut page, "Weight");
    type_in(&mut page, "4,2");
    page.get_by_label("4.20 kg");
}

/// Enter on what is not understood stays, and says why in words, tied to the field.
#[test]
fn what_is_wrong_stands_beside_the_field() {
    let mut page = page();
    focus(&mut page, "Weight");
    type_in(&mut page, "four");
    let wrong = "‘four’ is no weight: type kilograms, like 4.2";
    page.get_by_label(wrong); // as yet a hint
    press(&mut page, Key::Enter);
    assert!(has_keyboard(&page, Role::TextInput, "Weight"));
    page.get_by_label(&format!("✗ {wrong}"));
    let field = page.get_by_role_and_label(Role::TextInput, "Weight");
    assert_eq!(field.accesskit_node().data().invalid(), Some(egui::accesskit::Invalid::True));
    // Mended, it leads on.
    for _ in 0..4 {
        press(&mut page, Key::Backspace);
    }
    type_in(&mut page, "4");
    press(&mut page, Key::Enter);
    assert!(has_keyboard(&page, Role::RadioGroup, "Fate"));
    assert!(page.query_by_label_contains("no weight").is_none());
}

#[test]
fn what_the_book_refuses_stands_there_too() {
    let mut page = page();
    focus(&mut page, "Tag");
    type_in(&mut page, "0412");
    page.get_by_label("✗ tag 0412 is Bramble’s already: choose another");
}

#[test]
fn arrows_nudge_a_value() {
    let mut page = page();
    focus(&mut page, "Weight");
    type_in(&mut page, "4");
    press(&mut page, Key::ArrowUp);
    assert_eq!(page.state().weight, "5");
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::ArrowDown);
    assert_eq!(page.state().weight, "3");
    assert!(has_keyboard(&page, Role::TextInput, "Weight"));
}

/// Coming to a filled field by key, one types over it.
#[test]
fn typing_replaces_what_was_there() {
    let mut page = page();
    page.state_mut().weight = "4".into();
    focus(&mut page, "Ewe");
    press(&mut page, Key::Tab);
    type_in(&mut page, "5");
    assert_eq!(page.state().weight, "5");
}

#[test]
fn a_choice_by_letter_number_and_mouse() {
    let mut page = page();
    page.get_by_role_and_label(Role::RadioButton, "died since").click();
    page.run();
    assert_eq!(page.state().fate, Some(Fate::DiedSince));
    type_in(&mut page, "a");
    assert_eq!(page.state().fate, Some(Fate::Alive));
    type_in(&mut page, "2");
    assert_eq!(page.state().fate, Some(Fate::BornDead));
    press(&mut page, Key::Backspace);
    assert_eq!(page.state().fate, None);
    press(&mut page, Key::ArrowLeft);
    assert_eq!(page.state().fate, Some(Fate::DiedSince));
    assert!(page.get_by_role_and_label(Role::RadioButton, "died since").is_focused());
}

#[test]
fn a_picker_by_arrows() {
    let mut page = page();
    focus(&mut page, "Ewe");
    type_in(&mut page, "041");
    assert_eq!(page.get_all_by_role(Role::ListBoxOption).count(), 8);
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::ArrowUp);
    assert!(page.get_by_role_and_label(Role::ListBoxOption, "0411, ewe, born 2018").is_focused());
    press(&mut page, Key::Enter);
    assert_eq!(page.state().ewe.chosen(), Some(11));
    assert_eq!(page.state().ewe.text, "0411");
    assert!(has_keyboard(&page, Role::TextInput, "Weight"));
    page.get_by_label("ewe, born 2018");
}

#[test]
fn a_picker_by_mouse() {
    let mut page = page();
    focus(&mut page, "Ewe");
    type_in(&mut page, "041");
    page.get_by_role_and_label(Role::ListBoxOption, "0413, ewe, born 2020").click();
    page.run();
    assert_eq!(page.state().ewe.chosen(), Some(13));
    assert!(has_keyboard(&page, Role::TextInput, "Weight"));
    assert!(page.query_by_role(Role::ListBoxOption).is_none());
}

/// Leaving with a text that means one animal takes it; one that means several or none says so.
#[test]
fn leaving_a_picker() {
    let mut page = page();
    focus(&mut page, "Ewe");
    type_in(&mut page, "0407");
    press(&mut page, Key::Tab);
    assert_eq!(page.state().ewe.chosen(), Some(7));
    focus(&mut page, "Ewe");
    press(&mut page, Key::End); // coming by key, all of it is selected
    press(&mut page, Key::Backspace);
    assert_eq!(page.state().ewe.chosen(), None);
    press(&mut page, Key::Tab);
    page.get_by_label("✗ 10 match: choose one");
    focus(&mut page, "Ewe");
    type_in(&mut page, "9x");
    press(&mut page, Key::Enter); // nothing to take: it stays
    assert!(has_keyboard(&page, Role::TextInput, "Ewe"));
    page.get_by_label_contains("✗ nothing found for");
}

/// The search runs when the text changes, not at every frame.
#[test]
fn a_picker_asks_once_a_text() {
    let mut page = page();
    focus(&mut page, "Ewe");
    type_in(&mut page, "041");
    let asked = page.state().asked.get();
    page.run_steps(10);
    press(&mut page, Key::ArrowDown);
    assert_eq!(page.state().asked.get(), asked);
}

#[test]
fn the_status_line_is_live() {
    let page = page();
    let node = page.get_by_role(Role::Status);
    assert_eq!(node.accesskit_node().live(), Live::Polite);
}

#[test]
fn picture() {
    let mut page = page();
    page.state_mut().weight = "four".into();
    page.state_mut().fate = Some(Fate::BornDead);
    page.state_mut().tag = "0412".into();
    page.state_mut().submitted = 1;
    shot::check(&mut page, "form");
    focus(&mut page, "Ewe");
    type_in(&mut page, "041");
    press(&mut page, Key::ArrowDown);
    shot::check(&mut page, "picker");
}
