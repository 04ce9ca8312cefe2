//! Pictures and papers of an animal and its records: the list with the picture under the cursor, small ones above it,
//! and the one that stands for the animal.

use super::super::list::{By, List, Row, height, take_out};
use super::super::papers_kept::{ask_for, thumb, told};
use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use egui::{Key, Modifiers};
use hirsel_core::entry;
use hirsel_core::flock::{AnimalFile, Document, DocumentOf, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::papers::{of_animal, record_words};
use hirsel_core::terms::DocumentId;

/// Made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct Pictures {
    list: List<DocumentId>,
    at: TableState<DocumentId>,
    /// The newest first.
    shown: Vec<DocumentId>,
}

/// What the keeper wants to do with one.
pub(super) enum Wish {
    /// Mend its name or day.
    Name(DocumentId),
    /// Strike it out.
    Strike(DocumentId),
}

const NAME: &str = "Pictures and papers";
/// So many small pictures stand above the list.
const ROW: usize = 12;
/// The sides of the small ones, of the large one, and of the one that stands for the animal, in points.
const SMALL: f32 = 76.0;
const LARGE: f32 = 240.0;
const PORTRAIT: f32 = 72.0;

impl Pictures {
    pub(super) fn make(&mut self, ctx: &Ctx<'_>, file: &AnimalFile) {
        let all = of_animal(ctx.flock, file);
        let portrait = ctx.flock.documents().portrait(file.animal.id).map(|d| d.id);
        let standing = all.iter().rev().filter(|d| d.is_picture() && d.struck.is_none());
        self.shown = standing.map(|d| d.id).take(ROW).collect();
        self.list.set(all.into_iter().rev().map(|d| row(ctx, file, d, portrait)).collect());
        let there = |id| self.list.rows.iter().any(|r| r.key == id);
        if self.at.cursor().is_none_or(|id| !there(id))
            && let Some(first) = self.list.rows.first()
        {
            self.at.set_cursor(first.key);
        }
    }

    /// Draws them; nothing where there are none.
    pub(super) fn view(
        &mut self,
        ui: &mut egui::Ui,
        ctx: &Ctx<'_>,
        file: &AnimalFile,
        out: &mut Vec<Intent>,
    ) -> Option<Wish> {
        if self.list.rows.is_empty() {
            return None;
        }
        let mut want = Vec::new();
        let mut wish = None;
        let known = ctx.flock.documents();
        ui.horizontal(|ui| {
            look::subheading(ui, phrase!("{NAME} ({})", self.list.rows.len()));
            let name = phrase!("papers of {}", file.animal.tag().replace('/', "-"));
            take_out(ui, &name, &["day", "name", "with", "kind", "remark"], &self.list, &mut self.at, out);
        });
        if self.shown.len() > 1 {
            ui.horizontal_wrapped(|ui| {
                for d in self.shown.iter().filter_map(|id| known.get(*id)) {
                    let picture = thumb(ui, ctx, d, SMALL, &mut want);
                    if picture.on_hover_text(crate::look::spoken(&d.name)).clicked() {
                        self.at.set_cursor(d.id);
                    }
                }
            });
            ui.add_space(space::XS);
        }
        let wide = ui.available_width() > LARGE + 640.0;
        let columns = [
            Column::new("Day", 96.0),
            Column::new("Name", 120.0).rest(),
            Column::new("With", 100.0).rest(),
            Column::new("What", 92.0),
            Column::new("Remark", 96.0),
        ];
        let width = if wide { ui.available_width() - LARGE - space::L } else { ui.available_width() };
        let rows = height(self.list.rows.len(), if wide { 6 } else { 1 }, 8);
        let table = |ui: &mut egui::Ui, this: &mut Self, wish: &mut Option<Wish>, out: &mut Vec<Intent>| {
            // Heads above rows, also where the picture stands beside them.
            let down = egui::Layout::top_down(egui::Align::Min);
            ui.allocate_ui_with_layout(egui::vec2(width, rows), down, |ui| {
                ui.set_min_size(egui::vec2(width, rows));
                let table = RecordTable::new(NAME, &columns).single();
                let cursor = this.at.cursor().and_then(|id| known.get(id)).filter(|d| d.struck.is_none());
                if let Some(d) = cursor.filter(|_| ui.memory(|m| m.has_focus(table.id(ui)))) {
                    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
                    if pressed(Key::Delete) {
                        *wish = Some(Wish::Strike(d.id));
                    } else if pressed(Key::F2) {
                        *wish = Some(Wish::Name(d.id));
                    }
                }
                for event in table.show(ui, &mut this.at, &this.list) {
                    if let TableEvent::Opened(id) = event {
                        out.push(Intent::ShowPaper(id));
                    }
                }
            });
        };
        let at = |this: &Self| this.at.cursor().and_then(|id| known.get(id));
        if wide {
            ui.horizontal_top(|ui| {
                table(ui, self, &mut wish, out);
                ui.add_space(space::S);
                if let Some(d) = at(self) {
                    ui.vertical(|ui| one(ui, ctx, file, d, &mut want, &mut wish, out));
                }
            });
        } else {
            table(ui, self, &mut wish, out);
            if let Some(d) = at(self) {
                one(ui, ctx, file, d, &mut want, &mut wish, out);
            }
        }
        ask_for(want, out);
        ui.add_space(space::M);
        wish
    }
}

/// The one under the cursor: seen, and what can be done with it.
fn one(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    d: &Document,
    want: &mut Vec<DocumentId>,
    wish: &mut Option<Wish>,
    out: &mut Vec<Intent>,
) {
    ui.set_max_width(LARGE);
    if thumb(ui, ctx, d, LARGE, want).on_hover_text(phrase!("Opens it in the viewer")).clicked() {
        out.push(Intent::ShowPaper(d.id));
    }
    look::faint(ui, told(d));
    if let Some(s) = &d.struck {
        look::sentence(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
    }
    ui.horizontal_wrapped(|ui| {
        if ui
            .button(phrase!("Show"))
            .on_hover_text(phrase!("In the viewer of this machine (Enter)"))
            .clicked()
        {
            out.push(Intent::ShowPaper(d.id));
        }
        if d.struck.is_some() {
            return;
        }
        if ui.button(phrase!("Mend its name")).on_hover_text(phrase!("Key F2 in the list")).clicked() {
            *wish = Some(Wish::Name(d.id));
        }
        if ui.button(phrase!("Strike it out")).on_hover_text(phrase!("Key Delete in the list")).clicked() {
            *wish = Some(Wish::Strike(d.id));
        }
        let own = d.of == DocumentOf::from(RecordRef::Animal(file.animal.id)) && d.is_picture();
        let stands = ctx.flock.documents().portrait(file.animal.id).is_some_and(|p| p.id == d.id);
        if own && !stands && ui.button(phrase!("Let it stand for {}", &file.animal.tag())).clicked() {
            match entry::portrait(d.id, ctx.flock) {
                Ok(checked) => {
                    let checked = Box::new(checked);
                    out.push(Intent::Write { checked, then: Then::PaperDone(String::new()) });
                }
                Err(all) => {
                    out.extend(all.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                }
            }
        }
    });
}

fn row(ctx: &Ctx<'_>, file: &AnimalFile, d: &Document, portrait: Option<DocumentId>) -> Row<DocumentId> {
    let with = match d.of {
        DocumentOf::Record(RecordRef::Animal(_)) | DocumentOf::Holding => file.animal.tag().to_string(),
        DocumentOf::Record(record) => record_words(file, record)
            .map_or_else(|| phrase!("a record"), |(what, on)| phrase!("{what}, {}", on.words())),
    };
    let size = hirsel_core::book::size_words(d.size);
    let remark = match (&d.struck, portrait == Some(d.id)) {
        (Some(_), _) => phrase!("struck out"),
        (None, true) => phrase!("stands for {}", &file.animal.tag()),
        (None, false) => String::new(),
    };
    let cell = |text: &str| {
        if d.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    Row::new(d.id)
        .cell(cell(&d.on.words()), By::Number(d.on.since(ctx.today)), d.on.to_string())
        .cell(cell(&d.name), By::Text(d.name.clone()), d.name.clone())
        .cell(cell(&with), By::Text(with.clone()), with)
        .text(format!("{}, {size}", d.kind))
        .cell(Cell::text(remark.clone()).faint(), By::Text(remark.clone()), remark)
}

/// The picture that stands for an animal, small, if there is one.
pub(super) fn portrait(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, out: &mut Vec<Intent>) {
    let Some(d) = ctx.flock.documents().portrait(file.animal.id) else { return };
    let mut want = Vec::new();
    if thumb(ui, ctx, d, PORTRAIT, &mut want).on_hover_text(phrase!("Opens it in the viewer")).clicked() {
        out.push(Intent::ShowPaper(d.id));
    }
    ask_for(want, out);
}
