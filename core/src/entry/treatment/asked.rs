//! What the rule set asks to be written of a treatment and is not: cautions with their source, nothing more.

use crate::entry::{Faults, Field};
use crate::flock::{Flock, Product, Treatment};
use crate::rules::TreatmentField;
use crate::terms::{Sex, Withdrawal};

/// Says each blank once.
pub(super) fn look(faults: &mut Faults, row: usize, t: &Treatment, product: Option<&Product>, flock: &Flock) {
    if product.is_some_and(|p| p.more.prescription_only) && t.more.prescription.is_none() {
        let words = format!("{} is on prescription only: choose the prescription it was given by", t.product);
        faults.caution(Field::row("prescription", row), words);
    }
    let Some((set, fields)) = flock.rules().and_then(|s| Some((s, s.fields()?))) else { return };
    let prescribed = t.prescribed_by.is_some() || t.more.prescription.is_some();
    let lists = [
        (&fields.required, true, "", &fields.ground),
        (&fields.if_prescribed, prescribed, " of what was prescribed", &fields.ground),
        (&fields.if_vet_gave_it, t.more.vet_gave, " where a vet gave it", &fields.ground),
        (
            &fields.off_label,
            t.more.off_label.is_some(),
            " of an off-label use",
            fields.off_label_ground.as_ref().unwrap_or(&fields.ground),
        ),
    ];
    // Asked for twice, such as quantity and dosage, a blank is said once.
    let mut said: Vec<&'static str> = Vec::new();
    for (asked, holds, when, ground) in lists {
        for field in asked.iter().filter(|_| holds) {
            if let Some(name) = blank(*field, t, flock).filter(|n| !said.contains(n)) {
                said.push(name);
                let words =
                    format!("{} is not written; {} asks for it{when}: {ground}", field.words(), set.name());
                faults.caution(Field::row(name, row), words);
            }
        }
    }
}

/// The field of the form that is blank, for what a treatment itself holds.
fn blank(field: TreatmentField, t: &Treatment, flock: &Flock) -> Option<&'static str> {
    use TreatmentField as F;
    let none = |words: &Option<String>| words.as_deref().is_none_or(|w| w.trim().is_empty());
    let milked = flock.animal(t.animal).is_none_or(|a| a.sex == Sex::Ewe);
    let (name, is_blank) = match field {
        F::Quantity | F::Dosage => ("dose_ml", t.dose.is_none()),
        F::Route => ("route", t.route.is_none()),
        F::Reason | F::Condition => ("reason", none(&t.reason)),
        F::GivenBy => ("given_by", none(&t.given_by)),
        F::Batch => ("batch", none(&t.batch)),
        F::WithdrawalMeat => ("meat_days", t.meat == Withdrawal::Unknown),
        F::WithdrawalMilk => ("milk_days", milked && t.milk == Withdrawal::Unknown),
        F::PrescriberName | F::VetName => ("prescribed_by", none(&t.prescribed_by)),
        F::LastGivenAt => ("time", t.at.time.is_none()),
        _ => return None,
    };
    is_blank.then_some(name)
}
