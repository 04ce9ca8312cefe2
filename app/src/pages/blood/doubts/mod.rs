//! What cannot be, or is doubtful, in the pedigree: listed, opened, put away; two animals made one, and parted again.

mod list;
mod merge;
mod past;

use super::super::{Ctx, Intent};
use crate::look::space;
use crate::parts::{Choice, Form, FormEvent};
use serde::{Deserialize, Serialize};

/// What is shown of the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Shown {
    #[default]
    List,
    Merge,
    Past,
}

const SHOWN: [(Shown, &str); 3] = [
    (Shown::List, "What is doubtful"),
    (Shown::Merge, "Make two animals one"),
    (Shown::Past, "Made one before"),
];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    shown: Shown,
    list: list::State,
    merge: merge::State,
    past: past::State,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        if self.merge.after(ctx) && self.shown == Shown::Merge {
            self.shown = Shown::List;
            self.list.anew();
        }
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    // The parts of the page turn with Ctrl+Page up and down; these by the arrows alone.
    let mut form = Form::new(ui, "doubts").label_width(60.0);
    let mut shown = Some(state.shown);
    form.choice(ui, &Choice::new("See", &SHOWN), &mut shown);
    *into |= form.finish(ui) == FormEvent::Submitted;
    state.shown = shown.unwrap_or_default();
    ui.add_space(space::S);
    match state.shown {
        Shown::List => {
            if let Some((keep, gone)) = list::view(ui, ctx, &mut state.list, into, out) {
                state.merge.begin(ctx, keep, gone);
                state.shown = Shown::Merge;
                *into = true;
                ui.ctx().request_repaint();
            }
        }
        Shown::Merge => merge::view(ui, ctx, &mut state.merge, into, out),
        Shown::Past => past::view(ui, ctx, &mut state.past, into, out),
    }
}
