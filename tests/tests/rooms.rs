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

/// A part of a test module in a folder of its own, or beside its file.
fn is_of_tests(path: &Path) -> bool {
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    stem.ends_with("_tests") || path.parent().is_some_and(|p| p.ends_with("tests"))
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
            let name = next
                .trim_start_matches("pub ")
                .trim_start_matches("pub(crate) ")
                .trim_start_matches("pub(super) ")
                .strip_prefix("mod ");
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
        .filter(|(path, _)| !only_tests.contains(path) && !is_of_tests(path))
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

/// Files whose cautions are about the book, its tables and its figures: the page's own help explains them.
const OF_THE_BOOK: &[&str] = &[
    "app/src/desk/",
    "app/src/pages/book/",
    "app/src/pages/barn/",
    "app/src/pages/flock/roll/",
    "app/src/pages/inspect/",
    "app/src/pages/papers/",
    "app/src/pages/weights/",
    "app/src/pages/figures/",
    "app/src/pages/joining/marks/",
    "app/src/pages/keeping/",
    "app/src/pages/plan/form.rs",
    "app/src/pages/tonight/mod.rs",
    "app/src/pages/blood/genes/registry.rs",
    "app/src/pages/blood/diversity/",
    "app/src/pages/joining/pairs/",
    "app/src/pages/joining/groups/",
    "app/src/pages/treatments/held.rs",
    "app/src/pages/feed/costs.rs",
    "app/src/pages/feed/spring/",
    "app/src/pages/feed/store/",
    "app/src/pages/feed/rations/mod.rs",
    "app/src/parts/",
];

#[test]
fn cautions_about_animals_are_drawn_with_their_reason() {
    let drawn = ["look::sentence(ui,Kind::Caution", "look::banner(ui,Kind::Caution"];
    let bare: Vec<String> = sources("app/src")
        .into_iter()
        .filter(|s| !OF_THE_BOOK.iter().any(|p| s.path.starts_with(p)))
        .filter(|s| {
            let flat: String = s.code().flat_map(|(_, l)| l.split_whitespace()).collect();
            drawn.iter().any(|d| flat.contains(d))
        })
        .map(|s| s.path)
        .collect();
    assert!(bare.is_empty(), "draw these with parts::caution, which links to the reason: {bare:?}");
}

/// The file that speaks for a folder of sources.
fn head_of(folder: &Path) -> Option<PathBuf> {
    let name = folder.file_name()?.to_string_lossy().into_owned();
    [folder.join("mod.rs"), folder.join("lib.rs"), folder.with_file_name(format!("{name}.rs"))]
        .into_iter()
        .find(|p| p.is_file())
}

/// Its first lines.
fn first_words(file: &Path) -> String {
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let lines: Vec<&str> = text.lines().map_while(|l| l.strip_prefix("//!")).map(str::trim).collect();
    lines.join(" ")
}

#[test]
fn every_folder_says_what_lives_there() {
    let mut silent = Vec::new();
    for under in ["core/src", "app/src", "demo/src", "tests/src"] {
        let folders: BTreeSet<PathBuf> =
            files(under, &[".rs"]).iter().filter_map(|p| p.parent().map(Path::to_path_buf)).collect();
        // Programs of one file each have no head.
        for folder in folders.iter().filter(|f| !f.ends_with("bin")) {
            let words = head_of(folder).map(|head| first_words(&head)).unwrap_or_default();
            if words.len() < 30 {
                silent.push(format!("{}: '{words}'", folder.display()));
            }
        }
    }
    assert!(silent.is_empty(), "begin the folder's mod.rs with what lives there\n{}", silent.join("\n"));
}

#[test]
fn every_room_says_what_does_not_belong_there() {
    let bounds = [" no ", "knows no", "never", "nothing", "must not", "does not", "belongs", "not know"];
    let mut open = Vec::new();
    for house in ["core/src", "app/src"] {
        let entries = std::fs::read_dir(top().join(house)).expect("the house");
        for folder in entries.flatten().map(|e| e.path()).filter(|p| p.is_dir()) {
            let words = head_of(&folder).map(|head| first_words(&head)).unwrap_or_default().to_lowercase();
            if !bounds.iter().any(|b| words.contains(b)) {
                open.push(format!("{}: '{words}'", folder.display()));
            }
        }
    }
    assert!(open.is_empty(), "say in the room's first lines what must stay out of it\n{}", open.join("\n"));
}

/// `a/{b,c}` as `a/b` and `a/c`.
fn spelt_out(path: &str) -> Vec<String> {
    match path.split_once('{').and_then(|(a, rest)| rest.split_once('}').map(|(b, c)| (a, b, c))) {
        Some((before, between, behind)) => {
            between.split(',').map(|part| format!("{before}{part}{behind}")).collect()
        }
        None => vec![path.to_string()],
    }
}

#[test]
fn the_map_names_what_is_there() {
    let top = top();
    let map = std::fs::read_to_string(top.join("DEVELOPERS.md")).expect("the map");
    let all: Vec<String> = files("", &[""])
        .iter()
        .map(|p| format!("/{}", p.strip_prefix(&top).unwrap_or(p).to_string_lossy().replace('\\', "/")))
        .collect();
    let is_there = |path: &str| {
        let path = path.trim_end_matches('/');
        // A folder, a file, or a module in either form, under any room.
        let tails = [format!("/{path}"), format!("/{path}.rs")];
        let within = format!("/{path}/");
        all.iter().any(|f| tails.iter().any(|t| f.ends_with(t)) || f.contains(&within))
    };
    let endings = [".rs", ".toml", ".py", ".sql", ".md", ".svg", ".xml", ".desktop"];
    let mut named = 0;
    let mut gone = Vec::new();
    // Between every second pair of marks stands something of the code.
    for word in map.split('`').skip(1).step_by(2) {
        let word = word.split("::").next().unwrap_or_default();
        let is_path = word.contains('/') || endings.iter().any(|e| word.ends_with(e));
        if !is_path || word.contains([' ', '$', '<', '\n', '~']) || word.starts_with('.') && word.len() < 6 {
            continue;
        }
        // A name of many files: the folder they lie in.
        let word = match word.contains('*') || word.contains("NAME") {
            true => word.rsplit_once('/').map_or("", |(folder, _)| folder),
            false => word,
        };
        for path in spelt_out(word).iter().filter(|p| !p.is_empty()) {
            named += 1;
            if !is_there(path) {
                gone.push(path.clone());
            }
        }
    }
    assert!(named > 80, "{named}: the map was read");
    assert!(gone.is_empty(), "DEVELOPERS.md names what is not there: {}", gone.join(", "));
}
