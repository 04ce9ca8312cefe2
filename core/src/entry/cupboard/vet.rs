//! Vets and their prescriptions.

use super::{CupboardRefused, far_off};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Flock, Prescription, Vet};
use crate::terms::{Day, PrescriptionId, VetId, Withdrawal};
use std::collections::HashSet;

/// A vet as written up.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct VetDraft {
    /// The vet whose facts these are from now on; none is a new one.
    pub id: Option<VetId>,
    /// Name.
    pub name: String,
    /// Practice.
    pub practice: Option<String>,
    /// Address.
    pub address: Option<String>,
    /// Telephone or mail.
    pub contact: Option<String>,
    /// Number in the register of vets.
    pub number: Option<String>,
}

/// Checks vets; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn vets(drafts: Vec<VetDraft>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let mut seen = HashSet::new();
    if drafts.is_empty() {
        faults.refuse(Field::of("name"), Refused::Missing("a vet"));
    }
    let mut all = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let field = Field::row("name", row);
        let name = d.name.trim().to_string();
        if name.is_empty() {
            faults.refuse(field, Refused::Missing("the vet's name"));
        } else if !seen.insert(name.to_lowercase()) {
            faults.refuse(field, CupboardRefused::NameTwice(name.clone()).into());
        }
        if let Some(known) = flock.cupboard().vet_named(&name).filter(|v| Some(v.id) != d.id) {
            faults.refuse(field, CupboardRefused::VetInBook(known.name.clone()).into());
        }
        let before = d.id.map(|id| flock.cupboard().vet(id));
        let vet = Vet {
            id: d.id.unwrap_or_else(VetId::new),
            name,
            practice: words(&d.practice),
            address: words(&d.address),
            contact: words(&d.contact),
            number: words(&d.number),
        };
        match before {
            Some(None) => faults.refuse(field, Refused::Gone),
            Some(Some(old)) if *old == vet => faults.refuse(field, Refused::NothingChanged),
            _ => {}
        }
        all.push(vet);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Vet {}", one.name),
            many => format!("{} vets", many.len()),
        };
        (Entry::Vets(all), sentence)
    })
}

/// A prescription as written up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrescriptionDraft {
    /// Who wrote it.
    pub vet: VetId,
    /// When.
    pub on: Day,
    /// Last day it may be used.
    pub valid_to: Option<Day>,
    /// Its number.
    pub number: Option<String>,
    /// Name of the product.
    pub product: String,
    /// For which animals, in words.
    pub whom: Option<String>,
    /// How much and how often, in words.
    pub dose: Option<String>,
    /// For what.
    pub reason: Option<String>,
    /// The vet directs a use that is not on the label.
    pub off_label: bool,
    /// Meat withdrawal the vet directs; unknown is as the label.
    pub meat: Withdrawal,
    /// Milk.
    pub milk: Withdrawal,
    /// Meat for export.
    pub export: Withdrawal,
}

/// Checks prescriptions; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn prescriptions(drafts: Vec<PrescriptionDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("product"), Refused::Missing("a prescription"));
    }
    let mut all = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let new = Prescription {
            id: PrescriptionId::new(),
            vet: d.vet,
            on: d.on,
            valid_to: d.valid_to,
            number: words(&d.number),
            product: d.product.trim().to_string(),
            whom: words(&d.whom),
            dose: words(&d.dose),
            reason: words(&d.reason),
            off_label: d.off_label,
            meat: d.meat,
            milk: d.milk,
            export: d.export,
            struck: None,
        };
        check(&mut faults, row, &new, flock, today);
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => {
                let vet = flock.cupboard().vet(one.vet).map_or("a vet", |v| &v.name);
                format!("Prescription of {vet} for {}", one.product)
            }
            many => format!("{} prescriptions", many.len()),
        };
        (Entry::Prescriptions(all), sentence)
    })
}

/// What is wrong or unlikely of a prescription, new or amended.
pub(super) fn check(faults: &mut Faults, row: usize, p: &Prescription, flock: &Flock, today: Day) {
    let field = |name| Field::row(name, row);
    if flock.cupboard().vet(p.vet).is_none() {
        faults.refuse(field("vet"), Refused::Missing("a vet of the book"));
    }
    if p.product.trim().is_empty() {
        faults.refuse(field("product"), Refused::Missing("a product"));
    } else if flock.product(&p.product).is_none() {
        faults.caution(field("product"), format!("{} is not among the products of the cupboard", p.product));
    }
    far_off(faults, field("on"), "the prescription of", Some(p.on), today);
    far_off(faults, field("valid_to"), "the last day", p.valid_to, today);
    if let Some(to) = p.valid_to {
        if to < p.on {
            faults.refuse(field("valid_to"), Refused::EndsBeforeStart { from: p.on, to });
        } else if to < today {
            faults.caution(
                field("valid_to"),
                format!("it was valid until {}: not for new treatments", to.words()),
            );
        }
    }
    if p.off_label {
        for (name, what, period) in [("meat", "meat", p.meat), ("milk", "milk", p.milk)] {
            if period == Withdrawal::Unknown {
                let words = format!("off-label: the {what} withdrawal the vet directs is not written down");
                faults.caution(field(name), words);
            }
        }
    }
}
