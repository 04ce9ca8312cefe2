//! The cupboard: batches, stock, vets, prescriptions, egg counts.

use super::{Kind, Maker};
use hirsel_core::entry::{
    Amended, BatchDraft, Check, EggCountDraft, PrescriptionDraft, StockDraft, VetDraft, amend, batches,
    egg_counts, opened, prescriptions, rule_as_shipped, rule_row, stock_moves, strike_kept, vets,
};
use hirsel_core::flock::{Flock, RecordRef, StockChange};
use hirsel_core::rules::{RuleRow, rule_sets};
use hirsel_core::terms::{Dose, Price};

const NUMBERS: [&str; 5] = ["L 41", "l41", "B-9/2", "Å 7", "'0012"];

impl Maker {
    /// A row of a rule set mended in nothing but its source, or taken back to what is shipped.
    fn rules(&mut self, flock: &Flock) -> Option<Check> {
        let changed = flock.rule_changes();
        if !changed.is_empty() && self.rng.bool() {
            let c = self.pick(changed).clone();
            return Some(rule_as_shipped(&c.set, &c.row, flock));
        }
        let set = self.pick(rule_sets());
        let rows: Vec<RuleRow> = set.rows().into_iter().filter(|r| r.may_be_mended).collect();
        if rows.is_empty() {
            return None;
        }
        let row = self.pick(&rows).clone();
        let n = self.rng.u32(..1000);
        let told = format!("source = \"the authority's letter {n}\"");
        let toml: Vec<String> = row
            .toml
            .lines()
            .map(|l| if l.starts_with("source = ") { told.clone() } else { l.to_string() })
            .collect();
        Some(rule_row(set.id(), &row.key, &toml.join("\n"), "the authority wrote", flock))
    }

    pub(super) fn cupboard(&mut self, kind: Kind, flock: &Flock) -> Option<Check> {
        let c = flock.cupboard().clone();
        let today = self.today;
        let why = self.text();
        let strike = |record| strike_kept(record, &why, flock, today);
        Some(match kind {
            Kind::Batches => {
                let n = self.rng.usize(1..=3);
                let drafts = (0..n).map(|_| self.batch(flock)).collect::<Option<Vec<_>>>()?;
                batches(drafts, flock, today)
            }
            Kind::Opened => {
                let batch = self.of(&c.batches)?;
                let on = self.back(today.since(batch.bought_on.unwrap_or(today)));
                opened(batch.id, on, flock, today)
            }
            Kind::StockMoves => {
                let n = self.rng.usize(1..=3);
                let drafts = (0..n).map(|_| self.stock(flock)).collect::<Option<Vec<_>>>()?;
                stock_moves(drafts, flock, today)
            }
            Kind::Vets => vets(vec![self.vet(flock)], flock),
            Kind::Prescriptions => prescriptions(vec![self.prescription(flock)?], flock, today),
            Kind::Rules => return self.rules(flock),
            Kind::EggCounts => {
                let n = self.rng.usize(1..=4);
                let drafts = (0..n).map(|_| self.egg_count(flock)).collect();
                egg_counts(drafts, flock, today)
            }
            Kind::AmendBatch => {
                let mut b = self.of(&c.batches)?;
                let new = self.batch(flock)?;
                (b.number, b.expiry, b.quantity, b.price) = (new.number, new.expiry, new.quantity, new.price);
                (b.supplier, b.invoice, b.note) = (new.supplier, new.invoice, new.note);
                amend(Amended::Batch(b), &why, flock, today)
            }
            Kind::AmendStockMove => {
                let mut m = self.of(&c.moves)?;
                let new = self.stock(flock)?;
                (m.on, m.quantity, m.how, m.reason) = (new.on, new.quantity, new.how, new.reason);
                amend(Amended::StockMove(m), &why, flock, today)
            }
            Kind::AmendPrescription => {
                let mut p = self.of(&c.prescriptions)?;
                let new = self.prescription(flock)?;
                (p.vet, p.valid_to, p.number) = (new.vet, new.valid_to.filter(|d| *d >= p.on), new.number);
                (p.off_label, p.meat, p.milk, p.export) = (new.off_label, new.meat, new.milk, new.export);
                amend(Amended::Prescription(p), &why, flock, today)
            }
            Kind::AmendEggCount => {
                let mut e = self.of(&c.egg_counts)?;
                let new = self.egg_count(flock);
                (e.epg, e.product, e.treated_on, e.note) = (new.epg, new.product, new.treated_on, new.note);
                amend(Amended::EggCount(e), &why, flock, today)
            }
            Kind::StrikeBatch => strike(RecordRef::Batch(self.of(&c.batches)?.id)),
            Kind::StrikeStockMove => strike(RecordRef::StockMove(self.of(&c.moves)?.id)),
            Kind::StrikePrescription => strike(RecordRef::Prescription(self.of(&c.prescriptions)?.id)),
            Kind::StrikeEggCount => strike(RecordRef::EggCount(self.of(&c.egg_counts)?.id)),
            _ => return None,
        })
    }

    pub(super) fn of<T: Clone>(&mut self, all: &[T]) -> Option<T> {
        (!all.is_empty()).then(|| self.pick(all).clone())
    }

    fn product_name(&mut self, flock: &Flock) -> Option<String> {
        self.of(flock.products()).map(|p| p.name)
    }

    /// More than a dose, less than a shelf.
    fn quantity(&mut self) -> Dose {
        match self.rng.u32(..6) {
            0 => Dose::Mass(self.rng.u64(1..90_000_000_000)),
            1 => Dose::Pieces(self.rng.u32(1..500)),
            _ => Dose::Volume(self.rng.u32(1..20_000_000)),
        }
    }

    fn batch(&mut self, flock: &Flock) -> Option<BatchDraft> {
        let bought = self.back(3000);
        Some(BatchDraft {
            product: self.product_name(flock)?,
            number: (*self.pick(&NUMBERS)).to_string(),
            expiry: self.some(|m| bought.plus(m.rng.i64(0..4500))),
            bought_on: self.some(|_| bought),
            supplier: self.some(Self::text),
            supplier_address: self.some(Self::text),
            quantity: self.some(Self::quantity),
            price: self.some(|m| Price::from_cents(m.rng.u32(..900_000))),
            invoice: self.some(Self::text),
            opened_on: self.some(|m| bought.plus(m.rng.i64(0..60)).min(m.today)),
            note: self.some(Self::text),
        })
    }

    fn stock(&mut self, flock: &Flock) -> Option<StockDraft> {
        let bought = self.of(&flock.cupboard().batches).filter(|_| self.rng.u32(..4) > 0);
        let product = match &bought {
            Some(b) => flock.products().iter().find(|p| p.id == b.product)?.name.clone(),
            None => self.product_name(flock)?,
        };
        let change = *self.pick(&StockChange::ALL);
        let counted = change == StockChange::Counted;
        Some(StockDraft {
            product,
            batch: bought.map(|b| b.number),
            on: self.back(300),
            change,
            quantity: if counted { self.some(Self::quantity) } else { Some(self.quantity()) },
            how: self.some(Self::text),
            place: self.some(Self::text),
            reason: if counted { Some(self.text()) } else { self.some(Self::text) },
        })
    }

    fn vet(&mut self, flock: &Flock) -> VetDraft {
        let known = self.of(&flock.cupboard().vets).filter(|_| self.rng.bool());
        let name = format!("Dr Å. Kett {}", self.rng.u32(..500));
        VetDraft {
            id: known.as_ref().map(|v| v.id),
            name: known.map_or(name, |v| v.name),
            practice: self.some(Self::text),
            address: self.some(Self::text),
            contact: self.some(Self::text),
            number: self.some(Self::text),
        }
    }

    fn prescription(&mut self, flock: &Flock) -> Option<PrescriptionDraft> {
        let on = self.back(800);
        Some(PrescriptionDraft {
            vet: self.of(&flock.cupboard().vets)?.id,
            on,
            valid_to: self.some(|m| on.plus(m.rng.i64(0..400))),
            number: self.some(Self::text),
            product: self.product_name(flock).unwrap_or_else(|| "Fellmectin".into()),
            whom: self.some(Self::text),
            dose: self.some(Self::text),
            reason: self.some(Self::text),
            off_label: self.rng.bool(),
            meat: self.period(),
            milk: self.period(),
            export: self.period(),
        })
    }

    fn egg_count(&mut self, flock: &Flock) -> EggCountDraft {
        let animal = self.some(|m| m.one(flock, |_| true)).flatten();
        let on = match animal {
            Some(a) => self.seen(flock, a),
            None => self.back(300),
        };
        let product = self.some(|m| m.product_name(flock)).flatten();
        EggCountDraft {
            animal,
            group: if animal.is_some() { self.some(Self::text) } else { Some(self.text()) },
            on,
            epg: self.rng.u32(..60_000),
            treated_on: product.as_ref().and_then(|_| self.some(|m| m.back(300))),
            product,
            note: self.some(Self::text),
        }
    }
}
