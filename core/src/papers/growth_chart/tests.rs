use super::*;
use crate::flock::{Holding, Weighing};
use crate::papers::fixture::{animal, day};
use crate::papers::{carry_on, check};
use crate::terms::*;

fn lamb(tag: &str, grams: &[(i64, i64)]) -> AnimalFile {
    let born = day("2026-03-01");
    let mut f = animal(tag, "Bracken", Sex::Ewe);
    f.animal.born = Born::On(born);
    f.animal.birth_type = BirthType::new(2);
    f.animal.rear_type = RearType::new(2);
    f.animal.birth_weight = Weight::from_grams(4_200);
    for (age, g) in grams {
        let at = Moment::day(born.plus(*age));
        let weight = Weight::from_grams(*g).unwrap();
        f.weighings.push(Weighing {
            id: WeighingId::new(),
            animal: f.animal.id,
            at,
            weight,
            session: None,
            note: None,
            struck: None,
        });
    }
    f
}

const GROWN: [(i64, i64); 6] =
    [(20, 9_300), (41, 15_600), (60, 20_900), (84, 27_300), (110, 33_000), (140, 38_400)];

#[test]
fn a_page_holds_the_chart_and_its_words() {
    let mut flock = Flock::default();
    let (one, two) = (lamb("0412", &GROWN), lamb("0413", &GROWN[..1]));
    let ids = [one.animal.id, two.animal.id];
    flock.put(one);
    flock.put(two);
    let today = day("2026-07-25");
    for sheet in SheetSize::ALL {
        let paper = growth_chart(&flock, &ids, today, sheet, &carry_on).unwrap();
        assert_eq!(paper.pages.len(), 2);
        check::assert_inside(&paper, 8.0);
        let words: Vec<String> =
            paper.pages.iter().map(|p| p.words().collect::<Vec<_>>().join(" ")).collect();
        for said in [
            "Growth of 0412 Bracken",
            "weight, kg",
            "age, days",
            "Expected today",
            "Mature weight",
            "through 7 weights",
        ] {
            assert!(words[0].contains(said), "{said}: {}", words[0]);
        }
        assert!(words[1].contains("No curve: only weighed on 2 days: a curve needs 4"), "{}", words[1]);
    }
    let mut holding = Holding { flock: "Thornley Fellsides".into(), ..Holding::default() };
    holding.units = Units::Imperial;
    flock.set_holding(holding);
    let paper = growth_chart(&flock, &ids[..1], today, SheetSize::A4, &carry_on).unwrap();
    assert!(paper.words().any(|w| w == "weight, lb") && paper.title == "Growth of 0412 Bracken");
    let none = growth_chart(&flock, &[], today, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    assert_eq!(growth_chart(&flock, &ids, today, SheetSize::A4, &|_, _| false), Err(PaperFailed::Stopped));
}

#[test]
fn the_day_of_a_weight_is_said_with_its_span() {
    let mut flock = Flock::default();
    let f = lamb("0412", &GROWN);
    let id = f.animal.id;
    flock.put(f);
    let drawn = drawn_for(&flock, flock.file(id).unwrap(), day("2026-07-25"), &MODELS);
    let told = |kg: i64| reach_words(&drawn, Weight::from_grams(kg * 1000).unwrap(), Units::Metric);
    // 38.4 kg on 19 July, about 170 g a day then.
    assert!(told(40).starts_with("40.0 kg: expected ") && told(40).contains(" Jul"), "{}", told(40));
    assert_eq!(told(4), "4.0 kg: it weighed more than that at its first weight".to_string());
    assert!(told(90).starts_with("90.0 kg: not within the next 70 days"), "{}", told(90));
    assert!(
        drawn.chart.said.starts_with("7 weights of 0412 by age, from 4.2 kg at birth to 38.4 kg at 140 days")
    );
}
