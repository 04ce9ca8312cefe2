//! The form of a step: its times, for whom, with what; a step of the keeper's own has more.

use super::super::{Ctx, Intent, Then};
use super::facts;
use super::typed::{AFTER, BY, KEPT, MEANT, SEXES, Typed, Wrong, standing, year};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker};
use hirsel_core::entry::{self, Check};
use hirsel_core::phrase;
use hirsel_core::plan::{DoneBy, Span, Step, Whom, kinds, shipped_steps};
use hirsel_core::terms::{Sex, counted};

/// Room for the labels.
const LABELS: f32 = 106.0;

/// The labels of the fields, by the names the checks use.
const FIELDS: [(&str, &str); 9] = [
    ("short", "In a few words"),
    ("job", "The whole job"),
    ("anchor", "Counted from"),
    ("done_by", "Completed by"),
    ("earliest", "Earliest"),
    ("due", "Due"),
    ("late", "Late after"),
    ("close", "Not after"),
    ("season", "Year"),
];

/// The step in hand: its facts and the form to change it. Tells whether a change was handed to the book.
pub(super) fn of_step(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    height: f32,
    out: &mut Vec<Intent>,
) -> bool {
    let plan = ctx.flock.plan();
    let season = t.season().unwrap_or_default();
    let Some(step) = standing(plan, season, &t.key).cloned() else {
        look::paragraph(ui, "Choose a step with the arrow keys; Enter leads into its form.");
        return false;
    };
    look::subheading(ui, step.job_said().into_owned());
    let mut go = false;
    let room = (height - 76.0).max(84.0);
    let key = t.key.clone();
    let area = egui::ScrollArea::vertical().id_salt(("step", &key)).max_height(room);
    area.auto_shrink([false, false]).show(ui, |ui| {
        if ui.available_width() > 700.0 {
            let left = egui::vec2(ui.available_width() * 0.34, 0.0);
            ui.horizontal_top(|ui| {
                ui.allocate_ui_with_layout(left, egui::Layout::top_down(egui::Align::Min), |ui| {
                    ui.set_width(left.x);
                    facts::view(ui, ctx, &step, t);
                });
                ui.add_space(space::L);
                ui.vertical(|ui| go = change(ui, ctx, &step, t));
            });
        } else {
            facts::view(ui, ctx, &step, t);
            ui.add_space(space::S);
            go = change(ui, ctx, &step, t);
        }
    });
    ui.add_space(space::XS);
    buttons(ui, ctx, t, go, out)
}

/// The fields of a step that is in the plan.
fn change(ui: &mut egui::Ui, ctx: &Ctx<'_>, step: &Step, t: &mut Typed) -> bool {
    let (before, half) = ((t.one_year, t.year.clone()), t.is_half_typed());
    let go = fields(ui, ctx, step, t, "step");
    if before != (t.one_year, t.year.clone()) && !half && t.season().is_ok() {
        t.fill(ctx); // as it stands for those years
    }
    go
}

/// Writes a change or takes it back; tells whether one was handed to the book.
fn buttons(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, mut go: bool, out: &mut Vec<Intent>) -> bool {
    let season = t.season().unwrap_or_default();
    let plan = ctx.flock.plan();
    let changed = plan.change(season, &t.key).is_some();
    let shipped = shipped_steps().iter().any(|s| s.key == t.key);
    let back = match (season, shipped) {
        (None, true) => "As shipped",
        (Some(_), _) if plan.standing(None, &t.key).is_some() => "As in every year",
        _ => "Take it out of the plan",
    };
    let mut sent = false;
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Write the change").clicked();
        if ui.add_enabled(changed, egui::Button::new(crate::look::spoken(back))).clicked() {
            sent |= hand_over(entry::plan_as_shipped(season, &t.key, ctx.flock), t, out);
        }
        if t.is_half_typed() {
            if ui
                .button(phrase!("As it stands"))
                .on_hover_text(phrase!("Throws away what is typed here"))
                .clicked()
            {
                t.fill(ctx);
            }
            look::word(ui, Kind::Caution, "changed, not yet written");
        } else {
            look::faint(ui, plan.stands(&t.key));
        }
    });
    if go && !sent {
        sent = write(ctx, t, out).is_some();
    }
    sent
}

/// The form of a new step. Gives its key if it was handed to the book, and whether the form was closed.
pub(super) fn new_step(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    height: f32,
    out: &mut Vec<Intent>,
) -> (Option<String>, bool) {
    let (mut go, mut close) = (false, false);
    look::subheading(ui, "A step of your own");
    let room = (height - 76.0).max(84.0);
    egui::ScrollArea::vertical().id_salt("own").max_height(room).auto_shrink([false, false]).show(ui, |ui| {
        let blank = Step::from_toml(BLANK).ok();
        if let Some(blank) = blank {
            go = fields(ui, ctx, &blank, t, "own step");
        }
    });
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Add the step").clicked();
        if ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui) {
            close = true; // what is typed stays
        }
        look::faint(ui, "It is asked for like any other step; what is typed here is kept until it is added.");
    });
    let sent = if go { write(ctx, t, out) } else { None };
    (sent, close)
}

/// What a new step is before anything is typed.
const BLANK: &str = "key = 'own'\nfor = 'lamb'\njob = 'own'\nshort = 'own'\nanchor = 'birth'\nearliest = '0 d'\n\
    due = '0 d'\nclose = '0 d'\nsource = 'common practice, no source'";

/// Draws the fields; tells whether they were submitted.
fn fields(ui: &mut egui::Ui, ctx: &Ctx<'_>, step: &Step, t: &mut Typed, name: &str) -> bool {
    let mut form = Form::new(ui, name).label_width(LABELS);
    if let Some(label) = t.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            t.focus = None;
        }
    }
    if t.own {
        own(ui, ctx, t, &mut form);
    }
    times(ui, t, &mut form);
    let whom = t.whom();
    if whom == Whom::Lamb {
        let kept = step
            .when
            .sex
            .as_deref()
            .map(|all| words(all.iter().map(|s: &Sex| s.words())))
            .unwrap_or_default();
        choice(ui, &mut form, "Sex", SEXES.map(|(_, w)| w), &kept, &mut t.sex);
        let kept = step
            .when
            .meant_for
            .as_deref()
            .map(|all| words(all.iter().map(|m| m.words())))
            .unwrap_or_default();
        choice(ui, &mut form, "Meant for", MEANT.map(|(_, w)| w), &kept, &mut t.meant);
        choice(ui, &mut form, "Reared by", BY.map(|(_, w)| w), "", &mut t.by);
    }
    let known = ctx.flock.product(t.product.text.trim()).is_some() || t.product.text.trim().is_empty();
    let caution = (!known).then_some("is not in the cupboard");
    let picker = Picker::new("Product", ctx.flock.version()).free().example("any that fits, or one by name");
    form.picker(ui, &picker.caution(caution), &mut t.product, |text| {
        let low = text.to_lowercase();
        let all =
            ctx.flock.products().iter().filter(|p| !low.is_empty() && p.name.to_lowercase().contains(&low));
        all.map(|p| Found {
            key: p.id,
            label: p.name.clone(),
            detail: p.substance.clone().unwrap_or_default(),
        })
        .collect()
    });
    if t.own {
        let field = Field::new("Caution").width(420.0).example("what to beware of");
        form.field(ui, &field, &mut t.caution);
        let field = Field::new("Stands on").width(420.0).example("where it is written, if anywhere");
        form.field(ui, &field, &mut t.source);
    }
    form.choice(ui, &Choice::new("Asked for", &[(false, "yes"), (true, "left out")]), &mut t.off);
    form.choice(ui, &Choice::new("Holds for", &[(false, "every year"), (true, "one year")]), &mut t.one_year);
    if t.one_year == Some(true) {
        let read = |x: &str| year(x).map(|y| phrase!("counted from a day in {y}"));
        let nudge = |x: &str, n: i32| year(x).ok().map(|y| (y + n).to_string());
        let wrong = wrong(t, "season");
        let field = Field::new("Year").width(80.0).understand(&read).nudge(&nudge).refusal(wrong.as_deref());
        form.field(ui, &field, &mut t.year);
    }
    if let Some(text) = wrong(t, "step") {
        look::refusal(ui, &text);
    }
    form.finish(ui) == FormEvent::Submitted
}

fn words<'a>(all: impl Iterator<Item = &'a str>) -> String {
    all.collect::<Vec<_>>().join(" or ")
}

fn wrong(t: &Typed, name: &str) -> Option<String> {
    t.wrong.iter().find(|(field, _)| *field == name).map(|(_, why)| why.clone())
}

/// A choice of these words; what stands and has none of them is one word more.
fn choice<const N: usize>(
    ui: &mut egui::Ui,
    form: &mut Form,
    label: &'static str,
    words: [&'static str; N],
    kept: &str,
    value: &mut Option<u8>,
) {
    let options: Vec<(u8, &'static str)> = (0u8..).zip(words).collect();
    let said: Vec<(u8, String)> =
        options.iter().map(|(n, word)| (*n, look::said(word).into_owned())).collect();
    let kept = (!kept.is_empty() && *value == Some(KEPT)).then_some((KEPT, kept));
    let options: Vec<(u8, &str)> = said.iter().map(|(n, word)| (*n, word.as_str())).chain(kept).collect();
    form.choice(ui, &Choice::names(label, &options), value);
}

/// The four times beside each other, and what they mean under them.
fn times(ui: &mut egui::Ui, t: &mut Typed, form: &mut Form) {
    let all: [(&'static str, &str, &str); 4] = [
        ("earliest", "Earliest", "0 d"),
        ("due", "Due", "4 w"),
        ("late", "Late after", "none"),
        ("close", "Not after", "8 w"),
    ];
    let refusals = all.map(|(name, ..)| wrong(t, name));
    let read = |x: &str| Span::parse(x).map(|_| String::new()).map_err(|e| e.0);
    let nudge = |x: &str, n: i32| nudged(x, n);
    let draw = |ui: &mut egui::Ui, form: &mut Form, n: usize, text: &mut String| {
        let (_, label, example) = all[n];
        let field = Field::new(label).width(70.0).example(example).understand(&read).nudge(&nudge);
        form.field(ui, &field.refusal(refusals[n].as_deref()), text);
    };
    // What is wrong needs the room beside its field.
    let good = refusals.iter().all(Option::is_none);
    let side_by_side = match ui.available_width() {
        wide if wide > 620.0 && good => 4,
        wide if wide > 380.0 && good => 2,
        _ => 1,
    };
    let texts = [&mut t.earliest, &mut t.due, &mut t.late, &mut t.close];
    if side_by_side == 1 {
        for (n, text) in texts.into_iter().enumerate() {
            draw(ui, form, n, text);
        }
    } else {
        ui.columns(side_by_side, |c| {
            for (n, text) in texts.into_iter().enumerate() {
                let first = side_by_side == 2 && n % 2 == 0;
                form.set_label_width(if first { LABELS } else { 68.0 });
                draw(&mut c[n % side_by_side], form, n, text);
            }
        });
        form.set_label_width(LABELS);
    }
    look::faint(ui, meaning(t));
}

/// A day more or less, an hour or a quarter of one for short spans.
fn nudged(text: &str, n: i32) -> Option<String> {
    let now = Span::parse(text).ok()?.in_minutes();
    let by = match text.trim().trim_start_matches(['-', '−']).trim_start_matches(|c: char| !c.is_alphabetic())
    {
        unit if unit.starts_with("min") => 15,
        unit if unit.starts_with('h') => 60,
        unit if unit.starts_with('w') => 7 * 1440,
        _ => 1440,
    };
    Some(Span::minutes(now + by * i64::from(n)).to_string())
}

/// What the times say, in one line.
fn meaning(t: &Typed) -> String {
    let read = |text: &str| Span::parse(text).ok().filter(|s| !text.trim().is_empty() && *s != Span::ZERO);
    let due = Span::parse(&t.due).map(|s| phrase!("due {}", s.words())).ok();
    let other = |before: &'static str, text: &str| read(text).map(|s| phrase!("{before} {}", s.words()));
    let all = [
        other("too soon until", &t.earliest),
        due,
        other("late after", &t.late),
        other("not after", &t.close),
    ];
    let words: Vec<String> = all.into_iter().flatten().collect();
    match words.as_slice() {
        [] => phrase!("Times are written like 15 min, 6 h, 3 d or 6 w; with a minus they lie before."),
        _ => phrase!("That is: {}.", words.join(", ")),
    }
}

/// What only a step of the keeper's own lets one change.
fn own(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let refusal = wrong(t, "short");
    let field = Field::new("In a few words").width(240.0).example("as on the barn sheet");
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.short);
    let refusal = wrong(t, "job");
    let field = Field::new("The whole job").width(420.0).example("empty: the same words");
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.job);
    if t.key.is_empty() {
        let whom = Whom::ALL.map(|w| (w, w.words()));
        if form.choice(ui, &Choice::new("For", &whom), &mut t.whom).changed() {
            (t.anchor, t.done, t.kind) = (Some(0), Some(0), None);
            (t.sex, t.meant, t.by) = (Some(0), Some(0), Some(0));
        }
    }
    let whom = t.whom();
    let mut anchors: Vec<(u8, &str)> = (0u8..).zip(whom.anchors().iter().map(|a| a.words())).collect();
    anchors.push((AFTER, "another step"));
    let refusal = wrong(t, "anchor");
    let asked = t.anchor != Some(AFTER);
    let field = Choice::new("Counted from", &anchors).refusal(refusal.as_deref().filter(|_| asked));
    form.choice(ui, &field, &mut t.anchor);
    if t.anchor == Some(AFTER) {
        let plan = ctx.flock.plan();
        let picker = Picker::new("Which step", ctx.flock.version()).free().example("any part of its words");
        form.picker(ui, &picker.refusal(refusal.as_deref()), &mut t.after, |text| {
            let low = text.to_lowercase();
            let mut found: Vec<Found<usize>> = Vec::new();
            for (n, s) in plan.all().enumerate().filter(|(_, s)| s.whom == whom && s.key != t.key) {
                let fits = !low.is_empty() && format!("{} {}", s.short, s.job).to_lowercase().contains(&low);
                if fits && !found.iter().any(|f| f.label == s.short) {
                    found.push(Found { key: n, label: s.short.clone(), detail: s.job.clone() });
                }
            }
            found
        });
    }
    let done: Vec<String> = DoneBy::choices(whom).iter().map(DoneBy::words).collect();
    let done: Vec<(u8, &str)> = (0u8..).zip(done.iter().map(String::as_str)).collect();
    let refusal = wrong(t, "done_by");
    form.choice(ui, &Choice::names("Completed by", &done).refusal(refusal.as_deref()), &mut t.done);
    let of_kind = t.done.and_then(|n| DoneBy::choices(whom).get(usize::from(n)).cloned());
    if matches!(of_kind, Some(DoneBy::Treatment(_))) {
        let all = std::iter::once("any").chain(kinds().map(|(name, _)| name));
        let all: Vec<(u8, &str)> = (0u8..).zip(all).collect();
        t.kind = t.kind.or(Some(0));
        form.choice(ui, &Choice::new("Kind", &all), &mut t.kind);
    }
}

/// Checks and hands over; gives the key of the step.
fn write(ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) -> Option<String> {
    let wrong = match t.step(ctx) {
        Ok((season, step)) => {
            let key = step.key.clone();
            return hand_over(entry::plan_step(season, step, ctx.flock), t, out).then_some(key);
        }
        Err(wrong) => wrong,
    };
    refuse(wrong, t, out);
    None
}

fn hand_over(check: Check, t: &mut Typed, out: &mut Vec<Intent>) -> bool {
    match check {
        Ok(checked) => {
            t.wrong.clear();
            out.push(Intent::Write { checked: Box::new(checked), then: Then::PlanDone });
            true
        }
        Err(refusals) => {
            let wrong = refusals.iter().map(|r| (r.field.name, r.to_string())).collect();
            refuse(wrong, t, out);
            false
        }
    }
}

/// Keeps what is wrong for its fields, and leads the keyboard to the first of them.
fn refuse(wrong: Wrong, t: &mut Typed, out: &mut Vec<Intent>) {
    if let Some((field, why)) = wrong.first() {
        let label = FIELDS.iter().find(|(name, _)| name == field).map_or("Due", |(_, label)| label);
        let more = wrong.len() - 1;
        let words =
            if more > 0 { phrase!("{why} (and {} more)", counted(more, "fault")) } else { why.clone() };
        out.push(Intent::Say(Kind::Refuse, words));
        t.focus = Some(label.to_string());
    }
    t.wrong = wrong;
}
