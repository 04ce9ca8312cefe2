//! Drills: what a book goes through in ten years, in a few minutes. Power cuts, kills, a full disk, bits that turn over, a
//! clock turned back, files that go away.
//!
//! `cargo test` runs a short form of each; `HIRSEL_DRILLS=whole` the whole one, which `.ci/run drills` does. Each prints its
//! figures (`--nocapture`).

mod clock;
mod disk;
mod flips;
mod killed;
mod power;

/// The whole form is asked for.
fn whole() -> bool {
    std::env::var("HIRSEL_DRILLS").is_ok_and(|v| v == "whole")
}

/// As many as the form asks for.
fn many(short: usize, all: usize) -> usize {
    if whole() { all } else { short }
}

/// Looks a closed book's file over from outside.
fn sound(path: &std::path::Path, when: &str) {
    let db = rusqlite::Connection::open(path).unwrap_or_else(|e| panic!("{when}: {e}"));
    hirsel_tests::journal::whole(&db).unwrap_or_else(|e| panic!("{when}: {e}"));
}
