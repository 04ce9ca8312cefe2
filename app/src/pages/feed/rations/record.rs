//! One line of the rations opened: to amend it or strike it out.

use super::super::super::{Ctx, Intent, Then, fields};
use super::form::{each_of, group_of};
use super::{Sent, State};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended};
use hirsel_core::flock::{Ration, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::in_measure;
use hirsel_core::terms::{Day, RationId};
use serde::{Deserialize, Serialize};

/// The opened line and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    of: Option<RationId>,
    /// The fields are filled from the line.
    filled: bool,
    group: String,
    pen: String,
    each: String,
    from: String,
    note: String,
    reason: String,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// Opens a line.
    pub(super) fn open(&mut self, id: RationId) {
        *self = Self { of: Some(id), focus: true, ..Self::default() };
    }

    /// A line is open.
    pub(super) fn is_open(&self) -> bool {
        self.of.is_some()
    }

    /// It is written: back to the form.
    pub(super) fn done(&mut self) {
        *self = Self::default();
    }

    fn fill(&mut self, ctx: &Ctx<'_>, r: &Ration) {
        if std::mem::replace(&mut self.filled, true) {
            return;
        }
        let room = ctx.flock.feedroom();
        let typed = r.measure.and_then(|m| in_measure(room, r.each, m, ctx.today));
        self.each = typed.unwrap_or_else(|| phrase!("{} kg", r.each.kg_text()));
        self.group = r.eaters.words().into();
        self.pen = r.pen.clone().unwrap_or_default();
        self.from = r.from.to_string();
        self.note = r.note.clone().unwrap_or_default();
    }
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let held = state.record.of.and_then(|id| ctx.flock.feedroom().rations.iter().find(|r| r.id == id));
    let Some(r) = held else {
        state.record.done();
        return;
    };
    state.record.fill(ctx, r);
    let name = ctx.flock.feedroom().name(r.feed).to_string();
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, phrase!("{name} to {}, from {}", r.eaters.words(), r.from.words()));
        trail(ui, ctx, r);
        if let Some(s) = &r.struck {
            look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
        } else {
            fields_of(ui, ctx, state, r, out);
        }
        ui.add_space(space::XS);
        close = ui.button(phrase!("Back (Esc)")).clicked() || crate::parts::escaped(ui);
    });
    if close {
        state.record.done();
        state.rows.aim(state.typed.begins());
    }
}

fn trail(ui: &mut egui::Ui, ctx: &Ctx<'_>, r: &Ration) {
    for a in ctx.flock.amendments(RecordRef::Ration(r.id)) {
        let fields: Vec<String> =
            a.fields.iter().map(|(field, old, new)| format!("{field}: {old} → {new}")).collect();
        let why = if a.reason.is_empty() { String::new() } else { format!(" ({})", a.reason) };
        look::faint(ui, phrase!("Amended {} by {}{why}: {}", a.at, a.who, fields.join(", ")));
    }
}

fn fields_of(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, r: &Ration, out: &mut Vec<Intent>) {
    let Some(feed) = ctx.flock.feedroom().feed(r.feed) else { return };
    let t = &mut state.record;
    let mut form = Form::new(ui, "ration opened").label_width(100.0);
    form.focus_once(ui, &mut t.focus, "A head a day");
    let group = |x: &str| group_of(x).map(|e| e.words().to_string());
    form.field(ui, &Field::new("Group").width(200.0).understand(&group), &mut t.group);
    form.field(ui, &Field::new("Pen").width(200.0).example("everywhere"), &mut t.pen);
    let from = Day::parse_typed(&t.from, ctx.today).unwrap_or(r.from);
    let each = |x: &str| each_of(ctx, feed, x, from).map(|(m, _)| m.show(ctx.units()));
    form.field(ui, &Field::new("A head a day").width(150.0).understand(&each), &mut t.each);
    form.day(ui, ctx, "From", &mut t.from, None);
    form.field(ui, &Field::new("Note").width(220.0), &mut t.note);
    form.field(ui, &Field::new("Reason").width(240.0).example("why it is changed"), &mut t.reason);
    let amend = form.finish(ui) == FormEvent::Submitted;
    let (mut write, mut strike) = (amend, false);
    ui.horizontal_wrapped(|ui| {
        write |= look::primary(ui, "Write the amendment").clicked();
        strike = ui.button(phrase!("Strike it out")).clicked();
        look::faint(ui, "Both need a reason. A change from a day on is a new line instead.");
    });
    let made = if strike {
        entry::strike_kept(RecordRef::Ration(r.id), &t.reason, ctx.flock, ctx.today)
            .map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
    } else if write {
        amended(ctx, r, t)
    } else {
        return;
    };
    match made {
        Ok(checked) => {
            state.sent = Sent::Record;
            out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone });
        }
        Err(why) => out.push(Intent::Say(Kind::Refuse, why)),
    }
}

fn amended(ctx: &Ctx<'_>, r: &Ration, t: &Typed) -> Result<entry::Checked, String> {
    let feed = ctx.flock.feedroom().feed(r.feed).ok_or("the feed is no longer there")?;
    let from = Day::parse_typed(&t.from, ctx.today).map_err(|e| e.0)?;
    let (each, measure) = each_of(ctx, feed, &t.each, from)?;
    let new = Ration {
        eaters: group_of(&t.group)?,
        pen: fields::some(&t.pen).map(|p| ctx.flock.pen_called(&p)),
        from,
        each,
        measure,
        note: fields::some(&t.note),
        ..r.clone()
    };
    entry::amend(Amended::Ration(new), &t.reason, ctx.flock, ctx.today)
        .map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
}
