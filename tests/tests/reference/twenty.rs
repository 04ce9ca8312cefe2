//! Twenty treatments under four rule sets: the period that must hold and every clear date, worked out by hand in
//! `reference/twenty.toml` (and to be read in `reference/twenty.md`).

use hirsel_core::entry::{
    AnimalDraft, DoseDraft, ProductDraft, TreatmentDraft, TreatmentExtra, animals, products, treatments,
};
use hirsel_core::flock::{CoursePart, Holding};
use hirsel_core::reckon::clearance::clearance_in;
use hirsel_core::rules::{Commodity, Floor, OffLabelUse, rule_set};
use hirsel_core::terms::{Born, CourseId, Day, DoseRule, Minute, Moment, ProductClass, Sex, Tag, Withdrawal};
use hirsel_core::{book::Book, flock::ProductMore};
use hirsel_tests::book::{day, room};
use hirsel_tests::reference::rows;
use serde::Deserialize;
use std::collections::HashSet;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    n: u32,
    what: String,
    label_meat: Vec<String>,
    label_milk: Vec<String>,
    off_label: bool,
    for_food_animals: bool,
    for_milk_animals: bool,
    other_family: bool,
    organic: bool,
    vaccine: bool,
    animal: String,
    on: String,
    time: Option<String>,
    course: Option<Course>,
    eu: Under,
    gb: Under,
    ni: Under,
    us: Under,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(deny_unknown_fields)]
struct Course {
    doses: u8,
    hours: u16,
    given: u8,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Under {
    meat: String,
    milk: String,
    meat_clear: String,
    milk_clear: String,
    floor: Option<[u16; 2]>,
}

const SETS: [&str; 4] = ["eu", "gb", "ni", "us"];

impl Given {
    fn under(&self, set: &str) -> &Under {
        match set {
            "eu" => &self.eu,
            "gb" => &self.gb,
            "ni" => &self.ni,
            _ => &self.us,
        }
    }

    fn labels(&self, what: Commodity) -> Vec<Withdrawal> {
        let all = if what == Commodity::Meat { &self.label_meat } else { &self.label_milk };
        all.iter().map(|l| period(l)).collect()
    }

    fn product(&self) -> String {
        format!("Product {}", self.n)
    }

    /// Each dose that was given.
    fn doses(&self) -> Vec<(Moment, Option<CoursePart>)> {
        let time = self.time.as_deref().map(|t| Minute::parse(t).expect("a time"));
        let Some(c) = self.course else { return vec![(Moment { day: day(&self.on), time }, None)] };
        let id = CourseId::new();
        let start = u32::from(time.expect("a course by the hour").of_day() as u16);
        let dose = |nth: u8| {
            let at = start + u32::from(nth - 1) * u32::from(c.hours) * 60;
            let on = day(&self.on).plus(i64::from(at / 1440));
            let time = Minute::new(at % 1440 / 60, at % 60);
            let part = CoursePart { id, nth, of: c.doses, every_hours: c.hours };
            (Moment { day: on, time }, Some(part))
        };
        (1..=c.given).map(dose).collect()
    }
}

fn period(text: &str) -> Withdrawal {
    Withdrawal::parse(text).expect("a period")
}

#[test]
fn the_period_that_must_hold() {
    for g in rows::<Given>("twenty", "given") {
        for set in SETS {
            let rules = rule_set(set).expect("shipped");
            let under = g.under(set);
            for (i, what, written) in [(0, Commodity::Meat, &under.meat), (1, Commodity::Milk, &under.milk)] {
                let told = format!("{} {}, {set}, {}", g.n, g.what, what.word());
                let label = g.labels(what);
                if !g.off_label {
                    let wanted = match rules.organic().filter(|_| g.organic) {
                        Some(organic) => organic.at_least(label[0], g.vaccine),
                        None => label[0],
                    };
                    assert_eq!(period(written), wanted, "{told}");
                    continue;
                }
                let product = OffLabelUse {
                    label: label.clone(),
                    for_food_animals: Some(g.for_food_animals),
                    for_milk_animals: Some(g.for_milk_animals),
                    other_family: Some(g.other_family),
                };
                let floor = rules.floor(what, &product);
                assert!(!floor.refuses(period(written)), "{told}: {}", floor.words());
                match (under.floor, &floor) {
                    (Some(wanted), Floor::Days { days, .. }) => {
                        assert_eq!(*days, wanted[i], "{told}: {}", floor.words());
                        if let Some(less) = days.checked_sub(1) {
                            assert!(floor.refuses(Withdrawal::Days(less)), "{told}");
                            assert!(floor.refuses(Withdrawal::Hours(days * 24 - 1)), "{told}");
                        }
                    }
                    // The vet sets it, and the label's own is too short.
                    (None, Floor::VetSetsMoreThan { .. }) => {
                        assert_eq!(set, "us", "{told}");
                        assert!(label.iter().all(|l| floor.refuses(*l) || label.len() > 1), "{told}");
                    }
                    other => panic!("{told}: {other:?}"),
                }
            }
        }
    }
}

#[test]
fn every_clear_date() {
    let all = rows::<Given>("twenty", "given");
    assert_eq!(all.len(), 20);
    for set in SETS {
        let folder = room();
        let holding = Holding { flock: "Twenty".into(), rules: set.into(), ..Holding::default() };
        let mut book = Book::create(&folder.path().join("a.hirsel"), holding).expect("made");
        let today: Day = day("2026-06-01");
        let tags: HashSet<&str> = all.iter().map(|g| g.animal.as_str()).collect();
        let ewes = tags.iter().map(|t| {
            let mut ewe = AnimalDraft::new(Tag::parse(t).expect("a tag"), Sex::Ewe);
            ewe.born = Born::On(day("2022-03-01"));
            ewe
        });
        let sure = animals(ewes.collect(), &book.flock(), today).expect("fits").sure().expect("no question");
        book.write(sure).expect("written");
        let label = |l: &[String]| l.first().map(|l| period(l)).unwrap_or_default();
        let shelf = all.iter().map(|g| ProductDraft {
            name: g.product(),
            substance: None,
            form: None,
            strength: None,
            rule: DoseRule::Typed,
            route: None,
            meat: label(&g.label_meat),
            milk: label(&g.label_milk),
            licensed_for: Some(if g.off_label { "cattle" } else { "sheep" }.into()),
            more: ProductMore {
                class: if g.vaccine { ProductClass::Vaccine } else { ProductClass::Other },
                ..ProductMore::default()
            },
        });
        let sure = products(shelf.collect(), &book.flock()).expect("fits").despite("label").expect("a word");
        book.write(sure).expect("written");
        for g in &all {
            for (at, course) in g.doses() {
                let under = g.under(set);
                let flock = book.flock();
                let draft = TreatmentDraft {
                    animals: vec![flock.by_tag(&g.animal).expect("there")],
                    at,
                    product: g.product(),
                    batch: None,
                    dose: DoseDraft::Typed(None),
                    route: None,
                    site: None,
                    reason: None,
                    given_by: None,
                    prescribed_by: g.off_label.then(|| "I. Corvane".into()),
                    meat: Some(period(&under.meat)),
                    milk: Some(period(&under.milk)),
                    more: TreatmentExtra {
                        off_label: g.off_label.then(|| "species".into()),
                        of_course: course,
                        ..TreatmentExtra::default()
                    },
                };
                let check = treatments(vec![draft], &flock, today);
                let checked = check.unwrap_or_else(|e| panic!("{} under {set}: {e:?}", g.n));
                book.write(checked.despite("as directed").expect("a word")).expect("written");
            }
        }
        let flock = book.flock();
        for g in &all {
            let file = flock.by_tag(&g.animal).and_then(|id| flock.file(id)).expect("there");
            let c = clearance_in(&flock, file, today);
            let told = (c.meat.clear.text(), c.milk.clear.text());
            let under = g.under(set);
            assert_eq!(
                told,
                (under.meat_clear.clone(), under.milk_clear.clone()),
                "{} {}, {set}",
                g.n,
                g.what
            );
        }
    }
}

/// The table to be read says what the data say.
#[test]
fn the_table_to_be_read_holds_every_date() {
    let text = include_str!("../../reference/twenty.md");
    for g in rows::<Given>("twenty", "given") {
        let at = text.find(&format!("| {} | {}", g.n, g.what)).unwrap_or_else(|| panic!("{}", g.what));
        let mut lines = text[at..].lines();
        for milk in [false, true] {
            let line = lines.next().expect("a line of meat and one of milk");
            let cells: Vec<&str> = line.split('|').rev().skip(1).take(4).collect();
            for (set, cell) in SETS.iter().rev().zip(cells) {
                let under = g.under(set);
                let clear = if milk { &under.milk_clear } else { &under.meat_clear };
                assert!(cell.trim().ends_with(clear.as_str()), "{} {set}: {cell}", g.n);
            }
        }
    }
}
