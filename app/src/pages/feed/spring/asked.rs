//! What is typed of a winter, and what it means.

use super::super::super::Ctx;
use super::super::super::fields::some;
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::flock::Feed;
use hirsel_core::phrase;
use hirsel_core::reckon::spring::Ask;
use hirsel_core::terms::{Day, FeedId, Mass, MonthDay, Text};
use serde::{Deserialize, Serialize};

/// What is typed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// The feed; the first that has a ration where none is chosen.
    pub feed: Option<FeedId>,
    grass: String,
    grass_share: String,
    stock: String,
    buy: String,
    sold: String,
    ration: String,
    spoiled: String,
    leave: String,
}

/// What is wrong with a field: its label and the words.
pub(super) type Wrong = Vec<(&'static str, String)>;

fn percent(text: &str, most: f64) -> Result<Option<f64>, String> {
    let Some(text) = some(text) else { return Ok(None) };
    let bare = text.trim_end_matches('%').trim().replace(',', ".");
    let read = bare.parse::<f64>().ok().filter(|p| (0.0..=most).contains(p));
    read.map(|p| Some(p / 100.0))
        .ok_or_else(|| phrase!("'{text}' is no share: write 0 to {most} percent, like 90"))
}

impl Typed {
    /// The feed that is meant among those with a ration.
    pub(super) fn feed_of<'a>(&self, feeds: &[&'a Feed]) -> Option<&'a Feed> {
        feeds.iter().copied().find(|f| Some(f.id) == self.feed).or_else(|| feeds.first().copied())
    }

    /// The first day of grass as typed: a day of the year, or of one year.
    fn grass_day(&self, today: Day) -> Result<Option<Day>, String> {
        let Some(text) = some(&self.grass) else { return Ok(None) };
        if let Ok(md) = MonthDay::parse_typed(&text) {
            return Ok(Ask::next(md, today));
        }
        let day = Day::parse_typed(&text, today).map_err(|_| phrase!("'{text}' is no day: try 20 apr"))?;
        if day <= today { Err(phrase!("{} is not ahead", day.words())) } else { Ok(Some(day)) }
    }

    /// What is asked, and the same without what is only tried: buying, selling, another ration.
    pub(super) fn read(&self, ctx: &Ctx<'_>, feed: &Feed) -> Result<(Ask, Ask), Wrong> {
        let mut wrong: Wrong = Vec::new();
        let mut ask = Ask::of(feed.id, ctx.today);
        let room = ctx.flock.feedroom();
        let mut take = |label: &'static str, done: Result<(), String>| {
            if let Err(why) = done {
                wrong.push((label, why));
            }
        };
        take(
            GRASS,
            self.grass_day(ctx.today).map(|d| {
                if let Some(d) = d {
                    ask = ask.clone().grass(d);
                }
            }),
        );
        take(
            AT_GRASS,
            percent(&self.grass_share, 100.0).map(|p| ask.grass_share = p.unwrap_or(ask.grass_share)),
        );
        take(SPOILED, percent(&self.spoiled, 90.0).map(|p| ask.spoiled = p));
        let mass = |text: &str| {
            some(text)
                .map(|t| room.amount(feed, &t, ctx.today, ctx.units()).map(|m| m.0))
                .transpose()
                .map_err(|e| e.0)
        };
        take(STOCK, mass(&self.stock).map(|m| ask.stock = m));
        let day = some(&self.leave).map(|t| Day::parse_typed(&t, ctx.today).map_err(|e| e.0)).transpose();
        take(LEAVE, day.map(|d| ask.leave_on = d));
        let base = ask.clone();
        take(BUY, mass(&self.buy).map(|m| ask.buy = m.unwrap_or(Mass::NONE)));
        take(RATION, percent(&self.ration, 300.0).map(|p| ask.ration = p.unwrap_or(1.0)));
        let sold = some(&self.sold)
            .map(|t| t.parse::<u32>().map_err(|_| phrase!("'{t}' is no number of ewes: write 5")));
        take(SOLD, sold.transpose().map(|n| ask.sold = n.unwrap_or(0)));
        if wrong.is_empty() { Ok((ask, base)) } else { Err(wrong) }
    }

    /// Takes back what is only tried.
    pub(super) fn as_it_stands(&mut self) {
        self.buy.clear();
        self.sold.clear();
        self.ration.clear();
    }
}

const GRASS: &str = "First day of grass";
const AT_GRASS: &str = "Still eaten then";
const STOCK: &str = "In store now";
const SPOILED: &str = "Spoiled";
const LEAVE: &str = "Decided ones go";
const BUY: &str = "Buy";
const SOLD: &str = "Ewes sold";
const RATION: &str = "Rations at";

/// Draws the fields; tells whether Enter was pressed on the last.
pub(super) fn fields(
    ui: &mut egui::Ui,
    feeds: &[&Feed],
    typed: &mut Typed,
    wrong: &Wrong,
    into: &mut bool,
    usual: &Ask,
) -> bool {
    let mut form = Form::new(ui, "spring").label_width(128.0);
    let options: Vec<(FeedId, &str)> = feeds.iter().map(|f| (f.id, f.name.as_str())).collect();
    let mut feed = typed.feed_of(feeds).map(|f| f.id);
    form.focus_once(ui, into, if feeds.len() > 1 { "Feed" } else { GRASS });
    if feeds.len() > 1 {
        form.choice(ui, &Choice::names("Feed", &options), &mut feed);
    }
    typed.feed = feed;
    let why = |label: &str| wrong.iter().find(|(l, _)| *l == label).map(|(_, w)| w.as_str());
    let grass = usual.grass.short();
    let share = format!("{:.0}", 100.0 * usual.grass_share);
    let all: [(&'static str, Text, &str, &mut String); 8] = [
        (GRASS, grass.into(), "", &mut typed.grass),
        (AT_GRASS, share.into(), "% of it", &mut typed.grass_share),
        (STOCK, "by the book".into(), "", &mut typed.stock),
        (SPOILED, "as written".into(), "% more", &mut typed.spoiled),
        (LEAVE, "they eat on".into(), "", &mut typed.leave),
        (BUY, "20 bales, 1 t".into(), "", &mut typed.buy),
        (SOLD, "none".into(), "now", &mut typed.sold),
        (RATION, "100".into(), "% of plan", &mut typed.ration),
    ];
    for (label, example, unit, text) in all {
        if label == BUY {
            ui.add_space(crate::look::space::S);
            crate::look::subheading(ui, "What if");
        }
        let field = Field::new(label).width(104.0).example(example).unit(unit).refusal(why(label));
        form.field(ui, &field, text);
    }
    form.finish(ui) == FormEvent::Submitted
}
