//! Stock wasted, disposed of, counted.

use super::{CupboardRefused, CupboardUnusual, given_in, named, other_kind, product};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Flock, Product, StockChange, StockMove, same_batch};
use crate::reckon::stock::{self, Amount, Kind, Line};
use crate::terms::{Day, Dose, ProductId, StockMoveId};

/// Stock that went otherwise than into an animal, or was counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockDraft {
    /// Name of the product in the cupboard.
    pub product: String,
    /// Batch number.
    pub batch: Option<String>,
    /// The day; a count holds at its end.
    pub on: Day,
    /// What became of it.
    pub change: StockChange,
    /// How much went, or was found; none found is nothing there.
    pub quantity: Option<Dose>,
    /// How it was disposed of.
    pub how: Option<String>,
    /// Where it was brought.
    pub place: Option<String>,
    /// Why; of a count, why it differs.
    pub reason: Option<String>,
}

/// Checks stock moves, a line for each batch; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn stock_moves(drafts: Vec<StockDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("quantity"), Refused::Missing("a line of stock"));
    }
    let mut all: Vec<StockMove> = Vec::new();
    let mut known: Vec<(Day, Vec<Line>)> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let found = product(&mut faults, Field::row("product", row), &d.product, flock);
        let new = StockMove {
            id: StockMoveId::new(),
            product: found.map_or_else(ProductId::new, |p| p.id),
            batch: words(&d.batch),
            on: d.on,
            change: d.change,
            quantity: d.quantity,
            how: words(&d.how),
            place: words(&d.place),
            reason: words(&d.reason),
            struck: None,
        };
        faults.not_ahead(Field::row("on", row), new.on, today);
        let place = known.iter().position(|(day, _)| *day == new.on).unwrap_or_else(|| {
            known.push((new.on, stock::of(flock, new.on)));
            known.len() - 1
        });
        if let Some(p) = found {
            let gone = all.iter().filter(|m| {
                m.product == new.product
                    && m.batch == new.batch
                    && m.change != StockChange::Counted
                    && m.on <= new.on
            });
            let gone: Vec<Dose> = gone.filter_map(|m| m.quantity).collect();
            check(&mut faults, row, &new, p, flock, &known[place].1, &gone);
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => sentence(flock, one),
            many if many.iter().all(|m| m.change == StockChange::Counted) => {
                format!("Counted {} batches on the shelf", many.len())
            }
            many => format!("Stock: {} lines", many.len()),
        };
        (Entry::StockMoves(all), sentence)
    })
}

fn sentence(flock: &Flock, m: &StockMove) -> String {
    let name = flock.products().iter().find(|p| p.id == m.product).map_or("a product", |p| &p.name);
    let what = named(name, m.batch.as_deref());
    let much = m.quantity.map_or_else(|| "none".into(), |q| q.to_string());
    match m.change {
        StockChange::Counted => format!("Counted {what}: {much}"),
        other => format!("{what}: {much} {}", other.word()),
    }
}

/// What is wrong or unlikely of a line of stock, beside the stock at the end of its day. `gone` is what other lines
/// of the entry take of the same batch.
fn check(
    faults: &mut Faults,
    row: usize,
    m: &StockMove,
    p: &Product,
    flock: &Flock,
    lines: &[Line],
    gone: &[Dose],
) {
    let field = |name| Field::row(name, row);
    super::blank::disposal(faults, row, m, flock);
    let what = named(&p.name, m.batch.as_deref());
    let line = lines.iter().find(|l| {
        l.product == p.id
            && match (&l.batch, &m.batch) {
                (Some(a), Some(b)) => same_batch(a, b),
                (None, None) => true,
                _ => false,
            }
    });
    if let Some(number) = m.batch.as_deref().filter(|n| flock.cupboard().numbered(p.id, n).next().is_none()) {
        let other =
            flock.cupboard().batches.iter().find(|b| b.struck.is_none() && same_batch(&b.number, number));
        let other = other.and_then(|b| flock.products().iter().find(|x| x.id == b.product));
        match other {
            Some(other) => {
                let why = CupboardRefused::BatchOfAnother {
                    number: number.into(),
                    product: p.name.clone(),
                    other: other.name.clone(),
                };
                faults.refuse(field("batch"), why.into());
            }
            None if line.is_none() => {
                faults.question(field("batch"), CupboardUnusual::NeverBought { what: what.clone() }.into());
            }
            None => {}
        }
    }
    let left = line.and_then(|l| l.left);
    other_kind(faults, field("quantity"), p, m.quantity, left.map(Kind::of).or_else(|| given_in(flock, p)));
    match (m.change, m.quantity) {
        (StockChange::Counted, found) => {
            let kind = left.map_or(Kind::Volume, Kind::of);
            let found = found.map_or(Amount::none(kind), Amount::of);
            let short = line.and_then(|l| l.short);
            let book = left
                .map(|l| short.map_or(Amount::of(l), |s| Amount { n: -Amount::of(s).n, ..Amount::of(s) }));
            if let Some(book) = book.filter(|b| *b != found)
                && m.reason.is_none()
            {
                let (found, book) = (found.there(), book.to_string());
                faults.refuse(
                    field("reason"),
                    CupboardRefused::CountWithoutReason { what, found, book }.into(),
                );
            }
        }
        (_, None) => faults.refuse(field("quantity"), Refused::Missing("how much went")),
        (_, Some(quantity)) => {
            let mut all = Some(Amount::of(quantity));
            for more in gone {
                all = all.and_then(|a| a.plus(Amount::of(*more)));
            }
            if let (Some(left), Some(all)) = (left, all)
                && Amount::of(left).kind == all.kind
                && Amount::of(left).n < all.n
            {
                let quantity = all.there();
                faults.question(
                    field("quantity"),
                    CupboardUnusual::MoreThanLeft { what, quantity, left }.into(),
                );
            }
        }
    }
}

/// A line of stock with new values: beside the stock as it would be without it.
pub(super) fn check_amended(faults: &mut Faults, m: &StockMove, flock: &Flock, _today: Day) {
    let Some(p) = flock.products().iter().find(|p| p.id == m.product) else { return };
    let mut without = flock.clone();
    let mut cupboard = flock.cupboard().as_ref().clone();
    cupboard.moves.retain(|x| x.id != m.id);
    without.set_cupboard(cupboard);
    let lines = stock::of_product(&without, p.id, m.on);
    check(faults, 0, m, p, flock, &lines, &[]);
}
