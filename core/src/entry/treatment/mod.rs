//! Treatments: drafts become records, and each record is looked at beside the label, the bottle, the prescription and
//! the rules of the place.

mod asked;
mod bottle;
mod course;
mod draft;
mod fault;
mod label;

pub use asked::asked_fields;
pub use course::after_hours;
pub use draft::{CourseDraft, DoseDraft, TreatmentDraft, TreatmentExtra};
pub use fault::{TreatmentRefused, TreatmentUnusual};
pub use label::{least_off_label, off_label_of, usual_periods};

use super::dose::{amount, dose};
use super::lambing::not_here;
use super::standing::{before_birth, names};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{AnimalFile, CoursePart, Flock, Product, Treatment, TreatmentMore};
use crate::terms::{AnimalId, Day, Dose, Moment, TreatmentId, Withdrawal, Words};
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
    fn new(flock: &'a Flock, today: Day) -> Self {
        Self { flock, products: HashMap::new(), bottles: bottle::Bottles::new(flock, today) }
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
    let mut scene = Scene::new(flock, today);
    let mut guessed = false;
    if drafts.is_empty() || drafts.iter().any(|d| d.animals.is_empty()) {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    for (row, d) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.at.day, today);
        if drafts.len() == 1 && today.since(d.at.day) > LONG_AGO {
            faults.question(Field::row("on", row), TreatmentUnusual::LongAgo { on: d.at.day }.into());
        }
        if let Some(number) = &d.more.unknown_prescription {
            let what = TreatmentUnusual::NoSuchPrescription(number.clone());
            faults.question(Field::row("prescription", row), what.into());
        }
        let name = d.product.trim();
        if name.is_empty() {
            faults.refuse(Field::row("product", row), Refused::Missing("a product"));
        } else if name.to_lowercase().contains("mixed with") {
            faults.refuse(Field::row("product", row), Refused::Mixed(name.into()));
        }
        let product = scene.product(name);
        let doses = course::moments(&mut faults, row, d, today);
        let estimated = d.more.estimated;
        let shares = course::shares(&mut faults, row, d, d.route.or_else(|| product.and_then(|p| p.route)));
        for (nth, id) in d.animals.iter().enumerate() {
            let Some(f) = flock.file(*id) else {
                faults.refuse(Field::row("tag", row), Refused::Gone);
                continue;
            };
            before_birth(&mut faults, Field::row("on", row), &f.animal, d.at.day);
            not_here(&mut faults, Field::row("tag", row), &f.animal, d.at.day);
            course::goes_on(&mut faults, row, d, f);
            guessed |=
                estimated.is_some() && d.dose == DoseDraft::ByRule && f.last_weight(d.at.day).is_none();
            for (at, part) in course::parts(d, &doses) {
                // Doses of one course may fall on one day.
                if part.is_none_or(|c| c.nth == 1 || d.more.goes_on.is_some()) {
                    twice(&mut faults, row, name, (at, part), f, &mut seen);
                }
                let mut t = record(d, at, product, f, flock);
                t.dose = match &shares {
                    Some(shares) => shares.get(nth).copied(),
                    None => dose(&mut faults, row, d, product, f),
                };
                t.more.course = part;
                if shares.is_none() {
                    let typed = matches!(d.dose, DoseDraft::Typed(_));
                    amount(&mut faults, row, &t, f, product, (typed, estimated));
                }
                look(&mut faults, row, &t, f, &mut scene);
                say_off_label(&mut t, product);
                all.push(t);
            }
        }
    }
    scene.bottles.enough(&mut faults);
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => {
                let by = if guessed { ", by an estimated weight" } else { "" };
                format!("{} for {}{by}", one.product.trim(), names(flock, &one.animals))
            }
            many => format!("{} treatments", many.len()),
        };
        (Entry::Treatments(all), sentence)
    })
}

/// Looks at an amended treatment as it will stand. What was to be found in it before is not found again: a word mended in
/// an old record asks nothing, whatever the rules have become since.
pub(super) fn amended(faults: &mut Faults, t: &mut Treatment, flock: &Flock, today: Day) {
    let Some(f) = flock.file(t.animal) else { return };
    let old = f.treatments.iter().find(|o| o.id == t.id);
    if let Some(c) = t.more.course.filter(|c| c.nth == 0 || c.nth > c.of) {
        let why = TreatmentRefused::AfterTheCourse { nth: c.nth, of: c.of };
        faults.refuse(Field::of("course"), why.into());
    }
    if old.is_none_or(|o| o.at.day != t.at.day) && today.since(t.at.day) > LONG_AGO {
        faults.question(Field::of("on"), TreatmentUnusual::LongAgo { on: t.at.day }.into());
    }
    let found = |t: &Treatment| {
        let (mut found, mut scene) = (Faults::default(), Scene::new(flock, today));
        amount(&mut found, 0, t, f, scene.product(&t.product), (true, None));
        look(&mut found, 0, t, f, &mut scene);
        found
    };
    let before = old.map(found).unwrap_or_default();
    faults.take_new(found(t), &before);
    say_off_label(t, flock.product(&t.product));
}

/// A use off the label is written down as one, whoever noticed it.
fn say_off_label(t: &mut Treatment, product: Option<&Product>) {
    if t.more.off_label.is_none() {
        let found = product.map(|p| off_label_of(p, t.route, t.dose)).unwrap_or_default();
        t.more.off_label = (!found.is_empty()).then(|| found.join("; ").into());
    }
}

fn look(faults: &mut Faults, row: usize, t: &Treatment, f: &AnimalFile, scene: &mut Scene<'_>) {
    let product = scene.product(&t.product);
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
    let vet = || script.and_then(|s| flock.cupboard().vet(s.vet)).map(|v| Words::from(&v.name));
    Treatment {
        id: TreatmentId::new(),
        animal: f.animal.id,
        at,
        product: d.product.trim().into(),
        batch: words(&d.batch),
        dose: None,
        route,
        site: words(&d.site),
        reason: words(&d.reason).or_else(|| script.and_then(|s| s.reason.as_ref()).map(Words::from)),
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
        }
        .into(),
        struck: None,
    }
}

/// Questions the same product twice on a day.
fn twice(
    faults: &mut Faults,
    row: usize,
    name: &str,
    (at, part): (Moment, Option<CoursePart>),
    f: &AnimalFile,
    seen: &mut HashSet<(AnimalId, Moment, String)>,
) {
    let of_course = |t: &Treatment| part.zip(t.more.course).is_some_and(|(a, b)| a.id == b.id);
    let again = !seen.insert((f.animal.id, at, name.to_lowercase()))
        || f.treatments_standing().any(|t| {
            t.at.day == at.day
                && !of_course(t)
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
