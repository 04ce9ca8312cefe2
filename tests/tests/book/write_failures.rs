//! A book that cannot be written: no room on the disk, read-only, open elsewhere. Each says what to do, and the
//! book is whole afterwards.

use hirsel_core::book::Book;
use hirsel_tests::book::{new_book, room};
use hirsel_tests::journal;
use hirsel_tests::scribe::{Promised, Said, Scribe, command};
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;

const SCRIBE: &str = env!("CARGO_BIN_EXE_hirsel-scribe");

fn closed_book(folder: &Path) -> std::path::PathBuf {
    let book = new_book(folder);
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    path
}

/// The one line a person reads.
fn message(said: &Said) -> &str {
    assert_eq!(said.code, Some(2), "{}", said.error);
    let text = said.error.trim();
    assert_eq!(text.lines().count(), 1, "{text}");
    text
}

fn whole(path: &Path, promised: &mut Promised) {
    let book = Book::open_plain(path).unwrap_or_else(|e| panic!("{e}"));
    promised.settle(&book.flock()).unwrap_or_else(|e| panic!("{e}"));
    book.close().expect("closed");
    journal::whole(&rusqlite::Connection::open(path).expect("opens")).unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn no_room_on_the_disk() {
    for more in [0, 40, 200, 1000, 4000] {
        let folder = room();
        let path = closed_book(folder.path());
        let size = path.metadata().expect("there").len();
        // Files may not grow beyond this many blocks of 512 bytes: a full disk, for this one process.
        let blocks = size / 512 + more;
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let mut limited = Command::new("sh");
        limited.args(["-c", &script, SCRIBE]).arg(&path).arg("1");
        let said = Scribe::start(limited).end();
        let text = message(&said);
        assert!(text.contains("there is no room left on the disk"), "{text}");
        assert!(text.contains("nothing was written"), "{text}");
        let mut promised = Promised::nothing();
        promised.hear(&said.lines);
        if more > 200 {
            assert!(promised.acts > 0, "some were written before the disk was full");
        }
        whole(&path, &mut promised);
        // With room again it goes on where it stopped.
        let mut again = command(SCRIBE, &path, promised.next);
        again.arg("20");
        let said = Scribe::start(again).end();
        assert_eq!(said.code, Some(0), "{}", said.error);
        promised.hear(&said.lines);
        whole(&path, &mut promised);
    }
}

#[test]
fn open_in_two_programs() {
    let folder = room();
    let path = closed_book(folder.path());
    let mut first = Scribe::start(command(SCRIBE, &path, 1));
    first.until_first_ok();
    let second = Scribe::start(command(SCRIBE, &path, 5000)).end();
    let text = message(&second);
    assert!(text.contains("is open in another window or command: close it there first"), "{text}");
    assert!(second.lines.is_empty());
    let mut promised = Promised::nothing();
    promised.hear(&first.kill().lines);
    whole(&path, &mut promised);
}

/// A program that may write no more than file modes allow: for root they mean nothing, so it becomes another.
fn as_a_plain_user() -> Option<Command> {
    let id = Command::new("id").arg("-u").output().ok()?;
    if String::from_utf8_lossy(&id.stdout).trim() != "0" {
        return Some(Command::new(SCRIBE));
    }
    let mut plain = Command::new("setpriv");
    plain.args(["--reuid=65534", "--regid=65534", "--clear-groups"]);
    let mut tried = Command::new("setpriv");
    tried.args(["--reuid=65534", "--regid=65534", "--clear-groups", SCRIBE]);
    // Without a book it says how it is called; if it cannot be started at all, that is not what it says.
    let can = tried.output().is_ok_and(|o| String::from_utf8_lossy(&o.stderr).contains("BOOK"));
    plain.arg(SCRIBE);
    can.then_some(plain)
}

#[test]
fn a_book_that_may_only_be_read() {
    for (folder_mode, file_mode) in [(0o555, 0o444), (0o755, 0o444), (0o555, 0o666)] {
        let Some(mut scribe) = as_a_plain_user() else {
            println!("skipped: run as root, and no plain user can run the scribe");
            return;
        };
        let folder = room();
        let path = closed_book(folder.path());
        let mode = |path: &Path, mode| {
            std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("a mode");
        };
        let bytes = std::fs::read(&path).expect("read");
        mode(&path, file_mode);
        mode(folder.path(), folder_mode);
        let said = Scribe::start({
            scribe.arg(&path).arg("1");
            scribe
        })
        .end();
        let text = message(&said).to_string();
        mode(folder.path(), 0o755);
        assert!(text.contains("cannot be written"), "{folder_mode:o} {file_mode:o}: {text}");
        assert!(text.contains("permissions"), "{text}");
        assert!(said.lines.is_empty());
        assert_eq!(std::fs::read(&path).expect("read"), bytes, "untouched");
        let left: Vec<_> = std::fs::read_dir(folder.path()).expect("read").flatten().collect();
        assert_eq!(left.len(), 1, "nothing is left beside it: {left:?}");
    }
}
