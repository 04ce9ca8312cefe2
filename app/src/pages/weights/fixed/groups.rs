//! The groups lambs are compared in, and the rule that makes them.

use super::super::super::list::{By, List, Row, into_table, take_out};
use super::super::super::{Ctx, Intent};
use super::{Look, Question, State, write_rules};
use crate::look;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::handbook::Ground;
use hirsel_core::phrase;
use hirsel_core::reckon::growth::fixed::FixedAge;
use hirsel_core::reckon::growth::rules::{GroupRule, GrowthRules};
use hirsel_core::terms::{Weight, counted};
use serde::{Deserialize, Serialize};

/// The rule as typed; none is as the book has it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    span: Option<String>,
    apart: [Option<bool>; 3],
    least: Option<String>,
}

const TABLE: &str = "Groups";
const SPAN: &str = "Born within";
const LEAST: &str = "Ratio from";
const APART: [(bool, &str); 2] = [(true, "apart"), (false, "together")];

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
    rule(ui, ctx, rules, state, out);
    let (made_for, list, table) = &mut state.groups;
    if *made_for != Some(question) {
        fill(ctx, at, list);
        *made_for = Some(question);
    }
    ui.horizontal(|ui| {
        look::faint(ui, counted(list.rows.len(), "group"));
        let heads = ["group", "made", "lambs", "mean", "lightest", "heaviest"];
        take_out(ui, &phrase!("groups at {} days", at.age.days), &heads, list, table, out);
        look::faint(ui, "Enter on a group shows its lambs; there they are put into another by hand.");
    });
    let columns = [
        Column::new("Group", 320.0).rest(),
        Column::new("Made", 76.0),
        Column::new("Lambs", 100.0).right(),
        Column::new("Mean", 84.0).right(),
        Column::new("Lightest", 84.0).right(),
        Column::new("Heaviest", 84.0).right(),
    ];
    if into {
        into_table(ui, TABLE);
    }
    for event in RecordTable::new(TABLE, &columns).single().show(ui, table, list) {
        if let TableEvent::Opened(i) = event
            && let Some(group) = at.groups.get(i)
        {
            state.search.clone_from(&group.name);
            state.look = Look::Lambs;
        }
    }
}

fn fill(ctx: &Ctx<'_>, at: &FixedAge, list: &mut List<usize>) {
    let units = ctx.units();
    let least = GrowthRules::of(ctx.flock).groups.least;
    // The latest season first, in it the largest.
    let mut order: Vec<usize> = (0..at.groups.len()).collect();
    let year = |i: usize| at.groups[i].name.split(',').next().and_then(|y| y.parse::<i32>().ok());
    order.sort_by(|a, b| {
        let (ga, gb) = (&at.groups[*a], &at.groups[*b]);
        (gb.by_hand, year(*b), gb.n).cmp(&(ga.by_hand, year(*a), ga.n)).then_with(|| ga.name.cmp(&gb.name))
    });
    let rows = order.into_iter().map(|i| {
        let g = &at.groups[i];
        let weight = |w: Option<Weight>| (w.map(|w| w.show(units)).unwrap_or_default(), w.map(Weight::grams));
        let mean = weight(Weight::from_grams(g.mean.round() as i64));
        let n = if g.n < least { phrase!("{}, too few", g.n) } else { g.n.to_string() };
        let cell = if g.n < least { Cell::text(n.clone()).faint() } else { Cell::text(n.clone()) };
        let (low, high) = (weight(g.least), weight(g.most));
        Row::new(i)
            .tag(&g.name)
            .text(if g.by_hand { "by hand" } else { "by rule" })
            .cell(cell, By::Number(g.n as i64), n)
            .number(mean.0, mean.1)
            .number(low.0, low.1)
            .number(high.0, high.1)
    });
    list.set(rows.collect());
}

/// The rule as fields; Enter on the last writes it.
fn rule(ui: &mut egui::Ui, ctx: &Ctx<'_>, rules: &GrowthRules, state: &mut State, out: &mut Vec<Intent>) {
    let g = &rules.groups;
    let wrong = |label: &'static str| state.wrong(label).map(str::to_string);
    let (span_wrong, least_wrong) = (wrong(SPAN), wrong(LEAST));
    let typed = &mut state.rule;
    let mut span = typed.span.clone().unwrap_or_else(|| g.span_days.to_string());
    let mut least = typed.least.clone().unwrap_or_else(|| g.least.to_string());
    let mut form = Form::new(ui, "rule of groups").label_width(84.0);
    let mut go = false;
    ui.columns(2, |c| {
        let field = Field::new(SPAN)
            .width(60.0)
            .unit("days of each other; 0: one year")
            .refusal(span_wrong.as_deref());
        if form.field(&mut c[0], &field, &mut span).response.changed() {
            typed.span = Some(span.clone());
        }
        let stands = [g.by_sex, g.by_pen, g.by_weighing];
        for (i, label) in ["The sexes", "Pens", "Weighings"].into_iter().enumerate() {
            let mut apart = Some(typed.apart[i].unwrap_or(stands[i]));
            // Two on each side.
            let ui = if i == 0 { &mut c[1] } else { &mut c[i - 1] };
            if form.choice(ui, &Choice::new(label, &APART), &mut apart).changed() {
                typed.apart[i] = apart;
            }
        }
        let field =
            Field::new(LEAST).width(60.0).unit("lambs in the group on").refusal(least_wrong.as_deref());
        if form.field(&mut c[0], &field, &mut least).response.changed() {
            typed.least = Some(least.clone());
        }
        let touched =
            typed.span.is_some() || typed.least.is_some() || typed.apart.iter().any(Option::is_some);
        c[1].horizontal(|ui| {
            go = ui.add_enabled(touched, egui::Button::new(phrase!("Write the rule"))).clicked();
            look::faint(ui, g.ground.to_string());
        });
    });
    go |= form.finish(ui) == FormEvent::Submitted;
    if !go {
        return;
    }
    let span: Option<i64> = span.trim().parse().ok().filter(|d| (0..=365).contains(d));
    let least: Option<usize> = least.trim().parse().ok().filter(|n| (2..=1000).contains(n));
    let (Some(span_days), Some(least)) = (span, least) else {
        state.wrong = Some(match span {
            None => (SPAN, phrase!("write days from 0 to 365")),
            Some(_) => (LEAST, phrase!("write a number of lambs, 2 or more")),
        });
        return;
    };
    let apart = typed.apart;
    let mut own = rules.clone();
    own.groups = GroupRule {
        span_days,
        by_sex: apart[0].unwrap_or(g.by_sex),
        by_pen: apart[1].unwrap_or(g.by_pen),
        by_weighing: apart[2].unwrap_or(g.by_weighing),
        least,
        ground: Ground::Memory("the keeper".into()),
    };
    write_rules(ctx, &own, out);
}
