//! Medicine wasted, disposed of and counted as rows.

use super::kind::{Column, may, must};
use super::sheet::Sheet;
use super::{Taken, Unfit, amount_text, product_name, text};
use crate::entry::{Check, Checked, Entry, Field, StockDraft, stock_moves};
use crate::flock::{Flock, StockChange, StockMove};
use crate::terms::{Day, Dose, Misread};

pub(super) const COLUMNS: &[Column] = &[
    must("product", "name of a product of the cupboard"),
    must("on", "day; a count holds at its end"),
    must("kind", "wasted, disposed of, counted"),
    may("batch", "batch number, if it was told apart"),
    may(
        "quantity",
        "how much went or was found: 250 (ml), 5 l, 500 mg, 20 pieces; of a count 0 or blank is none",
    ),
    may("how", "how it was disposed of"),
    may("place", "where it was brought"),
    may("reason", "why; of a count, why it differs"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut same) = (Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let product = c.must("product", "a product", |t| Ok(t.to_string()));
        let on = c.day("on");
        let change = c.must("kind", "what became of it", change);
        let quantity = c.may("quantity", Dose::parse_stock);
        let quantity = quantity.filter(|q| !matches!(q, Dose::Volume(0) | Dose::Mass(0) | Dose::Pieces(0)));
        let (Some(product), Some(on), Some(change), true) = (product, on, change, c.good()) else { continue };
        let draft = StockDraft {
            product,
            batch: c.words("batch"),
            on,
            change,
            quantity,
            how: c.words("how"),
            place: c.words("place"),
            reason: c.words("reason"),
        };
        if flock.cupboard().moves.iter().any(|m| is_same(flock, m, &draft)) {
            same.push(line.number);
            continue;
        }
        drafts.push((i, draft));
    }
    // In order of time, since a count is looked at beside what went before it.
    drafts.sort_by_key(|(i, d)| (d.on, d.change == StockChange::Counted, *i));
    let order: Vec<usize> = drafts.iter().map(|(i, _)| *i).collect();
    let drafts: Vec<StockDraft> = drafts.into_iter().map(|(_, d)| d).collect();
    let check = (!drafts.is_empty()).then(|| one_by_one(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::StockMoves(all) => all.iter().map(|m| row(flock, m)).collect(),
            _ => Vec::new(),
        },
    )
}

/// Each line beside the stock as those before it leave it.
fn one_by_one(drafts: Vec<StockDraft>, flock: &Flock, today: Day) -> Check {
    let mut then = flock.clone();
    let (mut all, mut questions, mut refusals) = (Vec::new(), Vec::new(), Vec::new());
    for (row, draft) in drafts.into_iter().enumerate() {
        let at = |field: Field| Field::row(field.name, row);
        match stock_moves(vec![draft], &then, today) {
            Ok(checked) => {
                for mut q in checked.questions().iter().cloned() {
                    q.field = at(q.field);
                    questions.push(q);
                }
                if let Entry::StockMoves(new) = checked.entry() {
                    let mut cupboard = then.cupboard().as_ref().clone();
                    cupboard.moves.extend(new.iter().cloned());
                    then.set_cupboard(cupboard);
                    all.extend(new.iter().cloned());
                }
            }
            Err(why) => {
                for mut r in why {
                    r.field = at(r.field);
                    refusals.push(r);
                }
            }
        }
    }
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let sentence = format!("{} lines of stock", all.len());
    Ok(Checked::new(Entry::StockMoves(all), sentence, questions))
}

fn change(text: &str) -> Result<StockChange, Misread> {
    let low = text.trim().to_lowercase();
    let found =
        StockChange::ALL.into_iter().find(|c| c.word() == low || c.word().split(' ').next() == Some(&low));
    found.ok_or_else(|| {
        Misread::new(format!(
            "'{text}' is not what can become of stock: write wasted, disposed of or counted"
        ))
    })
}

fn is_same(flock: &Flock, m: &StockMove, d: &StockDraft) -> bool {
    m.struck.is_none()
        && flock.product(&d.product).is_some_and(|p| p.id == m.product)
        && m.batch == d.batch
        && m.on == d.on
        && m.change == d.change
        && m.quantity == d.quantity
        && m.how == d.how
        && m.place == d.place
        && m.reason == d.reason
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    let mut all: Vec<&StockMove> = flock.cupboard().moves.iter().filter(|m| m.struck.is_none()).collect();
    all.sort_by_cached_key(|m| (m.on, m.change == StockChange::Counted, row(flock, m)));
    all.into_iter().map(|m| row(flock, m)).collect()
}

fn row(flock: &Flock, m: &StockMove) -> Vec<String> {
    vec![
        product_name(flock, m.product),
        m.on.to_string(),
        m.change.word().to_string(),
        text(&m.batch),
        amount_text(m.quantity),
        text(&m.how),
        text(&m.place),
        text(&m.reason),
    ]
}
