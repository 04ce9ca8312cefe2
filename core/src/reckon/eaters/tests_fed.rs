//! What groups are given: in measures, beside their needs, by the trade's rule.

use super::*;
use crate::flock::{Feed, FeedRoom, Holding, Measure, Ration};
use crate::papers::fixture::{animal, day, lambs};
use crate::phrase;
use crate::reckon::ration::{Caution, FeedRules};
use crate::terms::*;

fn feed(name: &str, kind: FeedKind, like: &str) -> Feed {
    let like = crate::handbook::feeds::all().iter().find(|k| k.key == like).map(|k| k.key.to_string());
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind,
        like,
        own: Analysis::default(),
        made_for: MadeFor::Plain,
        bag: Mass::from_kg(25.0),
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

fn protein(mut f: Feed, dry: f64, protein: f64) -> Feed {
    f.own = f.own.with(Nutrient::DryMatter, dry).unwrap().with(Nutrient::Protein, protein).unwrap();
    f
}

fn measure(feed: FeedId, name: &str, on: &str, grams: &[u64]) -> Measure {
    let weighed = grams.iter().filter_map(|g| Mass::from_grams(*g)).collect();
    Measure { id: MeasureId::new(), feed, name: name.into(), on: day(on), weighed, struck: None }
}

fn line(eaters: Eaters, pen: Option<&str>, feed: FeedId, from: &str, grams: u64) -> Ration {
    Ration {
        id: RationId::new(),
        eaters,
        pen: pen.map(str::to_string),
        feed,
        from: day(from),
        each: Mass::from_grams(grams).unwrap(),
        measure: None,
        note: None,
        struck: None,
    }
}

/// Three ewes of 70 kg nursing twins in two pens.
fn shed() -> Flock {
    let mut flock = Flock::default();
    for n in 0..3 {
        let mut ewe = animal(&format!("e{n}"), "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2021-03-01"));
        ewe.animal.pen = Some(if n == 2 { "Bank" } else { "Barn" }.into());
        ewe.weighings.push(crate::flock::Weighing {
            id: WeighingId::new(),
            animal: ewe.animal.id,
            at: Moment::day(day("2026-03-20")),
            weight: Weight::from_grams(70_000).unwrap(),
            session: None,
            note: None,
            struck: None,
        });
        let (a, b) = (format!("a{n}"), format!("b{n}"));
        let two = [(a.as_str(), Sex::Ewe, 4_000), (b.as_str(), Sex::Ram, 4_000)];
        for lamb in lambs(&mut ewe, None, Moment::day(day("2026-04-01")), &two) {
            flock.put(lamb);
        }
        flock.put(ewe);
    }
    flock.set_holding(Holding { flock: "Thornfell".into(), ..Holding::default() });
    flock
}

#[test]
fn amounts_in_the_measures_of_the_barn() {
    let (hay, mut grain) = (feed("Hay", FeedKind::Hay, ""), feed("Barley", FeedKind::Grain, ""));
    grain.bag = Mass::from_kg(20.0);
    let (old, new) = (
        measure(hay.id, "flake", "2026-01-01", &[1_000]),
        measure(hay.id, "Flake", "2026-04-01", &[1_400, 1_600]),
    );
    let box_ = measure(grain.id, "box", "2026-01-01", &[500]);
    let (old_id, box_id, hay_id, grain_id) = (old.id, box_.id, hay.id, grain.id);
    let room =
        FeedRoom { measures: vec![old, new, box_], feeds: vec![hay, grain.clone()], ..FeedRoom::default() };
    let kg = |kg: f64| Mass::from_kg(kg).unwrap();
    let on = |d: &str| day(d);
    // What a flake weighs is what it weighed last.
    assert_eq!(in_measure(&room, kg(3.0), old_id, on("2026-03-01")).as_deref(), Some("3 flakes"));
    assert_eq!(in_measure(&room, kg(3.0), old_id, on("2026-04-01")).as_deref(), Some("2 Flakes"));
    assert_eq!(in_measure(&room, kg(0.1), old_id, on("2026-04-01")), None);
    let a_day = on("2026-02-01");
    assert_eq!(carried(&room, hay_id, kg(1.6), None, a_day, Units::Metric), "1.5 flakes, 1.6 kg");
    assert_eq!(carried(&room, grain_id, kg(0.6), Some(box_id), a_day, Units::Metric), "1.25 boxes, 600 g");
    assert_eq!(a_head(&room, kg(0.5), Some(box_id), a_day, Units::Metric), "1 box (500 g)");
    assert_eq!(a_head(&room, kg(0.5), None, a_day, Units::Metric), "500 g");
    assert_eq!(carried(&room, FeedId::new(), kg(2.0), None, a_day, Units::Metric), "2 kg");
    assert_eq!(in_bags(&grain, kg(45.0)).as_deref(), Some("2.25 bags"));
    grain.kind = FeedKind::Hay;
    assert_eq!(in_bags(&grain, kg(20.0)).as_deref(), Some("1 bale"));
}

#[test]
fn those_given_the_same_stand_together_beside_their_needs() {
    let mut flock = shed();
    let (hay, barley) = (
        protein(feed("Hay", FeedKind::Hay, ""), 88.0, 10.0),
        protein(feed("Barley", FeedKind::Grain, ""), 88.0, 12.0),
    );
    let two = Eaters::NursingTwo;
    let room = FeedRoom {
        rations: vec![
            line(two, None, hay.id, "2026-03-01", 2_000),
            line(two, Some("Bank"), barley.id, "2026-04-12", 900),
        ],
        feeds: vec![barley, hay],
        ..FeedRoom::default()
    };
    flock.set_feedroom(room);
    let heads = Heads::on(&flock, day("2026-04-15"));
    let all = diets(&flock, &heads, 2);
    let told: Vec<(String, u32, usize)> =
        all.iter().map(|d| (d.title(false), d.heads, d.portions.len())).collect();
    assert_eq!(
        told,
        [(phrase!("ewes nursing two in Bank"), 1, 2), (phrase!("ewes nursing two in Barn"), 2, 1)]
    );
    let bank = &all[0];
    assert_eq!(bank.weight, Some((70.0, 1)));
    assert_eq!((bank.balance.needs.asked.days, bank.balance.needs.asked.weight_kg), (Some(14), Some(70.0)));
    // 2 kg of hay of 88 % dry matter and 10 % protein of it, and 0.9 kg of barley of 88 and 12 %.
    let got = bank.balance.line(Nutrient::Protein).and_then(|l| l.given).unwrap();
    assert!((got - (2.0 * 0.88 * 100.0 + 0.9 * 0.88 * 120.0)).abs() < 1e-9, "{got}");
    let sudden = |d: &GroupDiet| d.cautions.iter().any(|c| matches!(c, Caution::SuddenChange(..)));
    assert!(sudden(bank), "0.9 kg of barley at once: {:?}", bank.cautions);
    assert!(!sudden(&all[1]));
    for d in &all {
        assert!(d.cautions.contains(&Caution::CopperAlways), "{:?}", d.cautions);
    }
    // Three weeks on, the change is over.
    let later = diets(&flock, &Heads::on(&flock, day("2026-05-03")), 2);
    assert!(!later.iter().any(sudden));
}

#[test]
fn the_trades_rule_is_proposed_once_hay_and_grain_are_known() {
    let mut flock = shed();
    let heads = Heads::on(&flock, day("2026-04-15"));
    assert!(trade_rule(&flock, &heads).unwrap_err().starts_with("no flake of hay is weighed out"));
    let hay = feed("Hay", FeedKind::Hay, "");
    let flake = measure(hay.id, "flake", "2026-03-01", &[1_500]);
    let rich = protein(feed("Lamb nuts", FeedKind::Compound, ""), 88.0, 20.5);
    let mut room = FeedRoom { measures: vec![flake], feeds: vec![hay, rich], ..FeedRoom::default() };
    flock.set_feedroom(room.clone());
    assert!(trade_rule(&flock, &heads).unwrap_err().starts_with("no grain or mix of about 12 %"));
    room.feeds.push(protein(feed("Ewe mix", FeedKind::Compound, ""), 88.0, 13.6));
    flock.set_feedroom(room.clone());
    let lines = trade_rule(&flock, &heads).unwrap();
    let told: Vec<(Eaters, &str, u64)> =
        lines.iter().map(|l| (l.eaters, l.feed.as_str(), l.each.grams())).collect();
    assert_eq!(told, [(Eaters::NursingTwo, "Hay", 1_500), (Eaters::NursingTwo, "Ewe mix", 900)]);
    assert!(crate::entry::rations(lines, &flock).is_ok());
    room.rations.push(line(Eaters::NursingTwo, None, room.feeds[0].id, "2026-04-01", 1_500));
    flock.set_feedroom(room);
    assert_eq!(trade_rule(&flock, &heads), Ok(Vec::new()), "they have a ration");
    let none = Heads::on(&Flock::default(), day("2026-04-15"));
    assert_eq!(trade_rule(&Flock::default(), &none), Ok(Vec::new()), "nobody nurses");
}

#[test]
fn a_target_is_written_into_the_keepers_rules_and_all_else_stays() {
    let own = "# mine\n[[limit]]\nkey = \"copper_warn\"\nvalue = 8\n";
    let one = with_target(own, Eaters::Rams, &[(Nutrient::Protein, 150.0), (Nutrient::DryMatter, 2.1)]);
    let both = with_target(&one, Eaters::CreepLambs, &[(Nutrient::Protein, 60.0)]);
    let mended = with_target(&both, Eaters::Rams, &[(Nutrient::Protein, 170.0)]);
    let rules = FeedRules::parse(&mended).unwrap();
    assert_eq!(rules.target(Eaters::Rams).unwrap().figures, [(Nutrient::Protein, 170.0)]);
    assert_eq!(rules.target(Eaters::CreepLambs).unwrap().figures, [(Nutrient::Protein, 60.0)]);
    assert_eq!(rules.targets.len(), 2);
    assert!(mended.starts_with("# mine\n[[limit]]"), "{mended}");
    let gone = with_target(&with_target(&mended, Eaters::Rams, &[]), Eaters::CreepLambs, &[]);
    assert_eq!(gone, own.trim_end());
    assert_eq!(with_target("", Eaters::Rams, &[]), "");
}
