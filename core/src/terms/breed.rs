//! Breed and breed parts.

use super::Misread;
use crate::phrase;
use std::fmt;
use std::sync::Arc;

/// One breed's share of an animal, `num` out of `den`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct BreedPart {
    /// Name of the breed.
    pub name: String,
    /// Parts of this breed.
    pub num: u32,
    /// Parts in all.
    pub den: u32,
}

/// Most characters of a breed as written.
const LONGEST: usize = 120;

/// An animal's breed: one name, or parts that add up to one whole. Shared, since most of a flock is of one.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Breed(Arc<Vec<BreedPart>>);

impl Breed {
    /// `Fellside`, or `Fellside 3/4 + Hillgrey 1/4`. Empty text is no breed.
    ///
    /// # Errors
    /// Parts that do not add up to one, or a share that is no fraction.
    pub fn parse(text: &str) -> Result<Option<Self>, Misread> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(None);
        }
        if text.chars().count() > LONGEST {
            return Err(Misread::new(phrase!("a breed is at most {LONGEST} characters: shorten it")));
        }
        let parts: Vec<&str> = text.split('+').map(str::trim).collect();
        if let [one] = parts.as_slice()
            && !one.rsplit(' ').next().is_some_and(|w| w.contains('/'))
        {
            return Ok(Some(Self(vec![BreedPart { name: (*one).into(), num: 1, den: 1 }].into())));
        }
        let mut read = Vec::new();
        for part in parts {
            let wrong =
                || Misread::new(phrase!("'{part}' is not a breed part: write Fellside 3/4 + Hillgrey 1/4"));
            let (name, share) = part.rsplit_once(' ').ok_or_else(wrong)?;
            let (num, den) = share.split_once('/').ok_or_else(wrong)?;
            let (num, den) =
                (num.parse::<u32>().map_err(|_| wrong())?, den.parse::<u32>().map_err(|_| wrong())?);
            let name = name.trim();
            // A name that ends like a share would be read as one the next time.
            let like_share = name.rsplit(' ').next().is_some_and(|w| w.contains('/'));
            if num == 0 || den == 0 || num > den || den > 1024 || name.is_empty() || like_share {
                return Err(wrong());
            }
            read.push(BreedPart { name: name.into(), num, den });
        }
        let whole: f64 = read.iter().map(|p| f64::from(p.num) / f64::from(p.den)).sum();
        if (whole - 1.0).abs() > 1e-9 {
            return Err(Misread::new(phrase!("the breed parts of '{text}' do not add up to one whole")));
        }
        if let [one] = read.as_mut_slice() {
            (one.num, one.den) = (1, 1);
        }
        Ok(Some(Self(read.into())))
    }

    /// The breed of a lamb of two parents: half of each one's parts, largest share first. None if a parent's
    /// breed is not known, the parts grow finer than 1/1024, or they are too many to be written down.
    pub fn of_lamb(dam: Option<&Self>, sire: Option<&Self>) -> Option<Self> {
        let (dam, sire) = (dam?, sire?);
        let den = dam.0.iter().chain(sire.0.iter()).fold(1, |d, p| lcm(d, p.den)).checked_mul(2)?;
        if den > 2048 {
            return None;
        }
        let mut shares: Vec<(String, u32)> = Vec::new();
        for p in dam.0.iter().chain(sire.0.iter()) {
            let num = p.num * (den / 2 / p.den);
            match shares.iter_mut().find(|(n, _)| *n == p.name) {
                Some(s) => s.1 += num,
                None => shares.push((p.name.clone(), num)),
            }
        }
        shares.sort_by_key(|s| std::cmp::Reverse(s.1));
        let parts: Vec<BreedPart> = shares
            .into_iter()
            .map(|(name, num)| {
                let g = gcd(num, den);
                BreedPart { name, num: num / g, den: den / g }
            })
            .collect();
        let breed = Self(parts.into());
        let fits = breed.0.iter().all(|p| p.den <= 1024) && breed.to_string().chars().count() <= LONGEST;
        fits.then_some(breed)
    }

    /// The parts, largest share as written first.
    pub fn parts(&self) -> &[BreedPart] {
        &self.0
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn lcm(a: u32, b: u32) -> u32 {
    (a / gcd(a, b)).saturating_mul(b)
}

impl fmt::Display for Breed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str(" + ")?;
            }
            f.write_str(&p.name)?;
            if self.0.len() > 1 {
                write!(f, " {}/{}", p.num, p.den)?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breeds() {
        for text in ["Fellside", "Fellside 3/4 + Hillgrey 1/4", "A 1/2 + B 1/4 + C 1/4"] {
            assert_eq!(Breed::parse(text).unwrap().unwrap().to_string(), text);
        }
        assert_eq!(Breed::parse(" "), Ok(None));
        assert!(Breed::parse("A 1/2 + B 1/4").is_err());
        assert!(Breed::parse("A 3/2").is_err());
        let (a, b) = (Breed::parse("A").unwrap(), Breed::parse("A 1/2 + B 1/2").unwrap());
        assert_eq!(Breed::of_lamb(a.as_ref(), b.as_ref()).unwrap().to_string(), "A 3/4 + B 1/4");
        assert_eq!(Breed::of_lamb(a.as_ref(), a.as_ref()).unwrap().to_string(), "A");
        assert_eq!(Breed::of_lamb(a.as_ref(), None), None);
        assert_eq!(Breed::parse("A 7/7").unwrap().unwrap().to_string(), "A");
        assert!(Breed::parse("A 1/2 7/7").is_err(), "would be written as 'A 1/2'");
        let long = |c: &str| Breed::parse(&c.repeat(110)).unwrap();
        assert_eq!(Breed::of_lamb(long("a").as_ref(), long("b").as_ref()), None, "too long to be read again");
    }
}
