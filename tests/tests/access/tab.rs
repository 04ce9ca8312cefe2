//! Tab goes on from every control, comes round, and what has the keyboard is always seen.

use std::collections::HashSet;

use egui::{Id, Key};
use hirsel_tests::flocks::{self, day, desk_sized};
use hirsel_tests::walk::{self, Page};

const TODAY: &str = "2026-04-10";
/// More stops than any page has.
const MOST: usize = 400;

/// Presses Tab until it comes round; tells how many stops there are, and what was wrong on the way.
fn round(h: &mut Page, at: &str, wrong: &mut Vec<String>) -> usize {
    let focused = |h: &Page| h.ctx.memory(|m| m.focused());
    let mut seen: HashSet<Id> = HashSet::new();
    let mut last: Option<Id> = None;
    for n in 0..MOST {
        h.key_press(Key::Tab);
        h.run_ok();
        let Some(now) = focused(h) else {
            // Past the last control the keyboard is nowhere for one press, then at the first.
            if last.is_none() && n > 1 {
                wrong.push(format!("{at}: Tab leads nowhere"));
                return seen.len();
            }
            last = None;
            continue;
        };
        let named = |h: &Page, id: Id| {
            let all = walk::controls(h);
            all.into_iter()
                .find(|c| c.id == id)
                .map_or_else(|| "?".into(), |c| format!("{:?} {:?}", c.role, c.name))
        };
        if last == Some(now) {
            wrong.push(format!("{at}: Tab does not leave {}", named(h, now)));
            return seen.len();
        }
        last = Some(now);
        if !seen.insert(now) {
            return seen.len();
        }
        let Some((whole, part)) = walk::place(h, now) else {
            wrong.push(format!("{at}: the keyboard is on something that is not drawn"));
            continue;
        };
        // The whole of it is seen, or of something large a good part.
        let high = part.height() >= (whole.height() - 1.0).min(40.0);
        let wide = part.width() >= (whole.width() - 1.0).min(60.0);
        if !(high && wide) {
            wrong.push(format!(
                "{at}: {} has the keyboard and is not seen: {whole:?} of it {part:?}",
                named(h, now)
            ));
        }
    }
    wrong.push(format!("{at}: Tab does not come round"));
    seen.len()
}

/// Walks all pages.
fn tabbed(size: [f32; 2]) {
    let folder = flocks::Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let mut h = desk_sized(&folder, book, day(TODAY), size);
    let (mut pages, mut stops, mut wrong) = (0, 0, Vec::new());
    // A part of them by itself, all of them with the drills.
    let whole = std::env::var("HIRSEL_DRILLS").is_ok_and(|v| v == "whole");
    let mut met = 0;
    walk::everywhere(&mut h, |h, at| {
        met += 1;
        if !whole && met % 6 != 1 {
            return;
        }
        if at.starts_with("Leaf, ") {
            return; // its forms are parts of the same page
        }
        pages += 1;
        stops += round(h, at, &mut wrong);
    });
    println!("{size:?}: {pages} pages, parts and forms, {stops} stops of Tab");
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn tab_goes_round_every_page() {
    tabbed([1240.0, 800.0]);
}

/// A window of 1024 by 700 at type size 200 %.
#[test]
fn tab_goes_round_every_page_at_twice_the_size() {
    tabbed([512.0, 350.0]);
}

/// A button far down a list is scrolled into sight when Tab comes to it; egui alone leaves it where it is.
#[test]
fn what_tab_comes_to_is_scrolled_into_sight() {
    let view = |ui: &mut egui::Ui, _: &mut ()| {
        egui::ScrollArea::vertical().show(ui, |ui| {
            for n in 0..40 {
                let _ = ui.button(format!("Button {n}"));
            }
        });
    };
    let mut h = hirsel_tests::shot::harness([300.0, 200.0], view, ());
    for n in 0..40 {
        h.key_press(Key::Tab);
        h.run();
        let id = h.ctx.memory(|m| m.focused()).unwrap_or_else(|| panic!("{n}: something has the keyboard"));
        let (whole, seen) = walk::place(&h, id).unwrap_or_else(|| panic!("{n}: it is drawn"));
        assert!(seen.height() >= whole.height() - 1.0, "button {n}: {seen:?} of {whole:?} seen");
    }
}
