//! Sessions at the scale, scores, decisions, groups by hand, money.

use super::Maker;
use hirsel_core::entry::{
    Check, DecisionDraft, GroupingDraft, MoneyDraft, ScoringDraft, SessionDraft, SessionPick, WeighedRow,
    decisions, groupings, money, scorings, session, weighed,
};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{Decided, Gut, MoneyKind, Price, Score, ScoreKind, Weight};

impl Maker {
    pub(super) fn score(&mut self) -> Score {
        loop {
            let kind = *self.pick(&ScoreKind::ALL);
            if let Some(score) = Score::new(kind, self.rng.u8(0..=20)) {
                return score;
            }
        }
    }

    fn session_draft(&mut self) -> SessionDraft {
        SessionDraft {
            time: None,
            scale: self.some(Self::text),
            group: self.some(Self::text),
            gut: self.some(|m| *m.pick(Gut::ALL)),
            note: self.some(Self::text),
        }
    }

    pub(super) fn weighed(&mut self, flock: &Flock) -> Option<Check> {
        let pick = match (self.rng.u32(..3), flock.daybook().sessions.last()) {
            (0, Some(s)) => SessionPick::In(s.id),
            (1, _) => SessionPick::None,
            _ => SessionPick::New(self.session_draft()),
        };
        let mut rows = Vec::new();
        for animal in self.few(flock, 3, |_| true) {
            let day = self.seen(flock, animal);
            let weight = Weight::from_grams(self.rng.i64(1..130_000)).filter(|_| self.rng.bool());
            let n = self.rng.usize(..3) + usize::from(weight.is_none());
            let scores = (0..n).map(|_| self.score()).collect();
            rows.push(WeighedRow {
                animal,
                at: self.moment(day),
                weight,
                scores,
                note: self.some(Self::text),
            });
        }
        Some(weighed(pick, rows, flock, self.today))
    }

    pub(super) fn sessions(&mut self, flock: &Flock) -> Option<Check> {
        let id = flock.daybook().sessions.first()?.id;
        let draft = self.session_draft();
        Some(session(id, draft, flock))
    }

    pub(super) fn scorings(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for animal in self.few(flock, 3, |_| true) {
            let day = self.seen(flock, animal);
            drafts.push(ScoringDraft {
                animal,
                at: self.moment(day),
                score: self.score(),
                note: self.some(Self::text),
            });
        }
        Some(scorings(drafts, flock, self.today))
    }

    pub(super) fn decisions(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for animal in self.few(flock, 2, |_| true) {
            let on = self.seen(flock, animal);
            drafts.push(DecisionDraft {
                animal,
                on,
                what: *self.pick(Decided::ALL),
                reason: self.some(Self::text),
            });
        }
        Some(decisions(drafts, flock, self.today))
    }

    pub(super) fn groupings(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for animal in self.few(flock, 3, |_| true) {
            let (age_days, group) =
                (*self.pick(&[30, 60, 90]), self.some(|m| format!("Field {}", m.rng.u32(..3))));
            drafts.push(GroupingDraft { animal, age_days, group });
        }
        Some(groupings(drafts, flock))
    }

    pub(super) fn money(&mut self, _flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..3) {
            drafts.push(MoneyDraft {
                on: self.back(400),
                kind: *self.pick(MoneyKind::ALL),
                amount: Price::from_cents(self.rng.u32(1..10_000_000)),
                group: self.some(Self::text),
                note: self.some(Self::text),
            });
        }
        Some(money(drafts, self.today))
    }
}
