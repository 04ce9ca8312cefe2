//! The copies kept beside the book: what each holds, and what can be made of one.

use super::super::super::list::{By, List, Row, height, take_out};
use super::super::super::{Ctx, Intent};
use crate::desk::places::CopyWish;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::book::size_words;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, counted};
use std::path::PathBuf;

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Copies {
    made_for: Option<(u64, Day)>,
    list: List<usize>,
    table: TableState<usize>,
    /// This one is to be put in the book's place: asked once more.
    sure: Option<PathBuf>,
}

const HEADS: [&str; 8] = ["copy", "age", "animals", "lines", "last_line", "last_written", "size", "format"];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, c: &mut Copies, out: &mut Vec<Intent>) {
    let known = ctx.places.known().unwrap_or_default();
    look::subheading(ui, phrase!("Copies kept beside the book ({})", known.len()));
    look::faint(
        ui,
        "One a day for the last 7 days the book was opened, one a week for 4 weeks, one a month for 12 months; and one before anything is changed for good.",
    );
    if ctx.places.known().is_none() {
        look::faint(ui, "They are being read …");
        return;
    }
    if known.is_empty() {
        look::paragraph(
            ui,
            "None yet: one is made when the book is opened again after something was written.",
        );
        return;
    }
    let wanted = (ctx.places.number(), ctx.today);
    if c.made_for != Some(wanted) {
        c.made_for = Some(wanted);
        make(ctx, c);
    }
    let columns = [
        Column::new("Copy", 200.0),
        Column::new("Age", 100.0),
        Column::new("Animals", 80.0),
        Column::new("Lines", 80.0),
        Column::new("Last line", 200.0).rest(),
        Column::new("Written", 130.0),
        Column::new("Size", 80.0),
    ];
    let size = egui::vec2(ui.available_width(), height(known.len(), 2, 7));
    let mut opened = None;
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Copies", &columns).single().show(ui, &mut c.table, &c.list) {
            if let TableEvent::Opened(i) = event {
                opened = Some(i);
            }
        }
    });
    if let Some(folder) = known.first().and_then(|(k, _)| k.path.parent()) {
        look::faint(ui, phrase!("in {}", folder.display()));
    }
    let chosen = c.table.cursor().and_then(|i| known.get(i));
    if let Some((copy, Err(why))) = chosen {
        look::sentence(ui, Kind::Refuse, format!("{}: {why}", copy.name));
    }
    let busy = ctx.places.is_busy();
    ui.horizontal_wrapped(|ui| {
        let path = chosen.map(|(copy, _)| copy.path.clone());
        let can = path.is_some() && !busy;
        let compare = ui
            .add_enabled(can, egui::Button::new(phrase!("Compare with now")))
            .on_hover_text(phrase!("Enter on a copy"));
        let beside = ui.add_enabled(can, egui::Button::new(phrase!("Restore beside the book")));
        let place = ui.add_enabled(can, egui::Button::new(phrase!("Put in the book’s place…")));
        if let Some(path) = path {
            if compare.clicked() {
                out.push(Intent::Copies(CopyWish::Compare(path.clone())));
            }
            if beside.clicked() {
                out.push(Intent::Copies(CopyWish::Beside(path.clone())));
            }
            if place.clicked() {
                c.sure = Some(path);
            }
        }
        take_out(ui, "copies", &HEADS, &c.list, &mut c.table, out);
        if chosen.is_none() {
            look::faint(ui, "Choose a copy in the list first.");
        }
    });
    if let Some((copy, _)) = opened.and_then(|i| known.get(i)) {
        out.push(Intent::Copies(CopyWish::Compare(copy.path.clone())));
    }
    sure(ui, c, out);
    if let Some(made) = ctx.places.made() {
        let name = made.file_name().unwrap_or_default().to_string_lossy().into_owned();
        ui.horizontal(|ui| {
            look::sentence(ui, Kind::Good, phrase!("{name} lies beside the book"));
            if ui.button(phrase!("Close this book and open that")).clicked() {
                out.push(Intent::Copies(CopyWish::OpenMade(made.to_path_buf())));
            }
        });
    }
}

/// Asked once more before a copy takes the book's place.
fn sure(ui: &mut egui::Ui, c: &mut Copies, out: &mut Vec<Intent>) {
    let Some(path) = c.sure.clone() else { return };
    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    ui.add_space(space::XS);
    let text = phrase!(
        "The book will be closed and be as it was in '{name}'; what stands there now is kept beside it as 'before restoring'"
    );
    look::banner(ui, Kind::Caution, &text, |ui| {
        ui.horizontal(|ui| {
            if look::primary(ui, "Put it in its place").clicked() {
                out.push(Intent::Copies(CopyWish::PutInPlace(path.clone())));
                c.sure = None;
            }
            if ui.button(phrase!("Leave the book as it is")).clicked() {
                c.sure = None;
            }
        });
    });
}

fn make(ctx: &Ctx<'_>, c: &mut Copies) {
    let rows = ctx.places.known().unwrap_or_default().iter().enumerate().map(|(i, (copy, held))| {
        let name = match copy.on {
            Some(on) if on.to_string() == copy.name => on.words(),
            _ => copy.name.clone(),
        };
        let age = copy.on.map(|on| ctx.today.since(on));
        let ago = match age {
            None => String::new(),
            Some(0) => phrase!("today"),
            Some(1) => phrase!("yesterday"),
            Some(n) => phrase!("{n} days ago"),
        };
        let newest = age.map_or(i64::MAX, |a| a);
        let row = Row::new(i)
            .cell(Cell::text(name.clone()).strong(), By::Number(newest), name.clone())
            .number(ago.clone(), age);
        let whole = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
        match held {
            Ok(h) => {
                let (at, what) = h.last.clone().unwrap_or_default();
                let at: String = at.chars().take(16).collect();
                row.number(h.animals.to_string(), Some(whole(h.animals as u64)))
                    .number(h.lines.to_string(), Some(whole(h.lines as u64)))
                    .text(what.clone())
                    .text(at.clone())
                    .number(size_words(h.size), Some(whole(h.size)))
                    .hidden(h.format.to_string())
                    .said(phrase!(
                        "{name}, {ago}, {}, {}, last on {at}: {what}, {}",
                        counted(h.animals, "animal"),
                        counted(h.lines, "line"),
                        size_words(h.size)
                    ))
            }
            Err(_) => row
                .text("")
                .text("")
                .cell(
                    Cell::chip(Kind::Refuse, "cannot be read"),
                    By::Text("cannot be read".into()),
                    "cannot be read",
                )
                .text("")
                .text("")
                .hidden("")
                .said(phrase!("{name}, {ago}, cannot be read")),
        }
    });
    c.list.set(rows.collect());
}
