//! Egg counts of the book put together: those before and those after one treatment.

use super::{NoReduction, Reduction, reduction, window, window_words};
use crate::flock::{EggCount, Flock, same_batch};
use crate::terms::{AnimalId, Day, EggCountId};

/// Counts before and after one treatment of one group.
#[derive(Debug, Clone)]
pub struct Trial {
    /// The group; none where the counts were written without one.
    pub group: Option<String>,
    /// The product.
    pub product: String,
    /// The day it was given.
    pub treated_on: Day,
    /// Counts before, up to that day.
    pub before: Vec<EggCountId>,
    /// Counts after it.
    pub after: Vec<EggCountId>,
    /// The same animals were counted both times.
    pub paired: bool,
    /// How far the counts fell, or why that cannot be said.
    pub result: Result<Reduction, NoReduction>,
    /// What weakens it: few animals, few eggs, counted too early or late.
    pub cautions: Vec<String>,
}

/// Every treatment whose work was looked at by egg counts, the newest first. Counts that name a product and the day it
/// was given belong together with those of the same group, product and day.
pub fn trials(flock: &Flock) -> Vec<Trial> {
    type Key = (Day, String, String);
    let mut all: std::collections::BTreeMap<Key, Vec<&EggCount>> = std::collections::BTreeMap::new();
    for e in flock.cupboard().egg_counts.iter().filter(|e| e.struck.is_none()) {
        if let (Some(product), Some(on)) = (&e.product, e.treated_on) {
            let low = |s: &str| s.trim().to_lowercase();
            let group = e.group.as_deref().map(low).unwrap_or_default();
            all.entry((on, low(product), group)).or_default().push(e);
        }
    }
    all.into_values().rev().filter_map(|counts| trial(flock, &counts)).collect()
}

fn trial(flock: &Flock, counts: &[&EggCount]) -> Option<Trial> {
    let first = counts.first()?;
    let (product, treated_on) = (first.product.clone()?, first.treated_on?);
    let (before, after): (Vec<&EggCount>, Vec<&EggCount>) =
        counts.iter().copied().partition(|e| e.on <= treated_on);
    // The last count before and the first after of each animal, in the same order.
    let pair = |animal: AnimalId| {
        let b = before.iter().rfind(|e| e.animal == Some(animal))?;
        let a = after.iter().find(|e| e.animal == Some(animal))?;
        Some((f64::from(b.epg), f64::from(a.epg)))
    };
    let mut animals: Vec<AnimalId> = before.iter().filter_map(|e| e.animal).collect();
    animals.sort_unstable();
    animals.dedup();
    let pairs: Vec<(f64, f64)> = animals.iter().filter_map(|a| pair(*a)).collect();
    let paired = !pairs.is_empty() && pairs.len() == before.len() && pairs.len() == after.len();
    let result = if paired {
        let (b, a): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
        reduction(&b, &a, true)
    } else {
        let epg = |all: &[&EggCount]| all.iter().map(|e| f64::from(e.epg)).collect::<Vec<_>>();
        reduction(&epg(&before), &epg(&after), false)
    };
    let mut cautions = result.as_ref().map(Reduction::cautions).unwrap_or_default();
    let known = flock.products().iter().find(|p| same_batch(&p.name, &product));
    let substance = known.and_then(|p| p.substance.as_deref());
    if let (Some(w), Some(last)) = (window(substance), after.first()) {
        cautions.extend(window_words(w, last.on.since(treated_on)));
    }
    let ids = |all: &[&EggCount]| all.iter().map(|e| e.id).collect();
    Some(Trial {
        group: first.group.clone(),
        product,
        treated_on,
        before: ids(&before),
        after: ids(&after),
        paired,
        result,
        cautions,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::Cupboard;

    fn count(animal: Option<AnimalId>, group: &str, on: &str, epg: u32) -> EggCount {
        EggCount {
            id: EggCountId::new(),
            animal,
            group: Some(group.into()),
            on: Day::parse_iso(on).unwrap(),
            epg,
            product: Some("Drench".into()),
            treated_on: Day::new(2026, 5, 1),
            note: None,
            struck: None,
        }
    }

    #[test]
    fn counts_of_one_group_and_treatment_belong_together() {
        let ids = [AnimalId::new(), AnimalId::new()];
        let mut counts = vec![
            count(Some(ids[1]), "Top field", "2026-05-01", 600),
            count(Some(ids[0]), "top field", "2026-04-30", 400),
            count(Some(ids[0]), "Top field", "2026-05-14", 20),
            count(Some(ids[1]), "Top field", "2026-05-14", 30),
            count(None, "Low field", "2026-04-30", 400),
        ];
        let mut flock = Flock::default();
        flock.set_cupboard(Cupboard { egg_counts: counts.clone(), ..Cupboard::default() });
        let all = trials(&flock);
        assert_eq!(all.len(), 2);
        let top = all.iter().find(|t| t.group.as_deref() != Some("Low field")).unwrap();
        assert!(top.paired && top.before.len() == 2 && top.after.len() == 2);
        assert!((top.result.unwrap().percent - 95.0).abs() < 1e-9, "1000 eggs to 50");
        let low = all.iter().find(|t| t.group.as_deref() == Some("Low field")).unwrap();
        assert_eq!(low.result.unwrap_err(), NoReduction::NoneAfter);
        // Another animal after: no pairs any more.
        counts[3].animal = None;
        flock.set_cupboard(Cupboard { egg_counts: counts, ..Cupboard::default() });
        assert!(!trials(&flock).iter().any(|t| t.paired));
    }
}
