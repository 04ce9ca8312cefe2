//! Breeding values against the printed examples of Mrode, Linear Models for the Prediction of Animal Breeding Values
//! (3.1 animal model, 4.1 repeatability, 7.1 direct and maternal: `reference/mrode_*.csv`, `reference/evaluation.toml`),
//! and on random records against generalised least squares done another way (`dense`).

use hirsel_core::reckon::evaluation::{
    Block, Bounds, Effect, Factor, Frame, Method, Order, Predicted, Problem, approximate, by_cholesky,
    by_gradients, predict, variances,
};
use hirsel_core::reckon::kinship::{NONE, Pedigree};
use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::dense;
use hirsel_tests::reference::rows;
use proptest::prelude::*;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;

type Row = BTreeMap<String, String>;

fn table(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|r| r.unwrap_or_else(|e| panic!("{e}"))).collect()
}

fn number(row: &Row, column: &str) -> Option<f64> {
    row.get(column).filter(|v| !v.is_empty()).map(|v| v.parse().unwrap_or_else(|e| panic!("{v}: {e}")))
}

fn place(row: &Row, column: &str) -> u32 {
    number(row, column).map_or(NONE, |v| v as u32 - 1)
}

/// Animals 1 to n in order; rows give the parents of some.
fn pedigree(rows: &[Row], who: &str, n: usize) -> Arc<Pedigree> {
    let mut p = Pedigree::default();
    for i in 0..n as u32 {
        let row = rows.iter().find(|r| place(r, who) == i);
        p.push(row.map_or(NONE, |r| place(r, "sire")), row.map_or(NONE, |r| place(r, "dam")));
    }
    Arc::new(p)
}

fn factor(rows: &[Row], column: &str) -> Factor {
    let mut levels: Vec<String> = rows.iter().map(|r| r[column].clone()).collect();
    levels.sort();
    levels.dedup();
    let of =
        rows.iter().map(|r| levels.iter().position(|l| *l == r[column]).expect("a level") as u32).collect();
    Factor { name: column.into(), levels, of }
}

fn effect(rows: &[Row], column: &str) -> Effect {
    Effect { name: column.into(), of: rows.iter().map(|r| Some(place(r, column))).collect() }
}

fn independent(rows: &[Row], column: &str, levels: usize, variance: f64) -> Block {
    Block { effects: vec![effect(rows, column)], variance: vec![variance], levels, pedigree: None }
}

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() <= within, "{what}: {a} and not {b}");
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FixedRow {
    example: String,
    factor: String,
    level: String,
    value: f64,
    within: f64,
}

/// Solves a printed example in every way there is, compares its fixed effects, and gives the exact answer.
fn solved(example: &str, p: &Problem) -> Predicted {
    let exact = predict(p, &Bounds::default(), &mut |_| true).expect("an answer");
    assert!(exact.exact && exact.solution.method == Method::Cholesky);
    for row in rows::<FixedRow>("evaluation", "fixed").iter().filter(|r| r.example == example) {
        let f = p.fixed.iter().position(|f| f.name == row.factor).expect("a factor");
        let l = p.fixed[f].levels.iter().position(|l| *l == row.level).expect("a level");
        let at = exact.frame.fixed(f, l).expect("a level that is fitted");
        close(exact.solution.values[at], row.value, row.within, &row.level);
    }
    let steps = predict(p, &Bounds { animals: 0, ..Bounds::default() }, &mut |_| true).expect("an answer");
    assert!(!steps.exact && matches!(steps.solution.method, Method::Gradients { .. }));
    for (a, b) in exact.solution.values.iter().zip(&steps.solution.values) {
        close(*b, *a, 1e-7, "step by step");
    }
    exact
}

#[test]
fn animal_model() {
    let all = table(include_str!("../../reference/mrode_3_1.csv"));
    let known: Vec<Row> = all.iter().filter(|r| !r["record"].is_empty()).cloned().collect();
    let p = Problem {
        records: known.iter().filter_map(|r| number(r, "record")).collect(),
        fixed: vec![factor(&known, "sex")],
        slopes: vec![],
        blocks: vec![Block {
            effects: vec![effect(&known, "animal")],
            variance: vec![20.0],
            levels: 8,
            pedigree: Some(pedigree(&all, "animal", 8)),
        }],
        residual: 40.0,
    };
    let found = solved("3.1", &p);
    assert!(found.frame.dropped().is_empty());
    for (i, row) in all.iter().enumerate() {
        close(found.value(0, 0, i).unwrap(), number(row, "ebv").unwrap(), 6e-9, "value");
        close(found.reliability(0, 0, i).unwrap(), number(row, "reliability").unwrap(), 6e-5, "reliability");
    }
}

#[test]
fn repeatability() {
    let known = table(include_str!("../../reference/mrode_4_1_records.csv"));
    let expected = table(include_str!("../../reference/mrode_4_1_expected.csv"));
    let p = Problem {
        records: known.iter().filter_map(|r| number(r, "fat_kg")).collect(),
        fixed: vec![factor(&known, "herd_year_season"), factor(&known, "parity")],
        slopes: vec![],
        blocks: vec![
            Block {
                effects: vec![effect(&known, "animal")],
                variance: vec![20.0],
                levels: 8,
                pedigree: Some(pedigree(&known, "animal", 8)),
            },
            independent(&known, "animal", 8, 12.0),
        ],
        residual: 28.0,
    };
    let found = solved("4.1", &p);
    let dropped: Vec<&str> = found.frame.dropped().iter().map(|d| d.level.as_str()).collect();
    assert_eq!(dropped, ["1", "3"]);
    for (i, row) in expected.iter().enumerate() {
        close(found.value(0, 0, i).unwrap(), number(row, "ebv").unwrap(), 6e-9, "value");
        close(found.value(1, 0, i).unwrap(), number(row, "permanent").unwrap(), 6e-9, "permanent");
        close(found.reliability(0, 0, i).unwrap(), number(row, "reliability").unwrap(), 6e-9, "reliability");
    }
    // As printed.
    for (i, printed) in [10.148, -3.084, -7.063, 13.581, -18.207, -18.387, 9.328, 24.194].iter().enumerate() {
        close(found.value(0, 0, i).unwrap(), *printed, 5.1e-4, "printed");
    }
}

#[test]
fn direct_and_maternal() {
    let known = table(include_str!("../../reference/mrode_7_1_records.csv"));
    let expected = table(include_str!("../../reference/mrode_7_1_expected.csv"));
    let p = Problem {
        records: known.iter().filter_map(|r| number(r, "birth_weight_kg")).collect(),
        fixed: vec![factor(&known, "herd"), factor(&known, "pen")],
        slopes: vec![],
        blocks: vec![
            Block {
                effects: vec![effect(&known, "calf"), effect(&known, "dam")],
                variance: vec![150.0, -40.0, -40.0, 90.0],
                levels: 14,
                pedigree: Some(pedigree(&known, "calf", 14)),
            },
            independent(&known, "dam", 14, 40.0),
        ],
        residual: 350.0,
    };
    let found = solved("7.1", &p);
    let dropped: Vec<&str> = found.frame.dropped().iter().map(|d| d.level.as_str()).collect();
    assert_eq!(dropped, ["1"]);
    for (i, row) in expected.iter().enumerate() {
        close(found.value(0, 0, i).unwrap(), number(row, "direct").unwrap(), 6e-9, "direct");
        close(found.value(0, 1, i).unwrap(), number(row, "maternal").unwrap(), 6e-9, "maternal");
        if let Some(permanent) = number(row, "dam_permanent") {
            close(found.value(1, 0, i).unwrap(), permanent, 6e-9, "permanent");
        }
    }
}

/// A flock by chance: parents, and for each record its animal, sex, group, age and weight.
fn random() -> impl Strategy<Value = Problem> {
    let animals = proptest::collection::vec((0u32..60, 0u32..60), 3..22);
    let records = proptest::collection::vec((0u32..60, 0u32..2, 0u32..4, 50.0f64..70.0, 5.0f64..25.0), 1..30);
    let shares = (0.1f64..3.0, 0.1f64..2.0, -0.8f64..0.8, 0.1f64..2.0, 0.2f64..4.0);
    (animals, records, shares, any::<[bool; 4]>()).prop_map(|(animals, records, v, with)| {
        let n = animals.len() as u32;
        let mut p = Pedigree::default();
        let mut dams = Vec::new();
        for (i, (s, d)) in animals.into_iter().enumerate() {
            let of = |x: u32| if x.is_multiple_of(4) || i == 0 { NONE } else { x % i as u32 };
            let (s, d) = (of(s), of(d));
            let d = if s == d { NONE } else { d };
            p.push(s, d);
            dams.push(d);
        }
        let animal: Vec<u32> = records.iter().map(|r| r.0 % n).collect();
        let dam = |a: &u32| Some(dams[*a as usize]).filter(|d| *d != NONE);
        let direct = Effect { name: "animal".into(), of: animal.iter().map(|a| Some(*a)).collect() };
        let maternal = Effect { name: "dam".into(), of: animal.iter().map(dam).collect() };
        let pedigree = Some(Arc::new(p));
        let levels = n as usize;
        let both = v.2 * (v.0 * v.1).sqrt();
        let mut blocks = vec![if with[0] {
            let variance = vec![v.0, both, both, v.1];
            Block { effects: vec![direct.clone(), maternal.clone()], variance, levels, pedigree }
        } else {
            Block { effects: vec![direct.clone()], variance: vec![v.0], levels, pedigree }
        }];
        if with[1] {
            blocks.push(Block { effects: vec![direct], variance: vec![v.3], levels, pedigree: None });
            blocks.push(Block { effects: vec![maternal], variance: vec![0.3], levels, pedigree: None });
        }
        let names = |k: u32| (0..k).map(|l| l.to_string()).collect::<Vec<_>>();
        // A level that nobody has, and a factor that says nothing new.
        let mut fixed = vec![
            Factor { name: "sex".into(), levels: names(3), of: records.iter().map(|r| r.1).collect() },
            Factor { name: "group".into(), levels: names(4), of: records.iter().map(|r| r.2).collect() },
            Factor { name: "half".into(), levels: names(2), of: records.iter().map(|r| r.2 / 2).collect() },
        ];
        if !with[2] {
            fixed.clear();
        }
        let slopes =
            if with[3] { vec![("age".into(), records.iter().map(|r| r.3).collect())] } else { vec![] };
        let records = records.iter().map(|r| r.4).collect();
        Problem { records, fixed, slopes, blocks, residual: v.4 }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn every_way_gives_the_same(p in random()) {
        let exact = predict(&p, &Bounds::default(), &mut |_| true).expect("an answer");
        let frame = Frame::of(&p).expect("a frame");
        let weights = frame.weights(&variances(&p), p.residual).expect("variances");
        let equations = frame.equations(&variances(&p), p.residual).expect("equations");
        let other = by_cholesky(&equations).expect("an answer");
        let steps = by_gradients(&frame, &weights, &mut |_| true).expect("an answer");
        let plain = dense::solve(&p);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-8 * (1.0 + b.abs());
        for (fitted, of) in [&exact.solution, &other, &steps].map(|s| {
            let mut only = s.values.clone();
            only[frame.rank()..].fill(0.0);
            (frame.fitted(&only), s)
        }) {
            for (a, b) in fitted.iter().zip(&plain.fixed) {
                prop_assert!((a - b).abs() < 1e-6, "fixed, {:?}: {a} and {b}", of.method);
            }
            for (b, values) in plain.values.iter().enumerate() {
                let first = frame.blocks()[b].first;
                for (i, v) in values.iter().enumerate() {
                    prop_assert!(near(of.values[first + i], *v), "{:?}: {} and {v}", of.method, of.values[first + i]);
                }
            }
        }
        let z = Order::of(&equations.matrix).unwrap().factor(&equations.matrix).unwrap();
        let z = z.inverse(&mut |_| true).unwrap();
        for (b, pev) in plain.pev.iter().enumerate() {
            let placed = &frame.blocks()[b];
            for (i, v) in pev.iter().enumerate() {
                prop_assert!(near(z.get(placed.first + i, placed.first + i).unwrap(), *v));
            }
        }
        for r in exact.reliabilities.iter().flatten().chain(approximate(&frame, &p).iter().flatten()) {
            prop_assert!((0.0..=1.0).contains(r));
        }
        // The equations as a matrix and as a product are the same.
        let x: Vec<f64> = (0..frame.unknowns()).map(|i| (i as f64 * 0.7).cos()).collect();
        let mut y = vec![0.0; x.len()];
        frame.apply(&weights, &x, &mut y);
        for (a, b) in equations.matrix.times(&x).iter().zip(&y) {
            prop_assert!((a - b).abs() < 1e-9 * (1.0 + b.abs()) * 1e3);
        }
    }
}

const ANIMALS: &str = "tag,sex,born,sire,dam\n\
    N1,ram,2020-03-01,,\nN2,ewe,2020-03-02,,\nN3,ram,2020-03-03,,\nN4,ram,2022-03-01,N1,\n\
    N5,ewe,2022-03-01,N3,N2\nN6,ewe,2022-03-01,N1,N2\nN7,ram,2024-03-01,N4,N5\nN8,ram,2024-03-01,N3,N6\n";
const WEIGHINGS: &str = "tag,on,weight_kg\n\
    N4,2022-04-30,4.5\nN5,2022-04-30,2.9\nN6,2022-04-30,3.9\nN7,2024-04-30,3.5\nN8,2024-04-30,5.0\n";

/// A book on the command line, with the printed example's animals as sheep.
fn book(animals: &str, weighings: &str) -> hirsel_tests::flocks::Folder {
    let folder = hirsel_tests::flocks::Folder::new();
    let call = |args: &[&str]| {
        let mut c = hirsel(folder.path());
        c.args(args);
        let out = run(c);
        assert!(out.status.success(), "{args:?}: {}", said(&out));
    };
    call(&["new", "f.hirsel", "--flock", "Test flock"]);
    for (kind, text) in [("animals", animals), ("weighings", weighings)] {
        let file = folder.path().join(format!("{kind}.csv"));
        std::fs::write(&file, text).expect("a file");
        call(&["import", "f.hirsel", kind, &format!("{kind}.csv"), "--on", "2025-01-01"]);
    }
    folder
}

fn reckon(folder: &hirsel_tests::flocks::Folder, args: &[&str]) -> (Option<i32>, String, String) {
    let mut c = hirsel(folder.path());
    c.args(["reckon", "f.hirsel", "evaluation", "--format", "csv", "--on", "2025-01-01"]).args(args);
    let out = run(c);
    (out.status.code(), String::from_utf8_lossy(&out.stdout).into_owned(), said(&out))
}

#[test]
fn the_printed_example_on_the_command_line() {
    let folder = book(ANIMALS, WEIGHINGS);
    let third = "h2=0.33333333333333333";
    let (code, out, err) =
        reckon(&folder, &["--trait", "weight:60", "--model", "animal", "--fixed", "sex", "--set", third]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.starts_with("tag,value,accuracy,records,offspring_with_records,best_quarter,accuracy_is\n"));
    let found = table(&out);
    assert_eq!(found.len(), 8);
    for (row, printed) in found.iter().zip(table(include_str!("../../reference/mrode_3_1.csv"))) {
        assert_eq!(row["tag"], format!("N{}", printed["animal"]));
        close(number(row, "value").unwrap(), number(&printed, "ebv").unwrap(), 6e-9, &row["tag"]);
        let r = number(row, "accuracy").unwrap().powi(2);
        close(r, number(&printed, "reliability").unwrap(), 6e-5, &row["tag"]);
    }
    assert_eq!((found[0]["offspring_with_records"].as_str(), found[0]["records"].as_str()), ("2", "0"));
    let (_, one, _) =
        reckon(&folder, &["--trait", "weight:60", "--fixed", "sex", "--set", third, "--animal", "N4"]);
    assert_eq!(one.lines().count(), 2, "the animal model is the usual one for weights");
    assert_eq!(one.lines().nth(1), out.lines().nth(4));
}

#[test]
fn what_cannot_be_reckoned_is_said() {
    let folder = book(ANIMALS, WEIGHINGS);
    let refused = |folder: &hirsel_tests::flocks::Folder, args: &[&str], words: &str| {
        let (code, out, err) = reckon(folder, args);
        assert_eq!((code, out.as_str()), (Some(1), ""), "{args:?}: {err}");
        assert!(err.contains(words), "{args:?}: {err}");
    };
    let weight = ["--trait", "weight:60"];
    let with = |more: &[&'static str]| [&weight, more].concat();
    refused(&folder, &with(&["--set", "h2=0.6,c2=0.5"]), "add up to 1.1");
    refused(&folder, &with(&["--set", "h2=0"]), "set h2 above 0");
    refused(&folder, &with(&["--set", "m2=0.1"]), "m2 goes with the maternal model only");
    refused(&folder, &with(&["--model", "maternal", "--set", "rdm=-1"]), "rdm between");
    refused(&folder, &with(&["--set", "pe2=0.1"]), "pe2 goes with the repeatability model only");
    refused(&folder, &["--trait", "weight:0"], "holds none of weight at birth");
    refused(&folder, &["--trait", "weight:200"], "5 animals not weighed near to that age");
    refused(&folder, &["--trait", "born"], "holds none of lambs born");
    refused(&folder, &["--trait", "born", "--model", "maternal"], "for weights of lambs");
    refused(&folder, &["--trait", "born", "--set", "l2=0.1"], "l2 goes with weights only");
    for bad in [
        &["--trait", "wool"][..],
        &[],
        &["--trait", "weight:60", "--set", "h2=2"],
        &["--trait", "born", "--fixed", "moon"],
    ] {
        let (code, out, err) = reckon(&folder, bad);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{bad:?}: {err}");
    }
    let mut c = hirsel(folder.path());
    c.args(["reckon", "f.hirsel", "kinship", "--fixed", "sex"]);
    assert!(said(&run(c)).contains("--fixed goes with evaluation only"));
    // One animal; two alike; a day of birth that is not known; a ewe that nobody knows anything of.
    let one = book("tag,sex,born\nA,ewe,2024-03-01\n", "tag,on,weight_kg\nA,2024-04-30,20\n");
    refused(&one, &weight, "1 record cannot tell animals apart");
    let alike = book(
        "tag,sex,born\nA,ewe,2024-03-01\nB,ewe,2024-03-01\n",
        "tag,on,weight_kg\nA,2024-04-30,20\nB,2024-04-30,20\n",
    );
    refused(&alike, &weight, "do not differ");
    let unknown =
        book("tag,sex,born\nA,ewe,2024\nB,ewe,\n", "tag,on,weight_kg\nA,2024-04-30,20\nB,2024-04-30,21\n");
    refused(&unknown, &weight, "day of birth is not known");
    // All of one sex and one group is no fault.
    let plain = book(
        "tag,sex,born\nA,ewe,2024-03-01\nB,ewe,2024-03-01\nC,ewe,2024-03-01\n",
        "tag,on,weight_kg\nA,2024-04-30,20\nB,2024-04-30,24\n",
    );
    let (code, out, err) = reckon(&plain, &["--trait", "weight:60", "--fixed", "sex,group,year,birth_type"]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    let rows = table(&out);
    close(number(&rows[0], "value").unwrap(), -number(&rows[1], "value").unwrap(), 1e-9, "alike");
    assert_eq!((rows[2]["value"].as_str(), rows[2]["accuracy"].as_str()), ("0", "0"));
}
