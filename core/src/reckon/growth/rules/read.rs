//! Reads the table.

use super::{AgeRule, Class, Effect, GroupRule, GrowthRules, MilkRule, Of, UsualAge};
use crate::handbook::{Ground, Marked};
use crate::phrase;
use crate::terms::{Misread, Sex};
use serde::Deserialize;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    age: Vec<Spanned<Age>>,
    #[serde(default)]
    usual: Vec<Spanned<Usual>>,
    factors: Option<Spanned<Head>>,
    #[serde(default)]
    factor: Vec<Spanned<Row>>,
    groups: Option<Spanned<Groups>>,
    least: Option<Spanned<Least>>,
    milk: Option<Spanned<Milk>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Age {
    days: i64,
    from: i64,
    to: i64,
    least: i64,
    most: i64,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Usual {
    up_to: i64,
    age: u16,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    name: String,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    sex: Option<String>,
    born: Option<u8>,
    reared: Option<u8>,
    ewe_from: Option<u8>,
    ewe_to: Option<u8>,
    factor: f64,
    #[serde(default)]
    base: bool,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Groups {
    span_days: i64,
    by_sex: bool,
    by_pen: bool,
    by_weighing: bool,
    least: usize,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Least {
    per_class: usize,
    birth_weights: usize,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Milk {
    ages: Vec<u16>,
    score: f64,
    score_percent: f64,
    near_days: i64,
    source: Option<String>,
    seen: Option<bool>,
}

/// What is wrong with the row that begins at this byte of the text.
struct Reader<'a> {
    text: &'a str,
    sourced: bool,
}

impl Reader<'_> {
    fn wrong(&self, at: usize, why: impl std::fmt::Display) -> Misread {
        let line = self.text.get(..at).unwrap_or(self.text).matches('\n').count() + 1;
        Misread::new(phrase!("line {line}: {why}"))
    }

    fn ground(&self, source: Option<String>, seen: Option<bool>, at: usize) -> Result<Ground, Misread> {
        match source {
            None if !self.sourced => Ok(Ground::Memory("the keeper".into())),
            source => Marked::new(source.unwrap_or_default(), seen).ground().map_err(|e| self.wrong(at, e)),
        }
    }
}

/// Parts what was read from where it stood.
fn parted<T>(row: Spanned<T>) -> (usize, T) {
    (row.span().start, row.into_inner())
}

/// Reads a table; what it leaves out is as in `besides`, and then sources may be left out as well.
pub(super) fn read(text: &str, besides: Option<&GrowthRules>) -> Result<GrowthRules, Misread> {
    let r = Reader { text, sourced: besides.is_none() };
    let file: File = toml::from_str(text)
        .map_err(|e| r.wrong(e.span().map_or(0, |s| s.start), e.message().to_string()))?;
    let mut ages = ages(&r, file.age)?;
    let mut usual = Vec::new();
    for row in file.usual {
        let (at, u) = parted(row);
        usual.push(UsualAge { up_to: u.up_to, age: u.age, ground: r.ground(u.source, u.seen, at)? });
    }
    usual.sort_by_key(|u| u.up_to);
    let table = match file.factors {
        Some(head) => {
            let (at, h) = parted(head);
            r.ground(h.source, h.seen, at)?;
            if h.name.trim().is_empty() {
                return Err(r.wrong(at, "the table of factors needs a name, such as that of its source"));
            }
            Some(h.name.trim().to_string())
        }
        None => None,
    };
    let mut classes = factors(&r, file.factor)?;
    let groups = file.groups.map(|g| groups(&r, g)).transpose()?;
    let least = file.least.map(|l| least(&r, l)).transpose()?;
    let milk = file.milk.map(|m| milk(&r, m)).transpose()?;
    let missing = |what: &'static str| r.wrong(text.len(), phrase!("{what} is not there"));
    if let Some(b) = besides {
        if ages.is_empty() {
            ages.clone_from(&b.ages);
        }
        if usual.is_empty() {
            usual.clone_from(&b.usual);
        }
        for (own, shipped) in classes.iter_mut().zip(&b.classes) {
            if own.is_empty() {
                own.clone_from(shipped);
            }
        }
    }
    for effect in Effect::ALL {
        let all = &classes[effect.place()];
        let bases = all.iter().filter(|c| c.base).count();
        if bases != 1 {
            let why = phrase!(
                "of the factors for {} one must be the base (base = true), and {bases} are",
                effect.words()
            );
            return Err(r.wrong(text.len(), why));
        }
    }
    if ages.is_empty() {
        return Err(missing("an [[age]]"));
    }
    let (per_class, birth_weights, least_ground) = least
        .or_else(|| besides.map(|b| (b.per_class, b.birth_weights, b.least_ground.clone())))
        .ok_or_else(|| missing("[least]"))?;
    Ok(GrowthRules {
        ages,
        usual,
        table: table.or_else(|| besides.map(|b| b.table.clone())).ok_or_else(|| missing("[factors]"))?,
        classes,
        groups: groups.or_else(|| besides.map(|b| b.groups.clone())).ok_or_else(|| missing("[groups]"))?,
        per_class,
        birth_weights,
        least_ground,
        milk: milk.or_else(|| besides.map(|b| b.milk.clone())).ok_or_else(|| missing("[milk]"))?,
    })
}

fn ages(r: &Reader<'_>, rows: Vec<Spanned<Age>>) -> Result<Vec<AgeRule>, Misread> {
    let mut ages: Vec<AgeRule> = Vec::new();
    for row in rows {
        let (at, a) = parted(row);
        let days = u16::try_from(a.days).ok().filter(|d| (1..=1000).contains(d));
        let days = days.ok_or_else(|| {
            r.wrong(at, phrase!("{} days is no age to carry weights to: 1 to 1000", a.days))
        })?;
        if ages.iter().any(|o| o.days == days) {
            return Err(r.wrong(at, phrase!("the age of {days} days stands there twice: leave one out")));
        }
        let order = [1, a.least, a.from, a.days, a.to, a.most, 2000];
        if !order.is_sorted() {
            let why = "the ages must be in this order: least, from, days, to, most, each from 1 to 2000";
            return Err(r.wrong(at, why));
        }
        let ground = r.ground(a.source, a.seen, at)?;
        ages.push(AgeRule { days, from: a.from, to: a.to, least: a.least, most: a.most, ground });
    }
    ages.sort_by_key(|a| a.days);
    Ok(ages)
}

fn factors(r: &Reader<'_>, rows: Vec<Spanned<Row>>) -> Result<[Vec<Class>; 3], Misread> {
    let mut classes: [Vec<Class>; 3] = Default::default();
    for row in rows {
        let (at, f) = parted(row);
        let of = match (f.sex.as_deref().map(str::trim), f.born, f.reared, f.ewe_from, f.ewe_to) {
            (Some(sex), None, None, None, None) => match sex.to_lowercase().as_str() {
                "ewe" => Of::Sex(Sex::Ewe),
                "ram" => Of::Sex(Sex::Ram),
                "wether" => Of::Sex(Sex::Wether),
                _ => return Err(r.wrong(at, phrase!("'{sex}' is no sex: write ewe, ram or wether"))),
            },
            (None, Some(born @ 1..=7), Some(reared @ 0..=7), None, None) => Of::Type { born, reared },
            (None, None, None, Some(from), Some(to)) if from <= to && to <= 30 => Of::Ewe { from, to },
            _ => {
                let why = "a factor is for a sex, or for born (1 to 7) and reared (0 to 7), or for ewe_from and \
                           ewe_to (years, up to 30): write one of these";
                return Err(r.wrong(at, why));
            }
        };
        if !(0.5..=2.0).contains(&f.factor) {
            let why =
                phrase!("{} can be no factor of {}: it must lie between 0.5 and 2", f.factor, of.words());
            return Err(r.wrong(at, why));
        }
        if f.base && f.factor != 1.0 {
            return Err(r.wrong(at, phrase!("{} is the base: its factor is 1", of.words())));
        }
        let all = &mut classes[of.effect().place()];
        let meets = |o: &Class| match (o.of, of) {
            (Of::Ewe { from: a, to: b }, Of::Ewe { from, to }) => from <= b && a <= to,
            (a, b) => a == b,
        };
        if all.iter().any(meets) {
            return Err(r.wrong(at, phrase!("two factors are for {}: leave one out", of.words())));
        }
        let ground = r.ground(f.source, f.seen, at)?;
        all.push(Class { of, factor: f.factor, base: f.base, ground });
    }
    Ok(classes)
}

fn groups(r: &Reader<'_>, g: Spanned<Groups>) -> Result<GroupRule, Misread> {
    let (at, g) = parted(g);
    if !(0..=365).contains(&g.span_days) || g.least < 2 {
        let why = "a group's span of births is 0 to 365 days, and its least number 2 or more";
        return Err(r.wrong(at, why));
    }
    Ok(GroupRule {
        span_days: g.span_days,
        by_sex: g.by_sex,
        by_pen: g.by_pen,
        by_weighing: g.by_weighing,
        least: g.least,
        ground: r.ground(g.source, g.seen, at)?,
    })
}

fn least(r: &Reader<'_>, l: Spanned<Least>) -> Result<(usize, usize, Ground), Misread> {
    let (at, l) = parted(l);
    if l.per_class < 2 || l.birth_weights < 1 {
        let why = "the least number of a class is 2 or more, that of birth weights 1 or more";
        return Err(r.wrong(at, why));
    }
    Ok((l.per_class, l.birth_weights, r.ground(l.source, l.seen, at)?))
}

fn milk(r: &Reader<'_>, m: Spanned<Milk>) -> Result<MilkRule, Misread> {
    let (at, m) = parted(m);
    let fits = !m.ages.is_empty()
        && m.ages.iter().all(|a| (1..=200).contains(a))
        && (1.0..=5.0).contains(&m.score)
        && (0.0..=30.0).contains(&m.score_percent)
        && (0..=120).contains(&m.near_days);
    if !fits {
        let why = "a ewe's milk needs ages (1 to 200 days), a score (1 to 5), score_percent (0 to 30) and \
                   near_days (0 to 120)";
        return Err(r.wrong(at, why));
    }
    Ok(MilkRule {
        ages: m.ages,
        score: m.score,
        score_percent: m.score_percent,
        near_days: m.near_days,
        ground: r.ground(m.source, m.seen, at)?,
    })
}
