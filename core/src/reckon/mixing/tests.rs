use super::*;
use crate::flock::{Feed, FeedPart, FeedRoom, Flock, Measure, WHOLE};
use crate::reckon::ration::{
    Ask, Choice, Demand, FeedRules, Ingredient, Side, blend, holds, square, whole_units,
};
use crate::terms::{
    Analysis, Base, Day, Eaters, FeedId, FeedKind, MadeFor, Mass, MeasureId, Nutrient, Price, Units,
};

fn analysis(figures: &[(Nutrient, f64)]) -> Analysis {
    figures.iter().fold(Analysis::default(), |a, (n, x)| a.with(*n, *x).unwrap())
}

/// A feed of nothing but dry matter, so that both bases are the same.
fn dry(name: &str, protein: f64, fibre: f64, price: f64) -> Ingredient {
    let figures = [(Nutrient::DryMatter, 100.0), (Nutrient::Protein, protein), (Nutrient::Fibre, fibre)];
    Ingredient::plain(name, FeedKind::Grain, analysis(&figures)).priced(price)
}

fn ask(demands: Vec<Demand>) -> Ask {
    let feeds =
        [dry("barley", 12.0, 5.0, 0.20), dry("beans", 29.0, 9.0, 0.30), dry("oats", 10.5, 11.0, 0.25)];
    Ask { choices: feeds.into_iter().map(Choice::free).collect(), demands, total_kg: 500.0 }
}

fn least(figure: f64) -> Demand {
    Demand::Least { what: Nutrient::Protein, base: Base::AsFed, figure }
}

#[test]
fn shadow_prices_in_plain_words() {
    // Beans 4/17 of the mix. One point less: 1/17 less of them, each share of which costs 0.10 a kg more than barley.
    let made = blend(&ask(vec![least(16.0)])).unwrap();
    let said = shadow(&made.demands[0]).unwrap();
    assert_eq!(
        said,
        "At least 16 % crude protein as fed is just met: one point less would save 5.88 a tonne"
    );
    // Oats are worth 0.20 + (10.5 − 12) · 0.10 / 17 a kg.
    let said: Vec<String> = made.parts.iter().filter_map(left_out).collect();
    assert_eq!(said, ["oats stays out at 0.25 a kg: it comes in when it costs less than 0.19"]);
    assert_eq!(
        cost_words(made.cost, made.total_kg, Units::Metric),
        "111.76 for 500 kg, 223.53 a tonne, 0.22 a kg"
    );
    let loose = blend(&ask(vec![least(11.0)])).unwrap();
    assert_eq!(shadow(&loose.demands[0]), None);
}

#[test]
fn shares_that_hold_a_feed_are_told() {
    let mut held_up = ask(vec![least(16.0)]);
    held_up.choices[2].least = 0.1;
    let made = blend(&held_up).unwrap();
    let said: Vec<String> = made.parts.iter().filter_map(limited).collect();
    // 0.25 − 0.191176 dearer a kg of oats: 0.588 a tonne for each point.
    assert_eq!(said, ["oats is held up at its least share of 10 %: one point less would save 0.59 a tonne"]);
    held_up.choices[2].most = 0.1;
    let made = blend(&held_up).unwrap();
    assert_eq!(made.parts.iter().filter_map(limited).collect::<Vec<_>>(), ["oats is fixed at 10 %"]);
}

#[test]
fn what_cannot_be_is_told_with_what_would_just_do() {
    let (head, lines) = no_blend(&blend(&ask(vec![least(35.0)])).unwrap_err());
    assert_eq!(head, "These feeds cannot meet all of it");
    assert_eq!(
        lines[0],
        "At least 35 % crude protein as fed: the most these feeds reach within their shares is 29 %"
    );
    assert_eq!(lines[1], "What would just do: crude protein as fed 29 % instead of 35 %");
    let fibre = Demand::Most { what: Nutrient::Fibre, base: Base::AsFed, figure: 5.5 };
    let (_, lines) = no_blend(&blend(&ask(vec![least(25.0), fibre])).unwrap_err());
    assert_eq!(
        lines[0],
        "At least 25 % crude protein as fed quarrels with at most 5.5 % crude fibre as fed: each can be met alone, not both"
    );
    assert!(lines[1].starts_with("What would just do: "), "{lines:?}");
    let (head, lines) = no_blend(&blend(&Ask { choices: Vec::new(), ..ask(Vec::new()) }).unwrap_err());
    assert!(head.starts_with("There is no feed") && lines.is_empty(), "{head}");
}

#[test]
fn what_it_holds_beside_what_is_asked() {
    let wet = Ingredient::plain(
        "silage",
        FeedKind::Silage,
        analysis(&[
            (Nutrient::DryMatter, 25.0),
            (Nutrient::Protein, 16.0),
            (Nutrient::Calcium, 6.0),
            (Nutrient::Phosphorus, 3.0),
        ]),
    );
    let made = holds([(&wet, 10.0)]);
    let rows = [
        AskRow { what: What::Protein, base: Base::DryMatter, least: Some(16.0), most: Some(16.0) },
        AskRow { what: What::CalciumToPhosphorus, base: Base::AsFed, least: Some(2.5), most: None },
        AskRow { what: What::Copper, base: Base::DryMatter, least: None, most: Some(10.0) },
        AskRow { what: What::DryMatter, base: Base::DryMatter, least: Some(20.0), most: None },
        AskRow { what: What::Energy, base: Base::AsFed, least: None, most: None },
    ];
    let demands = demands(&rows);
    assert_eq!(demands.len(), 5, "at least and at most protein, and one of three others");
    let of = |what: What| {
        held(&made, &floor(&[(&wet, 10.0)]), &demands).into_iter().find(|h| h.what == what).unwrap()
    };
    let protein = of(What::Protein);
    assert_eq!((protein.as_fed, protein.dry, protein.met), (Some(4.0), Some(16.0), Some(true)));
    assert_eq!(protein.asked, "exactly 16 % dry matter");
    let ratio = of(What::CalciumToPhosphorus);
    assert_eq!((ratio.dry, ratio.met, ratio.asked.as_str()), (Some(2.0), Some(false), "at least 2.5 to 1"));
    let copper = of(What::Copper);
    assert_eq!((copper.met, copper.unknown.as_slice()), (None, ["silage".to_string()].as_slice()));
    assert_eq!(of(What::DryMatter).asked, "at least 20 %");
    assert_eq!(of(What::Energy).asked, "");
}

#[test]
fn the_square_in_a_sentence() {
    // PIRSA, Managing Livestock in Dry Times, Pearson flyer: barley 12 and lupins 30 to 15, 83.3 and 16.7 %.
    let side = |name: &str, figure| Side { name: name.into(), figure, dry_matter: Some(90.0) };
    let made =
        square(Nutrient::Protein, Base::AsFed, [side("barley", 12.0), side("lupins", 30.0)], 15.0).unwrap();
    assert_eq!(
        square_words(&made, Mass::from_kg(500.0).unwrap(), Units::Metric),
        "barley 12 % and lupins 30 % to 15 % crude protein as fed: 15 parts and 3 parts; 83.3 % barley and 16.7 % lupins \
         as fed; 83.3 % barley and 16.7 % lupins of dry matter; of 500 kg 417 kg barley and 83.33 kg lupins"
    );
}

#[test]
fn rounding_says_what_it_misses() {
    let asked = ask(vec![least(16.0)]);
    let made = blend(&asked).unwrap();
    let rounded = whole_units(&asked, &made, &[Some(25.0), Some(50.0), None]);
    let said = rounded_words(&rounded, &made, Units::Metric);
    assert!(said[0].starts_with("In whole bags and scoops it comes to "), "{said:?}");
    assert_eq!(said.len() > 1, !rounded.short.is_empty() || !rounded.outside.is_empty());
}

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn feed(name: &str, kind: FeedKind, own: Analysis) -> Feed {
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind,
        like: None,
        own,
        made_for: MadeFor::Plain,
        bag: None,
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

fn flock() -> Flock {
    let mut barley = feed(
        "Barley",
        FeedKind::Grain,
        analysis(&[(Nutrient::DryMatter, 87.0), (Nutrient::Protein, 12.0), (Nutrient::Copper, 5.0)]),
    );
    (barley.bag, barley.price) = (Mass::from_kg(25.0), Some(Price::from_cents(700)));
    let mut beans =
        feed("Beans", FeedKind::Protein, analysis(&[(Nutrient::DryMatter, 87.0), (Nutrient::Protein, 29.0)]));
    beans.made_for = MadeFor::Cattle;
    beans.price = Some(Price::from_cents(38_000));
    let mut mix = feed("Creep", FeedKind::Mix, Analysis::default());
    mix.made_for = MadeFor::Unknown;
    mix.parts =
        vec![FeedPart { feed: barley.id, share: WHOLE / 2 }, FeedPart { feed: beans.id, share: WHOLE / 2 }];
    let scoop = Measure {
        id: MeasureId::new(),
        feed: barley.id,
        name: "scoop".into(),
        on: day("2026-01-02"),
        weighed: vec![Mass::from_kg(1.2).unwrap()],
        struck: None,
    };
    let mut flock = Flock::default();
    flock.set_feedroom(FeedRoom {
        feeds: vec![barley, beans, mix],
        measures: vec![scoop],
        ..FeedRoom::default()
    });
    flock
}

#[test]
fn a_feed_is_known_by_its_name() {
    let flock = flock();
    let today = day("2026-04-10");
    let creep = stuff(&flock, "creep", today).unwrap();
    assert_eq!((creep.from, creep.feed.price), (From::Book, Some((0.28 + 0.38) / 2.0)));
    assert_eq!(creep.feed.analysis.get(Nutrient::Protein), Some(20.5));
    assert_eq!(creep.feed.analysis.get(Nutrient::Copper), None, "copper of the beans is not known");
    assert_eq!(creep.feed.made_for, MadeFor::Cattle, "what is in it is not for sheep");
    let common = &crate::handbook::feeds::all()[0];
    let known = stuff(&flock, &common.name, today).unwrap();
    assert_eq!((known.from, known.like.as_deref()), (From::Handbook, Some(common.key.as_str())));
    let other = stuff(&flock, "sweepings", today).unwrap();
    assert_eq!((other.from, other.feed.made_for), (From::Typed, MadeFor::Unknown));
    assert_eq!(stuff(&flock, "  ", today), None);
    assert_eq!(offers(&flock, "barl")[0].detail, "your grain");
    assert!(offers(&flock, "").len() > 40);
    assert_eq!(
        figures(&creep.feed.analysis),
        "87 % dry matter; of that protein 20.5 %; not known: energy, calcium, phosphorus, copper, fibre"
    );
}

#[test]
fn bags_and_scoops_as_typed() {
    let flock = flock();
    let today = day("2026-04-10");
    let read = |feed: &str, text: &str| Unit::read(&flock, feed, text, today);
    for (typed, said) in [
        ("bag", "3 bags"),
        ("scoops", "3 scoops"),
        ("20 kg", "3 bags"),
        ("bucket 6.5", "3 buckets"),
        ("pinch of 20 g", "3 pinches"),
    ] {
        assert_eq!(read("Barley", typed).unwrap().unwrap().say(3), said, "{typed}");
    }
    assert_eq!(read("Barley", "bag").unwrap().unwrap().each.kg(), 25.0);
    assert_eq!(read("Barley", "bucket 6.5").unwrap().unwrap().each.kg(), 6.5);
    assert_eq!(read("Barley", " "), Ok(None));
    assert!(read("Beans", "bag").unwrap_err().0.contains("what a bag of Beans weighs is not known"));
    assert!(read("Barley", "0 kg").is_err());
    let barley = flock.feedroom().by_name("barley").unwrap();
    assert_eq!(weighing(&flock, barley, Mass::from_kg(10.0).unwrap(), today), None);
}

#[test]
fn groups_ask_of_a_mix_by_creep_and_by_need() {
    let rules = FeedRules::shipped();
    let group = |eaters| Group { eaters, weight_kg: None, days: None, beside: None, each_kg: None };
    let creep = wanted(rules, &Group { days: Some(10), ..group(Eaters::CreepLambs) });
    let row = |w: &Wanted, what| w.rows.iter().find(|r| r.what == what).copied();
    assert_eq!(row(&creep, What::Protein).and_then(|r| r.least), Some(20.0));
    assert_eq!(row(&creep, What::CalciumToPhosphorus).and_then(|r| r.least), Some(2.0));
    assert!(creep.said[0].starts_with("Creep from 7 days of age: 20 % protein"), "{:?}", creep.said);
    // NRC 1985, p. 45: maintenance, 60 kg: 1.1 kg dry matter, 104 g protein, 2.3 g calcium.
    let dry = wanted(rules, &Group { weight_kg: Some(60.0), ..group(Eaters::DryEwes) });
    let protein = row(&dry, What::Protein).unwrap();
    assert_eq!((protein.base, protein.least), (Base::DryMatter, Some(9.46)));
    assert_eq!(row(&dry, What::Calcium).and_then(|r| r.least), Some(2.1));
    assert_eq!(row(&dry, What::CalciumToPhosphorus), None);
    // A kg of hay gives 88 g of protein: 16 g are left for half a kg of mix.
    let hay = Ingredient::plain(
        "hay",
        FeedKind::Hay,
        analysis(&[(Nutrient::DryMatter, 88.0), (Nutrient::Protein, 10.0)]),
    );
    let mut beside = Group { weight_kg: Some(60.0), each_kg: Some(0.5), ..group(Eaters::DryEwes) };
    beside.beside = Some((hay, 1.0));
    let asked = wanted(rules, &beside);
    let protein = row(&asked, What::Protein).unwrap();
    assert_eq!((protein.base, protein.least), (Base::AsFed, Some(3.2)));
    assert!(asked.said.iter().any(|s| s.contains("taken as nothing") && s.contains("calcium of hay")));
    // Nothing is known of what rams need: the keeper is asked.
    let rams = wanted(rules, &Group { weight_kg: Some(90.0), ..group(Eaters::Rams) });
    assert!(row(&rams, What::Protein).is_none());
    assert!(rams.said.iter().any(|s| s.contains("your own target")), "{:?}", rams.said);
}
