//! A help page drawn in our own type and colours.

use super::{Block, Page, Piece, Style};
use crate::look::{self, Face, space};
use egui::text::{LayoutJob, TextFormat};
use egui::{FontId, Label, RichText, Ui};

/// Draws a page; gives the name of the page whose link was followed. `head`: the head to be brought into sight.
pub fn draw(ui: &mut Ui, page: &Page, head: &mut Option<String>) -> Option<String> {
    let mut go = None;
    for (n, block) in page.blocks.iter().enumerate() {
        match block {
            Block::Head(level, text) => {
                let drawn = match level {
                    1 => look::heading(ui, text),
                    2 => {
                        ui.add_space(space::S);
                        look::subheading(ui, text)
                    }
                    _ => look::strong(ui, text),
                };
                if head.as_deref() == Some(text) {
                    drawn.scroll_to_me(Some(egui::Align::TOP));
                    *head = None;
                }
            }
            Block::Text(pieces) => {
                go = line(ui, pieces).or(go);
            }
            Block::Item(depth, mark, pieces) => {
                ui.horizontal_top(|ui| {
                    ui.add_space(space::L * (*depth as f32 - 1.0));
                    let width = if mark.len() > 2 { 26.0 } else { 18.0 };
                    ui.allocate_ui(egui::vec2(width, 0.0), |ui| {
                        ui.set_width(width);
                        ui.label(mark.as_str());
                    });
                    ui.vertical(|ui| go = line(ui, pieces).or(go.take()));
                });
            }
            Block::Row(first, second) => {
                let left = (ui.available_width() * 0.34).clamp(110.0, 240.0);
                ui.push_id(n, |ui| {
                    ui.horizontal_top(|ui| {
                        ui.allocate_ui(egui::vec2(left, 0.0), |ui| {
                            ui.set_width(left);
                            ui.vertical(|ui| go = line(ui, first).or(go.take()));
                        });
                        ui.vertical(|ui| go = line(ui, second).or(go.take()));
                    });
                });
            }
        }
    }
    *head = None;
    go
}

/// Pieces as running text that wraps; links are links.
fn line(ui: &mut Ui, pieces: &[Piece]) -> Option<String> {
    let mut go = None;
    ui.scope(|ui| {
        // Rows as high as text, so that links and marks of lists stand on its line.
        ui.spacing_mut().interact_size.y = ui.text_style_height(&egui::TextStyle::Body);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 0.0;
            let mut rest = pieces;
            while let Some(first) = rest.first() {
                if let Some(target) = &first.link {
                    go = follow(ui, &first.text).then(|| target.clone()).or(go.take());
                    rest = &rest[1..];
                    continue;
                }
                let until = rest.iter().position(|p| p.link.is_some()).unwrap_or(rest.len());
                ui.add(Label::new(job(ui, &rest[..until])).wrap());
                rest = &rest[until..];
            }
        });
    });
    go
}

/// A link in running text; true where it was followed by pointer or Enter.
pub fn follow(ui: &mut Ui, words: &str) -> bool {
    let link = ui.add(egui::Link::new(RichText::new(words).underline()));
    if link.gained_focus() {
        link.scroll_to_me(None);
    }
    link.clicked()
}

fn job(ui: &Ui, pieces: &[Piece]) -> LayoutJob {
    let t = look::tokens(ui);
    let mut job = LayoutJob::default();
    for p in pieces {
        let face = match p.style {
            Style::Plain => Face::Sans,
            Style::Strong | Style::Key => Face::Strong,
            Style::Italic => Face::Italic,
        };
        let mut format = TextFormat::simple(FontId::new(look::size::BODY, look::fonts::family(face)), t.ink);
        if p.style == Style::Key {
            format.background = t.plain_ground;
            format.expand_bg = 2.0;
        }
        job.append(&p.text, 0.0, format);
    }
    job
}
