//! Made-up flocks whose true breeding values are known: a pedigree of a stated form, values handed down in it by chance
//! (no selection), and records made of them.

use super::pedigrees::{Form, pedigree};
use hirsel_core::reckon::evaluation::{Block, Effect, Factor, Frame, Order, Problem, by_cholesky, variances};
use hirsel_core::reckon::kinship::{NONE, inbreeding, within};
use std::sync::Arc;

/// Which records, and what they depend on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Model {
    /// One record of each lamb.
    Animal,
    /// Several records of each ewe, with what stays with her for life.
    Repeated,
    /// One record of each lamb, which its dam's mothering shares in.
    Maternal,
}

impl Model {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Animal, Self::Repeated, Self::Maternal];

    /// What it is called where figures are told.
    pub fn name(self) -> &'static str {
        match self {
            Self::Animal => "animal",
            Self::Repeated => "repeatability",
            Self::Maternal => "maternal",
        }
    }
}

/// Records with the truth behind them.
pub struct Made {
    /// The records, with the variances they were made by.
    pub problem: Problem,
    /// True breeding values by place, of the first effect of the first block.
    pub truth: Vec<f64>,
    /// Inbreeding by place.
    pub f: Vec<f64>,
    /// Animals whose estimates are looked at: those with a record of their own.
    pub looked_at: Vec<usize>,
}

/// Numbers by chance, the same for the same seed (splitmix64: Steele, Lea and Flood 2014).
pub struct Chance(pub u64);

impl Chance {
    /// From 0 up to 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal, mean 0 and variance 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let r = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        r * (2.0 * std::f64::consts::PI * self.share()).cos()
    }
}

/// Variances the records are made by: direct, covariance, maternal, permanent, residual.
const DIRECT: f64 = 3.0;
const BOTH: f64 = -0.4;
const MOTHER: f64 = 1.0;
const STAYS: f64 = 1.0;
const CHANCE: f64 = 5.0;

/// Makes one.
pub fn made(form: &Form, model: Model, seed: u64) -> Made {
    let p = Arc::new(pedigree(form));
    let f = inbreeding(&p, 1);
    let mut chance = Chance(seed);
    let n = p.len();
    // Direct and maternal values that vary together: m = b·d + rest.
    let (slope, rest) = (BOTH / DIRECT, MOTHER - BOTH * BOTH / DIRECT);
    let (mut direct, mut mother) = (vec![0.0; n], vec![0.0; n]);
    for (i, parents) in p.parents().iter().enumerate() {
        let half =
            |v: &[f64]| parents.iter().filter(|p| **p != NONE).map(|p| 0.5 * v[*p as usize]).sum::<f64>();
        let d = within(*parents, &f);
        let own = chance.normal() * (DIRECT * d).sqrt();
        let given = slope * own + chance.normal() * (rest * d).sqrt();
        (direct[i], mother[i]) = (half(&direct) + own, half(&mother) + given);
    }
    let stays: Vec<f64> = (0..n).map(|_| chance.normal() * STAYS.sqrt()).collect();
    // Lambs by crop: a group of about as many as the flock has ewes; sex by the place, even ones are rams.
    let groups = form.ewes.max(1);
    let mut rows: Vec<(usize, u32, u32)> = Vec::new();
    for (i, [_, dam]) in p.parents().iter().enumerate().filter(|(_, p)| p[1] != NONE) {
        match model {
            Model::Repeated => {
                // Each lambing is a record of the dam.
                rows.push((*dam as usize, (i / groups) as u32, (i % 3) as u32));
            }
            _ => rows.push((i, (i / groups) as u32, (i % 2) as u32)),
        }
    }
    let least = rows.iter().map(|r| r.1).min().unwrap_or_default();
    let most = rows.iter().map(|r| r.1).max().unwrap_or_default();
    let group: Vec<f64> = (least..=most).map(|_| chance.normal() * 2.0).collect();
    let records = rows
        .iter()
        .map(|(i, g, s)| {
            let dam = p.parents()[*i][1];
            let shared = match model {
                Model::Animal => 0.0,
                Model::Repeated => stays[*i],
                Model::Maternal if dam == NONE => 0.0,
                Model::Maternal => mother[dam as usize] + stays[dam as usize],
            };
            30.0 + group[(g - least) as usize]
                + 1.5 * f64::from(*s)
                + direct[*i]
                + shared
                + chance.normal() * CHANCE.sqrt()
        })
        .collect();
    let of: Vec<Option<u32>> = rows.iter().map(|(i, ..)| Some(*i as u32)).collect();
    let dams: Vec<Option<u32>> =
        rows.iter().map(|(i, ..)| Some(p.parents()[*i][1]).filter(|d| *d != NONE)).collect();
    let effect = |name: &str, of: &[Option<u32>]| Effect { name: name.into(), of: of.to_vec() };
    let levels = n;
    let kin = |effects, variance| Block { effects, variance, levels, pedigree: Some(p.clone()) };
    let apart =
        |of| Block { effects: vec![effect("permanent", of)], variance: vec![STAYS], levels, pedigree: None };
    let blocks = match model {
        Model::Animal => vec![kin(vec![effect("animal", &of)], vec![DIRECT])],
        Model::Repeated => vec![kin(vec![effect("animal", &of)], vec![DIRECT]), apart(&of)],
        Model::Maternal => vec![
            kin(vec![effect("animal", &of), effect("dam", &dams)], vec![DIRECT, BOTH, BOTH, MOTHER]),
            apart(&dams),
        ],
    };
    let named = |k: u32| (0..k).map(|l| l.to_string()).collect();
    let problem = Problem {
        records,
        fixed: vec![
            Factor {
                name: "crop".into(),
                levels: named(most - least + 1),
                of: rows.iter().map(|r| r.1 - least).collect(),
            },
            Factor { name: "sex".into(), levels: named(3), of: rows.iter().map(|r| r.2).collect() },
        ],
        slopes: Vec::new(),
        blocks,
        residual: CHANCE,
    };
    let mut looked_at: Vec<usize> = rows.iter().map(|r| r.0).collect();
    looked_at.sort_unstable();
    looked_at.dedup();
    Made { problem, truth: direct, f, looked_at }
}

/// Estimates of every effect of every block by level, and their accuracies: √(1 − PEV/((1+F)·variance)).
pub fn estimated(problem: &Problem, f: &[f64]) -> Vec<Vec<(Vec<f64>, Vec<f64>)>> {
    let frame = Frame::of(problem).expect("sound records");
    let equations = frame.equations(&variances(problem), problem.residual).expect("sound variances");
    let solution = by_cholesky(&equations).expect("a solution");
    let order = Order::of(&equations.matrix).expect("an order");
    let factor = order.factor(&equations.matrix).expect("a factor");
    let error = factor.inverse(&mut |_| true).expect("an inverse").diagonal();
    let of = |b: usize, e: usize| {
        let (placed, block) = (&frame.blocks()[b], &problem.blocks[b]);
        let variance = block.variance[e * block.effects.len() + e];
        let at = |l: usize| placed.at(e, l);
        let own = |l: usize| variance * (1.0 + if block.pedigree.is_some() { f[l] } else { 0.0 });
        let values = (0..block.levels).map(|l| solution.values[at(l)]).collect();
        let sure = (0..block.levels).map(|l| (1.0 - error[at(l)] / own(l)).max(0.0).sqrt()).collect();
        (values, sure)
    };
    (0..problem.blocks.len())
        .map(|b| (0..problem.blocks[b].effects.len()).map(|e| of(b, e)).collect())
        .collect()
}

/// Correlation of the estimates with the truth, and the accuracy claimed on average, over the animals looked at.
#[allow(dead_code)] // the example only writes the problems down
pub fn calibrated(made: &Made) -> (f64, f64) {
    let all = estimated(&made.problem, &made.f);
    let (values, sure) = &all[0][0];
    let of = |v: &[f64]| made.looked_at.iter().map(|i| v[*i]).collect::<Vec<_>>();
    let (a, b, sure) = (of(values), of(&made.truth), of(sure));
    (correlation(&a, &b), sure.iter().sum::<f64>() / sure.len() as f64)
}

fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (ma, mb) = (mean(a), mean(b));
    let sum = |x: &[f64], mx: f64, y: &[f64], my: f64| {
        x.iter().zip(y).map(|(x, y)| (x - mx) * (y - my)).sum::<f64>()
    };
    sum(a, ma, b, mb) / (sum(a, ma, a, ma) * sum(b, mb, b, mb)).sqrt()
}
