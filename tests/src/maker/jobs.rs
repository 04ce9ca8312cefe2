//! Jobs ticked, rams taken out, steps of the plan changed and taken back.

use super::Maker;
use hirsel_core::entry::{Check, JobRef, PartDraft, TickDraft, part, plan_as_shipped, plan_step, ticks};
use hirsel_core::flock::{Flock, Outcome};
use hirsel_core::plan::{Anchor, RearedBy, Step, key_for};
use hirsel_core::terms::MeantFor;

impl Maker {
    pub(super) fn ticks(&mut self, flock: &Flock) -> Option<Check> {
        let at = self.back(300);
        let animals = self.few(flock, 3, |f| f.animal.born.exact().is_none_or(|b| b <= at));
        let step = self.step(flock)?;
        let jobs = animals
            .into_iter()
            .map(|animal| {
                let back = self.rng.i64(0..90);
                JobRef { animal, step: step.key.clone(), anchor: at.plus(-back), round: self.rng.u16(0..3) }
            })
            .collect();
        let outcome = match self.rng.u32(..3) {
            0 => Outcome::Skipped,
            1 => Outcome::PutOff(at.plus(self.rng.i64(1..20))),
            _ => Outcome::Done,
        };
        let draft = TickDraft { jobs, outcome, at: self.moment(at), note: Some(self.text()) };
        Some(ticks(draft, flock, self.today))
    }

    pub(super) fn parted(&mut self, flock: &Flock) -> Option<Check> {
        let ewe = self.one(flock, |f| f.joinings.iter().any(|j| j.struck.is_none()))?;
        let joined = flock.file(ewe)?.joinings.iter().find(|j| j.struck.is_none())?;
        let on = joined.from.plus(self.rng.i64(0..60));
        Some(part(PartDraft { joinings: vec![(ewe, joined.id)], on }, flock, self.today))
    }

    /// A step of the plan changed in one or another of its parts, one of the keeper's own, or a change taken back.
    pub(super) fn plan(&mut self, flock: &Flock) -> Option<Check> {
        let changes = flock.plan().changes();
        if !changes.is_empty() && self.rng.u32(..4) == 0 {
            let change = self.pick(changes);
            return Some(plan_as_shipped(change.season, &change.step.key, flock));
        }
        let season = self.some(|m| m.rng.i32(2024..2028));
        let mut step = self.step(flock)?;
        match self.rng.u32(..5) {
            0 => step.off = !step.off,
            1 => step.times.due = step.times.earliest,
            2 => step.product = self.some(Self::text),
            3 => {
                step.when.meant_for = Some(vec![MeantFor::Breeding, MeantFor::Undecided]);
                step.when.reared_by = self.some(|_| RearedBy::Bottle);
            }
            _ => {
                let after = self.some(|_| Anchor::After(vec![step.key.clone()]));
                step.short = self.text().chars().take(40).collect();
                step.job = self.text();
                step.caution = self.some(Self::text);
                step.key = key_for(&step.short, flock.plan());
                step.anchor = after.unwrap_or(step.anchor);
            }
        }
        Some(plan_step(season, step, flock))
    }

    fn step(&mut self, flock: &Flock) -> Option<Step> {
        let year = self.today.year();
        let steps = flock.plan().steps(year);
        (!steps.is_empty()).then(|| (**self.pick(steps)).clone())
    }
}
