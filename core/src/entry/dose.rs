//! The dose of a treatment: by the product's rule, or typed and looked at beside the label.

use super::treatment::{DoseDraft, TreatmentDraft};
use super::{Faults, Field, Refused, Unusual};
use crate::flock::{AnimalFile, Product};
use crate::handbook::dosing as bounds;
use crate::reckon::dosing;
use crate::terms::{Dose, DoseRule, Route};

/// The dose of one animal, with what there is to ask about it.
pub(super) fn dose(
    faults: &mut Faults,
    row: usize,
    d: &TreatmentDraft,
    product: Option<&Product>,
    f: &AnimalFile,
    route: Option<Route>,
) -> Option<Dose> {
    let field = Field::row("dose_ml", row);
    let tag = || f.animal.tag().to_string();
    let lamb = f.animal.is_lamb(d.at.day);
    let weighed = f.last_weight(d.at.day);
    let rule = product.map_or(DoseRule::Typed, |p| p.rule);
    let label = rule.dose(weighed.map(|(_, w)| w).or(d.more.estimated));
    let dose = match d.dose {
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
            label.map(|exact| drawn(exact, d.more.drawn, product))
        }
        DoseDraft::Typed(dose) => {
            if let (Some(dose), Some(label)) = (dose, label)
                && let (Some(ml), Some(by_label)) = (dose.ml(), label.ml())
                && ml > by_label * bounds::above_label_times()
            {
                let times_ten = (ml / by_label * 10.0).round() as u32;
                faults.question(field, Unusual::AboveLabel { tag: tag(), dose, label, times_ten });
            }
            dose
        }
    };
    let most = match (route, lamb) {
        (Some(Route::Subcutaneous), true) => Some(bounds::under_skin_lamb_ml()),
        (Some(Route::Subcutaneous), false) => Some(bounds::under_skin_adult_ml()),
        (Some(Route::Intramuscular), true) => Some(bounds::muscle_lamb_ml()),
        (Some(Route::Intramuscular), false) => Some(bounds::muscle_adult_ml()),
        _ => None,
    };
    if let (Some(dose), Some(most)) = (dose, most)
        && dose.ml().is_some_and(|ml| ml > f64::from(most))
    {
        faults.question(field, Unusual::MuchForOneSite { tag: tag(), dose, most });
    }
    dose
}

/// The dose as a syringe gives it, when it is asked for; else as the label's figures give it.
fn drawn(exact: Dose, asked: bool, product: Option<&Product>) -> Dose {
    let most = product.and_then(|p| p.more.most);
    let rounded = asked.then(|| dosing::draw_up(exact, most, dosing::Rounding::Nearest)).flatten();
    rounded.map_or(exact, |d| d.drawn)
}
