//! The disk's own faults: room that ends at any moment, a file that goes away or is another one while the book is open, a
//! program that died with the book open.

use super::{many, sound};
use fastrand::Rng;
use hirsel_core::book::{Book, Failed};
use hirsel_tests::acts::entry;
use hirsel_tests::book::{new_book, room};
use hirsel_tests::scribe::{Promised, Scribe, command};
use std::path::{Path, PathBuf};
use std::process::Command;

const SCRIBE: &str = env!("CARGO_BIN_EXE_hirsel-scribe");

/// A small disk of its own in memory, gone when dropped.
struct Small(PathBuf);

impl Small {
    /// Only the machine's master may make one.
    fn of(folder: &Path, kilobytes: usize) -> Option<Self> {
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={kilobytes}k"), "tmpfs"])
            .arg(folder)
            .output()
            .ok()?;
        done.status.success().then(|| Self(folder.to_path_buf()))
    }

    fn grow(&self, kilobytes: usize) {
        let how = format!("remount,size={kilobytes}k");
        let done = Command::new("mount").args(["-o", &how]).arg(&self.0).status().expect("started");
        assert!(done.success());
    }
}

impl Drop for Small {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[test]
fn a_disk_that_is_full_at_any_moment() {
    let mut refused = 0;
    let steps = many(5, 60);
    for step in 0..steps {
        let folder = room();
        // A new book takes not quite a megabyte with its log; the last steps leave room for a few dozen writes.
        let Some(disk) = Small::of(folder.path(), 1500 + step * 1500 / steps) else {
            println!("skipped: only root may make a small disk here");
            return;
        };
        let mut book = new_book(folder.path());
        let path = book.path().to_path_buf();
        let mut promised = Promised::nothing();
        let mut rng = Rng::with_seed(step as u64);
        let mut failed = None;
        for n in 1..400 {
            let (records, check) = entry(&mut rng, &book.flock(), n);
            promised.hear(&[format!("do {n} write {records}")]);
            match book.write(check.expect("an entry").despite("made up").expect("sure")) {
                Ok(_) => promised.hear(&[format!("ok {n}")]),
                Err(e) => {
                    failed = Some(e);
                    break;
                }
            }
        }
        let failed = failed.unwrap_or_else(|| panic!("step {step}: the disk was never full"));
        assert!(matches!(failed, Failed::NoRoom(_)), "step {step}: {failed}");
        refused += 1;
        let copy = folder.path().join("copy.hirsel");
        assert!(book.backup(&copy).is_err() && !copy.exists(), "half a copy is none");
        // Closing needs room as well; without it the log stays beside the book, and nothing is lost.
        let _ = book.close();
        let tight = Book::open_plain(&path);
        if let Ok(book) = &tight {
            promised.clone().settle(&book.flock()).unwrap_or_else(|e| panic!("step {step}: {e}"));
        }
        drop(tight);
        disk.grow(20_000);
        let mut book = Book::open_plain(&path).unwrap_or_else(|e| panic!("step {step}: {e}"));
        promised.settle(&book.flock()).unwrap_or_else(|e| panic!("step {step}: {e}"));
        let (_, check) = entry(&mut rng, &book.flock(), 1000);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("there is room again");
        book.close().expect("closed");
        sound(&path, &format!("step {step}"));
    }
    println!("{refused} full disks: each write refused whole, the book whole afterwards");
}

#[test]
fn a_program_that_died_leaves_the_book_free() {
    let folder = room();
    let path = folder.path().join("a.hirsel");
    new_book(folder.path()).close().expect("closed");
    let mut first = Scribe::start(command(SCRIBE, &path, 1));
    first.until_first_ok();
    assert!(matches!(Book::open_plain(&path), Err(Failed::Locked(_))));
    let mut promised = Promised::nothing();
    promised.hear(&first.kill().lines);
    let book = Book::open_plain(&path).expect("free at once");
    promised.settle(&book.flock()).unwrap_or_else(|e| panic!("{e}"));
    book.close().expect("closed");
    sound(&path, "after the first died");
}

/// The folder with the book is moved away, or another file takes the book's name, while it is open: what is written goes on
/// into the book that was opened, and the other file is left alone.
#[test]
fn a_book_that_is_moved_while_it_is_open() {
    let folder = room();
    let (home, away) = (folder.path().join("home"), folder.path().join("away"));
    std::fs::create_dir(&home).expect("made");
    let mut book = new_book(&home);
    let path = book.path().to_path_buf();
    let mut rng = Rng::with_seed(8);
    let mut write = |book: &mut Book, n| {
        let (_, check) = entry(&mut rng, &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).map(|_| book.flock().len())
    };
    let before = write(&mut book, 1).expect("written");
    std::fs::rename(&home, &away).expect("moved");
    std::fs::create_dir(&home).expect("made");
    std::fs::write(&path, "another file").expect("written");
    let after = write(&mut book, 2).unwrap_or(before);
    let _ = book.close();
    assert_eq!(std::fs::read(&path).expect("read"), b"another file", "left alone");
    let moved = Book::open_plain(&away.join("a.hirsel")).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(moved.flock().len(), after, "what was acknowledged is in the book that was moved");
    moved.close().expect("closed");
    sound(&away.join("a.hirsel"), "moved");
}

/// A stick pulled out: the folder is gone for good. Nothing panics, and every act says so or does no harm.
#[test]
fn a_folder_that_is_gone() {
    let folder = room();
    let home = folder.path().join("home");
    std::fs::create_dir(&home).expect("made");
    let mut book = new_book(&home);
    std::fs::remove_dir_all(&home).expect("gone");
    assert!(book.backup(&home.join("copy.hirsel")).is_err());
    let (_, check) = entry(&mut Rng::with_seed(8), &book.flock(), 1);
    let _ = book.write(check.expect("an entry").despite("made up").expect("sure"));
    let _ = book.close();
    assert!(!home.exists(), "nothing is made up in its place");
    assert!(matches!(Book::open(&home.join("a.hirsel")), Err(Failed::NotThere(_))));
}
