//! How weights are carried to a fixed age and compared: read from a table, the keeper's own or as shipped.

mod read;
mod write;

use crate::handbook::{Ground, sound};
use crate::phrase;
use crate::terms::{Misread, Sex};
use std::sync::LazyLock;

/// An age weights are carried to.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeRule {
    /// The age in days.
    pub days: u16,
    /// Weighed from this age on the straight line holds …
    pub from: i64,
    /// … up to this one.
    pub to: i64,
    /// Weighed younger there is no figure.
    pub least: i64,
    /// Weighed older there is no figure.
    pub most: i64,
    /// What it stands on.
    pub ground: Ground,
}

impl AgeRule {
    /// Weighed at this age the straight line holds.
    pub fn holds(&self, at_age: i64) -> bool {
        (self.from..=self.to).contains(&at_age)
    }
}

/// A weighing up to some age is usually carried to another.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualAge {
    /// Up to this age in days.
    pub up_to: i64,
    /// To this one.
    pub age: u16,
    /// What it stands on.
    pub ground: Ground,
}

/// What makes one lamb heavier than another beside its blood and its keeping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Effect {
    /// Its sex.
    Sex,
    /// How many were born and reared together.
    Type,
    /// The age of the ewe that reared it.
    Ewe,
}

impl Effect {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Sex, Self::Type, Self::Ewe];

    /// As it is read: `sex`, `birth and rearing`, `age of the ewe`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sex => "sex",
            Self::Type => "birth and rearing",
            Self::Ewe => "age of the ewe",
        }
    }

    pub(super) fn place(self) -> usize {
        self as usize
    }
}

/// Whom a factor is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// A sex.
    Sex(Sex),
    /// Born and reared together; none reared is by bottle.
    Type {
        /// Born.
        born: u8,
        /// Reared.
        reared: u8,
    },
    /// Years of the ewe that reared it, to the nearest.
    Ewe {
        /// From.
        from: u8,
        /// To.
        to: u8,
    },
}

impl Of {
    /// The effect it is a class of.
    pub fn effect(self) -> Effect {
        match self {
            Self::Sex(_) => Effect::Sex,
            Self::Type { .. } => Effect::Type,
            Self::Ewe { .. } => Effect::Ewe,
        }
    }

    /// `ram lamb`, `born twin, reared single`, `ewe of 3 to 6 years`.
    pub fn words(self) -> String {
        let litter = |n: u8| match n {
            1 => "single".to_string(),
            2 => "twin".into(),
            3 => "triplet".into(),
            n => phrase!("one of {n}"),
        };
        match self {
            Self::Sex(Sex::Wether) => "wether".into(),
            Self::Sex(sex) => sex.lamb_words().into(),
            Self::Type { born, reared: 0 } => phrase!("born {}, bottle", litter(born)),
            Self::Type { born, reared } => phrase!("born {}, reared {}", litter(born), litter(reared)),
            Self::Ewe { from: 0, to: 1 } => "ewe of 1 year".into(),
            Self::Ewe { from, to } if from == to => phrase!("ewe of {from} years"),
            Self::Ewe { from, to } if to >= 20 => phrase!("ewe of {from} years and more"),
            Self::Ewe { from, to } => phrase!("ewe of {from} to {to} years"),
        }
    }
}

/// A class of lambs with the factor of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// Whom it is for.
    pub of: Of,
    /// What weights are multiplied by.
    pub factor: f64,
    /// The class the others are brought to.
    pub base: bool,
    /// What it stands on.
    pub ground: Ground,
}

/// Lambs that had the same chance.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupRule {
    /// Born within so many days; 0 is the calendar year of birth.
    pub span_days: i64,
    /// The sexes apart.
    pub by_sex: bool,
    /// Pens apart, as they were on the day of weighing.
    pub by_pen: bool,
    /// Sessions at the scale apart, or days.
    pub by_weighing: bool,
    /// No ratio in a smaller group.
    pub least: usize,
    /// What it stands on.
    pub ground: Ground,
}

/// What a ewe's milk is judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct MilkRule {
    /// Her lambs' weights at these ages.
    pub ages: Vec<u16>,
    /// Her weight is carried to this condition score, points.
    pub score: f64,
    /// Weight of one score, percent of her weight.
    pub score_percent: f64,
    /// Weights and scores of hers are taken so many days from weaning or lambing at most.
    pub near_days: i64,
    /// What it stands on.
    pub ground: Ground,
}

/// How weights are carried to a fixed age and compared.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthRules {
    /// Ages, the youngest first.
    pub ages: Vec<AgeRule>,
    /// Which age a weighing is usually carried to, the youngest first.
    pub usual: Vec<UsualAge>,
    /// What the table of factors is called.
    pub table: String,
    /// Classes of each effect, in the order of [`Effect::ALL`].
    classes: [Vec<Class>; 3],
    /// Groups by rule.
    pub groups: GroupRule,
    /// The flock's own factor of a class is used from so many lambs on.
    pub per_class: usize,
    /// A missing birth weight is the mean of so many others at least.
    pub birth_weights: usize,
    /// What the two numbers above stand on.
    pub least_ground: Ground,
    /// A ewe's milk.
    pub milk: MilkRule,
}

/// What the program is shipped with.
const SHIPPED: &str = include_str!("../../../../../resources/growth.toml");

static RULES: LazyLock<GrowthRules> =
    LazyLock::new(|| sound("growth.toml", read::read(SHIPPED, None).map_err(|e| e.0)));

impl GrowthRules {
    /// As shipped.
    pub fn shipped() -> &'static Self {
        &RULES
    }

    /// The words of the shipped table, for a keeper to begin with.
    pub fn shipped_words() -> &'static str {
        SHIPPED
    }

    /// The keeper's own (`Holding.growth`); empty text is as shipped, a list left out likewise. Sources may be left out.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().is_empty() { Ok(Self::shipped().clone()) } else { read::read(text, Some(&RULES)) }
    }

    /// As the keeper of this flock has it. A text that cannot be read (an older program may have written it) is as
    /// shipped: an entry with such a text is refused, so none can be made here.
    pub fn of(flock: &crate::flock::Flock) -> Self {
        Self::parse(&flock.holding().growth).unwrap_or_else(|_| Self::shipped().clone())
    }

    /// The text [`GrowthRules::parse`] reads, with what the keeper changed.
    pub fn text(&self) -> String {
        write::text(self)
    }

    /// The classes of an effect.
    pub fn classes(&self, effect: Effect) -> &[Class] {
        &self.classes[effect.place()]
    }

    /// A class to be changed.
    pub fn class_mut(&mut self, effect: Effect, at: usize) -> Option<&mut Class> {
        self.classes[effect.place()].get_mut(at)
    }

    /// Place of the base class of an effect.
    pub fn base(&self, effect: Effect) -> usize {
        self.classes(effect).iter().position(|c| c.base).unwrap_or(0)
    }

    /// The rule of an age.
    pub fn age(&self, days: u16) -> Option<&AgeRule> {
        self.ages.iter().find(|a| a.days == days)
    }

    /// The age a weighing at this age is usually carried to.
    pub fn usual_age(&self, at_age: i64) -> Option<u16> {
        self.usual.iter().find(|u| at_age <= u.up_to).map(|u| u.age)
    }

    /// An age as typed: days, 7 to 400.
    ///
    /// # Errors
    /// What was read and what can be written.
    pub fn typed_age(text: &str) -> Result<u16, Misread> {
        let text = text.trim();
        let days = text.trim_end_matches("days").trim_end().parse::<u16>().ok();
        days.filter(|d| (7..=400).contains(d)).ok_or_else(|| {
            Misread::new(phrase!(
                "'{text}' is no age of lambs: write a number of days from 7 to 400, such as 60"
            ))
        })
    }

    /// An age of the keeper's own, the line held for 7 days to either side up to 60 days and a little under a third of
    /// the age beyond, as at the ages with a source; the ground is the keeper's.
    pub fn own_age(days: u16) -> AgeRule {
        let d = i64::from(days);
        let side = if d <= 60 { 7 } else { d * 28 / 90 };
        let ground = Ground::Memory("the keeper".into());
        AgeRule { days, from: d - side, to: d + side, least: d / 2, most: d * 3 / 2 + 7, ground }
    }

    /// Place of a sex among the classes.
    pub fn sex_class(&self, sex: Sex) -> Option<usize> {
        self.classes(Effect::Sex).iter().position(|c| c.of == Of::Sex(sex))
    }

    /// Place of a birth and rearing type; more than the most of the table is its most.
    pub fn type_class(&self, born: u8, reared: u8) -> Option<usize> {
        let all = || {
            self.classes(Effect::Type).iter().enumerate().filter_map(|(i, c)| match c.of {
                Of::Type { born, reared } => Some((i, born, reared)),
                _ => None,
            })
        };
        let born = born.min(all().map(|(_, b, _)| b).max()?);
        let reared = reared.min(all().filter(|(_, b, _)| *b == born).map(|(_, _, r)| r).max()?);
        all().find(|(_, b, r)| *b == born && *r == reared).map(|(i, ..)| i)
    }

    /// Place of a ewe's age in years.
    pub fn ewe_class(&self, years: i64) -> Option<usize> {
        let has = |c: &Class| matches!(c.of, Of::Ewe { from, to } if (i64::from(from)..=i64::from(to)).contains(&years));
        self.classes(Effect::Ewe).iter().position(has)
    }
}

#[cfg(test)]
mod tests;
