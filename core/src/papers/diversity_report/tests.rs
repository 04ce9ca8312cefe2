//! Tests.

use super::pictures::Pyramid;
use super::*;
use crate::flock::Sire;
use crate::papers::{carry_on, check, fixture};
use crate::terms::{Born, Sex};

/// Two rams over four ewes, then a ram lamb over his half sisters: lambs of 12.5 %.
fn narrow() -> Flock {
    let mut flock = Flock::default();
    let mut put = |tag: &str, sex, year, dam: Option<_>, sire: Option<_>| {
        let mut f = fixture::animal(tag, "", sex);
        f.animal.born = Born::On(fixture::day(&format!("{year}-04-01")));
        f.animal.dam = dam;
        f.animal.sire = sire.map_or(Sire::Unknown, Sire::Known);
        let id = f.animal.id;
        flock.put(f);
        id
    };
    let rams = ["R1", "R2"].map(|t| put(t, Sex::Ram, 2018, None, None));
    let ewes = ["E1", "E2", "E3", "E4"].map(|t| put(t, Sex::Ewe, 2018, None, None));
    let mut young = Vec::new();
    for (n, ewe) in ewes.iter().enumerate() {
        young.push(put(&format!("Y{n}"), Sex::Ewe, 2021, Some(*ewe), Some(rams[0])));
    }
    let son = put("S1", Sex::Ram, 2021, Some(ewes[0]), Some(rams[0]));
    put("Y9", Sex::Wether, 2021, Some(ewes[1]), Some(rams[1]));
    for (n, ewe) in young.iter().skip(1).enumerate() {
        put(&format!("Z{n}"), Sex::Ewe, 2024, Some(*ewe), Some(son));
    }
    flock
}

#[test]
fn pictures_and_figures_say_what_the_reckoning_says() {
    let flock = narrow();
    let on = fixture::day("2026-04-20");
    for sheet in SheetSize::ALL {
        let paper = diversity_report(&flock, on, sheet, &carry_on).unwrap();
        check::assert_inside(&paper, 8.0);
        check::assert_same_bytes(&paper);
        let letters = check::letters(&paper);
        let made = Diversity::of(&flock, &Kindred::of(&flock), on);
        for f in &made.figures {
            let formula = capital(f.formula);
            for words in [f.name, f.shown.as_str(), f.advice.as_str(), formula.as_str(), f.source] {
                assert!(letters.contains(&check::bare(words)), "{}: {words}", f.key);
            }
        }
        let top = &made.founders[0];
        for words in [
            "2021",
            "2024",
            "12.5 %", // half sibs: 1/8 (Wright 1922)
            "Mean inbreeding by year of birth",
            "Lines of dams",
            "Families of rams",
            flock.tag(top.animal),
            &format!("{}, carried by {}", percent(top.share), top.carriers),
        ] {
            assert!(letters.contains(&check::bare(words)), "{words}");
        }
        check::picture("diversity-report-small", &paper);
    }
}

#[test]
fn ages_are_counted_by_sex() {
    let flock = narrow();
    let (rows, unknown) = Pyramid::of(&flock, fixture::day("2026-04-20"), 9);
    assert_eq!(unknown, 0);
    let five = rows.iter().find(|r| r.name == "5 years").unwrap();
    assert_eq!((five.ewes, five.rams, five.wethers), (4, 1, 1));
    let eight = rows.iter().find(|r| r.name == "8 years").unwrap();
    assert_eq!((eight.ewes, eight.rams, eight.wethers), (4, 2, 0));
    assert_eq!(rows.iter().map(|r| r.ewes + r.rams + r.wethers).sum::<usize>(), 15);
    assert_eq!(rows[0].name, "8 years", "no empty rows above the oldest");
}

#[test]
fn without_animals_there_is_none() {
    let on = fixture::day("2026-04-20");
    let none = diversity_report(&Flock::default(), on, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    let stopped = diversity_report(&narrow(), on, SheetSize::A4, &|_, _| false);
    assert_eq!(stopped, Err(PaperFailed::Stopped));
}
