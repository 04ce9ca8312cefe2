//! Every refusal, question and caution of a treatment, each in its words: beside the label, the bottle, the
//! prescription and the rules of the place.

use hirsel_core::entry::{self, Amended, CourseDraft, DoseDraft, TreatmentDraft, TreatmentUnusual, Unusual};
use hirsel_core::flock::CoursePart;
use hirsel_core::reckon::courses::open_doses;
use hirsel_core::terms::{CourseId, Dose, Minute, Moment, Route, Withdrawal};
use hirsel_tests::flocks::day;
use hirsel_tests::shed::{shed, today};

#[test]
fn a_use_that_is_not_on_the_label_needs_a_vet_and_keeps_to_the_floor() {
    let shed = shed("gb", false);
    let cattle = "Cattle tetracycline is labelled for cattle, pigs, not for sheep";
    shed.refuses(
        shed.draft("Cattle tetracycline"),
        "prescribed_by",
        &format!("{cattle}: a vet must have directed it, and their name is needed here. The label, the vet and local law decide"),
    );
    let vet = |mut d: TreatmentDraft| {
        d.prescribed_by = Some("Orla Brennan".into());
        d
    };
    // 1.5 × 21 days, rounded up; 1.5 × 60 hours (VMR 2013 sch 4 para 2(3); the sums of rules.md 1.2).
    let floor = "21 days of meat is too short for a use that is not on the label: at least 32 days: 1.5 × 21 days = 31.5, rounded up to 32 days";
    let refusals = shed.check(vet(shed.draft("Cattle tetracycline"))).expect_err("below the floor");
    let words: Vec<String> = refusals.iter().map(|r| format!("{}: {r}", r.field.name)).collect();
    assert!(words[0].starts_with(&format!("meat_days: {floor} (VMR 2013 sch 4")), "{words:#?}");
    assert!(words[0].ends_with("The vet sets the period, and never below this"), "{words:#?}");
    assert!(
        words[1].starts_with(
            "milk_days: 60 hours of milk is too short for a use that is not on the label: at least 4 days"
        ),
        "{words:#?}"
    );
    let mut d = vet(shed.draft("Cattle tetracycline"));
    (d.meat, d.milk) = (Some(Withdrawal::Days(32)), Some(Withdrawal::Days(4)));
    let checked = shed.asks(
        d.clone(),
        "off_label",
        &format!("{cattle}: that is off-label. Only a vet may direct it, and the vet sets the withdrawal"),
    );
    assert!(checked.clone().sure().is_err() && checked.despite("the vet said so").is_ok());
    // Said beforehand, it is not asked again; a ram's milk is nobody's.
    d.more.off_label = Some("for cattle; the vet directed it".into());
    assert!(shed.check(d.clone()).expect("right").questions().is_empty());
    let mut ram = d.clone();
    (ram.animals, ram.dose, ram.milk) =
        (vec![shed.ids[3]], DoseDraft::Typed(Dose::from_ml(6.0)), Some(Withdrawal::Days(0)));
    assert!(shed.check(ram).is_ok());
    // A period not written is not below anything: not clear, and said.
    d.meat = Some(Withdrawal::Unknown);
    let checked = shed.check(d).expect("open");
    assert!(
        checked.cautions().iter().any(|c| c.field.name == "meat_days"
            && c.words.contains("until it is written the animal is not clear"))
    );
    // Route and the label's most.
    let mut d = vet(shed.draft("Fellcillin"));
    (d.route, d.dose) = (Some(Route::Intravenous), DoseDraft::Typed(Dose::from_ml(11.0)));
    (d.meat, d.milk) = (Some(Withdrawal::Days(60)), Some(Withdrawal::Days(14)));
    shed.asks(
        d,
        "off_label",
        "the label of Fellcillin does not name the route 'into a vein'; 11 ml is more than the label's most, 10 ml: that is off-label. Only a vet may direct it, and the vet sets the withdrawal",
    );
    // A route with periods of its own takes them.
    let mut d = shed.draft("Fellcillin");
    d.route = Some(Route::Subcutaneous);
    let checked = shed.check(d).expect("on the label");
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    assert_eq!((all[0].meat, all[0].milk), (Withdrawal::Days(35), Withdrawal::Hours(84)));
}

#[test]
fn what_is_banned_off_label_is_refused_with_its_rule() {
    let shed = shed("us", false);
    let mut d = shed.draft("Enrofloxacin 10 %");
    d.prescribed_by = Some("Orla Brennan".into());
    (d.meat, d.milk) = (Some(Withdrawal::Days(99)), Some(Withdrawal::Days(99)));
    let refusals = shed.check(d).expect_err("banned");
    let words = refusals.iter().find(|r| r.field.name == "product").expect("at the product").to_string();
    assert!(words.starts_with("enrofloxacin (fluoroquinolones) may not be given off-label to an animal people eat (21 CFR 530.41(a)"), "{words}");
    assert!(words.ends_with("ask the vet"), "{words}");
}

/// Twice the label's period, 48 hours at least, vaccines excepted: Regulation (EU) 2018/848 Annex II Part II 1.5.2.5.
#[test]
fn an_organic_flock_keeps_the_longer_period() {
    let shed = shed("eu", true);
    let checked = shed.check(shed.draft("levamisole drench")).expect("the longer period is taken");
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    assert_eq!((all[0].meat, all[0].milk), (Withdrawal::Days(42), Withdrawal::Hours(120)));
    let mut d = shed.draft("levamisole drench");
    d.meat = Some(Withdrawal::Days(21));
    let words = shed.check(d).expect_err("too short")[0].to_string();
    assert!(
        words.starts_with(
            "21 days of meat is too short for an organic flock: at least 42 days (Regulation (EU) 2018/848"
        ),
        "{words}"
    );
}

#[test]
fn a_dose_far_beyond_the_label_is_said_twice() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    // 60 kg at 0.1 ml a kg are 6 ml; 600 ml are a hundred times too much.
    d.dose = DoseDraft::Typed(Dose::from_ml(600.0));
    let checked = shed.asks(
        d,
        "dose_ml",
        "600 ml for 0412 is 100 times the 6 ml by the label's rule. If it was really given, type the dose 600 ml once more in your word",
    );
    let why = checked.clone().despite("sure of it").expect_err("not yet");
    assert_eq!(why.0, "say it twice: if 600 ml was really given, type 600 ml in your word");
    assert!(checked.despite("yes, 600ml by mistake").is_ok());
}

#[test]
fn hours_and_days_and_years_are_looked_at() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.milk = Some(Withdrawal::Days(60));
    shed.asks(d, "milk_days", "60 days of milk: did the label say 60 hours? Write 60 h then");
    let mut d = shed.draft("levamisole drench");
    (d.at, d.dose) = (Moment::day(day("2023-05-01")), DoseDraft::Typed(Dose::from_ml(5.0)));
    shed.asks(d, "on", "1 May 2023 is more than two years ago: is the year right?");
}

#[test]
fn bottles_are_looked_at() {
    let shed = shed("gb", false);
    let with = |product: &str, batch: &str| {
        let mut d = shed.draft(product);
        d.batch = Some(batch.into());
        d
    };
    shed.refuses(
        with("levamisole drench", "FC2"),
        "batch",
        "the batch FC2 is one of Fellcillin, not of levamisole drench: mend the product or the number",
    );
    shed.asks(
        with("levamisole drench", "lv9"),
        "batch",
        "batch lv9 was to be used until 31 Mar 2026: out of date on 10 Apr 2026",
    );
    shed.asks(
        with("Fellcillin", "FC2"),
        "batch",
        "batch FC2 was opened too long before 10 Apr 2026: the label gives it until 1 Mar 2026",
    );
    let mut d = with("Fellcillin", "FC2");
    (d.at, d.dose) = (Moment::day(day("2026-01-02")), DoseDraft::Typed(Dose::from_ml(3.0)));
    shed.asks(d, "batch", "batch FC2 was bought on 10 Jan 2026, after the day it was given");
    // 6 ml, 5.2 ml and 4.85 ml are more than the 12 ml that were bought.
    let mut d = with("Fellcillin", "FC2");
    d.animals = shed.ids[..3].to_vec();
    shed.asks(d, "batch", "16.05 ml of batch FC2 is more than the 12 ml that is left of it by the book");
    let unknown = shed.check(with("Fellcillin", "XX")).expect("a caution only");
    assert!(
        unknown.cautions().iter().any(|c| c.field.name == "batch" && c.words.contains("not in the cupboard"))
    );
}

#[test]
fn prescriptions_are_looked_at() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.more.prescription = Some(shed.script);
    shed.refuses(
        d,
        "prescription",
        "that prescription is for Cattle tetracycline, not for levamisole drench: choose another, or mend the product",
    );
    let mut d = shed.draft("Cattle tetracycline");
    d.more.prescription = Some(shed.script);
    let checked = shed.asks(d, "prescription", "the prescription could be used until 31 Mar 2026");
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    // Vet, reason and periods are the prescription's; the use is off-label because it says so.
    let t = &all[0];
    assert_eq!(
        (t.meat, t.milk, t.prescribed_by.as_deref()),
        (Withdrawal::Days(40), Withdrawal::Days(7), Some("Orla Brennan"))
    );
    assert_eq!(
        (t.reason.as_deref(), t.more.off_label.as_deref()),
        (Some("lame"), Some("as the vet prescribed it"))
    );
    let without = shed.check(shed.draft("Fellcillin")).expect("a caution only");
    let words: Vec<&str> = without.cautions().iter().map(|c| c.words.as_str()).collect();
    assert!(words.iter().any(|w| w.contains("on prescription only")), "{words:?}");
}

#[test]
fn blanks_the_rules_ask_for_are_cautions_said_once() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.animals = shed.ids[..3].to_vec();
    (d.dose, d.more.vet_gave) = (DoseDraft::Typed(None), true);
    let checked = shed.check(d).expect("nothing blocks");
    let words: Vec<&str> = checked.cautions().iter().map(|c| c.words.as_str()).collect();
    for (n, start) in [
        (1, "quantity is not written; Great Britain asks for it: VMR 2013"),
        (1, "batch is not written; Great Britain asks for it where a vet gave it: VMR 2013"),
        (1, "vet's name is not written; Great Britain asks for it where a vet gave it: VMR 2013"),
    ] {
        assert_eq!(words.iter().filter(|w| w.starts_with(start)).count(), n, "{start}: {words:#?}");
    }
}

#[test]
fn a_course_is_written_up_to_today_and_goes_on() {
    let mut shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.at = Moment { day: day("2026-04-09"), time: Minute::new(18, 0) };
    d.more.course = Some(CourseDraft { doses: 4, every_hours: 12 });
    let checked = shed.check(d.clone()).expect("a course");
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    let times: Vec<String> = all.iter().map(|t| t.at.words()).collect();
    assert_eq!(
        times,
        ["9 Apr 2026, 18:00", "10 Apr 2026, 06:00", "10 Apr 2026, 18:00"],
        "the fourth is tomorrow's"
    );
    let sure = checked.clone().despite("course").expect("a word");
    shed.book.write(sure).expect("written");
    let open = open_doses(&shed.book.flock());
    assert_eq!(open.len(), 1);
    assert_eq!(
        (open[0].words().as_str(), open[0].due.words().as_str()),
        ("dose 4 of 4", "11 Apr 2026, 06:00")
    );
    let mut next = shed.draft("levamisole drench");
    next.more.goes_on = Some(open[0].part);
    next.at = Moment { day: today(), time: Minute::new(21, 0) };
    let sure = shed.check(next.clone()).expect("goes on").despite("early").expect("a word");
    shed.book.write(sure).expect("written");
    assert!(open_doses(&shed.book.flock()).is_empty());
    shed.refuses(
        next,
        "course",
        "0412 has no course of levamisole drench that this dose goes on with: it may be written already",
    );
    let mut other = shed.draft("levamisole drench");
    other.more.goes_on = Some(CoursePart { id: CourseId::new(), nth: 2, of: 3, every_hours: 24 });
    assert!(shed.check(other).is_err());
    let mut none = shed.draft("levamisole drench");
    none.more.course = Some(CourseDraft { doses: 1, every_hours: 12 });
    shed.refuses(
        none,
        "course",
        "a course has 2 to 30 doses, 1 to 1000 hours apart: mend the number of doses or the hours",
    );
}

#[test]
fn an_amount_for_a_group_is_shared_to_the_last_drop() {
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.animals = shed.ids[..3].to_vec();
    (d.route, d.more.shared) = (Some(Route::Water), Dose::from_ml(10.0));
    d.prescribed_by = Some("Orla Brennan".into());
    (d.meat, d.milk) = (Some(Withdrawal::Days(32)), Some(Withdrawal::Days(4)));
    let checked = shed.check(d.clone()).expect("shared");
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    let sum: f64 = all.iter().filter_map(|t| t.dose.and_then(Dose::ml)).sum();
    assert!((sum - 10.0).abs() < 1e-9, "{sum}");
    let mut mouth = d.clone();
    mouth.route = Some(Route::Oral);
    shed.refuses(
        mouth,
        "shared",
        "an amount for all together is given in feed, water or a footbath, not by mouth: choose that route, or type the dose of each",
    );
    d.more.shared = Some(Dose::Pieces(2));
    shed.refuses(d, "shared", "2 pieces cannot be shared among 3 animals: each gets at least one");
}

#[test]
fn an_amended_treatment_is_looked_at_like_a_new_one() {
    let mut shed = shed("gb", false);
    let sure = shed.check(shed.draft("Fellcillin")).expect("on the label").sure().expect("no question");
    shed.book.write(sure).expect("written");
    let flock = shed.book.flock();
    let mut t = flock.file(shed.ids[0]).expect("there").treatments[0].clone();
    t.route = Some(Route::Intravenous);
    let refusals =
        entry::amend(Amended::Treatment(t), "the vein", &flock, today()).expect_err("off-label now");
    assert!(refusals.iter().any(|r| r.field.name == "prescribed_by"), "{refusals:?}");
}

/// The name of each question, so that a new one does not compile until it is asked above.
#[test]
fn no_question_is_left_out() {
    let name = |q: &TreatmentUnusual| match q {
        TreatmentUnusual::OffLabel { .. }
        | TreatmentUnusual::FarAboveLabel { .. }
        | TreatmentUnusual::HoursAsDays { .. }
        | TreatmentUnusual::LongAgo { .. }
        | TreatmentUnusual::OutOfDate { .. }
        | TreatmentUnusual::OpenTooLong { .. }
        | TreatmentUnusual::BeforeBought { .. }
        | TreatmentUnusual::NotSoMuchLeft { .. }
        | TreatmentUnusual::NoSuchPrescription(_)
        | TreatmentUnusual::PrescriptionOver { .. } => "asked above",
    };
    let shed = shed("gb", false);
    let mut d = shed.draft("levamisole drench");
    d.milk = Some(Withdrawal::Days(60));
    let checked = shed.check(d).expect("asked");
    let asked = checked.questions().iter().filter_map(|q| match &q.what {
        Unusual::Treatment(q) => Some(name(q)),
        _ => None,
    });
    assert_eq!(asked.collect::<Vec<_>>(), ["asked above"]);
}
