use super::super::problem::{Block, Effect, Factor};
use super::*;
use crate::reckon::kinship::{NONE, Pedigree};
use std::sync::Arc;

/// Numbers between -0.5 and 0.5 that are the same on every machine.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64 - 0.5
    }

    /// Roughly normal, variance one.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.roll()).sum()
    }

    fn below(&mut self, n: usize) -> usize {
        (((self.roll() + 0.5) * n as f64) as usize).min(n - 1)
    }
}

struct Made {
    pedigree: Arc<Pedigree>,
    first: u32,
    values: Vec<f64>,
}

/// Sires, dams and their offspring, with true values of variance `va`.
fn made(dice: &mut Dice, sires: usize, dams: usize, lambs: usize, va: f64) -> Made {
    let mut pedigree = Pedigree::default();
    let mut values = Vec::new();
    for _ in 0..sires + dams {
        pedigree.push(NONE, NONE);
        values.push(dice.normal() * va.sqrt());
    }
    for _ in 0..lambs {
        let (s, d) = (dice.below(sires), sires + dice.below(dams));
        pedigree.push(s as u32, d as u32);
        values.push(0.5 * (values[s] + values[d]) + dice.normal() * (0.5 * va).sqrt());
    }
    Made { pedigree: Arc::new(pedigree), first: (sires + dams) as u32, values }
}

fn animal(of: &Made, places: Vec<Option<u32>>, records: Vec<f64>) -> Problem {
    Problem {
        fixed: Vec::new(),
        slopes: Vec::new(),
        blocks: vec![Block {
            effects: vec![Effect { name: "animal".into(), of: places }],
            variance: vec![1.0],
            levels: of.pedigree.len(),
            pedigree: Some(Arc::clone(&of.pedigree)),
        }],
        records,
        residual: 1.0,
    }
}

fn lambs(dice: &mut Dice, va: f64, ve: f64) -> Problem {
    let of = made(dice, 10, 40, 130, va);
    let places: Vec<u32> = (of.first..of.pedigree.len() as u32).collect();
    let records = places.iter().map(|p| 20.0 + of.values[*p as usize] + dice.normal() * ve.sqrt()).collect();
    animal(&of, places.into_iter().map(Some).collect(), records)
}

fn go(problem: &Problem) -> Reml {
    reml(problem, &mut |_| true).unwrap_or_else(|e| panic!("{e}"))
}

/// The slopes of the likelihood are those of its differences.
#[test]
fn slopes_are_those_of_the_likelihood() {
    let problem = maternal(&mut Dice(5));
    let mut dense = Dense::of(&problem).unwrap();
    let theta = [0.4, -0.1, 0.2, 0.15, 0.5];
    let at = dense.at(&theta, &mut || true).unwrap();
    for k in 0..theta.len() {
        let side = |h: f64, dense: &mut Dense| {
            let mut t = theta;
            t[k] += h;
            dense.log_likelihood(&t).unwrap()
        };
        let slope = (side(1e-5, &mut dense) - side(-1e-5, &mut dense)) / 2e-5;
        assert!((slope - at.score[k]).abs() < 1e-4 * (1.0 + slope.abs()), "{k}: {slope} {}", at.score[k]);
    }
}

/// Lambs and their dams weighed, with maternal and permanent effects of the dam.
fn maternal(dice: &mut Dice) -> Problem {
    let mut pedigree = Pedigree::default();
    let (mut direct, mut mother) = (Vec::new(), Vec::new());
    let mut parents = Vec::new();
    for i in 0..150usize {
        let known = i >= 30;
        let pair = known.then(|| {
            let lowest = i.saturating_sub(60);
            let (a, b) = (lowest + dice.below(i - lowest), lowest + dice.below(i - lowest));
            // Even places are rams.
            ((a / 2 * 2) as u32, (b / 2 * 2 + 1).min(i - 1 + i % 2) as u32)
        });
        let (s, d) = pair.unwrap_or((NONE, NONE));
        let half = |v: &Vec<f64>| pair.map_or(0.0, |(s, d)| 0.5 * (v[s as usize] + v[d as usize]));
        let within = if known { 0.5f64 } else { 1.0 };
        let own = half(&direct) + dice.normal() * (0.4 * within).sqrt();
        let given = half(&mother) + dice.normal() * (0.2 * within).sqrt();
        direct.push(own);
        mother.push(given);
        parents.push((s, d));
        pedigree.push(s, d);
    }
    let stays: Vec<f64> = (0..150).map(|_| dice.normal() * 0.3).collect();
    let (mut of, mut dam, mut records) = (Vec::new(), Vec::new(), Vec::new());
    for (i, (_, d)) in parents.iter().enumerate().filter(|(_, p)| p.1 != NONE) {
        of.push(Some(i as u32));
        dam.push(Some(*d));
        let d = *d as usize;
        records.push(10.0 + direct[i] + mother[d] + stays[d] + dice.normal() * 0.7);
    }
    let n = pedigree.len();
    Problem {
        fixed: vec![Factor {
            name: "sex".into(),
            levels: vec!["ram".into(), "ewe".into()],
            of: of.iter().flatten().map(|i| i % 2).collect(),
        }],
        slopes: Vec::new(),
        blocks: vec![
            Block {
                effects: vec![
                    Effect { name: "direct".into(), of },
                    Effect { name: "dam".into(), of: dam.clone() },
                ],
                variance: vec![0.4, -0.05, -0.05, 0.2],
                levels: n,
                pedigree: Some(Arc::new(pedigree)),
            },
            Block {
                effects: vec![Effect { name: "permanent".into(), of: dam }],
                variance: vec![0.1],
                levels: n,
                pedigree: None,
            },
        ],
        records,
        residual: 0.5,
    }
}

#[test]
fn the_top_is_a_top_and_does_not_hang_on_the_start() {
    let mut problem = lambs(&mut Dice(11), 2.0, 3.0);
    let found = go(&problem);
    let mut dense = Dense::of(&problem).unwrap();
    let scale = dense.scale();
    let theta: Vec<f64> = found.components.iter().map(|c| c.value / scale / scale).collect();
    let top = dense.log_likelihood(&theta).unwrap();
    for (a, e) in [(1.02, 1.0), (0.98, 1.0), (1.0, 1.02), (1.0, 0.98)] {
        assert!(dense.log_likelihood(&[theta[0] * a, theta[1] * e]).unwrap() < top);
    }
    assert!(found.steps < 15, "{} steps", found.steps);
    for (va, ve) in [(0.01, 5.0), (30.0, 0.1)] {
        (problem.blocks[0].variance[0], problem.residual) = (va, ve);
        let again = go(&problem);
        for (a, b) in found.components.iter().zip(&again.components) {
            assert!((a.value - b.value).abs() < 1e-5 * b.value, "{a:?} {b:?}");
        }
    }
}

/// In grams or in kilograms: the same shares, and a likelihood moved by the change of unit alone.
#[test]
fn units_change_nothing_but_the_unit() {
    let problem = lambs(&mut Dice(11), 2.0, 3.0);
    let mut grams = problem.clone();
    grams.records.iter_mut().for_each(|r| *r *= 1000.0);
    let (a, b) = (go(&problem), go(&grams));
    assert!((a.ratios[0].value - b.ratios[0].value).abs() < 1e-7);
    assert!((b.phenotypic / a.phenotypic - 1e6).abs() < 1.0);
    let moved = 129.0 * 1000f64.ln();
    assert!((a.log_likelihood - b.log_likelihood - moved).abs() < 1e-6);
}

#[test]
fn no_likeness_between_relatives_is_told_as_the_edge() {
    // Families of four full sibs: two heavy, two light, in every family the same.
    let mut dice = Dice(3);
    let mut pedigree = Pedigree::default();
    (0..50).for_each(|_| {
        pedigree.push(NONE, NONE);
    });
    let families = (0..160u32).map(|i| (i % 40 % 10, 10 + i % 40));
    families.for_each(|(s, d)| {
        pedigree.push(s, d);
    });
    let of = Made { pedigree: Arc::new(pedigree), first: 50, values: Vec::new() };
    let records = (0..160).map(|i| if i / 40 % 2 == 0 { 10.0 } else { 11.0 } + 0.1 * dice.normal()).collect();
    let problem = animal(&of, (of.first..210).map(Some).collect(), records);
    let found = go(&problem);
    assert!(found.components[0].at_edge && found.components[0].value == 0.0, "{:?}", found.components);
    assert_eq!(found.components[0].error, None);
    assert!(found.ratios[0].useless && found.ratios[0].value == 0.0);
    assert!(found.components[1].error.is_some());
    assert!(found.told().iter().any(|s| s.contains("at the edge")), "{:?}", found.told());
}

#[test]
fn direct_with_maternal_finds_a_top() {
    let problem = maternal(&mut Dice(5));
    let found = go(&problem);
    let names: Vec<&str> = found.components.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["direct", "direct with dam", "dam", "permanent", "residual"]);
    let mut into = problem.clone();
    found.into_problem(&mut into);
    assert_eq!(into.blocks[0].variance[1], into.blocks[0].variance[2]);
    assert_eq!(into.residual, found.components[4].value);
    // Nothing near is likelier.
    let mut dense = Dense::of(&problem).unwrap();
    let scale = dense.scale();
    let mut dice = Dice(77);
    for _ in 0..20 {
        let theta: Vec<f64> = found
            .components
            .iter()
            .map(|c| (c.value + 0.02 * found.phenotypic * dice.roll()) / scale / scale)
            .collect();
        let inside =
            theta[0] > 0.0 && theta[2] > 0.0 && theta[3] >= 0.0 && theta[0] * theta[2] > theta[1] * theta[1];
        if let Some(ll) = inside.then(|| dense.log_likelihood(&theta)).flatten() {
            let ll = ll - dense.freedom() * scale.ln();
            assert!(ll <= found.log_likelihood + 1e-7, "{ll} {}", found.log_likelihood);
        }
    }
}

#[test]
fn too_few_records_are_refused_with_what_is_wanting() {
    let mut dice = Dice(2);
    let of = made(&mut dice, 2, 6, 20, 1.0);
    let places: Vec<Option<u32>> = (of.first..of.pedigree.len() as u32).map(Some).collect();
    let problem = animal(&of, places, vec![1.0; 20]);
    let said = reml(&problem, &mut |_| true).unwrap_err().to_string();
    for part in
        ["records beyond the levels of the fixed effects: 19, and at least 50", "sires", "2, and at least 5"]
    {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn what_cannot_be_reckoned_is_said() {
    let whole = lambs(&mut Dice(1), 1.0, 1.0);
    let said = |p: &Problem| reml(p, &mut |_| true).unwrap_err();
    let mut alike = whole.clone();
    alike.records.fill(4.0);
    assert!(said(&alike).to_string().contains("all records are alike"));
    let mut none = whole.clone();
    none.records[3] = f64::NAN;
    assert!(matches!(said(&none), Unfit::NoAnswer(_)));
    let mut nought = whole.clone();
    nought.blocks[0].variance[0] = 0.0;
    assert!(matches!(said(&nought), Unfit::Variance(_)));
    nought.blocks[0].variance[0] = 1.0;
    nought.residual = -1.0;
    assert!(matches!(said(&nought), Unfit::Variance(_)));
    assert_eq!(reml(&whole, &mut |p| p < 1), Err(Unfit::Stopped));
    let mut many = whole.clone();
    many.blocks[0].levels = MOST + 1;
    assert!(said(&many).to_string().contains("50000 records"));
}

/// The whole matrix and the equations give the same likelihood, slopes and information.
#[test]
fn both_forms_are_one() {
    let mut lambs = lambs(&mut Dice(11), 2.0, 3.0);
    lambs.slopes = vec![("age".into(), (0..130).map(|i| f64::from(i % 7)).collect())];
    for (problem, theta) in
        [(maternal(&mut Dice(5)), vec![0.4, -0.1, 0.2, 0.15, 0.5]), (lambs, vec![0.3, 0.6])]
    {
        let (mut a, mut b) = (Dense::of(&problem).unwrap(), Sparse::of(&problem).unwrap());
        let shift = a.log_likelihood(&theta).unwrap() - b.log_likelihood(&theta).unwrap();
        // Other columns of the fixed effects are left out, so the likelihoods may differ by a constant.
        let other: Vec<f64> = theta.iter().map(|t| t * 1.1).collect();
        let again = a.log_likelihood(&other).unwrap() - b.log_likelihood(&other).unwrap();
        assert!((shift - again).abs() < 1e-9, "{shift} {again}");
        let (a, b) = (a.at(&theta, &mut || true).unwrap(), b.at(&theta, &mut || true).unwrap());
        for (k, (s, t)) in a.score.iter().zip(&b.score).enumerate() {
            assert!((s - t).abs() < 1e-7 * (1.0 + s.abs()), "{k}: {s} {t}");
            for l in 0..theta.len() {
                let (s, t) = (a.information[(k, l)], b.information[(k, l)]);
                assert!((s - t).abs() < 1e-7 * (1.0 + s.abs()), "{k} {l}: {s} {t}");
            }
        }
    }
}

/// A factor that says again what another says is left out, and changes nothing.
#[test]
fn the_same_said_twice_changes_nothing() {
    let mut problem = lambs(&mut Dice(11), 2.0, 3.0);
    let of: Vec<u32> = (0..130).map(|i| i % 3).collect();
    let factor = |name: &str| Factor {
        name: name.into(),
        levels: ["a", "b", "c", "unused"].map(String::from).to_vec(),
        of: of.clone(),
    };
    problem.fixed = vec![factor("pen")];
    let once = go(&problem);
    problem.fixed.push(factor("group"));
    let twice = go(&problem);
    assert!((once.log_likelihood - twice.log_likelihood).abs() < 1e-9);
    assert!((once.ratios[0].value - twice.ratios[0].value).abs() < 1e-9);
    assert!(twice.fixed.iter().filter(|f| f.of == "group").all(|f| f.value == 0.0));
}
