//! What the scanner found.

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::rows_form::{RowsForm, Wrong};
use super::super::{Ctx, Intent, Then, fields};
use super::{columns, sized};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, ScanDraft};
use hirsel_core::flock::{AnimalFile, Link, RecordRef, Scan, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::joined::{DueLine, ScanTally, due_lines, tally};
use hirsel_core::terms::{AnimalId, Day, ScanId, Scanned, Sex, counted};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    on: String,
    note: String,
    ewe: PickerState<AnimalId>,
    found: String,
    age: String,
    search: String,
    rows: RowsForm,
    /// The ewe scanned last: the next of the group is proposed after her.
    #[serde(skip)]
    last: Option<AnimalId>,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<(AnimalId, ScanId)>,
    #[serde(skip)]
    table: TableState<(AnimalId, ScanId)>,
    #[serde(skip)]
    tally: ScanTally,
    /// Ewes that are joined and not scanned, by tag.
    #[serde(skip)]
    waiting: Vec<AnimalId>,
    #[serde(skip)]
    all_waiting: bool,
}

impl State {
    /// An entry of this page is written: the next ewe of the group is proposed.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        self.last = self.ewe.chosen().or(self.last);
        self.rows.written(&mut self.ewe, [&mut self.found, &mut self.age, &mut self.note], "Ewe");
        make(ctx, self);
        let next = next(ctx, self);
        self.rows.propose(ctx, &mut self.ewe, next);
    }
}

/// The first ewe not scanned that follows the last one by tag; after the end the first of all.
fn next(ctx: &Ctx<'_>, state: &State) -> Option<AnimalId> {
    let last = state.last.map(|l| ctx.flock.tag(l).to_string()).unwrap_or_default();
    let after = |id: &&AnimalId| natural(ctx.flock.tag(**id), &last).is_gt();
    state.waiting.iter().find(after).or(state.waiting.first()).copied()
}

const TABLE: &str = "Scans";
const LABELS: f32 = 100.0;

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    make(ctx, state);
    if std::mem::take(into) {
        state.rows.aim("Ewe");
    }
    let typing = !state.found.is_empty();
    state.rows.carry_day(ctx, typing, &mut state.on, &mut String::new());
    tally_line(ui, &state.tally);
    let mut more = Vec::new();
    columns(
        ui,
        "scans",
        0.42,
        state,
        |ui, state| form(ui, ctx, state, out),
        |ui, state| beside(ui, ctx, state, &mut more),
    );
    out.append(&mut more);
}

/// `Of 40 ewes joined 36 are scanned: 2 empty (6 %), …`.
fn tally_line(ui: &mut egui::Ui, t: &ScanTally) {
    if t.joined == 0 && t.scanned() == 0 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        look::strong(
            ui,
            phrase!(
                "{} of {} joined {} scanned",
                t.scanned(),
                t.joined,
                if t.joined == 1 { "ewe" } else { "ewes" }
            ),
        );
        for (what, n) in [
            ("empty", t.empty),
            ("singles", t.one),
            ("twins", t.two),
            ("three or more", t.three),
            ("in lamb, not counted", t.uncounted),
        ] {
            if n > 0 || (what != "in lamb, not counted" && t.scanned() > 0) {
                look::chip(ui, Kind::Plain, phrase!("{what} {n}, {} %", t.share(n)));
            }
        }
        if let Some(per) = t.per_hundred() {
            look::strong(ui, phrase!("{per} lambs seen for 100 ewes"));
        }
    });
    look::faint(
        ui,
        "A scan count is not a birth count: a single or twins is right in about nine of ten ewes, three or more far less often, and lambs may be lost before birth.",
    );
    ui.add_space(space::S);
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "scans").label_width(LABELS);
    t.rows.drawn(ui, &form, &["Ewe"]);
    let wrong = |name| t.rows.wrong(name);
    let (on, ewe, found, age) = (wrong("on"), wrong("ewe"), wrong("found"), wrong("age_days"));
    look::faint(ui, "This stays from ewe to ewe:");
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    ui.add_space(space::S);
    look::faint(ui, "One ewe after another, Enter by Enter:");
    form.field(ui, &Field::new("Note").width(240.0), &mut t.note);
    form.animal_quiet(ui, ctx, "Ewe", &mut t.ewe, (ewe.as_deref(), None), |f| {
        f.animal.sex == Sex::Ewe && f.animal.status.is_here()
    });
    if t.rows.proposal(&t.ewe).is_some() {
        ui.horizontal(|ui| {
            ui.add_space(LABELS + space::S);
            look::faint(ui, "the next one not scanned; type over her tag for another");
        });
    }
    let read = |x: &str| scanned(x).map(|s| s.words().to_string());
    let field = Field::new("Found").width(110.0).example("0 1 2 3 or y").understand(&read);
    form.field(ui, &field.refusal(found.as_deref()), &mut t.found);
    let on_day = fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today);
    let read = |x: &str| {
        age_of(x).map(|a| {
            a.map(|a| phrase!("took the ram on {}", on_day.plus(-i64::from(a)).words())).unwrap_or_default()
        })
    };
    let field = Field::new("Age of lambs").width(110.0).example("if told").unit("days").understand(&read);
    form.field(ui, &field.refusal(age.as_deref()), &mut t.age);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the scan").clicked();
        look::faint(ui, "y: in lamb, not counted. Ctrl+Z takes the last one back.");
    });
    if go {
        let row = checked(ctx, t);
        t.rows.send(row, out);
    }
}

/// What was found, by a key or in words.
fn scanned(text: &str) -> Result<Scanned, String> {
    match text.trim().to_lowercase().as_str() {
        "y" | "yes" => Ok(Scanned::InLamb),
        "n" | "no" | "-" => Ok(Scanned::Empty),
        "s" => Ok(Scanned::One),
        "t" => Ok(Scanned::Two),
        other => match other.parse::<u32>() {
            Ok(4..=9) => Ok(Scanned::Three),
            _ => Scanned::parse(other).map_err(|e| e.0),
        },
    }
}

fn age_of(text: &str) -> Result<Option<u16>, String> {
    let Some(text) = fields::some(text) else { return Ok(None) };
    let bare = text.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
    bare.parse().map(Some).map_err(|_| phrase!("'{text}' is no number of days: write it like 60"))
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, Wrong> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let ewe = fields::picked(ctx, &t.ewe, "the ewe").map_err(|e| ("Ewe", e))?;
    let ewe = ewe.ok_or(("Ewe", phrase!("which ewe? Type any part of her tag or name")))?;
    if t.found.trim().is_empty() {
        return Err(("Found", phrase!("what did the scan show? 0, 1, 2, 3, or y for in lamb")));
    }
    let draft = ScanDraft {
        ewe,
        on,
        found: scanned(&t.found).map_err(|e| ("Found", e))?,
        age_days: age_of(&t.age).map_err(|e| ("Age of lambs", e))?,
        note: fields::some(&t.note),
    };
    let labels = [("on", "Day"), ("found", "Found"), ("age_days", "Age of lambs")];
    t.rows.checked(entry::scans(vec![draft], ctx.flock, ctx.today), Then::JoiningDone, &labels, "Ewe")
}

const SHOWN: usize = 24;

fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if !state.waiting.is_empty() {
        let n = state.waiting.len();
        look::strong(ui, phrase!("Not scanned yet: {}", counted(n, "ewe")));
        let shown = if state.all_waiting { n } else { n.min(SHOWN) };
        let tags: Vec<&str> = state.waiting.iter().take(shown).map(|e| ctx.flock.tag(*e)).collect();
        let more = if n > shown { phrase!(" and {} more", n - shown) } else { String::new() };
        ui.label(format!("{}{more}", tags.join(", ")));
        if n > SHOWN {
            let word = if state.all_waiting { "Show fewer" } else { "Show all" };
            state.all_waiting ^= ui.button(crate::look::spoken(word)).clicked();
        }
        ui.add_space(space::M);
    }
    if state.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No scan yet. On the day of the scanner type tag, result and Enter for each ewe; the age of the lambs, if he tells it, narrows her due days.",
        );
        return;
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "ewe, twins, year", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "scan"));
        let heads = ["on", "ewe", "found", "age_days", "remark", "note"];
        take_out(ui, "scans", &heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No scan fits the search.");
        return;
    }
    let columns = [
        Column::new("Day", 100.0),
        Column::new("Ewe", 70.0).rest(),
        Column::new("Found", 120.0),
        Column::new("Age, days", 80.0).right(),
        Column::new("Remark", 110.0).rest(),
    ];
    sized(ui, height(state.list.rows.len(), 3, 12), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened((ewe, id)) = event {
                out.push(Intent::Follow(Link::Record(ewe, RecordRef::Scan(id))));
            }
        }
    });
    look::faint(ui, "Enter opens the scan on the ewe's leaf, to amend it or strike it out.");
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    if state.made_for.as_ref().is_none_or(|(v, day, _)| (*v, *day) != (wanted.0, wanted.1)) {
        state.tally = tally(ctx.flock, ctx.today);
        let lines: Vec<DueLine> = due_lines(ctx.flock, ctx.today);
        state.waiting = lines.into_iter().filter(|l| l.scan.is_none()).map(|l| l.ewe).collect();
        state.waiting.sort_by(|a, b| natural(ctx.flock.tag(*a), ctx.flock.tag(*b)).then(a.cmp(b)));
    }
    let mut all: Vec<(&AnimalFile, &Scan)> =
        ctx.flock.files().flat_map(|f| f.scans.iter().map(move |s| (f, s))).collect();
    all.sort_by_key(|(_, s)| std::cmp::Reverse((s.on, s.id)));
    state.list.set(all.into_iter().filter_map(|(f, s)| row(ctx, f, s, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, s: &Scan, search: &str) -> Option<Row<(AnimalId, ScanId)>> {
    let (ewe, found) = (f.animal.title(), s.found.words());
    let remark = if s.struck.is_some() {
        phrase!("struck out")
    } else {
        s.note.as_deref().unwrap_or_default().to_string()
    };
    if !fits(search, [ewe.as_str(), found, &remark, &s.on.words()]) {
        return None;
    }
    let cell = |text: &str| {
        if s.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let age = s.age_days.map(|d| d.to_string()).unwrap_or_default();
    let mut row = Row::new((f.animal.id, s.id)).cell(
        cell(&s.on.words()),
        By::Number(s.on.since(ctx.today)),
        s.on.to_string(),
    );
    row = row.cell(cell(&ewe), By::Text(ewe.clone()), ewe);
    row = row.cell(cell(found), By::Number(s.found as i64), found);
    row = row.cell(cell(&age), By::number(s.age_days.map(i64::from)), age);
    row = row.cell(cell(&remark), By::Text(remark.clone()), remark);
    Some(row.hidden(s.note.clone().unwrap_or_default()))
}
