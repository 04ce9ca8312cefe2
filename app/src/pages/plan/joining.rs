//! The day of the year on which the rams go in.

use super::super::{Ctx, Intent, Then};
use crate::look::Kind;
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry;
use hirsel_core::phrase;
use hirsel_core::terms::MonthDay;
use serde::{Deserialize, Serialize};

/// The field as typed, and what it was filled from: as long as nothing is typed it follows the book.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    text: String,
    from: Option<String>,
    #[serde(skip)]
    wrong: Option<String>,
}

impl Typed {
    /// It is in the book: the field follows it again.
    pub(super) fn written(&mut self) {
        *self = Self::default();
    }

    fn follow(&mut self, stands: String) {
        let typed = self.from.as_ref().is_some_and(|from| *from != self.text);
        if !typed && self.from.as_ref() != Some(&stands) {
            *self = Self { text: stands.clone(), from: Some(stands), wrong: None };
        }
    }
}

/// Draws it; tells whether it was handed to the book.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) -> bool {
    let stands = MonthDay::parse(&ctx.flock.holding().joining_day).map(MonthDay::words).unwrap_or_default();
    t.follow(stands.clone());
    let mut form = Form::new(ui, "joining day").label_width(78.0);
    let read = |x: &str| {
        let year = ctx.today.year();
        let day = MonthDay::parse_typed(x).map_err(|e| e.0)?;
        Ok(phrase!("{} every year", day.of(year).map(|d| d.short()).unwrap_or_default()))
    };
    let nudge = |x: &str, n: i32| {
        let day = MonthDay::parse_typed(x).ok()?.of(ctx.today.year())?.plus(n.into());
        MonthDay::new(day.month(), day.day()).map(MonthDay::words)
    };
    let wrong = t.wrong.take();
    let field = Field::new("Rams go in").width(110.0).example("as last year").refusal(wrong.as_deref());
    let field = field.understand(&read).nudge(&nudge);
    let typed = form.field(ui, &field, &mut t.text).response.changed();
    t.wrong = wrong.filter(|_| !typed);
    if form.finish(ui) != FormEvent::Submitted || t.text == stands {
        return false;
    }
    let day = match t.text.trim() {
        "" => Ok(String::new()),
        text => MonthDay::parse_typed(text).map(|d| d.to_string()).map_err(|e| e.0),
    };
    let checked = day.and_then(|joining_day| {
        let new = hirsel_core::flock::Holding { joining_day, ..ctx.flock.holding().clone() };
        entry::holding(new, ctx.flock).map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
    });
    match checked {
        Ok(checked) => {
            out.push(Intent::Write { checked: Box::new(checked), then: Then::PlanDone });
            true
        }
        Err(why) => {
            out.push(Intent::Say(Kind::Refuse, why.clone()));
            t.wrong = Some(why);
            false
        }
    }
}
