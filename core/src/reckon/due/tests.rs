use super::*;
use crate::flock::{Holding, PenMove, Tick, Weighing};
use crate::papers::fixture::{animal, day, lambs, treatment};
use crate::terms::*;

const VACCINE: &str = "Clostridial vaccine 4-in-1";

fn at(text: &str, hour: u32, minute: u32) -> Moment {
    Moment { day: day(text), time: Minute::new(hour, minute) }
}

fn given(f: &AnimalFile, product: &str, on: &str) -> crate::flock::Treatment {
    treatment(f.animal.id, product, Moment::day(day(on)), Withdrawal::Unknown, Withdrawal::Unknown)
}

fn tick(f: &AnimalFile, step: &str, anchor: &str, outcome: Outcome, on: &str) -> Tick {
    Tick {
        id: TickId::new(),
        animal: f.animal.id,
        step: step.into(),
        anchor: day(anchor),
        round: 0,
        outcome,
        at: Moment::day(day(on)),
        note: Some("seen".into()),
        struck: None,
    }
}

/// A ewe of 2022 with twins, a ewe and a ram lamb, born 12 March 2026 at 04:55.
fn twins() -> (AnimalFile, Vec<AnimalFile>) {
    let mut ewe = animal("0412", "", Sex::Ewe);
    ewe.animal.born = Born::On(day("2022-04-02"));
    ewe.animal.pen = Some("Jug 1".into());
    let born =
        lambs(&mut ewe, None, at("2026-03-12", 4, 55), &[("L1", Sex::Ewe, 4_200), ("L2", Sex::Ram, 4_600)]);
    (ewe, born)
}

fn flock_of(files: Vec<AnimalFile>, rules: &str) -> Flock {
    let mut flock = Flock::default();
    flock.set_holding(Holding { rules: rules.into(), ..Holding::default() });
    files.into_iter().for_each(|f| flock.put(f));
    flock
}

fn job<'a>(all: &'a [Job], step: &str) -> &'a Job {
    all.iter().find(|j| j.step.key == step).unwrap_or_else(|| panic!("no job {step}"))
}

/// Keys of the open jobs that are to be done on a day.
fn now(flock: &Flock, id: AnimalId, on: &str) -> Vec<String> {
    let all = of_animal(flock, id, day(on));
    all.iter().filter(|j| j.state.is_now()).map(|j| j.step.key.clone()).collect()
}

#[test]
fn the_first_evening_of_a_lamb() {
    let (ewe, mut born) = twins();
    let seen = born[0].birth.as_mut().unwrap();
    (seen.sucked, seen.navel_dipped) = (Some(true), Some(true));
    let (first, second) = (born[0].animal.id, born[1].animal.id);
    let flock = flock_of([vec![ewe], born].concat(), "gb");
    let all = of_animal(&flock, first, day("2026-03-12"));
    for done in ["dry", "navel", "suck", "weigh_birth", "tag"] {
        assert!(matches!(job(&all, done).state, State::Done(_)), "{done}");
    }
    assert_eq!(now(&flock, first, "2026-03-12"), ["warm", "navel_again"]);
    assert_eq!(now(&flock, second, "2026-03-12"), ["navel", "warm", "suck", "navel_again"]);
    // Six hours after five to five, to the minute.
    assert_eq!(job(&all, "navel_again").due, at("2026-03-12", 10, 55));
    assert_eq!(job(&all, "navel_again").why(day("2026-03-12")), "born today, 04:55");
}

#[test]
fn rings_end_with_the_law_of_the_place() {
    let (ewe, born) = twins();
    let ram = born[1].animal.id;
    let flock = flock_of([vec![ewe], born].concat(), "gb");
    let last =
        crate::rules::rule_set("gb").unwrap().ring(crate::rules::Procedure::Castration).unwrap().last_day;
    let all = of_animal(&flock, ram, day("2026-03-15"));
    assert_eq!(job(&all, "castrate").state, State::Due);
    assert_eq!(job(&all, "castrate").late.unwrap().day, day("2026-03-12").plus(last));
    let all = of_animal(&flock, ram, day("2026-03-12").plus(last + 1));
    assert_eq!(job(&all, "castrate").state, State::Overdue);
    assert!(
        of_animal(&flock, ram, day("2026-03-15")).iter().all(|j| j.step.key != "selenium"),
        "off as shipped"
    );
}

#[test]
fn a_vaccine_course_hangs_on_the_dam() {
    // Source: Schoenian, CDT vaccinations: 3 to 4 weeks from a ewe not vaccinated. Week 4 else: common practice.
    let (ewe, born) = twins();
    let id = born[0].animal.id;
    let flock = flock_of([vec![ewe.clone()], born.clone()].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-12"));
    assert_eq!(job(&all, "clostridial_early").due.day, day("2026-04-02"));
    assert!(all.iter().all(|j| j.step.key != "clostridial"));

    let mut boosted = ewe.clone();
    boosted.treatments = vec![given(&ewe, VACCINE, "2025-02-10"), given(&ewe, VACCINE, "2026-02-12")].into();
    let flock = flock_of([vec![boosted.clone()], born.clone()].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-12"));
    assert_eq!(job(&all, "clostridial").due.day, day("2026-04-09"));
    assert_eq!(job(&all, "clostridial").why(day("2026-04-09")), "born 12 Mar, 4 weeks today");

    // Five days before lambing is too late to count.
    boosted.treatments[1].at.day = day("2026-03-07");
    let flock = flock_of([vec![boosted], born.clone()].concat(), "gb");
    assert!(of_animal(&flock, id, day("2026-03-12")).iter().any(|j| j.step.key == "clostridial_early"));

    // The second is counted from the day the first was given, and one record completes one of the two.
    let mut lamb = born[0].clone();
    lamb.treatments = vec![given(&lamb, VACCINE, "2026-04-03")].into();
    let flock = flock_of(vec![ewe.clone(), lamb.clone(), born[1].clone()], "gb");
    let all = of_animal(&flock, id, day("2026-04-03"));
    assert_eq!(job(&all, "clostridial_early").state, State::Done(Some(day("2026-04-03"))));
    assert_eq!(job(&all, "clostridial_again").due.day, day("2026-05-01"));
    lamb.treatments.push(given(&lamb, VACCINE, "2026-05-02"));
    let flock = flock_of(vec![ewe, lamb, born[1].clone()], "gb");
    let all = of_animal(&flock, id, day("2026-05-02"));
    assert_eq!(job(&all, "clostridial_again").state, State::Done(Some(day("2026-05-02"))));
}

#[test]
fn ticks_complete_put_off_and_leave_out() {
    let (ewe, mut born) = twins();
    let id = born[0].animal.id;
    let put_off = tick(&born[0], "eyelids", "2026-03-12", Outcome::PutOff(day("2026-03-18")), "2026-03-14");
    let skipped = tick(&born[0], "dock", "2026-03-12", Outcome::Skipped, "2026-03-14");
    let done = tick(&born[0], "thrive", "2026-03-12", Outcome::Done, "2026-03-14");
    born[0].ticks = vec![put_off, skipped, done].into();
    let flock = flock_of([vec![ewe], born].concat(), "gb");
    let on = |d: &str| of_animal(&flock, id, day(d));
    assert_eq!(job(&on("2026-03-15"), "eyelids").state, State::Early);
    assert_eq!(job(&on("2026-03-18"), "eyelids").state, State::Due);
    assert!(job(&on("2026-03-18"), "eyelids").why(day("2026-03-18")).ends_with("put off to 18 Mar: seen"));
    assert_eq!(
        job(&on("2026-03-15"), "dock").state,
        State::Skipped { on: day("2026-03-14"), reason: "seen".into() }
    );
    assert_eq!(job(&on("2026-03-15"), "thrive").state, State::Done(Some(day("2026-03-14"))));
}

#[test]
fn what_is_past_is_missed_and_what_left_has_no_jobs() {
    let (ewe, mut born) = twins();
    let id = born[0].animal.id;
    let flock = flock_of([vec![ewe.clone()], born.clone()].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-30"));
    assert_eq!(job(&all, "navel").state, State::Missed);
    assert_eq!(job(&all, "creep").state, State::Overdue);
    (born[0].animal.status, born[0].animal.status_on) = (Status::Sold, Some(day("2026-03-20")));
    let flock = flock_of([vec![ewe], born].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-30"));
    assert!(all.iter().all(|j| j.due.day <= day("2026-03-20") && !j.state.is_open()));
    assert!(Board::new(&flock, day("2026-03-30")).of(id).is_empty());
}

#[test]
fn rounds_go_on_until_weaning() {
    let (ewe, mut born) = twins();
    let id = born[0].animal.id;
    let flock = flock_of([vec![ewe.clone()], born.clone()].concat(), "gb");
    let days = |flock: &Flock| -> Vec<String> {
        let all = of_animal(flock, id, day("2026-04-10"));
        all.iter().filter(|j| j.step.key == "coccidia").map(|j| j.due.day.to_string()).collect()
    };
    assert_eq!(
        days(&flock),
        ["2026-04-09", "2026-04-23", "2026-05-07", "2026-05-21", "2026-06-04", "2026-06-18"]
    );
    let weaned = tick(&born[0], "wean", "2026-03-12", Outcome::Done, "2026-05-25");
    born[0].ticks.push(weaned);
    let flock = flock_of([vec![ewe.clone()], born.clone()].concat(), "gb");
    assert_eq!(days(&flock), ["2026-04-09", "2026-04-23", "2026-05-07", "2026-05-21"]);
    let all = of_animal(&flock, id, day("2026-05-26"));
    assert_eq!(job(&all, "after_weaning").due.day, day("2026-06-08"));
    // The ewe is not looked at for weaning while her other lamb still sucks.
    let of_ewe = |flock: &Flock| of_animal(flock, ewe.animal.id, day("2026-05-28"));
    assert!(of_ewe(&flock).iter().all(|j| j.step.key != "udder"));
    let weaned = tick(&born[1], "wean", "2026-03-12", Outcome::Done, "2026-05-26");
    born[1].ticks.push(weaned);
    let flock = flock_of([vec![ewe.clone()], born].concat(), "gb");
    let udder: Vec<Day> =
        of_ewe(&flock).iter().filter(|j| j.step.key == "udder").map(|j| j.due.day).collect();
    assert_eq!(udder, [day("2026-05-29"), day("2026-06-03"), day("2026-06-08")]);
}

#[test]
fn a_ewes_year_hangs_on_her_joining() {
    // Due days: husbandry reference, computed with 147 days: service 1 Nov 2025, due 28 Mar 2026.
    let mut ewe = animal("0307", "", Sex::Ewe);
    ewe.animal.born = Born::On(day("2022-04-02"));
    ewe.joinings.push(crate::flock::Joining {
        id: JoiningId::new(),
        ewe: ewe.animal.id,
        ram: AnimalId::new(),
        from: day("2025-11-01"),
        to: Some(day("2025-12-06")),
        method: None,
        group: None,
        struck: None,
    });
    let id = ewe.animal.id;
    let flock = flock_of(vec![ewe.clone()], "gb");
    let all = of_animal(&flock, id, day("2026-02-14"));
    assert_eq!(job(&all, "primary").due.day, day("2026-02-14"), "six weeks before 28 March");
    assert_eq!(job(&all, "booster_first").due.day, day("2026-03-07"));
    assert_eq!(job(&all, "watch_due").due.day, day("2026-03-23"));
    // The ram stayed to 6 December: she may lamb until 152 days after.
    assert_eq!(job(&all, "lamb_overdue").due.day, day("2026-05-07").plus(1));
    assert!(matches!(job(&all, "ram_out").state, State::Done(Some(d)) if d == day("2025-12-06")));
    // The flock joined on 1 November, so it does again.
    assert_eq!(flock_season(&flock, "2026-02-14"), [day("2025-11-01"), day("2026-11-01"), day("2027-11-01")]);
    assert_eq!(now(&flock, id, "2026-09-10"), ["score_early", "udder_feet"]);
    // She lambed: nothing of the wait is left, and the vaccine that was not given is missed.
    let lambs = lambs(&mut ewe, None, Moment::day(day("2026-03-29")), &[("L9", Sex::Ewe, 4_000)]);
    let flock = flock_of([vec![ewe], lambs].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-29"));
    assert!(matches!(job(&all, "watch_due").state, State::Done(_)));
    assert_eq!(job(&all, "booster_first").state, State::Missed);
    assert_eq!(job(&all, "cleansed").state, State::Due);
}

fn flock_season(flock: &Flock, on: &str) -> Vec<Day> {
    Seasons::of(flock, day(on)).days().to_vec()
}

#[test]
fn a_move_a_weighing_and_a_shear_complete_what_they_are_for() {
    let (ewe, mut born) = twins();
    let id = born[0].animal.id;
    born[0].pen_moves.push(PenMove {
        id: PenMoveId::new(),
        animal: id,
        on: day("2026-03-14"),
        pen: Some("Top shed".into()),
        struck: None,
    });
    born[0].weighings.push(Weighing {
        id: WeighingId::new(),
        animal: id,
        at: Moment::day(day("2026-03-14")),
        weight: Weight::from_grams(4_500).unwrap(),
        note: None,
        session: None,
        struck: None,
    });
    let flock = flock_of([vec![ewe], born].concat(), "gb");
    let all = of_animal(&flock, id, day("2026-03-14"));
    for step in ["turn_out", "weigh_again"] {
        assert_eq!(job(&all, step).state, State::Done(Some(day("2026-03-14"))), "{step}");
    }
    assert!(job(&all, "weigh_30").state == State::Early, "the same weighing is none at 30 days");
}

#[test]
fn the_board_holds_what_the_leaf_shows() {
    let (ewe, born) = twins();
    let (ewe_id, ids) = (ewe.animal.id, [born[0].animal.id, born[1].animal.id]);
    let mut flock = flock_of([vec![ewe.clone()], born.clone()].concat(), "gb");
    let today = day("2026-03-14");
    let mut board = Board::new(&flock, today);
    let open = |flock: &Flock, id: AnimalId| -> Vec<Job> {
        let mut all = of_animal(flock, id, today);
        all.retain(|j| j.state.is_open());
        all.sort_by_key(|j| (j.place, j.round));
        all
    };
    let held = |board: &Board, id: AnimalId| {
        let mut all = board.of(id).to_vec();
        all.sort_by_key(|j| (j.place, j.round));
        all
    };
    for id in ids.into_iter().chain([ewe_id]) {
        assert_eq!(held(&board, id), open(&flock, id));
    }
    // A write to the dam moves her lambs' jobs too.
    let mut boosted = ewe;
    boosted.treatments =
        vec![given(&boosted, VACCINE, "2025-02-10"), given(&boosted, VACCINE, "2026-02-12")].into();
    flock.put(boosted);
    flock.set_version(2);
    board.follow(&flock, &[ewe_id]);
    for id in ids.into_iter().chain([ewe_id]) {
        assert_eq!(held(&board, id), open(&flock, id));
    }
    assert_eq!(board.version(), 2);
    let line: Vec<&str> = board.within(&flock, 0).iter().map(|j| j.step.key.as_str()).collect();
    assert!(line.windows(2).any(|w| w[0] == w[1]), "the same job of two animals stands together: {line:?}");
}

fn decide(f: &mut AnimalFile, what: Decided, on: &str) {
    let id = DecisionId::new();
    let animal = f.animal.id;
    f.decisions.push(crate::flock::Decision { id, animal, on: day(on), what, reason: None, struck: None });
    f.animal.meant_for = match what {
        Decided::Entire => MeantFor::Breeding,
        Decided::Castrate => MeantFor::Market,
        _ => MeantFor::Undecided,
    };
}

#[test]
fn a_decision_completes_the_job_of_deciding_and_gives_the_next() {
    let with = |rules: &str, decisions: &[(Decided, &str)]| {
        let (ewe, mut born) = twins();
        decisions.iter().for_each(|(what, on)| decide(&mut born[1], *what, on));
        let id = born[1].animal.id;
        (flock_of([vec![ewe], born].concat(), rules), id)
    };
    let (flock, id) = with("gb", &[]);
    assert!(now(&flock, id, "2026-03-29").contains(&"entire".to_string()));
    // Kept entire at 20 days: decided, and nothing is to be castrated.
    let (flock, id) = with("gb", &[(Decided::Entire, "2026-04-01")]);
    let all = of_animal(&flock, id, day("2026-04-01"));
    assert_eq!(job(&all, "entire").state, State::Done(Some(day("2026-04-01"))));
    assert!(all.iter().all(|j| j.step.key != "castrate"));
    assert!(Board::new(&flock, day("2026-04-02")).of(id).iter().all(|j| j.step.key != "castrate"));
    // Castrate at 20 days: rings ended on day 7, and one job says so.
    let (flock, id) = with("gb", &[(Decided::Castrate, "2026-04-01")]);
    for on in ["2026-04-01", "2026-04-05"] {
        let board = Board::new(&flock, day(on));
        let open: Vec<&Job> = board.of(id).iter().filter(|j| j.step.key == "castrate").collect();
        assert_eq!(open.len(), 1, "{on}");
        assert_eq!((open[0].state.clone(), open[0].late.unwrap().day), (State::Due, day("2026-04-08")));
        assert!(open[0].step.job.contains("rings ended on 19 Mar"), "{}", open[0].step.job);
        let caution = open[0].step.caution.as_deref().unwrap();
        assert!(
            caution.contains("with an anaesthetic") && caution.contains("vet and local law decide"),
            "{caution}"
        );
    }
    assert_eq!(job(&of_animal(&flock, id, day("2026-04-09")), "castrate").state, State::Overdue);
    // At 100 days an anaesthetic is asked for.
    let (flock, id) = with("gb", &[(Decided::Castrate, "2026-06-20")]);
    let all = of_animal(&flock, id, day("2026-06-20"));
    assert!(
        job(&all, "castrate").step.job.contains("with an anaesthetic"),
        "{}",
        job(&all, "castrate").step.job
    );
    // Within the days of rings the law ends it.
    let (flock, id) = with("gb", &[(Decided::Castrate, "2026-03-15")]);
    let all = of_animal(&flock, id, day("2026-03-15"));
    assert_eq!(job(&all, "castrate").late.unwrap().day, day("2026-03-19"));
    assert!(job(&all, "castrate").step.job.contains("a ring may be used until 19 Mar"));
    // By a vet over ten weeks in Canada; without a rule set it is said that none is chosen.
    let (flock, id) = with("ca", &[(Decided::Castrate, "2026-06-01")]);
    assert!(job(&of_animal(&flock, id, day("2026-06-01")), "castrate").step.job.contains("by a vet"));
    let (flock, id) = with("", &[(Decided::Castrate, "2026-04-01")]);
    let all = of_animal(&flock, id, day("2026-04-01"));
    assert!(job(&all, "castrate").step.caution.as_deref().unwrap().contains("No rule set"));
    // Later leaves it open; another word counts in place of the first.
    let (flock, id) = with("gb", &[(Decided::Later, "2026-03-29")]);
    assert_eq!(job(&of_animal(&flock, id, day("2026-03-30")), "entire").state, State::Due);
    let (flock, id) = with("gb", &[(Decided::Castrate, "2026-03-29"), (Decided::Entire, "2026-04-01")]);
    assert!(of_animal(&flock, id, day("2026-04-01")).iter().all(|j| j.step.key != "castrate"));
}
