//! Lambs lost, by cause and age.

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::picture::save_picture;
use super::super::{Ctx, Intent};
use super::{season, sized};
use crate::look::{self, Kind, space};
use crate::parts::bars::{Level, levels, said};
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{Band, What, Years};
use hirsel_core::terms::{Day, counted};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    #[serde(skip)]
    made_for: Option<(u64, Day, i32, String)>,
    #[serde(skip)]
    list: List<u32>,
    #[serde(skip)]
    table: TableState<u32>,
    #[serde(skip)]
    ages: Vec<Level>,
    #[serde(skip)]
    causes: Vec<Level>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

const TABLE: &str = "Losses by cause and age";

/// Draws it.
pub fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    season: &mut Option<i32>,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let Some((years, at, mut on)) = season::choose(ui, ctx, season, into) else { return };
    make(years, at, state);
    ui.add_space(space::S);
    let born = years.tallies.get(&at).map_or(0, |t| t.born);
    let lost = years.tallies.get(&at).map_or(0, |t| t.lost_all());
    egui::ScrollArea::vertical().id_salt("losses").auto_shrink(false).show(ui, |ui| {
        if born == 0 {
            look::paragraph(ui, phrase!("No lamb of {at} is written yet. Write up lambings (Ctrl+5); when a lamb dies, the cause you write is counted here."));
            return;
        }
        let f = years.compared(at, What::Loss, 4);
        let units = ctx.units();
        look::strong(ui, phrase!("{at}: {lost} of {} lost by weaning, {}.", counted(born as usize, "lamb"), f.figure.shown(units)));
        if let Some((mean, n)) = f.before {
            look::paragraph(ui, phrase!("Mean of the {} before: {}.", counted(n as usize, "season"), What::Loss.show(mean, units)));
        }
        if let Some(r) = f.range {
            look::faint(ui, phrase!("Handbook: {}. {}.", r.words, r.ground));
        }
        if lost == 0 {
            look::sentence(ui, Kind::Good, "No lamb was lost.");
            return;
        }
        ui.add_space(space::S);
        let two = ui.available_width() > 900.0;
        let half = if two { (ui.available_width() - space::L) / 2.0 - 2.0 * space::L } else { ui.available_width() - 2.0 * space::L };
        let card = |ui: &mut egui::Ui, head: &str, all: &[Level]| {
            ui.vertical(|ui| {
                look::card(ui, |ui| {
                    ui.set_width(half);
                    look::strong(ui, head.to_string());
                    levels(ui, all);
                });
            });
        };
        if two {
            ui.horizontal_top(|ui| {
                card(ui, "When they were lost", &state.ages);
                card(ui, "Why", &state.causes);
            });
        } else {
            card(ui, "When they were lost", &state.ages);
            ui.add_space(space::S);
            card(ui, "Why", &state.causes);
        }
        let title = phrase!("Lambs lost, {at}");
        let both = phrase!("When: {}. Why: {}", said(&state.ages), said(&state.causes));
        let of = Sitter { title: &title, said: &both, width: 760.0, height: None };
        save_picture(ui, &of, out, |ui| {
            for (head, all) in [("When they were lost", &state.ages), ("Why", &state.causes)] {
                look::strong(ui, head.to_string());
                levels(ui, all);
                ui.add_space(space::M);
            }
        });
        ui.add_space(space::M);
        let mut no = false;
        on |= search_field(ui, TABLE, "scour, cold", &mut no, &mut state.search);
        ui.horizontal_wrapped(|ui| {
            let mut heads = vec!["cause"];
            heads.extend(Band::ALL.iter().map(|b| b.words()));
            heads.push("all");
            take_out(ui, "losses by cause and age", &heads, &state.list, &mut state.table, out);
        });
        if state.list.rows.is_empty() {
            look::paragraph(ui, "No cause fits the search.");
            return;
        }
        let mut columns = vec![Column::new("Cause", 160.0).rest()];
        columns.extend(Band::ALL.iter().map(|b| Column::new(capital(&look::said(b.words())), 122.0).right()));
        columns.push(Column::new("All", 60.0).right());
        sized(ui, height(state.list.rows.len(), 3, 16), |ui| {
            if on {
                into_table(ui, TABLE);
            }
            let _ = RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
        });
        look::faint(
            ui,
            "The cause is read from what was written when the lamb died: its words are put under the nearest cause of the \
             list in the settings of the figures. Words that fit none count as another cause, no words as not known.",
        );
    });
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn make(years: &Years, at: i32, state: &mut State) {
    let wanted = (years.version(), years.day(), at, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let losses = years.losses(at);
    let born = years.tallies.get(&at).map_or(0, |t| t.born);
    let of = |n: u32| f64::from(n) * 100.0 / f64::from(born.max(1));
    let level = |name: &str, n: u32| Level {
        name: capital(name),
        length: (n > 0).then(|| f64::from(n)),
        shown: phrase!("{n} ({:.1} % of born)", of(n)),
        said: phrase!("{}: {n} of {born} lambs born", capital(name)),
        few: false,
    };
    let at_age = |b: Band| losses.values().map(|all| all[b as usize]).sum::<u32>();
    state.ages = Band::ALL
        .iter()
        .filter(|b| **b != Band::Unknown || at_age(**b) > 0)
        .map(|b| level(&look::said(b.words()), at_age(*b)))
        .collect();
    let mut by_cause: Vec<(String, [u32; 6])> =
        losses.iter().map(|(c, all)| (years.cause(*c).to_string(), *all)).collect();
    by_cause.sort_by_key(|(_, all)| std::cmp::Reverse(all.iter().sum::<u32>()));
    state.causes = by_cause.iter().map(|(name, all)| level(name, all.iter().sum())).collect();
    let row =
        |(key, (name, all)): (usize, &(String, [u32; 6]))| {
            let mut row = Row::new(key as u32).tag(capital(name));
            for n in all {
                let cell = if *n == 0 { Cell::text("–").faint() } else { Cell::text(n.to_string()) };
                row = row.cell(cell, By::Number((*n).into()), n.to_string());
            }
            let sum: u32 = all.iter().sum();
            let said: Vec<String> = Band::ALL
                .iter()
                .zip(all)
                .filter(|(_, n)| **n > 0)
                .map(|(b, n)| phrase!("{n} {}", look::said(b.words())))
                .collect();
            row.cell(Cell::text(sum.to_string()).strong(), By::Number(sum.into()), sum.to_string())
                .said(phrase!("{}: {sum} lost, {}", capital(name), said.join(", ")))
        };
    let rows = by_cause.iter().enumerate().filter(|(_, (name, _))| fits(&state.search, [name.as_str()]));
    state.list.set(rows.map(row).collect());
    state.made_for = Some(wanted);
}
