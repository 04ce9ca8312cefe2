//! The sparse Cholesky factor of a symmetric matrix: solutions, determinant, and the inverse where the factor has
//! entries.
//!
//! `Order::of(&matrix)` finds an order with little fill; it serves every matrix of the same pattern, so for other
//! variances only `order.factor(&matrix)` is done again.

use super::{Symmetric, Unfit};
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::matmul::matmul;
use faer::linalg::triangular_inverse::invert_lower_triangular;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::supernodal::{SupernodalLltRef, SymbolicSupernodalCholesky};
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymbolicCholeskyRaw, SymmetricOrdering,
    factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Accum, Conj, Mat, MatMut, MatRef, Par, Side};
use std::sync::Arc;

/// An order of elimination with little fill (approximate minimum degree), and where the factor has entries.
#[derive(Debug, Clone)]
pub struct Order {
    symbolic: Arc<SymbolicCholesky<u32>>,
    entries: usize,
    work: f64,
}

impl Order {
    /// Finds it.
    ///
    /// # Errors
    /// The factor would have more entries than can be numbered, or there is no memory.
    pub fn of(matrix: &Symmetric) -> Result<Self, Unfit> {
        let params = CholeskySymbolicParams {
            // Blocks of columns always, even of a diagonal.
            supernodal_flop_ratio_threshold: SupernodalThreshold(-1.0),
            ..Default::default()
        };
        let symbolic =
            factorize_symbolic_cholesky(pattern(matrix), Side::Upper, SymmetricOrdering::Amd, params)
                .map_err(|_| too_great())?;
        let s = supernodes(&symbolic)?;
        let entries = s.len_val();
        let work = (0..s.n_supernodes())
            .map(|i| {
                let (w, r) = (width(s, i) as f64, s.supernode(i).pattern().len() as f64);
                w * w * w / 3.0 + w * w * r + w * r * r
            })
            .sum();
        Ok(Self { symbolic: Arc::new(symbolic), entries, work })
    }

    /// Entries of the factor, eight bytes each.
    pub fn entries(&self) -> usize {
        self.entries
    }

    /// Additions and multiplications of one factorisation.
    pub fn work(&self) -> f64 {
        self.work
    }

    /// The factor of a matrix of the same pattern.
    ///
    /// # Errors
    /// The matrix is not positive definite, or there is no memory.
    pub fn factor(&self, matrix: &Symmetric) -> Result<Factored, Unfit> {
        let symbolic = &self.symbolic;
        let needs = symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, Default::default());
        let mut memory = MemBuffer::try_new(needs).map_err(|_| too_great())?;
        let mut values = Vec::new();
        values.try_reserve_exact(symbolic.len_val()).map_err(|_| too_great())?;
        values.resize(symbolic.len_val(), 0.0);
        let a = SparseColMatRef::new(pattern(matrix), &matrix.values);
        let stack = MemStack::new(&mut memory);
        let none = Default::default();
        match symbolic.factorize_numeric_llt(
            &mut values,
            a,
            Side::Upper,
            none,
            Par::Seq,
            stack,
            Default::default(),
        ) {
            Ok(_) => {}
            Err(_) => {
                return Err(Unfit::NoAnswer(
                    "the equations have no single answer: fixed effects or variances are too much alike, so leave one out"
                        .into(),
                ));
            }
        }
        Ok(Factored { symbolic: symbolic.clone(), values })
    }
}

fn supernodes(symbolic: &SymbolicCholesky<u32>) -> Result<&SymbolicSupernodalCholesky<u32>, Unfit> {
    match symbolic.raw() {
        SymbolicCholeskyRaw::Supernodal(s) => Ok(s),
        SymbolicCholeskyRaw::Simplicial(_) => Err(Unfit::NoAnswer("the equations have no order".into())),
    }
}

fn pattern(m: &Symmetric) -> SymbolicSparseColMatRef<'_, u32> {
    SymbolicSparseColMatRef::new_checked(m.len(), m.len(), &m.starts, None, &m.rows)
}

fn too_great() -> Unfit {
    Unfit::NoAnswer(
        "the equations are too many for this machine's memory: take fewer years or animals".into(),
    )
}

/// A Cholesky factor.
#[derive(Debug, Clone)]
pub struct Factored {
    symbolic: Arc<SymbolicCholesky<u32>>,
    values: Vec<f64>,
}

impl Factored {
    /// The solution of matrix · x = right.
    ///
    /// # Errors
    /// There is no memory.
    pub fn solve(&self, right: &[f64]) -> Result<Vec<f64>, Unfit> {
        let mut x = right.to_vec();
        let needs = self.symbolic.solve_in_place_scratch::<f64>(1, Par::Seq);
        let mut memory = MemBuffer::try_new(needs).map_err(|_| too_great())?;
        let n = x.len();
        LltRef::new(&self.symbolic, &self.values).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(&mut x, n, 1),
            Par::Seq,
            MemStack::new(&mut memory),
        );
        Ok(x)
    }

    /// The natural logarithm of the determinant.
    ///
    /// # Errors
    /// None that a caller can cause.
    pub fn log_det(&self) -> Result<f64, Unfit> {
        let s = supernodes(&self.symbolic)?;
        let l = SupernodalLltRef::new(s, &self.values);
        let of = |i: usize| {
            let (l, w) = (l.supernode(i).val(), width(s, i));
            (0..w).map(|c| l[(c, c)].ln()).sum::<f64>()
        };
        Ok(2.0 * (0..s.n_supernodes()).map(of).sum::<f64>())
    }

    /// The inverse where the factor has entries: the diagonal, every entry of the matrix, and those the fill added
    /// (Takahashi, Fagan and Chin 1973; Erisman and Tinney 1975; here block by block of columns of one pattern).
    ///
    /// # Errors
    /// Stopped (`go_on` answered no; it is told the part done), or no memory.
    pub fn inverse(&self, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Selected, Unfit> {
        let s = supernodes(&self.symbolic)?;
        let l = SupernodalLltRef::new(s, &self.values);
        let mut z = Selected::empty(&self.symbolic, s, self.values.len())?;
        let n = s.n_supernodes();
        let (mut pairs, mut seen) = (Vec::new(), Vec::new());
        for i in (0..n).rev() {
            if i % 64 == 0 && !go_on(1.0 - i as f64 / n as f64) {
                return Err(Unfit::Stopped);
            }
            let (w, node) = (width(s, i), l.supernode(i));
            let l = node.val();
            let r = l.nrows() - w;
            let mut own = Mat::<f64>::zeros(w, w);
            invert_lower_triangular(own.as_mut(), l.get(..w, ..), Par::Seq);
            let mut top = Mat::<f64>::zeros(w, w);
            matmul(top.as_mut(), Accum::Replace, own.transpose(), own.as_ref(), 1.0, Par::Seq);
            let mut below = Mat::<f64>::zeros(r, w);
            if r > 0 {
                let (order, rows) = z.below(i);
                let l21 = Mat::from_fn(r, w, |a, b| l[(w + order[a] as usize, b)]);
                let mut y = Mat::<f64>::zeros(r, w);
                matmul(y.as_mut(), Accum::Replace, l21.as_ref(), own.as_ref(), 1.0, Par::Seq);
                pairs.clear();
                pairs.resize(r * r, 0.0);
                z.pairs(rows, &mut pairs, &mut seen)?;
                let zrr = MatRef::from_column_major_slice(&pairs, r, r);
                matmul(below.as_mut(), Accum::Replace, zrr, y.as_ref(), -1.0, Par::Seq);
                matmul(top.as_mut(), Accum::Add, y.transpose(), below.as_ref(), -1.0, Par::Seq);
            }
            let from = z.value[i] as usize;
            for c in 0..w {
                let column = &mut z.values[from + c * (w + r)..from + (c + 1) * (w + r)];
                (0..w).for_each(|a| column[a] = top[(a, c)]);
                (0..r).for_each(|a| column[w + a] = below[(a, c)]);
            }
        }
        Ok(z)
    }
}

fn width(s: &SymbolicSupernodalCholesky<u32>, i: usize) -> usize {
    (s.supernode_end()[i] - s.supernode_begin()[i]) as usize
}

/// A part of an inverse: where the Cholesky factor has entries.
#[derive(Debug, Clone)]
pub struct Selected {
    /// The place of each unknown in the order of elimination.
    place: Vec<u32>,
    /// The block of columns of each place.
    node: Vec<u32>,
    /// First place of each block; one more at the end.
    begin: Vec<u32>,
    /// First row of each block in `rows`; one more at the end.
    row: Vec<u32>,
    /// Rows below each block, in order, and where the factor has them.
    rows: Vec<u32>,
    order: Vec<u32>,
    /// First value of each block.
    value: Vec<u32>,
    values: Vec<f64>,
}

impl Selected {
    fn empty(
        symbolic: &SymbolicCholesky<u32>,
        s: &SymbolicSupernodalCholesky<u32>,
        len: usize,
    ) -> Result<Self, Unfit> {
        let n = s.nrows();
        let place = match symbolic.perm() {
            Some(p) => p.arrays().1.to_vec(),
            None => (0..n as u32).collect(),
        };
        let mut begin = s.supernode_begin().to_vec();
        begin.push(n as u32);
        let mut node = vec![0; n];
        let (mut row, mut rows, mut order) = (vec![0], Vec::new(), Vec::new());
        for i in 0..s.n_supernodes() {
            node[begin[i] as usize..begin[i + 1] as usize].fill(i as u32);
            let mut below: Vec<(u32, u32)> = s.supernode(i).pattern().iter().copied().zip(0..).collect();
            below.sort_unstable();
            rows.extend(below.iter().map(|b| b.0));
            order.extend(below.iter().map(|b| b.1));
            row.push(rows.len() as u32);
        }
        let mut values = Vec::new();
        values.try_reserve_exact(len).map_err(|_| too_great())?;
        values.resize(len, 0.0);
        Ok(Self { place, node, begin, row, rows, order, value: s.col_ptr_for_val().to_vec(), values })
    }

    fn below(&self, i: usize) -> (&[u32], &[u32]) {
        let range = self.row[i] as usize..self.row[i + 1] as usize;
        (&self.order[range.clone()], &self.rows[range])
    }

    /// The inverse between any two of these places, which one block has as its rows, column by column.
    fn pairs(&self, rows: &[u32], out: &mut [f64], seen: &mut Vec<usize>) -> Result<(), Unfit> {
        let r = rows.len();
        let mut first = 0;
        while first < r {
            let t = self.node[rows[first] as usize] as usize;
            let (begin, end) = (self.begin[t], self.begin[t + 1]);
            let w = (end - begin) as usize;
            let below = self.below(t).1;
            let height = w + below.len();
            let after = first + rows[first..].partition_point(|x| *x < end);
            // Where the rows from here on stand in that block.
            seen.clear();
            seen.extend(rows[first..after].iter().map(|x| (x - begin) as usize));
            let mut from = 0;
            for x in &rows[after..] {
                from += below[from..].partition_point(|b| b < x);
                if below.get(from) != Some(x) {
                    return Err(Unfit::NoAnswer("the order of the equations does not hold".into()));
                }
                seen.push(w + from);
            }
            for (a, x) in rows[first..after].iter().enumerate() {
                let start = self.value[t] as usize + (x - begin) as usize * height;
                let column = &self.values[start..start + height];
                for (b, at) in seen.iter().enumerate().skip(a) {
                    let v = column[*at];
                    out[(first + a) * r + first + b] = v;
                    out[(first + b) * r + first + a] = v;
                }
            }
            first = after;
        }
        Ok(())
    }

    /// The inverse between two unknowns; none where the factor has no entry (there it is not known, not 0).
    pub fn get(&self, i: usize, j: usize) -> Option<f64> {
        let (i, j) = (*self.place.get(i)?, *self.place.get(j)?);
        let (low, high) = (i.min(j), i.max(j));
        let t = self.node[low as usize] as usize;
        let (begin, end) = (self.begin[t], self.begin[t + 1]);
        let below = self.below(t).1;
        let w = (end - begin) as usize;
        let row = if high < end { (high - begin) as usize } else { w + below.binary_search(&high).ok()? };
        self.values.get(self.value[t] as usize + (low - begin) as usize * (w + below.len()) + row).copied()
    }

    /// The diagonal, by unknown: prediction error variances where the matrix is that of the equations.
    pub fn diagonal(&self) -> Vec<f64> {
        (0..self.place.len()).map(|i| self.get(i, i).unwrap_or(f64::NAN)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A random sparse matrix, positive definite because its diagonal outweighs the rest.
    fn random(n: usize, picks: &[(usize, usize, f64)]) -> (Symmetric, Vec<Vec<f64>>) {
        let mut dense = vec![vec![0.0; n]; n];
        for (i, j, v) in picks {
            let (i, j) = (i % n, j % n);
            if i != j {
                dense[i][j] += v;
                dense[j][i] += v;
                dense[i][i] += v.abs() + 0.01;
                dense[j][j] += v.abs() + 0.01;
            }
        }
        (0..n).for_each(|i| dense[i][i] += 0.5);
        let mut m = Symmetric { starts: vec![0], rows: vec![], values: vec![] };
        for j in 0..n {
            for (i, row) in dense.iter().enumerate().take(j + 1).filter(|(_, row)| row[j] != 0.0) {
                m.rows.push(i as u32);
                m.values.push(row[j]);
            }
            m.starts.push(m.rows.len() as u32);
        }
        (m, dense)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn its_inverse_solves_column_by_column(
            n in 1usize..40,
            picks in proptest::collection::vec((0usize..40, 0usize..40, -1.0f64..1.0), 0..120),
        ) {
            let (m, dense) = random(n, &picks);
            let factored = Order::of(&m).unwrap().factor(&m).unwrap();
            let z = factored.inverse(&mut |_| true).unwrap();
            for j in 0..n {
                let mut unit = vec![0.0; n];
                unit[j] = 1.0;
                let x = factored.solve(&unit).unwrap();
                for (i, v) in m.times(&x).iter().enumerate() {
                    prop_assert!((v - unit[i]).abs() < 1e-10);
                }
                for i in 0..n {
                    match z.get(i, j) {
                        Some(v) => prop_assert!((v - x[i]).abs() < 1e-10, "({i}, {j}): {v} and {}", x[i]),
                        None => prop_assert!(i != j && dense[i][j] == 0.0),
                    }
                }
            }
        }
    }

    #[test]
    fn determinant_and_a_matrix_that_is_none() {
        let (m, _) = random(3, &[(0, 1, 0.5)]);
        // [[1.01, .5, 0], [.5, 1.01, 0], [0, 0, .5]]
        let f = Order::of(&m).unwrap().factor(&m).unwrap();
        assert!((f.log_det().unwrap() - (0.5f64 * (1.01 * 1.01 - 0.25)).ln()).abs() < 1e-12);
        let bad = Symmetric { starts: vec![0, 1, 3], rows: vec![0, 0, 1], values: vec![1.0, 2.0, 1.0] };
        assert!(matches!(Order::of(&bad).unwrap().factor(&bad), Err(Unfit::NoAnswer(_))));
        let stopped = f.inverse(&mut |_| false);
        assert!(matches!(stopped, Err(Unfit::Stopped)));
    }
}
