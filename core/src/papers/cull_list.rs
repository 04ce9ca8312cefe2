//! The cull list: ewes that the keeper's rules name, with the records behind it, what each has done and what she would
//! cost in blood, and boxes for what is decided.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::lamb_cards::capital;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text, who};
use crate::flock::{AnimalFile, Flock};
use crate::handbook::Ground;
use crate::phrase;
use crate::reckon::clearance::clearance_in;
use crate::reckon::keeping::{Cull, Keeping, KeepingAsk, ordinal};
use crate::reckon::kinship::{Kindred, percent};
use crate::terms::speech;
use crate::terms::speech::said;
use crate::terms::{Day, Decided, IdentityKind, counted};

const PLAIN: Look = Look::new(Face::Sans, 9.0);
const STRONG: Look = Look::new(Face::SansStrong, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Lays out the list.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no rule names a ewe; [`PaperFailed::Stopped`] when `watch` says so.
pub fn cull_list(
    flock: &Flock,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    if !watch(0, 2) {
        return Err(PaperFailed::Stopped);
    }
    let k = Keeping::of(flock, &Kindred::of(flock), &KeepingAsk::default(), today);
    if k.culls.is_empty() {
        let mend = "no rule of yours names a ewe; score udders, teeth and feet, or change the rules";
        return Err(PaperFailed::Nothing { paper: "cull list", mend });
    }
    let turn = Turn::Landscape;
    let days =
        phrase!("{} named by the keeper's rules, as of {}", counted(k.culls.len(), "ewe"), today.words());
    let heads = Heads::of(flock.holding(), "Cull list", &days, sheet, turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    if k.circle {
        flow.paragraph(
            PLAIN,
            &said("The pedigree runs in a circle: what each costs in blood is not known until it is mended."),
        );
    }
    flow.y += 1.5;
    let table = Table {
        columns: vec![
            Column::new("Ewe", Width::Mm(36.0)),
            Column::new("Why", Width::Share(1.0)),
            Column::new("What she has done", Width::Mm(52.0)),
            Column::new("Milk", Width::Mm(30.0)),
            Column::new("What she would cost in blood", Width::Mm(62.0)),
            Column::new("Decided", Width::Mm(26.0)).ruled(),
        ],
        size_pt: 8.5,
        between: Between::Hairline,
    };
    table.flow(&mut flow, k.culls.iter().map(|c| row(flock, c, today)), watch)?;
    rules(&mut flow, &k);
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!("Printed {}. A rule names, the keeper decides.", today.words());
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Cull list, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn row(flock: &Flock, c: &Cull, today: Day) -> Row {
    let mut who = Cell::strong(c.tag.as_str());
    if let Some(name) = &c.name {
        who = who.and_line(name.as_str());
    }
    let file = flock.file(c.animal);
    for (_, number) in file.map(|f| who::numbers(&f.animal)).unwrap_or_default() {
        who = who.under(text::unbroken(&number));
    }
    let official = |f: &AnimalFile| {
        [IdentityKind::Official, IdentityKind::Electronic].iter().any(|k| f.animal.worn(*k).is_some())
    };
    if !file.is_some_and(official) {
        who = who.under(said("no official number in the book"));
    }
    let years = c.dam.years.map(|y| counted(usize::try_from(y).unwrap_or_default(), "year"));
    who = who.under(years.map_or_else(|| phrase!("age not known"), |y| phrase!("{y} old")));
    let why = match c.why.split_first() {
        None => Cell::new("no rule names her; it was decided"),
        Some((first, rest)) => {
            rest.iter().fold(Cell::new(capital(&first.words)), |cell, w| cell.and_line(capital(&w.words)))
        }
    };
    let held = file.map(|f| clearance_in(flock, f, today)).filter(|held| held.waits(today));
    let why = match held {
        Some(held) => why.remark(phrase!("Under withdrawal: {}", held.held_words(today))),
        None => why,
    };
    let scores = c.dam.scores();
    let mut done = Cell::new(c.dam.words());
    if !scores.is_empty() {
        done = done.under(scores);
    }
    let milk = match (c.dam.milk, c.milk_place) {
        (Some((g, n)), Some((place, of))) => Cell::new(phrase!("{g:.0} g a day"))
            .under(phrase!("{} of {of} ewes", ordinal(place)))
            .under(phrase!("{} weighed", counted(n as usize, "lamb"))),
        _ => Cell::new("not known"),
    };
    let mut cost = Cell::new(capital(&c.cost()));
    if let Some(b) = &c.blood {
        cost =
            cost.under(phrase!("mean kinship {}, the flock’s {}", percent(b.kinship), percent(b.of_flock)));
    }
    let decided = match &c.decided {
        Some(d) => Cell::strong(capital(d.what.words())).under(d.on.words()),
        None => [Decided::Stay, Decided::Cull, Decided::Later]
            .iter()
            .fold(Cell::default(), |cell, what| cell.boxed(what.words())),
    };
    Row { cells: vec![who, why, done, milk, cost, decided], struck: false, notes: Vec::new() }
}

/// The rules it was made by, with what they stand on.
fn rules(flow: &mut Flow<'_>, k: &Keeping) {
    flow.y += 2.5;
    flow.need(20.0);
    flow.paragraph(STRONG, &said("Rules it goes by"));
    let on = k.settings.culling.iter().filter(|r| !r.off);
    let said: Vec<String> = on
        .map(|r| match &r.ground {
            Ground::Practice => r.kind.words(r.limit),
            ground => format!("{} ({ground})", r.kind.words(r.limit)),
        })
        .collect();
    let practice = "Limits without a source beside them are common practice.";
    flow.paragraph(PLAIN, &format!("{}. {practice}", capital(&said.join("; "))));
    let off: Vec<&str> = k.settings.culling.iter().filter(|r| r.off).map(|r| r.kind.key()).collect();
    if !off.is_empty() {
        flow.paragraph(PLAIN, &phrase!("Switched off: {}.", off.join(", ")));
    }
    flow.paragraph(
        PLAIN,
        &speech::said("Gene diversity is 1 less the mean kinship of the flock. A withdrawal that stands beside a ewe holds on the day of \
         printing: label, vet and local law decide."),
    );
}

#[cfg(test)]
mod tests;
