//! The leaf: one animal's life. Who it is, its pedigree, its past lambings or weights, a line of its life drawn to
//! scale, and every record of it, to open, amend or strike out.

mod amend;
mod drafts;
mod edit;
mod facts;
mod head;
mod history;
mod lists;
mod marks;
mod mating;
mod pedigree;
mod pictures;
mod record;
mod scale;
mod timeline;

pub use head::KEYS;
use hirsel_core::phrase;

use super::{Ctx, Intent};
use crate::look::{Kind, space};
use drafts::Drafts;
use egui::{Key, Modifiers};
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::{Animal, AnimalFile, DocumentOf, RecordRef, natural};
use hirsel_core::reckon::life::{Event, life};
use hirsel_core::terms::{AnimalId, Day, Sex};
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The animal whose leaf is open.
    pub open: Option<AnimalId>,
    drafts: Drafts,
    /// The animal they were typed for.
    drafts_of: Option<AnimalId>,
    /// What is half typed for others, the latest last.
    aside: Vec<(AnimalId, Drafts)>,
    #[serde(skip)]
    trail: Vec<AnimalId>,
    #[serde(skip)]
    made_for: Option<(u64, usize, Day, AnimalId)>,
    #[serde(skip)]
    events: Vec<Event>,
    #[serde(skip)]
    blood: Vec<facts::Line>,
    #[serde(skip)]
    timeline: timeline::View,
    #[serde(skip)]
    lists: lists::Lists,
    #[serde(skip)]
    history: history::History,
    #[serde(skip)]
    pictures: pictures::Pictures,
    #[serde(skip)]
    to_top: bool,
    /// A text field had the keyboard in the frame before.
    #[serde(skip)]
    typing: bool,
}

impl State {
    /// Opens this animal's leaf.
    pub fn show(&mut self, id: AnimalId) {
        if self.open == Some(id) {
            return;
        }
        self.trail.extend(self.open);
        if self.trail.len() > 40 {
            self.trail.remove(0);
        }
        self.open = Some(id);
        self.timeline = timeline::View::default();
        self.to_top = true;
    }

    /// Opens this animal's leaf with one of its records open.
    pub fn show_record(&mut self, id: AnimalId, record: RecordRef) {
        self.show(id);
        self.turn_to(id);
        self.open_record(record);
    }

    /// A picture or paper is kept, mended or struck out.
    pub fn paper_done(&mut self) {
        self.drafts.paper_done();
    }

    /// What a file dropped onto the leaf is kept with: the open record, else the animal.
    pub fn paper_target(&self) -> Option<(DocumentOf, Taking)> {
        let animal = RecordRef::Animal(self.open?);
        Some((self.drafts.paper_record().unwrap_or(animal).into(), self.drafts.how()))
    }

    /// The entry was written: its form is empty and closed.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.drafts.after();
        self.to_top = true;
    }

    /// Puts away what is typed for another animal, so that it is not written to this one, and takes up what was
    /// typed for this one.
    fn turn_to(&mut self, id: AnimalId) {
        if self.drafts_of == Some(id) {
            return;
        }
        let mut before = std::mem::take(&mut self.drafts);
        if let Some(of) = self.drafts_of.replace(id).filter(|_| before.used) {
            before.close();
            self.aside.push((of, before));
            if self.aside.len() > 20 {
                self.aside.remove(0);
            }
        }
        if let Some(place) = self.aside.iter().position(|(of, _)| *of == id) {
            self.drafts = self.aside.remove(place).1;
        }
    }

    fn open_record(&mut self, record: RecordRef) {
        self.drafts.open_record(record);
        self.to_top = true;
    }

    fn back(&mut self) {
        self.drafts.close();
        self.to_top = true;
        self.open = self.trail.pop();
    }

    /// Goes to the animal after this one (or before it) by tag, among those in the flock, or among those that are
    /// not if this one is not. Runs once over the flock, when asked.
    fn step(&mut self, ctx: &Ctx<'_>, file: &AnimalFile, forward: bool, out: &mut Vec<Intent>) {
        let order = |a: &Animal, b: &Animal| natural(a.tag(), b.tag()).then_with(|| a.id.cmp(&b.id));
        let beyond = if forward { Ordering::Greater } else { Ordering::Less };
        let here = &file.animal;
        let next = ctx
            .flock
            .files()
            .map(|f| &f.animal)
            .filter(|a| a.status.is_here() == here.status.is_here() && order(a, here) == beyond)
            .min_by(|a, b| if forward { order(a, b) } else { order(b, a) });
        match next {
            Some(next) => {
                let trail = std::mem::take(&mut self.trail);
                self.open = None;
                self.show(next.id);
                self.trail = trail;
            }
            None => {
                let end = if forward { "last" } else { "first" };
                out.push(Intent::Say(Kind::Plain, phrase!("{} is the {end} by tag", &here.tag())));
            }
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    let Some(file) = state.open.and_then(|id| ctx.flock.file(id)) else {
        state.open = None;
        return out;
    };
    state.turn_to(file.animal.id);
    // Of a large flock the means come later than the flock.
    let means = std::ptr::from_ref(ctx.means) as usize;
    let wanted = (ctx.flock.version(), means, ctx.today, file.animal.id);
    if state.made_for != Some(wanted) {
        state.made_for = Some(wanted);
        state.events = life(ctx.flock, file);
        state.lists.make(ctx, file, &state.events);
        state.history.make(ctx, file);
        state.pictures.make(ctx, file);
        state.blood = facts::blood(ctx, file);
    }
    let scroll = keys(ui, ctx, file, state, &mut out);
    if state.open != Some(file.animal.id) {
        ui.ctx().request_repaint(); // another leaf, or the list, from the next frame on
        return out;
    }
    let mut area = egui::ScrollArea::vertical().auto_shrink(false);
    if std::mem::take(&mut state.to_top) {
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| {
        if scroll != 0.0 {
            ui.scroll_with_delta(egui::vec2(0.0, -scroll * ui.clip_rect().height()));
        }
        ui.add_space(space::XS);
        head::view(ui, ctx, file, state, &mut out);
        state.drafts.view(ui, ctx, file, &mut out);
        ui.add_space(space::S);
        if let Some(record) = body(ui, ctx, file, state, &mut out) {
            state.open_record(record);
        }
        ui.add_space(space::L);
    });
    state.typing = ui.ctx().text_edit_focused();
    out
}

/// What the first screen is for stands above the line of life, the rest below it.
fn body(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    state: &mut State,
    out: &mut Vec<Intent>,
) -> Option<RecordRef> {
    let wide = ui.available_width() > 900.0;
    let ewe = file.animal.sex == Sex::Ewe && !(file.animal.is_lamb(ctx.today) && file.lambings.is_empty());
    let history = &mut state.history;
    let mut opened = None;
    let mut gone_to = Vec::new();
    if ewe {
        let (figures, short) = (history.figures(), history.is_short());
        two(
            ui,
            wide,
            |ui| {
                opened = history.past_lambings(ui, ctx, file);
                if short {
                    figures.view(ui, ctx);
                }
            },
            |ui| {
                pedigree::view(ui, ctx, file, &mut gone_to);
                if !short {
                    figures.view(ui, ctx);
                }
            },
        );
    } else {
        two(ui, wide, |ui| history.past_weights(ui, out), |ui| pedigree::view(ui, ctx, file, &mut gone_to));
    }
    out.extend(gone_to);
    ui.add_space(space::S);
    opened = timeline::view(ui, ctx, file, &state.events, &mut state.timeline, out).or(opened);
    ui.add_space(space::M);
    let (history, blood) = (&mut state.history, &state.blood);
    if ewe {
        two(ui, wide, |ui| history.past_weights(ui, out), |ui| facts::view(ui, ctx, file, blood));
    } else if history.has_sired() {
        two(ui, wide, |ui| facts::view(ui, ctx, file, blood), |ui| history.sired(ui));
    } else {
        facts::view(ui, ctx, file, blood);
    }
    ui.add_space(space::M);
    let wish = state.pictures.view(ui, ctx, file, out);
    if let Some(wish) = wish {
        state.drafts.open_wish(ctx, wish);
        ui.ctx().request_repaint();
        state.to_top = true;
    }
    state.lists.view(ui, ctx, out).or(opened)
}

/// Keys of the whole leaf; gives how far to scroll, in screens.
fn keys(ui: &egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, state: &mut State, out: &mut Vec<Intent>) -> f32 {
    // Esc has taken the keyboard from a field before we are asked: what counts is who had it.
    if !is_free(ui) || state.typing || state.drafts.is_typing() {
        return 0.0;
    }
    crate::parts::live::page(ui, head::KEYS);
    let pressed = |held, key| ui.input_mut(|i| i.consume_key(held, key));
    if pressed(Modifiers::COMMAND, Key::PageDown) {
        state.step(ctx, file, true, out);
    } else if pressed(Modifiers::COMMAND, Key::PageUp) {
        state.step(ctx, file, false, out);
    } else if state.drafts.is_closed()
        && (pressed(Modifiers::NONE, Key::Escape) || pressed(Modifiers::NONE, Key::Backspace))
    {
        state.back();
    } else {
        head::keys(ui, ctx, file, state, out);
    }
    if ui.memory(|m| m.focused().is_some()) {
        return 0.0;
    }
    for (key, forward) in [(Key::ArrowRight, true), (Key::ArrowLeft, false)] {
        if pressed(Modifiers::NONE, key) {
            state.timeline.walk(forward);
        }
    }
    let by = [(Key::PageDown, 0.85), (Key::PageUp, -0.85), (Key::ArrowDown, 0.1), (Key::ArrowUp, -0.1)];
    by.into_iter().filter(|(key, _)| pressed(Modifiers::NONE, *key)).map(|(_, part)| part).sum()
}

/// No dialog and no list lies over the page, and no field is typed into: letters are keys.
fn is_free(ui: &egui::Ui) -> bool {
    ui.memory(|m| m.top_modal_layer().is_none())
        && !ui.ctx().any_popup_open()
        && !ui.ctx().text_edit_focused()
}

/// Two parts beside each other where there is room, else one under the other.
fn two(ui: &mut egui::Ui, wide: bool, left: impl FnOnce(&mut egui::Ui), right: impl FnOnce(&mut egui::Ui)) {
    if !wide {
        ui.scope(left);
        ui.scope(right);
        return;
    }
    let width = ui.available_width() - space::XL;
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        column(ui, width * 0.6, left);
        ui.add_space(space::XL);
        column(ui, width * 0.4, right);
    });
}

fn column(ui: &mut egui::Ui, width: f32, add: impl FnOnce(&mut egui::Ui)) {
    ui.allocate_ui_with_layout(egui::vec2(width, 0.0), egui::Layout::top_down(egui::Align::Min), |ui| {
        ui.set_width(width);
        ui.spacing_mut().item_spacing.x = space::S;
        add(ui);
    });
}

/// `sold 3 Apr 2026: draft ewe`.
fn standing(file: &AnimalFile) -> String {
    let a = &file.animal;
    let since = a.status_on.map(|d| phrase!(" {}", d.words())).unwrap_or_default();
    let why = a.status_reason.as_ref().map(|r| format!(": {r}")).unwrap_or_default();
    phrase!("{}{since}{why}", a.status.words())
}
