//! Lamb cards: one for each lamb, to hang at its pen for the first days.
//!
//! The facts come from the flock, then the card is built from the facts alone.

use super::cards::{
    self, Alert, Caution, Fact, Facts, Head, Notes, PerSheet, Setting, Side, Stack, Tick, Ticks, Title,
};
use super::sheet::{Paper, SheetSize};
use super::text::unbroken;
use super::who::{self, Held, Nursery};
use super::{PaperFailed, Watch};
use crate::flock::{AnimalFile, Flock, Outcome, PenMove};
use crate::handbook::first_days::KEYS;
use crate::phrase;
use crate::reckon::clearance::clearance;
use crate::reckon::creep::board;
use crate::reckon::due::own_mark;
use crate::rules::{RuleSet, STAR};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Born, Day, Rearing, Sex};
use rapidhash::RapidHashSet;
use std::sync::Arc;
use when::when;

/// What stands at the foot of every card, after what the rule set says.
const CAUTION: &str = "Ring only within the legal age; label, vet and local law decide.";

/// How lamb cards are printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LambCardOptions {
    /// The sheet.
    pub sheet: SheetSize,
    /// Cards on a sheet.
    pub per_sheet: PerSheet,
    /// Jobs to be offered; a flock that keeps its tails leaves docking out.
    pub jobs: Vec<LambJob>,
    /// The rule set: it gives the last day for rings; what of it is from memory has a star.
    pub rules: Option<Arc<RuleSet>>,
}

impl Default for LambCardOptions {
    fn default() -> Self {
        LambCardOptions {
            sheet: SheetSize::default(),
            per_sheet: PerSheet::default(),
            jobs: LambJob::ALL.to_vec(),
            rules: None,
        }
    }
}

impl LambCardOptions {
    /// As usual for this flock: its rules, and its sheet if it has chosen one.
    pub fn for_flock(flock: &Flock) -> Self {
        let holding = flock.holding();
        LambCardOptions {
            sheet: holding.sheet.parse().unwrap_or_default(),
            rules: flock.rules_shared(),
            ..LambCardOptions::default()
        }
    }
}

/// Lays out one card for each of the animals, in the order given. Ids that are not in the flock are passed over.
///
/// # Errors
/// [`PaperFailed::Nothing`] if no animal is left; [`PaperFailed::Stopped`] when `watch` says so.
pub fn lamb_cards(
    flock: &Flock,
    animals: &[AnimalId],
    today: Day,
    options: &LambCardOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nursery = Nursery::of(flock);
    let at_creep: RapidHashSet<AnimalId> =
        board(flock, today).creeps.iter().flat_map(|c| c.lambs.eat.iter().map(|(id, _)| *id)).collect();
    let mut sheets = cards::Sheets::new(options.sheet, options.per_sheet);
    for (i, file) in animals.iter().filter_map(|id| flock.file(*id)).enumerate() {
        if i % 20 == 0 && !watch(i, animals.len()) {
            return Err(PaperFailed::Stopped);
        }
        let card = LambCard::of(flock, (&nursery, &at_creep), file, today, options);
        let facts = card.facts.clone();
        cards::lay(&mut sheets, &facts, &|facts, continued| card.stack(facts, continued, options.per_sheet));
    }
    let pages = sheets.finish();
    if pages.is_empty() {
        let mend = "choose at least one lamb";
        return Err(PaperFailed::Nothing { paper: "lamb cards", mend });
    }
    Ok(Paper {
        title: phrase!("Lamb cards"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// Everything a card says, as words.
struct LambCard {
    tag: String,
    sign: &'static str,
    sex: String,
    litter: String,
    alert: String,
    facts: Vec<Fact>,
    ticks: Vec<(LambJob, Tick)>,
    caution: String,
}

impl LambCard {
    fn of(
        flock: &Flock,
        (nursery, at_creep): (&Nursery, &RapidHashSet<AnimalId>),
        file: &AnimalFile,
        today: Day,
        options: &LambCardOptions,
    ) -> Self {
        let animal = &file.animal;
        let words = if animal.is_lamb(today) { animal.sex.lamb_words() } else { animal.sex.words() };
        let words = said(words);
        let held = Held::of(&clearance(file, today), today, animal.sex);
        let (alert, products) = Alert::words_of(&held);
        let weight = animal.birth_weight.map(|w| unbroken(&w.show(flock.holding().units)));
        let small = options.per_sheet == PerSheet::Eight;
        let mut litter = who::litter_words(flock, nursery, file);
        if let Some(weight) = weight.as_ref().filter(|_| small) {
            let comma = if litter.is_empty() { "" } else { ", " };
            litter = phrase!("{litter}{comma}{weight} at birth");
        }
        let facts = facts(flock, file, weight, small);
        LambCard {
            tag: animal.tag().to_owned(),
            sign: animal.sex.symbol(),
            sex: format!("{}{}", capital(&words), if litter.is_empty() { "" } else { "," }),
            litter,
            alert,
            facts: products.into_iter().chain(facts).collect(),
            ticks: ticks(flock, file, at_creep.contains(&animal.id), today, options),
            caution: caution(options.rules.as_deref(), today),
        }
    }

    fn stack(&self, facts: &[Fact], continued: bool, per: PerSheet) -> Stack {
        let form = per.form();
        let mut stack = Stack::new(form.gap);
        let facts = |columns| Facts { facts: facts.to_vec(), columns, size_pt: form.fact_pt };
        let columns = if matches!(per, PerSheet::One | PerSheet::Eight) { 2 } else { 1 };
        if continued {
            stack.add(Head::continued(&self.tag, form.tag_cap, form.small_pt * 1.35));
            stack.add(facts(columns));
            return stack;
        }
        let head = Head::new(&self.tag, form.tag_cap, form.code, form.small_pt * 1.35);
        let title = Title {
            sign: self.sign,
            strong: self.sex.clone(),
            rest: self.litter.clone(),
            size_pt: form.title_pt,
        };
        let alert = Alert { words: self.alert.clone(), size_pt: form.fact_pt * 0.98 };
        let caution = Caution { words: self.caution.clone(), size_pt: form.small_pt };
        let ticks = |setting| Ticks { ticks: self.shown(per), setting, size_pt: form.tick_pt };
        stack.add(head);
        if per == PerSheet::Two {
            let mut left = Stack::new(form.gap);
            left.add(title);
            left.add(alert);
            left.add(facts(1));
            left.add(Notes { size_pt: form.small_pt * 1.1, step: 7.5 });
            let mut right = Stack::new(form.gap);
            right.add(ticks(Setting::Table));
            stack.add(Side { left, right, share: 0.45, gutter: 8.0 });
        } else {
            stack.add(title);
            stack.add(alert);
            stack.add(facts(columns));
            stack.foot();
            stack.add(ticks(if per == PerSheet::Eight { Setting::Columns(2) } else { Setting::Table }));
        }
        if per == PerSheet::One {
            stack.add(Notes { size_pt: form.small_pt * 1.1, step: 9.5 });
        }
        stack.add(caution);
        stack
    }

    /// The jobs this size of card has room for, worded for it.
    fn shown(&self, per: PerSheet) -> Vec<Tick> {
        if per != PerSheet::Eight {
            return self.ticks.iter().map(|(_, tick)| tick.clone()).collect();
        }
        let ram = self.ticks.iter().any(|(job, _)| *job == LambJob::Castrate);
        let essential = |job: LambJob| job != LambJob::Creep && (job != LambJob::TurnOut || !ram);
        self.ticks
            .iter()
            .filter(|(job, _)| essential(*job))
            .map(|(job, tick)| Tick {
                label: job.short().to_owned(),
                other: tick.other.map(|_| "entire"),
                ..tick.clone()
            })
            .collect()
    }
}

/// First letter large.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// `small`: the smallest card says the weight in its title and leaves the keeper's note out.
fn facts(flock: &Flock, file: &AnimalFile, weight: Option<String>, small: bool) -> Vec<Fact> {
    let animal = &file.animal;
    let mut all = Vec::new();
    let mut add = |fact: Fact| all.extend(fact.pieces());
    let tagged = |label, id| {
        let (tag, name) = who::tag_and_name(flock, id);
        Fact::tagged(label, tag, name)
    };
    if let Some(name) = &animal.name {
        add(Fact::new("Name", name));
    }
    add(animal.dam.map_or_else(|| Fact::pencil("Dam", ""), |id| tagged("Dam", id)));
    if let Some(id) = animal.genetic_dam.filter(|id| Some(*id) != animal.dam) {
        add(tagged("Genetic dam", id));
    }
    add(match who::sire(flock, &animal.sire) {
        Some((tag, name)) => Fact::tagged("Sire", tag, name),
        None => Fact::new("Sire", "not known"),
    });
    match animal.rearing {
        Rearing::Dam => {}
        Rearing::Foster(ewe) => {
            let (tag, name) = who::tag_and_name(flock, ewe);
            add(Fact::tagged("Fostered to", tag, name));
        }
        Rearing::Bottle => add(Fact::new("Reared by", "bottle")),
    }
    add(match (animal.born, who::birth_time(flock, file)) {
        (Born::On(day), Some(time)) => Fact::new("Born", format!("{}, {time}", who::weekday(day))),
        (Born::On(day), None) => Fact::new("Born", who::weekday(day)),
        (Born::Unknown, _) => Fact::pencil("Born", ""),
        (other, _) => Fact::new("Born", other.words()),
    });
    match weight {
        None => add(Fact::pencil("Birth weight", unit(flock))),
        Some(weight) if !small => add(Fact::new("Birth weight", weight)),
        Some(_) => {}
    }
    match &animal.pen {
        Some(pen) => add(Fact::tagged("Pen", pen.as_str(), "")),
        None => add(Fact::pencil("Pen", "")),
    }
    let colour =
        super::text::joined([animal.colour.as_deref(), animal.marks.as_deref()].into_iter().flatten(), "; ");
    add(if colour.is_empty() { Fact::pencil("Colour", "") } else { Fact::new("Colour", colour) });
    for (label, number) in who::numbers(animal) {
        add(Fact::new(label, number));
    }
    if let Some(note) = animal.note.as_ref().filter(|_| !small) {
        add(Fact::new("Note", note));
    }
    all
}

fn ticks(
    flock: &Flock,
    file: &AnimalFile,
    at_creep: bool,
    today: Day,
    options: &LambCardOptions,
) -> Vec<(LambJob, Tick)> {
    let animal = &file.animal;
    let time = who::birth_time(flock, file);
    options
        .jobs
        .iter()
        .filter(|job| **job != LambJob::Castrate || animal.sex != Sex::Ewe)
        .map(|job| {
            let tick = Tick {
                label: job.words().to_owned(),
                when: when(*job, animal.born.exact(), time, options.rules.as_deref()),
                done: done(*job, file, flock, today)
                    .or_else(|| ticked(*job, file))
                    .or_else(|| (*job == LambJob::Creep && at_creep).then(|| phrase!("at the creep"))),
                unit: (*job == LambJob::WeighAgain).then(|| unit(flock)),
                other: (*job == LambJob::Castrate).then_some("kept entire"),
            };
            (*job, tick)
        })
        .collect()
}

fn unit(flock: &Flock) -> &'static str {
    match flock.holding().units {
        crate::terms::Units::Metric => "kg",
        crate::terms::Units::Imperial => "lb",
    }
}

/// What the book already says of a job, in a few words.
fn done(job: LambJob, file: &AnimalFile, flock: &Flock, today: Day) -> Option<String> {
    let animal = &file.animal;
    let birth = file.birth.as_ref();
    match job {
        LambJob::Navel => birth?.navel_dipped.filter(|yes| *yes).map(|_| phrase!("done")),
        LambJob::Suck => {
            let birth = birth?;
            match (birth.colostrum, birth.sucked) {
                (Some(dose), _) => Some(phrase!("{dose} colostrum")),
                (None, Some(true)) => Some(phrase!("sucked")),
                _ => None,
            }
        }
        LambJob::WeighAgain => {
            let second = file.weighings.iter().find(|w| w.struck.is_none())?;
            Some(format!("{}, {}", second.weight.show(flock.holding().units), second.at.day.short()))
        }
        LambJob::Tag => {
            // As the care plan has it: any mark of its own, the flock's tag too.
            let mark = own_mark(file)?;
            Some(mark.from.map_or_else(|| phrase!("done"), Day::short))
        }
        LambJob::TurnOut => {
            let born = animal.born.day()?;
            let moved = |m: &&PenMove| m.struck.is_none() && m.pen.is_some() && m.on > born && m.on <= today;
            file.pen_moves.iter().filter(moved).map(|m| m.on).min().map(Day::short)
        }
        LambJob::Castrate => (animal.sex == Sex::Wether).then(|| phrase!("done")),
        _ => None,
    }
}

/// What the keeper ticked of a job of the care plan.
fn ticked(job: LambJob, file: &AnimalFile) -> Option<String> {
    let key = KEYS[job as usize];
    let last = file.ticks_standing().filter(|t| t.step == key).max_by_key(|t| (t.at, t.id))?;
    match last.outcome {
        Outcome::Done => Some(last.at.day.short()),
        Outcome::Skipped => Some(phrase!("left out")),
        Outcome::PutOff(_) => None,
    }
}

/// What is said of the law at the foot.
fn caution(rules: Option<&RuleSet>, today: Day) -> String {
    let law = rules.and_then(RuleSet::ring_words_short).map(|words| words + ". ").unwrap_or_default();
    // A name of a rule set may hold a star of its own: then the line says one thing too many, never one too few.
    let star = if law.contains(STAR) {
        phrase!(" * To be checked: see Rules of the place, under Inspection.")
    } else {
        String::new()
    };
    phrase!("{law}{CAUTION}{star} Printed {}.", today.words())
}

mod job;
mod when;

pub use job::LambJob;

#[cfg(test)]
mod tests;
