//! Everything the checks of sessions, scores, decisions, groups and money refuse and question, once each, in its
//! words and at its field; and what an entry of each does to the flock.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, DecisionDraft, GroupingDraft, MoneyDraft, ScoringDraft, SessionDraft, SessionPick, WeighedRow,
};
use hirsel_core::terms::{
    AnimalId, Day, Decided, Gut, MeantFor, Moment, MoneyKind, Price, Score, ScoreKind, SessionId, Units,
    Weight,
};
use hirsel_tests::asked::{asks, refuses};
use hirsel_tests::flocks::{Folder, day, joined_book, write};

fn today() -> Day {
    day("2026-04-10")
}

fn score(kind: ScoreKind, text: &str) -> Score {
    Score::parse(kind, text).expect("a score")
}

fn row(animal: AnimalId, kg: &str, scores: &[Score]) -> WeighedRow {
    let weight = Weight::parse(kg, Units::Metric).ok();
    WeighedRow { animal, at: Moment::day(day("2026-04-08")), weight, scores: scores.to_vec(), note: None }
}

#[test]
fn a_session_takes_weights_and_scores_and_is_undone_as_one() {
    let folder = Folder::new();
    let (mut book, [ewe, other, ..]) = joined_book(&folder);
    let draft = SessionDraft {
        scale: Some(" crate ".into()),
        group: Some("Bank field".into()),
        gut: Some(Gut::Fasted),
        ..SessionDraft::default()
    };
    let rows = vec![row(ewe, "61.5", &[score(ScoreKind::Condition, "2.5")])];
    let check = entry::weighed(SessionPick::New(draft), rows, &book.flock(), today());
    write(&mut book, check);
    let flock = book.flock();
    let session = flock.daybook().sessions[0].clone();
    assert_eq!((session.on, session.scale.as_deref()), (day("2026-04-08"), Some("crate")));
    let f = flock.file(ewe).unwrap();
    assert_eq!(f.weighings.last().unwrap().session, Some(session.id));
    assert_eq!(f.last_score(ScoreKind::Condition, today()).unwrap().session, Some(session.id));

    let again = |book: &Book, animal, kg: &str| {
        entry::weighed(SessionPick::In(session.id), vec![row(animal, kg, &[])], &book.flock(), today())
    };
    asks(
        again(&book, ewe, "61.0"),
        "tag",
        "0412 was weighed in this session already: is this the right tag?",
    );
    let nothing = again(&book, other, "");
    let tag = flock.tag(other);
    refuses(nothing, "weight_kg", &format!("{tag}: type its weight, or a score"));
    let check = again(&book, other, "58");
    write(&mut book, check);
    let gone = entry::weighed(SessionPick::In(SessionId::new()), vec![row(ewe, "60", &[])], &flock, today());
    refuses(gone, "session", "the session is not in the book any more: begin a new one");
    let full = SessionDraft { gut: Some(Gut::Full), ..SessionDraft::default() };
    let check = entry::session(session.id, full, &book.flock());
    write(&mut book, check);
    assert_eq!(book.flock().daybook().sessions[0].gut, Some(Gut::Full));
    for _ in 0..3 {
        book.undo().expect("undone");
    }
    let flock = book.flock();
    assert!(flock.daybook().sessions.is_empty() && flock.file(ewe).unwrap().scores.is_empty());
}

#[test]
fn scores_that_do_not_fit_are_asked_about() {
    let folder = Folder::new();
    let (mut book, [ewe, .., ram]) = joined_book(&folder);
    let scored = |book: &Book, animal, on: &str, score| {
        let draft = ScoringDraft { animal, at: Moment::day(day(on)), score, note: None };
        entry::scorings(vec![draft], &book.flock(), today())
    };
    let check = scored(&book, ewe, "2026-04-01", score(ScoreKind::Condition, "3.5"));
    write(&mut book, check);
    let jump = scored(&book, ewe, "2026-04-09", score(ScoreKind::Condition, "2"));
    asks(jump, "score", "0412 was 3.5 on 1 Apr 2026, now 2: is that right?");
    let udder = scored(&book, ram, "2026-04-09", score(ScoreKind::Udder, "3"));
    asks(udder, "score", "R7 is no grown ewe: is a score of her udder meant?");
}

#[test]
fn decisions_change_what_an_animal_is_meant_for() {
    let folder = Folder::new();
    let (mut book, [ewe, .., ram]) = joined_book(&folder);
    let decide = |book: &Book, animal, what| {
        let draft = DecisionDraft { animal, on: day("2026-04-09"), what, reason: None };
        entry::decisions(vec![draft], &book.flock(), today())
    };
    let no = "0412 is a ewe: it cannot be decided to castrate it";
    refuses(decide(&book, ewe, Decided::Castrate), "what", no);
    let check = decide(&book, ram, Decided::Castrate);
    write(&mut book, check);
    let flock = book.flock();
    assert_eq!(flock.animal(ram).unwrap().meant_for, MeantFor::Market);
    assert_eq!(flock.file(ram).unwrap().decided(today()).unwrap().what, Decided::Castrate);
    let check = entry::standing(
        entry::StandingDraft {
            animals: vec![ewe],
            on: day("2026-04-09"),
            to: hirsel_core::terms::Status::Sold,
            other: Some("a neighbour".into()),
            reason: None,
            details: Default::default(),
        },
        &flock,
        today(),
    );
    write(&mut book, check);
    asks(decide(&book, ewe, Decided::Cull), "tag", "0412 is sold: is a decision on it meant?");
}

#[test]
fn groups_by_hand_are_put_and_taken_back() {
    let folder = Folder::new();
    let (mut book, [ewe, ..]) = joined_book(&folder);
    let group = |book: &Book, name: Option<&str>| {
        let draft = GroupingDraft { animal: ewe, age_days: 60, group: name.map(Into::into) };
        entry::groupings(vec![draft], &book.flock())
    };
    let no_name = "the group needs a name: write a field, a pen or a word of your own";
    refuses(group(&book, Some("  ")), "group", no_name);
    refuses(group(&book, None), "group", "nothing is different from what is written");
    for name in ["Bank", "Hill"] {
        let check = group(&book, Some(name));
        write(&mut book, check);
    }
    assert_eq!(book.flock().file(ewe).unwrap().groups.len(), 1, "one group for one age");
    let check = group(&book, None);
    write(&mut book, check);
    assert!(book.flock().file(ewe).unwrap().groups.is_empty());
}

#[test]
fn money_is_asked_about_when_it_is_none_or_a_great_deal() {
    let money = |cents| {
        let amount = Price::from_cents(cents);
        let draft =
            MoneyDraft { on: day("2026-04-01"), kind: MoneyKind::Feed, amount, group: None, note: None };
        entry::money(vec![draft], today())
    };
    refuses(money(0), "amount", "how much was it? Write the amount, such as 12.50");
    asks(money(6_000_000), "amount", "60000.00 is a great deal of money for a small flock: is it right?");
    assert_eq!(money(1250).expect("sound").sentence(), "Feed: 12.50");
}
