//! What a group is given a day beside what it needs, what must be said about it, and the keeper's own target.

use super::super::super::{Ctx, Intent, Then};
use super::{Answer, Sent, State, form};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::{Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry;
use hirsel_core::flock::Holding;
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::{GroupDiet, a_head, with_target};
use hirsel_core::reckon::ration::{FeedRules, Grave, Limit, Line, Needs, daily, daily_unit};
use hirsel_core::terms::Why;
use hirsel_core::terms::{Eaters, Nutrient};
use serde::{Deserialize, Serialize};

/// Which group is looked at, and the target as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    whose: PickerState<u64>,
    what: PickerState<u64>,
    amount: String,
    #[serde(skip)]
    wrong: Option<String>,
}

impl Typed {
    /// The target is written.
    pub(super) fn written(&mut self) {
        self.amount.clear();
        self.wrong = None;
    }
}

/// The diets by the words they are chosen with.
fn titled(answer: &Answer) -> Vec<(String, &GroupDiet)> {
    let alone = |d: &GroupDiet| answer.diets.iter().filter(|o| o.eaters == d.eaters).count() == 1;
    answer.diets.iter().map(|d| (d.title(alone(d)), d)).collect()
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    answer: &Answer,
    out: &mut Vec<Intent>,
) {
    let all = titled(answer);
    if all.is_empty() {
        look::faint(
            ui,
            "Nobody to feed yet: animals are written up under Flock (Ctrl+3), and what each group needs stands here.",
        );
        return;
    }
    let t = &mut state.needs;
    let mut form = Form::new(ui, "whose needs").label_width(60.0);
    let found = |(key, (title, d)): (u64, &(String, &GroupDiet))| Found {
        key,
        label: title.clone(),
        detail: match d.heads {
            1 => phrase!("1 head"),
            n => phrase!("{n} heads"),
        },
    };
    let example = all.first().map(|(title, _)| title.to_string()).unwrap_or_default();
    let picker = Picker::new("Whose", ctx.flock.version()).width(300.0).example(example);
    form.picker(ui, &picker, &mut t.whose, |text| {
        let low = text.trim().to_lowercase();
        (0u64..).zip(&all).filter(|(_, (title, _))| title.to_lowercase().contains(&low)).map(found).collect()
    });
    form.finish(ui);
    let chosen = all.iter().find(|(title, _)| *title == t.whose.text.trim());
    let typed = state.typed_group();
    let Some((_, diet)) =
        chosen.or_else(|| all.iter().find(|(_, d)| Some(d.eaters) == typed)).or(all.first())
    else {
        return;
    };
    about(ui, ctx, diet);
    table(ui, diet);
    notes(ui, &answer.rules, diet);
    target(ui, ctx, state, diet, out);
    ui.add_space(space::S);
    for c in &diet.cautions {
        let kind = match c.grave() {
            Grave::Stop => Kind::Refuse,
            Grave::Warn => Kind::Caution,
            Grave::Note => Kind::Plain,
        };
        caution::sentence(ui, kind, &[c.why()], phrase!("{}: {c}.", c.grave().words()));
    }
}

impl State {
    /// The group that stands in the form.
    fn typed_group(&self) -> Option<Eaters> {
        form::group_of(self.typed.group_text()).ok()
    }
}

/// What they are given, and what they are known to weigh.
fn about(ui: &mut egui::Ui, ctx: &Ctx<'_>, d: &GroupDiet) {
    let room = ctx.flock.feedroom();
    let given: Vec<String> = d
        .portions
        .iter()
        .map(|(feed, each, measure)| {
            format!("{} {}", room.name(*feed), a_head(room, *each, *measure, ctx.today, ctx.units()))
        })
        .collect();
    let given = if given.is_empty() { phrase!("nothing written") } else { given.join(" + ") };
    look::strong(ui, phrase!("{}: {given}", d.eaters.words()));
    let weight = match d.weight {
        Some((kg, n)) => {
            let kg = hirsel_core::terms::Weight::from_grams((kg * 1000.0) as i64);
            let kg = kg.map(|w| w.show(ctx.units())).unwrap_or_default();
            phrase!("{n} of {} weighed, {kg} on the mean", d.heads)
        }
        None => phrase!("no weight of theirs is known: weigh some, their needs go by it"),
    };
    let mut said = vec![weight];
    said.extend(d.condition.map(|c| phrase!("condition {c:.1}")));
    said.extend(d.balance.needs.asked.days.map(|n| phrase!("{n} days after lambing")));
    said.extend(d.balance.needs.asked.lambs.map(|n| phrase!("carrying {n}")));
    look::faint(ui, said.join("; "));
}

/// A figure with as many places as it bears.
fn figure(x: f64) -> String {
    let places = if x.abs() >= 100.0 {
        0
    } else if x.abs() >= 10.0 {
        1
    } else {
        2
    };
    let text = format!("{x:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

fn table(ui: &mut egui::Ui, d: &GroupDiet) {
    egui::Grid::new("needs").num_columns(5).spacing([space::L, space::XS]).striped(true).show(ui, |ui| {
        for head in ["", "Needs", "Is given", "Share", ""] {
            look::faint(ui, head);
        }
        ui.end_row();
        for l in d.balance.lines.iter().filter(|l| daily().contains(&l.what)) {
            row(ui, l);
        }
    });
}

fn row(ui: &mut egui::Ui, l: &Line) {
    let unit = daily_unit(l.what);
    ui.label(l.what.words());
    match &l.need {
        Some(n) => ui.label(phrase!("{} {unit}", figure(n.amount))),
        None => look::faint(ui, "not known"),
    };
    match l.given {
        Some(x) => ui.label(phrase!("{} {unit}", figure(x))),
        None => look::faint(ui, phrase!("at least {} {unit}", figure(l.known))),
    };
    match l.share() {
        Some(share) => {
            ui.label(format!("{:.0} %", share * 100.0));
            match share {
                s if s < 0.95 => look::word(ui, Kind::Caution, "short"),
                s if s > 1.3 => look::word(ui, Kind::Plain, "much more"),
                _ => look::word(ui, Kind::Good, "enough"),
            };
        }
        None => {
            ui.label("–");
            ui.label("");
        }
    }
    ui.end_row();
}

/// Copper of the diet, what is not known and why, and where the needs are from.
fn notes(ui: &mut egui::Ui, rules: &FeedRules, d: &GroupDiet) {
    let (warn, stop) = (rules.limit(Limit::CopperWarn), rules.limit(Limit::CopperStop));
    let bound = phrase!("warned of above {}, not to be fed above {}", figure(warn), figure(stop));
    match d.balance.copper() {
        Some(mg) => {
            let kind = if mg > warn { Kind::Caution } else { Kind::Good };
            let said = phrase!("Copper of the whole diet: {} mg a kg of dry matter ({bound})", figure(mg));
            caution::sentence(ui, kind, &[Why::Copper], &said);
        }
        None if d.portions.is_empty() => {}
        None => {
            let said = phrase!("Copper of the whole diet is not known ({bound})");
            caution::sentence(ui, Kind::Caution, &[Why::Copper], &said);
        }
    }
    let mut unknown: Vec<(&[String], Vec<&str>)> = Vec::new();
    for l in d.balance.lines.iter().filter(|l| !l.unknown.is_empty()) {
        match unknown.iter_mut().find(|(feeds, _)| *feeds == l.unknown.as_slice()) {
            Some((_, whats)) => whats.push(l.what.words()),
            None => unknown.push((&l.unknown, vec![l.what.words()])),
        }
    }
    for (feeds, whats) in unknown {
        look::faint(ui, phrase!("Not known of {}: {}.", feeds.join(", "), whats.join(", ")));
    }
    for line in grounds(&d.balance.needs) {
        look::faint(ui, line);
    }
    for said in &d.balance.needs.said {
        look::faint(ui, format!("{}.", capital(said)));
    }
}

/// `Needs of dry matter, crude protein: row of 70 kg. NRC, …`: each source once.
fn grounds(needs: &Needs) -> Vec<String> {
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for n in &needs.known {
        let from = phrase!("{}. {}", n.how.words(), n.ground);
        match all.iter_mut().find(|(f, _)| *f == from) {
            Some((_, whats)) => whats.push(n.what.words()),
            None => all.push((from, vec![n.what.words()])),
        }
    }
    all.into_iter().map(|(from, whats)| phrase!("Need of {}: {from}.", whats.join(", "))).collect()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// The keeper's own target: asked for where the tables know nothing, taken before them everywhere.
fn target(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, d: &GroupDiet, out: &mut Vec<Intent>) {
    let gaps: Vec<&str> = d.balance.needs.gaps.iter().map(|w| w.words()).collect();
    ui.add_space(space::S);
    if !gaps.is_empty() {
        let said = phrase!(
            "What {} need of {} is not known here: write your own target, or that of your feed analyst",
            d.eaters.words(),
            gaps.join(", ")
        );
        caution::sentence(ui, Kind::Caution, &[Why::FeedFigures], &said);
    }
    let t = &mut state.needs;
    let first = d.balance.needs.gaps.first().copied().unwrap_or(Nutrient::Protein);
    let mut form = Form::new(ui, "own target").label_width(60.0);
    let picker = Picker::new("Target", ctx.flock.version()).width(180.0).example(first.words());
    form.picker(ui, &picker, &mut t.what, |text| {
        let low = text.trim().to_lowercase();
        let fits = |w: &Nutrient| w.words().contains(&low);
        let found = |(key, w): (u64, &Nutrient)| Found {
            key,
            label: w.words().into(),
            detail: daily_unit(*w).into(),
        };
        (0u64..).zip(daily()).filter(|(_, w)| fits(w)).map(found).collect()
    });
    let named = |w: &&Nutrient| w.words() == t.what.text.trim();
    let nutrient = daily().iter().find(named).copied().unwrap_or(first);
    let unit = phrase!("{} a head a day; 0 takes it out", daily_unit(nutrient));
    let field = Field::new("Own").width(90.0).unit(&unit).refusal(t.wrong.as_deref());
    form.field(ui, &field, &mut t.amount);
    if form.finish(ui) != FormEvent::Submitted {
        return;
    }
    match written(ctx, d.eaters, nutrient, &t.amount) {
        Ok(checked) => {
            t.wrong = None;
            state.sent = Sent::Target;
            out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone });
        }
        Err(why) => {
            t.wrong = Some(why.clone());
            out.push(Intent::Say(Kind::Refuse, why));
        }
    }
}

fn written(ctx: &Ctx<'_>, eaters: Eaters, what: Nutrient, typed: &str) -> Result<entry::Checked, String> {
    let unit = daily_unit(what);
    let wrong = || phrase!("'{}' is no amount of {}: write {unit} a head a day", typed.trim(), what.words());
    let amount: f64 = typed.trim().replace(',', ".").parse().map_err(|_| wrong())?;
    if !(amount.is_finite() && (0.0..=10_000.0).contains(&amount)) {
        return Err(wrong());
    }
    let holding = ctx.flock.holding();
    let rules = FeedRules::of(holding);
    let mut figures = rules.target(eaters).map(|t| t.figures.clone()).unwrap_or_default();
    figures.retain(|(w, _)| *w != what);
    if amount > 0.0 {
        figures.push((what, amount));
    }
    let feeding = with_target(&holding.feeding, eaters, &figures);
    let new = Holding { feeding, ..holding.clone() };
    entry::holding(new, ctx.flock).map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
}
