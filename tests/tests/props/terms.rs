//! What is printed is read again as the same; and nothing typed ever stops the program.

use hirsel_core::terms::{
    BirthType, Born, Breed, Day, Dose, Ease, ElectronicId, Fate, Minute, RearType, Route, Sex, Status, Tag,
    Units, Weight, Withdrawal,
};
use hirsel_tests::book::today;
use proptest::prelude::*;

fn days() -> impl Strategy<Value = Day> {
    (1900i32..2200, 1u32..=12, 1u32..=31).prop_filter_map("no such day", |(y, m, d)| Day::new(y, m, d))
}

fn breeds() -> impl Strategy<Value = Breed> {
    let names = prop::sample::subsequence(vec!["Fellside", "Hillgrey", "Åsdal", "Fell/Hill cross"], 1..=4);
    let long = "[a-z]{60,119}".prop_map(|n| vec![n]);
    let names = prop_oneof![4 => names.prop_map(|n| n.into_iter().map(String::from).collect()), 1 => long];
    (names, 0u32..8).prop_filter_map("no breed", |(names, den)| {
        let den: u32 = 1 << den;
        let n = names.len() as u32;
        let parts: Vec<String> = names
            .iter()
            .enumerate()
            .map(|(i, name)| match (n, i) {
                (1, _) => name.clone(),
                (_, 0) => format!("{name} {}/{den}", den.checked_sub(n - 1).filter(|r| *r > 0).unwrap_or(1)),
                _ => format!("{name} 1/{den}"),
            })
            .collect();
        Breed::parse(&parts.join(" + ")).ok().flatten()
    })
}

/// Things people and scanners type: mostly near misses of what is meant, sometimes anything at all.
fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[-+~/.,: 0-9]{0,20}",
        "-{0,2} ?[0-9]{1,20}",
        "[0-9]{1,4}[-/. ][+-]?[0-9]{1,2}[-/. ][+-]?[0-9]{1,6}",
        "[0-9]{0,3}(st|nd|rd|th|é)? ?(jan|feb|mär|apr|sept|dec|mon|today|fri)[a-z]{0,6} ?[0-9]{0,5}",
        "[0-9]{0,24}[.,]?[0-9]{0,24} ?(kg|g|lb|lbs|oz|ml|l|mg|tablets|h|d|days|hours|am|pm|é)?",
        "[0-9]{1,3} ?lbs? ?[0-9.]{0,4} ?(oz)?",
        "(0x|0X)?[0-9a-fA-F+]{14,17}",
        "[0-9 -]{13,20}",
        "~?[+-]?[0-9]{4}(-[0-9+]{1,2}){0,2}",
        "([A-Za-z]{1,6} [0-9]{1,10}/[0-9]{1,10} ?\\+? ?){0,3}",
        "(unknown|never|bottle|twin|\\?|NaN|inf|1e[0-9]{1,3})",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_typed_stops_the_program(text in typed(), today in days()) {
        let _ = Day::parse_typed(&text, today).map(|d| (d.words(), d.long()));
        let _ = Born::parse_typed(&text, today).map(|b| (b.earliest(), b.latest(), b.words()));
        let _ = (Minute::parse(&text), Breed::parse(&text), Sex::parse(&text), Fate::parse(&text));
        let _ = (Ease::parse(&text), Status::parse(&text), Route::parse(&text), BirthType::parse(&text));
        let _ = (RearType::parse(&text), Units::parse(&text));
        for units in [Units::Metric, Units::Imperial] {
            let _ = Weight::parse(&text, units).map(|w| w.show(units));
        }
    }

    /// Whatever is understood is printed so that it is understood again as the same.
    #[test]
    fn what_is_understood_is_printed_and_understood_again(text in typed()) {
        if let Ok(d) = Day::parse_iso(&text) {
            prop_assert_eq!(d.to_string(), text.trim());
        }
        if let Ok(d) = Day::parse_typed(&text, today()) {
            prop_assert_eq!(Day::parse_iso(&d.to_string()), Ok(d));
        }
        if let Ok(b) = Born::parse(&text) {
            prop_assert_eq!(Born::parse(&b.to_string()), Ok(b));
        }
        if let Ok(m) = Minute::parse(&text) {
            prop_assert_eq!(Minute::parse(&m.to_string()), Ok(m));
        }
        if let Ok(w) = Weight::parse(&text, Units::Imperial) {
            prop_assert_eq!(Weight::parse(&w.kg_text(), Units::Metric), Ok(w));
        }
        if let Ok(d) = Dose::parse(&text) {
            prop_assert_eq!(Dose::parse(&d.to_string()), Ok(d));
        }
        if let Ok(w) = Withdrawal::parse(&text) {
            prop_assert_eq!(Withdrawal::parse(&w.text()), Ok(w));
            prop_assert_eq!(Withdrawal::parse(&w.to_string()), Ok(w));
        }
        if let Ok(t) = Tag::parse(&text) {
            prop_assert_eq!(Tag::parse(t.as_str()), Ok(t.clone()));
            prop_assert!(!t.norm().is_empty(), "'{}' can be found by nothing", t);
        }
        if let Ok(e) = ElectronicId::parse(&text) {
            prop_assert_eq!(ElectronicId::parse(&e.to_string()), Ok(e));
            prop_assert_eq!(ElectronicId::parse(&e.digits()), Ok(e));
            // Only a text that is plainly hexadecimal stands for other figures than those typed.
            let figures: String = text.chars().filter(char::is_ascii_digit).collect();
            let hex = text.to_lowercase().contains(['a', 'b', 'c', 'd', 'e', 'f', 'x']);
            prop_assert!(hex || figures == e.digits(), "{} became {}", text, e);
        }
        if let Ok(Some(b)) = Breed::parse(&text) {
            prop_assert_eq!(Breed::parse(&b.to_string()), Ok(Some(b)));
        }
    }

    #[test]
    fn a_lambs_breed_can_be_written_and_read(dam in breeds(), sire in breeds()) {
        if let Some(lamb) = Breed::of_lamb(Some(&dam), Some(&sire)) {
            prop_assert_eq!(Breed::parse(&lamb.to_string()), Ok(Some(lamb.clone())));
            let whole: f64 = lamb.parts().iter().map(|p| f64::from(p.num) / f64::from(p.den)).sum();
            prop_assert!((whole - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn days_and_times_round_trip(d in days(), minute in 0u32..1440) {
        prop_assert_eq!(Day::parse_iso(&d.to_string()), Ok(d));
        prop_assert_eq!(Day::parse_typed(&d.to_string(), today()), Ok(d));
        prop_assert_eq!(Day::parse_typed(&d.words(), today()), Ok(d));
        let m = Minute::new(minute / 60, minute % 60).expect("a minute");
        prop_assert_eq!(Minute::parse(&m.to_string()), Ok(m));
        for b in [Born::On(d), Born::About(d), Born::Year(d.year()), Born::Unknown] {
            prop_assert_eq!(Born::parse(&b.to_string()), Ok(b));
        }
    }

    #[test]
    fn numbers_round_trip(grams in 1i64..=500_000, ul in 1u32..=2_000_000, ug in 1u64..=1_000_000_000_000, n in 1u32..=1000) {
        let w = Weight::from_grams(grams).expect("a weight");
        prop_assert_eq!(Weight::parse(&w.kg_text(), Units::Metric), Ok(w));
        // What people read is rounded, never by more than it shows.
        let slack = if grams < 20_000 { 15 } else { 51 };
        for units in [Units::Metric, Units::Imperial] {
            let again = Weight::parse(&w.show(units), units);
            let near = again.as_ref().map_or(grams < 15, |a| (a.grams() - grams).abs() <= slack);
            prop_assert!(near, "{} g shown as {} is read as {:?}", grams, w.show(units), again);
        }
        for d in [Dose::Volume(ul), Dose::Mass(ug), Dose::Pieces(n)] {
            prop_assert_eq!(Dose::parse(&d.to_string()), Ok(d));
        }
    }

    #[test]
    fn periods_round_trip(n in 0u16..=3650) {
        for w in [Withdrawal::Days(n), Withdrawal::Hours(n), Withdrawal::Never, Withdrawal::Unknown] {
            prop_assert_eq!(Withdrawal::parse(&w.text()), Ok(w));
            prop_assert_eq!(Withdrawal::parse(&w.to_string()), Ok(w));
        }
    }

    #[test]
    fn marks_round_trip(country in 1u64..=999, national in 0u64..=274_877_906_943, text in "\\PC{1,40}") {
        let digits = format!("{country:03}{national:012}");
        let e = ElectronicId::parse(&digits).expect("within 38 bits");
        prop_assert_eq!(e.digits(), digits);
        prop_assert_eq!(ElectronicId::parse(&e.to_string()), Ok(e));
        prop_assert_eq!(ElectronicId::parse(&format!("{:#018x}", e.word())), Ok(e));
        if let Ok(t) = Tag::parse(&text) {
            prop_assert_eq!(Tag::parse(&t.to_string()), Ok(t));
        }
    }
}
