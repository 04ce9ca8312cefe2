//! A file of an electronic reader or a scale head: read, looked at, written as one session.

mod columns;
mod rows;
mod session;

use super::super::{Ctx, Intent, fields};
use crate::desk::scale::{Ready, Scaled};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use egui::{Key, KeyboardShortcut, Modifiers};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The panel.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    is_open: bool,
    file: String,
    session: session::Typed,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    is_done: bool,
    /// What the file showed last: nothing, a question, its lines.
    #[serde(skip)]
    shown: Option<bool>,
    #[serde(skip)]
    into_days: bool,
    #[serde(skip)]
    columns: columns::State,
    #[serde(skip)]
    rows: rows::State,
}

impl State {
    /// The panel has the page.
    pub(super) fn open(&mut self) {
        self.is_open = true;
    }

    /// The file is written.
    pub(super) fn after(&mut self) {
        self.is_done = true;
    }
}

const READ: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::R);
const LABELS: f32 = 110.0;

/// Draws the button, or the panel; true while the panel has the page.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut State, out: &mut Vec<Intent>) -> bool {
    if std::mem::take(&mut s.is_done) {
        *s = State::default();
        out.push(Intent::LeaveScale);
    }
    let pressed = ui.input_mut(|i| i.consume_shortcut(&READ));
    if !s.is_open {
        let mut go = pressed;
        ui.horizontal(|ui| {
            go |= ui.button(phrase!("Read a file…")).clicked();
            let keys = ui.ctx().format_shortcut(&READ);
            look::faint(ui, phrase!("of the reader or the scale ({keys})"));
        });
        ui.add_space(space::XS);
        if go {
            s.is_open = true;
            s.into = true;
        }
        return go;
    }
    s.into |= pressed;
    panel(ui, ctx, s, out);
    true
}

fn panel(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut State, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        look::subheading(ui, "Read a file of the reader or the scale");
        if ui.button(phrase!("Back to the scale")).clicked() {
            s.is_open = false;
            out.push(Intent::LeaveScale);
        }
    });
    // Once it is read its lines need the room; leaving it brings the field back.
    if !matches!(ctx.scaled, Some(Scaled::Ready(_))) {
        s.shown = None;
        file(ui, ctx, s, out);
    }
    match ctx.scaled {
        None => {
            look::paragraph(
                ui,
                "Text or CSV: tags or electronic numbers, weights, days, with or without a first line of names. It is shown first; nothing is written until you say so. Tags alone tell who was there and in which order.",
            );
        }
        Some(Scaled::Reading { name, .. }) => {
            look::faint(ui, phrase!("Reading {name} …"));
        }
        Some(Scaled::Refused { name, why }) => {
            look::banner(ui, Kind::Refuse, format!("{name}: {why}"), |_| {});
        }
        Some(Scaled::Ready(ready)) => ready_view(ui, ctx, s, ready, out),
    }
}

/// Which file.
fn file(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut State, out: &mut Vec<Intent>) {
    if let Some(Scaled::Reading { path, .. }) = ctx.scaled
        && crate::desk::files::absolute(&s.file, ctx.path) != *path
    {
        s.file = path.display().to_string();
    }
    let mut form = Form::new(ui, "scale file").label_width(LABELS);
    form.focus_once(ui, &mut s.into, "File");
    form.field(ui, &Field::new("File").width(440.0).example("a text or CSV file"), &mut s.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        // Only one button of the page asks to be pressed: writing, once something is read.
        let read =
            if ctx.scaled.is_some() { ui.button(phrase!("Read it")) } else { look::primary(ui, "Read it") };
        go |= read.clicked();
        if ui.button(phrase!("Choose a file…")).clicked() {
            out.push(Intent::ReadScale(None));
        }
    });
    if go {
        match fields::some(&s.file) {
            Some(path) => out.push(Intent::ReadScale(Some(PathBuf::from(path)))),
            None => out.push(Intent::Say(Kind::Refuse, phrase!("which file? Type its name, or choose it"))),
        }
    }
}

fn ready_view(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut State, ready: &Ready, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    ui.add_space(space::XS);
    look::strong(ui, format!("{}: {}", p.file, p.sentence()));
    // The keyboard goes where the file asks for something: to its days, else to what is said of the session.
    let asks = p.ask.is_some();
    if s.shown != Some(asks) {
        s.shown = Some(asks);
        s.into_days = asks;
        s.session.into = !asks;
    }
    columns::view(ui, ready, &mut s.columns, out);
    if let Some(ask) = &p.ask {
        asked(ui, ready, ask, &mut s.into_days, out);
    }
    session::view(ui, ctx, ready, &mut s.session, out);
    rows::view(ui, ctx, ready, &mut s.rows, out);
}

/// Days that can be read in two ways.
fn asked(
    ui: &mut egui::Ui,
    ready: &Ready,
    ask: &hirsel_core::exchange::scale::DateAsk,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let text = match ask.readings.is_empty() {
        true => phrase!("'{}' on line {} is no day that has been: mend the file", ask.written, ask.line),
        false => phrase!("Which day is '{}' on line {}? The file does not say", ask.written, ask.line),
    };
    look::banner(ui, Kind::Caution, &text, |ui| {
        ui.horizontal(|ui| {
            for (order, day) in &ask.readings {
                let button = ui.button(phrase!("{} ({order})", day.words()));
                // Not in the frame of the Enter that read the file: it would choose at once.
                if *into && !ui.input(|i| i.key_pressed(Key::Enter)) {
                    *into = false;
                    button.request_focus();
                }
                if button.clicked() {
                    let mut choice = ready.choice.clone();
                    choice.order = Some(*order);
                    out.push(Intent::ScaleAs(Box::new(choice)));
                }
            }
        });
    });
}
