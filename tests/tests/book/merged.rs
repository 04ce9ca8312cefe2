//! Two animals made one: every record follows, it can be undone, and parted again long after.

use hirsel_core::book::{Book, Failed};
use hirsel_core::entry::{
    self, AnimalDraft, LambDraft, LambingDraft, MergeDraft, MergeFact, RemarkDraft, Retag, WeighingDraft,
    merge_usual,
};
use hirsel_core::flock::{RecordRef, Sire};
use hirsel_core::terms::{AnimalId, Born, Day, IdentityKind, Moment, Sex, Status, Tag, Weight};
use hirsel_tests::book::{Laid, read_anew, rows};
use hirsel_tests::flocks::{Folder, add, day, joined_book, write};
use std::collections::BTreeSet;

fn today() -> Day {
    day("2026-04-10")
}

fn draft(keep: AnimalId, gone: AnimalId, take: &[MergeFact]) -> MergeDraft {
    MergeDraft { keep, gone, take: take.iter().copied().collect(), reason: "read the chip".into() }
}

/// What is refused, in words.
fn refused(book: &Book, keep: AnimalId, gone: AnimalId) -> String {
    let all = entry::merge(draft(keep, gone, &[]), &book.flock()).expect_err("refused");
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

fn weigh(book: &mut Book, animal: AnimalId, on: &str, grams: i64) {
    let weight = Weight::from_grams(grams).expect("a weight");
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight, note: None };
    let check = entry::weighings(vec![draft], &book.flock(), today()).expect("a weighing");
    book.write(check.despite("seen").expect("a word")).expect("written");
}

fn lambed(book: &mut Book, ewe: AnimalId, on: &str, lamb: &str) -> AnimalId {
    let lambs = vec![LambDraft { tag: Some(Tag::parse(lamb).expect("a tag")), ..LambDraft::new(Sex::Ewe) }];
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day(on)),
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs,
        foster_on: vec![],
    };
    let check = entry::lambing(draft, &book.flock(), today()).expect("a lambing");
    book.write(check.despite("seen").expect("a word")).expect("written");
    book.flock().by_tag(lamb).expect("born")
}

/// A ewe of the flock, and the same ewe as an ancestor of another flock's sheet: named, with a lamb and a weight.
fn two(folder: &Folder) -> (Book, AnimalId, AnimalId, AnimalId) {
    let (mut book, [ewe, ..]) = joined_book(folder);
    let mut other = AnimalDraft::new(Tag::parse("K77").expect("a tag"), Sex::Ewe);
    other.name = Some("Bracken".into());
    other.status = Status::Outside;
    let gone = other.id;
    let mut lamb = AnimalDraft::new(Tag::parse("K90").expect("a tag"), Sex::Ewe);
    (lamb.dam, lamb.born) = (Some(gone), Born::Year(2024));
    let child = lamb.id;
    let check = entry::animals(vec![other, lamb], &book.flock(), today());
    write(&mut book, check);
    weigh(&mut book, ewe, "2026-03-01", 60_000);
    weigh(&mut book, gone, "2026-03-01", 60_000);
    (book, ewe, gone, child)
}

#[test]
fn everything_of_the_one_goes_to_the_other() {
    let folder = Folder::new();
    let (mut book, keep, gone, child) = two(&folder);
    let before = (rows(book.path()), Laid::out(&book.flock()));
    let f = book.flock();
    let take = merge_usual(f.animal(keep).expect("there"), f.animal(gone).expect("there"), &f);
    assert_eq!(take, BTreeSet::from([MergeFact::Name]), "what is blank is taken, the standing is not");
    let check =
        entry::merge(MergeDraft { keep, gone, take, reason: "read the chip".into() }, &f).expect("one");
    assert_eq!(check.sentence(), "0412 and K77 Bracken are one animal");
    let written = book.write(check.sure().expect("no question")).expect("written");
    let f = &written.flock;
    assert!(f.animal(gone).is_none());
    let one = f.file(keep).expect("there");
    assert_eq!(one.animal.title(), "0412 Bracken");
    assert_eq!((f.by_tag("K77"), f.by_tag("0412")), (Some(keep), Some(keep)), "both tags lead to it");
    assert_eq!(f.animal(child).and_then(|c| c.dam), Some(keep));
    assert_eq!(one.offspring, [child]);
    assert_eq!(one.weighings.len(), 2, "the same weight twice stays twice");
    let trail = f.amendments(RecordRef::Animal(keep));
    assert_eq!(trail.len(), 1, "{trail:#?}");
    assert_eq!(trail[0].reason, "read the chip");
    for told in [("name", "nothing", "Bracken"), ("mark K77", "on another animal", "on this one")] {
        let told = (told.0.to_string(), told.1.to_string(), told.2.to_string());
        assert!(trail[0].fields.contains(&told), "{told:?} in {trail:#?}");
    }
    let dam = &f.amendments(RecordRef::Animal(child))[0].fields;
    assert_eq!(dam.len(), 1, "{dam:#?}");
    assert_eq!((dam[0].0.as_str(), dam[0].2.as_str()), ("dam", "0412"));
    assert_eq!(read_anew(book.path()).difference(&Laid::out(f)), None);
    book.undo().expect("undone").expect("something");
    assert_eq!(before.0.difference(&rows(book.path())), None, "rows as they were");
    assert_eq!(before.1.difference(&Laid::out(&book.flock())), None);
    book.redo().expect("done again").expect("something");
    assert_eq!(book.flock().by_tag("K77"), Some(keep));
}

#[test]
fn parted_again_long_after() {
    let folder = Folder::new();
    let (mut book, keep, gone, child) = two(&folder);
    let check = entry::merge(draft(keep, gone, &[MergeFact::Name]), &book.flock());
    write(&mut book, check);
    let on = day("2026-04-09");
    let note = |book: &mut Book, text: &str| {
        let draft = RemarkDraft { animals: vec![keep], on, text: text.into() };
        let check = entry::remark(draft, &book.flock(), today());
        write(book, check);
    };
    note(&mut book, "lame");
    weigh(&mut book, keep, "2026-04-09", 61_000);
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let mut book = Book::open_plain(&path).expect("opens");
    let merges = book.merges(0).expect("readable");
    assert_eq!(merges.len(), 1);
    let m = &merges[0];
    assert_eq!((m.keep, m.gone, m.reason.as_deref()), (Some(keep), gone, Some("read the chip")));
    let merged = Laid::out(&book.flock());
    let written = book.part_again(m.entry).expect("parted").expect("something");
    assert_eq!(written.sentence, "Parted again: 0412 and K77 Bracken are one animal");
    let f = &written.flock;
    assert_eq!(f.by_tag("K77"), Some(gone));
    assert_eq!(
        (f.animal(gone).map(|a| a.title()), f.animal(keep).map(|a| a.title())),
        (Some("K77 Bracken".into()), Some("0412".into()))
    );
    assert_eq!(f.animal(child).and_then(|c| c.dam), Some(gone));
    let weighings = |id| f.file(id).map(|x| x.weighings.len());
    assert_eq!((weighings(keep), weighings(gone)), (Some(2), Some(1)), "what was written since stays");
    assert_eq!(f.amendments(RecordRef::Animal(keep)).len(), 2, "both are told");
    assert!(book.part_again(m.entry).expect("readable").is_none(), "they are two already");
    // The parting is an act like others.
    assert_eq!(book.undoable().as_deref(), Some(written.sentence.as_str()));
    book.undo().expect("undone").expect("something");
    assert_eq!(merged.difference(&Laid::out(&book.flock())), None);
    book.redo().expect("done again").expect("something");
    assert_eq!(read_anew(book.path()).difference(&Laid::out(&book.flock())), None);
    // Made one anew, only the last can be parted.
    let check = entry::merge(draft(keep, gone, &[]), &book.flock());
    write(&mut book, check);
    let again = book.merges(m.seq).expect("readable");
    assert_eq!(again.len(), 1);
    assert!(book.part_again(m.entry).expect("readable").is_none());
    assert!(book.part_again(again[0].entry).expect("parted").is_some());
}

#[test]
fn what_was_changed_since_is_named() {
    let folder = Folder::new();
    let (mut book, keep, gone, _) = two(&folder);
    let check = entry::merge(draft(keep, gone, &[MergeFact::Name]), &book.flock());
    write(&mut book, check);
    let mut edit = book.flock().animal(keep).expect("there").clone();
    edit.name = Some("Bramble".into());
    let check = entry::edit_animal(edit, Some("misheard"), &book.flock(), today());
    write(&mut book, check);
    let merge = book.merges(0).expect("readable")[0].entry;
    let before = rows(book.path());
    let why = book.part_again(merge).expect_err("refused");
    assert!(matches!(&why, Failed::ChangedSince { changed, .. } if changed == "animal"), "{why}");
    assert_eq!(before.difference(&rows(book.path())), None);
    // A tag that went on to another animal stands in the way as well.
    book.undo().expect("undone").expect("something");
    let mark = book
        .flock()
        .animal(keep)
        .and_then(|a| a.identities.iter().find(|i| i.tag.as_str() == "K77").map(|i| i.id));
    let ends = mark.map(|id| (id, hirsel_core::flock::Ended::Lost));
    let check = entry::retag(Retag { animal: keep, ends, new: None, on: today() }, &book.flock(), today());
    write(&mut book, check);
    add(&mut book, "K77", Sex::Ewe, "2025", today());
    assert!(book.part_again(merge).is_ok(), "the lost mark goes with it");
}

#[test]
fn one_ram_of_several_is_left() {
    let folder = Folder::new();
    let (mut book, [ewe, .., r7]) = joined_book(&folder);
    let r9 = add(&mut book, "R9", Sex::Ram, "2022-03-20", today());
    let r8 = add(&mut book, "R8", Sex::Ram, "2022-03-20", today());
    let mut lambs = Vec::new();
    for (tag, rams) in [("L1", vec![r7, r9]), ("L2", vec![r9, r8, r7])] {
        let mut lamb = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
        (lamb.dam, lamb.sire, lamb.born) = (Some(ewe), Sire::OneOf(rams), Born::Year(2026));
        lambs.push(lamb.id);
        let check = entry::animals(vec![lamb], &book.flock(), today());
        write(&mut book, check);
    }
    let before = rows(book.path());
    let check = entry::merge(draft(r7, r9, &[]), &book.flock());
    write(&mut book, check);
    let f = book.flock();
    assert_eq!(f.animal(lambs[0]).map(|a| a.sire.clone()), Some(Sire::Known(r7)));
    assert_eq!(f.animal(lambs[1]).map(|a| a.sire.clone()), Some(Sire::OneOf(vec![r7, r8])));
    assert_eq!(read_anew(book.path()).difference(&Laid::out(&f)), None);
    book.undo().expect("undone").expect("something");
    assert_eq!(before.difference(&rows(book.path())), None);
}

#[test]
fn a_birth_in_the_book_follows() {
    let folder = Folder::new();
    let (mut book, [ewe, ..]) = joined_book(&folder);
    let born = lambed(&mut book, ewe, "2026-03-20", "0601");
    let bought = add(&mut book, "K5", Sex::Ewe, "", today());
    let check = entry::merge(draft(bought, born, &[MergeFact::Born, MergeFact::Dam]), &book.flock());
    write(&mut book, check);
    let f = book.flock();
    let one = f.file(bought).expect("there");
    assert_eq!(one.birth.as_ref().map(|b| b.ewe), Some(ewe));
    assert_eq!(f.file(ewe).expect("there").lambings[0].lambs, [bought]);
    assert_eq!(read_anew(book.path()).difference(&Laid::out(&f)), None);
    assert!(book.check(&|_| {}).expect("readable").whole);
    book.undo().expect("undone").expect("something");
    assert_eq!(book.flock().file(ewe).expect("there").lambings[0].lambs, [born]);
}

#[test]
fn two_that_cannot_be_one() {
    let folder = Folder::new();
    let (mut book, [a, b, c, ram]) = joined_book(&folder);
    assert_eq!(refused(&book, a, a), "0412 is chosen twice: choose the other animal it is to be one with");
    assert_eq!(
        refused(&book, a, ram).lines().next(),
        Some("0412 is a ewe and R7 a ram: mend the sex of one of them first, if they are one")
    );
    assert!(refused(&book, a, ram).contains(
        "0412 and R7 stand together in one record (a joining): strike it out or amend it first, if they are one"
    ));
    let reason = entry::merge(MergeDraft { reason: " ".into(), ..draft(a, b, &[]) }, &book.flock());
    assert_eq!(reason.expect_err("refused")[0].field.name, "reason");
    let first = lambed(&mut book, a, "2026-03-20", "0601");
    assert_eq!(
        refused(&book, first, a).lines().next(),
        Some(
            "0412 is an ancestor of 0601: they cannot be one; mend a parent between them first, if they are"
        )
    );
    let second = lambed(&mut book, b, "2026-03-25", "0602");
    assert_eq!(
        refused(&book, first, second),
        "each was born in a lambing of the book: 0601 20 Mar 2026 and 0602 25 Mar 2026; strike the one lambing that was written twice out first"
    );
    assert_eq!(
        refused(&book, a, b),
        "0412 lambed 20 Mar 2026 and 0417 25 Mar 2026, 5 days apart, which no ewe does: strike one of the lambings out first, if it is the same"
    );
    // Struck out, the one lambing stands in the way no more, and its lamb can be one with the other.
    let lambing = book.flock().file(b).expect("there").lambings[0].id;
    let check = entry::strike(b, RecordRef::Lambing(lambing), "written twice", &book.flock(), today());
    write(&mut book, check);
    let before = rows(book.path());
    let check = entry::merge(draft(second, first, &[MergeFact::Dam, MergeFact::Born]), &book.flock());
    let asked = check.expect("can be");
    assert!(asked.questions()[0].to_string().contains("is it really one animal?"), "five days apart");
    book.write(asked.despite("misread").expect("a word")).expect("written");
    let birth = book.flock().file(second).and_then(|f| f.birth.clone()).expect("born");
    assert_eq!(birth.ewe, a, "the lambing that stands");
    book.undo().expect("undone").expect("something");
    assert_eq!(before.difference(&rows(book.path())), None);
    // Facts that cannot be together are refused as everywhere.
    weigh(&mut book, c, "2024-01-10", 40_000);
    let young = add(&mut book, "Y9", Sex::Ewe, "2025-01-01", today());
    let all = entry::merge(draft(c, young, &[MergeFact::Born]), &book.flock()).expect_err("refused");
    assert!(all.iter().any(|r| r.field.name == "born"), "{all:?}");
}

#[test]
fn what_speaks_against_it_is_asked() {
    let folder = Folder::new();
    let (mut book, [a, b, ..]) = joined_book(&folder);
    for (animal, number) in [(a, "826000000000412"), (b, "826000000000417")] {
        let new = Some(entry::IdentityDraft {
            kind: IdentityKind::Electronic,
            tag: Tag::parse(number).expect("a number"),
        });
        let check = entry::retag(Retag { animal, ends: None, new, on: today() }, &book.flock(), today());
        write(&mut book, check);
    }
    let check = entry::merge(draft(a, b, &[]), &book.flock()).expect("can be");
    let asked: Vec<String> = check.questions().iter().map(ToString::to_string).collect();
    assert_eq!(
        asked,
        [
            "0412 wears the electronic number 826000000000412 and 0417 wears 826000000000417: is it really one animal?",
            "0412 was born 2 Apr 2021 and 0417 28 Mar 2022: is it really one animal?",
        ]
    );
}
