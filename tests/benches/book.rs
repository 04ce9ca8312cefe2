//! Opening, writing, undoing and finding, against the bounds of the design: a write 10 ms at 2,000 animals and
//! 50 ms at 100,000; opening 100,000 animals 400 ms. Each write is timed up to the new flock.

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::entry::{LambDraft, LambingDraft, Sure, WeighingDraft, lambing, weighings};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::gestation;
use hirsel_core::terms::{AnimalId, Moment, Sex, Weight};
use made::{SMALL, copy, today, unless_tried};
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

/// A lamb and the weight it will have next.
fn weighing(flock: &Flock, lamb: AnimalId, n: u64) -> Sure {
    let kg = flock.file(lamb).and_then(|f| f.last_weight(today())).map_or(4_000, |(_, w)| w.grams());
    let weight = Weight::from_grams(kg + (n % 3) as i64).expect("a weight");
    let draft = WeighingDraft { animal: lamb, at: Moment::day(today()), weight, note: None };
    weighings(vec![draft], flock, today()).expect("a weighing").despite("bench").expect("a word")
}

fn twins(flock: &Flock) -> Sure {
    let e = gestation::expected(flock, today()).into_iter().next_back().expect("a ewe to lamb");
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

fn lambs(flock: &Flock) -> Vec<AnimalId> {
    flock.present().filter(|f| f.animal.is_lamb(today())).map(|f| f.animal.id).collect()
}

fn writes(c: &mut Criterion, name: &str, path: &Path) {
    c.bench_function(&format!("{name}: write a weighing"), |b| {
        b.iter_custom(|times| {
            let mut book = copy(path);
            let lambs = lambs(&book.flock());
            let mut all = Duration::ZERO;
            for n in 0..times {
                let sure = weighing(&book.flock(), lambs[n as usize % lambs.len()], n);
                let start = Instant::now();
                black_box(book.write(sure).expect("written"));
                all += start.elapsed();
            }
            all
        });
    });
    c.bench_function(&format!("{name}: check and write a lambing of twins"), |b| {
        b.iter_custom(|times| {
            let mut book = copy(path);
            // The list of ewes due stands in the window before the first of them lambs.
            drop(gestation::expected(&book.flock(), today()));
            let mut all = Duration::ZERO;
            for _ in 0..times {
                let start = Instant::now();
                let sure = twins(&book.flock());
                black_box(book.write(sure).expect("written"));
                all += start.elapsed();
                book.undo().expect("undone");
            }
            all
        });
    });
    c.bench_function(&format!("{name}: undo a lambing of twins"), |b| {
        b.iter_custom(|times| {
            let mut book = copy(path);
            let mut all = Duration::ZERO;
            for _ in 0..times {
                let sure = twins(&book.flock());
                book.write(sure).expect("written");
                let start = Instant::now();
                black_box(book.undo().expect("undone"));
                all += start.elapsed();
            }
            all
        });
    });
}

fn opens(c: &mut Criterion, name: &str, path: &Path) {
    // The dated copy beside the book is made once, before the clock runs.
    drop(Book::open(path).expect("a book"));
    for whole in [false, true] {
        // A large book is open before its journal is looked over; nothing is written before it is.
        let what = if whole { "open, until looked over whole" } else { "open" };
        c.bench_function(&format!("{name}: {what}"), |b| {
            b.iter_custom(|times| {
                let mut all = Duration::ZERO;
                for _ in 0..times {
                    let start = Instant::now();
                    let book = black_box(Book::open(path).expect("a book"));
                    if whole {
                        book.soundness().expect("a whole book");
                    }
                    all += start.elapsed();
                    book.close().expect("closed");
                }
                all
            });
        });
    }
}

fn finds(c: &mut Criterion, name: &str, path: &Path) {
    let flock = copy(path).flock();
    for (what, text) in [("four figures of a tag", "4412"), ("one figure", "4"), ("part of a name", "brack")]
    {
        c.bench_function(&format!("{name}: find by {what}"), |b| {
            b.iter(|| black_box(flock.find(black_box(text), 20, |_| true)));
        });
    }
}

fn small(c: &mut Criterion) {
    let path = made::book(unless_tried(SMALL));
    opens(c, "2,000 animals", &path);
    writes(c, "2,000 animals", &path);
    finds(c, "2,000 animals", &path);
}

fn large(c: &mut Criterion) {
    let path = made::book(unless_tried(LARGE));
    opens(c, "100,000 animals", &path);
    writes(c, "100,000 animals", &path);
    finds(c, "100,000 animals", &path);
}

criterion_group! {
    name = books;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(5)).without_plots();
    targets = small, large
}
criterion_main!(books);
