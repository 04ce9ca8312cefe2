//! How the figures are reckoned and what they are held against, read from a table: the shipped one or the keeper's own.

use crate::handbook::{Ground, Marked, sound};
use crate::phrase;
use crate::terms::Misread;
use serde::Deserialize;
use std::sync::LazyLock;
use toml::Spanned;

/// What lambs lost by weaning are reckoned of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LossOf {
    /// All lambs born.
    Born,
    /// Lambs born alive.
    Alive,
}

/// A cause of loss.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Its name.
    pub name: String,
    /// Beginnings of words that tell of it, in small letters.
    pub words: Vec<String>,
    /// What it stands on.
    pub ground: Ground,
}

/// What a figure is held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    /// The figure's word.
    pub figure: String,
    /// Not below this.
    pub from: Option<f64>,
    /// Not above this.
    pub to: Option<f64>,
    /// As it is printed.
    pub words: String,
    /// Where it is from.
    pub ground: Ground,
}

impl Range {
    /// Whether a value lies within it.
    pub fn holds(&self, value: f64) -> bool {
        self.from.is_none_or(|f| value >= f) && self.to.is_none_or(|t| value <= t)
    }
}

/// How the figures are reckoned.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Ewes sold or culled before lambing are taken off those turned out.
    pub less_sold: bool,
    /// Of these the ones found empty stay in.
    pub empty_stay: bool,
    /// Ewes bought in lamb are added.
    pub plus_in_lamb: bool,
    /// Ewes that died before lambing are taken off.
    pub less_dead: bool,
    /// What losses are reckoned of.
    pub loss_of: LossOf,
    /// Age at weaning where no lamb of the season was ticked, days.
    pub weaning_days: i64,
    /// So many days off the day of weaning a weight still counts as weight at weaning.
    pub weaning_near: i64,
    /// Length of the first cycle of lambing, days.
    pub first_cycle_days: i64,
    /// The month a season begins with, 1 to 12.
    pub month: u32,
    /// Figures of fewer than this are of few.
    pub few: u32,
    /// Causes of loss, in the order they are tried.
    pub causes: Vec<Cause>,
    /// What figures are held against.
    pub ranges: Vec<Range>,
    /// What the base of rates stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    exposed: Spanned<Exposed>,
    loss: Spanned<Loss>,
    weaning: Spanned<Weaning>,
    first_cycle: Spanned<Days>,
    season: Spanned<Month>,
    small: Spanned<Small>,
    #[serde(default)]
    cause: Vec<Spanned<CauseRow>>,
    #[serde(default)]
    range: Vec<Spanned<RangeRow>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Exposed {
    less_sold: bool,
    empty_stay: bool,
    plus_in_lamb: bool,
    less_dead: bool,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Loss {
    of: String,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Weaning {
    days: i64,
    near: i64,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Days {
    days: i64,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Month {
    month: u32,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Small {
    ewes: u32,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CauseRow {
    name: String,
    words: Vec<String>,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeRow {
    figure: String,
    from: Option<f64>,
    to: Option<f64>,
    words: String,
    source: Option<String>,
    seen: Option<bool>,
}

/// What the program is shipped with.
const SHIPPED: &str = include_str!("../../../../resources/figures.toml");

static SETTINGS: LazyLock<Settings> =
    LazyLock::new(|| sound("figures.toml", Settings::read(SHIPPED, true).map_err(|e| e.0)));

impl Settings {
    /// As shipped.
    pub fn shipped() -> &'static Self {
        &SETTINGS
    }

    /// The words of the shipped table, for a keeper to begin with.
    pub fn shipped_words() -> &'static str {
        SHIPPED
    }

    /// The keeper's own; empty text is as shipped. Sources may be left out.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().is_empty() { Ok(Self::shipped().clone()) } else { Self::read(text, false) }
    }

    /// Those of a flock: the keeper's own, or as shipped.
    pub fn of(holding: &crate::flock::Holding) -> Self {
        Self::parse(&holding.figures).unwrap_or_else(|_| Self::shipped().clone())
    }

    /// What a figure of this word is held against.
    pub fn range(&self, figure: &str) -> Option<&Range> {
        self.ranges.iter().find(|r| r.figure == figure)
    }

    /// The place of the cause that fits written words, if any does.
    pub fn cause_of(&self, written: &str) -> Option<usize> {
        let low = written.to_lowercase();
        let begins = |word: &str| {
            low.match_indices(word)
                .any(|(at, _)| low.get(..at).is_none_or(|b| !b.ends_with(char::is_alphanumeric)))
        };
        self.causes.iter().position(|c| c.words.iter().any(|w| begins(w)))
    }

    /// Which ewes a rate is reckoned of, as a sentence.
    pub fn exposed_words(&self) -> String {
        let mut words = phrase!("Ewes exposed are those turned out with a ram");
        match (self.less_sold, self.empty_stay) {
            (true, true) => {
                words.push_str(", less those sold or culled before lambing (those found empty stay in)")
            }
            (true, false) => words.push_str(", less those sold or culled before lambing"),
            (false, _) => {}
        }
        if self.plus_in_lamb {
            words.push_str(", with those bought in lamb");
        }
        words.push_str(if self.less_dead {
            "; a ewe that died before lambing is left out"
        } else {
            "; a ewe that died before lambing stays in"
        });
        words
    }

    fn read(text: &str, sourced: bool) -> Result<Self, Misread> {
        let line = |at: usize| text.get(..at).unwrap_or(text).matches('\n').count() + 1;
        let wrong = |at: usize, why: String| Misread::new(phrase!("line {}: {why}", line(at)));
        let file: File = toml::from_str(text)
            .map_err(|e| wrong(e.span().map_or(0, |s| s.start), e.message().to_string()))?;
        let ground = |source: &Option<String>, seen: Option<bool>, at: usize| {
            if source.is_none() && !sourced {
                return Ok(Ground::Memory("the keeper".into()));
            }
            Marked::new(source.clone().unwrap_or_default(), seen).ground().map_err(|e| wrong(at, e))
        };
        let within = |at: usize, what: &'static str, n: i64, least: i64, most: i64| {
            if (least..=most).contains(&n) {
                return Ok(n);
            }
            Err(wrong(at, phrase!("{what} is {n}: write a number from {least} to {most}")))
        };
        let at = |s: std::ops::Range<usize>| s.start;
        let e = file.exposed.get_ref();
        let exposed_ground = ground(&e.source, e.seen, at(file.exposed.span()))?;
        let l = file.loss.get_ref();
        ground(&l.source, l.seen, at(file.loss.span()))?;
        let loss_of = match l.of.trim() {
            "born" => LossOf::Born,
            "born alive" => LossOf::Alive,
            other => {
                let why = phrase!("'{other}' is no base of losses: write \"born\" or \"born alive\"");
                return Err(wrong(at(file.loss.span()), why));
            }
        };
        let (w, w_at) = (file.weaning.get_ref(), at(file.weaning.span()));
        ground(&w.source, w.seen, w_at)?;
        let (f, f_at) = (file.first_cycle.get_ref(), at(file.first_cycle.span()));
        ground(&f.source, f.seen, f_at)?;
        let (m, m_at) = (file.season.get_ref(), at(file.season.span()));
        ground(&m.source, m.seen, m_at)?;
        let (s, s_at) = (file.small.get_ref(), at(file.small.span()));
        ground(&s.source, s.seen, s_at)?;
        let mut causes = Vec::new();
        for row in &file.cause {
            let (r, at) = (row.get_ref(), at(row.span()));
            let words: Vec<String> =
                r.words.iter().map(|w| w.trim().to_lowercase()).filter(|w| !w.is_empty()).collect();
            if r.name.trim().is_empty() || words.is_empty() {
                return Err(wrong(at, "a cause needs a name and words that tell of it".into()));
            }
            let ground = ground(&r.source, r.seen, at)?;
            causes.push(Cause { name: r.name.trim().into(), words, ground });
        }
        let mut ranges = Vec::new();
        for row in &file.range {
            let (r, at) = (row.get_ref(), at(row.span()));
            let figure = r.figure.trim().to_string();
            if super::What::from_key(&figure).is_none() {
                let why = phrase!("'{figure}' is no figure: write its word as the list of figures has it");
                return Err(wrong(at, why));
            }
            let bad = |b: Option<f64>| b.is_some_and(|b| !b.is_finite());
            if bad(r.from) || bad(r.to) || (r.from.is_none() && r.to.is_none()) {
                return Err(wrong(at, "a range needs from, to, or both".into()));
            }
            if let (Some(from), Some(to)) = (r.from, r.to)
                && from > to
            {
                return Err(wrong(at, phrase!("from {from} is above to {to}: swap them")));
            }
            let ground = ground(&r.source, r.seen, at)?;
            ranges.push(Range { figure, from: r.from, to: r.to, words: r.words.clone(), ground });
        }
        Ok(Self {
            less_sold: e.less_sold,
            empty_stay: e.empty_stay,
            plus_in_lamb: e.plus_in_lamb,
            less_dead: e.less_dead,
            loss_of,
            weaning_days: within(w_at, "days", w.days, 20, 300)?,
            weaning_near: within(w_at, "near", w.near, 0, 60)?,
            first_cycle_days: within(f_at, "days", f.days, 10, 60)?,
            month: u32::try_from(within(m_at, "month", m.month.into(), 1, 12)?).unwrap_or(1),
            few: u32::try_from(within(s_at, "ewes", s.ewes.into(), 1, 1000)?).unwrap_or(10),
            causes,
            ranges,
            ground: exposed_ground,
        })
    }
}
