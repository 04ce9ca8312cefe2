//! The kinds of files and their columns.

use crate::terms::Misread;

/// A column of a kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name in the header line.
    pub name: &'static str,
    /// The file must have it.
    pub needed: bool,
    /// What stands in it, in a few words.
    pub about: &'static str,
}

pub(super) const fn must(name: &'static str, about: &'static str) -> Column {
    Column { name, needed: true, about }
}

pub(super) const fn may(name: &'static str, about: &'static str) -> Column {
    Column { name, needed: false, about }
}

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Animals, ancestors outside the flock included.
    Animals,
    /// Lambings, one row a lamb.
    Lambings,
    /// Weighings.
    Weighings,
    /// Treatments.
    Treatments,
    /// Products of the medicine cupboard.
    Products,
    /// Ewes joined with a ram, one row a ewe.
    Joinings,
    /// Comings, goings and deaths.
    Movements,
    /// Medicine bought.
    Batches,
    /// Medicine wasted, disposed of, counted.
    Stock,
    /// Vets.
    Vets,
    /// Prescriptions.
    Prescriptions,
    /// Egg counts.
    EggCounts,
    /// Crayon marks and matings seen.
    Marks,
    /// Crayons put on rams, changed, taken off.
    Crayons,
    /// Scans.
    Scans,
    /// Tests of genes and parents.
    Tests,
    /// Sessions at the scale.
    Sessions,
    /// Scores.
    Scores,
    /// Decisions what animals are kept for.
    Decisions,
    /// Contemporary groups mended by hand.
    Groups,
    /// Money spent and taken.
    Money,
    /// Feeds.
    Feeds,
    /// Measures of feed weighed out.
    Measures,
    /// Analysis sheets.
    FeedSheets,
    /// Creeps.
    Creeps,
    /// Daily rations.
    Rations,
    /// What became of feed.
    FeedMoves,
    /// Checks of the pens.
    PenChecks,
}

impl Kind {
    /// All of them, in the order in which a whole flock is best imported: each names only what came before it.
    pub const ALL: [Self; 28] = [
        Self::Animals,
        Self::Joinings,
        Self::Lambings,
        Self::Sessions,
        Self::Weighings,
        Self::Scores,
        Self::Vets,
        Self::Prescriptions,
        Self::Treatments,
        Self::Products,
        Self::Batches,
        Self::Stock,
        Self::EggCounts,
        Self::Movements,
        // A mark without a colour takes that of the ram's crayon, if there is one: marks come in as they are.
        Self::Marks,
        Self::Crayons,
        Self::Scans,
        Self::Tests,
        Self::Decisions,
        Self::Groups,
        Self::Money,
        Self::Feeds,
        Self::Measures,
        Self::FeedSheets,
        Self::Creeps,
        Self::Rations,
        Self::FeedMoves,
        Self::PenChecks,
    ];

    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Animals => "animals",
            Self::Lambings => "lambings",
            Self::Weighings => "weighings",
            Self::Treatments => "treatments",
            Self::Products => "products",
            Self::Joinings => "joinings",
            Self::Movements => "movements",
            Self::Batches => "batches",
            Self::Stock => "stock",
            Self::Vets => "vets",
            Self::Prescriptions => "prescriptions",
            Self::EggCounts => "egg-counts",
            Self::Marks => "marks",
            Self::Crayons => "crayons",
            Self::Scans => "scans",
            Self::Tests => "tests",
            Self::Sessions => "sessions",
            Self::Scores => "scores",
            Self::Decisions => "decisions",
            Self::Groups => "groups",
            Self::Money => "money",
            Self::Feeds => "feeds",
            Self::Measures => "measures",
            Self::FeedSheets => "feed-sheets",
            Self::Creeps => "creeps",
            Self::Rations => "rations",
            Self::FeedMoves => "feed-moves",
            Self::PenChecks => "pen-checks",
        }
    }

    /// What a person calls it: the word, without a hyphen.
    pub fn name(self) -> &'static str {
        match self {
            Self::EggCounts => "egg counts",
            Self::FeedSheets => "analysis sheets",
            Self::FeedMoves => "feed in and out",
            Self::PenChecks => "checks of pens",
            other => other.word(),
        }
    }

    /// From the word.
    ///
    /// # Errors
    /// Names the words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase().replace(['_', ' '], "-");
        Self::ALL.into_iter().find(|k| k.word() == low).ok_or_else(|| {
            let words: Vec<_> = Self::ALL.into_iter().map(Self::word).collect();
            Misread::new(format!("'{}' is not a kind of file: write {}", text.trim(), words.join(", ")))
        })
    }

    /// `1 animal`, `12 animals`, `0 lambs`.
    pub fn count(self, n: usize) -> String {
        let (one, many) = match self {
            Self::Lambings => ("lamb", "lambs"), // one row a lamb
            Self::Batches => ("batch", "batches"),
            Self::Stock => ("line of stock", "lines of stock"),
            Self::EggCounts => ("egg count", "egg counts"),
            Self::Groups => ("animal in a group", "animals in groups"),
            Self::Money => ("amount", "amounts"),
            Self::FeedSheets => ("analysis sheet", "analysis sheets"),
            Self::Rations => ("line of rations", "lines of rations"),
            Self::FeedMoves => ("line of feed", "lines of feed"),
            Self::PenChecks => ("check of a pen", "checks of pens"),
            other => (other.word().trim_end_matches('s'), other.word()),
        };
        format!("{n} {}", if n == 1 { one } else { many })
    }

    /// Its columns in the order they are written.
    pub fn columns(self) -> &'static [Column] {
        match self {
            Self::Animals => ANIMALS,
            Self::Lambings => LAMBINGS,
            Self::Weighings => WEIGHINGS,
            Self::Treatments => TREATMENTS,
            Self::Products => PRODUCTS,
            Self::Joinings => JOININGS,
            Self::Movements => super::movements::COLUMNS,
            Self::Batches => super::batches::COLUMNS,
            Self::Stock => super::stock::COLUMNS,
            Self::Vets => super::vets::VETS,
            Self::Prescriptions => super::vets::PRESCRIPTIONS,
            Self::EggCounts => super::eggs::COLUMNS,
            Self::Marks => super::marks::MARKS,
            Self::Crayons => super::marks::CRAYONS,
            Self::Scans => super::scans::COLUMNS,
            Self::Tests => super::gene_tests::COLUMNS,
            Self::Sessions => super::sessions::COLUMNS,
            Self::Scores => super::scores::COLUMNS,
            Self::Decisions => super::decided::DECISIONS,
            Self::Groups => super::decided::GROUPS,
            Self::Money => super::money::COLUMNS,
            Self::Feeds => super::fed::FEEDS,
            Self::Measures => super::fed::MEASURES,
            Self::FeedSheets => super::fed::SHEETS,
            Self::Creeps => super::fed::CREEPS,
            Self::Rations => super::fed::RATIONS,
            Self::FeedMoves => super::fed::MOVES,
            Self::PenChecks => super::fed::CHECKS,
        }
    }

    pub(super) fn names(self) -> Vec<&'static str> {
        self.columns().iter().map(|c| c.name).collect()
    }
}

const ANIMALS: &[Column] = &[
    must("tag", "what it is called by: its flock tag"),
    must("sex", "ewe, ram or wether"),
    may("name", "registry or pet name"),
    may("breed", "Fellside, or parts: Fellside 3/4 + Hillgrey 1/4"),
    may("born", "2026-04-03, ~2026-04-03 if estimated, or the year 2026"),
    may("dam", "tag of its dam, in this file or in the book"),
    may("sire", "tag of its sire; several with | between are one of several"),
    may("birth_type", "how many were born together: 1 to 7"),
    may("rear_type", "how many were reared together: 0 (bottle) to 7"),
    may("birth_weight_kg", "weight at birth"),
    may("pen", "pen or field"),
    may("status", "in the flock (if blank), lent, sold, dead, culled, missing, outside"),
    may("status_on", "since which day"),
    may("status_reason", "why"),
    may("genetic_dam", "tag of the ewe whose egg it was, after embryo transfer"),
    may("reared_by", "tag of a foster ewe, or bottle; blank: its dam"),
    may("electronic", "official electronic number of 15 digits"),
    may("official", "official visible mark"),
    may("registry", "number in a breed registry"),
    may(
        "other_tags",
        "further or lost marks with | between: flock 0399, from 2020-03-01, lost 2023-04-01 | official UK0123456 00123",
    ),
    may("colour", "colour of fleece and face"),
    may("marks", "other marks"),
    may("note", "the keeper's standing note"),
    may("meant_for", "breeding, market; blank: not yet decided"),
    may("prefix", "the breeder's prefix in the registry"),
    may("section", "section or grade of the registry"),
];

const LAMBINGS: &[Column] = &[
    must("ewe", "tag of the ewe"),
    must("on", "day; rows of one ewe and day are one lambing, in order of birth"),
    must("lamb", "tag of the lamb, new or in the book already; blank: tagged later"),
    must("sex", "ewe, ram or wether"),
    may("time", "06:40"),
    may("ram", "tag of the ram; several with | between are one of several"),
    may("ease", "1 no help, 2 slight help, 3 hard pull, 4 vet, 5 surgery"),
    may("birth_weight_kg", "weight at birth"),
    may("fate", "alive (if blank), born dead, died"),
    may("reared_by", "tag of a foster ewe, or bottle; blank: the ewe herself"),
    may("note", "what else was seen at the lambing"),
    may("help", "help given"),
    may("lamb_ease", "ease of this lamb's birth, where it differs"),
    may("sucked", "yes or no"),
    may("navel_dipped", "yes or no"),
    may("colostrum_ml", "colostrum given by tube or bottle"),
    may("name", "the lamb's name"),
    may("electronic", "the lamb's electronic number"),
    may("colour", "the lamb's colour"),
    may("died_on", "day it died"),
    may("died_of", "why it died"),
];

const WEIGHINGS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day"),
    must("weight_kg", "weight"),
    may("time", "06:40"),
    may("note", "remark"),
    may("session", "the session at the scale: 2026-04-08 1 is the first of that day"),
];

const TREATMENTS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day"),
    must("product", "name on the label"),
    may("time", "06:40"),
    may("batch", "batch number"),
    may("dose_ml", "amount given, in millilitres"),
    may("route", "subcutaneous, intramuscular, oral, …; blank: the product's"),
    may("reason", "why"),
    may("given_by", "who gave it"),
    may("prescribed_by", "who prescribed it"),
    may("meat_days", "meat withdrawal: 28, 60h, 0, never, unknown; blank: the product's"),
    may("milk_days", "milk withdrawal, likewise"),
    may("dose", "an amount that is not in millilitres: 500 mg, 1 piece"),
    may("site", "where on the body"),
    may("export_days", "meat withdrawal for export, likewise"),
    may("vet_gave", "yes if a vet gave it"),
    may("off_label", "in what it is not as the label says: species, route, dose, reason, mixed"),
    may("prescription", "its number; without one, day, vet and product: 2026-04-03 I. Corvane: Meloxicam"),
    may("course", "the same word for all doses of one course, such as 1"),
    may("course_dose", "which dose of the course: 1, 2, …"),
    may("course_of", "how many doses it is to have; the last dose given says when it was cut short"),
    may("course_hours", "hours from one dose to the next"),
];

const PRODUCTS: &[Column] = &[
    must("product", "name on the label; a name in the book already takes the new facts"),
    may("substance", "active substance"),
    may("form", "injection, drench, pour-on, …"),
    may("mg_per_ml", "strength"),
    may("dose_ml_per_kg", "dose for each kilogram"),
    may("dose_ml_per_head", "dose for each head, whatever its weight"),
    may("route", "usual route"),
    may("meat_days", "meat withdrawal of the label: 28, 60h, 0, never; blank: unknown"),
    may("milk_days", "milk withdrawal, likewise"),
    may("licensed_for", "species on the label"),
    may("export_days", "meat withdrawal for export, likewise"),
    may("opened_days", "to be used up so many days after opening"),
    may("storage", "how it is to be kept"),
    may("prescription_only", "yes if it is"),
    may("class", "antibiotic, vaccine, wormer, other (if blank)"),
    may("most_ml", "the most the label allows at once, in millilitres; else 500 mg, 2 pieces"),
    may("site_most_ml", "the most at one place, likewise"),
    may(
        "routes",
        "routes on the label with their meat/milk/export periods: oral 14/never/; subcutaneous 28/60h/42",
    ),
];

const JOININGS: &[Column] = &[
    must("ram", "tag of the ram"),
    must("ewe", "tag of the ewe"),
    must("from", "first day together, or the day of service"),
    may("to", "last day; blank while it lasts"),
    may("method", "how, in words"),
    may("group", "name of the group that runs together: a field, a number"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_columns_of_the_contract_are_there() {
        // The command line's contract: columns may be added, never changed; those before '|' are required.
        for (kind, needed, others) in [
            (
                Kind::Animals,
                "tag,sex",
                "name,breed,born,dam,sire,birth_type,rear_type,birth_weight_kg,pen,status,status_on",
            ),
            (Kind::Lambings, "ewe,on,lamb,sex", "time,ram,ease,birth_weight_kg,fate,reared_by,note"),
            (Kind::Weighings, "tag,on,weight_kg", "time"),
            (
                Kind::Products,
                "product",
                "substance,form,mg_per_ml,dose_ml_per_kg,dose_ml_per_head,route,meat_days,milk_days,licensed_for",
            ),
            (
                Kind::Treatments,
                "tag,on,product",
                "time,batch,dose_ml,route,reason,given_by,prescribed_by,meat_days,milk_days",
            ),
            (Kind::Joinings, "ram,ewe,from", "to,method,group"),
            (Kind::Movements, "tag,on,to", "other,reason,number,address,carrier,vehicle,document,cause"),
            (Kind::Batches, "product,number", "expiry,bought_on,supplier,supplier_address,quantity"),
            (Kind::Stock, "product,on,kind", "batch,quantity,how,place,reason"),
            (Kind::Vets, "name", "practice,address,contact,number"),
            (Kind::Prescriptions, "vet,on,product", "number,valid_to,whom,dose,reason,off_label,meat_days"),
            (Kind::EggCounts, "on,epg", "tag,group,product,treated_on,note"),
            (Kind::Marks, "ewe,on", "kind,ram,colour,note"),
            (Kind::Crayons, "ram,on", "colour"),
            (Kind::Scans, "ewe,on,found", "age_days,note"),
            (Kind::Tests, "tag,on,kind", "what,result,parent,lab,number,note"),
            (Kind::Feeds, "name,kind", "like,made_for,bag_kg,price,dry_matter_percent,protein_percent_dm"),
            (Kind::Measures, "feed,name,on,weighed_kg", ""),
            (Kind::FeedSheets, "feed,on", "lab,number,batch,dry_matter_percent"),
            (Kind::Creeps, "pen,from", "to,feed,holds_kg,note"),
            (Kind::Rations, "eaters,feed,from,each_kg", "pen,measure,note"),
            (Kind::FeedMoves, "feed,on,change", "amount_kg,time,pen,level,batch,price,supplier,invoice"),
            (Kind::PenChecks, "pen,on,what", "time,fault,note"),
        ] {
            let of = |needed| {
                kind.columns().iter().filter(move |c| c.needed == needed).map(|c| c.name).collect::<Vec<_>>()
            };
            assert_eq!(of(true).join(","), needed);
            assert!(of(false).join(",").starts_with(others), "{kind:?}");
            assert_eq!(Kind::parse(kind.word()), Ok(kind));
        }
        assert!(Kind::parse("sheep").unwrap_err().0.contains("animals, joinings"));
        assert_eq!(Kind::Lambings.count(1), "1 lamb");
        assert_eq!(Kind::Animals.count(2), "2 animals");
        assert_eq!(
            (Kind::Batches.count(1), Kind::Stock.count(2)),
            ("1 batch".into(), "2 lines of stock".into())
        );
        assert_eq!(Kind::parse("Egg counts"), Ok(Kind::EggCounts));
        assert_eq!(
            (Kind::FeedMoves.count(2), Kind::Feeds.count(1)),
            ("2 lines of feed".into(), "1 feed".into())
        );
    }
}
