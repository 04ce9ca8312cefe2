//! The barn sheet: the jobs of one day by pen, in the order of the barn, with a number for every row. The paper and
//! the page where it is typed back use the same sheet, so that number 17 is the same animal on both.

use super::{Board, Job, State};
use crate::flock::{Animal, AnimalFile, Flock, Product, natural};
use crate::phrase;
use crate::plan::{self, DoneBy, Step};
use crate::reckon::gestation::{Expected, expected_of};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Dose, DoseRule, Sex, counted};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Ewes that may lamb within so many days are listed below their pen (common practice, no source).
const LAMBS_SOON: i64 = 10;

/// The jobs of a day, pen by pen.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// The pens in barn order; animals without a pen come last.
    pub pens: Vec<PenSheet>,
}

/// One pen of a barn sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PenSheet {
    /// Its name; none for animals without a pen.
    pub pen: Option<String>,
    /// How many animals are in it, with jobs or without.
    pub animals: usize,
    /// A row for each animal with jobs.
    pub rows: Vec<Row>,
    /// Ewes that may lamb soon or are past their day, by due day.
    pub due_ewes: Vec<Expected>,
    /// What one goes round with, step by step.
    pub rounds: Vec<Round>,
}

/// One animal of a barn sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its number, counted through the whole sheet from 1.
    pub no: usize,
    /// The animal.
    pub animal: AnimalId,
    /// Its jobs in the order of the plan, each as it stands on the day of the sheet.
    pub jobs: Vec<Job>,
}

/// The same step for several animals of a pen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// The step.
    pub step: Arc<Step>,
    /// The animals, in the order of the rows.
    pub animals: Vec<AnimalId>,
    /// The product it is done with, if one can be told.
    pub product: Option<String>,
    /// How much of it in all, by its dose rule.
    pub total: Option<Dose>,
    /// Animals whose weight the rule needs and the book has not.
    pub not_weighed: usize,
}

/// The sheet of a day. `board` may be of that day or of one shortly before.
pub fn sheet(flock: &Flock, board: &Board, day: Day) -> Sheet {
    let mut pens: RapidHashMap<Option<&str>, PenSheet> = RapidHashMap::default();
    for file in flock.present() {
        let jobs = jobs_on(board, file.animal.id, day);
        let due = due_soon(flock, file, day);
        let pen = file.animal.pen.as_deref();
        let of = pens.entry(pen).or_insert_with(|| PenSheet {
            pen: pen.map(str::to_string),
            animals: 0,
            rows: Vec::new(),
            due_ewes: Vec::new(),
            rounds: Vec::new(),
        });
        of.animals += 1;
        of.due_ewes.extend(due);
        if !jobs.is_empty() {
            of.rows.push(Row { no: 0, animal: file.animal.id, jobs });
        }
    }
    let mut pens: Vec<PenSheet> =
        pens.into_values().filter(|p| !p.rows.is_empty() || !p.due_ewes.is_empty()).collect();
    pens.sort_by(|a, b| match (&a.pen, &b.pen) {
        (Some(a), Some(b)) => natural(a, b).then_with(|| a.cmp(b)),
        (a, b) => a.is_none().cmp(&b.is_none()),
    });
    let mut no = 0;
    for p in &mut pens {
        p.rows.sort_by(|a, b| {
            natural(flock.tag(a.animal), flock.tag(b.animal)).then_with(|| a.animal.cmp(&b.animal))
        });
        for row in &mut p.rows {
            no += 1;
            row.no = no;
        }
        p.due_ewes.sort_by_key(|e| (e.window.due, e.ewe));
        p.rounds = rounds_of(flock, &p.rows, day);
    }
    Sheet { pens }
}

/// The jobs of an animal that stand on the sheet of a day, each as it stands on that day. Waiting for a lambing is no
/// job to tick: such ewes are listed as due to lamb.
pub fn jobs_on(board: &Board, animal: AnimalId, day: Day) -> Vec<Job> {
    let asked = |j: &&Job| j.day() <= day && j.close >= day && j.step.done_by != DoneBy::Lambing;
    let mut all: Vec<Job> = board.of(animal).iter().filter(asked).cloned().collect();
    for job in &mut all {
        let late = job.late.is_some_and(|l| l.day < day);
        job.state = if late { State::Overdue } else { State::Due };
    }
    all.sort_by_key(|j| (j.place, j.round, j.anchor));
    all
}

/// A ewe that may lamb within some days, or should have.
fn due_soon(flock: &Flock, file: &AnimalFile, day: Day) -> Option<Expected> {
    if file.animal.sex != Sex::Ewe {
        return None;
    }
    expected_of(flock, file, day).filter(|e| e.window.early <= day.plus(LAMBS_SOON))
}

/// The rounds of some rows, in the order of the plan.
pub fn rounds_of(flock: &Flock, rows: &[Row], day: Day) -> Vec<Round> {
    let mut all: Vec<(u16, Round)> = Vec::new();
    for row in rows {
        for job in &row.jobs {
            let same = |s: &Step| s.key == job.step.key && s.short == job.step.short;
            match all.iter_mut().find(|(_, r)| same(&r.step)) {
                Some((_, r)) if r.animals.last() == Some(&row.animal) => {}
                Some((_, r)) => r.animals.push(row.animal),
                None => all.push((
                    job.place,
                    Round {
                        step: Arc::clone(&job.step),
                        animals: vec![row.animal],
                        product: None,
                        total: None,
                        not_weighed: 0,
                    },
                )),
            }
        }
    }
    all.sort_by_key(|(place, _)| *place);
    let mut all: Vec<Round> = all.into_iter().map(|(_, r)| r).collect();
    for round in &mut all {
        if let Some(product) = product_of(flock, &round.step) {
            round.product = Some(product.name.clone());
            let doses = round.animals.iter().map(|id| {
                let weight = flock.file(*id).and_then(|f| f.last_weight(day)).map(|(_, w)| w);
                product.rule.dose(weight)
            });
            (round.total, round.not_weighed) = total(product.rule, doses);
        }
    }
    all
}

/// The sum of some doses by volume, and how many are not known because a weight is missing.
pub fn total(rule: DoseRule, doses: impl Iterator<Item = Option<Dose>>) -> (Option<Dose>, usize) {
    let (mut ml, mut missing) = (0.0, 0);
    for dose in doses {
        match dose.and_then(Dose::ml) {
            Some(one) => ml += one,
            None => missing += 1,
        }
    }
    (Dose::from_ml(ml), if matches!(rule, DoseRule::PerKg(_)) { missing } else { 0 })
}

/// Whether a product of the cupboard can complete a step done by a treatment.
pub fn suits(step: &Step, product: &Product) -> bool {
    let DoneBy::Treatment(kind) = &step.done_by else { return false };
    let named = step.product.as_deref().is_some_and(|p| p.trim().eq_ignore_ascii_case(product.name.trim()));
    named
        || plan::is_of_kind(kind, std::iter::once(product.name.as_str()).chain(product.substance.as_deref()))
}

/// The product a step is done with: the one the keeper named, or the only one of its kind in the cupboard.
pub fn product_of<'a>(flock: &'a Flock, step: &Step) -> Option<&'a Product> {
    let DoneBy::Treatment(kind) = &step.done_by else { return None };
    if let Some(named) = step.product.as_deref().and_then(|p| flock.product(p)) {
        return Some(named);
    }
    if kind.is_empty() {
        return None;
    }
    let mut all = flock.products().iter().filter(|p| suits(step, p));
    match (all.next(), all.next()) {
        (Some(one), None) => Some(one),
        _ => None,
    }
}

impl Sheet {
    /// How many rows there are in all.
    pub fn len(&self) -> usize {
        self.pens.iter().map(|p| p.rows.len()).sum()
    }

    /// Nothing to do and nobody to lamb.
    pub fn is_empty(&self) -> bool {
        self.pens.is_empty()
    }

    /// The rows in order, through all pens.
    pub fn rows(&self) -> impl Iterator<Item = &Row> {
        self.pens.iter().flat_map(|p| &p.rows)
    }
}

impl PenSheet {
    /// `Top shed`, `Pen 7`, `In no pen`.
    pub fn name(&self) -> String {
        match self.pen.as_deref() {
            Some(pen) if pen.starts_with(|c: char| c.is_ascii_digit()) => phrase!("Pen {pen}", pen = &pen),
            Some(pen) => pen.to_string(),
            None => phrase!("In no pen"),
        }
    }

    /// `Top shed, 12 animals`.
    pub fn title(&self) -> String {
        phrase!("{}, {}", self.name(), counted(self.animals, "animal"))
    }
}

impl Round {
    /// `Clostridial, first: 6 lambs, 12 ml in all of Clostrivac (2 ml a head)`.
    pub fn words(&self, flock: &Flock) -> String {
        let mut said = format!("{}: {}", self.step.short_said(), self.count_words());
        if let Some(name) = &self.product {
            let rule = flock.product(name).map(|p| p.rule).filter(|r| *r != DoseRule::Typed);
            match (self.total, rule) {
                (Some(total), Some(rule)) => {
                    said.push_str(&phrase!(", {total} in all of {name} ({})", rule.words()));
                }
                _ => said.push_str(&format!(", {name}")),
            }
            if self.not_weighed > 0 {
                said.push_str(&phrase!(", {} not weighed", self.not_weighed));
            }
        }
        said
    }

    fn count_words(&self) -> String {
        let one = match self.step.whom {
            plan::Whom::Lamb => "lamb",
            plan::Whom::Ewe => "ewe",
            plan::Whom::Ram => "ram",
        };
        counted(self.animals.len(), one)
    }
}

/// An animal's kind and age on a day: `ewe lamb, 3 days`, `ewe, 4 years`.
pub fn kind_and_age(animal: &Animal, day: Day) -> String {
    let lamb = animal.is_lamb(day) && animal.sex != Sex::Wether;
    let kind = if lamb { animal.sex.lamb_words() } else { animal.sex.words() };
    let kind = said(kind);
    let Some(days) = animal.age_days(day) else { return kind.to_string() };
    let n = |n: i64| usize::try_from(n).unwrap_or_default();
    let age = match days {
        0 => phrase!("newborn"),
        1..14 => counted(n(days), "day"),
        14..112 => counted(n(days / 7), "week"),
        112..730 => counted(n(days * 100 / 3044), "month"),
        _ => counted(n(days * 100 / 36_525), "year"),
    };
    phrase!("{kind}, {age}")
}

#[cfg(test)]
mod tests;
