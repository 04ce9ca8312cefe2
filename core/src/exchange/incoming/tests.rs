//! Tables as keepers have them, read into a real book.

use super::*;
use crate::exchange::common::{Desk, TODAY, day, portrait};
use crate::exchange::{Kind, export};
use crate::terms::IdentityKind;
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};

fn open(desk: &Desk, name: &str, bytes: &[u8]) -> Incoming {
    Incoming::open(name, bytes, None, &desk.flock()).unwrap()
}

fn look(desk: &Desk, text: &str, choice: &Choice) -> Preview {
    open(desk, "theirs.csv", text.as_bytes()).preview(choice, &desk.flock(), day(TODAY))
}

fn bring(desk: &mut Desk, text: &str, choice: &Choice) -> Preview {
    let p = look(desk, text, choice);
    assert_eq!(p.stands_open(), [""; 0], "{:#?}", p.rows);
    let shown = look(desk, text, choice);
    let (what, all) = p.sure("test").unwrap();
    if !all.is_empty() {
        desk.book.write_many(&what, all).unwrap();
    }
    shown
}

fn fates(p: &Preview) -> Vec<&'static str> {
    p.rows.iter().map(|r| r.fate.words()).collect()
}

fn meanings(p: &Preview) -> Vec<&'static str> {
    p.columns.iter().map(|c| c.meaning.word()).collect()
}

fn all(kind: Kind) -> Choice {
    Choice { kind: Some(kind), ..Choice::default() }
}

#[test]
fn a_keepers_own_table_of_animals_comes_in() {
    let mut desk = Desk::new();
    let text = "Thornley flock;;;;;;;\n\nEartag;DOB;Gender;Mother;Father;Birth wt (lb);EID;Litter;Wool\n\
        0412;13/04/2021;F;;;9,9;UK 0123456 00412;twin;fine\n\
        0500;03/04/2024;ewe lamb;412;R7;10;826012345600500;2;\n\
        R7;2020;tup;n/a;;;;;\n";
    let p = bring(&mut desk, text, &Choice::default());
    assert_eq!(p.kind, Kind::Animals);
    assert_eq!(
        meanings(&p),
        ["tag", "born", "sex", "dam", "sire", "birth_weight_kg", "electronic", "birth_type", "-"]
    );
    assert_eq!(p.order, Some(DateOrder::DayFirst), "13/04 can be nothing else");
    assert_eq!(fates(&p), ["new", "new", "new"]);
    assert_eq!(p.rows[0].line, 4, "lines are those of the file");
    assert!(p.rows[1].why[0].contains("412 is read as 0412"), "{:?}", p.rows[1].why);
    assert!(p.columns[8].is_lost && !p.columns[7].is_lost);
    let flock = desk.flock();
    let a = flock.animal(flock.by_tag("0500").unwrap()).unwrap();
    assert_eq!((a.born.to_string().as_str(), a.sex.word()), ("2024-04-03", "ewe"));
    assert_eq!(a.dam, flock.by_tag("0412"));
    assert_eq!(a.birth_weight.map(|w| w.grams()), Some(4_536));
    assert_eq!(
        a.worn(IdentityKind::Electronic).map(|i| i.tag.to_string()).as_deref(),
        Some("826012345600500")
    );
    // Once more brings nothing, in another dress too.
    let again = look(&desk, text, &Choice::default());
    assert_eq!(fates(&again), ["the same"; 3], "{:#?}", again.rows);
    assert!(again.is_empty());
}

#[test]
fn what_the_book_holds_is_changed_only_when_it_may_be() {
    let mut desk = Desk::new();
    bring(&mut desk, "tag,sex,born,name,colour\n1,ewe,2021-04-02,Nan,grey\n2,ewe,,,\n", &Choice::default());
    let before = portrait(&desk.flock());
    let text = "Tag,Sex,Born,Name,Colour,EID,Pen\n1,f,2021-04-03,,white,826012345600001,Top\n2,f,2020,Bess,,,\n3,f,,,,,\n";
    let p = bring(&mut desk, text, &Choice::default());
    assert_eq!(fates(&p), ["changes", "changes", "new"]);
    let words: Vec<String> = p.rows[0].changes.iter().map(FieldChange::words).collect();
    assert_eq!(
        words,
        [
            "born: 2021-04-02 → 2021-04-03",
            "colour: grey → white",
            "electronic: nothing → 826012345600001",
            "pen: nothing → Top"
        ]
    );
    let now = portrait(&desk.flock());
    assert!(before.iter().all(|l| now.contains(l)), "nothing of it is changed, the new one came");
    let p = bring(&mut desk, text, &Choice { change: true, ..Choice::default() });
    assert_eq!(fates(&p), ["changes", "changes", "the same"]);
    let flock = desk.flock();
    let a = flock.animal(flock.by_tag("1").unwrap()).unwrap();
    assert_eq!(
        (a.name.as_deref(), a.colour.as_deref(), a.pen.as_deref()),
        (Some("Nan"), Some("white"), Some("Top"))
    );
    assert_eq!(a.born.to_string(), "2021-04-03");
    assert!(a.worn(IdentityKind::Electronic).is_some());
    assert_eq!(fates(&look(&desk, text, &Choice { change: true, ..Choice::default() })), ["the same"; 3]);
    // One line of the journal, one undo.
    desk.book.undo().unwrap();
    assert_eq!(portrait(&desk.flock()), now);
}

#[test]
fn whom_a_row_may_be_is_asked() {
    let mut desk = Desk::new();
    let own = "tag,sex,born,name,dam,electronic\nD,ewe,2015,,,\n12,ewe,2018-03-04,Nan,D,826012345600012\n13,ewe,2019-03-04,,,826012345600013\n";
    bring(&mut desk, own, &Choice::default());
    // Another tag, the same name, birth and dam; a tag worn by one much older; the tag of one, the number of another.
    let text = "Tag,Sex,DOB,Name,Dam,EID\n90,f,2018-03-04,Nan,D,\n12,f,2024-03-04,,,\n13,f,,,,826012345600012\n14,f,,,,\n";
    let p = look(&desk, text, &Choice::default());
    assert_eq!(fates(&p), ["which?", "which?", "which?", "new"], "{:#?}", p.rows);
    assert!(p.rows[0].why[0].contains("the same name, day of birth and dam"));
    assert!(p.rows[1].why[0].contains("but that one was born 4 Mar 2018"), "{:?}", p.rows[1].why);
    assert_eq!(p.rows[2].could_be.len(), 2);
    assert_eq!(p.stands_open().len(), 1);
    assert!(p.sure("x").is_err());
    let flock = desk.flock();
    let nan = flock.by_tag("12").unwrap();
    let decisions =
        [(2, Decision::That(nan)), (3, Decision::LeaveOut), (4, Decision::LeaveOut)].into_iter().collect();
    let choice = Choice { decisions, change: true, ..Choice::default() };
    let p = bring(&mut desk, text, &choice);
    assert_eq!(fates(&p), ["changes", "left out", "left out", "new"]);
    let flock = desk.flock();
    assert_eq!(flock.by_tag("90"), Some(nan), "the new tag is hers");
    let old = flock.animal(nan).unwrap().identities.iter().find(|i| i.tag.as_str() == "12").unwrap().ended;
    assert_eq!(old, Some(crate::flock::Ended::Replaced));
}

#[test]
fn days_that_can_be_read_in_two_ways_are_asked() {
    let desk = Desk::new();
    let text = "Tag,Sex,DOB\n1,f,03/04/2024\n2,m,05/06/2024\n";
    let p = look(&desk, text, &Choice::default());
    let ask = p.ask.as_ref().unwrap();
    assert_eq!((ask.line, ask.readings.len()), (2, 2));
    assert!(p.rows.is_empty() && p.stands_open()[0].contains("the table does not say which"));
    let choice = Choice { order: Some(DateOrder::MonthFirst), ..Choice::default() };
    let p = look(&desk, text, &choice);
    assert_eq!(fates(&p), ["new", "new"]);
    // A day that the order cannot be is refused, never turned round.
    let p = look(&desk, "Tag,Sex,DOB\n1,f,13/04/2024\n2,m,25/04/2024\n3,f,04/25/2024\n", &Choice::default());
    assert_eq!(fates(&p), ["new", "new", "to mend"]);
    assert!(p.rows[2].why[0].starts_with("DOB '04/25/2024'"), "{:?}", p.rows[2].why);
}

#[test]
fn rows_to_mend_are_left_out_knowingly_with_those_that_hang_on_them() {
    let mut desk = Desk::new();
    let text = "Tag,Sex,Dam\n1,grey,\n2,f,1\n3,m,\n";
    let p = look(&desk, text, &Choice::default());
    assert_eq!(fates(&p), ["to mend", "to mend", "new"]);
    assert!(p.rows[0].why[0].starts_with("Sex 'grey'"), "{:?}", p.rows[0].why);
    assert!(p.stands_open()[0].starts_with("2 rows are to mend"));
    let p = look(&desk, text, &Choice { skip: true, ..Choice::default() });
    assert_eq!(p.sentence(), "1 animal new, 2 to mend, left out");
    let (what, all) = p.sure("").unwrap();
    assert_eq!(what, "1 animal from theirs.csv; 2 rows left out");
    desk.book.write_many(&what, all).unwrap();
    assert_eq!(desk.flock().len(), 1);
}

#[test]
fn weighings_and_others_are_known_by_their_columns() {
    let mut desk = Desk::new();
    bring(&mut desk, "tag,sex,born\n0412,ewe,2021\n0413,ewe,2021\nR7,ram,2020\n", &Choice::default());
    for (text, kind, want) in [
        (
            "Date;Ear tag;Weight\n25.04.2026;412;61,5\n26.04.2026;0413;60\n",
            Kind::Weighings,
            ["on", "tag", "weight_kg"].as_slice(),
        ),
        (
            "Animal,Date,Medicine,Dose,Batch no\n0412,2026-05-01,levamisole drench,8,L1\n",
            Kind::Treatments,
            &["tag", "on", "product", "dose_ml", "batch"],
        ),
        (
            "Ewe,Lambing date,Lamb tag,Sex,Ram\n0412,2026-03-20,26-1,F,R7\n0412,2026-03-20,26-2,M,R7\n",
            Kind::Lambings,
            &["ewe", "on", "lamb", "sex", "ram"],
        ),
        ("Ewe,Scan date,Result\n0413,2026-01-20,twins\n", Kind::Scans, &["ewe", "on", "found"]),
        (
            "Tup,Ewe,Date in,Date out\nR7,0412,2025-10-20,2025-11-20\n",
            Kind::Joinings,
            &["ram", "ewe", "from", "to"],
        ),
        ("Ewe,Bred to,Date bred\n0413,R7,2024-10-20\n", Kind::Joinings, &["ewe", "ram", "from"]),
    ] {
        let p = bring(&mut desk, text, &Choice::default());
        assert_eq!(p.kind, kind, "{text}: {}", p.kind_why);
        assert_eq!(meanings(&p), want, "{text}");
        assert_eq!(p.count(Fate::New), p.rows.len(), "{text} {:#?}", p.rows);
        let again = look(&desk, text, &Choice::default());
        assert_eq!(again.count(Fate::Same), again.rows.len(), "{text}: {:#?}", again.rows);
    }
    let f = desk.flock();
    let ewe = f.file(f.by_tag("0412").unwrap()).unwrap();
    assert_eq!(ewe.weighings[0].weight.grams(), 61_500);
    assert_eq!(ewe.lambings[0].lambs.len(), 2);
}

#[test]
fn a_product_takes_new_facts_only_when_it_may() {
    let mut desk = Desk::new();
    bring(&mut desk, "product,meat_days,substance\nWormex,28,levamisole\n", &all(Kind::Products));
    let text = "Product,Meat withdrawal\nWormex,35\nOther,7\n";
    let p = bring(&mut desk, text, &all(Kind::Products));
    assert_eq!(fates(&p), ["changes", "new"], "{:#?}", p.rows);
    assert!(export(Kind::Products, &desk.flock()).contains("Wormex,levamisole,,,,,,28"));
    bring(&mut desk, text, &Choice { change: true, ..all(Kind::Products) });
    let now = export(Kind::Products, &desk.flock());
    assert!(now.contains("Wormex,levamisole,,,,,,35"), "a blank erases nothing: {now}");
}

#[test]
fn columns_are_mended_by_the_keeper() {
    let mut desk = Desk::new();
    let text = "Ref,What,Wool,Misc\n1,f,fine,Nan\n2,m,coarse,\n";
    let inc = open(&desk, "x.csv", text.as_bytes());
    assert_eq!((inc.column("wool"), inc.column("4"), inc.column("9")), (Some(2), Some(3), None));
    let meanings = [
        (0, Meaning::Column("tag")),
        (1, Meaning::Column("sex")),
        (2, Meaning::Remark),
        (3, Meaning::Column("name")),
    ];
    let choice =
        Choice { kind: Some(Kind::Animals), meanings: meanings.into_iter().collect(), ..Choice::default() };
    let p = bring(&mut desk, text, &choice);
    assert_eq!(fates(&p), ["new", "new"]);
    let f = desk.flock();
    let a = f.animal(f.by_tag("1").unwrap()).unwrap();
    assert_eq!((a.name.as_deref(), a.note.as_deref()), (Some("Nan"), Some("Wool: fine")));
    // The same for the next table of this source, in whatever order it is kept.
    let kept = inc.remember(&choice, &p).unwrap();
    assert_eq!(
        inc.recalled(&kept).map(|c| (c.kind, c.meanings)),
        Some((choice.kind, choice.meanings.clone()))
    );
    assert_eq!(
        open(&desk, "y.csv", b"ref,what,wool,misc\n9,f,,\n").signature().as_ref(),
        Some(&kept.signature)
    );
    assert_ne!(
        open(&desk, "y.csv", b"ref,what,misc,wool\n9,f,,\n").signature().as_ref(),
        Some(&kept.signature)
    );
    assert_eq!(fates(&look(&desk, text, &choice)), ["the same", "the same"]);
}

#[test]
fn a_table_without_heads_is_known_by_what_stands_in_it() {
    let mut desk = Desk::new();
    bring(&mut desk, "tag,sex\n0412,ewe\n0413,ewe\n", &Choice::default());
    let p = look(&desk, "0412,2026-04-01,61.5\n0413,2026-04-01,60\n", &all(Kind::Weighings));
    assert_eq!(meanings(&p), ["tag", "on", "weight_kg"]);
    assert_eq!(fates(&p), ["new", "new"]);
    assert_eq!(p.rows[0].line, 1);
}

fn sheet(days: bool) -> Vec<u8> {
    let mut book = Workbook::new();
    let notes = book.add_worksheet();
    notes.set_name("Read me").unwrap();
    let s = book.add_worksheet();
    s.set_name("Ewes").unwrap();
    s.merge_range(0, 0, 0, 3, "Thornley flock", &Format::new()).unwrap();
    for (c, head) in ["Tag", "Sex", "Born", "Birth weight (kg)"].into_iter().enumerate() {
        s.write_string(2, c as u16, head).unwrap();
    }
    s.write_string(3, 0, "0412").unwrap();
    s.write_string(3, 1, "F").unwrap();
    let day = Format::new().set_num_format("dd/mm/yyyy");
    let date = ExcelDateTime::from_ymd(2021, 4, 3).unwrap();
    match days {
        true => s.write_datetime_with_format(3, 2, &date, &day).unwrap(),
        false => s.write_number(3, 2, 44_289.0).unwrap(),
    };
    s.write_number(3, 3, 4.1 + 0.2).unwrap();
    s.write_number(4, 0, 413.0).unwrap();
    s.write_string(4, 1, "M").unwrap();
    book.save_to_buffer().unwrap()
}

#[test]
fn sheets_come_in_with_days_and_numbers_as_typed() {
    for days in [true, false] {
        let mut desk = Desk::new();
        let bytes = sheet(days);
        let inc = open(&desk, "ewes.xlsx", &bytes);
        let p = inc.preview(&Choice::default(), &desk.flock(), day(TODAY));
        assert_eq!((p.sheets.len(), p.sheet.as_deref()), (2, Some("Ewes")), "the empty sheet is passed over");
        assert_eq!((p.kind, p.rows[0].line), (Kind::Animals, 4));
        let (what, all) = p.sure("").unwrap();
        desk.book.write_many(&what, all).unwrap();
        let text = export(Kind::Animals, &desk.flock());
        assert!(text.contains("0412,ewe,,,2021-04-03,,,,,4.3,"), "{text}");
        assert!(text.contains("\n413,ram,"), "{text}");
    }
    let desk = Desk::new();
    let none = Incoming::open("x.xlsx", &sheet(true), Some("Rams"), &desk.flock()).unwrap_err();
    assert_eq!(none.to_string(), "there is no sheet 'Rams': it has Read me, Ewes");
}

#[test]
fn files_that_are_no_tables_are_said_plainly() {
    let desk = Desk::new();
    let said = |bytes: &[u8]| Incoming::open("x", bytes, None, &desk.flock()).unwrap_err();
    assert_eq!(said(b""), NoTable::Nothing);
    assert_eq!(said(b"%PDF-1.7"), NoTable::OtherFile("a PDF"));
    assert_eq!(said(b"\x89PNG\r\n\x1a\n"), NoTable::OtherFile("a picture"));
    assert_eq!(said(b"\xd0\xcf\x11\xe0 and more"), NoTable::OldSpreadsheet);
    let mut locked = b"\xd0\xcf\x11\xe0".to_vec();
    locked.extend("EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes));
    assert_eq!(said(&locked), NoTable::Password);
    assert!(matches!(said(b"PK\x03\x04 and nothing"), NoTable::Damaged(_)));
    assert_eq!(said(b"<html><table>"), NoTable::OtherFile("a web page"));
    let quote = said(b"tag,sex\n1,\"ewe\n2,ram\n").to_string();
    assert!(quote.contains("opened in line 2 is never closed"), "{quote}");
    // Only heads.
    assert_eq!(said(b"tag,sex,born\n"), NoTable::Nothing);
}

/// A ZIP of parts.
fn zipped(parts: &[(&str, &[u8])]) -> Vec<u8> {
    use std::io::Write as _;
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let plain = zip::write::SimpleFileOptions::default();
    for (name, bytes) in parts {
        zip.start_file(*name, plain).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// An open spreadsheet with these rows between its tags.
fn open_sheet(rows: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet><table:table table:name=\"Ewes\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    zipped(&[
        ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_bytes()),
        (
            "META-INF/manifest.xml",
            b"<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
        ),
    ])
}

fn words(all: &[&str]) -> String {
    let cell = |w: &&str| {
        format!("<table:table-cell office:value-type=\"string\"><text:p>{w}</text:p></table:table-cell>")
    };
    format!("<table:table-row>{}</table:table-row>", all.iter().map(cell).collect::<String>())
}

#[test]
fn open_spreadsheets_come_in() {
    let mut desk = Desk::new();
    let rows = words(&["Ohrmarke", "Geschlecht", "Geburtsdatum"])
        + "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>0412</text:p></table:table-cell>\
           <table:table-cell office:value-type=\"string\"><text:p>weiblich</text:p></table:table-cell>\
           <table:table-cell office:value-type=\"date\" office:date-value=\"2021-04-03\"><text:p>03.04.21</text:p></table:table-cell></table:table-row>\
           <table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>";
    let p =
        open(&desk, "ewes.ods", &open_sheet(&rows)).preview(&Choice::default(), &desk.flock(), day(TODAY));
    assert_eq!((fates(&p), p.rows[0].line), (vec!["new"], 2));
    let (what, all) = p.sure("").unwrap();
    desk.book.write_many(&what, all).unwrap();
    assert!(export(Kind::Animals, &desk.flock()).contains("0412,ewe,,,2021-04-03,"));
}

#[test]
fn files_that_would_fill_the_memory_are_refused() {
    let desk = Desk::new();
    let said = |bytes: &[u8]| Incoming::open("x", bytes, None, &desk.flock()).unwrap_err();
    let long = "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell table:number-columns-repeated=\"9\" office:value-type=\"float\" office:value=\"1\"/></table:table-row>";
    assert!(matches!(said(&open_sheet(long)), NoTable::TooMany(_)));
    // 130 MB of noughts pack into less than a megabyte.
    let noughts = vec![b'0'; 130 << 20];
    let bomb = zipped(&[("xl/workbook.xml", b"<workbook/>"), ("xl/worksheets/sheet1.xml", &noughts)]);
    assert!(bomb.len() < 1 << 20, "{} bytes", bomb.len());
    assert!(matches!(said(&bomb), NoTable::Unpacks(_)));
    assert!(matches!(said(&vec![b','; 3_000_000]), NoTable::TooMany(_)));
    // Two cells in the far corners of a sheet are two cells.
    let mut book = Workbook::new();
    let s = book.add_worksheet();
    s.write_string(0, 0, "Tag").unwrap();
    s.write_string(1_048_575, 16_383, "far").unwrap();
    assert!(Incoming::open("x", &book.save_to_buffer().unwrap(), None, &desk.flock()).is_err());
    let locked = zipped(&[
        ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", b"xxxx"),
        ("META-INF/manifest.xml", b"<manifest:encryption-data/>"),
    ]);
    assert_eq!(said(&locked), NoTable::Password);
}

mod any;
