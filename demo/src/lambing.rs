//! The lambing of a season written up.

use crate::joining::Coming;
pub(crate) use crate::litters::Litter;
use crate::litters::Rears;
use crate::maker::{Maker, WORD};
use crate::sheep::{At, Sheep};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, Checked, Entry, LambDraft, LambingDraft, StandingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{Day, Ease, Fate, Moment, Rearing, Sex, Status, Weight};

impl Maker<'_> {
    /// Writes a season's lambings and gives the lambs born alive; those of the last three days wait.
    pub(crate) fn lambing(&mut self, season: usize, coming: Vec<Coming>) -> Result<Vec<At>, Failed> {
        let base = self.base(season);
        let expected = coming.clone();
        let mut all = self.litters(season, coming);
        self.scans(season, base, &all, &expected)?;
        let flock = self.flock();
        let later = std::mem::take(&mut self.later);
        self.treat(later, &flock);
        if let Some(ram) = self.lent.take() {
            let draft = StandingDraft {
                animals: vec![self.sheep[ram].id],
                to: Status::Present,
                on: base.plus(-70),
                other: None,
                reason: Some("back from loan".into()),
                details: Default::default(),
            };
            self.push(entry::standing(draft, &flock, self.today), WORD);
        }
        if season == self.last {
            let recent = all.iter().position(|l| self.today.since(l.coming.on) < 3).unwrap_or(all.len());
            self.tonight = all.split_off(recent);
        }
        let year = base.year();
        self.say(&format!("Lambing of {year}: {} ewes", all.len() + self.tonight.len()));
        if all.is_empty() {
            return Ok(Vec::new());
        }
        let drafts: Vec<LambingDraft> =
            all.iter().enumerate().map(|(n, l)| self.lambing_draft(n, l)).collect();
        let check = entry::lambings(&drafts, &flock, self.today);
        let crop = check.as_ref().map(|c| self.settle(season, &all, c)).unwrap_or_default();
        self.push(check, WORD);
        self.flush(&format!("Lambing of {year}: {} ewes", all.len()))?;
        Ok(crop)
    }

    /// Writes the lambings of the last three days, each by itself, as the keeper did.
    pub(crate) fn lambing_tonight(&mut self) -> Result<Vec<At>, Failed> {
        let mut crop = Vec::new();
        let mut all = std::mem::take(&mut self.tonight);
        all.sort_by_key(|l| (l.coming.on, l.time, l.coming.ewe));
        for (n, litter) in all.into_iter().enumerate() {
            let draft = self.lambing_draft(n, &litter);
            let flock = self.flock();
            let check = entry::lambing(draft, &flock, self.today);
            if let Ok(c) = &check {
                crop.extend(self.settle(self.last, std::slice::from_ref(&litter), c));
            }
            self.write(check, WORD)?;
        }
        Ok(crop)
    }

    fn lambing_draft(&mut self, n: usize, l: &Litter) -> LambingDraft {
        let ids = |m: &Self| l.coming.possible.iter().map(|r| m.sheep[*r].id).collect::<Vec<_>>();
        let sire = match ids(self).as_slice() {
            [one] => Sire::Known(*one),
            [] => Sire::Unknown,
            many => Sire::OneOf(many.to_vec()),
        };
        let jugs = (self.ewes / 8).clamp(3, 40);
        let lambs = l
            .young
            .iter()
            .map(|y| {
                let mut d = LambDraft::new(y.sex);
                d.tag = y.tagged.then(|| self.tag());
                d.weight = Weight::from_grams((y.kg * 1000.0).round() as i64);
                d.fate = y.fate;
                if y.fate == Fate::Died
                    && let Some((day, why)) = y.dies
                {
                    d.died_on = Some(day);
                    d.died_of = Some(why.into());
                }
                d.sucked = y.sucked;
                d.navel_dipped = y.navel;
                d.colostrum = y.colostrum;
                d.colour = Some(y.colour.into());
                d.rearing = match y.rears {
                    Rears::Dam => Rearing::Dam,
                    Rears::Foster(e) => Rearing::Foster(self.sheep[e].id),
                    Rears::Bottle => Rearing::Bottle,
                };
                d
            })
            .collect();
        LambingDraft {
            ewe: self.sheep[l.coming.ewe].id,
            at: Moment { day: l.coming.on, time: l.time },
            sire,
            ease: Some(l.ease),
            help: l.help.map(Into::into),
            note: l.note.map(Into::into),
            pen: (!self.is_lean()).then(|| format!("Jug {}", n % jugs + 1)),
            lambs,
            foster_on: Vec::new(),
        }
    }

    /// Takes the lambs of checked lambings into the making, under the ids they were given.
    fn settle(&mut self, season: usize, litters: &[Litter], checked: &Checked) -> Vec<At> {
        let Entry::Lambings(new) = checked.entry() else { return Vec::new() };
        let year = self.dice.bell(1.0, 0.03);
        let mut crop = Vec::new();
        for (l, new) in litters.iter().zip(new) {
            let ewe = &mut self.sheep[l.coming.ewe];
            ewe.litters += 1;
            let lost = l.young.iter().all(|y| !y.lives());
            ewe.trouble += u32::from(l.ease >= Ease::Hard || lost);
            if l.ease >= Ease::Hard {
                self.hard.push((l.coming.ewe, l.coming.on));
            }
            if l.rearing == 0 {
                self.bereft.push((l.coming.ewe, l.coming.on));
            }
            let together = self.scored.bell(1.0, 0.05);
            for (y, lamb) in l.young.iter().zip(&new.lambs) {
                if !y.lives() {
                    continue;
                }
                let mut s = Sheep::new(lamb.animal.id, y.sex, l.coming.on, &mut self.dice);
                s.dam = Some(l.coming.ewe);
                s.sire = Some(l.coming.ram);
                s.sire_known = l.coming.possible.len() == 1;
                s.birth_kg = y.kg;
                s.frame = y.frame;
                s.milk = y.milk;
                s.colour = y.colour;
                s.here = Some(l.coming.on);
                s.gone = None;
                s.dies = y.dies;
                s.kept = false;
                s.season = Some(season);
                s.litter = l.young.len();
                s.tag_later = !y.tagged;
                let (by, others) = match y.rears {
                    Rears::Dam => (Some(l.coming.ewe), l.rearing),
                    Rears::Foster(e) => {
                        let there = litters.iter().find(|o| o.coming.ewe == e);
                        (Some(e), there.map_or(1, |o| o.rearing))
                    }
                    Rears::Bottle => (None, 0),
                };
                s.reared_by = by;
                s.rate = self.rate(&s, by, others, year * together);
                s.check = self.check(season, l.coming.on);
                crop.push(self.sheep.len());
                self.sheep.push(s);
            }
        }
        crop
    }

    /// First gain of a lamb, kg a day: by how many the ewe rears, her milk, sex and year (reference: husbandry,
    /// growth; a lighter breed than there).
    fn rate(&mut self, s: &Sheep, by: Option<At>, others: usize, year: f64) -> f64 {
        let reared = match (by, others) {
            (None, _) => 0.225,
            (_, 0 | 1) => 0.305,
            (_, 2) => 0.255,
            _ => 0.215,
        };
        let sex = match s.sex {
            Sex::Ewe => 1.0,
            Sex::Ram => 1.09,
            Sex::Wether => 1.04,
        };
        let milk = by.map_or(1.0, |e| self.nursed(e, s.born));
        let small = if s.litter > 2 { 0.95 } else { 1.0 };
        let own = self.scored.bell(1.0, 0.08);
        self.dice.bell(reared * sex * milk * s.frame * small * year * own, 0.008).max(0.12)
    }

    /// What a ewe's milk does for the gain of her lambs: her blood, her age, and what she is by herself.
    fn nursed(&mut self, ewe: At, on: Day) -> f64 {
        let own = match self.nursing.get(&ewe) {
            Some(own) => *own,
            None => {
                let own = self.scored.bell(1.0, 0.04);
                self.nursing.insert(ewe, own);
                own
            }
        };
        let by_age = match self.sheep[ewe].age(on) / 365 {
            0 | 1 => 0.9,
            2 => 0.96,
            3..=6 => 1.0,
            _ => 0.95,
        };
        (1.0 + 0.6 * (self.sheep[ewe].milk - 1.0)) * by_age * own
    }

    /// A few lambs fall ill and stand still for some weeks; in the last season two of the oldest.
    fn check(&mut self, season: usize, born: Day) -> Option<(i64, i64)> {
        let ill = self.scored.chance(0.02);
        let (from, days) = (self.scored.between(20, 60), self.scored.between(12, 24));
        let age = self.today.since(born);
        if season == self.last && (26..36).contains(&age) && self.ailing < 2 && self.scored.chance(0.2) {
            self.ailing += 1;
            return Some((8, 20));
        }
        ill.then_some((from, days))
    }
}
