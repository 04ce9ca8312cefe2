//! A flock's breeding values, as they are told.

use super::{
    Bounds, FixedBy, Gathered, Method, Model, Modelled, Predicted, Shares, Trait, Unfit, best_quarter, model,
    predict, records,
};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::kinship::{Blood, NONE};
use crate::terms::{AnimalId, Day, Status};
use rapidhash::RapidHashMap;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Of which trait.
    pub of: Trait,
    /// What the records depend on.
    pub model: Model,
    /// What animals are compared within.
    pub fixed: Vec<FixedBy>,
    /// Shares of the variance.
    pub shares: Shares,
    /// Records up to this day.
    pub on: Day,
    /// Up to what size accuracies are exact.
    pub bounds: Bounds,
}

/// A value with how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// In the unit of the trait, above or below the base of the pedigree.
    pub value: f64,
    /// Correlation with the truth, 0 to 1: √(1 − PEV/((1 + F)·σ²)).
    pub accuracy: f64,
}

/// One animal's breeding values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Valued {
    /// The animal.
    pub id: AnimalId,
    /// Its own genes for the trait.
    pub direct: Estimate,
    /// Its genes for mothering, in a maternal model.
    pub maternal: Option<Estimate>,
    /// What stays with it beside genes, where it has records and the model holds it.
    pub permanent: Option<Estimate>,
    /// Records of its own.
    pub own: u32,
    /// Offspring with records.
    pub offspring: u32,
    /// Chance to be among the best quarter of the animals in the flock by its own genes ([`best_quarter`]); none for
    /// an animal that is not there.
    pub best_quarter: Option<f64>,
}

/// A level of a fixed effect as fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct FixedValue {
    /// The fixed effect, in words.
    pub factor: String,
    /// Its level.
    pub level: String,
    /// How many records.
    pub records: usize,
    /// Its value; none where it was left out and the others are measured from it.
    pub value: Option<f64>,
}

/// Breeding values of a flock.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluation {
    /// Of which trait.
    pub of: Trait,
    /// By which model.
    pub model: Model,
    /// Every animal the book knows, ancestors outside included, parents before offspring.
    pub animals: Vec<Valued>,
    /// How many records.
    pub records: usize,
    /// Why others were left out, with how many.
    pub left_out: Vec<(&'static str, usize)>,
    /// The mean, where there is no fixed effect.
    pub mean: Option<f64>,
    /// Levels of the fixed effects.
    pub fixed: Vec<FixedValue>,
    /// Variances used, by name; covariance between two names joined by "with"; the residual last.
    pub variances: Vec<(String, f64)>,
    /// All variance of a record, estimated from the data.
    pub phenotypic: f64,
    /// How it was solved.
    pub method: Method,
    /// Accuracies are exact; else by approximation.
    pub exact: bool,
    /// What the keeper should know before believing it, in sentences.
    pub notes: Vec<String>,
    places: RapidHashMap<AnimalId, u32>,
}

impl Evaluation {
    /// The values of an animal.
    pub fn of_animal(&self, id: AnimalId) -> Option<&Valued> {
        self.places.get(&id).and_then(|p| self.animals.get(*p as usize))
    }
}

/// Breeding values of a flock for one trait. `go_on` is told the part done and stops the work by answering no.
///
/// # Errors
/// Why it cannot be reckoned, in words for the keeper.
pub fn evaluate(flock: &Flock, ask: &Ask, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Evaluation, Unfit> {
    let blood = Blood::of(flock).map_err(|_| Unfit::Circle)?;
    let gathered = records(flock, ask.of, &ask.fixed, ask.on);
    let made = model(blood, &gathered, ask.of, ask.model, &ask.fixed, &ask.shares)?;
    let predicted = predict(&made.problem, &ask.bounds, go_on)?;
    Ok(told(flock, ask, &gathered, &made, &predicted))
}

fn told(flock: &Flock, ask: &Ask, gathered: &Gathered, made: &Modelled, predicted: &Predicted) -> Evaluation {
    let mut animals = animals(made, predicted);
    chances(flock, made, predicted, &mut animals);
    let places = made.ids.iter().copied().zip(0..).collect();
    Evaluation {
        of: ask.of,
        model: ask.model,
        records: gathered.records.len(),
        left_out: gathered.left_out.iter().map(|(why, n)| (*why, *n)).collect(),
        mean: predicted.frame.mean().and_then(|u| predicted.solution.values.get(u).copied()),
        fixed: fixed(made, predicted),
        variances: named(made),
        phenotypic: made.phenotypic,
        method: predicted.solution.method,
        exact: predicted.exact,
        notes: notes(ask, made, predicted, &animals),
        animals,
        places,
    }
}

fn animals(made: &Modelled, predicted: &Predicted) -> Vec<Valued> {
    let n = made.ids.len();
    let (mut own, mut offspring) = (vec![0u32; n], vec![0u32; n]);
    let direct = made.problem.blocks.first().and_then(|b| b.effects.first());
    direct.iter().flat_map(|e| e.of.iter().flatten()).for_each(|a| own[*a as usize] += 1);
    let pedigree = made.problem.blocks.first().and_then(|b| b.pedigree.as_ref());
    for (i, parents) in pedigree.iter().flat_map(|p| p.parents()).enumerate() {
        if own[i] > 0 {
            parents.iter().filter(|p| **p != NONE).for_each(|p| offspring[*p as usize] += 1);
        }
    }
    let of = |block, effect, level| {
        Some(Estimate {
            value: predicted.value(block, effect, level)?,
            accuracy: predicted.reliability(block, effect, level)?.sqrt(),
        })
    };
    let none = Estimate { value: 0.0, accuracy: 0.0 };
    let one = |(i, id): (usize, &AnimalId)| Valued {
        id: *id,
        direct: of(0, 0, i).unwrap_or(none),
        maternal: made.maternal.then(|| of(0, 1, i)).flatten(),
        permanent: made.permanent.as_ref().and_then(|(b, levels)| of(*b, 0, *levels.get(id)? as usize)),
        own: own[i],
        offspring: offspring[i],
        best_quarter: None,
    };
    made.ids.iter().enumerate().map(one).collect()
}

/// Chances to be among the best quarter of those in the flock.
fn chances(flock: &Flock, made: &Modelled, predicted: &Predicted, animals: &mut [Valued]) {
    let variance = made.problem.blocks.first().map_or(0.0, |b| b.variance[0]);
    let related = predicted.frame.blocks().first().and_then(|b| b.related.as_ref());
    let here: Vec<usize> = (0..animals.len())
        .filter(|i| flock.animal(animals[*i].id).is_some_and(|a| a.status == Status::Present))
        .collect();
    let known: Vec<(f64, f64)> = here
        .iter()
        .map(|i| {
            let (own, a) = (1.0 + related.map_or(0.0, |r| r.inbreeding()[*i]), animals[*i].direct);
            (a.value, ((1.0 - a.accuracy * a.accuracy).max(0.0) * own * variance).sqrt())
        })
        .collect();
    for (i, chance) in here.iter().zip(best_quarter(&known)) {
        animals[*i].best_quarter = Some(chance);
    }
}

fn fixed(made: &Modelled, predicted: &Predicted) -> Vec<FixedValue> {
    let mut all = Vec::new();
    for (i, f) in made.problem.fixed.iter().enumerate() {
        let mut count = vec![0; f.levels.len()];
        f.of.iter().for_each(|l| count[*l as usize] += 1);
        for (l, (level, records)) in f.levels.iter().zip(count).enumerate() {
            let value = predicted.frame.fixed(i, l).and_then(|u| predicted.solution.values.get(u).copied());
            all.push(FixedValue { factor: f.name.clone(), level: level.clone(), records, value });
        }
    }
    all
}

fn named(made: &Modelled) -> Vec<(String, f64)> {
    let mut all = Vec::new();
    for b in &made.problem.blocks {
        let k = b.effects.len();
        for i in 0..k {
            for j in 0..=i {
                let name = match i == j {
                    true => b.effects[i].name.clone(),
                    false => phrase!("{} with {}", b.effects[j].name, b.effects[i].name),
                };
                all.push((name, b.variance[i * k + j]));
            }
        }
    }
    all.push(("residual".into(), made.problem.residual));
    all
}

fn notes(ask: &Ask, made: &Modelled, predicted: &Predicted, animals: &[Valued]) -> Vec<String> {
    let mut all = vec![
        "A breeding value is half a guess until an animal has many offspring with records: read it with its accuracy, \
         where 0 is nothing known and 1 is certain. In small flocks most accuracies are weak."
            .to_string(),
    ];
    if made.few {
        all.push(phrase!(
            "Only {} records: the variance is little more than a guess.",
            made.problem.records.len()
        ));
    }
    if !predicted.exact {
        all.push(
            "The accuracies are approximated from the records of each animal, its parents and its offspring: \
             the equations are too many to reckon them exactly."
                .into(),
        );
    }
    let whole = |f: &super::Factor| f.levels.len() == 1;
    for f in made.problem.fixed.iter().filter(|f| whole(f)) {
        all.push(phrase!("All records have the same {}, so it makes no difference here.", f.name));
    }
    if ask.model != Model::Repeatability && animals.iter().any(|a| a.own > 1) {
        all.push(
            "Some animals have several records, which this model takes as if they were of different animals' luck: \
             the repeatability model is the right one for them."
                .into(),
        );
    }
    all
}
