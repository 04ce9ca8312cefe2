//! A sheep of the making: what it is by nature, so that weights and families hang together.

use crate::dice::Dice;
use hirsel_core::terms::{AnimalId, Day, Sex};

/// Which sheep of the making, by its place.
pub(crate) type At = usize;

/// A sheep as the maker knows it.
#[derive(Debug, Clone)]
pub(crate) struct Sheep {
    pub(crate) id: AnimalId,
    pub(crate) sex: Sex,
    pub(crate) born: Day,
    pub(crate) dam: Option<At>,
    pub(crate) sire: Option<At>,
    /// The sire is not in doubt for the keeper.
    pub(crate) sire_known: bool,
    /// Weight at birth, kg.
    pub(crate) birth_kg: f64,
    /// Size by nature, 1 for the breed.
    pub(crate) frame: f64,
    /// Milk as a ewe, 1 for the breed.
    pub(crate) milk: f64,
    /// Gain in the first weeks, kg a day.
    pub(crate) rate: f64,
    /// Condition along the loin; as weights by nature are meant at 3.
    pub(crate) condition: f64,
    /// It was said whether he stays entire.
    pub(crate) is_decided: bool,
    /// Ill from this age on for so many days, hardly growing.
    pub(crate) check: Option<(i64, i64)>,
    /// In the flock since.
    pub(crate) here: Option<Day>,
    /// Left or died.
    pub(crate) gone: Option<Day>,
    /// Will die, when and of what.
    pub(crate) dies: Option<(Day, &'static str)>,
    /// Under withdrawal until the day before this one; far ahead when it cannot be told.
    pub(crate) clear: Option<Day>,
    /// Bred from.
    pub(crate) kept: bool,
    /// Season of birth in this flock, none for founders and bought sheep.
    pub(crate) season: Option<usize>,
    /// Lambings so far.
    pub(crate) litters: u32,
    /// Bad lambings and other trouble so far.
    pub(crate) trouble: u32,
    /// Born together with so many others, itself counted.
    pub(crate) litter: usize,
    pub(crate) colour: &'static str,
    /// The ewe that rears it; none for the bottle.
    pub(crate) reared_by: Option<At>,
    pub(crate) has_electronic: bool,
    /// Tagged some days after birth.
    pub(crate) tag_later: bool,
}

impl Sheep {
    pub(crate) fn new(id: AnimalId, sex: Sex, born: Day, dice: &mut Dice) -> Self {
        Self {
            id,
            sex,
            born,
            dam: None,
            sire: None,
            sire_known: true,
            birth_kg: dice.bell(4.3, 0.4),
            frame: dice.bell(1.0, 0.06),
            milk: dice.bell(1.0, 0.08),
            rate: dice.bell(0.255, 0.02),
            condition: 3.0,
            is_decided: false,
            check: None,
            here: None,
            gone: None,
            dies: None,
            clear: None,
            kept: true,
            season: None,
            litters: 0,
            trouble: 0,
            litter: 2,
            colour: "grey",
            reared_by: None,
            has_electronic: false,
            tag_later: false,
        }
    }

    /// In the flock and alive on this day.
    pub(crate) fn is_here(&self, on: Day) -> bool {
        let dead = self.dies.is_some_and(|(d, _)| d <= on);
        self.here.is_some_and(|h| h <= on) && self.gone.is_none_or(|g| on < g) && !dead
    }

    /// May go for food on this day.
    pub(crate) fn is_clear(&self, on: Day) -> bool {
        self.clear.is_none_or(|c| c <= on)
    }

    pub(crate) fn age(&self, on: Day) -> i64 {
        on.since(self.born)
    }

    /// Mature weight, kg.
    fn mature(&self) -> f64 {
        let by_sex = match self.sex {
            Sex::Ewe => 62.0,
            Sex::Ram => 86.0,
            Sex::Wether => 74.0,
        };
        by_sex * self.frame
    }

    /// Weight by nature on a day, kg: Brody's curve w = A − (A − b)·e^(−kt) (reference: husbandry, growth), with
    /// k set so that the first gain is `rate`.
    pub(crate) fn kg(&self, on: Day) -> f64 {
        let (a, b) = (self.mature(), self.birth_kg);
        let t = self.age(on).max(0) as f64 - self.days_lost(on);
        a - (a - b) * (-self.rate * t / (a - b)).exp()
    }

    /// Days of growth lost so far.
    fn days_lost(&self, on: Day) -> f64 {
        let lost = self.check.map_or(0, |(from, days)| (self.age(on) - from).clamp(0, days));
        lost as f64 * 0.9
    }

    /// Was ill and looks it.
    pub(crate) fn is_checked(&self, on: Day) -> bool {
        self.check.is_some_and(|(from, days)| (from..from + days + 20).contains(&self.age(on)))
    }

    /// What a scale shows: the weight by nature, its condition (12 % of the weight for each score, reference:
    /// husbandry, growth), the day's belly, and the scale's marks (50 g for lambs under
    /// 10 kg, 100 g to 30 kg, else 500 g).
    pub(crate) fn scale(&self, on: Day, dice: &mut Dice) -> f64 {
        let young = self.age(on) < 250;
        let flesh = 1.0 + 0.12 * (self.condition - 3.0);
        let kg = self.kg(on) * flesh * dice.bell(1.0, if young { 0.012 } else { 0.02 });
        rounded(kg)
    }
}

/// To the marks of the scale, kg.
pub(crate) fn rounded(kg: f64) -> f64 {
    let mark = if kg < 10.0 {
        0.05
    } else if kg < 30.0 {
        0.1
    } else {
        0.5
    };
    (kg / mark).round() * mark
}

/// How near two sheep are, so that they are not joined: 3 parent and child, 2 a parent shared, 1 grandparent.
pub(crate) fn nearness(all: &[Sheep], a: At, b: At) -> u32 {
    let (x, y) = (&all[a], &all[b]);
    let is_child = |c: &Sheep, p: At| c.dam == Some(p) || c.sire == Some(p);
    if is_child(x, b) || is_child(y, a) {
        return 3;
    }
    let shared = |p: Option<At>, q: Option<At>| p.is_some() && p == q;
    if shared(x.dam, y.dam) || shared(x.sire, y.sire) {
        return 2;
    }
    let grand = |c: &Sheep, p: At| [c.dam, c.sire].into_iter().flatten().any(|m| is_child(&all[m], p));
    u32::from(grand(x, b) || grand(y, a))
}
