//! The form that does a job for a round: done, put off or left out, for all or all but some, as one act.

use super::super::{Ctx, Intent, Then, fields};
use super::rounds::Round;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, Checked, DoseDraft, JobRef, RemarkDraft, TickDraft, TreatmentDraft};
use hirsel_core::flock::{Outcome, Product};
use hirsel_core::phrase;
use hirsel_core::plan::{DoneBy, Plan, Step};
use hirsel_core::reckon::due::{self, Job};
use hirsel_core::reckon::stock;
use hirsel_core::terms::{AnimalId, Day, DoseRule, Moment, Why, counted, norm};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    what: Option<u8>,
    on: String,
    until: String,
    but: String,
    note: String,
    product: PickerState<u64>,
    batch: String,
    dose: String,
    word: String,
    /// The rounds it is for.
    #[serde(skip)]
    pub rounds: Vec<u64>,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    wrong: Vec<(&'static str, String)>,
    #[serde(skip)]
    asked: Vec<(String, Why)>,
}

const WHAT: [(u8, &str); 3] = [(0, "done"), (1, "put off"), (2, "left out")];

impl Typed {
    /// Opens the form for these rounds.
    pub(super) fn open(&mut self, ctx: &Ctx<'_>, rounds: &[&Round]) {
        let batch = std::mem::take(&mut self.batch);
        let product = std::mem::take(&mut self.product);
        *self = Self { rounds: rounds.iter().map(|r| r.key).collect(), what: Some(0), ..Self::default() };
        if let Some(step) = one_step(rounds)
            && matches!(step.done_by, DoneBy::Treatment(_))
        {
            // The bottle that was in hand for the pen before is most likely in hand for this one.
            let suits = |p: &&Product| due::suits(&step, p);
            let last = ctx.flock.product(&product.text).filter(suits).is_some();
            if last {
                (self.product, self.batch) = (product, batch);
            } else if let Some(p) = due::product_of(ctx.flock, &step) {
                self.product.choose(found(0, p));
                // First expiry first, as far as the shelf is known.
                let first = stock::first_to_use(ctx.flock, p.id, ctx.today).map(|(number, _)| number);
                self.batch = first.or_else(|| last_batch(ctx, p)).unwrap_or_default();
            }
        }
        self.focus = Some("All but");
    }

    fn wrong_of(&self, field: &str) -> Option<String> {
        self.wrong.iter().find(|(f, _)| *f == field).map(|(_, w)| w.clone())
    }
}

/// The step of all these rounds, if it is one.
fn one_step(rounds: &[&Round]) -> Option<Arc<Step>> {
    let first = rounds.first()?;
    rounds.iter().all(|r| r.step.key == first.step.key).then(|| Arc::clone(&first.step))
}

/// The batch of the product given last.
fn last_batch(ctx: &Ctx<'_>, p: &Product) -> Option<String> {
    let all = ctx.flock.present().flat_map(|f| f.treatments_standing()).filter(|t| t.product == p.name);
    all.filter(|t| t.batch.is_some()).max_by_key(|t| t.at).and_then(|t| t.batch.clone()).map(Into::into)
}

fn found(key: u64, p: &Product) -> Found<u64> {
    Found {
        key,
        label: p.name.clone(),
        detail: phrase!("{}; meat {}, milk {}", p.rule.words(), p.meat, p.milk),
    }
}

/// Draws the form; tells whether it is to be closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    rounds: &[&Round],
    out: &mut Vec<Intent>,
) -> bool {
    let jobs: Vec<&Job> = rounds.iter().flat_map(|r| &r.jobs).collect();
    let title = match rounds {
        [one] => one.words(),
        many => phrase!("{} rounds, {}", many.len(), counted(jobs.len(), "job")),
    };
    let mut close = false;
    look::card(ui, |ui| {
        ui.horizontal(|ui| {
            look::subheading(ui, title);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                close |= look::icon_button(ui, look::Icon::Cross, "Close").clicked();
            });
        });
        let mut told: Vec<&str> = Vec::new();
        for r in rounds {
            if !told.contains(&r.step.job.as_str()) {
                told.push(&r.step.job);
                look::faint(ui, r.step.job_said().into_owned());
            }
        }
        if let Some(step) = one_step(rounds)
            && let Some(text) = step.caution_said()
        {
            caution::sentence(ui, Kind::Caution, Plan::reason(&step).as_slice(), text.into_owned());
        }
        ui.scope(|ui| whom(ui, ctx, &jobs));
        ui.add_space(space::XS);
        let mut form = Form::new(ui, "do it").label_width(84.0);
        if let Some(field) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, field);
            if !wish {
                t.focus = None;
            }
        }
        form.choice(ui, &Choice::new("They are", &WHAT), &mut t.what);
        let wrong = t.wrong_of("All but");
        let but =
            Field::new("All but").width(300.0).example("0417, 0391: scouring").refusal(wrong.as_deref());
        form.field(ui, &but, &mut t.but);
        let wrong = t.wrong_of("Day");
        form.day(ui, ctx, "Day", &mut t.on, wrong.as_deref());
        match t.what {
            Some(1) => {
                let wrong = t.wrong_of("Until");
                let understood = |text: &str| until(text, ctx.today).map(Day::long);
                let field = Field::new("Until").width(140.0).example("+3, or a day").understand(&understood);
                form.field(ui, &field.refusal(wrong.as_deref()), &mut t.until);
            }
            Some(0) => treatment(ui, ctx, &mut form, t, rounds, &jobs),
            _ => {}
        }
        let wrong = t.wrong_of("Why");
        let example = if t.what == Some(0) { "what was seen, if anything" } else { "why, in a word or two" };
        form.field(
            ui,
            &Field::new("Why").width(300.0).example(example).refusal(wrong.as_deref()),
            &mut t.note,
        );
        if !t.asked.is_empty() {
            for (q, why) in &t.asked {
                caution::sentence(ui, Kind::Caution, &[*why], q);
            }
            form.field(ui, &Field::new("Right because").width(300.0).example("seen twice"), &mut t.word);
        }
        let mut go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            ui.add_space(92.0);
            go |= look::primary(ui, "Write it").clicked();
            if ui.button(phrase!("Leave it")).clicked() {
                close = true;
            }
        });
        if go {
            write(ctx, t, rounds, out);
        }
    });
    close
}

/// The animals with why, as much of them as there is room for.
fn whom(ui: &mut egui::Ui, ctx: &Ctx<'_>, jobs: &[&Job]) {
    ui.spacing_mut().interact_size.y = ui.text_style_height(&egui::TextStyle::Body);
    ui.spacing_mut().item_spacing.y = space::XS;
    let line = ui.spacing().interact_size.y;
    let each = line + ui.spacing().item_spacing.y;
    let high = each * jobs.len().min(5) as f32;
    egui::ScrollArea::vertical().id_salt("whom").max_height(high).auto_shrink([false, true]).show_rows(
        ui,
        line,
        jobs.len(),
        |ui, seen| {
            for job in jobs.get(seen).unwrap_or_default() {
                ui.horizontal(|ui| {
                    look::strong(ui, ctx.flock.tag(job.animal).to_string());
                    look::faint(
                        ui,
                        phrase!("{} · {} · {}", job.why(ctx.today), job.when(), job.state.words()),
                    );
                });
            }
        },
    );
}

/// Product, batch and dose of a round of treatments.
fn treatment(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    t: &mut Typed,
    rounds: &[&Round],
    jobs: &[&Job],
) {
    let Some(step) = one_step(rounds).filter(|s| matches!(s.done_by, DoneBy::Treatment(_))) else { return };
    let wrong = t.wrong_of("Product");
    let picker = Picker::new("Product", ctx.flock.version()).width(300.0).example("name on the label");
    form.picker(ui, &picker.refusal(wrong.as_deref()), &mut t.product, |text| find(ctx, &step, text));
    let wrong = t.wrong_of("Batch");
    let field = Field::new("Batch").width(140.0).example("on the bottle").refusal(wrong.as_deref());
    form.field(ui, &field, &mut t.batch);
    let product = ctx.flock.product(t.product.text.trim());
    match product {
        Some(p) if p.rule == DoseRule::Typed => {
            let wrong = t.wrong_of("Dose each");
            form.dose(ui, "Dose each", &mut t.dose, wrong.as_deref());
        }
        Some(p) => {
            let weight =
                |id: AnimalId| ctx.flock.file(id).and_then(|f| f.last_weight(ctx.today)).map(|(_, w)| w);
            let (total, missing) = due::total(p.rule, jobs.iter().map(|j| p.rule.dose(weight(j.animal))));
            let mut said =
                total.map(|d| phrase!("{d} in all, {}", p.rule.words())).unwrap_or_else(|| p.rule.words());
            if missing > 0 {
                said.push_str(&phrase!("; {} without a weight: give each its own under Treatments", missing));
            }
            ui.horizontal(|ui| {
                ui.add_space(92.0);
                look::faint(ui, phrase!("{said}. The label and your vet decide."));
            });
        }
        None => {}
    }
}

fn find(ctx: &Ctx<'_>, step: &Step, text: &str) -> Vec<Found<u64>> {
    let low = text.trim().to_lowercase();
    let of_kind = ctx.flock.products().iter().any(|p| due::suits(step, p));
    let fits = |p: &Product| {
        p.name.to_lowercase().contains(&low)
            || p.substance.as_deref().is_some_and(|s| s.to_lowercase().contains(&low))
    };
    (0u64..)
        .zip(ctx.flock.products())
        .filter(|(_, p)| (!of_kind || due::suits(step, p)) && fits(p))
        .map(|(key, p)| found(key, p))
        .collect()
}

/// `+3`, three days on, or a day.
fn until(text: &str, today: Day) -> Result<Day, String> {
    if let Some(n) = text.trim().strip_prefix('+').and_then(|n| n.trim().parse::<i64>().ok()) {
        return Ok(today.plus(n.clamp(0, 400)));
    }
    let day = Day::parse_typed(text, today).map_err(|e| e.0)?;
    // '3 apr' is the last such day; a job is put off to the next.
    let next = Day::new(day.year() + 1, day.month(), day.day());
    Ok(if day < today && text.trim().len() < 9 { next.unwrap_or(day) } else { day })
}

/// Tags after 'all but', and why.
pub(super) fn left_over(
    ctx: &Ctx<'_>,
    text: &str,
    animals: &[AnimalId],
) -> Result<(Vec<AnimalId>, Option<String>), String> {
    let (tags, why) = text.split_once(':').unwrap_or((text, ""));
    let mut all = Vec::new();
    for tag in tags.split([',', ';', ' ']).map(str::trim).filter(|t| !t.is_empty() && *t != "and") {
        let tag_norm = norm(tag);
        let fits = |id: AnimalId| {
            let own = norm(ctx.flock.tag(id));
            own == tag_norm || own.ends_with(&tag_norm)
        };
        let exact = animals.iter().copied().find(|id| norm(ctx.flock.tag(*id)) == tag_norm);
        let mut found: Vec<AnimalId> = match exact {
            Some(id) => vec![id],
            None => animals.iter().copied().filter(|id| fits(*id)).collect(),
        };
        found.dedup();
        match found.as_slice() {
            [one] => all.push(*one),
            [] => {
                return Err(phrase!(
                    "{tag} is not in this round: write the tags of those left over",
                    tag = &tag
                ));
            }
            _ => return Err(phrase!("several of the round end in {tag}: write the whole tag", tag = &tag)),
        }
    }
    Ok((all, fields::some(why)))
}

fn write(ctx: &Ctx<'_>, t: &mut Typed, rounds: &[&Round], out: &mut Vec<Intent>) {
    t.wrong.clear();
    let asked_before = !t.asked.is_empty();
    t.asked.clear();
    match entries(ctx, t, rounds) {
        Err((field, why)) => {
            out.push(Intent::Say(Kind::Refuse, why.clone()));
            t.focus = Some(field);
            t.wrong.push((field, why));
        }
        Ok((what, all)) => {
            let said = all.iter().flat_map(|c| c.questions());
            t.asked = said.map(|q| (q.to_string(), q.what.why())).collect();
            t.asked.dedup();
            if !t.asked.is_empty() && (!asked_before || t.word.trim().is_empty()) {
                t.focus = Some("Right because");
                out.push(Intent::Say(Kind::Caution, phrase!("This looks unlikely: say why it is right")));
                return;
            }
            out.push(Intent::WriteAll { what, all, word: t.word.clone(), then: Then::JobsDone });
        }
    }
}

type Wrong = (&'static str, String);

/// The entries of the form and the sentence of their line.
fn entries(ctx: &Ctx<'_>, t: &Typed, rounds: &[&Round]) -> Result<(String, Vec<Checked>), Wrong> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let jobs: Vec<&Job> = rounds.iter().flat_map(|r| &r.jobs).collect();
    let animals: Vec<AnimalId> = jobs.iter().map(|j| j.animal).collect();
    let (over, why_over) = left_over(ctx, &t.but, &animals).map_err(|e| ("All but", e))?;
    let kept: Vec<&Job> = jobs.iter().copied().filter(|j| !over.contains(&j.animal)).collect();
    if kept.is_empty() {
        return Err(("All but", phrase!("nobody is left: take some of these out")));
    }
    let outcome = match t.what {
        Some(1) => Outcome::PutOff(until(&t.until, ctx.today).map_err(|e| ("Until", e))?),
        Some(2) => Outcome::Skipped,
        _ => Outcome::Done,
    };
    let first = |r: Vec<entry::Refusal>| {
        let field = match (r.first().map(|r| r.field.name), outcome) {
            (Some("note"), _) => "Why",
            (Some("until"), _) => "Until",
            (Some("product"), _) => "Product",
            (Some("batch"), _) => "Batch",
            (Some("on"), _) => "Day",
            _ => "All but",
        };
        (field, r.first().map(ToString::to_string).unwrap_or_default())
    };
    let mut all = Vec::new();
    let treat =
        one_step(rounds).filter(|s| outcome == Outcome::Done && matches!(s.done_by, DoneBy::Treatment(_)));
    if let Some(step) = &treat {
        let check = entry::treatments(treatments(ctx, t, step, &kept, on)?, ctx.flock, ctx.today);
        all.push(check.map_err(first)?);
    } else {
        if outcome == Outcome::Done
            && let Some(r) = rounds.iter().find(|r| matches!(r.step.done_by, DoneBy::Treatment(_)))
        {
            let why =
                phrase!("'{}' is a treatment: do its rounds on their own, with the product", r.step.short);
            return Err(("All but", why));
        }
        let draft = TickDraft {
            jobs: kept.iter().map(|j| JobRef::from(*j)).collect(),
            outcome,
            at: Moment::day(on),
            note: fields::some(&t.note),
        };
        all.push(entry::ticks(draft, ctx.flock, ctx.today).map_err(first)?);
    }
    if let Some(why) = why_over.filter(|_| !over.is_empty()) {
        let short = rounds.first().map(|r| r.step.short.clone()).unwrap_or_default();
        let draft = RemarkDraft { animals: over.clone(), on, text: phrase!("{short} not done: {why}") };
        all.push(entry::remark(draft, ctx.flock, ctx.today).map_err(first)?);
    }
    let did = match outcome {
        Outcome::Done => "done",
        Outcome::Skipped => "left out",
        Outcome::PutOff(_) => "put off",
    };
    let mut names: Vec<&str> = rounds.iter().map(|r| r.step.short.as_str()).collect();
    names.dedup();
    let but: Vec<&str> = over.iter().map(|id| ctx.flock.tag(*id)).collect();
    let but = if but.is_empty() { String::new() } else { phrase!(", all but {}", but.join(", ")) };
    let what = format!("{} {did}: {}{but}", names.join(", "), counted(kept.len(), "animal"));
    Ok((what, all))
}

/// One treatment of all of them.
fn treatments(
    ctx: &Ctx<'_>,
    t: &Typed,
    step: &Step,
    kept: &[&Job],
    on: Day,
) -> Result<Vec<TreatmentDraft>, Wrong> {
    let text = t.product.text.trim();
    let product = ctx.flock.product(text).ok_or_else(|| {
        let why = if text.is_empty() {
            phrase!("which product was given? Choose it from the cupboard")
        } else {
            phrase!("'{text}' is not in the cupboard: write it up under Treatments, Products")
        };
        ("Product", why)
    })?;
    let typed = fields::dose_of(&t.dose).map_err(|e| ("Dose each", e))?;
    let mut animals: Vec<AnimalId> = kept.iter().map(|j| j.animal).collect();
    animals.dedup();
    Ok(vec![TreatmentDraft {
        animals,
        at: Moment::day(on),
        product: product.name.clone(),
        batch: fields::some(&t.batch),
        dose: if product.rule == DoseRule::Typed { DoseDraft::Typed(typed) } else { DoseDraft::ByRule },
        route: None,
        site: None,
        reason: Some(step.short.clone()),
        given_by: fields::some(&ctx.flock.holding().given_by),
        prescribed_by: None,
        meat: None,
        milk: None,
        more: Default::default(),
    }])
}
