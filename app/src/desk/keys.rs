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

/// Keys of the note line.
const NOTES: [(&str, &str); 4] = [
    ("Enter", "write what is shown"),
    ("Shift+Enter", "another line"),
    ("Alt and a figure", "choose one of several readings"),
    ("Tab", "make a pen, a product, a name whole"),
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
                                let chart = crate::parts::pedigree_chart::KEYS.iter().map(|(k, w)| (*k, *w));
                                group(right, "On the pedigree", chart);
                                group(right, "In a form", FORM.into_iter());
                                group(right, "In a table", KEYS.iter().map(|(k, w)| (*k, *w)));
                                group(right, "In the note line", NOTES.into_iter());
                                let chart = crate::parts::chart::KEYS.iter().map(|(k, w)| (*k, *w));
                                group(right, "On a growth chart", chart);
                                let scale = crate::pages::weights::KEYS.iter().map(|(k, w)| (*k, *w));
                                group(right, "At the scale", scale);
                            }
                        });
                        notes(ui);
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

/// What can be written in the note line, from its grammar.
fn notes(ui: &mut egui::Ui) {
    look::subheading(ui, "Barn notes");
    egui::Grid::new("barn notes").num_columns(2).min_col_width(150.0).spacing([space::L, space::XS]).show(
        ui,
        |ui| {
            for form in hirsel_core::entry::notes::forms() {
                look::strong(ui, form.name.as_str());
                ui.vertical(|ui| {
                    ui.set_max_width(560.0);
                    ui.add(egui::Label::new(form.how.as_str()).wrap());
                    for example in &form.example {
                        look::faint(ui, example.note.as_str());
                    }
                });
                ui.end_row();
            }
        },
    );
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
