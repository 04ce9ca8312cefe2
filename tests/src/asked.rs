//! What a check refuses or asks, by field and words.

use hirsel_core::entry::Check;

/// The check refuses this at this field.
///
/// # Panics
/// When it does not.
#[track_caller]
pub fn refuses(check: Check, field: &str, words: &str) {
    let all = check.err().unwrap_or_default();
    let found = all.iter().any(|r| r.field.name == field && r.to_string() == words);
    let said: Vec<String> = all.iter().map(ToString::to_string).collect();
    assert!(found, "{field}: {words}\nrefused: {said:#?}");
}

/// The check passes and asks this at this field: not to be written without a word, to be written with one.
///
/// # Panics
/// When it does not.
#[track_caller]
pub fn asks(check: Check, field: &str, words: &str) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    let all = checked.questions();
    let found = all.iter().any(|q| q.field.name == field && q.to_string() == words);
    let said: Vec<String> = all.iter().map(ToString::to_string).collect();
    assert!(found, "{field}: {words}\nasked: {said:#?}");
    assert!(checked.clone().sure().is_err(), "not without a word");
    assert!(checked.despite("looked again").is_ok(), "with a word it is written");
}
