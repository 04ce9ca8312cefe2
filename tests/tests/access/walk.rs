//! Every control has a name, every field says what stands in it, every row of a table is a sentence.

use std::collections::BTreeMap;

use egui::{Key, Modifiers, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::pages::PageId;
use hirsel_tests::flocks::{self, day, desk, press};
use hirsel_tests::shot;
use hirsel_tests::walk::{self, Control};

const TODAY: &str = "2026-04-10";

#[derive(Default)]
struct Seen {
    pages: usize,
    controls: usize,
    fields: usize,
    rows: usize,
    wrong: Vec<String>,
}

impl Seen {
    fn look(&mut self, at: &str, all: &[Control]) {
        self.pages += 1;
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for c in all {
            let name = c.name.trim();
            if c.role == Role::Row {
                self.rows += 1;
                let words = name.split_whitespace().count();
                if words < 2 && !name.contains(',') {
                    self.wrong.push(format!("{at}: a row says only {name:?}"));
                }
                continue;
            }
            self.controls += 1;
            if name.is_empty() {
                self.wrong.push(format!("{at}: {:?} at {:?} has no name", c.role, c.rect));
            }
            if field(c.role) {
                self.fields += 1;
                if c.value.is_none() {
                    self.wrong.push(format!("{at}: the field {name:?} does not say what stands in it"));
                }
                *names.entry(name).or_default() += 1;
            }
        }
        for (name, n) in names.into_iter().filter(|(_, n)| *n > 1) {
            self.wrong.push(format!("{at}: {n} fields are called {name:?}"));
        }
    }

    fn end(self, of: &str) {
        println!(
            "{of}: {} pages, parts and forms; {} controls, {} of them fields; {} rows",
            self.pages, self.controls, self.fields, self.rows
        );
        let mut wrong = self.wrong;
        wrong.dedup();
        assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
    }
}

fn field(role: Role) -> bool {
    matches!(role, Role::TextInput | Role::MultilineTextInput | Role::PasswordInput | Role::SearchInput)
}

#[test]
fn everything_has_a_name_in_a_made_up_flock() {
    let folder = flocks::Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let mut h = desk(&folder, book, day(TODAY));
    let mut seen = Seen::default();
    walk::everywhere(&mut h, |h, at| seen.look(at, &walk::controls(h)));
    // What lies over the pages.
    for (at, held, key) in [
        ("The page of keys", Modifiers::NONE, Key::F1),
        ("The finder", Modifiers::NONE, Key::F10),
        ("The note line", Modifiers::COMMAND, Key::N),
    ] {
        h.key_press_modifiers(held, key);
        walk::settle(&mut h);
        seen.look(at, &walk::controls(&h));
        press(&mut h, Key::Escape);
        walk::settle(&mut h);
    }
    dialogs(&mut h, &mut seen);
    assert!(seen.pages > 60 && seen.controls > 2000 && seen.rows > 300, "the walk went too short a way");
    seen.end("made-up flock");
}

/// What is asked over a page: nothing behind it can have the keyboard meanwhile, so all that is seen is its own.
fn dialogs(h: &mut walk::Page, seen: &mut Seen) {
    walk::show(h, PageId::Flock, None);
    let over = |h: &mut walk::Page, seen: &mut Seen, at: &str, must: &str| {
        walk::settle(h);
        assert!(flocks::says(h, must), "{at} is not open");
        seen.look(at, &walk::controls(h));
        press(h, Key::Escape);
        walk::settle(h);
        assert!(!flocks::says(h, must), "Escape leaves {at} open");
    };
    h.get_by_role_and_label(Role::Button, "Save as a table…").click();
    over(h, seen, "Save as a table", "Save it");
    press(h, Key::F10);
    h.run_steps(4);
    flocks::type_in(h, "choose columns");
    press(h, Key::Enter);
    h.run_steps(10);
    over(h, seen, "The columns of a table", "Columns of:");
    // What is unlikely is asked about before it is written: here a number that is none of the place's.
    let written = |h: &walk::Page| h.state().flock().map(|f| f.holding().number.clone());
    let stands = written(h);
    walk::show(h, PageId::Book, Some("Flock and keeper"));
    flocks::retype(h, "Holding number", "99999");
    flocks::ctrl(h, Key::Enter);
    walk::settle(h);
    let all = walk::controls(h);
    for (role, name) in [
        (Role::TextInput, "Why"),
        (Role::Button, "Write it all the same"),
        (Role::Button, "Back to the form"),
    ] {
        assert!(
            all.iter().any(|c| c.role == role && c.name == name),
            "the question has no {role:?} {name:?}"
        );
    }
    over(h, seen, "The question before a doubtful write", "Is this right as written?");
    assert_eq!(written(h), stands, "Escape writes nothing");
}

#[test]
fn everything_has_a_name_in_an_empty_book() {
    let folder = flocks::Folder::new();
    let book = flocks::empty_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    let mut seen = Seen::default();
    for page in hirsel_app::pages::PageId::ALL {
        for part in hirsel_app::pages::sections::parts(page) {
            walk::show(&mut h, page, Some(part));
            seen.look(&format!("{}, {part}", page.words()), &walk::controls(&h));
        }
        walk::show(&mut h, page, None);
        seen.look(page.words(), &walk::controls(&h));
    }
    seen.end("empty book");
}

#[test]
fn everything_has_a_name_on_the_first_page() {
    let folder = flocks::Folder::new();
    let start = Desk::at_start(Kept::at(folder.path()), day(TODAY));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), start);
    let mut seen = Seen::default();
    walk::settle(&mut h);
    seen.look("The first page", &walk::controls(&h));
    press(&mut h, Key::Enter);
    walk::settle(&mut h);
    seen.look("The first page, a new book", &walk::controls(&h));
    seen.end("first page");
}
