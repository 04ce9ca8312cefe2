//! A second way to the same breeding values, as plain as can be: generalised least squares on V = Z·G·Zᵀ + R, all
//! dense, nothing shared with the program.

use hirsel_core::reckon::evaluation::Problem;
use hirsel_core::reckon::kinship::NONE;

type Matrix = Vec<Vec<f64>>;

/// Relationship by the tabular rules (Henderson 1976).
pub fn relationship(parents: &[[u32; 2]]) -> Matrix {
    let n = parents.len();
    let mut a = vec![vec![0.0; n]; n];
    for i in 0..n {
        let [s, d] = parents[i];
        let shared = |row: &Vec<f64>| {
            let half = |p: u32| if p == NONE { 0.0 } else { 0.5 * row[p as usize] };
            half(s) + half(d)
        };
        let above: Vec<f64> = a[..i].iter().map(shared).collect();
        for (j, v) in above.into_iter().enumerate() {
            a[i][j] = v;
            a[j][i] = v;
        }
        a[i][i] = 1.0 + if s == NONE || d == NONE { 0.0 } else { 0.5 * a[s as usize][d as usize] };
    }
    a
}

/// What generalised least squares says: fitted fixed part of each record, and of each block its levels' values and
/// prediction error variances, the effects of one level side by side.
pub struct Dense {
    /// X·b by record.
    pub fixed: Vec<f64>,
    /// Values by block.
    pub values: Vec<Vec<f64>>,
    /// Prediction error variances by block.
    pub pev: Vec<Vec<f64>>,
}

/// Solves a small problem so: V⁻¹ by Gauss and Jordan, fixed effects by dropping columns that depend on others.
pub fn solve(p: &Problem) -> Dense {
    let n = p.records.len();
    let covariances: Vec<Matrix> = p
        .blocks
        .iter()
        .map(|b| {
            let k = b.effects.len();
            let a = b.pedigree.as_ref().map(|p| relationship(p.parents()));
            (0..b.levels * k)
                .map(|i| {
                    (0..b.levels * k)
                        .map(|j| {
                            let of = match &a {
                                Some(a) => a[i / k][j / k],
                                None => f64::from(u8::from(i / k == j / k)),
                            };
                            of * b.variance[i % k * k + j % k]
                        })
                        .collect()
                })
                .collect()
        })
        .collect();
    let z: Vec<Matrix> = p
        .blocks
        .iter()
        .map(|b| {
            let k = b.effects.len();
            (0..n)
                .map(|r| {
                    let mut row = vec![0.0; b.levels * k];
                    for (e, effect) in b.effects.iter().enumerate() {
                        if let Some(l) = effect.of[r] {
                            row[l as usize * k + e] += 1.0;
                        }
                    }
                    row
                })
                .collect()
        })
        .collect();
    let mut v = vec![vec![0.0; n]; n];
    (0..n).for_each(|i| v[i][i] = p.residual);
    for (g, z) in covariances.iter().zip(&z) {
        add(&mut v, &times(&times(z, g), &turned(z)));
    }
    let v = inverse(v);
    let mut x: Matrix = Vec::new();
    let mut columns: Matrix = p
        .fixed
        .iter()
        .flat_map(|f| {
            (0..f.levels.len()).map(|l| f.of.iter().map(|o| f64::from(u8::from(*o as usize == l))).collect())
        })
        .collect();
    if columns.is_empty() {
        columns.push(vec![1.0; n]);
    }
    columns.extend(p.slopes.iter().map(|s| s.1.clone()));
    // Columns that depend on earlier ones are left out: what is left of them is nothing (Gram and Schmidt).
    let mut unit: Matrix = Vec::new();
    for c in columns {
        let mut left = c.clone();
        for _ in 0..2 {
            for u in &unit {
                let by = dot(u, &left);
                left.iter_mut().zip(u).for_each(|(l, u)| *l -= by * u);
            }
        }
        let length = dot(&left, &left).sqrt();
        if length > 1e-7 * dot(&c, &c).sqrt() && length > 0.0 {
            unit.push(left.iter().map(|l| l / length).collect());
            x.push(c);
        }
    }
    let x = turned(&x);
    let xv = times(&turned(&x), &v);
    let c = inverse(times(&xv, &x));
    let b = apply(&c, &apply(&xv, &p.records));
    let fixed = apply(&x, &b);
    let left: Vec<f64> = p.records.iter().zip(&fixed).map(|(y, f)| y - f).collect();
    let left = apply(&v, &left);
    // P = V⁻¹ − V⁻¹X(XᵀV⁻¹X)⁻¹XᵀV⁻¹; PEV = G − GZᵀPZG.
    let mut projection = v;
    let mut part = times(&times(&turned(&xv), &c), &xv);
    part.iter_mut().flatten().for_each(|v| *v = -*v);
    add(&mut projection, &part);
    let (mut values, mut pev) = (Vec::new(), Vec::new());
    for (g, z) in covariances.iter().zip(&z) {
        let gz = times(g, &turned(z));
        values.push(apply(&gz, &left));
        let gone = times(&times(&gz, &projection), &turned(&gz));
        pev.push((0..g.len()).map(|i| g[i][i] - gone[i][i]).collect());
    }
    Dense { fixed, values, pev }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn apply(a: &Matrix, x: &[f64]) -> Vec<f64> {
    a.iter().map(|row| dot(row, x)).collect()
}

fn add(a: &mut Matrix, b: &Matrix) {
    a.iter_mut().flatten().zip(b.iter().flatten()).for_each(|(a, b)| *a += b);
}

fn turned(a: &Matrix) -> Matrix {
    let columns = a.first().map_or(0, Vec::len);
    (0..columns).map(|j| a.iter().map(|row| row[j]).collect()).collect()
}

fn times(a: &Matrix, b: &Matrix) -> Matrix {
    let columns = b.first().map_or(0, Vec::len);
    let mut c = vec![vec![0.0; columns]; a.len()];
    for (row, to) in a.iter().zip(&mut c) {
        for (v, from) in row.iter().zip(b).filter(|(v, _)| **v != 0.0) {
            to.iter_mut().zip(from).for_each(|(t, f)| *t += v * f);
        }
    }
    c
}

fn inverse(mut a: Matrix) -> Matrix {
    let n = a.len();
    let mut b: Matrix = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    for i in 0..n {
        let best = (i..n).max_by(|p, q| a[*p][i].abs().total_cmp(&a[*q][i].abs())).unwrap_or(i);
        a.swap(i, best);
        b.swap(i, best);
        let pivot = a[i][i];
        a[i].iter_mut().chain(&mut b[i]).for_each(|v| *v /= pivot);
        let (own, other) = (a[i].clone(), b[i].clone());
        for r in (0..n).filter(|r| *r != i) {
            let by = a[r][i];
            if by != 0.0 {
                a[r].iter_mut().zip(&own).for_each(|(v, o)| *v -= by * o);
                b[r].iter_mut().zip(&other).for_each(|(v, o)| *v -= by * o);
            }
        }
    }
    b
}
