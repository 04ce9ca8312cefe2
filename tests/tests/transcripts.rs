//! The command line by transcripts: `tests/transcripts` of what is done, `tests/refusals` of what is refused.

use hirsel_tests::cli;

/// Plays all transcripts of a folder and names every one that differs.
fn play(folder: &str) {
    let failed: Vec<String> = cli::transcripts(folder)
        .into_iter()
        .filter(|file| std::panic::catch_unwind(|| cli::play(file)).is_err())
        .map(|file| file.display().to_string())
        .collect();
    assert!(failed.is_empty(), "{failed:#?}");
}

#[test]
fn what_is_done() {
    play("transcripts");
}

#[test]
fn what_is_refused() {
    play("refusals");
}
