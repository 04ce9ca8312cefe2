//! The rows of the list of ewes to leave.

use super::super::super::list::{By, Row, fits};
use super::super::decide;
use crate::parts::record_table::Column;
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Cull, Keeping};
use hirsel_core::reckon::kinship::percent;
use hirsel_core::terms::AnimalId;

/// Heads of the exported table.
pub(super) const HEADS: [&str; 13] = [
    "tag",
    "name",
    "why",
    "years",
    "reared",
    "milk_place",
    "rare_blood",
    "daughters",
    "decided",
    "born",
    "lambings",
    "mean_kinship",
    "cost",
];

pub(super) fn columns() -> [Column; 9] {
    [
        Column::new("Tag", 78.0),
        Column::new("Name", 70.0),
        Column::new("Why", 180.0).rest(),
        Column::new("Years", 58.0).right(),
        Column::new("Reared", 70.0).right(),
        Column::new("Milk", 76.0).right(),
        Column::new("Blood", 78.0).right(),
        Column::new("Daughters", 86.0).right(),
        Column::new("Decided", 112.0),
    ]
}

/// All rows that fit the search.
pub(super) fn make(k: &Keeping, search: &str) -> Vec<Row<AnimalId>> {
    let rows = k.culls.iter().map(row);
    rows.filter(|r| fits(search, r.plain.iter().map(String::as_str))).collect()
}

fn row(c: &Cull) -> Row<AnimalId> {
    let dash = || "–".to_string();
    let place = |p: Option<(usize, usize)>| p.map_or_else(dash, |(n, of)| phrase!("{n} of {of}"));
    let by = |n: usize| i64::try_from(n).ok();
    let what = c.decided.as_ref().map(|d| d.what);
    let words = what.map(|w| w.words()).unwrap_or_default();
    let blood = c.blood.map(|b| (b.rarest, b.of));
    Row::new(c.animal)
        .tag(c.tag.clone())
        .text(c.name.clone().unwrap_or_default())
        .text(c.reasons())
        .number(c.dam.years.map_or_else(dash, |y| y.to_string()), c.dam.years)
        .number(phrase!("{} of {}", c.dam.reared, c.dam.born), Some(c.dam.reared.into()))
        .number(place(c.milk_place), c.milk_place.and_then(|p| by(p.0)))
        .number(place(blood), blood.and_then(|b| by(b.0)))
        .number(c.daughters.to_string(), by(c.daughters))
        .cell(decide::cell(what), By::Text(words.into()), words)
        .hidden(c.dam.born.to_string())
        .hidden(c.dam.lambings.to_string())
        .hidden(c.blood.map(|b| percent(b.kinship)).unwrap_or_default())
        .hidden(c.cost())
        .said(phrase!("{}, {}, {}", c.title(), c.reasons(), what.map_or("not decided", |w| w.words())))
}
