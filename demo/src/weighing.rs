//! Sessions at the scale: lambs at about three weeks, 30, 60 and 90 days and at weaning, ewes before the ram, in lamb
//! and at weaning, with the scores given beside the weight. Scores have dice of their own.

use crate::maker::{Maker, Scale, WORD};
use crate::sheep::{At, rounded};
use hirsel_core::entry::{self, SessionDraft, SessionPick, WeighedRow};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{Day, Gut, Minute, Moment, Score, ScoreKind, Sex, Weight};
use std::collections::BTreeMap;

/// First weighing day for an age, after the season's base day.
const FIRST: i64 = -36;

/// One animal of a session.
pub(crate) struct Row {
    pub(crate) at: At,
    pub(crate) kg: f64,
    pub(crate) scores: Vec<Score>,
    pub(crate) note: Option<&'static str>,
}

/// A session at a scale, in words.
pub(crate) fn at_scale(scale: &str, group: &str, gut: Gut, hour: u32) -> SessionDraft {
    SessionDraft {
        time: Minute::new(hour, 30),
        scale: Some(scale.into()),
        group: Some(group.into()),
        gut: Some(gut),
        note: None,
    }
}

/// A whole score; those off the scale are left out.
pub(crate) fn points(kind: ScoreKind, points: u8) -> Option<Score> {
    Score::new(kind, points * 4)
}

/// Lambs as they came to the scale: day, age, who.
type Sessions = Vec<(i64, Day, Vec<At>)>;

impl Maker<'_> {
    /// Takes a session up; rows of sheep that are gone or days to come fall away.
    pub(crate) fn session(&mut self, on: Day, what: SessionDraft, rows: Vec<Row>, flock: &Flock, word: &str) {
        let rows: Vec<WeighedRow> = rows
            .into_iter()
            .filter(|r| on <= self.today && self.sheep[r.at].is_here(on))
            .map(|r| WeighedRow {
                animal: self.sheep[r.at].id,
                at: Moment::day(on),
                weight: Weight::from_grams((r.kg * 1000.0).round() as i64),
                scores: r.scores,
                note: r.note.map(Into::into),
            })
            .collect();
        if !rows.is_empty() {
            self.push(entry::weighed(SessionPick::New(what), rows, flock, self.today), word);
        }
    }

    /// Weighing days at about 30, 60 and 90 days; gives who was weighed when at which age.
    pub(crate) fn sessions(&mut self, base: Day, crop: &[At], season: usize, flock: &Flock) -> Sessions {
        let mut all: BTreeMap<(i64, Day), Vec<At>> = BTreeMap::new();
        for age in [30, 60, 90] {
            if self.is_lean() && age != 60 {
                continue;
            }
            for at in crop {
                let days = self.sheep[*at].born.since(base) - FIRST;
                let turn = ((days + 7).div_euclid(14)).clamp(0, 3);
                let on = base.plus(FIRST + age + turn * 14);
                if on <= self.today && self.sheep[*at].is_here(on) {
                    all.entry((age, on)).or_default().push(*at);
                }
            }
        }
        // One figure that looks mistyped: a two for a one, or a stray foot on the scale.
        let odd = all.iter().find(|((age, _), l)| season == self.last && *age == 30 && l.len() > 2);
        let odd = odd.map(|(k, l)| (*k, l[1]));
        for ((age, on), list) in &all {
            let mut kgs: Vec<(At, f64)> = Vec::with_capacity(list.len());
            let mut stray = None;
            for at in list {
                if odd == Some(((*age, *on), *at)) {
                    stray = Some((*at, rounded(self.sheep[*at].kg(*on) + 20.0)));
                } else {
                    kgs.push((*at, self.sheep[*at].scale(*on, &mut self.dice)));
                }
            }
            // A wrongly read tag: the heaviest and the lightest lamb got each other's weight.
            let first = all.keys().find(|(a, _)| *a == 60);
            if season + 1 == self.last && first == Some(&(*age, *on)) && kgs.len() > 3 {
                swap_ends(&mut kgs);
            }
            let (scale, group) = match age {
                30 => ("hanging scale", "lambs, about 30 days old"),
                60 => ("crate in the shed", "lambs, about 60 days old"),
                _ => ("crate in the shed", "lambs, about 90 days old"),
            };
            self.scored.shuffle(&mut kgs);
            let mut rows = Vec::with_capacity(kgs.len() + 1);
            for (at, kg) in kgs {
                rows.push(self.lamb_row(at, kg, *on, *age));
            }
            let what = at_scale(scale, group, Gut::Full, 9);
            if let Some((at, kg)) = stray {
                rows.push(Row { at, kg, scores: Vec::new(), note: None });
                self.session(*on, what, rows, flock, "the scale showed it");
            } else {
                self.session(*on, what, rows, flock, WORD);
            }
        }
        all.into_iter().map(|((age, on), list)| (age, on, list)).collect()
    }

    /// A lamb on the scale with the scores of its age: worms are looked for from two months on.
    fn lamb_row(&mut self, at: At, kg: f64, on: Day, age: i64) -> Row {
        let mut row = Row { at, kg, scores: Vec::new(), note: None };
        if self.is_lean() {
            return row;
        }
        let ill = u8::from(self.sheep[at].is_checked(on));
        if ill > 0 {
            row.note = Some(self.scored.pick(&["poor, rough fleece", "dull, tucked up", "has scoured"]));
        }
        if age >= 60 {
            let shares = [(1, 33.0), (2, 42.0), (3, 18.0), (4, 6.0), (5, 1.0)];
            let eyelid: u8 = self.scored.weighted(&shares);
            let shares = [(0, 44.0), (1, 28.0), (2, 16.0), (3, 8.0), (4, 3.0), (5, 1.0)];
            let dag: u8 = self.scored.weighted(&shares);
            row.scores.extend(points(ScoreKind::Eyelid, (eyelid + 2 * ill).min(5)));
            row.scores.extend(points(ScoreKind::Dag, (dag + 2 * ill).min(5)));
        }
        row
    }

    /// Weaned lambs, off their feed overnight; and the ewes they were taken from.
    pub(crate) fn at_weaning(&mut self, on: Day, lambs: &[At], flock: &Flock) {
        let mut rows = Vec::with_capacity(lambs.len());
        for at in lambs {
            let kg = self.sheep[*at].scale(on, &mut self.dice);
            rows.push(Row { at: *at, kg, scores: Vec::new(), note: Some("weaning") });
        }
        self.scored.shuffle(&mut rows);
        self.session(on, at_scale("crate in the shed", "weaned lambs", Gut::Fasted, 8), rows, flock, WORD);
        if self.is_lean() {
            return;
        }
        let mut reared: BTreeMap<At, u32> = BTreeMap::new();
        for ewe in lambs.iter().filter_map(|at| self.sheep[*at].reared_by) {
            *reared.entry(ewe).or_default() += 1;
        }
        let ewes = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 450);
        let mut rows = Vec::with_capacity(ewes.len());
        for at in ewes {
            let n = reared.get(&at).copied().unwrap_or(0);
            // Milk is made off the back.
            let loss = f64::from(n) * 0.35 * self.sheep[at].milk;
            let left = self.scored.bell(3.35 - loss, 0.25);
            self.sheep[at].condition = quarter(left);
            let mut scores: Vec<Score> = self.condition(at).into_iter().collect();
            if n > 0 {
                let udder: u8 = self.scored.weighted(&[(1, 74.0), (2, 16.0), (3, 6.0), (4, 3.0), (5, 1.0)]);
                self.sheep[at].trouble += u32::from(udder > 3);
                scores.extend(points(ScoreKind::Udder, udder));
            }
            rows.push(self.ewe_row(at, on, scores));
        }
        self.session(on, at_scale("crate in the shed", "ewes at weaning", Gut::Full, 14), rows, flock, WORD);
    }

    /// Those that stay through the winter, before the rams go in.
    pub(crate) fn before_the_ram(&mut self, on: Day, all: &[At], flock: &Flock) {
        let mut rows = Vec::with_capacity(all.len());
        for at in all {
            let back = self.scored.bell(3.1, 0.28).max(self.sheep[*at].condition);
            self.sheep[*at].condition = quarter(back.min(4.25));
            let mut scores = Vec::new();
            if !self.is_lean() {
                scores.extend(self.condition(*at));
                if self.sheep[*at].age(on) > 5 * 365 {
                    let teeth: u8 = self.scored.weighted(&[(1, 50.0), (2, 25.0), (3, 17.0), (4, 8.0)]);
                    scores.extend(points(ScoreKind::Teeth, teeth));
                }
                if self.scored.chance(0.06) {
                    let feet: u8 = self.scored.weighted(&[(2, 60.0), (3, 30.0), (4, 10.0)]);
                    scores.extend(points(ScoreKind::Feet, feet));
                }
            }
            rows.push(self.ewe_row(*at, on, scores));
        }
        let what = at_scale("crate in the shed", "ewes and rams before joining", Gut::Full, 10);
        self.session(on, what, rows, flock, WORD);
    }

    /// Ewes in lamb.
    pub(crate) fn in_lamb(&mut self, on: Day, ewes: &[At], flock: &Flock) {
        let mut rows = Vec::with_capacity(ewes.len());
        for at in ewes {
            let now = self.sheep[*at].condition + self.scored.bell(-0.2, 0.18);
            self.sheep[*at].condition = quarter(now);
            let scores = self.condition(*at).into_iter().collect();
            rows.push(self.ewe_row(*at, on, scores));
        }
        self.session(on, at_scale("crate in the shed", "ewes in lamb", Gut::Full, 10), rows, flock, WORD);
    }

    fn condition(&self, at: At) -> Option<Score> {
        Score::new(ScoreKind::Condition, (self.sheep[at].condition * 4.0).round() as u8)
    }

    fn ewe_row(&mut self, at: At, on: Day, scores: Vec<Score>) -> Row {
        Row { at, kg: self.sheep[at].scale(on, &mut self.dice), scores, note: None }
    }

    /// The oldest lambs together once more, at three weeks and over: who grows, before it is said who stays entire.
    pub(crate) fn three_weeks(&mut self, on: Day, crop: &[At], flock: &Flock) -> Vec<At> {
        let lambs: Vec<At> = crop
            .iter()
            .copied()
            .filter(|at| {
                let s = &self.sheep[*at];
                s.is_here(on) && (18..=32).contains(&s.age(on))
            })
            .collect();
        let mut rows = Vec::with_capacity(lambs.len());
        for at in &lambs {
            let kg = self.more_scale(*at, on);
            let mut scores = Vec::new();
            if self.sheep[*at].sex == Sex::Ram {
                for kind in [ScoreKind::Type, ScoreKind::Colour, ScoreKind::Bite] {
                    let n: u8 = match kind {
                        ScoreKind::Bite => self.scored.weighted(&[(1, 90.0), (2, 6.0), (3, 3.0), (4, 1.0)]),
                        _ => self.scored.weighted(&[(1, 40.0), (2, 40.0), (3, 15.0), (4, 5.0)]),
                    };
                    scores.extend(points(kind, n));
                }
            }
            rows.push(Row { at: *at, kg, scores, note: None });
        }
        self.session(on, at_scale("hanging scale", "lambs at three weeks", Gut::Full, 16), rows, flock, WORD);
        lambs
    }

    /// What the scale shows, with the dice of the scores.
    fn more_scale(&mut self, at: At, on: Day) -> f64 {
        self.sheep[at].scale(on, &mut self.scored)
    }

    /// Weighs single animals, as it comes.
    pub(crate) fn scale_of(&mut self, list: &[(At, Day)]) -> Vec<Scale> {
        list.iter()
            .map(|(at, on)| (*at, Moment::day(*on), self.sheep[*at].scale(*on, &mut self.dice)))
            .collect()
    }
}

/// Condition is given in quarters from 1 to 5.
fn quarter(score: f64) -> f64 {
    ((score * 4.0).round() / 4.0).clamp(1.25, 4.75)
}

/// The heaviest and the lightest change their weights.
fn swap_ends(kgs: &mut [(At, f64)]) {
    let by = |a: &usize, b: &usize| kgs[*a].1.total_cmp(&kgs[*b].1);
    let (low, high) = ((0..kgs.len()).min_by(by), (0..kgs.len()).max_by(by));
    if let (Some(low), Some(high)) = (low, high) {
        (kgs[low].1, kgs[high].1) = (kgs[high].1, kgs[low].1);
    }
}
