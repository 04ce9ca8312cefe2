//! What was typed back, as entries: ticks, weights, treatments and remarks, written as one act.

use super::super::{Ctx, fields};
use super::shown::{Job, Mark, Shown};
use super::{RoundTyped, State, Typed};
use crate::look::Kind;
use hirsel_core::entry::{
    self, Check, Checked, DoseDraft, JobRef, RemarkDraft, TickDraft, TreatmentDraft, WeighingDraft,
};
use hirsel_core::flock::{Outcome, Product};
use hirsel_core::phrase;
use hirsel_core::plan::{self, DoneBy, Step};
use hirsel_core::reckon::due;
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule, Moment, Weight, counted};
use std::sync::Arc;

/// A sentence beside a row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Note {
    pub animal: AnimalId,
    pub kind: Kind,
    pub text: String,
}

/// Why nothing can be written yet.
#[derive(Debug, Default)]
pub(super) struct Wrong {
    pub notes: Vec<Note>,
    /// Rounds that miss something: key of the step and the sentence.
    pub rounds: Vec<(String, String)>,
    /// The day the work was done is wrong.
    pub day: Option<String>,
}

impl Wrong {
    /// The first sentence.
    pub(super) fn first(&self) -> Option<&str> {
        let round = || self.rounds.first().map(|(_, t)| t.as_str());
        self.day.as_deref().or_else(round).or_else(|| self.notes.first().map(|n| n.text.as_str()))
    }
}

/// Entries ready to be written.
pub(super) struct Ready {
    pub what: String,
    pub all: Vec<Checked>,
    /// What looks unlikely, beside its row.
    pub asked: Vec<Note>,
}

/// What is collected on the way.
struct Work<'a> {
    ctx: &'a Ctx<'a>,
    on: Day,
    wrong: Wrong,
    all: Vec<Checked>,
    asked: Vec<Note>,
}

/// Everything typed that is on the sheet.
#[derive(Default)]
struct Sorted<'a> {
    weights: Vec<(AnimalId, Weight)>,
    /// By step, in the order in which they come up.
    ticks: Vec<(Arc<Step>, Vec<&'a Job>, Vec<AnimalId>)>,
    treated: Vec<(Arc<Step>, Vec<&'a Job>, Vec<AnimalId>)>,
    remarks: Vec<(AnimalId, &'a str)>,
    done: usize,
}

/// Checks everything that was typed.
///
/// # Errors
/// What is wrong, beside its row, its round or the day.
pub(super) fn entries(ctx: &Ctx<'_>, state: &State, shown: &Shown) -> Result<Ready, Wrong> {
    let on = match fields::day_or_today(ctx, &state.on) {
        Ok(day) => day,
        Err(e) => return Err(Wrong { day: Some(e), ..Wrong::default() }),
    };
    let mut work = Work { ctx, on, wrong: Wrong::default(), all: Vec::new(), asked: Vec::new() };
    let sorted = work.sort(state, shown);
    let treated: usize = sorted.treated.iter().map(|(_, _, animals)| animals.len()).sum();
    for (step, jobs, animals) in &sorted.treated {
        work.round(state, step, jobs, animals, &sorted.weights);
    }
    for (_, jobs, animals) in &sorted.ticks {
        work.ticks(jobs, animals);
    }
    let at = Moment::day(on);
    if !sorted.weights.is_empty() {
        let draft = |(animal, weight): &(AnimalId, Weight)| WeighingDraft {
            animal: *animal,
            at,
            weight: *weight,
            note: None,
        };
        let check = entry::weighings(sorted.weights.iter().map(draft).collect(), ctx.flock, ctx.today);
        let animals: Vec<AnimalId> = sorted.weights.iter().map(|(a, _)| *a).collect();
        work.take(check, &animals);
    }
    for (animal, text) in &sorted.remarks {
        let draft = RemarkDraft { animals: vec![*animal], on, text: (*text).to_string() };
        work.take(entry::remark(draft, ctx.flock, ctx.today), &[*animal]);
    }
    if work.wrong.first().is_some() {
        return Err(work.wrong);
    }
    let mut parts: Vec<String> = Vec::new();
    for (n, one) in [
        (sorted.done, "job"),
        (treated, "treatment"),
        (sorted.weights.len(), "weight"),
        (sorted.remarks.len(), "remark"),
    ] {
        if n > 0 {
            parts.push(counted(n, one));
        }
    }
    let what = phrase!("Barn sheet of {}: {}", on.short(), parts.join(", "));
    Ok(Ready { what, all: work.all, asked: work.asked })
}

impl Work<'_> {
    fn note(&mut self, animal: AnimalId, text: String) {
        self.wrong.notes.push(Note { animal, kind: Kind::Refuse, text });
    }

    fn sort<'a>(&mut self, state: &'a State, shown: &'a Shown) -> Sorted<'a> {
        let mut all = Sorted::default();
        for (_, row) in shown.rows() {
            let Some(typed) = state.typed.iter().find(|t| t.animal == row.animal) else { continue };
            let weight = match fields::weight_of(self.ctx, &typed.weight) {
                Ok(weight) => weight,
                Err(e) => {
                    self.note(row.animal, e);
                    continue;
                }
            };
            all.weights.extend(weight.map(|w| (row.animal, w)));
            if !typed.remark.trim().is_empty() {
                all.remarks.push((row.animal, typed.remark.trim()));
            }
            for job in row.jobs.iter().filter(|j| typed.ticks.contains(&j.mark)) {
                let Some(open) = &job.open else { continue };
                let to = match &job.step.done_by {
                    DoneBy::Weighing => {
                        if weight.is_none() {
                            let (tag, short) = (&row.tag, &job.step.short);
                            self.note(
                                row.animal,
                                phrase!("{tag}: '{short}' is ticked, but no weight is typed: type it, or take the tick away"),
                            );
                        }
                        if weight.is_none() || (open.earliest.day..=open.close).contains(&self.on) {
                            continue; // the weight completes it
                        }
                        &mut all.ticks
                    }
                    DoneBy::Treatment(_) => &mut all.treated,
                    _ => &mut all.ticks,
                };
                match to.iter_mut().find(|(s, ..)| s.key == job.step.key) {
                    Some((_, jobs, animals)) => {
                        jobs.push(job);
                        animals.push(row.animal);
                    }
                    None => to.push((Arc::clone(&job.step), vec![job], vec![row.animal])),
                }
            }
        }
        all.done = all.ticks.iter().map(|(_, jobs, _)| jobs.len()).sum();
        all
    }

    /// Takes in a check: its refusals and questions stand beside the animals its rows count.
    fn take(&mut self, check: Check, animals: &[AnimalId]) {
        let at = |row: usize| animals.get(row).or(animals.first()).copied();
        match check {
            Ok(checked) => {
                for q in checked.questions() {
                    if let Some(animal) = at(q.field.row) {
                        let text = q.to_string();
                        self.asked.push(Note { animal, kind: Kind::Caution, text });
                    }
                }
                self.all.push(checked);
            }
            Err(refusals) => {
                for r in refusals {
                    if self.on > self.ctx.today {
                        self.wrong.day = Some(r.to_string());
                    } else if let Some(animal) = at(r.field.row) {
                        self.note(animal, r.to_string());
                    }
                }
            }
        }
    }

    fn ticks(&mut self, jobs: &[&Job], animals: &[AnimalId]) {
        let refs: Vec<JobRef> = jobs.iter().filter_map(|j| j.open.as_ref()).map(JobRef::from).collect();
        let draft = TickDraft { jobs: refs, outcome: Outcome::Done, at: Moment::day(self.on), note: None };
        let check = entry::ticks(draft, self.ctx.flock, self.ctx.today);
        self.take(check, animals);
    }

    /// A round with one product: a treatment for each animal, and a tick where the treatment alone would not tell.
    fn round(
        &mut self,
        state: &State,
        step: &Arc<Step>,
        jobs: &[&Job],
        animals: &[AnimalId],
        weighed: &[(AnimalId, Weight)],
    ) {
        let typed = state.rounds.iter().find(|r| r.step == step.key);
        let product = match product(self.ctx, step, typed) {
            Ok(product) => product,
            Err(text) => return self.wrong.rounds.push((step.key.clone(), text)),
        };
        let each = match typed.map(|r| fields::dose_of(&r.dose)).transpose() {
            Ok(dose) => dose.flatten(),
            Err(e) => {
                return self.wrong.rounds.push((step.key.clone(), format!("{}: {e}", step.short)));
            }
        };
        let giver = fields::some(&self.ctx.flock.holding().given_by);
        let draft = |animal: &AnimalId| TreatmentDraft {
            animals: vec![*animal],
            at: Moment::day(self.on),
            product: product.name.clone(),
            batch: typed.and_then(|r| fields::some(&r.batch)),
            dose: match weighed.iter().find(|(a, _)| a == animal) {
                // Weighed on the same sheet: that weight counts, though the book has it only afterwards.
                Some((_, weight)) if matches!(product.rule, DoseRule::PerKg(_)) => {
                    DoseDraft::Typed(product.rule.dose(Some(*weight)))
                }
                _ if product.rule == DoseRule::Typed => DoseDraft::Typed(each),
                _ => DoseDraft::ByRule,
            },
            route: None,
            site: None,
            reason: Some(step.short.clone()),
            given_by: giver.clone(),
            prescribed_by: None,
            meat: None,
            milk: None,
            more: Default::default(),
        };
        let drafts = animals.iter().map(draft).collect();
        let check = entry::treatments(drafts, self.ctx.flock, self.ctx.today);
        self.take(check, animals);
        let tells = due::suits(step, product)
            || matches!(&step.done_by, DoneBy::Treatment(k) if plan::is_of_kind(k, [step.short.as_str()]));
        let open: Vec<(&Job, AnimalId)> = jobs
            .iter()
            .zip(animals)
            .filter(|(j, _)| {
                !tells || j.open.as_ref().is_some_and(|o| !(o.earliest.day..=o.close).contains(&self.on))
            })
            .map(|(j, a)| (*j, *a))
            .collect();
        if !open.is_empty() {
            let (jobs, animals): (Vec<&Job>, Vec<AnimalId>) = open.into_iter().unzip();
            self.ticks(&jobs, &animals);
        }
    }
}

/// The product of a round as chosen or typed.
///
/// # Errors
/// None is chosen, or the text fits none or several.
pub(super) fn product<'a>(
    ctx: &'a Ctx<'_>,
    step: &Step,
    typed: Option<&RoundTyped>,
) -> Result<&'a Product, String> {
    let short = &step.short;
    let text = typed.map(|r| r.product.text.trim()).unwrap_or_default();
    if text.is_empty() {
        return Err(phrase!("{short}: which product was given? Choose it in the line of this round"));
    }
    if let Some(product) = ctx.flock.product(text) {
        return Ok(product);
    }
    let low = text.to_lowercase();
    let mut fit = ctx.flock.products().iter().filter(|p| p.name.to_lowercase().contains(&low));
    match (fit.next(), fit.next()) {
        (Some(one), None) => Ok(one),
        (Some(_), Some(_)) => {
            Err(phrase!("{short}: several products fit '{text}': choose one from the list"))
        }
        (None, _) => {
            Err(phrase!("{short}: '{text}' is not in the cupboard: write it up under Treatments, Products"))
        }
    }
}

/// How much a round takes in all, in words.
pub(super) fn to_draw(ctx: &Ctx<'_>, product: &Product, animals: &[(AnimalId, String)], on: Day) -> String {
    let doses = animals.iter().map(|(id, typed)| -> Option<Dose> {
        let typed = fields::weight_of(ctx, typed).ok().flatten();
        let last = || ctx.flock.file(*id).and_then(|f| f.last_weight(on)).map(|(_, w)| w);
        product.rule.dose(typed.or_else(last))
    });
    let (total, missing) = due::total(product.rule, doses);
    let mut said = total.map(|t| phrase!("{t} in all, {}", product.rule.words())).unwrap_or_default();
    if missing > 0 {
        said.push_str(&phrase!("; {missing} not weighed"));
    }
    said
}

impl Typed {
    /// Nothing is typed in it.
    pub(super) fn is_empty(&self) -> bool {
        self.ticks.is_empty() && self.weight.trim().is_empty() && self.remark.trim().is_empty()
    }

    /// Ticks a job, or takes its tick away.
    pub(super) fn set(&mut self, mark: &Mark, on: bool) {
        if !on {
            self.ticks.retain(|m| m != mark);
        } else if !self.ticks.contains(mark) {
            self.ticks.push(mark.clone());
        }
    }
}
