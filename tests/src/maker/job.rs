//! Jobs of the care plan: ticks, rams taken out, steps of the plan changed, added and taken back.

use super::Maker;
use hirsel_core::entry::{Check, JobRef, PartDraft, TickDraft, part, plan_as_shipped, plan_step, ticks};
use hirsel_core::flock::{Flock, Outcome};
use hirsel_core::plan::{Anchor, DoneBy, Repeat, Span, Step};
use hirsel_core::reckon::due::of_animal;
use hirsel_core::terms::{AnimalId, Day, JoiningId, MeantFor, Sex};

impl Maker {
    fn outcome(&mut self, on: Day) -> Outcome {
        match self.rng.u32(..4) {
            0 => Outcome::Skipped,
            1 => Outcome::PutOff(on.plus(self.rng.i64(1..30))),
            _ => Outcome::Done,
        }
    }

    /// Jobs of a few animals, of whatever state, as one act: one step of many animals, or many steps of one.
    pub(super) fn ticks(&mut self, flock: &Flock) -> Option<Check> {
        let first = self.one(flock, |_| true)?;
        let all = of_animal(flock, first, self.today);
        if all.is_empty() {
            return None;
        }
        let mut jobs: Vec<JobRef> = Vec::new();
        if self.rng.bool() {
            // Often both that make a wether of a ram: they must not trip over each other.
            jobs.extend((0..self.rng.usize(1..=4)).map(|_| JobRef::from(self.pick(&all))));
            jobs.extend(all.iter().filter(|j| j.step.done_by == DoneBy::Castrated).map(JobRef::from));
        } else {
            let key = self.pick(&all).step.key.clone();
            for id in self.few(flock, 5, |_| true).into_iter().chain([first]) {
                let of = of_animal(flock, id, self.today);
                jobs.extend(of.iter().filter(|j| j.step.key == key).map(JobRef::from));
            }
        }
        let born = |id: AnimalId| flock.animal(id).and_then(|a| a.born.day());
        let earliest = jobs.iter().filter_map(|j| born(j.animal)).max();
        let back = earliest.map_or(200, |b| self.today.since(b).clamp(0, 200));
        let on = self.back(back);
        let outcome = self.outcome(on);
        let note = if outcome == Outcome::Skipped { Some(self.text()) } else { self.some(Self::text) };
        Some(ticks(TickDraft { jobs, outcome, at: self.moment(on), note }, flock, self.today))
    }

    /// The ram taken from some ewes.
    pub(super) fn parted(&mut self, flock: &Flock) -> Option<Check> {
        let of = self.few(flock, 3, |f| f.joinings.iter().any(|j| j.struck.is_none()));
        let mut joinings: Vec<(AnimalId, JoiningId)> = Vec::new();
        let mut from = None;
        for ewe in of {
            for j in flock.file(ewe)?.joinings.iter().filter(|j| j.struck.is_none()).take(2) {
                joinings.push((ewe, j.id));
                from = from.max(Some(j.from));
            }
        }
        let on = self.back(self.today.since(from?).clamp(0, 60)).max(from?);
        Some(part(PartDraft { joinings, on }, flock, self.today))
    }

    /// A step as a keeper may change it: other times, other words, other conditions, left out, or one of his own.
    pub fn step(&mut self, flock: &Flock) -> Step {
        let all: Vec<Step> = flock.plan().all().map(|s| (**s).clone()).collect();
        let mut step = self.pick(&all).clone();
        if self.rng.u32(..4) == 0 {
            step.key = format!("own_{}", self.rng.u32(..4));
            step.short = "Own".into();
            step.job = "A step of the keeper's own".into();
            step.law = None;
        }
        match self.rng.u32(..7) {
            0 => step.off = !step.off,
            1 => {
                let by = self.rng.i64(-10..=10);
                let moved = |s: Span| Span::minutes(s.in_minutes() + by * 24 * 60);
                let t = &mut step.times;
                (t.earliest, t.due, t.close) = (moved(t.earliest), moved(t.due), moved(t.close));
                t.late = t.late.map(moved);
            }
            2 => step.times.close = Span::days(step.times.close.whole_days() + self.rng.i64(1..600)),
            3 => {
                step.repeat = self.some(|m| Repeat {
                    every: Span::days(m.rng.i64(1..30)),
                    until_weaning: m.rng.bool(),
                    most: m.rng.u16(2..6),
                });
            }
            4 => step.when.sex = self.some(|m| vec![*m.pick(Sex::ALL)]),
            5 => step.when.meant_for = self.some(|_| vec![MeantFor::Market]),
            _ => {
                step.short = "Words of the keeper's".into();
                step.product = self.some(Self::text);
                step.caution = self.some(Self::text);
                step.done_by = DoneBy::Tick;
                let own = |k: &String| k.starts_with("own_");
                if let Anchor::After(keys) = &step.anchor
                    && keys.iter().any(own)
                {
                    step.anchor = Anchor::Birth;
                }
            }
        }
        step
    }

    /// A change of the plan for every year or one, or a change taken back.
    pub(super) fn plan(&mut self, flock: &Flock) -> Check {
        let changed: Vec<(Option<i32>, String)> =
            flock.plan().changes().iter().map(|c| (c.season, c.step.key.clone())).collect();
        if !changed.is_empty() && self.rng.u32(..3) == 0 {
            let (season, key) = self.pick(&changed).clone();
            return plan_as_shipped(season, &key, flock);
        }
        let season = self.some(|m| m.today.year() - m.rng.i32(0..2));
        let step = self.step(flock);
        plan_step(season, step, flock)
    }
}
