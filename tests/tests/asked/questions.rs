//! Every question a check can ask, asked once, in its words; and the refusals of jobs and of the care plan.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, AnimalDraft, Check, DoseDraft, IdentityDraft, JobRef, JoiningDraft, LambDraft, LambingDraft,
    PartDraft, StandingDraft, TickDraft, TreatmentDraft, Unusual, WeighingDraft,
};
use hirsel_core::flock::{Outcome, Sire};
use hirsel_core::plan::Span;
use hirsel_core::terms::{
    AnimalId, Born, Day, Dose, IdentityKind, JoiningId, Moment, Route, Sex, Status, Tag, Weight, Withdrawal,
};
use hirsel_tests::flocks::{Folder, add, day, shed_book, write};

fn today() -> Day {
    day("2026-04-10")
}

/// The name of a question. A new one does not compile until it has a line here and a case below.
fn name(q: &Unusual) -> &'static str {
    match q {
        Unusual::LambedRecently { .. } => "lambed recently",
        Unusual::HeavyLamb { .. } => "heavy lamb",
        Unusual::LightLamb { .. } => "light lamb",
        Unusual::RamTooYoung { .. } => "ram too young",
        Unusual::EweTooYoung { .. } => "ewe too young",
        Unusual::NotHere { .. } => "not here",
        Unusual::RamDoesNotFit { .. } => "ram does not fit",
        Unusual::Loss { .. } => "loss",
        Unusual::Gained { .. } => "gained",
        Unusual::Jumped { .. } => "jumped",
        Unusual::OffCurve { .. } => "off its curve",
        Unusual::UnderWithdrawal { .. } => "under withdrawal",
        Unusual::AboveLabel { .. } => "above label",
        Unusual::StaleWeight { .. } => "stale weight",
        Unusual::MuchForOneSite { .. } => "much for one site",
        Unusual::GivenTwice { .. } => "given twice",
        Unusual::TooSoon { .. } => "too soon",
        Unusual::AfterRings { .. } => "after rings",
        Unusual::TestNumber(_) => "test number",
        Unusual::ShorterThanLabel { .. } => "shorter than label",
        Unusual::HoldingNumber { .. } => "holding number",
        // Each of these is asked in `cupboard_asked.rs`.
        Unusual::Cupboard(_) => "cupboard",
        // Each of these is asked in `blood_asked.rs`.
        Unusual::Blood(_) => "blood",
        // Each of these is asked in `weighed_asked.rs`.
        Unusual::Weighed(_) => "weighed",
        // Each of these is asked in `fed_asked.rs`.
        Unusual::Fed(_) => "fed",
        // Each of these is asked in `merged.rs`.
        Unusual::Merge(_) => "merge",
        // Each of these is asked in `treatment_asked.rs`.
        Unusual::Treatment(_) => "treatment",
    }
}

const ALL: usize = 21;

struct Asked {
    seen: Vec<&'static str>,
}

impl Asked {
    /// The check passes, and asks this.
    fn asks(&mut self, check: Check, name_of: &'static str, words: &str) {
        let checked = check.unwrap_or_else(|r| panic!("{name_of}: {}", r[0]));
        let of = checked.questions().iter().find(|q| name(&q.what) == name_of);
        let of = of.unwrap_or_else(|| panic!("{name_of}: {:?}", checked.questions()));
        assert_eq!(of.to_string(), words);
        assert!(checked.clone().sure().is_err(), "{name_of}: not without a word");
        assert!(checked.despite("looked again").is_ok(), "{name_of}: with a word it is written");
        self.seen.push(name_of);
    }
}

fn grams(g: i64) -> Weight {
    Weight::from_grams(g).unwrap_or_else(|| panic!("a weight"))
}

fn weigh(book: &Book, animal: AnimalId, on: &str, g: i64) -> Check {
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight: grams(g), note: None };
    entry::weighings(vec![draft], &book.flock(), today())
}

fn lambing(book: &Book, ewe: AnimalId, sire: Sire, on: &str, grams: i64) -> Check {
    let mut lamb = LambDraft::new(Sex::Ewe);
    lamb.weight = Weight::from_grams(grams);
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day(on)),
        sire,
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs: vec![lamb],
        foster_on: Vec::new(),
    };
    entry::lambing(draft, &book.flock(), today())
}

fn treat(
    book: &Book,
    animal: AnimalId,
    product: &str,
    dose: DoseDraft,
    route: Route,
    meat: Option<u16>,
) -> Check {
    let draft = TreatmentDraft {
        animals: vec![animal],
        at: Moment::day(today()),
        product: product.into(),
        batch: None,
        dose,
        route: Some(route),
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: meat.map(Withdrawal::Days),
        milk: None,
        more: Default::default(),
    };
    entry::treatments(vec![draft], &book.flock(), today())
}

fn tick(book: &Book, animal: AnimalId, step: &str, anchor: &str, outcome: Outcome, on: &str) -> Check {
    let job = JobRef { animal, step: step.into(), anchor: day(anchor), round: 0 };
    let note = Some("seen".into());
    entry::ticks(
        TickDraft { jobs: vec![job], outcome, at: Moment::day(day(on)), note },
        &book.flock(),
        today(),
    )
}

#[test]
fn every_question_is_asked_once_and_in_these_words() {
    let folder = Folder::new();
    let (mut b, [a, c, _, ram]) = shed_book(&folder);
    let mut q = Asked { seen: Vec::new() };
    let known = Sire::Known(ram);
    let lamb = add(&mut b, "L1", Sex::Ewe, "2026-03-14", today());
    let young_ram = add(&mut b, "R9", Sex::Ram, "2026-01-05", today());
    let young_ewe = add(&mut b, "0501", Sex::Ewe, "2025-12-01", today());
    let stranger = add(&mut b, "R8", Sex::Ram, "2021-03-20", today());

    // The number of another place, of no shape the rules of Great Britain know.
    let draft = StandingDraft {
        animals: vec![stranger],
        to: Status::Sold,
        on: today(),
        other: Some("Hollin Farm".into()),
        reason: None,
        details: hirsel_core::flock::MoveDetails { number: Some("5/1".into()), ..Default::default() },
    };
    let shape = "the holding number '5/1' has not the shape of a holding number (CPH), such as 34/123/1234: is it written as the authority writes it?";
    q.asks(entry::standing(draft, &b.flock(), today()), "holding number", shape);

    // Lambings: 10 kg and half a kilogram, 100 days between two, 144 to 152 days after a joining.
    let heavy = "10.2 kg is very heavy for a lamb at birth: is it in the right unit?";
    q.asks(lambing(&b, a, known.clone(), "2026-04-02", 10_200), "heavy lamb", heavy);
    let light = "0.4 kg is very light for a lamb at birth: is it in the right unit?";
    q.asks(lambing(&b, a, known.clone(), "2026-04-02", 400), "light lamb", light);
    let fit = "no joining of 0412 with R8 fits this day: lambs come 144 to 152 days after service";
    q.asks(lambing(&b, a, Sire::Known(stranger), "2026-04-02", 4_000), "ram does not fit", fit);
    let young = "the ewe 0501 was 122 days old then: very young for that";
    q.asks(lambing(&b, young_ewe, Sire::Unknown, "2026-04-02", 3_000), "ewe too young", young);
    let check = lambing(&b, c, known.clone(), "2026-03-28", 4_000);
    write(&mut b, check);
    let again = "0417 lambed 5 days before (28 Mar 2026): is this the same lambing?";
    q.asks(lambing(&b, c, known, "2026-04-02", 4_000), "lambed recently", again);
    let draft = JoiningDraft {
        ram: young_ram,
        ewes: vec![a],
        from: day("2026-04-05"),
        to: None,
        method: None,
        group: None,
    };
    let check = entry::joinings(vec![draft], &b.flock(), today());
    let fertile = "the ram R9 was 90 days old then: rams are seldom fertile before 120 days";
    q.asks(check, "ram too young", fertile);

    // Weighings: a growing lamb never loses more than a fiftieth, nor gains over 600 g a day.
    let check = weigh(&b, lamb, "2026-04-01", 8_000);
    write(&mut b, check);
    let loss = "L1 weighed 8.0 kg on 1 Apr 2026: it would have lost weight";
    q.asks(weigh(&b, lamb, "2026-04-10", 7_000), "loss", loss);
    let gain = "L1 weighed 8.0 kg on 1 Apr 2026: it would have gained 778 g a day, more than lambs do";
    q.asks(weigh(&b, lamb, "2026-04-10", 15_000), "gained", gain);
    let jump = "0412 weighed 60.0 kg on 1 Apr 2026: it would have changed by more than a fifth";
    q.asks(weigh(&b, a, "2026-04-10", 75_000), "jumped", jump);
    for (on, grams) in [
        ("2026-01-01", 9_500),
        ("2026-01-15", 12_000),
        ("2026-02-01", 15_200),
        ("2026-02-25", 19_400),
        ("2026-03-20", 23_000),
    ] {
        let check = weigh(&b, young_ewe, on, grams);
        write(&mut b, check);
    }
    let curve = "0501 should weigh about 17.86 kg by its own 5 weights, from 14.62 kg to 21.1 kg at most";
    q.asks(weigh(&b, young_ewe, "2026-02-16", 22_800), "off its curve", curve);

    // Treatments: 1 ml per 10 kg of levamisole; 60 kg by the label 6 ml.
    let typed = |ml| DoseDraft::Typed(Dose::from_ml(ml));
    let drench = "levamisole drench";
    let above = "9 ml for 0412 is 1.5 times the 6 ml by the label's rule: check the label and ask the vet";
    q.asks(treat(&b, a, drench, typed(9.0), Route::Oral, None), "above label", above);
    let short = "the meat withdrawal of levamisole drench is written as 7 days, shorter than the product's 21 days: check the label and ask the vet";
    q.asks(treat(&b, a, drench, typed(6.0), Route::Oral, Some(7)), "shorter than label", short);
    let much = "12 ml for 0412 is much for one place (common practice: 10 ml at most): split it over two sites as the label says";
    q.asks(treat(&b, a, "something", typed(12.0), Route::Subcutaneous, None), "much for one site", much);
    let stale = "the weight of 0501 is 21 days old: weigh it again before dosing by weight";
    q.asks(treat(&b, young_ewe, drench, DoseDraft::ByRule, Route::Oral, None), "stale weight", stale);
    let check = treat(&b, a, drench, typed(6.0), Route::Oral, None);
    write(&mut b, check);
    let twice = "0412 was given levamisole drench on that day already: is it written twice?";
    q.asks(treat(&b, a, drench, typed(6.0), Route::Oral, None), "given twice", twice);
    // 10 April, 21 days: last withheld 1 May, clear 2 May.
    let sale = StandingDraft {
        animals: vec![a],
        to: Status::Sold,
        on: today(),
        other: None,
        reason: None,
        details: Default::default(),
    };
    let held = "0412 is under withdrawal for meat because of levamisole drench: clear 2 May 2026; it must not go for food before that. Label, vet and local law decide";
    q.asks(entry::standing(sale, &b.flock(), today()), "under withdrawal", held);
    let mut test = AnimalDraft::new(Tag::parse("T1").expect("a tag"), Sex::Ewe);
    test.born = Born::Unknown;
    let tag = Tag::parse("999000000000001").expect("a number");
    test.identities.push(IdentityDraft { kind: IdentityKind::Electronic, tag });
    let number = "999 000000000001 is a number for testing readers (999), not an official one";
    q.asks(entry::animals(vec![test], &b.flock(), today()), "test number", number);

    // Jobs: docked on the day of birth, and by a ring after day 7.
    let soon = "Tail docked of L1 is not to be done before 15 Mar 2026: is the day right?";
    q.asks(tick(&b, lamb, "dock", "2026-03-14", Outcome::Done, "2026-03-14"), "too soon", soon);
    let rings = "L1: rings may be used until 21 Mar 2026 by the rules of this book; after that ask the vet. The law of the place decides";
    q.asks(tick(&b, lamb, "dock", "2026-03-14", Outcome::Done, "2026-03-22"), "after rings", rings);
    let sale = StandingDraft {
        animals: vec![stranger],
        to: Status::Sold,
        on: day("2026-04-01"),
        other: None,
        reason: None,
        details: Default::default(),
    };
    let check = entry::standing(sale, &b.flock(), today());
    write(&mut b, check);
    let gone = "R8 is written down as sold since 1 Apr 2026";
    q.asks(tick(&b, stranger, "ram_after", "2025-10-25", Outcome::Done, "2026-04-05"), "not here", gone);

    q.seen.sort_unstable();
    q.seen.dedup();
    assert_eq!(q.seen.len(), ALL, "asked: {:?}", q.seen);
}

#[test]
fn what_cannot_be_of_a_job_is_refused_beside_its_field() {
    let folder = Folder::new();
    let (mut b, [a, _, _, _]) = shed_book(&folder);
    let lamb = add(&mut b, "L1", Sex::Ram, "2026-03-14", today());
    let refused = |check: Check, field: &str, words: &str| {
        let refusals = check.expect_err(words);
        let of = refusals.iter().find(|r| r.field.name == field && r.to_string().contains(words));
        assert!(of.is_some(), "{field}, {words}: {refusals:?}");
    };
    let born = "2026-03-14";
    let done = Outcome::Done;
    refused(tick(&b, lamb, "dock", born, done, "2026-04-11"), "on", "has not come yet");
    refused(tick(&b, lamb, "dock", born, done, "2026-03-13"), "on", "nothing can have been done to it");
    refused(tick(&b, lamb, "wish", born, done, "2026-04-01"), "job", "there is no job 'wish' in the plan");
    refused(tick(&b, AnimalId::new(), "dock", born, done, "2026-04-01"), "tag", "not found in this book");
    let back = Outcome::PutOff(day("2026-04-01"));
    refused(tick(&b, lamb, "dock", born, back, "2026-04-01"), "until", "is before the first");
    let none = TickDraft { jobs: Vec::new(), outcome: done, at: Moment::day(today()), note: None };
    refused(entry::ticks(none.clone(), &b.flock(), today()), "job", "a job is needed");
    let silent = TickDraft {
        jobs: vec![JobRef { animal: lamb, step: "dock".into(), anchor: day(born), round: 0 }],
        outcome: Outcome::Skipped,
        ..none
    };
    refused(entry::ticks(silent, &b.flock(), today()), "note", "a word why it is left out is needed");

    let flock = b.flock();
    let part = |joinings, on: &str| entry::part(PartDraft { joinings, on: day(on) }, &flock, today());
    let own = flock.file(a).expect("there").joinings[0].id;
    refused(part(Vec::new(), "2026-04-01"), "tag", "no animal is chosen");
    refused(part(vec![(a, own)], "2025-10-24"), "on", "is before the first");
    refused(part(vec![(a, own)], "2026-04-11"), "on", "has not come yet");
    refused(part(vec![(a, JoiningId::new())], "2026-04-01"), "tag", "not found in this book");

    let shipped = (**flock.plan().step(2026, "wean").expect("shipped")).clone();
    let mut late = shipped.clone();
    late.times.earliest = Span::days(100);
    // Before, such a step was written and the book could not be opened again.
    refused(entry::plan_step(None, late, &flock), "due", "must not lie before the earliest");
    refused(entry::plan_as_shipped(None, "wean", &flock), "step", "nothing is different");
    let mut own = shipped;
    own.times.due = Span::days(90);
    refused(entry::plan_step(Some(12), own.clone(), &flock), "season", "12 is no year a plan can be for");
    let check = entry::plan_step(None, own.clone(), &flock);
    write(&mut b, check);
    refused(entry::plan_step(None, own, &b.flock()), "step", "nothing is different");
}
