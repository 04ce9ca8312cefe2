//! Choosing whom the paper is for, its days and its sheet.

use super::super::Ctx;
use super::super::weights::CARRY;
use super::{PaperKind, State, Whom, whom};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, Found, Picker};
use hirsel_core::phrase;
use hirsel_core::registers::RegisterKind;
use hirsel_core::terms::Day;

const SHEETS: [(u8, &str); 4] = [(1, "1"), (2, "2"), (4, "4"), (8, "8")];

/// How many chosen animals are named before '… more'.
const NAMED: usize = 6;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    if state.kind.is_of_the_barn() {
        barn(ui, ctx, state, form);
        return;
    }
    if state.kind.group() == super::REGISTERS {
        under(ui, ctx, state, form);
    }
    let grouped = state.kind.is_joinings() || state.kind.is_blood();
    if grouped || state.kind.is_keeping() || state.kind.is_feed() {
        let of: &[_] = match state.kind {
            kind if kind.is_blood() => &super::OF_BLOOD,
            kind if kind.is_keeping() => &super::OF_KEEPING,
            kind if kind.is_feed() => &super::OF_FEED,
            _ => &super::OF_JOININGS,
        };
        let mut which = Some(state.kind);
        form.choice(ui, &Choice::new("Which", of), &mut which);
        if let Some(kind) = which.filter(|k| *k != state.kind) {
            state.turn_to(kind);
        }
    }
    if state.kind == PaperKind::MixSheet {
        super::mix::view(ui, ctx, state, form);
        sheet(ui, ctx, state, form);
        return;
    }
    if state.kind.is_whole() {
        if state.kind == PaperKind::GrowthList {
            growth(ui, state, form);
        }
        if !state.kind.is_undated() {
            days(ui, ctx, state, form);
        }
        sheet(ui, ctx, state, form);
        return;
    }
    if state.kind.is_pedigree() {
        pedigree(ui, state, form);
    }
    for_whom(ui, state, form);
    match state.whom {
        Whom::Usual if state.kind.is_cards() => {
            let label = if state.kind == PaperKind::LambCards { "Born since" } else { "Lambed since" };
            day(ui, ctx, form, label, "30 days ago", None, &mut state.since);
        }
        Whom::Usual => {}
        Whom::Pen => pen(ui, ctx, state, form),
        Whom::One => {
            let (kind, today) = (state.kind, ctx.today);
            form.animal(ui, ctx, "Animal", &mut state.one, None, |f| whom::fits(f, kind, today));
        }
        Whom::Chosen => chosen(ui, ctx, state),
    }
    let n = state.asking.count;
    if state.kind.is_cards() {
        let what = match (state.kind, n) {
            (PaperKind::LambCards, 1) => phrase!("1 lamb"),
            (PaperKind::LambCards, n) => phrase!("{n} lambs"),
            (_, 1) => phrase!("1 ewe"),
            (_, n) => phrase!("{n} ewes"),
        };
        indented(ui, |ui| {
            look::faint(ui, what);
        });
        let mut per = Some(state.per_sheet.unwrap_or(4));
        form.choice(ui, &Choice::new("On a sheet", &SHEETS), &mut per);
        state.per_sheet = per;
    } else if !state.kind.is_pedigree() && !state.kind.is_blood() {
        days(ui, ctx, state, form);
    }
    sheet(ui, ctx, state, form);
}

/// Jobs or feed of a day, and how often it is fed.
fn barn(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let mut which = Some(state.kind);
    form.choice(ui, &Choice::new("Which", &super::OF_THE_BARN), &mut which);
    if let Some(kind) = which.filter(|k| *k != state.kind) {
        state.turn_to(kind);
    }
    if state.kind == PaperKind::PenMap {
        sheet(ui, ctx, state, form);
        return;
    }
    let feed = state.kind == PaperKind::FeedSheet;
    let label = if feed { "Feed of" } else { "Jobs of" };
    day(ui, ctx, form, label, "tomorrow", None, &mut state.day);
    if feed {
        let mut feeds = Some(state.feeds.unwrap_or(2));
        form.choice(ui, &Choice::new("Feeds a day", &[(1, "one"), (2, "two")]), &mut feeds);
        state.feeds = feeds;
    }
    sheet(ui, ctx, state, form);
}

/// Certificate, drawing or growth, and how many generations are drawn.
fn pedigree(ui: &mut egui::Ui, state: &mut State, form: &mut Form) {
    let mut which = Some(state.kind);
    let of_one = [
        (PaperKind::Pedigree, "certificate"),
        (PaperKind::Ancestors, "drawing"),
        (PaperKind::Growth, "growth"),
    ];
    form.choice(ui, &Choice::new("Which", &of_one), &mut which);
    if let Some(kind) = which.filter(|k| *k != state.kind) {
        state.turn_to(kind);
    }
    if state.kind == PaperKind::Ancestors {
        let mut n = Some(state.generations.unwrap_or(4));
        form.choice(ui, &Choice::new("Generations", &[(4, "4"), (5, "5"), (6, "6")]), &mut n);
        state.generations = n;
    }
    if state.whom == Whom::Usual {
        state.whom = if state.chosen.is_empty() { Whom::One } else { Whom::Chosen };
    }
}

/// The age of the list of weights and the factors they carry.
fn growth(ui: &mut egui::Ui, state: &mut State, form: &mut Form) {
    let read = |t: &str| whom::age(t).map(|days| phrase!("{days} days"));
    let wrong = whom::age(&state.age).err();
    let field = Field::new("At, days").width(130.0).example("60").understand(&read);
    form.field(ui, &field.refusal(wrong.as_deref()), &mut state.age);
    let mut carry = Some(state.carry);
    form.choice(ui, &Choice::new("Factors", &CARRY), &mut carry);
    state.carry = carry.unwrap_or_default();
}

/// From and To, or the one day.
fn days(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    if state.kind.is_of_a_day() {
        day(ui, ctx, form, "On", "today", None, &mut state.to);
        return;
    }
    let (first, last) = match state.kind {
        PaperKind::Timeline => ("the usual span", "the usual span"),
        PaperKind::JoiningSheet => ("what runs now", "what runs now"),
        PaperKind::DueList => ("the first due", "the last due"),
        PaperKind::SeasonReport => ("the last season", "the last season"),
        PaperKind::GrowthList => ("the last season", "the last season"),
        _ => ("the beginning", "today"),
    };
    let born = state.kind == PaperKind::GrowthList;
    let (from, to) = if born { ("Born from", "Born to") } else { ("From", "To") };
    day(ui, ctx, form, from, first, None, &mut state.from);
    let wrong = whom::wrong(ctx, state).filter(|w| w.starts_with("the last day"));
    day(ui, ctx, form, to, last, wrong.as_deref(), &mut state.to);
}

/// Which of the registers' papers, and which register.
fn under(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let now = match state.kind {
        PaperKind::Folder => 1,
        PaperKind::Declaration => 2,
        PaperKind::Certificate => 3,
        _ => 0,
    };
    let mut which = Some(now);
    form.choice(ui, &Choice::new("Which", &super::UNDER), &mut which);
    if which != Some(now) {
        state.turn_to(match which {
            Some(1) => PaperKind::Folder,
            Some(2) => PaperKind::Declaration,
            Some(3) => PaperKind::Certificate,
            _ => super::REGISTERS,
        });
    }
    let PaperKind::Register(kind) = state.kind else { return };
    let found =
        |k: RegisterKind| Found { key: k, label: k.words().to_string(), detail: k.holds().to_string() };
    // What it holds stands below: beside the field there is no room for it.
    let named = |k: RegisterKind| Found { detail: String::new(), ..found(k) };
    if state.register.chosen().is_none() && state.register.text.is_empty() {
        state.register.choose(named(kind));
    }
    let picker = Picker::new("Register", ctx.flock.version()).width(220.0).example("any part of its name");
    form.picker(ui, &picker, &mut state.register, |text| {
        let text = text.to_lowercase();
        let fits = |k: &RegisterKind| k.words().to_lowercase().contains(&text);
        RegisterKind::ALL.into_iter().filter(fits).map(found).collect()
    });
    indented(ui, |ui| {
        look::faint(ui, kind.holds());
    });
    if let Some(chosen) = state.register.chosen().filter(|k| *k != kind) {
        state.register.choose(named(chosen));
        state.turn_to(PaperKind::Register(chosen));
    }
}

/// Which sheet of paper.
fn sheet(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let usual = ctx.flock.holding().sheet == "letter";
    let before = state.letter.unwrap_or(usual);
    let mut letter = Some(before);
    form.choice(ui, &Choice::new("Sheet", &[(false, "A4"), (true, "Letter")]), &mut letter);
    if letter != Some(before) {
        state.letter = letter;
    }
}

fn for_whom(ui: &mut egui::Ui, state: &mut State, form: &mut Form) {
    let usual = match state.kind {
        PaperKind::LambCards => "young lambs",
        PaperKind::PenCards => "ewes that lambed",
        PaperKind::Declaration => "those sold that day",
        PaperKind::TreatmentLog | PaperKind::BarnSheet | PaperKind::FeedSheet => "all animals",
        PaperKind::Register(_) | PaperKind::Folder | PaperKind::Certificate => "all animals",
        PaperKind::JoiningSheet | PaperKind::DueList => "all groups",
        PaperKind::SaleList => "those for the market",
        PaperKind::Progeny => "all rams with lambs",
        PaperKind::Diversity | PaperKind::KeepSheet | PaperKind::CullList => "the whole flock",
        PaperKind::PenMap => "all pens",
        PaperKind::SeasonReport | PaperKind::GrowthList | PaperKind::Timeline => "the whole flock",
        PaperKind::WinterFeed => "every feed that is given",
        PaperKind::Pedigree | PaperKind::Ancestors | PaperKind::Growth => "one animal",
        PaperKind::MixSheet => "one mix",
        PaperKind::CreepSheet => "all creeps",
    };
    let these = match state.chosen.len() {
        1 => phrase!("the one chosen"),
        n => phrase!("these {n} animals"),
    };
    let usual = look::said(usual);
    let (pen, one) = (look::said("a pen"), look::said("one animal"));
    let mut options =
        vec![(Whom::Usual, usual.as_ref()), (Whom::Pen, pen.as_ref()), (Whom::One, one.as_ref())];
    if state.kind.is_pedigree() {
        options.remove(0);
    }
    if !state.chosen.is_empty() {
        options.insert(0, (Whom::Chosen, these.as_str()));
    }
    let mut whom = Some(state.whom);
    form.choice(ui, &Choice::names("For", &options), &mut whom);
    state.whom = whom.unwrap_or_default();
}

/// Who was chosen on another page, and the way back to all.
fn chosen(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) {
    let names: Vec<&str> = state.chosen.iter().take(NAMED).map(|id| ctx.flock.tag(*id)).collect();
    let more = state.chosen.len().saturating_sub(names.len());
    let more = if more > 0 { phrase!(" and {more} more") } else { String::new() };
    indented(ui, |ui| {
        look::faint(ui, format!("{}{more}", names.join(", ")));
    });
    let left = state.asking.left_out;
    if left > 0 {
        let whom = match state.kind {
            PaperKind::LambCards => "the cards are for lambs",
            PaperKind::Progeny => "this paper is for rams",
            _ => "the cards are for ewes",
        };
        let is = if left == 1 { "is" } else { "are" };
        indented(ui, |ui| {
            look::word(ui, Kind::Caution, phrase!("{left} of them {is} left out: {}", look::said(whom)));
        });
    }
    let back = match state.kind {
        PaperKind::LambCards => "All young lambs instead",
        PaperKind::PenCards => "All ewes that lambed instead",
        PaperKind::Declaration => "Those sold that day instead",
        PaperKind::TreatmentLog | PaperKind::BarnSheet | PaperKind::FeedSheet => "All animals instead",
        PaperKind::Register(_) | PaperKind::Folder | PaperKind::Certificate => "All animals instead",
        PaperKind::JoiningSheet | PaperKind::DueList => "All groups instead",
        PaperKind::SaleList => "Those for the market instead",
        PaperKind::Progeny => "All rams with lambs instead",
        PaperKind::Diversity | PaperKind::KeepSheet | PaperKind::CullList => "The whole flock instead",
        PaperKind::PenMap => "All pens instead",
        PaperKind::SeasonReport | PaperKind::GrowthList | PaperKind::Timeline => "The whole flock instead",
        PaperKind::WinterFeed => "Every feed instead",
        PaperKind::Pedigree | PaperKind::Ancestors | PaperKind::Growth => "Another animal instead",
        PaperKind::MixSheet => "Another mix instead",
        PaperKind::CreepSheet => "All creeps instead",
    };
    indented(ui, |ui| {
        if look::button(ui, back).clicked() {
            state.whom = Whom::Usual;
        }
    });
}

/// A pen by any part of its name.
fn pen(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let pens = &state.asking.pens;
    let example = if pens.is_empty() { "no animal is in a pen" } else { "any part of its name" };
    let picker = Picker::new("Pen", ctx.flock.version()).width(220.0).example(example);
    form.picker(ui, &picker, &mut state.pen, |text| {
        let text = text.to_lowercase();
        (0u64..)
            .zip(pens)
            .filter(|(_, (p, _))| p.to_lowercase().contains(&text))
            .map(|(key, (p, n))| Found { key, label: p.clone(), detail: phrase!("{n} animals") })
            .collect()
    });
}

fn day(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    label: &'static str,
    empty: &'static str,
    refusal: Option<&str>,
    text: &mut String,
) {
    let today = ctx.today;
    let read = |t: &str| Day::parse_typed(t, today).map(Day::words).map_err(|e| e.0);
    let nudge = |t: &str, n: i32| {
        let from = if t.trim().is_empty() { Ok(today) } else { Day::parse_typed(t, today) };
        from.ok().map(|d| d.plus(n.into()).to_string())
    };
    let field = Field::new(label).width(130.0).example(empty).understand(&read).nudge(&nudge);
    form.field(ui, &field.refusal(refusal), text);
}

/// What stands under the fields of the form, in line with them.
pub(super) fn indented(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui)) {
    ui.horizontal_top(|ui| {
        ui.add_space(super::LABELS + space::S);
        let size = egui::vec2(ui.available_width(), 0.0);
        ui.allocate_ui_with_layout(
            size,
            egui::Layout::left_to_right(egui::Align::Center).with_main_wrap(true),
            add,
        );
    });
}
