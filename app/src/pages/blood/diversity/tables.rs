//! Founders, ancestors, lines, crops and animals: bars for the eye, a table for the rest.

use super::{Look, State, bars};
use crate::look::{self, space};
use crate::pages::Intent;
use crate::pages::list::{into_table, search_field, take_out};
use crate::pages::picture::save_picture;
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Column, RecordTable, TableEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::kinship::Diversity;
use hirsel_core::terms::counted;

/// What a table is called, what it shows, and how it is taken out.
struct Sight {
    name: &'static str,
    one: &'static str,
    words: &'static str,
    heads: &'static [&'static str],
    columns: Vec<Column>,
}

fn sight(look: Look) -> Sight {
    let right = |title: &'static str, width: f32| Column::new(title, width).right();
    let animals = || {
        vec![
            Column::new("Animal", 130.0).rest(),
            right("Mean kinship", 122.0),
            right("Inbred", 76.0),
            right("Flock without it", 124.0),
            Column::new("Its rarest founder", 180.0).rest(),
            Column::new("What it is", 160.0).rest(),
        ]
    };
    match look {
        Look::Founders => Sight {
            name: "Founders",
            one: "founder",
            words: "Animals at the top of all pedigrees, with their share of the blood that lives. The filled part of a bar is \
                    what is left of that founder's own genes. Short bars with few carriers are what may be lost next.",
            heads: &["founder", "share", "genes_kept", "living_carriers"],
            columns: vec![
                Column::new("Founder", 150.0).rest(),
                right("Share", 80.0),
                right("Genes kept", 96.0),
                right("Carried by", 92.0),
            ],
        },
        Look::Ancestors => Sight {
            name: "Ancestors",
            one: "ancestor",
            words: "Who explains most of the blood, each by what those before do not explain. A few long bars are a \
                    bottleneck.",
            heads: &["ancestor", "explains", "together"],
            columns: vec![
                Column::new("Ancestor", 150.0).rest(),
                right("Explains", 90.0),
                right("Together", 90.0),
            ],
        },
        Look::DamLines => Sight {
            name: "Lines of dams",
            one: "line",
            words: "From the oldest known dam down through ewes alone. The filled part of a bar is ewes: they pass it on.",
            heads: &["dam", "animals", "ewes", "rams_and_wethers"],
            columns: line_columns("Oldest dam"),
        },
        Look::RamFamilies => Sight {
            name: "Ram families",
            one: "family",
            words: "From the oldest known sire down through rams alone. The filled part of a bar is rams and wethers.",
            heads: &["sire", "animals", "ewes", "rams_and_wethers"],
            columns: line_columns("Oldest sire"),
        },
        Look::Crops => Sight {
            name: "Crops",
            one: "crop",
            words: "Animals by year of birth, with their mean inbreeding. Where pedigrees get deeper from year to year, a \
                    part of the rise is only that more is known.",
            heads: &["year", "born", "both_parents_known", "mean_inbreeding", "generations"],
            columns: vec![
                Column::new("Year", 70.0).rest(),
                right("Born", 64.0),
                right("Parents known", 118.0),
                right("Inbred", 84.0),
                right("Depth", 72.0),
            ],
        },
        Look::Young => {
            let mut columns = animals();
            columns.push(Column::new("", 150.0));
            Sight {
                name: "Young stock",
                one: "young animal",
                words: "Not a year and a half old and without lambs, rarest blood on top. The third with the lowest mean \
                        kinship is marked: keep from these before you sell.",
                heads: &[
                    "animal",
                    "mean_kinship",
                    "inbreeding",
                    "without_it",
                    "rarest_founder",
                    "what",
                    "mark",
                ],
                columns,
            }
        }
        Look::Figures | Look::Animals => Sight {
            name: "Animals by blood",
            one: "animal",
            words: "Rarest blood on top. 'Flock without it' is how many founder genomes the flock would gain or, after a \
                    minus, lose: sell from the foot of the list.",
            heads: &["animal", "mean_kinship", "inbreeding", "without_it", "rarest_founder", "what"],
            columns: animals(),
        },
    }
}

fn line_columns(first: &'static str) -> Vec<Column> {
    vec![
        Column::new(first, 140.0).rest(),
        Column::new("Animals", 80.0).right(),
        Column::new("Ewes", 70.0).right(),
        Column::new("Rams, wethers", 116.0).right(),
    ]
}

pub(super) fn view(ui: &mut egui::Ui, made: &Diversity, state: &mut State, out: &mut Vec<Intent>) {
    let sight = sight(state.look);
    look::paragraph(ui, sight.words);
    ui.add_space(space::S);
    if state.bars.is_empty() {
        table(ui, &sight, state, out);
        return;
    }
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 760.0 {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + whole.width() * 0.44;
        right.min.x = left.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("bars")
                .auto_shrink(false)
                .show(ui, |ui| drawn(ui, made, state, out));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| table(ui, &sight, state, out));
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("bars").auto_shrink(false).show(ui, |ui| {
            drawn(ui, made, state, out);
            ui.add_space(space::M);
            let size = egui::vec2(ui.available_width(), 420.0);
            ui.allocate_ui(size, |ui| table(ui, &sight, state, out));
        });
    }
}

fn drawn(ui: &mut egui::Ui, made: &Diversity, state: &State, out: &mut Vec<Intent>) {
    let head = match state.look {
        Look::Founders => "Share of the blood, and what is kept of it",
        Look::Ancestors => "What each explains",
        Look::Crops => "Mean inbreeding by year of birth",
        _ => "Living animals of each line",
    };
    look::subheading(ui, head);
    ui.add_space(space::XS);
    bars::bars(ui, &state.bars);
    let said: Vec<&str> = state.bars.iter().map(|b| b.said.as_str()).collect();
    let of = Sitter { title: head, said: &said.join("; "), width: 760.0, height: None };
    save_picture(ui, &of, out, |ui| bars::bars(ui, &state.bars));
    let all = match state.look {
        Look::Founders => made.founders.len(),
        Look::Ancestors => made.ancestors.len(),
        Look::DamLines => made.dam_lines.len(),
        Look::RamFamilies => made.ram_families.len(),
        _ => made.cohorts.len(),
    };
    if all > state.bars.len() {
        look::faint(ui, phrase!("{} more in the table.", all - state.bars.len()));
    }
}

fn table(ui: &mut egui::Ui, sight: &Sight, state: &mut State, out: &mut Vec<Intent>) {
    let mut no = false;
    state.into_table |= search_field(ui, sight.name, "tag or name", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, lines_of(sight, state.list.rows.len()));
        take_out(ui, sight.name, sight.heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        let nothing = if state.search.trim().is_empty() { "None yet." } else { "None fits the search." };
        look::paragraph(ui, nothing);
        return;
    }
    ui.add_space(space::XS);
    if std::mem::take(&mut state.into_table) {
        into_table(ui, sight.name);
    }
    let events =
        RecordTable::new(sight.name, &sight.columns).single().show(ui, &mut state.table, &state.list);
    for event in events {
        if let TableEvent::Opened(key) = event
            && let Some(id) = state.opens.get(key as usize)
        {
            out.push(Intent::Open(*id));
        }
    }
}

fn lines_of(sight: &Sight, n: usize) -> String {
    match (sight.one, n) {
        ("family", n) if n != 1 => phrase!("{n} families"),
        (one, n) => counted(n, one),
    }
}
