//! What is asked of the mix: a row for each thing, at least and at most, each with its base.

use super::super::super::Ctx;
use super::{Wrong, number, short};
use crate::look::{self, space};
use crate::parts::{Field, Form};
use egui::{Align, Layout, Ui, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{AskRow, What};
use hirsel_core::terms::{Base, Nutrient};
use serde::{Deserialize, Serialize};

/// A row as typed, and what a group's need put there.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
struct Row {
    least: String,
    most: String,
    base: Base,
    /// What was put there by a group; what the keeper typed is left as it is.
    put: (String, String),
}

/// All rows, in the order of [`What::ALL`].
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    rows: [Row; 8],
}

/// Labels of the fields of each row.
const LABELS: [[&str; 2]; 8] = [
    ["At least, Crude protein", "At most, Crude protein"],
    ["At least, Energy", "At most, Energy"],
    ["At least, Calcium", "At most, Calcium"],
    ["At least, Phosphorus", "At most, Phosphorus"],
    ["At least, Ca to P", "At most, Ca to P"],
    ["At least, Copper", "At most, Copper"],
    ["At least, Crude fibre", "At most, Crude fibre"],
    ["At least, Dry matter", "At most, Dry matter"],
];

const NAME: f32 = 118.0;
const FIGURE: f32 = 84.0;
const UNIT: f32 = 52.0;

impl Typed {
    /// What a group asks, into every row that the keeper has not typed into.
    pub(super) fn put(&mut self, asked: &[AskRow]) {
        for (row, what) in self.rows.iter_mut().zip(What::ALL) {
            let asked = asked.iter().find(|a| a.what == what);
            let text = |x: Option<f64>| x.map(short).unwrap_or_default();
            let new = asked.map(|a| (text(a.least), text(a.most))).unwrap_or_default();
            let untouched = (row.least.trim(), row.most.trim()) == (row.put.0.as_str(), row.put.1.as_str());
            if !untouched {
                continue;
            }
            if let Some(a) = asked.filter(|a| a.what.has_base()) {
                row.base = a.base;
            }
            (row.least, row.most) = new.clone();
            row.put = new;
        }
    }

    /// What is asked.
    pub(super) fn asked(&self) -> Result<Vec<AskRow>, Wrong> {
        let mut all = Vec::new();
        for ((row, what), labels) in self.rows.iter().zip(What::ALL).zip(LABELS) {
            let most = what.nutrient().map_or(100.0, Nutrient::most);
            let name = crate::look::said(what.words()).to_lowercase();
            let least = number(&row.least, what.words(), most).map_err(|w| (labels[0], w))?;
            let upper = if what.has_most() { row.most.as_str() } else { "" };
            let upper = number(upper, what.words(), most).map_err(|w| (labels[1], w))?;
            if let (Some(a), Some(b)) = (least, upper)
                && a > b
            {
                return Err((labels[0], phrase!("{name}: at least {a} is above at most {b}: swap them")));
            }
            all.push(AskRow { what, base: row.base, least, most: upper });
        }
        Ok(all)
    }
}

fn cell<R>(ui: &mut Ui, wide: f32, tall: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let size = vec2(wide, tall);
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_size(size);
        add(ui)
    })
    .inner
}

pub(super) fn view(ui: &mut Ui, _ctx: &Ctx<'_>, form: &mut Form, typed: &mut Typed) {
    let wrong = typed.asked().err();
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.x = space::XS;
        ui.horizontal(|ui| {
            for (head, wide) in
                [("", NAME), ("At least", FIGURE), ("At most", FIGURE), ("", UNIT), ("Reckoned", 100.0)]
            {
                cell(ui, wide, 20.0, |ui| look::faint(ui, head));
            }
        });
        for (row, what) in typed.rows.iter_mut().zip(What::ALL) {
            form.set_part(what.words());
            ui.horizontal(|ui| one(ui, form, row, what));
        }
    });
    form.set_part("");
    if let Some((_, why)) = wrong {
        look::refusal(ui, &why);
    }
    look::faint(ui, "The same figure in both: exactly so much. A blank asks for nothing.");
}

fn one(ui: &mut Ui, form: &mut Form, row: &mut Row, what: What) {
    cell(ui, NAME, space::FIELD, |ui| ui.label(what.words()));
    cell(ui, FIGURE, space::FIELD, |ui| {
        form.field(ui, &Field::new("At least").bare().width(FIGURE - 18.0), &mut row.least);
    });
    cell(ui, FIGURE, space::FIELD, |ui| {
        if what.has_most() {
            form.field(ui, &Field::new("At most").bare().width(FIGURE - 18.0), &mut row.most);
        }
    });
    cell(ui, UNIT, space::FIELD, |ui| look::faint(ui, what.unit()));
    if what.has_base() {
        let (word, other) = match row.base {
            Base::AsFed => ("as fed", Base::DryMatter),
            Base::DryMatter => ("of dry matter", Base::AsFed),
        };
        let button = ui.button(crate::look::spoken(word));
        ui.ctx().accesskit_node_builder(button.id, |node| {
            node.set_label(phrase!("{} is reckoned {word}", what.words()));
        });
        if button.on_hover_text(phrase!("Press for the other base")).clicked() {
            row.base = other;
        }
    }
}
