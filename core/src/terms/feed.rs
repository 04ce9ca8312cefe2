//! Feed in the trade's words: what a feed holds, whom it is for, what becomes of it, who eats it.

use super::Misread;
use crate::phrase;

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal, $words:literal;)+ } what $what:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        pub enum $name { $($(#[$vdoc])* #[serde(rename = $word)] $variant,)+ }

        impl $name {
            /// All of them, in the order shown.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word as stored and in CSV.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// As people read it.
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $words),+ }
            }

            /// From either.
            ///
            /// # Errors
            /// Says which words there are.
            pub fn parse(text: &str) -> Result<Self, Misread> {
                let low = text.trim().to_lowercase();
                let found = Self::ALL.iter().find(|v| v.word() == low || v.words() == low);
                found.copied().ok_or_else(|| {
                    let all: Vec<&str> = Self::ALL.iter().map(|v| v.word()).collect();
                    Misread::new(phrase!("'{}' is no {}: write {}", text.trim(), $what, all.join(", ")))
                })
            }
        }
    };
}

words! {
    /// What an analysis tells of a feed. Dry matter is of the feed as it is fed; all others are of its dry matter.
    Nutrient {
        /// Dry matter, percent of the feed as fed.
        DryMatter = "dry_matter", "dry matter";
        /// Crude protein, percent of dry matter.
        Protein = "protein", "crude protein";
        /// Metabolisable energy, MJ in each kg of dry matter.
        Energy = "energy", "energy";
        /// Total digestible nutrients, percent of dry matter.
        Tdn = "tdn", "digestible nutrients";
        /// Calcium, g in each kg of dry matter.
        Calcium = "calcium", "calcium";
        /// Phosphorus, g in each kg of dry matter.
        Phosphorus = "phosphorus", "phosphorus";
        /// Copper, mg in each kg of dry matter (parts per million).
        Copper = "copper", "copper";
        /// Molybdenum, mg in each kg of dry matter.
        Molybdenum = "molybdenum", "molybdenum";
        /// Selenium, mg in each kg of dry matter.
        Selenium = "selenium", "selenium";
        /// Crude fibre, percent of dry matter.
        Fibre = "fibre", "crude fibre";
    }
    what "figure of an analysis"
}

impl Nutrient {
    /// Its unit, with its base: `% of dry matter`.
    pub fn unit(self) -> &'static str {
        match self {
            Self::DryMatter => "% as fed",
            Self::Protein | Self::Tdn | Self::Fibre => "% of dry matter",
            Self::Energy => "MJ a kg of dry matter",
            Self::Calcium | Self::Phosphorus => "g a kg of dry matter",
            Self::Copper | Self::Molybdenum | Self::Selenium => "mg a kg of dry matter",
        }
    }

    /// Its unit without a base: `%`, `MJ/kg`.
    pub fn short_unit(self) -> &'static str {
        match self {
            Self::DryMatter | Self::Protein | Self::Tdn | Self::Fibre => "%",
            Self::Energy => "MJ/kg",
            Self::Calcium | Self::Phosphorus => "g/kg",
            Self::Copper | Self::Molybdenum | Self::Selenium => "mg/kg",
        }
    }

    /// The highest figure that can be, in its unit.
    pub fn most(self) -> f64 {
        match self {
            Self::DryMatter => 100.0,
            Self::Protein | Self::Fibre => 100.0,
            Self::Tdn => 250.0,
            Self::Energy => 45.0,
            Self::Calcium | Self::Phosphorus => 1000.0,
            Self::Copper | Self::Molybdenum | Self::Selenium => 1_000_000.0,
        }
    }
}

/// What a feed is reckoned on: as it is fed, water and all, or its dry matter alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
pub enum Base {
    /// As it is fed.
    #[default]
    #[serde(rename = "as fed")]
    AsFed,
    /// Dry matter.
    #[serde(rename = "dry matter")]
    DryMatter,
}

impl Base {
    /// Both.
    pub const ALL: [Self; 2] = [Self::AsFed, Self::DryMatter];

    /// `as fed`, `dry matter`.
    pub fn word(self) -> &'static str {
        match self {
            Self::AsFed => "as fed",
            Self::DryMatter => "dry matter",
        }
    }

    /// From its word.
    ///
    /// # Errors
    /// Says which words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        match text.trim().to_lowercase().replace(['-', '_'], " ").as_str() {
            "as fed" | "fed" | "fresh" => Ok(Self::AsFed),
            "dry matter" | "dry" | "dm" => Ok(Self::DryMatter),
            other => Err(Misread::new(phrase!("'{other}' is no base: write as fed or dry matter"))),
        }
    }
}

/// Figures of an analysis, each in thousandths of its unit and of dry matter; what is not known is not there.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Analysis([Option<u32>; 10]);

impl Analysis {
    /// A figure in its unit, of dry matter (dry matter itself: of the feed as fed).
    pub fn get(&self, what: Nutrient) -> Option<f64> {
        self.thousandths(what).map(|t| f64::from(t) / 1000.0)
    }

    /// A figure in thousandths of its unit.
    pub fn thousandths(&self, what: Nutrient) -> Option<u32> {
        self.0[what as usize]
    }

    /// With a figure, in its unit and of dry matter; rounded to a thousandth.
    ///
    /// # Errors
    /// The figure cannot be: below nothing, or above what there is room for.
    pub fn with(mut self, what: Nutrient, figure: f64) -> Result<Self, Misread> {
        let least = if what == Nutrient::DryMatter { 1.0 } else { 0.0 };
        if !(figure.is_finite() && (least..=what.most()).contains(&figure)) {
            let most = what.most();
            let (name, unit) = (what.words(), what.unit());
            return Err(Misread::new(phrase!(
                "{name} of {figure} {unit} cannot be: write {least} to {most}"
            )));
        }
        self.0[what as usize] = Some((figure * 1000.0).round() as u32);
        Ok(self)
    }

    /// With a figure of thousandths, as stored.
    #[must_use]
    pub fn with_thousandths(mut self, what: Nutrient, figure: Option<u32>) -> Self {
        self.0[what as usize] = figure;
        self
    }

    /// A figure on either base; of the feed as fed only where its dry matter is known.
    pub fn on(&self, what: Nutrient, base: Base) -> Option<f64> {
        match base {
            Base::DryMatter => self.get(what),
            Base::AsFed if what == Nutrient::DryMatter => self.get(what),
            Base::AsFed => Some(self.get(what)? * self.get(Nutrient::DryMatter)? / 100.0),
        }
    }

    /// These figures, and those of `other` where there are none.
    #[must_use]
    pub fn or(&self, other: &Self) -> Self {
        let mut all = self.clone();
        for (mine, theirs) in all.0.iter_mut().zip(other.0) {
            *mine = mine.or(theirs);
        }
        all
    }

    /// No figure at all.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(Option::is_none)
    }
}

words! {
    /// What kind of feed it is.
    FeedKind {
        /// Hay.
        Hay = "hay", "hay";
        /// Straw.
        Straw = "straw", "straw";
        /// Silage and haylage.
        Silage = "silage", "silage";
        /// Grain: barley, oats, maize, wheat.
        Grain = "grain", "grain";
        /// Protein feed: meals, beans, peas.
        Protein = "protein", "protein feed";
        /// What is left of milling, brewing, sugar: bran, beet pulp.
        Byproduct = "byproduct", "by-product";
        /// Bought ready mixed: pellets, nuts.
        Compound = "compound", "bought mix";
        /// Mixed by the keeper.
        Mix = "mix", "own mix";
        /// Minerals, salt, chalk.
        Mineral = "mineral", "mineral";
        /// Milk powder.
        Milk = "milk", "milk powder";
        /// Anything else.
        Other = "other", "other feed";
    }
    what "kind of feed"
}

impl FeedKind {
    /// Hay, straw and silage: what an animal ruminates on. The others are fed beside it, in bounds.
    pub fn is_forage(self) -> bool {
        matches!(self, Self::Hay | Self::Straw | Self::Silage)
    }
}

words! {
    /// Whom a bought feed is made for. Feeds of other stock may hold more copper than sheep can bear.
    MadeFor {
        /// Sheep, by its label.
        Sheep = "sheep", "sheep";
        /// A plain feed of one thing: grain, hay, meal.
        Plain = "plain", "any stock, nothing added";
        /// Cattle.
        Cattle = "cattle", "cattle";
        /// Pigs.
        Pigs = "pigs", "pigs";
        /// Poultry.
        Poultry = "poultry", "poultry";
        /// Horses.
        Horses = "horses", "horses";
        /// Not known.
        Unknown = "unknown", "not known";
    }
    what "stock a feed is made for"
}

words! {
    /// What became of feed.
    FeedChange {
        /// Came to the farm.
        Delivered = "delivered", "delivered";
        /// Mixed of others.
        Mixed = "mixed", "mixed";
        /// Given: a creep filled, a pen fed.
        Fed = "fed", "fed";
        /// Spoiled, spilled, thrown away.
        Wasted = "wasted", "wasted";
        /// Counted: so much was there at the end of the day.
        Counted = "counted", "counted";
    }
    what "thing that becomes of feed"
}

words! {
    /// Who eats: the flock in groups, as their needs differ.
    Eaters {
        /// Ewes neither in lamb, joined nor nursing.
        DryEwes = "dry ewes", "dry ewes";
        /// Ewes running with a ram.
        JoinedEwes = "joined ewes", "ewes with a ram";
        /// Ewes in lamb, before their last weeks.
        EarlyEwes = "ewes in lamb", "ewes in lamb";
        /// Ewes in their last weeks before lambing.
        LateEwes = "late ewes", "ewes in their last weeks";
        /// Ewes nursing one lamb.
        NursingOne = "nursing one", "ewes nursing one";
        /// Ewes nursing two.
        NursingTwo = "nursing two", "ewes nursing two";
        /// Ewes nursing three or more.
        NursingThree = "nursing three", "ewes nursing three";
        /// Young females not yet lambed, weaned long since.
        YoungEwes = "young ewes", "young ewes";
        /// Rams and grown wethers.
        Rams = "rams", "rams and wethers";
        /// Lambs with their dams, old enough for the creep.
        CreepLambs = "creep lambs", "lambs at the creep";
        /// Lambs too young to eat, and those on milk.
        MilkLambs = "milk lambs", "lambs on milk alone";
        /// Weaned lambs.
        WeanedLambs = "weaned lambs", "weaned lambs";
    }
    what "group that eats"
}

words! {
    /// What is looked at by a pen each day.
    CheckKind {
        /// The creep's trough: clean, feed fresh.
        Trough = "trough", "creep trough";
        /// The creep's gate: lambs pass, ewes do not, nothing to be caught on.
        Gate = "gate", "creep gate";
        /// Heat lamp: high enough, cable and chain whole, no bedding near.
        Lamp = "lamp", "heat lamp";
        /// Water.
        Water = "water", "water";
    }
    what "check of a pen"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_analysis_names_its_base() {
        let hay =
            Analysis::default().with(Nutrient::DryMatter, 88.0).and_then(|a| a.with(Nutrient::Protein, 10.0));
        let hay = hay.expect("figures that can be");
        assert_eq!(hay.on(Nutrient::Protein, Base::DryMatter), Some(10.0));
        assert_eq!(hay.on(Nutrient::Protein, Base::AsFed), Some(8.8));
        assert_eq!(hay.get(Nutrient::Copper), None);
        assert!(Analysis::default().with(Nutrient::Protein, 101.0).is_err());
        assert!(Analysis::default().with(Nutrient::DryMatter, 0.0).is_err());
    }

    #[test]
    fn words_are_read_again() {
        for e in Eaters::ALL {
            assert_eq!((Eaters::parse(e.word()), Eaters::parse(e.words())), (Ok(*e), Ok(*e)));
        }
        assert!(FeedChange::parse("eaten").unwrap_err().0.contains("delivered, mixed, fed"));
    }
}
