//! Feed to spring and costs of feed, as tables, and how they are asked for.

use super::Trouble;
use super::line::Answer;
use super::on::day;
use super::tables::{Cell, Table};
use clap::Args;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::feed_costs::feed_costs;
use hirsel_core::reckon::spring::{Ask, NoWinter, winter};
use hirsel_core::terms::{Day, MonthDay};

/// Days of costs where no first day is asked for.
const BACK: i64 = 89;

/// What is asked of feed.
#[derive(Debug, Args)]
pub(super) struct Winter {
    /// For spring: the feed; not needed where one feed alone is given
    #[arg(long, value_name = "NAME")]
    feed: Option<String>,
    /// For spring: the last day; three weeks after the first day of grass if not given
    #[arg(long, value_name = "DATE", value_parser = day)]
    until: Option<Day>,
    /// For spring: the first day of grass, such as 20 apr
    #[arg(long, value_name = "DAY", value_parser = grass)]
    grass: Option<MonthDay>,
    /// For feed-costs: the first day; 90 days if not given
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Day>,
    /// For feed-costs: the last day
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Day>,
}

fn grass(text: &str) -> Result<MonthDay, String> {
    MonthDay::parse_typed(text).or_else(|e| MonthDay::parse(text).map_err(|_| e)).map_err(|e| e.0)
}

fn one(value: Option<f64>, places: usize) -> Cell {
    value.map_or_else(Cell::none, |v| Cell::number(format!("{v:.places$}")))
}

impl Winter {
    /// What was given of it has a say.
    ///
    /// # Errors
    /// Names what has none.
    pub(super) fn fits(&self, answer: Answer, animals: bool) -> Result<(), Trouble> {
        let spring = [
            ("--feed", self.feed.is_some()),
            ("--until", self.until.is_some()),
            ("--grass", self.grass.is_some()),
        ];
        let costs = [("--from", self.from.is_some()), ("--to", self.to.is_some())];
        let stray = |of: &[(&'static str, bool)]| of.iter().find(|(_, given)| *given).map(|(name, _)| *name);
        if let Some(name) = stray(&spring).filter(|_| answer != Answer::Spring) {
            return Err(Trouble::World(format!("{name} goes with spring only: leave it out")));
        }
        if let Some(name) = stray(&costs).filter(|_| answer != Answer::FeedCosts) {
            return Err(Trouble::World(format!("{name} goes with feed-costs only: leave it out")));
        }
        if animals && matches!(answer, Answer::Spring | Answer::FeedCosts) {
            return Err(Trouble::World("spring and feed-costs are of feed: leave --animal out".into()));
        }
        Ok(())
    }

    /// What is left day by day.
    pub(super) fn spring(&self, flock: &Flock, on: Day) -> Result<Table, Trouble> {
        let room = flock.feedroom();
        let given: Vec<&str> = Ask::usual(flock, on).iter().map(|a| room.name(a.feed)).collect();
        let known = match given.as_slice() {
            [] => "no feed is given to anyone: write a ration first".to_string(),
            names => format!("feeds that are given are {}", names.join(", ")),
        };
        let feed = match (&self.feed, given.as_slice()) {
            (Some(name), _) => room
                .by_name(name)
                .ok_or_else(|| Trouble::Refused(format!("there is no feed called {name}: {known}")))?,
            (None, [one]) => room.by_name(one).ok_or_else(|| Trouble::Refused(known.clone()))?,
            (None, _) => return Err(Trouble::Refused(format!("name the feed with --feed: {known}"))),
        };
        let mut ask = Ask::of(feed.id, on);
        if let Some(day) = self.grass.and_then(|md| Ask::next(md, on)) {
            ask = ask.grass(day);
        }
        ask.until = self.until.unwrap_or(ask.until);
        let w = winter(flock, &ask, on, &mut |_, _| true).map_err(|e| match e {
            NoWinter::Past(_) | NoWinter::TooFar(_) => Trouble::World(e.to_string()),
            _ => Trouble::Refused(e.to_string()),
        })?;
        let kg = |v: f64| Cell::number(format!("{v:.1}"));
        let row = |(i, d): (usize, &hirsel_core::reckon::spring::DayAhead)| {
            let [low, middle, high] = d.left;
            vec![Cell::words(w.day(i).to_string()), kg(low), kg(middle), kg(high)]
        };
        Ok(Table {
            columns: &["on", "p10_kg", "median_kg", "p90_kg"],
            rows: w.outlook.days.iter().enumerate().map(row).collect(),
        })
    }

    /// What feed cost.
    pub(super) fn costs(&self, flock: &Flock, on: Day) -> Result<Table, Trouble> {
        let to = self.to.unwrap_or(on);
        let from = self.from.unwrap_or_else(|| to.plus(-BACK));
        if to < from {
            return Err(Trouble::World(format!("the last day {to} is before the first {from}: swap them")));
        }
        let money = |cents: Option<f64>| one(cents.map(|c| c / 100.0), 2);
        let room = flock.feedroom();
        let costs = feed_costs(flock, from, to);
        let row = |r: &hirsel_core::reckon::feed_costs::Row| {
            vec![
                Cell::words(r.who.words()),
                Cell::words(r.feed.map_or("all feeds", |f| room.name(f))),
                one(Some(r.kg), 1),
                money(r.cost()),
                money(r.per_head()),
                money(r.per_kg_gain()),
                one(r.conversion(), 2),
            ]
        };
        Ok(Table {
            columns: &["who", "feed", "kg", "cost", "per_head", "per_kg_gain", "conversion"],
            rows: costs.rows.iter().map(row).collect(),
        })
    }
}
