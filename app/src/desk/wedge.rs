//! A reader that types: it sends a number as a burst of keys with Enter behind it. Into a field it types as a person
//! does; in the note line its Enter does not write the note; and where no field has the keyboard, its number opens the
//! animal's leaf.

use super::{Desk, Stage};
use crate::look::Kind;
use crate::pages::{Intent, PageId, nobody};
use egui::{Event, Key};
use hirsel_core::flock::Flock;
use hirsel_core::terms::ElectronicId;

/// Seconds between two signs of a burst: nobody types so fast.
const GAP: f64 = 0.05;
/// Enter may come a frame or two later.
const END_GAP: f64 = 0.25;
/// Letters and figures of the shortest number.
const SHORTEST: usize = 15;
/// Figures in the shortest number; a word of hexadecimal digits holds letters, too. Words of a person hold few.
const FIGURES: usize = 6;
/// So many signs in a burst are no person's any more; a key behind them, such as the blank after `UK`, is the reader's.
const SURE: usize = 3;
/// Signs of the longest burst that is kept.
const LONGEST: usize = 200;

/// What was typed in a burst so far.
#[derive(Debug, Default)]
pub(super) struct Wedge {
    typed: String,
    last: f64,
}

impl Wedge {
    /// Takes in the keys of a frame; gives the number that an Enter of this frame ended. `swallow`: no field has the
    /// keyboard, so that what a reader types must not press buttons or tick boxes; the Enter that ends it goes with it.
    fn frame(&mut self, now: f64, events: &mut Vec<Event>, swallow: bool) -> Option<String> {
        let mut ended = None;
        events.retain(|event| match event {
            Event::Text(text) => {
                if now - self.last > GAP || self.typed.len() > LONGEST {
                    self.typed.clear();
                }
                self.typed.push_str(text);
                self.last = now;
                !(swallow && self.typed.len() >= SURE && is_number(&self.typed))
            }
            Event::Key { key: Key::Enter, pressed: true, modifiers, .. } if !modifiers.any() => {
                let signs = self.typed.chars().filter(char::is_ascii_alphanumeric).count();
                let typed = std::mem::take(&mut self.typed);
                let figures = typed.chars().filter(char::is_ascii_digit).count();
                if signs >= SHORTEST && figures >= FIGURES && now - self.last <= END_GAP {
                    ended = Some(typed);
                }
                !(swallow && ended.is_some())
            }
            // The key of a sign comes beside its text.
            Event::Key { pressed: true, modifiers, .. } => {
                let within = self.typed.len() + 1 >= SURE && now - self.last <= GAP && is_number(&self.typed);
                let held = modifiers.command || modifiers.alt;
                held || !(swallow && within)
            }
            _ => true,
        });
        ended
    }
}

/// It reads like the beginning of a number and not like words: half of it figures, or a country's letters in front.
fn is_number(typed: &str) -> bool {
    let signs = typed.chars().filter(char::is_ascii_alphanumeric).count();
    let figures = typed.chars().filter(char::is_ascii_digit).count();
    let country = typed.chars().take(2).filter(char::is_ascii_uppercase).count() == 2;
    country || figures > 0 && figures * 2 >= signs
}

impl Desk {
    /// Looks at the keys of this frame before anything else does.
    pub(super) fn wedge(&mut self, ui: &egui::Ui) {
        let Stage::Open(open) = &mut self.stage else { return };
        let dialog =
            open.ask.is_some() || self.help.is_open() || ui.memory(|m| m.top_modal_layer().is_some());
        let ctx = ui.ctx();
        let in_field = ctx.text_edit_focused();
        let swallow = !in_field && !dialog && open.scan_opens;
        let ended = ctx.input_mut(|i| self.wedge.frame(i.time, &mut i.events, swallow));
        let Some(typed) = ended else { return };
        if in_field {
            self.scanned_note(ctx, &typed);
        } else if swallow {
            self.scanned(ctx, &typed);
        }
    }

    /// A number came while no field had the keyboard.
    fn scanned(&mut self, ctx: &egui::Context, typed: &str) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        match open.flock.by_tag(typed) {
            Some(id) if open.pages.at == PageId::Barn && open.pages.barn.go_to(id) => {}
            Some(id) => self.apply(ctx, Intent::Open(id)),
            None => {
                if let Some(why) = nobody(&open.flock, typed, today) {
                    open.find.type_in(typed.trim());
                    open.find_wanted = true;
                    self.say(Kind::Refuse, why);
                }
            }
        }
    }

    /// A number came into the note line: it becomes the animal's tag, and the note goes on.
    fn scanned_note(&mut self, ctx: &egui::Context, typed: &str) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        if ctx.memory(|m| m.focused()) != Some(super::note::field_id()) {
            return;
        }
        if !matches!(ElectronicId::typed(typed), Some(Ok(_))) {
            return; // what is no number is refused by the line itself
        }
        // The reader's Enter is no wish to write.
        ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Enter));
        if into_note(&mut open.pages.note.text, typed, &open.flock) {
            super::note::to_end(ctx, &open.pages.note.text);
        } else if open.flock.by_tag(typed).is_none()
            && let Some(why) = nobody(&open.flock, typed, today)
        {
            self.say(Kind::Refuse, why);
        }
    }
}

/// Puts the tag in place of the number at the end of a note; tells whether it could.
fn into_note(note: &mut String, typed: &str, flock: &Flock) -> bool {
    let Some(animal) = flock.by_tag(typed).and_then(|id| flock.animal(id)) else { return false };
    let Some(before) = note.trim_end().strip_suffix(typed.trim()) else { return false };
    // A tag that holds signs of the grammar stays what it is in quotes.
    let plain = animal.tag().chars().all(|c| c.is_alphanumeric() || matches!(c, '/' | '-'));
    let tag = if plain { animal.tag().to_string() } else { typed.trim().to_string() };
    *note = format!("{before}{tag} ");
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(key: Key) -> Event {
        Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: egui::Modifiers::NONE }
    }

    /// Types the signs so many seconds apart, then Enter; gives what was taken for a reader's number, and how many events
    /// were left to others.
    fn typed(text: &str, apart: f64, swallow: bool) -> (Option<String>, usize) {
        let (mut wedge, mut now, mut left) = (Wedge::default(), 100.0, 0);
        for c in text.chars() {
            now += apart;
            let mut events = vec![key(Key::Num0), Event::Text(c.to_string())];
            assert_eq!(wedge.frame(now, &mut events, swallow), None);
            left += events.len();
        }
        let mut events = vec![key(Key::Enter)];
        let ended = wedge.frame(now + apart, &mut events, swallow);
        (ended, left + events.len())
    }

    #[test]
    fn a_burst_is_a_reader_and_a_person_is_none() {
        let number = "826012345600401";
        assert_eq!(typed(number, 0.01, true), (Some(number.into()), 4));
        // Into a field everything goes on as it is.
        assert_eq!(typed(number, 0.01, false), (Some(number.into()), 31));
        assert_eq!(typed(number, 0.12, true), (None, 31));
        assert_eq!(typed("0401", 0.01, true).0, None);
        assert_eq!(typed("our buyer asks for it", 0.01, true).0, None);
        assert_eq!(typed("826 012345600401", 0.01, true).0.as_deref(), Some("826 012345600401"));
    }

    #[test]
    fn enter_long_after_a_burst_is_a_persons() {
        let mut wedge = Wedge::default();
        let mut events = vec![Event::Text("826012345600401".into())];
        assert_eq!(wedge.frame(1.0, &mut events, false), None);
        let mut events = vec![key(Key::Enter)];
        assert_eq!((wedge.frame(2.0, &mut events, true), events.len()), (None, 1));
    }
}
