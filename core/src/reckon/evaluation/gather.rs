//! Records of a flock for one trait.

use super::{FixedBy, Trait};
use crate::flock::{AnimalFile, Flock, Lambing, Weighing};
use crate::phrase;
use crate::reckon::figures::lambing_row;
use crate::reckon::growth::fixed::{FixedAge, Using};
use crate::reckon::growth::rules::GrowthRules;
use crate::terms::{AnimalId, Day, LambingId};
use std::collections::BTreeMap;

/// One record with what it depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Whose it is.
    pub animal: AnimalId,
    /// Kilograms, or lambs.
    pub value: f64,
    /// The day it was taken.
    pub on: Day,
    /// The ewe whose mothering is in it: the one that reared the lamb; for a weight at birth the one that bore it.
    pub ewe: Option<AnimalId>,
    /// The litter it was born in.
    pub litter: Option<LambingId>,
    /// Its level of each fixed effect that was asked for, in words.
    pub levels: Vec<String>,
}

/// Records that can be used, and what was left out and why.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Gathered {
    /// The records, oldest animals first.
    pub records: Vec<Record>,
    /// Why records were left out, in words, with how many.
    pub left_out: BTreeMap<&'static str, usize>,
}

/// A level of which nothing is known.
const UNKNOWN: &str = "not known";

/// The records of a trait up to a day.
pub fn records(flock: &Flock, of: Trait, fixed: &[FixedBy], on: Day) -> Gathered {
    let mut files: Vec<&AnimalFile> = flock.files().collect();
    // The same flock gives the same order, whatever order its files lie in.
    files.sort_unstable_by_key(|f| (f.animal.born.day(), f.animal.id));
    let mut all = Gathered::default();
    match of {
        Trait::Weight(days) => {
            let later = u16::try_from(days).ok().filter(|d| *d > 0);
            let weights = later.map(|d| Weights::of(flock, d, fixed, on));
            for f in files {
                let found = match &weights {
                    Some(w) => w.get(f, on),
                    None => birth(f, on),
                };
                match found {
                    Some(Ok((value, day, group))) => {
                        let asked = Asked { flock, of, file: f, on: day, lambing: None, group };
                        all.records.push(asked.record(value, fixed));
                    }
                    Some(Err(why)) => *all.left_out.entry(why).or_default() += 1,
                    None => {}
                }
            }
        }
        Trait::Born | Trait::Reared => {
            for f in files {
                for (n, l) in f.lambings_standing().filter(|l| l.at.day <= on).enumerate() {
                    let row = lambing_row(flock, l, on);
                    let value = if of == Trait::Born { row.born } else { row.reared };
                    let why = match () {
                        () if row.born == 0 => Some("lambings without lambs"),
                        () if of == Trait::Reared && row.growing > 0 => {
                            Some("lambings whose lambs are not old enough yet")
                        }
                        () => None,
                    };
                    if let Some(why) = why {
                        *all.left_out.entry(why).or_default() += 1;
                        continue;
                    }
                    let asked =
                        Asked { flock, of, file: f, on: l.at.day, lambing: Some((n + 1, l)), group: None };
                    all.records.push(asked.record(f64::from(value), fixed));
                }
            }
        }
    }
    all
}

/// Kilograms, the day they stand on, and the group it was grown in, where that is known.
type Found<'a> = (f64, Day, Option<&'a str>);

/// Weights of the whole flock at an age with the groups they were grown in, as the page "At a fixed age" has them.
struct Weights {
    at: FixedAge,
    /// Names of the groups, no two alike.
    groups: Vec<String>,
}

impl Weights {
    fn of(flock: &Flock, days: u16, fixed: &[FixedBy], on: Day) -> Self {
        let mut rules = GrowthRules::of(flock);
        // Where the model itself tells the sexes apart their groups may be one, and so larger.
        rules.groups.by_sex &= !fixed.contains(&FixedBy::Sex);
        let age = rules.age(days).cloned().unwrap_or_else(|| GrowthRules::own_age(days));
        let at = FixedAge::of(flock, &rules, &age, Using::None, on);
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        let groups = at.groups.iter().map(|g| {
            let n = seen.entry(g.name.as_str()).or_default();
            *n += 1;
            if *n == 1 { g.name.clone() } else { format!("{} ({n})", g.name) }
        });
        let groups = groups.collect();
        Self { at, groups }
    }

    /// An animal's weight at the age in kilograms with the day it stands on and its group; none where it has no weight
    /// at all, or why it cannot be used. No factors: the fixed effects are told by the model itself.
    fn get(&self, f: &AnimalFile, on: Day) -> Option<Result<Found<'_>, &'static str>> {
        if !f.weighings.iter().any(|w| w.struck.is_none() && w.at.day <= on) {
            return None;
        }
        let Some(born) = f.animal.born.exact() else {
            return Some(Err("weights of animals whose day of birth is not known"));
        };
        let weighed = || f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= on);
        let aged = |w: &Weighing| w.at.day.since(born);
        let Some(row) = self.at.get(f.animal.id) else {
            // Weighed on the very day it needs no weight at birth to carry it.
            let age = &self.at.age;
            if let Some(w) = weighed().find(|w| aged(w) == i64::from(age.days)) {
                return Some(Ok((w.weight.kg(), w.at.day, None)));
            }
            let near = weighed().any(|w| (age.from..=age.to).contains(&aged(w)));
            return Some(Err(if near {
                "weights with no weight at birth to carry them from"
            } else {
                "animals not weighed near to that age"
            }));
        };
        if !row.holds {
            return Some(Err("animals not weighed near to that age"));
        }
        Some(Ok((row.straight.kg(), row.on, self.groups.get(row.group).map(String::as_str))))
    }
}

/// An animal's weight at birth with the day it is compared by.
fn birth(f: &AnimalFile, on: Day) -> Option<Result<Found<'static>, &'static str>> {
    let w = f.animal.birth_weight?;
    // The weight needs no more than the year, but the day tells what it is compared with.
    let day = f.animal.born.day().filter(|d| *d <= on);
    Some(day.map(|d| (w.kg(), d, None)).ok_or("weights of animals whose birth is not known"))
}

/// A record while its levels are looked up.
struct Asked<'a> {
    flock: &'a Flock,
    of: Trait,
    file: &'a AnimalFile,
    on: Day,
    /// For traits of ewes: which lambing, and it.
    lambing: Option<(usize, &'a Lambing)>,
    /// For weights after birth: the group it was grown in.
    group: Option<&'a str>,
}

impl Asked<'_> {
    fn record(&self, value: f64, fixed: &[FixedBy]) -> Record {
        let a = &self.file.animal;
        let ewe = match self.of {
            Trait::Weight(0) => a.dam,
            Trait::Weight(_) => self.flock.reared_by(a),
            // A ewe as a lamb: her own dam's mothering.
            Trait::Born | Trait::Reared => a.dam,
        };
        let levels = fixed.iter().map(|f| self.level(*f, ewe)).collect();
        let litter = self.file.birth.as_ref().map(|b| b.lambing);
        Record { animal: a.id, value, on: self.on, ewe, litter, levels }
    }

    /// The level of a fixed effect. `ewe` is the one that rears.
    fn level(&self, by: FixedBy, ewe: Option<AnimalId>) -> String {
        let a = &self.file.animal;
        let level = match by {
            FixedBy::Sex => Some(a.sex.words().to_string()),
            FixedBy::BirthType => a.birth_type.map(|b| match a.rear_type {
                Some(r) if self.of != Trait::Weight(0) => {
                    phrase!("born {}, reared {}", b.words(), r.words())
                }
                _ => phrase!("born {}", b.words()),
            }),
            FixedBy::EweAge => self.ewe_age(ewe),
            FixedBy::Group => {
                Some(self.group.map_or_else(|| group(self.of, self.file, self.on), str::to_string))
            }
            FixedBy::Year => match self.lambing {
                Some(_) => Some(self.on.year().to_string()),
                None => a.born.year().map(|y| y.to_string()),
            },
            FixedBy::Parity => self.parity(),
        };
        level.unwrap_or_else(|| UNKNOWN.to_string())
    }

    /// The age of the ewe when the lambs were born, in classes.
    fn ewe_age(&self, rearing: Option<AnimalId>) -> Option<String> {
        let (born, when) = match self.lambing {
            Some((_, l)) => (self.file.animal.born.day()?, l.at.day),
            None => (self.flock.animal(rearing?)?.born.day()?, self.file.animal.born.day()?),
        };
        // Ewes lamb at about the time of year they were born.
        let years = (when.since(born) as f64 / 365.25).round() as i64;
        Some(match years {
            ..=0 if when < born => return None,
            ..=1 => "1 year".into(),
            2..=3 => phrase!("{years} years"),
            4..=6 => "4 to 6 years".into(),
            _ => "7 years and more".into(),
        })
    }

    fn parity(&self) -> Option<String> {
        let n = match self.lambing {
            Some((n, _)) => n,
            None => {
                let dam = self.flock.file(self.file.animal.dam?)?;
                let born = self.file.animal.born.day()?;
                dam.lambings_standing().filter(|l| l.at.day <= born).count()
            }
        };
        Some(match n {
            0 => return None,
            1..=5 => n.to_string(),
            _ => "6 and more".into(),
        })
    }
}

/// Who was kept alike where the page of weights has no group, at birth above all: by hand where the keeper put the animal
/// into one, else the year of birth and the pen it was in that day; for lambings the half year.
fn group(of: Trait, file: &AnimalFile, on: Day) -> String {
    let Trait::Weight(days) = of else {
        return format!("{}, {}", on.year(), if on.month() <= 6 { "spring" } else { "autumn" });
    };
    if let Some(g) = file.groups.iter().rfind(|g| i64::from(g.age_days) == days) {
        return g.group.clone();
    }
    let moves = file.pen_moves.iter().filter(|m| m.struck.is_none() && m.on <= on);
    let pen = moves.max_by_key(|m| m.on).and_then(|m| m.pen.as_deref());
    let year = file.animal.born.year().unwrap_or_else(|| on.year());
    pen.map_or_else(|| year.to_string(), |p| format!("{year}, {p}"))
}
