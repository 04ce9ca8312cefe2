use super::*;
use crate::terms::Place;

fn pen(name: &str, x: u16) -> PenPlace {
    PenPlace { pen: name.into(), at: Place::new(x, 0, 3, 3), sort: PenSort::Shed }
}

fn refused(check: Check, what: &str) {
    let all: Vec<String> = check.expect_err(what).iter().map(ToString::to_string).collect();
    assert!(all.iter().any(|t| t.contains(what)), "{all:?}");
}

fn flock(places: Vec<PenPlace>) -> Flock {
    let mut f = Flock::default();
    f.set_pen_places(places);
    f
}

#[test]
fn pens_are_laid_side_by_side_and_never_over_one_another() {
    let f = flock(vec![pen("Jug 1", 0)]);
    let check = pens_laid(vec![pen(" Jug 2 ", 3)], Vec::new(), &f).unwrap();
    assert_eq!(check.sentence(), "Pen map: Jug 2 laid out");
    refused(pens_laid(vec![pen("Jug 2", 2)], Vec::new(), &f), "Jug 2 lies over Jug 1: move one of the two");
    refused(pens_laid(vec![pen("Jug 2", 3), pen("jug 2", 9)], Vec::new(), &f), "given twice");
    refused(pens_laid(vec![pen(" ", 3)], Vec::new(), &f), "the pen's name is needed");
    refused(pens_laid(vec![pen(&"x".repeat(41), 3)], Vec::new(), &f), "longer than 40");
    refused(pens_laid(vec![pen("Jug 1", 0)], Vec::new(), &f), "nothing is different");
    refused(pens_laid(vec![pen("Jug 2", 599)], Vec::new(), &f), "does not fit on the map");
    // One pen may take the place that another leaves in the same act.
    assert!(pens_laid(vec![pen("Jug 1", 3), pen("Jug 2", 0)], Vec::new(), &f).is_ok());
    assert!(pens_laid(vec![pen("Jug 2", 1)], vec!["JUG 1".into()], &f).is_ok());
    let off = PenPlace { sort: PenSort::Off, ..pen("Jug 1", 0) };
    assert_eq!(pens_laid(vec![off], Vec::new(), &f).unwrap().sentence(), "Pen map: Jug 1 taken off");
}

#[test]
fn a_pen_gets_no_name_that_another_has() {
    let today = Day::parse_iso("2026-04-20").unwrap();
    let f = flock(vec![pen("Jug 1", 0), pen("Jug 2", 3)]);
    refused(
        pen_renamed("Jug 1", "jug 2", &pen("Jug 1", 0), &f, today),
        "there is a pen called jug 2 already",
    );
    refused(pen_renamed("Jug 1", "Jug 1", &pen("Jug 1", 0), &f, today), "nothing is different");
    let check = pen_renamed("Jug 1", "Corner", &pen("Jug 1", 0), &f, today).unwrap();
    assert_eq!(check.sentence(), "Pen Jug 1 is called Corner now");
    let Entry::PenPlaces { put, drop, moves } = check.entry() else { panic!("{check:?}") };
    assert_eq!(
        (put[0].pen.as_str(), drop.as_slice(), moves.len()),
        ("Corner", &["Jug 1".to_string()][..], 0)
    );
    // Capitals alone: the row stays.
    let check = pen_renamed("Jug 1", "JUG 1", &pen("Jug 1", 0), &f, today).unwrap();
    assert!(matches!(check.entry(), Entry::PenPlaces { drop, .. } if drop.is_empty()));
}
