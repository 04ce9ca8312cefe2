//! Who wants a second look: each with why, in words.

use super::curves::{Behind, falling_behind};
use super::gestation::expected_of;
use crate::flock::{AnimalFile, Flock, natural};
use crate::handbook::watch as bounds;
use crate::phrase;
use crate::terms::{AnimalId, Day, Fate, Rearing, Sex, Status, Units, Weight, counted};
use rapidhash::RapidHashMap;

/// An animal to watch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Watched {
    /// The animal.
    pub animal: AnimalId,
    /// Why, a few words each, the gravest first.
    pub why: Vec<String>,
}

/// Who is watched and who falls behind, of one version of the flock and a day.
#[derive(Debug)]
pub struct Watching {
    version: u64,
    day: Day,
    /// Animals to watch, by pen and tag.
    pub watched: Vec<Watched>,
    /// Animals that fall behind, the farthest first.
    pub behind: Vec<Behind>,
}

impl Watching {
    /// Looks the flock through.
    pub fn of(flock: &Flock, today: Day) -> Self {
        let behind = falling_behind(flock, today);
        Self { version: flock.version(), day: today, watched: among(flock, &behind, today), behind }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The day it is of.
    pub fn day(&self) -> Day {
        self.day
    }
}

/// Animals of the flock to watch on a day, by pen and tag.
pub fn watched(flock: &Flock, today: Day) -> Vec<Watched> {
    among(flock, &falling_behind(flock, today), today)
}

fn among(flock: &Flock, behind: &[Behind], today: Day) -> Vec<Watched> {
    let mut behind: RapidHashMap<AnimalId, &str> =
        behind.iter().map(|b| (b.animal, b.why.as_str())).collect();
    let mut all: Vec<Watched> = flock
        .present()
        .filter_map(|f| {
            let mut why = seen(flock, f, today);
            why.extend(behind.remove(&f.animal.id).map(str::to_string));
            (!why.is_empty()).then_some(Watched { animal: f.animal.id, why })
        })
        .collect();
    let place = |w: &Watched| flock.animal(w.animal).map(|a| (a.pen.as_deref().unwrap_or_default(), a.tag()));
    all.sort_by(|a, b| match (place(a), place(b)) {
        (Some((pen, tag)), Some((pen2, tag2))) => (pen.is_empty().cmp(&pen2.is_empty()))
            .then_with(|| natural(pen, pen2))
            .then_with(|| natural(tag, tag2)),
        _ => std::cmp::Ordering::Equal,
    });
    all
}

/// Why an animal is to be watched; nothing where it is not.
pub fn reasons(flock: &Flock, f: &AnimalFile, today: Day) -> Vec<String> {
    let mut why = seen(flock, f, today);
    why.extend(falling_behind(flock, today).into_iter().find(|b| b.animal == f.animal.id).map(|b| b.why));
    why
}

/// What stands in its own file.
fn seen(flock: &Flock, f: &AnimalFile, today: Day) -> Vec<String> {
    let mut why = Vec::new();
    let age = f.animal.age_days(today).filter(|a| *a >= 0);
    if let Some(age) = age.filter(|a| *a <= 200) {
        lamb(flock, f, age, today, &mut why);
    }
    if f.animal.sex == Sex::Ewe && age.is_none_or(|a| a > 200) {
        ewe(flock, f, today, &mut why);
    }
    why
}

fn lamb(flock: &Flock, f: &AnimalFile, age: i64, today: Day, why: &mut Vec<String>) {
    let units = flock.holding().units;
    let weights = f.weights();
    if let [.., (before, from), (on, to)] = weights.as_slice()
        && on.since(*before) >= bounds::gain_over_days()
        && (0..=bounds::gain_shown_days()).contains(&today.since(*on))
        && to <= from
    {
        why.push(gain((*before, *from), (*on, *to), units));
    }
    if age <= bounds::first_days() {
        if let Some(w) = f.animal.birth_weight.filter(|w| w.grams() < bounds::light_g()) {
            why.push(phrase!("light at birth: {}", w.show(units)));
        }
        let litter = f.birth.as_ref().and_then(|b| {
            let of = flock.file(b.ewe)?;
            of.lambings_standing().find(|l| l.id == b.lambing).map(|l| l.lambs.len())
        });
        if let Some(n) = litter.filter(|n| *n >= 3 && f.animal.rearing != Rearing::Bottle) {
            why.push(phrase!("one of {}", super::life::litter(n)));
        }
    }
    if f.animal.rearing == Rearing::Bottle && age <= bounds::bottle_days() {
        why.push("on the bottle".into());
    }
}

fn gain((before, from): (Day, Weight), (on, to): (Day, Weight), units: Units) -> String {
    let word = if to < from { "lost weight" } else { "no gain" };
    phrase!("{word}: {} on {}, {} on {}", from.show(units), before.short(), to.show(units), on.short())
}

fn ewe(flock: &Flock, f: &AnimalFile, today: Day, why: &mut Vec<String>) {
    if let Some(late) = expected_of(flock, f, today).and_then(|e| e.window.late).filter(|l| *l < today) {
        let days = usize::try_from(today.since(late)).unwrap_or_default();
        why.push(phrase!("overdue to lamb: last day was {}, {} ago", late.short(), counted(days, "day")));
    }
    let lost = |l: &&AnimalId| {
        flock.file(**l).is_some_and(|l| {
            let died =
                l.animal.status == Status::Dead || l.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
            died && l
                .animal
                .status_on
                .or(l.animal.born.day())
                .is_some_and(|on| (0..=bounds::lost_lamb_days()).contains(&today.since(on)))
        })
    };
    let dead = f.offspring.iter().filter(|l| flock.animal(**l).is_some_and(|a| a.dam == Some(f.animal.id)));
    let dead = dead.filter(lost).count();
    if dead > 0 {
        let left = f.offspring.iter().filter(|l| {
            flock.animal(**l).is_some_and(|a| {
                a.status == Status::Present
                    && flock.reared_by(a) == Some(f.animal.id)
                    && a.age_days(today).is_some_and(|d| d <= 120)
            })
        });
        let left = match left.count() {
            0 => phrase!("none left with her"),
            n => phrase!("{n} left with her"),
        };
        why.push(phrase!("lost {}, {left}", counted(dead, "lamb")));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::{Joining, Weighing};
    use crate::papers::fixture::{animal, day, lambs};
    use crate::terms::*;

    #[test]
    fn each_is_watched_for_its_reason() {
        let mut ewe = animal("0412", "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2021-03-01"));
        ewe.animal.pen = Some("Pen 3".into());
        let at = Moment::day(day("2026-03-12"));
        let three = [("a", Sex::Ewe, 2_900), ("b", Sex::Ram, 3_400), ("c", Sex::Ram, 3_000)];
        let mut born = lambs(&mut ewe, None, at, &three);
        born[0].animal.rearing = Rearing::Bottle;
        (born[2].animal.status, born[2].animal.status_on) = (Status::Dead, Some(day("2026-03-14")));
        let second = born[1].animal.id;
        born[1].weighings.push(Weighing {
            id: WeighingId::new(),
            animal: second,
            at: Moment::day(day("2026-03-15")),
            weight: Weight::from_grams(3_300).unwrap(),
            note: None,
            session: None,
            struck: None,
        });
        let mut late = animal("0398", "", Sex::Ewe);
        late.animal.born = Born::On(day("2021-03-01"));
        late.animal.pen = Some("Pen 9".into());
        late.joinings.push(Joining {
            id: JoiningId::new(),
            ewe: late.animal.id,
            ram: AnimalId::new(),
            from: day("2025-10-01"),
            to: Some(day("2025-10-10")),
            method: None,
            group: None,
            struck: None,
        });
        let mut flock = Flock::default();
        born.into_iter().chain([ewe, late]).for_each(|f| flock.put(f));
        let said: Vec<(String, String)> = watched(&flock, day("2026-03-16"))
            .into_iter()
            .map(|w| (flock.tag(w.animal).to_string(), w.why.join("; ")))
            .collect();
        let said: Vec<(&str, &str)> = said.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        assert_eq!(
            said,
            [
                ("0412", "lost 1 lamb, 1 left with her"),
                ("a", "light at birth: 2.9 kg; on the bottle"),
                ("b", "lost weight: 3.4 kg on 12 Mar, 3.3 kg on 15 Mar; one of triplets"),
                // 10 Oct + 152 days = 11 March.
                ("0398", "overdue to lamb: last day was 11 Mar, 5 days ago"),
            ]
        );
        // The bottle lamb stays on the list to six weeks, the triplet to two.
        assert_eq!(watched(&flock, day("2026-04-20")).len(), 1);
        assert_eq!(watched(&flock, day("2026-05-20")).len(), 0);
    }
}
