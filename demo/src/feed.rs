//! The feed room of the made-up flock: feeds, what came and was paid, measures weighed out, rations, creeps with their
//! fillings, checks of the pens. Feeds are generic; prices, batches and figures of sheets are INVENTED.

use crate::dice::Dice;
use crate::maker::{Maker, WORD};
use crate::names::LAB;
use hirsel_core::book::Failed;
use hirsel_core::entry::{
    self, CreepDraft, FeedDraft, FeedMoveDraft, FeedSheetDraft, MeasureDraft, PenCheckDraft, RationDraft,
};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::reckon::eaters::pen_on;
use hirsel_core::registers::present_on;
use hirsel_core::terms::{
    Analysis, CheckKind, Day, Eaters, FeedChange, FeedKind, Level, MadeFor, Mass, Minute, Nutrient, Price,
};

pub(crate) const HAY: &str = "Meadow hay, first cut";
const STRAW: &str = "Barley straw";
const BARLEY: &str = "Rolled barley";
const OATS: &str = "Oats";
const MEAL: &str = "Soya bean meal";
const NUTS: &str = "Ewe nuts 18";
const MINERAL: &str = "Sheep mineral, no copper";
/// The creep's steps: the mix, and from which mean age of the lambs at it.
const CREEPS: [(&str, i64); 3] = [("Creep mix 20", 0), ("Creep mix 18", 24), ("Creep mix 16", 42)];

/// A feed that is bought or grown: name, kind, the handbook's feed it is like, kg of a bag or bale, its price in
/// hundredths, and how many kg come in a season for each ewe.
const STORE: [(&str, FeedKind, &str, f64, u32, f64); 7] = [
    (HAY, FeedKind::Hay, "hay early", 20.0, 380, 265.0),
    (STRAW, FeedKind::Straw, "straw barley", 14.0, 190, 45.0),
    (BARLEY, FeedKind::Grain, "barley", 25.0, 690, 14.0),
    (OATS, FeedKind::Grain, "oats", 25.0, 740, 5.0),
    (MEAL, FeedKind::Protein, "soya", 25.0, 1_260, 6.0),
    (NUTS, FeedKind::Compound, "ewe nuts 18", 25.0, 1_020, 52.0),
    (MINERAL, FeedKind::Mineral, "sheep mineral", 20.0, 2_450, 0.6),
];

/// Shares of the creep's steps, percent as fed: barley, oats, meal, mineral. By the handbook's figures they come to 20, 18
/// and 16 % crude protein as fed.
const SHARES: [[f64; 4]; 3] = [[63.0, 10.0, 25.0, 2.0], [66.5, 12.0, 19.5, 2.0], [68.8, 15.0, 14.2, 2.0]];

/// Rations: days from the season's base day, who, feed, how many of its measure a head.
const RATIONS: [(i64, Eaters, &str, f64); 15] = [
    (-110, Eaters::EarlyEwes, HAY, 0.75),
    (-110, Eaters::DryEwes, HAY, 0.7),
    (-110, Eaters::YoungEwes, HAY, 0.65),
    (-110, Eaters::Rams, HAY, 0.9),
    (-63, Eaters::LateEwes, HAY, 0.85),
    (-63, Eaters::LateEwes, NUTS, 0.75),
    (-28, Eaters::LateEwes, NUTS, 1.25),
    (-45, Eaters::NursingOne, HAY, 1.0),
    (-45, Eaters::NursingOne, NUTS, 1.0),
    (-45, Eaters::NursingTwo, HAY, 1.0),
    (-45, Eaters::NursingTwo, NUTS, 2.0),
    (-45, Eaters::NursingThree, HAY, 1.1),
    (-45, Eaters::NursingThree, NUTS, 2.5),
    (-30, Eaters::YoungEwes, NUTS, 0.5),
    (-63, Eaters::Rams, NUTS, 0.5),
];

/// Grass is enough from this day of the season on: no more of anything.
const GRASS: i64 = 32;

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).unwrap_or_default()
}

/// What a lamb eats at the creep in a day by its age, kg: little before three to four weeks (reference: husbandry,
/// feed). The curve is invented.
fn eaten(age: i64) -> f64 {
    if age < 10 { 0.0 } else { 0.012 + 0.000_27 * ((age - 14).max(0) as f64).powi(2) }
}

impl Maker<'_> {
    /// The whole feed room; of a large flock what was bought and given alone, in its last season.
    pub(crate) fn feed(&mut self) -> Result<(), Failed> {
        self.say("Feed");
        let mut dice = Dice::new(self.spec_seed.wrapping_mul(57).wrapping_add(23));
        self.feeds()?;
        self.weighed_out()?;
        let first = if self.is_lean() { self.last } else { 0 };
        for season in first..=self.last {
            self.fed_season(season, &mut dice)?;
        }
        if !self.is_lean() {
            self.creep_season(&mut dice)?;
        }
        Ok(())
    }

    fn feeds(&mut self) -> Result<(), Failed> {
        let mut drafts: Vec<FeedDraft> = Vec::new();
        for (name, kind, like, bag, price, _) in STORE {
            let mut d = FeedDraft::called(name, kind);
            d.like = Some(like.into());
            d.made_for = if matches!(kind, FeedKind::Compound | FeedKind::Mineral) {
                MadeFor::Sheep
            } else {
                MadeFor::Plain
            };
            (d.bag, d.price) = (Some(kg(bag)), Some(Price::from_cents(price)));
            if name == NUTS {
                d.own = figures(&[(Nutrient::DryMatter, 88.0), (Nutrient::Protein, 20.5)]);
                d.note = Some("18 % as fed on its label".into());
            }
            drafts.push(d);
        }
        for ((name, _), [barley, oats, meal, mineral]) in CREEPS.into_iter().zip(SHARES) {
            let mut d = FeedDraft::called(name, FeedKind::Mix);
            d.made_for = MadeFor::Sheep;
            d.parts = [(BARLEY, barley), (OATS, oats), (MEAL, meal), (MINERAL, mineral)]
                .map(|(name, share)| (name.to_string(), share))
                .into();
            d.bag = Some(kg(20.0));
            drafts.push(d);
        }
        let flock = self.flock();
        self.push(entry::feeds(drafts, &flock), WORD);
        self.flush("Feeds")
    }

    /// Flakes and scoops; the hay of this year was weighed anew.
    fn weighed_out(&mut self) -> Result<(), Failed> {
        let of = |feed: &str, name: &str, on: Day, kg_each: &[f64]| MeasureDraft {
            feed: feed.into(),
            name: name.into(),
            on,
            weighed: kg_each.iter().map(|w| kg(*w)).collect(),
        };
        let (first, this) = (self.base(0).plus(-112), self.base(self.last).plus(-112));
        let mut drafts = vec![
            of(HAY, "flake", this, &[2.05, 1.88, 2.1, 1.96, 2.01]),
            of(NUTS, "scoop", first.plus(-1), &[0.46, 0.44, 0.45]),
            of(BARLEY, "scoop", first.plus(-1), &[0.41, 0.4, 0.42]),
        ];
        if first < this {
            drafts.insert(0, of(HAY, "flake", first, &[2.2, 2.0, 2.3]));
        }
        let flock = self.flock();
        self.push(entry::measures(drafts, &flock, self.today), WORD);
        self.flush("Flakes and scoops weighed out")
    }

    /// Deliveries, the hay's analysis, counts and rations of a season.
    fn fed_season(&mut self, season: usize, dice: &mut Dice) -> Result<(), Failed> {
        let (base, today) = (self.base(season), self.today);
        let (year, flock) = (base.year(), self.flock());
        let mut moves: Vec<FeedMoveDraft> = Vec::new();
        for (n, (name, kind, _, bag, price, each)) in STORE.into_iter().enumerate() {
            let whole = (each * self.ewes as f64).min(800_000.0);
            // Nuts and grain come in two lots, hay and straw at once.
            let forage = kind.is_forage();
            let lots: &[i64] = if forage { &[-205] } else { &[-75, -27] };
            for (lot, day) in lots.iter().enumerate() {
                let bags = (whole / lots.len() as f64 / bag).ceil().max(1.0);
                let mut d = FeedMoveDraft::of(name, base.plus(*day + n as i64 % 3), FeedChange::Delivered);
                d.amount = Some(kg(bags * bag));
                let cents = bags * f64::from(price) * dice.bell(1.0, 0.02);
                d.price = Some(Price::from_cents(cents.round() as u32));
                d.supplier =
                    Some(if forage { "Lathewick, off the field" } else { "Coldwell Farm Supplies" }.into());
                if !forage {
                    // The batch of one lot was not copied from the bag.
                    let kept = season + 1 < self.last || (n, lot) != (3, 1);
                    d.batch = kept.then(|| format!("{}{:02}-{}{}", &name[..1], year % 100, n + 1, lot + 1));
                    d.invoice = Some(format!("CF {}", 4100 + season * 20 + n * 2 + lot));
                    d.best_before = Some(d.on.plus(180));
                }
                moves.push(d);
            }
        }
        // What was left when they went out to grass, and a count in the last weeks.
        let counts = [(GRASS, 12.0, 3.0), (-12, 95.0, 18.0)];
        for (day, hay, nuts) in counts.into_iter().filter(|c| season == self.last || c.0 == GRASS) {
            for (name, each) in [(HAY, hay), (NUTS, nuts)] {
                let mut d = FeedMoveDraft::of(name, base.plus(day), FeedChange::Counted);
                d.amount = Some(kg(((each * self.ewes as f64 / 20.0).round() * 20.0).min(800_000.0)));
                moves.push(d);
            }
        }
        let mut spoiled = FeedMoveDraft::of(HAY, base.plus(-40), FeedChange::Wasted);
        (spoiled.amount, spoiled.note) = (Some(kg(40.0)), Some("two bales wet under the leak".into()));
        moves.push(spoiled);
        moves.retain(|d| d.on <= today);
        moves.sort_by_key(|d| (d.on, d.change == FeedChange::Counted));
        self.push(entry::feed_moves(moves, &flock, today), WORD);

        let sheet = FeedSheetDraft {
            feed: HAY.into(),
            on: base.plus(-170),
            lab: Some(LAB.into()),
            number: Some(format!("F {}", 1180 + season * 7)),
            batch: Some(format!("first cut {}", base.plus(-205).year())),
            analysis: figures(&[
                (Nutrient::DryMatter, 86.0 + season as f64 % 3.0 / 2.0),
                (Nutrient::Protein, 10.2 + (season * 7 % 5) as f64 / 5.0),
                (Nutrient::Energy, 9.1),
                (Nutrient::Calcium, 4.4),
                (Nutrient::Phosphorus, 2.6),
                (Nutrient::Copper, 5.2),
            ]),
            note: None,
        };
        self.push(entry::feed_sheets(vec![sheet], &flock, today), WORD);
        self.rations_of(base, &flock);
        self.flush(&format!("Feed of the season {year}"))
    }

    /// Rations by group from housing to grass, in flakes and scoops.
    fn rations_of(&mut self, base: Day, flock: &Flock) {
        let room = flock.feedroom();
        let mut drafts: Vec<RationDraft> = Vec::new();
        for (day, eaters, feed, times) in RATIONS {
            let from = base.plus(day);
            let named = if feed == HAY { "flake" } else { "scoop" };
            let held = room.by_name(feed).and_then(|f| room.measure_called(f.id, named, from));
            let each = held.map_or(0.45, |m| m.mean().kg());
            drafts.push(RationDraft {
                eaters,
                pen: None,
                feed: feed.into(),
                from,
                each: kg((times * each * 1000.0).round() / 1000.0),
                measure: held.map(|m| m.id),
                note: None,
            });
        }
        let mut ended: Vec<RationDraft> = Vec::new();
        for d in &drafts {
            if !ended.iter().any(|e| (e.eaters, &e.feed) == (d.eaters, &d.feed)) {
                let note = Some("out to grass".into());
                ended.push(RationDraft {
                    from: base.plus(GRASS),
                    each: Mass::NONE,
                    measure: None,
                    note,
                    ..d.clone()
                });
            }
        }
        drafts.extend(ended);
        self.push(entry::rations(drafts, flock), WORD);
    }

    /// The creeps of the season under way: opened where lambs of ten days stand, filled and looked at evening by evening
    /// until yesterday.
    fn creep_season(&mut self, dice: &mut Dice) -> Result<(), Failed> {
        let flock = self.flock();
        let (from, last) = (self.today.plus(-40), self.today.plus(-1));
        let lambs: Vec<&AnimalFile> = flock
            .files()
            .filter(|f| f.animal.born.exact().is_some_and(|b| b >= from.plus(-10) && b <= last))
            .collect();
        let mut pens: Vec<&str> = lambs.iter().filter_map(|f| pen_on(f, last)).collect();
        pens.sort_unstable();
        pens.dedup();
        pens.retain(|p| *p != "Top shed" && *p != "Lambing shed" && !p.starts_with("Jug"));
        let (mut creeps, mut moves, mut checks) = (Vec::new(), Vec::new(), Vec::new());
        for pen in pens {
            let ages = |on: Day| -> Vec<i64> {
                let there = |f: &&&AnimalFile| pen_on(f, on) == Some(pen) && present_on(f, on);
                lambs.iter().filter(there).filter_map(|f| f.animal.age_days(on)).collect()
            };
            let opens = (0..40).map(|n| from.plus(n)).find(|d| ages(*d).iter().any(|age| *age >= 10));
            let Some(opened) = opens else { continue };
            let bottle = pen == "Bottle pen";
            let holds = if bottle { 5.0 } else { 16.0 };
            creeps.push(CreepDraft {
                id: None,
                pen: pen.into(),
                from: opened,
                to: None,
                feed: Some(CREEPS[0].0.into()),
                holds: Some(kg(holds)),
                note: None,
            });
            let (mut left, mut day) = (0.0, opened);
            while day <= last {
                let ages = ages(day);
                let mean = ages.iter().sum::<i64>() / (ages.len() as i64).max(1);
                let step = CREEPS.into_iter().rfind(|(_, from)| mean >= *from).unwrap_or(CREEPS[0]).0;
                // Stale feed is swept out when half is left after some days; here it is only topped up.
                let quarter = (left / holds * 4.0).round().clamp(0.0, 4.0) as u8 * 25;
                let looked = day == opened || quarter <= 50 || day.since(opened) % 2 == 0;
                if looked {
                    let mut d = FeedMoveDraft::of(step, day, FeedChange::Fed);
                    (d.pen, d.level) = (Some(pen.into()), Level::from_percent(quarter));
                    d.time = Minute::new(17, 5 * dice.below(10) as u32);
                    if quarter <= 50 {
                        let full = if day == opened { holds / 2.0 } else { holds };
                        let add = ((full - left).max(0.5) * 2.0).round() / 2.0;
                        d.amount = Some(kg(add));
                        left += add;
                    }
                    moves.push(d);
                }
                let eat: f64 = ages.iter().map(|age| eaten(*age)).sum();
                left = (left - eat * dice.real(0.9, 1.1)).max(0.0);
                if day.since(opened) % 4 == 0 {
                    checks.push(look(pen, day, CheckKind::Gate, None));
                }
                day = day.plus(1);
            }
            if bottle {
                checks.push(look(pen, last, CheckKind::Lamp, None));
            }
        }
        // The fault to be noticed.
        if let Some(c) = creeps.first() {
            checks.push(look(&c.pen, last, CheckKind::Gate, Some("middle bar bent, a ewe got her head in")));
            checks.push(look(
                "Jug 1",
                self.today.plus(-3),
                CheckKind::Lamp,
                Some("cable chafed at the hook"),
            ));
            checks.push(look("Jug 1", self.today.plus(-2), CheckKind::Lamp, None));
        }
        self.mixings(&mut moves);
        moves.sort_by_key(|d| (d.on, d.change != FeedChange::Mixed, d.time));
        let today = self.today;
        if !creeps.is_empty() {
            self.push(entry::creeps(creeps, &flock, today), WORD);
            self.flush("Creeps opened")?;
            let flock = self.flock();
            self.push(entry::feed_moves(moves, &flock, today), WORD);
            self.push(entry::pen_checks(checks, &flock, today), WORD);
        }
        self.flush("Creeps filled and looked at")
    }

    /// Days on which the creep's mixes were mixed, so that there was always some of what was filled in.
    fn mixings(&self, moves: &mut Vec<FeedMoveDraft>) {
        let mut fed: Vec<(Day, String, f64)> =
            moves.iter().filter_map(|d| Some((d.on, d.feed.clone(), d.amount?.kg()))).collect();
        fed.sort_by_key(|f| f.0);
        for (name, _) in CREEPS {
            let mut stock = 0.0;
            for (on, _, kg_fed) in fed.iter().filter(|f| f.1 == name) {
                if stock < *kg_fed {
                    let mut d = FeedMoveDraft::of(name, *on, FeedChange::Mixed);
                    d.amount = Some(kg(60.0));
                    moves.push(d);
                    stock += 60.0;
                }
                stock -= kg_fed;
            }
        }
    }
}

fn figures(list: &[(Nutrient, f64)]) -> Analysis {
    let with = |a: Analysis, (what, figure): &(Nutrient, f64)| {
        a.with_thousandths(*what, Some((figure * 1000.0).round() as u32))
    };
    list.iter().fold(Analysis::default(), with)
}

fn look(pen: &str, on: Day, what: CheckKind, fault: Option<&str>) -> PenCheckDraft {
    let fault = fault.map(Into::into);
    PenCheckDraft { pen: pen.into(), on, time: Minute::new(18, 10), what, fault, note: None }
}
