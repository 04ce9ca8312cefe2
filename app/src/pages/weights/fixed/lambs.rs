//! Every lamb with a weight at the age, and putting lambs into a group by hand.

use super::super::super::asking::SMALL;
use super::super::super::list::{By, Row, fits, into_table, take_out};
use super::super::super::listing::Listing;
use super::super::super::{Ctx, Intent};
use super::{Question, State, write_group};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::flock::{Flock, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::growth::fixed::{AtAge, BirthUsed, Carried, FixedAge};
use hirsel_core::reckon::growth::rules::Effect;
use hirsel_core::terms::{AnimalId, Sex, Units, counted};
use std::sync::Arc;

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Shown {
    made: Listing<(Question, String), AnimalId>,
    pub(super) table: TableState<AnimalId>,
}

const TABLE: &str = "Lambs at the age";
const GROUP: &str = "Into group";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    at: &Arc<FixedAge>,
    state: &mut State,
    question: Question,
    into: bool,
    out: &mut Vec<Intent>,
) {
    let wanted = (question, state.search.clone());
    let (flock, of, search) = (Arc::clone(ctx.flock), Arc::clone(at), state.search.clone());
    let work = move || (rows(&flock, &of, &search), ());
    state.lambs.made.ask(ui, &wanted, ctx.flock.len() <= SMALL, work);
    if state.lambs.made.is_new() {
        look::faint(ui, "Being reckoned over the whole flock…");
        return;
    }
    let n = state.lambs.made.list.rows.len();
    ui.horizontal(|ui| {
        look::faint(ui, counted(n, "lamb"));
        let heads = [
            "tag",
            "what",
            "at_birth",
            "weighed",
            "age_days",
            "at_age",
            "adjusted",
            "ratio",
            "factor",
            "type",
            "weighed_on",
            "group",
            "lambs_of_group",
            "factors_carried",
        ];
        let name = phrase!("weights at {} days", at.age.days);
        take_out(ui, &name, &heads, &state.lambs.made.list, &mut state.lambs.table, out);
    });
    let left = at.left_out.words();
    let rule = &at.age;
    look::faint(
        ui,
        phrase!(
            "Carried on a straight line from birth; its day is named where it lies outside {} to {} and the line is \
             rough. {left}",
            rule.from,
            rule.to
        ),
    );
    mend(ui, ctx, at, state, out);
    let columns = [
        Column::new("Animal", 76.0),
        Column::new("What", 110.0).rest(),
        Column::new("At birth", 78.0).right(),
        Column::new("Weighed", 74.0).right(),
        Column::new("Day", 44.0).right(),
        Column::new(phrase!("At {}", rule.days), 104.0).right(),
        Column::new("Adjusted", 76.0).right(),
        Column::new("Ratio", 88.0).right(),
        Column::new("Factor", 94.0),
    ];
    if state.lambs.made.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No lamb has a weight near this age. Weigh lambs within a week of it (Weigh, or a session): here they are \
             brought to the same age and compared.",
        );
        return;
    }
    let foot = 42.0;
    let size = egui::vec2(ui.available_width(), (ui.available_height() - foot).max(120.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if into {
            into_table(ui, TABLE);
        }
        for event in
            RecordTable::new(TABLE, &columns).show(ui, &mut state.lambs.table, &state.lambs.made.list)
        {
            if let TableEvent::Opened(id) = event {
                out.push(Intent::Open(id));
            }
        }
    });
    let row = state.lambs.table.cursor().and_then(|id| at.get(id));
    look::faint(
        ui,
        row.map_or_else(|| phrase!("The lamb under the cursor is told of here."), |r| told(ctx, at, r)),
    );
}

/// `0601: twin, reared twin. Group: 2026, … (18 lambs, mean 19.8 kg). Carries …`.
fn told(ctx: &Ctx<'_>, at: &FixedAge, r: &AtAge) -> String {
    let units = ctx.units();
    let group = at.group(r).map(|g| {
        let mean = hirsel_core::terms::Weight::from_grams(g.mean.round() as i64);
        let mean = mean.map(|w| w.show(units)).unwrap_or_default();
        let hand = if g.by_hand { " by hand" } else { "" };
        let none = if r.ratio.is_none() { "; too few for a ratio" } else { "" };
        phrase!("{}{hand} ({}, mean {mean}{none})", g.name, counted(g.n, "lamb"))
    });
    let birth = match r.birth {
        BirthUsed::Written(_) => String::new(),
        BirthUsed::Mean { n, breed, .. } => {
            let of = if breed { "sex, litter and breed" } else { "sex and litter" };
            phrase!(" Birth weight missing: mean of {n} of its {of}.")
        }
    };
    phrase!(
        "{}: {}. Carries {}.{birth}",
        &ctx.flock.tag(r.animal),
        group.unwrap_or_default(),
        r.factor_words()
    )
}

/// The field that puts the chosen lambs into a group.
fn mend(ui: &mut egui::Ui, ctx: &Ctx<'_>, at: &FixedAge, state: &mut State, out: &mut Vec<Intent>) {
    let chosen: Vec<AnimalId> = state.lambs.table.chosen();
    let mut form = Form::new(ui, "into group").label_width(72.0);
    let mut go = false;
    let mut back = false;
    ui.horizontal(|ui| {
        ui.allocate_ui(egui::vec2(340.0, space::FIELD), |ui| {
            let why = state.wrong.as_ref().filter(|(l, _)| *l == GROUP).map(|(_, w)| w.clone());
            let field =
                Field::new(GROUP).width(240.0).example("name, for the chosen lambs").refusal(why.as_deref());
            form.field(ui, &field, &mut state.group);
        });
        let words = phrase!("Put {} there", counted(chosen.len(), "lamb"));
        go = ui.add_enabled(!chosen.is_empty(), egui::Button::new(crate::look::spoken(words))).clicked();
        let by_hand =
            chosen.iter().any(|id| at.get(*id).and_then(|r| at.group(r)).is_some_and(|g| g.by_hand));
        back = ui.add_enabled(by_hand, egui::Button::new(phrase!("As by the rule"))).clicked();
        let hidden = state.lambs.table.hidden_selected();
        if hidden > 0 {
            look::faint(ui, phrase!("{hidden} of the chosen not shown"));
        }
    });
    go |= form.finish(ui) == FormEvent::Submitted;
    if go {
        if state.group.trim().is_empty() {
            state.wrong = Some((GROUP, phrase!("which group? Type its name")));
        } else if chosen.is_empty() {
            state.wrong = Some((GROUP, phrase!("choose the lambs in the table: Space")));
        } else {
            write_group(ctx, &chosen, at.age.days, Some(state.group.trim()), out);
        }
    }
    if back {
        let by_hand = |id: &AnimalId| {
            ctx.flock.file(*id).is_some_and(|f| f.groups.iter().any(|g| g.age_days == at.age.days))
        };
        let these: Vec<AnimalId> = chosen.into_iter().filter(by_hand).collect();
        write_group(ctx, &these, at.age.days, None, out);
    }
}

fn rows(flock: &Flock, at: &FixedAge, search: &str) -> Vec<Row<AnimalId>> {
    let rules = hirsel_core::reckon::growth::rules::GrowthRules::of(flock);
    let kind = |r: &AtAge| -> String {
        let class = r.classes[1].and_then(|i| rules.classes(Effect::Type).get(i));
        class.map(|c| c.of.words()).unwrap_or_default()
    };
    let mut all: Vec<(&AtAge, String, String)> = at
        .rows
        .iter()
        .filter_map(|r| {
            let a = flock.animal(r.animal)?;
            let what = if a.sex == Sex::Wether { a.sex.words() } else { a.sex.lamb_words() };
            let what = look::said(what);
            let kind = kind(r);
            let group = at.group(r).map_or("", |g| g.name.as_str());
            let name = a.name.as_deref().unwrap_or_default();
            let pen = a.pen.as_deref().unwrap_or_default();
            fits(search, [a.tag(), name, &what, &kind, pen, group])
                .then(|| (r, what.to_string(), kind.clone()))
        })
        .collect();
    // The latest weighed first, since that is what one has come for; then by tag.
    all.sort_by(|(a, ..), (b, ..)| {
        b.on.cmp(&a.on).then_with(|| natural(flock.tag(a.animal), flock.tag(b.animal)))
    });
    all.into_iter().map(|(r, what, kind)| row(flock, at, r, &what, &kind)).collect()
}

fn row(flock: &Flock, at: &FixedAge, r: &AtAge, what: &str, kind: &str) -> Row<AnimalId> {
    let units = flock.holding().units;
    let straight = match r.holds {
        true => r.straight.show(units),
        false => phrase!("{}, day {}", r.straight.show(units), r.at_age),
    };
    let cell = if r.holds { Cell::text(straight.clone()) } else { Cell::text(straight.clone()).faint() };
    let group = at.group(r);
    let n = group.map_or(0, |g| g.n);
    let (ratio, faint) = match r.ratio {
        Some(ratio) => (phrase!("{ratio:.0} (of {n})"), false),
        None => (phrase!("group of {n}"), true),
    };
    let ratio_cell = if faint { Cell::text(ratio.clone()).faint() } else { Cell::text(ratio.clone()) };
    let (birth, mean) = match r.birth {
        BirthUsed::Written(w) => (w.show(units), false),
        BirthUsed::Mean { n, .. } => (phrase!("mean of {n}"), true),
    };
    let birth_cell = if mean { Cell::text(birth.clone()).faint() } else { Cell::text(birth.clone()) };
    let factor = factor(r);
    // What it is, with how it was born and reared, which says more than its pen here.
    let short = kind.replace("born ", "").replace(", reared ", "/").replace(", ", "/");
    let sex = what.trim_end_matches(" lamb");
    let said = if short.is_empty() { what.to_string() } else { format!("{sex}, {short}") };
    Row::new(r.animal)
        .tag(flock.tag(r.animal))
        .text(said)
        .cell(birth_cell, By::Number(r.birth.weight().grams()), birth)
        .number(r.weighed.show(units), Some(r.weighed.grams()))
        .number(r.at_age.to_string(), Some(r.at_age))
        .cell(cell, By::Number(r.straight.grams()), straight)
        .number(show(r, units), Some(r.adjusted.grams()))
        .cell(ratio_cell, By::number(r.ratio.map(|x| (x * 100.0) as i64)), ratio)
        .text(factor)
        .hidden(kind)
        .hidden(r.on.to_string())
        .hidden(group.map_or("", |g| g.name.as_str()))
        .hidden(n.to_string())
        .hidden(r.factor_words())
}

fn show(r: &AtAge, units: Units) -> String {
    r.adjusted.show(units)
}

/// `none`, `1.00 table`, `0.91 own`, `0.91 own, part`: a part of the factors could not be carried.
fn factor(r: &AtAge) -> String {
    let any = |f: fn(&Carried) -> bool| r.carried.iter().any(f);
    let from = match (any(|c| matches!(c, Carried::Table(_))), any(|c| matches!(c, Carried::Own(_)))) {
        (true, _) => "table",
        (_, true) => "own",
        _ => return phrase!("none"),
    };
    let part = any(|c| matches!(c, Carried::NotUsed(_) | Carried::NotKnown));
    format!("{:.2} {from}{}", r.factor(), if part { ", part" } else { "" })
}
