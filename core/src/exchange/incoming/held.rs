//! What the book holds already: the very same record, or a product, vet, feed or creep under the same name with other
//! facts.

use super::preview::FieldChange;
use crate::exchange::Kind;
use crate::exchange::names::Names;
use crate::flock::Flock;
use std::collections::HashMap;

/// What a row is beside the book.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Held {
    /// The book does not hold it.
    New,
    /// It does; what the book says otherwise of it, where that is not for a table to change.
    Same(Vec<FieldChange>),
    /// It holds one of the same name with other facts: what would change, and every value as it would stand.
    Changes(Vec<FieldChange>, Vec<String>),
}

/// The columns that name a record which a table may change.
fn named_by(kind: Kind) -> Option<&'static [&'static str]> {
    Some(match kind {
        Kind::Products => &["product"],
        Kind::Vets | Kind::Feeds => &["name"],
        Kind::Creeps => &["pen", "from"],
        _ => return None,
    })
}

/// The records of the book of one kind.
pub(super) struct Records {
    kind: Kind,
    columns: Vec<&'static str>,
    key: Vec<&'static str>,
    rows: HashMap<Vec<String>, Vec<(Vec<String>, bool)>>,
}

impl Records {
    pub(super) fn of(kind: Kind, flock: &Flock) -> Self {
        let columns = kind.names();
        let key: Vec<&'static str> = match (named_by(kind), kind) {
            (Some(key), _) => key.to_vec(),
            (None, Kind::EggCounts) => vec!["on", "epg"],
            (None, _) => kind.columns().iter().filter(|c| c.needed).take(2).map(|c| c.name).collect(),
        };
        let mut rows: HashMap<Vec<String>, Vec<(Vec<String>, bool)>> = HashMap::new();
        for row in super::super::rows(kind, flock, &Names::of(flock)) {
            let k = key.iter().map(|c| at(&columns, c, &row)).collect();
            rows.entry(k).or_default().push((row, false));
        }
        Self { kind, columns, key, rows }
    }

    /// What a row is; `heads` are its columns. Each record of the book stands for one row.
    pub(super) fn look(&mut self, heads: &[&'static str], cells: &[String]) -> Held {
        let k: Vec<String> = self.key.iter().map(|c| at(heads, c, cells)).collect();
        let Some(rows) = self.rows.get_mut(&k) else { return Held::New };
        let (columns, kind) = (&self.columns, self.kind);
        let differs = |row: &[String]| -> Vec<FieldChange> {
            heads
                .iter()
                .zip(cells)
                .filter(|(_, new)| !new.is_empty())
                .filter_map(|(head, new)| {
                    let old = columns.iter().position(|c| c == head).and_then(|i| row.get(i))?;
                    let change = || FieldChange { field: head, old: old.clone(), new: new.clone() };
                    (plain(old) != plain(new)).then(change)
                })
                .collect()
        };
        if let Some((_, met)) = rows.iter_mut().find(|(row, met)| !*met && differs(row).is_empty()) {
            *met = true;
            return Held::Same(Vec::new());
        }
        if named_by(kind).is_some() {
            let Some((row, _)) = rows.first() else { return Held::New };
            let merged = columns
                .iter()
                .zip(row)
                .map(|(c, old)| {
                    let new = heads.iter().position(|h| h == c).and_then(|i| cells.get(i));
                    new.filter(|n| !n.is_empty()).unwrap_or(old).clone()
                })
                .collect();
            return Held::Changes(differs(row), merged);
        }
        // A lamb is born once: what became of it since is told on its leaf.
        let lamb = at(heads, "lamb", cells);
        if kind == Kind::Lambings && !lamb.is_empty() {
            let same = rows.iter_mut().find(|(row, met)| !*met && at(columns, "lamb", row) == lamb);
            if let Some((row, met)) = same {
                *met = true;
                let told = differs(row);
                return Held::Same(told);
            }
        }
        Held::New
    }
}

fn at(columns: &[&'static str], column: &str, row: &[String]) -> String {
    columns.iter().position(|c| *c == column).and_then(|i| row.get(i)).map(|t| plain(t)).unwrap_or_default()
}

/// A value without its dress: case, blanks, noughts behind the point.
fn plain(text: &str) -> String {
    let low = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    // 0412 is a tag: only numbers with a point are the same as others.
    if low.contains('.') && low.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return low.trim_end_matches('0').trim_end_matches('.').to_string();
    }
    low
}
