//! What is carried to each pen in a day.

use super::super::super::list::{By, List, Row, fits, height, into_table, search_field_of, take_out};
use super::super::super::sections::sized;
use super::super::super::{Ctx, Intent};
use super::{Answer, State, g_words};
use crate::look::{self, Kind};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::flock::FeedRoom;
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::{GroupRound, PenRound, barn_measure, in_bags, in_measure};
use hirsel_core::terms::{Day, Eaters, FeedId, Mass, MeasureId};

/// The list as it is searched.
#[derive(Debug, Default)]
pub(super) struct Shown {
    search: String,
    made_for: Option<((u64, Day, u8), String)>,
    list: List<usize>,
    table: TableState<usize>,
}

const TABLE: &str = "By pen";
const HEADS: [&str; 6] = ["pen", "who", "feed", "a_day", "weight", "kg"];

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    answer: &Answer,
    out: &mut Vec<Intent>,
) {
    make(ctx, &mut state.pens, answer);
    let s = &mut state.pens;
    if answer.rounds.is_empty() {
        look::paragraph(
            ui,
            "No animal is in the flock yet. Write them up under Flock (Ctrl+3): then each pen stands here with what it is given.",
        );
        return;
    }
    let mut no = false;
    let on = search_field_of(ui, TABLE, "pens", "pen, group, feed", &mut no, &mut s.search);
    if s.list.rows.is_empty() {
        look::paragraph(ui, "No pen fits the search.");
        return;
    }
    let columns = [
        Column::new("Pen", 100.0),
        Column::new("Who eats it", 130.0).rest(),
        Column::new("Feed", 150.0),
        Column::new("A day", 92.0),
        Column::new("Weight", 76.0).right(),
    ];
    sized(ui, height(s.list.rows.len(), 3, 10), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        RecordTable::new(TABLE, &columns).single().show(ui, &mut s.table, &s.list);
    });
    let total = totals(ctx, answer);
    if !total.is_empty() {
        look::faint(ui, phrase!("In all a day, as fed: {total}."));
    }
    ui.horizontal_wrapped(|ui| take_out(ui, "feed by pen", &HEADS, &s.list, &mut s.table, out));
}

fn make(ctx: &Ctx<'_>, s: &mut Shown, answer: &Answer) {
    let wanted = (answer.of, s.search.clone());
    if s.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let room = ctx.flock.feedroom();
    let mut rows: Vec<Row<usize>> = Vec::new();
    for pen in &answer.rounds {
        let first = rows.len();
        for (feed, mass, measure) in &pen.feeds {
            let key = rows.len();
            rows.extend(carried(ctx, room, pen, (*feed, *mass, *measure), &s.search, key));
        }
        for g in pen.bare() {
            let (who, missing) = (g_words(g.heads, g.eaters), g.missing());
            if fits(&s.search, [pen.title(), who.as_str(), &missing]) {
                let word = if g.eaters == Eaters::CreepLambs { "no creep" } else { "no ration" };
                let row = Row::new(rows.len()).tag(pen.title()).text(who);
                let row = row.cell(Cell::chip(Kind::Caution, word), By::Text(String::new()), missing);
                rows.push(row.text("").text("").hidden(""));
            }
        }
        if rows.len() > first
            && let Some(last) = rows.last_mut()
        {
            last.line = true;
        }
    }
    if let Some(last) = rows.last_mut() {
        last.line = false;
    }
    s.list.set(rows);
    s.made_for = Some(wanted);
}

fn carried(
    ctx: &Ctx<'_>,
    room: &FeedRoom,
    pen: &PenRound,
    (feed, mass, measure): (FeedId, Mass, Option<MeasureId>),
    search: &str,
    key: usize,
) -> Option<Row<usize>> {
    let eats: Vec<_> = pen.groups.iter().filter(|g| g.portions.iter().any(|p| p.feed == feed)).collect();
    let words = |g: &&GroupRound| {
        let said = g_words(g.heads, g.eaters);
        // Of several groups of ewes the word is said once too often.
        if eats.len() > 1 { said.replacen(" ewes ", " ", 1).replacen(" ewe ", " ", 1) } else { said }
    };
    let who = eats.iter().map(words).collect::<Vec<_>>().join(", ");
    let name = room.name(feed);
    if !fits(search, [pen.title(), who.as_str(), name]) {
        return None;
    }
    let measure = barn_measure(room, feed, measure, ctx.today);
    let count = measure.and_then(|m| in_measure(room, mass, m, ctx.today));
    let count = count.or_else(|| in_bags(room.feed(feed)?, mass)).unwrap_or_default();
    let grams = i64::try_from(mass.grams()).unwrap_or(i64::MAX);
    let weight = mass.show(ctx.units());
    let row = Row::new(key).tag(pen.title()).text(who.clone()).text(name.to_string());
    let row = row.cell(Cell::text(count.clone()), By::Number(grams), count.as_str());
    let row = row.number(weight.as_str(), Some(grams)).hidden(mass.kg_text());
    Some(row.said(phrase!("{}, {who}: {name}, {count}, {weight}", &pen.title(), who = &who, name = &name)))
}

/// `Meadow hay 45 kg (2.25 bales), Ewe pellets 18 kg (0.75 bags)`.
fn totals(ctx: &Ctx<'_>, answer: &Answer) -> String {
    let room = ctx.flock.feedroom();
    let mut all: Vec<(FeedId, Mass)> = Vec::new();
    for (feed, mass, _) in answer.rounds.iter().flat_map(|p| &p.feeds) {
        match all.iter_mut().find(|(f, _)| f == feed) {
            Some((_, sum)) => *sum = sum.plus(*mass),
            None => all.push((*feed, *mass)),
        }
    }
    let told = all.iter().map(|(feed, mass)| {
        let bags = room.feed(*feed).and_then(|f| in_bags(f, *mass));
        let bags = bags.map(|b| format!(" ({b})")).unwrap_or_default();
        format!("{} {}{bags}", room.name(*feed), mass.show(ctx.units()))
    });
    told.collect::<Vec<_>>().join(", ")
}
