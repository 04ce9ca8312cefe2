//! What follows the figures: losses, weights, ewes, decisions, money, and how it was reckoned.

use super::{HEADING, PLAIN, SMALL};
use crate::flock::Flock;
use crate::papers::flow::Flow;
use crate::papers::lamb_cards::capital;
use crate::papers::table::{Between, Cell, Column, Row, Table, Width};
use crate::papers::text::unbroken;
use crate::papers::{PaperFailed, Watch};
use crate::phrase;
use crate::reckon::flock_figures::{Band, By, LossOf, Milk, Part, Purse, What, Years, figure, season_of};
use crate::terms::speech::said;
use crate::terms::{BirthType, Decided, Gain, MoneyKind, Units, counted, with_currency};

/// How many ewes are named at the top and at the tail of those with so many lambs.
const NAMED: usize = 4;

pub(super) fn view(
    flow: &mut Flow<'_>,
    flock: &Flock,
    years: &Years,
    year: i32,
    units: Units,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    if !watch(2, 3) {
        return Err(PaperFailed::Stopped);
    }
    ages(flow, years, year, units, watch)?;
    losses(flow, years, year, watch)?;
    weights(flow, years, year, units, watch)?;
    milk(flow, flock, years, year, units);
    decisions(flow, flock, years, year);
    money(flow, years, year, units);
    notes(flow, years, year);
    Ok(())
}

fn heading(flow: &mut Flow<'_>, words: &str, room: f32) {
    flow.y += 3.2;
    flow.need(HEADING.leading_mm() + room);
    flow.paragraph(HEADING, words);
    flow.y += 0.8;
}

fn table(columns: Vec<Column>) -> Table {
    Table { columns, size_pt: 8.0, between: Between::Hairline }
}

/// The season by age of ewe.
fn ages(
    flow: &mut Flow<'_>,
    years: &Years,
    year: i32,
    units: Units,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    const SHOWN: [What; 6] =
        [What::Fertility, What::PerLambed, What::AlivePercent, What::Loss, What::Weaned, What::SixtyWeight];
    let parts = years.split(year, By::Age);
    if parts.len() < 2 {
        return Ok(());
    }
    heading(flow, &said("By age of the ewes"), 24.0);
    let mut columns = vec![Column::new("Age", Width::Share(1.0)), Column::figures("Ewes", Width::Mm(14.0))];
    columns.extend(SHOWN.iter().map(|w| Column::figures(w.name(), Width::Mm(25.0))));
    let row = |(part, t): (&Part, &crate::reckon::flock_figures::Tally)| {
        let name = match part {
            Part::Age(n) => counted(usize::try_from(*n).unwrap_or_default(), "year"),
            _ => phrase!("not known"),
        };
        let ewes = t.joined.max(t.lambed);
        let few = if ewes < years.settings.few { " (few)" } else { "" };
        let mut cells = vec![Cell::new(format!("{name}{few}")), Cell::new(ewes.to_string())];
        cells.extend(SHOWN.iter().map(|w| {
            let f = figure(*w, t, &Purse::default(), &years.settings);
            Cell::new(f.shown(units))
        }));
        Row { cells, ..Row::default() }
    };
    let rows: Vec<Row> = parts.iter().map(row).collect();
    table(columns).flow(flow, rows.into_iter(), watch)
}

fn losses(flow: &mut Flow<'_>, years: &Years, year: i32, watch: Watch<'_>) -> Result<(), PaperFailed> {
    let losses = years.losses(year);
    let born = years.tallies.get(&year).map_or(0, |t| t.born);
    if born == 0 {
        return Ok(());
    }
    heading(flow, &said("Lambs lost by weaning"), 20.0);
    if losses.is_empty() {
        flow.paragraph(PLAIN, &phrase!("None of {}.", counted(born as usize, "lamb")));
        return Ok(());
    }
    let mut columns = vec![Column::new("Cause", Width::Share(1.0))];
    columns.extend(Band::ALL.iter().map(|b| Column::figures(b.words(), Width::Mm(21.0))));
    columns.push(Column::figures("All", Width::Mm(14.0)));
    let number = |n: u32| if n == 0 { "–".to_string() } else { n.to_string() };
    let mut all: Vec<_> = losses.iter().collect();
    all.sort_by_key(|(_, n)| std::cmp::Reverse(n.iter().sum::<u32>()));
    let mut rows: Vec<Row> = Vec::new();
    for (cause, n) in &all {
        let mut cells = vec![Cell::new(years.cause(**cause))];
        cells.extend(n.iter().map(|n| Cell::new(number(*n))));
        cells.push(Cell::strong(n.iter().sum::<u32>().to_string()));
        rows.push(Row { cells, ..Row::default() });
    }
    let sum = |i: usize| all.iter().map(|(_, n)| n[i]).sum::<u32>();
    let mut cells = vec![Cell::strong(phrase!("All, of {born} born"))];
    cells.extend((0..6).map(|i| Cell::strong(number(sum(i)))));
    cells.push(Cell::strong((0..6).map(sum).sum::<u32>().to_string()));
    rows.push(Row { cells, ..Row::default() });
    table(columns).flow(flow, rows.into_iter(), watch)
}

fn weights(
    flow: &mut Flow<'_>,
    years: &Years,
    year: i32,
    units: Units,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let all = years.weights(year);
    if !all.values().any(|w| w.birth.n + w.sixty.n > 0) {
        return Ok(());
    }
    heading(flow, &said("Weights by birth type"), 18.0);
    let columns = vec![
        Column::new("Born as", Width::Share(1.0)),
        Column::figures("Lambs born", Width::Mm(22.0)),
        Column::figures("At birth", Width::Mm(38.0)),
        Column::figures("At 60 days", Width::Mm(38.0)),
        Column::figures("Daily gain to 60 days", Width::Mm(44.0)),
    ];
    let of =
        |shown: Option<String>, n: u32| shown.map_or_else(|| "–".to_string(), |s| phrase!("{s} (of {n})"));
    let row = |(litter, w): (&u8, &crate::reckon::flock_figures::Weights)| {
        let name = BirthType::new(u32::from(*litter)).map_or_else(|| litter.to_string(), BirthType::words);
        let (gain, n) = w.gain;
        #[allow(clippy::cast_possible_truncation)] // a mean of gains
        let gain = (n > 0).then(|| Gain((gain as f64 / f64::from(n)).round() as i64).show(units));
        let cells = [
            name,
            w.born.to_string(),
            of(w.birth.mean().map(|m| m.show(units)), w.birth.n),
            of(w.sixty.mean().map(|m| m.show(units)), w.sixty.n),
            of(gain, n),
        ];
        Row { cells: cells.into_iter().map(Cell::new).collect(), ..Row::default() }
    };
    let rows: Vec<Row> = all.iter().map(row).collect();
    table(columns).flow(flow, rows.into_iter(), watch)
}

/// Ewes of one lamb beside ewes of one, of two beside two: the first and the last of each.
fn milk(flow: &mut Flow<'_>, flock: &Flock, years: &Years, year: i32, units: Units) {
    let all = years.milk(year);
    let of = |lambs: u32| -> Vec<Milk> { all.iter().copied().filter(|m| m.lambs == lambs).collect() };
    let classes: Vec<(u32, Vec<Milk>)> =
        (1..=3).map(|n| (n, of(n))).filter(|(_, some)| some.len() >= 2).collect();
    if classes.is_empty() {
        return;
    }
    heading(flow, &said("The ewes' milk, top and tail"), 14.0);
    let told = |some: &[Milk]| -> String {
        let one = |m: &Milk| {
            let gained = What::SixtyWeight.show(f64::from(m.grams) / 1000.0, units);
            unbroken(&format!("{} ({gained})", flock.tag(m.ewe)))
        };
        some.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    for (lambs, some) in &classes {
        let n = NAMED.min(some.len() / 2);
        let (top, tail) = (told(&some[..n]), told(&some[some.len() - n..]));
        let who = phrase!("Of {} with {}", counted(some.len(), "ewe"), counted(*lambs as usize, "lamb"));
        flow.paragraph(PLAIN, &phrase!("{who} most: {top}; least: {tail}."));
    }
    flow.paragraph(
        SMALL,
        &said("What the lambs she reared gained together to 60 days; only ewes whose weaned lambs all have a birth weight and one at \
         60 days."),
    );
}

fn decisions(flow: &mut Flow<'_>, flock: &Flock, years: &Years, year: i32) {
    let mut counts = vec![0usize; Decided::ALL.len()];
    for f in flock.files() {
        let of_season = |on| season_of(on, years.settings.month) == year && on <= years.day();
        let last = f.decisions.iter().rfind(|d| d.struck.is_none() && of_season(d.on));
        let place = last.and_then(|d| Decided::ALL.iter().position(|k| *k == d.what));
        if let Some(n) = place.and_then(|p| counts.get_mut(p)) {
            *n += 1;
        }
    }
    if counts.iter().all(|n| *n == 0) {
        return;
    }
    heading(flow, &said("What was decided"), 8.0);
    let said: Vec<String> = Decided::ALL
        .iter()
        .zip(&counts)
        .filter(|(_, n)| **n > 0)
        .map(|(k, n)| phrase!("{} {n}", k.words()))
        .collect();
    flow.paragraph(
        PLAIN,
        &phrase!("{}. Each animal once, by its last decision of the season.", capital(&said.join(", "))),
    );
}

fn money(flow: &mut Flow<'_>, years: &Years, year: i32, units: Units) {
    let Some(p) = years.purses.get(&year) else { return };
    heading(flow, &said("Money"), 14.0);
    let cents = |n: i64| {
        let figure = format!("{}{}.{:02}", if n < 0 { "−" } else { "" }, n.abs() / 100, n.abs() % 100);
        with_currency(&figure)
    };
    let side = |income: bool| -> String {
        let kinds = MoneyKind::ALL.iter().filter(|k| k.is_income() == income);
        let said: Vec<String> = kinds
            .filter_map(|k| p.kinds.get(k).map(|n| unbroken(&phrase!("{} {}", k.words(), cents(n.0)))))
            .collect();
        if said.is_empty() { phrase!("nothing written") } else { said.join(", ") }
    };
    flow.paragraph(PLAIN, &phrase!("Taken {}: {}.", cents(p.taken), side(true)));
    flow.paragraph(PLAIN, &phrase!("Spent {}: {}.", cents(p.spent), side(false)));
    let per: Vec<String> = [What::MarginEwe, What::MarginLamb, What::BreakEven]
        .into_iter()
        .filter_map(|w| {
            let f = years.figure(year, w);
            // What nobody can tell yet is left out.
            f.value?;
            let mut name = said(w.name()).into_owned();
            if let Some(first) = name.get_mut(..1) {
                first.make_ascii_lowercase();
            }
            Some(phrase!("{name} {} ({})", f.shown(units), f.base()))
        })
        .collect();
    let per = if per.is_empty() { String::new() } else { format!("; {}", per.join("; ")) };
    flow.paragraph(PLAIN, &phrase!("Gross margin {}{per}.", cents(p.margin())));
}

fn notes(flow: &mut Flow<'_>, years: &Years, year: i32) {
    let s = &years.settings;
    heading(flow, &said("How it was reckoned"), 12.0);
    let (age, own) = years.seasons.get(&year).map_or((s.weaning_days, false), |s| s.weaning);
    let weaning = if own {
        phrase!(
            "A lamb that was not ticked as weaned counts as weaned at {age} days, the middle of those that were."
        )
    } else {
        phrase!("No lamb was ticked as weaned: one counts as weaned at {age} days.")
    };
    let loss = match s.loss_of {
        LossOf::Born => "Losses are of all lambs born",
        LossOf::Alive => "Losses are of lambs born alive",
    };
    let mut all = vec![
        phrase!("{} ({}).", s.exposed_words(), s.ground),
        phrase!(
            "{}; a lamb sold before weaning counts as weaned. {} A fostered lamb is born to its dam and reared by the \
             ewe that took it; a bottle lamb is weaned and reared by no ewe.",
            loss,
            weaning
        ),
        phrase!(
            "The first cycle is the first {} days of lambing. A 60-day weight is carried on a straight line from birth \
             (sheep101.info/201/adjweanwts). Deaths and culls of ewes are within a year of joining. Figures of fewer than {} are \
             marked as of few. Gross margin is what was taken less what was spent; change of stock is not in it (common \
             practice, no source).",
            s.first_cycle_days,
            s.few
        ),
    ];
    // What several figures wait for is told once, behind all their names.
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for w in What::ALL {
        let note = years.figure(year, *w).note;
        let Some(note) = note.filter(|_| !matches!(w, What::FirstCycle | What::Weaned)) else { continue };
        let name = said(w.name()).into_owned();
        match told.iter_mut().find(|(n, _)| *n == note) {
            Some((_, names)) => names.push(name),
            None => told.push((note, vec![name])),
        }
    }
    let notes: Vec<String> =
        told.into_iter().map(|(note, names)| format!("{}: {note}", names.join(", "))).collect();
    if !notes.is_empty() {
        all.push(format!("{}.", notes.join("; ")));
    }
    let ranges: Vec<String> = s
        .ranges
        .iter()
        .filter_map(|r| Some(phrase!("{}: {} ({})", What::from_key(&r.figure)?.name(), r.words, r.ground)))
        .collect();
    if !ranges.is_empty() {
        all.push(phrase!("Handbook. {}.", ranges.join("; ")));
    }
    for words in all {
        flow.paragraph(SMALL, &words);
        flow.y += 0.5;
    }
}
