//! The best ram for each ewe: the question, the answer with the reason for each pair, other sets, the years ahead, and
//! the pairs written as joinings.

mod answer;
mod ewe;
mod fields_of;
mod other;
mod question;
mod read;
mod set;
mod write;
mod years;

use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Form, FormEvent, escaped};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};

/// What of the answer is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum See {
    #[default]
    Pairs,
    Others,
    Years,
    Write,
}

const SEE: [(See, &str); 4] = [
    (See::Pairs, "the pairs"),
    (See::Others, "other sets"),
    (See::Years, "ten years ahead"),
    (See::Write, "write them"),
];

/// The part of the page.
#[derive(Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The answer is seen, not the question.
    answered: bool,
    see: See,
    ask: question::Typed,
    write: write::Typed,
    #[serde(skip)]
    set: Option<set::Set>,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    ewe: ewe::Seen,
    /// The version of the flock in which the pairs were written.
    #[serde(skip)]
    wrote: Option<u64>,
}

impl std::fmt::Debug for State {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("State")
            .field("answered", &self.answered)
            .field("see", &self.see)
            .finish_non_exhaustive()
    }
}

impl State {
    /// An entry of this page is written: the pairs stand in the book.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        if self.answered && self.see == See::Write {
            self.write.written();
            self.wrote = Some(ctx.flock.version());
            self.see = See::Pairs;
            self.into = true;
        }
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let asked = ctx.pairs.working.is_some() || ctx.pairs.answer.is_some();
    if !state.answered || !asked {
        state.answered = false;
        if question::view(ui, ctx, &mut state.ask, into, out) {
            (state.answered, state.see, state.into) = (true, See::Pairs, true);
            state.set = None;
        }
        return;
    }
    state.into |= std::mem::take(into);
    if let Some(percent) = ctx.pairs.working {
        working(ui, percent, "Finding the pairs", out);
        return;
    }
    let mut back = escaped(ui);
    match &ctx.pairs.answer {
        Some(Ok(found)) => {
            let set = set::Set::keep(&mut state.set, ctx, found);
            ui.horizontal_wrapped(|ui| {
                let mut form = Form::new(ui, "see pairs").label_width(60.0);
                let mut see = Some(state.see);
                form.choice(ui, &Choice::new("See", &SEE), &mut see);
                state.see = see.unwrap_or_default();
                state.into |= form.finish(ui) == FormEvent::Submitted;
                back |= ui.button(phrase!("Change the question")).clicked();
            });
            if state.wrote == Some(ctx.flock.version()) {
                look::word(ui, Kind::Good, "Written as joinings");
            } else if set.version != ctx.flock.version() {
                look::sentence(ui, Kind::Caution, "The book has changed since: find the pairs anew.");
            }
            let into = &mut state.into;
            match state.see {
                See::Pairs => answer::view(ui, ctx, set, &mut state.ewe, &mut state.ask, into, out),
                See::Others => {
                    if other::view(ui, ctx, &found.next, set) {
                        state.ask.keep = set.pairs.kept();
                        (state.see, state.into) = (See::Pairs, true);
                    }
                }
                See::Years => years::view(ui, ctx, out),
                See::Write => write::view(ui, ctx, &mut state.write, set, into, out),
            }
        }
        Some(Err(why)) => {
            back |= answer::nothing(ui, ctx, why, out);
        }
        None => back = true,
    }
    if back {
        state.answered = false;
        state.ask.refocus();
    }
}

/// Work under way, with the way to stop it.
fn working(ui: &mut egui::Ui, percent: u32, what: &'static str, out: &mut Vec<Intent>) {
    ui.add_space(space::M);
    ui.horizontal(|ui| {
        ui.add(egui::ProgressBar::new(percent as f32 / 100.0).desired_width(260.0));
        look::faint(ui, phrase!("{what}, {percent} %"));
        if ui.button(phrase!("Stop")).clicked() || escaped(ui) {
            out.push(Intent::StopPairs);
        }
    });
}
