//! Treatments: drafts become records, and each record is looked at beside the label, the bottle, the prescription and
//! the rules of the place.

mod asked;
mod bottle;
mod course;
mod draft;
mod fault;
mod label;

pub use course::after_hours;
pub use draft::{CourseDraft, DoseDraft, TreatmentDraft, TreatmentExtra};
pub use fault::{TreatmentRefused, TreatmentUnusual};
pub use label::{off_label_of, usual_periods};

use super::dose::dose;
use super::lambing::not_here;
use super::standing::{before_birth, names};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{AnimalFile, Flock, Product, Treatment, TreatmentMore};
use crate::terms::{AnimalId, Day, Dose, Moment, TreatmentId, Withdrawal};
use std::collections::{HashMap, HashSet};

/// A day further back than this is questioned where one treatment is written, days.
const LONG_AGO: i64 = 731;

/// What is looked up once for an entry.
struct Scene<'a> {
    flock: &'a Flock,
    products: HashMap<String, Option<&'a Product>>,
    bottles: bottle::Bottles<'a>,
}

impl<'a> Scene<'a> {
    fn new(flock: &'a Flock) -> Self {
        Self { flock, products: HashMap::new(), bottles: bottle::Bottles::new(flock) }
    }

    fn product(&mut self, name: &str) -> Option<&'a Product> {
        let flock = self.flock;
        *self.products.entry(name.to_lowercase()).or_insert_with(|| flock.product(name))
    }
}

/// Checks treatments; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn treatments(drafts: Vec<TreatmentDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let mut all = Vec::new();
    let mut seen: HashSet<(AnimalId, Moment, String)> = HashSet::new();
    let mut scene = Scene::new(flock);
    if drafts.is_empty() || drafts.iter().any(|d| d.animals.is_empty()) {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    for (row, d) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.at.day, today);
        if drafts.len() == 1 && today.since(d.at.day) > LONG_AGO {
            faults.question(Field::row("on", row), TreatmentUnusual::LongAgo { on: d.at.day }.into());
        }
        let name = d.product.trim();
        if name.is_empty() {
            faults.refuse(Field::row("product", row), Refused::Missing("a product"));
        } else if name.to_lowercase().contains("mixed with") {
            faults.refuse(Field::row("product", row), Refused::Mixed(name.into()));
        }
        let product = scene.product(name);
        let doses = course::moments(&mut faults, row, d, today);
        let shares = course::shares(&mut faults, row, d);
        for (nth, id) in d.animals.iter().enumerate() {
            let Some(f) = flock.file(*id) else {
                faults.refuse(Field::row("tag", row), Refused::Gone);
                continue;
            };
            before_birth(&mut faults, Field::row("on", row), &f.animal, d.at.day);
            not_here(&mut faults, Field::row("tag", row), &f.animal, d.at.day);
            course::goes_on(&mut faults, row, d, f);
            for (at, part) in course::parts(d, &doses) {
                twice(&mut faults, row, name, at, f, &mut seen);
                let mut t = record(d, at, product, f, flock);
                t.dose = match &shares {
                    Some(shares) => shares.get(nth).copied(),
                    None => dose(&mut faults, row, d, product, f, t.route),
                };
                t.more.course = part;
                look(&mut faults, row, &t, f, &mut scene, d.more.estimated.is_some() || shares.is_some());
                all.push(t);
            }
        }
    }
    scene.bottles.enough(&mut faults);
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("{} for {}", one.product.trim(), names(flock, &one.animals)),
            many => format!("{} treatments", many.len()),
        };
        (Entry::Treatments(all), sentence)
    })
}

/// Looks at one treatment as it will stand: new values of an amended one as well.
pub(super) fn amended(faults: &mut Faults, t: &Treatment, flock: &Flock) {
    if let Some(f) = flock.file(t.animal) {
        look(faults, 0, t, f, &mut Scene::new(flock), true);
    }
}

fn look(faults: &mut Faults, row: usize, t: &Treatment, f: &AnimalFile, scene: &mut Scene<'_>, quiet: bool) {
    let product = scene.product(&t.product);
    if let Some(p) = product.filter(|_| !quiet) {
        label::far_above(faults, row, t, f, p);
    }
    label::look(faults, row, t, f, product, scene.flock);
    scene.bottles.look(faults, row, t, product);
    asked::look(faults, row, t, product, scene.flock);
}

/// The record of one dose for one animal.
fn record(
    d: &TreatmentDraft,
    at: Moment,
    product: Option<&Product>,
    f: &AnimalFile,
    flock: &Flock,
) -> Treatment {
    let script = d.more.prescription.and_then(|id| flock.cupboard().prescription(id));
    let route = d.route.or_else(|| product.and_then(|p| p.route));
    let (meat, milk, export) = product.map(|p| usual_periods(flock, p, route)).unwrap_or_default();
    let directed =
        |own: Option<Withdrawal>, by_vet: Option<Withdrawal>, label: Withdrawal| match (own, by_vet) {
            (Some(own), _) => own,
            (None, Some(vet)) if vet != Withdrawal::Unknown => vet,
            _ => label,
        };
    let vet = || script.and_then(|s| flock.cupboard().vet(s.vet)).map(|v| v.name.clone());
    Treatment {
        id: TreatmentId::new(),
        animal: f.animal.id,
        at,
        product: d.product.trim().to_string(),
        batch: words(&d.batch),
        dose: None,
        route,
        site: words(&d.site),
        reason: words(&d.reason).or_else(|| script.and_then(|s| s.reason.clone())),
        given_by: words(&d.given_by),
        prescribed_by: words(&d.prescribed_by).or_else(vet),
        meat: directed(d.meat, script.map(|s| s.meat), meat),
        milk: directed(d.milk, script.map(|s| s.milk), milk),
        more: TreatmentMore {
            export: directed(d.more.export, script.map(|s| s.export), export),
            vet_gave: d.more.vet_gave,
            off_label: words(&d.more.off_label)
                .or_else(|| script.filter(|s| s.off_label).map(|_| "as the vet prescribed it".into())),
            prescription: d.more.prescription,
            course: None,
        },
        struck: None,
    }
}

/// Questions the same product twice on a day.
fn twice(
    faults: &mut Faults,
    row: usize,
    name: &str,
    at: Moment,
    f: &AnimalFile,
    seen: &mut HashSet<(AnimalId, Moment, String)>,
) {
    let again = !seen.insert((f.animal.id, at, name.to_lowercase()))
        || f.treatments_standing().any(|t| {
            t.at.day == at.day
                && t.product.eq_ignore_ascii_case(name)
                && (t.at.time == at.time || t.at.time.is_none() || at.time.is_none())
        });
    if again {
        let what = Unusual::GivenTwice { tag: f.animal.tag().into(), product: name.into() };
        faults.question(Field::row("product", row), what);
    }
}

/// Two amounts together, when they are of one kind.
fn plus(a: Dose, b: Dose) -> Option<Dose> {
    match (a, b) {
        (Dose::Volume(a), Dose::Volume(b)) => Some(Dose::Volume(a.saturating_add(b))),
        (Dose::Mass(a), Dose::Mass(b)) => Some(Dose::Mass(a.saturating_add(b))),
        (Dose::Pieces(a), Dose::Pieces(b)) => Some(Dose::Pieces(a.saturating_add(b))),
        _ => None,
    }
}

/// Minutes of a period; nothing for one that is not known.
fn minutes(w: Withdrawal) -> Option<i64> {
    match w {
        Withdrawal::Days(n) => Some(i64::from(n) * 1440),
        Withdrawal::Hours(n) => Some(i64::from(n) * 60),
        Withdrawal::Never => Some(i64::MAX),
        Withdrawal::Unknown => None,
    }
}
