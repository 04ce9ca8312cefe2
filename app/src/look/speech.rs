//! How text is said where it is drawn: the program's own as the thread speaks, given text as it is.

use hirsel_core::terms::{Text, speech};
use std::borrow::Cow;

pub use speech::said;

/// Any text as it is shown.
pub fn shown(text: &Text) -> Cow<'_, str> {
    text.said(said)
}

/// The same, as a text of its own.
pub fn spoken(text: impl Into<Text>) -> String {
    words(text)
}

pub(super) fn words(text: impl Into<Text>) -> String {
    shown(&text.into()).into_owned()
}
