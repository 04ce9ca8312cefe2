//! Ancestors and descendants of one animal, drawn, with the animal chosen above the drawing.

mod draw;

use super::super::{Ctx, Intent, fields, papers::PaperKind, picture::save_picture};
use crate::look::{self, Kind, space};
use crate::parts::pedigree_chart::{ChartEvent, ChartState, Drawing, pedigree_chart};
use crate::parts::picture::Sitter;
use crate::parts::{Choice, Form, FormEvent, Picker, PickerState};
use draw::Ask;
use hirsel_core::phrase;
use hirsel_core::reckon::pedigree::depth_words;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    animal: PickerState<AnimalId>,
    /// The middle of the drawing.
    shown: Option<AnimalId>,
    /// Those that were the middle before, the last one last.
    before: Vec<AnimalId>,
    back: Option<u8>,
    forward: Option<u8>,
    #[serde(skip)]
    chart: ChartState,
    #[serde(skip)]
    made_for: Option<Ask>,
    #[serde(skip)]
    drawing: Drawing<AnimalId>,
    #[serde(skip)]
    legend: String,
    #[serde(skip)]
    focus: bool,
}

/// How many middles of before are kept.
const KEPT: usize = 60;

const BACK: [(u8, &str); 3] = [(4, "4"), (5, "5"), (6, "6")];
const FORWARD: [(u8, &str); 4] = [(0, "0"), (1, "1"), (2, "2"), (3, "3")];

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}

    /// Draws the pedigree of this animal; the drawing gets the keyboard.
    pub(super) fn show(&mut self, id: AnimalId) {
        if let Some(was) = self.shown.filter(|was| *was != id) {
            self.before.push(was);
            let over = self.before.len().saturating_sub(KEPT);
            self.before.drain(..over);
        }
        self.turn_to(id);
    }

    /// The animal in the middle.
    pub(super) fn shown(&self) -> Option<AnimalId> {
        self.shown
    }

    fn turn_to(&mut self, id: AnimalId) {
        self.shown = Some(id);
        self.chart.anew();
        self.chart.focus = true;
        self.animal.clear();
    }

    fn back(&mut self, ctx: &Ctx<'_>) -> bool {
        while let Some(id) = self.before.pop() {
            if ctx.flock.animal(id).is_some() {
                self.turn_to(id);
                return true;
            }
        }
        false
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    state.shown = state.shown.filter(|id| ctx.flock.animal(*id).is_some());
    if std::mem::take(into) {
        match state.shown {
            Some(_) => state.chart.focus = true,
            None => state.focus = true,
        }
    }
    head(ui, ctx, state);
    let Some(id) = state.shown else {
        let words = if ctx.flock.is_empty() {
            "A pedigree is drawn here once the first animal is written up, under Flock (Ctrl+3), with its dam and sire."
        } else {
            "Choose an animal above: its ancestors are drawn to the left, its offspring to the right, and the width \
             of each water is the share of the blood."
        };
        look::paragraph(ui, words);
        return;
    };
    chart(ui, ctx, state, id, out);
}

/// The picker and the choices beside it.
fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) {
    let mut form = Form::new(ui, "pedigree").label_width(56.0);
    form.focus_once(ui, &mut state.focus, "Animal");
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        part(ui, 232.0, |ui| {
            let nobody = |t: &str| ctx.nobody(t);
            let picker = Picker::new("Animal", ctx.flock.version()).nobody(&nobody);
            let picker = picker.width(160.0).quiet(true).example("tag or name");
            let picked = form.picker(ui, &picker, &mut state.animal, |t| ctx.find(t, |_| true));
            if picked.changed() {
                chosen = state.animal.chosen();
            }
        });
        let now = (Some(state.back.unwrap_or(4)), Some(state.forward.unwrap_or(1)));
        let (mut back, mut forward) = now;
        form.set_label_width(36.0);
        part(ui, 194.0, |ui| {
            form.choice(ui, &Choice::new("Back", &BACK), &mut back);
        });
        form.set_label_width(60.0);
        part(ui, 268.0, |ui| {
            form.choice(ui, &Choice::new("Forward", &FORWARD), &mut forward);
        });
        if (back, forward) != now {
            (state.back, state.forward) = (back, forward);
            state.chart.anew();
        }
        if state.shown.is_none() {
            return;
        }
        for (sign, name, by) in [("−", "Smaller", -1), ("+", "Larger", 1)] {
            let button = ui
                .add(egui::Button::new(crate::look::spoken(sign)).min_size(egui::Vec2::splat(space::TARGET)));
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name));
            let percent = state.chart.zoom * 100.0;
            if button.on_hover_text(phrase!("{name} than {percent:.0} %")).clicked() {
                state.chart.zoom_by(by);
            }
        }
    });
    if form.finish(ui) == FormEvent::Submitted {
        state.chart.focus = true;
    }
    if let Some(id) = chosen {
        state.show(id);
    }
}

/// A field of so much room among others on one line.
fn part(ui: &mut egui::Ui, width: f32, add: impl FnOnce(&mut egui::Ui)) {
    let size = egui::vec2(width, space::FIELD);
    ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_max_width(width);
        add(ui);
    });
}

/// How inbred the middle is and how far that can be trusted, and who stands in several places.
fn about(ctx: &Ctx<'_>, state: &State, id: AnimalId) -> (Kind, String) {
    let Some(kindred) = ctx.kindred else {
        return (Kind::Plain, phrase!("Inbreeding is being reckoned"));
    };
    if let Some(circle) = kindred.circle() {
        let tags: Vec<&str> = circle.iter().take(6).map(|id| ctx.flock.tag(*id)).collect();
        return (
            Kind::Caution,
            phrase!("The pedigree runs in a circle through {}: see Doubts", tags.join(", ")),
        );
    }
    let mut words = depth_words(kindred, id);
    if !state.legend.is_empty() {
        words.push(' ');
        words.push_str(&state.legend);
    }
    (Kind::Plain, words)
}

/// Room for the sentence under the drawing.
const SENTENCE: f32 = 64.0;

fn chart(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, id: AnimalId, out: &mut Vec<Intent>) {
    let title = ctx.flock.animal(id).map(|a| a.title()).unwrap_or_default();
    let name = phrase!("Pedigree of {title}");
    let tall = state.drawing.height.max(160.0) + space::XL;
    let of = Sitter { title: &name, said: &state.legend, width: 1_200.0, height: Some(tall) };
    save_picture(ui, &of, out, |ui| {
        pedigree_chart(ui, &name, &state.drawing, &mut ChartState::default());
    });
    let mut whole = ui.available_rect_before_wrap();
    whole.set_height(whole.height().max(220.0));
    let foot = egui::Rect::from_min_max(egui::pos2(whole.left(), whole.bottom() - SENTENCE), whole.max);
    let room = egui::Rect::from_min_max(whole.min, egui::pos2(whole.right(), foot.top() - space::XS));
    let ask = Ask {
        of: id,
        version: ctx.flock.version(),
        kindred: ctx.kindred.map(|k| k.version()),
        back: state.back.unwrap_or(4),
        forward: state.forward.unwrap_or(1),
        tall: room.height() as u32 / 8 * 8,
    };
    if state.made_for.as_ref() != Some(&ask) {
        let made = draw::make(ctx, &ask);
        (state.drawing, state.legend) = (made.drawing, made.legend);
        state.chart.remade();
        state.made_for = Some(ask);
    }
    let mut events = Vec::new();
    ui.scope_builder(egui::UiBuilder::new().max_rect(room), |ui| {
        events = pedigree_chart(ui, &name, &state.drawing, &mut state.chart);
    });
    ui.scope_builder(egui::UiBuilder::new().max_rect(foot), |ui| {
        ui.set_clip_rect(foot.expand(2.0));
        beneath(ui, ctx, state, id, out);
    });
    ui.advance_cursor_after_rect(whole);
    for event in events {
        match event {
            ChartEvent::Middle(other) if other == id => {
                state.chart.anew();
            }
            ChartEvent::Middle(other) => state.show(other),
            ChartEvent::Open(other) => out.push(Intent::Open(other)),
            ChartEvent::Back => {
                if !state.back(ctx) {
                    let words = phrase!("This is where you began: there is none before it");
                    out.push(Intent::Say(Kind::Plain, words));
                }
            }
        }
    }
}

/// What is in hand, in a sentence, and what can be done with it; below it what is to be known of the middle.
fn beneath(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, id: AnimalId, out: &mut Vec<Intent>) {
    let hand = state.drawing.reaches.get(state.chart.hand);
    let said = hand.map(|r| r.spoken.clone()).unwrap_or_default();
    let key = hand.and_then(|r| r.key);
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.add(egui::Label::new(said).truncate());
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Min), |ui| {
        if ui
            .button(phrase!("Certificate"))
            .on_hover_text(phrase!("The pedigree certificate, to print"))
            .clicked()
        {
            out.push(Intent::Print(PaperKind::Pedigree, vec![id]));
        }
        if ui
            .button(phrase!("Print drawing"))
            .on_hover_text(phrase!("The ancestors as they are drawn"))
            .clicked()
        {
            out.push(Intent::PrintAncestors(vec![id], state.back.unwrap_or(4)));
        }
        let leaf = ui.add_enabled(key.is_some(), egui::Button::new(phrase!("Open leaf")));
        if leaf.on_hover_text(phrase!("Of the animal in hand (O)")).clicked() {
            out.extend(key.map(Intent::Open));
        }
        let before = state.before.last().and_then(|id| ctx.flock.animal(*id));
        let words =
            before.map_or_else(|| phrase!("None before it"), |a| phrase!("To {} (Backspace)", a.title()));
        if ui
            .add_enabled(before.is_some(), egui::Button::new(phrase!("← Back")))
            .on_hover_text(crate::look::spoken(words))
            .clicked()
        {
            state.back(ctx);
        }
        ui.with_layout(egui::Layout::top_down(egui::Align::Min), |ui| {
            let (kind, words) = about(ctx, state, id);
            let ink = kind.colours(look::tokens(ui)).0;
            let words = egui::RichText::new(format!("{}{words}", kind.mark())).small().color(ink);
            ui.add(egui::Label::new(words).wrap());
        });
    });
}

/// What a picker of another part would hold for this animal.
pub(super) fn as_found(ctx: &Ctx<'_>, id: AnimalId) -> Option<crate::parts::Found<AnimalId>> {
    fields::found(ctx, id)
}
