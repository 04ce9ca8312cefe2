//! What is eaten on a day: what was written as fed, and what rations take where nothing was.

use super::heads::Here;
use super::{How, Use};
use crate::flock::{FeedMove, FeedRoom};
use crate::reckon::eaters::given;
use crate::terms::{Day, Eaters, FeedChange, FeedId, Mass, norm};

/// A creep that was filled with a feed: its lambs are told by that, from the first filling until it is closed.
#[derive(Debug)]
struct Filled {
    pen: String,
    feed: FeedId,
    from: Day,
    to: Option<Day>,
}

/// The rows that are eaten by, in order of time.
#[derive(Debug)]
pub(super) struct Eaten<'a> {
    room: &'a FeedRoom,
    fed: Vec<(&'a FeedMove, How)>,
    filled: Vec<Filled>,
}

/// Lambs that eat at a creep, whatever they are called.
fn lambs(eaters: Eaters) -> bool {
    matches!(eaters, Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs)
}

fn pen_of(pen: Option<&str>) -> Option<String> {
    pen.map(norm)
}

impl<'a> Eaten<'a> {
    pub(super) fn of(room: &'a FeedRoom) -> Self {
        let mut fed = Vec::new();
        let mut filled: Vec<Filled> = Vec::new();
        let rows = room.moves.iter().filter(|m| m.struck.is_none() && m.change == FeedChange::Fed);
        // A look at the trough alone is no feed.
        for m in rows.filter(|m| m.amount.is_some_and(|a| !a.is_none())) {
            let creep = m.pen.as_deref().and_then(|pen| room.creep_in(pen, m.on));
            let creep = creep.filter(|c| m.level.is_some() || c.feed == Some(m.feed));
            fed.push((m, if creep.is_some() { How::Creep } else { How::Fed }));
            if let (Some(c), Some(pen)) = (creep, pen_of(m.pen.as_deref())) {
                let same = |f: &&mut Filled| f.pen == pen && f.feed == m.feed && f.to == c.to;
                match filled.iter_mut().find(same) {
                    Some(f) => f.from = f.from.min(m.on),
                    None => filled.push(Filled { pen, feed: m.feed, from: m.on, to: c.to }),
                }
            }
        }
        fed.sort_by_key(|(m, _)| (m.on, m.time, m.id));
        Self { room, fed, filled }
    }

    /// What was written as fed on a day.
    fn fed_on(&self, day: Day) -> impl Iterator<Item = &(&'a FeedMove, How)> {
        let from = self.fed.partition_point(|(m, _)| m.on < day);
        self.fed.iter().skip(from).take_while(move |(m, _)| m.on == day)
    }

    /// Any ration holds on a day.
    pub(super) fn any_ration(&self, day: Day) -> bool {
        self.room.rations.iter().any(|r| r.struck.is_none() && r.from <= day && !r.each.is_none())
    }

    /// Everything eaten on a day with these heads.
    pub(super) fn on(&self, day: Day, here: &Here) -> Vec<Use> {
        let mut all: Vec<Use> = Vec::new();
        let mut instead: Vec<(FeedId, Option<String>)> = Vec::new();
        for (m, how) in self.fed_on(day) {
            if *how == How::Fed {
                instead.push((m.feed, pen_of(m.pen.as_deref())));
            }
            all.push(Use {
                on: day,
                feed: m.feed,
                pen: m.pen.clone(),
                eaters: (*how == How::Creep).then_some(Eaters::CreepLambs),
                heads: 0,
                amount: m.amount.unwrap_or_default(),
                how: *how,
                row: Some(m.id),
            });
        }
        let rations = self.by_rations(day, here);
        all.extend(rations.into_iter().filter(|u| !instead.contains(&(u.feed, pen_of(u.pen.as_deref())))));
        all
    }

    /// What rations take on a day with these heads, as if nothing else were written of that day.
    pub(super) fn by_rations(&self, day: Day, here: &Here) -> Vec<Use> {
        if !self.any_ration(day) {
            return Vec::new();
        }
        let mut all = Vec::new();
        for (pen, eaters, heads) in &here.0 {
            let at = norm(pen);
            let lines = given(self.room, pen, *eaters, day);
            for r in lines.into_iter().filter(|r| !(lambs(*eaters) && self.by_creep(&at, r.feed, day))) {
                let grams = r.each.grams().saturating_mul(u64::from(*heads));
                all.push(Use {
                    on: day,
                    feed: r.feed,
                    pen: Some(pen.clone()).filter(|p| !p.is_empty()),
                    eaters: Some(*eaters),
                    heads: *heads,
                    // More than there is room for stands as the most.
                    amount: Mass::from_grams(grams).unwrap_or(r.each),
                    how: How::Ration,
                    row: None,
                });
            }
        }
        all
    }

    /// The creep in a pen is told by its fillings with this feed on this day.
    fn by_creep(&self, pen: &str, feed: FeedId, day: Day) -> bool {
        self.filled
            .iter()
            .any(|f| f.feed == feed && f.pen == pen && f.from <= day && f.to.is_none_or(|to| day <= to))
    }

    /// The first day on which something of a feed is written as fed.
    pub(super) fn first_fed(&self, feed: FeedId) -> Option<Day> {
        self.fed.iter().find(|(m, _)| m.feed == feed).map(|(m, _)| m.on)
    }
}
