//! Treatments as rows.

use super::names::{ADD_FIRST, Names};
use super::sheet::{Cells, Sheet, yes_no};
use super::vets::Prescribed;
use super::{Taken, Unfit, text};
use crate::entry::{DoseDraft, Entry, TreatmentDraft, TreatmentExtra, treatments};
use crate::flock::{CoursePart, Flock, Treatment};
use crate::terms::{AnimalId, CourseId, Day, Dose, Minute, Misread, Moment, Route, Withdrawal};
use std::collections::HashMap;

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let (prescribed, mut courses, mut words) = (Prescribed::of(flock), HashMap::new(), Vec::new());
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
        let export = c.may("export_days", Withdrawal::parse);
        let vet_gave = c.may("vet_gave", yes_no).unwrap_or(false);
        let named = c.words("prescription");
        let prescription = c.may("prescription", |t| prescribed.find(t)).flatten();
        // One that is not in the book is told, and the treatment comes in without it.
        let unknown_prescription = named.filter(|_| prescription.is_none());
        let course = course(&mut c);
        let good = c.good();
        let (Some(animal), Some(day), Some(product), true) = (animal, day, product, good) else { continue };
        let mut draft = TreatmentDraft {
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
            more: TreatmentExtra {
                export,
                vet_gave,
                off_label: c.words("off_label"),
                prescription,
                unknown_prescription,
                ..Default::default()
            },
        };
        if let Some(t) = held(flock, animal, &draft, dose, course.as_ref().map(|(_, part)| part)) {
            // Doses of the same course that are new join the one in the book.
            if let (Some((word, _)), Some(part)) = (course, t.more.course) {
                courses.insert(word, part.id);
            }
            same.push(line.number);
            continue;
        }
        if let Some((word, part)) = course {
            draft.more.of_course = Some(part);
            words.push((drafts.len(), word));
        }
        drafts.push(draft);
        order.push(i);
    }
    for (at, word) in words {
        let id = *courses.entry(word).or_insert_with(CourseId::new);
        if let Some(part) = drafts.get_mut(at).and_then(|d: &mut TreatmentDraft| d.more.of_course.as_mut()) {
            part.id = id;
        }
    }
    let check = (!drafts.is_empty()).then(|| treatments(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Treatments(all) => written(flock, names, all.iter().collect()),
            _ => Vec::new(),
        },
    )
}

/// The course of a row, by its word, with which dose it is; its id is found later.
fn course(c: &mut Cells<'_>) -> Option<(String, CoursePart)> {
    let number = |what: &'static str, most: u16| {
        move |t: &str| {
            let n = t.parse::<u16>().ok().filter(|n| (1..=most).contains(n));
            n.ok_or_else(|| Misread::new(format!("'{t}' is not {what}: write 1 to {most}")))
        }
    };
    let word = c.words("course");
    let (nth, of) =
        (c.may("course_dose", number("a dose", 255)), c.may("course_of", number("a count of doses", 255)));
    let every_hours = c.may("course_hours", number("a count of hours", 9999));
    let Some(word) = word else {
        for column in ["course_dose", "course_of", "course_hours"] {
            if !c.value(column).is_empty() {
                c.wrong(
                    column,
                    "the course has no word: write one in the column course, or leave this blank",
                );
            }
        }
        return None;
    };
    for column in ["course_dose", "course_of", "course_hours"] {
        if c.value(column).is_empty() {
            c.wrong(column, "it is needed of a dose of a course: fill it in, or leave the course blank");
        }
    }
    let (nth, of, every_hours) = (nth?, of?, every_hours?);
    if nth > of {
        c.wrong("course_dose", format!("the course has {of} doses: mend one of the two"));
        return None;
    }
    let (nth, of) = (u8::try_from(nth).ok()?, u8::try_from(of).ok()?);
    Some((word, CoursePart { id: CourseId::new(), nth, of, every_hours }))
}

/// This very treatment, if the book holds it. What the row leaves to the product counts as the same.
fn held<'a>(
    flock: &'a Flock,
    animal: AnimalId,
    d: &TreatmentDraft,
    dose: Option<Dose>,
    course: Option<&CoursePart>,
) -> Option<&'a Treatment> {
    let part = |p: &CoursePart| (p.nth, p.of, p.every_hours);
    flock.file(animal)?.treatments_standing().find(|t| {
        t.at == d.at
            && t.product == d.product
            && t.dose == dose
            && t.batch.as_deref() == d.batch.as_deref()
            && t.site.as_deref() == d.site.as_deref()
            && t.reason.as_deref() == d.reason.as_deref()
            && t.given_by.as_deref() == d.given_by.as_deref()
            && t.prescribed_by.as_deref() == d.prescribed_by.as_deref()
            && d.route.is_none_or(|r| t.route == Some(r))
            && d.meat.is_none_or(|m| t.meat == m)
            && d.milk.is_none_or(|m| t.milk == m)
            && d.more.export.is_none_or(|e| t.more.export == e)
            && t.more.vet_gave == d.more.vet_gave
            && t.more.off_label.as_deref() == d.more.off_label.as_deref()
            && t.more.prescription == d.more.prescription
            && t.more.course.as_ref().map(part) == course.map(part)
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
    written(flock, names, all)
}

/// Treatments as rows, with what holds for all of them: courses are counted as they come.
fn written(flock: &Flock, names: &Names, all: Vec<&Treatment>) -> Vec<Vec<String>> {
    let prescribed = Prescribed::of(flock);
    let mut courses: HashMap<CourseId, usize> = HashMap::new();
    let one = |t: &Treatment| {
        let course = t.more.course.map(|part| {
            let n = courses.len() + 1;
            (*courses.entry(part.id).or_insert(n), part)
        });
        row(flock, names, &prescribed, t, course)
    };
    all.into_iter().map(one).collect()
}

fn row(
    flock: &Flock,
    names: &Names,
    prescribed: &Prescribed,
    t: &Treatment,
    course: Option<(usize, CoursePart)>,
) -> Vec<String> {
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
    // A blank is the product's own; where that is not known either, a blank says as much.
    let label = flock.product(&t.product).map(|p| p.periods(t.route).2).unwrap_or_default();
    let script = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
    let directed = script.map(|s| s.export).unwrap_or_default();
    let export = if [t.more.export, label, directed].iter().all(|w| *w == Withdrawal::Unknown) {
        String::new()
    } else {
        period(t.more.export)
    };
    let number = |n: fn(CoursePart) -> u16| course.map(|(_, part)| n(part).to_string()).unwrap_or_default();
    vec![
        names.name_of(flock, Some(t.animal)),
        t.at.day.to_string(),
        t.product.to_string(),
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
        export,
        if t.more.vet_gave { "yes".into() } else { String::new() },
        text(&t.more.off_label),
        prescribed.name(t.more.prescription),
        course.map(|(n, _)| n.to_string()).unwrap_or_default(),
        number(|p| p.nth.into()),
        number(|p| p.of.into()),
        number(|p| p.every_hours),
    ]
}
