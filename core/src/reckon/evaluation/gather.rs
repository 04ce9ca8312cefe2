//! Records of a flock for one trait.

use super::{FixedBy, Trait};
use crate::flock::{AnimalFile, Flock, Lambing};
use crate::reckon::{figures::lambing_row, growth};
use crate::terms::{AnimalId, Day, LambingId, Sex, Weight};
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
            let births = Births::of(&files);
            for f in files {
                match weight(f, days, on, &births) {
                    Some(Ok((value, day))) => {
                        let asked = Asked { flock, of, file: f, on: day, lambing: None };
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
                    let asked = Asked { flock, of, file: f, on: l.at.day, lambing: Some((n + 1, l)) };
                    all.records.push(asked.record(f64::from(value), fixed));
                }
            }
        }
    }
    all
}

/// Days about an age in which the straight line from birth holds: 7 up to 75 days, 28 beyond (30 ± 7, 60 ± 7, 90 ± 28;
/// Boggess et al. 1991, J Anim Sci 69:3190).
fn window(days: i64) -> i64 {
    if days <= 75 { 7 } else { 28 }
}

/// An animal's weight at an age in kilograms with the day it stands on; none where it has no weight at all, or why it
/// cannot be used.
fn weight(f: &AnimalFile, days: i64, on: Day, births: &Births) -> Option<Result<(f64, Day), &'static str>> {
    let born = f.animal.born.exact();
    if days == 0 {
        let w = f.animal.birth_weight?;
        // The weight needs no more than the year, but the day tells what it is compared with.
        let day = f.animal.born.day().filter(|d| *d <= on);
        return Some(day.map(|d| (w.kg(), d)).ok_or("weights of animals whose birth is not known"));
    }
    let weighings = || f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= on);
    weighings().next()?;
    let Some(born) = born else { return Some(Err("weights of animals whose day of birth is not known")) };
    let near = weighings()
        .map(|w| (w.at.day.since(born), w))
        .filter(|(age, _)| *age > 0 && (age - days).abs() <= window(days))
        .min_by_key(|(age, w)| ((age - days).abs(), w.at.day));
    let Some((age, w)) = near else { return Some(Err("animals not weighed near to that age")) };
    if age == days {
        return Some(Ok((w.weight.kg(), w.at.day)));
    }
    let carried = f
        .animal
        .birth_weight
        .or_else(|| births.mean(f))
        .and_then(|b| growth::corrected(b, w.weight, age, days));
    Some(carried.map(|c| (c.kg(), w.at.day)).ok_or("weights with no weight at birth to carry them from"))
}

/// Mean birth weights, for lambs whose own was not taken: by sex and number born nearly as good (Boggess et al. 1991).
#[derive(Default)]
struct Births {
    by: BTreeMap<(Sex, u8), (f64, f64)>,
    all: (f64, f64),
}

impl Births {
    fn of(files: &[&AnimalFile]) -> Self {
        let mut means = Self::default();
        for a in files.iter().map(|f| &f.animal) {
            let Some(w) = a.birth_weight else { continue };
            let by = means.by.entry((a.sex, a.birth_type.map_or(0, |b| b.count()))).or_default();
            for sum in [by, &mut means.all] {
                sum.0 += w.kg();
                sum.1 += 1.0;
            }
        }
        means
    }

    fn mean(&self, f: &AnimalFile) -> Option<Weight> {
        let key = (f.animal.sex, f.animal.birth_type.map_or(0, |b| b.count()));
        let (sum, n) = self.by.get(&key).copied().unwrap_or(self.all);
        if n > 0.0 { Weight::from_grams((1000.0 * sum / n).round() as i64) } else { None }
    }
}

/// A record while its levels are looked up.
struct Asked<'a> {
    flock: &'a Flock,
    of: Trait,
    file: &'a AnimalFile,
    on: Day,
    /// For traits of ewes: which lambing, and it.
    lambing: Option<(usize, &'a Lambing)>,
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
                    format!("born {}, reared {}", b.words(), r.words())
                }
                _ => format!("born {}", b.words()),
            }),
            FixedBy::EweAge => self.ewe_age(ewe),
            FixedBy::Group => Some(group(self.flock, self.of, self.file, self.on)),
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
            2..=3 => format!("{years} years"),
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

/// The contemporary group of a record: animals that were kept alike. By hand where the keeper put the animal into one;
/// else the year of birth and the pen it was in on the day of the weighing; for lambings the half year.
pub fn group(_flock: &Flock, of: Trait, file: &AnimalFile, on: Day) -> String {
    match of {
        Trait::Weight(days) => {
            let by_hand = file.groups.iter().rfind(|g| i64::from(g.age_days) == days);
            if let Some(g) = by_hand {
                return g.group.clone();
            }
            let year = file.animal.born.year().unwrap_or_else(|| on.year());
            let pen = file
                .pen_moves
                .iter()
                .filter(|m| m.struck.is_none() && m.on <= on)
                .max_by_key(|m| m.on)
                .and_then(|m| m.pen.as_deref());
            pen.map_or_else(|| year.to_string(), |p| format!("{year}, {p}"))
        }
        Trait::Born | Trait::Reared => {
            format!("{}, {}", on.year(), if on.month() <= 6 { "spring" } else { "autumn" })
        }
    }
}
