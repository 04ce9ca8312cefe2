//! The help over the page: F1 opens the page's own, a link `Why?` that of its caution; once more F1 shows the keys.

use super::{Desk, Stage};
use crate::help::{self, Block, Found, Page, Piece, Style};
use crate::look::{self, Face, Kind, space};
use crate::parts::{caution, take_keyboard};
use egui::text::{LayoutJob, TextFormat};
use egui::{FontId, Id, Key, Modifiers, Ui};
use hirsel_core::handbook::trade::Trade;
use hirsel_core::phrase;
use hirsel_core::terms::Why;

/// What is shown of the help.
#[derive(Default)]
pub(super) struct Help {
    /// The page that is shown; none: the help is closed.
    at: Option<String>,
    /// Pages seen before it.
    trail: Vec<String>,
    query: String,
    found: Vec<Found>,
    chosen: usize,
    /// The head that is to be brought into sight.
    head: Option<String>,
    to_top: bool,
    /// The field of search is to have the keyboard.
    fresh: bool,
    /// Cautions that stood on the page when the help was opened.
    cautions: Vec<Why>,
    /// The page of keys, made from the commands when it is first asked for.
    keys: Option<Page>,
    /// What had the keyboard before.
    before: Option<Id>,
    /// The words of the trade, and every page in them where they are not plain.
    trade: Trade,
    said: Vec<Page>,
}

impl Help {
    /// Whether it is open.
    pub(super) fn is_open(&self) -> bool {
        self.at.is_some()
    }

    /// Closes it; the keyboard goes where the page wants it.
    pub(super) fn close(&mut self) {
        (self.at, self.before) = (None, None);
        self.query.clear();
    }

    fn go(&mut self, key: String) {
        if let Some(before) = self.at.replace(key)
            && self.at.as_ref() != Some(&before)
        {
            self.trail.push(before);
        }
        self.query.clear();
        self.found.clear();
        (self.to_top, self.fresh, self.head) = (true, true, None);
    }

    fn back(&mut self) {
        if let Some(before) = self.trail.pop() {
            self.at = None;
            self.go(before);
        }
    }

    /// Speaks in these words of the trade from now on.
    pub(super) fn speak(&mut self, trade: Trade) {
        self.trade = trade;
        self.speak_of(if trade == Trade::PLAIN { Vec::new() } else { help::said(trade) });
    }

    /// Shows these pages from now on; what is not among them is English.
    pub(super) fn speak_of(&mut self, pages: Vec<Page>) {
        self.said = pages;
        self.keys = None;
        self.found.clear();
    }

    /// A page by its name, in the words of the trade.
    fn page(&self, key: &str) -> Option<&Page> {
        match key {
            help::KEYS => self.keys.as_ref(),
            key => self.said.iter().find(|p| p.key == key).or_else(|| help::page(key)),
        }
    }

    fn keys(&mut self, ctx: &egui::Context) -> &Page {
        self.keys.get_or_insert_with(|| super::keys::page(ctx))
    }

    fn search(&mut self, ctx: &egui::Context) {
        self.keys(ctx);
        self.chosen = 0;
        let pages = if self.said.is_empty() { help::pages() } else { &self.said };
        self.found = help::search(pages.iter().chain(&self.keys), &self.query);
    }
}

impl Desk {
    /// Opens the help of this name.
    pub(super) fn open_help(&mut self, ctx: &egui::Context, key: String) {
        if !self.help.is_open() {
            self.help.before = ctx.memory(|m| m.focused());
            self.help.cautions = caution::shown(ctx);
            self.help.trail.clear();
        }
        self.help.go(key);
    }

    /// F1: the help of the page one is on; once more: the keys.
    pub(super) fn help_key(&mut self, ctx: &egui::Context) {
        let key = match &self.stage {
            _ if self.help.is_open() => help::KEYS,
            Stage::Start(_) => help::START,
            Stage::Open(open)
                if open.pages.at == crate::pages::PageId::Flock && open.pages.leaf.open.is_some() =>
            {
                help::LEAF
            }
            Stage::Open(open) => help::of_page(open.pages.at),
        };
        self.open_help(ctx, key.to_string());
    }

    /// The help, over everything.
    pub(super) fn help(&mut self, ui: &mut Ui) {
        if let Some(why) = caution::wanted(ui.ctx()) {
            self.open_help(ui.ctx(), help::of_why(why));
        }
        let Some(at) = self.help.at.clone() else { return };
        let ctx = ui.ctx().clone();
        let help = &mut self.help;
        help.keys(&ctx);
        let cleared =
            !help.query.is_empty() && ctx.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape));
        if cleared {
            help.query.clear();
            help.found.clear();
            help.fresh = true;
        }
        let mut wish = Wish::Stay;
        let modal = egui::Modal::new(Id::unique("help")).frame(super::dialog(ui)).show(&ctx, |ui| {
            let window = ui.ctx().content_rect();
            ui.set_width((window.width() - 96.0).clamp(280.0, 780.0));
            let scroll = top(ui, help, &mut wish);
            // The same height on every page, so that nothing jumps.
            let height = (window.height() - 190.0).clamp(120.0, 620.0);
            let mut area = egui::ScrollArea::vertical().id_salt(("help", &at)).auto_shrink(false);
            if std::mem::take(&mut help.to_top) {
                area = area.vertical_scroll_offset(0.0);
            }
            area.max_height(height).min_scrolled_height(height).show(ui, |ui| {
                ui.set_max_width(ui.available_width() - space::M);
                if scroll != 0.0 {
                    ui.scroll_with_delta(egui::vec2(0.0, -scroll * ui.clip_rect().height()));
                }
                if help.query.trim().is_empty() {
                    reading(ui, help, &at, &mut wish);
                } else {
                    results(ui, help, &mut wish);
                }
            });
            ui.add_space(space::XS);
            look::faint(
                ui,
                "↑ ↓ and Enter in what is found · Tab to links · Alt+← back · F1 keys · Esc closes",
            );
        });
        if modal.should_close() && !cleared {
            wish = Wish::Close;
        }
        match wish {
            Wish::Stay => {}
            Wish::Go(key) => self.help.go(key),
            Wish::Found(n) => {
                if let Some(found) = self.help.found.get(n).cloned() {
                    self.help.go(found.key);
                    self.help.head = Some(found.head).filter(|h| !h.is_empty());
                }
            }
            Wish::Back => self.help.back(),
            Wish::Close => {
                self.refocus = self.help.before.take().map(|id| (id, 3));
                self.help.close();
            }
        }
    }
}

enum Wish {
    Stay,
    Go(String),
    Found(usize),
    Back,
    Close,
}

/// The field of search and the ways to other pages; gives how far to scroll, in screens.
fn top(ui: &mut Ui, help: &mut Help, wish: &mut Wish) -> f32 {
    let id = Id::unique("search the help");
    let has = ui.memory(|m| m.has_focus(id));
    let pressed = |held, key| ui.input_mut(|i| i.consume_key(held, key));
    let mut scroll = 0.0;
    if pressed(Modifiers::ALT, Key::ArrowLeft) {
        *wish = Wish::Back;
    }
    if help.query.trim().is_empty() {
        for (key, by) in [(Key::PageDown, 0.85), (Key::PageUp, -0.85)] {
            scroll += if pressed(Modifiers::NONE, key) { by } else { 0.0 };
        }
        for (key, by) in [(Key::ArrowDown, 0.12), (Key::ArrowUp, -0.12)] {
            scroll += if has && pressed(Modifiers::NONE, key) { by } else { 0.0 };
        }
    } else if has {
        let last = help.found.len().saturating_sub(1);
        for (key, by) in [(Key::ArrowDown, 1), (Key::ArrowUp, -1), (Key::PageDown, 6), (Key::PageUp, -6)] {
            if pressed(Modifiers::NONE, key) {
                help.chosen = help.chosen.saturating_add_signed(by).min(last);
            }
        }
        if pressed(Modifiers::NONE, Key::Enter) && !help.found.is_empty() {
            *wish = Wish::Found(help.chosen);
        }
    }
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(phrase!("Search the help"));
        let width = (ui.available_width() - 260.0).clamp(120.0, 300.0);
        let field = egui::TextEdit::singleline(&mut help.query).id(id).desired_width(width);
        let field = ui.add(field.hint_text(phrase!("a word or two"))).labelled_by(label.id);
        if field.changed() {
            let ctx = ui.ctx().clone();
            help.search(&ctx);
        }
        // A dialog is measured unseen before its first frame: ask for the keyboard until it is given.
        if help.fresh {
            take_keyboard(ui, id);
            help.fresh = ui.is_sizing_pass() || !has;
        }
        if !help.trail.is_empty() && ui.button(phrase!("Back")).clicked() {
            *wish = Wish::Back;
        }
        for (words, key) in [("All pages", help::INDEX), ("Keys", help::KEYS)] {
            if ui.button(words).clicked() {
                *wish = Wish::Go(key.into());
            }
        }
        if look::icon_button(ui, look::Icon::Cross, "Close").clicked() {
            *wish = Wish::Close;
        }
    });
    ui.add_space(space::S);
    scroll
}

/// The page that is shown, after the cautions that stood on the page of the program.
fn reading(ui: &mut Ui, help: &mut Help, at: &str, wish: &mut Wish) {
    let first = help.trail.is_empty() && at != help::KEYS && !at.starts_with("why/");
    if first && !help.cautions.is_empty() {
        let (ink, ground) = Kind::Caution.colours(look::tokens(ui));
        let frame = egui::Frame::new().fill(ground).stroke(egui::Stroke::new(1.0, ink));
        let frame = frame.corner_radius(space::ROUND).inner_margin(egui::Margin::symmetric(12, 6));
        frame.show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.horizontal_wrapped(|ui| {
                look::word(ui, Kind::Caution, "Cautions on this page. Why:");
                for why in help.cautions.clone() {
                    if help::follow(ui, why.words()) {
                        *wish = Wish::Go(help::of_why(why));
                    }
                }
            });
        });
        ui.add_space(space::S);
    }
    let mut head = help.head.take();
    if let Some(key) = help.page(at).and_then(|page| help::draw(ui, page, &mut head)) {
        *wish = Wish::Go(key);
    }
    help.head = head;
}

/// What was found.
fn results(ui: &mut Ui, help: &Help, wish: &mut Wish) {
    if help.found.is_empty() {
        look::faint(ui, "Nothing found. Fewer letters find more; All pages lists everything.");
        return;
    }
    let t = look::tokens(ui);
    for (n, found) in help.found.iter().enumerate() {
        let place = match found.head.as_str() {
            "" => found.title.clone(),
            head => format!("{}: {head}", found.title),
        };
        let format = |size, face, ink| TextFormat::simple(FontId::new(size, look::fonts::family(face)), ink);
        let mut job = LayoutJob::default();
        job.append(&format!("{place}\n"), 0.0, format(look::size::BODY, Face::Strong, t.ink));
        job.append(&found.line, 0.0, format(look::size::SMALL, Face::Sans, t.ink));
        let button = egui::Button::selectable(n == help.chosen, job).wrap();
        let row = ui.add(button.min_size(egui::vec2(ui.available_width(), 0.0)));
        ui.ctx().accesskit_node_builder(row.id, |node| node.set_label(format!("{place}. {}", found.line)));
        if n == help.chosen {
            row.scroll_to_me(None);
        }
        if row.clicked() {
            *wish = Wish::Found(n);
        }
    }
}

/// A row of the page of keys.
pub(super) fn key_row(keys: &str, words: &str) -> Block {
    let piece = |text: &str, style| vec![Piece { text: text.into(), style, link: None }];
    Block::Row(piece(keys, Style::Key), piece(words, Style::Plain))
}
