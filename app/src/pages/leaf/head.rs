//! The head of a leaf: who it is, its standing, whether it is clear, and what can be done to it, each by one letter.

use super::super::act::{self, Job};
use super::super::{Ctx, Intent, papers::PaperKind};
use super::{Open, State, standing};
use crate::look::{self, Kind, space};
use egui::text::{LayoutJob, TextFormat};
use egui::{Color32, Event, FontId, Key, Modifiers, Stroke};
use hirsel_core::flock::AnimalFile;
use hirsel_core::reckon::clearance::{Clear, Clearance, clearance};
use hirsel_core::terms::{Born, Rearing, Sex, Status};

/// The keys of a leaf, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("the underlined letter", "press that button"),
    ("Esc, Backspace", "back to where you came from"),
    ("Ctrl+Page down, up", "the animal after it, before it"),
    ("← →, Home, End", "from event to event of its life"),
    ("+ −", "a shorter or longer part of its life"),
    ("Enter", "open the event"),
];

/// What can be done to an animal.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Deed {
    Lambing,
    Treat,
    Weigh,
    Join,
    Pen,
    Standing,
    Note,
    Facts,
    Tags,
    Card,
    Log,
}

/// Deed, its word, its key, and which letter of the word that is.
const DEEDS: [(Deed, &str, Key, usize); 11] = [
    (Deed::Lambing, "Write up a lambing", Key::L, 11),
    (Deed::Treat, "Treat", Key::T, 0),
    (Deed::Weigh, "Weigh", Key::W, 0),
    (Deed::Join, "Join with a ram", Key::J, 0),
    (Deed::Pen, "Move to pen", Key::P, 8),
    (Deed::Standing, "Change standing", Key::S, 7),
    (Deed::Note, "Note", Key::N, 0),
    (Deed::Facts, "New facts", Key::F, 4),
    (Deed::Tags, "Tags", Key::G, 2),
    (Deed::Card, "Card", Key::C, 0),
    (Deed::Log, "Treatment log", Key::O, 11),
];

impl Deed {
    fn fits(self, file: &AnimalFile) -> bool {
        !matches!(self, Self::Lambing | Self::Join) || file.animal.sex == Sex::Ewe
    }
}

/// Does what a letter asks for. Call it before anything is drawn, so that the letter is not typed as well.
pub(super) fn keys(
    ui: &egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    state: &mut State,
    out: &mut Vec<Intent>,
) {
    let pressed = ui.input_mut(|i| {
        let deed = DEEDS
            .iter()
            .filter(|(deed, ..)| deed.fits(file))
            .find(|(_, _, key, _)| i.consume_key(Modifiers::NONE, *key))
            .map(|(deed, ..)| *deed);
        if deed.is_some() {
            i.events.retain(|e| !matches!(e, Event::Text(_)));
        }
        deed
    });
    if let Some(deed) = pressed {
        start(ctx, file, deed, state, out);
    }
}

fn start(ctx: &Ctx<'_>, file: &AnimalFile, deed: Deed, state: &mut State, out: &mut Vec<Intent>) {
    let id = file.animal.id;
    let job = match deed {
        Deed::Lambing => return out.push(Intent::LambingOf(id)),
        Deed::Treat => return out.push(Intent::Treat(vec![id])),
        Deed::Log => return out.push(Intent::Print(PaperKind::TreatmentLog, vec![id])),
        Deed::Card => {
            let grown = file.animal.sex == Sex::Ewe && !file.animal.is_lamb(ctx.today);
            let card = if grown { PaperKind::PenCards } else { PaperKind::LambCards };
            return out.push(Intent::Print(card, vec![id]));
        }
        Deed::Facts => {
            state.edit.fill(ctx, file);
            state.form = Open::Edit;
            return;
        }
        Deed::Tags => {
            state.marks.begin(id);
            state.form = Open::Marks;
            return;
        }
        Deed::Weigh => Job::Weigh,
        Deed::Join => Job::Join,
        Deed::Pen => Job::Pen,
        Deed::Standing => Job::Standing,
        Deed::Note => Job::Note,
    };
    state.form = Open::Nothing;
    if state.act_of != Some(id) {
        // What was typed for another animal must not be written to this one.
        state.act = act::ActForm::default();
        state.act_of = Some(id);
    }
    state.act.open(job);
}

/// Draws the head.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    state: &mut State,
    out: &mut Vec<Intent>,
) {
    let a = &file.animal;
    ui.horizontal_wrapped(|ui| {
        if ui.button("← Back").on_hover_text("To where you came from (Esc)").clicked() {
            state.back();
        }
        for (word, keys, forward) in [("Before", "Ctrl+Page up", false), ("After", "Ctrl+Page down", true)] {
            if ui
                .button(word)
                .on_hover_text(format!("The animal {} it, by tag ({keys})", word.to_lowercase()))
                .clicked()
            {
                state.step(ctx, file, forward, out);
            }
        }
        ui.add_space(space::S);
        look::figure(ui, a.tag());
        if let Some(name) = &a.name {
            look::subheading(ui, name);
        }
        ui.add_space(space::S);
        ui.label(who(ctx, file));
        match a.status {
            Status::Present => {}
            Status::Dead | Status::Culled | Status::Missing => {
                look::chip(ui, Kind::Refuse, &standing(file));
            }
            _ => {
                look::chip(ui, Kind::Plain, &standing(file));
            }
        }
    });
    let more = more(ctx, file);
    if !more.is_empty() {
        look::faint(ui, more);
    }
    clear(ui, ctx, file);
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        for (deed, word, key, letter) in DEEDS.into_iter().filter(|(deed, ..)| deed.fits(file)) {
            let button = ui.button(underlined(word, letter));
            let key = format!("Key {}", key.name());
            if button.on_hover_text(key).clicked() {
                start(ctx, file, deed, state, out);
            }
        }
    });
}

/// The word with its letter underlined, in the ink of the button.
fn underlined(word: &str, letter: usize) -> LayoutJob {
    let font = FontId::new(look::size::BODY, look::fonts::family(look::Face::Sans));
    let plain = TextFormat::simple(font, Color32::PLACEHOLDER);
    let line = TextFormat { underline: Stroke::new(1.0, Color32::PLACEHOLDER), ..plain.clone() };
    let mut job = LayoutJob::default();
    let end = letter + 1;
    let parts = [(word.get(..letter), &plain), (word.get(letter..end), &line), (word.get(end..), &plain)];
    for (text, format) in parts {
        job.append(text.unwrap_or_default(), 0.0, format.clone());
    }
    job
}

/// Whether meat and milk may be used, and what decides it.
fn clear(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile) {
    let a = &file.animal;
    let c = clearance(file, ctx.today);
    if c.is_held(ctx.today) {
        ui.horizontal_wrapped(|ui| {
            look::chip(ui, Kind::Caution, &format!("under withdrawal: {}", c.held_words(ctx.today)));
            look::faint(ui, because(&c));
        });
        return;
    }
    if matches!(a.status, Status::Dead | Status::Culled | Status::Outside) {
        return;
    }
    let since = |side: &Clear| match side {
        Clear::From(day) => format!("since {}", day.words()),
        _ => "nothing given".into(),
    };
    let text = if file.treatments_standing().next().is_none() {
        "clear: no treatment is written down".into()
    } else if a.sex == Sex::Ewe {
        format!("clear: meat {}, milk {}", since(&c.meat.clear), since(&c.milk.clear))
    } else {
        format!("clear: meat {}", since(&c.meat.clear))
    };
    ui.horizontal(|ui| look::chip(ui, Kind::Good, &text));
}

/// Product and day that decide, for each side apart where they differ.
fn because(c: &Clearance) -> String {
    let side = |s: &hirsel_core::reckon::clearance::Side| {
        s.given.map(|day| format!("{}, given {}", s.product, day.words()))
    };
    match (side(&c.meat), side(&c.milk)) {
        (Some(meat), Some(milk)) if meat == milk => meat,
        (Some(meat), Some(milk)) => format!("meat: {meat}; milk: {milk}"),
        (one, other) => one.or(other).unwrap_or_default(),
    }
}

/// `ewe, 4 years old, in Jug 1`.
fn who(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut parts = vec![a.sex.words().to_string()];
    let until = if a.status.is_here() { ctx.today } else { a.status_on.unwrap_or(ctx.today) };
    let about = if matches!(a.born, Born::On(_)) { "" } else { "about " };
    let count = |n: i64, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    match a.age_days(until) {
        Some(d) if d < 100 => parts.push(format!("{about}{} old", count(d, "day"))),
        Some(d) if d < 730 => parts.push(format!("{about}{} old", count(d * 12 / 365, "month"))),
        Some(d) => parts.push(format!("{about}{} old", count(d * 4 / 1461, "year"))),
        None => parts.push("age not known".into()),
    }
    if let Some(pen) = &a.pen {
        parts.push(format!("in {pen}"));
    }
    parts.join(", ")
}

/// Breed, colour, who rears it, its other marks: the second line of the head.
fn more(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut parts: Vec<String> = Vec::new();
    parts.extend(a.breed.as_ref().map(ToString::to_string));
    parts.extend(a.birth_type.map(|t| format!("born {}", t.words())));
    match a.rearing {
        Rearing::Dam => {}
        Rearing::Foster(ewe) => parts.push(format!("fostered to {}", ctx.flock.tag(ewe))),
        Rearing::Bottle => parts.push("on the bottle".into()),
    }
    parts.extend(a.colour.clone());
    parts.extend(a.marks.clone());
    let called = a.called().map(|i| i.id);
    let worn = a.identities.iter().filter(|i| i.ended.is_none() && Some(i.id) != called);
    parts.extend(worn.map(|i| format!("{} {}", i.kind.words(), super::facts::mark(i))));
    parts.join(" · ")
}
