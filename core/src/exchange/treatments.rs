//! Treatments as rows.

use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit};
use crate::entry::{DoseDraft, Entry, TreatmentDraft, treatments};
use crate::flock::{Flock, Treatment};
use crate::terms::{AnimalId, Day, Dose, Minute, Misread, Moment, Route, Withdrawal};

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), 0);
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let day = c.day("on");
        let time = c.may("time", Minute::parse);
        let product = c.must("product", "a product", |t| Ok(t.to_string()));
        let ml = c.may("dose_ml", |t| match Dose::parse(t)? {
            ml @ Dose::Volume(_) => Ok(ml),
            _ => Err(Misread::new(format!("'{t}' is not in millilitres: write it in the column dose"))),
        });
        let mut dose = c.may("dose", Dose::parse);
        if ml.is_some() && dose.is_some() {
            c.wrong("dose", "there is a dose in millilitres too: leave one of the two blank");
        }
        dose = ml.or(dose);
        let route = c.may("route", Route::parse);
        let meat = c.may("meat_days", Withdrawal::parse);
        let milk = c.may("milk_days", Withdrawal::parse);
        let good = c.good();
        let (Some(animal), Some(day), Some(product), true) = (animal, day, product, good) else { continue };
        let draft = TreatmentDraft {
            animals: vec![animal],
            at: Moment { day, time },
            product,
            batch: c.words("batch"),
            dose: DoseDraft::Typed(dose),
            route,
            site: c.words("site"),
            reason: c.words("reason"),
            given_by: c.words("given_by"),
            prescribed_by: c.words("prescribed_by"),
            meat,
            milk,
            more: Default::default(),
        };
        if is_held(flock, animal, &draft, dose) {
            same += 1;
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| treatments(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Treatments(all) => all.iter().map(|t| row(flock, names, t)).collect(),
            _ => Vec::new(),
        },
    )
}

/// The book holds this very treatment. What the row leaves to the product counts as the same.
fn is_held(flock: &Flock, animal: AnimalId, d: &TreatmentDraft, dose: Option<Dose>) -> bool {
    flock.file(animal).is_some_and(|f| {
        f.treatments_standing().any(|t| {
            t.at == d.at
                && t.product == d.product
                && t.dose == dose
                && t.batch == d.batch
                && t.site == d.site
                && t.reason == d.reason
                && t.given_by == d.given_by
                && t.prescribed_by == d.prescribed_by
                && d.route.is_none_or(|r| t.route == Some(r))
                && d.meat.is_none_or(|m| t.meat == m)
                && d.milk.is_none_or(|m| t.milk == m)
        })
    })
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Treatment> = flock.files().flat_map(|f| f.treatments_standing()).collect();
    all.sort_by(|a, b| {
        a.at.cmp(&b.at)
            .then_with(|| a.product.cmp(&b.product))
            .then_with(|| crate::flock::natural(flock.tag(a.animal), flock.tag(b.animal)))
            .then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|t| row(flock, names, t)).collect()
}

fn row(flock: &Flock, names: &Names, t: &Treatment) -> Vec<String> {
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    // A blank would mean the product's own period.
    let period = |w: Withdrawal| match w {
        Withdrawal::Unknown => "unknown".to_string(),
        known => known.text(),
    };
    let (ml, dose) = match t.dose {
        Some(d @ Dose::Volume(_)) => (d.to_string().trim_end_matches(" ml").to_string(), String::new()),
        Some(d) => (String::new(), d.to_string()),
        None => Default::default(),
    };
    vec![
        names.name_of(flock, Some(t.animal)),
        t.at.day.to_string(),
        t.product.clone(),
        t.at.time.map(|t| t.to_string()).unwrap_or_default(),
        text(&t.batch),
        ml,
        t.route.map(|r| r.word().to_string()).unwrap_or_default(),
        text(&t.reason),
        text(&t.given_by),
        text(&t.prescribed_by),
        period(t.meat),
        period(t.milk),
        dose,
        text(&t.site),
    ]
}
