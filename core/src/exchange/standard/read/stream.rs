//! The resources of a document, one after another: nothing but the one at hand is held in memory.
//!
//! A stranger's file is bounded before it is believed: bytes, resources, and of each resource its values, its text and how
//! deep they lie. Members of any collection, bare arrays, one resource alone: all are walked the same way.

use super::Unread;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::fmt;

/// Most bytes of a file.
pub const MOST_BYTES: usize = 512 << 20;
/// Most resources of a file.
const MOST_RESOURCES: usize = 1_000_000;
/// Most values of one resource.
const MOST_VALUES: usize = 20_000;
/// Most bytes of text of one resource.
const MOST_TEXT: usize = 1 << 20;
/// How deep values of a resource may lie.
const DEEPEST: usize = 24;
/// How deep collections may lie in one another.
const OUTER: usize = 8;

/// Hands every resource on; its collection's name goes with it where it has one.
pub(super) fn resources(bytes: &[u8], take: &mut dyn FnMut(Map<String, Value>)) -> Result<(), Unread> {
    if bytes.len() > MOST_BYTES {
        return Err(Unread::TooLarge(bytes.len() >> 20));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Unread::Empty);
    }
    let mut walk = Walk { take, seen: 0 };
    let mut from = serde_json::Deserializer::from_slice(bytes);
    let walked = Level { walk: &mut walk, depth: 0 }.deserialize(&mut from).and_then(|_| from.end());
    walked.map_err(|e| {
        let why = e.to_string();
        let why = why.rsplit_once(" at line").map_or(why.as_str(), |(why, _)| why).to_string();
        Unread::NotJson { line: e.line(), column: e.column(), why }
    })
}

struct Walk<'a> {
    take: &'a mut dyn FnMut(Map<String, Value>),
    seen: usize,
}

impl Walk<'_> {
    fn one<E: Error>(&mut self, resource: Map<String, Value>) -> Result<(), E> {
        self.seen += 1;
        if self.seen > MOST_RESOURCES {
            return Err(E::custom(format!("there are more than {MOST_RESOURCES} resources")));
        }
        (self.take)(resource);
        Ok(())
    }
}

/// A document or a collection: what has members is walked into, what is a resource is handed on. What is neither comes
/// back: it may be a member of a set of animals, which names its type after its members.
struct Level<'a, 'w> {
    walk: &'a mut Walk<'w>,
    depth: usize,
}

impl<'de> DeserializeSeed<'de> for Level<'_, '_> {
    type Value = Vec<Value>;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Vec<Value>, D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Level<'_, '_> {
    type Value = Vec<Value>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("resources, or collections of them")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut all: A) -> Result<Vec<Value>, A::Error> {
        self.not_too_deep()?;
        let mut rest = Vec::new();
        while let Some(one) = all.next_element_seed(Level { walk: &mut *self.walk, depth: self.depth + 1 })? {
            if rest.len() + one.len() > MOST_VALUES {
                return Err(A::Error::custom(format!(
                    "there are more than {MOST_VALUES} things that are no resources"
                )));
            }
            rest.extend(one);
        }
        Ok(rest)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut all: A) -> Result<Vec<Value>, A::Error> {
        self.not_too_deep()?;
        let mut one = Map::new();
        let mut room = Room::new();
        let mut walked = false;
        while let Some(key) = all.next_key::<String>()? {
            let is_resource = one.contains_key("resourceType");
            let value = if !is_resource && is_members(&key) {
                walked = true;
                let rest = all.next_value_seed(Level { walk: &mut *self.walk, depth: self.depth + 1 })?;
                Value::Array(rest)
            } else {
                all.next_value_seed(Bounded { room: &mut room, depth: 0 })?
            };
            room.text(key.len())?;
            one.insert(key, value);
        }
        if one.contains_key("resourceType") {
            self.walk.one(one)?;
            return Ok(Vec::new());
        }
        Ok(if walked { Vec::new() } else { vec![Value::Object(one)] })
    }

    fn visit_bool<E>(self, _: bool) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
    fn visit_i64<E>(self, _: i64) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
    fn visit_u64<E>(self, _: u64) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
    fn visit_f64<E>(self, _: f64) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
    fn visit_str<E>(self, _: &str) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
    fn visit_unit<E>(self) -> Result<Vec<Value>, E> {
        Ok(Vec::new())
    }
}

impl Level<'_, '_> {
    fn not_too_deep<E: Error>(&self) -> Result<(), E> {
        if self.depth > OUTER { Err(E::custom("collections lie too deep in one another")) } else { Ok(()) }
    }
}

/// The names under which a document or a collection has its members.
fn is_members(key: &str) -> bool {
    key == "member" || key == "members" || key == "items" || key == "data" || key.ends_with("Collection")
}

/// What a resource may still hold.
struct Room {
    values: usize,
    text: usize,
}

impl Room {
    fn new() -> Self {
        Self { values: MOST_VALUES, text: MOST_TEXT }
    }

    fn value<E: Error>(&mut self) -> Result<(), E> {
        self.values = self.values.checked_sub(1).ok_or_else(|| {
            E::custom(format!(
                "a resource holds more than {MOST_VALUES} values: it is no record of one animal"
            ))
        })?;
        Ok(())
    }

    fn text<E: Error>(&mut self, bytes: usize) -> Result<(), E> {
        self.text = self
            .text
            .checked_sub(bytes)
            .ok_or_else(|| E::custom(format!("a resource holds more than {} kB of text", MOST_TEXT >> 10)))?;
        Ok(())
    }
}

/// A value within the room of its resource.
struct Bounded<'a> {
    room: &'a mut Room,
    depth: usize,
}

impl<'de> DeserializeSeed<'de> for Bounded<'_> {
    type Value = Value;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Value, D::Error> {
        if self.depth > DEEPEST {
            return Err(D::Error::custom("values lie too deep in one another"));
        }
        self.room.value()?;
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Bounded<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_bool<E>(self, v: bool) -> Result<Value, E> {
        Ok(Value::Bool(v))
    }
    fn visit_i64<E>(self, v: i64) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_u64<E>(self, v: u64) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_f64<E>(self, v: f64) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_str<E: Error>(self, v: &str) -> Result<Value, E> {
        self.room.text(v.len())?;
        Ok(v.into())
    }
    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut all: A) -> Result<Value, A::Error> {
        let mut made = Vec::new();
        while let Some(v) = all.next_element_seed(Bounded { room: &mut *self.room, depth: self.depth + 1 })? {
            made.push(v);
        }
        Ok(Value::Array(made))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut all: A) -> Result<Value, A::Error> {
        let mut made = Map::new();
        while let Some(key) = all.next_key::<String>()? {
            self.room.text::<A::Error>(key.len())?;
            let value = all.next_value_seed(Bounded { room: &mut *self.room, depth: self.depth + 1 })?;
            made.insert(key, value);
        }
        Ok(Value::Object(made))
    }
}
