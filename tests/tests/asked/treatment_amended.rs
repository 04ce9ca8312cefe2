//! Treatments amended, said twice, dosed by a guess, in courses: what is asked then, and what is written down.

use hirsel_core::entry::{self, Amended, CourseDraft, DoseDraft, ProductDraft};
use hirsel_core::flock::{CoursePart, ProductMore};
use hirsel_core::terms::{CourseId, Dose, DoseRule, Moment, PrescriptionId, Route, Withdrawal};
use hirsel_tests::flocks::{day, write};
use hirsel_tests::shed::{shed, today, treatments_of};

#[test]
fn what_is_noticed_to_be_off_label_is_written_down_as_such() {
    let mut shed = shed("gb", false);
    let mut d = shed.draft("Cattle tetracycline");
    d.prescribed_by = Some("Orla Brennan".into());
    (d.meat, d.milk) = (Some(Withdrawal::Days(32)), Some(Withdrawal::Days(4)));
    let checked = shed.check(d).expect("asked");
    let words = "Cattle tetracycline is labelled for cattle, pigs, not for sheep";
    assert_eq!(treatments_of(&checked)[0].more.off_label.as_deref(), Some(words));
    let sure = shed.check(shed.draft("Fellcillin")).expect("on the label").sure().expect("no question");
    shed.book.write(sure).expect("written");
    let flock = shed.book.flock();
    let mut t = flock.file(shed.ids[0]).expect("there").treatments[0].clone();
    (t.dose, t.prescribed_by) = (Dose::from_ml(11.0), Some("Orla Brennan".into()));
    (t.meat, t.milk) = (Withdrawal::Days(60), Withdrawal::Days(14));
    let checked = entry::amend(Amended::Treatment(t), "misread", &flock, today()).expect("asked");
    let entry::Entry::Amend(Amended::Treatment(t)) = checked.entry() else { panic!("a treatment") };
    assert_eq!(t.more.off_label.as_deref(), Some("11 ml is more than the label's most, 10 ml"));
}

#[test]
fn an_amendment_asks_only_about_what_is_new() {
    let mut shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.batch = Some("LV9".into());
    let sure = shed.check(d).expect("asked").despite("no other there").expect("a word");
    shed.book.write(sure).expect("written");
    let flock = shed.book.flock();
    let old = flock.file(shed.ids[0]).expect("there").treatments[0].clone();
    let amend = |t| entry::amend(Amended::Treatment(t), "misread", &flock, today());
    let mut t = old.clone();
    t.reason = Some("worms".into());
    assert_eq!(amend(t).expect("a word").questions(), [], "the bottle was asked about when it was given");
    let mut t = old.clone();
    t.dose = Dose::from_ml(600.0);
    let checked = amend(t).expect("asked");
    let words: Vec<String> = checked.questions().iter().map(ToString::to_string).collect();
    assert!(words.iter().any(|w| w.starts_with("600 ml for 0412 is 100 times")), "{words:?}");
    let mut t = old.clone();
    t.at = Moment::day(day("2023-05-01"));
    let checked = amend(t).expect("asked");
    assert!(checked.questions().iter().any(|q| q.to_string().contains("more than two years ago")));
    // A course cannot end before a dose that was given.
    let mut t = old;
    t.more.course = Some(CoursePart { id: CourseId::new(), nth: 2, of: 1, every_hours: 24 });
    let refusals = amend(t).expect_err("no such dose");
    let words = "dose 2 of 1 cannot be: a course has at least as many doses as were given";
    assert!(refusals.iter().any(|r| r.field.name == "course" && r.to_string() == words), "{refusals:?}");
}

#[test]
fn a_prescription_that_is_not_there_is_refused() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.more.prescription = Some(PrescriptionId::new());
    let words = "the record was not found in this book: it may have been undone";
    shed.refuses(d, "prescription", words);
}

#[test]
fn a_bare_figure_says_a_dose_twice() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.dose = DoseDraft::Typed(Dose::from_ml(600.0));
    let checked = shed.check(d).expect("asked");
    assert_eq!(checked.questions().len(), 1, "asked once, in the stronger words");
    assert!(checked.clone().despite("6000 by mistake").is_err(), "another figure");
    assert!(checked.despite("600, by mistake").is_ok());
}

#[test]
fn doses_of_a_course_on_one_day_are_not_taken_for_one_another() {
    let mut shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.at = Moment::day(day("2026-04-10"));
    d.more.course = Some(CourseDraft { doses: 3, every_hours: 12 });
    let checked = shed.check(d.clone()).expect("a course");
    assert_eq!((treatments_of(&checked).len(), checked.questions().len()), (2, 0));
    shed.book.write(checked.sure().expect("sure")).expect("written");
    // The course that was written, once more, is another matter.
    let again = shed.check(d).expect("asked");
    assert!(again.questions()[0].to_string().ends_with("is it written twice?"));
}

#[test]
fn a_guessed_weight_is_told_and_a_site_has_its_most() {
    let mut shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.animals = vec![shed.ids[3]];
    d.more.estimated = hirsel_core::terms::Weight::from_grams(80_000);
    let checked = shed.check(d.clone()).expect("guessed");
    assert_eq!(treatments_of(&checked)[0].dose, Dose::from_ml(8.0));
    assert_eq!(checked.sentence(), "levamisole drench for R7, by an estimated weight");
    // A dose typed is looked at beside the guessed weight as beside one that was weighed.
    d.dose = DoseDraft::Typed(Dose::from_ml(80.0));
    let checked = shed.check(d).expect("asked");
    assert!(checked.questions()[0].to_string().starts_with("80 ml for R7 is 10 times the 8 ml"));

    let mut more = ProductMore { site_most: Dose::from_ml(2.5), ..Default::default() };
    more.most = Dose::from_ml(4.0);
    let product = ProductDraft {
        name: "Fellvit".into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::PerKg(100),
        route: Some(Route::Subcutaneous),
        meat: Withdrawal::Days(0),
        milk: Withdrawal::Days(0),
        licensed_for: Some("sheep".into()),
        more,
    };
    let check = entry::products(vec![product], &shed.book.flock());
    write(&mut shed.book, check);
    let mut d = shed.draft("Fellvit");
    d.more.drawn = true;
    let checked = shed.check(d).expect("capped");
    assert_eq!(treatments_of(&checked)[0].dose, Dose::from_ml(4.0), "6 ml by the rule");
    let words: Vec<&str> = checked.cautions().iter().map(|c| c.words.as_str()).collect();
    assert!(words.contains(&"the rule gives 6 ml, the label allows 4 ml: 4 ml is written; ask the vet"));
    assert!(words.contains(&"the label allows 2.5 ml at one place: give it as 2 ml and 2 ml"), "{words:?}");
}
