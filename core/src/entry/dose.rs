//! The dose of a treatment: by the product's rule or as typed, and looked at beside the label.

use super::treatment::{DoseDraft, TreatmentDraft, TreatmentUnusual};
use super::{Faults, Field, Refused, Unusual};
use crate::flock::{AnimalFile, Product, Treatment};
use crate::handbook::dosing as bounds;
use crate::phrase;
use crate::reckon::dosing;
use crate::terms::{Dose, DoseRule, Route, Weight};

/// The dose of one animal, with what there is to ask about the weight it stands on.
pub(super) fn dose(
    faults: &mut Faults,
    row: usize,
    d: &TreatmentDraft,
    product: Option<&Product>,
    f: &AnimalFile,
) -> Option<Dose> {
    let field = Field::row("dose_ml", row);
    let tag = || f.animal.tag().to_string();
    let lamb = f.animal.is_lamb(d.at.day);
    let weighed = f.last_weight(d.at.day);
    let rule = product.map_or(DoseRule::Typed, |p| p.rule);
    let label = rule.dose(weighed.map(|(_, w)| w).or(d.more.estimated));
    match d.dose {
        DoseDraft::ByRule => {
            if matches!(rule, DoseRule::PerKg(_)) {
                match weighed {
                    None if d.more.estimated.is_some() => {
                        let words = "dosed by an estimated weight: weigh before the next time".to_string();
                        faults.caution(field, words);
                    }
                    None => faults.refuse(field, Refused::NoWeightForDose { tag: tag() }),
                    Some((on, _)) => {
                        let days = d.at.day.since(on);
                        let stale = if lamb { bounds::stale_lamb_days() } else { bounds::stale_adult_days() };
                        if days > stale {
                            faults.question(field, Unusual::StaleWeight { tag: tag(), days });
                        }
                    }
                }
            }
            label.map(|exact| drawn(faults, field, exact, d.more.drawn, product))
        }
        DoseDraft::Typed(dose) => dose,
    }
}

/// Looks at the amount as it will stand: against the label, unless it was reckoned by it, and for one place.
pub(super) fn amount(
    faults: &mut Faults,
    row: usize,
    t: &Treatment,
    f: &AnimalFile,
    product: Option<&Product>,
    (typed, estimated): (bool, Option<Weight>),
) {
    let Some(dose) = t.dose else { return };
    let field = Field::row("dose_ml", row);
    let tag = || f.animal.tag().to_string();
    let lamb = f.animal.is_lamb(t.at.day);
    let weight = f.last_weight(t.at.day).map(|(_, w)| w).or(estimated);
    let label = product.and_then(|p| p.rule.dose(weight)).filter(|_| typed);
    if let Some(label) = label {
        if let Some(times) = dosing::far_above(dose, label) {
            let times = times.round() as u32;
            faults.question(field, TreatmentUnusual::FarAboveLabel { tag: tag(), dose, label, times }.into());
        } else if let (Some(ml), Some(by_label)) = (dose.ml(), label.ml())
            && ml > by_label * bounds::above_label_times()
        {
            let times_ten = (ml / by_label * 10.0).round() as u32;
            faults.question(field, Unusual::AboveLabel { tag: tag(), dose, label, times_ten });
        }
    }
    // What the label says of one place stands before what is common.
    if let Some(most) = product.and_then(|p| p.more.site_most) {
        let parts = dosing::per_site(dose, most);
        if parts.len() > 1 {
            let parts: Vec<String> = parts.iter().map(ToString::to_string).collect();
            let words = phrase!("the label allows {most} at one place: give it as {}", parts.join(" and "));
            faults.caution(field, words);
        }
        return;
    }
    let most = match (t.route, lamb) {
        (Some(Route::Subcutaneous), true) => Some(bounds::under_skin_lamb_ml()),
        (Some(Route::Subcutaneous), false) => Some(bounds::under_skin_adult_ml()),
        (Some(Route::Intramuscular), true) => Some(bounds::muscle_lamb_ml()),
        (Some(Route::Intramuscular), false) => Some(bounds::muscle_adult_ml()),
        _ => None,
    };
    if let Some(most) = most
        && dose.ml().is_some_and(|ml| ml > f64::from(most))
    {
        faults.question(field, Unusual::MuchForOneSite { tag: tag(), dose, most });
    }
}

/// The dose as a syringe gives it, when it is asked for; else as the label's figures give it.
fn drawn(faults: &mut Faults, field: Field, exact: Dose, asked: bool, product: Option<&Product>) -> Dose {
    let most = product.and_then(|p| p.more.most);
    let rounded = asked.then(|| dosing::draw_up(exact, most, dosing::Rounding::Nearest)).flatten();
    if let (Some(d), Some(most)) = (rounded.filter(|d| d.over), most) {
        let words =
            phrase!("the rule gives {exact}, the label allows {most}: {} is written; ask the vet", d.drawn);
        faults.caution(field, words);
    }
    rounded.map_or(exact, |d| d.drawn)
}
