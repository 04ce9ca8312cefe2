//! The questions an inspector asks, with what is missing and the way to it.

use super::super::list::{By, List, Row, into_table, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::visit::{Answer, Gap, Question, Visit};
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};

/// The part as chosen.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    /// Number of the question in hand.
    at: u8,
    #[serde(skip)]
    made_for: Option<(u64, Day)>,
    #[serde(skip)]
    questions: List<u8>,
    #[serde(skip)]
    table: TableState<u8>,
    #[serde(skip)]
    of: u8,
    #[serde(skip)]
    gaps: List<usize>,
    #[serde(skip)]
    gap_table: TableState<usize>,
    #[serde(skip)]
    all: List<usize>,
    #[serde(skip)]
    all_order: TableState<usize>,
    #[serde(skip)]
    into_gaps: bool,
    /// In a low window one of the two is seen: the questions, or what one of them lacks.
    #[serde(skip)]
    opened: bool,
}

/// Room in which both are seen.
const ROOMY: f32 = 560.0;
/// Room below the questions for what was found of the one in hand.
const BELOW: f32 = 56.0;

const QUESTIONS: &str = "Questions";
const GAPS: &str = "Missing";
const HEADS: [&str; 6] = ["number", "question", "answer", "missing", "on", "how_firm"];

/// The answer with its mark.
fn kind(answer: Answer) -> Kind {
    match answer {
        Answer::Yes => Kind::Good,
        Answer::No => Kind::Caution,
        Answer::NothingToAsk => Kind::Plain,
    }
}

fn firm(gap: &Gap) -> &'static str {
    if gap.asked { "asked for" } else { "advised" }
}

impl State {
    fn keep(&mut self, visit: &Visit) {
        let now = (visit.version(), visit.day());
        if self.made_for != Some(now) {
            self.made_for = Some(now);
            self.questions.set(visit.questions.iter().map(question).collect());
            let each = visit.questions.iter().flat_map(|q| q.gaps.iter().map(move |g| (q, g)));
            self.all.set(each.enumerate().map(|(n, (q, g))| taken(n, q, g)).collect());
            self.of = 0;
        }
        if !visit.questions.iter().any(|q| q.number == self.at) {
            let open = visit.questions.iter().find(|q| q.answer == Answer::No);
            self.at = open.or(visit.questions.first()).map_or(1, |q| q.number);
        }
        if self.of != self.at {
            self.of = self.at;
            let gaps = visit.questions.iter().find(|q| q.number == self.at).map_or(&[][..], |q| &q.gaps);
            self.gaps.set(gaps.iter().enumerate().map(|(n, g)| gap(n, g)).collect());
            self.gap_table = TableState::default();
        }
    }
}

fn question(q: &Question) -> Row<u8> {
    let n = q.count();
    let missing = match n {
        0 => String::new(),
        n => n.to_string(),
    };
    Row::new(q.number)
        .number(q.number.to_string(), Some(q.number.into()))
        .text(q.ask)
        .cell(
            Cell::chip(kind(q.answer), q.answer.words()),
            By::Text(q.answer.words().into()),
            q.answer.words(),
        )
        .number(missing, i64::try_from(n).ok().filter(|n| *n > 0))
        .said(phrase!("{}. {} {}, {n} missing", q.number, q.ask, q.answer.words()))
}

fn gap(n: usize, g: &Gap) -> Row<usize> {
    let word = Cell::chip(if g.asked { Kind::Caution } else { Kind::Plain }, firm(g));
    Row::new(n)
        .text(g.words.clone())
        .number(g.on.map(Day::words).unwrap_or_default(), g.on.map(days))
        .cell(word, By::Text(firm(g).into()), firm(g))
        .said(g.words.clone())
}

fn days(day: Day) -> i64 {
    Day::new(2000, 1, 1).map_or(0, |first| day.since(first))
}

fn taken(n: usize, q: &Question, g: &Gap) -> Row<usize> {
    Row::new(n)
        .hidden(q.number.to_string())
        .hidden(q.ask)
        .hidden(q.answer.words())
        .hidden(g.words.as_str())
        .hidden(g.on.map(|d| d.to_string()).unwrap_or_default())
        .hidden(firm(g))
}

/// How tall a text below the questions stands, with the space before it.
fn tall(ui: &egui::Ui, text: &str) -> f32 {
    let font = egui::TextStyle::Body.resolve(ui.style());
    let laid = ui.painter().layout(text.to_string(), font, ui.visuals().text_color(), ui.available_width());
    laid.size().y + space::XS + 2.0 * ui.spacing().item_spacing.y
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let Some(visit) = ctx.visit else {
        look::sentence(ui, Kind::Plain, "The book is being looked through …");
        return;
    };
    state.keep(visit);
    let kind = if visit.missing == 0 { Kind::Good } else { Kind::Caution };
    look::sentence(ui, kind, visit.summary());
    ui.horizontal_wrapped(|ui| {
        let (list, order) = (&state.all, &mut state.all_order);
        take_out(ui, "before a visit", &HEADS, list, order, out);
        ui.add_space(space::S);
        look::faint(ui, phrase!("{}. The authority, the label and the vet decide.", visit.by));
    });
    ui.add_space(space::XS);
    let room = ui.available_size();
    let low = room.y < ROOMY;
    if *into {
        state.opened = false;
    }
    if !(low && state.opened) {
        let found = visit.questions.iter().find(|q| q.number == state.at).map_or("", |q| q.found.as_str());
        let below = if low { tall(ui, found).max(BELOW) } else { 0.0 };
        let above = if low { (room.y - below).max(120.0) } else { (room.y * 0.42).clamp(150.0, 620.0) };
        ui.allocate_ui(egui::vec2(room.x, above), |ui| {
            ui.set_min_size(egui::vec2(room.x, above));
            if std::mem::take(into) {
                into_table(ui, QUESTIONS);
            }
            questions(ui, state);
        });
        state.keep(visit);
        if low {
            ui.add_space(space::XS);
            if let Some(q) = visit.questions.iter().find(|q| q.number == state.at) {
                ui.add(egui::Label::new(q.found.as_str()).wrap());
            }
            return;
        }
        ui.add_space(space::S);
    }
    if let Some(q) = visit.questions.iter().find(|q| q.number == state.at) {
        answer(ui, q, state, into, out);
    }
}

fn questions(ui: &mut egui::Ui, state: &mut State) {
    let columns = [
        Column::new("No.", 44.0).right(),
        Column::new("Question", 300.0).rest(),
        Column::new("Answer", 140.0),
        Column::new("Missing", 80.0).right(),
    ];
    if state.table.cursor() != Some(state.at) {
        state.table.set_cursor(state.at);
    }
    for event in RecordTable::new(QUESTIONS, &columns).single().show(ui, &mut state.table, &state.questions) {
        if let TableEvent::Opened(number) = event {
            state.at = number;
            state.into_gaps = true;
            state.opened = true;
            ui.ctx().request_repaint();
        }
    }
    if let Some(at) = state.table.cursor() {
        state.at = at;
    }
}

/// What was found, why it is asked, and what is missing.
fn answer(ui: &mut egui::Ui, q: &Question, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.horizontal_wrapped(|ui| {
            look::subheading(ui, format!("{}. {}", q.number, q.ask));
            look::word(ui, kind(q.answer), q.answer.words());
        });
        ui.add(egui::Label::new(q.found.as_str()).wrap());
        look::faint(ui, phrase!("Asked because of: {}. Esc: back to the questions.", q.source));
        if q.gaps.is_empty() {
            // Nothing to go into.
            state.into_gaps = false;
            *into |= crate::parts::escaped(ui);
            return;
        }
        ui.add_space(space::XS);
        if q.more > 0 {
            look::faint(ui, phrase!("The newest {} of {}.", q.gaps.len(), q.count()));
        }
        let columns = [
            Column::new("What is missing; Enter opens it", 320.0).rest(),
            Column::new("Day", 104.0),
            Column::new("How firm", 108.0),
        ];
        let whole = state.gap_table.cursor().and_then(|n| q.gaps.get(n)).map(|g| g.words.clone());
        let size = egui::vec2(ui.available_width(), (ui.available_height() - 74.0).max(96.0));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            if std::mem::take(&mut state.into_gaps) {
                into_table(ui, GAPS);
            }
            for event in RecordTable::new(GAPS, &columns).single().show(ui, &mut state.gap_table, &state.gaps)
            {
                if let TableEvent::Opened(n) = event
                    && let Some(g) = q.gaps.get(n)
                {
                    out.push(Intent::Follow(g.link));
                }
            }
        });
        // What is cut in the table stands here whole.
        ui.add(egui::Label::new(whole.unwrap_or_default()).wrap());
        if crate::parts::escaped(ui) {
            *into = true;
        }
    });
}
