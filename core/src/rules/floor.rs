//! The least withdrawal of an off-label use: the vet sets the period, and one below the floor is refused.

use super::row::counted;
use crate::handbook::Ground;
use crate::phrase;
use crate::terms::Withdrawal;
use serde::Deserialize;

/// What is withheld.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Commodity {
    /// Meat.
    Meat,
    /// Milk.
    Milk,
}

impl Commodity {
    /// 'meat' or 'milk'.
    pub fn word(self) -> &'static str {
        match self {
            Self::Meat => "meat",
            Self::Milk => "milk",
        }
    }
}

/// What is known of a product that is used off-label, for one commodity. What is not known takes the stricter figure.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OffLabelUse {
    /// Every period the label gives for the commodity, of any species and route.
    pub label: Vec<Withdrawal>,
    /// Whether it is labelled for animals people eat; none is not known.
    pub for_food_animals: Option<bool>,
    /// Whether it is labelled for animals whose milk people take; none is not known.
    pub for_milk_animals: Option<bool>,
    /// Whether the label's species are of another family than sheep, which are bovids; none is not known.
    pub other_family: Option<bool>,
}

/// The least period an off-label use may be given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Floor {
    /// So many days.
    Days {
        /// Days of 24 hours.
        days: u16,
        /// The sum: '1.5 × 21 days = 31.5, rounded up to 32 days'.
        why: String,
        /// What it stands on.
        ground: Ground,
    },
    /// The vet sets it, longer than the label's period.
    VetSetsMoreThan {
        /// The label's longest period in days, a part of a day as a whole one; none if it is not known.
        days: Option<u16>,
        /// What it stands on.
        ground: Ground,
    },
    /// A label of the product forbids the animal's meat or milk for good.
    Never,
    /// It cannot be computed from what is known.
    Unknown {
        /// What is missing.
        why: String,
    },
    /// This rule set has no rule on it in this program.
    NotKnown,
}

impl Floor {
    /// Whether a period written down for the use is below the floor. One that is not written is not refused: such an
    /// animal is not clear at all.
    pub fn refuses(&self, written: Withdrawal) -> bool {
        let hours = match written {
            Withdrawal::Unknown | Withdrawal::Never => return false,
            Withdrawal::Days(days) => u32::from(days) * 24,
            Withdrawal::Hours(hours) => u32::from(hours),
        };
        match self {
            Self::Days { days, .. } => hours < u32::from(*days) * 24,
            Self::VetSetsMoreThan { days, .. } => days.is_some_and(|days| hours <= u32::from(days) * 24),
            Self::Never => true,
            Self::Unknown { .. } | Self::NotKnown => false,
        }
    }

    /// 'at least 32 days: 1.5 × 21 days = 31.5, rounded up to 32 days (SOURCE)'.
    pub fn words(&self) -> String {
        match self {
            Self::Days { days, why, ground } => {
                phrase!("at least {}: {why} ({ground})", counted((*days).into(), "day"))
            }
            Self::VetSetsMoreThan { days: Some(days), ground } => {
                phrase!(
                    "the vet sets it, to more than the label's {} ({ground})",
                    counted((*days).into(), "day")
                )
            }
            Self::VetSetsMoreThan { days: None, ground } => {
                phrase!(
                    "the vet sets it, to more than the label's period, which is not written here ({ground})"
                )
            }
            Self::Never => "never: a label of the product forbids it for good".into(),
            Self::Unknown { why } => phrase!("the least period cannot be computed: {why}"),
            Self::NotKnown => {
                "these rules have no least period for off-label use in this program: ask your vet".into()
            }
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct FloorRow {
    /// None is both meat and milk.
    commodity: Option<Commodity>,
    /// In hundredths.
    factor: Option<u32>,
    not_for_food: Option<u16>,
    not_for_milk: Option<u16>,
    label_zero: Option<u16>,
    zero_only_if_other_family: bool,
    minimum: Option<u16>,
    vet_sets: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    commodity: Which,
    factor: Option<f64>,
    days_if_not_for_food_animals: Option<u16>,
    days_if_not_for_milk_animals: Option<u16>,
    days_if_label_zero: Option<u16>,
    #[serde(default)]
    zero_case_only_if_other_family: bool,
    days_minimum: Option<u16>,
    #[serde(default)]
    round: Option<Rounding>,
    #[serde(default)]
    vet_sets_period: bool,
    #[serde(default)]
    must_exceed_label: bool,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Which {
    Meat,
    Milk,
    Any,
}

/// The one way this program rounds.
#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Rounding {
    UpToWholeDays,
}

impl<'de> Deserialize<'de> for FloorRow {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let raw = Raw::deserialize(from)?;
        let wrong = |words: &str| Err(serde::de::Error::custom(words));
        let factor = match (raw.factor, raw.round) {
            (None, None) => None,
            // Below 1 it would be shorter than the label.
            (Some(f), Some(Rounding::UpToWholeDays)) if (1.0..=10.0).contains(&f) => {
                Some((f * 100.0).ceil() as u32)
            }
            (Some(_), Some(_)) => return wrong("the factor is from 1 to 10"),
            _ => return wrong("a factor goes with round = \"up_to_whole_days\", and that with a factor"),
        };
        let commodity = match raw.commodity {
            Which::Meat => Some(Commodity::Meat),
            Which::Milk => Some(Commodity::Milk),
            Which::Any => None,
        };
        if raw.vet_sets_period != raw.must_exceed_label {
            return wrong("vet_sets_period goes with must_exceed_label = true");
        }
        if raw.zero_case_only_if_other_family && raw.days_if_label_zero.is_none() {
            return wrong("zero_case_only_if_other_family goes with days_if_label_zero");
        }
        Ok(Self {
            commodity,
            factor,
            not_for_food: raw.days_if_not_for_food_animals,
            not_for_milk: raw.days_if_not_for_milk_animals,
            label_zero: raw.days_if_label_zero,
            zero_only_if_other_family: raw.zero_case_only_if_other_family,
            minimum: raw.days_minimum,
            vet_sets: raw.vet_sets_period,
        })
    }
}

impl FloorRow {
    pub(super) fn checked(self) -> Result<Self, String> {
        let figures = [self.not_for_food, self.not_for_milk, self.label_zero, self.minimum];
        if self.factor.is_none() && figures.iter().all(Option::is_none) && !self.vet_sets {
            return Err("a row on off-label use that says nothing".into());
        }
        if self.commodity != Some(Commodity::Milk) && self.not_for_milk.is_some()
            || self.commodity == Some(Commodity::Milk) && self.not_for_food.is_some()
        {
            return Err(
                "days_if_not_for_food_animals is for meat, days_if_not_for_milk_animals for milk".into()
            );
        }
        Ok(self)
    }

    pub(super) fn words(&self) -> String {
        let of = self.commodity.map_or("meat and milk", Commodity::word);
        let mut said = Vec::new();
        if let Some(factor) = self.factor {
            said.push(phrase!(
                "{} times the label's longest period, rounded up to whole days",
                times(factor)
            ));
        }
        let days = |n: u16| counted(n.into(), "day");
        said.extend(self.minimum.map(|n| phrase!("never less than {}", days(n))));
        said.extend(
            self.not_for_food.map(|n| phrase!("{} for a product not for animals people eat", days(n))),
        );
        said.extend(self.not_for_milk.map(|n| phrase!("{} for a product not for milked animals", days(n))));
        said.extend(self.label_zero.map(|n| {
            let only =
                if self.zero_only_if_other_family { " and its species are of another family" } else { "" };
            phrase!("{} where the label says zero{only}", days(n))
        }));
        if self.vet_sets {
            said.push("the vet sets the period, longer than the label's".into());
        }
        phrase!("off-label, for {of}: {}", said.join("; "))
    }

    fn is_of(&self, what: Commodity) -> bool {
        self.commodity.is_none_or(|mine| mine == what)
    }
}

/// '1.5' of 150 hundredths.
fn times(hundredths: u32) -> String {
    (f64::from(hundredths) / 100.0).to_string()
}

/// The longest of the label's periods that are known.
#[derive(Clone, Copy)]
struct Longest {
    hours: u32,
    in_days: bool,
    some_open: bool,
}

fn longest(label: &[Withdrawal]) -> Option<Longest> {
    let hours = |w: &Withdrawal| match w {
        Withdrawal::Days(d) => Some((u32::from(*d) * 24, true)),
        Withdrawal::Hours(h) => Some((u32::from(*h), false)),
        Withdrawal::Unknown | Withdrawal::Never => None,
    };
    let (hours, in_days) = label.iter().filter_map(hours).max()?;
    Some(Longest { hours, in_days, some_open: label.contains(&Withdrawal::Unknown) })
}

/// '1.5 × 21 days = 31.5, rounded up to 32 days'. Never below the label's own period.
fn multiplied(factor: u32, label: Longest) -> (u16, String) {
    let hundredths = u64::from(label.hours) * u64::from(factor);
    let days = u16::try_from(hundredths.div_ceil(2400)).unwrap_or(u16::MAX);
    let (unit, n, product) = if label.in_days {
        ("day", label.hours / 24, hundredths as f64 / 2400.0)
    } else {
        ("hour", label.hours, hundredths as f64 / 100.0)
    };
    let product = format!("{product:.2}");
    let product = product.trim_end_matches('0').trim_end_matches('.');
    let whole = counted(days.into(), "day");
    let sum = format!("{} × {} = {product}", times(factor), counted(n, unit));
    let even = label.in_days && hundredths.is_multiple_of(2400);
    let mut why = match (even, label.in_days) {
        (true, _) => format!("{} × {} = {whole}", times(factor), counted(n, unit)),
        (false, true) => phrase!("{sum}, rounded up to {whole}"),
        (false, false) => phrase!("{sum} hours, rounded up to {whole}"),
    };
    if label.some_open {
        why.push_str(", by the label periods that are written; one is not");
    }
    (days, why)
}

/// The floor by these rows, each with its ground.
pub(super) fn floor<'a>(
    rows: impl Iterator<Item = (&'a FloorRow, &'a Ground)>,
    what: Commodity,
    product: &OffLabelUse,
) -> Floor {
    let rows: Vec<_> = rows.filter(|(row, _)| row.is_of(what)).collect();
    if rows.is_empty() {
        return Floor::NotKnown;
    }
    if product.label.contains(&Withdrawal::Never) {
        return Floor::Never;
    }
    let label = longest(&product.label);
    // Of a product for no animal people eat, none is milked either.
    let labelled_for = match what {
        Commodity::Meat => product.for_food_animals,
        Commodity::Milk if product.for_food_animals == Some(false) => Some(false),
        Commodity::Milk => product.for_milk_animals,
    };
    let mut found: Vec<(u16, String, &Ground)> = Vec::new();
    for (row, ground) in &rows {
        if let (Some(factor), Some(label)) = (row.factor, label) {
            let (days, why) = multiplied(factor, label);
            found.push((days, why, ground));
        }
        found.extend(row.minimum.map(|n| {
            let open = if label.is_none() { "; the label's period is not written" } else { "" };
            (n, phrase!("never less than {}{open}", counted(n.into(), "day")), *ground)
        }));
        let flat = match what {
            Commodity::Meat => row.not_for_food.map(|n| (n, "animals people eat")),
            Commodity::Milk => row.not_for_milk.map(|n| (n, "milked animals")),
        };
        if let Some((n, animals)) = flat {
            let days = counted(n.into(), "day");
            match (labelled_for, label) {
                (Some(false), _) => {
                    found.push((n, phrase!("{days}, the product is not for {animals}"), ground))
                }
                (None, Some(_)) => {
                    found.push((
                        n,
                        phrase!("{days}, as it is not known whether the product is for {animals}"),
                        ground,
                    ));
                }
                (Some(true), _) | (None, None) => {}
            }
        }
        let zero = label.is_some_and(|label| label.hours == 0);
        if let Some(n) = row.label_zero.filter(|_| zero) {
            let days = counted(n.into(), "day");
            match (row.zero_only_if_other_family, product.other_family) {
                (true, Some(false)) => {}
                (true, Some(true)) => found.push((
                    n,
                    phrase!("{days}, the label says zero for animals of another family than sheep"),
                    ground,
                )),
                (true, None) => found.push((
                    n,
                    phrase!("{days}, the label says zero and it is not known for animals of which family"),
                    ground,
                )),
                (false, _) => found.push((n, phrase!("{days}, the label says zero"), ground)),
            }
        }
    }
    // Whatever the rows say, no use off the label is shorter than the label.
    if let (Some(label), Some((_, ground))) = (label, rows.first()) {
        let (days, _) = multiplied(100, label);
        if found.iter().map(|(n, ..)| *n).max().is_some_and(|most| most < days) {
            found.push((
                days,
                phrase!("not less than the label's own {}", counted(days.into(), "day")),
                ground,
            ));
        }
    }
    // A figure from memory only adds to the choice, so it tightens and never loosens; of equal ones the read one counts.
    let best = found.into_iter().max_by_key(|(days, _, ground)| (*days, !ground.is_memory()));
    let vet = rows.iter().find(|(row, _)| row.vet_sets);
    if let Some((_, ground)) = vet {
        let mine = label.map(|l| u16::try_from(l.hours.div_ceil(24)).unwrap_or(u16::MAX));
        return match best {
            Some((days, why, ground)) if mine.is_none_or(|mine| days > mine) => {
                Floor::Days { days, why, ground: ground.clone() }
            }
            _ => Floor::VetSetsMoreThan { days: mine, ground: (*ground).clone() },
        };
    }
    match best {
        Some((days, why, ground)) => Floor::Days { days, why, ground: ground.clone() },
        None => Floor::Unknown {
            why: phrase!(
                "the label's {} period is not written; write it with the product, zero too",
                what.word()
            ),
        },
    }
}
