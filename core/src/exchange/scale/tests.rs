//! Files in many dresses, and what is odd in them.

use super::super::common::{Desk, TODAY, day};
use super::super::{Kind, export};
use super::*;
use crate::entry::SessionDraft;
use crate::flock::Flock;
use crate::terms::{Gut, Minute, Weight};

/// Ten ewe lambs 0401 to 0410, with electronic numbers 826 0123456 00401 and so on, weighed 20 kg on 1 March.
pub(super) fn desk() -> Desk {
    let mut desk = Desk::new();
    let mut text = String::from("tag,sex,born,electronic,pen\n");
    let mut weights = String::from("tag,on,weight_kg\n");
    for n in 1..=10 {
        text += &format!("04{n:02},ewe,2026-01-05,8260123456004{n:02},Orchard\n");
        weights += &format!("04{n:02},2026-03-01,20\n");
    }
    text += "0500,ewe,2022-01-05,,Orchard\n";
    desk.took(Kind::Animals, &text);
    desk.took(Kind::Weighings, &weights);
    desk
}

fn read(flock: &Flock, text: &str, choice: &Choice) -> Preview {
    ScaleFile::read("scale.txt", text.as_bytes(), flock).unwrap().preview(choice, flock, day(TODAY))
}

fn roles(p: &Preview) -> Vec<Role> {
    p.columns.iter().map(|c| c.role).collect()
}

fn when(at: crate::terms::Moment) -> String {
    at.time.map_or(at.day.to_string(), |t| format!("{} {t}", at.day))
}

/// Tag, grams, day of every row.
fn told(flock: &Flock, p: &Preview) -> Vec<(String, i64, String)> {
    let tag =
        |r: &ScaleRow| r.animal().map_or_else(|| format!("? {}", r.tag), |id| flock.tag(id).to_string());
    p.rows
        .iter()
        .map(|r| (tag(r), r.weight.map_or(0, Weight::grams), r.at.map(when).unwrap_or_default()))
        .collect()
}

#[test]
fn a_file_with_everything() {
    let desk = desk();
    let flock = desk.flock();
    let text = "Device: 4711\n# lambs\nEID,VID,Weight (kg),Date,Time,Dag,Remarks\n\
        826 012345600401,0401,24.5,13/04/2026,09:41:02,2,\n\
        826 012345600402,0402,25.0,13/04/2026,09:42:10,0,\"lame, left\"\n\
        826 012345600777,,26.5,13/04/2026,09:43:00,1,\n";
    let p = read(&flock, text, &Choice::default());
    use crate::terms::ScoreKind::Dag;
    let want =
        [Role::Electronic, Role::Tag, Role::Weight, Role::Day, Role::Time, Role::Score(Dag), Role::Note];
    assert_eq!(roles(&p), want);
    assert!(p.bad.is_empty() && p.ask.is_none(), "{:?}", p.bad);
    let at = |t: &str| format!("2026-04-13 {t}");
    assert_eq!(
        told(&flock, &p),
        [
            ("0401".into(), 24_500, at("09:41")),
            ("0402".into(), 25_000, at("09:42")),
            ("? 826 012345600777".into(), 26_500, at("09:43"))
        ]
    );
    assert_eq!(p.rows[1].note.as_deref(), Some("lame, left"));
    assert_eq!(p.unknown(), [("826012345600777", 6)]);
    assert_eq!(p.sentence(), "3 lines: 2 weights, 1 not in the book");
    assert!(p.how.contains(&"2 lines left out as comments".to_string()), "{:?}", p.how);
    assert!(p.how.contains(&"days as day, month, year".to_string()), "{:?}", p.how);
    assert_eq!(p.rows[0].gains.unwrap().since_last.unwrap().1, 43);
    assert_eq!(p.absent(&flock, "Orchard").len(), 9);
}

#[test]
fn one_session_is_written_and_read_again_as_the_same() {
    let mut desk = desk();
    let flock = desk.flock();
    let text = "0401;24,5\n0402;25\n0403;22,1\n";
    let p = read(&flock, text, &Choice { on: Some(day("2026-04-13")), ..Choice::default() });
    assert_eq!(roles(&p), [Role::Tag, Role::Weight]);
    let session = SessionDraft {
        time: Minute::new(9, 0),
        scale: Some("crate".into()),
        group: Some("Orchard".into()),
        gut: Some(Gut::Full),
        note: None,
    };
    let mut checks = p.checks(&session, &flock, day(TODAY));
    assert_eq!(checks.len(), 1);
    let check = checks.pop().unwrap().check;
    assert_eq!(check.as_ref().unwrap().sentence(), "3 at the scale on 13 Apr 2026, read from scale.txt");
    assert!(desk.has(check));
    let flock = desk.flock();
    let held = &flock.daybook().sessions;
    assert_eq!((held.len(), held[0].on, held[0].group.as_deref()), (1, day("2026-04-13"), Some("Orchard")));
    assert!(export(Kind::Weighings, &flock).contains("0403,2026-04-13,22.1"));
}

#[test]
fn days_that_can_be_two_are_asked_and_never_guessed() {
    let desk = desk();
    let flock = desk.flock();
    let text = "tag,date,weight\n0401,03/04/2026,24.5\n0402,05/04/2026,25\n";
    let p = read(&flock, text, &Choice::default());
    let ask = p.ask.as_ref().unwrap();
    assert_eq!((ask.written.as_str(), ask.line), ("03/04/2026", 2));
    assert_eq!(
        ask.readings,
        [(DateOrder::DayFirst, day("2026-04-03")), (DateOrder::MonthFirst, day("2026-03-04"))]
    );
    assert_eq!((p.taken(), p.checks(&SessionDraft::default(), &flock, day(TODAY)).len()), (0, 0));
    assert!(p.rows.iter().all(|r| r.at.is_none()));
    for (order, want) in [(DateOrder::DayFirst, "2026-04-05"), (DateOrder::MonthFirst, "2026-05-04")] {
        let p = read(&flock, text, &Choice { order: Some(order), ..Choice::default() });
        assert_eq!((p.ask.clone(), p.taken()), (None, 2));
        assert_eq!(p.rows[1].at.unwrap().day, day(want));
        assert_eq!(p.checks(&SessionDraft::default(), &flock, day(TODAY)).len(), 2, "two days, two sessions");
    }
    let one = Choice { order: Some(DateOrder::DayFirst), on: Some(day("2026-04-05")), ..Choice::default() };
    let p = read(&flock, text, &one);
    assert_eq!(told(&flock, &p), [("0402".into(), 25_000, "2026-04-05".into())]);
    assert!(p.how.contains(&"only 5 Apr 2026: 1 of other days left out".to_string()), "{:?}", p.how);
}

#[test]
fn what_cannot_be_read_is_told_with_its_line() {
    let desk = desk();
    let flock = desk.flock();
    let text = "tag;weight;date\n0401;24,5 kg;2026-04-13\n0402;-3;2026-04-13\n0403;heavy;2026-04-13\n\
        ;25;2026-04-13\n0404;25;31/13/2026\n0405;25;2027-04-13\n0406;25;\n8,26012E+14;25;2026-04-13\n0407;0,0;2026-04-13\n";
    let p = read(&flock, text, &Choice::default());
    let lines: Vec<usize> = p.bad.iter().map(|b| b.line).collect();
    assert_eq!(lines, [3, 4, 5, 6, 7, 8, 9], "{:#?}", p.bad);
    assert_eq!(
        p.bad[0].to_string(),
        "line 3, column weight: value '-3': less than nothing: set the scale to nought and weigh again"
    );
    assert_eq!(p.bad[2].to_string(), "line 5: there is no tag in it: write it in, or take the line out");
    assert!(p.bad[4].why.starts_with("13 Apr 2027 is yet to come"), "{}", p.bad[4]);
    assert!(p.bad[6].why.starts_with("a spreadsheet cut the electronic number short"));
    // Nothing was on the scale: read, and not written.
    assert_eq!(p.rows.iter().map(|r| (r.line, r.is_taken)).collect::<Vec<_>>(), [(2, true), (10, false)]);
    let none = ScaleFile::read("x", b"name;weight\n", &flock);
    assert_eq!(none.unwrap_err(), ScaleUnfit::NothingThere);
    let none = ScaleFile::read("x", b"2026-04-13;25,5 kg\n2026-04-14;26,5 kg\n", &flock).unwrap_err();
    assert!(
        none.to_string().starts_with("no column holds tags: the file begins with '2026-04-13 25,5 kg'"),
        "{none}"
    );
}

#[test]
fn what_is_odd_is_said() {
    let desk = desk();
    let flock = desk.flock();
    let text = "0401 24.5\n402 45.0\n0403 12.0\n0401 25.5\n0404 26.0\n0500 60\n";
    let choice = Choice { on: Some(day("2026-03-21")), ..Choice::default() };
    let p = read(&flock, text, &choice);
    let odd = |n: usize| p.rows[n].odd.join("; ");
    assert_eq!(odd(0), "on line 4 again");
    assert!(odd(1).contains("402 is taken for 0402") || flock.by_tag("402").is_some(), "{}", odd(1));
    assert!(
        odd(1).contains("1250 g a day since its 20.0 kg on 1 Mar 2026: no lamb gains that"),
        "{}",
        odd(1)
    );
    assert!(odd(2).contains("lighter than its 20.0 kg on 1 Mar 2026"), "{}", odd(2));
    assert_eq!(p.rows.iter().map(|r| r.is_taken).collect::<Vec<_>>(), [false, true, true, true, true, true]);
    // The keeper takes the first line, not the second.
    let turned = Choice { turned: [1, 4].into(), ..choice };
    let p = read(&flock, text, &turned);
    assert_eq!(p.rows.iter().map(|r| r.is_taken).collect::<Vec<_>>(), [true, true, true, false, true, true]);
}

#[test]
fn a_file_of_tags_is_who_was_there() {
    let desk = desk();
    let flock = desk.flock();
    for text in [
        "826 012345600403\n826 012345600401\n826 012345600403\n",
        "EID\n826012345600403\n826012345600401\n826012345600403\n",
        "1,826012345600403,08:01\n2,826012345600401,08:02\n3,826012345600403,08:03\n",
        "A0000000826012345600403\r\nA0000000826012345600401\r\nA0000000826012345600403\r\n",
    ] {
        let p = read(&flock, text, &Choice::default());
        assert!(p.is_tags_only, "{text}");
        let order: Vec<&str> = p.order().into_iter().map(|id| flock.tag(id)).collect();
        assert_eq!(order, ["0403", "0401"], "{text}");
        assert_eq!(p.sentence(), "3 lines: 2 animals there");
        assert!(p.checks(&SessionDraft::default(), &flock, day(TODAY)).is_empty());
    }
}

#[test]
fn the_keeper_says_what_a_column_is() {
    let desk = desk();
    let flock = desk.flock();
    let text = "0401,51,24\n0402,53,25\n";
    let file = ScaleFile::read("x", text.as_bytes(), &flock).unwrap();
    let roles = vec![Role::Tag, Role::Weight, Role::Skip];
    let lb = Choice { roles: Some(roles), unit: Some(Unit::Lb), ..Choice::default() };
    let p = file.preview(&lb, &flock, day("2026-04-13"));
    assert_eq!(p.rows[0].weight.map(Weight::grams), Some(23_133));
    let as_read = file.preview(&Choice::default(), &flock, day("2026-04-13"));
    assert_eq!(as_read.rows[0].weight.map(Weight::grams), Some(24_000));
}

#[test]
fn a_number_beside_a_tag_is_offered() {
    let desk = desk();
    let flock = desk.flock();
    let text = "EID,tag,kg\n826012345600500,0500,61.5\n826012345600402,0401,25\n";
    let p = read(&flock, text, &Choice { on: Some(day("2026-04-13")), ..Choice::default() });
    let new: Vec<(&str, &str)> =
        p.new_numbers.iter().map(|n| (flock.tag(n.animal), n.number.as_str())).collect();
    assert_eq!(new, [("0500", "826012345600500")]);
    assert_eq!(p.rows[0].odd, ["the book does not have the electronic number 826012345600500 of 0500"]);
    assert_eq!(
        p.rows[1].odd,
        ["the electronic number is worn by 0402, the tag by 0401: look which of the two it was"]
    );
}

#[test]
fn what_no_reader_writes_is_not_looked_at() {
    let flock = desk().flock();
    let long = |text: String| ScaleFile::read("scale.txt", text.as_bytes(), &flock).map(|_| ());
    assert_eq!(long("7".repeat(10_001)), Err(ScaleUnfit::TooLarge));
    assert_eq!(long("0401,25\n".repeat(MOST_BYTES / 8 + 1)), Err(ScaleUnfit::TooLarge));
    // A long file of short lines is read: 30,000 weighings.
    assert_eq!(long("0401,25\n".repeat(30_000)), Ok(()));
}
