//! What belongs to weighing and choosing: sessions at the scale, scores, decisions, groups mended by hand, money.

use super::Struck;
use crate::terms::{
    AnimalId, Day, Decided, DecisionId, GroupingId, Gut, Minute, Moment, MoneyId, MoneyKind, Price, Score,
    ScoringId, SessionId, Words,
};

/// A session at the scale. Its weighings and scores name it; their ids give the order of the race.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// Its id.
    pub id: SessionId,
    /// The day.
    pub on: Day,
    /// When it began.
    pub time: Option<Minute>,
    /// Which scale, in the keeper's word.
    pub scale: Option<String>,
    /// The pen, field or kind of animals that were to be weighed: `Bank field`, `ram lambs`.
    pub group: Option<String>,
    /// Fasted or full.
    pub gut: Option<Gut>,
    /// Note.
    pub note: Option<String>,
}

/// A score of an animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scoring {
    /// Its id.
    pub id: ScoringId,
    /// The animal.
    pub animal: AnimalId,
    /// When.
    pub at: Moment,
    /// What and how much.
    pub score: Score,
    /// The session at the scale it was given in.
    pub session: Option<SessionId>,
    /// Note.
    pub note: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What was decided of an animal; the last that stands holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decision {
    /// Its id.
    pub id: DecisionId,
    /// The animal.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// What.
    pub what: Decided,
    /// Why, in the keeper's words.
    pub reason: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// An animal put into a contemporary group by hand, for its weights at an age.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grouping {
    /// Its id.
    pub id: GroupingId,
    /// The animal.
    pub animal: AnimalId,
    /// The age in days whose weights are meant: 30, 60, 90, 120.
    pub age_days: u16,
    /// Name of the group.
    pub group: String,
}

/// Money spent or taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Money {
    /// Its id.
    pub id: MoneyId,
    /// The day.
    pub on: Day,
    /// For what.
    pub kind: MoneyKind,
    /// How much; income is told by its kind.
    pub amount: Price,
    /// Pen or group it belongs to; none is the whole flock.
    pub group: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What belongs to the whole flock and not to the cupboard, each list in order of time.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Daybook {
    /// Sessions at the scale.
    pub sessions: Vec<Session>,
    /// Money.
    pub money: Vec<Money>,
}

impl Daybook {
    /// A session.
    pub fn session(&self, id: SessionId) -> Option<&Session> {
        self.sessions.iter().find(|s| s.id == id)
    }
}
