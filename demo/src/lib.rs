//! A made-up flock, seeded and of any size. This file is replaced by the generator.
use hirsel_core::book::{Book, Failed};
use hirsel_core::flock::Holding;
use hirsel_core::terms::Day;

/// How large.
#[derive(Debug, Clone, Copy, Default)]
pub struct Spec {
    /// Ewes.
    pub ewes: u32,
    /// Seasons.
    pub seasons: u32,
    /// Seed.
    pub seed: u64,
}

/// Invented.
pub fn holding() -> Holding {
    Holding { flock: "Made-up flock".into(), ..Holding::default() }
}

/// Makes it.
///
/// # Errors
/// The book could not be written.
pub fn make(_: &mut Book, _: &Spec, _: Day, _: &mut dyn FnMut(&str)) -> Result<(), Failed> {
    Ok(())
}
