//! Circles of any depth, and what makes two animals one. The whole look is tested on books with raw rows (tests crate).

use super::twice::likeness;
use super::{DoubtKind, Doubts};
use crate::flock::{Animal, AnimalFile, Flock, Identity, Sire};
use crate::terms::{AnimalId, Born, Day, IdentityId, IdentityKind, Rearing, Sex, Status, Tag};

fn animal(tag: &str, sex: Sex) -> Animal {
    let mark = Identity {
        id: IdentityId::new(),
        kind: IdentityKind::Flock,
        tag: Tag::parse(tag).unwrap(),
        from: None,
        to: None,
        ended: None,
    };
    Animal {
        id: AnimalId::new(),
        identities: [mark].into(),
        name: None,
        sex,
        breed: None,
        born: Born::Unknown,
        dam: None,
        sire: Sire::Unknown,
        genetic_dam: None,
        rearing: Rearing::Dam,
        birth_type: None,
        rear_type: None,
        birth_weight: None,
        prefix: None,
        section: None,
        colour: None,
        marks: None,
        pen: None,
        note: None,
        meant_for: crate::terms::MeantFor::Undecided,
        status: Status::Present,
        status_on: None,
        status_reason: None,
    }
}

fn flock(animals: &[Animal]) -> Flock {
    let mut flock = Flock::default();
    for a in animals {
        let mut file = AnimalFile::of(a.clone());
        let child = |l: &&Animal| l.dam == Some(a.id) || l.sire.possible().contains(&a.id);
        file.offspring = if animals.len() > 1000 {
            Default::default()
        } else {
            animals.iter().filter(child).map(|l| l.id).collect()
        };
        flock.put(file);
    }
    flock
}

#[test]
fn circles_are_found_whole_and_apart() {
    let mut all: Vec<Animal> = (0..7).map(|i| animal(&format!("A{i}"), Sex::Ewe)).collect();
    let id: Vec<AnimalId> = all.iter().map(|a| a.id).collect();
    // 0 of 1 of 2 of 0; 3 of 4 of 3; 5 of 0, on no circle itself; 6 of itself.
    for (child, dam) in [(0, 1), (1, 2), (2, 0), (3, 4), (4, 3), (5, 0), (6, 6)] {
        all[child].dam = Some(id[dam]);
    }
    let found = Doubts::of(&flock(&all));
    let circles: Vec<_> = found.list().iter().filter(|d| d.kind == DoubtKind::Circle).collect();
    assert_eq!(circles.len(), 2, "{circles:#?}");
    assert_eq!(circles[0].animals, id[0..3]);
    assert_eq!(circles[1].animals, id[3..5]);
    assert!(
        circles[0].words.starts_with("A0, child of A1, child of A2, child of A0:"),
        "{}",
        circles[0].words
    );
    let own: Vec<_> = found.list().iter().filter(|d| d.kind == DoubtKind::OwnParent).collect();
    assert_eq!(own.len(), 1);
    assert_eq!(own[0].animals, [id[6]]);
}

#[test]
fn a_circle_of_a_hundred_thousand_needs_no_deep_stack() {
    let n = 100_000;
    let mut all: Vec<Animal> = (0..n).map(|i| animal(&format!("E{i}"), Sex::Ewe)).collect();
    for i in 0..n {
        all[i].dam = Some(all[(i + 1) % n].id);
    }
    let found = Doubts::of(&flock(&all));
    let circle = &found.list()[0];
    assert_eq!((circle.kind, circle.animals.len(), found.total()), (DoubtKind::Circle, n, 1));
    assert!(circle.words.contains("and 99992 more"), "{}", circle.words);
}

#[test]
fn lists_are_bounded_and_counted_to_the_end() {
    let mut all: Vec<Animal> = (0..1000).map(|i| animal(&format!("E{i}"), Sex::Ewe)).collect();
    for a in &mut all {
        a.born = Born::Year(2020);
    }
    let found = Doubts::of(&flock(&all));
    assert_eq!(found.counts(), [(DoubtKind::EstimatedBirth, 1000)]);
    assert_eq!((found.list().len(), found.left_off()), (300, 700));
}

#[test]
fn two_that_may_be_one() {
    let day = |t: &str| Born::On(Day::parse_iso(t).unwrap());
    let dam = AnimalId::new();
    let pair = |change: &dyn Fn(&mut Animal, &mut Animal)| {
        let (mut a, mut b) = (animal("0412", Sex::Ewe), animal("K77", Sex::Ewe));
        (a.born, b.born, a.dam, b.dam) = (day("2022-04-03"), day("2022-04-03"), Some(dam), Some(dam));
        change(&mut a, &mut b);
        likeness(&AnimalFile::of(a), &AnimalFile::of(b)).map(|l| l.score)
    };
    let named =
        |a: &mut Animal, b: &mut Animal| (a.name, b.name) = (Some("Bracken".into()), Some("bracken".into()));
    assert_eq!(pair(&|_, _| {}), None, "sisters born together are two");
    assert_eq!(pair(&named), Some(60), "name, birth, dam");
    assert_eq!(
        pair(&|a, b| {
            named(a, b);
            b.sex = Sex::Ram;
        }),
        None
    );
    let tagged = |a: &mut Animal, b: &mut Animal| {
        b.identities[0].tag = Tag::parse("412").unwrap();
        (a.born, b.born, a.dam, b.dam) = (Born::Unknown, Born::Unknown, None, None);
    };
    assert_eq!(pair(&tagged), None, "a like tag alone is nothing");
    assert_eq!(
        pair(&|a, b| {
            tagged(a, b);
            b.identities[0].tag = Tag::parse("0412").unwrap();
            b.status = Status::Outside;
        }),
        Some(50)
    );
    let chipped = |a: &mut Animal, b: &mut Animal| {
        for x in [a, b] {
            let mut chip = x.identities[0].clone();
            (chip.kind, chip.tag) = (IdentityKind::Electronic, Tag::parse("826000000000412").unwrap());
            x.identities.push(chip);
            x.born = Born::Unknown;
            x.dam = None;
        }
    };
    assert_eq!(pair(&chipped), Some(75), "the same chip");
}
