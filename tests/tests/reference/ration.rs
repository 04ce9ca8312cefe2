//! Squares, dry matter, needs, bounds and feeds against print; sources in `reference/ration.toml`.

use hirsel_core::handbook::feeds;
use hirsel_core::reckon::ration::{Asked, FeedRules, Given, Ingredient, Limit, Side, balance, needs, square};
use hirsel_core::terms::{Analysis, Base, Eaters, FeedKind, Nutrient};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Square {
    low: f64,
    high: f64,
    need: f64,
    low_percent: f64,
    high_percent: f64,
    within: f64,
    total: Option<f64>,
    low_amount: Option<f64>,
    high_amount: Option<f64>,
}

#[test]
fn squares_are_the_printed_ones() {
    let side = |name: &str, figure: f64| Side { name: name.into(), figure, dry_matter: None };
    for r in rows::<Square>("ration", "square") {
        for base in Base::ALL {
            let feeds = [side("low", r.low), side("high", r.high)];
            let s = square(Nutrient::Protein, base, feeds, r.need).expect("it lies between");
            let [low, high] = &s.corners;
            assert!(
                (low.share * 100.0 - r.low_percent).abs() <= r.within,
                "{} and not {}",
                low.share,
                r.low_percent
            );
            assert!((high.share * 100.0 - r.high_percent).abs() <= r.within, "{}", high.share);
            // The rule itself, and the picture's parts.
            assert!((low.share - (r.high - r.need) / (r.high - r.low)).abs() < 1e-12);
            assert!(
                (low.parts - (r.high - r.need)).abs() < 1e-12
                    && (high.parts - (r.need - r.low)).abs() < 1e-12
            );
            if let Some(total) = r.total {
                let [a, b] = s.amounts(total);
                let near = |x: f64, y: Option<f64>| y.is_none_or(|y| (x - y).abs() <= 0.05);
                assert!(near(a, r.low_amount) && near(b, r.high_amount), "{a} {b}");
            }
            // Turned round it is the same.
            let feeds = [side("high", r.high), side("low", r.low)];
            let turned = square(Nutrient::Protein, base, feeds, r.need).expect("it lies between");
            assert_eq!(turned.corners[1].share, low.share);
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Dry {
    dry_kg: f64,
    dry_percent: f64,
    as_fed_kg: f64,
}

#[test]
fn dry_matter_is_turned_into_feed_as_fed() {
    for r in rows::<Dry>("ration", "dry") {
        let analysis = Analysis::default().with(Nutrient::DryMatter, r.dry_percent).expect("a figure");
        let hay = Ingredient::plain("Hay", FeedKind::Hay, analysis);
        let fed = r.dry_kg / hay.dry().expect("dry matter");
        assert!((fed - r.as_fed_kg).abs() <= 0.0005, "{fed}");
        let given = [Given { feed: &hay, each_kg: r.as_fed_kg }];
        let b = balance(needs(FeedRules::shipped(), Asked::at(Eaters::DryEwes, 70.0)), &given);
        let dry = b.line(Nutrient::DryMatter).and_then(|l| l.given).expect("it is known");
        assert!((dry - r.dry_kg).abs() <= 0.0005, "{dry}");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Energy {
    tdn_kg: f64,
    digestible_mcal: f64,
    metabolisable_mcal: f64,
}

#[test]
fn energy_follows_from_digestible_nutrients() {
    let rules = FeedRules::shipped();
    for r in rows::<Energy>("ration", "energy") {
        let digestible = r.tdn_kg * rules.limit(Limit::TdnEnergy);
        // Printed to one place, from figures that were rounded themselves.
        assert!((digestible - r.digestible_mcal).abs() <= 0.1, "{digestible}");
        let target = format!("[[target]]\neaters = \"rams\"\ntdn_kg = {}\n", r.tdn_kg);
        let own = FeedRules::parse(&target).expect("rules");
        let mj = needs(&own, Asked::at(Eaters::Rams, 80.0)).of(Nutrient::Energy).expect("energy").amount;
        assert!((mj / 4.184 - r.metabolisable_mcal).abs() <= 0.1, "{mj}");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Needed {
    eaters: String,
    rows: Vec<[f64; 6]>,
    memory: bool,
}

#[test]
fn needs_are_the_rows_of_the_table() {
    let whats =
        [Nutrient::DryMatter, Nutrient::Tdn, Nutrient::Protein, Nutrient::Calcium, Nutrient::Phosphorus];
    let mut seen = 0;
    for r in rows::<Needed>("ration", "need") {
        let eaters = Eaters::parse(&r.eaters).expect("a group");
        for row in &r.rows {
            let asked = Asked { lambs: Some(2), ..Asked::at(eaters, row[0]) };
            let n = needs(FeedRules::shipped(), asked);
            for (what, printed) in whats.iter().zip(&row[1..]) {
                let need = n.of(*what).expect("the table says it");
                assert_eq!(need.amount, *printed, "{} at {} kg: {}", r.eaters, row[0], what.words());
                assert_eq!(need.ground.is_memory(), r.memory, "{} at {} kg", r.eaters, row[0]);
                seen += 1;
            }
        }
    }
    assert_eq!(seen, 16 * 5);
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Bound {
    key: String,
    value: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Trough {
    key: String,
    from_in: f64,
    to_in: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Creep {
    age: i64,
    protein: f64,
}

#[test]
fn bounds_and_the_creep_are_the_reference_ones() {
    let rules = FeedRules::shipped();
    let limit = |key: &str| rules.limit(Limit::parse(key).unwrap_or_else(|| panic!("{key}")));
    for r in rows::<Bound>("ration", "bound") {
        assert_eq!(limit(&r.key), r.value, "{}", r.key);
    }
    for r in rows::<Trough>("ration", "trough") {
        let cm = limit(&r.key);
        assert!((r.from_in * 2.54 - 1.0..=r.to_in * 2.54 + 1.0).contains(&cm), "{}: {cm}", r.key);
    }
    for r in rows::<Creep>("ration", "creep") {
        assert_eq!(rules.creep_at(r.age).map(|s| s.protein), Some(r.protein), "{} days", r.age);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Feed {
    key: String,
    energy: f64,
    protein: f64,
    copper: Option<f64>,
}

/// Figures of another table than the one ours were taken from: alike, not the same.
#[test]
fn feeds_are_like_those_of_other_tables() {
    for r in rows::<Feed>("ration", "feed") {
        let feed = feeds::by_key(&r.key).unwrap_or_else(|| panic!("{}", r.key));
        let of = |what| feed.analysis.get(what).unwrap_or_else(|| panic!("{}: {what:?}", r.key));
        let (energy, protein) = (of(Nutrient::Energy), of(Nutrient::Protein));
        assert!((energy - r.energy).abs() <= 0.12 * r.energy, "{}: {energy} MJ", r.key);
        assert!((protein - r.protein).abs() <= (0.15 * r.protein).max(3.2), "{}: {protein} %", r.key);
        if let Some(copper) = r.copper {
            assert_eq!(of(Nutrient::Copper), copper, "{}", r.key);
        }
    }
}
