//! Weights of the whole flock carried to a fixed age, adjusted by factors, and compared within contemporary groups.

mod birth;
pub(super) mod crop;
mod groups;
mod own;
mod solve;

use crate::phrase;
pub use birth::BirthUsed;
pub use groups::Group;
pub use own::{Factor, NotUsed, OwnClass, OwnFactors};
pub use solve::{Estimate, Record, Solved, least_squares};

use super::corrected;
use super::rules::{AgeRule, Effect, GroupRule, GrowthRules};
use crate::flock::{AnimalFile, Flock, Weighing};
use crate::terms::{AnimalId, Day, Weight};
use birth::BirthMeans;
use crop::Crops;
use groups::{Placed, grouped};
use rapidhash::RapidHashMap;

/// Which factors weights carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Using {
    /// None.
    #[default]
    None,
    /// Those of the table.
    Table,
    /// The flock's own, each where enough weights of its class are there; else none.
    Own,
}

/// The factor of one effect that a weight carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Carried {
    /// None was asked for.
    None,
    /// The table's.
    Table(f64),
    /// The flock's own.
    Own(f64),
    /// The flock's own was asked for and is not used: nothing is carried.
    NotUsed(NotUsed),
    /// The lamb's class is not known, or not in the table: nothing is carried.
    NotKnown,
}

impl Carried {
    /// What the weight is multiplied by.
    pub fn factor(self) -> f64 {
        match self {
            Self::Table(f) | Self::Own(f) => f,
            Self::None | Self::NotUsed(_) | Self::NotKnown => 1.0,
        }
    }
}

/// An animal at the fixed age.
#[derive(Debug, Clone, PartialEq)]
pub struct AtAge {
    /// The animal.
    pub animal: AnimalId,
    /// Weighed on.
    pub on: Day,
    /// What the scale said.
    pub weighed: Weight,
    /// Its age then, days.
    pub at_age: i64,
    /// Its weight at birth, or what stands for it.
    pub birth: BirthUsed,
    /// Carried to the age on a straight line, without factors.
    pub straight: Weight,
    /// Weighed where the straight line holds.
    pub holds: bool,
    /// Places of its classes in the order of [`Effect::ALL`]; none where one is not known.
    pub classes: [Option<usize>; 3],
    /// Factors it carries in the same order.
    pub carried: [Carried; 3],
    /// Carried to the age and multiplied by the factors.
    pub adjusted: Weight,
    /// Place of its group among [`FixedAge::groups`].
    pub group: usize,
    /// Percent of its group's mean; none in a group that is too small.
    pub ratio: Option<f64>,
}

impl AtAge {
    /// Gain from birth to the fixed age, grams a day, of the adjusted weight.
    pub fn gain(&self, age_days: u16) -> f64 {
        (self.adjusted.grams() - self.birth.weight().grams()) as f64 / f64::from(age_days.max(1))
    }

    /// All its factors multiplied.
    pub fn factor(&self) -> f64 {
        self.carried.iter().map(|c| c.factor()).product()
    }

    /// Which factors the weight carries: `no factors`, `table: sex 0.91, birth and rearing 1.10`.
    pub fn factor_words(&self) -> String {
        let (mut table, mut own, mut none) = (Vec::new(), Vec::new(), Vec::new());
        for (effect, c) in Effect::ALL.into_iter().zip(self.carried) {
            let what = effect.words();
            match c {
                Carried::None => {}
                Carried::Table(f) => table.push(phrase!("{what} {f:.2}")),
                Carried::Own(f) => own.push(phrase!("{what} {f:.2}")),
                Carried::NotUsed(why) => none.push(phrase!("{what} ({})", why.words())),
                Carried::NotKnown => none.push(phrase!("{what} (not known)")),
            }
        }
        let part =
            |name: &str, all: Vec<String>| (!all.is_empty()).then(|| format!("{name}: {}", all.join(", ")));
        let parts: Vec<String> = [part("table", table), part("flock's own", own), part("none for", none)]
            .into_iter()
            .flatten()
            .collect();
        if parts.is_empty() { phrase!("no factors") } else { parts.join("; ") }
    }
}

/// Why weighed animals have no figure at the age.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LeftOut {
    /// The day of birth is not known.
    pub no_birthday: usize,
    /// No weighing at a fit age.
    pub no_fit_weighing: usize,
    /// No birth weight, and too few of the kind to take their mean.
    pub no_birth_weight: usize,
}

impl LeftOut {
    /// A sentence; empty where nobody is left out.
    pub fn words(self) -> String {
        let mut parts = Vec::new();
        let mut say = |n: usize, what: &'static str| {
            if n > 0 {
                parts.push(phrase!("{n} {what}"));
            }
        };
        say(self.no_fit_weighing, "not weighed near this age");
        say(self.no_birth_weight, "without a birth weight, and too few of their kind to take the mean");
        say(self.no_birthday, "whose day of birth is not known");
        if parts.is_empty() { String::new() } else { phrase!("Left out: {}.", parts.join("; ")) }
    }
}

/// The whole flock at a fixed age.
#[derive(Debug, Clone, PartialEq)]
pub struct FixedAge {
    /// The age.
    pub age: AgeRule,
    /// Which factors were asked for.
    pub using: Using,
    /// Every animal with a figure, in no promised order.
    pub rows: Vec<AtAge>,
    /// The groups.
    pub groups: Vec<Group>,
    /// The flock's own factors at this age, whether they are used or not.
    pub own: OwnFactors,
    /// Who has no figure.
    pub left_out: LeftOut,
    places: RapidHashMap<AnimalId, usize>,
}

impl FixedAge {
    /// Weights of all animals up to a day carried to an age. Work over the whole flock.
    pub fn of(flock: &Flock, rules: &GrowthRules, age: &AgeRule, using: Using, on: Day) -> Self {
        let crops = Crops::of(flock);
        let births = BirthMeans::of(flock, rules.birth_weights);
        let mut left_out = LeftOut::default();
        let mut rows: Vec<AtAge> = Vec::new();
        let mut placed: Vec<Placed<'_>> = Vec::new();
        for f in flock.files() {
            let Some(found) = carried(f, &births, age, on, &mut left_out) else { continue };
            let (born, at_age, weighing, birth, straight) = found;
            rows.push(AtAge {
                animal: f.animal.id,
                on: weighing.at.day,
                weighed: weighing.weight,
                at_age,
                birth,
                straight,
                holds: age.holds(at_age),
                classes: crop::classes(flock, &crops, rules, f, weighing.at.day),
                carried: [Carried::None; 3],
                adjusted: straight,
                group: 0,
                ratio: None,
            });
            placed.push(Placed { file: f, born, weighing });
        }
        // Sexes are told apart by the model there, so that their groups may be one.
        let together = GroupRule { by_sex: false, ..rules.groups.clone() };
        let (of, _) = grouped(flock, &together, age.days, &placed);
        let records: Vec<Record> = (rows.iter().zip(&of).filter(|(r, _)| r.holds))
            .filter_map(|(r, group)| {
                let classes = [r.classes[0]?, r.classes[1]?, r.classes[2]?];
                Some(Record { value: r.straight.grams() as f64, classes, group: *group })
            })
            .collect();
        let own = OwnFactors::of(rules, &records, rows.len() - records.len());
        let (of, mut groups) = grouped(flock, &rules.groups, age.days, &placed);
        for (row, group) in rows.iter_mut().zip(of) {
            row.group = group;
            carry(row, rules, &own, using);
            let g = &mut groups[group];
            g.n += 1;
            g.mean += row.adjusted.grams() as f64;
            g.least = Some(g.least.map_or(row.adjusted, |w| w.min(row.adjusted)));
            g.most = Some(g.most.map_or(row.adjusted, |w| w.max(row.adjusted)));
        }
        for g in &mut groups {
            g.mean /= g.n.max(1) as f64;
        }
        for row in &mut rows {
            let g = &groups[row.group];
            let enough = g.n >= rules.groups.least.max(2) && g.mean > 0.0;
            row.ratio = enough.then(|| row.adjusted.grams() as f64 / g.mean * 100.0);
        }
        let places = rows.iter().enumerate().map(|(i, r)| (r.animal, i)).collect();
        Self { age: age.clone(), using, rows, groups, own, left_out, places }
    }

    /// An animal's row.
    pub fn get(&self, animal: AnimalId) -> Option<&AtAge> {
        self.places.get(&animal).and_then(|i| self.rows.get(*i))
    }

    /// The group of a row.
    pub fn group(&self, row: &AtAge) -> Option<&Group> {
        self.groups.get(row.group)
    }
}

type Found<'a> = (Day, i64, &'a Weighing, BirthUsed, Weight);

/// The weighing nearest to the age, carried there.
fn carried<'a>(
    f: &'a AnimalFile,
    births: &BirthMeans<'a>,
    age: &AgeRule,
    on: Day,
    left_out: &mut LeftOut,
) -> Option<Found<'a>> {
    let mut standing = f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= on).peekable();
    standing.peek()?;
    let Some(born) = f.animal.born.exact() else {
        // A grown animal of which nobody knows the birthday is not missing here.
        left_out.no_birthday += usize::from(f.animal.dam.is_some() || f.birth.is_some());
        return None;
    };
    let aged = standing.map(|w| (w.at.day.since(born), w));
    let fit = aged.filter(|(a, _)| (age.least..=age.most).contains(a));
    let Some((at_age, weighing)) = fit.min_by_key(|(a, _)| (a - i64::from(age.days)).abs()) else {
        let lamb_then = f.birth.is_some() && on.since(born) >= age.least;
        left_out.no_fit_weighing += usize::from(lamb_then);
        return None;
    };
    let Some(birth) = births.used(f) else {
        left_out.no_birth_weight += 1;
        return None;
    };
    let straight = corrected(birth.weight(), weighing.weight, at_age, i64::from(age.days))?;
    Some((born, at_age, weighing, birth, straight))
}

/// Multiplies a row's weight by the factors that are asked for.
fn carry(row: &mut AtAge, rules: &GrowthRules, own: &OwnFactors, using: Using) {
    for effect in Effect::ALL {
        let class = row.classes[effect.place()];
        row.carried[effect.place()] = match (using, class) {
            (Using::None, _) => Carried::None,
            (_, None) => Carried::NotKnown,
            (Using::Table, Some(i)) => {
                rules.classes(effect).get(i).map_or(Carried::NotKnown, |c| Carried::Table(c.factor))
            }
            (Using::Own, Some(i)) => own.used(effect, i).map_or_else(Carried::NotUsed, Carried::Own),
        };
    }
    let grams = (row.straight.grams() as f64 * row.factor()).round() as i64;
    row.adjusted = Weight::from_grams(grams).unwrap_or(row.straight);
}

#[cfg(test)]
mod tests;
