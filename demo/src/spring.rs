//! Spring: tags, weighings, pens, medicines and losses from lambing to weaning. Days after today fall away.

use crate::cupboard::{
    CALCIUM, CLOSTRIDIAL, EYE_OINTMENT, IODINE, LEVAMISOLE, MELOXICAM, OXYTETRACYCLINE, PENICILLIN, SELENIUM,
    TOLTRAZURIL,
};
use crate::maker::{Jab, Maker, Moves, Scale, WORD};
use crate::names::{EWE_NOTES, LAMB_NOTES};
use crate::sheep::{At, rounded};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, DoseDraft, IdentityDraft, Retag};
use hirsel_core::flock::{Ended, Flock};
use hirsel_core::terms::{Day, Dose, IdentityKind, Moment, Rearing, Sex, Status};
use std::collections::BTreeMap;

impl Maker<'_> {
    /// Everything from lambing to weaning of the lambs in `crop`.
    pub(crate) fn spring(&mut self, season: usize, crop: &[At]) -> Result<(), Failed> {
        let base = self.base(season);
        let year = base.year();
        let flock = self.flock();
        let orphans = self.ewe_losses(crop);
        let lame = self.lame(base, season);
        let thin = self.thin(base, crop);
        let mut jabs = std::mem::take(&mut self.later);
        if !self.is_lean() {
            self.tag_later(crop, &flock);
            self.two_days(crop, season, &flock);
            self.scores_of_spring(crop, &flock);
        }
        let sessions = self.sessions(base, crop, season, &flock);
        let scale = self.scale_of(&lame);
        self.weigh(&scale, &flock, None, WORD);
        let scale = self.scale_of(&thin);
        self.weigh(&scale, &flock, None, WORD);
        if !self.is_lean() {
            self.fields(crop, &orphans, &flock);
        }
        self.flush(&format!("Weighings and pens, spring {year}"))?;
        self.third_week(season, base, crop)?;

        let flock = self.flock();
        jabs.extend(self.lamb_jabs(season, crop, sessions));
        jabs.extend(self.ewe_jabs(base, &lame));
        jabs.extend(thin.first().map(|(_, on)| Jab {
            bottle: &LEVAMISOLE,
            animals: thin.iter().map(|(at, _)| *at).collect(),
            on: *on,
            time: None,
            dose: DoseDraft::ByRule,
            reason: "worms: thin after lambing",
        }));
        jabs.sort_by_key(|j| j.on);
        self.treat(jabs, &flock);
        self.notes(crop, &flock);
        self.losses(&flock);
        self.flush(&format!("Treatments, losses and notes, spring {year}"))?;
        self.orphaned(&orphans)
    }

    /// Lambs at three weeks, and which ram lambs stay entire; the younger ones a fortnight later.
    fn third_week(&mut self, season: usize, base: Day, crop: &[At]) -> Result<(), Failed> {
        if self.is_lean() {
            return Ok(());
        }
        for day in [-15, -1, 13, 27] {
            let on = base.plus(day);
            if on > self.today {
                break;
            }
            let flock = self.flock();
            let lambs = self.three_weeks(on, crop, &flock);
            let fresh: Vec<At> = lambs.into_iter().filter(|at| !self.sheep[*at].is_decided).collect();
            let out = if season == self.last && day < -1 {
                Vec::new()
            } else {
                self.entire_or_not(season, on, &fresh, &flock)
            };
            self.flush(&format!("Lambs at three weeks, {}", on.words()))?;
            let flock = self.flock();
            self.castrated(on.plus(1), &out, &flock);
            self.flush(&format!("Castrated by the vet, {}", on.plus(1).words()))?;
        }
        Ok(())
    }

    /// Lambs whose dam died go on the bottle: an amendment of what was written at their birth.
    fn orphaned(&mut self, orphans: &BTreeMap<At, Day>) -> Result<(), Failed> {
        let flock = self.flock();
        for (n, lamb) in orphans.keys().enumerate() {
            if let Some(a) = flock.animal(self.sheep[*lamb].id) {
                let mut edit = a.clone();
                edit.rearing = Rearing::Bottle;
                // One reason for the line, not one for each lamb.
                let why = (n == 0).then_some("dam died");
                self.push(entry::edit_animal(edit, why, &flock, self.today), WORD);
            }
        }
        self.flush("Orphans on the bottle")
    }

    /// Some ewes die after lambing; gives the lambs they leave to the bottle.
    fn ewe_losses(&mut self, crop: &[At]) -> BTreeMap<At, Day> {
        let mut orphans = BTreeMap::new();
        if crop.len() < 12 {
            return orphans;
        }
        let mut dams: Vec<At> = crop.iter().filter_map(|at| self.sheep[*at].dam).collect();
        dams.dedup();
        for ewe in dams {
            if !self.dice.chance(0.014) || Some(ewe) == self.unlucky {
                continue;
            }
            let lambed = crop.iter().find(|at| self.sheep[**at].dam == Some(ewe));
            let Some(lambed) = lambed.map(|at| self.sheep[*at].born) else { continue };
            let (on, why) = if self.dice.chance(0.5) {
                (
                    lambed.plus(self.dice.between(2, 5)),
                    self.dice.pick(&["prolapse", "womb fever", "found dead"]),
                )
            } else {
                (
                    lambed.plus(self.dice.between(14, 110)),
                    self.dice.pick(&["mastitis", "found dead", "fly strike"]),
                )
            };
            if on > self.today {
                continue;
            }
            self.sheep[ewe].dies = Some((on, why));
            for at in crop {
                let s = &mut self.sheep[*at];
                if s.reared_by == Some(ewe) && s.age(on) < 35 && s.is_here(on) {
                    s.reared_by = None;
                    orphans.insert(*at, on);
                }
            }
        }
        orphans
    }

    /// Lambs that had no tag at first.
    fn tag_later(&mut self, crop: &[At], flock: &Flock) {
        for at in crop {
            let s = &self.sheep[*at];
            let on = s.born.plus(3);
            if !s.tag_later || !s.is_here(on) || on > self.today {
                continue;
            }
            let id = s.id;
            let ends =
                flock.animal(id).and_then(|a| a.worn(IdentityKind::Flock)).map(|i| (i.id, Ended::Replaced));
            let new = Some(IdentityDraft { kind: IdentityKind::Flock, tag: self.tag() });
            self.push(entry::retag(Retag { animal: id, ends, new, on }, flock, self.today), WORD);
        }
    }

    /// A third of the lambs are weighed at two days; the youngest of the last season has lost weight.
    fn two_days(&mut self, crop: &[At], season: usize, flock: &Flock) {
        let mut scale: Vec<Scale> = Vec::new();
        let poor = crop.iter().rev().find(|at| self.sheep[**at].is_here(self.sheep[**at].born.plus(4)));
        let poor = poor.filter(|_| season == self.last).copied();
        for at in crop {
            let s = &self.sheep[*at];
            let (kg, when) = (s.birth_kg, Moment::day(s.born.plus(2)));
            if Some(*at) == poor {
                scale.push((*at, when, rounded(kg * 0.94)));
            } else if self.dice.chance(0.35) {
                scale.push((*at, when, rounded(kg * self.dice.real(1.03, 1.1))));
            }
        }
        self.weigh(&scale, flock, None, WORD);
    }

    /// Jugs to the top shed at two days, to the fields at nine.
    fn fields(&mut self, crop: &[At], orphans: &BTreeMap<At, Day>, flock: &Flock) {
        let mut moves = Moves::new();
        let mut put = |on: Day, pen: &str, at: At| moves.entry((on, pen.to_string())).or_default().push(at);
        let mut moved: BTreeMap<At, (Day, &str)> = BTreeMap::new();
        // Ewes go with their own lambs; a fostered lamb joins its ewe where she is.
        let (own, others): (Vec<At>, Vec<At>) =
            crop.iter().partition(|at| self.sheep[**at].reared_by == self.sheep[**at].dam);
        for at in own.into_iter().chain(others) {
            let s = &self.sheep[at];
            let Some(ewe) = s.reared_by else {
                put(orphans.get(&at).copied().unwrap_or(s.born.plus(1)), "Bottle pen", at);
                continue;
            };
            let field = match (s.litter, ewe % 2) {
                (1, _) => "Long field",
                (_, 0) => "Orchard",
                _ => "Bank field",
            };
            let (lambed, field) = *moved.entry(ewe).or_insert_with(|| {
                put(s.born.plus(2), "Top shed", ewe);
                put(s.born.plus(9), field, ewe);
                (s.born, field)
            });
            put(lambed.plus(2).max(s.born), "Top shed", at);
            put(lambed.plus(9), field, at);
        }
        for (ewe, on) in std::mem::take(&mut self.bereft) {
            put(on.plus(2), "Home field", ewe);
        }
        self.pens(moves, flock);
    }

    /// Ewes that go lame, and when; two of them in the last days.
    fn lame(&mut self, base: Day, season: usize) -> Vec<(At, Day)> {
        let mut all = Vec::new();
        let ewes = self.here(base.plus(-45), |s| s.sex == Sex::Ewe && s.kept && s.age(base) > 500);
        if ewes.is_empty() {
            return all;
        }
        for n in 0..(self.ewes / 16).max(1) {
            let at = self.dice.pick(&ewes);
            let day = match (season == self.last, n) {
                (true, 0) => -9,
                (true, 1) => -2,
                (true, _) => self.dice.between(-130, -12),
                (false, _) => self.dice.between(-130, 140),
            };
            let on = base.plus(day);
            if on <= self.today && self.sheep[at].is_here(on) && !all.iter().any(|(a, _)| *a == at) {
                all.push((at, on));
            }
        }
        all
    }

    /// Ewes that rear twins and are thin when they go out to grass.
    fn thin(&mut self, base: Day, crop: &[At]) -> Vec<(At, Day)> {
        let on = base.plus(-11);
        let mut ewes: Vec<At> = crop
            .iter()
            .filter(|at| self.sheep[**at].litter > 1 && self.sheep[**at].age(on) > 9)
            .filter_map(|at| self.sheep[*at].reared_by)
            .collect();
        ewes.sort_unstable();
        ewes.dedup();
        ewes.retain(|at| self.sheep[*at].is_here(on));
        self.dice.shuffle(&mut ewes);
        ewes.truncate(if self.is_lean() { 0 } else { self.ewes / 12 });
        ewes.sort_unstable();
        ewes.into_iter().map(|at| (at, on)).collect()
    }

    fn lamb_jabs(&mut self, season: usize, crop: &[At], sessions: Vec<(i64, Day, Vec<At>)>) -> Vec<Jab> {
        let lean = self.is_lean();
        let mut jabs = Vec::new();
        let by_rule = |bottle, animals: Vec<At>, on, reason| Jab {
            bottle,
            animals,
            on,
            time: None,
            dose: DoseDraft::ByRule,
            reason,
        };
        for (age, on, list) in sessions {
            match age {
                30 => {
                    if season == self.last || self.dice.chance(0.4) {
                        let scour: Vec<At> = list.iter().copied().filter(|_| self.dice.chance(0.1)).collect();
                        jabs.push(by_rule(&TOLTRAZURIL, scour, on, "coccidiosis: scour, dull"));
                    }
                    jabs.push(by_rule(&CLOSTRIDIAL, list, on, "clostridial diseases, first dose"));
                }
                60 => {
                    jabs.push(by_rule(&CLOSTRIDIAL, list.clone(), on, "clostridial diseases, second dose"));
                    if !lean {
                        jabs.push(by_rule(&LEVAMISOLE, list, on, "worms: egg count of the group"));
                    }
                }
                _ => {}
            }
        }
        if lean {
            return jabs;
        }
        let mut selenium: BTreeMap<Day, Vec<At>> = BTreeMap::new();
        for at in crop {
            let s = &self.sheep[*at];
            let weak = s.birth_kg < 3.4 || s.litter > 2;
            let born = s.born;
            if self.dice.chance(if weak { 0.6 } else { 0.12 }) {
                selenium.entry(born.plus(1)).or_default().push(*at);
            }
        }
        jabs.extend(
            selenium
                .into_iter()
                .map(|(on, list)| by_rule(&SELENIUM, list, on, "white muscle disease, weak lambs")),
        );
        let typed = |bottle, at: At, on, dose: Option<Dose>, reason| Jab {
            bottle,
            animals: vec![at],
            on,
            time: None,
            dose: DoseDraft::Typed(dose),
            reason,
        };
        for _ in 0..(crop.len() / 40).max(1).min(crop.len()) {
            let (a, b) = (self.dice.pick(crop), self.dice.pick(crop));
            let eye = self.sheep[a].born.plus(3);
            jabs.push(typed(&EYE_OINTMENT, a, eye, Some(Dose::Pieces(1)), "eyelid turned in, weeping"));
            let navel = self.sheep[b].born.plus(1);
            jabs.push(typed(&IODINE, b, navel, Dose::from_ml(2.0), "wet navel, dipped again"));
        }
        jabs
    }

    fn ewe_jabs(&mut self, base: Day, lame: &[(At, Day)]) -> Vec<Jab> {
        let mut jabs = Vec::new();
        let one = |bottle, at: At, on, time, reason| Jab {
            bottle,
            animals: vec![at],
            on,
            time,
            dose: DoseDraft::ByRule,
            reason,
        };
        for (at, on) in lame {
            let time = self.dice.time(8, 18).filter(|_| self.today.since(*on) < 20);
            jabs.push(one(&OXYTETRACYCLINE, *at, *on, time, "lame: foul in the foot"));
        }
        for (at, on) in std::mem::take(&mut self.hard) {
            let time = self.dice.time(8, 18);
            for day in 0..if self.is_lean() { 1 } else { 3 } {
                let time = time.filter(|_| day > 0);
                jabs.push(one(&PENICILLIN, at, on.plus(day), time, "hard lambing, hand inside"));
            }
            if self.dice.chance(0.6) {
                jabs.push(one(&MELOXICAM, at, on, None, "pain and swelling after a hard lambing"));
            }
        }
        let ewes = self.here(base.plus(-44), |s| s.sex == Sex::Ewe && s.kept && s.age(base) > 900);
        if !ewes.is_empty() && !self.is_lean() {
            jabs.push(Jab {
                bottle: &CALCIUM,
                animals: vec![self.dice.pick(&ewes)],
                on: base.plus(-43),
                time: None,
                dose: DoseDraft::Typed(Dose::from_ml(60.0)),
                reason: "staggers: low calcium",
            });
        }
        jabs
    }

    fn notes(&mut self, crop: &[At], flock: &Flock) {
        if crop.is_empty() {
            return;
        }
        for _ in 0..(self.ewes / 15).clamp(1, 200) {
            let lamb = self.dice.pick(crop);
            let born = self.sheep[lamb].born;
            let (day, text) = (self.dice.between(0, 2), self.dice.pick(LAMB_NOTES));
            self.note(lamb, born.plus(day), text, flock);
            let other = self.dice.pick(crop);
            let (day, text) = (self.dice.between(1, 12), self.dice.pick(EWE_NOTES));
            if let Some(ewe) = self.sheep[other].dam {
                self.note(ewe, self.sheep[other].born.plus(day), text, flock);
            }
        }
    }

    /// Writes the deaths that were in store, grouped by day and cause.
    pub(crate) fn losses(&mut self, flock: &Flock) {
        let mut by: BTreeMap<(Day, &'static str), Vec<At>> = BTreeMap::new();
        for (at, s) in self.sheep.iter().enumerate() {
            if let (Some((on, why)), None) = (s.dies, s.gone) {
                by.entry((on, why)).or_default().push(at);
            }
        }
        for ((on, why), list) in by {
            self.leave(&list, Status::Dead, on, None, why, flock);
        }
    }
}
