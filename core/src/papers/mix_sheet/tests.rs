use super::*;
use crate::flock::{Feed, FeedPart, FeedRoom, Holding, Measure};
use crate::papers::{carry_on, check};
use crate::terms::{Analysis, FeedKind, MadeFor, MeasureId, Nutrient, Price};

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn feed(name: &str, kind: FeedKind, figures: &[(Nutrient, f64)], bag: f64, price: u32) -> Feed {
    let own = figures.iter().fold(Analysis::default(), |a, (n, x)| a.with(*n, *x).unwrap());
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind,
        like: None,
        own,
        made_for: MadeFor::Plain,
        bag: Mass::from_kg(bag),
        price: Some(Price::from_cents(price)),
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

/// Barley and beans of 25 kg bags, a mineral of 20 kg bags, and a mix of them.
fn flock() -> (Flock, FeedId) {
    use Nutrient::{Calcium, Copper, DryMatter, Energy, Phosphorus, Protein};
    let barley = feed(
        "Barley, rolled",
        FeedKind::Grain,
        &[
            (DryMatter, 87.0),
            (Protein, 12.0),
            (Energy, 13.2),
            (Calcium, 0.6),
            (Phosphorus, 3.9),
            (Copper, 5.0),
        ],
        25.0,
        700,
    );
    let beans = feed(
        "Field beans",
        FeedKind::Protein,
        &[(DryMatter, 87.0), (Protein, 29.0), (Energy, 13.4), (Calcium, 1.4), (Phosphorus, 5.5)],
        25.0,
        950,
    );
    let mineral = feed("Sheep mineral", FeedKind::Mineral, &[(DryMatter, 98.0)], 20.0, 2200);
    let mut mix = feed("Creep 16", FeedKind::Mix, &[], 1.0, 0);
    (mix.bag, mix.price) = (None, None);
    let share = |f: &Feed, share| FeedPart { feed: f.id, share };
    mix.parts = vec![share(&mineral, 2_500), share(&barley, 70_000), share(&beans, 27_500)];
    let id = mix.id;
    let scoop = Measure {
        id: MeasureId::new(),
        feed: beans.id,
        name: "scoop".into(),
        on: day("2026-01-02"),
        weighed: vec![Mass::from_kg(1.2).unwrap(), Mass::from_kg(1.3).unwrap()],
        struck: None,
    };
    let room =
        FeedRoom { feeds: vec![barley, beans, mix, mineral], measures: vec![scoop], ..FeedRoom::default() };
    let holding = Holding { flock: "Thornley Fellsides".into(), ..Holding::default() };
    let mut flock = Flock::default();
    flock.set_holding(holding);
    flock.set_feedroom(room);
    (flock, id)
}

#[test]
fn everything_to_weigh_stands_there_large_and_in_order() {
    let (flock, id) = flock();
    let options = MixSheetOptions { sheet: SheetSize::A4, feed: id, total: Mass::from_kg(400.0) };
    let paper = mix_sheet(&flock, day("2026-04-10"), &options, &carry_on).unwrap();
    assert_eq!(paper.pages.len(), 1);
    check::assert_inside(&paper, 8.0);
    let words: Vec<&str> = paper.words().collect();
    let at = |w: &str| words.iter().position(|x| x.contains(w)).unwrap_or_else(|| panic!("{w}: {words:?}"));
    assert!(at("Barley, rolled") < at("Field beans") && at("Field beans") < at("Sheep mineral"));
    let all = paper.words().collect::<Vec<_>>().join(" ");
    for said in [
        "280 kg",
        "= 11 bags of 25 kg and 5 kg",
        "= 4 bags of 25 kg and 10 kg (about 8 scoops)",
        "10 kg",
        "70.0 %",
        "Number of this batch",
        "For whom:",
        "Not known of",
        "Field beans, Sheep mineral",
        "Mind: ",
        "at least 16.3 %",
        "A sudden change sours the rumen",
        "stir it into a bucket",
        "Sheep bear less copper",
    ] {
        assert!(all.contains(said), "{said}: {all}");
    }
    // 280 kg at 0.28, 110 kg at 0.38, 10 kg at 1.10: 78.40 + 41.80 + 11.00.
    assert!(all.contains("131.20 for 400 kg, 328.00 a tonne, 0.33 a kg"), "{all}");
}

#[test]
fn what_is_no_mix_is_refused() {
    let (flock, _) = flock();
    let barley = flock.feedroom().by_name("barley, rolled").unwrap().id;
    let options = MixSheetOptions { sheet: SheetSize::Letter, feed: barley, total: None };
    let failed = mix_sheet(&flock, day("2026-04-10"), &options, &carry_on);
    assert!(matches!(failed, Err(PaperFailed::Nothing { .. })));
}
