//! Genes as they are written on a laboratory's report: prion protein alleles and recessives.

use super::Misread;
use crate::phrase;
use std::fmt;

/// One allele of the prion protein gene: the amino acids at codons 136, 154 and 171, as in `ARR`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PrionAllele([u8; 3]);

impl PrionAllele {
    /// The five alleles that are common in sheep.
    pub const COMMON: [Self; 5] = [Self(*b"ARR"), Self(*b"ARQ"), Self(*b"AHQ"), Self(*b"ARH"), Self(*b"VRQ")];

    /// Three letters: A, V or T at codon 136; R, H, L at 154; R, Q, H, K at 171.
    ///
    /// # Errors
    /// Letters that stand for no known variant.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_ascii_uppercase();
        let found = <[u8; 3]>::try_from(low.as_bytes()).ok();
        let known =
            |a: &[u8; 3]| b"AVTM".contains(&a[0]) && b"RHL".contains(&a[1]) && b"RQHK".contains(&a[2]);
        found.filter(known).map(Self).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' is no allele of codons 136, 154 and 171: write three letters like ARR or ARQ",
                text.trim()
            ))
        })
    }
}

impl fmt::Display for PrionAllele {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|c| write!(f, "{}", *c as char))
    }
}

/// A scrapie genotype: both alleles of the prion protein gene, in the order of the alphabet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Scrapie([PrionAllele; 2]);

impl Scrapie {
    /// Of two alleles in any order.
    pub fn new(a: PrionAllele, b: PrionAllele) -> Self {
        Self([a.min(b), a.max(b)])
    }

    /// `ARR/ARQ`.
    ///
    /// # Errors
    /// Not two alleles with a slash between.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let (a, b) = text.split_once('/').ok_or_else(|| {
            Misread::new(phrase!("'{}' is no scrapie genotype: write it like ARR/ARQ", text.trim()))
        })?;
        Ok(Self::new(PrionAllele::parse(a)?, PrionAllele::parse(b)?))
    }

    /// Its alleles.
    pub fn alleles(self) -> [PrionAllele; 2] {
        self.0
    }
}

impl fmt::Display for Scrapie {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.0[0], self.0[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scrapie_genotypes() {
        for (typed, shown) in [("ARR/ARQ", "ARQ/ARR"), (" vrq/arr ", "ARR/VRQ"), ("ARR/ARR", "ARR/ARR")] {
            assert_eq!(Scrapie::parse(typed).unwrap().to_string(), shown);
        }
        for wrong in ["ARR", "ARR/", "ARX/ARR", "ARRR/ARQ", "", "é/ARR"] {
            assert!(Scrapie::parse(wrong).is_err(), "{wrong}");
        }
        for a in PrionAllele::COMMON {
            assert_eq!(PrionAllele::parse(&a.to_string()), Ok(a));
        }
    }
}
