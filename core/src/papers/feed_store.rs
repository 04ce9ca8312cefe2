//! The store of feed on a day: what is there, how long it lasts, when to order, what it costs and holds.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::feedstore::{Lasts, Line, Store, amount_words, price_words, protein_words};
use crate::terms::{Day, Units};

const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Lays out the store.
///
/// # Errors
/// [`PaperFailed::Nothing`] without a feed in the book; [`PaperFailed::Stopped`] when `watch` says so.
pub fn feed_store(
    flock: &Flock,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    if !watch(0, 2) {
        return Err(PaperFailed::Stopped);
    }
    let store = Store::of(flock, today);
    if store.lines.is_empty() {
        let mend = "write the feeds you have under Feed, in the store";
        return Err(PaperFailed::Nothing { paper: "store of feed", mend });
    }
    let units = flock.holding().units;
    let turn = Turn::Landscape;
    let days = phrase!("what is there at the end of {}", today.long());
    let heads = Heads::of(flock.holding(), "Store of feed", &days, sheet, turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    flow.y += 1.5;
    let table = Table {
        columns: vec![
            Column::new("Feed", Width::Share(1.0)),
            Column::new("Kind", Width::Mm(24.0)),
            Column::new("How it stands", Width::Mm(38.0)),
            Column::new("In store", Width::Mm(34.0)),
            Column::figures("Used a day", Width::Mm(19.0)),
            Column::new("Lasts to", Width::Mm(22.0)),
            Column::new("Order by", Width::Mm(22.0)),
            Column::figures("Price of a kg as fed", Width::Mm(18.0)),
            Column::figures("Price of a kg dry", Width::Mm(16.0)),
            Column::new("Protein", Width::Mm(34.0)),
            Column::new("Best before", Width::Mm(20.0)),
        ],
        size_pt: 8.5,
        between: Between::Hairline,
    };
    table.flow(&mut flow, store.lines.iter().map(|l| row(l, units)), watch)?;
    flow.y += 2.0;
    let told = [
        "A kg dry is a kg of dry matter. Protein is crude protein; where a feed has no sheet and no label, it is that of \
         the handbook's feed it is like. Used a day: rations of the animals that are there today, and what was filled in and \
         mixed of late.",
        "Sheep bear little copper: no feed or mineral made for other stock without its label read.",
    ];
    told.iter().for_each(|t| flow.paragraph(PLAIN, t));
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!(
        "Printed {}. The label, a feed analyst and the vet go before what stands here.",
        today.words()
    );
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Store of feed, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn row(l: &Line, units: Units) -> Row {
    let day = |d: Option<Day>| d.map(Day::words).unwrap_or_default();
    let until = match l.lasts {
        Lasts::Until(day) => day.words(),
        Lasts::Long => phrase!("over a year"),
        Lasts::Unused | Lasts::Unknown => String::new(),
    };
    let a_day = l.used.a_day();
    let a_day = if a_day.is_none() { String::new() } else { a_day.show(units) };
    Row {
        cells: vec![
            Cell::strong(&l.name),
            Cell::new(l.kind.words()),
            Cell::new(&l.words),
            Cell::new(amount_words(l, units)),
            Cell::new(a_day),
            Cell::new(until),
            Cell::new(day(l.order_by)),
            Cell::new(l.cost.map(|c| price_words(c.cents_a_kg)).unwrap_or_default()),
            Cell::new(l.cents_a_kg_dry().map(price_words).unwrap_or_default()),
            Cell::new(protein_words(l)),
            Cell::new(day(l.best_before)),
        ],
        struck: false,
        notes: l.cautions.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::{Feed, FeedRoom};
    use crate::papers::fixture::day;
    use crate::papers::{carry_on, check};
    use crate::terms::{Analysis, FeedId, FeedKind, MadeFor};

    #[test]
    fn every_feed_stands_on_the_paper_and_none_is_no_paper() {
        let mut flock = Flock::default();
        let none = feed_store(&flock, day("2026-04-30"), SheetSize::A4, &carry_on).unwrap_err();
        assert!(none.to_string().contains("write the feeds you have"), "{none}");
        let feed = |n: usize| Feed {
            id: FeedId::new(),
            name: format!("Feed {n}"),
            kind: FeedKind::Grain,
            like: Some("barley".into()),
            own: Analysis::default(),
            made_for: if n == 3 { MadeFor::Cattle } else { MadeFor::Plain },
            bag: None,
            price: None,
            parts: Vec::new(),
            medicine: None,
            note: None,
        };
        flock.set_feedroom(FeedRoom { feeds: (0..60).map(feed).collect(), ..FeedRoom::default() });
        let paper = feed_store(&flock, day("2026-04-30"), SheetSize::A4, &carry_on).unwrap();
        assert!(paper.pages.len() > 1);
        check::assert_inside(&paper, 8.0);
        let words: Vec<&str> = paper.words().collect();
        for n in 0..60 {
            assert!(words.contains(&format!("Feed {n}").as_str()), "{n}");
        }
        assert!(paper.words().any(|w| w.contains("Made for cattle")));
    }
}
