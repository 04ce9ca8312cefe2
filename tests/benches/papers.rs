//! Papers to PDF, against the bounds of the design: 1,000 lamb cards and a treatment log of 10,000 lines in
//! 0.7 s each, from the flock to the bytes.

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::papers::{
    LambCardOptions, TreatmentLogOptions, carry_on, lamb_cards, to_pdf, treatment_log,
};
use hirsel_core::terms::{AnimalId, Day};
use made::{SMALL, today, unless_tried};
use std::hint::black_box;
use std::time::Duration;

/// Ewes over five seasons whose treatments come to more than 10,000.
const LOG: u32 = 370;

fn cards(c: &mut Criterion) {
    let path = made::book(unless_tried(SMALL));
    let flock = Book::open_plain(&path).expect("a book").flock();
    let lambs: Vec<AnimalId> =
        flock.files().filter(|f| f.birth.is_some()).map(|f| f.animal.id).take(1_000).collect();
    let options = LambCardOptions::default();
    c.bench_function(&format!("{} lamb cards", lambs.len()), |b| {
        b.iter(|| {
            let paper = lamb_cards(&flock, &lambs, today(), &options, &carry_on).expect("cards");
            black_box(to_pdf(&paper).expect("a PDF"))
        });
    });
}

fn log(c: &mut Criterion) {
    let path = made::book(unless_tried(LOG));
    let flock = Book::open_plain(&path).expect("a book").flock();
    let mut days: Vec<Day> = flock.files().flat_map(|f| &f.treatments).map(|t| t.at.day).collect();
    days.sort_unstable();
    // The last 10,000 lines, rounded up to whole days.
    let from = days[days.len().saturating_sub(10_000)];
    let lines = days.iter().filter(|d| **d >= from).count();
    let options = TreatmentLogOptions { from: Some(from), ..TreatmentLogOptions::default() };
    c.bench_function(&format!("treatment log of {lines} lines"), |b| {
        b.iter(|| {
            let paper = treatment_log(&flock, None, today(), &options, &carry_on).expect("a log");
            black_box(to_pdf(&paper).expect("a PDF"))
        });
    });
}

criterion_group! {
    name = papers;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(8)).without_plots();
    targets = cards, log
}
criterion_main!(papers);
