//! Rows of the answer.

use super::super::super::Ctx;
use super::State;
use crate::desk::values::Found;
use crate::pages::asking::SMALL;
use crate::pages::list::{By, Row, fits};
use crate::parts::record_table::{Cell, Column};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{PlacedAnimal, Trait, accuracy_word};
use hirsel_core::terms::{AnimalId, Day, Sex, Text, Units};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Which animals are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(super) enum Show {
    #[default]
    Here,
    Rams,
    Ewes,
    Young,
    All,
}

/// The words to choose from.
pub(super) const SHOWN: [(Show, &str); 5] = [
    (Show::Here, "in the flock"),
    (Show::Rams, "rams"),
    (Show::Ewes, "ewes"),
    (Show::Young, "under a year"),
    (Show::All, "all known"),
];

/// What the rows were made for.
pub(super) type MadeFor = (u64, u64, Show, String, Units);

/// A value with its sign and unit: `+1.2 kg`.
pub(super) fn amount(value: f64, of: Option<Trait>, units: Units) -> String {
    let (value, digits, unit) = match (of, units) {
        (Some(Trait::Weight(_)), Units::Metric) => (value, if value.abs() < 1.0 { 2 } else { 1 }, " kg"),
        (Some(Trait::Weight(_)), Units::Imperial) => {
            let lb = value / 0.453_592_37;
            (lb, if lb.abs() < 1.0 { 2 } else { 1 }, " lb")
        }
        (Some(Trait::Born | Trait::Reared), _) => (value, 2, " lambs"),
        (None, _) => (value, 2, ""),
    };
    let text = format!("{:.digits$}", value.abs());
    let nothing = text.chars().all(|c| matches!(c, '0' | '.'));
    let sign = if nothing {
        ""
    } else if value < 0.0 {
        "−"
    } else {
        "+"
    };
    phrase!("{sign}{text}{unit}")
}

fn milli(value: f64) -> Option<i64> {
    value.is_finite().then(|| (value * 1e4).round() as i64)
}

/// Heads of the exported table; what it holds is in the same order.
pub(super) fn heads(found: &Found) -> Vec<String> {
    let mut heads: Vec<String> = ["animal", "what", "value", "passed_on"].map(String::from).to_vec();
    match found.all.as_slice() {
        [_] if found.mothering => heads.push("mothering".into()),
        [_] => {}
        many => heads.extend(many.iter().map(|e| e.of.words().replace(' ', "_"))),
    }
    let rest =
        ["how_sure", "own_records", "offspring_with_records", "rank", "among_the_best_quarter", "accuracy"];
    heads.extend(rest.map(String::from));
    heads
}

/// The columns shown.
pub(super) fn columns(found: &Found) -> Vec<Column> {
    let right = |title: Text, width: f32| Column::new(title, width).right();
    let mut all = vec![
        Column::new("Animal", 110.0).rest(),
        Column::new("What it is", 134.0),
        right(if found.all.len() == 1 { "Value" } else { "Index" }.into(), 84.0),
        right("Passed on".into(), 92.0),
    ];
    match found.all.as_slice() {
        [_] if found.mothering => all.push(right("Mothering".into(), 96.0)),
        [_] => {}
        many => all.extend(many.iter().map(|e| right(short(e.of).into(), 104.0))),
    }
    all.extend([
        Column::new("How sure", 104.0),
        right("Own".into(), 56.0),
        right("Offspring".into(), 88.0),
        right("Rank".into(), 120.0),
        right("Best quarter".into(), 112.0),
    ]);
    all
}

fn short(of: Trait) -> String {
    match of {
        Trait::Weight(0) => "At birth".into(),
        Trait::Weight(days) => phrase!("At {days} days"),
        Trait::Born => "Born".into(),
        Trait::Reared => "Reared".into(),
    }
}

/// Makes the rows anew when something changed. Tells whether there are rows of these values.
pub(super) fn make(ui: &egui::Ui, ctx: &Ctx<'_>, state: &mut State, found: &Arc<Found>) -> bool {
    let units = ctx.units();
    let now = (found.number, ctx.flock.version(), state.show, state.search.clone(), units);
    let before = state.made.of().map(|m| m.0);
    let (flock, today, of) = (Arc::clone(ctx.flock), ctx.today, Arc::clone(found));
    let (show, search) = (state.show, state.search.clone());
    let work = move || {
        let made = of.placed.iter().filter_map(|p| {
            row(&flock, today, (show, &search), &of, p, units).map(|r| (p.estimate.value, r))
        });
        let mut rows: Vec<(f64, Row<AnimalId>)> = made.collect();
        rows.sort_by(|a, b| b.0.total_cmp(&a.0));
        (rows.into_iter().map(|r| r.1).collect(), ())
    };
    state.made.ask(ui, &now, ctx.flock.len() <= SMALL, work);
    let after = state.made.of().map(|m| m.0);
    if after != before {
        state.at = None;
    }
    after == Some(found.number)
}

/// `ewe lamb, 2026`.
fn what(f: &AnimalFile, today: Day) -> String {
    let a = &f.animal;
    let lamb = a.is_lamb(today) && a.sex != Sex::Wether;
    let word = if lamb { a.sex.lamb_words() } else { a.sex.words() };
    let word = crate::look::said(word);
    a.born.day().map_or_else(|| word.to_string(), |d| phrase!("{word}, {}", d.year()))
}

fn row(
    flock: &Flock,
    today: Day,
    (show, search): (Show, &str),
    found: &Found,
    p: &PlacedAnimal,
    units: Units,
) -> Option<Row<AnimalId>> {
    let f = flock.file(p.id)?;
    let a = &f.animal;
    let here = a.status.is_here();
    let shown = match show {
        Show::All => true,
        Show::Here => here,
        Show::Rams => here && a.sex == Sex::Ram,
        Show::Ewes => here && a.sex == Sex::Ewe,
        Show::Young => here && a.age_days(today).is_some_and(|d| (0..365).contains(&d)),
    };
    if !shown {
        return None;
    }
    let what = what(f, today);
    if !fits(search, [a.title().as_str(), what.as_str()]) {
        return None;
    }
    let one = match found.all.as_slice() {
        [one] => Some(one),
        _ => None,
    };
    let of = one.map(|e| e.of);
    let value = p.estimate.value;
    let number = |v: f64, of| (amount(v, of, units), milli(v));
    let (text, by) = number(value, of);
    let (half, half_by) = number(0.5 * value, of);
    let mut row = Row::new(p.id).tag(a.title()).text(what.clone());
    row = row
        .cell(Cell::text(text.clone()).strong(), By::number(by), text.clone())
        .number(half.clone(), half_by);
    let (mut own, mut offspring) = (0, 0);
    for e in &found.all {
        let v = e.of_animal(p.id);
        own += v.map_or(0, |v| v.own);
        offspring = offspring.max(v.map_or(0, |v| v.offspring));
        match one {
            Some(_) if found.mothering => {
                let (text, by) = v
                    .and_then(|v| v.maternal)
                    .map_or_else(|| (String::new(), None), |m| (amount(m.value, of, units), milli(m.value)));
                row = row.number(text, by);
            }
            Some(_) => {}
            None => {
                let v = v.map_or(0.0, |v| v.direct.value);
                row = row.number(amount(v, Some(e.of), units), milli(v));
            }
        }
    }
    let sure = format!("{} {:.2}", accuracy_word(p.estimate.accuracy), p.estimate.accuracy);
    row = row.number(sure.clone(), milli(p.estimate.accuracy));
    row = row.number(own.to_string(), Some(own.into())).number(offspring.to_string(), Some(offspring.into()));
    let (rank, chance) = match p.rank {
        None => (String::new(), None),
        Some(r) if r.between.0 == r.between.1 => (phrase!("{} of {}", r.place, r.of), Some(r)),
        Some(r) => (phrase!("{} ({}–{}) of {}", r.place, r.between.0, r.between.1, r.of), Some(r)),
    };
    let words = chance.map_or_else(String::new, |r| phrase!("{:.0} in 100", 100.0 * r.best_quarter));
    row = row
        .number(rank.clone(), chance.and_then(|r| i64::try_from(r.place).ok()))
        .number(words.clone(), chance.and_then(|r| milli(r.best_quarter)))
        .hidden(format!("{:.3}", p.estimate.accuracy));
    let ranked = if rank.is_empty() { String::new() } else { phrase!(", rank {rank}") };
    Some(row.said(phrase!("{}, {what}: {text}, {sure}{ranked}", a.title())))
}
