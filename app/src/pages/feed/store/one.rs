//! One feed opened: how it stands and why, what is known of it and where that comes from, what came, went and was
//! counted, analysed and weighed out.

use super::super::super::asking::Asking;
use super::super::super::list::{By, List, Row, take_out};
use super::super::super::{Ctx, Intent};
use super::figures::shown;
use super::kept::Kept;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::take_keyboard;
use hirsel_core::flock::{Feed, FeedRoom};
use hirsel_core::handbook::feeds;
use hirsel_core::phrase;
use hirsel_core::reckon::feedstore::{Event, Line, history, source_short};
use hirsel_core::reckon::ration::analysis;
use hirsel_core::terms::{Analysis, Base, Day, FeedId, Mass, Nutrient, Units};
use std::sync::Arc;

/// A row of the list: a record, or what rations took.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Key {
    Kept(Kept),
    Rations(Day),
}

/// The version of the flock, the day and the feed.
type Question = (u64, Day, FeedId);

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Opened {
    asking: Asking<Question, Vec<Event>>,
    list: List<Key>,
    table: TableState<Key>,
}

/// What the keeper wants.
pub(super) enum Wish {
    Stay,
    Close,
    Open(Kept),
    Change,
    Came,
    Count,
    Wasted,
    Mix,
    Sheet,
    Measure,
}

/// Reckoned at once up to so many animals.
const SMALL: usize = 500;
const TABLE: &str = "What became of it";

/// Draws it.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    feed: &Feed,
    o: &mut Opened,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> Wish {
    let question = (ctx.flock.version(), ctx.today, feed.id);
    let flock = Arc::clone(ctx.flock);
    let work = move || history(&flock, question.2, question.1);
    let (came, _) = o.asking.ask(ui, &question, ctx.flock.len() <= SMALL, work);
    if let Some(events) = came {
        o.list.set(rows(ctx, feed.id, &events));
    }
    let line = ctx.feeding.and_then(|s| s.line(feed.id));
    let mut wish = Wish::Stay;
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, &feed.name);
        if let Some(l) = line {
            look::chip(ui, super::mark(l), &l.words);
        }
    });
    ui.horizontal_wrapped(|ui| deeds(ui, feed, &mut wish));
    ui.add_space(space::XS);
    if let Some(l) = line {
        look::paragraph(ui, stands(l, ctx.units()));
        l.cautions.iter().for_each(|c| {
            look::sentence(ui, Kind::Caution, c);
        });
    }
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    left.max.x = whole.left() + (whole.width() * 0.42).max(360.0);
    right.min.x = left.max.x + space::L;
    ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
        egui::ScrollArea::vertical().id_salt("known").auto_shrink(false).show(ui, |ui| known(ui, ctx, feed));
    });
    ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
        if let Some(key) = became(ui, o, into, out) {
            wish = Wish::Open(key);
        }
    });
    ui.advance_cursor_after_rect(whole);
    wish
}

fn deeds(ui: &mut egui::Ui, feed: &Feed, wish: &mut Wish) {
    let mut one = |ui: &mut egui::Ui, words: &'static str, what: Wish| {
        if ui.button(crate::look::spoken(words)).clicked() {
            *wish = what;
        }
    };
    one(ui, "Change it", Wish::Change);
    one(ui, "Delivery", Wish::Came);
    one(ui, "Count", Wish::Count);
    one(ui, "Waste", Wish::Wasted);
    if !feed.parts.is_empty() {
        one(ui, "Mixing", Wish::Mix);
    }
    one(ui, "Analysis sheet", Wish::Sheet);
    one(ui, "Weigh a measure", Wish::Measure);
    if ui.button(phrase!("Back to the list (Esc)")).clicked() || crate::parts::escaped(ui) {
        *wish = Wish::Close;
    }
}

/// How it stands: what is there, why, what a kg costs.
fn stands(l: &Line, units: Units) -> String {
    use hirsel_core::reckon::feedstore::{amount_words, price_words};
    let there = match l.stock {
        None => phrase!("What is there is not written."),
        Some(s) => {
            let rests = match s.counted {
                Some(on) => phrase!("counted on {}", on.words()),
                None => phrase!("never counted"),
            };
            phrase!("In store {} ({rests}).", amount_words(l, units))
        }
    };
    let cost = l.cost.map(|c| {
        let dry = l.cents_a_kg_dry().map(|d| phrase!(", {} a kg of dry matter", price_words(d)));
        phrase!(" {} a kg as fed{}, {}.", price_words(c.cents_a_kg), dry.unwrap_or_default(), c.words())
    });
    let batches: Vec<String> = l
        .layers
        .iter()
        .filter_map(|b| Some(format!("{} ({})", b.batch.clone()?, b.left.show(units))))
        .collect();
    let batches = match batches.len() {
        0 => String::new(),
        _ => phrase!(" Batches there, the oldest first: {}.", batches.join(", ")),
    };
    format!("{there} {}{}{batches}", l.why, cost.unwrap_or_default())
}

/// What is known of it, on both bases, and where each figure comes from.
fn known(ui: &mut egui::Ui, ctx: &Ctx<'_>, feed: &Feed) {
    let room: &FeedRoom = ctx.flock.feedroom();
    let all = analysis(room, feed, ctx.today);
    look::strong(ui, "What it holds");
    if all.is_empty() {
        look::faint(ui, "Nothing is known of it: write its label or a sheet, or choose a feed it is like.");
    } else {
        figures(ui, ctx, feed, &all);
    }
    let mut more: Vec<String> = Vec::new();
    more.push(phrase!("{}, made for {}.", capital(feed.kind.words()), feed.made_for.words()));
    if !feed.parts.is_empty() {
        let share = |s: u32| shown(f64::from(s) * 100.0 / f64::from(hirsel_core::flock::WHOLE));
        let parts = feed.parts.iter().map(|p| format!("{} {} %", room.name(p.feed), share(p.share)));
        more.push(phrase!("Mixed of {}, as fed.", parts.collect::<Vec<_>>().join(", ")));
    }
    more.extend(feed.note.clone());
    if let Some(k) = feed.like.as_deref().and_then(feeds::by_key) {
        let taken = |what: &&Nutrient| {
            source_short(room, feed, ctx.today, **what).is_some_and(|s| s.starts_with("handbook"))
        };
        let mut grounds: Vec<String> = Vec::new();
        for what in Nutrient::ALL.iter().filter(taken) {
            let ground = k.ground_of(*what).map(ToString::to_string).unwrap_or_default();
            if !grounds.contains(&ground) {
                grounds.push(ground);
            }
        }
        if !grounds.is_empty() {
            more.push(phrase!("Handbook: {}, by {}.", k.name, grounds.join("; ")));
        }
    }
    ui.add_space(space::S);
    for words in more {
        ui.add(egui::Label::new(egui::RichText::new(words).small()).wrap());
    }
}

/// Each figure on both bases, with where it comes from.
fn figures(ui: &mut egui::Ui, ctx: &Ctx<'_>, feed: &Feed, all: &Analysis) {
    let room = ctx.flock.feedroom();
    egui::Grid::new("holds").num_columns(4).spacing([space::M, space::XS]).show(ui, |ui| {
        ["", "of dry matter", "as fed", "from"].iter().for_each(|h| {
            look::faint(ui, *h);
        });
        ui.end_row();
        for what in Nutrient::ALL {
            let Some(figure) = all.get(*what) else { continue };
            ui.label(what.words());
            let unit = what.short_unit();
            let dry = if *what == Nutrient::DryMatter {
                String::new()
            } else {
                phrase!("{} {unit}", shown(figure))
            };
            ui.label(dry);
            ui.label(all.on(*what, Base::AsFed).map(|x| phrase!("{} {unit}", shown(x))).unwrap_or_default());
            look::faint(ui, source_short(room, feed, ctx.today, *what).unwrap_or_default());
            ui.end_row();
        }
    });
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

const HEADS: [&str; 5] = ["day", "what", "amount", "in_store_after", "particulars"];

/// The list of what became of it; gives the record that was opened.
fn became(ui: &mut egui::Ui, o: &mut Opened, into: &mut bool, out: &mut Vec<Intent>) -> Option<Kept> {
    ui.horizontal_wrapped(|ui| {
        look::strong(ui, TABLE);
        take_out(ui, "feed history", &HEADS, &o.list, &mut o.table, out);
    });
    if o.list.rows.is_empty() {
        look::faint(ui, "Nothing is written of it yet: begin with a count or a delivery.");
        return None;
    }
    let columns = [
        Column::new("Day", 106.0),
        Column::new("What", 84.0),
        Column::new("Amount", 84.0).right(),
        Column::new("In store", 80.0).right(),
        Column::new("Particulars", 160.0).rest(),
    ];
    let mut opened = None;
    let size = ui.available_size() - egui::vec2(0.0, 40.0);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        let table = RecordTable::new(TABLE, &columns).single();
        if std::mem::take(into) {
            take_keyboard(ui, table.id(ui));
        }
        for event in table.show(ui, &mut o.table, &o.list) {
            if let TableEvent::Opened(Key::Kept(kept)) = event {
                opened = Some(kept);
            }
        }
    });
    let row = o.table.cursor().and_then(|key| o.list.rows.iter().find(|r| r.key == key));
    let told = row.map_or("Enter opens a row: to amend it or strike it out.", |r| {
        r.plain.get(4).map_or("", |t| t.as_str())
    });
    ui.add(egui::Label::new(egui::RichText::new(told).small()).wrap());
    opened
}

/// Rows of the store, sheets and measures, the newest first; those struck out stay readable.
fn rows(ctx: &Ctx<'_>, feed: FeedId, events: &[Event]) -> Vec<Row<Key>> {
    let room = ctx.flock.feedroom();
    let units = ctx.units();
    let mut all: Vec<(Day, Row<Key>)> = Vec::new();
    for e in events {
        let key = e.row.map_or(Key::Rations(e.on), |id| Key::Kept(Kept::Move(id)));
        let sign = if e.by < 0 && e.change != hirsel_core::terms::FeedChange::Counted { "−" } else { "" };
        let amount = e.amount.map(|a| format!("{sign}{}", a.show(units))).unwrap_or_default();
        let after = e.after.map(|s| match s.short() {
            Some(short) => format!("−{}", short.show(units)),
            None => s.mass().show(units),
        });
        let words = match e.to == e.on {
            true => e.words.clone(),
            false => phrase!("{}, to {}", e.words, e.to.words()),
        };
        let texts = [e.change.words().to_string(), amount, after.unwrap_or_default(), words];
        all.push((e.on, row(ctx, key, e.on, e.struck, texts)));
    }
    for s in room.sheets.iter().filter(|s| s.feed == feed) {
        let figures = Nutrient::ALL
            .iter()
            .filter_map(|n| Some(phrase!("{} {} {}", n.words(), shown(s.analysis.get(*n)?), n.short_unit())));
        let mut words: Vec<String> = s.lab.iter().chain(&s.number).cloned().collect();
        words.extend(figures);
        let texts = [phrase!("analysed"), String::new(), String::new(), words.join(", ")];
        all.push((s.on, row(ctx, Key::Kept(Kept::Sheet(s.id)), s.on, s.struck.is_some(), texts)));
    }
    for m in room.measures.iter().filter(|m| m.feed == feed) {
        let each: Vec<String> = m.weighed.iter().map(|w: &Mass| w.show(units)).collect();
        let words =
            phrase!("a {} weighs {} on the mean of {}", m.name, m.mean().show(units), each.join(", "));
        let texts = [phrase!("weighed out"), String::new(), String::new(), words];
        all.push((m.on, row(ctx, Key::Kept(Kept::Measure(m.id)), m.on, m.struck.is_some(), texts)));
    }
    all.sort_by_key(|(on, _)| std::cmp::Reverse(*on));
    all.into_iter().map(|(_, row)| row).collect()
}

fn row(ctx: &Ctx<'_>, key: Key, on: Day, struck: bool, texts: [String; 4]) -> Row<Key> {
    let cell = |t: &str| if struck { Cell::text(t.to_string()).struck() } else { Cell::text(t.to_string()) };
    let mut row = Row::new(key).cell(cell(&on.words()), By::Number(on.since(ctx.today)), on.to_string());
    for text in texts {
        row = row.cell(cell(&text), By::Text(text.clone()), text);
    }
    row
}
