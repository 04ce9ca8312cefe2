//! The flock's own shares of the variance, from the very records its breeding values are reckoned from.

use super::{Ask, Model, Reml, Shares, Unfit, model, records, reml};
use crate::flock::Flock;
use crate::handbook::heritability::{Share, range};
use crate::phrase;
use crate::reckon::kinship::Blood;

/// The flock's own shares.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// What was estimated.
    pub found: Reml,
    /// The shares as the ask takes them; none where the heritability (or mothering in a maternal model) is useless.
    pub shares: Option<Shares>,
    /// What to think of it, in sentences.
    pub told: Vec<String>,
}

/// Estimates the shares of the variance from the flock's own records, for the model that is asked. `go_on` is told how
/// far it is, per cent, and answers whether to go on.
///
/// # Errors
/// The records do not suffice or give no answer: why, in words for the keeper; or it was stopped.
pub fn own(flock: &Flock, ask: &Ask, go_on: &mut dyn FnMut(u32) -> bool) -> Result<Own, Unfit> {
    let blood = Blood::of(flock).map_err(|_| Unfit::Circle)?;
    let gathered = records(flock, ask.of, &ask.fixed, ask.on);
    let made = model(blood, &gathered, ask.of, ask.model, &ask.fixed, &ask.shares)?;
    let found = reml(&made.problem, go_on)?;
    let mut told: Vec<String> = found.told().into_iter().map(in_words).collect();
    let shares = shares(&found, ask.model);
    let most = range(ask.of.measured(), Share::Heritability).map(|r| r.1);
    if let Some((mine, most)) = shares.and_then(|s| s.h2).zip(most)
        && mine > 1.5 * most
    {
        told.push(phrase!(
            "That is far above what is published (at most {most}): what relations share beside genes, such as pasture and \
             mothering, may be counted as genes here. Take it with care."
        ));
    }
    told.push(match &shares {
        Some(_) => "These are this flock's own figures. In another year, with other records, they would differ by about \
                    their standard errors."
            .into(),
        None => "So these records do not give shares to reckon with: the handbook's range stays.".into(),
    });
    Ok(Own { found, shares, told })
}

/// The names of the effects as a keeper says them.
fn in_words(told: String) -> String {
    for (name, words) in [
        ("animal:", "Heritability:"),
        ("mothering:", "Heritability of mothering:"),
        ("ewe:", "Same ewe:"),
        ("litter:", "Same litter:"),
        ("stays with the animal:", "Stays with it:"),
    ] {
        if let Some(rest) = told.strip_prefix(name) {
            return format!("{words}{rest}");
        }
    }
    told
}

/// A share is written with so many digits.
fn rounded(share: f64) -> f64 {
    (share * 1000.0).round() / 1000.0
}

fn shares(found: &Reml, model: Model) -> Option<Shares> {
    let share = |name: &str| found.ratios.iter().find(|r| r.name == name);
    let sound = |name: &str| share(name).filter(|r| !r.useless).map(|r| rounded(r.value));
    let mut all = Shares { h2: Some(sound("animal")?), ..Shares::default() };
    // A part beside genes that these records show none of is taken as none.
    let beside = |name: &str| share(name).map(|r| rounded(r.value));
    all.c2 = beside("ewe");
    all.l2 = beside("litter");
    match model {
        Model::Animal => {}
        Model::Repeatability => all.pe2 = beside("stays with the animal"),
        Model::Maternal => {
            all.m2 = Some(sound("mothering")?);
            let of = |i, j| found.components.iter().find(|c| c.of == Some((0, i, j)));
            let (a, b, both) = (of(0, 0)?, of(1, 1)?, of(1, 0)?);
            if both.at_edge {
                return None;
            }
            all.rdm = Some(rounded(both.value / (a.value * b.value).sqrt()));
        }
    }
    Some(all)
}
