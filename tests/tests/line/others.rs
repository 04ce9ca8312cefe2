//! Files of other programs: understood as they are meant, refused by name, never a panic.

use super::{bring, config};
use hirsel_core::exchange::standard::{self, Zone};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Sex;
use hirsel_tests::book::{new_book, room, today};
use proptest::prelude::*;
use serde_json::Value;
use std::sync::Arc;

/// A bare array and a collection in one, with much that is other than ours.
pub const OTHERS: &str = r#"[
 {"resourceType": "https://example.org/types/icarAnimalCoreResource.json", "meta": null, "extra": {"a": [1, {"b": null}]},
  "identifier": {"scheme": "eu.animalId", "id": "826012345600123"}, "specie": "Sheep", "gender": "Female",
  "alternativeIdentifiers": [{"scheme": "std.iso.11785", "id": "826 012345600123"}],
  "birthDate": "2022-03-28T00:00:00Z", "name": "Bramble", "managementTag": "0417", "status": "Alive",
  "primaryBreed": {"scheme": "org.example.breed", "id": "FS"}},
 {"resourceType": "icarAnimalCoreResource", "identifier": {"scheme": "org.example.herdbook", "id": "R-77"},
  "specie": "Sheep", "gender": "Male", "officialName": "Thornley Basalt"},
 {"resourceType": "icarAnimalCoreResource", "identifier": {"scheme": "eu.animalId", "id": "826000000000009"},
  "specie": "Cattle", "gender": "Male"},
 {"resourceType": "icarWeightEventResource", "animal": {"scheme": "eu.animalId", "id": "826000000000009"},
  "eventDateTime": "2026-03-01T09:00:00Z", "weight": {"measurement": 400, "units": "KGM"}},
 {"resourceType": "icarWeightEventResource", "animal": {"scheme": "std.iso.11785", "id": "826 012345600123"},
  "eventDateTime": "2026-03-01T09:30:00+01:00", "weight": {"measurement": 120.5, "units": "LBR"}},
 {"member": [
   {"resourceType": "icarReproInseminationEventResource", "animal": {"scheme": "eu.animalId", "id": "826012345600123"},
    "eventDateTime": "2025-10-28T12:00:00Z", "inseminationType": "NaturalService",
    "sireIdentifiers": [{"scheme": "org.example.herdbook", "id": "R-77"}]},
   {"resourceType": "icarReproParturitionEventResource", "animal": {"scheme": "eu.animalId", "id": "826012345600123"},
    "eventDateTime": "2026-03-25T05:10:00Z", "calvingEase": "EasyAssisted",
    "progenyDetails": [
      {"resourceType": "icarProgenyDetailsResource", "specie": "Sheep", "gender": "Male", "managementTag": "L1",
       "birthStatus": "Alive", "birthWeight": {"measurement": 4.25}},
      {"resourceType": "icarProgenyDetailsResource", "specie": "Sheep", "gender": "Female", "birthStatus": "Stillborn"}]},
   {"resourceType": "icarTreatmentEventResource", "animal": {"scheme": "eu.animalId", "id": "826012345600123"},
    "eventDateTime": "2026-03-26T12:00:00Z", "medicine": {"name": "levamisole drench"}, "procedure": "oral",
    "dose": {"doseQuantity": 0.01, "doseUnits": "LTR"},
    "withdrawals": [{"productType": "Meat", "endDate": "2026-04-16T23:59:00Z"}]},
   {"resourceType": "icarFeedIntakeEventResource", "animal": {"scheme": "eu.animalId", "id": "826012345600123"}}]}]"#;

#[test]
fn a_file_of_others_is_understood() {
    let room = room();
    let mut book = new_book(room.path());
    let found =
        standard::read("others.json", OTHERS.as_bytes(), &book.flock(), Zone::Utc, today()).expect("read");
    assert_eq!(
        found.sentence(),
        "2 animals, 1 joining, 1 lambing, 1 weighing, 1 treatment from others.json",
        "{:?}",
        found.told
    );
    for part in [
        "animals of the species Cattle",
        "records of animals that are left out",
        "icarFeedIntakeEventResource",
    ] {
        assert!(found.told.iter().any(|t| t.contains(part)), "{part}: {:?}", found.told);
    }
    assert_eq!(bring(&mut book, OTHERS, today()), Ok(6));
    let flock = book.flock();
    let ewe = flock.by_tag("0417").expect("the ewe");
    assert_eq!(flock.by_tag("826012345600123"), Some(ewe), "each of her marks finds her");
    let f = flock.file(ewe).expect("her file");
    assert_eq!((f.animal.sex, f.animal.born.to_string().as_str()), (Sex::Ewe, "2022-03-28"));
    // 120.5 lb × 0.45359237 kg (exact by definition) = 54.658 kg.
    assert_eq!(f.weighings[0].weight.grams(), 54_658);
    assert_eq!(f.weighings[0].at.words(), "1 Mar 2026, 08:30");
    assert_eq!(f.joinings[0].method.as_deref(), Some("hand service"));
    assert_eq!(f.lambings[0].lambs.len(), 2);
    let t = &f.treatments[0];
    assert_eq!(
        (t.product.as_str(), t.dose.map(|d| d.to_string()).as_deref()),
        ("levamisole drench", Some("10 ml"))
    );
    // Given on 26 March, held through 16 April: 21 days counted from the end of the day it was given.
    assert_eq!(t.meat.text(), "21");
    let lamb = flock.by_tag("L1").and_then(|l| flock.animal(l)).expect("the lamb");
    assert_eq!((lamb.dam, lamb.birth_weight.map(|w| w.grams())), (Some(ewe), Some(4250)));
    assert_eq!(bring(&mut book, OTHERS, today()), Ok(0), "the same again brings nothing");
}

#[test]
fn what_cannot_be_is_named_and_nothing_comes() {
    let flock = Arc::new(Flock::default());
    let read = |text: &str| {
        standard::read("x.json", text.as_bytes(), &flock, Zone::Utc, today()).map_err(|e| e.to_string())
    };
    let animal = |more: &str| {
        format!(
            r#"{{"resourceType":"icarAnimalCoreResource","specie":"Sheep","identifier":{{"scheme":"net.hirsel.tag","id":"0412"}}{more}}}"#
        )
    };
    for (text, part) in [
        (animal(""), "icarAnimalCoreResource 1 (0412), gender: 'nothing' is not Female, Male or MaleNeuter: mend it".to_string()),
        (animal(r#","gender":"Female","birthDate":"soon""#), "birthDate: 'soon' is not a time such as 2026-04-03T12:00:00Z".into()),
        (animal(r#","gender":"Female","birthDate":"2026-12-01T12:00:00Z""#), "1 Dec 2026 has not come yet".into()),
        (
            format!("[{}]", r#"{"resourceType":"icarWeightEventResource","animal":{"scheme":"x","id":"9"},"eventDateTime":"2026-03-01T12:00:00Z","weight":{"measurement":40}}"#),
            "icarWeightEventResource 1 (9), animal: no animal of the file or the book has the identifier 9 (x)".into(),
        ),
        (
            format!("[{},{}]", animal(r#","gender":"Female""#), r#"{"resourceType":"icarWeightEventResource","animal":{"scheme":"net.hirsel.tag","id":"0412"},"eventDateTime":"2026-03-01T12:00:00Z","weight":{"measurement":-1}}"#),
            "weight: it is no weight of a sheep".into(),
        ),
        (" ".into(), "the file is empty".into()),
        ("{}".into(), "there are no resources of the ICAR ADE standard in it".into()),
        ("tag,sex\n1,ewe".into(), "line 1, column 2: ".into()),
        (format!("{}1{}", "[".repeat(3000), "]".repeat(3000)), "collections lie too deep in one another".into()),
        (
            format!(r#"{{"resourceType":"icarWeightEventResource","x":{}1{}}}"#, "[".repeat(90), "]".repeat(90)),
            "values lie too deep in one another".into(),
        ),
        (
            format!(r#"{{"resourceType":"icarWeightEventResource","x":[{}1]}}"#, "1,".repeat(30_000)),
            "a resource holds more than 20000 values".into(),
        ),
        (
            format!(r#"{{"resourceType":"icarWeightEventResource","x":"{}"}}"#, "a".repeat(2 << 20)),
            "a resource holds more than 1024 kB of text".into(),
        ),
    ] {
        let told = read(&text).err().unwrap_or_else(|| panic!("taken: {}", &text[..text.len().min(300)]));
        assert!(told.contains(&part), "{told}\nlacks {part}");
    }
}

proptest! {
    #![proptest_config(config(300))]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = standard::read("x", &bytes, &Flock::default(), Zone::Utc, today());
    }

    /// A document in which some bytes are others.
    #[test]
    fn a_document_gone_wrong_is_read_or_refused(at in prop::collection::vec((0usize..OTHERS.len(), any::<u8>()), 1..6)) {
        let mut bytes = OTHERS.as_bytes().to_vec();
        for (i, b) in at {
            bytes[i] = b;
        }
        let _ = standard::read("x", &bytes, &Flock::default(), Zone::Utc, today());
    }

    /// Values of any form in the place of any other.
    #[test]
    fn any_values_in_any_place_are_read_or_refused(pick in any::<u64>(), n in 1usize..8) {
        let mut rng = fastrand::Rng::with_seed(pick);
        let mut v: Value = serde_json::from_str(OTHERS).expect("JSON");
        for _ in 0..n {
            change(&mut v, &mut rng);
        }
        let _ = standard::read("x", v.to_string().as_bytes(), &Flock::default(), Zone::Utc, today());
    }
}

fn change(v: &mut Value, rng: &mut fastrand::Rng) {
    let stop = rng.u8(..) < 60;
    match v {
        Value::Array(all) if !stop && !all.is_empty() => {
            let i = rng.usize(..all.len());
            change(&mut all[i], rng);
        }
        Value::Object(o) if !stop && !o.is_empty() => {
            let i = rng.usize(..o.len());
            if let Some(v) = o.values_mut().nth(i) {
                change(v, rng);
            }
        }
        v => {
            *v = match rng.u8(..9) {
                0 => Value::Null,
                1 => true.into(),
                2 => (-1).into(),
                3 => 1e300.into(),
                4 => "".into(),
                5 => "\u{0}; hirsel: x=\\".into(),
                6 => serde_json::json!({"id": "0417", "scheme": "net.hirsel.tag.lost"}),
                7 => serde_json::json!([[], {}, "2026-02-30"]),
                _ => "9999-12-31T23:59:60Z".into(),
            }
        }
    }
}
