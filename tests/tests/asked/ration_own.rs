//! The keeper's own feeds as the reckoning sees them: sheet, label, parts, handbook; whom they are made for; prices; rules.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, FeedDraft, FeedSheetDraft};
use hirsel_core::reckon::ration::{
    Caution, FeedRules, Limit, analysis, ingredient, ingredients, of_mix, opened, source,
};
use hirsel_core::terms::{Analysis, Base, Eaters, FeedKind, MadeFor, Mass, Nutrient, Price};
use hirsel_tests::asked::refuses;
use hirsel_tests::flocks::{Folder, day, joined_book, write};

fn today() -> hirsel_core::terms::Day {
    day("2026-04-10")
}

fn of(figures: &[(Nutrient, f64)]) -> Analysis {
    figures.iter().fold(Analysis::default(), |a, (what, x)| a.with(*what, *x).expect("a figure"))
}

fn plain(name: &str, kind: FeedKind, like: &str, kg_cents: u32) -> FeedDraft {
    let mut draft = FeedDraft::called(name, kind);
    draft.like = Some(like.into());
    draft.made_for = MadeFor::Plain;
    draft.bag = Mass::from_kg(20.0);
    draft.price = Some(Price::from_cents(kg_cents * 20));
    draft
}

/// Barley with a label, beans, chalk; a mix of the first two, and a mix of that mix and chalk.
fn book(folder: &Folder) -> Book {
    let (mut book, _) = joined_book(folder);
    let mut barley = plain("Home barley", FeedKind::Grain, "barley", 20);
    barley.own = of(&[(Nutrient::Protein, 11.0)]);
    let beans = plain("Beans", FeedKind::Protein, "field beans", 30);
    let chalk = plain("Chalk", FeedKind::Mineral, "chalk", 10);
    let mut base = FeedDraft::called("Base mix", FeedKind::Mix);
    base.made_for = MadeFor::Sheep;
    base.parts = vec![("Home barley".into(), 60.0), ("Beans".into(), 40.0)];
    let check = entry::feeds(vec![barley, beans, chalk, base], &book.flock());
    write(&mut book, check);
    let mut creep = FeedDraft::called("Creep mix", FeedKind::Mix);
    creep.made_for = MadeFor::Sheep;
    creep.parts = vec![("Base mix".into(), 98.0), ("Chalk".into(), 2.0)];
    let check = entry::feeds(vec![creep], &book.flock());
    write(&mut book, check);
    book
}

#[test]
fn a_sheet_goes_before_the_label_and_that_before_the_handbook() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let flock = book.flock();
    let room = flock.feedroom();
    let barley = room.by_name("home barley").expect("barley");
    let told = |what| source(room, barley, today(), what);
    assert_eq!(analysis(room, barley, today()).get(Nutrient::Protein), Some(11.0));
    assert_eq!(told(Nutrient::Protein).as_deref(), Some("its label"));
    assert_eq!(analysis(room, barley, today()).get(Nutrient::DryMatter), Some(88.0));
    assert!(
        told(Nutrient::DryMatter).is_some_and(|t| t.starts_with("Barley of the handbook: DLG feed tables"))
    );
    assert_eq!(told(Nutrient::Selenium), None);
    let sheet = FeedSheetDraft {
        feed: "Home barley".into(),
        on: day("2026-04-05"),
        lab: None,
        number: None,
        batch: None,
        analysis: of(&[(Nutrient::DryMatter, 86.0), (Nutrient::Protein, 12.5)]),
        note: None,
    };
    let check = entry::feed_sheets(vec![sheet], &book.flock(), today());
    write(&mut book, check);
    let flock = book.flock();
    let room = flock.feedroom();
    let barley = room.by_name("home barley").expect("barley");
    assert_eq!(analysis(room, barley, today()).get(Nutrient::Protein), Some(12.5));
    assert_eq!(source(room, barley, today(), Nutrient::Protein).as_deref(), Some("sheet of 5 Apr 2026"));
    assert_eq!(
        analysis(room, barley, day("2026-04-04")).get(Nutrient::Protein),
        Some(11.0),
        "not before its day"
    );
}

#[test]
fn a_mix_of_mixes_holds_what_its_parts_hold() {
    let folder = Folder::new();
    let book = book(&folder);
    let flock = book.flock();
    let room = flock.feedroom();
    let creep = room.by_name("Creep mix").expect("the mix");
    let parts = opened(room, creep.id).expect("no circle");
    let shares: Vec<(&str, f64)> = parts.iter().map(|(id, share)| (room.name(*id), *share)).collect();
    assert_eq!(shares.iter().map(|(n, _)| *n).collect::<Vec<_>>(), ["Home barley", "Beans", "Chalk"]);
    for ((_, share), want) in shares.iter().zip([0.588, 0.392, 0.02]) {
        assert!((share - want).abs() < 1e-9, "{share}");
    }
    let made = ingredient(&flock, creep.id, today()).expect("it is there");
    // Dry matter 88, 88 and 99.7 %; protein 11, 29.8 and none of it.
    let dry = 0.588 * 88.0 + 0.392 * 88.0 + 0.02 * 99.7;
    assert!((made.analysis.get(Nutrient::DryMatter).expect("known") - dry).abs() < 1e-3);
    let protein = 0.588 * 0.88 * 11.0 + 0.392 * 0.88 * 29.8;
    assert!((made.analysis.on(Nutrient::Protein, Base::AsFed).expect("known") - protein).abs() < 1e-3);
    assert_eq!(source(room, creep, today(), Nutrient::Protein).as_deref(), Some("its parts"));
    // Nobody knows the copper of the chalk.
    assert_eq!(made.analysis.get(Nutrient::Copper), None);
    assert!(
        (made.price.expect("its parts have one") - (0.588 * 0.20 + 0.392 * 0.30 + 0.02 * 0.10)).abs() < 1e-9
    );
    let plain = ingredients(&flock, creep.id, 50.0, today());
    assert_eq!(plain.len(), 3);
    assert!((plain.iter().map(|(_, kg)| kg).sum::<f64>() - 50.0).abs() < 1e-9);
    let parts: Vec<_> = plain.iter().map(|(feed, kg)| (feed, *kg)).collect();
    let said = of_mix(&FeedRules::of(flock.holding()), &parts, Some(Eaters::CreepLambs));
    assert!(said.contains(&Caution::CopperUnknown(vec!["Chalk".into()])), "{said:?}");
    assert!(said.contains(&Caution::CopperAlways));
}

#[test]
fn a_mix_with_a_part_for_cattle_is_for_cattle() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let flock = book.flock();
    let mut beans = FeedDraft::of(flock.feedroom().by_name("Beans").expect("beans"), &flock);
    beans.made_for = MadeFor::Cattle;
    let check = entry::feeds(vec![beans], &flock);
    let sure = check.expect("not refused").despite("its label says sheep too").expect("a word is given");
    book.write(sure).expect("written");
    let flock = book.flock();
    let creep = flock.feedroom().by_name("Creep mix").expect("the mix");
    assert_eq!(ingredient(&flock, creep.id, today()).map(|i| i.made_for), Some(MadeFor::Cattle));
}

#[test]
fn rules_of_feeding_are_the_keepers_and_broken_ones_are_refused() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let mut holding = book.flock().holding().clone();
    holding.feeding = "[[limit]]\nkey = \"gold\"\nvalue = 1\n".into();
    let said = entry::holding(holding.clone(), &book.flock());
    let all: Vec<String> =
        hirsel_core::reckon::ration::Limit::ALL.iter().map(|l| l.key().to_owned()).collect();
    let words = format!("line 1: 'gold' is no bound of feeding: write {}", all.join(", "));
    refuses(said, "feeding", &words);
    holding.feeding = "[[limit]]\nkey = \"copper_warn\"\nvalue = 8\n".into();
    let check = entry::holding(holding, &book.flock());
    write(&mut book, check);
    assert_eq!(FeedRules::of(book.flock().holding()).limit(Limit::CopperWarn), 8.0);
}
