use super::*;
use crate::flock::{Holding, Weighing};
use crate::papers::fixture::{animal, day, lambs, treatment};
use crate::papers::{carry_on, check};
use crate::terms::*;

const TODAY: &str = "2026-04-10";

/// So many ewes in two pens, each with twins of the spring and a drench.
fn flock(n: usize) -> (Flock, AnimalId) {
    let mut flock = Flock::default();
    flock.set_holding(Holding { flock: "Thornley Fellsides".into(), ..Holding::default() });
    let mut first = None;
    for i in 0..n {
        let mut ewe = animal(&format!("{:04}", 412 + i), "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2021-04-02"));
        ewe.animal.pen = Some(if i % 2 == 0 { "Jug 1" } else { "Top shed" }.into());
        let id = ewe.animal.id;
        first.get_or_insert(id);
        let on = day("2026-03-20").plus((i % 14) as i64);
        let twins = [("L1", Sex::Ewe, 4_200), ("L2", Sex::Ram, 4_600)];
        let born = lambs(&mut ewe, None, Moment::day(on), &twins);
        let given = Moment::day(on.plus(2));
        ewe.treatments.push(treatment(
            id,
            "levamisole drench",
            given,
            Withdrawal::Days(21),
            Withdrawal::Unknown,
        ));
        for (on, g) in [("2025-09-01", 61_000), ("2026-02-01", 66_500)] {
            let (at, weight) = (Moment::day(day(on)), Weight::from_grams(g).unwrap());
            ewe.weighings.push(Weighing {
                id: WeighingId::new(),
                animal: id,
                at,
                weight,
                note: None,
                session: None,
                struck: None,
            });
        }
        flock.put(ewe);
        born.into_iter().for_each(|l| flock.put(l));
    }
    (flock, first.unwrap())
}

#[test]
fn a_season_runs_over_pages_with_every_animal_once() {
    let (flock, _) = flock(40);
    let options = TimelineOptions::default();
    let paper = timeline(&flock, None, day(TODAY), &options, &carry_on).unwrap();
    assert!(paper.pages.len() > 2, "{}", paper.pages.len());
    check::assert_inside(&paper, 8.0);
    let words: Vec<&str> = paper.words().collect();
    for i in 0..40 {
        let tag = format!("{:04}", 412 + i);
        assert_eq!(words.iter().filter(|w| **w == tag).count(), 1, "{tag}");
    }
    assert!(words.iter().any(|w| w.contains("lambing peak 20 Mar to 26 Mar 2026: 21 ewes")), "{words:?}");
    assert!(words.iter().any(|w| w.contains("40 under withdrawal")));
    assert_eq!(words.iter().filter(|w| **w == "today").count(), paper.pages.len(), "today on each page");
}

#[test]
fn a_life_is_one_page_with_its_sentences() {
    let (flock, ewe) = flock(2);
    let options = TimelineOptions { from: Some(day("2025-08-01")), ..TimelineOptions::default() };
    let paper = timeline(&flock, Some(&[ewe]), day(TODAY), &options, &carry_on).unwrap();
    assert_eq!(paper.pages.len(), 1);
    check::assert_inside(&paper, 8.0);
    let text = paper.words().collect::<Vec<_>>().join(" ");
    for word in ["Life of 0412", "Treatments", "66.5 kg", "levamisole drench", "clear 13 Apr 2026"] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let less = TimelineOptions { kinds: Kinds::all().toggled(Kind::Treatment), ..options };
    let paper = timeline(&flock, Some(&[ewe]), day(TODAY), &less, &carry_on).unwrap();
    assert!(!paper.words().any(|w| w.contains("levamisole")), "left out");
}

#[test]
fn nothing_to_draw_is_said_and_stopping_stops() {
    let options = TimelineOptions::default();
    let none = timeline(&Flock::default(), None, day(TODAY), &options, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    let (flock, _) = flock(3);
    let stopped = timeline(&flock, None, day(TODAY), &options, &|_, _| false);
    assert_eq!(stopped, Err(PaperFailed::Stopped));
}
