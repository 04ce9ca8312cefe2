//! Treatments, and the courses they belong to.
//!
//! Every treatment stands by itself in the collection of treatments, so that a reader of withdrawals misses none; a course
//! tells what its doses have in common and does not repeat them.

use super::super::kept::Kept;
use super::super::schemes::EXPORT;
use super::super::time::noon;
use super::super::words;
use super::{Made, Scene};
use crate::flock::{Treatment, same_batch};
use crate::reckon::clearance::ends_after;
use crate::terms::{CourseId, Day, Dose, Moment, Withdrawal};
use serde_json::{Value as Json, json};
use std::collections::BTreeMap;

pub(super) fn treatments(scene: &Scene<'_>) -> Vec<Json> {
    let all = scene.files().flat_map(|f| &f.treatments).filter(|t| scene.goes(&t.struck));
    all.filter_map(|t| treatment(scene, t)).collect()
}

fn treatment(scene: &Scene<'_>, t: &Treatment) -> Option<Json> {
    let mut made = scene.event("icarTreatmentEventResource", t.id.bytes(), t.animal, &t.struck)?;
    made.text("eventDateTime", Some(scene.at(t.at)));
    made.text("responsible", t.given_by.clone());
    made.put("medicine", json!({ "name": t.product }));
    // The standard's `procedure` is the method of application.
    made.text("procedure", t.route.map(|r| r.words()));
    made.text("site", t.site.clone());
    made.text("comment", t.reason.clone());
    if let Some((quantity, units)) = t.dose.and_then(words::dose_units) {
        made.put("dose", json!({ "doseQuantity": quantity, "doseUnits": units }));
    }
    if let Some(batch) = batch(scene, t) {
        made.put("batches", json!([batch]));
    }
    let export = Some(EXPORT);
    let ends = [("Meat", t.meat, None), ("Milk", t.milk, None), ("Meat", t.more.export, export)];
    let ends: Vec<Json> = ends
        .into_iter()
        .filter_map(|(what, period, market)| withdrawal(scene, t.at, what, period, market))
        .collect();
    if !ends.is_empty() {
        made.put("withdrawals", Json::Array(ends));
    }
    made.text("remark", kept(t).remark(None));
    Some(made.json())
}

/// What the standard has no field for.
fn kept(t: &Treatment) -> Kept {
    let mut kept = Kept::default();
    let period = |p: Withdrawal| Some(p).filter(|p| *p != Withdrawal::Unknown).map(Withdrawal::text);
    kept.put("meat", period(t.meat));
    kept.put("milk", period(t.milk));
    kept.put("export", period(t.more.export));
    kept.put("prescribed_by", t.prescribed_by.clone());
    kept.put("vet_gave", t.more.vet_gave.then_some("yes"));
    kept.put("off_label", t.more.off_label.clone());
    kept.put("prescription", t.more.prescription.map(|p| p.0.to_string()));
    kept.put("dose", t.dose.filter(|d| matches!(d, Dose::Pieces(_))).map(|d| d.to_string()));
    if let Some(c) = t.more.course {
        kept.put("course", Some(format!("{} {} of {} every {} h", c.id.0, c.nth, c.of, c.every_hours)));
    }
    kept
}

/// The batch with its expiry, where the cupboard has it.
fn batch(scene: &Scene<'_>, t: &Treatment) -> Option<Json> {
    let number = t.batch.as_ref()?;
    let mut made = Made::default();
    made.text("identifier", Some(number.clone()));
    let product = scene.flock.product(&t.product).map(|p| p.id);
    let known = |b: &&crate::flock::Batch| b.struck.is_none() && same_batch(&b.number, number);
    let mut batches = scene.flock.cupboard().batches.iter().filter(|b| Some(b.product) == product);
    made.text("expiryDate", batches.find(known).and_then(|b| b.expiry).map(noon));
    Some(made.json())
}

/// When a withdrawal ends. One that never ends is written with the last day our calendar has, so that a reader who knows
/// nothing of it holds the animal back; one that is not known is not written.
fn withdrawal(
    scene: &Scene<'_>,
    at: Moment,
    what: &str,
    period: Withdrawal,
    market: Option<&str>,
) -> Option<Json> {
    let end = match period {
        Withdrawal::Unknown => return None,
        Withdrawal::Never => Moment::day(at.day.plus(i64::MAX)),
        known => ends_after(at, known)?,
    };
    let mut made = Made::default();
    made.text("productType", Some(what));
    made.text("endDate", Some(scene.at(end)));
    made.text("market", market);
    Some(made.json())
}

/// Courses of an animal by its doses that stand.
pub(super) fn courses(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    for f in scene.files() {
        let mut by: BTreeMap<CourseId, Vec<&Treatment>> = BTreeMap::new();
        for t in f.treatments_standing() {
            if let Some(c) = t.more.course {
                by.entry(c.id).or_default().push(t);
            }
        }
        all.extend(by.into_iter().filter_map(|(id, doses)| course(scene, id, doses)));
    }
    all
}

fn course(scene: &Scene<'_>, id: CourseId, mut doses: Vec<&Treatment>) -> Option<Json> {
    doses.sort_by_key(|t| (t.at, t.id));
    let (first, last) = (*doses.first()?, *doses.last()?);
    let part = last.more.course?;
    let mut made = scene.event("icarTreatmentProgramEventResource", id.bytes(), first.animal, &None)?;
    // A course has no row of its own in the journal: it is as old as its doses.
    let stamps = || doses.iter().filter_map(|t| scene.stamps.get(t.id.bytes()));
    let changed = stamps().map(|s| &s.changed).max().and_then(|at| scene.how.zone.journal(at));
    if let (Some(changed), Some(meta)) = (changed, made.0.get_mut("meta").and_then(Json::as_object_mut)) {
        meta.insert("modified".into(), Json::String(changed));
    }
    made.text("eventDateTime", Some(scene.at(first.at)));
    let mut course = Made::default();
    course.put("medicine", json!({ "name": first.product }));
    course.text("procedure", first.route.map(|r| r.words()));
    course.text("site", first.site.clone());
    course.text("reasonForAdministration", first.reason.clone());
    course.text("startDate", Some(scene.at(first.at)));
    let hours = i64::from(part.every_hours) * i64::from(part.to_come());
    course.text("endDate", Some(scene.at(later(last.at, hours))));
    course.text("planOrActual", Some(if part.to_come() > 0 { "Plan" } else { "Actual" }));
    course.put("numberOfTreatments", json!(part.of));
    course.put("treatmentInterval", json!(part.every_hours));
    if let Some((quantity, units)) = total(&doses).and_then(words::dose_units) {
        course.put("totalDose", json!({ "doseQuantity": quantity, "doseUnits": units }));
    }
    let mut batches: Vec<Json> = doses.iter().filter_map(|t| batch(scene, t)).collect();
    batches.dedup();
    if !batches.is_empty() {
        course.put("batches", Json::Array(batches));
    }
    made.put("courses", json!([course.json()]));
    if let Some(reason) = &first.reason {
        made.put("diagnoses", json!([{ "name": reason }]));
    }
    Some(made.json())
}

/// So many hours later; of a day alone, so many days.
fn later(from: Moment, hours: i64) -> Moment {
    let minutes = from.time.map_or(0, |t| t.of_day()) + hours * 60;
    let day: Day = from.day.plus(minutes.div_euclid(24 * 60));
    let in_day = u32::try_from(minutes.rem_euclid(24 * 60)).unwrap_or(0);
    Moment { day, time: from.time.and_then(|_| crate::terms::Minute::new(in_day / 60, in_day % 60)) }
}

/// All that was given, where the doses are of one kind.
fn total(doses: &[&Treatment]) -> Option<Dose> {
    let mut all = doses.iter().map(|t| t.dose);
    let first = all.next()??;
    all.try_fold(first, |sum, dose| match (sum, dose?) {
        (Dose::Volume(a), Dose::Volume(b)) => a.checked_add(b).map(Dose::Volume),
        (Dose::Mass(a), Dose::Mass(b)) => a.checked_add(b).map(Dose::Mass),
        _ => None,
    })
}
