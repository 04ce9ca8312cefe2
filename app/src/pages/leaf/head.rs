//! The head of a leaf: who it is, its standing, whether it is clear, and what can be done to it, each by one letter.

use super::super::act::Job;
use super::super::{Ctx, Intent, papers::PaperKind};
use super::{State, standing};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use egui::text::{LayoutJob, TextFormat};
use egui::{Color32, Event, FontId, Key, Modifiers, Stroke};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::{Clear, Clearance, clearance};
use hirsel_core::terms::Why;
use hirsel_core::terms::{Born, Rearing, Sex, Status};

/// The keys of a leaf, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("the underlined letter", "press that button"),
    ("Esc, Backspace", "back to where you came from"),
    ("Ctrl+Page down, up", "the animal after it, before it"),
    ("← →, Home, End", "from event to event of its life"),
    ("A, K", "amend or strike out the open event"),
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
    Picture,
    Card,
    Log,
    Timeline,
}

/// Deed, its word, its key, and which letter of the word that is.
const DEEDS: [(Deed, &str, Key, usize); 13] = [
    (Deed::Lambing, "Write up a lambing", Key::L, 11),
    (Deed::Treat, "Treat", Key::T, 0),
    (Deed::Weigh, "Weigh", Key::W, 0),
    (Deed::Join, "Join", Key::J, 0),
    (Deed::Pen, "Move to pen", Key::P, 8),
    (Deed::Standing, "Change standing", Key::S, 7),
    (Deed::Note, "Note", Key::N, 0),
    (Deed::Facts, "Facts", Key::F, 0),
    (Deed::Tags, "Tags", Key::G, 2),
    (Deed::Picture, "Picture", Key::U, 4),
    (Deed::Card, "Card", Key::C, 0),
    (Deed::Log, "Log", Key::O, 1),
    (Deed::Timeline, "Timeline", Key::I, 1),
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
    let pressed = DEEDS.iter().filter(|(deed, ..)| deed.fits(file)).find(|(_, _, key, _)| letter(ui, *key));
    if let Some((deed, ..)) = pressed {
        start(ctx, file, *deed, state, out);
    }
    // Its button stands beside the head of the pedigree.
    if letter(ui, Key::D) {
        out.push(Intent::PedigreeOf(file.animal.id));
    }
}

/// Whether this letter was pressed as a key of the leaf; it is taken, so that no field gets it as text. Ask only
/// while nothing is typed into.
pub(super) fn letter(ui: &egui::Ui, key: Key) -> bool {
    ui.input_mut(|i| {
        let pressed = i.consume_key(Modifiers::NONE, key);
        if pressed {
            i.events.retain(|e| !matches!(e, Event::Text(_)));
        }
        pressed
    })
}

fn start(ctx: &Ctx<'_>, file: &AnimalFile, deed: Deed, state: &mut State, out: &mut Vec<Intent>) {
    let id = file.animal.id;
    let job = match deed {
        Deed::Lambing => return out.push(Intent::LambingOf(id)),
        Deed::Treat => return out.push(Intent::Treat(vec![id])),
        Deed::Log => return out.push(Intent::Print(PaperKind::TreatmentLog, vec![id])),
        Deed::Timeline => return out.push(Intent::TimelineOf(id)),
        Deed::Card => {
            let grown = file.animal.sex == Sex::Ewe && !file.animal.is_lamb(ctx.today);
            let card = if grown { PaperKind::PenCards } else { PaperKind::LambCards };
            return out.push(Intent::Print(card, vec![id]));
        }
        Deed::Facts => return state.drafts.open_facts(ctx, file),
        Deed::Tags => return state.drafts.open_tags(),
        Deed::Picture => return state.drafts.open_paper(),
        Deed::Weigh => Job::Weigh,
        Deed::Join => Job::Join,
        Deed::Pen => Job::Pen,
        Deed::Standing => Job::Standing,
        Deed::Note => Job::Note,
    };
    state.drafts.open_job(job);
}

/// Draws the head.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    state: &mut State,
    out: &mut Vec<Intent>,
) {
    if ctx.flock.documents().portrait(file.animal.id).is_some() {
        ui.horizontal_top(|ui| {
            super::pictures::portrait(ui, ctx, file, out);
            ui.vertical(|ui| facts(ui, ctx, file, state, out));
        });
    } else {
        facts(ui, ctx, file, state, out);
    }
    deeds(ui, ctx, file, state, out);
}

/// Who it is, its standing, whether it is clear.
fn facts(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, state: &mut State, out: &mut Vec<Intent>) {
    let a = &file.animal;
    ui.horizontal_wrapped(|ui| {
        if ui.button(phrase!("← Back")).on_hover_text(phrase!("To where you came from (Esc)")).clicked() {
            state.back();
        }
        for (word, keys, forward) in [("Previous", "Ctrl+Page up", false), ("Next", "Ctrl+Page down", true)] {
            let place = if forward { "after" } else { "before" };
            let hint = phrase!("The animal {place} this one by tag ({keys})");
            if ui.button(crate::look::spoken(word)).on_hover_text(crate::look::spoken(hint)).clicked() {
                state.step(ctx, file, forward, out);
            }
        }
        ui.add_space(space::S);
        look::figure(ui, a.tag().to_string());
        if let Some(name) = &a.name {
            look::subheading(ui, name);
        }
        ui.add_space(space::S);
        ui.label(who(ctx, file));
        match a.status {
            Status::Present => {}
            Status::Dead | Status::Culled | Status::Missing => {
                look::chip(ui, Kind::Refuse, standing(file));
            }
            _ => {
                look::chip(ui, Kind::Plain, standing(file));
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        let mut line = clear(ui, ctx, file);
        line.extend(more(ctx, file));
        look::faint(ui, line.join(" · "));
    });
    if let Some(note) = &a.note {
        look::italic(ui, note);
    }
    ui.add_space(space::XS);
}

/// What can be done to it.
fn deeds(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, state: &mut State, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        for (deed, word, key, letter) in DEEDS.into_iter().filter(|(deed, ..)| deed.fits(file)) {
            let button = key_button(ui, word, letter);
            let key = phrase!("Key {}", key.name());
            if button.on_hover_text(crate::look::spoken(key)).clicked() {
                start(ctx, file, deed, state, out);
            }
        }
    });
}

/// A button with the letter underlined that presses it, as high as any other. A word that is said otherwise may not hold
/// its letter at that place, or at all: then it stands behind.
pub(super) fn key_button(ui: &mut egui::Ui, word: &'static str, letter: usize) -> egui::Response {
    let said = look::said(word);
    let key = word.get(letter..=letter).unwrap_or_default();
    let (word, letter) = if said == word {
        (said, letter)
    } else if let Some(at) = said.to_ascii_uppercase().find(&key.to_ascii_uppercase()) {
        (said, at)
    } else {
        let at = said.len() + 1;
        (format!("{said} {}", key.to_uppercase()).into(), at)
    };
    let word: &str = &word;
    let height = ui.text_style_height(&egui::TextStyle::Button) + 2.0 * ui.spacing().button_padding.y;
    let button = ui.add(egui::Button::new(underlined(word, letter)).min_size(egui::vec2(0.0, height)));
    let end = letter + 1;
    if let Some(key) = word.get(letter..end) {
        ui.ctx().accesskit_node_builder(button.id, |node| node.set_keyboard_shortcut(key.to_uppercase()));
    }
    button
}

/// The word with its letter underlined, in the ink of the button.
fn underlined(word: &str, letter: usize) -> LayoutJob {
    let font = FontId::new(look::size::BODY, look::fonts::family(look::Face::Sans));
    // The line is drawn at the foot of the row: a low row brings it to the letter.
    let plain = TextFormat { line_height: Some(19.0), ..TextFormat::simple(font, Color32::PLACEHOLDER) };
    let line = TextFormat { underline: Stroke::new(1.0, Color32::PLACEHOLDER), ..plain.clone() };
    let mut job = LayoutJob::default();
    let end = letter + 1;
    let parts = [(word.get(..letter), &plain), (word.get(letter..end), &line), (word.get(end..), &plain)];
    for (text, format) in parts {
        job.append(text.unwrap_or_default(), 0.0, format.clone());
    }
    job
}

/// Whether meat and milk may be used; gives what decides it.
fn clear(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile) -> Vec<String> {
    let a = &file.animal;
    let c = clearance(file, ctx.today);
    if c.is_held(ctx.today) {
        look::chip(ui, Kind::Caution, phrase!("under withdrawal: {}", c.held_words(ctx.today)));
        caution::remember(ui, Why::Withdrawal);
        return vec![because(&c)];
    }
    if matches!(a.status, Status::Dead | Status::Culled | Status::Outside) {
        return Vec::new();
    }
    let since = |side: &Clear| match side {
        Clear::From(day) => phrase!("since {}", day.words()),
        _ => phrase!("nothing given"),
    };
    let text = if file.treatments_standing().next().is_none() {
        phrase!("clear: no treatment is written down")
    } else if a.sex == Sex::Ewe {
        phrase!("clear: meat {}, milk {}", since(&c.meat.clear), since(&c.milk.clear))
    } else {
        phrase!("clear: meat {}", since(&c.meat.clear))
    };
    look::chip(ui, Kind::Good, &text);
    Vec::new()
}

/// Product and day that decide, for each side apart where they differ.
fn because(c: &Clearance) -> String {
    let side = |s: &hirsel_core::reckon::clearance::Side| {
        s.given.map(|day| phrase!("{}, given {}", s.product, day.words()))
    };
    match (side(&c.meat), side(&c.milk)) {
        (Some(meat), Some(milk)) if meat == milk => meat,
        (Some(meat), Some(milk)) => phrase!("meat: {meat}; milk: {milk}"),
        (one, other) => one.or(other).unwrap_or_default(),
    }
}

/// `ewe, 4 years old, in Jug 1`.
fn who(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut parts = vec![look::said(a.sex.words()).into_owned()];
    let until = if a.status.is_here() { ctx.today } else { a.status_on.unwrap_or(ctx.today) };
    let about = if matches!(a.born, Born::On(_)) { "" } else { "about " };
    let count = |n: i64, one: &str| hirsel_core::terms::counted(usize::try_from(n).unwrap_or(0), one);
    match a.age_days(until) {
        Some(d) if d < 100 => parts.push(phrase!("{about}{} old", count(d, "day"))),
        Some(d) if d < 730 => parts.push(phrase!("{about}{} old", count(d * 12 / 365, "month"))),
        Some(d) => parts.push(phrase!("{about}{} old", count(d * 4 / 1461, "year"))),
        None => parts.push(phrase!("age not known")),
    }
    if let Some(pen) = &a.pen {
        parts.push(phrase!("in {pen}"));
    }
    parts.join(", ")
}

/// Breed, colour, who rears it, its other marks: the second line of the head.
fn more(ctx: &Ctx<'_>, file: &AnimalFile) -> Vec<String> {
    let a = &file.animal;
    let mut parts: Vec<String> = Vec::new();
    parts.extend(a.breed.as_ref().map(ToString::to_string));
    parts.extend(a.birth_type.map(|t| match t.count() {
        5.. => phrase!("born {}", t.words()),
        _ => phrase!("born a {}", t.words()),
    }));
    match a.rearing {
        Rearing::Dam => {}
        Rearing::Foster(ewe) => parts.push(phrase!("fostered to {}", &ctx.flock.tag(ewe))),
        Rearing::Bottle => parts.push(phrase!("on the bottle")),
    }
    parts.extend(a.colour.as_deref().map(String::from));
    parts.extend(a.marks.as_deref().map(String::from));
    let called = a.called().map(|i| i.id);
    let worn = a.identities.iter().filter(|i| i.ended.is_none() && Some(i.id) != called);
    parts.extend(worn.map(|i| phrase!("{} {}", i.kind.word(), super::facts::mark(i))));
    parts
}
