//! Contemporary groups: by rule, mended by hand.

use super::super::rules::GroupRule;
use crate::flock::{AnimalFile, Flock, Weighing};
use crate::phrase;
use crate::terms::{Day, SessionId, Sex, Weight};
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;

/// Lambs that had the same chance.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Its name: the keeper's, or what its lambs share.
    pub name: String,
    /// Put together by hand.
    pub by_hand: bool,
    /// Lambs in it.
    pub n: usize,
    /// Mean of their adjusted weights, grams.
    pub mean: f64,
    /// Lightest.
    pub least: Option<Weight>,
    /// Heaviest.
    pub most: Option<Weight>,
}

/// A lamb's weighing as groups see it.
pub(super) struct Placed<'a> {
    pub(super) file: &'a AnimalFile,
    pub(super) born: Day,
    pub(super) weighing: &'a Weighing,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum When {
    Session(SessionId),
    Day(Day),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Key<'a> {
    Hand(&'a str),
    Rule { span: Option<Day>, year: i32, sex: Option<Sex>, pen: Option<&'a str>, when: Option<When> },
}

/// The pen an animal was in at the end of a day; without moves that of now.
fn pen_on(f: &AnimalFile, on: Day) -> Option<&str> {
    let mut moves = f.pen_moves.iter().filter(|m| m.struck.is_none()).peekable();
    if moves.peek().is_none() {
        return f.animal.pen.as_deref();
    }
    moves.rfind(|m| m.on <= on).and_then(|m| m.pen.as_deref())
}

/// First and last birth of each span, by its first. A span begins with the first birth after the one before has ended.
fn spans(born: impl Iterator<Item = Day>, days: i64) -> BTreeMap<Day, Day> {
    let mut all: Vec<Day> = born.collect();
    all.sort_unstable();
    let mut spans: BTreeMap<Day, Day> = BTreeMap::new();
    let mut first: Option<Day> = None;
    for day in all {
        match first.filter(|f| day.since(*f) < days) {
            Some(f) => {
                spans.insert(f, day);
            }
            None => {
                first = Some(day);
                spans.insert(day, day);
            }
        }
    }
    spans
}

fn key<'a>(rule: &GroupRule, spans: &BTreeMap<Day, Day>, age_days: u16, p: &Placed<'a>) -> Key<'a> {
    if let Some(g) = p.file.groups.iter().rfind(|g| g.age_days == age_days) {
        return Key::Hand(g.group.as_str());
    }
    let span = spans.range(..=p.born).next_back().map(|(first, _)| *first);
    let when = p.weighing.session.map_or(When::Day(p.weighing.at.day), When::Session);
    Key::Rule {
        span,
        year: span.unwrap_or(p.born).year(),
        sex: rule.by_sex.then_some(p.file.animal.sex),
        pen: if rule.by_pen { pen_on(p.file, p.weighing.at.day) } else { None },
        when: rule.by_weighing.then_some(when),
    }
}

/// The group of each, and the groups. Ages are told apart by `age_days` for what was mended by hand.
pub(super) fn grouped(
    flock: &Flock,
    rule: &GroupRule,
    age_days: u16,
    all: &[Placed<'_>],
) -> (Vec<usize>, Vec<Group>) {
    let spans =
        if rule.span_days > 0 { spans(all.iter().map(|p| p.born), rule.span_days) } else { BTreeMap::new() };
    let mut places: RapidHashMap<Key<'_>, usize> = RapidHashMap::default();
    let mut groups = Vec::new();
    let mut of = Vec::with_capacity(all.len());
    for p in all {
        let k = key(rule, &spans, age_days, p);
        let at = *places.entry(k).or_insert_with(|| {
            let (name, by_hand) = match k {
                Key::Hand(name) => (name.to_string(), true),
                Key::Rule { span, year, sex, pen, when } => {
                    (words(flock, &spans, (span, year, sex, pen, when)), false)
                }
            };
            groups.push(Group { name, by_hand, n: 0, mean: 0.0, least: None, most: None });
            groups.len() - 1
        });
        of.push(at);
    }
    (of, groups)
}

type Shared<'a> = (Option<Day>, i32, Option<Sex>, Option<&'a str>, Option<When>);

/// `2026, born 3 Mar to 4 Apr, ewe lambs, Bank field, weighed 12 May`.
fn words(flock: &Flock, spans: &BTreeMap<Day, Day>, (span, year, sex, pen, when): Shared<'_>) -> String {
    let mut parts = vec![year.to_string()];
    if let Some(first) = span {
        let last = spans.get(&first).copied().unwrap_or(first);
        parts.push(match first == last {
            true => phrase!("born {}", first.short()),
            false => phrase!("born {} to {}", first.short(), last.short()),
        });
    }
    parts.extend(
        sex.map(|s| if s == Sex::Wether { phrase!("wethers") } else { phrase!("{}s", s.lamb_words()) }),
    );
    parts.extend(pen.map(str::to_string));
    match when {
        Some(When::Session(id)) => {
            let session = flock.daybook().session(id);
            let group = session.and_then(|s| s.group.as_ref()).map(|g| format!(" ({g})")).unwrap_or_default();
            let on = session.map(|s| s.on.short()).unwrap_or_default();
            parts.push(phrase!("weighed {on}{group}"));
        }
        Some(When::Day(day)) => parts.push(phrase!("weighed {}", day.short())),
        None => {}
    }
    parts.join(", ")
}
