//! Variances by restricted maximum likelihood against a published analysis: birth weights of 62 lambs by line, age of the
//! dam and sire (Harville and Fenech 1985; data set `harville.lamb` of the R package agridat, MIT licence). The variances
//! are printed there as .5171 and 2.9616; the further digits, the criterion and the fixed effects were computed twice,
//! by two other programs.

use hirsel_core::reckon::evaluation::{Block, Effect, Factor, Problem, enough, reml};

fn problem() -> Problem {
    let text = include_str!("../../reference/harville_lamb.csv");
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let (mut line, mut sire, mut age, mut records) = (vec![], vec![], vec![], vec![]);
    for row in rows.records() {
        let row = row.expect("a row");
        let number = |k: usize| row[k].parse::<u32>().expect("a whole number");
        line.push(number(0) - 1);
        // Sires are numbered within their line.
        sire.push(Some((number(0) - 1) * 100 + number(1)));
        age.push(number(2) - 1);
        records.push(row[3].parse::<f64>().expect("a weight"));
    }
    let levels = |n: u32| (1..=n).map(|l| l.to_string()).collect();
    Problem {
        fixed: vec![
            Factor { name: "line".into(), levels: levels(5), of: line },
            Factor { name: "age of the dam".into(), levels: levels(3), of: age },
        ],
        slopes: vec![],
        blocks: vec![Block {
            effects: vec![Effect { name: "sire".into(), of: sire }],
            variance: vec![1.0],
            levels: 500,
            pedigree: None,
        }],
        records,
        residual: 1.0,
    }
}

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() < within, "{what}: {a} and not {b}");
}

#[test]
fn lambs_of_harville_and_fenech() {
    let problem = problem();
    assert_eq!(problem.records.len(), 62);
    let found = reml(&problem, &mut |_| true).unwrap_or_else(|e| panic!("{e}"));
    close(found.components[0].value, 0.517_076_6, 5e-6, "variance of sires");
    close(found.components[1].value, 2.961_596_9, 5e-6, "residual variance");
    close(-2.0 * found.log_likelihood, 238.357_478, 1e-6, "criterion");
    let fixed: Vec<f64> = found.fixed.iter().map(|f| f.value).collect();
    let printed = [
        10.489_074_65,
        12.285_543_77,
        11.075_472_70,
        10.274_146_59,
        10.950_829_90,
        0.0,
        -0.169_671_87,
        0.019_590_73,
    ];
    for (k, (a, b)) in fixed.iter().zip(printed).enumerate() {
        close(*a, b, 2e-6, &format!("fixed effect {k}"));
    }
    assert_eq!(fixed.len(), printed.len());
    // 62 lambs of 23 sires say little of the sires' variance, and the answer says so.
    assert!(found.ratios[0].useless, "{:?}", found.ratios);
    assert!(found.told().iter().any(|s| s.contains("useless")), "{:?}", found.told());
}

#[test]
fn fewer_lambs_are_refused_with_the_reason() {
    let mut problem = problem();
    problem.records.truncate(40);
    problem.fixed.iter_mut().for_each(|f| f.of.truncate(40));
    problem.blocks[0].effects[0].of.truncate(40);
    let said = enough(&problem).unwrap_err().to_string();
    assert!(said.contains("and at least 50 are needed"), "{said}");
}
