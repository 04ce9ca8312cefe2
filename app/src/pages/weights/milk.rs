//! What each ewe's milk makes of her lambs.

use super::super::asking::SMALL;
use super::super::list::{By, Row, fits, into_table, take_out};
use super::super::listing::Listing;
use super::super::sections::halves;
use super::super::{Ctx, Intent};
use super::fixed::{CARRY, Carry};
use super::made::{Asked, Made, waiting};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::reckon::growth::milk::{MilkRow, WeanedAt, milk};
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_core::terms::{AnimalId, Day, Gain, Units, Weight, counted};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Of which flock, day and factors an answer is.
type Question = (u64, Day, Carry);
/// The ewe, and the place of the row.
type Key = (AnimalId, usize);

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    carry: Carry,
    #[serde(skip)]
    made: Made<Question, Vec<MilkRow>>,
    #[serde(skip)]
    listing: Listing<(Question, String), Key>,
    #[serde(skip)]
    table: TableState<Key>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

const TABLE: &str = "Ewes' milk";

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "milk").label_width(60.0);
    form.focus_once(ui, into, "Search");
    let mut down = false;
    halves(ui, "head 1", |c| {
        let field = Field::new("Search").width(240.0).example("tag, name, year");
        let response = form.field(&mut c[0], &field, &mut state.search).response;
        down = response.has_focus() && c[0].input(|i| i.key_pressed(egui::Key::ArrowDown));
        let mut carry = Some(state.carry);
        form.choice(&mut c[1], &Choice::new("Factors", &CARRY), &mut carry);
        state.carry = carry.unwrap_or_default();
    });
    let into_rows = form.finish(ui) == FormEvent::Submitted || down;
    let rules = GrowthRules::of(ctx.flock);
    let question = (ctx.flock.version(), ctx.today, state.carry);
    let (flock, with) = (Arc::clone(ctx.flock), rules.clone());
    let (using, today) = (state.carry.using(), ctx.today);
    let made =
        state.made.ask(ui, &question, ctx.flock.len() <= SMALL, move || milk(&flock, &with, using, today));
    let Asked::Ready(rows) = made else {
        waiting(ui, &made);
        return;
    };
    let wanted = (question, state.search.clone());
    let (flock, of, search) = (Arc::clone(ctx.flock), Arc::clone(&rows), state.search.clone());
    let work = move || {
        let fit = of.iter().enumerate().filter(|(_, r)| {
            let name = flock.animal(r.ewe).and_then(|a| a.name.as_deref()).unwrap_or_default();
            search.trim().is_empty() || fits(&search, [flock.tag(r.ewe), name, &r.season.to_string()])
        });
        (fit.map(|(i, r)| row(&flock, i, r)).collect(), ())
    };
    state.listing.ask(ui, &wanted, ctx.flock.len() <= SMALL, work);
    if state.listing.is_new() {
        look::faint(ui, "Being reckoned over the whole flock…");
        return;
    }
    table(ui, ctx, &rules, &rows, state, into_rows, out);
}

fn table(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    rules: &GrowthRules,
    rows: &[MilkRow],
    state: &mut State,
    into: bool,
    out: &mut Vec<Intent>,
) {
    ui.add_space(space::XS);
    ui.horizontal(|ui| {
        let n = state.listing.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 ewe and crop") } else { phrase!("{n} ewes and crops") });
        let heads: [&str; 12] = [
            "ewe",
            "season",
            "lambs",
            "gain_younger",
            "gain_older",
            "flock",
            "place",
            "litter_gain",
            "weaned",
            "ewe_at_score",
            "kg_per_kg",
            "condition",
        ];
        take_out(ui, "ewes' milk", &heads, &state.listing.list, &mut state.table, out);
    });
    let m = &rules.milk;
    look::faint(
        ui,
        phrase!(
            "Foster lambs, (on), count for the ewe that reared them. Gain of a lamb a day, beside the flock's mean of the year and \
             her place in it. Ewe: her weight at score {}, {} % a score.",
            m.score,
            m.score_percent
        ),
    );
    if state.listing.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No ewe's lambs were weighed yet. Once a lamb that a ewe reared has a weight within its first months (Weigh), \
             its gain tells her milk here.",
        );
        return;
    }
    let head = |i: usize, or: &str| m.ages.get(i).map_or(or.to_string(), |a| phrase!("To {a} d"));
    let columns = [
        Column::new("Ewe", 90.0).rest(),
        Column::new("Year", 48.0),
        Column::new("Lambs", 76.0).right(),
        Column::new(head(0, "–"), 60.0).right(),
        Column::new(head(1, "–"), 60.0).right(),
        Column::new("Flock", 58.0).right(),
        Column::new("Place", 82.0).right(),
        Column::new("Litter", 58.0).right(),
        Column::new("Weaned", 112.0).right(),
        Column::new(phrase!("At score {}", m.score), 78.0).right(),
        Column::new("Per kg", 56.0).right(),
        Column::new("Condition", 78.0).right(),
    ];
    let size = egui::vec2(ui.available_width(), (ui.available_height() - 42.0).max(120.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if into {
            into_table(ui, TABLE);
        }
        for event in
            RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.listing.list)
        {
            if let TableEvent::Opened((ewe, _)) = event {
                out.push(Intent::Open(ewe));
            }
        }
    });
    let told =
        state.table.cursor().and_then(|(ewe, i)| rows.get(i).filter(|r| r.ewe == ewe)).map(|r| told(ctx, r));
    look::faint(ui, told.unwrap_or_else(|| phrase!("The ewe under the cursor is told of here.")));
}

/// The figure of a gain alone, in the units of the book.
fn short(gain: f64, units: Units) -> String {
    let whole = Gain(gain.round() as i64).show(units);
    whole.trim_end_matches(" a day").to_string()
}

fn points(p: f64) -> String {
    format!("{p:.2}").trim_end_matches('0').trim_end_matches('.').to_string()
}

fn row(flock: &Flock, place: usize, r: &MilkRow) -> Row<Key> {
    let units = flock.holding().units;
    let gain = |i: usize| r.ages.get(i).and_then(Option::as_ref).map(|a| a.gain);
    let figure =
        |g: Option<f64>| (g.map(|g| short(g, units)).unwrap_or_default(), g.map(|g| g.round() as i64));
    let lambs = match r.fostered {
        0 => r.lambs.len().to_string(),
        n => phrase!("{} ({n} on)", r.lambs.len()),
    };
    let at = r.last();
    let (young, old) = (figure(gain(0)), figure(gain(1)));
    let of_all = figure(at.map(|a| a.flock.0));
    let litter = figure(r.litter().map(|l| l.0));
    let weaned = r.weaned.map(|(grams, _, from)| {
        let weight = Weight::from_grams(grams).map(|w| w.show(units)).unwrap_or_default();
        match from {
            WeanedAt::Age(days) => (format!("{weight}, {days} d"), true),
            WeanedAt::Weaning(_) => (weight, false),
        }
    });
    let weaned_words = weaned.as_ref().map(|w| w.0.clone()).unwrap_or_default();
    // Not weighed at weaning: carried to an age, and faint as all that is carried.
    let weaned_cell = match &weaned {
        Some((w, true)) => Cell::text(w.clone()).faint(),
        Some((w, false)) => Cell::text(w.clone()),
        None => Cell::empty(),
    };
    let condition = match r.condition {
        (None, None) => String::new(),
        (a, b) => {
            let say = |p: Option<f64>| p.map_or("?".into(), points);
            phrase!("{} to {}", say(a), say(b))
        }
    };
    Row::new((r.ewe, place))
        .tag(flock.tag(r.ewe))
        .number(r.season.to_string(), Some(i64::from(r.season)))
        .number(lambs, Some(r.lambs.len() as i64))
        .number(young.0, young.1)
        .number(old.0, old.1)
        .number(of_all.0, of_all.1)
        .number(
            at.map(|a| phrase!("{} of {}", a.rank.0, a.rank.1)).unwrap_or_default(),
            at.map(|a| a.rank.0 as i64),
        )
        .number(litter.0, litter.1)
        .cell(weaned_cell, By::number(r.weaned.map(|(g, ..)| g)), weaned_words)
        .number(r.at_score.map(|w| w.show(units)).unwrap_or_default(), r.at_score.map(Weight::grams))
        .number(
            r.per_kg.map(|p| format!("{p:.2}")).unwrap_or_default(),
            r.per_kg.map(|p| (p * 1000.0).round() as i64),
        )
        .number(condition, r.lost().map(|l| (l * 4.0) as i64))
}

/// All that stands behind a row, in words.
fn told(ctx: &Ctx<'_>, r: &MilkRow) -> String {
    let units = ctx.units();
    let tags: Vec<&str> = r.lambs.iter().map(|id| ctx.flock.tag(*id)).collect();
    let mut parts = vec![phrase!("{} in {}: {}", &ctx.flock.tag(r.ewe), r.season, tags.join(", "))];
    if let Some(a) = r.last() {
        let ratio = a.ratio.map(|x| phrase!(", {x:.0} % of their groups")).unwrap_or_default();
        parts.push(phrase!(
            "to {} days from {}{ratio}; the flock's mean from {}",
            a.days,
            counted(a.n, "weight"),
            counted(a.flock.1, "lamb")
        ));
    }
    if let Some((_, n, from)) = r.weaned {
        parts.push(match from {
            WeanedAt::Weaning(day) => phrase!("{n} weaned, the last on {}", day.words()),
            WeanedAt::Age(days) => phrase!("weaning not ticked off: {n} at {days} days stand for it"),
        });
    }
    parts.push(match (r.weight, r.at_score) {
        (None, _) => phrase!("her own weight near weaning is not known"),
        (Some((on, w)), None) => phrase!("she weighed {} on {}, without a score", w.show(units), on.words()),
        (Some((on, w)), Some(_)) => phrase!("she weighed {} on {}", w.show(units), on.words()),
    });
    if let Some(lost) = r.lost() {
        let word = if lost < 0.0 { "gained" } else { "lost" };
        parts.push(phrase!("she {word} {} of condition", points(lost.abs())));
    }
    format!("{}.", parts.join("; "))
}
