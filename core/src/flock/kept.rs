//! What is reckoned once of a version of the flock and asked for often.

use std::any::{Any, TypeId};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

type Answer = Arc<dyn Any + Send + Sync>;
type Slot = Arc<OnceLock<Answer>>;
/// One slot for each kind of answer.
type Slots = Mutex<Vec<(TypeId, Slot)>>;

/// Answers kept with a version of the flock, one of each type; a change of the flock forgets them. Two versions that
/// are the same share them. The answers of the version before are at hand, so that a new one need not begin from
/// nothing.
#[derive(Clone, Default)]
pub(super) struct Kept {
    now: Arc<Slots>,
    before: Arc<Slots>,
}

impl Kept {
    /// The answer; made where none is kept.
    pub fn get<T: Send + Sync + 'static>(&self, make: impl Fn() -> T) -> Arc<T> {
        self.get_from(|_| make())
    }

    /// The answer; made where none is kept, from the answer of the version before if there was one.
    pub fn get_from<T: Send + Sync + 'static>(&self, make: impl Fn(Option<Arc<T>>) -> T) -> Arc<T> {
        let before = || answer::<T>(&slot::<T>(&self.before)?);
        let kind = TypeId::of::<T>();
        let slot = {
            let mut slots = self.now.lock().unwrap_or_else(PoisonError::into_inner);
            match slots.iter().find(|(k, _)| *k == kind) {
                Some((_, slot)) => Arc::clone(slot),
                None => {
                    let slot = Slot::default();
                    slots.push((kind, Arc::clone(&slot)));
                    slot
                }
            }
        };
        let all = Arc::clone(slot.get_or_init(|| Arc::new(make(before()))));
        all.downcast().unwrap_or_else(|_| Arc::new(make(before())))
    }

    /// The flock has changed.
    pub fn forget(&mut self) {
        let made: Vec<(TypeId, Slot)> = {
            let now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
            now.iter().filter(|(_, slot)| slot.get().is_some()).cloned().collect()
        };
        if made.is_empty() {
            // Nothing was asked of this version: what came before it still comes before the next. Whoever shares the
            // slots may be asked yet.
            if Arc::get_mut(&mut self.now).is_none() {
                self.now = Arc::default();
            }
            return;
        }
        let mut before = made;
        {
            let older = self.before.lock().unwrap_or_else(PoisonError::into_inner);
            let missing = older.iter().filter(|(k, _)| before.iter().all(|(made, _)| made != k));
            let missing: Vec<_> = missing.cloned().collect();
            before.extend(missing);
        }
        self.before = Arc::new(Mutex::new(before));
        self.now = Arc::default();
    }
}

fn slot<T: 'static>(slots: &Slots) -> Option<Slot> {
    let slots = slots.lock().unwrap_or_else(PoisonError::into_inner);
    slots.iter().find(|(k, _)| *k == TypeId::of::<T>()).map(|(_, slot)| Arc::clone(slot))
}

fn answer<T: Send + Sync + 'static>(slot: &Slot) -> Option<Arc<T>> {
    slot.get().and_then(|a| Arc::clone(a).downcast().ok())
}

impl std::fmt::Debug for Kept {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Kept")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_type_is_kept_apart_until_the_flock_changes() {
        let mut kept = Kept::default();
        assert_eq!((*kept.get(|| 1_i32), *kept.get(|| "one")), (1, "one"));
        assert_eq!((*kept.get(|| 2_i32), *kept.get(|| "two")), (1, "one"));
        let older = kept.clone();
        kept.forget();
        assert_eq!(*kept.get_from(|before: Option<Arc<i32>>| before.map_or(0, |b| *b + 10)), 11);
        assert_eq!(*older.get(|| 3_i32), 1, "the older version keeps its own");
        // A write that changes many files forgets many times: the last answers are not lost.
        kept.forget();
        kept.forget();
        assert_eq!(*kept.get_from(|before: Option<Arc<&str>>| before.map_or("none", |b| *b)), "one");
        assert_eq!(*kept.get_from(|before: Option<Arc<i32>>| before.map_or(0, |b| *b + 10)), 21);
    }
}
