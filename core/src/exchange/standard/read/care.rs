//! Treatments.

use super::Reader;
use super::item::TreatmentItem;
use crate::entry::{DoseDraft, Entry, TreatmentDraft, TreatmentExtra, treatments};
use crate::exchange::sheet::Met;
use crate::flock::{CoursePart, Treatment};
use crate::reckon::clearance::ends_after;
use crate::terms::{CourseId, Moment, PrescriptionId, Route, TreatmentId, Withdrawal};
use std::collections::HashSet;
use uuid::Uuid;

/// The longest period that is looked for in an end, days.
const LONGEST: u16 = 3650;

impl Reader<'_> {
    pub(super) fn treatments(&mut self, all: Vec<TreatmentItem>) {
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.treatments).map(|t| t.id.0).collect();
        let mut met = Met::<TreatmentId>::default();
        let (mut places, mut drafts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
        for item in all {
            if self.is_held(&item.event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(animal), Some(at)) = (self.whose(&item.event), item.event.at) else { continue };
            let Some(draft) = self.treatment(&item, at) else { continue };
            let draft = TreatmentDraft { animals: vec![animal], ..draft };
            let held = self.book.file(animal).into_iter().flat_map(|f| &f.treatments);
            if met.one(held, |t| t.id, |t| is_same(t, &draft, item.event.ours)) {
                self.same += 1;
                continue;
            }
            places.push(item.event.place);
            ids.push(item.event.record);
            drafts.push(draft);
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.animals[0], d.at.day, d.product.clone())).collect();
        let check = treatments(drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            if let Entry::Treatments(all) = entry {
                all.iter_mut().zip(ids).for_each(|(t, id)| t.id = id.map_or(t.id, TreatmentId));
            }
        });
        for (animal, on, what) in told {
            self.tell("treatment", animal, Some(on), what);
        }
    }

    fn treatment(&mut self, item: &TreatmentItem, at: Moment) -> Option<TreatmentDraft> {
        let Some(product) = item.product.clone() else {
            self.leave("treatments without a medicine");
            return None;
        };
        let (kept, ours) = (&item.event.kept, item.event.ours);
        let text = |key: &str| kept.get(key).map(str::to_string);
        let route = item.procedure.as_deref().and_then(|p| Route::parse(p).ok());
        // How it was done, where it is no route of ours, and a remark are words on the treatment.
        let done = item.procedure.clone().filter(|_| route.is_none());
        let words: Vec<String> =
            item.reason.iter().cloned().chain(done).chain(item.event.note.clone()).collect();
        let reason = (!words.is_empty()).then(|| words.join("; "));
        // Ours say what they do not know; of others what is not said is the product's own.
        let period = |key: &str, end: Option<Moment>| {
            let said = kept.get(key).and_then(|t| Withdrawal::parse(t).ok());
            said.or_else(|| end.map(|end| by_end(at, end))).or(ours.then_some(Withdrawal::Unknown))
        };
        let prescription = kept.get("prescription").and_then(|t| Uuid::try_parse(t).ok()).map(PrescriptionId);
        let here = prescription.filter(|id| self.book.cupboard().prescription(*id).is_some());
        if prescription.is_some() && here.is_none() {
            self.leave("the prescriptions of treatments, which are not in this book");
        }
        Some(TreatmentDraft {
            animals: Vec::new(),
            at,
            product,
            batch: item.batch.clone(),
            dose: DoseDraft::Typed(item.dose),
            route,
            site: item.site.clone(),
            reason,
            given_by: item.given_by.clone(),
            prescribed_by: text("prescribed_by"),
            meat: period("meat", item.ends[0]),
            milk: period("milk", item.ends[1]),
            more: TreatmentExtra {
                export: period("export", None),
                vet_gave: kept.get("vet_gave") == Some("yes"),
                off_label: text("off_label"),
                prescription: here,
                of_course: kept.get("course").and_then(course),
                ..Default::default()
            },
        })
    }
}

/// A course as we write it: `ID 2 of 3 every 24 h`.
pub(super) fn course(text: &str) -> Option<CoursePart> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [id, nth, "of", of, "every", hours, "h"] = words.as_slice() else { return None };
    let part = CoursePart {
        id: CourseId(Uuid::try_parse(id).ok()?),
        nth: nth.parse().ok()?,
        of: of.parse().ok()?,
        every_hours: hours.parse().ok()?,
    };
    (part.nth > 0 && part.nth <= part.of).then_some(part)
}

/// The shortest period of whole days after which nothing is held any longer than the file says: never a shorter one.
pub(super) fn by_end(at: Moment, end: Moment) -> Withdrawal {
    // A day alone as an end holds for the whole of it.
    let end = if end.time.is_some() { end } else { Moment { day: end.day.plus(1), time: None } };
    let days = (0..=LONGEST).find(|n| {
        ends_after(at, Withdrawal::Days(*n)).is_some_and(|e| (e.day, e.time) >= (end.day, end.time))
    });
    days.map_or(Withdrawal::Never, Withdrawal::Days)
}

/// This very treatment stands in the book. What a file of others leaves to the product counts as the same.
fn is_same(t: &Treatment, d: &TreatmentDraft, ours: bool) -> bool {
    let dose = match d.dose {
        DoseDraft::Typed(dose) => dose,
        DoseDraft::ByRule => None,
    };
    t.struck.is_none()
        && t.at == d.at
        && t.product.eq_ignore_ascii_case(d.product.trim())
        && t.dose == dose
        && t.batch.as_deref() == d.batch.as_deref()
        && d.route.is_none_or(|r| t.route == Some(r))
        && (!ours || t.more.course.map(|c| (c.nth, c.of)) == d.more.of_course.map(|c| (c.nth, c.of)))
}
