//! Doses: what a syringe can give of one, what a pen needs, which weight a dose stands on, and weight bands.
//! All of it is arithmetic on whole microlitres and grams; nothing here outranks the label or the vet.

mod bands;
mod basis;
mod draw;
mod pen;
#[cfg(test)]
mod tests;

use crate::phrase;
pub use bands::{Band, bands};
pub use basis::{Estimate, estimate, weight_words};
pub use draw::{Drawn, Rounding, draw_up, per_site};
pub use pen::{PenTotal, bottles, fills, pen_total};

use crate::handbook::dosing;
use crate::terms::{Dose, Strength, Weight};

/// Milligrams of substance in a dose: ml × mg/ml; a mass is its own. None for pieces, and for a volume of unknown
/// strength.
pub fn mg_for(dose: Dose, strength: Option<Strength>) -> Option<f64> {
    match dose {
        // Microlitres × micrograms per millilitre are nanograms: whole numbers, divided once.
        Dose::Volume(ul) => strength.map(|s| (u64::from(ul) * u64::from(s.0)) as f64 / 1e6),
        Dose::Mass(ug) => Some(ug as f64 / 1000.0),
        Dose::Pieces(_) => None,
    }
}

/// Milligrams for each kilogram of the animal.
pub fn mg_per_kg(mg: f64, weight: Weight) -> f64 {
    mg / weight.kg()
}

/// How many times the label's dose a dose is, where it is so far above (handbook, 10 times) that a point or a nought
/// must be in the wrong place. None when it is nearer, when the two are of different kinds, or the label's is nothing.
pub fn far_above(dose: Dose, label: Dose) -> Option<f64> {
    let (given, right) = amounts(dose, label)?;
    (right > 0 && given / u128::from(dosing::tenfold_times()) >= right).then(|| given as f64 / right as f64)
}

/// What is said twice of a dose that far above the label's.
pub fn far_above_words(times: f64) -> String {
    if times >= f64::from(dosing::hundredfold_times()) {
        phrase!(
            "{times:.0} times the label's dose: two places out, or microlitres taken for millilitres. Give nothing before it is put right"
        )
    } else {
        phrase!("{times:.0} times the label's dose: look for a point or a nought in the wrong place")
    }
}

/// Two doses of the same kind in its smallest unit.
fn amounts(a: Dose, b: Dose) -> Option<(u128, u128)> {
    match (a, b) {
        (Dose::Volume(a), Dose::Volume(b)) | (Dose::Pieces(a), Dose::Pieces(b)) => Some((a.into(), b.into())),
        (Dose::Mass(a), Dose::Mass(b)) => Some((a.into(), b.into())),
        _ => None,
    }
}
