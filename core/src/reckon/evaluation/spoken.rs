//! What may be asked, in words.

use crate::phrase;
use crate::terms::Misread;

/// What is evaluated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Trait {
    /// Weight at an age in days; 0 is the weight at birth. Kilograms.
    Weight(i64),
    /// Lambs born, per lambing of a ewe.
    Born,
    /// Lambs reared, per lambing of a ewe.
    Reared,
}

impl Trait {
    /// `weight:60`, `born`, `reared`.
    ///
    /// # Errors
    /// Names what was read and what can be written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        match low.as_str() {
            "born" => return Ok(Self::Born),
            "reared" => return Ok(Self::Reared),
            _ => {}
        }
        let days = low.strip_prefix("weight:").and_then(|d| d.trim().parse::<i64>().ok());
        days.filter(|d| (0..=2_000).contains(d)).map(Self::Weight).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' is no trait: write weight:60 (the age in days, 0 for birth), born or reared",
                text.trim()
            ))
        })
    }

    /// In words: `weight at 60 days`.
    pub fn words(self) -> String {
        match self {
            Self::Weight(0) => "weight at birth".into(),
            Self::Weight(days) => phrase!("weight at {days} days"),
            Self::Born => "lambs born".into(),
            Self::Reared => "lambs reared".into(),
        }
    }

    /// What a value is counted in.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Weight(_) => "kg",
            Self::Born | Self::Reared => "lambs a lambing",
        }
    }

    /// A trait of a ewe at each of her lambings.
    pub fn is_of_ewes(self) -> bool {
        !matches!(self, Self::Weight(_))
    }
}

/// What the records depend on beside the fixed effects.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Model {
    /// The animal's own genes.
    Animal,
    /// The same, with what stays with the animal from record to record beside its genes.
    Repeatability,
    /// The lamb's own genes and the ewe's genes for mothering.
    Maternal,
}

impl Model {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Animal, Self::Repeatability, Self::Maternal];

    /// As typed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Animal => "animal",
            Self::Repeatability => "repeatability",
            Self::Maternal => "maternal",
        }
    }

    /// From the word.
    ///
    /// # Errors
    /// Names what was read and the words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|m| m.word() == low).ok_or_else(|| {
            Misread::new(phrase!("'{}' is no model: write animal, repeatability or maternal", text.trim()))
        })
    }
}

/// What animals are compared within.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FixedBy {
    /// Ewe, ram, wether.
    Sex,
    /// How many were born and reared together.
    BirthType,
    /// Age of the ewe: 1, 2, 3, 4 to 6, 7 years and more.
    EweAge,
    /// Contemporary group.
    Group,
    /// Year of birth; of lambing for traits of ewes.
    Year,
    /// Which lambing of the ewe it is.
    Parity,
}

impl FixedBy {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Sex, Self::BirthType, Self::EweAge, Self::Group, Self::Year, Self::Parity];

    /// As typed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sex => "sex",
            Self::BirthType => "birth_type",
            Self::EweAge => "ewe_age",
            Self::Group => "group",
            Self::Year => "year",
            Self::Parity => "parity",
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sex => "sex",
            Self::BirthType => "birth and rearing type",
            Self::EweAge => "age of the ewe",
            Self::Group => "group",
            Self::Year => "year",
            Self::Parity => "lambing of the ewe",
        }
    }

    /// `sex,birth_type`: each once; nothing for no fixed effect.
    ///
    /// # Errors
    /// Names what was read and the words there are.
    pub fn parse_list(text: &str) -> Result<Vec<Self>, Misread> {
        let mut all = Vec::new();
        for part in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let low = part.to_lowercase();
            let one = Self::ALL.into_iter().find(|f| f.word() == low).ok_or_else(|| {
                let words = Self::ALL.map(Self::word).join(", ");
                Misread::new(phrase!("'{part}' is no fixed effect: write some of {words}"))
            })?;
            if !all.contains(&one) {
                all.push(one);
            }
        }
        Ok(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read() {
        assert_eq!(Trait::parse(" Weight:60 "), Ok(Trait::Weight(60)));
        assert_eq!(Trait::parse("born"), Ok(Trait::Born));
        for bad in ["weight", "weight:", "weight:-1", "weight:9999", "milk", ""] {
            assert!(Trait::parse(bad).is_err(), "{bad}");
        }
        for m in Model::ALL {
            assert_eq!(Model::parse(m.word()), Ok(m));
        }
        assert_eq!(FixedBy::parse_list("sex, birth_type,sex,"), Ok(vec![FixedBy::Sex, FixedBy::BirthType]));
        assert_eq!(FixedBy::parse_list(""), Ok(vec![]));
        assert!(FixedBy::parse_list("sex,colour").unwrap_err().0.contains("'colour'"));
    }
}
