//! Years ahead: the flock's blood by seeded simulation, joined with care and joined at random under the same numbers.
//!
//! Each run carries the coancestry of every pair of animals forward (tabular method, Wright 1922; Henderson 1976): a
//! lamb's with another animal is the mean of its parents' with it, with itself (1 + F)/2. Chance is in how many lambs a
//! ewe has, which sex they are, which are kept, and, at random, who is joined with whom.

mod flock;
mod spec;

use super::Pairs;
use flock::{Run, Seed};
pub use spec::AheadSpec;

/// What a tenth, half and nine tenths of the runs stay under.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Band {
    /// A tenth of the runs.
    pub low: f64,
    /// Half.
    pub middle: f64,
    /// Nine tenths.
    pub high: f64,
}

impl Band {
    fn of(mut all: Vec<f64>) -> Self {
        all.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let x = share * all.len().saturating_sub(1) as f64;
            let (low, part) = (x.floor() as usize, x.fract());
            let value = |n: usize| all.get(n).copied().unwrap_or_default();
            value(low) + part * (value(low + 1).max(value(low)) - value(low))
        };
        if all.is_empty() {
            return Self::default();
        }
        Self { low: at(0.1), middle: at(0.5), high: at(0.9) }
    }
}

/// One way of joining, year by year.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Course {
    /// Mean inbreeding of the lambs of each crop, the first crop first.
    pub inbreeding: Vec<Band>,
    /// Mean kinship of the breeding animals and the young kept, after each crop.
    pub kinship: Vec<Band>,
}

/// Both ways side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// What was taken as given.
    pub spec: AheadSpec,
    /// Mean kinship of the ewes and rams chosen, before the first crop.
    pub kinship_now: f64,
    /// The pairs proposed for the first crop, and the least related of each year after.
    pub chosen: Course,
    /// At random under the same numbers of ewes for each ram.
    pub random: Course,
}

/// Simulates. The same pairs and spec give the same answer everywhere. `go_on` is told how far it is, 0 to 100, and
/// answers whether to go on; stopped, there is no answer.
pub fn ahead(pairs: &Pairs, spec: &AheadSpec, go_on: &mut dyn FnMut(u32) -> bool) -> Option<Ahead> {
    let spec = spec.held(pairs);
    let start = Run::start(pairs, &spec);
    let kinship_now = start.mean_kinship();
    let years = spec.years as usize;
    let mut all = [(); 4].map(|()| vec![Vec::with_capacity(spec.runs as usize); years]);
    let [f_chosen, k_chosen, f_random, k_random] = &mut all;
    let work = 2 * spec.runs * spec.years;
    let mut done = 0;
    for run in 0..spec.runs {
        for (with_care, f, k) in
            [(true, &mut *f_chosen, &mut *k_chosen), (false, &mut *f_random, &mut *k_random)]
        {
            let mut now = start.clone();
            let mut seed = Seed::new(spec.seed, run);
            for year in 0..years {
                if !go_on(done * 100 / work.max(1)) {
                    return None;
                }
                done += 1;
                f[year].push(now.crop(&spec, with_care, year == 0, &mut seed));
                k[year].push(now.mean_kinship());
            }
        }
    }
    let [f_chosen, k_chosen, f_random, k_random] = all.map(|v| v.into_iter().map(Band::of).collect());
    Some(Ahead {
        spec,
        kinship_now,
        chosen: Course { inbreeding: f_chosen, kinship: k_chosen },
        random: Course { inbreeding: f_random, kinship: k_random },
    })
}
