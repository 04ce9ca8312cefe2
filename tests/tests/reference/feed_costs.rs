//! Costs of feed by hand: what weaned lambs ate in a month, what it cost, what they gained.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, FeedDraft, FeedMoveDraft, PenMoveDraft, RationDraft, WeighingDraft};
use hirsel_core::reckon::feed_costs::{FeedCosts, Row, Who, feed_costs};
use hirsel_core::terms::{
    Analysis, AnimalId, Eaters, FeedChange, FeedKind, MadeFor, Mass, Moment, Nutrient, Price, Sex, Weight,
};
use hirsel_tests::flocks::{self, Folder, day, write};

const TODAY: &str = "2026-05-10";

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

/// One ewe, and four lambs without a ewe, weaned long since, in Croft; nuts at 160.00 for 500 kg, 1.05 kg a head from 20
/// March; weighed 20 kg on 1 April and 29 kg on 1 May.
fn book(folder: &Folder) -> Book {
    let today = day(TODAY);
    let mut book = flocks::empty_book(folder);
    flocks::add(&mut book, "E1", Sex::Ewe, "2021-03-01", today);
    let lambs: Vec<AnimalId> =
        (1..=4).map(|i| flocks::add(&mut book, &format!("L{i}"), Sex::Ewe, "2026-01-01", today)).collect();
    let pen = PenMoveDraft { animals: lambs.clone(), on: day("2026-03-15"), pen: Some("Croft".into()) };
    let check = entry::pen_move(pen, &book.flock(), today);
    write(&mut book, check);
    for (on, grams) in [("2026-04-01", 20_000), ("2026-05-01", 29_000)] {
        let weight = Weight::from_grams(grams).expect("a weight");
        let at = Moment::day(day(on));
        let all = lambs.iter().map(|l| WeighingDraft { animal: *l, at, weight, note: None }).collect();
        let check = entry::weighings(all, &book.flock(), today);
        write(&mut book, check);
    }
    let mut nuts = FeedDraft::called("Lamb nuts", FeedKind::Compound);
    nuts.made_for = MadeFor::Sheep;
    nuts.own = Analysis::default().with(Nutrient::DryMatter, 88.0).expect("a figure");
    let check = entry::feeds(vec![nuts], &book.flock());
    write(&mut book, check);
    let mut came = FeedMoveDraft::of("Lamb nuts", day("2026-03-18"), FeedChange::Delivered);
    came.amount = Some(kg(500.0));
    came.price = Some(Price::from_cents(16_000));
    let check = entry::feed_moves(vec![came], &book.flock(), today);
    write(&mut book, check);
    let ration = RationDraft {
        eaters: Eaters::WeanedLambs,
        pen: None,
        feed: "Lamb nuts".into(),
        from: day("2026-03-20"),
        each: kg(1.05),
        measure: None,
        note: None,
    };
    let check = entry::rations(vec![ration], &book.flock());
    write(&mut book, check);
    book
}

fn april(book: &Book) -> FeedCosts {
    feed_costs(&book.flock(), day("2026-04-01"), day("2026-04-30"))
}

fn row<'a>(costs: &'a FeedCosts, who: &Who) -> &'a Row {
    costs.rows.iter().find(|r| r.who == *who && r.feed.is_some()).expect("a line")
}

fn near(value: Option<f64>, hand: f64) -> bool {
    value.is_some_and(|v| (v - hand).abs() < 1e-6)
}

/// 4 × 1.05 × 30 = 126 kg at 0.32 = 40.32; 4 × 9 = 36 kg gained. Feed cost per kg gain = feed kg × price / gain
/// (husbandry reference, section 9): 126 × 0.32 / 36 = 1.12. 126 / 36 = 3.5 kg as fed, × 0.88 = 3.08 of dry matter. The
/// published range is 3 to 4 kg of feed for a kg of gain.
#[test]
fn a_month_of_weaned_lambs_by_hand() {
    let folder = Folder::new();
    let book = book(&folder);
    let costs = april(&book);
    for who in [Who::Group(Some(Eaters::WeanedLambs)), Who::Lambs("Croft".into(), Eaters::WeanedLambs)] {
        let r = row(&costs, &who);
        assert!((r.kg - 126.0).abs() < 1e-9, "{}", r.kg);
        assert!(near(r.cost(), 4032.0) && near(r.per_head(), 1008.0), "{r:?}");
        assert!(near(r.per_kg_gain(), 112.0) && near(r.conversion(), 3.5), "{r:?}");
        assert!(near(r.conversion_dry(), 3.08) && near(r.heads(), 4.0), "{r:?}");
        assert_eq!(
            (r.gained.lambs, r.gained.of, r.gained.weighed_days, r.gained.lamb_days),
            (4, 4, 120, 120)
        );
    }
    assert_eq!(row(&costs, &Who::Pen("Croft".into())).conversion(), None, "a pen may hold ewes");
    assert!(near(costs.per_ewe(), 4032.0), "one ewe: {:?}", costs.per_ewe());
    assert_eq!(costs.per_lamb(), None, "no lamb was weaned in April");
    let facts = costs.facts(&book.flock());
    let lamb = facts.iter().find(|f| f.0 == "For each lamb reared").expect("a fact");
    assert_eq!(lamb.1, "–: no lamb was weaned in these days");
}

/// A fifth lamb that was never weighed eats as well; the gain of the four stands for it, and both numbers are told.
#[test]
fn a_lamb_without_weights_gains_like_the_others() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let today = day(TODAY);
    let l5 = flocks::add(&mut book, "L5", Sex::Ewe, "2026-01-01", today);
    let pen = PenMoveDraft { animals: vec![l5], on: day("2026-03-15"), pen: Some("Croft".into()) };
    let check = entry::pen_move(pen, &book.flock(), today);
    write(&mut book, check);
    let costs = april(&book);
    let r = row(&costs, &Who::Group(Some(Eaters::WeanedLambs)));
    assert!(
        (r.kg - 157.5).abs() < 1e-9 && near(r.gained.all_kg(), 45.0) && near(r.conversion(), 3.5),
        "{r:?}"
    );
    let words = r.words(&book.flock());
    assert!(words.contains("5 lambs, 4 of them with weights; 80 of 100 of their days"), "{words}");
}

/// Without a price of any of it there is no cost, and it is said of which feed.
#[test]
fn feed_without_a_price_has_no_cost() {
    let folder = Folder::new();
    let mut book = book(&folder);
    let hay = FeedDraft::called("Hay", FeedKind::Hay);
    let check = entry::feeds(vec![hay], &book.flock());
    write(&mut book, check);
    let ration = RationDraft {
        eaters: Eaters::DryEwes,
        pen: None,
        feed: "Hay".into(),
        from: day("2026-03-20"),
        each: kg(1.5),
        measure: None,
        note: None,
    };
    let check = entry::rations(vec![ration], &book.flock());
    write(&mut book, check);
    let costs = april(&book);
    let all = costs.all().expect("feed was eaten");
    assert!((all.kg - 171.0).abs() < 1e-9 && (all.unpriced_kg - 45.0).abs() < 1e-9, "{all:?}");
    assert_eq!((all.cost(), costs.per_ewe()), (None, None));
    assert!(costs.cautions(&book.flock())[0].starts_with("No price is known of Hay"));
}
