//! At type size 200 % in a window of 1024 by 700 no control lies under another, and what stands round the page
//! is in the window; what of a page has no room is scrolled to.

use egui::{Key, Modifiers, Rect, Role};
use hirsel_app::desk::kept::Kept;
use hirsel_app::look;
use hirsel_app::pages::PageId;
use hirsel_tests::flocks::{self, day, desk_sized};
use hirsel_tests::shot;
use hirsel_tests::walk::{self, Control};

const TODAY: &str = "2026-04-10";

/// The window as the page has it at twice the size.
const SIZE: [f32; 2] = [512.0, 350.0];

/// What is seen of a page at once beside the rail.
const PAGE: f32 = 379.0;

/// Things that hold others: a group round its words, a table round its rows and heads.
fn holds(role: Role) -> bool {
    matches!(
        role,
        Role::RadioGroup | Role::Grid | Role::Canvas | Role::Image | Role::GenericContainer | Role::Group
    )
}

/// What stands round every page and is never scrolled.
fn round(c: &Control) -> bool {
    let named = ["Find", "Undo", "Redo"].iter().any(|n| c.name.starts_with(n)) || c.name == "Barn note";
    named || PageId::ALL.iter().any(|p| p.words() == c.name && (-1.0..20.0).contains(&c.rect.left()))
}

#[derive(Default)]
struct Seen {
    pages: usize,
    controls: usize,
    sideways: usize,
    wrong: Vec<String>,
}

impl Seen {
    fn look(&mut self, at: &str, all: &[Control]) {
        let window = Rect::from_min_size(egui::Pos2::ZERO, SIZE.into());
        self.pages += 1;
        let kept: Vec<&Control> = all.iter().filter(|c| !holds(c.role) && !c.name.is_empty()).collect();
        for c in &kept {
            self.controls += 1;
            let (left, right) = (c.rect.left() < -1.0, c.rect.right() > window.right() + 1.0);
            if round(c) && (left || right) {
                self.wrong.push(format!("{at}: {:?} {:?} lies outside: {:?}", c.role, c.name, c.rect));
            }
            // Rows and heads are scrolled sideways with their table.
            let of_table =
                matches!(c.role, Role::Row | Role::ColumnHeader) || c.name == "Select all rows shown";
            let cut = c.seen.is_positive() && c.seen.width() < c.rect.width() - 2.0;
            if !of_table && (left || right || cut) {
                // The page is scrolled to it: see how Tab brings each into sight.
                self.sideways += 1;
                let button = matches!(c.role, Role::Button | Role::CheckBox | Role::RadioButton | Role::Link);
                if button && c.rect.width() > PAGE {
                    self.wrong.push(format!("{at}: {:?} {:?} is wider than the page", c.role, c.name));
                }
            }
        }
        for (n, a) in kept.iter().enumerate() {
            for b in &kept[n + 1..] {
                let both = a.seen.intersect(b.seen);
                let over = both.width() > 3.0 && both.height() > 3.0;
                if a.layer == b.layer && over && a.seen.is_positive() && b.seen.is_positive() {
                    let (one, other) = (&a.name, &b.name);
                    self.wrong.push(format!(
                        "{at}: {:?} {one:?} and {:?} {other:?} lie over each other",
                        a.role, b.role
                    ));
                }
            }
        }
    }
}

#[test]
fn nothing_is_hidden_at_twice_the_size() {
    let folder = flocks::Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let mut h = desk_sized(&folder, book, day(TODAY), SIZE);
    let mut seen = Seen::default();
    walk::everywhere(&mut h, |h, at| seen.look(at, &walk::controls(h)));
    let Seen { pages, controls, sideways, wrong } = seen;
    println!(
        "200 %, 1024 by 700: {pages} pages, {controls} controls, {sideways} of them by scrolling sideways"
    );
    assert!(controls > 2000, "the walk went too short a way");
    assert!(sideways * 20 < controls, "{sideways} of {controls} controls need scrolling sideways");
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
}

/// By day and by lamp, plain and of high contrast: the finder over a page, at twice the size.
#[test]
fn high_contrast_is_chosen_by_key_and_kept() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 800.0]);
    let chord = Modifiers::COMMAND | Modifiers::SHIFT;
    let plain = look::of(&h.ctx.global_style().visuals).clone();
    h.key_press_modifiers(chord, Key::H);
    h.run();
    let high = look::of(&h.ctx.global_style().visuals).clone();
    assert!(high.high && !plain.high && high.dark == plain.dark);
    assert!(Kept::at(&folder.path().join("kept")).settings().contrast, "kept for the next time");
    flocks::ctrl(&mut h, Key::Num6);
    flocks::enter(&mut h, &["", "top", "", "", "leva"]);
    shot::check(&mut h, "high_contrast_light");
    h.key_press_modifiers(chord, Key::D);
    h.run();
    shot::check(&mut h, "high_contrast_dark");
}

#[test]
fn small_window_picture() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), SIZE);
    flocks::ctrl(&mut h, Key::Num6);
    flocks::enter(&mut h, &["", "top"]);
    shot::check(&mut h, "twice_the_size");
}
