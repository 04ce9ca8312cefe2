//! Reading values of a resource: what is missing or of another form than the schema says is simply not there.

use super::super::schemes::{Ident, SOURCE};
use super::super::time::short;
use serde_json::{Map, Value};
use std::fmt;
use uuid::Uuid;

/// Which resource of a file: its type and its number among those of the type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Place {
    pub kind: String,
    pub n: usize,
    /// The animal it is of, in a word.
    pub whose: String,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.kind, self.n)?;
        if self.whose.is_empty() { Ok(()) } else { write!(f, " ({})", self.whose) }
    }
}

/// An object of a resource.
#[derive(Debug, Clone, Copy)]
pub(super) struct Obj<'a>(pub &'a Map<String, Value>);

impl<'a> Obj<'a> {
    pub(super) fn value(self, key: &str) -> Option<&'a Value> {
        self.0.get(key).filter(|v| !v.is_null())
    }

    /// Words that are not empty.
    pub(super) fn text(self, key: &str) -> Option<&'a str> {
        self.value(key).and_then(Value::as_str).filter(|t| !t.trim().is_empty())
    }

    /// The same, to be kept.
    pub(super) fn words(self, key: &str) -> Option<String> {
        self.text(key).map(str::to_string)
    }

    pub(super) fn number(self, key: &str) -> Option<f64> {
        self.value(key).and_then(Value::as_f64)
    }

    pub(super) fn whole(self, key: &str) -> Option<u64> {
        let v = self.value(key)?;
        v.as_u64()
            .or_else(|| v.as_f64().filter(|f| f.fract() == 0.0 && (0.0..1e9).contains(f)).map(|f| f as u64))
    }

    pub(super) fn yes(self, key: &str) -> bool {
        self.value(key) == Some(&Value::Bool(true))
    }

    pub(super) fn object(self, key: &str) -> Option<Obj<'a>> {
        self.value(key).and_then(Value::as_object).map(Obj)
    }

    pub(super) fn objects(self, key: &str) -> impl Iterator<Item = Obj<'a>> {
        self.value(key).and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_object).map(Obj)
    }

    /// An identifier; a number for an id is taken as its figures.
    pub(super) fn ident(self, key: &str) -> Option<Ident> {
        self.object(key).and_then(Obj::as_ident)
    }

    pub(super) fn as_ident(self) -> Option<Ident> {
        let id = match self.value("id")? {
            Value::String(s) => s.trim().to_string(),
            Value::Number(n) => n.to_string(),
            _ => return None,
        };
        let scheme = self.text("scheme").unwrap_or_default().trim().to_string();
        (!id.is_empty()).then_some(Ident { scheme, id })
    }

    /// It comes from a book of ours.
    pub(super) fn is_ours(self) -> bool {
        self.object("meta").and_then(|m| m.text("source")) == Some(SOURCE)
    }

    /// The id of the record of ours that it is.
    pub(super) fn record(self) -> Option<Uuid> {
        if !self.is_ours() {
            return None;
        }
        self.object("meta")?.text("sourceId").and_then(|id| Uuid::try_parse(id).ok())
    }

    pub(super) fn is_deleted(self) -> bool {
        self.object("meta").is_some_and(|m| m.yes("isDeleted"))
    }
}

/// A value that cannot be, with its place and the mend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRecord {
    /// Which resource: `icarWeightEventResource 12 (0412)`.
    pub place: String,
    /// The field; empty for the resource as a whole.
    pub field: String,
    /// What is wrong and what to do.
    pub why: String,
}

impl BadRecord {
    pub(super) fn new(place: &Place, field: &str, why: impl fmt::Display) -> Self {
        Self { place: place.to_string(), field: field.into(), why: why.to_string() }
    }

    /// A value that is not what it should be.
    pub(super) fn value(place: &Place, field: &str, value: &str, should: &str) -> Self {
        Self::new(place, field, format!("'{}' is not {should}: mend it", short(value)))
    }
}

impl fmt::Display for BadRecord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { place, field, why } = self;
        if field.is_empty() { write!(f, "{place}: {why}") } else { write!(f, "{place}, {field}: {why}") }
    }
}
