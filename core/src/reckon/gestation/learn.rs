//! Lengths of gestation in the flock's own records.

use super::breeding::{Breeding, SCAN_DAYS, breedings};
use super::service::{Looks, found};
use crate::flock::{AnimalFile, Flock};

/// A service known to within so many days is known well enough to learn from.
const NEAR_DAYS: i64 = 2;

/// Days from service to lambing of each lambing of a ewe whose service is known to the day, or nearly.
pub(super) fn known_lengths(flock: &Flock, ewe: &AnimalFile, looks: &Looks) -> Vec<i64> {
    let single = |j: &crate::flock::Joining| j.struck.is_none() && j.to == Some(j.from);
    let known = ewe.marks.iter().any(|m| m.struck.is_none()) || ewe.joinings.iter().any(single);
    if !known || ewe.lambings.is_empty() {
        return Vec::new();
    }
    let Some(last) = ewe.lambings_standing().map(|l| l.at.day).max() else { return Vec::new() };
    let length = |b: &Breeding<'_>| {
        // What is born so much later was not carried from then.
        let lambed = b.lambed(ewe, last).filter(|l| l.since(b.first) <= SCAN_DAYS)?;
        let service = found(flock, ewe, b, looks).service;
        let near = service.by.trust() <= 1 && service.to.is_some_and(|t| t.since(service.from) <= NEAR_DAYS);
        near.then(|| lambed.since(service.day))
    };
    breedings(ewe, last).iter().filter_map(length).collect()
}
