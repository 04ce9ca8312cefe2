//! The log, line by line and summed.

use super::totals::used;
use super::*;
use crate::flock::Struck;
use crate::papers::fixture::{self, day};
use crate::terms::{Dose, Minute, Moment, Sex, Withdrawal};

/// Day counting by the rules notes, 1.4: a day-only dose clears on day n + 1, a timed one on the first whole day.
#[test]
fn clear_days_stand_beside_their_treatment() {
    let mut file = fixture::animal("7", "", Sex::Ewe);
    let id = file.animal.id;
    let given = Moment::day(day("2026-05-01"));
    file.treatments.push(fixture::treatment(id, "A", given, Withdrawal::Days(28), Withdrawal::Days(0)));
    let timed = Moment { day: day("2026-05-01"), time: Minute::new(12, 0) };
    file.treatments.push(fixture::treatment(id, "B", timed, Withdrawal::Hours(60), Withdrawal::Unknown));
    let (one, two) = (
        row(&Flock::default(), &file, &file.treatments[0]),
        row(&Flock::default(), &file, &file.treatments[1]),
    );
    let words = |row: &Row, head: &str| row.cells[LOG.iter().position(|c| c.csv == head).unwrap()].plain();
    assert_eq!(
        (words(&one, "meat_withdrawal"), words(&one, "milk_withdrawal")),
        ("28 days".into(), "0 days".into())
    );
    assert_eq!(
        (words(&one, "meat_clear_on"), words(&one, "milk_clear_on")),
        ("30 May 2026".into(), "2 May 2026".into())
    );
    assert_eq!(
        (words(&two, "meat_clear_on"), words(&two, "milk_clear_on")),
        ("4 May 2026".into(), "not clear".into())
    );
}

#[test]
fn totals_leave_struck_lines_out_and_keep_units_apart() {
    let mut file = fixture::animal("7", "", Sex::Ewe);
    let id = file.animal.id;
    let at = Moment::day(day("2026-05-01"));
    for (product, dose) in [
        ("Drench", Dose::from_ml(2.5)),
        ("drench ", Dose::from_ml(10.25)),
        ("Drench", Some(Dose::Pieces(1))),
        ("Drench", None),
        ("Bolus", Some(Dose::Mass(500_000))),
    ] {
        let mut t = fixture::treatment(id, product, at, Withdrawal::Days(1), Withdrawal::Days(1));
        t.dose = dose;
        file.treatments.push(t);
    }
    let mut struck = fixture::treatment(id, "Drench", at, Withdrawal::Days(1), Withdrawal::Days(1));
    struck.struck = Some(Box::new(Struck { on: day("2026-05-02"), reason: "twice".into() }));
    file.treatments.push(struck);
    let lines: Vec<Given<'_>> = file.treatments.iter().map(|t| (&file, t)).collect();
    let used = used(&lines);
    assert_eq!(
        used.iter().map(|u| (u.name, u.animals.len(), u.doses)).collect::<Vec<_>>(),
        [("Bolus", 1, 1), ("Drench", 1, 4)]
    );
    assert_eq!(used[0].quantity(), "500 mg");
    assert_eq!(used[1].quantity(), "12.75 ml + 1 piece + 1 without a quantity");
}
