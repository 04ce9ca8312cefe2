use super::*;
use crate::handbook::feeds;
use crate::terms::{Analysis, Eaters, FeedKind, MadeFor, Nutrient};

fn known(key: &str) -> Ingredient {
    Ingredient::from(feeds::by_key(key).unwrap())
}

fn feed(name: &str, kind: FeedKind, figures: &[(Nutrient, f64)]) -> Ingredient {
    let analysis = figures.iter().fold(Analysis::default(), |a, (what, x)| a.with(*what, *x).unwrap());
    Ingredient::plain(name, kind, analysis)
}

#[test]
fn needs_are_rows_straight_lines_and_gaps() {
    let rules = FeedRules::shipped();
    let row = needs(rules, Asked::at(Eaters::DryEwes, 70.0));
    let of = |n: &Needs, what| n.of(what).map(|n| n.amount);
    assert_eq!(of(&row, Nutrient::Protein), Some(113.0));
    assert_eq!(row.of(Nutrient::Protein).unwrap().how, How::Row(70.0));
    assert!(row.gaps.is_empty() && row.said.is_empty());
    let between = needs(rules, Asked::at(Eaters::DryEwes, 65.0));
    assert!((of(&between, Nutrient::Protein).unwrap() - 108.5).abs() < 1e-9);
    assert_eq!(
        between.of(Nutrient::Tdn).unwrap().how.words(),
        "between the rows of 60 and 70 kg, in a straight line"
    );
    let thin = needs(rules, Asked { condition: Some(2.0), ..Asked::at(Eaters::DryEwes, 60.0) });
    assert_eq!(of(&thin, Nutrient::Protein), Some(113.0));
    assert!(thin.said[0].contains("next heavier row: as 70 kg"));
    let fat = needs(rules, Asked { condition: Some(4.5), ..Asked::at(Eaters::DryEwes, 60.0) });
    assert_eq!(of(&fat, Nutrient::Protein), Some(95.0));
    let light = needs(rules, Asked::at(Eaters::DryEwes, 38.0));
    assert_eq!(light.of(Nutrient::Protein).unwrap().how, How::End(50.0));
    assert!(light.said[0].contains("the table runs from 50 to 90 kg: 38 kg"));
    // The table has no rows of 80 and 90 kg for ewes in lamb: the last stands, and it is said.
    assert_eq!(
        needs(rules, Asked::at(Eaters::EarlyEwes, 80.0)).of(Nutrient::Tdn).unwrap().how,
        How::End(70.0)
    );
    for gap in [Eaters::Rams, Eaters::NursingThree, Eaters::CreepLambs, Eaters::MilkLambs] {
        let n = needs(rules, Asked::at(gap, 70.0));
        assert_eq!((n.known.len(), n.gaps.len()), (0, daily().len()));
        assert!(n.said[0].ends_with("write your own target"), "{:?}", n.said);
    }
    assert_eq!(
        needs(rules, Asked { weight_kg: None, ..Asked::at(Eaters::DryEwes, 0.0) }).said,
        ["no weight of dry ewes is known: weigh some of them"]
    );
}

#[test]
fn ewes_in_their_last_weeks_are_fed_by_what_they_carry_and_in_milk_by_its_day() {
    let rules = FeedRules::shipped();
    let late = |lambs| needs(rules, Asked { lambs, ..Asked::at(Eaters::LateEwes, 70.0) });
    let protein = |n: &Needs| n.of(Nutrient::Protein).unwrap().amount;
    assert_eq!(
        [late(Some(1)), late(Some(2)), late(Some(3)), late(None)].map(|n| protein(&n)),
        [193.0, 214.0, 214.0, 214.0]
    );
    assert!(late(Some(3)).said[0].contains("with 3 they need more"));
    assert!(late(None).said[0].contains("is not known: fed as with 2 or more"));
    let milk = |days| needs(rules, Asked { days: Some(days), ..Asked::at(Eaters::NursingTwo, 70.0) });
    assert_eq!([milk(10), milk(49), milk(50)].map(|n| protein(&n)), [420.0, 420.0, 334.0]);
    assert!(milk(10).of(Nutrient::Protein).unwrap().ground.is_memory());
}

#[test]
fn the_keepers_target_goes_before_the_table() {
    let rules = FeedRules::parse(
        "[[target]]\neaters = \"rams\"\ntdn_kg = 1\n[[target]]\neaters = \"dry ewes\"\nprotein_g = 120\n",
    )
    .unwrap();
    let rams = needs(&rules, Asked::at(Eaters::Rams, 90.0));
    assert_eq!(rams.known.iter().map(|n| n.what).collect::<Vec<_>>(), [Nutrient::Energy, Nutrient::Tdn]);
    assert!((rams.of(Nutrient::Energy).unwrap().amount - 4.4 * 0.82 * 4.184).abs() < 1e-9);
    assert!(rams.gaps.contains(&Nutrient::Protein) && rams.said.is_empty());
    let dry = needs(&rules, Asked::at(Eaters::DryEwes, 70.0));
    assert_eq!(
        (dry.of(Nutrient::Protein).unwrap().amount, &dry.of(Nutrient::Protein).unwrap().how),
        (120.0, &How::Target)
    );
    assert_eq!(dry.of(Nutrient::Calcium).unwrap().amount, 2.5);
}

#[test]
fn a_ration_stands_beside_the_needs() {
    let (hay, nuts) = (known("hay mid"), known("ewe nuts 18").priced(0.35));
    let given = [Given { feed: &hay, each_kg: 1.5 }, Given { feed: &nuts, each_kg: 0.5 }];
    let b = balance(needs(FeedRules::shipped(), Asked::at(Eaters::NursingOne, 70.0)), &given);
    let dry = b.line(Nutrient::DryMatter).unwrap();
    assert!((dry.given.unwrap() - (1.5 * 0.86 + 0.5 * 0.87)).abs() < 1e-9);
    assert!((dry.share().unwrap() - 1.725 / 2.5).abs() < 1e-9);
    let protein = b.line(Nutrient::Protein).unwrap();
    assert!((protein.given.unwrap() - (1.5 * 0.86 * 94.0 + 0.5 * 0.87 * 207.0)).abs() < 1e-6);
    assert!(protein.ground().unwrap().is_memory());
    // Nobody knows the copper of the nuts: the hay's is told as the least.
    let copper = b.line(Nutrient::Copper).unwrap();
    assert_eq!(
        (copper.given, b.copper(), copper.unknown.as_slice()),
        (None, None, &["Ewe nuts, 18 %".to_string()][..])
    );
    assert!((copper.known - 1.5 * 0.86 * 5.0).abs() < 1e-9);
    assert_eq!(b.cost, None);
    let all = balance(needs(FeedRules::shipped(), Asked::at(Eaters::Rams, 70.0)), &given[..1]);
    assert_eq!((all.line(Nutrient::Protein).unwrap().share(), all.copper()), (None, Some(5.0)));
}

fn has(said: &[Caution], wanted: impl Fn(&Caution) -> bool) -> bool {
    said.iter().any(wanted)
}

#[test]
fn copper_is_always_said_and_stopped_at_its_bounds() {
    let rules = FeedRules::shipped();
    let with = |mg: f64| {
        let f = feed("mix", FeedKind::Mix, &[(Nutrient::DryMatter, 88.0), (Nutrient::Copper, mg)]);
        of_diet(rules, &Diet::of(Eaters::DryEwes, &[Given { feed: &f, each_kg: 0.2 }]))
    };
    for mg in [5.0, 10.0, 10.1, 15.0, 15.1] {
        let said = with(mg);
        assert!(said.contains(&Caution::CopperAlways) && said.contains(&Caution::AskFirst));
        assert_eq!(has(&said, |c| matches!(c, Caution::CopperHigh(..))), mg > 10.0 && mg <= 15.0, "{mg}");
        assert_eq!(has(&said, |c| matches!(c, Caution::CopperStop(..))), mg > 15.0, "{mg}");
    }
    assert_eq!(with(16.0)[0].grave(), Grave::Stop, "the gravest stands first");
    assert!(
        with(16.0)[0].to_string().starts_with("Copper of the diet is 16 mg a kg of dry matter, above 15")
    );
    let unknown = known("ewe nuts 18");
    let said = of_mix(rules, &[(&unknown, 1.0)], None);
    assert!(said.contains(&Caution::CopperUnknown(vec!["Ewe nuts, 18 %".into()])));
}

#[test]
fn feeds_of_other_stock_and_medicine_are_named() {
    let rules = FeedRules::shipped();
    for made in [MadeFor::Cattle, MadeFor::Pigs, MadeFor::Poultry, MadeFor::Horses] {
        let mut f = known("barley");
        f.made_for = made;
        f.medicine = Some("Coccistat".into());
        let said = of_mix(rules, &[(&f, 1.0)], Some(Eaters::DryEwes));
        assert!(said.contains(&Caution::OtherStock("Barley".into(), made)), "{made:?}");
        assert!(said.contains(&Caution::Medicated("Barley".into(), "Coccistat".into())));
    }
    let mut f = known("barley");
    f.made_for = MadeFor::Unknown;
    assert!(of_mix(rules, &[(&f, 1.0)], None).contains(&Caution::StockUnknown("Barley".into())));
}

#[test]
fn stones_and_protein_are_watched_for_lambs() {
    let rules = FeedRules::shipped();
    let (barley, soya, chalk) = (known("barley"), known("soya"), known("chalk"));
    let weak = [(&barley, 90.0), (&soya, 10.0)];
    let said = of_mix(rules, &weak, Some(Eaters::CreepLambs));
    assert!(has(&said, |c| matches!(c, Caution::Stones(r, 2.0) if *r < 0.5)));
    assert!(has(&said, |c| matches!(c, Caution::ProteinLow(p, 16.0, 14.0) if *p > 14.0 && *p < 15.0)));
    let good = [(&barley, 80.0), (&soya, 18.0), (&chalk, 2.0)];
    let said = of_mix(rules, &good, Some(Eaters::CreepLambs));
    assert!(!has(&said, |c| matches!(c, Caution::Stones(..) | Caution::ProteinLow(..))), "{said:?}");
    assert!(said.contains(&Caution::MixEvenly("Chalk (ground limestone)".into(), 2.0)));
    // Weaned lambs until a fortnight after weaning, on what they get beside hay.
    let hay = known("hay mid");
    let given = [Given { feed: &hay, each_kg: 0.3 }, Given { feed: &barley, each_kg: 0.5 }];
    let at = |days| {
        let diet = Diet { days_weaned: days, males: true, ..Diet::of(Eaters::WeanedLambs, &given) };
        has(&of_diet(rules, &diet), |c| matches!(c, Caution::ProteinLow(..)))
    };
    assert_eq!([at(Some(13)), at(Some(14)), at(None)], [true, false, true]);
    let ewes = Diet::of(Eaters::DryEwes, &given);
    assert!(!has(&of_diet(rules, &ewes), |c| matches!(c, Caution::Stones(..) | Caution::ProteinLow(..))));
}

#[test]
fn sudden_change_grain_and_forage_are_watched() {
    let rules = FeedRules::shipped();
    let (hay, barley, oats) = (known("hay mid"), known("barley"), known("oats"));
    let g = |kg: f64| [Given { feed: &hay, each_kg: 1.2 }, Given { feed: &barley, each_kg: kg }];
    let (was, same, more) = (g(0.2), g(0.25), g(0.3));
    let diet =
        |given| Diet { before: Some(&was), weight_kg: Some(70.0), ..Diet::of(Eaters::LateEwes, given) };
    assert!(!has(&of_diet(rules, &diet(&same)), |c| matches!(
        c,
        Caution::SuddenChange(..) | Caution::NewFeed(_)
    )));
    assert!(of_diet(rules, &diet(&more)).contains(&Caution::SuddenChange(0.2, 0.3, 50.0)));
    let new = [Given { feed: &hay, each_kg: 1.2 }, Given { feed: &oats, each_kg: 0.2 }];
    assert!(of_diet(rules, &diet(&new)).contains(&Caution::NewFeed(vec!["Oats".into()])));
    let much = g(1.0);
    assert!(of_diet(rules, &diet(&much)).contains(&Caution::GrainMeal(500.0, 450.0)));
    assert!(!has(&of_diet(rules, &Diet { meals: 3, ..diet(&much) }), |c| matches!(
        c,
        Caution::GrainMeal(..)
    )));
    assert!(!has(&of_diet(rules, &Diet { weight_kg: Some(80.0), ..diet(&much) }), |c| matches!(
        c,
        Caution::ForageLittle(..)
    )));
    assert!(has(&of_diet(rules, &Diet { weight_kg: Some(90.0), ..diet(&much) }), |c| matches!(
        c,
        Caution::ForageLittle(..)
    )));
    assert!(of_diet(rules, &diet(&much)).contains(&Caution::GrainSlowly(14.0)));
    let grass = known("grass spring");
    let grazing = [Given { feed: &grass, each_kg: 8.0 }];
    let said = of_diet(rules, &Diet { weight_kg: Some(70.0), ..Diet::of(Eaters::NursingTwo, &grazing) });
    assert!(!has(&said, |c| matches!(c, Caution::GrainSlowly(_) | Caution::ForageLittle(..))), "{said:?}");
}

#[test]
fn selenium_and_molybdenum_are_watched() {
    let rules = FeedRules::shipped();
    let f = feed(
        "mix",
        FeedKind::Mix,
        &[(Nutrient::DryMatter, 88.0), (Nutrient::Selenium, 2.1), (Nutrient::Molybdenum, 0.5)],
    );
    let given = [Given { feed: &f, each_kg: 1.0 }];
    let said = of_diet(rules, &Diet::of(Eaters::DryEwes, &given));
    assert!(
        said.contains(&Caution::SeleniumHigh(Whole::Diet, 2.1, 2.0))
            && said.contains(&Caution::MolybdenumLow(0.5, 1.0))
    );
    assert!(said.iter().all(|c| c.to_string().len() > 30));
}
