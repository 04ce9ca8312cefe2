use super::*;
use crate::handbook::feeds;
use crate::terms::{Analysis, Base, FeedKind, Nutrient};
use proptest::prelude::*;

fn known(key: &str) -> Ingredient {
    Ingredient::from(feeds::by_key(key).unwrap())
}

fn feed(name: &str, kind: FeedKind, figures: &[(Nutrient, f64)]) -> Ingredient {
    let analysis = figures.iter().fold(Analysis::default(), |a, (what, x)| a.with(*what, *x).unwrap());
    Ingredient::plain(name, kind, analysis)
}

fn side(name: &str, figure: f64) -> Side {
    Side { name: name.into(), figure, dry_matter: None }
}

fn least(what: Nutrient, base: Base, figure: f64) -> Demand {
    Demand::Least { what, base, figure }
}

fn most(what: Nutrient, base: Base, figure: f64) -> Demand {
    Demand::Most { what, base, figure }
}

#[test]
fn a_square_names_its_base_and_converts() {
    let mut straw = side("straw", 4.0);
    straw.dry_matter = Some(86.0);
    let mut silage = side("silage", 16.0);
    silage.dry_matter = Some(35.0);
    let s = square(Nutrient::Protein, Base::DryMatter, [straw, silage], 10.0).unwrap();
    assert_eq!(s.corners.clone().map(|c| c.parts), [6.0, 6.0]);
    assert_eq!(s.corners.clone().map(|c| c.share), [0.5, 0.5]);
    // Half of the dry matter from each: 0.5/0.86 beside 0.5/0.35 as fed.
    let fed = s.as_fed().unwrap();
    assert!(
        (fed[0] - 0.5 / 0.86 / (0.5 / 0.86 + 0.5 / 0.35)).abs() < 1e-12
            && (fed[0] + fed[1] - 1.0).abs() < 1e-12
    );
    assert_eq!(s.amounts(20.0), [10.0, 10.0]);
    let plain = square(Nutrient::Protein, Base::AsFed, [side("a", 20.0), side("b", 10.0)], 12.5).unwrap();
    assert_eq!(plain.corners.map(|c| (c.share, c.other_share)), [(0.25, None), (0.75, None)]);
}

#[test]
fn a_square_refuses_what_cannot_be_mixed() {
    let say = |a: f64, b: f64, need: f64| {
        square(Nutrient::Protein, Base::AsFed, [side("barley", a), side("meal", b)], need)
            .unwrap_err()
            .to_string()
    };
    assert!(
        say(12.0, 30.0, 30.0).starts_with("30 % crude protein (as fed) cannot be mixed: meal is the richer")
    );
    assert!(say(12.0, 30.0, 12.0).contains("barley is the poorer of the two and holds 12 %; ask for more"));
    assert!(say(30.0, 12.0, 40.0).contains("barley is the richer"));
    assert!(say(12.0, 12.0, 12.0).starts_with("both feeds hold 12 % crude protein"));
    assert!(say(f64::NAN, 12.0, 12.0).contains("of barley is NaN: write a figure from 0 to 100 %"));
    assert!(say(12.0, 30.0, 101.0).contains("of the need is 101"));
}

#[test]
fn what_a_mix_holds_is_weighed_by_dry_matter() {
    let silage = feed(
        "silage",
        FeedKind::Silage,
        &[(Nutrient::DryMatter, 35.0), (Nutrient::Protein, 16.0), (Nutrient::Copper, 6.0)],
    );
    let straw = feed("straw", FeedKind::Straw, &[(Nutrient::DryMatter, 85.0), (Nutrient::Protein, 4.0)]);
    let h = holds([(&silage, 2.0), (&straw, 1.0)]);
    // 0.70 and 0.85 kg of dry matter: (11.2 + 3.4)/1.55 %.
    assert!((h.dry_kg.unwrap() - 1.55).abs() < 1e-12);
    assert!((h.get(Nutrient::Protein, Base::DryMatter).unwrap() - 14.6 / 1.55).abs() < 1e-12);
    assert!((h.get(Nutrient::Protein, Base::AsFed).unwrap() - 14.6 / 3.0).abs() < 1e-12);
    assert!((h.get(Nutrient::DryMatter, Base::AsFed).unwrap() - 155.0 / 3.0).abs() < 1e-12);
    assert_eq!(
        (h.get(Nutrient::Copper, Base::DryMatter), h.unknown(Nutrient::Copper)),
        (None, &["straw".to_string()][..])
    );
    assert_eq!(h.analysis().get(Nutrient::Protein), Some(9.419));
    assert_eq!(h.analysis().get(Nutrient::Copper), None);
    assert!(
        holds([(&silage, 1.0), (&straw, 0.0)]).unknown(Nutrient::Copper).is_empty(),
        "nothing of it is nothing"
    );
    let dry_unknown = feed("x", FeedKind::Other, &[(Nutrient::Protein, 10.0)]);
    assert_eq!(holds([(&dry_unknown, 1.0)]).get(Nutrient::Protein, Base::DryMatter), None);
    assert_eq!(holds([]).kg, 0.0);
}

#[test]
fn a_mix_of_mixes_is_opened_up() {
    let parts = |k: char| match k {
        'M' => vec![('N', 0.5), ('b', 0.5)],
        'N' => vec![('b', 0.6), ('s', 0.4)],
        'O' => vec![('O', 1.0)],
        _ => vec![],
    };
    let all = open('M', &parts).unwrap();
    assert_eq!(all.iter().map(|(k, _)| *k).collect::<String>(), "bs");
    assert!((all[0].1 - 0.8).abs() < 1e-12 && (all[1].1 - 0.2).abs() < 1e-12);
    assert_eq!(open('b', &parts), Ok(vec![('b', 1.0)]));
    assert_eq!(open('O', &parts), Err(Circle('O')));
}

/// Barley, beans and hay at prices.
fn ask(demands: Vec<Demand>) -> Ask {
    let choices = vec![
        Choice::free(known("barley").priced(0.20)),
        Choice::free(known("field beans").priced(0.30)),
        Choice::free(known("soya").priced(0.55)),
    ];
    Ask { choices, demands, total_kg: 100.0 }
}

#[test]
fn the_cheapest_mix_tells_what_binds_and_what_stays_out() {
    let b = blend(&ask(vec![least(Nutrient::Protein, Base::AsFed, 16.0)])).unwrap();
    let total: f64 = b.parts.iter().map(|p| p.share).sum();
    assert!((total - 1.0).abs() < 1e-7);
    // Barley 10.912, beans 26.224, soya 48.772 % as fed. A point of protein costs 0.10/15.312 through beans and
    // 0.35/37.86 through soya: beans come in, soya stays out.
    let want = (16.0 - 10.912) / (26.224 - 10.912);
    assert!((b.parts[1].share - want).abs() < 1e-6, "{:?}", b.parts);
    assert_eq!(b.parts[2].share, 0.0);
    assert!(b.demands[0].binds && (b.demands[0].shadow - 0.10 / 15.312).abs() < 1e-7);
    assert!((b.demands[0].step_saves.unwrap() - 0.10 / 15.312).abs() < 1e-7);
    // It would come in where a point of its protein costs no more: 0.20 + 37.86·0.10/15.312.
    let out = b.parts[2].left_out.unwrap();
    assert!((out.comes_in_at.unwrap() - (0.20 + 37.86 * 0.10 / 15.312)).abs() < 1e-6);
    assert_eq!(b.parts[0].left_out, None);
    assert!((b.cost - 100.0 * b.cost_a_kg).abs() < 1e-9);
    assert!((b.holds.get(Nutrient::Protein, Base::AsFed).unwrap() - 16.0).abs() < 1e-5);
    // A demand that is met anyway costs nothing.
    let easy = blend(&ask(vec![least(Nutrient::Protein, Base::AsFed, 5.0)])).unwrap();
    assert_eq!(
        (easy.demands[0].binds, easy.demands[0].shadow, easy.demands[0].step_saves),
        (false, 0.0, None)
    );
    assert_eq!(easy.used().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["Barley"]);
}

#[test]
fn shares_bind_as_demands_do() {
    let mut a = ask(vec![least(Nutrient::Protein, Base::AsFed, 16.0)]);
    a.choices[1].most = 0.2;
    let b = blend(&a).unwrap();
    assert_eq!(b.parts[1].limited, Some(super::blend::Limited::Most));
    assert!((b.parts[1].share - 0.2).abs() < 1e-7 && b.parts[2].share > 0.0 && b.parts[1].limit_costs > 0.0);
    // One point more of beans saves what it says, reckoned anew.
    let mut wider = a.clone();
    wider.choices[1].most = 0.21;
    let saved = b.cost_a_kg - blend(&wider).unwrap().cost_a_kg;
    assert!((saved - b.parts[1].limit_costs).abs() < 1e-8, "{saved} {}", b.parts[1].limit_costs);
    a.choices[2].least = 0.1;
    a.choices[2].most = 0.1;
    let fixed = blend(&a).unwrap();
    assert!((fixed.parts[2].share - 0.1).abs() < 1e-9);
    assert_eq!(fixed.parts[2].limited, Some(super::blend::Limited::Fixed));
}

#[test]
fn bases_and_ratios_are_held() {
    let mut a = ask(vec![
        least(Nutrient::Protein, Base::DryMatter, 18.0),
        most(Nutrient::Phosphorus, Base::DryMatter, 6.0),
        Demand::Ratio { over: Nutrient::Calcium, under: Nutrient::Phosphorus, least: 2.0 },
    ]);
    a.choices.push(Choice::free(known("chalk").priced(0.1)));
    let b = blend(&a).unwrap();
    assert!((b.holds.get(Nutrient::Protein, Base::DryMatter).unwrap() - 18.0).abs() < 1e-4);
    assert!(b.holds.calcium_to_phosphorus().unwrap() > 2.0 - 1e-4);
    for m in &b.demands {
        assert!(
            m.demand.met_by(m.reached)
                && m.demand.reached(&b.holds).is_some_and(|x| (x - m.reached).abs() < 1e-4)
        );
    }
}

#[test]
fn what_is_not_known_or_cannot_be_is_refused_by_name() {
    let say = |a: &Ask| blend(a).unwrap_err().to_string();
    let protein = || least(Nutrient::Protein, Base::AsFed, 16.0);
    assert!(say(&Ask { choices: vec![], demands: vec![], total_kg: 1.0 }).starts_with("there is no feed"));
    let mut a = ask(vec![protein()]);
    a.choices[0].feed.price = None;
    assert_eq!(say(&a), "no price is known of Barley: write what a kg costs, or leave it out");
    let mut a = ask(vec![most(Nutrient::Molybdenum, Base::DryMatter, 3.0)]);
    a.choices.truncate(1);
    assert!(say(&a).starts_with("not known: molybdenum of Barley; write it from the label"));
    a.choices.push(Choice { most: 0.0, ..Choice::free(feed("x", FeedKind::Other, &[]).priced(1.0)) });
    assert!(!say(&a).contains("of x"), "a feed that cannot come in needs no figure");
    let mut a = ask(vec![protein()]);
    a.choices[1].least = 0.6;
    a.choices[2].least = 0.6;
    assert!(say(&a).starts_with("the least shares add up to 120 %"));
    a.choices[2].least = 0.7;
    a.choices[2].most = 0.5;
    assert!(say(&a).contains("Soya bean meal cannot have a share from 70 to 50 %"));
    let mut a = ask(vec![protein()]);
    a.choices.iter_mut().for_each(|c| c.most = 0.3);
    assert!(say(&a).starts_with("the highest shares add up to 90 %"));
    let mut a = ask(vec![protein()]);
    a.total_kg = 0.0;
    assert!(say(&a).contains("0 kg cannot be mixed"));
    let mut a = ask(vec![least(Nutrient::Protein, Base::AsFed, 160.0)]);
    assert!(say(&a).contains("cannot be asked: write a figure from 0 to 100"));
    a = ask(vec![]);
    a.choices[0].feed.price = Some(-1.0);
    assert!(say(&a).contains("the price of Barley is -1"));
}

#[test]
fn an_impossible_demand_is_told_with_the_best_there_is() {
    let Err(NoBlend::Cannot(why)) = blend(&ask(vec![least(Nutrient::Protein, Base::AsFed, 60.0)])) else {
        panic!("it cannot be");
    };
    assert_eq!(why.alone.len(), 1);
    assert!((why.alone[0].best - 48.772).abs() < 1e-3, "all of it soya");
    assert!((why.nearest[2] - 1.0).abs() < 1e-6);
    let said = why.to_string();
    assert!(said.starts_with("at least 60 % crude protein as fed cannot be met by these feeds within their shares: the most they reach is 48.77 %"), "{said}");
    // Of dry matter, with a limit on soya: half soya, half beans, weighed by dry matter.
    let mut a = ask(vec![least(Nutrient::Protein, Base::DryMatter, 50.0)]);
    a.choices[2].most = 0.5;
    let Err(NoBlend::Cannot(why)) = blend(&a) else { panic!("it cannot be") };
    let (soya, beans) = (known("soya"), known("field beans"));
    let best = holds([(&soya, 0.5), (&beans, 0.5)]).get(Nutrient::Protein, Base::DryMatter).unwrap();
    assert!((why.alone[0].best - best).abs() < 1e-9, "{} {best}", why.alone[0].best);
    // The least there is.
    let Err(NoBlend::Cannot(why)) = blend(&ask(vec![most(Nutrient::Protein, Base::AsFed, 5.0)])) else {
        panic!()
    };
    assert!(why.to_string().contains("the least they reach is 10.91 %"), "{why}");
}

#[test]
fn demands_that_quarrel_are_named() {
    let a = ask(vec![
        least(Nutrient::Protein, Base::AsFed, 30.0),
        most(Nutrient::Copper, Base::DryMatter, 8.0),
        least(Nutrient::DryMatter, Base::AsFed, 80.0),
    ]);
    let Err(NoBlend::Cannot(why)) = blend(&a) else { panic!("they quarrel") };
    assert!(why.alone.is_empty());
    assert_eq!(why.quarrel, [(a.demands[0], a.demands[1])]);
    assert!(!why.short.is_empty());
    let said = why.to_string();
    assert!(
        said.starts_with(
            "at least 30 % crude protein as fed and at most 8 mg/kg copper of dry matter cannot both be met"
        ),
        "{said}"
    );
    assert!(said.contains("the nearest mix reaches"), "{said}");
}

#[test]
fn three_that_only_together_cannot_be_are_told_so() {
    let of = |name: &str, p: f64, e: f64, c: f64| {
        let figures = [
            (Nutrient::DryMatter, 100.0),
            (Nutrient::Protein, p),
            (Nutrient::Energy, e),
            (Nutrient::Calcium, c),
        ];
        Choice::free(feed(name, FeedKind::Grain, &figures).priced(1.0))
    };
    let a = Ask {
        choices: vec![of("a", 10.0, 0.0, 0.0), of("b", 0.0, 10.0, 0.0), of("c", 0.0, 0.0, 10.0)],
        demands: [Nutrient::Protein, Nutrient::Energy, Nutrient::Calcium]
            .map(|w| least(w, Base::AsFed, 4.0))
            .to_vec(),
        total_kg: 10.0,
    };
    let Err(NoBlend::Cannot(why)) = blend(&a) else { panic!("they cannot be") };
    assert!(why.alone.is_empty() && why.quarrel.is_empty());
    assert!(why.to_string().starts_with("each two of the demands can be met, but not all of them together"));
}

#[test]
fn a_mix_is_rounded_to_whole_bags() {
    let a = ask(vec![least(Nutrient::Protein, Base::AsFed, 16.0)]);
    let b = blend(&a).unwrap();
    // 66.8 and 33.2 kg: bags of 25 kg go three and one or two; only with two is the protein reached.
    let r = whole_units(&a, &b, &[Some(25.0), Some(25.0), Some(25.0)]);
    assert_eq!(
        r.parts.iter().map(|p| (p.name.as_str(), p.units)).collect::<Vec<_>>(),
        [("Barley", Some(2)), ("Field beans", Some(2))]
    );
    assert!(r.short.is_empty() && r.kg == 100.0);
    assert!((r.cost - (50.0 * 0.20 + 50.0 * 0.30)).abs() < 1e-9);
    assert!(r.holds.get(Nutrient::Protein, Base::AsFed).unwrap() > 16.0);
    // Scoops of a kilogram: the beans are rounded up, for rounding down misses the demand.
    let r = whole_units(&a, &b, &[Some(1.0), Some(1.0), None]);
    assert_eq!(r.parts.iter().map(|p| p.units).collect::<Vec<_>>(), [Some(66), Some(34)]);
    assert!(r.short.is_empty());
    // A bag far above the whole mix: what is missed is told.
    let r = whole_units(&a, &b, &[Some(60.0), Some(500.0), None]);
    assert_eq!(r.parts.len(), 1);
    assert_eq!(r.short.len(), 1);
    assert!((r.short[0].reached - 10.912).abs() < 1e-6);
    let by_weight = whole_units(&a, &b, &[]);
    assert!((by_weight.kg - 100.0).abs() < 1e-5 && by_weight.parts.iter().all(|p| p.units.is_none()));
    let mut capped = a.clone();
    capped.choices[1].most = 0.3;
    assert_eq!(whole_units(&capped, &b, &[Some(25.0), Some(25.0), None]).outside, ["Field beans"]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// With two feeds and one demand on the richer the cheapest mix is the square, on either base.
    #[test]
    fn two_feeds_by_least_cost_are_the_square(
        low in 1.0f64..40.0, more in 0.5f64..50.0, at in 0.02f64..0.98, dry in 20.0f64..95.0, other in 20.0f64..95.0,
        cheap in 0.01f64..1.0, dearer in 0.01f64..2.0, on_dry in any::<bool>(),
    ) {
        let base = if on_dry { Base::DryMatter } else { Base::AsFed };
        let of = |name: &str, p: f64, d: f64| feed(name, FeedKind::Grain, &[(Nutrient::DryMatter, d), (Nutrient::Protein, p)]);
        let (a, b) = (of("a", low, dry), of("b", low + more, other));
        let figure = |f: &Ingredient| f.analysis.on(Nutrient::Protein, base).unwrap();
        // As fed the richer of dry matter may be the poorer.
        let (poor, rich) = if figure(&a) < figure(&b) { (a, b) } else { (b, a) };
        prop_assume!(figure(&rich) - figure(&poor) > 0.1);
        let need = figure(&poor) + at * (figure(&rich) - figure(&poor));
        let side = |f: &Ingredient| Side { name: f.name.clone(), figure: figure(f), dry_matter: f.analysis.get(Nutrient::DryMatter) };
        let s = square(Nutrient::Protein, base, [side(&poor), side(&rich)], need).unwrap();
        let fed = s.as_fed().unwrap();
        let (cost_poor, cost_rich) = (cheap, cheap + dearer);
        let ask = Ask {
            choices: vec![Choice::free(poor.priced(cost_poor)), Choice::free(rich.priced(cost_rich))],
            demands: vec![least(Nutrient::Protein, base, need)],
            total_kg: 1.0,
        };
        let b = blend(&ask).unwrap();
        prop_assert!((b.parts[0].share - fed[0]).abs() < 1e-5, "{} {}", b.parts[0].share, fed[0]);
        prop_assert!((b.parts[1].share - fed[1]).abs() < 1e-5);
        prop_assert!((b.cost_a_kg - (cost_poor * fed[0] + cost_rich * fed[1])).abs() < 1e-5);
        prop_assert!(b.demands[0].binds);
    }

    /// Whatever is asked of whatever feeds: an answer that meets it, or a reason; never a stop, never an answer unproved.
    #[test]
    fn any_asking_is_answered(
        feeds in prop::collection::vec((5.0f64..100.0, prop::collection::vec(0.0f64..60.0, 4), 0.0f64..3.0, 0.0f64..0.3, 0.2f64..1.0), 1..12),
        demands in prop::collection::vec((0usize..4, any::<bool>(), any::<bool>(), 0.0f64..50.0), 0..7),
    ) {
        let whats = [Nutrient::Protein, Nutrient::Calcium, Nutrient::Phosphorus, Nutrient::Copper];
        let choices = feeds.iter().enumerate().map(|(i, (dry, figures, price, low, high))| {
            let mut all: Vec<_> = whats.iter().copied().zip(figures.iter().copied()).collect();
            all.push((Nutrient::DryMatter, *dry));
            Choice { feed: feed(&format!("f{i}"), FeedKind::Grain, &all).priced(*price), least: *low / 4.0, most: high.max(*low) }
        }).collect();
        let demands = demands.iter().map(|(w, dry, up, figure)| {
            let base = if *dry { Base::DryMatter } else { Base::AsFed };
            if *up { least(whats[*w], base, *figure) } else { most(whats[*w], base, *figure) }
        }).collect();
        let ask = Ask { choices, demands, total_kg: 50.0 };
        match blend(&ask) {
            Ok(b) => {
                prop_assert!((b.parts.iter().map(|p| p.share).sum::<f64>() - 1.0).abs() < 1e-5);
                for (p, c) in b.parts.iter().zip(&ask.choices) {
                    prop_assert!(p.share >= c.least - 1e-6 && p.share <= c.most + 1e-6);
                }
                for m in &b.demands {
                    let off = (m.reached - m.demand.figure()).abs();
                    prop_assert!(m.demand.met_by(m.reached) || off < 1e-4 * (1.0 + m.demand.figure()), "{m:?}");
                }
            }
            Err(NoBlend::Cannot(why)) => prop_assert!(!why.alone.is_empty() || !why.short.is_empty(), "{why:?}"),
            Err(NoBlend::LeastTooMuch { .. } | NoBlend::MostTooLittle { .. }) => {}
            Err(e) => return Err(TestCaseError::fail(format!("{e:?}"))),
        }
    }
}
