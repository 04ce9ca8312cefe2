//! Pen cards: a ewe with her lambs, to hang at the lambing pen.

use super::cards::{
    self, Alert, Caution, Fact, Facts, Head, LambRow, LambRows, Notes, PerSheet, Setting, Side, Stack, Tick,
    Ticks, Title,
};
use super::lamb_cards::capital;
use super::sheet::{Paper, SheetSize};
use super::text::unbroken;
use super::who::{self, Held, Nursery};
use super::{PaperFailed, Watch, text};
use crate::flock::{AnimalFile, Flock, Lambing};
use crate::phrase;
use crate::reckon::clearance::clearance;
use crate::terms::speech;
use crate::terms::{AnimalId, Born, Day, Fate, Rearing, Sex, Status};

const CAUTION: &str = "Label, vet and local law decide.";

/// The jobs in the pen: for the larger cards, and for the smaller. Common practice, no source.
const JOBS: [(&str, &str); 7] = [
    ("Both teats stripped", "Teats stripped"),
    ("Water", "Water"),
    ("Hay", "Hay"),
    ("Cleansed", "Cleansed"),
    ("Udder even, milk on both sides", "Udder even"),
    ("Lambs full", "Lambs full"),
    ("Turned out with others", "Turned out"),
];

/// How pen cards are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PenCardOptions {
    /// The sheet.
    pub sheet: SheetSize,
    /// Cards on a sheet.
    pub per_sheet: PerSheet,
}

/// Lays out one card for each ewe, in the order given, with the lambs of her last lambing and those fostered to her.
/// A ewe that has not lambed yet gets a card with rows to fill in. Ids that are not in the flock are passed over.
///
/// # Errors
/// [`PaperFailed::Nothing`] if no animal is left; [`PaperFailed::Stopped`] when `watch` says so.
pub fn pen_cards(
    flock: &Flock,
    ewes: &[AnimalId],
    today: Day,
    options: &PenCardOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nursery = Nursery::of(flock);
    let mut sheets = cards::Sheets::new(options.sheet, options.per_sheet);
    for (i, file) in ewes.iter().filter_map(|id| flock.file(*id)).enumerate() {
        if i % 20 == 0 && !watch(i, ewes.len()) {
            return Err(PaperFailed::Stopped);
        }
        let card = PenCard::of(flock, &nursery, file, today, options.per_sheet);
        cards::lay(&mut sheets, &card.items, &|items, continued| {
            card.stack(items, continued, options.per_sheet)
        });
    }
    let pages = sheets.finish();
    if pages.is_empty() {
        return Err(PaperFailed::Nothing { paper: "pen cards", mend: "choose at least one ewe" });
    }
    Ok(Paper {
        title: phrase!("Pen cards"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// What may run on to a following card.
#[derive(Clone)]
enum Item {
    Lamb(LambRow),
    Fact(Fact),
}

struct PenCard {
    tag: String,
    title: Title,
    alert: String,
    /// Lambs first, then facts.
    items: Vec<Item>,
    caution: String,
}

impl PenCard {
    fn of(flock: &Flock, nursery: &Nursery, file: &AnimalFile, today: Day, per: PerSheet) -> Self {
        let ewe = &file.animal;
        let last = last_lambing(file);
        let lambs = last.map(|lambing| lamb_rows(flock, nursery, ewe.id, lambing, today)).unwrap_or_default();
        let (lambed, litter) = title(last, lambs.len());
        let small = per == PerSheet::Eight;
        let facts = facts(flock, file, last, today, small);
        let (alert, products) = Alert::words_of(&Held::of(&clearance(file, today), today, ewe.sex));
        let facts = products.into_iter().chain(facts);
        let items = lambs.into_iter().map(Item::Lamb).chain(facts.map(Item::Fact)).collect();
        let pen = ewe.pen.as_deref().filter(|pen| pen.chars().count() <= 30);
        // A field is no pen: its name alone says where she is.
        let named = pen.map(|pen| match pen.chars().all(|c| c.is_ascii_digit()) {
            true => phrase!("Pen {pen}.", pen = &pen),
            false => format!("{pen}."),
        });
        let strong = text::joined([named.as_deref().unwrap_or_default(), &litter], " ").into_owned();
        let strong = if strong.is_empty() { lambed.clone() } else { strong };
        let rest = if strong == lambed { String::new() } else { lambed };
        PenCard {
            tag: ewe.tag().to_owned(),
            title: Title { sign: ewe.sex.symbol(), strong, rest, size_pt: 0.0 },
            alert,
            items,
            caution: phrase!("{CAUTION} Printed {}.", today.words()),
        }
    }

    fn stack(&self, items: &[Item], continued: bool, per: PerSheet) -> Stack {
        let form = per.form();
        let mut stack = Stack::new(form.gap);
        let of = |columns| Facts {
            facts: items
                .iter()
                .filter_map(|i| if let Item::Fact(f) = i { Some(f.clone()) } else { None })
                .collect(),
            columns,
            size_pt: form.fact_pt,
        };
        let lambs = LambRows {
            rows: items
                .iter()
                .filter_map(|i| if let Item::Lamb(l) = i { Some(l.clone()) } else { None })
                .collect(),
            size_pt: form.fact_pt,
        };
        let columns = if matches!(per, PerSheet::One | PerSheet::Eight) { 2 } else { 1 };
        if continued {
            stack.add(Head::continued(&self.tag, form.tag_cap, form.small_pt * 1.35));
            stack.add(lambs);
            stack.add(of(columns));
            return stack;
        }
        let title = Title {
            sign: self.title.sign,
            strong: self.title.strong.clone(),
            rest: self.title.rest.clone(),
            size_pt: form.title_pt,
        };
        let alert = Alert { words: self.alert.clone(), size_pt: form.fact_pt * 0.98 };
        let ticks = |setting| Ticks { ticks: jobs(per), setting, size_pt: form.tick_pt };
        let notes = |step| Notes { size_pt: form.small_pt * 1.1, step };
        stack.add(Head::new(&self.tag, form.tag_cap, form.code, form.small_pt * 1.35));
        match per {
            PerSheet::Two => {
                let mut left = Stack::new(form.gap);
                left.add(title);
                left.add(alert);
                left.add(of(1));
                left.add(notes(7.5));
                let mut right = Stack::new(form.gap);
                right.add(lambs);
                right.foot();
                right.add(ticks(Setting::Columns(2)));
                stack.add(Side { left, right, share: 0.42, gutter: 8.0 });
            }
            PerSheet::Eight => {
                stack.add(title);
                stack.add(alert);
                stack.add(lambs);
                stack.add(of(columns));
                stack.foot();
                stack.add(ticks(Setting::Columns(3)));
            }
            PerSheet::One | PerSheet::Four => {
                stack.add(title);
                stack.add(alert);
                stack.add(of(columns));
                stack.add(lambs);
                stack.add(ticks(Setting::Columns(2)));
                stack.add(notes(if per == PerSheet::One { 9.5 } else { 6.5 }));
            }
        }
        stack.add(Caution { words: self.caution.clone(), size_pt: form.small_pt });
        stack
    }
}

fn jobs(per: PerSheet) -> Vec<Tick> {
    let small = matches!(per, PerSheet::Four | PerSheet::Eight);
    let words = JOBS.iter().map(|(long, short)| if small { *short } else { *long });
    words
        .take(if small { 6 } else { JOBS.len() })
        .map(|w| Tick { label: w.into(), ..Tick::default() })
        .collect()
}

fn last_lambing(file: &AnimalFile) -> Option<&Lambing> {
    file.lambings_standing().max_by_key(|l| l.at)
}

/// 'Lambed Tue 14 Apr 2026, 05:20' and 'Twins and fostered.'
fn title(last: Option<&Lambing>, rows: usize) -> (String, String) {
    let Some(lambing) = last else { return (phrase!("Not lambed yet"), String::new()) };
    let time = lambing.at.time.map(|t| format!(", {t}")).unwrap_or_default();
    let litter = match lambing.lambs.len() {
        0 => String::new(),
        n => litter(n),
    };
    let fostered = if rows > lambing.lambs.len() { " and fostered" } else { "" };
    let words = unbroken(&phrase!("Lambed {}{time}", who::weekday(lambing.at.day)));
    let litter = unbroken(&capital(&format!("{litter}{fostered}")));
    (words, if litter.is_empty() { litter } else { litter + "." })
}

fn litter(count: usize) -> String {
    match count {
        1 => phrase!("a single"),
        2 => phrase!("twins"),
        3 => phrase!("triplets"),
        4 => phrase!("quadruplets"),
        n => phrase!("{n} lambs"),
    }
}

/// The lambs of the lambing in order of birth, then those fostered to the ewe.
fn lamb_rows(flock: &Flock, nursery: &Nursery, ewe: AnimalId, lambing: &Lambing, today: Day) -> Vec<LambRow> {
    let fostered =
        nursery.reared_with(ewe, lambing.at.day).into_iter().filter(|id| !lambing.lambs.contains(id));
    lambing
        .lambs
        .iter()
        .copied()
        .chain(fostered)
        .filter_map(|id| flock.file(id))
        .flat_map(|lamb| lamb_row(flock, ewe, lamb, today))
        .collect()
}

/// One lamb's row; very long remarks run on in rows below it.
fn lamb_row(flock: &Flock, ewe: AnimalId, file: &AnimalFile, today: Day) -> Vec<LambRow> {
    let lamb = &file.animal;
    let fate = file.birth.as_ref().map_or(Fate::Alive, |b| b.fate);
    let gone = match (fate, lamb.status) {
        (Fate::BornDead, _) => Some(phrase!("born dead")),
        (Fate::Died, _) | (_, Status::Dead) => {
            Some(lamb.status_on.map_or_else(|| phrase!("died"), |day| phrase!("died {}", day.short())))
        }
        _ => None,
    };
    let reared = match lamb.rearing {
        Rearing::Bottle => phrase!("on the bottle"),
        Rearing::Foster(other) if other == ewe => {
            phrase!("fostered from {}", &lamb.dam.map_or("–", |dam| flock.tag(dam)))
        }
        Rearing::Foster(other) => phrase!("fostered to {}", &flock.tag(other)),
        Rearing::Dam => String::new(),
    };
    // Only meat: a lamb's milk is years away.
    let held = Held::of(&clearance(file, today), today, Sex::Ram).words().replacen("Meat", "meat", 1);
    let said = [
        gone.clone().unwrap_or_default(),
        reared,
        held,
        lamb.colour.as_deref().unwrap_or_default().to_string(),
        lamb.marks.as_deref().unwrap_or_default().to_string(),
        lamb.name.as_deref().unwrap_or_default().to_string(),
    ];
    let remarks = text::joined(said.iter().map(String::as_str), ", ").into_owned();
    let mut pieces = Fact::new("", remarks).pieces().into_iter();
    let first = LambRow {
        tag: lamb.tag().to_owned(),
        sign: lamb.sex.symbol(),
        sex: speech::said(lamb.sex.words()).into_owned(),
        weight: lamb.birth_weight.map(|w| unbroken(&w.show(flock.holding().units))).unwrap_or_default(),
        remarks: pieces.next().map(|f| f.rest).unwrap_or_default(),
        gone: gone.is_some(),
    };
    let more = pieces.map(|f| LambRow { remarks: f.rest, gone: true, ..LambRow::default() });
    std::iter::once(first).chain(more).collect()
}

/// `small`: the smallest card leaves age, numbers and the keeper's note out.
fn facts(flock: &Flock, file: &AnimalFile, last: Option<&Lambing>, today: Day, small: bool) -> Vec<Fact> {
    let ewe = &file.animal;
    let mut all = Vec::new();
    let mut add = |fact: Fact| all.extend(fact.pieces());
    if let Some(name) = &ewe.name {
        add(Fact::new("Name", name));
    }
    match &ewe.pen {
        None => add(Fact::pencil("Pen", "")),
        Some(pen) if pen.chars().count() > 30 => add(Fact::tagged("Pen", pen.as_str(), "")),
        Some(_) => {}
    }
    match ewe.born {
        Born::Unknown => {}
        _ if small => {}
        born => add(Fact::new("Born", age(born, today))),
    }
    if let Some(ram) = last.and_then(|l| l.ram) {
        let (tag, name) = who::tag_and_name(flock, ram);
        add(Fact::tagged("Ram", tag, name));
    }
    if let Some(lambing) = last {
        let ease = lambing.ease.map(|e| e.words()).unwrap_or_default();
        let said =
            [ease, lambing.help.as_deref().unwrap_or_default(), lambing.note.as_deref().unwrap_or_default()];
        let words = text::joined(said, "; ");
        if !words.is_empty() {
            add(Fact::new("Lambing", capital(&words)));
        }
    }
    let past = past(flock, file, last);
    if !past.is_empty() {
        add(Fact::new("Before", past));
    }
    for (label, number) in who::numbers(ewe).into_iter().filter(|_| !small) {
        add(Fact::new(label, number));
    }
    if let Some(note) = ewe.note.as_ref().filter(|_| !small) {
        add(Fact::new("Note", note));
    }
    all
}

/// '2 Apr 2021, 5 years'.
fn age(born: Born, today: Day) -> String {
    let years = born.day().map(|day| today.since(day).max(0) * 4 / 1461);
    match years {
        Some(1) => phrase!("{}, 1 year", born.words()),
        Some(years) if years > 1 => phrase!("{}, {years} years", born.words()),
        _ => born.words(),
    }
}

/// Past lambings in one line, the latest first: '2025 twins, 1 lost · 2024 single'.
fn past(flock: &Flock, file: &AnimalFile, last: Option<&Lambing>) -> String {
    let mut before: Vec<&Lambing> =
        file.lambings_standing().filter(|l| last.is_none_or(|last| last.id != l.id)).collect();
    before.sort_by_key(|l| std::cmp::Reverse(l.at));
    let said: Vec<String> = before
        .into_iter()
        .map(|lambing| {
            let lost =
                lambing.lambs.iter().filter_map(|id| flock.file(*id)).filter(|lamb| was_lost(lamb)).count();
            let lost = if lost > 0 { phrase!(", {lost} lost") } else { String::new() };
            let litter = litter(lambing.lambs.len().max(1));
            format!("{} {}{lost}", lambing.at.day.year(), litter.trim_start_matches("a "))
        })
        .collect();
    said.join(" · ")
}

/// Born dead, or dead within sixty days (weaning).
fn was_lost(lamb: &AnimalFile) -> bool {
    let young = match (lamb.animal.status, lamb.animal.status_on, lamb.animal.born.exact()) {
        (Status::Dead, Some(died), Some(born)) => died.since(born) <= crate::reckon::figures::reared_at(),
        (Status::Dead, None, _) => lamb.birth.as_ref().is_some_and(|b| b.fate != Fate::Alive),
        _ => false,
    };
    young || lamb.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead)
}

#[cfg(test)]
mod tests;
