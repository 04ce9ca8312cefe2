//! Ewes worked through by hand, one for each kind of evidence, and random ones.

use super::*;
use crate::flock::{AnimalFile, Crayon, Flock, Holding, Joining, Lambing, MatingMark, Scan};
use crate::papers::fixture::{animal, day};
use crate::reckon::due::Board;
use crate::terms::*;

#[cfg(test)]
mod random;

/// A flock under hand: ewes and rams by tag.
#[derive(Default)]
struct Hand {
    flock: Flock,
}

impl Hand {
    fn new() -> Self {
        let mut hand = Self::default();
        for tag in ["R1", "R2"] {
            hand.flock.put(animal(tag, "", Sex::Ram));
        }
        hand.ewe("0412");
        hand
    }

    fn ewe(&mut self, tag: &str) {
        let mut ewe = animal(tag, "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2021-03-01"));
        self.flock.put(ewe);
    }

    fn id(&self, tag: &str) -> AnimalId {
        self.flock.by_tag(tag).unwrap()
    }

    fn change(&mut self, tag: &str, with: impl FnOnce(&mut AnimalFile)) {
        let mut file = self.flock.file(self.id(tag)).unwrap().clone();
        with(&mut file);
        self.flock.put(file);
    }

    fn joined(&mut self, ewe: &str, ram: &str, from: &str, to: Option<&str>) {
        let (ram, id) = (self.id(ram), self.id(ewe));
        let j = Joining {
            id: JoiningId::new(),
            ewe: id,
            ram,
            from: day(from),
            to: to.map(day),
            method: None,
            group: None,
            struck: None,
        };
        self.change(ewe, |f| f.joinings.push(j));
    }

    fn mark(&mut self, ewe: &str, ram: Option<&str>, on: &str, kind: MarkKind, colour: Option<&str>) {
        let (ram, id) = (ram.map(|r| self.id(r)), self.id(ewe));
        let m = MatingMark {
            id: MarkId::new(),
            ewe: id,
            ram,
            on: day(on),
            kind,
            colour: colour.map(Into::into),
            note: None,
            struck: None,
        };
        self.change(ewe, |f| f.marks.push(m));
    }

    fn crayon(&mut self, ram: &str, on: &str, colour: &str) {
        let id = self.id(ram);
        let c = Crayon { id: CrayonId::new(), ram: id, on: day(on), colour: colour.into(), struck: None };
        self.change(ram, |f| f.crayons.push(c));
    }

    fn scan(&mut self, ewe: &str, on: &str, found: Scanned, age_days: Option<u16>) {
        let id = self.id(ewe);
        let s = Scan { id: ScanId::new(), ewe: id, on: day(on), found, age_days, note: None, struck: None };
        self.change(ewe, |f| f.scans.push(s));
    }

    fn lambed(&mut self, ewe: &str, on: &str) {
        let id = self.id(ewe);
        let l = Lambing {
            id: LambingId::new(),
            ewe: id,
            at: Moment::day(day(on)),
            ram: None,
            ease: None,
            help: None,
            note: None,
            lambs: Default::default(),
            struck: None,
        };
        self.change(ewe, |f| f.lambings.push(l));
    }

    fn of(&self, ewe: &str, today: &str) -> Pregnancy {
        of_ewe(&self.flock, self.flock.file(self.id(ewe)).unwrap(), day(today)).unwrap()
    }

    /// From, to, the day counted from, and the rams, in words.
    fn said(&self, ewe: &str, today: &str) -> String {
        let s = self.of(ewe, today).service;
        let to = s.to.map_or("open".to_string(), |t| t.to_string());
        let rams = rams_words(&self.flock, &s.rams).unwrap_or_else(|| "?".into());
        format!("{}..{to} {} {rams}", s.from, s.day)
    }

    fn file(&self, ewe: &str) -> &AnimalFile {
        self.flock.file(self.id(ewe)).unwrap()
    }
}

const TODAY: &str = "2026-01-20";

#[test]
fn the_time_with_the_ram_alone() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", None);
    assert_eq!(h.said("0412", TODAY), "2025-11-01..open 2025-11-01 R1");
    let p = h.of("0412", TODAY);
    assert_eq!((p.window, p.service.by.trust()), (due(day("2025-11-01"), None), 3));
    h.joined("0412", "R2", "2025-12-01", Some("2025-12-20"));
    assert_eq!(h.said("0412", TODAY), "2025-11-01..open 2025-11-01 R1 or R2", "one ram over another");
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-28"));
    h.joined("0412", "R2", "2025-12-01", Some("2025-12-20"));
    let p = h.of("0412", TODAY);
    // 1 Nov + 144, 20 Dec + 152.
    assert_eq!((p.window.early, p.window.late), (day("2026-03-25"), Some(day("2026-05-21"))));
    assert_eq!(p.words(&h.flock)[0], "With R1 or R2 from 1 Nov 2025 to 20 Dec 2025");
}

#[test]
fn a_day_that_is_known_counts_first() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-12-15"));
    h.scan("0412", "2026-01-10", Scanned::Two, Some(58));
    // Scan day less 58: 13 Nov, four days either way.
    assert_eq!(h.said("0412", TODAY), "2025-11-09..2025-11-17 2025-11-13 R1");
    assert_eq!(h.of("0412", TODAY).lambs(), Some(2));
    h.mark("0412", Some("R1"), "2025-11-12", MarkKind::Crayon, None);
    // Put to him on 1 November, looked at on the 12th: in between, and not before the 9th by the scan.
    assert_eq!(h.said("0412", TODAY), "2025-11-09..2025-11-12 2025-11-12 R1");
    assert_eq!(h.of("0412", TODAY).doubt, None);
    h.mark("0412", Some("R1"), "2025-11-11", MarkKind::Seen, None);
    assert_eq!(h.said("0412", TODAY), "2025-11-11..2025-11-11 2025-11-11 R1");
    let p = h.of("0412", TODAY);
    assert_eq!(p.window.due, day("2026-04-07"), "11 Nov + 147");
    assert_eq!(
        p.words(&h.flock),
        [
            "Mating seen on 11 Nov 2025, by R1",
            "Scanned twins on 10 Jan 2026",
            "Reckoned with 147 days (144 to 152), by the handbook: shorter in meat breeds, longer in fine wools"
        ]
    );
}

#[test]
fn a_service_by_hand_is_of_its_day() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-01"));
    h.joined("0412", "R2", "2025-11-10", None);
    assert_eq!(h.said("0412", TODAY), "2025-11-01..2025-11-01 2025-11-01 R1");
    assert_eq!(h.of("0412", TODAY).words(&h.flock)[0], "Served on 1 Nov 2025, by R1");
}

#[test]
fn a_mark_is_bound_by_looks_and_by_colours() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", None);
    h.mark("0412", None, "2025-11-12", MarkKind::Crayon, Some("Red"));
    h.ewe("0413");
    h.joined("0413", "R1", "2025-11-01", None);
    h.mark("0413", None, "2025-11-09", MarkKind::Crayon, None);
    // The ewes of R1 were looked at on the 9th, when 0413 was marked.
    assert_eq!(h.said("0412", TODAY), "2025-11-09..2025-11-12 2025-11-12 R1");
    h.crayon("R1", "2025-11-01", "red");
    h.crayon("R1", "2025-11-10", "green");
    // Seen on the 12th in the colour he wore to the 10th.
    assert_eq!(h.said("0412", TODAY), "2025-11-01..2025-11-10 2025-11-10 R1");
    assert_eq!(
        h.of("0412", TODAY).words(&h.flock)[0],
        "Marked Red on 12 Nov 2025, so served 1 Nov to 10 Nov 2025, by R1"
    );
    h.mark("0413", None, "2025-11-26", MarkKind::Crayon, Some("green"));
    assert_eq!(h.said("0413", TODAY), "2025-11-12..2025-11-26 2025-11-26 R1");
    // A mark with no joining is of the cycle before it; one soon after the ram left is his.
    let mut h = Hand::new();
    h.mark("0412", None, "2025-11-20", MarkKind::Crayon, None);
    assert_eq!(h.said("0412", TODAY), "2025-11-04..2025-11-20 2025-11-20 ?");
    h.joined("0412", "R1", "2025-11-06", Some("2025-11-16"));
    assert_eq!(h.said("0412", TODAY), "2025-11-04..2025-11-16 2025-11-16 R1");
}

#[test]
fn a_mark_tells_which_of_two_rams() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-20"));
    h.joined("0412", "R2", "2025-11-15", Some("2025-12-15"));
    h.mark("0412", None, "2025-11-17", MarkKind::Seen, None);
    assert_eq!(h.said("0412", TODAY), "2025-11-17..2025-11-17 2025-11-17 R1 or R2");
    h.mark("0412", Some("R2"), "2025-11-18", MarkKind::Seen, None);
    assert_eq!(h.said("0412", TODAY), "2025-11-17..2025-11-17 2025-11-17 R1 or R2", "the same heat");
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-20"));
    h.joined("0412", "R2", "2025-11-15", Some("2025-12-15"));
    h.mark("0412", Some("R2"), "2025-11-17", MarkKind::Crayon, None);
    assert_eq!(h.of("0412", TODAY).service.rams, [h.id("R2")]);
    // Lambed 147 days later: both rams' times explain it, the mark is R2's.
    let all = fits(&h.flock, h.file("0412"), day("2026-04-13"));
    let seen: Vec<(AnimalId, i64, bool)> = all.iter().map(|f| (f.ram, f.off, f.marked)).collect();
    assert_eq!(seen, [(h.id("R2"), 0, true), (h.id("R1"), 0, false)]);
    assert_eq!(likely(&all), [h.id("R2")]);
    // 1 May is 162 days after 20 Nov, R1's last: ten days outside. It lies inside R2's time, not that of his mark.
    let late = fits(&h.flock, h.file("0412"), day("2026-05-01"));
    let seen: Vec<(AnimalId, i64, bool)> = late.iter().map(|f| (f.ram, f.off, f.marked)).collect();
    assert_eq!(seen, [(h.id("R2"), 0, false), (h.id("R1"), 10, false)]);
}

#[test]
fn she_came_back() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-12-20"));
    h.mark("0412", Some("R1"), "2025-11-03", MarkKind::Seen, None);
    // 17 days: one cycle. A smear five days later is no service.
    h.mark("0412", Some("R1"), "2025-11-08", MarkKind::Crayon, None);
    h.mark("0412", Some("R1"), "2025-11-20", MarkKind::Seen, None);
    let p = h.of("0412", TODAY);
    assert_eq!(p.window.due, day("2026-04-16"), "20 Nov + 147");
    assert_eq!(p.again.iter().map(|a| (a.days(), a.cycles)).collect::<Vec<_>>(), [(17, Some(1))]);
    assert_eq!(
        p.words(&h.flock)[1],
        "Served on 3 Nov and again on 20 Nov 2025, 17 days later, one cycle: she came back"
    );
    // An age that fits the first service takes the second back.
    h.scan("0412", "2026-01-10", Scanned::One, Some(68));
    let p = h.of("0412", TODAY);
    assert_eq!((p.service.day, p.again.len()), (day("2025-11-03"), 0));
    // One that fits neither is told.
    h.scan("0412", "2026-01-12", Scanned::One, Some(30));
    let p = h.of("0412", TODAY);
    assert_eq!(p.service.day, day("2025-11-20"));
    assert!(p.doubt.unwrap().contains("13 Dec 2025"));
}

#[test]
fn days_of_a_return() {
    for (days, cycles) in
        [(14, Some(1)), (19, Some(1)), (20, None), (27, None), (28, Some(2)), (38, Some(2)), (39, None)]
    {
        let mut h = Hand::new();
        h.mark("0412", Some("R1"), "2025-11-03", MarkKind::Seen, None);
        let on = day("2025-11-03").plus(days).to_string();
        h.mark("0412", Some("R1"), &on, MarkKind::Seen, None);
        let p = h.of("0412", TODAY);
        assert_eq!(p.again.iter().map(|a| a.cycles).collect::<Vec<_>>(), [cycles], "{days}");
        assert_eq!(p.service.day.to_string(), on);
    }
    let mut h = Hand::new();
    h.mark("0412", Some("R1"), "2025-11-03", MarkKind::Seen, None);
    h.mark("0412", Some("R1"), "2025-11-16", MarkKind::Seen, None);
    assert!(h.of("0412", TODAY).again.is_empty(), "13 days are no cycle");
}

#[test]
fn many_returns_of_one_ram_are_told_of_him() {
    let mut h = Hand::new();
    for n in 0..6 {
        let tag = format!("05{n:02}");
        h.ewe(&tag);
        h.joined(&tag, "R1", "2025-11-01", None);
        h.mark(&tag, Some("R1"), "2025-11-03", MarkKind::Seen, None);
        if n < 2 {
            h.mark(&tag, Some("R1"), "2025-11-20", MarkKind::Seen, None);
        }
    }
    // Six served on 3 November, two of them again: of eight services two did not hold.
    let all = returns(&h.flock, day(TODAY));
    let r1 = |all: &Returns| all.rams.iter().map(|r| (r.served, r.returned)).collect::<Vec<_>>();
    assert_eq!((r1(&all), all.ewes.len()), (vec![(8, 2)], 2));
    assert_eq!(all.rams[0].caution, None);
    assert_eq!(
        all.ewes[0].words(&h.flock),
        "0500 came back to R1 on 20 Nov 2025, 17 days after 3 Nov: one cycle. Now due 16 Apr 2026"
    );
    // Before those had the time to come back again they do not count as held.
    assert_eq!(r1(&returns(&h.flock, day("2025-12-09"))), [(6, 2)]);
    let all = returns(&h.flock, day("2025-12-09"));
    assert_eq!(
        all.rams[0].caution.as_deref(),
        Some(
            "2 of 6 ewes served by R1 came back: look at his feet, condition and testicles, and put in another ram"
        )
    );
}

#[test]
fn scanned_empty_she_is_not_expected() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-12-15"));
    h.mark("0412", Some("R1"), "2025-11-03", MarkKind::Seen, None);
    let there = |h: &Hand, on: &str| expected(&h.flock, day(on)).len();
    assert_eq!(there(&h, TODAY), 1);
    h.scan("0412", "2026-01-05", Scanned::Empty, None);
    assert_eq!(there(&h, TODAY), 0);
    assert_eq!(there(&h, "2026-01-04"), 1, "before the scan");
    assert_eq!(h.of("0412", TODAY).state, State::Empty(day("2026-01-05")));
    // Scanned again, and in lamb after all.
    let mut again = Hand { flock: h.flock.clone() };
    again.scan("0412", "2026-01-15", Scanned::InLamb, None);
    assert_eq!((there(&again, TODAY), again.of("0412", TODAY).lambs()), (1, None));
    // Joined or marked after it.
    h.joined("0412", "R2", "2026-01-10", None);
    assert_eq!(h.said("0412", TODAY), "2026-01-10..open 2026-01-10 R2");
    assert_eq!(there(&h, TODAY), 1);
}

#[test]
fn jobs_before_lambing_follow_marks_and_scans() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-12-15"));
    let of = |h: &Hand, key: &str| -> Vec<(Day, String)> {
        let all = crate::reckon::due::of_animal(&h.flock, h.id("0412"), day("2026-02-10"));
        let all = all.into_iter().filter(|j| j.step.key == key);
        all.map(|j| (j.due.day, j.state.words().to_string())).collect()
    };
    let mut board = Board::new(&h.flock, day("2026-02-10"));
    // 1 Nov + 147 - 42.
    assert_eq!(of(&h, "late_feed"), [(day("2026-02-14"), "early".to_string())]);
    assert_eq!(of(&h, "scan")[0].1, "overdue");
    h.mark("0412", Some("R1"), "2025-11-21", MarkKind::Seen, None);
    assert_eq!(of(&h, "late_feed"), [(day("2026-03-06"), "early".to_string())]);
    h.scan("0412", "2026-01-05", Scanned::Empty, None);
    assert_eq!((of(&h, "late_feed"), of(&h, "lamb_overdue")), (vec![], vec![]));
    assert_eq!(of(&h, "scan")[0].1, "done");
    board.follow(&h.flock, &[h.id("0412")]);
    assert!(board.of(h.id("0412")).iter().all(|j| j.step.key != "late_feed"));
}

#[test]
fn lambed_or_long_past_she_is_not_expected() {
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-10"));
    h.lambed("0412", "2025-12-20");
    assert!(expected_of(&h.flock, h.file("0412"), day(TODAY)).is_some(), "a lambing of the year before");
    h.lambed("0412", "2026-03-30");
    assert_eq!(h.of("0412", "2026-03-30").state, State::Lambed(day("2026-03-30")));
    let mut h = Hand::new();
    h.joined("0412", "R1", "2025-11-01", Some("2025-11-10"));
    // 10 Nov + 152 = 11 Apr, and 30 days more.
    assert_eq!(h.of("0412", "2026-05-11").state, State::Expected);
    assert_eq!(h.of("0412", "2026-05-12").state, State::Past);
}

#[test]
fn ewes_without_a_mark() {
    let mut h = Hand::new();
    h.ewe("0413");
    h.joined("0412", "R1", "2025-11-01", None);
    h.joined("0413", "R1", "2025-11-05", None);
    assert_eq!(unmarked(&h.flock, day("2025-11-25")), [], "nobody writes marks of this ram");
    h.mark("0413", Some("R1"), "2025-11-10", MarkKind::Crayon, None);
    let all = unmarked(&h.flock, day("2025-11-25"));
    assert_eq!(all.iter().map(|u| (u.ewe, u.days)).collect::<Vec<_>>(), [(h.id("0412"), 24)]);
    assert_eq!(
        all[0].words(&h.flock),
        "0412 has been with R1 for 24 days without a mark, more than a cycle: look whether she cycles at all"
    );
    assert_eq!(unmarked(&h.flock, day("2025-11-09")), [], "no mark was written by then");
    h.crayon("R1", "2025-11-01", "red");
    assert_eq!(unmarked(&h.flock, day("2025-11-09")).len(), 2);
}

/// Lambings of ewes whose mating was seen, so many days after it.
fn lambings(h: &mut Hand, breed: &str, days: &[i64]) {
    for (n, d) in days.iter().enumerate() {
        let tag = format!("{breed}{n:03}");
        h.ewe(&tag);
        h.change(&tag, |f| f.animal.breed = Breed::parse(breed).unwrap());
        h.mark(&tag, Some("R1"), "2024-11-01", MarkKind::Seen, None);
        h.lambed(&tag, &day("2024-11-01").plus(*d).to_string());
    }
}

#[test]
fn the_flock_teaches_its_own_length() {
    let mut h = Hand::new();
    // 19 are too few; of 22 two are no length of that service.
    lambings(&mut h, "Hillgrey", &[149; 19]);
    assert_eq!(lengths(&h.flock).flock, None);
    let mut h = Hand::new();
    let mut days = vec![148; 10];
    days.extend([152; 10]);
    days.extend([120, 165]);
    lambings(&mut h, "Hillgrey", &days);
    let l = lengths(&h.flock);
    let learnt = l.flock.unwrap();
    // Ten at 148 and ten at 152: mean 150, sum of squares 80, over 19.
    assert_eq!((learnt.n, learnt.left_out, learnt.mean), (20, 2, 150.0));
    assert!((learnt.sd - (80.0_f64 / 19.0).sqrt()).abs() < 1e-12);
    assert_eq!(learnt.days(), (150, 146, 154));
    assert_eq!(l.breeds.get("Hillgrey"), Some(&learnt));
    // A ewe of no breed goes by the flock, one of that breed by the breed, one with a figure of the keeper by that.
    h.mark("0412", Some("R1"), "2025-11-01", MarkKind::Seen, None);
    let p = h.of("0412", TODAY);
    assert_eq!(p.window.due, day("2025-11-01").plus(150));
    assert!(p.length.words().ends_with(
        "learnt from 20 lambings (mean 150.0 days, standard deviation 2.1; 2 left out as too short or too long) of this flock"
    ), "{}", p.length.words());
    h.change("0412", |f| f.animal.breed = Breed::parse("Fellside 3/4 + Hillgrey 1/4").unwrap());
    let held = Holding { gestation: "Fellside 146; Longwool 151".into(), ..Holding::default() };
    h.flock.set_holding(held);
    // Three parts of 146 and one of the 150 learnt.
    let p = h.of("0412", TODAY);
    assert_eq!((p.length.usual, p.length.early, p.length.late), (147, 144, 152));
    assert_eq!(p.length.from, From::Keeper);
    h.change("0412", |f| f.animal.breed = Breed::parse("hillgrey").unwrap());
    assert!(matches!(h.of("0412", TODAY).length.from, From::Flock(_)));
    h.change("0412", |f| f.animal.breed = Breed::parse("Hillgrey").unwrap());
    assert!(matches!(h.of("0412", TODAY).length.from, From::Breed(..)));
}

#[test]
fn lengths_of_the_keeper_are_read_or_refused() {
    let two = vec![("Fellside".to_string(), 148), ("Hill grey".to_string(), 146)];
    assert_eq!(parse(" Fellside 148 ; Hill grey  146;"), Ok(two));
    assert_eq!(parse(""), Ok(vec![]));
    for (text, why) in [
        ("Fellside", "write Fellside 148; Hillgrey 146"),
        ("Fellside long", "write Fellside 148"),
        ("148", "write Fellside 148"),
        ("Fellside 14", "not 14"),
        ("Fellside 148; fellside 147", "stands twice"),
    ] {
        let said = parse(text).unwrap_err().0;
        assert!(said.contains(why), "{text}: {said}");
        let held = Holding { flock: "Fell".into(), gestation: text.into(), ..Holding::default() };
        let refused = crate::entry::holding(held, &Flock::default()).unwrap_err();
        assert!(format!("{refused:?}").contains("gestation"), "{refused:?}");
    }
}
