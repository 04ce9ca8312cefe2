//! The joining sheet: groups by ram with their ewes, for the barn: blank columns by day for the crayon's marks, and
//! what lambs of each pair would be inbred.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::entry::crayon_on;
use crate::flock::{AnimalFile, Flock, Joining};
use crate::handbook::tupping::cycle_days;
use crate::phrase;
use crate::reckon::joined::{Group, groups, marks_of, percent};
use crate::reckon::kinship::Kindred;
use crate::registers::Span;
use crate::terms::speech;
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Status, counted};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

const GROUP: Look = Look::new(Face::SerifStrong, 13.0);
const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Columns for marks, one a day.
const DAYS: i64 = 14;
/// Under so many complete generations an inbreeding tells little (rule of thumb; no source).
const SHALLOW: f64 = 3.0;

const FOOT: &str = "Write the mark's colour under the day it was first seen.";
/// The same of groups that are over.
const OVER: &str = "No ram is with these ewes any more: no days are left open for marks.";

/// How the joining sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct JoiningSheetOptions {
    /// The sheet of paper; it lies across.
    pub sheet: SheetSize,
    /// Groups that ran within these days; without any, those that run now, or else those of the last season.
    pub span: Span,
}

/// Lays out the joining sheet. With `animals` it keeps to groups that hold one of them, ewe or ram. The columns of
/// days begin on `today`.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no group fits; [`PaperFailed::Stopped`] when `watch` says so.
pub fn joining_sheet(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &JoiningSheetOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let chosen = choose(groups(flock), animals, options.span);
    if chosen.is_empty() {
        let mend = "join ewes with a ram first, or choose other days";
        return Err(PaperFailed::Nothing { paper: "joining sheet", mend });
    }
    let kindred = Kindred::of(flock);
    let turn = Turn::Landscape;
    let ewes: usize = chosen.iter().map(|g| g.ewes.len()).sum();
    let mut days = phrase!("{} in {}", counted(ewes, "ewe"), counted(chosen.len(), "group"));
    let runs = chosen.iter().any(Group::runs);
    if runs {
        days.push_str(&phrase!("; marks from {} to {}", today.short(), today.plus(DAYS - 1).words()));
    }
    let heads = Heads::of(flock.holding(), "Joining sheet", &days, options.sheet, turn);
    // The group whose ewes run on when a page is turned; empty between groups.
    let running = RefCell::new(String::new());
    let head = |page: &mut Page, number: usize| {
        let y = heads.paint(page, number);
        let group = running.borrow();
        if number == 0 || group.is_empty() {
            return y;
        }
        let look = GROUP.size(10.5);
        page.text(MARGINS[0], y + look.leading_mm() * 0.78, look, &phrase!("{group} (continued)"));
        y + look.leading_mm() + 1.0
    };
    let mut flow = Flow::new(options.sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    let total = chosen.len();
    for (i, group) in chosen.iter().enumerate() {
        if !watch(i, total) {
            return Err(PaperFailed::Stopped);
        }
        one(&mut flow, flock, group, &kindred, today, (&running, watch))?;
    }
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let hint = if runs { said(FOOT).into_owned() } else { said(OVER).into_owned() };
    let pages = flow.finish(SMALL, &phrase!("Printed {}. {hint}", today.words()));
    Ok(Paper {
        title: phrase!("Joining sheet, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn choose(all: Vec<Group>, animals: Option<&[AnimalId]>, span: Span) -> Vec<Group> {
    let asked = span.from.is_some() || span.to.is_some();
    let holds = |g: &Group| {
        animals.is_none_or(|these| these.iter().any(|a| g.ewes.contains(a) || g.rams.contains(a)))
    };
    let within = |g: &Group| {
        span.to.is_none_or(|to| g.from <= to)
            && span.from.is_none_or(|from| g.to.is_none_or(|last| last >= from))
    };
    let mut all: Vec<Group> = all.into_iter().filter(|g| holds(g) && (!asked || within(g))).collect();
    if !asked {
        let runs = all.iter().any(Group::runs);
        let last = all.iter().map(|g| g.season).max();
        all.retain(|g| if runs { g.runs() } else { Some(g.season) == last });
    }
    all
}

fn one(
    flow: &mut Flow<'_>,
    flock: &Flock,
    group: &Group,
    kindred: &Kindred,
    today: Day,
    (running, watch): (&RefCell<String>, Watch<'_>),
) -> Result<(), PaperFailed> {
    flow.y += 3.5;
    flow.need(44.0);
    flow.paragraph(GROUP, &group.title(flock));
    for ram in &group.rams {
        flow.paragraph(PLAIN, &of_ram(flock, group, *ram, today));
    }
    for both in &group.both {
        flow.paragraph(PLAIN, &format!("{}.", both.words(flock)));
    }
    let shallow =
        group.ewes.iter().chain(&group.rams).filter(|a| kindred.depth(**a).unwrap_or(0.0) < SHALLOW);
    let shallow = shallow.count();
    let mut inbred = phrase!("Inbred: what a lamb of ewe and ram would be.");
    if shallow > 0 {
        inbred.push_str(&phrase!(
            " Of {} the pedigree holds fewer than three complete generations: there the true figure may be higher.",
            counted(shallow, "animal")
        ));
    }
    flow.paragraph(SMALL, &inbred);
    flow.y += 0.8;
    let files = group.ewes.iter().filter_map(|e| flock.file(*e));
    let (files, gone): (Vec<&AnimalFile>, Vec<&AnimalFile>) =
        files.partition(|f| f.animal.status == Status::Present);
    if !gone.is_empty() {
        let tags: Vec<&str> = gone.iter().map(|f| f.animal.tag()).collect();
        flow.paragraph(SMALL, &phrase!("No longer in the flock: {}.", tags.join(", ")));
        flow.y += 0.8;
    }
    let mut of_ewe: BTreeMap<AnimalId, Vec<&Joining>> = BTreeMap::new();
    for j in group.standing(flock) {
        of_ewe.entry(j.ewe).or_default().push(j);
    }
    let none = Vec::new();
    let rows = files.into_iter().map(|f| {
        let mine = of_ewe.get(&f.animal.id).unwrap_or(&none);
        row(flock, group, f, mine, kindred)
    });
    *running.borrow_mut() = group.title(flock);
    let done = table(today, group.runs()).flow(flow, rows, watch);
    running.borrow_mut().clear();
    done
}

/// `R7 Duke since 5 Nov 2026. Crayon blue since 5 Nov; the next colour is due on 22 Nov.`
fn of_ram(flock: &Flock, group: &Group, ram: AnimalId, today: Day) -> String {
    let title = flock.animal(ram).map(|a| a.title()).unwrap_or_default();
    let mine = || group.standing(flock).filter(|j| j.ram == ram);
    let from = mine().map(|j| j.from).min().unwrap_or(group.from);
    let open = mine().any(|j| j.to.is_none());
    let last = mine().filter_map(|j| j.to).max().filter(|_| !open);
    let days = last.map_or_else(
        || phrase!("since {}", from.words()),
        |to| phrase!("from {} to {}", from.words(), to.words()),
    );
    let with = mine().map(|j| j.ewe).collect::<BTreeSet<_>>().len();
    let mut said = phrase!("Ram {}, with {} {}.", title, counted(with, "ewe"), days);
    let mut methods: BTreeMap<&str, BTreeSet<AnimalId>> = BTreeMap::new();
    for j in mine() {
        methods.entry(j.method.as_deref().unwrap_or("not written how")).or_default().insert(j.ewe);
    }
    // Where ewes of one group were served in several ways, how many in each.
    let all: Vec<String> = match methods.len() {
        1 => mine().find_map(|j| j.method.as_deref()).map(String::from).into_iter().collect(),
        _ => methods.iter().map(|(how, ewes)| format!("{how}: {}", ewes.len())).collect(),
    };
    if !all.is_empty() {
        said.push_str(&format!(" {}.", super::lamb_cards::capital(&all.join(", "))));
    }
    let Some(file) = flock.file(ram).filter(|_| open) else { return said };
    match crayon_on(file, today) {
        Some(colour) => {
            let since =
                file.crayons.iter().filter(|c| c.struck.is_none() && c.on <= today).map(|c| c.on).max();
            let since = since.unwrap_or(from);
            // A new colour for each cycle of the ewes, so that a return is seen.
            let next = since.plus(cycle_days());
            said.push_str(&phrase!(
                " Crayon {} since {}; the next colour is due on {}.",
                &colour,
                since.short(),
                next.short()
            ));
        }
        None => said.push_str(&speech::said(" No crayon is written down.")),
    }
    said
}

fn table(today: Day, runs: bool) -> Table {
    let mut columns = vec![
        Column::new("Ewe", Width::Mm(40.0)),
        Column::figures("Lambs inbred", Width::Mm(20.0)),
        Column::new("Last mark", Width::Mm(26.0)),
    ];
    if !runs {
        columns.push(Column::new("Remarks", Width::Share(1.0)).ruled());
        return Table { columns, size_pt: 9.5, between: Between::Hairline };
    }
    for n in 0..DAYS {
        let day = today.plus(n);
        let weekday: String = day.long().chars().take(2).collect();
        // The month stands where it begins.
        let short = day.short();
        let words = if n == 0 || day.day() == 1 { short } else { day.day().to_string() };
        columns.push(Column::new(format!("{weekday} {words}"), Width::Share(1.0)).ruled());
    }
    columns.push(Column::new("Remarks", Width::Mm(34.0)).ruled());
    Table { columns, size_pt: 9.5, between: Between::Hairline }
}

fn row(flock: &Flock, group: &Group, f: &AnimalFile, mine: &[&Joining], kindred: &Kindred) -> Row {
    let mut who = Cell::strong(f.animal.tag());
    if let Some(name) = &f.animal.name {
        who = who.under(name.as_str());
    }
    let mut inbred = Cell::default();
    let mut said: Vec<AnimalId> = Vec::new();
    for j in mine {
        if said.contains(&j.ram) {
            continue;
        }
        said.push(j.ram);
        let share = kindred.coancestry(j.ram, f.animal.id).map_or_else(|| phrase!("not known"), percent);
        let words = if group.rams.len() > 1 { format!("{} {share}", flock.tag(j.ram)) } else { share };
        inbred = inbred.and_line(words);
    }
    let last = mine.iter().flat_map(|j| marks_of(f, j)).max_by_key(|m| (m.on, m.id));
    let last = last.map_or_else(Cell::default, |m| {
        let colour = m.colour.as_deref().map(|c| format!(" {c}")).unwrap_or_default();
        Cell::new(format!("{}{colour}", m.on.short()))
    });
    let parted = mine.iter().filter_map(|j| j.to).max().filter(|_| mine.iter().all(|j| j.to.is_some()));
    let last = match parted.filter(|_| group.runs()) {
        Some(to) => last.under(phrase!("out on {}", to.short())),
        None => last,
    };
    Row { cells: vec![who, inbred, last], struck: false, notes: Vec::new() }
}

#[cfg(test)]
mod tests;
