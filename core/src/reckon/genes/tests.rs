//! The small rules of inheritance, every genotype counted by hand, and results that cannot be.

use super::locus::{Locus, Set, members};
use super::net::Folk;
use super::solve::Solved;
use super::{exact, iterate};
use crate::reckon::kinship::{NONE, Pedigree};
use std::sync::Arc;

const N: u32 = NONE;

fn folk(parents: &[[u32; 2]]) -> Arc<Folk> {
    let mut p = Pedigree::default();
    for [s, d] in parents {
        p.push(*s, *d);
    }
    Arc::new(Folk::of(&p))
}

fn solved(parents: &[[u32; 2]], q: f64, said: &[(usize, Set)]) -> Solved {
    let mut all = vec![7; parents.len()];
    said.iter().for_each(|(at, set)| all[*at] = *set);
    Solved::of(Locus::new(vec![1.0 - q, q]), &folk(parents), all)
}

#[track_caller]
fn near(a: &[f64], b: &[f64]) {
    assert!(a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-12), "{a:?} and {b:?}");
}

const PAIR: [[u32; 2]; 3] = [[N, N], [N, N], [0, 1]];

/// Genetics notes, small rules: two carriers, healthy lambs, and founders by Hardy and Weinberg.
#[test]
fn small_rules() {
    let s = solved(&PAIR, 0.1, &[(0, 2), (1, 2)]);
    near(s.chances(2), &[0.25, 0.5, 0.25]);
    near(&s.lambs(0, &[1])[0].0, &[0.25, 0.5, 0.25]);
    near(solved(&PAIR, 0.1, &[(0, 2), (1, 2), (2, 3)]).chances(2), &[1.0 / 3.0, 2.0 / 3.0, 0.0]);
    near(solved(&PAIR, 0.1, &[(0, 2), (1, 1), (2, 3)]).chances(2), &[0.5, 0.5, 0.0]);
    near(solved(&PAIR, 0.1, &[]).chances(0), &[0.81, 0.18, 0.01]);
    // A lamb of two unknown founders is as they are.
    near(solved(&PAIR, 0.1, &[]).chances(2), &[0.81, 0.18, 0.01]);
}

/// Two healthy full sibs of an affected lamb: each a carrier with 2/3, and a lamb of theirs affected with 1/9.
#[test]
fn sibs_of_an_affected_lamb() {
    let sibs = [[N, N], [N, N], [0, 1], [0, 1], [0, 1], [3, 4]];
    let s = solved(&sibs, 0.02, &[(0, 3), (1, 3), (2, 4), (3, 3), (4, 3)]);
    near(&[s.chances(3)[1], s.chances(4)[1]], &[2.0 / 3.0, 2.0 / 3.0]);
    near(&[s.chances(5)[2]], &[1.0 / 9.0]);
    let (lamb, exact) = &s.lambs(3, &[4])[0];
    near(&lamb[2..], &[1.0 / 9.0]);
    assert!(exact);
}

/// Relations share what nobody knows of them: a lamb of half sibs of a sire nobody tested is affected with
/// q² + q(1 − q)/8, more often than their own chances alone tell (Wright 1922: F is 1/8).
#[test]
fn kin_is_taken_together() {
    let half = [[N, N], [N, N], [N, N], [0, 1], [0, 2]];
    let q = 0.1;
    let s = solved(&half, q, &[]);
    let (lamb, exact) = &s.lambs(3, &[4])[0];
    near(&lamb[2..], &[q * q + q * (1.0 - q) / 8.0]);
    assert!(exact);
    assert_eq!(s.lambs(3, &[4, 1]).len(), 2);
    near(&s.lambs(3, &[1])[0].0, &s.lambs(1, &[3])[0].0);
}

struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u32) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 33) as u32 % n.max(1)
    }
}

/// Every genotype of every animal, one assignment after the other.
fn by_hand(locus: &Locus, parents: &[[u32; 2]], said: &[Set]) -> Option<Vec<Vec<f64>>> {
    let n = parents.len();
    let mut sums = vec![vec![0.0; locus.len()]; n];
    let mut whole = 0.0;
    let mut is = vec![0usize; n];
    loop {
        let mut p = 1.0;
        for (i, [s, d]) in parents.iter().enumerate() {
            let of = |x: u32| (x != N).then(|| is[x as usize]);
            p *= if said[i] & (1 << is[i]) == 0 { 0.0 } else { locus.lamb(is[i], of(*s), of(*d)) };
            if p == 0.0 {
                break;
            }
        }
        whole += p;
        is.iter().enumerate().for_each(|(i, g)| sums[i][*g] += p);
        let mut at = 0;
        loop {
            if at == n {
                let made = sums.into_iter().map(|s| s.into_iter().map(|x| x / whole).collect());
                return (whole > 0.0).then(|| made.collect());
            }
            is[at] += 1;
            if is[at] < locus.len() {
                break;
            }
            is[at] = 0;
            at += 1;
        }
    }
}

fn by_chance(dice: &mut Dice, n: u32) -> Vec<[u32; 2]> {
    let pick = |dice: &mut Dice, i: u32, parity: u32| {
        let at = dice.below(i.max(1));
        if i == 0 || at % 2 != parity || dice.below(5) == 0 { N } else { at }
    };
    (0..n).map(|i| [pick(dice, i, 0), pick(dice, i, 1)]).collect()
}

#[test]
fn the_same_as_every_assignment_counted() {
    let (mut loops, mut impossible, mut trees) = (0, 0, 0);
    for seed in 1..=400u64 {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        let n = 3 + dice.below(7);
        let parents = by_chance(&mut dice, n);
        let q = 0.02 + f64::from(dice.below(40)) / 100.0;
        let locus = Locus::new(vec![1.0 - q, q]);
        let said: Vec<Set> = (0..n).map(|_| [7, 7, 7, 3, 1, 2, 4][dice.below(7) as usize]).collect();
        let folk = folk(&parents);
        let hand = by_hand(&locus, &parents, &said);
        let s = Solved::of(locus.clone(), &folk, said.clone());
        let Some(hand) = hand else {
            impossible += 1;
            clash_is_small(&locus, &parents, &said, &s.clashes);
            continue;
        };
        assert!(s.clashes.is_empty(), "seed {seed}: {:?}", s.clashes);
        for at in 0..n {
            near(s.chances(at), &hand[at as usize]);
        }
        // A lamb of any two is as it would be, were it in the pedigree.
        let (a, b) = (dice.below(n), dice.below(n));
        if a != b {
            let mut more = parents.clone();
            more.push([a, b]);
            let mut said = said.clone();
            said.push(7);
            let lamb = by_hand(&locus, &more, &said).unwrap();
            let (got, exact) = &s.lambs(a, &[b])[0];
            near(got, &lamb[n as usize]);
            assert!(exact);
        }
        // By iteration: the same without loops, near it with them.
        let mut left = said.clone();
        folk.settle(&locus, &mut left).unwrap();
        for group in folk.groups(&left) {
            let (found, tree) = iterate::marginals(&locus, &folk, &group, &left).unwrap();
            trees += usize::from(tree);
            loops += usize::from(!tree);
            for (at, got) in group.iter().zip(found) {
                let off = got.iter().zip(&hand[*at as usize]).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                assert!(off < if tree { 1e-9 } else { 0.35 }, "seed {seed}: off by {off}");
            }
        }
    }
    assert!(loops > 20 && impossible > 20 && trees > 50, "{loops} {impossible} {trees}");
}

/// Every set named is impossible by itself, and possible without any one of it.
fn clash_is_small(locus: &Locus, parents: &[[u32; 2]], said: &[Set], clashes: &[Vec<u32>]) {
    assert!(!clashes.is_empty());
    let possible = |of: &[u32]| {
        let mut some = vec![7; said.len()];
        of.iter().for_each(|at| some[*at as usize] = said[*at as usize]);
        by_hand(locus, parents, &some).is_some()
    };
    for clash in clashes {
        assert!(!possible(clash), "{clash:?} of {said:?}");
        for i in 0..clash.len() {
            let mut less = clash.clone();
            less.remove(i);
            assert!(possible(&less), "{clash:?} without one of {said:?}");
        }
    }
}

/// Five alleles: parents' genotypes give the lambs', and those of the untested come through the pedigree.
#[test]
fn five_alleles() {
    let locus = Locus::new(vec![0.3, 0.4, 0.1, 0.1, 0.1]);
    assert_eq!(locus.len(), 15);
    for seed in 1..=30u64 {
        let mut dice = Dice(seed * 77_777 + 1);
        let parents = by_chance(&mut dice, 4);
        let mut said = vec![locus.all(); 4];
        said[dice.below(4) as usize] = 1 << dice.below(15);
        said[dice.below(4) as usize] &= 0x1_57F3;
        let hand = by_hand(&locus, &parents, &said);
        let s = Solved::of(locus.clone(), &folk(&parents), said);
        if let Some(hand) = hand {
            (0..4).for_each(|at| near(s.chances(at), &hand[at as usize]));
        }
    }
    let all = locus.all();
    let pair = Solved::of(locus.clone(), &folk(&PAIR), vec![1 << locus.of(0, 1), 1 << locus.of(0, 4), all]);
    for g in [locus.of(0, 0), locus.of(0, 4), locus.of(0, 1), locus.of(1, 4)] {
        near(&[pair.chances(2)[g]], &[0.25]);
    }
}

/// A clear ewe cannot have an affected lamb, whatever else is written; the others stay as they are.
#[test]
fn a_clash_is_named_and_left_out() {
    let parents = [[N, N], [N, N], [0, 1], [0, 1], [N, N]];
    let s = solved(&parents, 0.1, &[(1, 1), (2, 4), (0, 2), (4, 2)]);
    assert_eq!(s.clashes, [vec![1, 2]]);
    near(s.chances(4), &[0.0, 1.0, 0.0]);
    near(s.chances(0), &[0.0, 1.0, 0.0]);
    assert!(!s.told(1) && s.told(0));
}

/// Two rams with many ewes, all lambs of all, mated again and again: too wide, and said to be.
#[test]
fn what_is_too_wide_is_said_to_be_approximate() {
    let mut parents: Vec<[u32; 2]> = vec![[N, N]; 40];
    for generation in 0..4u32 {
        let from = generation * 40;
        for i in 0..40u32 {
            parents.push([from + i * 7 % 40, from + (i * 11 + 3) % 40]);
        }
    }
    // Ends in carriers: everyone above counts.
    let n = parents.len() as u32;
    let said: Vec<(usize, Set)> = (n - 30..n).map(|at| (at as usize, 2)).collect();
    let s = solved(&parents, 0.1, &said);
    assert!(!s.exact(0) && s.exact(n - 1));
    let p = s.chances(0);
    assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    let locus = Locus::new(vec![0.9, 0.1]);
    let mut left = vec![7; parents.len()];
    said.iter().for_each(|(at, set)| left[*at] = *set);
    let f = folk(&parents);
    f.settle(&locus, &mut left).unwrap();
    let group: Vec<u32> = f.groups(&left).concat();
    assert_eq!(exact::marginals(&locus, &f, &group, &left).err(), Some(exact::Failed::TooWide));
    assert!(members(left[0]).count() == 3);
}

#[test]
#[ignore]
fn timing() {
    for (n, t) in [(2_000u32, 60), (2_000, 600), (100_000, 60), (100_000, 2_000)] {
        let mut dice = Dice(99);
        let size = n / 20;
        let parents: Vec<[u32; 2]> = (0..n)
            .map(|i| {
                let g = i / size;
                if g == 0 {
                    return [N, N];
                }
                let base = (g - 1) * size;
                [base + dice.below(size / 25 + 2) * 2 % size, base + dice.below(size)]
            })
            .collect();
        let mut said = vec![7; n as usize];
        // Real genotypes, dropped through.
        let locus = Locus::new(vec![0.9, 0.1]);
        let mut is = vec![0usize; n as usize];
        for i in 0..n as usize {
            let a = |p: u32, dice: &mut Dice| {
                if p == N {
                    u8::from(dice.below(10) == 0)
                } else {
                    locus.genotypes[is[p as usize]][dice.below(2) as usize]
                }
            };
            let (x, y) = (a(parents[i][0], &mut dice), a(parents[i][1], &mut dice));
            is[i] = locus.of(x, y);
        }
        for _ in 0..t {
            let at = (n - 1 - dice.below(n / 3)) as usize;
            said[at] = 1 << is[at];
        }
        let f = folk(&parents);
        let start = std::time::Instant::now();
        let s = Solved::of(locus, &f, said);
        let exact = (0..n).filter(|i| s.exact(*i)).count();
        eprintln!("{n} {t}: {:?} exact {exact} clashes {}", start.elapsed(), s.clashes.len());
    }
}
