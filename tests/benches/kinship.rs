//! Kinship against the bounds of the design: inbreeding of a million animals in flocks in 0.2 s and in one closed
//! population in 1.5 s; a lambing of twins followed in 5 ms among 100,000. How each pedigree is made stands in
//! `made/pedigrees.rs`.

mod made;
#[path = "made/pedigrees.rs"]
mod pedigrees;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::entry::{LambDraft, LambingDraft, Sure, lambing};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::reckon::gestation;
use hirsel_core::reckon::kinship::{Diversity, Kin, Kindred, inbreeding};
use hirsel_core::terms::{Moment, Sex};
use made::{copy, today, unless_tried};
use pedigrees::{CLOSED, CLOSED_SMALL, DEEP, FLOCKS, Form, pedigree};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

/// The form as it is, or a small one when benches are only tried out.
fn real(form: Form) -> Form {
    if unless_tried(1) == 1 {
        return form;
    }
    Form { flocks: form.flocks.min(2), ewes: 50, crops: form.crops.min(6), animals: 600, ..form }
}

fn of_all(c: &mut Criterion) {
    for form in [FLOCKS, CLOSED, CLOSED_SMALL, DEEP].map(real) {
        let p = pedigree(&form);
        for threads in [1, 2] {
            c.bench_function(&format!("{}, {}: inbreeding, {threads} threads", p.len(), form.name), |b| {
                b.iter(|| black_box(inbreeding(&p, threads)));
            });
        }
    }
}

fn after_one(c: &mut Criterion) {
    for form in [CLOSED_SMALL, DEEP].map(real) {
        let kin = Kin::of(pedigree(&form), 2);
        let n = kin.pedigree.len() as u32;
        let last: Vec<u32> = (n - n / 50..n).collect();
        c.bench_function(&format!("{n}, {}: one lamb more", form.name), |b| {
            b.iter_batched_ref(
                || kin.clone(),
                |kin| black_box(kin.lamb(n - 2, n - 1)),
                BatchSize::LargeInput,
            );
        });
        c.bench_function(&format!("{n}, {}: mean kinship of the last crops", form.name), |b| {
            b.iter(|| black_box(kin.mean_kinship(&last)));
        });
    }
    let form = real(CLOSED);
    let kin = Kin::of(pedigree(&form), 2);
    let all: Vec<u32> = (0..kin.pedigree.len() as u32).collect();
    c.bench_function(&format!("{}, {}: mean kinship of all with all", all.len(), form.name), |b| {
        b.iter(|| black_box(kin.mean_kinship(&all)));
    });
}

fn twins(flock: &Flock, n: u64) -> Sure {
    let all = gestation::expected(flock, today());
    let e = &all[n as usize % all.len()];
    let draft = LambingDraft {
        ewe: e.ewe,
        at: Moment::day(today()),
        sire: Sire::Known(e.ram),
        ease: None,
        help: None,
        note: None,
        pen: Some("Jug 1".into()),
        lambs: vec![LambDraft::new(Sex::Ewe), LambDraft::new(Sex::Ram)],
        foster_on: Vec::new(),
    };
    lambing(draft, flock, today()).expect("a lambing").despite("bench").expect("a word")
}

/// The whole of what the window does: a lambing written, kinship brought up to it.
fn follows(c: &mut Criterion) {
    let path = made::book(unless_tried(LARGE));
    let mut book: Book = copy(&path);
    let flock = book.flock();
    let before = Kindred::of(&flock);
    eprintln!("{} animals in the book, {} present", flock.len(), before.living().len());
    c.bench_function("100,000 animals in a book: kinship of all", |b| {
        b.iter(|| black_box(Kindred::of(&flock)));
    });
    c.bench_function("100,000 animals in a book: diversity", |b| {
        b.iter(|| black_box(Diversity::of(&flock, &before, today())));
    });
    drop(flock);
    c.bench_function("100,000 animals in a book: kinship after a lambing of twins", |b| {
        b.iter_custom(|times| {
            let mut all = Duration::ZERO;
            for n in 0..times {
                let mut kindred = Kindred::of(&book.flock());
                let sure = twins(&book.flock(), n);
                let written = book.write(sure).expect("written");
                let start = Instant::now();
                let followed = kindred.follow(&written.flock, &written.touched);
                all += start.elapsed();
                assert!(followed, "a lambing is followed");
                book.undo().expect("undone");
            }
            all
        });
    });
}

criterion_group! {
    name = blood;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(4)).without_plots();
    targets = of_all, after_one, follows
}
criterion_main!(blood);
