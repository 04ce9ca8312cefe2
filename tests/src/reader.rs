//! A reader that types, and a flock that wears numbers.

use crate::flocks::{self, Folder, day, press, write};
use egui::{Event, Key};
use egui_kittest::Harness;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, IdentityDraft, Retag};
use hirsel_core::terms::{AnimalId, IdentityKind, Tag};

/// The book of the shed; 0412, 0417, 0433 and R7 wear 826 012345600412, … 417, … 433 and … 007.
pub fn numbered_book(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = flocks::shed_book(folder);
    for (id, last) in ids.into_iter().zip(["412", "417", "433", "007"]) {
        let tag = Tag::parse(&format!("826012345600{last}")).unwrap_or_else(|e| panic!("{e}"));
        let new = Some(IdentityDraft { kind: IdentityKind::Electronic, tag });
        let draft = Retag { animal: id, ends: None, new, on: day("2026-04-03") };
        let check = entry::retag(draft, &book.flock(), day("2026-04-10"));
        write(&mut book, check);
    }
    (book, ids)
}

/// Types a number as a reader does: sign after sign, a fiftieth of a second apart, and Enter.
pub fn scan<S>(h: &mut Harness<'_, S>, number: &str) {
    for c in number.chars() {
        if c == ' ' {
            h.event(key(Key::Space));
        }
        h.event(Event::Text(c.to_string()));
        h.step();
    }
    press(h, Key::Enter);
}

/// Types a number as a person does, and Enter.
pub fn type_slowly<S>(h: &mut Harness<'_, S>, number: &str) {
    for c in number.chars() {
        h.event(Event::Text(c.to_string()));
        h.run_steps(8);
    }
    press(h, Key::Enter);
}

fn key(key: Key) -> Event {
    Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: egui::Modifiers::NONE }
}
