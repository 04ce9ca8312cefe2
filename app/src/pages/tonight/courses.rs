//! Courses that were begun: the doses to go on with, written by Enter as the one before was.

use super::super::list::{List, Row, height};
use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::entry::{self, DoseDraft, TreatmentDraft, TreatmentExtra};
use hirsel_core::flock::Link;
use hirsel_core::flock::RecordRef;
use hirsel_core::reckon::courses::{OpenDose, open_doses};
use hirsel_core::terms::{AnimalId, CourseId, Day, Moment};

/// The open doses, made once for a version of the flock and a day.
#[derive(Debug, Default)]
pub(super) struct Courses {
    made_for: Option<(u64, Day)>,
    doses: Vec<OpenDose>,
    list: List<CourseId>,
    table: TableState<CourseId>,
}

/// Doses ahead are shown for so many days.
const AHEAD: i64 = 1;

impl Courses {
    pub(super) fn keep(&mut self, ctx: &Ctx<'_>) {
        let wanted = (ctx.flock.version(), ctx.today);
        if self.made_for == Some(wanted) {
            return;
        }
        self.made_for = Some(wanted);
        self.doses = open_doses(ctx.flock);
        self.doses.retain(|d| d.due.day <= ctx.today.plus(AHEAD));
        let row = |d: &OpenDose| {
            let due = d.due.day <= ctx.today;
            let when = match d.due.time {
                Some(time) => format!("{}, {time}", d.due.day.short()),
                None => d.due.day.short(),
            };
            let when =
                if due { Cell::chip(Kind::Caution, when.clone()) } else { Cell::text(when.clone()).faint() };
            let product = before(ctx, d).map(|t| t.product.clone()).unwrap_or_default();
            Row::new(d.part.id).tag(ctx.flock.tag(d.animal)).text(format!("{product}, {}", d.words())).cell(
                when,
                super::super::list::By::Number(d.due.day.since(ctx.today)),
                d.due.day.to_string(),
            )
        };
        self.list.set(self.doses.iter().map(row).collect());
    }

    /// Doses due by tonight.
    pub(super) fn due(&self, today: Day) -> usize {
        self.doses.iter().filter(|d| d.due.day <= today).count()
    }
}

fn before<'a>(ctx: &Ctx<'a>, d: &OpenDose) -> Option<&'a hirsel_core::flock::Treatment> {
    ctx.flock.file(d.animal)?.treatments.iter().find(|t| t.id == d.after)
}

/// The next dose as the one before it was given; at its own hour when that is today's.
fn draft(ctx: &Ctx<'_>, d: &OpenDose) -> Option<TreatmentDraft> {
    let t = before(ctx, d)?;
    let time = d.due.time.filter(|_| d.due.day == ctx.today);
    Some(TreatmentDraft {
        animals: vec![d.animal],
        at: Moment { day: ctx.today, time },
        product: t.product.clone(),
        batch: t.batch.clone(),
        dose: DoseDraft::Typed(t.dose),
        route: t.route,
        site: t.site.clone(),
        reason: t.reason.clone(),
        given_by: t.given_by.clone(),
        prescribed_by: t.prescribed_by.clone(),
        meat: Some(t.meat),
        milk: Some(t.milk),
        more: TreatmentExtra {
            export: Some(t.more.export),
            vet_gave: t.more.vet_gave,
            off_label: t.more.off_label.clone(),
            prescription: t.more.prescription,
            goes_on: Some(d.part),
            ..TreatmentExtra::default()
        },
    })
}

fn write(ctx: &Ctx<'_>, doses: &[&OpenDose], out: &mut Vec<Intent>) {
    let drafts: Vec<TreatmentDraft> = doses.iter().filter_map(|d| draft(ctx, d)).collect();
    match entry::treatments(drafts, ctx.flock, ctx.today) {
        Ok(checked) => {
            let who: Vec<AnimalId> = doses.iter().map(|d| d.animal).collect();
            let what = match (doses, who.as_slice()) {
                ([one], [animal]) => format!("{} for {}", capital(&one.words()), ctx.flock.tag(*animal)),
                _ => format!("{} further doses of courses", doses.len()),
            };
            out.push(Intent::Write { checked: Box::new(checked.called(what)), then: Then::Nothing });
        }
        Err(refusals) => {
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, first));
        }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// Draws the list, when a course waits for its next dose.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut Courses, out: &mut Vec<Intent>) {
    if state.list.rows.is_empty() {
        return;
    }
    look::subheading(ui, format!("Courses to go on with ({})", state.list.rows.len()));
    let columns = [Column::new("Animal", 74.0), Column::new("What", 150.0).rest(), Column::new("Due", 110.0)];
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 1, 5));
    let mut opened = None;
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Courses", &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                opened = Some(id);
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        let due: Vec<&OpenDose> = state.doses.iter().filter(|d| d.due.day <= ctx.today).collect();
        let all = egui::Button::new(format!("Given to all {}", due.len()));
        if due.len() > 1 && ui.add(all).clicked() {
            write(ctx, &due, out);
        }
        let here = state.table.cursor().and_then(|id| state.doses.iter().find(|d| d.part.id == id));
        if let Some(d) = here
            && ui.button("Cut the course short").on_hover_text("amend how many doses it has").clicked()
        {
            out.push(Intent::Follow(Link::Record(d.animal, RecordRef::Treatment(d.after))));
        }
        look::faint(ui, "Enter: given, as the dose before");
    });
    if let Some(d) = opened.and_then(|id| state.doses.iter().find(|d| d.part.id == id)) {
        write(ctx, &[d], out);
    }
    ui.add_space(space::L);
}
