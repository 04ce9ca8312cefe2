//! The map of the shed to rows and back. A pen's place is one value of its row, so that two copies which both moved it
//! never come to a place that is half of each.

use super::put::run;
use super::rows::read;
use crate::flock::{PenPlace, PenSort, pen_key};
use crate::terms::{Misread, Place};
use rusqlite::{Connection, Row, params};

type Result<T> = rusqlite::Result<T>;

/// Every pen that was laid out.
pub(super) fn read_places(db: &Connection) -> Result<Vec<PenPlace>> {
    db.prepare_cached("select name, place, sort from pen_place")?.query_map([], row)?.collect()
}

fn row(r: &Row<'_>) -> Result<PenPlace> {
    Ok(PenPlace { pen: r.get(0)?, at: read(r, 1, parse)?, sort: read(r, 2, PenSort::parse)? })
}

/// `4,2 3x3`: steps from the left, from the top, wide, deep.
fn words(p: Place) -> String {
    format!("{},{} {}x{}", p.x, p.y, p.w, p.h)
}

fn parse(text: &str) -> std::result::Result<Place, Misread> {
    let numbers: Option<Vec<u16>> = text.split([',', ' ', 'x']).map(|n| n.parse().ok()).collect();
    match numbers.as_deref() {
        Some([x, y, w, h]) if Place::new(*x, *y, *w, *h).is_sound() => Ok(Place::new(*x, *y, *w, *h)),
        _ => Err(Misread::new(format!("'{text}' is no place on the map of the shed"))),
    }
}

pub(super) fn put_place(db: &Connection, p: &PenPlace) -> Result<()> {
    run(
        db,
        "insert into pen_place (pen, name, place, sort) values (?1, ?2, ?3, ?4)
         on conflict (pen) do update set name = ?2, place = ?3, sort = ?4",
        params![pen_key(&p.pen), p.pen, words(p.at), p.sort.word()],
    )
}

pub(super) fn drop_place(db: &Connection, pen: &str) -> Result<()> {
    run(db, "delete from pen_place where pen = ?1", [pen_key(pen)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_comes_back_from_its_words_and_nothing_else_does() {
        let at = Place::new(4, 2, 3, 5);
        assert_eq!(parse(&words(at)), Ok(at));
        for odd in ["", "4,2", "4,2 3x0", "4,2 3x3 1", "4,2 3x9999", "-1,2 3x3", "a,2 3x3"] {
            assert!(parse(odd).is_err(), "{odd}");
        }
    }
}
