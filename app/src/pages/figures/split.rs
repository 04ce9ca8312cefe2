//! Figures by age of ewe, ram, breed or pen, with the number of ewes beside each.

use super::super::list::{By as Sort, List, Row, fits, height, into_table, search_field, take_out};
use super::super::picture::save_picture;
use super::super::{Ctx, Intent};
use super::{season, sized};
use crate::look::{self, space};
use crate::parts::bars::{Level, levels, said};
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{By, Part, Purse, Tally, What, Years, figure};
use hirsel_core::terms::{AnimalId, Day, Units, counted};
use serde::{Deserialize, Serialize};

/// By what it is split; kept by its place.
const BY: [(By, &str); 4] =
    [(By::Age, "age of ewe"), (By::Ram, "ram"), (By::Breed, "breed"), (By::Group, "group or pen")];

/// Columns of the table.
const SHOWN: [What; 9] = [
    What::Fertility,
    What::Barren,
    What::PerLambed,
    What::AlivePercent,
    What::Loss,
    What::Weaned,
    What::SixtyWeight,
    What::Gain,
    What::EweDeath,
];

/// Figures the bars can show.
const DRAWN: [(What, &str); 5] = [
    (What::PerLambed, "born for each ewe"),
    (What::Fertility, "lambed"),
    (What::Loss, "lambs lost"),
    (What::SixtyWeight, "60-day weight"),
    (What::WeanedExposed, "weaned of exposed"),
];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    by: usize,
    drawn: usize,
    all_years: bool,
    search: String,
    #[serde(skip)]
    made_for: Option<(u64, Day, i32, usize, usize, bool, String)>,
    #[serde(skip)]
    list: List<u32>,
    #[serde(skip)]
    table: TableState<u32>,
    #[serde(skip)]
    bars: Vec<Level>,
    #[serde(skip)]
    opens: Vec<Option<AnimalId>>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

const TABLE: &str = "Figures by who and where";
/// So many bars at most.
const BARS: usize = 14;

/// Draws it.
pub fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    season: &mut Option<i32>,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let Some((years, at, _)) = season::choose(ui, ctx, season, into) else { return };
    let mut form = Form::new(ui, "split").label_width(60.0);
    let options: Vec<(usize, &str)> = BY.iter().map(|b| b.1).enumerate().collect();
    let mut by = Some(state.by);
    form.choice(ui, &Choice::new("By", &options), &mut by);
    state.by = by.unwrap_or_default().min(BY.len() - 1);
    let over = [(false, "this season"), (true, "five seasons together")];
    let mut all = Some(state.all_years);
    form.choice(ui, &Choice::new("Over", &over), &mut all);
    state.all_years = all.unwrap_or_default();
    let options: Vec<(usize, &str)> = DRAWN.iter().map(|d| d.1).enumerate().collect();
    let mut drawn = Some(state.drawn);
    form.choice(ui, &Choice::new("Drawn", &options), &mut drawn);
    state.drawn = drawn.unwrap_or_default().min(DRAWN.len() - 1);
    let mut on = form.finish(ui) == FormEvent::Submitted;
    make(ctx, years, at, state);
    ui.add_space(space::S);
    egui::ScrollArea::vertical().id_salt("split").auto_shrink(false).show(ui, |ui| {
        look::subheading(ui, phrase!("{}, by {}", DRAWN[state.drawn].0.name(), BY[state.by].1));
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            levels(ui, &state.bars);
        });
        let title = phrase!("{}, by {}", DRAWN[state.drawn].0.name(), BY[state.by].1);
        let of = Sitter { title: &title, said: &said(&state.bars), width: 760.0, height: None };
        save_picture(ui, &of, out, |ui| levels(ui, &state.bars));
        look::faint(
            ui,
            phrase!(
                "Behind each bar stands its base. Hollow and grey: fewer than {}, so chance weighs more than the ewes do. {}",
                years.settings.few,
                match BY[state.by].0 {
                    By::Ram => "Lambs count where they were born, whoever reared them.",
                    _ => "A fostered lamb is born to its dam's row and reared in that of the ewe that took it; a bottle lamb is reared in none.",
                }
            ),
        );
        ui.add_space(space::M);
        let mut no = false;
        on |= search_field(ui, TABLE, "a ram, a pen, an age", &mut no, &mut state.search);
        ui.horizontal_wrapped(|ui| {
            let mut heads = vec!["part", "ewes"];
            heads.extend(SHOWN.iter().map(|w| w.key()));
            take_out(ui, "figures by who and where", &heads, &state.list, &mut state.table, out);
        });
        if state.list.rows.is_empty() {
            look::paragraph(ui, "Nothing fits the search.");
            return;
        }
        let mut columns = vec![Column::new(capital(&look::said(BY[state.by].1)), 130.0).rest(), Column::new("Ewes", 60.0).right()];
        columns.extend(SHOWN.iter().map(|w| Column::new(head(*w), 84.0).right()));
        let rows = state.list.rows.len();
        sized(ui, height(rows, 3, 16), |ui| {
            if on {
                into_table(ui, TABLE);
            }
            for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
                if let TableEvent::Opened(key) = event
                    && let Some(id) = state.opens.get(key as usize).copied().flatten()
                {
                    out.push(Intent::Open(id));
                }
            }
        });
        if BY[state.by].0 == By::Ram {
            look::faint(ui, "Enter opens the ram's leaf.");
        }
    });
}

/// A short head of a column.
fn head(what: What) -> &'static str {
    match what {
        What::Fertility => "Lambed",
        What::Barren => "Barren",
        What::PerLambed => "Born/ewe",
        What::AlivePercent => "Alive",
        What::Loss => "Lost",
        What::Weaned => "Weaned",
        What::SixtyWeight => "60 days",
        What::Gain => "Gain",
        What::EweDeath => "Ewes died",
        other => other.name(),
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A part in words.
pub(super) fn part_words(ctx: &Ctx<'_>, part: &Part) -> String {
    match part {
        Part::Age(n) => counted(usize::try_from(*n).unwrap_or_default(), "year"),
        Part::Ram(id) => ctx.flock.animal(*id).map_or_else(|| "–".into(), |a| a.title()),
        Part::Named(name) => name.clone(),
        Part::NotKnown => phrase!("not known"),
    }
}

fn make(ctx: &Ctx<'_>, years: &Years, at: i32, state: &mut State) {
    let wanted =
        (years.version(), years.day(), at, state.by, state.drawn, state.all_years, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let by = BY[state.by].0;
    let parts = if state.all_years { years.split_over(at - 4, at, by) } else { years.split(at, by) };
    let (mut rows, mut bars, mut opens) = (Vec::new(), Vec::new(), Vec::new());
    for (key, (part, t)) in parts.iter().enumerate() {
        let name = part_words(ctx, part);
        opens.push(if let Part::Ram(id) = part { Some(*id) } else { None });
        if bars.len() < BARS {
            bars.push(bar(years, &name, t, DRAWN[state.drawn].0, ctx.units()));
        }
        if fits(&state.search, [name.as_str()]) {
            rows.push(row(years, part, &name, t, key as u32, ctx.units()));
        }
    }
    state.list.set(rows);
    (state.bars, state.opens) = (bars, opens);
    state.made_for = Some(wanted);
}

fn ewes(t: &Tally) -> u32 {
    t.joined.max(t.exposed).max(t.lambed)
}

fn bar(years: &Years, name: &str, t: &Tally, what: What, units: Units) -> Level {
    let f = figure(what, t, &Purse::default(), &years.settings);
    let base = f.base();
    let few = f.of.is_some_and(|n| n < years.settings.few);
    let shown = phrase!("{} {base}", f.shown(units));
    let said = phrase!("{name}: {} {shown}{}", what.name(), if few { ", of few" } else { "" }, name = &name);
    Level { name: name.into(), length: f.value, shown, said, few }
}

fn row(years: &Years, part: &Part, name: &str, t: &Tally, key: u32, units: Units) -> Row<u32> {
    let order = match part {
        Part::Age(n) => Sort::Number((*n).into()),
        Part::NotKnown => Sort::Nothing,
        _ => Sort::Text(name.into()),
    };
    let mut row = Row::new(key).cell(Cell::text(name.to_string()).strong(), order, name);
    let n = ewes(t);
    row = row.number(n.to_string(), Some(n.into()));
    let mut said = vec![format!("{name}: {}", counted(n as usize, "ewe"))];
    for what in SHOWN {
        let f = figure(what, t, &Purse::default(), &years.settings);
        let text = f.shown(units);
        let few = f.of.is_some_and(|n| n < years.settings.few);
        let cell = if few { Cell::text(text.clone()).faint() } else { Cell::text(text.clone()) };
        let by = f.value.map_or(Sort::Nothing, |v| Sort::Number((v * 1000.0).round() as i64));
        said.push(phrase!("{} {text} {}{}", what.name(), f.base(), if few { " (few)" } else { "" }));
        row = row.cell(cell, by, text);
    }
    row.said(said.join(", "))
}
