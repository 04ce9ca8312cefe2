//! The help by keys, its files and links, the reasons of cautions, and the ten small tasks of the made-up flock.

use std::collections::BTreeSet;

use egui::{Key, Modifiers, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, Task, kept::Kept};
use hirsel_app::help;
use hirsel_app::pages::PageId;
use hirsel_core::plan::{Plan, shipped_steps};
use hirsel_core::terms::Why;
use hirsel_tests::flocks::{self, ctrl, day, desk, desk_sized, enter, has_keyboard, press, says, type_in};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn heading(h: &Page, text: &str) -> bool {
    h.query_by_role_and_label(Role::Heading, text).is_some()
}

#[test]
fn every_page_and_every_caution_has_a_file_and_no_link_leads_nowhere() {
    let known: BTreeSet<&str> = help::pages().iter().map(|p| p.key.as_str()).chain([help::KEYS]).collect();
    let wanted = PageId::ALL.map(help::of_page).into_iter().map(str::to_string);
    let whys = Why::ALL.iter().map(|w| help::of_why(*w));
    let rest = [help::LEAF, help::START, help::INDEX].map(str::to_string);
    for key in wanted.chain(whys).chain(rest) {
        let page = help::page(&key).unwrap_or_else(|| panic!("no help of {key}"));
        let said: usize = page.blocks.iter().map(|b| b.plain().len()).sum();
        assert!(said > 200, "{key} says next to nothing");
    }
    let mut linked = BTreeSet::from([help::INDEX]);
    for page in help::pages() {
        for link in page.links() {
            assert!(known.contains(link), "{}: a link to {link} leads nowhere", page.key);
            if page.key != help::INDEX {
                linked.insert(link);
            }
        }
    }
    let listed: BTreeSet<&str> = help::page(help::INDEX).expect("the list").links().collect();
    for key in known.iter().filter(|k| **k != help::INDEX) {
        assert!(listed.contains(key), "{key} is not in the list of all pages");
    }
    assert!(linked.len() > 30, "pages lead to one another: {}", linked.len());
}

#[test]
fn every_page_of_the_program_tells_what_to_press() {
    for page in PageId::ALL {
        let help = help::page(help::of_page(page)).expect("a page");
        let all: Vec<String> = help.blocks.iter().map(help::Block::plain).collect();
        for head in ["Step by step", "Words and marks", "Often asked"] {
            assert!(all.iter().any(|l| l == head), "{page:?}: {head}");
        }
        let keys = hirsel_app::desk::command::Command::Page(page).key_words(&egui::Context::default());
        assert!(all.iter().any(|l| l.contains(&keys)), "{page:?}: its key {keys}");
        assert!(help.title == page.words(), "{page:?} is called {}", help.title);
    }
}

#[test]
fn cautions_of_the_care_plan_have_their_reason() {
    for step in shipped_steps().iter().filter(|s| s.caution.is_some()) {
        assert!(Plan::reason(step).is_some(), "{}: name its page of the help (why)", step.key);
    }
}

#[test]
fn f1_opens_the_help_of_the_page_and_once_more_the_keys() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    for page in PageId::ALL {
        h.state_mut().pages().expect("open").at = page;
        h.run();
        press(&mut h, Key::F1);
        let title = &help::page(help::of_page(page)).expect("a page").title;
        assert!(h.query_all_by_role_and_label(Role::Heading, title).count() > 0, "{page:?}");
        assert!(heading(&h, "Step by step"), "{page:?}");
        assert!(has_keyboard(&h, Role::TextInput, "Search the help"), "{page:?}");
        press(&mut h, Key::Escape);
        assert!(!heading(&h, "Step by step"), "{page:?} is closed");
    }
    press(&mut h, Key::F1);
    press(&mut h, Key::F1);
    assert!(heading(&h, "Keys") && heading(&h, "In the note line") && heading(&h, "Barn notes"));
    assert!(says(&h, "Put a copy in the second place") && says(&h, "Ctrl+Shift+S"));
    h.key_press_modifiers(Modifiers::ALT, Key::ArrowLeft);
    h.run();
    assert!(heading(&h, "Step by step"), "back to the page before");
    // A command for another page leaves the help.
    ctrl(&mut h, Key::Num5);
    assert!(!heading(&h, "Often asked") && heading(&h, "Lambing"));
    assert_eq!(h.state_mut().pages().map(|p| p.at), Some(PageId::Lambing));
}

#[test]
fn the_keyboard_is_where_it_was_and_nothing_typed_is_lost() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412"]);
    type_in(&mut h, "3 apr");
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    press(&mut h, Key::F1);
    type_in(&mut h, "colostrum");
    press(&mut h, Key::Escape);
    assert!(heading(&h, "Step by step"), "Esc empties the search first");
    press(&mut h, Key::Escape);
    h.run_steps(6);
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    enter(&mut h, &["", "", "", "", ""]);
    enter(&mut h, &["e", "4.2"]);
    ctrl(&mut h, Key::Enter);
    let flock = h.state().flock().cloned().expect("open");
    assert_eq!(flock.file(ewe).map(|f| f.lambings.len()), Some(1));
    ctrl(&mut h, Key::F);
    enter(&mut h, &["0412"]);
    press(&mut h, Key::F1);
    assert!(heading(&h, "An animal's leaf"));
}

#[test]
fn the_search_finds_as_one_types_and_links_are_followed_by_keys() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    press(&mut h, Key::F1);
    type_in(&mut h, "unconscious lamb");
    assert!(h.query_all_by_label_contains("tube and cold lambs").count() > 0 || says(&h, "tube"));
    shot::check(&mut h, "help_search");
    press(&mut h, Key::Enter);
    assert!(heading(&h, "Why: tube and cold lambs"));
    // Tab leads past the buttons to the first link of the page, Enter follows it.
    type_in(&mut h, "one product syringe");
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowUp);
    press(&mut h, Key::Enter);
    assert!(heading(&h, "Why: one product in a syringe"));
    for _ in 0..12 {
        press(&mut h, Key::Tab);
        if has_keyboard(&h, Role::Link, "off-label") {
            break;
        }
    }
    assert!(has_keyboard(&h, Role::Link, "off-label"), "Tab reaches the link");
    press(&mut h, Key::Enter);
    assert!(heading(&h, "Why: off-label use"));
    type_in(&mut h, "zzz");
    assert!(says(&h, "Nothing found"));
}

#[test]
fn a_question_before_writing_leads_to_its_reason_and_back() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "", "", "", "", ""]);
    enter(&mut h, &["e", "12"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "very heavy for a lamb"));
    let why = "Why: a figure that looks odd";
    for _ in 0..8 {
        if has_keyboard(&h, Role::Link, why) {
            break;
        }
        press(&mut h, Key::Tab);
    }
    press(&mut h, Key::Enter);
    assert!(heading(&h, why), "the reason is shown");
    press(&mut h, Key::Escape);
    h.run_steps(6);
    assert!(says(&h, "very heavy for a lamb"), "the question still stands");
    let why = h.get_by_role_and_label(Role::TextInput, "Why");
    why.focus();
    h.run();
    enter(&mut h, &["weighed twice"]);
    let flock = h.state().flock().cloned().expect("open");
    assert_eq!(flock.file(ewe).map(|f| f.lambings.len()), Some(1));
}

#[test]
fn cautions_of_the_page_are_named_first() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["", "top", "", "", "leva", "B-77"]);
    press(&mut h, Key::F1);
    assert!(says(&h, "Cautions on this page"));
    h.get_all_by_role_and_label(Role::Link, "needle and site").next().expect("named").click();
    h.run();
    assert!(heading(&h, "Why: needle and site"));
}

#[test]
fn it_looks_as_it_should() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 800.0]);
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["", "top", "", "", "leva", "B-77"]);
    press(&mut h, Key::F1);
    shot::check(&mut h, "help_page");
    press(&mut h, Key::F1);
    shot::check(&mut h, "help_keys");
    type_in(&mut h, "cold lamb temperature");
    press(&mut h, Key::Enter);
    h.ctx.set_theme(egui::Theme::Dark);
    h.run();
    shot::check(&mut h, "help_why_dark");
}

#[test]
fn it_can_be_read_at_twice_the_size() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    // 1024 by 700 at 200 %.
    let mut h = desk_sized(&folder, book, day(TODAY), [512.0, 350.0]);
    press(&mut h, Key::F1);
    shot::check(&mut h, "help_large");
    let before = h.get_by_role_and_label(Role::Heading, "Step by step").rect().top();
    press(&mut h, Key::PageDown);
    let after = h.query_by_role_and_label(Role::Heading, "Step by step").map(|n| n.rect().top());
    assert!(after.is_none_or(|a| a < before), "Page down scrolls");
}

/// What the page says, without head, rail, note line and foot.
fn said_by_page(h: &Page) -> Vec<String> {
    use egui_kittest::kittest::NodeT as _;
    let mut said = Vec::new();
    for node in h.root().children_recursive() {
        let access = node.accesskit_node();
        let Some(rect) = access.bounding_box() else { continue };
        let inside = rect.x0 > 160.0 && rect.y0 > 44.0 && rect.y1 < 730.0;
        let text = access.label().or_else(|| access.value()).unwrap_or_default();
        if inside && !text.is_empty() && !said.contains(&text) {
            said.push(text);
        }
    }
    said
}

/// Words that tell how something begins.
const HOW: [&str; 11] = [
    "Ctrl+",
    "Enter",
    "type ",
    "Type ",
    "press ",
    "Write ",
    "write ",
    "choose ",
    "Choose ",
    "opens one",
    "written up",
];
#[test]
fn an_empty_book_tells_on_every_page_what_comes_there_and_how_it_begins() {
    let folder = flocks::Folder::new();
    let book = flocks::empty_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    let mut bare = Vec::new();
    // The pages whose first part is a list or drawing of the flock.
    let of_the_flock = PageId::ALL.into_iter().take_while(|p| *p != PageId::Figures);
    for page in of_the_flock {
        h.state_mut().pages().expect("open").at = page;
        h.run();
        let said = said_by_page(&h);
        let long = |t: &String| t.split_whitespace().count() >= 8;
        let how = |t: &String| HOW.iter().any(|w| t.contains(w));
        if !(said.iter().any(long) && said.iter().any(how)) {
            bare.push(format!("{page:?}: {}", said.join(" | ")));
        }
    }
    assert!(bare.is_empty(), "these say not what comes there or how it begins:\n{}", bare.join("\n"));
}

/// Whatever looks unlikely in the dialog is right: a word lets it through.
fn answer(h: &mut Page) {
    for _ in 0..2 {
        if says(h, "Is this right as written?") {
            enter(h, &["seen so"]);
        }
    }
}

fn done(h: &Page) -> Vec<Task> {
    h.state().tasks_done()
}

/// The example a task on the strip names, between two words of it.
fn named(h: &Page, before: &str, after: &str) -> String {
    let all: Vec<String> = said_anywhere(h);
    let found = all.iter().find_map(|t| {
        let rest = t.split_once(before)?.1;
        rest.split_once(after).map(|(name, _)| name.trim().to_string())
    });
    found.unwrap_or_else(|| panic!("the strip names nobody between '{before}' and '{after}': {all:?}"))
}

fn said_anywhere(h: &Page) -> Vec<String> {
    use egui_kittest::kittest::NodeT as _;
    let text = |n: egui_kittest::Node<'_>| {
        let access = n.accesskit_node();
        access.label().or_else(|| access.value()).unwrap_or_default()
    };
    h.root().children_recursive().map(text).filter(|t| !t.is_empty()).collect()
}

#[test]
fn the_ten_small_tasks_are_done_by_keys_alone_and_ticked_by_the_program() {
    let folder = flocks::Folder::new();
    let today = day("2026-04-10");
    let start = Desk::at_start(Kept::at(folder.path()), today);
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), start);
    h.run();
    press(&mut h, Key::Tab);
    assert!(has_keyboard(&h, Role::Button, "Look round with a made-up flock"));
    h.key_press(Key::Enter);
    // Five seasons take a while where other tests run beside this one.
    for _ in 0..9000 {
        h.run_steps(1);
        if h.state().flock().is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    h.run();
    assert!(h.state().flock().is_some(), "the made-up flock is open");
    assert!(says(&h, "Ten small tasks: 0 done.") && says(&h, "Next: Write a barn note"));
    shot::check(&mut h, "tour_strip");
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
    h.run();
    let ewe = named(&h, "Ctrl+N, ", " lame near fore");
    let due = named(&h, "Ctrl+5, ", ", then Enter down");
    let pen = named(&h, "Ctrl+6, Enter, ", ", Enter to Product");
    shot::check(&mut h, "tour_all");
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
    h.run();

    // A barn note.
    ctrl(&mut h, Key::N);
    type_in(&mut h, &format!("{ewe} lame near fore"));
    press(&mut h, Key::Enter);
    assert_eq!(done(&h), [Task::Note]);

    // A ewe, and one of her past lambings.
    ctrl(&mut h, Key::F);
    enter(&mut h, &[&ewe]);
    assert_eq!(done(&h), [Task::Note, Task::Find]);
    for _ in 0..60 {
        press(&mut h, Key::ArrowLeft);
        press(&mut h, Key::Enter);
        if done(&h).contains(&Task::Past) {
            break;
        }
        press(&mut h, Key::Escape);
    }
    assert!(done(&h).contains(&Task::Past), "a lambing is opened by arrows and Enter");

    // A lambing.
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &[&due, "", "", "", "", "", "e"]);
    type_in(&mut h, "4.2");
    ctrl(&mut h, Key::Enter);
    answer(&mut h);
    assert!(done(&h).contains(&Task::Lambing), "{:?}", said_anywhere(&h));

    // A pen.
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["", &pen, "", "", "leva"]);
    ctrl(&mut h, Key::Enter);
    answer(&mut h);
    assert!(done(&h).contains(&Task::Pen), "{:?}", said_anywhere(&h));

    // A clear day.
    assert!(!done(&h).contains(&Task::Clear));
    ctrl(&mut h, Key::PageDown);
    assert!(done(&h).contains(&Task::Clear));

    // Three lambs on the scale.
    let flock = h.state().flock().cloned().expect("open");
    let lambs: Vec<(String, f64)> = flock
        .files()
        .filter(|f| f.animal.is_lamb(today) && f.animal.status.is_here())
        .filter_map(|f| Some((f, f.animal.born.day()?)))
        .filter_map(|(f, born)| {
            let last = f.weighings.iter().map(|w| (w.at.day, w.weight.kg())).max_by_key(|(d, _)| *d);
            let (on, kg) = last.or(Some((born, f.animal.birth_weight?.kg())))?;
            let kg = kg + 0.25 * today.since(on) as f64;
            (today.since(on) > 0).then(|| (f.animal.tag().to_string(), kg))
        })
        .take(3)
        .collect();
    ctrl(&mut h, Key::Num7);
    for (n, (tag, kg)) in lambs.iter().enumerate() {
        assert!(!done(&h).contains(&Task::Weigh), "after {n}");
        enter(&mut h, &[tag, &format!("{kg:.1}")]);
        answer(&mut h);
    }
    assert!(done(&h).contains(&Task::Weigh), "{:?}", said_anywhere(&h));

    // Pen cards, saved beside the book.
    ctrl(&mut h, Key::Num8);
    type_in(&mut h, "p");
    for _ in 0..400 {
        ctrl(&mut h, Key::Enter);
        h.run_steps(10);
        std::thread::sleep(std::time::Duration::from_millis(50));
        if done(&h).contains(&Task::Cards) {
            break;
        }
    }
    assert!(done(&h).contains(&Task::Cards), "{:?}", said_anywhere(&h));

    // Undo.
    ctrl(&mut h, Key::Z);
    assert!(done(&h).contains(&Task::Undo));

    // The inspector's folder.
    ctrl(&mut h, Key::Num8);
    type_in(&mut h, "r");
    press(&mut h, Key::Enter);
    type_in(&mut h, "i");
    for _ in 0..600 {
        ctrl(&mut h, Key::Enter);
        h.run_steps(10);
        std::thread::sleep(std::time::Duration::from_millis(50));
        if done(&h).contains(&Task::Folder) {
            break;
        }
    }
    assert_eq!(done(&h).len(), Task::ALL.len(), "{:?}", said_anywhere(&h));
    assert!(says(&h, "Ten small tasks: 10 done."));
    assert!(folder.path().read_dir().expect("read").flatten().any(|e| {
        let name = e.file_name().to_string_lossy().into_owned();
        name.starts_with("Inspector's folder") && name.ends_with(".pdf")
    }));

    // It is kept, goes with its book alone, and can be put away.
    let kept = Kept::at(folder.path());
    let tour = kept.settings().tour.expect("kept");
    assert_eq!(tour.done.len(), 10);
    h.get_by_role_and_label(Role::Button, "Put away").focus();
    h.run();
    press(&mut h, Key::Enter);
    assert!(!says(&h, "Ten small tasks:"));
    assert!(kept.settings().tour.expect("kept").away);
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
    h.run();
    assert!(says(&h, "Ten small tasks: 10 done."), "taken up again");
    let other = flocks::Folder::new();
    drop(flocks::empty_book(&other));
    drop(h);
    let real = other.path().join("flock.hirsel");
    let desk = Desk::new(kept, Some(real));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    assert!(h.state().flock().is_some() && !says(&h, "Ten small tasks:"));
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::T);
    h.run();
    assert!(!says(&h, "Ten small tasks:") && says(&h, "go with the made-up flock"));
}

#[test]
fn the_first_page_has_its_help() {
    let folder = flocks::Folder::new();
    let start = Desk::at_start(Kept::at(folder.path()), day(TODAY));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), start);
    h.run();
    press(&mut h, Key::F1);
    assert!(heading(&h, "The first page") && has_keyboard(&h, Role::TextInput, "Search the help"));
    press(&mut h, Key::Escape);
    h.run_steps(6);
    assert!(has_keyboard(&h, Role::Button, "Start my flock"));
}
