//! Medicated feed: who eats it, and the treatments that are written with a feeding.
//!
//! The rule: feeding a medicated feed writes a treatment for each animal that eats it, in the same entry. What such a
//! line says of the dose is not amended, and it is not struck out, while its treatments stand: [`strike_fed`] strikes
//! all of it at once and asks first, since the animals are clear earlier without it.

use super::{FedRefused, FedUnusual};
use crate::entry::treatment::{DoseDraft, TreatmentDraft, TreatmentExtra, treatments};
use crate::entry::{Check, Checked, Entry, Faults, Field, Refusal, Refused, strike};
use crate::flock::{FeedMove, Flock, Prescription, RecordRef, Treatment, WHOLE};
use crate::reckon::eaters::Heads;
use crate::terms::{
    AnimalId, Day, Dose, Eaters, FeedChange, FeedId, FeedMoveId, Mass, Moment, ProductId, Route, TreatmentId,
    counted, norm,
};

/// Lambs younger than this do not eat at a creep, days (reference: husbandry, the oldest lamb at 7 days).
const CREEP_FROM: i64 = 7;

/// Medicines in a feed: its own, and those of what it is mixed of; each with how much of it is in a kg, in the smallest
/// part of its unit.
fn medicines(flock: &Flock, feed: FeedId) -> Vec<(ProductId, Dose, f64)> {
    let (mut all, mut open, mut steps) = (Vec::new(), vec![(feed, 1.0)], 0);
    while let Some((id, share)) = open.pop() {
        steps += 1;
        let Some(f) = flock.feedroom().feed(id).filter(|_| steps < 1_000) else { continue };
        if let Some(m) = f.medicine {
            all.push((m.product, m.per_kg, share));
        }
        open.extend(f.parts.iter().map(|p| (p.feed, share * f64::from(p.share) / f64::from(WHOLE))));
    }
    all
}

/// There is medicine in a feed, by itself or by what it is mixed of.
pub fn is_medicated(flock: &Flock, feed: FeedId) -> bool {
    !medicines(flock, feed).is_empty()
}

/// The whole of a medicine in an amount of feed; none where that is nothing or beyond what a dose can be.
fn in_all(per_kg: Dose, share: f64, amount: Mass) -> Option<Dose> {
    let of = |each: f64| (each * share * amount.kg()).round();
    let small = |n: f64| (1.0..=f64::from(u32::MAX)).contains(&n).then_some(n as u32);
    match per_kg {
        Dose::Volume(ul) => small(of(f64::from(ul))).map(Dose::Volume),
        Dose::Mass(ug) => {
            Some(of(ug as f64)).filter(|n| (1.0..9e15).contains(n)).map(|n| Dose::Mass(n as u64))
        }
        Dose::Pieces(p) => small(of(f64::from(p))).map(Dose::Pieces),
    }
}

/// Who eats what is fed in a pen on a day, by tag: where a creep is open its lambs and those weaned that stand there, else
/// every animal of the pen; and the others that stood there. A bottle lamb of a week and more goes to the creep too.
fn eat(flock: &Flock, pen: &str, on: Day) -> (Vec<AnimalId>, Vec<AnimalId>) {
    let name = norm(pen);
    let heads = Heads::on(flock, on);
    let creep = flock.feedroom().creep_in(pen, on).is_some();
    let old_enough = |id: AnimalId| {
        let age = flock.animal(id).and_then(|a| a.age_days(on));
        age.is_some_and(|age| age >= CREEP_FROM)
    };
    let (mut eat, mut others): (Vec<AnimalId>, Vec<AnimalId>) = (Vec::new(), Vec::new());
    for (group, animals) in heads.pens.iter().filter(|p| norm(&p.pen) == name).flat_map(|p| &p.groups) {
        for id in animals {
            let at_it = match group {
                _ if !creep => true,
                Eaters::CreepLambs | Eaters::WeanedLambs => true,
                Eaters::MilkLambs => old_enough(*id),
                _ => false,
            };
            if at_it { &mut eat } else { &mut others }.push(*id);
        }
    }
    for list in [&mut eat, &mut others] {
        list.sort_by(|a, b| crate::flock::natural(flock.tag(*a), flock.tag(*b)).then(a.cmp(b)));
    }
    (eat, others)
}

/// The words by which a treatment is known as one of a feeding in a pen.
fn reason_of(pen: &str) -> String {
    format!("in feed, {pen}")
}

/// The newest prescription that stands and covers a product on a day.
fn script<'a>(flock: &'a Flock, product: &str, on: Day) -> Option<&'a Prescription> {
    let covers = |s: &&Prescription| {
        s.struck.is_none()
            && s.product.trim().eq_ignore_ascii_case(product)
            && s.on <= on
            && s.valid_to.is_none_or(|to| on <= to)
    };
    flock.cupboard().prescriptions.iter().filter(covers).max_by_key(|s| (s.on, s.id))
}

/// Treatments for all that eat the medicated feeds among these, each move with the row of its form. What the checks of a
/// treatment refuse, question and say comes through, at the row of the move.
pub(super) fn doses(
    faults: &mut Faults,
    moves: &[(usize, FeedMove)],
    flock: &Flock,
    today: Day,
) -> Vec<Treatment> {
    let (mut drafts, mut rows): (Vec<TreatmentDraft>, Vec<usize>) = (Vec::new(), Vec::new());
    for (row, m) in moves.iter().filter(|(_, m)| m.change == FeedChange::Fed) {
        let inside = medicines(flock, m.feed);
        let Some(pen) = m.pen.as_deref().filter(|_| !inside.is_empty()) else { continue };
        let name = flock.feedroom().name(m.feed).to_string();
        let (animals, others) = eat(flock, pen, m.on);
        if animals.is_empty() {
            let why = FedRefused::NobodyEats { feed: name, pen: pen.into(), on: m.on };
            faults.refuse(Field::row("pen", *row), why.into());
            continue;
        }
        say_who(faults, *row, flock, pen, (&animals, &others), m);
        for (product, per_kg, share) in inside {
            let Some(p) = flock.products().iter().find(|p| p.id == product) else { continue };
            let script = script(flock, &p.name, m.on);
            let reason = match script.and_then(|s| s.reason.as_deref()) {
                Some(why) => format!("{why}; {}", reason_of(pen)),
                None => reason_of(pen),
            };
            drafts.push(TreatmentDraft {
                animals: animals.clone(),
                at: Moment { day: m.on, time: m.time },
                product: p.name.clone(),
                batch: m.batch.clone(),
                dose: DoseDraft::Typed(None),
                route: Some(Route::Feed),
                site: None,
                reason: Some(reason),
                given_by: Some(flock.holding().given_by.clone()),
                prescribed_by: None,
                meat: None,
                milk: None,
                more: TreatmentExtra {
                    prescription: script.map(|s| s.id),
                    shared: m.amount.and_then(|a| in_all(per_kg, share, a)),
                    ..TreatmentExtra::default()
                },
            });
            rows.push(*row);
        }
    }
    if drafts.is_empty() {
        return Vec::new();
    }
    let at = |field: Field| {
        let name = match field.name {
            "batch" => "batch",
            "on" => "on",
            "tag" => "pen",
            "shared" | "dose_ml" => "amount",
            _ => "feed",
        };
        Field::row(name, rows.get(field.row).copied().unwrap_or(0))
    };
    match treatments(drafts, flock, today) {
        Ok(checked) => {
            for q in checked.questions() {
                faults.question(at(q.field), q.what.clone());
            }
            for c in checked.cautions() {
                match &c.blank {
                    Some(what) => faults.blank(at(c.field), what.clone(), c.words.clone()),
                    None => faults.caution(at(c.field), c.words.clone()),
                }
            }
            match checked.entry() {
                Entry::Treatments(all) => all.clone(),
                _ => Vec::new(),
            }
        }
        Err(refusals) => {
            for r in refusals {
                faults.refuse(at(r.field), r.why);
            }
            Vec::new()
        }
    }
}

/// Says for whom treatments are written, who stood there and is not among them, and how long the withdrawal runs.
fn say_who(
    faults: &mut Faults,
    row: usize,
    flock: &Flock,
    pen: &str,
    (animals, others): (&[AnimalId], &[AnimalId]),
    m: &FeedMove,
) {
    let name = flock.feedroom().name(m.feed);
    let mut words = format!(
        "{name} is medicated: a treatment is written for {} of {pen}",
        counted(animals.len(), "animal")
    );
    if !others.is_empty() {
        words.push_str(&format!(
            "; none for {} that the creep keeps out or that eat nothing yet: move or treat any that ate of it",
            crate::entry::standing::names(flock, others)
        ));
    }
    faults.caution(Field::row("pen", row), words);
    let last = "withdrawal counts from the last day it is eaten: while some is left in the trough, write each day how full it is as a line of its own";
    faults.caution(Field::row("feed", row), last);
}

/// Questions a feeding of the past, as a table has it, of which no treatment is in the book.
pub(super) fn past(faults: &mut Faults, row: usize, m: &FeedMove, flock: &Flock) {
    if m.change != FeedChange::Fed {
        return;
    }
    for (product, ..) in medicines(flock, m.feed) {
        let Some(p) = flock.products().iter().find(|p| p.id == product) else { continue };
        let of = |t: &Treatment| {
            t.route == Some(Route::Feed) && t.at.day == m.on && t.product.eq_ignore_ascii_case(&p.name)
        };
        if !flock.files().any(|f| f.treatments_standing().any(of)) {
            let feed = flock.feedroom().name(m.feed).to_string();
            let what = FedUnusual::NotDosed { feed, product: p.name.clone(), on: m.on };
            faults.question(Field::row("feed", row), what.into());
        }
    }
}

/// The treatments that stand and were written with a feeding.
pub fn doses_of(flock: &Flock, m: &FeedMove) -> Vec<(AnimalId, TreatmentId)> {
    let Some(pen) = m.pen.as_deref().filter(|_| m.change == FeedChange::Fed) else { return Vec::new() };
    let (at, reason) = (Moment { day: m.on, time: m.time }, reason_of(pen));
    let inside: Vec<String> = medicines(flock, m.feed)
        .into_iter()
        .filter_map(|(id, ..)| flock.products().iter().find(|p| p.id == id).map(|p| norm(&p.name)))
        .collect();
    let of = |t: &&Treatment| {
        t.route == Some(Route::Feed)
            && t.at == at
            && t.batch.as_deref() == m.batch.as_deref()
            && t.reason.as_deref().is_some_and(|r| r.ends_with(&reason))
            && (inside.is_empty() || inside.contains(&norm(&t.product)))
    };
    let mut all: Vec<(AnimalId, TreatmentId)> =
        flock.files().flat_map(|f| f.treatments_standing()).filter(of).map(|t| (t.animal, t.id)).collect();
    all.sort_unstable();
    all
}

/// Refuses to amend what a feeding says of the doses it was written with.
pub(super) fn amended(faults: &mut Faults, new: &FeedMove, flock: &Flock) {
    let Some(old) = flock.feedroom().moves.iter().find(|o| o.id == new.id) else { return };
    let feed = || flock.feedroom().name(new.feed).to_string();
    let told = |m: &FeedMove| (m.on, m.time, m.change, m.amount, m.pen.clone(), m.batch.clone());
    if told(old) == told(new) {
        return;
    }
    let doses = doses_of(flock, old).len();
    if doses > 0 {
        let why = FedRefused::HasDoses { feed: feed(), doses: counted(doses, "treatment") };
        faults.refuse(Field::of("on"), why.into());
    } else if old.change != FeedChange::Fed && new.change == FeedChange::Fed && is_medicated(flock, new.feed)
    {
        faults.refuse(Field::of("change"), FedRefused::FeedAnew(feed()).into());
    }
}

/// Refuses to strike out a feeding alone while its treatments stand.
pub(in crate::entry) fn struck_alone(faults: &mut Faults, id: FeedMoveId, flock: &Flock) {
    let Some(m) = flock.feedroom().moves.iter().find(|m| m.id == id && m.struck.is_none()) else { return };
    let doses = doses_of(flock, m).len();
    if doses > 0 {
        let feed = flock.feedroom().name(m.feed).to_string();
        let why = FedRefused::HasDoses { feed, doses: counted(doses, "treatment") };
        faults.refuse(Field::of("on"), why.into());
    }
}

/// Checks that a feeding is struck out with all treatments that were written with it: one entry each, to be written
/// together. Asks first, since the animals are clear earlier without it. A feeding without treatments is one entry.
///
/// # Errors
/// No reason, the line is gone or struck already.
pub fn strike_fed(
    id: FeedMoveId,
    reason: &str,
    flock: &Flock,
    today: Day,
) -> Result<Vec<Checked>, Vec<Refusal>> {
    let mut faults = Faults::default();
    if reason.trim().is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    let found = flock.feedroom().moves.iter().find(|m| m.id == id);
    match found {
        None => faults.refuse(Field::of("on"), Refused::Gone),
        Some(m) if m.struck.is_some() => faults.refuse(Field::of("on"), Refused::AlreadyStruck),
        Some(_) => {}
    }
    let doses = found.map(|m| doses_of(flock, m)).unwrap_or_default();
    if let Some(m) = found.filter(|_| !doses.is_empty()) {
        let mut animals: Vec<AnimalId> = doses.iter().map(|d| d.0).collect();
        animals.dedup();
        let feed = flock.feedroom().name(m.feed).to_string();
        let what = FedUnusual::ClearEarlier { animals: counted(animals.len(), "animal"), feed, on: m.on };
        faults.question(Field::of("on"), what.into());
    }
    let record = RecordRef::FeedMove(id);
    let words = crate::reckon::trail::kept_words(flock, record).unwrap_or_else(|| "a line of feed".into());
    let sentence = match doses.len() {
        0 => format!("Struck out {words}"),
        n => format!("Struck out {words}, with {}", counted(n, "treatment")),
    };
    let entry = Entry::Strike { record, on: today, reason: reason.trim().into() };
    let first: Check = faults.or(|| (entry, sentence));
    let mut all = vec![first?.because(reason.trim())];
    for (animal, t) in doses {
        all.push(strike(animal, RecordRef::Treatment(t), reason, flock, today)?);
    }
    Ok(all)
}
