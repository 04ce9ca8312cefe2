//! The cupboard: batches, stock, vets, prescriptions, kept papers, egg counts, and changed rules.

use super::{Kind, Maker};
use hirsel_core::entry::Check;
use hirsel_core::flock::Flock;

impl Maker {
    pub(super) fn cupboard(&mut self, _kind: Kind, _flock: &Flock) -> Option<Check> {
        None
    }
}
