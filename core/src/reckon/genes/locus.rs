//! One place on a chromosome: its alleles, the genotypes they make, and what parents hand on (Mendel 1866).

/// A set of genotypes, one bit each.
pub(super) type Set = u64;

/// More alleles than this make more genotypes than a [`Set`] holds.
pub(super) const MOST_ALLELES: usize = 10;

/// A locus with the shares of its alleles among founders.
#[derive(Debug, Clone)]
pub(super) struct Locus {
    /// Both alleles of each genotype, the smaller first.
    pub(super) genotypes: Vec<[u8; 2]>,
    /// Share of each allele among founders; they sum to 1.
    pub(super) share: Vec<f64>,
    /// Genotypes of founders: Hardy and Weinberg 1908, p² and 2pq.
    pub(super) prior: Vec<f64>,
    at: Vec<u8>,
}

impl Locus {
    /// A locus with these shares among founders, [`MOST_ALLELES`] at the most.
    pub(super) fn new(share: Vec<f64>) -> Self {
        let k = share.len().min(MOST_ALLELES);
        let mut genotypes = Vec::new();
        let mut at = vec![0; k * k];
        let mut prior = Vec::new();
        for a in 0..k {
            for b in a..k {
                at[a * k + b] = genotypes.len() as u8;
                at[b * k + a] = genotypes.len() as u8;
                genotypes.push([a as u8, b as u8]);
                prior.push(share[a] * share[b] * if a == b { 1.0 } else { 2.0 });
            }
        }
        Self { genotypes, share, prior, at }
    }

    /// How many genotypes.
    pub(super) fn len(&self) -> usize {
        self.genotypes.len()
    }

    /// Every genotype.
    pub(super) fn all(&self) -> Set {
        if self.len() >= 64 { Set::MAX } else { (1 << self.len()) - 1 }
    }

    /// The genotype of two alleles.
    pub(super) fn of(&self, a: u8, b: u8) -> usize {
        usize::from(self.at[usize::from(a) * self.share.len() + usize::from(b)])
    }

    /// Chance that a parent of this genotype (none: unknown, a founder's gamete) hands on this allele.
    fn hands(&self, parent: Option<usize>, allele: u8) -> f64 {
        match parent {
            None => self.share[usize::from(allele)],
            Some(g) => self.genotypes[g].iter().filter(|a| **a == allele).count() as f64 / 2.0,
        }
    }

    /// Chance of a lamb's genotype by its parents'.
    pub(super) fn lamb(&self, lamb: usize, sire: Option<usize>, dam: Option<usize>) -> f64 {
        let [p, q] = self.genotypes[lamb];
        let one = self.hands(sire, p) * self.hands(dam, q);
        if p == q { one } else { one + self.hands(sire, q) * self.hands(dam, p) }
    }

    /// The alleles of a set of genotypes, one bit each.
    pub(super) fn alleles(&self, set: Set) -> u32 {
        members(set).fold(0, |all, g| all | self.genotypes[g].iter().fold(0, |m, a| m | 1 << a))
    }

    /// The alleles of any founder.
    pub(super) fn every_allele(&self) -> u32 {
        (1 << self.share.len()) - 1
    }

    /// Genotypes of a lamb whose parents hand on any of these alleles.
    pub(super) fn lambs(&self, sire: u32, dam: u32) -> Set {
        let mut set = 0;
        for (g, [p, q]) in self.genotypes.iter().enumerate() {
            let has = |m: u32, a: &u8| m & (1 << a) != 0;
            if (has(sire, p) && has(dam, q)) || (has(sire, q) && has(dam, p)) {
                set |= 1 << g;
            }
        }
        set
    }

    /// Genotypes of a parent that may have one of these lambs with another parent of these alleles.
    pub(super) fn parents(&self, lambs: Set, other: u32) -> Set {
        let mut handed: u32 = 0;
        for g in members(lambs) {
            let [p, q] = self.genotypes[g];
            if other & (1 << q) != 0 {
                handed |= 1 << p;
            }
            if other & (1 << p) != 0 {
                handed |= 1 << q;
            }
        }
        let fits = |[p, q]: &[u8; 2]| handed & (1 << p | 1 << q) != 0;
        self.genotypes.iter().enumerate().filter(|(_, g)| fits(g)).fold(0, |m, (g, _)| m | 1 << g)
    }
}

/// The genotypes of a set.
pub(super) fn members(set: Set) -> impl Iterator<Item = usize> {
    let mut left = set;
    std::iter::from_fn(move || {
        let g = left.trailing_zeros() as usize;
        (left != 0).then(|| {
            left &= left - 1;
            g
        })
    })
}

/// Exactly one genotype is left.
pub(super) fn settled(set: Set) -> bool {
    set.count_ones() == 1
}
