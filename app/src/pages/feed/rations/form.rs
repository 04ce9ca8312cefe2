//! The form of a ration, Enter by Enter: whom, where, which feed, how much a head, from when; and the trade's proposal.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use super::{Answer, Sent, State, label};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, RationDraft};
use hirsel_core::flock::{Feed, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::{Heads, TRADE_RULE, heads_words};
use hirsel_core::terms::{Day, Eaters, Mass, MeasureId, norm};
use serde::{Deserialize, Serialize};

/// The line as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    group: PickerState<u64>,
    pen: PickerState<u64>,
    feed: PickerState<u64>,
    each: String,
    from: String,
    note: String,
}

impl Typed {
    /// The field the work begins with.
    pub(super) fn begins(&self) -> &'static str {
        if self.group.text.is_empty() { "Group" } else { "Feed" }
    }

    /// The group as it stands in the form.
    pub(super) fn group_text(&self) -> &str {
        &self.group.text
    }

    /// The line is written: group, pen and day stay for the next feed.
    pub(super) fn written(&mut self, _ctx: &Ctx<'_>, rows: &mut RowsForm) {
        self.feed.clear();
        self.each.clear();
        self.note.clear();
        rows.other_written("Feed");
    }
}

const LABELS: f32 = 100.0;

/// Groups by any part of their words.
pub(super) fn groups(heads: &Heads, text: &str) -> Vec<Found<u64>> {
    let low = text.trim().to_lowercase();
    let fits = |e: &Eaters| e.words().contains(&low) || e.word().contains(&low);
    let detail = |e: Eaters| match heads.of(None, e) {
        0 => phrase!("none now"),
        1 => phrase!("1 head now"),
        n => phrase!("{n} heads now"),
    };
    let all = (0u64..).zip(Eaters::ALL).filter(|(_, e)| fits(e));
    let mut all: Vec<(bool, Found<u64>)> = all
        .map(|(key, e)| (heads.of(None, *e) == 0, Found { key, label: e.words().into(), detail: detail(*e) }))
        .collect();
    all.sort_by_key(|(none, _)| *none);
    all.into_iter().map(|(_, f)| f).collect()
}

fn pens(ctx: &Ctx<'_>, heads: &Heads, text: &str) -> Vec<Found<u64>> {
    let low = text.trim().to_lowercase();
    let mut names: Vec<(String, usize)> =
        heads.pens.iter().filter(|p| !p.pen.is_empty()).map(|p| (p.pen.clone(), p.all())).collect();
    for r in &ctx.flock.feedroom().rations {
        if let Some(pen) = r.pen.as_deref().filter(|p| !names.iter().any(|(n, _)| norm(n) == norm(p))) {
            names.push((pen.to_string(), 0));
        }
    }
    names.sort_by(|a, b| natural(&a.0, &b.0));
    let detail = |n| match n {
        0 => phrase!("empty now"),
        1 => phrase!("1 head now"),
        n => phrase!("{n} heads now"),
    };
    (0u64..)
        .zip(names)
        .filter(|(_, (name, _))| name.to_lowercase().contains(&low))
        .map(|(key, (name, n))| Found { key, label: name, detail: detail(n) })
        .collect()
}

fn feeds(ctx: &Ctx<'_>, text: &str) -> Vec<Found<u64>> {
    let low = text.trim().to_lowercase();
    (0u64..)
        .zip(&ctx.flock.feedroom().feeds)
        .filter(|(_, f)| f.name.to_lowercase().contains(&low))
        .map(|(key, f)| Found { key, label: f.name.clone(), detail: f.kind.words().into() })
        .collect()
}

/// A group as typed.
pub(super) fn group_of(text: &str) -> Result<Eaters, String> {
    if text.trim().is_empty() {
        return Err(phrase!("which group eats it? Type a part of its name"));
    }
    let low = text.trim().to_lowercase();
    let mut fits = Eaters::ALL.iter().filter(|e| e.words().contains(&low));
    match (fits.next(), fits.next()) {
        (Some(one), None) => Ok(*one),
        _ => Eaters::parse(text).map_err(|e| e.0),
    }
}

fn feed_of<'a>(ctx: &'a Ctx<'_>, text: &str) -> Result<&'a Feed, String> {
    if text.trim().is_empty() {
        return Err(phrase!("which feed? Feeds are written under Store"));
    }
    ctx.flock
        .feedroom()
        .by_name(text)
        .ok_or_else(|| phrase!("no feed is called '{}': write it under Store first", text.trim()))
}

/// What a head gets, as typed.
pub(super) fn each_of(
    ctx: &Ctx<'_>,
    feed: &Feed,
    text: &str,
    on: Day,
) -> Result<(Mass, Option<MeasureId>), String> {
    let room = ctx.flock.feedroom();
    room.amount(feed, text, on.max(ctx.today), ctx.units()).map_err(|e| e.0)
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    answer: &Answer,
    out: &mut Vec<Intent>,
) {
    let half = !state.typed.each.is_empty();
    state.rows.carry_day(ctx, half, &mut state.typed.from, &mut String::new());
    let t = &mut state.typed;
    let mut form = Form::new(ui, "ration").label_width(LABELS);
    state.rows.drawn(ui, &form, &["Feed", "A head a day", "Note"]);
    let wrong = |name| state.rows.wrong(name);
    let (group, feed, each, from) = (wrong("eaters"), wrong("feed"), wrong("each"), wrong("from"));
    let version = ctx.flock.version();
    look::faint(ui, "These stay from line to line:");
    let picker = Picker::new("Group", version).width(220.0).example("nursing two").refusal(group.as_deref());
    form.picker(ui, &picker, &mut t.group, |text| groups(&answer.heads, text));
    let picker = Picker::new("Pen", version).width(220.0).example("everywhere").free();
    form.picker(ui, &picker, &mut t.pen, |text| pens(ctx, &answer.heads, text));
    form.day(ui, ctx, "From", &mut t.from, from.as_deref());
    ui.add_space(space::XS);
    look::faint(ui, "One feed after another, Enter by Enter:");
    let picker = Picker::new("Feed", version).width(220.0).example("as under Store").refusal(feed.as_deref());
    form.picker(ui, &picker, &mut t.feed, |text| feeds(ctx, text));
    let from = fields::day_or_today(ctx, &t.from).unwrap_or(ctx.today);
    let heads = group_of(&t.group.text).ok().map(|e| {
        let pen = label(&t.pen);
        (answer.heads.of(pen.as_deref(), e), e)
    });
    let read = |text: &str| {
        let (mass, _) = each_of(ctx, feed_of(ctx, &t.feed.text)?, text, from)?;
        Ok(understood(ctx, mass, heads))
    };
    let field = Field::new("A head a day").width(150.0).example("1 flake, 2 scoops").understand(&read);
    form.field(ui, &field.refusal(each.as_deref()), &mut t.each);
    form.field(ui, &Field::new("Note").width(220.0), &mut t.note);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the ration").clicked();
        look::faint(ui, "As fed. 0 ends a feed from that day on; a pen's own line goes before the group's.");
    });
    if go {
        let line = checked(ctx, state);
        if line.is_ok() {
            state.sent = Sent::Line;
        }
        state.rows.send(line, out);
    }
    proposal(ui, ctx, state, answer, out);
}

fn understood(ctx: &Ctx<'_>, mass: Mass, heads: Option<(u32, Eaters)>) -> String {
    if mass.is_none() {
        return phrase!("no more of it from that day on");
    }
    let each = mass.show(ctx.units());
    match heads {
        Some((n, e)) if n > 0 => {
            let all = Mass::from_grams(mass.grams().saturating_mul(u64::from(n))).unwrap_or(mass);
            phrase!("{each}; {n} {}: {} a day", heads_words(n, e), all.show(ctx.units()))
        }
        _ => each,
    }
}

fn checked(ctx: &Ctx<'_>, state: &mut State) -> Result<Intent, Wrong> {
    let t = &state.typed;
    let eaters = group_of(&t.group.text).map_err(|e| ("Group", e))?;
    let from = fields::day_or_today(ctx, &t.from).map_err(|e| ("From", e))?;
    let feed = feed_of(ctx, &t.feed.text).map_err(|e| ("Feed", e))?;
    if t.each.trim().is_empty() {
        return Err(("A head a day", phrase!("how much does a head get a day? 0 ends it")));
    }
    let (each, measure) = each_of(ctx, feed, &t.each, from).map_err(|e| ("A head a day", e))?;
    let draft = RationDraft {
        eaters,
        pen: label(&t.pen),
        feed: feed.name.clone(),
        from,
        each,
        measure,
        note: fields::some(&t.note),
    };
    let labels = [("feed", "Feed"), ("each", "A head a day"), ("from", "From"), ("pen", "Pen")];
    let check = entry::rations(vec![draft], ctx.flock);
    state.rows.checked(check, Then::FeedDone, &labels, "Group")
}

/// The trade's rule, written with one key.
fn proposal(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, answer: &Answer, out: &mut Vec<Intent>) {
    let lines = match &answer.proposal {
        Ok(lines) if lines.is_empty() => return,
        Ok(lines) => lines,
        Err(why) => {
            ui.add_space(space::S);
            look::faint(ui, TRADE_RULE);
            look::faint(ui, phrase!("Not proposed: {why}."));
            return;
        }
    };
    ui.add_space(space::S);
    look::faint(ui, TRADE_RULE);
    let told: Vec<String> = lines
        .iter()
        .map(|l| phrase!("{} of {} to {}", l.each.show(ctx.units()), l.feed, l.eaters.words()))
        .collect();
    ui.label(format!("{}.", told.join("; ")));
    let free = ui.memory(|m| m.focused().is_none() && m.top_modal_layer().is_none());
    let key = free && ui.input(|i| i.key_pressed(egui::Key::T) && !i.modifiers.any());
    if ui.button(phrase!("Write the trade's rule (T)")).clicked() || key {
        match entry::rations(lines.clone(), ctx.flock) {
            Ok(checked) => {
                state.sent = Sent::Proposal;
                out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone });
            }
            Err(r) => out.extend(r.first().map(|r| Intent::Say(Kind::Refuse, r.to_string()))),
        }
    }
}
