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

/// What a command prints that must end well.
fn done(folder: &std::path::Path, words: &[&str]) -> String {
    let mut c = hirsel_tests::cli::hirsel(folder);
    c.args(words);
    let output = hirsel_tests::cli::run(c);
    assert!(output.status.success(), "{words:?}: {}", hirsel_tests::cli::said(&output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn the_version_names_the_format_of_books() {
    let folder = hirsel_tests::flocks::Folder::new();
    let words = format!("hirsel {} (book format {})\n", env!("CARGO_PKG_VERSION"), hirsel_core::book::FORMAT);
    assert_eq!(done(folder.path(), &["--version"]), words);
    assert_eq!(done(folder.path(), &["-V"]), words);
}

#[test]
fn every_command_has_its_page_of_the_manual() {
    let folder = hirsel_tests::flocks::Folder::new();
    let help = done(folder.path(), &["--help"]);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        // Long descriptions go on deeper in.
        .filter_map(|l| l.strip_prefix("  ").filter(|l| !l.starts_with(' ')))
        .filter_map(|l| l.split_whitespace().next())
        .collect();
    assert!(commands.len() > 12 && !commands.contains(&"pages"), "{commands:?}");
    done(folder.path(), &["pages", "made/pages"]);
    let made = folder.path().join("made/pages");
    let page =
        |name: &str| std::fs::read_to_string(made.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    let first = page("man/hirsel.1").replace("\\-", "-");
    for command in &commands {
        assert!(page(&format!("man/hirsel-{command}.1")).contains(".TH"), "{command}");
        assert!(first.contains(&format!("hirsel-{command}(1)")), "{command}: {first}");
        for shell in ["hirsel.bash", "_hirsel", "hirsel.fish", "_hirsel.ps1"] {
            assert!(page(shell).contains(command), "{shell}: {command}");
        }
    }
    assert_eq!(std::fs::read_dir(made.join("man")).expect("the pages").count(), commands.len() + 1);
}
