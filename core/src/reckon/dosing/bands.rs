//! Weight bands: each dosed by its heaviest, so that none gets too little.

use super::draw::{Drawn, Rounding, draw_up};
use crate::handbook::dosing;
use crate::phrase;
use crate::terms::{Dose, DoseRule, Units, Weight};

/// Animals of nearly the same weight, given one dose.
#[derive(Debug, Clone, PartialEq)]
pub struct Band<K> {
    /// Heavier than this, grams.
    pub over_g: i64,
    /// Up to this, grams.
    pub to_g: i64,
    /// The heaviest of them, by which they are dosed.
    pub heaviest: Weight,
    /// The lightest of them.
    pub lightest: Weight,
    /// The animals, lightest first.
    pub animals: Vec<K>,
    /// The label's dose for the heaviest, rounded up to a hundredth of a millilitre. None where the label's rule is
    /// not written down.
    pub dose: Option<Dose>,
    /// The dose as a syringe gives it, rounded up to a mark.
    pub drawn: Option<Drawn>,
    /// The dose for the heaviest is above the label's most for one animal: what is drawn is too little for it.
    pub above_most: bool,
    /// How many times its own dose the lightest gets, where that is more than it should (handbook, twice).
    pub over_for_lightest: Option<f64>,
}

impl<K> Band<K> {
    /// `over 30.0 kg up to 35.0 kg`.
    pub fn words(&self, units: Units) -> String {
        let show = |g: i64| Weight::from_grams(g).map_or_else(|| phrase!("nothing"), |w| w.show(units));
        if self.over_g <= 0 {
            phrase!("up to {}", show(self.to_g))
        } else {
            phrase!("over {} up to {}", show(self.over_g), show(self.to_g))
        }
    }

    /// What speaks against the band, in words.
    pub fn warnings(&self) -> Vec<String> {
        let mut said = Vec::new();
        if self.above_most {
            said.push(phrase!("the heaviest needs more than the label allows for one animal: ask the vet"));
        }
        if let Some(times) = self.over_for_lightest {
            said.push(phrase!(
                "the lightest would get {times:.1} times its own dose: make the bands narrower"
            ));
        }
        said
    }
}

/// Sorts animals into bands of a width, each dosed by its heaviest: too little is what makes worms resistant (teagasc.ie,
/// dosing guidelines to prevent anthelmintic resistance: dose by the heaviest of the group, not the average, and split
/// the group where weights differ much; hccmpw.org.uk, correct dosage when treating sheep: the same).
///
/// A band reaches from above one multiple of the width up to and with the next, so 35 kg lies in `30 to 35`. Bands
/// without animals are left out. None gets less than the label's dose for its weight, but where the label's most
/// (for one animal) forbids it, which `above_most` says.
pub fn bands<K: Clone>(
    weights: &[(K, Weight)],
    width: Weight,
    rule: DoseRule,
    most: Option<Dose>,
) -> Vec<Band<K>> {
    let mut sorted: Vec<&(K, Weight)> = weights.iter().collect();
    sorted.sort_by_key(|(_, w)| *w);
    let nth = |w: Weight| (w.grams() - 1).div_euclid(width.grams());
    sorted
        .chunk_by(|a, b| nth(a.1) == nth(b.1))
        .filter_map(|part| {
            let ((_, lightest), (_, heaviest)) = (part.first()?, part.last()?);
            let dose = enough(rule, *heaviest);
            let drawn = dose.and_then(|d| draw_up(d, most, Rounding::Up));
            let given = drawn.map(|d| d.drawn).or(dose);
            Some(Band {
                over_g: nth(*heaviest) * width.grams(),
                to_g: (nth(*heaviest) + 1) * width.grams(),
                heaviest: *heaviest,
                lightest: *lightest,
                animals: part.iter().map(|(k, _)| k.clone()).collect(),
                dose,
                drawn,
                above_most: drawn.is_some_and(|d| d.over || d.drawn < d.exact)
                    || dose.is_some() && drawn.is_none(),
                over_for_lightest: given.and_then(|d| too_much(rule, *lightest, d)),
            })
        })
        .collect()
}

/// The label's dose rounded up to 0.01 ml: the nearest hundredth may be too little.
fn enough(rule: DoseRule, weight: Weight) -> Option<Dose> {
    match rule {
        DoseRule::PerKg(ul) => {
            let exact = u64::from(ul) * weight.grams().unsigned_abs();
            u32::try_from(exact.div_ceil(10_000) * 10).ok().filter(|ul| *ul > 0).map(Dose::Volume)
        }
        DoseRule::PerHead(ul) => (ul > 0).then_some(Dose::Volume(ul)),
        DoseRule::Typed => None,
    }
}

/// How many times its own dose an animal gets, where that is above the handbook's bound.
fn too_much(rule: DoseRule, weight: Weight, given: Dose) -> Option<f64> {
    let (DoseRule::PerKg(per_kg), Dose::Volume(given)) = (rule, given) else { return None };
    let own_ul = f64::from(per_kg) * weight.kg();
    let times = f64::from(given) / own_ul;
    (own_ul > 0.0 && times > dosing::band_over_times()).then_some(times)
}
