//! The command line against the world: books that are damaged, newer, open elsewhere; folders that cannot be
//! written; disks without room; readers that go away. After each, the book holds what it held.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use hirsel_core::book::Book;
use hirsel_tests::cli::{hirsel, program, run, said, state};
use hirsel_tests::flocks::Folder;

const DAY: &str = "2026-04-10";

/// Runs `hirsel` with these words.
fn call(folder: &Path, words: &[&str]) -> Output {
    let mut c = hirsel(folder);
    c.args(words).stdin(Stdio::null());
    run(c)
}

/// Runs what must be done.
fn done(folder: &Path, words: &[&str]) -> String {
    let output = call(folder, words);
    assert!(output.status.success(), "{words:?}: {} {}", output.status, said(&output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Runs what must end with 2, these words, and nothing changed.
fn fails(folder: &Path, words: &[&str], why: &str) {
    let before = state(folder);
    let output = call(folder, words);
    assert_eq!(output.status.code(), Some(2), "{words:?}: {}", said(&output));
    assert_eq!(said(&output), format!("hirsel: {why}\n"), "{words:?}");
    unchanged(folder, &before, words);
}

fn unchanged(folder: &Path, before: &std::collections::BTreeMap<String, String>, words: &[&str]) {
    let after = state(folder);
    let names: Vec<&String> = after.keys().chain(before.keys()).collect();
    let changed: Vec<_> = names.into_iter().filter(|n| after.get(*n) != before.get(*n)).collect();
    assert!(changed.is_empty(), "{words:?} changed {changed:?}");
}

/// A folder with a small made-up flock, and files to import.
fn started() -> Folder {
    let folder = Folder::new();
    done(folder.path(), &["demo", "flock.hirsel", "--ewes", "6", "--seasons", "1", "--on", DAY]);
    std::fs::write(folder.path().join("more.csv"), "tag,sex\nNEW1,ewe\n").expect("a file to import");
    folder
}

#[test]
fn a_book_open_elsewhere_is_told_and_left_alone() {
    let folder = started();
    let open = Book::open(&folder.path().join("flock.hirsel")).unwrap();
    let locked = "flock.hirsel is open in another window or command: close it there first";
    for words in [
        &["import", "flock.hirsel", "animals", "more.csv"][..],
        &["export", "flock.hirsel", "animals"],
        &["check", "flock.hirsel"],
        &["backup", "flock.hirsel", "copy.hirsel"],
    ] {
        let output = call(folder.path(), words);
        assert_eq!(
            (output.status.code(), said(&output)),
            (Some(2), format!("hirsel: {locked}\n")),
            "{words:?}"
        );
    }
    assert!(open.flock().by_tag("NEW1").is_none());
    assert!(!folder.path().join("copy.hirsel").exists());
    open.close().unwrap();
    done(folder.path(), &["import", "flock.hirsel", "animals", "more.csv"]);
}

#[test]
fn a_truncated_book_names_its_copies_and_a_copy_comes_back() {
    let folder = started();
    done(folder.path(), &["backup", "flock.hirsel", "copy.hirsel"]);
    let book = folder.path().join("flock.hirsel");
    let bytes = std::fs::read(&book).unwrap();
    std::fs::write(&book, &bytes[..bytes.len() / 3]).unwrap();
    let missing = bytes.len() - bytes.len() / 3;
    let why = format!(
        "flock.hirsel is damaged or was cut short ({missing} bytes are missing at its end): restore a copy with 'hirsel restore'; copies are kept in flock.hirsel copies; 'hirsel check' also mends (--mend) and saves what can be read (--salvage)"
    );
    fails(folder.path(), &["import", "flock.hirsel", "animals", "more.csv"], &why);
    fails(folder.path(), &["check", "flock.hirsel"], &why);
    done(folder.path(), &["restore", "copy.hirsel", "flock.hirsel"]);
    assert!(done(folder.path(), &["check", "flock.hirsel"]).ends_with("The book is whole\n"));
    assert_eq!(
        std::fs::metadata(folder.path().join("flock.hirsel before restoring")).unwrap().len(),
        (bytes.len() / 3) as u64
    );
}

#[test]
fn a_damaged_page_is_told() {
    let folder = started();
    let book = folder.path().join("flock.hirsel");
    let mut bytes = std::fs::read(&book).unwrap();
    for b in &mut bytes[8192..] {
        *b = 0x5a;
    }
    std::fs::write(&book, &bytes).unwrap();
    let output = call(folder.path(), &["export", "flock.hirsel", "animals"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        said(&output).starts_with("hirsel: flock.hirsel is damaged or was cut short ("),
        "{}",
        said(&output)
    );
    assert!(output.stdout.is_empty());
}

#[test]
fn a_book_with_a_strangers_trigger_is_not_touched() {
    let folder = started();
    let book = folder.path().join("flock.hirsel");
    let sneak = "create trigger sneak after insert on animal begin delete from remark; end";
    rusqlite::Connection::open(&book).unwrap().execute_batch(sneak).unwrap();
    let before = std::fs::read(&book).unwrap();
    let why = "flock.hirsel is not laid out as Hirsel lays out its books (the trigger 'sneak' is none of its own): nothing of it was read or run. If it is your own, restore a copy with 'hirsel restore'; if somebody gave it to you, ask for a copy made by Hirsel";
    fails(folder.path(), &["import", "flock.hirsel", "animals", "more.csv"], why);
    fails(folder.path(), &["restore", "flock.hirsel", "other.hirsel"], why);
    assert_eq!(std::fs::read(&book).unwrap(), before);
    assert!(!folder.path().join("other.hirsel").exists());
}

#[test]
fn a_newer_book_is_not_touched() {
    let folder = started();
    let book = folder.path().join("flock.hirsel");
    let db = || rusqlite::Connection::open(&book).unwrap();
    let format: u32 = db().pragma_query_value(None, "user_version", |r| r.get(0)).unwrap();
    db().pragma_update(None, "user_version", 9_000).unwrap();
    let known = "9000";
    let before = std::fs::read(&book).unwrap();
    let output = call(folder.path(), &["import", "flock.hirsel", "animals", "more.csv"]);
    assert_eq!(output.status.code(), Some(2));
    let text = said(&output);
    assert!(
        text.starts_with(&format!(
            "hirsel: flock.hirsel was written by a newer Hirsel (format {known}; this one knows "
        )) && text.ends_with("): install the newer version\n"),
        "{text}"
    );
    assert_eq!(std::fs::read(&book).unwrap().len(), before.len());
    db().pragma_update(None, "user_version", format).unwrap();
    assert!(!done(folder.path(), &["export", "flock.hirsel", "animals"]).contains("NEW1"));
}

#[test]
fn places_that_cannot_be_written() {
    let folder = started();
    std::fs::write(folder.path().join("file"), "x").unwrap();
    let no_folder = |name: &str| format!("there is no folder {name}: make it first, or choose another");
    fails(folder.path(), &["new", "file/a.hirsel", "--flock", "A"], &no_folder("file"));
    fails(folder.path(), &["demo", "nowhere/a.hirsel"], &no_folder("nowhere"));
    fails(folder.path(), &["backup", "flock.hirsel", "nowhere/a.hirsel"], &no_folder("nowhere"));
    fails(
        folder.path(),
        &["export", "flock.hirsel", "animals", "-o", "file/a.csv"],
        "file/a.csv could not be written: a part of its name is no folder: check the name",
    );
    std::fs::create_dir(folder.path().join("room")).unwrap();
    fails(
        folder.path(),
        &["export", "flock.hirsel", "animals", "-o", "room"],
        "room could not be written: it is a folder: give the name of a file",
    );
    fails(
        folder.path(),
        &["import", "flock.hirsel", "animals", "room"],
        "room could not be read: it is a folder: give the name of a file",
    );
    if Path::new("/proc/self").exists() {
        fails(
            folder.path(),
            &["new", "/proc/a.hirsel", "--flock", "A"],
            "/proc/a.hirsel cannot be written: copy the book to a folder of your own, or change the folder's permissions",
        );
    }
}

/// Permissions do not bind root: the program is then run as nobody, if it can be reached.
#[cfg(unix)]
#[test]
fn a_read_only_folder_and_a_read_only_book() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt};
    use std::os::unix::process::CommandExt as _;
    let folder = started();
    let root = std::fs::metadata(folder.path()).unwrap().uid() == 0;
    let as_nobody = |words: &[&str]| {
        let mut c = hirsel(folder.path());
        if root {
            c.uid(65_534).gid(65_534);
        }
        c.args(words).stdin(Stdio::null());
        c
    };
    if as_nobody(&["--version"]).output().map_or(true, |o| !o.status.success()) {
        eprintln!("skipped: root, and nobody cannot reach {}", program().display());
        return;
    }
    let book = folder.path().join("flock.hirsel");
    std::fs::set_permissions(&book, PermissionsExt::from_mode(0o444)).unwrap();
    std::fs::set_permissions(folder.path(), PermissionsExt::from_mode(0o555)).unwrap();
    let before = std::fs::read(&book).unwrap();
    let read_only = |name: &str| {
        format!(
            "hirsel: {name} cannot be written: copy the book to a folder of your own, or change the folder's permissions\n"
        )
    };
    for (words, name) in [
        (&["import", "flock.hirsel", "animals", "more.csv"][..], "flock.hirsel"),
        (&["new", "a.hirsel", "--flock", "A"], "a.hirsel"),
        (&["demo", "a.hirsel"], "a.hirsel"),
    ] {
        let output = run(as_nobody(words));
        assert_eq!((output.status.code(), said(&output)), (Some(2), read_only(name)), "{words:?}");
    }
    assert_eq!(std::fs::read(&book).unwrap(), before);
    assert!(!folder.path().join("a.hirsel").exists());
    std::fs::set_permissions(folder.path(), PermissionsExt::from_mode(0o755)).unwrap();
}

/// A disk without room: no file may grow beyond so many blocks of 512 bytes, and a write beyond is an error.
#[cfg(unix)]
fn cramped(folder: &Path, blocks: u32, words: &[&str]) -> Output {
    let mut c = Command::new("sh");
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\"");
    c.args(["-c", &script, "sh"]).arg(program()).args(words).current_dir(folder).stdin(Stdio::null());
    c.env("HOME", folder).env("HIRSEL_HOME", folder.join("settings"));
    run(c)
}

#[cfg(unix)]
fn refused_for_room(folder: &Path, blocks: u32, words: &[&str], why: &str) {
    let before = state(folder);
    let output = cramped(folder, blocks, words);
    assert_eq!((output.status.code(), said(&output).as_str()), (Some(2), why), "{words:?}");
    unchanged(folder, &before, words);
}

#[cfg(unix)]
#[test]
fn no_room_on_the_disk_writes_nothing() {
    let folder = started();
    let size = std::fs::metadata(folder.path().join("flock.hirsel")).unwrap().len();
    let mut rows = String::from("tag,sex,note\n");
    for n in 0..3_000 {
        rows.push_str(&format!("N{n},ewe,a note that takes some room on the disk\n"));
    }
    std::fs::write(folder.path().join("many.csv"), rows).unwrap();
    let enough = u32::try_from(size / 512 + 64).unwrap();
    let full = |name: &str| {
        format!(
            "hirsel: there is no room left on the disk for {name}: nothing was written; free some room and do it again\n"
        )
    };
    for (blocks, words, why) in [
        (enough, &["import", "flock.hirsel", "animals", "many.csv"][..], full("flock.hirsel")),
        (8, &["new", "a.hirsel", "--flock", "A"], full("a.hirsel")),
        (200, &["demo", "a.hirsel"], full("a.hirsel")),
        (enough / 2, &["backup", "flock.hirsel", "copy.hirsel"], full("copy.hirsel")),
    ] {
        refused_for_room(folder.path(), blocks, words, &why);
    }
    done(folder.path(), &["check", "flock.hirsel"]);
    done(folder.path(), &["import", "flock.hirsel", "animals", "many.csv"]);
    done(folder.path(), &["backup", "flock.hirsel", "copy.hirsel"]);
    let restoring = ["restore", "copy.hirsel", "flock.hirsel"];
    // Nothing of the book is moved away for a copy that does not fit.
    refused_for_room(folder.path(), 256, &restoring, &full("flock.hirsel"));
    // The book can be opened, what is to be written beside it finds no room.
    for (words, name) in [
        (&["export", "flock.hirsel", "animals", "-o", "t.csv"][..], "t.csv"),
        (&["print", "flock.hirsel", "treatment-log", "-o", "t.pdf"], "t.pdf"),
    ] {
        let why = format!(
            "hirsel: {name} could not be written: there is no room left on the disk: free some and do it again\n"
        );
        refused_for_room(folder.path(), 128, words, &why);
    }
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let folder = Folder::new();
    done(folder.path(), &["demo", "flock.hirsel", "--ewes", "60", "--seasons", "2", "--on", DAY]);
    for words in [
        &["export", "flock.hirsel", "weighings"][..],
        &["import", "--help"],
        &["reckon", "flock.hirsel", "growth"],
    ] {
        let mut c = hirsel(folder.path());
        let mut child = c.args(words).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take()); // before a word is read
        let output = child.wait_with_output().unwrap();
        assert_eq!((output.status.code(), said(&output)), (Some(0), String::new()), "{words:?}");
    }
}

#[test]
fn what_is_piped_in_and_out() {
    use std::io::Write as _;
    let folder = started();
    let mut c = hirsel(folder.path());
    c.args(["import", "flock.hirsel", "animals", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = c.spawn().unwrap();
    child.stdin.take().unwrap().write_all(b"tag,sex\nNEW1,ewe\n").unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stdout), "Wrote 1 animal from what was piped in\n");
    let output = call(folder.path(), &["print", "flock.hirsel", "treatment-log", "-o", "-"]);
    assert!(output.status.success() && output.stdout.starts_with(b"%PDF-"));
    let csv = done(folder.path(), &["export", "flock.hirsel", "animals", "-o", "-"]);
    assert_eq!(csv, done(folder.path(), &["export", "flock.hirsel", "animals"]));
}

const KINDS: [&str; 28] = [
    "animals",
    "joinings",
    "lambings",
    "sessions",
    "weighings",
    "scores",
    "vets",
    "prescriptions",
    "treatments",
    "products",
    "batches",
    "stock",
    "egg-counts",
    "movements",
    "marks",
    "crayons",
    "scans",
    "tests",
    "decisions",
    "groups",
    "money",
    "feeds",
    "measures",
    "feed-sheets",
    "creeps",
    "rations",
    "feed-moves",
    "pen-checks",
];

/// Treatments come in without the prescriptions they name, and that is told.
#[test]
fn treatments_come_in_without_their_prescriptions() {
    let folder = Folder::new();
    let at = folder.path();
    done(at, &["demo", "flock.hirsel", "--ewes", "12", "--seasons", "2", "--on", DAY]);
    done(at, &["new", "copy.hirsel", "--flock", "Copy"]);
    for kind in ["animals", "treatments"] {
        let file = format!("{kind}.csv");
        done(at, &["export", "flock.hirsel", kind, "-o", &file]);
        let output = call(at, &["import", "copy.hirsel", kind, &file, "--on", DAY]);
        assert!(output.status.success(), "{kind}: {}", said(&output));
        let told = "no prescription of the book has the number";
        assert_eq!(kind == "treatments", said(&output).contains(told), "{kind}: {}", said(&output));
    }
}

#[test]
fn a_made_up_flock_comes_back_whole_from_its_tables() {
    let folder = Folder::new();
    let at = folder.path();
    done(at, &["demo", "flock.hirsel", "--on", DAY]);
    done(at, &["new", "copy.hirsel", "--flock", "Copy"]);
    for kind in KINDS {
        let file = format!("{kind}.csv");
        done(at, &["export", "flock.hirsel", kind, "-o", &file]);
        let before = state(at);
        let shown = done(at, &["import", "copy.hirsel", kind, &file, "--on", DAY, "--dry-run"]);
        assert_eq!(state(at), before, "a dry run writes nothing");
        let sorted = |text: &str| {
            let mut all: Vec<String> = text.lines().map(str::to_string).collect();
            all.sort();
            all
        };
        let (shown, written) = (sorted(&shown), sorted(&std::fs::read_to_string(at.join(&file)).unwrap()));
        if kind == "movements" {
            // Some came with the animals and the lambings: they are in the book already.
            assert!(shown.iter().all(|line| written.contains(line)), "{kind}");
        } else {
            assert_eq!(shown, written, "{kind}");
        }
        done(at, &["import", "copy.hirsel", kind, &file, "--on", DAY]);
    }
    for kind in KINDS {
        assert_eq!(
            done(at, &["export", "copy.hirsel", kind]),
            done(at, &["export", "flock.hirsel", kind]),
            "{kind}"
        );
    }
    for answer in ["clearance", "growth", "figures"] {
        let reckon = |book| done(at, &["reckon", book, answer, "--on", DAY, "--format", "json"]);
        assert_eq!(reckon("copy.hirsel"), reckon("flock.hirsel"), "{answer}");
        assert!(
            serde_json::from_str::<serde_json::Value>(&reckon("copy.hirsel"))
                .unwrap()
                .as_array()
                .unwrap()
                .len()
                > 10
        );
    }
    assert!(done(at, &["check", "copy.hirsel"]).ends_with("The book is whole\n"));
    // The same seed and day make the same flock.
    done(at, &["demo", "again.hirsel", "--on", DAY]);
    for kind in KINDS {
        assert_eq!(
            done(at, &["export", "again.hirsel", kind]),
            done(at, &["export", "flock.hirsel", kind]),
            "{kind}"
        );
    }
}

#[test]
fn the_copy_beside_the_book_and_in_a_folder() {
    let folder = started();
    let at = folder.path();
    std::fs::create_dir(at.join("stick")).unwrap();
    let copy = |text: String| -> PathBuf {
        at.join(text.trim_end().strip_prefix("Copied the book to ").expect("where the copy is"))
    };
    let first = copy(done(at, &["backup", "flock.hirsel"]));
    let second = copy(done(at, &["backup", "flock.hirsel"]));
    let third = copy(done(at, &["backup", "flock.hirsel", "stick"]));
    assert!(first != second && third.starts_with(at.join("stick")));
    for c in [first, second, third] {
        assert!(done(at, &["check", c.to_str().unwrap()]).ends_with("The book is whole\n"));
    }
}

#[test]
fn a_fault_of_the_program_leaves_a_report_and_is_told() {
    let folder = started();
    let home = folder.path().join("settings");
    let mut c = hirsel(folder.path());
    c.env("HIRSEL_HOME", &home).args(["--rehearse-fault", "command"]).stdin(Stdio::null());
    let output = run(c);
    assert_eq!(output.status.code(), Some(101));
    let reports: Vec<PathBuf> = std::fs::read_dir(home.join("reports"))
        .expect("the folder of reports")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    let [report] = reports.as_slice() else { panic!("one report: {reports:?}") };
    let told = said(&output);
    let line = told.lines().last().unwrap_or_default();
    assert!(
        line.starts_with("hirsel: it failed and closed itself; everything written is in the book."),
        "{told}"
    );
    assert!(line.contains(&report.display().to_string()) && line.contains("nothing was sent"), "{line}");
    let text = std::fs::read_to_string(report).expect("the report");
    for words in ["a fault on purpose", "app/src/crash.rs", "book format", "nothing was sent"] {
        assert!(text.contains(words), "{words}: {text}");
    }
}
