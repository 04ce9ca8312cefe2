//! What is on the shelf on a day.

use super::words::whole;
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{Flock, StockChange, StockMove};
use crate::reckon::stock::{self, Counted, Line, State};
use crate::terms::{Day, Dose};

const COLUMNS: [Column; 11] = [
    Column::new("Product", "product", 1.7),
    Column::new("Batch", "batch", 1.0),
    Column::new("Bought on", "bought_on", 1.0),
    Column::new("Expiry", "expiry", 1.0),
    Column::new("Opened on", "opened_on", 1.0),
    Column::figures("Bought", "bought", 0.9),
    Column::figures("Given", "given", 0.9),
    Column::figures("Wasted", "wasted", 0.9),
    Column::figures("Disposed of", "disposed", 0.9),
    Column::figures("Last count", "counted", 1.0),
    Column::figures("Left", "left", 0.9),
];

/// What was counted against what the book said, in order of the counts; made once for a register.
pub(super) struct Counts(Vec<Counted>);

impl Counts {
    pub(super) fn of(flock: &Flock) -> Self {
        let counted = |m: &&StockMove| m.change == StockChange::Counted && m.struck.is_none();
        let Some(last) = flock.cupboard().moves.iter().filter(counted).map(|m| m.on).max() else {
            return Self(Vec::new());
        };
        Self(stock::of(flock, last).into_iter().flat_map(|l| l.counts).collect())
    }

    /// The difference a count found; nothing for what is no count.
    pub(super) fn difference(&self, m: &StockMove) -> Cell {
        let found = self.0.iter().find(|c| c.id == m.id);
        found.map_or_else(|| Cell::words(""), |c| Cell::words(c.difference().to_string()))
    }
}

/// Nothing is left, and nothing is wrong: it stands no more on the shelf.
fn used_up(l: &Line) -> bool {
    l.state == State::Empty
}

fn row(l: &Line) -> Row {
    let amount = |d: Option<Dose>| Cell::whole(d.map(|d| d.to_string()).unwrap_or_default());
    let count = match l.counts.last() {
        Some(c) => Cell::whole(c.found.to_string()).under(whole(&c.on.words())),
        None => Cell::words(""),
    };
    let left = match (l.short, l.left) {
        (Some(short), _) => Cell::whole(format!("−{short}")),
        (None, Some(left)) => Cell::whole(left.to_string()),
        (None, None) => Cell::shown_as("not known", "unknown"),
    };
    let batch = match &l.batch {
        Some(number) => Cell::words(number.as_str()),
        None => Cell::shown_as("not told apart", ""),
    };
    let mut remarks = Vec::new();
    if l.state.is_caution() {
        remarks.push(super::words::capital(&l.words) + ".");
    }
    if l.given_unmeasured > 0 {
        let doses = crate::terms::counted(l.given_unmeasured, "dose");
        remarks.push(format!("{doses} in the log without an amount, which no sum can heed."));
    }
    Row {
        cells: vec![
            super::words::product_cell(&l.name).strong(),
            batch,
            Cell::day(l.bought_on),
            Cell::day(l.expiry),
            Cell::day(l.opened_on),
            amount(l.received),
            amount(l.given),
            amount(l.wasted),
            amount(l.disposed),
            count,
            left.strong(),
        ],
        remarks,
        link: Some(l.link()),
        ..Row::default()
    }
}

/// Batches on the shelf at the end of a day, the used-up ones left out.
pub(super) fn stock(flock: &Flock, span: Span, on: Day) -> Register {
    let mut register = Register::new(RegisterKind::Stock, span, on, &COLUMNS);
    let lines = stock::of(flock, on);
    register.rows = lines.iter().filter(|l| !used_up(l)).map(row).collect();
    register.about.push(
        "Left = bought − given − wasted − disposed of, set anew by each count; amounts of different kinds (ml, mg, \
         pieces) are never added. Batches of one number stand together."
            .into(),
    );
    match lines.iter().filter(|l| used_up(l)).count() {
        0 => {}
        1 => register.about.push("Used up and left out: 1 batch.".into()),
        n => register.about.push(format!("Used up and left out: {n} batches.")),
    }
    register
}
