//! A session at the scale: who is to be weighed, who was, in which order, and what there is to look at.

mod group;
mod race;

pub use group::{Group, due_for_session};
pub use race::{LookAt, Stand, Tally, look_at, race, race_of, tally};

use crate::flock::{Flock, Session, natural};
use crate::reckon::figures::Mean;
use crate::terms::{AnimalId, SessionId};
use std::collections::{HashMap, HashSet};

/// What a list of sessions shows of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionLine {
    /// The session.
    pub session: Session,
    /// Weighings that stand.
    pub weighed: Mean,
    /// Animals that were scored, weighed or not.
    pub scored: u32,
}

/// Every session of the book, the newest first.
pub fn sessions(flock: &Flock) -> Vec<SessionLine> {
    let mut weighed: HashMap<SessionId, Mean> = HashMap::new();
    let mut scored: HashMap<SessionId, u32> = HashMap::new();
    if !flock.daybook().sessions.is_empty() {
        for f in flock.files() {
            for w in f.weighings.iter().filter(|w| w.struck.is_none()) {
                if let Some(id) = w.session {
                    weighed.entry(id).or_default().add(w.weight);
                }
            }
            let mut last = None;
            for id in f.scores.iter().filter(|s| s.struck.is_none()).filter_map(|s| s.session) {
                // Scores of one visit stand together.
                if last != Some(id) {
                    *scored.entry(id).or_default() += 1;
                    last = Some(id);
                }
            }
        }
    }
    let mut all: Vec<&Session> = flock.daybook().sessions.iter().collect();
    all.sort_by_key(|s| std::cmp::Reverse((s.on, s.time, s.id)));
    all.into_iter()
        .map(|s| SessionLine {
            session: s.clone(),
            weighed: weighed.get(&s.id).copied().unwrap_or_default(),
            scored: scored.get(&s.id).copied().unwrap_or_default(),
        })
        .collect()
}

/// These animals in the order of the race of the last session in which any of them were: the newest earlier one of the
/// same group, else the newest of all. Those it does not know follow by tag.
pub fn in_last_order(
    flock: &Flock,
    members: Vec<AnimalId>,
    this: Option<SessionId>,
    group: Option<&str>,
) -> Vec<AnimalId> {
    let earlier = |s: &&Session| Some(s.id) != this && this.is_none_or(|id| s.id < id);
    let mut sessions: Vec<&Session> = flock.daybook().sessions.iter().filter(earlier).collect();
    let low = |g: &str| g.trim().to_lowercase();
    let same = |s: &Session| s.group.as_deref().map(low) == group.map(low);
    sessions.sort_by_key(|s| std::cmp::Reverse((same(s), s.on, s.time, s.id)));
    // The last places of each animal, session by session.
    let mut places: HashMap<SessionId, Vec<(uuid::Uuid, AnimalId)>> = HashMap::new();
    for f in members.iter().filter_map(|id| flock.file(*id)) {
        let weighed = f.weighings.iter().filter(|w| w.struck.is_none()).map(|w| (w.session, w.id.0));
        let scored = f.scores.iter().filter(|s| s.struck.is_none()).map(|s| (s.session, s.id.0));
        for (session, at) in weighed.chain(scored) {
            if let Some(session) = session {
                places.entry(session).or_default().push((at, f.animal.id));
            }
        }
    }
    let last = sessions.into_iter().find_map(|s| places.remove(&s.id));
    let mut order: Vec<AnimalId> = Vec::with_capacity(members.len());
    let mut there: HashSet<AnimalId> = HashSet::new();
    if let Some(mut last) = last {
        last.sort_unstable_by_key(|(at, _)| *at);
        order.extend(last.into_iter().map(|(_, id)| id).filter(|id| there.insert(*id)));
    }
    let mut rest: Vec<AnimalId> = members.into_iter().filter(|id| !there.contains(id)).collect();
    rest.sort_by(|a, b| natural(flock.tag(*a), flock.tag(*b)).then(a.cmp(b)));
    order.append(&mut rest);
    order
}

/// The next of an order that is not done: the first after the last one done, after the end the first of all.
pub fn next(order: &[AnimalId], done: &HashSet<AnimalId>, last: Option<AnimalId>) -> Option<AnimalId> {
    let from = last.and_then(|l| order.iter().position(|id| *id == l)).map_or(0, |at| at + 1);
    let (before, after) = order.split_at(from.min(order.len()));
    after.iter().chain(before).find(|id| !done.contains(*id)).copied()
}

#[cfg(test)]
mod tests;
