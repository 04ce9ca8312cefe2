//! Growth curves against published fits. Each data set is one of R's own (package datasets, printed there; the values
//! here from memory, and proved by the printed figures coming out of them).

use hirsel_core::reckon::curves::{Curve, Model, NoMature, Spread, draw};

fn near(told: f64, printed: f64, within: f64, what: &str) {
    assert!((told - printed).abs() <= within, "{what}: {told}, printed {printed}");
}

fn even(points: &[(f64, f64)], model: Model) -> Curve {
    draw(points, &[model], Spread::Even).unwrap_or_else(|e| panic!("{e}"))
}

/// DNase, run 1: optical density at known concentrations of the protein.
fn dnase() -> Vec<(f64, f64)> {
    let conc = [0.048_828_125, 0.195_312_5, 0.390_625, 0.781_25, 1.5625, 3.125, 6.25, 12.5_f64];
    let density = [
        [0.017, 0.018],
        [0.121, 0.124],
        [0.206, 0.215],
        [0.377, 0.374],
        [0.614, 0.609],
        [1.019, 1.001],
        [1.334, 1.364],
        [1.730, 1.710],
    ];
    conc.iter().zip(density).flat_map(|(c, two)| two.map(|d| (c.ln(), d))).collect()
}

/// R, stats, help page SSgompertz, summary of its fit to DNase run 1: Asym 4.603334, b2 2.271339, b3 .716467.
#[test]
fn gompertz_of_dnase() {
    let f = even(&dnase(), Model::Gompertz).figures();
    near(f.a, 4.603_334, 1e-4, "Asym");
    near(f.b, 2.271_339, 1e-4, "b2");
    near((-f.k).exp(), 0.716_467, 1e-4, "b3");
}

/// R, stats, help page SSlogis / nls on DNase run 1: Asym 2.345181571 (.07815), xmid 1.483091725 (.08135), scal
/// 1.041455476 (.03227), residual sum of squares .00478956897. The standard errors as nls prints them, from memory.
#[test]
fn logistic_of_dnase() {
    let curve = even(&dnase(), Model::Logistic);
    let f = curve.figures();
    // nls stops when it is within 1e-5 of the least sum.
    near(f.a, 2.345_181_571, 1e-5, "Asym");
    near(f.b.ln() / f.k, 1.483_091_725, 1e-5, "xmid");
    near(1.0 / f.k, 1.041_455_476, 1e-5, "scal");
    near(curve.sum, 0.004_789_568_97, 1e-9, "residual sum of squares");
    let [a, _, k] = f.errors.expect("errors");
    near(a, 0.078_15, 1e-4, "error of Asym");
    // scal = 1 ⁄ k, so its error is that of k over k².
    near(k / (f.k * f.k), 0.032_27, 1e-4, "error of scal");
}

/// Orange: girth of five trees over the years (R, package datasets, Draper and Smith 1998; from memory). The figures
/// are those of scipy's least_squares on the same points, a general-purpose library.
#[test]
fn logistic_of_orange_trees() {
    let age = [118.0, 484.0, 664.0, 1004.0, 1231.0, 1372.0, 1582.0];
    for (tree, girth, asym, mid, scale) in [
        (1, [30.0, 58.0, 87.0, 115.0, 120.0, 142.0, 145.0], 154.163_049_28, 627.193_223_26, 362.571_707_26),
        (2, [33.0, 69.0, 111.0, 156.0, 172.0, 203.0, 203.0], 218.998_305_24, 700.345_113_03, 332.493_420_93),
        (3, [30.0, 51.0, 75.0, 108.0, 115.0, 139.0, 140.0], 158.829_454_04, 734.842_193_38, 400.954_920_58),
        (4, [32.0, 62.0, 112.0, 167.0, 179.0, 209.0, 214.0], 225.303_877_49, 710.705_290_16, 303.143_981_58),
        (5, [30.0, 49.0, 81.0, 125.0, 142.0, 174.0, 177.0], 207.257_887_90, 861.303_800_29, 379.945_928_13),
    ] {
        let points: Vec<(f64, f64)> = age.into_iter().zip(girth).collect();
        let f = even(&points, Model::Logistic).figures();
        near(f.a / asym, 1.0, 1e-5, &format!("tree {tree}, Asym"));
        near(f.b.ln() / f.k / mid, 1.0, 1e-5, &format!("tree {tree}, xmid"));
        near(1.0 / f.k / scale, 1.0, 1e-5, &format!("tree {tree}, scal"));
    }
}

/// Loblolly, seed 329: height of a pine; R, stats, help page SSasymp, summary of its fit: Asym 94.1282 (8.4030), R0
/// −8.2508 (1.2261), lrc −3.2176 (.1386), residual standard error .7493 on 3 degrees of freedom (from memory). It is
/// Brody's curve with A = Asym, b = 1 − R0 ⁄ Asym, k = exp(lrc).
#[test]
fn brody_of_a_pine() {
    let height = [3.93, 9.34, 26.08, 37.79, 48.31, 56.43];
    let points: Vec<(f64, f64)> = [3.0, 5.0, 10.0, 15.0, 20.0, 25.0].into_iter().zip(height).collect();
    let curve = even(&points, Model::Brody);
    let f = curve.figures();
    near(f.a, 94.1282, 1e-4, "Asym");
    near(f.a * (1.0 - f.b), -8.2508, 1e-4, "R0");
    near(f.k.ln(), -3.2176, 1e-4, "lrc");
    near((curve.sum / 3.0).sqrt(), 0.7493, 1e-4, "residual standard error");
    let [a, _, k] = f.errors.expect("errors");
    near(a, 8.4030, 1e-3, "error of Asym");
    near(k / f.k, 0.1386, 1e-4, "error of lrc");
}

/// ChickWeight, chick 1: weighed to day 21, still growing; R, stats, help page SSlogis, summary of its fit: Asym 937.03
/// (465.86), xmid 35.223 (8.312), scal 11.405 (.913) (from memory). Its end is far above the heaviest weight, 205: no
/// mature weight is told of it.
#[test]
fn a_chick_that_still_grows_has_no_mature_weight() {
    let days = [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 21.0];
    let weight = [42.0, 51.0, 59.0, 64.0, 76.0, 93.0, 106.0, 125.0, 149.0, 171.0, 199.0, 205.0];
    let points: Vec<(f64, f64)> = days.into_iter().zip(weight).collect();
    let curve = even(&points, Model::Logistic);
    let f = curve.figures();
    near(f.a, 937.03, 0.02, "Asym");
    near(f.b.ln() / f.k, 35.223, 0.001, "xmid");
    near(1.0 / f.k, 11.405, 0.001, "scal");
    let error = f.errors.expect("errors")[0];
    near(error, 465.86, 0.2, "error of Asym");
    let told = curve.mature();
    assert!(
        matches!(told, Err(NoMature::Far { end, error: Some(e), .. }) if end > 900.0 && e > 400.0),
        "{told:?}"
    );
    // Within its days it is a good curve for all that.
    near(curve.expected(14.0), 125.0, 3.0, "day 14");
}

/// Brody's curve of Sonadi lambs, A 26.033 kg, B .872, k .160 a month (husbandry notes, 5c): 3.33 kg at birth, towards
/// 26.03 kg; the published mean at birth is 3.27 kg. Weights computed of it give it back.
#[test]
fn brody_of_sonadi_lambs() {
    let (a, b, k) = (26.033, 0.872, 0.160);
    let points: Vec<(f64, f64)> =
        (0..=12).map(|m| (f64::from(m), a * (1.0 - b * (-k * f64::from(m)).exp()))).collect();
    near(points[0].1, 3.33, 0.005, "at birth");
    let f = even(&points, Model::Brody).figures();
    near(f.a, a, 1e-6, "A");
    near(f.b, b, 1e-8, "B");
    near(f.k, k, 1e-8, "k");
    let long: Vec<(f64, f64)> =
        (0..=40).map(|m| (f64::from(m), a * (1.0 - b * (-k * f64::from(m)).exp()))).collect();
    let mature = even(&long, Model::Brody).mature().expect("it is grown");
    near(mature.weight, a, 1e-6, "mature weight");
}
