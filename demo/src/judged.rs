//! What is seen on a sheep and what is decided of it: scores at two days and of ewes with their lambs, decisions which
//! ram lamb stays entire, who is kept, sold or culled. Dice of their own.

use crate::maker::{Maker, WORD};
use crate::sheep::At;
use crate::weighing::points;
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, DecisionDraft, JobRef, ScoringDraft, TickDraft};
use hirsel_core::flock::{Flock, Outcome};
use hirsel_core::terms::{Day, Decided, Moment, ScoreKind, Sex};
use std::collections::BTreeSet;

const WHY_ENTIRE: &[&str] =
    &["well grown, good legs", "of an old line, few sons", "dam rears twins every year", "correct and quiet"];
const WHY_NOT: &[&str] = &["slow from the start", "light in the bone", "narrow", "sire has sons enough"];
const WHY_BREED: &[&str] =
    &["well grown, good dam", "replacement", "of an old line", "twin, dam in good milk"];

impl Maker<'_> {
    /// Faults looked for at two days, and how a ewe takes to her lambs.
    pub(crate) fn scores_of_spring(&mut self, crop: &[At], flock: &Flock) {
        let mut drafts: Vec<ScoringDraft> = Vec::new();
        let mut ewes = BTreeSet::new();
        for at in crop {
            let on = self.sheep[*at].born.plus(2);
            let faults = [(ScoreKind::Lids, 0.03), (ScoreKind::Bite, 0.025)];
            for (kind, share) in faults {
                let is_bad = self.scored.chance(share);
                let n = if is_bad { self.scored.weighted(&[(3, 60.0), (4, 30.0), (5, 10.0)]) } else { 1 };
                // A ram lamb is looked over in any case.
                if is_bad || self.sheep[*at].sex == Sex::Ram {
                    let note = (is_bad && kind == ScoreKind::Lids).then_some("eye weeps");
                    self.score(&mut drafts, *at, on, kind, n, note);
                }
            }
            let Some(ewe) = self.sheep[*at].dam.filter(|e| self.sheep[*at].reared_by == Some(*e)) else {
                continue;
            };
            if ewes.insert(ewe) {
                let n = self.scored.weighted(&[(1, 66.0), (2, 22.0), (3, 9.0), (4, 3.0)]);
                let note = (n > 3).then_some("butts the second lamb");
                self.score(&mut drafts, ewe, on, ScoreKind::Mothering, n, note);
                let n = self.scored.weighted(&[(1, 80.0), (2, 14.0), (3, 4.0), (4, 2.0)]);
                let note = (n > 3).then_some("hard on the left");
                self.score(&mut drafts, ewe, on, ScoreKind::Udder, n, note);
            }
        }
        if !drafts.is_empty() {
            self.push(entry::scorings(drafts, flock, self.today), WORD);
        }
    }

    fn score(
        &self,
        drafts: &mut Vec<ScoringDraft>,
        at: At,
        on: Day,
        kind: ScoreKind,
        n: u8,
        note: Option<&str>,
    ) {
        let s = &self.sheep[at];
        if let Some(score) = points(kind, n).filter(|_| on <= self.today && s.is_here(on)) {
            drafts.push(ScoringDraft {
                animal: s.id,
                at: Moment::day(on),
                score,
                note: note.map(Into::into),
            });
        }
    }

    /// At the end of week three: who stays entire. In the last season most of it is still to be decided.
    pub(crate) fn entire_or_not(&mut self, season: usize, on: Day, lambs: &[At], flock: &Flock) -> Vec<At> {
        let mut rams: Vec<At> = lambs.iter().copied().filter(|at| self.sheep[*at].sex == Sex::Ram).collect();
        rams.sort_by(|a, b| {
            let rate = |at: &At| self.sheep[*at].kg(on) / self.sheep[*at].age(on).max(1) as f64;
            rate(b).total_cmp(&rate(a)).then(a.cmp(b))
        });
        let mut drafts = Vec::new();
        let mut out = Vec::new();
        let keep = (rams.len() * 3).div_ceil(5);
        for (n, at) in rams.iter().enumerate() {
            let what = match (season == self.last, n) {
                (true, 0) => Decided::Entire,
                (true, 1) => Decided::Later,
                (true, _) => break,
                (_, n) if n < keep => Decided::Entire,
                _ => Decided::Castrate,
            };
            let why = match what {
                Decided::Entire => Some(self.scored.pick(WHY_ENTIRE)),
                Decided::Castrate => Some(self.scored.pick(WHY_NOT)),
                _ => Some("see what he does in another week"),
            };
            if what == Decided::Castrate {
                out.push(*at);
            }
            drafts.push((*at, what, why));
        }
        for (at, what, _) in &drafts {
            self.sheep[*at].is_decided = *what != Decided::Later;
        }
        self.decide(on, drafts, flock);
        out
    }

    /// Castrated by the vet, past the days of the ring.
    pub(crate) fn castrated(&mut self, on: Day, list: &[At], flock: &Flock) {
        let jobs: Vec<JobRef> = list
            .iter()
            .map(|at| &self.sheep[*at])
            .filter(|s| on <= self.today && s.is_here(on))
            .map(|s| JobRef { animal: s.id, step: "castrate".into(), anchor: s.born, round: 0 })
            .collect();
        if jobs.is_empty() {
            return;
        }
        let note = Some("by the vet, with pain relief".into());
        let draft = TickDraft { jobs, outcome: Outcome::Done, at: Moment::day(on), note };
        self.push(entry::ticks(draft, flock, self.today), "by the vet, with pain relief");
        for at in list {
            if self.sheep[*at].is_here(on) {
                self.sheep[*at].sex = Sex::Wether;
            }
        }
    }

    /// Decisions of one day; those of sheep that are gone fall away.
    pub(crate) fn decide(&mut self, on: Day, list: Vec<(At, Decided, Option<&str>)>, flock: &Flock) {
        let drafts: Vec<DecisionDraft> = list
            .into_iter()
            .filter(|(at, ..)| on <= self.today && self.sheep[*at].is_here(on))
            .map(|(at, what, why)| DecisionDraft {
                animal: self.sheep[at].id,
                on,
                what,
                reason: why.map(Into::into),
            })
            .collect();
        if !drafts.is_empty() {
            self.push(entry::decisions(drafts, flock, self.today), WORD);
        }
    }

    /// What becomes of the weaned lambs.
    pub(crate) fn after_weaning(
        &mut self,
        base: Day,
        here: &[At],
        kept: &[At],
        flock: &Flock,
    ) -> Result<(), Failed> {
        let on = base.plus(112);
        let mut drafts = Vec::new();
        for (n, at) in kept.iter().enumerate() {
            let what = if n % 9 == 3 { Decided::Show } else { Decided::Breed };
            drafts.push((*at, what, Some(self.scored.pick(WHY_BREED))));
        }
        if !self.is_lean() {
            for at in here.iter().filter(|at| !kept.contains(at)) {
                match self.sheep[*at].sex {
                    Sex::Ewe => drafts.push((*at, Decided::Sell, None)),
                    Sex::Ram => drafts.push((*at, Decided::Sell, Some("more than we need"))),
                    Sex::Wether => drafts.push((*at, Decided::Market, None)),
                }
            }
        }
        self.decide(on, drafts, flock);
        self.flush(&format!("Who is kept of the lambs of {}", base.year()))
    }
}
