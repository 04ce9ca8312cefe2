//! Tests.

use super::*;
use crate::flock::CoursePart;
use crate::papers::sheet::Mark;
use crate::papers::{carry_on, check, fixture};
use crate::terms::{CourseId, Moment, Withdrawal};

#[test]
fn what_runs_is_told_and_none_is_said_plainly() {
    let (flock, ewes, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-04-20");
    let chosen = [ewes[0], lambs[1]];
    let paper = withdrawal_declaration(&flock, Some(&chosen), on, on, SheetSize::A4, &carry_on).unwrap();
    check::assert_inside(&paper, 8.0);
    let letters = check::letters(&paper);
    assert!(letters.contains("1isunderwithdrawal") && letters.contains("none"), "{letters}");
    assert!(letters.contains("notbefore14May2026"), "28 days from 15 April, the first whole day after");
    let nothing = withdrawal_declaration(&flock, None, on, on, SheetSize::A4, &carry_on);
    assert!(matches!(nothing, Err(PaperFailed::Nothing { .. })), "none was sold that day");
}

/// Each clear day stands on the line of its own treatment; a course is one line and counts from its last dose.
#[test]
fn clear_days_stand_beside_their_treatment() {
    let day = fixture::day;
    let mut file = fixture::animal("0116", "", Sex::Ewe);
    let id = file.animal.id;
    for (product, on, meat) in [("Drench 75 mg/ml", "2026-04-01", 14), ("Jab", "2026-04-02", 30)] {
        let at = Moment::day(day(on));
        file.treatments.push(fixture::treatment(
            id,
            product,
            at,
            Withdrawal::Days(meat),
            Withdrawal::Unknown,
        ));
    }
    let course = CourseId::new();
    for (nth, on) in [(1, "2026-04-03"), (2, "2026-04-04")] {
        let at = Moment::day(day(on));
        let mut t = fixture::treatment(id, "Tube", at, Withdrawal::Days(7), Withdrawal::Never);
        t.more.course = Some(CoursePart { id: course, nth, of: 3, every_hours: 24 });
        file.treatments.push(t);
    }
    let mut flock = Flock::default();
    flock.put(file);
    let on = day("2026-04-05");
    let paper = withdrawal_declaration(&flock, Some(&[id]), on, on, SheetSize::A4, &carry_on).unwrap();
    check::assert_inside(&paper, 8.0);
    let baseline = |words: &str| {
        paper.pages[0].marks.iter().find_map(|m| match m {
            Mark::Text { baseline_mm, text, .. } if text.replace('\u{a0}', " ").starts_with(words) => {
                Some(*baseline_mm)
            }
            _ => None,
        })
    };
    // 14 days of 1 April end with the 15th; the third dose of the tube is due on the 5th.
    for (product, clear) in
        [("Drench 75 mg/ml", "16 Apr 2026"), ("Jab", "3 May 2026"), ("Tube", "13 Apr 2026")]
    {
        assert!(baseline(product).is_some(), "{product}");
        assert_eq!(baseline(product), baseline(clear), "{product}");
    }
    let letters = check::letters(&paper);
    assert!(letters.contains("Hermilkisnevertobeusedforpeople."), "{letters}");
    assert!(letters.contains("lastdoseplanned5Apr2026"), "{letters}");
    assert!(letters.contains("noofficialnumberinthebook"), "{letters}");
}

/// Once the last dose is written nothing of it is planned any more; milk is not asked of a ram.
#[test]
fn a_course_that_is_over_is_told_by_its_last_dose() {
    let day = fixture::day;
    let mut file = fixture::animal("0275", "", Sex::Ram);
    let (id, course) = (file.animal.id, CourseId::new());
    for (nth, on) in [(1, "2026-04-01"), (2, "2026-04-02"), (3, "2026-04-03")] {
        let at = Moment::day(day(on));
        let mut t = fixture::treatment(id, "Penicillin", at, Withdrawal::Days(10), Withdrawal::Unknown);
        t.more.course = Some(CoursePart { id: course, nth, of: 3, every_hours: 24 });
        file.treatments.push(t);
    }
    let mut flock = Flock::default();
    flock.put(file);
    let on = day("2026-04-10");
    let paper = withdrawal_declaration(&flock, Some(&[id]), on, on, SheetSize::A4, &carry_on).unwrap();
    let letters = check::letters(&paper);
    assert!(!letters.contains("planned"), "{letters}");
    assert!(letters.contains("given1Apr2026,lastdose3Apr2026"), "{letters}");
    assert!(letters.contains("14Apr2026") && !letters.contains("notknown"), "{letters}");
}
