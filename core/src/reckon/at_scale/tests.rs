use super::*;
use crate::flock::{AnimalFile, Daybook, Scoring, Struck, Weighing};
use crate::papers::fixture::{animal, day};
use crate::terms::{Born, Gain, Moment, Score, ScoreKind, ScoringId, Sex, Units, WeighingId, Weight};

fn session(on: &str, group: Option<&str>) -> Session {
    Session {
        id: SessionId::new(),
        on: day(on),
        time: None,
        scale: None,
        group: group.map(str::to_string),
        gut: None,
        note: None,
    }
}

fn weigh(f: &mut AnimalFile, s: Option<&Session>, on: &str, grams: i64) {
    f.weighings.push(Weighing {
        id: WeighingId::new(),
        animal: f.animal.id,
        at: Moment::day(day(on)),
        weight: Weight::from_grams(grams).unwrap(),
        session: s.map(|s| s.id),
        note: None,
        struck: None,
    });
}

fn score(f: &mut AnimalFile, s: &Session, kind: ScoreKind, points: u8) {
    f.scores.push(Scoring {
        id: ScoringId::new(),
        animal: f.animal.id,
        at: Moment::day(s.on),
        score: Score::new(kind, points * 4).unwrap(),
        session: Some(s.id),
        note: None,
        struck: None,
    });
}

fn strike(w: &mut Weighing) {
    w.struck = Some(Box::new(Struck { on: day("2026-05-20"), reason: "wrong tag".into() }));
}

fn lamb(tag: &str, sex: Sex, born: &str) -> AnimalFile {
    let mut f = animal(tag, "", sex);
    f.animal.born = Born::parse(born).unwrap();
    f
}

fn flock(files: impl IntoIterator<Item = AnimalFile>, sessions: &[&Session]) -> Flock {
    let mut flock = Flock::default();
    flock.set_daybook(Daybook {
        sessions: sessions.iter().map(|s| (*s).clone()).collect(),
        money: Vec::new(),
    });
    for f in files {
        flock.put(f);
    }
    flock
}

#[test]
fn the_race_keeps_its_order_and_what_is_struck_counts_for_nothing() {
    let (old, new) = (session("2026-05-01", None), session("2026-05-20", None));
    let mut a = lamb("0601", Sex::Ram, "2026-03-01");
    let mut b = lamb("0602", Sex::Ewe, "2026-03-02");
    let mut c = lamb("0603", Sex::Ewe, "2026-03-02");
    weigh(&mut a, Some(&old), "2026-05-01", 15_000);
    // 0602 before 0601; 0601 twice, the first struck out; 0603 scored alone.
    weigh(&mut b, Some(&new), "2026-05-20", 19_000);
    weigh(&mut a, Some(&new), "2026-05-20", 9_000);
    strike(&mut a.weighings[1]);
    weigh(&mut a, Some(&new), "2026-05-20", 20_700);
    score(&mut a, &new, ScoreKind::Dag, 2);
    score(&mut c, &new, ScoreKind::Dag, 1);
    let ids = [a.animal.id, b.animal.id, c.animal.id];
    let flock = flock([a, b, c], &[&old, &new]);
    let rows = race(&flock, new.id);
    let order: Vec<_> = rows.iter().map(|r| (r.animal, r.struck)).collect();
    assert_eq!(order, [(ids[1], false), (ids[0], true), (ids[0], false), (ids[2], false)]);
    assert!(rows[1].scores.is_empty());
    assert_eq!(rows[2].score_words(), "dag 2");
    // (20.7 − 15.0) kg over 19 days.
    assert_eq!(rows[2].gain, Some((Gain(300), 19)));
    let t = tally(&rows);
    assert_eq!((t.animals, t.weights.n, t.struck), (3, 2, 1));
    assert_eq!(t.weights.mean().map(Weight::grams), Some(19_850));
    assert_eq!((t.least.map(|l| l.1), t.most.map(|m| m.1)), (Some(ids[1]), Some(ids[0])));
    assert_eq!(t.gain, Some((Gain(300), 1)));
    // Looked into one file alone, the rows of that animal are the same.
    let of_one = race_of(new.id, flock.file(ids[0]).into_iter());
    assert_eq!(of_one, rows[1..3]);
    let lines = sessions(&flock);
    assert_eq!(lines.iter().map(|l| l.session.id).collect::<Vec<_>>(), [new.id, old.id]);
    assert_eq!((lines[0].weighed.n, lines[0].scored, lines[1].weighed.n), (2, 2, 1));
}

#[test]
fn the_next_is_proposed_by_the_order_of_the_last_session() {
    let spring = session("2026-05-01", Some("ram lambs"));
    let ewes = session("2026-05-10", Some("ewes"));
    let now = session("2026-05-20", Some("Ram lambs"));
    let mut files: Vec<AnimalFile> =
        ["0601", "0602", "0603", "0604"].map(|t| lamb(t, Sex::Ram, "2026-03-01")).into();
    for n in [2, 0, 1] {
        weigh(&mut files[n], Some(&spring), "2026-05-01", 15_000);
    }
    // A newer session, in which one of them was among the ewes by mistake, is of another group.
    weigh(&mut files[3], Some(&ewes), "2026-05-10", 15_500);
    let ids: Vec<AnimalId> = files.iter().map(|f| f.animal.id).collect();
    let flock = flock(files, &[&spring, &ewes, &now]);
    let group = Group::read(&flock, "Ram Lambs");
    assert_eq!(group, Group::RamLambs);
    let members = group.members(&flock, day("2026-05-20"));
    assert_eq!(members, ids);
    let order = in_last_order(&flock, members.clone(), Some(now.id), Some("ram lambs"));
    assert_eq!(order, [ids[2], ids[0], ids[1], ids[3]], "as they came, then by tag");
    let none = HashSet::new();
    assert_eq!(next(&order, &none, None), Some(ids[2]));
    let done = HashSet::from([ids[2], ids[3]]);
    assert_eq!(next(&order, &done, Some(ids[2])), Some(ids[0]));
    assert_eq!(next(&order, &done, Some(ids[3])), Some(ids[0]), "round the end");
    assert_eq!(next(&order, &HashSet::from_iter(order.clone()), Some(ids[0])), None);
    assert_eq!(next(&[], &none, Some(ids[0])), None);
    // The first session of all: by tag.
    assert_eq!(in_last_order(&flock, members, Some(spring.id), Some("ram lambs")), ids);
}

#[test]
fn groups_are_kinds_pens_or_words() {
    let mut ewe = lamb("0412", Sex::Ewe, "2022-03-01");
    ewe.animal.pen = Some("Bank field".into());
    let old_lamb = lamb("0555", Sex::Ram, "2025-09-01");
    let files = [
        lamb("0602", Sex::Ewe, "2026-03-20"),
        lamb("0601", Sex::Ram, "2026-02-20"),
        old_lamb,
        ewe,
        lamb("R7", Sex::Ram, "2020-03-01"),
    ];
    let flock = flock(files, &[]);
    let on = day("2026-05-20");
    let tags = |text: &str| -> Vec<String> {
        let members = Group::read(&flock, text).members(&flock, on);
        members.into_iter().map(|id| flock.tag(id).to_string()).collect()
    };
    assert_eq!(tags("lambs"), ["0601", "0602"], "a lamb of last autumn is of another season");
    assert_eq!(tags("ewe lambs"), ["0602"]);
    assert_eq!(tags("ewes"), ["0412"]);
    assert_eq!(tags("rams"), ["R7"]);
    assert_eq!(tags(" bank FIELD "), ["0412"]);
    assert_eq!(Group::read(&flock, "bank field").text().as_deref(), Some("Bank field"));
    assert_eq!(Group::read(&flock, "the blue ones"), Group::Named("the blue ones".into()));
    assert!(tags("the blue ones").is_empty() && tags("").is_empty());
    assert_eq!(Group::read(&flock, "Anyone").text(), None);
    // Before they were born there are none.
    assert!(Group::Lambs.members(&flock, day("2026-01-01")).iter().all(|id| flock.tag(*id) == "0555"));
    let groups = due_for_session(&flock, on);
    assert!(groups.contains(&("Bank field".into(), 1)) && groups.contains(&("anyone".into(), 5)));
    assert!(!groups.iter().any(|(g, _)| g == "wether lambs"), "no kind without an animal");
}

#[test]
fn what_fell_or_cannot_be_is_to_be_looked_at() {
    let s = session("2026-05-20", None);
    let mut files: Vec<AnimalFile> =
        ["0601", "0602", "0603", "0604"].map(|t| lamb(t, Sex::Ram, "2026-03-01")).into();
    for (f, (before, now)) in
        files.iter_mut().zip([(15_000, 18_000), (15_000, 14_600), (15_000, 34_000), (15_000, 16_000)])
    {
        weigh(f, None, "2026-05-10", before);
        weigh(f, Some(&s), "2026-05-20", now);
    }
    weigh(&mut files[3], Some(&s), "2026-05-20", 17_000);
    let flock = flock(files, &[&s]);
    let all = look_at(&flock, &race(&flock, s.id), Units::Metric, false);
    let words: Vec<&str> = all.iter().map(|l| l.words.as_str()).collect();
    assert_eq!(
        words,
        [
            "0602 lost 0.4 kg in 10 days",
            "0603 gained 1900 g a day: more than lambs do; is the tag right?",
            "0604 was weighed twice: is one of them another animal?",
        ]
    );
}

#[test]
fn an_empty_session_says_nothing() {
    let s = session("2026-05-20", None);
    let flock = flock([], &[&s]);
    let rows = race(&flock, s.id);
    assert_eq!((rows.len(), tally(&rows)), (0, Tally::default()));
    assert!(look_at(&flock, &rows, Units::Metric, true).is_empty());
    assert!(due_for_session(&flock, day("2026-05-20")).iter().all(|(_, n)| *n == 0));
}

#[test]
fn a_tag_read_wrongly_is_told_with_the_one_that_was_meant() {
    let s = session("2026-05-20", None);
    let (mut a, mut b) = (lamb("0612", Sex::Ram, "2026-03-01"), lamb("0621", Sex::Ram, "2026-03-01"));
    for (f, weights) in [(&mut a, [9_000, 13_000]), (&mut b, [14_000, 20_000])] {
        weigh(f, None, "2026-04-10", weights[0]);
        weigh(f, None, "2026-05-05", weights[1]);
    }
    // 0621 was on the scale, and 0612 was typed.
    weigh(&mut a, Some(&s), "2026-05-20", 24_000);
    let flock = flock([a, b], &[&s]);
    let all = look_at(&flock, &race(&flock, s.id), Units::Metric, true);
    assert_eq!(all.len(), 1);
    assert!(all[0].words.contains("It fits 0621"), "{}", all[0].words);
}
