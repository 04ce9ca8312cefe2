//! Words with a fixed set of values: sex, ease, fate, status, route, birth and rear type.

use super::{AnimalId, Misread};
use crate::phrase;

/// Makes a word list: stored word, shown words, parse by any of them.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $what:literal, { $($(#[$vdoc:meta])* $v:ident = $word:literal, $shown:literal $(, $alias:literal)*;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$vdoc])* $v,)+ }

        impl $name {
            /// All of them, in the order shown.
            pub const ALL: &'static [Self] = &[$(Self::$v),+];

            /// The word as stored and in CSV.
            pub fn word(self) -> &'static str { match self { $(Self::$v => $word),+ } }

            /// As people read it.
            pub fn words(self) -> &'static str { match self { $(Self::$v => $shown),+ } }

            /// From the stored or shown word, in any case.
            ///
            /// # Errors
            /// Names what was read and the words there are.
            pub fn parse(text: &str) -> Result<Self, Misread> {
                match text {
                    $($word => return Ok(Self::$v),)+
                    _ => {}
                }
                let low = text.trim().to_lowercase();
                $(if low == $word || low == $shown $(|| low == $alias)* { return Ok(Self::$v); })+
                Err(Misread::new(phrase!("'{}' is not {}: write {}", text.trim(), $what, [$($word),+].join(", "))))
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.word())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let word: std::borrow::Cow<'de, str> = serde::Deserialize::deserialize(from)?;
                Self::parse(&word).map_err(serde::de::Error::custom)
            }
        }
    };
}

words! {
    /// Sex of an animal; a wether is a castrated ram.
    Sex, "a sex", {
        /// Female.
        Ewe = "ewe", "ewe", "f", "female", "e", "gimmer", "theave", "chilver", "yow";
        /// Entire male.
        Ram = "ram", "ram", "m", "male", "r", "tup";
        /// Castrated male.
        Wether = "wether", "wether", "w", "wedder";
    }
}

words! {
    /// What an animal is meant for.
    #[derive(Default)]
    MeantFor, "a use", {
        /// Kept to breed from: a ram lamb stays entire.
        Breeding = "breeding", "breeding";
        /// For the market.
        Market = "market", "the market";
        /// Not yet decided.
        #[default]
        Undecided = "undecided", "not yet decided";
    }
}

impl Sex {
    /// As said of a lamb: ewe lamb, ram lamb, wether lamb.
    pub fn lamb_words(self) -> &'static str {
        match self {
            Self::Ewe => "ewe lamb",
            Self::Ram => "ram lamb",
            Self::Wether => "wether lamb",
        }
    }

    /// ♀ or ♂.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Ewe => "♀",
            Self::Ram | Self::Wether => "♂",
        }
    }
}

words! {
    /// How it is known that a ewe was mated.
    MarkKind, "a way to know of a mating", {
        /// The ram's crayon left its mark on her.
        Crayon = "crayon", "crayon mark", "mark", "raddle";
        /// The mating was watched.
        Seen = "seen", "mating seen";
    }
}

words! {
    /// What a scan found. A count is never the number born: triplets above all are often miscounted.
    Scanned, "a scan result", {
        /// No lamb.
        Empty = "empty", "empty", "0", "barren";
        /// One lamb.
        One = "1", "single", "one";
        /// Two lambs.
        Two = "2", "twins", "two";
        /// Three or more.
        Three = "3", "triplets or more", "three", "triplets", "3+";
        /// In lamb, not counted.
        InLamb = "in lamb", "in lamb, not counted";
    }
}

words! {
    /// What a test says of a recessive gene.
    GeneStatus, "a test result", {
        /// Both copies are sound.
        Clear = "clear", "clear", "n/n";
        /// One copy is faulty; the animal itself is healthy.
        Carrier = "carrier", "carrier";
        /// Both copies are faulty.
        Affected = "affected", "affected";
    }
}

words! {
    /// How animals came to the scale.
    Gut, "a state at the scale", {
        /// Off feed long enough to be empty.
        Fasted = "fasted", "fasted", "empty";
        /// Straight from feed or milk.
        Full = "full", "full", "fed";
    }
}

words! {
    /// What was decided of an animal.
    Decided, "a decision", {
        /// A ram lamb stays entire.
        Entire = "entire", "keep entire", "keep";
        /// A ram lamb is to be castrated.
        Castrate = "castrate", "castrate";
        /// Kept in the flock to breed from.
        Breed = "breed", "keep for breeding", "breeding";
        /// Kept to be shown.
        Show = "show", "show";
        /// To be sold to breed from elsewhere.
        Sell = "sell", "sell for breeding";
        /// For the market.
        Market = "market", "market";
        /// A ewe that stays another year.
        Stay = "stay", "stays";
        /// To leave the flock.
        Cull = "cull", "cull";
        /// Decide later.
        Later = "later", "decide later", "wait";
    }
}

words! {
    /// What money was spent on or taken for.
    MoneyKind, "a kind of cost or income", {
        /// Feed.
        Feed = "feed", "feed";
        /// Vet and medicine.
        Vet = "vet", "vet and medicine";
        /// Bedding.
        Bedding = "bedding", "bedding";
        /// Shearing.
        Shearing = "shearing", "shearing";
        /// Tags.
        Tags = "tags", "tags";
        /// Market, haulage, commission.
        Marketing = "marketing", "market and haulage";
        /// Rams bought or hired.
        Rams = "rams", "rams";
        /// Ewes bought.
        Ewes = "ewes", "ewes bought";
        /// Anything else spent.
        OtherCost = "other cost", "other costs";
        /// Lambs sold.
        Lambs = "lambs", "lambs sold";
        /// Culls sold.
        Culls = "culls", "culls sold";
        /// Wool sold.
        Wool = "wool", "wool";
        /// Anything else taken.
        OtherIncome = "other income", "other income";
    }
}

impl MoneyKind {
    /// Money taken, not spent.
    pub fn is_income(self) -> bool {
        matches!(self, Self::Lambs | Self::Culls | Self::Wool | Self::OtherIncome)
    }
}

words! {
    /// What became of a lamb at its birth.
    Fate, "a fate", {
        /// Born alive and, as far as known, living since.
        Alive = "alive", "alive", "a";
        /// Born dead.
        BornDead = "born dead", "born dead", "dead", "stillborn", "d";
        /// Born alive, died since.
        Died = "died", "died since", "died";
    }
}

words! {
    /// Ease of a lambing, 1 to 5 (classes of the ICAR ADE v1.3.2 type of the same meaning).
    Ease, "an ease of lambing", {
        /// Easy, no help.
        Unassisted = "1", "no help", "none";
        /// Easy, some help.
        Slight = "2", "slight help", "slight";
        /// Difficult, extra help.
        Hard = "3", "hard pull", "hard";
        /// Difficult, the vet helped.
        Vet = "4", "vet helped", "vet";
        /// Caesarean or other surgery.
        Surgery = "5", "surgery", "caesarean";
    }
}

words! {
    /// An animal's standing in the flock.
    Status, "a status", {
        /// In the flock.
        Present = "in the flock", "in the flock", "in", "alive", "active";
        /// Lent to another flock.
        Lent = "lent", "lent";
        /// Sold.
        Sold = "sold", "sold";
        /// Died.
        Dead = "dead", "dead", "died";
        /// Culled, or sent to slaughter.
        Culled = "culled", "culled", "slaughter", "slaughtered";
        /// Missing.
        Missing = "missing", "missing";
        /// Never of this flock: an ancestor kept for the pedigree.
        Outside = "outside", "outside the flock", "ancestor";
    }
}

impl Status {
    /// May the animal be lambed, weighed, treated today: it is in the flock or on loan.
    pub fn is_here(self) -> bool {
        matches!(self, Self::Present)
    }
}

words! {
    /// How a medicine was given.
    Route, "a route", {
        /// Under the skin.
        Subcutaneous = "subcutaneous", "under the skin", "sc", "s/c", "subcut", "skin";
        /// Into the muscle.
        Intramuscular = "intramuscular", "into the muscle", "im", "i/m", "muscle";
        /// By mouth.
        Oral = "oral", "by mouth", "po", "mouth", "drench";
        /// Poured or sprayed on.
        Topical = "topical", "on the skin", "pour on", "pour-on", "spray";
        /// Into a vein.
        Intravenous = "intravenous", "into a vein", "iv", "vein";
        /// Into the udder.
        Intramammary = "intramammary", "into the udder", "udder";
        /// Into the eye.
        Eye = "eye", "into the eye", "ocular";
        /// Mixed into the feed of a group.
        Feed = "feed", "in the feed", "in feed";
        /// In the drinking water of a group.
        Water = "water", "in the water", "in water", "drinking water";
        /// A footbath or dip.
        Bath = "bath", "in a footbath", "footbath", "foot bath";
        /// Any other way.
        Other = "other", "another way";
    }
}

words! {
    /// What a product is, as far as the papers ask.
    ProductClass, "a class of product", {
        /// None of the others.
        Other = "other", "none of these";
        /// Against bacteria.
        Antibiotic = "antibiotic", "antibiotic", "antimicrobial";
        /// A vaccine.
        Vaccine = "vaccine", "vaccine";
        /// Against worms.
        Wormer = "wormer", "worm drench", "anthelmintic";
    }
}

#[allow(clippy::derivable_impls)] // the macro makes the type
impl Default for ProductClass {
    fn default() -> Self {
        Self::Other
    }
}

/// How many lambs were born together, dead ones counted: 1 single, 2 twin, up to 7.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BirthType(u8);

impl BirthType {
    /// 1 to 7.
    pub fn new(n: u32) -> Option<Self> {
        (1..=7).contains(&n).then_some(Self(n as u8))
    }

    /// The count.
    pub fn count(self) -> u8 {
        self.0
    }

    /// `2`, `twin`.
    ///
    /// # Errors
    /// Says what was read and the forms there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        count(text).and_then(|n| Self::new(u32::from(n))).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' is not a birth type: write 1 to 7, or single, twin, triplet",
                text.trim()
            ))
        })
    }

    /// single, twin, triplet, quadruplet, one of 5.
    pub fn words(self) -> String {
        litter(self.0)
    }
}

/// How many lambs were reared together by one ewe, fostered ones counted; 0 is reared by bottle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RearType(u8);

impl RearType {
    /// 0 to 7.
    pub fn new(n: u32) -> Option<Self> {
        (n <= 7).then_some(Self(n as u8))
    }

    /// The count.
    pub fn count(self) -> u8 {
        self.0
    }

    /// `2`, `twin`, `0`, `bottle`.
    ///
    /// # Errors
    /// Says what was read and the forms there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().eq_ignore_ascii_case("bottle") {
            return Ok(Self(0));
        }
        count(text).map(Self).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' is not a rear type: write 0 to 7, or single, twin, bottle",
                text.trim()
            ))
        })
    }

    /// by bottle, single, twin, …
    pub fn words(self) -> String {
        if self.0 == 0 { "bottle".into() } else { litter(self.0) }
    }
}

fn count(text: &str) -> Option<u8> {
    match text.trim().to_lowercase().as_str() {
        "single" | "singles" => Some(1),
        "twin" | "twins" => Some(2),
        "triplet" | "triplets" => Some(3),
        "quadruplet" | "quadruplets" => Some(4),
        n => n.parse().ok().filter(|n| *n <= 7),
    }
}

fn litter(n: u8) -> String {
    match n {
        1 => "single".into(),
        2 => "twin".into(),
        3 => "triplet".into(),
        4 => "quadruplet".into(),
        n => phrase!("one of {n}"),
    }
}

/// Who rears a lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Rearing {
    /// The ewe that bore it.
    #[default]
    Dam,
    /// Another ewe: fostered.
    Foster(AnimalId),
    /// People, by bottle.
    Bottle,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_round_trip() {
        for s in Status::ALL {
            assert_eq!(Status::parse(s.word()), Ok(*s));
            assert_eq!(Status::parse(s.words()), Ok(*s));
        }
        for r in Route::ALL {
            assert_eq!(Route::parse(r.word()), Ok(*r));
        }
        assert_eq!(Ease::parse("3"), Ok(Ease::Hard));
        assert_eq!(Fate::parse("died"), Ok(Fate::Died));
        assert!(Sex::parse("x").is_err());
        assert_eq!(BirthType::parse("twin").unwrap().count(), 2);
        assert!(BirthType::parse("0").is_err());
        assert_eq!(RearType::parse("bottle").unwrap().words(), "bottle");
    }
}
