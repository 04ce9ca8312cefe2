//! Words and breeds as they come from the file: what was read a moment ago is shared and not made anew.

use super::rows;
use crate::terms::{Breed, Words};
use rapidhash::{RapidHashMap, RapidHashSet};
use rusqlite::Row;
use rusqlite::types::{FromSql, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use std::cell::RefCell;

/// Longer text is a keeper's own sentence and seldom said twice.
const LONGEST: usize = 80;
/// So many different words are remembered; then it begins anew.
const MOST: usize = 4096;

thread_local! {
    static WORDS: RefCell<RapidHashSet<Words>> = RefCell::default();
    static BREEDS: RefCell<RapidHashMap<Words, Option<Breed>>> = RefCell::default();
}

impl FromSql for Words {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let text = value.as_str()?;
        if text.len() > LONGEST {
            return Ok(text.into());
        }
        Ok(WORDS.with_borrow_mut(|known| {
            if let Some(words) = known.get(text) {
                return words.clone();
            }
            if known.len() >= MOST {
                known.clear();
            }
            let words = Words::from(text);
            known.insert(words.clone());
            words
        }))
    }
}

impl ToSql for Words {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        self.as_str().to_sql()
    }
}

/// A breed, or none where the column is empty.
pub(super) fn breed(r: &Row<'_>, i: usize) -> rusqlite::Result<Option<Breed>> {
    let Some(text) = r.get_ref(i)?.as_str_or_null()? else { return Ok(None) };
    if let Some(known) = BREEDS.with_borrow(|all| all.get(text).cloned()) {
        return Ok(known);
    }
    let breed = Breed::parse(text).map_err(|e| rows::odd(i, e.0))?;
    BREEDS.with_borrow_mut(|all| {
        if all.len() >= MOST {
            all.clear();
        }
        all.insert(text.into(), breed.clone());
    });
    Ok(breed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_words_lie_in_memory_once() {
        let db = rusqlite::Connection::open_in_memory().unwrap();
        let read = |text: &str| db.query_row("select ?1", [text], |r| r.get::<_, Words>(0)).unwrap();
        let (one, two) = (read("Bank field"), read("Bank field"));
        assert_eq!(one, "Bank field");
        assert!(std::ptr::eq(one.as_str(), two.as_str()));
        let long = "x".repeat(LONGEST + 1);
        assert!(!std::ptr::eq(read(&long).as_str(), read(&long).as_str()), "sentences are not remembered");
        assert_eq!(db.query_row("select null", [], |r| r.get::<_, Option<Words>>(0)).unwrap(), None);
        let said: String = db.query_row("select ?1", [&one], |r| r.get(0)).unwrap();
        assert_eq!(said, one);
    }

    #[test]
    fn a_breed_is_read_once() {
        let db = rusqlite::Connection::open_in_memory().unwrap();
        let read = |text: Option<&str>| db.query_row("select ?1", [text], |r| breed(r, 0));
        let parsed = Breed::parse("Fellside 3/4 + Hillgrey 1/4").unwrap();
        for _ in 0..2 {
            assert_eq!(read(Some("Fellside 3/4 + Hillgrey 1/4")).unwrap(), parsed);
        }
        assert_eq!(read(None).unwrap(), None);
        assert!(read(Some("Fellside 3/4 + Hillgrey 2/4")).is_err());
    }
}
