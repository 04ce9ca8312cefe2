//! The groups over a span of days: each animal is looked at only on days on which something of it changes.

use super::{LONG_PAST, Spans, fosters, group_of, here, milk, pen_on};
use crate::flock::{AnimalFile, Flock, Outcome};
use crate::reckon::gestation;
use crate::terms::{AnimalId, Day, Eaters, Sex, norm};
use rapidhash::RapidHashMap;
use std::collections::BTreeSet;

/// Days on which an animal stood in one pen and ate with one group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spell {
    /// The animal.
    pub animal: AnimalId,
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// The pen; none: in no pen.
    pub pen: Option<String>,
    /// The group.
    pub eaters: Eaters,
}

/// Days after her last day on which a ewe is no longer looked to lamb, as [`gestation`] has it, and one.
const PAST: i64 = 31;

/// Where each animal stood and with whom it ate on the days of a span, in no promised order of animals, each one's in
/// order of time. The same on every day as [`super::Heads::on`] says, by the book as it is now.
pub fn spells(flock: &Flock, from: Day, to: Day) -> Vec<Spell> {
    let spans = Spans::of(flock);
    let mut all = Vec::new();
    if from <= to {
        for f in flock.files() {
            of(flock, f, (from, to), &spans, &mut all);
        }
    }
    all
}

fn of(flock: &Flock, f: &AnimalFile, (from, to): (Day, Day), spans: &Spans, all: &mut Vec<Spell>) {
    // Long gone, or not of this flock: it is not here on any day of the span.
    let moves = || f.movements.iter().filter(|m| m.struck.is_none());
    let born_then = f.animal.born.day().is_some_and(|b| b >= from && b <= to);
    if !here(f, from) && !here(f, to) && !born_then && !moves().any(|m| m.on >= from && m.on <= to) {
        return;
    }
    let mut days = BTreeSet::from([from]);
    let add = |day: Day, days: &mut BTreeSet<Day>| {
        if day > from && day <= to {
            days.insert(day);
        }
    };
    changes(f, spans, &mut |d| add(d, &mut days));
    if let Some(ewe) = flock.reared_by(&f.animal).and_then(|e| flock.file(e)) {
        moved(ewe, &mut |d| add(d, &mut days));
    }
    if f.animal.sex == Sex::Ewe {
        let put_on = fosters(flock);
        for lamb in f.offspring.iter().chain(put_on.of(f.animal.id)).filter_map(|l| flock.file(*l)) {
            let Some(born) = lamb.animal.born.day() else { continue };
            if born <= to && from.since(born) <= milk::LONGEST + 1 {
                changes(lamb, spans, &mut |d| add(d, &mut days));
            }
        }
    }
    let mut now: Option<Spell> = None;
    while let Some(day) = days.pop_first() {
        let eaters = group_of(flock, f, day, spans);
        if eaters.is_some()
            && f.animal.sex == Sex::Ewe
            && let Some(p) = gestation::of_ewe(flock, f, day)
        {
            let past = p.window.late.map_or(p.window.due.plus(LONG_PAST + 1), |l| l.plus(PAST));
            for d in [p.window.early.plus(-spans.late_days), past] {
                if d > day {
                    add(d, &mut days);
                }
            }
        }
        let pen = pen_on(f, day);
        let goes_on = now.as_ref().is_some_and(|s| Some(s.eaters) == eaters && s.pen.as_deref() == pen);
        if goes_on {
            continue;
        }
        if let Some(mut before) = now.take() {
            before.to = day.plus(-1);
            all.push(before);
        }
        now = eaters.map(|eaters| Spell {
            animal: f.animal.id,
            from: day,
            to,
            pen: pen.map(str::to_string),
            eaters,
        });
    }
    all.extend(now);
}

/// Days on which an animal comes, goes or is moved.
fn moved(f: &AnimalFile, add: &mut impl FnMut(Day)) {
    f.movements.iter().filter(|m| m.struck.is_none()).for_each(|m| add(m.on));
    f.pen_moves.iter().filter(|m| m.struck.is_none()).for_each(|m| add(m.on));
    if let Some(b) = f.animal.born.earliest() {
        add(b);
    }
    if let Some(b) = f.animal.born.day() {
        add(b);
        // One whose year alone is known is there from its first day.
        Day::new(b.year(), 1, 1).into_iter().for_each(&mut *add);
    }
}

/// Days on which something of an animal changes its group, by its own records.
fn changes(f: &AnimalFile, spans: &Spans, add: &mut impl FnMut(Day)) {
    moved(f, add);
    if let Some(born) = f.animal.born.day() {
        let ages = spans.of_born(f.animal.born);
        let own = [ages.creep_from, ages.wean_from, ages.weaned_at, milk::LONGEST + 1];
        let all = [spans.young_from, spans.ram_from, spans.grown_from];
        own.into_iter().chain(all).for_each(|age| add(born.plus(age)));
    }
    for t in f.ticks_standing().filter(|t| t.step == milk::WEAN) {
        add(t.at.day);
        if let Outcome::PutOff(day) = t.outcome {
            add(day);
        }
    }
    f.lambings_standing().for_each(|l| add(l.at.day));
    for j in f.joinings.iter().filter(|j| j.struck.is_none()) {
        add(j.from);
        j.to.into_iter().for_each(|d| add(d.plus(1)));
    }
    f.marks.iter().filter(|m| m.struck.is_none()).for_each(|m| add(m.on));
    // What is known of a scan is known on its day; the day after it a new breeding may begin.
    f.scans.iter().filter(|s| s.struck.is_none()).for_each(|s| add(s.on));
}

/// Heads by day, pen and group over a span of days, without the names of the animals.
#[derive(Debug, Clone)]
pub struct HeadDays {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    pens: Vec<String>,
    places: RapidHashMap<String, usize>,
    /// By pen, group and day.
    heads: Vec<u32>,
}

impl HeadDays {
    /// Reckons them from the spells of every animal.
    pub fn of(flock: &Flock, from: Day, to: Day) -> Self {
        let days = usize::try_from(to.since(from) + 1).unwrap_or(0);
        let groups = Eaters::ALL.len();
        let mut all = Self { from, to, pens: Vec::new(), places: RapidHashMap::default(), heads: Vec::new() };
        let mut steps: Vec<i64> = Vec::new();
        for s in spells(flock, from, to) {
            let pen = s.pen.unwrap_or_default();
            let place = match all.places.get(&norm(&pen)) {
                Some(place) => *place,
                None => {
                    all.places.insert(norm(&pen), all.pens.len());
                    all.pens.push(pen);
                    steps.resize(all.pens.len() * groups * days, 0);
                    all.pens.len() - 1
                }
            };
            let row = (place * groups + s.eaters as usize) * days;
            let at = |d: Day| usize::try_from(d.since(from)).unwrap_or(0);
            steps[row + at(s.from)] += 1;
            if s.to < to {
                steps[row + at(s.to) + 1] -= 1;
            }
        }
        for row in steps.chunks_mut(days.max(1)) {
            let mut n = 0;
            for step in row {
                n += *step;
                *step = n;
            }
        }
        all.heads = steps.into_iter().map(|n| u32::try_from(n).unwrap_or(0)).collect();
        all
    }

    /// Pens that held an animal on any day, as they are written, in no promised order; an empty name: in no pen.
    pub fn pens(&self) -> &[String] {
        &self.pens
    }

    /// Heads of a group on a day: in a pen however it is written (an empty name: in no pen), or in the whole flock.
    /// None outside the span.
    pub fn heads(&self, on: Day, pen: Option<&str>, eaters: Eaters) -> u32 {
        if on < self.from || on > self.to {
            return 0;
        }
        let days = usize::try_from(self.to.since(self.from) + 1).unwrap_or(0);
        let day = usize::try_from(on.since(self.from)).unwrap_or(0);
        let of = |place: usize| self.heads[(place * Eaters::ALL.len() + eaters as usize) * days + day];
        match pen {
            None => (0..self.pens.len()).map(of).sum(),
            Some(pen) => self.places.get(&norm(pen)).map_or(0, |place| of(*place)),
        }
    }

    /// Heads of a group in the whole flock, summed over the days of the span: what a ration a head a day is multiplied
    /// with.
    pub fn head_days(&self, eaters: Eaters) -> u64 {
        let mut sum = 0;
        let mut day = self.from;
        while day <= self.to {
            sum += u64::from(self.heads(day, None, eaters));
            day = day.plus(1);
        }
        sum
    }
}
