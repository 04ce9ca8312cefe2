//! Which animal a file means, and periods found in their ends.

use super::care::{by_end, course};
use super::*;
use crate::entry::{self, AnimalDraft, IdentityDraft};
use crate::exchange::common::{Desk, TODAY, day};
use crate::reckon::clearance::ends_after;
use crate::terms::{Born, IdentityKind, Minute, Moment, Sex, Tag, Withdrawal};
use proptest::prelude::*;

fn animal(tag: &str, more: &str) -> String {
    format!(
        r#"{{"resourceType":"icarAnimalCoreResource","specie":"Sheep","gender":"Female",
            "identifier":{{"scheme":"net.hirsel.tag","id":"{tag}"}}{more}}}"#
    )
}

fn found(desk: &Desk, text: &str) -> Result<Incoming, String> {
    read("x.json", text.as_bytes(), &desk.flock(), Zone::Utc, day(TODAY)).map_err(|e| e.to_string())
}

/// A book with the ewe 0412 Bracken, her electronic number, and her daughter 0500 Fern.
fn desk() -> Desk {
    let mut desk = Desk::new();
    let mut ewe = AnimalDraft::new(Tag::parse("0412").unwrap(), Sex::Ewe);
    ewe.born = Born::On(day("2021-04-02"));
    ewe.identities
        .push(IdentityDraft { kind: IdentityKind::Electronic, tag: Tag::parse("826012345600123").unwrap() });
    let mut lamb = AnimalDraft::new(Tag::parse("0500").unwrap(), Sex::Ewe);
    (lamb.name, lamb.dam, lamb.born) = (Some("Fern".into()), Some(ewe.id), Born::On(day("2024-03-30")));
    let check = entry::animals(vec![ewe, lamb], &desk.flock(), day(TODAY));
    assert!(desk.has(check));
    desk
}

#[test]
fn an_animal_is_known_by_any_mark_it_wears() {
    let desk = desk();
    let one = found(&desk, &animal("0412", "")).unwrap();
    assert_eq!((one.new.len(), one.same), (0, 1));
    let by_number =
        animal("A1", r#","alternativeIdentifiers":[{"scheme":"std.iso.11785","id":"826 012345600123"}]"#);
    assert_eq!(found(&desk, &by_number).unwrap().same, 1);
    let both =
        animal("0500", r#","alternativeIdentifiers":[{"scheme":"std.iso.11785","id":"826012345600123"}]"#);
    let told = found(&desk, &both).unwrap_err();
    assert!(told.contains("its marks are those of several animals of the book"), "{told}");
    // A mark that was lost tells nothing.
    let lost = animal("B2", r#","alternativeIdentifiers":[{"scheme":"net.hirsel.tag.lost","id":"0412"}]"#);
    assert_eq!(found(&desk, &lost).unwrap().new.len(), 1);
    let ram = animal("0412", "").replace("Female", "Male");
    assert!(found(&desk, &ram).unwrap_err().contains("wears that mark in the book and is a ewe"));
    let twice = format!("[{},{by_number}]", animal("0412", ""));
    assert!(
        found(&desk, &twice).unwrap_err().contains("is the same animal of the book: take one of the two out")
    );
    let wrong =
        animal("C3", r#","alternativeIdentifiers":[{"scheme":"std.iso.11785","id":"82601234560012"}]"#);
    assert!(found(&desk, &wrong).unwrap_err().contains("it has 15 digits"));
}

#[test]
fn name_birth_and_dam_together_tell_an_animal() {
    let desk = desk();
    let dam = r#","parentage":[{"parentOf":{"scheme":"net.hirsel.tag","id":"X9"},"gender":"Female","identifier":{"scheme":"net.hirsel.tag","id":"0412"}}]"#;
    let fern =
        |more: &str| animal("X9", &format!(r#","name":"fern","birthDate":"2024-03-30T12:00:00Z"{more}"#));
    let known = found(&desk, &fern(dam)).unwrap();
    assert_eq!((known.new.len(), known.same), (0, 1));
    assert!(known.told[0].contains("known by name, day of birth and dam"), "{:?}", known.told);
    let other = found(&desk, &fern("")).unwrap();
    assert_eq!((other.new.len(), other.same), (1, 0), "another dam, or none, is another animal");
}

#[test]
fn a_dose_far_beyond_its_label_is_said_twice() {
    let mut desk = desk();
    desk.took(crate::exchange::Kind::Products, "product,dose_ml_per_head,meat_days\nworm drench,2,21\n");
    let given = r#"{"resourceType":"icarTreatmentEventResource","animal":{"scheme":"net.hirsel.tag","id":"0412"},
        "eventDateTime":"2026-11-01T12:00:00Z","medicine":{"name":"worm drench"},"dose":{"doseQuantity":200,"doseUnits":"MLT"}}"#;
    let one = found(&desk, given).unwrap();
    let (why, one) = one.sure("").unwrap_err();
    assert!(why.to_string().contains("type 200 ml in your word"), "{why}");
    assert!(one.sure("200 ml, as the vet said").is_ok());
}

#[test]
fn courses_are_read_as_they_are_written() {
    let id = "0190a5d2-7b3c-7def-8123-456789abcdef";
    let part = course(&format!("{id} 2 of 3 every 24 h")).unwrap();
    assert_eq!((part.nth, part.of, part.every_hours, part.id.0.to_string().as_str()), (2, 3, 24, id));
    for wrong in
        ["", "x 1 of 2 every 3 h", &format!("{id} 3 of 2 every 24 h"), &format!("{id} 0 of 2 every 24 h")]
    {
        assert_eq!(course(wrong), None, "{wrong}");
    }
}

proptest! {
    /// The period found holds at least as long as the file says, and a day less would not.
    #[test]
    fn a_period_is_never_shorter_than_its_end(n in 0i64..200, time in prop::option::of(0u32..1440), end_time in prop::option::of(0u32..1440)) {
        let minute = |m: Option<u32>| m.and_then(|m| Minute::new(m / 60, m % 60));
        let at = Moment { day: day("2026-03-01"), time: minute(time) };
        let end = Moment { day: at.day.plus(n), time: minute(end_time) };
        let Withdrawal::Days(days) = by_end(at, end) else { return Err(TestCaseError::fail("no days")) };
        let instant = |m: Moment, alone: i64| m.day.since(at.day) * 1440 + m.time.map_or(alone, Minute::of_day);
        let held = ends_after(at, Withdrawal::Days(days)).map(|e| instant(e, 0)).unwrap();
        prop_assert!(held >= instant(end, 1440));
        if days > 0 {
            let less = ends_after(at, Withdrawal::Days(days - 1)).map(|e| instant(e, 0)).unwrap();
            prop_assert!(less < instant(end, 1440));
        }
    }
}
