//! The feed room: feeds, what became of them, analysis sheets, measures weighed out, creeps, daily rations and checks
//! of the pens.

use super::{RecordRef, Struck};
use crate::phrase;
use crate::terms::{
    Analysis, CheckKind, CreepId, Day, Dose, Eaters, FeedChange, FeedId, FeedKind, FeedMoveId, FeedSheetId,
    Level, MadeFor, Mass, MeasureId, Minute, Misread, Nutrient, PenCheckId, Price, ProductId, RationId,
    Units, norm,
};

/// A whole mix, in the unit of its parts' shares: a hundred thousandth as fed.
pub const WHOLE: u32 = 100_000;

/// A feed of the keeper's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feed {
    /// Its id.
    pub id: FeedId,
    /// Its name.
    pub name: String,
    /// What kind it is.
    pub kind: FeedKind,
    /// Key of the handbook's feed whose figures fill the gaps.
    pub like: Option<String>,
    /// Figures of its own label.
    pub own: Analysis,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// What a bag or bale of it weighs.
    pub bag: Option<Mass>,
    /// Price of a bag; of a tonne where it does not come in bags.
    pub price: Option<Price>,
    /// What it is mixed of, as fed; empty where it is bought or grown.
    pub parts: Vec<FeedPart>,
    /// Medicine in it.
    pub medicine: Option<Medicated>,
    /// Note.
    pub note: Option<String>,
}

/// A part of a mix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct FeedPart {
    /// The feed.
    pub feed: FeedId,
    /// Its share as fed, of [`WHOLE`].
    pub share: u32,
}

/// A medicine in a feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Medicated {
    /// A product of the cupboard.
    pub product: ProductId,
    /// So much of it in each kg of the feed as fed.
    pub per_kg: Dose,
}

impl Feed {
    /// What a mixing of so much takes of each part, in whole grams that add up: the largest part takes the rest.
    pub fn parts_of(&self, amount: Mass) -> Vec<(FeedId, Mass)> {
        let whole = amount.grams();
        let of = |p: &FeedPart| (whole as f64 * f64::from(p.share) / f64::from(WHOLE)).round() as u64;
        let mut all: Vec<(FeedId, u64)> = self.parts.iter().map(|p| (p.feed, of(p))).collect();
        let sum: u64 = all.iter().map(|p| p.1).sum();
        if let Some(largest) = all.iter_mut().max_by_key(|p| p.1) {
            largest.1 = (largest.1 + whole).saturating_sub(sum);
        }
        all.into_iter().map(|(feed, grams)| (feed, Mass::from_grams(grams).unwrap_or_default())).collect()
    }

    /// Price of a kg as fed, in hundredths, by the price written with the feed; none where it cannot be told.
    pub fn cents_a_kg(&self) -> Option<f64> {
        let kg = self.bag.map_or(1000.0, Mass::kg);
        self.price.filter(|_| kg > 0.0).map(|p| f64::from(p.cents()) / kg)
    }
}

/// What became of feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedMove {
    /// Its id.
    pub id: FeedMoveId,
    /// Of this feed.
    pub feed: FeedId,
    /// The day; a count holds at its end.
    pub on: Day,
    /// When.
    pub time: Option<Minute>,
    /// What became of it.
    pub change: FeedChange,
    /// How much; of a trough filled up without weighing it is not known.
    pub amount: Option<Mass>,
    /// What a mixing took of other feeds.
    pub parts: Vec<(FeedId, Mass)>,
    /// The pen it was fed in.
    pub pen: Option<String>,
    /// How full the trough was before.
    pub level: Option<Level>,
    /// Batch on the bag.
    pub batch: Option<String>,
    /// What was paid for it all.
    pub price: Option<Price>,
    /// From whom.
    pub supplier: Option<String>,
    /// Number of the invoice.
    pub invoice: Option<String>,
    /// Best before.
    pub best_before: Option<Day>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A sheet of an analysis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedSheet {
    /// Its id.
    pub id: FeedSheetId,
    /// Of this feed.
    pub feed: FeedId,
    /// The day of the sample; the sheet holds from it on.
    pub on: Day,
    /// Who analysed it.
    pub lab: Option<String>,
    /// Number of the sheet.
    pub number: Option<String>,
    /// Batch or cut it is of.
    pub batch: Option<String>,
    /// Its figures.
    pub analysis: Analysis,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A measure weighed out: a scoop of barley, a flake of this year's hay. It has no fixed weight: several are weighed and
/// their mean counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// Its id.
    pub id: MeasureId,
    /// Of this feed.
    pub feed: FeedId,
    /// What it is called: scoop, flake, bucket.
    pub name: String,
    /// When it was weighed out.
    pub on: Day,
    /// What each weighed.
    pub weighed: Vec<Mass>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

impl Measure {
    /// What one weighs on the mean.
    pub fn mean(&self) -> Mass {
        let n = self.weighed.len().max(1) as f64;
        let sum: f64 = self.weighed.iter().map(|m| m.kg()).sum();
        Mass::from_kg(sum / n).unwrap_or_default()
    }
}

/// A creep in a pen: where lambs eat and ewes cannot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Creep {
    /// Its id.
    pub id: CreepId,
    /// The pen.
    pub pen: String,
    /// Open from this day.
    pub from: Day,
    /// Last day; none while it is open.
    pub to: Option<Day>,
    /// What is in it at first; what was filled in last holds.
    pub feed: Option<FeedId>,
    /// How much the trough holds when full.
    pub holds: Option<Mass>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What a group is given each day of one feed, from a day on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ration {
    /// Its id.
    pub id: RationId,
    /// Who eats it.
    pub eaters: Eaters,
    /// In this pen alone; none is the group wherever it has no ration of its own.
    pub pen: Option<String>,
    /// The feed.
    pub feed: FeedId,
    /// From this day, until the next line of the same group, pen and feed.
    pub from: Day,
    /// A head a day, as fed; nothing ends it.
    pub each: Mass,
    /// The measure it was given in.
    pub measure: Option<MeasureId>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A look at a pen's creep, gate, lamp or water.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PenCheck {
    /// Its id.
    pub id: PenCheckId,
    /// The pen.
    pub pen: String,
    /// The day.
    pub on: Day,
    /// When.
    pub time: Option<Minute>,
    /// What was looked at.
    pub what: CheckKind,
    /// What was wrong; none: it is in order.
    pub fault: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// Everything of the feed room, each list in order of time.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FeedRoom {
    /// Feeds, by name.
    pub feeds: Vec<Feed>,
    /// What became of them.
    pub moves: Vec<FeedMove>,
    /// Analysis sheets.
    pub sheets: Vec<FeedSheet>,
    /// Measures.
    pub measures: Vec<Measure>,
    /// Creeps.
    pub creeps: Vec<Creep>,
    /// Rations.
    pub rations: Vec<Ration>,
    /// Checks.
    pub checks: Vec<PenCheck>,
}

impl FeedRoom {
    /// A feed.
    pub fn feed(&self, id: FeedId) -> Option<&Feed> {
        self.feeds.iter().find(|f| f.id == id)
    }

    /// What a feed is called.
    pub fn name(&self, id: FeedId) -> &str {
        self.feed(id).map_or("a feed", |f| &f.name)
    }

    /// The feed of this name, however it is written.
    pub fn by_name(&self, name: &str) -> Option<&Feed> {
        let name = norm(name);
        self.feeds.iter().find(|f| norm(&f.name) == name)
    }

    /// What is written of a feed on a day: its newest sheet, older ones where that has gaps, then its label. The handbook's
    /// figures of the feed it is like, and those of a mix's parts, are brought to it by `reckon::ration`.
    pub fn written(&self, feed: &Feed, on: Day) -> Analysis {
        let all = self.sheets_of(feed.id, on).fold(Analysis::default(), |all, s| all.or(&s.analysis));
        all.or(&feed.own)
    }

    /// Where a written figure of a feed comes from, in words: `sheet of 3 May 2026`, `its label`.
    pub fn written_in(&self, feed: &Feed, on: Day, what: Nutrient) -> Option<String> {
        let sheet = self.sheets_of(feed.id, on).find(|s| s.analysis.thousandths(what).is_some());
        if let Some(s) = sheet {
            return Some(phrase!("sheet of {}", s.on.words()));
        }
        feed.own.thousandths(what).map(|_| "its label".into())
    }

    /// Sheets of a feed that stand, of this day and before, newest first.
    pub fn sheets_of(&self, feed: FeedId, on: Day) -> impl Iterator<Item = &FeedSheet> {
        self.sheets.iter().rev().filter(move |s| s.struck.is_none() && s.feed == feed && s.on <= on)
    }

    /// The measure of a feed that counts on a day, by its name or the plural of it: the last weighed out.
    pub fn measure_called(&self, feed: FeedId, name: &str, on: Day) -> Option<&Measure> {
        let wanted = norm(name);
        let is = |m: &&Measure| {
            let called = norm(&m.name);
            m.feed == feed
                && m.struck.is_none()
                && m.on <= on
                && (called == wanted || format!("{called}S") == wanted || format!("{called}ES") == wanted)
        };
        self.measures.iter().filter(is).max_by_key(|m| (m.on, m.id))
    }

    /// A measure.
    pub fn measure(&self, id: MeasureId) -> Option<&Measure> {
        self.measures.iter().find(|m| m.id == id)
    }

    /// An amount of a feed as typed: `3 bags`, `2 scoops`, `1.5 flakes`, `12 kg`, with the measure it was given in.
    ///
    /// # Errors
    /// It is neither an amount nor a measure of this feed; says which there are.
    pub fn amount(
        &self,
        feed: &Feed,
        text: &str,
        on: Day,
        units: Units,
    ) -> Result<(Mass, Option<MeasureId>), Misread> {
        let plain = Mass::parse(text, units);
        let low = text.trim().to_lowercase().replace(',', ".");
        let Some(split) = low.find(|c: char| !(c.is_ascii_digit() || c == '.')) else {
            return plain.map(|m| (m, None));
        };
        let (number, word) = low.split_at(split);
        let word = word.trim();
        let Some(count) = number.parse::<f64>().ok().filter(|n| n.is_finite()) else {
            return plain.map(|m| (m, None));
        };
        let times = |each: Mass| {
            Mass::from_kg(count * each.kg())
                .ok_or_else(|| Misread::new(phrase!("'{}' is more feed than can be", text.trim())))
        };
        if let Some(m) = self.measure_called(feed.id, word, on) {
            return Ok((times(m.mean())?, Some(m.id)));
        }
        if matches!(word, "bag" | "bags" | "bale" | "bales") {
            let bag = feed.bag.ok_or_else(|| {
                Misread::new(phrase!(
                    "what a bag of {} weighs is not written down: write kg, or its bag with the feed",
                    feed.name
                ))
            })?;
            return Ok((times(bag)?, None));
        }
        plain.map(|m| (m, None)).map_err(|e| {
            let mut names: Vec<&str> = Vec::new();
            for m in self.measures.iter().filter(|m| m.feed == feed.id && m.struck.is_none()) {
                if !names.contains(&m.name.as_str()) {
                    names.push(&m.name);
                }
            }
            let none = "no measure of it is weighed out yet".to_string();
            let known =
                if names.is_empty() { none } else { phrase!("its measures are {}", names.join(", ")) };
            Misread::new(phrase!("{e}; of {} {known}", feed.name))
        })
    }

    /// A record of the feed room is struck out; none where it is not there.
    pub fn struck(&self, record: RecordRef) -> Option<bool> {
        let struck = match record {
            RecordRef::FeedMove(id) => &self.moves.iter().find(|r| r.id == id)?.struck,
            RecordRef::FeedSheet(id) => &self.sheets.iter().find(|r| r.id == id)?.struck,
            RecordRef::Measure(id) => &self.measures.iter().find(|r| r.id == id)?.struck,
            RecordRef::Creep(id) => &self.creeps.iter().find(|r| r.id == id)?.struck,
            RecordRef::Ration(id) => &self.rations.iter().find(|r| r.id == id)?.struck,
            RecordRef::PenCheck(id) => &self.checks.iter().find(|r| r.id == id)?.struck,
            _ => return None,
        };
        Some(struck.is_some())
    }

    /// The creep that is open in a pen on a day.
    pub fn creep_in(&self, pen: &str, on: Day) -> Option<&Creep> {
        let pen = norm(pen);
        let open = |c: &&Creep| {
            c.struck.is_none() && norm(&c.pen) == pen && c.from <= on && c.to.is_none_or(|to| on <= to)
        };
        self.creeps.iter().filter(open).max_by_key(|c| (c.from, c.id))
    }

    /// Rations that hold on a day: the last line of each group, pen and feed, those that ended left out.
    pub fn rations_on(&self, on: Day) -> Vec<&Ration> {
        let mut all: Vec<&Ration> =
            self.rations.iter().filter(|r| r.struck.is_none() && r.from <= on).collect();
        all.sort_by_key(|r| (r.eaters, r.pen.as_deref().map(norm), r.feed, r.from, r.id));
        let mut last: Vec<&Ration> = Vec::new();
        for r in all {
            let same = |o: &&Ration| {
                (o.eaters, o.pen.as_deref().map(norm), o.feed)
                    == (r.eaters, r.pen.as_deref().map(norm), r.feed)
            };
            match last.last_mut().filter(|o| same(o)) {
                Some(o) => *o = r,
                None => last.push(r),
            }
        }
        last.retain(|r| !r.each.is_none());
        last
    }
}
