//! The rule set of the book: every demand with its source; rows mended, sets added.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent, Then, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Check, Refusal};
use hirsel_core::phrase;
use hirsel_core::rules::{self, RuleRow, RuleSet};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A text that is being mended, with the reason.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
struct Draft {
    text: String,
    reason: String,
}

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    search: String,
    /// Key of the row in hand.
    at: String,
    /// Rows half mended, by key.
    drafts: BTreeMap<String, Draft>,
    /// A set of the keeper's own is being written.
    adding: bool,
    own_id: String,
    own_name: String,
    own: String,
    #[serde(skip)]
    sent: Option<String>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    made_for: Option<(u64, String)>,
    #[serde(skip)]
    rows: Vec<RuleRow>,
    #[serde(skip)]
    list: List<usize>,
    #[serde(skip)]
    table: TableState<usize>,
    #[serde(skip)]
    checked: Option<(String, String, Result<(), String>)>,
    #[serde(skip)]
    into_list: bool,
    #[serde(skip)]
    into_form: bool,
    /// The row in hand is open to be mended: it takes the room of the table.
    #[serde(skip)]
    opened: bool,
}

const TABLE: &str = "Rules";
/// Room below the table for the whole of one row.
const BELOW: f32 = 112.0;
const HEADS: [&str; 5] = ["topic", "what_it_demands", "source", "how_known", "changed"];
/// The key under which a set of the keeper's own is sent.
const OWN: &str = "\u{0}own";

impl State {
    /// A rule was changed: its form is closed.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        match self.sent.take().as_deref() {
            Some(OWN) => {
                self.adding = false;
                (self.own_id, self.own_name, self.own) = Default::default();
            }
            Some(key) => {
                self.drafts.remove(key);
            }
            None => {}
        }
        self.refusals.clear();
        self.into_list = true;
        self.opened = false;
    }

    fn keep(&mut self, ctx: &Ctx<'_>, set: &RuleSet) {
        let wanted = (ctx.flock.version(), self.search.clone());
        if self.made_for.as_ref() == Some(&wanted) {
            return;
        }
        if self.made_for.as_ref().is_none_or(|(v, _)| *v != wanted.0) {
            self.rows = set.rows();
        }
        let rows = self.rows.iter().enumerate().map(|(n, r)| row(n, r));
        let rows = rows.filter(|r| fits(&self.search, r.plain.iter().map(String::as_str)));
        self.list.set(rows.collect());
        self.made_for = Some(wanted);
    }

    fn hand_over(&mut self, key: &str, check: Check, out: &mut Vec<Intent>) {
        match check {
            Ok(checked) => {
                self.refusals.clear();
                self.sent = Some(key.to_string());
                out.push(Intent::Write { checked: Box::new(checked), then: Then::RulesDone });
            }
            Err(refusals) => {
                out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                self.refusals = refusals;
            }
        }
    }
}

fn known(r: &RuleRow) -> &'static str {
    if r.ground.is_memory() { "from memory" } else { "" }
}

fn row(n: usize, r: &RuleRow) -> Row<usize> {
    let source = r.ground.to_string();
    let mended = if r.mended { "changed" } else { "" };
    let memory = match known(r) {
        "" => Cell::text(mended),
        words => Cell::chip(Kind::Caution, words),
    };
    let mark = if r.mended { Cell::chip(Kind::Accent, "changed") } else { memory };
    let said = if r.mended { mended } else { known(r) };
    Row::new(n)
        .text(r.topic.words())
        .text(r.words.clone())
        .text(source)
        .cell(mark, By::Text(said.into()), known(r))
        .hidden(mended)
        .said(phrase!("{}: {}", r.topic.words(), r.words))
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    look::paragraph(
        ui,
        "The authority, the label and the vet decide. This is what the program goes by, each demand with what it stands on; what is from memory was not looked up and never makes anything easier.",
    );
    let Some(set) = ctx.flock.rules() else {
        look::sentence(
            ui,
            Kind::Caution,
            "No rules are chosen for this book: choose them under The book (Ctrl+0), Rules of.",
        );
        look::paragraph(ui, "Choose the place on the page of the book, under Flock and keeper.");
        if look::primary(ui, "To the page of the book").clicked() {
            out.push(Intent::Follow(hirsel_core::flock::Link::Holding));
        }
        return;
    };
    if state.adding {
        own_set(ui, ctx, state, out);
        return;
    }
    state.keep(ctx, set);
    if state.opened {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            one(ui, ctx, set, state, out);
        });
        return;
    }
    let on = search_field(ui, "rules", "topic, word or source", into, &mut state.search);
    state.keep(ctx, set);
    ui.horizontal_wrapped(|ui| {
        look::strong(ui, set.name().to_string());
        look::faint(ui, phrase!("{} rows", state.list.rows.len()));
        take_out(ui, "rules", &HEADS, &state.list, &mut state.table, out);
        if ui
            .button(phrase!("A set of my own…"))
            .on_hover_text(phrase!("Begins as a copy of these rules"))
            .clicked()
        {
            if state.own.trim().is_empty() {
                state.own_id = phrase!("my-{}", &set.id());
                state.own_name = phrase!("{}, as we keep it", &set.name());
                state.own = entry::rule_set_text(set, &state.own_id, &state.own_name);
            }
            state.adding = true;
            state.into_form = true;
        }
        own_sets(ui, ctx, state, out);
    });
    ui.add_space(space::XS);
    if on {
        state.into_list = true;
        ui.ctx().request_repaint();
    }
    let room = ui.available_size();
    let above = (room.y - BELOW).max(140.0);
    ui.allocate_ui(egui::vec2(room.x, above), |ui| {
        ui.set_min_size(egui::vec2(room.x, above));
        table(ui, state, on);
    });
    ui.add_space(space::XS);
    // What is cut in the table stands here whole.
    egui::ScrollArea::vertical().id_salt("row").auto_shrink(false).show(ui, |ui| {
        if let Some(r) = state.rows.iter().find(|r| r.key == state.at) {
            whole(ui, r);
            look::faint(ui, "Enter opens it, to mend it for this flock.");
        }
    });
}

fn table(ui: &mut egui::Ui, state: &mut State, on: bool) {
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No row has these words. Search for a shorter one.");
        return;
    }
    let columns = [
        Column::new("Topic", 108.0),
        Column::new("What it demands", 300.0).rest(),
        Column::new("Stands on", 190.0).rest(),
        Column::new("Known", 142.0),
    ];
    let listed = |n: usize| state.list.rows.iter().any(|r| r.key == n);
    let at = state.rows.iter().position(|r| r.key == state.at).filter(|n| listed(*n));
    let at = at.or_else(|| state.list.rows.first().map(|r| r.key));
    if let Some(at) = at.filter(|at| state.table.cursor() != Some(*at)) {
        state.table.set_cursor(at);
    }
    if std::mem::take(&mut state.into_list) && !on {
        into_table(ui, TABLE);
    } else if on {
        state.into_list = true;
    }
    for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
        if let TableEvent::Opened(n) = event {
            state.table.set_cursor(n);
            state.into_form = true;
            state.opened = true;
            ui.ctx().request_repaint();
        }
    }
    if let Some(r) = state.table.cursor().and_then(|n| state.rows.get(n)) {
        state.at.clone_from(&r.key);
    }
}

/// The row in hand: what it demands, and its text to be mended.
fn one(ui: &mut egui::Ui, ctx: &Ctx<'_>, set: &RuleSet, state: &mut State, out: &mut Vec<Intent>) {
    let Some(r) = state.rows.iter().find(|r| r.key == state.at).cloned() else {
        look::paragraph(ui, "Choose a row with the arrow keys; Enter leads into its text.");
        return;
    };
    let mut leave = crate::parts::escaped(ui);
    whole(ui, &r);
    if !r.may_be_mended {
        look::faint(ui, "This row is the same everywhere in this program and cannot be changed.");
        state.into_form = false;
        leave |= ui.button(phrase!("Back to the rules")).clicked();
        if leave {
            (state.opened, state.into_list) = (false, true);
        }
        return;
    }
    let mut draft = state
        .drafts
        .remove(&r.key)
        .unwrap_or_else(|| Draft { text: r.toml.trim().into(), ..Draft::default() });
    let stands = Draft { text: r.toml.trim().into(), reason: String::new() };
    let mut go = false;
    let room = (ui.available_height() - 84.0).max(120.0);
    egui::ScrollArea::vertical().id_salt(("row", &r.key)).max_height(room).auto_shrink([false, false]).show(
        ui,
        |ui| {
            let changed = draft.text.trim() != stands.text;
            let wrong =
                if changed { live(ctx, set.id(), &r.key, &draft.text, &mut state.checked) } else { None };
            let reason = refusal_of(&state.refusals, "reason", 0);
            let mut form = Form::new(ui, "rule row").label_width(96.0);
            form.focus_once(ui, &mut state.into_form, "Text");
            let lines = draft.text.lines().count().clamp(4, 14);
            let width = (ui.available_width() - 140.0).clamp(240.0, 760.0);
            let field = Field::new("Text").width(width).lines(lines).refusal(wrong.as_deref());
            form.field(ui, &field, &mut draft.text);
            let field = Field::new("Why").width(width.min(460.0)).example("kept in the journal");
            form.field(ui, &field.refusal(reason.as_deref()), &mut draft.reason);
            go = form.finish(ui) == FormEvent::Submitted;
        },
    );
    let mut back = false;
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the change").clicked();
        let word = if rules::rule_set(set.id()).is_some() { "As shipped again" } else { "As the set has it" };
        let mine = ctx.flock.rule_changes().iter().any(|c| c.set == set.id() && c.row == r.key);
        back = ui.add_enabled(mine, egui::Button::new(crate::look::spoken(word))).clicked();
        leave |= ui.button(phrase!("Back to the rules")).clicked(); // what is typed stays
        if draft != stands {
            if ui
                .button(phrase!("As it stands"))
                .on_hover_text(phrase!("Throws away what is typed here"))
                .clicked()
            {
                draft = stands.clone();
            }
            look::word(ui, Kind::Caution, "changed, not yet written");
        } else {
            look::faint(ui, "Periods that are written already do not move when a rule changes.");
        }
    });
    if leave {
        (state.opened, state.into_list) = (false, true);
    }
    if back {
        state.hand_over(&r.key, entry::rule_as_shipped(set.id(), &r.key, ctx.flock), out);
    } else if go {
        let check = entry::rule_row(set.id(), &r.key, &draft.text, &draft.reason, ctx.flock);
        state.hand_over(&r.key, check, out);
    }
    if draft != stands {
        state.drafts.insert(r.key, draft);
    }
}

/// What a row demands, with what it stands on.
fn whole(ui: &mut egui::Ui, r: &RuleRow) {
    ui.add(egui::Label::new(r.words.as_str()).wrap());
    let memory = if r.ground.is_memory() { " Not looked up." } else { "" };
    look::faint(ui, phrase!("{}. Stands on: {}.{memory}", r.topic.words(), r.ground));
}

/// What is wrong with a row as it is typed, looked at once for each text.
fn live(
    ctx: &Ctx<'_>,
    set: &str,
    key: &str,
    text: &str,
    kept: &mut Option<(String, String, Result<(), String>)>,
) -> Option<String> {
    let same = kept.as_ref().is_some_and(|(k, t, _)| k == key && t == text);
    if !same {
        let said = rules::row_faults_among(set, key, text, ctx.flock.rule_changes());
        *kept = Some((key.to_string(), text.to_string(), said));
    }
    kept.as_ref().and_then(|(_, _, said)| said.as_ref().err().cloned())
}

/// The keeper's own sets: each may be taken out again, unless the book goes by it.
fn own_sets(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let all = ctx.flock.rule_changes().iter().filter(|c| c.row.is_empty());
    for own in all.map(|c| c.set.clone()).collect::<Vec<_>>() {
        if own == ctx.flock.holding().rules {
            continue;
        }
        let name = rules::effective(&own, ctx.flock.rule_changes())
            .map_or_else(|_| own.clone(), |s| s.name().to_string());
        if ui.button(phrase!("Take out ‘{name}’")).clicked() {
            state.hand_over(OWN, entry::rule_as_shipped(&own, "", ctx.flock), out);
        }
    }
}

/// A set of the keeper's own, from a copy of the present one.
fn own_set(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let (mut go, mut close) = (false, false);
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, "A set of rules of my own");
        look::faint(
            ui,
            "It begins as a copy. Change its rows here, or leave them and mend them one by one later. Choose it on the page of the book.",
        );
        let room = (ui.available_height() - 52.0).max(200.0);
        egui::ScrollArea::vertical().id_salt("own set").max_height(room).auto_shrink([false, false]).show(
            ui,
            |ui| {
                let wrong = live(ctx, state.own_id.trim(), "", &state.own, &mut state.checked);
                let id = refusal_of(&state.refusals, "id", 0);
                let mut form = Form::new(ui, "own set").label_width(110.0);
                form.focus_once(ui, &mut state.into_form, "Short name");
                let before = (state.own_id.clone(), state.own_name.clone());
                let field = Field::new("Short name").width(200.0).example("small letters and hyphens");
                form.field(ui, &field.refusal(id.as_deref()), &mut state.own_id);
                form.field(ui, &Field::new("Name").width(360.0), &mut state.own_name);
                if before != (state.own_id.clone(), state.own_name.clone()) {
                    state.own = headed(&state.own, &state.own_id, &state.own_name);
                }
                let width = (ui.available_width() - 150.0).clamp(240.0, 800.0);
                let field = Field::new("Text").width(width).lines(16).refusal(wrong.as_deref());
                form.field(ui, &field, &mut state.own);
                go = form.finish(ui) == FormEvent::Submitted;
            },
        );
        ui.horizontal(|ui| {
            go |= look::primary(ui, "Add the set").clicked();
            if ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui) {
                close = true; // what is typed stays
            }
        });
    });
    if close {
        state.adding = false;
        state.into_list = true;
    } else if go {
        let check = entry::rule_set_own(&state.own_id, &state.own, ctx.flock);
        state.hand_over(OWN, check, out);
    }
}

/// The text of a set with another id and name at its head.
fn headed(text: &str, id: &str, name: &str) -> String {
    let quoted = |t: &str| t.trim().replace('\\', "\\\\").replace('"', "\\\"");
    let mut in_head = true;
    let lines = text.lines().map(|l| {
        in_head &= !l.starts_with('[');
        match (in_head, l.split('=').next().map(str::trim)) {
            (true, Some("id")) => format!("id = \"{}\"", quoted(id)),
            (true, Some("name")) => format!("name = \"{}\"", quoted(name)),
            _ => l.to_string(),
        }
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::headed;

    #[test]
    fn the_head_follows_the_fields() {
        let text = "id = \"a\"\nname = \"A\"\nseen = true\n\n[[mark]]\nname = \"b\"\n";
        assert_eq!(
            headed(text, "my-a", "A \"b\""),
            "id = \"my-a\"\nname = \"A \\\"b\\\"\"\nseen = true\n\n[[mark]]\nname = \"b\"\n"
        );
    }
}
