//! Choosing the paper, whom it is for, its sheet, and where it goes.

use super::super::{Ctx, Intent, fields};
use super::{Delivery, PaperKind, PaperSpec, State, Whom};
use crate::desk::printing::LaidState;
use crate::look::{self, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::flock::{AnimalFile, natural};
use hirsel_core::terms::{AnimalId, Day, Sex, Status};
use std::path::PathBuf;

/// Lambs born and ewes lambed within so many days are the usual choice.
const USUAL_DAYS: i64 = 30;

const KINDS: [(PaperKind, &str); 3] = [
    (PaperKind::LambCards, "Lamb cards"),
    (PaperKind::PenCards, "Pen cards"),
    (PaperKind::TreatmentLog, "Treatment log"),
];
const SHEETS: [(u8, &str); 4] = [(1, "1"), (2, "2"), (4, "4"), (8, "8")];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "papers").label_width(104.0);
    form.focus_once(ui, &mut state.focus, "Paper");
    let mut kind = Some(state.kind);
    form.choice(ui, &Choice::new("Paper", &KINDS), &mut kind);
    if let Some(kind) = kind.filter(|k| *k != state.kind) {
        state.kind = kind;
        state.path_typed = false;
        state.page = 0;
    }
    let usual = match state.kind {
        PaperKind::LambCards => "lambs born of late",
        PaperKind::PenCards => "ewes lambed of late",
        PaperKind::TreatmentLog => "all animals",
    };
    let chosen = format!("the {} chosen", state.chosen.len());
    let mut options = vec![(Whom::Usual, usual), (Whom::Pen, "a pen"), (Whom::One, "one animal")];
    if !state.chosen.is_empty() {
        options.push((Whom::Chosen, chosen.as_str()));
    }
    let mut whom = Some(state.whom);
    form.choice(ui, &Choice::new("For", &options), &mut whom);
    state.whom = whom.unwrap_or_default();
    match state.whom {
        Whom::Usual if state.kind != PaperKind::TreatmentLog => {
            let today = ctx.today;
            let read = |t: &str| Day::parse_typed(t, today).map(Day::long).map_err(|e| e.0);
            let field = Field::new("Since").width(130.0).example("30 days ago").understand(&read);
            form.field(ui, &field, &mut state.since);
        }
        Whom::Pen => {
            let flock = ctx.flock;
            let read = |t: &str| match flock.in_pen(t).len() {
                0 => Err(format!("no animal is in a pen called '{}'", t.trim())),
                n => Ok(format!("{n} animals")),
            };
            form.field(
                ui,
                &Field::new("Pen").width(160.0).example("Jug 1").understand(&read),
                &mut state.pen,
            );
        }
        Whom::One => {
            let kind = state.kind;
            form.animal(ui, ctx, "Animal", &mut state.one, None, |f| {
                kind != PaperKind::PenCards || f.animal.sex == Sex::Ewe
            });
        }
        _ => {}
    }
    if state.kind == PaperKind::TreatmentLog {
        let today = ctx.today;
        let read = |t: &str| Day::parse_typed(t, today).map(Day::words).map_err(|e| e.0);
        form.field(
            ui,
            &Field::new("From").width(130.0).example("the beginning").understand(&read),
            &mut state.from,
        );
        form.field(ui, &Field::new("To").width(130.0).example("today").understand(&read), &mut state.to);
    } else {
        let mut per = Some(state.per_sheet.unwrap_or(4));
        form.choice(ui, &Choice::new("On a sheet", &SHEETS), &mut per);
        state.per_sheet = per;
    }
    let mut letter = Some(state.letter.unwrap_or_else(|| ctx.flock.holding().sheet == "letter"));
    form.choice(ui, &Choice::new("Sheet", &[(false, "A4"), (true, "Letter")]), &mut letter);
    state.letter = letter;
    if !state.path_typed {
        let folder = ctx.path.parent().map(PathBuf::from).unwrap_or_default();
        state.path = folder.join(format!("{} {}.pdf", state.kind.words(), ctx.today)).display().to_string();
    }
    if form
        .field(
            ui,
            &Field::new("Save as").width((ui.available_width() - 130.0).clamp(160.0, 300.0)),
            &mut state.path,
        )
        .response
        .changed()
    {
        state.path_typed = true;
    }
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    deliver(ui, ctx, state, submitted, out);
}

fn deliver(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &State, submitted: bool, out: &mut Vec<Intent>) {
    let ready = matches!(ctx.laid.map(|l| &l.state), Some(LaidState::Done(_)));
    ui.add_enabled_ui(ready, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.add_space(112.0);
            if (look::primary(ui, "Save as PDF").clicked() || submitted) && ready {
                out.push(Intent::Deliver(Delivery::File(Some(PathBuf::from(state.path.trim())))));
            }
            if ui.button("Save elsewhere…").clicked() {
                out.push(Intent::Deliver(Delivery::File(None)));
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.add_space(112.0);
            if ui.button("Show").on_hover_text("Open it in the system’s viewer").clicked() {
                out.push(Intent::Deliver(Delivery::Viewer));
            }
            if ui.button("Print").on_hover_text("Hand it to the system’s printer").clicked() {
                out.push(Intent::Deliver(Delivery::Printer));
            }
        });
    });
    ui.add_space(space::M);
    let words = match state.kind {
        PaperKind::LambCards => {
            "Cut along the marks. Boxes known to be done are ticked. Ring only within the legal age; label, vet and local law decide."
        }
        PaperKind::PenCards => {
            "One card for each pen: the ewe, her lambs, what to look at. Label, vet and local law decide."
        }
        PaperKind::TreatmentLog => {
            "Struck-out and amended lines are shown as such; nothing is left out. An unknown period is not clear. Label, vet and local law decide."
        }
    };
    look::faint(ui, words);
}

/// Asks for the paper anew when anything it is laid out from has changed.
pub(super) fn ask(ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let key = format!(
        "{:?} {:?} {:?} {} {} {:?} {:?} {:?} {} {} {} {}",
        state.kind,
        state.whom,
        state.chosen,
        state.since,
        state.pen,
        state.one.chosen(),
        state.per_sheet,
        state.letter,
        state.from,
        state.to,
        ctx.flock.version(),
        ctx.today
    );
    if state.asked.as_ref() == Some(&key) {
        return;
    }
    state.asked = Some(key);
    let day = |text: &str| fields::some(text).and_then(|t| Day::parse_typed(&t, ctx.today).ok());
    let animals = animals(ctx, state);
    state.count = animals.len();
    out.push(Intent::LayOut(PaperSpec {
        kind: state.kind,
        animals,
        per_sheet: state.per_sheet.unwrap_or(4),
        letter: state.letter.unwrap_or_else(|| ctx.flock.holding().sheet == "letter"),
        from: day(&state.from),
        to: day(&state.to),
        today: ctx.today,
        version: ctx.flock.version(),
    }));
}

/// Whom the paper is for, in barn order: by pen, then by tag.
fn animals(ctx: &Ctx<'_>, state: &State) -> Vec<AnimalId> {
    let log = state.kind == PaperKind::TreatmentLog;
    let mut files: Vec<&AnimalFile> = match state.whom {
        Whom::Usual if log => return Vec::new(),
        Whom::Usual => {
            let since = fields::some(&state.since).and_then(|t| Day::parse_typed(&t, ctx.today).ok());
            let since = since.unwrap_or_else(|| ctx.today.plus(-USUAL_DAYS));
            ctx.flock.present().filter(|f| of_late(f, state.kind, since)).collect()
        }
        Whom::Pen => ctx.flock.in_pen(&state.pen).into_iter().filter_map(|id| ctx.flock.file(id)).collect(),
        Whom::One => state.one.chosen().and_then(|id| ctx.flock.file(id)).into_iter().collect(),
        Whom::Chosen => state.chosen.iter().filter_map(|id| ctx.flock.file(*id)).collect(),
    };
    match state.kind {
        PaperKind::LambCards if state.whom == Whom::Pen => files.retain(|f| f.animal.is_lamb(ctx.today)),
        PaperKind::PenCards => files.retain(|f| f.animal.sex == Sex::Ewe && !f.animal.is_lamb(ctx.today)),
        _ => {}
    }
    files.sort_by(|a, b| {
        let pen = |f: &AnimalFile| f.animal.pen.clone().unwrap_or_else(|| "~".into());
        natural(&pen(a), &pen(b)).then_with(|| natural(a.animal.tag(), b.animal.tag()))
    });
    files.into_iter().map(|f| f.animal.id).collect()
}

fn of_late(f: &AnimalFile, kind: PaperKind, since: Day) -> bool {
    debug_assert!(f.animal.status == Status::Present);
    match kind {
        PaperKind::LambCards => f.animal.born.exact().is_some_and(|b| b >= since),
        _ => f.lambings_standing().any(|l| l.at.day >= since),
    }
}
