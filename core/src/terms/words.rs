//! Words that many records have in common.

use arcstr::ArcStr;
use std::borrow::Borrow;
use std::fmt;
use std::ops::Deref;

/// Text of a record, shared: of a flock's ten thousands of records most say one of a few things (a product, a pen,
/// a reason), and each of these lies in memory once. A pointer long, so that an empty field costs little.
#[derive(Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Words(ArcStr);

impl Words {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Deref for Words {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

impl AsRef<str> for Words {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl Borrow<str> for Words {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self(text.into())
    }
}

impl From<&String> for Words {
    fn from(text: &String) -> Self {
        Self(text.as_str().into())
    }
}

impl From<Words> for String {
    fn from(words: Words) -> Self {
        words.as_str().to_string()
    }
}

impl From<&Words> for String {
    fn from(words: &Words) -> Self {
        words.as_str().to_string()
    }
}

impl serde::Serialize for Words {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self)
    }
}

impl PartialEq<str> for Words {
    fn eq(&self, other: &str) -> bool {
        self.as_str() == other
    }
}

impl PartialEq<&str> for Words {
    fn eq(&self, other: &&str) -> bool {
        self.as_str() == *other
    }
}

impl PartialEq<String> for Words {
    fn eq(&self, other: &String) -> bool {
        self.as_str() == other
    }
}

impl PartialEq<Words> for String {
    fn eq(&self, other: &Words) -> bool {
        self == other.as_str()
    }
}

impl PartialEq<Words> for &str {
    fn eq(&self, other: &Words) -> bool {
        *self == other.as_str()
    }
}

impl fmt::Display for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_str(), f)
    }
}
