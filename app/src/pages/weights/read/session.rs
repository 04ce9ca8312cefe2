//! What is said of the session, who is missing, and the step that writes.

use super::super::super::{Ctx, Intent, Then, fields};
use super::LABELS;
use crate::desk::scale::Ready;
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, Checked, IdentityDraft, Retag, ScoringDraft, SessionDraft};
use hirsel_core::exchange::scale::Role;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, Gut, IdentityKind, Moment, Score, ScoreKind, Tag};
use serde::{Deserialize, Serialize};

/// As typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    scale: String,
    group: String,
    gut: Option<usize>,
    day: String,
    score: String,
    word: String,
    /// The keyboard is to come here.
    #[serde(skip)]
    pub(super) into: bool,
    /// The day the file was read for.
    #[serde(skip)]
    said: Option<Day>,
}

const GUTS: [(usize, &str); 2] = [(0, "fasted"), (1, "full")];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, t: &mut Typed, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    let has_day = p.columns.iter().any(|c| matches!(c.role, Role::Day | Role::DayTime));
    let mut form = Form::new(ui, "scale session").label_width(LABELS);
    let first = if ready.asked > 0 && !p.is_tags_only { "Why" } else { "Group" };
    form.focus_once(ui, &mut t.into, first);
    if !has_day {
        form.day(ui, ctx, "Day", &mut t.day, None);
    }
    let group = Field::new("Group").width(240.0).example("a pen, a field, ram lambs");
    if p.is_tags_only {
        form.field(ui, &group, &mut t.group);
        form.field(ui, &Field::new("Score all").width(240.0).example("condition 3"), &mut t.score);
    } else {
        let mut about = |ui: &mut egui::Ui, form: &mut Form| {
            form.field(ui, &group, &mut t.group);
            form.field(ui, &Field::new("Scale").width(240.0).example("crate in the shed"), &mut t.scale);
        };
        let mut how = |ui: &mut egui::Ui, form: &mut Form| {
            form.choice(ui, &Choice::new("They come", &GUTS).optional(), &mut t.gut);
            if ready.asked > 0 {
                let asked = match ready.asked {
                    1 => phrase!("1 weight looks unlikely: say why it is right"),
                    n => phrase!("{n} things look unlikely: say why they are right"),
                };
                let field = Field::new("Why").width(180.0).example("weighed twice").asked(Some(&asked));
                form.field(ui, &field, &mut t.word);
            }
        };
        // Side by side where there is room: the lines below are what is looked at.
        if ui.available_width() > 800.0 {
            ui.columns(2, |halves| {
                if let [left, right] = halves {
                    about(left, &mut form);
                    how(right, &mut form);
                }
            });
        } else {
            about(ui, &mut form);
            how(ui, &mut form);
        }
    }
    let submitted = form.finish(ui) == FormEvent::Submitted;
    if !has_day {
        let day = fields::day_or_today(ctx, &t.day).ok();
        if day.is_some() && day != ready.choice.on.or(Some(ctx.today)) && day != t.said {
            t.said = day;
            let mut choice = ready.choice.clone();
            choice.on = day;
            out.push(Intent::ScaleAs(Box::new(choice)));
        }
    }
    absent(ui, ctx, ready, &t.group);
    buttons(ui, ctx, ready, t, submitted, out);
}

/// Animals of the pen that are not in the file.
fn absent(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, group: &str) {
    if group.trim().is_empty() {
        return;
    }
    let all = ready.preview.absent(ctx.flock, &ctx.flock.pen_called(group));
    if all.is_empty() {
        return;
    }
    let tags: Vec<&str> = all.iter().take(12).map(|id| ctx.flock.tag(*id)).collect();
    let more =
        if all.len() > tags.len() { phrase!(" and {} more", all.len() - tags.len()) } else { String::new() };
    let text = phrase!("Of {} not in the file: {}{more}", &group.trim(), tags.join(", "));
    ui.horizontal_wrapped(|ui| {
        ui.add_space(LABELS + space::S);
        look::sentence(ui, Kind::Caution, &text);
    });
}

fn buttons(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    ready: &Ready,
    t: &mut Typed,
    submitted: bool,
    out: &mut Vec<Intent>,
) {
    let p = &ready.preview;
    for (line, why) in ready.refused.iter().take(3) {
        look::refusal(ui, phrase!("Line {line}: {why}"));
    }
    let mut go = submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        let words = match (p.is_tags_only, p.taken()) {
            (true, _) => phrase!("Write the score for all"),
            (_, 1) => "Write 1 animal as a session".into(),
            (_, n) => phrase!("Write {n} animals as a session"),
        };
        let can = p.ask.is_none() && ready.refused.is_empty() && (p.is_tags_only || p.taken() > 0);
        go |= ui.add_enabled_ui(can, |ui| look::primary(ui, words)).inner.clicked();
        go &= can;
        if !p.new_numbers.is_empty() {
            let n = p.new_numbers.len();
            let words = if n == 1 {
                "Give 1 animal its number".into()
            } else {
                phrase!("Give {n} animals their numbers")
            };
            if ui.button(crate::look::spoken(words)).clicked() {
                give(ctx, ready, out);
            }
        }
        if ui.button(phrase!("Leave it")).clicked() {
            out.push(Intent::LeaveScale);
        }
    });
    if go {
        let intent = if p.is_tags_only { scores(ctx, ready, t) } else { weights(ctx, ready, t) };
        out.push(intent.unwrap_or_else(|why| Intent::Say(Kind::Refuse, why)));
    }
}

fn weights(ctx: &Ctx<'_>, ready: &Ready, t: &Typed) -> Result<Intent, String> {
    let draft = SessionDraft {
        time: None,
        scale: fields::some(&t.scale),
        group: fields::some(&t.group),
        gut: t.gut.map(|g| if g == 0 { Gut::Fasted } else { Gut::Full }),
        note: None,
    };
    let checks = ready.preview.checks(&draft, ctx.flock, ctx.today);
    let all: Vec<Checked> = checks
        .into_iter()
        .map(|d| d.check.map_err(|why| why.first().map(ToString::to_string).unwrap_or_default()))
        .collect::<Result<_, _>>()?;
    let word = match t.word.trim() {
        "" => String::new(),
        word => phrase!("{word}; read from {}", ready.preview.file, word = &word),
    };
    Ok(Intent::WriteAll { what: ready.preview.written(), all, word, then: Then::ScaleRead })
}

/// One score for all that were there, in the order they came.
fn scores(ctx: &Ctx<'_>, ready: &Ready, t: &Typed) -> Result<Intent, String> {
    let typed = t.score.trim();
    let (kind, figure) = typed.split_once(' ').unwrap_or(("condition", typed));
    if figure.is_empty() {
        return Err("which score? Write it like condition 3".into());
    }
    let kind = ScoreKind::parse(kind).map_err(|e| e.0)?;
    let score = Score::parse(kind, figure).map_err(|e| e.0)?;
    let at = |id| {
        let row = ready.preview.rows.iter().find(|r| r.animal() == Some(id));
        row.and_then(|r| r.at).unwrap_or(Moment::day(ctx.today))
    };
    let drafts: Vec<ScoringDraft> = ready
        .preview
        .order()
        .into_iter()
        .map(|animal| ScoringDraft { animal, at: at(animal), score, note: None })
        .collect();
    let check = entry::scorings(drafts, ctx.flock, ctx.today);
    let checked = check.map_err(|why| why.first().map(ToString::to_string).unwrap_or_default())?;
    let what = phrase!("{} of {} animals", score.words(), ready.preview.order().len());
    Ok(Intent::Write { checked: Box::new(checked.called(what)), then: Then::ScaleRead })
}

/// The electronic numbers that stand beside a tag go to its animal.
fn give(ctx: &Ctx<'_>, ready: &Ready, out: &mut Vec<Intent>) {
    let mut all = Vec::new();
    for n in &ready.preview.new_numbers {
        let on = ready.preview.rows.iter().find(|r| r.line == n.line).and_then(|r| r.at);
        let on = on.map_or(ctx.today, |a| a.day);
        match wear(ctx, n.animal, &n.number, on) {
            Ok(checked) => all.push(checked),
            Err(why) => return out.push(Intent::Say(Kind::Refuse, why)),
        }
    }
    let what = phrase!("{} electronic numbers", all.len());
    out.push(Intent::WriteAll { what, all, word: "read with the reader".into(), then: Then::Nothing });
}

/// An animal that wears this electronic number from now on.
pub(super) fn wear(
    ctx: &Ctx<'_>,
    animal: hirsel_core::terms::AnimalId,
    number: &str,
    on: Day,
) -> Result<Checked, String> {
    let tag = Tag::parse(number).map_err(|e| e.0)?;
    let new = Some(IdentityDraft { kind: IdentityKind::Electronic, tag });
    let check = entry::retag(Retag { animal, ends: None, new, on }, ctx.flock, ctx.today);
    check.map_err(|why| why.first().map(ToString::to_string).unwrap_or_default())
}
