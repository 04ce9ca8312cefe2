//! Effective sizes, cohorts and the generation interval: how fast blood narrows.

use super::pedigree::{NONE, Pedigree};

/// Effective size by numbers of the sexes: 4·Nm·Nf/(Nm+Nf) (Wright 1931).
pub fn size_by_sexes(rams: usize, ewes: usize) -> f64 {
    let (m, f) = (rams as f64, ewes as f64);
    if rams + ewes == 0 { 0.0 } else { 4.0 * m * f / (m + f) }
}

/// Rate of inbreeding from one generation to the next: (Ft − Ft−1)/(1 − Ft−1) (Falconer and Mackay).
pub fn rate(before: f64, after: f64) -> f64 {
    (after - before) / (1.0 - before)
}

/// Effective size by the rate of inbreeding in a generation: 1/(2ΔF); none while blood does not narrow.
pub fn size_by_rate(rate: f64) -> Option<f64> {
    (rate > 0.0).then(|| 0.5 / rate)
}

/// Effective size by each animal's own increase of inbreeding: ΔFi = 1 − (1 − Fi)^(1/(ti − 1)) with ti its complete
/// generations, those of one generation or less left out; Ne = 1/(2·mean ΔFi) (Gutiérrez 2008, 2009).
pub fn size_by_individual_increase(f: &[f64], generations: &[f64], set: &[u32]) -> Option<f64> {
    let each: Vec<f64> = set
        .iter()
        .map(|i| (f[*i as usize], generations[*i as usize]))
        .filter(|(_, t)| *t > 1.0)
        .map(|(f, t)| 1.0 - (1.0 - f).powf(1.0 / (t - 1.0)))
        .collect();
    if each.is_empty() {
        return None;
    }
    size_by_rate(each.iter().sum::<f64>() / each.len() as f64)
}

/// Who became a parent, of what sex, born when (in days): what a generation interval is reckoned from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Born {
    /// Day of birth as a count of days, if it is known.
    pub day: Option<i64>,
    /// A ram (or wether); else a ewe.
    pub male: bool,
}

/// Mean age of parents at the birth of those offspring that became parents, in years of 365.25 days, by the four
/// paths ram to ram, ram to ewe, ewe to ram, ewe to ewe, and the mean of the paths that are known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Interval {
    /// The four paths, each with how many were counted.
    pub paths: [Option<(f64, usize)>; 4],
    /// Mean of the means.
    pub mean: Option<f64>,
}

/// Generation interval of a pedigree (the four paths of Rendel and Robertson 1950).
pub fn generation_interval(pedigree: &Pedigree, born: &[Born]) -> Interval {
    let mut parent = vec![false; pedigree.len()];
    for p in pedigree.parents().iter().flatten().filter(|p| **p != NONE) {
        parent[*p as usize] = true;
    }
    let mut sums = [(0.0, 0usize); 4];
    for (i, both) in pedigree.parents().iter().enumerate().filter(|(i, _)| parent[*i]) {
        for (side, p) in both.iter().enumerate().filter(|(_, p)| **p != NONE) {
            if let (Some(child), Some(of)) = (born[i].day, born[*p as usize].day)
                && child > of
            {
                let path = side * 2 + usize::from(!born[i].male);
                sums[path].0 += (child - of) as f64 / 365.25;
                sums[path].1 += 1;
            }
        }
    }
    let paths = sums.map(|(sum, n)| (n > 0).then(|| (sum / n as f64, n)));
    let known: Vec<f64> = paths.iter().flatten().map(|(mean, _)| *mean).collect();
    let mean = (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64);
    Interval { paths, mean }
}

/// The animals born in one year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cohort {
    /// The year.
    pub year: i32,
    /// How many were born, those whose parents are not both known included.
    pub born: usize,
    /// How many of them have both parents known.
    pub known: usize,
    /// Mean inbreeding of those with both parents known; 0 where there are none.
    pub inbreeding: f64,
    /// Mean complete generation equivalents of all born.
    pub depth: f64,
}

/// Cohorts by year of birth, oldest first. `years` by place; animals without a year are left out. Mean inbreeding is of
/// those with both parents known: of the others it is not known, and nought would hide that.
pub fn cohorts(pedigree: &Pedigree, f: &[f64], depth: &[f64], years: &[Option<i32>]) -> Vec<Cohort> {
    let mut all: std::collections::BTreeMap<i32, (usize, usize, f64, f64)> =
        std::collections::BTreeMap::new();
    for (i, both) in pedigree.parents().iter().enumerate() {
        let Some(year) = years[i] else { continue };
        let c = all.entry(year).or_default();
        c.0 += 1;
        c.3 += depth[i];
        if both.iter().all(|p| *p != NONE) {
            c.1 += 1;
            c.2 += f[i];
        }
    }
    let mean = |sum: f64, n: usize| if n == 0 { 0.0 } else { sum / n as f64 };
    all.into_iter()
        .map(|(year, (born, known, f, depth))| Cohort {
            year,
            born,
            known,
            inbreeding: mean(f, known),
            depth: mean(depth, born),
        })
        .collect()
}

/// Rate of inbreeding in a year: from the straight line of ln(1 − mean F) on the year of birth, weighted by numbers
/// (Pérez-Enciso 1995; where F rises by the same rate every year, that very rate). Cohorts whose parents are not known
/// do not count; none with fewer than three that do.
pub fn rate_per_year(cohorts: &[Cohort]) -> Option<f64> {
    let used: Vec<(f64, f64, f64)> = cohorts
        .iter()
        .filter(|c| c.known > 0 && c.inbreeding < 1.0)
        .map(|c| (f64::from(c.year), (1.0 - c.inbreeding).ln(), c.known as f64))
        .collect();
    if used.len() < 3 {
        return None;
    }
    let n: f64 = used.iter().map(|u| u.2).sum();
    let mean = |part: fn(&(f64, f64, f64)) -> f64| used.iter().map(|u| u.2 * part(u)).sum::<f64>() / n;
    let (x, y) = (mean(|u| u.0), mean(|u| u.1));
    let over: f64 = used.iter().map(|u| u.2 * (u.0 - x) * (u.1 - y)).sum();
    let under: f64 = used.iter().map(|u| u.2 * (u.0 - x).powi(2)).sum();
    (under > 0.0).then(|| 1.0 - (over / under).exp())
}

/// Rate of inbreeding in a generation of so many years at this rate a year: 1 − (1 − ΔF)^years.
pub fn rate_per_generation(per_year: f64, years: f64) -> f64 {
    1.0 - (1.0 - per_year).powf(years)
}
