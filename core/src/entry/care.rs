//! Joinings, weighings, treatments and products.

use super::lambing::not_here;
use super::standing::{before_birth, names, there};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{AnimalFile, Flock, Joining, Product, ProductMore, Weighing};
use crate::handbook::lambing;
use crate::reckon::growth::{Odd, odd};
use crate::terms::{
    AnimalId, Day, DoseRule, JoiningId, Moment, ProductId, Route, Sex, Strength, Units, WeighingId, Weight,
    Withdrawal,
};
use std::collections::HashSet;

/// Ewes joined with a ram.
#[derive(Debug, Clone, PartialEq)]
pub struct JoiningDraft {
    /// The ram.
    pub ram: AnimalId,
    /// The ewes.
    pub ewes: Vec<AnimalId>,
    /// First day, or the day of service.
    pub from: Day,
    /// Last day.
    pub to: Option<Day>,
    /// How, in words.
    pub method: Option<String>,
    /// Name of the group that runs together.
    pub group: Option<String>,
}

/// Checks joinings; rows of faults count the drafts.
///
/// # Errors
/// Every refusal beside its field.
pub fn joinings(drafts: Vec<JoiningDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() || drafts.iter().any(|d| d.ewes.is_empty()) {
        faults.refuse(Field::of("ewe"), Refused::NoAnimals);
    }
    for (row, d) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("from", row), d.from, today);
        if let Some(to) = d.to {
            faults.not_ahead(Field::row("to", row), to, today);
            if to < d.from {
                faults.refuse(Field::row("to", row), Refused::EndsBeforeStart { from: d.from, to });
            }
        }
        let mut part = |id: AnimalId, needed: Sex, name: &'static str, what: &'static str| {
            let field = Field::row(name, row);
            let Some(a) = flock.animal(id) else {
                faults.refuse(field, Refused::Gone);
                return;
            };
            if (a.sex == Sex::Ewe) != (needed == Sex::Ewe) || (needed == Sex::Ram && a.sex == Sex::Wether) {
                faults
                    .refuse(field, Refused::WrongSex { tag: a.tag().into(), is: a.sex, needed, part: what });
            }
            before_birth(&mut faults, field, a, d.from);
            if needed == Sex::Ram
                && let Some(days) = a
                    .born
                    .day()
                    .map(|b| d.from.since(b))
                    .filter(|d| (0..lambing::ram_fertile_days()).contains(d))
            {
                faults.question(field, Unusual::RamTooYoung { ram: a.tag().into(), days });
            }
            if needed == Sex::Ewe {
                not_here(&mut faults, field, a, d.from);
            }
        };
        part(d.ram, Sex::Ram, "ram", "the ram of a joining");
        for ewe in &d.ewes {
            part(*ewe, Sex::Ewe, "ewe", "the ewe of a joining");
        }
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("{} joined with {}", names(flock, &one.ewes), flock.tag(one.ram)),
            many => format!("{} joinings", many.len()),
        };
        let all = drafts
            .into_iter()
            .flat_map(|d| {
                let (method, group) = (words(&d.method), words(&d.group));
                d.ewes.into_iter().map(move |ewe| Joining {
                    id: JoiningId::new(),
                    ewe,
                    ram: d.ram,
                    from: d.from,
                    to: d.to,
                    method: method.clone(),
                    group: group.clone(),
                    struck: None,
                })
            })
            .collect();
        (Entry::Joinings(all), sentence)
    })
}

/// A weighing as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighingDraft {
    /// The animal.
    pub animal: AnimalId,
    /// When.
    pub at: Moment,
    /// The weight.
    pub weight: Weight,
    /// Remark.
    pub note: Option<String>,
}

/// Checks weighings; rows of faults count from 0. A weight is questioned beside those in the book.
///
/// # Errors
/// Every refusal with its row.
pub fn weighings(drafts: Vec<WeighingDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let units = flock.holding().units;
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    for (row, d) in drafts.iter().enumerate() {
        if let Some(f) = there(&mut faults, row, flock, d.animal, d.at.day, today) {
            question_weight(&mut faults, row, f, d.at.day, d.weight, units);
        }
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("Weighing of {}: {}", flock.tag(one.animal), one.weight.show(units)),
            many => format!("{} weighings", many.len()),
        };
        let all = drafts
            .into_iter()
            .map(|d| Weighing {
                id: WeighingId::new(),
                animal: d.animal,
                at: d.at,
                weight: d.weight,
                session: None,
                note: words(&d.note),
                struck: None,
            })
            .collect();
        (Entry::Weighings(all), sentence)
    })
}

/// Questions a weight beside the animal's others.
pub(super) fn question_weight(
    faults: &mut Faults,
    row: usize,
    f: &AnimalFile,
    on: Day,
    weight: Weight,
    units: Units,
) {
    let tag = f.animal.tag().to_string();
    let what = odd(f, on, weight).map(|odd| match odd {
        Odd::Loss { before, on } => Unusual::Loss { tag, before, on, units },
        Odd::Gain { gain, before, on } => Unusual::Gained { tag, before, on, gain, units },
        Odd::Jump { before, on } => Unusual::Jumped { tag, before, on, units },
        Odd::OffCurve { expected, low, high, weights } => {
            Unusual::OffCurve { tag, expected, low, high, weights, units }
        }
    });
    if let Some(what) = what {
        faults.question(Field::row("weight_kg", row), what);
    }
}

/// A product as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductDraft {
    /// Name on the label.
    pub name: String,
    /// Active substance.
    pub substance: Option<String>,
    /// Form.
    pub form: Option<String>,
    /// Strength.
    pub strength: Option<Strength>,
    /// Dose rule.
    pub rule: DoseRule,
    /// Route.
    pub route: Option<Route>,
    /// Meat.
    pub meat: Withdrawal,
    /// Milk.
    pub milk: Withdrawal,
    /// Species.
    pub licensed_for: Option<String>,
    /// What else the label says.
    pub more: ProductMore,
}

/// Checks products; one of a name already in the cupboard takes the new facts.
///
/// # Errors
/// Every refusal with its row.
pub fn products(drafts: Vec<ProductDraft>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let mut seen = HashSet::new();
    if drafts.is_empty() {
        faults.refuse(Field::of("product"), Refused::Missing("a product"));
    }
    for (row, d) in drafts.iter().enumerate() {
        if d.name.trim().is_empty() {
            faults.refuse(Field::row("product", row), Refused::Missing("the product's name"));
        } else if !seen.insert(d.name.trim().to_lowercase()) {
            faults.refuse(Field::row("product", row), Refused::TagTwice(d.name.trim().into()));
        }
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("Product {}", one.name.trim()),
            many => format!("{} products", many.len()),
        };
        let all = drafts
            .into_iter()
            .map(|d| Product {
                id: flock.product(&d.name).map_or_else(ProductId::new, |p| p.id),
                name: d.name.trim().into(),
                substance: words(&d.substance),
                form: words(&d.form),
                strength: d.strength,
                rule: d.rule,
                route: d.route,
                meat: d.meat,
                milk: d.milk,
                licensed_for: words(&d.licensed_for),
                more: d.more,
            })
            .collect();
        (Entry::Products(all), sentence)
    })
}
