//! Kinship beside a plain tabular reckoning, and the printed examples.

use super::*;

/// The tabular method as it is printed: a(i,j) = ½(a(j,s) + a(j,d)), a(i,i) = 1 + ½·a(s,d) (Henderson 1976).
pub(super) fn tabular(p: &Pedigree) -> Vec<Vec<f64>> {
    let n = p.len();
    let mut a = vec![vec![0.0; n]; n];
    for i in 0..n {
        let [s, d] = p.parents()[i];
        let row: Vec<f64> = a[..i]
            .iter()
            .map(|of| [s, d].iter().filter(|p| **p != NONE).map(|p| 0.5 * of[*p as usize]).sum())
            .collect();
        for (j, v) in row.into_iter().enumerate() {
            a[i][j] = v;
            a[j][i] = v;
        }
        let own = if s == NONE || d == NONE { 0.0 } else { 0.5 * a[s as usize][d as usize] };
        a[i][i] = 1.0 + own;
    }
    a
}

/// A pedigree by chance: parents among those before, some unknown.
pub(super) fn by_chance(seed: u64, n: u32) -> Pedigree {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut next = move |below: u32| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 33) as u32 % below.max(1)
    };
    let mut p = Pedigree::default();
    for i in 0..n {
        // Even places are rams, odd ones ewes; matings are often repeated and often close.
        let near = 2 + next(30);
        let pick = |next: &mut dyn FnMut(u32) -> u32, parity: u32| {
            let from = i.saturating_sub(near);
            let at = from + next(i - from);
            let at = if at % 2 == parity { at } else { at.wrapping_sub(1) };
            if at >= i || next(6) == 0 { NONE } else { at }
        };
        let (s, d) = if i == 0 { (NONE, NONE) } else { (pick(&mut next, 0), pick(&mut next, 1)) };
        p.push(s, d);
    }
    p
}

#[test]
fn the_same_as_the_tabular_method() {
    for seed in 1..=200u64 {
        let p = by_chance(seed, 20 + (seed as u32 * 7) % 180);
        let a = tabular(&p);
        for threads in [1, 2] {
            let f = inbreeding(&p, threads);
            for (i, f) in f.iter().enumerate() {
                assert!(
                    (a[i][i] - 1.0 - f).abs() < 1e-12,
                    "seed {seed}, animal {i}: {f} and {}",
                    a[i][i] - 1.0
                );
            }
        }
        let kin = Kin::of(p, 1);
        let n = kin.pedigree.len() as u32;
        let others: Vec<u32> = (0..n).collect();
        let one = (seed as u32 * 31) % n;
        for (i, f) in kin.with_each(one, &others).iter().enumerate() {
            assert!((f - 0.5 * a[one as usize][i]).abs() < 1e-12);
        }
        let mut x = vec![0.0; n as usize];
        x[one as usize] = 2.0;
        for (i, w) in kin.times(&x).iter().enumerate() {
            assert!((w - 2.0 * a[one as usize][i]).abs() < 1e-12);
        }
    }
}

#[test]
fn a_lamb_more_is_as_if_it_had_always_been_there() {
    let p = by_chance(7, 150);
    let mut grown = Kin::of(p.clone(), 1);
    let (place, f) = grown.lamb(148, 147);
    let mut whole = p;
    whole.push(148, 147);
    let again = Kin::of(whole, 1);
    assert_eq!(place, 150);
    assert!((f - again.f[150]).abs() < 1e-15);
}

/// Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1.
#[test]
fn mrodes_pedigree() {
    let n = |x: u32| if x == 0 { NONE } else { x - 1 };
    let (sires, dams) = ([0, 0, 1, 1, 4, 5], [0, 0, 2, 0, 3, 2]);
    let given: Vec<[u32; 2]> = sires.iter().zip(dams).map(|(s, d)| [n(*s), n(d)]).collect();
    let (p, place) = Pedigree::ordered(&given).unwrap();
    let f = inbreeding(&p, 1);
    let expected = [0.0, 0.0, 0.0, 0.0, 0.125, 0.125];
    for (i, e) in expected.iter().enumerate() {
        assert!((f[place[i] as usize] - e).abs() < 1e-15);
    }
}

/// Repeated mating of full sibs from unrelated parents: 0, .25, .375, .5, .59375 (genetics notes, Wright 1922).
#[test]
fn full_sibs_again_and_again() {
    let mut p = Pedigree::default();
    let (mut s, mut d) = (p.push(NONE, NONE), p.push(NONE, NONE));
    let mut of = Vec::new();
    for _ in 0..6 {
        let both = (p.push(s, d), p.push(s, d));
        of.push(both.0);
        (s, d) = both;
    }
    let f = inbreeding(&p, 1);
    let got: Vec<f64> = of.iter().map(|i| f[*i as usize]).collect();
    for (g, e) in got.iter().zip([0.0, 0.25, 0.375, 0.5, 0.59375]) {
        assert!((g - e).abs() < 1e-15, "{got:?}");
    }
}

#[test]
fn sizes_by_sexes() {
    // Wright 1931.
    for (m, f, ne) in [(10, 10, 20.0), (1, 10, 40.0 / 11.0), (25, 25, 50.0)] {
        assert!((size_by_sexes(m, f) - ne).abs() < 1e-12);
    }
}

/// Boichard, Maignel and Verrier 1997, figure 2, with the reference animals 7–14, 19 and 20: effective ancestors as
/// published; the rest as computed in the genetics notes.
#[test]
fn boichards_figure_2() {
    let text = include_str!("../../../../tests/reference/boichard_1997_fig2.csv");
    let rows: Vec<Vec<usize>> =
        text.lines().skip(1).map(|l| l.split(',').map(|c| c.trim().parse().unwrap_or(0)).collect()).collect();
    let at = |x: usize| if x == 0 { NONE } else { x as u32 - 1 };
    let given: Vec<[u32; 2]> = rows.iter().map(|r| [at(r[1]), at(r[2])]).collect();
    let (p, place) = Pedigree::ordered(&given).unwrap();
    let set: Vec<u32> = (7..=14).chain([19, 20]).map(|x| place[x - 1]).collect();
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} and {b}");
    let shares = founder_shares(&p, &set);
    close(shares.iter().map(|s| s.share).sum(), 1.0);
    for (founder, share) in [(1, 0.2), (2, 0.2), (3, 0.2), (4, 0.2), (15, 0.1), (16, 0.1)] {
        close(shares.iter().find(|s| s.place == place[founder - 1]).unwrap().share, share);
    }
    close(founder_equivalents(&shares), 1.0 / 0.18);
    let ancestors = ancestor_shares(&p, &set, 100);
    close(effective_ancestors(&ancestors), 1.0 / 0.34);
    close(ancestors.iter().map(|a| a.share).sum(), 1.0);
    let kin = Kin::of(p.clone(), 1);
    close(kin.mean_coancestry(&set), 0.2);
    close(founder_genomes(&kin, &set), 2.5);
    close(set.iter().map(|i| kin.f[*i as usize]).sum::<f64>() / 10.0, 0.05);
    let depth = complete_generations(&p);
    for i in &set {
        close(depth[*i as usize], 2.0);
        close(completeness(&p, *i, 2), 1.0);
    }
}

/// Shares sum to 1 whatever parents are unknown, and effective ancestors are never more than founder equivalents.
#[test]
fn shares_are_whole_and_ancestors_no_more_than_founders() {
    for seed in 1..40 {
        let p = by_chance(seed, 120);
        let set: Vec<u32> = (90..120).collect();
        let shares = founder_shares(&p, &set);
        assert!((shares.iter().map(|s| s.share).sum::<f64>() - 1.0).abs() < 1e-9, "seed {seed}");
        let ancestors = ancestor_shares(&p, &set, usize::MAX);
        assert!((ancestors.iter().map(|a| a.share).sum::<f64>() - 1.0).abs() < 1e-9, "seed {seed}");
        assert!(effective_ancestors(&ancestors) <= founder_equivalents(&shares) + 1e-9, "seed {seed}");
    }
}

/// Taking each animal out of the set by hand gives the same losses.
#[test]
fn losses_are_what_taking_out_does() {
    for seed in 1..20 {
        let kin = Kin::of(by_chance(seed, 100), 1);
        let set: Vec<u32> = (70..100).collect();
        let now = founder_genomes(&kin, &set);
        for loss in losses(&kin, &set) {
            let rest: Vec<u32> = set.iter().copied().filter(|i| *i != loss.place).collect();
            let expected = founder_genomes(&kin, &rest) - now;
            assert!((loss.genomes - expected).abs() < 1e-9, "seed {seed}: {} and {expected}", loss.genomes);
        }
    }
}

/// Two parents, a son of two and a daughter of four years: by hand.
#[test]
fn intervals_by_path() {
    let mut p = Pedigree::default();
    let ram = p.push(NONE, NONE);
    let ewe = p.push(NONE, NONE);
    let son = p.push(ram, ewe);
    let daughter = p.push(ram, ewe);
    p.push(son, daughter);
    let year = |y: i64, male: bool| Born { day: Some(y * 1461 / 4), male };
    let born = [year(0, true), year(0, false), year(2, true), year(4, false), year(8, true)];
    let i = generation_interval(&p, &born);
    let years: Vec<Option<f64>> = i.paths.iter().map(|p| p.map(|(y, _)| (y * 10.0).round() / 10.0)).collect();
    // The last lamb has no lamb of its own: it does not count.
    assert_eq!(years, [Some(2.0), Some(4.0), Some(2.0), Some(4.0)]);
    assert!((i.mean.unwrap() - 3.0).abs() < 1e-2);
}
