//! The bounds on time that the design sets for the papers, checked in release builds only
//! (`cargo test --release -p hirsel_core bounds`).

use std::time::{Duration, Instant};

use super::fixture::{self, day};
use super::*;
use crate::flock::Flock;
use crate::terms::{AnimalId, Moment, Sex, Withdrawal};

const BOUND: Duration = Duration::from_millis(700);

/// So many twins of so many ewes, each lamb treated once.
fn flock(lambs: i64) -> (Flock, Vec<AnimalId>) {
    let mut flock = Flock::default();
    let mut ids = Vec::new();
    for i in 0..lambs / 2 {
        let mut ewe = fixture::animal(&format!("E{i:05}"), "Seren Ŵyn", Sex::Ewe);
        ewe.animal.pen = Some(format!("{}", i % 40));
        let tags = [format!("{:05}", 2 * i), format!("{:05}", 2 * i + 1)];
        let born = [(tags[0].as_str(), Sex::Ewe, 4_500), (tags[1].as_str(), Sex::Ram, 4_900)];
        for mut lamb in fixture::lambs(&mut ewe, None, Moment::day(day("2026-04-14")), &born) {
            let at = Moment::day(day("2026-04-15").plus(i % 50));
            lamb.animal.colour = Some("blue, near shoulder".into());
            let id = lamb.animal.id;
            lamb.treatments.push(fixture::treatment(
                id,
                "long-acting oxytetracycline 200 mg/ml",
                at,
                Withdrawal::Days(28),
                Withdrawal::Unknown,
            ));
            ids.push(id);
            flock.put(lamb);
        }
        flock.put(ewe);
    }
    (flock, ids)
}

fn timed(what: &str, work: impl Fn() -> Paper) {
    let best = (0..3)
        .map(|_| {
            let start = Instant::now();
            let paper = work();
            let laid_out = start.elapsed();
            let bytes = to_pdf(&paper).unwrap();
            let all = start.elapsed();
            println!(
                "{what}: {} pages, {} kB, laid out {laid_out:?}, all {all:?}",
                paper.pages.len(),
                bytes.len() / 1000
            );
            all
        })
        .min();
    assert!(best.unwrap() <= BOUND, "{what}: {best:?}, bound {BOUND:?}");
}

#[test]
fn bound_of_a_thousand_lamb_cards() {
    let (flock, lambs) = flock(1_000);
    for per_sheet in PerSheet::ALL {
        let options = LambCardOptions { per_sheet, ..LambCardOptions::default() };
        timed(&format!("1,000 lamb cards, {} a sheet", per_sheet.count()), || {
            lamb_cards(&flock, &lambs, day("2026-04-20"), &options, &carry_on).unwrap()
        });
    }
}

#[test]
fn bound_of_a_log_of_ten_thousand_lines() {
    let (flock, _) = flock(10_000);
    timed("treatment log of 10,000 lines", || {
        treatment_log(&flock, None, day("2026-06-20"), &TreatmentLogOptions::default(), &carry_on).unwrap()
    });
}
