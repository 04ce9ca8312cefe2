//! How every animal of the flock grows: last weight, gains, weight carried to 60 days.

use super::super::asking::SMALL;
use super::super::list::{By, Row, fits, into_table, search_field, take_out};
use super::super::listing::Listing;
use super::super::sections::halves;
use super::super::{Ctx, Intent, detail};
use crate::look::{self, space};
use crate::parts::Form;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, Flock, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::growth::{Between, NoGain, SixtyDay, gain_between, gains, mean_gains, sixty_day};
use hirsel_core::terms::{AnimalId, Day, Gain, Sex, Units};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What a list is of: version, day, search, and the two days between which gains are asked for.
type Question = (u64, Day, String, Option<(Day, Day)>);

/// The list, made once.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Growth {
    from: String,
    to: String,
    /// The rows, with the mean gains by pen between the two days.
    #[serde(skip)]
    made: Listing<Question, AnimalId, String>,
    #[serde(skip)]
    table: TableState<AnimalId>,
}

const TABLE: &str = "Growth";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    g: &mut Growth,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let mut on = false;
    let mut asked = Ok(None);
    halves(ui, "head 1", |c| {
        on = search_field(&mut c[0], TABLE, "tag, name, pen, ewe lamb", into, search);
        asked = days(&mut c[1], ctx, g);
    });
    let between = asked.clone().ok().flatten();
    let wanted = (ctx.flock.version(), ctx.today, search.clone(), between);
    let (flock, today, words) = (Arc::clone(ctx.flock), ctx.today, search.clone());
    g.made.ask(ui, &wanted, ctx.flock.len() <= SMALL, move || rows(&flock, today, &words, between));
    if g.made.is_new() {
        look::faint(ui, "Being reckoned over the whole flock…");
        return;
    }
    // Of what is seen: other days may be on their way.
    let between = g.made.of().and_then(|q| q.3);
    ui.horizontal(|ui| {
        let n = g.made.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 animal") } else { phrase!("{n} animals") });
        let chosen: Vec<AnimalId> = g.table.selected().iter().copied().collect();
        if ui.add_enabled(!chosen.is_empty(), egui::Button::new(phrase!("Treat the chosen"))).clicked() {
            out.push(Intent::Treat(chosen));
        }
        let mut heads =
            vec!["tag", "what", "weight", "on", "age_days", "since_birth", "since_last", "at_60_days"];
        if between.is_some() {
            heads.insert(2, "between_the_days");
        }
        take_out(ui, "growth", &heads, &g.made.list, &mut g.table, out);
    });
    match &asked {
        Err(why) => {
            look::refusal(ui, why);
        }
        Ok(_) if !g.made.with.is_empty() => {
            look::faint(ui, &g.made.with);
        }
        Ok(_) => {}
    }
    look::faint(
        ui,
        "At 60 days: carried on a straight line from one weighing; its day is named where it lies outside 53 to 67 and the line is rough.",
    );
    ui.add_space(space::XS);
    let mut columns = vec![
        Column::new("Animal", 92.0),
        Column::new("What", 96.0).rest(),
        Column::new("Last weight", 86.0).right(),
        Column::new("On", 96.0),
        Column::new("Age, days", 74.0).right(),
        Column::new("Since birth", 98.0).right(),
        Column::new("Since last", 98.0).right(),
        Column::new("At 60 days", 120.0).right(),
    ];
    if between.is_some() {
        columns.insert(2, Column::new("Between", 128.0).right());
    }
    if ctx.flock.is_empty() {
        look::paragraph(
            ui,
            "No animal is in the book. Write up the first under Flock (Ctrl+3); from its second weighing on its gain \
             stands here.",
        );
        return;
    }
    if on {
        into_table(ui, TABLE);
    }
    for event in RecordTable::new(TABLE, &columns).show(ui, &mut g.table, &g.made.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

/// The rows by tag, and the mean gains between the two days.
fn rows(
    flock: &Flock,
    today: Day,
    search: &str,
    between: Option<(Day, Day)>,
) -> (Vec<Row<AnimalId>>, String) {
    let named = |f: &AnimalFile| f.animal.name.clone().unwrap_or_default();
    let fit = |f: &&AnimalFile| {
        search.trim().is_empty() || fits(search, [f.animal.tag(), &named(f), &detail(f, today)])
    };
    let mut files: Vec<&AnimalFile> = flock.present().filter(fit).collect();
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
    let units = flock.holding().units;
    let means = between.map(|days| means(&files, days, units)).unwrap_or_default();
    (files.into_iter().map(|f| row(f, today, units, between)).collect(), means)
}

/// `ewe lamb, Bank field`: its age has a column of its own.
fn what(f: &AnimalFile, today: Day) -> String {
    let a = &f.animal;
    let kind = if a.is_lamb(today) && a.sex != Sex::Wether { a.sex.lamb_words() } else { a.sex.words() };
    let kind = crate::look::said(kind);
    a.pen.as_ref().map_or_else(|| kind.to_string(), |pen| phrase!("{kind}, {pen}"))
}

/// The two days as typed; none while one of them is blank.
fn days(ui: &mut egui::Ui, ctx: &Ctx<'_>, g: &mut Growth) -> Result<Option<(Day, Day)>, String> {
    let mut form = Form::new(ui, "between days").label_width(60.0);
    halves(ui, "head 2", |c| {
        form.day(&mut c[0], ctx, "From", &mut g.from, None);
        form.day(&mut c[1], ctx, "To", &mut g.to, None);
    });
    form.finish(ui);
    if g.from.trim().is_empty() || g.to.trim().is_empty() {
        return Ok(None);
    }
    // A day half typed is told of beside its field.
    let read = |text: &str| Day::parse_typed(text, ctx.today).ok();
    match read(&g.from).zip(read(&g.to)) {
        Some((from, to)) if to <= from => Err(NoGain::NoDays.words()),
        days => Ok(days),
    }
}

/// `Mean gain: Bank field 286 g a day (12); Croft 250 g a day (8); all 271 g a day (20). 3 were not weighed around them.`
fn means(files: &[&AnimalFile], (from, to): (Day, Day), units: Units) -> String {
    let pen = |f: &AnimalFile| f.animal.pen.as_deref().unwrap_or("no pen").to_string();
    let gained: Vec<(String, Gain)> =
        files.iter().filter_map(|f| Some((pen(f), gain_between(f, from, to).ok()?.gain))).collect();
    let without = files.len() - gained.len();
    let show = |(name, mean, n): (String, f64, usize)| {
        format!("{name} {} ({n})", Gain(mean.round() as i64).show(units))
    };
    let all = mean_gains(gained.iter().map(|(_, g)| ("all".to_string(), *g)));
    let mut parts: Vec<String> = mean_gains(gained).into_iter().map(show).collect();
    if parts.is_empty() {
        return "Nobody was weighed around both days: no gain between them.".into();
    }
    if parts.len() > 1 {
        parts.extend(all.into_iter().map(show));
    }
    let rest = match without {
        0 => String::new(),
        1 => " For 1 a day lies outside its weighings.".into(),
        n => phrase!(" For {n} a day lies outside their weighings."),
    };
    phrase!("Mean gain: {}.{rest}", parts.join("; "))
}

/// The gain between the two days; faint and with the reason where there is none. A `~` marks a weight off the line
/// between two weighings.
fn gained(made: Result<Between, NoGain>, units: Units) -> (Cell, By, String) {
    match made {
        Ok(b) => {
            let words = format!("{}{}", if b.weighed { "" } else { "~ " }, b.gain.show(units));
            (Cell::text(words.clone()), By::Number(b.gain.0), words)
        }
        Err(NoGain::NotWeighed | NoGain::NotInSession | NoGain::NoDays) => {
            (Cell::empty(), By::Nothing, String::new())
        }
        Err(NoGain::Before(first)) => outside(phrase!("first on {}", first.short())),
        Err(NoGain::After(last)) => outside(phrase!("last on {}", last.short())),
    }
}

fn outside(words: String) -> (Cell, By, String) {
    (Cell::text(words.clone()).faint(), By::Nothing, words)
}

fn row(f: &AnimalFile, today: Day, units: Units, between: Option<(Day, Day)>) -> Row<AnimalId> {
    let last = f.last_weight(today);
    let g = last.map(|(on, w)| gains(f, on, w));
    let sixty = sixty_day(f);
    let show = |gain: Option<Gain>| gain.map(|g| g.show(units)).unwrap_or_default();
    let birth = g.and_then(|g| g.since_birth);
    let since = g.and_then(|g| g.since_last).map(|(l, _)| l);
    let age = g.and_then(|g| g.age);
    let words = sixty.map(|s| sixty_words(s, units)).unwrap_or_default();
    let rough = sixty.is_some_and(|s| !s.is_within_window());
    let cell = if rough { Cell::text(words.clone()).faint() } else { Cell::text(words.clone()) };
    let mut row = Row::new(f.animal.id).tag(f.animal.tag()).text(what(f, today));
    if let Some((from, to)) = between {
        let (cell, by, plain) = gained(gain_between(f, from, to), units);
        row = row.cell(cell, by, plain);
    }
    row.number(last.map(|(_, w)| w.show(units)).unwrap_or_default(), last.map(|(_, w)| w.grams()))
        .number(last.map(|(d, _)| d.words()).unwrap_or_default(), last.map(|(d, _)| d.since(today)))
        .number(age.map(|a| a.to_string()).unwrap_or_default(), age)
        .number(show(birth), birth.map(|g| g.0))
        .number(show(since), since.map(|g| g.0))
        .cell(cell, By::number(sixty.map(|s| s.weight.grams())), words)
}

/// `18.4 kg`, or `18.4 kg, day 92` where the straight line is rough.
fn sixty_words(s: SixtyDay, units: Units) -> String {
    let weight = s.weight.show(units);
    if s.is_within_window() { weight } else { phrase!("{weight}, day {}", s.at_age) }
}
