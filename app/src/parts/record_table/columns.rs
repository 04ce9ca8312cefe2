//! Which columns of a table are shown: chosen with Ctrl+L, kept for each table by its name. The first column always
//! stays, since it says what the row is.

use super::{Column, RecordTable};
use crate::look::{self, space};
use crate::parts::take_keyboard;
use egui::{Context, Id, Ui};
use hirsel_core::phrase;
use std::collections::BTreeMap;

/// Heads of columns that are not shown, for each table by its name.
pub type Hidden = BTreeMap<String, Vec<String>>;

fn place() -> Id {
    Id::unique("columns that are not shown")
}

fn changed() -> Id {
    Id::unique("columns chosen anew")
}

/// The table whose choice is open.
fn choosing() -> Id {
    Id::unique("choosing columns")
}

fn asked() -> Id {
    Id::unique("columns asked for")
}

/// Takes over what was kept.
pub fn set_hidden(ctx: &Context, hidden: Hidden) {
    ctx.data_mut(|d| d.insert_temp(place(), hidden));
}

/// What is to be kept, if it was changed since it was asked last.
pub fn hidden_changed(ctx: &Context) -> Option<Hidden> {
    ctx.data_mut(|d| d.remove_temp::<bool>(changed()).and_then(|_| d.get_temp::<Hidden>(place())))
}

/// The table that has the keyboard next opens its choice of columns.
pub fn ask(ctx: &Context) {
    ctx.data_mut(|d| d.insert_temp(asked(), true));
}

/// Closes the choice; tells whether one was open.
pub fn close(ctx: &Context) -> bool {
    ctx.data_mut(|d| d.remove_temp::<Option<Id>>(choosing())).flatten().is_some()
}

/// Places of the columns that are shown.
pub(super) fn shown(ctx: &Context, name: &str, columns: &[Column]) -> Vec<usize> {
    let hides = |hidden: &Hidden| {
        let of = hidden.get(name)?;
        Some(of.to_vec())
    };
    let hidden = ctx.data(|d| d.get_temp::<Hidden>(place()).as_ref().and_then(hides)).unwrap_or_default();
    (0..columns.len()).filter(|&i| i == 0 || !hidden.iter().any(|t| t == columns[i].title.as_str())).collect()
}

impl RecordTable<'_> {
    /// Whether Ctrl+L, or a command, asks for the choice of columns.
    pub(super) fn chooser_asked(&self, ctx: &Context) -> bool {
        ctx.data_mut(|d| d.remove_temp::<bool>(asked())).unwrap_or_default()
    }

    /// Opens the choice of columns.
    pub(super) fn open_chooser(&self, ctx: &Context, id: Id) {
        ctx.data_mut(|d| d.insert_temp(choosing(), Some(id)));
        ctx.request_repaint();
    }

    /// Draws the choice of columns while it is open.
    pub(super) fn chooser(&self, ui: &Ui, id: Id) {
        let ctx = ui.ctx();
        if ctx.data(|d| d.get_temp::<Option<Id>>(choosing())).flatten() != Some(id) {
            return;
        }
        let mut hidden: Hidden = ctx.data(|d| d.get_temp(place())).unwrap_or_default();
        let before = hidden.get(self.name.as_str()).cloned().unwrap_or_default();
        let mut off = before.clone();
        let frame = egui::Frame::window(ui.style()).inner_margin(egui::Margin::same(20));
        let modal = egui::Modal::new(id.with("columns")).frame(frame).show(ctx, |ui| {
            let name = look::speech::shown(&self.name).into_owned();
            look::subheading(ui, phrase!("Columns of: {name}"));
            look::faint(ui, "Tab and Space; the choice is kept");
            ui.add_space(space::S);
            let room = (ctx.content_rect().height() - 240.0).max(90.0);
            egui::ScrollArea::vertical().max_height(room).show(ui, |ui| {
                for (i, column) in self.columns.iter().enumerate() {
                    let title = column.title.as_str();
                    if title.trim().is_empty() {
                        continue;
                    }
                    let mut on = i == 0 || !off.iter().any(|t| t == title);
                    let tick =
                        ui.add_enabled_ui(i > 0, |ui| look::tick(ui, &mut on, column.title.clone())).inner;
                    if tick.gained_focus() {
                        tick.scroll_to_me(None);
                    }
                    if i == 1 && ui.memory(|m| m.focused().is_none()) {
                        tick.request_focus();
                    }
                    if tick.changed() {
                        off.retain(|t| t != title);
                        if !on {
                            off.push(title.to_string());
                        }
                    }
                }
            });
            ui.add_space(space::S);
            ui.horizontal(|ui| {
                if ui.add_enabled(!off.is_empty(), egui::Button::new(phrase!("Show all"))).clicked() {
                    off.clear();
                }
                look::primary(ui, "Close").clicked()
            })
            .inner
        });
        if off != before {
            if off.is_empty() {
                hidden.remove(self.name.as_str());
            } else {
                hidden.insert(self.name.as_str().to_string(), off);
            }
            set_hidden(ctx, hidden);
            ctx.data_mut(|d| d.insert_temp(changed(), true));
            ctx.request_repaint();
        }
        if modal.inner || modal.should_close() {
            close(ctx);
            take_keyboard(ui, id);
        }
    }
}
