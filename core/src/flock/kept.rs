//! What is reckoned once of a version of the flock and asked for often.

use std::any::Any;
use std::sync::{Arc, OnceLock};

/// One answer kept with a version of the flock; a change of the flock forgets it. Two versions that are the same share
/// it.
#[derive(Clone, Default)]
pub(super) struct Kept(Arc<OnceLock<Arc<dyn Any + Send + Sync>>>);

impl Kept {
    /// The answer; made where none is kept. There is one kind of it only.
    pub fn get<T: Send + Sync + 'static>(&self, make: impl Fn() -> T) -> Arc<T> {
        let all = Arc::clone(self.0.get_or_init(|| Arc::new(make())));
        all.downcast().unwrap_or_else(|_| Arc::new(make()))
    }

    /// The flock has changed.
    pub fn forget(&mut self) {
        match Arc::get_mut(&mut self.0) {
            Some(mine) => {
                mine.take();
            }
            None => self.0 = Arc::default(),
        }
    }
}

impl std::fmt::Debug for Kept {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Kept")
    }
}
