//! Text that is shown: a part of the program, or given by somebody.

use super::Words;
use std::borrow::Cow;

/// A text that is shown. What is part of the program may be said in other words of the trade; what was given, or has
/// something given in it, stays as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Text {
    /// Of the program.
    Fixed(&'static str),
    /// Written by the keeper, or made with something written.
    Given(String),
}

impl Text {
    /// As it is written.
    pub fn as_str(&self) -> &str {
        match self {
            Self::Fixed(text) => text,
            Self::Given(text) => text,
        }
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.as_str().is_empty()
    }

    /// With the program's own text said by `say`.
    pub fn said(&self, say: impl FnOnce(&'static str) -> Cow<'static, str>) -> Cow<'_, str> {
        match self {
            Self::Fixed(text) => say(text),
            Self::Given(text) => Cow::Borrowed(text),
        }
    }
}

impl Default for Text {
    fn default() -> Self {
        Self::Fixed("")
    }
}

impl From<&'static str> for Text {
    fn from(text: &'static str) -> Self {
        Self::Fixed(text)
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Self::Given(text)
    }
}

impl From<&String> for Text {
    fn from(text: &String) -> Self {
        Self::Given(text.clone())
    }
}

impl From<Cow<'static, str>> for Text {
    fn from(text: Cow<'static, str>) -> Self {
        Self::Given(text.into_owned())
    }
}

impl From<Words> for Text {
    fn from(text: Words) -> Self {
        Self::Given(text.into())
    }
}

impl From<&Words> for Text {
    fn from(text: &Words) -> Self {
        Self::Given(text.into())
    }
}
