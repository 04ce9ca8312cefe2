//! The feeds of a least-cost mix, a row each: price, shares, bags or scoops, and figures typed over.

use super::super::super::Ctx;
use super::{Wrong, feeds, number, short};
use crate::look::{self, space};
use crate::parts::{Field, Form, Found, Picker, PickerState};
use egui::{Align, Layout, Ui, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{From, Stuff, Unit, figures, stuff};
use hirsel_core::terms::{Analysis, Nutrient};
use serde::{Deserialize, Serialize};

/// More feeds than this are not mixed on a farm.
const MOST_ROWS: usize = 12;

macro_rules! labels {
    ($($n:literal),*) => {
        [$([
            concat!("Feed, feed ", $n),
            concat!("Price, feed ", $n),
            concat!("Least, feed ", $n),
            concat!("Most, feed ", $n),
            concat!("Goes in by, feed ", $n),
        ]),*]
    };
}

/// Labels of the fields of each row: feed, price, least share, most share, bag or scoop.
pub(super) const LABELS: [[&str; 5]; MOST_ROWS] = labels!(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12);

/// Room for each field with its edge.
const WIDE: [f32; 6] = [152.0, 70.0, 58.0, 58.0, 82.0, 72.0];
const HEADS: [&str; 5] = ["Feed", "Price a kg", "Least %", "Most %", "Bag, scoop"];

/// Figures that can be typed over, with the words of their fields.
const FIGURES: [(Nutrient, &str); 7] = [
    (Nutrient::DryMatter, "Dry m. %"),
    (Nutrient::Protein, "Protein"),
    (Nutrient::Energy, "Energy"),
    (Nutrient::Calcium, "Ca"),
    (Nutrient::Phosphorus, "P"),
    (Nutrient::Copper, "Cu"),
    (Nutrient::Fibre, "Fibre"),
];

/// A row as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Row {
    feed: PickerState<u64>,
    price: String,
    least: String,
    most: String,
    unit: String,
    own: [String; 7],
    /// Its figures are shown.
    open: bool,
}

/// A row as it is understood.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Understood {
    pub(super) stuff: Stuff,
    pub(super) own: Analysis,
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) unit: Option<Unit>,
}

impl Row {
    /// A feed of the book by its name.
    pub(super) fn named(ctx: &Ctx<'_>, name: &str) -> Self {
        let mut row = Self::default();
        match feeds(ctx, name).into_iter().find(|f| f.label == name) {
            Some(found) => row.feed.choose(Found { detail: String::new(), ..found }),
            None => row.feed.text = name.into(),
        }
        row
    }

    fn is_blank(&self) -> bool {
        self.feed.text.trim().is_empty()
    }

    /// What the row says; none where no feed is named. `i` counts the rows.
    pub(super) fn understood(&self, ctx: &Ctx<'_>, i: usize) -> Result<Option<Understood>, Wrong> {
        let label = |n: usize| LABELS[i.min(MOST_ROWS - 1)][n];
        let Some(mut stuff) = stuff(ctx.flock, &self.feed.text, ctx.today) else { return Ok(None) };
        let mut own = Analysis::default();
        for ((what, _), text) in FIGURES.iter().zip(&self.own) {
            if let Some(x) = number(text, what.words(), what.most()).map_err(|w| (label(0), w))? {
                own = own.with(*what, x).map_err(|e| (label(0), e.0))?;
            }
        }
        stuff.feed.analysis = own.or(&stuff.feed.analysis);
        let price = number(&self.price, "the price of a kg", 100_000.0).map_err(|w| (label(1), w))?;
        stuff.feed.price = price.or(stuff.feed.price);
        let share = |text: &str, what| number(text, what, 100.0).map(|x| x.map(|x| x / 100.0));
        let least = share(&self.least, "the least share").map_err(|w| (label(2), w))?.unwrap_or(0.0);
        let most = share(&self.most, "the most").map_err(|w| (label(3), w))?.unwrap_or(1.0);
        if least > most {
            let why = phrase!("the least share of {} is above its highest: swap them", stuff.feed.name);
            return Err((label(2), why));
        }
        let unit =
            Unit::read(ctx.flock, &self.feed.text, &self.unit, ctx.today).map_err(|e| (label(4), e.0))?;
        Ok(Some(Understood { stuff, own, least, most, unit }))
    }
}

/// A row is always there to write into.
pub(super) fn with_room(rows: &mut Vec<Row>) {
    while rows.len() > 3 && rows[rows.len() - 2..].iter().all(Row::is_blank) {
        rows.pop();
    }
    while rows.len() < 3 || (rows.len() < MOST_ROWS && rows.last().is_some_and(|r| !r.is_blank())) {
        rows.push(Row::default());
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

pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, form: &mut Form, rows: &mut Vec<Row>, wrong: Option<&Wrong>) {
    with_room(rows);
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.horizontal(|ui| {
            for (head, wide) in HEADS.iter().zip(WIDE) {
                cell(ui, wide, 20.0, |ui| look::faint(ui, *head));
            }
        });
        for (i, row) in rows.iter_mut().enumerate() {
            form.set_part(phrase!("feed {}", i + 1));
            one(ui, ctx, form, row, i, wrong);
        }
    });
    form.set_part("");
}

fn one(ui: &mut Ui, ctx: &Ctx<'_>, form: &mut Form, row: &mut Row, i: usize, wrong: Option<&Wrong>) {
    let before = stuff(ctx.flock, &row.feed.text, ctx.today);
    let price = before.as_ref().and_then(|s| s.feed.price).map(|p| format!("{p:.3}"));
    let price = price.as_deref().map(|p| p.strip_suffix('0').unwrap_or(p).to_string());
    ui.horizontal(|ui| {
        cell(ui, WIDE[0], space::FIELD, |ui| {
            let picker = Picker::new("Feed", ctx.flock.version()).width(WIDE[0] - 16.0).free().quiet(true);
            let example = if i == 0 { "any part of its name" } else { "" };
            let picker = picker.bare().example(example);
            if form.picker(ui, &picker, &mut row.feed, |text| feeds(ctx, text)).changed() {
                row.own = Default::default();
            }
        });
        let any = |_: &str| Ok(String::new());
        let texts = [
            ("Price", &mut row.price, price.unwrap_or_default()),
            ("Least", &mut row.least, String::new()),
            ("Most", &mut row.most, String::new()),
            ("Goes in by", &mut row.unit, "kg".into()),
        ];
        for ((label, text, example), wide) in texts.into_iter().zip(&WIDE[1..]) {
            let example = if before.is_some() { example } else { String::new() };
            cell(ui, *wide, space::FIELD, |ui| {
                let field = Field::new(label).bare().width(wide - 16.0).example(example).understand(&any);
                form.field(ui, &field, text);
            });
        }
        if before.is_some() {
            let button = ui.selectable_label(row.open, "Figures");
            ui.ctx()
                .accesskit_node_builder(button.id, |node| node.set_label(phrase!("Figures, feed {}", i + 1)));
            if button.on_hover_text(phrase!("What it holds, to be typed over")).clicked() {
                row.open = !row.open;
            }
        }
    });
    if row.open && before.is_some() {
        typed_over(ui, form, row, before.as_ref());
    }
    let said = row.understood(ctx, i);
    match &said {
        Err((_, why)) => {
            look::refusal(ui, why);
        }
        Ok(Some(u)) => {
            let from = match u.stuff.from {
                From::Book => "",
                From::Handbook => "common figures: ",
                From::Typed => "not known here: ",
            };
            let words = format!("{from}{}", figures(&u.stuff.feed.analysis));
            let words = egui::RichText::new(&words).small().color(look::tokens(ui).faint);
            ui.add(egui::Label::new(words).truncate());
        }
        Ok(None) => {}
    }
    if let Some((_, why)) = wrong.filter(|(l, _)| LABELS[i.min(MOST_ROWS - 1)].contains(l) && said.is_ok()) {
        look::refusal(ui, why);
    }
}

/// Figures of the feed, of its dry matter; what is typed goes before what is known.
fn typed_over(ui: &mut Ui, form: &mut Form, row: &mut Row, before: Option<&Stuff>) {
    let wide = 70.0;
    ui.horizontal(|ui| {
        for (what, word) in FIGURES {
            let unit = if what == Nutrient::DryMatter { "" } else { what.short_unit() };
            cell(ui, wide, 20.0, |ui| look::faint(ui, phrase!("{word} {unit}").trim_end().to_string()));
        }
    });
    ui.horizontal(|ui| {
        for ((what, word), text) in FIGURES.iter().zip(&mut row.own) {
            let known = before.and_then(|s| s.feed.analysis.get(*what)).map(short);
            cell(ui, wide, space::FIELD, |ui| {
                let label = word.trim_end_matches(" %");
                let field = Field::new(label).bare().width(wide - 16.0).example(known.unwrap_or("?".into()));
                form.field(ui, &field, text);
            });
        }
    });
    look::faint(ui, "Dry matter as fed, all others of dry matter. They count in this mix alone.");
}
