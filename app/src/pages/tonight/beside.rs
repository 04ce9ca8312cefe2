//! What stands beside the jobs: what is written up for today, whom to watch, who is under withdrawal, who lambs next.

use super::super::list::{By, List, Row, height};
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::Link;
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::Clear;
use hirsel_core::reckon::watch::Watching;
use hirsel_core::reckon::{gestation, life, stock};
use hirsel_core::registers::held_of;
use hirsel_core::terms::{AnimalId, Day, Sex, Status};

/// Days a lamb is new from its birth.
const YOUNG_DAYS: i64 = 3;
/// Days ahead that due ewes are shown for.
const AHEAD_DAYS: i64 = 14;

/// The lists, made once for a version of the flock and a day.
#[derive(Debug, Default)]
pub(super) struct Lists {
    /// Ewes, rams, lambs, animals of the book.
    pub counts: [usize; 4],
    /// Lambs under three days.
    pub young: Vec<AnimalId>,
    pub today: List<(AnimalId, usize)>,
    held: List<AnimalId>,
    watch: List<AnimalId>,
    /// The version and day of who is watched.
    watch_of: Option<(u64, Day)>,
    due: List<AnimalId>,
    cupboard: List<usize>,
    links: Vec<Link>,
    feed: List<usize>,
    feed_links: Vec<Link>,
    /// The version and day of the store of feed.
    feed_of: Option<(u64, Day)>,
    at_today: TableState<(AnimalId, usize)>,
    at_held: TableState<AnimalId>,
    at_watch: TableState<AnimalId>,
    at_due: TableState<AnimalId>,
    at_cupboard: TableState<usize>,
    at_feed: TableState<usize>,
}

impl Lists {
    /// How many animals are watched, under withdrawal, due; and cautions of the cupboard.
    pub(super) fn numbers(&self) -> [usize; 4] {
        [self.watch.rows.len(), self.held.rows.len(), self.due.rows.len(), self.cupboard.rows.len()]
    }
}

/// Draws them, one below the other.
pub(super) fn view(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    watch_list(ui, state, out);
    due(ui, state, out);
    held(ui, state, out);
    cupboard(ui, state, out);
    feed(ui, state, out);
    happened(ui, state, out);
}

fn watch_list(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    let columns = [Column::new("Animal", 74.0), Column::new("Pen", 90.0), Column::new("Why", 160.0).rest()];
    let nothing = match state.watch_of {
        Some(_) => "Nobody wants a second look.",
        None => "The flock is being looked through …",
    };
    if let Some(id) = section(ui, "To watch", nothing, &columns, &state.watch, &mut state.at_watch) {
        out.push(Intent::Open(id));
    }
}

/// Takes over who is watched, where it was looked through anew; what was shown stays till then.
pub(super) fn keep_watch(ctx: &Ctx<'_>, state: &mut Lists) {
    let Some(seen) = ctx.watching.filter(|w| state.watch_of != Some((w.version(), w.day()))) else { return };
    state.watch.set(watch(ctx, seen));
    state.watch_of = Some((seen.version(), seen.day()));
}

fn watch(ctx: &Ctx<'_>, seen: &Watching) -> Vec<Row<AnimalId>> {
    let row = |(id, why): (AnimalId, &[String])| {
        let a = ctx.flock.animal(id)?;
        Some(Row::new(a.id).tag(a.tag()).text(a.pen.clone().unwrap_or_default()).text(why.join("; ")))
    };
    seen.watched.iter().filter_map(|w| row((w.animal, &w.why))).collect()
}

fn section<K: Copy + Eq + std::hash::Hash + std::fmt::Debug>(
    ui: &mut egui::Ui,
    name: &'static str,
    nothing: &'static str,
    columns: &[Column],
    list: &List<K>,
    at: &mut TableState<K>,
) -> Option<K> {
    look::subheading(ui, phrase!("{name} ({})", list.rows.len()));
    let mut opened = None;
    if list.rows.is_empty() {
        look::faint(ui, nothing);
    } else {
        let size = egui::vec2(ui.available_width(), height(list.rows.len(), 1, 6));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            for event in RecordTable::new(name, columns).single().show(ui, at, list) {
                if let TableEvent::Opened(key) = event {
                    opened = Some(key);
                }
            }
        });
    }
    ui.add_space(space::L);
    opened
}

fn happened(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    let columns = [Column::new("Time", 52.0), Column::new("Animal", 92.0), Column::new("What", 200.0).rest()];
    let nothing = "Nothing is written up for today yet.";
    if let Some((id, _)) = section(ui, "Today", nothing, &columns, &state.today, &mut state.at_today) {
        out.push(Intent::Open(id));
    }
}

fn held(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    let columns = [
        Column::new("Animal", 62.0),
        Column::new("Meat", 94.0),
        Column::new("Milk", 94.0),
        Column::new("Because of", 86.0).rest(),
    ];
    let nothing = "No animal is under withdrawal.";
    if let Some(id) = section(ui, "Under withdrawal", nothing, &columns, &state.held, &mut state.at_held) {
        out.push(Intent::Open(id));
    }
}

/// Bottles that expire, run out or are open too long; nothing is drawn while the cupboard is in order.
fn cupboard(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    if state.cupboard.rows.is_empty() {
        return;
    }
    let columns = [Column::new("What", 116.0), Column::new("Which", 220.0).rest()];
    let opened = section(ui, "The cupboard", "", &columns, &state.cupboard, &mut state.at_cupboard);
    if let Some(link) = opened.and_then(|n| state.links.get(n)) {
        out.push(Intent::Follow(*link));
    }
}

/// Feed to be ordered, mixed or counted; nothing is drawn while there is enough.
fn feed(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    if state.feed.rows.is_empty() {
        return;
    }
    let columns = [Column::new("What", 116.0), Column::new("Which", 220.0).rest()];
    let opened = section(ui, "The feed store", "", &columns, &state.feed, &mut state.at_feed);
    if let Some(link) = opened.and_then(|n| state.feed_links.get(n)) {
        out.push(Intent::Follow(*link));
    }
}

/// Takes over what is to be seen to in the store, where it was reckoned anew; what was shown stays till then.
pub(super) fn keep_feed(ctx: &Ctx<'_>, state: &mut Lists) {
    let Some(store) = ctx.feeding.filter(|s| state.feed_of != Some((s.version(), s.day()))) else { return };
    state.feed_links = store.warnings.iter().map(|w| w.link).collect();
    let rows = store.warnings.iter().enumerate().map(|(n, w)| {
        let word = w.word();
        let kind = if w.state.is_grave() { Kind::Refuse } else { Kind::Caution };
        Row::new(n)
            .cell(Cell::chip(kind, word), By::Text(word.into()), word)
            .text(w.words.clone())
            .said(w.words.clone())
    });
    state.feed.set(rows.collect());
    state.feed_of = Some((store.version(), store.day()));
}

fn due(ui: &mut egui::Ui, state: &mut Lists, out: &mut Vec<Intent>) {
    let columns = [
        Column::new("Ewe", 62.0),
        Column::new("Due", 94.0),
        Column::new("May lamb", 132.0).rest(),
        Column::new("Ram", 52.0),
    ];
    let nothing = "No ewe is due within two weeks.";
    if let Some(id) = section(ui, "Ewes due", nothing, &columns, &state.due, &mut state.at_due) {
        out.push(Intent::LambingOf(id));
    }
}

/// Makes the lists anew.
pub(super) fn make(ctx: &Ctx<'_>, state: &mut Lists) {
    let today = ctx.today;
    let mut counts = [0; 4];
    let (mut events, mut held, mut young) = (Vec::new(), Vec::new(), Vec::new());
    for f in ctx.flock.files() {
        let a = &f.animal;
        counts[3] += 1;
        if a.status == Status::Present {
            let lamb = a.is_lamb(today);
            match a.sex {
                _ if lamb => counts[2] += 1,
                Sex::Ewe => counts[0] += 1,
                Sex::Ram => counts[1] += 1,
                Sex::Wether => {}
            }
            if let Some(hirsel_core::registers::Held { clearance: c, .. }) = held_of(ctx.flock, f, today) {
                let side = |clear: &Clear| {
                    let kind = if clear.is_clear(today) { None } else { Some(Kind::Caution) };
                    let (text, by) = match clear {
                        Clear::Free => (String::new(), By::Nothing),
                        Clear::From(d) if *d <= today => (phrase!("clear"), By::Number(d.since(today))),
                        Clear::From(d) => (d.short(), By::Number(d.since(today))),
                        Clear::Unknown => (phrase!("unknown"), By::Number(i64::MAX - 1)),
                        Clear::Never => (phrase!("never"), By::Number(i64::MAX)),
                    };
                    (
                        kind.map_or_else(
                            || Cell::text(text.clone()).faint(),
                            |k| Cell::chip(k, text.clone()),
                        ),
                        by,
                        text,
                    )
                };
                let (meat, milk) = (side(&c.meat.clear), side(&c.milk.clear));
                held.push(
                    Row::new(a.id)
                        .tag(a.tag())
                        .cell(meat.0, meat.1, meat.2)
                        .cell(milk.0, milk.1, milk.2)
                        .text(c.because())
                        .said(phrase!("{}, under withdrawal, {}", &a.tag(), c.held_words(today))),
                );
            }
            if a.born.exact().is_some_and(|b| (0..YOUNG_DAYS).contains(&today.since(b))) {
                young.push(a.id);
            }
        }
        let recent = |d: Day| d == today;
        let any = f.lambings.iter().any(|l| recent(l.at.day))
            || f.treatments.iter().any(|t| recent(t.at.day))
            || f.weighings.iter().any(|w| recent(w.at.day))
            || f.movements.iter().any(|m| recent(m.on))
            || f.pen_moves.iter().any(|p| recent(p.on))
            || f.remarks.iter().any(|r| recent(r.on))
            || f.joinings.iter().any(|j| recent(j.from))
            || f.ticks.iter().any(|t| recent(t.at.day));
        if any {
            for (n, e) in life::life(ctx.flock, f).into_iter().enumerate() {
                if e.at.day == today && e.kind != life::EventKind::Birth {
                    let time = e.at.time.map(|t| t.to_string()).unwrap_or_default();
                    let minutes = e.at.time.map(|t| t.of_day());
                    let cell = if e.struck {
                        Cell::text(e.text.clone()).struck()
                    } else {
                        Cell::text(e.text.clone())
                    };
                    events.push(Row::new((a.id, n)).number(time, minutes).tag(a.tag()).cell(
                        cell,
                        By::Text(e.text.clone()),
                        e.text,
                    ));
                }
            }
        }
    }
    events.sort_by(|a, b| a.plain[0].cmp(&b.plain[0]).then_with(|| a.plain[2].cmp(&b.plain[2])));
    held.sort_by(|a, b| hirsel_core::flock::natural(&a.plain[0], &b.plain[0]));
    let due = gestation::expected(ctx.flock, today)
        .into_iter()
        .filter(|e| e.window.early.since(today) <= AHEAD_DAYS)
        .filter_map(|e| {
            let a = ctx.flock.animal(e.ewe)?;
            let late = e.window.late.map_or(phrase!("later"), Day::short);
            let due = if e.window.late.is_some_and(|l| l < today) {
                Cell::chip(Kind::Caution, "overdue")
            } else {
                Cell::text(e.window.due.short())
            };
            Some(
                Row::new(e.ewe)
                    .tag(a.tag())
                    .cell(due, By::Number(e.window.due.since(today)), e.window.due.short())
                    .text(phrase!("{} to {late}", e.window.early.short()))
                    .text(e.rams_words(ctx.flock)),
            )
        })
        .collect();
    let warnings = stock::warnings(ctx.flock, today);
    state.links = warnings.iter().map(|w| w.link).collect();
    let rows = warnings.into_iter().enumerate().map(|(n, w)| {
        let word = w.kind.word();
        let kind = match w.kind {
            stock::State::ExpiresSoon | stock::State::RunningOut | stock::State::Empty => Kind::Caution,
            _ => Kind::Refuse,
        };
        Row::new(n)
            .cell(Cell::chip(kind, word), By::Text(word.into()), word)
            .text(w.words.clone())
            .said(w.words)
    });
    state.cupboard.set(rows.collect());
    state.counts = counts;
    state.today.set(events);
    state.held.set(held);
    state.young = young;
    state.due.set(due);
}
