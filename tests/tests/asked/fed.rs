//! Everything the checks of the feed room refuse and question, once each, in its words and at its field; and what an
//! entry of each does to the flock.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, Amended, CreepDraft, FeedDraft, FeedMoveDraft, FeedSheetDraft, MeasureDraft, PenCheckDraft,
    PenMoveDraft, RationDraft,
};
use hirsel_core::flock::RecordRef;
use hirsel_core::terms::{
    Analysis, Base, CheckKind, Dose, Eaters, FeedChange, FeedKind, Level, MadeFor, Mass, Nutrient, Price,
    Units,
};
use hirsel_tests::asked::{asks, refuses};
use hirsel_tests::flocks::{Folder, day, joined_book, write};

fn today() -> hirsel_core::terms::Day {
    day("2026-04-10")
}

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

/// A book with barley in bags, beans, and a mix of both.
fn fed_book(folder: &Folder) -> Book {
    let (mut book, [ewe, ..]) = joined_book(folder);
    let pen = PenMoveDraft { animals: vec![ewe], on: day("2026-04-01"), pen: Some("Jug 3".into()) };
    let check = entry::pen_move(pen, &book.flock(), today());
    write(&mut book, check);
    let mut barley = FeedDraft::called("Barley", FeedKind::Grain);
    barley.made_for = MadeFor::Plain;
    barley.bag = Some(kg(25.0));
    barley.price = Some(Price::from_cents(725));
    barley.own = Analysis::default().with(Nutrient::Protein, 12.0).expect("a figure");
    let beans = FeedDraft::called("Field beans", FeedKind::Protein);
    let mut mix = FeedDraft::called("Creep mix", FeedKind::Mix);
    mix.parts = vec![("barley".into(), 66.7), ("Field beans".into(), 33.3)];
    let check = entry::feeds(vec![barley, beans, mix], &book.flock());
    write(&mut book, check);
    book
}

#[test]
fn feeds_are_written_changed_and_refused() {
    let folder = Folder::new();
    let mut book = fed_book(&folder);
    let flock = book.flock();
    let room = flock.feedroom();
    let mix = room.by_name("creep MIX").expect("the mix");
    assert_eq!(mix.parts.iter().map(|p| p.share).sum::<u32>(), hirsel_core::flock::WHOLE);
    let barley = room.by_name("Barley").expect("barley");
    assert_eq!(barley.cents_a_kg(), Some(29.0));
    let again = FeedDraft::of(barley, &flock);
    refuses(entry::feeds(vec![again.clone()], &flock), "name", "nothing is different from what is written");

    let mut renamed = again.clone();
    renamed.name = "Field beans".into();
    let words = "a feed called Field beans is there already: open that one, or write another name";
    refuses(entry::feeds(vec![renamed], &flock), "name", words);
    let mut off = FeedDraft::called("Odd mix", FeedKind::Mix);
    off.parts = vec![("Barley".into(), 50.0), ("Straw".into(), 20.0)];
    let check = entry::feeds(vec![off.clone()], &flock);
    refuses(check, "parts", "no feed is called 'Straw': write the feed first, or mend the name");
    off.parts = vec![("Barley".into(), 50.0), ("Field beans".into(), 20.0)];
    let check = entry::feeds(vec![off], &flock);
    refuses(check, "parts", "the parts of Odd mix come to 70.0 %, not to 100 %");
    let mut round = FeedDraft::of(barley, &flock);
    round.parts = vec![("Creep mix".into(), 100.0)];
    let check = entry::feeds(vec![round], &flock);
    refuses(check, "parts", "Barley would be mixed of itself: take it out of its parts");

    let copper = |mg: f64| Analysis::default().with(Nutrient::Copper, mg).expect("a figure");
    let mut meal = FeedDraft::called("Sunflower meal", FeedKind::Protein);
    meal.own = copper(34.0);
    let words = "Sunflower meal holds 34 mg of copper a kg of dry matter; sheep bear about 15 in their whole diet: ask the vet or feed analyst. Is it right as written?";
    asks(entry::feeds(vec![meal.clone()], &flock), "own", words);
    meal.own = copper(15.0);
    assert!(
        entry::feeds(vec![meal], &flock).is_ok_and(|c| c.sure().is_ok()),
        "up to the bound nothing is asked"
    );
    let sheet = FeedSheetDraft {
        feed: "Barley".into(),
        on: day("2026-04-01"),
        lab: None,
        number: None,
        batch: None,
        analysis: copper(20.5),
        note: None,
    };
    let words = "Barley holds 20.5 mg of copper a kg of dry matter; sheep bear about 15 in their whole diet: ask the vet or feed analyst. Is it right as written?";
    asks(entry::feed_sheets(vec![sheet], &flock, today()), "figures", words);

    let mut odd = FeedDraft::called("Rye", FeedKind::Grain);
    odd.like = Some("rye".into());
    let words = "the handbook has no feed 'rye': choose one of its feeds, or leave it out";
    refuses(entry::feeds(vec![odd], &flock), "like", words);
    let mut medicated = FeedDraft::called("Medicated pellets", FeedKind::Compound);
    medicated.medicine = Some(("Decoquinate".into(), Dose::Mass(100_000)));
    let check = entry::feeds(vec![medicated], &flock);
    let words =
        "the cupboard has no product 'Decoquinate': write it under Treatments first, as its label says";
    refuses(check, "medicine", words);
    let mut nuts = FeedDraft::called("Rearing nuts", FeedKind::Compound);
    nuts.made_for = MadeFor::Cattle;
    let words = "Rearing nuts is made for cattle: it may hold more copper than a sheep can bear. Is it right for sheep, by its label?";
    asks(entry::feeds(vec![nuts], &flock), "made_for", words);

    let mut dearer = again;
    dearer.price = Some(Price::from_cents(800));
    let check = entry::feeds(vec![dearer], &flock);
    write(&mut book, check);
    assert_eq!(book.flock().feedroom().by_name("barley").and_then(|f| f.price).map(Price::cents), Some(800));
    book.undo().expect("undone");
    assert_eq!(book.flock().feedroom().by_name("barley").and_then(|f| f.price).map(Price::cents), Some(725));
}

#[test]
fn what_becomes_of_feed() {
    let folder = Folder::new();
    let mut book = fed_book(&folder);
    let flock = book.flock();
    let of = |feed: &str, change| FeedMoveDraft::of(feed, day("2026-04-08"), change);
    let check = |d: FeedMoveDraft| entry::feed_moves(vec![d], &flock, today());

    refuses(check(of("", FeedChange::Delivered)), "feed", "a feed is needed");
    let words = "how much of Barley was it? Write kg, bags or a measure of it";
    refuses(check(of("Barley", FeedChange::Delivered)), "amount", words);
    let mut mixed = of("Barley", FeedChange::Mixed);
    mixed.amount = Some(kg(10.0));
    refuses(check(mixed), "feed", "Barley is no mix: write what it is mixed of first");
    refuses(check(of("Barley", FeedChange::Fed)), "pen", "in which pen was it? Write the pen");
    let mut fed = of("Creep mix", FeedChange::Fed);
    fed.pen = Some("jug 3".into());
    let words = "write how much was filled in, or how full it was before";
    refuses(check(fed.clone()), "amount", words);
    fed.amount = Some(kg(2_500.0));
    asks(check(fed.clone()), "amount", "2.5 t of Creep mix is a great deal for a small flock: is it right?");
    fed.amount = Some(kg(6.0));
    fed.best_before = Some(day("2026-04-02"));
    asks(check(fed.clone()), "best_before", "its best day was 2 Apr 2026: was it fed?");
    fed.best_before = None;
    let mut nobody = fed.clone();
    (nobody.pen, nobody.on) = (Some("Yard".into()), today());
    asks(check(nobody), "pen", "no animal is in Yard on that day: is this the right pen?");

    let mut came = of("Barley", FeedChange::Delivered);
    came.amount = Some(kg(500.0));
    let first = check(came.clone());
    write(&mut book, first);
    let flock = book.flock();
    let words = "500 kg of Barley came on 8 Apr 2026 already: is this another delivery?";
    asks(entry::feed_moves(vec![came], &flock, today()), "amount", words);
    let mut mixing = of("Creep mix", FeedChange::Mixed);
    mixing.amount = Some(kg(30.0));
    let checked = entry::feed_moves(vec![mixing, fed], &flock, today());
    write(&mut book, checked);
    let flock = book.flock();
    let room = flock.feedroom();
    let mixing = room.moves.iter().find(|m| m.change == FeedChange::Mixed).expect("mixed");
    let taken: Vec<u64> = mixing.parts.iter().map(|p| p.1.grams()).collect();
    assert_eq!(taken, [20_010, 9_990]);
    let filled = room.moves.iter().find(|m| m.change == FeedChange::Fed).expect("fed").clone();
    assert_eq!(filled.pen.as_deref(), Some("Jug 3"), "the pen as it is written already");

    let mut less = filled.clone();
    less.amount = Some(kg(4.0));
    let check = entry::amend(Amended::FeedMove(less), "weighed again", &flock, today());
    write(&mut book, check);
    let record = RecordRef::FeedMove(filled.id);
    let trail = book.flock().amendments(record)[0].fields.clone();
    assert_eq!(trail, [("amount".to_string(), "6 kg".to_string(), "4 kg".to_string())]);
    let check = entry::strike_kept(record, "wrong pen", &book.flock(), today());
    write(&mut book, check);
    assert_eq!(book.flock().feedroom().struck(record), Some(true));
}

#[test]
fn sheets_and_measures() {
    let folder = Folder::new();
    let mut book = fed_book(&folder);
    let flock = book.flock();
    let mut sheet = FeedSheetDraft {
        feed: "Barley".into(),
        on: day("2026-03-01"),
        lab: None,
        number: None,
        batch: None,
        analysis: Analysis::default(),
        note: None,
    };
    let check = entry::feed_sheets(vec![sheet.clone()], &flock, today());
    refuses(check, "figures", "the sheet of Barley has no figure: write at least one");
    sheet.analysis = Analysis::default().with(Nutrient::DryMatter, 86.0).expect("a figure");
    sheet.analysis = sheet.analysis.with(Nutrient::Protein, 10.5).expect("a figure");
    let check = entry::feed_sheets(vec![sheet], &flock, today());
    write(&mut book, check);
    let flock = book.flock();
    let barley = flock.feedroom().by_name("Barley").expect("barley");
    let known = flock.feedroom().written(barley, today());
    assert_eq!(known.on(Nutrient::Protein, Base::AsFed), Some(9.03));
    let before = flock.feedroom().written(barley, day("2026-02-28"));
    assert_eq!(before.get(Nutrient::Protein), Some(12.0), "a sheet holds from its day on");

    let measure = |weighed: Vec<Mass>| MeasureDraft {
        feed: "Barley".into(),
        name: "Scoop".into(),
        on: day("2026-03-02"),
        weighed,
    };
    let check = entry::measures(vec![measure(Vec::new())], &flock, today());
    refuses(check, "weighed", "weigh at least one scoop, five are better: write what each weighed");
    let check = entry::measures(vec![measure(vec![kg(0.8), kg(0.9), kg(0.85)])], &flock, today());
    write(&mut book, check);
    let flock = book.flock();
    let barley = flock.feedroom().by_name("Barley").expect("barley");
    let amount = |text: &str| flock.feedroom().amount(barley, text, today(), Units::Metric);
    assert_eq!(amount("2 scoops").map(|a| a.0), Ok(kg(1.7)));
    assert_eq!(amount("3 bags").map(|a| a.0), Ok(kg(75.0)));
    assert_eq!(amount("0,4").map(|a| a.0), Ok(kg(0.4)));
    assert!(amount("2 flakes").unwrap_err().0.contains("its measures are scoop"));
    let check = entry::measures(vec![measure(vec![kg(2.0)])], &flock, today());
    let words = "a scoop of Barley weighed 850 g before and 2 kg now: is it the same measure?";
    asks(check, "weighed", words);
}

#[test]
fn creeps_rations_and_checks() {
    let folder = Folder::new();
    let mut book = fed_book(&folder);
    let flock = book.flock();
    let creep = CreepDraft {
        id: None,
        pen: "Jug 3".into(),
        from: day("2026-04-05"),
        to: None,
        feed: Some("Creep mix".into()),
        holds: Some(kg(10.0)),
        note: None,
    };
    let check = entry::creeps(vec![creep.clone()], &flock, today());
    write(&mut book, check);
    let flock = book.flock();
    let open = flock.feedroom().creep_in("JUG 3", today()).expect("open").clone();
    let check = entry::creeps(vec![creep], &flock, today());
    refuses(check, "pen", "a creep is open in Jug 3 since 5 Apr 2026: close it first, or fill that one");
    let mut fed = FeedMoveDraft::of("Creep mix", today(), FeedChange::Fed);
    (fed.pen, fed.amount, fed.level) = (Some("Jug 3".into()), Some(kg(9.0)), Level::from_percent(50));
    let words = "9 kg are more than the trough in Jug 3 holds (10 kg): is it right?";
    asks(entry::feed_moves(vec![fed], &flock, today()), "amount", words);
    let check = entry::close_creep(open.id, day("2026-04-09"), &flock, today());
    write(&mut book, check);
    assert!(book.flock().feedroom().creep_in("Jug 3", today()).is_none());

    let line = |pen: Option<&str>, each: f64| RationDraft {
        eaters: Eaters::NursingTwo,
        pen: pen.map(Into::into),
        feed: "Barley".into(),
        from: day("2026-04-01"),
        each: kg(each),
        measure: None,
        note: None,
    };
    let words = "9 kg a head a day of Barley is more than a sheep eats: is it for one head?";
    asks(entry::rations(vec![line(None, 9.0)], &flock), "each", words);
    let check = entry::rations(vec![line(None, 0.5), line(Some("Jug 3"), 0.7)], &flock);
    write(&mut book, check);
    let mut end = line(None, 0.0);
    end.from = day("2026-04-20");
    let check = entry::rations(vec![end], &book.flock());
    write(&mut book, check);
    let flock = book.flock();
    let on = |d: &str| flock.feedroom().rations_on(day(d)).len();
    assert_eq!((on("2026-03-31"), on("2026-04-10"), on("2026-04-21")), (0, 2, 1));

    let look = |pen: &str, fault: Option<&str>| PenCheckDraft {
        pen: pen.into(),
        on: today(),
        time: None,
        what: CheckKind::Lamp,
        fault: fault.map(Into::into),
        note: None,
    };
    let check = entry::pen_checks(vec![look(" ", None)], &flock, today());
    refuses(check, "pen", "in which pen was it? Write the pen");
    let check = entry::pen_checks(vec![look("Jug 3", Some("cable bitten"))], &flock, today());
    assert!(check.as_ref().is_ok_and(|c| c.cautions()[0].words.contains("shed on fire")));
    write(&mut book, check);
    assert_eq!(book.flock().feedroom().checks.len(), 1);
}
