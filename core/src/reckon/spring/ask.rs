//! What is asked of a winter, and why there may be no answer.

use crate::flock::Flock;
use crate::handbook::spring as book;
use crate::terms::{Day, FeedId, Mass, MonthDay};

/// Days looked at after the first day of grass, where no other end is asked for.
const AFTER_GRASS: i64 = 21;
/// Winters reckoned, where nothing else is asked.
const RUNS: u32 = 400;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The feed.
    pub feed: FeedId,
    /// The last day looked at.
    pub until: Day,
    /// The first day of grass.
    pub grass: Day,
    /// From then on this share of the ration is eaten, 0 to 1.
    pub grass_share: f64,
    /// In store now, where the keeper says so; else by the book.
    pub stock: Option<Mass>,
    /// Bought beside it.
    pub buy: Mass,
    /// All rations times this.
    pub ration: f64,
    /// So many ewes sold tomorrow: those not in lamb first, then those with the fewest lambs.
    pub sold: u32,
    /// The day those go that are decided to leave; none: they eat on.
    pub leave_on: Option<Day>,
    /// Spoiled beside what is fed, as a share, where the keeper says so.
    pub spoiled: Option<f64>,
    /// Winters reckoned.
    pub runs: u32,
    /// The same seed gives the same answer.
    pub seed: u64,
}

impl Ask {
    /// Of a feed as it stands, to grass by the handbook's day.
    pub fn of(feed: FeedId, today: Day) -> Self {
        let grass = book::grass().and_then(|md| Self::next(md, today)).unwrap_or_else(|| today.plus(180));
        Self {
            feed,
            until: grass.plus(AFTER_GRASS),
            grass,
            grass_share: book::grass_share_percent() / 100.0,
            stock: None,
            buy: Mass::NONE,
            ration: 1.0,
            sold: 0,
            leave_on: None,
            spoiled: None,
            runs: RUNS,
            seed: 1,
        }
    }

    /// With another first day of grass.
    #[must_use]
    pub fn grass(mut self, on: Day) -> Self {
        self.grass = on;
        self.until = on.plus(AFTER_GRASS);
        self
    }

    /// One of each feed that some group is given, or is to be given by a line ahead: hay and its like first, then by name.
    pub fn usual(flock: &Flock, today: Day) -> Vec<Self> {
        let room = flock.feedroom();
        let ahead = room.rations.iter().filter(|r| r.struck.is_none() && r.from > today && !r.each.is_none());
        let given: Vec<FeedId> = room.rations_on(today).into_iter().chain(ahead).map(|r| r.feed).collect();
        let mut feeds: Vec<_> = room.feeds.iter().filter(|f| given.contains(&f.id)).collect();
        feeds.sort_by_key(|f| (!f.kind.is_forage(), f.name.to_lowercase()));
        feeds.into_iter().map(|f| Self::of(f.id, today)).collect()
    }

    /// The next day of that name after today.
    pub fn next(day: MonthDay, today: Day) -> Option<Day> {
        [today.year(), today.year() + 1].into_iter().find_map(|y| day.of(y).filter(|d| *d > today))
    }

    /// What is wrong with it.
    ///
    /// # Errors
    /// The days, the feed.
    pub(super) fn check(&self, flock: &Flock, today: Day) -> Result<(), NoWinter> {
        if flock.feedroom().feed(self.feed).is_none() {
            return Err(NoWinter::NoFeed);
        }
        if self.until <= today {
            return Err(NoWinter::Past(self.until));
        }
        if self.until.since(today) > super::MOST_DAYS as i64 {
            return Err(NoWinter::TooFar(self.until));
        }
        Ok(())
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoWinter {
    /// The feed is not in the book.
    #[error("the feed is not in the book any more: choose another")]
    NoFeed,
    /// No ration of it is written.
    #[error("no ration of {0} is written: write what each group is given of it a day, under Day by day")]
    NoRation(String),
    /// The last day lies behind.
    #[error("{} is not ahead: choose a later day", .0.words())]
    Past(Day),
    /// The last day lies too far ahead.
    #[error("{} is more than 400 days ahead, farther than rations and lambs can be told: choose a day before it", .0.words())]
    TooFar(Day),
    /// The keeper stopped it.
    #[error("stopped: nothing was reckoned")]
    Stopped,
}
