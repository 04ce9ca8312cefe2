//! The rows of the sheet.

use super::super::super::list::{By, Row, fits};
use super::super::decide;
use crate::look::Kind;
use crate::parts::record_table::{Cell, Column};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Candidate, Keeping, Placed, Proposed, Reached};
use hirsel_core::reckon::kinship::percent;
use hirsel_core::terms::{AnimalId, Day, ScoreKind, Sex, Units};

/// The column of the place.
pub(super) const PLACE: usize = 0;

/// Heads of the exported table.
pub(super) fn heads(k: &Keeping) -> Vec<&'static str> {
    let mut all = HEADS.to_vec();
    if k.settings.target.is_some() {
        all.insert(TARGET, "target_weight");
    }
    all
}

/// Columns that are always shown.
const SHOWN: usize = 12;

/// Where the day of the target weight stands: beside what is decided.
const TARGET: usize = 5;

const HEADS: [&str; 20] = [
    "place",
    "tag",
    "name",
    "proposed",
    "decided",
    "born_with",
    "weight_ratio",
    "dam_milk",
    "value",
    "inbreeding",
    "kinship",
    "faults",
    "born",
    "weight",
    "dam",
    "dam_history",
    "dam_scores",
    "genes",
    "type_colour",
    "remarks",
];

/// The columns; where a weight is wanted, one more for the day it is reached.
pub(super) fn columns(k: &Keeping, units: Units) -> Vec<Column> {
    let mut all = shown().to_vec();
    if let Some(w) = k.settings.target {
        all.insert(TARGET, Column::new(phrase!("At {}", w.show(units)), 96.0));
    }
    all
}

fn shown() -> [Column; SHOWN] {
    [
        Column::new("No.", 58.0).right(),
        Column::new("Tag", 66.0),
        Column::new("Name", 60.0).rest(),
        Column::new("Line", 86.0),
        Column::new("Decided", 118.0),
        Column::new("Born of", 60.0).right(),
        Column::new("Weight %", 74.0).right(),
        Column::new("Dam’s milk", 84.0).right(),
        Column::new("Value", 58.0).right(),
        Column::new("Inbred", 60.0).right(),
        Column::new("Kin", 54.0).right(),
        Column::new("Bite, eyelids", 96.0),
    ]
}

fn number(row: Row<AnimalId>, text: String, by: Option<f64>, scale: f64) -> Row<AnimalId> {
    row.number(text, by.map(|v| (v * scale).round() as i64))
}

/// All rows that fit the search, in order.
pub(super) fn make(
    units: Units,
    k: &Keeping,
    sex: Sex,
    placed: &[Placed],
    search: &str,
    by_place: bool,
) -> Vec<Row<AnimalId>> {
    let mut rows = Vec::new();
    // The line lies under the last that is above it, where the rows stand in that order.
    let last = placed.iter().rposition(|p| p.proposed == Proposed::Keep).filter(|_| by_place);
    for (i, p) in placed.iter().enumerate() {
        let Some(c) = k.lambs(sex).get(p.at) else { continue };
        let row = row(units, k, p, c).lined(last == Some(i));
        if fits(search, row.plain.iter().map(String::as_str)) {
            rows.push(row);
        }
    }
    rows
}

fn row(units: Units, k: &Keeping, p: &Placed, c: &Candidate) -> Row<AnimalId> {
    let dash = || "–".to_string();
    let faults = c.score_words(&[ScoreKind::Bite, ScoreKind::Lids]);
    let mut row = Row::new(c.animal)
        .number(p.place.to_string(), i64::try_from(p.place).ok())
        .tag(c.tag.clone())
        .text(c.name.clone().unwrap_or_default());
    let word = match p.proposed {
        Proposed::Keep => Cell::chip(Kind::Accent, "keep"),
        Proposed::Not => Cell::text("not").faint(),
        Proposed::Never => Cell::chip(Kind::Caution, "never"),
    };
    row = row.cell(word, By::Text(p.proposed.words().into()), p.proposed.words());
    let what = c.decided.as_ref().map(|d| d.what);
    let words = what.map(|w| w.words()).unwrap_or_default();
    row = row.cell(decide::cell(what), By::Text(words.into()), words);
    if k.settings.target.is_some() {
        let reached = c.reached.as_ref();
        let days =
            |d: Day| i64::from(d.year()) * 1000 + Day::new(d.year(), 1, 1).map_or(0, |first| d.since(first));
        let by = By::number(reached.and_then(Reached::day).map(days));
        let cell = match reached {
            Some(r @ Reached::NotTold(_)) => Cell::text(r.short()).faint(),
            Some(r @ Reached::On(..)) => Cell::chip(Kind::Good, r.short()),
            Some(r) => Cell::text(r.short()),
            None => Cell::text(dash()).faint(),
        };
        row = row.cell(cell, by, reached.map(|r| r.words(units)).unwrap_or_default());
    }
    let born = c.born_with.map_or_else(dash, |n| n.to_string());
    row = number(row, born, c.born_with.map(f64::from), 1.0);
    let ratio = c.ratio.as_ref().and_then(|r| r.percent);
    row = number(row, ratio.map_or_else(dash, |r| format!("{r:.0}")), ratio, 100.0);
    let milk = c.dam.as_ref().and_then(|d| d.milk).map(|m| m.0);
    row = number(row, milk.map_or_else(dash, |m| format!("{m:.0} g")), milk, 1.0);
    let value = c.value.map(|v| v.0);
    row = number(row, value.map_or_else(dash, super::beside::signed), value, 1000.0);
    row = number(row, c.inbreeding.map_or_else(dash, percent), c.inbreeding, 1e6);
    let kin = c.kinship.map(|x| x.0);
    row = number(row, kin.map_or_else(dash, percent), kin, 1e6);
    let worst = [ScoreKind::Bite, ScoreKind::Lids].iter().filter_map(|s| c.score(*s)).max();
    row = row.cell(
        Cell::text(if faults.is_empty() { dash() } else { faults.clone() }),
        By::number(worst.map(i64::from)),
        faults,
    );
    let dam = c.dam.as_deref();
    let rest = [
        c.born.map(|d| d.to_string()).unwrap_or_default(),
        c.weight.map(|(d, w)| phrase!("{} on {}", w.show(units), d)).unwrap_or_default(),
        dam.map(|d| d.title.clone()).unwrap_or_default(),
        dam.map(|d| d.words()).unwrap_or_default(),
        dam.map(|d| d.scores()).unwrap_or_default(),
        c.gene_words(),
        c.score_words(&[ScoreKind::Type, ScoreKind::Colour]),
        [c.notes.as_slice(), c.remarks.as_slice()].concat().join("; "),
    ];
    for text in rest {
        row = row.hidden(text);
    }
    let by_then = c.reached.as_ref().zip(k.settings.target);
    let said = phrase!(
        "{} {}, {}, {}{}{}",
        p.place,
        c.title(),
        match p.proposed {
            Proposed::Keep => phrase!("above the line"),
            Proposed::Not => phrase!("below the line"),
            Proposed::Never => phrase!("never: {}", c.never.join(", ")),
        },
        what.map_or("not decided", |w| w.words()),
        ratio.map(|r| phrase!(", weight {r:.0} %")).unwrap_or_default(),
        by_then.map(|(r, w)| format!(", {}: {}", w.show(units), r.words(units))).unwrap_or_default(),
    );
    row.said(said)
}
