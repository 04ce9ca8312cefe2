//! Commands: what can be done from anywhere, each with its word and keys. Menus, shortcuts and the page of keys
//! are made from this one list.

use crate::pages::PageId;
use egui::{Key, KeyboardShortcut, Modifiers};

/// A command without data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    /// Show a page.
    Page(PageId),
    /// The pens of the shed.
    Pens,
    /// The note line.
    Note,
    /// Find any animal.
    Find,
    /// Undo the last write.
    Undo,
    /// Redo it.
    Redo,
    /// A copy into the second place.
    SecondCopy,
    /// Larger type.
    Larger,
    /// Smaller type.
    Smaller,
    /// Light or dark.
    Theme,
    /// Times of frames, memory, how much is in the book.
    Speed,
    /// Plain or high contrast.
    Contrast,
    /// The next language.
    Language,
    /// Everything that can be done now, found by its words.
    Finder,
    /// The ten small tasks.
    Tour,
    /// The help of the page; once more: the page of keys.
    Help,
}

const SHIFT_COMMAND: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

impl Command {
    /// All, in the order of the page of keys.
    pub const ALL: [Self; 31] = [
        Self::Page(PageId::Tonight),
        Self::Page(PageId::Barn),
        Self::Page(PageId::Flock),
        Self::Page(PageId::Timeline),
        Self::Page(PageId::Joining),
        Self::Page(PageId::Blood),
        Self::Page(PageId::Lambing),
        Self::Page(PageId::Treatments),
        Self::Page(PageId::Weights),
        Self::Page(PageId::Feed),
        Self::Page(PageId::Keeping),
        Self::Page(PageId::Figures),
        Self::Page(PageId::Papers),
        Self::Page(PageId::Plan),
        Self::Page(PageId::Inspect),
        Self::Page(PageId::Book),
        Self::Pens,
        Self::Note,
        Self::Find,
        Self::Undo,
        Self::Redo,
        Self::SecondCopy,
        Self::Larger,
        Self::Smaller,
        Self::Theme,
        Self::Speed,
        Self::Contrast,
        Self::Language,
        Self::Finder,
        Self::Tour,
        Self::Help,
    ];

    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Page(page) => page.words(),
            Self::Pens => "Pen map",
            Self::Note => "Write a barn note",
            Self::Find => "Find an animal",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::SecondCopy => "Put a copy in the second place",
            Self::Larger => "Larger type",
            Self::Smaller => "Smaller type",
            Self::Theme => "Light or dark",
            Self::Speed => "How fast is it?",
            Self::Contrast => "High contrast or plain",
            Self::Language => "English or another language",
            Self::Finder => "What to do: find it by its words",
            Self::Tour => "The ten small tasks of the made-up flock",
            Self::Help => "Help; once more: keys",
        }
    }

    /// Those that the strip at the foot shows, the most needed first, with a short word.
    pub const STRIP: [(Self, &'static str); 5] = [
        (Self::Finder, "what to do"),
        (Self::Help, "help"),
        (Self::Note, "note"),
        (Self::Find, "find"),
        (Self::Undo, "undo"),
    ];

    /// Its keys; the first is the one shown.
    pub fn keys(self) -> &'static [KeyboardShortcut] {
        const fn ctrl(key: Key) -> KeyboardShortcut {
            KeyboardShortcut::new(Modifiers::COMMAND, key)
        }
        const fn shift_ctrl(key: Key) -> KeyboardShortcut {
            KeyboardShortcut::new(SHIFT_COMMAND, key)
        }
        match self {
            Self::Page(PageId::Tonight) => const { &[ctrl(Key::Num1)] },
            Self::Page(PageId::Barn) => const { &[ctrl(Key::Num2)] },
            Self::Page(PageId::Flock) => const { &[ctrl(Key::Num3)] },
            Self::Page(PageId::Timeline) => const { &[ctrl(Key::Num4)] },
            Self::Page(PageId::Joining) => const { &[ctrl(Key::J)] },
            Self::Page(PageId::Blood) => const { &[ctrl(Key::B)] },
            Self::Page(PageId::Lambing) => const { &[ctrl(Key::Num5)] },
            Self::Page(PageId::Treatments) => const { &[ctrl(Key::Num6)] },
            Self::Page(PageId::Weights) => const { &[ctrl(Key::Num7)] },
            Self::Page(PageId::Keeping) => const { &[ctrl(Key::K)] },
            Self::Page(PageId::Feed) => const { &[ctrl(Key::D)] },
            Self::Page(PageId::Figures) => const { &[ctrl(Key::G)] },
            Self::Page(PageId::Papers) => const { &[ctrl(Key::Num8), ctrl(Key::P)] },
            Self::Page(PageId::Plan) => const { &[ctrl(Key::Num9)] },
            Self::Page(PageId::Inspect) => const { &[ctrl(Key::I)] },
            Self::Page(PageId::Book) => const { &[ctrl(Key::Num0)] },
            Self::Pens => const { &[ctrl(Key::M)] },
            Self::Note => const { &[ctrl(Key::N)] },
            Self::Find => const { &[ctrl(Key::F)] },
            Self::Redo => const { &[shift_ctrl(Key::Z), ctrl(Key::Y)] },
            Self::Undo => const { &[ctrl(Key::Z)] },
            Self::SecondCopy => const { &[shift_ctrl(Key::S)] },
            Self::Larger => const { &[ctrl(Key::Plus), ctrl(Key::Equals)] },
            Self::Smaller => const { &[ctrl(Key::Minus)] },
            Self::Theme => const { &[shift_ctrl(Key::D)] },
            Self::Speed => const { &[shift_ctrl(Key::F)] },
            Self::Contrast => const { &[shift_ctrl(Key::H)] },
            Self::Language => const { &[shift_ctrl(Key::L)] },
            Self::Finder => {
                const { &[KeyboardShortcut::new(Modifiers::NONE, Key::F10), shift_ctrl(Key::Space)] }
            }
            Self::Tour => const { &[shift_ctrl(Key::T)] },
            Self::Help => const { &[KeyboardShortcut::new(Modifiers::NONE, Key::F1)] },
        }
    }

    /// The first of its keys as people read it: `Ctrl+F`.
    pub fn key_words(self, ctx: &egui::Context) -> String {
        self.keys().first().map(|k| ctx.format_shortcut(k)).unwrap_or_default()
    }

    /// The command whose keys were pressed, taken from the input. Those with Shift are looked for first. Undo and
    /// redo are left to a text field with typing of its own to take back.
    pub fn pressed(ctx: &egui::Context, undo_is_the_fields: bool) -> Option<Self> {
        let mut order = Self::ALL;
        order.sort_by_key(|c| !c.keys().iter().any(|k| k.modifiers.shift));
        ctx.input_mut(|i| {
            order
                .into_iter()
                .filter(|c| !(undo_is_the_fields && matches!(c, Self::Undo | Self::Redo)))
                .find(|c| c.keys().iter().any(|k| i.consume_shortcut(k)))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        let mut seen = Vec::new();
        for c in Command::ALL {
            for k in c.keys() {
                assert!(!seen.contains(k), "{c:?} {k:?}");
                seen.push(*k);
            }
        }
    }
}
