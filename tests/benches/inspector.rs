//! What a visit asks for, in a release build: the inspector's folder of sixty ewes over five years (bound: 2 s), and the
//! questions, the doubts of the pedigree, the stock and the courses of a large book (the questions' bound: 200 ms for 100,000 animals).

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::papers::{FolderOptions, carry_on, inspector_folder, to_pdf};
use hirsel_core::reckon::{courses::open_doses, doubts::Doubts, stock, visit::visit};
use made::{today, unless_tried};
use std::hint::black_box;
use std::time::Duration;

/// Ewes of the flock a keeper shows.
const SHOWN: u32 = 60;
/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

fn folder(c: &mut Criterion) {
    let path = made::book(unless_tried(SHOWN));
    let flock = Book::open_plain(&path).expect("a book").flock();
    let options = FolderOptions::default();
    c.bench_function("inspector's folder of 60 ewes, five years", |b| {
        b.iter(|| {
            let paper = inspector_folder(&flock, today(), &options, &carry_on).expect("a folder");
            black_box(to_pdf(&paper).expect("a PDF"))
        });
    });
}

fn questions(c: &mut Criterion) {
    let path = made::book(unless_tried(LARGE));
    let flock = Book::open_plain(&path).expect("a book").flock();
    let n = flock.len();
    c.bench_function(&format!("questions before a visit, {n} animals"), |b| {
        b.iter(|| black_box(visit(&flock, today())))
    });
    c.bench_function(&format!("doubts of the pedigree, {n} animals"), |b| {
        b.iter(|| black_box(Doubts::of(&flock)));
    });
    c.bench_function(&format!("stock of {n} animals' treatments"), |b| {
        b.iter(|| black_box(stock::of(&flock, today())));
    });
    c.bench_function(&format!("courses to go on with, {n} animals"), |b| {
        b.iter(|| black_box(open_doses(&flock)))
    });
}

criterion_group! {
    name = inspector;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(6)).without_plots();
    targets = folder, questions
}
criterion_main!(inspector);
