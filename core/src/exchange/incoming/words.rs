//! The dictionary of `resources/columns.toml`: heads, values and months in the words people write.

use crate::exchange::Kind;
use crate::handbook::shipped;
use serde::Deserialize;
use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    head: Vec<HeadRow>,
    idle: Vec<Words>,
    value: Vec<ValueRow>,
    month: Vec<MonthRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HeadRow {
    column: String,
    #[serde(default)]
    kinds: Vec<String>,
    words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ValueRow {
    columns: Vec<String>,
    becomes: String,
    words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MonthRow {
    number: u32,
    words: Vec<String>,
}

/// The dictionary, ready to be asked.
pub(in crate::exchange) struct Dictionary {
    /// Of a kind and a tidy head, the columns it may mean; columns named for the kind alone first.
    heads: HashMap<(Kind, String), Vec<&'static str>>,
    idle: HashSet<String>,
    values: HashMap<(String, String), String>,
    months: HashMap<String, u32>,
}

pub(in crate::exchange) static DICTIONARY: LazyLock<Dictionary> = LazyLock::new(|| {
    Dictionary::of(shipped("columns.toml", include_str!("../../../../resources/columns.toml")))
});

impl Dictionary {
    fn of(file: File) -> Self {
        let mut heads: HashMap<(Kind, String), Vec<&'static str>> = HashMap::new();
        for named in [true, false] {
            for row in file.head.iter().filter(|r| r.kinds.is_empty() != named) {
                for kind in Kind::ALL {
                    if named && !row.kinds.iter().any(|k| k == kind.word()) {
                        continue;
                    }
                    let Some(column) = kind.columns().iter().find(|c| c.name == row.column) else { continue };
                    for w in &row.words {
                        let all = heads.entry((kind, tidy(w))).or_default();
                        if !all.contains(&column.name) {
                            all.push(column.name);
                        }
                    }
                }
            }
        }
        let idle = file.idle.iter().flat_map(|r| r.words.iter().map(|w| tidy(w))).collect();
        let mut values = HashMap::new();
        for row in &file.value {
            for column in &row.columns {
                for w in &row.words {
                    values.entry((column.clone(), said(w))).or_insert_with(|| row.becomes.clone());
                }
            }
        }
        let months = file.month.iter().flat_map(|r| r.words.iter().map(|w| (said(w), r.number))).collect();
        Self { heads, idle, values, months }
    }

    /// The columns of a kind that a head may mean, the likeliest first.
    pub(super) fn columns(&self, kind: Kind, head: &str) -> &[&'static str] {
        self.heads.get(&(kind, tidy(head))).map_or(&[], Vec::as_slice)
    }

    /// A head that is known not to be wanted.
    pub(super) fn is_idle(&self, head: &str) -> bool {
        self.idle.contains(&tidy(head))
    }

    /// Our own word for a value of a column.
    pub(super) fn value(&self, column: &str, text: &str) -> Option<&str> {
        self.values.get(&(column.to_string(), said(text))).map(String::as_str)
    }

    /// The month of a word in one of the other languages.
    pub(in crate::exchange) fn month(&self, text: &str) -> Option<u32> {
        self.months.get(&said(text)).copied()
    }
}

/// A head without case, accents, signs and what stands in brackets.
pub(super) fn tidy(head: &str) -> String {
    let mut bare = String::new();
    let mut depth = 0usize;
    for c in head.chars() {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            c if depth == 0 => bare.push(c),
            _ => {}
        }
    }
    // A head that stands in brackets altogether is taken as it is.
    let bare = if bare.trim().is_empty() { head.to_string() } else { bare };
    let plain: String = bare
        .chars()
        .flat_map(char::to_lowercase)
        .flat_map(unaccented)
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A value without case and accents; its signs count.
fn said(value: &str) -> String {
    let plain: String = value.trim().chars().flat_map(char::to_lowercase).flat_map(unaccented).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unaccented(c: char) -> impl Iterator<Item = char> {
    let plain = match c {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => 'a',
        'ç' => 'c',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        'ñ' => 'n',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' => 'o',
        'ù' | 'ú' | 'û' | 'ü' => 'u',
        'ß' => 's',
        other => other,
    };
    let twice = (c == 'ß').then_some('s');
    std::iter::once(plain).chain(twice)
}

/// What a figure without a unit weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum MassUnit {
    /// Kilograms.
    Kg,
    /// Pounds.
    Lb,
    /// Grams.
    G,
}

impl MassUnit {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Kg, Self::Lb, Self::G];

    /// `kg`, `lb`, `g`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Kg => "kg",
            Self::Lb => "lb",
            Self::G => "g",
        }
    }

    /// The unit a head names.
    pub(super) fn of_head(head: &str) -> Option<Self> {
        let low = head.to_lowercase();
        low.split(|c: char| !c.is_alphanumeric()).find_map(|w| match w {
            "kg" | "kgs" | "kilo" | "kilos" => Some(Self::Kg),
            "lb" | "lbs" | "pound" | "pounds" => Some(Self::Lb),
            "g" | "gram" | "grams" => Some(Self::G),
            _ => None,
        })
    }
}

/// Every word over a column of a kind: for tests that dress tables.
#[doc(hidden)]
pub fn heads_of(kind: Kind, column: &str) -> Vec<String> {
    let mut all: Vec<String> = DICTIONARY
        .heads
        .iter()
        .filter(|((k, _), columns)| *k == kind && columns.first() == Some(&column) && columns.len() == 1)
        .map(|((_, word), _)| word.clone())
        .collect();
    all.sort();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_names_a_column_and_a_kind_there_is() {
        let file: File = shipped("columns.toml", include_str!("../../../../resources/columns.toml"));
        for row in &file.head {
            let kinds: Vec<Kind> = row.kinds.iter().map(|k| Kind::parse(k).unwrap()).collect();
            let has = |k: &Kind| k.columns().iter().any(|c| c.name == row.column);
            assert!(
                if kinds.is_empty() { Kind::ALL.iter().any(has) } else { kinds.iter().all(has) },
                "{}",
                row.column
            );
        }
        for row in &file.value {
            for column in &row.columns {
                assert!(Kind::ALL.iter().any(|k| k.columns().iter().any(|c| c.name == *column)), "{column}");
            }
        }
        assert!(file.month.iter().all(|m| (1..=12).contains(&m.number)));
    }

    #[test]
    fn heads_and_values_in_any_dress() {
        let d = &*DICTIONARY;
        for (head, column) in [
            ("DOB", "born"),
            ("Date of birth", "born"),
            ("Geburtsdatum", "born"),
            ("D.O.B.", "born"),
            ("Mother", "dam"),
            ("Mère", "dam"),
            ("EID", "electronic"),
            ("Ear-Tag", "tag"),
            ("Birth weight (lb)", "birth_weight_kg"),
            ("Geslacht", "sex"),
        ] {
            assert_eq!(d.columns(Kind::Animals, head).first(), Some(&column), "{head}");
        }
        assert_eq!(d.columns(Kind::Movements, "Type").first(), Some(&"to"));
        for (column, text, want) in [
            ("sex", "Gimmer", "ewe"),
            ("sex", "theave", "ewe"),
            ("sex", "Chilver lamb", "ewe"),
            ("sex", "shearling tup", "ram"),
            ("sex", "wether hogget", "wether"),
            ("found", "geld", "empty"),
            ("sex", "M", "ram"),
            ("sex", "weiblich", "ewe"),
            ("birth_type", "Twins", "2"),
            ("rear_type", "pet lamb", "0"),
            ("fate", "stillborn", "born dead"),
            ("sucked", "Ja", "yes"),
        ] {
            assert_eq!(d.value(column, text), Some(want), "{column} {text}");
        }
        assert_eq!(d.value("sex", "grey"), None);
        assert_eq!((d.month("März"), d.month("août"), d.month("x")), (Some(3), Some(8), None));
        assert_eq!(MassUnit::of_head("Weight (lb)"), Some(MassUnit::Lb));
        assert_eq!(MassUnit::of_head("Weight"), None);
        assert!(d.is_idle("Daily gain (g)"));
    }
}
