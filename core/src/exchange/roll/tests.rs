//! Lists of who was read, in any form.

use super::super::Kind;
use super::super::common::{Desk, TODAY, day};
use super::near::one_off;
use super::*;
use proptest::prelude::*;

/// Ten ewe lambs 0401 to 0410 in the Orchard, with numbers 826 0123456 00401 and so on; 0500 without a number, called
/// Bramble; 0499 was sold.
fn desk() -> Desk {
    let mut desk = Desk::new();
    let mut text = String::from("tag,sex,born,electronic,pen,name,status,status_on\n");
    for n in 1..=10 {
        text += &format!("04{n:02},ewe,2026-01-05,8260123456004{n:02},Orchard,,,\n");
    }
    text += "0500,ewe,2022-01-05,,Top shed,Bramble,,\n";
    text += "0499,ewe,2022-01-05,826012345600499,,,sold,2026-08-01\n";
    desk.took(Kind::Animals, &text);
    desk
}

fn roll(flock: &Flock, text: &str) -> Roll {
    RollText::read("list.txt", text.as_bytes(), flock, day(TODAY)).unwrap().roll(flock, day(TODAY))
}

fn tags(flock: &Flock, ids: &[AnimalId]) -> Vec<String> {
    ids.iter().map(|id| flock.tag(*id).to_string()).collect()
}

/// `3 0401`, `4 ? 0777`, `5 ! 82601`: the line and whose it is.
fn told(flock: &Flock, r: &Roll) -> Vec<String> {
    r.rows
        .iter()
        .map(|r| match &r.who {
            Called::Found(id) => format!("{} {}", r.line, flock.tag(*id)),
            Called::Unknown(_) => format!("{} ? {}", r.line, r.read),
            Called::Several(which) => format!("{} or {which}", r.line),
            Called::Wrong(_) => format!("{} ! {}", r.line, r.read),
        })
        .collect()
}

#[test]
fn any_text_with_numbers_in_it_is_a_roll() {
    let desk = desk();
    let flock = desk.flock();
    let want = ["0401", "0402", "0403"];
    for text in [
        "826012345600401\n826012345600402\n826012345600403\n",
        "826 012345600401\r\n826 012345600402\r\n826 012345600403",
        "\u{2}826012345600401\u{3}\r\n\u{2}826012345600402\u{3}\r\n\u{2}826012345600403\u{3}\r\n",
        "826012345600401, 826012345600402; 826-012345600403",
        "826012345600401 826012345600402 826012345600403",
        "0401, 0402, 0403",
        "0401 0402 0403",
        "Read this morning: 0401, 0402 and 0403.",
        "LA 826 012345600401\nLA 826 012345600402\nLA 826 012345600403",
        "UK 0123456 00401\nUK 0123456 00402\nUK 0123456 00403",
        "EID;VID;When\n826012345600401;0401;06:40\n826012345600402;0402;06:41\n826012345600403;0403;06:42\n",
        "41.5 826012345600401\n40.0 826012345600402\n38.5 826012345600403\n",
        "1,826 012345600401\n2,826 012345600402\n3,826 012345600403\n",
    ] {
        let r = roll(&flock, text);
        assert_eq!(tags(&flock, &r.here()), want, "{text:?} {:?}", told(&flock, &r));
        assert!(r.rows.iter().all(|r| r.animal().is_some()), "{text:?} {:?}", told(&flock, &r));
    }
    assert_eq!(tags(&flock, &roll(&flock, "bramble").here()), ["0500"]);
}

#[test]
fn doubled_gone_unknown_wrong_and_missing() {
    let desk = desk();
    let flock = desk.flock();
    let text = "0401\n826012345600402\n826012345600401\n0499\n826012345600777\n82601234560040\n0500\n826012345600777\n";
    let r = roll(&flock, text);
    assert_eq!(
        told(&flock, &r),
        [
            "1 0401",
            "2 0402",
            "3 0401",
            "4 0499",
            "5 ? 826012345600777",
            "6 ! 82601234560040",
            "7 0500",
            "8 ? 826012345600777"
        ]
    );
    let first: Vec<Option<usize>> = r.rows.iter().map(|r| r.first).collect();
    assert_eq!(first, [None, None, Some(1), None, None, None, None, Some(5)]);
    assert!(r.rows[3].is_gone && r.rows[3].odd[0].contains("0499 is sold"), "{:?}", r.rows[3].odd);
    assert!(matches!(&r.rows[5].who, Called::Wrong(why) if why.contains("14 figures")));
    let orchard = flock.in_pen("Orchard");
    assert_eq!(r.missing(&orchard).len(), 8);
    assert_eq!(tags(&flock, &r.strays(&orchard)), ["0500"]);
    assert_eq!(
        r.sentence(),
        "8 readings: 3 animals in the flock, 1 gone, 1 not in the book, 1 that cannot be told, 2 read again"
    );
}

#[test]
fn whose_number_is_nearest_is_told_and_never_taken() {
    let desk = desk();
    let flock = desk.flock();
    let near = |text: &str| {
        let r = roll(&flock, text);
        match &r.rows[0].who {
            Called::Unknown(near) => near.iter().map(|n| flock.tag(n.animal).to_string()).collect::<Vec<_>>(),
            other => panic!("{text}: {other:?}"),
        }
    };
    // A figure wrong; two changed about. All ten differ in their last two figures.
    assert_eq!(near("826012345609401"), ["0401"]);
    assert_eq!(near("826012346500409"), ["0409"]);
    assert_eq!(near("826012345600777"), Vec::<String>::new());
    assert_eq!(near("05000"), ["0500"]);
    assert_eq!(near("826012345600411"), ["0401", "0410"]);
}

#[test]
fn a_weight_that_cannot_be_read_does_not_hide_who_was_there() {
    let desk = desk();
    let flock = desk.flock();
    let text = "EID,Weight (kg),Date,Time\n826012345600401,24.5,2026-04-08,09:41\n826012345600402,heavy,2026-04-08,09:42\n";
    let r = roll(&flock, text);
    assert_eq!(tags(&flock, &r.here()), ["0401", "0402"]);
    assert_eq!(r.rows[0].weight.map(Weight::grams), Some(24_500));
    assert_eq!(r.rows[0].at.map(|a| a.words()).as_deref(), Some("8 Apr 2026, 09:41"));
    assert!(r.has_weights && r.rows[1].weight.is_none());
}

#[test]
fn what_is_no_list_is_refused() {
    let desk = desk();
    let flock = desk.flock();
    let read = |b: &[u8]| RollText::read("x", b, &flock, day(TODAY)).map(|_| ());
    assert_eq!(read(b"PK\x03\x04zip"), Err(RollUnfit::NotReadable));
    assert_eq!(read(b""), Err(RollUnfit::NobodyRead));
    assert_eq!(read(b"good morning\nto all\n"), Err(RollUnfit::NobodyRead));
    assert_eq!(read(&vec![b'1'; LONGEST + 1]), Err(RollUnfit::TooLong));
}

fn runner() -> proptest::test_runner::TestRunner {
    proptest::test_runner::TestRunner::new(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    })
}

/// Plain Damerau distance (optimal string alignment), as textbooks give it: Damerau 1964 (from memory).
fn distance(a: &[u8], b: &[u8]) -> usize {
    let mut d = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in d.iter_mut().enumerate() {
        row[0] = i;
    }
    d[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let cost = usize::from(a[i - 1] != b[j - 1]);
            d[i][j] = (d[i - 1][j] + 1).min(d[i][j - 1] + 1).min(d[i - 1][j - 1] + cost);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                d[i][j] = d[i][j].min(d[i - 2][j - 2] + 1);
            }
        }
    }
    d[a.len()][b.len()]
}

proptest! {
    #[test]
    fn one_sign_off_is_what_the_textbook_says(a in "[0-2]{0,7}", b in "[0-2]{0,7}") {
        prop_assert_eq!(one_off(a.as_bytes(), b.as_bytes()), distance(a.as_bytes(), b.as_bytes()) == 1);
    }
}

/// A number dressed as readers and people write it.
fn dressed(digits: &str, dress: usize) -> String {
    let (country, national) = digits.split_at(3);
    match dress {
        0 => digits.to_string(),
        1 => format!("{country} {national}"),
        2 => format!("{country}-{}-{}", &national[..7], &national[7..]),
        3 => format!("LA {country} {national}"),
        4 => format!("\u{2}{digits}\u{3}"),
        5 => format!("UK {} {}", &national[..7], &national[7..]),
        6 => format!("0{digits}"),
        7 => ElectronicId::parse(digits).map(|e| format!("{:016X}", e.word())).unwrap_or_default(),
        8 => ElectronicId::parse(digits)
            .map(|e| format!("{:016x}", e.word().reverse_bits()))
            .unwrap_or_default(),
        _ => digits.chars().map(|c| format!("{c} ")).collect(),
    }
}

#[test]
fn known_numbers_are_found_in_any_dress_and_others_never() {
    let desk = desk();
    let flock = desk.flock();
    let strategy = (1usize..=10, 0usize..10, 0usize..15, 0u8..10);
    let mut runner = runner();
    runner
        .run(&strategy, |(n, dress, at, figure)| {
            let digits = format!("8260123456004{n:02}");
            let id = flock.by_tag(&format!("04{n:02}"));
            let text = dressed(&digits, dress);
            prop_assert_eq!(flock.by_tag(&text), id, "{}", text);
            let found = flock.find(&text, 9, |_| true);
            prop_assert_eq!(found.iter().map(|f| Some(f.id)).collect::<Vec<_>>(), vec![id]);
            prop_assert_eq!(roll(&flock, &text).animals(), id.into_iter().collect::<Vec<_>>());
            // One figure wrong: nobody, or the very animal that wears just that number.
            let mut other = digits.clone().into_bytes();
            other[at] = b'0' + figure;
            let other = String::from_utf8(other).unwrap_or_default();
            let wearer = flock.files().find(|f| f.animal.identities.iter().any(|i| i.tag.as_str() == other));
            let wearer = wearer.map(|f| f.animal.id);
            let found = flock.find(&other, 9, |_| true);
            prop_assert_eq!(found.first().map(|f| f.id), wearer);
            let called =
                RollText::read("x", other.as_bytes(), &flock, day(TODAY)).map(|t| t.roll(&flock, day(TODAY)));
            prop_assert_eq!(called.ok().and_then(|r| r.rows[0].animal()), wearer);
            // Doubled or cut short: nobody.
            prop_assert_eq!(flock.find(&format!("{digits}{other}"), 9, |_| true), vec![]);
            prop_assert_eq!(flock.find(&digits[..14], 9, |_| true), vec![]);
            Ok(())
        })
        .unwrap();
}

#[test]
fn any_bytes_are_read_or_refused() {
    let desk = desk();
    let flock = desk.flock();
    let bytes = proptest::collection::vec(any::<u8>(), 0..400);
    let words = "([0-9]{1,16}|0401|826 ?0123456 ?00401|UK|LA|kg|[,;|\\t\\n \\-.:/]){0,60}";
    let mut runner = runner();
    runner
        .run(&(bytes, words), |(bytes, words)| {
            for text in [bytes.as_slice(), words.as_bytes()] {
                if let Ok(read) = RollText::read("x", text, &flock, day(TODAY)) {
                    let r = read.roll(&flock, day(TODAY));
                    prop_assert!(r.here().len() <= r.animals().len() && r.animals().len() <= r.rows.len());
                    prop_assert!(!r.sentence().is_empty());
                }
            }
            Ok(())
        })
        .unwrap();
}
