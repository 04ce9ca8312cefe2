//! How the days of a withdrawal are counted, and which periods there are besides the label's.

use super::row::list;
use crate::handbook::{Ground, Marked, shipped};
use crate::phrase;
use crate::terms::Withdrawal;
use serde::Deserialize;
use std::sync::LazyLock;

/// How the days of a withdrawal are counted: the one way this program counts.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(try_from = "DayCountRow")]
pub struct DayCount {
    /// In whole sentences.
    pub text: String,
    /// Hours of a label's day.
    pub label_day_hours: u16,
    /// What it stands on.
    pub ground: Ground,
}

const DAY_COUNT_TOML: &str = include_str!("../../../resources/rules/day_count.toml");

static DAY_COUNT: LazyLock<DayCount> = LazyLock::new(|| shipped("rules/day_count.toml", DAY_COUNT_TOML));

/// How days are counted; the same under every rule set.
pub fn day_count() -> &'static DayCount {
    &DAY_COUNT
}

/// The key of the row on counting, which no keeper may mend: the program counts so.
pub(super) const DAY_COUNT_KEY: &str = "day_count";

/// The row's own text.
pub(super) fn day_count_toml() -> &'static str {
    DAY_COUNT_TOML
}

/// Each way of counting has one word only: what the program does. Another word is refused, never half obeyed.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DayCountRow {
    key: String,
    #[serde(rename = "from")]
    _from: LastAdministration,
    label_day_hours: u16,
    #[serde(rename = "time_unknown_means")]
    _time_unknown: EndOfDay,
    #[serde(rename = "first_clear_day")]
    _first_clear_day: WhollyAfter,
    #[serde(rename = "unknown_period_means")]
    _unknown_period: NotClear,
    #[serde(rename = "several")]
    _several: Latest,
    text: String,
    source: String,
    seen: Option<bool>,
}

macro_rules! one_word {
    ($($name:ident $word:literal),+) => { $(
        #[derive(Deserialize)]
        enum $name {
            #[serde(rename = $word)]
            So,
        }
    )+ };
}
one_word!(
    LastAdministration "last_administration",
    EndOfDay "24:00",
    WhollyAfter "first_day_wholly_after_end",
    NotClear "not_clear",
    Latest "latest_date_wins"
);

impl TryFrom<DayCountRow> for DayCount {
    type Error = String;

    fn try_from(row: DayCountRow) -> Result<Self, String> {
        if row.label_day_hours != 24 || row.key != DAY_COUNT_KEY {
            return Err("a label's day has 24 hours in this program".into());
        }
        let ground = Marked::new(row.source, row.seen).ground()?;
        Ok(Self { text: row.text, label_day_hours: row.label_day_hours, ground })
    }
}

/// The longer periods of an organic flock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Organic {
    /// How many times the label's or the vet's period.
    pub factor: u16,
    /// At least so many hours.
    pub minimum_hours: u16,
    /// Vaccines keep their period.
    pub except_vaccines: bool,
    /// What it stands on.
    pub ground: Ground,
}

impl Organic {
    /// The least period of an organic flock for a medicine of this label's or vet's period. What is not known stays
    /// not known.
    pub fn at_least(&self, label: Withdrawal, vaccine: bool) -> Withdrawal {
        if vaccine && self.except_vaccines {
            return label;
        }
        match label {
            Withdrawal::Days(days) => {
                let least = self.minimum_hours.div_ceil(day_count().label_day_hours);
                Withdrawal::Days(days.saturating_mul(self.factor).max(least))
            }
            Withdrawal::Hours(hours) => {
                Withdrawal::Hours(hours.saturating_mul(self.factor).max(self.minimum_hours))
            }
            Withdrawal::Unknown | Withdrawal::Never => label,
        }
    }

    pub(super) fn words(&self) -> String {
        let except = if self.except_vaccines { "; vaccines keep theirs" } else { "" };
        phrase!(
            "an organic flock withholds for {} times the label's or the vet's period, at least {} hours{except}",
            self.factor,
            self.minimum_hours
        )
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OrganicRow {
    factor: u16,
    minimum_hours: u16,
    #[serde(default)]
    except: Vec<Except>,
}

#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "snake_case")]
enum Except {
    Vaccines,
}

impl OrganicRow {
    pub(super) fn checked(self, ground: &Ground) -> Result<Organic, String> {
        if self.factor < 1 {
            return Err("the factor of an organic flock is 1 or more".into());
        }
        Ok(Organic {
            factor: self.factor,
            minimum_hours: self.minimum_hours,
            except_vaccines: self.except.contains(&Except::Vaccines),
            ground: ground.clone(),
        })
    }
}

/// That a period for export is kept beside the one for sale at home.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Export {
    markets: Vec<Market>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Market {
    /// The withholding period at home.
    Whp,
    /// The export slaughter interval.
    Esi,
}

impl Export {
    pub(super) fn checked(self) -> Result<Self, String> {
        if !self.markets.contains(&Market::Esi) {
            return Err("a row on export without its period: markets = [\"whp\", \"esi\"]".into());
        }
        Ok(self)
    }

    pub(super) fn words(&self) -> String {
        let names = self.markets.iter().map(|m| match m {
            Market::Whp => "the withholding period at home",
            Market::Esi => "the export slaughter interval, which may be longer",
        });
        phrase!("to be watched are {}", list(names))
    }
}
