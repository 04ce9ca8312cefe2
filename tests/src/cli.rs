//! The command line as a person at a terminal meets it: transcripts of commands with what they print.
//!
//! A transcript is a text file. Its lines begin with: `#` a remark; `<` a file to make, its lines after `|`
//! (with `\r`, `\t`, `\\`, `\xE9`, and `\` at the end for no line end); `$` a command; then, as they come, what it printed on standard
//! output (as it is), on standard error (after `! `), and its exit code (`= 1`) when that is not 0. `UPDATE=1` writes what
//! was really printed into the file: look at it before committing.
//!
//! After every command that did not end with 0, every book of the folder must hold what it held before, and no
//! file may have come or gone.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

use crate::flocks::Folder;

/// The program under its own name. Whatever builds these tests builds it too, as `hirsel-whole`, of the same parts.
///
/// # Panics
/// When it is not there, or cannot be given its name.
pub fn program() -> &'static Path {
    static FOUND: OnceLock<PathBuf> = OnceLock::new();
    FOUND.get_or_init(|| {
        let me = std::env::current_exe().unwrap_or_else(|e| panic!("{e}"));
        // target/debug/deps/test-1234 → target/debug/hirsel-whole
        let folder = me
            .ancestors()
            .find(|a| a.file_name().is_some_and(|n| n == "deps"))
            .and_then(Path::parent)
            .unwrap_or_else(|| panic!("no target folder above {}", me.display()));
        let ending = std::env::consts::EXE_SUFFIX;
        let whole = folder.join(format!("hirsel-whole{ending}"));
        let place = folder.join("under-its-name");
        let program = place.join(format!("hirsel{ending}"));
        // Other tests may do the same at this moment: each puts a whole file in place, the last one stays.
        let mine = place.join(format!("{}", std::process::id()));
        std::fs::create_dir_all(&place)
            .and_then(|()| std::fs::hard_link(&whole, &mine))
            .and_then(|()| std::fs::rename(&mine, &program))
            .unwrap_or_else(|e| panic!("{} as {}: {e}", whole.display(), program.display()));
        let _ = std::fs::remove_file(mine); // it stays where both names were of one file already
        program
    })
}

/// The folder of the workspace.
pub fn workspace() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("."))
}

/// A call of the program in a folder, without a display and with settings of its own.
pub fn hirsel(folder: &Path) -> Command {
    let mut c = Command::new(program());
    c.current_dir(folder)
        .env("HIRSEL_HOME", folder.join("settings"))
        .env("HOME", folder)
        .env("USER", "keeper")
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET");
    c
}

/// Runs a call to its end.
///
/// # Panics
/// When the program cannot be started.
pub fn run(mut call: Command) -> Output {
    call.output().unwrap_or_else(|e| panic!("{call:?}: {e}"))
}

/// What a call printed on standard error.
pub fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Everything the books of a folder hold, and which files lie in it.
///
/// # Panics
/// When the folder cannot be read.
pub fn state(folder: &Path) -> BTreeMap<String, String> {
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{e}")).flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        // Copies on opening are no writing of the book's.
        if name.ends_with(" copies") {
            continue;
        }
        let held = match name.ends_with(".hirsel") {
            true => rows(&entry.path()).unwrap_or_else(|| digest(&entry.path())),
            false => digest(&entry.path()),
        };
        all.insert(name, held);
    }
    all
}

fn digest(path: &Path) -> String {
    format!("{:?}", std::fs::read(path).ok())
}

/// Every row of every table, journal included; none if it is no readable database.
fn rows(book: &Path) -> Option<String> {
    let db = rusqlite::Connection::open_with_flags(book, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).ok()?;
    let tables: Vec<String> = db
        .prepare("select name from sqlite_schema where type = 'table' order by name")
        .ok()?
        .query_map([], |r| r.get(0))
        .ok()?
        .collect::<Result<_, _>>()
        .ok()?;
    let mut text = String::new();
    for table in tables {
        let mut statement = db.prepare(&format!("select * from {table}")).ok()?;
        let n = statement.column_count();
        let mut found = statement.query([]).ok()?;
        while let Some(row) = found.next().ok()? {
            let values: Vec<String> =
                (0..n).map(|i| row.get_ref(i).map(|v| format!("{v:?}")).unwrap_or_default()).collect();
            text.push_str(&format!("{table} {}\n", values.join(" ")));
        }
    }
    Some(text)
}

/// Plays a transcript and compares what is printed.
///
/// # Panics
/// When something else is printed than the file says, or a refused command wrote something.
pub fn play(file: &Path) {
    let expected = std::fs::read_to_string(file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let folder = Folder::new();
    let mut actual = String::new();
    let mut making: Option<(PathBuf, Vec<u8>)> = None;
    let mut printing = false;
    for line in expected.lines() {
        if let Some(text) = line.strip_prefix("| ").or_else(|| (line == "|").then_some("")) {
            actual.push_str(&format!("{line}\n"));
            if let Some((_, bytes)) = &mut making {
                bytes.extend(unescaped(text));
            }
            continue;
        }
        if let Some((path, bytes)) = making.take() {
            std::fs::write(&path, bytes).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        }
        if let Some(name) = line.strip_prefix("< ") {
            making = Some((folder.path().join(name), Vec::new()));
        } else if let Some(command) = line.strip_prefix("$ ") {
            actual.push_str(&format!("{line}\n"));
            actual.push_str(&shown(folder.path(), command, file));
            printing = true;
            continue;
        } else if printing && !line.starts_with('#') {
            continue; // what was printed
        }
        printing = false;
        actual.push_str(&format!("{line}\n"));
    }
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(file, &actual).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    } else if actual != expected {
        let (now, then): (Vec<_>, Vec<_>) = (actual.lines().collect(), expected.lines().collect());
        let at = now.iter().zip(&then).take_while(|(a, b)| a == b).count();
        panic!(
            "{} differs at line {}:\n  it says    {}\n  it printed {}\nin full:\n{actual}",
            file.display(),
            at + 1,
            then.get(at).unwrap_or(&"nothing more"),
            now.get(at).unwrap_or(&"nothing more")
        );
    }
}

fn shown(folder: &Path, command: &str, file: &Path) -> String {
    let words = words(command);
    assert_eq!(words.first().map(String::as_str), Some("hirsel"), "{}: {command}", file.display());
    let before = state(folder);
    let mut call = hirsel(folder);
    // `… < FILE` pipes a file in.
    let (args, input) = match &words[1..] {
        [args @ .., sign, file] if sign == "<" => (args, std::fs::File::open(folder.join(file)).ok()),
        args => (args, None),
    };
    call.args(args).stdin(input.map_or_else(std::process::Stdio::null, std::process::Stdio::from));
    let output = run(call);
    let mut text = String::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        text.push_str(&format!("{line}\n"));
    }
    for line in said(&output).lines() {
        text.push_str(&if line.is_empty() { "!\n".into() } else { format!("! {line}\n") });
    }
    match output.status.code() {
        Some(0) => {}
        code => {
            text.push_str(&format!("= {}\n", code.map_or_else(|| "killed".into(), |c| c.to_string())));
            let after = state(folder);
            let differ = |n: &&String| after.get(*n) != before.get(*n);
            let changed: Vec<&String> = before.keys().chain(after.keys()).filter(differ).collect();
            assert!(
                changed.is_empty(),
                "{}: '{command}' was refused, yet changed: {changed:?}",
                file.display()
            );
        }
    }
    text
}

/// Words between blanks; a word in double quotes may hold blanks.
fn words(command: &str) -> Vec<String> {
    let mut all = Vec::new();
    for (i, part) in command.split('"').enumerate() {
        if i % 2 == 1 {
            all.push(part.to_string());
        } else {
            all.extend(part.split_whitespace().map(str::to_string));
        }
    }
    all
}

fn unescaped(line: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut chars = line.chars();
    while let Some(c) = chars.next() {
        if c != '\\' {
            bytes.extend(c.to_string().as_bytes());
            continue;
        }
        match chars.next() {
            Some('r') => bytes.push(b'\r'),
            Some('t') => bytes.push(b'\t'),
            Some('x') => {
                let hex: String = chars.by_ref().take(2).collect();
                bytes.push(u8::from_str_radix(&hex, 16).unwrap_or(b'?'));
            }
            Some(c) => bytes.extend(c.to_string().as_bytes()),
            None => return bytes,
        }
    }
    bytes.push(b'\n');
    bytes
}

/// Every transcript of a folder of this crate, by name.
///
/// # Panics
/// When the folder cannot be read or is empty.
pub fn transcripts(folder: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut all: Vec<PathBuf> = std::fs::read_dir(&path)
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    all.sort();
    assert!(!all.is_empty(), "{}", path.display());
    all
}
