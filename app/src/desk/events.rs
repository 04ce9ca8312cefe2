//! Sharing out key events to frames: what is typed after Enter or Tab belongs to the next field, and that field has
//! the keyboard only a frame later. A reader that types, or a slow frame, must not put two tags into one field.

use egui::{Event, Key};

/// Events that wait for a later frame.
#[derive(Debug, Default)]
pub struct Waiting {
    events: Vec<Event>,
    /// One frame without events after a change of field: only then do arrows go to the new one.
    pause: bool,
}

impl Waiting {
    /// Leaves in `events` what this frame may see and keeps the rest; tells whether another frame is needed.
    pub fn share_out(&mut self, events: &mut Vec<Event>) -> bool {
        if self.events.is_empty() && !self.pause && !events.iter().any(ends_field) {
            return false;
        }
        self.events.append(events);
        if std::mem::take(&mut self.pause) {
            // What is no typing (the pointer, the window) need not wait.
            let (now, later) = self.events.drain(..).partition(|e| !is_typing(e));
            *events = now;
            self.events = later;
            return !self.events.is_empty();
        }
        // The text before Enter is a frame of its own, so that a list has filtered by it when Enter takes from it.
        let cut = match self.events.iter().position(ends_field) {
            Some(i) if self.events[..i].iter().any(is_typing) => i,
            Some(i) => i + 1,
            None => self.events.len(),
        };
        *events = self.events.drain(..cut).collect();
        self.pause = events.last().is_some_and(ends_field);
        self.pause || !self.events.is_empty()
    }
}

fn ends_field(e: &Event) -> bool {
    matches!(e, Event::Key { key: Key::Enter | Key::Tab, pressed: true, .. })
}

fn is_typing(e: &Event) -> bool {
    matches!(e, Event::Key { .. } | Event::Text(_) | Event::Paste(_) | Event::Ime(_))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(key: Key) -> Event {
        Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: egui::Modifiers::NONE }
    }

    fn text(t: &str) -> Event {
        Event::Text(t.into())
    }

    #[test]
    fn what_follows_enter_waits_for_the_next_field() {
        let mut waiting = Waiting::default();
        let mut frame = vec![text("0412"), key(Key::Enter), text("54.5"), key(Key::Enter), text("0417")];
        let mut seen = Vec::new();
        for _ in 0..8 {
            waiting.share_out(&mut frame);
            seen.push(std::mem::take(&mut frame));
        }
        assert_eq!(seen[0], vec![text("0412")]);
        assert_eq!(seen[1], vec![key(Key::Enter)]);
        assert!(seen[2].is_empty());
        assert_eq!(seen[3], vec![text("54.5")]);
        assert_eq!(seen[4], vec![key(Key::Enter)]);
        assert!(seen[5].is_empty());
        assert_eq!(seen[6], vec![text("0417")]);
        assert!(seen[7].is_empty());
    }

    #[test]
    fn without_enter_nothing_waits() {
        let mut waiting = Waiting::default();
        let mut frame = vec![text("0412"), Event::PointerGone];
        assert!(!waiting.share_out(&mut frame));
        assert_eq!(frame.len(), 2);
    }
}
