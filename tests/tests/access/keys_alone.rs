//! Every job of an evening by keys alone, one after the other in one window; the keys of each are counted.

use egui::{Key, Modifiers};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, CreepDraft, FeedDraft};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::terms::{FeedKind, MadeFor, Mass, Sex, Status};
use hirsel_tests::flocks::{self, day, desk, says, wait_for, write};
use hirsel_tests::walk::Page;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

/// Two hands on the keyboard.
struct Hands {
    h: Page,
    keys: usize,
    all: usize,
}

impl Hands {
    fn key(&mut self, held: Modifiers, key: Key) {
        self.keys += if held.is_none() { 1 } else { 2 };
        self.h.key_press_modifiers(held, key);
        self.h.run();
    }

    fn press(&mut self, key: Key) {
        self.key(Modifiers::NONE, key);
    }

    fn ctrl(&mut self, key: Key) {
        self.key(Modifiers::COMMAND, key);
    }

    fn write(&mut self, text: &str) {
        self.keys += text.chars().count();
        flocks::type_in(&mut self.h, text);
    }

    /// Each text and Enter after it.
    fn enter(&mut self, texts: &[&str]) {
        for text in texts {
            if !text.is_empty() {
                self.write(text);
            }
            self.press(Key::Enter);
        }
    }

    /// Finds what is to be done by a few letters.
    fn find(&mut self, letters: &str) {
        self.press(Key::F10);
        self.h.run_steps(4);
        self.enter(&[letters]);
        self.h.run_steps(10);
        self.h.run();
    }

    fn flock(&self) -> Arc<Flock> {
        self.h.state().flock().cloned().expect("a book is open")
    }

    fn done(&mut self, job: &str) {
        println!("{job}: {} keys", self.keys);
        self.all += std::mem::take(&mut self.keys);
    }
}

fn file<'a>(flock: &'a Flock, tag: &str) -> &'a AnimalFile {
    flock.by_tag(tag).and_then(|id| flock.file(id)).unwrap_or_else(|| panic!("no {tag}"))
}

fn book(folder: &flocks::Folder) -> Book {
    let (mut book, _) = flocks::shed_book(folder);
    flocks::add(&mut book, "0460", Sex::Ewe, "2023-04-02", day(TODAY));
    let mut feed = FeedDraft::called("Lamb starter", FeedKind::Compound);
    feed.made_for = MadeFor::Sheep;
    let check = entry::feeds(vec![feed], &book.flock());
    write(&mut book, check);
    let creep = CreepDraft {
        id: None,
        pen: "Top shed".into(),
        from: day("2026-04-08"),
        to: None,
        feed: Some("Lamb starter".into()),
        holds: Mass::from_kg(10.0),
        note: None,
    };
    let check = entry::creeps(vec![creep], &book.flock(), day(TODAY));
    write(&mut book, check);
    book
}

#[test]
fn an_evening_without_the_mouse() {
    let folder = flocks::Folder::new();
    let h = desk(&folder, book(&folder), day(TODAY));
    let mut p = Hands { h, keys: 0, all: 0 };

    p.ctrl(Key::N);
    p.enter(&["0433 lame near fore"]);
    assert!(says(&p.h, "lame near fore"));
    p.press(Key::Escape);
    p.done("a note of the barn");

    p.ctrl(Key::Num5);
    p.enter(&["0412", "3 apr", "0640", "n", "", "Jug 4"]);
    p.enter(&["e", "4.2", "0501", "", "y", "y", "", "white", ""]);
    p.enter(&["r", "4.6", "0502"]);
    p.ctrl(Key::Enter);
    assert_eq!(file(&p.flock(), "0412").lambings.len(), 1);
    p.done("twins by the lambing form");

    p.find("cards for the 2");
    wait_for(&mut p.h, "the cards", |h| says(h, "Page 1 of 1: "));
    let pdf = folder.path().join("cards.pdf");
    p.find("to: save as");
    p.ctrl(Key::A);
    p.enter(&[&pdf.display().to_string()]);
    wait_for(&mut p.h, "the file", |h| says(h, "1 page saved"));
    assert!(pdf.exists());
    p.done("their cards, saved as PDF");

    p.ctrl(Key::Num6);
    p.enter(&["", "top", "", "", "leva", "B-77"]);
    p.ctrl(Key::Enter);
    for tag in ["0417", "0433"] {
        assert_eq!(file(&p.flock(), tag).treatments.len(), 1, "{tag}");
    }
    p.done("a pen treated");

    p.ctrl(Key::Num7);
    p.ctrl(Key::E);
    p.ctrl(Key::A);
    p.write("Top shed");
    p.ctrl(Key::Enter);
    p.enter(&["0417", "53", "0433", "49"]);
    for tag in ["0417", "0433"] {
        assert_eq!(file(&p.flock(), tag).weighings.len(), 2, "{tag}");
    }
    p.done("its ewes at the scale");

    p.ctrl(Key::F);
    p.enter(&["0412"]);
    assert!(says(&p.h, "Past lambings (1)") && says(&p.h, "3 Apr 2026: 2 born, 2 alive"));
    p.done("a ewe's past lambings");

    p.find("inspection reg");
    wait_for(&mut p.h, "the register", |h| says(h, "What was given to whom, when, why, and the clear days"));
    p.find("print the reg");
    wait_for(&mut p.h, "its pages", |h| says(h, "Page 1 of"));
    p.done("the treatment record for an inspector");

    p.ctrl(Key::D);
    let before = p.flock().feedroom().moves.len();
    p.write("f");
    assert_eq!(p.flock().feedroom().moves.len(), before + 1, "the creep is filled");
    p.done("a creep filled");

    p.ctrl(Key::J);
    p.enter(&["r7", "0460"]);
    p.ctrl(Key::Enter);
    assert_eq!(file(&p.flock(), "0460").joinings.len(), 1);
    p.done("a ewe joined");

    // Once to the leaf that is still open, once more to the list.
    p.ctrl(Key::Num3);
    p.ctrl(Key::Num3);
    p.enter(&["04", ""]);
    p.press(Key::ArrowDown);
    p.press(Key::Space);
    p.find("move to pen");
    p.enter(&["Orchard", ""]);
    assert_eq!(file(&p.flock(), "0417").animal.pen.as_deref(), Some("Orchard"));
    p.done("a ewe to another pen");

    p.ctrl(Key::F);
    p.enter(&["0502"]);
    p.press(Key::S);
    p.write("d");
    p.ctrl(Key::Enter);
    assert_eq!(file(&p.flock(), "0502").animal.status, Status::Dead);
    p.done("a death");

    p.ctrl(Key::Z);
    assert_eq!(file(&p.flock(), "0502").animal.status, Status::Present);
    p.done("and taken back");
    println!("the whole evening: {} keys", p.all);
}
