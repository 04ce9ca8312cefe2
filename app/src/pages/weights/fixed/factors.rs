//! The factors of the table, for the keeper to change, beside those of the flock's own records.

use super::super::super::list::{By, List, Row, into_table, take_out};
use super::super::super::{Ctx, Intent};
use super::{Question, State, write_rules};
use crate::look;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::handbook::Ground;
use hirsel_core::phrase;
use hirsel_core::reckon::growth::fixed::{FixedAge, OwnFactors};
use hirsel_core::reckon::growth::rules::{Class, Effect, GrowthRules};
use hirsel_core::terms::counted;

/// Effect and place of a class.
pub(super) type Key = (usize, usize);

const TABLE: &str = "Factors";
const FACTOR: &str = "Table's factor";
const AGE: &str = "Another age";

#[expect(clippy::too_many_arguments)] // as the other looks of this part
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    rules: &GrowthRules,
    at: &FixedAge,
    state: &mut State,
    question: Question,
    into: bool,
    out: &mut Vec<Intent>,
) {
    let own = &at.own;
    look::faint(ui, phrase!("The table: {}.", rules.table));
    look::faint(ui, said(own, rules.per_class, at.age.days));
    fields(ui, ctx, rules, state, out);
    let (made_for, list, table) = &mut state.factors;
    if *made_for != Some(question) {
        fill(rules, own, list);
        *made_for = Some(question);
    }
    ui.horizontal(|ui| {
        let heads = ["class", "of", "table", "source", "weights", "own", "standard_error", "state"];
        take_out(ui, &phrase!("factors at {} days", at.age.days), &heads, list, table, out);
        look::faint(ui, "Enter on a line changes the table's factor of it.");
    });
    let columns = [
        Column::new("Lambs", 180.0).rest(),
        Column::new("Effect", 130.0),
        Column::new("Table", 66.0).right(),
        Column::new("Source", 110.0),
        Column::new("Weights", 70.0).right(),
        Column::new("Flock's own", 90.0).right(),
        Column::new("± error", 66.0).right(),
        Column::new("Flock's own is", 200.0),
    ];
    if into {
        into_table(ui, TABLE);
    }
    for event in RecordTable::new(TABLE, &columns).single().show(ui, table, list) {
        if let TableEvent::Opened(key) = event
            && let Some(c) = class(rules, key)
        {
            state.factor = format!("{:.2}", c.factor);
            state.focus = Some(FACTOR);
        }
    }
}

fn class(rules: &GrowthRules, (e, i): Key) -> Option<&Class> {
    Effect::ALL.get(e).and_then(|e| rules.classes(*e).get(i))
}

/// What the flock's own factors stand on.
fn said(own: &OwnFactors, least: usize, days: u16) -> String {
    let weights = counted(own.n, "weight");
    let left = if own.left_out > 0 {
        phrase!(" {} left out: rough, or sex, litter or the ewe's age not known.", own.left_out)
    } else {
        String::new()
    };
    match own.spread {
        Some(s) => phrase!(
            "The flock's own at {days} days: from {weights} in {}, all effects fitted at once; weights spread {:.0} % about \
             the fit. Used from {least} weights of a class on. ± is one standard error.{left}",
            counted(own.groups, "group"),
            s * 100.0
        ),
        None => phrase!("The flock's own at {days} days: {weights}, too few to reckon any factor.{left}"),
    }
}

/// The factor of the line under the cursor, and another age.
fn fields(ui: &mut egui::Ui, ctx: &Ctx<'_>, rules: &GrowthRules, state: &mut State, out: &mut Vec<Intent>) {
    let key = state.factors.2.cursor();
    let of = key.and_then(|k| class(rules, k)).map(|c| c.of.words());
    let wrong = |label: &'static str| state.wrong(label).map(str::to_string);
    let (factor_wrong, age_wrong) = (wrong(FACTOR), wrong(AGE));
    let mut form = Form::new(ui, "table's factor").label_width(100.0);
    let mut other = Form::new(ui, "another age").label_width(100.0);
    if let Some(label) = state.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        if !wish {
            state.focus = None;
        }
    }
    let hint = of.as_ref().map_or(phrase!("choose a line"), |of| phrase!("for {of}"));
    ui.columns(2, |c| {
        let field = Field::new(FACTOR).width(70.0).unit(&hint).refusal(factor_wrong.as_deref());
        form.field(&mut c[0], &field, &mut state.factor);
        let field = Field::new(AGE).width(70.0).unit("days").refusal(age_wrong.as_deref());
        other.field(&mut c[1], &field, &mut state.new_age);
    });
    if form.finish(ui) == FormEvent::Submitted {
        match changed(rules, key, &state.factor) {
            Ok(own) => write_rules(ctx, &own, out),
            Err(why) => state.wrong = Some((FACTOR, why)),
        }
    }
    if other.finish(ui) == FormEvent::Submitted {
        match with_age(rules, &state.new_age) {
            Ok(own) => write_rules(ctx, &own, out),
            Err(why) => state.wrong = Some((AGE, why)),
        }
    }
}

fn changed(rules: &GrowthRules, key: Option<Key>, text: &str) -> Result<GrowthRules, String> {
    let (e, i) = key.ok_or("choose a line of the table first")?;
    let factor: f64 = text.trim().replace(',', ".").parse().map_err(|_| "write a factor, such as 1.08")?;
    if !(0.5..=2.0).contains(&factor) {
        return Err("a factor lies between 0.5 and 2".into());
    }
    let mut own = rules.clone();
    let class =
        Effect::ALL.get(e).and_then(|effect| own.class_mut(*effect, i)).ok_or("choose a line first")?;
    if class.base {
        return Err("the base is what the others are brought to: its factor is 1".into());
    }
    class.factor = factor;
    class.ground = Ground::Memory("the keeper".into());
    if own.table == GrowthRules::shipped().table {
        own.table = "the keeper's".into();
    }
    Ok(own)
}

fn with_age(rules: &GrowthRules, text: &str) -> Result<GrowthRules, String> {
    let days: u16 =
        text.trim().parse().ok().filter(|d| (7..=400).contains(d)).ok_or("write days from 7 to 400")?;
    let mut own = rules.clone();
    if own.age(days).is_some() {
        return Err("that age is there already".into());
    }
    own.ages.push(GrowthRules::own_age(days));
    own.ages.sort_by_key(|a| a.days);
    Ok(own)
}

fn fill(rules: &GrowthRules, own: &OwnFactors, list: &mut List<Key>) {
    let mut rows = Vec::new();
    for (e, effect) in Effect::ALL.into_iter().enumerate() {
        for (i, c) in rules.classes(effect).iter().enumerate() {
            let Some(o) = own.classes(effect).get(i) else { continue };
            let (factor, se) = match (o.base, o.estimate) {
                (true, _) => ("1".to_string(), String::new()),
                (_, Some(f)) => (format!("{:.3}", f.factor), format!("{:.3}", f.se)),
                (_, None) => (String::new(), String::new()),
            };
            let state = match (o.base, own.used(effect, i)) {
                (true, _) => phrase!("the base"),
                (_, Ok(_)) => "used when asked for".into(),
                (_, Err(why)) => phrase!("not used: {}", why.words()),
            };
            let usable = o.base || own.used(effect, i).is_ok();
            let cell = |text: &str| {
                if usable { Cell::text(text.to_string()) } else { Cell::text(text.to_string()).faint() }
            };
            let by = o.estimate.map(|f| (f.factor * 1e6) as i64);
            let ground = c.ground.to_string();
            let ground = if ground.starts_with("the keeper") { "the keeper".into() } else { ground };
            rows.push(
                Row::new((e, i))
                    .tag(c.of.words())
                    .text(effect.words())
                    .number(format!("{:.2}", c.factor), Some((c.factor * 1e6) as i64))
                    .text(ground)
                    .number(o.n.to_string(), Some(o.n as i64))
                    .cell(cell(&factor), By::number(by), factor.as_str())
                    .cell(cell(&se), By::number(o.estimate.map(|f| (f.se * 1e6) as i64)), se.as_str())
                    .cell(cell(&state), By::Text(state.clone()), state.as_str()),
            );
        }
    }
    list.set(rows);
}
