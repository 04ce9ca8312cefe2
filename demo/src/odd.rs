//! The last days before today, and some things to notice: a figure amended, a treatment struck out, a product
//! without a written period, a sheep sold just before its clear date.

use crate::cupboard::{IVERMECTIN, MELOXICAM, MULTIVITAMIN, OXYTETRACYCLINE, PENICILLIN, SELENIUM};
use crate::maker::{Jab, Maker, Moves, Scale, WORD};
use crate::names::BUYERS;
use crate::sheep::{At, rounded};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, Amended, DoseDraft};
use hirsel_core::flock::RecordRef;
use hirsel_core::terms::{Dose, Moment, Sex, Status, Weight};

impl Maker<'_> {
    /// Things of the last weeks that a keeper should notice.
    pub(crate) fn oddities(&mut self, crop: &[At]) -> Result<(), Failed> {
        self.say("The last weeks");
        self.amended_weighing(crop)?;
        self.wrong_ewe()?;
        self.torn_label(crop)?;
        self.sold_early()?;
        self.scab()
    }

    /// The last three days, entry by entry, as they were written in the evenings.
    pub(crate) fn last_days(&mut self) -> Result<(), Failed> {
        self.say("The last three days");
        let crop = self.lambing_tonight()?;
        let flock = self.flock();
        let day = self.today;
        let mut moves = Moves::new();
        let mut scale: Vec<Scale> = Vec::new();
        let mut weak = Vec::new();
        for at in &crop {
            let s = &self.sheep[*at];
            if s.reared_by.is_none() {
                moves.entry((s.born, "Bottle pen".into())).or_default().push(*at);
            }
            if s.age(day) == 2 {
                let when = Moment { day, time: self.dice.time(6, 8) };
                scale.push((*at, when, rounded(self.sheep[*at].birth_kg * self.dice.real(1.03, 1.08))));
            }
            if self.sheep[*at].age(day) == 1 && self.sheep[*at].birth_kg < 4.4 {
                weak.push(*at);
            }
        }
        self.pens(moves, &flock);
        self.weigh(&scale, &flock, None, WORD);
        self.flush("Lambs weighed at two days")?;
        let flock = self.flock();
        let rule = |bottle, animals, on, reason| Jab {
            bottle,
            animals,
            on,
            time: None,
            dose: DoseDraft::ByRule,
            reason,
        };
        self.treat(vec![rule(&SELENIUM, weak, day, "white muscle disease, weak lambs")], &flock);
        self.flush("Vitamin E + selenium for weak lambs")?;
        for (ewe, on) in std::mem::take(&mut self.hard) {
            let jabs = [&PENICILLIN, &MELOXICAM].into_iter().map(|bottle| Jab {
                bottle,
                animals: vec![ewe],
                on,
                time: None,
                dose: DoseDraft::ByRule,
                reason: "hard lambing, hand inside",
            });
            let (jabs, flock) = (jabs.collect(), self.flock());
            self.treat(jabs, &flock);
            self.flush("Treatments after a hard lambing")?;
        }
        Ok(())
    }

    fn amended_weighing(&mut self, crop: &[At]) -> Result<(), Failed> {
        let flock = self.flock();
        let found = crop.iter().rev().find_map(|at| {
            let f = flock.file(self.sheep[*at].id)?;
            f.weighings.iter().find(|w| w.weight.grams() > 6_000).cloned()
        });
        if let Some(mut w) = found
            && let Some(right) = Weight::from_grams(w.weight.grams() - 900)
        {
            w.weight = right;
            let check = entry::amend(
                Amended::Weighing(w),
                "figures swapped when copied from the sheet",
                &flock,
                self.today,
            );
            self.write(check, WORD)?;
        }
        Ok(())
    }

    /// A treatment written on the wrong ewe and struck out.
    fn wrong_ewe(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-5);
        let ewes = self
            .here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 500 && s.clear.is_none_or(|c| c < on));
        let Some(at) = ewes.get(ewes.len() / 2).copied() else { return Ok(()) };
        let kg = self.sheep[at].scale(on, &mut self.dice);
        let dose = Dose::from_ml((kg / 10.0).round());
        let jab = Jab {
            bottle: &OXYTETRACYCLINE,
            animals: vec![at],
            on,
            time: self.dice.time(16, 18),
            dose: DoseDraft::Typed(dose),
            reason: "lame: foul in the foot",
        };
        let clear = self.sheep[at].clear;
        let flock = self.flock();
        self.treat(vec![jab], &flock);
        self.flush("Treatment of a lame ewe")?;
        self.sheep[at].clear = clear;
        let (flock, id) = (self.flock(), self.sheep[at].id);
        let last = flock.file(id).and_then(|f| f.treatments.iter().rfind(|t| t.at.day == on)).map(|t| t.id);
        if let Some(t) = last {
            let why = "written on the wrong ewe, nothing was given to her";
            self.write(entry::strike(id, RecordRef::Treatment(t), why, &flock, self.today), WORD)?;
        }
        Ok(())
    }

    /// A product whose withdrawal nobody can read any more.
    fn torn_label(&mut self, crop: &[At]) -> Result<(), Failed> {
        let on = self.today.plus(-4);
        let mut lambs: Vec<At> = crop.iter().copied().filter(|at| self.sheep[*at].is_here(on)).collect();
        lambs.sort_by_key(|at| {
            (self.sheep[*at].reared_by.is_some(), std::cmp::Reverse(self.sheep[*at].born), *at)
        });
        lambs.truncate(2);
        let jab = Jab {
            bottle: &MULTIVITAMIN,
            animals: lambs,
            on,
            time: None,
            dose: DoseDraft::Typed(Dose::from_ml(1.0)),
            reason: "dull, not thriving",
        };
        let flock = self.flock();
        self.treat(vec![jab], &flock);
        self.flush("Vitamins for lambs that do not thrive")
    }

    /// A hogg treated four weeks ago and sold three days ago, before its clear date.
    fn sold_early(&mut self) -> Result<(), Failed> {
        let (given, sold) = (self.today.plus(-26), self.today.plus(-3));
        let mut hoggs = std::mem::take(&mut self.hoggs);
        hoggs.retain(|at| self.sheep[*at].is_here(sold));
        let Some(first) = hoggs.first().copied() else { return Ok(()) };
        let flock = self.flock();
        let kg = self.sheep[first].scale(given, &mut self.dice);
        self.weigh(&[(first, Moment::day(given), kg)], &flock, None, WORD);
        self.flush("Weighing of a lame hogg")?;
        let flock = self.flock();
        let jab = Jab {
            bottle: &OXYTETRACYCLINE,
            animals: vec![first],
            on: given,
            time: self.dice.time(9, 17),
            dose: DoseDraft::ByRule,
            reason: "lame: foul in the foot",
        };
        self.treat(vec![jab], &flock);
        self.flush("Treatment of a lame hogg")?;
        let flock = self.flock();
        self.leave(&[first], Status::Sold, sold, Some(BUYERS[0]), "ewe hogg for breeding", &flock);
        self.flush("Ewe hogg sold before its clear date")
    }

    /// One ewe drenched with a product that is never for milk.
    fn scab(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-60);
        let ewes = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 500 && s.is_here(self.today));
        let Some(at) = ewes.get(ewes.len() / 3).copied() else { return Ok(()) };
        let flock = self.flock();
        let kg = self.sheep[at].scale(on, &mut self.dice);
        self.weigh(&[(at, Moment::day(on), kg)], &flock, None, WORD);
        self.flush("Weighing of a ewe that rubs")?;
        let flock = self.flock();
        let jab = Jab {
            bottle: &IVERMECTIN,
            animals: vec![at],
            on,
            time: None,
            dose: DoseDraft::ByRule,
            reason: "rubbing and bare on the flank: mites",
        };
        self.treat(vec![jab], &flock);
        self.flush("Treatment of a ewe that rubs")
    }
}
