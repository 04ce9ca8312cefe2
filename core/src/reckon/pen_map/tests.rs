use super::*;
use crate::book::Book;
use crate::entry::{self, Check, LambDraft, LambingDraft, PenMoveDraft};
use crate::flock::Sire;

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn write(book: &mut Book, check: Check) {
    book.write(check.unwrap().despite("a test").unwrap()).unwrap();
}

/// Two ewes: one lambed in Jug 4, the other stands in the Long field.
fn shed() -> (tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let mut book = Book::create(&dir.path().join("a.hirsel"), crate::flock::Holding::default()).unwrap();
    let today = day("2026-04-20");
    let draft = |tag: &str| crate::entry::AnimalDraft {
        born: crate::terms::Born::On(day("2022-04-01")),
        ..crate::entry::AnimalDraft::new(crate::terms::Tag::parse(tag).unwrap(), Sex::Ewe)
    };
    let check = entry::animals(vec![draft("0412"), draft("0507")], &book.flock(), today);
    write(&mut book, check);
    let ewe = book.flock().by_tag("0412").unwrap();
    let lamb = |tag: &str| {
        let mut d = LambDraft::new(Sex::Ewe);
        d.tag = Some(crate::terms::Tag::parse(tag).unwrap());
        d
    };
    let draft = LambingDraft {
        ewe,
        at: Moment { day: day("2026-04-19"), time: Minute::new(5, 20) },
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: Some("Jug 4".into()),
        lambs: vec![lamb("0601"), lamb("0602")],
        foster_on: Vec::new(),
    };
    let check = entry::lambing(draft, &book.flock(), today);
    write(&mut book, check);
    let other = book.flock().by_tag("0507").unwrap();
    let field = PenMoveDraft { animals: vec![other], on: day("2026-04-10"), pen: Some("Long field".into()) };
    let check = entry::pen_move(field, &book.flock(), today);
    write(&mut book, check);
    (dir, book)
}

#[test]
fn each_pen_says_who_is_in_it_since_when_and_how_old_the_lambs_are() {
    let (_dir, book) = shed();
    let flock = book.flock();
    let map = PenMap::of(&flock, None, day("2026-04-20"), Minute::new(12, 30));
    let said: Vec<String> = map.pens.iter().map(|p| p.sentence(&flock)).collect();
    assert_eq!(
        said,
        ["Jug 4: 0412 with 2 lambs since 19 Apr, lambs 31 h", "Long field: 0507 since 10 Apr, outside"]
    );
    assert_eq!(map.pens[0].heads, Heads { ewes: 1, lambs: 2, ..Heads::default() });
    let later = PenMap::of(&flock, None, day("2026-04-20"), None);
    assert_eq!(later.pens[0].families[0].age.as_deref(), Some("1 day"), "without the time of day");
    let grown = PenMap::of(&flock, None, day("2026-05-20"), None);
    assert_eq!(grown.pens[0].families[0].age, None);
    let board = Board::new(&flock, day("2026-04-20"));
    let due = PenMap::of(&flock, Some(&board), day("2026-04-20"), None);
    let jobs: usize = flock
        .in_pen("Jug 4")
        .iter()
        .map(|a| super::super::due::jobs_on(&board, *a, day("2026-04-20")).len())
        .sum();
    assert!(jobs > 0);
    assert_eq!(due.pens[0].jobs, jobs, "as the barn sheet has them");
}

#[test]
fn a_pen_that_was_emptied_stays_and_one_taken_off_goes_until_somebody_is_in_it() {
    let (_dir, mut book) = shed();
    let today = day("2026-04-20");
    let all = book.flock().in_pen("Jug 4");
    let check =
        entry::pen_move(PenMoveDraft { animals: all.clone(), on: today, pen: None }, &book.flock(), today);
    write(&mut book, check);
    let map = PenMap::of(&book.flock(), None, today, None);
    assert_eq!(map.pens[0].sentence(&book.flock()), "Jug 4: empty");
    assert_eq!(map.loose.iter().map(Family::all).map(Iterator::count).sum::<usize>(), 3);
    assert!(PenMap::of(&book.flock(), None, today.plus(40), None).by_name("jug 4").is_none());
    let off = PenPlace { sort: PenSort::Off, ..map.pens[0].as_laid() };
    let check = entry::pens_laid(vec![off], Vec::new(), &book.flock());
    write(&mut book, check);
    assert!(PenMap::of(&book.flock(), None, today, None).by_name("Jug 4").is_none());
    let check = entry::pen_move(
        PenMoveDraft { animals: all, on: today, pen: Some("jug 4".into()) },
        &book.flock(),
        today,
    );
    write(&mut book, check);
    let map = PenMap::of(&book.flock(), None, today, None);
    assert_eq!(map.pens[map.by_name("Jug 4").unwrap()].heads.all(), 3, "there again with its animals");
}

#[test]
fn a_pen_that_is_called_otherwise_takes_its_animals_along_and_comes_back() {
    let (_dir, mut book) = shed();
    let today = day("2026-04-20");
    let map = PenMap::of(&book.flock(), None, today, None);
    let check = entry::pen_renamed("Jug 4", "Corner", &map.pens[0].as_laid(), &book.flock(), today);
    assert_eq!(check.as_ref().unwrap().sentence(), "Pen Jug 4 is called Corner now, with 3 animals");
    write(&mut book, check);
    assert_eq!(book.flock().in_pen("Corner").len(), 3);
    let map = PenMap::of(&book.flock(), None, today, None);
    assert!(map.by_name("Jug 4").is_none_or(|i| map.pens[i].is_empty()));
    book.undo().unwrap().unwrap();
    assert_eq!(book.flock().in_pen("Jug 4").len(), 3);
    assert!(book.flock().pen_places().is_empty());
}

/// However many pens there are and wherever some were laid, those that fall by themselves lie over none.
#[test]
fn pens_that_fall_by_themselves_never_lie_over_another() {
    let pen = |n: u16, laid: Option<Place>| Pen {
        name: format!("Jug {n}"),
        at: laid.unwrap_or_default(),
        sort: if n.is_multiple_of(7) { PenSort::Outside } else { PenSort::Shed },
        laid: laid.is_some(),
        over: None,
        families: Vec::new(),
        heads: Heads { ewes: usize::from(n % 40), ..Heads::default() },
        since: None,
        jobs: 0,
        overdue: 0,
        held: 0,
    };
    for (many, every) in [(1u16, 2u16), (9, 3), (60, 5), (200, 4)] {
        let at = |n: u16| n.is_multiple_of(every).then(|| Place::new(n * 3 % 90, n / 30 * 4, 3, 3));
        let mut pens: Vec<Pen> = (0..many).map(|n| pen(n, at(n))).collect();
        lay::lay(&mut pens);
        for (i, a) in pens.iter().enumerate() {
            assert!(a.at.is_sound(), "{}: {:?}", a.name, a.at);
            let first = pens.iter().take(i).find(|b| b.at.meets(a.at) && !(a.laid && b.laid));
            assert_eq!(first.map(|b| &b.name), None, "{} lies over it", a.name);
        }
        let new = PenMap::room_for(&pens, Place::SINGLE);
        assert!(new.is_sound() && pens.iter().all(|p| !p.at.meets(new)));
    }
}
