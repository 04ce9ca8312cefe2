//! What a correction of the pedigree changes in everyone's inbreeding.

use super::Kindred;
use crate::flock::Flock;
use crate::phrase;
use crate::terms::{AnimalId, counted};

/// A smaller difference is the arithmetic's.
const SAME: f64 = 1e-9;

/// An animal whose inbreeding is another than before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Changed {
    /// The animal.
    pub animal: AnimalId,
    /// Inbreeding before, 0 to 1.
    pub before: f64,
    /// Inbreeding now.
    pub after: f64,
}

/// Animals known before and after whose inbreeding changed, the greatest change first. None where either pedigree runs
/// in a circle: of it nothing is known.
pub fn changed(before: &Kindred, after: &Kindred) -> Vec<Changed> {
    let mut all: Vec<Changed> = after
        .ids()
        .iter()
        .filter_map(|id| {
            let (before, after) = (before.inbreeding(*id)?, after.inbreeding(*id)?);
            ((before - after).abs() > SAME).then_some(Changed { animal: *id, before, after })
        })
        .collect();
    let size = |c: &Changed| (c.before - c.after).abs();
    all.sort_by(|a, b| size(b).total_cmp(&size(a)).then_with(|| a.animal.cmp(&b.animal)));
    all
}

/// It in one sentence: `inbreeding of 12 animals changed, most 0487: 12.5 % to 3.1 %`. None where nothing changed.
pub fn changed_words(all: &[Changed], flock: &Flock) -> Option<String> {
    let most = all.first()?;
    // Without the sign that nothing at all may carry.
    let percent = |f: f64| format!("{:.1} %", (f * 100.0).abs());
    let which = if all.len() == 1 { "" } else { "most " };
    Some(phrase!(
        "inbreeding of {} changed, {which}{}: {} to {}",
        counted(all.len(), "animal"),
        &flock.tag(most.animal),
        percent(most.before),
        percent(most.after)
    ))
}
