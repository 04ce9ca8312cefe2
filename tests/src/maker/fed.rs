//! Feeds, what became of them, sheets, measures, creeps, rations, checks.

use super::Maker;
use hirsel_core::entry::{
    Check, CreepDraft, FeedDraft, FeedMoveDraft, FeedSheetDraft, MeasureDraft, PenCheckDraft, RationDraft,
    creeps, feed_moves, feed_sheets, feeds, measures, pen_checks, rations,
};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{
    Analysis, CheckKind, Eaters, FeedChange, FeedKind, Level, MadeFor, Mass, Nutrient, Price,
};

const FEEDS: [&str; 5] = ["Barley", "Bank field hay", "Löw meal", "Beans", "Creep mix"];

impl Maker {
    fn mass(&mut self, most: u64) -> Mass {
        Mass::from_grams(self.rng.u64(1..most)).unwrap_or_default()
    }

    fn analysis(&mut self) -> Analysis {
        let mut all = Analysis::default();
        for n in Nutrient::ALL {
            if self.rng.bool() {
                let figure = self.rng.u32(1..40_000);
                all = all.with_thousandths(*n, Some(figure));
            }
        }
        all
    }

    fn feed_of(&mut self, flock: &Flock) -> Option<String> {
        let names: Vec<String> = flock.feedroom().feeds.iter().map(|f| f.name.clone()).collect();
        (!names.is_empty()).then(|| self.pick(&names).clone())
    }

    fn pen_name(&mut self) -> String {
        format!("Pen {}", self.rng.u32(1..5))
    }

    pub(super) fn feeds(&mut self, flock: &Flock) -> Option<Check> {
        let name = *self.pick(&FEEDS);
        let mut draft = FeedDraft::called(name, *self.pick(FeedKind::ALL));
        draft.own = self.analysis();
        draft.made_for = *self.pick(MadeFor::ALL);
        draft.bag = self.some(|m| m.mass(50_000));
        draft.price = self.some(|m| Price::from_cents(m.rng.u32(1..5_000)));
        draft.note = self.some(Self::text);
        if let Some(part) = self.feed_of(flock).filter(|p| p != name && self.rng.bool()) {
            draft.parts = vec![(part, 100.0)];
        }
        if let Some(p) = flock.products().first().filter(|_| self.rng.bool()) {
            draft.medicine = Some((p.name.clone(), self.dose()));
        }
        Some(feeds(vec![draft], flock))
    }

    pub(super) fn feed_moves(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..3) {
            let feed = self.feed_of(flock)?;
            let mut d = FeedMoveDraft::of(feed, self.back(60), *self.pick(FeedChange::ALL));
            d.amount = self.some(|m| m.mass(3_000_000));
            d.pen = self.some(Self::pen_name);
            d.level = self.some(|m| Level::from_percent(m.rng.u8(0..=100))).flatten();
            d.price = self.some(|m| Price::from_cents(m.rng.u32(1..500_000)));
            d.batch = self.some(Self::text);
            d.supplier = self.some(Self::text);
            d.invoice = self.some(Self::text);
            d.best_before = self.some(|m| m.back(100));
            d.note = self.some(Self::text);
            drafts.push(d);
        }
        Some(feed_moves(drafts, flock, self.today))
    }

    pub(super) fn feed_sheets(&mut self, flock: &Flock) -> Option<Check> {
        let draft = FeedSheetDraft {
            feed: self.feed_of(flock)?,
            on: self.back(60),
            lab: self.some(Self::text),
            number: self.some(Self::text),
            batch: self.some(Self::text),
            analysis: self.analysis(),
            note: self.some(Self::text),
        };
        Some(feed_sheets(vec![draft], flock, self.today))
    }

    pub(super) fn measures(&mut self, flock: &Flock) -> Option<Check> {
        let draft = MeasureDraft {
            feed: self.feed_of(flock)?,
            name: (*self.pick(&["scoop", "flake", "bucket"])).to_string(),
            on: self.back(60),
            weighed: (0..self.rng.usize(..6)).map(|_| self.mass(4_000)).collect(),
        };
        Some(measures(vec![draft], flock, self.today))
    }

    pub(super) fn creeps(&mut self, flock: &Flock) -> Option<Check> {
        let from = self.back(60);
        let held = flock.feedroom().creeps.last().filter(|_| self.rng.bool()).map(|c| c.id);
        let draft = CreepDraft {
            id: held,
            pen: self.pen_name(),
            from,
            to: self.some(|m| from.plus(m.rng.i64(0..30)).min(m.today)),
            feed: self.some(|m| m.feed_of(flock)).flatten(),
            holds: self.some(|m| m.mass(60_000)),
            note: self.some(Self::text),
        };
        Some(creeps(vec![draft], flock, self.today))
    }

    pub(super) fn rations(&mut self, flock: &Flock) -> Option<Check> {
        let feed = self.feed_of(flock)?;
        let measure = flock.feedroom().measures.first().map(|m| m.id);
        let draft = RationDraft {
            eaters: *self.pick(Eaters::ALL),
            pen: self.some(Self::pen_name),
            feed,
            from: self.back(60),
            each: Mass::from_grams(self.rng.u64(0..4_000)).unwrap_or_default(),
            measure: measure.filter(|_| self.rng.bool()),
            note: self.some(Self::text),
        };
        Some(rations(vec![draft], flock))
    }

    pub(super) fn pen_checks(&mut self, flock: &Flock) -> Option<Check> {
        let draft = PenCheckDraft {
            pen: self.pen_name(),
            on: self.back(30),
            time: None,
            what: *self.pick(CheckKind::ALL),
            fault: self.some(Self::text),
            note: self.some(Self::text),
        };
        Some(pen_checks(vec![draft], flock, self.today))
    }
}
