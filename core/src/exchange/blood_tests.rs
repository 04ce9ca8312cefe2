//! Marks, crayons, scans and tests in and out.

use super::common::*;
use super::*;
use crate::flock::{AnimalFile, Sire, Tested};
use crate::terms::*;

/// Marks, crayons, scans and tests without ids.
pub(super) fn told(f: &AnimalFile, who: &dyn Fn(AnimalId) -> String, lines: &mut Vec<String>) {
    for m in f.marks.iter().filter(|m| m.struck.is_none()) {
        lines.push(format!("mark {} {:?} {:?} {:?} {:?}", m.on, m.kind, m.ram.map(who), m.colour, m.note));
    }
    for c in f.crayons.iter().filter(|c| c.struck.is_none()) {
        lines.push(format!("crayon {} {:?}", c.on, c.colour));
    }
    for s in f.scans.iter().filter(|s| s.struck.is_none()) {
        lines.push(format!("scan {} {:?} {:?} {:?}", s.on, s.found, s.age_days, s.note));
    }
    for t in f.tests.iter().filter(|t| t.struck.is_none()) {
        let found = match &t.found {
            Tested::Parentage { parent, is } => format!("parent {} {is}", who(*parent)),
            other => format!("{other:?}"),
        };
        lines.push(format!("test {} {found} {:?} {:?} {:?}", t.on, t.lab, t.number, t.note));
    }
}

fn joined() -> Desk {
    let mut desk = small();
    let joinings = "ram,ewe,from,to,group\nR7,0412,2025-10-20,2025-12-05,Orchard\n";
    assert_eq!(desk.took(Kind::Joinings, joinings), [""; 0]);
    desk
}

/// The last line of a file's sentence: what would be written, and what is there already.
fn sentence(desk: &mut Desk, kind: Kind, text: &str) -> String {
    desk.import(kind, text).unwrap().sentence()
}

#[test]
fn an_autumn_comes_in_and_the_same_again_is_known() {
    let mut desk = joined();
    let crayons = "ram,on,colour\nR7,2025-12-05,\nR7,2025-10-20,yellow\nR7,2025-11-06,red\n";
    let marks = "ewe,on,kind,ram,colour,note\n0412,2025-10-28,,R7,,\n0412,2025-11-14,crayon,R7,,came back\n\
        0412,2025-11-14,seen,R7,,\n";
    let scans = "ewe,on,found,age_days,note\n0412,2026-01-20,twins,67,one small\n";
    let files = [(Kind::Crayons, crayons), (Kind::Marks, marks), (Kind::Scans, scans)];
    for (kind, text) in files {
        assert_eq!(desk.took(kind, text), [""; 0]);
    }
    let flock = desk.flock();
    let ewe = flock.file(flock.by_tag("0412").unwrap()).unwrap();
    let colours: Vec<_> = ewe.marks.iter().map(|m| m.colour.as_deref()).collect();
    assert_eq!(colours, [Some("yellow"), Some("red"), None], "that of the crayon on the day");
    assert_eq!((ewe.scans[0].found, ewe.scans[0].age_days), (Scanned::Two, Some(67)));
    assert_eq!(ewe.joinings[0].group.as_deref(), Some("Orchard"));
    // Word for word, as it was written, and as it is taken out again.
    for (kind, text) in files {
        let out = export(kind, &flock);
        for text in [text, out.as_str()] {
            let said = sentence(&mut desk, kind, text);
            let n = text.lines().count() - 1;
            assert_eq!(
                said,
                format!("{} from file.csv; {} already in the book", kind.count(0), kind.count(n))
            );
        }
    }
    // A table of before knows nothing of groups.
    let old = "ram,ewe,from,to\nR7,0412,2025-10-20,2025-12-05\n";
    assert!(sentence(&mut desk, Kind::Joinings, old).ends_with("1 joining already in the book"));
    assert_eq!(copied(&flock).flock().files().map(|f| f.marks.len() + f.crayons.len()).sum::<usize>(), 6);
}

#[test]
fn what_cannot_be_of_an_autumn_is_told_with_its_place() {
    let mut desk = joined();
    let marks = "ewe,on,ram,kind\nR7,2025-11-01,R7,\n0412,2025-11-01,0413,\n0412,2025-11-01,R7,guessed\n\
        0412,2027-01-01,R7,\n";
    let said = desk.refused(Kind::Marks, marks);
    assert_eq!(said[0], "line 2, column ewe: value 'R7': R7 is a ram: the ewe of a mating must be a ewe");
    assert_eq!(said[1], "line 3, column ram: value '0413': 0413 is a ewe: the ram of a mating must be a ram");
    assert!(said[2].starts_with("line 4, column kind: value 'guessed'"), "{}", said[2]);
    assert_eq!(desk.refused(Kind::Marks, "ewe,on\n0412,2027-01-01\n").len(), 1, "a day to come");
    let off = desk.refused(Kind::Crayons, "ram,on,colour\nR7,2025-10-20,\n");
    assert_eq!(
        off,
        ["line 2, column colour: value '': R7 wears no crayon: write the colour of the one put on"]
    );
    let scans =
        "ewe,on,found,age_days\n0412,2026-01-20,1,190\n0412,2026-01-20,empty,60\n0412,2026-01-20,5,\n";
    let said = desk.refused(Kind::Scans, scans);
    assert!(said[0].contains("lambs of 190 days cannot be in 0412"), "{said:?}");
    assert!(said[1].contains("0412 is scanned empty: leave the age of the lambs out"), "{said:?}");
    assert!(said[2].starts_with("line 4, column found: value '5'"), "{said:?}");
}

#[test]
fn tests_come_in_and_settle_parents_all_together() {
    let mut desk = small();
    let flock = desk.flock();
    assert!(matches!(flock.animal(flock.by_tag("R7").unwrap()).unwrap().sire, Sire::OneOf(_)));
    let tests = "tag,on,kind,what,result,parent,lab,number\n\
        R7,2025-08-01,scrapie,,ARR/ARQ,,Kestrel Genetics,K1\n\
        R7,2025-08-01,recessive,grey wool,carrier,,,\n\
        R7,2025-08-01,parentage,,is not,OUT2,,\n\
        0412,2025-08-02,parentage,,is,0413,,\n\
        0413,2025-08-02,other,maedi visna,not found,,,\n";
    assert_eq!(desk.took(Kind::Tests, tests), [""; 0]);
    let flock = desk.flock();
    let id = |tag: &str| flock.by_tag(tag).unwrap();
    let animal = |tag: &str| flock.animal(id(tag)).unwrap();
    assert_eq!(animal("R7").sire, Sire::Known(id("OUT1")), "the other cannot be");
    assert_eq!(animal("0412").dam, Some(id("0413")));
    let out = export(Kind::Tests, &flock);
    assert!(out.contains("R7,2025-08-01,scrapie,,ARQ/ARR,,Kestrel Genetics,K1,"), "{out}");
    assert!(sentence(&mut desk, Kind::Tests, &out).ends_with("5 tests already in the book"));
    // Each may be; both together make a circle.
    let circle = "tag,on,kind,result,parent\n0413,2026-01-01,parentage,is,0412\n";
    let said = desk.refused(Kind::Tests, circle);
    assert!(said.iter().any(|l| l.starts_with("line 2, column parent: value '0412'")), "{said:?}");
    for (row, why) in [
        ("R7,2026-01-01,parentage,,is,R7", "cannot be its own parent"),
        ("R7,2026-01-01,parentage,,maybe,OUT1", "write is, or is not"),
        ("R7,2026-01-01,parentage,,is,", "the tag of the parent it was about is needed"),
        ("R7,2026-01-01,scrapie,,ARX/ARR,", "no allele"),
        ("R7,2026-01-01,recessive,,clear,", "the name of the gene is needed"),
        ("R7,2026-01-01,blood,,clear,", "no kind of test: write scrapie"),
    ] {
        let said = desk.refused(Kind::Tests, format!("tag,on,kind,what,result,parent\n{row}\n"));
        assert!(said.iter().any(|l| l.contains(why)), "{row}: {said:?}");
    }
}

#[test]
fn a_later_test_has_the_last_word_and_a_circle_of_two_rows_is_found() {
    let mut desk = small();
    let flock = desk.flock();
    let id = |tag: &str| flock.by_tag(tag).unwrap();
    // The first is taken back by the second: nothing changes, and nothing on the way is looked at.
    let back = "tag,on,kind,result,parent\n\
        OUT1,2025-01-01,parentage,is,OUT2\nOUT1,2025-02-01,parentage,is not,OUT2\n";
    desk.took(Kind::Tests, back);
    let now = desk.flock();
    assert_eq!(now.animal(id("OUT1")).unwrap().sire, Sire::Unknown);
    let circle = "tag,on,kind,result,parent\n\
        OUT1,2025-03-01,parentage,is,OUT2\nOUT2,2025-03-01,parentage,is,OUT1\n";
    let said = desk.refused(Kind::Tests, circle);
    assert!(said.iter().any(|l| l.contains("OUT1") && l.contains("OUT2")), "{said:?}");
}
