//! Scores given by eye and hand: condition, eyelid, dag, udder, teeth, … each on its own scale.

use super::Misread;
use crate::phrase;
use std::fmt;

/// What is scored. All but condition run from good to bad; condition runs from lean to fat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ScoreKind {
    /// Condition along the loin, 1 lean to 5 fat, in quarters (FAS Scotland, Keeping ewe condition).
    Condition,
    /// Colour inside the eyelid, 1 red to 5 white (from memory).
    Eyelid,
    /// Dag, 0 clean to 5 heavily soiled (from memory).
    Dag,
    /// Udder, 1 sound to 5 lost (common practice, no source).
    Udder,
    /// Teeth of a grown sheep, 1 sound to 5 broken mouth (common practice, no source).
    Teeth,
    /// Mothering, 1 stays with her lambs to 5 leaves them (common practice, no source).
    Mothering,
    /// Feet, 1 sound to 5 cannot stand on them (common practice, no source).
    Feet,
    /// Prolapse, 1 slight to 5 out (common practice, no source).
    Prolapse,
    /// Bite, 1 teeth meet the pad to 5 far off it (common practice, no source).
    Bite,
    /// Eyelids turned in, 1 straight to 5 both turned in (common practice, no source).
    Lids,
    /// Type, 1 as the breed should be to 5 not of the breed (common practice, no source).
    Type,
    /// Colour, 1 as the breed should be to 5 not of the breed (common practice, no source).
    Colour,
}

impl ScoreKind {
    /// All of them, in the order shown.
    pub const ALL: [Self; 12] = [
        Self::Condition,
        Self::Eyelid,
        Self::Dag,
        Self::Udder,
        Self::Teeth,
        Self::Mothering,
        Self::Feet,
        Self::Prolapse,
        Self::Bite,
        Self::Lids,
        Self::Type,
        Self::Colour,
    ];

    /// The word as stored, in CSV and as people read it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Condition => "condition",
            Self::Eyelid => "eyelid",
            Self::Dag => "dag",
            Self::Udder => "udder",
            Self::Teeth => "teeth",
            Self::Mothering => "mothering",
            Self::Feet => "feet",
            Self::Prolapse => "prolapse",
            Self::Bite => "bite",
            Self::Lids => "lids",
            Self::Type => "type",
            Self::Colour => "colour",
        }
    }

    /// What the ends of the scale mean.
    pub fn scale(self) -> &'static str {
        match self {
            Self::Condition => "1 lean to 5 fat, quarters allowed",
            Self::Eyelid => "1 red to 5 white",
            Self::Dag => "0 clean to 5 heavily soiled",
            Self::Udder => "1 sound to 5 lost",
            Self::Teeth => "1 sound to 5 broken mouth",
            Self::Mothering => "1 stays with her lambs to 5 leaves them",
            Self::Feet => "1 sound to 5 cannot stand on them",
            Self::Prolapse => "1 slight to 5 out",
            Self::Bite => "1 teeth meet the pad to 5 far off it",
            Self::Lids => "1 straight to 5 both turned in",
            Self::Type | Self::Colour => "1 as the breed should be to 5 not of the breed",
        }
    }

    /// Least and most of the scale, whole points.
    pub fn range(self) -> (u8, u8) {
        if self == Self::Dag { (0, 5) } else { (1, 5) }
    }

    /// From the word.
    ///
    /// # Errors
    /// Names the words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|k| k.word() == low).ok_or_else(|| {
            let words: Vec<_> = Self::ALL.into_iter().map(Self::word).collect();
            Misread::new(phrase!("'{}' is not a score: write {}", text.trim(), words.join(", ")))
        })
    }
}

/// A score on its scale; condition in quarters, the others in whole points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Score {
    kind: ScoreKind,
    quarters: u8,
}

impl serde::Serialize for ScoreKind {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.word())
    }
}

impl<'de> serde::Deserialize<'de> for ScoreKind {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let word: std::borrow::Cow<'de, str> = serde::Deserialize::deserialize(from)?;
        Self::parse(&word).map_err(serde::de::Error::custom)
    }
}

impl Score {
    /// A score in quarter points; none off its scale or between whole points where only those are given.
    pub fn new(kind: ScoreKind, quarters: u8) -> Option<Self> {
        let (least, most) = kind.range();
        let on = (least * 4..=most * 4).contains(&quarters);
        let whole = kind == ScoreKind::Condition || quarters.is_multiple_of(4);
        (on && whole).then_some(Self { kind, quarters })
    }

    /// `3`, `3.5`, `2.75`, `2,5`, `3½`, `3¼`.
    ///
    /// # Errors
    /// Names the scale.
    pub fn parse(kind: ScoreKind, text: &str) -> Result<Self, Misread> {
        let plain = text.trim().replace(',', ".").replace('¼', ".25").replace('½', ".5").replace('¾', ".75");
        let value = plain.parse::<f64>().ok().filter(|v| (0.0..=10.0).contains(v)).map(|v| v * 4.0);
        value.filter(|v| v.fract() == 0.0).and_then(|v| Self::new(kind, v as u8)).ok_or_else(|| {
            Misread::new(phrase!("'{}' is not a score of {}: {}", text.trim(), kind.word(), kind.scale()))
        })
    }

    /// What is scored.
    pub fn kind(self) -> ScoreKind {
        self.kind
    }

    /// In quarter points, as stored.
    pub fn quarters(self) -> u8 {
        self.quarters
    }

    /// In points.
    pub fn points(self) -> f64 {
        f64::from(self.quarters) / 4.0
    }

    /// `condition 2.5`.
    pub fn words(self) -> String {
        format!("{} {self}", self.kind.word())
    }
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:.2}", self.points());
        f.write_str(text.trim_end_matches('0').trim_end_matches('.'))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_are_on_their_scale() {
        use ScoreKind::{Condition, Dag, Eyelid};
        let read = |k, t: &str| Score::parse(k, t).map(|s| s.to_string()).ok();
        assert_eq!(read(Condition, "2,5").as_deref(), Some("2.5"));
        assert_eq!(read(Condition, "3¼").as_deref(), Some("3.25"));
        assert_eq!(read(Condition, "3").as_deref(), Some("3"));
        assert_eq!(read(Dag, "0").as_deref(), Some("0"));
        for (kind, text) in [
            (Condition, "2.6"),
            (Condition, "0"),
            (Condition, "5.25"),
            (Eyelid, "2.5"),
            (Eyelid, "x"),
            (Dag, "-1"),
            (Dag, "NaN"),
        ] {
            assert_eq!(read(kind, text), None, "{text}");
        }
        let told = Score::parse(Eyelid, "7").unwrap_err().0;
        assert!(told.contains("eyelid") && told.contains("1 red to 5 white"), "{told}");
        for kind in ScoreKind::ALL {
            assert_eq!(ScoreKind::parse(kind.word()), Ok(kind));
            for q in 0..=40 {
                if let Some(s) = Score::new(kind, q) {
                    assert_eq!(Score::parse(kind, &s.to_string()), Ok(s));
                }
            }
        }
    }
}
