//! What goes into the calendar of what is due: a form with a name for the file.

use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::exchange::calendar::{Alarm, Ask, DAYS_AHEAD, Kind};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(default)]
pub struct Typed {
    kinds: [bool; Kind::ALL.len()],
    days: String,
    alarm: usize,
    each: bool,
    todo: bool,
    path: String,
    #[serde(skip)]
    open: bool,
    #[serde(skip)]
    fresh: bool,
}

impl Default for Typed {
    fn default() -> Self {
        let mut typed = Self {
            kinds: Default::default(),
            days: DAYS_AHEAD.to_string(),
            alarm: 0,
            each: false,
            todo: false,
            path: "Due.ics".into(),
            open: false,
            fresh: false,
        };
        typed.choose(&[Kind::Jobs, Kind::Lambings]);
        typed
    }
}

impl Typed {
    /// Opens it, with these things chosen; none leaves those of before.
    pub fn open(&mut self, kinds: &[Kind]) {
        (self.open, self.fresh) = (true, true);
        if !kinds.is_empty() {
            self.choose(kinds);
        }
    }

    /// It is shown.
    pub fn is_open(&self) -> bool {
        self.open
    }

    /// Closes it; what was typed stays.
    pub fn close(&mut self) {
        self.open = false;
    }

    fn choose(&mut self, kinds: &[Kind]) {
        self.kinds = Kind::ALL.map(|k| kinds.contains(&k));
    }

    fn ask(&self, ctx: &Ctx<'_>) -> Result<Ask, String> {
        let kinds: Vec<Kind> =
            Kind::ALL.into_iter().zip(self.kinds).filter(|(_, on)| *on).map(|(k, _)| k).collect();
        if kinds.is_empty() {
            return Err(phrase!("choose at least one thing that goes into the calendar"));
        }
        let days = days(&self.days)?;
        let alarm = Alarm::ALL.get(self.alarm).copied().unwrap_or_default();
        let to = ctx.today.plus(days);
        Ok(Ask { from: ctx.today, to, kinds, alarm, todo: self.todo, each: self.each })
    }
}

/// Days ahead as typed.
fn days(text: &str) -> Result<i64, String> {
    let wrong = || phrase!("'{}' is no number of days: write 1 to 400", text.trim());
    text.trim().parse().ok().filter(|n| (1..=400).contains(n)).ok_or_else(wrong)
}

const LABELS: f32 = 130.0;

/// Draws it; true where it is to be closed.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) -> bool {
    look::subheading(ui, "Into a calendar");
    look::paragraph(
        ui,
        "A file for the calendar of a phone or computer: whole days that leave the day free. Read in once more, a later file changes the entries of an earlier one and withdraws what is done.",
    );
    ui.add_space(space::S);
    let mut form = Form::new(ui, "calendar").label_width(LABELS);
    if std::mem::take(&mut t.fresh) {
        form.focus(ui, DAYS);
    }
    let wrong = days(&t.days).err();
    form.field(ui, &Field::new(DAYS).width(80.0).refusal(wrong.as_deref()), &mut t.days);
    let names: Vec<(usize, &str)> = Alarm::ALL.iter().map(|a| a.words()).enumerate().collect();
    choice(ui, &mut form, "Reminder", &names, &mut t.alarm);
    choice(
        ui,
        &mut form,
        "An entry for",
        &[(false, "each pen and day"), (true, "each animal and job")],
        &mut t.each,
    );
    choice(ui, &mut form, "As", &[(false, "days"), (true, "things to do")], &mut t.todo);
    for (kind, on) in Kind::ALL.into_iter().zip(&mut t.kinds) {
        choice(ui, &mut form, kind.words(), &[(true, "yes"), (false, "no")], on);
    }
    form.field(ui, &Field::new("Save as").width(280.0), &mut t.path);
    let mut to = (form.finish(ui) == FormEvent::Submitted).then(|| Some(PathBuf::from(t.path.trim())));
    let mut close = false;
    ui.horizontal_wrapped(|ui| {
        ui.add_space(LABELS + space::S);
        if look::primary(ui, "Save the calendar").clicked() {
            to = Some(Some(PathBuf::from(t.path.trim())));
        }
        if ui.button(phrase!("Choose where…")).clicked() {
            to = Some(None);
        }
        close = ui.button(phrase!("Leave it")).clicked();
    });
    ui.add_space(space::S);
    look::faint(
        ui,
        "A bare name lies beside the book. Many programs show no things to do; days are shown by all. Clear days are counted by the book: label, vet and local law decide.",
    );
    if let Some(path) = to {
        match t.ask(ctx) {
            Ok(ask) => {
                out.push(Intent::SaveCalendar(Box::new(ask), path));
                close = true;
            }
            Err(why) => out.push(Intent::Say(look::Kind::Refuse, why)),
        }
    }
    close
}

const DAYS: &str = "Days ahead";

fn choice<T: Copy + PartialEq>(
    ui: &mut egui::Ui,
    form: &mut Form,
    name: &'static str,
    all: &[(T, &'static str)],
    at: &mut T,
) {
    let mut chosen = Some(*at);
    form.choice(ui, &Choice::new(name, all), &mut chosen);
    *at = chosen.unwrap_or(*at);
}
