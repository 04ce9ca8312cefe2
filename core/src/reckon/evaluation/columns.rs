//! Which fixed effects can be told apart.

use super::Problem;

/// A fixed column that was left out; its value is 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dropped {
    /// The fixed effect, in words.
    pub factor: String,
    /// Its level in words; the slope's own name for a slope.
    pub level: String,
    /// It has no record at all; else the other columns tell as much, and it is what the others are measured from.
    pub empty: bool,
}

/// Columns of fixed effects, and which of them are fitted.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    /// First column of each factor; one more at the end. The mean alone is one column.
    first: Vec<usize>,
    slopes: usize,
    /// The unknown of each column.
    place: Vec<Option<u32>>,
    kept: usize,
    dropped: Vec<Dropped>,
    mean: bool,
}

/// A pivot smaller than this, beside what it was, is nothing but rounding.
const NOTHING: f64 = 1e-9;
/// A factor of more levels is always kept whole: the others are then few, and finding what depends on what is cheap.
const MANY: usize = 200;

impl Columns {
    /// Of columns that depend on each other the first are left out, slopes before all: with groups and sexes given in
    /// this order, the first group. (A factor of very many levels is kept whole.)
    pub(super) fn of(problem: &Problem) -> Self {
        let mean = problem.fixed.is_empty();
        let mut first = vec![0];
        for f in &problem.fixed {
            first.push(first[first.len() - 1] + f.levels.len());
        }
        if mean {
            first.push(1);
        }
        let levels = first[first.len() - 1];
        let slopes = problem.slopes.len();
        let mut all =
            Self { first, slopes, place: vec![None; levels + slopes], kept: 0, dropped: Vec::new(), mean };
        all.choose(problem);
        all
    }

    fn choose(&mut self, problem: &Problem) {
        let levels = self.first[self.first.len() - 1];
        let factors = self.first.len() - 1;
        let n = problem.records.len();
        let largest = (0..factors).max_by_key(|f| self.first[f + 1] - self.first[*f]);
        let largest = largest.filter(|f| self.first[f + 1] - self.first[*f] > MANY);
        let (whole, whole_end) = largest.map_or((0, 0), |f| (self.first[f], self.first[f + 1]));
        let is_whole = |c: usize| (whole..whole_end).contains(&c);
        // Order in which columns are taken: the large factor, factors from the last, slopes.
        let rest: Vec<usize> =
            (0..levels).rev().filter(|c| !is_whole(*c)).chain(levels..levels + self.slopes).collect();
        let mut at = vec![usize::MAX; levels + self.slopes];
        rest.iter().enumerate().for_each(|(i, c)| at[*c] = i);
        // Cross products of the rest; the large factor's own are a diagonal and go out first.
        let (m, k) = (rest.len(), whole_end - whole);
        let mut xx = vec![0.0f64; m * m];
        let (mut count, mut cross) = (vec![0.0f64; k], vec![Vec::<(usize, f64)>::new(); k]);
        let mut of_level = vec![Vec::<u32>::new(); k];
        for r in 0..n {
            let mut row: Vec<(usize, f64)> = Vec::with_capacity(factors + self.slopes);
            self.each(problem, r, |c, v| {
                if is_whole(c) {
                    count[c - whole] += 1.0;
                    of_level[c - whole].push(r as u32);
                } else {
                    row.push((at[c], v));
                }
            });
            for (i, v) in &row {
                row.iter().for_each(|(j, w)| xx[i * m + j] += v * w);
            }
        }
        let scale: Vec<f64> = (0..m).map(|i| xx[i * m + i]).collect();
        let mut sums = vec![0.0; m];
        for (l, records) in of_level.iter().enumerate() {
            let mut touched = Vec::new();
            for r in records {
                self.each(problem, *r as usize, |c, v| {
                    if !is_whole(c) {
                        if sums[at[c]] == 0.0 {
                            touched.push(at[c]);
                        }
                        sums[at[c]] += v;
                    }
                });
            }
            touched.sort_unstable();
            touched.dedup();
            cross[l] = touched.iter().map(|i| (*i, std::mem::take(&mut sums[*i]))).collect();
        }
        for (count, cross) in count.iter().zip(&cross) {
            for (i, v) in cross {
                cross.iter().for_each(|(j, w)| xx[i * m + j] -= v * w / count);
            }
        }
        let mut keep = vec![false; levels + self.slopes];
        (whole..whole_end).for_each(|c| keep[c] = count[c - whole] > 0.0);
        for i in 0..m {
            let pivot = xx[i * m + i];
            if scale[i] <= 0.0 || pivot <= NOTHING * scale[i] {
                continue;
            }
            keep[rest[i]] = true;
            for j in i + 1..m {
                let by = xx[i * m + j] / pivot;
                if by != 0.0 {
                    (j..m).for_each(|c| xx[j * m + c] -= by * xx[i * m + c]);
                }
            }
        }
        for c in 0..levels + self.slopes {
            if keep[c] {
                self.place[c] = Some(self.kept as u32);
                self.kept += 1;
            } else {
                let empty = if is_whole(c) { count[c - whole] == 0.0 } else { scale[at[c]] <= 0.0 };
                self.dropped.push(self.named(problem, c, empty));
            }
        }
    }

    fn named(&self, problem: &Problem, column: usize, empty: bool) -> Dropped {
        let levels = self.first[self.first.len() - 1];
        if column >= levels {
            let name = problem.slopes.get(column - levels).map(|s| s.0.clone()).unwrap_or_default();
            return Dropped { factor: name.clone(), level: name, empty };
        }
        let f = self.first.partition_point(|c| *c <= column) - 1;
        match problem.fixed.get(f) {
            Some(factor) => {
                let level = factor.levels.get(column - self.first[f]).cloned().unwrap_or_default();
                Dropped { factor: factor.name.clone(), level, empty }
            }
            None => Dropped { factor: "mean".into(), level: "mean".into(), empty },
        }
    }

    /// The columns of a record with their values.
    fn each(&self, problem: &Problem, record: usize, mut give: impl FnMut(usize, f64)) {
        if self.mean {
            give(0, 1.0);
        }
        for (f, first) in problem.fixed.iter().zip(&self.first) {
            give(first + f.of[record] as usize, 1.0);
        }
        let levels = self.first[self.first.len() - 1];
        for (i, (_, v)) in problem.slopes.iter().enumerate() {
            give(levels + i, v[record]);
        }
    }

    /// The unknowns of a record's fixed part.
    pub(super) fn row(&self, problem: &Problem, record: usize, mut give: impl FnMut(u32, f64)) {
        self.each(problem, record, |c, v| {
            if let Some(at) = self.place[c] {
                give(at, v);
            }
        });
    }

    pub(super) fn kept(&self) -> usize {
        self.kept
    }

    pub(super) fn dropped(&self) -> &[Dropped] {
        &self.dropped
    }

    pub(super) fn level(&self, factor: usize, level: usize) -> Option<usize> {
        if self.mean {
            return None;
        }
        let (from, to) = (*self.first.get(factor)?, *self.first.get(factor + 1)?);
        let at = self.place.get(from + level).copied().flatten().map(|u| u as usize);
        at.filter(|_| from + level < to)
    }

    pub(super) fn mean(&self) -> Option<usize> {
        self.mean.then(|| self.place.first().copied().flatten()).flatten().map(|u| u as usize)
    }

    pub(super) fn slope(&self, slope: usize) -> Option<usize> {
        self.place.get(self.first[self.first.len() - 1] + slope).copied().flatten().map(|u| u as usize)
    }
}
