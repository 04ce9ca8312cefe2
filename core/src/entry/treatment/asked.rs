//! What the rule set asks to be written of a treatment and is not: cautions with their source, nothing more.

use crate::entry::{Faults, Field};
use crate::flock::{Flock, Product, Treatment};
use crate::handbook::Ground;
use crate::phrase;
use crate::rules::{TreatmentField, TreatmentFields};
use crate::terms::{Sex, Withdrawal, Words};

/// Says each blank once.
pub(super) fn look(faults: &mut Faults, row: usize, t: &Treatment, product: Option<&Product>, flock: &Flock) {
    if product.is_some_and(|p| p.more.prescription_only) && t.more.prescription.is_none() {
        let words = phrase!("{} is on prescription only: choose the prescription it was given by", t.product);
        faults.blank(Field::row("prescription", row), "prescription", words);
    }
    let Some((set, fields)) = flock.rules().and_then(|s| Some((s, s.fields()?))) else { return };
    let prescribed = t.prescribed_by.is_some() || t.more.prescription.is_some();
    let lists = lists(fields, prescribed, t.more.vet_gave, t.more.off_label.is_some());
    // Asked for twice, such as quantity and dosage, a blank is said once.
    let mut said: Vec<&'static str> = Vec::new();
    for (asked, holds, when, ground) in lists {
        for field in asked.iter().filter(|_| holds) {
            if let Some(name) = blank(*field, t, flock).filter(|n| !said.contains(n)) {
                said.push(name);
                let words =
                    phrase!("{} is not written; {} asks for it{when}: {ground}", field.words(), &set.name());
                let what = format!("{} ({})", field.words(), set.name());
                faults.blank(Field::row(name, row), what, words);
            }
        }
    }
}

/// What is asked, whether it is of this treatment, when it is, and on what ground.
type Asked<'a> = (&'a [TreatmentField], bool, &'static str, &'a Ground);

fn lists(fields: &TreatmentFields, prescribed: bool, vet_gave: bool, off_label: bool) -> [Asked<'_>; 4] {
    let off_ground = fields.off_label_ground.as_ref().unwrap_or(&fields.ground);
    [
        (&fields.required, true, "", &fields.ground),
        (&fields.if_prescribed, prescribed, " of what was prescribed", &fields.ground),
        (&fields.if_vet_gave_it, vet_gave, " where a vet gave it", &fields.ground),
        (&fields.off_label, off_label, " of an off-label use", off_ground),
    ]
}

/// Fields of a treatment that the rule set of the book asks for, each with a short word for it: `Great Britain asks for
/// it`. They stand beside the fields of a form while these are blank; nothing is stopped by them.
pub fn asked_fields(
    flock: &Flock,
    prescribed: bool,
    vet_gave: bool,
    off_label: bool,
) -> Vec<(&'static str, String)> {
    let Some((set, fields)) = flock.rules().and_then(|s| Some((s, s.fields()?))) else { return Vec::new() };
    let mut all: Vec<(&'static str, String)> = Vec::new();
    for (asked, _, when, _) in lists(fields, prescribed, vet_gave, off_label).into_iter().filter(|l| l.1) {
        for name in asked.iter().filter_map(|f| place(*f)) {
            if !all.iter().any(|(n, _)| *n == name) {
                all.push((name, phrase!("{} asks for it{when}", &set.name())));
            }
        }
    }
    all
}

/// The field of the form for what a treatment itself holds.
fn place(field: TreatmentField) -> Option<&'static str> {
    use TreatmentField as F;
    Some(match field {
        F::Quantity | F::Dosage => "dose_ml",
        F::Route => "route",
        F::Reason | F::Condition => "reason",
        F::GivenBy => "given_by",
        F::Batch => "batch",
        F::WithdrawalMeat => "meat_days",
        F::WithdrawalMilk => "milk_days",
        F::PrescriberName | F::VetName => "prescribed_by",
        F::LastGivenAt => "time",
        _ => return None,
    })
}

/// The field of the form that is blank.
fn blank(field: TreatmentField, t: &Treatment, flock: &Flock) -> Option<&'static str> {
    let none = |words: &Option<Words>| words.as_deref().is_none_or(|w| w.trim().is_empty());
    let milked = flock.animal(t.animal).is_none_or(|a| a.sex == Sex::Ewe);
    place(field).filter(|name| match *name {
        "dose_ml" => t.dose.is_none(),
        "route" => t.route.is_none(),
        "reason" => none(&t.reason),
        "given_by" => none(&t.given_by),
        "batch" => none(&t.batch),
        "meat_days" => t.meat == Withdrawal::Unknown,
        "milk_days" => milked && t.milk == Withdrawal::Unknown,
        "prescribed_by" => none(&t.prescribed_by) && t.more.prescription.is_none(),
        _ => t.at.time.is_none(),
    })
}
