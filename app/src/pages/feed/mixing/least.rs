//! The cheapest mix of many feeds: who gets it, the feeds, what is asked, and the answer.

use super::super::super::asking::Stands;
use super::super::super::{Ctx, Intent};
use super::answer::{self, Found, Question};
use super::{Made, MadePart, State, Wrong, demands, feeds, number, rows};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, Found as Pick, Picker, PickerState};
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{
    Group, Wanted, demands as as_demands, left_out, limited, no_blend, rounded_words, shadow, stuff, wanted,
};
use hirsel_core::reckon::ration::{Ask, Choice, FeedRules, blend, whole_units};
use hirsel_core::terms::{Eaters, Mass};
use serde::{Deserialize, Serialize};

/// The form.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    eaters: PickerState<Eaters>,
    weight: String,
    days: String,
    beside: PickerState<u64>,
    beside_kg: String,
    each: String,
    rows: Vec<rows::Row>,
    demands: demands::Typed,
    total: String,
    /// For which group the demands were put there, and what was said of it.
    #[serde(skip)]
    put_for: Option<(GroupTyped, Wanted)>,
}

/// All that a group's wants hang on, as typed.
type GroupTyped = (u64, Option<Eaters>, [String; 5]);

const WHO: &str = "Who gets it";
const WEIGHT: &str = "Live weight";
const DAYS: &str = "Age";
const BESIDE: &str = "Fed beside";
const BESIDE_KG: &str = "Of that a head";
const EACH: &str = "Mix a head";
const TOTAL: &str = "How much";
/// What is made where nothing is typed, kg.
const USUAL: f64 = 500.0;

impl Typed {
    /// The parts of a mix of the book.
    pub(super) fn load(&mut self, ctx: &Ctx<'_>, names: &[&str]) {
        self.rows = names.iter().map(|name| rows::Row::named(ctx, name)).collect();
    }

    /// The group; none while none is chosen.
    fn group(&self, ctx: &Ctx<'_>) -> Result<Option<Group>, Wrong> {
        let Some(eaters) = self.eaters.chosen() else { return Ok(None) };
        let mass = |text: &str, label: &'static str| {
            let text = text.trim();
            if text.is_empty() {
                return Ok(None);
            }
            Mass::parse(text, ctx.units()).map(|m| Some(m.kg())).map_err(|e| (label, e.0))
        };
        let beside = stuff(ctx.flock, &self.beside.text, ctx.today);
        let beside_kg = mass(&self.beside_kg, BESIDE_KG)?;
        Ok(Some(Group {
            eaters,
            weight_kg: mass(&self.weight, WEIGHT)?,
            days: number(&self.days, "the days", 400.0).map_err(|w| (DAYS, w))?.map(|d| d as i64),
            beside: beside.zip(beside_kg).map(|(s, kg)| (s.feed, kg)),
            each_kg: mass(&self.each, EACH)?,
        }))
    }
}

fn is_lamb(eaters: Eaters) -> bool {
    matches!(eaters, Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs)
}

fn is_nursing(eaters: Eaters) -> bool {
    matches!(eaters, Eaters::NursingOne | Eaters::NursingTwo | Eaters::NursingThree)
}

/// All that is asked, and what stands behind it.
struct Asked {
    question: Question,
    feeds: Vec<rows::Understood>,
}

fn asked(ctx: &Ctx<'_>, t: &Typed) -> Result<Asked, Wrong> {
    let mut feeds: Vec<rows::Understood> = Vec::new();
    for (i, row) in t.rows.iter().enumerate() {
        let Some(u) = row.understood(ctx, i)? else { continue };
        if feeds.iter().any(|f| f.stuff.feed.name.to_lowercase() == u.stuff.feed.name.to_lowercase()) {
            return Err((
                rows::LABELS[i.min(11)][0],
                phrase!("{} stands twice: leave one out", u.stuff.feed.name),
            ));
        }
        feeds.push(u);
    }
    if feeds.len() < 2 {
        return Err((rows::LABELS[feeds.len()][0], "choose two feeds or more".into()));
    }
    let total = match t.total.trim() {
        "" => Mass::from_kg(USUAL).unwrap_or_default(),
        text => Mass::parse(text, ctx.units()).map_err(|e| (TOTAL, e.0))?,
    };
    if total.is_none() {
        return Err((TOTAL, "nothing cannot be mixed: write how much".into()));
    }
    let choices =
        feeds.iter().map(|u| Choice { feed: u.stuff.feed.clone(), least: u.least, most: u.most }).collect();
    let ask = Ask { choices, demands: as_demands(&t.demands.asked()?), total_kg: total.kg() };
    let units = feeds.iter().map(|u| u.unit.as_ref().map(|u| u.each.kg())).collect();
    Ok(Asked { question: (ask, units), feeds })
}

/// The answer to a question, on a thread of its own.
fn found((ask, units): &Question) -> Found {
    let blend = blend(ask)?;
    let rounded = units.iter().any(Option::is_some).then(|| whole_units(ask, &blend, units));
    Ok((blend, rounded))
}

/// The mix as it is written: in whole bags and scoops where some are named.
fn made(asked: &Asked, found: &Found, eaters: Option<Eaters>) -> Result<Made, Wrong> {
    let (blend, rounded) = match found {
        Ok(found) => found,
        Err(why) => return Err((rows::LABELS[0][0], no_blend(why).0)),
    };
    let part = |choice: usize, kg: f64, whole: f64, units: Option<u32>| {
        let u = asked.feeds.get(choice)?;
        let so = u.unit.as_ref().zip(units).map(|(unit, n)| unit.say(n)).unwrap_or_default();
        Some(MadePart { stuff: u.stuff.clone(), own: u.own.clone(), share: kg / whole, kg, so })
    };
    let (parts, kg): (Vec<MadePart>, f64) = match rounded {
        Some(r) => (r.parts.iter().filter_map(|p| part(p.choice, p.kg, r.kg, p.units)).collect(), r.kg),
        None => (
            blend.used().filter_map(|p| part(p.choice, p.kg, blend.total_kg, None)).collect(),
            blend.total_kg,
        ),
    };
    Ok(Made { parts, kg, eaters })
}

pub(super) fn form(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    form: &mut Form,
) -> Result<Made, Wrong> {
    group(ui, ctx, state, form);
    ui.add_space(space::XS);
    look::subheading(ui, "Feeds");
    let wrong = state.wrong.clone();
    rows::view(ui, ctx, form, &mut state.least.rows, wrong.as_ref());
    ui.add_space(space::S);
    look::subheading(ui, "What is asked of it");
    demands::view(ui, ctx, form, &mut state.least.demands);
    ui.add_space(space::XS);
    let units = ctx.units();
    let wrong = state.wrong(TOTAL);
    let usual = Mass::from_kg(USUAL).unwrap_or_default().show(units);
    let read = |t: &str| Mass::parse(t, units).map(|m| m.show(units)).map_err(|e| e.0);
    form.set_label_width(super::LABELS + 20.0);
    let field = Field::new(TOTAL).width(110.0).example(&usual).understand(&read);
    form.field(ui, &field.refusal(wrong.as_deref()), &mut state.least.total);
    let asked = asked(ctx, &state.least)?;
    match state.shown.answer_to(&asked.question) {
        Some(found) => made(&asked, found, state.least.eaters.chosen()),
        None => Err((TOTAL, "the mix is being reckoned: a moment".into())),
    }
}

/// Who gets it, and what they want put into the demands.
fn group(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let units = ctx.units();
    let wrongs = [WEIGHT, DAYS, BESIDE_KG, EACH].map(|l| state.wrong(l));
    let t = &mut state.least;
    let picker = Picker::new(WHO, 0).width(220.0).example("a group, or nobody yet").quiet(true);
    form.picker(ui, &picker, &mut t.eaters, |text| {
        let text = text.to_lowercase();
        let fits = |e: &&Eaters| e.words().contains(&text);
        let pick = |e: &Eaters| Pick { key: *e, label: e.words().into(), detail: String::new() };
        Eaters::ALL.iter().filter(fits).map(pick).collect()
    });
    if let Some(eaters) = t.eaters.chosen() {
        let weight = |t: &str| Mass::parse(t, units).map(|m| m.show(units)).map_err(|e| e.0);
        let days = |t: &str| number(t, "the days", 400.0).map(|_| "days".to_string());
        if !is_lamb(eaters) || eaters == Eaters::WeanedLambs {
            let field = Field::new(WEIGHT).width(90.0).example("70 kg").understand(&weight);
            form.field(ui, &field.refusal(wrongs[0].as_deref()), &mut t.weight);
        }
        if is_lamb(eaters) || is_nursing(eaters) {
            let example = if is_lamb(eaters) { "days" } else { "days since lambing" };
            let field = Field::new(DAYS).width(if is_lamb(eaters) { 90.0 } else { 150.0 });
            form.field(
                ui,
                &field.example(example).understand(&days).refusal(wrongs[1].as_deref()),
                &mut t.days,
            );
        }
        if !is_lamb(eaters) {
            let picker = Picker::new(BESIDE, ctx.flock.version()).width(220.0).free().quiet(true);
            form.picker(ui, &picker.example("hay"), &mut t.beside, |text| feeds(ctx, text));
            let field = Field::new(BESIDE_KG).width(90.0).example("1.8 kg").understand(&weight);
            form.field(ui, &field.refusal(wrongs[2].as_deref()), &mut t.beside_kg);
            let field = Field::new(EACH).width(90.0).example("0.9 kg").understand(&weight);
            form.field(ui, &field.refusal(wrongs[3].as_deref()), &mut t.each);
        }
    }
    let texts = [&t.weight, &t.days, &t.beside.text, &t.beside_kg, &t.each].map(Clone::clone);
    let typed: GroupTyped = (ctx.flock.version(), t.eaters.chosen(), texts);
    if t.put_for.as_ref().is_none_or(|(of, _)| *of != typed)
        && let Ok(group) = t.group(ctx)
    {
        let rules = FeedRules::of(ctx.flock.holding());
        let wanted = group.map(|g| wanted(&rules, &g)).unwrap_or_default();
        t.demands.put(&wanted.rows);
        t.put_for = Some((typed, wanted));
    }
    if let Some((_, wanted)) = &t.put_for {
        for said in &wanted.said {
            look::faint(ui, format!("{said}."));
        }
    }
}

/// What came of it.
pub(super) fn answer(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let asked = match asked(ctx, &state.least) {
        Ok(asked) => asked,
        Err((_, why)) => {
            look::faint(ui, super::square::capital(&why));
            look::faint(
                ui,
                "The cheapest mix that holds what is asked appears here, with what each demand costs.",
            );
            return;
        }
    };
    let question = asked.question.clone();
    let stands = state.shown.ask(ui, &question, found);
    let Some((of, found)) = state.shown.last() else {
        let words = if stands == Stands::Died { "It could not be reckoned" } else { "Being reckoned…" };
        look::faint(ui, words);
        return;
    };
    // While the next is reckoned the one before stays to be seen.
    if of != asked.question {
        look::faint(ui, "Being reckoned…");
    }
    let (blend, rounded) = match &*found {
        Ok(found) => found,
        Err(why) => {
            let (head, lines) = no_blend(why);
            look::refusal(ui, &head);
            for line in lines {
                ui.add(egui::Label::new(format!("{line}.")).wrap());
                ui.add_space(space::XS);
            }
            return;
        }
    };
    if of == asked.question
        && let Ok(made) = made(&asked, &found, state.least.eaters.chosen())
    {
        answer::whole(ui, ctx, state, &made, &of.0.demands, out);
    }
    let units = ctx.units();
    for said in rounded.iter().flat_map(|r| rounded_words(r, blend, units)) {
        let kind = if said.starts_with("Rounded") { Kind::Caution } else { Kind::Plain };
        look::sentence(ui, kind, format!("{said}."));
    }
    let binding: Vec<String> = blend.demands.iter().filter_map(shadow).collect();
    let shares: Vec<String> = blend.parts.iter().filter_map(limited).collect();
    let outside: Vec<String> = blend.parts.iter().filter_map(left_out).collect();
    ui.add_space(space::S);
    look::subheading(ui, "What makes it dear");
    if binding.is_empty() && shares.is_empty() {
        look::faint(ui, "Nothing that is asked: the cheapest feed alone would do.");
    }
    for said in binding.iter().chain(&shares).chain(&outside) {
        ui.add(egui::Label::new(format!("{said}.")).wrap());
    }
}
