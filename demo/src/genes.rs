//! Tests of genes and parents. Genotypes are thrown for the founders and handed down, so that what the tests say
//! goes together. Dice of their own: the other facts stay what they are without these.

use crate::dice::Dice;
use crate::maker::{Maker, WORD, mark};
use crate::names::{FARMS, LAB};
use crate::sheep::{At, nearness};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, AnimalDraft, GeneTestDraft};
use hirsel_core::flock::{Sire, Tested};
use hirsel_core::terms::{AnimalId, Born, Day, GeneStatus, MeantFor, PrionAllele, Scrapie, Sex, Status};
use std::collections::{HashMap, HashSet};

/// A recessive of the made-up breed. INVENTED: no such gene is known.
pub(crate) const GREY_WOOL: &str = "grey wool (made up)";

/// One copy of both genes: which prion allele (its place in [`PrionAllele::COMMON`]), and whether the wool turns.
type Copied = (usize, bool);

/// Shares of the prion alleles in the order of [`PrionAllele::COMMON`]. Invented, in the range of common breeds.
const ALLELES: [(usize, f64); 5] = [(0, 45.0), (1, 35.0), (2, 8.0), (3, 5.0), (4, 7.0)];
/// Share of the faulty copy among founders.
const FAULTY: f64 = 0.22;

/// Who has which copies, and who was tested.
#[derive(Debug, Default)]
pub(crate) struct Genes {
    copies: HashMap<At, [Copied; 2]>,
    tested: HashSet<At>,
    reports: u32,
}

impl Maker<'_> {
    /// Both copies of a sheep: from its parents, or thrown where they are not known.
    fn copies(&mut self, at: At) -> [Copied; 2] {
        // Parents first, without recursion.
        let mut open = vec![at];
        while let Some(one) = open.last().copied() {
            let s = &self.sheep[one];
            let parents = [s.dam, s.sire];
            let missing: Vec<At> =
                parents.into_iter().flatten().filter(|p| !self.genes.copies.contains_key(p)).collect();
            if !missing.is_empty() {
                open.extend(missing);
                continue;
            }
            open.pop();
            if self.genes.copies.contains_key(&one) {
                continue;
            }
            let mut both = [(0, false); 2];
            for (copy, parent) in both.iter_mut().zip(parents) {
                *copy = match parent.and_then(|p| self.genes.copies.get(&p)) {
                    Some(theirs) => theirs[self.more.below(2)],
                    None => (self.more.weighted(&ALLELES), self.more.chance(FAULTY)),
                };
            }
            self.genes.copies.insert(one, both);
        }
        self.genes.copies[&at]
    }

    fn test(&mut self, animal: AnimalId, on: Day, found: Tested, note: Option<&str>) -> GeneTestDraft {
        self.genes.reports += 1;
        let number = Some(format!("FL {}-{:04}", on.year() % 100, 120 + self.genes.reports * 7));
        GeneTestDraft { animal, on, found, lab: Some(LAB.into()), number, note: note.map(Into::into) }
    }

    /// What the laboratory says of the genes of a sheep.
    fn tests_of(&mut self, at: At, on: Day, all: &mut Vec<GeneTestDraft>) {
        if !self.genes.tested.insert(at) {
            return;
        }
        let [a, b] = self.copies(at);
        let id = self.sheep[at].id;
        let prion = Scrapie::new(PrionAllele::COMMON[a.0], PrionAllele::COMMON[b.0]);
        let status = match (a.1, b.1) {
            (false, false) => GeneStatus::Clear,
            (true, true) => GeneStatus::Affected,
            _ => GeneStatus::Carrier,
        };
        let t = self.test(id, on, Tested::Scrapie(prion), None);
        all.push(t);
        let t = self.test(id, on, Tested::Recessive { gene: GREY_WOOL.into(), status }, None);
        all.push(t);
    }

    /// Rams are tested before they go to work for the first time.
    pub(crate) fn test_rams(&mut self, season: usize, base: Day) -> Result<(), Failed> {
        if self.is_lean() && season < self.last {
            return Ok(());
        }
        let on = base.plus(-195);
        let rams: Vec<At> = self.studs.iter().map(|r| r.at).filter(|r| self.sheep[*r].is_here(on)).collect();
        let mut all = Vec::new();
        for at in rams {
            let bought = self.sheep[at].season.is_none();
            let new = !self.genes.tested.contains(&at);
            self.tests_of(at, on, &mut all);
            if bought && new {
                let found = Tested::Other { what: "maedi visna".into(), result: "not found".into() };
                let t = self.test(self.sheep[at].id, on, found, Some("bought in, kept apart until then"));
                all.push(t);
            }
        }
        self.take(all, "Tests of the rams")
    }

    fn take(&mut self, all: Vec<GeneTestDraft>, what: &str) -> Result<(), Failed> {
        if all.is_empty() {
            return Ok(());
        }
        let flock = self.flock();
        self.push(entry::gene_tests(all, &flock, self.today), WORD);
        self.flush(what)
    }

    /// Some ewes are tested, two lambs' parents are asked after, and one bought ewe turns out to stand twice in the
    /// book.
    pub(crate) fn blood(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-70);
        let ewes = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 300);
        let every = if self.is_lean() { 50 } else { 5 };
        let mut all = Vec::new();
        for at in ewes.into_iter().step_by(every) {
            self.tests_of(at, on, &mut all);
        }
        self.take(all, "Tests of some ewes")?;
        self.for_the_market()?;
        self.doubtful_sire()?;
        self.wrong_sire()?;
        self.twice()
    }

    /// Hoggs that are not kept are meant for the market.
    fn for_the_market(&mut self) -> Result<(), Failed> {
        if self.is_lean() {
            return Ok(());
        }
        let hoggs = self.here(self.today, |s| !s.kept && s.season.is_some_and(|x| x < self.last));
        let flock = self.flock();
        for at in hoggs {
            let a = flock.animal(self.sheep[at].id).filter(|a| a.meant_for != MeantFor::Market);
            let Some(a) = a else { continue };
            let mut edit = a.clone();
            edit.meant_for = MeantFor::Market;
            self.push(entry::edit_animal(edit, None, &flock, self.today), WORD);
        }
        self.flush("Meant for the market")
    }

    /// A lamb of one of two rams: the test says which.
    fn doubtful_sire(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-2);
        let doubt = self.here(self.today, |s| !s.sire_known && s.season.is_some() && s.born < on);
        let doubt = doubt.into_iter().find(|at| self.sheep[*at].sire.is_some());
        let Some(at) = doubt else { return Ok(()) };
        let sire = self.sheep[at].sire.map(|r| self.sheep[r].id);
        let Some(parent) = sire else { return Ok(()) };
        let found = Tested::Parentage { parent, is: true };
        let t = self.test(self.sheep[at].id, on, found, Some("two rams ran with the dam"));
        self.take(vec![t], "Whose lamb it is")
    }

    /// A hogg that is kept: the ram its dam was put to is not the sire, another one was over the wall first.
    fn wrong_sire(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-30);
        let mut kept = self.here(self.today, |s| {
            s.sire_known && s.sex == Sex::Ewe && s.season.is_some_and(|x| x < self.last) && s.kept
        });
        // Hoggs first.
        kept.reverse();
        // Whose genes were handed down already would not go with another sire.
        kept.retain(|at| !self.genes.copies.contains_key(at));
        let flock = self.flock();
        let joined: HashSet<AnimalId> = flock.files().flat_map(|f| &f.joinings).map(|j| j.ram).collect();
        for at in kept {
            let s = self.sheep[at].clone();
            let Some(dam) = s.dam else { continue };
            let served = s.born.plus(-147);
            let fits = |r: &At| {
                let ram = &self.sheep[*r];
                let there = joined.contains(&ram.id) && ram.is_here(served) && ram.age(served) > 400;
                there && Some(*r) != s.sire && nearness(&self.sheep, dam, *r) < 2
            };
            let other = (0..self.sheep.len()).filter(fits).min_by_key(|r| nearness(&self.sheep, dam, *r));
            let Some(parent) = other.map(|r| self.sheep[r].id) else { continue };
            self.sheep[at].sire = other;
            let found = Tested::Parentage { parent, is: true };
            let t = self.test(s.id, on, found, Some("he was found over the wall that November"));
            return self.take(vec![t], "A sire put right");
        }
        Ok(())
    }

    /// A bought ewe came into the book a second time, by the seller's own tag, as the dam of a ewe on a pedigree.
    fn twice(&mut self) -> Result<(), Failed> {
        let bought = self.here(self.today, |s| s.sex == Sex::Ewe && s.season.is_none() && s.kept);
        let flock = self.flock();
        // The last that came, not one of the founders.
        let Some(a) = bought.iter().rev().filter_map(|at| flock.animal(self.sheep[*at].id)).find(|a| {
            flock
                .file(a.id)
                .is_some_and(|f| f.movements.iter().any(|m| m.reason.as_deref() == Some("bought")))
        }) else {
            return Ok(());
        };
        let mut dice = Dice::new(23);
        let mut again = AnimalDraft::new(mark(&format!("GL {}", dice.between(310, 390))), Sex::Ewe);
        again.name = a.name.as_deref().map(String::from);
        again.prefix = a.prefix.as_deref().map(String::from);
        again.section = a.section.as_deref().map(String::from);
        again.breed.clone_from(&a.breed);
        again.born = a.born;
        again.colour = a.colour.as_deref().map(String::from);
        again.dam = a.dam;
        again.sire = a.sire.clone();
        again.status = Status::Outside;
        again.note = Some("from the pedigree of a ewe lamb that was looked at and not bought".into());
        let born = a.born.day().map_or(self.today, |d| d.plus(2 * 365 + 9));
        let mut daughter = AnimalDraft::new(mark(&format!("GL {}", dice.between(410, 490))), Sex::Ewe);
        daughter.name = Some(format!("{} Posy", FARMS[5]));
        daughter.prefix = Some(FARMS[5].into());
        daughter.breed.clone_from(&a.breed);
        daughter.born = Born::On(born.min(self.today.plus(-10)));
        daughter.dam = Some(again.id);
        daughter.sire = Sire::Unknown;
        daughter.status = Status::Outside;
        self.push(entry::animals(vec![again, daughter], &flock, self.today), WORD);
        self.flush("A ewe looked at, with her dam")
    }
}
