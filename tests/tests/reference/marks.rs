//! Electronic numbers against ISO 11784; sources in `reference/iso11784.toml`.

use hirsel_core::terms::ElectronicId;
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Number {
    text: String,
    verdict: String,
    hex: Option<String>,
}

#[test]
fn numbers_are_told_apart() {
    for r in rows::<Number>("iso11784", "number") {
        let read = ElectronicId::parse(&r.text);
        let verdict = match &read {
            Err(_) => "invalid",
            Ok(e) if e.is_test() => "test",
            Ok(e) if e.is_makers() => "maker",
            Ok(_) => "valid",
        };
        assert_eq!(verdict, r.verdict, "{}", r.text);
        if let Ok(e) = read {
            let digits: String = r.text.chars().filter(char::is_ascii_digit).collect();
            assert_eq!(e.digits(), digits);
        }
    }
}

#[test]
fn the_word_a_reader_sends_is_the_same_number() {
    let mut seen = 0;
    for r in rows::<Number>("iso11784", "number") {
        let Some(hex) = r.hex else { continue };
        let number = ElectronicId::parse(&r.text).expect("a number");
        assert_eq!(format!("{:016X}", number.word()), hex, "{}", r.text);
        assert_eq!(ElectronicId::parse(&hex), Ok(number), "{hex}");
        assert_eq!(ElectronicId::parse(&format!("0x{}", hex.to_lowercase())), Ok(number), "0x{hex}");
        // Bit 1 is the animal flag, 17 to 26 the country, 27 to 64 the national code.
        let word = u64::from_str_radix(&hex, 16).expect("hex");
        assert_eq!(word >> 63, 1);
        assert_eq!(((word >> 38) & 0x3ff) as u16, number.country());
        seen += 1;
    }
    assert!(seen >= 2, "the table holds words");
}

#[test]
fn a_word_that_is_no_animals_is_refused() {
    assert!(ElectronicId::parse("0x0000CE82DFDAE87B").is_err(), "the animal flag is off");
}
