//! Ages and days that part one group from the next.

use crate::flock::Flock;
use crate::plan::{Anchor, Plan};
use crate::reckon::flock_figures::Settings;
use crate::reckon::ration::FeedRules;
use crate::terms::Born;

/// Ages of a lamb, in days from birth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LambSpans {
    /// From then on it eats at the creep.
    pub creep_from: i64,
    /// Not weaned before, unless it is ticked.
    pub wean_from: i64,
    /// Taken for weaned, where nothing else tells.
    pub weaned_at: i64,
}

/// Ages and days that part one group from the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spans {
    /// A ewe is in her last weeks from so many days before the first day she may lamb: 42 (husbandry: the lamb grows
    /// most in the last six weeks; common practice, no source).
    pub late_days: i64,
    /// A weaned ewe lamb is a young ewe from this age: 210 days, where the published needs of finishing lambs end
    /// (four to seven months; NRC, Nutrient Requirements of Sheep, 1985, Table 1).
    pub young_from: i64,
    /// A weaned ram or wether lamb is grown from this age: 365 days (common practice, no source).
    pub ram_from: i64,
    /// A ewe that never lambed counts as a dry ewe from this age: 730 days (common practice, no source).
    pub grown_from: i64,
    lambs: LambSpans,
    /// Years whose plan the keeper changed.
    years: Vec<(i32, LambSpans)>,
}

impl Spans {
    /// As they hold in a flock: from its care plan and its rules of feeding.
    pub fn of(flock: &Flock) -> Self {
        let weaned_at = Settings::of(flock.holding()).weaning_days;
        let creep = FeedRules::of(flock.holding()).creep.first().map(|s| s.from_day);
        let plan = flock.plan();
        let mut years: Vec<i32> = plan.changes().iter().filter_map(|c| c.season).collect();
        years.sort_unstable();
        years.dedup();
        Self {
            late_days: 42,
            young_from: 210,
            ram_from: 365,
            grown_from: 730,
            lambs: lambs(plan, None, creep, weaned_at),
            years: years.into_iter().map(|y| (y, lambs(plan, Some(y), creep, weaned_at))).collect(),
        }
    }

    /// Those of lambs born in a year.
    pub fn of_year(&self, year: i32) -> &LambSpans {
        self.years.iter().find(|(y, _)| *y == year).map_or(&self.lambs, |(_, s)| s)
    }

    /// Those of a lamb.
    pub(super) fn of_born(&self, born: Born) -> &LambSpans {
        born.year().map_or(&self.lambs, |y| self.of_year(y))
    }
}

/// The shipped plan's ages hold where the keeper does without a step.
fn lambs(plan: &Plan, season: Option<i32>, creep: Option<i64>, weaned_at: i64) -> LambSpans {
    let year = season.unwrap_or(i32::MIN);
    let step = |key: &str| plan.step(year, key).filter(|s| !s.off && s.anchor == Anchor::Birth);
    // The rules' first step of the creep; without one, the plan's.
    let creep = creep.or_else(|| step("creep").map(|s| s.times.earliest.whole_days()));
    let wean = step("wean");
    let wean_from = wean.map_or(42, |s| s.times.earliest.whole_days());
    LambSpans {
        creep_from: creep.unwrap_or(7),
        wean_from,
        weaned_at: wean.map_or(weaned_at, |s| s.times.due.whole_days()).max(wean_from),
    }
}
