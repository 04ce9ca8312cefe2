//! Jobs of the care plan that were ticked evening by evening, but for a few that were forgotten.

use crate::dice::Dice;
use crate::maker::{Maker, WORD};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, JobRef, TickDraft};
use hirsel_core::flock::Outcome;
use hirsel_core::plan::DoneBy;
use hirsel_core::reckon::due::Ground;
use hirsel_core::terms::{Day, Moment};
use std::collections::BTreeMap;

/// Share of the jobs that were not done on their day.
const FORGOTTEN: f64 = 0.03;

impl Maker<'_> {
    /// Ticks what came due before yesterday. Done on the last day of its time or three days after it came due.
    pub(crate) fn ticks(&mut self) -> Result<(), Failed> {
        if self.is_lean() {
            return Ok(());
        }
        self.say("Jobs ticked");
        let flock = self.flock();
        let ground = Ground::of(&flock, self.today);
        // Dice of their own: the other facts stay what they are without the ticks.
        let mut dice = Dice::new(17);
        let mut all: BTreeMap<(Day, String), Vec<JobRef>> = BTreeMap::new();
        for file in flock.present() {
            for job in ground.all_of(&flock, file.animal.id) {
                let waits = matches!(job.step.done_by, DoneBy::Lambing | DoneBy::Castrated);
                if !job.state.is_now()
                    || waits
                    || job.due.day >= self.today.plus(-1)
                    || dice.chance(FORGOTTEN)
                {
                    continue;
                }
                let late = job.late.map_or(job.due.day.plus(3), |l| l.day.max(job.due.day));
                let on = job.due.day.plus(dice.between(0, 2)).min(late).min(self.today.plus(-1));
                all.entry((on, job.step.key.clone())).or_default().push(JobRef::from(&job));
            }
        }
        for ((on, _), jobs) in all {
            let draft = TickDraft { jobs, outcome: Outcome::Done, at: Moment::day(on), note: None };
            let check = entry::ticks(draft, &flock, self.today);
            self.push(check, WORD);
        }
        self.flush("Jobs of the care plan ticked")
    }
}
