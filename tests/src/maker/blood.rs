//! Marks, crayons, scans and tests.

use super::Maker;
use hirsel_core::entry::{
    Check, CrayonDraft, GeneTestDraft, MarkDraft, ScanDraft, crayons, gene_tests, marks, scans,
};
use hirsel_core::flock::{Flock, Tested};
use hirsel_core::terms::{GeneStatus, MarkKind, PrionAllele, Scanned, Scrapie};

impl Maker {
    pub(super) fn marks(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..4) {
            let ewe = self.ewe(flock)?;
            drafts.push(MarkDraft {
                ewe,
                ram: self.some(|m| m.ram(flock)).flatten(),
                on: self.seen(flock, ewe),
                kind: *self.pick(MarkKind::ALL),
                colour: self.some(Self::text),
                note: self.some(Self::text),
            });
        }
        Some(marks(drafts, flock, self.today))
    }

    pub(super) fn crayons(&mut self, flock: &Flock) -> Option<Check> {
        let ram = self.ram(flock)?;
        let colour = (*self.pick(&["yellow", "orange", "red", "green", "blue"])).to_string();
        Some(crayons(vec![CrayonDraft { ram, on: self.seen(flock, ram), colour }], flock, self.today))
    }

    pub(super) fn scans(&mut self, flock: &Flock) -> Option<Check> {
        let ewe = self.ewe(flock)?;
        let found = *self.pick(Scanned::ALL);
        let age_days = self.some(|m| m.rng.u16(25..120)).filter(|_| found != Scanned::Empty);
        let draft =
            ScanDraft { ewe, on: self.seen(flock, ewe), found, age_days, note: self.some(Self::text) };
        Some(scans(vec![draft], flock, self.today))
    }

    pub(super) fn gene_tests(&mut self, flock: &Flock) -> Option<Check> {
        let animal = self.one(flock, |_| true)?;
        let allele = |m: &mut Self| *m.pick(&PrionAllele::COMMON);
        let found = match self.rng.u32(..4) {
            0 => Tested::Scrapie(Scrapie::new(allele(self), allele(self))),
            1 => Tested::Recessive { gene: "grey wool".into(), status: *self.pick(GeneStatus::ALL) },
            2 => Tested::Parentage { parent: self.one(flock, |_| true)?, is: self.rng.bool() },
            _ => Tested::Other { what: self.text(), result: self.text() },
        };
        let draft = GeneTestDraft {
            animal,
            on: self.seen(flock, animal),
            found,
            lab: self.some(Self::text),
            number: self.some(Self::text),
            note: self.some(Self::text),
        };
        Some(gene_tests(vec![draft], flock, self.today))
    }
}
