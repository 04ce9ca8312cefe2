//! What the times of a plan are counted from, for one animal.

use super::{Ground, LONG_PAST};
use crate::flock::{AnimalFile, Flock, Joining, Outcome};
use crate::plan::{Anchor, Whom};
use crate::reckon::gestation;
use crate::terms::{AnimalId, Born, Day, Moment, MonthDay, Rearing, Status};
use rapidhash::RapidHashMap;

/// Key of the step that weans: its tick is the day of weaning.
pub(super) const WEAN: &str = "wean";

/// Days of joining and foster lambs, looked up once for the whole flock.
#[derive(Debug, Clone, Default)]
pub struct Seasons {
    /// The flock's joining days of three years, the one in the middle nearest to the day.
    days: Vec<Day>,
    /// Lambs put on a ewe.
    fosters: RapidHashMap<AnimalId, Vec<AnimalId>>,
}

impl Seasons {
    /// Looks through the flock. The joining day is the setting's month and day, or that of the first joining of the
    /// last joining season in the book.
    pub fn of(flock: &Flock, day: Day) -> Self {
        let mut fosters: RapidHashMap<AnimalId, Vec<AnimalId>> = RapidHashMap::default();
        let mut first: Option<(Day, Day)> = None; // first and last of the latest season
        let mut days: Vec<Day> = Vec::new();
        for f in flock.files() {
            if let Rearing::Foster(ewe) = f.animal.rearing
                && f.animal.age_days(day).is_some_and(|d| d <= LONG_PAST)
            {
                fosters.entry(ewe).or_default().push(f.animal.id);
            }
            days.extend(standing(f).filter(|j| j.from <= day && day.since(j.from) < 2 * 366).map(|j| j.from));
        }
        days.sort_unstable();
        for d in days {
            first = match first {
                // Joinings within ten weeks of each other are one season.
                Some((start, end)) if d.since(end) <= 70 => Some((start, d)),
                _ => Some((d, d)),
            };
        }
        let set = MonthDay::parse(&flock.holding().joining_day).ok();
        let usual = set.or_else(|| first.and_then(|(start, _)| MonthDay::new(start.month(), start.day())));
        let days = usual.map_or_else(Vec::new, |usual| {
            (day.year() - 1..=day.year() + 1).filter_map(|y| usual.of(y)).collect()
        });
        for all in fosters.values_mut() {
            all.sort_unstable();
        }
        Self { days, fosters }
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
        let recent = |d: Day| !open || day.since(d) <= LONG_PAST;
        if who == Whom::Lamb {
            all.birth.extend(birth(flock, f));
            all.weaned = weaned(f);
            all.weaning.extend(all.weaned.map(Moment::day));
            return all;
        }
        all.season.extend(ground.seasons.days().iter().filter(|d| recent(**d)).map(|d| Moment::day(*d)));
        if who == Whom::Ram {
            return all;
        }
        // One pregnancy a season: joinings that follow each other without a lambing count from the first.
        let mut joinings: Vec<&Joining> = standing(f).filter(|j| j.from <= day).collect();
        joinings.sort_by_key(|j| (j.from, j.id));
        let mut last: Option<&Joining> = None;
        for j in joinings {
            let between =
                |l: &Joining| f.lambings_standing().any(|b| b.at.day > l.from && b.at.day <= j.from);
            let same = last.is_some_and(|l| j.from.since(l.from) < gestation::usual() && !between(l));
            if recent(j.from) && !same {
                all.joining.push(Moment::day(j.from));
                let window = gestation::due(j.from, j.to);
                all.due.push(Moment::day(window.due));
            }
            if recent(j.from)
                && let Some(late) = gestation::due(j.from, j.to).late
            {
                if same {
                    all.last_due.pop();
                }
                all.last_due.push(Moment::day(late));
            }
            if !same {
                last = Some(j);
            }
        }
        let lambings = || f.lambings_standing().filter(|l| recent(l.at.day));
        all.lambing.extend(lambings().map(|l| l.at));
        for l in lambings() {
            all.weaning.extend(weaning_of(flock, ground, &l.lambs, f.animal.id, l.at.day).map(Moment::day));
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
pub(super) fn weaned(f: &AnimalFile) -> Option<Day> {
    f.ticks_standing().filter(|t| t.step == WEAN && t.outcome == Outcome::Done).map(|t| t.at.day).max()
}

/// The day the last lamb a ewe reared of this lambing was weaned; none while one still sucks.
fn weaning_of(flock: &Flock, ground: &Ground, own: &[AnimalId], ewe: AnimalId, born: Day) -> Option<Day> {
    let put_on = ground.seasons.fosters.get(&ewe).map_or(&[][..], Vec::as_slice);
    let reared = own.iter().chain(put_on).filter_map(|id| flock.file(*id)).filter(|l| {
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
