//! Common feeds with what tables say of them, each figure with its ground. A table is no analysis: feeds vary, and an
//! analysis sheet of the batch goes before the label, the label before these.

use super::{Ground, Marked, shipped};
use crate::phrase;
use crate::terms::{Analysis, FeedKind, MadeFor, Nutrient};
use serde::Deserialize;
use std::sync::LazyLock;

/// A common feed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Row")]
pub struct Known {
    /// Its key, which a keeper's feed names that is like it.
    pub key: String,
    /// As people call it.
    pub name: String,
    /// What kind of feed it is.
    pub kind: FeedKind,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// What it holds, as far as it is known.
    pub analysis: Analysis,
    /// What its main figures stand on.
    pub ground: Ground,
    grounds: Vec<(Nutrient, Ground)>,
}

impl Known {
    /// What one figure stands on; none where there is none.
    pub fn ground_of(&self, what: Nutrient) -> Option<&Ground> {
        self.grounds.iter().find(|(n, _)| *n == what).map(|(_, ground)| ground)
    }
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct Row {
    key: String,
    name: String,
    kind: Option<FeedKind>,
    made_for: Option<MadeFor>,
    #[serde(default)]
    figures: Vec<Figures>,
    source: String,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Figures {
    dry_matter: Option<f64>,
    protein: Option<f64>,
    energy: Option<f64>,
    tdn: Option<f64>,
    calcium: Option<f64>,
    phosphorus: Option<f64>,
    copper: Option<f64>,
    molybdenum: Option<f64>,
    selenium: Option<f64>,
    fibre: Option<f64>,
    source: String,
    seen: Option<bool>,
}

impl Figures {
    fn each(&self) -> [(Nutrient, Option<f64>); 10] {
        [
            (Nutrient::DryMatter, self.dry_matter),
            (Nutrient::Protein, self.protein),
            (Nutrient::Energy, self.energy),
            (Nutrient::Tdn, self.tdn),
            (Nutrient::Calcium, self.calcium),
            (Nutrient::Phosphorus, self.phosphorus),
            (Nutrient::Copper, self.copper),
            (Nutrient::Molybdenum, self.molybdenum),
            (Nutrient::Selenium, self.selenium),
            (Nutrient::Fibre, self.fibre),
        ]
    }
}

impl TryFrom<Row> for Known {
    type Error = String;

    fn try_from(row: Row) -> Result<Self, String> {
        let (mut analysis, mut grounds) = (Analysis::default(), Vec::new());
        for figures in row.figures {
            let each = figures.each();
            let ground = Marked::new(figures.source, figures.seen).ground()?;
            for (what, figure) in each.into_iter().filter_map(|(what, f)| Some((what, f?))) {
                if analysis.get(what).is_some() {
                    return Err(phrase!("{}: {} stands twice", row.key, what.words()));
                }
                analysis = analysis.with(what, figure).map_err(|e| format!("{}: {}", row.key, e.0))?;
                grounds.push((what, ground.clone()));
            }
        }
        Ok(Self {
            kind: row.kind.ok_or_else(|| phrase!("{}: what kind of feed is it?", row.key))?,
            made_for: row.made_for.unwrap_or(MadeFor::Plain),
            ground: Marked::new(row.source, row.seen).ground()?,
            key: row.key,
            name: row.name,
            analysis,
            grounds,
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    feed: Vec<Known>,
}

static TABLE: LazyLock<Table> =
    LazyLock::new(|| shipped("feeds.toml", include_str!("../../../resources/feeds.toml")));

/// All of them, in the order of the table: forage first.
pub fn all() -> &'static [Known] {
    &TABLE.feed
}

/// By its key.
pub fn by_key(key: &str) -> Option<&'static Known> {
    all().iter().find(|f| f.key == key)
}

/// By its name or key as people type it; letters in any case.
pub fn by_name(text: &str) -> Option<&'static Known> {
    let low = text.trim().to_lowercase();
    all().iter().find(|f| f.key == low || f.name.to_lowercase() == low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_feed_is_one_of_its_kind() {
        assert!((35..=50).contains(&all().len()), "{}", all().len());
        let keys: BTreeSet<&str> = all().iter().map(|f| f.key.as_str()).collect();
        let names: BTreeSet<String> = all().iter().map(|f| f.name.to_lowercase()).collect();
        assert_eq!((keys.len(), names.len()), (all().len(), all().len()));
        for f in all() {
            assert!(f.analysis.get(Nutrient::DryMatter).is_some(), "{}: dry matter", f.key);
            assert_eq!(f.key, f.key.to_lowercase());
            assert_eq!(by_name(&f.name).map(|g| &g.key), Some(&f.key));
            for what in Nutrient::ALL {
                assert_eq!(
                    f.ground_of(*what).is_some(),
                    f.analysis.get(*what).is_some(),
                    "{} {what:?}",
                    f.key
                );
            }
        }
    }

    /// What is like must be like: kinds keep to the bounds feed tables give them.
    #[test]
    fn figures_lie_where_their_kind_lies() {
        let bounds = |f: &Known| match f.kind {
            FeedKind::Hay => ((80.0, 92.0), (7.0, 20.0)),
            FeedKind::Straw => ((80.0, 92.0), (2.5, 9.0)),
            FeedKind::Grain => ((85.0, 90.0), (9.0, 15.0)),
            FeedKind::Protein => ((86.0, 94.0), (20.0, 56.0)),
            FeedKind::Compound => ((85.0, 90.0), (14.0, 24.0)),
            _ => ((10.0, 100.0), (0.0, 35.0)),
        };
        for f in all() {
            let ((dry_low, dry_high), (low, high)) = bounds(f);
            let dry = f.analysis.get(Nutrient::DryMatter).unwrap();
            assert!((dry_low..=dry_high).contains(&dry), "{}: {dry}", f.key);
            if let Some(protein) = f.analysis.get(Nutrient::Protein) {
                assert!((low..=high).contains(&protein), "{}: {protein}", f.key);
            }
            // Energy and digestible nutrients tell the same story: about 15 MJ a kg of digestible nutrients.
            if let (Some(me), Some(tdn)) = (f.analysis.get(Nutrient::Energy), f.analysis.get(Nutrient::Tdn))
                && tdn > 0.0
            {
                assert!((13.2..=17.0).contains(&(me / tdn * 100.0)), "{}: {me} MJ, {tdn} %", f.key);
            }
        }
    }

    #[test]
    fn broken_rows_are_refused() {
        let read = |text: &str| toml::from_str::<Table>(text).map(|_| ()).map_err(|e| e.to_string());
        let row = "[[feed]]\nkey = \"x\"\nname = \"X\"\nkind = \"hay\"\nsource = \"A table\"\nseen = true\n";
        let dry = "[[feed.figures]]\ndry_matter = 86\nsource = \"A table\"\nseen = false\n";
        assert_eq!(read(&format!("{row}{dry}")), Ok(()));
        assert!(read(&format!("{row}{dry}{dry}")).unwrap_err().contains("stands twice"));
        assert!(read(&format!("{row}{}", dry.replace("86", "101"))).unwrap_err().contains("cannot be"));
        assert!(read(&row.replace("kind = \"hay\"\n", "")).unwrap_err().contains("what kind"));
        assert!(read(&row.replace("seen = true\n", "")).unwrap_err().contains("needs the mark"));
        assert!(read(&format!("{row}water = 1\n")).unwrap_err().contains("unknown field"));
    }
}
