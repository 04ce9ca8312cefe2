//! The schemas of the open standard of animal data (`tests/reference/ade`), and a look at documents beside them: the words
//! of JSON Schema that they use, and no others.

use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Schemas as they were read, by their path.
#[derive(Debug, Default)]
pub struct Schemas(BTreeMap<PathBuf, Value>);

/// Words of a schema that say nothing of a value.
const SILENT: [&str; 13] = [
    "description",
    "title",
    "purpose",
    "example",
    "deprecated",
    "discriminator",
    "nullable",
    "links",
    "operations",
    "$schema",
    "$id",
    "examples",
    "default",
];

impl Schemas {
    /// Everything wrong with a value, by a schema: `resources/icarWeightEventResource.json`.
    ///
    /// # Panics
    /// When a schema cannot be read, or uses a word this does not know.
    pub fn faults(&mut self, schema: &str, value: &Value) -> Vec<String> {
        let mut faults = Vec::new();
        let path = crate::cli::workspace().join("tests/reference/ade").join(schema);
        let s = self.read(&path);
        self.look(&path, &s, value, "", &mut faults);
        let known = self.known(&path, &s);
        for key in value.as_object().into_iter().flat_map(Map::keys) {
            if !known.contains_key(key) {
                faults.push(format!("/{key}: no such field"));
            }
        }
        faults
    }

    fn read(&mut self, path: &Path) -> Value {
        if let Some(v) = self.0.get(path) {
            return v.clone();
        }
        let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let v: Value = serde_json::from_str(text.trim_start_matches('\u{feff}'))
            .unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        self.0.insert(path.to_path_buf(), v.clone());
        v
    }

    fn follow(&mut self, from: &Path, to: &str) -> (PathBuf, Value) {
        let mut path = from.parent().map(Path::to_path_buf).unwrap_or_default();
        for part in to.split('/') {
            match part {
                ".." => _ = path.pop(),
                part => path.push(part),
            }
        }
        let v = self.read(&path);
        (path, v)
    }

    /// Every field a schema knows, those of its bases too, with the schema of each.
    fn known(&mut self, path: &Path, schema: &Value) -> BTreeMap<String, (PathBuf, Value)> {
        let mut all = BTreeMap::new();
        if let Some(to) = schema.get("$ref").and_then(Value::as_str) {
            let (path, schema) = self.follow(path, to);
            all.extend(self.known(&path, &schema));
        }
        for base in schema.get("allOf").and_then(Value::as_array).into_iter().flatten() {
            all.extend(self.known(path, base));
        }
        for (key, field) in schema.get("properties").and_then(Value::as_object).into_iter().flatten() {
            all.insert(key.clone(), (path.to_path_buf(), field.clone()));
        }
        all
    }

    fn look(&mut self, path: &Path, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        let Some(words) = schema.as_object() else { return };
        for (word, says) in words {
            match word.as_str() {
                "$ref" => {
                    let (path, schema) = self.follow(path, says.as_str().unwrap_or_default());
                    self.look(&path, &schema, value, at, faults);
                }
                "allOf" => {
                    for base in says.as_array().into_iter().flatten() {
                        self.look(path, base, value, at, faults);
                    }
                }
                "type" => {
                    let right = match says.as_str() {
                        Some("object") => value.is_object(),
                        Some("array") => value.is_array(),
                        Some("string") => value.is_string(),
                        Some("boolean") => value.is_boolean(),
                        Some("number") => value.is_number(),
                        Some("integer") => value.as_f64().is_some_and(|f| f.fract() == 0.0),
                        other => panic!("{}: the type {other:?} is not known here", path.display()),
                    };
                    if !right {
                        faults.push(format!("{at}: {value} is no {says}"));
                    }
                }
                "required" => {
                    for name in says.as_array().into_iter().flatten().filter_map(Value::as_str) {
                        if value.is_object() && value.get(name).is_none() {
                            faults.push(format!("{at}: {name} is missing"));
                        }
                    }
                }
                "enum" => {
                    if !says.as_array().is_some_and(|all| all.contains(value)) {
                        faults.push(format!("{at}: {value} is none of the words"));
                    }
                }
                "properties" => self.fields(path, says, value, at, faults),
                "items" => {
                    for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                        self.look(path, says, item, &format!("{at}/{i}"), faults);
                        self.strays(path, says, item, &format!("{at}/{i}"), faults);
                    }
                }
                "minimum" => {
                    if value.as_f64() < says.as_f64() {
                        faults.push(format!("{at}: {value} is below {says}"));
                    }
                }
                "format" => format(says, value, at, faults),
                "pattern" => panic!("{}: patterns are not looked at here", path.display()),
                other if SILENT.contains(&other) => {}
                other => panic!("{}: the word {other} is not known here", path.display()),
            }
        }
    }

    fn fields(&mut self, path: &Path, says: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        for (name, schema) in says.as_object().into_iter().flatten() {
            let Some(v) = value.get(name) else { continue };
            let at = format!("{at}/{name}");
            if v.is_null() {
                faults.push(format!("{at}: null"));
                continue;
            }
            self.look(path, schema, v, &at, faults);
            self.strays(path, schema, v, &at, faults);
        }
    }

    /// Fields that no schema of a value knows.
    fn strays(&mut self, path: &Path, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        let Some(object) = value.as_object() else { return };
        let known = self.known(path, schema);
        if known.is_empty() {
            return;
        }
        for key in object.keys().filter(|k| !known.contains_key(*k)) {
            faults.push(format!("{at}/{key}: no such field"));
        }
    }
}

fn format(says: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
    let Some(text) = value.as_str() else { return };
    let right = match says.as_str() {
        // The standard asks for UTC with Z.
        Some("date-time") => chrono::DateTime::parse_from_rfc3339(text).is_ok() && text.ends_with('Z'),
        Some("date") => text.len() == 10,
        _ => true,
    };
    if !right {
        faults.push(format!("{at}: '{text}' is no {says}"));
    }
}
