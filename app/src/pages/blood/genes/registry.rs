//! The registry: prefix, number and section of each animal, breed parts, what it qualifies for and what it lacks.

use super::super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form};
use hirsel_core::entry;
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::grading::{Grade, Grading};
use hirsel_core::terms::{AnimalId, IdentityKind, Misread, counted};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Whom {
    #[default]
    Here,
    Upwards,
    Disagree,
    All,
}

const WHOM: [(Whom, &str); 4] = [
    (Whom::Here, "in the flock"),
    (Whom::Upwards, "can be moved up"),
    (Whom::Disagree, "do not agree"),
    (Whom::All, "ancestors too"),
];

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    whom: Whom,
    search: String,
    #[serde(skip)]
    grading: Option<(u64, Result<Grading, Misread>)>,
    #[serde(skip)]
    made_for: Option<(u64, Whom, String)>,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
}

impl State {
    /// The sections are written.
    pub(super) fn after(&mut self) {
        self.table.clear_selection();
    }
}

const TABLE: &str = "Registry";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let version = ctx.flock.version();
    if state.grading.as_ref().is_none_or(|(v, _)| *v != version) {
        state.grading = Some((version, Grading::of(ctx.flock)));
        state.made_for = None;
    }
    let Some((_, Ok(grading))) = &state.grading else {
        *into = false;
        if let Some((_, Err(e))) = &state.grading {
            look::refusal(ui, phrase!("The flock's own rules of grading up cannot be read: {e}"));
        }
        look::paragraph(ui, "Mend them on the page of the book, where the keeper's facts stand.");
        return;
    };
    if ctx.flock.is_empty() {
        *into = false;
        look::paragraph(
            ui,
            "No animal yet. Prefix, registry number and section are written with the animal; breed parts follow from its parents.",
        );
        return;
    }
    let on = search_field(ui, TABLE, "tag, name, prefix, number, section, breed", into, &mut state.search);
    let mut form = Form::new(ui, "registry").label_width(60.0);
    let mut whom = Some(state.whom);
    form.choice(ui, &Choice::new("Whom", &WHOM), &mut whom);
    state.whom = whom.unwrap_or_default();
    form.finish(ui);
    let wanted = (version, state.whom, state.search.clone());
    if state.made_for.as_ref() != Some(&wanted) {
        let rows = ctx.flock.files().filter_map(|f| row(grading, f, state.whom, &state.search));
        let mut rows: Vec<Row<AnimalId>> = rows.collect();
        rows.sort_by(|a, b| hirsel_core::flock::natural(&a.plain[0], &b.plain[0]));
        state.list.set(rows);
        state.made_for = Some(wanted);
    }
    let mut write = false;
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "animal"));
        let heads = [
            "animal",
            "prefix",
            "registry_number",
            "section",
            "qualifies_for",
            "breed_parts",
            "remark",
            "name",
        ];
        take_out(ui, "registry", &heads, &state.list, &mut state.table, out);
        let chosen = state.table.selected().len();
        let label =
            phrase!("Write the section {} for", if chosen == 1 { "it qualifies" } else { "they qualify" });
        let button = ui.add_enabled(chosen > 0, egui::Button::new(crate::look::spoken(label)));
        write = button.on_disabled_hover_text(phrase!("Choose animals with the space bar")).clicked();
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No animal fits.");
        return;
    }
    let columns = [
        Column::new("Animal", 70.0),
        Column::new("Prefix", 84.0),
        Column::new("Number", 80.0),
        Column::new("Section", 100.0),
        Column::new("Qualifies for", 104.0),
        Column::new("Breed parts", 130.0).rest(),
        Column::new("Remark", 150.0).rest(),
    ];
    let below = 76.0;
    let most = ((ui.available_height() - below) / space::ROW).max(5.0) as usize;
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 4, most.saturating_sub(1)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                out.push(Intent::Open(id));
            }
        }
    });
    match state.table.cursor().and_then(|id| Some((id, grading.get(id)?))) {
        Some((id, grade)) => told(ui, ctx, grading, id, grade),
        None => {
            let ladder: Vec<&str> = grading.ladder.sections.iter().map(|s| s.name.as_str()).collect();
            let own = if ctx.flock.holding().grading.trim().is_empty() {
                "common practice; write your registry's own rules on the page of the book"
            } else {
                "your own rules"
            };
            look::paragraph(ui, phrase!("Sections, the lowest first: {} ({own}).", ladder.join(", ")));
        }
    }
    if write {
        sections(ctx, grading, &state.table.chosen(), out);
    }
}

/// What it lacks for the next section, whole.
fn told(ui: &mut egui::Ui, ctx: &Ctx<'_>, grading: &Grading, id: AnimalId, grade: &Grade) {
    let tag = ctx.flock.tag(id);
    if let Some(words) = &grade.disagrees {
        look::sentence(ui, Kind::Caution, format!("{tag}: {words}."));
    }
    let next = grade.next.map(|n| grading.name(n)).unwrap_or_default();
    if next.is_empty() {
        return;
    }
    let words = match grade.missing.as_slice() {
        [] => phrase!("{tag} has all that {next} asks.", tag = &tag, next = &next),
        some => phrase!("For {next} {tag} lacks: {}.", some.join("; "), tag = &tag, next = &next),
    };
    look::paragraph(ui, words);
    if let Some(note) = grade.next.and_then(|n| grading.ladder.sections[n].note.as_ref()) {
        look::faint(ui, note);
    }
}

fn sections(ctx: &Ctx<'_>, grading: &Grading, chosen: &[AnimalId], out: &mut Vec<Intent>) {
    let mut all = Vec::new();
    for id in chosen {
        let (Some(a), Some(g)) = (ctx.flock.animal(*id), grading.get(*id)) else { continue };
        let Some(q) = g.qualifies.filter(|q| g.written.is_none_or(|w| w < *q)) else { continue };
        let mut new = a.clone();
        new.section = Some(grading.name(q).into());
        match entry::edit_animal(new, Some("by the rules of grading up"), ctx.flock, ctx.today) {
            Ok(checked) => all.push(checked),
            Err(refusals) => {
                let first = refusals.first().map(ToString::to_string).unwrap_or_default();
                out.push(Intent::Say(Kind::Refuse, format!("{}: {first}", a.tag())));
                return;
            }
        }
    }
    if all.is_empty() {
        let words = "none of the chosen animals qualifies for more than is written";
        out.push(Intent::Say(Kind::Plain, words.into()));
        return;
    }
    let what = phrase!("Sections of {}", counted(all.len(), "animal"));
    out.push(Intent::WriteAll { what, all, word: String::new(), then: Then::BloodDone });
}

fn row(grading: &Grading, f: &AnimalFile, whom: Whom, search: &str) -> Option<Row<AnimalId>> {
    let a = &f.animal;
    let g = grading.get(a.id)?;
    let here = a.status.is_here();
    let up = g.qualifies.filter(|q| g.written.is_none_or(|w| w < *q) && here);
    let shown = match whom {
        Whom::Here => here,
        Whom::Upwards => up.is_some(),
        Whom::Disagree => g.disagrees.is_some(),
        Whom::All => true,
    };
    if !shown {
        return None;
    }
    let number = a.worn(IdentityKind::Registry).map(|i| i.tag.to_string()).unwrap_or_default();
    let (prefix, section) = (opt(&a.prefix), opt(&a.section));
    let qualifies = g.qualifies.map(|q| grading.name(q).to_string()).unwrap_or_default();
    let breed = grading.shares.words(a.id);
    if !fits(search, [a.tag(), &opt(&a.name), &prefix, &number, &section, &qualifies, &breed]) {
        return None;
    }
    let next = g.next.map(|n| grading.name(n)).unwrap_or_default();
    let (cell, remark) = match (&g.disagrees, g.missing.as_slice()) {
        (Some(words), _) => (Cell::chip(Kind::Caution, words.clone()), words.clone()),
        (None, _) if up.is_some() && g.written.is_some() => {
            let words = phrase!("can be moved up to {qualifies}");
            (Cell::chip(Kind::Good, words.clone()), words)
        }
        (None, _) if up.is_some() => {
            let words = phrase!("qualifies, not written");
            (Cell::text(words.clone()).faint(), words)
        }
        (None, [first, ..]) => {
            let words = phrase!("for {next}: {first}", next = &next);
            (Cell::text(words.clone()).faint(), words)
        }
        (None, []) => (Cell::empty(), String::new()),
    };
    let by = By::Text(remark.clone());
    let mut row = Row::new(a.id).tag(a.tag());
    for text in [prefix, number, section] {
        row = row.text(text);
    }
    let place = |p: Option<usize>| By::number(p.map(|p| p as i64));
    row = row.cell(Cell::text(qualifies.clone()), place(g.qualifies), qualifies).text(breed);
    Some(row.cell(cell, by, remark).hidden(opt(&a.name)))
}

/// Words as they are shown; nothing for none.
fn opt(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}
