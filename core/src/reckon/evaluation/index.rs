//! Reading breeding values: how sure they are in a word, what a rank is worth, and several traits in one figure whose
//! weights the keeper sets.

use super::{Ask, Bounds, Estimate, Evaluation, FixedBy, Model, Shares, Trait, best_quarter};
use crate::flock::Flock;
use crate::handbook::heritability::Measured;
use crate::phrase;
use crate::terms::{AnimalId, Day, Misread};
use rapidhash::RapidHashMap;

/// From this accuracy on a value is called fair, and good (common practice, no source).
const FAIR: f64 = 0.4;
const GOOD: f64 = 0.65;

/// How sure a value is, in a word: weak, fair, good.
pub fn accuracy_word(accuracy: f64) -> &'static str {
    match accuracy {
        a if a >= GOOD => "good",
        a if a >= FAIR => "fair",
        _ => "weak",
    }
}

impl Ask {
    /// The usual question of a trait: mothering beside the lamb's own genes for weights up to weaning, what stays with
    /// the ewe for traits of ewes; shares as the handbook starts.
    pub fn usual(of: Trait, on: Day) -> Self {
        let (model, fixed) = match of {
            Trait::Weight(days) => (
                if (8..=120).contains(&days) { Model::Maternal } else { Model::Animal },
                vec![FixedBy::Sex, FixedBy::BirthType, FixedBy::EweAge, FixedBy::Group],
            ),
            Trait::Born | Trait::Reared => (Model::Repeatability, vec![FixedBy::Year, FixedBy::EweAge]),
        };
        Self { of, model, fixed, shares: Shares::default(), on, bounds: Bounds::default() }
    }
}

impl Trait {
    /// As typed: `weight:60`, `born`, `reared`.
    pub fn word(self) -> String {
        match self {
            Self::Weight(days) => phrase!("weight:{days}"),
            Self::Born => "born".into(),
            Self::Reared => "reared".into(),
        }
    }
}

impl Trait {
    /// What published shares are known for.
    pub fn measured(self) -> Measured {
        match self {
            Self::Weight(days) => Measured::weight_at(days),
            Self::Born => Measured::LambsBorn,
            Self::Reared => Measured::LambsReared,
        }
    }
}

/// The weights of the keeper's index out of his own words (the table `[index]`: `"weight:60" = 1.5`), birth and younger
/// ages first; other tables are left to others.
///
/// # Errors
/// Says what is wrong with them.
pub fn weights(text: &str) -> Result<Vec<(Trait, f64)>, Misread> {
    let wrong = |why: String| Misread::new(phrase!("the weights of the index cannot be read: {why}"));
    let table: toml::Table = text.parse().map_err(|e: toml::de::Error| wrong(e.message().to_string()))?;
    let Some(rows) = table.get("index") else { return Ok(Vec::new()) };
    let rows = rows.as_table().ok_or_else(|| wrong("index is no table".into()))?;
    let mut all = rows
        .iter()
        .map(|(of, weight)| {
            let weight = weight.as_float().or_else(|| weight.as_integer().map(|i| i as f64));
            let weight = weight.filter(|w| w.is_finite()).ok_or_else(|| wrong(phrase!("{of}: no number")))?;
            Ok((Trait::parse(of)?, weight))
        })
        .collect::<Result<Vec<_>, Misread>>()?;
    in_order(&mut all);
    Ok(all)
}

/// Birth and younger ages first, lambs born, lambs reared.
fn in_order(all: &mut [(Trait, f64)]) {
    all.sort_by_key(|(of, _)| match of {
        Trait::Weight(days) => (0, *days),
        Trait::Born => (1, 0),
        Trait::Reared => (2, 0),
    });
}

/// The same words with these weights; what stands beside them is kept.
///
/// # Errors
/// The words that stand cannot be read.
pub fn with_weights(text: &str, weights: &[(Trait, f64)]) -> Result<String, Misread> {
    let mut table: toml::Table =
        text.parse().map_err(|e: toml::de::Error| Misread::new(e.message().to_string()))?;
    table.remove("index");
    if !weights.is_empty() {
        let rows: toml::Table = weights.iter().map(|(of, w)| (of.word(), (*w).into())).collect();
        table.insert("index".into(), rows.into());
    }
    Ok(table.to_string())
}

/// One animal's place in an index, or in one trait.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The animal.
    pub id: AnimalId,
    /// Its value, and how sure.
    pub estimate: Estimate,
    /// Its place among the animals in the flock, 1 for the best; none for an animal that is not there.
    pub rank: Option<Rank>,
}

/// A rank with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rank {
    /// The place by the value, 1 for the best.
    pub place: usize,
    /// The places it would have were its value one standard error higher, or lower, and all others as they are.
    pub between: (usize, usize),
    /// Of how many.
    pub of: usize,
    /// The chance to be truly among the best quarter ([`best_quarter`]).
    pub best_quarter: f64,
}

/// The direct values of several evaluations of one flock times their weights, with ranks among the animals in the flock.
/// The accuracy takes the traits as not related, for no covariances are known.
pub fn placed(flock: &Flock, all: &[(&Evaluation, f64)]) -> Vec<Placed> {
    let Some((first, _)) = all.first() else { return Vec::new() };
    let genetic = |e: &Evaluation| e.variances.first().map_or(0.0, |v| v.1);
    let whole: f64 = all.iter().map(|(e, w)| w * w * genetic(e)).sum();
    let mut placed: Vec<(Placed, f64)> = first
        .animals
        .iter()
        .map(|a| {
            let of = |e: &Evaluation| {
                e.of_animal(a.id).map_or((0.0, 0.0), |v| (v.direct.value, v.direct.accuracy))
            };
            let value = all.iter().map(|(e, w)| w * of(e).0).sum();
            let known: f64 = all.iter().map(|(e, w)| w * w * genetic(e) * of(e).1.powi(2)).sum();
            let accuracy = if whole > 0.0 { (known / whole).clamp(0.0, 1.0).sqrt() } else { 0.0 };
            let error = (whole - known).max(0.0).sqrt();
            (Placed { id: a.id, estimate: Estimate { value, accuracy }, rank: None }, error)
        })
        .collect();
    let here: Vec<usize> = (0..placed.len())
        .filter(|i| flock.animal(placed[*i].0.id).is_some_and(|a| a.status.is_here()))
        .collect();
    let known: Vec<(f64, f64)> = here.iter().map(|i| (placed[*i].0.estimate.value, placed[*i].1)).collect();
    let chances = best_quarter(&known);
    let mut values: Vec<f64> = known.iter().map(|k| k.0).collect();
    values.sort_by(|a, b| b.total_cmp(a));
    // How many stand above a value.
    let above = |v: f64| values.partition_point(|x| *x > v);
    for ((i, (value, error)), chance) in here.iter().zip(&known).zip(chances) {
        let place = above(*value) + 1;
        let best = above(value + error) + 1;
        let last = above(value - error).max(place);
        placed[*i].0.rank =
            Some(Rank { place, between: (best.min(place), last), of: here.len(), best_quarter: chance });
    }
    placed.into_iter().map(|p| p.0).collect()
}

/// Values by animal, for who to whom.
pub fn scores(placed: &[Placed]) -> RapidHashMap<AnimalId, f64> {
    placed.iter().map(|p| (p.id, p.estimate.value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_read_and_written_beside_other_words() {
        let words = "[sheet]\nkinship = 2\n";
        let mine = [(Trait::Weight(60), 1.5), (Trait::Born, -0.25)];
        let text = with_weights(words, &mine).unwrap();
        assert_eq!(weights(&text).unwrap(), mine);
        assert!(text.contains("kinship = 2"));
        assert_eq!(weights(words).unwrap(), []);
        let again = with_weights(&text, &[]).unwrap();
        assert_eq!(weights(&again).unwrap(), []);
        assert!(again.contains("kinship = 2"));
        for bad in ["[index]\nmilk = 1", "[index]\nborn = \"much\"", "index = 3", "[["] {
            assert!(weights(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn accuracy_in_a_word() {
        assert_eq!(
            [0.0, 0.39, 0.4, 0.64, 0.65, 1.0].map(accuracy_word),
            ["weak", "weak", "fair", "fair", "good", "good"]
        );
    }
}
