//! Tonight: what is to be done, pen by pen in barn order; beside it whom to watch, who lambs next, who may not go for
//! food, and what is written up for today.

mod beside;
mod courses;
mod creeps;
mod do_it;
mod rounds;

use super::list::{List, into_table, search_field, take_out};
use super::sections::{named_sections, shown_anew};
use super::{Ctx, Intent, PageId, papers::PaperKind};
use crate::desk::command::Command;
use crate::desk::places::CopyWish;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, counted};
use rounds::{Round, When};
use serde::{Deserialize, Serialize};

/// What is chosen and half typed; the lists are made once for a version of the flock.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    when: When,
    search: String,
    form: do_it::Typed,
    courses: courses::Courses,
    calendar: super::calendar::Typed,
    #[serde(skip)]
    creeps: creeps::Creeps,
    #[serde(skip)]
    made_for: Option<(u64, Day, bool)>,
    #[serde(skip)]
    listed_for: Option<(u64, Day, When, String)>,
    #[serde(skip)]
    rounds: Vec<Round>,
    #[serde(skip)]
    list: List<u64>,
    #[serde(skip)]
    table: TableState<u64>,
    #[serde(skip)]
    beside: beside::Lists,
    #[serde(skip)]
    into_search: bool,
    #[serde(skip)]
    into_list: bool,
    #[serde(skip)]
    seen: u64,
}

impl State {
    /// The jobs are written: on with the next round.
    pub(super) fn after(&mut self, _: &Ctx<'_>) {
        self.form.rounds.clear();
        self.courses.close();
        self.table.clear_selection();
        self.into_list = !self.creeps.after();
    }

    /// Opens the form of the calendar, with these things chosen.
    pub fn ask_calendar(&mut self, kinds: &[hirsel_core::exchange::calendar::Kind]) {
        self.form.rounds.clear();
        self.courses.close();
        self.calendar.open(kinds);
    }

    fn keep(&mut self, ctx: &Ctx<'_>) {
        let now =
            (ctx.flock.version(), ctx.today, ctx.board.is_some_and(|b| b.version() == ctx.flock.version()));
        if self.made_for != Some(now) {
            self.made_for = Some(now);
            self.listed_for = None;
            beside::make(ctx, &mut self.beside);
            self.courses.make(ctx);
            self.creeps.make(ctx);
            self.rounds = rounds::rounds(ctx);
            let known: Vec<u64> = self.rounds.iter().map(|r| r.key).collect();
            self.form.rounds.retain(|k| known.contains(k));
        }
        beside::keep_watch(ctx, &mut self.beside);
        beside::keep_feed(ctx, &mut self.beside);
        let wanted = (now.0, now.1, self.when, self.search.clone());
        if self.listed_for.as_ref() != Some(&wanted) {
            self.list = rounds::list(ctx, &self.rounds, self.when, self.search.trim());
            self.listed_for = Some(wanted);
        }
    }

    /// The rounds of these keys.
    fn of(&self, keys: &[u64]) -> Vec<Round> {
        self.rounds.iter().filter(|r| keys.contains(&r.key)).cloned().collect()
    }
}

const TABLE: &str = "Jobs";

/// Room for the counts of the flock beside the ways to the other pages.
const COUNTS: f32 = 760.0;

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    state.keep(ctx);
    let mut out = Vec::new();
    if shown_anew(ui, &mut state.seen) && !state.calendar.is_open() {
        state.into_list = true;
    }
    ui.add_space(space::S);
    head(ui, ctx, state, &mut out);
    if state.beside.counts[3] == 0 {
        empty(ui, &mut out);
        return out;
    }
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 900.0 {
        let middle = whole.left() + whole.width() * 0.65;
        let (mut left, mut right) = (whole, whole);
        left.max.x = middle - space::M;
        right.min.x = middle + space::S;
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| jobs(ui, ctx, state, &mut out));
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            egui::ScrollArea::vertical().id_salt("beside").auto_shrink(false).show(ui, |ui| {
                beside::view(ui, &mut state.beside, &mut out);
            });
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("tonight").auto_shrink(false).show(ui, |ui| {
            let size = egui::vec2(ui.available_width(), (whole.height() * 0.8).max(320.0));
            ui.allocate_ui(size, |ui| {
                ui.set_min_size(size);
                jobs(ui, ctx, state, &mut out);
            });
            beside::view(ui, &mut state.beside, &mut out);
        });
    }
    out
}

/// What to do first, in one line, and the ways to the other pages.
fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &State, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        look::heading(ui, "Tonight");
        let [ewes, rams, lambs, all] = state.beside.counts;
        // The ways to the other pages need their room more.
        if all > 0 && (ui.available_width() > COUNTS || ui.available_width() < 560.0) {
            let [ewes, rams, lambs] =
                [(ewes, "ewe"), (rams, "ram"), (lambs, "lamb")].map(|(n, of)| counted(n, of));
            look::faint(ui, phrase!("{ewes}, {rams}, {lambs} in the flock"));
        }
        if all > 0 && ui.available_width() > 460.0 {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let young = &state.beside.young;
                let cards = egui::Button::new(phrase!("Cards for the young lambs"));
                if ui.add_enabled(!young.is_empty(), cards).clicked() {
                    out.push(Intent::Print(PaperKind::LambCards, young.clone()));
                }
                if ui
                    .button(phrase!("Calendar…"))
                    .on_hover_text(phrase!("What is due, as a file for a calendar"))
                    .clicked()
                {
                    out.push(Intent::AskCalendar(Vec::new()));
                }
                if ui.button(phrase!("Barn sheet")).clicked() {
                    out.push(Intent::Go(PageId::Barn));
                }
                if ui.button(phrase!("Write up a lambing")).clicked() {
                    out.push(Intent::Go(PageId::Lambing));
                }
            });
        }
    });
    if state.beside.counts[3] == 0 {
        return;
    }
    let now: Vec<&Round> = state.rounds.iter().filter(|r| r.when == When::Now).collect();
    let overdue: Vec<&&Round> = now.iter().filter(|r| r.overdue() > 0).collect();
    let n: usize = overdue.iter().map(|r| r.overdue()).sum();
    if ctx.board.is_none() {
        look::sentence(ui, Kind::Plain, "The jobs are being reckoned …");
    } else if let Some(first) = overdue.first() {
        let more = match n - first.overdue() {
            0 => String::new(),
            more => phrase!("; {} more overdue", counted(more, "job")),
        };
        look::sentence(ui, Kind::Refuse, phrase!("First: {}{more}", first.for_whom()));
    } else if let Some(first) = now.first() {
        let jobs: usize = now.iter().map(|r| r.jobs.len()).sum();
        let said = phrase!("{} to do, nothing is overdue. First: {}", counted(jobs, "job"), first.for_whom());
        look::sentence(ui, Kind::Caution, &said);
    } else if let Some(first) = state.courses.first(ctx.today) {
        look::sentence(ui, Kind::Caution, phrase!("First: {first}"));
    } else if let Some(first) = state.creeps.first() {
        look::sentence(ui, Kind::Caution, phrase!("First: {first}"));
    } else {
        let next = state.rounds.first().map(|r| phrase!(" Next: {}, {}", r.for_whom(), r.when.words()));
        look::sentence(ui, Kind::Good, phrase!("Nothing is to be done now.{}", next.unwrap_or_default()));
    }
    let [watch, held, due, cupboard] = state.beside.numbers();
    let cupboard = match cupboard {
        0 => String::new(),
        n => phrase!(" · {n} to see to in the cupboard"),
    };
    let doses = match state.courses.due(ctx.today) {
        0 => String::new(),
        n => phrase!(" · {} to go on with", counted(n, "dose")),
    };
    let creeps = state.creeps.to_fill();
    ui.horizontal_wrapped(|ui| {
        look::faint(
            ui,
            phrase!(
                "{} written up today · {watch} to watch · {held} under withdrawal · {due} due to lamb{doses}{creeps}{cupboard}",
                state.beside.today.rows.len()
            ),
        );
        let missing = ctx.visit.map_or(0, |v| v.missing);
        if missing > 0 {
            let things = if missing == 1 { phrase!("1 thing is") } else { phrase!("{missing} things are") };
            if ui.link(phrase!("Before a visit: {things} missing")).clicked() {
                out.push(Intent::BeforeVisit);
            }
        }
    });
    if let Some(due) = ctx.places.reminder(ctx.today) {
        ui.horizontal_wrapped(|ui| {
            look::sentence(ui, Kind::Caution, &due);
            crate::parts::caution::remember(ui, hirsel_core::terms::Why::Copies);
            let keys = Command::SecondCopy.key_words(ui.ctx());
            if ui.button(phrase!("Put a copy there")).on_hover_text(crate::look::spoken(keys)).clicked() {
                out.push(Intent::Copies(CopyWish::PutThere));
            }
        });
    }
    ui.add_space(space::S);
}

/// The rounds and the form for those chosen.
fn jobs(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let keys = std::mem::take(&mut state.form.rounds);
    if !keys.is_empty() {
        let rounds = state.of(&keys);
        state.form.rounds = keys;
        let rounds: Vec<&Round> = rounds.iter().collect();
        // The list waits: one thing at a time, and the whole form is seen.
        let area = egui::ScrollArea::vertical().id_salt("form").auto_shrink(false);
        let close = area.show(ui, |ui| do_it::view(ui, ctx, &mut state.form, &rounds, out)).inner;
        let escaped = crate::parts::escaped(ui) && ui.memory(|m| m.focused().is_none());
        if close || escaped {
            state.form.rounds.clear();
            state.into_list = true;
        }
        return;
    }
    if state.courses.is_open() {
        let area = egui::ScrollArea::vertical().id_salt("course").auto_shrink(false);
        let close = area.show(ui, |ui| courses::form(ui, ctx, &mut state.courses, out)).inner;
        let escaped = crate::parts::escaped(ui) && ui.memory(|m| m.focused().is_none());
        if close || escaped {
            state.courses.close();
            state.into_list = true;
        }
        return;
    }
    if state.calendar.is_open() {
        let area = egui::ScrollArea::vertical().id_salt("calendar").auto_shrink(false);
        let close = area.show(ui, |ui| super::calendar::view(ui, ctx, &mut state.calendar, out)).inner;
        let escaped = crate::parts::escaped(ui) && ui.memory(|m| m.focused().is_none());
        if close || escaped {
            state.calendar.close();
            state.into_list = true;
        }
        return;
    }
    let count = |when: When| {
        let jobs = state.rounds.iter().filter(|r| r.when == when).map(|r| r.jobs.len()).sum::<usize>();
        jobs + state.courses.count(when, ctx.today) + state.creeps.count(when)
    };
    let names: Vec<String> =
        When::ALL.iter().map(|w| phrase!("{} ({})", look::said(w.words()), count(*w))).collect();
    let options: Vec<(When, &str)> = When::ALL.into_iter().zip(names.iter().map(String::as_str)).collect();
    if named_sections(ui, "tonight", &options, &mut state.when) {
        state.into_list = true;
    }
    if courses::rounds(ui, ctx, &mut state.courses, state.when, state.into_list) {
        state.into_list = false;
    }
    // Without a job of the plan the keyboard goes to the creeps.
    let alone = state.into_list && state.list.rows.is_empty();
    if creeps::lines(ui, ctx, &mut state.creeps, state.when, alone, out) {
        state.into_list = false;
    }
    // Letters typed over the table are words to search for.
    let table = ui.make_persistent_id(("record_table", TABLE));
    let typed = |e: &egui::Event| matches!(e, egui::Event::Text(t) if t.trim() == t && !t.is_empty());
    if ui.memory(|m| m.has_focus(table)) && ui.input(|i| i.events.iter().any(typed)) {
        state.search.clear();
        state.into_search = true;
    }
    let on = search_field(
        ui,
        "tonight search",
        "a pen, a job or a tag",
        &mut state.into_search,
        &mut state.search,
    );
    state.keep(ctx);
    if state.list.rows.is_empty() {
        let nothing = if state.search.trim().is_empty() {
            "No job here. The care plan tells what is asked for, and when."
        } else {
            "No job of these words."
        };
        look::faint(ui, nothing);
        // Nowhere to go: other words are wanted.
        state.into_search |= std::mem::take(&mut state.into_list);
        return;
    }
    let mut open: Option<Vec<u64>> = None;
    ui.horizontal(|ui| {
        let chosen = state.table.chosen();
        let label = match chosen.len() {
            0 | 1 => phrase!("Do it"),
            n => phrase!("Do these {n} rounds"),
        };
        if look::primary(ui, label).on_hover_text(phrase!("Enter on a round")).clicked() {
            let first = || state.table.cursor().or_else(|| state.list.rows.first().map(|r| r.key));
            open = Some(if chosen.is_empty() { first().into_iter().collect() } else { chosen });
        }
        take_out(ui, "jobs", &rounds::HEADS, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    if std::mem::take(&mut state.into_list) {
        into_table(ui, TABLE);
    }
    if on {
        // In the next frame: the Enter that leads there must not open a round as well.
        state.into_list = true;
        ui.ctx().request_repaint();
    }
    for event in RecordTable::new(TABLE, &rounds::columns()).show(ui, &mut state.table, &state.list) {
        if let TableEvent::Opened(key) = event {
            let chosen = state.table.chosen();
            open = Some(if chosen.contains(&key) { chosen } else { vec![key] });
        }
    }
    if let Some(keys) = open {
        let rounds = state.of(&keys);
        state.form.open(ctx, &rounds.iter().collect::<Vec<_>>());
    }
}

fn empty(ui: &mut egui::Ui, out: &mut Vec<Intent>) {
    look::paragraph(
        ui,
        "The book is empty. Add your ewes and rams on the page of the flock (Ctrl+3), one by one, or bring in a table of all of them on the page of the book (Ctrl+0). From then on their jobs stand here, pen by pen.",
    );
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        if look::primary(ui, "Add animals").clicked() {
            out.push(Intent::Go(PageId::Flock));
        }
        if ui.button(phrase!("Bring in a table")).clicked() {
            out.push(Intent::Go(PageId::Book));
        }
    });
}
