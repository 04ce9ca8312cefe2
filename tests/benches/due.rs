//! Open jobs against the bounds of the design: of 100,000 animals in 100 ms cold, and 5 ms after a write.

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::entry::{
    JobRef, LambDraft, LambingDraft, Sure, TickDraft, WeighingDraft, lambing, ticks, weighings,
};
use hirsel_core::flock::{Flock, Outcome};
use hirsel_core::reckon::due::Board;
use hirsel_core::reckon::gestation;
use hirsel_core::terms::{Moment, Sex, Weight};
use made::{copy, today, unless_tried};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

fn weighing(flock: &Flock, _: &Board, n: u64) -> Sure {
    let lambs: Vec<_> = flock.present().filter(|f| f.animal.is_lamb(today())).map(|f| f.animal.id).collect();
    let draft = WeighingDraft {
        animal: lambs[n as usize % lambs.len()],
        at: Moment::day(today()),
        weight: Weight::from_grams(9_000).expect("a weight"),
        note: None,
    };
    weighings(vec![draft], flock, today()).expect("a weighing").despite("bench").expect("a word")
}

fn twins(flock: &Flock, _: &Board, n: u64) -> Sure {
    let all = gestation::expected(flock, today());
    let e = &all[n as usize % all.len()];
    let draft = LambingDraft {
        ewe: e.ewe,
        at: Moment::day(today()),
        sire: hirsel_core::flock::Sire::Known(e.rams[0]),
        ease: None,
        help: None,
        note: None,
        pen: Some("Jug 1".into()),
        lambs: vec![LambDraft::new(Sex::Ewe), LambDraft::new(Sex::Ram)],
        foster_on: Vec::new(),
    };
    lambing(draft, flock, today()).expect("a lambing").despite("bench").expect("a word")
}

/// A pen's worth of one job, as one round with the syringe.
fn tick(flock: &Flock, board: &Board, n: u64) -> Sure {
    let all = board.within(flock, 0);
    let first = n as usize * 40 % (all.len() - 40);
    let jobs = all[first..first + 40].iter().map(|j| JobRef::from(*j)).collect();
    let draft = TickDraft { jobs, outcome: Outcome::Done, at: Moment::day(today()), note: None };
    ticks(draft, flock, today()).expect("ticks").despite("bench").expect("a word")
}

fn follows(c: &mut Criterion, what: &str, book: &mut Book, make: fn(&Flock, &Board, u64) -> Sure) {
    c.bench_function(&format!("100,000 animals: jobs after {what}"), |b| {
        b.iter_custom(|times| {
            let mut board = Board::new(&book.flock(), today());
            let mut all = Duration::ZERO;
            for n in 0..times {
                let sure = make(&book.flock(), &board, n);
                let written = book.write(sure).expect("written");
                let start = Instant::now();
                board.follow(&written.flock, &written.touched);
                all += start.elapsed();
                book.undo().expect("undone");
                board = Board::new(&book.flock(), today());
            }
            all
        });
    });
}

fn due(c: &mut Criterion) {
    let path = made::book(unless_tried(LARGE));
    let mut book = copy(&path);
    let flock = book.flock();
    let board = Board::new(&flock, today());
    let open: usize = flock.present().map(|f| board.of(f.animal.id).len()).sum();
    eprintln!(
        "{} animals, {} present, {open} open jobs, {} now",
        flock.len(),
        flock.present().count(),
        board.within(&flock, 0).len()
    );
    c.bench_function("100,000 animals: open jobs, cold", |b| {
        b.iter(|| black_box(Board::new(&flock, today())));
    });
    c.bench_function("100,000 animals: what is due now, in barn order", |b| {
        b.iter(|| black_box(board.within(&flock, 0).len()));
    });
    drop(flock);
    follows(c, "a weighing", &mut book, weighing);
    follows(c, "a lambing of twins", &mut book, twins);
    follows(c, "forty ticks", &mut book, tick);
}

criterion_group! {
    name = jobs;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(4)).without_plots();
    targets = due
}
criterion_main!(jobs);
