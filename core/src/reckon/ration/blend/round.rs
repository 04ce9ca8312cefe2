//! A mix in whole bags and scoops.

use super::{Ask, Blend, Demand, Short};
use crate::reckon::ration::{Holds, holds};

/// A feed of the rounded mix.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundedPart {
    /// Its place among the choices.
    pub choice: usize,
    /// Its name.
    pub name: String,
    /// Whole bags or scoops, where it goes in by such.
    pub units: Option<u32>,
    /// Kilograms as fed.
    pub kg: f64,
}

/// The rounded mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounded {
    /// Feeds that are in it, in the order of the choices.
    pub parts: Vec<RoundedPart>,
    /// Kilograms as fed, which differ from what was asked by what rounding makes.
    pub kg: f64,
    /// Money in all.
    pub cost: f64,
    /// What it holds.
    pub holds: Holds,
    /// Demands it misses, with what it reaches.
    pub short: Vec<Short>,
    /// Feeds whose share is no longer within its limits.
    pub outside: Vec<String>,
}

/// Feeds that are tried both ways; beyond that the nearest whole number stands.
const TRIED: usize = 10;
/// A total this far from what was asked, as a part of it, is taken only where nothing is nearer.
const FAR: f64 = 0.25;

/// The mix in whole units: `units` gives the kilograms of a bag or scoop of each choice; a feed without goes in by
/// weight. Each feed is rounded down or up as the demands and limits are met by it; of those that meet as many, the one
/// whose total is nearest to what was asked, and then the cheapest.
pub fn whole_units(ask: &Ask, blend: &Blend, units: &[Option<f64>]) -> Rounded {
    let unit = |i: usize| units.get(i).copied().flatten().filter(|u| u.is_finite() && *u > 0.0);
    let used: Vec<usize> = blend.used().map(|p| p.choice).collect();
    let stepped: Vec<usize> = used.iter().copied().filter(|i| unit(*i).is_some()).collect();
    let tried = &stepped[..stepped.len().min(TRIED)];
    let mut best: Option<(Rounded, f64)> = None;
    for ways in 0..1u32 << tried.len() {
        let kgs: Vec<(usize, Option<u32>, f64)> = used
            .iter()
            .map(|i| {
                let kg = blend.parts[*i].kg;
                let Some(unit) = unit(*i) else { return (*i, None, kg) };
                let exact = kg / unit;
                let n = match tried.iter().position(|t| t == i) {
                    // A hair above a whole number is that number.
                    Some(at) if ways >> at & 1 == 1 => (exact - 1e-9).ceil(),
                    Some(_) => (exact + 1e-9).floor(),
                    None => exact.round(),
                };
                let n = n.clamp(0.0, 1e6) as u32;
                (*i, Some(n), f64::from(n) * unit)
            })
            .collect();
        let made = rounded(ask, &kgs);
        if made.kg <= 0.0 {
            continue;
        }
        let off = (made.kg - ask.total_kg).abs();
        // A bag more or less is no other amount of feed; five times as much is.
        let far = |off: f64| off > FAR * ask.total_kg;
        let key = |r: &Rounded, off: f64| {
            (far(off), r.short.len() + r.outside.len(), missed(r), off, r.cost / r.kg)
        };
        let better = best.as_ref().is_none_or(|(b, b_off)| key(&made, off) < key(b, *b_off));
        if better {
            best = Some((made, off));
        }
    }
    match best {
        Some((made, _)) => made,
        // Nothing reaches half a unit: by weight, as it was reckoned.
        None => rounded(ask, &used.iter().map(|i| (*i, None, blend.parts[*i].kg)).collect::<Vec<_>>()),
    }
}

/// How far the demands are missed, each as a part of its figure.
fn missed(r: &Rounded) -> f64 {
    let one = |s: &Short| (s.reached - s.demand.figure()).abs() / s.demand.figure().abs().max(1e-3);
    r.short.iter().map(one).sum()
}

fn rounded(ask: &Ask, kgs: &[(usize, Option<u32>, f64)]) -> Rounded {
    let kg: f64 = kgs.iter().map(|(_, _, kg)| kg).sum();
    let holds: Holds = holds(kgs.iter().map(|(i, _, kg)| (&ask.choices[*i].feed, *kg)));
    let short = ask.demands.iter().filter_map(|d: &Demand| {
        let reached = d.reached(&holds)?;
        (!d.met_by(reached)).then_some(Short { demand: *d, reached })
    });
    let short = short.collect();
    let outside = ask.choices.iter().enumerate().filter(|(i, c)| {
        let share = kgs.iter().find(|(at, ..)| at == i).map_or(0.0, |(.., part)| part / kg);
        share < c.least - 1e-6 || share > c.most + 1e-6
    });
    Rounded {
        outside: outside.map(|(_, c)| c.feed.name.clone()).collect(),
        parts: kgs
            .iter()
            .filter(|(.., kg)| *kg > 0.0)
            .map(|(i, units, kg)| RoundedPart {
                choice: *i,
                name: ask.choices[*i].feed.name.clone(),
                units: *units,
                kg: *kg,
            })
            .collect(),
        cost: kgs.iter().map(|(i, _, kg)| kg * ask.choices[*i].feed.price.unwrap_or_default()).sum(),
        kg,
        holds,
        short,
    }
}
