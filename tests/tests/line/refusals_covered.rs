//! Every refusal and every failure has its place in a transcript or a test of the command line: a new one without
//! fails here. Those that only the window can meet are named, with who meets them.

use std::path::Path;

use hirsel_tests::cli::workspace;

/// Enums whose messages a keeper reads, and the file of each.
const ENUMS: [(&str, &str); 22] = [
    ("core/src/exchange/standard/read/mod.rs", "pub enum Unread"),
    ("core/src/exchange/roll/mod.rs", "pub enum RollUnfit"),
    ("core/src/exchange/picture_in/mod.rs", "pub enum PictureUnfit"),
    ("core/src/exchange/incoming/fault.rs", "pub enum NoTable"),
    ("core/src/exchange/scale/fault.rs", "pub enum ScaleUnfit"),
    ("core/src/entry/treatment/fault.rs", "pub enum TreatmentRefused"),
    ("core/src/entry/treatment/fault.rs", "pub enum TreatmentUnusual"),
    ("core/src/entry/cupboard/fault.rs", "pub enum CupboardRefused"),
    ("core/src/entry/cupboard/fault.rs", "pub enum CupboardUnusual"),
    ("core/src/entry/fault.rs", "pub enum Refused"),
    ("core/src/entry/fault.rs", "pub enum Unusual"),
    ("core/src/exchange/fault.rs", "pub enum ColumnFault"),
    ("core/src/exchange/fault.rs", "pub enum Unfit"),
    ("core/src/book/failed.rs", "pub enum Failed"),
    ("core/src/entry/blood/fault.rs", "pub enum BloodRefused"),
    ("core/src/entry/blood/fault.rs", "pub enum BloodUnusual"),
    ("core/src/entry/weighed/fault.rs", "pub enum WeighedRefused"),
    ("core/src/entry/weighed/fault.rs", "pub enum WeighedUnusual"),
    ("core/src/entry/fed/fault.rs", "pub enum FedRefused"),
    ("core/src/entry/fed/fault.rs", "pub enum FedUnusual"),
    ("core/src/entry/merge/fault.rs", "pub enum MergeRefused"),
    ("core/src/entry/merge/fault.rs", "pub enum MergeUnusual"),
];

/// Not to be met on the command line.
const WINDOW_ONLY: [(&str, &str); 20] = [
    ("Fed", "holds the words of another message"),
    ("Blood", "holds the words of another message"),
    ("Weighed", "holds the words of another message"),
    ("Treatment", "holds the words of another message"),
    ("Cupboard", "holds the words of another message"),
    ("Merge", "holds the words of another message"),
    ("Missing", "a form's empty field; a table's blank value is told by the reader of the table"),
    ("NoSuchAnimal", "a form's field; a table has its own words"),
    ("NoLambs", "a form without lambs; a table has one row a lamb"),
    ("NoAnimals", "a form without a choice; a table has rows"),
    ("NoReason", "amending and striking out"),
    ("NoWeightForDose", "a form's dose by rule; a table's blank dose is not known"),
    ("SameStanding", "a change of standing"),
    ("Misread", "holds the words of another message"),
    ("TagInUse", "a form's tag; a table has its own words"),
    ("BornAlready", "a form's lamb; a table has its own words"),
    ("Rows", "holds the bad rows"),
    ("Bad", "holds the bad records"),
    ("Columns", "holds the faults of columns"),
    ("ChangedSince", "undo"),
];

/// Also not: each with its test beside the code.
const ELSEWHERE: [(&str, &str); 12] = [
    ("TooLong", "a list of more than 8 MB"),
    ("TooLarge", "a file beyond all bounds"),
    ("TooMany", "a file beyond all bounds"),
    ("Unpacks", "a file beyond all bounds"),
    ("BinarySpreadsheet", "told by the parts of a packed file"),
    ("NoSheet", "a sheet that a spreadsheet has not"),
    ("Text", "holds the words of another message"),
    ("Spreadsheet", "CSV text alone; import reads spreadsheets"),
    ("NoWayBack", "undo of what was taken out by date"),
    ("TooOld", "undo"),
    ("Clash", "two rows that the checks let through: no such pair is known"),
    ("Other", "whatever else the system says"),
];

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Variants of an enum with the text of their `#[error("…")]`.
fn messages(source: &str, head: &str) -> Vec<(String, String)> {
    let start = source.find(head).unwrap_or_else(|| panic!("{head} is gone: mend this test"));
    let body = &source[start..];
    let body = &body[..body.find("\n}\n").unwrap_or(body.len())];
    let mut all = Vec::new();
    for part in body.split("#[error(").skip(1) {
        let text = part.trim_start().trim_start_matches('"');
        let mut literal = String::new();
        let mut chars = text.chars();
        while let Some(c) = chars.next() {
            match c {
                '\\' => literal.extend(chars.next()),
                '"' => break,
                c => literal.push(c),
            }
        }
        let name = part
            .lines()
            .map(str::trim_start)
            .find(|l| l.starts_with(char::is_uppercase))
            .map(|l| l.chars().take_while(|c| c.is_alphanumeric()).collect::<String>())
            .unwrap_or_default();
        all.push((name, literal));
    }
    all
}

/// The longest piece of a message that does not depend on data.
fn fixed(message: &str) -> String {
    let mut pieces = Vec::new();
    let mut depth = 0;
    let mut piece = String::new();
    for c in message.chars() {
        match c {
            '{' => {
                depth += 1;
                pieces.push(std::mem::take(&mut piece));
            }
            '}' => depth -= 1,
            c if depth == 0 => piece.push(c),
            _ => {}
        }
    }
    pieces.push(piece);
    pieces.into_iter().max_by_key(String::len).unwrap_or_default()
}

#[test]
fn every_refusal_is_shown_somewhere() {
    let mut shown = read(&workspace().join("tests/tests/line/cli_world.rs"));
    shown.push_str(&read(&workspace().join("tests/tests/asked/questions.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/cupboard.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/treatment.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/treatment_amended.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/blood.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/weighed.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/fed.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/book/copies.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/book/backups.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/book/documents.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/book/merged.rs")));
    shown.push_str(&read(&workspace().join("tests/tests/asked/medicated_feed.rs")));
    shown.push_str(&read(&workspace().join("tests/transcripts/feed.txt")));
    for file in hirsel_tests::cli::transcripts("refusals") {
        shown.push_str(&read(&file));
    }
    let exempt = |name: &str| WINDOW_ONLY.iter().chain(&ELSEWHERE).any(|(n, _)| *n == name);
    let (mut missing, mut count) = (Vec::new(), 0);
    for (file, head) in ENUMS {
        for (name, message) in messages(&read(&workspace().join(file)), head) {
            count += 1;
            let words = fixed(&message);
            let words = words.trim_matches([' ', '\'']);
            let is_shown = words.len() >= 9 && shown.contains(words);
            if !is_shown && !exempt(&name) {
                missing.push(format!("{head}::{name}: '{words}'"));
            }
            if is_shown && exempt(&name) && !["Missing", "Misread"].contains(&name.as_str()) {
                missing.push(format!("{head}::{name} is shown: take it off the list of this test"));
            }
        }
    }
    assert!(missing.is_empty(), "no transcript shows these:\n{}", missing.join("\n"));
    assert!(count > 30, "only {count} messages were found: mend this test");
}
