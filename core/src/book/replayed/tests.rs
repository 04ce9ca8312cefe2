//! A book altered behind its own back: in its tables, in its journal.

use crate::book::{Book, backup};
use crate::entry::{AnimalDraft, WeighingDraft, animals, weighings};
use crate::flock::Holding;
use crate::terms::{Day, Moment, Sex, Tag, Weight};
use rusqlite::Connection;
use std::path::PathBuf;

/// A book with three ewes, each weighed twice, the last weighing undone and written again; closed.
fn written(dir: &tempfile::TempDir) -> PathBuf {
    let path = dir.path().join("a.hirsel");
    let today = Day::today();
    let mut book = Book::create(&path, Holding { flock: "Test".into(), ..Holding::default() }).unwrap();
    let drafts: Vec<AnimalDraft> =
        ["0412", "0413", "0414"].map(|t| AnimalDraft::new(Tag::parse(t).unwrap(), Sex::Ewe)).into();
    let ids: Vec<_> = drafts.iter().map(|d| d.id).collect();
    book.write(animals(drafts, &book.flock(), today).unwrap().sure().unwrap()).unwrap();
    for n in 0..2 {
        let drafts = ids
            .iter()
            .map(|animal| WeighingDraft {
                animal: *animal,
                at: Moment::day(today.plus(n - 40)),
                weight: Weight::from_grams(61_500 + 100 * n).unwrap(),
                note: None,
            })
            .collect();
        book.write(weighings(drafts, &book.flock(), today).unwrap().despite("right").unwrap()).unwrap();
    }
    book.undo().unwrap().unwrap();
    book.redo().unwrap().unwrap();
    book.close().unwrap();
    path
}

/// What the whole test says of a book after a statement that its triggers did not see.
fn after(path: &std::path::Path, sql: &str) -> Vec<String> {
    let copy = path.with_file_name("b.hirsel");
    std::fs::copy(path, &copy).unwrap();
    let db = Connection::open(&copy).unwrap();
    db.pragma_update(None, "foreign_keys", false).unwrap();
    let n = db.execute(sql, []).unwrap();
    assert!(n > 0, "{sql} changed nothing");
    drop(db);
    let book = Book::open_plain(&copy).unwrap_or_else(|e| panic!("{sql}: {e}"));
    let report = book.check(&|_| {}).unwrap();
    book.close().unwrap();
    report.lines
}

#[test]
fn a_sound_book_agrees_with_its_journal() {
    let dir = tempfile::tempdir().unwrap();
    let path = written(&dir);
    let lines = after(&path, "update journal_entry set reason = reason where seq = 1");
    assert_eq!(lines.last().map(String::as_str), Some("The book is whole"), "{lines:#?}");
}

#[test]
fn whatever_is_altered_in_a_table_or_in_the_journal_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let path = written(&dir);
    let one = "(select max(id) from weighing)";
    for (sql, says) in [
        (format!("update weighing set weight_g = 61601 where id = {one}"), "Weighing of 0414"),
        (
            format!("update weighing set weight_g = 61601 where id = {one}"),
            "weight is '61.6 kg (61601)' in its table and '61.6 kg (61600)' in the journal",
        ),
        (
            format!("delete from weighing where id = {one}"),
            "the journal wrote it, but it is not in its table",
        ),
        (
            format!(
                "insert into weighing (id, animal, on_day, weight_g) select randomblob(16), animal, on_day, 5 from weighing where id = {one}"
            ),
            "no line of the journal wrote it",
        ),
        ("update setting set value = 'Tost' where name = 'flock'".into(), "Setting 'flock': value is 'Tost'"),
        (
            "update identity set tag = '0419' where tag = '0412'".into(),
            "Identity of 0419: tag is '0419' in its table and '0412'",
        ),
        (
            format!("update journal_change set new = replace(new, '61600', '61606') where key = hex({one})"),
            "in the journal",
        ),
        (
            format!(
                "update journal_change set old = replace(old, '61600', '61606') where key = hex({one}) and old is not null"
            ),
            "(what it was before a change)",
        ),
        (
            format!("update journal_change set new = '{{' where key = hex({one}) and new is not null"),
            "cannot be read",
        ),
        (
            format!("update journal_change set tbl = 'weigking' where key = hex({one})"),
            "of a table that there is not: 'weigking'",
        ),
        (format!("delete from journal_change where key = hex({one})"), "no line of the journal wrote it"),
    ] {
        let lines = after(&path, &sql);
        assert!(lines.iter().any(|l| l.contains(says)), "{sql}\n{lines:#?}");
        assert_ne!(lines.last().map(String::as_str), Some("The book is whole"));
    }
}

#[test]
fn no_more_than_twenty_are_told_one_by_one() {
    let dir = tempfile::tempdir().unwrap();
    let path = written(&dir);
    let lines = after(&path, "delete from journal_change");
    let told = lines.iter().filter(|l| l.contains("no line of the journal wrote it")).count();
    assert!(told <= super::MOST && told > 10, "{lines:#?}");
}

#[test]
fn a_line_of_the_journal_is_compared_with_the_copy_kept_before() {
    let dir = tempfile::tempdir().unwrap();
    let path = written(&dir);
    let folder = backup::folder(&path.with_file_name("b.hirsel"));
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::copy(&path, folder.join("2026-04-02.hirsel")).unwrap();
    let lines = after(&path, "update journal_entry set what = 'Nothing' where seq = 3");
    let told = lines.iter().find(|l| l.contains("says 'Nothing'")).unwrap_or_else(|| panic!("{lines:#?}"));
    assert!(told.ends_with("in the copy kept on 2 Apr 2026"), "{told}");
    // A line that came since is no difference.
    let lines = after(
        &path,
        "insert into journal_entry (id, at, who, kind, what, clock) values (randomblob(16), '2026-04-03 10:00:00', 'Maud', 'remark', 'x', 99)",
    );
    assert!(!lines.iter().any(|l| l.contains("copy kept")), "{lines:#?}");
}
