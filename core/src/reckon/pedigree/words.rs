//! Inbreeding in words.

use crate::phrase;
use crate::reckon::kinship::Kindred;
use crate::terms::AnimalId;

/// Under so many complete generations inbreeding says little (reference: definitions of complete generation
/// equivalents; Maignel 1996, Boichard 1997; the bound is common practice).
const SHALLOW: f64 = 3.0;

/// `6.3 %`. What is there but would be shown as nothing is `under 0.1 %`.
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        p if p <= 0.0 => "0.0 %".into(),
        p if p < 0.05 => phrase!("under 0.1 %"),
        p => format!("{:.1} %", (p * 10.0).round() / 10.0), // halves go up, as people round
    }
}

/// How inbred an animal is, in a word or two: `6.3 % inbred`, `not inbred`, `parents not known`.
pub fn inbred_words(kindred: &Kindred, id: AnimalId) -> String {
    if kindred.circle().is_some() {
        return phrase!("inbreeding not known");
    }
    match (kindred.inbreeding(id), kindred.depth(id)) {
        (Some(f), _) if f > 0.0 => phrase!("{} inbred", percent(f)),
        (Some(_), Some(depth)) if depth > 0.0 => phrase!("not inbred"),
        (Some(_), _) => phrase!("parents not known"),
        (None, _) => phrase!("inbreeding not known"),
    }
}

/// How far the figure can be trusted, as a sentence.
pub fn depth_words(kindred: &Kindred, id: AnimalId) -> String {
    if kindred.circle().is_some() {
        return phrase!(
            "The pedigree runs in a circle: inbreeding cannot be reckoned until a parent is mended."
        );
    }
    let Some(depth) = kindred.depth(id) else { return String::new() };
    let known = phrase!("The pedigree is known over {depth:.1} complete generations");
    if depth <= 0.0 {
        phrase!("No parent is known, so inbreeding is not known either.")
    } else if depth < SHALLOW {
        phrase!("{known}: under {SHALLOW:.0} a low figure says little, for what lies behind is not counted.")
    } else {
        format!("{known}.")
    }
}
