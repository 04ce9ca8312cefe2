//! How much of a trait is inherited: published ranges, where a reckoning starts, and when records suffice for the flock's
//! own. Ranges may be from memory and say so; nothing is refused by them.

use super::{Fact, Ground, Marked, shipped};
use crate::phrase;
use serde::Deserialize;
use std::sync::LazyLock;

/// What was measured, as far as ranges are known for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum Measured {
    /// Weight at birth.
    #[serde(rename = "birth weight")]
    BirthWeight,
    /// Weight up to weaning.
    #[serde(rename = "weaning weight")]
    WeaningWeight,
    /// Weight after weaning, up to a year and a bit.
    #[serde(rename = "later weight")]
    LaterWeight,
    /// Weight of a grown animal.
    #[serde(rename = "adult weight")]
    AdultWeight,
    /// Lambs born per lambing.
    #[serde(rename = "lambs born")]
    LambsBorn,
    /// Lambs reared per lambing.
    #[serde(rename = "lambs reared")]
    LambsReared,
    /// Whether a lamb lives.
    #[serde(rename = "lamb survival")]
    LambSurvival,
    /// Worm eggs in dung.
    #[serde(rename = "worm eggs")]
    WormEggs,
}

impl Measured {
    /// Weight at an age in days: up to a week it is that of birth, to 120 days that of weaning, to 500 a later one.
    pub fn weight_at(days: i64) -> Self {
        match days {
            ..=7 => Self::BirthWeight,
            8..=120 => Self::WeaningWeight,
            121..=500 => Self::LaterWeight,
            _ => Self::AdultWeight,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::BirthWeight => "weight at birth",
            Self::WeaningWeight => "weight up to weaning",
            Self::LaterWeight => "weight after weaning",
            Self::AdultWeight => "weight of the grown animal",
            Self::LambsBorn => "lambs born",
            Self::LambsReared => "lambs reared",
            Self::LambSurvival => "survival of lambs",
            Self::WormEggs => "worm eggs",
        }
    }
}

/// Which share of the variance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Share {
    /// The animal's own genes.
    Heritability,
    /// The dam's genes for mothering.
    Maternal,
    /// All that returns with the same animal: its genes and what stays with it for life.
    Repeatability,
    /// What lambs of one ewe or litter share beside blood.
    Common,
}

impl Share {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Heritability => "heritability",
            Self::Maternal => "heritability of mothering",
            Self::Repeatability => "repeatability",
            Self::Common => "shared by lambs of one ewe",
        }
    }
}

/// A published share.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Row")]
pub struct Published {
    /// Of which trait.
    pub measured: Measured,
    /// Which share.
    pub share: Share,
    /// The least of it.
    pub from: f64,
    /// The most of it; the same where one figure is given.
    pub to: f64,
    /// Of which sheep, in words.
    pub of: String,
    /// What it stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    #[serde(rename = "trait")]
    measured: Measured,
    part: Share,
    from: f64,
    to: f64,
    of: String,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<Row> for Published {
    type Error = String;

    fn try_from(row: Row) -> Result<Self, String> {
        if !(0.0 <= row.from && row.from <= row.to && row.to <= 1.0) {
            return Err(phrase!("a share from {} to {}", row.from, row.to));
        }
        let ground = Marked::new(row.source, row.seen).ground()?;
        Ok(Self { measured: row.measured, share: row.part, from: row.from, to: row.to, of: row.of, ground })
    }
}

impl Published {
    /// `0.16–0.23 (weighted means …; source)`.
    pub fn told(&self) -> String {
        let range = if self.from == self.to {
            format!("{}", self.from)
        } else {
            format!("{}–{}", self.from, self.to)
        };
        format!("{range} ({}; {})", self.of, self.ground)
    }
}

/// Where a reckoning starts: a choice of ours, and nothing else.
#[derive(Debug, Deserialize)]
#[serde(try_from = "StartRow")]
struct Start {
    measured: Measured,
    part: Share,
    value: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StartRow {
    #[serde(rename = "trait")]
    measured: Measured,
    part: Share,
    value: f64,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<StartRow> for Start {
    type Error = String;

    fn try_from(row: StartRow) -> Result<Self, String> {
        match Marked::new(row.source, row.seen).ground()? {
            Ground::Practice if (0.0..1.0).contains(&row.value) => {
                Ok(Self { measured: row.measured, part: row.part, value: row.value })
            }
            ground => {
                Err(phrase!("a start of {} by {ground}: it is a choice of ours and says so", row.value))
            }
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Enough {
    records_least: Fact<usize>,
    animals_least: Fact<usize>,
    sires_least: Fact<usize>,
    dams_least: Fact<usize>,
    levels_least: Fact<usize>,
    both_least: Fact<usize>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    published: Vec<Published>,
    start: Vec<Start>,
    enough: Enough,
}

static TABLE: LazyLock<Table> =
    LazyLock::new(|| shipped("heritability.toml", include_str!("../../../resources/heritability.toml")));

/// What is published of a share.
pub fn published(of: Measured, share: Share) -> impl Iterator<Item = &'static Published> {
    TABLE.published.iter().filter(move |p| p.measured == of && p.share == share)
}

/// The least and the most that is published of a share.
pub fn range(of: Measured, share: Share) -> Option<(f64, f64)> {
    published(of, share).map(|p| (p.from, p.to)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// Where a reckoning starts: a choice within the range, which the keeper changes at will.
pub fn start(of: Measured, share: Share) -> Option<f64> {
    TABLE.start.iter().find(|s| s.measured == of && s.part == share).map(|s| s.value)
}

/// Records beyond the levels of the fixed effects, at least.
pub fn records_least() -> usize {
    TABLE.enough.records_least.value
}

/// Animals with a record, at least.
pub fn animals_least() -> usize {
    TABLE.enough.animals_least.value
}

/// Sires with at least two recorded animals, at least.
pub fn sires_least() -> usize {
    TABLE.enough.sires_least.value
}

/// Dams with at least two recorded animals, at least.
pub fn dams_least() -> usize {
    TABLE.enough.dams_least.value
}

/// Levels of an effect without a pedigree that have at least two records, at least.
pub fn levels_least() -> usize {
    TABLE.enough.levels_least.value
}

/// Animals with a record of their own that are also the dam of recorded ones, at least.
pub fn both_least() -> usize {
    TABLE.enough.both_least.value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_start_lies_in_its_range() {
        assert!(TABLE.start.len() > 10);
        for s in &TABLE.start {
            match range(s.measured, s.part) {
                Some((from, to)) => assert!((from..=to).contains(&s.value), "{s:?}: {from} to {to}"),
                None => assert_eq!(s.part, Share::Common, "{s:?}"),
            }
        }
    }

    #[test]
    fn what_is_from_memory_says_so() {
        let told: Vec<String> =
            published(Measured::BirthWeight, Share::Heritability).map(Published::told).collect();
        assert_eq!(told.len(), 3);
        assert!(told[0].contains("(from memory)") && told[0].starts_with("0.15–0.21"), "{}", told[0]);
        assert!(!told[1].contains("memory") && told[1].starts_with("0.155 (Konya"), "{}", told[1]);
        assert_eq!(range(Measured::BirthWeight, Share::Heritability), Some((0.15, 0.33)));
    }

    #[test]
    fn weights_by_age() {
        let of = [0, 7, 8, 120, 121, 501].map(Measured::weight_at);
        assert_eq!(of[0], of[1]);
        assert_eq!((of[2], of[3]), (Measured::WeaningWeight, Measured::WeaningWeight));
        assert_eq!((of[4], of[5]), (Measured::LaterWeight, Measured::AdultWeight));
    }
}
