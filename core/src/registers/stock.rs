//! What is on the shelf on a day.

use super::words::product;
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{Batch, Flock, Link, RecordRef, StockChange, StockMove};
use crate::terms::{Day, Dose, ProductId, counted, thousandths};
use std::collections::{BTreeMap, HashMap};

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

/// An amount in the smallest parts of one unit, so that it can be summed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Amount(i64, Unit);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Ml,
    Mg,
    Piece,
}

fn amount(dose: Dose) -> Amount {
    match dose {
        Dose::Volume(ul) => Amount(ul.into(), Unit::Ml),
        Dose::Mass(ug) => Amount(i64::try_from(ug).unwrap_or(i64::MAX), Unit::Mg),
        Dose::Pieces(n) => Amount(n.into(), Unit::Piece),
    }
}

fn words(n: i64, unit: Unit) -> String {
    let sign = if n < 0 { "−" } else { "" };
    let abs = n.unsigned_abs();
    match unit {
        Unit::Ml => format!("{sign}{} ml", thousandths(abs)),
        Unit::Mg => format!("{sign}{} mg", thousandths(abs)),
        Unit::Piece if abs == 1 => format!("{sign}1 piece"),
        Unit::Piece => format!("{sign}{abs} pieces"),
    }
}

/// What came and went of one batch of one product.
#[derive(Default)]
struct Line<'a> {
    bought: Vec<(Day, Amount)>,
    given: Vec<(Day, Amount)>,
    moves: Vec<&'a StockMove>,
    batches: Vec<&'a Batch>,
}

/// Sums of one batch up to a day.
struct Sums {
    unit: Unit,
    bought: i64,
    given: i64,
    wasted: i64,
    disposed: i64,
    counted: Option<(Day, i64)>,
    left: i64,
}

impl Line<'_> {
    fn unit(&self) -> Option<Unit> {
        let moved = self.moves.iter().filter_map(|m| m.quantity).map(amount);
        let all = self.bought.iter().map(|(_, a)| *a).chain(moved).chain(self.given.iter().map(|(_, a)| *a));
        all.map(|a| a.1).next()
    }

    /// Sums up to the end of a day; the count `but` is left out, that it may be compared.
    fn sums(&self, on: Day, but: Option<crate::terms::StockMoveId>) -> Option<Sums> {
        let unit = self.unit()?;
        let of = |all: &[(Day, Amount)], after: Option<Day>| -> i64 {
            let within = |d: Day| d <= on && after.is_none_or(|a| d > a);
            all.iter().filter(|(d, a)| within(*d) && a.1 == unit).map(|(_, a)| a.0).sum()
        };
        let went = |change: StockChange, after: Option<Day>| -> i64 {
            let kept = self.moves.iter().filter(|m| m.change == change && m.on <= on);
            let kept = kept.filter(|m| after.is_none_or(|a| m.on > a));
            kept.filter_map(|m| m.quantity).map(amount).filter(|a| a.1 == unit).map(|a| a.0).sum()
        };
        let counts = self.moves.iter().filter(|m| m.change == StockChange::Counted && m.on <= on);
        let last = counts.filter(|m| Some(m.id) != but).max_by_key(|m| (m.on, m.id));
        let counted = last.map(|m| (m.on, m.quantity.map(amount).filter(|a| a.1 == unit).map_or(0, |a| a.0)));
        let after = counted.map(|(day, _)| day);
        let left = counted.map_or(0, |(_, n)| n) + of(&self.bought, after)
            - of(&self.given, after)
            - went(StockChange::Wasted, after)
            - went(StockChange::Disposed, after);
        Some(Sums {
            unit,
            bought: of(&self.bought, None),
            given: of(&self.given, None),
            wasted: went(StockChange::Wasted, None),
            disposed: went(StockChange::Disposed, None),
            counted,
            left,
        })
    }
}

/// Every batch of every product, as numbers are compared; an empty number is 'not told apart'.
type Shelf<'a> = BTreeMap<(ProductId, String), Line<'a>>;

fn number(text: Option<&str>) -> String {
    let letters = text.unwrap_or_default().chars().filter(|c| !c.is_whitespace());
    letters.flat_map(char::to_uppercase).collect()
}

fn shelf(flock: &Flock) -> Shelf<'_> {
    let mut all: Shelf<'_> = BTreeMap::new();
    let c = flock.cupboard();
    for b in c.batches.iter().filter(|b| b.struck.is_none()) {
        let line = all.entry((b.product, number(Some(&b.number)))).or_default();
        line.batches.push(b);
        if let Some(q) = b.quantity {
            // Bought on a day that is not known: there from the beginning.
            line.bought.extend(b.bought_on.or(Day::new(1900, 1, 1)).map(|day| (day, amount(q))));
        }
    }
    for m in c.moves.iter().filter(|m| m.struck.is_none()) {
        all.entry((m.product, number(m.batch.as_deref()))).or_default().moves.push(m);
    }
    let names: HashMap<String, ProductId> =
        flock.products().iter().map(|p| (p.name.to_lowercase(), p.id)).collect();
    for t in flock.files().flat_map(|f| f.treatments_standing()) {
        let Some(product) = names.get(t.product.trim().to_lowercase().as_str()) else { continue };
        if let Some(dose) = t.dose {
            let line = all.entry((*product, number(t.batch.as_deref()))).or_default();
            line.given.push((t.at.day, amount(dose)));
        }
    }
    all
}

/// What was counted, less what was reckoned; nothing for what is no count.
pub(super) fn difference(flock: &Flock, m: &StockMove) -> Cell {
    if m.change != StockChange::Counted || m.struck.is_some() {
        return Cell::words("");
    }
    let shelf = shelf(flock);
    let sums = shelf.get(&(m.product, number(m.batch.as_deref()))).and_then(|l| l.sums(m.on, Some(m.id)));
    let Some(sums) = sums else { return Cell::words("") };
    let found = m.quantity.map(amount).filter(|a| a.1 == sums.unit).map_or(0, |a| a.0);
    match found - sums.left {
        0 => Cell::shown_as("as reckoned", "0"),
        n => Cell::whole(words(n, sums.unit)),
    }
}

/// Batches on the shelf at the end of a day, the used-up ones left out.
pub(super) fn stock(flock: &Flock, span: Span, on: Day) -> Register {
    let mut register = Register::new(RegisterKind::Stock, span, on, &COLUMNS);
    let mut rows: Vec<(String, Row)> = Vec::new();
    let (mut untold, mut used_up) = (0, 0);
    for ((id, key), line) in &shelf(flock) {
        let batch =
            line.batches.iter().filter(|b| b.bought_on.is_none_or(|d| d <= on)).max_by_key(|b| b.bought_on);
        let Some(batch) = batch else {
            untold += usize::from(!line.given.is_empty() && !key.is_empty() || !line.moves.is_empty());
            continue;
        };
        let sums = line.sums(on, None);
        if sums.as_ref().is_some_and(|s| s.left == 0 && s.bought > 0) {
            used_up += 1;
            continue;
        }
        let shown = |n: Option<i64>| match (&sums, n) {
            (Some(s), Some(n)) => Cell::whole(words(n, s.unit)),
            _ => Cell::words(""),
        };
        let count = match sums.as_ref().and_then(|s| s.counted.map(|(d, n)| (d, n, s.unit))) {
            Some((day, n, unit)) => Cell::whole(words(n, unit)).under(super::words::whole(&day.words())),
            None => Cell::words(""),
        };
        let mut remarks = Vec::new();
        if batch.expiry.is_some_and(|e| e < on) {
            remarks.push("Out of date: not to be used.".to_string());
        }
        if sums.as_ref().is_some_and(|s| s.left < 0) {
            remarks.push("More went than came: a purchase, a dose or a count is not as written.".to_string());
        }
        if sums.as_ref().is_none_or(|s| s.bought == 0) {
            remarks.push("How much was bought is not written down.".to_string());
        }
        let name = product(flock, *id);
        rows.push((
            name.to_lowercase(),
            Row {
                cells: vec![
                    Cell::words(name).strong(),
                    Cell::words(batch.number.as_str()),
                    Cell::day(batch.bought_on),
                    Cell::day(batch.expiry),
                    Cell::day(batch.opened_on.filter(|d| *d <= on)),
                    shown(sums.as_ref().map(|s| s.bought)),
                    shown(sums.as_ref().map(|s| s.given)),
                    shown(sums.as_ref().map(|s| s.wasted)),
                    shown(sums.as_ref().map(|s| s.disposed)),
                    count,
                    shown(sums.as_ref().map(|s| s.left)).strong(),
                ],
                remarks,
                link: Some(Link::Cupboard(RecordRef::Batch(batch.id))),
                ..Row::default()
            },
        ));
    }
    rows.sort_by(|(a, r), (b, s)| a.cmp(b).then_with(|| r.cells[3].csv.cmp(&s.cells[3].csv)));
    register.rows = rows.into_iter().map(|(_, r)| r).collect();
    register.about.push(
        "Left = the last count, or what was bought where nothing was counted, and since then bought − given − wasted \
         − disposed of. Batches that are used up are left out."
            .into(),
    );
    if used_up > 0 {
        register.about.push(format!(
            "Used up and left out: {}.",
            counted(used_up, "batch").replace("batchs", "batches")
        ));
    }
    if untold > 0 {
        let n = counted(untold, "batch").replace("batchs", "batches");
        register.about.push(format!("{n} given or moved, of which no purchase is written down by that day."));
    }
    register
}
