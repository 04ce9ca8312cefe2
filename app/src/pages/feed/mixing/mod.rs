//! Mixing feeds to a need: the square of two feeds, the cheapest mix of more, and writing either into the book.

mod answer;
mod demands;
mod drawn;
mod keep;
mod least;
mod rows;
mod square;

use super::super::sections::columns;
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use egui::{Key, Modifiers};
use hirsel_core::entry::Refusal;
use hirsel_core::flock::WHOLE;
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{Stuff, offers};
use hirsel_core::terms::{Analysis, Eaters, FeedId, norm};
use serde::{Deserialize, Serialize};

/// How the mix is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Way {
    #[default]
    Square,
    Least,
}

const WAYS: [(Way, &str); 2] = [(Way::Square, "two feeds"), (Way::Least, "least cost")];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    way: Way,
    square: square::Typed,
    least: least::Typed,
    /// A mix of the book to begin from, or to compare with.
    load: PickerState<FeedId>,
    name: String,
    batch: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    /// What is wrong with the field of this label.
    #[serde(skip)]
    wrong: Option<(&'static str, String)>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    wrote: bool,
    #[serde(skip)]
    shown: answer::Shown,
}

impl State {
    /// An entry of this page is written: the mix stays, so that its sheet can be printed.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        self.batch.clear();
        self.wrong = None;
        self.refusals.clear();
        self.wrote = true;
        // From now on it is compared with what is written.
        if let Some(f) = ctx.flock.feedroom().by_name(&self.name).filter(|f| !f.parts.is_empty()) {
            self.load.choose(Found { key: f.id, label: f.name.clone(), detail: String::new() });
        }
    }

    fn wrong(&self, label: &str) -> Option<String> {
        self.wrong.as_ref().filter(|(l, _)| *l == label).map(|(_, why)| why.clone())
    }
}

/// A feed of the mix that was found.
#[derive(Debug, Clone, PartialEq)]
struct MadePart {
    /// What is known of it, with what was typed over.
    stuff: Stuff,
    /// Figures typed over.
    own: Analysis,
    /// Its share as fed, 0 to 1.
    share: f64,
    kg: f64,
    /// `3 bags`.
    so: String,
}

/// The mix that was found.
#[derive(Debug, Clone, PartialEq, Default)]
struct Made {
    parts: Vec<MadePart>,
    kg: f64,
    eaters: Option<Eaters>,
}

/// A label and what is wrong there.
type Wrong = (&'static str, String);

const NAME: &str = "Name of the mix";
const BATCH: &str = "Number of the batch";
/// Room for the labels.
const LABELS: f32 = 124.0;

/// Both columns draw from this.
struct Both<'a> {
    state: &'a mut State,
    into: &'a mut bool,
    out: &'a mut Vec<Intent>,
    made: Result<Made, Wrong>,
    write: bool,
    mixed: bool,
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    if std::mem::take(&mut state.wrote) {
        // Ctrl+Z takes back the entry, not a letter of the field one is in.
        if let Some(id) = ui.memory(|m| m.focused()) {
            egui::text_edit::TextEditState::default().store(ui.ctx(), id);
        }
    }
    let mut both = Both { state, into, out, made: Err((NAME, String::new())), write: false, mixed: false };
    head(ui, ctx, &mut both);
    ui.add_space(space::XS);
    let share = if both.state.way == Way::Square { 0.46 } else { 0.51 };
    let name = if both.state.way == Way::Square { "mixing two" } else { "mixing least" };
    columns(ui, name, share, &mut both, |ui, both| left(ui, ctx, both), |ui, both| right(ui, ctx, both));
    if both.write || both.mixed {
        keep(ctx, both);
    }
}

/// How the mix is found, and a mix of the book to begin from.
fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, both: &mut Both<'_>) {
    let state = &mut *both.state;
    let mut form = Form::new(ui, "mixing head").label_width(60.0);
    let mut turned = false;
    let mut loaded = None;
    ui.columns(2, |c| {
        let mut way = Some(state.way);
        turned = form.choice(&mut c[0], &Choice::new("Mix", &WAYS), &mut way).changed();
        state.way = way.unwrap_or_default();
        form.set_label_width(96.0);
        let room = ctx.flock.feedroom();
        let example =
            if room.feeds.iter().any(|f| !f.parts.is_empty()) { "a mix of the book" } else { "no mix yet" };
        let picker = Picker::new("Begin from", ctx.flock.version()).width(200.0).example(example).quiet(true);
        let response = form.picker(&mut c[1], &picker, &mut state.load, |text| {
            let text = norm(text);
            let fits = |f: &&hirsel_core::flock::Feed| !f.parts.is_empty() && norm(&f.name).contains(&text);
            let found = room.feeds.iter().filter(fits);
            found.map(|f| Found { key: f.id, label: f.name.clone(), detail: f.kind.words().into() }).collect()
        });
        loaded = response.changed().then(|| state.load.chosen()).flatten();
    });
    if let Some(mix) = loaded {
        load(ctx, state, mix);
    }
    if form.finish(ui) == FormEvent::Submitted {
        *both.into = true;
    }
    if turned {
        state.wrong = None;
    }
}

/// Puts the parts of a mix of the book into the form.
fn load(ctx: &Ctx<'_>, state: &mut State, mix: FeedId) {
    let room = ctx.flock.feedroom();
    let Some(f) = room.feed(mix) else { return };
    state.name.clone_from(&f.name);
    let parts: Vec<(&str, f64)> =
        f.parts.iter().map(|p| (room.name(p.feed), f64::from(p.share) / f64::from(WHOLE))).collect();
    match (state.way, parts.as_slice()) {
        (Way::Square, [a, b]) => state.square.load(ctx, [a.0, b.0]),
        (_, all) => {
            state.way = Way::Least;
            let names: Vec<&str> = all.iter().map(|(name, _)| *name).collect();
            state.least.load(ctx, &names);
        }
    }
}

fn left(ui: &mut egui::Ui, ctx: &Ctx<'_>, both: &mut Both<'_>) {
    // Before any field sees it: Ctrl+Shift+Enter writes the mix and says that it was mixed.
    let shift_enter = ui.memory(|m| m.top_modal_layer().is_none())
        && ui.input_mut(|i| i.consume_key(Modifiers::COMMAND | Modifiers::SHIFT, Key::Enter));
    let mut form = Form::new(ui, if both.state.way == Way::Square { "two feeds" } else { "least cost" })
        .label_width(LABELS);
    let first = if both.state.way == Way::Square { "Feed, first feed" } else { "Who gets it" };
    form.focus_once(ui, both.into, first);
    if let Some(label) = both.state.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        both.state.focus = wish.then_some(label);
    }
    both.made = match both.state.way {
        Way::Square => square::form(ui, ctx, both.state, &mut form),
        Way::Least => least::form(ui, ctx, both.state, &mut form),
    };
    // A refusal goes as soon as what it was about is mended; the name's is of writing, and stays till then.
    let still = |l: &str| l == NAME || both.made.as_ref().is_err_and(|(now, _)| *now == l);
    if both.state.wrong.as_ref().is_some_and(|(l, _)| !still(l)) {
        both.state.wrong = None;
    }
    form.set_label_width(LABELS + 20.0);
    let wrong = both.state.wrong(NAME);
    let field = Field::new(NAME).width(220.0).example("Creep 16").refusal(wrong.as_deref());
    form.field(ui, &field, &mut both.state.name);
    form.field(ui, &Field::new(BATCH).width(120.0).example("may be blank"), &mut both.state.batch);
    both.write |= form.finish(ui) == FormEvent::Submitted;
    both.mixed |= shift_enter;
    let refusals: Vec<String> = both.state.refusals.iter().map(ToString::to_string).collect();
    for why in refusals {
        look::refusal(ui, &why);
    }
    ui.add_space(space::S);
}

/// What can be done with the answer, and the answer.
fn right(ui: &mut egui::Ui, ctx: &Ctx<'_>, both: &mut Both<'_>) {
    ui.horizontal_wrapped(|ui| {
        both.write |= look::primary(ui, "Write the mix").on_hover_text(phrase!("Ctrl+Enter")).clicked();
        let hover = "Ctrl+Shift+Enter: writes the mix where it is new or changed, and that so much was mixed";
        both.mixed |= ui.button(phrase!("Mixed today")).on_hover_text(crate::look::spoken(hover)).clicked();
        let written = keep::written(ctx, &both.state.name);
        let print = ui.add_enabled(written.is_some(), egui::Button::new(phrase!("Print the mix sheet")));
        if print.on_hover_text(phrase!("As it is written in the book")).clicked()
            && let Some(mix) = written
        {
            let kg = both.made.as_ref().map(|m| m.kg).unwrap_or_default();
            let total = hirsel_core::terms::Mass::from_kg(kg).unwrap_or_default();
            both.out.push(Intent::PrintMix(mix, total));
        }
    });
    look::faint(ui, "Ctrl+Enter writes it as a feed, Ctrl+Shift+Enter also that it was mixed today.");
    ui.add_space(space::XS);
    match both.state.way {
        Way::Square => square::answer(ui, ctx, both.state, both.out),
        Way::Least => least::answer(ui, ctx, both.state, both.out),
    }
}

/// Writes what was asked for, or says what stands in the way and goes there.
fn keep(ctx: &Ctx<'_>, both: Both<'_>) {
    let Both { state, out, made, mixed, .. } = both;
    let intent = made.and_then(|made| keep::write(ctx, state, &made, mixed));
    state.wrong = None;
    match intent {
        Ok(intent) => out.push(intent),
        Err((label, why)) => {
            out.push(Intent::Say(Kind::Refuse, why.clone()));
            state.focus = Some(label);
            state.wrong = Some((label, why));
        }
    }
}

/// A feed by any part of its name, of the book or the handbook; any other name may stand.
fn feeds(ctx: &Ctx<'_>, text: &str) -> Vec<Found<u64>> {
    let all = offers(ctx.flock, text);
    (0u64..).zip(all).map(|(key, o)| Found { key, label: o.name, detail: o.detail }).collect()
}

/// A figure as typed: nothing, or from 0 to `most`.
fn number(text: &str, what: &'static str, most: f64) -> Result<Option<f64>, String> {
    let bare = text.trim().trim_end_matches('%').trim().replace(',', ".");
    if bare.is_empty() {
        return Ok(None);
    }
    let plain = bare.chars().all(|c| c.is_ascii_digit() || c == '.');
    match bare.parse::<f64>().ok().filter(|x| plain && (0.0..=most).contains(x)) {
        Some(x) => Ok(Some(x)),
        None => Err(phrase!("{what} '{}' cannot be: write a figure from 0 to {most}", text.trim())),
    }
}

/// A figure with two places at most.
fn short(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
