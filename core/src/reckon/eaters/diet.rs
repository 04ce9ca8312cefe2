//! What a group is given beside what it needs, and what must be said about it.

use super::{Heads, Milk, Spans, WeanedBy, given, milk};
use crate::flock::{AnimalFile, FeedRoom, Flock, Ration};
use crate::phrase;
use crate::reckon::gestation;
use crate::reckon::ration::{
    Asked, Balance, Caution, Diet, FeedRules, Given, Ingredient, balance, ingredient, needs, of_diet,
};
use crate::terms::{AnimalId, Day, Eaters, FeedId, Mass, MeasureId, ScoreKind, Sex, norm};

/// Heads of one group that are given the same, in whatever pens they stand.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupDiet {
    /// Who.
    pub eaters: Eaters,
    /// Their pens in barn order, an empty name for those in no pen.
    pub pens: Vec<String>,
    /// How many.
    pub heads: u32,
    /// What a head is given a day, with the measure it was typed in.
    pub portions: Vec<(FeedId, Mass, Option<MeasureId>)>,
    /// Mean live weight, kg, and of how many: last weights, no older than a year, of lambs than a month.
    pub weight: Option<(f64, u32)>,
    /// Mean condition score of those scored within half a year.
    pub condition: Option<f64>,
    /// What it comes to beside the needs.
    pub balance: Balance,
    /// What must be said, the gravest first.
    pub cautions: Vec<Caution>,
}

impl GroupDiet {
    /// `ewes nursing two in Barn 1, Bank`; the group alone where all of it is given the same.
    pub fn title(&self, whole: bool) -> String {
        let names: Vec<&str> =
            self.pens.iter().map(|p| if p.is_empty() { "no pen" } else { p.as_str() }).collect();
        match (whole, names.as_slice()) {
            (true, _) => self.eaters.words().to_string(),
            (_, few) if few.len() <= 3 => phrase!("{} in {}", self.eaters.words(), few.join(", ")),
            (_, many) => phrase!("{} in {} and {} more", self.eaters.words(), &many[0], many.len() - 1),
        }
    }
}

/// A change is spoken of for so many days after it: grain is brought in over one to three weeks.
const SPOKEN_OF: i64 = 14;

/// A last weight counts for so many days; of a lamb, that grows, for fewer.
const WEIGHED: (i64, i64) = (365, 30);
/// A condition score counts for so many days.
const SCORED: i64 = 180;

/// Every group with what it is given, those given the same together, in the order of [`Eaters::ALL`]. `meals`: in how
/// many meals a day it is fed.
pub fn diets(flock: &Flock, heads: &Heads, meals: u8) -> Vec<GroupDiet> {
    let room = flock.feedroom();
    let rules = FeedRules::of(flock.holding());
    let mut made = Vec::new();
    for eaters in Eaters::ALL {
        let mut sets: Vec<(Vec<&Ration>, Vec<&str>, Vec<AnimalId>)> = Vec::new();
        for pen in &heads.pens {
            let animals = pen.animals(*eaters);
            if animals.is_empty() {
                continue;
            }
            let lines = given(room, &pen.pen, *eaters, heads.on);
            let key = |l: &[&Ration]| l.iter().map(|r| (r.feed, r.each)).collect::<Vec<_>>();
            match sets.iter_mut().find(|(l, ..)| key(l) == key(&lines)) {
                Some((_, pens, all)) => {
                    pens.push(&pen.pen);
                    all.extend(animals);
                }
                None => sets.push((lines, vec![&pen.pen], animals.to_vec())),
            }
        }
        // What lambs with their dams eat is told by the creep.
        let sucks = matches!(eaters, Eaters::MilkLambs | Eaters::CreepLambs);
        for (lines, pens, animals) in sets.into_iter().filter(|(l, ..)| !sucks || !l.is_empty()) {
            made.push(one(flock, &rules, *eaters, (&lines, &pens, &animals), heads.on, meals));
        }
    }
    made
}

fn one(
    flock: &Flock,
    rules: &FeedRules,
    eaters: Eaters,
    (lines, pens, animals): (&[&Ration], &[&str], &[AnimalId]),
    on: Day,
    meals: u8,
) -> GroupDiet {
    let files: Vec<&AnimalFile> = animals.iter().filter_map(|id| flock.file(*id)).collect();
    let weight = weight(&files, on);
    let condition = mean(files.iter().filter_map(|f| {
        let s = f.last_score(ScoreKind::Condition, on)?;
        (on.since(s.at.day) <= SCORED).then(|| s.score.points())
    }));
    let asked = Asked {
        eaters,
        weight_kg: weight.map(|(kg, _)| kg),
        condition,
        lambs: carried(flock, &files, eaters, on),
        days: since_lambing(&files, eaters, on),
    };
    let known = |lines: &[&Ration]| -> Vec<(Ingredient, f64)> {
        lines.iter().filter_map(|r| Some((ingredient(flock, r.feed, on)?, r.each.kg()))).collect()
    };
    let now = known(lines);
    let room = flock.feedroom();
    let pen = pens.first().copied().unwrap_or_default();
    let before = changed(room, pen, eaters, on)
        .filter(|day| on.since(*day) <= SPOKEN_OF)
        .map(|day| known(&given(room, pen, eaters, day.plus(-1))));
    fn givens(all: &[(Ingredient, f64)]) -> Vec<Given<'_>> {
        all.iter().map(|(feed, each_kg)| Given { feed, each_kg: *each_kg }).collect()
    }
    let (now, before) = (givens(&now), before.as_deref().map(givens));
    let diet = Diet {
        eaters,
        given: &now,
        before: before.as_deref(),
        weight_kg: weight.map(|(kg, _)| kg),
        males: files.iter().any(|f| f.animal.sex != Sex::Ewe),
        days_weaned: days_weaned(flock, &files, eaters, on),
        meals,
    };
    GroupDiet {
        eaters,
        pens: pens.iter().map(|p| (*p).to_string()).collect(),
        heads: u32::try_from(animals.len()).unwrap_or(u32::MAX),
        portions: lines.iter().map(|r| (r.feed, r.each, r.measure)).collect(),
        weight,
        condition,
        balance: balance(needs(rules, asked), &now),
        cautions: if now.is_empty() { Vec::new() } else { of_diet(rules, &diet) },
    }
}

fn mean(all: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, n) = all.fold((0.0, 0u32), |(sum, n), x| (sum + x, n + 1));
    (n > 0).then(|| sum / f64::from(n))
}

fn weight(files: &[&AnimalFile], on: Day) -> Option<(f64, u32)> {
    let all: Vec<f64> = files
        .iter()
        .filter_map(|f| {
            let (day, weight) = f.last_weight(on)?;
            let old = if f.animal.is_lamb(on) { WEIGHED.1 } else { WEIGHED.0 };
            (on.since(day) <= old).then(|| weight.grams() as f64 / 1000.0)
        })
        .collect();
    let n = u32::try_from(all.len()).unwrap_or(u32::MAX);
    Some((mean(all.into_iter())?, n))
}

/// Lambs carried by the scans of ewes in lamb, the mean rounded up: better one fed too well than one too little.
fn carried(flock: &Flock, files: &[&AnimalFile], eaters: Eaters, on: Day) -> Option<u8> {
    if !matches!(eaters, Eaters::EarlyEwes | Eaters::LateEwes) {
        return None;
    }
    let lambs = files.iter().filter_map(|f| gestation::of_ewe(flock, f, on)?.lambs());
    mean(lambs.map(f64::from)).map(|m| m.ceil() as u8)
}

/// Mean days since a nursing ewe lambed.
fn since_lambing(files: &[&AnimalFile], eaters: Eaters, on: Day) -> Option<i64> {
    if !matches!(eaters, Eaters::NursingOne | Eaters::NursingTwo | Eaters::NursingThree) {
        return None;
    }
    let last = |f: &&AnimalFile| f.lambings_standing().map(|l| l.at.day).filter(|d| *d <= on).max();
    mean(files.iter().filter_map(last).map(|d| on.since(d) as f64)).map(|m| m.round() as i64)
}

/// Days since the last of the weaned lambs was weaned; of one that is weaned by its age alone, since that age.
fn days_weaned(flock: &Flock, files: &[&AnimalFile], eaters: Eaters, on: Day) -> Option<i64> {
    if eaters != Eaters::WeanedLambs {
        return None;
    }
    let spans = Spans::of(flock);
    let since = |f: &&AnimalFile| match milk(flock, f, on, &spans)? {
        Milk::Weaned(WeanedBy::Tick(day)) => Some(on.since(day)),
        _ => Some((f.animal.age_days(on)? - spans.of_born(f.animal.born).weaned_at).max(0)),
    };
    files.iter().filter_map(since).min()
}

/// The last day up to `on` on which a line was written that changed what a group is given in a pen.
fn changed(room: &FeedRoom, pen: &str, eaters: Eaters, on: Day) -> Option<Day> {
    let mine = |r: &&Ration| {
        let here = r.pen.as_deref().is_none_or(|p| norm(p) == norm(pen));
        r.struck.is_none() && r.eaters == eaters && r.from <= on && here
    };
    room.rations.iter().filter(mine).map(|r| r.from).max()
}
