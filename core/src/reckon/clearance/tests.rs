//! Counting, courses and export by hand.

use super::*;
use crate::flock::{CoursePart, TreatmentMore};
use crate::terms::{AnimalId, CourseId};

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

#[test]
fn a_day_only_dose_clears_after_day_n() {
    let given = Moment::day(day("2026-05-01"));
    assert_eq!(clear_after(given, Withdrawal::Days(28)), Clear::From(day("2026-05-30")));
    assert_eq!(clear_after(given, Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
    assert_eq!(clear_after(given, Withdrawal::Hours(60)), Clear::From(day("2026-05-05")));
    assert_eq!(clear_after(given, Withdrawal::Unknown), Clear::Unknown);
}

#[test]
fn a_timed_dose_clears_the_first_whole_day() {
    let at = |h, m| Moment { day: day("2026-05-01"), time: Minute::new(h, m) };
    assert_eq!(clear_after(at(9, 0), Withdrawal::Days(28)), Clear::From(day("2026-05-30")));
    assert_eq!(clear_after(at(0, 0), Withdrawal::Days(28)), Clear::From(day("2026-05-29")));
    assert_eq!(clear_after(at(9, 0), Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
    assert_eq!(clear_after(at(0, 0), Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
    assert_eq!(clear_after(at(12, 0), Withdrawal::Hours(60)), Clear::From(day("2026-05-04")));
    assert_eq!(clear_after(at(12, 1), Withdrawal::Hours(60)), Clear::From(day("2026-05-05")));
}

#[test]
fn milk_never_is_nothing_to_wait_for() {
    let mut c = Clearance::default();
    c.milk.clear = Clear::Never;
    assert!(c.is_held(day("2026-05-01")) && !c.waits(day("2026-05-01")));
    c.meat.clear = Clear::Unknown;
    assert!(c.waits(day("2026-05-01")), "a period not known must be found out");
    c.meat.clear = Clear::Never;
    assert!(c.waits(day("2026-05-01")));
}

fn treatment(on: &str, time: Option<(u32, u32)>, meat: Withdrawal, export: Withdrawal) -> Treatment {
    Treatment {
        id: TreatmentId::new(),
        animal: AnimalId::from_bytes([1; 16]),
        at: Moment { day: day(on), time: time.and_then(|(h, m)| Minute::new(h, m)) },
        product: "Fellmectin".into(),
        batch: None,
        dose: None,
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat,
        milk: Withdrawal::Hours(60),
        more: TreatmentMore { export, ..Default::default() }.into(),
        struck: None,
    }
}

fn file(treatments: Vec<Treatment>) -> AnimalFile {
    use crate::entry::AnimalDraft;
    use crate::terms::{Sex, Tag};
    let draft = AnimalDraft::new(Tag::parse("0412").unwrap(), Sex::Ewe);
    let entry = crate::entry::animals(vec![draft], &Flock::default(), day("2026-12-31")).unwrap();
    let crate::entry::Entry::Animals { animals, .. } = entry.entry() else { panic!("animals") };
    AnimalFile { treatments: treatments.into(), ..AnimalFile::of(animals[0].clone()) }
}

fn from(text: &str) -> Clear {
    Clear::From(day(text))
}

#[test]
fn a_course_counts_from_its_last_dose_written_or_planned() {
    let id = CourseId::new();
    let dose = |on: &str, time, nth, of| {
        let mut t = treatment(on, time, Withdrawal::Days(10), Withdrawal::Unknown);
        t.more.course = Some(CoursePart { id, nth, of, every_hours: 24 });
        t
    };
    let on = day("2026-06-30");
    let meat = |all: Vec<Treatment>| clearance(&file(all), on).meat;
    // Day 1 of 3 on 1 May, a day alone: the last is planned for 3 May, withheld to the 13th.
    let first = dose("2026-05-01", None, 1, 3);
    let side = meat(vec![first.clone()]);
    assert_eq!((side.clear.clone(), side.planned), (from("2026-05-14"), Some(day("2026-05-03"))));
    assert_eq!(side.because(), "Fellmectin, given 2026-05-01, last dose planned 2026-05-03");
    // The second a day late: the third is planned for the 4th.
    let second = dose("2026-05-03", None, 2, 3);
    assert_eq!(meat(vec![first.clone(), second.clone()]).clear, from("2026-05-15"));
    // The third, late again.
    let third = dose("2026-05-06", None, 3, 3);
    let side = meat(vec![first.clone(), second.clone(), third]);
    assert_eq!((side.clear, side.planned), (from("2026-05-17"), None));
    // Given early it brings nothing forward.
    let early = dose("2026-05-02", None, 3, 3);
    let all = file(vec![first.clone(), second, early]);
    assert_eq!(clearance(&all, on).meat.clear, from("2026-05-15"));
    // All were given: nothing is said to be planned, and why it is counted from a later day is told.
    let told = |on| clearance(&all, day(on)).to_be_told(day(on), false).join(" ");
    assert_eq!(
        told("2026-05-05"),
        "meat: not before 15 May 2026 (Fellmectin, given 3 May 2026, last dose 3 May 2026, counted from 4 May 2026)"
    );
    assert_eq!(
        clearance(&all, on).meat.because(),
        "Fellmectin, given 2026-05-03, last dose 2026-05-03, counted from 2026-05-04"
    );
    let told = |on| clearance(&file(vec![first.clone()]), day(on)).to_be_told(day(on), false).join(" ");
    assert!(told("2026-05-02").ends_with("given 1 May 2026, last dose planned 3 May 2026)"));
    assert!(told("2026-05-04").ends_with("given 1 May 2026, last dose planned 3 May 2026, not written)"));
    // Cut short at the second: amended there.
    let cut = dose("2026-05-02", None, 2, 2);
    assert_eq!(meat(vec![first.clone(), cut]).clear, from("2026-05-13"));
    // By the hour: 9:00, three doses, 10 days end at 9:00 on 13 May; the milk's 60 h at 21:00 on 5 May.
    let side = clearance(&file(vec![dose("2026-05-01", Some((9, 0)), 1, 3)]), on);
    assert_eq!((side.meat.clear, side.milk.clear.clone()), (from("2026-05-14"), from("2026-05-06")));
    assert_eq!(
        side.milk.milking(day("2026-05-04")).unwrap(),
        "pour away every milking up to 21:00 on 5 May 2026"
    );
    assert_eq!(side.milk.milking(day("2026-05-06")), None, "it may be used");
    assert_eq!(meat(vec![first]).milking(day("2026-05-04")), None, "the hour is not known");
}

#[test]
fn export_follows_meat_and_is_asked_for_where_it_is_counted() {
    let on = day("2026-05-02");
    let none = treatment("2026-05-01", None, Withdrawal::Days(10), Withdrawal::Unknown);
    let short = treatment("2026-05-01", None, Withdrawal::Days(10), Withdrawal::Days(3));
    let long = treatment("2026-05-01", None, Withdrawal::Days(10), Withdrawal::Days(42));
    let sides = |all: Vec<Treatment>| {
        let f = file(all);
        (reckon(&f, on, false).export.clear, reckon(&f, on, true).export.clear)
    };
    assert_eq!(sides(vec![]), (Clear::Free, Clear::Free));
    assert_eq!(sides(vec![none.clone()]), (Clear::Free, Clear::Unknown));
    assert_eq!(sides(vec![short.clone()]), (from("2026-05-12"), from("2026-05-12")));
    assert_eq!(sides(vec![short, long.clone()]), (from("2026-06-13"), from("2026-06-13")));
    assert_eq!(sides(vec![none, long.clone()]), (from("2026-06-13"), Clear::Unknown));
    let c = reckon(&file(vec![long]), day("2026-05-12"), true);
    assert!(
        c.meat.clear.is_clear(day("2026-05-12"))
            && c.is_held(day("2026-05-12"))
            && c.waits(day("2026-05-12"))
    );
    assert_eq!(c.held_words(day("2026-05-12")), "export clear 13 Jun");
    let told = c.to_be_told(day("2026-05-12"), true);
    assert_eq!(told, ["meat for export: not before 13 Jun 2026 (Fellmectin, given 1 May 2026)"]);
    assert!(!reckon(&file(vec![]), on, true).is_held(on));
}

#[test]
fn the_buyer_is_told_each_side_apart() {
    let f = file(vec![treatment("2026-05-01", Some((6, 0)), Withdrawal::Unknown, Withdrawal::Unknown)]);
    let c = clearance(&f, day("2026-05-02"));
    let told = c.to_be_told(day("2026-05-02"), true);
    assert_eq!(
        told,
        [
            "meat: not until the period is known (Fellmectin, given 1 May 2026)",
            "milk: not before 4 May 2026 (Fellmectin, given 1 May 2026)"
        ]
    );
    assert_eq!(c.to_be_told(day("2026-05-02"), false).len(), 1);
}
