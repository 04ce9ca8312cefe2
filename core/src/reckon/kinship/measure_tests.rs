//! Measures of diversity beside plain reckonings by hand.

use super::tests::{by_chance, tabular};
use super::*;

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() <= within, "{what}: {a} and {b}");
}

#[test]
fn the_matrix_of_a_set_is_the_tabular_one() {
    for seed in 1..30 {
        let p = by_chance(seed, 90);
        let a = tabular(&p);
        let set: Vec<u32> = (40..90).rev().step_by(3).collect();
        let kin = Kin::of(p, 1);
        for (row, i) in kin.matrix(&set).iter().zip(&set) {
            assert_eq!(row.len(), set.len());
            for (f, j) in row.iter().zip(&set) {
                close(*f, 0.5 * a[*i as usize][*j as usize], 1e-12, "coancestry");
            }
        }
    }
}

#[test]
fn completeness_of_all_is_that_of_each() {
    for seed in 1..20 {
        let p = by_chance(seed, 80);
        for k in [0, 1, 3, 5] {
            let all = completeness_of_all(&p, k);
            for (i, c) in all.iter().enumerate() {
                close(*c, completeness(&p, i as u32, k), 1e-12, "completeness");
            }
        }
    }
}

#[test]
fn the_ancestors_of_a_set_alone_give_the_same() {
    for seed in 1..20 {
        let p = by_chance(seed, 100);
        let set = [99, 60, 61];
        let (above, old) = p.above(&set);
        assert_eq!(old, Kin::of(p.clone(), 1).ancestors(set));
        let (whole, part) = (inbreeding(&p, 1), inbreeding(&above, 1));
        for (new, old) in old.iter().enumerate() {
            close(part[new], whole[*old as usize], 1e-15, "F");
        }
    }
}

/// The exact form by coancestry is what the gene drop nears by frequency (Caballero and Toro 2000).
#[test]
fn gene_drop_nears_the_exact_form() {
    for seed in 1..6 {
        let p = by_chance(seed, 60);
        let set: Vec<u32> = (40..60).collect();
        let exact = founder_genomes(&Kin::of(p.clone(), 1), &set);
        let drop = gene_drop(&p, &set, 5_000, seed);
        close(drop.by_frequency, exact, 0.02 * exact, "founder genomes");
        assert_eq!(drop, gene_drop(&p, &set, 5_000, seed), "the same seed, the same answer");
        assert_ne!(drop.founders, gene_drop(&p, &set, 5_000, seed + 1).founders);
        assert!((drop.founders.iter().map(|k| k.share.share).sum::<f64>() - 1.0).abs() < 1e-9);
        for k in &drop.founders {
            let most = if k.share.phantom { 0.5 } else { 1.0 };
            assert!(k.kept >= 0.0 && k.kept <= most, "{k:?}");
        }
    }
}

/// Of a founder with n offspring all genes are kept with 1 − (½)^n (by hand: a gene is lost if none got it).
#[test]
fn genes_kept_by_so_many_offspring() {
    for n in 1..6u32 {
        let mut p = Pedigree::default();
        let (ram, ewe) = (p.push(NONE, NONE), p.push(NONE, NONE));
        let set: Vec<u32> = (0..n).map(|_| p.push(ram, ewe)).collect();
        let drop = gene_drop(&p, &set, 10_000, 7);
        for k in &drop.founders {
            close(k.kept, 1.0 - 0.5f64.powi(n as i32), 0.02, "kept");
        }
    }
}

/// Lacy 1989: shares ½ ¼ ⅛ ⅛ give 32/11; with three quarters of each founder kept, 24/11 (arithmetic of the printed
/// formula; the printed pedigree was not found again).
#[test]
fn lacys_example() {
    let shares: Vec<FounderShare> = [0.5, 0.25, 0.125, 0.125]
        .iter()
        .zip(0..)
        .map(|(share, place)| FounderShare { place, phantom: false, share: *share })
        .collect();
    close(founder_equivalents(&shares), 32.0 / 11.0, 1e-12, "founder equivalents");
    let kept: Vec<Kept> = shares.iter().map(|share| Kept { share: *share, kept: 0.75 }).collect();
    close(genomes_by_kept(&kept), 24.0 / 11.0, 1e-12, "founder genomes");
}

/// Two ewes without known dams, a daughter line of the first, and a ram whose dam is not known.
#[test]
fn lines_run_through_one_sex_alone() {
    let mut p = Pedigree::default();
    let (ram, old, other) = (p.push(NONE, NONE), p.push(NONE, NONE), p.push(NONE, NONE));
    let daughter = p.push(ram, old);
    let granddaughter = p.push(ram, daughter);
    let son = p.push(ram, other);
    let last = p.push(son, granddaughter);
    let male = [true, false, false, false, false, true, true];
    let set = [ram, other, granddaughter, son, last];
    let dams = lines(&p, &male, &set, Side::Dams);
    assert_eq!(dams.unknown, 1, "the ram without a known dam");
    assert_eq!(
        dams.lines,
        [Descent { root: old, ewes: 1, rams: 1 }, Descent { root: other, ewes: 1, rams: 1 }]
    );
    let sires = lines(&p, &male, &set, Side::Sires);
    assert_eq!(sires.lines, [Descent { root: ram, ewes: 1, rams: 3 }]);
    assert_eq!((sires.unknown, sires.lines[0].carriers()), (1, 4));
}

/// Carriers beside walking up from each animal; more than 64 founders, so that there are several sweeps.
#[test]
fn carriers_are_those_that_come_down_from_a_founder() {
    for seed in 1..8 {
        let p = by_chance(seed, 400);
        let kin = Kin::of(p.clone(), 1);
        let set: Vec<u32> = (330..400).collect();
        let founders = founder_shares(&p, &set);
        let above: Vec<Vec<u32>> = set.iter().map(|i| kin.ancestors([*i])).collect();
        let c = carriers(&p, &founders, &set);
        assert!(seed > 1 || founders.len() > 64, "{}", founders.len());
        for (f, n) in founders.iter().zip(&c.of_founder) {
            assert_eq!(*n, above.iter().filter(|a| a.contains(&f.place)).count());
        }
        for (own, rarest) in above.iter().zip(&c.rarest) {
            let of = founders.iter().zip(&c.of_founder).filter(|(f, _)| own.contains(&f.place));
            let least = of.map(|(_, n)| *n).min();
            assert_eq!(rarest.map(|r| c.of_founder[r as usize]), least);
        }
    }
}

/// Inbreeding that rises by 2 % of what is left each year is found to do so, and by 1 − 0.98³ in three years.
#[test]
fn a_steady_rate_is_found() {
    let all: Vec<Cohort> = (0..8)
        .map(|t| Cohort {
            year: 2015 + t,
            born: 10 + t as usize,
            known: 10,
            inbreeding: 1.0 - 0.98f64.powi(t),
            depth: f64::from(t),
        })
        .collect();
    close(rate_per_year(&all).unwrap(), 0.02, 1e-12, "a year");
    close(rate_per_generation(0.02, 3.0), 1.0 - 0.98f64.powi(3), 1e-15, "a generation");
    assert_eq!(rate_per_year(&all[..2]), None);
    // Falconer and Mackay: Ne = 1/(2ΔF).
    assert_eq!(size_by_rate(0.01), Some(50.0));
    assert_eq!(size_by_rate(0.0), None);
    close(rate(0.1, 0.145), 0.05, 1e-12, "from one to the next");
}

#[test]
fn cohorts_count_those_whose_parents_are_known() {
    let mut p = Pedigree::default();
    let (ram, ewe) = (p.push(NONE, NONE), p.push(NONE, NONE));
    let lamb = p.push(ram, ewe);
    p.push(ram, lamb);
    p.push(NONE, lamb);
    let f = inbreeding(&p, 1);
    let years = [None, Some(2020), Some(2021), Some(2022), Some(2022)];
    let all = cohorts(&p, &f, &complete_generations(&p), &years);
    assert_eq!(all.len(), 3);
    let last = all[2];
    assert_eq!((last.year, last.born, last.known, last.inbreeding), (2022, 2, 1, 0.25));
    // (½ + ½·2 and ½·2)/2.
    close(last.depth, 1.25, 1e-15, "depth");
}

/// Gutiérrez 2009 by hand: F ¼ over 3 full generations is 1 − √¾ a generation; those of one generation do not count.
#[test]
fn increase_of_each_animal() {
    let each = 1.0 - 0.75f64.sqrt();
    let ne = size_by_individual_increase(&[0.25, 0.0, 0.9], &[3.0, 3.0, 1.0], &[0, 1, 2]).unwrap();
    close(ne, 1.0 / (2.0 * each / 2.0), 1e-12, "Ne");
    assert_eq!(size_by_individual_increase(&[0.25], &[1.0], &[0]), None);
}
