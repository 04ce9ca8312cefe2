//! Wrongly read tags: a weight that its animal cannot have, and another animal with a like tag that can.

use super::flock::{Bands, bands};
use super::own::of_animal;
use crate::flock::{AnimalFile, Flock, natural};
use crate::handbook::growth as bounds;
use crate::phrase;
use crate::reckon::growth::{Odd, odd};
use crate::terms::{AnimalId, Day, Gain, Units, Weight};

/// One row of a weighing session, written or not yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// As the tag was read.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// What the scale said.
    pub weight: Weight,
}

/// A tag that was read wrongly, as it seems.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread {
    /// Which row.
    pub row: usize,
    /// The animal it is written to.
    pub read: AnimalId,
    /// The animal that seems meant.
    pub meant: AnimalId,
    /// The row of that animal, whose weight fits this one: the two tags were taken for each other.
    pub swapped: Option<usize>,
    /// Why, and what is asked, in words.
    pub why: String,
}

/// Rows whose weight their animal cannot have by its own weights, and whose weight fits an animal with a tag that is
/// alike: one figure off, one more or less, or two beside each other the other way round. An animal that has a row of
/// its own is only proposed where its weight fits this one. At most one proposal a row, the nearest.
pub fn misread_tags(flock: &Flock, rows: &[Row]) -> Vec<Misread> {
    let bands = bands(flock);
    let units = flock.holding().units;
    let mut found: Vec<Misread> = Vec::new();
    for (n, row) in rows.iter().enumerate() {
        let Some(file) = flock.file(row.animal) else { continue };
        let Some(strange) = strange(&without(file, row), row, units) else { continue };
        let tag = file.animal.tag();
        let like = flock.files().filter(|f| f.animal.status.is_here() && f.animal.id != row.animal);
        let near = like.filter_map(|f| {
            let how = alike(tag, f.animal.tag())?;
            let other = rows.iter().position(|r| r.animal == f.animal.id);
            // One that was weighed as well has a weight of its own, unless it is the one that belongs here.
            let swapped = match other {
                Some(o)
                    if fits(flock, &bands, &without(file, row), &Row { animal: row.animal, ..rows[o] })
                        .is_none() =>
                {
                    return None;
                }
                other => other,
            };
            let here = Row { animal: f.animal.id, ..*row };
            let off = fits(flock, &bands, &without(f, &here), &here)?;
            Some((swapped.is_none(), off, f, how, swapped))
        });
        let best =
            near.min_by(|a, b| a.1.total_cmp(&b.1).then_with(|| natural(a.2.animal.tag(), b.2.animal.tag())));
        let Some((_, _, meant, how, swapped)) = best else { continue };
        // Of two that were taken for each other the first row says so.
        if swapped.is_some_and(|o| found.iter().any(|m| m.row == o && m.swapped == Some(n))) {
            continue;
        }
        let other = meant.animal.tag();
        let (weight, asked) = (row.weight.show(units), "was that one meant?");
        let why = match swapped {
            None => phrase!(
                "{tag} at {weight}: {strange}. It fits {other}, {how}: {asked}",
                tag = &tag,
                other = &other,
                how = &how,
                asked = &asked
            ),
            Some(_) => phrase!(
                "{tag} at {weight}: {strange}. It fits {other}, {how}, and the weight of {other} fits {tag}: were the \
                 two taken for each other?",
                tag = &tag,
                other = &other
            ),
        };
        found.push(Misread { row: n, read: row.animal, meant: meant.animal.id, swapped, why });
    }
    found
}

/// The file as it was without this row.
fn without(file: &AnimalFile, row: &Row) -> AnimalFile {
    let mut file = file.clone();
    file.weighings.retain(|w| w.at.day != row.on);
    file
}

/// Why a weight cannot be this animal's, by its weights before.
fn strange(before: &AnimalFile, row: &Row, units: Units) -> Option<String> {
    let words = match odd(before, row.on, row.weight)? {
        Odd::Loss { before, on } => {
            phrase!("it would have lost weight since {}, when it weighed {}", on.words(), before.show(units))
        }
        Odd::Gain { gain, on, .. } => {
            phrase!("it would have gained {} since {}", gain.show(units), on.words())
        }
        Odd::Jump { before, on } => {
            phrase!("it weighed {} on {}", before.show(units), on.words())
        }
        Odd::OffCurve { expected, .. } => {
            phrase!("by its own weights it should be about {}", expected.show(units))
        }
    };
    Some(words)
}

/// A weight is an animal's own within this share of what is expected.
const NEAR: f64 = 0.08;

/// How far off, as a share, a weight is from what an animal should weigh; none where it does not fit, or where nothing
/// is known to say so.
fn fits(flock: &Flock, bands: &Bands, before: &AnimalFile, row: &Row) -> Option<f64> {
    let (on, weight) = (row.on, row.weight);
    if odd(before, on, weight).is_some() {
        return None;
    }
    let share = |expected: f64| Some((weight.kg() - expected).abs() / expected).filter(|off| *off <= NEAR);
    let age = before.animal.born.day().map(|b| on.since(b)).filter(|a| *a >= 0);
    if let (Some(age), Ok(curve)) = (age, of_animal(before))
        && (curve.first..=curve.read_to()).contains(&(age as f64))
    {
        return share(curve.expected(age as f64));
    }
    let last = before.weights().into_iter().rfind(|(day, _)| *day <= on);
    let growing = age.is_some_and(|a| a < bounds::growing_days());
    match last {
        // A grown animal weighs what it weighed.
        Some((_, last)) if !growing => share(last.kg()),
        // A growing one gained what its like gain.
        Some((from, last)) => {
            let age = age?;
            let days = on.since(from);
            let like = bands.like(flock, before, age).ok();
            let gain = match &like {
                Some(like) => like.curve.expected(age as f64) - like.curve.expected((age - days) as f64),
                None => return plausible(last, weight, days),
            };
            share(last.kg() + gain)
        }
        None => {
            let like = bands.like(flock, before, age?).ok()?;
            let (low, high) = like.curve.band(age? as f64);
            let expected = like.curve.expected(age? as f64);
            (low..=high).contains(&weight.kg()).then(|| (weight.kg() - expected).abs() / expected)
        }
    }
}

/// Without like animals: any gain of a lamb that does well.
fn plausible(last: Weight, weight: Weight, days: i64) -> Option<f64> {
    const USUAL: std::ops::RangeInclusive<i64> = 100..=450;
    let gain = Gain::between(last, weight, days)?;
    USUAL.contains(&gain.0).then(|| (gain.0 - 275).abs() as f64 / 1000.0)
}

/// How two tags are alike, in words.
fn alike(a: &str, b: &str) -> Option<&'static str> {
    let plain =
        |text: &str| -> Vec<char> { text.to_uppercase().chars().filter(|c| c.is_alphanumeric()).collect() };
    let (a, b) = (plain(a), plain(b));
    if a.len() == b.len() {
        let off: Vec<usize> = (0..a.len()).filter(|i| a[*i] != b[*i]).collect();
        return match off.as_slice() {
            [_] if a.len() > 1 => Some("whose tag differs in one figure"),
            [i, j] if *j == i + 1 && a[*i] == b[*j] && a[*j] == b[*i] => {
                Some("whose tag has two figures the other way round")
            }
            _ => None,
        };
    }
    let (short, long) = if a.len() < b.len() { (&a, &b) } else { (&b, &a) };
    if long.len() != short.len() + 1 || short.len() < 2 {
        return None;
    }
    let same = short.iter().zip(long.iter()).take_while(|(x, y)| x == y).count();
    (short[same..] == long[same + 1..]).then_some("whose tag has one figure more or less")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_alike_as_eyes_mistake_them() {
        for (a, b, like) in [
            ("0412", "0421", true),
            ("0412", "0472", true),
            ("0412", "412", true),
            ("0412", "04412", true),
            ("A 12", "a13", true),
            ("0412", "0412", false),
            ("0412", "2104", false),
            ("0412", "0423", false),
            ("1", "2", false),
        ] {
            assert_eq!(alike(a, b).is_some(), like, "{a} {b}");
            assert_eq!(alike(b, a).is_some(), like, "{b} {a}");
        }
    }
}
