//! Tests: small flocks made by hand, circles, depth, and the layout's promises.

use super::*;
use crate::flock::{AnimalFile, Flock, Sire};
use crate::papers::fixture::animal;
use crate::reckon::kinship::Kindred;
use crate::terms::{AnimalId, Breed, Sex, Status};
use proptest::prelude::*;
use std::collections::HashMap;

/// A flock of animals as (tag, sire, dam); `E` begins a ewe's tag. Two sires parted by a stroke are one of two.
pub(crate) fn flock_of(all: &[(&str, &str, &str)]) -> (Flock, HashMap<String, AnimalId>) {
    let mut files: Vec<AnimalFile> = Vec::new();
    for (tag, ..) in all {
        files.push(animal(tag, "", if tag.starts_with('E') { Sex::Ewe } else { Sex::Ram }));
    }
    let ids: HashMap<String, AnimalId> =
        files.iter().map(|f| (f.animal.tag().to_owned(), f.animal.id)).collect();
    let mut offspring: Vec<(AnimalId, AnimalId)> = Vec::new();
    for (f, (_, sire, dam)) in files.iter_mut().zip(all) {
        let rams: Vec<AnimalId> = sire.split('/').filter_map(|s| ids.get(s).copied()).collect();
        offspring.extend(rams.iter().map(|r| (*r, f.animal.id)));
        f.animal.sire = match rams.as_slice() {
            [] => Sire::Unknown,
            [one] => Sire::Known(*one),
            _ => Sire::OneOf(rams),
        };
        f.animal.dam = ids.get(*dam).copied();
        offspring.extend(f.animal.dam.map(|d| (d, f.animal.id)));
    }
    let mut flock = Flock::default();
    for mut f in files {
        f.offspring = offspring.iter().filter(|(p, _)| *p == f.animal.id).map(|(_, c)| *c).collect();
        flock.put(f);
    }
    (flock, ids)
}

/// R1 on E1 gives R2 and E2; these two give E3: full sibs as parents. R9 or R8 on E3 gives E4.
const SIBS: [(&str, &str, &str); 9] = [
    ("R1", "", ""),
    ("E1", "", ""),
    ("R2", "R1", "E1"),
    ("E2", "R1", "E1"),
    ("E3", "R2", "E2"),
    ("R8", "", ""),
    ("R9", "", ""),
    ("E4", "R9/R8", "E3"),
    ("E5", "R9", "E3"),
];

#[test]
fn places_are_counted_as_in_a_list_of_ancestors() {
    let dam_of_sire = Place::SELF.sire().dam();
    assert_eq!((dam_of_sire, dam_of_sire.generation(), dam_of_sire.nth()), (Place(5), 2, 1));
    assert_eq!(dam_of_sire.words(), "sire's dam");
    assert_eq!(Place::SELF.words(), "");
    assert!(!dam_of_sire.is_sire() && Place(4).is_sire() && !Place::SELF.is_sire());
    assert_eq!(Place::generation_of(2).collect::<Vec<_>>(), [4, 5, 6, 7].map(Place));
}

#[test]
fn ancestors_where_two_lines_meet_are_numbered() {
    let (flock, ids) = flock_of(&SIBS);
    let tree = Ancestry::of(&flock, ids["E3"], 4);
    assert_eq!(tree.animal(Place(4)), Some(ids["R1"]));
    assert_eq!(tree.animal(Place(7)), Some(ids["E1"]));
    let numbered: Vec<_> = tree.repeats().iter().map(|r| (r.number, r.animal, r.places.clone())).collect();
    let want = vec![(1, ids["R1"], vec![Place(4), Place(6)]), (2, ids["E1"], vec![Place(5), Place(7)])];
    assert_eq!(numbered, want);
    assert_eq!((tree.number(Place(6)), tree.number(Place(2))), (Some(1), None));
    assert_eq!(tree.known(), 2);
    let kindred = Kindred::of(&flock);
    assert_eq!(inbred_words(&kindred, ids["E3"]), "25.0 % inbred");
    assert_eq!(inbred_words(&kindred, ids["R2"]), "not inbred");
    assert_eq!(inbred_words(&kindred, ids["R1"]), "parents not known");
    assert!(depth_words(&kindred, ids["E3"]).contains("2.0 complete generations: under 3"));
}

#[test]
fn those_behind_a_repeated_ancestor_have_no_number_of_their_own() {
    let mut all = SIBS.to_vec();
    all[0] = ("R1", "R0", "");
    all.push(("R0", "", ""));
    let (flock, ids) = flock_of(&all);
    let tree = Ancestry::of(&flock, ids["E3"], 4);
    assert_eq!(tree.places_of(ids["R0"]), [Place(8), Place(12)]);
    assert_eq!(tree.number(Place(8)), None, "it repeats with R1");
    assert_eq!(tree.repeats().len(), 2);
}

#[test]
fn several_rams_stand_as_such_and_nothing_behind_them() {
    let (flock, ids) = flock_of(&SIBS);
    let tree = Ancestry::of(&flock, ids["E4"], 4);
    assert_eq!(*tree.who(Place(2)), Who::OneOf(vec![ids["R9"], ids["R8"]]));
    assert_eq!(*tree.who(Place(4)), Who::Nothing);
    assert_eq!(tree.shown().filter(|p| p.generation() == 2).count(), 2);
}

#[test]
fn circles_end_where_they_close() {
    let (flock, ids) = flock_of(&[("R1", "R3", ""), ("R2", "R1", ""), ("R3", "R2", ""), ("E1", "R1", "E1")]);
    let tree = Ancestry::of(&flock, ids["R1"], 6);
    assert_eq!(*tree.who(Place(8)), Who::Circle(ids["R1"]));
    assert_eq!(*tree.who(Place(16)), Who::Nothing);
    assert!(sire_line(&flock, ids["R1"]).circle);
    assert_eq!(*Ancestry::of(&flock, ids["E1"], 4).who(Place(3)), Who::Circle(ids["E1"]));
    assert_eq!(descendants(&flock, ids["R1"]).len(), 3, "E1 and two rams");
    assert!(dam_line(&flock, ids["E1"]).circle && dam_line(&flock, ids["E1"]).animals.is_empty());
    let known: usize = families(&flock, Through::Sires).iter().map(|f| f.known).sum();
    assert_eq!(known, 4, "every animal is of one family");
    assert!(progeny(&flock, ids["R1"], 6, 12).len() < 10);
}

#[test]
fn descendants_come_by_generation_and_once() {
    let (flock, ids) = flock_of(&SIBS);
    let all: Vec<_> = descendants(&flock, ids["R1"])
        .iter()
        .map(|d| (flock.tag(d.animal).to_owned(), d.generation, d.sure))
        .collect();
    let want = [("E2", 1, true), ("R2", 1, true), ("E3", 2, true), ("E4", 3, true), ("E5", 3, true)];
    assert_eq!(all, want.map(|(t, g, s)| (t.to_owned(), g, s)));
    let of_r9: Vec<_> = descendants(&flock, ids["R9"]).iter().map(|d| (d.animal, d.sure)).collect();
    assert_eq!(of_r9, [(ids["E4"], false), (ids["E5"], true)]);
}

#[test]
fn progeny_names_the_other_parent_and_what_is_left_out() {
    let (flock, ids) = flock_of(&SIBS);
    let all = progeny(&flock, ids["R1"], 3, 1);
    assert_eq!(all.len(), 3);
    assert_eq!(
        (all[0].animal, all[0].with, all[0].more, all[0].offspring),
        (ids["E2"], Some(ids["E1"]), 1, 1)
    );
    assert_eq!((all[1].animal, all[1].parent), (ids["E3"], Some(0)));
    assert_eq!(all[2].more, 1, "of E4 and E5 one is shown");
}

#[test]
fn sibs_full_and_half() {
    let (flock, ids) = flock_of(&SIBS);
    assert_eq!(sibs(&flock, ids["R2"]), [(ids["E2"], Sib::Full, true)]);
    assert_eq!(sibs(&flock, ids["E5"]), [(ids["E4"], Sib::ByDam, false)], "it may be a full sib");
    let (flock, ids) =
        flock_of(&[("E1", "", ""), ("E2", "", ""), ("R1", "", ""), ("E3", "R1", "E1"), ("E4", "R1", "E2")]);
    assert_eq!(sibs(&flock, ids["E3"]), [(ids["E4"], Sib::BySire, true)]);
}

#[test]
fn families_and_lines() {
    let (flock, ids) = flock_of(&SIBS);
    assert_eq!(dam_line(&flock, ids["E4"]).animals, ["E3", "E2", "E1"].map(|t| ids[t]));
    assert_eq!(sire_line(&flock, ids["E3"]).animals, ["R2", "R1"].map(|t| ids[t]));
    let dams = families(&flock, Through::Dams);
    assert_eq!((dams[0].founder, dams[0].present.len(), dams[0].generations), (ids["E1"], 6, 3));
    let rams = families(&flock, Through::Sires);
    assert_eq!((rams[0].founder, rams[0].present.len()), (ids["R1"], 4));
}

#[test]
fn a_ewe_that_only_bore_a_lamb_is_no_parent_of_it() {
    let (mut flock, ids) = flock_of(&[("E1", "", ""), ("E2", "", ""), ("E3", "", "E1")]);
    let mut file = flock.file(ids["E3"]).unwrap().clone();
    file.animal.genetic_dam = Some(ids["E2"]);
    flock.put(file);
    let mut donor = flock.file(ids["E2"]).unwrap().clone();
    donor.offspring = vec![ids["E3"]].into();
    flock.put(donor);
    assert!(children(&flock, ids["E1"]).is_empty());
    assert_eq!(children(&flock, ids["E2"]), [(ids["E3"], true)]);
    assert_eq!(Ancestry::of(&flock, ids["E3"], 4).animal(Place(3)), Some(ids["E2"]));
}

#[test]
fn breeds_of_parents_are_halved() {
    let (mut flock, ids) = flock_of(&SIBS);
    for (tag, breed) in [("R2", "Fellside"), ("E2", "Hillgrey")] {
        let mut file = flock.file(ids[tag]).unwrap().clone();
        file.animal.breed = Breed::parse(breed).unwrap();
        file.animal.status = Status::Outside;
        flock.put(file);
    }
    let of = |tag: &str| breed_of_parents(&flock, flock.animal(ids[tag]).unwrap()).map(|b| b.to_string());
    assert_eq!(of("E3").as_deref(), Some("Hillgrey 1/2 + Fellside 1/2"));
    assert_eq!(of("E4"), None);
}

#[test]
fn ten_thousand_generations_need_no_deep_stack() {
    let tags: Vec<String> = (0..10_000).map(|i| format!("R{i}")).collect();
    let all: Vec<(&str, &str, &str)> = tags
        .iter()
        .enumerate()
        .map(|(i, t)| (t.as_str(), if i == 0 { "" } else { tags[i - 1].as_str() }, ""))
        .collect();
    let (flock, ids) = {
        // The helper looks every offspring up; here each has one.
        let mut files: Vec<AnimalFile> = all.iter().map(|(t, ..)| animal(t, "", Sex::Ram)).collect();
        for i in 1..files.len() {
            let (sire, lamb) = (files[i - 1].animal.id, files[i].animal.id);
            files[i].animal.sire = Sire::Known(sire);
            files[i - 1].offspring = vec![lamb].into();
        }
        let ids: Vec<AnimalId> = files.iter().map(|f| f.animal.id).collect();
        let mut flock = Flock::default();
        files.into_iter().for_each(|f| flock.put(f));
        (flock, ids)
    };
    assert_eq!(sire_line(&flock, ids[9_999]).animals.len(), 9_999);
    assert_eq!(descendants(&flock, ids[0]).last().map(|d| d.generation), Some(9_999));
    assert_eq!(families(&flock, Through::Sires)[0].generations, 9_999);
    assert_eq!(Ancestry::of(&flock, ids[9_999], 6).known(), 6);
    assert_eq!(progeny(&flock, ids[0], 3, 12).len(), 3);
}

#[test]
fn small_shares_are_not_shown_as_none() {
    for (f, shown) in
        [(0.0, "0.0 %"), (0.0003, "under 0.1 %"), (0.0005, "0.1 %"), (0.0625, "6.3 %"), (0.25, "25.0 %")]
    {
        assert_eq!(percent(f), shown);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Whatever is known of whom, no two boxes of a generation touch and all stand inside the whole.
    #[test]
    fn boxes_never_touch(known in prop::collection::vec(any::<bool>(), 127), tall in 0u32..3) {
        let mut all: Vec<(String, String, String)> = Vec::new();
        for n in 1..128usize {
            let is = |m: usize| m == 1 || (m < 128 && known[m - 1]);
            let tag = |m: usize| format!("{}{m}", if m.is_multiple_of(2) { "R" } else { "E" });
            if is(n) {
                let parent = |m: usize| if is(m) { tag(m) } else { String::new() };
                all.push((tag(n), parent(2 * n), parent(2 * n + 1)));
            }
        }
        let borrowed: Vec<(&str, &str, &str)> =
            all.iter().map(|(a, b, c)| (a.as_str(), b.as_str(), c.as_str())).collect();
        let (flock, ids) = flock_of(&borrowed);
        let tree = Ancestry::of(&flock, ids["E1"], 5);
        let height = |p: Place| if p.generation() < tall { 60.0 } else { 20.0 };
        let (slots, whole) = lay(&tree, Place::SELF, height, 4.0);
        prop_assert_eq!(slots.len(), tree.shown().filter(|p| p.generation() <= 5).count());
        for generation in 0..=5 {
            let mut bottom = 0.0f32;
            for (_, s) in slots.iter().filter(|(p, _)| p.generation() == generation) {
                prop_assert!(s.middle - s.height / 2.0 >= bottom - 0.01, "{generation}: {s:?} under {bottom}");
                bottom = s.middle + s.height / 2.0;
            }
            prop_assert!(bottom <= whole + 0.01);
        }
    }
}
