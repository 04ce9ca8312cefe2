//! Tests: every ancestor of four generations is on the paper, nothing leaves the sheet, nothing is lost.

use super::*;
use crate::flock::{AnimalFile, GeneTest, Holding, Sire, Tested};
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{self, day, mark};
use crate::papers::{Mark, Paper, SheetSize, carry_on};
use crate::reckon::pedigree::Place;
use crate::terms::*;

/// How names are made up.
#[derive(Clone, Copy, PartialEq)]
enum Names {
    Short,
    Long,
}

/// A full pedigree of six generations; the two grandsires' sires are one ram.
fn full(names: Names, repeat: bool) -> (Flock, AnimalId, Vec<(Place, String, String)>) {
    let pets = ["Bracken", "Fern", "Sedge", "Juniper", "Tormentil", "Heather", "Rowan", "Burnet", "Thyme"];
    let mut files: Vec<Option<AnimalFile>> = vec![None; 128];
    let mut said = Vec::new();
    for n in 1..128usize {
        let place = Place(n as u32);
        let sex = if place.is_sire() { Sex::Ram } else { Sex::Ewe };
        let tag = match names {
            Names::Short => format!("{}{:03}", if sex == Sex::Ram { "R" } else { "" }, 400 + n),
            Names::Long => format!("UK 0123456 {n:05}"),
        };
        let name = match names {
            Names::Short if n < 32 => pets[n % pets.len()].to_owned(),
            Names::Short => String::new(),
            Names::Long => format!("Gwenllian fach y Bwthyn Uchaf o'r Mynydd Mawr the {n}th of that name"),
        };
        let mut f = fixture::animal(&tag, &name, sex);
        let a = &mut f.animal;
        a.born = if n < 16 {
            Born::On(day(&format!("{}-04-{:02}", 2024 - place.generation() * 3, n)))
        } else {
            Born::Year(2010)
        };
        a.breed = Breed::parse("Fellside").unwrap();
        a.identities.push(mark(IdentityKind::Registry, &format!("F{:04}", 1000 + n)));
        a.prefix = Some(if names == Names::Long {
            "Thornfell Heritage Mountain".into()
        } else {
            "Thornfell".into()
        });
        a.section = Some("A".into());
        if n >= 8 {
            a.status = Status::Outside;
        }
        said.push((place, tag, name));
        files[n] = Some(f);
    }
    let ids: Vec<AnimalId> =
        files.iter().map(|f| f.as_ref().map_or_else(AnimalId::new, |f| f.animal.id)).collect();
    for n in 1..64 {
        let f = files[n].as_mut().unwrap();
        f.animal.sire = Sire::Known(ids[2 * n]);
        f.animal.dam = Some(ids[2 * n + 1]);
    }
    if repeat {
        files[6].as_mut().unwrap().animal.sire = Sire::Known(ids[8]);
        said.retain(|(p, ..)| !on(Place(12), *p));
    }
    let me = files[1].as_mut().unwrap();
    me.animal.colour = Some("dark face, white blaze".into());
    me.animal.birth_type = BirthType::new(2);
    me.animal.identities.push(mark(IdentityKind::Electronic, "826012345600412"));
    let test = |on: &str, found| GeneTest {
        id: GeneTestId::new(),
        animal: ids[1],
        on: day(on),
        found,
        lab: Some("Uplands laboratory".into()),
        number: Some("UL 4411".into()),
        note: None,
        struck: None,
    };
    me.tests = vec![
        test("2025-05-02", Tested::Scrapie(Scrapie::parse("ARR/ARQ").unwrap())),
        test("2025-05-03", Tested::Recessive { gene: "Spider lamb".into(), status: GeneStatus::Clear }),
        test("2025-06-01", Tested::Parentage { parent: ids[2], is: true }),
    ]
    .into();
    let mut flock = Flock::default();
    files.into_iter().flatten().for_each(|f| flock.put(f));
    flock.set_holding(Holding {
        flock: "Thornfell Heritage".into(),
        keeper: "Eirlys Pugh".into(),
        number: "55/123/4567".into(),
        address: "Tŷ Uchaf, Cwm Du".into(),
        registry: "Fellside Sheep Registry".into(),
        prefix: "Thornfell".into(),
        ..Holding::default()
    });
    (flock, ids[1], said)
}

/// Whether a place lies on or behind another.
fn on(front: Place, mut place: Place) -> bool {
    while place.0 > front.0 {
        place = Place(place.0 / 2);
    }
    place == front
}

fn certificate(flock: &Flock, id: AnimalId, sheet: SheetSize) -> Paper {
    let paper = pedigree_certificate(flock, &[id], day("2026-04-10"), sheet, &carry_on).unwrap();
    assert_inside(&paper, 8.0);
    assert_same_bytes(&paper);
    paper
}

/// No two runs of text lie over one another.
fn assert_apart(paper: &Paper) {
    for page in &paper.pages {
        let runs: Vec<(f32, f32, f32, f32, &str)> = page
            .marks
            .iter()
            .filter_map(|m| match m {
                Mark::Text { x_mm, baseline_mm, size_pt, face, text, .. } if !text.trim().is_empty() => {
                    let w = super::super::text::width_mm(*face, *size_pt, text);
                    let cap = super::super::text::cap_height_mm(*face, *size_pt);
                    Some((*x_mm, x_mm + w, baseline_mm - cap, *baseline_mm, text.as_str()))
                }
                _ => None,
            })
            .collect();
        for (i, a) in runs.iter().enumerate() {
            for b in &runs[i + 1..] {
                let apart = a.1 <= b.0 + 0.15 || b.1 <= a.0 + 0.15 || a.3 <= b.2 || b.3 <= a.2;
                assert!(apart, "'{}' lies over '{}'", a.4, b.4);
            }
        }
    }
}

#[test]
fn the_certificate_holds_every_ancestor_of_four_generations() {
    for names in [Names::Short, Names::Long] {
        for sheet in SheetSize::ALL {
            let (flock, id, said) = full(names, true);
            let paper = certificate(&flock, id, sheet);
            picture(
                &format!("pedigree-{}-{}", if names == Names::Long { "long" } else { "short" }, sheet.word()),
                &paper,
            );
            assert_apart(&paper);
            let words = letters(&paper);
            for (place, tag, name) in said.iter().filter(|(p, ..)| p.generation() <= 4) {
                assert!(
                    words.contains(&bare(tag)) && words.contains(&bare(name)),
                    "{}: {tag} {name}",
                    place.words()
                );
            }
            for told in [
                "F1001,sectionA",
                "FellsideSheepRegistry",
                "ARQ/ARR",
                "Spiderlamb:clear",
                "ParentageUK",
                "EirlysPugh",
                "notacertificateofFellsideSheepRegistry",
                "Signatureofthekeeper",
                "Printed10Apr2026byEirlysPugh",
                "standsin2places:sire'ssire'ssire,dam'ssire'ssire",
                "3.1%inbred",
                "6.0completegenerations",
            ] {
                let told = if told == "ParentageUK" { "Parentage:" } else { told };
                assert!(words.contains(told), "{told} in {words}");
            }
            assert_eq!(paper.pages.len() > 1, names == Names::Long, "{words}");
            let least = paper.pages.iter().flat_map(|p| &p.marks).filter_map(|m| match m {
                // The figure in a ring is large for what it is.
                Mark::Text { size_pt, text, .. } if text.len() > 1 => Some(*size_pt),
                _ => None,
            });
            assert!(least.fold(99.0, f32::min) >= 7.3, "read without squinting");
        }
    }
}

#[test]
fn the_code_holds_plain_text_and_no_address() {
    let (flock, id, _) = full(Names::Short, true);
    let tree = Ancestry::of(&flock, id, 4);
    let kindred = Kindred::of(&flock);
    let source = Source { flock: &flock, kindred: &kindred, tree: &tree, cut: Default::default() };
    let words = particulars::code(&source, flock.file(id).unwrap(), "Printed 10 Apr 2026 by Eirlys Pugh");
    for told in ["Pedigree: 401 Fern", "Thornfell F1001, section A", "Sire: R402", "Dam: 403", "3.1 % inbred"]
    {
        assert!(words.contains(told), "{told} in {words}");
    }
    assert!(!words.contains("://") && words.len() < 420, "{}", words.len());
    assert!(super::super::qr::Code::of(&words).is_some());
}

#[test]
fn nothing_known_is_a_certificate_as_well() {
    let mut flock = Flock::default();
    let blank = fixture::animal("Z9", "", Sex::Ram);
    let id = blank.animal.id;
    flock.put(blank);
    for sheet in SheetSize::ALL {
        let paper = certificate(&flock, id, sheet);
        picture(&format!("pedigree-empty-{}", sheet.word()), &paper);
        assert_apart(&paper);
        let words = letters(&paper);
        for told in
            ["Noancestoriswrittendown", "Parentsnotknown", "noneiswrittendown", "♂notknown", "♀notknown"]
        {
            assert!(words.contains(told), "{told} in {words}");
        }
    }
    let none = pedigree_certificate(&flock, &[], day("2026-04-10"), SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
}

#[test]
fn several_rams_and_a_circle_are_said() {
    let (mut flock, id, _) = full(Names::Short, false);
    let dam = flock.animal(id).unwrap().dam.unwrap();
    let mut file = flock.file(dam).unwrap().clone();
    let Sire::Known(ram) = file.animal.sire.clone() else { panic!("known") };
    let other = flock.animal(id).unwrap().sire.known().unwrap();
    file.animal.sire = Sire::OneOf(vec![ram, other]);
    flock.put(file);
    let words = letters(&certificate(&flock, id, SheetSize::A4));
    assert!(words.contains("♂oneofR406,R402"), "{words}");
    let mut top = flock.file(ram).unwrap().clone();
    top.animal.sire = Sire::Known(ram);
    flock.put(top);
    let paper = certificate(&flock, ram, SheetSize::A4);
    assert!(letters(&paper).contains("acircle"), "{}", letters(&paper));
}

#[test]
fn the_drawing_of_four_to_six_generations() {
    for names in [Names::Short, Names::Long] {
        let (flock, id, said) = full(names, true);
        for (generations, sheets) in [(4, 1), (5, 1), (6, 2)] {
            for sheet in SheetSize::ALL {
                let today = day("2026-04-10");
                let paper = pedigree_drawing(&flock, &[id], generations, today, sheet, &carry_on).unwrap();
                let long = if names == Names::Long { "long" } else { "short" };
                picture(&format!("ancestors-{generations}-{long}-{}", sheet.word()), &paper);
                assert_inside(&paper, 8.0);
                assert_apart(&paper);
                if names == Names::Short {
                    assert_eq!(paper.pages.len(), sheets, "{generations} {}", sheet.word());
                }
                let words = letters(&paper);
                for (place, tag, _) in said.iter().filter(|(p, ..)| p.generation() <= generations) {
                    assert!(words.contains(&bare(tag)), "{}: {tag}", place.words());
                }
                assert!(words.contains("outside"));
            }
        }
    }
}
