//! Vets and prescriptions as rows.

use super::kind::{Column, may, must};
use super::sheet::{Sheet, yes_no};
use super::{Taken, Unfit, day_text, text};
use crate::entry::{
    CupboardRefused, Entry, PrescriptionDraft, Refusal, Refused, VetDraft, prescriptions, vets,
};
use crate::flock::{Flock, Prescription, Vet};
use crate::terms::{Day, Misread, PrescriptionId, VetId, Withdrawal};

pub(super) const VETS: &[Column] = &[
    must("name", "the vet's name; a name in the book already takes the new facts"),
    may("practice", "practice"),
    may("address", "address"),
    may("contact", "telephone or mail"),
    may("number", "number in the register of vets"),
];

pub(super) const PRESCRIPTIONS: &[Column] = &[
    must("vet", "name of a vet of the book"),
    must("on", "day"),
    must("product", "name on the label"),
    may("number", "its number"),
    may("valid_to", "last day it may be used"),
    may("whom", "for which animals, in words"),
    may("dose", "how much and how often, in words"),
    may("reason", "for what"),
    may("off_label", "yes if the vet directs a use that is not on the label"),
    may("meat_days", "meat withdrawal the vet directs: 28, 60h, 0, never; blank: as the label"),
    may("milk_days", "milk withdrawal, likewise"),
    may("export_days", "meat withdrawal for export, likewise"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let name = c.must("name", "the vet's name", |t| Ok(t.to_string()));
        let (Some(name), true) = (name, c.good()) else { continue };
        let known = flock.cupboard().vet_named(&name);
        let draft = VetDraft {
            id: known.map(|v| v.id),
            name,
            practice: c.words("practice"),
            address: c.words("address"),
            contact: c.words("contact"),
            number: c.words("number"),
        };
        if known.is_some_and(|v| is_same(v, &draft)) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| vets(drafts, flock));
    let shown = |r: &Refusal| match &r.why {
        Refused::Cupboard(CupboardRefused::NameTwice(name)) => {
            let row = order.get(r.field.row).and_then(|i| sheet.rows.get(*i));
            Some(sheet.place(row, "name", format!("the vet {name} is given twice: mend one of the two")))
        }
        _ => None,
    };
    sheet.outcome(bad, check, &order, same, shown, |c| match c.entry() {
        Entry::Vets(all) => all.iter().map(row).collect(),
        _ => Vec::new(),
    })
}

fn is_same(v: &Vet, d: &VetDraft) -> bool {
    v.name == d.name
        && v.practice == d.practice
        && v.address == d.address
        && v.contact == d.contact
        && v.number == d.number
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.cupboard().vets.iter().map(row).collect()
}

fn row(v: &Vet) -> Vec<String> {
    vec![v.name.clone(), text(&v.practice), text(&v.address), text(&v.contact), text(&v.number)]
}

pub(super) fn read_prescriptions(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let vet = c.must("vet", "the vet's name", |t| vet(flock, t));
        let on = c.day("on");
        let product = c.must("product", "a product", |t| Ok(t.to_string()));
        let valid_to = c.may("valid_to", Day::parse_iso);
        let off_label = c.may("off_label", yes_no).unwrap_or(false);
        let mut period = |column| c.may(column, Withdrawal::parse).unwrap_or_default();
        let (meat, milk, export) = (period("meat_days"), period("milk_days"), period("export_days"));
        let (Some(vet), Some(on), Some(product), true) = (vet, on, product, c.good()) else { continue };
        let draft = PrescriptionDraft {
            vet,
            on,
            valid_to,
            number: c.words("number"),
            product,
            whom: c.words("whom"),
            dose: c.words("dose"),
            reason: c.words("reason"),
            off_label,
            meat,
            milk,
            export,
        };
        if flock.cupboard().prescriptions.iter().any(|p| is_same_prescription(p, &draft)) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| prescriptions(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Prescriptions(all) => all.iter().map(|p| prescription_row(flock, p)).collect(),
            _ => Vec::new(),
        },
    )
}

fn vet(flock: &Flock, name: &str) -> Result<VetId, Misread> {
    let found = flock.cupboard().vet_named(name).map(|v| v.id);
    found.ok_or_else(|| {
        Misread::new(format!("no vet of the book is called {name}: import the vets first, or mend the name"))
    })
}

fn is_same_prescription(p: &Prescription, d: &PrescriptionDraft) -> bool {
    p.struck.is_none()
        && (p.vet, p.on, p.valid_to, p.off_label) == (d.vet, d.on, d.valid_to, d.off_label)
        && (p.meat, p.milk, p.export) == (d.meat, d.milk, d.export)
        && p.number == d.number
        && p.product == d.product
        && p.whom == d.whom
        && p.dose == d.dose
        && p.reason == d.reason
}

pub(super) fn prescription_rows(flock: &Flock) -> Vec<Vec<String>> {
    let standing = flock.cupboard().prescriptions.iter().filter(|p| p.struck.is_none());
    let mut rows: Vec<Vec<String>> = standing.map(|p| prescription_row(flock, p)).collect();
    // By day, then as they read.
    rows.sort_by(|a, b| (&a[1], a).cmp(&(&b[1], b)));
    rows
}

fn prescription_row(flock: &Flock, p: &Prescription) -> Vec<String> {
    vec![
        vet_name(flock, p),
        p.on.to_string(),
        p.product.clone(),
        text(&p.number),
        day_text(p.valid_to),
        text(&p.whom),
        text(&p.dose),
        text(&p.reason),
        if p.off_label { "yes".into() } else { String::new() },
        p.meat.text(),
        p.milk.text(),
        p.export.text(),
    ]
}

fn vet_name(flock: &Flock, p: &Prescription) -> String {
    flock.cupboard().vet(p.vet).map_or_else(String::new, |v| v.name.clone())
}

/// Standing prescriptions and the names they go by: the number, where it names one only, else day, vet and product.
pub(super) struct Prescribed(Vec<(PrescriptionId, String, String)>);

impl Prescribed {
    pub(super) fn of(flock: &Flock) -> Self {
        let standing = flock.cupboard().prescriptions.iter().filter(|p| p.struck.is_none());
        let long = |p: &Prescription| format!("{} {}: {}", p.on, vet_name(flock, p), p.product);
        Self(standing.map(|p| (p.id, text(&p.number), long(p))).collect())
    }

    /// The one of this name, if the book has it.
    pub(super) fn find(&self, name: &str) -> Result<Option<PrescriptionId>, Misread> {
        let of = |id: &str| id.to_lowercase() == name.trim().to_lowercase();
        let mut numbered = self.0.iter().filter(|(_, number, _)| !number.is_empty() && of(number));
        match (numbered.next(), numbered.next()) {
            (Some((id, ..)), None) => return Ok(Some(*id)),
            (Some((_, _, long)), Some(_)) => {
                return Err(Misread::new(format!(
                    "several prescriptions have the number {name}: write which by day, vet and product, such as '{long}'"
                )));
            }
            (None, _) => {}
        }
        Ok(self.0.iter().find(|(_, _, long)| of(long)).map(|(id, ..)| *id))
    }

    /// The shortest name that finds it; nothing for one struck out.
    pub(super) fn name(&self, id: Option<PrescriptionId>) -> String {
        let Some((id, number, long)) = id.and_then(|id| self.0.iter().find(|(i, ..)| *i == id)) else {
            return String::new();
        };
        if self.find(number).is_ok_and(|found| found == Some(*id)) { number.clone() } else { long.clone() }
    }
}
