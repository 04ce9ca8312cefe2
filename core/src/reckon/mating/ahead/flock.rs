//! One simulated flock: who is in it, how old, and the coancestry of every pair.

use super::super::{Pairs, RamCap, assign};
use super::AheadSpec;
use crate::terms::Sex;

/// Numbers by chance from a seed: SplitMix64 (Steele, Lea and Flood 2014), the same on every machine.
pub(super) struct Seed(u64);

impl Seed {
    /// Another row of numbers for each run.
    pub fn new(seed: u64, run: u32) -> Self {
        let mut s = Self(seed ^ (u64::from(run) + 1).wrapping_mul(0xD134_2543_DE82_EF95));
        s.next();
        s
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to under 1.
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// 0 to under `n`.
    fn below(&mut self, n: usize) -> usize {
        ((u128::from(self.next()) * n as u128) >> 64) as usize
    }

    fn shuffle<T>(&mut self, all: &mut [T]) {
        for i in (1..all.len()).rev() {
            all.swap(i, self.below(i + 1));
        }
    }
}

#[derive(Clone, Copy)]
struct Beast {
    sex: Sex,
    /// Years until the first own crop.
    young: u32,
    /// Crops so far.
    crops: u32,
}

/// A lamb that is born: its parents by place, and its inbreeding.
struct Lamb {
    ewe: usize,
    ram: usize,
    f: f64,
}

/// The flock of one run.
#[derive(Clone)]
pub(super) struct Run {
    beasts: Vec<Beast>,
    /// Coancestry, row by row.
    f: Vec<f64>,
    ewes: usize,
    rams: Vec<RamCap>,
    /// The ram, by place among the rams, of each ewe in the first year.
    first: Vec<usize>,
}

impl Run {
    /// The ewes and rams chosen, with their coancestry.
    pub fn start(pairs: &Pairs, spec: &AheadSpec) -> Self {
        let t = &pairs.table;
        let places: Vec<u32> = t.places.iter().flatten().copied().collect();
        let mut x = vec![0.0; t.kin.pedigree.len()];
        let mut f = Vec::with_capacity(places.len() * places.len());
        for p in &places {
            x[*p as usize] = 1.0;
            let a = t.kin.times(&x);
            x[*p as usize] = 0.0;
            f.extend(places.iter().map(|q| 0.5 * a[*q as usize]));
        }
        let (ewes, rams) = (t.ewes.len(), t.rams.len());
        // Ages are spread evenly over the years an animal is kept for.
        let beast = |n: usize| match n < ewes {
            true => Beast { sex: Sex::Ewe, young: 0, crops: (n as u32 * 7) % spec.ewe_crops },
            false => Beast { sex: Sex::Ram, young: 0, crops: (n - ewes) as u32 % spec.ram_crops },
        };
        let beasts = (0..ewes + rams).map(beast).collect();
        Self { beasts, f, ewes, rams: t.rams.clone(), first: pairs.of.clone() }
    }

    /// Mean coancestry of all, each with itself included.
    pub fn mean_kinship(&self) -> f64 {
        self.f.iter().sum::<f64>() / self.f.len().max(1) as f64
    }

    fn at(&self, a: usize, b: usize) -> f64 {
        self.f[a * self.beasts.len() + b]
    }

    /// One year: joined, lambed, young kept, old gone. The mean inbreeding of the lambs.
    pub fn crop(&mut self, spec: &AheadSpec, with_care: bool, first: bool, seed: &mut Seed) -> f64 {
        let working = |sex| {
            let grown = move |(_, b): &(usize, &Beast)| b.sex == sex && b.young == 0;
            self.beasts.iter().enumerate().filter(grown).map(|(n, _)| n).collect::<Vec<usize>>()
        };
        let (ewes, rams) = (working(Sex::Ewe), working(Sex::Ram));
        let mut lambs = Vec::new();
        if !ewes.is_empty() && !rams.is_empty() {
            let of = match (with_care, first) {
                (true, true) => self.first.clone(),
                (true, false) => self.least_related(&ewes, &rams, seed),
                (false, _) => self.at_random(&ewes, rams.len(), seed),
            };
            for (ewe, ram) in ewes.iter().zip(of) {
                let Some(ram) = rams.get(ram) else { continue };
                let many = spec.lambs.floor() as usize + usize::from(seed.share() < spec.lambs.fract());
                lambs.extend((0..many).map(|_| Lamb { ewe: *ewe, ram: *ram, f: self.at(*ewe, *ram) }));
            }
        }
        let mean = lambs.iter().map(|l| l.f).sum::<f64>() / lambs.len().max(1) as f64;
        self.turn(spec, lambs, seed);
        mean
    }

    /// The numbers of ewes that so many rams may have, wide enough for all.
    fn caps(&self, ewes: usize, rams: usize) -> Vec<usize> {
        let mut caps: Vec<usize> = (0..rams).map(|r| self.rams[r % self.rams.len()].most.min(ewes)).collect();
        let mut room: usize = caps.iter().sum();
        let mut at = 0;
        while room < ewes {
            caps[at % rams] += 1;
            room += 1;
            at += 1;
        }
        caps
    }

    fn least_related(&self, ewes: &[usize], rams: &[usize], seed: &mut Seed) -> Vec<usize> {
        let cost = |e: &usize| rams.iter().map(|r| (self.at(*e, *r) * (1u64 << 40) as f64) as i64).collect();
        let costs: Vec<Vec<i64>> = ewes.iter().map(cost).collect();
        let caps = self.caps(ewes.len(), rams.len());
        let random = self.at_random(ewes, rams.len(), seed); // the same draws whichever way is taken
        assign(&costs, &caps, &vec![0; rams.len()]).unwrap_or(random)
    }

    fn at_random(&self, ewes: &[usize], rams: usize, seed: &mut Seed) -> Vec<usize> {
        let caps = self.caps(ewes.len(), rams);
        let mut places: Vec<usize> =
            caps.iter().enumerate().flat_map(|(r, cap)| std::iter::repeat_n(r, *cap)).collect();
        seed.shuffle(&mut places);
        places.truncate(ewes.len());
        places
    }

    /// The young that are kept come in, the old go.
    fn turn(&mut self, spec: &AheadSpec, mut lambs: Vec<Lamb>, seed: &mut Seed) {
        seed.shuffle(&mut lambs);
        let (mut young, mut left) = (Vec::new(), [spec.young_ewes, spec.young_rams]);
        for lamb in lambs {
            let (sex, of) = if seed.share() < 0.5 { (Sex::Ewe, 0) } else { (Sex::Ram, 1) };
            if left[of] > 0 {
                left[of] -= 1;
                young.push((sex, lamb));
            }
        }
        let stays = self.who_stays(spec, &young);
        let old = self.beasts.len();
        let n = stays.len() + young.len();
        let mut f = vec![0.0; n * n];
        for (i, a) in stays.iter().enumerate() {
            for (j, b) in stays.iter().enumerate() {
                f[i * n + j] = self.f[a * old + b];
            }
        }
        for (i, (_, lamb)) in young.iter().enumerate() {
            let row = stays.len() + i;
            let with = |b: usize| 0.5 * (self.f[lamb.ewe * old + b] + self.f[lamb.ram * old + b]);
            for (j, b) in stays.iter().enumerate() {
                let c = with(*b);
                (f[row * n + j], f[j * n + row]) = (c, c);
            }
            for (j, (_, other)) in young.iter().enumerate().take(i) {
                let c = 0.5 * (with(other.ewe) + with(other.ram));
                let column = stays.len() + j;
                (f[row * n + column], f[column * n + row]) = (c, c);
            }
            f[row * n + row] = 0.5 * (1.0 + lamb.f);
        }
        let mut beasts: Vec<Beast> = stays.iter().map(|a| self.beasts[*a]).collect();
        for b in &mut beasts {
            if b.young == 0 {
                b.crops += 1;
            }
            b.young = b.young.saturating_sub(1);
        }
        beasts.extend(young.iter().map(|(sex, _)| Beast { sex: *sex, young: spec.first_crop - 1, crops: 0 }));
        (self.beasts, self.f) = (beasts, f);
    }

    /// Who is still there next year: the young all, of the grown those not past their years, and no more than there
    /// were at first; where young are wanting the old stay on.
    fn who_stays(&self, spec: &AheadSpec, young: &[(Sex, Lamb)]) -> Vec<usize> {
        let mut stays: Vec<usize> = Vec::with_capacity(self.beasts.len());
        for (sex, room, years) in
            [(Sex::Ewe, self.ewes, spec.ewe_crops), (Sex::Ram, self.rams.len(), spec.ram_crops)]
        {
            let of = |n: &usize| self.beasts[*n].sex == sex;
            let all: Vec<usize> = (0..self.beasts.len()).filter(of).collect();
            let (waiting, mut grown): (Vec<usize>, Vec<usize>) =
                all.into_iter().partition(|n| self.beasts[*n].young > 0);
            // Those whose first crop is the next one take their places first.
            let next = waiting.iter().filter(|n| self.beasts[**n].young == 1).count()
                + if spec.first_crop == 1 { young.iter().filter(|(s, _)| *s == sex).count() } else { 0 };
            let places = room.saturating_sub(next);
            grown.sort_by_key(|n| (self.beasts[*n].crops, *n));
            let fit = grown.iter().filter(|n| self.beasts[**n].crops + 1 < years).count();
            // Of rams one must be left whatever his years.
            let least = usize::from(next == 0);
            let keep = fit.min(places).max(least).min(grown.len());
            stays.extend(waiting);
            stays.extend(&grown[..keep]);
        }
        stays.sort_unstable();
        stays
    }
}
