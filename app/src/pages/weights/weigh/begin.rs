//! The form that begins a session at the scale, or changes one.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState, escaped};
use hirsel_core::entry::{self, SessionDraft};
use hirsel_core::flock::Session;
use hirsel_core::phrase;
use hirsel_core::reckon::at_scale::{Group, Stand, due_for_session};
use hirsel_core::terms::{Day, Gut, ScoreKind, SessionId, counted};
use serde::{Deserialize, Serialize};

/// The particulars as typed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    group: PickerState<u64>,
    what: Option<u8>,
    scores: String,
    gut: Option<u8>,
    scale: String,
    on: String,
    time: String,
    note: String,
    #[serde(skip)]
    rows: Focus,
}

/// Groups with the number of animals in each.
type Counted = Vec<(String, usize)>;

/// The form's own focus and refusals; a copy of what is typed begins without them.
#[derive(Debug, Default)]
struct Focus(RowsForm, Option<(u64, Day, Counted)>);

impl Clone for Focus {
    fn clone(&self) -> Self {
        Self::default()
    }
}

/// What a session writes down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wants {
    Weights,
    Both,
    Scores,
}

impl Wants {
    pub(super) fn weighs(self) -> bool {
        self != Self::Scores
    }

    pub(super) fn scores(self) -> bool {
        self != Self::Weights
    }
}

const LABELS: f32 = 100.0;
const WANTS: [(u8, &str); 3] = [(0, "weights"), (1, "weights and scores"), (2, "scores alone")];
const GUTS: [(u8, &str); 2] = [(0, "fasted"), (1, "full")];

/// What came of the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Done {
    No,
    /// Closed without it.
    Left,
    /// Begun; its first animal writes it.
    Begun,
}

impl Typed {
    /// A session of the book.
    pub(super) fn of(held: &Session) -> Self {
        let opt = |o: &Option<String>| o.clone().unwrap_or_default();
        let mut group = PickerState::default();
        group.text = held.group.clone().unwrap_or_else(|| "anyone".into());
        Self {
            group,
            what: None,
            scores: String::new(),
            gut: held.gut.map(|g| u8::from(g == Gut::Full)),
            scale: opt(&held.scale),
            on: held.on.to_string(),
            time: held.time.map(|t| t.to_string()).unwrap_or_default(),
            note: opt(&held.note),
            rows: Focus::default(),
        }
    }

    /// For a new session: scale, state and scores as they were, day, time and note empty.
    pub(super) fn anew(&self) -> Self {
        Self { on: String::new(), time: String::new(), note: String::new(), ..self.clone() }
    }

    /// What a session of the book wrote down is written down on; one without a row goes on as is usual.
    pub(super) fn seen(&mut self, rows: &[Stand], usual: &Self) {
        let mut kinds: Vec<ScoreKind> = rows.iter().flat_map(|r| &r.scores).map(|(_, s)| s.kind()).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let weighed = rows.iter().any(|r| r.weight.is_some());
        if rows.is_empty() {
            (self.what, self.scores) = (usual.what, usual.scores.clone());
            return;
        }
        self.what = Some(if kinds.is_empty() { 0 } else { 2 - u8::from(weighed) });
        self.scores = kinds.iter().map(|k| k.word()).collect::<Vec<_>>().join(", ");
    }

    pub(super) fn aim(&mut self, label: &'static str) {
        self.rows.0.aim(label);
    }

    pub(super) fn what(&self) -> Wants {
        match self.what {
            Some(1) => Wants::Both,
            Some(2) => Wants::Scores,
            _ => Wants::Weights,
        }
    }

    /// The scores to be given, in the order typed.
    pub(super) fn kinds(&self) -> Vec<ScoreKind> {
        kinds(&self.scores).unwrap_or_default()
    }

    /// The particulars; the day apart.
    ///
    /// # Errors
    /// The label of the field that is wrong, and what is wrong.
    pub(super) fn read(&self, ctx: &Ctx<'_>) -> Result<(Day, SessionDraft), Wrong> {
        let on = fields::day_or_today(ctx, &self.on).map_err(|e| ("Day", e))?;
        let time = fields::time_of(&self.time).map_err(|e| ("Time", e))?;
        let gut = self.gut.map(|n| if n == 1 { Gut::Full } else { Gut::Fasted });
        let group = fields::some(&self.group.text).filter(|t| t != "anyone");
        let (scale, note) = (fields::some(&self.scale), fields::some(&self.note));
        Ok((on, SessionDraft { time, scale, group, gut, note }))
    }
}

/// Score words, each by its beginning: `cond, eye` or `condition eyelid`.
fn kinds(text: &str) -> Result<Vec<ScoreKind>, String> {
    let mut all = Vec::new();
    for word in text.split([',', ' ', ';']).map(str::trim).filter(|w| !w.is_empty()) {
        let low = word.to_lowercase();
        let found: Vec<ScoreKind> =
            ScoreKind::ALL.into_iter().filter(|k| k.word().starts_with(&low)).collect();
        let kind = match found.as_slice() {
            [one] => *one,
            _ => ScoreKind::parse(word).map_err(|e| e.0)?,
        };
        if !all.contains(&kind) {
            all.push(kind);
        }
    }
    Ok(all)
}

fn find_group(groups: &[(String, usize)], typed: &str) -> Vec<Found<u64>> {
    let low = typed.trim().to_lowercase();
    let fits = groups.iter().zip(0u64..).filter(|((name, _), _)| name.to_lowercase().contains(&low));
    let mut found: Vec<Found<u64>> = fits
        .map(|((name, n), key)| Found { key, label: name.clone(), detail: counted(*n, "animal") })
        .collect();
    found.sort_by_key(|f| !f.label.to_lowercase().starts_with(&low));
    found
}

/// Draws the form. `held` is the session of the book that is changed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    held: Option<SessionId>,
    out: &mut Vec<Intent>,
) -> Done {
    look::subheading(ui, if held.is_some() { "Change the session" } else { "Begin a session at the scale" });
    let mut rows = std::mem::take(&mut t.rows);
    let on = fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today);
    if rows.1.as_ref().is_none_or(|(v, day, _)| (*v, *day) != (ctx.flock.version(), on)) {
        rows.1 = Some((ctx.flock.version(), on, due_for_session(ctx.flock, on)));
    }
    let groups = rows.1.as_ref().map(|(.., g)| g.as_slice()).unwrap_or_default();
    let mut form = Form::new(ui, "begin session").label_width(LABELS);
    rows.0.drawn(ui, &form, &[]);
    let picker =
        Picker::new("Group", ctx.flock.version()).width(240.0).example("pen, ram lambs, ewes").free();
    form.picker(ui, &picker, &mut t.group, |typed| find_group(groups, typed));
    let known = groups.iter().any(|(name, _)| name.eq_ignore_ascii_case(t.group.text.trim()));
    if !known && !t.group.text.trim().is_empty() && t.group.chosen().is_none() {
        look::faint(ui, "No pen and no kind of animals: a word of your own, so nobody is listed as missing.");
    }
    t.what.get_or_insert(0);
    form.choice(ui, &Choice::new("Write down", &WANTS), &mut t.what);
    if t.what().scores() {
        scores(ui, &mut form, &mut t.scores);
    }
    form.choice(ui, &Choice::new("They come", &GUTS).optional(), &mut t.gut);
    form.field(ui, &Field::new("Scale").width(240.0).example("crate in the yard"), &mut t.scale);
    if held.is_none() {
        form.day(ui, ctx, "Day", &mut t.on, None);
    }
    form.time(ui, "Time", &mut t.time);
    form.field(ui, &Field::new("Note").width(240.0).example("after shearing"), &mut t.note);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    let mut left = escaped(ui);
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        let words = if held.is_some() { "Write the changes" } else { "Begin" };
        go |= look::primary(ui, words).clicked();
        left |= ui.button(phrase!("Leave it")).clicked();
        look::faint(ui, "Ctrl+Enter begins at once.");
    });
    t.rows = rows;
    if !go {
        return if left { Done::Left } else { Done::No };
    }
    let done = kinds(&t.scores).map_err(|e| ("Scores", e)).and_then(|k| {
        if t.what().scores() && k.is_empty() {
            return Err(("Scores", phrase!("which scores? Write condition, eyelid, dag or others")));
        }
        t.read(ctx)
    });
    match (done, held) {
        (Err(wrong), _) => {
            t.rows.0.send(Err(wrong), out);
            Done::No
        }
        (Ok((on, _)), None) if on > ctx.today => {
            t.rows.0.send(Err(("Day", phrase!("{} has not come yet", on.words()))), out);
            Done::No
        }
        (Ok(_), None) => {
            t.group.text = Group::read(ctx.flock, &t.group.text).words();
            Done::Begun
        }
        (Ok((_, draft)), Some(id)) => {
            match entry::session(id, draft, ctx.flock) {
                Ok(checked) => {
                    out.push(Intent::Write { checked: Box::new(checked), then: Then::WeightsDone });
                }
                Err(r) => out.extend(r.first().map(|r| Intent::Say(Kind::Refuse, r.to_string()))),
            }
            Done::No
        }
    }
}

/// Which scores: typed, or chosen by a click.
fn scores(ui: &mut egui::Ui, form: &mut Form, text: &mut String) {
    let field = Field::new("Scores").width(240.0).example("condition, eyelid, dag");
    form.field(ui, &field.understand(&|t| kinds(t).map(|_| String::new())), text);
    ui.scope(|ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = egui::vec2(space::XS, 0.0);
            let all = kinds(text).unwrap_or_default();
            for kind in ScoreKind::ALL {
                let on = all.contains(&kind);
                if ui
                    .selectable_label(on, crate::look::spoken(kind.word()))
                    .on_hover_text(crate::look::spoken(kind.scale()))
                    .clicked()
                {
                    let kept = all.iter().copied().filter(|k| *k != kind);
                    let words: Vec<&str> = kept.chain((!on).then_some(kind)).map(ScoreKind::word).collect();
                    *text = words.join(", ");
                }
            }
        });
    });
    let scales = kinds(text).unwrap_or_default();
    if !scales.is_empty() {
        let scales: Vec<String> = scales.iter().map(|k| phrase!("{}: {}", k.word(), k.scale())).collect();
        look::faint(ui, scales.join("; "));
    }
}
