//! The readings as a list: whose, what is to be looked at, and who of the pen was not read.

use super::super::State as Flock;
use super::unknown;
use crate::desk::roll::Ready;
use crate::look::{self, Kind, space};
use crate::pages::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use crate::pages::{Ctx, Intent};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::exchange::roll::{Called, RollRow};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Weight};

/// A row of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Key {
    /// A reading by its place.
    Read(usize),
    /// A line to mend by its place.
    Bad(usize),
    /// An animal that was not read.
    Missing(AnimalId),
}

type MadeFor = (u64, u64, String, Option<String>);

/// The list, made once for a reading, a search and a pen.
#[derive(Debug, Default)]
pub(super) struct State {
    search: String,
    into: bool,
    made_for: Option<MadeFor>,
    list: List<Key>,
    table: TableState<Key>,
}

const HEADS: [&str; 9] =
    ["line", "as_read", "animal", "what", "read_on", "time", "weight", "standing", "remark"];

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    ready: &Ready,
    (pen, missing): (Option<&str>, &[AnimalId]),
    flock: &mut Flock,
    out: &mut Vec<Intent>,
) {
    let s = &mut flock.roll.rows;
    let wanted = (ready.number, ctx.flock.version(), s.search.clone(), pen.map(str::to_string));
    if s.made_for.as_ref() != Some(&wanted) {
        make(ctx, ready, missing, s);
        s.made_for = Some(wanted);
    }
    ui.add_space(space::XS);
    let to_table = search_field(ui, "roll search", "tag, number or remark", &mut s.into, &mut s.search);
    ui.horizontal(|ui| {
        take_out(ui, "list read", &HEADS, &s.list, &mut s.table, out);
    });
    match s.table.cursor() {
        Some(Key::Read(n)) => {
            if let Some(row) = ready.roll.rows.get(n).cloned() {
                unknown::beside(ui, ctx, &row, flock, out);
            }
        }
        Some(Key::Bad(n)) => {
            if let Some(bad) = ready.roll.bad.get(n) {
                look::paragraph(ui, bad.to_string());
            }
        }
        _ => {
            look::faint(
                ui,
                "What is to be looked at stands first. Enter opens an animal’s leaf, or asks whose a number is.",
            );
        }
    }
    let s = &mut flock.roll.rows;
    let mut columns = vec![
        Column::new("Line", 48.0).right(),
        Column::new("As read", 160.0),
        Column::new("Animal", 92.0),
        Column::new("What", 230.0),
        Column::new("Standing", 104.0),
        Column::new("What to look at", 200.0).rest(),
    ];
    if is_timed(ready) {
        columns[3] = Column::new("What", 150.0);
        columns.insert(4, Column::new("When", 134.0));
        columns.insert(5, Column::new("Weight", 70.0).right());
    }
    let size = egui::vec2(ui.available_width(), ui.available_height().max(height(1, 5, 5)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if to_table {
            into_table(ui, "Readings");
        }
        for event in RecordTable::new("Readings", &columns).single().show(ui, &mut s.table, &s.list) {
            let TableEvent::Opened(key) = event else { continue };
            match key {
                Key::Read(n) => match ready.roll.rows.get(n).and_then(RollRow::animal) {
                    Some(id) => out.push(Intent::Open(id)),
                    None => flock.roll.whose.ask(),
                },
                Key::Missing(id) => out.push(Intent::Open(id)),
                Key::Bad(_) => {}
            }
        }
    });
}

fn make(ctx: &Ctx<'_>, ready: &Ready, missing: &[AnimalId], s: &mut State) {
    let roll = &ready.roll;
    let timed = is_timed(ready);
    let mut all: Vec<(bool, Row<Key>)> = Vec::new();
    all.extend(roll.bad.iter().enumerate().map(|(n, b)| (false, bad(n, b.line, &b.value, &b.why, timed))));
    for (n, r) in roll.rows.iter().enumerate() {
        let plain = matches!(r.who, Called::Found(_)) && !r.is_again() && !r.is_gone && r.odd.is_empty();
        all.push((plain, row(ctx, n, r, timed)));
    }
    all.extend(missing.iter().filter_map(|id| Some((false, absent(ctx, *id, timed)?))));
    // What needs a look stands first; a click on a head sorts otherwise.
    all.sort_by_key(|(plain, _)| *plain);
    let rows = all.into_iter().map(|(_, r)| spoken(r));
    s.list.set(rows.filter(|r| fits(&s.search, r.plain.iter().map(String::as_str))).collect());
}

/// The row as a sentence with its remark.
fn spoken(row: Row<Key>) -> Row<Key> {
    let words: Vec<&str> = row.plain.iter().map(String::as_str).filter(|p| !p.is_empty()).collect();
    let said = words.join(", ");
    row.said(said)
}

/// There are days or weights in it: only then they take room.
fn is_timed(ready: &Ready) -> bool {
    ready.roll.rows.iter().any(|r| r.at.is_some() || r.weight.is_some())
}

/// What of a row stands between what the animal is and its standing.
#[derive(Default)]
struct When {
    is_shown: bool,
    shown: String,
    day: String,
    time: String,
    days: Option<i64>,
    weight: String,
    grams: Option<i64>,
}

impl When {
    fn of(ctx: &Ctx<'_>, r: &RollRow, is_shown: bool) -> Self {
        Self {
            is_shown,
            shown: r.at.map(|a| a.words()).unwrap_or_default(),
            day: r.at.map(|a| a.day.to_string()).unwrap_or_default(),
            time: r.at.and_then(|a| a.time).map(|t| t.to_string()).unwrap_or_default(),
            days: r.at.map(|a| a.day.since(ctx.today)),
            weight: r.weight.map(|w| w.show(ctx.units())).unwrap_or_default(),
            grams: r.weight.map(Weight::grams),
        }
    }

    fn put(self, mut row: Row<Key>) -> Row<Key> {
        if self.is_shown {
            row.cells.push((Cell::text(self.shown), By::number(self.days)));
            row.cells.push((Cell::text(self.weight.clone()), By::number(self.grams)));
        }
        row.plain.extend([self.day, self.time, self.weight]);
        row
    }
}

fn line(n: usize) -> (String, Option<i64>) {
    (n.to_string(), i64::try_from(n).ok())
}

fn bad(n: usize, at: usize, value: &str, why: &str, timed: bool) -> Row<Key> {
    let (text, by) = line(at);
    let row = Row::new(Key::Bad(n)).number(text, by).text(value.to_string()).text("").text("");
    let row = When { is_shown: timed, ..When::default() }.put(row);
    row.cell(Cell::chip(Kind::Refuse, "to mend"), By::Text("to mend".into()), "to mend").text(why.to_string())
}

fn absent(ctx: &Ctx<'_>, id: AnimalId, timed: bool) -> Option<Row<Key>> {
    let f = ctx.flock.file(id)?;
    let row = Row::new(Key::Missing(id)).number("", None).text("").tag(f.animal.tag());
    let row = When { is_shown: timed, ..When::default() }.put(row.text(ctx.detail(f)));
    let chip = Cell::chip(Kind::Caution, "not read");
    Some(row.cell(chip, By::Text("not read".into()), "not read").text(""))
}

fn row(ctx: &Ctx<'_>, n: usize, r: &RollRow, timed: bool) -> Row<Key> {
    let file = r.animal().and_then(|id| ctx.flock.file(id));
    let mut odd = r.odd.clone();
    let (kind, word) = match &r.who {
        _ if r.is_again() => (Kind::Plain, "read again"),
        Called::Found(_) if r.is_gone => (Kind::Refuse, "gone"),
        Called::Found(_) => (Kind::Good, "there"),
        Called::Unknown(_) => (Kind::Caution, "unknown"),
        Called::Several(_) => (Kind::Caution, "which?"),
        Called::Wrong(_) => (Kind::Refuse, "no number"),
    };
    if let Some(first) = r.first {
        odd.insert(0, phrase!("first on line {first}"));
    }
    odd.extend(unknown::words(ctx, r));
    let (text, by) = line(r.line);
    let read = r.number.map_or_else(|| r.read.clone(), |e| e.to_string());
    let row = Row::new(Key::Read(n))
        .number(text, by)
        .text(read)
        .tag(file.map(|f| f.animal.tag().to_string()).unwrap_or_default())
        .text(file.map(|f| ctx.detail(f)).unwrap_or_default());
    When::of(ctx, r, timed)
        .put(row)
        .cell(Cell::chip(kind, word), By::Text(word.into()), word)
        .text(odd.join("; "))
}
