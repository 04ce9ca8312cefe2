//! The form of a pen's creep: filled, level seen, looked at, feed changed, opened, its trough, closed.

use super::write::said;
use crate::look::{self, Kind, space};
use crate::pages::{Ctx, Intent, Then, fields};
use crate::parts::caution;
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, Checked, CreepDraft, FeedMoveDraft, PenCheckDraft};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Board, PenCreep};
use hirsel_core::terms::Why;
use hirsel_core::terms::{CheckKind, FeedChange, FeedId, Level, Mass};
use serde::{Deserialize, Serialize};

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum What {
    Filled,
    Level,
    Looked,
    Changed,
    Trough,
    Closed,
    Opened,
}

const OF_OPEN: [(What, &str); 6] = [
    (What::Filled, "filled"),
    (What::Level, "level seen"),
    (What::Looked, "looked at"),
    (What::Changed, "feed changed"),
    (What::Trough, "its trough"),
    (What::Closed, "closed"),
];

const LOOKS: [(CheckKind, &str); 4] = [
    (CheckKind::Trough, "trough"),
    (CheckKind::Gate, "gate"),
    (CheckKind::Lamp, "lamp"),
    (CheckKind::Water, "water"),
];

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// What is written; none while the form is closed.
    pub what: Option<What>,
    /// The pen it is of, or as typed.
    pub pen: String,
    feed: PickerState<FeedId>,
    amount: String,
    level: String,
    looked: Option<CheckKind>,
    fault: String,
    holds: String,
    on: String,
    time: String,
    note: String,
    #[serde(skip)]
    pub focus: Option<&'static str>,
    #[serde(skip)]
    wrong: Option<(&'static str, String)>,
}

impl Typed {
    /// Opens it for a creep.
    pub(super) fn show(&mut self, ctx: &Ctx<'_>, c: &PenCreep, what: What) {
        *self = Self { what: Some(what), pen: c.pen.clone(), ..Self::default() };
        self.looked = Some(CheckKind::Gate);
        self.holds = c.trough.holds.map(|m| m.show(ctx.units())).unwrap_or_default();
        let fits = c.fits_now.or(c.fits_next);
        let feed = if what == What::Changed { fits } else { c.feed.as_ref().map(|f| f.feed) };
        if let Some(found) = feed.and_then(|id| found(ctx, id)) {
            self.feed.choose(found);
        }
        self.focus = Some(match what {
            What::Filled => "Amount",
            What::Level => "Level",
            What::Looked => "Looked at",
            What::Changed => "Feed",
            What::Trough => "Trough holds",
            What::Closed | What::Opened => "Day",
        });
    }

    /// Opens it for a new creep in a pen, or one that is to be named.
    pub(super) fn open_new(&mut self, pen: &str) {
        *self = Self { what: Some(What::Opened), pen: pen.into(), ..Self::default() };
        self.focus = Some(if pen.is_empty() { "Pen" } else { "Feed" });
    }

    /// Closes it.
    pub(super) fn close(&mut self) {
        *self = Self::default();
    }
}

fn found(ctx: &Ctx<'_>, id: FeedId) -> Option<Found<FeedId>> {
    let feed = ctx.flock.feedroom().feed(id)?;
    Some(Found { key: id, label: feed.name.clone(), detail: feed.kind.words().into() })
}

/// Feeds that fit a text.
fn find(ctx: &Ctx<'_>, text: &str) -> Vec<Found<FeedId>> {
    let low = text.to_lowercase();
    let room = ctx.flock.feedroom();
    let fit = room.feeds.iter().filter(|f| f.name.to_lowercase().contains(&low));
    fit.filter_map(|f| found(ctx, f.id)).collect()
}

const LABELS: f32 = 120.0;

/// Draws it; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    board: &Board,
    out: &mut Vec<Intent>,
) -> bool {
    let Some(what) = t.what else { return true };
    let pen = hirsel_core::terms::norm(&t.pen);
    let of = board.creeps.iter().find(|c| hirsel_core::terms::norm(&c.pen) == pen && what != What::Opened);
    if of.is_none() && what != What::Opened {
        return true;
    }
    let (mut go, mut closed) = (false, false);
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.horizontal(|ui| {
            let title = if of.is_some() { phrase!("Creep in {}", t.pen) } else { phrase!("Open a creep") };
            look::subheading(ui, title);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                closed |= look::icon_button(ui, look::Icon::Cross, "Close").clicked();
            });
        });
        if let Some(c) = of {
            told(ui, ctx, c, what);
        }
        ui.add_space(space::XS);
        let mut form = Form::new(ui, "creep").label_width(LABELS);
        if let Some(label) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, label);
            t.focus = wish.then_some(label);
        }
        if of.is_some() {
            form.choice(ui, &Choice::new("It was", &OF_OPEN), &mut t.what);
        }
        fields_of(ui, ctx, t, &mut form);
        go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            ui.add_space(LABELS + space::S);
            go |= look::primary(ui, "Write it").clicked();
            closed |= ui.button(phrase!("Back to the board (Esc)")).clicked();
        });
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if go {
        match checked(ctx, t, of) {
            Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone }),
            Err((label, text)) => {
                out.push(Intent::Say(Kind::Refuse, text.clone()));
                (t.focus, t.wrong) = (Some(label), Some((label, text)));
            }
        }
    }
    closed
}

/// What is known of the pen, and what to beware of.
fn told(ui: &mut egui::Ui, ctx: &Ctx<'_>, c: &PenCreep, what: What) {
    let mut all = vec![c.lambs_words(), c.level_words(ctx.today)];
    all.extend(c.fill_words(ctx.units()));
    all.extend(c.lasts_words(ctx.today));
    look::faint(ui, all.join("; "));
    if what == What::Changed {
        look::faint(ui, c.step_words().join("; "));
        let room = ctx.flock.feedroom();
        let name = |id: Option<FeedId>| id.map(|id| room.name(id).to_string());
        if let Some(feed) = name(c.fits_now).or(name(c.fits_next)) {
            look::faint(
                ui,
                phrase!("Proposed: {feed}, the feed of the store that comes nearest to the step"),
            );
        }
        caution::sentence(
            ui,
            Kind::Caution,
            &[Why::FeedChange],
            "Change over some days, the two mixed: a sudden change upsets the stomach.",
        );
    }
    let twice = |words: &&String| what == What::Changed && words.starts_with("change the feed");
    for words in c.cautions(ctx.today, ctx.units()).iter().filter(|w| !twice(w)).take(2) {
        caution::sentence(ui, Kind::Caution, &[Why::Creep], words);
    }
}

fn fields_of(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let Some(what) = t.what else { return };
    let wrong = t.wrong.clone();
    let wrong = |label: &str| wrong.as_ref().filter(|(l, _)| *l == label).map(|(_, w)| w.clone());
    let [pen, feed, amount, level, fault, holds, day] =
        ["Pen", "Feed", "Amount", "Level", "What is wrong", "Trough holds", "Day"].map(wrong);
    let units = ctx.units();
    if what == What::Opened {
        let field = Field::new("Pen").width(220.0).example("Jug 3").refusal(pen.as_deref());
        form.field(ui, &field, &mut t.pen);
    }
    if matches!(what, What::Filled | What::Changed | What::Opened) {
        let picker = Picker::new("Feed", ctx.flock.version()).width(260.0).example("what is in it");
        form.picker(ui, &picker.refusal(feed.as_deref()), &mut t.feed, |text| find(ctx, text));
    }
    let chosen = t.feed.chosen().and_then(|id| ctx.flock.feedroom().feed(id).cloned());
    let read = |text: &str| -> Result<String, String> {
        let room = ctx.flock.feedroom();
        let amount = match &chosen {
            Some(f) => room.amount(f, text, ctx.today, units).map(|(m, _)| m),
            None => Mass::parse(text, units),
        };
        amount.map(|m| m.show(units)).map_err(|e| e.0)
    };
    if matches!(what, What::Filled | What::Changed) {
        let field = Field::new("Amount").width(160.0).example("empty: to the top").understand(&read);
        form.field(ui, &field.refusal(amount.as_deref()), &mut t.amount);
    }
    let full = |text: &str| Level::parse(text).map(|l| l.to_string()).map_err(|e| e.0);
    if matches!(what, What::Filled | What::Changed | What::Level) {
        let label = if what == What::Level { "Level" } else { "Level before" };
        let field = Field::new(label).width(200.0).example("half, 1/4, 40 %, empty").understand(&full);
        form.field(ui, &field.refusal(level.as_deref()), &mut t.level);
    }
    if what == What::Looked {
        form.choice(ui, &Choice::new("Looked at", &LOOKS), &mut t.looked);
        let field = Field::new("What is wrong").width(320.0).example("empty: it is in order");
        form.field(ui, &field.refusal(fault.as_deref()), &mut t.fault);
    }
    if matches!(what, What::Opened | What::Trough) {
        let plain = |text: &str| Mass::parse(text, units).map(|m| m.show(units)).map_err(|e| e.0);
        let field = Field::new("Trough holds").width(160.0).example("10 kg when full").understand(&plain);
        form.field(ui, &field.refusal(holds.as_deref()), &mut t.holds);
    }
    if what != What::Trough {
        form.day(ui, ctx, "Day", &mut t.on, day.as_deref());
    }
    if matches!(what, What::Filled | What::Changed | What::Level | What::Looked) {
        form.time(ui, "Time", &mut t.time);
    }
    form.field(ui, &Field::new("Note").width(320.0), &mut t.note);
}

type Wrong = (&'static str, String);

fn checked(ctx: &Ctx<'_>, t: &Typed, of: Option<&PenCreep>) -> Result<Checked, Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let on = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let time = fields::time_of(&t.time).map_err(at("Time"))?;
    let units = ctx.units();
    let name = || {
        let chosen = t.feed.chosen().map(|id| ctx.flock.feedroom().name(id).to_string());
        chosen.or_else(|| fields::some(&t.feed.text))
    };
    let note = fields::some(&t.note);
    let amount = |feed: &str| -> Result<Option<Mass>, Wrong> {
        let Some(text) = fields::some(&t.amount) else { return Ok(None) };
        let room = ctx.flock.feedroom();
        let read = match room.by_name(feed) {
            Some(f) => room.amount(f, &text, on, units).map(|(m, _)| m),
            None => Mass::parse(&text, units),
        };
        read.map(Some).map_err(|e| ("Amount", e.0))
    };
    let level =
        |label| fields::some(&t.level).map(|l| Level::parse(&l)).transpose().map_err(|e| (label, e.0));
    let holds = || {
        let read = fields::some(&t.holds).map(|h| Mass::parse(&h, units)).transpose();
        read.map_err(|e| ("Trough holds", e.0))
    };
    let fed = |feed: String, amount: Option<Mass>, level: Option<Level>| {
        let mut draft = FeedMoveDraft::of(feed, on, FeedChange::Fed);
        (draft.pen, draft.time, draft.note) = (Some(t.pen.clone()), time, note.clone());
        (draft.amount, draft.level) = (amount, level);
        draft
    };
    let refused = |r: Vec<entry::Refusal>| {
        let label = match r.first().map(|r| r.field.name) {
            Some("on" | "from" | "to") => "Day",
            Some("pen") if t.what == Some(What::Opened) => "Pen",
            Some("feed") => "Feed",
            Some("amount") => "Amount",
            _ => "Note",
        };
        (label, r.first().map(ToString::to_string).unwrap_or_default())
    };
    let same = |c: &PenCreep| CreepDraft {
        id: Some(c.creep),
        pen: c.pen.clone(),
        from: c.since,
        to: None,
        feed: creep_feed(ctx, c),
        holds: c.trough.holds,
        note: creep_note(ctx, c),
    };
    match (t.what, of) {
        (Some(What::Opened), _) => {
            let draft = CreepDraft {
                id: None,
                pen: t.pen.clone(),
                from: on,
                to: None,
                feed: name(),
                holds: holds()?,
                note,
            };
            entry::creeps(vec![draft], ctx.flock, ctx.today).map_err(refused)
        }
        (Some(What::Trough), Some(c)) => {
            let mut draft = same(c);
            draft.holds = holds()?;
            draft.note = note.or(draft.note);
            entry::creeps(vec![draft], ctx.flock, ctx.today).map_err(refused)
        }
        (Some(What::Closed), Some(c)) => {
            let mut draft = same(c);
            draft.to = Some(on);
            draft.note = note.or(draft.note);
            entry::creeps(vec![draft], ctx.flock, ctx.today).map_err(refused)
        }
        (Some(What::Level), Some(c)) => {
            let level = level("Level")?
                .ok_or(("Level", phrase!("how full is it? Write half, 1/4, 40 % or empty")))?;
            let feed = c.feed.as_ref().map(|f| f.name.clone());
            let feed = feed
                .ok_or(("Level", phrase!("what is in it is not written: write what was filled in first")))?;
            let checked = said(entry::feed_moves(vec![fed(feed, None, Some(level))], ctx.flock, ctx.today));
            checked.map(|c| c.called(phrase!("Creep in {}: {level}", t.pen))).map_err(|e| ("Level", e))
        }
        (Some(What::Looked), Some(_)) => {
            let what = t.looked.unwrap_or(CheckKind::Gate);
            let (pen, fault) = (t.pen.clone(), fields::some(&t.fault));
            let draft = PenCheckDraft { pen, on, time, what, fault, note };
            entry::pen_checks(vec![draft], ctx.flock, ctx.today).map_err(refused)
        }
        (Some(_), Some(_)) => {
            let feed = name().ok_or(("Feed", phrase!("what was filled in? Choose the feed")))?;
            let (amount, before) = (amount(&feed)?, level("Level before")?);
            // Nothing weighed: filled to the top. The level before is a look of its own then.
            let drafts = match (amount, before) {
                (Some(_), _) => vec![fed(feed, amount, before)],
                (None, Some(before)) if of.is_some_and(|c| c.trough.holds.is_some()) => {
                    let holds = of.and_then(|c| c.trough.holds).unwrap_or_default();
                    let room = Mass::from_kg(holds.kg() * f64::from(100 - before.percent()) / 100.0);
                    vec![fed(feed, room.filter(|m| !m.is_none()), Some(before))]
                }
                (None, Some(before)) => {
                    vec![fed(feed.clone(), None, Some(before)), fed(feed, None, Some(Level::FULL))]
                }
                (None, None) => vec![fed(feed, None, Some(Level::FULL))],
            };
            let shown = amount.map_or(phrase!("to the top"), |m| phrase!("with {}", m.show(units)));
            let checked = entry::feed_moves(drafts, ctx.flock, ctx.today).map_err(refused)?;
            Ok(checked.called(phrase!("Creep in {} filled {shown}", t.pen)))
        }
        _ => Err(("Note", phrase!("the creep is no longer open"))),
    }
}

/// The feed with which a creep was opened, as it stands.
fn creep_feed(ctx: &Ctx<'_>, c: &PenCreep) -> Option<String> {
    let room = ctx.flock.feedroom();
    let creep = room.creeps.iter().find(|o| o.id == c.creep)?;
    creep.feed.map(|id| room.name(id).to_string())
}

fn creep_note(ctx: &Ctx<'_>, c: &PenCreep) -> Option<String> {
    ctx.flock.feedroom().creeps.iter().find(|o| o.id == c.creep)?.note.clone()
}
