//! Bounds of a dose.

use super::{Fact, Ground, HANDBOOK, Marked};
use crate::phrase;
use serde::Deserialize;

/// The table `dosing`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Dosing {
    stale_lamb_days: Fact<i64>,
    stale_adult_days: Fact<i64>,
    under_skin_lamb_ml: Fact<u32>,
    under_skin_adult_ml: Fact<u32>,
    muscle_lamb_ml: Fact<u32>,
    muscle_adult_ml: Fact<u32>,
    above_label_times: Fact<f64>,
    tenfold_times: Fact<u32>,
    hundredfold_times: Fact<u32>,
    waste_percent: Fact<u32>,
    band_over_times: Fact<f64>,
    band_width_g: Fact<i64>,
    estimate_apart_days: Fact<i64>,
    estimate_ahead_days: Fact<i64>,
    syringes: Vec<Syringe>,
}

/// A syringe: what it holds, and its marks.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "SyringeRow")]
pub struct Syringe {
    /// What it holds, whole millilitres.
    pub ml: u32,
    /// What lies between two marks, microlitres.
    pub mark_ul: u32,
    /// What the row stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SyringeRow {
    ml: u32,
    mark_ul: u32,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<SyringeRow> for Syringe {
    type Error = String;

    fn try_from(row: SyringeRow) -> Result<Self, String> {
        let marks_fit = row.mark_ul > 0 && (row.ml.saturating_mul(1000)).is_multiple_of(row.mark_ul);
        if row.ml == 0 || !marks_fit {
            return Err(phrase!("a syringe of {} ml with marks of {} microlitres", row.ml, row.mark_ul));
        }
        let ground = Marked::new(row.source, row.seen).ground()?;
        Ok(Self { ml: row.ml, mark_ul: row.mark_ul, ground })
    }
}

/// A lamb's weight older than this is questioned for a dose, days.
pub fn stale_lamb_days() -> i64 {
    HANDBOOK.dosing.stale_lamb_days.value
}

/// A grown sheep's weight older than this is questioned for a dose, days.
pub fn stale_adult_days() -> i64 {
    HANDBOOK.dosing.stale_adult_days.value
}

/// Most at one place under the skin of a lamb, millilitres.
pub fn under_skin_lamb_ml() -> u32 {
    HANDBOOK.dosing.under_skin_lamb_ml.value
}

/// Most at one place under the skin of a grown sheep, millilitres.
pub fn under_skin_adult_ml() -> u32 {
    HANDBOOK.dosing.under_skin_adult_ml.value
}

/// Most at one place in the muscle of a lamb, millilitres.
pub fn muscle_lamb_ml() -> u32 {
    HANDBOOK.dosing.muscle_lamb_ml.value
}

/// Most at one place in the muscle of a grown sheep, millilitres.
pub fn muscle_adult_ml() -> u32 {
    HANDBOOK.dosing.muscle_adult_ml.value
}

/// A typed dose is questioned above so many times the label's.
pub fn above_label_times() -> f64 {
    HANDBOOK.dosing.above_label_times.value
}

/// A dose so many times the label's is said twice: a point or a nought in the wrong place.
pub fn tenfold_times() -> u32 {
    HANDBOOK.dosing.tenfold_times.value
}

/// A dose so many times the label's is two points out, or microlitres read as millilitres.
pub fn hundredfold_times() -> u32 {
    HANDBOOK.dosing.hundredfold_times.value
}

/// What is lost of a pen's medicine, percent.
pub fn waste_percent() -> u32 {
    HANDBOOK.dosing.waste_percent.value
}

/// The lightest of a weight band should not get more than so many times its own dose.
pub fn band_over_times() -> f64 {
    HANDBOOK.dosing.band_over_times.value
}

/// Width of a weight band, grams.
pub fn band_width_g() -> i64 {
    HANDBOOK.dosing.band_width_g.value
}

/// A weight is estimated only from two weighings at least so many days apart.
pub fn estimate_apart_days() -> i64 {
    HANDBOOK.dosing.estimate_apart_days.value
}

/// A weight is estimated no more than so many days ahead of the last weighing.
pub fn estimate_ahead_days() -> i64 {
    HANDBOOK.dosing.estimate_ahead_days.value
}

/// The syringes there are, smallest first.
pub fn syringes() -> &'static [Syringe] {
    &HANDBOOK.dosing.syringes
}
