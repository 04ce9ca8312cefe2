//! A record as lines of text, and back: what stands in it, and what an amendment makes of it.

use super::super::{Ctx, fields};
use hirsel_core::entry::Amended;
use hirsel_core::flock::{AnimalFile, MoveDetails, Outcome, Prescription, RecordRef, Struck};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::terms::{
    AnimalId, Day, Dose, Ease, Fate, MarkKind, Minute, Misread, Moment, PrescriptionId, Route, Scanned,
    Score, ScoreKind, Sex, Status, Weight, Withdrawal, Words,
};
use serde::{Deserialize, Serialize};

/// One field as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Line {
    pub label: String,
    pub kind: What,
    pub text: String,
}

/// How a field is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum What {
    Day,
    DayOrNone,
    Time,
    Text,
    Weight,
    Dose,
    Period,
    Ram,
    RamOrNone,
    Ease,
    Route,
    Standing,
    Fate,
    YesNo,
    Count,
    Script,
    Marked,
    Scanned,
    Age,
    Score(ScoreKind),
}

/// A record as lines.
pub(super) struct Found {
    pub title: &'static str,
    pub lines: Vec<Line>,
    /// What cannot be amended here.
    pub more: Vec<(String, String)>,
    /// Animals of the record: the lambs of a lambing, the ewe of a birth.
    pub animals: Vec<(String, AnimalId)>,
    pub struck: Option<Box<Struck>>,
    pub may_amend: bool,
    pub may_strike: bool,
}

/// What the registers ask of a move or a death, in the order of [`papers`], and whether it is of a death.
const PAPERS: [(&str, bool); 8] = [
    ("Holding number", false),
    ("Address", false),
    ("Carrier", false),
    ("Vehicle", false),
    ("Document number", false),
    ("Cause", true),
    ("Disposal", true),
    ("Receipt", true),
];

fn papers(d: &MoveDetails) -> [&Option<Words>; 8] {
    [&d.number, &d.address, &d.carrier, &d.vehicle, &d.document, &d.cause, &d.disposal, &d.receipt]
}

fn papers_mut(d: &mut MoveDetails) -> [&mut Option<Words>; 8] {
    [
        &mut d.number,
        &mut d.address,
        &mut d.carrier,
        &mut d.vehicle,
        &mut d.document,
        &mut d.cause,
        &mut d.disposal,
        &mut d.receipt,
    ]
}

/// Every record of an animal.
pub(super) fn all(file: &AnimalFile) -> Vec<RecordRef> {
    let mut all: Vec<RecordRef> = file.lambings.iter().map(|r| RecordRef::Lambing(r.id)).collect();
    all.extend(file.joinings.iter().map(|r| RecordRef::Joining(r.id)));
    all.extend(file.weighings.iter().map(|r| RecordRef::Weighing(r.id)));
    all.extend(file.treatments.iter().map(|r| RecordRef::Treatment(r.id)));
    all.extend(file.pen_moves.iter().map(|r| RecordRef::PenMove(r.id)));
    all.extend(file.movements.iter().map(|r| RecordRef::Movement(r.id)));
    all.extend(file.remarks.iter().map(|r| RecordRef::Remark(r.id)));
    all.extend(file.ticks.iter().map(|r| RecordRef::Tick(r.id)));
    all.extend(super::mating::all(file));
    all.push(RecordRef::Animal(file.animal.id));
    all
}

/// The record as it stands.
pub(super) fn lines(ctx: &Ctx<'_>, file: &AnimalFile, record: RecordRef) -> Option<Found> {
    let line = |label: &str, kind: What, text: String| Line { label: label.into(), kind, text };
    let day = |d: Day| line("Day", What::Day, d.to_string());
    let time = |m: Moment| line("Time", What::Time, m.time.map(|t| t.to_string()).unwrap_or_default());
    let mut f = Found {
        title: "Record",
        lines: Vec::new(),
        more: Vec::new(),
        animals: Vec::new(),
        struck: None,
        may_amend: true,
        may_strike: true,
    };
    match record {
        RecordRef::Lambing(id) => {
            let r = file.lambings.iter().find(|r| r.id == id)?;
            f.title = "Lambing";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Ram", What::RamOrNone, r.ram.map(|x| ctx.flock.tag(x).to_string()).unwrap_or_default()),
                line("Ease", What::Ease, r.ease.map(|e| e.words().to_string()).unwrap_or_default()),
                line("Help given", What::Text, opt(&r.help)),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.animals = r.lambs.iter().map(|x| (lamb(ctx, *x), *x)).collect();
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Joining(id) => {
            let r = file.joinings.iter().find(|r| r.id == id)?;
            f.title = "Joining";
            f.lines = vec![
                line("Ram", What::Ram, ctx.flock.tag(r.ram).to_string()),
                day(r.from),
                line("Until", What::DayOrNone, r.to.map(|d| d.to_string()).unwrap_or_default()),
                line("How", What::Text, opt(&r.method)),
                line("Group", What::Text, opt(&r.group)),
            ];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Weighing(id) => {
            let r = file.weighings.iter().find(|r| r.id == id)?;
            f.title = "Weighing";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Weight", What::Weight, r.weight.show(ctx.units())),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.more.extend(super::mating::session(ctx, r.session));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Treatment(id) => {
            let r = file.treatments.iter().find(|r| r.id == id)?;
            f.title = "Treatment";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Product", What::Text, r.product.to_string()),
                line("Batch", What::Text, opt(&r.batch)),
                line("Dose", What::Dose, r.dose.map(|d| d.to_string()).unwrap_or_default()),
                line("Route", What::Route, r.route.map(|x| x.words().to_string()).unwrap_or_default()),
                line("Site", What::Text, opt(&r.site)),
                line("Because of", What::Text, opt(&r.reason)),
                line("Given by", What::Text, opt(&r.given_by)),
                line("Prescribed by", What::Text, opt(&r.prescribed_by)),
                line("Meat withdrawal", What::Period, r.meat.to_string()),
                line("Milk withdrawal", What::Period, r.milk.to_string()),
            ];
            let export = ctx.flock.rules().is_some_and(|rules| rules.tracks_export());
            if export {
                f.lines.push(line("Export withdrawal", What::Period, r.more.export.to_string()));
            }
            let vet = if r.more.vet_gave { "yes" } else { "" };
            let script = r.more.prescription.and_then(|id| ctx.flock.cupboard().prescription(id));
            f.lines.extend([
                line("Given by a vet", What::YesNo, vet.into()),
                line("Prescription", What::Script, script.map(|p| script_words(ctx, p)).unwrap_or_default()),
                line("Off-label", What::Text, opt(&r.more.off_label)),
            ]);
            if let Some(c) = r.more.course {
                f.lines.push(line("Doses in all", What::Count, c.of.to_string()));
                f.more.push((
                    "Course".into(),
                    phrase!("dose {} of {}, every {} hours", c.nth, c.of, c.every_hours),
                ));
            }
            for (what, p) in [("Meat clear", r.meat), ("Milk clear", r.milk)] {
                f.more.push((what.into(), clear_after(r.at, p).words()));
            }
            if export {
                f.more.push(("Export clear".into(), clear_after(r.at, r.more.export).words()));
            }
            f.struck.clone_from(&r.struck);
        }
        RecordRef::PenMove(id) => {
            let r = file.pen_moves.iter().find(|r| r.id == id)?;
            f.title = "Pen";
            f.lines = vec![day(r.on), line("Pen", What::Text, opt(&r.pen))];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Movement(id) => {
            let r = file.movements.iter().find(|r| r.id == id)?;
            f.title = "Standing";
            f.lines = vec![
                day(r.on),
                line("It is", What::Standing, r.to.words().to_string()),
                line("To or from", What::Text, opt(&r.other)),
                line("Because of", What::Text, opt(&r.reason)),
            ];
            let d = &r.details;
            let of = PAPERS
                .iter()
                .zip(papers(d))
                .filter(|((_, for_deaths), text)| text.is_some() || (r.to == Status::Dead) == *for_deaths);
            f.lines.extend(of.map(|((label, _), text)| line(label, What::Text, opt(text))));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Remark(id) => {
            let r = file.remarks.iter().find(|r| r.id == id)?;
            f.title = "Note";
            f.lines = vec![day(r.on), line("Note", What::Text, r.text.clone())];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Tick(id) => {
            let r = file.ticks.iter().find(|r| r.id == id)?;
            let step = ctx.flock.plan().all().find(|s| s.key == r.step);
            f.title = "Job";
            f.may_amend = false;
            f.more.push(("Job".into(), step.map_or_else(|| r.step.to_string(), |s| s.job.clone())));
            f.more.push((r.outcome.did().into(), r.at.words()));
            if let Outcome::PutOff(until) = r.outcome {
                f.more.push(("Until".into(), until.long()));
            }
            f.more.extend(r.note.as_ref().map(|n| ("Note".into(), n.into())));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Animal(_) => {
            f.title = "Birth";
            f.may_strike = false;
            f.may_amend = file.birth.is_some();
            f.more.push(("Born".into(), file.animal.born.words()));
            if let Some(w) = file.animal.birth_weight {
                f.more.push(("Birth weight".into(), w.show(ctx.units())));
            }
            f.more.push(("To change these".into(), "press Facts above".into()));
            if let Some(b) = &file.birth {
                let yes = |x: Option<bool>| x.map_or("", |x| if x { "yes" } else { "no" }).to_string();
                f.lines = vec![
                    line("Fate", What::Fate, b.fate.words().into()),
                    line("Ease", What::Ease, b.ease.map(|e| e.words().to_string()).unwrap_or_default()),
                    line("Sucked", What::YesNo, yes(b.sucked)),
                    line("Navel dipped", What::YesNo, yes(b.navel_dipped)),
                    line("Colostrum", What::Dose, b.colostrum.map(|d| d.to_string()).unwrap_or_default()),
                ];
                f.animals.push((phrase!("of ewe {}", &ctx.flock.tag(b.ewe)), b.ewe));
            }
        }
        // What belongs to the cupboard is on its own page.
        other => return super::mating::lines(ctx, file, other, f),
    }
    Some(f)
}

/// What a text of this kind means, in words.
pub(super) fn understood(ctx: &Ctx<'_>, kind: What, text: &str) -> Result<String, String> {
    let words = |e: Misread| e.0;
    match kind {
        What::Day | What::DayOrNone => Day::parse_typed(text, ctx.today).map(Day::long).map_err(words),
        What::Time => Minute::parse(text).map(|m| m.to_string()).map_err(words),
        What::Text => Ok(String::new()),
        What::Weight => Weight::parse(text, ctx.units()).map(|w| w.show(ctx.units())).map_err(words),
        What::Dose => Dose::parse(text).map(|d| d.to_string()).map_err(words),
        What::Period => Withdrawal::parse(text).map(|w| w.to_string()).map_err(words),
        What::Ram | What::RamOrNone => {
            ram(ctx, text).map(|id| ctx.flock.animal(id).map(|a| a.title()).unwrap_or_default())
        }
        What::Ease => Ease::parse(text).map(|e| e.words().to_string()).map_err(words),
        What::Route => Route::parse(text).map(|r| r.words().to_string()).map_err(words),
        What::Standing => Status::parse(text).map(|s| s.words().to_string()).map_err(words),
        What::Fate => Fate::parse(text).map(|f| f.words().to_string()).map_err(words),
        What::YesNo => yes_no(text).map(|_| String::new()),
        What::Count => count(text).map(|n| n.to_string()),
        What::Marked => MarkKind::parse(text).map(|k| k.words().to_string()).map_err(words),
        What::Scanned => Scanned::parse(text).map(|s| s.words().to_string()).map_err(words),
        What::Score(kind) => Score::parse(kind, text).map(|_| kind.scale().to_string()).map_err(words),
        What::Age => super::mating::age(text).map(|d| phrase!("{d} days")),
        What::Script => {
            let found = script(ctx, text)?;
            let product = ctx.flock.cupboard().prescription(found).map(|p| p.product.clone());
            Ok(product.map(|p| phrase!("for {p}")).unwrap_or_default())
        }
    }
}

/// `0606 ewe, 4.2 kg, born dead`.
fn lamb(ctx: &Ctx<'_>, id: AnimalId) -> String {
    let Some(f) = ctx.flock.file(id) else { return "–".into() };
    let weight = f.animal.birth_weight.map(|w| format!(", {}", w.show(ctx.units()))).unwrap_or_default();
    let fate = f.birth.as_ref().map_or(Fate::Alive, |b| b.fate);
    let dead = if fate == Fate::Alive { String::new() } else { format!(", {}", fate.words()) };
    format!("{} {}{weight}{dead}", f.animal.tag(), f.animal.sex.words())
}

fn yes_no(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        other => Err(phrase!("'{other}' is neither yes nor no: write yes or no, or nothing if not seen")),
    }
}

fn count(text: &str) -> Result<u8, String> {
    text.trim().parse().map_err(|_| phrase!("'{}' is no whole number: write it like 3", text.trim()))
}

/// `P-12, Orla Brennan, 1 Mar 2026`.
fn script_words(ctx: &Ctx<'_>, p: &Prescription) -> String {
    let vet = ctx.flock.cupboard().vet(p.vet).map(|v| v.name.clone());
    let parts = p.number.clone().into_iter().chain(vet).chain([p.on.words()]);
    parts.collect::<Vec<_>>().join(", ")
}

/// The prescription of this number, or the one these words tell.
fn script(ctx: &Ctx<'_>, text: &str) -> Result<PrescriptionId, String> {
    let low = text.trim().to_lowercase();
    let is = |p: &&Prescription| {
        p.number.as_ref().is_some_and(|n| n.to_lowercase() == low)
            || script_words(ctx, p).to_lowercase() == low
    };
    let found = ctx.flock.cupboard().prescriptions.iter().rev().find(is);
    found.map(|p| p.id).ok_or_else(|| phrase!("no prescription has the number {}", &text.trim()))
}

pub(super) fn ram(ctx: &Ctx<'_>, text: &str) -> Result<AnimalId, String> {
    ctx.flock
        .by_tag(text)
        .filter(|id| ctx.flock.animal(*id).is_some_and(|a| a.sex != Sex::Ewe))
        .ok_or_else(|| phrase!("no ram wears the tag {}: type it whole", &text.trim()))
}

/// The record with what is typed, or which field is wrong.
pub(super) fn amended(
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    record: RecordRef,
    lines: &[Line],
) -> Result<Amended, (String, String)> {
    let gone = || ("Day".to_string(), phrase!("the record is not there any more"));
    let text = |label: &str| {
        lines.iter().find(|l| l.label == label).map(|l| l.text.trim().to_string()).unwrap_or_default()
    };
    let wrong = |label: &'static str| move |e: String| (label.to_string(), e);
    let opt = |label: &str| fields::some(&text(label));
    let day =
        |label: &'static str| Day::parse_typed(&text(label), ctx.today).map_err(|e| (label.to_string(), e.0));
    let moment = || -> Result<Moment, (String, String)> {
        Ok(Moment { day: day("Day")?, time: fields::time_of(&text("Time")).map_err(wrong("Time"))? })
    };
    let parsed = |label: &'static str, e: Misread| (label.to_string(), e.0);
    Ok(match record {
        RecordRef::Lambing(id) => {
            let mut r = file.lambings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.ram = opt("Ram").map(|t| ram(ctx, &t)).transpose().map_err(wrong("Ram"))?;
            r.ease = opt("Ease").map(|t| Ease::parse(&t)).transpose().map_err(|e| parsed("Ease", e))?;
            r.help = opt("Help given").map(Into::into);
            r.note = opt("Note").map(Into::into);
            Amended::Lambing(r)
        }
        RecordRef::Joining(id) => {
            let mut r = file.joinings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.ram = ram(ctx, &text("Ram")).map_err(wrong("Ram"))?;
            r.from = day("Day")?;
            r.to = opt("Until").map(|_| day("Until")).transpose()?;
            r.method = opt("How").map(Into::into);
            // A draft of an older window may not have this line.
            if lines.iter().any(|l| l.label == "Group") {
                r.group = opt("Group").map(Into::into);
            }
            Amended::Joining(r)
        }
        RecordRef::Weighing(id) => {
            let mut r = file.weighings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.weight = Weight::parse(&text("Weight"), ctx.units()).map_err(|e| parsed("Weight", e))?;
            r.note = opt("Note").map(Into::into);
            Amended::Weighing(r)
        }
        RecordRef::Treatment(id) => {
            let mut r = file.treatments.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.product = text("Product").into();
            r.batch = opt("Batch").map(Into::into);
            r.dose = fields::dose_of(&text("Dose")).map_err(wrong("Dose"))?;
            r.route = opt("Route").map(|t| Route::parse(&t)).transpose().map_err(|e| parsed("Route", e))?;
            r.site = opt("Site").map(Into::into);
            r.reason = opt("Because of").map(Into::into);
            r.given_by = opt("Given by").map(Into::into);
            r.prescribed_by = opt("Prescribed by").map(Into::into);
            r.meat = Withdrawal::parse(&text("Meat withdrawal")).map_err(|e| parsed("Meat withdrawal", e))?;
            r.milk = Withdrawal::parse(&text("Milk withdrawal")).map_err(|e| parsed("Milk withdrawal", e))?;
            // A draft of an older window may not have these lines: what stands there stays then.
            let has = |label: &str| lines.iter().any(|l| l.label == label);
            if has("Export withdrawal") {
                r.more.export = Withdrawal::parse(&text("Export withdrawal"))
                    .map_err(|e| parsed("Export withdrawal", e))?;
            }
            if has("Off-label") {
                r.more.off_label = opt("Off-label").map(Into::into);
                r.more.vet_gave = opt("Given by a vet")
                    .map(|t| yes_no(&t))
                    .transpose()
                    .map_err(wrong("Given by a vet"))?
                    .unwrap_or_default();
                r.more.prescription = opt("Prescription")
                    .map(|t| script(ctx, &t))
                    .transpose()
                    .map_err(wrong("Prescription"))?;
            }
            if let Some(c) = r.more.course.as_mut().filter(|_| has("Doses in all")) {
                c.of = count(&text("Doses in all")).map_err(wrong("Doses in all"))?;
            }
            Amended::Treatment(r)
        }
        RecordRef::PenMove(id) => {
            let mut r = file.pen_moves.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.pen = opt("Pen").map(Into::into);
            Amended::PenMove(r)
        }
        RecordRef::Movement(id) => {
            let mut r = file.movements.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.to = Status::parse(&text("It is")).map_err(|e| parsed("It is", e))?;
            r.other = opt("To or from").map(Into::into);
            r.reason = opt("Because of").map(Into::into);
            let mut d = MoveDetails::clone(&r.details);
            for ((label, _), field) in PAPERS.iter().zip(papers_mut(&mut d)) {
                if lines.iter().any(|l| l.label == *label) {
                    *field = opt(label).map(Into::into);
                }
            }
            r.details = d.tidy().into();
            Amended::Movement(r)
        }
        RecordRef::Remark(id) => {
            let mut r = file.remarks.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.text = text("Note");
            Amended::Remark(r)
        }
        RecordRef::Animal(id) => {
            let mut b = file.birth.clone().ok_or_else(gone)?;
            b.fate = Fate::parse(&text("Fate")).map_err(|e| parsed("Fate", e))?;
            b.ease = opt("Ease").map(|t| Ease::parse(&t)).transpose().map_err(|e| parsed("Ease", e))?;
            b.sucked = opt("Sucked").map(|t| yes_no(&t)).transpose().map_err(wrong("Sucked"))?;
            b.navel_dipped =
                opt("Navel dipped").map(|t| yes_no(&t)).transpose().map_err(wrong("Navel dipped"))?;
            b.colostrum = fields::dose_of(&text("Colostrum")).map_err(wrong("Colostrum"))?;
            Amended::Birth(id, b)
        }
        other => return super::mating::amended(ctx, file, other, lines),
    })
}

/// Words as they are shown; nothing for none.
fn opt(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}
