//! Files in and out through a real book: what is written comes back, what is wrong is said at its place.

use super::common::*;
use super::*;
use crate::entry::{self, Retag};
use crate::flock::Ended;
use crate::terms::*;

#[test]
fn a_whole_evening_comes_back() {
    let mut desk = small();
    let products =
        "product,meat_days,milk_days,dose_ml_per_kg,route,mg_per_ml\nWormex,28,60h,\"0,2\",oral,\"2,5\"\n";
    assert_eq!(desk.took(Kind::Products, products), [""; 0]);
    assert_eq!(desk.took(Kind::Joinings, "ram,ewe,from,to\nR7,0412,2025-10-20,2025-11-20\n"), [""; 0]);
    let lambings = "ewe;on;lamb;sex;time;ram;ease;birth_weight_kg;fate;reared_by;note\n\
        0412;2026-03-20;26-1;ewe;6:40;R7;2;4,2;;;all well\n\
        0412;2026-03-20;26-2;ram;6:40;R7;2;3,9;died;0413;all well\n\
        0412;2026-03-20;;ram;;;;;born dead;;\n";
    assert_eq!(desk.took(Kind::Lambings, lambings), [""; 0]);
    let flock = desk.flock();
    let ewe = flock.file(flock.by_tag("0412").unwrap()).unwrap();
    assert_eq!(ewe.lambings[0].lambs.len(), 3);
    assert_eq!(ewe.lambings[0].note.as_deref(), Some("all well"));
    let foster = flock.animal(flock.by_tag("26-2").unwrap()).unwrap();
    assert_eq!(flock.reared_by(foster), flock.by_tag("0413"));
    assert_eq!(flock.animal(ewe.lambings[0].lambs[2]).unwrap().tag(), "0412/26-3");
    let treatments = "tag,on,product,dose_ml,dose,meat_days,milk_days\n\
        26-1,2026-05-01,Wormex,\"0,8\",,,\n0412,2026-05-01,wormex,,500 mg,0,never\n0413,2026-05-02,Other,,,,unknown\n";
    assert_eq!(
        desk.took(Kind::Treatments, treatments),
        [
            "line 3, column meat_days: value '0': the meat withdrawal of Wormex is written as 0 days, shorter than the product's 28 days: check the label and ask the vet"
        ]
    );
    assert_eq!(desk.took(Kind::Weighings, "tag,on,weight_kg\n26-1,2026-05-20,21.5\n"), [""; 0]);

    let copy = copied(&desk.flock());
    assert_eq!(portrait(&copy.flock()), portrait(&desk.flock()));
    assert_eq!(exported(&copy.flock()), exported(&desk.flock()));
    assert!(copy.book.check(&|_| {}).unwrap().whole);
}

#[test]
fn a_tag_that_is_lost_and_worn_again_names_the_right_ewe() {
    let mut desk = Desk::new();
    desk.took(Kind::Animals, "tag,sex,born\n12,ewe,2018-03-01\n13,ewe,2019\n");
    desk.took(Kind::Animals, "tag,sex,born,dam\nA,ewe,2021-03-01,12\n");
    let old = desk.flock().by_tag("12").unwrap();
    let mark = desk.flock().animal(old).unwrap().identities[0].id;
    let lost = Retag { animal: old, ends: Some((mark, Ended::Lost)), new: None, on: day("2023-05-01") };
    let check = entry::retag(lost, &desk.flock(), day(TODAY));
    assert!(desk.has(check));
    desk.took(Kind::Animals, "tag,sex,born\n12,ewe,2023-03-01\n");
    desk.took(Kind::Animals, "tag,sex,born,dam\nB,ewe,2025-03-01,12\n");
    let text = export(Kind::Animals, &desk.flock());
    assert!(text.contains("A,ewe,,,2021-03-01,12 born 2018-03-01,"), "{text}");
    assert!(text.contains("B,ewe,,,2025-03-01,12,"), "{text}");
    assert!(text.contains("\"flock 12, lost 2023-05-01\""), "{text}");
    let copy = copied(&desk.flock());
    assert_eq!(portrait(&copy.flock()), portrait(&desk.flock()));
}

#[test]
fn bad_rows_are_all_told_and_nothing_is_written() {
    let mut desk = small();
    let told = desk.refused(
        Kind::Animals,
        "tag,sex,born,dam,sire,birth_weight_kg\n\
         1,x,2026-03-01,,,\n\
         2,ewe,03/04/2026,,,\n\
         ,ewe,,,,\n\
         3,ewe,2026-03-01,nobody,R7,\n\
         4,ewe,2027-01-01,,,\n\
         0412,ram,,,,\n\
         5,ewe,2026-03-01,1,0413,four\n\
         6,ewe\n\
         7,ewe,2026-03-01,,,4,9\n\
         9,ram,2026-03-01,,,\n\
         9,ewe,2026-03-01,,,\n",
    );
    assert_eq!(
        told,
        [
            "line 2, column sex: value 'x': not a sex: write ewe, ram, wether",
            "line 3, column born: value '03/04/2026': not a day of birth: write 2026-04-03, ~2026-04-03 if estimated, or the year 2026",
            "line 4, column tag: value '': a tag is needed: fill it in, or take the row out",
            "line 5, column dam: value 'nobody': no animal wears the tag nobody: mend the tag, or add a row for it with the status 'outside'",
            "line 6, column born: value '2027-01-01': 1 Jan 2027 has not come yet: today is 25 Nov 2026",
            "line 7, column tag: value '0412': the tag 0412 is worn by ewe 0412 in the book already: take the row out, or mend the tag",
            "line 8, column birth_weight_kg: value 'four': not a weight: write 4.2 or 9 lb 4 oz",
            "line 9: it has 2 values and the first line names 6: put a comma for each blank value, and quotes (\") around a value that holds a comma",
            "line 10: it has 7 values and the first line names 6: put a comma for each blank value, and quotes (\") around a value that holds a comma",
            "line 12, column tag: value '9': the tag 9 is given twice (the other is in line 11): mend one of the two",
        ]
    );
}

#[test]
fn a_circle_is_named_animal_by_animal_and_a_young_parent_with_its_lamb() {
    let mut desk = small();
    let told = desk.refused(Kind::Animals, "tag,sex,dam,sire\nz,ewe,b,\na,ewe,,c\nb,ewe,a,\nc,ram,b,\n");
    assert_eq!(
        told,
        [
            "line 4, column dam: value 'a': the pedigree runs in a circle: b, child of a, child of c, child of b: mend one parent"
        ]
    );
    let told = desk.refused(
        Kind::Animals,
        "tag,sex,born,dam,sire,genetic_dam\na,ewe,2020-01-01,b,,\nb,ewe,2021-01-01,,,\nc,ewe,2022-01-01,,b,R7\n",
    );
    assert_eq!(
        told,
        [
            "line 2, column dam: value 'b': b was born 1 Jan 2021, so it cannot be the dam of a, born 1 Jan 2020: mend one of the two",
            "line 4, column genetic_dam: value 'R7': R7 is a ram: a dam must be a ewe",
            "line 4, column sire: value 'b': b is a ewe: a sire must be a ram",
        ]
    );
}

#[test]
fn headers() {
    let mut desk = small();
    let known = "weighings have the columns tag, on, weight_kg, time, note, session";
    assert_eq!(
        desk.refused(Kind::Weighings, "tag,date,weight\n"),
        [
            format!("the column 'date' is not known: {known}"),
            format!("the column 'weight' is not known: {known}"),
            "the column 'on' is missing: add it to the first line".into(),
            "the column 'weight_kg' is missing: add it to the first line".into(),
        ]
    );
    assert_eq!(
        desk.refused(Kind::Weighings, "tag,on,weight_kg,Tag\n"),
        ["the column 'Tag' is given twice: take one out"]
    );
    assert_eq!(
        desk.refused(Kind::Weighings, "tag,on,weight_kg,\n0412,2026-01-01,60,x\n"),
        ["column 4 has values but no name in the first line: name it or take it out"]
    );
    for empty in ["", "\u{feff}", "\r\n\r\n"] {
        assert_eq!(
            desk.refused(Kind::Weighings, empty),
            ["the file is empty: its first line must name the columns; weighings need tag, on, weight_kg"]
        );
    }
    // Other spellings of the names, any delimiter, a mark at the start, blank columns and rows of a spreadsheet.
    for text in [
        "\u{feff}Tag;On;Weight kg;\r\n0412;2026-01-01;60,5;\r\n;;;\r\n",
        "tag\ton\tweight-kg\n0412\t2026-01-01\t60,5\n",
        "\"tag\",\"on\",\"weight_kg\"\n\"0412\",\"2026-01-01\",\"60,5\"",
    ] {
        let mut desk = small();
        desk.took(Kind::Weighings, text);
        assert!(export(Kind::Weighings, &desk.flock()).contains("0412,2026-01-01,60.5,,"), "{text}");
    }
    assert!(desk.import(Kind::Weighings, "tag,on,weight_kg\n").unwrap().is_empty());
    assert_eq!(
        desk.refused(Kind::Animals, b"tag,sex,name\n1,ewe,Br\xe9a\n"),
        [
            "line 2 is not UTF-8 text (byte E9 after '1,ewe,Br'): open the file in the program that made it and save it as 'CSV UTF-8'"
        ]
    );
}

#[test]
fn a_lamb_that_came_first_is_known_again_and_others_are_not_taken_for_it() {
    let mut desk = small();
    desk.took(
        Kind::Animals,
        "tag,sex,born,dam\nL1,ewe,2026-03-20,0412\nL2,ewe,2026-03-20,0413\nL3,ewe,2024,\nL4,ewe,,\n",
    );
    desk.took(Kind::Weighings, "tag,on,weight_kg\nL4,2026-01-01,40\n");
    let rows = |lamb: &str| format!("ewe,on,lamb,sex\n0412,2026-03-20,{lamb},ewe\n");
    let expect = [
        ("L2", "it is a lamb of 0413 in the book: mend the tag, the ewe, or the dam of L2"),
        ("L3", "it was born 2024 by the book: mend the tag, or the day of one of the two"),
        ("L4", "an older animal wears the tag L4 in the book: mend the tag"),
    ];
    for (lamb, why) in expect {
        assert_eq!(
            desk.refused(Kind::Lambings, rows(lamb)),
            [format!("line 2, column lamb: value '{lamb}': {why}")]
        );
    }
    desk.took(Kind::Lambings, &rows("L1"));
    assert_eq!(
        desk.refused(Kind::Lambings, rows("L1")),
        [
            "line 2, column lamb: value 'L1': its birth is in the book already (lambing of 0412, 20 Mar 2026): take the row out, or mend the tag",
            "line 2, column on: value '2026-03-20': the lambing of 0412 on 2026-03-20 is in the book already: take its rows out, or mend the day",
        ][..1]
    );
    assert_eq!(
        desk.refused(Kind::Lambings, rows("new")),
        [
            "line 2, column on: value '2026-03-20': the lambing of 0412 on 2026-03-20 is in the book already: take its rows out, or mend the day"
        ]
    );
    assert_eq!(
        desk.refused(
            Kind::Lambings,
            "ewe,on,lamb,sex,time,fate,died_on\n0413,2026-04-01,a,ewe,06:00,,2026-04-02\n0413,2026-04-01,b,ewe,06:00,,\n0413,2026-04-01,c,ewe,07:00,,\n0413,2026-04-01,c,ewe,,died,2026-03-01\n"
        ),
        [
            "line 2, column died_on: value '2026-04-02': the fate says alive: write died as its fate, or leave this blank",
            "line 4, column time: value '07:00': the rows of one ewe and day are one lambing, and another row says otherwise: mend one of the two",
            "line 5, column lamb: value 'c': the tag c is given twice: mend one of the two",
            "line 5, column died_on: value '2026-03-01': c was born on 1 Apr 2026: nothing can have been done to it on 1 Mar 2026",
        ]
    );
}

#[test]
fn the_same_file_again_writes_nothing_twice() {
    let mut desk = small();
    for (kind, text) in [
        (Kind::Weighings, "tag,on,weight_kg\n0412,2026-01-01,60\n0413,2026-01-01,61\n"),
        (Kind::Joinings, "ram,ewe,from\nR7,0412,2026-10-20\n"),
        (Kind::Products, "product,meat_days\nWormex,28\n"),
        (Kind::Treatments, "tag,on,product,dose_ml\n0412,2026-02-01,Wormex,5\n"),
    ] {
        assert!(!desk.import(kind, text).unwrap().is_empty());
        let before = portrait(&desk.flock());
        let again = desk.import(kind, text).unwrap();
        assert_eq!((again.len(), again.same), (0, text.lines().count() - 1), "{text}");
        assert_eq!(portrait(&desk.flock()), before);
    }
    let more =
        desk.import(Kind::Weighings, "tag,on,weight_kg\n0412,2026-01-01,60\n0412,2026-02-01,61\n").unwrap();
    assert_eq!(more.sentence(), "1 weighing from file.csv; 1 weighing already in the book");
    // Animals are refused instead: a tag stands for one animal.
    assert_eq!(desk.refused(Kind::Animals, FLOCK).len(), 6);
}

#[test]
fn what_is_shown_beforehand_is_what_is_written() {
    let mut desk = small();
    for (kind, text) in [
        (Kind::Animals, "tag,sex,dam,sire,born\n=1,ewe,0412,OUT1|R7,2026-03-01\n-2,ram,=1x,,\n=1x,ewe,,,\n"),
        (Kind::Lambings, "ewe,on,lamb,sex,ram\n0412,2026-09-20,x1,ewe,R7\n0412,2026-09-20,,ram,\n"),
        (Kind::Weighings, "tag,on,weight_kg\nx1,2026-10-20,9 lb\n"),
        (Kind::Treatments, "tag,on,product\nx1,2026-10-20,Wormex\n"),
    ] {
        let before = export(kind, &desk.flock());
        let shown = desk.import(kind, text).unwrap().csv();
        let after = export(kind, &desk.flock());
        let mut new: Vec<&str> = after.lines().filter(|l| !before.contains(l)).collect();
        let mut said: Vec<&str> = shown.lines().skip(1).collect();
        new.sort_unstable();
        said.sort_unstable();
        assert_eq!(new, said);
        assert_eq!(shown.lines().next(), after.lines().next());
    }
}

#[test]
fn sessions_scores_decisions_groups_and_money() {
    let mut desk = small();
    assert_eq!(
        desk.took(Kind::Sessions, "on,time,group,gut\n2026-04-08,09:00,Orchard,full\n2026-04-08,,,\n"),
        [""; 0]
    );
    let weighings =
        "tag,on,weight_kg,session\n0412,2026-04-08,61,2026-04-08 1\n0413,2026-04-08,58,2026-04-08  2\n";
    assert_eq!(desk.took(Kind::Weighings, weighings), [""; 0]);
    let scores = "tag,on,kind,score,session,note\n0412,2026-04-08,condition,\"2,5\",2026-04-08 1,thin\n0413,2026-04-08,dag,0,,\n";
    assert_eq!(desk.took(Kind::Scores, scores), [""; 0]);
    assert_eq!(
        desk.took(Kind::Decisions, "tag,on,decision,reason\n0412,2026-05-01,stay,good milk\n"),
        [""; 0]
    );
    assert_eq!(desk.took(Kind::Groups, "tag,age_days,group\n0412,60,Orchard twins\n"), [""; 0]);
    let money = "on,kind,amount,note\n2026-04-08,feed,\"112,50\",hay\n2026-04-08,feed,\"112,50\",hay\n";
    assert_eq!(desk.took(Kind::Money, money), [""; 0]);
    let flock = desk.flock();
    let book = flock.daybook();
    let ewe = flock.file(flock.by_tag("0412").unwrap()).unwrap();
    assert_eq!(ewe.weighings[0].session, Some(book.sessions[0].id));
    assert_eq!(
        (ewe.scores[0].session, ewe.scores[0].score.words()),
        (Some(book.sessions[0].id), "condition 2.5".into())
    );
    assert_eq!(ewe.animal.meant_for, MeantFor::Breeding, "what it is meant for follows");
    assert_eq!(book.money.len(), 2, "the same may be paid twice");
    // Nothing of it comes in again.
    for (kind, text) in [(Kind::Weighings, weighings), (Kind::Scores, scores), (Kind::Money, money)] {
        assert!(desk.import(kind, text).unwrap().is_empty(), "{}", kind.word());
    }
    let told = desk.refused(
        Kind::Scores,
        "tag,on,kind,score,session\n0412,2026-04-08,condition,9,\n0412,2026-04-08,wool,2,\n0412,2026-04-08,dag,2,2026-04-08 7\n9,2026-04-08,dag,2,\n",
    );
    assert_eq!(
        told,
        [
            "line 2, column score: value '9': not a score of condition: 1 lean to 5 fat, quarters allowed",
            "line 3, column kind: value 'wool': not a score: write condition, eyelid, dag, udder, teeth, mothering, feet, prolapse, bite, lids, type, colour",
            "line 4, column session: value '2026-04-08 7': the book has no session '2026-04-08 7': import the sessions first, or leave the value blank",
            "line 5, column tag: value '9': no animal wears the tag 9: import the animal first, or mend the tag",
        ]
    );
    let told =
        desk.refused(Kind::Decisions, "tag,on,decision\n0412,2026-05-01,castrate\n0412,2026-05-01,eat\n");
    assert!(told[0].contains("0412 is a ewe: it cannot be decided to castrate it"), "{told:?}");
    let told = desk.refused(Kind::Groups, "tag,age_days,group\n0413,60,A\n0413,60,B\n0413,0,B\n0413,30,\n");
    assert_eq!(told.len(), 3, "{told:?}");
    let copy = copied(&desk.flock());
    assert_eq!(portrait(&copy.flock()), portrait(&desk.flock()));
}

/// A dose ten times its label's has to be said twice, in a table too: it is never left out in silence.
#[test]
fn a_dose_far_above_its_label_is_said_again() {
    let mut desk = small();
    desk.took(Kind::Products, "product,meat_days,milk_days,dose_ml_per_head,route\nWormex,28,60h,2,oral\n");
    let table = "tag,on,product,dose_ml\n0412,2026-05-01,Wormex,40\n";
    let read = || read(Kind::Treatments, "log.csv", table.as_bytes(), &desk.flock(), day(TODAY)).unwrap();
    let why = read().sure("").unwrap_err().0;
    assert!(why.contains("say it twice") && why.contains("40 ml"), "{why}");
    assert!(read().sure("the vet gave 40 ml").unwrap().is_some());
}
