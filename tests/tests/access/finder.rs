//! The finder: everything that can be done, by a few letters.

use egui::{Key, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::pages::PageId;
use hirsel_core::terms::Sex;
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, says, type_in};
use hirsel_tests::shot;
use hirsel_tests::walk::{self, Page};

const TODAY: &str = "2026-04-10";

fn open(h: &mut Page) {
    press(h, Key::F10);
    h.run_steps(4);
    assert!(has_keyboard(h, Role::TextInput, "What to do"));
}

fn find(h: &mut Page, letters: &str) {
    open(h);
    type_in(h, letters);
    press(h, Key::Enter);
    h.run_steps(10);
    h.run();
}

fn entries(h: &Page) -> Vec<String> {
    let all = h.query_all_by_role(Role::ListBoxOption);
    all.filter_map(|n| n.accesskit_node().label()).collect()
}

#[test]
fn a_button_a_part_a_page_and_a_command_are_found() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    // A part of another page.
    find(&mut h, "journ");
    assert_eq!(h.state_mut().pages().map(|p| p.at), Some(PageId::Book));
    assert!(says(&h, "Journal, "), "the journal is shown");
    // A page by any word of it, with its keys beside it.
    open(&mut h);
    type_in(&mut h, "barn sh");
    assert_eq!(entries(&h)[0], "Barn sheet, page, Ctrl+2");
    press(&mut h, Key::Enter);
    h.run_steps(10);
    assert_eq!(h.state_mut().pages().map(|p| p.at), Some(PageId::Barn));
    // A button of the page that is shown.
    ctrl(&mut h, Key::Num3);
    find(&mut h, "new anim");
    assert!(has_keyboard(&h, Role::TextInput, "Tag"), "the form of a new animal is open");
    // A command.
    let before = h.ctx.zoom_factor();
    find(&mut h, "larger");
    assert!(h.ctx.zoom_factor() > before);
}

/// Esc leaves all as it was: the page, what is half typed, and where the keyboard is.
#[test]
fn esc_leaves_all_as_it_was() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    for tag in ["0412", "0417"] {
        flocks::add(&mut book, tag, Sex::Ewe, "2021-04-02", day(TODAY));
    }
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    walk::settle(&mut h);
    let all = walk::controls(&h);
    type_in(&mut h, "04");
    let typed = walk::controls(&h);
    let focus = h.ctx.memory(|m| m.focused());
    open(&mut h);
    type_in(&mut h, "tre");
    press(&mut h, Key::Escape);
    h.run_steps(6);
    assert_eq!(h.ctx.memory(|m| m.focused()), focus);
    let after = walk::controls(&h);
    let plain = |all: &[walk::Control]| {
        let fields = all.iter().filter(|c| c.role == Role::TextInput);
        fields.map(|c| (c.name.clone(), c.value.clone())).collect::<Vec<_>>()
    };
    assert_eq!(plain(&after), plain(&typed));
    assert_ne!(plain(&all), plain(&typed));
    type_in(&mut h, "12");
    let value = h.ctx.memory(|m| m.focused());
    assert_eq!(value, focus, "typing goes on where it was");
}

/// Every part of every page stands in the finder, and leads there.
#[test]
fn every_part_is_reached() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    let mut parts = 0;
    open(&mut h);
    let all = entries(&h);
    press(&mut h, Key::Escape);
    h.run_steps(6);
    for page in PageId::ALL {
        assert!(all.iter().any(|e| e.starts_with(&format!("{}, page", page.words()))), "{}", page.words());
        for part in hirsel_app::pages::sections::parts(page) {
            let words = format!("{}: {part}", page.words());
            assert!(all.contains(&format!("{words}, part")), "{words}");
            find(&mut h, &words);
            assert_eq!(h.state_mut().pages().map(|p| p.at), Some(page), "{words}");
            let shown = h.query_all_by_role(Role::RadioButton).any(|n| {
                let n = n.accesskit_node();
                n.label().as_deref() == Some(part) && n.toggled() == Some(egui::accesskit::Toggled::True)
            });
            assert!(shown, "{words}");
            parts += 1;
        }
    }
    println!("{parts} parts of {} pages reached; {} entries on Tonight", PageId::ALL.len(), all.len());
}

/// The columns of a list are chosen by keys, and the choice is there again the next time.
#[test]
fn columns_are_chosen_by_keys_and_kept() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    walk::settle(&mut h);
    let heads = |h: &Page| {
        let all = h.query_all_by_role(Role::ColumnHeader);
        all.filter_map(|n| n.accesskit_node().label()).collect::<Vec<_>>()
    };
    let before = heads(&h);
    assert!(before.len() > 3, "{before:?}");
    let second = before[1].split(", ").next().unwrap_or_default().to_string();
    find(&mut h, "choose columns");
    let tick = h.get_by_role_and_label(Role::CheckBox, &second);
    assert!(tick.is_focused(), "the first column that may be hidden has the keyboard");
    press(&mut h, Key::Space);
    press(&mut h, Key::Escape);
    h.run_steps(3);
    let after = heads(&h);
    assert_eq!(after.len(), before.len() - 1);
    assert!(!after.iter().any(|t| t.starts_with(&second)));
    assert!(says(&h, "1 column not shown"), "said to those who listen");
    drop(h);
    let again = Desk::new(Kept::at(&folder.path().join("kept")), Some(folder.path().join("flock.hirsel")));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), again);
    h.run();
    ctrl(&mut h, Key::Num3);
    walk::settle(&mut h);
    assert_eq!(heads(&h).len(), before.len() - 1);
}

/// The key of a page while the choice is open closes it, and what is typed next goes to that page.
#[test]
fn a_page_key_leaves_the_choice_of_columns() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    walk::settle(&mut h);
    find(&mut h, "choose columns");
    assert!(says(&h, "Columns of: "), "the choice is open");
    ctrl(&mut h, Key::Num6);
    walk::settle(&mut h);
    assert_eq!(h.state_mut().pages().map(|p| p.at), Some(PageId::Treatments));
    assert!(h.ctx.text_edit_focused(), "a field of the page has the keyboard");
    ctrl(&mut h, Key::Num3);
    walk::settle(&mut h);
    assert!(!says(&h, "Columns of: "), "it does not come back by itself");
}

#[test]
fn the_first_page_has_it_too() {
    let folder = flocks::Folder::new();
    let start = Desk::at_start(Kept::at(folder.path()), day(TODAY));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), start);
    h.run();
    find(&mut h, "start my");
    assert!(has_keyboard(&h, Role::TextInput, "Name of the flock"));
}

#[test]
fn picture() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    walk::settle(&mut h);
    open(&mut h);
    type_in(&mut h, "tab");
    press(&mut h, Key::ArrowDown);
    shot::check(&mut h, "finder");
}
