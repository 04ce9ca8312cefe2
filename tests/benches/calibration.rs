//! Accuracies against the truth: flocks with known breeding values are evaluated, and the correlation of the estimates
//! with the truth must lie within 0.05 of the accuracy claimed on average; so must the variances found by restricted
//! maximum likelihood lie near those the records were made by. How the flocks are made stands in `made/values.rs`.

#[allow(dead_code)] // of what benches share only a little is used here
mod made;
#[allow(dead_code)]
#[path = "made/pedigrees.rs"]
mod pedigrees;
#[path = "made/values.rs"]
mod values;

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::reckon::evaluation::reml;
use made::unless_tried;
use pedigrees::Form;
use std::hint::black_box;
use std::time::{Duration, Instant};
use values::{Model, calibrated, made as flock};

const WITHIN: f64 = 0.05;

fn form() -> Form {
    if unless_tried(1) == 1 {
        return Form {
            name: "one flock of 200 ewes, 10 crops",
            flocks: 1,
            ewes: 200,
            crops: 10,
            animals: 4_000,
        };
    }
    Form { name: "one flock of 30 ewes, 4 crops", flocks: 1, ewes: 30, crops: 4, animals: 300 }
}

fn calibration(c: &mut Criterion) {
    let form = form();
    let runs = if unless_tried(1) == 1 { 20 } else { 2 };
    for model in Model::ALL {
        let (mut found, mut claimed) = (0.0, 0.0);
        for seed in 0..runs {
            let (f, s) = calibrated(&flock(&form, model, 1 + seed));
            (found, claimed) = (found + f / runs as f64, claimed + s / runs as f64);
        }
        println!(
            "{}, {} model, {runs} runs: correlation with the truth {found:.4}, accuracy claimed {claimed:.4}",
            form.name,
            model.name()
        );
        if unless_tried(1) == 1 {
            assert!((found - claimed).abs() < WITHIN, "{}: {found} and {claimed}", model.name());
        }
        let one = flock(&form, model, 1);
        c.bench_function(&format!("{}, {} model: values and accuracies", form.name, model.name()), |b| {
            b.iter(|| black_box(calibrated(&one)));
        });
        let start = Instant::now();
        match reml(&one.problem, &mut |_| true) {
            Ok(r) => {
                let found: Vec<String> = r
                    .components
                    .iter()
                    .map(|c| format!("{} {:.3} ({:.3})", c.name, c.value, c.error.unwrap_or(f64::NAN)))
                    .collect();
                println!(
                    "own variances of {} records in {:.2} s, {} steps: {}",
                    one.problem.records.len(),
                    start.elapsed().as_secs_f64(),
                    r.steps,
                    found.join(", ")
                );
            }
            Err(e) => println!("own variances: {e}"),
        }
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(2));
    targets = calibration
}
criterion_main!(benches);
