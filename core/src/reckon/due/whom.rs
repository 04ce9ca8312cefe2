//! Whom a step is for: the conditions of a plan.

use super::done::{self, is_of};
use super::{Ground, SAME_DAYS, anchors};
use crate::flock::{AnimalFile, Flock};
use crate::plan::{DoneBy, RearedBy, Step};
use crate::terms::{Day, Rearing, Sex, Status};

/// Days after which a sheep is looked after as a ewe or ram; one that was joined or lambed sooner is so at once.
const GROWN_DAYS: i64 = 210;

/// A joining so long after the rams went in is still of that season.
const SEASON_DAYS: i64 = 90;

pub(super) fn is_grown(f: &AnimalFile, day: Day) -> bool {
    f.animal.born.day().is_none_or(|b| day.since(b) >= GROWN_DAYS)
        || anchors::standing(f).next().is_some()
        || f.lambings_standing().next().is_some()
}

/// Whether the animal was grown for the joining season of a day, or was joined in it or before.
pub(super) fn is_grown_for(f: &AnimalFile, season: Day) -> bool {
    f.animal.age_days(season).map_or(f.animal.born.day().is_none(), |d| d >= GROWN_DAYS)
        || anchors::standing(f).any(|j| j.from <= season.plus(SEASON_DAYS))
        || f.lambings_standing().any(|l| l.at.day <= season)
}

/// Whether a step's conditions hold for the animal, counted from an anchor.
pub(super) fn fits(flock: &Flock, ground: &Ground, f: &AnimalFile, step: &Step, anchor: Day) -> bool {
    let (a, when) = (&f.animal, &step.when);
    if when.is_empty() {
        return true;
    }
    // What it was meant for before the decision, nobody keeps: a step that a decision completes was asked for until then.
    let was_open = || step.done_by == DoneBy::Decided && done::settled_on(f, anchor).is_some();
    let sex = |all: &Vec<Sex>| all.contains(&a.sex) || (a.sex == Sex::Wether && all.contains(&Sex::Ram));
    when.sex.as_ref().is_none_or(sex)
        && when.meant_for.as_ref().is_none_or(|all| all.contains(&a.meant_for) || was_open())
        && when.reared_by.is_none_or(|by| (by == RearedBy::Bottle) == (a.rearing == Rearing::Bottle))
        && when.born_with.is_none_or(|n| litter(flock, f) >= n)
        && when.lighter_g.is_none_or(|g| a.birth_weight.is_some_and(|w| w.grams() < g))
        && when.dam_vaccinated.is_none_or(|v| v == dam_vaccinated(flock, f, anchor))
        && when.vaccinated_before.is_none_or(|v| v == vaccinated_before(flock, f, anchor))
        && when.rearing.is_none_or(|r| r == rears(flock, ground, f, anchor))
}

/// How many were born together.
pub(super) fn litter(flock: &Flock, f: &AnimalFile) -> u8 {
    let lambing = f.birth.as_ref().and_then(|b| {
        let of_ewe = &flock.file(b.ewe)?.lambings;
        of_ewe.iter().find(|l| l.id == b.lambing).map(|l| u8::try_from(l.lambs.len()).unwrap_or(u8::MAX))
    });
    f.animal.birth_type.map(|b| b.count()).or(lambing).unwrap_or(1)
}

const CLOSTRIDIAL: &str = "clostridial";

/// Days of the clostridial doses of an animal before a day, in order.
fn doses(flock: &Flock, f: &AnimalFile, before: Day) -> Vec<Day> {
    let of = f.treatments_standing().filter(|t| t.at.day < before && is_of(flock, t, CLOSTRIDIAL, None));
    let mut all: Vec<Day> = of.map(|t| t.at.day).collect();
    all.sort_unstable();
    all
}

/// The dam's last dose lies two to eight weeks before the birth and was not her first: a whole course, boosted. Not
/// known counts as not. Husbandry reference 1b; the weeks are those of Schoenian, CDT vaccinations.
fn dam_vaccinated(flock: &Flock, f: &AnimalFile, born: Day) -> bool {
    let Some(dam) = f.animal.dam.and_then(|d| flock.file(d)) else { return false };
    let all = doses(flock, dam, born);
    match all.as_slice() {
        [.., _, last] => (14..=56).contains(&born.since(*last)),
        _ => false,
    }
}

/// The ewe had two doses before this pregnancy's own: she needs one booster and no first course.
fn vaccinated_before(flock: &Flock, f: &AnimalFile, due: Day) -> bool {
    doses(flock, f, due.plus(-70)).len() >= 2
}

/// The ewe rears a living lamb of this lambing, or one put on her.
fn rears(flock: &Flock, ground: &Ground, f: &AnimalFile, lambed: Day) -> bool {
    let own = f
        .lambings_standing()
        .filter(|l| (0..=SAME_DAYS).contains(&l.at.day.since(lambed)))
        .flat_map(|l| &l.lambs);
    own.chain(ground.seasons.put_on(f.animal.id)).filter_map(|id| flock.animal(*id)).any(|l| {
        l.status == Status::Present
            && flock.reared_by(l) == Some(f.animal.id)
            && l.born.day().is_none_or(|d| d.since(lambed).abs() <= 60)
    })
}
