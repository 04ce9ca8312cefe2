//! What the times of a plan are counted from, for one animal.

use super::{Ground, SAME_DAYS, whom};
use crate::flock::{AnimalFile, Flock, Joining, Lambing, Outcome};
use crate::plan::{Anchor, Whom};
use crate::reckon::gestation;
use crate::terms::{AnimalId, Born, Day, Moment, MonthDay, Rearing, Status};
use rapidhash::RapidHashMap;

/// Key of the step that weans: its tick is the day of weaning.
pub(super) const WEAN: &str = "wean";

/// Days of joining and foster lambs, looked up once for the whole flock.
#[derive(Debug, Clone, Default)]
pub struct Seasons {
    /// The flock's joining days, one a year, up to the year after the day.
    days: Vec<Day>,
    /// Lambs put on a ewe.
    fosters: RapidHashMap<AnimalId, Vec<AnimalId>>,
}

/// A joining so near to the usual day is that year's.
const OF_THE_YEAR: i64 = 100;

impl Seasons {
    /// Looks through the flock. The usual joining day is the setting's month and day, or that of the first joining of
    /// the last joining season in the book; a year whose rams went in on another day has that day.
    pub fn of(flock: &Flock, day: Day) -> Self {
        let mut fosters: RapidHashMap<AnimalId, Vec<AnimalId>> = RapidHashMap::default();
        let mut joined: Vec<Day> = Vec::new();
        for f in flock.files() {
            if let Rearing::Foster(ewe) = f.animal.rearing {
                fosters.entry(ewe).or_default().push(f.animal.id);
            }
            joined.extend(standing(f).map(|j| j.from).filter(|d| *d <= day));
        }
        for all in fosters.values_mut() {
            all.sort_unstable();
        }
        joined.sort_unstable();
        joined.dedup();
        // Joinings within ten weeks of each other are one season.
        let gap = |w: &[Day]| w[1].since(w[0]) > 70;
        let starts: Vec<Day> = joined
            .first()
            .copied()
            .into_iter()
            .chain(joined.windows(2).filter(|w| gap(w)).map(|w| w[1]))
            .collect();
        let set = MonthDay::parse(&flock.holding().joining_day).ok();
        let Some(month_day) = set.or_else(|| starts.last().and_then(|d| MonthDay::new(d.month(), d.day())))
        else {
            return Self { days: Vec::new(), fosters };
        };
        let first = starts.first().map_or(day.year() - 1, |d| d.year().min(day.year() - 1));
        let usual = |y| month_day.of(y);
        let days = (first..=day.year() + 1).filter_map(usual).map(|usual| {
            let off = |d: &Day| d.since(usual).abs();
            let own = starts.iter().copied().filter(|d| set.is_none() && off(d) < OF_THE_YEAR);
            own.min_by_key(off).unwrap_or(usual)
        });
        Self { days: days.collect(), fosters }
    }

    /// Lambs put on a ewe.
    pub(super) fn put_on(&self, ewe: AnimalId) -> &[AnimalId] {
        self.fosters.get(&ewe).map_or(&[], Vec::as_slice)
    }

    /// The joining days known.
    pub fn days(&self) -> &[Day] {
        &self.days
    }
}

pub(super) fn standing(f: &AnimalFile) -> impl Iterator<Item = &Joining> {
    f.joinings.iter().filter(|j| j.struck.is_none())
}

/// The anchors of one animal as one kind of it.
#[derive(Debug, Default)]
pub(super) struct Anchors {
    birth: Vec<Moment>,
    season: Vec<Moment>,
    joining: Vec<Moment>,
    due: Vec<Moment>,
    last_due: Vec<Moment>,
    lambing: Vec<Moment>,
    weaning: Vec<Moment>,
    /// The day this lamb was weaned.
    pub weaned: Option<Day>,
}

impl Anchors {
    pub fn of(flock: &Flock, ground: &Ground, f: &AnimalFile, who: Whom, open: bool) -> Self {
        let day = ground.day;
        let mut all = Self::default();
        let recent = |d: Day| !open || day.since(d) <= ground.long;
        if who == Whom::Lamb {
            all.birth.extend(birth(flock, f));
            all.weaned = weaned(f);
            all.weaning.extend(all.weaned.map(Moment::day));
            return all;
        }
        let grown = |d: &Day| whom::is_grown_for(f, *d);
        all.season.extend(
            ground.seasons.days().iter().filter(|d| recent(**d) && grown(d)).map(|d| Moment::day(*d)),
        );
        if who == Whom::Ram {
            return all;
        }
        // One pregnancy a season; one that was scanned empty comes to no lambing.
        for p in gestation::history(flock, f, day) {
            if !recent(p.window.late.map_or(p.window.due, |l| l.max(p.window.due))) {
                continue;
            }
            all.joining.push(Moment::day(p.first));
            if !matches!(p.state, gestation::State::Empty(_)) {
                all.due.push(Moment::day(p.window.due));
                all.last_due.extend(p.window.late.map(Moment::day));
            }
        }
        // Two that come to the same day are one.
        for days in [&mut all.joining, &mut all.due, &mut all.last_due] {
            days.sort_unstable();
            days.dedup();
        }
        // A ewe that ran on with the ram has one last day.
        all.last_due.dedup_by(|later, first| {
            let same = later.day.since(first.day).abs() <= SAME_DAYS;
            first.day = if same { first.day.max(later.day) } else { first.day };
            same
        });
        // A lambing written in two is one: no ewe lambs again so soon.
        let mut lambings: Vec<&Lambing> = f.lambings_standing().collect();
        lambings.sort_by_key(|l| (l.at, l.id));
        let mut births: Vec<(Moment, Vec<AnimalId>)> = Vec::new();
        for l in lambings {
            match births.last_mut() {
                Some((first, lambs)) if l.at.day.since(first.day) <= SAME_DAYS => lambs.extend(&l.lambs),
                _ => births.push((l.at, l.lambs.to_vec())),
            }
        }
        for (at, lambs) in births {
            if recent(at.day) {
                all.lambing.push(at);
            }
            let weaned = weaning_of(flock, ground, &lambs, f.animal.id, at.day).filter(|d| recent(*d));
            all.weaning.extend(weaned.map(Moment::day));
        }
        all
    }

    pub fn all(&self, kind: &Anchor) -> &[Moment] {
        match kind {
            Anchor::Birth => &self.birth,
            Anchor::Season => &self.season,
            Anchor::Joining => &self.joining,
            Anchor::Due => &self.due,
            Anchor::LastDue => &self.last_due,
            Anchor::Lambing => &self.lambing,
            Anchor::Weaning => &self.weaning,
            Anchor::After(_) => &[],
        }
    }
}

/// Day of birth, with the time of its lambing where that is in the book. A year alone is no anchor.
fn birth(flock: &Flock, f: &AnimalFile) -> Option<Moment> {
    let day = match f.animal.born {
        Born::On(day) | Born::About(day) => day,
        Born::Year(_) | Born::Unknown => return None,
    };
    let time = f.birth.as_ref().and_then(|b| {
        let lambing = flock.file(b.ewe)?.lambings.iter().find(|l| l.id == b.lambing)?;
        (lambing.at.day == day).then_some(lambing.at.time).flatten()
    });
    Some(Moment { day, time })
}

/// The day a lamb was weaned: its tick of that step.
pub(crate) fn weaned(f: &AnimalFile) -> Option<Day> {
    f.ticks_standing().filter(|t| t.step == WEAN && t.outcome == Outcome::Done).map(|t| t.at.day).max()
}

/// The day the last lamb a ewe reared of this lambing was weaned; none while one still sucks.
fn weaning_of(flock: &Flock, ground: &Ground, own: &[AnimalId], ewe: AnimalId, born: Day) -> Option<Day> {
    let reared = own.iter().chain(ground.seasons.put_on(ewe)).filter_map(|id| flock.file(*id)).filter(|l| {
        flock.reared_by(&l.animal) == Some(ewe)
            && l.animal.born.day().is_some_and(|d| d.since(born).abs() <= 60)
            && (l.animal.status == Status::Present || weaned(l).is_some())
    });
    let mut last = None;
    for lamb in reared {
        last = Some(last.map_or(weaned(lamb)?, |l: Day| l.max(weaned(lamb).unwrap_or(l))));
        weaned(lamb)?;
    }
    last
}
