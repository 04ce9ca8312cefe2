//! What is in the ZIP, read back by another part of the library than wrote it; the tables come in again.

use super::super::common::{Desk, TODAY, day, exported};
use super::super::{Form, Value, listed::is_number, table};
use super::*;
use crate::entry::{self, BatchDraft, DocumentDraft, PenMoveDraft, RemarkDraft, WeighingDraft};
use crate::flock::{DocumentOf, RecordRef};
use crate::phrase;
use crate::terms::speech::Say;
use crate::terms::{AnimalId, DayOrder, Moment, Weight};
use sha2::{Digest as _, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Cursor, Read as _};
use std::sync::Arc;

/// The book itself as a source.
struct Opened<'a>(&'a crate::book::Book);

impl Source for Opened<'_> {
    fn journal(&mut self, after: i64, most: u32) -> Result<Vec<JournalLine>, String> {
        self.0.journal_lines(after, most).map_err(|e| e.to_string()).map(|all| {
            let line = |p: crate::book::Past| JournalLine {
                line: p.seq,
                at: p.at,
                who: p.who,
                what: p.what,
                why: p.reason,
                undoes: p.undoes,
                redoes: p.redoes,
            };
            all.into_iter().map(line).collect()
        })
    }

    fn paper(&mut self, id: DocumentId) -> Result<Option<Vec<u8>>, String> {
        self.0.document(id).map_err(|e| e.to_string())
    }
}

const PAPER: &[u8] = b"%PDF-1.4 an invoice";

/// A book with some of everything that no kind carries.
fn desk() -> Desk {
    let mut desk = Desk::new();
    desk.took(Kind::Animals, "tag,sex,born,pen,name\n0412,ewe,2022-03-01,Jug 1,=Bracken\n-12,ewe,2021,,\n");
    desk.took(Kind::Weighings, "tag,on,weight_kg,note\n0412,2026-04-03,61.25,wet\n-12,2026-04-03,58,\n");
    desk.took(Kind::Products, "product,mg_per_ml\nLevamisole drench,75\n");
    let today = day(TODAY);
    let ewe = desk.flock().by_tag("0412").unwrap();
    let moved = PenMoveDraft { animals: vec![ewe], on: day("2026-04-02"), pen: Some("Top field".into()) };
    let check = entry::pen_move(moved, &desk.flock(), today);
    assert!(desk.has(check));
    let remark = RemarkDraft { animals: vec![ewe], on: day("2026-04-04"), text: "lame, near fore".into() };
    let check = entry::remark(remark, &desk.flock(), today);
    assert!(desk.has(check));
    let check =
        entry::strike(ewe, RecordRef::Weighing(weighing(&desk, ewe)), "wrong ewe", &desk.flock(), today);
    assert!(desk.has(check));
    let draft = BatchDraft {
        product: desk.flock().products()[0].name.clone(),
        number: "B12".into(),
        ..BatchDraft::default()
    };
    let check = entry::batches(vec![draft], &desk.flock(), today);
    assert!(desk.has(check));
    let of = DocumentOf::Record(RecordRef::Batch(desk.flock().cupboard().batches[0].id));
    let draft = DocumentDraft { of, name: "../inv/oice.pdf".into(), bytes: PAPER.to_vec().into(), on: None };
    let check = entry::documents(vec![draft], &desk.flock(), today);
    assert!(desk.has(check));
    desk
}

fn weighing(desk: &Desk, animal: AnimalId) -> crate::terms::WeighingId {
    desk.flock().file(animal).unwrap().weighings[0].id
}

fn packed(desk: &Desk) -> (Vec<u8>, Packed) {
    let mut to = Cursor::new(Vec::new());
    let done = write(&desk.flock(), &mut Opened(&desk.book), day(TODAY), &mut to, &mut |_| true).unwrap();
    (to.into_inner(), done)
}

fn unpacked(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..zip.len())
        .map(|i| {
            let mut file = zip.by_index(i).unwrap();
            let mut all = Vec::new();
            file.read_to_end(&mut all).unwrap();
            (file.name().unwrap().to_string(), all)
        })
        .collect()
}

/// A table as heads and rows.
fn rows(file: &[u8]) -> (Vec<String>, Vec<Vec<String>>) {
    let text = std::str::from_utf8(file).unwrap();
    let mut lines: Vec<Vec<String>> = table::split(text, ',').unwrap().into_iter().map(|l| l.cells).collect();
    let heads = lines.remove(0);
    (heads, lines)
}

#[test]
fn every_file_and_column_is_told_and_summed() {
    let desk = desk();
    let (bytes, done) = packed(&desk);
    let files = unpacked(&bytes);
    assert_eq!((done.files, done.papers), (files.len(), 1));
    let (_, told) = rows(&files["dictionary.csv"]);
    let as_whole: BTreeSet<&str> = told.iter().filter(|r| r[1].is_empty()).map(|r| r[0].as_str()).collect();
    assert_eq!(as_whole, files.keys().map(String::as_str).collect());
    let mut counted = 0;
    for (name, file) in files.iter().filter(|(name, _)| name.ends_with(".csv")) {
        let (heads, lines) = rows(file);
        let columns: Vec<&String> =
            told.iter().filter(|r| r[0] == *name && !r[1].is_empty()).map(|r| &r[1]).collect();
        assert_eq!(columns, heads.iter().collect::<Vec<_>>(), "{name}");
        assert!(told.iter().filter(|r| r[0] == *name).all(|r| !r[2].is_empty()), "{name} has no meaning");
        counted += lines.len() as u64;
    }
    let (heads, sums) = rows(&files["manifest.csv"]);
    assert_eq!(heads.join(","), "file,rows,size_bytes,sha256");
    assert_eq!(done.rows, counted - sums.len() as u64, "the manifest does not count itself");
    assert_eq!(sums.len(), files.len() - 1);
    for sum in &sums {
        let file = &files[&sum[0]];
        assert_eq!(sum[2], file.len().to_string());
        let hex: String = Sha256::digest(file).iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(sum[3], hex);
        let csv = sum[0].ends_with(".csv").then(|| rows(file).1.len().to_string());
        assert_eq!(sum[1], csv.unwrap_or_default(), "{}", sum[0]);
    }
}

#[test]
fn what_no_kind_carries_is_there() {
    let files = unpacked(&packed(&desk()).0);
    let text = |name: &str| std::str::from_utf8(&files[name]).unwrap().to_string();
    assert!(text("more/pens.csv").contains("0412,2026-04-02,Top field,,"), "{}", text("more/pens.csv"));
    assert!(text("more/notes.csv").contains("0412,2026-04-04,\"lame, near fore\",,"));
    assert!(text("more/flock.csv").contains("flock,Test flock"));
    let struck = text("more/struck-out-weighings.csv");
    let (heads, lines) = rows(struck.as_bytes());
    assert_eq!(heads.join(","), "tag,on,weight_kg,time,note,session,struck_on,struck_because,struck_by");
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0][..3], ["0412", "2026-04-03", "61.25"]);
    assert_eq!(lines[0][6..8], [TODAY, "wrong ewe"]);
    assert!(!text("tables/05-weighings.csv").contains("0412"), "what is struck out stands there no more");
    // A name that leads elsewhere does not.
    assert_eq!(files["papers/0001 _inv_oice.pdf"], PAPER);
    assert!(text("more/papers.csv").contains("papers/0001 _inv_oice.pdf"));
    let (_, journal) = rows(&files["more/journal.csv"]);
    assert!(journal.iter().any(|l| l[4] == "wrong ewe"), "{journal:?}");
    assert!(text("READ ME.txt").contains("Test flock") && text("READ ME.txt").contains("25 November 2026"));
    assert!(text("tables/01-animals.csv").contains("'=Bracken"), "text is guarded");
}

#[test]
fn the_tables_come_in_again() {
    let desk = desk();
    let files = unpacked(&packed(&desk).0);
    let mut copy = Desk::new();
    for kind in Kind::ALL {
        copy.import(kind, &files[&place(kind)]).unwrap_or_else(|e| panic!("{}: {e:#?}", kind.word()));
    }
    assert_eq!(exported(&copy.flock()), exported(&desk.flock()));
}

#[test]
fn the_same_book_makes_the_same_bytes_and_a_stream_the_same_files() {
    let desk = desk();
    let (one, _) = packed(&desk);
    assert!(one == packed(&desk).0);
    let mut to = Vec::new();
    let done = stream(&desk.flock(), &mut Opened(&desk.book), day(TODAY), &mut to, &mut |_| true).unwrap();
    assert_eq!(unpacked(&to), unpacked(&one));
    assert_eq!(done.papers, 1);
}

/// A window that speaks otherwise takes out the same bytes: other programs read them.
#[test]
fn however_it_is_spoken_the_files_are_the_same() {
    let desk = desk();
    let (plain, _) = packed(&desk);
    let words: Say = Arc::new(|text: &str| Some(text.to_uppercase()));
    let spoken = Speech { words: Some(words), days: DayOrder::MonthFirst, ..Speech::default() }.during();
    assert_eq!(phrase!("spoken otherwise on {}", day(TODAY).words()).find("SPOKEN"), Some(0));
    let (otherwise, _) = packed(&desk);
    let weighings = crate::exchange::export(Kind::Weighings, &desk.flock());
    drop(spoken);
    assert_eq!(unpacked(&plain), unpacked(&otherwise));
    assert_eq!(weighings, crate::exchange::export(Kind::Weighings, &desk.flock()));
}

#[test]
fn it_stops_when_it_is_told_and_says_what_failed() {
    let desk = desk();
    let mut last = 0;
    let mut steps = 0;
    let all = write(&desk.flock(), &mut Opened(&desk.book), day(TODAY), Cursor::new(Vec::new()), &mut |p| {
        assert!(p >= last && p <= 100);
        (last, steps) = (p, steps + 1);
        true
    });
    assert!(all.is_ok() && steps > 30);
    for stop in [1, 20, steps] {
        let mut n = 0;
        let got =
            write(&desk.flock(), &mut Opened(&desk.book), day(TODAY), Cursor::new(Vec::new()), &mut |_| {
                n += 1;
                n < stop
            });
        assert!(matches!(got, Err(Stuck::Stopped)));
    }
    // What was written till then is no ZIP.
    let mut half = Cursor::new(Vec::new());
    let mut n = 0;
    let got = write(&desk.flock(), &mut Opened(&desk.book), day(TODAY), &mut half, &mut |_| {
        n += 1;
        n < 20
    });
    assert!(got.is_err() && zip::ZipArchive::new(half).is_err());
    struct Broken;
    impl Source for Broken {
        fn journal(&mut self, _: i64, _: u32) -> Result<Vec<JournalLine>, String> {
            Err("the disk is gone".into())
        }
        fn paper(&mut self, _: DocumentId) -> Result<Option<Vec<u8>>, String> {
            Ok(None)
        }
    }
    let got = write(&desk.flock(), &mut Broken, day(TODAY), Cursor::new(Vec::new()), &mut |_| true);
    assert_eq!(got.unwrap_err().to_string(), "the disk is gone");
    struct Full;
    impl Write for Full {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::ErrorKind::StorageFull.into())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let got = stream(&desk.flock(), &mut Opened(&desk.book), day(TODAY), Full, &mut |_| true);
    assert!(matches!(got, Err(Stuck::File(e)) if e.kind() == std::io::ErrorKind::StorageFull));
}

#[test]
fn names_of_papers_lead_nowhere_else() {
    for (name, kind, want) in [
        ("invoice.pdf", "pdf", "invoice.pdf"),
        ("../../etc/x.pdf", "pdf", "_.._etc_x.pdf"),
        ("C:\\a|b.png", "png", "C__a_b.png"),
        ("..", "jpeg", "paper.jpg"),
        ("", "a/b", "paper.bin"),
        ("Rechnung für Ahorn.PDF", "pdf", "Rechnung für Ahorn.pdf"),
    ] {
        assert_eq!(more::file_name(name, kind), want);
    }
    assert_eq!(more::file_name(&"x".repeat(300), "pdf").len(), 84);
}

/// Values are written as the dictionary says, in the tables of any flock.
pub(crate) fn forms_hold(flock: &Flock) {
    for kind in Kind::ALL {
        let list = list(kind, flock);
        for row in &list.rows {
            for (head, value) in list.heads.iter().zip(row) {
                let text = value.plain();
                let good = match kind.form(head) {
                    Form::Number => text.is_empty() || is_number(&text),
                    Form::Day => text.is_empty() || matches!(value, Value::Day(_)),
                    Form::YesNo => ["", "yes", "no"].contains(&text.as_str()),
                    Form::Time => text.is_empty() || crate::terms::Minute::parse(&text).is_ok(),
                    Form::Text | Form::NumberOrWords | Form::DayOrWords => true,
                };
                assert!(good, "{} {head}: {text}", kind.word());
            }
        }
    }
}

#[test]
fn a_struck_weighing_of_many_stands_with_its_own_reason() {
    let mut desk = desk();
    let today = day(TODAY);
    let ewe = desk.flock().by_tag("-12").unwrap();
    for (n, reason) in ["slipped", "scale not at zero"].into_iter().enumerate() {
        let draft = WeighingDraft {
            animal: ewe,
            at: Moment::day(day("2026-05-01").plus(n as i64)),
            weight: Weight::from_grams(60_000 + n as i64).unwrap(),
            note: None,
        };
        let check = entry::weighings(vec![draft], &desk.flock(), today);
        assert!(desk.has(check));
        let id = desk.flock().file(ewe).unwrap().weighings.last().unwrap().id;
        let check = entry::strike(ewe, RecordRef::Weighing(id), reason, &desk.flock(), today);
        assert!(desk.has(check));
    }
    let files = unpacked(&packed(&desk).0);
    let (_, lines) = rows(&files["more/struck-out-weighings.csv"]);
    let told: BTreeSet<(&str, &str)> = lines.iter().map(|l| (l[2].as_str(), l[7].as_str())).collect();
    let want = [("60", "slipped"), ("60.001", "scale not at zero"), ("61.25", "wrong ewe")];
    assert_eq!(told, want.into_iter().collect());
}
