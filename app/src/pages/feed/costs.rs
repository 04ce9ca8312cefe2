//! What feed costs for each ewe, lamb and kg gained, by group, pen and feed.

use super::super::fields::some;
use super::super::list::{By, List, Row, fits, into_table, take_out};
use super::super::{Ctx, Intent};
use super::reckoned::{Reckoned, progress};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::reckon::feed_costs::{FeedCosts, Row as Line, Who, feed_costs};
use hirsel_core::terms::{Day, Eaters, Mass, Price};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A flock of so many animals is reckoned at once.
const SMALL: usize = 300;
/// Days looked back where no first day is typed.
const BACK: i64 = 89;

/// By what the lines stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Split {
    #[default]
    Groups,
    Pens,
    Feeds,
}

const SPLITS: [(Split, &str); 3] =
    [(Split::Groups, "groups"), (Split::Pens, "pens"), (Split::Feeds, "feeds")];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    from: String,
    to: String,
    split: Split,
    search: String,
    #[serde(skip)]
    reckoned: Reckoned<(u64, Day, Day), FeedCosts>,
    #[serde(skip)]
    list: List<usize>,
    #[serde(skip)]
    listed: Option<(Arc<FeedCosts>, Split, String)>,
    #[serde(skip)]
    table: TableState<usize>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}

    /// The days that are meant.
    fn days(&self, today: Day) -> Result<(Day, Day), (bool, String)> {
        let read = |text: &str, or: Day, last: bool| match some(text) {
            Some(text) => Day::parse_typed(&text, today).map_err(|e| (last, e.0)),
            None => Ok(or),
        };
        let to = read(&self.to, today, true)?.min(today);
        let from = read(&self.from, to.plus(-BACK), false)?;
        if from > to {
            return Err((false, phrase!("{} is after the last day, {}", from.words(), to.words())));
        }
        if to.since(from) > 3 * 366 {
            return Err((false, phrase!("at most three years are reckoned at once")));
        }
        Ok((from, to))
    }
}

const TABLE: &str = "Costs of feed";

/// Room for the names of the sums, and the least for what each says.
const FACTS: f32 = 110.0;

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let days = state.days(ctx.today);
    let into_rows = asked(ui, ctx, state, &days, into);
    let Ok((from, to)) = days else { return };
    let flock = Arc::clone(ctx.flock);
    let question = (ctx.flock.version(), from, to);
    let small = ctx.flock.len() <= SMALL && to.since(from) <= 400;
    let stands = state.reckoned.ask(ui, &question, small, move |_| Some(feed_costs(&flock, from, to)));
    progress(ui, stands, &mut state.reckoned);
    let Some(costs) = state.reckoned.have().cloned() else { return };
    ui.add_space(space::XS);
    let (first, last) = (costs.from.words(), costs.to.words());
    look::faint(
        ui,
        phrase!("{first} to {last}, by what deliveries cost; money booked as feed is not added."),
    );
    let room = ui.available_width();
    egui::Grid::new("feed costs").num_columns(2).min_row_height(18.0).spacing([space::M, 2.0]).show(
        ui,
        |ui| {
            for (label, words) in costs.facts(ctx.flock) {
                let taken = look::faint(ui, label).rect.width();
                // A grid asks for no line to be broken.
                ui.vertical(|ui| {
                    ui.set_max_width((room - taken.max(FACTS) - space::M).max(FACTS));
                    ui.add(egui::Label::new(words).wrap());
                });
                ui.end_row();
            }
        },
    );
    for c in costs.cautions(ctx.flock) {
        look::sentence(ui, Kind::Caution, &c);
    }
    let now = (costs, state.split, state.search.clone());
    let same =
        |l: &(Arc<FeedCosts>, Split, String)| Arc::ptr_eq(&l.0, &now.0) && (l.1, &l.2) == (now.1, &now.2);
    if !state.listed.as_ref().is_some_and(same) {
        state.list.set(rows(ctx.flock, &now.0, now.1, &now.2));
        state.listed = Some(now.clone());
    }
    table(ui, ctx, state, &now.0, into_rows, out);
}

fn asked(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    days: &Result<(Day, Day), (bool, String)>,
    into: &mut bool,
) -> bool {
    let mut form = Form::new(ui, "costs").label_width(52.0);
    form.focus_once(ui, into, "From");
    let why = |last: bool| days.as_ref().err().filter(|e| e.0 == last).map(|e| e.1.clone());
    let first = ctx.today.plus(-BACK).words();
    let mut down = false;
    ui.columns(2, |c| {
        let wrong = why(false);
        form.field(
            &mut c[0],
            &Field::new("From").width(150.0).example(&first).refusal(wrong.as_deref()),
            &mut state.from,
        );
        let wrong = why(true);
        form.field(
            &mut c[0],
            &Field::new("To").width(150.0).example("today").refusal(wrong.as_deref()),
            &mut state.to,
        );
        let mut split = Some(state.split);
        form.choice(&mut c[1], &Choice::new("By", &SPLITS), &mut split);
        state.split = split.unwrap_or_default();
        let field = Field::new("Search").width(240.0).example("group, pen, feed");
        let response = form.field(&mut c[1], &field, &mut state.search).response;
        down = response.has_focus() && c[1].input(|i| i.key_pressed(egui::Key::ArrowDown));
    });
    form.finish(ui) == FormEvent::Submitted || down
}

fn rows(flock: &Flock, costs: &FeedCosts, split: Split, search: &str) -> Vec<Row<usize>> {
    let wanted = |who: &Who| match split {
        Split::Groups => matches!(who, Who::Flock | Who::Group(_)),
        Split::Pens => matches!(who, Who::Pen(_) | Who::Lambs(..)),
        Split::Feeds => *who == Who::Flock,
    };
    let own = costs.rows.iter().enumerate().filter(|(_, r)| wanted(&r.who));
    own.map(|(i, r)| row(flock, i, r))
        .filter(|r| fits(search, r.plain.iter().take(2).map(String::as_str)))
        .collect()
}

/// A cell of money: shown behind its sign, taken out as a figure.
fn money(cents: Option<f64>, firm: bool) -> (Cell, By, String) {
    let whole = cents.map(|c| c.round().clamp(0.0, f64::from(u32::MAX)));
    let price = whole.map(|c| Price::from_cents(c as u32));
    let cell = Cell::text(price.map_or("–".into(), Price::words));
    let cell = if firm || price.is_none() { cell } else { cell.faint() };
    (cell, By::number(whole.map(|c| c as i64)), price.map_or("–".into(), |p| p.to_string()))
}

fn figure(value: Option<f64>, places: usize) -> (String, Option<i64>) {
    (value.map_or("–".into(), |v| format!("{v:.places$}")), value.map(|v| (v * 1000.0).round() as i64))
}

fn row(flock: &Flock, place: usize, r: &Line) -> Row<usize> {
    let units = flock.holding().units;
    let mass = |kg: f64| {
        let step = if kg >= 100.0 { 1.0 } else { 0.1 };
        let shown = Mass::from_kg((kg / step).round() * step).unwrap_or_default();
        (shown.show(units), Some((kg * 1000.0).round() as i64))
    };
    let feed = r.feed.map_or("all feeds", |f| flock.feedroom().name(f)).to_string();
    let (eaten, cost, heads) = (mass(r.kg), money(r.cost(), true), figure(r.heads(), 1));
    let head = money(r.per_head(), true);
    let gained = r.gained.all_kg().map_or(("–".to_string(), None), mass);
    let (fed, dry) = (figure(r.conversion(), 2), figure(r.conversion_dry(), 2));
    // A gain of which little was weighed is faint.
    let firm = r.gained.is_firm();
    let gain = money(r.per_kg_gain(), firm);
    let weak = |(text, by): (String, Option<i64>)| {
        let cell =
            if firm || by.is_none() { Cell::text(text.clone()) } else { Cell::text(text.clone()).faint() };
        (cell, By::number(by), text)
    };
    let (gained, fed, dry) = (weak(gained), weak(fed), weak(dry));
    let mut who = r.who.words();
    if let Some(first) = who.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    Row::new(place)
        .tag(who)
        .text(feed)
        .number(eaten.0, eaten.1)
        .cell(cost.0, cost.1, cost.2)
        .number(heads.0, heads.1)
        .cell(head.0, head.1, head.2)
        .cell(gained.0, gained.1, gained.2)
        .cell(gain.0, gain.1, gain.2)
        .cell(fed.0, fed.1, fed.2)
        .cell(dry.0, dry.1, dry.2)
        .lined(r.feed.is_none())
        .said(r.words(flock))
}

fn table(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    costs: &FeedCosts,
    into: bool,
    out: &mut Vec<Intent>,
) {
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        let n = state.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 line") } else { phrase!("{n} lines") });
        let heads = [
            "who",
            "feed",
            "as_fed",
            "cost",
            "heads",
            "per_head",
            "gained",
            "per_kg_gain",
            "feed_per_kg",
            "dry_per_kg",
        ];
        take_out(ui, "costs of feed", &heads, &state.list, &mut state.table, out);
    });
    let columns = [
        Column::new("Who", 150.0).rest(),
        Column::new("Feed", 130.0),
        Column::new("As fed", 76.0).right(),
        Column::new("Cost", 76.0).right(),
        Column::new("Heads", 62.0).right(),
        Column::new("A head", 72.0).right(),
        Column::new("Gained", 76.0).right(),
        Column::new("A kg gained", 92.0).right(),
        Column::new("Feed a kg", 82.0).right(),
        Column::new("Dry a kg", 76.0).right(),
    ];
    let creep = costs.rows.iter().any(|r| matches!(r.who, Who::Group(Some(Eaters::CreepLambs))));
    let under = if creep { 76.0 } else { 44.0 };
    let size = egui::vec2(ui.available_width(), (ui.available_height() - under).max(120.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if into {
            into_table(ui, TABLE);
        }
        RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
    });
    let told = state.table.cursor().and_then(|i| costs.rows.get(i)).map(|r| r.words(ctx.flock));
    look::faint(
        ui,
        told.unwrap_or_else(|| phrase!("The line under the cursor is told of here, with what it rests on.")),
    );
    if creep {
        look::faint(
            ui,
            "Lambs at the creep gain by milk as well, which is not counted: what the gain by creep alone costs is not \
             told without lambs that had none.",
        );
    }
}
