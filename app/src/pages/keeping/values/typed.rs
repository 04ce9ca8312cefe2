//! The question as typed, and what it means.

use super::super::super::Ctx;
use crate::desk::values::ValuesAsk;
use hirsel_core::handbook::heritability::Measured;
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{Ask, FixedBy, Model, Shares, Trait, weights};
use serde::{Deserialize, Serialize};

/// Of what: one trait, or an index.
pub(super) const OF: [(u8, &str); 5] = [
    (0, "weight at an age"),
    (1, "weight at birth"),
    (2, "lambs born"),
    (3, "lambs reared"),
    (4, "several, as an index"),
];
/// The choice of an index.
pub(super) const INDEX: u8 = 4;

/// By which model.
pub(super) const MODELS: [(u8, &str); 3] = [
    (0, "its own genes"),
    (1, "several records of one animal"),
    (2, "its own genes and its ewe's mothering"),
];

/// A share as typed, with the word the core knows it by.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct TypedShares {
    pub(super) h2: String,
    pub(super) m2: String,
    pub(super) rdm: String,
    pub(super) c2: String,
    pub(super) pe2: String,
}

/// The question as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) of: Option<u8>,
    pub(super) age: String,
    pub(super) model: Option<u8>,
    pub(super) fixed: Option<Vec<String>>,
    pub(super) shares: TypedShares,
    /// The shares are those the flock's own records gave.
    pub(super) own: Option<TypedShares>,
    /// Weights of the index: at birth, at an age, born, reared.
    pub(super) weights: [String; 4],
    pub(super) filled: bool,
    #[serde(skip)]
    settled: Option<(Option<u8>, String)>,
    #[serde(skip)]
    pub(super) focus: Option<&'static str>,
}

/// An age in days as typed.
pub(super) fn age(text: &str) -> Result<i64, String> {
    match text.trim() {
        "" => Ok(60),
        t => t
            .parse::<i64>()
            .ok()
            .filter(|d| (1..=2_000).contains(d))
            .ok_or_else(|| phrase!("‘{t}’ is no age in days: type 60")),
    }
}

/// A weight as typed: nothing leaves the trait out.
pub(super) fn weight(text: &str) -> Result<Option<f64>, String> {
    match text.trim().replace(',', ".").replace('−', "-") {
        t if t.is_empty() => Ok(None),
        t => t
            .parse::<f64>()
            .ok()
            .filter(|w| w.is_finite() && w.abs() <= 1e6)
            .map(Some)
            .ok_or_else(|| phrase!("‘{t}’ is no number: type what one unit counts, such as 1.5")),
    }
}

impl Typed {
    /// The weights stand in the book.
    pub(super) fn kept(&mut self) {
        self.filled = false;
        self.focus = Some(WEIGHTS[0]);
    }

    pub(super) fn is_index(&self) -> bool {
        self.of == Some(INDEX)
    }

    /// The trait that is asked.
    pub(super) fn trait_of(&self) -> Result<Trait, String> {
        Ok(match self.of {
            Some(1) => Trait::Weight(0),
            Some(2) => Trait::Born,
            Some(3) => Trait::Reared,
            _ => Trait::Weight(age(&self.age)?),
        })
    }

    /// What shares are known for.
    pub(super) fn measured(&self) -> Option<Measured> {
        self.trait_of().ok().map(Trait::measured)
    }

    /// The model that is chosen.
    pub(super) fn model(&self) -> Model {
        match self.model {
            Some(1) => Model::Repeatability,
            Some(2) => Model::Maternal,
            _ => Model::Animal,
        }
    }

    /// A trait newly chosen brings its usual model, groups and shares; the book's weights are filled in once.
    pub(super) fn settle(&mut self, ctx: &Ctx<'_>) {
        self.of.get_or_insert(0);
        if self.age.is_empty() {
            self.age = "60".into();
        }
        if !self.filled {
            self.filled = true;
            for (of, w) in weights(&ctx.flock.holding().keeping).unwrap_or_default() {
                let at = match of {
                    Trait::Weight(0) => 0,
                    Trait::Weight(days) => {
                        self.age = days.to_string();
                        1
                    }
                    Trait::Born => 2,
                    Trait::Reared => 3,
                };
                self.weights[at] = w.to_string();
            }
        }
        let now = (self.of, self.age.clone());
        if self.settled.as_ref() == Some(&now) {
            return;
        }
        let first = self.settled.is_none() && self.model.is_some();
        self.settled = Some(now);
        // What was typed before the window was closed stands.
        if first {
            return;
        }
        if let Ok(of) = self.trait_of() {
            let usual = Ask::usual(of, ctx.today);
            self.model = Some(match usual.model {
                Model::Animal => 0,
                Model::Repeatability => 1,
                Model::Maternal => 2,
            });
            self.fixed = Some(usual.fixed.iter().map(|f| f.word().to_string()).collect());
            (self.shares, self.own) = (TypedShares::default(), None);
        }
    }

    /// Whether animals are compared within this.
    pub(super) fn is_within(&self, by: FixedBy) -> bool {
        self.fixed.iter().flatten().any(|w| w == by.word())
    }

    /// Compares within this, or no longer.
    pub(super) fn turn(&mut self, by: FixedBy, on: bool) {
        let fixed = self.fixed.get_or_insert_default();
        fixed.retain(|w| w != by.word());
        if on {
            fixed.push(by.word().into());
        }
    }

    /// The question of one trait, or the field that is wrong and why.
    pub(super) fn one(&self, ctx: &Ctx<'_>) -> Result<Ask, (&'static str, String)> {
        let of = self.trait_of().map_err(|e| ("Age", e))?;
        let read = |label: &'static str, word: &str, text: &str| match text.trim() {
            "" => Ok(Shares::default()),
            t => Shares::parse(&format!("{word}={}", t.replace(',', ".").replace('−', "-")))
                .map_err(|e| (label, e.0)),
        };
        let t = &self.shares;
        let mut shares = Shares { h2: read("Heritability", "h2", &t.h2)?.h2, ..Shares::default() };
        match self.model() {
            Model::Animal => {}
            Model::Repeatability => shares.pe2 = read("Stays with it", "pe2", &t.pe2)?.pe2,
            Model::Maternal => {
                shares.m2 = read("Mothering", "m2", &t.m2)?.m2;
                shares.rdm = read("Go together", "rdm", &t.rdm)?.rdm;
                shares.c2 = read("Same ewe", "c2", &t.c2)?.c2;
            }
        }
        let fixed = FixedBy::ALL.into_iter().filter(|f| self.is_within(*f)).collect();
        Ok(Ask { of, model: self.model(), fixed, shares, ..Ask::usual(of, ctx.today) })
    }

    /// The traits of the index with their weights.
    pub(super) fn weighed(&self) -> Result<Vec<(Trait, f64)>, (&'static str, String)> {
        let days = age(&self.age).map_err(|e| ("Age", e))?;
        let of = [Trait::Weight(0), Trait::Weight(days), Trait::Born, Trait::Reared];
        let mut all = Vec::new();
        for ((of, text), label) in of.into_iter().zip(&self.weights).zip(WEIGHTS) {
            if let Some(w) = weight(text).map_err(|e| (label, e))?.filter(|w| *w != 0.0) {
                all.push((of, w));
            }
        }
        if all.is_empty() {
            return Err((WEIGHTS[0], "no trait has a weight: type what one unit counts, such as 1".into()));
        }
        Ok(all)
    }

    /// The whole question.
    pub(super) fn ask(&self, ctx: &Ctx<'_>) -> Result<ValuesAsk, (&'static str, String)> {
        if self.is_index() {
            let of = self.weighed()?.into_iter().map(|(of, w)| (Ask::usual(of, ctx.today), w)).collect();
            return Ok(ValuesAsk { of, shares: "shares as the handbook starts".into() });
        }
        let shares = if self.own.as_ref() == Some(&self.shares) {
            "shares from this flock’s own records"
        } else if self.shares == TypedShares::default() {
            "shares as the handbook starts"
        } else {
            "shares as you set them"
        };
        Ok(ValuesAsk { of: vec![(self.one(ctx)?, 1.0)], shares: shares.into() })
    }
}

/// The weights' labels.
pub(super) const WEIGHTS: [&str; 4] = ["Weight at birth", "Weight at the age", "Lambs born", "Lambs reared"];
