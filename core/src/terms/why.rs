//! Why: the reason behind a caution, by a name that the help answers. Each caution of the program has one.

use serde::{Deserialize, Serialize};

macro_rules! whys {
    ($($(#[$doc:meta])* $name:ident $key:literal $words:literal,)+) => {
        /// What a caution stands on, in one matter each. The help has a page for each.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Why {
            $($(#[$doc])* $name,)+
        }

        impl Why {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$name,)+];

            /// Its name in files: `off_label`.
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => $key,)+ }
            }

            /// The matter in a few words, to follow `Why:`.
            pub fn words(self) -> &'static str {
                match self { $(Self::$name => $words,)+ }
            }
        }
    };
}

whys! {
    /// How much is given, and by which weight.
    Dose "dose" "the dose",
    /// Needle, site, how much at one place.
    Injection "injection" "needle and site",
    /// Two products in one syringe.
    Syringe "syringe" "one product in a syringe",
    /// A use that is not on the label.
    OffLabel "off_label" "off-label use",
    /// Meat and milk held back.
    Withdrawal "withdrawal" "withdrawal",
    /// Bottles: expiry, opening, what is left.
    Bottle "bottle" "bottles and their days",
    /// What is left over of a medicine.
    Disposal "disposal" "getting rid of medicine",
    /// Until when a ring may be used.
    Rings "rings" "the age for rings",
    /// Tails.
    Docking "docking" "docking",
    /// Testes.
    Castration "castration" "castration",
    /// The stomach tube, colostrum, a cold lamb.
    Tubing "tubing" "tube and cold lambs",
    /// The navel.
    Navel "navel" "the navel",
    /// Drenches by the mouth.
    Drench "drench" "drenching a lamb",
    /// Selenium and vitamin E.
    Selenium "selenium" "selenium",
    /// Vaccines and their course.
    Vaccine "vaccine" "vaccines",
    /// Worms and the drenches against them.
    Worms "worms" "worms",
    /// A turned-in lid.
    Eyelid "eyelid" "the eyelid",
    /// When a lamb may be weaned.
    Weaning "weaning" "weaning",
    /// Handling ewes near lambing.
    HeavyEwe "heavy_ewe" "heavy ewes",
    /// A scan is no birth.
    Scan "scan" "counts at scanning",
    /// The udder after weaning, water, cleansing.
    Udder "udder" "udder and cleansing",
    /// A ram's work.
    Ram "ram" "rams",
    /// Copper.
    Copper "copper" "copper",
    /// A change of feed, and grain.
    FeedChange "feed_change" "a change of feed",
    /// Bladder stones.
    Stones "stones" "bladder stones",
    /// Protein of lambs' feed.
    LambFeed "lamb_feed" "lambs' feed",
    /// Feed with a medicine in it.
    MedicatedFeed "medicated_feed" "medicated feed",
    /// Small parts of a mix.
    EvenMix "even_mix" "an even mix",
    /// Figures of feeds.
    FeedFigures "feed_figures" "figures of feeds",
    /// Creep, gate, lamp.
    Creep "creep" "creep, gate and lamp",
    /// Related parents.
    Inbreeding "inbreeding" "inbreeding",
    /// Recessive genes.
    Genes "genes" "genes",
    /// A parent that cannot be.
    Pedigree "pedigree" "what cannot be in a pedigree",
    /// A figure far from the others.
    OddFigure "odd_figure" "a figure that looks odd",
    /// A day that does not fit.
    OddDay "odd_day" "a day that does not fit",
    /// The same thing written twice.
    Twice "twice" "written twice",
    /// Not the animal that was meant.
    RightAnimal "right_animal" "the right animal",
    /// Copies of the book.
    Copies "copies" "copies of the book",
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_is_what_files_write() {
        for why in Why::ALL {
            let written = serde_json::to_string(why).expect("written");
            assert_eq!(written, format!("\"{}\"", why.key()));
        }
    }
}
