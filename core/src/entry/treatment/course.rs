//! Courses of several doses, and amounts shared among a group.

use super::draft::{CourseDraft, TreatmentDraft};
use super::fault::TreatmentRefused;
use crate::entry::{Faults, Field};
use crate::flock::{AnimalFile, CoursePart};
use crate::terms::{CourseId, Day, Dose, Minute, Moment, Route};

/// When the doses of a draft that have been given by today were given: the first at its own time, each further one so
/// many hours after it. Doses still to come are not written.
pub(super) fn moments(faults: &mut Faults, row: usize, d: &TreatmentDraft, today: Day) -> Vec<Moment> {
    let Some(course) = d.more.course else { return vec![d.at] };
    if !(2..=30).contains(&course.doses) || !(1..=1000).contains(&course.every_hours) {
        faults.refuse(Field::row("course", row), TreatmentRefused::NoCourse.into());
        return vec![d.at];
    }
    let all = (0..course.doses).map(|n| after_hours(d.at, u32::from(n) * u32::from(course.every_hours)));
    let given: Vec<Moment> = all.take_while(|at| at.day <= today).collect();
    if given.is_empty() { vec![d.at] } else { given }
}

/// So many hours after a dose; without a time of day, so many days as are full.
pub fn after_hours(at: Moment, hours: u32) -> Moment {
    match at.time {
        None => Moment { day: at.day.plus(i64::from(hours / 24)), time: None },
        Some(time) => {
            let minutes = time.of_day() + i64::from(hours) * 60;
            let (days, rest) = (minutes.div_euclid(1440), minutes.rem_euclid(1440));
            Moment { day: at.day.plus(days), time: Minute::new((rest / 60) as u32, (rest % 60) as u32) }
        }
    }
}

/// Each dose of one animal with its place in the course: the same course for all its doses.
pub(super) fn parts(d: &TreatmentDraft, given: &[Moment]) -> Vec<(Moment, Option<CoursePart>)> {
    match d.more.course {
        None => given.iter().map(|at| (*at, d.more.goes_on.or(d.more.of_course))).collect(),
        Some(CourseDraft { doses, every_hours }) => {
            let id = CourseId::new();
            let part = |nth: usize| CoursePart { id, nth: nth as u8 + 1, of: doses, every_hours };
            given.iter().enumerate().map(|(nth, at)| (*at, Some(part(nth)))).collect()
        }
    }
}

/// Refuses a further dose of a course the animal is not on, or that is written already.
pub(super) fn goes_on(faults: &mut Faults, row: usize, d: &TreatmentDraft, f: &AnimalFile) {
    let Some(part) = d.more.goes_on else { return };
    let of = |t: &&crate::flock::Treatment| t.more.course.is_some_and(|c| c.id == part.id);
    let on_it = f
        .treatments_standing()
        .filter(of)
        .any(|t| t.product.eq_ignore_ascii_case(d.product.trim()) && t.at <= d.at);
    let written =
        f.treatments_standing().filter(of).any(|t| t.more.course.is_some_and(|c| c.nth == part.nth));
    if !on_it || written {
        let why =
            TreatmentRefused::NotThatCourse { tag: f.animal.tag().into(), product: d.product.trim().into() };
        faults.refuse(Field::row("course", row), why.into());
    }
}

/// What each animal of a group gets of an amount given to all: equal shares, the smallest parts of what is over going
/// to the first, so that the shares add up to the whole.
pub(super) fn shares(
    faults: &mut Faults,
    row: usize,
    d: &TreatmentDraft,
    route: Option<Route>,
) -> Option<Vec<Dose>> {
    let whole = d.more.shared?;
    let in_common = |r: &Route| matches!(r, Route::Feed | Route::Water | Route::Bath | Route::Other);
    if let Some(route) = route.filter(|r| !in_common(r)) {
        faults.refuse(Field::row("shared", row), TreatmentRefused::NotShared { route: route.words() }.into());
    }
    let n = d.animals.len().max(1) as u64;
    let split = |all: u64| -> Vec<u64> { (0..n).map(|i| all / n + u64::from(i < all % n)).collect() };
    let shares: Vec<Dose> = match whole {
        Dose::Volume(ul) => split(ul.into()).into_iter().map(|x| Dose::Volume(x as u32)).collect(),
        Dose::Mass(ug) => split(ug).into_iter().map(Dose::Mass).collect(),
        Dose::Pieces(p) => split(p.into()).into_iter().map(|x| Dose::Pieces(x as u32)).collect(),
    };
    let nothing = |d: &Dose| matches!(d, Dose::Volume(0) | Dose::Mass(0) | Dose::Pieces(0));
    if shares.iter().any(nothing) {
        let why = TreatmentRefused::TooFewPieces { pieces: whole, animals: d.animals.len() };
        faults.refuse(Field::row("shared", row), why.into());
    }
    Some(shares)
}
