//! Joinings, weighings, treatments and products.

use super::dose::dose;
use super::lambing::not_here;
use super::standing::{before_birth, names};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{CoursePart, Flock, Joining, Product, ProductMore, Treatment, TreatmentMore, Weighing};
use crate::handbook::lambing;
use crate::reckon::growth::{Odd, odd};
use crate::terms::{
    AnimalId, Day, Dose, DoseRule, JoiningId, Moment, PrescriptionId, ProductId, Route, Sex, Strength,
    TreatmentId, WeighingId, Weight, Withdrawal,
};
use std::collections::{HashMap, HashSet};

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
                let method = words(&d.method);
                d.ewes.into_iter().map(move |ewe| Joining {
                    id: JoiningId::new(),
                    ewe,
                    ram: d.ram,
                    from: d.from,
                    to: d.to,
                    method: method.clone(),
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
        faults.not_ahead(Field::row("on", row), d.at.day, today);
        let Some(f) = flock.file(d.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        before_birth(&mut faults, Field::row("on", row), &f.animal, d.at.day);
        not_here(&mut faults, Field::row("tag", row), &f.animal, d.at.day);
        let tag = f.animal.tag().to_string();
        let what = odd(f, d.at.day, d.weight).map(|odd| match odd {
            Odd::Loss { before, on } => Unusual::Loss { tag, before, on, units },
            Odd::Gain { gain, before, on } => Unusual::Gained { tag, before, on, gain, units },
            Odd::Jump { before, on } => Unusual::Jumped { tag, before, on, units },
        });
        if let Some(what) = what {
            faults.question(Field::row("weight_kg", row), what);
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
                note: words(&d.note),
                struck: None,
            })
            .collect();
        (Entry::Weighings(all), sentence)
    })
}

/// How the dose of a treatment is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DoseDraft {
    /// By the product's rule and each animal's last weight.
    ByRule,
    /// As typed, the same for each; none is not written down.
    Typed(Option<Dose>),
}

/// A treatment as written up, of one or many animals.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatmentDraft {
    /// The animals.
    pub animals: Vec<AnimalId>,
    /// When.
    pub at: Moment,
    /// Product.
    pub product: String,
    /// Batch.
    pub batch: Option<String>,
    /// Dose.
    pub dose: DoseDraft,
    /// Route; none takes the product's.
    pub route: Option<Route>,
    /// Site.
    pub site: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Who gave it.
    pub given_by: Option<String>,
    /// Who prescribed it.
    pub prescribed_by: Option<String>,
    /// Meat; none takes the product's, unknown if there is none.
    pub meat: Option<Withdrawal>,
    /// Milk; likewise.
    pub milk: Option<Withdrawal>,
    /// What is asked of some treatments only.
    pub more: TreatmentExtra,
}

/// What is asked of some treatments only.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TreatmentExtra {
    /// Export withdrawal; none takes the product's.
    pub export: Option<Withdrawal>,
    /// A vet gave it.
    pub vet_gave: bool,
    /// Not as the label says, and in what.
    pub off_label: Option<String>,
    /// The prescription it is given by.
    pub prescription: Option<PrescriptionId>,
    /// A course of several doses, the first of them now.
    pub course: Option<CourseDraft>,
    /// A further dose of a course that was begun.
    pub goes_on: Option<CoursePart>,
    /// The whole amount for the group, in place of a dose for each: in feed, water or a footbath.
    pub shared: Option<Dose>,
    /// A weight to reckon by where an animal was not weighed.
    pub estimated: Option<Weight>,
}

/// A course of doses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CourseDraft {
    /// How many doses in all, from 2.
    pub doses: u8,
    /// Hours from one to the next.
    pub every_hours: u16,
}

/// Checks treatments; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn treatments(drafts: Vec<TreatmentDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let mut all = Vec::new();
    let mut seen: HashSet<(AnimalId, Moment, String)> = HashSet::new();
    if drafts.is_empty() || drafts.iter().any(|d| d.animals.is_empty()) {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut products: HashMap<String, Option<&Product>> = HashMap::new();
    for (row, d) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.at.day, today);
        let name = d.product.trim();
        if name.is_empty() {
            faults.refuse(Field::row("product", row), Refused::Missing("a product"));
        } else if name.to_lowercase().contains("mixed with") {
            faults.refuse(Field::row("product", row), Refused::Mixed(name.into()));
        }
        let product = *products.entry(name.to_lowercase()).or_insert_with(|| flock.product(name));
        let meat = d.meat.unwrap_or_else(|| product.map_or(Withdrawal::Unknown, |p| p.meat));
        let milk = d.milk.unwrap_or_else(|| product.map_or(Withdrawal::Unknown, |p| p.milk));
        if let Some(p) = product {
            shorter(&mut faults, Field::row("meat_days", row), "meat", p, meat, p.meat);
            shorter(&mut faults, Field::row("milk_days", row), "milk", p, milk, p.milk);
        }
        let route = d.route.or_else(|| product.and_then(|p| p.route));
        for id in &d.animals {
            let Some(f) = flock.file(*id) else {
                faults.refuse(Field::row("tag", row), Refused::Gone);
                continue;
            };
            before_birth(&mut faults, Field::row("on", row), &f.animal, d.at.day);
            not_here(&mut faults, Field::row("tag", row), &f.animal, d.at.day);
            let twice = !seen.insert((*id, d.at, name.to_lowercase()))
                || f.treatments_standing().any(|t| {
                    t.at.day == d.at.day
                        && t.product.eq_ignore_ascii_case(name)
                        && (t.at.time == d.at.time || t.at.time.is_none() || d.at.time.is_none())
                });
            if twice {
                let what = Unusual::GivenTwice { tag: f.animal.tag().into(), product: name.into() };
                faults.question(Field::row("product", row), what);
            }
            let dose = dose(&mut faults, row, d, product, f, route);
            all.push(Treatment {
                id: TreatmentId::new(),
                animal: *id,
                at: d.at,
                product: name.to_string(),
                batch: words(&d.batch),
                dose,
                route,
                site: words(&d.site),
                reason: words(&d.reason),
                given_by: words(&d.given_by),
                prescribed_by: words(&d.prescribed_by),
                meat,
                milk,
                more: TreatmentMore {
                    export: d.more.export.or(product.map(|p| p.more.export)).unwrap_or_default(),
                    vet_gave: d.more.vet_gave,
                    off_label: words(&d.more.off_label),
                    prescription: d.more.prescription,
                    course: d.more.goes_on,
                },
                struck: None,
            });
        }
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("{} for {}", one.product.trim(), names(flock, &one.animals)),
            many => format!("{} treatments", many.len()),
        };
        (Entry::Treatments(all), sentence)
    })
}

fn shorter(
    faults: &mut Faults,
    field: Field,
    what: &'static str,
    p: &Product,
    written: Withdrawal,
    label: Withdrawal,
) {
    let minutes = |w: Withdrawal| match w {
        Withdrawal::Days(n) => Some(i64::from(n) * 1440),
        Withdrawal::Hours(n) => Some(i64::from(n) * 60),
        Withdrawal::Never => Some(i64::MAX),
        Withdrawal::Unknown => None,
    };
    if let (Some(w), Some(l)) = (minutes(written), minutes(label))
        && w < l
    {
        let (written, label) = (written.to_string(), label.to_string());
        faults.question(field, Unusual::ShorterThanLabel { what, product: p.name.clone(), written, label });
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
