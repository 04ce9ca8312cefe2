//! A treatment beside its bottle: is it of this product, in date, and is there so much left?

use super::fault::{TreatmentRefused, TreatmentUnusual};
use super::plus;
use crate::entry::{Faults, Field};
use crate::flock::{Flock, Product, Treatment, same_batch};
use crate::reckon::stock::{self, Line};
use crate::terms::{Day, Dose, ProductId};
use std::collections::HashMap;

/// What the treatments of one entry take out of the bottles.
pub(super) struct Bottles<'a> {
    flock: &'a Flock,
    /// What is left is reckoned of all that is written, whatever day it was written for.
    today: Day,
    /// The lines of each product asked for, reckoned once.
    lines: HashMap<ProductId, Vec<Line>>,
    /// What is needed of each product and number, with the row it was first asked for in.
    needed: Vec<(ProductId, String, usize, Option<Dose>)>,
}

impl<'a> Bottles<'a> {
    pub(super) fn new(flock: &'a Flock, today: Day) -> Self {
        Self { flock, today, lines: HashMap::new(), needed: Vec::new() }
    }

    pub(super) fn look(&mut self, faults: &mut Faults, row: usize, t: &Treatment, product: Option<&Product>) {
        let (Some(p), Some(number)) = (product, t.batch.as_deref()) else { return };
        let field = Field::row("batch", row);
        let cupboard = self.flock.cupboard();
        if cupboard.numbered(p.id, number).next().is_none() {
            let other = cupboard
                .batches
                .iter()
                .filter(|b| b.struck.is_none() && same_batch(&b.number, number))
                .find_map(|b| self.flock.products().iter().find(|q| q.id == b.product));
            if let Some(other) = other {
                let why = TreatmentRefused::BatchOfOther {
                    number: number.into(),
                    product: p.name.clone(),
                    other: other.name.clone(),
                };
                faults.refuse(field, why.into());
            } else if cupboard.of(p.id).next().is_some() {
                let words =
                    format!("the batch {number} is not in the cupboard: write under Batches what was bought");
                faults.caution(field, words);
            }
            return;
        }
        let (number, on) = (number.to_string(), t.at.day);
        let bought = cupboard.numbered(p.id, &number).filter_map(|b| b.bought_on).min();
        if let Some(bought) = bought.filter(|b| on < *b) {
            faults.question(field, TreatmentUnusual::BeforeBought { number: number.clone(), bought }.into());
        }
        // Of several deliveries the one that lasts longest speaks for the number.
        let expiry = cupboard.numbered(p.id, &number).filter_map(|b| b.expiry).max();
        if let Some(until) = expiry.filter(|e| on > *e) {
            faults.question(field, TreatmentUnusual::OutOfDate { number: number.clone(), until, on }.into());
        }
        let opened = cupboard.numbered(p.id, &number).filter_map(|b| b.opened_on).max();
        let use_by = opened.zip(p.more.opened_days).map(|(o, days)| o.plus(days.into()));
        if let Some(until) = use_by.filter(|u| on > *u) {
            faults
                .question(field, TreatmentUnusual::OpenTooLong { number: number.clone(), until, on }.into());
        }
        match self.needed.iter_mut().find(|(id, n, ..)| *id == p.id && same_batch(n, &number)) {
            Some((.., sum)) => *sum = sum.zip(t.dose).and_then(|(a, b)| plus(a, b)),
            None => self.needed.push((p.id, number, row, t.dose)),
        }
    }

    /// Questions what the bottles cannot have held.
    pub(super) fn enough(&mut self, faults: &mut Faults) {
        for (product, number, row, needed) in std::mem::take(&mut self.needed) {
            let (flock, today) = (self.flock, self.today);
            let lines = self.lines.entry(product).or_insert_with(|| stock::of_product(flock, product, today));
            let left = stock::line_of(lines, product, &number).and_then(|l| l.left);
            let (Some(needed), Some(left)) = (needed, left) else { continue };
            let more = match (needed, left) {
                (Dose::Volume(n), Dose::Volume(l)) | (Dose::Pieces(n), Dose::Pieces(l)) => n > l,
                (Dose::Mass(n), Dose::Mass(l)) => n > l,
                _ => false,
            };
            if more {
                let what = TreatmentUnusual::NotSoMuchLeft { number, needed, left };
                faults.question(Field::row("batch", row), what.into());
            }
        }
    }
}
