//! What is asked above the map: where animals go, what a pen is called.

use super::super::super::{Ctx, Intent};
use super::{State, laying};
use crate::look::{self, space};
use crate::parts::{Field, Form, FormEvent, Found, Picker, PickerState, escaped};
use egui::Ui;
use hirsel_core::entry;
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::Pen;
use hirsel_core::terms::{AnimalId, Text, counted};

/// What is asked at the moment.
#[derive(Debug, Default)]
pub(super) enum Asking {
    #[default]
    Nothing,
    /// Where these go.
    Move { animals: Vec<AnimalId>, to: PickerState<u64>, fresh: bool },
    /// Another name for the pen in hand.
    Name { name: String, fresh: bool, sent: bool },
    /// The name of a new pen.
    Add { name: String, fresh: bool },
    /// Nothing: the layout is on its way into the book.
    Laying,
}

impl Asking {
    pub(super) fn add() -> Self {
        Self::Add { name: String::new(), fresh: true }
    }

    pub(super) fn is_laying(&self) -> bool {
        matches!(self, Self::Laying)
    }

    /// The name a pen was just given.
    pub(super) fn renamed(&self) -> Option<String> {
        match self {
            Self::Name { name, sent: true, .. } => Some(name.trim().to_string()),
            _ => None,
        }
    }
}

/// Asks where the chosen, or everyone in the pen in hand, are to go.
pub(super) fn begin_move(state: &mut State, out: &mut Vec<Intent>) {
    let animals = state.to_move();
    if animals.is_empty() {
        return state.refuse(phrase!("nobody is in {}: choose a pen with somebody in it", state.hand), out);
    }
    state.refused = None;
    state.asking = Asking::Move { animals, to: PickerState::default(), fresh: true };
}

/// Asks for another name of the pen in hand.
pub(super) fn begin_name(state: &mut State) {
    if state.in_hand().is_some() {
        state.refused = None;
        state.asking = Asking::Name { name: state.hand.clone(), fresh: true, sent: false };
    }
}

/// The animals that go to the pen that is pointed at next.
pub(super) fn waiting(state: &State) -> Option<Vec<AnimalId>> {
    match &state.asking {
        Asking::Move { animals, .. } => Some(animals.clone()),
        _ => None,
    }
}

const LABEL: f32 = 92.0;

pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let mut asking = std::mem::take(&mut state.asking);
    if matches!(asking, Asking::Nothing | Asking::Laying) {
        state.asking = asking;
        return;
    }
    let mut leave = escaped(ui);
    let mut done = None;
    look::card(ui, |ui| match &mut asking {
        Asking::Move { animals, to, fresh } => {
            done = ask_move(ui, ctx, &state.shown, animals, to, fresh, &mut leave);
        }
        Asking::Name { name, fresh, .. } => {
            let words = phrase!(
                "Another name for {}. Who is in it goes along; the past keeps the old name.",
                state.hand
            );
            done = ask_name(ui, words, "New name", "Name it", name, fresh, &mut leave).then(|| name.clone());
        }
        Asking::Add { name, fresh } => {
            let words = "A pen that is not on the map yet.";
            done = ask_name(ui, words, "Its name", "Add it", name, fresh, &mut leave).then(|| name.clone());
        }
        Asking::Nothing | Asking::Laying => {}
    });
    ui.add_space(space::XS);
    if leave {
        state.focus = true;
        return;
    }
    match (&mut asking, done) {
        (Asking::Move { animals, .. }, Some(pen)) => {
            let animals = animals.clone();
            state.asking = asking;
            state.move_to(ctx, animals, &pen, out);
        }
        (Asking::Name { sent, .. }, Some(name)) => {
            *sent = true;
            let from = state.hand.clone();
            let place = state.in_hand().map(Pen::as_laid);
            state.asking = asking;
            if let Some(place) = place {
                if state.map.by_name(&from).is_none() {
                    // A pen of the draft alone: nothing of it is in the book.
                    state.draft.retain(|d| d.pen != from);
                    state.asking = Asking::Nothing;
                    laying::put(state, hirsel_core::flock::PenPlace { pen: name.trim().into(), ..place });
                    state.hand = name.trim().into();
                    state.focus = true;
                } else {
                    let check = entry::pen_renamed(&from, &name, &place, ctx.flock, ctx.today);
                    state.hand_over(check, out);
                }
            }
        }
        (Asking::Add { .. }, Some(name)) => {
            let taken =
                state.map.by_name(&name).is_some() || state.shown.iter().any(|p| p.name == name.trim());
            if name.trim().is_empty() || name.trim().chars().count() > 40 || taken {
                let why = if name.trim().is_empty() {
                    phrase!("the pen's name is needed")
                } else if taken {
                    phrase!("{} is on the map already: choose another name", &name.trim())
                } else {
                    phrase!("the pen name '{}' is longer than 40 characters", name.trim())
                };
                state.asking = asking;
                state.refuse(why, out);
            } else {
                laying::add(state, &name);
            }
        }
        (_, _) => state.asking = asking,
    }
}

/// Gives the pen's name once it is settled.
fn ask_move(
    ui: &mut Ui,
    ctx: &Ctx<'_>,
    pens: &[Pen],
    animals: &[AnimalId],
    to: &mut PickerState<u64>,
    fresh: &mut bool,
    leave: &mut bool,
) -> Option<String> {
    let names: Vec<&str> = animals.iter().take(6).map(|a| ctx.flock.tag(*a)).collect();
    let more = animals.len().saturating_sub(names.len());
    let more = if more > 0 { phrase!(" and {more} more") } else { String::new() };
    look::strong(ui, phrase!("Move {}: {}{more}", counted(animals.len(), "animal"), names.join(", ")));
    look::faint(
        ui,
        "Type a pen, or point at one on the map. A name that is not there yet makes a new pen; blank takes them out of any.",
    );
    let mut form = Form::new(ui, "move to a pen").label_width(LABEL);
    form.focus_once(ui, fresh, "To pen");
    let picker =
        Picker::new("To pen", ctx.flock.version()).free().width(220.0).example("any part of its name");
    form.picker(ui, &picker, to, |text| {
        let low = text.to_lowercase();
        let fits = |(_, p): &(u64, &Pen)| p.name.to_lowercase().contains(&low);
        let found = |(key, p): (u64, &Pen)| Found { key, label: p.name.clone(), detail: p.who(ctx.flock) };
        (0u64..).zip(pens).filter(fits).map(found).collect()
    });
    let submitted = form.finish(ui) == FormEvent::Submitted;
    let mut pressed = false;
    ui.horizontal(|ui| {
        ui.add_space(LABEL);
        pressed = look::primary(ui, "Move").clicked();
        *leave |= ui.button(phrase!("Leave it")).clicked();
    });
    (submitted || pressed).then(|| to.text.clone())
}

fn ask_name(
    ui: &mut Ui,
    words: impl Into<Text>,
    label: &'static str,
    button: &'static str,
    name: &mut String,
    fresh: &mut bool,
    leave: &mut bool,
) -> bool {
    look::faint(ui, words);
    let mut form = Form::new(ui, "name of a pen").label_width(LABEL);
    form.focus_once(ui, fresh, label);
    form.field(ui, &Field::new(label).width(220.0).example("Jug 12"), name);
    let submitted = form.finish(ui) == FormEvent::Submitted;
    let mut pressed = false;
    ui.horizontal(|ui| {
        ui.add_space(LABEL);
        pressed = look::primary(ui, button).clicked();
        *leave |= ui.button(phrase!("Leave it")).clicked();
    });
    submitted || pressed
}
