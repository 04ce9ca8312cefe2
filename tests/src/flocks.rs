//! Small flocks for tests, and the whole desk over them.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, JoiningDraft, PenMoveDraft, ProductDraft, Sure, WeighingDraft};
use hirsel_core::flock::Holding;
use hirsel_core::terms::{AnimalId, Born, Day, DoseRule, Moment, Route, Sex, Tag, Weight, Withdrawal};

/// A day as ISO text.
///
/// # Panics
/// When it is none.
pub fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap_or_else(|e| panic!("{e}"))
}

/// A folder of one's own that goes when it is dropped.
pub struct Folder(PathBuf);

impl Folder {
    /// A new, empty folder.
    ///
    /// # Panics
    /// When it cannot be made.
    #[allow(clippy::new_without_default)]
    pub fn new() -> Self {
        let id = hirsel_core::terms::EntryId::new();
        let path = std::env::temp_dir().join(format!("hirsel-test-{}", id.0.simple()));
        std::fs::create_dir_all(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        Self(path)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// An empty book in a folder.
///
/// # Panics
/// When it cannot be made.
pub fn empty_book(folder: &Folder) -> Book {
    let holding = Holding {
        flock: "Thornley Fellsides".into(),
        keeper: "Maud Thornley".into(),
        number: "55/123/4567".into(),
        given_by: "Maud Thornley".into(),
        rules: "gb".into(),
        ..Holding::default()
    };
    Book::create(&folder.path().join("flock.hirsel"), holding).unwrap_or_else(|e| panic!("{e}"))
}

/// Writes a checked entry that has nothing to question.
///
/// # Panics
/// When it is refused or questioned.
pub fn write(book: &mut Book, check: entry::Check) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    let sure: Sure = checked.sure().unwrap_or_else(|c| panic!("{}", c.questions()[0]));
    book.write(sure).unwrap_or_else(|e| panic!("{e}"));
}

/// Adds an animal and gives its id.
pub fn add(book: &mut Book, tag: &str, sex: Sex, born: &str, today: Day) -> AnimalId {
    let mut draft = AnimalDraft::new(Tag::parse(tag).unwrap_or_else(|e| panic!("{e}")), sex);
    draft.born = Born::parse(born).unwrap_or_else(|e| panic!("{e}"));
    let id = draft.id;
    let check = entry::animals(vec![draft], &book.flock(), today);
    write(book, check);
    id
}

/// Three ewes (0412, 0417, 0433) joined with ram R7 from 25 October to 10 December 2025.
pub fn joined_book(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let today = day("2026-04-10");
    let mut book = empty_book(folder);
    let a = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today);
    let b = add(&mut book, "0417", Sex::Ewe, "2022-03-28", today);
    let c = add(&mut book, "0433", Sex::Ewe, "2023-04-11", today);
    let ram = add(&mut book, "R7", Sex::Ram, "2022-03-20", today);
    let (from, to) = (day("2025-10-25"), Some(day("2025-12-10")));
    let draft = JoiningDraft { ram, ewes: vec![a, b, c], from, to, method: None, group: None };
    let check = entry::joinings(vec![draft], &book.flock(), today);
    write(&mut book, check);
    (book, [a, b, c, ram])
}

/// The joined book with weights, a pen of three and two products.
///
/// # Panics
/// When it cannot be written.
pub fn shed_book(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = joined_book(folder);
    let today = day("2026-04-10");
    let weights: Vec<WeighingDraft> = [(0, 60_000), (1, 52_000), (2, 48_500)]
        .into_iter()
        .map(|(n, g): (usize, i64)| WeighingDraft {
            animal: ids[n],
            at: Moment::day(day("2026-04-01")),
            weight: Weight::from_grams(g).expect("a weight"),
            note: None,
        })
        .collect();
    let check = entry::weighings(weights, &book.flock(), today);
    write(&mut book, check);
    let draft =
        PenMoveDraft { animals: ids[..3].to_vec(), on: day("2026-04-02"), pen: Some("Top shed".into()) };
    let check = entry::pen_move(draft, &book.flock(), today);
    write(&mut book, check);
    let product = |name: &str, rule, meat, milk| ProductDraft {
        name: name.into(),
        substance: None,
        form: None,
        strength: None,
        rule,
        route: Some(Route::Oral),
        meat,
        milk,
        licensed_for: Some("sheep".into()),
        more: Default::default(),
    };
    let drafts = vec![
        product("levamisole drench", DoseRule::PerKg(100), Withdrawal::Days(21), Withdrawal::Hours(60)),
        product(
            "clostridial vaccine 4-in-1",
            DoseRule::PerHead(2000),
            Withdrawal::Days(0),
            Withdrawal::Days(0),
        ),
    ];
    let check = entry::products(drafts, &book.flock());
    write(&mut book, check);
    (book, ids)
}

/// The whole desk over a book on a day, at 1240 by 800.
pub fn desk(folder: &Folder, book: Book, today: Day) -> Harness<'static, Desk> {
    desk_sized(folder, book, today, [1240.0, 800.0])
}

/// The whole desk at a size.
pub fn desk_sized(folder: &Folder, book: Book, today: Day, size: [f32; 2]) -> Harness<'static, Desk> {
    let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, today);
    let mut harness = crate::shot::harness(size, |ui, desk: &mut Desk| desk.view(ui), desk);
    harness.run();
    harness
}

/// Types into whatever has the keyboard.
pub fn type_in<S>(h: &mut Harness<'_, S>, text: &str) {
    h.event(egui::Event::Text(text.to_owned()));
    h.run();
}

/// Types each text and presses Enter after it; an empty text is Enter alone.
pub fn enter<S>(h: &mut Harness<'_, S>, texts: &[&str]) {
    for t in texts {
        if !t.is_empty() {
            type_in(h, t);
        }
        press(h, Key::Enter);
    }
}

/// Presses a key.
pub fn press<S>(h: &mut Harness<'_, S>, key: Key) {
    h.key_press(key);
    h.run();
}

/// Presses a key with Ctrl.
pub fn ctrl<S>(h: &mut Harness<'_, S>, key: Key) {
    h.key_press_modifiers(Modifiers::COMMAND, key);
    h.run();
}

/// Whether the widget of this role and name has the keyboard.
pub fn has_keyboard<S>(h: &Harness<'_, S>, role: Role, label: &str) -> bool {
    let node = h.get_by_role_and_label(role, label);
    let id = node.accesskit_node().id();
    h.root().accesskit_node().tree_state.focus_id() == Some(id)
}

/// Says whether any node of the page carries this text as its name or value.
pub fn says<S>(h: &Harness<'_, S>, text: &str) -> bool {
    h.query_all_by_label_contains(text).next().is_some()
}

/// Steps until something holds that a thread works on.
///
/// # Panics
/// When it does not hold after two minutes; `what` says what was waited for.
pub fn wait_for<S>(h: &mut Harness<'_, S>, what: &str, holds: impl Fn(&Harness<'_, S>) -> bool) {
    for _ in 0..6_000 {
        h.run_steps(1);
        if holds(h) {
            h.run();
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    panic!("waited in vain: {what}");
}

/// Empties the field of this name and types into it.
pub fn retype<S>(h: &mut Harness<'_, S>, label: &str, text: &str) {
    h.get_by_role_and_label(Role::TextInput, label).focus();
    h.run();
    ctrl(h, Key::A);
    press(h, Key::Delete);
    type_in(h, text);
}
