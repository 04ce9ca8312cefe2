//! Any sessions, scores, decisions, groups and money, for the round trip.

use super::*;
use crate::entry::{
    Check, DecisionDraft, GroupingDraft, MoneyDraft, ScoringDraft, SessionDraft, SessionPick, WeighedRow,
};
use crate::flock::AnimalFile;

fn word(n: usize) -> Option<String> {
    (!n.is_multiple_of(3)).then(|| format!("{} {n}", TAGS[n % TAGS.len()]))
}

/// One entry of the scale or the table; nothing where it needs what is not there.
pub(super) fn check(flock: &Flock, op: &Op, n: usize) -> Option<Check> {
    let today = day(TODAY);
    // Few days, so that sessions and decisions meet on one.
    let on = today.plus(-i64::from(op.c % 5) * 30);
    let time = Minute::new(u32::from(op.c) % 24, 15).filter(|_| op.a.is_multiple_of(2));
    let mut files: Vec<_> = flock.files().collect();
    files.sort_by_key(|f| f.animal.id);
    let of = |i: usize| -> Option<&AnimalFile> { files.get(i % files.len().max(1)).copied() };
    let score = |i: usize| {
        let kind = ScoreKind::ALL[i % ScoreKind::ALL.len()];
        let quarters =
            if kind == ScoreKind::Condition { 4 + (i % 17) as u8 } else { 4 * (1 + (i % 5) as u8) };
        Score::new(kind, quarters)
    };
    Some(match op.what {
        28 | 29 => {
            let row = |i: usize| {
                let f = of(op.a + i)?;
                Some(WeighedRow {
                    animal: f.animal.id,
                    at: Moment { day: on, time: time.filter(|_| i.is_multiple_of(2)) },
                    weight: Weight::from_grams(9_000 + i64::from(op.c) + i as i64).filter(|_| i != 1),
                    scores: score(op.b + i).into_iter().chain(score(op.b + i + 1)).collect(),
                    note: word(op.b + i),
                })
            };
            let draft = SessionDraft {
                time,
                scale: word(op.a),
                group: word(op.b),
                gut: [None, Some(Gut::Fasted), Some(Gut::Full)][op.a % 3],
                note: word(n),
            };
            let held = flock.daybook().sessions.iter().find(|s| s.on == on).map(|s| s.id);
            let pick = match (held, op.b % 3) {
                (Some(id), 0) => SessionPick::In(id),
                (_, 1) => SessionPick::None,
                _ => SessionPick::New(draft),
            };
            entry::weighed(pick, (0..=op.b % 3).filter_map(row).collect(), flock, today)
        }
        30 | 31 => {
            let draft = ScoringDraft {
                animal: of(op.a)?.animal.id,
                at: Moment { day: on, time },
                score: score(op.b)?,
                note: word(op.a),
            };
            entry::scorings(vec![draft], flock, today)
        }
        32 => {
            let what = Decided::ALL[op.b % Decided::ALL.len()];
            let draft = DecisionDraft { animal: of(op.a)?.animal.id, on, what, reason: word(n) };
            entry::decisions(vec![draft], flock, today)
        }
        33 => {
            let group = Some(word(op.b).unwrap_or("A".into()));
            let draft =
                GroupingDraft { animal: of(op.a)?.animal.id, age_days: [30, 60, 90][op.b % 3], group };
            entry::groupings(vec![draft], flock)
        }
        _ => {
            let draft = MoneyDraft {
                on,
                kind: MoneyKind::ALL[op.a % MoneyKind::ALL.len()],
                amount: Price::from_cents(u32::from(op.c % 400) + 1),
                group: word(op.a),
                note: word(op.b),
            };
            entry::money(vec![draft], today)
        }
    })
}
