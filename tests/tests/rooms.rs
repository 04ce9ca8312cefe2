//! The rooms keep to their duties: read from the sources themselves.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// One source file without its tests.
struct Source {
    /// From the top of the project, with forward slashes.
    path: String,
    text: String,
}

impl Source {
    /// Lines that are no comments, with their numbers.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text
            .lines()
            .enumerate()
            .map(|(i, l)| (i + 1, l))
            .filter(|(_, l)| !l.trim_start().starts_with("//"))
    }

    /// Where a text stands in the code.
    fn places(&self, what: &str) -> Vec<String> {
        self.code()
            .filter(|(_, l)| l.contains(what))
            .map(|(n, l)| format!("{}:{n}: {}", self.path, l.trim()))
            .collect()
    }
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the project").to_path_buf()
}

/// Every file under a folder whose name ends so.
fn files(under: &str, ends: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut left = vec![top().join(under)];
    while let Some(folder) = left.pop() {
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for path in entries.flatten().map(|e| e.path()) {
            let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            if path.is_dir() {
                let made = ["target", ".git", "venv"].contains(&name.as_str()) || path.ends_with(".ci/out");
                if !made {
                    left.push(path);
                }
            } else if ends.iter().any(|e| name.ends_with(e)) {
                found.push(path);
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "nothing under {under}");
    found
}

/// The sources under a folder, without test modules, whether they lie in the file or beside it.
fn sources(under: &str) -> Vec<Source> {
    let mut all = Vec::new();
    let mut only_tests = BTreeSet::new();
    for path in files(under, &[".rs"]) {
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let mut kept = Vec::new();
        let mut lines = text.lines();
        while let Some(line) = lines.next() {
            if line.trim() != "#[cfg(test)]" {
                kept.push(line);
                continue;
            }
            let next = lines.by_ref().map(str::trim).find(|l| !l.starts_with("#[")).unwrap_or_default();
            let name = next.trim_start_matches("pub ").trim_start_matches("pub(crate) ").strip_prefix("mod ");
            match name {
                Some(name) if name.ends_with(';') => {
                    let name = name.trim_end_matches(';');
                    let folder = path.parent().expect("a folder");
                    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
                    only_tests.insert(folder.join(format!("{name}.rs")));
                    only_tests.insert(folder.join(stem).join(format!("{name}.rs")));
                }
                // A test module in the file is its last item.
                Some(_) => break,
                None => {}
            }
        }
        all.push((path, kept.join("\n")));
    }
    let top = top();
    all.into_iter()
        .filter(|(path, _)| !only_tests.contains(path))
        .map(|(path, text)| Source {
            path: path.strip_prefix(&top).unwrap_or(&path).to_string_lossy().replace('\\', "/"),
            text,
        })
        .collect()
}

fn none_of(under: &str, words: &[&str], why: &str) {
    let found: Vec<String> =
        sources(under).iter().flat_map(|s| words.iter().flat_map(|w| s.places(w))).collect();
    assert!(found.is_empty(), "{under}: {why}\n{}", found.join("\n"));
}

#[test]
fn the_core_knows_no_window() {
    none_of("core/src", &["egui", "eframe", "winit"], "the core serves the command line as well");
}

#[test]
fn only_the_book_reads_and_writes_the_file() {
    for room in [
        "core/src/terms",
        "core/src/flock",
        "core/src/entry",
        "core/src/reckon",
        "core/src/registers",
        "core/src/papers",
    ] {
        none_of(room, &["rusqlite"], "the book alone knows the database");
    }
    let sql = ["rusqlite", "select * from", "insert into", "delete from", "pragma ", "sqlite"];
    none_of("app/src/pages", &sql, "pages read the flock and give intents");
    none_of("app/src/parts", &sql, "parts are shown what they show");
    none_of("app/src/pages", &[".write(", "write_many("], "the desk alone calls Book::write");
}

#[test]
fn the_reckoning_has_no_clock_and_no_files() {
    let clock = ["Local::now", "Utc::now", "SystemTime", "Instant", "::today()", "Minute::now"];
    let files = ["std::fs", "File::", "std::env", "std::net", "thread::spawn", "thread::sleep"];
    none_of("core/src/reckon", &clock, "the day is passed in");
    none_of("core/src/reckon", &files, "it computes, from what it is given");
    none_of("core/src/registers", &clock, "today is passed in");
    none_of("core/src/registers", &files, "it is made from the flock alone");
    none_of(
        "core/src/registers",
        &["crate::papers::", "crate::book", "crate::entry"],
        "it knows flock and reckoning",
    );
    none_of("core/src/entry", &clock, "today is passed in");
    none_of("core/src/flock", &clock, "a flock is as of a write");
    none_of("app/src/pages", &["std::fs", "File::"], "the desk alone touches files");
}

#[test]
fn colours_come_from_the_look() {
    let makers = ["Color32::from", "Rgba::from", "Hsva::", "hex_color!", "Color32::", "set_visuals"];
    let found: Vec<String> = sources("app/src")
        .iter()
        .filter(|s| !s.path.starts_with("app/src/look/"))
        .flat_map(|s| makers.iter().flat_map(|m| s.places(m)))
        .filter(|line| {
            // Nothing at all, and egui's own 'as the text is', are no colours.
            let rest = line.replace("Color32::TRANSPARENT", "").replace("Color32::PLACEHOLDER", "");
            makers.iter().any(|m| rest.contains(m))
        })
        .collect();
    assert!(found.is_empty(), "name the colour in look and use that\n{}", found.join("\n"));
}

/// Places that may stop the program, each with its reason.
const MAY_STOP: &[(&str, &str)] =
    &[("core/src/handbook/mod.rs", "the tables are part of the program, and tests read every one of them")];

#[test]
fn nothing_a_user_does_stops_the_program() {
    let mut found = Vec::new();
    for s in sources("core/src").iter().chain(&sources("app/src")) {
        for word in [".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "dbg!("] {
            found.extend(
                s.places(word).into_iter().filter(|p| !MAY_STOP.iter().any(|(place, _)| p.contains(place))),
            );
        }
    }
    assert!(found.is_empty(), "parse it or tell the user\n{}", found.join("\n"));
    for (place, why) in MAY_STOP {
        assert!(!why.is_empty(), "{place} needs a reason");
    }
}

#[test]
fn files_stay_short() {
    let top = top();
    let long: Vec<String> = files("", &[".rs"])
        .into_iter()
        .filter_map(|path| {
            let n = std::fs::read_to_string(&path).map(|t| t.lines().count()).unwrap_or_default();
            (n > 500).then(|| format!("{}: {n} lines", path.strip_prefix(&top).unwrap_or(&path).display()))
        })
        .collect();
    assert!(long.is_empty(), "split by topic\n{}", long.join("\n"));
}

#[test]
fn no_path_of_one_machine() {
    // Put together here, so that this file does not hold them.
    let paths = ["work", "root", "home"].map(|folder| format!("/{folder}/"));
    let top = top();
    let kinds = [".rs", ".toml", ".md", ".sql", ".py", ".txt", ".html", ".sh", "run", ".yml"];
    let mut found = Vec::new();
    for path in files("", &kinds) {
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        for (n, line) in text.lines().enumerate() {
            if paths.iter().any(|p| line.contains(p.as_str())) {
                found.push(format!(
                    "{}:{}: {}",
                    path.strip_prefix(&top).unwrap_or(&path).display(),
                    n + 1,
                    line.trim()
                ));
            }
        }
    }
    assert!(found.is_empty(), "another machine has other folders\n{}", found.join("\n"));
}
