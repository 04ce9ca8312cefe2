//! What stands round every page: the rail of pages, the head with find and undo, the status line, the keys.

use super::{Desk, Stage, command::Command};
use crate::look::{self, Face, Icon, Kind, space};
use crate::pages::{Intent, PageId};
use crate::parts::record_table::columns;
use crate::parts::{Form, Picker, status_line};
use hirsel_core::phrase;
use hirsel_core::terms::Text;

fn icon(page: PageId) -> Icon {
    match page {
        PageId::Tonight => Icon::Moon,
        PageId::Barn => Icon::Tick,
        PageId::Flock => Icon::Ewe,
        PageId::Timeline => Icon::Line,
        PageId::Joining => Icon::Rings,
        PageId::Blood => Icon::Tree,
        PageId::Lambing => Icon::Lamb,
        PageId::Treatments => Icon::Syringe,
        PageId::Weights => Icon::Scale,
        PageId::Keeping => Icon::Ram,
        PageId::Figures => Icon::Bars,
        PageId::Feed => Icon::Trough,
        PageId::Papers => Icon::Print,
        PageId::Plan => Icon::Calendar,
        PageId::Inspect => Icon::Search,
        PageId::Book => Icon::Page,
    }
}

impl Desk {
    /// Head, rail and foot. Drawn before the page, so that their keys come first.
    pub(super) fn bars(&mut self, ui: &mut egui::Ui) {
        self.foot(ui);
        if matches!(self.stage, Stage::Start(_)) {
            return;
        }
        self.head(ui);
        self.tour_strip(ui);
        self.rail(ui);
        self.note_line(ui);
    }

    fn foot(&mut self, ui: &mut egui::Ui) {
        let (kind, text) = self.said.clone();
        egui::Panel::bottom("foot").frame(bar_frame(ui)).show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    let wide = ui.available_width() > 760.0;
                    if wide || text.is_empty() {
                        let started = matches!(self.stage, Stage::Open(_));
                        let room = ui.available_width() * if wide { 0.62 } else { 1.0 };
                        look::faint(ui, super::strip::words(ui, &self.live, started, room));
                        ui.add_space(space::L);
                    }
                    ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                        status_line(ui, kind, &text);
                    });
                });
            });
        });
    }

    fn head(&mut self, ui: &mut egui::Ui) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let mut intents = Vec::new();
        egui::Panel::top("head").frame(bar_frame(ui)).show(ui, |ui| {
            ui.add_space(space::XS);
            let line = egui::vec2(ui.available_width(), space::FIELD);
            ui.allocate_ui_with_layout(line, egui::Layout::left_to_right(egui::Align::Center), |ui| {
                if ui.available_width() >= super::low::NARROW - 40.0 {
                    let name = &open.flock.holding().flock;
                    let name = if name.is_empty() { "My flock" } else { name };
                    let name = egui::RichText::new(name).text_style(look::style::subheading_style());
                    ui.add(egui::Label::new(name).selectable(false));
                    look::faint(ui, today.long());
                    ui.add_space(space::M);
                }
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    let redo = open.redo.as_deref().map(|w| phrase!("Redo {}", lower_first(w)));
                    let undo = open.undo.as_deref().map(|w| phrase!("Undo {}", lower_first(w)));
                    for (icon, word, intent) in
                        [(Icon::Redo, redo, Intent::Redo), (Icon::Undo, undo, Intent::Undo)]
                    {
                        let name = if matches!(intent, Intent::Redo) { "Redo" } else { "Undo" };
                        ui.add_enabled_ui(word.is_some(), |ui| {
                            if look::icon_button(ui, icon, word.map_or(Text::from(name), Text::from))
                                .clicked()
                            {
                                intents.push(intent);
                            }
                        });
                    }
                    if let Some(word) = open.undo.as_ref().filter(|_| ui.available_width() > 480.0) {
                        let words = egui::RichText::new(phrase!("Undo {}", lower_first(word)));
                        let words = words.small().color(look::tokens(ui).faint);
                        ui.scope(|ui| {
                            ui.set_max_width(ui.available_width() - 340.0);
                            ui.add(egui::Label::new(words).truncate().selectable(false));
                        });
                    }
                    ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                        let mut form = Form::new(ui, "head").label_width(34.0);
                        form.focus_once(ui, &mut open.find_wanted, "Find");
                        let flock = &open.flock;
                        let nobody = |t: &str| crate::pages::nobody(flock, t, today);
                        let picker = Picker::new("Find", flock.version()).nobody(&nobody).width(220.0);
                        form.picker(ui, &picker, &mut open.find, |text| {
                            flock
                                .find(text, 60, |_| true)
                                .into_iter()
                                .filter_map(|f| flock.file(f.id))
                                .map(|f| crate::parts::Found {
                                    key: f.animal.id,
                                    label: f.animal.title(),
                                    detail: crate::pages::detail(f, today),
                                })
                                .collect()
                        });
                        form.finish(ui);
                        if let Some(id) = open.find.chosen() {
                            open.find.clear();
                            intents.push(Intent::Open(id));
                        }
                    });
                });
            });
            if let Some(trouble) = open.trouble.clone() {
                look::banner(ui, Kind::Refuse, &trouble, |ui| {
                    if ui.button(phrase!("Understood")).clicked() {
                        open.trouble = None;
                    }
                });
            }
            ui.add_space(space::XS);
        });
        for intent in intents {
            if let Intent::Open(id) = intent {
                self.did_find(id);
                ui.memory_mut(|m| m.stop_text_input());
            }
            self.apply(ui.ctx(), intent);
        }
    }

    fn rail(&mut self, ui: &mut egui::Ui) {
        let Stage::Open(open) = &mut self.stage else { return };
        let at = open.pages.at;
        let mut go = None;
        let narrow = ui.ctx().content_rect().width() < super::low::NARROW;
        egui::Panel::left("rail").exact_size(if narrow { 64.0 } else { 158.0 }).resizable(false).show(
            ui,
            |ui| {
                ui.add_space(space::S);
                // In a low window the words move together; what still does not fit is scrolled to.
                let room = ui.available_height() / PageId::ALL.len() as f32 - ui.spacing().item_spacing.y;
                let height = room.floor().clamp(28.0, 38.0);
                egui::ScrollArea::vertical().show(ui, |ui| {
                    for page in PageId::ALL {
                        let keys = Command::Page(page).key_words(ui.ctx());
                        let word = look::said(page.words());
                        let button = rail_button(ui, icon(page), &word, &keys, at == page, height);
                        if button.clicked() {
                            go = Some(page);
                        }
                    }
                });
            },
        );
        if let Some(page) = go {
            self.go(page);
        }
    }

    /// Shows a page; asked for the flock while a leaf is open, back to the list.
    pub(super) fn go(&mut self, page: PageId) {
        let Stage::Open(open) = &mut self.stage else { return };
        if page == PageId::Flock && open.pages.at == PageId::Flock {
            open.pages.leaf.open = None;
        }
        open.pages.at = page;
    }

    /// Takes the keys of commands before any field sees them.
    pub(super) fn shortcuts(&mut self, ui: &mut egui::Ui) {
        let ctx = ui.ctx().clone();
        if let Some(command) = self.later.take() {
            self.command(&ctx, command);
        }
        let undo_is_the_fields = self.undo_is_the_fields(&ctx);
        let Some(command) = Command::pressed(&ctx, undo_is_the_fields) else { return };
        let leaves = matches!(command, Command::Page(_) | Command::Pens | Command::Find | Command::Note);
        if leaves && columns::close(&ctx) {
            // While a dialog is up nothing behind it can have the keyboard, to the end of the frame.
            self.later = Some(command);
            ctx.request_repaint();
        } else {
            self.command(&ctx, command);
        }
    }

    /// Does what a command says.
    pub(super) fn command(&mut self, ctx: &egui::Context, command: Command) {
        crate::crash::did(command.words());
        if !matches!(
            command,
            Command::Help
                | Command::Larger
                | Command::Smaller
                | Command::Theme
                | Command::Contrast
                | Command::Language
        ) {
            self.help.close();
        }
        match command {
            Command::Page(page) => {
                if matches!(&self.stage, Stage::Open(open) if open.pages.at == page) {
                    crate::pages::sections::ask_anew(ctx);
                }
                self.go(page);
            }
            Command::Pens => {
                self.go(PageId::Lambing);
                if let Stage::Open(open) = &mut self.stage {
                    open.pages.lambing.show_pens();
                }
            }
            Command::Find => {
                if let Stage::Open(open) = &mut self.stage {
                    open.find_wanted = true;
                }
            }
            Command::Note => {
                if let Stage::Open(open) = &mut self.stage {
                    open.note.wanted = true;
                }
            }
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::SecondCopy => self.put_there(ctx),
            Command::Larger => ctx.set_zoom_factor((ctx.zoom_factor() + 0.1).min(2.0)),
            Command::Smaller => ctx.set_zoom_factor((ctx.zoom_factor() - 0.1).max(0.8)),
            Command::Theme => {
                let dark = ctx.theme() == egui::Theme::Dark;
                ctx.set_theme(if dark { egui::Theme::Light } else { egui::Theme::Dark });
            }
            Command::Help => self.help_key(ctx),
            Command::Tour => self.tour_key(),
            Command::Contrast => look::set_contrast(ctx, !look::is_high(ctx)),
            Command::Language => self.next_language(ctx),
            Command::Finder => self.find_deed(ctx),
            Command::Speed => self.speed.shown = !self.speed.shown,
        }
        let mut settings = self.kept.settings();
        settings.zoom = (ctx.zoom_factor() * 100.0).round() as u32;
        settings.theme = if ctx.theme() == egui::Theme::Dark { "dark" } else { "light" }.into();
        settings.contrast = look::is_high(ctx);
        if matches!(command, Command::Larger | Command::Smaller | Command::Theme | Command::Contrast) {
            self.kept.set(&settings);
        }
    }

    /// Whether Ctrl+Z belongs to the field with the keyboard: something was typed in it since it got it. The field
    /// does not take the key away, so the desk must not answer it too.
    fn undo_is_the_fields(&mut self, ctx: &egui::Context) -> bool {
        let field = ctx.memory(|m| m.focused()).filter(|_| ctx.text_edit_focused());
        let mine = field.is_some() && self.typed_in == field;
        let text =
            ctx.input(|i| i.events.iter().any(|e| matches!(e, egui::Event::Text(_) | egui::Event::Paste(_))));
        if text || field != self.typed_in {
            self.typed_in = if text { field } else { None };
        }
        mine
    }
}

/// The frame of head and foot: in line with the page.
pub(super) fn bar_frame(ui: &egui::Ui) -> egui::Frame {
    egui::Frame::side_top_panel(ui.style()).inner_margin(egui::Margin::symmetric(20, 2))
}

/// The first letter small, unless the word is a tag or name.
pub(super) fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.next()) {
        (Some(a), Some(b)) if a.is_uppercase() && b.is_lowercase() => {
            a.to_lowercase().chain(std::iter::once(b)).chain(chars).collect()
        }
        _ => text.to_string(),
    }
}

/// One page in the rail: icon, word, its keys; marked by a bar and weight where one is.
fn rail_button(
    ui: &mut egui::Ui,
    icon: Icon,
    word: &str,
    keys: &str,
    here: bool,
    height: f32,
) -> egui::Response {
    let t = look::tokens(ui);
    let size = egui::vec2(ui.available_width(), height);
    let (rect, response) = ui.allocate_exact_size(size, egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, here, word));
    let painter = ui.painter();
    if here {
        painter.rect_filled(rect, space::ROUND, t.accent_ground);
        painter.rect_filled(egui::Rect::from_min_size(rect.min, egui::vec2(3.0, rect.height())), 1, t.accent);
    } else if response.hovered() {
        painter.rect_filled(rect, space::ROUND, t.hover);
    }
    let ink = if here { t.accent } else { t.ink };
    let at =
        egui::Rect::from_center_size(rect.left_center() + egui::vec2(24.0, 0.0), egui::Vec2::splat(20.0));
    look::icons::paint(icon, painter, at, ink);
    let face = if here { Face::Strong } else { Face::Sans };
    let font = egui::FontId::new(look::size::BODY, look::fonts::family(face));
    let painter = painter.with_clip_rect(rect.intersect(ui.clip_rect()));
    // In a narrow rail the icon stands alone; its word is said to those who listen, and on hovering.
    let word_shown = if rect.width() > 100.0 { word } else { "" };
    painter.text(
        rect.left_center() + egui::vec2(44.0, 0.0),
        egui::Align2::LEFT_CENTER,
        word_shown,
        font,
        ink,
    );
    response.on_hover_text(format!("{word} ({keys})"))
}
