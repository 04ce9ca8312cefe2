//! Money spent and taken: the form, the list, the sums of the seasons.

mod record;
mod sums;

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::sized;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, MoneyDraft, Refusal};
use hirsel_core::flock::Money;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, MoneyId, MoneyKind, Price, counted};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    on: String,
    kind: String,
    amount: String,
    group: String,
    note: String,
    sitting: String,
    search: String,
    record: record::Typed,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    wrote: bool,
    #[serde(skip)]
    made_for: Option<(u64, String)>,
    #[serde(skip)]
    list: List<MoneyId>,
    #[serde(skip)]
    table: TableState<MoneyId>,
}

impl State {
    /// An entry of this page is written: the form is ready for the next amount.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.refusals.clear();
        if self.record.is_open() {
            self.record.done();
            return;
        }
        for text in [&mut self.kind, &mut self.amount, &mut self.note] {
            text.clear();
        }
        self.focus = Some("Kind");
        self.wrote = true;
    }
}

const TABLE: &str = "Money";
const LABELS: f32 = 80.0;

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    make(ctx, state);
    if std::mem::take(into) {
        state.focus = Some("Kind");
    }
    let typing = !(state.amount.is_empty() && state.kind.is_empty());
    fields::carry_day(ctx, &mut state.sitting, typing, &mut state.on, &mut String::new());
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 860.0 {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + 440.0;
        right.min.x = left.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical().id_salt("money form").auto_shrink(false).show(ui, |ui| {
                form(ui, ctx, state, out);
                ui.add_space(space::L);
                // Five years of sums may be wider than the form.
                egui::ScrollArea::horizontal().id_salt("money sums wide").show(ui, |ui| sums::view(ui, ctx));
            });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| beside(ui, ctx, state, out));
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("money").auto_shrink(false).show(ui, |ui| {
            form(ui, ctx, state, out);
            ui.add_space(space::L);
            beside(ui, ctx, state, out);
            ui.add_space(space::L);
            sums::view(ui, ctx);
        });
    }
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "money").label_width(LABELS);
    if std::mem::take(&mut t.wrote) {
        for label in ["Kind", "Amount", "Note"] {
            egui::text_edit::TextEditState::default().store(ui.ctx(), form.field_id(label));
        }
    }
    if let Some(label) = t.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        t.focus = wish.then_some(label);
    }
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (on, kind, amount) = (wrong("on"), wrong("kind"), wrong("amount"));
    look::faint(ui, "These stay from line to line:");
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    form.field(ui, &Field::new("Group").width(180.0).example("the whole flock"), &mut t.group);
    ui.add_space(space::S);
    look::faint(ui, "One amount after another, Enter by Enter:");
    let read = |x: &str| kind_of(x).map(kind_words);
    let field = Field::new("Kind").width(150.0).example("feed").understand(&read);
    form.field(ui, &field.refusal(kind.as_deref()), &mut t.kind);
    let read = |x: &str| Price::parse(x).map(|p| p.to_string()).map_err(|e| e.0);
    let field = Field::new("Amount").width(110.0).example("86.40").understand(&read);
    form.field(ui, &field.refusal(amount.as_deref()), &mut t.amount);
    form.field(ui, &Field::new("Note").width(240.0), &mut t.note);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    go |= look::primary(ui, "Write it down").clicked();
    look::faint(ui, phrase!("Spent: {}.", kinds(false)));
    look::faint(ui, phrase!("Taken: {}. The first letters are enough.", kinds(true)));
    if !go {
        return;
    }
    match checked(ctx, t) {
        Ok(intent) => out.push(intent),
        Err((label, text)) => {
            t.focus = Some(label);
            out.push(Intent::Say(Kind::Refuse, text));
        }
    }
}

fn kinds(income: bool) -> String {
    let all = MoneyKind::ALL.iter().filter(|k| k.is_income() == income);
    all.map(|k| k.words()).collect::<Vec<_>>().join(", ")
}

fn kind_words(kind: MoneyKind) -> String {
    phrase!("{}, {}", kind.words(), if kind.is_income() { "taken" } else { "spent" })
}

/// The kind whose word or words begin with what is typed, if it is one alone.
///
/// # Errors
/// None or several, with those there are.
fn kind_of(text: &str) -> Result<MoneyKind, String> {
    let low = text.trim().to_lowercase();
    if let Some(exact) = MoneyKind::ALL.iter().find(|k| k.word() == low || k.words() == low) {
        return Ok(*exact);
    }
    let begins: Vec<MoneyKind> = MoneyKind::ALL
        .iter()
        .copied()
        .filter(|k| !low.is_empty() && (k.word().starts_with(&low) || k.words().starts_with(&low)))
        .collect();
    match begins.as_slice() {
        [one] => Ok(*one),
        [] => Err(phrase!("'{}' is no kind of money: {}; {}", text.trim(), kinds(false), kinds(true))),
        many => {
            let words: Vec<&str> = many.iter().map(|k| k.words()).collect();
            Err(phrase!("'{}' may be {}: type more of it", text.trim(), words.join(" or ")))
        }
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, (&'static str, String)> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    if t.kind.trim().is_empty() {
        return Err(("Kind", phrase!("what was it for? Type the first letters, such as feed or vet")));
    }
    let kind = kind_of(&t.kind).map_err(|e| ("Kind", e))?;
    if t.amount.trim().is_empty() {
        return Err(("Amount", phrase!("how much was it? Write the amount, such as 12.50")));
    }
    let amount = Price::parse(&t.amount).map_err(|e| ("Amount", e.0))?;
    let draft = MoneyDraft { on, kind, amount, group: fields::some(&t.group), note: fields::some(&t.note) };
    match entry::money(vec![draft], ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::FiguresDone })
        }
        Err(refusals) => {
            let label = match refusals.first().map(|r| r.field.name) {
                Some("on") => "Day",
                _ => "Amount",
            };
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err((label, first))
        }
    }
}

fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if state.record.is_open() {
        record::view(ui, ctx, &mut state.record, out);
        return;
    }
    if state.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No money is written down: kind, amount and Ctrl+Enter in the form begin it. It is not needed: with it the seasons also tell what a ewe and a lamb left over.",
        );
        return;
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "feed, vet, a group, a year", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "line"));
        let heads = ["on", "kind", "spent", "taken", "group", "note"];
        take_out(ui, "money", &heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No line fits the search.");
        return;
    }
    let columns = [
        Column::new("Day", 104.0),
        Column::new("Kind", 120.0).rest(),
        Column::new("Spent", 90.0).right(),
        Column::new("Taken", 90.0).right(),
        Column::new("Group", 90.0).rest(),
        Column::new("Note", 90.0).rest(),
    ];
    let room = (ui.available_height() - 30.0).max(200.0);
    let tall = if room.is_finite() { height(state.list.rows.len(), 3, 40).min(room) } else { 420.0 };
    sized(ui, tall, |ui| {
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                state.record.open(ctx, id);
            }
        }
    });
    look::faint(ui, "Enter opens a line, to amend it or strike it out.");
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let mut all: Vec<&Money> = ctx.flock.daybook().money.iter().collect();
    all.sort_by_key(|m| std::cmp::Reverse((m.on, m.id)));
    state.list.set(all.into_iter().filter_map(|m| row(m, ctx.today, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(m: &Money, today: Day, search: &str) -> Option<Row<MoneyId>> {
    let (group, note) = (m.group.clone().unwrap_or_default(), m.note.clone().unwrap_or_default());
    let note = if m.struck.is_some() { phrase!("struck out {note}").trim().to_string() } else { note };
    let day = m.on.words();
    if !fits(search, [m.kind.words(), &group, &note, &day]) {
        return None;
    }
    let cell = |text: &str| {
        if m.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let (amount, shown) = (m.amount.to_string(), m.amount.words());
    let side = |text: &str| {
        if m.kind.is_income() { (String::new(), text.into()) } else { (text.into(), String::new()) }
    };
    let ((spent, taken), (spent_shown, taken_shown)): ((String, String), (String, String)) =
        (side(&amount), side(&shown));
    let sort = |text: &str| if text.is_empty() { By::Nothing } else { By::Number(m.amount.cents().into()) };
    Some(
        Row::new(m.id)
            .cell(cell(&day), By::Number(m.on.since(today)), m.on.to_string())
            .cell(cell(m.kind.words()), By::Text(m.kind.words().into()), m.kind.words())
            .cell(cell(&spent_shown), sort(&spent), spent)
            .cell(cell(&taken_shown), sort(&taken), taken)
            .cell(cell(&group), By::Text(group.clone()), group)
            .cell(cell(&note), By::Text(note.clone()), note)
            .said(format!("{day}: {} {shown}", kind_words(m.kind))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_by_its_first_letters() {
        assert_eq!(kind_of("fe"), Ok(MoneyKind::Feed));
        assert_eq!(kind_of(" Lambs"), Ok(MoneyKind::Lambs));
        assert_eq!(kind_of("ewes bought"), Ok(MoneyKind::Ewes));
        assert!(kind_of("other").is_err_and(|e| e.contains("or")), "two begin so");
        assert!(kind_of("fodder").is_err());
        assert!(kind_of(" ").is_err());
    }
}
