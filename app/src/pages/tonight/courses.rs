//! Doses of courses that are to be given: a round for each pen, product and dose, and the form that writes them.
//!
//! A course that is not gone on with is cut short by amending its last dose: it was the last of so many. The reason and
//! the number that was meant at first stay readable beside that dose, and nothing is struck out.

use super::super::list::{By, List, Row, height, into_table};
use super::super::{Ctx, Intent, Then, fields};
use super::do_it::left_over;
use super::rounds::When;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended, Checked, DoseDraft, TreatmentDraft, TreatmentExtra};
use hirsel_core::flock::{CoursePart, Treatment, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::courses::{self, OpenDose};
use hirsel_core::terms::{AnimalId, Day, Moment, Words, counted};
use serde::{Deserialize, Serialize};
use std::hash::{Hash as _, Hasher as _};

/// One dose of a course for some animals of a pen.
#[derive(Debug, Clone)]
pub(super) struct Round {
    key: u64,
    pen: String,
    product: String,
    due: Moment,
    doses: Vec<OpenDose>,
}

impl Round {
    fn place(&self) -> &str {
        if self.pen.is_empty() { "no pen" } else { &self.pen }
    }

    fn dose(&self) -> String {
        self.doses.first().map(OpenDose::words).unwrap_or_default()
    }

    fn animals(&self) -> Vec<AnimalId> {
        self.doses.iter().map(|d| d.animal).collect()
    }

    fn is_due(&self, today: Day) -> bool {
        self.due.day <= today
    }

    /// `today, 18:00`.
    fn when(&self, today: Day) -> String {
        let day = match self.due.day.since(today) {
            0 => phrase!("today"),
            1 => phrase!("tomorrow"),
            -1 => phrase!("yesterday"),
            _ => self.due.day.short(),
        };
        self.due.time.map_or_else(|| day.clone(), |t| format!("{day}, {t}"))
    }
}

/// The rounds, made once for a version of the flock and a day, and the form over one of them.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Courses {
    what: Option<u8>,
    but: String,
    on: String,
    time: String,
    batch: String,
    given_by: String,
    why: String,
    /// The round the form is for.
    #[serde(skip)]
    open: Option<u64>,
    #[serde(skip)]
    rounds: Vec<Round>,
    /// The part of the list that was made.
    #[serde(skip)]
    listed: Option<When>,
    #[serde(skip)]
    list: List<u64>,
    #[serde(skip)]
    table: TableState<u64>,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    wrong: Option<(&'static str, String)>,
}

const WHAT: [(u8, &str); 2] = [(0, "given"), (1, "the course ends here")];
const TABLE: &str = "Doses to go on with";
const LABELS: f32 = 84.0;

impl Courses {
    /// The form is open.
    pub(super) fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Closes the form.
    pub(super) fn close(&mut self) {
        self.open = None;
        self.wrong = None;
    }

    /// Animals that are to get a dose by the end of today.
    pub(super) fn due(&self, today: Day) -> usize {
        self.rounds.iter().filter(|r| r.is_due(today)).map(|r| r.doses.len()).sum()
    }

    /// The first round that is due by the end of today: `Fellcillin, dose 2 of 3, for 2 animals in Top shed`.
    pub(super) fn first(&self, today: Day) -> Option<String> {
        let r = self.rounds.first().filter(|r| r.is_due(today))?;
        let n = counted(r.doses.len(), "animal");
        Some(phrase!("{}, {}, for {n} in {}", r.product, r.dose(), &r.place()))
    }

    /// Makes the rounds anew.
    pub(super) fn make(&mut self, ctx: &Ctx<'_>) {
        let mut all: Vec<Round> = Vec::new();
        for dose in courses::open_doses(ctx.flock) {
            if dose.due.day.since(ctx.today) > When::DAYS {
                continue;
            }
            let Some(last) = last_of(ctx, &dose) else { continue };
            let pen = ctx.flock.animal(dose.animal).and_then(|a| a.pen.clone()).unwrap_or_default();
            let mut hash = std::hash::DefaultHasher::new();
            (&pen, last.product.to_lowercase(), dose.part.nth, dose.part.of, dose.due).hash(&mut hash);
            let key = hash.finish();
            match all.iter_mut().find(|r| r.key == key) {
                Some(round) => round.doses.push(dose),
                None => {
                    let (product, due) = (last.product.clone(), dose.due);
                    all.push(Round {
                        key,
                        pen: pen.to_string(),
                        product: product.to_string(),
                        due,
                        doses: vec![dose],
                    });
                }
            }
        }
        all.sort_by(|a, b| a.due.cmp(&b.due).then_with(|| natural(&a.pen, &b.pen)));
        self.open = self.open.filter(|key| all.iter().any(|r| r.key == *key));
        self.rounds = all;
        self.listed = None;
    }

    /// Doses of one part of the list.
    pub(super) fn count(&self, when: When, today: Day) -> usize {
        let there = self.rounds.iter().filter(|r| When::of_day(r.due.day, today) == when);
        there.map(|r| r.doses.len()).sum()
    }

    fn list(&mut self, ctx: &Ctx<'_>, when: When) {
        if self.listed != Some(when) {
            let there = self.rounds.iter().filter(|r| When::of_day(r.due.day, ctx.today) == when);
            self.list.set(there.map(|r| row(ctx, r)).collect());
            self.listed = Some(when);
        }
    }

    fn show(&mut self, ctx: &Ctx<'_>, key: u64) {
        let Some(round) = self.rounds.iter().find(|r| r.key == key) else { return };
        let last = round.doses.first().and_then(|d| last_of(ctx, d));
        // A dose that is due later is written down when it is given: now, unless the keeper says otherwise.
        let due = Some(round.due).filter(|at| at.day <= ctx.today);
        let text = |t: Option<&Option<Words>>| t.and_then(|t| t.as_deref()).unwrap_or_default().to_string();
        self.what = Some(0);
        self.on = due.map(|at| at.day.to_string()).unwrap_or_default();
        self.time = due.and_then(|at| at.time).map(|t| t.to_string()).unwrap_or_default();
        self.batch = text(last.map(|t| &t.batch));
        self.given_by = text(last.map(|t| &t.given_by));
        (self.but, self.why) = (String::new(), String::new());
        (self.open, self.wrong, self.focus) = (Some(key), None, Some("They are"));
    }
}

/// The dose before an open one.
fn last_of<'a>(ctx: &'a Ctx<'_>, dose: &OpenDose) -> Option<&'a Treatment> {
    ctx.flock.file(dose.animal)?.treatments.iter().find(|t| t.id == dose.after)
}

fn whom(ctx: &Ctx<'_>, animals: &[AnimalId]) -> String {
    match animals {
        [] => String::new(),
        [a] => ctx.flock.tag(*a).to_string(),
        [a, b] => format!("{}, {}", ctx.flock.tag(*a), ctx.flock.tag(*b)),
        [a, ..] => phrase!("{} and {} more", &ctx.flock.tag(*a), animals.len() - 1),
    }
}

fn row(ctx: &Ctx<'_>, r: &Round) -> Row<u64> {
    let whom = whom(ctx, &r.animals());
    let (when, by) = (r.when(ctx.today), By::Number(r.due.day.since(ctx.today)));
    let cell = if r.due.day < ctx.today {
        Cell::chip(Kind::Refuse, when.clone())
    } else if r.is_due(ctx.today) {
        Cell::chip(Kind::Caution, when.clone())
    } else {
        Cell::text(when.clone())
    };
    Row::new(r.key)
        .tag(r.place())
        .text(r.product.clone())
        .text(r.dose())
        .text(whom.clone())
        .cell(cell, by, when.clone())
        .said(format!("{}, {}, {}, {whom}, {when}", r.place(), r.product, r.dose()))
}

/// Draws the rounds of one part of the list, if there are any. `into` asks for the keyboard where a dose is due; tells
/// whether it was taken.
pub(super) fn rounds(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut Courses, when: When, into: bool) -> bool {
    state.list(ctx, when);
    if state.list.rows.is_empty() {
        return false;
    }
    look::subheading(ui, format!("{TABLE} ({})", state.list.rows.len()));
    let columns = [
        Column::new("Pen", 96.0),
        Column::new("Product", 150.0).rest(),
        Column::new("Dose", 92.0),
        Column::new("For", 130.0),
        Column::new("Due", 126.0),
    ];
    let mut opened = None;
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 1, 4));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if into {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(key) = event {
                opened = Some(key);
            }
        }
    });
    ui.add_space(space::M);
    if let Some(key) = opened {
        state.show(ctx, key);
    }
    into
}

/// Draws the form over one round; tells whether it is to be closed.
pub(super) fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Courses, out: &mut Vec<Intent>) -> bool {
    let Some(round) = t.open.and_then(|key| t.rounds.iter().find(|r| r.key == key).cloned()) else {
        return true;
    };
    let mut close = false;
    look::card(ui, |ui| {
        ui.horizontal(|ui| {
            let n = counted(round.doses.len(), "animal");
            look::subheading(ui, phrase!("{}, {}: {n} in {}", round.product, round.dose(), &round.place()));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                close |= look::icon_button(ui, look::Icon::Cross, "Close").clicked();
            });
        });
        told(ui, ctx, &round);
        ui.add_space(space::XS);
        let mut form = Form::new(ui, "go on").label_width(LABELS);
        if let Some(field) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, field);
            if !wish {
                t.focus = None;
            }
        }
        let wrong = |label| t.wrong.as_ref().filter(|(l, _)| *l == label).map(|(_, w)| w.clone());
        let [but, day, batch, why] = ["All but", "Day", "Batch", "Why"].map(wrong);
        form.choice(ui, &Choice::new("They are", &WHAT), &mut t.what);
        let field = Field::new("All but").width(300.0).example("0417, 0391");
        form.field(ui, &field.refusal(but.as_deref()), &mut t.but);
        if t.what == Some(1) {
            let field = Field::new("Why").width(300.0).example("well again, the vet changed it");
            form.field(ui, &field.refusal(why.as_deref()), &mut t.why);
        } else {
            form.day(ui, ctx, "Day", &mut t.on, day.as_deref());
            form.time(ui, "Time", &mut t.time);
            let field = Field::new("Batch").width(140.0).example("on the bottle");
            form.field(ui, &field.refusal(batch.as_deref()), &mut t.batch);
            form.field(ui, &Field::new("Given by").width(220.0), &mut t.given_by);
        }
        let mut go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            ui.add_space(LABELS + space::S);
            let word = if t.what == Some(1) { "End the course" } else { "Write the dose" };
            go |= look::primary(ui, word).clicked();
            close |= ui.button(phrase!("Leave it")).clicked();
        });
        if go {
            match write(ctx, t, &round) {
                Ok(intent) => out.push(intent),
                Err((field, why)) => {
                    out.push(Intent::Say(Kind::Refuse, why.clone()));
                    (t.focus, t.wrong) = (Some(field), Some((field, why)));
                }
            }
        }
    });
    close
}

/// What was given last, animal by animal where it differs.
fn told(ui: &mut egui::Ui, ctx: &Ctx<'_>, round: &Round) {
    let said = |t: &Treatment| {
        let dose = t.dose.map_or_else(|| phrase!("dose not written"), |d| d.to_string());
        let route = t.route.map(|r| phrase!(" {}", r.words())).unwrap_or_default();
        phrase!("{dose}{route}, last given {}", t.at.words())
    };
    let mut groups: Vec<(String, Vec<AnimalId>)> = Vec::new();
    for dose in &round.doses {
        let Some(words) = last_of(ctx, dose).map(said) else { continue };
        match groups.iter_mut().find(|(w, _)| *w == words) {
            Some((_, all)) => all.push(dose.animal),
            None => groups.push((words, vec![dose.animal])),
        }
    }
    for (words, animals) in groups.iter().take(6) {
        look::faint(ui, format!("{}: {words}", whom(ctx, animals)));
    }
    if groups.len() > 6 {
        look::faint(ui, phrase!("and {} more, each as before", groups.len() - 6));
    }
    look::faint(ui, "Withdrawal counts from the last dose. The label and your vet decide.");
}

type Wrong = (&'static str, String);

fn write(ctx: &Ctx<'_>, t: &Courses, round: &Round) -> Result<Intent, Wrong> {
    let (over, _) = left_over(ctx, &t.but, &round.animals()).map_err(|e| ("All but", e))?;
    let kept: Vec<(&OpenDose, &Treatment)> = round
        .doses
        .iter()
        .filter(|d| !over.contains(&d.animal))
        .filter_map(|d| last_of(ctx, d).map(|t| (d, t)))
        .collect();
    if kept.is_empty() {
        return Err(("All but", phrase!("nobody is left: take some of these out")));
    }
    let n = match kept.as_slice() {
        [(one, _)] => ctx.flock.tag(one.animal).to_string(),
        many => counted(many.len(), "animal"),
    };
    if t.what == Some(1) {
        let end = |(_, last): &(&OpenDose, &Treatment)| -> Result<Checked, Wrong> {
            let mut new = (*last).clone();
            new.more.course = new.more.course.map(|c| CoursePart { of: c.nth, ..c });
            entry::amend(Amended::Treatment(new), &t.why, ctx.flock, ctx.today)
                .map_err(|r| ("Why", r.first().map(ToString::to_string).unwrap_or_default()))
        };
        let all = kept.iter().map(end).collect::<Result<Vec<_>, _>>()?;
        let what = phrase!("The course of {} ends before {}: {n}", round.product, round.dose());
        return Ok(Intent::WriteAll { what, all, word: t.why.clone(), then: Then::JobsDone });
    }
    let day = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let time = fields::time_of(&t.time).map_err(|e| ("Time", e))?;
    let drafts = kept.iter().map(|(dose, last)| next(t, Moment { day, time }, dose, last)).collect();
    let checked = entry::treatments(drafts, ctx.flock, ctx.today).map_err(|r| {
        let field = match r.first().map(|r| r.field.name) {
            Some("on" | "course") => "Day",
            Some("batch") => "Batch",
            _ => "All but",
        };
        (field, r.first().map(ToString::to_string).unwrap_or_default())
    })?;
    let checked = checked.called(format!("{}, {}: {n}", round.product, round.dose()));
    Ok(Intent::Write { checked: Box::new(checked), then: Then::JobsDone })
}

/// The next dose as the one before it, on its day and from its bottle.
fn next(t: &Courses, at: Moment, dose: &OpenDose, last: &Treatment) -> TreatmentDraft {
    TreatmentDraft {
        animals: vec![dose.animal],
        at,
        product: last.product.to_string(),
        batch: fields::some(&t.batch),
        dose: DoseDraft::Typed(last.dose),
        route: last.route,
        site: None, // another place than before
        reason: last.reason.as_deref().map(String::from),
        given_by: fields::some(&t.given_by),
        prescribed_by: last.prescribed_by.as_deref().map(String::from),
        meat: Some(last.meat),
        milk: Some(last.milk),
        more: TreatmentExtra {
            export: Some(last.more.export),
            off_label: last.more.off_label.as_deref().map(String::from),
            prescription: last.more.prescription,
            goes_on: Some(dose.part),
            ..TreatmentExtra::default()
        },
    }
}
