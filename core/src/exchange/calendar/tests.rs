use super::*;
use crate::flock::{AnimalFile, Holding, Joining, Tick};
use crate::papers::fixture::{animal, day, lambs, treatment};
use crate::terms::*;
use proptest::prelude::*;
use std::collections::BTreeSet;

const TODAY: &str = "2026-03-20";

fn stamp(clock: u32) -> Stamp {
    Stamp { book: EntryId::from_bytes([7; 16]), clock, at: 1_774_000_000 } // 2026-03-20, 09:46:40 UTC
}

/// A ewe with twins of eight days in one pen, another with a ram since November in the next.
fn files() -> Vec<AnimalFile> {
    let mut ewe = animal("0412", "Bramble", Sex::Ewe);
    ewe.animal.born = Born::On(day("2022-04-02"));
    ewe.animal.pen = Some("Jug 1; north, upper".into());
    let at = Moment { day: day("2026-03-12"), time: Minute::new(4, 55) };
    let mut all = lambs(&mut ewe, None, at, &[("L1", Sex::Ewe, 4_200), ("L2", Sex::Ram, 4_600)]);
    let ram = animal("R7", "", Sex::Ram);
    let mut second = animal("0417", "Ŵyn", Sex::Ewe);
    second.animal.born = Born::On(day("2021-04-02"));
    second.animal.pen = Some("Top shed".into());
    second.joinings.push(Joining {
        id: JoiningId::new(),
        ram: ram.animal.id,
        ewe: second.animal.id,
        from: day("2025-11-05"),
        to: Some(day("2025-11-05")),
        method: None,
        group: None,
        struck: None,
    });
    let at = Moment::day(day("2026-03-18"));
    let given = treatment(
        second.animal.id,
        "long-acting oxytetracycline",
        at,
        Withdrawal::Days(28),
        Withdrawal::Days(7),
    );
    second.treatments.push(given);
    all.extend([ewe, ram, second]);
    all
}

fn flock(files: Vec<AnimalFile>) -> Flock {
    let mut flock = Flock::default();
    flock.set_holding(Holding {
        flock: "Thornley; Fells, \\ides".into(),
        rules: "gb".into(),
        ..Holding::default()
    });
    files.into_iter().for_each(|f| flock.put(f));
    flock
}

fn ask() -> Ask {
    Ask { kinds: Kind::ALL.to_vec(), ..Ask::usual(day(TODAY)) }
}

fn made(flock: &Flock, ask: &Ask, clock: u32) -> Calendar {
    calendar(flock, day(TODAY), ask, &stamp(clock), &|_, _| true).unwrap()
}

/// A line of a component: name, parameters, value as written.
type Line = (String, Vec<String>, String);

/// Takes the text apart by the rules of RFC 5545, 3.1 and 3.3.11 (from memory), not by the library that wrote it.
fn parts(text: &str) -> Vec<(String, Vec<Line>)> {
    assert!(
        text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']),
        "lines end by CRLF alone"
    );
    for raw in text.as_bytes().split(|b| *b == b'\n') {
        let line = raw.strip_suffix(b"\r").unwrap_or(raw);
        assert!(line.len() <= 75, "{} octets: {}", line.len(), String::from_utf8_lossy(line));
        assert!(std::str::from_utf8(line).is_ok(), "cut inside a character");
    }
    let mut all: Vec<(String, Vec<Line>)> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    let whole = text.replace("\r\n ", "").replace("\r\n\t", "");
    for line in whole.split("\r\n").filter(|l| !l.is_empty()) {
        let mut quoted = false;
        let colon = line.find(|c| {
            quoted ^= c == '"';
            c == ':' && !quoted
        });
        let (head, value) = line.split_at(colon.unwrap_or_else(|| panic!("no colon in {line}")));
        let value = &value[1..];
        let mut head = head.split(';');
        let name = head.next().unwrap_or_default().to_string();
        match name.as_str() {
            "BEGIN" => {
                open.push(all.len());
                all.push((value.to_string(), Vec::new()));
            }
            "END" => {
                let closed = open.pop().unwrap();
                assert_eq!(all[closed].0, value);
            }
            _ => {
                let of = *open.last().unwrap();
                all[of].1.push((name, head.map(str::to_string).collect(), value.to_string()));
            }
        }
    }
    assert!(open.is_empty() && all[0].0 == "VCALENDAR");
    all
}

fn get<'a>(of: &'a [Line], name: &str) -> &'a str {
    let all: Vec<&Line> = of.iter().filter(|l| l.0 == name).collect();
    assert_eq!(all.len(), 1, "{name} once in {of:#?}");
    &all[0].2
}

/// The text value as it was meant; a bare comma, semicolon or stroke is a fault.
fn plain(value: &str) -> String {
    let mut out = String::new();
    let mut signs = value.chars();
    while let Some(c) = signs.next() {
        match c {
            '\\' => match signs.next() {
                Some(c @ ('\\' | ';' | ',')) => out.push(c),
                Some('n' | 'N') => out.push('\n'),
                other => panic!("\\{other:?} in {value}"),
            },
            ',' | ';' => panic!("bare {c} in {value}"),
            c => out.push(c),
        }
    }
    out
}

fn events(text: &str) -> Vec<Vec<Line>> {
    parts(text).into_iter().filter(|p| p.0 == "VEVENT").map(|p| p.1).collect()
}

/// Sources: RFC 5545, 3.4, 3.6.1, 3.8.2.4, 3.8.2.7, 3.8.4.7, 3.8.7.2 (from memory).
fn check_rules(text: &str) {
    let parts = parts(text);
    assert_eq!((get(&parts[0].1, "VERSION"), get(&parts[0].1, "CALSCALE")), ("2.0", "GREGORIAN"));
    assert!(!get(&parts[0].1, "PRODID").is_empty());
    let mut uids = BTreeSet::new();
    for event in events(text) {
        assert!(uids.insert(get(&event, "UID").to_string()), "one UID twice");
        assert!(get(&event, "UID").ends_with("@hirsel"));
        let utc = get(&event, "DTSTAMP");
        assert!(utc.len() == 16 && utc.ends_with('Z'), "{utc}");
        assert_eq!(get(&event, "TRANSP"), "TRANSPARENT");
        let dated = |name: &str| {
            let line = event.iter().find(|l| l.0 == name).unwrap();
            assert_eq!(line.1, ["VALUE=DATE"]);
            let d = &line.2;
            Day::parse_iso(&format!("{}-{}-{}", &d[..4], &d[4..6], &d[6..])).unwrap()
        };
        assert_eq!(dated("DTEND").since(dated("DTSTART")), 1, "a whole day; its end is the day after");
        assert!(get(&event, "SEQUENCE").parse::<i32>().unwrap() > 0);
        for name in ["SUMMARY", "DESCRIPTION"] {
            assert!(!plain(get(&event, name)).trim().is_empty());
        }
    }
}

#[test]
fn a_calendar_keeps_the_rules_and_holds_what_is_due() {
    let flock = flock(files());
    let made = made(&flock, &ask(), 9);
    check_rules(&made.text);
    let titles: Vec<String> = events(&made.text).iter().map(|e| plain(get(e, "SUMMARY"))).collect();
    assert_eq!(titles.len(), made.entries + made.withdrawn);
    assert!(titles.iter().any(|t| t == "Top shed: 1 ewe due to lamb"), "{titles:#?}");
    assert!(titles.iter().any(|t| t == "Top shed: Clear for meat (1)"), "{titles:#?}");
    assert!(titles.iter().any(|t| t.starts_with("Jug 1; north, upper")), "{titles:#?}");
    assert_eq!(plain(get(&parts(&made.text)[0].1, "X-WR-CALNAME")), "Thornley; Fells, \\ides");
}

#[test]
fn days_are_those_of_the_reckoning() {
    let flock = flock(files());
    let each = Ask { each: true, ..ask() };
    let made = made(&flock, &each, 9);
    check_rules(&made.text);
    let of = |start: &str| {
        let all = events(&made.text);
        let e = all.iter().find(|e| plain(get(e, "SUMMARY")).starts_with(start)).cloned();
        get(&e.unwrap_or_else(|| panic!("no {start}")), "DTSTART").to_string()
    };
    // 147 days from 5 November: the usual length of the handbook. 28 days run from 24:00 of 18 March.
    let due = day("2025-11-05").plus(crate::reckon::gestation::usual());
    assert_eq!(of("Due to lamb: 0417"), due.to_string().replace('-', ""));
    assert_eq!(of("Clear for meat: 0417"), "20260416");
    assert_eq!(of("Clear for milk: 0417"), "20260326");
}

/// Jobs of the board and jobs of the calendar are the same.
#[test]
fn every_open_job_of_the_board_has_its_entry() {
    let flock = flock(files());
    let ask = Ask { each: true, kinds: vec![Kind::Jobs], ..ask() };
    let board = crate::reckon::due::Board::new(&flock, day(TODAY));
    let open = board.within(&flock, DAYS_AHEAD).len();
    let made = made(&flock, &ask, 9);
    assert!(open > 5);
    assert_eq!(made.entries, open, "{}", made.text);
}

#[test]
fn what_moves_keeps_its_identity_and_what_is_done_is_withdrawn() {
    let ask = Ask { each: true, ..ask() };
    let mut all = files();
    let before = made(&flock(all.clone()), &ask, 9);
    let uid = |text: &str, start: &str| {
        let all = events(text);
        let e = all.into_iter().find(|e| plain(get(e, "SUMMARY")).starts_with(start))?;
        Some((get(&e, "UID").to_string(), e))
    };
    let (was, event) = uid(&before.text, "Due to lamb: 0417").unwrap();
    // A joining that lasted longer moves her day.
    let ewe = all.iter_mut().find(|f| f.animal.tag() == "0417").unwrap();
    ewe.joinings[0].to = Some(day("2025-11-19"));
    ewe.joinings[0].from = day("2025-11-12");
    let after = made(&flock(all.clone()), &ask, 10);
    let (is, moved) = uid(&after.text, "Due to lamb: 0417").unwrap();
    assert_eq!(was, is);
    assert_ne!(get(&event, "DTSTART"), get(&moved, "DTSTART"));
    let sequence = |e: &[Line]| get(e, "SEQUENCE").parse::<u32>().unwrap();
    assert!(sequence(&moved) > sequence(&event));
    // A job that is done early is withdrawn under the identity it had.
    let board = crate::reckon::due::Board::new(&flock(all.clone()), day(TODAY));
    let lamb = all.iter().position(|f| f.animal.tag() == "L1").unwrap();
    let job = board.of(all[lamb].animal.id).iter().find(|j| j.day() > day(TODAY)).cloned().unwrap();
    let title = format!("{}: L1", job.step.short);
    let (was, _) = uid(&after.text, &title).unwrap();
    let id = all[lamb].animal.id;
    all[lamb].ticks.push(Tick {
        id: TickId::new(),
        animal: id,
        step: job.step.key.as_str().into(),
        anchor: job.anchor.day,
        round: job.round,
        outcome: crate::flock::Outcome::Done,
        at: Moment::day(day(TODAY)),
        note: None,
        struck: None,
    });
    let done = made(&flock(all.clone()), &ask, 11);
    let (is, gone) = uid(&done.text, &format!("No longer due: {title}")).unwrap();
    assert_eq!((was.as_str(), get(&gone, "STATUS")), (is.as_str(), "CANCELLED"));
    // An animal that left takes its jobs along.
    let a = &mut all[lamb].animal;
    (a.status, a.status_on) = (Status::Sold, Some(day(TODAY)));
    let left = made(&flock(all), &ask, 12);
    let of_lamb: Vec<_> =
        events(&left.text).into_iter().filter(|e| plain(get(e, "SUMMARY")).ends_with(": L1")).collect();
    assert!(of_lamb.len() > 1 && of_lamb.iter().all(|e| get(e, "STATUS") == "CANCELLED"));
}

#[test]
fn the_next_day_raises_the_revision_and_moves_only_what_is_late() {
    let flock = flock(files());
    let on = |d: &str, each: bool| {
        let ask = Ask { each, from: day(d), kinds: vec![Kind::Jobs], ..ask() };
        calendar(&flock, day(d), &ask, &stamp(9), &|_, _| true).unwrap()
    };
    for each in [false, true] {
        let (one, two) = (on("2026-03-20", each), on("2026-03-21", each));
        check_rules(&one.text);
        let key = |e: &Vec<Line>| {
            (get(e, "UID").to_string(), (get(e, "DTSTART").to_string(), get(e, "SEQUENCE").to_string()))
        };
        let first: std::collections::BTreeMap<_, _> = events(&one.text).iter().map(key).collect();
        let mut both = 0;
        for (uid, (start, sequence)) in events(&two.text).iter().map(key) {
            let Some((was, before)) = first.get(&uid) else { continue };
            both += 1;
            assert!(sequence.parse::<u32>().unwrap() > before.parse::<u32>().unwrap());
            assert!(start == *was || (was == "20260320" && start == "20260321"), "{was} {start}");
        }
        assert!(both > 2, "{both} entries of both days");
    }
    assert_eq!(on("2026-03-20", true), on("2026-03-20", true), "the same book and day give the same file");
}

/// Source: RFC 5545, 3.6.6 and 3.8.6.3: a reminder that is shown has a description and a trigger; one that counts from
/// the end of a thing to do needs its DUE.
#[test]
fn reminders_and_things_to_do() {
    let flock = flock(files());
    let asked = |alarm, todo| made(&flock, &Ask { alarm, todo, ..ask() }, 9);
    assert!(!asked(Alarm::None, false).text.contains("VALARM"));
    for (alarm, before) in [(Alarm::Evening, "-PT5H"), (Alarm::Morning, "PT7H")] {
        let one = asked(alarm, false);
        let alarms: Vec<_> = parts(&one.text).into_iter().filter(|p| p.0 == "VALARM").collect();
        assert_eq!(alarms.len(), one.entries);
        for (_, of) in &alarms {
            assert_eq!((get(of, "ACTION"), get(of, "TRIGGER")), ("DISPLAY", before));
            assert!(!get(of, "DESCRIPTION").is_empty());
        }
    }
    let todo = asked(Alarm::Morning, true);
    let all = parts(&todo.text);
    let todos: Vec<_> = all.iter().filter(|p| p.0 == "VTODO").collect();
    assert_eq!(todos.len(), todo.entries + todo.withdrawn);
    for (_, of) in todos {
        assert!(
            get(of, "DUE").len() == 8
                && !of.iter().any(|l| ["DTSTART", "DTEND", "DURATION"].contains(&l.0.as_str()))
        );
    }
    let trigger =
        all.iter().filter(|p| p.0 == "VALARM").flat_map(|p| &p.1).find(|l| l.0 == "TRIGGER").unwrap();
    assert_eq!(trigger.1, ["RELATED=END"]);
    assert!(!todo.text.contains("VEVENT"));
}

#[test]
fn nothing_due_is_said() {
    let far = Ask { from: day("2035-01-01"), to: day("2035-01-02"), ..ask() };
    let none = calendar(&flock(files()), day(TODAY), &far, &stamp(1), &|_, _| true);
    let words = none.unwrap_err().to_string();
    assert!(words.contains("nothing is due from 1 Jan 2035"), "{words}");
    let stopped = calendar(&flock(files()), day(TODAY), &ask(), &stamp(1), &|_, _| false);
    assert_eq!(stopped, Err(NoCalendar::Stopped));
    assert!(Kind::parse("moon").unwrap_err().contains("jobs, lambings, clear, feed, expiry"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever a pen, a flock or a ewe is called, the file keeps the rules and gives the very words back.
    #[test]
    fn any_names_go_through(pen in ".{0,60}|[åŵ羊🐑,;\\\\ ]{1,80}", flock_name in ".{0,90}", name in "\\PC{0,90}", each: bool) {
        let mut all = files();
        for f in &mut all {
            f.animal.pen = Some(pen.as_str().into());
            f.animal.name = Some(name.as_str().into());
        }
        let mut flock = flock(all);
        flock.set_holding(Holding { flock: flock_name, ..Holding::default() });
        let made = calendar(&flock, day(TODAY), &Ask { each, ..ask() }, &stamp(3), &|_, _| true).unwrap();
        check_rules(&made.text);
        let cleaned: String = pen.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        if !pen.trim().is_empty() && !cleaned.trim().is_empty() {
            let places: BTreeSet<String> = events(&made.text).iter()
                .flat_map(|e| e.iter().filter(|l| l.0 == "LOCATION").map(|l| plain(&l.2)).collect::<Vec<_>>()).collect();
            prop_assert_eq!(places, BTreeSet::from([cleaned.trim().to_string()]));
        }
    }
}
