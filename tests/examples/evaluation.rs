//! Made-up records with what this program makes of them, as JSON, for another solver to reckon again.
//!
//! `cargo run -p hirsel_tests --example evaluation -- FILE.json [SEED]` writes one problem for each model: pedigree, fixed
//! effects, random effects, variances; beside them the estimates, their accuracies and the variances found by restricted
//! maximum likelihood. `tests/peers/evaluation.py` reads it.

#[path = "../benches/made/pedigrees.rs"]
#[allow(dead_code)]
mod pedigrees;
#[path = "../benches/made/values.rs"]
#[allow(dead_code)]
mod values;

use hirsel_core::reckon::evaluation::{Frame, by_cholesky, reml, variances};
use hirsel_core::reckon::kinship::NONE;
use pedigrees::Form;
use serde_json::{Value, json};
use std::process::ExitCode;
use values::{Model, estimated, made};

/// Small enough for the search on the whole matrix of variances.
const SMALL: Form =
    Form { name: "one flock of 36 ewes, 5 crops", flocks: 1, ewes: 36, crops: 5, animals: 320 };
/// Large enough for the search on the sparse equations.
const LARGER: Form =
    Form { name: "one flock of 60 ewes, 7 crops", flocks: 1, ewes: 60, crops: 7, animals: 620 };

/// What is written: the ewes of the small flock are too few for variances of their own.
const PROBLEMS: [(Form, Model); 4] =
    [(SMALL, Model::Animal), (SMALL, Model::Maternal), (LARGER, Model::Animal), (LARGER, Model::Repeated)];

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let Some(path) = args.next() else {
        eprintln!("say which file to write");
        return ExitCode::from(2);
    };
    let seed = args.next().and_then(|s| s.parse().ok()).unwrap_or(1);
    let all: Vec<Value> = PROBLEMS.map(|(form, model)| told(&form, model, seed)).into();
    if let Err(e) = std::fs::write(&path, Value::from(all).to_string()) {
        eprintln!("{path}: {e}");
        return ExitCode::from(2);
    }
    ExitCode::SUCCESS
}

fn told(form: &Form, model: Model, seed: u64) -> Value {
    let made = made(form, model, seed);
    let problem = &made.problem;
    let number = |l: &Option<u32>| l.map_or(-1, i64::from);
    let kin = problem.blocks.iter().find_map(|b| b.pedigree.clone()).expect("a pedigree");
    let parents: Vec<[i64; 2]> =
        kin.parents().iter().map(|p| p.map(|p| number(&Some(p).filter(|p| *p != NONE)))).collect();
    let found = estimated(problem, &made.f);
    let blocks: Vec<Value> = problem
        .blocks
        .iter()
        .zip(found)
        .map(|(b, found)| {
            let effects: Vec<Value> = b
                .effects
                .iter()
                .zip(found)
                .map(|(e, (value, accuracy))| {
                    let of: Vec<i64> = e.of.iter().map(number).collect();
                    json!({"name": e.name, "of": of, "value": value, "accuracy": accuracy})
                })
                .collect();
            json!({
                "effects": effects, "variance": b.variance, "levels": b.levels, "kin": b.pedigree.is_some(),
            })
        })
        .collect();
    let frame = Frame::of(problem).expect("sound records");
    let equations = frame.equations(&variances(problem), problem.residual).expect("sound variances");
    let mut fixed = by_cholesky(&equations).expect("a solution").values;
    fixed[frame.rank()..].fill(0.0);
    let own = match reml(problem, &mut |_| true) {
        Ok(r) => json!({
            "variances": r.components.iter().map(|c| c.value).collect::<Vec<_>>(),
            "errors": r.components.iter().map(|c| c.error).collect::<Vec<_>>(),
            "shares": r.ratios.iter().map(|s| json!({"share": s.value, "error": s.error})).collect::<Vec<_>>(),
        }),
        Err(e) => json!({"refused": e.to_string()}),
    };
    json!({
        "model": model.name(),
        "parents": parents,
        "records": problem.records,
        "fixed": problem.fixed.iter().map(|f| json!({"of": f.of, "levels": f.levels.len()})).collect::<Vec<_>>(),
        "fitted": frame.fitted(&fixed),
        "blocks": blocks,
        "residual": problem.residual,
        "own": own,
    })
}
