//! The mix that was found: what goes in, what it holds on both bases, what it costs, what must be said of it.

use super::super::super::asking::{Asking, Stands};
use super::super::super::list::{By, List, Row, take_out};
use super::super::super::sections::sized;
use super::super::super::{Ctx, Intent};
use super::{Made, State};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::flock::{Feed, WHOLE};
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{Held, What, cautions, cost_words, floor, held, money, weighing};
use hirsel_core::reckon::ration::{
    Ask, Blend, Demand, FeedRules, Grave, Ingredient, NoBlend, Rounded, holds,
};
use hirsel_core::terms::Why;
use hirsel_core::terms::{FeedId, Mass, norm};
use std::sync::Arc;

/// What is asked, and the kilograms of a bag or scoop of each feed.
pub(super) type Question = (Ask, Vec<Option<f64>>);
/// The cheapest mix, and in whole bags and scoops where some are named.
pub(super) type Found = Result<(Blend, Option<Rounded>), NoBlend>;

/// What the lists are of.
type Key = (Made, Vec<Demand>, Option<FeedId>, u64);

/// The answer, and its lists.
#[derive(Debug, Default)]
pub(super) struct Shown {
    asking: Asking<Question, Found>,
    last: Option<(Question, Arc<Found>)>,
    of: Option<Key>,
    parts: List<usize>,
    parts_table: TableState<usize>,
    holds: List<usize>,
    holds_table: TableState<usize>,
    said: Vec<(Kind, Why, String)>,
    cost: String,
    gaps: Vec<String>,
    compared: Option<String>,
}

impl Shown {
    /// Sees to it that a question is answered, off the frame.
    pub(super) fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &Question,
        work: impl FnOnce(&Question) -> Found + Send + 'static,
    ) -> Stands {
        let of = question.clone();
        let (came, stands) = self.asking.ask(ui, question, false, move || work(&of));
        if let (Some(found), Some(of)) = (came, self.asking.of()) {
            self.last = Some((of.clone(), Arc::new(found)));
        }
        stands
    }

    /// The last answer, and of what it is.
    pub(super) fn last(&self) -> Option<(Question, Arc<Found>)> {
        self.last.clone()
    }

    /// The answer to just this question.
    pub(super) fn answer_to(&self, question: &Question) -> Option<&Found> {
        self.last.as_ref().filter(|(of, _)| of == question).map(|(_, found)| &**found)
    }
}

const MIX: &str = "The mix";
const HOLDS: &str = "What it holds";

/// The mix, what it holds and costs, and the cautions.
pub(super) fn whole(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    made: &Made,
    demands: &[Demand],
    out: &mut Vec<Intent>,
) {
    let compare = state.load.chosen();
    let key: Key = (made.clone(), demands.to_vec(), compare, ctx.flock.version());
    let shown = &mut state.shown;
    if shown.of.as_ref() != Some(&key) {
        fill(ctx, shown, made, demands, compare.and_then(|id| ctx.flock.feedroom().feed(id)));
        shown.of = Some(key);
    }
    look::strong(ui, &shown.cost);
    if let Some(words) = &shown.compared {
        look::faint(ui, words);
    }
    let columns = [
        Column::new("Feed", 88.0).rest(),
        Column::new("As fed", 64.0).right(),
        Column::new("Amount", 74.0).right(),
        Column::new("In", 98.0),
        Column::new("Cost", 64.0).right(),
        Column::new("Written", 66.0).right(),
    ];
    let columns = if compare.is_some() { &columns[..] } else { &columns[..5] };
    let tall = |n: usize| 38.0 + 30.0 * n as f32;
    sized(ui, tall(shown.parts.rows.len()), |ui| {
        RecordTable::new(MIX, columns).single().show(ui, &mut shown.parts_table, &shown.parts);
    });
    ui.horizontal(|ui| {
        let heads = ["feed", "share_percent_as_fed", "amount", "in", "cost", "written_percent"];
        take_out(ui, "mix", &heads, &shown.parts, &mut shown.parts_table, out);
    });
    ui.add_space(space::S);
    let columns = [
        Column::new("It holds", 132.0).rest(),
        Column::new("As fed", 58.0).right(),
        Column::new("Dry matter", 84.0).right(),
        Column::new("Asked", 100.0),
        Column::new("So", 92.0),
    ];
    let columns = if demands.is_empty() { &columns[..3] } else { &columns[..] };
    sized(ui, tall(shown.holds.rows.len()), |ui| {
        RecordTable::new(HOLDS, columns).single().show(ui, &mut shown.holds_table, &shown.holds);
    });
    for gap in &shown.gaps {
        look::faint(ui, gap);
    }
    ui.push_id("holds out", |ui| {
        ui.horizontal(|ui| {
            let heads = ["what", "as_fed", "of_dry_matter", "asked", "so"];
            take_out(ui, "what the mix holds", &heads, &shown.holds, &mut shown.holds_table, out);
        });
    });
    ui.add_space(space::S);
    look::subheading(ui, "Cautions");
    for (kind, why, words) in &shown.said {
        caution::sentence(ui, *kind, &[*why], words);
    }
    ui.add_space(space::XS);
}

fn fill(ctx: &Ctx<'_>, shown: &mut Shown, made: &Made, demands: &[Demand], compare: Option<&Feed>) {
    let units = ctx.units();
    let of: Vec<(&Ingredient, f64)> = made.parts.iter().map(|p| (&p.stuff.feed, p.kg)).collect();
    let cost: Option<f64> = of.iter().map(|(f, kg)| Some(f.price? * kg)).sum();
    let unpriced: Vec<&str> =
        of.iter().filter(|(f, _)| f.price.is_none()).map(|(f, _)| f.name.as_str()).collect();
    shown.cost = match cost {
        Some(cost) => cost_words(cost, made.kg, units),
        None => phrase!("No price is known of {}", unpriced.join(", ")),
    };
    shown.compared = compare.and_then(|mix| compared(ctx, mix, cost, made.kg));
    shown.parts.set(rows(ctx, made, compare));
    let (sums, least) = (holds(of.iter().copied()), floor(&of));
    let all = held(&sums, &least, demands);
    let kept: Vec<Held> = all
        .into_iter()
        .filter(|h| h.as_fed.is_some() || h.dry.is_some() || h.floor.is_some() || !h.asked.is_empty())
        .collect();
    shown.gaps = kept
        .iter()
        .filter(|h| !h.unknown.is_empty())
        .map(|h| {
            let more = if h.floor.is_some() { "+ is more, by what they hold" } else { "so nothing is told" };
            phrase!("{} is not known of {}: {more}", h.what.words(), h.unknown.join(", "))
        })
        .collect();
    shown.holds.set(kept.iter().enumerate().map(|(i, h)| held_row(i, h)).collect());
    let rules = FeedRules::of(ctx.flock.holding());
    shown.said = cautions(&rules, &of, made.eaters)
        .into_iter()
        .map(|(grave, why, words)| {
            let kind = match grave {
                Grave::Stop => Kind::Refuse,
                Grave::Warn => Kind::Caution,
                Grave::Note => Kind::Plain,
            };
            (kind, why, phrase!("{}: {words}.", grave.words()))
        })
        .collect();
}

/// What it costs beside the mix as it is written.
fn compared(ctx: &Ctx<'_>, mix: &Feed, cost: Option<f64>, kg: f64) -> Option<String> {
    let total = Mass::from_kg(kg)?;
    let before = weighing(ctx.flock, mix, total, ctx.today)?.cost?;
    let saves = (before - cost?) / kg * 1000.0;
    let than = match saves {
        s if s.abs() < 0.005 => phrase!("costs the same"),
        s if s > 0.0 => phrase!("saves {} a tonne", money(s)),
        s => phrase!("costs {} a tonne more", money(-s)),
    };
    Some(phrase!("{} as written costs {} a tonne: this mix {than}", mix.name, money(before / kg * 1000.0)))
}

fn rows(ctx: &Ctx<'_>, made: &Made, compare: Option<&Feed>) -> Vec<Row<usize>> {
    let units = ctx.units();
    let room = ctx.flock.feedroom();
    let before: Vec<(String, f64)> = compare
        .map(|f| {
            let share = |s: u32| f64::from(s) / f64::from(WHOLE);
            f.parts.iter().map(|p| (room.name(p.feed).to_string(), share(p.share))).collect()
        })
        .unwrap_or_default();
    let thousandths = |x: f64| Some((x * 1000.0).round() as i64);
    let percent = |x: f64| format!("{:.1} %", x * 100.0);
    let was = |name: &str| before.iter().find(|(n, _)| norm(n) == norm(name)).map(|(_, share)| *share);
    let row = |i: usize, name: &str, share: f64, kg: f64, so: &str, cost: Option<f64>| {
        let was = was(name);
        Row::new(i)
            .tag(name)
            .number(percent(share), thousandths(share))
            .number(Mass::from_kg(kg).unwrap_or_default().show(units), thousandths(kg))
            .text(so.to_string())
            .number(cost.map(money).unwrap_or_default(), cost.and_then(thousandths))
            .number(was.map(percent).unwrap_or_default(), was.and_then(thousandths))
    };
    let mut all: Vec<Row<usize>> = made
        .parts
        .iter()
        .enumerate()
        .map(|(i, p)| row(i, &p.stuff.feed.name, p.share, p.kg, &p.so, p.stuff.feed.price.map(|x| x * p.kg)))
        .collect();
    for (name, _) in &before {
        if !made.parts.iter().any(|p| norm(&p.stuff.feed.name) == norm(name)) {
            all.push(row(all.len(), name, 0.0, 0.0, "", None));
        }
    }
    all
}

/// `Protein %`, `Copper mg/kg`, `Ca to P`.
fn name(what: What) -> String {
    match what {
        What::Protein => phrase!("Protein %"),
        What::Fibre => phrase!("Fibre %"),
        What::CalciumToPhosphorus => what.words().into(),
        _ => phrase!("{} {}", what.words(), what.unit()),
    }
}

fn held_row(i: usize, h: &Held) -> Row<usize> {
    let figure = |x: f64| match h.what {
        What::CalciumToPhosphorus => format!("{x:.2}"),
        _ if x >= 100.0 => format!("{x:.0}"),
        _ => format!("{x:.1}"),
    };
    let cell = |x: Option<f64>, least: Option<f64>| match (x, least) {
        (Some(x), _) => {
            let text = figure(x);
            (Cell::text(text.clone()), By::number(Some((x * 1000.0) as i64)), text)
        }
        (None, Some(x)) => {
            let text = format!("{}+", figure(x));
            (Cell::text(text.clone()).faint(), By::number(Some((x * 1000.0) as i64)), text)
        }
        (None, None) => (Cell::empty(), By::Nothing, String::new()),
    };
    let (fed, dry) = (cell(h.as_fed, h.floor.map(|f| f.0)), cell(h.dry, h.floor.map(|f| f.1)));
    let (kind, word) = match h.met {
        Some(true) => (Kind::Good, "met"),
        Some(false) => (Kind::Caution, "missed"),
        None if h.asked.is_empty() => (Kind::Plain, ""),
        None => (Kind::Caution, "unknown"),
    };
    let state = if word.is_empty() { Cell::empty() } else { Cell::chip(kind, word) };
    // The unit stands before, and the base in a word; in full it is spoken and taken out.
    let unit = phrase!(" {}", h.what.unit());
    let short =
        h.asked.replace("at ", "").replace(&unit, "").replace("as fed", "fed").replace("dry matter", "dry");
    Row::new(i)
        .tag(name(h.what))
        .cell(fed.0, fed.1, fed.2)
        .cell(dry.0, dry.1, dry.2)
        .cell(Cell::text(short), By::Text(h.asked.clone()), h.asked.clone())
        .cell(state, By::Text(word.into()), word)
}
