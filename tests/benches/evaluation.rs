//! Breeding values against their bounds: 100,000 records in 10 s, animal model and direct with maternal, and exact
//! accuracies of 20,000 animals (and of as many as 100,000 records have). How the records are made stands in `made/records.rs`.

#[path = "made/pedigrees.rs"]
#[allow(dead_code)] // other benches take other forms
mod pedigrees;
#[path = "made/records.rs"]
mod records;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::reckon::evaluation::{Bounds, Method, predict};
use pedigrees::Form;
use records::{CLOSED, FEW_CLOSED, FEW_FLOCKS, FLOCKS, problem};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// The form as it is, or a small one when benches are only tried out.
fn real(form: Form) -> Form {
    if std::env::args().any(|a| a == "--bench") {
        return form;
    }
    Form { flocks: form.flocks.min(2), ewes: 20, crops: 4, animals: 250, ..form }
}

fn values(c: &mut Criterion) {
    for (form, maternal) in [FLOCKS, CLOSED].into_iter().flat_map(|f| [(f, false), (f, true)]) {
        let p = problem(&real(form), maternal);
        let model = if maternal { "direct and maternal" } else { "animal model" };
        let bounds = Bounds { animals: 0, ..Bounds::default() };
        let start = Instant::now();
        let once = predict(&p, &bounds, &mut |_| true).expect("an answer");
        let took = start.elapsed().as_secs_f64();
        if let Method::Gradients { steps, left } = once.solution.method {
            eprintln!("{}, {model}: {took:.2} s, {steps} steps, {left:.1e} left", form.name);
        }
        c.bench_function(&format!("{} records, {}: {model}", p.records.len(), form.name), |b| {
            b.iter(|| black_box(predict(&p, &bounds, &mut |_| true)));
        });
    }
}

fn accuracies(c: &mut Criterion) {
    for (form, maternal) in
        [FEW_FLOCKS, FEW_CLOSED, FLOCKS, CLOSED].into_iter().flat_map(|f| [(f, false), (f, true)])
    {
        let p = problem(&real(form), maternal);
        let model = if maternal { "direct and maternal" } else { "animal model" };
        let start = Instant::now();
        let once = predict(&p, &Bounds::default(), &mut |_| true).expect("an answer");
        let took = start.elapsed().as_secs_f64();
        eprintln!(
            "{}, {} animals, {model}: exact {}, {took:.2} s",
            form.name, p.blocks[0].levels, once.exact
        );
        c.bench_function(
            &format!("{} animals, {}: {model}, exact accuracies", p.blocks[0].levels, form.name),
            |b| {
                b.iter(|| black_box(predict(&p, &Bounds::default(), &mut |_| true)));
            },
        );
    }
}

criterion_group! {
    name = evaluation;
    config = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(1))
        .measurement_time(Duration::from_secs(1))
        .without_plots();
    targets = values, accuracies
}
criterion_main!(evaluation);
