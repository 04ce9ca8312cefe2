//! One line of money opened: to amend it or strike it out.

use super::super::super::{Ctx, Intent, Then, fields};
use super::{kind_of, kind_words};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended};
use hirsel_core::flock::{Money, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, MoneyId, Price};
use serde::{Deserialize, Serialize};

/// The opened line and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    of: Option<MoneyId>,
    on: String,
    kind: String,
    amount: String,
    group: String,
    note: String,
    reason: String,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// Opens a line.
    pub(super) fn open(&mut self, ctx: &Ctx<'_>, id: MoneyId) {
        let Some(m) = held(ctx, id) else { return };
        *self = Self {
            of: Some(id),
            on: m.on.to_string(),
            kind: m.kind.words().into(),
            amount: m.amount.to_string(),
            group: m.group.clone().unwrap_or_default(),
            note: m.note.clone().unwrap_or_default(),
            reason: String::new(),
            focus: true,
        };
    }

    /// A line is open.
    pub(super) fn is_open(&self) -> bool {
        self.of.is_some()
    }

    /// It is written: back to the list.
    pub(super) fn done(&mut self) {
        *self = Self::default();
    }
}

fn held<'a>(ctx: &'a Ctx<'_>, id: MoneyId) -> Option<&'a Money> {
    ctx.flock.daybook().money.iter().find(|m| m.id == id)
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    let Some(m) = t.of.and_then(|id| held(ctx, id)) else {
        t.done();
        return;
    };
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, phrase!("{} of {}", kind_words(m.kind), m.on.words()));
        if let Some(s) = &m.struck {
            look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
        }
        for a in ctx.flock.amendments(RecordRef::Money(m.id)) {
            look::strong(ui, phrase!("Amended {} by {}: {}", a.at, a.who, a.reason));
            for (field, old, new) in &a.fields {
                ui.horizontal_wrapped(|ui| {
                    ui.label(format!("{field}:"));
                    ui.label(
                        egui::RichText::new(if old.is_empty() { "nothing" } else { old }).strikethrough(),
                    );
                    ui.label(format!("→ {}", if new.is_empty() { "nothing" } else { new }));
                });
            }
        }
        ui.add_space(space::S);
        let close = ui.button(phrase!("Back to the list (Esc)")).clicked() || crate::parts::escaped(ui);
        if m.struck.is_none() {
            form(ui, ctx, m, t, out);
        }
        if close {
            t.done();
        }
    });
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, m: &Money, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "money record").label_width(80.0);
    form.focus_once(ui, &mut t.focus, "Amount");
    form.day(ui, ctx, "Day", &mut t.on, None);
    let read = |x: &str| kind_of(x).map(kind_words);
    form.field(ui, &Field::new("Kind").width(150.0).understand(&read), &mut t.kind);
    let read = |x: &str| Price::parse(x).map(|p| p.to_string()).map_err(|e| e.0);
    form.field(ui, &Field::new("Amount").width(110.0).understand(&read), &mut t.amount);
    form.field(ui, &Field::new("Group").width(180.0).example("the whole flock"), &mut t.group);
    form.field(ui, &Field::new("Note").width(240.0), &mut t.note);
    form.field(ui, &Field::new("Reason").width(260.0).example("why it is changed"), &mut t.reason);
    let mut amend = form.finish(ui) == FormEvent::Submitted;
    let mut strike = false;
    ui.horizontal_wrapped(|ui| {
        amend |= look::primary(ui, "Write the amendment").clicked();
        strike = ui.button(phrase!("Strike it out")).clicked();
        look::faint(ui, "Both need a reason; the old value stays readable.");
    });
    let made = if strike {
        entry::strike_kept(RecordRef::Money(m.id), &t.reason, ctx.flock, ctx.today)
            .map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
    } else if amend {
        amended(ctx, m, t)
    } else {
        return;
    };
    match made {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::FiguresDone }),
        Err(why) => out.push(Intent::Say(Kind::Refuse, why)),
    }
}

fn amended(ctx: &Ctx<'_>, m: &Money, t: &Typed) -> Result<entry::Checked, String> {
    let new = Money {
        on: Day::parse_typed(&t.on, ctx.today).map_err(|e| e.0)?,
        kind: kind_of(&t.kind)?,
        amount: Price::parse(&t.amount).map_err(|e| e.0)?,
        group: fields::some(&t.group),
        note: fields::some(&t.note),
        ..m.clone()
    };
    entry::amend(Amended::Money(new), &t.reason, ctx.flock, ctx.today)
        .map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
}
