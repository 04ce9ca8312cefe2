use super::*;
use crate::flock::Weighing;
use crate::papers::fixture::{animal, day};
use crate::terms::{Born, Moment, Sex, WeighingId};

fn lamb() -> AnimalFile {
    let mut f = animal("1", "", Sex::Ewe);
    f.animal.born = Born::On(day("2026-03-01"));
    f.animal.birth_weight = Weight::from_grams(4_000);
    for (on, grams) in [("2026-03-31", 13_000), ("2026-04-30", 22_000)] {
        f.weighings.push(Weighing {
            id: WeighingId::new(),
            animal: f.animal.id,
            at: Moment::day(day(on)),
            weight: Weight::from_grams(grams).unwrap(),
            session: None,
            note: None,
            struck: None,
        });
    }
    f
}

#[test]
fn between_any_two_days() {
    let mut f = lamb();
    let b = gain_between(&f, day("2026-03-11"), day("2026-04-30")).unwrap();
    // 4 + 9 · 10/30 = 7 kg on the line, 22 kg weighed; 15 kg in 50 days.
    assert_eq!((b.from.grams(), b.to.grams(), b.gain.0, b.days, b.weighed), (7_000, 22_000, 300, 50, false));
    let birth = gain_between(&f, day("2026-03-01"), day("2026-03-31")).unwrap();
    assert_eq!((birth.gain.0, birth.weighed), (300, true), "since birth");
    for (from, to, why) in [
        ("2026-02-20", "2026-04-01", NoGain::Before(day("2026-03-01"))),
        ("2026-03-20", "2026-05-01", NoGain::After(day("2026-04-30"))),
        ("2026-03-20", "2026-03-20", NoGain::NoDays),
    ] {
        assert_eq!(gain_between(&f, day(from), day(to)), Err(why), "{}", why.words());
    }
    assert_eq!(
        gain_between(&animal("2", "", Sex::Ewe), day("2026-03-01"), day("2026-03-02")),
        Err(NoGain::NotWeighed)
    );
    let (a, b) = (SessionId::new(), SessionId::new());
    assert_eq!(gain_between_sessions(&f, a, b), Err(NoGain::NotInSession));
    f.weighings[0].session = Some(a);
    f.weighings[1].session = Some(b);
    assert_eq!(gain_between_sessions(&f, a, b).map(|g| g.gain.0), Ok(300));
    assert_eq!(gain_between_sessions(&f, a, a), Err(NoGain::NoDays));
}

#[test]
fn means_of_groups() {
    let all = [("Bank", 300), ("Croft", 250), ("Bank", 200)].map(|(g, n)| (g.to_string(), Gain(n)));
    assert_eq!(mean_gains(all), [("Bank".to_string(), 250.0, 2), ("Croft".into(), 250.0, 1)]);
}
