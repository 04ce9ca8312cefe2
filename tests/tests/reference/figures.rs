//! Flock figures against a worked example, and against a second flock counted by hand, under each setting.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, JobRef, MoneyDraft, MovementDraft, ScanDraft, StandingDraft, TickDraft};
use hirsel_core::exchange::{Kind, read};
use hirsel_core::flock::{Holding, MoveDetails, Outcome};
use hirsel_core::reckon::flock_figures::{Band, By, Part, Settings, Tally, What, Years, figure};
use hirsel_core::terms::{Day, Moment, MoneyKind, Price, Scanned, Status};
use hirsel_tests::flocks::{Folder, day, empty_book, write};
use hirsel_tests::reference::rows;
use serde::Deserialize;

const TODAY: &str = "2025-12-01";

fn take(book: &mut Book, kind: Kind, csv: &str) {
    let reading = read(kind, "table.csv", csv.as_bytes(), &book.flock(), day(TODAY))
        .unwrap_or_else(|e| panic!("{csv}: {e}"));
    let checked = reading.sure("").expect("plain").unwrap_or_else(|| panic!("nothing to question in {csv}"));
    book.write(checked).unwrap_or_else(|e| panic!("{e}"));
}

/// Ewes of these tags and years of birth, a ram, all joined in the autumn of 2024.
fn joined(folder: &Folder, ewes: &[(&str, i32)]) -> Book {
    let mut book = empty_book(folder);
    let mut animals = String::from("tag,sex,born\nR1,ram,2021-03-01\n");
    let mut joinings = String::from("ram,ewe,from,to,method\n");
    for (tag, year) in ewes {
        animals.push_str(&format!("{tag},ewe,{year}-03-20\n"));
        joinings.push_str(&format!("R1,{tag},2024-10-25,2024-12-01,\n"));
    }
    take(&mut book, Kind::Animals, &animals);
    take(&mut book, Kind::Joinings, &joinings);
    book
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Example {
    figure: String,
    value: f64,
    within: f64,
}

#[test]
fn the_worked_example_on_a_real_book() {
    let folder = Folder::new();
    let tags: Vec<String> = (1..=11).map(|n| format!("E{n:02}")).collect();
    let ewes: Vec<(&str, i32)> = tags.iter().map(|t| (t.as_str(), 2021)).collect();
    let mut book = joined(&folder, &ewes);
    // Nine lamb: six pairs of twins and three singles make fifteen.
    let mut csv = String::from("ewe,on,lamb,sex,ram,fate\n");
    for (n, tag) in tags.iter().take(9).enumerate() {
        let lambs = if n < 6 { 2 } else { 1 };
        for i in 0..lambs {
            csv.push_str(&format!("{tag},2025-04-{:02},L{n}{i},ewe,R1,alive\n", 1 + n));
        }
    }
    take(&mut book, Kind::Lambings, &csv);
    let years = Years::of(&book.flock(), day(TODAY));
    for e in rows::<Example>("figures", "example") {
        let what = What::from_key(&e.figure).unwrap_or_else(|| panic!("{}", e.figure));
        let f = years.figure(2025, what);
        let value = f.value.unwrap_or_else(|| panic!("{}: {f:?}", e.figure));
        assert!((value - e.value).abs() <= e.within, "{}: {value}, not {}", e.figure, e.value);
    }
    let of = |w: What| years.figure(2025, w).of;
    assert_eq!((of(What::Barren), of(What::PerLambed), of(What::WeanedInLamb)), (Some(11), Some(9), Some(9)));
    // Nothing is what no base gives.
    assert_eq!(years.figure(2025, What::SixtyWeight).value, None, "no lamb was weighed");
    assert_eq!(years.figure(2025, What::MarginEwe).value, None, "no money is written");
    assert_eq!(years.figure(2019, What::Fertility).value, None, "no such season");
    assert_eq!(years.figure(2025, What::Replacement).value, None, "the first season in the book");
}

/// Twelve ewes joined and one bought in lamb; fostering, a bottle lamb, losses, ewes that were sold and one that died.
fn second(folder: &Folder) -> Book {
    let born = |n: u32| match n {
        2 => 2021,
        7 => 2023,
        _ => 2022,
    };
    let tags: Vec<String> = (1..=12).map(|n| format!("E{n:02}")).collect();
    let ewes: Vec<(&str, i32)> = tags.iter().zip(1..).map(|(t, n)| (t.as_str(), born(n))).collect();
    let mut book = joined(folder, &ewes);
    take(&mut book, Kind::Animals, "tag,sex,born\nP1,ewe,2020-04-01\n");
    let id = |book: &Book, tag: &str| book.flock().by_tag(tag).unwrap_or_else(|| panic!("{tag}"));
    let came = MovementDraft {
        animal: id(&book, "P1"),
        on: day("2025-02-10"),
        to: Status::Present,
        other: Some("Hillgate".into()),
        reason: None,
        details: MoveDetails::default(),
    };
    let check = entry::movements(vec![came], &book.flock(), day(TODAY));
    write(&mut book, check);
    for (tag, found) in [("E08", Scanned::Empty), ("E12", Scanned::Two)] {
        let scan =
            ScanDraft { ewe: id(&book, tag), on: day("2025-01-10"), found, age_days: None, note: None };
        let check = entry::scans(vec![scan], &book.flock(), day(TODAY));
        write(&mut book, check);
    }
    for (tag, to, on) in [
        ("E08", Status::Sold, "2025-02-20"),
        ("E09", Status::Sold, "2025-01-15"),
        ("E10", Status::Dead, "2025-02-01"),
        ("E12", Status::Sold, "2025-03-01"),
    ] {
        let draft = StandingDraft {
            animals: vec![id(&book, tag)],
            to,
            on: day(on),
            other: None,
            reason: None,
            details: MoveDetails::default(),
        };
        let check = entry::standing(draft, &book.flock(), day(TODAY));
        write(&mut book, check);
    }
    take(
        &mut book,
        Kind::Lambings,
        "ewe,on,lamb,sex,ram,birth_weight_kg,fate,reared_by,died_on,died_of\n\
         E01,2025-04-01,L01,ewe,R1,4.0,alive,,,\n\
         E01,2025-04-01,L02,ewe,R1,4.0,alive,,,\n\
         E02,2025-04-02,L03,ewe,R1,4.0,alive,,,\n\
         E02,2025-04-02,L04,ewe,R1,4.0,alive,E07,,\n\
         E03,2025-04-03,L05,ewe,R1,3.0,alive,,,\n\
         E03,2025-04-03,L06,ewe,R1,3.0,alive,,,\n\
         E03,2025-04-03,L07,ewe,R1,3.0,alive,bottle,,\n\
         E04,2025-04-04,L08,ewe,R1,5.0,died,,2025-04-07,scour\n\
         E05,2025-04-05,L09,ewe,R1,4.0,alive,,,\n\
         E05,2025-04-05,L10,ewe,R1,2.5,died,,2025-04-05,cold and wet\n\
         E06,2025-04-06,L11,ewe,R1,4.0,alive,,,\n\
         E06,2025-04-06,L12,ewe,R1,4.0,alive,,,\n\
         E07,2025-04-02,L13,ewe,R1,5.5,born dead,,,\n\
         P1,2025-04-30,L14,ewe,,4.0,alive,,,\n\
         P1,2025-04-30,L15,ewe,,4.0,alive,,,\n",
    );
    book
}

fn value(years: &Years, what: What) -> (Option<f64>, Option<u32>) {
    let f = years.figure(2025, what);
    (f.value.map(|v| (v * 10.0).round() / 10.0), f.of)
}

/// The shipped table with some words put in place of others.
fn settings(book: &mut Book, changes: &[(&str, &str)]) -> Years {
    let mut text = Settings::shipped_words().to_string();
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    let check = entry::holding(Holding { figures: text, ..book.flock().holding().clone() }, &book.flock());
    write(book, check);
    Years::of(&book.flock(), day(TODAY))
}

#[test]
fn a_second_flock_by_hand_under_each_setting() {
    let folder = Folder::new();
    let mut book = second(&folder);
    let years = Years::of(&book.flock(), day(TODAY));
    // As shipped: 12 turned out, less E09 and E12 (E08 was found empty and stays in), with P1: 11.
    assert_eq!(value(&years, What::Exposed), (Some(11.0), None));
    assert_eq!(value(&years, What::SoldBefore), (Some(3.0), Some(12)));
    assert_eq!(value(&years, What::DiedBefore), (Some(1.0), Some(12)));
    assert_eq!(value(&years, What::Bought), (Some(1.0), None));
    assert_eq!(value(&years, What::Fertility), (Some(72.7), Some(11)), "8 of 11");
    assert_eq!(value(&years, What::Barren), (Some(27.3), Some(11)));
    // All but P1 (30 April) lambed in the first 20 days from 1 April.
    assert_eq!(value(&years, What::FirstCycle), (Some(63.6), Some(11)), "7 of 11");
    assert_eq!(value(&years, What::Born), (Some(15.0), Some(8)));
    assert_eq!(value(&years, What::Alive), (Some(14.0), Some(15)));
    assert_eq!(value(&years, What::Loss), (Some(20.0), Some(15)), "3 of 15");
    assert_eq!(value(&years, What::Weaned), (Some(12.0), Some(15)));
    assert_eq!(value(&years, What::Bottle), (Some(1.0), Some(12)));
    assert_eq!(value(&years, What::WeanedExposed), (Some(109.1), Some(11)));
    assert_eq!(value(&years, What::EweDeath), (Some(8.3), Some(12)));
    // All turned out, whatever became of them: E12 was scanned in lamb and counts so.
    let turned = [("less_sold = true", "less_sold = false"), ("plus_in_lamb = true", "plus_in_lamb = false")];
    let years = settings(&mut book, &turned);
    assert_eq!(value(&years, What::Fertility), (Some(58.3), Some(12)), "7 of 12");
    assert_eq!(value(&years, What::Pregnancy), (Some(66.7), Some(12)), "8 of 12");
    // Those that were there at lambing.
    let there = [("empty_stay = true", "empty_stay = false"), ("less_dead = false", "less_dead = true")];
    let years = settings(&mut book, &there);
    assert_eq!(value(&years, What::Fertility), (Some(88.9), Some(9)), "8 of 9");
    // Losses of those born alive: 2 of 14.
    let years = settings(&mut book, &[("of = \"born\"", "of = \"born alive\"")]);
    assert_eq!(value(&years, What::Loss).0, Some(14.3));
    // A season that begins in April is that of the year after.
    let years = settings(&mut book, &[("month = 1", "month = 4")]);
    assert_eq!(years.last(), Some(2026));
}

#[test]
fn fostered_and_bottle_lambs_and_why_lambs_were_lost() {
    let folder = Folder::new();
    let book = second(&folder);
    let years = Years::of(&book.flock(), day(TODAY));
    let parts = years.split(2025, By::Age);
    let of = |age: i32| -> Tally { parts.get(&Part::Age(age)).cloned().unwrap_or_default() };
    // E02, four years old, bore two and reared one; E07, two years old, bore one dead and reared hers.
    assert_eq!((of(4).born, of(4).by_ewes), (2, 1));
    assert_eq!((of(2).born, of(2).alive, of(2).by_ewes), (1, 0, 1));
    let reared: u32 = parts.values().map(|t| t.by_ewes).sum();
    assert_eq!(reared, 11, "the bottle lamb is reared by none");
    let by_ram = years.split(2025, By::Ram);
    assert_eq!(
        by_ram.values().map(|t| t.weaned).sum::<u32>(),
        12,
        "of a ram every lamb counts where it was born"
    );
    let losses = years.losses(2025);
    let told: Vec<(&str, u32, u32, u32)> = losses
        .iter()
        .map(|(c, n)| {
            let at = |b: Band| n[b as usize];
            (years.cause(*c), at(Band::BornDead), at(Band::Day0), at(Band::Week1))
        })
        .collect();
    assert_eq!(told, [("stillborn", 1, 0, 0), ("starved or cold", 0, 1, 0), ("scour", 0, 0, 1)]);
    // Before the lambing it is not known who will lamb, so there is a dash and what is waited for.
    let early = Years::of(&book.flock(), day("2025-03-20"));
    let f = early.figure(2025, What::Fertility);
    assert_eq!(f.value, None);
    assert!(f.note.is_some_and(|n| n.contains("still to lamb")));
}

#[test]
fn weaning_by_its_ticks_and_money() {
    let folder = Folder::new();
    let mut book = second(&folder);
    let today = day(TODAY);
    // Two of the lambs are ticked as weaned at 100 days: the others count as weaned at that age.
    let flock = book.flock();
    let jobs = ["L01", "L02"].map(|t| JobRef {
        animal: flock.by_tag(t).expect("a lamb"),
        step: "wean".into(),
        anchor: day("2025-04-01"),
        round: 0,
    });
    let at = Moment::day(day("2025-07-10"));
    let draft = TickDraft { jobs: jobs.to_vec(), outcome: Outcome::Done, at, note: None };
    let check = entry::ticks(draft, &flock, today);
    write(&mut book, check);
    let years = Years::of(&book.flock(), today);
    assert_eq!(years.seasons[&2025].weaning, (100, true));
    let early = Years::of(&book.flock(), day("2025-07-11"));
    assert_eq!(early.tallies[&2025].weaned, 4, "those of 1 and 2 April; the others are not 100 days old");
    assert_eq!(early.figure(2025, What::WeanedExposed).value, None);
    // 180 spent and 1.5 lambs sold for each ewe: a lamb must bring 120 (reference, husbandry section 9, computed).
    let money = |kind, amount: &str| MoneyDraft {
        on: day("2025-08-01"),
        kind,
        amount: Price::parse(amount).expect("a price"),
        group: None,
        note: None,
    };
    let drafts =
        vec![money(MoneyKind::Feed, "2160"), money(MoneyKind::Lambs, "3600"), money(MoneyKind::Rams, "240")];
    let check = entry::money(drafts, today);
    write(&mut book, check);
    let years = Years::of(&book.flock(), today);
    assert_eq!(value(&years, What::Margin).0, Some(1200.0));
    assert_eq!(value(&years, What::MarginEwe), (Some(100.0), Some(12)));
    assert_eq!(value(&years, What::MarginLamb), (Some(100.0), Some(12)));
    assert_eq!(value(&years, What::BreakEven), (None, Some(0)), "no lamb is sold: a dash");
    let sold = Tally { sold: 18, ..Tally::default() };
    let f = figure(What::BreakEven, &sold, &years.purses[&2025], &years.settings);
    assert_eq!((f.value, f.of), (Some(120.0), Some(18)));
}

#[test]
fn settings_that_cannot_be_read_are_refused_with_their_line() {
    let folder = Folder::new();
    let book = empty_book(&folder);
    let refused = |text: &str| {
        let new = Holding { figures: text.into(), ..book.flock().holding().clone() };
        entry::holding(new, &book.flock()).expect_err("refused")[0].to_string()
    };
    let shipped = Settings::shipped_words();
    assert!(refused("sheep").contains("line 1"));
    assert!(refused(&shipped.replace("of = \"born\"", "of = \"all\"")).contains("\"born alive\""));
    assert!(refused(&shipped.replace("month = 1", "month = 13")).contains("from 1 to 12"));
    assert!(refused(&shipped.replace("barren_percent", "barrenness")).contains("is no figure"));
    assert!(
        refused(&shipped.replace("from = 96.0\nto = 100.0", "from = 101.0\nto = 100.0")).contains("swap")
    );
    let bare: String = shipped
        .lines()
        .filter(|l| !l.starts_with("source") && !l.starts_with("seen"))
        .fold(String::new(), |all, l| all + l + "\n");
    assert!(Settings::parse(&bare).is_ok(), "the keeper need not name sources");
}

#[test]
fn an_empty_book_and_one_ewe() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let years = Years::of(&book.flock(), day(TODAY));
    assert_eq!((years.last(), years.years().len()), (None, 0));
    assert!(years.split(2025, By::Breed).is_empty());
    take(&mut book, Kind::Animals, "tag,sex,born\nE01,ewe,\n");
    take(&mut book, Kind::Lambings, "ewe,on,lamb,sex\nE01,2025-04-01,L1,ewe\n");
    let years = Years::of(&book.flock(), day(TODAY));
    assert_eq!(years.last(), Some(2025));
    let f = years.figure(2025, What::Exposed);
    assert_eq!(f.value, Some(1.0), "she lambed, so a ram was with her");
    assert!(f.note.is_some_and(|n| n.contains("no joining is written")));
    assert_eq!(years.figure(2025, What::Lambed).of, None, "none was joined");
    let last: Day = day("2024-01-01");
    assert_eq!(Years::of(&book.flock(), last).last(), None, "nothing of it was known then");
}
