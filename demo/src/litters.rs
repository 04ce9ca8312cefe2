//! How a ewe lambs: how many lambs, how it goes, what becomes of them, who rears them. Shares are those of the
//! reference (husbandry, losses and growth) or common practice; nothing is written here.

use crate::joining::Coming;
use crate::maker::Maker;
use crate::names::COLOURS;
use crate::sheep::{At, rounded};
use hirsel_core::terms::{Day, Dose, Ease, Fate, Minute, Sex};

/// Who rears a lamb to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rears {
    Dam,
    Foster(At),
    Bottle,
}

/// A lamb to come.
#[derive(Debug, Clone)]
pub(crate) struct Young {
    pub(crate) sex: Sex,
    pub(crate) kg: f64,
    pub(crate) frame: f64,
    pub(crate) milk: f64,
    pub(crate) colour: &'static str,
    pub(crate) fate: Fate,
    /// When and of what it dies.
    pub(crate) dies: Option<(Day, &'static str)>,
    pub(crate) sucked: Option<bool>,
    pub(crate) navel: Option<bool>,
    pub(crate) colostrum: Option<Dose>,
    pub(crate) rears: Rears,
    pub(crate) tagged: bool,
}

impl Young {
    pub(crate) fn lives(&self) -> bool {
        self.fate == Fate::Alive
    }
}

/// A lambing to come.
#[derive(Debug, Clone)]
pub(crate) struct Litter {
    pub(crate) coming: Coming,
    pub(crate) time: Option<Minute>,
    pub(crate) ease: Ease,
    pub(crate) help: Option<&'static str>,
    pub(crate) note: Option<&'static str>,
    pub(crate) young: Vec<Young>,
    /// Lambs this ewe rears, fostered ones counted.
    pub(crate) rearing: usize,
}

const EARLY_DEATHS: &[&str] =
    &["starvation and exposure", "watery mouth", "laid on", "weak at birth", "starvation and exposure"];
const LATER_DEATHS: &[&str] = &["pneumonia", "joint ill", "fox", "watery mouth", "fox", "scour"];
const LATE_DEATHS: &[&str] = &["pulpy kidney", "pneumonia", "found dead", "caught in wire", "coccidiosis"];

impl Maker<'_> {
    /// All litters of a season, in order of day.
    pub(crate) fn litters(&mut self, season: usize, coming: Vec<Coming>) -> Vec<Litter> {
        let today = self.today;
        let mut all: Vec<Litter> = Vec::new();
        for c in coming {
            if c.on <= today && self.sheep[c.ewe].is_here(c.on) {
                let litter = self.litter(season, c);
                all.push(litter);
            }
        }
        self.foster(&mut all);
        all
    }

    fn litter(&mut self, season: usize, coming: Coming) -> Litter {
        let (ewe, on) = (self.sheep[coming.ewe].clone(), coming.on);
        let last = season == self.last;
        let bad = Some(coming.ewe) == self.unlucky && season + 1 >= self.last;
        let years = ewe.age(on) / 365;
        let n: usize = match years {
            _ if bad => 2,
            0 | 1 if ewe.age(on) < 550 => self.dice.weighted(&[(1, 76.0), (2, 24.0)]),
            0..=2 => self.dice.weighted(&[(1, 44.0), (2, 51.0), (3, 5.0)]),
            3..=5 => self.dice.weighted(&[(1, 29.0), (2, 56.0), (3, 14.3), (4, 0.7)]),
            _ => self.dice.weighted(&[(1, 36.0), (2, 53.0), (3, 11.0)]),
        };
        let sire = self.sheep[coming.ram].clone();
        let mut young: Vec<Young> = (0..n)
            .map(|_| {
                let frame = self.dice.bell((ewe.frame + sire.frame) / 2.0, 0.04);
                let male = self.dice.chance(0.5);
                let entire = self.dice.chance(0.3);
                // Rings go on from three days and before seven (reference: husbandry, ring rules).
                let ringed = !entire && self.today.since(on) > 7;
                let sex = match (male, ringed) {
                    (false, _) => Sex::Ewe,
                    (true, true) => Sex::Wether,
                    (true, false) => Sex::Ram,
                };
                let by_litter = [4.9, 4.1, 3.4, 2.8][n - 1];
                let by_age = if ewe.age(on) < 550 { -0.5 } else { 0.0 };
                let by_kind = if male { 0.25 } else { 0.0 };
                let by_blood = (frame - 1.0) * 3.0 + (ewe.milk - 1.0);
                let kg = self.dice.bell(by_litter + by_age + by_kind + by_blood, 0.35).clamp(1.6, 7.2);
                let colour = match self.dice.below(5) {
                    0 => self.dice.weighted(COLOURS),
                    1 | 2 => sire.colour,
                    _ => ewe.colour,
                };
                Young {
                    sex,
                    kg: rounded(kg),
                    frame,
                    milk: self.dice.bell((ewe.milk + sire.milk) / 2.0, 0.06),
                    colour,
                    fate: Fate::Alive,
                    dies: None,
                    sucked: None,
                    navel: None,
                    colostrum: None,
                    rears: Rears::Dam,
                    tagged: true,
                }
            })
            .collect();
        // Now and then a litter goes untagged for some days.
        let untagged = !self.is_lean() && self.dice.chance(0.03);
        let (ease, help) = self.ease(&young, ewe.age(on) < 550, bad.then_some(season));
        for (i, y) in young.iter_mut().enumerate() {
            self.fate(y, on, n, ease);
            if bad && i == 1 {
                y.fate = Fate::BornDead;
                y.dies = None;
                (y.sucked, y.navel, y.colostrum) = (None, None, None);
            }
            let fresh = last && self.today.since(on) < 2;
            y.tagged = y.lives() && !untagged && !(fresh && (i % 2 == 0 || self.dice.chance(0.3)));
        }
        let rearing = young.iter().filter(|y| y.lives()).count();
        let time = if on == self.today { self.dice.time(0, 6) } else { self.dice.time(0, 24) };
        let note = match (self.dice.below(14), rearing) {
            (0, _) => Some("Cleansed late"),
            (1, 2..) => Some("Took to both at once"),
            (2, 1..) => Some("Little milk the first day"),
            (_, 0) => Some("In good milk, could take a lamb"),
            _ => None,
        };
        Litter { coming, time, ease, help, note, young, rearing }
    }

    fn ease(&mut self, young: &[Young], first: bool, bad: Option<usize>) -> (Ease, Option<&'static str>) {
        match bad {
            Some(season) if season == self.last => {
                return (Ease::Vet, Some("vet called: breech, ewe torn"));
            }
            Some(_) => return (Ease::Hard, Some("two lambs tangled, head back")),
            None => {}
        }
        let big = young.iter().any(|y| y.kg > 5.4);
        let hard = 0.05 + if big { 0.12 } else { 0.0 } + if first { 0.06 } else { 0.0 };
        if self.dice.chance(hard) {
            match self.dice.below(20) {
                0 => (Ease::Surgery, Some("caesarean: ring womb")),
                1 | 2 => (Ease::Vet, Some("vet called: lamb across")),
                _ => {
                    let how: &[&str] = if big {
                        &["big lamb, pulled", "big single, leg back", "head swollen, pulled"]
                    } else {
                        &["leg back", "head back, turned", "two at once, sorted", "backwards, pulled quickly"]
                    };
                    (Ease::Hard, Some(self.dice.pick(how)))
                }
            }
        } else if self.dice.chance(0.14) {
            (
                Ease::Slight,
                Some(self.dice.pick(&[
                    "one leg brought forward",
                    "a light pull",
                    "wiped and set to the ewe",
                ])),
            )
        } else {
            (Ease::Unassisted, None)
        }
    }

    fn fate(&mut self, y: &mut Young, on: Day, litter: usize, ease: Ease) {
        let small = (3.0 - y.kg).max(0.0);
        let dead = 0.025 + if ease >= Ease::Hard { 0.12 } else { 0.0 } + if litter > 2 { 0.03 } else { 0.0 };
        if self.dice.chance(dead) {
            y.fate = Fate::BornDead;
            return;
        }
        if self.dice.chance(0.03 + 0.06 * small) {
            let day = on.plus(self.dice.between(0, 2));
            if day <= self.today {
                y.fate = Fate::Died;
                y.dies = Some((day, self.dice.pick(EARLY_DEATHS)));
            }
        } else if self.dice.chance(0.05) {
            let (day, why) = if self.dice.chance(0.65) {
                (on.plus(self.dice.between(3, 20)), self.dice.pick(LATER_DEATHS))
            } else {
                (on.plus(self.dice.between(21, 95)), self.dice.pick(LATE_DEATHS))
            };
            y.dies = (day <= self.today).then_some((day, why));
        }
        y.sucked = Some(self.dice.chance(if small > 0.3 { 0.6 } else { 0.95 }));
        y.navel = Some(self.dice.chance(0.97));
        // 50 ml for each kg as the first feed (reference: husbandry, colostrum).
        if y.sucked == Some(false) || small > 0.6 {
            y.colostrum = Dose::from_ml((y.kg * 5.0).round() * 10.0);
        }
    }

    /// Lambs too many for their dam go to a ewe that lambed within two days and has lost hers, or else one of
    /// hers to rear; if there is none, half of them go on the bottle.
    fn foster(&mut self, all: &mut [Litter]) {
        for i in 0..all.len() {
            let first = self.sheep[all[i].coming.ewe].age(all[i].coming.on) < 550;
            let most = if first { 1 } else { 2 };
            while all[i].rearing > most {
                let on = all[i].coming.on;
                // They are in order of day.
                let from = all.partition_point(|l| on.since(l.coming.on) > 2);
                let to = all.partition_point(|l| l.coming.on <= on);
                let given = (from..to)
                    .filter(|j| *j != i)
                    .filter(|j| {
                        let l = &all[*j];
                        let young = self.sheep[l.coming.ewe].age(on) < 550;
                        l.rearing == 0 || (l.rearing == 1 && !young && most == 2)
                    })
                    .min_by_key(|j| (all[*j].rearing, *j));
                let lamb = all[i].young.iter().rposition(|y| y.lives() && y.rears == Rears::Dam);
                let Some(lamb) = lamb else { break };
                match given {
                    Some(j) => {
                        all[i].young[lamb].rears = Rears::Foster(all[j].coming.ewe);
                        all[j].rearing += 1;
                    }
                    None if self.dice.chance(if most == 2 { 0.55 } else { 0.25 }) => {
                        all[i].young[lamb].rears = Rears::Bottle;
                    }
                    None => break,
                }
                all[i].rearing -= 1;
            }
        }
    }
}
