//! How the figures are reckoned: in words, and as a table the keeper may change.

use super::super::super::{Ctx, Intent, Then, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Refusal};
use hirsel_core::flock::Holding;
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{LossOf, Settings, Years};
use serde::{Deserialize, Serialize};

/// The table as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    text: String,
    open: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// It is written.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        *self = Self::default();
    }
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    years: &Years,
    at: i32,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) {
    look::subheading(ui, "How they are reckoned");
    for line in words(years, at) {
        look::paragraph(ui, line);
    }
    if !t.open {
        if ui.button(phrase!("Change how they are reckoned…")).clicked() {
            t.open = true;
            t.focus = true;
            if t.text.trim().is_empty() {
                let own = &ctx.flock.holding().figures;
                t.text = if own.trim().is_empty() { Settings::shipped_words().into() } else { own.clone() };
            }
        }
        return;
    }
    let mut form = Form::new(ui, "basis").label_width(100.0);
    form.focus_once(ui, &mut t.focus, "Settings");
    let wrong = refusal_of(&t.refusals, "figures", 0);
    let read = |text: &str| Settings::parse(text).map(|s| s.exposed_words()).map_err(|e| e.0);
    let field = Field::new("Settings").width(620.0).lines(14).understand(&read).refusal(wrong.as_deref());
    form.field(ui, &field, &mut t.text);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the settings").clicked();
        if ui.button(phrase!("As shipped")).clicked() {
            t.text.clear();
            go = true;
        }
        if ui.button(phrase!("Leave it")).clicked() {
            *t = Typed::default();
        }
        look::faint(ui, "Ctrl+Enter writes them. An empty table is as shipped.");
    });
    if !go || !t.open {
        return;
    }
    let new = Holding { figures: t.text.trim_end().into(), ..ctx.flock.holding().clone() };
    match entry::holding(new, ctx.flock) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::FiguresDone }),
        Err(refusals) => {
            out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
            t.refusals = refusals;
            t.focus = true;
        }
    }
}

/// What the figures rest on, a sentence each.
pub(super) fn words(years: &Years, at: i32) -> Vec<String> {
    let s = &years.settings;
    let (age, own) = years.seasons.get(&at).map_or((s.weaning_days, false), |s| s.weaning);
    let weaning = if own {
        phrase!(
            "The lambs of {at} were weaned at {age} days (the middle of the days that were ticked); one that was not ticked counts as weaned at that age."
        )
    } else {
        phrase!("No lamb of {at} is ticked as weaned, so a lamb counts as weaned at {age} days.")
    };
    let loss = match s.loss_of {
        LossOf::Born => "Losses are of all lambs born.",
        LossOf::Alive => "Losses are of lambs born alive.",
    };
    let month = match s.month {
        1 => "A season is the calendar year of its lambings; money counts by the day it was spent or taken."
            .to_string(),
        m => phrase!("A season begins with month {m} of the year before; money counts by its day likewise."),
    };
    vec![
        phrase!("{}. {}.", s.exposed_words(), s.ground),
        phrase!("{loss} A lamb sold before weaning counts as weaned. {weaning}"),
        "A fostered lamb is born to its dam and reared by the ewe that took it; a bottle lamb is weaned and reared by no ewe."
            .into(),
        month,
    ]
}
