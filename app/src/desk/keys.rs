//! The page of keys, made from the list of commands and from what the parts answer to.

use super::{Desk, command::Command};
use crate::look::{self, space};
use crate::parts::record_table::KEYS;

/// Keys within a form.
const FORM: [(&str, &str); 7] = [
    ("Enter", "next field"),
    ("Shift+Enter", "field before"),
    ("Ctrl+Enter", "write the form"),
    ("↑ ↓", "a day later or earlier, in a day"),
    ("← → or a letter", "pick one of a few words"),
    ("Esc", "leave; what is typed stays"),
    ("Ctrl+Page up, Page down", "the part of a page before or after"),
];

impl Desk {
    /// The page of keys, over everything.
    pub(super) fn keys_page(&mut self, ui: &mut egui::Ui) {
        if !self.keys_shown {
            return;
        }
        let modal =
            egui::Modal::new(egui::Id::unique("keys")).frame(super::dialog(ui)).show(ui.ctx(), |ui| {
                ui.set_width(820.0);
                look::heading(ui, "Keys");
                egui::ScrollArea::vertical().max_height(ui.ctx().content_rect().height() - 180.0).show(
                    ui,
                    |ui| {
                        ui.columns(2, |c| {
                            if let [left, right] = c {
                                let all: Vec<(String, &str)> = Command::ALL
                                    .iter()
                                    .map(|c| (c.key_words(left.ctx()), c.words()))
                                    .collect();
                                group(left, "Anywhere", all.iter().map(|(k, w)| (k.as_str(), *w)));
                                let leaf = crate::pages::leaf::KEYS.iter().map(|(k, w)| (*k, *w));
                                group(left, "On an animal's leaf", leaf);
                                let timeline = crate::pages::timeline::KEYS.iter().map(|(k, w)| (*k, *w));
                                group(left, "On the timeline", timeline);
                                group(right, "In a form", FORM.into_iter());
                                group(right, "In a table", KEYS.iter().map(|(k, w)| (*k, *w)));
                            }
                        });
                    },
                );
                ui.add_space(space::S);
                let close = look::primary(ui, "Close");
                if ui.memory(|m| m.focused().is_none()) {
                    close.request_focus();
                }
                close.clicked()
            });
        if modal.inner || modal.should_close() {
            self.keys_shown = false;
        }
    }
}

fn group<'a>(ui: &mut egui::Ui, title: &str, keys: impl Iterator<Item = (&'a str, &'a str)>) {
    look::subheading(ui, title);
    egui::Grid::new(title).num_columns(2).min_col_width(120.0).spacing([space::L, space::XS]).show(
        ui,
        |ui| {
            for (keys, words) in keys {
                look::strong(ui, keys);
                ui.label(words);
                ui.end_row();
            }
        },
    );
    ui.add_space(space::M);
}
