//! The note line at the foot of every page.

/// What is typed in it.
#[derive(Debug, Default)]
pub(super) struct NoteLine {
    /// The keyboard is to go there.
    pub wanted: bool,
}
