//! A winter ahead in plain numbers: who eats from day to day, what each is given, how far all that may be off.
//!
//! Day 0 is the evening of the first day: what was fed that day is gone from the store. Days 1, 2, … are fed from it.

use crate::terms::Eaters;

/// How many groups there are.
pub(super) const GROUPS: usize = Eaters::ALL.len();

/// A line of a ration of the feed in question.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Who eats it.
    pub eaters: Eaters,
    /// In this pen alone, from 1; none is the group wherever it has no line of its own.
    pub pen: Option<usize>,
    /// From this day on; 0 holds already.
    pub from: usize,
    /// A head a day as fed, kg; nothing ends it.
    pub each_kg: f64,
}

/// One of the flock ahead.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Its pen, from 1; 0 is any without a line of its own.
    pub pen: usize,
    /// The first day it is no longer here, with its lambs.
    pub until: Option<usize>,
    /// What becomes of it.
    pub life: Life,
}

/// What becomes of one of the flock.
#[derive(Debug, Clone, PartialEq)]
pub enum Life {
    /// It is of this group from this day on, then of the next; from day 0.
    Known(Vec<(usize, Eaters)>),
    /// A ewe that is looked to lamb.
    Carrying(Carrying),
}

/// A ewe that is looked to lamb.
#[derive(Debug, Clone, PartialEq)]
pub struct Carrying {
    /// She runs with the ram up to this day, not counted; 0: no longer.
    pub joined_until: usize,
    /// Her last weeks begin on this day.
    pub late_from: i64,
    /// The usual day she lambs, counted from the day of service or the first day it can have been.
    pub usual: f64,
    /// Standard deviation of the days she carries.
    pub off: f64,
    /// Days between the first and the last day she can have been served; 0 where the day is known.
    pub open_days: f64,
    /// The chance that she is in lamb.
    pub holds: f64,
    /// Shares of one, two, three lambs.
    pub litter: [f64; 3],
}

/// How lambs are raised and ewes are fed by their days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raising {
    /// Lambs are at the creep from this age, days.
    pub creep_from: i64,
    /// Weaned at this age, days.
    pub wean: i64,
    /// The chance that a lamb born is lost before weaning.
    pub lost: f64,
    /// Of those lost, the share lost in their first week.
    pub lost_first_week: f64,
    /// Days of a ewe's cycle.
    pub cycle: f64,
    /// Ewes that take the ram in one cycle, where only the time with him is known.
    pub settle: f64,
}

/// A winter ahead.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// Days looked ahead.
    pub days: usize,
    /// In store, kg as fed.
    pub stock_kg: f64,
    /// Bought beside it, kg as fed by the written weight of a bale.
    pub bought_kg: f64,
    /// Standard deviation of what is truly there, as a share.
    pub stock_off: f64,
    /// Lines of its ration.
    pub lines: Vec<Line>,
    /// All of them times this.
    pub ration: f64,
    /// Standard deviation of what is truly given, as a share.
    pub given_off: f64,
    /// Spoiled beside what is fed, as a share, and its standard deviation.
    pub spoiled: (f64, f64),
    /// The first day of grass.
    pub grass: usize,
    /// From then on this share of the ration is eaten.
    pub grass_share: f64,
    /// Everyone.
    pub heads: Vec<Head>,
    /// How lambs are raised.
    pub raising: Raising,
}

/// What each group is given a head in each pen on each day.
pub(super) struct Rates {
    days: usize,
    /// By slot: pen times groups plus group, then by day.
    pub(super) by_slot: Vec<Option<Vec<f64>>>,
}

impl Rates {
    pub(super) fn of(m: &Model) -> Self {
        let pens = m.heads.iter().map(|h| h.pen).max().unwrap_or(0);
        let mut by_slot = Vec::with_capacity((pens + 1) * GROUPS);
        for pen in 0..=pens {
            for group in Eaters::ALL {
                by_slot.push(rates(m, pen, *group));
            }
        }
        Self { days: m.days, by_slot }
    }

    pub(super) fn slot(pen: usize, group: Eaters) -> usize {
        pen * GROUPS + group as usize
    }

    /// What one of a slot is given on a day.
    pub(super) fn each(&self, slot: usize, day: usize) -> f64 {
        if day > self.days {
            return 0.0;
        }
        self.by_slot.get(slot).and_then(Option::as_ref).map_or(0.0, |r| r[day])
    }
}

/// What a group is given in a pen, day by day; none where it is never given any. A pen's own line goes before the
/// group's, a line of nothing as well; the last line of each by day holds.
fn rates(m: &Model, pen: usize, group: Eaters) -> Option<Vec<f64>> {
    let mut own: Vec<&Line> = m.lines.iter().filter(|l| l.eaters == group).collect();
    own.retain(|l| l.pen.is_none() || l.pen == Some(pen));
    if own.is_empty() {
        return None;
    }
    own.sort_by_key(|l| l.from);
    let holds = |of: Option<usize>, day: usize| {
        let last = own.iter().rev().find(|l| l.pen == of && l.from <= day);
        last.map(|l| l.each_kg)
    };
    let each = |day: usize| {
        let kg = (pen > 0).then(|| holds(Some(pen), day)).flatten().or_else(|| holds(None, day));
        let share = if day >= m.grass { m.grass_share } else { 1.0 };
        kg.unwrap_or(0.0) * m.ration * share
    };
    Some((0..=m.days).map(each).collect())
}
