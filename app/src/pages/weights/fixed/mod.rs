//! Weights carried to a fixed age: the lambs, the groups they are compared in, and the factors.

mod factors;
mod groups;
mod lambs;

use super::super::asking::SMALL;
use super::super::list::List;
use super::super::sections::halves;
use super::super::{Ctx, Intent, Then};
use super::made::{Asked, Made, waiting};
use crate::look::{self, Kind, space};
use crate::parts::record_table::TableState;
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry;
use hirsel_core::flock::Holding;
use hirsel_core::reckon::growth::fixed::{FixedAge, Using};
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_core::terms::{AnimalId, Day};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Look {
    #[default]
    Lambs,
    Groups,
    Factors,
}

const LOOKS: [(Look, &str); 3] =
    [(Look::Lambs, "Lambs"), (Look::Groups, "Groups"), (Look::Factors, "Factors")];

/// The factors that weights carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(in super::super) enum Carry {
    None,
    #[default]
    Table,
    Own,
}

pub(in super::super) const CARRY: [(Carry, &str); 3] =
    [(Carry::None, "none"), (Carry::Table, "the table's"), (Carry::Own, "flock's own")];

impl Carry {
    pub(in super::super) fn using(self) -> Using {
        match self {
            Self::None => Using::None,
            Self::Table => Using::Table,
            Self::Own => Using::Own,
        }
    }
}

/// Of which flock, day, age and factors an answer is.
type Question = (u64, Day, u16, Carry);

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The age in days; none until one is chosen.
    age: Option<u16>,
    carry: Carry,
    look: Look,
    search: String,
    /// Name of the group the chosen lambs are put into.
    group: String,
    rule: groups::Typed,
    factor: String,
    new_age: String,
    #[serde(skip)]
    made: Made<Question, FixedAge>,
    #[serde(skip)]
    lambs: lambs::Shown,
    #[serde(skip)]
    groups: (Option<Question>, List<usize>, TableState<usize>),
    #[serde(skip)]
    factors: (Option<Question>, List<factors::Key>, TableState<factors::Key>),
    #[serde(skip)]
    usual: Option<(u64, u16)>,
    #[serde(skip)]
    focus: Option<&'static str>,
    /// What is wrong with the field of this label.
    #[serde(skip)]
    wrong: Option<(&'static str, String)>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.wrong = None;
        self.group.clear();
        self.factor.clear();
        self.new_age.clear();
        self.rule = groups::Typed::default();
        self.lambs.table.clear_selection();
    }

    fn wrong(&self, label: &str) -> Option<&str> {
        self.wrong.as_ref().filter(|(l, _)| *l == label).map(|(_, why)| why.as_str())
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let rules = GrowthRules::of(ctx.flock);
    let age = the_age(ctx, &rules, state);
    let into_table = head(ui, &rules, state, age, into);
    ui.add_space(space::XS);
    let Some(rule) = state.age.or(Some(age)).and_then(|a| rules.age(a)).or_else(|| rules.ages.first()) else {
        look::faint(ui, "The book's table of growth has no age: add one under Factors.");
        return;
    };
    let question = (ctx.flock.version(), ctx.today, rule.days, state.carry);
    let (flock, asked, with) = (Arc::clone(ctx.flock), rule.clone(), rules.clone());
    let (using, today) = (state.carry.using(), ctx.today);
    let work = move || FixedAge::of(&flock, &with, &asked, using, today);
    let made = state.made.ask(ui, &question, ctx.flock.len() <= SMALL, work);
    let Asked::Ready(at) = made else {
        waiting(ui, &made);
        return;
    };
    match state.look {
        Look::Lambs => lambs::view(ui, ctx, &at, state, question, into_table, out),
        Look::Groups => groups::view(ui, ctx, &rules, &at, state, question, into_table, out),
        Look::Factors => factors::view(ui, ctx, &rules, &at, state, question, into_table, out),
    }
}

/// The age chosen, or the one that suits the youngest lambs weighed last.
fn the_age(ctx: &Ctx<'_>, rules: &GrowthRules, state: &mut State) -> u16 {
    if let Some(age) = state.age {
        return age;
    }
    let version = ctx.flock.version();
    if let Some((v, age)) = state.usual
        && v == version
    {
        return age;
    }
    let weighed = ctx.flock.present().filter_map(|f| {
        let born = f.animal.born.exact()?;
        let last = f.weighings.iter().rfind(|w| w.struck.is_none())?.at.day;
        Some((last, last.since(born))).filter(|(_, age)| (14..=200).contains(age))
    });
    let age = weighed.max_by_key(|(day, age)| (*day, std::cmp::Reverse(*age))).map(|(_, age)| age);
    let usual = age.and_then(|a| rules.usual_age(a)).filter(|a| rules.age(*a).is_some()).unwrap_or(60);
    state.usual = Some((version, usual));
    usual
}

/// The choices on top. Tells whether the keyboard goes on into the table.
fn head(ui: &mut egui::Ui, rules: &GrowthRules, state: &mut State, age: u16, into: &mut bool) -> bool {
    let mut form = Form::new(ui, "fixed age").label_width(72.0);
    form.focus_once(ui, into, "Age, days");
    let words: Vec<(u16, String)> = rules.ages.iter().map(|a| (a.days, a.days.to_string())).collect();
    let ages: Vec<(u16, &str)> = words.iter().map(|(d, w)| (*d, w.as_str())).collect();
    let mut down = false;
    halves(ui, "head 1", |c| {
        let mut at = Some(age);
        if form.choice(&mut c[0], &Choice::names("Age, days", &ages), &mut at).changed() {
            state.age = at;
        }
        let mut carry = Some(state.carry);
        form.choice(&mut c[1], &Choice::new("Factors", &CARRY), &mut carry);
        state.carry = carry.unwrap_or_default();
    });
    halves(ui, "head 2", |c| {
        let mut look = Some(state.look);
        form.choice(&mut c[0], &Choice::new("Look at", &LOOKS), &mut look);
        state.look = look.unwrap_or_default();
        if state.look == Look::Lambs {
            let field = Field::new("Search").width(240.0).example("tag, ram lamb, Bank field, twin");
            let response = form.field(&mut c[1], &field, &mut state.search).response;
            down = response.has_focus() && c[1].input(|i| i.key_pressed(egui::Key::ArrowDown));
        }
    });
    form.finish(ui) == FormEvent::Submitted || down
}

/// Writes the book's table of growth as the keeper changed it.
fn write_rules(ctx: &Ctx<'_>, rules: &GrowthRules, out: &mut Vec<Intent>) {
    let growth = if rules == GrowthRules::shipped() { String::new() } else { rules.text() };
    let holding = Holding { growth, ..ctx.flock.holding().clone() };
    match entry::holding(holding, ctx.flock) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::WeightsDone }),
        Err(refusals) => {
            let why = refusals.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, why));
        }
    }
}

/// Puts lambs into a group by hand, or back to that of the rule.
fn write_group(ctx: &Ctx<'_>, lambs: &[AnimalId], age_days: u16, group: Option<&str>, out: &mut Vec<Intent>) {
    let made = |animal| entry::GroupingDraft { animal, age_days, group: group.map(str::to_string) };
    match entry::groupings(lambs.iter().copied().map(made).collect(), ctx.flock) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::WeightsDone }),
        Err(refusals) => {
            let why = refusals.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, why));
        }
    }
}
